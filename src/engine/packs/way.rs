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
    /// What is bought and opened; nothing in a floor, which no packs need reach.
    pub(in crate::engine) picked: Picked,
}

/// Packs and openings that are picked, by position in [`FoodModel::lots`]. What is in pools on hand is
/// drawn from as is best, and so is what is opened.
///
/// [`FoodModel::lots`]: crate::engine::model::lots::FoodModel::lots
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Picked {
    /// Lot, packs bought.
    pub(in crate::engine) packs: Vec<(usize, i64)>,
    /// Lot, day, units.
    pub(in crate::engine) openings: Vec<(usize, i32, i64)>,
}

/// What a way does with one lot, written out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::engine) struct LotUse {
    /// Position in [`FoodModel::lots`].
    pub(in crate::engine) lot: usize,
    /// Packs bought.
    pub(in crate::engine) count: i64,
    pub(in crate::engine) openings: Vec<Opened>,
}

/// Sums that a ceiling asks about: beside its score, a way matters for these alone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Limited {
    /// Whether something is bought.
    pub(in crate::engine) foods: bool,
    /// Packs, in whatever unit.
    pub(in crate::engine) cost: bool,
    pub(in crate::engine) spoiled: bool,
}

impl Limited {
    /// No ceiling: the least score is all there is to a food.
    pub(in crate::engine) const NONE: Self = Self {
        foods: false,
        cost: false,
        spoiled: false,
    };
    /// Any ceiling.
    pub(in crate::engine) const ALL: Self = Self {
        foods: true,
        cost: true,
        spoiled: true,
    };

    /// Those of some ways that none before them equals and none dominates.
    pub(in crate::engine) fn front(self, ways: &[Way]) -> Vec<Way> {
        let mut front: Vec<Way> = Vec::new();
        for way in ways {
            if !front.iter().any(|old| self.dominates(old, way)) {
                front.retain(|old| !self.dominates(way, old));
                front.push(way.clone());
            }
        }
        front
    }

    /// Whether `a` does wherever `b` does, and is no worse.
    ///
    /// Proof: let a week take `b`. With `a` in its place no sum under a ceiling grows, so it keeps all of them. Weeks are
    /// compared by their scores, which are sums over foods compared in a fixed order; what is added to both sides
    /// changes no such order, so the week's score is no higher either.
    pub(in crate::engine) fn dominates(self, a: &Way, b: &Way) -> bool {
        a.score <= b.score
            && (!self.foods || a.score.foods <= b.score.foods)
            && (!self.cost || a.score.cost <= b.score.cost && a.packs <= b.packs)
            && (!self.spoiled || a.score.spoiled <= b.score.spoiled)
    }
}

/// Whether `a` is at least as good as `b` in every sum that can matter.
pub(in crate::engine) fn dominates(a: &Way, b: &Way) -> bool {
    a.score.objective <= b.score.objective
        && a.score.foods <= b.score.foods
        && a.score.cost <= b.score.cost
        && a.score.spoiled <= b.score.spoiled
        && a.packs <= b.packs
}
