//! Questions and their answers: each is asked once, several side by side, and what they
//! come to does not depend on the number of threads.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock};
use std::thread;

use super::change::{Change, changed};
use super::facts::Proof;
use super::rules::Rule;
use super::seats::{Seats, Taken};
use crate::engine::{Apart, EngineFault, Given, Limits, NearWeeks, Outcome, Ready, Solved};
use crate::larder::{Larder, Pin};
use crate::rules::judge;
use itertools::{Either, Itertools};

/// Questions from which on a list of the weeks near the best one pays.
const NEAR_FROM: usize = 4;

/// How far the list reaches beyond the best objective: a sixth of it.
const NEAR_PART: i64 = 6;

/// Work that listing them may take.
const MOST_NEAR_WORK: u64 = 400_000_000;

/// Whether a question leaves every week that it allows allowed, and no dearer, in the larder
/// as it is, or with fruit that is ripe for longer if `ripe_longer`.
///
/// Proof. Bans, pins, weeks to stay apart from and ceilings shut weeks out and change no
/// figure of any other. A pack's price rising makes no week cheaper, nor the value of what
/// spoils of it smaller, and a budget admits fewer; but it would make what is kept worth
/// more where that earns credit. Fruit that ripens a day early or late may be cut on days
/// that are among those of a window a day longer at both ends, and what is good on a day, or
/// kept, is so there too: no week is dearer for it.
fn shuts_out(larder: &Larder, question: &Question, ripe_longer: bool) -> bool {
    question.changes.iter().all(|&change| match change {
        Change::BanFood(_) | Change::BanRecipe(_) | Change::Pin(_) | Change::PinFood(_) => true,
        Change::Ripen(_, days) => ripe_longer && days.abs() <= 1,
        Change::Price(pack, price) => {
            let now = larder.packs[pack.index()].price_minor;
            larder.wishes.carry_credit_milli == 0 && price >= now
        }
        _ => false,
    })
}

/// How far beyond its answer a search for the least bill lists the weeks that its ceilings allow:
/// a sixteenth of it.
const BEYOND_PART: i64 = 16;

/// Questions from which on a list of all weeks that any of them lets in pays.
const LOOSE_FROM: usize = 3;

/// Whether a question only gives up or loosens rules on days, times and nutrition: it lets
/// weeks in and makes none dearer, and so does giving up all such rules at once.
///
/// Proof. What is looser forbids less, and what keeps longer spoils later and is kept rather
/// than thrown away. Rules on what may stand side by side in a week are left out: giving
/// them up all at once lets in too many weeks to list.
fn lets_in(question: &Question) -> bool {
    let plain = Question {
        changes: question.changes.clone(),
        ..Question::default()
    };
    let loose = |rule: Rule| match rule {
        Rule::FormsApart
        | Rule::SamenessAdjacent
        | Rule::Minutes(_)
        | Rule::KitchenMinutes(_)
        | Rule::CookOn
        | Rule::Floor(_)
        | Rule::Ceiling(_)
        | Rule::CreditFloor(_)
        | Rule::CreditCeiling(_)
        | Rule::Keeps(_)
        | Rule::Opened(_)
        | Rule::ReadyTo(_)
        | Rule::ReadyFrom(_) => true,
        Rule::PerForm
        | Rule::PerProtein
        | Rule::Sameness
        | Rule::Repeats
        | Rule::Budget
        | Rule::Cap
        | Rule::Rest
        | Rule::Without(_)
        | Rule::With(_) => false,
    };
    let only = |&change: &Change| match change {
        Change::Drop(rule) | Change::Loosen(rule, _) => loose(rule),
        _ => false,
    };
    *question == plain && !plain.changes.is_empty() && plain.changes.iter().all(only)
}

/// So few questions are settled one after another, if all threads are free for each.
const FEW: usize = 3;

/// A question: the larder changed, and what is given beside it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Question {
    pub(super) changes: Vec<Change>,
    pub(super) apart: Vec<Apart>,
    pub(super) foods_most: Option<i64>,
    pub(super) spoiled_most_nano: Option<i64>,
    /// Dearest week that is of interest; not under a strict order of aims.
    pub(super) objective_most_nano: Option<i64>,
}

impl Question {
    /// Asks for one change alone.
    pub(super) fn one(change: Change) -> Self {
        Self::all([change])
    }

