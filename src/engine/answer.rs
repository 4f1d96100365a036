//! What a run may cost, and what it ends with.

use crate::larder::{Aim, Flaw};
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
