//! Every sentence of the prep plan, in text, calendar and page.

use std::fmt::Write as _;

use super::phrases;
use super::words;
use crate::explain::{NoteFacts, NoteOf, PrepFacts, StintFacts, TaskFacts, Time, When};

/// What is minimised, said once.
pub(super) const MEANING: &str = "Minutes in the kitchen run from the first move to the last that \
     needs the cook, waits included; what holds a burner or the oven is not left alone. Times \
     count from the beginning of each day or part of a day.";

/// What the rows of a timeline are drawn with.
pub(super) const LEGEND: &str = "# the cook is at it, = by itself and watched (burner, oven...), \
     . by itself.";

/// A moment: `0:05`, `1:40`.
pub(super) fn clock(minutes: i64) -> String {
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// `0:05-0:10`.
pub(super) fn span(task: &TaskFacts) -> String {
    format!("{}-{}", clock(task.start), clock(task.done))
}

/// `Sunday, prep day`, `Tuesday morning`.
pub(super) fn stint(facts: &StintFacts) -> String {
    match facts.time {
        Time::PrepDay => format!("{}, prep day", facts.when.name),
        time => part_of_day(&facts.when, time),
    }
}

/// `Sunday`, `Tuesday morning`, `Tuesday evening`.
pub(super) fn part_of_day(when: &When, time: Time) -> String {
    match time {
        Time::PrepDay => when.name.clone(),
        Time::Morning => format!("{} morning", when.name),
        Time::Evening => format!("{} evening", when.name),
    }
}

/// How long the cook is in the kitchen, and how sure that is.
pub(super) fn length(facts: &StintFacts) -> String {
    let waits = facts.length - facts.active;
    let mut text = words::count(facts.length, "minute");
    if waits > 0 {
        let _ = write!(text, ", {waits} of them waiting");
    }
    text += if facts.bound == facts.length {
        "; no order is shorter."
    } else {
        "; not proved the least"
    };
    if facts.bound < facts.length {
        let _ = write!(text, ", none is below {}.", facts.bound);
    }
    text
}

/// The whole week, and how sure that is.
pub(super) fn total(facts: &PrepFacts) -> String {
    let days: Vec<String> = facts
        .stints
        .iter()
        .map(|one| {
            let when = words::short(&one.when);
            let evening = if one.time == Time::Evening {
                " evening"
            } else {
                ""
            };
            let colon = if one.when.date.is_some() { ":" } else { "" };
            format!("{when}{evening}{colon} {}", one.length)
        })
        .collect();
    let sure = if facts.bound == facts.length {
        "Proved: no way of placing and timing the steps of this week takes less.".to_owned()
    } else {
        format!(
            "Not proved the least: the bound is {} minutes.",
            facts.bound
        )
    };
    format!(
        "Minutes in the kitchen: {}. In all {}. {sure}",
        days.join(", "),
        facts.length
    )
}

/// Whose task it is: `Mon lunch`, or the batch.
pub(super) fn whose(task: &TaskFacts) -> String {
    if task.lunches.is_empty() {
        return task.of.join(", ");
    }
    let mut text = words::days(&task.lunches);
    text += if task.lunches.len() > 1 {
        " lunches"
    } else {
        " lunch"
    };
    // A batch that shares the task with lunches.
    if task.of.len() > task.lunches.len() {
        text += ", ";
        text += &task.of[..task.of.len() - task.lunches.len()].join(", ");
    }
    text
}

/// What to do, and what follows by itself.
pub(super) fn task(task: &TaskFacts) -> String {
    let mut text = format!("{}: {}", whose(task), task.text);
    if task.end > task.done {
        let alone = if task.done > task.start {
            "Then by itself"
        } else {
            "By itself"
        };
        let _ = write!(text, " {alone} to {}", clock(task.end));
        text += ".";
    }
    if !task.needs.is_empty() {
        let _ = write!(text, " [{}]", needs(task));
    }
    if let Some((when, time)) = &task.as_early_as {
        let _ = write!(text, " May be done from {} on.", part_of_day(when, *time));
    }
    if task.of.len() > 1 {
        text += " Done once for all.";
    }
    text
}

/// `burner, 2 x sheet tray`.
pub(super) fn needs(task: &TaskFacts) -> String {
    let names: Vec<String> = task
        .needs
        .iter()
        .map(|(name, count)| match count {
            1 => name.clone(),
            _ => format!("{count} x {name}"),
        })
        .collect();
    names.join(", ")
}

/// `cooked brown rice to 0:29`.
pub(super) fn beside(task: &TaskFacts) -> String {
    let all: Vec<String> = task
        .beside
        .iter()
        .map(|(name, end)| format!("{name} to {}", clock(*end)))
        .collect();
    all.join("; ")
}

fn units(count: i64, of: i64, pack: &str) -> String {
    match (count, of) {
        (1, 1) => pack.to_owned(),
        (_, 1) => format!("{count} x {pack}"),
        _ => format!("{count} from {pack}"),
    }
}

/// A note as a sentence.
pub(super) fn note(note: &NoteFacts) -> String {
    match &note.of {
        NoteOf::Counter {
            food,
            pack,
            stage,
            units: count,
            pack_units: of,
            ripe,
        } => format!(
            "{food} ({}){}: keep on the counter; into the refrigerator on the day it is \
             ripe, {} at the latest.",
            units(*count, *of, pack),
            phrases::ripeness(pack, Some(stage)),
            words::the(ripe)
        ),
        NoteOf::Refrigerate {
            food,
            pack,
            units: count,
            pack_units: of,
            until,
        } => format!(
            "{food} ({}): ripe; from the counter into the refrigerator if it is not there yet. \
             Cut it by {}.",
            units(*count, *of, pack),
            words::the(until)
        ),
        NoteOf::Open {
            food,
            pack,
            units: count,
            pack_units: of,
            good_until,
        } => format!(
            "Open {food} ({}): good {}.",
            units(*count, *of, pack),
            words::good(good_until, &note.when)
        ),
        NoteOf::CutToday { food } => {
            format!("Cut the {food} this morning, not the evening before.")
        }
        NoteOf::Apart { dressing, lunch } => {
            format!("{dressing}: carry it in a jar of its own ({lunch}).")
        }
        NoteOf::ThrowOut { food, pack, mg } => format!(
            "Throw out what is left of {food} ({pack}): {}; yesterday was its last good day.",
            words::mass(*mg)
        ),
    }
}
