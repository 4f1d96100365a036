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

#[cfg(test)]
mod tests {
    use super::*;

    /// Of a recipe as many lunches are shared as the week has of it that has fewer.
    #[test]
    fn lunches_are_shared_as_often_as_both_weeks_have_them() {
        let week = |ids: &[u32]| ids.iter().map(|&id| RecipeId(id)).collect::<Vec<_>>();
        for (one, other, both) in [
            (&[1, 2, 3, 4, 5][..], &[6, 7, 8, 9][..], 0),
            (&[1, 2, 3, 4, 5], &[5, 4, 9, 1], 3),
            (&[1, 1, 2, 2, 3], &[1, 2, 2, 2, 2], 3),
            (&[1, 1, 1], &[1], 1),
        ] {
            let (one, other) = (week(one), week(other));
            assert_eq!(shared(&one, other.iter().copied()), both);
            assert_eq!(shared(&other, one.iter().copied()), both);
        }
    }
}
