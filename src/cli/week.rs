//! `scant week`: kitchen in, best week out.

use std::time::Duration;

use super::args::{EngineWord, PartWord, WeekArgs};
use super::ask_args::{AskArgs, Finishing, Format};
use super::clock::{self, Allowance};
use super::{Exit, console, printing, request, signals};
use crate::engine::{Effort, EngineFault, Outcome, Solved};
use crate::explain::{Explanation, Told, Verdict, explain};
use crate::finish::{Placed, finish};
use crate::larder::Larder;
use crate::plan::Plan;
use crate::prep;
use crate::program::solve::Answer;
use crate::report::{self, Part};
use crate::rules::judge_finished;
use crate::tradeoffs;

pub(super) fn run(args: &WeekArgs) -> Exit {
    told(args).unwrap_or_else(|exit| exit)
}

fn told(args: &WeekArgs) -> Result<Exit, Exit> {
    let ask = &args.ask;
    let allowance = Allowance::begin(ask)?;
    let (plain, larder, before) = request::week(ask)?;
    if args.engine == EngineWord::Program {
        return by_program(&larder, args, &before, &allowance);
    }
    let show = Show::of(args);
    let asked = Question {
        plain: &plain,
        larder: &larder,
        ask,
        finishing: args.told.finish,
        purpose: if show == Show::First {
            For::Screen
        } else {
            For::Week
        },
        // The verdict comes first, by itself.
        ways: false,
    };
    let found = answer(&asked, &allowance, "").map_err(|fault| ours(&fault))?;
    let mut told = found.told.after(&before);
    if told.verdict == Verdict::Impossible {
        return none(&asked, args, told, &show, &allowance);
    }
    let exit = Exit::from(told.verdict);
    let best = (told.verdict == Verdict::Best)
        .then_some(found.solved)
        .flatten();
    let solved = best.filter(|_| !args.brief && !allowance.stopped() && show.tells());
    // The week is there to be read while what changes would cost is worked out.
    let begun = show.begin(&told);
    if begun == Exit::Fault {
        return Err(begun);
    }
    if let Some(solved) = &solved {
        let telling = clock::telling(&larder, solved, told.effort, &allowance);
        told.telling = telling.map_err(|fault| ours(&fault))?;
        told.misses = Some(tradeoffs::misses(&larder, solved, &|| allowance.stopped()));
    }
    Ok(match show {
        Show::First => printing::print_screen(&report::first_end(&told, console::look()), exit),
        Show::Parts(_) if solved.is_some() => printing::print(&report::changes_told(&told), exit),
        Show::Parts(_) => begun,
        Show::Json => printing::print(&report::json(&told), exit),
    })
}

/// Tells that there is no week at once, then why and what would do, unless the verdict alone is
/// asked for.
fn none(
    asked: &Question,
    args: &WeekArgs,
    mut told: Explanation,
    show: &Show,
    allowance: &Allowance,
) -> Result<Exit, Exit> {
    let exit = Exit::from(told.verdict);
    let program = *show == Show::Json;
    if !program && printing::print_screen(&report::verdict(&told), exit) == Exit::Fault {
        return Err(Exit::Fault);
    }
    if !args.brief && !signals::interrupted() {
        let found = clock::conflict(asked.larder, asked.plain, allowance);
        told.conflict = found.map_err(|fault| ours(&fault))?;
    }
    Ok(match (program, args.brief) {
        (true, _) => printing::print(&report::json(&told), exit),
        (false, true) => exit,
        (false, false) => printing::print(&report::ways_told(&told), exit),
    })
}

/// What of a week is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Show {
    /// The first screen.
    First,
    /// Parts of the whole report, and whether what changes would cost is one.
    Parts((Vec<Part>, bool)),
    /// All of it, for programs.
    Json,
}

