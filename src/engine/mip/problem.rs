//! A mixed integer program, and what may be spent on it.

/// Sense of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) enum Sense {
    AtMost,
    AtLeast,
    Equal,
}

/// `sum of coefficient * column  sense  right`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Row {
    pub(super) terms: Vec<(usize, i128)>,
    pub(super) sense: Sense,
    pub(super) right: i128,
}

/// Minimise `sum cost * column` over columns between zero and their upper bounds.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(in crate::engine) struct Problem {
    pub(super) cost: Vec<i128>,
    pub(super) upper: Vec<i128>,
    pub(super) whole: Vec<bool>,
    pub(super) rows: Vec<Row>,
}

/// A row that every whole solution keeps: `sum of coefficient * column >= least`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) struct Cover {
    pub(in crate::engine) terms: Vec<(usize, i128)>,
    pub(in crate::engine) least: i128,
}

/// What a program may use before it is given up.
pub(in crate::engine) struct Budget<'b> {
    /// Table cells touched.
    pub(in crate::engine) left: u64,
    /// Asked now and then; true means to give up.
    pub(in crate::engine) stop: &'b dyn Fn() -> bool,
}

impl Budget<'_> {
    pub(super) fn spend(&mut self, cells: u64) {
        self.left = self.left.saturating_sub(cells);
    }

    pub(super) fn ended(&self) -> bool {
        self.left == 0 || (self.stop)()
    }
}

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
}

fn gcd(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
