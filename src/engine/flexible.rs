//! The least cost of one food when its batches may be cooked, and divided, at will.
//!
//! Direct use keeps its day; what a component's lunch takes may be used on any of the days
//! its batches may be cooked on, in any division. Every way of cooking on those days gives
//! such a use, so the least cost found here is never above the true one. One thing is let
//! go, which only lowers it: a unit need not be used on the day it is opened, as long as
//! some use is possible on it. The draws that give the least cost are returned, so that a
//! division can be tried that reaches it.

use super::leaf::{LeafSolver, MOST_KNOWN, least};
use super::lots::{FoodModel, LotModel, day_index};
use super::score::{Score, Weights};
use super::search::least_of;
use super::ways::{Uses, Way, dominates};
use crate::larder::NANO;
use std::sync::Arc;

/// What must be served: the days it may be used on (a bit each), milligrams.
pub(super) type Demand = (u32, i64);

/// What a demand draws: its position, the days it may be drawn on, milligrams.
pub(super) type Draw = (usize, u32, i64);

#[derive(Clone)]
struct Slot {
    /// Days on which it may be drawn from, a bit each.
    days: u32,
    capacity: i64,
    weight: i64,
    /// Value of what is left in it that spoils.
    spoils: i64,
}

/// Days `from..=until` as bits, within the week.
pub(super) fn days(from: i32, until: i32, last: i32) -> u32 {
    (from.max(0)..=until.min(last)).fold(0, |bits, day| bits | 1 << day)
}

struct Search<'a> {
    lots: &'a [LotModel],
    weights: &'a Weights,
    demands: &'a [Demand],
    total: i64,
    /// Lot and day of each possible opening; pools stand once, without a day.
    places: Vec<(usize, Option<i32>)>,
    filler: Option<usize>,
    slots: Vec<Slot>,
    counts: Vec<i64>,
    opened: Vec<i64>,
    /// What is on hand and can never be used: objective and spoiled value.
    base: (i64, i64),
    stock_capacity: i64,
    cheapest: Option<(i64, i64)>,
    /// Most that this place and those after it can hold.
    to_come: Vec<i64>,
    /// All units are multiples of this.
    grain: i64,
    /// Least value of what is left in a unit once it is open: nothing if it may be kept. None
    /// where there are no units.
    open_spoils: Option<i64>,
    last: i32,
    /// Only less matters.
    best: Option<i64>,
    draws: Option<Vec<Draw>>,
    /// Every choice that no other beats in all sums, instead of the least.
    front: Option<Vec<Way>>,
    most_steps: u32,
    steps: u32,
}

/// Partial choices looked at before giving up: for the least, and for all that none beats.
const MOST_STEPS: u32 = 100_000;
const MOST_STEPS_ALL: u32 = 4_000;

/// What must be served: `flexible` demands first, then what has its day.
fn all_demands(direct: &Uses, flexible: &[Demand], last: i32) -> Vec<Demand> {
    let mut demands: Vec<Demand> = flexible.to_vec();
    for day in 0..=last {
        let mg = direct[day_index(day)];
        if mg > 0 {
            demands.push((1 << day, mg));
        }
    }
    demands
}

/// What the least objective of a food is known to be.
enum Least {
    /// This, by these draws of the flexible demands.
    Drawn(i64, Vec<Draw>),
    /// Nothing below what was known, or nothing at all.
    NoneBelow,
    /// It takes too many steps.
    Unknown,
}

/// Looks for the least objective of the food below `upper`, if that is known.
fn floor(
    food: &FoodModel,
    weights: &Weights,
    trips: u16,
    direct: &Uses,
    flexible: &[Demand],
    last: i32,
    upper: Option<i64>,
) -> Least {
    let demands = all_demands(direct, flexible, last);
    let mut search = Search::new(food, weights, trips, &demands, last);
    search.best = upper;
    search.choose(0);
    if search.steps > MOST_STEPS {
        return Least::Unknown;
    }
    let of_flexible = |draws: Vec<Draw>| {
        let draws = draws.into_iter();
        draws.filter(|draw| draw.0 < flexible.len()).collect()
    };
    match search.best.zip(search.draws) {
        Some((best, draws)) => Least::Drawn(best, of_flexible(draws)),
        None => Least::NoneBelow,
    }
}

