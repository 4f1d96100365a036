//! What was asked and answered so far. Questions are numbered: an answer counts if it is one to the
//! present question, and nothing else changes what is shown.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::asking::{Asking, Change, DIALS, Dial, whole_eaters};
use super::found::Found;
use super::store::Store;
use crate::engine::NearWeeks;
use crate::explain::{Case, Conflict, Verdict};
use crate::larder::{Day, Larder, MILLI};
use crate::tradeoffs::{Edges, Walk, taken_of};

/// Steps that are kept to be undone.
const MOST_STEPS: usize = 500;

/// Most eaters that are tried.
pub const MOST_EATERS: i64 = 8;

/// How far the list of near weeks reaches beyond the best objective: a twelfth of it.
const NEAR_PART: i64 = 12;

/// A change made, and what was asked from then on.
#[derive(Clone, Debug)]
pub struct Step {
    /// The change, as a sentence.
    pub said: String,
    /// What is asked.
    pub asking: Asking,
}

/// How far the present question is.
#[derive(Clone, Debug)]
pub enum State {
    /// It is being answered.
    Proving {
        /// The best total so far, 1e-9 minor units.
        best_nano: Option<i64>,
        /// None is below this.
        bound_nano: Option<i64>,
        /// Somebody asked to stop.
        stopping: bool,
    },
    /// It has its answer; `stopped` before the proof by somebody who asked to.
    Answered {
        /// What was proved.
        verdict: Verdict,
        /// By whom it was ended.
        stopped: bool,
    },
    /// The engine failed: our fault.
    Failed(String),
}

/// What a number of eaters comes to: the lunches, none if there is no week.
pub type ByEaters = Vec<(i64, Option<Vec<String>>)>;

/// What is worked out while nobody asks anything.
#[derive(Clone, Debug, Default)]
pub struct Idle {
    /// Where each limit matters.
    pub edges: BTreeMap<Dial, Edges>,
    /// Weeks by eaters, whole ones from 1.
    pub eaters: Option<ByEaters>,
    /// What leaving a food out costs, by name.
    pub costs: Option<BTreeMap<String, Case>>,
    /// Words without which there is a week, by name; of an impossible question.
    pub frees: Option<Vec<String>>,
    /// Rules that clash; of an impossible question.
    pub clash: Option<Conflict>,
    /// Whether they were looked for.
    pub clash_sought: bool,
    /// Whether the weeks near the best one were listed, if they can be.
    pub listed: bool,
    /// Numbers of eaters beside the one asked that were tried ahead.
    pub ahead: Vec<i64>,
    /// What else a day could have.
    pub others: Option<Others>,
    /// It failed, and nothing more is worked out.
    pub ended: bool,
}

/// What else a day could have.
#[derive(Clone, Debug)]
pub struct Others {
    /// The day.
    pub day: Day,
    /// Recipes and the best week with each on that day.
    pub cases: Vec<(String, Case)>,
    /// Whether all are there.
    pub done: bool,
}

/// Something to work out.
#[derive(Clone, Debug)]
pub struct Task {
    /// The question it belongs to.
    pub number: u64,
    /// How often the files had been read again by then.
    pub readings: u64,
    /// What.
    pub what: What,
    /// The kitchen asked about.
    pub larder: Larder,
}

/// What there is to work out.
#[derive(Clone, Debug)]
pub enum What {
    /// The week; among the weeks near that of a wider question, or its lunches, if these are known.
    Week(Option<Arc<NearWeeks>>),
    /// The weeks up to so much, 1e-9 minor units: what may be asked next is answered from them.
    List(i64),
    /// The week for another number of eaters, which may be asked next.
    Ahead(i64, Box<Larder>),
    /// Other recipes for a day.
    Others(Day, Box<Found>),
    /// Where a limit matters, from where the walk down its values has come to; and what is asked beside it.
    Edges(Dial, Walk, Box<Asking>),
    /// Weeks by eaters; those that are known already.
    Eaters(BTreeMap<i64, Arc<Found>>),
    /// What foods cost.
    Costs,
    /// Words without which there is a week.
    Frees(Vec<(String, Larder)>),
    /// Rules that clash.
    Clash,
}

impl What {
    /// Whether somebody waits for it; all else is worked out ahead.
    pub fn was_asked(&self) -> bool {
        matches!(self, Self::Week(_) | Self::Others(..))
    }
}

/// Who asks what.
#[derive(Clone, Debug)]
pub enum Command {
    /// Changes what is asked.
    Change(Change),
    /// Takes the last change back.
    Undo,
    /// Makes it again.
    Redo,
    /// Goes to a step; 0 is the kitchen as it is.
    Back(usize),
    /// Ends the search with what there is.
    Stop,
    /// Asks what else a day could have.
    Others(Day),
}

