//! The exact search: larder in, proved best week out.

use crate::larder::Larder;
use crate::plan::Plan;
use crate::rules::{Finding, Tally};

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
    /// Objective of the best week so far, 1e-9 minor units.
    pub best_nano: Option<i64>,
    /// No week is better than this.
    pub bound_nano: i64,
    /// Sets of lunches looked at so far.
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
    /// Figures so large that sums could overflow.
    #[error("the kitchen's figures are too large to add up exactly")]
    TooLarge,
}

/// Finds the best week.
///
/// # Errors
/// [`EngineFault`] when the judge refuses what the search found or sums could overflow.
pub fn solve(_larder: &Larder, _limits: &Limits) -> Result<(Outcome, Effort), EngineFault> {
    unimplemented!()
}
