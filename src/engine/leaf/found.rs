//! A week as the search found it.

use crate::engine::model::score::Score;
use crate::larder::RecipeId;
use crate::plan::Batch;

/// A complete week as the search found it.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Found {
    pub(in crate::engine) score: Score,
    /// The part of it that packs do not change.
    pub(in crate::engine) start: Score,
    /// Recipe of each day.
    pub(in crate::engine) recipes: Vec<RecipeId>,
    /// Item of each day.
    pub(in crate::engine) items: Vec<u32>,
    /// Trips allowed.
    pub(in crate::engine) trips: u16,
    pub(in crate::engine) batches: Vec<Batch>,
}

impl Found {
    /// The total order in which weeks are compared.
    pub(in crate::engine) fn key(&self) -> (Score, Vec<RecipeId>, Vec<u32>) {
        (self.score, self.recipes.clone(), self.items.clone())
    }
}
