//! One thread of the search: the state along its path, the figures of the node it is at, and
//! scratch for what is done there; and the bounds that open a node.

use crate::engine::bound::mean_rules::drop_by_means;
use crate::engine::bound::smallest::Least;
use crate::engine::bound::verdict::BoundId;
use crate::engine::bound::whole_recipes::WholeRecipes;
use crate::engine::stage::Stage;
use crate::engine::tree::exact::ExactIncreases;
use crate::engine::tree::last_scratch::LastScratch;
use crate::engine::tree::node::{Figures, Opened};
use crate::engine::tree::path::Path;
use crate::engine::tree::probing::ProbeScratch;

/// Bounds are not worked out again for less than one candidate in so many dropped.
const FEW: usize = 4;

/// One thread of the search.
pub(in crate::engine) struct Worker<'s, 'a> {
    pub(in crate::engine) path: Path<'s, 'a>,
    pub(in crate::engine) node: Figures,
    pub(in crate::engine) exact: ExactIncreases,
    pub(in crate::engine) probe: ProbeScratch,
    pub(in crate::engine) last: LastScratch,
    pub(in crate::engine) recipes: WholeRecipes,
}

impl<'s, 'a> Worker<'s, 'a> {
    pub(in crate::engine) fn new(stage: &'s Stage<'a>) -> Self {
        Self {
            path: Path::new(stage),
            node: Figures::new(stage),
            exact: ExactIncreases::new(stage),
            probe: ProbeScratch::new(stage),
            last: LastScratch::new(stage),
            recipes: WholeRecipes::new(
                stage.units(),
                stage.pool.larder.recipes.len(),
                stage.classes.count(),
            ),
        }
    }

    /// Works out bounds and drops candidates until nothing changes. None: nothing below
    /// this node can matter. The path has what is `chosen` as used.
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
        let stage = self.path.stage;
        let mut candidates = candidates.to_vec();
        candidates.retain(|&index| self.path.supplied(index));
        let mut dimensions = stage.gauges.len();
        loop {
            if !stage.completable(chosen, &candidates, missing) {
                let left = candidates.into_iter();
                self.path.close(BoundId::Completable, chosen, left);
                return None;
            }
            let before = candidates.len();
            self.path.found.work += before as u64;
            let mut opened = self.within_floors((chosen, missing), dimensions, &mut candidates)?;
            let rules = (
                stage.means.as_slice(),
                stage.pairs.recipe.as_slice(),
                stage.repeats(),
            );
            #[cfg(test)]
            let before_means = candidates.clone();
            drop_by_means(rules, &chosen.iter().copied(), &mut candidates, missing);
            #[cfg(test)]
            self.path.watch(
                BoundId::Means,
                chosen,
                before_means.into_iter(),
                &candidates,
            );
            // Ceilings are asked once: they seldom drop more the second time.
            dimensions = 1;
            if (before - candidates.len()) * FEW <= before || candidates.is_empty() {
                if opened.order.len() > candidates.len() {
                    opened
                        .order
                        .retain(|(_, index)| candidates.binary_search(index).is_ok());
                }
                opened.items = candidates;
                if opened.items.is_empty() {
                    self.path.close(BoundId::Means, chosen, std::iter::empty());
                }
                return (!opened.items.is_empty()).then_some(opened);
            }
        }
    }

    /// Drops candidates that are too dear in one of the first dimensions with the least that may
    /// stand beside them; what is left, with shares of the objective, but in item order. None:
    /// nothing is.
    fn within_floors(
        &mut self,
        (chosen, missing): (&[u32], usize),
        dimensions: usize,
        candidates: &mut Vec<u32>,
    ) -> Option<Opened> {
        let stage = self.path.stage;
        let recipes = chosen.iter().map(|&item| stage.pairs.recipe[item as usize]);
        let room = stage.classes.room(recipes);
        let counted = self.node.count(stage, (chosen, missing), candidates, &room);
        let mut opened = None;
        for dimension in (0..dimensions).rev() {
            let base = self
                .node
                .share_out(&self.path, counted, dimension, candidates);
            #[cfg(test)]
            let base = match &stage.witness {
                Some(witness) if dimension == 0 => base + witness.planted,
                _ => base,
            };
            let bound = if dimension == 0 {
                BoundId::Floors
            } else {
                BoundId::Ceilings
            };
            #[cfg(test)]
            let before = candidates.clone();
            let least = Least::new(&stage.classes, &room, missing, stage.repeats());
            let Some(order) = self.within_top((dimension, base), least, candidates) else {
                let all = candidates.iter().copied();
                self.path.close(bound, chosen, all);
                return None;
            };
            #[cfg(test)]
            self.path
                .watch(bound, chosen, before.into_iter(), candidates);
            if dimension > 0 {
                self.node.keep_under(dimension, base);
            }
            if self.held_by_number(dimension, candidates.len(), missing) {
                let asked = (candidates.as_slice(), base, dimension);
                *candidates = self.within_recipes(chosen, asked, missing, (0, 1));
            }
            if dimension == 0 {
                let items = Vec::new();
                opened = Some(Opened { order, items, base });
            }
        }
        opened
    }

    /// Drops candidates whose share with the least of the others is beyond what a sum may be; those
    /// left with their shares, of the objective only. None if the least of all are too much.
    fn within_top(
        &self,
        (dimension, base): (usize, i64),
        mut least: Least,
        candidates: &mut Vec<u32>,
    ) -> Option<Vec<(i64, u32)>> {
        let recipe = &self.path.stage.pairs.recipe;
        let shares = self.node.shares();
        for (&share, &index) in shares.iter().zip(&*candidates) {
            if share < least.worst {
                least.add(share, recipe[index as usize]);
            }
        }
        let top = self.path.top(dimension);
        let sums = least.sums().filter(|sums| base + sums.0 <= top)?;
        let mut order = Vec::new();
        if dimension == 0 {
            order.reserve(candidates.len());
        }
        let mut at = 0;
        let (mut last, mut most) = (u32::MAX, 0);
        candidates.retain(|&index| {
            let share = shares[at];
            at += 1;
            let recipe = recipe[index as usize];
            if recipe != last {
                last = recipe;
                most = top.saturating_sub(base + least.beside(recipe, sums));
            }
            if share <= most && dimension == 0 {
                order.push((share, index));
            }
            share <= most
        });
        Some(order)
    }
}
