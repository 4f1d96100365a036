//! What batches can change of a week whose days are known, and what they cannot.

use crate::engine::leaf::cooking::{Cooking, OnTrips, ToCook, Touched};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::solver::{FoodHere, LeafSolver, least};
use crate::engine::model::pool::amount_in;
use crate::engine::model::score::Score;
use crate::engine::packs::batches;
use crate::engine::packs::way::Uses;

impl LeafSolver<'_, '_> {
    /// Parts components whose days matter from the others.
    pub(in crate::engine) fn sort_components(&self, cooking: &mut Cooking) {
        let pool = self.pool();
        let stage = self.stage;
        let demands = &cooking.demands;
        let mut from = 0;
        while from < demands.len() {
            let component = demands[from].1.component;
            let mut to = from;
            while to < demands.len() && demands[to].1.component == component {
                to += 1;
            }
            let batch = pool.batch(component);
            let timeless = demands[from..to].iter().all(|(_, demand)| {
                demand.foods.iter().all(|&(food, _)| {
                    let model = pool.foods[food as usize].as_ref();
                    model.is_some_and(|model| model.timeless)
                })
            });
            let takes_time = !batch.is_none() || pool.component(component).minutes_per_mg_nano > 0;
            let days = batches::fewest(&cooking.windows[from..to]);
            if timeless && !(pool.timed && takes_time) {
                let choice = batches::make(pool, component, &demands[from..to], &days);
                cooking.inert.push(choice);
            } else {
                let limited = pool.timed || stage.ceilings.minutes.is_set();
                let mut distinct = days;
                distinct.dedup();
                cooking.to_cook.push(ToCook {
                    component,
                    from,
                    to,
                    all: cooking.windows[from..to].iter().copied().sum(),
                    counted: stage.gauges[0].weights.timed(batch) > 0
                        || limited && !batch.is_none(),
                    fewest: distinct.len() as i64,
                    touches: false,
                });
            }
            from = to;
        }
    }

    /// Parts foods whose cost depends on batches from the others, and prices the others
    /// for every set of trips. Returns a floor under all but the foods touched; none if
    /// nothing here can matter.
    pub(in crate::engine) fn sort_foods(
        &mut self,
        cooking: &mut Cooking,
        mut base: Score,
        best: Option<&Found>,
    ) -> Option<Score> {
        let pool = self.pool();
        let leaf = cooking.leaf;
        let mut plain: Vec<(u32, Uses)> = Vec::with_capacity(leaf.foods.len());
        for here in &leaf.foods {
            if let Some(idle) = self.idle[here.food as usize] {
                base = base - idle;
            }
            let mut uses = self.plain_uses(cooking, here);
            let takes = cooking.takes(here);
            let model = pool.foods[here.food as usize].as_ref()?;
            if takes.is_empty() {
                plain.push((here.food, uses));
            } else if model.timeless {
                uses[pool.last as usize] += takes.iter().map(|take| take.1).sum::<i64>();
                plain.push((here.food, uses));
            } else {
                cooking.touched.push(Touched {
                    food: here.food,
                    direct: uses,
                    demands: takes,
                    floor: here.floor,
                });
            }
        }
        for asked in &mut cooking.to_cook {
            let takes = |&(at, _): &(usize, i64)| asked.from <= at && at < asked.to;
            let mut touched = cooking.touched.iter();
            asked.touches = touched.any(|touched| touched.demands.iter().any(takes));
        }
        cooking.to_cook.sort_by_key(|asked| !asked.touches);
        self.price_plain(cooking, &plain, base, best)
    }

    /// Prices foods whose cost does not depend on batches, for every set of trips that may matter. Returns a floor
    /// under them and `base` on any of those trips; none if there are none.
    fn price_plain(
        &mut self,
        cooking: &mut Cooking,
        plain: &[(u32, Uses)],
        base: Score,
        best: Option<&Found>,
    ) -> Option<Score> {
        let mut floor: Option<Score> = None;
        for (set, price) in self.trip_sets.clone() {
            let mut start = base;
            start.objective += price;
            let mut sum = start;
            let mut fronts = Vec::with_capacity(plain.len());
            let fits = plain.iter().all(|(food, uses)| {
                let known = self.ways(*food, set, uses);
                let Some(least) = least(&known) else {
                    return false;
                };
                sum = sum + least;
                fronts.push((*food, known));
                true
            });
            let leaf = cooking.leaf;
            if !fits || self.beaten(&(sum + cooking.least_touched()), leaf, best) {
                continue;
            }
            floor = Some(floor.map_or(sum, |old| old.least(sum)));
            cooking.on_trips.push(OnTrips {
                set,
                start,
                fronts,
                sum,
            });
        }
        floor
    }

    /// Direct and inert uses of a food.
    fn plain_uses(&self, cooking: &Cooking, here: &FoodHere) -> Uses {
        let mut uses = self.direct_uses(cooking.leaf, here.food);
        for choice in &cooking.inert {
            choice.add_uses(here.food, &mut uses);
        }
        uses
    }
}

impl Cooking<'_> {
    /// What those batches take of a food whose days matter: demands, with milligrams.
    fn takes(&self, here: &FoodHere) -> Vec<(usize, i64)> {
        if here.batched == 0 {
            return Vec::new();
        }
        let demands = self.to_cook.iter().flat_map(|asked| asked.from..asked.to);
        let takes = demands.map(|at| (at, amount_in(self.demands[at].1, here.food)));
        takes.filter(|&(_, mg)| mg > 0).collect()
    }
}