/// Questions and answers.
#[derive(Clone, Debug)]
pub struct Session {
    /// The kitchen as its files have it.
    plain: Larder,
    larder: Larder,
    steps: Vec<Step>,
    at: usize,
    number: u64,
    state: State,
    last: Option<Found>,
    before: Option<Found>,
    readings: u64,
    store: Store,
    /// What is wrong with the last command.
    pub notice: Vec<String>,
    /// Why what is shown is not of the files as they are.
    pub stale: Option<String>,
    /// What was worked out beside.
    pub idle: Idle,
}

const FRESH: State = State::Proving {
    best_nano: None,
    bound_nano: None,
    stopping: false,
};

impl Session {
    /// Begins with the kitchen as it is: question 1.
    pub fn new(plain: Larder) -> Self {
        Self {
            larder: plain.clone(),
            plain,
            steps: vec![Step {
                said: "the kitchen as its files have it".to_owned(),
                asking: Asking::default(),
            }],
            at: 0,
            number: 1,
            state: FRESH,
            last: None,
            before: None,
            notice: Vec::new(),
            stale: None,
            idle: Idle::default(),
            readings: 0,
            store: Store::default(),
        }
    }

    /// How often the files were read again.
    pub fn readings(&self) -> u64 {
        self.readings
    }

    /// The kitchen as its files have it.
    pub fn plain(&self) -> &Larder {
        &self.plain
    }

    /// The kitchen with what is asked.
    pub fn larder(&self) -> &Larder {
        &self.larder
    }

    /// What is asked.
    pub fn asking(&self) -> &Asking {
        &self.steps[self.at].asking
    }

    /// Steps, and which one is shown.
    pub fn steps(&self) -> (&[Step], usize) {
        (&self.steps, self.at)
    }

    /// The present question.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// How far it is.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The last week that was found.
    pub fn last(&self) -> Option<&Found> {
        self.last.as_ref()
    }

    /// The one before.
    pub fn before(&self) -> Option<&Found> {
        self.before.as_ref()
    }

    /// Whether the present question has its answer.
    pub fn answered(&self) -> bool {
        !matches!(self.state, State::Proving { .. })
    }

    /// Whether the week shown is the answer to the present question.
    pub fn is_present(&self) -> bool {
        matches!(
            &self.state,
            State::Answered {
                verdict: Verdict::Best | Verdict::Good { .. },
                ..
            }
        )
    }

    /// Whether the present question has a week that is proved the best.
    fn is_proved(&self) -> bool {
        let verdict = match self.state {
            State::Answered { verdict, .. } => Some(verdict),
            _ => None,
        };
        verdict == Some(Verdict::Best)
    }

    /// Obeys a command; whether a new question is asked.
    pub fn obey(&mut self, command: Command) -> bool {
        self.notice.clear();
        match command {
            Command::Change(change) => self.change(&change),
            Command::Undo => self.go(self.at.checked_sub(1)),
            Command::Redo => self.go(Some(self.at + 1)),
            Command::Back(at) => self.go(Some(at)),
            Command::Stop => {
                if let State::Proving { stopping, .. } = &mut self.state {
                    *stopping = true;
                }
                false
            }
            Command::Others(_) if !self.is_proved() => {
                self.notice = vec!["Others are shown beside a week that is proved.".to_owned()];
                false
            }
            Command::Others(day) => {
                let open = self
                    .idle
                    .others
                    .as_ref()
                    .is_some_and(|others| others.day == day);
                self.idle.others = (!open).then_some(Others {
                    day,
                    cases: Vec::new(),
                    done: false,
                });
                false
            }
        }
    }

    fn change(&mut self, change: &Change) -> bool {
        let now = self.asking();
        let asking = now.with(change);
        if asking == *now {
            return false;
        }
        match asking.larder(&self.plain) {
            Ok(larder) => {
                let said = change.sentence(now, &self.plain);
                self.steps.truncate(self.at + 1);
                self.steps.push(Step { said, asking });
                if self.steps.len() > MOST_STEPS {
                    self.steps.remove(1);
                }
                self.at = self.steps.len() - 1;
                self.ask(larder);
                true
            }
            Err(faults) => {
                self.notice = faults;
                false
            }
        }
    }

    fn go(&mut self, to: Option<usize>) -> bool {
        let Some(to) = to.filter(|&to| to < self.steps.len() && to != self.at) else {
            return false;
        };
        match self.steps[to].asking.larder(&self.plain) {
            Ok(larder) => {
                self.at = to;
                self.ask(larder);
                true
            }
            Err(faults) => {
                self.notice = faults;
                false
            }
        }
    }

