//! Floors of all units in one dimension: the objective of the stage, or a sum with a
//! ceiling (cap, budget, a settled aim). In 1e-9 minor units, foods or minutes, as weighed.
//!
//! Proof that a week of lunches costs at least its items' own costs ([`Gauge::fixed`]), the floors of all units that they use,
//! those of stock that they do not use, and [`Gauge::constant`]. What a week pays is for staples and minutes by portion,
//! preferences, batches, and food by food for packs, openings and what is left over; other parts of it (trips) are never
//! below nothing. Items say what the fewest eaters take. On the day it is served a lunch takes that or more, and of a food no
//! more than [`Pool::stretch`] of the sum of all, which also makes up for what rounding down hides; so each food's floor
//! is asked between both. A batch is cooked once at least where any lunch takes some of the component, and costs its minutes.
//! Preferences count with those of the best day. A food that no item uses costs what is on hand of it: [`Gauge::constant`].
//!
//! Floors are whole ([`Relaxed`] says how they are rounded), and are those of as much as all lunches of the
//! week could take of a unit at the most: the caller asks for no more, or with other items for no more than these
//! took ([`Gauge::for_fewer`]).

use crate::engine::bound::amounts::{All, Amounts};
use crate::engine::model::items::Item;
use crate::engine::model::lots::LotModel;
use crate::engine::model::pool::Pool;
use crate::engine::model::score::Weights;
use crate::engine::packs::floor::FoodSteps;
use crate::engine::packs::relaxed::Relaxed;
use std::sync::Arc;

/// One sum that the search keeps a floor under.
pub(in crate::engine) struct Gauge {
    pub(in crate::engine) weights: Weights,
    /// Foods by id, then components; none for units no item uses.
    floors: Arc<[Option<Floor>]>,
    /// Floor of foods on hand that no item uses: always paid.
    pub(in crate::engine) constant: i64,
    /// Units whose floor is not zero when nothing is used (stock that may spoil).
    pub(in crate::engine) restless: Arc<[u32]>,
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
        let mut floors: Vec<Option<Floor>> = Vec::with_capacity(units);
        let mut constant = 0;
        let mut restless = Vec::new();
        for (unit, &most) in most.iter().enumerate() {
            if unit >= foods {
                let price = weights.timed(pool.batch((unit - foods) as u32));
                floors.push((most > 0 && price > 0).then_some(Floor::Batch(price)));
                continue;
            }
            let Some(model) = &pool.foods[unit] else {
                floors.push(None);
                continue;
            };
            // The true eaters of a day may be more than the fewest; so may the use, and what the
            // fewest take less than a milligram of may be used all the same.
            let most_used = pool.stretch(most * i64::from(pool.last));
            let relaxed = Relaxed::new(model, weights, most_used);
            if most_used == 0 {
                constant += relaxed.floor(0, 0);
                floors.push(None);
                continue;
            }
            if model.lots.iter().any(LotModel::is_stock) {
                restless.push(unit as u32);
            }
            floors.push(Some(Floor::Food(Box::new(relaxed))));
        }
        Self {
            weights: weights.clone(),
            floors: floors.into(),
            constant,
            restless: restless.into(),
            amounts,
            known: All::default(),
        }
    }

    /// The same floors for items that take no more of each unit than those they were prepared for.
    pub(in crate::engine) fn for_fewer(&self, amounts: Arc<Vec<Amounts>>) -> Self {
        Self {
            weights: self.weights.clone(),
            floors: Arc::clone(&self.floors),
            constant: self.constant,
            restless: Arc::clone(&self.restless),
            amounts,
            known: All::default(),
        }
    }

    /// Floor of a unit of which the week uses between `used` and `most`.
    pub(in crate::engine) fn floor(&self, unit: u32, used: i64, most: i64) -> i64 {
        match &self.floors[unit as usize] {
            Some(Floor::Food(relaxed)) => relaxed.floor(used, most),
            Some(Floor::Batch(price)) if used > 0 => *price,
            Some(Floor::Batch(_)) | None => 0,
        }
    }

    /// The same where so many lunches use some of it themselves, each on a day of its own.
    pub(in crate::engine) fn floor_over(
        &self,
        unit: u32,
        (used, most): (i64, i64),
        lunches: i64,
    ) -> i64 {
        match &self.floors[unit as usize] {
            Some(Floor::Food(relaxed)) => relaxed.floor_over(used, most, lunches),
            _ => self.floor(unit, used, most),
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

#[cfg(test)]
mod tests {
    use crate::engine::model::pool::Pool;
    use crate::engine::model::samples::{alone, kitchen};
    use crate::engine::{Outcome, solve};
    use crate::larder::{FoodId, Ingredient, Pin, RecipeId};

    /// Three milligrams a portion of a food that nothing else takes: none for 0.3 of an eater, and
    /// 900 for the 300 of Tuesday. It is bought for them.
    #[test]
    fn what_the_fewest_take_nothing_of_is_bought_for_the_most() {
        let larder = kitchen("stored/plain-packs");
        let lines = larder.recipes.iter().enumerate().flat_map(|(at, recipe)| {
            let lines = recipe.lines.iter().enumerate();
            lines.map(move |(line, entry)| (at, line, entry))
        });
        let lines: Vec<_> = lines.collect();
        let foods = |at: usize| lines[at].2.alternatives.iter().map(|one| one.what);
        let alone_in = |at: usize, food: FoodId| {
            let what = Ingredient::Food(food);
            foods(at).eq([what])
                && (0..lines.len()).all(|other| other == at || foods(other).all(|one| one != what))
        };
        let found = (0..lines.len()).find_map(|at| match foods(at).next()? {
            Ingredient::Food(food) => {
                let counted = !larder.foods[food.index()].staple;
                (counted && alone_in(at, food)).then_some((lines[at].0, lines[at].1, food))
            }
            Ingredient::Component(_) => None,
        });
        let (recipe, line, food) = found.expect("a food of one line");
        let larder = larder.changed(|new| {
            new.week.eaters_milli.fill(300);
            new.week.eaters_milli[1] = 300_000;
            new.recipes[recipe].lines[line].alternatives[0].mg = 3;
            new.wishes.with = vec![Pin::Recipe(RecipeId::new(recipe), Some(2))];
        });
        let larder = larder.expect("a sound larder");
        assert_eq!(
            Pool::new(&larder)
                .taken(RecipeId::new(recipe), line, 0, 0)
                .direct,
            []
        );
        let (outcome, _) = solve(&larder, &alone()).expect("an answer");
        let Outcome::Best(solved) = outcome else {
            panic!("no proof");
        };
        let bought = solved.plan.purchases.iter();
        let packs = bought.filter(|bought| larder.packs[bought.pack.index()].food == food);
        assert!(packs.count() > 0);
    }
}
