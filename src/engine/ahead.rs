//! Looking one lunch ahead from a node, with the shares at hand.

use super::books::{Opened, Worker};
use super::least::{Least, Room};
use super::search::{ASKS, Task, least_of};
use crate::larder::RecipeId;

/// Rounds of looking ahead from one lunch.
const MOST_AHEAD: usize = 4;

/// Recipes are looked ahead from as a whole where they have this many items on average.
const MANY_ITEMS: usize = 3;

impl Worker<'_, '_> {
    /// Bound of the child that takes candidate `at` and only later ones: they are in
    /// order of share, so the next ones of different recipes are the smallest.
    pub(super) fn child_bound(&self, opened: &Opened, at: usize, missing: usize) -> Option<i64> {
        let repeats = self.stage.pool.larder.wishes.repeats;
        let mut sum = opened.base + opened.order[at].0;
        let mut left = missing - 1;
        let mut seen: Vec<(RecipeId, i64)> = vec![(self.item(opened.order[at].1).recipe, 1)];
        for &(share, index) in &opened.order[at..] {
            if left == 0 {
                break;
            }
            let recipe = self.item(index).recipe;
            match seen.iter_mut().find(|(r, _)| *r == recipe) {
                Some((_, times)) if *times >= repeats => continue,
                Some((_, times)) => *times += 1,
                None => seen.push((recipe, 1)),
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
    pub(super) fn prepare_ahead(&mut self, opened: &Opened) {
        let pairs = self.stage.pairs;
        for &unit in &self.touched {
            self.users[unit as usize].clear();
        }
        self.next_sums.clear();
        for (place, &(_, index)) in opened.order.iter().enumerate() {
            let mut sum = self.stage.fixed[0][index as usize];
            for &pair in pairs.of(index) {
                let share = self.pair_next[pair as usize];
                sum += share;
                let unit = pairs.list[pair as usize].0 as usize;
                self.users[unit].push((place as u32, share));
            }
            self.next_sums.push(sum);
        }
    }

    /// First place after a lunch taken at `at`.
    pub(super) fn after(&self, at: usize) -> usize {
        if self.repeats() > 1 { at } else { at + 1 }
    }

    /// Looks ahead from some candidates of the root to all others: the items that may stand
    /// beside each in a week better than the incumbent; none if no such week has it.
    ///
    /// Proof. As for a child of the root, whatever the order in which lunches are taken.
    pub(super) fn partners(&mut self, roots: &[u32], part: (usize, usize)) -> Vec<(u32, Vec<u32>)> {
        self.set_used(&[]);
        let missing = self.stage.pool.last as usize;
        let Some(opened) = self.open(&[], roots, missing) else {
            return Vec::new();
        };
        self.prepare_ahead(&opened);
        let (part, parts) = part;
        let mut partners = Vec::new();
        for at in (part..opened.order.len()).step_by(parts) {
            if let Some((_, _, left)) = self.ahead(&[], &opened, (at, 0), missing) {
                partners.push((opened.order[at].1, left));
            }
        }
        partners
    }

    /// Looks ahead from taking candidate `at`, to the places from `from` on: the bound one
    /// level down, without working
    /// the floors out again, and the later candidates that it leaves.
    ///
    /// Proof. Let i be the lunch taken and R the m - 1 lunches after it. The floor of a unit
    /// that i uses is at least what i makes it. For a unit that i does not use, the shares of
    /// R hold as in the bound above, with m - 1 for m.
    pub(super) fn ahead(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        (at, from): (usize, usize),
        missing: usize,
    ) -> Option<(i64, Vec<u32>, Vec<u32>)> {
        let stage = self.stage;
        let pairs = stage.pairs;
        let repeats = stage.pool.larder.wishes.repeats;
        let index = opened.order[at].1;
        let mut haves = Vec::with_capacity(stage.covers.len());
        for cover in &stage.covers {
            let mut have = vec![0; cover.words];
            for &old in chosen {
                cover.add(&mut have, old);
            }
            if !cover.fits(&have, index) {
                return None;
            }
            cover.add(&mut have, index);
            haves.push(have);
        }
        let covered = |other: u32| {
            let covers = stage.covers.iter().zip(&haves);
            covers
                .into_iter()
                .all(|(cover, have)| cover.fits(have, other))
        };
        let recipe = pairs.recipe[index as usize];
        let fixed = &stage.fixed[0];
        let mut base = opened.base + fixed[index as usize];
        for &pair in pairs.of(index) {
            base += self.pair_more[pair as usize];
            self.marked[pairs.list[pair as usize].0 as usize] = true;
        }
        self.work += (opened.order.len() - from) as u64;
        let more = missing - 1;
        let recipes = chosen.iter().chain([&index]);
        let room = stage
            .classes
            .room(recipes.map(|&item| pairs.recipe[item as usize]));
        // First round: shares one level down, less those of units that the lunch uses.
        let mut shares = std::mem::take(&mut self.ahead_shares);
        shares.clear();
        shares.extend_from_slice(&self.next_sums[from..]);
        for &pair in pairs.of(index) {
            for &(place, share) in &self.users[pairs.list[pair as usize].0 as usize] {
                if place as usize >= from {
                    shares[place as usize - from] -= share;
                }
            }
        }
        let times = chosen
            .iter()
            .filter(|&&old| pairs.recipe[old as usize] == recipe);
        let again = (times.count() as i64) + 1 < repeats;
        // What stood beside the lunches chosen before still does.
        let admitted = |other: u32| {
            let theirs = pairs.recipe[other as usize];
            let apart = if theirs == recipe {
                again
            } else {
                !stage.pool.clash(RecipeId(recipe), RecipeId(theirs))
            };
            apart
                && stage.classes.admit(&room, theirs)
                && stage.may_stand(index, other)
                && covered(other)
        };
        let mut least = Least::new(&stage.classes, &room, more, repeats);
        for (&share, &(_, other)) in shares.iter().zip(&opened.order[from..]) {
            if share < least.worst && admitted(other) {
                least.add(share, pairs.recipe[other as usize]);
            }
        }
        let mut left: Vec<u32> = Vec::new();
        let mut bound = least
            .sums()
            .map(|(all, others)| (base + all, base + others))
            .filter(|&(bound, _)| !self.beaten(bound));
        if let Some((_, others)) = bound {
            for (&share, &(_, other)) in shares.iter().zip(&opened.order[from..]) {
                if !self.beaten(others + share) && admitted(other) {
                    left.push(other);
                }
            }
            // Items of a recipe side by side, so that recipes can be counted.
            left.sort_unstable();
        }
        self.ahead_shares = shares;
        for _ in 1..MOST_AHEAD {
            if bound.is_none() {
                break;
            }
            let before = left.len();
            self.count_heads(&left, more, &room);
            bound = self.sift_ahead(base, index, &mut left, more, &room);
            if left.len() == before {
                break;
            }
        }
        for &pair in pairs.of(index) {
            self.marked[pairs.list[pair as usize].0 as usize] = false;
        }
        let (bound, _) = bound?;
        let mut with = chosen.to_vec();
        with.push(index);
        if !stage.apart.is_empty() {
            left.retain(|&other| self.fits(&with, other));
        }
        Some((bound, with, left))
    }

    /// Counts, per unit, the recipes among `left` (in item order) that use it, and lists
    /// their pairs.
    pub(super) fn count_heads(&mut self, left: &[u32], more: usize, room: &Room) {
        let stage = self.stage;
        let pairs = stage.pairs;
        let repeats = self.repeats();
        self.ahead_now += 1;
        self.ahead_by_class.next();
        self.ahead_pairs.clear();
        for &index in left {
            let recipe = pairs.recipe[index as usize];
            for (&pair, &group) in pairs.of(index).iter().zip(pairs.groups_of(index)) {
                let p = pair as usize;
                if self.pair_ahead_stamp[p] == self.ahead_now {
                    if self.pair_ahead_recipe[p] == recipe {
                        continue;
                    }
                } else {
                    self.pair_ahead_stamp[p] = self.ahead_now;
                    self.ahead_pairs.push(pair);
                }
                self.pair_ahead_recipe[p] = recipe;
                let u = pairs.list[p].0 as usize;
                if self.ahead_stamp[u] != self.ahead_now {
                    self.ahead_stamp[u] = self.ahead_now;
                    self.ahead_by_class.clear(u, more);
                } else if self.ahead_recipe[u] == recipe {
                    continue;
                }
                self.ahead_recipe[u] = recipe;
                self.ahead_by_class
                    .count(u, (recipe, group), &stage.classes, room, repeats);
                self.ahead_heads[u] = self.ahead_by_class.heads(u);
            }
        }
    }

    /// A further round of looking ahead, with the heads of what is left: drops what is too
    /// dear after `index` and returns the bound; none if nothing is left.
    pub(super) fn sift_ahead(
        &mut self,
        base: i64,
        index: u32,
        left: &mut Vec<u32>,
        more: usize,
        room: &Room,
    ) -> Option<(i64, i64)> {
        let stage = self.stage;
        let pairs = stage.pairs;
        let gauge = &stage.gauges[0];
        let repeats = stage.pool.larder.wishes.repeats;
        let fixed = &stage.fixed[0];
        let heads_of = |worker: &Self, u: usize| worker.ahead_heads[u].max(1);
        // Units of the lunch itself: what comes on top of it.
        for &pair in pairs.of(index) {
            let (unit, taken) = pairs.list[pair as usize];
            let first = self.used[unit as usize] + taken;
            // The node has worked this floor out for the pair itself.
            self.ahead_before[unit as usize] = self.pair_seen[0][pair as usize].2;
            self.ahead_first[unit as usize] = first;
        }
        for at in 0..self.ahead_pairs.len() {
            let pair = self.ahead_pairs[at];
            let p = pair as usize;
            let (unit, amount) = pairs.list[p];
            let u = unit as usize;
            let heads = heads_of(self, u);
            self.pair_alone[p] = self.pair_more[p];
            self.pair_ahead[p] = if self.marked[u] {
                let with = self.ahead_first[u] + amount;
                let top = self.stretch(self.used[u] + self.sum[u]).max(with);
                let seen = &mut self.alone_seen[p];
                if (seen.0, seen.1) != (with, top) {
                    *seen = (with, top, gauge.floor(unit, with, top));
                }
                let alone = (seen.2 - self.ahead_before[u]).max(0);
                self.pair_alone[p] = alone;
                alone / heads
            } else if self.linear[u] == 0 || heads == 1 && self.pair_more[p] > self.pair_next[p] {
                self.pair_more[p] / heads
            } else {
                self.pair_next[p]
            };
        }
        let mut shares: Vec<i64> = Vec::with_capacity(left.len());
        let mut least = Least::new(&stage.classes, room, more, repeats);
        for &other in left.iter() {
            let recipe = pairs.recipe[other as usize];
            let by_pair = pairs.of(other).iter();
            let share = fixed[other as usize]
                + by_pair
                    .map(|&pair| self.pair_ahead[pair as usize])
                    .sum::<i64>();
            shares.push(share);
            if share < least.worst {
                least.add(share, recipe);
            }
        }
        let sums = least.sums()?;
        if self.beaten(base + sums.0) {
            return None;
        }
        let (mut at, mut last, mut beside) = (0, u32::MAX, 0);
        left.retain(|&other| {
            at += 1;
            let recipe = pairs.recipe[other as usize];
            if recipe != last {
                last = recipe;
                beside = least.beside(recipe, sums);
            }
            !self.beaten(base + beside + shares[at - 1])
        });
        Some((base + sums.0, base + sums.1))
    }

    /// Looks ahead from whole recipes first, where they have many items: marks those that
    /// leave nothing whatever item is taken.
    ///
    /// Proof. As in [`Self::ahead`], with the least that any item of the recipe costs, the
    /// units of all its items left out, and the least share of each other recipe.
    pub(super) fn rule_out_recipes(&mut self, chosen: &[u32], opened: &Opened, missing: usize) {
        let stage = self.stage;
        let pairs = stage.pairs;
        self.hopeless_now += 1;
        let mut places: Vec<(u32, u32)> = (opened.order.iter().zip(0..))
            .map(|(&(_, index), place)| (pairs.recipe[index as usize], place))
            .collect();
        places.sort_unstable();
        let groups: Vec<&[(u32, u32)]> = places.chunk_by(|a, b| a.0 == b.0).collect();
        if opened.order.len() < MANY_ITEMS * groups.len() {
            return;
        }
        let units = self.used.len();
        let mut next = Vec::with_capacity(groups.len());
        let mut takes = Vec::with_capacity(groups.len());
        let mut users: Vec<Vec<(u32, i64)>> = vec![Vec::new(); units];
        let mut own: Vec<Vec<u32>> = Vec::with_capacity(groups.len());
        for (g, group) in (0u32..).zip(&groups) {
            let mut least_next = i64::MAX;
            let mut least_take = i64::MAX;
            let mut theirs = Vec::new();
            for &(_, place) in *group {
                let index = opened.order[place as usize].1;
                least_next = least_next.min(self.next_sums[place as usize]);
                let mut take = stage.fixed[0][index as usize];
                for &pair in pairs.of(index) {
                    take += self.pair_more[pair as usize];
                    let unit = pairs.list[pair as usize].0;
                    let share = self.pair_next[pair as usize];
                    match users[unit as usize].last_mut() {
                        Some((last, most)) if *last == g => *most = share.max(*most),
                        _ => {
                            users[unit as usize].push((g, share));
                            theirs.push(unit);
                        }
                    }
                }
                least_take = least_take.min(take);
            }
            next.push(least_next);
            takes.push(least_take);
            own.push(theirs);
        }
        let mut shares: Vec<i64> = Vec::with_capacity(groups.len());
        for (g, group) in groups.iter().enumerate() {
            let recipe = group[0].0;
            let recipes = chosen.iter().map(|&item| pairs.recipe[item as usize]);
            let room = stage.classes.room(recipes.chain([recipe]));
            shares.clone_from(&next);
            for &unit in &own[g] {
                for &(other, share) in &users[unit as usize] {
                    shares[other as usize] -= share;
                }
            }
            let mut least = Least::new(&stage.classes, &room, missing - 1, self.repeats());
            for (other, &share) in shares.iter().enumerate() {
                if share < least.worst && (other != g || self.repeats() > 1) {
                    least.add(share, groups[other][0].0);
                }
            }
            let bound = least.sums().map(|sums| opened.base + takes[g] + sums.0);
            if bound.is_none_or(|bound| self.beaten(bound)) {
                self.hopeless[recipe as usize] = self.hopeless_now;
            }
        }
    }

    /// Whether [`Self::rule_out_recipes`] has marked an item's recipe.
    pub(super) fn is_hopeless(&self, index: u32) -> bool {
        let recipe = self.stage.pairs.recipe[index as usize];
        self.hopeless[recipe as usize] == self.hopeless_now
    }

    /// Lists the children of a node as tasks, or searches it at once if it is the last
    /// choice.
    pub(super) fn children(
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
        let Some(opened) = self.open(chosen, candidates, missing) else {
            return;
        };
        for (bound, item, candidates) in self.branches(chosen, &opened, missing) {
            let mut chosen = chosen.to_vec();
            chosen.push(item);
            tasks.push(Task {
                chosen,
                candidates,
                bound,
            });
        }
    }

    /// What may be chosen next at a node: bound, item, and what looking ahead leaves after it.
    ///
    /// All of it at once: what is looked ahead from is overwritten further down.
    fn branches(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        missing: usize,
    ) -> Vec<(i64, u32, Vec<u32>)> {
        let mut branches = Vec::new();
        self.prepare_ahead(opened);
        self.rule_out_recipes(chosen, opened, missing);
        for at in 0..opened.order.len() {
            if self.is_hopeless(opened.order[at].1) {
                continue;
            }
            let Some(bound) = self.child_bound(opened, at, missing) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            let places = (at, self.after(at));
            if let Some((ahead, _, left)) = self.ahead(chosen, opened, places, missing) {
                branches.push((bound.max(ahead), opened.order[at].1, left));
            }
        }
        branches
    }

    /// Lists the children of the root for weeks with one of the items to `keep`, each with
    /// those not taken yet and all that are not of these: the order in which lunches are
    /// chosen is free.
    pub(super) fn children_with(
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
        let others = opened.order.iter().take(missing - 1);
        let rest = opened.base + others.map(|&(share, _)| share).sum::<i64>();
        let mut left: Vec<u32> = opened.order.iter().map(|&(_, item)| item).collect();
        left.sort_unstable();
        for &(share, item) in &opened.order {
            if !keep[item as usize] {
                continue;
            }
            let beside = left.iter().copied();
            tasks.push(Task {
                chosen: vec![item],
                candidates: beside.filter(|&other| self.fits(&[item], other)).collect(),
                bound: rest + share,
            });
            left.retain(|&other| other != item);
        }
    }

    /// Searches below a node. `used` holds what `chosen` uses.
    pub(super) fn node(
        &mut self,
        chosen: &mut Vec<u32>,
        candidates: &[u32],
        missing: usize,
        bound: i64,
    ) {
        self.nodes += 1;
        if self.stage.halted(self.nodes.is_multiple_of(ASKS)) {
            self.open_bound = least_of(self.open_bound, Some(bound));
            return;
        }
        if missing == 1 {
            self.last_lunch(chosen, candidates);
            return;
        }
        let Some(opened) = self.open(chosen, candidates, missing) else {
            return;
        };
        if missing == 3 {
            self.last_three(chosen, &opened);
            return;
        }
        for (bound, index, next) in self.branches(chosen, &opened, missing) {
            if self.beaten(bound) {
                continue;
            }
            chosen.push(index);
            self.add(index, 1);
            self.node(chosen, &next, missing - 1, bound);
            self.add(index, -1);
            chosen.pop();
        }
    }
}
