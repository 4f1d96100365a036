//! The dense table of the dual simplex method that the search solves at each node. It is in floating point: what it
//! says is proposed, and proved elsewhere.

use crate::engine::mip::problem::{Budget, Problem, Sense};
use std::rc::Rc;

/// Pivots before a table is worked out anew.
const MOST_PIVOTS: usize = 400;
/// Times that a table is worked out anew at one node because reduced costs have lost their signs.
const MOST_MENDED: usize = 3;
/// Pivots at one node before giving up on it.
const MOST_TURNS: usize = 2_000;
/// Turns between two looks at the clock.
const ASKED: usize = 64;
/// Least size of a pivot, in scaled cells, and what counts as nothing in them.
const SMALLEST: f64 = 1e-8;
const NOTHING: f64 = 1e-12;
/// Size of a cell that a column is put into the basis on before others are.
const SOUND: f64 = 1e-6;

/// A bound that branching adds.
#[derive(Clone, Copy)]
pub(super) enum Bound {
    AtMost(usize, f64),
    AtLeast(usize, f64),
}

pub(super) enum Solved {
    Least,
    /// This row cannot be met.
    Impossible(usize),
    Trouble,
}

/// The rows as given, scaled.
struct Given {
    cells: Vec<f64>,
    right: Vec<f64>,
    cost: Vec<f64>,
}

/// A dense table: columns, then a slack for every row.
#[derive(Clone)]
pub(super) struct Table {
    given: Rc<Given>,
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

