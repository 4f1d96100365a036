//! Looking one lunch ahead from a node, with the shares at hand.
//!
//! [`ProbeScratch::prepare_ahead`] gets everything ready and returns an [`Ahead`], which alone can
//! look: from one candidate after the other, in the order of the node.

use crate::engine::bound::compatible::Compatible;
use crate::engine::bound::forced::{Forced, MoreForced};
use crate::engine::bound::mean_rules::drop_by_means;
use crate::engine::bound::most_users::MostUsers;
use crate::engine::bound::prefilter::{BLOCK, Prefilter};
use crate::engine::bound::smallest::{Least, Room};
use crate::engine::bound::verdict::BoundId;
use crate::engine::model::items::SET;
use crate::engine::model::sums::split;
use crate::engine::stage::Stage;
use crate::engine::tree::node::{Figures, Opened};
use crate::engine::tree::path::Path;
use crate::larder::MOST_DAYS;

/// Rounds of looking ahead from one lunch.
const MOST_AHEAD: usize = 4;

/// Scratch for looking ahead.
pub(in crate::engine) struct ProbeScratch {
    from: FromNode,
    lunch: AfterLunch,
    compatible: Compatible,
    /// Shares one level down, as the prefilter has them.
    prefilter: Prefilter,
    /// How many of the lunches after the one looked ahead from may use each unit.
    most_users: MostUsers,
}

/// What holds at the node, whatever lunch is looked ahead from.
struct FromNode {
    /// Room for classes, and what must be bought.
    room: Room,
    forced: Forced,
    more_forced: MoreForced,
    /// Shares one level down, by rank in item order; and in the prefilter, by pair.
    next_sums: Vec<i64>,
    next_part: Vec<u16>,
}

/// What holds after the lunch looked ahead from.
struct AfterLunch {
    room: Room,
    forced: Forced,
    /// Units of the lunch.
    marked: Vec<bool>,
    /// Share of a pair, and what it adds by itself; units for which these differ from the node's.
    share: Vec<i64>,
    alone: Vec<i64>,
    patched: Vec<u32>,
    /// Candidates that looking ahead leaves, in item order, and their shares.
    left: Vec<u32>,
    left_shares: Vec<i64>,
}

/// A node made ready for looking ahead from any of its candidates.
pub(in crate::engine) struct Ahead<'w, 's, 'a> {
    scratch: &'w mut ProbeScratch,
    node: &'w mut Figures,
    stage: &'s Stage<'a>,
    chosen: &'w [u32],
    missing: usize,
    opened: &'w Opened,
}

impl ProbeScratch {
    pub(in crate::engine) fn new(stage: &Stage) -> Self {
        let (units, pairs) = (stage.units(), stage.pairs.list.len());
        Self {
            from: FromNode {
                room: Room::default(),
                forced: Forced::default(),
                more_forced: MoreForced::default(),
                next_sums: Vec::new(),
                next_part: vec![0; pairs],
            },
            lunch: AfterLunch {
                room: Room::default(),
                forced: Forced::default(),
                marked: vec![false; units],
                share: vec![0; pairs],
                alone: vec![0; pairs],
                patched: Vec::new(),
                left: Vec::new(),
                left_shares: Vec::new(),
            },
            compatible: Compatible::new(stage.items.len(), stage.pool.larder.recipes.len()),
            prefilter: Prefilter::new(units),
            most_users: MostUsers::new(stage.pairs),
        }
    }

