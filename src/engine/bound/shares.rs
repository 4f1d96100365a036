//! What each lunch's share of a unit may be: as much as every set of lunches bears, 1e-9 minor units (or the unit of
//! a sum with a ceiling).
//!
//! A week uses some of a unit, and up to k more lunches may use it. Let F(x) be the floor of
//! using x in all, and *here* the least F over what is used and every sum that up to k lunches
//! can add. Shares by amount are good if those of no k lunches, or fewer, add up to more than
//! F of what they make it, less *here*: then any completion pays *here* and its shares.
//!
//! Two kinds are good to begin with; the one that is larger for the items that there are is
//! taken:
//!
//! * *By users*: a k-th of what an amount and any others beside it make of F, less *here*.
//!   Proof: the largest of at most k such differences is no less than their mean.
//! * *By weight* (of a food of which nothing is used or on hand): the amount times the least
//!   price per milligram, and a k-th of the price put on each food bought. Proof: packs that
//!   hold the sum of all amounts cost at least that much for each milligram, and the food is
//!   bought once.
//!
//! Then one amount after the other, those of most items first, is *lifted*: its share is raised
//! until some sum of shares would be too large. All sums of shares are tried, by how many
//! lunches and how much they take in all: packs and amounts come in few sizes, so these are few.
//! An amount stands no more often than there are recipes that take it.
//!
//! Rounding: a k-th, the price by the milligram and how far a share can be raised are rounded down, and smaller shares are
//! good where larger ones are. Floors may be asked of a sum alone, since a week that uses it in the terms of the fewest
//! eaters uses between it and [`Pool::stretch`] of it. The caller says what is used, and no fewer users than there can be
//! ([`crate::engine::bound::most_users`]). Where there are too many sums to try, floors of any use in between stand for them
//! all ([`Shares`] made coarse): they are no larger. The plain definition: for each choice of lunches, no more than the floor
//! of what it makes the unit's use, less *here*.

use crate::engine::bound::amounts::{All, Amounts, NONE, Share, Shares, Sums, Table};
use crate::engine::bound::gauge::Gauge;
use crate::engine::model::pool::Pool;
use crate::engine::model::sums::{least_of, split};
use std::sync::{Arc, PoisonError};

/// Shares remembered at most: memory, not exactness.
const MOST_KNOWN: usize = 100_000;

/// Raises shares by amount, with the largest sums of shares there are.
struct Lift<'s> {
    amounts: &'s Amounts,
    sums: &'s Sums,
    most_users: usize,
    /// By sum: what its shares may add up to, and the most that they do; below 0 if nothing
    /// makes that sum.
    room: Vec<i64>,
    most: Vec<i64>,
}

impl Lift<'_> {
    /// Puts an amount with its share beside what is there already.
    fn add(&mut self, place: usize, share: i64) {
        let times = self.amounts.times[place];
        let width = self.amounts.list.len();
        let lower = self.sums.start[self.most_users];
        let mut step = |from: usize| {
            let to = self.sums.next[from * width + place];
            let before = self.most[from];
            if to != NONE && before >= 0 {
                let most = &mut self.most[to as usize];
                *most = (before + share).max(*most);
            }
        };
        if times >= self.most_users {
            (0..lower).for_each(step);
        } else {
            // Each time from the top, one more at most.
            for _ in 0..times {
                (0..lower).rev().for_each(&mut step);
            }
        }
    }

    /// How far the share of an amount can be raised.
    fn slack(&self, place: usize, share: i64) -> i64 {
        let width = self.amounts.list.len();
        let times = self.amounts.times[place];
        let mut slack: Option<i64> = None;
        for from in 0..self.sums.start[self.most_users] {
            let most = self.most[from];
            if most < 0 {
                continue;
            }
            let mut to = from;
            for n in 1..=times as i64 {
                if to >= self.sums.start[self.most_users] {
                    break;
                }
                let next = self.sums.next[to * width + place];
                if next == NONE {
                    break;
                }
                to = next as usize;
                let left = self.room[to] - most - n * share;
                slack = least_of(slack, Some(left.div_euclid(n)));
            }
        }
        // Each amount is a sum of one.
        slack.map_or(0, |slack| slack.max(0))
    }
}

