//! Runs `week` and `tradeoffs` on a kitchen with options, as the command line does, through the
//! functions that it uses; `tests/claims.rs` holds some against the program itself.

use std::sync::atomic::{AtomicU64, Ordering};

use scant::engine::{Given, Limits, Outcome, Solved, solve_given};
use scant::explain::{Told as Prepared, Verdict, explain};
use scant::finish::finish;
use scant::kitchen::names::{resolve_pin, resolve_target};
use scant::larder::{Aim, CapBy, Contents, Larder};
use scant::prep;
use scant::report;
use scant::rules::judge_finished;
use scant::tradeoffs::{self, Ask, Proof, Section};

use super::page::plain;
use super::support::random::Dice;

/// The options of a run.
#[derive(Clone, Debug, Default)]
pub struct Options {
    pub without: Vec<String>,
    pub with: Option<String>,
    pub cap: Option<i64>,
    pub cap_families: bool,
    pub budget_minor: Option<i64>,
    pub eaters_milli: Option<i64>,
    pub order: Vec<Aim>,
    /// Finishers, with so many packs more.
    pub finish: Option<usize>,
    /// Stop after so little work: of a search, and of trade-offs when they have asked so often
    /// whether to stop.
    pub most_work: Option<u64>,
}

impl Options {
    /// The words of the command line, which knows no other end than time.
    pub fn words(&self, larder: &Contents) -> Vec<String> {
        let mut words = Vec::new();
        let mut add = |option: &str, value: String| {
            words.push(option.to_owned());
            words.extend((!value.is_empty()).then_some(value));
        };
        for name in &self.without {
            add("--without", name.clone());
        }
        if let Some(name) = &self.with {
            add("--with", name.clone());
        }
        if let Some(cap) = self.cap {
            add("--cap", cap.to_string());
        }
        if self.cap_families {
            add("--cap-families", String::new());
        }
        if let Some(budget) = self.budget_minor {
            add("--budget", plain(budget, &larder.currency));
        }
        if let Some(milli) = self.eaters_milli {
            add("--eaters", super::page::thousandths(milli));
        }
        if !self.order.is_empty() {
            let order: Vec<&str> = self.order.iter().map(|&aim| word(aim)).collect();
            add("--order", order.join(","));
        }
        words
    }

    /// The options that change rules, as the report repeats them.
    pub fn asked(&self, larder: &Contents) -> Vec<String> {
        let eaters = Self {
            eaters_milli: None,
            ..self.clone()
        };
        let mut asked: Vec<String> = Vec::new();
        for word in eaters.words(larder) {
            if word.starts_with("--") {
                asked.push(word);
            } else if let Some(option) = asked.last_mut() {
                *option += &format!(" {word}");
            }
        }
        // The cap first, then bans, as the report has them.
        let place = |option: &String| {
            let order = [
                "--cap",
                "--cap-families",
                "--without",
                "--with",
                "--budget",
                "--order",
            ];
            let name = option.split(' ').next();
            order.iter().position(|&one| Some(one) == name)
        };
        asked.sort_by_key(place);
        asked
    }

    /// The larder with the options set.
    pub fn set(&self, plain: &Contents) -> Contents {
        let mut larder = plain.clone();
        let wishes = &mut larder.wishes;
        if self.cap.is_some() {
            wishes.cap = self.cap;
        }
        if self.cap_families {
            wishes.cap_by = CapBy::Families;
        }
        if self.budget_minor.is_some() {
            wishes.budget_minor = self.budget_minor;
        }
        if let Some(milli) = self.eaters_milli {
            larder.week.eaters_milli.fill(milli);
        }
        if !self.order.is_empty() {
            self.order.clone_into(&mut wishes.order);
        }
        for name in &self.without {
            let targets = resolve_target(&larder, name).expect("a name of the kitchen");
            larder.wishes.without.extend(targets);
        }
        if let Some(name) = &self.with {
            let pin = resolve_pin(&larder, name).expect("a name of the kitchen");
            larder.wishes.with.push(pin);
        }
        larder
    }
}

pub fn word(aim: Aim) -> &'static str {
    match aim {
        Aim::Foods => "foods",
        Aim::Cost => "cost",
        Aim::Spoiled => "spoiled",
        Aim::Minutes => "minutes",
    }
}

