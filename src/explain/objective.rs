//! Turns the judge's sums into the parts of the one-currency objective, to the last
//! thousand-millionth: the parts add up to the total.

use crate::larder::{Aim, NANO, Wishes};
use crate::rules::Tally;

/// The objective and what it is made of, all in 1e-9 minor units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Parts {
    /// Price of the packs bought.
    pub packs_nano: i64,
    /// Staples used, pro rata.
    pub staples_nano: i64,
    /// Value of what spoils, times its weight.
    pub spoiled_nano: i64,
    /// Counted foods bought, at the price put on each.
    pub foods_nano: i64,
    /// Active minutes, at the price put on each.
    pub minutes_nano: i64,
    /// Watched minutes, at the price put on each; `None` without one.
    pub watched_nano: Option<i64>,
    /// Trips after the first, at the price put on each.
    pub trips_nano: i64,
    /// Day preferences, and the price on recipes served again after a former week.
    pub preferences_nano: i64,
    /// Credit for what is kept: zero or below.
    pub carry_nano: i64,
    /// The judge's total.
    pub total_nano: i64,
}

impl Parts {
    pub(super) fn new(wishes: &Wishes, tally: &Tally) -> Self {
        Self {
            packs_nano: tally.packs_minor * NANO,
            staples_nano: tally.staples_nano,
            spoiled_nano: tally.spoil_cost_nano,
            foods_nano: tally.foods * wishes.food_price_minor * NANO,
            minutes_nano: tally.minutes_nano * wishes.minute_price_minor,
            watched_nano: (wishes.watch_price_minor > 0)
                .then(|| tally.watched_nano * wishes.watch_price_minor),
            trips_nano: tally.going_minor * NANO,
            preferences_nano: tally.preferences_minor * NANO,
            carry_nano: -tally.keep_credit_nano,
            total_nano: tally.objective_nano,
        }
    }

    /// Returns the parts in order, without the total.
    pub fn each(&self) -> [i64; 9] {
        [
            self.packs_nano,
            self.staples_nano,
            self.spoiled_nano,
            self.foods_nano,
            self.minutes_nano,
            self.watched_nano.unwrap_or(0),
            self.trips_nano,
            self.preferences_nano,
            self.carry_nano,
        ]
    }
}

/// An aim of the strict order and what the week reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AimFacts {
    /// The aim.
    pub aim: Aim,
    /// Counted foods as a whole number; cost and spoiled in 1e-9 minor units; minutes 1e-9.
    pub reached: i64,
}

pub(super) fn aims(wishes: &Wishes, tally: &Tally) -> Vec<AimFacts> {
    wishes
        .order
        .iter()
        .map(|&aim| AimFacts {
            aim,
            reached: match aim {
                Aim::Foods => tally.foods,
                Aim::Cost => tally.cost_nano(),
                Aim::Spoiled => tally.spoiled_nano,
                Aim::Minutes => tally.minutes_nano,
            },
        })
        .collect()
}
