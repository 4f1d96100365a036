//! A floor under one food's cost when its batches may be cooked, and divided, at will.
//!
//! Direct use keeps its day; what a component's lunch takes may be used on any day of that
//! lunch's batch window, in any division. Every way of cooking, divided lunches included,
//! gives such a use, so the least cost found here is never above the true one. Two things
//! are let go, which only lowers it: a unit need not be used on the day it is opened (some
//! use must be possible on it), and what is left over is taken to be the lightest of what
//! was opened.

use super::lots::{FoodModel, LotModel, day_index};
use super::score::Weights;
use super::ways::Uses;

/// What must be served: first and last day, milligrams.
pub(super) type Demand = (i32, i32, i64);

struct Slot {
    from: i32,
    until: i32,
    capacity: i64,
    weight: i64,
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
    base: i64,
    stock_capacity: i64,
    cheapest: Option<(i64, i64)>,
    best: i64,
}

/// Returns a floor under the objective of the food, at most `upper`.
pub(super) fn floor(
    food: &FoodModel,
    weights: &Weights,
    trips: u16,
    direct: &Uses,
    flexible: &[Demand],
    last: i32,
    upper: i64,
) -> i64 {
    let mut demands: Vec<Demand> = flexible.to_vec();
    for day in 0..=last {
        let mg = direct[day_index(day)];
        if mg > 0 {
            demands.push((day, day, mg));
        }
    }
    let total = demands.iter().map(|d| d.2).sum();
    let mut search = Search {
        lots: &food.lots,
        weights,
        demands: &demands,
        total,
        places: Vec::new(),
        filler: None,
        slots: Vec::new(),
        counts: vec![0; food.lots.len()],
        opened: vec![0; food.lots.len()],
        base: 0,
        stock_capacity: 0,
        cheapest: None,
        best: upper,
    };
    for (index, lot) in food.lots.iter().enumerate() {
        if lot.trip.is_some_and(|trip| trips & (1 << trip) == 0) {
            continue;
        }
        if !lot.usable {
            if lot.stock {
                search.base += weight(lot, lot.sealed_kept, weights) * lot.unit;
            }
            continue;
        }
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
            Some((from, until)) if lot.stock => search.slots.push(Slot {
                from,
                until,
                capacity: lot.unit,
                weight: weight(lot, lot.sealed_kept, weights),
            }),
            Some((from, until)) => {
                let reaches = demands.iter().all(|d| d.0 <= until && d.1 >= from);
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
                    if demands.iter().any(|d| d.0 <= day && day <= d.1) {
                        search.places.push((index, Some(day)));
                    }
                }
            }
        }
    }
    let filler = search.filler;
    search
        .places
        .retain(|&(index, day)| day.is_some() || Some(index) != filler);
    search.choose(0);
    search.best
}

fn weight(lot: &LotModel, kept: bool, weights: &Weights) -> i64 {
    if kept {
        -weights.keep * lot.value
    } else {
        weights.spoil * lot.value
    }
}

