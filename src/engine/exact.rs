//! A small exact solver: linear programs in fractions, whole numbers by branching.
//!
//! Used where a continuous choice has to be settled without rounding (a lunch split over
//! two batches); a handful of rows and columns, so plain and exact beats fast. Numbers are
//! fractions of 128-bit integers; if one overflows, the same problem is solved again with
//! integers of any size.

use num_bigint::BigInt;
use num_rational::{BigRational, Ratio};
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, ToPrimitive, Zero};

/// Sense of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    AtMost,
    AtLeast,
    Equal,
}

/// `sum of coefficient * column  sense  right`.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) terms: Vec<(usize, i128)>,
    pub(super) sense: Sense,
    pub(super) right: i128,
}

/// Minimise `sum cost * column` over columns at or above zero.
#[derive(Clone, Debug, Default)]
pub(super) struct Problem {
    pub(super) cost: Vec<i128>,
    pub(super) whole: Vec<bool>,
    pub(super) rows: Vec<Row>,
}

impl Problem {
    /// Adds a column and returns its position.
    pub(super) fn column(&mut self, cost: i128, whole: bool) -> usize {
        self.cost.push(cost);
        self.whole.push(whole);
        self.cost.len() - 1
    }

    /// Adds a row.
    pub(super) fn row(&mut self, terms: Vec<(usize, i128)>, sense: Sense, right: i128) {
        // Smaller numbers overflow later.
        let by = terms
            .iter()
            .fold(right.abs(), |by, &(_, c)| num_integer::gcd(by, c.abs()))
            .max(1);
        self.rows.push(Row {
            terms: terms.into_iter().map(|(j, c)| (j, c / by)).collect(),
            sense,
            right: right / by,
        });
    }

    /// Returns the columns of a solution that costs less than `below`, the least there is;
    /// none if there is none. [`Settled::Open`] if that would take more work than allowed:
    /// the caller must not claim either.
    pub(super) fn least_below(&self, below: i128, stop: &dyn Fn() -> bool) -> Settled {
        // Cells touched by pivots: a count, so that every machine gives up at the same place.
        let mut work = MOST_WORK;
        let first = self.branch::<Ratio<i128>>(below, &mut work, stop);
        match first {
            Ok(found) => Settled::of(found.map(|x| {
                x.into_iter()
                    .map(|v| BigRational::new((*v.numer()).into(), (*v.denom()).into()))
                    .collect()
            })),
            Err(GaveUp::Work) => Settled::Open,
            Err(GaveUp::Overflow) => {
                // Numbers of any size cost about ten times as much a cell.
                let mut work = MOST_WORK / 10;
                match self.branch::<BigRational>(below, &mut work, stop) {
                    Ok(found) => Settled::of(found),
                    Err(_) => Settled::Open,
                }
            }
        }
    }

    fn branch<T: Exact>(
        &self,
        below: i128,
        work: &mut u64,
        stop: &dyn Fn() -> bool,
    ) -> Result<Option<Vec<T>>, GaveUp> {
        let mut best: Option<Vec<T>> = None;
        let mut limit = T::of(below);
        let mut open: Vec<Vec<Row>> = vec![Vec::new()];
        while let Some(extra) = open.pop() {
            if stop() {
                return Err(GaveUp::Work);
            }
            let Some((value, x)) = self.relaxed::<T>(&extra, work)? else {
                continue;
            };
            if value >= limit {
                continue;
            }
            let fractional = (0..x.len()).find(|&j| self.whole[j] && !x[j].is_whole());
            let Some(column) = fractional else {
                limit = value;
                best = Some(x);
                continue;
            };
            let floor = x[column].whole_part();
            let bound = |sense, right| Row {
                terms: vec![(column, 1)],
                sense,
                right,
            };
            let mut up = extra.clone();
            up.push(bound(Sense::AtLeast, floor + 1));
            let mut down = extra;
            down.push(bound(Sense::AtMost, floor));
            open.push(up);
            open.push(down);
        }
        Ok(best)
    }

