//! Holds a node's candidates against whole recipes.

use crate::engine::bound::smallest::Least;
use crate::engine::bound::verdict::BoundId;
use crate::engine::bound::whole_recipes::{
    ASKED, BY_NUMBER, LEAST_ITEMS, LEAST_MISSING, within, worth_repeating,
};
use crate::engine::model::items::{SET, UnitSet};
use crate::engine::tree::node::Opened;
use crate::engine::tree::worker::Worker;

impl Worker<'_, '_> {
    /// Works out bounds and drops candidates that can be in no better week, until little
    /// changes. None: nothing below this node can matter.
    pub(in crate::engine) fn open_by_recipe(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> Option<Opened> {
        let mut opened = self.bounds(chosen, candidates, missing)?;
        let pays = missing >= LEAST_MISSING && self.path.cutoff() < i64::MAX;
        while pays && opened.items.len() >= LEAST_ITEMS {
            let before = opened.items.len();
            let kept =
                self.within_recipes(chosen, (&opened.items, opened.base, 0), missing, (0, 1));
            let all = opened.items.iter().copied();
            #[cfg(test)]
            self.path
                .watch(BoundId::WholeRecipes, chosen, all.clone(), &kept);
            if kept.is_empty() {
                self.path.close(BoundId::WholeRecipes, chosen, all);
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
        let counts = |dimension: usize| self.path.stage.gauges[dimension].weights.food > 0;
        !counts(0) && counts(dimension) && missing >= LEAST_MISSING && BY_NUMBER.contains(&items)
    }

    /// Those of a part of the recipes at the root that can be in a week better than the
    /// incumbent.
    pub(in crate::engine) fn root_within_recipes(
        &mut self,
        roots: &[u32],
        part: (usize, usize),
    ) -> Vec<u32> {
        let missing = self.path.stage.pool.last as usize;
        self.path.set_used(&[]);
        match self.bounds(&[], roots, missing) {
            Some(opened) => {
                self.within_recipes(&[], (&opened.items, opened.base, 0), missing, part)
            }
            None => Vec::new(),
        }
    }

    /// The candidates, in item order, that can be in a week better than the incumbent, or
    /// within the ceiling of the dimension, with the base there. Looks at one in so many
    /// recipes only. Shares are those of the node in that dimension.
    pub(in crate::engine) fn within_recipes(
        &mut self,
        chosen: &[u32],
        (items, base, dimension): (&[u32], i64, usize),
        missing: usize,
        (part, parts): (usize, usize),
    ) -> Vec<u32> {
        let stage = self.path.stage;
        self.path.found.work += items.len() as u64;
        // What a candidate and the lunches beside it may cost.
        let most = self.path.top(dimension).saturating_sub(base);
        self.lay_recipes((items, dimension), most);
        let chosen = chosen.iter().map(|&item| stage.pairs.recipe[item as usize]);
        let room = stage.classes.room(chosen);
        let mut after = room.clone();
        let mut kept = Vec::new();
        let mut stopped = false;
        for (done, lane) in (part..self.recipes.recipes.len())
            .step_by(parts)
            .enumerate()
        {
            if parts > 1 {
                // A long way at the root of many recipes.
                stopped |= stage.halted(done % ASKED == ASKED - 1);
            }
            let ranks = self.recipes.start[lane]..self.recipes.start[lane + 1];
            if stopped {
                kept.extend_from_slice(&items[ranks]);
                continue;
            }
            let recipe = self.recipes.recipes[lane];
            after.copy(&room);
            stage.classes.take(&mut after, recipe);
            let laws = (stage.pool, &stage.classes);
            self.recipes
                .bar((lane, recipe), laws, (&after, stage.repeats()));
            let least = Least::new(&stage.classes, &after, missing - 1, stage.repeats());
            self.keep_of_recipe((dimension, most), &items[ranks], &least, &mut kept);
        }
        kept
    }

    /// Gets a node's candidates ready, by recipe: sums up to `most` are of interest.
    fn lay_recipes(&mut self, (items, dimension): (&[u32], usize), most: i64) {
        let Self {
            path,
            node,
            recipes,
            ..
        } = self;
        let pairs = path.stage.pairs;
        let fixed = &path.stage.fixed[dimension];
        recipes.lay_lanes((pairs, &path.stage.classes), items, fixed, node.next());
        let low = items.iter().map(|&item| fixed[item as usize]).min();
        let top = recipes.least.iter().copied().max().unwrap_or(0);
        recipes.prefilter.clear(low.unwrap_or(0), top.min(most));
        for &unit in node.touched() {
            recipes.prefilter.clear_unit(unit as usize);
        }
        recipes.set_savings(pairs, items, node.next());
    }

    /// Keeps the items of a recipe that come to no more than `most` with the least of the lanes
    /// that are not barred.
    fn keep_of_recipe(
        &mut self,
        (dimension, most): (usize, i64),
        items: &[u32],
        least: &Least,
        kept: &mut Vec<u32>,
    ) {
        let Self {
            path,
            node,
            recipes,
            ..
        } = self;
        let pairs = path.stage.pairs;
        let fixed = &path.stage.fixed[dimension];
        let unit_of = |&pair: &u32| pairs.list[pair as usize].0 as usize;
        // What all of its items use first.
        recipes.common.clear();
        recipes.common.resize(pairs.words, UnitSet::MAX);
        for &index in items {
            for (common, units) in recipes.common.iter_mut().zip(pairs.mask(index)) {
                *common &= units;
            }
        }
        let common = &recipes.common;
        let is_common = |unit: &usize| {
            let bit = pairs.bit[*unit] as usize;
            common[bit / SET] >> (bit % SET) & 1 != 0
        };
        let units = pairs.of(items[0]).iter().map(unit_of);
        let barred = recipes.barred.iter().map(|&lane| lane as usize);
        recipes.prefilter.lay_first(units.filter(is_common), barred);
        for &index in items {
            let by_pair = pairs.of(index).iter();
            let own: i64 = by_pair.map(|&pair| node.more()[pair as usize]).sum();
            let most = most.saturating_sub(fixed[index as usize] + own);
            let units = pairs.of(index).iter().map(unit_of);
            recipes
                .prefilter
                .lay_further(units.filter(|unit| !is_common(unit)));
            if within(
                &recipes.prefilter,
                &recipes.allowed,
                &recipes.recipes,
                least.clone(),
                most,
            ) {
                kept.push(index);
            }
        }
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
                        if stage.fits(&chosen, item) {
                            chosen.push(item);
                        }
                    }
                    let missing = ready.pool.last as usize - chosen.len();
                    worker.path.set_used(&chosen);
                    let candidates: Vec<u32> = (0..items.len() as u32)
                        .filter(|&item| next(3) > 0 && stage.fits(&chosen, item))
                        .collect();
                    let Some(opened) = worker.bounds(&chosen, &candidates, missing) else {
                        continue;
                    };
                    let kept = worker.within_recipes(
                        &chosen,
                        (&opened.items, opened.base, 0),
                        missing,
                        (0, 1),
                    );
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
                        let own = sum(item, &|pair| worker.node.more()[pair]);
                        let repeats = stage.repeats();
                        let mut least = Least::new(&stage.classes, &after, missing - 1, repeats);
                        let with: Vec<u32> = chosen.iter().copied().chain([item]).collect();
                        for &other in &opened.items {
                            if stage.fits(&with, other) {
                                let share = sum(other, &|pair| {
                                    let paid = pairs.uses(item, pairs.list[pair].0);
                                    if paid { 0 } else { worker.node.next()[pair] }
                                });
                                least.add(share, pairs.recipe[other as usize]);
                            }
                        }
                        let bound = least.sums().map(|(sum, _)| opened.base + own + sum);
                        assert!(
                            bound.is_none_or(|bound| bound > worker.path.cutoff()),
                            "{name}: {item} beside {chosen:?}"
                        );
                    }
                }
            }
        }
        assert!(dropped > 500 && left > 1_000, "{dropped} {left}");
    }
}
