//! What is left of every pack and what becomes of it.

use super::super::grid::{self, Lean};
use super::super::{phrases, words};
use super::section::section as titled;
use crate::explain::{Explanation, Fate, LeftoverFacts, WeekFacts};
use crate::larder::Currency;

pub(super) fn section(explanation: &Explanation, week: &WeekFacts) -> Option<String> {
    if week.leftovers.is_empty() {
        return None;
    }
    let currency = &explanation.currency;
    let rows = week
        .leftovers
        .iter()
        .map(|left| row(left, currency))
        .collect();
    let mut body = grid::table(
        &[
            ("Pack", Lean::Left),
            ("Had g", Lean::Right),
            ("Used g", Lean::Right),
            ("Left g", Lean::Right),
            ("Share", Lean::Right),
            ("Worth", Lean::Right),
            ("Open", Lean::Left),
            ("Good to", Lean::Left),
            ("Fate", Lean::Left),
        ],
        rows,
    );
    let totals = &week.leftover_totals;
    body += &grid::list([
        format!(
            "Edible in all: had {}, used {}, left {} ({}).",
            words::mass(totals.had_mg),
            words::mass(totals.used_mg),
            words::mass(totals.kept_mg + totals.spoiled_mg),
            words::share(totals.kept_mg + totals.spoiled_mg, totals.had_mg),
        ),
        format!(
            "Kept, still good on {}: {}, worth {}. Spoiled by then: {}, worth {}.",
            words::the(&explanation.carry),
            words::mass(totals.kept_mg),
            words::cash_nano(totals.kept_nano, currency),
            words::mass(totals.spoiled_mg),
            words::cash_nano(totals.spoiled_nano, currency),
        ),
    ]);
    Some(titled("Leftovers", &body))
}

fn row(left: &LeftoverFacts, currency: &Currency) -> Vec<String> {
    let nothing_left = left.left_mg == 0;
    let unless_gone = |text: String| if nothing_left { String::new() } else { text };
    vec![
        format!("{}\n- {}", left.food, phrases::origin(left)),
        words::grams(left.had_mg),
        words::grams(left.used_mg),
        if nothing_left {
            "0".to_owned()
        } else {
            words::grams(left.left_mg)
        },
        unless_gone(words::share(left.left_mg, left.had_mg)),
        unless_gone(words::cash_nano(left.value_nano, currency)),
        left.opened_on
            .as_ref()
            .map_or("no".to_owned(), words::short),
        unless_gone(words::until(&left.good_until)),
        match left.fate {
            Fate::UsedUp => "used up",
            Fate::Kept => "kept",
            Fate::Spoiled => "SPOILED",
        }
        .to_owned(),
    ]
}
