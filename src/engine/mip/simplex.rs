//! The dual simplex method on a dense table with bounds on every column. It is in floating point: what it says is
//! proposed, and proved elsewhere.

use crate::engine::mip::problem::Budget;
use crate::engine::mip::table::Table;

/// Pivots before a table is worked out anew.
const MOST_PIVOTS: usize = 400;
/// Times that a table is worked out anew at one node because reduced costs have lost their signs.
const MOST_MENDED: usize = 3;
/// Pivots at one node before giving up on it.
const MOST_TURNS: usize = 2_000;
/// Turns between two looks at the clock.
const ASKED: usize = 64;
/// What a wrong sign may cost, in parts of the objective.
const TRIFLING: f64 = 1e3;
/// Times that columns with a wrong sign are moved.
const MOST_TURNED: usize = 10;
/// What a step adds at most, in parts of the objective: where there is none, nothing is left on that side.
const MOST_STEP: f64 = 1e60;
/// Least size of a pivot, in scaled cells.
const SMALLEST: f64 = 1e-8;

/// How a relaxation ended.
pub(super) enum Solved {
    Least,
    /// The least is beyond the cutoff, it seems.
    Beyond,
    /// This row cannot be met.
    Impossible(usize),
    Trouble,
}

impl Table {
    /// The dual simplex method: reduced costs keep their signs, the row furthest outside
    /// its bounds leaves. What costs more than `cutoff` is not looked for.
    pub(super) fn solve(&mut self, budget: &mut Budget, cutoff: Option<f64>) -> Solved {
        let width = self.columns + self.rows;
        let mut mended = 0;
        let mut turned = 0;
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
                if turned < MOST_TURNED && self.turn_over() {
                    turned += 1;
                    continue;
                }
                return Solved::Least;
            };
            if cutoff.is_some_and(|cutoff| self.objective() > cutoff) {
                return Solved::Beyond;
            }
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

    /// What the first pivot adds to the bound where a column that stands `above` a whole number is to be no more than
    /// that, and where it is to be one more.
    pub(super) fn first_steps(&self, column: usize, above: f64) -> (f64, f64) {
        let Some(row) = self.place[column] else {
            return (0.0, 0.0);
        };
        let width = self.columns + self.rows;
        let line = &self.cells[row * width..(row + 1) * width];
        let (mut falls, mut rises) = (MOST_STEP, MOST_STEP);
        for (other, &cell) in line.iter().enumerate() {
            if cell.abs() < SMALLEST
                || self.place[other].is_some()
                || self.lower[other] >= self.upper[other]
            {
                continue;
            }
            let each = self.reduced[other].abs() / cell.abs();
            if (cell > 0.0) == self.at_upper[other] {
                rises = rises.min(each);
            } else {
                falls = falls.min(each);
            }
        }
        let scale = self.scale[column];
        (falls * scale * above, rises * scale * (1.0 - above))
    }

    /// What the columns cost where they stand.
    fn objective(&self) -> f64 {
        let costly = self.given.costly.iter();
        costly
            .map(|&column| self.given.cost[column] * self.stands(column))
            .sum()
    }

    /// Moves a column outside the basis to its other bound.
    fn flip(&mut self, column: usize) {
        let width = self.columns + self.rows;
        let from = self.stands(column);
        self.at_upper[column] = !self.at_upper[column];
        let delta = self.stands(column) - from;
        for row in 0..self.rows {
            self.values[row] -= self.cells[row * width + column] * delta;
        }
    }

    /// Moves columns whose reduced cost is on the wrong side of zero by a trifle that their bounds make
    /// something of to their other bound. Returns whether there were any.
    fn turn_over(&mut self) -> bool {
        let wrong: Vec<usize> = (0..self.columns + self.rows)
            .filter(|&column| {
                let reduced = self.reduced[column];
                let wrong = if self.at_upper[column] {
                    reduced
                } else {
                    -reduced
                };
                let range = self.upper[column] - self.lower[column];
                self.place[column].is_none() && range.is_finite() && wrong * range > TRIFLING
            })
            .collect();
        for &column in &wrong {
            self.flip(column);
        }
        !wrong.is_empty()
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

    /// The column that comes in on a row whose value is to rise by `off`, or to fall; none if no column can
    /// make it. Columns whose reduced cost would pass zero before are moved to their other bound as long as that does
    /// not make all of it (the long-step rule: I. Maros, Computational Techniques of the Simplex
    /// Method, 2003, from memory).
    fn entering_column(&mut self, row: usize, rises: bool, first_of_all: bool) -> Option<usize> {
        let width = self.columns + self.rows;
        let line = &self.cells[row * width..(row + 1) * width];
        // A column on its lower bound can only rise, on its upper only fall.
        let helps = |&(column, &cell): &(usize, &f64)| {
            cell.abs() >= SMALLEST
                && self.place[column].is_none()
                && self.upper[column] > self.lower[column]
                && (cell < 0.0) == (rises != self.at_upper[column])
        };
        let ratio = |column: usize| self.reduced[column].abs() / line[column].abs();
        let mut helping: Vec<usize> = line
            .iter()
            .enumerate()
            .filter(helps)
            .map(|(c, _)| c)
            .collect();
        if first_of_all {
            let least = helping
                .iter()
                .map(|&column| ratio(column))
                .fold(f64::INFINITY, f64::min);
            return helping.into_iter().find(|&column| ratio(column) <= least);
        }
        helping.sort_unstable_by(|&a, &b| ratio(a).total_cmp(&ratio(b)).then(a.cmp(&b)));
        let leaving = self.basis[row];
        let bound = if rises {
            self.lower[leaving]
        } else {
            self.upper[leaving]
        };
        let mut off = (self.values[row] - bound).abs();
        let mut passed = 0;
        for &column in &helping {
            off -= line[column].abs() * (self.upper[column] - self.lower[column]);
            if off <= 0.0 {
                break;
            }
            passed += 1;
        }
        if passed == helping.len() {
            return None;
        }
        // Reduced costs may pass zero by a trifle, for a pivot that does not blow up
        // rounding (P. M. J. Harris, Mathematical Programming 5 (1973), 1-28).
        let most = helping[passed..]
            .iter()
            .map(|&column| (self.reduced[column].abs() + self.trifle) / line[column].abs())
            .fold(f64::INFINITY, f64::min);
        let within = helping[passed..]
            .iter()
            .take_while(|&&column| ratio(column) <= most);
        let enters = within.copied().reduce(|best, column| {
            if line[column].abs() > line[best].abs() {
                column
            } else {
                best
            }
        });
        for &column in &helping[..passed] {
            self.flip(column);
        }
        enters
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
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::mip::problem::{Problem, Sense};

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
            let solved = Table::new(&problem).solve(&mut budget, None);
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
        let solved = Table::new(&problem).solve(&mut budget, None);
        assert!(matches!(solved, Solved::Trouble));
        assert_eq!(budget.left, 0);
    }
}
