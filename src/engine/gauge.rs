//! Floors of all units in one dimension: the objective of the stage, or a sum with a
//! ceiling (cap, budget, a settled aim).

use super::books::split;
use super::items::Item;
use super::leaf::Mixer;
use super::pool::Pool;
use super::relaxed::Relaxed;
use super::score::Weights;
use std::collections::HashMap;

/// One sum that the search keeps a floor under.
pub(super) struct Gauge {
    pub(super) weights: Weights,
    /// Foods by id, then components; none for units no item uses.
    floors: Vec<Option<Floor>>,
    /// Floor of foods on hand that no item uses: always paid.
    pub(super) constant: i64,
    /// Units whose floor is not zero when nothing is used (stock that may spoil).
    pub(super) restless: Vec<u32>,
    /// By unit: the amounts that items take, rising, and of how many users all sums are tried;
    /// below 0 where what is left over weighs nothing, or days differ in their eaters.
    amounts: Vec<(Vec<i64>, i64)>,
    /// By unit and heads less one: how it is shared while nothing of it is used.
    ways: Vec<Vec<Way>>,
}

/// Sums of amounts of a unit tried at most, as if their order counted.
const MOST_SUMS: i64 = 500;

/// Floors remembered at most: memory, not exactness.
const MOST_REACHED: usize = 200_000;

/// Floors that [`Gauge::least`] has worked out: by unit, use, and more users.
pub(super) type Reached = HashMap<(u32, i64, i64), i64, Mixer>;

/// The floor of a unit last worked out, and for what.
#[derive(Clone, Copy)]
pub(super) struct Seen {
    used: i64,
    /// The most that the week may use, or below 0 how many more users may: -1 is none.
    beyond: i64,
    pub(super) floor: i64,
}

impl Seen {
    /// Nothing yet: no unit is used less than not at all.
    pub(super) const NOTHING: Self = Self {
        used: -1,
        beyond: 0,
        floor: 0,
    };
}

/// How a unit of which nothing is used yet is shared among the lunches that may use it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Way {
    /// Least price of a milligram; 0 if shared by heads.
    pub(super) rate: i64,
    /// Price put on the food.
    food: i64,
}

impl Way {
    /// Share of a lunch that takes `amount` and by itself would add `more`, among so many heads.
    #[inline]
    pub(super) fn share(&self, more: i64, amount: i64, heads: i64) -> i64 {
        if self.rate > 0 {
            self.rate * amount + split(self.food, heads)
        } else {
            split(more, heads)
        }
    }
}

enum Floor {
    Food(Box<Relaxed>),
    /// Active minutes of at least one batch.
    Batch(i64),
}

impl Gauge {
    /// Prepares the floors for `items`.
    pub(super) fn new(pool: &Pool, weights: &Weights, items: &[Item]) -> Self {
        let foods = pool.larder.foods.len();
        let units = foods + pool.larder.components.len();
        let mut most = vec![0i64; units];
        for item in items {
            for &(unit, amount) in &item.units {
                most[unit as usize] = most[unit as usize].max(amount);
            }
        }
        // The true eaters of a day may be more than the fewest; so may the use.
        let ratio = pool.eaters.last().copied().unwrap_or(1) / pool.eaters[0].max(1) + 1;
        let mut floors: Vec<Option<Floor>> = Vec::with_capacity(units);
        let mut constant = 0;
        let mut restless = Vec::new();
        for unit in 0..units {
            if unit >= foods {
                let component = pool.component((unit - foods) as u32);
                let price = component.batch_minutes_nano * weights.minute;
                floors.push((most[unit] > 0 && price > 0).then_some(Floor::Batch(price)));
                continue;
            }
            let Some(model) = &pool.foods[unit] else {
                floors.push(None);
                continue;
            };
            let relaxed = Relaxed::new(model, weights, most[unit] * ratio * i64::from(pool.last));
            if most[unit] == 0 {
                constant += relaxed.floor(0, 0);
                floors.push(None);
                continue;
            }
            if model.lots.iter().any(|lot| lot.stock) {
                restless.push(unit as u32);
            }
            floors.push(Some(Floor::Food(Box::new(relaxed))));
        }
        let mut amounts = vec![(Vec::new(), -1); units];
        if pool.eaters.len() == 1 {
            for &(unit, amount) in items.iter().flat_map(|item| &item.units) {
                let floor = &floors[unit as usize];
                if matches!(floor, Some(Floor::Food(food)) if food.heaviest() > 0) {
                    amounts[unit as usize].0.push(amount);
                }
            }
        }
        for (amounts, users) in &mut amounts {
            amounts.sort_unstable();
            amounts.dedup();
            let mut sums = 1;
            while !amounts.is_empty() && sums <= MOST_SUMS && *users < i64::from(pool.last) {
                *users += 1;
                sums *= amounts.len() as i64;
            }
        }
        let mut gauge = Self {
            weights: weights.clone(),
            floors,
            constant,
            restless,
            amounts,
            ways: Vec::new(),
        };
        gauge.set_ways(pool, items);
        gauge
    }

