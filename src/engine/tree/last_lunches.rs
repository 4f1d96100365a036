//! The last lunches of a week: three at once pair by pair, or one with exact floors.

use crate::engine::bound::prefilter::BLOCK;
use crate::engine::bound::smallest::Room;
use crate::engine::model::sums::least_of;
use crate::engine::stage::MOST_LISTED;
use crate::engine::tree::pairing::Pairing;
use crate::engine::tree::worker::{Opened, Worker};
use crate::larder::RecipeId;
use std::sync::atomic::Ordering;

/// Lunches beyond which only the leaf asks for an assignment: it takes time with all sets of
/// them.
const MOST_ASSIGNED: usize = 8;

/// Second lunches between two looks at the clock.
const ASKED: usize = 16;

impl Worker<'_, '_> {
    /// The least that the days of a complete set of lunches add to its floors, in the objective
    /// and in what spoils of it; none if they cannot all be served.
    pub(in crate::engine) fn day_adds(&mut self, week: &[u32]) -> Option<(i64, i64)> {
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

    /// Three lunches are missing: looks ahead from each candidate, then pairs up what is
    /// left.
    ///
    /// Proof of the bound on a pair. With the first lunch taken, the floor of a unit rises by
    /// at least what either of the two makes it rise alone: the larger of the two if both
    /// use it.
    pub(in crate::engine) fn last_three(&mut self, chosen: &[u32], opened: &Opened) {
        let stage = self.stage;
        let pairs = stage.pairs;
        self.prepare_ahead(chosen, opened, 3);
        let mut pairing = std::mem::take(&mut self.pairing);
        let mut room = Room::default();
        for at in 0..opened.order.len() {
            let Some(bound) = self.child_bound(opened, at, 3) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            if stage.halted(true) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                break;
            }
            let places = (at, self.after(at));
            if self.ahead(chosen, opened, places, 3).is_none() {
                continue;
            }
            self.nodes += 1;
            let index = opened.order[at].1;
            let mut with = chosen.to_vec();
            with.push(index);
            let mut base = opened.base + stage.fixed[0][index as usize];
            base += pairs
                .of(index)
                .iter()
                .map(|&pair| self.pair_more[pair as usize])
                .sum::<i64>();
            // Shares first, then what each would add alone.
            let mut each: Vec<(i64, i64, u32)> = self
                .left
                .iter()
                .map(|&other| {
                    let (mut share, mut alone) = (0, 0);
                    for &pair in pairs.of(other) {
                        share += self.pair_ahead[pair as usize];
                        alone += self.pair_alone[pair as usize];
                    }
                    let fixed = stage.fixed[0][other as usize];
                    (fixed + share, fixed + alone, other)
                })
                .collect();
            each.sort_unstable();
            self.prepare_pairs(&each, base);
            pairing.start(stage);
            self.add(index, 1);
            for (place, &(share, alone, second)) in each.iter().enumerate() {
                if self.beaten(base + 2 * share) {
                    break;
                }
                if stage.halted(place % ASKED == ASKED - 1) {
                    self.open_bound = least_of(self.open_bound, Some(bound));
                    break;
                }
                let from = if self.repeats() > 1 { place } else { place + 1 };
                let most = self.bar().saturating_sub(base + share);
                let end = from + each[from..].partition_point(|&(other, _, _)| other <= most);
                if from == end {
                    continue;
                }
                let [_, before, held] = &mut self.held;
                held.copy(before);
                held.add(&stage.covers, second);
                self.second_now += 1;
                for &pair in pairs.of(second) {
                    let u = pairs.list[pair as usize].0 as usize;
                    self.second_stamp[u] = self.second_now;
                    self.second_pair[u] = pair;
                }
                room.copy(&self.room[1]);
                stage.classes.take(&mut room, pairs.recipe[second as usize]);
                let blocks = from / BLOCK..end.div_ceil(BLOCK);
                let parts = pairs.of(second).iter().map(|&pair| {
                    let unit = pairs.list[pair as usize].0 as usize;
                    (unit, self.pair_part[pair as usize])
                });
                self.alone.lay_within(parts, blocks.clone());
                let held = self.alone.hold(self.bar().saturating_sub(base + alone));
                'blocks: for block in blocks {
                    let mut thirds = self.alone.within(block, held);
                    if block == from / BLOCK {
                        thirds &= u64::MAX << (from % BLOCK);
                    }
                    while thirds != 0 {
                        let at = block * BLOCK + thirds.trailing_zeros() as usize;
                        thirds &= thirds - 1;
                        if at >= end {
                            break 'blocks;
                        }
                        let (other_share, other_alone, third) = each[at];
                        if self.beaten(base + share + other_share) {
                            break 'blocks;
                        }
                        let recipes = [second, third].map(|item| pairs.recipe[item as usize]);
                        if from > place && recipes[0] == recipes[1]
                            || stage
                                .classes
                                .of(recipes[1])
                                .any(|class| room.of(class) == 0)
                            || recipes[0] != recipes[1]
                                && stage.pool.clash(RecipeId(recipes[0]), RecipeId(recipes[1]))
                            || !self.held[2].fits(&stage.covers, third)
                        {
                            continue;
                        }
                        let mut pair_bound = base + alone + other_alone;
                        for &pair in pairs.of(third) {
                            let u = pairs.list[pair as usize].0 as usize;
                            if self.second_stamp[u] == self.second_now {
                                let theirs = self.pair_alone[pair as usize];
                                let ours = self.pair_alone[self.second_pair[u] as usize];
                                pair_bound -= ours.min(theirs);
                            }
                        }
                        if !self.beaten(pair_bound) {
                            self.week_of(&with, (second, third), &mut pairing);
                            if stage.halted(false) {
                                break 'blocks;
                            }
                        }
                    }
                }
            }
            self.add(index, -1);
        }
        self.pairing = pairing;
    }

    /// Gets what each of the last two lunches would add alone ready for pairing them up.
    fn prepare_pairs(&mut self, each: &[(i64, i64, u32)], base: i64) {
        let pairs = self.stage.pairs;
        let fixed = &self.stage.fixed[0];
        let alone = each.iter().map(|&(_, alone, _)| alone);
        let least = alone.clone().min().unwrap_or(0);
        let most = alone.max().unwrap_or(0);
        let low = each.iter().map(|&(_, _, item)| fixed[item as usize]);
        let top = self.bar().saturating_sub(base + least).min(most);
        self.alone.clear(low.min().unwrap_or(0), top);
        for &(_, _, item) in each {
            for &pair in pairs.of(item) {
                let (unit, _) = pairs.list[pair as usize];
                self.alone.clear_unit(unit as usize);
                self.pair_part[pair as usize] = self.alone.part(self.pair_alone[pair as usize]);
            }
        }
        for &(_, alone, item) in each {
            for &pair in pairs.of(item) {
                let (unit, _) = pairs.list[pair as usize];
                self.alone
                    .add_part(unit as usize, self.pair_part[pair as usize]);
            }
            self.alone.add(alone);
        }
        self.alone.seal();
    }

    /// Tries a whole week: floors of the very sums, then the leaf. `used` holds what the lunches
    /// but the last two use.
    fn week_of(&mut self, with: &[u32], (second, third): (u32, u32), pairing: &mut Pairing) {
        let stage = self.stage;
        let pairs = stage.pairs;
        if !stage
            .means
            .iter()
            .all(|mean| mean.reached(with, second, third))
        {
            return;
        }
        // Sums with a ceiling first: most weeks that fall here fall by one.
        let spoiled = stage.spoiled_gauge();
        let mut floors = (0, 0);
        self.shared.clear();
        for &pair in pairs.of(third) {
            let unit = pairs.list[pair as usize].0 as usize;
            if self.second_stamp[unit] == self.second_now {
                self.shared.push((self.second_pair[unit], pair));
            }
        }
        for d in (0..stage.gauges.len()).rev() {
            let beside = (d, self.used.as_slice(), with);
            let sum = pairing.sum(stage, beside, (second, third), &self.shared);
            if sum > self.top(d) {
                return;
            }
            floors.0 = sum;
            if spoiled == Some(d) {
                floors.1 = sum;
            }
        }
        let mut week = Vec::with_capacity(with.len() + 2);
        week.extend_from_slice(with);
        week.push(second);
        if !self.fits(&week, third) {
            return;
        }
        week.push(third);
        if !self.week_holds(&week) {
            return;
        }
        let Some(bound) = self.with_days(&week, floors) else {
            return;
        };
        self.leaf_of(&week, bound);
        if stage.halted(false) {
            self.open_bound = least_of(self.open_bound, Some(bound));
        }
    }

    /// The floor of a complete set of lunches with what its days add, from those of its objective
    /// and of what spoils; none if it is beaten with it.
    fn with_days(&mut self, week: &[u32], floors: (i64, i64)) -> Option<i64> {
        let adds = self.day_adds(week);
        // Stopped half way, what days add is not to be relied on.
        if self.stage.halted(false) {
            return Some(floors.0);
        }
        let (more, spoiled) = adds?;
        let bound = floors.0.saturating_add(more);
        let spoils = self.stage.spoiled_gauge();
        let holds = spoils.is_none_or(|d| floors.1.saturating_add(spoiled) <= self.top(d));
        (holds && !self.beaten(bound)).then_some(bound)
    }

    /// Settles a set of lunches that keeps the rules, or lists it.
    fn leaf_of(&mut self, week: &[u32], floor: i64) {
        self.leaves += 1;
        let listing = self.stage.listing.is_some();
        if !listing {
            let best = self.best.as_ref();
            if best.is_none_or(|best| floor <= best.score.objective) {
                self.leaf.solve(week, &mut self.best);
            }
            if !self.lists_beyond() {
                return;
            }
        }
        let mut week = week.to_vec();
        week.sort_unstable();
        if self.listed.len() < MOST_LISTED {
            self.listed.push((floor, week));
        }
        if listing && self.listed.len() >= MOST_LISTED {
            self.stage.stopped.store(true, Ordering::Relaxed);
        }
    }

    /// The last lunch needs no sharing: floors of the very sums, then the leaf. Whether the
    /// candidates may stand beside what is chosen is asked last.
    pub(in crate::engine) fn last_lunch(&mut self, chosen: &mut Vec<u32>, candidates: &[u32]) {
        if !self.hopeful(chosen, candidates, 1) {
            return;
        }
        let stage = self.stage;
        let pairs = stage.pairs;
        let mut left: Vec<(i64, u32)> = candidates.iter().map(|&index| (0, index)).collect();
        for dimension in (0..stage.gauges.len()).rev() {
            self.pair_now += 1;
            let fixed = &stage.fixed[dimension];
            let top = self.top(dimension);
            let base = stage.exact_base(dimension, &self.used, chosen);
            if stage.halted(true) {
                // Nothing of this node was looked at: its own floors hold for all of it.
                let bound = stage.exact_base(0, &self.used, chosen);
                self.open_bound = least_of(self.open_bound, Some(bound));
                return;
            }
            left.retain_mut(|(bound, index)| {
                *bound = base + fixed[*index as usize];
                for &pair in pairs.of(*index) {
                    let p = pair as usize;
                    if self.pair_stamp[p] != self.pair_now {
                        self.pair_stamp[p] = self.pair_now;
                        self.pair_share[p] = stage.exact_more(dimension, &self.used, pairs.list[p]);
                    }
                    *bound += self.pair_share[p];
                }
                *bound <= top
            });
            if left.is_empty() {
                return;
            }
        }
        let mut order = left;
        order.sort_unstable();
        for (bound, index) in order {
            if self.beaten(bound) {
                break;
            }
            self.stage.halted(true);
            if self.fits(chosen, index) {
                chosen.push(index);
                if self.week_holds(chosen)
                    && let Some(floor) = self.with_days(chosen, (bound, 0))
                {
                    self.leaf_of(chosen, floor);
                }
                chosen.pop();
            }
            if self.stage.halted(false) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                break;
            }
        }
    }

    /// Whether the rules that need no days allow a complete set of items.
    pub(in crate::engine) fn allows(&self, chosen: &[u32]) -> bool {
        let fits = |at: usize| self.fits(&chosen[..at], chosen[at]);
        (0..chosen.len()).all(fits) && self.week_holds(chosen)
    }

    /// The rules on a complete set of items that need no days: means and pins; and that there is
    /// enough of what no pack supplies.
    pub(in crate::engine) fn week_holds(&self, chosen: &[u32]) -> bool {
        let means = self.stage.means.iter().all(|mean| mean.holds(chosen));
        let used = |at: usize, unit: u32| -> i64 {
            let before = chosen[..at].iter().map(|&index| &self.item(index).units);
            let amounts = before.flat_map(|units| units.iter().filter(|entry| entry.0 == unit));
            amounts.map(|entry| entry.1).sum()
        };
        let supplied = chosen.iter().enumerate().all(|(at, &index)| {
            let pool = self.stage.pool;
            pool.supplies(|unit| used(at, unit), &self.item(index).units)
        });
        supplied && means && self.hopeful(chosen, &[], 0)
    }
}