/// Every choice of packs that no other beats in objective, foods, cost and spoiled value
/// together, each with its least sums; none if that takes too many steps.
fn front(
    food: &FoodModel,
    weights: &Weights,
    trips: u16,
    demands: &[Demand],
    last: i32,
) -> Option<Vec<Way>> {
    let mut search = Search::new(food, weights, trips, demands, last);
    search.front = Some(Vec::new());
    search.most_steps = MOST_STEPS_ALL;
    search.choose(0);
    search.front.filter(|_| search.steps <= MOST_STEPS_ALL)
}

impl<'a> Search<'a> {
    fn new(
        food: &'a FoodModel,
        weights: &'a Weights,
        trips: u16,
        demands: &'a [Demand],
        last: i32,
    ) -> Self {
        let total = demands.iter().map(|d| d.1).sum();
        let mut search = Search {
            lots: &food.lots,
            weights,
            demands,
            total,
            places: Vec::new(),
            filler: None,
            slots: Vec::new(),
            counts: vec![0; food.lots.len()],
            opened: vec![0; food.lots.len()],
            base: (0, 0),
            stock_capacity: 0,
            cheapest: None,
            to_come: Vec::new(),
            grain: 0,
            open_spoils: None,
            last,
            best: None,
            draws: None,
            front: None,
            most_steps: MOST_STEPS,
            steps: 0,
        };
        for (index, lot) in food.lots.iter().enumerate() {
            if lot.trip.is_some_and(|trip| trips & (1 << trip) == 0) {
                continue;
            }
            if !lot.usable {
                if lot.stock {
                    let (weight, spoils) = weight(lot, lot.sealed_kept, weights);
                    search.base.0 += weight * lot.unit;
                    search.base.1 += spoils * lot.unit;
                }
                continue;
            }
            search.grain = gcd(search.grain, lot.unit);
            let kept = lot.pool.is_some() && lot.sealed_kept
                || lot.pool.is_none()
                    && (lot.open_from.max(0)..=lot.open_to).any(|day| {
                        lot.good(day) >= lot.carry && demands.iter().any(|d| d.0 & (1 << day) != 0)
                    });
            let spoils = if kept { 0 } else { lot.value };
            search.open_spoils = least_of(search.open_spoils, Some(spoils));
            if lot.stock {
                search.stock_capacity += lot.unit;
            } else {
                let inside = lot.unit * lot.units;
                let better = search.cheapest.is_none_or(|(price, cap)| {
                    i128::from(lot.price) * i128::from(cap) < i128::from(price) * i128::from(inside)
                });
                if better {
                    search.cheapest = Some((lot.price, inside));
                }
            }
            match lot.pool {
                Some((from, until)) if lot.stock => {
                    let (weight, spoils) = weight(lot, lot.sealed_kept, weights);
                    search.slots.push(Slot {
                        days: days(from, until, last),
                        capacity: lot.unit,
                        weight,
                        spoils,
                    });
                }
                Some((from, until)) => {
                    let reach = days(from, until, last);
                    let reaches = demands.iter().all(|d| d.0 & reach != 0);
                    let smaller = search.filler.is_none_or(|old| {
                        lot.unit * lot.units < food.lots[old].unit * food.lots[old].units
                    });
                    if reaches && smaller {
                        search.filler = Some(index);
                    }
                    search.places.push((index, None));
                }
                None => {
                    for day in lot.open_from.max(0)..=lot.open_to {
                        if demands.iter().any(|d| d.0 & (1 << day) != 0) {
                            search.places.push((index, Some(day)));
                        }
                    }
                }
            }
        }
        search.filler = search.filler.filter(|_| !food.may_gain(weights));
        let filler = search.filler;
        search
            .places
            .retain(|&(index, day)| day.is_some() || Some(index) != filler);
        let mut to_come = vec![0; search.places.len() + 1];
        for at in (0..search.places.len()).rev() {
            let (index, day) = search.places[at];
            let (most, unit, _, _) = search.place(index, day);
            to_come[at] = to_come[at + 1] + most * unit;
        }
        search.to_come = to_come;
        search
    }

