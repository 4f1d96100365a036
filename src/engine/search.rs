//! Depth-first search over sets of items, the rest of the week bounded from below.
//!
//! ## The bound
//!
//! A node has chosen some items P and must choose m more from its candidates. Let U(u) be
//! what P uses of unit u (food or component), V(u) the most that m candidates could add.
//! In each dimension (the stage's objective, and every sum with a ceiling) any completion R
//! costs at least
//!
//! `base + sum of the m smallest shares over different recipes`, no more of a form (or of a
//! main protein) among them than the rules leave room for ([`Least`]),
//!
//! where `base` is the sum over units of `floor(U, U + V)` plus what P costs in any case,
//! and the share of a candidate is what it costs in any case plus, over its units, one of
//!
//! * *by heads*: `(floor(U + q, U + V) - floor(U, U + V)) / k` with `k = min(m, recipes that
//!   could use u)`. Proof: at most k lunches of R use u; the largest of their differences
//!   is at least the mean; and the floor is monotone in its first argument.
//! * *by weight* (only if U = 0, nothing on hand): `q` times the least price per milligram,
//!   and a k-th of the price put on each food bought. Proof: packs that hold the sum of all
//!   q cost at least that much for each milligram, and the food is bought once.
//!
//! One of the two is chosen per unit and node, never mixed within a unit. A candidate whose
//! own share with the m-1 smallest of other recipes already exceeds the incumbent (or a
//! ceiling) is dropped from the whole subtree; that lowers k and V, so shares are worked
//! out again until nothing changes.
//!
//! ## Same plan on any number of threads
//!
//! Work is cut into tasks in a fixed order and done in rounds. Every task of a round starts
//! from the incumbent of the round's start and sees only its own finds, so what it does
//! depends on nothing else; the finds are merged in a total order after the round.

use super::Progress;
use super::gauge::Gauge;
use super::given::{Apart, shared};
use super::items::{Item, Pairs, takes};
use super::leaf::{Found, LeafSolver};
use super::least::{Classes, HeadCount, Least, Room};
use super::pool::Pool;
use super::score::{Ceilings, Score, Weights};
use crate::larder::{Aim, Pin, RecipeId};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU64, Ordering};

/// Partial weeks between two questions whether to stop.
const ASKS: u64 = 64;

/// Rounds of looking ahead from one lunch.
const MOST_AHEAD: usize = 4;

/// Recipes are looked ahead from as a whole where they have this many items on average.
const MANY_ITEMS: usize = 3;

/// First choices split together.
const SPLIT: usize = 16;

/// Recipes from which a first week is grown, and how many more until there is one.
const FIRST_STARTS: usize = 12;
const MOST_STARTS: usize = 60;

/// Tasks of a round.
const ROUND: usize = 64;

/// What items make the week buy for certain, a bit for each food (or family), and how many
/// may be bought.
pub(super) struct Cover {
    words: usize,
    bits: Vec<u64>,
    limit: i64,
}

impl Cover {
    /// Covers for the ceilings on counted foods and on families.
    pub(super) fn all(pool: &Pool, items: &[Item], ceilings: &Ceilings) -> Vec<Self> {
        let larder = pool.larder;
        let foods = larder.foods.len();
        let by_food = |food: usize| food;
        let by_family = |food: usize| {
            let family = larder.foods[food].family;
            family.map_or(food, |family| foods + family.0 as usize)
        };
        let mut covers = Vec::new();
        let mut add = |limit: i64, of: &dyn Fn(usize) -> usize| {
            if limit == i64::MAX {
                return;
            }
            // Numbers in use only, packed.
            let certain = |unit: u32| {
                let model = pool.foods.get(unit as usize).and_then(Option::as_ref);
                model.is_some_and(|model| model.on_hand == 0)
            };
            let units = || items.iter().flat_map(|item| item.units.iter().map(|u| u.0));
            let mut used: Vec<usize> = units()
                .filter(|&unit| certain(unit))
                .map(|unit| of(unit as usize))
                .collect();
            used.sort_unstable();
            used.dedup();
            let words = used.len().div_ceil(64).max(1);
            let mut bits = vec![0u64; words * items.len()];
            for (at, item) in items.iter().enumerate() {
                for &(unit, _) in &item.units {
                    if certain(unit) {
                        let bit = used.binary_search(&of(unit as usize)).expect("listed");
                        bits[at * words + bit / 64] |= 1 << (bit % 64);
                    }
                }
            }
            covers.push(Self { words, bits, limit });
        };
        add(ceilings.foods, &by_food);
        add(ceilings.families, &by_family);
        covers
    }

    fn of(&self, item: u32) -> &[u64] {
        let from = item as usize * self.words;
        &self.bits[from..from + self.words]
    }

    /// Adds what an item needs to `have`.
    fn add(&self, have: &mut [u64], item: u32) {
        for (have, more) in have.iter_mut().zip(self.of(item)) {
            *have |= more;
        }
    }

    /// Whether `have` and an item stay within the limit.
    fn fits(&self, have: &[u64], item: u32) -> bool {
        let both = have.iter().zip(self.of(item));
        let count: u32 = both.map(|(have, more)| (have | more).count_ones()).sum();
        i64::from(count) <= self.limit
    }
}

