//! The integer program as data: columns, rows and what is made small.

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
    /// does not. Used by [`check`](super::check()) alone, never written.
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