impl Shares {
    /// Works the shares of a unit out.
    pub(in crate::engine) fn new(
        gauge: &Gauge,
        pool: &Pool,
        unit: u32,
        used: i64,
        most_users: i64,
    ) -> Self {
        let amounts = &gauge.amounts[unit as usize];
        let floor = |sum: i64| gauge.floor(unit, used + sum, pool.stretch(used + sum));
        let k = most_users as usize;
        let Some(sums) = amounts.sums(k, pool.last as usize) else {
            return Self::coarse(gauge, pool, unit, used, most_users);
        };
        let width = amounts.list.len();
        let all = &sums.list[..sums.start[k + 1]];
        let floors: Vec<i64> = all.iter().map(|&sum| floor(sum)).collect();
        // The least of each and of all that it can become.
        let mut least = floors.clone();
        for from in (0..sums.start[k]).rev() {
            let next = &sums.next[from * width..][..width];
            for &to in next.iter().filter(|&&to| to != NONE) {
                least[from] = least[from].min(least[to as usize]);
            }
        }
        let here = least[0];
        let with = sums.next[..width].iter().map(|&to| least[to as usize]);
        let mut shares = Self::begin(gauge, unit, (used, here), most_users, with);
        if most_users > 1 {
            let mut lift = Lift {
                amounts,
                sums,
                most_users: k,
                room: floors.iter().map(|floor| floor - here).collect(),
                most: vec![-1; all.len()],
            };
            lift.most[0] = 0;
            for (place, one) in shares.by_amount.iter().enumerate() {
                lift.add(place, one.share);
            }
            for &place in &amounts.order {
                let share = &mut shares.by_amount[place].share;
                let slack = lift.slack(place, *share);
                if slack > 0 {
                    *share += slack;
                    lift.add(place, *share);
                }
            }
        }
        shares
    }

    /// Shares of a unit with too many sums: floors of any use in between.
    fn coarse(gauge: &Gauge, pool: &Pool, unit: u32, used: i64, most_users: i64) -> Self {
        let amounts = &gauge.amounts[unit as usize].list;
        let most = amounts.last().copied().unwrap_or(0) * most_users;
        let most = pool.stretch(used + most);
        let here = gauge.floor(unit, used, most);
        let with = amounts.iter().map(|q| gauge.floor(unit, used + q, most));
        Self::begin(gauge, unit, (used, here), most_users, with)
    }

    /// Shares by users or by weight, from the floors with each amount.
    fn begin(
        gauge: &Gauge,
        unit: u32,
        (used, here): (i64, i64),
        most_users: i64,
        floors: impl Iterator<Item = i64>,
    ) -> Self {
        let amounts = &gauge.amounts[unit as usize];
        let by_users = floors.map(|floor| Share {
            floor,
            share: split((floor - here).max(0), most_users),
        });
        let mut shares: Box<[Share]> = by_users.collect();
        let price = gauge.per_milligram(unit);
        if let Some((price, capacity)) = price.filter(|_| used == 0 && most_users > 1) {
            let rate = price / capacity;
            let food = split(gauge.weights.food, most_users);
            let by_weight = amounts.list.iter().map(|amount| rate * amount + food);
            let all = amounts.items.iter().zip(&shares).zip(by_weight.clone());
            let more = all.map(|((&items, by_users), weight)| {
                i128::from(items) * i128::from(weight - by_users.share)
            });
            if more.sum::<i128>() > 0 {
                for (one, share) in shares.iter_mut().zip(by_weight) {
                    one.share = share;
                }
            }
        }
        Self {
            here,
            by_amount: shares,
        }
    }
}

/// Shares at hand in one thread.
#[derive(Default)]
pub(in crate::engine) struct Known {
    /// Of units of which nothing is used: by unit and most users.
    unused: Vec<Option<Arc<Shares>>>,
    used: Table,
}

impl Known {
    /// Shares of a unit.
    #[inline]
    pub(in crate::engine) fn of(
        &mut self,
        gauge: &Gauge,
        pool: &Pool,
        unit: u32,
        used: i64,
        most_users: i64,
    ) -> &Shares {
        if used > 0 {
            if self.used.len() >= MOST_KNOWN {
                self.used.clear();
            }
            let key = (unit, used, most_users);
            let entry = self.used.entry(key);
            return entry.or_insert_with(|| gauge.known.of(gauge, pool, key));
        }
        let place = unit as usize * (pool.last as usize + 1) + most_users as usize;
        if self.unused.len() <= place {
            self.unused.resize(place + 1, None);
        }
        self.unused[place].get_or_insert_with(|| gauge.known.of(gauge, pool, (unit, 0, most_users)))
    }
}

