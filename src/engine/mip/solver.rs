//! A small solver for mixed integer programs, proved without trusting its own arithmetic.
//!
//! Linear relaxations are solved in floating point (a dual simplex on a dense table with
//! bounds on every column), and nothing they say is believed: the dual values are rounded
//! to fractions with a fixed denominator, and the bound they give is added up again in
//! whole numbers. For any dual values y of the right signs,
//!
//! `y b + sum over columns of min(0, cost - y A) * upper bound`
//!
//! is below every solution (weak duality; A. Neumaier and O. Shcherbina, Mathematical
//! Programming 99 (2004), 283-296). With costs of zero the same sum above zero proves that
//! there is no solution at all. Solutions are priced by the caller, in whole numbers too.
//! So rounding can make the solver give up, and never make it wrong.

use std::rc::Rc;

/// Sense of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) enum Sense {
    AtMost,
    AtLeast,
    Equal,
}

/// `sum of coefficient * column  sense  right`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Row {
    terms: Vec<(usize, i128)>,
    sense: Sense,
    right: i128,
}

/// Minimise `sum cost * column` over columns between zero and their upper bounds.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(in crate::engine) struct Problem {
    cost: Vec<i128>,
    upper: Vec<i128>,
    whole: Vec<bool>,
    rows: Vec<Row>,
}

/// A row that every whole solution keeps: `sum of coefficient * column >= least`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) struct Cover {
    pub(in crate::engine) terms: Vec<(usize, i128)>,
    pub(in crate::engine) least: i128,
}

/// What is known of a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) enum Settled {
    /// No solution is better than the best the caller has priced, but for the slack.
    Proved,
    /// That was not shown.
    Open,
}

/// Rounds of rows that the relaxation breaks.
const MOST_ROUNDS: usize = 6;
/// By how much a row of small whole numbers counts as broken.
const BROKEN: f64 = 0.01;
/// Cells of tables kept for later: some tens of megabytes.
const MOST_CELLS: usize = 4_000_000;
/// Pivots before a table is worked out anew.
const MOST_PIVOTS: usize = 400;
/// Times that dual values are bettered where they leave a gap.
const REFINED: usize = 3;
/// Times that a table is worked out anew at one node because reduced costs have lost their signs.
const MOST_MENDED: usize = 3;
/// Pivots at one node before giving up on it.
const MOST_TURNS: usize = 2_000;
/// Turns between two looks at the clock.
const ASKED: usize = 64;
/// Bounds on top of one another before giving up.
const MOST_DEEP: usize = 400;
/// Bounds widened at one node before giving up.
const MOST_WIDENED: usize = 30;
/// Least size of a pivot, in scaled cells, and what counts as nothing in them.
const SMALLEST: f64 = 1e-8;
const NOTHING: f64 = 1e-12;
/// Size of a cell that a column is put into the basis on before others are.
const SOUND: f64 = 1e-6;
/// A column counts as whole within this.
const NEAR: f64 = 1e-6;

impl Problem {
    /// Adds a column and returns its position.
    pub(in crate::engine) fn column(&mut self, cost: i128, whole: bool, upper: i128) -> usize {
        self.cost.push(cost);
        self.whole.push(whole);
        self.upper.push(upper);
        self.cost.len() - 1
    }

    /// Adds a row.
    pub(in crate::engine) fn row(&mut self, terms: Vec<(usize, i128)>, sense: Sense, right: i128) {
        let by = terms.iter().fold(0, |by, &(_, c)| gcd(by, c.abs()));
        let by = gcd(by, right.abs()).max(1);
        self.rows.push(Row {
            terms: terms.into_iter().map(|(j, c)| (j, c / by)).collect(),
            sense,
            right: right / by,
        });
    }

    /// Returns the cells of its table.
    pub(in crate::engine) fn cells(&self) -> u64 {
        (self.rows.len() * (self.cost.len() + self.rows.len())) as u64
    }

