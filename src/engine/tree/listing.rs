//! Lists all weeks within a margin of the best, and answers from such a list.

use crate::engine::answer::{EngineFault, Limits};
use crate::engine::bound::verdict::Origin;
use crate::engine::stage::{MOST_LISTED, Stage};
use crate::engine::threads::threads;
use crate::engine::tree::given::Given;
use crate::engine::tree::near_weeks::NearWeeks;
use crate::engine::tree::path::Path;
use crate::engine::tree::ready::Ready;
use crate::engine::tree::searched::Searched;
use crate::engine::tree::staging::{first_ceilings, make_stage};
use crate::larder::Larder;
use std::collections::HashSet;

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
        threads(limits)?.install(|| Ok(list_here(larder, &given, below_nano, limits)))
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
    let ceilings = first_ceilings(larder);
    let mut stage = make_stage(ready.laid(), None, ceilings, given, limits);
    stage.listing = Some(below_nano);
    let searched = stage.run(None);
    if searched.open_bound.is_some() {
        return None;
    }
    stage.near(searched.listed, below_nano)
}

impl Stage<'_> {
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

    /// Finds the best week of sets with rising floors, as [`Self::run`] would among them, if it
    /// costs no more than `below`: nothing is proved of a dearer one.
    pub(in crate::engine) fn run_among(&self, sets: &[(i64, Vec<u32>)], below: i64) -> Searched {
        let mut path = Path::new(self);
        for (floor, set) in sets {
            let best = path.found.best.as_ref();
            if best.is_some_and(|best| *floor > best.score.objective) {
                break;
            }
            path.found.leaves += 1;
            if self.week_holds(set) {
                path.settle_from(Origin::NearWeeks, set);
            }
            if self.halted(true) {
                path.found.open_bound = Some(*floor);
                break;
            }
        }
        let mut total = path.take();
        let best = total.best.as_ref();
        let most = best.map_or(self.most, |best| best.score.objective);
        if most <= below {
            self.divide_all(&mut total, &mut Vec::new(), Vec::new());
        } else {
            // The list does not settle it: whatever else is found is looked at anew.
            total.open_bound = Some(below);
        }
        self.asked_for(&mut total);
        total
    }
}
