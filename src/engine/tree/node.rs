//! The figures of a node: how many lunches may use each unit, floors as they stand, and what
//! each candidate bears of them.
//!
//! They come in an order that the types keep: [`Figures::count`] makes a [`Counted`], and
//! [`Figures::share_out`] asks for one to fill in one dimension. What is read afterwards (by pair) is that of the
//! dimension worked out last: the objective.

use crate::engine::bound::most_users::MostUsers;
use crate::engine::bound::shares::Known;
use crate::engine::bound::smallest::Room;
use crate::engine::model::items::SET;
use crate::engine::model::stamped::Stamped;
use crate::engine::model::sums::split;
use crate::engine::stage::Stage;
use crate::engine::tree::path::Path;

/// What a node's bounds leave.
pub(in crate::engine) struct Opened {
    /// Candidates still possible with their share of the objective, cheapest first once that
    /// is asked for.
    pub(in crate::engine) order: Vec<(i64, u32)>,
    /// The same in item order.
    pub(in crate::engine) items: Vec<u32>,
    pub(in crate::engine) base: i64,
}

/// A node's figures.
pub(in crate::engine) struct Figures {
    /// How many of the lunches to choose may use each unit, all units at once; and those of each
    /// unit.
    counter: MostUsers,
    most_users: Stamped<i64>,
    /// Units that some candidate uses.
    touched: Vec<u32>,
    /// By gauge: shares worked out so far.
    known: Vec<Known>,
    /// Floor of each used or touched unit as it stands.
    here: Vec<i64>,
    by_pair: ByPair,
    /// Shares of the candidates.
    shares: Vec<i64>,
    /// By gauge but the first: the node's sums.
    ceilings: Vec<UnderCeiling>,
}

/// By pair of unit and amount, valid for units touched.
struct ByPair {
    share: Vec<i64>,
    /// What a pair adds to its unit's floor, and its share of that one level down.
    more: Vec<i64>,
    next: Vec<i64>,
}

/// What a node is under one of its sums with a ceiling, for looking ahead from it.
#[derive(Default)]
pub(in crate::engine) struct UnderCeiling {
    base: i64,
    /// By pair: share one level down, and what it adds to its unit's floor.
    next: Vec<i64>,
    more: Vec<i64>,
}

impl UnderCeiling {
    /// The base with an item taken.
    pub(in crate::engine) fn with(&self, stage: &Stage, dimension: usize, item: u32) -> i64 {
        let more = stage.pairs.of(item).iter();
        let more: i64 = more.map(|&pair| self.more[pair as usize]).sum();
        self.base + stage.fixed[dimension][item as usize] + more
    }

    /// Share of a pair one level down.
    pub(in crate::engine) fn next(&self, pair: u32) -> i64 {
        self.next[pair as usize]
    }
}

/// A node whose units are counted: what is chosen, and how many lunches are missing. Shares are
/// asked with it.
#[derive(Clone, Copy)]
pub(in crate::engine) struct Counted<'w> {
    chosen: &'w [u32],
    missing: usize,
}

impl Figures {
    pub(in crate::engine) fn new(stage: &Stage) -> Self {
        let (units, pairs) = (stage.units(), stage.pairs.list.len());
        Self {
            counter: MostUsers::new(stage.pairs),
            most_users: Stamped::new(units),
            touched: Vec::new(),
            known: stage.gauges.iter().map(|_| Known::default()).collect(),
            here: vec![0; units],
            by_pair: ByPair {
                share: vec![0; pairs],
                more: vec![0; pairs],
                next: vec![0; pairs],
            },
            shares: Vec::new(),
            ceilings: stage
                .gauges
                .iter()
                .map(|_| UnderCeiling::default())
                .collect(),
        }
    }

