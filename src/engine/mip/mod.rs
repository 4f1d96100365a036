//! A small solver for mixed integer programs, whose proofs are added up in whole numbers.

pub(in crate::engine) mod problem;
pub(in crate::engine) mod solver;
mod table;
