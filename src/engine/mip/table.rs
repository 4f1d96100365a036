//! The dense table of the dual simplex method (`simplex.rs`), in floating point: a program with bounds on every column,
//! worked out from its rows for a basis.

use crate::engine::mip::problem::{Problem, Sense};
use std::rc::Rc;

/// What counts as nothing in scaled cells.
const NOTHING: f64 = 1e-12;
/// Size of a cell that a column is put into the basis on before others are.
const SOUND: f64 = 1e-6;

/// A bound that branching adds.
#[derive(Clone, Copy)]
pub(super) enum Bound {
    AtMost(usize, f64),
    AtLeast(usize, f64),
}

/// The rows as given, scaled.
pub(super) struct Given {
    cells: Vec<f64>,
    right: Vec<f64>,
    pub(super) cost: Vec<f64>,
    /// Columns that cost something.
    pub(super) costly: Vec<usize>,
}

/// A dense table: columns, then a slack for every row.
#[derive(Clone)]
pub(super) struct Table {
    pub(super) given: Rc<Given>,
    /// Pivots since it was last worked out from what was given.
    pub(super) pivots: usize,
    pub(super) rows: usize,
    pub(super) columns: usize,
    pub(super) cells: Vec<f64>,
    /// Values of basic columns.
    pub(super) values: Vec<f64>,
    pub(super) basis: Vec<usize>,
    /// Row of a basic column.
    pub(super) place: Vec<Option<usize>>,
    pub(super) reduced: Vec<f64>,
    /// How far a reduced cost may be on the wrong side of zero.
    pub(super) trifle: f64,
    pub(super) lower: Vec<f64>,
    pub(super) upper: Vec<f64>,
    pub(super) at_upper: Vec<bool>,
    /// Column values are true values times this; rows likewise.
    pub(super) scale: Vec<f64>,
    pub(super) row_scale: Vec<f64>,
}

/// Nearest power of two.
fn power(value: f64) -> f64 {
    if value > 0.0 && value.is_finite() {
        value.log2().round().exp2()
    } else {
        1.0
    }
}

/// Scales of columns and rows with which cells are of about one size: a column x stands for x times its scale.
fn equilibrated(problem: &Problem) -> (Vec<f64>, Vec<f64>) {
    let (rows, columns) = (problem.rows.len(), problem.cost.len());
    let mut scale = vec![1.0f64; columns];
    let mut row_scale = vec![1.0f64; rows];
    for _ in 0..3 {
        for (r, row) in problem.rows.iter().enumerate() {
            let (mut low, mut high) = (f64::MAX, 0.0f64);
            for &(j, c) in &row.terms {
                let size = (c as f64).abs() / scale[j];
                low = low.min(size);
                high = high.max(size);
            }
            if high > 0.0 {
                row_scale[r] = power(1.0 / (low * high).sqrt());
            }
        }
        let mut low = vec![f64::MAX; columns];
        let mut high = vec![0.0f64; columns];
        for (r, row) in problem.rows.iter().enumerate() {
            for &(j, c) in &row.terms {
                let size = (c as f64).abs() * row_scale[r];
                low[j] = low[j].min(size);
                high[j] = high[j].max(size);
            }
        }
        for j in 0..columns {
            if high[j] > 0.0 {
                scale[j] = power((low[j] * high[j]).sqrt());
            }
        }
    }
    (scale, row_scale)
}

impl Table {
    pub(super) fn new(problem: &Problem) -> Self {
        let (rows, columns) = (problem.rows.len(), problem.cost.len());
        let width = columns + rows;
        let (scale, row_scale) = equilibrated(problem);
        let mut cells = vec![0.0; rows * width];
        let mut values = vec![0.0; rows];
        let mut lower = vec![0.0; width];
        let mut upper = vec![0.0; width];
        let mut at_upper = vec![false; width];
        let mut reduced = vec![0.0; width];
        for j in 0..columns {
            upper[j] = problem.upper[j] as f64 * scale[j];
            reduced[j] = problem.cost[j] as f64 / scale[j];
            at_upper[j] = reduced[j] < 0.0;
        }
        let mut right = vec![0.0; rows];
        for (r, row) in problem.rows.iter().enumerate() {
            let by = row_scale[r];
            right[r] = row.right as f64 * by;
            values[r] = right[r];
            for &(j, c) in &row.terms {
                let cell = c as f64 * by / scale[j];
                cells[r * width + j] += cell;
                if at_upper[j] {
                    values[r] -= cell * upper[j];
                }
            }
            let slack = columns + r;
            cells[r * width + slack] = 1.0;
            (lower[slack], upper[slack]) = match row.sense {
                Sense::AtMost => (0.0, f64::INFINITY),
                Sense::AtLeast => (f64::NEG_INFINITY, 0.0),
                Sense::Equal => (0.0, 0.0),
            };
        }
        let largest = reduced
            .iter()
            .fold(0.0f64, |most, cost| most.max(cost.abs()));
        let mut place = vec![None; width];
        for r in 0..rows {
            place[columns + r] = Some(r);
        }
        let given = Given {
            cells: cells.clone(),
            right,
            cost: reduced.clone(),
            costly: (0..columns).filter(|&j| problem.cost[j] != 0).collect(),
        };
        Self {
            given: Rc::new(given),
            pivots: 0,
            rows,
            columns,
            cells,
            values,
            basis: (columns..width).collect(),
            place,
            reduced,
            trifle: largest * 1e-10,
            lower,
            upper,
            at_upper,
            scale,
            row_scale,
        }
    }

