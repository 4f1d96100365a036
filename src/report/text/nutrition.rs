//! Nutrition of a portion against floors and ceilings, and allergens of each lunch.

use super::super::grid::{self, Lean};
use super::super::words;
use super::section::{DayRow, by_day, section as titled};
use crate::explain::{NutrientFacts, WeekFacts};
use crate::larder::{Nutrient, NutrientRule, Per};

/// Always shown; others only with a rule on them.
pub(in crate::report) const SHOWN: [Nutrient; 9] = [
    Nutrient::Energy,
    Nutrient::Protein,
    Nutrient::Fat,
    Nutrient::Saturated,
    Nutrient::Carbohydrate,
    Nutrient::Fibre,
    Nutrient::Calcium,
    Nutrient::Iron,
    Nutrient::Sodium,
];

/// Lunch days that fit beside each other.
const ACROSS: usize = 7;

pub(super) fn section(week: &WeekFacts) -> String {
    let shown: Vec<&NutrientFacts> = week
        .nutrition
        .iter()
        .filter(|facts| SHOWN.contains(&facts.nutrient) || !facts.rules.is_empty())
        .collect();
    let rows = shown.iter().map(|facts| DayRow {
        label: format!("{} {}", facts.nutrient.label(), facts.nutrient.unit()),
        lunches: facts
            .lunches
            .iter()
            .map(|amount| {
                let mark = if amount.incomplete { "+" } else { "" };
                format!("{}{mark}", words::amount(amount.milli))
            })
            .collect(),
        week: mean(facts),
        limits: limits(&facts.rules),
    });
    let mut body = by_day(week, ACROSS, "Mean", &rows.collect::<Vec<_>>());
    body += &grid::list(notes(week, &shown));
    titled("Nutrition of a portion", &body)
}

/// The mean, marked where some food of the week has no figure.
pub(in crate::report) fn mean(facts: &NutrientFacts) -> String {
    let mark = if facts.missing.is_empty() { "" } else { "+" };
    format!("{}{mark}", words::amount(facts.mean_milli))
}

/// Floors and ceilings of a nutrient.
pub(in crate::report) fn limits(rules: &[NutrientRule]) -> String {
    let each = [Per::Lunch, Per::Week].into_iter().filter_map(|per| {
        let mine = || rules.iter().filter(|rule| rule.per == per);
        // Of several floors the highest holds, of several ceilings the lowest.
        let least = mine().filter_map(|rule| rule.at_least_milli).max();
        let most = mine().filter_map(|rule| rule.at_most_milli).min();
        let range = match (least, most) {
            (Some(least), Some(most)) => format!(
                "{} to {}",
                words::thousandths(least),
                words::thousandths(most)
            ),
            (Some(least), None) => format!("at least {}", words::thousandths(least)),
            (None, Some(most)) => format!("at most {}", words::thousandths(most)),
            (None, None) => return None,
        };
        Some(match per {
            Per::Lunch => format!("{range} each"),
            Per::Week => format!("mean {range}"),
        })
    });
    each.collect::<Vec<_>>().join("; ")
}

/// What is not known, and where limits and figures come from.
pub(in crate::report) fn notes(week: &WeekFacts, shown: &[&NutrientFacts]) -> Vec<String> {
    let mut notes = Vec::new();
    for facts in shown.iter().filter(|facts| !facts.missing.is_empty()) {
        let ceiling = facts.rules.iter().any(|rule| rule.at_most_milli.is_some());
        notes.push(format!(
            "+ {}: no figure for {}, so the true amount may be higher{}.",
            facts.nutrient.label(),
            words::and(&facts.missing),
            if ceiling {
                "; its ceiling rests on incomplete data"
            } else {
                ""
            }
        ));
    }
    let limit_sources: std::collections::BTreeSet<&str> = week
        .nutrition
        .iter()
        .flat_map(|facts| facts.rules.iter().map(|rule| rule.source.as_str()))
        .collect();
    if !limit_sources.is_empty() {
        let all: Vec<&str> = limit_sources.into_iter().collect();
        notes.push(format!("Limits from: {}.", all.join("; ")));
    }
    if !week.sources.is_empty() {
        notes.push(format!("Figures from: {}.", grouped(&week.sources)));
    }
    notes
}

pub(super) fn allergens(week: &WeekFacts) -> String {
    let rows = week
        .lunches
        .iter()
        .map(|lunch| {
            let all = if lunch.allergens.is_empty() {
                "none in the kitchen's data".to_owned()
            } else {
                lunch.allergens.join(", ")
            };
            vec![words::short(&lunch.when), all]
        })
        .collect();
    titled(
        "Allergens, from the kitchen's own data",
        &grid::rows(&[Lean::Left, Lean::Left], rows),
    )
}

/// Sources of one table told once, with the foods' numbers behind it.
fn grouped(sources: &[String]) -> String {
    let mut tables: Vec<(&str, Vec<&str>)> = Vec::new();
    for source in sources {
        let (table, number) = source.split_once(", food ").unwrap_or((source, ""));
        match tables.last_mut() {
            Some((last, numbers)) if *last == table && !number.is_empty() => numbers.push(number),
            _ => tables.push((
                table,
                Vec::from_iter((!number.is_empty()).then_some(number)),
            )),
        }
    }
    let each: Vec<String> = tables
        .into_iter()
        .map(|(table, numbers)| match numbers.len() {
            0 => table.to_owned(),
            1 => format!("{table}, food {}", numbers[0]),
            _ => format!("{table}, foods {}", numbers.join(" ")),
        })
        .collect();
    each.join("; ")
}
