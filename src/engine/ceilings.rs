//! Sums with a ceiling, for a week whose days are known: can they stay below it?

use super::cooking::{Cooking, OnTrips};
use super::leaf::{Found, LeafSolver};
use super::score::Score;
use super::ways::Way;
use crate::larder::Aim;
use std::sync::Arc;

/// Prices put on what spoils under a ceiling, thousandths of its value.
const SPOILED_PRICES: [i64; 6] = [500, 1_000, 2_000, 4_000, 8_000, 16_000];

impl LeafSolver<'_, '_> {
    /// Whether sums with a ceiling can stay below it, however batches are cooked.
    pub(super) fn within_ceilings(&self, cooking: &Cooking) -> bool {
        let stage = self.stage;
        let pool = self.pool();
        let ceilings = &stage.ceilings;
        let most = i64::MAX;
        let totals = || {
            cooking.touched.iter().map(|touched| {
                let served: i64 = touched.demands.iter().map(|demand| demand.1).sum();
                (touched.food, touched.direct.iter().sum::<i64>() + served)
            })
        };
        if ceilings.foods < most || ceilings.families < most {
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
            if foods > ceilings.foods || families.len() as i64 + alone > ceilings.families {
                return false;
            }
        }
        let others = |pick: fn(&Score) -> i64, unit: &dyn Fn(u32, i64) -> i64| {
            let plain = cooking.on_trips.iter().map(|on| pick(&on.sum)).min();
            plain.unwrap_or(0) + totals().map(|(food, total)| unit(food, total)).sum::<i64>()
        };
        let floor = |aim: Aim, food: u32, total: i64| {
            let gauge = stage.gauge_of(aim);
            gauge.map_or(0, |gauge| gauge.floor(food, total, total))
        };
        if ceilings.cost < most
            && others(|sum| sum.cost, &|food, total| floor(Aim::Cost, food, total)) > ceilings.cost
        {
            return false;
        }
        ceilings.spoiled == most
            || others(|sum| sum.spoiled, &|food, total| {
                floor(Aim::Spoiled, food, total) / 1000
            }) <= ceilings.spoiled
    }

    /// Whether what spoils can stay below its ceiling if lunches are cooked on any of `days`.
    pub(super) fn may_keep(&mut self, cooking: &Cooking, days: &[u32]) -> bool {
        let ceiling = self.stage.ceilings.spoiled;
        if ceiling == i64::MAX {
            return true;
        }
        let plain = cooking.on_trips.iter().map(|on| on.sum.spoiled).min();
        let mut sum = plain.unwrap_or(0);
        for touched in &cooking.touched {
            let demands = touched.on(days);
            sum += self.flexible_spoiled(touched.food, &touched.direct, demands);
        }
        sum <= ceiling
    }

    /// A floor under the objective of weeks that keep the ceiling on what spoils, whatever
    /// the division of lunches over `days`; `rest` is the floor of all but the foods touched.
    ///
    /// Proof. For any price put on what spoils, a week that keeps the ceiling has an
    /// objective no smaller than objective and priced spoilage together, less the price of
    /// the ceiling; and the least of that is a sum over foods.
    pub(super) fn under_ceiling(
        &mut self,
        cooking: &Cooking,
        days: &[u32],
        rest: i64,
        best: Option<&Found>,
    ) -> i64 {
        let ceiling = self.stage.ceilings.spoiled;
        let plain = cooking.on_trips.iter().map(|on| on.sum.objective).min();
        let (Some(plain), Some(best)) = (plain, best) else {
            return i64::MIN;
        };
        let batches = rest - plain;
        let mut floor = i64::MIN;
        if ceiling == i64::MAX {
            return floor;
        }
        for price in SPOILED_PRICES {
            let on_trip = |on: &OnTrips| {
                let least = |ways: &Arc<Vec<Way>>| {
                    let priced = ways.iter().map(|way| &way.score);
                    let priced = priced.map(|score| score.objective + price * score.spoiled);
                    priced.min().unwrap_or(0)
                };
                let fronts = on.fronts.iter().map(|(_, ways)| least(ways));
                on.start.objective + price * on.start.spoiled + fronts.sum::<i64>()
            };
            let plain = cooking.on_trips.iter().map(on_trip).min();
            let mut sum = batches + plain.unwrap_or(0) - price * ceiling;
            for touched in &cooking.touched {
                let demands = touched.on(days);
                sum += self.flexible_priced(touched.food, &touched.direct, demands, price);
            }
            floor = floor.max(sum);
            if floor > best.score.objective {
                break;
            }
        }
        floor
    }
}