    /// Works the table out anew from what was given, as rounding adds up over pivots. A column
    /// that turns out to depend on the others leaves the basis for a slack. Returns how many
    /// rows that took.
    pub(super) fn renew(&mut self) -> usize {
        let given = Rc::clone(&self.given);
        let width = self.columns + self.rows;
        self.cells.copy_from_slice(&given.cells);
        self.values.copy_from_slice(&given.right);
        self.reduced.copy_from_slice(&given.cost);
        self.pivots = 0;
        let basic: Vec<usize> = std::mem::take(&mut self.basis);
        self.basis = (self.columns..width).collect();
        let mut free = vec![true; self.rows];
        for column in basic.iter().filter(|&&column| column >= self.columns) {
            free[column - self.columns] = false;
        }
        self.place[self.columns..].fill(None);
        let mut work = self.rows;
        // Short columns first: they fill little. Each on its largest cell; what has none left by now
        // may have one once others are in.
        let short = |&column: &usize| {
            let cells = given.cells.chunks_exact(width);
            (cells.filter(|row| row[column] != 0.0).count(), column)
        };
        let mut left: Vec<usize> = basic.into_iter().filter(|&c| c < self.columns).collect();
        left.sort_by_cached_key(short);
        let mut looked = left.len();
        for least in [SOUND, NOTHING] {
            left.retain(|&column| {
                looked += 1;
                let mut largest = (least, None);
                for row in (0..self.rows).filter(|&row| free[row]) {
                    let size = self.cells[row * width + column].abs();
                    if size > largest.0 {
                        largest = (size, Some(row));
                    }
                }
                let Some(row) = largest.1 else { return true };
                work += self.eliminate(row, column, true);
                free[row] = false;
                self.basis[row] = column;
                self.place[column] = Some(row);
                false
            });
        }
        for column in left {
            self.place[column] = None;
        }
        for (row, &column) in self.basis.iter().enumerate() {
            self.place[column] = Some(row);
        }
        if !self.settle() {
            // Rounding has cost the basis a column that its reduced costs stood on. Without any
            // column of the program the signs are right.
            self.cells.copy_from_slice(&given.cells);
            self.values.copy_from_slice(&given.right);
            self.reduced.copy_from_slice(&given.cost);
            self.basis = (self.columns..width).collect();
            self.place[..self.columns].fill(None);
            for row in 0..self.rows {
                self.place[self.columns + row] = Some(row);
            }
            self.settle();
            work += self.rows;
        }
        work + looked * self.rows / width
    }

    /// Puts columns outside the basis on the bound that their reduced costs ask for, and the values
    /// of the others, so far right-hand sides, to what follows. Returns whether each reduced cost
    /// has a bound to stand on.
    pub(super) fn settle(&mut self) -> bool {
        let width = self.columns + self.rows;
        for column in 0..width {
            if self.place[column].is_some() {
                continue;
            }
            let (lower, upper) = (self.lower[column], self.upper[column]);
            let reduced = self.reduced[column];
            self.at_upper[column] = upper.is_finite()
                && (reduced < 0.0 || self.at_upper[column] || lower.is_infinite());
            if reduced > 0.0 && lower.is_finite() {
                self.at_upper[column] = false;
            }
            let value = if self.at_upper[column] { upper } else { lower };
            if value != 0.0 {
                for row in 0..self.rows {
                    self.values[row] -= self.cells[row * width + column] * value;
                }
            }
        }
        self.signs_hold()
    }

    /// Whether reduced costs have the sign that the bound of their column asks for, but for a
    /// trifle.
    pub(super) fn signs_hold(&self) -> bool {
        let mut columns = self.reduced.iter().enumerate();
        columns.all(|(column, &reduced)| {
            let wrong = if self.at_upper[column] {
                reduced
            } else {
                -reduced
            };
            wrong <= 10.0 * self.trifle
                || self.place[column].is_some()
                || self.lower[column] >= self.upper[column]
        })
    }

