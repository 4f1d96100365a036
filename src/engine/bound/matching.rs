//! Whether lunches can be given days of their own.
//!
//! Proof of what a node may ask. Lunches chosen that cannot all have a day at once can never have one
//! each. And where no choice of candidates beside them gives all days a lunch, no completion does. Both
//! are asked with one matching: candidates come in by augmenting paths, on which a lunch that had a
//! day keeps one (H. W. Kuhn, Naval Research Logistics Quarterly 2 (1955), 83-97, from memory). Days are bits, nothing is
//! rounded. The plain definition is every way of giving lunches days; the caller places what is chosen before candidates,
//! and a recipe as often as it may still come.

use crate::engine::model::day_sets::LunchDays;
use crate::larder::{Day, MOST_DAYS};

/// Lunches on different days.
#[derive(Default)]
pub(in crate::engine) struct Matching {
    /// By day: the days that its lunch may be served on; none where there is no lunch.
    lunches: [LunchDays; MOST_DAYS + 1],
}

impl Matching {
    /// Gives a lunch one of `days`, and others another one of theirs if need be; false if there is
    /// none to give.
    pub(in crate::engine) fn place(&mut self, days: LunchDays) -> bool {
        let mut seen = LunchDays::NONE;
        self.look(days, &mut seen)
    }

    fn look(&mut self, days: LunchDays, seen: &mut LunchDays) -> bool {
        for day in days.iter() {
            if seen.contains(day.into()) {
                continue;
            }
            *seen |= LunchDays::one(day.into());
            let other = self.lunches[usize::from(day)];
            if other.is_empty() || self.look(other, seen) {
                self.lunches[usize::from(day)] = days;
                return true;
            }
        }
        false
    }

    /// Takes a lunch that may be served on these days off its day, and returns that.
    pub(in crate::engine) fn take(&mut self, days: LunchDays) -> Option<Day> {
        let day = self.lunches.iter().position(|&lunch| lunch == days)?;
        self.lunches[day] = LunchDays::NONE;
        Some(day as Day)
    }

    /// Returns how many days have a lunch.
    pub(in crate::engine) fn count(&self) -> usize {
        self.lunches.iter().filter(|days| !days.is_empty()).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against every way of giving lunches days, one after the other.
    fn most(lunches: &[LunchDays], taken: LunchDays) -> usize {
        let Some((&days, rest)) = lunches.split_first() else {
            return 0;
        };
        let on = (1..=5).filter(|&day| days.contains(day) && !taken.contains(day));
        let best = on.map(|day| 1 + most(rest, taken | LunchDays::one(day)));
        let best = best.max();
        best.unwrap_or(0).max(most(rest, taken))
    }

    #[test]
    fn as_many_days_have_a_lunch_as_any_order_of_giving_them_brings() {
        let mut seed = 5_u32;
        for _ in 0..2_000 {
            let mut next = || {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                seed >> 16
            };
            let count = next() % 7;
            let mut days = || {
                let bits = next() & next();
                (1..=5).filter(|day| bits >> day & 1 != 0).collect()
            };
            let lunches: Vec<LunchDays> = (0..count).map(|_| days()).collect();
            let mut matching = Matching::default();
            let placed = lunches.iter().filter(|&&days| matching.place(days)).count();
            assert_eq!(placed, matching.count());
            assert_eq!(placed, most(&lunches, LunchDays::NONE), "{lunches:?}");
        }
    }
}
