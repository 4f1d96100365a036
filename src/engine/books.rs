//! One thread's books: what a node uses, what its candidates could add, and its bounds.

use super::beside::Beside;
use super::cover::{Held, Needs};
use super::gauge::{Gauge, Reached, Seen, Way};
use super::heads::Heads;
use super::items::{Item, SET, takes};
use super::leaf::{Found, LeafSolver};
use super::least::{Least, Room};
use super::members::Members;
use super::search::{Searched, Stage};
use super::sieve::Sieve;
use crate::larder::{Pin, RecipeId};

/// Bounds are not worked out again for less than one candidate in so many dropped.
const FEW: usize = 4;

/// One thread's books.
pub(super) struct Worker<'s, 'a> {
    pub(super) stage: &'s Stage<'a>,
    pub(super) best: Option<Found>,
    pub(super) leaf: LeafSolver<'s, 'a>,
    pub(super) used: Vec<i64>,
    /// How many of the lunches to choose may use each unit.
    node_heads: Heads,
    // Per unit, valid when the stamp is the node's.
    pub(super) stamp: Vec<u32>,
    pub(super) now: u32,
    pub(super) heads: Vec<i64>,
    /// By gauge: floors of sums of amounts worked out so far.
    pub(super) reached: Vec<Reached>,
    pub(super) touched: Vec<u32>,
    /// Floor of each used or touched unit as it stands.
    pub(super) here: Vec<i64>,
    /// What shares of a unit's pairs are worked out from.
    at: Vec<At>,
    // Per pair, valid when the stamp is that of the shares at hand.
    pub(super) pair_stamp: Vec<u32>,
    pub(super) pair_now: u32,
    pub(super) pair_share: Vec<i64>,
    /// By gauge and pair: the floor last worked out, for use and most use.
    pub(super) pair_seen: Vec<Vec<Seen>>,
    /// What a pair adds to its unit's floor, and its share of that one level down.
    pub(super) pair_more: Vec<i64>,
    pub(super) pair_next: Vec<i64>,
    pub(super) pairs_touched: Vec<u32>,
    /// Units of the lunch being looked ahead from.
    pub(super) marked: Vec<bool>,
    /// Share of a pair after the lunch looked ahead from, and what it adds by itself; units
    /// for which these differ from the node's.
    pub(super) pair_ahead: Vec<i64>,
    pub(super) pair_alone: Vec<i64>,
    pub(super) patched: Vec<u32>,
    /// By pair: the floor last worked out on top of a lunch, for use and most use.
    pub(super) alone_seen: Vec<Seen>,
    /// Shares of a node's candidates.
    pub(super) node_shares: Vec<i64>,
    /// Shares one level down, by rank in item order: whole, and in the sieve.
    pub(super) next_sums: Vec<i64>,
    pub(super) sieve: Sieve,
    pub(super) pair_part: Vec<u16>,
    pub(super) beside: Beside,
    /// Shares of what looking ahead has left, and that itself, in item order.
    pub(super) ahead_shares: Vec<i64>,
    pub(super) left: Vec<u32>,
    /// Heads among what looking ahead has left.
    pub(super) ahead_heads: Heads,
    /// Room for classes, and what must be bought, at the node and after the lunch (and what
    /// must be after the one after that).
    pub(super) room: [Room; 2],
    pub(super) held: [Held; 3],
    pub(super) needs: Needs,
    /// What is left for the last two lunches, by what each adds alone.
    pub(super) alone: Sieve,
    /// Units of the second of the last three lunches, by the stamp, and what they add alone.
    pub(super) second_stamp: Vec<u32>,
    pub(super) second_now: u32,
    pub(super) second_alone: Vec<i64>,
    pub(super) members: Members,
    pub(super) nodes: u64,
    pub(super) work: u64,
    pub(super) leaves: u64,
    pub(super) open_bound: Option<i64>,
    pub(super) listed: Vec<Vec<u32>>,
}

/// A unit at a node, in one dimension.
#[derive(Clone, Copy, Default)]
struct At {
    used: i64,
    /// Its floor as it stands.
    here: i64,
    /// The most that the week may use, or the users whose sums are tried: [`Gauge::beyond`].
    beyond: i64,
    /// Lunches that may use it, here and one level down, and how it is shared among them.
    heads: i64,
    way: Way,
    further: i64,
    further_way: Way,
}

/// What a node's bounds leave.
pub(super) struct Opened {
    /// Candidates still possible with their share of the objective, cheapest first once that
    /// is asked for.
    pub(super) order: Vec<(i64, u32)>,
    /// The same in item order.
    pub(super) items: Vec<u32>,
    pub(super) base: i64,
}

/// An amount among so many, rounded down if it is not below 0; most are few.
pub(super) fn split(amount: i64, heads: i64) -> i64 {
    match heads {
        1 => amount,
        2 => amount / 2,
        3 => amount / 3,
        4 => amount / 4,
        _ => amount / heads,
    }
}

