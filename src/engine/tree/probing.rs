//! Looking one lunch ahead from a node, with the shares at hand.

use crate::engine::bound::mean_rules::drop_by_means;
use crate::engine::bound::prefilter::BLOCK;
use crate::engine::bound::smallest::{Least, Room};
use crate::engine::model::items::SET;
use crate::engine::model::sums::{least_of, split};
use crate::engine::stage::ASKS;
use crate::engine::tree::searched::{Candidates, Task};
use crate::engine::tree::worker::{Opened, Worker};
use crate::larder::MOST_DAYS;

/// Looks ahead between two questions whether to stop.
const ASKED: usize = 32;

/// Rounds of looking ahead from one lunch.
const MOST_AHEAD: usize = 4;

/// A lunch that may be chosen next.
struct Branch<T> {
    bound: i64,
    /// Place among the node's candidates.
    place: usize,
    item: u32,
    /// What looking ahead leaves after it.
    left: T,
}

impl Branch<Candidates> {
    /// As a task, after what is chosen.
    fn task(self, chosen: &[u32]) -> Task {
        let mut with = chosen.to_vec();
        with.push(self.item);
        Task {
            chosen: with,
            candidates: self.left,
            bound: self.bound,
        }
    }
}

impl Worker<'_, '_> {
    /// Bound of the child that takes candidate `at` and only later ones: they are in
    /// order of share, so the next ones of different recipes are the smallest.
    pub(in crate::engine) fn child_bound(
        &self,
        opened: &Opened,
        at: usize,
        missing: usize,
    ) -> Option<i64> {
        let repeats = self.stage.pool.larder.wishes.repeats;
        let mut sum = opened.base + opened.order[at].0;
        let mut left = missing - 1;
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

    /// Gets the shares one level down ready for looking ahead from any candidate.
    pub(in crate::engine) fn prepare_ahead(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        missing: usize,
    ) {
        let stage = self.stage;
        let pairs = stage.pairs;
        let fixed = &stage.fixed[0];
        let recipes = chosen.iter().map(|&item| pairs.recipe[item as usize]);
        self.room[0] = stage.classes.room(recipes);
        self.held[0].clear(&stage.covers);
        for &item in chosen {
            self.held[0].add(&stage.covers, item);
        }
        self.beside.start(&opened.items, pairs, &stage.classes);
        self.needs
            .start(&stage.covers, &self.held[0], &opened.items);
        self.next_sums.clear();
        for &index in &opened.items {
            let by_pair = pairs.of(index).iter();
            let parts: i64 = by_pair.map(|&pair| self.pair_next[pair as usize]).sum();
            self.next_sums.push(fixed[index as usize] + parts);
        }
        let items = opened.items.iter();
        let low = items.map(|&index| fixed[index as usize]).min().unwrap_or(0);
        let most = self.next_sums.iter().copied().max().unwrap_or(0);
        let top = self.bar().saturating_sub(opened.base).min(most);
        self.sieve.clear(low, top);
        self.ahead_heads.start(missing - 1);
        for &unit in &self.touched {
            let u = unit as usize;
            let bit = pairs.bit[u];
            self.sieve.clear_unit(u);
            self.ahead_heads.set(bit, self.heads[u] as usize);
            for p in pairs.of_unit(unit) {
                self.pair_part[p] = self.sieve.part(self.pair_next[p]);
                self.pair_ahead[p] = self.pair_next[p];
                self.pair_alone[p] = self.pair_more[p];
            }
        }
        self.patched.clear();
        for (&index, &sum) in opened.items.iter().zip(&self.next_sums) {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0 as usize;
                self.sieve.add_part(unit, self.pair_part[pair as usize]);
            }
            self.sieve.add(sum);
        }
        self.sieve.seal();
    }

    /// First place after a lunch taken at `at`.
    pub(in crate::engine) fn after(&self, at: usize) -> usize {
        if self.repeats() > 1 { at } else { at + 1 }
    }

