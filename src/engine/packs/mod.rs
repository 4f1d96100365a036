//! Buying and opening one food: exactly, relaxed, and with batches on days still free.

pub(in crate::engine) mod batches;
pub(in crate::engine) mod buying;
pub(in crate::engine) mod flexible;
pub(in crate::engine) mod floor;
pub(in crate::engine) mod relaxed;
#[cfg(test)]
pub(in crate::engine) mod samples;
pub(in crate::engine) mod steps;
pub(in crate::engine) mod way;
pub(in crate::engine) mod ways;
