//! The exact search: larder in, proved best week out.

#![allow(
    clippy::type_complexity,
    clippy::needless_range_loop,
    clippy::struct_excessive_bools,
    clippy::struct_field_names,
    clippy::verbose_bit_mask,
    clippy::match_same_arms,
    clippy::elidable_lifetime_names,
    clippy::question_mark,
    clippy::single_match_else,
    clippy::needless_pass_by_value,
    clippy::manual_let_else,
    clippy::option_if_let_else,
    reason = "tables of plain tuples and parallel arrays, walked by index"
)]

mod ahead;
mod batches;
mod beside;
mod books;
mod buying;
mod ceilings;
mod combine;
mod cooking;
mod cover;
mod days;
mod first;
mod flexible;
mod gauge;
mod given;
mod heads;
mod items;
mod last;
mod leaf;
mod least;
mod lots;
mod means;
mod members;
mod mixed;
mod near;
mod pack_floor;
mod pack_steps;
mod pairing;
mod plan;
mod pool;
mod ready;
mod relaxed;
#[cfg(test)]
mod samples;
mod score;
mod search;
mod shares;
mod sieve;
mod splits;
mod ways;

use crate::larder::{Aim, CapBy, Flaw, Larder, NANO};
use crate::plan::Plan;
use crate::rules::{Finding, Tally, judge};
pub use buying::Buying;
pub use given::{Apart, Given};
pub use near::NearWeeks;
pub use ready::{Beyond, Ready};

use score::{Ceiling, Ceilings, Weights};
use search::Stage;
use std::sync::atomic::AtomicBool;
use std::thread;
use std::time::Duration;

/// What a run may cost, and how it is told to stop.
pub struct Limits<'a> {
    /// Threads to use; 0 means all.
    pub threads: usize,
    /// Asked now and then; true means stop with what there is.
    pub stop: &'a (dyn Fn() -> bool + Sync),
    /// Told of progress now and then.
    pub progress: Option<&'a (dyn Fn(&Progress) + Sync)>,
}

/// How far a run is.
#[derive(Clone, Debug)]
pub struct Progress {
    /// The aim being settled, in a strict order of aims; none: the one-currency objective.
    pub aim: Option<Aim>,
    /// The best week so far, 1e-9 of what is being made small; none if there is none yet.
    pub best_nano: Option<i64>,
    /// No week is better than this; none before a bound is known.
    pub bound_nano: Option<i64>,
    /// Partial weeks looked at so far.
    pub nodes: u64,
}

/// A week that passed the judge.
#[derive(Clone, Debug)]
pub struct Solved {
    /// The week.
    pub plan: Plan,
    /// Its sums, by the judge.
    pub tally: Tally,
}

/// Work done; the same for any number of threads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Partial weeks looked at.
    pub nodes: u64,
    /// Candidates looked at in partial weeks, and what dividing lunches took, counted in the
    /// same: what time goes with, and the same on every machine.
    pub work: u64,
    /// Complete sets of lunches whose days and packs were settled.
    pub leaves: u64,
}

/// What a run proved.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// The best week there is, proved.
    Best(Solved),
    /// A week, and a bound below which there is none; stopped before proof.
    Good {
        /// The best week found.
        solved: Solved,
        /// No week has a smaller objective (of the aim being settled when stopped).
        bound_nano: i64,
    },
    /// No week exists, proved.
    Impossible,
    /// Stopped before any week was found; none has a smaller objective than the bound.
    OutOfTime {
        /// Lower bound on the objective.
        bound_nano: i64,
    },
}

/// A run that went wrong: our fault, never the kitchen's.
#[derive(Debug, thiserror::Error)]
pub enum EngineFault {
    /// The judge refused the engine's plan.
    #[error("the judge refused the plan: {0:?}")]
    Refused(Vec<Finding>),
    /// The engine's plan is one that the question ruled out.
    #[error("the week found is one that was ruled out")]
    NotAsAsked,
    /// The search and the judge count differently.
    #[error("the search counted {search} where the judge counts {judge} (1e-9 minor units)")]
    Miscounted {
        /// The search's objective.
        search: i64,
        /// The judge's objective.
        judge: i64,
    },
    /// The search could not spell out the week it found.
    #[error("the week found could not be written out")]
    Unwritten,
    /// The threads asked for could not be started.
    #[error("could not start the threads: {0}")]
    Threads(String),
    /// What was given beside the larder names what is not in it.
    #[error("what was given does not fit the larder: {0:?}")]
    Unfit(Vec<Flaw>),
}

/// Finds the best week.
///
/// # Errors
/// [`EngineFault`] when the judge refuses what the search found, or what is given is not there.
pub fn solve(larder: &Larder, limits: &Limits) -> Result<(Outcome, Effort), EngineFault> {
    solve_given(larder, &Given::default(), limits)
}

/// Finds the best week that also keeps what is given.
///
/// # Errors
/// Those of [`solve`].
pub fn solve_given(
    larder: &Larder,
    given: &Given,
    limits: &Limits,
) -> Result<(Outcome, Effort), EngineFault> {
    // Only the search itself goes to the threads: what is laid out here takes the place of
    // what reading the kitchen has given back, which other threads would not.
    let threads = threads(limits)?;
    let (outcome, effort, _) = Ready::new(larder, limits.stop).solve_on(&threads, given, limits)?;
    Ok((outcome, effort))
}

