//! What a kitchen without faults holds, as text.

use super::words;
use crate::larder::Larder;
use crate::unicode;

/// Returns one line: the kitchen's name and how much of everything it has.
pub fn kitchen(larder: &Larder) -> String {
    let count = |n: usize, noun: &str| words::count(n as i64, noun);
    format!(
        "{}: {}, {}, {}, {}, {} on hand; {} to plan\n",
        unicode::isolated(&larder.name),
        count(larder.foods.len(), "food"),
        count(larder.packs.len(), "pack option"),
        count(larder.components.len(), "component"),
        count(larder.recipes.len(), "recipe"),
        count(larder.stock.len(), "unit"),
        count(larder.lunch_count(), "lunch"),
    )
}
