//! What is eaten when.

use super::super::grid::{self, Lean};
use super::super::{sentences, words};
use super::section::section as titled;
use crate::explain::{Explanation, LunchFacts, WeekFacts};
use crate::larder::Nutrient;

pub(super) fn section(explanation: &Explanation, week: &WeekFacts) -> String {
    let currency = &explanation.currency;
    let of = |nutrient: Nutrient, day: usize| {
        let amount = &week.nutrition[nutrient.index()].lunches[day];
        let mark = if amount.incomplete { "+" } else { "" };
        format!("{}{mark}", words::amount(amount.milli))
    };
    let rows = week
        .lunches
        .iter()
        .enumerate()
        .map(|(day, lunch)| {
            vec![
                words::short(&lunch.when),
                name(lunch),
                lunch.form.clone(),
                words::minutes(lunch.minutes_nano),
                words::cash_nano(lunch.portion_cost_nano, currency),
                of(Nutrient::Energy, day),
                of(Nutrient::Protein, day) + " g",
            ]
        })
        .collect();
    let mut body = grid::table(
        &[
            ("Day", Lean::Left),
            ("Lunch", Lean::Left),
            ("Form", Lean::Left),
            ("Min", Lean::Right),
            ("Cost", Lean::Right),
            ("kcal", Lean::Right),
            ("Protein", Lean::Right),
        ],
        rows,
    );
    body += &grid::paragraph(sentences::WEEK_NOTE);
    titled(&title(explanation), &body)
}

fn title(explanation: &Explanation) -> String {
    let mut eaters: Vec<i64> = explanation.days.iter().map(|&(_, eaters)| eaters).collect();
    eaters.dedup();
    if let [one] = eaters[..] {
        return format!("The week, portions a day: {}", words::thousandths(one));
    }
    let each: Vec<String> = explanation
        .days
        .iter()
        .map(|(when, eaters)| words::of(when, words::thousandths(*eaters)))
        .collect();
    format!("The week, portions a day: {}", each.join(", "))
}

/// The recipe, and below it what was taken where there was a choice.
fn name(lunch: &LunchFacts) -> String {
    let choices: Vec<String> = lunch
        .lines
        .iter()
        .filter(|line| line.choices > 1)
        .map(|line| match &line.instead_of {
            Some(first) => format!("{} (not {first})", line.taken.name()),
            None => line.taken.name().to_owned(),
        })
        .collect();
    if choices.is_empty() {
        lunch.recipe.clone()
    } else {
        format!("{}\ntaking {}", lunch.recipe, choices.join(", "))
    }
}

/// What goes into each box, in the cook's own measures.
pub(super) fn boxes(week: &WeekFacts) -> String {
    let rows = week
        .lunches
        .iter()
        .map(|lunch| {
            let lines: Vec<String> = lunch
                .lines
                .iter()
                .map(|line| {
                    format!(
                        "{} {} ({})",
                        line.taken.name(),
                        line.written.replace(' ', &words::JOINT.to_string()),
                        words::mass(line.all_mg)
                    )
                })
                .collect();
            vec![words::short(&lunch.when), lines.join(", ")]
        })
        .collect();
    titled(
        "Into each box, a portion (and for all eaters)",
        &grid::rows(&[Lean::Left, Lean::Left], rows),
    )
}