    /// Gets the shares one level down ready for looking ahead from any candidate of a node, whose
    /// figures are those of its bounds.
    pub(in crate::engine) fn prepare_ahead<'w, 's, 'a>(
        &'w mut self,
        path: &Path<'s, 'a>,
        node: &'w mut Figures,
        (chosen, missing): (&'w [u32], usize),
        opened: &'w Opened,
    ) -> Ahead<'w, 's, 'a> {
        let stage = path.stage;
        let from = &mut self.from;
        let recipes = chosen.iter().map(|&item| stage.pairs.recipe[item as usize]);
        from.room = stage.classes.room(recipes);
        from.forced.clear(&stage.covers);
        for &item in chosen {
            from.forced.add(&stage.covers, item);
        }
        self.compatible
            .start(&opened.items, stage.pairs, &stage.classes);
        from.more_forced
            .start(&stage.covers, &from.forced, &opened.items);
        self.most_users.start(missing - 1);
        for &unit in node.touched() {
            let bit = stage.pairs.bit[unit as usize];
            self.most_users.set(bit, node.most_users(unit) as usize);
        }
        self.fill(path, node, opened);
        Ahead {
            scratch: self,
            node,
            stage,
            chosen,
            missing,
            opened,
        }
    }

    /// Fills the sums one level down and the prefilter of them.
    fn fill(&mut self, path: &Path, node: &Figures, opened: &Opened) {
        let pairs = path.stage.pairs;
        let fixed = &path.stage.fixed[0];
        let Self {
            from,
            lunch,
            prefilter,
            ..
        } = self;
        let next = node.next();
        from.next_sums.clear();
        for &index in &opened.items {
            let by_pair = pairs.of(index).iter();
            let parts: i64 = by_pair.map(|&pair| next[pair as usize]).sum();
            from.next_sums.push(fixed[index as usize] + parts);
        }
        let items = opened.items.iter();
        let low = items.map(|&index| fixed[index as usize]).min().unwrap_or(0);
        let most = from.next_sums.iter().copied().max().unwrap_or(0);
        let top = path.cutoff().saturating_sub(opened.base).min(most);
        prefilter.clear(low, top);
        for &unit in node.touched() {
            prefilter.clear_unit(unit as usize);
            for p in pairs.of_unit(unit) {
                from.next_part[p] = prefilter.part(next[p]);
                lunch.share[p] = next[p];
                lunch.alone[p] = node.more()[p];
            }
        }
        lunch.patched.clear();
        for (&index, &sum) in opened.items.iter().zip(&from.next_sums) {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0 as usize;
                prefilter.add_part(unit, from.next_part[pair as usize]);
            }
            prefilter.add(sum);
        }
        prefilter.seal();
    }
}

