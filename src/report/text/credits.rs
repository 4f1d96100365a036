//! Food groups and shares of energy against their rules.

use super::super::grid;
use super::super::words;
use super::section::{DayRow, by_day, section as titled};
use crate::explain::{CreditFacts, CreditLimit, WeekFacts};
use crate::larder::{Credited, Per};

/// Where the limits come from, and whose claim the figures are; nothing without such rules.
pub(in crate::report) fn notes(week: &WeekFacts) -> Vec<String> {
    if week.credits.is_empty() {
        return Vec::new();
    }
    let sources: std::collections::BTreeSet<&str> = week
        .credits
        .iter()
        .flat_map(|facts| facts.limits.iter().map(|limit| limit.source.as_str()))
        .collect();
    let all: Vec<&str> = sources.into_iter().collect();
    vec![
        format!("Limits from: {}.", all.join("; ")),
        "What a food counts for is the kitchen's own entry; whether a lunch may be claimed is for \
         the programme's rules and officers."
            .to_owned(),
    ]
}

/// Lunch days that fit beside each other.
const ACROSS: usize = 5;

/// The section, if a rule asks for one.
pub(super) fn section(week: &WeekFacts) -> Option<String> {
    if week.credits.is_empty() {
        return None;
    }
    let rows = week.credits.iter().map(|facts| DayRow {
        label: label(facts),
        lunches: facts
            .lunches
            .iter()
            .map(|&m| words::hundredths(m))
            .collect(),
        week: words::hundredths(facts.week_milli),
        limits: limits(facts),
    });
    let mut body = by_day(week, ACROSS, "Week", &rows.collect::<Vec<_>>());
    body += &grid::list(notes(week));
    Some(titled("Food groups and energy of a portion", &body))
}

pub(in crate::report) fn label(facts: &CreditFacts) -> String {
    match &facts.what {
        Credited::Group { name, unit } => format!("{name}, {unit}"),
        Credited::EnergyShare { nutrient, .. } => format!("{}, % of energy", nutrient.label()),
    }
}

pub(in crate::report) fn limits(facts: &CreditFacts) -> String {
    let each = facts.limits.iter().map(|limit: &CreditLimit| {
        let below = matches!(facts.what, Credited::EnergyShare { .. });
        let range = match (limit.at_least_milli, limit.at_most_milli) {
            (Some(least), Some(most)) => format!(
                "{} to {}",
                words::thousandths(least),
                words::thousandths(most)
            ),
            (Some(least), None) => format!("at least {}", words::thousandths(least)),
            (None, Some(most)) if below => format!("below {}", words::thousandths(most)),
            (None, Some(most)) => format!("at most {}", words::thousandths(most)),
            (None, None) => return String::new(),
        };
        match limit.per {
            Per::Lunch => format!("{range} each"),
            Per::Week => format!("week {range}"),
        }
    });
    each.collect::<Vec<_>>().join("; ")
}
