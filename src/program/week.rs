//! Rows of the week itself: one lunch a day, repeats, allowed days, one alternative a line
//! (section 4, numbers 1 and 2, of the model).

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    let larder = columns.larder;
    for day in columns.lunch_days() {
        let terms = columns.recipes().map(|r| (columns.lunch(r, day), ONE));
        draft.row(
            "lunches-miscounted",
            format!("one_lunch.d{day}"),
            terms.collect(),
            Sense::Equal,
            ONE,
        );
    }
    for recipe in columns.recipes() {
        let name = &columns.names.recipes[recipe.index()];
        let entry = &larder.recipes[recipe.index()];
        let days = columns.lunch_days();
        let whole_week = days.map(|day| (columns.lunch(recipe, day), ONE));
        draft.row(
            "served-too-often",
            format!("repeats.{name}"),
            whole_week.collect(),
            Sense::AtMost,
            i128::from(larder.wishes.repeats) * ONE,
        );
        let shut = columns
            .lunch_days()
            .filter(|&day| !entry.days[usize::from(day) - 1]);
        draft.row(
            "not-served-that-day",
            format!("days.{name}"),
            shut.map(|day| (columns.lunch(recipe, day), ONE)).collect(),
            Sense::AtMost,
            0,
        );
        for day in columns.lunch_days() {
            for (line, written) in entry.lines.iter().enumerate() {
                if written.alternatives.len() == 1 {
                    continue;
                }
                let taken = (0..written.alternatives.len())
                    .map(|j| (columns.takes(recipe, day, line, j), ONE));
                draft.row(
                    "line-not-filled",
                    format!("one_alternative.{name}.l{line}.d{day}"),
                    taken.chain([(columns.lunch(recipe, day), -ONE)]).collect(),
                    Sense::Equal,
                    0,
                );
            }
        }
    }
}
