//! How many foods, or families of foods, lunches make the week buy for certain, as bits against the cap.
//!
//! Proof. A lunch that takes a food of which nothing usable is on hand, be it a milligram at the fewest eaters, makes the week
//! buy it: on every day that lunch takes no less. So each week below a node buys the foods of all that is chosen, each
//! counted once, or their families, a food without one by itself. The cap is on what is bought; so neither is what staples
//! and stock give counted, nor components, whose foods are among the lunch's own. Counts are whole, nothing is
//! rounded. A node where they pass the cap has no week, and a candidate with which they would is in none.
//!
//! Fast form: [`MoreForced`] counts, for 64 candidates at once, the numbers that each needs beyond what is held, takes
//! one off where the lunch looked ahead from needs it too, and compares with the room left. Its plain definition is
//! [`Forced::fits`], one candidate at a time. Where the room is no smaller than the most that any item needs (twice that,
//! before the lunch is taken), nothing needs to be counted. The caller has seen that the lunch itself fits.

use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::items::Item;
use crate::engine::model::pool::Pool;
use crate::engine::model::score::Ceilings;

/// What items make the week buy for certain, a bit for each food (or family), and how many
/// may be bought.
pub(in crate::engine) struct Cover {
    pub(in crate::engine) words: usize,
    bits: Vec<u64>,
    limit: i64,
    /// Most bits of an item.
    most: u32,
}

/// What some lunches make the week buy for certain, by cover, and how much more it may buy.
#[derive(Default)]
pub(in crate::engine) struct Forced {
    have: Vec<u64>,
    room: Vec<i64>,
}

impl Forced {
    /// Nothing bought.
    pub(in crate::engine) fn clear(&mut self, covers: &[Cover]) {
        self.have.clear();
        self.room.clear();
        for cover in covers {
            self.have.resize(self.have.len() + cover.words, 0);
            self.room.push(cover.limit);
        }
    }

    /// What `other` holds.
    pub(in crate::engine) fn copy(&mut self, other: &Self) {
        self.have.clone_from(&other.have);
        self.room.clone_from(&other.room);
    }

    /// Adds what an item needs; returns whether all caps still hold.
    pub(in crate::engine) fn add(&mut self, covers: &[Cover], item: u32) -> bool {
        let mut from = 0;
        let mut within = true;
        for (cover, room) in covers.iter().zip(&mut self.room) {
            let have = &mut self.have[from..from + cover.words];
            cover.add(have, item);
            let count: u32 = have.iter().map(|word| word.count_ones()).sum();
            *room = cover.limit - i64::from(count);
            within &= *room >= 0;
            from += cover.words;
        }
        within
    }
}

impl Forced {
    /// Whether an item may still be added.
    pub(in crate::engine) fn fits(&self, covers: &[Cover], item: u32) -> bool {
        let mut from = 0;
        covers.iter().zip(&self.room).all(|(cover, &room)| {
            let have = &self.have[from..from + cover.words];
            from += cover.words;
            if room >= i64::from(cover.most) {
                return true;
            }
            let needs = have.iter().zip(cover.of(item));
            let more: u32 = needs.map(|(have, need)| (need & !have).count_ones()).sum();
            i64::from(more) <= room
        })
    }
}

/// How many numbers a node's candidates need beyond what its lunches do, by cover: counts in
/// binary, a word of candidates for each digit, so that 64 of them are counted at once.
#[derive(Default)]
pub(in crate::engine) struct MoreForced {
    /// Words of a set of candidates.
    words: usize,
    covers: Vec<Need>,
}

#[derive(Default)]
struct Need {
    /// Digits of a count; 0 where the cap cannot bind whatever is chosen next.
    digits: usize,
    /// Digits of all words, word after word.
    counts: Vec<u64>,
    /// Candidates that need a number, by number.
    users: Vec<u64>,
}

/// Most digits of a count.
const DIGITS: usize = u32::BITS as usize;