impl<'s, 'a> Ahead<'_, 's, 'a> {
    /// What is chosen at the node.
    pub(in crate::engine) fn chosen(&self) -> &[u32] {
        self.chosen
    }

    /// What looking ahead has left, in item order.
    pub(in crate::engine) fn left(&self) -> &[u32] {
        &self.scratch.lunch.left
    }

    /// Share of a pair after the lunch looked ahead from.
    pub(in crate::engine) fn share(&self, pair: u32) -> i64 {
        self.scratch.lunch.share[pair as usize]
    }

    /// What a pair adds by itself after that lunch.
    #[inline]
    pub(in crate::engine) fn alone(&self, pair: u32) -> i64 {
        self.scratch.lunch.alone[pair as usize]
    }

    /// Room for classes after that lunch.
    pub(in crate::engine) fn room(&self) -> &Room {
        &self.scratch.lunch.room
    }

    /// What must be bought after that lunch.
    pub(in crate::engine) fn forced(&self) -> &Forced {
        &self.scratch.lunch.forced
    }

    /// The base of the node with one of its candidates taken.
    pub(in crate::engine) fn base_with(&self, item: u32) -> i64 {
        let more = self.node.more();
        let by_pair = self.stage.pairs.of(item).iter();
        let own: i64 = by_pair.map(|&pair| more[pair as usize]).sum();
        self.opened.base + self.stage.fixed[0][item as usize] + own
    }

    /// What a week costs at least that takes candidate `at` and of the others only later ones, 1e-9 minor units; none if
    /// there are too few of these. Rising in `at`.
    ///
    /// Proof. The base of the node and the shares of the lunches of any completion are no more than it costs
    /// ([`crate::engine::tree::search`]). They are in order of share, so the next ones of different recipes are the smallest
    /// that may come; what else the rules forbid is not asked. Where a recipe may come again, so may the candidate itself: every
    /// lunch has its share at least, or, where too few are counted, its share or nothing, whichever is less. Shares are
    /// whole. Plain definition: the least of base and shares over all such completions.
    pub(in crate::engine) fn child_bound(&self, at: usize) -> Option<i64> {
        let opened = self.opened;
        let repeats = self.stage.repeats();
        let mut sum = opened.base + opened.order[at].0;
        let mut left = self.missing - 1;
        let recipe_of = |index: u32| self.stage.pairs.recipe[index as usize];
        let mut seen = [(0u32, 0i64); MOST_DAYS + 1];
        seen[0] = (recipe_of(opened.order[at].1), 1);
        let mut recipes = 1;
        for &(share, index) in &opened.order[at..] {
            if left == 0 {
                break;
            }
            let recipe = recipe_of(index);
            match seen[..recipes].iter_mut().find(|(r, _)| *r == recipe) {
                Some((_, times)) if *times >= repeats => continue,
                Some((_, times)) => *times += 1,
                None => {
                    seen[recipes] = (recipe, 1);
                    recipes += 1;
                }
            }
            // With repeats an item may come again: its own share is the smallest left.
            sum += if repeats > 1 {
                opened.order[at].0
            } else {
                share
            };
            left -= 1;
        }
        if left > 0 && repeats == 1 {
            return None;
        }
        sum += opened.order[at].0.min(0) * left as i64;
        Some(sum)
    }

    /// First place after a lunch taken at `at`.
    fn after(&self, at: usize) -> usize {
        if self.stage.repeats() > 1 { at } else { at + 1 }
    }

    /// Looks ahead from taking candidate `at`, to the places that come after it: the bound one
    /// level down, without working the floors out again. The candidates that it leaves are
    /// [`Self::left`], the shares of their pairs [`Self::share`]. Places are asked for in rising
    /// order.
    ///
    /// Proof. Let i be the lunch taken and R the m - 1 lunches after it. The floor of a unit
    /// that i uses is at least what i makes it, whatever R adds. For a unit that i does not use, the shares of
    /// R hold as in the bound above, with m - 1 for m; for one that it uses, further rounds have shares of what comes on
    /// top, brought to the same base ([`Self::patch_unit`]). Amounts and floors are whole, a part of a rise is rounded down.
    pub(in crate::engine) fn look(&mut self, path: &mut Path<'s, 'a>, at: usize) -> Option<i64> {
        let stage = self.stage;
        let index = self.opened.order[at].1;
        if !self.take(index) {
            self.close(path, at);
            return None;
        }
        path.found.work += (self.opened.order.len() - self.after(at)) as u64;
        self.allow_compatible(at);
        self.mark(index, true);
        let bound = self.rounds(path, index);
        self.mark(index, false);
        let Some(bound) = bound else {
            self.close(path, at);
            return None;
        };
        #[cfg(test)]
        path.watch(BoundId::Ahead, &self.with(at), self.later(at), self.left());
        if !stage.apart.is_empty() {
            let mut with = self.chosen.to_vec();
            with.push(index);
            let left = &mut self.scratch.lunch.left;
            left.retain(|&other| stage.fits(&with, other));
        }
        Some(bound)
    }

    /// Candidates that come after a lunch taken at `at`.
    fn later(&self, at: usize) -> impl Iterator<Item = u32> {
        let later = &self.opened.order[self.after(at)..];
        later.iter().map(|&(_, item)| item)
    }

    /// What is chosen with a lunch taken at `at`.
    fn with(&self, at: usize) -> Vec<u32> {
        let taken = self.opened.order[at].1;
        self.chosen.iter().copied().chain([taken]).collect()
    }

    /// Nothing can matter with a lunch taken at `at`.
    fn close(&self, path: &mut Path, at: usize) {
        path.close_at(BoundId::Ahead, || (self.with(at), self.later(at).collect()));
    }

    /// Takes the lunch; false if it makes the week buy more than it may.
    fn take(&mut self, index: u32) -> bool {
        let stage = self.stage;
        let ProbeScratch { from, lunch, .. } = &mut *self.scratch;
        lunch.forced.copy(&from.forced);
        if !lunch.forced.add(&stage.covers, index) {
            return false;
        }
        lunch.room.copy(&from.room);
        let recipe = stage.pairs.recipe[index as usize];
        stage.classes.take(&mut lunch.room, recipe);
        true
    }

    /// Notes the units of the lunch, or forgets them.
    fn mark(&mut self, index: u32, mark: bool) {
        let pairs = self.stage.pairs;
        for &pair in pairs.of(index) {
            self.scratch.lunch.marked[pairs.list[pair as usize].0 as usize] = mark;
        }
    }

    /// Tells which candidates the rules on recipes and the cap let stand beside the lunch.
    fn allow_compatible(&mut self, at: usize) {
        let stage = self.stage;
        let pairs = stage.pairs;
        let index = self.opened.order[at].1;
        let recipe = pairs.recipe[index as usize];
        // What stood beside the lunches chosen before still does.
        let times = self
            .chosen
            .iter()
            .filter(|&&old| pairs.recipe[old as usize] == recipe);
        let again = (times.count() as i64) + 1 < stage.repeats();
        let from_place = self.after(at);
        let ProbeScratch {
            from,
            lunch,
            compatible,
            ..
        } = &mut *self.scratch;
        compatible.allow(
            (recipe, again),
            (&self.opened.order, from_place),
            stage.pool,
            &stage.classes,
            &lunch.room,
        );
        from.more_forced.limit(
            &stage.covers,
            (&from.forced, &lunch.forced),
            index,
            compatible.allowed_mut(),
        );
    }

    /// All rounds of looking ahead: the bound, none if nothing is left.
    fn rounds(&mut self, path: &Path, index: u32) -> Option<i64> {
        let stage = self.stage;
        let base = self.base_with(index);
        let more = self.missing - 1;
        let mut bound = self.first_round(path.cutoff(), index, base)?;
        if !stage.means.is_empty() {
            let with = self.chosen.iter().copied().chain([index]);
            let rules = (
                stage.means.as_slice(),
                stage.pairs.recipe.as_slice(),
                stage.repeats(),
            );
            let left = &mut self.scratch.lunch.left;
            drop_by_means(rules, &with, left, more);
            if left.is_empty() {
                return None;
            }
        }
        for round in 1..MOST_AHEAD {
            let before = self.left().len();
            self.count_users();
            if !self.patch(path, index, round == 1) && round > 1 {
                // All shares are as they were, and so is what they leave.
                break;
            }
            bound = self.sift_ahead(path.cutoff(), base)?;
            if self.left().len() == before {
                break;
            }
        }
        self.within_ceilings(index).then_some(bound)
    }

    /// Counts how many lunches of what is left may use each unit.
    fn count_users(&mut self) {
        let stage = self.stage;
        let ProbeScratch {
            lunch, most_users, ..
        } = &mut *self.scratch;
        most_users.count(
            &lunch.left,
            stage.pairs,
            &stage.classes,
            &lunch.room,
            stage.repeats(),
        );
    }

    /// Drops what looking ahead has left where a sum with a ceiling would be too large, with the
    /// shares of the first round; false if nothing is left.
    fn within_ceilings(&mut self, index: u32) -> bool {
        let stage = self.stage;
        let pairs = stage.pairs;
        let more = self.missing - 1;
        (1..stage.gauges.len()).all(|dimension| {
            let fixed = &stage.fixed[dimension];
            let under = self.node.under(dimension);
            let base = under.with(stage, dimension, index);
            let top = stage.limits[dimension - 1];
            let sums = self
                .scratch
                .lunch
                .sift(stage, (base, top), more, |marked, _, other| {
                    let mut share = fixed[other as usize];
                    for &pair in pairs.of(other) {
                        if !marked[pairs.list[pair as usize].0 as usize] {
                            share += under.next(pair);
                        }
                    }
                    share
                });
            sums.is_some()
        })
    }

    /// A further round of looking ahead, with the most users among what is left: drops what is too
    /// dear and returns the bound; none if nothing is left.
    fn sift_ahead(&mut self, cutoff: i64, base: i64) -> Option<i64> {
        let stage = self.stage;
        let fixed = &stage.fixed[0];
        let more = self.missing - 1;
        self.scratch
            .lunch
            .sift(stage, (base, cutoff), more, |_, shares, other| {
                let by_pair = stage.pairs.of(other).iter();
                let parts: i64 = by_pair.map(|&pair| shares[pair as usize]).sum();
                fixed[other as usize] + parts
            })
    }

    /// The first round: shares one level down, less those of units that the lunch uses. The
    /// prefilter tells whose need to be added up.
    fn first_round(&mut self, cutoff: i64, index: u32, base: i64) -> Option<i64> {
        let pairs = self.stage.pairs;
        let units = pairs.of(index).iter();
        let parts = units.len();
        self.scratch
            .prefilter
            .lay(units.map(|&pair| pairs.list[pair as usize].0 as usize));
        let (all, others) = self.smallest(cutoff, base)?;
        if base + all > cutoff {
            return None;
        }
        self.keep_within(cutoff.saturating_sub(base + others), parts);
        Some(base + all)
    }

    /// Share of a candidate beside the lunch.
    #[inline]
    fn share_beside(&self, rank: usize, other: u32) -> i64 {
        let pairs = self.stage.pairs;
        let next = self.node.next();
        let mut share = self.scratch.from.next_sums[rank];
        for &pair in pairs.of(other) {
            if self.scratch.lunch.marked[pairs.list[pair as usize].0 as usize] {
                share -= next[pair as usize];
            }
        }
        share
    }

    /// The smallest shares beside the lunch that a choice of candidates adds up, and those of one
    /// fewer; none if there are too few that could be within the cutoff.
    fn smallest(&self, cutoff: i64, base: i64) -> Option<(i64, i64)> {
        let stage = self.stage;
        let recipe = &stage.pairs.recipe;
        let ProbeScratch {
            lunch,
            compatible,
            prefilter,
            ..
        } = &*self.scratch;
        let more = self.missing - 1;
        let mut least = Least::new(&stage.classes, &lunch.room, more, stage.repeats());
        // A share that is too dear with the least there is in all other places is in no sum
        // that is not beaten.
        let others = prefilter.least(compatible.allowed())?;
        let others = others.saturating_mul(more as i64 - 1);
        let dearest = cutoff.saturating_sub(base).saturating_sub(others);
        let mut held = prefilter.hold(dearest);
        if stage.repeats() == 1 {
            // What seems cheapest in each block first: that leaves fewer to look at. Offered
            // again, it changes nothing.
            for (block, &allowed) in compatible.allowed().iter().enumerate() {
                let least_held = prefilter.least_of(block);
                let ranks = allowed & prefilter.within(block, least_held.min(held));
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                if ranks != 0 {
                    let other = self.opened.items[rank];
                    let share = self.share_beside(rank, other);
                    if share < least.worst {
                        least.add(share, recipe[other as usize]);
                    }
                }
            }
            held = held.min(prefilter.hold(least.worst.saturating_sub(1)));
        }
        for (block, &allowed) in compatible.allowed().iter().enumerate() {
            let mut ranks = allowed & prefilter.within(block, held);
            while ranks != 0 {
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                ranks &= ranks - 1;
                if !prefilter.may(rank, held) {
                    continue;
                }
                let other = self.opened.items[rank];
                let share = self.share_beside(rank, other);
                if share < least.worst {
                    least.add(share, recipe[other as usize]);
                    held = held.min(prefilter.hold(least.worst.saturating_sub(1)));
                }
            }
        }
        least.sums()
    }

    /// Leaves candidates whose share beside the lunch, which has so many units, is at most `most`.
    fn keep_within(&mut self, most: i64, parts: usize) {
        let mut left = std::mem::take(&mut self.scratch.lunch.left);
        left.clear();
        let ProbeScratch {
            compatible,
            prefilter,
            ..
        } = &*self.scratch;
        let held = prefilter.hold(most);
        for (block, &allowed) in compatible.allowed().iter().enumerate() {
            let mut ranks = allowed & prefilter.within(block, held);
            while ranks != 0 {
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                ranks &= ranks - 1;
                let other = self.opened.items[rank];
                if prefilter.certain(rank, held, parts) || self.share_beside(rank, other) <= most {
                    left.push(other);
                }
            }
        }
        self.scratch.lunch.left = left;
    }

    /// Works out the shares of units whose most users have changed since the node or the round
    /// before; in the `first` round also of those that the lunch itself uses. All others are
    /// the node's. Returns whether there are any.
    fn patch(&mut self, path: &Path, index: u32, first: bool) -> bool {
        let pairs = self.stage.pairs;
        if first {
            self.scratch.lunch.unpatch(self.stage, self.node);
        }
        let mut any = false;
        for word in 0..pairs.words {
            let mut bits = self.scratch.most_users.changed(word, first);
            if first {
                bits |= pairs.mask(index)[word];
            }
            bits &= self.scratch.most_users.used(word);
            while bits != 0 {
                let bit = (word * SET) as u32 + bits.trailing_zeros();
                bits &= bits - 1;
                any = true;
                self.patch_unit(path, index, bit);
            }
        }
        any
    }

    /// The same of one unit. Its base is `here`, its shares lie on `shares.here`: how one is brought to the other, and why
    /// that holds, is in models/search.md ("What all bounds rest on").
    fn patch_unit(&mut self, path: &Path, index: u32, bit: u32) {
        let stage = self.stage;
        let pairs = stage.pairs;
        let unit = pairs.unit[bit as usize];
        let u = unit as usize;
        let mut users = self.scratch.most_users.of(bit);
        let lunch = &mut self.scratch.lunch;
        lunch.patched.push(unit);
        let (mut used, mut here) = (path.used()[u], self.node.here(unit));
        if lunch.marked[u] {
            // What comes on top of the lunch, for the others that may use it.
            let mut own = pairs.of(index).iter().map(|&pair| pair as usize);
            let own = own.find(|&p| pairs.list[p].0 == unit).expect("marked");
            used += pairs.list[own].1;
            here += self.node.more()[own];
            users = users.min(self.node.most_users(unit) - 1).max(1);
        }
        let known = self.node.known();
        let shares = known.of(&stage.gauges[0], stage.pool, unit, used, users);
        let rise = split((shares.here - here).max(0), users);
        // Below the base: `used` with the lunch, an amount may come again of which no other lunch takes any, and bring
        // the floor down.
        let less = (here - shares.here).max(0);
        for (p, one) in pairs.of_unit(unit).zip(&shares.by_amount) {
            lunch.alone[p] = (one.floor - here).max(0);
            lunch.share[p] = (one.share - less).max(0) + rise;
        }
    }
}

