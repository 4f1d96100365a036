//! Sets of days of a week: 0 is the prep day, 1 the day of the first lunch.
//!
//! Both kinds say the same day by the same number; what is done on the days differs, and one does
//! not stand for the other: a lunch may be served on days on which nothing for it can be cooked.

use crate::larder::Day;
use std::marker::PhantomData;
use std::ops::{BitAnd, BitAndAssign, BitOr, BitOrAssign};

/// Days on which a lunch may be served, 1..=N.
pub(in crate::engine) type LunchDays = DaySet<Served>;

/// Days on which something may be cooked, opened or used, 0..=N.
pub(in crate::engine) type KitchenDays = DaySet<Used>;

/// Serving a lunch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(in crate::engine) enum Served {}

/// Using a food, in a lunch or a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(in crate::engine) enum Used {}

/// A set of days on which one thing is done; bit d is day d.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(in crate::engine) struct DaySet<What> {
    bits: u32,
    what: PhantomData<What>,
}

impl<What: Copy> DaySet<What> {
    /// No day.
    pub(in crate::engine) const NONE: Self = Self::of_bits(0);

    /// Every day of any week: what a limit leaves where there is none.
    pub(in crate::engine) const ANY: Self = Self::of_bits(u32::MAX);

    const fn of_bits(bits: u32) -> Self {
        Self {
            bits,
            what: PhantomData,
        }
    }

    /// One day.
    pub(in crate::engine) const fn one(day: i32) -> Self {
        Self::of_bits(1 << day)
    }

    /// Days `from..=until`, none if that is before it; neither below 0 nor beyond 30.
    pub(in crate::engine) const fn span(from: i32, until: i32) -> Self {
        if from > until {
            return Self::NONE;
        }
        Self::of_bits((2 << until) - (1 << from))
    }

    /// Days `from..=until` as far as they are in a week of `last` lunches.
    pub(in crate::engine) fn within(from: i32, until: i32, last: i32) -> Self {
        Self::span(from.max(0), until.min(last))
    }

    /// Whether it has a day.
    pub(in crate::engine) const fn contains(self, day: i32) -> bool {
        self.bits >> day & 1 != 0
    }

    /// Whether it has none.
    pub(in crate::engine) const fn is_empty(self) -> bool {
        self.bits == 0
    }

    /// How many days it has.
    pub(in crate::engine) const fn count(self) -> u32 {
        self.bits.count_ones()
    }

    /// Whether both have a day in common.
    pub(in crate::engine) const fn meets(self, other: Self) -> bool {
        self.bits & other.bits != 0
    }

    /// Whether all of its days are days of the other.
    pub(in crate::engine) const fn is_within(self, other: Self) -> bool {
        self.bits & !other.bits == 0
    }

    /// The first day; it has one.
    pub(in crate::engine) const fn first(self) -> Day {
        debug_assert!(self.bits != 0);
        self.bits.trailing_zeros() as Day
    }

    /// The last day; it has one.
    pub(in crate::engine) const fn last(self) -> Day {
        self.bits.ilog2() as Day
    }

    /// The only day, if it has one and no other.
    pub(in crate::engine) fn only(self) -> Option<Day> {
        self.bits.is_power_of_two().then(|| self.first())
    }

    /// Its days, rising.
    pub(in crate::engine) fn iter(self) -> impl Iterator<Item = Day> + Clone {
        std::iter::successors(Some(self.bits), |bits| Some(bits & bits.wrapping_sub(1)))
            .take_while(|&bits| bits != 0)
            .map(|bits| bits.trailing_zeros() as Day)
    }

    /// Choices of `count` of its days, later ones after earlier ones.
    pub(in crate::engine) fn choices(self, count: u32) -> impl Iterator<Item = Self> {
        let all = self.bits;
        let mut next = Some(0u32);
        std::iter::from_fn(move || {
            // The next larger subset, until one has the size asked for.
            loop {
                let here = next?;
                next = (here != all).then(|| here.wrapping_sub(all) & all);
                if here.count_ones() == count {
                    return Some(Self::of_bits(here));
                }
            }
        })
    }
}

impl<What> std::fmt::Debug for DaySet<What> {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{:#b}", self.bits)
    }
}

impl<What: Copy> Default for DaySet<What> {
    fn default() -> Self {
        Self::NONE
    }
}

impl<What: Copy> BitAnd for DaySet<What> {
    type Output = Self;
    fn bitand(self, other: Self) -> Self {
        Self::of_bits(self.bits & other.bits)
    }
}

impl<What: Copy> BitAndAssign for DaySet<What> {
    fn bitand_assign(&mut self, other: Self) {
        self.bits &= other.bits;
    }
}

impl<What: Copy> BitOr for DaySet<What> {
    type Output = Self;
    fn bitor(self, other: Self) -> Self {
        Self::of_bits(self.bits | other.bits)
    }
}

impl<What: Copy> BitOrAssign for DaySet<What> {
    fn bitor_assign(&mut self, other: Self) {
        self.bits |= other.bits;
    }
}

impl<What: Copy> FromIterator<i32> for DaySet<What> {
    fn from_iter<Days: IntoIterator<Item = i32>>(days: Days) -> Self {
        let days = days.into_iter();
        Self::of_bits(days.fold(0, |bits, day| bits | 1 << day))
    }
}

/// Days of any of several sets.
impl<What: Copy> std::iter::Sum for DaySet<What> {
    fn sum<Sets: Iterator<Item = Self>>(sets: Sets) -> Self {
        sets.fold(Self::NONE, |all, one| all | one)
    }
}

#[cfg(test)]
mod tests {
    use super::KitchenDays;
    use itertools::Itertools;

    /// Against lists of days.
    #[test]
    fn a_set_has_the_days_it_was_made_of() {
        for from in 0..=30 {
            for until in 0..=30 {
                let listed: Vec<i32> = (from..=until).collect();
                let span = KitchenDays::span(from, until);
                assert_eq!(span, listed.iter().copied().collect());
                assert_eq!(span.iter().map(i32::from).collect_vec(), listed);
                assert_eq!(span.is_empty(), listed.is_empty());
                assert_eq!(span.count() as usize, listed.len());
                assert!((0..=30).all(|day| span.contains(day) == listed.contains(&day)));
                if let Some((&first, &last)) = listed.first().zip(listed.last()) {
                    assert_eq!((span.first().into(), span.last().into()), (first, last));
                    assert_eq!(span.only().is_some(), first == last);
                }
                assert!(KitchenDays::within(from - 20, until, 14).is_within(span | week()));
            }
        }
    }

    fn week() -> KitchenDays {
        KitchenDays::span(0, 14)
    }

    #[test]
    fn choices_are_all_of_their_size() {
        let days = [0, 3, 4, 9, 14];
        let all: KitchenDays = days.into_iter().collect();
        for count in 0..=6 {
            let chosen: Vec<KitchenDays> = all.choices(count).collect();
            let listed = days.into_iter().combinations(count as usize);
            let mut listed: Vec<KitchenDays> =
                listed.map(|one| one.into_iter().collect()).collect();
            listed.sort_unstable();
            assert_eq!(chosen, listed);
        }
    }
}
