//! Minutes of work and the limits of a day on them.

use crate::engine::model::ceiling::Ceiling;
use std::ops::{Add, AddAssign, Mul, Sub, SubAssign};

/// Minutes, 1e-9.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Minutes {
    /// Those that need the cook.
    pub(in crate::engine) active: i64,
    /// Passive ones of batches at which the cook stays; nought where no wish limits or prices
    /// them.
    pub(in crate::engine) watched: i64,
}

impl Minutes {
    /// No minute that is watched.
    pub(in crate::engine) const fn active(active: i64) -> Self {
        Self { active, watched: 0 }
    }

    /// Whether there are none.
    pub(in crate::engine) fn is_none(self) -> bool {
        self == Self::default()
    }

    /// One thing after another.
    pub(in crate::engine) const fn in_kitchen(self) -> i64 {
        self.active + self.watched
    }
}

impl Add for Minutes {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            active: self.active + other.active,
            watched: self.watched + other.watched,
        }
    }
}

impl AddAssign for Minutes {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Minutes {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + other * -1
    }
}

impl SubAssign for Minutes {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Mul<i64> for Minutes {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self {
            active: self.active * times,
            watched: self.watched * times,
        }
    }
}

impl std::iter::Sum for Minutes {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), Self::add)
    }
}

/// The limits of one day.
#[derive(Clone, Copy, Debug, Default)]
pub(in crate::engine) struct DayLimit {
    /// On active minutes.
    pub(in crate::engine) active: Ceiling,
    /// On active and watched ones together.
    pub(in crate::engine) kitchen: Ceiling,
}

impl DayLimit {
    /// Whether there is any.
    pub(in crate::engine) const fn is_set(self) -> bool {
        self.active.is_set() || self.kitchen.is_set()
    }

    /// Whether so many are too many.
    pub(in crate::engine) fn passed(self, spent: Minutes) -> bool {
        self.active.passed(spent.active) || self.kitchen.passed(spent.in_kitchen())
    }

    /// How many active minutes more there may be, `all` of them without a limit; below nought
    /// where it is passed already.
    pub(in crate::engine) fn left(self, spent: Minutes, all: i64) -> i64 {
        let active = self.active.most().map(|most| most - spent.active);
        let kitchen = self.kitchen.most().map(|most| most - spent.in_kitchen());
        let least = active.into_iter().chain(kitchen).min();
        least.unwrap_or(all)
    }
}
