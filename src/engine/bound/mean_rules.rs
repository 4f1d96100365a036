//! Rules on the week's mean, each as a sum over its lunches that must not be too small: how much the lunches still to choose
//! can add at the most, in the figure's thousandths by milligram (credits in millionths).
//!
//! Plain definition: a candidate is dropped if no choice of so many candidates with it, of different recipes (of each
//! no more than it may come), brings the sum to what it must be.
//!
//! Proof. What the week's mean must be, so many times over as there are lunches, is what their figures must add up to; these are
//! the whole numbers that the judge adds up, so nothing is rounded. A ceiling is a floor with signs turned. The others beside
//! a candidate are of different recipes, none of them its own: each gives no more than the largest figure of an item of its
//! recipe, and so all no more than the largest of so many other recipes. (With repeats: the largest of all each time.) What
//! the rules on recipes or costs forbid only leaves fewer choices. Too few recipes: no week. What one rule drops
//! is in no week that keeps it, so the next may begin with what is left.
//!
//! The caller gives candidates in item order, where those of a recipe stand together, and at least one lunch to choose.

use crate::engine::model::items::Item;
use crate::engine::model::pool::Pool;
use crate::larder::MOST_DAYS;

/// A floor or a ceiling on the week's mean: a ceiling is a floor with signs turned.
pub(in crate::engine) struct Mean {
    /// What the lunches must come to together.
    need: i64,
    /// What each item gives.
    of: Vec<i64>,
}

impl Mean {
    /// The rules of a larder on the week's mean.
    pub(in crate::engine) fn all(pool: &Pool, items: &[Item]) -> Vec<Self> {
        let rules = pool.week_rules.iter().enumerate();
        let sides = rules.flat_map(|(rule, &(_, at_least, at_most))| {
            let floor = at_least.map(|need| (rule, 1, need));
            floor
                .into_iter()
                .chain(at_most.map(|most| (rule, -1, -most)))
        });
        let mean = |(rule, sign, need): (usize, i64, i64)| Self {
            need,
            of: items
                .iter()
                .map(|item| sign * item.nutrients[rule])
                .collect(),
        };
        sides.map(mean).collect()
    }

    /// Whether a complete set of items keeps it.
    pub(in crate::engine) fn holds(&self, chosen: &[u32]) -> bool {
        self.sum(chosen.iter().copied()) >= self.need
    }

    /// Whether it is kept with two lunches more than these.
    pub(in crate::engine) fn reached(&self, chosen: &[u32], second: u32, third: u32) -> bool {
        let last = self.of[second as usize] + self.of[third as usize];
        self.sum(chosen.iter().copied()) + last >= self.need
    }

    fn sum(&self, chosen: impl Iterator<Item = u32>) -> i64 {
        chosen.map(|item| self.of[item as usize]).sum()
    }
}

/// The largest values of different recipes, falling.
struct Largest {
    list: [(i64, u32); MOST_DAYS],
    len: usize,
    most: usize,
}

impl Largest {
    fn new(most: usize) -> Self {
        Self {
            list: [(i64::MIN, u32::MAX); MOST_DAYS],
            len: 0,
            most: most.min(MOST_DAYS),
        }
    }

    /// Adds a recipe with its largest value.
    fn add(&mut self, value: i64, recipe: u32) {
        let list = &mut self.list[..self.len];
        let at = list.partition_point(|&(other, _)| other >= value);
        if at == self.most {
            return;
        }
        self.len = (self.len + 1).min(self.most);
        self.list[at..self.len].rotate_right(1);
        self.list[at] = (value, recipe);
    }
}