impl Show {
    fn of(args: &WeekArgs) -> Self {
        let all = args.full || args.show.contains(&PartWord::All);
        let every = [
            PartWord::Lunches,
            PartWord::List,
            PartWord::Batches,
            PartWord::Boxes,
            PartWord::Leftovers,
            PartWord::Nutrition,
            PartWord::Proof,
            PartWord::Cautions,
            PartWord::Changes,
        ];
        let words: &[PartWord] = if all { &every } else { &args.show };
        match (args.told.format, words.is_empty()) {
            (Format::Json, _) => Self::Json,
            (Format::Text, true) => Self::First,
            (Format::Text, false) => Self::Parts((
                words.iter().filter_map(|word| word.part()).collect(),
                words.contains(&PartWord::Changes),
            )),
        }
    }

    /// Whether what changes would cost is told.
    fn tells(&self) -> bool {
        !matches!(self, Self::Parts((_, false)))
    }

    /// Prints what needs no further search.
    fn begin(&self, told: &Explanation) -> Exit {
        let exit = Exit::from(told.verdict);
        match self {
            Self::First => printing::print_screen(&report::first(told, console::look()), exit),
            Self::Parts((parts, _)) => printing::print(&report::parts(told, parts), exit),
            Self::Json => exit,
        }
    }
}

/// What a week is found for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum For {
    /// To be printed: options are held against the same kitchen without them.
    Week,
    /// The same, and how long it takes.
    Screen,
    /// For recipes, lists and weeks in a row: the week alone.
    Paper,
    /// To say what is done when.
    Prep,
    /// The same on the dates of a calendar.
    Calendar,
}

/// A week found.
pub(super) struct Found {
    pub(super) told: Explanation,
    /// Its plan, with what finishers draw.
    pub(super) plan: Option<Plan>,
    /// The week as the search left it.
    solved: Option<Solved>,
}

/// A week asked for.
pub(super) struct Question<'a> {
    /// The kitchen as written.
    pub(super) plain: &'a Larder,
    /// The kitchen with the options set.
    pub(super) larder: &'a Larder,
    pub(super) ask: &'a AskArgs,
    pub(super) finishing: Finishing,
    pub(super) purpose: For,
    /// Whether ways out are looked for at once where there is no week.
    pub(super) ways: bool,
}

