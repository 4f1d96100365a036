//! A small solver for mixed integer programs, whose proofs are added up in whole numbers.

mod cuts;
pub(in crate::engine) mod problem;
mod proof;
#[cfg(test)]
mod samples;
mod simplex;
pub(in crate::engine) mod solver;
mod table;
