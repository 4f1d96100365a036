//! Largest figures a kitchen may have, wherever they come from: files, options or questions.
//!
//! They keep every sum of the engine inside 64 bits, together with `size.rs`, which adds up what
//! a kitchen holds. None is an option.

use super::{Currency, MOST_DAYS};

/// Foods.
pub const FOODS: usize = 5_000;
/// Pack options of a food, in each shop.
pub const PACKS: usize = 20;
/// Shopping trips, whatever the shops.
pub const TRIPS: usize = MOST_DAYS;
/// Components.
pub const COMPONENTS: usize = 2_000;
/// Recipes.
pub const RECIPES: usize = 20_000;
/// Units on hand.
pub const STOCK: usize = 1_000;
/// Lines of a recipe, or entries of a component.
pub const LINES: usize = 60;
/// Alternatives of a line.
pub const ALTERNATIVES: usize = 30;
/// A mass in milligrams: 1,000 kg.
pub const MASS_MG: i64 = 1_000_000_000;
/// Money, in whole units of the currency.
pub const MONEY: i64 = 100_000;
/// Digits of a minor unit: four of a currency, and eight for prices taken many times over.
pub const DIGITS: u8 = 12;
/// Eaters of a day, in thousandths.
pub const EATERS_MILLI: i64 = 1_000_000;
/// Days of a keeping time, and of a cycle.
pub const DAYS: i64 = 3_650;
/// A day of a unit on hand: a keeping time and an opened life, and the week it is left from.
pub const STOCK_DAYS: i64 = 2 * DAYS + MOST_DAYS as i64;
/// Minutes of a task: a week of them.
pub const MINUTES: i64 = 10_080;
/// Units in a pack.
pub const UNITS: i64 = 10_000;
/// A nutrient figure in its own unit.
pub const NUTRIENT: i64 = 1_000_000;
/// An amount of a food group in its own unit.
pub const CREDIT: i64 = 10_000;
/// What a rule counts: foods or lunches.
pub const COUNT: i64 = 100_000;
/// Weight of what spoils, in wholes.
pub const WEIGHT: i64 = 1_000;
/// Appeal of an optional line.
pub const APPEAL: i64 = 1_000;
/// Pieces of one equipment.
pub const TOOLS: i64 = 100;
/// Days a step may be done ahead.
pub const AHEAD_DAYS: i64 = 14;

impl Currency {
    /// Returns the most money there may be of it, in minor units.
    pub fn most_minor(&self) -> i64 {
        MONEY * 10_i64.pow(self.digits.min(DIGITS).into())
    }
}
