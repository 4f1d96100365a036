//! Where a limit begins to matter: at which values of it another week becomes the best one, and the
//! least value at which there is a week, all other rules in force.
//!
//! Without the limit the best week takes so much of what is limited; down to that value it stays the
//! best, as it keeps the limit and no week that is left is better. One unit less, another week is the
//! best, and so on down to where there is none: each step is one week solved to the end. A limit that
//! has more steps than are walked gets its least value by halves: any week found moves the one end to
//! what that week takes, a proof that there is none moves the other.

use super::nearest::first_told;
use crate::engine::{EngineFault, Limits, NearWeeks, Outcome, Solved, solve};
use crate::explain;
use crate::larder::{CapBy, Contents, Larder, NANO};

/// What may be limited by a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Counted foods bought, or their families.
    Foods,
    /// Price of all packs, minor units.
    Bill,
    /// Active minutes on the prep day, whole ones.
    PrepMinutes,
    /// Active minutes on each lunch day, whole ones.
    DayMinutes,
    /// Minutes in the kitchen on each day, the prep day among them: active and watched ones one
    /// after another, whole ones.
    KitchenMinutes,
}

/// Where a limit matters.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Edges {
    /// Values from which upwards a week is the best one, as far as the next: falling. Empty if there
    /// is no week whatever the limit, or none was settled.
    pub changes: Vec<i64>,
    /// Whether these are all.
    pub all: bool,
    /// The least value with a week, proved; none if there is no week at all or it was not settled.
    pub least: Option<i64>,
    /// Proved: no value of the limit gives a week.
    pub none: bool,
}

/// Steps walked at most.
const MOST_STEPS: usize = 12;

/// Sets a limit, or takes it out of force.
pub fn set_limit(new: &mut Contents, limit: Limit, most: Option<i64>) {
    let wishes = &mut new.wishes;
    let nano = most.map(|minutes| minutes.saturating_mul(NANO));
    match limit {
        Limit::Foods => wishes.cap = most,
        Limit::Bill => wishes.budget_minor = most,
        Limit::PrepMinutes => wishes
            .minutes_nano
            .iter_mut()
            .take(1)
            .for_each(|day| *day = nano),
        Limit::DayMinutes => wishes
            .minutes_nano
            .iter_mut()
            .skip(1)
            .for_each(|day| *day = nano),
        Limit::KitchenMinutes => wishes.kitchen_minutes_nano.fill(nano),
    }
}

/// Returns how much a week takes of what is limited, in units of the limit, rounded up.
pub fn taken_of(larder: &Larder, limit: Limit, week: &Solved) -> i64 {
    let (tally, plan) = (&week.tally, &week.plan);
    let whole = |nano: Option<i64>| (nano.unwrap_or(0) + NANO - 1).div_euclid(NANO);
    let minutes = |prep: bool| {
        let days = explain::week(larder, plan, tally).minutes;
        let mine = days.iter().filter(|day| (day.when.day == 0) == prep);
        whole(mine.map(|day| day.minutes_nano).max())
    };
    match limit {
        Limit::Foods if larder.wishes.cap_by == CapBy::Families => tally.families,
        Limit::Foods => tally.foods,
        Limit::Bill => tally.packs_minor,
        Limit::PrepMinutes => minutes(true),
        Limit::DayMinutes => minutes(false),
        Limit::KitchenMinutes => {
            let days = explain::kitchen_time(larder, plan);
            whole(days.iter().map(|day| day.minutes_nano).max())
        }
    }
}

/// A way down through the values of a limit: what was found of it, and the best week of each step.
#[derive(Clone, Debug, Default)]
pub struct Walk {
    /// Where the limit matters, as far as the walk has come.
    pub edges: Edges,
    /// The best week from each change up to the one before.
    weeks: Vec<NearWeeks>,
    /// Nothing is left to find.
    pub done: bool,
}

impl Walk {
    /// The best week under a value of the limit, none where the walk has not come so far: as a list of the
    /// lunches of that week alone.
    pub fn best_under(&self, value: i64) -> Option<&NearWeeks> {
        let changes = self.edges.changes.iter();
        let mut steps = changes.zip(&self.weeks);
        steps
            .find(|&(&change, _)| change <= value)
            .map(|step| step.1)
    }
}

/// Finds where a limit matters, for as long as `stop` lets it.
///
/// # Errors
/// Those of the engine.
pub fn edges(
    larder: &Larder,
    limit: Limit,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Edges, EngineFault> {
    Ok(walk(larder, limit, threads, Walk::default(), stop)?.edges)
}

/// The same from where a walk under the same rules has come to, for as long as `stop` lets it.
///
/// # Errors
/// Those of the engine.
pub fn walk(
    larder: &Larder,
    limit: Limit,
    threads: usize,
    begun: Walk,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Walk, EngineFault> {
    let mut walk = begun;
    if walk.done {
        return Ok(walk);
    }
    while walk.edges.changes.len() < MOST_STEPS {
        let most = walk.edges.changes.last().map(|last| last - 1);
        if most.is_some_and(|most| most < 0) {
            return Ok(walk.ended());
        }
        let changed = limited(larder, limit, most)?;
        let limits = Limits {
            threads,
            stop,
            progress: None,
        };
        match solve(&changed, &limits)?.0 {
            Outcome::Best(week) => {
                walk.edges.changes.push(taken_of(&changed, limit, &week));
                walk.weeks.push(NearWeeks::best_alone(&week));
            }
            Outcome::Impossible => return Ok(walk.ended()),
            Outcome::Good { .. } | Outcome::OutOfTime { .. } => return Ok(walk),
        }
    }
    if let Some(&some) = walk.edges.changes.last() {
        walk.edges.least = least(larder, limit, some, threads, stop)?;
        walk.done = walk.edges.least.is_some();
    }
    Ok(walk)
}

impl Walk {
    /// Nothing is left below the last value.
    fn ended(mut self) -> Self {
        let edges = &mut self.edges;
        edges.all = true;
        edges.least = edges.changes.last().copied();
        edges.none = edges.changes.is_empty();
        self.done = true;
        self
    }
}

fn limited(larder: &Larder, limit: Limit, most: Option<i64>) -> Result<Larder, EngineFault> {
    let changed = larder.changed(|new| set_limit(new, limit, most));
    changed.map_err(EngineFault::Unfit)
}

/// The least value with a week, where `some` has one; none if it was not settled.
fn least(
    larder: &Larder,
    limit: Limit,
    mut some: i64,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<i64>, EngineFault> {
    let mut none = -1;
    while some - none > 1 {
        let middle = none + (some - none) / 2;
        let mut changed = limited(larder, limit, Some(middle))?;
        if let Ok(free) = changed.changed(|new| new.wishes.order.clear()) {
            changed = free;
        }
        match first_told(&changed, threads, stop)?.0 {
            Outcome::Best(week) | Outcome::Good { solved: week, .. } => {
                some = taken_of(&changed, limit, &week).min(middle);
            }
            Outcome::Impossible => none = middle,
            Outcome::OutOfTime { .. } => return Ok(None),
        }
    }
    Ok(Some(some))
}
