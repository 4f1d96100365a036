//! What a set of lunches costs by their days, for its leaf.

use crate::engine::leaf::assignment::{Adds, ItemDays, Rest, UnitDays};
use crate::engine::leaf::solver::{FoodHere, LeafSolver, least};
use crate::engine::leaf::steps::Steps;
use crate::engine::model::pool::amount_in;
use crate::engine::packs::flow::Demand;
use crate::engine::packs::way::DAYS;
use crate::larder::Day;
use std::sync::Arc;

impl LeafSolver<'_, '_> {
    /// The least that lunches without a day add, in the objective and in what spoils.
    pub(in crate::engine) fn rest_of(&mut self, items: &[u32], foods: &[FoodHere]) -> (Rest, Rest) {
        let mut adds = Adds::default();
        adds.start(items.len());
        for (lunch, &item) in items.iter().enumerate() {
            let days = self.item_days(item);
            adds.objective[lunch] = days.always;
            let units = &self.stage.items[item as usize].units;
            for (&(unit, _), one) in units.iter().zip(&days.units) {
                let here = foods.binary_search_by_key(&unit, |here| here.food);
                let Some(here) = here.ok().map(|at| &foods[at]) else {
                    continue;
                };
                if here.lunches() == 1 << lunch && !here.settled {
                    let floors = (here.floor.objective, here.floor.spoiled);
                    adds.add(lunch, one, floors);
                }
            }
        }
        let mut rest = (Rest::default(), Rest::default());
        rest.0.lay(&adds.objective);
        rest.1.lay(&adds.spoiled);
        rest
    }

    /// What an item costs by its day, remembered.
    pub(in crate::engine) fn item_days(&mut self, index: u32) -> Arc<ItemDays> {
        if self.days_known.is_empty() {
            self.days_known.resize(self.stage.items.len(), None);
        }
        if let Some(known) = &self.days_known[index as usize] {
            return Arc::clone(known);
        }
        let days = Arc::new(self.new_item_days(index));
        // What was given up half way is no answer to keep.
        if !self.stage.halted(false) {
            self.days_known[index as usize] = Some(Arc::clone(&days));
        }
        days
    }

    fn new_item_days(&mut self, index: u32) -> ItemDays {
        let stage = self.stage;
        let pool = stage.pool;
        let item = &stage.items[index as usize];
        let recipe = item.recipe.index();
        let weights = &stage.gauges[0].weights;
        let spoiled = stage.spoiled_gauge().map(|at| &stage.gauges[at]);
        let floors = |&(unit, amount): &(u32, i64)| {
            let most = pool.stretch(amount);
            UnitDays {
                cost: [Some(0); DAYS],
                spoils: [Some(0); DAYS],
                floor: stage.gauges[0].floor(unit, amount, most),
                spoils_floor: spoiled.map_or(0, |gauge| gauge.floor(unit, amount, most)),
            }
        };
        let mut days = ItemDays {
            always: [None; DAYS],
            units: item.units.iter().map(floors).collect(),
        };
        let first = self.item_at(index, 0);
        for day in 1..=pool.last as usize {
            let at = self.item_at(index, pool.class_of_day[day - 1]);
            let allowed = item.days.contains(day as i32)
                && self.time_allows(day as Day, item.recipe, &at)
                && self.food_pins_hold(day as Day, index);
            if !allowed {
                continue;
            }
            let eaten = self.lunch_score(&at) - self.lunch_score(&first);
            let liked = pool.preference[recipe][day - 1] - item.preference;
            days.always[day] = Some(eaten.objective + liked * weights.preference);
            for (&(food, _), unit) in item.units.iter().zip(&mut days.units) {
                let Some(Some(model)) = pool.foods.get(food as usize) else {
                    continue;
                };
                let batched = at.batches.iter().filter_map(|batch| {
                    let mg = amount_in(batch, food);
                    (mg > 0).then(|| (pool.window(batch.component, day as i32), mg))
                });
                let demands: Vec<Demand> = batched.collect();
                let mut uses = [0; DAYS];
                if let Ok(place) = at.direct.binary_search_by_key(&food, |&(f, _)| f) {
                    uses[day] = at.direct[place].1;
                }
                if !demands.is_empty() && !model.timeless {
                    unit.cost[day] = self
                        .flexible(food, &uses, demands, Steps::Many)
                        .map(|known| known.0);
                    continue;
                }
                uses[pool.last as usize] += demands.iter().map(|demand| demand.1).sum::<i64>();
                let least = if spoiled.is_some() {
                    least(&self.ways(food, self.all_trips, &uses))
                } else {
                    self.least_cost(food, &uses, Steps::Many)
                };
                unit.cost[day] = least.map(|least| least.objective);
                if spoiled.is_some() {
                    unit.spoils[day] = least.map(|least| least.spoiled);
                }
            }
        }
        days
    }
}