impl MoreForced {
    /// Starts a node of candidates whose lunches hold `held`.
    pub(in crate::engine) fn start(&mut self, covers: &[Cover], held: &Forced, items: &[u32]) {
        self.words = items.len().div_ceil(64);
        self.covers.resize_with(covers.len(), Need::default);
        let mut from = 0;
        for ((cover, need), &room) in covers.iter().zip(&mut self.covers).zip(&held.room) {
            let have = &held.have[from..from + cover.words];
            from += cover.words;
            need.digits = 0;
            if room >= 2 * i64::from(cover.most) {
                continue;
            }
            need.digits = (u32::BITS - cover.most.leading_zeros()) as usize;
            need.counts.clear();
            need.counts.resize(self.words * need.digits, 0);
            need.users.clear();
            need.users.resize(self.words * cover.words * 64, 0);
            for (rank, &item) in items.iter().enumerate() {
                let (word, bit) = (rank / 64, rank % 64);
                let mut count = 0u32;
                for (at, (needs, have)) in cover.of(item).iter().zip(have).enumerate() {
                    let mut more = needs & !have;
                    count += more.count_ones();
                    while more != 0 {
                        let number = at * 64 + more.trailing_zeros() as usize;
                        need.users[number * self.words + word] |= 1 << bit;
                        more &= more - 1;
                    }
                }
                for digit in 0..need.digits {
                    need.counts[word * need.digits + digit] |= u64::from(count >> digit & 1) << bit;
                }
            }
        }
    }

    /// Takes out of `allowed` the candidates that do not fit beside `item`: `before` is held
    /// without it, `after` with it.
    pub(in crate::engine) fn limit(
        &self,
        covers: &[Cover],
        (before, after): (&Forced, &Forced),
        item: u32,
        allowed: &mut [u64],
    ) {
        let mut from = 0;
        for ((cover, need), &room) in covers.iter().zip(&self.covers).zip(&after.room) {
            let have = &before.have[from..from + cover.words];
            from += cover.words;
            if need.digits == 0 || room >= i64::from(cover.most) {
                continue;
            }
            for (word, allowed) in allowed.iter_mut().enumerate() {
                if *allowed == 0 {
                    continue;
                }
                let mut counts = [0u64; DIGITS];
                let counts = &mut counts[..need.digits];
                counts.copy_from_slice(&need.counts[word * need.digits..][..need.digits]);
                for (at, (needs, have)) in cover.of(item).iter().zip(have).enumerate() {
                    let mut more = needs & !have;
                    while more != 0 {
                        let number = at * 64 + more.trailing_zeros() as usize;
                        more &= more - 1;
                        // One less where it is needed: it is held now.
                        let mut less = need.users[number * self.words + word];
                        for digit in counts.iter_mut() {
                            let was = *digit;
                            *digit ^= less;
                            less &= !was;
                        }
                    }
                }
                let (mut above, mut equal) = (0, u64::MAX);
                for (at, digit) in counts.iter().enumerate().rev() {
                    if room >> at & 1 == 0 {
                        above |= equal & digit;
                        equal &= !digit;
                    } else {
                        equal &= digit;
                    }
                }
                *allowed &= !above;
            }
        }
    }
}

impl Cover {
    /// Covers for the ceilings on counted foods and on families.
    pub(in crate::engine) fn all(pool: &Pool, items: &[Item], ceilings: &Ceilings) -> Vec<Self> {
        let larder = pool.larder;
        let foods = larder.foods.len();
        let by_food = |food: usize| food;
        let by_family = |food: usize| {
            let family = larder.foods[food].family;
            family.map_or(food, |family| foods + family.0 as usize)
        };
        let mut covers = Vec::new();
        let mut add = |ceiling: Ceiling, of: &dyn Fn(usize) -> usize| {
            let Some(limit) = ceiling.most() else { return };
            // Numbers in use only, packed.
            let certain = |unit: u32| {
                let model = pool.foods.get(unit as usize).and_then(Option::as_ref);
                model.is_some_and(|model| model.on_hand == 0)
            };
            let units = || items.iter().flat_map(|item| item.units.iter().map(|u| u.0));
            let mut used: Vec<usize> = units()
                .filter(|&unit| certain(unit))
                .map(|unit| of(unit as usize))
                .collect();
            used.sort_unstable();
            used.dedup();
            let words = used.len().div_ceil(64).max(1);
            let mut bits = vec![0u64; words * items.len()];
            for (at, item) in items.iter().enumerate() {
                for &(unit, _) in &item.units {
                    if certain(unit) {
                        let bit = used.binary_search(&of(unit as usize)).expect("listed");
                        bits[at * words + bit / 64] |= 1 << (bit % 64);
                    }
                }
            }
            let counts = bits.chunks_exact(words);
            let most = counts.map(|bits| bits.iter().map(|word| word.count_ones()).sum());
            let most = most.max().unwrap_or(0);
            covers.push(Self {
                words,
                bits,
                limit,
                most,
            });
        };
        add(ceilings.foods, &by_food);
        add(ceilings.families, &by_family);
        covers
    }