    /// Most worth opening (or buying, of a pool) at a place, what one holds, its days and
    /// the weight and spoiled value of what is left in it.
    fn place(&self, index: usize, day: Option<i32>) -> (i64, i64, u32, (i64, i64)) {
        let lot = &self.lots[index];
        let (from, until, kept, unit) = match day {
            None => {
                let (from, until) = lot.pool.expect("a pool");
                (from, until, lot.sealed_kept, lot.unit * lot.units)
            }
            Some(day) => (day, lot.good(day), lot.good(day) >= lot.carry, lot.unit),
        };
        let days = days(from, until, self.last);
        let need: i64 = self
            .demands
            .iter()
            .filter(|d| d.0 & days != 0)
            .map(|d| d.1)
            .sum();
        let mut most = (need + unit - 1) / unit;
        if day.is_some() && !lot.sealed_kept && kept {
            most += lot.units - 1;
        }
        if lot.stock {
            most = most.max(1);
        }
        (most, unit, days, weight(lot, kept, self.weights))
    }

    fn choose(&mut self, next: usize) {
        self.steps += 1;
        if self.steps > self.most_steps || self.hopeless() {
            return;
        }
        let held: i64 = self.slots.iter().map(|slot| slot.capacity).sum();
        if self.filler.is_none() && held + self.to_come[next] < self.total {
            return;
        }
        let Some(&(index, day)) = self.places.get(next) else {
            self.finish();
            return;
        };
        let (mut most, unit, days, fate) = self.place(index, day);
        let lot = &self.lots[index];
        if lot.stock {
            most = most.min(1 - self.opened[index]);
        }
        let (units, stock) = (lot.units, lot.stock);
        for count in 0..=most {
            if count > 0 {
                self.slots.push(Slot {
                    days,
                    capacity: count * unit,
                    weight: fate.0,
                    spoils: fate.1,
                });
            }
            let before = self.counts[index];
            if day.is_some() {
                self.opened[index] += count;
                if !stock {
                    self.counts[index] = (self.opened[index] + units - 1) / units;
                }
            } else {
                self.counts[index] = count;
            }
            self.choose(next + 1);
            if day.is_some() {
                self.opened[index] -= count;
            }
            self.counts[index] = before;
            if count > 0 {
                self.slots.pop();
            }
        }
    }

    /// Whether nothing from here can matter.
    fn hopeless(&self) -> bool {
        match &self.front {
            None => {
                let best = self.best;
                best.is_some_and(|best| self.bound().score.objective >= best)
            }
            Some(front) if front.is_empty() => false,
            Some(front) => {
                let bound = self.bound();
                front.iter().any(|way| dominates(way, &bound))
            }
        }
    }

    /// Packs counted are paid; what they cannot hold is bought at no less than the least
    /// price; leftovers weigh, and spoil, no less than those of the lightest lot.
    fn bound(&self) -> Way {
        let (mut packs, mut capacity) = (0, self.stock_capacity);
        let mut credit = 0i64;
        let mut least: Option<i64> = None;
        let mut least_spoils: Option<i64> = None;
        for (lot, &count) in self.lots.iter().zip(&self.counts) {
            if lot.usable || !lot.stock {
                let spoils = if lot.keepable { 0 } else { lot.value };
                least_spoils = least_of(least_spoils, Some(spoils));
            }
            if lot.stock {
                if lot.usable {
                    least = least_of(least, Some(FoodModel::left_weight(lot, self.weights)));
                    if lot.keepable {
                        credit += self.weights.kept(lot.value) * lot.unit;
                    }
                }
                continue;
            }
            least = least_of(least, Some(FoodModel::left_weight(lot, self.weights)));
            packs += count * lot.price;
            let held = count * lot.units * lot.unit;
            capacity += held;
            if lot.keepable && held > 0 {
                credit += self.weights.kept(lot.value) * held;
            }
        }
        let missing = self.total - capacity;
        let mut bought = packs > 0 || self.counts.iter().any(|&count| count > 0);
        if missing > 0
            && let Some((price, cap)) = self.cheapest
        {
            bought = true;
            if self.weights.keep == 0 {
                packs += (i128::from(missing) * i128::from(price) / i128::from(cap)) as i64;
            }
        }
        let left = (capacity - self.total).max(0);
        // What is open holds all that is used, in whole units.
        let open: i64 = self.slots.iter().map(|slot| slot.capacity).sum();
        let grain = self.grain.max(1);
        let open_left = open.max((self.total + grain - 1) / grain * grain) - self.total;
        let (least_spoils, open_spoils) =
            (least_spoils.unwrap_or(0), self.open_spoils.unwrap_or(0));
        let spoiled = (left * least_spoils).max(open_left * open_spoils);
        // Weights rise with values.
        let weighs = (left * least.unwrap_or(0).max(0))
            .max(left * self.weights.spoiled(least_spoils))
            .max(open_left * self.weights.spoiled(open_spoils));
        let foods = i64::from(bought);
        let objective =
            self.base.0 + packs * self.weights.pack + foods * self.weights.food + weighs - credit;
        way(objective, packs, bought, self.base.1 + spoiled)
    }

