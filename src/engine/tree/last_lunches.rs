//! The last lunches of a week: three at once pair by pair, or one with exact floors.

use crate::engine::bound::prefilter::BLOCK;
use crate::engine::bound::verdict::BoundId;
use crate::engine::tree::last_scratch::LastScratch;
use crate::engine::tree::node::Opened;
use crate::engine::tree::path::Path;
use crate::engine::tree::probing::Ahead;
use crate::engine::tree::worker::Worker;
use crate::larder::RecipeId;
use std::ops::Range;

/// Second lunches between two looks at the clock.
const ASKED: usize = 16;

/// A candidate for the last two lunches: its share, what it adds alone, and the item.
type Each = (i64, i64, u32);

/// The last two lunches beside all others, of which the last was looked ahead from.
struct LastTwo<'w, 's, 'a> {
    scratch: &'w mut LastScratch,
    path: &'w mut Path<'s, 'a>,
    ahead: &'w Ahead<'w, 's, 'a>,
    /// The lunches but the last two.
    with: Vec<u32>,
    /// What they cost at least; and the bound of the node that has them.
    base: i64,
    bound: i64,
    /// What may come beside them, the lowest shares first.
    each: Vec<Each>,
}

impl Worker<'_, '_> {
    /// Three lunches are missing: looks ahead from each candidate, then pairs up what is
    /// left.
    pub(in crate::engine) fn last_three(&mut self, chosen: &[u32], opened: &Opened) {
        let Self {
            path,
            node,
            probe,
            last,
            ..
        } = self;
        let stage = path.stage;
        let mut ahead = probe.prepare_ahead(path, node, (chosen, 3), opened);
        for at in 0..opened.order.len() {
            let Some(bound) = ahead.child_bound(at) else {
                break;
            };
            if path.beaten(bound) {
                let later = opened.order[at..].iter().map(|&(_, item)| item);
                path.close(BoundId::NextShares, chosen, later);
                break;
            }
            if stage.halted(true) {
                path.leave_open(bound);
                break;
            }
            if ahead.look(path, at).is_none() {
                continue;
            }
            path.found.nodes += 1;
            let index = opened.order[at].1;
            path.add(index, 1);
            LastTwo::new(last, path, &ahead, (index, bound)).pair_up();
            #[cfg(test)]
            path.paired_up(chosen, index, ahead.left());
            path.add(index, -1);
        }
    }
}

impl<'w, 's, 'a> LastTwo<'w, 's, 'a> {
    /// Gets what each of the last two lunches would add alone ready for pairing them up, beside
    /// the lunch that was looked ahead from last.
    fn new(
        scratch: &'w mut LastScratch,
        path: &'w mut Path<'s, 'a>,
        ahead: &'w Ahead<'w, 's, 'a>,
        (index, bound): (u32, i64),
    ) -> Self {
        let stage = path.stage;
        let mut with = ahead.chosen().to_vec();
        with.push(index);
        let base = ahead.base_with(index);
        // Shares first, then what each would add alone.
        let mut each: Vec<Each> = ahead
            .left()
            .iter()
            .map(|&other| {
                let (mut share, mut alone) = (0, 0);
                for &pair in stage.pairs.of(other) {
                    share += ahead.share(pair);
                    alone += ahead.alone(pair);
                }
                let fixed = stage.fixed[0][other as usize];
                (fixed + share, fixed + alone, other)
            })
            .collect();
        each.sort_unstable();
        scratch.pairing.start(stage);
        let mut new = Self {
            scratch,
            path,
            ahead,
            with,
            base,
            bound,
            each,
        };
        new.lay_alone();
        new
    }