/// Draws options; `plain` is the plain kitchen's week, if it has one.
pub fn draw(dice: &mut Dice, larder: &Contents, plain: Option<&Solved>) -> Options {
    let mut options = Options::default();
    // One run in five is the kitchen as it is.
    if dice.chance(20) {
        return options;
    }
    let mut names: Vec<String> = larder.foods.iter().map(|food| food.name.clone()).collect();
    names.extend(larder.recipes.iter().map(|recipe| recipe.name.clone()));
    let wanted = names.clone();
    names.extend(
        larder
            .components
            .iter()
            .map(|component| component.name.clone()),
    );
    names.extend(larder.families.iter().cloned());
    for food in &larder.foods {
        names.extend(food.tags.iter().chain(&food.allergens).cloned());
    }
    names.extend(
        larder
            .recipes
            .iter()
            .flat_map(|recipe| recipe.needs.clone()),
    );
    if dice.chance(30) {
        options.without.push(dice.pick(&names).clone());
        if dice.chance(25) {
            options.without.push(dice.pick(&names).clone());
        }
    }
    if dice.chance(20) {
        let name = dice.pick(&wanted).clone();
        options.with = Some(if dice.chance(40) {
            let day = dice.roll(1, larder.week.lunches.into());
            format!("{name}@{day}")
        } else {
            name
        });
    }
    if dice.chance(20) {
        let foods = plain.map_or(2, |week| week.tally.foods);
        options.cap = Some((foods + dice.roll(-1, 2)).max(0));
        options.cap_families = dice.chance(30);
    }
    if dice.chance(45) {
        // Far off, just enough, and just short of what the plain week costs.
        let bill = plain.map_or(1_000, |week| week.tally.packs_minor);
        let factor = *dice.pick(&[300, 700, 950, 1_000, 1_000, 1_020, 1_150, 3_000]);
        options.budget_minor = Some((bill * factor / 1_000 - dice.roll(0, 1)).max(0));
    }
    if dice.chance(15) {
        options.eaters_milli = Some(*dice.pick(&[1_000, 2_000, 3_000, 1_250]));
    }
    if dice.chance(12) {
        let mut all = [Aim::Foods, Aim::Cost, Aim::Spoiled, Aim::Minutes];
        dice.shuffle(&mut all);
        options.order = all[..dice.roll(1, 4) as usize].to_vec();
    }
    if dice.chance(30) {
        options.finish = Some(dice.roll(0, 2) as usize);
    }
    if dice.chance(25) {
        options.most_work = Some(*dice.pick(&[0, 0, 0, 1, 3, 10, 30]));
    }
    options
}

/// Stops when it was asked often enough.
fn stop(most: Option<u64>) -> impl Fn() -> bool + Sync {
    let asked = AtomicU64::new(0);
    move || most.is_some_and(|most| asked.fetch_add(1, Ordering::Relaxed) >= most)
}

/// Searches to the end, or until so much work is done.
pub fn search(larder: &Contents, most_work: Option<u64>) -> (Outcome, scant::engine::Effort) {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let given = Given {
        most_work,
        ..Given::default()
    };
    solve_given(&checked(larder), &given, &limits).expect("no fault of ours")
}

/// Contents as a larder: what is changed here stays within the limits.
pub fn checked(contents: &Contents) -> Larder {
    let checked = Larder::checked(contents.clone());
    checked.unwrap_or_else(|flaws| panic!("{flaws:?}"))
}

/// Whether there may be such a kitchen. Of one beyond the limits nothing can be asked.
pub fn may_be(contents: &Contents) -> bool {
    Larder::checked(contents.clone()).is_ok()
}

/// The best week, searched to the end; none if there is none.
pub fn best(larder: &Contents) -> Option<Solved> {
    match search(larder, None).0 {
        Outcome::Best(solved) => Some(solved),
        Outcome::Impossible => None,
        other => panic!("not ended: {other:?}"),
    }
}

/// What `scant week` printed, and what it was printed of.
pub struct Week {
    pub larder: Contents,
    /// Without the options but for who eats.
    pub before: Contents,
    /// The whole report.
    pub text: String,
    /// The first screen.
    pub screen: String,
    /// The same, 120 columns wide.
    pub wide: String,
    /// What is done when, where there is a week.
    pub prep: Option<String>,
    pub json: String,
    pub outcome: Outcome,
}

/// Work the changes told at the end of a week may take, as on the command line.
const TELLING_WORK: u64 = 8_000_000;

/// Lunches up to which a conflict is looked for.
const MOST_LUNCHES: u8 = 3;

