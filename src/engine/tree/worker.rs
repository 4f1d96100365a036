//! One thread's books: what a node uses, what its candidates could add, and its bounds.

use crate::engine::bound::compatible::Beside;
use crate::engine::bound::forced::{Held, Needs};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::matching::Matching;
use crate::engine::bound::mean_rules::drop_by_means;
use crate::engine::bound::most_users::Heads;
use crate::engine::bound::prefilter::Sieve;
use crate::engine::bound::shares::Known;
use crate::engine::bound::smallest::{Least, Room};
use crate::engine::bound::whole_recipes::Members;
use crate::engine::leaf::assignment::{Adds, Rest};
use crate::engine::leaf::solver::{Found, LeafSolver};
use crate::engine::model::items::{Item, SET, takes};
use crate::engine::model::sums::split;
use crate::engine::stage::{MOST_LISTED, Stage};
use crate::engine::tree::pairing::Pairing;
use crate::engine::tree::searched::Searched;
use crate::larder::{Pin, RecipeId};
use std::collections::HashSet;

/// Bounds are not worked out again for less than one candidate in so many dropped.
const FEW: usize = 4;

/// One thread's books.
pub(in crate::engine) struct Worker<'s, 'a> {
    pub(in crate::engine) stage: &'s Stage<'a>,
    pub(in crate::engine) best: Option<Found>,
    pub(in crate::engine) leaf: LeafSolver<'s, 'a>,
    pub(in crate::engine) used: Vec<i64>,
    /// How many of the lunches to choose may use each unit.
    node_heads: Heads,
    // Per unit, valid when the stamp is the node's.
    pub(in crate::engine) stamp: Vec<u32>,
    pub(in crate::engine) now: u32,
    pub(in crate::engine) heads: Vec<i64>,
    /// By gauge: shares worked out so far.
    pub(in crate::engine) known: Vec<Known>,
    /// By gauge but the first: the node's sums.
    pub(in crate::engine) below: Vec<Below>,
    pub(in crate::engine) touched: Vec<u32>,
    /// Floor of each used or touched unit as it stands.
    pub(in crate::engine) here: Vec<i64>,
    // Per pair, valid for units touched; where one pair is worked out after the other, for
    // those with the stamp.
    pub(in crate::engine) pair_stamp: Vec<u32>,
    pub(in crate::engine) pair_now: u32,
    pub(in crate::engine) pair_share: Vec<i64>,
    /// What a pair adds to its unit's floor, and its share of that one level down.
    pub(in crate::engine) pair_more: Vec<i64>,
    pub(in crate::engine) pair_next: Vec<i64>,
    /// Units of the lunch being looked ahead from.
    pub(in crate::engine) marked: Vec<bool>,
    /// Share of a pair after the lunch looked ahead from, and what it adds by itself; units
    /// for which these differ from the node's.
    pub(in crate::engine) pair_ahead: Vec<i64>,
    pub(in crate::engine) pair_alone: Vec<i64>,
    pub(in crate::engine) patched: Vec<u32>,
    /// Shares of a node's candidates.
    pub(in crate::engine) node_shares: Vec<i64>,
    /// Shares one level down, by rank in item order: whole, and in the sieve.
    pub(in crate::engine) next_sums: Vec<i64>,
    pub(in crate::engine) sieve: Sieve,
    pub(in crate::engine) pair_part: Vec<u16>,
    pub(in crate::engine) beside: Beside,
    /// Shares of what looking ahead has left, and that itself, in item order.
    pub(in crate::engine) ahead_shares: Vec<i64>,
    pub(in crate::engine) left: Vec<u32>,
    /// Heads among what looking ahead has left.
    pub(in crate::engine) ahead_heads: Heads,
    /// Room for classes, and what must be bought, at the node and after the lunch (and what
    /// must be after the one after that).
    pub(in crate::engine) room: [Room; 2],
    pub(in crate::engine) held: [Held; 3],
    pub(in crate::engine) needs: Needs,
    /// What is left for the last two lunches, by what each adds alone.
    pub(in crate::engine) alone: Sieve,
    /// Units of the second of the last three lunches, by the stamp, and its pair of each.
    pub(in crate::engine) second_stamp: Vec<u32>,
    pub(in crate::engine) second_now: u32,
    pub(in crate::engine) second_pair: Vec<u32>,
    /// Units that the last two lunches both use, as a pair of each.
    pub(in crate::engine) shared: Vec<(u32, u32)>,
    /// Exact floors of the last two lunches.
    pub(in crate::engine) pairing: Pairing,
    pub(in crate::engine) members: Members,
    /// What days add to a set of lunches.
    pub(in crate::engine) adds: Adds,
    pub(in crate::engine) rest: Rest,
    pub(in crate::engine) nodes: u64,
    pub(in crate::engine) work: u64,
    pub(in crate::engine) leaves: u64,
    /// Sets settled in a task after which nothing more is looked at: for weeks to start from.
    pub(in crate::engine) most_leaves: u64,
    pub(in crate::engine) open_bound: Option<i64>,
    pub(in crate::engine) listed: Vec<(i64, Vec<u32>)>,
}