    /// Fills the prefilter of what each adds alone.
    fn lay_alone(&mut self) {
        let stage = self.path.stage;
        let pairs = stage.pairs;
        let fixed = &stage.fixed[0];
        let LastScratch {
            alone: filter,
            part,
            ..
        } = &mut *self.scratch;
        let alone = self.each.iter().map(|&(_, alone, _)| alone);
        let least = alone.clone().min().unwrap_or(0);
        let most = alone.max().unwrap_or(0);
        let low = self.each.iter().map(|&(_, _, item)| fixed[item as usize]);
        let top = self
            .path
            .cutoff()
            .saturating_sub(self.base + least)
            .min(most);
        filter.clear(low.min().unwrap_or(0), top);
        for &(_, _, item) in &self.each {
            for &pair in pairs.of(item) {
                let (unit, _) = pairs.list[pair as usize];
                filter.clear_unit(unit as usize);
                part[pair as usize] = filter.part(self.ahead.alone(pair));
            }
        }
        for &(_, alone, item) in &self.each {
            for &pair in pairs.of(item) {
                let (unit, _) = pairs.list[pair as usize];
                filter.add_part(unit as usize, part[pair as usize]);
            }
            filter.add(alone);
        }
        filter.seal();
    }

    /// Tries each as the second lunch, with those that come after it as the third.
    ///
    /// Proof of the bound on a pair. With the first lunch taken, the floor of a unit rises by
    /// at least what either of the two makes it rise alone: the larger of the two if both
    /// use it.
    fn pair_up(&mut self) {
        let stage = self.path.stage;
        for place in 0..self.each.len() {
            let share = self.each[place].0;
            if self.path.beaten(self.base + 2 * share) {
                break;
            }
            if stage.halted(place % ASKED == ASKED - 1) {
                self.path.leave_open(self.bound);
                break;
            }
            let from = if stage.repeats() > 1 {
                place
            } else {
                place + 1
            };
            let most = self.path.cutoff().saturating_sub(self.base + share);
            let end = from + self.each[from..].partition_point(|&(other, _, _)| other <= most);
            if from == end {
                continue;
            }
            self.take_second(place, from..end);
            self.try_thirds(place, from..end);
        }
    }

    /// Gets everything ready for a second lunch, with thirds from these places.
    fn take_second(&mut self, place: usize, thirds: Range<usize>) {
        let stage = self.path.stage;
        let pairs = stage.pairs;
        let second = self.each[place].2;
        let scratch = &mut *self.scratch;
        scratch.forced.copy(self.ahead.forced());
        scratch.forced.add(&stage.covers, second);
        scratch.second.set(stage, second);
        scratch.room.copy(self.ahead.room());
        stage
            .classes
            .take(&mut scratch.room, pairs.recipe[second as usize]);
        let parts = pairs.of(second).iter().map(|&pair| {
            let unit = pairs.list[pair as usize].0 as usize;
            (unit, scratch.part[pair as usize])
        });
        scratch.alone.lay_within(parts, blocks_of(&thirds));
    }

    /// Tries the places as the third lunch beside the second, which was taken.
    fn try_thirds(&mut self, place: usize, thirds: Range<usize>) {
        let stage = self.path.stage;
        let (share, alone, second) = self.each[place];
        let most = self.path.cutoff().saturating_sub(self.base + alone);
        let held = self.scratch.alone.hold(most);
        for block in blocks_of(&thirds) {
            let mut bits = self.scratch.alone.within(block, held);
            if block == thirds.start / BLOCK {
                bits &= u64::MAX << (thirds.start % BLOCK);
            }
            while bits != 0 {
                let at = block * BLOCK + bits.trailing_zeros() as usize;
                bits &= bits - 1;
                if at >= thirds.end {
                    return;
                }
                let (other_share, other_alone, third) = self.each[at];
                if self.path.beaten(self.base + share + other_share) {
                    return;
                }
                let same_passed = thirds.start > place;
                if !self.may_stand_together(second, third, same_passed) {
                    continue;
                }
                let pair_bound = self.base + alone + other_alone - self.shared_alone(third);
                if !self.path.beaten(pair_bound) {
                    self.try_week(second, third);
                    if stage.halted(false) {
                        // Thirds further on, dearer by their share, may have lower floors.
                        self.path.leave_open(self.bound);
                        return;
                    }
                }
            }
        }
    }

    /// Whether the rules on recipes and the cap let a third stand beside the second; `once` if a
    /// recipe may come once only.
    #[inline]
    fn may_stand_together(&self, second: u32, third: u32, once: bool) -> bool {
        let stage = self.path.stage;
        let [one, other] = [second, third].map(|item| stage.pairs.recipe[item as usize]);
        let room = &self.scratch.room;
        !(once && one == other
            || stage.classes.of(other).any(|class| room.of(class) == 0)
            || one != other && stage.pool.clash(RecipeId(one), RecipeId(other))
            || !self.scratch.forced.fits(&stage.covers, third))
    }