    /// Tightens a bound; a column that stands on it moves along.
    pub(super) fn hold(&mut self, bound: Bound) {
        let (column, delta) = match bound {
            Bound::AtMost(column, most) => {
                let before = self.upper[column];
                self.upper[column] = before.min(most * self.scale[column]);
                let stands = self.place[column].is_none() && self.at_upper[column];
                (
                    column,
                    if stands {
                        self.upper[column] - before
                    } else {
                        0.0
                    },
                )
            }
            Bound::AtLeast(column, least) => {
                let before = self.lower[column];
                self.lower[column] = before.max(least * self.scale[column]);
                let stands = self.place[column].is_none() && !self.at_upper[column];
                (
                    column,
                    if stands {
                        self.lower[column] - before
                    } else {
                        0.0
                    },
                )
            }
        };
        if delta != 0.0 {
            let width = self.columns + self.rows;
            for row in 0..self.rows {
                self.values[row] -= self.cells[row * width + column] * delta;
            }
        }
    }

    /// True bounds of a whole column. (Branching keeps them whole; widening may not.)
    pub(super) fn bounds(&self, column: usize) -> (f64, f64) {
        let true_bound = |bound: f64| (bound / self.scale[column]).round();
        (
            true_bound(self.lower[column]),
            true_bound(self.upper[column]),
        )
    }

    /// Scaled value of a column.
    pub(super) fn stands(&self, column: usize) -> f64 {
        match self.place[column] {
            Some(row) => self.values[row],
            None if self.at_upper[column] => self.upper[column],
            None => self.lower[column],
        }
    }

    /// True value of a column.
    pub(super) fn value(&self, column: usize) -> f64 {
        self.stands(column) / self.scale[column]
    }

    /// Dual values of the rows as they were given.
    pub(super) fn duals(&self) -> Vec<f64> {
        (0..self.rows)
            .map(|r| -self.reduced[self.columns + r] * self.row_scale[r])
            .collect()
    }

    /// Moves the bound that a row's column is outside of to where the column is.
    pub(super) fn widen(&mut self, row: usize) {
        let (column, value) = (self.basis[row], self.values[row]);
        self.lower[column] = self.lower[column].min(value);
        self.upper[column] = self.upper[column].max(value);
    }

    /// Row multipliers that make up table row `row`.
    pub(super) fn ray(&self, row: usize) -> Vec<f64> {
        let width = self.columns + self.rows;
        (0..self.rows)
            .map(|r| self.cells[row * width + self.columns + r] * self.row_scale[r])
            .collect()
    }

    /// Adds to dual values what makes up for what is `left` of the cost of basic columns, which is
    /// nothing but for rounding; `false` if nothing changed. For the multipliers of a row that
    /// cannot be met, that row's column is left as it is. (Iterative refinement: A. M. Gleixner,
    /// D. E. Steffy and K. Wolter, INFORMS Journal on Computing 28 (2016), 449-464.)
    pub(super) fn refine(&self, duals: &mut [i128], left: &[i128], row: Option<usize>) -> bool {
        let width = self.columns + self.rows;
        let mut more = vec![0.0f64; self.rows];
        for (at, &column) in self.basis.iter().enumerate() {
            let off = match column.checked_sub(self.columns) {
                None => left[column] as f64 / self.scale[column],
                Some(slack) => -(duals[slack] as f64) / self.row_scale[slack],
            };
            if off == 0.0 || Some(at) == row {
                continue;
            }
            let line = &self.cells[at * width + self.columns..(at + 1) * width];
            for (more, cell) in more.iter_mut().zip(line) {
                *more += off * cell;
            }
        }
        let mut changed = false;
        for ((dual, more), scale) in duals.iter_mut().zip(more).zip(&self.row_scale) {
            let more = (more * scale).round();
            if more != 0.0 && more.abs() < 1e30 {
                *dual = dual.saturating_add(more as i128);
                changed = true;
            }
        }
        changed
    }

    /// Leaves `column` in `row` alone, with the values too if they are right-hand sides.
    /// Returns how many rows changed.
    pub(super) fn eliminate(&mut self, row: usize, column: usize, values: bool) -> usize {
        let width = self.columns + self.rows;
        let by = self.cells[row * width + column];
        for cell in &mut self.cells[row * width..(row + 1) * width] {
            *cell /= by;
        }
        if values {
            self.values[row] /= by;
        }
        let line: Vec<f64> = self.cells[row * width..(row + 1) * width].to_vec();
        let mut touched = 1;
        for other in 0..self.rows {
            let times = self.cells[other * width + column];
            if other == row || times == 0.0 {
                continue;
            }
            touched += 1;
            if values {
                self.values[other] -= times * self.values[row];
            }
            let cells = &mut self.cells[other * width..(other + 1) * width];
            for (cell, more) in cells.iter_mut().zip(&line) {
                // What is left of a difference is noise where nearly all of it is gone.
                let before = cell.abs();
                *cell -= times * more;
                if cell.abs() < NOTHING * before.max(1.0) {
                    *cell = 0.0;
                }
            }
            cells[column] = 0.0;
        }
        let times = self.reduced[column];
        for (reduced, more) in self.reduced.iter_mut().zip(&line) {
            *reduced -= times * more;
        }
        self.reduced[column] = 0.0;
        touched
    }
}
