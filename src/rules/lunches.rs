//! Lunches: which recipe may be served when, and how often.
//!
//! Asks: a recipe stands on its allowed days only, and at most `repeats` times.
//! A kitchen wants it because some lunches suit some days (a soup only where there is a
//! microwave) and because nobody likes the same box twice.
//! To loosen: widen `days` in the recipe, or raise `rules: repeats`.

use std::collections::BTreeMap;

use super::case::Case;
use super::finding::{Findings, RuleDoc};

pub(super) const NOT_SERVED_THAT_DAY: RuleDoc = RuleDoc {
    code: "not-served-that-day",
    asks: "a recipe is served on its allowed days only",
    loosen: "add the day to the recipe's `days`",
};
pub(super) const SERVED_TOO_OFTEN: RuleDoc = RuleDoc {
    code: "served-too-often",
    asks: "no recipe appears more often than `repeats` allows",
    loosen: "raise `rules: repeats`",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    let mut times = BTreeMap::new();
    for served in case.lunches() {
        let allowed = served.recipe.days.get(usize::from(served.day) - 1);
        if allowed != Some(&true) {
            let detail = format!(
                "“{}” is not for {}",
                served.recipe.name,
                case.day(served.day)
            );
            findings.add(&NOT_SERVED_THAT_DAY, detail);
        }
        *times.entry(served.lunch.recipe).or_insert(0) += 1;
    }
    let most = case.larder.wishes.repeats;
    for (recipe, count) in times {
        if count > most {
            let name = &case.larder.recipes[recipe.index()].name;
            let detail = format!("“{name}” appears {count} times; at most {most} allowed");
            findings.add(&SERVED_TOO_OFTEN, detail);
        }
    }
}
