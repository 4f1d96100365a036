//! What known uses of one food cost at the least, over all ways of buying and opening it.

use crate::engine::model::lots::{FoodModel, day_index};
use crate::engine::model::score::Weights;
use crate::engine::packs::way::{DAYS, Limited, Uses};
use crate::engine::packs::ways::{Request, ways};
use crate::larder::{Aim, Day, FoodId, Larder, Trip};

/// Steps of counting after which a question is given up: what is asked here is told beside a week, and many times.
const MOST_STEPS: u64 = 20_000;

/// One food, bought on some of the trips.
pub struct Buying<'a> {
    larder: &'a Larder,
    model: FoodModel,
    trips: u16,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Buying<'a> {
    /// Buys `food` on `trips` only; `stop` is asked now and then, true means give up.
    pub fn new(
        larder: &'a Larder,
        food: FoodId,
        trips: &[Trip],
        stop: &'a dyn Fn() -> bool,
    ) -> Self {
        let made = trips.iter().fold(0, |made, &trip| made | 1 << trip);
        Self {
            larder,
            model: FoodModel::new(larder, food),
            trips: made,
            stop,
        }
    }

    /// Returns the least price of packs that serve these milligrams by day, minor units; none if
    /// no packs do, or if it was given up.
    pub fn least_minor(&self, uses: &[(Day, i64)]) -> Option<i64> {
        let found = self.ways(&Weights::aim(Aim::Cost), uses, Limited::NONE);
        found.iter().map(|way| way.0).min()
    }

    /// Returns whether packs for at most so much serve these milligrams with nothing that spoils.
    pub fn serves_whole(&self, uses: &[(Day, i64)], most_minor: i64) -> bool {
        let whole = Limited {
            foods: false,
            ..Limited::ALL
        };
        let found = self.ways(&Weights::money(self.larder), uses, whole);
        found
            .iter()
            .any(|&(packs, spoiled)| packs <= most_minor && spoiled == 0)
    }

    /// Bill and value spoiled of the ways that may matter.
    fn ways(&self, weights: &Weights, uses: &[(Day, i64)], limited: Limited) -> Vec<(i64, i64)> {
        let mut by_day: Uses = [0; DAYS];
        for &(day, mg) in uses {
            by_day[day_index(day.into())] += mg;
        }
        let asked = Request {
            limited,
            steps: None,
            halted: self.stop,
            most_steps: Some(MOST_STEPS),
            known: Vec::new(),
        };
        let last = i32::from(self.larder.week.lunches);
        let found = ways(&self.model, weights, self.trips, &by_day, last, &asked);
        found
            .ways
            .iter()
            .map(|way| (way.packs, way.score.spoiled))
            .collect()
    }
}
