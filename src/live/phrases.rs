//! How the screen says things.

use super::difference::{Difference, minutes};
use super::found::Found;
use crate::explain::{Case, Proof};
use crate::larder::{Contents, Currency, NANO};
use crate::report::words;

/// Hours and minutes.
pub(super) fn time(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// What is thrown out, as the sheet says it.
pub(super) fn thrown(mg: i64) -> String {
    if mg == 0 {
        "nothing".to_owned()
    } else {
        words::mass(mg)
    }
}

/// By how much a figure moved: `, up 0.76`, or nothing.
pub(super) fn moved(by: i64, told: impl Fn(i64) -> String) -> String {
    match by {
        0 => String::new(),
        1.. => format!(", up {}", told(by)),
        _ => format!(", down {}", told(-by)),
    }
}

/// A small number as a word that begins a sentence.
pub(super) fn number(n: usize) -> String {
    const WORDS: [&str; 15] = [
        "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten",
        "Eleven", "Twelve", "Thirteen", "Fourteen",
    ];
    WORDS
        .get(n)
        .map_or(n.to_string(), |word| (*word).to_owned())
}

/// How many lunches changed.
pub(super) fn lunches(told: &Difference) -> String {
    let changed = told.come.len();
    match (changed, told.moved.len()) {
        (0, 0) => "The lunches are the same.".to_owned(),
        (0, moved) => format!("{} moved.", lunch(moved)),
        (changed, _) => format!("{} changed.", lunch(changed)),
    }
}

fn lunch(n: usize) -> String {
    format!("{} {}", number(n), if n == 1 { "lunch" } else { "lunches" })
}

/// At most so much better is possible.
pub(super) fn better(gap_nano: i64, currency: &Currency) -> String {
    format!(
        "at most {} better is possible",
        words::cash_nano(gap_nano, currency)
    )
}

/// A difference of money with its sign, in whole minor units, to the nearest.
pub(super) fn more(nano: i64, currency: &Currency) -> String {
    let minor = (nano + NANO / 2).div_euclid(NANO);
    match minor {
        0 => "costs nothing".to_owned(),
        1.. => format!("costs {} more", words::cash(minor, currency)),
        _ => format!("costs {} less", words::cash(-minor, currency)),
    }
}

/// The figures of a week, each with its name.
pub(super) fn figures(last: &Found) -> Vec<(&'static str, String)> {
    let Some(week) = &last.told.week else {
        return Vec::new();
    };
    vec![
        (
            "bill",
            words::cash(week.tally.packs_minor, &last.told.currency),
        ),
        ("foods to buy", week.tally.foods.to_string()),
        (
            "in the kitchen",
            minutes(last).map_or("not timed".to_owned(), time),
        ),
        ("thrown out", thrown(week.leftover_totals.spoiled_mg)),
    ]
}

/// What the answer to a question differs by from the week.
pub(super) fn difference_told(case: &Case, larder: &Contents) -> String {
    let currency = &larder.currency;
    match (case.proof, case.least_nano) {
        (Proof::Best, Some(nano)) => more(nano, currency),
        (Proof::Impossible, _) => "leaves no week".to_owned(),
        (_, Some(nano)) => format!("{}, at least", more(nano, currency)),
        _ => "was not settled".to_owned(),
    }
}
