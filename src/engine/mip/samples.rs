//! Programs for tests.

use crate::engine::mip::problem::{Budget, Problem, Sense};

/// So many table cells, and nothing that says stop.
pub(super) fn work(left: u64) -> Budget<'static> {
    Budget {
        left,
        stop: &|| false,
    }
}

/// Programs of fractions, some of which have no solution.
pub(super) fn fractions(next: &mut impl FnMut(usize) -> usize) -> Problem {
    let mut problem = Problem::default();
    let columns = 3 + next(5);
    for _ in 0..columns {
        problem.column(next(2_000) as i128 - 500, false, 1 + next(9) as i128);
    }
    for _ in 0..3 + next(5) {
        let terms = (0..columns).map(|column| (column, next(9) as i128 - 2));
        let terms = terms.filter(|term| term.1 != 0).collect();
        let sense = [Sense::AtMost, Sense::AtLeast, Sense::Equal][next(5) / 2];
        problem.row(terms, sense, next(30) as i128);
    }
    problem
}

/// Foods to be bought in packs of up to a kilogram, opened on one of five days and drawn from for two more, in
/// milligrams; what is left over costs its part of the price.
pub(super) fn lots(next: &mut impl FnMut(usize) -> usize) -> Problem {
    let mut problem = Problem::default();
    for _ in 0..3 {
        let uses: Vec<i128> = (0..5).map(|_| next(6) as i128 * 31_250).collect();
        let bought = problem.column(40_000_000_000, true, 1);
        let mut drawn = vec![Vec::new(); 5];
        for _ in 0..2 {
            let unit = (1 + next(40)) as i128 * 25_000;
            let price = (100 + next(400)) as i128 * 1_000_000_000;
            let most = 1 + uses.iter().sum::<i128>() / unit;
            let packs = problem.column(2 * price, true, most);
            problem.row(vec![(packs, 1), (bought, -most)], Sense::AtMost, 0);
            let mut openings = vec![(packs, -1)];
            for day in 0..5 {
                let opened = problem.column(0, true, most);
                openings.push((opened, 1));
                let mut row = vec![(opened, -unit)];
                for (at, draws) in drawn.iter_mut().enumerate().skip(day).take(3) {
                    let draw = problem.column(-price / unit, false, uses[at]);
                    draws.push((draw, 1));
                    row.push((draw, 1));
                    if at == day {
                        problem.row(vec![(draw, 1), (opened, -1)], Sense::AtLeast, 0);
                    }
                }
                problem.row(row, Sense::AtMost, 0);
            }
            problem.row(openings, Sense::AtMost, 0);
        }
        for (row, used) in drawn.into_iter().zip(uses) {
            problem.row(row, Sense::Equal, used);
        }
    }
    problem
}