impl<'s, 'a> Worker<'s, 'a> {
    pub(super) fn new(stage: &'s Stage<'a>) -> Self {
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
            reached: vec![Reached::default(); stage.gauges.len()],
            touched: Vec::new(),
            here: vec![0; units],
            at: vec![At::default(); units],
            pair_stamp: vec![0; stage.pairs.list.len()],
            pair_now: 0,
            pair_share: vec![0; stage.pairs.list.len()],
            pair_seen: vec![vec![Seen::NOTHING; stage.pairs.list.len()]; stage.gauges.len()],
            pair_more: vec![0; stage.pairs.list.len()],
            pair_next: vec![0; stage.pairs.list.len()],
            marked: vec![false; units],
            pair_ahead: vec![0; stage.pairs.list.len()],
            pair_alone: vec![0; stage.pairs.list.len()],
            patched: Vec::new(),
            alone_seen: vec![Seen::NOTHING; stage.pairs.list.len()],
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
            second_alone: vec![0; units],
            members: Members::new(
                units,
                stage.pool.larder.recipes.len(),
                stage.classes.count(),
            ),
            pairs_touched: Vec::new(),
            nodes: 0,
            work: 0,
            leaves: 0,
            open_bound: None,
            listed: Vec::new(),
        }
    }

    /// Hands over what was found and counted, and starts anew.
    pub(super) fn take(&mut self) -> Searched {
        Searched {
            best: self.best.take(),
            open_bound: self.open_bound.take(),
            nodes: std::mem::take(&mut self.nodes),
            work: std::mem::take(&mut self.work),
            leaves: std::mem::take(&mut self.leaves),
            listed: std::mem::take(&mut self.listed),
            undivided: std::mem::take(&mut self.leaf.undivided),
            dividing: 0,
        }
    }

    pub(super) fn item(&self, index: u32) -> &'s Item {
        &self.stage.items[index as usize]
    }

    /// Whether nothing at or above `bound` can improve on the incumbent.
    pub(super) fn beaten(&self, bound: i64) -> bool {
        bound > self.bar()
    }

    /// The largest bound that is not beaten.
    pub(super) fn bar(&self) -> i64 {
        if let Some(below) = self.stage.listing {
            return below;
        }
        let best = match &self.best {
            None => i64::MAX,
            Some(best) if self.stage.last_stage => best.score.objective,
            Some(best) => best.score.objective - 1,
        };
        best.min(self.stage.most)
    }

    /// The most that a sum may be.
    pub(super) fn top(&self, dimension: usize) -> i64 {
        if dimension == 0 {
            self.bar()
        } else {
            self.stage.limits[dimension]
        }
    }

    pub(super) fn set_used(&mut self, chosen: &[u32]) {
        self.used.fill(0);
        for &index in chosen {
            self.add(index, 1);
        }
    }

    pub(super) fn add(&mut self, index: u32, times: i64) {
        for &(unit, amount) in &self.stage.items[index as usize].units {
            self.used[unit as usize] += amount * times;
        }
    }

    /// Whether the items chosen leave room for `more` under the rules that count or
    /// exclude recipes, with `missing` lunches to choose including `more`.
    pub(super) fn fits(&self, chosen: &[u32], more: u32) -> bool {
        let larder = self.stage.pool.larder;
        let wishes = &larder.wishes;
        let new = self.item(more).recipe;
        let recipe = &larder.recipes[new.index()];
        let (mut same, mut form, mut protein) = (1, 1, 1);
        for &index in chosen {
            let other = self.item(index).recipe;
            if other == new {
                same += 1;
            } else if self.stage.pool.clash(other, new) {
                return false;
            }
            let entry = &larder.recipes[other.index()];
            form += i64::from(entry.form == recipe.form);
            protein += i64::from(recipe.protein.is_some() && entry.protein == recipe.protein);
        }
        same <= wishes.repeats
            && self.stage.apart(chosen.iter().copied().chain([more]))
            && wishes.per_form.is_none_or(|most| form <= most)
            && (recipe.protein.is_none() || wishes.per_protein.is_none_or(|most| protein <= most))
    }

    /// Whether the pinned recipes and foods can still come in with `missing` lunches.
    pub(super) fn hopeful(&self, chosen: &[u32], candidates: &[u32], missing: usize) -> bool {
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
    pub(super) fn open(
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
    pub(super) fn bounds(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut candidates = candidates.to_vec();
        let stage = self.stage;
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
                if self.held_by_number(dimension, candidates.len(), missing) {
                    let held = (candidates.as_slice(), base, dimension);
                    candidates = self.members(chosen, held, missing, (0, 1));
                }
                if dimension == 0 {
                    let items = Vec::new();
                    opened = Some(Opened { order, items, base });
                }
            }
            self.drop_by_nutrition(chosen, &mut candidates, missing);
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
    pub(super) fn measure(&mut self, candidates: &[u32], missing: usize, room: &Room) {
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

    /// The most that the lunches to choose could add to a unit.
    pub(super) fn most_added(&self, unit: u32) -> i64 {
        let u = unit as usize;
        if self.stamp[u] == self.now {
            self.heads[u] * self.stage.pairs.most_of(unit)
        } else {
            0
        }
    }

    /// Base of the node and the share of each candidate in one dimension.
    pub(super) fn shares(
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
        let mut reached = std::mem::take(&mut self.reached[dimension]);
        // Floors of the units as they stand; a unit of several items counts once.
        for (at, &index) in chosen.iter().enumerate() {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                let seen = chosen[..at].iter().any(|&old| pairs.uses(old, unit));
                if !seen {
                    base += self.floor_here(gauge, unit, &mut reached);
                }
            }
        }
        for &unit in &gauge.restless {
            if self.used[unit as usize] == 0 {
                base += self.floor_here(gauge, unit, &mut reached);
            }
        }
        for &unit in &self.touched {
            let u = unit as usize;
            let (used, heads) = (self.used[u], self.heads[u]);
            let further = heads.min(missing - 1).max(1);
            let (mut way, mut further_way) = (Way::default(), Way::default());
            if used == 0 {
                way = gauge.way(unit, heads);
                further_way = gauge.way(unit, further);
            }
            let most = self.stage.pool.stretch(used + self.most_added(unit));
            self.at[u] = At {
                used,
                here: self.here[u],
                beyond: gauge.beyond(unit, heads - 1, most),
                heads,
                way,
                further,
                further_way,
            };
        }
        shares.clear();
        self.pairs_touched.clear();
        self.pair_now += 1;
        let mut seen = std::mem::take(&mut self.pair_seen[dimension]);
        for &index in candidates {
            let mut share = fixed[index as usize];
            for &pair in pairs.of(index) {
                let p = pair as usize;
                if self.pair_stamp[p] != self.pair_now {
                    self.pair_stamp[p] = self.pair_now;
                    self.pairs_touched.push(pair);
                    self.price(gauge, pair, &mut seen[p], &mut reached);
                }
                share += self.pair_share[p];
            }
            shares.push(share);
        }
        self.pair_seen[dimension] = seen;
        self.reached[dimension] = reached;
        base
    }

    /// What a pair adds at the node, and its shares here and one level down.
    fn price(&mut self, gauge: &Gauge, pair: u32, seen: &mut Seen, reached: &mut Reached) {
        let p = pair as usize;
        let (unit, amount) = self.stage.pairs.list[p];
        let at = &self.at[unit as usize];
        // Whatever may still be chosen has been counted.
        debug_assert_eq!(self.stamp[unit as usize], self.now);
        let floor = gauge.seen(seen, unit, at.used + amount, at.beyond, reached);
        let more = (floor - at.here).max(0);
        self.pair_share[p] = at.way.share(more, amount, at.heads);
        self.pair_next[p] = at.further_way.share(more, amount, at.further);
        self.pair_more[p] = more;
    }

    /// Floor of a unit as it stands at the node, remembered for the shares.
    fn floor_here(&mut self, gauge: &Gauge, unit: u32, reached: &mut Reached) -> i64 {
        let u = unit as usize;
        let used = self.used[u];
        let touched = self.stamp[u] == self.now;
        let heads = if touched { self.heads[u] } else { 0 };
        let top = self.stage.pool.stretch(used + self.most_added(unit));
        let floor = gauge.with_users(unit, used, (heads, top), reached);
        self.here[unit as usize] = floor;
        floor
    }

    pub(super) fn repeats(&self) -> i64 {
        self.stage.pool.larder.wishes.repeats
    }

    /// Drops candidates with which the week's mean cannot reach a floor or stay below a
    /// ceiling, whatever else is chosen.
    pub(super) fn drop_by_nutrition(
        &self,
        chosen: &[u32],
        candidates: &mut Vec<u32>,
        missing: usize,
    ) {
        for (rule, &(_, at_least, at_most)) in self.stage.pool.week_rules.iter().enumerate() {
            let so_far: i64 = chosen.iter().map(|&i| self.item(i).nutrients[rule]).sum();
            let others = missing as i64 - 1;
            if let Some(floor) = at_least {
                let most = candidates
                    .iter()
                    .map(|&i| self.item(i).nutrients[rule])
                    .max()
                    .unwrap_or(0);
                candidates
                    .retain(|&i| so_far + self.item(i).nutrients[rule] + others * most >= floor);
            }
            if let Some(ceiling) = at_most {
                let least = candidates
                    .iter()
                    .map(|&i| self.item(i).nutrients[rule])
                    .min()
                    .unwrap_or(0);
                candidates
                    .retain(|&i| so_far + self.item(i).nutrients[rule] + others * least <= ceiling);
            }
        }
    }
}