/// What a node is under one of its sums with a ceiling, for looking ahead from it.
#[derive(Default)]
pub(in crate::engine) struct Below {
    pub(in crate::engine) base: i64,
    /// By pair: share one level down, and what it adds to its unit's floor.
    pub(in crate::engine) next: Vec<i64>,
    pub(in crate::engine) more: Vec<i64>,
}

/// What a node's bounds leave.
pub(in crate::engine) struct Opened {
    /// Candidates still possible with their share of the objective, cheapest first once that
    /// is asked for.
    pub(in crate::engine) order: Vec<(i64, u32)>,
    /// The same in item order.
    pub(in crate::engine) items: Vec<u32>,
    pub(in crate::engine) base: i64,
}

impl<'s, 'a> Worker<'s, 'a> {
    pub(in crate::engine) fn new(stage: &'s Stage<'a>) -> Self {
        let units = stage.pool.larder.foods.len() + stage.pool.larder.components.len();
        Self {
            stage,
            best: None,
            leaf: LeafSolver::new(stage),
            used: vec![0; units],
            stamp: vec![0; units],
            now: 0,
            node_heads: Heads::new(stage.pairs),
            heads: vec![0; units],
            known: stage.gauges.iter().map(|_| Known::default()).collect(),
            below: stage.gauges.iter().map(|_| Below::default()).collect(),
            touched: Vec::new(),
            here: vec![0; units],
            pair_stamp: vec![0; stage.pairs.list.len()],
            pair_now: 0,
            pair_share: vec![0; stage.pairs.list.len()],
            pair_more: vec![0; stage.pairs.list.len()],
            pair_next: vec![0; stage.pairs.list.len()],
            marked: vec![false; units],
            pair_ahead: vec![0; stage.pairs.list.len()],
            pair_alone: vec![0; stage.pairs.list.len()],
            patched: Vec::new(),
            node_shares: Vec::new(),
            next_sums: Vec::new(),
            sieve: Sieve::new(units),
            pair_part: vec![0; stage.pairs.list.len()],
            beside: Beside::new(stage.items.len(), stage.pool.larder.recipes.len()),
            ahead_shares: Vec::new(),
            left: Vec::new(),
            ahead_heads: Heads::new(stage.pairs),
            room: Default::default(),
            held: Default::default(),
            needs: Needs::default(),
            alone: Sieve::new(units),
            second_stamp: vec![0; units],
            second_now: 0,
            second_pair: vec![0; units],
            shared: Vec::new(),
            pairing: Pairing::default(),
            members: Members::new(
                units,
                stage.pool.larder.recipes.len(),
                stage.classes.count(),
            ),
            adds: Adds::default(),
            rest: Rest::default(),
            nodes: 0,
            work: 0,
            leaves: 0,
            most_leaves: u64::MAX,
            open_bound: None,
            listed: Vec::new(),
        }
    }

