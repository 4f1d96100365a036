//! Days and shopping trips as they are told.

use chrono::NaiveDate;

use crate::larder::{Contents, Larder, ShoppingTrip, Trip};

/// A day and its name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct When {
    /// Counted from the prep day, which is 0.
    pub day: i32,
    /// What it is called, see [`Calendar::name`](crate::larder::Calendar::name).
    pub name: String,
    /// Its date, where the week has one.
    pub date: Option<NaiveDate>,
}

impl When {
    /// Tells a day of a kitchen's week; the only way one is made.
    pub fn new(larder: &Contents, day: i32) -> Self {
        let calendar = larder.week.calendar;
        Self {
            day,
            name: calendar.name(day),
            date: calendar.date(day),
        }
    }
}

/// A shopping trip, made or not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TripFacts {
    /// Its day.
    pub when: When,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
}

impl TripFacts {
    pub(super) fn of(larder: &Larder, trip: &ShoppingTrip) -> Self {
        Self {
            when: When::new(larder, i32::from(trip.day)),
            shop: trip.shop.map(|shop| larder.shops[shop.index()].clone()),
        }
    }

    pub(super) fn new(larder: &Larder, trip: Trip) -> Self {
        Self::of(larder, &larder.week.trips[usize::from(trip)])
    }
}
