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
pub use mps::mps;
pub use ratio::Ratio;
pub use solution::solution;

use crate::larder::Larder;
use columns::Columns;
use draft::Draft;

/// An integer program: make the objective small subject to rows and bounds.
#[derive(Clone, Debug)]
pub struct Program {
    /// The kitchen's name and the aim, for headings; no line breaks.
    pub title: String,
    /// Unit of the objective, for headings.
    pub unit: &'static str,
    /// Columns, in the order the handles number them.
    pub columns: Vec<Column>,
    /// Rows, rule by rule.
    pub rows: Vec<Row>,
}

/// A decision.
#[derive(Clone, Debug)]
pub struct Column {
    /// Unique; letters, digits, underscores and points.
    pub name: String,
    /// Whole or not.
    pub kind: Kind,
    /// Least value, in 1e-9 of the column's unit.
    pub low_nano: i128,
    /// Greatest value in 1e-9 of the column's unit, if any.
    pub high_nano: Option<i128>,
    /// Objective per unit of the column, in 1e-9 of [`Program::unit`].
    pub cost_nano: i128,
}

/// What values a column may take between its bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// 0 or 1.
    Binary,
    /// Whole numbers.
    Integer,
    /// Any number.
    Continuous,
}

/// A linear condition.
#[derive(Clone, Debug)]
pub struct Row {
    /// Unique; letters, digits, underscores and points.
    pub name: String,
    /// The rule it carries, e.g. `over-cap`, by the same
    /// code as a finding of the judge; bookkeeping rows have codes of their own. See `models/week.md`.
    pub code: &'static str,
    /// Which side is the greater.
    pub sense: Sense,
    /// Right-hand side, in 1e-9 of the row's unit.
    pub rhs_nano: i128,
    /// Columns with their coefficients in 1e-9, rising by column, none of them 0.
    pub terms: Vec<(usize, i128)>,
    /// How far whole milligrams may be off where a lunch draws on two batches, in 1e-9 of
    /// the row's unit: the program shares a lunch out in fractions of a milligram, a plan
    /// does not. Used by [`check`] alone, never written.
    pub rounding_nano: i128,
}

/// Direction of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// Left side at most the right.
    AtMost,
    /// Left side at least the right.
    AtLeast,
    /// Both sides equal.
    Equal,
}

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
