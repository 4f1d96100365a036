//! What is cooked ahead and how long each day takes.

use super::super::grid::{self, Lean};
use super::super::words;
use super::section::section as titled;
use crate::explain::{BatchFacts, PrepFacts, WeekFacts};

pub(super) fn section(week: &WeekFacts, prep: Option<&PrepFacts>) -> Option<String> {
    if week.batches.is_empty() && week.minutes.is_empty() {
        return None;
    }
    let rows = week.batches.iter().map(row).collect();
    let mut body = grid::table(
        &[
            ("Cook", Lean::Left),
            ("Batch", Lean::Left),
            ("Makes", Lean::Right),
            ("For", Lean::Left),
            ("Min", Lean::Right),
            ("By itself", Lean::Right),
            ("Equipment", Lean::Left),
        ],
        rows,
    );
    body += &grid::list(week.batches.iter().map(foods));
    let minutes: Vec<String> = week
        .minutes
        .iter()
        .map(|day| {
            let used = words::minutes(day.minutes_nano);
            match day.limit_nano {
                Some(limit) => words::of(&day.when, format!("{used} of {}", words::minutes(limit))),
                None => words::of(&day.when, used),
            }
        })
        .collect();
    body += &grid::list([format!(
        "Active minutes a day, batches and that day's lunch together: {}. In all {}.",
        minutes.join(", "),
        words::minutes(week.tally.minutes_nano)
    )]);
    body += &grid::list(kitchen(week, prep));
    body += &grid::list([
        "What is done when, step by step: scant prep, with the same folder and options.".to_owned(),
    ]);
    Some(titled("Batches to cook", &body))
}

/// Time in the kitchen, if a wish is about it, and what the prep plan makes of it.
fn kitchen(week: &WeekFacts, prep: Option<&PrepFacts>) -> Option<String> {
    if week.kitchen.is_empty() {
        return None;
    }
    let days = week.kitchen.iter().map(|day| {
        let used = words::minutes(day.minutes_nano);
        let limit = day
            .limit_nano
            .map(|limit| format!(" of {}", words::minutes(limit)));
        let timed = prep.map(|prep| {
            let same = prep.days.iter().find(|other| other.when == day.when);
            format!(" ({})", same.map_or(0, |day| day.length))
        });
        let [limit, timed] = [limit, timed].map(Option::unwrap_or_default);
        words::of(&day.when, format!("{used}{limit}{timed}"))
    });
    let days: Vec<String> = days.collect();
    let timed = match prep {
        None => "",
        Some(prep) if prep.bound == prep.length => {
            " In brackets: one thing beside another, proved to be the least in all."
        }
        Some(_) => " In brackets: one thing beside another.",
    };
    Some(format!(
        "Minutes in the kitchen a day, one thing after another, what is on watched: {}.{timed}",
        days.join(", ")
    ))
}

fn row(batch: &BatchFacts) -> Vec<String> {
    let serves: Vec<String> = batch
        .serves
        .iter()
        .map(|(when, mg)| words::of(when, words::mass(*mg)))
        .collect();
    vec![
        words::short(&batch.when),
        batch.component.clone(),
        words::mass(batch.mg),
        serves.join(", "),
        words::minutes(batch.minutes_nano),
        batch.passive_minutes.to_string(),
        batch.needs.join(", "),
    ]
}

/// What goes into a batch, edible amounts.
fn foods(batch: &BatchFacts) -> String {
    let foods: Vec<String> = batch
        .foods
        .iter()
        .map(|(food, mg)| format!("{food} {}", words::mass(*mg)))
        .collect();
    format!(
        "{}, {}: {}. Eat {}.",
        words::short(&batch.when),
        batch.component,
        foods.join(", "),
        words::by(&batch.keeps_until, &batch.when)
    )
}
