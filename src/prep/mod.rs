//! Turns a finished week into what is done when: every step of every lunch and batch, put into
//! stints (the prep day, mornings, evenings) and timed within each so that the cook stands in
//! the kitchen for as few minutes as there can be.
//!
//! [`mod@week`] says what there is to do, [`mod@bench`] times one stint exactly, [`prepare`]
//! chooses stints for what may be done ahead, [`notes()`] says what is to be seen to besides.
//! [`judge`] tests the result from larder and plan alone. `models/prep.md` has it in words and
//! symbols.

pub mod bench;
mod judge;
mod notes;
mod place;
mod timing;
pub mod week;

pub use judge::judge;
pub use notes::{Note, What, notes};
pub use place::prepare;
pub use timing::{Mistiming, mistimings};

use crate::larder::Day;
use crate::plan::Plan;
use week::{Of, Sitting};

/// A week with everything in it timed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prepared {
    /// Stints in which something is done, in time order.
    pub stints: Vec<Stint>,
    /// Minutes in the kitchen, all stints together.
    pub length: i64,
    /// No way of placing and timing the steps takes fewer; equal to `length` if proved.
    pub bound: i64,
    /// The plan with openings on the days on which the prep plan opens them.
    pub opened: Plan,
}

/// A stint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stint {
    /// Which.
    pub sitting: Sitting,
    /// By start, then as the week lists them.
    pub tasks: Vec<Task>,
    /// Minutes in the kitchen.
    pub length: i64,
    /// No timetable of these tasks is shorter; equal to `length` if proved.
    pub bound: i64,
}

/// Something done once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Task {
    /// The steps done by it: several if the same is done to one food for several lunches.
    pub parts: Vec<Part>,
    /// Minutes from the beginning of the stint.
    pub start: i64,
    /// Minutes that need the cook.
    pub active: i64,
    /// Minutes by itself behind them.
    pub passive: i64,
    /// Equipment held for both (a position in the larder's list), and how many.
    pub needs: Vec<(usize, i64)>,
    /// The earliest stint it may be done in, if that is before its day and not this one.
    pub as_early_as: Option<Sitting>,
}

/// A step of a lunch or a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    /// Whose.
    pub of: Of,
    /// Its position among the kitchen's steps; `None` where the kitchen wrote none.
    pub step: Option<usize>,
}

impl Stint {
    /// Returns the day.
    pub fn day(&self) -> Day {
        week::day_of(self.sitting)
    }
}

impl Task {
    /// When the cook is done with it.
    pub fn done(&self) -> i64 {
        self.start + self.active
    }

    /// When it is over.
    pub fn end(&self) -> i64 {
        self.done() + self.passive
    }
}
