//! What the packs and openings chosen of a food come to, whatever is drawn from what is open.

use crate::engine::model::lots::{Leftover, LotModel};
use crate::engine::model::score::{Score, Weights};
use crate::engine::packs::way::{Picked, Way};
use crate::larder::NANO;

/// Sums of one food.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Bill {
    /// Packs, minor units.
    pub(in crate::engine) packs: i64,
    pub(in crate::engine) bought: bool,
    /// What is left over comes to: in the objective, and in value spoiled (1e-9).
    left: (i64, i64),
}

impl Bill {
    /// Packs by lot, and what is left in units that are not `opened`; `on_hand` is how many units of its
    /// kind a dated lot of stock stands for.
    pub(in crate::engine) fn new(
        (lots, weights): (&[LotModel], &Weights),
        (counts, opened): (&[i64], &[i64]),
        on_hand: impl Fn(usize) -> i64,
    ) -> Self {
        let mut bill = Self {
            packs: 0,
            bought: false,
            left: (0, 0),
        };
        for (index, lot) in lots.iter().enumerate() {
            bill.buy(lot, counts[index]);
            if lot.usable && lot.pool.is_some() {
                continue;
            }
            let held = match (lot.is_stock(), lot.usable) {
                (false, _) => counts[index] * lot.units,
                (true, true) => on_hand(index),
                (true, false) => 1,
            };
            let sealed = held - opened[index];
            if sealed > 0 {
                let leftover = lot.leftover(lot.sealed_kept, weights);
                bill.leave(leftover, sealed * lot.unit);
            }
        }
        bill
    }

    /// Adds packs of a lot.
    pub(in crate::engine) fn buy(&mut self, lot: &LotModel, count: i64) {
        self.bought |= count > 0;
        self.packs += count * lot.price;
    }

    /// Adds milligrams left over.
    pub(in crate::engine) fn leave(&mut self, leftover: Leftover, mg: i64) {
        self.left.0 += leftover.weight * mg;
        self.left.1 += leftover.spoils * mg;
    }

    /// Adds so many milligrams left in these parts, at best: in those that weigh least.
    ///
    /// Law: what weighs less spoils no more ([`LotModel::leftover`]), so no other place for what is left gives
    /// less of either sum.
    pub(in crate::engine) fn leave_lightest(
        &mut self,
        parts: impl Iterator<Item = (Leftover, i64)>,
        mut mg: i64,
    ) {
        let mut parts: Vec<(Leftover, i64)> = parts.collect();
        parts.sort_unstable();
        for (leftover, capacity) in parts {
            let here = mg.min(capacity);
            self.leave(leftover, here);
            mg -= here;
        }
    }

    /// Its part of the objective.
    pub(in crate::engine) fn objective(&self, weights: &Weights) -> i64 {
        self.left.0 + self.packs * weights.pack + i64::from(self.bought) * weights.food
    }

    /// As a way of which it is not said what is picked.
    pub(in crate::engine) fn way(&self, weights: &Weights) -> Way {
        Way {
            score: Score {
                objective: self.objective(weights),
                foods: i64::from(self.bought),
                cost: self.packs * NANO,
                spoiled: self.left.1,
            },
            packs: self.packs,
            bought: self.bought,
            picked: Picked::default(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{food, weights};

    /// Of any two lots, kept or not, the one that weighs less spoils no more, if nothing else is
    /// weighed.
    #[test]
    fn what_weighs_less_spoils_no_more() {
        let mut next = numbers(62);
        let mut compared = 0;
        for _ in 0..2_000 {
            let (food, weights) = (food(&mut next), weights(&mut next));
            let lots = food.lots.iter();
            let all = lots.flat_map(|lot| [true, false].map(|kept| lot.leftover(kept, &weights)));
            let mut all: Vec<Leftover> = all.collect();
            all.sort_unstable();
            for two in all.windows(2) {
                assert!(two[0].spoils <= two[1].spoils, "{two:?} {weights:?}");
                compared += 1;
            }
        }
        assert!(compared > 5_000, "{compared}");
    }
}