/// Runs `scant week`.
pub fn week(plain: &Contents, options: &Options) -> Week {
    let larder = options.set(plain);
    let mut before = larder.clone();
    before.wishes = plain.wishes.clone();
    let (outcome, effort) = search(&larder, options.most_work);
    let mut told = explain(&checked(&larder), &outcome, effort);
    let solved = match &outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Some(solved),
        _ => None,
    };
    let mut plan = solved.map(|solved| solved.plan.clone());
    let mut placed = Vec::new();
    if let (Some(solved), Some(packs)) = (solved, options.finish) {
        let finished = finish(&checked(&larder), &solved.plan, packs);
        placed.clone_from(&finished.placed);
        plan = Some(finished.plan.clone());
        let lines: Vec<_> = finished
            .placed
            .iter()
            .map(|placed| (placed.day, placed.finisher, placed.mg))
            .collect();
        judge_finished(&checked(&larder), &solved.plan, &finished.plan, &lines)
            .expect("it keeps the rules");
        told = told.finished_with(&checked(&larder), &finished);
    }
    let asked = options.asked(plain);
    if !asked.is_empty() {
        let (outcome, effort) = search(&before, options.most_work);
        let other = explain(&checked(&before), &outcome, effort);
        told = told.compared_with(asked, options.without.clone(), &other);
    }
    let halt = stop(options.most_work);
    // In a long week of few recipes packs can be counted out over the days in so many ways that
    // some questions of a conflict take minutes: as if it had been stopped before them.
    let long = larder.week.lunches > MOST_LUNCHES;
    if told.verdict == Verdict::Impossible && !long {
        told.conflict = tradeoffs::conflict(&checked(&larder), &checked(plain), 1, &halt)
            .expect("no fault of ours");
    }
    told = told.after(&[]);
    let mut text = report::text(&told);
    let mut screened = told.clone();
    if let Some(plan) = &plan {
        let larder = checked(&larder);
        let prepared = prep::prepare(&larder, plan, &placed, &|| false);
        prep::judge(&larder, plan, &placed, &prepared).expect("it can be done");
        let notes = prep::notes(&larder, &prepared.opened, &placed);
        screened = screened.prepared_with(&larder, plan, &Prepared { prepared, notes });
    }
    if let (Some(solved), Verdict::Best) = (solved, told.verdict) {
        if effort.work <= TELLING_WORK {
            let telling = tradeoffs::telling(&checked(&larder), solved, 1, TELLING_WORK, &halt);
            told.telling = telling.expect("no fault of ours");
        }
        told.misses = Some(tradeoffs::misses(&checked(&larder), solved, &halt));
        text += &report::changes_told(&told);
    }
    screened.telling.clone_from(&told.telling);
    screened.misses.clone_from(&told.misses);
    let page = |columns: usize| {
        let look = report::Look::of_columns(columns);
        let (first, end) = (
            report::first(&screened, look),
            report::first_end(&screened, look),
        );
        first.plain() + &end.plain()
    };
    Week {
        screen: page(80),
        wide: page(120),
        prep: screened
            .prep
            .is_some()
            .then(|| report::prep_json(&screened)),
        json: report::json(&told),
        larder,
        before,
        text,
        outcome,
    }
}

/// What `scant tradeoffs` printed, and what it was printed of.
pub struct Told {
    pub larder: Contents,
    /// The whole report.
    pub text: String,
    /// The findings that matter.
    pub screen: String,
    pub json: String,
    pub proof: Proof,
    /// Questions taken up, as told on the way.
    pub questions: usize,
}

/// Runs `scant tradeoffs`.
pub fn tradeoffs(plain: &Contents, options: &Options, sections: &[Section]) -> Told {
    let larder = options.set(plain);
    let most = AtomicU64::new(0);
    let ask = Ask {
        sections,
        others: 2,
        margin_minor: None,
        threads: 1,
        stop: &stop(options.most_work.map(|work| work * 2)),
        progress: Some(&|done, _| {
            most.fetch_max(done as u64, Ordering::Relaxed);
        }),
    };
    let told =
        tradeoffs::tradeoffs(&checked(&larder), &checked(plain), &ask).expect("no fault of ours");
    Told {
        screen: report::trade_screen(&told, report::Look::default()).plain(),
        text: report::tradeoffs(&told),
        json: report::tradeoffs_json(&told),
        proof: told.proof,
        larder,
        questions: most.into_inner() as usize,
    }
}
