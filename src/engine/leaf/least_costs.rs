//! The least that one food costs a set of lunches, remembered by what is used when: 1e-9 minor units.
//!
//! Plain definition: the least objective over all ways of dividing each lunch that is cooked ahead over the days it may be
//! cooked on, and of buying and opening for that.
//!
//! Proof. Whole lunches, each on its first day or on its last, are such ways: what they cost is no less than the least. The floor
//! of what is used in all ([`crate::engine::packs::relaxed`], of the very sum, so with nothing to stretch) is no more than it: where both
//! meet, that is the least. Else [`floor`] finds the least below what is known, says that there is none, or gives up; then the
//! floor of the sum stands, with draws that need not reach it. All are whole numbers, and no step rounds up. Sums that settle
//! ties have the floors of what is used in all under their own gauges; a food counts as bought where more is used than is
//! on hand. The caller asks for no more of a food than all lunches of a week could take, and for demands in a fixed order: what
//! is remembered is what would be worked out.

use crate::engine::leaf::solver::{LeafSolver, MOST_KNOWN, least};
use crate::engine::leaf::steps::Steps;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::score::Score;
use crate::engine::packs::flexible::{Drawn, Least, all_demands, floor, front};
use crate::engine::packs::flow::{Demand, Draw};
use crate::engine::packs::places::FoodOnTrips;
use crate::engine::packs::way::{Picked, Uses, Way};
use crate::larder::NANO;
use std::sync::Arc;

impl<'s> LeafSolver<'s, '_> {
    /// The least a food can cost if each of `demands` may be divided over its days, and
    /// draws that reach it; none if they cannot be served at all. What is remembered depends on these steps, and on
    /// nothing that was asked before.
    pub(in crate::engine) fn flexible(
        &mut self,
        food: u32,
        direct: &Uses,
        demands: Vec<Demand>,
        steps: Steps,
    ) -> Option<Drawn> {
        let key = (food, *direct, demands, steps);
        if let Some(known) = self.flexed.get(&key) {
            return known.clone();
        }
        let demands = &key.2;
        let floor_of_sum = {
            let served: i64 = demands.iter().map(|d| d.1).sum();
            let total = direct.iter().sum::<i64>() + served;
            self.stage.gauges[0].floor(food, total, total)
        };
        // Whole lunches first: as early as may be, and as late.
        let mut known: Option<(i64, Vec<Draw>)> = None;
        let divided = demands.iter().any(|&(days, _)| days.count() > 1);
        for early in [true, false] {
            if demands.is_empty() || !early && !divided {
                break;
            }
            let mut uses = *direct;
            let whole: Vec<Draw> = demands
                .iter()
                .enumerate()
                .map(|(at, &(days, mg))| {
                    let day = if early { days.first() } else { days.last() };
                    uses[usize::from(day)] += mg;
                    (at, KitchenDays::one(day.into()), mg)
                })
                .collect();
            if let Some((least, _)) = self.flexible(food, &uses, Vec::new(), steps)
                && known.as_ref().is_none_or(|known| least < known.0)
            {
                known = Some((least, whole));
            }
        }
        // Nothing is below the floor of what is used in all.
        let at_floor = known.as_ref().is_some_and(|known| known.0 <= floor_of_sum);
        if !at_floor && (divided || demands.is_empty()) {
            let upper = known.as_ref().map(|known| known.0);
            match floor(
                self.food_on_trips(food),
                direct,
                demands,
                (upper, floor_of_sum),
                steps.most(),
            ) {
                Least::Drawn(least, draws) => known = Some((least, draws)),
                Least::NoneBelow => {}
                Least::Unknown => {
                    let (_, draws) = known.unwrap_or_default();
                    known = Some((floor_of_sum, draws));
                }
            }
        }
        if self.flexed.len() >= MOST_KNOWN {
            self.flexed.clear();
        }
        let known = known.map(|(least, draws)| (least, Arc::new(draws)));
        self.flexed.insert(key, known.clone());
        known
    }

    /// The least that a food can cost if so much is used on each day, or a number below it: where only its
    /// least objective matters, that with the ties' floors of the sum. Whatever ways happen to be known
    /// already: what is looked at may not depend on what a thread did before.
    pub(in crate::engine) fn least_cost(
        &mut self,
        food: u32,
        uses: &Uses,
        steps: Steps,
    ) -> Option<Score> {
        if self.stage.wants_front(food) {
            return least(&self.ways(food, self.all_trips, uses));
        }
        let (objective, _) = self.flexible(food, uses, Vec::new(), steps)?;
        let total: i64 = uses.iter().sum();
        let (cost, spoiled) = self.stage.tie_floors(food, total, total);
        let on_hand = self.pool().foods[food as usize].as_ref()?.on_hand;
        Some(Score {
            objective,
            foods: i64::from(total > on_hand),
            cost,
            spoiled,
        })
    }

    /// A food, bought on any trips.
    fn food_on_trips(&self, food: u32) -> FoodOnTrips<'s> {
        let (stage, pool) = (self.stage, self.stage.pool);
        FoodOnTrips {
            food: pool.foods[food as usize].as_ref().expect("counted"),
            weights: &stage.gauges[0].weights,
            steps: stage.gauges[0].steps(food).expect("some lunch uses it"),
            trips: self.all_trips,
            last: pool.last,
        }
    }

    /// [`front`] of a food, remembered; where that takes too long, one way that is no worse
    /// than any.
    pub(in crate::engine) fn flexible_front(
        &mut self,
        food: u32,
        direct: &Uses,
        demands: Vec<Demand>,
    ) -> Arc<Vec<Way>> {
        let key = (food, *direct, demands);
        if let Some(known) = self.fronts.get(&key) {
            return Arc::clone(known);
        }
        let stage = self.stage;
        let of = self.food_on_trips(food);
        let demands = all_demands(direct, &key.2, of.last);
        let found = front(of, &demands);
        let found = found.unwrap_or_else(|| {
            let total: i64 = demands.iter().map(|demand| demand.1).sum();
            let (cost, spoiled) = stage.tie_floors(food, total, total);
            let bought = total > of.food.on_hand;
            let objective = stage.gauges[0].floor(food, total, total);
            let score = Score {
                objective,
                foods: i64::from(bought),
                cost,
                spoiled,
            };
            vec![Way {
                score,
                packs: cost.div_euclid(NANO),
                bought,
                picked: Picked::default(),
            }]
        });
        let found = Arc::new(found);
        if self.fronts.len() >= MOST_KNOWN {
            self.fronts.clear();
        }
        self.fronts.insert(key, Arc::clone(&found));
        found
    }
}
