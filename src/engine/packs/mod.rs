//! Buying and opening one food: exactly, relaxed, and with batches on days still free.

pub(in crate::engine) mod batches;
pub(in crate::engine) mod bill;
pub(in crate::engine) mod buying;
pub(in crate::engine) mod draws;
pub(in crate::engine) mod flexible;
pub(in crate::engine) mod floor;
pub(in crate::engine) mod flow;
pub(in crate::engine) mod openings;
pub(in crate::engine) mod picked;
pub(in crate::engine) mod places;
pub(in crate::engine) mod relaxed;
#[cfg(test)]
pub(in crate::engine) mod samples;
pub(in crate::engine) mod steps;
pub(in crate::engine) mod way;
pub(in crate::engine) mod ways;
