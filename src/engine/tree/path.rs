//! What one thread holds along the path from the root to a node: amounts used by what is chosen,
//! the incumbent, and what is counted and listed on the way.

use crate::engine::bound::verdict::{BoundId, Closed, Origin};
use crate::engine::leaf::assignment::{Adds, Rest};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::settling::Extent;
use crate::engine::leaf::solver::LeafSolver;
use crate::engine::model::sums::least_of;
use crate::engine::stage::{MOST_LISTED, Stage};
use crate::engine::tree::searched::Searched;
use itertools::Itertools;
use std::sync::atomic::Ordering;

/// Lunches beyond which only the leaf asks for an assignment: it takes time with all sets of
/// them.
const MOST_ASSIGNED: usize = 8;

/// Sets settled in one place at most, where weeks are looked for to start from: where floors say
/// little, as of what spoils, all of them are below the best week, and few are better.
const MOST_LEAVES: u64 = 100;

/// A search for weeks to start from: sets are settled only as long as that takes little, as they
/// prove nothing.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Hurry {
    /// Where the weeks come from.
    pub(in crate::engine) origin: Origin,
    /// How much is looked at of each set.
    pub(in crate::engine) extent: Extent,
}

/// The state along a path.
pub(in crate::engine) struct Path<'s, 'a> {
    pub(in crate::engine) stage: &'s Stage<'a>,
    /// By unit: what is chosen uses of it.
    used: Vec<i64>,
    /// The incumbent, and what was counted and listed since it was last handed over.
    pub(in crate::engine) found: Searched,
    pub(in crate::engine) leaf: LeafSolver<'s, 'a>,
    /// None where the tree is searched for a proof.
    pub(in crate::engine) hurry: Option<Hurry>,
    /// What days add to a set of lunches.
    adds: Adds,
    rest: Rest,
}

impl<'s, 'a> Path<'s, 'a> {
    pub(in crate::engine) fn new(stage: &'s Stage<'a>) -> Self {
        Self {
            stage,
            used: vec![0; stage.units()],
            found: Searched::default(),
            leaf: LeafSolver::new(stage),
            hurry: None,
            adds: Adds::default(),
            rest: Rest::default(),
        }
    }

    /// Hands over what was found and counted, and starts anew.
    pub(in crate::engine) fn take(&mut self) -> Searched {
        if self.stage.beyond_part.is_some() && self.found.listed.len() < MOST_LISTED {
            // Sets listed before the best week was found. So many that some were left out stay
            // too many: what is left of them would not be all.
            let cutoff = self.cutoff();
            self.found.listed.retain(|&(floor, _)| floor <= cutoff);
        }
        std::mem::take(&mut self.found)
    }

    /// Whether nothing at or above `bound` can improve on the incumbent.
    pub(in crate::engine) fn beaten(&self, bound: i64) -> bool {
        bound > self.cutoff()
    }

    /// The largest bound that is not beaten.
    pub(in crate::engine) fn cutoff(&self) -> i64 {
        if self.hurry.is_some() && self.found.leaves >= MOST_LEAVES {
            return i64::MIN;
        }
        if let Some(below) = self.stage.listing {
            return below;
        }
        let best = match &self.found.best {
            None => i64::MAX,
            Some(best) if self.stage.settles_ties => best.score.objective,
            Some(best) => best.score.objective - 1,
        };
        let cutoff = if self.lists_beyond() {
            self.stage.beyond(best)
        } else {
            best
        };
        cutoff.min(self.stage.most)
    }

    /// Whether sets are listed that lie beyond the incumbent: not in a hurry, nor once they are
    /// too many.
    fn lists_beyond(&self) -> bool {
        self.stage.lists_beyond() && self.hurry.is_none() && self.found.listed.len() < MOST_LISTED
    }

    /// The most that a sum may be.
    pub(in crate::engine) fn top(&self, dimension: usize) -> i64 {
        if dimension == 0 {
            self.cutoff()
        } else {
            self.stage.limits[dimension - 1]
        }
    }

    /// By unit: what is chosen uses of it.
    pub(in crate::engine) fn used(&self) -> &[i64] {
        &self.used
    }

    pub(in crate::engine) fn set_used(&mut self, chosen: &[u32]) {
        self.used.fill(0);
        for &index in chosen {
            self.add(index, 1);
        }
    }

    pub(in crate::engine) fn add(&mut self, index: u32, times: i64) {
        for &(unit, amount) in &self.stage.items[index as usize].units {
            self.used[unit as usize] += amount * times;
        }
    }

    /// Whether there is enough of what no pack supplies for an item beside what is used.
    pub(in crate::engine) fn supplied(&self, index: u32) -> bool {
        let used = |unit: u32| self.used[unit as usize];
        let units = &self.stage.items[index as usize].units;
        self.stage.pool.supplies(used, units)
    }

    /// Notes that a part of the tree with this bound is left open.
    pub(in crate::engine) fn leave_open(&mut self, bound: i64) {
        self.found.open_bound = least_of(self.found.open_bound, Some(bound));
    }

    /// Settles a set of lunches by days and packs; of two weeks the better one stays.
    pub(in crate::engine) fn settle(&mut self, week: &[u32]) {
        let origin = self.hurry.map_or(Origin::Tree, |hurry| hurry.origin);
        self.settle_from(origin, week);
    }