    /// Adds those of `covers`, which hold for all whole solutions, that the fractions of the
    /// relaxation break: again and again, until they break none. What is done is taken off the budget.
    pub(in crate::engine) fn tighten(&mut self, mut covers: Vec<Cover>, budget: &mut Budget) {
        for _ in 0..MOST_ROUNDS {
            if covers.is_empty() {
                return;
            }
            let mut table = Table::new(self);
            if !matches!(table.solve(budget), Solved::Least) {
                return;
            }
            let missing = |cover: &Cover| {
                let terms = cover.terms.iter();
                let sum: f64 = terms.map(|&(j, c)| table.value(j) * c as f64).sum();
                cover.least as f64 - sum
            };
            let (broken, rest): (Vec<Cover>, Vec<Cover>) = std::mem::take(&mut covers)
                .into_iter()
                .partition(|cover| missing(cover) > BROKEN);
            if broken.is_empty() {
                return;
            }
            covers = rest;
            for cover in broken {
                self.row(cover.terms, Sense::AtLeast, cover.least);
            }
        }
    }

    /// Searches for solutions below `below`, or for all if there is no such value. Each one found
    /// is handed to `price`, which returns the value from which on solutions no longer matter. `slack` is what a
    /// solution may be better and still not matter. What is done is taken off the budget: a count, so
    /// that every machine gives up at the same place.
    pub(in crate::engine) fn search(
        &self,
        below: Option<i128>,
        slack: i128,
        budget: &mut Budget,
        price: &mut dyn FnMut(&[f64]) -> Option<i128>,
    ) -> Settled {
        let mut search = Search {
            problem: self,
            below,
            slack,
            budget,
            open: false,
        };
        // What is left for later keeps its table while there is room, and bounds alone beyond.
        let root = Table::new(self);
        let room = MOST_CELLS / root.cells.len().max(1);
        let mut table = root.clone();
        let mut path: Vec<Bound> = Vec::new();
        let mut stack: Vec<Later> = Vec::new();
        loop {
            if search.budget.ended() || path.len() > MOST_DEEP {
                return Settled::Open;
            }
            if let Some(Branch { column, at }) = search.node(&mut table, price) {
                let down = Bound::AtMost(column, at);
                let up = Bound::AtLeast(column, at + 1.0);
                // The nearer side first.
                let (first, second) = if table.value(column) - at < 0.5 {
                    (down, up)
                } else {
                    (up, down)
                };
                let mut bounds = path.clone();
                bounds.push(second);
                let table_later = (stack.len() < room).then(|| {
                    let mut later = table.clone();
                    later.hold(second);
                    later
                });
                stack.push(Later {
                    bounds,
                    table: table_later,
                });
                path.push(first);
                table.hold(first);
                continue;
            }
            if search.open {
                return Settled::Open;
            }
            let Some(next) = stack.pop() else {
                return Settled::Proved;
            };
            table = next.table.unwrap_or_else(|| {
                let mut table = root.clone();
                next.bounds.iter().for_each(|&bound| table.hold(bound));
                table
            });
            path = next.bounds;
        }
    }
}

/// A part of the search left for later.
struct Later {
    bounds: Vec<Bound>,
    table: Option<Table>,
}

/// A bound that branching adds.
#[derive(Clone, Copy)]
enum Bound {
    AtMost(usize, f64),
    AtLeast(usize, f64),
}

/// A whole column to branch on: at most `at`, or more.
struct Branch {
    column: usize,
    at: f64,
}

/// What a program may use before it is given up.
pub(in crate::engine) struct Budget<'b> {
    /// Table cells touched.
    pub(in crate::engine) left: u64,
    /// Asked now and then; true means to give up.
    pub(in crate::engine) stop: &'b dyn Fn() -> bool,
}

impl Budget<'_> {
    fn spend(&mut self, cells: u64) {
        self.left = self.left.saturating_sub(cells);
    }

    fn ended(&self) -> bool {
        self.left == 0 || (self.stop)()
    }
}

struct Search<'p, 'b> {
    problem: &'p Problem,
    below: Option<i128>,
    slack: i128,
    budget: &'p mut Budget<'b>,
    open: bool,
}