impl All {
    /// Shares of a unit, worked out if no thread has yet. Who asks first makes no difference.
    fn of(&self, gauge: &Gauge, pool: &Pool, key: (u32, i64, i64)) -> Arc<Shares> {
        let known = self.0.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(shares) = known.get(&key) {
            return shares.clone();
        }
        drop(known);
        let (unit, used, most_users) = key;
        let shares = Arc::new(Shares::new(gauge, pool, unit, used, most_users));
        let mut known = self.0.write().unwrap_or_else(PoisonError::into_inner);
        if known.len() >= MOST_KNOWN {
            known.clear();
        }
        known.insert(key, shares.clone());
        shares
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::items::all_items;
    use crate::engine::model::score::Weights;
    use crate::larder::{Aim, Larder};
    use itertools::Itertools;
    use std::collections::HashMap;
    use std::path::Path;

    /// All choices of up to so many lunches of different recipes, as places of amounts.
    fn choices(recipes: &[Vec<usize>], most_users: usize, repeats: usize) -> Vec<Vec<usize>> {
        let mut all: Vec<Vec<usize>> = vec![Vec::new()];
        for places in recipes {
            let mut more = Vec::new();
            for chosen in &all {
                for times in 1..=repeats.min(most_users - chosen.len()) {
                    for taken in places.iter().combinations_with_replacement(times) {
                        let taken = taken.into_iter().copied();
                        more.push(chosen.iter().copied().chain(taken).collect());
                    }
                }
            }
            all.append(&mut more);
            for chosen in &mut all {
                chosen.sort_unstable();
            }
            all.sort_unstable();
            all.dedup();
        }
        all
    }

    fn demo() -> Larder {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
        let larder = crate::kitchen::read_dir(&folder).larder;
        larder.expect("the demo kitchen has no fault")
    }

    /// Every set of lunches, recipe by recipe, bears its shares and the floors said of it; and
    /// no share of an amount that may stand in every place can be raised.
    #[test]
    fn every_set_of_lunches_bears_its_shares() {
        let demo = demo();
        for (repeats, varied) in [(1, false), (2, false), (1, true)] {
            let larder = demo.changed(|new| {
                new.wishes.repeats = repeats;
                if varied {
                    new.week.eaters_milli[0] += 500;
                }
            });
            let larder = larder.expect("a sound larder");
            let pool = Pool::new(&larder);
            assert_eq!(pool.eaters.len() > 1, varied);
            let items = all_items(&pool, &|| false).list;
            let amounts = Arc::new(Amounts::all(&pool, &items));
            let (mut tried, mut raised, mut tight) = (0, 0, 0);
            for weights in [Weights::money(&larder), Weights::aim(Aim::Spoiled)] {
                let gauge = Gauge::new(&pool, &weights, amounts.clone());
                for unit in 0..amounts.len() as u32 {
                    let list = &amounts[unit as usize].list;
                    if list.is_empty() || list.len() > 6 {
                        continue;
                    }
                    let mut recipes: HashMap<u32, Vec<usize>> = HashMap::new();
                    for item in &items {
                        for taken in item.units.iter().filter(|taken| taken.0 == unit) {
                            let place = list.binary_search(&taken.1).unwrap();
                            recipes.entry(item.recipe.0).or_default().push(place);
                        }
                    }
                    let mut recipes: Vec<Vec<usize>> = recipes.into_values().collect();
                    for places in &mut recipes {
                        places.sort_unstable();
                        places.dedup();
                    }
                    for most_users in 1..=4 {
                        let sets = choices(&recipes, most_users, repeats as usize);
                        for used in [0, list[0], 2 * list[list.len() - 1]] {
                            let shares = Shares::new(&gauge, &pool, unit, used, most_users as i64);
                            let mut slack = vec![i64::MAX; list.len()];
                            for set in &sets {
                                let sum: i64 = set.iter().map(|&place| list[place]).sum();
                                let (least, most) = (used + sum, pool.stretch(used + sum));
                                let floor = gauge.floor(unit, least, most);
                                let parts = set.iter().map(|&place| shares.by_amount[place].share);
                                let room = floor - shares.here - parts.sum::<i64>();
                                assert!(room >= 0, "unit {unit}, {used} used, {set:?}");
                                for &place in set {
                                    assert!(shares.by_amount[place].floor <= floor);
                                    let times = set.iter().filter(|&&other| other == place);
                                    let each = room / times.count() as i64;
                                    slack[place] = each.min(slack[place]);
                                }
                                tried += 1;
                            }
                            tight += slack.iter().filter(|&&slack| slack == 0).count();
                            raised += slack.len();
                        }
                    }
                }
            }
            assert!(tried > 10_000, "{tried} sets");
            assert!(tight * 100 > raised * 99, "{tight} of {raised}");
        }
    }
}