    /// True value of a column.
    pub(super) fn value(&self, column: usize) -> f64 {
        let value = match self.place[column] {
            Some(row) => self.values[row],
            None if self.at_upper[column] => self.upper[column],
            None => self.lower[column],
        };
        value / self.scale[column]
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

    /// The dual simplex method: reduced costs keep their signs, the row furthest outside
    /// its bounds leaves.
    pub(super) fn solve(&mut self, budget: &mut Budget) -> Solved {
        let width = self.columns + self.rows;
        let mut mended = 0;
        for turn in 0.. {
            let cells = (self.rows * width) as u64;
            if budget.left < cells {
                budget.left = 0;
                return Solved::Trouble;
            }
            if turn > MOST_TURNS || turn % ASKED == ASKED - 1 && (budget.stop)() {
                return Solved::Trouble;
            }
            // What goes in circles does not do so if the first of all is taken each time
            // (R. G. Bland, Mathematics of Operations Research 2 (1977), 103-107).
            let circles = turn > MOST_TURNS / 2;
            let Some(row) = self.leaving_row(circles) else {
                if mended < MOST_MENDED && !self.signs_hold() {
                    mended += 1;
                    let touched = self.renew();
                    budget.spend((touched * width) as u64);
                    continue;
                }
                return Solved::Least;
            };
            if self.pivots >= MOST_PIVOTS {
                let touched = self.renew();
                budget.spend((touched * width) as u64);
                continue;
            }
            let leaving = self.basis[row];
            let rises = self.values[row] < self.lower[leaving];
            let Some(column) = self.entering_column(row, rises, circles) else {
                return Solved::Impossible(row);
            };
            let bound = if rises {
                self.lower[leaving]
            } else {
                self.upper[leaving]
            };
            let touched = self.pivot(row, column, bound, !rises);
            budget.spend((touched * width) as u64);
        }
        Solved::Trouble
    }

    /// The row that is furthest outside its bounds, or the first of them by column; none if none is.
    fn leaving_row(&self, first_of_all: bool) -> Option<usize> {
        let mut leaves: Option<(f64, usize)> = None;
        for row in 0..self.rows {
            let column = self.basis[row];
            let value = self.values[row];
            let near = 1e-8 * (1.0 + value.abs());
            let off = (self.lower[column] - value).max(value - self.upper[column]);
            let before = |&(most, other): &(f64, usize)| {
                if first_of_all {
                    column < self.basis[other]
                } else {
                    off > most
                }
            };
            if off > near && leaves.as_ref().is_none_or(before) {
                leaves = Some((off, row));
            }
        }
        leaves.map(|(_, row)| row)
    }

    /// The column that comes in on a row whose value is to rise, or to fall; none if no column can make it.
    fn entering_column(&self, row: usize, rises: bool, first_of_all: bool) -> Option<usize> {
        let width = self.columns + self.rows;
        let line = &self.cells[row * width..(row + 1) * width];
        // A column on its lower bound can only rise, on its upper only fall.
        let helps = |&(column, &cell): &(usize, &f64)| {
            self.place[column].is_none()
                && cell.abs() >= SMALLEST
                && self.upper[column] > self.lower[column]
                && (cell < 0.0) == (rises != self.at_upper[column])
        };
        // Reduced costs may pass zero by a trifle, for a pivot that does not blow up
        // rounding (P. M. J. Harris, Mathematical Programming 5 (1973), 1-28).
        let candidates = || line.iter().enumerate().filter(helps);
        let most = candidates()
            .map(|(column, cell)| (self.reduced[column].abs() + self.trifle) / cell.abs())
            .fold(f64::INFINITY, f64::min);
        let mut enters: Option<(f64, usize)> = None;
        for (column, cell) in candidates() {
            let size = cell.abs();
            if self.reduced[column].abs() / size <= most
                && enters.is_none_or(|(largest, _)| !first_of_all && size > largest)
            {
                enters = Some((size, column));
            }
        }
        enters.map(|(_, column)| column)
    }

    /// `column` comes in on `row`; what leaves goes to `bound`. Returns how many rows changed.
    fn pivot(&mut self, row: usize, column: usize, bound: f64, to_upper: bool) -> usize {
        let width = self.columns + self.rows;
        let leaving = self.basis[row];
        let by = self.cells[row * width + column];
        // How far the entering column moves.
        let step = (self.values[row] - bound) / by;
        let from = if self.at_upper[column] {
            self.upper[column]
        } else {
            self.lower[column]
        };
        for other in 0..self.rows {
            if other != row {
                self.values[other] -= self.cells[other * width + column] * step;
            }
        }
        let touched = self.eliminate(row, column, false);
        self.values[row] = from + step;
        self.basis[row] = column;
        self.place[column] = Some(row);
        self.place[leaving] = None;
        self.at_upper[leaving] = to_upper;
        self.pivots += 1;
        touched
    }

    /// Leaves `column` in `row` alone, with the values too if they are right-hand sides.
    /// Returns how many rows changed.
    fn eliminate(&mut self, row: usize, column: usize, values: bool) -> usize {
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
                *cell -= times * more;
                if cell.abs() < NOTHING {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Told to stop, a table is given up among its turns.
    #[test]
    fn a_table_is_given_up_when_told_to_stop() {
        let mut problem = Problem::default();
        // Each row makes one more column enter.
        for at in 0..2 * ASKED {
            problem.column(1, false, 9);
            problem.row(vec![(at, 1)], Sense::AtLeast, 1);
        }
        for stop in [false, true] {
            let mut budget = Budget {
                left: 100_000_000,
                stop: &|| stop,
            };
            let solved = Table::new(&problem).solve(&mut budget);
            assert_eq!(matches!(solved, Solved::Trouble), stop);
        }
    }

    /// What no work is left for is not solved.
    #[test]
    fn no_table_is_solved_without_work() {
        let mut problem = Problem::default();
        problem.column(1, false, 9);
        problem.row(vec![(0, 1)], Sense::AtLeast, 4);
        let mut budget = Budget {
            left: 1,
            stop: &|| false,
        };
        let solved = Table::new(&problem).solve(&mut budget);
        assert!(matches!(solved, Solved::Trouble));
        assert_eq!(budget.left, 0);
    }
}