    fn finish(&mut self) {
        let mut slots = self.slots.clone();
        // The heaviest leftovers are drawn first, as far as the others allow. What is kept
        // weighs nothing or less, so this leaves the least to spoil, too.
        let heaviest = |slot: &Slot| (-slot.weight, -slot.spoils);
        slots.sort_by_key(heaviest);
        let mut flow = Flow::new(slots, self.demands);
        for slot in 0..flow.slots.len() {
            flow.fill(slot);
        }
        let missing = flow.want.iter().sum::<i64>();
        let mut packs = 0;
        let mut bought = false;
        let (mut cost, mut spoiled) = self.base;
        if missing > 0 {
            let Some(index) = self.filler else { return };
            let lot = &self.lots[index];
            let inside = lot.unit * lot.units;
            let count = (missing + inside - 1) / inside;
            packs += count * lot.price;
            bought = true;
            let (from, until) = lot.pool.expect("a pool");
            // Drawing from the filler instead of what weighs less is settled by flow too.
            let mut slots = self.slots.clone();
            let (weight, spoils) = weight(lot, lot.sealed_kept, self.weights);
            slots.push(Slot {
                days: days(from, until, self.last),
                capacity: count * inside,
                weight,
                spoils,
            });
            slots.sort_by_key(heaviest);
            flow = Flow::new(slots, self.demands);
            for slot in 0..flow.slots.len() {
                flow.fill(slot);
            }
            if flow.want.iter().any(|&want| want > 0) {
                return;
            }
        }
        for (index, lot) in self.lots.iter().enumerate() {
            if !lot.usable {
                continue;
            }
            let held = if lot.stock {
                i64::from(lot.pool.is_none())
            } else {
                bought |= self.counts[index] > 0;
                packs += self.counts[index] * lot.price;
                if lot.pool.is_some() {
                    continue;
                }
                self.counts[index] * lot.units
            };
            let sealed = held - self.opened[index];
            if sealed > 0 {
                let (weight, spoils) = weight(lot, lot.sealed_kept, self.weights);
                cost += weight * sealed * lot.unit;
                spoiled += spoils * sealed * lot.unit;
            }
        }
        cost += packs * self.weights.pack + i64::from(bought) * self.weights.food;
        for (slot, left) in flow.slots.iter().zip(&flow.left) {
            cost += slot.weight * left;
            spoiled += slot.spoils * left;
        }
        if let Some(front) = &mut self.front {
            let way = way(cost, packs, bought, spoiled);
            if !front.iter().any(|old| dominates(old, &way)) {
                front.retain(|old| !dominates(&way, old));
                front.push(way);
            }
            return;
        }
        if self.best.is_none_or(|best| cost < best) {
            self.best = Some(cost);
            self.draws = Some(flow.draws(self.demands));
        }
    }
}

