//! The week as a cook reads it, top to bottom: eat, buy, cook, keep, trust.

mod changes;
mod cooking;
mod credits;
mod finishers;
mod leftovers;
mod list;
mod lunches;
pub(super) mod nutrition;
pub(super) mod proof;
mod recipes;
mod shopping;
mod tradeoffs;

pub use tradeoffs::tradeoffs;

pub use list::list;
pub use recipes::recipes;

use super::{grid, sentences};
use crate::explain::Explanation;

/// Returns the whole report, at most 80 characters wide, ending in a line break.
pub fn text(explanation: &Explanation) -> String {
    let mut parts = vec![heading(explanation)];
    let Some(week) = &explanation.week else {
        if let Some(conflict) = &explanation.conflict {
            parts.push(tradeoffs::conflict_body(conflict, &explanation.currency));
        }
        parts.push(grid::paragraph(sentences::advice(explanation.verdict)));
        parts.extend(changes::section(explanation));
        parts.push(grid::paragraph(&sentences::effort(explanation)));
        return parts.join("\n");
    };
    parts.push(lunches::section(explanation, week));
    parts.extend(shopping::sections(explanation, week));
    parts.extend(cooking::section(week));
    parts.push(lunches::boxes(week));
    if let Some(facts) = &explanation.finishers {
        parts.push(finishers::section(facts, &explanation.currency));
    }
    parts.extend(leftovers::section(explanation, week));
    parts.push(nutrition::section(week));
    parts.extend(credits::section(week));
    parts.push(nutrition::allergens(week));
    parts.extend(changes::section(explanation));
    parts.push(proof::section(explanation, week));
    parts.push(section(
        "Cautions",
        &grid::list(
            sentences::old_batches(week)
                .into_iter()
                .chain(sentences::CAUTIONS.map(str::to_owned)),
        ),
    ));
    parts.join("\n")
}

fn heading(explanation: &Explanation) -> String {
    let mut text = grid::paragraph(&explanation.kitchen);
    text += &grid::paragraph(&sentences::verdict(explanation));
    text
}

/// A section: its title in capitals, then its body.
fn section(title: &str, body: &str) -> String {
    format!("{}\n{body}", title.to_uppercase())
}
