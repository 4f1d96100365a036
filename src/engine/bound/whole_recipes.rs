//! Which candidates of a node can be in a week better than the incumbent at all, whatever
//! else is chosen: each is held against whole recipes, not against every item of them.
//!
//! A candidate costs what it adds by itself, and each lunch beside it at least the least
//! share one level down that any item of its recipe has, less what that recipe saves on the
//! units which the candidate pays for.
//!
//! Proof. As in [`crate::engine::tree::probing::Ahead::look`], whatever the order in which lunches are taken; what is to
//! be shown is that no item of a recipe has a smaller share beside the candidate than is
//! said. Let n be the least share of the recipe's items, and e = s - n what an item with
//! share s has beyond it. Each unit u has a discount d(u), no more than the least e of the
//! items that use it, and so that the discounts of no item's units add up to more than its e.
//! Beside the candidate an item's share is n + e less its parts of the units U that both use;
//! that is n less the sum over U of part(u) - d(u), at least; the saving of u is the largest
//! part less the discount.
//!
//! What is dropped is dropped by the node's base, what the candidate adds, and the smallest of these: 1e-9 minor units, or the
//! unit of a sum with a ceiling. Discounts are rounded down, which makes savings larger and shares smaller. The plain
//! definition is the same sum with exact shares, item by item (the test in [`crate::engine::tree::by_recipe`]). The caller gives
//! candidates in item order with the figures of their node.
//!
//! Shares are kept in sixteen bits, whole ones rounded down and savings up, as in
//! [`crate::engine::bound::prefilter`].

use crate::engine::bound::prefilter::{BLOCK, Prefilter};
use crate::engine::bound::smallest::{Classes, Least, Room};
use crate::engine::model::items::{Pairs, UnitSet};
use crate::engine::model::pool::Pool;
use std::ops::RangeInclusive;

/// Candidates from which on they are held against recipes, and lunches to choose.
pub(in crate::engine) const LEAST_ITEMS: usize = 256;
pub(in crate::engine) const LEAST_MISSING: usize = 3;

/// So many candidates are held against whole recipes by the number of foods, where that has a
/// ceiling and is no part of the objective: fewer are soon told apart, and with more it takes
/// too long for what it leaves.
pub(in crate::engine) const BY_NUMBER: RangeInclusive<usize> = 20..=400;

/// Recipes between two questions whether to stop.
pub(in crate::engine) const ASKED: usize = 32;

/// Bounds are worked out again where one candidate in so many is dropped.
pub(in crate::engine) const FEW: usize = 4;

/// No lane.
const NONE: u32 = u32::MAX;

/// A node's recipes, a lane each.
#[derive(Default)]
pub(in crate::engine) struct WholeRecipes {
    pub(in crate::engine) recipes: Vec<u32>,
    /// Rank of the first item of each, and of the end.
    pub(in crate::engine) start: Vec<usize>,
    /// Lane by recipe.
    lane: Vec<u32>,
    /// Shares one level down by rank, and the least of each lane.
    sums: Vec<i64>,
    pub(in crate::engine) least: Vec<i64>,
    /// Lanes by class.
    classes: Vec<Vec<u32>>,
    /// Least shares one level down, by lane, and what each lane saves on each unit.
    pub(in crate::engine) prefilter: Prefilter,
    /// Units of a recipe, and by unit its place among them, valid by the stamp.
    units: Vec<Unit>,
    place: Vec<(u64, u32)>,
    stamp: u64,
    /// Units of all items of a recipe, a bit each.
    pub(in crate::engine) common: Vec<UnitSet>,
    /// Lanes that may not stand beside a recipe, and those that may, a bit each.
    pub(in crate::engine) barred: Vec<u32>,
    pub(in crate::engine) allowed: Vec<u64>,
}

/// A unit of a recipe.
#[derive(Clone, Copy)]
pub(in crate::engine) struct Unit {
    id: u32,
    /// Largest part.
    part: i64,
    discount: i64,
}

impl WholeRecipes {
    /// Books for so many units, recipes and classes.
    pub(in crate::engine) fn new(units: usize, recipes: usize, classes: usize) -> Self {
        Self {
            lane: vec![NONE; recipes],
            classes: vec![Vec::new(); classes],
            prefilter: Prefilter::new(units),
            place: vec![(0, 0); units],
            ..Self::default()
        }
    }

