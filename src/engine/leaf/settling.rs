//! What is asked of one set of lunches, and what came of it.

use crate::engine::leaf::found::Found;
use crate::engine::leaf::splits::Proved;

/// How much is looked at of a set of lunches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) enum Extent {
    /// Few partial orders of days, until the first better week: for weeks to start from.
    FirstBetter,
    /// Few partial orders of days.
    FewOrders,
    /// Whatever may matter.
    Whole,
}

impl Extent {
    /// Partial orders of days looked at for one set at most, where they are few: of ten lunches
    /// there are many.
    const FEW: u32 = 2_000;

    /// Steps of choosing days and batches for one order of days: a week to start from is soon found, and what is
    /// left of its order is looked at later.
    const FIRST_STEPS: u32 = 100;
    const STEPS: u32 = 5_000;

    pub(in crate::engine) fn most_steps(self) -> u32 {
        match self {
            Self::FirstBetter => Self::FIRST_STEPS,
            Self::FewOrders | Self::Whole => Self::STEPS,
        }
    }

    fn most_orders(self) -> u32 {
        match self {
            Self::FirstBetter | Self::FewOrders => Self::FEW,
            Self::Whole => u32::MAX,
        }
    }
}

/// One set of lunches being settled: what is asked of it, and what came of it so far.
pub(in crate::engine) struct Settling<'b> {
    /// The best week of all sets, replaced by better ones of this.
    pub(in crate::engine) best: &'b mut Option<Found>,
    pub(in crate::engine) extent: Extent,
    /// Partial orders of days looked at.
    orders: u32,
    /// Where the exact program is asked how to divide lunches over batches: what it may cost.
    pub(in crate::engine) dividing: Option<Dividing>,
    /// Least floor of a week with divided lunches that was neither found nor ruled out, if any was
    /// not.
    pub(in crate::engine) undivided: Option<i64>,
}

impl<'b> Settling<'b> {
    pub(in crate::engine) fn new(best: &'b mut Option<Found>, extent: Extent) -> Self {
        Self {
            best,
            extent,
            orders: 0,
            dividing: None,
            undivided: None,
        }
    }

    /// Counts a partial order of days; false if there were enough of them.
    pub(in crate::engine) fn may_look_at_order(&mut self) -> bool {
        self.orders = self.orders.saturating_add(1);
        self.orders <= self.extent.most_orders()
    }
}

/// What may be spent on the exact program for one set of lunches, and what it proved of that.
pub(in crate::engine) struct Dividing {
    /// Work left: table cells.
    pub(in crate::engine) work_left: u64,
    /// The most of it for one program.
    pub(in crate::engine) most_each: u64,
    pub(in crate::engine) proved: Proved,
}