fn gcd(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Weight of a milligram left over in the objective, and in spoiled value.
fn weight(lot: &LotModel, kept: bool, weights: &Weights) -> (i64, i64) {
    if kept {
        (-weights.kept(lot.value), 0)
    } else {
        (weights.spoiled(lot.value), lot.value)
    }
}

fn way(objective: i64, packs: i64, bought: bool, spoiled: i64) -> Way {
    Way {
        score: Score {
            objective,
            foods: i64::from(bought),
            cost: packs * NANO,
            spoiled,
        },
        packs,
        bought,
        detail: Vec::new(),
    }
}

/// Whether what is `left` on each day can hold all demands, each divided over its days.
pub(super) fn fits(left: &[i64], demands: &[Demand]) -> bool {
    // Mostly each day could hold all that may come to it.
    let ample = left.iter().enumerate().all(|(day, &left)| {
        let may = demands.iter().filter(|demand| demand.0 >> day & 1 != 0);
        may.map(|demand| demand.1).sum::<i64>() <= left
    });
    if ample && demands.iter().all(|demand| demand.0 != 0) {
        return true;
    }
    let slots = left.iter().enumerate().map(|(day, &capacity)| Slot {
        days: 1 << day,
        capacity,
        weight: 0,
        spoils: 0,
    });
    let mut flow = Flow::new(slots.collect(), demands);
    for slot in 0..flow.slots.len() {
        flow.fill(slot);
    }
    flow.want.iter().all(|&want| want == 0)
}

/// Draws of demands from slots: a maximum flow, grown slot by slot.
struct Flow {
    slots: Vec<Slot>,
    demands: Vec<u32>,
    /// By slot, then demand.
    flow: Vec<i64>,
    left: Vec<i64>,
    want: Vec<i64>,
    /// The slot each demand was reached from, the demand each slot was, and slots reached.
    from_slot: Vec<usize>,
    from_demand: Vec<usize>,
    reached: Vec<usize>,
}

/// Not reached.
const NOWHERE: usize = usize::MAX;

impl Flow {
    fn new(slots: Vec<Slot>, demands: &[Demand]) -> Self {
        Self {
            flow: vec![0; demands.len() * slots.len()],
            from_slot: vec![NOWHERE; demands.len()],
            from_demand: vec![NOWHERE; slots.len()],
            reached: Vec::with_capacity(slots.len()),
            left: slots.iter().map(|slot| slot.capacity).collect(),
            want: demands.iter().map(|d| d.1).collect(),
            demands: demands.iter().map(|d| d.0).collect(),
            slots,
        }
    }

    /// Draws as much as possible from `slot` without taking anything back from those
    /// filled before (they may serve other demands instead).
    fn fill(&mut self, slot: usize) {
        let demands = self.demands.len();
        while self.left[slot] > 0 {
            self.from_slot.fill(NOWHERE);
            self.from_demand.fill(NOWHERE);
            self.reached.clear();
            self.reached.push(slot);
            let mut at = 0;
            let mut end = None;
            'search: while let Some(&s) = self.reached.get(at) {
                at += 1;
                for d in 0..demands {
                    if self.from_slot[d] != NOWHERE || self.slots[s].days & self.demands[d] == 0 {
                        continue;
                    }
                    self.from_slot[d] = s;
                    if self.want[d] > 0 {
                        end = Some(d);
                        break 'search;
                    }
                    for other in 0..self.slots.len() {
                        if other != slot
                            && self.from_demand[other] == NOWHERE
                            && self.flow[other * demands + d] > 0
                        {
                            self.from_demand[other] = d;
                            self.reached.push(other);
                        }
                    }
                }
            }
            let Some(end) = end else { return };
            let mut push = self.want[end].min(self.left[slot]);
            let mut d = end;
            loop {
                let s = self.from_slot[d];
                let before = self.from_demand[s];
                if before == NOWHERE {
                    break;
                }
                push = push.min(self.flow[s * demands + before]);
                d = before;
            }
            self.want[end] -= push;
            self.left[slot] -= push;
            let mut d = end;
            loop {
                let s = self.from_slot[d];
                self.flow[s * demands + d] += push;
                let before = self.from_demand[s];
                if before == NOWHERE {
                    break;
                }
                self.flow[s * demands + before] -= push;
                d = before;
            }
        }
    }

    fn draws(&self, demands: &[Demand]) -> Vec<Draw> {
        let mut draws = Vec::new();
        for (which, slot) in self.slots.iter().enumerate() {
            let flow = &self.flow[which * self.demands.len()..];
            for (at, &mg) in flow.iter().take(self.demands.len()).enumerate() {
                if mg > 0 {
                    draws.push((at, slot.days & demands[at].0, mg));
                }
            }
        }
        draws
    }
}