impl AfterLunch {
    /// Makes all shares the node's again.
    fn unpatch(&mut self, stage: &Stage, node: &Figures) {
        for unit in self.patched.drain(..) {
            for p in stage.pairs.of_unit(unit) {
                self.share[p] = node.next()[p];
                self.alone[p] = node.more()[p];
            }
        }
    }

    /// Drops what looking ahead has left where a sum would be too dear with the least shares of
    /// `more` lunches, from a base on; returns the least sum. `share` gets the units marked,
    /// shares by pair, and the candidate.
    fn sift(
        &mut self,
        stage: &Stage,
        (base, top): (i64, i64),
        more: usize,
        share: impl Fn(&[bool], &[i64], u32) -> i64,
    ) -> Option<i64> {
        let recipe = |item: u32| stage.pairs.recipe[item as usize];
        let mut least = Least::new(&stage.classes, &self.room, more, stage.repeats());
        self.left_shares.clear();
        for &other in &self.left {
            let share = share(&self.marked, &self.share, other);
            self.left_shares.push(share);
            if share < least.worst {
                least.add(share, recipe(other));
            }
        }
        let sums = least.sums().filter(|sums| base + sums.0 <= top)?;
        let mut shares = self.left_shares.iter();
        let (mut last, mut most) = (u32::MAX, 0);
        self.left.retain(|&other| {
            let recipe = recipe(other);
            if recipe != last {
                last = recipe;
                most = top.saturating_sub(base + least.beside(recipe, sums));
            }
            shares.next().is_some_and(|&share| share <= most)
        });
        Some(base + sums.0)
    }
}
