//! What is bought on which trip, and which lunches it feeds.

use super::super::grid::{self, Lean};
use super::super::{phrases, sentences, words};
use super::section::section as titled;
use crate::explain::{Explanation, WeekFacts};

pub(super) fn sections(explanation: &Explanation, week: &WeekFacts) -> Vec<String> {
    let currency = &explanation.currency;
    let lunches = explanation.days.len();
    let mut sections = Vec::new();
    let mut idle = Vec::new();
    for (trip, facts) in explanation.trips.iter().enumerate() {
        let rows: Vec<Vec<String>> = week
            .purchases
            .iter()
            .filter(|row| row.trip == trip)
            .map(|row| {
                vec![
                    row.number.to_string(),
                    row.food.clone(),
                    phrases::buy(row),
                    words::cash(row.price_minor, currency),
                    words::feeds(&row.serves, lunches),
                ]
            })
            .collect();
        if rows.is_empty() {
            if trip > 0 {
                idle.push(sentences::idle_trip(trip + 1, &phrases::trip(facts)));
            }
            continue;
        }
        let title = if explanation.trips.len() == 1 {
            format!("Shopping list, {}", phrases::trip(facts))
        } else {
            format!("Shopping list, trip {}: {}", trip + 1, phrases::trip(facts))
        };
        let body = grid::table(
            &[
                ("#", Lean::Right),
                ("Food", Lean::Left),
                ("Buy", Lean::Left),
                ("Price", Lean::Right),
                ("Lunches it feeds", Lean::Left),
            ],
            rows,
        );
        sections.push(titled(&title, &body));
    }
    let mut foot = vec![format!(
        "Total {}. {}",
        words::cash(week.tally.packs_minor, currency),
        sentences::counted(week)
    )];
    foot.extend(sentences::reuse(&week.purchases));
    foot.extend(idle);
    sections.push(grid::list(foot));
    sections.extend(staples(explanation, week));
    sections
}

fn staples(explanation: &Explanation, week: &WeekFacts) -> Option<String> {
    if week.staples.is_empty() {
        return None;
    }
    let rows = week
        .staples
        .iter()
        .map(|row| {
            vec![
                row.food.clone(),
                words::mass(row.mg),
                words::cash_nano(row.cost_nano, &explanation.currency),
                words::feeds(&row.serves, explanation.days.len()),
            ]
        })
        .collect();
    let mut body = grid::table(
        &[
            ("Food", Lean::Left),
            ("Amount", Lean::Right),
            ("Worth", Lean::Right),
            ("Lunches it goes into", Lean::Left),
        ],
        rows,
    );
    body += &grid::list([format!(
        "Worth {} in all, pro rata.",
        words::cash_nano(week.tally.staples_nano, &explanation.currency)
    )]);
    Some(titled("Staples: check the cupboard", &body))
}