    /// The program without whole numbers, with `extra` rows: value and columns.
    fn relaxed<T: Exact>(
        &self,
        extra: &[Row],
        work: &mut u64,
    ) -> Result<Option<(T, Vec<T>)>, GaveUp> {
        let columns = self.cost.len();
        let rows: Vec<&Row> = self.rows.iter().chain(extra).collect();
        let slacks = rows.iter().filter(|r| r.sense != Sense::Equal).count();
        let width = columns + slacks + rows.len() + 1;
        let mut table: Vec<Vec<T>> = Vec::with_capacity(rows.len());
        let mut basis = Vec::with_capacity(rows.len());
        let mut slack = columns;
        for (at, row) in rows.iter().enumerate() {
            let mut line = vec![T::of(0); width];
            let negative = row.right < 0;
            let sign = if negative { -1 } else { 1 };
            for &(column, coefficient) in &row.terms {
                line[column] = line[column].plus(&T::of(coefficient * sign))?;
            }
            line[width - 1] = T::of(row.right * sign);
            let mut start = columns + slacks + at;
            if row.sense != Sense::Equal {
                let up = (row.sense == Sense::AtMost) != negative;
                line[slack] = T::of(if up { 1 } else { -1 });
                if up {
                    start = slack;
                }
                slack += 1;
            }
            if start >= columns + slacks {
                line[start] = T::of(1);
            }
            basis.push(start);
            table.push(line);
        }
        let artificial = columns + slacks;
        let mut first = vec![T::of(0); width];
        for (line, &start) in table.iter().zip(&basis) {
            if start >= artificial {
                for (sum, v) in first.iter_mut().zip(line) {
                    *sum = sum.minus(v)?;
                }
            }
        }
        for j in artificial..width - 1 {
            first[j] = T::of(0);
        }
        // Artificial columns never come back in, so their prices do not matter.
        pivot_all(&mut table, &mut first, &mut basis, artificial, work)?;
        if first[width - 1] != T::of(0) {
            return Ok(None);
        }
        // Artificial columns still in at zero are exchanged for any other of their row.
        for at in 0..table.len() {
            if basis[at] >= artificial
                && let Some(column) = (0..artificial).find(|&j| !table[at][j].is_nil())
            {
                pivot(&mut table, &mut first, &mut basis, at, column)?;
            }
        }
        let mut second = vec![T::of(0); width];
        for (j, &cost) in self.cost.iter().enumerate() {
            second[j] = T::of(cost);
        }
        for (at, &column) in basis.iter().enumerate() {
            if column < columns && self.cost[column] != 0 {
                let price = T::of(self.cost[column]);
                for j in 0..width {
                    if !table[at][j].is_nil() {
                        second[j] = second[j].minus(&price.times(&table[at][j])?)?;
                    }
                }
            }
        }
        if !pivot_all(&mut table, &mut second, &mut basis, artificial, work)? {
            // Nothing here may fall for ever: every cost is met by a row. Be safe.
            return Ok(None);
        }
        let mut x = vec![T::of(0); columns];
        for (at, &column) in basis.iter().enumerate() {
            if column < columns {
                x[column] = table[at][width - 1].clone();
            }
        }
        Ok(Some((T::of(0).minus(&second[width - 1])?, x)))
    }
}

/// Pivots until no column can lower the value. False if it falls without end.
///
/// The steepest column first; after many pivots the first one (Bland's rule, R. G. Bland,
/// Mathematics of Operations Research 2 (1977), 103-107), which cannot cycle.
fn pivot_all<T: Exact>(
    table: &mut [Vec<T>],
    price: &mut [T],
    basis: &mut [usize],
    usable: usize,
    work: &mut u64,
) -> Result<bool, GaveUp> {
    let last = price.len() - 1;
    let mut turns = 0;
    loop {
        turns += 1;
        let cells = (table.len() * price.len()) as u64;
        *work = work.checked_sub(cells).ok_or(GaveUp::Work)?;
        let zero = T::of(0);
        let column = if turns < 200 {
            let mut best: Option<usize> = None;
            for j in 0..usable {
                if price[j] < zero && best.is_none_or(|b| price[j] < price[b]) {
                    best = Some(j);
                }
            }
            best
        } else {
            (0..usable).find(|&j| price[j] < zero)
        };
        let Some(column) = column else {
            return Ok(true);
        };
        let mut leave: Option<(usize, T)> = None;
        for at in 0..table.len() {
            if table[at][column] > zero {
                let ratio = table[at][last].over(&table[at][column])?;
                let better = match &leave {
                    None => true,
                    Some((old, least)) => {
                        ratio < *least || (ratio == *least && basis[at] < basis[*old])
                    }
                };
                if better {
                    leave = Some((at, ratio));
                }
            }
        }
        let Some((at, _)) = leave else {
            return Ok(false);
        };
        pivot(table, price, basis, at, column)?;
    }
}

fn pivot<T: Exact>(
    table: &mut [Vec<T>],
    price: &mut [T],
    basis: &mut [usize],
    at: usize,
    column: usize,
) -> Result<(), GaveUp> {
    let by = table[at][column].clone();
    for v in &mut table[at] {
        if !v.is_nil() {
            *v = v.over(&by)?;
        }
    }
    let line = table[at].clone();
    let clear = |row: &mut [T]| -> Result<(), GaveUp> {
        let times = row[column].clone();
        if times.is_nil() {
            return Ok(());
        }
        for (v, step) in row.iter_mut().zip(&line) {
            if !step.is_nil() {
                *v = v.minus(&times.times(step)?)?;
            }
        }
        Ok(())
    };
    for (other, row) in table.iter_mut().enumerate() {
        if other != at {
            clear(row)?;
        }
    }
    clear(price)?;
    basis[at] = column;
    Ok(())
}

/// Most cells touched for one program: some hundredths of a second.
const MOST_WORK: u64 = 400_000;

