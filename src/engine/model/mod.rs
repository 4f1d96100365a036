//! The larder as flat tables, and what is minimised: the same for every question.

pub(in crate::engine) mod apart;
pub(in crate::engine) mod ceiling;
pub(in crate::engine) mod day_sets;
pub(in crate::engine) mod hash;
pub(in crate::engine) mod items;
pub(in crate::engine) mod lots;
pub(in crate::engine) mod pool;
#[cfg(test)]
pub(in crate::engine) mod samples;
pub(in crate::engine) mod score;
pub(in crate::engine) mod stamped;
pub(in crate::engine) mod sums;
pub(in crate::engine) mod times;
