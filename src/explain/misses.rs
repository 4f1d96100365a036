//! Near misses of a week, as data: by how little a purchase could have been smaller, and what
//! would use a remainder up.
//!
//! They are found by [`crate::tradeoffs`], which asks for the best way of buying each food anew.

use super::days::When;

/// Near misses of a week.
#[derive(Clone, Debug, Default)]
pub struct Misses {
    /// Purchases a little too large, those that give way least first.
    pub short: Vec<Short>,
    /// Remainders that one lunch would use up.
    pub room: Vec<Room>,
}

/// A food of which the week uses a little too much for a smaller purchase.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Short {
    /// The food.
    pub food: String,
    /// The pack, if all that is bought of the food is of one kind.
    pub pack: Option<String>,
    /// How many packs fewer, if all that is bought is of the one kind there is; else none.
    pub fewer: Option<i64>,
    /// All the week uses, milligrams.
    pub used_mg: i64,
    /// The least that its uses must shrink by together, each by the same part and rounded down
    /// to a milligram, for a smaller bill: milligrams.
    pub less_mg: i64,
    /// That part: each use times `kept` over `of`.
    pub kept: i64,
    /// See above.
    pub of: i64,
    /// What the bill is smaller by then, minor units.
    pub saves_minor: i64,
    /// The food's yield, and the least one at which the bill is smaller with the uses as they are;
    /// none if there is none up to the whole, or it was not asked.
    pub better: Option<BetterYield>,
}

/// A yield at which a purchase would be smaller: edible portion over as purchased, thousandths of a
/// percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BetterYield {
    /// As it is.
    pub now: i64,
    /// The least that is enough.
    pub least: i64,
    /// What the bill is smaller by then, minor units.
    pub saves_minor: i64,
}

/// A lunch that could take what is thrown out of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Room {
    /// The food.
    pub food: String,
    /// The lunch.
    pub when: When,
    /// So much more of it there, all portions together, milligrams: nothing of the food is thrown
    /// out, and nothing more is bought.
    pub more_mg: i64,
    /// What is thrown out as it is, 1e-9 minor units.
    pub saves_nano: i64,
}