    /// Whether it differs from `inner` in ceilings only, and none of its own is lower.
    fn holds(&self, inner: &Self) -> bool {
        let within = |outer: Option<i64>, inner: Option<i64>| {
            outer.is_none_or(|outer| inner.is_some_and(|inner| inner <= outer))
        };
        let alike = Self {
            foods_most: self.foods_most,
            spoiled_most_nano: self.spoiled_most_nano,
            ..inner.clone()
        };
        *self == alike
            && within(self.foods_most, inner.foods_most)
            && within(self.spoiled_most_nano, inner.spoiled_most_nano)
    }

    /// Whether it is about the bill within ceilings: others with lower ones will follow.
    fn asks_bill(&self) -> bool {
        matches!(self.changes.as_slice(), [Change::Bill(_)])
    }

    /// What it changes but for pins, and these.
    fn parted(&self) -> (Vec<Change>, Vec<Pin>) {
        self.changes.iter().partition_map(|change| match *change {
            Change::Pin(recipe) => Either::Right(Pin::Recipe(recipe, None)),
            Change::PinFood(food) => Either::Right(Pin::Food(food, None)),
            other => Either::Left(other),
        })
    }

    /// Asks for changes together.
    pub(super) fn all(changes: impl Into<Vec<Change>>) -> Self {
        Self {
            changes: changes.into(),
            ..Self::default()
        }
    }
}

/// What came of a question.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub(super) proof: Proof,
    /// The best week, or the best found before the end.
    pub(super) week: Option<Arc<Solved>>,
    /// No week has a smaller objective, 1e-9 minor units; none if nothing is proved.
    pub(super) bound_nano: Option<i64>,
    /// All weeks that the question allows up to an objective beyond the best one, if listed.
    beyond: Option<Arc<NearWeeks>>,
}

impl Answer {
    /// Without a week or a bound.
    fn none(proof: Proof) -> Self {
        Self {
            proof,
            week: None,
            bound_nano: None,
            beyond: None,
        }
    }

    pub(super) fn new(outcome: Outcome, ordered: bool) -> Self {
        // Under a strict order the bound may be one of another aim.
        let bound = |bound_nano: i64| (!ordered).then_some(bound_nano);
        match outcome {
            Outcome::Best(solved) => Self {
                proof: Proof::Best,
                bound_nano: Some(solved.tally.objective_nano),
                beyond: None,
                week: Some(Arc::new(solved)),
            },
            Outcome::Good { solved, bound_nano } => Self {
                proof: Proof::Open,
                bound_nano: bound(bound_nano),
                beyond: None,
                week: Some(Arc::new(solved)),
            },
            Outcome::Impossible => Self::none(Proof::Impossible),
            Outcome::OutOfTime { bound_nano } => Self {
                proof: Proof::Open,
                week: None,
                bound_nano: bound(bound_nano),
                beyond: None,
            },
        }
    }

    /// The best week, if it is proved.
    pub(super) fn best(&self) -> Option<&Arc<Solved>> {
        let best = self.proof == Proof::Best;
        self.week.as_ref().filter(|_| best)
    }
}

/// Where questions are asked.
pub(super) struct Desk<'a> {
    pub(super) larder: &'a Larder,
    threads: usize,
    stop: &'a (dyn Fn() -> bool + Sync),
    progress: Option<&'a (dyn Fn(usize, usize) + Sync)>,
    /// Seats for its threads, and whether its questions come first where desks share them.
    seats: Arc<Seats>,
    first: bool,
    start: Option<Arc<Solved>>,
    /// Work a question may take; none is without end.
    pub(super) most_work: Option<u64>,
    known: BTreeMap<Question, Answer>,
    /// The weeks near the best one, if they could be listed; with fruit that is ripe for
    /// longer, where what it does by ripening early or late is asked for too.
    near: Option<NearWeeks>,
    ripe_longer: bool,
    near_tried: bool,
    /// Questions that let weeks in, and all weeks no dearer than the one to start from that any
    /// of them lets in.
    loose: Option<(BTreeSet<Question>, NearWeeks)>,
    /// Questions with ceilings, and all weeks within these up to an objective.
    boxes: Vec<(Question, Arc<NearWeeks>)>,
    /// Questions asked so far that such a list may answer.
    near_asked: usize,
    /// Questions so far, of all desks that share seats.
    count: Arc<Count>,
}