    /// The same of one from elsewhere.
    pub(in crate::engine) fn settle_from(&mut self, origin: Origin, week: &[u32]) {
        self.found.verdicts.close(Closed::Settled);
        let extent = self.hurry.map_or(Extent::Whole, |hurry| hurry.extent);
        let open = self.improving(origin, |path| {
            path.leaf.solve(week, extent, &mut path.found.best)
        });
        let set = || week.iter().copied().sorted_unstable().collect();
        let undivided = open.map(|floor| (floor, set()));
        self.found.undivided.extend(undivided);
    }

    /// Divides the lunches of a set over batches; returns the work it took, and the least floor of a week that it
    /// neither found nor ruled out, if there may be one.
    pub(in crate::engine) fn divide(&mut self, week: &[u32], times: u64) -> (u64, Option<i64>) {
        self.improving(Origin::Division, |path| {
            path.leaf.divide(week, times, &mut path.found.best)
        })
    }

    /// Notes the origin of a better week, if there is one.
    fn improving<T>(&mut self, origin: Origin, work: impl FnOnce(&mut Self) -> T) -> T {
        let key = |path: &Self| path.found.best.as_ref().map(Found::key);
        let before = key(self);
        let made = work(self);
        if key(self) != before {
            self.found.verdicts.improve(origin);
            self.found.origin = Some(origin);
        }
        made
    }

    /// Counts what a bound closed: a node, a candidate of it with all that is below, or a set of
    /// lunches. Tests are shown which candidates are left of which.
    #[inline]
    pub(in crate::engine) fn close(
        &mut self,
        by: BoundId,
        chosen: &[u32],
        before: impl Iterator<Item = u32>,
    ) {
        self.found.verdicts.close(Closed::ByBound(by));
        #[cfg(test)]
        self.watch(by, chosen, before, &[]);
        #[cfg(not(test))]
        let _ = (chosen, before);
    }

    /// Shows tests what a bound leaves of a node's candidates.
    #[cfg(test)]
    pub(in crate::engine) fn watch(
        &self,
        by: BoundId,
        chosen: &[u32],
        before: impl Iterator<Item = u32>,
        after: &[u32],
    ) {
        if let Some(witness) = self.stage.witness.as_ref()
            && self.hurry.is_none()
            && !self.stage.halted(false)
        {
            witness.watch(by, chosen, &before.collect::<Vec<u32>>(), after);
        }
    }

    /// The same, where the node is put together for tests only.
    #[inline]
    pub(in crate::engine) fn close_at(
        &mut self,
        by: BoundId,
        node: impl FnOnce() -> (Vec<u32>, Vec<u32>),
    ) {
        self.found.verdicts.close(Closed::ByBound(by));
        #[cfg(test)]
        {
            let (chosen, before) = node();
            self.watch(by, &chosen, before.into_iter(), &[]);
        }
        #[cfg(not(test))]
        drop(node);
    }

    /// Settles a set of lunches that keeps the rules, or lists it.
    pub(in crate::engine) fn settle_or_list(&mut self, week: &[u32], floor: i64) {
        self.found.leaves += 1;
        let listing = self.stage.listing.is_some();
        #[cfg(test)]
        if let Some(witness) = &self.stage.witness {
            witness.reach(week);
        }
        if !listing {
            let best = self.found.best.as_ref();
            if best.is_none_or(|best| floor <= best.score.objective) {
                self.settle(week);
            }
            if !self.lists_beyond() {
                return;
            }
        }
        self.found.verdicts.close(Closed::Listed);
        let mut week = week.to_vec();
        week.sort_unstable();
        if self.found.listed.len() < MOST_LISTED {
            self.found.listed.push((floor, week));
        }
        if listing && self.found.listed.len() >= MOST_LISTED {
            self.stage.stopped.store(true, Ordering::Relaxed);
        }
    }

    /// The last two lunches beside `chosen` and one more were paired up: a witness among them must
    /// have been looked at.
    #[cfg(test)]
    pub(in crate::engine) fn paired_up(&self, chosen: &[u32], more: u32, left: &[u32]) {
        if let Some(witness) = self.stage.witness.as_ref()
            && !witness.reached()
        {
            let with: Vec<u32> = chosen.iter().copied().chain([more]).collect();
            self.watch(BoundId::LastPairs, &with, left.iter().copied(), &[]);
        }
    }

    /// The floor of a complete set of lunches with what its days add, from those of its objective
    /// and of what spoils; none if it is beaten with it.
    pub(in crate::engine) fn with_days(&mut self, week: &[u32], floors: (i64, i64)) -> Option<i64> {
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

    /// The least that the days of a complete set of lunches add to its floors, in the objective
    /// and in what spoils of it; none if they cannot all be served.
    fn day_adds(&mut self, week: &[u32]) -> Option<(i64, i64)> {
        if week.len() > MOST_ASSIGNED {
            return Some((0, 0));
        }
        let pairs = self.stage.pairs;
        self.adds.start(week.len());
        for (at, &item) in week.iter().enumerate() {
            let days = self.leaf.item_days(item);
            self.adds.objective[at] = days.always;
            for (&pair, one) in pairs.of(item).iter().zip(&days.units) {
                let unit = pairs.list[pair as usize].0;
                let others = week.iter().enumerate();
                let mut others = others.filter(|&(other, _)| other != at);
                if !others.any(|(_, &other)| pairs.uses(other, unit)) {
                    self.adds.add(at, one, (one.floor, one.spoils_floor));
                }
            }
        }
        self.rest.lay(&self.adds.objective);
        let objective = self.rest.of(0);
        self.rest.lay(&self.adds.spoiled);
        objective.zip(self.rest.of(0))
    }
}
