//! What a question adds to the larder: weeks to stay apart from, ceilings on sums, and a week
//! to start from.
//!
//! These belong to one question and not to the kitchen, so they are no wishes: no file or
//! option sets them. [`Given::kept_by`] tests a finished week against them from plan and sums
//! alone, on every run.

use crate::engine::answer::EngineFault;
use crate::engine::model::apart::{Apart, shared};
use crate::engine::model::items::Item;
use crate::engine::model::score::Ceilings;
use crate::engine::tree::near_weeks::NearWeeks;
use crate::larder::{Larder, Pin};
use crate::plan::Plan;
use crate::rules::Tally;

/// What a question adds to the larder. The default adds nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Given<'a> {
    /// Weeks to stay apart from.
    pub apart: &'a [Apart],
    /// What must be in the week, on whatever day, beside what the wishes say: no pin here names a
    /// day, which only the larder's own wishes may.
    pub with: &'a [Pin],
    /// Most counted foods bought, beside any cap.
    pub foods_most: Option<i64>,
    /// Most value that may spoil, 1e-9 minor units.
    pub spoiled_most_nano: Option<i64>,
    /// Dearest week asked for, 1e-9 minor units of the objective; without a strict order of
    /// aims only. A run that finds none says [`crate::engine::Outcome::Impossible`].
    pub objective_most_nano: Option<i64>,
    /// Work (as in [`crate::engine::Effort`]) after which the search for an aim is stopped, at the
    /// end of a round: at the same place on every machine. None is never.
    pub most_work: Option<u64>,
    /// All weeks within a margin, where every week that this larder and what is given allow
    /// is allowed, and no dearer, in the larder they were listed for. It changes how long
    /// the search takes and not what it proves best.
    pub near: Option<&'a NearWeeks>,
    /// List all weeks too that are dearer than the best one by no more than one in so many parts
    /// of it ([`crate::engine::Ready::solve_beyond`]); not under a strict order of aims. It changes how
    /// long the search takes and not what it proves best.
    pub beyond_part: Option<i64>,
    /// A week whose lunches are tried first, on whatever days. It changes how long the search
    /// takes and not what it proves best.
    pub start: Option<&'a Plan>,
}

impl Given<'_> {
    /// The larder that also wishes for what must be in the week.
    ///
    /// # Errors
    /// [`EngineFault::Unfit`] if that is not in it.
    pub(in crate::engine) fn wished(&self, larder: &Larder) -> Result<Larder, EngineFault> {
        debug_assert!(self.with.iter().all(|pin| match pin {
            Pin::Recipe(_, day) | Pin::Food(_, day) => day.is_none(),
        }));
        let wished = larder.changed(|new| new.wishes.with.extend_from_slice(self.with));
        wished.map_err(EngineFault::Unfit)
    }

    /// Lowers the ceilings to what is given.
    pub(in crate::engine) fn lower(&self, ceilings: &mut Ceilings) {
        if let Some(most) = self.foods_most {
            ceilings.foods.lower(most);
        }
        if let Some(most) = self.spoiled_most_nano {
            ceilings.spoiled.lower(most);
        }
    }

    /// Whether a judged week keeps what is given.
    pub(in crate::engine) fn kept_by(&self, plan: &Plan, tally: &Tally) -> bool {
        let recipes = || plan.lunches.iter().map(|lunch| lunch.recipe);
        self.foods_most.is_none_or(|most| tally.foods <= most)
            && self
                .spoiled_most_nano
                .is_none_or(|most| tally.spoiled_nano <= most)
            && self
                .objective_most_nano
                .is_none_or(|most| tally.objective_nano <= most)
            && self
                .apart
                .iter()
                .all(|other| shared(&other.recipes, recipes()) <= other.shared)
    }

    /// Items of the week to start from, if all of them are there.
    pub(in crate::engine) fn first_items(&self, items: &[Item]) -> Option<Vec<u32>> {
        let plan = self.start?;
        plan.lunches
            .iter()
            .map(|lunch| {
                items
                    .iter()
                    .position(|item| {
                        item.recipe == lunch.recipe && *item.taken == *lunch.taken.as_slice()
                    })
                    .map(|at| at as u32)
            })
            .collect()
    }
}
