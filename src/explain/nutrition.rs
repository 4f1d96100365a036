//! Turns a plan into the nutrients of a portion of factor 1, with what is not known.
//!
//! Figures are those of the foods that went in; cooking losses are not taken off. A food
//! without a figure counts as 0 here and is named, as in the rules.

use std::collections::BTreeSet;

use super::days::When;
use super::uses::{Uses, foods_of, taken};
use crate::larder::{Larder, Nutrient, NutrientRule};
use crate::plan::{Lunch, Plan};

/// Nutrient figures are per 100 g.
const PER_MG: i128 = 100_000;

/// One nutrient over the week.
#[derive(Clone, Debug)]
pub struct NutrientFacts {
    /// Which.
    pub nutrient: Nutrient,
    /// A portion of each lunch, in day order.
    pub lunches: Vec<Amount>,
    /// Mean of the lunches, thousandths of the nutrient's unit, rounded down.
    pub mean_milli: i64,
    /// Foods of the week without a figure, sorted.
    pub missing: Vec<String>,
    /// Rules on it.
    pub rules: Vec<NutrientRule>,
}

/// What a portion holds.
#[derive(Clone, Debug)]
pub struct Amount {
    /// The lunch's day.
    pub when: When,
    /// Thousandths of the nutrient's unit, rounded down.
    pub milli: i64,
    /// Some food of the lunch has no figure: the amount is at least this.
    pub incomplete: bool,
}

pub(super) fn nutrition(larder: &Larder, plan: &Plan) -> Vec<NutrientFacts> {
    Nutrient::ALL
        .into_iter()
        .map(|nutrient| one(larder, plan, nutrient))
        .collect()
}

fn one(larder: &Larder, plan: &Plan, nutrient: Nutrient) -> NutrientFacts {
    let mut missing = BTreeSet::new();
    let mut sum = 0;
    let mut lunches = Vec::with_capacity(plan.lunches.len());
    for (day, lunch) in (1..).zip(&plan.lunches) {
        let (amount, unknown) = of_lunch(larder, lunch, nutrient);
        sum += amount;
        lunches.push(Amount {
            when: When::new(larder, day),
            milli: (amount / PER_MG) as i64,
            incomplete: !unknown.is_empty(),
        });
        missing.extend(unknown);
    }
    NutrientFacts {
        nutrient,
        mean_milli: (sum / PER_MG / lunches.len().max(1) as i128) as i64,
        lunches,
        missing: missing.into_iter().collect(),
        rules: larder
            .wishes
            .nutrition
            .iter()
            .filter(|rule| rule.nutrient == nutrient)
            .cloned()
            .collect(),
    }
}

/// Milligrams times thousandths per 100 g, and the foods without a figure.
fn of_lunch(larder: &Larder, lunch: &Lunch, nutrient: Nutrient) -> (i128, Vec<String>) {
    let mut sum = 0;
    let mut unknown = Vec::new();
    for (what, portion) in taken(larder, lunch) {
        for (food, mg) in foods_of(larder, what, portion) {
            let food = &larder.foods[food.index()];
            match food.nutrients_milli[nutrient.index()] {
                Some(milli) => sum += i128::from(mg) * i128::from(milli),
                None => unknown.push(food.name.clone()),
            }
        }
    }
    (sum, unknown)
}

pub(super) fn sources(larder: &Larder, uses: &Uses) -> Vec<String> {
    let used: BTreeSet<_> = uses.lunches.iter().flat_map(|foods| foods.keys()).collect();
    used.into_iter()
        .map(|food| larder.foods[food.index()].source.clone())
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect()
}
