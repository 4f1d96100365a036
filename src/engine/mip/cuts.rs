//! Rows that every whole solution keeps and the fractions of a relaxation break: mixed integer rounding of the rows of a
//! solved table (R. E. Gomory 1960; H. Marchand and L. A. Wolsey, Operations Research 49 (2001), 363-371, both
//! from memory).
//!
//! The table proposes multipliers of the rows as given. Rounded to whole parts of `D`, they make up an equation
//! `sum A z = B` over columns and slacks, in whole numbers, each counted from the bound that it stands on, so that
//! `z >= 0`. With `F` the rest of `A` divided by `D`, and `G` that of `B`, every solution with whole `z` of whole
//! columns keeps
//!
//! `sum over whole z of (floor(A / D) (D - G) + max(0, F - G)) z + sum over others of min(0, A) z <= floor(B / D) (D - G)`
//!
//! (the mixed integer rounding inequality times `D (D - G)`, divided by `D`). Slacks are put back as what their rows leave, and
//! at the end all is divided: coefficients are rounded down and the right side up, which holds still as no column
//! is below zero. So whatever the table said, the row holds; it may only be of no use.

use crate::engine::mip::problem::{Problem, Row, Sense};
use crate::engine::mip::table::Table;

/// Parts in which multipliers are counted.
const PARTS: i128 = 1 << 40;
/// Coefficients times the range of their column are no larger than this, so that bounds can be added up.
const LARGEST: i128 = 1 << 50;
/// A column whose range is less than such a part of the row's largest is left out of it.
const TRIFLES: i128 = 1 << 20;
/// How far from whole a column is whose row is worth rounding.
const AWAY: f64 = 0.01;
/// By how much of its own size a row must be broken to be worth its place.
const BROKEN: f64 = 1e-3;
/// Times that the largest coefficient of a row may be the least.
const RANGE: f64 = 1e4;

/// A sum of columns, each between zero and its upper bound.
struct Sum {
    terms: Vec<i128>,
    most: i128,
}

impl Sum {
    /// Adds `times` the columns of a row as given, for its slack.
    fn take_slack(&mut self, row: &Row, times: i128) -> Option<()> {
        // The slack is the right side less the columns.
        self.most = self.most.checked_sub(times.checked_mul(row.right)?)?;
        for &(column, c) in &row.terms {
            let more = times.checked_mul(c)?;
            self.terms[column] = self.terms[column].checked_sub(more)?;
        }
        Some(())
    }
}

impl Problem {
    /// Rows that the values of a solved table break, most broken first, at most `most`.
    pub(super) fn cuts(&self, table: &Table, most: usize) -> Vec<Row> {
        let whole_slack: Vec<bool> = self
            .rows
            .iter()
            .map(|row| row.terms.iter().all(|&(column, _)| self.whole[column]))
            .collect();
        let mut cuts: Vec<(f64, Row)> = Vec::new();
        for (at, &column) in table.basis.iter().enumerate() {
            if column >= self.cost.len() || !self.whole[column] {
                continue;
            }
            let value = table.value(column);
            if (value - value.round()).abs() < AWAY {
                continue;
            }
            let ray = table.ray(at);
            let by = PARTS as f64 / table.scale[column];
            let multipliers = ray.iter().map(|y| (y * by).round());
            let multipliers: Vec<f64> = multipliers.collect();
            if multipliers.iter().any(|y| y.is_nan() || y.abs() > 1e24) {
                continue;
            }
            for sign in [1, -1] {
                let multipliers: Vec<i128> =
                    multipliers.iter().map(|&y| sign * y as i128).collect();
                let row = self.rounded(table, &whole_slack, &multipliers);
                if let Some(row) = row
                    && let Some(broken) = broken(table, &row)
                {
                    cuts.push((broken, row));
                }
            }
        }
        cuts.sort_by(|(a, _), (b, _)| b.total_cmp(a));
        cuts.truncate(most);
        cuts.into_iter().map(|(_, row)| row).collect()
    }

