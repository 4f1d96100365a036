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

use crate::engine::model::items::Item;
use crate::engine::tree::search::{Searched, Stage};
use crate::engine::tree::worker::Worker;
use crate::engine::{EngineFault, Given, Limits, Ready, make_stage};
use crate::larder::{Larder, RecipeId};
use std::collections::{HashMap, HashSet};
use std::sync::atomic::Ordering;

/// Sets of lunches listed at most.
pub(in crate::engine) const MOST_LISTED: usize = 50_000;

/// Every week of a larder at or below an objective, as sets of lunches with floors.
#[derive(Clone, Debug)]
pub struct NearWeeks {
    /// Objective up to which the list is complete, 1e-9 minor units.
    below_nano: i64,
    /// Lunches that occur: recipe and alternative of each line.
    lunches: Vec<(RecipeId, Box<[u16]>)>,
    /// Floor of each set, rising, and its lunches by their place among these.
    sets: Vec<(i64, Vec<u32>)>,
}

impl NearWeeks {
    /// Lists the weeks of `larder` whose objective is at most `below_nano`; none if there are too
    /// many of them, if it takes more than `most_work` (as in [`crate::engine::Effort::work`]), if the
    /// run was stopped, or under a strict order of aims.
    ///
    /// # Errors
    /// [`EngineFault::Threads`] if threads cannot be started.
    pub fn list(
        larder: &Larder,
        below_nano: i64,
        most_work: u64,
        limits: &Limits,
    ) -> Result<Option<Self>, EngineFault> {
        if !larder.wishes.order.is_empty() {
            return Ok(None);
        }
        let given = Given {
            most_work: Some(most_work),
            ..Given::default()
        };
        crate::engine::threads(limits)?
            .install(|| Ok(list_here(larder, &given, below_nano, limits)))
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
            let Some(set) = places.collect::<Option<Vec<u32>>>() else {
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
    let ready = Ready::new(larder, limits.stop);
    if ready.left_out() {
        return None;
    }
    let ceilings = crate::engine::first_ceilings(larder);
    let mut stage = make_stage(ready.laid(), None, ceilings, given, limits);
    stage.listing = Some(below_nano);
    let searched = stage.run(None);
    if searched.open_bound.is_some() {
        return None;
    }
    stage.near(searched.listed, below_nano)
}

impl<'a> Stage<'a> {
    /// All weeks up to an objective, from the sets listed with floors up to it; none if there
    /// are too many of these.
    pub(in crate::engine) fn near(
        &self,
        mut listed: Vec<(i64, Vec<u32>)>,
        below_nano: i64,
    ) -> Option<NearWeeks> {
        if listed.len() >= MOST_LISTED {
            return None;
        }
        listed.retain(|&(floor, _)| floor <= below_nano);
        listed.sort_unstable();
        let mut seen = HashSet::new();
        listed.retain(|(_, set)| seen.insert(set.clone()));
        let mut occurs: Vec<u32> = listed.iter().flat_map(|(_, set)| set).copied().collect();
        occurs.sort_unstable();
        occurs.dedup();
        for at in listed.iter_mut().flat_map(|(_, set)| set) {
            *at = occurs.partition_point(|&other| other < *at) as u32;
        }
        let lunch = |&at: &u32| {
            let item = &self.items[at as usize];
            (item.recipe, item.taken.clone())
        };
        Some(NearWeeks {
            below_nano,
            lunches: occurs.iter().map(lunch).collect(),
            sets: listed,
        })
    }

    /// How far sets are listed beyond a best week with this objective, where they are.
    pub(in crate::engine) fn beyond(&self, best: i64) -> i64 {
        let part = self.beyond_part.map_or(0, |part| (best / part).abs());
        best.saturating_add(part)
    }

    /// Whether all sets up to so far beyond the best week are listed.
    pub(in crate::engine) fn lists_beyond(&self) -> bool {
        self.beyond_part.is_some() && !self.too_long.load(Ordering::Relaxed)
    }

    /// Whether so many sets are too many to list.
    pub(in crate::engine) fn too_many(&self, listed: usize) -> bool {
        self.listing.is_some() && listed >= MOST_LISTED
    }

    /// Finds the best week of sets with rising floors, as [`Self::run`] would among them, if it
    /// costs no more than `below`: nothing is proved of a dearer one.
    pub(in crate::engine) fn run_among(&self, sets: &[(i64, Vec<u32>)], below: i64) -> Searched {
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
        let best = total.best.as_ref();
        let most = best.map_or(self.most, |best| best.score.objective);
        if most <= below {
            self.divide_all(&mut total, &mut vec![worker], Vec::new());
        } else {
            // The list does not settle it: whatever else is found is looked at anew.
            total.open_bound = Some(below);
        }
        self.asked_for(&mut total);
        total
    }
}
