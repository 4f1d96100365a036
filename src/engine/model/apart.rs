//! Weeks to stay apart from.

use crate::larder::RecipeId;

/// A week to stay apart from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Apart {
    /// Its recipes, each as often as it is served.
    pub recipes: Vec<RecipeId>,
    /// Most lunches of it that may be served again, on whatever day.
    pub shared: usize,
}

/// Lunches two weeks have in common, whatever the days.
pub(in crate::engine) fn shared(week: &[RecipeId], other: impl Iterator<Item = RecipeId>) -> usize {
    let mut left = week.to_vec();
    let mut count = 0;
    for recipe in other {
        if let Some(at) = left.iter().position(|&old| old == recipe) {
            left.swap_remove(at);
            count += 1;
        }
    }
    count
}
