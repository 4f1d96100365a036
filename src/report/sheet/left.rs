//! What is left of the packs on the page: what spoils first, then the dearest, each with a bar as long
//! as the pack is dear.

use super::super::{amounts, measures, phrases, words};
use crate::explain::{Explanation, Fate, LeftoverFacts, LeftoverTotals, WeekFacts};

/// The section.
pub(super) struct Left {
    pub(super) packs: Vec<Pack>,
    pub(super) trifles: String,
    pub(super) used_up: String,
    pub(super) totals: String,
}

/// A pack of which something is left.
pub(super) struct Pack {
    pub(super) food: String,
    pub(super) origin: String,
    pub(super) amount: String,
    pub(super) worth: String,
    /// Of the dearest pack, in percent.
    pub(super) wide: String,
    /// What is used, by day, and what is left, in percent of the pack.
    pub(super) used: Vec<String>,
    pub(super) rest: String,
    pub(super) spoiled: bool,
    pub(super) fate: String,
    pub(super) told: String,
}

/// What is left of every pack: of the finished week, if there is one.
pub(in crate::report) fn leftovers<'a>(
    explanation: &'a Explanation,
    week: &'a WeekFacts,
) -> (&'a [LeftoverFacts], &'a LeftoverTotals) {
    match &explanation.finishers {
        Some(facts) => (&facts.leftovers, &facts.leftover_totals),
        None => (&week.leftovers, &week.leftover_totals),
    }
}

pub(super) fn left(explanation: &Explanation, week: &WeekFacts) -> Left {
    let (all, totals) = leftovers(explanation, week);
    let currency = &explanation.currency;
    let (mut shown, trifles): (Vec<&LeftoverFacts>, Vec<&LeftoverFacts>) = all
        .iter()
        .filter(|left| left.left_mg > 0)
        .partition(|left| !left.is_trifle(currency));
    shown.sort_by_key(|left| {
        let kept = left.fate != Fate::Spoiled;
        (kept, std::cmp::Reverse(left.value_nano), left.food.clone())
    });
    let dearest = shown.iter().map(|left| left.had_nano).max().unwrap_or(1);
    let rest = |food: &String| {
        all.iter()
            .any(|left| left.food == *food && left.left_mg > 0)
    };
    let used_up = (all.iter()).filter(|left| left.left_mg == 0 && !rest(&left.food));
    let used_up: Vec<String> = used_up.map(|left| left.food.clone()).collect();
    let trifles = trifles.into_iter().map(|left| {
        let out = match left.fate {
            Fate::Spoiled => format!(" ({}, thrown out)", words::after(&left.good_until)),
            _ => String::new(),
        };
        format!("{} {}{out}", left.food, words::mass(left.left_mg))
    });
    let mut used_up_once = used_up;
    used_up_once.dedup();
    Left {
        packs: shown
            .into_iter()
            .map(|left| pack(left, dearest, currency))
            .collect(),
        trifles: trifles.collect::<Vec<_>>().join(", "),
        used_up: used_up_once.join(", "),
        totals: phrases::left_totals(totals, &explanation.carry, currency),
    }
}

/// Tenths of a percent as the style sheet reads them.
fn percent(part: i64, whole: i64) -> String {
    let tenths = i128::from(part.max(0)) * 1_000 / i128::from(whole.max(1));
    format!("{}.{}", tenths / 10, tenths % 10)
}

fn pack(left: &LeftoverFacts, dearest: i64, currency: &crate::larder::Currency) -> Pack {
    let spoiled = left.fate == Fate::Spoiled;
    let until = words::until(&left.good_until);
    let measure = amounts::compact(&measures::left(&left.measured));
    let weighed = words::mass(left.left_mg);
    Pack {
        food: left.food.clone(),
        origin: phrases::origin(left),
        amount: if measure.ends_with(&format!("{}g", words::JOINT)) || measure == weighed {
            weighed
        } else {
            format!("{measure}, {weighed}")
        },
        worth: words::cash_nano(left.value_nano, currency),
        wide: percent(left.had_nano.max(1), dearest),
        used: left
            .draws
            .iter()
            .filter(|(_, mg)| *mg > 0)
            .map(|(_, mg)| percent(*mg, left.had_mg))
            .collect(),
        rest: percent(left.left_mg, left.had_mg),
        spoiled,
        fate: if spoiled {
            format!("{until}, out")
        } else {
            until
        },
        told: phrases::pack(left),
    }
}
