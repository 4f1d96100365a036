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
//! [`super::sieve`].

use super::books::{Opened, Worker};
use super::items::{Pairs, SET, UnitSet};
use super::least::Least;

/// Candidates from which on they are held against recipes, and lunches to choose.
const LEAST_ITEMS: usize = 48;
const LEAST_MISSING: usize = 3;

/// Bounds are worked out again where one candidate in so many is dropped.
const FEW: usize = 8;

/// Largest number held: comparisons are signed.
const MOST: u16 = i16::MAX as u16;

/// No lane.
const NONE: u32 = u32::MAX;

/// A node's recipes, a lane each.
#[derive(Default)]
pub(super) struct Members {
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
    /// By unit: what each lane saves on it, and the units with any.
    savings: Vec<Vec<(u32, u16)>>,
    saved: Vec<u32>,
    /// Units of a recipe, and by unit its place among them, valid by the stamp.
    units: Vec<Unit>,
    place: Vec<(u32, u32)>,
    stamp: u32,
    /// Units of all items of a recipe, a bit each.
    common: Vec<UnitSet>,
    /// Least shares, those beside what all items of a recipe use, and beside an item.
    lanes: Vec<u16>,
    beside: Vec<u16>,
    now: Vec<u16>,
    /// All bits where a lane may not stand beside a recipe.
    barred: Vec<u16>,
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
    pub(super) fn new(units: usize, recipes: usize, classes: usize) -> Self {
        Self {
            lane: vec![NONE; recipes],
            classes: vec![Vec::new(); classes],
            savings: vec![Vec::new(); units],
            place: vec![(0, 0); units],
            ..Self::default()
        }
    }

    /// Works out what each lane saves on each unit. `parts` holds a unit's part of a share by
    /// pair; steps are of a power of two.
    fn set_savings(&mut self, pairs: &Pairs, items: &[u32], parts: &[i64], shift: u32) {
        for unit in self.saved.drain(..) {
            self.savings[unit as usize].clear();
        }
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
                    let up = (saving as u64 + (1 << shift) - 1) >> shift;
                    let lanes = &mut self.savings[unit.unit as usize];
                    if lanes.is_empty() {
                        self.saved.push(unit.unit);
                    }
                    lanes.push((lane as u32, u16::try_from(up).unwrap_or(u16::MAX)));
                }
            }
        }
    }
}

/// Takes savings off the lanes.
fn subtract(lanes: &mut [u16], savings: &[(u32, u16)]) {
    for &(lane, saving) in savings {
        let share = &mut lanes[lane as usize];
        *share = share.saturating_sub(saving);
    }
}

impl Worker<'_, '_> {
    /// Works out bounds and drops candidates that can be in no better week, until little
    /// changes. None: nothing below this node can matter.
    pub(super) fn open_members(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut opened = self.open(chosen, candidates, missing)?;
        if missing < LEAST_MISSING || self.bar() == i64::MAX {
            return Some(opened);
        }
        loop {
            let before = opened.items.len();
            if before < LEAST_ITEMS {
                return Some(opened);
            }
            let kept = self.members(chosen, &opened, missing);
            if kept.is_empty() {
                return None;
            }
            if (before - kept.len()) * FEW <= before {
                if kept.len() < before {
                    let keeps = |item: &u32| kept.binary_search(item).is_ok();
                    opened.order.retain(|(_, item)| keeps(item));
                    opened.items = kept;
                }
                return Some(opened);
            }
            opened = self.open(chosen, &kept, missing)?;
        }
    }