/// Everything a stage's search shares between threads.
pub(super) struct Stage<'a> {
    pub(super) pool: &'a Pool<'a>,
    pub(super) items: &'a [Item],
    pub(super) pairs: &'a Pairs,
    /// What each item costs in any case, by gauge.
    pub(super) fixed: Vec<Vec<i64>>,
    /// The objective first, then every sum with a ceiling.
    pub(super) gauges: Vec<Gauge>,
    /// Ceiling of each gauge; that of the first is unused.
    pub(super) limits: Vec<i64>,
    pub(super) ceilings: Ceilings,
    pub(super) covers: Vec<Cover>,
    /// Classes of which only so many may be chosen.
    pub(super) classes: Classes,
    /// Gauges of cost and of spoiled value, where ties are settled by them.
    pub(super) ties: Option<[Gauge; 2]>,
    /// Ties are settled too (the last stage); otherwise only a better objective counts.
    pub(super) last_stage: bool,
    /// Weeks to stay apart from.
    pub(super) apart: &'a [Apart],
    pub(super) stop: &'a (dyn Fn() -> bool + Sync),
    pub(super) stopped: AtomicBool,
    pub(super) told: Told<'a>,
}

/// How far a stage is, for whoever listens.
pub(super) struct Told<'a> {
    pub(super) listener: Option<&'a (dyn Fn(&Progress) + Sync)>,
    /// What is being made small; none for the one-currency objective.
    pub(super) aim: Option<Aim>,
    pub(super) seen: AtomicU64,
    /// [`i64::MAX`] until a week is found.
    pub(super) best: AtomicI64,
    /// [`i64::MIN`] until a bound is known.
    pub(super) bound: AtomicI64,
}

impl<'a> Told<'a> {
    pub(super) fn new(listener: Option<&'a (dyn Fn(&Progress) + Sync)>, aim: Option<Aim>) -> Self {
        Self {
            listener,
            aim,
            seen: AtomicU64::new(0),
            best: AtomicI64::new(i64::MAX),
            bound: AtomicI64::new(i64::MIN),
        }
    }

    /// Tells the listener.
    fn tell(&self) {
        let Some(listener) = self.listener else {
            return;
        };
        let known = |value: i64, none: i64| (value != none).then_some(value);
        listener(&Progress {
            aim: self.aim,
            best_nano: known(self.best.load(Ordering::Relaxed), i64::MAX),
            bound_nano: known(self.bound.load(Ordering::Relaxed), i64::MIN),
            nodes: self.seen.load(Ordering::Relaxed),
        });
    }

    /// Notes where a round leaves the search, and tells the listener.
    fn round(&self, total: &Searched, open: impl Iterator<Item = i64>) {
        if self.listener.is_none() {
            return;
        }
        self.seen.store(total.nodes, Ordering::Relaxed);
        let best = total.best.as_ref().map(|best| best.score.objective);
        if let Some(best) = best {
            self.best.fetch_min(best, Ordering::Relaxed);
        }
        if let Some(bound) = open.chain(total.open_bound).chain(best).min() {
            self.bound.fetch_max(bound, Ordering::Relaxed);
        }
        self.tell();
    }
}

/// What a search ends with.
pub(super) struct Searched {
    pub(super) best: Option<Found>,
    /// Least bound of what was not searched, if it was stopped.
    pub(super) open_bound: Option<i64>,
    pub(super) nodes: u64,
    pub(super) leaves: u64,
}

impl Searched {
    /// Adds what a task found; of two weeks the one that comes first in the total order.
    fn merge(&mut self, other: Self) {
        self.nodes += other.nodes;
        self.leaves += other.leaves;
        self.open_bound = least_of(self.open_bound, other.open_bound);
        if let Some(found) = other.best
            && self
                .best
                .as_ref()
                .is_none_or(|best| found.key() < best.key())
        {
            self.best = Some(found);
        }
    }
}

/// A partial week to search below.
#[derive(Clone)]
struct Task {
    chosen: Vec<u32>,
    /// In item order.
    candidates: Vec<u32>,
    bound: i64,
}

/// One thread's books.
pub(super) struct Worker<'s, 'a> {
    stage: &'s Stage<'a>,
    pub(super) best: Option<Found>,
    leaf: LeafSolver<'s, 'a>,
    used: Vec<i64>,
    // Per unit, valid when the stamp is the node's.
    stamp: Vec<u32>,
    now: u32,
    heads: Vec<i64>,
    most: Vec<i64>,
    sum: Vec<i64>,
    recipe_most: Vec<(u32, i64)>,
    by_class: HeadCount,
    touched: Vec<u32>,
    /// Floor of each used or touched unit as it stands.
    here: Vec<i64>,
    /// Share by weight of a milligram; 0 if shared by heads.
    linear: Vec<i64>,
    // Per pair, valid when the stamp is the node's.
    pair_stamp: Vec<u32>,
    pair_recipe: Vec<u32>,
    pair_share: Vec<i64>,
    /// By gauge and pair: the floor last worked out, for use and most use.
    pair_seen: Vec<Vec<(i64, i64, i64)>>,
    /// What a pair adds to its unit's floor, and its share of that one level down.
    pair_more: Vec<i64>,
    pair_next: Vec<i64>,
    pairs_touched: Vec<u32>,
    /// Units of the lunch being looked ahead from.
    marked: Vec<bool>,
    // Recipes that use a unit among what looking ahead has left, valid by the stamp.
    ahead_stamp: Vec<u32>,
    ahead_pairs: Vec<u32>,
    pair_ahead_stamp: Vec<u32>,
    pair_ahead_recipe: Vec<u32>,
    pair_ahead: Vec<i64>,
    /// What a pair adds after the lunch looked ahead from.
    pair_alone: Vec<i64>,
    /// By pair: the floor last worked out on top of a lunch, for use and most use.
    alone_seen: Vec<(i64, i64, i64)>,
    /// What the lunch looked ahead from makes of its units: amount and floor.
    ahead_first: Vec<i64>,
    ahead_before: Vec<i64>,
    /// Shares one level down, by place in the node's order: whole, and by unit.
    next_sums: Vec<i64>,
    users: Vec<Vec<(u32, i64)>>,
    ahead_shares: Vec<i64>,
    /// Recipes from none of whose items there is anything to look ahead to, by the stamp.
    hopeless: Vec<u32>,
    hopeless_now: u32,
    ahead_now: u32,
    ahead_heads: Vec<i64>,
    ahead_by_class: HeadCount,
    ahead_recipe: Vec<u32>,
    nodes: u64,
    leaves: u64,
    open_bound: Option<i64>,
}

