//! Rows of time: assembly of a day's lunch and batches cooked that day (section 4, number 8, of
//! the model); the same with the minutes at which the cook stays by an oven or a burner, and the
//! days on which batches may be cooked (section 9).

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use crate::larder::{ComponentId, Day};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    let wishes = &columns.larder.wishes;
    let limit = |limits: &[Option<i64>], day: Day| limits.get(usize::from(day)).copied().flatten();
    for day in columns.days() {
        if let Some(limit) = limit(&wishes.minutes_nano, day) {
            draft.row(
                "over-minutes",
                format!("minutes.d{day}"),
                of_day(columns, day),
                Sense::AtMost,
                i128::from(limit),
            );
        }
        if let Some(limit) = limit(&wishes.kitchen_minutes_nano, day) {
            draft.row(
                "over-kitchen-minutes",
                format!("kitchen.d{day}"),
                of_day(columns, day)
                    .into_iter()
                    .chain(watched_on(columns, day))
                    .collect(),
                Sense::AtMost,
                i128::from(limit),
            );
        }
        let cooked: Vec<(usize, i128)> = batches_of(columns, day)
            .map(|(_, column)| (column, ONE))
            .collect();
        if !wishes.may_cook(day) && !cooked.is_empty() {
            draft.row(
                "not-a-cooking-day",
                format!("cooking.d{day}"),
                cooked,
                Sense::AtMost,
                0,
            );
        }
    }
}

/// Returns the batches that may be cooked on a day, with their columns.
fn batches_of<'c>(
    columns: &'c Columns,
    day: Day,
) -> impl Iterator<Item = (ComponentId, usize)> + 'c {
    let cooks = columns.cooks.iter();
    cooks
        .filter(move |(of, _)| of.1 == day)
        .map(|(of, &column)| (of.0, column))
}

/// Returns the watched minutes of a day, term by term.
pub(super) fn watched_on(columns: &Columns, day: Day) -> Vec<(usize, i128)> {
    let components = &columns.larder.components;
    let watched = batches_of(columns, day).map(|(component, column)| {
        let minutes = components[component.index()].watched_minutes();
        (column, i128::from(minutes) * ONE)
    });
    watched.collect()
}

/// Returns the active minutes of a day, term by term.
pub(super) fn of_day(columns: &Columns, day: Day) -> Vec<(usize, i128)> {
    let larder = columns.larder;
    let mut terms = Vec::new();
    if day > 0 {
        terms.extend(columns.recipes().map(|recipe| {
            let minutes = larder.recipes[recipe.index()].minutes_nano;
            (columns.lunch(recipe, day), i128::from(minutes))
        }));
    }
    terms.extend(batches_of(columns, day).map(|(component, column)| {
        let minutes = larder.components[component.index()].batch_minutes_nano;
        (column, i128::from(minutes))
    }));
    for ask in &columns.asks {
        let rate = larder.components[ask.component.index()].minutes_per_mg_nano;
        for &(from, share) in &ask.shares {
            if from == day {
                terms.push((share, i128::from(rate) * i128::from(ask.mg)));
            }
        }
    }
    terms
}