    /// Looks ahead from taking candidate `at`, to the places from `from` on: the bound one
    /// level down, without working the floors out again. The candidates that it leaves are
    /// in `left`, their shares in `pair_ahead`. Places are asked for in rising order.
    ///
    /// Proof. Let i be the lunch taken and R the m - 1 lunches after it. The floor of a unit
    /// that i uses is at least what i makes it. For a unit that i does not use, the shares of
    /// R hold as in the bound above, with m - 1 for m.
    pub(in crate::engine) fn ahead(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        (at, from): (usize, usize),
        missing: usize,
    ) -> Option<i64> {
        let stage = self.stage;
        let pairs = stage.pairs;
        let index = opened.order[at].1;
        let [before, held, _] = &mut self.held;
        held.copy(before);
        if !held.add(&stage.covers, index) {
            return None;
        }
        let recipe = pairs.recipe[index as usize];
        let mut base = opened.base + stage.fixed[0][index as usize];
        for &pair in pairs.of(index) {
            base += self.pair_more[pair as usize];
            self.marked[pairs.list[pair as usize].0 as usize] = true;
        }
        self.work += (opened.order.len() - from) as u64;
        let more = missing - 1;
        let mut room = std::mem::take(&mut self.room[1]);
        room.copy(&self.room[0]);
        stage.classes.take(&mut room, recipe);
        // What stood beside the lunches chosen before still does.
        let times = chosen
            .iter()
            .filter(|&&old| pairs.recipe[old as usize] == recipe);
        let again = (times.count() as i64) + 1 < self.repeats();
        self.beside.allow(
            (recipe, again),
            (&opened.order, from),
            stage.pool,
            &stage.classes,
            &room,
        );
        self.needs.limit(
            &stage.covers,
            (&self.held[0], &self.held[1]),
            index,
            self.beside.allowed_mut(),
        );
        let mut bound = self.first_round(opened, index, base, more, &room);
        if bound.is_some() && !stage.means.is_empty() {
            let mut left = std::mem::take(&mut self.left);
            let with = chosen.iter().copied().chain([index]);
            let rules = (
                stage.means.as_slice(),
                stage.pairs.recipe.as_slice(),
                self.repeats(),
            );
            drop_by_means(rules, &with, &mut left, more);
            self.left = left;
            if self.left.is_empty() {
                bound = None;
            }
        }
        for round in 1..MOST_AHEAD {
            if bound.is_none() {
                break;
            }
            let before = self.left.len();
            let repeats = self.repeats();
            self.ahead_heads
                .count(&self.left, pairs, &stage.classes, &room, repeats);
            if !self.patch(index, round == 1) && round > 1 {
                // All shares are as they were, and so is what they leave.
                break;
            }
            bound = self.sift_ahead(base, more, &room);
            if self.left.len() == before {
                break;
            }
        }
        if bound.is_some() && !self.within_ceilings(index, more, &room) {
            bound = None;
        }
        self.room[1] = room;
        for &pair in pairs.of(index) {
            self.marked[pairs.list[pair as usize].0 as usize] = false;
        }
        let (bound, _) = bound?;
        if !stage.apart.is_empty() {
            let mut with = chosen.to_vec();
            with.push(index);
            let mut left = std::mem::take(&mut self.left);
            left.retain(|&other| self.fits(&with, other));
            self.left = left;
        }
        Some(bound)
    }

    /// Drops what looking ahead has left where a sum with a ceiling would be too large, with the
    /// shares of the first round; false if nothing is left.
    fn within_ceilings(&mut self, index: u32, more: usize, room: &Room) -> bool {
        let stage = self.stage;
        let pairs = stage.pairs;
        (1..stage.gauges.len()).all(|dimension| {
            let fixed = &stage.fixed[dimension];
            let below = std::mem::take(&mut self.below[dimension]);
            let mut base = below.base + fixed[index as usize];
            for &pair in pairs.of(index) {
                base += below.more[pair as usize];
            }
            let sums = self.sift((dimension, base), more, room, |worker, other| {
                let mut share = fixed[other as usize];
                for &pair in pairs.of(other) {
                    if !worker.marked[pairs.list[pair as usize].0 as usize] {
                        share += below.next[pair as usize];
                    }
                }
                share
            });
            self.below[dimension] = below;
            sums.is_some()
        })
    }

