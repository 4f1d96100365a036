//! Turns a plan into what its lunches credit towards food groups, and into shares of energy.
//!
//! For a portion of factor 1; a component's foods as they went in.

use super::uses::{foods_of, taken};
use crate::larder::{Credited, Larder, MILLI, Nutrient, Per};
use crate::plan::{Lunch, Plan};

/// Figures are per 100 g.
const PER_MG: i128 = 100_000;

/// A food group, or a nutrient's share of energy, over the week.
#[derive(Clone, Debug)]
pub struct CreditFacts {
    /// Which.
    pub what: Credited,
    /// By lunch, in day order: thousandths of the group's unit, or of a percent of the energy;
    /// rounded down.
    pub lunches: Vec<i64>,
    /// The sum of the lunches; of a share, that of the week.
    pub week_milli: i64,
    /// Rules on it.
    pub limits: Vec<CreditLimit>,
}

/// A floor or ceiling.
#[derive(Clone, Debug)]
pub struct CreditLimit {
    /// Each lunch, or the week's sum.
    pub per: Per,
    /// Floor, in the unit of the amounts.
    pub at_least_milli: Option<i64>,
    /// Ceiling, in the same; what a share must stay below.
    pub at_most_milli: Option<i64>,
    /// Where the figure comes from.
    pub source: String,
}

pub(super) fn credits(larder: &Larder, plan: &Plan) -> Vec<CreditFacts> {
    let mut facts: Vec<CreditFacts> = Vec::new();
    for rule in &larder.wishes.credits {
        let milli = |micro: i64| micro / MILLI;
        let (at_least_milli, at_most_milli) = match &rule.what {
            Credited::Group { .. } => (
                rule.at_least_micro.map(milli),
                rule.at_most_micro.map(milli),
            ),
            Credited::EnergyShare { below_percent, .. } => (None, Some(below_percent * MILLI)),
        };
        let limit = CreditLimit {
            per: rule.per,
            at_least_milli,
            at_most_milli,
            source: rule.source.clone(),
        };
        if let Some(known) = facts.iter_mut().find(|facts| facts.what == rule.what) {
            known.limits.push(limit);
            continue;
        }
        let (lunches, week_milli) = match &rule.what {
            Credited::Group { .. } => sums(larder, plan, &rule.figures_micro),
            Credited::EnergyShare { nutrient, .. } => shares(larder, plan, *nutrient),
        };
        facts.push(CreditFacts {
            what: rule.what.clone(),
            lunches,
            week_milli,
            limits: vec![limit],
        });
    }
    facts
}

fn sums(larder: &Larder, plan: &Plan, figures: &[i64]) -> (Vec<i64>, i64) {
    let milli = |sum: i128| (sum / PER_MG / i128::from(MILLI)) as i64;
    let of = |lunch: &Lunch| of_lunch(larder, lunch, |food| figures[food]);
    let all: Vec<i128> = plan.lunches.iter().map(of).collect();
    let week = all.iter().sum();
    (all.into_iter().map(milli).collect(), milli(week))
}

fn shares(larder: &Larder, plan: &Plan, nutrient: Nutrient) -> (Vec<i64>, i64) {
    let of = |lunch: &Lunch, nutrient: Nutrient| {
        let figure = |food: usize| larder.foods[food].nutrients_milli[nutrient.index()];
        of_lunch(larder, lunch, |food| figure(food).unwrap_or(0))
    };
    let factor = i128::from(nutrient.kcal_per_gram().unwrap_or(0));
    let parts: Vec<(i128, i128)> = plan
        .lunches
        .iter()
        .map(|lunch| (of(lunch, nutrient) * factor, of(lunch, Nutrient::Energy)))
        .collect();
    let share = |(part, whole): (i128, i128)| (part * 100_000 / whole.max(1)) as i64;
    let week = parts
        .iter()
        .fold((0, 0), |sum, more| (sum.0 + more.0, sum.1 + more.1));
    (parts.into_iter().map(share).collect(), share(week))
}

/// Milligrams times a figure per 100 g, added up.
fn of_lunch(larder: &Larder, lunch: &Lunch, figure: impl Fn(usize) -> i64) -> i128 {
    let mut sum = 0;
    for (what, portion) in taken(larder, lunch) {
        for (food, mg) in foods_of(larder, what, portion) {
            sum += i128::from(mg) * i128::from(figure(food.index()));
        }
    }
    sum
}
