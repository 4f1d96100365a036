//! Holds a node's candidates against whole recipes.

use crate::engine::bound::smallest::Least;
use crate::engine::bound::whole_recipes::{
    ASKED, BY_NUMBER, LEAST_ITEMS, LEAST_MISSING, Members, NONE, within, worth_repeating,
};
use crate::engine::model::items::{SET, UnitSet};
use crate::engine::tree::worker::{Opened, Worker};

impl Worker<'_, '_> {
    /// Works out bounds and drops candidates that can be in no better week, until little
    /// changes. None: nothing below this node can matter.
    pub(in crate::engine) fn open_members(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut opened = self.bounds(chosen, candidates, missing)?;
        let pays = missing >= LEAST_MISSING && self.bar() < i64::MAX;
        while pays && opened.items.len() >= LEAST_ITEMS {
            let before = opened.items.len();
            let kept = self.members(chosen, (&opened.items, opened.base, 0), missing, (0, 1));
            if kept.is_empty() {
                return None;
            }
            if worth_repeating(before, kept.len()) {
                opened = self.bounds(chosen, &kept, missing)?;
                continue;
            }
            let keeps = |item: &u32| kept.binary_search(item).is_ok();
            opened.order.retain(|(_, item)| keeps(item));
            opened.items = kept;
            break;
        }
        opened.order.sort_unstable();
        Some(opened)
    }

    /// Whether so many candidates are held against whole recipes in a dimension with a ceiling.
    pub(in crate::engine) fn held_by_number(
        &self,
        dimension: usize,
        items: usize,
        missing: usize,
    ) -> bool {
        let counts = |dimension: usize| self.stage.gauges[dimension].weights.food > 0;
        !counts(0) && counts(dimension) && missing >= LEAST_MISSING && BY_NUMBER.contains(&items)
    }

    /// Those of a part of the recipes at the root that can be in a week better than the
    /// incumbent.
    pub(in crate::engine) fn root_members(
        &mut self,
        roots: &[u32],
        part: (usize, usize),
    ) -> Vec<u32> {
        let missing = self.stage.pool.last as usize;
        self.set_used(&[]);
        match self.bounds(&[], roots, missing) {
            Some(opened) => self.members(&[], (&opened.items, opened.base, 0), missing, part),
            None => Vec::new(),
        }
    }

    /// The candidates, in item order, that can be in a week better than the incumbent, or
    /// within the ceiling of the dimension, with the base there. Looks at one in so many
    /// recipes only. Shares are those of the node in that dimension.
    pub(in crate::engine) fn members(
        &mut self,
        chosen: &[u32],
        (items, base, dimension): (&[u32], i64, usize),
        missing: usize,
        (part, parts): (usize, usize),
    ) -> Vec<u32> {
        self.work += items.len() as u64;
        let mut members = std::mem::take(&mut self.members);
        let stage = self.stage;
        let pairs = stage.pairs;
        let fixed = &stage.fixed[dimension];
        let (more, repeats) = (missing - 1, self.repeats());
        self.lay_lanes(&mut members, items, dimension);
        let low = items.iter().map(|&item| fixed[item as usize]).min();
        let top = members.least.iter().copied().max().unwrap_or(0);
        // What a candidate and the lunches beside it may cost.
        let most = self.top(dimension).saturating_sub(base);
        members.sieve.clear(low.unwrap_or(0), top.min(most));
        for &unit in &self.touched {
            members.sieve.clear_unit(unit as usize);
        }
        members.set_savings(pairs, items, &self.pair_next);
        let chosen = chosen.iter().map(|&item| pairs.recipe[item as usize]);
        let room = stage.classes.room(chosen);
        let mut after = room.clone();
        let unit_of = |&pair: &u32| pairs.list[pair as usize].0 as usize;
        let mut kept = Vec::new();
        let mut stopped = false;
        for (done, g) in (part..members.recipes.len()).step_by(parts).enumerate() {
            if parts > 1 {
                // A long way at the root of many recipes.
                stopped |= stage.halted(done % ASKED == ASKED - 1);
            }
            if stopped {
                kept.extend_from_slice(&items[members.start[g]..members.start[g + 1]]);
                continue;
            }
            let recipe = members.recipes[g];
            after.copy(&room);
            stage.classes.take(&mut after, recipe);
            members.bar((g, recipe), (stage.pool, &stage.classes), (&after, repeats));
            let ranks = members.start[g]..members.start[g + 1];
            // What all of its items use first.
            members.common.clear();
            members.common.resize(pairs.words, UnitSet::MAX);
            for &index in &items[ranks.clone()] {
                for (common, units) in members.common.iter_mut().zip(pairs.mask(index)) {
                    *common &= units;
                }
            }
            let common = &members.common;
            let is_common = |unit: &usize| {
                let bit = pairs.bit[*unit] as usize;
                common[bit / SET] >> (bit % SET) & 1 != 0
            };
            let units = pairs.of(items[ranks.start]).iter().map(unit_of);
            let barred = members.barred.iter().map(|&lane| lane as usize);
            members.sieve.lay_first(units.filter(is_common), barred);
            for &index in &items[ranks] {
                let by_pair = pairs.of(index).iter();
                let own: i64 = by_pair.map(|&pair| self.pair_more[pair as usize]).sum();
                let most = most.saturating_sub(fixed[index as usize] + own);
                let units = pairs.of(index).iter().map(unit_of);
                members
                    .sieve
                    .lay_further(units.filter(|unit| !is_common(unit)));
                let least = Least::new(&stage.classes, &after, more, repeats);
                if within(
                    &members.sieve,
                    &members.allowed,
                    &members.recipes,
                    least,
                    (most, more),
                ) {
                    kept.push(index);
                }
            }
        }
        self.members = members;
        kept
    }

