//! Finds a week and all there is to say of it: solved, judged, explained, its prep timed.

use crate::engine::{
    EngineFault, Given, Limits, NearWeeks, Outcome, Progress, Solved, solve, solve_given,
};
use crate::explain::{Explanation, Told, explain};
use crate::finish::{Placed, finish};
use crate::larder::Larder;
use crate::plan::Plan;
use crate::prep;
use crate::rules::judge_finished;

/// An answer.
#[derive(Clone, Debug)]
pub struct Found {
    /// The kitchen it is of.
    pub larder: Larder,
    /// What there is to say.
    pub told: Explanation,
    /// The week, if there is one.
    pub solved: Option<Solved>,
    /// Nothing of it was cut short: asked again, it is the same.
    pub whole: bool,
}

/// Answers a question; `near` are all weeks up to an objective of one that allows whatever this one
/// does ([`Given::near`]), and change nothing of the answer.
///
/// # Errors
/// Those of the engine.
pub fn find(
    larder: &Larder,
    near: Option<&NearWeeks>,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
    progress: &(dyn Fn(&Progress) + Sync),
) -> Result<Found, EngineFault> {
    let limits = Limits {
        threads,
        stop,
        progress: Some(progress),
    };
    let given = Given {
        near,
        ..Given::default()
    };
    let (outcome, effort) = solve_given(larder, &given, &limits)?;
    let mut told = explain(larder, &outcome, effort);
    let solved = match outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Some(solved),
        Outcome::Impossible | Outcome::OutOfTime { .. } => None,
    };
    if let Some(solved) = &solved {
        told = prepared(told, larder, (&solved.plan, &[]), stop)?;
    }
    Ok(Found {
        larder: larder.clone(),
        told,
        solved,
        whole: !stop(),
    })
}

fn prepared(
    told: Explanation,
    larder: &Larder,
    (plan, placed): (&Plan, &[Placed]),
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Explanation, EngineFault> {
    let prepared = prep::prepare(larder, plan, placed, stop);
    prep::judge(larder, plan, placed, &prepared).map_err(EngineFault::Refused)?;
    let notes = prep::notes(larder, &prepared.opened, placed);
    Ok(told.prepared_with(larder, plan, &Told { prepared, notes }))
}

/// What goes on paper: the week found, finished from what is left of its packs, as the sheet has it
/// where nothing else is asked.
///
/// # Errors
/// Those of the engine.
pub fn on_paper(
    found: &Found,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Explanation, EngineFault> {
    let Some(solved) = &found.solved else {
        return Ok(found.told.clone());
    };
    let (larder, plan) = (&found.larder, &solved.plan);
    let finished = finish(larder, plan, 0);
    let each = finished.placed.iter();
    let placed: Vec<_> = each
        .map(|placed| (placed.day, placed.finisher, placed.mg))
        .collect();
    judge_finished(larder, plan, &finished.plan, &placed).map_err(EngineFault::Refused)?;
    let told = found.told.clone().finished_with(larder, &finished);
    prepared(told, larder, (&finished.plan, &finished.placed), stop)
}

/// Returns the names of an answer's lunches, none if it is proved that there is no week.
pub fn names(found: &Found) -> Option<Vec<String>> {
    let week = found.solved.as_ref()?;
    Some(lunch_names(&found.larder, &week.plan))
}

fn lunch_names(larder: &Larder, plan: &Plan) -> Vec<String> {
    let recipes = plan.lunches.iter();
    recipes
        .map(|lunch| larder.recipes[lunch.recipe.index()].name.clone())
        .collect()
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
        Outcome::Best(week) => Lunches::Best(lunch_names(larder, &week.plan)),
        Outcome::Impossible => Lunches::None,
        Outcome::Good { .. } | Outcome::OutOfTime { .. } => Lunches::Open,
    })
}
