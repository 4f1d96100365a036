//! Which candidates of a node the rules on recipes let stand beside a lunch, a bit each.
//!
//! Plain definition: a candidate stands beside the lunch taken if it comes no earlier in the node's order and
//! [`crate::engine::stage::Stage::fits`] beside it and what is chosen.
//!
//! Proof that no week is lost. Lunches of a week may be chosen in any order; each week is looked for once, from the lunch of it
//! that comes first in the node's order, so that its others come later. They are not too much like it, are of it no more
//! often than a recipe may come, and of each of its classes no more than is left beside it. What the rules say of two
//! candidates, both beside the lunch, is not asked here. No costs, nothing is rounded. The caller gives candidates that
//! stand beside what is chosen already, in item order, and room that the lunch itself has been taken from.
//!
//! Candidates go by rank: their place in item order, so that those of a recipe are side by
//! side.

use crate::engine::bound::prefilter::BLOCK;
use crate::engine::bound::smallest::{Classes, Room};
use crate::engine::model::items::Pairs;
use crate::engine::model::pool::Pool;
use std::ops::Range;

/// A node's candidates.
#[derive(Default)]
pub(in crate::engine) struct Compatible {
    /// Rank by item.
    rank: Vec<u32>,
    /// Ranks by recipe; none for those without candidates.
    ranks: Vec<Range<u32>>,
    recipes: Vec<u32>,
    /// Words of a set of ranks, and by class the ranks of its recipes.
    words: usize,
    classes: Vec<u64>,
    /// Ranks that may be chosen after the lunch looked ahead from, by the order in which
    /// lunches are chosen, and how many may not.
    later: Vec<u64>,
    passed: usize,
    /// Those of them that may stand beside it.
    allowed: Vec<u64>,
}

/// Takes a range out of a set.
fn clear(set: &mut [u64], range: &Range<u32>) {
    let (from, to) = (range.start as usize, range.end as usize);
    let mut at = from;
    while at < to {
        let end = to.min((at / BLOCK + 1) * BLOCK);
        let bits = u64::MAX >> (BLOCK - (end - at)) << (at % BLOCK);
        set[at / BLOCK] &= !bits;
        at = end;
    }
}

impl Compatible {
    /// Books for so many items and recipes.
    pub(in crate::engine) fn new(items: usize, recipes: usize) -> Self {
        Self {
            rank: vec![0; items],
            ranks: vec![0..0; recipes],
            ..Self::default()
        }
    }

    /// Starts a node with its candidates in item order.
    pub(in crate::engine) fn start(&mut self, items: &[u32], pairs: &Pairs, classes: &Classes) {
        for &recipe in &self.recipes {
            self.ranks[recipe as usize] = 0..0;
        }
        self.recipes.clear();
        for (rank, &item) in (0u32..).zip(items) {
            self.rank[item as usize] = rank;
            let recipe = pairs.recipe[item as usize];
            let ranks = &mut self.ranks[recipe as usize];
            if ranks.end == 0 {
                ranks.start = rank;
                self.recipes.push(recipe);
            }
            ranks.end = rank + 1;
        }
        self.words = items.len().div_ceil(BLOCK);
        self.later.clear();
        self.later.resize(self.words, u64::MAX);
        let last = items.len() % BLOCK;
        if last > 0 {
            self.later[self.words - 1] = u64::MAX >> (BLOCK - last);
        }
        self.passed = 0;
        self.classes.clear();
        self.classes.resize(self.words * classes.count(), u64::MAX);
        for &recipe in &self.recipes {
            let ranks = &self.ranks[recipe as usize];
            for class in classes.of(recipe) {
                let others = &mut self.classes[class * self.words..(class + 1) * self.words];
                clear(others, ranks);
            }
        }
    }

