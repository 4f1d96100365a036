//! Finishers: what is added to a judged week must come from its packs.
//!
//! Asks: each finisher is one of its lunch's own, once, of a food that is not banned; what
//! it takes is drawn from units inside their windows and no more than they hold; nothing
//! else of the week changes.

use std::collections::BTreeMap;

use super::case::Case;
use super::finding::{Findings, RuleDoc};
use super::packs;
use crate::larder::allowed::foods_banned;
use crate::larder::{Day, FoodId, Ingredient, Larder};
use crate::plan::Plan;

const PLAIN_SENSE: &str = "it cannot be loosened";

pub(super) const NOT_ITS_FINISHER: RuleDoc = RuleDoc {
    code: "not-its-finisher",
    asks: "a finisher is one of its lunch's own, placed once, of a food that is not banned",
    loosen: PLAIN_SENSE,
};
pub(super) const WEEK_CHANGED: RuleDoc = RuleDoc {
    code: "week-changed",
    asks: "finishers leave lunches and batches as they are",
    loosen: PLAIN_SENSE,
};

/// Checks a week with finishers against the week before them; its shape must be sound.
pub(super) fn check(
    larder: &Larder,
    plain: &Plan,
    finished: &Plan,
    placed: &[(Day, usize, i64)],
    findings: &mut Findings,
) {
    if (&plain.lunches, &plain.batches) != (&finished.lunches, &finished.batches) {
        findings.add(&WEEK_CHANGED, "other lunches or batches".to_owned());
        return;
    }
    let banned = foods_banned(larder);
    let mut extra: BTreeMap<(FoodId, Day), i128> = BTreeMap::new();
    let mut seen = Vec::new();
    for &(day, position, mg) in placed {
        let lunch = plain.lunches.get(usize::from(day).wrapping_sub(1));
        let entry = lunch.and_then(|lunch| {
            let recipe = &larder.recipes[lunch.recipe.index()];
            recipe.finishers.get(position)
        });
        let food = match entry.map(|entry| entry.alternative.what) {
            Some(Ingredient::Food(food)) if !banned[food.index()] => Some(food),
            _ => None,
        };
        let asked = entry.map(|entry| larder.for_eaters(entry.alternative.mg, day));
        let (Some(food), Some(asked)) = (food, asked) else {
            findings.add(
                &NOT_ITS_FINISHER,
                format!("{}, number {position}", larder.day_name(day.into())),
            );
            continue;
        };
        if asked != mg || seen.contains(&(day, position)) {
            findings.add(
                &NOT_ITS_FINISHER,
                format!("{}, number {position}", larder.day_name(day.into())),
            );
        }
        seen.push((day, position));
        *extra.entry((food, day)).or_default() += i128::from(mg);
    }
    let mut case = Case::new(larder, finished);
    for (key, mg) in extra {
        *case.used.entry(key).or_default() += mg;
    }
    packs::check(&case, findings);
}
