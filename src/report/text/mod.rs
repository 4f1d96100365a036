//! The week as a cook reads it, top to bottom: eat, buy, cook, keep, trust.

mod changes;
mod cooking;
mod credits;
mod finishers;
mod leftovers;
mod list;
mod lunches;
pub(super) mod nutrition;
mod prep;
pub(super) mod proof;
mod recipes;
mod row;
mod shopping;
mod tradeoffs;

pub(super) use list::list;
pub(super) use prep::prep;
pub(super) use recipes::recipes;
pub(super) use row::row;
pub(super) use tradeoffs::tradeoffs;

use super::grid::{self, Lean};
use super::{advice, sentences, trade_sentences, words};
use crate::explain::{Explanation, WeekFacts};

/// Returns the whole report, at most 80 characters wide, ending in a line break.
pub(super) fn text(explanation: &Explanation) -> String {
    let mut parts = vec![heading(explanation)];
    let Some(week) = &explanation.week else {
        if let Some(conflict) = &explanation.conflict {
            parts.push(tradeoffs::conflict_body(conflict, &explanation.currency));
        }
        parts.extend(sentences::advice(explanation).map(grid::paragraph));
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
                .chain(advice::in_short(&week.advice))
                .chain(sentences::CAUTIONS.map(str::to_owned)),
        ),
    ));
    parts.join("\n")
}

/// Returns what stands after the report of a proved week: what changes would cost.
pub(super) fn changes_told(explanation: &Explanation) -> String {
    let told = explanation.telling.iter();
    let told = told.map(|told| trade_sentences::telling(told, &explanation.currency));
    let none = explanation.telling.is_empty();
    let told = told.chain(none.then(|| trade_sentences::NOT_TOLD.to_owned()));
    format!(
        "\n{}",
        section("What a change would cost", &grid::list(told))
    )
}

fn heading(explanation: &Explanation) -> String {
    let mut text = grid::paragraph(&explanation.kitchen);
    text += &grid::paragraph(&sentences::verdict(explanation));
    text
}

/// A row of figures by lunch day.
struct DayRow {
    label: String,
    /// One a lunch.
    lunches: Vec<String>,
    /// Of all lunches together.
    week: String,
    limits: String,
}

/// Figures by lunch day, `across` days beside each other, what `heading` says of the week and
/// the limits last.
fn by_day(week: &WeekFacts, across: usize, heading: &str, rows: &[DayRow]) -> String {
    let lunches = week.lunches.len();
    let mut body = String::new();
    for start in (0..lunches).step_by(across) {
        let days = start..(start + across).min(lunches);
        let names: Vec<String> = days
            .clone()
            .map(|day| words::short(&week.lunches[day].when))
            .collect();
        let last = days.end == lunches;
        let mut columns = vec![("", Lean::Left)];
        columns.extend(names.iter().map(|name| (name.as_str(), Lean::Right)));
        if last {
            columns.extend([(heading, Lean::Right), ("Limits", Lean::Left)]);
        }
        let rows = rows.iter().map(|row| {
            let mut cells = vec![row.label.clone()];
            cells.extend_from_slice(&row.lunches[days.clone()]);
            if last {
                cells.extend([row.week.clone(), row.limits.clone()]);
            }
            cells
        });
        body += &grid::table(&columns, rows.collect());
    }
    body
}

/// A section: its title in capitals, then its body.
fn section(title: &str, body: &str) -> String {
    format!("{}\n{body}", title.to_uppercase())
}
