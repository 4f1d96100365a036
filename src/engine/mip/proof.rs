//! Bounds and impossibility of a program, added up in whole numbers from what a table proposes.
//!
//! For any dual values y of the right signs,
//!
//! `y b + sum over columns of min((cost - y A) * lower, (cost - y A) * upper)`
//!
//! is below every solution between the bounds (weak duality; A. Neumaier and O. Shcherbina, Mathematical
//! Programming 99 (2004), 283-296). The dual values are those of the table, rounded to fractions of a fixed
//! denominator. With costs of zero the same sum above zero proves that there is no solution at all.

use crate::engine::mip::problem::{Problem, Sense};
use crate::engine::mip::table::Table;

/// Times that dual values are bettered where they leave a gap.
pub(super) const REFINED: usize = 3;

/// A bound in whole numbers, and what proves it.
pub(super) struct DualBound {
    /// The bound, `costs` times.
    pub(super) sum: i128,
    pub(super) costs: i128,
    /// What is left of each column's cost, `costs` times: its part of the bound stands on the lower bound of
    /// the column where this is positive, and on the upper where it is negative.
    pub(super) left: Vec<i128>,
}

impl DualBound {
    /// The bound, rounded down.
    pub(super) fn floor(&self) -> i128 {
        self.sum.div_euclid(self.costs.max(1))
    }
}

impl Problem {
    /// Whether the row that cannot be met proves that there is no solution.
    pub(super) fn shown_impossible(&self, table: &Table, row: usize) -> bool {
        let ray = table.ray(row);
        let size = ray.iter().fold(0.0f64, |size, y| size.max(y.abs()));
        if size == 0.0 {
            return false;
        }
        // Above its upper bound, its column is at the least where the others stand; below its lower, at the most.
        let above = table.values[row] > table.upper[table.basis[row]];
        let sign = if above { 1.0 } else { -1.0 };
        // A large factor leaves rounding small, but not every sum fits: a middling one first.
        let powers = [64, 96, 88, 80, 72, 56, 48, 40];
        [0, REFINED].into_iter().any(|refined| {
            powers.into_iter().any(|power| {
                let factor = sign * f64::from(power).exp2() / size;
                let ray: Vec<f64> = ray.iter().map(|y| y * factor).collect();
                let bound = self.bound(table, &ray, 0, (refined, Some(row)));
                bound.is_some_and(|bound| bound.sum > 0)
            })
        })
    }

    /// The bound of the table's dual values, as fine as the numbers allow.
    pub(super) fn dual_bound(&self, table: &Table, refined: usize) -> Option<DualBound> {
        let duals = table.duals();
        [40, 30, 20].into_iter().find_map(|power| {
            let by = f64::from(power).exp2();
            let duals: Vec<f64> = duals.iter().map(|dual| dual * by).collect();
            self.bound(table, &duals, 1 << power, (refined, None))
        })
    }

    /// The largest bound of dual values, which are bettered up to `refined` times (where a row
    /// cannot be met, for its multipliers); none if the numbers grow too large.
    fn bound(
        &self,
        table: &Table,
        duals: &[f64],
        costs: i128,
        (refined, row): (usize, Option<usize>),
    ) -> Option<DualBound> {
        let too_large = |dual: &f64| dual.is_nan() || dual.abs() > 1e30;
        if duals.iter().any(too_large) {
            return None;
        }
        let rounded = duals.iter().map(|&dual| nearest(dual));
        let mut duals: Vec<i128> = rounded.collect();
        let mut best: Option<DualBound> = None;
        for turn in 0..=refined {
            for (dual, row) in duals.iter_mut().zip(&self.rows) {
                match row.sense {
                    Sense::AtMost => *dual = (*dual).min(0),
                    Sense::AtLeast => *dual = (*dual).max(0),
                    Sense::Equal => {}
                }
            }
            let Some((bound, left)) = self.add_up(table, &duals, costs) else {
                break;
            };
            let go_on = turn < refined && table.refine(&mut duals, &left, row);
            if best.as_ref().is_none_or(|best| bound > best.sum) {
                best = Some(DualBound {
                    sum: bound,
                    costs,
                    left,
                });
            }
            if !go_on {
                break;
            }
        }
        best
    }

    /// Adds up the bound of dual values in whole numbers, costs taken `costs` times (0 asks for
    /// a proof that there is no solution), with what is left of each column's cost; none if the
    /// numbers grow too large.
    fn add_up(&self, table: &Table, duals: &[i128], costs: i128) -> Option<(i128, Vec<i128>)> {
        let mut left: Vec<i128> = self
            .cost
            .iter()
            .map(|&cost| cost.checked_mul(costs))
            .collect::<Option<_>>()?;
        let mut sum: i128 = 0;
        for (row, &y) in self.rows.iter().zip(duals).filter(|(_, y)| **y != 0) {
            sum = sum.checked_add(y.checked_mul(row.right)?)?;
            for &(column, c) in &row.terms {
                left[column] = left[column].checked_sub(y.checked_mul(c)?)?;
            }
        }
        for (column, &reduced) in left.iter().enumerate() {
            // Branching keeps bounds whole.
            let side = if reduced < 0 {
                table.upper[column] / table.scale[column]
            } else {
                table.lower[column] / table.scale[column]
            };
            sum = sum.checked_add(reduced.checked_mul(nearest(side))?)?;
        }
        Some((sum, left))
    }
}

/// The nearest whole number, or where two are about as near one of them.
fn nearest(value: f64) -> i128 {
    // Up to here halves are told apart, and a register holds it.
    if value.abs() < (1i64 << 52) as f64 {
        i128::from((value + 0.5f64.copysign(value)) as i64)
    } else {
        value.round() as i128
    }
}
