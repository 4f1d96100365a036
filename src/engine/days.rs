//! What the days of a complete set of lunches cost at least, before they are settled one order
//! after the other.
//!
//! Floors take each food's uses on the best of days; but each day has one lunch only. A food
//! that only one lunch of the set uses costs what that lunch's own day makes of it, whatever
//! the other days are. So every order of days costs at least the floors and, for each lunch,
//! what its day adds to those of the foods it alone uses; and no order adds less than the least
//! assignment of lunches to days. The same holds for the lunches still without a day once the
//! first days are settled. Foods that several lunches use keep their floors: what one leaves
//! another may use up.
//!
//! What spoils is bounded the same way where it has a ceiling, but for foods that batches take:
//! these may be divided at will.

use super::books::Worker;
use super::flexible::Demand;
use super::leaf::{FoodHere, LeafSolver, amount_in, least};
use super::search::least_of;
use super::ways::DAYS;
use crate::larder::Day;
use std::sync::Arc;

/// Lunches beyond which only the leaf asks for an assignment: it takes time with all sets of
/// them.
const MOST_ASSIGNED: usize = 8;

/// A sum on each day; none where it cannot be then.
type ByDay = [Option<i64>; DAYS];

/// What an item costs by its day.
#[derive(Debug)]
pub(super) struct ItemDays {
    /// Beside foods, beyond what it costs in any case.
    always: ByDay,
    /// Each of its units, if no other lunch uses it.
    units: Box<[UnitDays]>,
}

/// What a food costs by the day of the only lunch that uses it.
#[derive(Clone, Debug)]
struct UnitDays {
    /// In the objective, and what spoils of it (1e-9).
    cost: ByDay,
    spoils: ByDay,
    /// Floors whatever the day.
    floor: i64,
    spoils_floor: i64,
}

/// What each day adds to the floors, by lunch: in the objective, and to what spoils (1e-9).
#[derive(Debug, Default)]
pub(super) struct Adds {
    objective: Vec<ByDay>,
    spoiled: Vec<ByDay>,
}

/// By set of lunches that have the first days: the least that those of the others add; none where
/// they cannot all be served on the days that are left. Empty where nothing is added at all.
#[derive(Debug, Default)]
pub(super) struct Rest(Vec<Option<i64>>);

/// The sum of two, if both can be.
fn added(one: Option<i64>, other: Option<i64>) -> Option<i64> {
    one.zip(other).map(|(one, other)| one + other)
}

impl ItemDays {
    /// What the item costs on a day if no other lunch uses its foods, beyond what it costs in any
    /// case; none if it may not be served then.
    pub(super) fn on(&self, day: usize) -> Option<i64> {
        let foods = self.units.iter().map(|unit| unit.cost[day]);
        foods.fold(self.always[day], added)
    }
}

impl Rest {
    /// Works it out for lunches with what each day adds.
    fn lay(&mut self, adds: &[ByDay]) {
        let lunches = adds.len();
        self.0.clear();
        if adds
            .iter()
            .all(|adds| adds[1..=lunches].iter().all(|&add| add == Some(0)))
        {
            return;
        }
        self.0.resize(1 << lunches, None);
        let all = (1_usize << lunches) - 1;
        self.0[all] = Some(0);
        for set in (0..all).rev() {
            let day = set.count_ones() as usize + 1;
            let mut least = None;
            for (lunch, adds) in adds.iter().enumerate() {
                if set >> lunch & 1 == 0 {
                    least = least_of(least, added(adds[day], self.0[set | 1 << lunch]));
                }
            }
            self.0[set] = least;
        }
    }

    /// The least that lunches not in the set add on later days; none if they cannot all be served
    /// on these.
    pub(super) fn of(&self, set: u32) -> Option<i64> {
        self.0.get(set as usize).copied().unwrap_or(Some(0))
    }
}

impl Adds {
    fn start(&mut self, lunches: usize) {
        for sums in [&mut self.objective, &mut self.spoiled] {
            sums.clear();
            sums.resize(lunches, [Some(0); DAYS]);
        }
    }

