//! Puts amounts where a cook reads them: into the step that needs them, and onto each box.

use super::words::{self, JOINT};
use super::{measures, phrases};
use crate::explain::{GoesIn, Measured, TaskFacts, spoken};

/// From here on a cook weighs, milligrams.
const WEIGHED_MG: i64 = 60_000;

/// Fractions and the letters for them.
const FRACTIONS: [(&str, &str); 6] = [
    ("1/2", "½"),
    ("1/3", "⅓"),
    ("2/3", "⅔"),
    ("1/4", "¼"),
    ("3/4", "¾"),
    ("1/8", "⅛"),
];

/// Returns a measure with fractions as single letters: `1½ cups`.
pub(super) fn compact(measure: &str) -> String {
    let mut text = measure.to_owned();
    for (long, short) in FRACTIONS {
        for figure in '0'..='9' {
            let before = format!("{figure}{JOINT}{long}");
            text = text.replace(&before, &format!("{figure}{short}"));
        }
        text = text.replace(long, short);
    }
    text
}

/// Below this no kitchen scale is of use, milligrams.
const SPOONED_MG: i64 = 15_000;

/// Returns what goes into one box, in pieces or spoons where a cook has them, else by weight.
pub(super) fn boxed(amount: &Measured) -> String {
    if amount.mg < SPOONED_MG {
        return spooned(amount);
    }
    compact(&measures::left(amount))
}

/// Returns an amount as it is taken out of the cupboard: in pieces or spoons.
pub(super) fn spooned(amount: &Measured) -> String {
    words::joint(&compact(&measures::spooned(amount)))
}

/// Returns what goes into a pot: in pieces, by weight, or in spoons where that is little.
pub(super) fn at_bench(amount: &Measured) -> String {
    if amount.mg < WEIGHED_MG {
        return spooned(amount);
    }
    if amount.counted.is_none() {
        let weighed = Measured {
            mg: amount.mg,
            cup_mg: None,
            counted: None,
        };
        return measures::metric(&weighed);
    }
    boxed(amount)
}

/// Returns the instruction of a task with every amount behind what it is of; what the instruction
/// does not name stands at its end.
pub(super) fn told(task: &TaskFacts) -> String {
    let names: Vec<&str> = task.amounts.iter().map(|one| one.name.as_str()).collect();
    let mut places: Vec<(usize, &GoesIn)> = Vec::new();
    let mut rest: Vec<&GoesIn> = Vec::new();
    for one in &task.amounts {
        let others: Vec<&str> = (names.iter().copied())
            .filter(|other| *other != one.name)
            .collect();
        let place = spoken::mention(&task.text, &one.name, &others).filter(|_| one.named);
        match place {
            Some(place) => places.push((place.end, one)),
            None => rest.push(one),
        }
    }
    places.sort_by_key(|place| std::cmp::Reverse(place.0));
    let mut text = task.text.clone();
    for (at, one) in places {
        text.insert_str(at, &format!(" ({})", at_bench(&one.amount)));
    }
    let rest: Vec<String> = rest
        .into_iter()
        .map(|one| format!("{} {}", one.name, at_bench(&one.amount)))
        .collect();
    if rest.is_empty() {
        return text;
    }
    let open = text.trim_end_matches('.').to_owned();
    format!("{open}: {}.", rest.join(", "))
}

/// Returns minutes as a cook says them: `47 min`, `3 h 41 min`.
pub(super) fn hours(minutes: i64) -> String {
    let spoken = match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    };
    words::joint(&spoken)
}

/// Returns a text as the beginning of a sentence.
pub(super) fn begun(text: &str) -> String {
    phrases::capital(text)
}

#[cfg(test)]
mod tests {
    //! The truth: typed by hand.
    use super::*;

    #[test]
    fn fractions_are_single_letters() {
        let joint = |text: &str| text.replace(' ', &JOINT.to_string());
        assert_eq!(compact(&joint("1 1/2 cups")), joint("1½ cups"));
        assert_eq!(compact(&joint("3/4 tsp")), joint("¾ tsp"));
        assert_eq!(compact("11"), "11");
    }

    #[test]
    fn minutes_become_hours() {
        assert_eq!(hours(221), super::super::words::joint("3 h 41 min"));
        assert_eq!(hours(60), super::super::words::joint("1 h"));
        assert_eq!(hours(5), super::super::words::joint("5 min"));
    }
}
