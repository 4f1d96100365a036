//! One way of buying and opening a food.

use crate::engine::model::score::Score;

/// Longest use vector: days 0..=14.
pub(in crate::engine) const DAYS: usize = crate::larder::MOST_DAYS + 1;
/// Milligrams used on each day.
pub(in crate::engine) type Uses = [i64; DAYS];

/// Units opened: day, how many, what is drawn by day.
pub(in crate::engine) type Opened = (i32, i64, Vec<(i32, i64)>);

/// One way to serve the uses of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::engine) struct Way {
    pub(in crate::engine) score: Score,
    /// Packs, minor units.
    pub(in crate::engine) packs: i64,
    /// Something is bought.
    pub(in crate::engine) bought: bool,
    /// What is opened and bought; empty unless asked for.
    pub(in crate::engine) detail: Vec<LotUse>,
}

/// What a way does with one lot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::engine) struct LotUse {
    /// Position in [`FoodModel::lots`].
    pub(in crate::engine) lot: usize,
    /// Packs bought.
    pub(in crate::engine) count: i64,
    pub(in crate::engine) openings: Vec<Opened>,
}

/// Whether `a` is at least as good as `b` in every sum that can matter.
pub(in crate::engine) fn dominates(a: &Way, b: &Way) -> bool {
    a.score.objective <= b.score.objective
        && a.score.foods <= b.score.foods
        && a.score.cost <= b.score.cost
        && a.score.spoiled <= b.score.spoiled
        && a.packs <= b.packs
}