/// Finds and explains a week; `which` opens what is said of the search.
pub(super) fn answer(
    asked: &Question,
    allowance: &Allowance,
    which: &str,
) -> Result<Found, EngineFault> {
    let &Question {
        plain,
        larder,
        ask,
        purpose,
        ..
    } = asked;
    let (mut explanation, solved) = search(larder, allowance, which, None)?;
    let mut plan = None;
    if let Some(solved) = &solved {
        let week = solved.plan.clone();
        let (told, finished) = finished(explanation, asked, week, allowance)?;
        (explanation, plan) = (told, Some(finished));
    }
    let options = request::options(ask);
    let printed = matches!(purpose, For::Week | For::Screen);
    if printed && !options.is_empty() && !signals::interrupted() {
        // The same run with the kitchen's own rules.
        let before = larder.changed(|before| before.wishes = plain.wishes.clone());
        let before = before.map_err(EngineFault::Unfit)?;
        // A ban is asked to be held against the week with what it bans; other options are only
        // where that takes no time.
        let bans = ask.without.len() == options.len();
        let most = (!bans).then_some(clock::TELLING_WORK);
        let which = "for comparison, without the options: ";
        let (before, _) = search(&before, allowance, which, most)?;
        let banned = ask.without.iter().map(|name| name.raw().to_owned());
        explanation = explanation.compared_with(options, banned.collect(), &before);
    }
    if asked.ways && explanation.verdict == Verdict::Impossible && !signals::interrupted() {
        explanation.conflict = clock::conflict(larder, plain, allowance)?;
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
    asked: &Question,
    plan: Plan,
    allowance: &Allowance,
) -> Result<(Explanation, Plan), EngineFault> {
    let larder = asked.larder;
    let prepare = |explanation, plan: &Plan, placed: &[Placed]| {
        if matches!(asked.purpose, For::Prep | For::Calendar | For::Screen) {
            prepared(explanation, larder, plan, placed, allowance)
        } else {
            Ok(explanation)
        }
    };
    let Finishing::With(packs) = asked.finishing else {
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
    allowance: &Allowance,
) -> Result<Explanation, EngineFault> {
    let prepared = prep::prepare(larder, plan, placed, &|| allowance.stopped());
    prep::judge(larder, plan, placed, &prepared).map_err(EngineFault::Refused)?;
    let notes = prep::notes(larder, &prepared.opened, placed);
    Ok(explanation.prepared_with(larder, plan, &Told { prepared, notes }))
}

/// Finds the best weeks of a kitchen as it was and as it is; the second is told with what `changed`
/// brought.
pub(super) fn compared(
    was: &Larder,
    now: &Larder,
    changed: String,
    allowance: &Allowance,
) -> Result<Explanation, EngineFault> {
    let (before, _) = search(was, allowance, "before: ", None)?;
    let (after, _) = search(now, allowance, "now: ", None)?;
    Ok(after.compared_with(vec![changed], Vec::new(), &before))
}

fn search(
    larder: &Larder,
    allowance: &Allowance,
    which: &str,
    most_work: Option<u64>,
) -> Result<(Explanation, Option<Solved>), EngineFault> {
    let (result, took) = clock::search(larder, allowance, most_work);
    let (outcome, effort) = result?;
    console::talk(&format!("{which}{} in {}", ended(&outcome), seconds(took)));
    let explanation = explain(larder, &outcome, effort);
    let solved = match outcome {
        Outcome::Best(solved) | Outcome::Good { solved, .. } => Some(solved),
        Outcome::Impossible | Outcome::OutOfTime { .. } => None,
    };
    Ok((explanation, solved))
}

/// The second answer: the integer program, solved in process by a general solver. It works
/// in binary fractions, so nothing it says is called proved.
fn by_program(
    larder: &Larder,
    args: &WeekArgs,
    before: &[Vec<String>],
    allowance: &Allowance,
) -> Result<Exit, Exit> {
    let show = Show::of(args);
    let asked = Question {
        plain: larder,
        larder,
        ask: &args.ask,
        finishing: args.told.finish,
        purpose: if show == Show::First {
            For::Screen
        } else {
            For::Week
        },
        ways: false,
    };
    let without = "without --engine the exact search is asked";
    let (answer, took) = clock::by_program(larder, allowance)?;
    let told = match answer {
        Ok(Answer::Best(plan, tally)) => {
            let plan = *plan;
            let outcome = Outcome::Best(Solved {
                plan: plan.clone(),
                tally,
            });
            let explanation = explain(larder, &outcome, Effort::default()).by_solver();
            let (explanation, _) =
                finished(explanation, &asked, plan, allowance).map_err(|fault| ours(&fault))?;
            let told = explanation.after(before);
            let begun = show.begin(&told);
            return Ok(match show {
                Show::First if begun != Exit::Fault => {
                    printing::print_screen(&report::first_end(&told, console::look()), begun)
                }
                Show::Json => printing::print(&report::json(&told), begun),
                _ => begun,
            });
        }
        Ok(Answer::Impossible) => {
            format!("the general solver finds no week, within its tolerances; {without}")
        }
        Ok(Answer::OutOfTime) => {
            format!(
                "the general solver was not done in {}: a larger --limit, or {without}",
                seconds(took)
            )
        }
        Err(failure) => {
            format!("no answer, a failure of numbers and not of the kitchen: {failure}; {without}")
        }
    };
    console::talk(&told);
    Ok(Exit::Unproved)
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
    if matches!(fault, EngineFault::Threads(_)) {
        return clock::threadless();
    }
    console::talk(&format!(
        "our fault, not the kitchen's: {fault}\nPlease report it with the kitchen's files."
    ));
    Exit::Ours
}
