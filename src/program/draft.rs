//! Collects columns and rows while a program is built.

use super::{Column, Kind, Program, Row, Sense};
use crate::larder::NANO;

/// One whole, in the scale of coefficients.
pub(super) const ONE: i128 = NANO as i128;
/// One milligram in a row of grams.
pub(super) const MILLIGRAM: i128 = ONE / 1_000;

/// Columns with coefficients, in 1e-9.
pub(super) type Terms = Vec<(usize, i128)>;

/// A program under construction.
#[derive(Default)]
pub(super) struct Draft {
    columns: Vec<Column>,
    rows: Vec<Row>,
}

impl Draft {
    /// Adds a column with lower bound 0 and returns its number.
    pub(super) fn column(&mut self, name: String, kind: Kind, high_nano: Option<i128>) -> usize {
        self.columns.push(Column {
            name,
            kind,
            low_nano: 0,
            high_nano,
            cost_nano: 0,
        });
        self.columns.len() - 1
    }

    /// Adds a column that is 0 or 1.
    pub(super) fn binary(&mut self, name: String) -> usize {
        self.column(name, Kind::Binary, Some(ONE))
    }

    /// Adds `nano` to a column's part of the objective.
    pub(super) fn cost(&mut self, column: usize, nano: i128) {
        self.columns[column].cost_nano += nano;
    }

    /// Adds a row, unless it says nothing: terms on one column are added up, zeros dropped,
    /// and a row without terms is kept only if it cannot hold.
    pub(super) fn row(
        &mut self,
        code: &'static str,
        name: String,
        terms: Vec<(usize, i128)>,
        sense: Sense,
        rhs_nano: i128,
    ) {
        self.loose_row(code, name, terms, sense, rhs_nano, 0);
    }

    /// Adds a row that allows a plan some rounding, see [`Row::rounding_nano`].
    pub(super) fn loose_row(
        &mut self,
        code: &'static str,
        name: String,
        mut terms: Vec<(usize, i128)>,
        sense: Sense,
        rhs_nano: i128,
        rounding_nano: i128,
    ) {
        terms.sort_by_key(|&(column, _)| column);
        terms.dedup_by(|later, kept| {
            let same = later.0 == kept.0;
            if same {
                kept.1 += later.1;
            }
            same
        });
        terms.retain(|&(_, nano)| nano != 0);
        let holds_without_terms = match sense {
            Sense::AtMost => 0 <= rhs_nano,
            Sense::AtLeast => 0 >= rhs_nano,
            Sense::Equal => rhs_nano == 0,
        };
        if terms.is_empty() && holds_without_terms {
            return;
        }
        self.rows.push(Row {
            name,
            code,
            sense,
            rhs_nano,
            terms,
            rounding_nano,
        });
    }

    /// Hands over the finished program.
    pub(super) fn finish(self, title: String, unit: &'static str) -> Program {
        Program {
            title,
            unit,
            columns: self.columns,
            rows: self.rows,
        }
    }
}
