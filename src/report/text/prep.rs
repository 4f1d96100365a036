//! What is done when: each stint as a timeline and as rows, and the notes of each day.

use super::super::grid::{self, Lean};
use super::super::{advice, phrases, prep_words, sentences, words};
use super::section::section as titled;
use super::{heading, text};
use crate::explain::{Explanation, PrepFacts, StintFacts, TaskFacts, When};

/// Columns of a timeline.
const ACROSS: i64 = 50;
/// Characters of its labels.
const LABEL: usize = 26;

/// Returns the prep plan, at most 80 characters wide; the plain report where there is no week.
pub(in super::super) fn prep(explanation: &Explanation) -> String {
    let Some(facts) = &explanation.prep else {
        return text(explanation);
    };
    let mut parts = vec![heading(explanation)];
    parts.push(titled(
        "Prep plan",
        &(grid::paragraph(&prep_words::total(facts))
            + &grid::paragraph(prep_words::MEANING)
            + &grid::paragraph(&format!("Timelines: {}", prep_words::LEGEND))
            + &otherwise(explanation)),
    ));
    let advised = explanation
        .week
        .as_ref()
        .map_or(&[][..], |week| &week.advice);
    for when in days(facts) {
        let notes = facts.notes.iter().filter(|n| n.when == when);
        let notes = notes.map(prep_words::note);
        let mut notes: Vec<String> = notes.collect();
        let mut idle = true;
        for stint in facts.stints.iter().filter(|s| s.when == when) {
            idle = false;
            let title = prep_words::stint(stint);
            let mut body = grid::paragraph(&prep_words::length(stint));
            notes.extend(advice::of_time(advised, &facts.stints, stint));
            body += &grid::list(std::mem::take(&mut notes));
            body += &timeline(stint);
            body += &rows(stint);
            parts.push(titled(&title, &body));
        }
        if idle {
            notes.extend(advice::of_day(advised, &when));
        }
        if !notes.is_empty() {
            parts.push(titled(&when.name, &grid::list(notes)));
        }
    }
    parts.push(grid::list(
        sentences::CAUTIONS
            .map(str::to_owned)
            .into_iter()
            .chain(advice::sources(advised)),
    ));
    parts.join("\n")
}

/// Which lines are filled otherwise than first written.
fn otherwise(explanation: &Explanation) -> String {
    let lunches = explanation.week.iter().flat_map(|week| &week.lunches);
    let told: Vec<String> = lunches
        .filter_map(|lunch| Some(format!("{} {}", lunch.when.name, phrases::instead(lunch)?)))
        .collect();
    if told.is_empty() {
        return String::new();
    }
    grid::paragraph(&format!("Taken: {}.", told.join(". ")))
}

/// Days on which there is something to do or to see to.
fn days(facts: &PrepFacts) -> Vec<When> {
    let stints = facts.stints.iter().map(|stint| &stint.when);
    let mut all: Vec<When> = stints
        .chain(facts.notes.iter().map(|note| &note.when))
        .cloned()
        .collect();
    all.sort();
    all.dedup();
    all
}

fn rows(stint: &StintFacts) -> String {
    let mut all: Vec<(i64, Vec<String>)> = stint.tasks.iter().map(row).collect();
    for &(from, to) in &stint.waits {
        let time = format!("{}-{}", prep_words::clock(from), prep_words::clock(to));
        let wait = format!("wait, {}", words::count(to - from, "minute"));
        all.push((from, vec![time, wait, String::new()]));
    }
    all.sort_by_key(|row| row.0);
    grid::table(
        &[
            ("Time", Lean::Left),
            ("What to do", Lean::Left),
            ("Meanwhile by itself", Lean::Left),
        ],
        all.into_iter().map(|row| row.1).collect(),
    )
}

fn row(task: &TaskFacts) -> (i64, Vec<String>) {
    let cells = vec![
        prep_words::span(task),
        prep_words::task(task),
        prep_words::beside(task),
    ];
    (task.start, cells)
}

/// One line a batch or lunch; a character stands for so many minutes.
fn timeline(stint: &StintFacts) -> String {
    let over = stint.over.max(stint.length);
    if over == 0 {
        return String::new();
    }
    let step = (over + ACROSS - 1) / ACROSS;
    let mut lines: Vec<(String, Vec<char>)> = Vec::new();
    for task in &stint.tasks {
        let label = prep_words::whose(task);
        let place = lines.iter().position(|line| line.0 == label);
        let place = place.unwrap_or_else(|| {
            let columns = (over + step - 1) / step;
            lines.push((label, vec![' '; columns as usize]));
            lines.len() - 1
        });
        let alone = if task.needs.is_empty() { '.' } else { '=' };
        let cells = &mut lines[place].1;
        for (at, cell) in (0..).zip(cells.iter_mut()) {
            let (from, to) = (at * step, (at + 1) * step);
            if task.start < to && from < task.done {
                *cell = '#';
            } else if *cell != '#' && task.done < to && from < task.end {
                *cell = alone;
            }
        }
    }
    let unit = if step == 1 {
        "a character is a minute".to_owned()
    } else {
        format!("a character is {step} minutes")
    };
    let mut out = grid::paragraph(&format!(
        "{} to {}, {unit}:",
        prep_words::clock(0),
        prep_words::clock(over)
    ));
    for (label, cells) in lines {
        let label = grid::fitted(&label, LABEL);
        let cells: String = cells.into_iter().collect();
        out += format!("{label}  |{cells}").trim_end();
        out.push('\n');
    }
    out
}