    /// Groups a node's candidates by recipe, with their shares one level down: what they cost in
    /// any case, and `next` by pair.
    pub(in crate::engine) fn lay_lanes(
        &mut self,
        (pairs, classes): (&Pairs, &Classes),
        items: &[u32],
        fixed: &[i64],
        next: &[i64],
    ) {
        for &recipe in &self.recipes {
            self.lane[recipe as usize] = NONE;
        }
        for lanes in &mut self.classes {
            lanes.clear();
        }
        self.recipes.clear();
        self.start.clear();
        self.sums.clear();
        self.least.clear();
        for (rank, &index) in items.iter().enumerate() {
            let recipe = pairs.recipe[index as usize];
            if self.recipes.last() != Some(&recipe) {
                let lane = self.recipes.len() as u32;
                self.lane[recipe as usize] = lane;
                for class in classes.of(recipe) {
                    self.classes[class].push(lane);
                }
                self.recipes.push(recipe);
                self.start.push(rank);
                self.least.push(i64::MAX);
            }
            let by_pair = pairs.of(index).iter();
            let parts: i64 = by_pair.map(|&pair| next[pair as usize]).sum();
            let sum = fixed[index as usize] + parts;
            self.sums.push(sum);
            if let Some(least) = self.least.last_mut() {
                *least = sum.min(*least);
            }
        }
        self.start.push(items.len());
    }

    /// Works out what each lane saves on each unit. `parts` holds a unit's part of a share by
    /// pair.
    pub(in crate::engine) fn set_savings(&mut self, pairs: &Pairs, items: &[u32], parts: &[i64]) {
        for lane in 0..self.recipes.len() {
            self.stamp += 1;
            self.units.clear();
            let ranks = self.start[lane]..self.start[lane + 1];
            for rank in ranks.clone() {
                let beyond = self.sums[rank] - self.least[lane];
                for &pair in pairs.of(items[rank]) {
                    let unit = pairs.list[pair as usize].0;
                    let part = parts[pair as usize];
                    let (stamp, place) = &mut self.place[unit as usize];
                    if *stamp == self.stamp {
                        let old = &mut self.units[*place as usize];
                        old.part = part.max(old.part);
                        old.discount = beyond.min(old.discount);
                    } else {
                        (*stamp, *place) = (self.stamp, self.units.len() as u32);
                        self.units.push(Unit {
                            id: unit,
                            part,
                            discount: beyond,
                        });
                    }
                }
            }
            for rank in ranks {
                let beyond = self.sums[rank] - self.least[lane];
                let places = pairs.of(items[rank]).iter().map(|&pair| {
                    let unit = pairs.list[pair as usize].0;
                    self.place[unit as usize].1 as usize
                });
                let all: i64 = places.clone().map(|at| self.units[at].discount).sum();
                if all > beyond {
                    for at in places {
                        let discount = &mut self.units[at].discount;
                        let part = i128::from(*discount) * i128::from(beyond) / i128::from(all);
                        *discount = part as i64;
                    }
                }
            }
            for unit in &self.units {
                let saving = unit.part - unit.discount;
                if saving > 0 {
                    let part = self.prefilter.part(saving);
                    self.prefilter.add_part(unit.id as usize, part);
                }
            }
            self.prefilter.add(self.least[lane]);
        }
        self.prefilter.seal();
    }

    /// Tells which lanes may stand beside a recipe's.
    pub(in crate::engine) fn bar(
        &mut self,
        (lane, recipe): (usize, u32),
        (pool, classes): (&Pool, &Classes),
        (room, repeats): (&Room, i64),
    ) {
        self.barred.clear();
        if repeats == 1 {
            self.barred.push(lane as u32);
        }
        let alike = pool.alike(recipe).iter();
        let lanes = alike.map(|&other| self.lane[other as usize]);
        self.barred.extend(lanes.filter(|&lane| lane != NONE));
        for class in classes.of(recipe) {
            if room.of(class) == 0 {
                self.barred.extend_from_slice(&self.classes[class]);
            }
        }
        let lanes = self.recipes.len();
        self.allowed.clear();
        self.allowed.resize(lanes.div_ceil(BLOCK), u64::MAX);
        if !lanes.is_multiple_of(BLOCK) {
            self.allowed[lanes / BLOCK] = u64::MAX >> (BLOCK - lanes % BLOCK);
        }
        for &lane in &self.barred {
            self.allowed[lane as usize / BLOCK] &= !(1 << (lane as usize % BLOCK));
        }
    }
}

/// Whether enough candidates were dropped to work bounds out again.
pub(in crate::engine) fn worth_repeating(before: usize, kept: usize) -> bool {
    (before - kept) * FEW > before
}

