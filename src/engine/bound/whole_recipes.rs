//! Which candidates of a node can be in a week better than the incumbent at all, whatever
//! else is chosen: each is held against whole recipes, not against every item of them.
//!
//! A candidate costs what it adds by itself, and each lunch beside it at least the least
//! share one level down that any item of its recipe has, less what that recipe saves on the
//! units which the candidate pays for.
//!
//! Proof. As in [`Worker::ahead`], whatever the order in which lunches are taken; what is to
//! be shown is that no item of a recipe has a smaller share beside the candidate than is
//! said. Let n be the least share of the recipe's items, and e = s - n what an item with
//! share s has beyond it. Each unit u has a discount d(u), no more than the least e of the
//! items that use it, and so that the discounts of no item's units add up to more than its e.
//! Beside the candidate an item's share is n + e less its parts of the units U that both use;
//! that is n less the sum over U of part(u) - d(u), at least; the saving of u is the largest
//! part less the discount.
//!
//! Shares are kept in sixteen bits, whole ones rounded down and savings up, as in
//! [`crate::engine::bound::prefilter`].

use crate::engine::bound::prefilter::{BLOCK, Sieve};
use crate::engine::bound::smallest::{Least, Room};
use crate::engine::model::items::{Pairs, SET, UnitSet};
use crate::engine::tree::search::Stage;
use crate::engine::tree::worker::{Opened, Worker};
use std::ops::RangeInclusive;

/// Candidates from which on they are held against recipes, and lunches to choose.
const LEAST_ITEMS: usize = 256;
const LEAST_MISSING: usize = 3;

/// So many candidates are held against whole recipes by the number of foods, where that has a
/// ceiling and is no part of the objective: fewer are soon told apart, and with more it takes
/// too long for what it leaves.
const BY_NUMBER: RangeInclusive<usize> = 20..=400;

/// Recipes between two questions whether to stop.
const ASKED: usize = 32;

/// Bounds are worked out again where one candidate in so many is dropped.
const FEW: usize = 4;

/// No lane.
const NONE: u32 = u32::MAX;

/// A node's recipes, a lane each.
#[derive(Default)]
pub(in crate::engine) struct Members {
    recipes: Vec<u32>,
    /// Rank of the first item of each, and of the end.
    start: Vec<usize>,
    /// Lane by recipe.
    lane: Vec<u32>,
    /// Shares one level down by rank, and the least of each lane.
    sums: Vec<i64>,
    least: Vec<i64>,
    /// Lanes by class.
    classes: Vec<Vec<u32>>,
    /// Least shares one level down, by lane, and what each lane saves on each unit.
    sieve: Sieve,
    /// Units of a recipe, and by unit its place among them, valid by the stamp.
    units: Vec<Unit>,
    place: Vec<(u64, u32)>,
    stamp: u64,
    /// Units of all items of a recipe, a bit each.
    common: Vec<UnitSet>,
    /// Lanes that may not stand beside a recipe, and those that may, a bit each.
    barred: Vec<u32>,
    allowed: Vec<u64>,
}

/// A unit of a recipe.
#[derive(Clone, Copy)]
struct Unit {
    unit: u32,
    /// Largest part.
    part: i64,
    discount: i64,
}

impl Members {
    /// Books for so many units, recipes and classes.
    pub(in crate::engine) fn new(units: usize, recipes: usize, classes: usize) -> Self {
        Self {
            lane: vec![NONE; recipes],
            classes: vec![Vec::new(); classes],
            sieve: Sieve::new(units),
            place: vec![(0, 0); units],
            ..Self::default()
        }
    }

