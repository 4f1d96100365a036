//! A way out of a conflict: what gives way, how it is told, and the week it allows.

use super::base::key;
use super::change::Change;
use super::desk::Answer;
use super::facts::brief;
use super::nearest::Nearest;
use super::rules::Rule;
use crate::engine::Solved;
use crate::explain::{How, WayOut, When};
use crate::larder::{Day, Larder, ShoppingTrip, limits};

/// Notches a rule is loosened by at most before it is given up.
const MOST_NOTCHES: u8 = 3;

/// What can be loosened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Lever {
    /// A rule.
    Rule(Rule),
    /// One more trip, on that day.
    Trip(Day),
}

impl Lever {
    /// As loose as it gets.
    pub(super) fn loosest(self) -> Change {
        match self {
            Self::Rule(rule) => Change::Drop(rule),
            Self::Trip(day) => Change::TripOn(day),
        }
    }

    /// What comes before that, the least first.
    pub(super) fn notches(self, larder: &Larder) -> impl Iterator<Item = Change> {
        let rule = match self {
            Self::Rule(rule) if rule.has_notches(larder) => Some(rule),
            _ => None,
        };
        (1..=MOST_NOTCHES).filter_map(move |notches| Some(Change::Loosen(rule?, notches)))
    }

    /// The change in words.
    pub(super) fn told(self, larder: &Larder, change: Change) -> How {
        match (self, change) {
            (Self::Rule(rule), Change::Loosen(_, notches)) => {
                How::Looser(rule.told_looser(larder, notches))
            }
            (Self::Rule(rule), Change::Limit(_, value)) => How::Looser(rule.told_at(larder, value)),
            (Self::Rule(rule), _) => How::Without(rule.told(larder)),
            (Self::Trip(day), _) => How::Trip(When::new(larder, day.into())),
        }
    }

    /// The changes with what each counts when the least is looked for: notches, and one more
    /// than the most of them for a rule given up.
    pub(super) fn steps(self, larder: &Larder) -> Vec<(u8, Change)> {
        let last = match self {
            Self::Rule(_) => MOST_NOTCHES + 1,
            Self::Trip(_) => 1,
        };
        let all = (1..).zip(self.notches(larder));
        all.chain([(last, self.loosest())]).collect()
    }
}

/// A way of one or two changes.
pub(super) struct Way<'a> {
    pub(super) by: &'a [(Lever, Change)],
    /// Of one change, what is known of it.
    pub(super) nearest: Option<&'a Nearest>,
}

/// A way out with a week it allows and the figures it is sorted by: those of the best week first.
/// None if no week is at hand.
pub(super) fn way_out(
    larder: &Larder,
    way: &Way,
    week: Option<&Solved>,
    answer: &Answer,
) -> Option<(Vec<i64>, WayOut)> {
    let week = week?;
    let told = brief(larder, &week.plan, &week.tally);
    let mut hows = (way.by.iter()).map(|&(lever, change)| lever.told(larder, change));
    let best = answer.best().is_some();
    let asked = match (way.nearest, way.by) {
        (Some(_), &[(Lever::Rule(rule), Change::Limit(..))]) => Some(rule.told(larder)),
        _ => None,
    };
    let way = WayOut {
        how: hows.next()?,
        and: hows.next(),
        asked,
        nearest: way.nearest.is_some_and(|nearest| nearest.proved),
        lunches: told
            .lunches
            .into_iter()
            .map(|lunch| (lunch.when, lunch.recipe))
            .collect(),
        sums: told.sums,
        best,
        least_nano: answer.bound_nano,
    };
    let mut rank = vec![i64::from(!best)];
    rank.extend(key(&larder.wishes.order, week));
    Some((rank, way))
}

/// The middle of the week, if no trip is made on it and one may be.
pub(super) fn middle(larder: &Larder) -> Option<Day> {
    let lunches = larder.week.lunches;
    let day = lunches.div_ceil(2);
    let (first, trips) = (larder.week.trips[0], &larder.week.trips);
    let made = |trip: &ShoppingTrip| trip.day == day && trip.shop == first.shop;
    let may = first.day < day && day < lunches && trips.len() < limits::TRIPS;
    (may && !trips.iter().any(made)).then_some(day)
}
