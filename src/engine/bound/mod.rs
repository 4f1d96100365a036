//! Bounds: what no week below a node can undercut. One file a bound, its proof at the head; beside them what proposes
//! their figures (`multipliers`), counts what they closed (`verdict`) and watches that none cuts the best week (`witness`).

pub(in crate::engine) mod amounts;
pub(in crate::engine) mod compatible;
pub(in crate::engine) mod curve;
pub(in crate::engine) mod forced;
pub(in crate::engine) mod gauge;
pub(in crate::engine) mod matching;
pub(in crate::engine) mod mean_rules;
pub(in crate::engine) mod most_users;
pub(in crate::engine) mod multipliers;
pub(in crate::engine) mod open_exchange;
pub(in crate::engine) mod open_lines;
pub(in crate::engine) mod open_node;
pub(in crate::engine) mod open_partial;
pub(in crate::engine) mod open_partial_multipliers;
pub(in crate::engine) mod open_recipes;
#[cfg(test)]
mod open_samples;
pub(in crate::engine) mod open_set;
pub(in crate::engine) mod places;
pub(in crate::engine) mod prefilter;
pub(in crate::engine) mod settled;
pub(in crate::engine) mod shares;
pub(in crate::engine) mod smallest;
pub(in crate::engine) mod verdict;
pub(in crate::engine) mod whole_recipes;
#[cfg(test)]
pub(in crate::engine) mod witness;