    /// Works out what each lane saves on each unit. `parts` holds a unit's part of a share by
    /// pair.
    fn set_savings(&mut self, pairs: &Pairs, items: &[u32], parts: &[i64]) {
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
                            unit,
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
                    let part = self.sieve.part(saving);
                    self.sieve.add_part(unit.unit as usize, part);
                }
            }
            self.sieve.add(self.least[lane]);
        }
        self.sieve.seal();
    }

    /// Tells which lanes may stand beside a recipe's.
    fn bar(&mut self, lane: usize, recipe: u32, stage: &Stage, room: &Room, repeats: i64) {
        self.barred.clear();
        if repeats == 1 {
            self.barred.push(lane as u32);
        }
        let alike = stage.pool.alike(recipe).iter();
        let lanes = alike.map(|&other| self.lane[other as usize]);
        self.barred.extend(lanes.filter(|&lane| lane != NONE));
        for class in stage.classes.of(recipe) {
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
fn within(
    sieve: &Sieve,
    allowed: &[u64],
    recipes: &[u32],
    mut least: Least,
    (most, count): (i64, usize),
) -> bool {
    let others = count as i64 - 1;
    let Some(lowest) = sieve.least(allowed) else {
        return false;
    };
    if lowest.saturating_mul(others + 1) > most {
        return false;
    }
    let mut held = sieve.hold(most.saturating_sub(lowest.saturating_mul(others)));
    for (block, &allowed) in allowed.iter().enumerate() {
        let mut lanes = allowed & sieve.within(block, held);
        while lanes != 0 {
            let lane = block * BLOCK + lanes.trailing_zeros() as usize;
            lanes &= lanes - 1;
            let share = sieve.lowest(lane);
            if share < least.worst {
                least.add(share, recipes[lane]);
                held = held.min(sieve.hold(least.worst.saturating_sub(1)));
            }
        }
    }
    least.sums().is_some_and(|(sum, _)| sum <= most)
}

impl Worker<'_, '_> {
    /// Works out bounds and drops candidates that can be in no better week, until little
    /// changes. None: nothing below this node can matter.
    pub(in crate::engine) fn open_members(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut opened = self.bounds(chosen, candidates, missing)?;
        let pays = missing >= LEAST_MISSING && self.bar() < i64::MAX;
        while pays && opened.items.len() >= LEAST_ITEMS {
            let before = opened.items.len();
            let kept = self.members(chosen, (&opened.items, opened.base, 0), missing, (0, 1));
            if kept.is_empty() {
                return None;
            }
            if worth_repeating(before, kept.len()) {
                opened = self.bounds(chosen, &kept, missing)?;
                continue;
            }
            let keeps = |item: &u32| kept.binary_search(item).is_ok();
            opened.order.retain(|(_, item)| keeps(item));
            opened.items = kept;
            break;
        }
        opened.order.sort_unstable();
        Some(opened)
    }

    /// Whether so many candidates are held against whole recipes in a dimension with a ceiling.
    pub(in crate::engine) fn held_by_number(
        &self,
        dimension: usize,
        items: usize,
        missing: usize,
    ) -> bool {
        let counts = |dimension: usize| self.stage.gauges[dimension].weights.food > 0;
        !counts(0) && counts(dimension) && missing >= LEAST_MISSING && BY_NUMBER.contains(&items)
    }

    /// Those of a part of the recipes at the root that can be in a week better than the
    /// incumbent.
    pub(in crate::engine) fn root_members(
        &mut self,
        roots: &[u32],
        part: (usize, usize),
    ) -> Vec<u32> {
        let missing = self.stage.pool.last as usize;
        self.set_used(&[]);
        match self.bounds(&[], roots, missing) {
            Some(opened) => self.members(&[], (&opened.items, opened.base, 0), missing, part),
            None => Vec::new(),
        }
    }

    /// The candidates, in item order, that can be in a week better than the incumbent, or
    /// within the ceiling of the dimension, with the base there. Looks at one in so many
    /// recipes only. Shares are those of the node in that dimension.
    pub(in crate::engine) fn members(
        &mut self,
        chosen: &[u32],
        (items, base, dimension): (&[u32], i64, usize),
        missing: usize,
        (part, parts): (usize, usize),
    ) -> Vec<u32> {
        self.work += items.len() as u64;
        let mut books = std::mem::take(&mut self.members);
        let stage = self.stage;
        let pairs = stage.pairs;
        let fixed = &stage.fixed[dimension];
        let (more, repeats) = (missing - 1, self.repeats());
        self.lay_lanes(&mut books, items, dimension);
        let low = items.iter().map(|&item| fixed[item as usize]).min();
        let top = books.least.iter().copied().max().unwrap_or(0);
        // What a candidate and the lunches beside it may cost.
        let most = self.top(dimension).saturating_sub(base);
        books.sieve.clear(low.unwrap_or(0), top.min(most));
        for &unit in &self.touched {
            books.sieve.clear_unit(unit as usize);
        }
        books.set_savings(pairs, items, &self.pair_next);
        let chosen = chosen.iter().map(|&item| pairs.recipe[item as usize]);
        let room = stage.classes.room(chosen);
        let mut after = room.clone();
        let unit_of = |&pair: &u32| pairs.list[pair as usize].0 as usize;
        let mut kept = Vec::new();
        let mut stopped = false;
        for (done, g) in (part..books.recipes.len()).step_by(parts).enumerate() {
            if parts > 1 {
                // A long way at the root of many recipes.
                stopped |= stage.halted(done % ASKED == ASKED - 1);
            }
            if stopped {
                kept.extend_from_slice(&items[books.start[g]..books.start[g + 1]]);
                continue;
            }
            let recipe = books.recipes[g];
            after.copy(&room);
            stage.classes.take(&mut after, recipe);
            books.bar(g, recipe, stage, &after, repeats);
            let ranks = books.start[g]..books.start[g + 1];
            // What all of its items use first.
            books.common.clear();
            books.common.resize(pairs.words, UnitSet::MAX);
            for &index in &items[ranks.clone()] {
                for (common, units) in books.common.iter_mut().zip(pairs.mask(index)) {
                    *common &= units;
                }
            }
            let common = &books.common;
            let is_common = |unit: &usize| {
                let bit = pairs.bit[*unit] as usize;
                common[bit / SET] >> (bit % SET) & 1 != 0
            };
            let units = pairs.of(items[ranks.start]).iter().map(unit_of);
            let barred = books.barred.iter().map(|&lane| lane as usize);
            books.sieve.lay_first(units.filter(is_common), barred);
            for &index in &items[ranks] {
                let by_pair = pairs.of(index).iter();
                let own: i64 = by_pair.map(|&pair| self.pair_more[pair as usize]).sum();
                let most = most.saturating_sub(fixed[index as usize] + own);
                let units = pairs.of(index).iter().map(unit_of);
                books
                    .sieve
                    .lay_further(units.filter(|unit| !is_common(unit)));
                let least = Least::new(&stage.classes, &after, more, repeats);
                if within(
                    &books.sieve,
                    &books.allowed,
                    &books.recipes,
                    least,
                    (most, more),
                ) {
                    kept.push(index);
                }
            }
        }
        self.members = books;
        kept
    }

    /// Groups a node's candidates by recipe, with their shares one level down.
    fn lay_lanes(&self, books: &mut Members, items: &[u32], dimension: usize) {
        let stage = self.stage;
        let pairs = stage.pairs;
        for &recipe in &books.recipes {
            books.lane[recipe as usize] = NONE;
        }
        for lanes in &mut books.classes {
            lanes.clear();
        }
        books.recipes.clear();
        books.start.clear();
        books.sums.clear();
        books.least.clear();
        for (rank, &index) in items.iter().enumerate() {
            let recipe = pairs.recipe[index as usize];
            if books.recipes.last() != Some(&recipe) {
                let lane = books.recipes.len() as u32;
                books.lane[recipe as usize] = lane;
                for class in stage.classes.of(recipe) {
                    books.classes[class].push(lane);
                }
                books.recipes.push(recipe);
                books.start.push(rank);
                books.least.push(i64::MAX);
            }
            let by_pair = pairs.of(index).iter();
            let parts: i64 = by_pair.map(|&pair| self.pair_next[pair as usize]).sum();
            let sum = stage.fixed[dimension][index as usize] + parts;
            books.sums.push(sum);
            if let Some(least) = books.least.last_mut() {
                *least = sum.min(*least);
            }
        }
        books.start.push(items.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{alone, kitchen, numbers};
    use crate::engine::{Given, Outcome, Ready, first_ceilings, make_stage, solve};

    /// Whoever is dropped is beaten by exact shares too, item by item.
    #[test]
    fn drops_none_that_exact_shares_leave() {
        let mut next = numbers(1);
        let (mut dropped, mut left) = (0, 0);
        for name in ["boatyard", "stored/sameness", "stored/repeats"] {
            let larder = kitchen(name);
            let limits = alone();
            let Ok((Outcome::Best(best), _)) = solve(&larder, &limits) else {
                panic!("{name}: a best week");
            };
            let ready = Ready::new(&larder, &|| false);
            let (items, pairs) = (&ready.items, ready.laid().pairs);
            for tenths in [8, 10, 13] {
                let given = Given {
                    objective_most_nano: Some(best.tally.objective_nano / 10 * tenths),
                    ..Given::default()
                };
                let ceilings = first_ceilings(&larder);
                let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
                let mut worker = Worker::new(&stage);
                for _ in 0..40 {
                    let mut chosen: Vec<u32> = Vec::new();
                    for _ in 0..next(3) {
                        let item = next(items.len()) as u32;
                        if worker.fits(&chosen, item) {
                            chosen.push(item);
                        }
                    }
                    let missing = ready.pool.last as usize - chosen.len();
                    worker.set_used(&chosen);
                    let candidates: Vec<u32> = (0..items.len() as u32)
                        .filter(|&item| next(3) > 0 && worker.fits(&chosen, item))
                        .collect();
                    let Some(opened) = worker.bounds(&chosen, &candidates, missing) else {
                        continue;
                    };
                    let kept =
                        worker.members(&chosen, (&opened.items, opened.base, 0), missing, (0, 1));
                    left += kept.len();
                    let recipes = chosen.iter().map(|&item| pairs.recipe[item as usize]);
                    let room = stage.classes.room(recipes);
                    for &item in &opened.items {
                        if kept.binary_search(&item).is_ok() {
                            continue;
                        }
                        dropped += 1;
                        let mut after = room.clone();
                        stage.classes.take(&mut after, pairs.recipe[item as usize]);
                        let sum = |item: u32, part: &dyn Fn(usize) -> i64| -> i64 {
                            let parts = pairs.of(item).iter().map(|&pair| part(pair as usize));
                            stage.fixed[0][item as usize] + parts.sum::<i64>()
                        };
                        let own = sum(item, &|pair| worker.pair_more[pair]);
                        let repeats = worker.repeats();
                        let mut least = Least::new(&stage.classes, &after, missing - 1, repeats);
                        let with: Vec<u32> = chosen.iter().copied().chain([item]).collect();
                        for &other in &opened.items {
                            if worker.fits(&with, other) {
                                let share = sum(other, &|pair| {
                                    let paid = pairs.uses(item, pairs.list[pair].0);
                                    if paid { 0 } else { worker.pair_next[pair] }
                                });
                                least.add(share, pairs.recipe[other as usize]);
                            }
                        }
                        let bound = least.sums().map(|(sum, _)| opened.base + own + sum);
                        assert!(
                            bound.is_none_or(|bound| bound > worker.bar()),
                            "{name}: {item} beside {chosen:?}"
                        );
                    }
                }
            }
        }
        assert!(dropped > 500 && left > 1_000, "{dropped} {left}");
    }
}