    /// Adds what a food costs beyond its floors, on each of so many days.
    fn add(&mut self, lunch: usize, one: &UnitDays, (floor, spoils_floor): (i64, i64)) {
        for day in 1..=self.objective.len() {
            let beyond = |cost: Option<i64>, floor: i64| cost.map(|cost| (cost - floor).max(0));
            let sum = &mut self.objective[lunch][day];
            *sum = added(*sum, beyond(one.cost[day], floor));
            let sum = &mut self.spoiled[lunch][day];
            *sum = added(*sum, beyond(one.spoils[day], spoils_floor));
        }
    }
}

impl Worker<'_, '_> {
    /// The least that the days of a complete set of lunches add to its floors, in the objective
    /// and in what spoils of it; none if they cannot all be served.
    pub(super) fn day_adds(&mut self, week: &[u32]) -> Option<(i64, i64)> {
        if week.len() > MOST_ASSIGNED {
            return Some((0, 0));
        }
        let pairs = self.stage.pairs;
        let mut adds = std::mem::take(&mut self.adds);
        adds.start(week.len());
        for (at, &item) in week.iter().enumerate() {
            let days = self.leaf.item_days(item);
            adds.objective[at] = days.always;
            for (&pair, one) in pairs.of(item).iter().zip(&days.units) {
                let unit = pairs.list[pair as usize].0;
                let others = week.iter().enumerate();
                let mut others = others.filter(|&(other, _)| other != at);
                if !others.any(|(_, &other)| pairs.uses(other, unit)) {
                    adds.add(at, one, (one.floor, one.spoils_floor));
                }
            }
        }
        self.rest.lay(&adds.objective);
        let objective = self.rest.of(0);
        self.rest.lay(&adds.spoiled);
        self.adds = adds;
        objective.zip(self.rest.of(0))
    }
}

impl LeafSolver<'_, '_> {
    /// The least that lunches without a day add, in the objective and in what spoils.
    pub(super) fn rest_of(&mut self, items: &[u32], foods: &[FoodHere]) -> (Rest, Rest) {
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
    pub(super) fn item_days(&mut self, index: u32) -> Arc<ItemDays> {
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
            let allowed = pool.days[recipe] >> (day - 1) & 1 != 0
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
                    unit.cost[day] = self.flexible(food, &uses, demands).map(|known| known.0);
                    continue;
                }
                uses[pool.last as usize] += demands.iter().map(|demand| demand.1).sum::<i64>();
                let least = if spoiled.is_some() {
                    least(&self.ways(food, self.all_trips, &uses))
                } else {
                    self.least_cost(food, &uses)
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

#[cfg(test)]
mod tests {
    use super::*;
    use itertools::Itertools;

    /// The least over all orders of the lunches that are left, one by one.
    #[test]
    fn the_rest_is_the_least_over_all_orders() {
        let mut seed = 7_u64;
        let mut next = move |below: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as i64 % below
        };
        let mut rest = Rest::default();
        for round in 0..200 {
            let lunches = 1 + round % 6;
            let mut adds = vec![[Some(0); DAYS]; lunches];
            for add in adds.iter_mut().flat_map(|adds| &mut adds[1..=lunches]) {
                *add = (next(5) != 0).then(|| next(50));
            }
            rest.lay(&adds);
            for set in 0_u32..1 << lunches {
                let left: Vec<usize> = (0..lunches).filter(|&at| set >> at & 1 == 0).collect();
                let first = set.count_ones() as usize + 1;
                let orders = left.iter().permutations(left.len());
                let sums = orders.filter_map(|order| -> Option<i64> {
                    let days = (first..).zip(order);
                    days.map(|(day, &lunch)| adds[lunch][day]).sum()
                });
                assert_eq!(rest.of(set), sums.min(), "{adds:?} {set:b}");
            }
        }
    }

    #[test]
    fn nothing_to_add_needs_no_table() {
        let mut rest = Rest::default();
        rest.lay(&[[Some(0); DAYS]; 14]);
        assert!(rest.0.is_empty());
        assert_eq!(rest.of(0b101), Some(0));
    }
}
