//! What a week adds up to, recomputed from larder and plan alone.

/// The sums of a judged week. Money parts are kept apart so that trade-offs can be read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Price of all packs bought.
    pub packs_minor: i64,
    /// Staples used, pro rata.
    pub staples_nano: i64,
    /// Value of what spoils, unweighted.
    pub spoiled_nano: i64,
    /// Value of what is kept, unweighted.
    pub kept_nano: i64,
    /// What that adds to the objective: each milligram at its value times the weight, rounded
    /// once ([`crate::larder::Wishes::spoil_price_nano`]).
    pub spoil_cost_nano: i64,
    /// What is kept takes off the objective, likewise.
    pub keep_credit_nano: i64,
    /// Counted foods bought.
    pub foods: i64,
    /// Families of counted foods bought (a food without family is one of its own).
    pub families: i64,
    /// Active minutes of the week.
    pub minutes_nano: i64,
    /// Watched minutes of the week; nought where no wish limits or prices them.
    pub watched_nano: i64,
    /// Trips made after the first.
    pub later_trips: i64,
    /// What going on them costs by the aims: no bill.
    pub going_minor: i64,
    /// Sum of day preferences.
    pub preferences_minor: i64,
    /// The one-currency objective: section 5 of the model, in 1e-9 minor units.
    pub objective_nano: i64,
}

impl Tally {
    /// Returns packs and staples together: the aim `cost`.
    pub fn cost_nano(&self) -> i64 {
        self.packs_minor * crate::larder::NANO + self.staples_nano
    }

    /// Returns what an aim reached, in 1e-9 of its unit (foods, minor units, minutes).
    pub fn aim_nano(&self, aim: crate::larder::Aim) -> i64 {
        use crate::larder::{Aim, NANO};
        match aim {
            Aim::Foods => self.foods * NANO,
            Aim::Cost => self.cost_nano(),
            Aim::Spoiled => self.spoiled_nano,
            Aim::Minutes => self.minutes_nano,
        }
    }
}
