//! A section of the report, and its table of figures by lunch day.

use super::super::grid::{self, Lean};
use super::super::words;
use crate::explain::WeekFacts;

/// A row of figures by lunch day.
pub(super) struct DayRow {
    pub(super) label: String,
    /// One a lunch.
    pub(super) lunches: Vec<String>,
    /// Of all lunches together.
    pub(super) week: String,
    pub(super) limits: String,
}

/// Figures by lunch day, `across` days beside each other, what `heading` says of the week and
/// the limits last.
pub(super) fn by_day(week: &WeekFacts, across: usize, heading: &str, rows: &[DayRow]) -> String {
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
pub(super) fn section(title: &str, body: &str) -> String {
    format!("{}\n{body}", title.to_uppercase())
}