    /// Counts, per unit, how many of the `missing` lunches could use it beside those `chosen`,
    /// which leave so much room in the classes.
    pub(in crate::engine) fn count<'w>(
        &mut self,
        stage: &Stage,
        (chosen, missing): (&'w [u32], usize),
        candidates: &[u32],
        room: &Room,
    ) -> Counted<'w> {
        let pairs = stage.pairs;
        self.most_users.forget();
        self.touched.clear();
        self.counter.start(missing);
        self.counter
            .count(candidates, pairs, &stage.classes, room, stage.repeats());
        for word in 0..pairs.words {
            let mut bits = self.counter.used(word);
            while bits != 0 {
                let bit = (word * SET) as u32 + bits.trailing_zeros();
                bits &= bits - 1;
                let unit = pairs.unit[bit as usize];
                self.most_users.set(unit as usize, self.counter.of(bit));
                self.touched.push(unit);
            }
        }
        Counted { chosen, missing }
    }

    /// Units that some candidate uses.
    pub(in crate::engine) fn touched(&self) -> &[u32] {
        &self.touched
    }

    /// Lunches that may use a unit touched.
    pub(in crate::engine) fn most_users(&self, unit: u32) -> i64 {
        self.most_users.get(unit as usize).unwrap_or(0)
    }

    /// Floor of a unit touched, as it stands.
    pub(in crate::engine) fn here(&self, unit: u32) -> i64 {
        self.here[unit as usize]
    }

    /// What pairs add to their units' floors.
    pub(in crate::engine) fn more(&self) -> &[i64] {
        &self.by_pair.more
    }

    /// Shares of pairs one level down.
    pub(in crate::engine) fn next(&self) -> &[i64] {
        &self.by_pair.next
    }

    /// Shares of the candidates.
    pub(in crate::engine) fn shares(&self) -> &[i64] {
        &self.shares
    }

    /// Shares of units worked out so far, by the objective.
    pub(in crate::engine) fn known(&mut self) -> &mut Known {
        &mut self.known[0]
    }

    /// What the node is under a sum with a ceiling.
    pub(in crate::engine) fn under(&self, dimension: usize) -> &UnderCeiling {
        &self.ceilings[dimension]
    }

    /// Remembers what the node is in the dimension worked out last, one with a ceiling.
    pub(in crate::engine) fn keep_under(&mut self, dimension: usize, base: i64) {
        let under = &mut self.ceilings[dimension];
        under.base = base;
        under.next.clone_from(&self.by_pair.next);
        under.more.clone_from(&self.by_pair.more);
    }
}

impl Figures {
    /// Base of the node, and the share of each candidate, in one dimension. The path has what is
    /// chosen as used.
    pub(in crate::engine) fn share_out(
        &mut self,
        path: &Path,
        counted: Counted,
        dimension: usize,
        candidates: &[u32],
    ) -> i64 {
        let stage = path.stage;
        let fixed = &stage.fixed[dimension];
        let base = self.base(path, counted.chosen, dimension);
        self.share_units(path, counted.missing as i64, dimension);
        let by_pair = &self.by_pair.share;
        self.shares.clear();
        for &index in candidates {
            let parts = stage.pairs.of(index).iter();
            let parts: i64 = parts.map(|&pair| by_pair[pair as usize]).sum();
            self.shares.push(fixed[index as usize] + parts);
        }
        base
    }

    /// Floors of the units as they stand, with what is chosen costs in any case.
    fn base(&mut self, path: &Path, chosen: &[u32], dimension: usize) -> i64 {
        let stage = path.stage;
        let gauge = &stage.gauges[dimension];
        let pairs = stage.pairs;
        let mut base = gauge.constant;
        for &index in chosen {
            base += stage.fixed[dimension][index as usize];
        }
        for &unit in &self.touched {
            self.here[unit as usize] = 0;
        }
        // A unit of several items counts once.
        for (at, &index) in chosen.iter().enumerate() {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                let seen = chosen[..at].iter().any(|&old| pairs.uses(old, unit));
                if !seen {
                    base += self.floor_here(path, dimension, unit);
                }
            }
        }
        for &unit in gauge.restless.iter() {
            if path.used()[unit as usize] == 0 {
                base += self.floor_here(path, dimension, unit);
            }
        }
        base
    }

    /// Floor of a unit as it stands at the node, remembered for the shares.
    fn floor_here(&mut self, path: &Path, dimension: usize, unit: u32) -> i64 {
        let u = unit as usize;
        let (used, pool) = (path.used()[u], path.stage.pool);
        let gauge = &path.stage.gauges[dimension];
        let floor = match self.most_users.get(u) {
            Some(users) => {
                let known = &mut self.known[dimension];
                known.of(gauge, pool, unit, used, users).here
            }
            None => gauge.floor(unit, used, pool.stretch(used)),
        };
        self.here[u] = floor;
        floor
    }

    /// Shares out what each unit touched costs beyond its floor as it stands.
    fn share_units(&mut self, path: &Path, missing: i64, dimension: usize) {
        let stage = path.stage;
        let gauge = &stage.gauges[dimension];
        let known = &mut self.known[dimension];
        let by_pair = &mut self.by_pair;
        for &unit in &self.touched {
            let u = unit as usize;
            let users = self.most_users.get(u).unwrap_or(0);
            let (used, here) = (path.used()[u], self.here[u]);
            let further = users.min(missing - 1).max(1);
            let places = stage.pairs.of_unit(unit);
            let now = known.of(gauge, stage.pool, unit, used, users);
            debug_assert_eq!(now.here, here);
            for (p, one) in places.clone().zip(&now.by_amount) {
                by_pair.share[p] = one.share;
                by_pair.next[p] = one.share;
                by_pair.more[p] = one.floor - here;
            }
            if further < users {
                let next = known.of(gauge, stage.pool, unit, used, further);
                let rise = split(next.here - here, further);
                for (p, one) in places.zip(&next.by_amount) {
                    by_pair.next[p] = one.share + rise;
                }
            }
        }
    }
}