    pub(in crate::engine) fn of(&self, item: u32) -> &[u64] {
        let from = item as usize * self.words;
        &self.bits[from..from + self.words]
    }

    /// Adds what an item needs to `have`.
    pub(in crate::engine) fn add(&self, have: &mut [u64], item: u32) {
        for (have, more) in have.iter_mut().zip(self.of(item)) {
            *have |= more;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::items::all_items;
    use crate::engine::model::samples::{kitchen, numbers};
    use std::collections::BTreeSet;

    /// What some lunches make a week buy, food by food: those of which nothing is on hand, and of these one a family.
    fn bought(pool: &Pool, lunches: &[&Item]) -> (usize, usize) {
        let larder = pool.larder;
        let units = lunches.iter().flat_map(|item| item.units.iter());
        let units = units.map(|&(unit, _)| unit as usize);
        let bought = units.filter(|&unit| {
            unit < larder.foods.len()
                && !larder.foods[unit].staple
                && pool.foods[unit]
                    .as_ref()
                    .is_some_and(|food| food.on_hand == 0)
        });
        let foods: BTreeSet<usize> = bought.collect();
        let of = |&food: &usize| match larder.foods[food].family {
            Some(family) => (1, family.0 as usize),
            None => (0, food),
        };
        (
            foods.len(),
            foods.iter().map(of).collect::<BTreeSet<_>>().len(),
        )
    }

    /// 64 candidates at once against one at a time, and both against the foods of all lunches together.
    #[test]
    fn limits_to_what_fits() {
        let mut next = numbers(1);
        let larder = kitchen("boatyard");
        let pool = Pool::new(&larder);
        let items = all_items(&pool, &|| false).list;
        let mut needs = MoreForced::default();
        let (mut kept, mut dropped) = (0, 0);
        for _ in 0..300 {
            let ceilings = Ceilings {
                foods: Ceiling::at(4 + next(14) as i64),
                families: Ceiling::at(3 + next(12) as i64),
                ..Ceilings::default()
            };
            let covers = Cover::all(&pool, &items, &ceilings);
            let mut before = Forced::default();
            before.clear(&covers);
            let chosen: Vec<u32> = (0..next(3)).map(|_| next(items.len()) as u32).collect();
            for &item in &chosen {
                before.add(&covers, item);
            }
            let buys = |lunches: &[u32]| {
                let lunches: Vec<&Item> = lunches.iter().map(|&at| &items[at as usize]).collect();
                let (foods, families) = bought(&pool, &lunches);
                let within = |ceiling: Ceiling, count: usize| {
                    ceiling.most().is_none_or(|most| count as i64 <= most)
                };
                within(ceilings.foods, foods) && within(ceilings.families, families)
            };
            let share = 1 + next(10);
            let candidates: Vec<u32> = (0..items.len() as u32)
                .filter(|_| next(10) < share)
                .collect();
            needs.start(&covers, &before, &candidates);
            for _ in 0..5 {
                let item = next(items.len()) as u32;
                let mut after = Forced::default();
                after.copy(&before);
                let with = [chosen.as_slice(), &[item]].concat();
                let holds = after.add(&covers, item);
                assert_eq!(holds, buys(&with), "{with:?}");
                if !holds {
                    continue;
                }
                let mut allowed = vec![u64::MAX; candidates.len().div_ceil(64)];
                needs.limit(&covers, (&before, &after), item, &mut allowed);
                for (rank, &other) in candidates.iter().enumerate() {
                    let fits = allowed[rank / 64] >> (rank % 64) & 1 != 0;
                    assert_eq!(fits, after.fits(&covers, other), "{other} beside {item}");
                    assert_eq!(fits, buys(&[with.as_slice(), &[other]].concat()));
                    *(if fits { &mut kept } else { &mut dropped }) += 1;
                }
            }
        }
        assert!(kept > 5_000 && dropped > 5_000, "{kept} {dropped}");
    }
}