    /// The candidates, in item order, that can be in a week better than the incumbent.
    fn members(&mut self, chosen: &[u32], opened: &Opened, missing: usize) -> Vec<u32> {
        self.work += opened.items.len() as u64;
        let mut books = std::mem::take(&mut self.members);
        self.lay_lanes(&mut books, opened);
        let stage = self.stage;
        let pairs = stage.pairs;
        let fixed = &stage.fixed[0];
        let repeats = self.repeats();
        let takes = |index: u32| {
            let by_pair = pairs.of(index).iter();
            let more: i64 = by_pair.map(|&pair| self.pair_more[pair as usize]).sum();
            fixed[index as usize] + more
        };
        // What a candidate and the lunches beside it may cost, and steps of a lane.
        let room_left = self.bar().saturating_sub(opened.base);
        let low = (opened.items.iter().map(|&item| fixed[item as usize]))
            .min()
            .unwrap_or(0);
        let others = missing as i64 - 1;
        let top = books.least.iter().copied().max().unwrap_or(0);
        let range = top.min(room_left).saturating_sub(low).max(0) as u64;
        let shift = (u64::BITS - range.leading_zeros()).saturating_sub(u16::BITS - 1);
        books.set_savings(pairs, &opened.items, &self.pair_next, shift);
        books.lanes.clear();
        for &least in &books.least {
            let steps = least.saturating_sub(low).max(0) >> shift;
            let held = u16::try_from(steps).map_or(MOST, |held| held.min(MOST));
            books.lanes.push(held);
        }
        let room = stage
            .classes
            .room(chosen.iter().map(|&item| pairs.recipe[item as usize]));
        let mut after = room.clone();
        let mut kept = Vec::new();
        for g in 0..books.recipes.len() {
            let recipe = books.recipes[g];
            after.copy(&room);
            stage.classes.take(&mut after, recipe);
            books.barred.clear();
            books.barred.resize(books.recipes.len(), 0);
            for class in stage.classes.of(recipe) {
                if after.of(class) == 0 {
                    for &lane in &books.classes[class] {
                        books.barred[lane as usize] = MOST;
                    }
                }
            }
            for &other in stage.pool.alike(recipe) {
                let lane = books.lane[other as usize];
                if lane != NONE {
                    books.barred[lane as usize] = MOST;
                }
            }
            if repeats == 1 {
                books.barred[g] = MOST;
            }
            // What all of its items use first.
            books.beside.clone_from(&books.lanes);
            let ranks = books.start[g]..books.start[g + 1];
            books.common.clear();
            books.common.resize(pairs.words, UnitSet::MAX);
            for &index in &opened.items[ranks.clone()] {
                for (common, units) in books.common.iter_mut().zip(pairs.mask(index)) {
                    *common &= units;
                }
            }
            let is_common = |common: &[UnitSet], unit: usize| {
                let bit = pairs.bit[unit] as usize;
                common[bit / SET] >> (bit % SET) & 1 != 0
            };
            for &pair in pairs.of(opened.items[ranks.start]) {
                let unit = pairs.list[pair as usize].0 as usize;
                if is_common(&books.common, unit) {
                    subtract(&mut books.beside, &books.savings[unit]);
                }
            }
            for rank in ranks.clone() {
                let index = opened.items[rank];
                let limit = room_left - takes(index) - others * low;
                if limit < 0 {
                    continue;
                }
                let limit = limit >> shift;
                books.now.clone_from(&books.beside);
                for &pair in pairs.of(index) {
                    let unit = pairs.list[pair as usize].0 as usize;
                    if !is_common(&books.common, unit) {
                        subtract(&mut books.now, &books.savings[unit]);
                    }
                }
                let mut lowest = i16::MAX;
                for (&share, &barred) in books.now.iter().zip(&books.barred) {
                    lowest = lowest.min((share | barred) as i16);
                }
                let lowest = i64::from(lowest);
                if lowest * others > limit {
                    continue;
                }
                let mut most = limit - lowest * (others - 1);
                let mut least = Least::new(&stage.classes, &after, missing - 1, repeats);
                let lanes = books.now.iter().zip(&books.barred).zip(&books.recipes);
                for ((&share, &barred), &other) in lanes {
                    let share = i64::from(share);
                    if share <= most && barred == 0 && share < least.worst {
                        least.add(share, other);
                        most = most.min(least.worst.saturating_sub(1));
                    }
                }
                if least.sums().is_some_and(|(sum, _)| sum <= limit) {
                    kept.push(index);
                }
            }
        }
        self.members = books;
        kept
    }

    /// Groups a node's candidates by recipe, with their shares one level down.
    fn lay_lanes(&self, books: &mut Members, opened: &Opened) {
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
        for (rank, &index) in opened.items.iter().enumerate() {
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
            let sum = stage.fixed[0][index as usize] + parts;
            books.sums.push(sum);
            if let Some(least) = books.least.last_mut() {
                *least = sum.min(*least);
            }
        }
        books.start.push(opened.items.len());
    }
}