    /// The sum of rows, so many times each: of their columns, and of their right sides. Slacks count as often.
    fn combined(&self, multipliers: &[i128]) -> Option<(Vec<i128>, i128)> {
        let mut right: i128 = 0;
        let mut sums: Vec<i128> = vec![0; self.cost.len()];
        for (row, &y) in self.rows.iter().zip(multipliers).filter(|(_, y)| **y != 0) {
            right = right.checked_add(y.checked_mul(row.right)?)?;
            for &(column, c) in &row.terms {
                sums[column] = sums[column].checked_add(y.checked_mul(c)?)?;
            }
        }
        Some((sums, right))
    }

    /// The row that rounding the sum of rows makes; none if there is none, or the numbers grow too large.
    fn rounded(&self, table: &Table, whole_slack: &[bool], multipliers: &[i128]) -> Option<Row> {
        let (sums, mut right) = self.combined(multipliers)?;
        // Columns are counted from where they stand.
        let stands: Vec<(i128, bool)> = (0..self.cost.len())
            .map(|column| self.stands_on(table, column))
            .collect();
        for (&sum, &(bound, _)) in sums.iter().zip(&stands) {
            right = right.checked_sub(sum.checked_mul(bound)?)?;
        }
        let rest = right.rem_euclid(PARTS);
        if rest == 0 {
            return None;
        }
        let room = PARTS - rest;
        let whole = |sum: i128| -> Option<i128> {
            let floor = sum.div_euclid(PARTS).checked_mul(room)?;
            floor.checked_add((sum.rem_euclid(PARTS) - rest).max(0))
        };
        let mut all = Sum {
            terms: vec![0; self.cost.len()],
            most: right.div_euclid(PARTS).checked_mul(room)?,
        };
        for (column, &sum) in sums.iter().enumerate().filter(|(_, sum)| **sum != 0) {
            let (bound, falls) = stands[column];
            // A column that falls from its bound counts the other way.
            let sign = if falls { -1 } else { 1 };
            let each = if self.whole[column] {
                whole(sign * sum)?
            } else {
                (sign * sum).min(0)
            };
            let each = sign * each;
            all.terms[column] = all.terms[column].checked_add(each)?;
            all.most = all.most.checked_add(each.checked_mul(bound)?)?;
        }
        for ((row, &y), &whole_slack) in self.rows.iter().zip(multipliers).zip(whole_slack) {
            let sign = match row.sense {
                Sense::AtMost => 1,
                Sense::AtLeast => -1,
                // Its slack is nothing.
                Sense::Equal => continue,
            };
            let each = if whole_slack {
                whole(sign * y)?
            } else {
                (sign * y).min(0)
            };
            if each != 0 {
                all.take_slack(row, sign * each)?;
            }
        }
        self.divided(all)
    }

    /// The bound that a column is counted from, and whether it falls from there. Bounds of whole columns are those of the
    /// table, which is that of the root: what they leave out does not matter. Others are the program's.
    fn stands_on(&self, table: &Table, column: usize) -> (i128, bool) {
        // A basic column is counted from the nearer one.
        let value = table.stands(column);
        let nearer = value - table.lower[column] > table.upper[column] - value;
        let falls = table.place[column].map_or(table.at_upper[column], |_| nearer);
        let bound = if self.whole[column] {
            let (lower, upper) = table.bounds(column);
            if falls { upper as i128 } else { lower as i128 }
        } else if falls {
            self.upper[column]
        } else {
            0
        };
        (bound, falls)
    }

