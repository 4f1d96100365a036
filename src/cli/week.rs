//! `scant week`: kitchen in, best week out.

use std::time::Duration;

use super::args::{EngineWord, Format, WeekArgs};
use super::{Exit, clock, console, load, request};
use crate::engine::{Effort, EngineFault, Outcome, Solved};
use crate::explain::{Explanation, Verdict, explain};
use crate::larder::Larder;
use crate::program::{self, solve::Answer};
use crate::report;

pub(super) fn run(args: &WeekArgs) -> Exit {
    let plain = match load::load(args.dir.as_deref()) {
        Ok(loaded) => {
            loaded.tell_warnings();
            loaded.larder
        }
        Err(exit) => return exit,
    };
    let mut larder = plain.clone();
    if let Err(faults) = request::apply(args, &mut larder) {
        for fault in faults {
            console::talk(&format!("fault: {fault}"));
        }
        return Exit::Fault;
    }
    if args.engine == EngineWord::Program {
        return by_program(&larder, args);
    }
    clock::watch();
    let mut explanation = match search(&larder, args, "") {
        Ok(explanation) => explanation,
        Err(fault) => return ours(&fault),
    };
    if !args.without.is_empty() && !clock::interrupted() {
        // The same run with everything allowed that --without took away.
        let mut before = larder.clone();
        before.wishes.without.clone_from(&plain.wishes.without);
        match search(&before, args, "for comparison, without the ban: ") {
            Ok(before) => {
                explanation = explanation.compared_with(args.without.clone(), &before);
            }
            Err(fault) => return ours(&fault),
        }
    }
    if explanation.verdict == Verdict::Impossible && !clock::interrupted() {
        match clock::conflict(&larder, args.threads, args.limit) {
            Ok(conflict) => explanation.conflict = conflict,
            Err(fault) => return ours(&fault),
        }
    }
    let text = match args.format {
        Format::Text => report::text(&explanation),
        Format::Json => report::json(&explanation),
    };
    super::print(&text, explanation.verdict.into())
}

fn search(larder: &Larder, args: &WeekArgs, which: &str) -> Result<Explanation, EngineFault> {
    let (result, took) = clock::search(larder, args.threads, args.limit);
    let (outcome, effort) = result?;
    console::talk(&format!("{which}{} in {}", ended(&outcome), seconds(took)));
    Ok(explain(larder, &outcome, effort))
}

/// Seconds an aim if no limit is given.
const PROGRAM_SECONDS: f64 = 60.0;

/// The second answer: the integer program, solved in process by a general solver.
fn by_program(larder: &Larder, args: &WeekArgs) -> Exit {
    let seconds = args.limit.map_or(PROGRAM_SECONDS, |l| l.as_secs_f64());
    let outcome = match program::solve::solve(larder, seconds) {
        Ok(Answer::Best(plan, tally)) => Outcome::Best(Solved { plan: *plan, tally }),
        Ok(Answer::Impossible) => Outcome::Impossible,
        Ok(Answer::OutOfTime) => {
            console::talk(&format!(
                "the general solver was not done in {seconds} s; --limit gives it more, and the \
                 exact search needs no --engine"
            ));
            return Exit::Unproved;
        }
        Err(failure) => {
            console::talk(&format!(
                "no answer, a failure of numbers and not of the kitchen: {failure}"
            ));
            return Exit::Unproved;
        }
    };
    console::talk("found by the integer program and a general solver, within its tolerances");
    let explanation = explain(larder, &outcome, Effort::default());
    let text = match args.format {
        Format::Text => report::text(&explanation),
        Format::Json => report::json(&explanation),
    };
    super::print(&text, explanation.verdict.into())
}

fn ended(outcome: &Outcome) -> &'static str {
    match outcome {
        Outcome::Best(_) => "proved best",
        Outcome::Good { .. } => "stopped with a week, not proved best",
        Outcome::Impossible => "proved impossible",
        Outcome::OutOfTime { .. } => "stopped before a week was found",
    }
}

fn seconds(took: Duration) -> String {
    format!("{:.2} s", took.as_secs_f64())
}

fn ours(fault: &EngineFault) -> Exit {
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