    /// What the second and a third both add alone to units that they share, counted once.
    #[inline]
    fn shared_alone(&self, third: u32) -> i64 {
        let pairs = self.path.stage.pairs;
        let mut twice = 0;
        for &pair in pairs.of(third) {
            if let Some(own) = self.scratch.second.pair(pairs.list[pair as usize].0) {
                twice += self.ahead.alone(own).min(self.ahead.alone(pair));
            }
        }
        twice
    }

    /// Counts what closed a week whose last two lunches are these.
    fn close(&mut self, by: BoundId, (second, third): (u32, u32)) {
        let with = &self.with;
        self.path.close_at(by, || {
            let week = with.iter().copied().chain([second, third]);
            (week.collect(), Vec::new())
        });
    }

    /// Tries a whole week: floors of the very sums, then the leaf. The path has what the lunches
    /// but the last two use.
    fn try_week(&mut self, second: u32, third: u32) {
        let stage = self.path.stage;
        let with = &self.with;
        let mut means = stage.means.iter();
        if !means.all(|mean| mean.reached(with, second, third)) {
            self.close(BoundId::Means, (second, third));
            return;
        }
        let Some(floors) = self.floors_within(second, third) else {
            self.close(BoundId::ExactFloors, (second, third));
            return;
        };
        let mut week = Vec::with_capacity(self.with.len() + 2);
        week.extend_from_slice(&self.with);
        week.push(second);
        if !stage.fits(&week, third) {
            self.close(BoundId::Rules, (second, third));
            return;
        }
        week.push(third);
        if !stage.week_holds(&week) {
            self.close(BoundId::Rules, (second, third));
            return;
        }
        let Some(bound) = self.path.with_days(&week, floors) else {
            self.close(BoundId::Days, (second, third));
            return;
        };
        self.path.settle_or_list(&week, bound);
        if stage.halted(false) {
            self.path.leave_open(bound);
        }
    }

    /// The floors of a whole week in the objective and in what spoils, if it has a ceiling; none
    /// if one is beyond what it may be.
    fn floors_within(&mut self, second: u32, third: u32) -> Option<(i64, i64)> {
        let stage = self.path.stage;
        let pairs = stage.pairs;
        let LastScratch {
            second: units,
            shared,
            pairing,
            ..
        } = &mut *self.scratch;
        shared.clear();
        for &pair in pairs.of(third) {
            if let Some(own) = units.pair(pairs.list[pair as usize].0) {
                shared.push((own, pair));
            }
        }
        // Sums with a ceiling first: most weeks that fall here fall by one.
        let spoiled = stage.spoiled_gauge();
        let mut floors = (0, 0);
        for d in (0..stage.gauges.len()).rev() {
            let beside = (d, self.path.used(), self.with.as_slice());
            let sum = pairing.sum(stage, beside, (second, third), shared);
            if sum > self.path.top(d) {
                return None;
            }
            floors.0 = sum;
            if spoiled == Some(d) {
                floors.1 = sum;
            }
        }
        Some(floors)
    }
}

/// Blocks that have these places.
fn blocks_of(places: &Range<usize>) -> Range<usize> {
    places.start / BLOCK..places.end.div_ceil(BLOCK)
}

impl Worker<'_, '_> {
    /// The last lunch needs no sharing: floors of the very sums, then the leaf. Whether the
    /// candidates may stand beside what is chosen is asked last.
    pub(in crate::engine) fn last_lunch(&mut self, chosen: &mut Vec<u32>, candidates: &[u32]) {
        let stage = self.path.stage;
        if !stage.completable(chosen, candidates, 1) {
            let left = candidates.iter().copied();
            self.path.close(BoundId::Completable, chosen, left);
            return;
        }
        let Some(order) = self.last_within_floors(chosen, candidates) else {
            return;
        };
        let path = &mut self.path;
        for (bound, index) in order {
            if path.beaten(bound) {
                path.close(BoundId::Incumbent, chosen, std::iter::once(index));
                break;
            }
            stage.halted(true);
            if stage.fits(chosen, index) {
                chosen.push(index);
                if !stage.week_holds(chosen) {
                    path.close(BoundId::Rules, chosen, std::iter::empty());
                } else if let Some(floor) = path.with_days(chosen, (bound, 0)) {
                    path.settle_or_list(chosen, floor);
                } else {
                    path.close(BoundId::Days, chosen, std::iter::empty());
                }
                chosen.pop();
            }
            if stage.halted(false) {
                path.leave_open(bound);
                break;
            }
        }
    }