/// What is known of a program.
pub(super) enum Settled {
    /// Its least solution below the limit.
    Least(Vec<BigRational>),
    /// There is none below the limit, proved.
    Nothing,
    /// Neither was shown.
    Open,
}

impl Settled {
    fn of(found: Option<Vec<BigRational>>) -> Self {
        found.map_or(Self::Nothing, Self::Least)
    }
}

/// Why a program was left.
#[derive(Debug)]
enum GaveUp {
    /// A number did not fit.
    Overflow,
    /// It took more work than allowed, or the run was stopped.
    Work,
}

/// Fractions that say when they do not fit.
trait Exact: Clone + PartialOrd {
    fn of(value: i128) -> Self;
    fn plus(&self, other: &Self) -> Result<Self, GaveUp>;
    fn minus(&self, other: &Self) -> Result<Self, GaveUp>;
    fn times(&self, other: &Self) -> Result<Self, GaveUp>;
    fn over(&self, other: &Self) -> Result<Self, GaveUp>;
    fn is_nil(&self) -> bool;
    fn is_whole(&self) -> bool;
    /// Rounded down.
    fn whole_part(&self) -> i128;
}

impl Exact for Ratio<i128> {
    fn of(value: i128) -> Self {
        Self::from_integer(value)
    }
    fn plus(&self, other: &Self) -> Result<Self, GaveUp> {
        self.checked_add(other).ok_or(GaveUp::Overflow)
    }
    fn minus(&self, other: &Self) -> Result<Self, GaveUp> {
        self.checked_sub(other).ok_or(GaveUp::Overflow)
    }
    fn times(&self, other: &Self) -> Result<Self, GaveUp> {
        self.checked_mul(other).ok_or(GaveUp::Overflow)
    }
    fn over(&self, other: &Self) -> Result<Self, GaveUp> {
        self.checked_div(other).ok_or(GaveUp::Overflow)
    }
    fn is_nil(&self) -> bool {
        self.is_zero()
    }
    fn is_whole(&self) -> bool {
        self.is_integer()
    }
    fn whole_part(&self) -> i128 {
        self.floor().to_integer()
    }
}

impl Exact for BigRational {
    fn of(value: i128) -> Self {
        Self::from_integer(BigInt::from(value))
    }
    fn plus(&self, other: &Self) -> Result<Self, GaveUp> {
        Ok(self + other)
    }
    fn minus(&self, other: &Self) -> Result<Self, GaveUp> {
        Ok(self - other)
    }
    fn times(&self, other: &Self) -> Result<Self, GaveUp> {
        Ok(self * other)
    }
    fn over(&self, other: &Self) -> Result<Self, GaveUp> {
        Ok(self / other)
    }
    fn is_nil(&self) -> bool {
        self.is_zero()
    }
    fn is_whole(&self) -> bool {
        self.is_integer()
    }
    fn whole_part(&self) -> i128 {
        let floor = self.floor().to_integer();
        floor.to_i128().unwrap_or(if floor.is_negative() {
            i128::MIN / 2
        } else {
            i128::MAX / 2
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six foods in whole servings: the data of a numerical library's manual (routine
    /// h02bf), restated in the project's reference notes; fractions give 92.5, whole
    /// servings 97.
    #[test]
    fn six_foods_in_whole_servings_cost_97() {
        let foods: [(i128, i128, i128, i128, i128); 6] = [
            (3, 110, 4, 2, 4),
            (24, 205, 32, 12, 3),
            (13, 160, 13, 54, 2),
            (9, 160, 8, 285, 8),
            (20, 420, 4, 22, 2),
            (19, 260, 14, 80, 2),
        ];
        for (whole, twice) in [(true, 194), (false, 185)] {
            let mut problem = Problem::default();
            for &(cost, ..) in &foods {
                problem.column(cost, whole);
            }
            let row = |pick: fn(&(i128, i128, i128, i128, i128)) -> i128| {
                foods.iter().map(pick).enumerate().collect::<Vec<_>>()
            };
            problem.row(row(|f| f.1), Sense::AtLeast, 2000);
            problem.row(row(|f| f.2), Sense::AtLeast, 55);
            problem.row(row(|f| f.3), Sense::AtLeast, 800);
            for (j, food) in foods.iter().enumerate() {
                problem.row(vec![(j, 1)], Sense::AtMost, food.4);
            }
            let Settled::Least(x) = problem.least_below(1_000, &|| false) else {
                panic!("a diet exists");
            };
            let cost: BigRational = x
                .iter()
                .zip(&foods)
                .map(|(x, food)| x * BigRational::from_integer(food.0.into()))
                .sum();
            assert_eq!(
                cost * BigRational::from_integer(2.into()),
                BigRational::from_integer(twice.into())
            );
            let cheaper = problem.least_below(if whole { 97 } else { 92 }, &|| false);
            assert!(matches!(cheaper, Settled::Nothing));
        }
    }
}
