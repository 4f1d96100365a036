//! What is being minimised in one stage, as exact whole numbers.

use crate::larder::{Aim, Larder, NANO};

/// Weights of the parts of the objective in one stage, chosen so that
/// `weight * part` is in 1e-9 of the stage's own unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Weights {
    /// Per counted food bought.
    pub(super) food: i64,
    /// Per minor unit of packs bought.
    pub(super) pack: i64,
    /// Per 1e-9 minor unit of staples used (0 or 1).
    pub(super) staple: i64,
    /// Per milligram times micro value spoiled (thousandths make 1e-9 of it).
    pub(super) spoil: i64,
    /// Taken off per milligram times micro value kept.
    pub(super) keep: i64,
    /// Per 1e-9 active minute.
    pub(super) minute: i64,
    /// Per trip after the first.
    pub(super) trip: i64,
    /// Per minor unit of day preference.
    pub(super) preference: i64,
}

impl Weights {
    /// The one-currency objective (section 5 of the model).
    pub(super) fn money(larder: &Larder) -> Self {
        let wishes = &larder.wishes;
        Self {
            food: wishes.food_price_minor * NANO,
            pack: NANO,
            staple: 1,
            spoil: wishes.spoil_weight_milli,
            keep: wishes.carry_credit_milli,
            minute: wishes.minute_price_minor,
            trip: wishes.trip_price_minor * NANO,
            preference: NANO,
        }
    }

    /// One aim of a strict order.
    pub(super) fn aim(aim: Aim) -> Self {
        let none = Self {
            food: 0,
            pack: 0,
            staple: 0,
            spoil: 0,
            keep: 0,
            minute: 0,
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
                spoil: 1000,
                ..none
            },
            Aim::Minutes => Self { minute: 1, ..none },
        }
    }
}

/// The order in which weeks are compared: the stage's objective, then the ties of the
/// model: fewer foods, lower cost, less spoilage. All additive over foods and lunches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score {
    /// The stage's objective.
    pub(super) objective: i64,
    /// Counted foods bought.
    pub(super) foods: i64,
    /// Packs and staples, 1e-9 minor units.
    pub(super) cost: i64,
    /// Unweighted value of what spoils, milligrams times micro.
    pub(super) spoiled: i64,
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

/// Ceilings carried over from wishes and from aims already settled. `i64::MAX` is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ceilings {
    /// Counted foods bought (the cap by foods, or the settled aim).
    pub(super) foods: i64,
    /// Families bought.
    pub(super) families: i64,
    /// Packs, minor units (the budget).
    pub(super) packs: i64,
    /// Packs and staples, 1e-9 minor units (a settled aim).
    pub(super) cost: i64,
    /// Spoiled value, milligrams times micro (a settled aim).
    pub(super) spoiled: i64,
    /// Active minutes, 1e-9 (a settled aim).
    pub(super) minutes: i64,
}
