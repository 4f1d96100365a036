//! What a week adds up to, and how two weeks are compared (section 5 of the model).
//!
//! Everything here is a plain sum, so the sums of a week are those of its parts, and the
//! best of independent parts add up to the best whole.

use scant::larder::{Aim, Larder, NANO};

/// Sums of a week or of a part of one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sums {
    pub foods: i64,
    pub packs_minor: i64,
    pub staples_nano: i64,
    pub spoiled_nano: i64,
    pub kept_nano: i64,
    /// The same times their weights, each milligram's price rounded once.
    pub spoil_cost_nano: i64,
    pub keep_credit_nano: i64,
    pub minutes_nano: i64,
    /// Minutes by what is on, of batches.
    pub watched_nano: i64,
    pub going_minor: i64,
    pub preferences_minor: i64,
}

/// Up to four aims, the one-currency objective, then the ties: foods, cost, spoilage.
pub type Key = [i64; 8];

/// What a milligram of such a value counts for at a weight in thousandths: half a unit goes up.
pub fn weighted(value_nano: i64, milli: i64) -> i64 {
    let product = i128::from(value_nano) * i128::from(milli);
    let (whole, rest) = (product / 1_000, product % 1_000);
    (whole + i128::from(rest >= 500)) as i64
}

impl Sums {
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            foods: self.foods + other.foods,
            packs_minor: self.packs_minor + other.packs_minor,
            staples_nano: self.staples_nano + other.staples_nano,
            spoiled_nano: self.spoiled_nano + other.spoiled_nano,
            kept_nano: self.kept_nano + other.kept_nano,
            spoil_cost_nano: self.spoil_cost_nano + other.spoil_cost_nano,
            keep_credit_nano: self.keep_credit_nano + other.keep_credit_nano,
            minutes_nano: self.minutes_nano + other.minutes_nano,
            watched_nano: self.watched_nano + other.watched_nano,
            going_minor: self.going_minor + other.going_minor,
            preferences_minor: self.preferences_minor + other.preferences_minor,
        }
    }

    pub fn cost_nano(&self) -> i64 {
        self.packs_minor * NANO + self.staples_nano
    }

    pub fn objective_nano(&self, larder: &Larder) -> i64 {
        let wishes = &larder.wishes;
        self.cost_nano() + self.spoil_cost_nano - self.keep_credit_nano
            + wishes.food_price_minor * self.foods * NANO
            + wishes.minute_price_minor * self.minutes_nano
            + wishes.watch_price_minor * self.watched_nano
            + self.going_minor * NANO
            + self.preferences_minor * NANO
    }

    /// Returns the figures in the order in which weeks are compared.
    pub fn key(&self, larder: &Larder) -> Key {
        let mut key = [0; 8];
        for (place, aim) in larder.wishes.order.iter().enumerate() {
            key[place] = match aim {
                Aim::Foods => self.foods,
                Aim::Cost => self.cost_nano(),
                Aim::Spoiled => self.spoiled_nano,
                Aim::Minutes => self.minutes_nano,
            };
        }
        key[4] = self.objective_nano(larder);
        key[5] = self.foods;
        key[6] = self.cost_nano();
        key[7] = self.spoiled_nano;
        key
    }
}

/// Adds two keys place by place.
pub fn add(a: &Key, b: &Key) -> Key {
    std::array::from_fn(|place| a[place] + b[place])
}
