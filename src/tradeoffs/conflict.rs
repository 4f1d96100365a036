//! Turns an impossible kitchen into rules that cannot hold together, none to spare, and into
//! the cheapest ways out.
//!
//! Rules are dropped one by one: if the rest is still impossible the rule stays dropped,
//! else it is part of the conflict. What remains is impossible together, and dropping any
//! one of them makes the rest possible. What is tried first is kept only if nothing else can
//! be blamed, so the options of this run come first, then bans and pins: they are blamed last
//! among equals.

use std::sync::atomic::{AtomicBool, Ordering};

use super::change::{Change, changed};
use super::desk::{Answer, Desk, Question};
use super::facts::{Proof, brief};
use super::key;
use super::rules::{Rule, in_force};
use crate::engine::{EngineFault, Limits, Outcome, Progress, solve};
use crate::explain::{Conflict, How, WayOut, When};
use crate::larder::{Day, Larder};

/// Notches a rule is loosened by at most before it is given up.
const MOST_NOTCHES: u8 = 3;

/// Whether a rule was set for this run and is not the kitchen's own.
fn own(rule: Rule, larder: &Larder, plain: &Larder) -> bool {
    let (now, kitchen) = (&larder.wishes, &plain.wishes);
    match rule {
        Rule::Without(at) => at >= kitchen.without.len(),
        Rule::With(at) => at >= kitchen.with.len(),
        Rule::Cap => (now.cap, now.cap_by) != (kitchen.cap, kitchen.cap_by),
        Rule::Budget => now.budget_minor != kitchen.budget_minor,
        _ => false,
    }
}

/// Finds a conflict in a kitchen that was proved impossible, and ways out; `None` if stopped
/// before the conflict was found. `plain` is the kitchen without the options of this run.
///
/// # Errors
/// Those of the engine.
pub fn conflict(
    larder: &Larder,
    plain: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Conflict>, EngineFault> {
    let mut rules = in_force(larder);
    rules.sort_by_key(|&rule| !own(rule, larder, plain));
    let mut dropped: Vec<Change> = Vec::new();
    let mut kept = Vec::new();
    for rule in rules {
        dropped.push(Change::Drop(rule));
        match possible(&changed(larder, &dropped), threads, stop)? {
            Some(true) => {
                dropped.pop();
                kept.push(rule);
            }
            Some(false) => {}
            None => return Ok(None),
        }
    }
    let (ways, ways_settled) = ways_out(larder, &kept, threads, stop)?;
    Ok(Some(Conflict {
        rules: kept.iter().map(|rule| rule.told(larder)).collect(),
        ways,
        ways_settled,
    }))
}

/// Whether there is any week; `None` if stopped before that was known.
fn possible(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<bool>, EngineFault> {
    let mut larder = larder.clone();
    larder.wishes.order.clear();
    // Any week will do: the first one told of ends the search.
    let found = AtomicBool::new(false);
    let progress = |progress: &Progress| {
        if progress.best_nano.is_some() {
            found.store(true, Ordering::Relaxed);
        }
    };
    let limits = Limits {
        threads,
        stop: &|| found.load(Ordering::Relaxed) || stop(),
        progress: Some(&progress),
    };
    Ok(match solve(&larder, &limits)?.0 {
        Outcome::Best(_) | Outcome::Good { .. } => Some(true),
        Outcome::Impossible => Some(false),
        Outcome::OutOfTime { .. } => found.load(Ordering::Relaxed).then_some(true),
    })
}

/// The least change of each rule of a conflict, and of the trips, that makes a week possible
/// while all other rules stay; and whether all of them were settled.
fn ways_out(
    larder: &Larder,
    rules: &[Rule],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<(Vec<WayOut>, bool), EngineFault> {
    let mut desk = Desk::new(larder, threads, stop, None);
    let drop = |rule: Rule| Question::one(Change::Drop(rule));
    let mut first: Vec<Question> = rules.iter().copied().map(drop).collect();
    let trip = middle(larder);
    first.extend(trip.map(|day| Question::one(Change::TripOn(day))));
    let answers = desk.ask_all(&first)?;
    let mut settled = answers.iter().all(|answer| answer.proof != Proof::Open);
    let mut ways: Vec<(Vec<i64>, WayOut)> = Vec::new();
    let mut add = |how: How, changes: &[Change], answer: &Answer| {
        if let Some(week) = answer.best() {
            let told = brief(&changed(larder, changes), &week.plan, &week.tally);
            let lunches = told.lunches.into_iter();
            let way = WayOut {
                how,
                lunches: lunches.map(|lunch| (lunch.when, lunch.recipe)).collect(),
                sums: told.sums,
            };
            ways.push((key(&larder.wishes.order, week), way));
        }
    };
    for (&rule, answer) in rules.iter().zip(&answers) {
        // Given up there is no week: a notch less gives none either.
        if answer.best().is_none() {
            continue;
        }
        let mut least = None;
        for notches in 1..=MOST_NOTCHES {
            if !rule.has_notches(larder) {
                break;
            }
            let looser = desk.ask(&Question::one(Change::Loosen(rule, notches)))?;
            settled &= looser.proof != Proof::Open;
            if looser.best().is_some() {
                least = Some((notches, looser));
                break;
            }
        }
        match least {
            Some((notches, looser)) => {
                let how = How::Looser(rule.told_looser(larder, notches));
                add(how, &[Change::Loosen(rule, notches)], &looser);
            }
            None => add(
                How::Without(rule.told(larder)),
                &[Change::Drop(rule)],
                answer,
            ),
        }
    }
    if let (Some(day), Some(answer)) = (trip, answers.get(rules.len())) {
        let when = When {
            day: i32::from(day),
            name: larder.day_name(i32::from(day)),
        };
        add(How::Trip(when), &[Change::TripOn(day)], answer);
    }
    ways.sort_by(|a, b| a.0.cmp(&b.0));
    Ok((ways.into_iter().map(|(_, way)| way).collect(), settled))
}

/// The middle of the week, if no trip is made on it and one may be.
fn middle(larder: &Larder) -> Option<Day> {
    let lunches = larder.week.lunches;
    let day = lunches.div_ceil(2);
    (day < lunches && !larder.week.trips.contains(&day)).then_some(day)
}