impl Search<'_, '_> {
    /// Whether nothing above the bound, if there is one, matters.
    fn reached(&self, bound: Option<i128>) -> bool {
        let both = bound.zip(self.below);
        both.is_some_and(|(bound, below)| bound >= below - self.slack)
    }

    /// The whole column furthest from a whole number, by at least `near`, that is not settled yet.
    fn branch(&self, table: &Table, near: f64) -> Option<Branch> {
        let problem = self.problem;
        let mut pick: Option<(f64, Branch)> = None;
        for column in (0..problem.cost.len()).filter(|&column| problem.whole[column]) {
            let (lower, upper) = table.bounds(column);
            let value = table.value(column);
            let off = (value - value.round()).abs();
            if lower < upper && off >= near && pick.as_ref().is_none_or(|(most, _)| off > *most) {
                let at = value.floor().clamp(lower, upper - 1.0);
                pick = Some((off, Branch { column, at }));
            }
        }
        pick.map(|(_, branch)| branch)
    }

    /// Whether a bound is far below what the values of the table cost.
    fn falls_short(&self, table: &Table, bound: Option<i128>) -> bool {
        let costs = self.problem.cost.iter().enumerate();
        let costs = costs.map(|(column, &cost)| table.value(column) * cost as f64);
        let value: f64 = costs.sum();
        bound.is_none_or(|bound| value - bound as f64 > self.slack as f64 + 1e-9 * value.abs())
    }

    /// Branches on any column that is not settled yet; where all are, nothing was shown.
    fn branch_on_any(&mut self, table: &Table) -> Option<Branch> {
        let branch = self.branch(table, 0.0);
        self.open |= branch.is_none();
        branch
    }

    /// Settles a node, or returns where to branch.
    fn node(
        &mut self,
        table: &mut Table,
        price: &mut dyn FnMut(&[f64]) -> Option<i128>,
    ) -> Option<Branch> {
        let mut bounds = table.lower.iter().zip(&table.upper);
        if bounds.any(|(lower, upper)| lower > upper) {
            return None;
        }
        let mut solved = table.solve(self.budget);
        for _ in 0..MOST_WIDENED {
            let Solved::Impossible(row) = solved else {
                break;
            };
            if self.shown_impossible(table, row) {
                return None;
            }
            if table.pivots > 0 {
                let cells = (table.renew() * table.reduced.len()) as u64;
                self.budget.spend(cells);
                solved = table.solve(self.budget);
                continue;
            }
            // Outside its bounds by no more than rounding, it seems. Letting it be can only
            // lower the bound, which is added up with the true bounds anyway.
            table.widen(row);
            solved = table.solve(self.budget);
        }
        match solved {
            // What was not shown here may be shown of its parts.
            Solved::Impossible(_) | Solved::Trouble => self.branch_on_any(table),
            Solved::Least => {
                let mut bound = self.dual_bound(table, 0);
                if !self.reached(bound) && table.pivots > 0 && self.falls_short(table, bound) {
                    // Rounding has added up: the bound is not that of these values.
                    let touched = table.renew() * table.reduced.len();
                    self.budget.spend(touched as u64);
                    if !matches!(table.solve(self.budget), Solved::Least) {
                        return self.branch_on_any(table);
                    }
                    bound = self.dual_bound(table, 0);
                }
                if self.reached(bound) {
                    return None;
                }
                if let Some(branch) = self.branch(table, NEAR) {
                    return Some(branch);
                }
                let problem = self.problem;
                let x: Vec<f64> = (0..problem.cost.len()).map(|j| table.value(j)).collect();
                self.below = match (self.below, price(&x)) {
                    (Some(old), Some(new)) => Some(old.min(new)),
                    (old, new) => old.or(new),
                };
                if self.reached(self.dual_bound(table, REFINED)) {
                    return None;
                }
                // A column that is near a whole number may hide what its pack lacks: with units of
                // a kilogram a milligram is less than `NEAR`.
                self.branch_on_any(table)
            }
        }
    }