    /// The first round: shares one level down, less those of units that the lunch uses. The
    /// sieve tells whose need to be added up.
    fn first_round(
        &mut self,
        opened: &Opened,
        index: u32,
        base: i64,
        more: usize,
        room: &Room,
    ) -> Option<(i64, i64)> {
        let stage = self.stage;
        let pairs = stage.pairs;
        let bar = self.bar();
        let units = pairs.of(index).iter();
        let parts = units.len();
        self.sieve
            .lay(units.map(|&pair| pairs.list[pair as usize].0 as usize));
        let exact = |rank: usize, other: u32| {
            let mut share = self.next_sums[rank];
            for &pair in pairs.of(other) {
                if self.marked[pairs.list[pair as usize].0 as usize] {
                    share -= self.pair_next[pair as usize];
                }
            }
            share
        };
        let mut least = Least::new(&stage.classes, room, more, self.repeats());
        // A share that is too dear with the least there is in all other places is in no sum
        // that is not beaten.
        let others = self.sieve.least(self.beside.allowed())?;
        let others = others.saturating_mul(more as i64 - 1);
        let dearest = bar.saturating_sub(base).saturating_sub(others);
        let mut held = self.sieve.hold(dearest);
        if self.repeats() == 1 {
            // What seems cheapest in each block first: that leaves fewer to look at. Offered
            // again, it changes nothing.
            for (block, &allowed) in self.beside.allowed().iter().enumerate() {
                let least_held = self.sieve.least_of(block);
                let ranks = allowed & self.sieve.within(block, least_held.min(held));
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                if ranks != 0 {
                    let other = opened.items[rank];
                    let share = exact(rank, other);
                    if share < least.worst {
                        least.add(share, pairs.recipe[other as usize]);
                    }
                }
            }
            held = held.min(self.sieve.hold(least.worst.saturating_sub(1)));
        }
        for (block, &allowed) in self.beside.allowed().iter().enumerate() {
            let mut ranks = allowed & self.sieve.within(block, held);
            while ranks != 0 {
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                ranks &= ranks - 1;
                let other = opened.items[rank];
                if !self.sieve.may(rank, held) {
                    continue;
                }
                let share = exact(rank, other);
                if share < least.worst {
                    least.add(share, pairs.recipe[other as usize]);
                    held = held.min(self.sieve.hold(least.worst.saturating_sub(1)));
                }
            }
        }
        let (all, others) = least.sums()?;
        if base + all > bar {
            return None;
        }
        let most = bar.saturating_sub(base + others);
        let held = self.sieve.hold(most);
        self.left.clear();
        for (block, &allowed) in self.beside.allowed().iter().enumerate() {
            let mut ranks = allowed & self.sieve.within(block, held);
            while ranks != 0 {
                let rank = block * BLOCK + ranks.trailing_zeros() as usize;
                ranks &= ranks - 1;
                let other = opened.items[rank];
                if self.sieve.certain(rank, held, parts) || exact(rank, other) <= most {
                    self.left.push(other);
                }
            }
        }
        Some((base + all, base + others))
    }

