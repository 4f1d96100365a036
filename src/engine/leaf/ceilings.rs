//! Sums with a ceiling, for a week whose days are known: can they stay below it?

use crate::engine::leaf::combine::combine;
use crate::engine::leaf::cooking::{Cooking, OnTrips};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::solver::LeafSolver;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::score::Score;
use crate::engine::packs::way::Way;
use std::sync::Arc;

impl LeafSolver<'_, '_> {
    /// Whether counted foods and families can stay below their ceilings, however batches are
    /// cooked.
    pub(in crate::engine) fn within_ceilings(&self, cooking: &Cooking) -> bool {
        let stage = self.stage;
        let pool = self.pool();
        let ceilings = &stage.ceilings;
        let totals = || {
            cooking.touched.iter().map(|touched| {
                let served: i64 = touched.demands.iter().map(|demand| demand.1).sum();
                (touched.food, touched.direct.iter().sum::<i64>() + served)
            })
        };
        if ceilings.on_foods() {
            let (mut foods, mut alone) = (0, 0);
            let mut families = Vec::new();
            let mut count = |food: u32| {
                foods += 1;
                match pool.larder.foods[food as usize].family {
                    None => alone += 1,
                    Some(family) if families.contains(&family) => {}
                    Some(family) => families.push(family),
                }
            };
            let certain = |food: u32, total: i64| {
                let model = pool.foods[food as usize].as_ref();
                model.is_some_and(|model| total > model.on_hand)
            };
            totals()
                .filter(|&(food, total)| certain(food, total))
                .for_each(|(food, _)| count(food));
            let plain = cooking.on_trips.first().map_or(0, |on| on.fronts.len());
            for at in 0..plain {
                let always = |on: &OnTrips| on.fronts[at].1.iter().all(|way| way.bought);
                if cooking.on_trips.iter().all(always) {
                    count(cooking.on_trips[0].fronts[at].0);
                }
            }
            if ceilings.foods.passed(foods)
                || ceilings.families.passed(families.len() as i64 + alone)
            {
                return false;
            }
        }
        true
    }

    /// The least objective of a week within the ceilings on packs, cost and what spoils,
    /// however lunches are divided over `days`; none if it cannot stay within them, or is
    /// beaten. `sum` is the floor without ceilings, `floors` its part of the foods touched.
    ///
    /// Proof. What the real week does with a food is one of its ways, or, where batches take
    /// the food, no better in any sum than one of the ways to divide its lunches at will. So
    /// the least choice of one way a food within the ceilings is no worse than the real one.
    pub(in crate::engine) fn within(
        &mut self,
        cooking: &Cooking,
        days: &[KitchenDays],
        sum: &Score,
        floors: &[i64],
        best: Option<&Found>,
    ) -> Option<i64> {
        let stage = self.stage;
        let ceilings = &stage.ceilings;
        if !ceilings.on_money() {
            return Some(sum.objective);
        }
        let plain = cooking.on_trips.iter().map(|on| on.sum.objective).min()?;
        let batches = sum.objective - plain - floors.iter().sum::<i64>();
        let divided: Vec<(u32, Arc<Vec<Way>>)> = cooking
            .touched
            .iter()
            .map(|touched| {
                let demands = touched.on(days);
                let ways = self.flexible_front(touched.food, &touched.direct, demands);
                (touched.food, ways)
            })
            .collect();
        let on_trip = |on: &OnTrips| {
            let mut start = on.start;
            start.objective += batches;
            let mut fronts = on.fronts.clone();
            fronts.extend(divided.iter().cloned());
            combine(self.stage, start, &fronts, &|| stage.halted(true)).map(|(score, _)| score)
        };
        let least = cooking.on_trips.iter().filter_map(on_trip).min()?;
        let beaten = self.beaten(&least, cooking.leaf, best);
        (!beaten).then_some(least.objective.max(sum.objective))
    }
}