    /// Whether the row that cannot be met proves that there is no solution.
    fn shown_impossible(&self, table: &Table, row: usize) -> bool {
        let ray = table.ray(row);
        let size = ray.iter().fold(0.0f64, |size, y| size.max(y.abs()));
        if size == 0.0 {
            return false;
        }
        // As fine as the numbers allow: a large factor leaves rounding small, but not every
        // sum fits.
        let powers = [96, 88, 80, 72, 64, 56, 48, 40];
        [0, REFINED].into_iter().any(|refined| {
            powers.into_iter().any(|power| {
                [1.0, -1.0].iter().any(|sign| {
                    let factor = sign * f64::from(power).exp2() / size;
                    let ray: Vec<f64> = ray.iter().map(|y| y * factor).collect();
                    let bound = self.bound(table, &ray, 0, (refined, Some(row)));
                    bound.is_some_and(|bound| bound > 0)
                })
            })
        })
    }

    /// The bound of the table's dual values, as fine as the numbers allow.
    fn dual_bound(&self, table: &Table, refined: usize) -> Option<i128> {
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
    ) -> Option<i128> {
        let too_large = |dual: &f64| dual.is_nan() || dual.abs() > 1e30;
        if duals.iter().any(too_large) {
            return None;
        }
        let rounded = duals.iter().map(|dual| dual.round() as i128);
        let mut duals: Vec<i128> = rounded.collect();
        let mut best = None;
        for turn in 0..=refined {
            for (dual, row) in duals.iter_mut().zip(&self.problem.rows) {
                match row.sense {
                    Sense::AtMost => *dual = (*dual).min(0),
                    Sense::AtLeast => *dual = (*dual).max(0),
                    Sense::Equal => {}
                }
            }
            let Some((bound, left)) = self.add_up(table, &duals, costs) else {
                break;
            };
            best = best.max(Some(bound));
            if turn < refined && !table.refine(&mut duals, &left, row) {
                break;
            }
        }
        best
    }

    /// Adds up the bound of dual values in whole numbers, costs taken `costs` times (0 asks for
    /// a proof that there is no solution), with what is left of each column's cost; none if the
    /// numbers grow too large.
    fn add_up(&self, table: &Table, duals: &[i128], costs: i128) -> Option<(i128, Vec<i128>)> {
        let problem = self.problem;
        let mut left: Vec<i128> = problem
            .cost
            .iter()
            .map(|&cost| cost.checked_mul(costs))
            .collect::<Option<_>>()?;
        let mut sum: i128 = 0;
        for (row, &y) in problem.rows.iter().zip(duals).filter(|(_, y)| **y != 0) {
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
            let side = side.round() as i128;
            sum = sum.checked_add(reduced.checked_mul(side)?)?;
        }
        Some((sum.div_euclid(costs.max(1)), left))
    }
}