    /// Groups a node's candidates by recipe, with their shares one level down.
    fn lay_lanes(&self, members: &mut Members, items: &[u32], dimension: usize) {
        let stage = self.stage;
        let pairs = stage.pairs;
        for &recipe in &members.recipes {
            members.lane[recipe as usize] = NONE;
        }
        for lanes in &mut members.classes {
            lanes.clear();
        }
        members.recipes.clear();
        members.start.clear();
        members.sums.clear();
        members.least.clear();
        for (rank, &index) in items.iter().enumerate() {
            let recipe = pairs.recipe[index as usize];
            if members.recipes.last() != Some(&recipe) {
                let lane = members.recipes.len() as u32;
                members.lane[recipe as usize] = lane;
                for class in stage.classes.of(recipe) {
                    members.classes[class].push(lane);
                }
                members.recipes.push(recipe);
                members.start.push(rank);
                members.least.push(i64::MAX);
            }
            let by_pair = pairs.of(index).iter();
            let parts: i64 = by_pair.map(|&pair| self.pair_next[pair as usize]).sum();
            let sum = stage.fixed[dimension][index as usize] + parts;
            members.sums.push(sum);
            if let Some(least) = members.least.last_mut() {
                *least = sum.min(*least);
            }
        }
        members.start.push(items.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::answer::Outcome;
    use crate::engine::model::samples::{alone, kitchen, numbers};
    use crate::engine::solve;
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};

    /// Whoever is dropped is beaten by exact shares too, item by item.
    #[test]
    fn drops_none_that_exact_shares_leave() {
        let mut next = numbers(1);
        let (mut dropped, mut left) = (0, 0);
        for name in ["boatyard", "stored/sameness", "stored/repeats"] {
            let larder = kitchen(name);
            let limits = alone();
            let Ok((Outcome::Best(best), _)) = solve(&larder, &limits) else {
                panic!("{name}: a best week");
            };
            let ready = Ready::new(&larder, &|| false);
            let (items, pairs) = (&ready.items, ready.laid().pairs);
            for tenths in [8, 10, 13] {
                let given = Given {
                    objective_most_nano: Some(best.tally.objective_nano / 10 * tenths),
                    ..Given::default()
                };
                let ceilings = first_ceilings(&larder);
                let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
                let mut worker = Worker::new(&stage);
                for _ in 0..40 {
                    let mut chosen: Vec<u32> = Vec::new();
                    for _ in 0..next(3) {
                        let item = next(items.len()) as u32;
                        if worker.fits(&chosen, item) {
                            chosen.push(item);
                        }
                    }
                    let missing = ready.pool.last as usize - chosen.len();
                    worker.set_used(&chosen);
                    let candidates: Vec<u32> = (0..items.len() as u32)
                        .filter(|&item| next(3) > 0 && worker.fits(&chosen, item))
                        .collect();
                    let Some(opened) = worker.bounds(&chosen, &candidates, missing) else {
                        continue;
                    };
                    let kept =
                        worker.members(&chosen, (&opened.items, opened.base, 0), missing, (0, 1));
                    left += kept.len();
                    let recipes = chosen.iter().map(|&item| pairs.recipe[item as usize]);
                    let room = stage.classes.room(recipes);
                    for &item in &opened.items {
                        if kept.binary_search(&item).is_ok() {
                            continue;
                        }
                        dropped += 1;
                        let mut after = room.clone();
                        stage.classes.take(&mut after, pairs.recipe[item as usize]);
                        let sum = |item: u32, part: &dyn Fn(usize) -> i64| -> i64 {
                            let parts = pairs.of(item).iter().map(|&pair| part(pair as usize));
                            stage.fixed[0][item as usize] + parts.sum::<i64>()
                        };
                        let own = sum(item, &|pair| worker.pair_more[pair]);
                        let repeats = worker.repeats();
                        let mut least = Least::new(&stage.classes, &after, missing - 1, repeats);
                        let with: Vec<u32> = chosen.iter().copied().chain([item]).collect();
                        for &other in &opened.items {
                            if worker.fits(&with, other) {
                                let share = sum(other, &|pair| {
                                    let paid = pairs.uses(item, pairs.list[pair].0);
                                    if paid { 0 } else { worker.pair_next[pair] }
                                });
                                least.add(share, pairs.recipe[other as usize]);
                            }
                        }
                        let bound = least.sums().map(|(sum, _)| opened.base + own + sum);
                        assert!(
                            bound.is_none_or(|bound| bound > worker.bar()),
                            "{name}: {item} beside {chosen:?}"
                        );
                    }
                }
            }
        }
        assert!(dropped > 500 && left > 1_000, "{dropped} {left}");
    }
}