    /// Allows the places from `from` on that may stand beside `recipe`: itself if it may
    /// come `again`, none too much like it, and of its classes as `room` is left after it.
    /// Places are asked for in rising order.
    pub(in crate::engine) fn allow(
        &mut self,
        (recipe, again): (u32, bool),
        (order, from): (&[(i64, u32)], usize),
        pool: &Pool,
        classes: &Classes,
        room: &Room,
    ) {
        for &(_, item) in &order[self.passed.min(from)..from] {
            let rank = self.rank[item as usize] as usize;
            self.later[rank / BLOCK] &= !(1 << (rank % BLOCK));
        }
        self.passed = self.passed.max(from);
        self.allowed.clone_from(&self.later);
        for class in classes.of(recipe) {
            if room.of(class) == 0 {
                let others = &self.classes[class * self.words..(class + 1) * self.words];
                for (allowed, others) in self.allowed.iter_mut().zip(others) {
                    *allowed &= others;
                }
            }
        }
        for &other in pool.alike(recipe) {
            clear(&mut self.allowed, &self.ranks[other as usize]);
        }
        if !again {
            clear(&mut self.allowed, &self.ranks[recipe as usize]);
        }
    }

    /// Ranks allowed, by block.
    pub(in crate::engine) fn allowed(&self) -> &[u64] {
        &self.allowed
    }

    /// The same, to take more out.
    pub(in crate::engine) fn allowed_mut(&mut self) -> &mut [u64] {
        &mut self.allowed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{alone, kitchen, numbers};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};

    /// Candidate by candidate, by the rules on recipes.
    #[test]
    fn those_are_allowed_that_the_rules_let_stand_beside_a_lunch() {
        let mut next = numbers(1);
        let (mut allowed, mut barred) = (0, 0);
        for name in [
            "stored/sameness",
            "stored/cap-and-forms",
            "stored/repeats",
            "boatyard",
        ] {
            let larder = kitchen(name);
            let limits = alone();
            let ready = Ready::new(&larder, &|| false);
            let given = Given::default();
            let stage = make_stage(ready.laid(), None, first_ceilings(&larder), &given, &limits);
            let (pairs, classes) = (stage.pairs, &stage.classes);
            let mut compatible = Compatible::new(stage.items.len(), larder.recipes.len());
            for _ in 0..60 {
                let mut chosen: Vec<u32> = Vec::new();
                for _ in 0..next(3) {
                    let item = next(stage.items.len()) as u32;
                    if stage.fits(&chosen, item) {
                        chosen.push(item);
                    }
                }
                let part = 1 + next(6);
                let items: Vec<u32> = (0..stage.items.len() as u32)
                    .filter(|&item| next(6) < part && stage.fits(&chosen, item))
                    .collect();
                let mut order: Vec<(i64, u32)> =
                    items.iter().map(|&item| (next(50) as i64, item)).collect();
                order.sort_unstable();
                compatible.start(&items, pairs, classes);
                for at in (0..order.len()).filter(|at| at % 3 == 0) {
                    let with: Vec<u32> = chosen.iter().copied().chain([order[at].1]).collect();
                    let recipes = with.iter().map(|&item| pairs.recipe[item as usize]);
                    let recipe = pairs.recipe[order[at].1 as usize];
                    let times = recipes.clone().filter(|&other| other == recipe).count() as i64;
                    let from = if stage.repeats() > 1 { at } else { at + 1 };
                    compatible.allow(
                        (recipe, times < stage.repeats()),
                        (&order, from),
                        stage.pool,
                        classes,
                        &classes.room(recipes),
                    );
                    for (rank, item) in items.iter().enumerate() {
                        let place = order.iter().position(|one| one.1 == *item);
                        let may = place >= Some(from) && stage.fits(&with, *item);
                        let bit = compatible.allowed()[rank / BLOCK] >> (rank % BLOCK) & 1 != 0;
                        assert_eq!(bit, may, "{name}: {item} beside {with:?}");
                        *(if may { &mut allowed } else { &mut barred }) += 1;
                    }
                }
            }
        }
        assert!(allowed > 3_000 && barred > 3_000, "{allowed} {barred}");
    }
}
