//! A complete set of lunches: days, batches, packs, and the plan written out.

pub(in crate::engine) mod assignment;
pub(in crate::engine) mod batch_days;
pub(in crate::engine) mod ceilings;
pub(in crate::engine) mod combine;
pub(in crate::engine) mod cooking;
pub(in crate::engine) mod days;
pub(in crate::engine) mod dividing;
pub(in crate::engine) mod following;
pub(in crate::engine) mod food_program;
pub(in crate::engine) mod found;
pub(in crate::engine) mod least_costs;
pub(in crate::engine) mod minutes;
pub(in crate::engine) mod one_food;
pub(in crate::engine) mod plan;
pub(in crate::engine) mod settling;
pub(in crate::engine) mod shopping;
pub(in crate::engine) mod solver;
pub(in crate::engine) mod sorting;
pub(in crate::engine) mod splits;
pub(in crate::engine) mod steps;
pub(in crate::engine) mod whole_lunches;
