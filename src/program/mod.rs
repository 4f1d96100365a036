//! Turns a larder into the integer program of the week, as plain data that any solver of
//! linear programs in whole numbers can read.
//!
//! This is the second answer: the same rules written as rows, from the mathematics of
//! `models/week.md` and not from the engine. [`build`] makes the program of one stage,
//! [`mps`] and [`lp`] write it, [`certificate`] turns a plan into values of its columns
//! and [`check`] tests such values row by row in whole numbers.
//!
//! Promised: every row knows the rule it carries ([`Row::code`]); every coefficient is a
//! whole number of thousand-millionths ([`NANO`](crate::larder::NANO)) of the row's unit,
//! so that it is written without rounding; names are unique, free of spaces and the same
//! on every run. Not promised: an order of columns that suits any one solver.
//!
//! Units: grams for masses, the nutrient's own unit for nutrients, minutes for time, minor
//! units for money. Milligrams would be whole numbers but would put ones beside millions
//! in one row.

mod aims;
mod batches;
mod certificate;
mod check;
mod columns;
mod credits;
mod draft;
mod extract;
mod lots;
mod lp;
mod mathprog;
mod minutes;
mod model;
mod mps;
mod names;
mod need;
mod nutrition;
mod opening;
mod ratio;
mod shopping;
mod solution;
pub mod solve;
mod variety;
mod wanted;
mod week;

pub use certificate::certificate;
pub use check::{Broken, check, objective};
pub use lp::lp;
pub use mathprog::{mathprog_data, mathprog_data_of_stage};
pub use model::{Column, Kind, Program, Row, Sense};
pub use mps::mps;
pub use ratio::Ratio;
pub use solution::solution;

use crate::larder::Larder;
use columns::Columns;
use draft::Draft;

/// Builds the program of one stage of `larder`'s aims.
///
/// With a strict order of aims, `settled_nano` holds the best values of the aims before
/// this one (in 1e-9 of the aim's unit: foods, minor units or minutes) and becomes one row
/// each; with as many values as there are aims, or without an order, the one-currency
/// objective is made small.
///
/// # Panics
/// If `settled_nano` has more values than there are aims.
pub fn build(larder: &Larder, settled_nano: &[i128]) -> Program {
    build_with(larder, settled_nano).0
}

/// Builds a program together with the handles of its columns.
fn build_with<'a>(larder: &'a Larder, settled_nano: &[i128]) -> (Program, Columns<'a>) {
    assert!(
        settled_nano.len() <= larder.wishes.order.len(),
        "more settled aims than aims"
    );
    let mut draft = Draft::default();
    let columns = Columns::new(larder, &mut draft);
    week::rows(&columns, &mut draft);
    wanted::rows(&columns, &mut draft);
    batches::rows(&columns, &mut draft);
    opening::rows(&columns, &mut draft);
    shopping::rows(&columns, &mut draft);
    nutrition::rows(&columns, &mut draft);
    credits::rows(&columns, &mut draft);
    minutes::rows(&columns, &mut draft);
    variety::rows(&columns, &mut draft);
    let (title, unit) = aims::rows(&columns, &mut draft, settled_nano);
    (draft.finish(title, unit), columns)
}
