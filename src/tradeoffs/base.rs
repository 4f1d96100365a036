//! The chosen week, against which every answer is held.

use std::sync::Arc;

use super::desk::Answer;
use super::facts::{self, Case};
use crate::engine::Solved;
use crate::larder::{Aim, Larder};

/// The chosen week.
pub(super) struct Base {
    pub(super) solved: Arc<Solved>,
}

impl Base {
    /// Holds an answer to changes of the larder against the chosen week.
    pub(super) fn case(&self, larder: &Larder, answer: &Answer) -> Case {
        let tally = &self.solved.tally;
        let before = facts::sums(tally);
        let bound = answer.bound_nano;
        Case {
            proof: answer.proof,
            week: answer
                .week
                .as_ref()
                .map(|week| facts::brief(larder, &week.plan, &week.tally)),
            more: answer
                .week
                .as_ref()
                .map(|week| facts::less(&facts::sums(&week.tally), &before)),
            least_nano: bound.map(|bound| bound - before.objective_nano),
            switch: answer
                .week
                .as_ref()
                .map(|week| facts::switch(larder, &self.solved.plan, &week.plan)),
        }
    }
}

/// The figures by which weeks are compared: aims in order, then the objective.
pub(super) fn key(order: &[Aim], week: &Solved) -> Vec<i64> {
    let aims = order.iter().map(|&aim| week.tally.aim_nano(aim));
    aims.chain([week.tally.objective_nano]).collect()
}
