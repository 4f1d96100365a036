//! Floors of all units in one dimension: the objective of the stage, or a sum with a
//! ceiling (cap, budget, a settled aim).

use crate::engine::bound::amounts::{All, Amounts};
use crate::engine::model::items::Item;
use crate::engine::model::pool::Pool;
use crate::engine::model::score::Weights;
use crate::engine::packs::floor::FoodSteps;
use crate::engine::packs::relaxed::Relaxed;
use std::sync::Arc;

/// One sum that the search keeps a floor under.
pub(in crate::engine) struct Gauge {
    pub(in crate::engine) weights: Weights,
    /// Foods by id, then components; none for units no item uses.
    floors: Vec<Option<Floor>>,
    /// Floor of foods on hand that no item uses: always paid.
    pub(in crate::engine) constant: i64,
    /// Units whose floor is not zero when nothing is used (stock that may spoil).
    pub(in crate::engine) restless: Vec<u32>,
    /// By unit: what items take of it.
    pub(in crate::engine) amounts: Arc<Vec<Amounts>>,
    /// Shares worked out so far.
    pub(in crate::engine) known: All,
}

enum Floor {
    Food(Box<Relaxed>),
    /// Minutes of at least one batch.
    Batch(i64),
}

impl Gauge {
    /// Prepares the floors for items that take so much of each unit.
    pub(in crate::engine) fn new(
        pool: &Pool,
        weights: &Weights,
        amounts: Arc<Vec<Amounts>>,
    ) -> Self {
        let foods = pool.larder.foods.len();
        let units = foods + pool.larder.components.len();
        let most = amounts.iter().map(|amounts| amounts.list.last());
        let most: Vec<i64> = most.map(|most| most.copied().unwrap_or(0)).collect();
        // The true eaters of a day may be more than the fewest; so may the use.
        let ratio = pool.eaters.last().copied().unwrap_or(1) / pool.eaters[0].max(1) + 1;
        let mut floors: Vec<Option<Floor>> = Vec::with_capacity(units);
        let mut constant = 0;
        let mut restless = Vec::new();
        for unit in 0..units {
            if unit >= foods {
                let price = weights.timed(pool.batch((unit - foods) as u32));
                floors.push((most[unit] > 0 && price > 0).then_some(Floor::Batch(price)));
                continue;
            }
            let Some(model) = &pool.foods[unit] else {
                floors.push(None);
                continue;
            };
            let relaxed = Relaxed::new(model, weights, most[unit] * ratio * i64::from(pool.last));
            if most[unit] == 0 {
                constant += relaxed.floor(0, 0);
                floors.push(None);
                continue;
            }
            if model.lots.iter().any(|lot| lot.stock) {
                restless.push(unit as u32);
            }
            floors.push(Some(Floor::Food(Box::new(relaxed))));
        }
        Self {
            weights: weights.clone(),
            floors,
            constant,
            restless,
            amounts,
            known: All::default(),
        }
    }

    /// Floor of a unit of which the week uses between `used` and `most`.
    pub(in crate::engine) fn floor(&self, unit: u32, used: i64, most: i64) -> i64 {
        match &self.floors[unit as usize] {
            None => 0,
            Some(Floor::Food(relaxed)) => relaxed.floor(used, most),
            Some(Floor::Batch(price)) if used > 0 => *price,
            Some(Floor::Batch(_)) => 0,
        }
    }

    /// What packs of a food that some item uses cost at least.
    pub(in crate::engine) fn steps(&self, unit: u32) -> Option<&FoodSteps> {
        match &self.floors[unit as usize] {
            Some(Floor::Food(relaxed)) => Some(relaxed.steps()),
            _ => None,
        }
    }

    /// Least price of a milligram bought, as a fraction, if the food must be bought.
    pub(in crate::engine) fn per_milligram(&self, unit: u32) -> Option<(i64, i64)> {
        match &self.floors[unit as usize] {
            Some(Floor::Food(relaxed)) => relaxed.per_milligram(),
            _ => None,
        }
    }

    /// What an item adds whatever else is in the week.
    pub(in crate::engine) fn fixed(&self, item: &Item) -> i64 {
        let weights = &self.weights;
        item.staples * weights.staple
            + item.minutes * weights.minute
            + item.preference * weights.preference
    }
}
