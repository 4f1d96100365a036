//! What one food must still cost when some of its packs and openings are chosen.
//!
//! Used by [`crate::engine::packs::ways`] and [`crate::engine::packs::flexible`], which differ in what may be opened when but
//! not in what packs cost. With C held in all packs chosen and on hand, O of it in units chosen
//! to be open, U used in the week, and M lacking beyond what is held:
//!
//! - *what is left over.* Further packs hold c >= M in all, and C + c - U is left over, each
//!   milligram at no less than the least weight w of any lot. So the cost is at least what is
//!   paid + w (C - U) + the least of (price + w c) over packs that hold M: a staircase,
//!   [`PackSteps`];
//! - *what is left open.* What is open at the end holds U, is made of whole units and no less than
//!   O. So its remainder is at least max(O, U rounded up to the common measure of all units) - U,
//!   at no less than the least weight of a remainder in a unit that was opened. Beside it packs
//!   that hold M are paid for. It stands only where nothing kept earns credit;
//! - *what is kept.* Where it does, it earns at most the credit on all that is held and can be
//!   kept.
//!
//! Money in 1e-9 minor units, packs' prices in minor units, foods by number. Rounding: U is rounded up to whole units where what is
//! left open is made of whole units; all else is whole already. The caller counts all that is chosen or on hand as held, and
//! opens units on no other days than it said. The plain definition is the least, sum by sum, over every way that goes on
//! from what is chosen.

use crate::engine::model::lots::{FoodModel, LotModel};
use crate::engine::model::score::{Score, Weights};
use crate::engine::model::sums::least_of;
use crate::engine::packs::steps::PackSteps;
use crate::engine::packs::way::{Picked, Way};
use crate::larder::NANO;

/// Staircases of one food in one stage.
#[derive(Clone, Debug)]
pub(in crate::engine) struct FoodSteps {
    /// Price and the least weight of what is left over, for each milligram held.
    total: Option<PackSteps>,
    /// Price alone, minor units.
    price: Option<PackSteps>,
    /// Least weight of a milligram left over of any usable lot.
    weight: i64,
}

impl FoodSteps {
    /// Lists the packs of a food of which a week uses at most `most` milligrams.
    pub(in crate::engine) fn new(food: &FoodModel, weights: &Weights, most: i64) -> Self {
        let usable = || food.lots.iter().filter(|lot| lot.usable);
        let lightest = usable()
            .map(|lot| FoodModel::left_weight(lot, weights))
            .min();
        let weight = lightest.unwrap_or(0);
        let bought = || usable().filter(|lot| !lot.is_stock());
        let prices: Vec<(i64, i64)> = bought()
            .map(|lot| (lot.price, lot.unit * lot.units))
            .collect();
        // What does not fit in 64 bits has no staircase: the other floors stand.
        let totals: Option<Vec<(i64, i64)>> = prices
            .iter()
            .map(|&(price, holds)| {
                let paid = price.checked_mul(weights.pack)?;
                Some((paid.checked_add(weight.checked_mul(holds)?)?, holds))
            })
            .collect();
        Self {
            total: totals.and_then(|totals| PackSteps::new(&totals, most)),
            price: PackSteps::new(&prices, most),
            weight,
        }
    }
}

/// Packs and openings chosen so far.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::engine) struct Chosen {
    /// Price of the packs, minor units.
    pub(in crate::engine) packs: i64,
    pub(in crate::engine) bought: bool,
    /// Milligrams in those packs and on hand.
    pub(in crate::engine) held: i64,
    /// Milligrams in units chosen to be open, and in pools.
    pub(in crate::engine) open: i64,
    /// Credit that all that is held would earn if it were kept.
    pub(in crate::engine) credit: i64,
    /// Milligrams that must be held beyond that.
    pub(in crate::engine) missing: i64,
}

impl Chosen {
    /// Counts `packs` packs of a lot, or a unit on hand.
    pub(in crate::engine) fn add(&mut self, lot: &LotModel, packs: i64, weights: &Weights) {
        let holds = if lot.is_stock() {
            i64::from(lot.usable) * lot.unit
        } else {
            self.bought |= packs > 0;
            self.packs += packs * lot.price;
            packs * lot.units * lot.unit
        };
        self.held += holds;
        if lot.keepable && weights.keep > 0 {
            self.credit += weights.kept(lot.value) * holds;
        }
    }
}

/// Floors of one food for known uses.
pub(in crate::engine) struct PackFloor<'a> {
    weights: &'a Weights,
    steps: &'a FoodSteps,
    /// Milligrams used.
    total: i64,
    /// The same, rounded up to the common measure of all units.
    whole: i64,
    /// Objective and spoiled value of what is on hand and can never be used.
    base: (i64, i64),
    any_keepable: bool,
    all_keepable: bool,
    least_value: i64,
    /// Least value that spoils of a milligram left over in any lot, and in an opened unit.
    least_spoils: i64,
    open_spoils: i64,
}

