//! All weeks within a margin of the best: found once, they answer every question that only
//! shuts weeks out.
//!
//! The search that proves a week best looks at every set of lunches whose floors lie below
//! the incumbent. With a fixed objective in the incumbent's place it lists the sets instead
//! of settling them, so that every week at or below that objective has its lunches in the
//! list. A question that allows no week that was not allowed before, and makes none cheaper,
//! is then answered by the cheapest week of the list that it still allows, if that is within
//! the margin: any better one would be listed too. If it is not, the search is run.

use super::items::Item;
use super::leaf::Found;
use super::score::Score;
use super::search::{Searched, Stage};
use super::{EngineFault, Given, Limits, Ready, books::Worker, make_stage};
use crate::larder::{Larder, RecipeId};
use rayon::prelude::*;
use std::collections::HashMap;

/// Sets of lunches listed at most.
const MOST_LISTED: usize = 50_000;

/// Sets settled together by one worker.
const TOGETHER: usize = 64;

/// Every week of a larder at or below an objective, as sets of lunches with floors.
#[derive(Clone, Debug)]
pub struct NearWeeks {
    /// Objective up to which the list is complete, 1e-9 minor units.
    below_nano: i64,
    /// Floor of each set, rising, and its lunches: recipe and alternative of each line.
    sets: Vec<(i64, Vec<Lunch>)>,
}

type Lunch = (RecipeId, Box<[u16]>);

impl NearWeeks {
    /// Lists the weeks of `larder` within the ceilings `given` whose objective is at most
    /// `below_nano` (what else is given says nothing here); none if there are too many of them, if it takes more than `most_work` (as in
    /// [`super::Effort::work`]), if the run was stopped, or under a strict order of aims.
    ///
    /// # Errors
    /// [`EngineFault::Threads`] if threads cannot be started.
    pub fn list(
        larder: &Larder,
        given: &Given,
        below_nano: i64,
        most_work: u64,
        limits: &Limits,
    ) -> Result<Option<Self>, EngineFault> {
        if !larder.wishes.order.is_empty() {
            return Ok(None);
        }
        let given = Given {
            foods_most: given.foods_most,
            spoiled_most_nano: given.spoiled_most_nano,
            most_work: Some(most_work),
            ..Given::default()
        };
        super::threads(limits)?.install(|| Ok(list_here(larder, &given, below_nano, limits)))
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
    pub(super) fn within(&self, items: &[Item]) -> (Vec<(i64, Vec<u32>)>, Vec<bool>) {
        let places: HashMap<(RecipeId, &[u16]), u32> = (items.iter().zip(0..))
            .map(|(item, at)| ((item.recipe, &*item.taken), at))
            .collect();
        let mut occurs = vec![false; items.len()];
        let mut sets = Vec::new();
        for (floor, lunches) in &self.sets {
            let at = |(recipe, taken): &Lunch| places.get(&(*recipe, &**taken)).copied();
            let Some(set) = lunches.iter().map(at).collect::<Option<Vec<u32>>>() else {
                continue;
            };
            for &at in &set {
                occurs[at as usize] = true;
            }
            sets.push((*floor, set));
        }
        (sets, occurs)
    }
}

fn list_here(
    larder: &Larder,
    given: &Given,
    below_nano: i64,
    limits: &Limits,
) -> Option<NearWeeks> {
    let ready = Ready::new(larder);
    let mut ceilings = super::first_ceilings(larder);
    given.lower(&mut ceilings);
    let mut stage = make_stage(ready.laid(), None, ceilings, given, limits);
    stage.listing = Some(below_nano);
    let searched = stage.run(None);
    if searched.open_bound.is_some() || searched.listed.len() >= MOST_LISTED {
        return None;
    }
    let mut sets: Vec<Vec<u32>> = searched.listed;
    sets.sort_unstable();
    sets.dedup();
    let settled = stage.settle_all(&sets, below_nano)?;
    let mut sets: Vec<(i64, Vec<Lunch>)> = (settled.into_iter().zip(sets))
        .filter(|&(floor, _)| floor <= below_nano)
        .map(|(floor, set)| {
            let lunch = |&at: &u32| {
                let item = &ready.items[at as usize];
                (item.recipe, item.taken.clone())
            };
            (floor, set.iter().map(lunch).collect())
        })
        .collect();
    sets.sort();
    Some(NearWeeks { below_nano, sets })
}

impl<'a> Stage<'a> {
    /// Whether so many sets are too many to list.
    pub(super) fn too_many(&self, listed: usize) -> bool {
        self.listing.is_some() && listed >= MOST_LISTED
    }

    /// A floor under the objective of each set: its best week's, where that was settled and
    /// is within `below`; more than `below` where no week of it is within. None if the run
    /// was stopped.
    fn settle_all(&self, sets: &[Vec<u32>], below: i64) -> Option<Vec<i64>> {
        let parts: Vec<Vec<i64>> = sets
            .par_chunks(TOGETHER)
            .map(|sets| {
                let mut worker = Worker::new(self);
                sets.iter()
                    .map(|set| {
                        let mut best = Some(Found::at(below.saturating_add(1), set.len()));
                        worker.leaf.undivided.clear();
                        worker.leaf.solve(set, &mut best);
                        let found = best.map_or(i64::MAX, |best| best.score.objective);
                        let open = worker.leaf.undivided.iter().map(|&(floor, _)| floor);
                        found.min(open.min().unwrap_or(i64::MAX))
                    })
                    .collect()
            })
            .collect();
        (!self.halted(true)).then(|| parts.concat())
    }

    /// Finds the best week of sets with rising floors, as [`Self::run`] would among them.
    pub(super) fn run_among(&self, sets: &[(i64, Vec<u32>)]) -> Searched {
        let mut worker = Worker::new(self);
        for (floor, set) in sets {
            let best = worker.best.as_ref();
            if best.is_some_and(|best| *floor > best.score.objective) {
                break;
            }
            worker.leaves += 1;
            if worker.week_holds(set) {
                worker.leaf.solve(set, &mut worker.best);
            }
            if self.halted(true) {
                worker.open_bound = Some(*floor);
                break;
            }
        }
        let mut total = worker.take();
        self.divide_all(&mut total, &mut vec![worker], Vec::new());
        self.asked_for(&mut total);
        total
    }
}

impl Found {
    /// No week, in the place of one with this objective.
    fn at(objective: i64, lunches: usize) -> Self {
        Self {
            score: Score {
                objective,
                ..Score::default()
            },
            start: Score::default(),
            recipes: vec![RecipeId(0); lunches],
            items: Vec::new(),
            trips: 0,
            batches: Vec::new(),
        }
    }
}