    /// The row without what is next to nothing in it, and with coefficients small enough to add bounds up.
    fn divided(&self, mut all: Sum) -> Option<Row> {
        let mut largest = 0;
        for (term, upper) in all.terms.iter().zip(&self.upper) {
            largest = term.checked_mul(*upper)?.checked_abs()?.max(largest);
        }
        let trifle = largest / TRIFLES;
        for (term, &upper) in all.terms.iter_mut().zip(&self.upper) {
            let range = *term * upper;
            if range.abs() < trifle {
                // No less than nothing, or than the whole of it.
                all.most = all.most.checked_sub(range.min(0))?;
                *term = 0;
            }
        }
        let by = (largest.max(all.most.checked_abs()?) / LARGEST).max(1);
        let terms = all.terms.into_iter().map(|term| term.div_euclid(by));
        let terms = terms.enumerate().filter(|&(_, term)| term != 0);
        Some(Row {
            terms: terms.collect(),
            sense: Sense::AtMost,
            right: -((-all.most).div_euclid(by)),
        })
    }
}

/// By how much the table's values break a row, for its size; none if by next to nothing, or where its coefficients are
/// too far apart.
fn broken(table: &Table, row: &Row) -> Option<f64> {
    let (mut sum, mut size) = (0.0, 0.0f64);
    let (mut least, mut largest) = (f64::INFINITY, 0.0f64);
    for &(column, c) in &row.terms {
        sum += table.value(column) * c as f64;
        let scaled = c as f64 / table.scale[column];
        size += scaled * scaled;
        least = least.min(scaled.abs());
        largest = largest.max(scaled.abs());
    }
    let by = (sum - row.right as f64) / size.sqrt();
    (size > 0.0 && by > BROKEN && largest < RANGE * least).then_some(by)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::mip::samples::{fractions, work};
    use crate::engine::mip::simplex::Solved;

    /// Rows from rounding are kept by every whole solution, and broken by the fractions they were made from.
    #[test]
    fn rows_from_rounding_leave_every_whole_solution() {
        let mut next = crate::engine::model::samples::numbers(11);
        let (mut cut, mut kept) = (0, 0);
        for _ in 0..2_000 {
            let mut problem = fractions(&mut next);
            let whole = |column: usize, all: usize| column < all - 1;
            let columns = problem.cost.len().min(5);
            problem.cost.truncate(columns);
            problem.upper.truncate(columns);
            for upper in &mut problem.upper {
                *upper = (*upper).min(4);
            }
            problem.whole = (0..columns).map(|column| whole(column, columns)).collect();
            for row in &mut problem.rows {
                row.terms.retain(|&(column, _)| column < columns);
            }
            let mut table = Table::new(&problem);
            if !matches!(table.solve(&mut work(1_000_000), None), Solved::Least) {
                continue;
            }
            let cuts = problem.cuts(&table, 10);
            cut += cuts.len();
            for cut in &cuts {
                let sum: f64 = cut
                    .terms
                    .iter()
                    .map(|&(j, c)| table.value(j) * c as f64)
                    .sum();
                assert!(sum > cut.right as f64);
            }
            // The last column in quarters, all others whole.
            let all: i128 = problem.upper.iter().map(|most| most + 1).product::<i128>() * 4;
            for number in 0..all {
                let mut left = number / 4;
                let x: Vec<i128> = problem
                    .upper
                    .iter()
                    .enumerate()
                    .map(|(column, most)| {
                        let digit = left % (most + 1);
                        left /= most + 1;
                        if whole(column, columns) {
                            4 * digit
                        } else {
                            (4 * digit + number % 4).min(4 * most)
                        }
                    })
                    .collect();
                let holds = |row: &Row| {
                    let sum: i128 = row.terms.iter().map(|&(j, c)| c * x[j]).sum();
                    match row.sense {
                        Sense::AtMost => sum <= 4 * row.right,
                        Sense::AtLeast => sum >= 4 * row.right,
                        Sense::Equal => sum == 4 * row.right,
                    }
                };
                if problem.rows.iter().all(holds) {
                    kept += cuts.len();
                    assert!(cuts.iter().all(holds), "{problem:?} {cuts:?} {x:?}");
                }
            }
        }
        assert!(cut > 1_000 && kept > 5_000, "{cut} {kept}");
    }
}