    /// Hands over what was found and counted, and starts anew.
    pub(in crate::engine) fn take(&mut self) -> Searched {
        if self.stage.beyond_part.is_some() && self.listed.len() < MOST_LISTED {
            // Sets listed before the best week was found. So many that some were left out stay
            // too many: what is left of them would not be all.
            let bar = self.bar();
            self.listed.retain(|&(floor, _)| floor <= bar);
        }
        Searched {
            best: self.best.take(),
            open_bound: self.open_bound.take(),
            nodes: std::mem::take(&mut self.nodes),
            work: std::mem::take(&mut self.work),
            leaves: std::mem::take(&mut self.leaves),
            listed: std::mem::take(&mut self.listed),
            undivided: std::mem::take(&mut self.leaf.undivided),
            divided: HashSet::new(),
            dividing: 0,
        }
    }

    pub(in crate::engine) fn item(&self, index: u32) -> &'s Item {
        &self.stage.items[index as usize]
    }

    /// Whether nothing at or above `bound` can improve on the incumbent.
    pub(in crate::engine) fn beaten(&self, bound: i64) -> bool {
        bound > self.bar()
    }

    /// The largest bound that is not beaten.
    pub(in crate::engine) fn bar(&self) -> i64 {
        if self.leaves >= self.most_leaves {
            return i64::MIN;
        }
        if let Some(below) = self.stage.listing {
            return below;
        }
        let best = match &self.best {
            None => i64::MAX,
            Some(best) if self.stage.settles_ties => best.score.objective,
            Some(best) => best.score.objective - 1,
        };
        let bar = if self.lists_beyond() {
            self.stage.beyond(best)
        } else {
            best
        };
        bar.min(self.stage.most)
    }

    /// Whether sets are listed that lie beyond the incumbent: not in a hurry, nor once they are
    /// too many.
    pub(in crate::engine) fn lists_beyond(&self) -> bool {
        self.stage.lists_beyond() && self.most_leaves == u64::MAX && self.listed.len() < MOST_LISTED
    }

    /// The most that a sum may be.
    pub(in crate::engine) fn top(&self, dimension: usize) -> i64 {
        if dimension == 0 {
            self.bar()
        } else {
            self.stage.limits[dimension - 1]
        }
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
        self.stage.pool.supplies(used, &self.item(index).units)
    }

    /// Whether the items chosen leave room for `more` under the rules that count or
    /// exclude recipes, with `missing` lunches to choose including `more`.
    pub(in crate::engine) fn fits(&self, chosen: &[u32], more: u32) -> bool {
        let larder = self.stage.pool.larder;
        let wishes = &larder.wishes;
        let new = self.item(more).recipe;
        let recipe = &larder.recipes[new.index()];
        let (mut same, mut form, mut protein) = (1, 1, 1);
        let days = self.stage.pool.days[new.index()];
        let one_day = days.is_power_of_two();
        for &index in chosen {
            let other = self.item(index).recipe;
            if other == new {
                same += 1;
            } else if self.stage.pool.clash(other, new) {
                return false;
            }
            if one_day && self.stage.pool.days[other.index()] == days {
                return false;
            }
            let entry = &larder.recipes[other.index()];
            form += i64::from(entry.form == recipe.form);
            protein += i64::from(recipe.protein.is_some() && entry.protein == recipe.protein);
        }
        same <= wishes.repeats
            && self.stage.apart(&chosen.iter().copied().chain([more]))
            && wishes.per_form.is_none_or(|most| form <= most)
            && (recipe.protein.is_none() || wishes.per_protein.is_none_or(|most| protein <= most))
    }

    /// Whether lunches chosen can have a day each, and all days a lunch of those and the candidates,
    /// with each recipe as often as it may come.
    pub(in crate::engine) fn all_days_have_a_lunch(
        &self,
        chosen: &[u32],
        candidates: &[u32],
    ) -> bool {
        let pool = self.stage.pool;
        let mut served = Matching::default();
        if !chosen
            .iter()
            .all(|&item| served.place(self.item(item).days))
        {
            return false;
        }
        // Items of a recipe stand together.
        let recipe = |item: u32| self.item(item).recipe;
        for items in candidates.chunk_by(|&one, &other| recipe(one) == recipe(other)) {
            if served.count() == pool.last as usize {
                return true;
            }
            let come = chosen
                .iter()
                .filter(|&&item| recipe(item) == recipe(items[0]));
            let more = pool.larder.wishes.repeats - come.count() as i64;
            let days = items
                .iter()
                .fold(0, |days, &item| days | self.item(item).days);
            for _ in 0..more.min(pool.last.into()) {
                if !served.place(days) {
                    break;
                }
            }
        }
        served.count() == pool.last as usize
    }

    /// Whether each day can still have a lunch, and the pinned recipes and foods can still come in
    /// with `missing` lunches.
    pub(in crate::engine) fn hopeful(
        &self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> bool {
        let pool = self.stage.pool;
        if pool.choosy {
            let left = if missing > 0 { candidates } else { &[] };
            if !self.all_days_have_a_lunch(chosen, left) {
                return false;
            }
        }
        let mut owed = 0;
        let mut seen: Vec<RecipeId> = Vec::new();
        for pin in self.stage.with() {
            match pin {
                Pin::Recipe(id, _) => {
                    if seen.contains(id) {
                        continue;
                    }
                    seen.push(*id);
                    if !chosen.iter().any(|&i| self.item(i).recipe == *id) {
                        owed += 1;
                        if !candidates.iter().any(|&i| self.item(i).recipe == *id) {
                            return false;
                        }
                    }
                }
                Pin::Food(food, _) => {
                    let has = |&i: &u32| takes(self.stage.pool, self.item(i), *food);
                    if !chosen.iter().any(has) && (missing == 0 || !candidates.iter().any(has)) {
                        return false;
                    }
                }
            }
        }
        owed <= missing
    }

    /// Works out bounds and drops candidates until nothing changes. None: nothing below
    /// this node can matter.
    pub(in crate::engine) fn open(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut opened = self.bounds(chosen, candidates, missing)?;
        opened.order.sort_unstable();
        Some(opened)
    }

    /// The same, with what is left not in order of share but of items.
    pub(in crate::engine) fn bounds(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let stage = self.stage;
        let mut candidates = candidates.to_vec();
        candidates.retain(|&index| self.supplied(index));
        let recipes = chosen.iter().map(|&item| stage.pairs.recipe[item as usize]);
        let room = stage.classes.room(recipes);
        let mut dimensions = stage.gauges.len();
        loop {
            if !self.hopeful(chosen, &candidates, missing) {
                return None;
            }
            let before = candidates.len();
            self.work += before as u64;
            self.measure(&candidates, missing, &room);
            let mut opened = None;
            for dimension in (0..dimensions).rev() {
                let mut shares = std::mem::take(&mut self.node_shares);
                let base = self.shares(dimension, chosen, &candidates, missing, &mut shares);
                let mut least = Least::new(&stage.classes, &room, missing, self.repeats());
                for (&share, &index) in shares.iter().zip(&candidates) {
                    if share < least.worst {
                        least.add(share, stage.pairs.recipe[index as usize]);
                    }
                }
                let top = self.top(dimension);
                let sums = least.sums().filter(|sums| base + sums.0 <= top);
                let Some(sums) = sums else {
                    self.node_shares = shares;
                    return None;
                };
                let mut order = Vec::new();
                if dimension == 0 {
                    order.reserve(candidates.len());
                }
                let mut at = 0;
                let (mut last, mut most) = (u32::MAX, 0);
                candidates.retain(|&index| {
                    let share = shares[at];
                    at += 1;
                    let recipe = stage.pairs.recipe[index as usize];
                    if recipe != last {
                        last = recipe;
                        most = top.saturating_sub(base + least.beside(recipe, sums));
                    }
                    if share <= most && dimension == 0 {
                        order.push((share, index));
                    }
                    share <= most
                });
                self.node_shares = shares;
                if dimension > 0 {
                    let below = &mut self.below[dimension];
                    below.base = base;
                    below.next.clone_from(&self.pair_next);
                    below.more.clone_from(&self.pair_more);
                }
                if self.held_by_number(dimension, candidates.len(), missing) {
                    let held = (candidates.as_slice(), base, dimension);
                    candidates = self.members(chosen, held, missing, (0, 1));
                }
                if dimension == 0 {
                    let items = Vec::new();
                    opened = Some(Opened { order, items, base });
                }
            }
            let rules = (
                stage.means.as_slice(),
                stage.pairs.recipe.as_slice(),
                self.repeats(),
            );
            drop_by_means(rules, &chosen.iter().copied(), &mut candidates, missing);
            let mut opened = opened.expect("dimension 0 is always there");
            // Ceilings are asked once: they seldom drop more the second time.
            dimensions = 1;
            if (before - candidates.len()) * FEW <= before || candidates.is_empty() {
                if opened.order.len() > candidates.len() {
                    opened
                        .order
                        .retain(|(_, index)| candidates.binary_search(index).is_ok());
                }
                opened.items = candidates;
                return (!opened.items.is_empty()).then_some(opened);
            }
        }
    }

    /// Counts, per unit, how many of the lunches to choose could use it.
    pub(in crate::engine) fn measure(&mut self, candidates: &[u32], missing: usize, room: &Room) {
        let pairs = self.stage.pairs;
        let repeats = self.repeats();
        self.now += 1;
        self.touched.clear();
        self.node_heads.start(missing);
        self.node_heads
            .count(candidates, pairs, &self.stage.classes, room, repeats);
        for word in 0..pairs.words {
            let mut bits = self.node_heads.used(word);
            while bits != 0 {
                let bit = (word * SET) as u32 + bits.trailing_zeros();
                bits &= bits - 1;
                let unit = pairs.unit[bit as usize];
                self.stamp[unit as usize] = self.now;
                self.heads[unit as usize] = self.node_heads.of(bit);
                self.touched.push(unit);
            }
        }
    }

    /// Base of the node and the share of each candidate in one dimension.
    pub(in crate::engine) fn shares(
        &mut self,
        dimension: usize,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
        shares: &mut Vec<i64>,
    ) -> i64 {
        let missing = missing as i64;
        let stage = self.stage;
        let gauge = &stage.gauges[dimension];
        let fixed = &stage.fixed[dimension];
        let pairs = stage.pairs;
        let mut base = gauge.constant;
        for &index in chosen {
            base += fixed[index as usize];
        }
        for &unit in &self.touched {
            self.here[unit as usize] = 0;
        }
        let mut known = std::mem::take(&mut self.known[dimension]);
        // Floors of the units as they stand; a unit of several items counts once.
        for (at, &index) in chosen.iter().enumerate() {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                let seen = chosen[..at].iter().any(|&old| pairs.uses(old, unit));
                if !seen {
                    base += self.floor_here(gauge, unit, &mut known);
                }
            }
        }
        for &unit in gauge.restless.iter() {
            if self.used[unit as usize] == 0 {
                base += self.floor_here(gauge, unit, &mut known);
            }
        }
        for &unit in &self.touched {
            let u = unit as usize;
            let (used, heads, here) = (self.used[u], self.heads[u], self.here[u]);
            let further = heads.min(missing - 1).max(1);
            let places = pairs.of_unit(unit);
            let now = known.of(gauge, stage.pool, unit, used, heads);
            debug_assert_eq!(now.here, here);
            for (p, one) in places.clone().zip(&now.by_amount) {
                self.pair_share[p] = one.share;
                self.pair_next[p] = one.share;
                self.pair_more[p] = one.floor - here;
            }
            if further < heads {
                let next = known.of(gauge, stage.pool, unit, used, further);
                let rise = split(next.here - here, further);
                for (p, one) in places.zip(&next.by_amount) {
                    self.pair_next[p] = one.share + rise;
                }
            }
        }
        self.known[dimension] = known;
        shares.clear();
        for &index in candidates {
            let parts = pairs.of(index).iter();
            let parts: i64 = parts.map(|&pair| self.pair_share[pair as usize]).sum();
            shares.push(fixed[index as usize] + parts);
        }
        base
    }

    /// Floor of a unit as it stands at the node, remembered for the shares.
    fn floor_here(&mut self, gauge: &Gauge, unit: u32, known: &mut Known) -> i64 {
        let u = unit as usize;
        let (used, pool) = (self.used[u], self.stage.pool);
        let floor = if self.stamp[u] == self.now {
            known.of(gauge, pool, unit, used, self.heads[u]).here
        } else {
            gauge.floor(unit, used, pool.stretch(used))
        };
        self.here[u] = floor;
        floor
    }

    pub(in crate::engine) fn repeats(&self) -> i64 {
        self.stage.pool.larder.wishes.repeats
    }
}
