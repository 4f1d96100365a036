//! What is being minimised in one stage, as exact whole numbers.

use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::times::Minutes;
use crate::larder::{Aim, Larder, MILLI, NANO, weighted};

/// What rounding a divided lunch to whole milligrams may cost: a thousandth of a minor
/// unit. Weeks closer than that are the same week to the model.
pub(in crate::engine) const ROUNDING: i64 = NANO / 1000;

/// Weights of the parts of the objective in one stage, chosen so that
/// `weight * part` is in 1e-9 of the stage's own unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::engine) struct Weights {
    /// Per counted food bought.
    pub(in crate::engine) food: i64,
    /// Per minor unit of packs bought.
    pub(in crate::engine) pack: i64,
    /// Per 1e-9 minor unit of staples used (0 or 1).
    pub(in crate::engine) staple: i64,
    /// Thousandths of the value of what spoils: [`Weights::spoiled`].
    pub(in crate::engine) spoil: i64,
    /// Thousandths of the value of what is kept, taken off: [`Weights::kept`].
    pub(in crate::engine) keep: i64,
    /// Per 1e-9 active minute.
    pub(in crate::engine) minute: i64,
    /// Per 1e-9 watched minute.
    pub(in crate::engine) watch: i64,
    /// Per minor unit of the price of a trip.
    pub(in crate::engine) trip: i64,
    /// Per minor unit of day preference.
    pub(in crate::engine) preference: i64,
}

impl Weights {
    /// The one-currency objective (section 5 of the model).
    pub(in crate::engine) fn money(larder: &Larder) -> Self {
        let wishes = &larder.wishes;
        Self {
            food: wishes.food_price_minor * NANO,
            pack: NANO,
            staple: 1,
            spoil: wishes.spoil_weight_milli,
            keep: wishes.carry_credit_milli,
            minute: wishes.minute_price_minor,
            watch: wishes.watch_price_minor,
            trip: NANO,
            preference: NANO,
        }
    }

    /// One aim of a strict order.
    pub(in crate::engine) fn aim(aim: Aim) -> Self {
        let none = Self {
            food: 0,
            pack: 0,
            staple: 0,
            spoil: 0,
            keep: 0,
            minute: 0,
            watch: 0,
            trip: 0,
            preference: 0,
        };
        match aim {
            Aim::Foods => Self { food: NANO, ..none },
            Aim::Cost => Self {
                pack: NANO,
                staple: 1,
                ..none
            },
            Aim::Spoiled => Self {
                spoil: MILLI,
                ..none
            },
            Aim::Minutes => Self { minute: 1, ..none },
        }
    }

    /// What minutes add.
    pub(in crate::engine) fn timed(&self, minutes: Minutes) -> i64 {
        minutes.active * self.minute + minutes.watched * self.watch
    }

    /// What a milligram of this value adds if it spoils.
    pub(in crate::engine) fn spoiled(&self, value: i64) -> i64 {
        weighted(value, self.spoil)
    }

    /// What a milligram of this value takes off if it is kept.
    pub(in crate::engine) fn kept(&self, value: i64) -> i64 {
        weighted(value, self.keep)
    }
}

/// The order in which weeks are compared: the stage's objective, then the ties of the
/// model: fewer foods, lower cost, less spoilage. All additive over foods and lunches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::engine) struct Score {
    /// The stage's objective.
    pub(in crate::engine) objective: i64,
    /// Counted foods bought.
    pub(in crate::engine) foods: i64,
    /// Packs and staples, 1e-9 minor units.
    pub(in crate::engine) cost: i64,
    /// Unweighted value of what spoils, 1e-9 minor units.
    pub(in crate::engine) spoiled: i64,
}

impl Score {
    /// The least of each sum.
    pub(in crate::engine) fn least(self, other: Self) -> Self {
        Self {
            objective: self.objective.min(other.objective),
            foods: self.foods.min(other.foods),
            cost: self.cost.min(other.cost),
            spoiled: self.spoiled.min(other.spoiled),
        }
    }
}

impl std::ops::Add for Score {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            objective: self.objective + other.objective,
            foods: self.foods + other.foods,
            cost: self.cost + other.cost,
            spoiled: self.spoiled + other.spoiled,
        }
    }
}

impl std::ops::Sub for Score {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            objective: self.objective - other.objective,
            foods: self.foods - other.foods,
            cost: self.cost - other.cost,
            spoiled: self.spoiled - other.spoiled,
        }
    }
}

/// Ceilings carried over from wishes and from aims already settled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Ceilings {
    /// Counted foods bought (the cap by foods, or the settled aim).
    pub(in crate::engine) foods: Ceiling,
    /// Families bought.
    pub(in crate::engine) families: Ceiling,
    /// Packs, minor units (the budget).
    pub(in crate::engine) packs: Ceiling,
    /// Packs and staples, 1e-9 minor units (a settled aim).
    pub(in crate::engine) cost: Ceiling,
    /// Spoiled value, 1e-9 minor units (a settled aim).
    pub(in crate::engine) spoiled: Ceiling,
    /// Active minutes, 1e-9 (a settled aim).
    pub(in crate::engine) minutes: Ceiling,
}

impl Ceilings {
    /// Whether a sum of money has one: packs, cost or what spoils.
    pub(in crate::engine) const fn on_money(&self) -> bool {
        self.packs.is_set() || self.cost.is_set() || self.spoiled.is_set()
    }

    /// Whether counted foods or families have one.
    pub(in crate::engine) const fn on_foods(&self) -> bool {
        self.foods.is_set() || self.families.is_set()
    }
}