/// Milliseconds, doubled each time, that are waited for threads before giving up: a second in all.
const PAUSES: [u64; 10] = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512];

/// Starts the threads. Those of searches before may still be ending, and are counted until they
/// have: where so many cannot be had at first, that is waited for.
fn threads(limits: &Limits) -> Result<rayon::ThreadPool, EngineFault> {
    let build = || {
        rayon::ThreadPoolBuilder::new()
            .num_threads(limits.threads)
            .build()
    };
    for pause in PAUSES {
        if let Ok(threads) = build() {
            return Ok(threads);
        }
        thread::sleep(Duration::from_millis(pause));
    }
    build().map_err(|error| EngineFault::Threads(error.to_string()))
}

/// Ceilings from the wishes.
fn first_ceilings(larder: &Larder) -> Ceilings {
    let wishes = &larder.wishes;
    let cap = |by| Ceiling::of(wishes.cap.filter(|_| wishes.cap_by == by));
    Ceilings {
        foods: cap(CapBy::Foods),
        families: cap(CapBy::Families),
        packs: Ceiling::of(wishes.budget_minor),
        ..Ceilings::default()
    }
}

/// Keeps a settled aim where it is.
fn settle(ceilings: &mut Ceilings, aim: Aim, value: i64) {
    match aim {
        Aim::Foods => ceilings.foods.lower(value / NANO),
        Aim::Cost => ceilings.cost.lower(value),
        Aim::Spoiled => ceilings.spoiled.lower(value),
        Aim::Minutes => ceilings.minutes.lower(value),
    }
}

fn make_stage<'a>(
    laid: ready::Laid<'a>,
    aim: Option<Aim>,
    ceilings: Ceilings,
    given: &'a Given,
    limits: &'a Limits,
) -> Stage<'a> {
    let ready::Laid {
        pool, items, pairs, ..
    } = laid;
    let gauge = |weights: &Weights| laid.gauges.of(pool, weights, items);
    let weights = aim.map_or_else(|| Weights::money(pool.larder), Weights::aim);
    // The one-currency objective comes last, and settles ties.
    let last_stage = aim.is_none();
    let mut gauges = vec![gauge(&weights)];
    let mut tops = Vec::new();
    let mut add = |weights: Weights, top: i64| {
        gauges.push(gauge(&weights));
        tops.push(top);
    };
    if let Some(most) = ceilings.foods.most() {
        add(Weights::aim(Aim::Foods), most.saturating_mul(NANO));
    }
    if let Some(most) = ceilings.packs.most() {
        let mut packs = Weights::aim(Aim::Cost);
        packs.staple = 0;
        add(packs, most.saturating_mul(NANO));
    }
    if let Some(most) = ceilings.cost.most() {
        add(Weights::aim(Aim::Cost), most);
    }
    if let Some(most) = ceilings.spoiled.most() {
        add(Weights::aim(Aim::Spoiled), most);
    }
    if let Some(most) = ceilings.minutes.most() {
        add(Weights::aim(Aim::Minutes), most);
    }
    let (gauges, fixed) = gauges.into_iter().unzip();
    Stage {
        pool,
        items,
        pairs,
        fixed,
        gauges,
        limits: tops,
        ties: last_stage.then(|| [Aim::Cost, Aim::Spoiled].map(|aim| gauge(&Weights::aim(aim)).0)),
        covers: cover::Cover::all(pool, items, &ceilings),
        means: means::Mean::all(pool, items),
        classes: least::Classes::new(pool.larder),
        ceilings,
        last_stage,
        listing: None,
        too_long: AtomicBool::new(false),
        beyond_part: given
            .beyond_part
            .filter(|_| pool.larder.wishes.order.is_empty()),
        most: given
            .objective_most_nano
            .filter(|_| pool.larder.wishes.order.is_empty())
            .unwrap_or(i64::MAX),
        apart: given.apart,
        with: given.with,
        most_work: given.most_work,
        stop: limits.stop,
        stopped: AtomicBool::new(false),
        told: search::Told::new(limits.progress, aim),
    }
}

/// What a search that found a week ends with.
fn finished(
    stage: &Stage,
    found: &leaf::Found,
    open_bound: Option<i64>,
    given: &Given,
) -> Result<Outcome, EngineFault> {
    let solved = judged(stage, found, given)?;
    if let Some(bound_nano) = open_bound {
        let bound_nano = bound_nano.min(found.score.objective);
        return Ok(Outcome::Good { solved, bound_nano });
    }
    if solved.tally.objective_nano != found.score.objective {
        return Err(EngineFault::Miscounted {
            search: found.score.objective,
            judge: solved.tally.objective_nano,
        });
    }
    Ok(Outcome::Best(solved))
}

/// Writes the week out and has it judged.
fn judged(stage: &Stage, found: &leaf::Found, given: &Given) -> Result<Solved, EngineFault> {
    let plan = plan::write(stage, found).ok_or(EngineFault::Unwritten)?;
    let larder = given.wished(stage.pool.larder)?;
    match judge(&larder, &plan) {
        Ok(tally) if !given.kept_by(&plan, &tally) => Err(EngineFault::NotAsAsked),
        Ok(tally) => Ok(Solved { plan, tally }),
        Err(findings) => Err(EngineFault::Refused(findings)),
    }
}