/// What a node's bounds leave.
struct Opened {
    /// Candidates still possible with their share of the objective, cheapest first.
    order: Vec<(i64, u32)>,
    base: i64,
}

impl<'a> Stage<'a> {
    /// Searches all weeks; `seed` holds items of a week known to fit.
    pub(super) fn run(&self, seed: Option<&[u32]>) -> Searched {
        let lunches = self.pool.last as usize;
        let mut worker = Worker::new(self);
        if let Some(items) = seed {
            worker.leaf.solve(items, &mut worker.best);
        }
        let roots = self.roots();
        worker.first_weeks(&roots);
        let mut total = Searched {
            best: worker.best.take(),
            open_bound: worker.open_bound.take(),
            nodes: worker.nodes,
            leaves: worker.leaves,
        };
        self.told.round(&total, std::iter::once(i64::MIN));
        if std::env::var("DBG").is_ok() {
            eprintln!(
                "first {:?} nodes {} leaves {}",
                total.best.as_ref().map(|b| b.score.objective),
                total.nodes,
                total.leaves
            );
        }
        let mut spare = vec![worker];
        // The first choices, then the second ones, as tasks in a fixed order.
        let mut pending: std::collections::VecDeque<Task> = std::collections::VecDeque::new();
        let mut first = Vec::new();
        {
            let worker = &mut spare[0];
            worker.best.clone_from(&total.best);
            worker.nodes = 0;
            worker.leaves = 0;
            worker.children(&[], &roots, lunches, &mut first);
            total.best = worker.best.take();
            total.nodes += worker.nodes;
            total.leaves += worker.leaves;
            total.open_bound = least_of(total.open_bound, worker.open_bound.take());
        }
        let mut first = first.into_iter();
        loop {
            // Too few tasks for a round: split the next few first choices, side by side.
            while pending.len() < ROUND {
                let batch: Vec<Task> = first.by_ref().take(SPLIT).collect();
                if batch.is_empty() {
                    break;
                }
                let done =
                    self.in_parallel(&batch, total.best.as_ref(), &mut spare, |worker, task| {
                        if worker.beaten(task.bound) {
                            return Vec::new();
                        }
                        if lunches <= 2 || task.candidates.len() < 2 {
                            return vec![task.clone()];
                        }
                        let mut second = Vec::new();
                        worker.children(&task.chosen, &task.candidates, lunches - 1, &mut second);
                        second
                    });
                for (second, result) in done {
                    total.merge(result);
                    pending.extend(second);
                }
            }
            if pending.is_empty() {
                break;
            }
            if self.stopped.load(Ordering::Relaxed) {
                let open = pending.iter().map(|task| task.bound);
                let rest = first.map(|task| task.bound);
                let least = open.chain(rest).min();
                total.open_bound = least_of(total.open_bound, least);
                break;
            }
            let round: Vec<Task> = pending.drain(..pending.len().min(ROUND)).collect();
            let done = self.in_parallel(&round, total.best.as_ref(), &mut spare, |worker, task| {
                if !worker.beaten(task.bound) {
                    let missing = lunches - task.chosen.len();
                    let mut chosen = task.chosen.clone();
                    worker.set_used(&chosen);
                    worker.node(&mut chosen, &task.candidates, missing, task.bound);
                }
            });
            for ((), result) in done {
                total.merge(result);
            }
            if std::env::var("DBG").is_ok() {
                eprintln!(
                    "round {:?} nodes {} leaves {} pending {} first {}",
                    total.best.as_ref().map(|b| b.score.objective),
                    total.nodes,
                    total.leaves,
                    pending.len(),
                    first.as_slice().len()
                );
            }
            let open = pending.iter().chain(first.as_slice());
            self.told.round(&total, open.map(|task| task.bound));
        }
        // Weeks whose lunches were left undivided: open, if below the best.
        let undivided = spare
            .iter()
            .filter_map(|worker| worker.leaf.undivided)
            .min()
            .filter(|&floor| {
                let best = total.best.as_ref();
                best.is_none_or(|best| floor < best.score.objective)
            });
        total.open_bound = least_of(total.open_bound, undivided);
        total
    }