/// Questions taken up, done with, and settled, by a week or by the proof that there is none:
/// stopped, a question is done with all the same.
#[derive(Default)]
struct Count {
    taken_up: AtomicUsize,
    done: AtomicUsize,
    solved: AtomicUsize,
    none: AtomicUsize,
}

impl<'a> Desk<'a> {
    pub(super) fn new(
        larder: &'a Larder,
        threads: usize,
        stop: &'a (dyn Fn() -> bool + Sync),
        progress: Option<&'a (dyn Fn(usize, usize) + Sync)>,
    ) -> Self {
        let all = thread::available_parallelism().map_or(1, usize::from);
        let threads = if threads == 0 { all } else { threads };
        Self {
            larder,
            threads,
            stop,
            progress,
            seats: Arc::new(Seats::new(threads)),
            first: false,
            start: None,
            most_work: None,
            known: BTreeMap::new(),
            near: None,
            ripe_longer: false,
            near_tried: false,
            loose: None,
            boxes: Vec::new(),
            near_asked: 0,
            count: Arc::default(),
        }
    }

    /// A desk for other questions beside this one, which come first: both together use no more
    /// threads than one alone.
    pub(super) fn beside(&self) -> Self {
        Self {
            seats: Arc::clone(&self.seats),
            first: true,
            start: self.start.clone(),
            count: Arc::clone(&self.count),
            ..Self::new(self.larder, self.threads, self.stop, self.progress)
        }
    }

    /// Gives a week to start from wherever it keeps the rules.
    pub(super) fn start_from(&mut self, week: Arc<Solved>) {
        self.start = Some(week);
    }

    /// Says that it will be asked what fruit does that ripens early or late.
    pub(super) fn expect_ripening(&mut self) {
        self.ripe_longer = true;
    }

    /// Questions settled so far by a week, and by the proof that there is none, here and at
    /// desks beside this one.
    pub(super) fn settled(&self) -> (usize, usize) {
        let count = |of: &AtomicUsize| of.load(Ordering::Relaxed);
        (count(&self.count.solved), count(&self.count.none))
    }

    /// Whether every question asked was settled.
    pub(super) fn all_settled(&self) -> bool {
        self.known.values().all(|answer| answer.proof.is_settled())
    }

    /// Answers a question.
    pub(super) fn ask(&mut self, question: &Question) -> Result<Answer, EngineFault> {
        let mut answers = self.ask_all(std::slice::from_ref(question))?;
        Ok(answers.pop().unwrap_or_else(|| Answer::none(Proof::Open)))
    }

    /// Answers questions, in their order.
    pub(super) fn ask_all(&mut self, questions: &[Question]) -> Result<Vec<Answer>, EngineFault> {
        let mut fresh: Vec<&Question> = questions
            .iter()
            .filter(|question| !self.known.contains_key(question))
            .collect();
        fresh.sort_unstable();
        fresh.dedup();
        self.list_near(&fresh)?;
        self.list_loose(&fresh)?;
        let found = self.settle(&fresh)?;
        for (question, mut answer) in fresh.into_iter().zip(found) {
            if let Some(list) = answer.beyond.take() {
                self.boxes.push((question.clone(), list));
            }
            self.known.insert(question.clone(), answer);
        }
        Ok(questions
            .iter()
            .map(|question| self.known.get(question).cloned())
            .map(|answer| answer.unwrap_or_else(|| Answer::none(Proof::Open)))
            .collect())
    }

    /// Lists the weeks up to an objective, with all seats that are free.
    fn list(&self, larder: &Larder, below: i64) -> Result<Option<NearWeeks>, EngineFault> {
        let taken = self.seats.take(self.first, self.threads - 1);
        NearWeeks::list(larder, below, MOST_NEAR_WORK, &self.limits(&taken))
    }

