//! Nutrition: floors and ceilings, for each lunch and for the week's mean.
//!
//! Asks: the nutrients of a portion of factor 1 (each line's own amount; a component's
//! foods as they went in, no cooking losses) lie between floor and ceiling. An unknown
//! figure counts as zero for both, so a ceiling may rest on incomplete data and the report
//! says so. The week's mean is compared as a sum, so nothing is rounded.
//!
//! A kitchen wants it because lunch carries a good part of the day's protein and too
//! easily of its salt. It is arithmetic on a food table, not advice: leave targets for
//! anyone with a medical need to a licensed dietitian.
//! To loosen: `at_least` or `at_most`, or ask it of the week instead of each lunch.

use super::case::{Case, PER_MG, decimal, thousandths};
use super::finding::{Findings, RuleDoc};
use crate::larder::{FoodId, NutrientRule, Per};

pub(super) const LUNCH_BELOW_FLOOR: RuleDoc = RuleDoc {
    code: "lunch-below-floor",
    asks: "every lunch has at least so much of a nutrient",
    loosen: "lower `at_least`, or ask it `per: week`",
};
pub(super) const LUNCH_ABOVE_CEILING: RuleDoc = RuleDoc {
    code: "lunch-above-ceiling",
    asks: "every lunch has at most so much of a nutrient",
    loosen: "raise `at_most`, or ask it `per: week`",
};
pub(super) const WEEK_BELOW_FLOOR: RuleDoc = RuleDoc {
    code: "week-below-floor",
    asks: "the week's lunches have on average at least so much of a nutrient",
    loosen: "lower `at_least`",
};
pub(super) const WEEK_ABOVE_CEILING: RuleDoc = RuleDoc {
    code: "week-above-ceiling",
    asks: "the week's lunches have on average at most so much of a nutrient",
    loosen: "raise `at_most`",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for rule in &case.larder.wishes.nutrition {
        let foods = &case.larder.foods;
        // A figure that is missing counts as 0.
        let figure = |food: FoodId| {
            let figures = &foods[food.index()].nutrients_milli;
            figures[rule.nutrient.index()].unwrap_or(0)
        };
        let (lunches, docs) = match rule.per {
            Per::Lunch => (1, [&LUNCH_BELOW_FLOOR, &LUNCH_ABOVE_CEILING]),
            Per::Week => (
                i128::from(case.larder.week.lunches),
                [&WEEK_BELOW_FLOOR, &WEEK_ABOVE_CEILING],
            ),
        };
        for (whose, sum) in case.sums(rule.per, "the week's mean", figure) {
            compare(rule, &whose, sum, lunches, docs, findings);
        }
    }
}

fn compare(
    rule: &NutrientRule,
    whose: &str,
    sum: i128,
    lunches: i128,
    [below, above]: [&RuleDoc; 2],
    findings: &mut Findings,
) {
    let (label, unit) = (rule.nutrient.label(), rule.nutrient.unit());
    // Five more digits than thousandths: the hundred grams taken out exactly.
    let has = decimal(sum / lunches, 8);
    if let Some(floor) = rule.at_least_milli
        && sum < i128::from(floor) * lunches * PER_MG
    {
        let floor = thousandths(i128::from(floor));
        let detail = format!("{whose} has {has} {unit} {label}; at least {floor} {unit} asked");
        findings.add(below, detail);
    }
    if let Some(ceiling) = rule.at_most_milli
        && sum > i128::from(ceiling) * lunches * PER_MG
    {
        let ceiling = thousandths(i128::from(ceiling));
        let detail = format!("{whose} has {has} {unit} {label}; at most {ceiling} {unit} asked");
        findings.add(above, detail);
    }
}