impl Search<'_> {
    fn choose(&mut self, next: usize) {
        if self.bound() >= self.best {
            return;
        }
        let Some(&(index, day)) = self.places.get(next) else {
            self.finish();
            return;
        };
        let lot = &self.lots[index];
        let (from, until, kept, unit) = match day {
            None => {
                let (from, until) = lot.pool.expect("a pool");
                (from, until, lot.sealed_kept, lot.unit * lot.units)
            }
            Some(day) => (day, lot.good(day), lot.good(day) >= lot.carry, lot.unit),
        };
        let need: i64 = self
            .demands
            .iter()
            .filter(|d| d.0 <= until && d.1 >= from)
            .map(|d| d.2)
            .sum();
        let mut most = (need + unit - 1) / unit;
        if day.is_some() && !lot.sealed_kept && kept {
            most += lot.units - 1;
        }
        if lot.stock {
            most = most.max(1).min(1 - self.opened[index]);
        }
        let fate = weight(lot, kept, self.weights);
        let (units, stock) = (lot.units, lot.stock);
        for count in 0..=most {
            if count > 0 {
                self.slots.push(Slot {
                    from,
                    until,
                    capacity: count * unit,
                    weight: fate,
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

    /// Packs counted are paid; what they cannot hold is bought at no less than the least
    /// price; leftovers weigh no less than the lightest lot.
    fn bound(&self) -> i64 {
        let (mut packs, mut capacity) = (0, self.stock_capacity);
        let mut credit = 0i64;
        let mut least = i64::MAX;
        for (lot, &count) in self.lots.iter().zip(&self.counts) {
            if lot.stock {
                if lot.usable {
                    least = least.min(FoodModel::left_weight(lot, self.weights));
                    if lot.keepable {
                        credit += self.weights.keep * lot.value * lot.unit;
                    }
                }
                continue;
            }
            least = least.min(FoodModel::left_weight(lot, self.weights));
            packs += count * lot.price;
            let held = count * lot.units * lot.unit;
            capacity += held;
            if lot.keepable && held > 0 {
                credit += self.weights.keep * lot.value * held;
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
        let spoiled = if least > 0 && least < i64::MAX {
            left * least
        } else {
            0
        };
        self.base + packs * self.weights.pack + i64::from(bought) * self.weights.food + spoiled
            - credit
    }

    fn finish(&mut self) {
        let served = self.most_served();
        let mut missing = self.total - served;
        let mut packs = 0;
        let mut parts: Vec<(i64, i64)> =
            self.slots.iter().map(|s| (s.weight, s.capacity)).collect();
        let mut bought = false;
        if missing > 0 {
            let Some(index) = self.filler else { return };
            let lot = &self.lots[index];
            let inside = lot.unit * lot.units;
            let count = (missing + inside - 1) / inside;
            packs += count * lot.price;
            parts.push((weight(lot, lot.sealed_kept, self.weights), count * inside));
            bought = true;
            missing = 0;
        }
        debug_assert_eq!(missing, 0);
        let mut cost = self.base;
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
                cost += weight(lot, lot.sealed_kept, self.weights) * sealed * lot.unit;
            }
        }
        cost += packs * self.weights.pack + i64::from(bought) * self.weights.food;
        // Draw from the heaviest first.
        parts.sort_unstable_by_key(|&(weight, _)| -weight);
        let mut drawn = self.total;
        for (weight, capacity) in parts {
            let take = drawn.min(capacity);
            drawn -= take;
            cost += weight * (capacity - take);
        }
        self.best = self.best.min(cost);
    }

    /// Most that the slots can serve of the demands: a maximum flow by augmenting paths.
    fn most_served(&self) -> i64 {
        let slots = self.slots.len();
        let mut flow = vec![vec![0i64; self.demands.len()]; slots];
        let mut left: Vec<i64> = self.slots.iter().map(|s| s.capacity).collect();
        let mut want: Vec<i64> = self.demands.iter().map(|d| d.2).collect();
        let joins = |s: usize, d: usize| {
            self.demands[d].0 <= self.slots[s].until && self.demands[d].1 >= self.slots[s].from
        };
        let mut served = 0;
        loop {
            // Breadth first from slots with something left to a demand that wants more.
            let mut from_slot: Vec<Option<usize>> = vec![None; self.demands.len()];
            let mut from_demand: Vec<Option<usize>> = vec![None; slots];
            let mut seen: Vec<bool> = left.iter().map(|&l| l > 0).collect();
            let mut queue: std::collections::VecDeque<usize> =
                (0..slots).filter(|&s| left[s] > 0).collect();
            let mut end = None;
            'search: while let Some(s) = queue.pop_front() {
                for d in 0..self.demands.len() {
                    if from_slot[d].is_some() || !joins(s, d) {
                        continue;
                    }
                    from_slot[d] = Some(s);
                    if want[d] > 0 {
                        end = Some(d);
                        break 'search;
                    }
                    for other in 0..slots {
                        if !seen[other] && flow[other][d] > 0 {
                            seen[other] = true;
                            from_demand[other] = Some(d);
                            queue.push_back(other);
                        }
                    }
                }
            }
            let Some(end) = end else { return served };
            // The narrowest point of the path, then push.
            let mut push = want[end];
            let mut d = end;
            loop {
                let s = from_slot[d].expect("on the path");
                match from_demand[s] {
                    Some(before) => {
                        push = push.min(flow[s][before]);
                        d = before;
                    }
                    None => {
                        push = push.min(left[s]);
                        break;
                    }
                }
            }
            want[end] -= push;
            let mut d = end;
            loop {
                let s = from_slot[d].expect("on the path");
                flow[s][d] += push;
                match from_demand[s] {
                    Some(before) => {
                        flow[s][before] -= push;
                        d = before;
                    }
                    None => {
                        left[s] -= push;
                        break;
                    }
                }
            }
            served += push;
        }
    }
}
