//! The amounts that items take of a unit, their sums, and what shares of them are kept as.

use crate::engine::model::hash::Mixer;
use crate::engine::model::items::Item;
use crate::engine::model::pool::Pool;
use std::collections::HashMap;
use std::sync::{Arc, OnceLock, RwLock};

/// No such sum.
pub(in crate::engine) const NONE: u16 = u16::MAX;

/// Steps from sum to sum kept for a unit at most: memory, not exactness.
const MOST_STEPS: usize = 20_000;

/// The amounts that items take of a unit.
#[derive(Debug, Default)]
pub(in crate::engine) struct Amounts {
    /// Rising.
    pub(in crate::engine) list: Vec<i64>,
    /// Items that take each, and how often it may stand in a week.
    pub(in crate::engine) items: Vec<i64>,
    pub(in crate::engine) times: Vec<usize>,
    /// Their places, those of most items first.
    pub(in crate::engine) order: Vec<usize>,
    pub(in crate::engine) sums: OnceLock<Sums>,
}

impl Amounts {
    /// Amounts of all units.
    pub(in crate::engine) fn all(pool: &Pool, items: &[Item]) -> Vec<Self> {
        let units = pool.larder.foods.len() + pool.larder.components.len();
        let repeats = pool.larder.wishes.repeats.max(1) as usize;
        let mut taken: Vec<Vec<(i64, u32)>> = vec![Vec::new(); units];
        for item in items {
            for &(unit, amount) in &item.units {
                taken[unit as usize].push((amount, item.recipe.0));
            }
        }
        let all = taken.into_iter().map(|mut taken| {
            taken.sort_unstable();
            let mut amounts = Self::default();
            for users in taken.chunk_by(|one, other| one.0 == other.0) {
                amounts.list.push(users[0].0);
                amounts.items.push(users.len() as i64);
                let recipes = users.chunk_by(|one, other| one.1 == other.1).count();
                amounts.times.push(recipes * repeats);
            }
            amounts.order = (0..amounts.list.len()).collect();
            let items = &amounts.items;
            amounts.order.sort_by_key(|&at| -items[at]);
            amounts
        });
        all.collect()
    }

    /// Sums of up to so many of them, if not too many.
    pub(in crate::engine) fn sums(&self, most_users: usize, last: usize) -> Option<&Sums> {
        let sums = self.sums.get_or_init(|| Sums::new(self, last));
        (most_users <= sums.most_users()).then_some(sums)
    }
}

/// All sums of amounts, by how many they are of.
#[derive(Debug)]
pub(in crate::engine) struct Sums {
    pub(in crate::engine) list: Vec<i64>,
    /// First sum of so many amounts, and the end.
    pub(in crate::engine) start: Vec<usize>,
    /// By sum and amount: the sum with one more.
    pub(in crate::engine) next: Vec<u16>,
}

impl Sums {
    /// All sums of up to `last` amounts, or of fewer if there are too many.
    fn new(amounts: &Amounts, last: usize) -> Self {
        let width = amounts.list.len();
        let mut all: Vec<Vec<i64>> = vec![Vec::new(); last + 1];
        all[0].push(0);
        for (&amount, &times) in amounts.list.iter().zip(&amounts.times) {
            for count in (1..all.len()).rev() {
                for n in 1..=times.min(count) {
                    let (before, now) = all.split_at_mut(count);
                    let more = before[count - n].iter().map(|sum| sum + n as i64 * amount);
                    now[0].extend(more);
                }
                all[count].sort_unstable();
                all[count].dedup();
            }
            let mut steps = 0;
            let few = all.iter().take_while(|sums| {
                steps += sums.len() * width;
                steps <= MOST_STEPS
            });
            let few = few.count().max(1);
            all.truncate(few);
        }
        let mut start = vec![0];
        for sums in &all {
            start.push(start[start.len() - 1] + sums.len());
        }
        let mut next = vec![NONE; width * start[start.len() - 1]];
        for (most_users, pair) in all.windows(2).enumerate() {
            for (at, sum) in pair[0].iter().enumerate() {
                for (place, amount) in amounts.list.iter().enumerate() {
                    if let Ok(to) = pair[1].binary_search(&(sum + amount)) {
                        let from = start[most_users] + at;
                        next[from * width + place] = (start[most_users + 1] + to) as u16;
                    }
                }
            }
        }
        Self {
            list: all.concat(),
            start,
            next,
        }
    }

    /// The most amounts in a sum.
    fn most_users(&self) -> usize {
        self.start.len() - 2
    }
}

/// Shares of a unit of which the week uses so much, for so many lunches that may use more.
#[derive(Debug)]
pub(in crate::engine) struct Shares {
    /// Floor of the unit, whatever they add.
    pub(in crate::engine) here: i64,
    /// By amount, rising.
    pub(in crate::engine) by_amount: Box<[Share]>,
}

/// What comes of a lunch that takes one of the amounts.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::engine) struct Share {
    /// Floor of the unit with that lunch, whatever the others add.
    pub(in crate::engine) floor: i64,
    /// What the lunch has to bear of it, beyond what is here.
    pub(in crate::engine) share: i64,
}

/// Shares worked out, by unit, what is used of it, and most users.
pub(in crate::engine) type Table = HashMap<(u32, i64, i64), Arc<Shares>, Mixer>;

/// Shares that any thread has worked out for a gauge.
#[derive(Debug, Default)]
pub(in crate::engine) struct All(pub(in crate::engine) RwLock<Table>);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use std::collections::BTreeSet;

    /// Every sum of so many amounts, taken one by one, is there, and no other; and from each the next ones.
    #[test]
    fn sums_are_those_of_all_choices_of_amounts() {
        let mut next = numbers(1);
        let (mut whole, mut few) = (0, 0);
        for turn in 0..300 {
            let wide = turn % 10 == 0;
            let mut list: Vec<i64> = (0..=next(if wide { 60 } else { 4 }))
                .map(|_| 1 + next(if wide { 100_000 } else { 12 }) as i64)
                .collect();
            list.sort_unstable();
            list.dedup();
            let amounts = Amounts {
                times: list.iter().map(|_| 1 + next(3)).collect(),
                list,
                ..Amounts::default()
            };
            let last = 1 + next(4);
            let sums = Sums::new(&amounts, last);
            // By how many amounts: sums of the first ones so far.
            let mut all: Vec<BTreeSet<i64>> = vec![BTreeSet::new(); last + 1];
            all[0].insert(0);
            for (&amount, &times) in amounts.list.iter().zip(&amounts.times) {
                let before = all.clone();
                for (count, sums) in before.iter().enumerate() {
                    for n in 1..=times.min(last - count) {
                        all[count + n].extend(sums.iter().map(|sum| sum + n as i64 * amount));
                    }
                }
            }
            assert!(sums.most_users() <= last);
            *(if sums.most_users() == last {
                &mut whole
            } else {
                &mut few
            }) += 1;
            for count in 0..=sums.most_users() {
                let places = sums.start[count]..sums.start[count + 1];
                let plain: Vec<i64> = all[count].iter().copied().collect();
                assert_eq!(sums.list[places.clone()], plain, "{amounts:?}");
                for from in places.filter(|_| count < sums.most_users()) {
                    for (place, amount) in amounts.list.iter().enumerate() {
                        let to = sums.next[from * amounts.list.len() + place];
                        let sum = sums.list[from] + amount;
                        let to = (to != NONE).then(|| sums.list[to as usize]);
                        assert_eq!(to, all[count + 1].contains(&sum).then_some(sum));
                    }
                }
            }
        }
        assert!(whole > 200 && few > 5, "{whole} {few}");
    }
}