    /// Chooses how units are shared: what by heads and what by weight, as an item of average
    /// amount would have the larger share.
    fn set_ways(&mut self, pool: &Pool, items: &[Item]) {
        let mut taken = vec![(0, 0, 0); self.floors.len()];
        for &(unit, amount) in items.iter().flat_map(|item| &item.units) {
            let (sum, count, most) = &mut taken[unit as usize];
            *sum += amount;
            *count += 1;
            *most = amount.max(*most);
        }
        let ways = (0..).zip(taken).map(|(unit, (sum, count, most))| {
            let Some((price, capacity)) = self.per_milligram(unit).filter(|_| count > 0) else {
                return Vec::new();
            };
            let (rate, food) = (price / capacity, self.weights.food);
            let typical = sum / count;
            let way = |heads: i64| {
                let by_heads = self.floor(unit, typical, pool.stretch(most * heads)) / heads;
                let by_weight = rate * typical + food / heads;
                // A single lunch pays the whole floor.
                let rate = if heads > 1 && by_weight > by_heads {
                    rate
                } else {
                    0
                };
                Way { rate, food }
            };
            (1..=i64::from(pool.last)).map(way).collect()
        });
        self.ways = ways.collect();
    }

    /// How a unit of which nothing is used yet is shared among so many heads.
    pub(super) fn way(&self, unit: u32, heads: i64) -> Way {
        let ways = &self.ways[unit as usize];
        ways.get(heads as usize - 1).copied().unwrap_or_default()
    }

    /// Floor of a unit of which the week uses between `used` and `most`.
    pub(super) fn floor(&self, unit: u32, used: i64, most: i64) -> i64 {
        match &self.floors[unit as usize] {
            None => 0,
            Some(Floor::Food(relaxed)) => relaxed.floor(used, most),
            Some(Floor::Batch(price)) if used > 0 => *price,
            Some(Floor::Batch(_)) => 0,
        }
    }

    /// Whether all sums of what up to so many more users take of a unit are tried.
    pub(super) fn sums(&self, unit: u32, users: i64) -> bool {
        users <= self.amounts[unit as usize].1
    }

    /// Floor of a unit of which the week uses `used` and what up to so many more users take
    /// ([`Self::sums`] holds). Packs and amounts come in few sizes, so few sums leave little of
    /// a pack: this is higher than the floor of any use in between.
    ///
    /// Proof. The week's use is one of the sums, and no week that uses so much costs less than
    /// the floor of that use.
    pub(super) fn least(&self, unit: u32, used: i64, users: i64, known: &mut Reached) -> i64 {
        if users <= 0 {
            return self.floor(unit, used, used);
        }
        if let Some(&least) = known.get(&(unit, used, users)) {
            return least;
        }
        let mut least = self.floor(unit, used, used);
        for &amount in &self.amounts[unit as usize].0 {
            least = least.min(self.least(unit, used + amount, users - 1, known));
        }
        if known.len() >= MOST_REACHED {
            known.clear();
        }
        known.insert((unit, used, users), least);
        least
    }