enum Solved {
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
struct Table {
    given: Rc<Given>,
    /// Pivots since it was last worked out from what was given.
    pivots: usize,
    rows: usize,
    columns: usize,
    cells: Vec<f64>,
    /// Values of basic columns.
    values: Vec<f64>,
    basis: Vec<usize>,
    /// Row of a basic column.
    place: Vec<Option<usize>>,
    reduced: Vec<f64>,
    /// How far a reduced cost may be on the wrong side of zero.
    trifle: f64,
    lower: Vec<f64>,
    upper: Vec<f64>,
    at_upper: Vec<bool>,
    /// Column values are true values times this; rows likewise.
    scale: Vec<f64>,
    row_scale: Vec<f64>,
}

/// Nearest power of two.
fn power(value: f64) -> f64 {
    if value > 0.0 && value.is_finite() {
        value.log2().round().exp2()
    } else {
        1.0
    }
}

impl Table {
    fn new(problem: &Problem) -> Self {
        let (rows, columns) = (problem.rows.len(), problem.cost.len());
        let width = columns + rows;
        // Equilibrate: a column x stands for x times its scale.
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
    fn renew(&mut self) -> usize {
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
    fn settle(&mut self) -> bool {
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
    fn signs_hold(&self) -> bool {
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
    fn hold(&mut self, bound: Bound) {
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
    fn bounds(&self, column: usize) -> (f64, f64) {
        let true_bound = |bound: f64| (bound / self.scale[column]).round();
        (
            true_bound(self.lower[column]),
            true_bound(self.upper[column]),
        )
    }

    /// True value of a column.
    fn value(&self, column: usize) -> f64 {
        let value = match self.place[column] {
            Some(row) => self.values[row],
            None if self.at_upper[column] => self.upper[column],
            None => self.lower[column],
        };
        value / self.scale[column]
    }

    /// Dual values of the rows as they were given.
    fn duals(&self) -> Vec<f64> {
        (0..self.rows)
            .map(|r| -self.reduced[self.columns + r] * self.row_scale[r])
            .collect()
    }

    /// Moves the bound that a row's column is outside of to where the column is.
    fn widen(&mut self, row: usize) {
        let (column, value) = (self.basis[row], self.values[row]);
        self.lower[column] = self.lower[column].min(value);
        self.upper[column] = self.upper[column].max(value);
    }

    /// Row multipliers that make up table row `row`.
    fn ray(&self, row: usize) -> Vec<f64> {
        let width = self.columns + self.rows;
        (0..self.rows)
            .map(|r| self.cells[row * width + self.columns + r] * self.row_scale[r])
            .collect()
    }

    /// Adds to dual values what makes up for what is `left` of the cost of basic columns, which is
    /// nothing but for rounding; `false` if nothing changed. For the multipliers of a row that
    /// cannot be met, that row's column is left as it is. (Iterative refinement: A. M. Gleixner,
    /// D. E. Steffy and K. Wolter, INFORMS Journal on Computing 28 (2016), 449-464.)
    fn refine(&self, duals: &mut [i128], left: &[i128], row: Option<usize>) -> bool {
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
    fn solve(&mut self, budget: &mut Budget) -> Solved {
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
            let mut leaves: Option<(f64, usize)> = None;
            for row in 0..self.rows {
                let column = self.basis[row];
                let value = self.values[row];
                let near = 1e-8 * (1.0 + value.abs());
                let off = (self.lower[column] - value).max(value - self.upper[column]);
                let first = |row: usize| column < self.basis[row];
                let before = |&(most, other): &(f64, usize)| {
                    if circles { first(other) } else { off > most }
                };
                if off > near && leaves.as_ref().is_none_or(before) {
                    leaves = Some((off, row));
                }
            }
            let Some((_, row)) = leaves else {
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
                    && enters.is_none_or(|(largest, _)| !circles && size > largest)
                {
                    enters = Some((size, column));
                }
            }
            let Some((_, column)) = enters else {
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

fn gcd(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    fn work(left: u64) -> Budget<'static> {
        Budget {
            left,
            stop: &|| false,
        }
    }

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
            for &(cost, .., most) in &foods {
                problem.column(2 * cost, whole, most);
            }
            let row = |pick: fn(&(i128, i128, i128, i128, i128)) -> i128| {
                foods.iter().map(pick).enumerate().collect::<Vec<_>>()
            };
            problem.row(row(|f| f.1), Sense::AtLeast, 2000);
            problem.row(row(|f| f.2), Sense::AtLeast, 55);
            problem.row(row(|f| f.3), Sense::AtLeast, 800);
            let value = |x: &[f64]| -> f64 {
                x.iter()
                    .zip(&foods)
                    .map(|(x, f)| 2.0 * x * f.0 as f64)
                    .sum()
            };
            let mut best = f64::MAX;
            let mut price = |x: &[f64]| {
                best = best.min(value(x));
                Some(best.round() as i128)
            };
            let settled = problem.search(Some(1_000), 0, &mut work(1_000_000), &mut price);
            assert_eq!(settled, Settled::Proved);
            assert!((best - f64::from(twice)).abs() < 1e-6);
            let mut found = false;
            let mut price = |_: &[f64]| {
                found = true;
                Some(0)
            };
            let settled = problem.search(Some(twice.into()), 0, &mut work(1_000_000), &mut price);
            assert_eq!((settled, found), (Settled::Proved, false));
        }
    }

    /// Three halves do not make a whole number: no solution, shown by branching alone.
    #[test]
    fn what_is_impossible_in_whole_numbers_is_shown_so() {
        let mut problem = Problem::default();
        for _ in 0..3 {
            problem.column(1, true, 5);
        }
        problem.row(vec![(0, 2), (1, 2), (2, 2)], Sense::Equal, 3);
        let settled = problem.search(None, 0, &mut work(1_000_000), &mut |_| {
            unreachable!("no solution")
        });
        assert_eq!(settled, Settled::Proved);
        let mut problem = Problem::default();
        problem.column(1, false, 5);
        problem.row(vec![(0, 1)], Sense::AtLeast, 6);
        let settled = problem.search(None, 0, &mut work(1_000_000), &mut |_| {
            unreachable!("no solution")
        });
        assert_eq!(settled, Settled::Proved);
    }

    /// Random programs of whole columns, with figures from ones to hundreds of millions in one
    /// row as in the kitchen's own, against trying every choice.
    #[test]
    fn random_programs_end_as_trying_everything_says() {
        let mut seed = 7u64;
        let mut next = move |below: i128| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            i128::from(seed >> 33) % below
        };
        let (mut proved, mut without) = (0, 0);
        for _ in 0..400 {
            let mut problem = Problem::default();
            let columns = 5;
            for _ in 0..columns {
                problem.column(next(2_000) - 500, true, 1 + next(3));
            }
            for _ in 0..5 {
                let size = [1, 1_000, 400_000, 300_000_000][next(4) as usize];
                let mut terms = Vec::new();
                for column in 0..columns {
                    if next(3) > 0 {
                        let by = if next(3) == 0 { 1 } else { size };
                        terms.push((column, (next(9) - 3) * by + next(2)));
                    }
                }
                let sense = [Sense::AtMost, Sense::AtLeast][next(2) as usize];
                problem.row(terms, sense, (next(13) - 2) * size);
            }
            let value =
                |x: &[i128]| -> i128 { x.iter().zip(&problem.cost).map(|(x, c)| x * c).sum() };
            let holds = |x: &[i128]| {
                problem.rows.iter().all(|row| {
                    let sum: i128 = row.terms.iter().map(|&(j, c)| c * x[j]).sum();
                    match row.sense {
                        Sense::AtMost => sum <= row.right,
                        Sense::AtLeast => sum >= row.right,
                        Sense::Equal => sum == row.right,
                    }
                })
            };
            let all: i128 = problem.upper.iter().map(|most| most + 1).product();
            let tried = (0..all).filter_map(|mut number| {
                let digit = |most: &i128| {
                    let digit = number % (most + 1);
                    number /= most + 1;
                    digit
                };
                let x: Vec<i128> = problem.upper.iter().map(digit).collect();
                holds(&x).then(|| value(&x))
            });
            let least = tried.min();
            let mut found = None;
            let mut price = |x: &[f64]| {
                let x: Vec<i128> = x.iter().map(|x| x.round() as i128).collect();
                if holds(&x) {
                    found = Some(found.map_or(value(&x), |old: i128| old.min(value(&x))));
                }
                found
            };
            let settled = problem.search(None, 0, &mut work(100_000_000), &mut price);
            if settled == Settled::Proved {
                assert_eq!(found, least);
                proved += 1;
                without += i32::from(least.is_none());
            }
        }
        assert!(proved > 380 && without > 40, "{proved} {without}");
    }

    /// A basis that has lost a column, as rounding may make one, is mended with a slack.
    #[test]
    fn a_basis_whose_columns_depend_on_each_other_is_mended() {
        let mut problem = Problem::default();
        for _ in 0..2 {
            problem.column(1, false, 9);
        }
        problem.row(vec![(0, 1), (1, 1)], Sense::AtLeast, 4);
        problem.row(vec![(0, 2), (1, 2)], Sense::AtMost, 12);
        let mut table = Table::new(&problem);
        for (row, column) in [(0, 0), (1, 1)] {
            table.place[table.basis[row]] = None;
            table.basis[row] = column;
            table.place[column] = Some(row);
        }
        table.renew();
        assert_eq!(table.basis.iter().filter(|&&column| column < 2).count(), 1);
        assert!(matches!(table.solve(&mut work(1_000_000)), Solved::Least));
        assert!((table.value(0) + table.value(1) - 4.0).abs() < 1e-9);
    }

    /// Programs of fractions, some of which have no solution.
    fn fractions(next: &mut impl FnMut(usize) -> usize) -> Problem {
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

    /// A table worked out anew stands where pivots had brought it: on the same basis, with the
    /// same values, wherever columns outside the basis were said to stand.
    #[test]
    fn a_table_worked_out_anew_stands_where_it_stood() {
        let mut next = crate::engine::model::samples::numbers(3);
        let (mut least, mut without) = (0, 0);
        for _ in 0..500 {
            let problem = fractions(&mut next);
            let mut table = Table::new(&problem);
            match table.solve(&mut work(1_000_000)) {
                Solved::Least => least += 1,
                Solved::Impossible(_) => {
                    without += 1;
                    continue;
                }
                Solved::Trouble => continue,
            }
            let basis = |table: &Table| {
                let mut basis = table.basis.clone();
                basis.sort_unstable();
                basis
            };
            let before = basis(&table);
            let moved = before != (table.columns..table.columns + table.rows).collect::<Vec<_>>();
            assert!(table.pivots > 0 || !moved);
            let values = |table: &Table| (0..table.columns).map(|j| table.value(j)).collect();
            let old: Vec<f64> = values(&table);
            table.at_upper.fill(false);
            table.renew();
            assert_eq!(table.pivots, 0);
            assert_eq!(basis(&table), before);
            let new: Vec<f64> = values(&table);
            for (old, new) in old.iter().zip(&new) {
                assert!((old - new).abs() < 1e-6, "{old} {new}");
            }
        }
        assert!(least > 200 && without > 50, "{least} {without}");
    }

    /// A bound is widened to where the column is, and the other bound is left alone: what is cut
    /// off by mistake would be cut off from the proof as well.
    #[test]
    fn widening_cuts_nothing_off() {
        let mut problem = Problem::default();
        problem.column(1, true, 9);
        problem.row(vec![(0, 1)], Sense::AtMost, 5);
        let mut table = Table::new(&problem);
        table.lower[1] = 2.0;
        table.upper[1] = 4.0;
        for (value, bounds) in [(3.0, (2.0, 4.0)), (1.0, (1.0, 4.0)), (6.0, (1.0, 6.0))] {
            table.values[0] = value;
            table.widen(0);
            assert_eq!((table.lower[1], table.upper[1]), bounds);
        }
    }

    /// Of rows that whole solutions keep, those that fractions break come in, and no others; the
    /// relaxation then keeps them.
    #[test]
    fn rows_that_fractions_break_come_in() {
        let mut problem = Problem::default();
        for cost in [7, 5] {
            problem.column(cost, true, 9);
        }
        // Half a pack of the second would do; a whole one must be bought.
        problem.row(vec![(0, 10), (1, 8)], Sense::AtLeast, 4);
        let cover = |terms: Vec<(usize, i128)>| Cover { terms, least: 1 };
        let covers = vec![cover(vec![(0, 1), (1, 1)]), cover(vec![(0, 2), (1, 2)])];
        problem.tighten(covers, &mut work(1_000_000));
        assert_eq!(problem.rows.len(), 2);
        let mut table = Table::new(&problem);
        assert!(matches!(table.solve(&mut work(1_000_000)), Solved::Least));
        assert!((table.value(0) + table.value(1) - 1.0).abs() < 1e-6);
    }

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
        let mut budget = work(1);
        let solved = Table::new(&problem).solve(&mut budget);
        assert!(matches!(solved, Solved::Trouble));
        assert_eq!(budget.left, 0);
    }
}
