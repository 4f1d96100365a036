//! The judge: recomputes a finished week from larder and plan alone.
mod tally;
pub use tally::Tally;

use crate::larder::Larder;
use crate::plan::Plan;

/// A rule a plan breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Stable code of the rule, e.g. `past-keeping-time`.
    pub code: &'static str,
    /// What is wrong, in the user's terms.
    pub detail: String,
}

/// Recomputes everything and returns the sums, or every rule the plan breaks.
///
/// # Errors
/// All findings, in rule order.
pub fn judge(_larder: &Larder, _plan: &Plan) -> Result<Tally, Vec<Finding>> {
    unimplemented!()
}
