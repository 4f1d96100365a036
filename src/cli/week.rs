//! `scant week`: kitchen in, best week out.

use std::time::Duration;

use super::args::{AskArgs, EngineWord, Finishing, Format, WeekArgs};
use super::{Exit, clock, console, request};
use crate::engine::{Effort, EngineFault, Outcome, Solved};
use crate::explain::{Explanation, Told, Verdict, explain};
use crate::finish::{Placed, finish};
use crate::larder::Larder;
use crate::plan::Plan;
use crate::prep;
use crate::program::{self, solve::Answer};
use crate::report;
use crate::rules::judge_finished;

pub(super) fn run(args: &WeekArgs) -> Exit {
    let ask = &args.ask;
    let (plain, larder, before) = match request::week(ask) {
        Ok(asked) => asked,
        Err(exit) => return exit,
    };
    if args.engine == EngineWord::Program {
        return by_program(&larder, args, &before);
    }
    let found = match answer(&plain, &larder, ask, args.told.finish, For::Week, "") {
        Ok(found) => found,
        Err(fault) => return ours(&fault),
    };
    let mut told = found.told.after(&before);
    let asked = !args.brief && !clock::interrupted();
    let solved = match found.solved {
        Some(solved) if asked && told.verdict == Verdict::Best => solved,
        _ => return show(&told, args.told.format),
    };
    // The week is there to be read while what changes would cost is worked out.
    if args.told.format == Format::Text {
        show(&told, args.told.format);
    }
    match clock::telling(&larder, &solved, told.effort, ask.threads, ask.limit) {
        Ok(telling) => told.telling = telling,
        Err(fault) => return ours(&fault),
    }
    match args.told.format {
        Format::Text => super::print(&report::changes_told(&told), told.verdict.into()),
        Format::Json => show(&told, args.told.format),
    }
}

/// What a week is found for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum For {
    /// To be printed: a ban is held against the same kitchen without it.
    Week,
    /// For recipes, lists and weeks in a row: the week alone.
    Paper,
    /// To say what is done when.
    Prep,
}

/// A week found.
pub(super) struct Found {
    pub(super) told: Explanation,
    /// Its plan, with what finishers draw.
    pub(super) plan: Option<Plan>,
    /// The week as the search left it.
    solved: Option<Solved>,
}

/// Finds and explains the week of `larder`; `which` opens what is said of the search.
pub(super) fn answer(
    plain: &Larder,
    larder: &Larder,
    ask: &AskArgs,
    finishing: Finishing,
    purpose: For,
    which: &str,
) -> Result<Found, EngineFault> {
    clock::watch();
    let (mut explanation, solved) = search(larder, ask, which)?;
    let mut plan = None;
    if let Some(solved) = &solved {
        let week = solved.plan.clone();
        let (told, finished) = finished(explanation, larder, week, finishing, purpose)?;
        (explanation, plan) = (told, Some(finished));
    }
    if purpose == For::Week && !ask.without.is_empty() && !clock::interrupted() {
        // The same run with everything allowed that --without took away.
        let mut before = larder.clone();
        before.wishes.without.clone_from(&plain.wishes.without);
        let banned = ask.without.iter().map(|name| name.raw().to_owned());
        let banned = banned.collect();
        let (before, _) = search(&before, ask, "for comparison, without the ban: ")?;
        explanation = explanation.compared_with(banned, &before);
    }
    if explanation.verdict == Verdict::Impossible && !clock::interrupted() {
        explanation.conflict = clock::conflict(larder, plain, ask.threads, ask.limit)?;
    }
    Ok(Found {
        told: explanation,
        plan,
        solved,
    })
}

/// Adds the finishers asked for, judged apart from the search for them, and what is done when.
fn finished(
    explanation: Explanation,
    larder: &Larder,
    plan: Plan,
    finishing: Finishing,
    purpose: For,
) -> Result<(Explanation, Plan), EngineFault> {
    let prepare = |explanation, plan: &Plan, placed: &[Placed]| {
        if purpose == For::Prep {
            prepared(explanation, larder, plan, placed)
        } else {
            Ok(explanation)
        }
    };
    let Finishing::With(packs) = finishing else {
        return Ok((prepare(explanation, &plan, &[])?, plan));
    };
    let finished = finish(larder, &plan, packs);
    let placed: Vec<_> = finished
        .placed
        .iter()
        .map(|placed| (placed.day, placed.finisher, placed.mg))
        .collect();
    judge_finished(larder, &plan, &finished.plan, &placed).map_err(EngineFault::Refused)?;
    let explanation = explanation.finished_with(larder, &finished);
    let explanation = prepare(explanation, &finished.plan, &finished.placed)?;
    Ok((explanation, finished.plan))
}