    fn ask(&mut self, larder: Larder) {
        self.larder = larder;
        self.number += 1;
        self.state = FRESH;
        self.idle = Idle::default();
        let asking = self.asking().plainly(&self.plain);
        if let Some(found) = self.store.answer(&asking) {
            self.take(Found::clone(&found), false);
        }
        for dial in DIALS {
            if let Some(walk) = self.store.walk(&self.beside_limit(dial), dial)
                && walk.done
            {
                self.idle.edges.insert(dial, walk.edges.clone());
            }
        }
    }

    /// What is asked beside a limit.
    fn beside_limit(&self, dial: Dial) -> Asking {
        let without = self.asking().with(&Change::Dial(dial, None));
        without.plainly(&self.plain)
    }

    /// The lunches of the week, where a walk down a limit has come by.
    fn walked_by(&self) -> Option<Arc<NearWeeks>> {
        DIALS.into_iter().find_map(|dial| {
            let walk = self.store.walk(&self.beside_limit(dial), dial)?;
            let best = walk.best_under(dial.allowed(&self.larder)?)?;
            Some(Arc::new(best.clone()))
        })
    }

    /// The limit whose values are to be walked down next: first of those that the week takes up whole, as
    /// these are raised next; of all others later.
    fn next_limit(&self, later: bool) -> Option<What> {
        let week = self.last.as_ref().filter(|_| self.is_proved());
        let week = week.and_then(|last| last.solved.as_ref());
        let at_limit = |dial: &Dial| {
            let taken = dial.limit().zip(week);
            let taken = taken.map(|(limit, week)| taken_of(&self.larder, limit, week));
            taken.is_some() && taken == dial.in_larder(&self.larder)
        };
        let mut open = DIALS.into_iter().filter(|dial| {
            let lacks = dial.limit().is_some() && !self.idle.edges.contains_key(dial);
            lacks && (later || at_limit(dial))
        });
        let dial = open.next()?;
        let beside = self.beside_limit(dial);
        let begun = self.store.walk(&beside, dial);
        let begun = begun.map_or_else(Walk::default, |walk| Walk::clone(&walk));
        Some(What::Edges(dial, begun, Box::new(beside)))
    }

    /// Keeps how far a walk down a limit has come, if it is of the files as they were read last.
    pub fn walked(&mut self, readings: u64, (dial, beside): (Dial, &Asking), walk: Walk) {
        if readings == self.readings {
            self.store.walked(beside, dial, walk);
        }
    }

    /// Shows an answer to the present question.
    fn take(&mut self, found: Found, stopped: bool) {
        let verdict = found.told.verdict;
        self.state = State::Answered { verdict, stopped };
        if found.solved.is_some() {
            self.before = self.last.take();
            self.last = Some(found);
        }
    }

    /// Begins anew with files read again; what cannot be asked of them any more is let go and told.
    pub fn read_again(&mut self, plain: Larder) {
        self.notice.clear();
        self.stale = None;
        let mut asking = self.asking().clone();
        let larder = match asking.larder(&plain) {
            Ok(larder) => larder,
            Err(faults) => {
                self.notice = faults;
                self.notice
                    .push("so all that was asked is let go".to_owned());
                asking = Asking::default();
                plain.clone()
            }
        };
        self.plain = plain;
        self.readings += 1;
        self.store = Store::default();
        self.steps.truncate(1);
        self.at = 0;
        if asking != Asking::default() {
            self.steps.push(Step {
                said: "what was asked before the files were read again".to_owned(),
                asking,
            });
            self.at = 1;
        }
        self.ask(larder);
    }

    /// Tells how far a search is.
    pub fn progress(&mut self, number: u64, best: Option<i64>, bound: Option<i64>) {
        if number != self.number {
            return;
        }
        if let State::Proving {
            best_nano,
            bound_nano,
            ..
        } = &mut self.state
        {
            (*best_nano, *bound_nano) = (best.or(*best_nano), bound.or(*bound_nano));
        }
    }

    /// Takes an answer; one to an older question is dropped. Returns whether it was taken.
    pub fn settle(&mut self, number: u64, answer: Result<Found, String>) -> bool {
        if number != self.number || self.answered() {
            return false;
        }
        let stopped = matches!(self.state, State::Proving { stopping: true, .. });
        match answer {
            Ok(found) => {
                let asking = self.asking().plainly(&self.plain);
                self.store.keep(&asking, &found);
                self.take(found, stopped);
            }
            Err(fault) => self.state = State::Failed(fault),
        }
        true
    }

    /// Takes a failure: of the question itself, or of what was worked out beside, which then ends.
    pub fn fail(&mut self, number: u64, fault: String) {
        if number != self.number {
            return;
        }
        if self.answered() {
            self.notice = vec![format!("our fault, not the kitchen's: {fault}")];
            self.idle.ended = true;
        } else {
            self.state = State::Failed(fault);
        }
    }

