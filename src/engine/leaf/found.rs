//! A week as the search found it.

use crate::engine::model::score::Score;
use crate::engine::packs::way::Picked;
use crate::larder::RecipeId;
use crate::plan::Batch;

/// A complete week as the search found it.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Found {
    pub(in crate::engine) score: Score,
    /// Recipe of each day.
    pub(in crate::engine) recipes: Vec<RecipeId>,
    /// Item of each day.
    pub(in crate::engine) items: Vec<u32>,
    pub(in crate::engine) batches: Vec<Batch>,
    /// Packs and openings of each food that is used, by its position.
    pub(in crate::engine) picked: Vec<(u32, Picked)>,
}

impl Found {
    /// The total order in which weeks are compared.
    pub(in crate::engine) fn key(&self) -> (Score, Vec<RecipeId>, Vec<u32>) {
        (self.score, self.recipes.clone(), self.items.clone())
    }
}