    /// Works out the shares of units whose heads have changed since the node or the round
    /// before; in the `first` round also of those that the lunch itself uses. All others are
    /// the node's. Returns whether there are any.
    fn patch(&mut self, index: u32, first: bool) -> bool {
        let stage = self.stage;
        let pairs = stage.pairs;
        let gauge = &stage.gauges[0];
        if first {
            for unit in self.patched.drain(..) {
                for p in pairs.of_unit(unit) {
                    self.pair_ahead[p] = self.pair_next[p];
                    self.pair_alone[p] = self.pair_more[p];
                }
            }
        }
        let mut any = false;
        let mut known = std::mem::take(&mut self.known[0]);
        for word in 0..pairs.words {
            let mut bits = self.ahead_heads.changed(word, first);
            if first {
                bits |= pairs.mask(index)[word];
            }
            bits &= self.ahead_heads.used(word);
            while bits != 0 {
                let bit = (word * SET) as u32 + bits.trailing_zeros();
                bits &= bits - 1;
                any = true;
                let unit = pairs.unit[bit as usize];
                let u = unit as usize;
                let mut heads = self.ahead_heads.of(bit);
                self.patched.push(unit);
                let (mut used, mut here) = (self.used[u], self.here[u]);
                if self.marked[u] {
                    // What comes on top of the lunch, for the others that may use it.
                    let mut own = pairs.of(index).iter().map(|&pair| pair as usize);
                    let own = own.find(|&p| pairs.list[p].0 == unit).expect("marked");
                    used += pairs.list[own].1;
                    here += self.pair_more[own];
                    heads = heads.min(self.heads[u] - 1).max(1);
                }
                let shares = known.of(gauge, stage.pool, unit, used, heads);
                let rise = split((shares.here - here).max(0), heads);
                for (p, one) in pairs.of_unit(unit).zip(&shares.by_amount) {
                    self.pair_alone[p] = (one.floor - here).max(0);
                    self.pair_ahead[p] = one.share + rise;
                }
            }
        }
        self.known[0] = known;
        any
    }

    /// A further round of looking ahead, with the heads of what is left: drops what is too
    /// dear and returns the bound; none if nothing is left.
    fn sift_ahead(&mut self, base: i64, more: usize, room: &Room) -> Option<(i64, i64)> {
        let stage = self.stage;
        let fixed = &stage.fixed[0];
        self.sift((0, base), more, room, |worker, other| {
            let by_pair = stage.pairs.of(other).iter();
            let parts: i64 = by_pair.map(|&pair| worker.pair_ahead[pair as usize]).sum();
            fixed[other as usize] + parts
        })
    }

    /// Drops what looking ahead has left where it is too dear in one dimension, with the least
    /// shares of the others; returns the least sum, and that of one lunch fewer, from the base on.
    fn sift(
        &mut self,
        (dimension, base): (usize, i64),
        more: usize,
        room: &Room,
        share: impl Fn(&Self, u32) -> i64,
    ) -> Option<(i64, i64)> {
        let stage = self.stage;
        let recipe = |item: u32| stage.pairs.recipe[item as usize];
        let top = self.top(dimension);
        let mut left = std::mem::take(&mut self.left);
        let mut shares = std::mem::take(&mut self.ahead_shares);
        let mut least = Least::new(&stage.classes, room, more, self.repeats());
        shares.clear();
        for &other in &left {
            let share = share(self, other);
            shares.push(share);
            if share < least.worst {
                least.add(share, recipe(other));
            }
        }
        let sums = least.sums().filter(|sums| base + sums.0 <= top);
        if let Some(sums) = sums {
            let mut shares = shares.iter();
            let (mut last, mut most) = (u32::MAX, 0);
            left.retain(|&other| {
                let recipe = recipe(other);
                if recipe != last {
                    last = recipe;
                    most = top.saturating_sub(base + least.beside(recipe, sums));
                }
                shares.next().is_some_and(|&share| share <= most)
            });
        }
        self.left = left;
        self.ahead_shares = shares;
        sums.map(|(all, others)| (base + all, base + others))
    }

    /// Lists the children of a node as tasks, or searches it at once if it is the last
    /// choice.
    pub(in crate::engine) fn children(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
        tasks: &mut Vec<Task>,
    ) {
        self.nodes += 1;
        self.set_used(chosen);
        if missing == 1 {
            self.last_lunch(&mut chosen.to_vec(), candidates);
            return;
        }
        let Some(opened) = self.open_members(chosen, candidates, missing) else {
            return;
        };
        let branches = self.branches(chosen, &opened, missing, (0, 1), Candidates::new);
        tasks.extend(branches.into_iter().map(|branch| branch.task(chosen)));
    }