/// Drops candidates, in item order, with which the week's mean cannot reach a floor or stay
/// below a ceiling, whatever else is chosen of them: with the largest values of so many
/// other recipes it cannot. `recipes` has the recipe of each item.
pub(in crate::engine) fn drop_by_means(
    (means, recipes, repeats): (&[Mean], &[u32], i64),
    chosen: &(impl Iterator<Item = u32> + Clone),
    candidates: &mut Vec<u32>,
    missing: usize,
) {
    for mean in means {
        let need = mean.need - mean.sum(chosen.clone());
        let mut largest = Largest::new(missing);
        let (mut recipe, mut value) = (u32::MAX, i64::MIN);
        let mut lowest = i64::MAX;
        for &item in candidates.iter() {
            let own = mean.of[item as usize];
            lowest = lowest.min(own);
            if recipes[item as usize] == recipe {
                value = value.max(own);
                continue;
            }
            if recipe != u32::MAX {
                largest.add(value, recipe);
            }
            (recipe, value) = (recipes[item as usize], own);
        }
        if recipe != u32::MAX {
            largest.add(value, recipe);
        }
        let list = &largest.list[..largest.len];
        let others = missing - 1;
        if repeats > 1 {
            let most = list.first().map_or(0, |&(most, _)| most) * others as i64;
            candidates.retain(|&item| mean.of[item as usize] + most >= need);
            continue;
        }
        if list.len() < missing {
            candidates.clear();
            return;
        }
        // Without a recipe that is among the others, the next one takes its place.
        let most: i64 = list[..others].iter().map(|&(value, _)| value).sum();
        let next = list[others].0;
        if lowest + most - list[0].0 + next >= need {
            continue;
        }
        candidates.retain(|&item| {
            let mine = |&&(_, recipe): &&(i64, u32)| recipe == recipes[item as usize];
            let more = list[..others].iter().find(mine);
            let others = more.map_or(most, |&(value, _)| most - value + next);
            mean.of[item as usize] + others >= need
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{alone, kitchen, numbers};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};
    use itertools::Itertools;

    /// Whoever is dropped is in no choice that keeps all rules on the mean, one by one.
    #[test]
    fn drops_none_that_some_choice_could_keep() {
        let mut next = numbers(3);
        let (mut dropped, mut left) = (0, 0);
        for name in ["boatyard", "stored/nutrition", "stored/everything"] {
            let larder = kitchen(name);
            let limits = alone();
            let ready = Ready::new(&larder, &|| false);
            let given = Given::default();
            let ceilings = first_ceilings(&larder);
            let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            let recipe = |item: u32| stage.pairs.recipe[item as usize];
            let (items, lunches) = (ready.items.len(), ready.pool.last as usize);
            for turn in 0..400 {
                let repeats = 1 + turn % 2;
                let recipes = stage.pairs.recipe.as_slice();
                let rules = (stage.means.as_slice(), recipes, repeats as i64);
                let missing = 1 + next(3.min(lunches));
                let chosen: Vec<u32> = (missing..lunches).map(|_| next(items) as u32).collect();
                let mut candidates: Vec<u32> = (0..12).map(|_| next(items) as u32).collect();
                candidates.sort_unstable();
                candidates.dedup();
                let mut kept = candidates.clone();
                drop_by_means(rules, &chosen.iter().copied(), &mut kept, missing);
                left += kept.len();
                let choices = || {
                    candidates
                        .iter()
                        .copied()
                        .combinations_with_replacement(missing)
                };
                for &item in candidates.iter().filter(|item| !kept.contains(item)) {
                    dropped += 1;
                    let could = choices().any(|choice| {
                        let often = choice.iter().map(|&one| recipe(one)).counts();
                        let apart = often.values().all(|&times| times <= repeats);
                        let week: Vec<u32> = chosen.iter().chain(&choice).copied().collect();
                        let holds = stage.means.iter().all(|mean| mean.holds(&week));
                        choice.contains(&item) && apart && holds
                    });
                    assert!(!could, "{name}: {item} beside {chosen:?}");
                }
            }
        }
        assert!(dropped > 500 && left > 500, "{dropped} {left}");
    }
}
