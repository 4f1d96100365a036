//! First weeks: something to measure bounds against.

use crate::engine::bound::forced::Forced;
use crate::engine::bound::verdict::Origin;
use crate::engine::leaf::settling::Extent;
use crate::engine::model::items::keeps;
use crate::engine::model::score::Weights;
use crate::engine::stage::Stage;
use crate::engine::tree::path::Hurry;
use crate::engine::tree::searched::Searched;
use crate::engine::tree::worker::Worker;
use crate::larder::{Aim, Pin};
use itertools::Itertools;
use std::collections::HashSet;

/// Recipes from which a first week is grown, and how many more until there is one.
const FIRST_STARTS: usize = 12;
const MOST_STARTS: usize = 60;

/// Lunches tried first beside one that must be in the week.
const SECONDS: usize = 4;

/// Rounds of replacing lunches.
const MOST_ROUNDS: usize = 20;

/// Lunches of a good week looked at anew together.
const FREE: usize = 2;

/// Items looked at between two looks at the clock.
const ASKED: usize = 4_096;
/// The same where each is worked out for all days.
const FEW_ASKED: usize = 64;

/// Ways, beside the cheapest, in which a recipe that must be in the week is tried.
const FIRST_WAYS: usize = 4;

impl<'a> Stage<'a> {
    /// Finds good weeks to start from: greedy from the cheapest items, then one lunch at
    /// a time taken out and replaced by the best.
    pub(in crate::engine) fn first_weeks<'s>(
        &'s self,
        roots: &[u32],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) {
        let worker = &mut spare[0];
        worker.path.found.best.clone_from(&total.best);
        let (all, starts) = worker.starts(roots);
        if worker.only_spoils() {
            let hurry = Hurry {
                origin: Origin::FirstWeeks,
                extent: Extent::FewOrders,
            };
            worker.in_a_hurry(hurry, |worker| worker.days_first(&all));
        }
        total.merge(worker.path.take());
        let lunches = self.pool.last as usize;
        if self.with().next().is_some()
            && lunches > 2
            && let Some(&start) = starts.first()
        {
            let worker = &mut spare[0];
            let seconds = worker.cheapest_few(&[start], &all, SECONDS);
            let pairs: Vec<Vec<u32>> = seconds
                .into_iter()
                .map(|second| vec![start, second])
                .collect();
            self.quick_weeks(&pairs, total, spare, |worker, pair| {
                worker.greedy(pair.clone(), &all);
            });
        }
        let (now, later) = starts.split_at(starts.len().min(FIRST_STARTS));
        self.quick_weeks(now, total, spare, |worker, &start| {
            worker.greedy(vec![start], &all);
        });
        for start in later {
            if total.best.is_some() {
                break;
            }
            self.quick_weeks(&[*start], total, spare, |worker, &start| {
                worker.greedy(vec![start], &all);
            });
        }
        let places: Vec<usize> = (0..lunches).collect();
        for _ in 0..MOST_ROUNDS {
            let Some(best) = total.best.clone() else {
                return;
            };
            let before = best.key();
            self.quick_weeks(&places, total, spare, |worker, &out| {
                worker.replace(&best.items, out, roots);
            });
            if total.best.as_ref().is_some_and(|now| now.key() == before) {
                break;
            }
        }
        if let Some(best) = total.best.clone() {
            let worker = &mut spare[0];
            worker.path.found.best = Some(best.clone());
            worker.path.settle_from(Origin::FirstWeeks, &best.items);
            total.merge(worker.path.take());
        }
    }

    /// Looks for better weeks that share all but two lunches with the best one so far, until
    /// there is none; where there is none yet, with the week to start from.
    pub(in crate::engine) fn polish<'s>(
        &'s self,
        seed: Option<&[u32]>,
        roots: &[u32],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) {
        let lunches = self.pool.last as usize;
        // A lunch that must be in the week makes weeks dearer by more than this wins.
        if lunches <= FREE || self.with().next().is_some() {
            return;
        }
        let mut tried: Vec<Vec<u32>> = Vec::new();
        for _ in 0..MOST_ROUNDS {
            let best = total.best.as_ref().map(|best| best.items.as_slice());
            let Some(items) = best.or(seed) else {
                return;
            };
            let mut items = items.to_vec();
            items.sort_unstable();
            let mut kept: Vec<Vec<u32>> = items
                .into_iter()
                .combinations(lunches - FREE)
                .filter(|kept| !tried.contains(kept))
                .collect();
            kept.dedup();
            if kept.is_empty() {
                return;
            }
            self.in_parallel(&kept, total, spare, |worker, kept| {
                let hurry = Hurry {
                    origin: Origin::Polish,
                    extent: Extent::FewOrders,
                };
                worker.in_a_hurry(hurry, |worker| {
                    worker.path.set_used(kept);
                    let beside = roots.iter().copied();
                    let beside: Vec<u32> = beside.filter(|&item| self.fits(kept, item)).collect();
                    worker.node(&mut kept.clone(), &beside, FREE, i64::MIN);
                });
            });
            tried.append(&mut kept);
        }
    }

    /// Does every task side by side, weeks being settled quickly.
    fn quick_weeks<'s, K: Sync>(
        &'s self,
        tasks: &[K],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
        work: impl Fn(&mut Worker<'s, 'a>, &K) + Sync,
    ) {
        self.in_parallel(tasks, total, spare, |worker, task| {
            let hurry = Hurry {
                origin: Origin::FirstWeeks,
                extent: Extent::FirstBetter,
            };
            worker.in_a_hurry(hurry, |worker| work(worker, task));
        });
    }
}