impl LeafSolver<'_, '_> {
    /// The least a food can cost if each of `demands` may be divided over its days, and
    /// draws that reach it; none if they cannot be served at all.
    pub(super) fn flexible(
        &mut self,
        food: u32,
        direct: &Uses,
        demands: Vec<Demand>,
    ) -> Option<(i64, Arc<Vec<Draw>>)> {
        let key = (food, *direct, demands);
        if let Some(known) = self.flexed.get(&key) {
            return known.clone();
        }
        let demands = &key.2;
        let mut known: Option<(i64, Vec<Draw>)> = None;
        for early in [true, false] {
            let mut uses = *direct;
            let whole: Vec<Draw> = demands
                .iter()
                .enumerate()
                .map(|(at, &(days, mg))| {
                    let day = if early {
                        days.trailing_zeros()
                    } else {
                        days.ilog2()
                    };
                    uses[day as usize] += mg;
                    (at, 1 << day, mg)
                })
                .collect();
            if let Some(least) = least(&self.ways(food, self.all_trips, &uses))
                && known.as_ref().is_none_or(|known| least.objective < known.0)
            {
                known = Some((least.objective, whole));
            }
        }
        if demands.iter().any(|&(days, _)| days.count_ones() > 1) {
            let model = self.pool().foods[food as usize].as_ref().expect("counted");
            let weights = &self.stage.gauges[0].weights;
            let last = self.pool().last;
            let trips = self.all_trips;
            let upper = known.as_ref().map(|known| known.0);
            match floor(model, weights, trips, direct, demands, last, upper) {
                Least::Drawn(least, draws) => known = Some((least, draws)),
                Least::NoneBelow => {}
                Least::Unknown => {
                    let served: i64 = demands.iter().map(|d| d.1).sum();
                    let total = direct.iter().sum::<i64>() + served;
                    let floor = self.stage.gauges[0].floor(food, total, total);
                    let (upper, draws) = known.unwrap_or((floor, Vec::new()));
                    known = Some((upper.min(floor), draws));
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

    /// [`front`] of a food, remembered; where that takes too long, one way that is no worse
    /// than any.
    pub(super) fn flexible_front(
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
        let pool = stage.pool;
        let model = pool.foods[food as usize].as_ref().expect("counted");
        let demands = all_demands(direct, &key.2, pool.last);
        let weights = &stage.gauges[0].weights;
        let found = front(model, weights, self.all_trips, &demands, pool.last);
        let found = found.unwrap_or_else(|| {
            let total: i64 = demands.iter().map(|demand| demand.1).sum();
            let (cost, spoiled) = stage.tie_floors(food, total, total);
            let bought = total > model.on_hand;
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
                detail: Vec::new(),
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

#[cfg(test)]
mod tests {
    use super::super::pool::Pool;
    use super::super::ways::{Asked, DAYS, ways};
    use super::*;
    use std::path::Path;

    /// Whatever whole lunches are cooked when, what a food then costs is no better than one of
    /// the ways to divide them at will: in objective, foods, cost and what spoils together.
    #[test]
    fn whole_lunches_never_beat_lunches_divided_at_will() {
        let mut seed = 3u64;
        let mut next = move |below: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as i64 % below
        };
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
        let larder = crate::kitchen::read_dir(&folder).larder;
        let larder = larder.expect("the demo kitchen has no fault");
        let pool = Pool::new(&larder);
        let weights = Weights::money(&larder);
        let trips = ((1u32 << larder.week.trips.len()) - 1) as u16;
        let foods: Vec<&FoodModel> = pool
            .foods
            .iter()
            .flatten()
            .filter(|f| !f.timeless)
            .collect();
        let (mut compared, mut several) = (0, 0);
        for _ in 0..600 {
            let food = foods[next(foods.len() as i64) as usize];
            let mut direct = [0; DAYS];
            if next(2) == 0 {
                direct[1 + next(5) as usize] = 1 + next(300_000);
            }
            let demands: Vec<Demand> = (0..=next(2))
                .map(|_| {
                    let to = 1 + next(5) as i32;
                    (days(to - next(4) as i32, to, pool.last), 1 + next(400_000))
                })
                .collect();
            let all = all_demands(&direct, &demands, pool.last);
            let Some(front) = front(food, &weights, trips, &all, pool.last) else {
                continue;
            };
            several += i32::from(front.len() > 1);
            for early in 0..1 << demands.len() {
                let mut uses = direct;
                for (at, &(days, mg)) in demands.iter().enumerate() {
                    let day = if early >> at & 1 == 0 {
                        days.trailing_zeros()
                    } else {
                        days.ilog2()
                    };
                    uses[day as usize] += mg;
                }
                let asked = Asked {
                    front: true,
                    detail: false,
                    halted: &|| false,
                };
                for way in ways(food, &weights, trips, &uses, pool.last, &asked) {
                    let met = front.iter().any(|divided| dominates(divided, &way));
                    assert!(met, "{way:?} of {uses:?} beats all of {front:?}");
                    compared += 1;
                }
            }
        }
        assert!(compared > 800 && several > 20, "{compared} {several}");
    }
}
