//! First weeks: something to measure bounds against.

use super::books::Worker;
use super::items::keeps;
use crate::larder::Pin;

/// Recipes from which a first week is grown, and how many more until there is one.
const FIRST_STARTS: usize = 12;
const MOST_STARTS: usize = 60;

/// Ways, beside the cheapest, in which a recipe that must be in the week is tried.
const FIRST_WAYS: usize = 4;

impl<'s> Worker<'s, '_> {
    /// Finds good weeks to start from: greedy from the cheapest items, then one lunch at
    /// a time taken out and replaced by the best.
    pub(super) fn first_weeks(&mut self, roots: &[u32]) {
        let lunches = self.stage.pool.last as usize;
        self.set_used(&[]);
        let Some(opened) = self.open(&[], roots, lunches) else {
            return;
        };
        self.leaf.quick = true;
        let all: Vec<u32> = opened.order.iter().map(|&(_, i)| i).collect();
        // What must be in the week comes first, in each of its ways.
        let owed = self.owed(&[]).is_some();
        let starts: Vec<u32> = (all.iter().copied())
            .filter(|&start| self.pays(&[], start))
            .collect();
        let mut tried = Vec::new();
        for &start in &starts {
            let recipe = self.item(start).recipe;
            let seen = tried.iter().filter(|&&old| old == recipe).count();
            if seen > if owed { FIRST_WAYS } else { 0 } {
                continue;
            }
            tried.push(recipe);
            if tried.len() > FIRST_STARTS && (self.best.is_some() || tried.len() > MOST_STARTS) {
                break;
            }
            self.greedy(vec![start], &all);
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

    /// The first pin that nothing chosen keeps yet.
    fn owed(&self, chosen: &[u32]) -> Option<&'s Pin> {
        let pins = self.stage.pool.larder.wishes.with.iter();
        let kept = |pin: &Pin| chosen.iter().any(|&item| self.keeps(pin, item));
        let mut owed = pins.filter(|pin| !kept(pin));
        owed.next()
    }

    fn keeps(&self, pin: &Pin, item: u32) -> bool {
        keeps(self.stage.pool, pin, self.item(item))
    }

    /// Whether an item keeps the first pin owed, if one is.
    fn pays(&self, chosen: &[u32], item: u32) -> bool {
        let owed = self.owed(chosen);
        owed.is_none_or(|pin| self.keeps(pin, item))
    }

    /// Adds the item with the least exact increase until one lunch is missing, then tries
    /// the last one properly.
    pub(super) fn greedy(&mut self, mut chosen: Vec<u32>, all: &[u32]) {
        let lunches = self.stage.pool.last as usize;
        while chosen.len() + 1 < lunches {
            self.set_used(&chosen);
            let stage = self.stage;
            let next = all
                .iter()
                .copied()
                .filter(|&index| self.fits(&chosen, index) && self.covered(&chosen, index))
                .filter(|&index| self.pays(&chosen, index))
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