impl<'a> PackFloor<'a> {
    /// Prepares the floors of `food` for `total` milligrams, bought on `trips`; units are opened
    /// on days of which `opens` is true alone.
    pub(in crate::engine) fn new(
        food: &FoodModel,
        weights: &'a Weights,
        steps: &'a FoodSteps,
        trips: u16,
        total: i64,
        opens: impl Fn(i32) -> bool,
    ) -> Self {
        let (mut grain, mut base) = (0, (0, 0));
        let (mut any_keepable, mut all_keepable) = (false, true);
        let (mut least_value, mut least_spoils, mut open_spoils) = (None, None, None);
        for lot in &food.lots {
            if !lot.is_on(trips) {
                continue;
            }
            if !lot.usable {
                if lot.is_stock() {
                    let leftover = lot.leftover(lot.sealed_kept, weights);
                    base.0 += leftover.weight * lot.unit;
                    base.1 += leftover.spoils * lot.unit;
                }
                continue;
            }
            grain = gcd(grain, lot.unit);
            any_keepable |= lot.keepable;
            all_keepable &= lot.keepable;
            least_value = least_of(least_value, Some(lot.value));
            let spoils = |kept: bool| Some(if kept { 0 } else { lot.value });
            least_spoils = least_of(least_spoils, spoils(lot.keepable));
            let open_kept = match lot.pool {
                Some(_) => lot.sealed_kept,
                None => (lot.open_from.max(0)..=lot.open_to)
                    .any(|day| lot.good(day) >= lot.carry && opens(day)),
            };
            open_spoils = least_of(open_spoils, spoils(open_kept));
        }
        let grain = grain.max(1);
        Self {
            weights,
            steps,
            total,
            whole: (total + grain - 1) / grain * grain,
            base,
            any_keepable,
            all_keepable,
            least_value: least_value.unwrap_or(0),
            least_spoils: least_spoils.unwrap_or(0),
            open_spoils: open_spoils.unwrap_or(0),
        }
    }

    /// Sums that no way of going on from `chosen` undercuts, each by itself.
    pub(in crate::engine) fn floor(&self, chosen: &Chosen) -> Way {
        let weights = self.weights;
        let missing = chosen.missing.max(self.total - chosen.held).max(0);
        let bought = chosen.bought || missing > 0;
        let price = self.steps.price.as_ref();
        let to_come = price.map_or(0, |steps| steps.least(missing));
        let left = (chosen.held - self.total).max(0);
        let open_left = chosen.open.max(self.whole) - self.total;
        let mut beside = if weights.keep > 0 && self.any_keepable {
            let drawn = if self.all_keepable {
                weights.kept(self.least_value) * self.total
            } else {
                0
            };
            drawn - chosen.credit
        } else {
            let spoils = (weights.spoiled(self.least_spoils) * left)
                .max(weights.spoiled(self.open_spoils) * open_left);
            to_come * weights.pack + spoils
        };
        if let Some(steps) = &self.steps.total {
            let held = self.steps.weight * (chosen.held - self.total);
            beside = beside.max(steps.least(missing) + held);
        }
        let foods = i64::from(bought);
        let spoiled = (left * self.least_spoils).max(open_left * self.open_spoils);
        Way {
            score: Score {
                objective: self.base.0
                    + chosen.packs * weights.pack
                    + foods * weights.food
                    + beside,
                foods,
                cost: (chosen.packs + to_come) * NANO,
                spoiled: self.base.1 + spoiled,
            },
            packs: chosen.packs + to_come,
            bought,
            picked: Picked::default(),
        }
    }
}

pub(in crate::engine) fn gcd(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{BOTH, every_way, food, uses, weights};

    /// Where nothing is chosen yet, no way comes to less in any sum.
    #[test]
    fn no_way_undercuts_the_floor_of_nothing_chosen() {
        let mut next = numbers(31);
        let (mut compared, mut reached) = (0, 0);
        for turn in 0..4_000 {
            let (food, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let total = uses.iter().sum();
            let steps = FoodSteps::new(&food, &weights, total);
            let opens = |day: i32| uses[day as usize] > 0;
            let floor = PackFloor::new(&food, &weights, &steps, BOTH, total, opens);
            let mut chosen = Chosen::default();
            for lot in food.lots.iter().filter(|lot| lot.is_stock() && lot.usable) {
                chosen.add(lot, 0, &weights);
            }
            let bound = floor.floor(&chosen);
            for way in every_way(&food, &weights, &uses) {
                let no_less = bound.score.objective <= way.objective
                    && bound.score.foods <= way.foods
                    && bound.score.cost <= way.cost
                    && bound.score.spoiled <= way.spoiled;
                assert!(
                    no_less,
                    "{turn}: {bound:?} {way:?} {food:?} {weights:?} {uses:?}"
                );
                reached += i32::from(bound.score.cost == way.cost);
                compared += 1;
            }
        }
        assert!(
            compared > 10_000 && reached > 2_000,
            "{reached} of {compared}"
        );
    }
}