/// Adds what is done when, judged apart from the search for it.
fn prepared(
    explanation: Explanation,
    larder: &Larder,
    plan: &Plan,
    placed: &[Placed],
) -> Result<Explanation, EngineFault> {
    let prepared = prep::prepare(larder, plan, placed);
    prep::judge(larder, plan, placed, &prepared).map_err(EngineFault::Refused)?;
    let notes = prep::notes(larder, &prepared.opened, placed);
    Ok(explanation.prepared_with(larder, plan, &Told { prepared, notes }))
}

fn search(
    larder: &Larder,
    args: &AskArgs,
    which: &str,
) -> Result<(Explanation, Option<Solved>), EngineFault> {
    let (result, took) = clock::search(larder, args.threads, args.limit);
    let (outcome, effort) = result?;
    console::talk(&format!("{which}{} in {}", ended(&outcome), seconds(took)));
    let explanation = explain(larder, &outcome, effort);
    let solved = match outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Some(solved),
        Outcome::Impossible | Outcome::OutOfTime { .. } => None,
    };
    Ok((explanation, solved))
}

/// Seconds an aim if no limit is given.
const PROGRAM_SECONDS: f64 = 60.0;

/// The second answer: the integer program, solved in process by a general solver. It works
/// in binary fractions, so nothing it says is called proved.
fn by_program(larder: &Larder, args: &WeekArgs, before: &[Vec<String>]) -> Exit {
    let limit = args.ask.limit.map(|limit| limit.as_secs_f64());
    let seconds = limit.unwrap_or(PROGRAM_SECONDS);
    let without = "without --engine the exact search is asked";
    let told = match program::solve::solve(larder, seconds) {
        Ok(Answer::Best(plan, tally)) => {
            let plan = *plan;
            let outcome = Outcome::Best(Solved {
                plan: plan.clone(),
                tally,
            });
            let explanation = explain(larder, &outcome, Effort::default()).by_solver();
            return match finished(explanation, larder, plan, args.told.finish, For::Week) {
                Ok((explanation, _)) => show(&explanation.after(before), args.told.format),
                Err(fault) => ours(&fault),
            };
        }
        Ok(Answer::Impossible) => {
            format!("the general solver finds no week, within its tolerances; {without}")
        }
        Ok(Answer::OutOfTime) => {
            format!(
                "the general solver was not done in {seconds} s: a larger --limit, or {without}"
            )
        }
        Err(failure) => {
            format!("no answer, a failure of numbers and not of the kitchen: {failure}; {without}")
        }
    };
    console::talk(&told);
    Exit::Unproved
}

fn show(explanation: &Explanation, format: Format) -> Exit {
    let text = match format {
        Format::Text => report::text(explanation),
        Format::Json => report::json(explanation),
    };
    super::print(&text, explanation.verdict.into())
}

fn ended(outcome: &Outcome) -> &'static str {
    match outcome {
        Outcome::Best(_) => "proved best",
        Outcome::Good { .. } => "ended with a week, not proved best",
        Outcome::Impossible => "proved impossible",
        Outcome::OutOfTime { .. } => "ended before a week was found",
    }
}

fn seconds(took: Duration) -> String {
    format!("{:.2} s", took.as_secs_f64())
}

pub(super) fn ours(fault: &EngineFault) -> Exit {
    if matches!(fault, EngineFault::TooLarge) {
        // Refused before the search; the cook can act on it.
        console::talk(&format!("fault: {fault}; use smaller quantities or prices"));
        return Exit::Fault;
    }
    console::talk(&format!(
        "our fault, not the kitchen's: {fault}\nPlease report it with the kitchen's files."
    ));
    Exit::Ours
}
