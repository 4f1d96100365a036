//! `scant` finds the week of packed lunches that costs least in whole packs, and proves it.

pub mod cli;
pub mod engine;
pub mod explain;
pub mod kitchen;
pub mod larder;
pub mod plan;
pub mod program;
pub mod report;
pub mod rules;
pub mod table;
