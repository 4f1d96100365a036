//! The exact search: larder in, proved best week out.

mod answer;
mod bound;
mod leaf;
mod mip;
mod model;
mod packs;
mod stage;
mod threads;
mod tree;

use crate::larder::Larder;
pub use answer::{Effort, EngineFault, Limits, Outcome, Progress, Solved};
pub use model::apart::Apart;
pub use packs::buying::Buying;
pub use tree::given::Given;
pub use tree::near_weeks::NearWeeks;
pub use tree::ready::{Beyond, Ready};

/// Finds the best week.
///
/// # Errors
/// [`EngineFault`] when the judge refuses what the search found, or what is given is not there.
pub fn solve(larder: &Larder, limits: &Limits) -> Result<(Outcome, Effort), EngineFault> {
    solve_given(larder, &Given::default(), limits)
}

/// Finds the best week that also keeps what is given.
///
/// # Errors
/// Those of [`solve`].
pub fn solve_given(
    larder: &Larder,
    given: &Given,
    limits: &Limits,
) -> Result<(Outcome, Effort), EngineFault> {
    // Only the search itself goes to the threads: what is laid out here takes the place of
    // what reading the kitchen has given back, which other threads would not.
    let threads = threads::threads(limits)?;
    let (outcome, effort, _) = Ready::new(larder, limits.stop).solve_on(&threads, given, limits)?;
    Ok((outcome, effort))
}
