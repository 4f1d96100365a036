//! All weeks within a margin of the best: found once, they answer every question that only
//! shuts weeks out.
//!
//! The search that proves a week best looks at every set of lunches whose floors lie below
//! the incumbent. With a fixed objective in the incumbent's place it lists the sets instead
//! of settling them, so that every week at or below that objective has its lunches in the
//! list. A question that allows no week that was not allowed before, and makes none cheaper,
//! is then answered by the cheapest week of the list that it still allows, if that is within
//! the margin: any better one would be listed too. If it is not, the search is run.
//!
//! Where questions with lower and lower ceilings follow one another, each search lists them on
//! the way: it drops what lies beyond the incumbent by more than a margin, and settles only
//! what does not lie beyond it. (A list made apart would do most of the search over again.)
//! Floors of a list are those that the search knows, without settling the sets: the questions
//! settle few of them, and with a week at hand that is soon done.

use crate::engine::answer::Solved;
use crate::engine::model::items::Item;
use crate::larder::RecipeId;
use std::collections::HashMap;

/// Every week of a larder at or below an objective, as sets of lunches with floors; or of those with
/// that very objective the one that is best ([`NearWeeks::best_alone`]).
#[derive(Clone, Debug)]
pub struct NearWeeks {
    /// Objective up to which the list is complete, 1e-9 minor units.
    pub(in crate::engine) below_nano: i64,
    /// Lunches that occur: recipe and alternative of each line.
    pub(in crate::engine) lunches: Vec<(RecipeId, Box<[u16]>)>,
    /// Floor of each set, rising, and its lunches by their place among these.
    pub(in crate::engine) sets: Vec<(i64, Vec<u32>)>,
}

impl NearWeeks {
    /// The list of a best week alone: for questions that allow it, and no week that its own question does not.
    ///
    /// Proof. What settles ties puts the best week before all others of its objective, and so before those
    /// of them that the question allows; a list up to this objective needs no other week to find it.
    pub fn best_alone(best: &Solved) -> Self {
        let lunches = best.plan.lunches.iter();
        let lunches: Vec<(RecipeId, Box<[u16]>)> = lunches
            .map(|lunch| (lunch.recipe, lunch.taken.clone().into_boxed_slice()))
            .collect();
        let objective = best.tally.objective_nano;
        let all = (0..lunches.len() as u32).collect();
        Self {
            below_nano: objective,
            lunches,
            sets: vec![(objective, all)],
        }
    }

    /// The objective up to which the list is complete, 1e-9 minor units.
    pub fn below_nano(&self) -> i64 {
        self.below_nano
    }

    /// How many sets of lunches are listed.
    pub fn len(&self) -> usize {
        self.sets.len()
    }

    /// Whether no set is listed.
    pub fn is_empty(&self) -> bool {
        self.sets.is_empty()
    }

    /// The sets that `items` allow, in the places of `items`, and the items that occur.
    pub(in crate::engine) fn within(&self, items: &[Item]) -> (Vec<(i64, Vec<u32>)>, Vec<bool>) {
        let places: HashMap<(RecipeId, &[u16]), u32> = (items.iter().zip(0..))
            .map(|(item, at)| ((item.recipe, &*item.taken), at))
            .collect();
        let lunches = self.lunches.iter();
        let places: Vec<Option<u32>> = lunches
            .map(|(recipe, taken)| places.get(&(*recipe, &**taken)).copied())
            .collect();
        let mut occurs = vec![false; items.len()];
        let mut sets = Vec::new();
        for (floor, lunches) in &self.sets {
            let places = lunches.iter().map(|&lunch| places[lunch as usize]);
            let Some(mut set) = places.collect::<Option<Vec<u32>>>() else {
                continue;
            };
            set.sort_unstable();
            for &at in &set {
                occurs[at as usize] = true;
            }
            sets.push((*floor, set));
        }
        (sets, occurs)
    }
}
