//! Weeks in a row: the lunches of each, what it buys and hands on, then the sums.

use super::super::grid::{self, Lean};
use super::super::{row_sentences, sentences, words};
use super::section::section;
use super::tradeoffs;
use crate::explain::{Row, RowSums, RowWeek};

/// Returns the row, at most 80 characters wide, ending in a line break.
pub(in super::super) fn row(row: &Row) -> String {
    let mut parts =
        vec![grid::paragraph(&row.kitchen) + &grid::paragraph(&row_sentences::claim(row))];
    parts.extend(row.weeks.iter().map(|week| one(row, week)));
    if row.weeks.iter().any(|week| week.sums.is_some()) {
        parts.push(sums(row));
    }
    parts.push(section(
        "Cautions",
        &grid::list(sentences::CAUTIONS.map(str::to_owned)),
    ));
    parts.join("\n")
}

fn one(row: &Row, week: &RowWeek) -> String {
    let title = format!("Week {}", week.number);
    let Some(facts) = &week.told.week else {
        let mut body = grid::paragraph(&sentences::verdict(&week.told));
        if let Some(conflict) = &week.told.conflict {
            body += &tradeoffs::conflict_body(conflict, &row.currency);
        }
        body += &sentences::advice(&week.told).map_or_else(String::new, grid::paragraph);
        return section(&title, &body);
    };
    let rows = facts.lunches.iter().map(|lunch| {
        vec![
            words::short(&lunch.when),
            lunch.recipe.clone(),
            lunch.form.clone(),
            words::cash_nano(lunch.portion_cost_nano, &row.currency),
        ]
    });
    let mut body = grid::paragraph(&sentences::verdict(&week.told));
    body += &grid::table(
        &[
            ("Day", Lean::Left),
            ("Lunch", Lean::Left),
            ("Form", Lean::Left),
            ("Cost", Lean::Right),
        ],
        rows.collect(),
    );
    body += &grid::list(row_sentences::of_week(row, week));
    section(&title, &body)
}

fn sums(row: &Row) -> String {
    let line = |name: String, sums: &RowSums| {
        vec![
            name,
            words::cash(sums.bill_minor, &row.currency),
            sums.foods.to_string(),
            words::minutes(sums.minutes_nano),
            words::cash_nano(sums.on_hand_nano, &row.currency),
            words::cash_nano(sums.spoiled_nano + sums.lost_nano, &row.currency),
            words::cash_nano(sums.kept_nano, &row.currency),
            words::cash_nano(sums.objective_nano, &row.currency),
        ]
    };
    let mut rows: Vec<Vec<String>> = row
        .weeks
        .iter()
        .filter_map(|week| {
            let sums = week.sums.as_ref()?;
            Some(line(week.number.to_string(), sums))
        })
        .collect();
    rows.push(line("all".to_owned(), &row.totals()));
    let mut body = grid::table(
        &[
            ("Week", Lean::Right),
            ("Bill", Lean::Right),
            ("Foods", Lean::Right),
            ("Min", Lean::Right),
            ("On hand", Lean::Right),
            ("Spoiled", Lean::Right),
            ("Kept", Lean::Right),
            ("Total", Lean::Right),
        ],
        rows,
    );
    body += &grid::list(row_sentences::in_all(row));
    section("The weeks together", &body)
}
