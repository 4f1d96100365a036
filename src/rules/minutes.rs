//! Minutes: active time, day by day.
//!
//! Asks: the day's own lunch and the batches cooked that day together take no more active
//! minutes than the day allows; a batch takes its fixed minutes and some for every
//! milligram of it that is eaten. Oven and pot time does not count there; time in the
//! kitchen counts it: the same minutes and those at which the cook stays because a burner
//! or an oven is on, one thing after another.
//! A kitchen wants it because mornings are short; the prep day carries the rest.
//! To loosen: `rules: minutes` or `rules: kitchen_minutes` for the day.

use super::case::{Case, decimal};
use super::finding::{Findings, RuleDoc};
use crate::larder::{Day, NANO};

pub(super) const OVER_MINUTES: RuleDoc = RuleDoc {
    code: "over-minutes",
    asks: "the active minutes of a day stay within its limit",
    loosen: "raise `rules: minutes` for the day, or let a batch be cooked earlier by keeping longer",
};

pub(super) const OVER_KITCHEN_MINUTES: RuleDoc = RuleDoc {
    code: "over-kitchen-minutes",
    asks: "the active and watched minutes of a day, one after another, stay within its limit",
    loosen: "raise `rules: kitchen_minutes` for the day, or cook on another day",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for (day, limit) in (0..=case.larder.week.lunches).zip(&case.larder.wishes.kitchen_minutes_nano)
    {
        let minutes = of_day(case, day).saturating_add(watched_on(case, day));
        if let Some(limit) = *limit
            && minutes > i128::from(limit)
        {
            let detail = format!(
                "{} takes {} minutes in the kitchen, one thing after another; at most {} allowed",
                case.day(day),
                decimal(minutes, 9),
                decimal(i128::from(limit), 9)
            );
            findings.add(&OVER_KITCHEN_MINUTES, detail);
        }
    }
    for (day, limit) in (0..=case.larder.week.lunches).zip(&case.larder.wishes.minutes_nano) {
        let minutes = of_day(case, day);
        if let Some(limit) = *limit
            && minutes > i128::from(limit)
        {
            let detail = format!(
                "{} takes {} active minutes; at most {} allowed",
                case.day(day),
                decimal(minutes, 9),
                decimal(i128::from(limit), 9)
            );
            findings.add(&OVER_MINUTES, detail);
        }
    }
}

/// Returns the active minutes of `day`, in 1e-9 minutes.
pub(super) fn of_day(case: &Case, day: Day) -> i128 {
    let lunch: i128 = case
        .lunches()
        .filter(|served| served.day == day)
        .map(|served| i128::from(served.recipe.minutes_nano))
        .sum();
    let batches = case.plan.batches.iter().filter(|batch| batch.day == day);
    batches.fold(lunch, |sum, batch| {
        let component = &case.larder.components[batch.component.index()];
        let served: i128 = batch.serves.iter().map(|&(_, mg)| i128::from(mg)).sum();
        let cooking = served.saturating_mul(i128::from(component.minutes_per_mg_nano));
        sum.saturating_add(i128::from(component.batch_minutes_nano))
            .saturating_add(cooking)
    })
}

/// Returns the watched minutes of `day`, in 1e-9 minutes: those of the batches cooked on it.
pub(super) fn watched_on(case: &Case, day: Day) -> i128 {
    let batches = case.plan.batches.iter().filter(|batch| batch.day == day);
    batches.fold(0, |sum: i128, batch| {
        let component = &case.larder.components[batch.component.index()];
        sum.saturating_add(i128::from(component.watched_minutes()) * i128::from(NANO))
    })
}