    /// Takes what was worked out beside, unless another question was asked since.
    pub fn beside(&mut self, number: u64, put: impl FnOnce(&mut Idle)) {
        if number == self.number {
            put(&mut self.idle);
        }
    }

    /// Takes a list of the weeks near the present question's best one, or that there is none to be had.
    pub fn listed(&mut self, number: u64, near: Option<NearWeeks>) {
        if number != self.number {
            return;
        }
        self.idle.listed = true;
        if let Some(near) = near {
            let asking = self.steps[self.at].asking.clone();
            self.store.list(&asking, &self.larder, near);
        }
    }

    /// Takes the answer for another number of eaters, unless another question was asked since.
    pub fn ahead(&mut self, number: u64, portions: i64, found: &Found) {
        if number == self.number {
            self.idle.ahead.push(portions);
            self.store.keep(&self.for_eaters(portions), found);
        }
    }

    /// Returns the next number of eaters to answer ahead: one more, then one fewer, if the number
    /// asked is whole.
    fn next_ahead(&self) -> Option<What> {
        let now = Dial::Eaters
            .in_larder(&self.larder)
            .and_then(whole_eaters)?;
        let open = |&portions: &i64| {
            (1..=MOST_EATERS).contains(&portions)
                && !self.idle.ahead.contains(&portions)
                && self.store.known(&self.for_eaters(portions)).is_none()
        };
        let portions = [now + 1, now - 1].into_iter().find(open)?;
        let larder = self.for_eaters(portions).larder(&self.plain).ok()?;
        Some(What::Ahead(portions, Box::new(larder)))
    }

    /// What is asked, with another number of eaters.
    fn for_eaters(&self, portions: i64) -> Asking {
        let change = Change::Dial(Dial::Eaters, Some(portions * MILLI));
        self.asking().with(&change).plainly(&self.plain)
    }

    /// The answers that are known already, by eaters.
    fn known_by_eaters(&self) -> BTreeMap<i64, Arc<Found>> {
        let known = |portions| Some((portions, self.store.known(&self.for_eaters(portions))?));
        (1..=MOST_EATERS).filter_map(known).collect()
    }

    /// Returns what is to be worked out next; none if all is.
    pub fn task(&self) -> Option<Task> {
        let make = |what| {
            Some(Task {
                number: self.number,
                readings: self.readings,
                what,
                larder: self.larder.clone(),
            })
        };
        let State::Answered { verdict, .. } = &self.state else {
            return match self.state {
                State::Proving { .. } => {
                    let near = || self.store.near(self.asking(), &self.larder);
                    make(What::Week(self.walked_by().or_else(near)))
                }
                _ => None,
            };
        };
        let idle = &self.idle;
        if idle.ended {
            return None;
        }
        if let (Some(others), Some(last), Verdict::Best) = (&idle.others, &self.last, verdict)
            && !others.done
        {
            return make(What::Others(others.day, Box::new(last.clone())));
        }
        if let (Verdict::Best, Some(last)) = (verdict, &self.last) {
            let best = last
                .solved
                .as_ref()
                .map_or(0, |week| week.tally.objective_nano);
            let reached = || self.store.reaches(self.asking(), &self.larder, best);
            let ordered = !self.larder.wishes.order.is_empty();
            if let Some(what) = self.next_limit(false) {
                return make(what);
            }
            if !idle.listed && !ordered && !reached() {
                return make(What::List(best.saturating_add((best / NEAR_PART).abs())));
            }
            if let Some(ahead) = self.next_ahead() {
                return make(ahead);
            }
        }
        if *verdict == Verdict::Best && idle.costs.is_none() {
            return make(What::Costs);
        }
        if matches!(verdict, Verdict::Best | Verdict::Impossible)
            && let Some(what) = self.next_limit(true)
        {
            return make(what);
        }
        match verdict {
            Verdict::Best if idle.eaters.is_none() => make(What::Eaters(self.known_by_eaters())),
            Verdict::Impossible if idle.frees.is_none() => make(What::Frees(self.freed())),
            Verdict::Impossible if !idle.clash_sought => make(What::Clash),
            _ => None,
        }
    }

    /// The kitchen without each word asked, by name.
    fn freed(&self) -> Vec<(String, Larder)> {
        let asking = self.asking();
        let names = asking.words.keys();
        let one = |name: &String| {
            let without = asking.with(&Change::Word(name.clone(), None));
            Some((name.clone(), without.larder(&self.plain).ok()?))
        };
        names.filter_map(one).collect()
    }
}