    /// The threads of these seats.
    fn limits(&self, taken: &Taken) -> Limits<'a> {
        Limits {
            threads: taken.count,
            stop: self.stop,
            progress: None,
        }
    }

    /// Lists the weeks near the best one once enough is asked that they may answer.
    fn list_near(&mut self, fresh: &[&Question]) -> Result<(), EngineFault> {
        let shut_out = |one: &&&Question| shuts_out(self.larder, one, self.ripe_longer);
        let shut_out = fresh.iter().filter(shut_out);
        self.near_asked += shut_out.count();
        let ordered = !self.larder.wishes.order.is_empty();
        let pays = self.near_asked >= NEAR_FROM && self.most_work.is_none() && !ordered;
        let Some(best) = self.start.as_ref().filter(|_| pays && !self.near_tried) else {
            return Ok(());
        };
        self.near_tried = true;
        let best = best.tally.objective_nano;
        let below = best.saturating_add((best / NEAR_PART).abs());
        let all = if self.ripe_longer {
            changed(self.larder, &[Change::RipeLonger]).map(Cow::Owned)
        } else {
            Ok(Cow::Borrowed(self.larder))
        };
        if let Ok(all) = all {
            self.near = self.list(&all, below)?;
        }
        Ok(())
    }

    /// Lists the weeks that any of these questions lets in, if there are enough such questions.
    fn list_loose(&mut self, fresh: &[&Question]) -> Result<(), EngineFault> {
        self.loose = None;
        let loose: BTreeSet<Question> = fresh
            .iter()
            .filter(|question| lets_in(question))
            .map(|&question| question.clone())
            .collect();
        let ordered = !self.larder.wishes.order.is_empty();
        let pays = loose.len() >= LOOSE_FROM && self.most_work.is_none() && !ordered;
        let Some(best) = self.start.as_ref().filter(|_| pays) else {
            return Ok(());
        };
        let changes: Vec<Change> = loose.iter().flat_map(|one| one.changes.clone()).collect();
        // The week to start from still stands: none that is dearer can be the best.
        let below = best.tally.objective_nano;
        if let Ok(loosest) = changed(self.larder, &changes) {
            let list = self.list(&loosest, below)?;
            self.loose = list.map(|list| (loose, list));
        }
        Ok(())
    }

    /// One question a thread; of a few, each gets all that are free, so that none waits for the
    /// longest. Plain threads: those of a pool would take up further questions while they wait
    /// for a search.
    fn settle(&self, fresh: &[&Question]) -> Result<Vec<Answer>, EngineFault> {
        // What questions differ in beside pins is made ready once, where several ask for it.
        let parted: Vec<(Vec<Change>, Vec<Pin>)> = fresh.iter().map(|one| one.parted()).collect();
        let mut times: BTreeMap<&[Change], usize> = BTreeMap::new();
        for (changes, _) in &parted {
            *times.entry(changes).or_default() += 1;
        }
        let larders: BTreeMap<&[Change], Larder> = times
            .into_iter()
            .filter(|&(_, times)| times > 1)
            .filter_map(|(changes, _)| Some((changes, changed(self.larder, changes).ok()?)))
            .collect();
        let ready: BTreeMap<&[Change], OnceLock<Ready>> = larders
            .keys()
            .map(|&changes| (changes, OnceLock::new()))
            .collect();
        let ready_for = |at: usize| -> Option<&Ready> {
            let (changes, larder) = larders.get_key_value(parted[at].0.as_slice())?;
            Some(
                ready
                    .get(changes)?
                    .get_or_init(|| Ready::new(larder, self.stop)),
            )
        };
        let count = &self.count;
        count.taken_up.fetch_add(fresh.len(), Ordering::Relaxed);
        // Of more, whoever is idle at the end helps with the last ones.
        let alone = if fresh.len() <= FEW {
            0
        } else {
            fresh.len().saturating_sub(self.threads)
        };
        let next = AtomicUsize::new(0);
        let found: Mutex<Vec<(usize, Result<Answer, EngineFault>)>> = Mutex::new(Vec::new());
        let work = || {
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                let Some(question) = fresh.get(at) else { break };
                let more = if at < alone { 0 } else { self.threads - 1 };
                let taken = self.seats.take(self.first, more);
                let shared = ready_for(at).map(|ready| (ready, parted[at].1.as_slice()));
                let answer = self.solve(question, shared, &self.limits(&taken));
                drop(taken);
                match answer.as_ref().map(|one| one.proof) {
                    Ok(Proof::Best) => count.solved.fetch_add(1, Ordering::Relaxed),
                    Ok(Proof::Impossible) => count.none.fetch_add(1, Ordering::Relaxed),
                    Ok(Proof::Open | Proof::NotAsked) | Err(_) => 0,
                };
                let done = count.done.fetch_add(1, Ordering::Relaxed) + 1;
                if let Some(progress) = self.progress {
                    progress(done, count.taken_up.load(Ordering::Relaxed));
                }
                if let Ok(mut found) = found.lock() {
                    found.push((at, answer));
                }
            }
        };
        thread::scope(|scope| {
            for _ in 1..self.threads.min(fresh.len()) {
                // Without another thread this one does all of it.
                if thread::Builder::new().spawn_scoped(scope, work).is_err() {
                    break;
                }
            }
            work();
        });
        let mut found = found.into_inner().unwrap_or_default();
        found.sort_by_key(|&(at, _)| at);
        found.into_iter().map(|(_, answer)| answer).collect()
    }

    /// A week to start from: of the same question with other ceilings the one least beyond
    /// these, and the best of those; or that of the same question without its last change.
    fn start_for(&self, question: &Question) -> Option<&Arc<Solved>> {
        let alike = self.known.iter().filter(|(other, _)| {
            other.changes == question.changes && other.apart == question.apart
        });
        let beyond = |sum: i64, most: Option<i64>| most.map_or(0, |most| (sum - most).max(0));
        let least = alike
            .filter_map(|(_, answer)| answer.week.as_ref())
            .min_by_key(|week| {
                let tally = &week.tally;
                (
                    beyond(tally.foods, question.foods_most),
                    beyond(tally.spoiled_nano, question.spoiled_most_nano),
                    tally.objective_nano,
                )
            });
        let mut without = question.clone();
        let shorter = without.changes.pop().is_some();
        let known = self.known.get(&without).filter(|_| shorter);
        let week = least.or_else(|| known.and_then(|answer| answer.week.as_ref()));
        week.or(self.start.as_ref())
    }

    /// The answer to giving a rule up, where its week keeps the rule a notch looser too: no
    /// week that does is better, or it would be better without the rule.
    fn as_without(&self, question: &Question) -> Option<Answer> {
        let &[Change::Loosen(rule, _)] = question.changes.as_slice() else {
            return None;
        };
        let without = Question {
            changes: vec![Change::Drop(rule)],
            ..question.clone()
        };
        let week = self.known.get(&without)?.best()?;
        let larder = changed(self.larder, &question.changes).ok()?;
        let tally = judge(&larder, &week.plan).ok()?;
        let plan = week.plan.clone();
        let ordered = !larder.wishes.order.is_empty();
        Some(Answer::new(Outcome::Best(Solved { plan, tally }), ordered))
    }

    /// Answers a question, with a larder that is ready but for some pins if there is one.
    fn solve(
        &self,
        question: &Question,
        shared: Option<(&Ready, &[Pin])>,
        limits: &Limits,
    ) -> Result<Answer, EngineFault> {
        if (self.stop)() {
            return Ok(Answer::none(Proof::Open));
        }
        if let Some(answer) = self.as_without(question) {
            return Ok(answer);
        }
        let near = match &self.loose {
            Some((questions, list)) if questions.contains(question) => Some(list),
            _ if shuts_out(self.larder, question, self.ripe_longer) => self.near.as_ref(),
            _ => {
                let lists = self.boxes.iter().filter(|(of, _)| of.holds(question));
                lists
                    .map(|(_, list)| &**list)
                    .max_by_key(|list| list.below_nano())
            }
        };
        let given = Given {
            apart: &question.apart,
            with: shared.map_or(&[], |(_, pins)| pins),
            foods_most: question.foods_most,
            spoiled_most_nano: question.spoiled_most_nano,
            objective_most_nano: question.objective_most_nano,
            near,
            beyond_part: question.asks_bill().then_some(BEYOND_PART),
            start: self.start_for(question).map(|week| &week.plan),
            most_work: self.most_work,
        };
        let (larder, own);
        let ready = if let Some((ready, _)) = shared {
            ready
        } else {
            larder = match changed(self.larder, &question.changes) {
                Ok(larder) => larder,
                Err(_) => return Ok(Answer::none(Proof::NotAsked)),
            };
            own = Ready::new(&larder, limits.stop);
            &own
        };
        let (outcome, _, beyond) = ready.solve_beyond(&given, limits)?;
        let ordered = !ready.larder().wishes.order.is_empty();
        Ok(Answer {
            beyond: beyond.map(Arc::new),
            ..Answer::new(outcome, ordered)
        })
    }
}
