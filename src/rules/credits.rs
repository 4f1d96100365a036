//! Food groups and shares of energy: floors and ceilings beside those of nutrition.
//!
//! Asks: what a portion of factor 1 credits towards a food group (each food by its own mass, a
//! component's foods as they went in) lies between floor and ceiling, lunch by lunch or added up
//! over the week; and a nutrient gives less than its share of the energy. Sums are exact; an
//! unknown nutrient figure counts as zero.
//!
//! A kitchen wants it because meal patterns speak of cups and ounces, not of nutrients. It is
//! arithmetic on the kitchen's own credits: whether a lunch may be claimed under a programme is
//! for the programme's own rules and officers.
//! To loosen: `at_least`, `at_most` or `below`, or ask it of the week instead of each lunch.

use super::case::{Case, PER_MG, decimal};
use super::finding::{Findings, RuleDoc};
use crate::larder::{CreditRule, Credited, FoodId, Per};

pub(super) const LUNCH_LACKS_CREDIT: RuleDoc = RuleDoc {
    code: "lunch-lacks-credit",
    asks: "every lunch gives at least so much of a food group",
    loosen: "lower `at_least`, or ask it `per: week`",
};
pub(super) const LUNCH_OVER_CREDIT: RuleDoc = RuleDoc {
    code: "lunch-over-credit",
    asks: "every lunch gives at most so much of a food group",
    loosen: "raise `at_most`, or ask it `per: week`",
};
pub(super) const WEEK_LACKS_CREDIT: RuleDoc = RuleDoc {
    code: "week-lacks-credit",
    asks: "the week's lunches together give at least so much of a food group",
    loosen: "lower `at_least`",
};
pub(super) const WEEK_OVER_CREDIT: RuleDoc = RuleDoc {
    code: "week-over-credit",
    asks: "the week's lunches together give at most so much of a food group",
    loosen: "raise `at_most`",
};
pub(super) const LUNCH_OVER_ENERGY_SHARE: RuleDoc = RuleDoc {
    code: "lunch-over-energy-share",
    asks: "in every lunch a nutrient gives less than its share of the energy",
    loosen: "raise `below`, or ask it `per: week`",
};
pub(super) const WEEK_OVER_ENERGY_SHARE: RuleDoc = RuleDoc {
    code: "week-over-energy-share",
    asks: "over the week a nutrient gives less than its share of the energy",
    loosen: "raise `below`",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for rule in &case.larder.wishes.credits {
        let figure = |food: FoodId| rule.figures_micro.get(food.index()).copied().unwrap_or(0);
        for (whose, sum) in case.sums(rule.per, "the week", figure) {
            compare(rule, &whose, sum, findings);
        }
    }
}

fn compare(rule: &CreditRule, whose: &str, sum: i128, findings: &mut Findings) {
    let missed = |limit: Option<i64>| limit.is_some_and(|v| sum < i128::from(v) * PER_MG);
    let passed = |limit: Option<i64>| limit.is_some_and(|v| sum > i128::from(v) * PER_MG);
    match &rule.what {
        Credited::Group { name, unit } => {
            // Five more digits than millionths: the hundred grams taken out exactly.
            let has = decimal(sum, 11);
            let tell = |word: &str, limit: Option<i64>| {
                let limit = decimal(i128::from(limit.unwrap_or(0)), 6);
                format!("{whose} gives {has} {unit} of {name}; {word} {limit} {unit} asked")
            };
            if missed(rule.at_least_micro) {
                let doc = match rule.per {
                    Per::Lunch => &LUNCH_LACKS_CREDIT,
                    Per::Week => &WEEK_LACKS_CREDIT,
                };
                findings.add(doc, tell("at least", rule.at_least_micro));
            }
            if passed(rule.at_most_micro) {
                let doc = match rule.per {
                    Per::Lunch => &LUNCH_OVER_CREDIT,
                    Per::Week => &WEEK_OVER_CREDIT,
                };
                findings.add(doc, tell("at most", rule.at_most_micro));
            }
        }
        Credited::EnergyShare {
            nutrient,
            below_percent,
        } => {
            if missed(rule.at_least_micro) {
                let doc = match rule.per {
                    Per::Lunch => &LUNCH_OVER_ENERGY_SHARE,
                    Per::Week => &WEEK_OVER_ENERGY_SHARE,
                };
                let label = nutrient.label();
                let detail =
                    format!("{whose} has {label} for {below_percent} % of its energy or more");
                findings.add(doc, detail);
            }
        }
    }
}
