//! Turns a plan into who uses which food on which day, and what it was worth.

use std::collections::{BTreeMap, BTreeSet};

use crate::larder::{Day, FoodId, Ingredient, Larder};
use crate::plan::{Lot, Lunch, Plan};

/// The lines of a lunch as taken: ingredient and milligrams for a portion of factor 1.
pub(super) fn taken<'a>(
    larder: &'a Larder,
    lunch: &'a Lunch,
) -> impl Iterator<Item = (Ingredient, i64)> + 'a {
    larder.recipes[lunch.recipe.index()]
        .lines
        .iter()
        .zip(&lunch.taken)
        .map(|(line, &taken)| {
            let alternative = &line.alternatives[usize::from(taken)];
            (alternative.what, alternative.mg)
        })
}

/// The foods of `mg` of an ingredient, components resolved.
pub(super) fn foods_of(larder: &Larder, what: Ingredient, mg: i64) -> Vec<(FoodId, i64)> {
    match what {
        Ingredient::Food(food) => vec![(food, mg)],
        Ingredient::Component(component) => larder.component_foods(component, mg),
    }
}

/// Who uses what when.
pub(super) struct Uses {
    /// Milligrams of each food eaten at each lunch by all eaters; index 0 is day 1.
    pub(super) lunches: Vec<BTreeMap<FoodId, i64>>,
    /// Lunch days fed by what is used of a food on a day.
    feeds: BTreeMap<(FoodId, Day), BTreeSet<Day>>,
    /// For each food drawn: value in millionths of a minor unit, and milligrams.
    drawn: BTreeMap<FoodId, (i128, i128)>,
}

impl Uses {
    pub(super) fn new(larder: &Larder, plan: &Plan) -> Self {
        let mut lunches = Vec::with_capacity(plan.lunches.len());
        let mut feeds: BTreeMap<(FoodId, Day), BTreeSet<Day>> = BTreeMap::new();
        for (day, lunch) in (1..).zip(&plan.lunches) {
            let mut foods = BTreeMap::new();
            for (what, portion) in taken(larder, lunch) {
                for (food, mg) in foods_of(larder, what, larder.for_eaters(portion, day)) {
                    *foods.entry(food).or_default() += mg;
                    if matches!(what, Ingredient::Food(_)) {
                        feeds.entry((food, day)).or_default().insert(day);
                    }
                }
            }
            lunches.push(foods);
        }
        for batch in &plan.batches {
            for &(food, _) in &batch.foods {
                let days = feeds.entry((food, batch.day)).or_default();
                days.extend(batch.serves.iter().map(|&(day, _)| day));
            }
        }
        let mut drawn: BTreeMap<FoodId, (i128, i128)> = BTreeMap::new();
        for opening in &plan.openings {
            let (food, value) = lot_value(larder, opening.lot);
            let mg: i128 = opening.draws.iter().map(|&(_, mg)| i128::from(mg)).sum();
            let sums = drawn.entry(food).or_default();
            sums.0 += mg * i128::from(value);
            sums.1 += mg;
        }
        Self {
            lunches,
            feeds,
            drawn,
        }
    }

    /// Lunch days that what is drawn of `lot` feeds. Where two lots of a food are drawn on
    /// one day, both feed whatever used the food that day.
    pub(super) fn fed_by(&self, larder: &Larder, plan: &Plan, lot: Lot) -> BTreeSet<Day> {
        let (food, _) = lot_value(larder, lot);
        plan.openings
            .iter()
            .filter(|opening| opening.lot == lot)
            .flat_map(|opening| &opening.draws)
            .filter_map(|&(day, _)| self.feeds.get(&(food, day)))
            .flatten()
            .copied()
            .collect()
    }

    /// Lunch days that a food feeds: where a lunch takes it as it is, or takes some of a batch that
    /// it went into, however little of it is in that share.
    pub(super) fn fed(&self, food: FoodId) -> BTreeSet<Day> {
        let days = self.feeds.range((food, Day::MIN)..=(food, Day::MAX));
        days.flat_map(|(_, days)| days).copied().collect()
    }

    /// Value of `mg` of a food, 1e-9 minor units, at the mean price of the packs it is
    /// drawn from (staples at their pro-rata price); rounded down.
    pub(super) fn value_nano(&self, larder: &Larder, food: FoodId, mg: i64) -> i64 {
        let food_facts = &larder.foods[food.index()];
        let nano = if food_facts.staple {
            i128::from(mg) * i128::from(food_facts.staple_value_nano)
        } else {
            let (value, drawn) = self.drawn.get(&food).copied().unwrap_or_default();
            if drawn == 0 {
                0
            } else {
                i128::from(mg) * value / drawn
            }
        };
        nano as i64
    }
}

/// The food of a lot and its value per milligram.
pub(super) fn lot_value(larder: &Larder, lot: Lot) -> (FoodId, i64) {
    match lot {
        Lot::Bought(pack, _) => {
            let pack = &larder.packs[pack.index()];
            (pack.food, pack.value_nano)
        }
        Lot::Stock(stock) => {
            let stock = &larder.stock[stock.index()];
            (stock.food, stock.value_nano)
        }
    }
}
