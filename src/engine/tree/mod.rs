//! The search over sets of lunches: nodes, branching, first weeks, the last lunches.

pub(in crate::engine) mod branching;
pub(in crate::engine) mod by_recipe;
#[cfg(test)]
mod every_week;
pub(in crate::engine) mod exact;
pub(in crate::engine) mod finishing;
pub(in crate::engine) mod first_weeks;
pub(in crate::engine) mod given;
pub(in crate::engine) mod last_lunches;
pub(in crate::engine) mod last_scratch;
pub(in crate::engine) mod listing;
pub(in crate::engine) mod near_weeks;
pub(in crate::engine) mod node;
pub(in crate::engine) mod open_parts;
pub(in crate::engine) mod open_search;
pub(in crate::engine) mod pairing;
pub(in crate::engine) mod path;
pub(in crate::engine) mod pending;
pub(in crate::engine) mod picks;
pub(in crate::engine) mod probing;
pub(in crate::engine) mod ready;
pub(in crate::engine) mod search;
pub(in crate::engine) mod searched;
pub(in crate::engine) mod set_rules;
pub(in crate::engine) mod staging;
#[cfg(test)]
mod watched;
pub(in crate::engine) mod worker;
