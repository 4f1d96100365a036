//! The shopping list on the page, a box to tick for every row, and what should be there already.

use super::super::{amounts, phrases, words};
use super::finished;
use super::lines::Tick;
use crate::explain::{Explanation, Measured, WeekFacts};

/// The section.
pub(super) struct Shop {
    pub(super) trips: Vec<Trip>,
    pub(super) total: String,
    pub(super) notes: Vec<String>,
    /// Staples with how much of them is used.
    pub(super) cupboard: Vec<(String, String)>,
    /// What is on hand and used.
    pub(super) there: Vec<(String, String)>,
}

impl Shop {
    /// All that can be ticked, as one text.
    pub(super) fn ticked(&self) -> String {
        let rows = self.trips.iter().flat_map(|trip| &trip.rows);
        let rows = rows.map(|row| format!("{} {}", row.name, row.what));
        rows.collect::<Vec<_>>().join("\n")
    }
}

/// A trip to the shop.
pub(super) struct Trip {
    pub(super) title: String,
    pub(super) rows: Vec<Tick>,
}

pub(super) fn shop(explanation: &Explanation, week: &WeekFacts) -> Shop {
    let (bill, _) = finished::bill(explanation, week);
    Shop {
        trips: trips(explanation, week),
        total: words::cash(bill, &explanation.currency),
        notes: finished::bought(explanation).into_iter().collect(),
        cupboard: cupboard(explanation, week),
        there: week
            .glance
            .house
            .iter()
            .map(|one| (one.food.clone(), words::mass(one.used_mg)))
            .collect(),
    }
}

fn trips(explanation: &Explanation, week: &WeekFacts) -> Vec<Trip> {
    let currency = &explanation.currency;
    let all = explanation.trips.iter().enumerate();
    all.map(|(trip, facts)| Trip {
        title: phrases::trip(facts),
        rows: week
            .purchases
            .iter()
            .filter(|row| row.trip == trip)
            .map(|row| Tick {
                name: row.food.clone(),
                what: phrases::buy_short(row),
                price: words::cash(row.price_minor, currency),
                days: words::days(&row.serves),
            })
            .chain(finished::to_buy(explanation, trip))
            .collect(),
    })
    .filter(|trip| !trip.rows.is_empty())
    .collect()
}

/// Staples of the week and its finishers; nobody looks whether there is water in the tap.
fn cupboard(explanation: &Explanation, week: &WeekFacts) -> Vec<(String, String)> {
    let mut all: Vec<(&str, Measured)> = week
        .staples
        .iter()
        .filter(|row| !row.tap)
        .map(|row| (row.food.as_str(), row.measured.clone()))
        .collect();
    for (food, amount) in finished::from_cupboard(explanation) {
        match all.iter_mut().find(|(name, _)| *name == food) {
            Some((_, known)) => known.mg += amount.mg,
            None => all.push((food, amount.clone())),
        }
    }
    all.into_iter()
        .map(|(food, amount)| (food.to_owned(), amounts::spooned(&amount)))
        .collect()
}
