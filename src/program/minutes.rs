//! Rows of active time: assembly of a day's lunch and batches cooked that day (section 4,
//! number 8, of the model).

use super::Sense;
use super::columns::Columns;
use super::draft::Draft;
use crate::larder::Day;

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    for day in columns.days() {
        let limits = &columns.larder.wishes.minutes_nano;
        let limit = limits.get(usize::from(day)).copied().flatten();
        let Some(limit) = limit else {
            continue;
        };
        draft.row(
            "over-minutes",
            format!("minutes.d{day}"),
            of_day(columns, day),
            Sense::AtMost,
            i128::from(limit),
        );
    }
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
    for (&(component, on), &column) in &columns.cooks {
        if on == day {
            let minutes = larder.components[component.index()].batch_minutes_nano;
            terms.push((column, i128::from(minutes)));
        }
    }
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