/// Whether the smallest shares of so many lanes allowed can add up to no more than `most`.
pub(in crate::engine) fn within(
    prefilter: &Prefilter,
    allowed: &[u64],
    recipes: &[u32],
    mut least: Least,
    most: i64,
) -> bool {
    let others = least.count() as i64 - 1;
    let Some(lowest) = prefilter.least(allowed) else {
        return false;
    };
    if lowest.saturating_mul(others + 1) > most {
        return false;
    }
    let mut held = prefilter.hold(most.saturating_sub(lowest.saturating_mul(others)));
    for (block, &allowed) in allowed.iter().enumerate() {
        let mut lanes = allowed & prefilter.within(block, held);
        while lanes != 0 {
            let lane = block * BLOCK + lanes.trailing_zeros() as usize;
            lanes &= lanes - 1;
            let share = prefilter.lowest(lane);
            if share < least.worst {
                least.add(share, recipes[lane]);
                held = held.min(prefilter.hold(least.worst.saturating_sub(1)));
            }
        }
    }
    least.sums().is_some_and(|(sum, _)| sum <= most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{kitchen, numbers};

    /// Lane by lane, for numbers of lanes on both sides of whole blocks.
    #[test]
    fn lanes_are_barred_as_one_by_one() {
        let mut next = numbers(1);
        let (mut barred, mut free) = (0, 0);
        for name in ["stored/sameness", "stored/cap-and-forms", "boatyard"] {
            let larder = kitchen(name);
            let pool = Pool::new(&larder);
            let classes = Classes::new(&larder, &pool.days);
            let recipes = larder.recipes.len();
            for lanes in [1, BLOCK - 1, BLOCK, BLOCK + 1, 2 * BLOCK, 2 * BLOCK + 2] {
                let mut whole = WholeRecipes::new(1, recipes, classes.count());
                whole.recipes = (0..lanes).map(|lane| (lane % recipes) as u32).collect();
                for lane in 0..lanes.min(recipes) {
                    whole.lane[lane] = lane as u32;
                    for class in classes.of(lane as u32) {
                        whole.classes[class].push(lane as u32);
                    }
                }
                for _ in 0..20 {
                    let chosen: Vec<u32> = (0..next(3)).map(|_| next(recipes) as u32).collect();
                    let recipe = next(lanes.min(recipes)) as u32;
                    let room = classes.room(chosen.into_iter().chain([recipe]));
                    let repeats = 1 + next(2) as i64;
                    let own = (recipe as usize, recipe);
                    whole.bar(own, (&pool, &classes), (&room, repeats));
                    assert_eq!(whole.allowed.len(), lanes.div_ceil(BLOCK));
                    for lane in 0..whole.allowed.len() * BLOCK {
                        let other = lane as u32;
                        let may = lane < lanes
                            && (lane >= recipes
                                || (other != recipe || repeats > 1)
                                    && !pool.alike(recipe).contains(&other)
                                    && classes
                                        .of(recipe)
                                        .filter(|&class| room.of(class) == 0)
                                        .all(|full| classes.of(other).all(|class| class != full)));
                        let bit = whole.allowed[lane / BLOCK] >> (lane % BLOCK) & 1 != 0;
                        assert_eq!(bit, may, "{name}: {lane} of {lanes} beside {recipe}");
                        *(if may { &mut free } else { &mut barred }) += 1;
                    }
                }
            }
        }
        assert!(barred > 5_000 && free > 5_000, "{barred} {free}");
    }

    /// The smallest shares of those allowed, sorted and added up.
    #[test]
    fn shares_are_within_as_sorted_ones_are() {
        let mut next = numbers(2);
        let larder = kitchen("boatyard").changed(|new| {
            new.wishes.per_form = None;
            new.wishes.per_protein = None;
        });
        let larder = larder.expect("a sound larder");
        let classes = Classes::new(&larder, &[]);
        let room = classes.room(std::iter::empty());
        let (mut inside, mut beyond) = (0, 0);
        for _ in 0..2_000 {
            let lanes = 1 + next(200);
            let low = next(2_000) as i64 - 1_000;
            let shares: Vec<i64> = (0..lanes).map(|_| low + next(20_000) as i64).collect();
            let mut prefilter = Prefilter::new(0);
            prefilter.clear(low, low + 30_000);
            for &share in &shares {
                prefilter.add(share);
            }
            prefilter.seal();
            prefilter.lay(std::iter::empty());
            let part = 1 + next(4);
            let mut allowed = vec![0u64; lanes.div_ceil(BLOCK)];
            let mut left: Vec<i64> = Vec::new();
            for (lane, &share) in shares.iter().enumerate() {
                if next(4) < part {
                    allowed[lane / BLOCK] |= 1 << (lane % BLOCK);
                    left.push(share);
                }
            }
            left.sort_unstable();
            let count = 1 + next(5);
            let least = left.get(..count).map(|least| least.iter().sum::<i64>());
            let most = least.unwrap_or(0) + next(200) as i64 - 100;
            let recipes: Vec<u32> = (0..lanes as u32).collect();
            let said = within(
                &prefilter,
                &allowed,
                &recipes,
                Least::new(&classes, &room, count, 1),
                most,
            );
            assert_eq!(said, least.is_some_and(|least| least <= most));
            *(if said { &mut inside } else { &mut beyond }) += 1;
        }
        assert!(inside > 500 && beyond > 500, "{inside} {beyond}");
    }
}
