//! Finds a week and all there is to say of it: solved, judged, explained, its prep timed.

use crate::engine::{EngineFault, Limits, Outcome, Progress, Solved, solve};
use crate::explain::{Explanation, Told, explain};
use crate::larder::Larder;
use crate::prep;

/// An answer.
#[derive(Clone, Debug)]
pub struct Found {
    /// The kitchen it is of.
    pub larder: Larder,
    /// What there is to say.
    pub told: Explanation,
    /// The week, if there is one.
    pub solved: Option<Solved>,
}

/// Answers a question.
///
/// # Errors
/// Those of the engine.
pub fn find(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
    progress: &(dyn Fn(&Progress) + Sync),
) -> Result<Found, EngineFault> {
    let limits = Limits {
        threads,
        stop,
        progress: Some(progress),
    };
    let (outcome, effort) = solve(larder, &limits)?;
    let mut told = explain(larder, &outcome, effort);
    let solved = match outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Some(solved),
        Outcome::Impossible | Outcome::OutOfTime { .. } => None,
    };
    if let Some(solved) = &solved {
        let prepared = prep::prepare(larder, &solved.plan, &[], stop);
        prep::judge(larder, &solved.plan, &[], &prepared).map_err(EngineFault::Refused)?;
        let notes = prep::notes(larder, &prepared.opened, &[]);
        told = told.prepared_with(larder, &solved.plan, &Told { prepared, notes });
    }
    Ok(Found {
        larder: larder.clone(),
        told,
        solved,
    })
}

/// The lunches of a larder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lunches {
    /// Those of the best week, in day order.
    Best(Vec<String>),
    /// There is no week.
    None,
    /// That was not settled.
    Open,
}

/// Returns the lunches of the best week alone.
///
/// # Errors
/// Those of the engine.
pub fn lunches(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Lunches, EngineFault> {
    let limits = Limits {
        threads,
        stop,
        progress: None,
    };
    Ok(match solve(larder, &limits)?.0 {
        Outcome::Best(week) => {
            let recipes = week.plan.lunches.iter();
            let names = recipes.map(|lunch| larder.recipes[lunch.recipe.index()].name.clone());
            Lunches::Best(names.collect())
        }
        Outcome::Impossible => Lunches::None,
        Outcome::Good { .. } | Outcome::OutOfTime { .. } => Lunches::Open,
    })
}
