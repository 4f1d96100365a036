//! The built-in food table: plain foods, their nutrients, household measures and yields.
//!
//! Every figure is carried over from the national nutrient database named in [`RELEASE`]; each row
//! keeps that database's food number as its source. Names, aliases and groups are our own. A value
//! the source does not give is absent, never zero.

mod described;
mod foods;
mod parse;
mod row;
mod search;
mod storage;
mod wording;
mod yields;

pub mod advice;
pub mod allergens;
pub mod keeper;
pub mod keeping;
pub mod kinds;
pub mod packs;
pub mod pattern;
pub mod practice;
pub mod reference;
pub mod units;

pub use described::describe;
pub use foods::{Gone, gone, row_of, rows};
pub use row::{Measure, OtherYield, RELEASE, Row};
pub use search::{find, near, search, words as name_words};