    /// Does every task from the same incumbent, each on a worker of its own, and returns
    /// what they found in the order of the tasks.
    fn in_parallel<'s, T: Send>(
        &'s self,
        tasks: &[Task],
        start: Option<&Found>,
        spare: &mut Vec<Worker<'s, 'a>>,
        work: impl Fn(&mut Worker<'s, 'a>, &Task) -> T + Sync,
    ) -> Vec<(T, Searched)> {
        let workers = std::sync::Mutex::new(std::mem::take(spare));
        let done = tasks
            .par_iter()
            .map(|task| {
                let mut worker = workers
                    .lock()
                    .expect("no panic in a task")
                    .pop()
                    .unwrap_or_else(|| Worker::new(self));
                worker.best = start.cloned();
                worker.nodes = 0;
                worker.leaves = 0;
                worker.open_bound = None;
                let made = work(&mut worker, task);
                let result = Searched {
                    best: worker.best.take(),
                    open_bound: worker.open_bound,
                    nodes: worker.nodes,
                    leaves: worker.leaves,
                };
                workers.lock().expect("no panic in a task").push(worker);
                (made, result)
            })
            .collect();
        *spare = workers.into_inner().expect("no panic in a task");
        done
    }

    /// Whether these lunches leave the week apart from those it must not be like.
    pub(super) fn apart(&self, chosen: impl Iterator<Item = u32> + Clone) -> bool {
        self.apart.iter().all(|other| {
            let recipes = chosen.clone().map(|i| self.items[i as usize].recipe);
            shared(&other.recipes, recipes) <= other.shared
        })
    }

    /// Whether the run was told to stop; `ask` asks again.
    pub(super) fn halted(&self, ask: bool) -> bool {
        if ask {
            if (self.stop)() {
                self.stopped.store(true, Ordering::Relaxed);
            }
            self.told.tell();
        }
        self.stopped.load(Ordering::Relaxed)
    }

    /// Floors of a food under the sums that settle ties: cost and spoiled value.
    pub(super) fn tie_floors(&self, food: u32, used: i64, most: i64) -> (i64, i64) {
        let Some([cost, spoiled]) = &self.ties else {
            return (0, 0);
        };
        (
            cost.floor(food, used, most),
            spoiled.floor(food, used, most) / 1000,
        )
    }

    /// The gauge of a settled aim.
    pub(super) fn gauge_of(&self, aim: Aim) -> Option<&Gauge> {
        let weights = Weights::aim(aim);
        self.gauges.iter().find(|gauge| gauge.weights == weights)
    }

    /// Whether all sums of a food's ways may matter, not only the least score.
    pub(super) fn wants_front(&self, food: u32) -> bool {
        let most = i64::MAX;
        let ceilings = &self.ceilings;
        if ceilings.packs < most || ceilings.cost < most || ceilings.spoiled < most {
            return true;
        }
        let counted = ceilings.foods < most || ceilings.families < most;
        let model = self.pool.foods[food as usize].as_ref();
        counted && model.is_some_and(|model| model.on_hand > 0)
    }

    /// All items; pinned recipes are forced by [`Worker::hopeful`].
    fn roots(&self) -> Vec<u32> {
        (0..self.items.len() as u32).collect()
    }
}

fn least_of(a: Option<i64>, b: Option<i64>) -> Option<i64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

impl<'s, 'a> Worker<'s, 'a> {
    fn new(stage: &'s Stage<'a>) -> Self {
        let units = stage.pool.larder.foods.len() + stage.pool.larder.components.len();
        Self {
            stage,
            best: None,
            leaf: LeafSolver::new(stage),
            used: vec![0; units],
            stamp: vec![0; units],
            now: 0,
            heads: vec![0; units],
            most: vec![0; units],
            sum: vec![0; units],
            recipe_most: vec![(u32::MAX, 0); units],
            by_class: HeadCount::new(&stage.classes, units, stage.pairs.groups),
            touched: Vec::new(),
            here: vec![0; units],
            linear: vec![0; units],
            pair_stamp: vec![0; stage.pairs.list.len()],
            pair_recipe: vec![u32::MAX; stage.pairs.list.len()],
            pair_share: vec![0; stage.pairs.list.len()],
            pair_seen: vec![vec![(-1, -1, 0); stage.pairs.list.len()]; stage.gauges.len()],
            pair_more: vec![0; stage.pairs.list.len()],
            pair_next: vec![0; stage.pairs.list.len()],
            marked: vec![false; units],
            ahead_stamp: vec![0; units],
            ahead_pairs: Vec::new(),
            pair_ahead_stamp: vec![0; stage.pairs.list.len()],
            pair_ahead_recipe: vec![u32::MAX; stage.pairs.list.len()],
            pair_ahead: vec![0; stage.pairs.list.len()],
            pair_alone: vec![0; stage.pairs.list.len()],
            alone_seen: vec![(-1, -1, 0); stage.pairs.list.len()],
            ahead_first: vec![0; units],
            ahead_before: vec![0; units],
            next_sums: Vec::new(),
            users: vec![Vec::new(); units],
            ahead_shares: Vec::new(),
            hopeless: vec![0; stage.pool.larder.recipes.len()],
            hopeless_now: 0,
            ahead_now: 0,
            ahead_heads: vec![0; units],
            ahead_by_class: HeadCount::new(&stage.classes, units, stage.pairs.groups),
            ahead_recipe: vec![u32::MAX; units],
            pairs_touched: Vec::new(),
            nodes: 0,
            leaves: 0,
            open_bound: None,
        }
    }