    /// The higher of the floors there are of a unit of which the week uses at least `used`, at
    /// most `most`, and beyond `used` what up to so many more users take.
    pub(super) fn with_users(
        &self,
        unit: u32,
        used: i64,
        (users, most): (i64, i64),
        known: &mut Reached,
    ) -> i64 {
        if self.sums(unit, users) {
            self.least(unit, used, users, known)
        } else {
            self.floor(unit, used, most)
        }
    }

    /// What the floor of a unit goes by beyond its use: as in [`Self::with_users`], below 0
    /// the users, -1 for none, or else the most that the week may use.
    pub(super) fn beyond(&self, unit: u32, users: i64, most: i64) -> i64 {
        if self.sums(unit, users) {
            -1 - users
        } else {
            most
        }
    }

    /// The same as [`Self::with_users`], where most are as they were when last looked at.
    #[inline]
    pub(super) fn seen(
        &self,
        seen: &mut Seen,
        unit: u32,
        used: i64,
        beyond: i64,
        known: &mut Reached,
    ) -> i64 {
        if (seen.used, seen.beyond) != (used, beyond) {
            let floor = if beyond < 0 {
                self.least(unit, used, -1 - beyond, known)
            } else {
                self.floor(unit, used, beyond)
            };
            *seen = Seen {
                used,
                beyond,
                floor,
            };
        }
        seen.floor
    }

    /// Least price of a milligram bought, as a fraction, if the food must be bought.
    pub(super) fn per_milligram(&self, unit: u32) -> Option<(i64, i64)> {
        match &self.floors[unit as usize] {
            Some(Floor::Food(relaxed)) => relaxed.per_milligram(),
            _ => None,
        }
    }

    /// What an item adds whatever else is in the week.
    pub(super) fn fixed(&self, item: &Item) -> i64 {
        let weights = &self.weights;
        item.staples * weights.staple
            + item.minutes * weights.minute
            + item.preference * weights.preference
    }
}

#[cfg(test)]
mod tests {
    use super::super::items::all_items;
    use super::*;
    use itertools::Itertools;
    use std::path::Path;

    /// Sums of amounts against all of them tried; below them, any use in between.
    #[test]
    fn the_least_of_all_sums() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
        let larder = crate::kitchen::read_dir(&folder).larder;
        let larder = larder.expect("the demo kitchen has no fault");
        let pool = Pool::new(&larder);
        let items = all_items(&pool);
        let gauge = Gauge::new(&pool, &Weights::money(&larder), &items);
        let mut known = Reached::default();
        let (mut compared, mut higher) = (0, 0);
        for unit in 0..larder.foods.len() as u32 {
            let units = items.iter().flat_map(|item| item.units.iter());
            let amounts: Vec<i64> = units
                .filter(|&&(other, _)| other == unit)
                .map(|&(_, amount)| amount)
                .sorted_unstable()
                .dedup()
                .collect();
            for users in (0..4).filter(|&users| gauge.sums(unit, users)) {
                let used = amounts.first().map_or(0, |amount| amount * 3);
                // Each user takes one of the amounts, or is none after all.
                let choices = amounts.iter().copied().chain([0]);
                let sums = std::iter::repeat_n(choices, users as usize);
                let sums: Vec<i64> = if users == 0 {
                    vec![0]
                } else {
                    let all = sums.multi_cartesian_product();
                    all.map(|sum| sum.iter().sum()).collect()
                };
                let uses = sums.iter().map(|more| used + more);
                let tried = uses.map(|used| gauge.floor(unit, used, used)).min();
                let least = gauge.least(unit, used, users, &mut known);
                assert_eq!(Some(least), tried, "food {unit}, {users} more users");
                let most = used + sums.iter().max().copied().unwrap_or(0);
                let between = gauge.floor(unit, used, most);
                assert!(between <= least, "food {unit}, {users} more users");
                compared += 1;
                higher += i32::from(between < least);
            }
        }
        assert!(compared > 50 && higher > 20, "{compared} {higher}");
    }
}