impl<'s> Worker<'s, '_> {
    /// Looks for weeks to start from, and is back to searching the tree after that.
    fn in_a_hurry(&mut self, hurry: Hurry, work: impl FnOnce(&mut Self)) {
        self.path.hurry = Some(hurry);
        work(self);
        self.path.hurry = None;
    }

    /// All items by share, and those to grow weeks from.
    fn starts(&mut self, roots: &[u32]) -> (Vec<u32>, Vec<u32>) {
        self.path.set_used(&[]);
        let Some(opened) = self.open(&[], roots, self.path.stage.pool.last as usize) else {
            return (Vec::new(), Vec::new());
        };
        let all: Vec<u32> = opened.order.iter().map(|&(_, item)| item).collect();
        // What must be in the week comes first, in each of its ways.
        let ways = if self.owed(&[]).is_some() {
            FIRST_WAYS
        } else {
            0
        };
        let mut tried = Vec::new();
        let mut starts = Vec::new();
        for &start in &all {
            if starts.len() == MOST_STARTS {
                break;
            }
            let recipe = self.path.stage.item(start).recipe;
            let seen = tried.iter().filter(|&&old| old == recipe).count();
            if seen <= ways && self.pays(&[], start) {
                tried.push(recipe);
                starts.push(start);
            }
        }
        (all, starts)
    }

    /// Whether nothing but what spoils is to be made small.
    fn only_spoils(&self) -> bool {
        self.path.stage.gauges[0].weights == Weights::aim(Aim::Spoiled)
    }

    /// Grows weeks day by day, from lunches that leave least to spoil when served on that day
    /// alone. Of what spoils floors say next to nothing: days tell most sets of lunches apart.
    fn days_first(&mut self, all: &[u32]) {
        let last = self.path.stage.pool.last as usize;
        let by_day: Vec<Vec<u32>> = (0..last).map(|day| self.on_day(all, day)).collect();
        let mut starts: Vec<u32> = by_day[0].clone();
        let mut seen = HashSet::new();
        starts.retain(|&item| seen.insert(self.path.stage.item(item).recipe));
        for &start in starts.iter().take(FIRST_STARTS) {
            let mut week = vec![start];
            for items in &by_day[1..] {
                let next = items
                    .iter()
                    .find(|&&item| self.path.stage.fits(&week, item));
                week.extend(next);
            }
            if week.len() == last && self.path.stage.allows(&week) {
                self.path.found.leaves += 1;
                self.path.settle(&week);
            }
        }
    }

    /// The items that may be served on a day, by what is left to spoil if no other lunch uses
    /// the same foods.
    fn on_day(&mut self, all: &[u32], day: usize) -> Vec<u32> {
        let mut order: Vec<(i64, u32)> = Vec::new();
        for (at, &index) in all.iter().enumerate() {
            // Told to stop, nothing is kept of what an item costs: each would be worked out anew.
            if self.path.stage.halted(at % FEW_ASKED == FEW_ASKED - 1) {
                return Vec::new();
            }
            let cost = self.path.leaf.item_days(index).on(day + 1);
            order.extend(cost.map(|cost| (cost, index)));
        }
        order.sort_unstable();
        order.into_iter().map(|(_, index)| index).collect()
    }

    /// Takes one lunch out and tries all others in its place.
    fn replace(&mut self, items: &[u32], out: usize, roots: &[u32]) {
        let mut chosen = items.to_vec();
        chosen.remove(out);
        self.path.set_used(&chosen);
        self.last_lunch(&mut chosen, roots);
    }

    /// The first pin that nothing chosen keeps yet.
    fn owed(&self, chosen: &[u32]) -> Option<&'s Pin> {
        let pins = self.path.stage.with();
        let kept = |pin: &Pin| chosen.iter().any(|&item| self.keeps(pin, item));
        let mut owed = pins.filter(|pin| !kept(pin));
        owed.next()
    }

    fn keeps(&self, pin: &Pin, item: u32) -> bool {
        keeps(self.path.stage.pool, pin, self.path.stage.item(item))
    }

    /// Whether an item keeps the first pin owed, if one is.
    fn pays(&self, chosen: &[u32], item: u32) -> bool {
        let owed = self.owed(chosen);
        owed.is_none_or(|pin| self.keeps(pin, item))
    }

    /// The item with the least exact increase that may stand beside those chosen.
    fn cheapest(&mut self, chosen: &[u32], all: &[u32]) -> Option<u32> {
        let stage = self.path.stage;
        self.path.set_used(chosen);
        let mut forced = Forced::default();
        forced.clear(&stage.covers);
        for &item in chosen {
            forced.add(&stage.covers, item);
        }
        let owed = self.owed(chosen);
        let Self { path, exact, .. } = self;
        let mut increases = exact.beside(stage, 0, path.used());
        let mut best: Option<(i64, u32)> = None;
        for (at, &index) in all.iter().enumerate() {
            if stage.halted(at % ASKED == ASKED - 1) {
                return None;
            }
            let more = increases.of(index);
            let better = best.is_none_or(|best| (more, index) < best);
            if better
                && forced.fits(&stage.covers, index)
                && path.supplied(index)
                && owed.is_none_or(|pin| keeps(stage.pool, pin, stage.item(index)))
                && stage.fits(chosen, index)
            {
                best = Some((more, index));
            }
        }
        best.map(|(_, index)| index)
    }

    /// The items with the least exact increase beside what is chosen, one a recipe.
    fn cheapest_few(&mut self, chosen: &[u32], all: &[u32], most: usize) -> Vec<u32> {
        let mut left = all.to_vec();
        let mut few = Vec::new();
        while few.len() < most
            && let Some(item) = self.cheapest(chosen, &left)
        {
            few.push(item);
            let recipe = self.path.stage.item(item).recipe;
            left.retain(|&other| self.path.stage.item(other).recipe != recipe);
        }
        few
    }

    /// Adds the item with the least exact increase until one lunch is missing, then tries
    /// the last one properly.
    pub(in crate::engine) fn greedy(&mut self, mut chosen: Vec<u32>, all: &[u32]) {
        let lunches = self.path.stage.pool.last as usize;
        while chosen.len() + 1 < lunches {
            let Some(index) = self.cheapest(&chosen, all) else {
                return;
            };
            chosen.push(index);
        }
        if lunches == 1 {
            chosen.clear();
        }
        self.path.set_used(&chosen);
        self.last_lunch(&mut chosen, all);
    }
}