    fn item(&self, index: u32) -> &'s Item {
        &self.stage.items[index as usize]
    }

    /// Whether nothing at or above `bound` can improve on the incumbent.
    fn beaten(&self, bound: i64) -> bool {
        match &self.best {
            None => false,
            Some(best) if self.stage.last_stage => bound > best.score.objective,
            Some(best) => bound >= best.score.objective,
        }
    }

    fn set_used(&mut self, chosen: &[u32]) {
        self.used.fill(0);
        for &index in chosen {
            self.add(index, 1);
        }
    }

    fn add(&mut self, index: u32, times: i64) {
        for &(unit, amount) in &self.stage.items[index as usize].units {
            self.used[unit as usize] += amount * times;
        }
    }

    /// The most of a unit that `amount` at the fewest eaters can really be.
    fn stretch(&self, amount: i64) -> i64 {
        let eaters = &self.stage.pool.eaters;
        if eaters.len() == 1 {
            amount
        } else {
            let ratio = eaters[eaters.len() - 1] / eaters[0].max(1) + 2;
            amount * ratio
        }
    }

    /// Whether the items chosen leave room for `more` under the rules that count or
    /// exclude recipes, with `missing` lunches to choose including `more`.
    fn fits(&self, chosen: &[u32], more: u32) -> bool {
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

    /// Whether what must be bought for `chosen` and `more` stays within the caps.
    fn covered(&self, chosen: &[u32], more: u32) -> bool {
        self.stage.covers.iter().all(|cover| {
            let mut have = vec![0; cover.words];
            for &old in chosen {
                cover.add(&mut have, old);
            }
            cover.fits(&have, more)
        })
    }

    /// Whether the pinned recipes and foods can still come in with `missing` lunches.
    fn hopeful(&self, chosen: &[u32], candidates: &[u32], missing: usize) -> bool {
        let wishes = &self.stage.pool.larder.wishes;
        let mut owed = 0;
        let mut seen: Vec<RecipeId> = Vec::new();
        for pin in &wishes.with {
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
    fn open(&mut self, chosen: &[u32], candidates: &[u32], missing: usize) -> Option<Opened> {
        let mut candidates = candidates.to_vec();
        let stage = self.stage;
        let recipes = chosen.iter().map(|&item| stage.pairs.recipe[item as usize]);
        let room = stage.classes.room(recipes);
        loop {
            if !self.hopeful(chosen, &candidates, missing) {
                return None;
            }
            let before = candidates.len();
            self.measure(&candidates, missing, &room);
            let mut opened = None;
            for dimension in (0..stage.gauges.len()).rev() {
                let (base, shares) = self.shares(dimension, chosen, &candidates, missing);
                let mut least = Least::new(&stage.classes, &room, missing, self.repeats());
                for (&share, &index) in shares.iter().zip(&candidates) {
                    if share < least.worst {
                        least.add(share, stage.pairs.recipe[index as usize]);
                    }
                }
                let sums = least.sums()?;
                let over = |bound: i64, worker: &Self| {
                    if dimension == 0 {
                        worker.beaten(bound)
                    } else {
                        bound > stage.limits[dimension]
                    }
                };
                if over(base + sums.0, self) {
                    return None;
                }
                let mut kept = Vec::with_capacity(candidates.len());
                let mut order = Vec::with_capacity(candidates.len());
                let (mut last, mut beside) = (u32::MAX, 0);
                for (&index, &share) in candidates.iter().zip(&shares) {
                    let recipe = stage.pairs.recipe[index as usize];
                    if recipe != last {
                        last = recipe;
                        beside = least.beside(recipe, sums);
                    }
                    if !over(base + share + beside, self) {
                        kept.push(index);
                        order.push((share, index));
                    }
                }
                candidates = kept;
                if dimension == 0 {
                    opened = Some(Opened { order, base });
                }
            }
            self.drop_by_nutrition(chosen, &mut candidates, missing);
            let mut opened = opened.expect("dimension 0 is always there");
            if candidates.len() == before || candidates.is_empty() {
                opened
                    .order
                    .retain(|(_, index)| candidates.binary_search(index).is_ok());
                opened.order.sort_unstable();
                return (!candidates.is_empty()).then_some(opened);
            }
        }
    }

    /// Counts, per unit, the recipes that could use it and the most they could add.
    fn measure(&mut self, candidates: &[u32], missing: usize, room: &Room) {
        self.now += 1;
        self.by_class.next();
        self.touched.clear();
        self.pairs_touched.clear();
        let stage = self.stage;
        let pairs = stage.pairs;
        let repeats = self.repeats();
        for &index in candidates {
            let recipe = pairs.recipe[index as usize];
            for (&pair, &group) in pairs.of(index).iter().zip(pairs.groups_of(index)) {
                let p = pair as usize;
                if self.pair_stamp[p] == self.now {
                    // Another item of this recipe has told all there is to tell.
                    if self.pair_recipe[p] == recipe {
                        continue;
                    }
                } else {
                    self.pair_stamp[p] = self.now;
                    self.pairs_touched.push(pair);
                }
                self.pair_recipe[p] = recipe;
                let (unit, amount) = pairs.list[p];
                let u = unit as usize;
                if self.stamp[u] != self.now {
                    self.stamp[u] = self.now;
                    self.by_class.clear(u, missing);
                    self.most[u] = 0;
                    self.sum[u] = 0;
                    self.recipe_most[u] = (u32::MAX, 0);
                    self.touched.push(unit);
                }
                let (last, most) = self.recipe_most[u];
                if recipe == last {
                    if amount > most {
                        self.sum[u] += amount - most;
                        self.recipe_most[u].1 = amount;
                    }
                } else {
                    self.by_class
                        .count(u, (recipe, group), &stage.classes, room, repeats);
                    self.sum[u] += amount;
                    self.recipe_most[u] = (recipe, amount);
                }
                self.most[u] = self.most[u].max(amount);
            }
        }
        for &unit in &self.touched {
            let u = unit as usize;
            self.heads[u] = self.by_class.heads(u);
            let by_heads = self.most[u] * self.heads[u];
            self.sum[u] = by_heads.min(self.sum[u].saturating_mul(repeats));
        }
    }

    fn most_added(&self, unit: u32) -> i64 {
        let u = unit as usize;
        if self.stamp[u] == self.now {
            self.sum[u]
        } else {
            0
        }
    }

    /// Base of the node and the share of each candidate in one dimension.
    fn shares(
        &mut self,
        dimension: usize,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> (i64, Vec<i64>) {
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
        // Floors of the units as they stand; a unit of several items counts once.
        for (at, &index) in chosen.iter().enumerate() {
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                let seen = chosen[..at].iter().any(|&old| pairs.uses(old, unit));
                if !seen {
                    base += self.floor_here(gauge, unit);
                }
            }
        }
        for &unit in &gauge.restless {
            if self.used[unit as usize] == 0 {
                base += self.floor_here(gauge, unit);
            }
        }
        for &unit in &self.touched {
            let u = unit as usize;
            self.linear[u] = 0;
            if self.used[u] > 0 {
                continue;
            }
            let Some((price, capacity)) = gauge.per_milligram(unit) else {
                continue;
            };
            let rate = price / capacity;
            let typical = (self.sum[u] / self.heads[u].max(1)).max(1);
            let top = self.stretch(self.sum[u]).max(typical);
            let heads = self.heads[u].max(1);
            let by_heads = gauge.floor(unit, typical, top) / heads;
            if rate * typical + gauge.weights.food / heads > by_heads {
                self.linear[u] = rate;
            }
        }
        for &pair in &self.pairs_touched {
            let p = pair as usize;
            let (unit, amount) = pairs.list[p];
            let u = unit as usize;
            let with = self.used[u] + amount;
            let top = self.stretch(self.used[u] + self.sum[u]).max(with);
            // Most units are as they were when last looked at.
            let seen = &mut self.pair_seen[dimension][p];
            if (seen.0, seen.1) != (with, top) {
                *seen = (with, top, gauge.floor(unit, with, top));
            }
            let more = (seen.2 - self.here[u]).max(0);
            let heads = self.heads[u].max(1);
            (self.pair_share[p], self.pair_next[p]) = if self.linear[u] > 0 {
                let food = gauge.weights.food;
                let by_weight = self.linear[u] * amount;
                (
                    by_weight + food / heads,
                    by_weight + food / heads.min(missing - 1).max(1),
                )
            } else {
                (more / heads, more / heads.min(missing - 1).max(1))
            };
            self.pair_more[p] = more;
        }
        let shares = candidates
            .iter()
            .map(|&index| {
                let by_pair = pairs.of(index).iter();
                fixed[index as usize]
                    + by_pair
                        .map(|&pair| self.pair_share[pair as usize])
                        .sum::<i64>()
            })
            .collect();
        (base, shares)
    }

    /// Floor of a unit as it stands at the node, remembered for the shares.
    fn floor_here(&mut self, gauge: &Gauge, unit: u32) -> i64 {
        let used = self.used[unit as usize];
        let top = self.stretch(used + self.most_added(unit));
        let floor = gauge.floor(unit, used, top);
        self.here[unit as usize] = floor;
        floor
    }

    fn repeats(&self) -> i64 {
        self.stage.pool.larder.wishes.repeats
    }

    /// Drops candidates with which the week's mean cannot reach a floor or stay below a
    /// ceiling, whatever else is chosen.
    fn drop_by_nutrition(&self, chosen: &[u32], candidates: &mut Vec<u32>, missing: usize) {
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

    /// Lists the children of a node as tasks, or searches it at once if it is the last
    /// choice.
    fn children(
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
        self.prepare_ahead(&opened);
        self.rule_out_recipes(chosen, &opened, missing);
        for at in 0..opened.order.len() {
            if self.is_hopeless(opened.order[at].1) {
                continue;
            }
            let Some(bound) = self.child_bound(&opened, at, missing) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            let Some((ahead, chosen, candidates)) = self.ahead(chosen, &opened, at, missing) else {
                continue;
            };
            tasks.push(Task {
                chosen,
                candidates,
                bound: bound.max(ahead),
            });
        }
    }

    /// Bound of the child that takes candidate `at` and only later ones: they are in
    /// order of share, so the next ones of different recipes are the smallest.
    fn child_bound(&self, opened: &Opened, at: usize, missing: usize) -> Option<i64> {
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

    /// Looks ahead from taking candidate `at`: the bound one level down, without working
    /// the floors out again, and the later candidates that it leaves.
    ///
    /// Proof. Let i be the lunch taken and R the m - 1 lunches after it. The floor of a unit
    /// that i uses is at least what i makes it. For a unit that i does not use, the shares of
    /// R hold as in the bound above, with m - 1 for m.
    fn ahead(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        at: usize,
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
        let from = if repeats > 1 { at } else { at + 1 };
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
        let mut least = Least::new(&stage.classes, &room, more, repeats);
        for (&share, &(_, other)) in shares.iter().zip(&opened.order[from..]) {
            if share < least.worst {
                let theirs = pairs.recipe[other as usize];
                if (repeats > 1 || theirs != recipe) && covered(other) {
                    least.add(share, theirs);
                }
            }
        }
        let mut left: Vec<u32> = Vec::new();
        let mut bound = least
            .sums()
            .map(|(all, others)| (base + all, base + others))
            .filter(|&(bound, _)| !self.beaten(bound));
        if let Some((_, others)) = bound {
            for (&share, &(_, other)) in shares.iter().zip(&opened.order[from..]) {
                let theirs = pairs.recipe[other as usize];
                let cheap = !self.beaten(others + share);
                if cheap && (repeats > 1 || theirs != recipe) && covered(other) {
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
        left.retain(|&other| self.fits(&with, other));
        Some((bound, with, left))
    }

    /// Three lunches are missing: looks ahead from each candidate, then pairs up what is
    /// left.
    ///
    /// Proof of the bound on a pair. With the first lunch taken, the floor of a unit rises by
    /// at least what either of the two makes it rise alone: the larger of the two if both
    /// use it.
    fn last_three(&mut self, chosen: &[u32], opened: &Opened) {
        let stage = self.stage;
        let pairs = stage.pairs;
        self.prepare_ahead(opened);
        for at in 0..opened.order.len() {
            let Some(bound) = self.child_bound(opened, at, 3) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            if stage.halted(false) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                return;
            }
            let Some((_, with, left)) = self.ahead(chosen, opened, at, 3) else {
                continue;
            };
            self.nodes += 1;
            let index = opened.order[at].1;
            let mut base = opened.base + stage.fixed[0][index as usize];
            base += pairs
                .of(index)
                .iter()
                .map(|&pair| self.pair_more[pair as usize])
                .sum::<i64>();
            // Shares first, then what each would add alone.
            let mut each: Vec<(i64, i64, u32)> = left
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
            for (place, &(share, alone, second)) in each.iter().enumerate() {
                if self.beaten(base + 2 * share) {
                    break;
                }
                let mut haves: Vec<Vec<u64>> = Vec::with_capacity(stage.covers.len());
                for cover in &stage.covers {
                    let mut have = cover.of(second).to_vec();
                    for &old in &with {
                        cover.add(&mut have, old);
                    }
                    haves.push(have);
                }
                self.ahead_now += 1;
                for &pair in pairs.of(second) {
                    let u = pairs.list[pair as usize].0 as usize;
                    self.ahead_stamp[u] = self.ahead_now;
                    self.ahead_heads[u] = self.pair_alone[pair as usize];
                }
                for &(other_share, other_alone, third) in &each[place + 1..] {
                    if self.beaten(base + share + other_share) {
                        break;
                    }
                    let covers = stage.covers.iter().zip(&haves);
                    if pairs.recipe[second as usize] == pairs.recipe[third as usize]
                        || !covers
                            .into_iter()
                            .all(|(cover, have)| cover.fits(have, third))
                    {
                        continue;
                    }
                    let mut pair_bound = base + alone + other_alone;
                    for &pair in pairs.of(third) {
                        let u = pairs.list[pair as usize].0 as usize;
                        if self.ahead_stamp[u] == self.ahead_now {
                            let theirs = self.pair_alone[pair as usize];
                            pair_bound -= self.ahead_heads[u].min(theirs);
                        }
                    }
                    if !self.beaten(pair_bound) {
                        self.week_of(&with, second, third);
                    }
                }
            }
        }
    }

    /// Tries a whole week: floors of the very sums, then the leaf.
    fn week_of(&mut self, with: &[u32], second: u32, third: u32) {
        let stage = self.stage;
        let mut week = with.to_vec();
        week.push(second);
        if !self.fits(&week, third) {
            return;
        }
        week.push(third);
        let added = &week[week.len() - 3..];
        for &index in added {
            self.add(index, 1);
        }
        let bounds: Vec<i64> = stage
            .gauges
            .iter()
            .map(|gauge| self.exact_base(gauge, &week))
            .collect();
        for &index in added {
            self.add(index, -1);
        }
        let within = |d: usize| bounds[d] <= stage.limits[d];
        if self.beaten(bounds[0]) || !(1..bounds.len()).all(within) {
            return;
        }
        self.leaves += 1;
        if self.week_holds(&week) {
            self.leaf.solve(&week, &mut self.best);
        }
        if stage.halted(false) {
            self.open_bound = least_of(self.open_bound, Some(bounds[0]));
        }
    }

    /// Counts, per unit, the recipes among `left` (in item order) that use it, and lists
    /// their pairs.
    fn count_heads(&mut self, left: &[u32], more: usize, room: &Room) {
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
    fn sift_ahead(
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

    /// Gets the shares one level down ready for looking ahead from any candidate.
    fn prepare_ahead(&mut self, opened: &Opened) {
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

    /// Looks ahead from whole recipes first, where they have many items: marks those that
    /// leave nothing whatever item is taken.
    ///
    /// Proof. As in [`Self::ahead`], with the least that any item of the recipe costs, the
    /// units of all its items left out, and the least share of each other recipe.
    fn rule_out_recipes(&mut self, chosen: &[u32], opened: &Opened, missing: usize) {
        let stage = self.stage;
        let pairs = stage.pairs;
        self.hopeless_now += 1;
        if missing < 4 {
            return;
        }
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
    fn is_hopeless(&self, index: u32) -> bool {
        let recipe = self.stage.pairs.recipe[index as usize];
        self.hopeless[recipe as usize] == self.hopeless_now
    }

    /// Searches below a node. `used` holds what `chosen` uses.
    fn node(&mut self, chosen: &mut Vec<u32>, candidates: &[u32], missing: usize, bound: i64) {
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
        if missing == 3 && self.stage.pool.larder.wishes.repeats == 1 {
            self.last_three(chosen, &opened);
            return;
        }
        // What is looked ahead from is overwritten below, so all of it comes first.
        let mut children = Vec::new();
        self.prepare_ahead(&opened);
        self.rule_out_recipes(chosen, &opened, missing);
        for at in 0..opened.order.len() {
            if self.is_hopeless(opened.order[at].1) {
                continue;
            }
            let Some(bound) = self.child_bound(&opened, at, missing) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            if let Some((ahead, _, next)) = self.ahead(chosen, &opened, at, missing) {
                children.push((bound.max(ahead), opened.order[at].1, next));
            }
        }
        for (bound, index, next) in children {
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

    /// The last lunch needs no sharing: floors of the very sums, then the leaf.
    fn last_lunch(&mut self, chosen: &mut Vec<u32>, candidates: &[u32]) {
        if !self.hopeful(chosen, candidates, 1) {
            return;
        }
        let stage = self.stage;
        let bases: Vec<i64> = stage
            .gauges
            .iter()
            .map(|gauge| self.exact_base(gauge, chosen))
            .collect();
        let pairs = stage.pairs;
        let mut left: Vec<(i64, u32)> = candidates.iter().map(|&index| (0, index)).collect();
        for dimension in (0..stage.gauges.len()).rev() {
            self.now += 1;
            let gauge = &stage.gauges[dimension];
            let fixed = &stage.fixed[dimension];
            left.retain_mut(|(bound, index)| {
                *bound = bases[dimension] + fixed[*index as usize];
                for &pair in pairs.of(*index) {
                    let p = pair as usize;
                    if self.pair_stamp[p] != self.now {
                        self.pair_stamp[p] = self.now;
                        self.pair_share[p] = self.exact_more(gauge, pair);
                    }
                    *bound += self.pair_share[p];
                }
                if dimension == 0 {
                    !self.beaten(*bound)
                } else {
                    *bound <= stage.limits[dimension]
                }
            });
        }
        let mut order = left;
        order.sort_unstable();
        for (bound, index) in order {
            if self.beaten(bound) {
                break;
            }
            chosen.push(index);
            self.leaves += 1;
            if self.week_holds(chosen) {
                self.leaf.solve(chosen, &mut self.best);
            }
            chosen.pop();
            if self.stage.halted(false) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                break;
            }
        }
    }

    fn exact_base(&self, gauge: &Gauge, chosen: &[u32]) -> i64 {
        let pairs = self.stage.pairs;
        let mut base = gauge.constant;
        for (at, &index) in chosen.iter().enumerate() {
            base += gauge.fixed(self.item(index));
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                if !chosen[..at].iter().any(|&old| pairs.uses(old, unit)) {
                    let used = self.used[unit as usize];
                    base += gauge.floor(unit, used, self.stretch(used));
                }
            }
        }
        for &unit in &gauge.restless {
            if self.used[unit as usize] == 0 {
                base += gauge.floor(unit, 0, 0);
            }
        }
        base
    }

    /// What the last lunch adds to a unit's floor.
    fn exact_more(&self, gauge: &Gauge, pair: u32) -> i64 {
        let (unit, amount) = self.stage.pairs.list[pair as usize];
        let used = self.used[unit as usize];
        let with = used + amount;
        let before = if used > 0 || gauge.restless.binary_search(&unit).is_ok() {
            gauge.floor(unit, used, self.stretch(used))
        } else {
            0
        };
        gauge.floor(unit, with, self.stretch(with)) - before
    }

    /// The rules on a complete set of items that need no days: means and pins.
    fn week_holds(&self, chosen: &[u32]) -> bool {
        let rules = self.stage.pool.week_rules.iter().enumerate();
        let means = rules.into_iter().all(|(rule, &(_, at_least, at_most))| {
            let sum: i64 = chosen.iter().map(|&i| self.item(i).nutrients[rule]).sum();
            at_least.is_none_or(|v| sum >= v) && at_most.is_none_or(|v| sum <= v)
        });
        means && self.hopeful(chosen, &[], 0)
    }

    /// Finds good weeks to start from: greedy from the cheapest items, then one lunch at
    /// a time taken out and replaced by the best.
    fn first_weeks(&mut self, roots: &[u32]) {
        let lunches = self.stage.pool.last as usize;
        self.set_used(&[]);
        let Some(opened) = self.open(&[], roots, lunches) else {
            return;
        };
        self.leaf.quick = true;
        let starts: Vec<u32> = opened.order.iter().map(|&(_, i)| i).collect();
        let mut tried = Vec::new();
        for &start in &starts {
            let recipe = self.item(start).recipe;
            if tried.contains(&recipe) {
                continue;
            }
            tried.push(recipe);
            if tried.len() > FIRST_STARTS && (self.best.is_some() || tried.len() > MOST_STARTS) {
                break;
            }
            self.greedy(vec![start], &starts);
        }
        let mut rounds = 0;
        while let Some(best) = self.best.clone() {
            rounds += 1;
            let before = best.key();
            for out in 0..lunches {
                let mut chosen = best.items.clone();
                chosen.remove(out);
                self.set_used(&chosen);
                let candidates: Vec<u32> = roots
                    .iter()
                    .copied()
                    .filter(|&index| self.fits(&chosen, index))
                    .collect();
                self.last_lunch(&mut chosen, &candidates);
            }
            if rounds > 20 || self.best.as_ref().is_some_and(|now| now.key() == before) {
                break;
            }
        }
        self.leaf.quick = false;
        if let Some(best) = self.best.clone() {
            self.leaf.solve(&best.items, &mut self.best);
        }
    }

    /// Adds the item with the least exact increase until one lunch is missing, then tries
    /// the last one properly.
    fn greedy(&mut self, mut chosen: Vec<u32>, all: &[u32]) {
        let lunches = self.stage.pool.last as usize;
        while chosen.len() + 1 < lunches {
            self.set_used(&chosen);
            let stage = self.stage;
            let next = all
                .iter()
                .copied()
                .filter(|&index| self.fits(&chosen, index) && self.covered(&chosen, index))
                .map(|index| {
                    let pairs = stage.pairs.of(index).iter();
                    let more = pairs.map(|&pair| self.exact_more(&stage.gauges[0], pair));
                    (stage.fixed[0][index as usize] + more.sum::<i64>(), index)
                })
                .min();
            let Some((_, index)) = next else { return };
            chosen.push(index);
        }
        if lunches == 1 {
            chosen.clear();
        }
        self.set_used(&chosen);
        let mut candidates: Vec<u32> = all
            .iter()
            .copied()
            .filter(|&index| self.fits(&chosen, index))
            .collect();
        candidates.sort_unstable();
        self.last_lunch(&mut chosen, &candidates);
    }
}

impl Found {
    /// The total order in which weeks are compared.
    pub(super) fn key(&self) -> (Score, Vec<RecipeId>, Vec<u32>) {
        (self.score, self.recipes.clone(), self.items.clone())
    }
}
