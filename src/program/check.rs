//! Tests values of the columns against bounds and rows, in exact fractions.
//!
//! No solver and no tolerance: a plan that the judge lets pass must hold every row to the
//! last digit, except for the milligram by which a lunch drawn from two batches is rounded
//! (see [`Row::rounding_nano`]).

use super::{Column, Kind, Program, Ratio, Row, Sense};
use crate::larder::NANO;

/// A row or bound that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broken {
    /// The rule's code, `bounds` for the bounds of a column.
    pub code: &'static str,
    /// Name of the row or column.
    pub name: String,
}

/// Returns every row and bound that `values` break; one value per column.
///
/// # Panics
/// If there are fewer or more values than columns, or values so odd that their exact sum
/// does not fit 128 bits.
pub fn check(program: &Program, values: &[Ratio]) -> Vec<Broken> {
    assert_eq!(values.len(), program.columns.len(), "one value a column");
    let bounds = program
        .columns
        .iter()
        .zip(values)
        .filter(|(column, value)| !holds_bounds(column, **value))
        .map(|(column, _)| Broken {
            code: "bounds",
            name: column.name.clone(),
        });
    let rows = program
        .rows
        .iter()
        .filter(|row| !holds(row, values))
        .map(|row| Broken {
            code: row.code,
            name: row.name.clone(),
        });
    bounds.chain(rows).collect()
}

/// Returns the objective at `values`, in 1e-9 of [`Program::unit`].
///
/// # Panics
/// As [`check`].
pub fn objective(program: &Program, values: &[Ratio]) -> Ratio {
    let costs = program.columns.iter().map(|column| column.cost_nano);
    sum(costs.enumerate(), values)
}

fn sum(terms: impl Iterator<Item = (usize, i128)>, values: &[Ratio]) -> Ratio {
    terms
        .filter(|&(column, _)| values[column] != Ratio::ZERO)
        .try_fold(Ratio::ZERO, |sum, (column, nano)| {
            sum.plus(values[column].times(nano)?)
        })
        .expect("sums of kitchen figures fit 128 bits")
}

fn holds(row: &Row, values: &[Ratio]) -> bool {
    let left = sum(row.terms.iter().copied(), values);
    let excess = |limit: i128| left.over - limit * left.under;
    let above = excess(row.rhs_nano + row.rounding_nano) > 0;
    let below = excess(row.rhs_nano - row.rounding_nano) < 0;
    match row.sense {
        Sense::AtMost => !above,
        Sense::AtLeast => !below,
        Sense::Equal => !above && !below,
    }
}

fn holds_bounds(column: &Column, value: Ratio) -> bool {
    let nano = value.over * i128::from(NANO);
    let whole = column.kind == Kind::Continuous || value.is_whole();
    whole
        && nano >= column.low_nano * value.under
        && column
            .high_nano
            .is_none_or(|high| nano <= high * value.under)
}
