//! The batches of a week are known: its trips and packs.

use crate::engine::leaf::combine::combine;
use crate::engine::leaf::cooking::{Cooking, OnTrips};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::solver::{LeafSolver, least};
use crate::engine::model::times::Minutes;
use crate::engine::packs::batches::{self, BatchChoice};
use crate::engine::packs::way::Uses;

impl LeafSolver<'_, '_> {
    /// Batches are known: trips and packs. Returns whether their minutes fit.
    pub(in crate::engine) fn buy(
        &mut self,
        cooking: &Cooking,
        picked: &[BatchChoice],
        best: &mut Option<Found>,
    ) -> bool {
        let asked: Minutes = picked.iter().map(|choice| choice.fixed_minutes).sum();
        if !cooking.fits(self, picked, asked) {
            return false;
        }
        let uses: Vec<(u32, Uses)> = cooking
            .touched
            .iter()
            .map(|touched| {
                let mut uses = touched.direct;
                for choice in picked {
                    choice.add_uses(touched.food, &mut uses);
                }
                (touched.food, uses)
            })
            .collect();
        for on_trips in &cooking.on_trips {
            let all = (picked, asked, uses.as_slice());
            let Some(found) = self.buy_on(cooking, on_trips, all, best.as_ref()) else {
                continue;
            };
            let better = match best {
                None => true,
                Some(old) if self.stage.settles_ties => found.key() < old.key(),
                Some(old) => found.score.objective < old.score.objective,
            };
            if better {
                *best = Some(found);
            }
        }
        true
    }

    /// The best week of these batches, minutes of theirs and uses of the foods touched, on some trips; none if it
    /// is beaten, or cannot be.
    fn buy_on(
        &mut self,
        cooking: &Cooking,
        on_trips: &OnTrips,
        (picked, asked, uses): (&[BatchChoice], Minutes, &[(u32, Uses)]),
        best: Option<&Found>,
    ) -> Option<Found> {
        let leaf = cooking.leaf;
        let timed = self.stage.gauges[0].weights.timed(asked);
        let mut start = on_trips.start;
        start.objective += timed;
        // What is kept may earn: no food is left out of a sum that is held against the best.
        let mut sum = on_trips.sum + cooking.least_touched();
        sum.objective += timed;
        if self.beaten(&sum, leaf, best) {
            return None;
        }
        let mut fronts = on_trips.fronts.clone();
        for ((food, uses), touched) in uses.iter().zip(&cooking.touched) {
            let ways = self.ways(*food, on_trips.set, uses);
            sum = sum - touched.floor + least(&ways)?;
            if self.beaten(&sum, leaf, best) {
                return None;
            }
            fronts.push((*food, ways));
        }
        fronts.sort_by_key(|&(food, _)| food);
        let stage = self.stage;
        let (score, positions) = combine(stage, start, &fronts, &|| stage.halted(true))?;
        let mut all: Vec<&BatchChoice> = cooking.inert.iter().chain(picked).collect();
        all.sort_by_key(|choice| choice.component);
        let items: Vec<u32> = leaf.order.iter().map(|&l| leaf.items[l]).collect();
        let recipes = items.iter().map(|&item| stage.items[item as usize].recipe);
        let ways = fronts.iter().zip(positions);
        let picked = ways.map(|((food, ways), at)| (*food, ways[at].picked.clone()));
        Some(Found {
            score,
            recipes: recipes.collect(),
            items,
            batches: batches::plan(&all),
            picked: picked.collect(),
        })
    }
}