    /// Candidates for the last lunch with which no floor is beyond what it may be, the lowest
    /// first; none if there are none, or if the search was told to stop.
    fn last_within_floors(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
    ) -> Option<Vec<(i64, u32)>> {
        let Self { path, exact, .. } = self;
        let stage = path.stage;
        let mut left: Vec<(i64, u32)> = candidates.iter().map(|&index| (0, index)).collect();
        for dimension in (0..stage.gauges.len()).rev() {
            let top = path.top(dimension);
            let base = stage.exact_base(dimension, path.used(), chosen);
            if stage.halted(true) {
                // Nothing of this node was looked at. Floors of what is chosen alone say nothing of its weeks: one lunch
                // more may use up what would be left over. Those with each of the candidates do.
                let base = stage.exact_base(0, path.used(), chosen);
                let mut more = exact.beside(stage, 0, path.used());
                let least = candidates.iter().map(|&index| base + more.of(index)).min();
                if let Some(least) = least {
                    path.leave_open(least);
                }
                return None;
            }
            let mut more = exact.beside(stage, dimension, path.used());
            left.retain_mut(|(bound, index)| {
                *bound = base + more.of(*index);
                *bound <= top
            });
            #[cfg(test)]
            {
                let kept: Vec<u32> = left.iter().map(|&(_, item)| item).collect();
                let all = candidates.iter().copied();
                path.watch(BoundId::ExactFloors, chosen, all, &kept);
            }
            if left.is_empty() {
                let all = candidates.iter().copied();
                path.close(BoundId::ExactFloors, chosen, all);
                return None;
            }
        }
        left.sort_unstable();
        Some(left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::answer::Limits;
    use crate::engine::model::samples::{alone, kitchen, numbers, varied};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};

    /// Told to stop before the last lunch, the bound left open is no more than any lunch makes of it: one more may
    /// use up what else would be left over.
    #[test]
    fn stopped_before_the_last_lunch_no_bound_is_above_a_week_with_it() {
        let mut next = numbers(1);
        let (mut asked, mut less) = (0, 0);
        for turn in 0..40 {
            let name = ["stored/stock-on-hand", "stored/everything"][turn % 2];
            let larder = varied(&kitchen(name), &mut next);
            let stopped = Limits {
                stop: &|| true,
                ..alone()
            };
            let ready = Ready::new(&larder, &|| false);
            let given = Given::default();
            let ceilings = first_ceilings(&larder);
            let items = ready.items.len();
            for _ in 0..20 {
                let stage = make_stage(ready.laid(), None, ceilings, &given, &stopped);
                let mut worker = Worker::new(&stage);
                let chosen: Vec<u32> = (1..ready.pool.last).map(|_| next(items) as u32).collect();
                let mut candidates: Vec<u32> = (0..8).map(|_| next(items) as u32).collect();
                candidates.sort_unstable();
                candidates.dedup();
                let weeks = candidates.iter().map(|&last| {
                    let week: Vec<u32> = chosen.iter().copied().chain([last]).collect();
                    worker.path.set_used(&week);
                    stage.exact_base(0, worker.path.used(), &week)
                });
                let least = weeks.min().expect("some candidate");
                worker.path.set_used(&chosen);
                less += i32::from(least < stage.exact_base(0, worker.path.used(), &chosen));
                if worker.last_within_floors(&chosen, &candidates).is_none()
                    && let Some(bound) = worker.path.found.open_bound
                {
                    assert!(bound <= least, "{name}: {bound} above {least}");
                    asked += 1;
                }
            }
        }
        assert!(asked > 500 && less > 20, "{asked} {less}");
    }
}