    /// Children of the root as tasks, of one in so many places, with their places.
    pub(in crate::engine) fn root_children(
        &mut self,
        roots: &[u32],
        part: (usize, usize),
    ) -> Vec<(usize, Task)> {
        let missing = self.stage.pool.last as usize;
        self.set_used(&[]);
        let Some(opened) = self.open(&[], roots, missing) else {
            return Vec::new();
        };
        let branches = self.branches(&[], &opened, missing, part, Candidates::new);
        let tasks = branches.into_iter();
        tasks
            .map(|branch| (branch.place, branch.task(&[])))
            .collect()
    }

    /// What may be chosen next at a node, of one in so many places; `keep` holds what looking
    /// ahead leaves.
    ///
    /// All of it at once: what is looked ahead from is overwritten further down.
    fn branches<T>(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        missing: usize,
        (part, parts): (usize, usize),
        keep: impl Fn(&[u32]) -> T,
    ) -> Vec<Branch<T>> {
        let mut branches = Vec::new();
        self.prepare_ahead(chosen, opened, missing);
        for (done, at) in (part..opened.order.len()).step_by(parts).enumerate() {
            let Some(bound) = self.child_bound(opened, at, missing) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            if self.stage.halted(done % ASKED == ASKED - 1) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                break;
            }
            let places = (at, self.after(at));
            if let Some(ahead) = self.ahead(chosen, opened, places, missing) {
                branches.push(Branch {
                    bound: bound.max(ahead),
                    place: at,
                    item: opened.order[at].1,
                    left: keep(&self.left),
                });
            }
        }
        branches
    }

    /// Lists the children of the root for weeks with one of the items to `keep`, each with
    /// those not taken yet and all that are not of these: the order in which lunches are
    /// chosen is free.
    pub(in crate::engine) fn children_with(
        &mut self,
        keep: &[bool],
        roots: &[u32],
        missing: usize,
        tasks: &mut Vec<Task>,
    ) {
        self.nodes += 1;
        self.set_used(&[]);
        let Some(opened) = self.open(&[], roots, missing) else {
            return;
        };
        // A recipe that may come again may have the smallest share each time.
        let least = opened.order.first().map_or(0, |&(share, _)| share);
        let shares = opened.order.iter().map(|&(share, _)| share);
        let others: i64 = if self.repeats() > 1 {
            least * (missing as i64 - 1)
        } else {
            shares.take(missing - 1).sum()
        };
        let rest = opened.base + others;
        let mut left: Vec<u32> = opened.order.iter().map(|&(_, item)| item).collect();
        left.sort_unstable();
        for &(share, item) in &opened.order {
            if !keep[item as usize] {
                continue;
            }
            let beside = left.iter().copied();
            tasks.push(Task {
                chosen: vec![item],
                candidates: Candidates::new(
                    &beside
                        .filter(|&other| self.fits(&[item], other))
                        .collect::<Vec<u32>>(),
                ),
                bound: rest + share,
            });
            left.retain(|&other| other != item);
        }
    }

    /// Searches below a node. `used` holds what `chosen` uses.
    pub(in crate::engine) fn node(
        &mut self,
        chosen: &mut Vec<u32>,
        candidates: &[u32],
        missing: usize,
        bound: i64,
    ) {
        self.nodes += 1;
        if self
            .stage
            .halted(missing > 1 || self.nodes.is_multiple_of(ASKS))
        {
            self.open_bound = least_of(self.open_bound, Some(bound));
            return;
        }
        if missing == 1 {
            self.last_lunch(chosen, candidates);
            return;
        }
        let Some(opened) = self.open_members(chosen, candidates, missing) else {
            return;
        };
        if missing == 3 {
            self.last_three(chosen, &opened);
            return;
        }
        for branch in self.branches(chosen, &opened, missing, (0, 1), <[u32]>::to_vec) {
            if self.beaten(branch.bound) {
                continue;
            }
            chosen.push(branch.item);
            self.add(branch.item, 1);
            self.node(chosen, &branch.left, missing - 1, branch.bound);
            self.add(branch.item, -1);
            chosen.pop();
        }
    }
}
