//! Searches all weeks of a kitchen line by line: which recipes first, and how much of foods.
//!
//! A part of the weeks has some lunches chosen and candidates for the others, and says how much of some units is used. It is
//! bounded with all lines of all these recipes open ([`crate::engine::bound::open_recipes`]), which drops candidates, and split by
//! a unit, so many packs of it at least or fewer, or else by the next recipe. Where few sets of recipes are left each becomes a
//! part of its own; with all lunches chosen it is bounded and then searched by lines
//! ([`crate::engine::tree::open_search`]), whatever is used of units: once, though several parts may come to it.
//!
//! Parts come in rounds, the lowest bounds first; each starts from the incumbent of the round's start, and finds are merged in
//! a total order, so that threads change nothing.

use crate::engine::bound::open_partial::Partial;
use crate::engine::bound::open_recipes::{OpenRecipes, PartialBound, clamped};
use crate::engine::bound::settled::{Settled, note};
use crate::engine::model::sums::least_of;
use crate::engine::tree::open_search::{FEW_WAYS, Kept, OpenSearch, OpenSearched};
use crate::engine::tree::pending::{HasBound, Pending};
use crate::larder::{Pin, RecipeId};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A part of all weeks.
#[derive(Clone)]
struct Part {
    bound: i64,
    chosen: Vec<u32>,
    candidates: Vec<u32>,
    settled: Vec<Settled>,
    multipliers: Option<Arc<[f64]>>,
}

impl HasBound for Part {
    fn bound(&self) -> i64 {
        self.bound
    }
}

/// What looking at a part ends with.
#[derive(Default)]
struct Looked {
    searched: OpenSearched,
    parts: Vec<Part>,
    /// A set of recipes that was looked at, and its bound where it was not searched to its end.
    set: Option<(Vec<u32>, Option<i64>)>,
}

/// Sets of recipes looked at, with their bounds; none of those that were searched to their end.
type Sets = BTreeMap<Vec<u32>, Option<i64>>;

/// What all parts of a round share.
struct Round<'b, 'r> {
    best: Option<&'b Kept>,
    most_work: u64,
    /// Only this part is left.
    alone: bool,
    sets: &'b Sets,
    /// By dimension, for each thread at work.
    scratch: &'b Mutex<Vec<Vec<OpenRecipes<'r>>>>,
}

impl<'r> Round<'_, 'r> {
    fn known(&self) -> MutexGuard<'_, Vec<Vec<OpenRecipes<'r>>>> {
        self.scratch.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Parts looked at side by side.
const TOGETHER: usize = 8;

/// Turns of raising multipliers at the first part and at others.
const FIRST_TURNS: usize = 300;
const TURNS: usize = 30;

/// What splitting by a unit must raise a bound by, as a part of what is lacking to the incumbent; else recipes are told apart.
const WORTH: f64 = 0.02;

/// Sets of recipes that become parts of their own at once, and steps of looking for them: where lines are left to search,
/// and where each set has so few ways that it is laid out.
const FEW_SETS: (usize, usize) = (20, 500);
const MANY_SETS: (usize, usize) = (20_000, 200_000);

impl OpenSearch<'_> {
    /// Searches all weeks, from weeks known.
    pub(in crate::engine) fn run(&self, known: impl Iterator<Item = Kept>) -> OpenSearched {
        let mut total = OpenSearched::default();
        for kept in known {
            total.note(kept);
        }
        let mut pending: Pending<Part> = Pending::default();
        pending.push(Part {
            bound: i64::MIN,
            chosen: Vec::new(),
            candidates: (0..self.recipes.len() as u32).collect(),
            settled: Vec::new(),
            multipliers: None,
        });
        let scratch = Mutex::new(Vec::new());
        let mut sets = Sets::new();
        let most_work = self.asking.given.most_work.unwrap_or(u64::MAX);
        for count in 1_u64.. {
            let cutoff = self.cutoff(total.best.as_ref());
            let round = self.next_round(&mut pending, &sets, cutoff);
            let Some(least) = round.iter().map(|part| part.bound).min() else {
                break;
            };
            if self.stage.halted(true) || total.work >= most_work {
                total.open_bound = least_of(total.open_bound, Some(least));
                total.open_bound = least_of(total.open_bound, pending.least());
                break;
            }
            let of_round = Round {
                best: total.best.as_ref(),
                most_work: most_work - total.work,
                alone: round.len() == 1 && pending.is_empty(),
                sets: &sets,
                scratch: &scratch,
            };
            let done: Vec<Looked> = round
                .into_par_iter()
                .enumerate()
                .map(|(at, part)| self.look(part, at == 0 && count.is_power_of_two(), &of_round))
                .collect();
            for done in done {
                total.merge(done.searched);
                sets.extend(done.set);
                for part in done.parts {
                    pending.push(part);
                }
            }
        }
        let cutoff = self.cutoff(total.best.as_ref());
        total.open_bound = total.open_bound.filter(|&bound| bound <= cutoff);
        if let Some(best) = &total.best
            && best.found.score.objective > self.stage.most
        {
            total.best = None;
        }
        total
    }

    /// The parts with the lowest bounds, each set of recipes once.
    fn next_round(&self, pending: &mut Pending<Part>, sets: &Sets, cutoff: i64) -> Vec<Part> {
        let lunches = self.stage.pool.last as usize;
        let mut round: Vec<Part> = Vec::new();
        let mut later: Vec<Part> = Vec::new();
        while round.len() < TOGETHER
            && pending.least().is_some_and(|least| least <= cutoff)
            && let Some(mut part) = pending.pop()
        {
            if part.chosen.len() < lunches {
                round.push(part);
                continue;
            }
            match sets.get(&part.chosen) {
                Some(None) => {}
                Some(&Some(bound)) if bound > part.bound => {
                    part.bound = bound;
                    pending.push(part);
                }
                _ if round.iter().any(|other| other.chosen == part.chosen) => later.push(part),
                _ => round.push(part),
            }
        }
        for part in later {
            pending.push(part);
        }
        round
    }

    /// Bounds a part and splits it, or searches it.
    fn look<'o>(&'o self, mut part: Part, guess: bool, round: &Round<'_, 'o>) -> Looked {
        let lunches = self.stage.pool.last as usize;
        let mut looked = Looked::default();
        if part.chosen.len() == lunches {
            let whole = round.alone || round.sets.contains_key(&part.chosen);
            let most_nodes = if whole { u64::MAX } else { 1 };
            let work = (round.most_work, most_nodes);
            // A part's bound holds for what it uses of units, the set's own for all weeks of these recipes.
            let known = round.sets.get(&part.chosen).copied().flatten();
            let least = known.unwrap_or(i64::MIN);
            let mut done = self.below(&part.chosen, least, round.best, work);
            if done.nodes == 0 && done.open_bound.is_some() {
                // Told to stop before anything was looked at: the part is as open as it was.
                done.open_bound = None;
                looked.parts.push(part);
            } else if whole {
                looked.set = Some((part.chosen, None));
            } else {
                let open = done.open_bound.take();
                looked.set = Some((part.chosen.clone(), open));
                if let Some(open) = open {
                    part.bound = part.bound.max(open);
                    looked.parts.push(part);
                }
            }
            looked.searched = done;
            return looked;
        }
        let top = self.cutoff(round.best);
        let bounded = self.bound(&mut part, top, round, &mut looked.searched);
        looked.searched.nodes += 1;
        let Some(bounded) = bounded else {
            return looked;
        };
        part.bound = part.bound.max(bounded.bound);
        part.multipliers = Some(Arc::clone(&bounded.multipliers));
        if guess {
            self.guess(&part, round, &mut looked);
        }
        self.split(part, &bounded, top, &mut looked.parts);
        looked
    }

    /// The bound of a part below `top`, with the candidates that it leaves; none if the part cannot matter.
    fn bound<'o>(
        &'o self,
        part: &mut Part,
        top: i64,
        round: &Round<'_, 'o>,
        searched: &mut OpenSearched,
    ) -> Option<PartialBound> {
        let missing = self.stage.pool.last as usize - part.chosen.len();
        let copies = self.stage.repeats().clamp(1, missing as i64) as usize;
        let mut bounding = round.known().pop().unwrap_or_else(|| {
            let larder = self.stage.pool.larder;
            let units = larder.foods.len() + larder.components.len();
            let all = 0..self.dimensions;
            all.map(|dimension| OpenRecipes::new(&self.recipes, units, dimension))
                .collect()
        });
        let mut bounded = None;
        // The objective last: its figures are those that a part is split by.
        for dimension in (0..self.dimensions).rev() {
            let partial = Partial {
                chosen: &part.chosen,
                candidates: &part.candidates,
                missing,
                copies,
            };
            let (start, turns, most) = match dimension {
                0 if part.multipliers.is_some() => (part.multipliers.as_deref(), TURNS, top),
                0 => (None, FIRST_TURNS, top),
                _ => (None, TURNS, self.stage.limits[dimension - 1]),
            };
            bounded = bounding[dimension].bound(
                (self.gauges[dimension], self.stage.pool),
                &partial,
                (&mut part.settled, most),
                (start, turns),
            );
            searched.work += bounding[dimension].size() as u64;
            let Some(bounded) = &bounded else { break };
            part.candidates = bounded.shares.iter().map(|one| one.1).collect();
        }
        round.known().push(bounding);
        bounded
    }

    /// Looks for a week of the recipes with the smallest shares.
    fn guess(&self, part: &Part, round: &Round, looked: &mut Looked) {
        let mut set = part.chosen.clone();
        let mut candidates = part.candidates.iter();
        let lunches = self.stage.pool.last as usize;
        let mut next = candidates.next();
        while set.len() < lunches
            && let Some(&recipe) = next
        {
            if self.stage.fits(&set, recipe) {
                set.push(recipe);
            } else {
                next = candidates.next();
            }
        }
        if set.len() < lunches || !self.may_be(&mut set) || round.sets.contains_key(&set) {
            return;
        }
        let mut done = self.below(&set, i64::MIN, round.best, (round.most_work, 1));
        looked.set = Some((set, done.open_bound.take()));
        looked.searched.merge(done);
    }

    /// Whether rules on recipes allow a complete set, put in order.
    fn may_be(&self, set: &mut [u32]) -> bool {
        set.sort_unstable();
        self.keeps_pins(set) && self.stage.all_days_have_a_lunch(set, &[])
    }

    /// Splits a part: by its sets where they are few, by a unit, or by the next recipe.
    fn split(&self, part: Part, bounded: &PartialBound, top: i64, parts: &mut Vec<Part>) {
        let lunches = self.stage.pool.last as usize;
        let mut few = Few {
            search: self,
            lunches,
            shares: &bounded.shares,
            top,
            most: if self.laid_out(&part) {
                MANY_SETS
            } else {
                FEW_SETS
            },
            found: Vec::new(),
            steps: 0,
        };
        if few.grow(&mut part.chosen.clone(), 0, bounded.paid) {
            for (sum, set) in few.found {
                let bound = clamped(sum).max(part.bound);
                if bound <= top {
                    parts.push(Part {
                        bound,
                        chosen: set,
                        candidates: Vec::new(),
                        ..part.clone()
                    });
                }
            }
            return;
        }
        let gap = top as f64 - bounded.bound as f64;
        if let Some((rise, unit, least)) = bounded.split
            && (top == i64::MAX || rise > gap * WORTH)
        {
            let mut less = part.clone();
            note(&mut less.settled, unit, (0, least - 1));
            let mut more = part;
            note(&mut more.settled, unit, (least, i64::MAX));
            parts.extend([less, more]);
            return;
        }
        self.split_by_recipe(&part, bounded, top, parts);
    }

    /// Splits a part by the next recipe.
    fn split_by_recipe(
        &self,
        part: &Part,
        bounded: &PartialBound,
        top: i64,
        parts: &mut Vec<Part>,
    ) {
        let lunches = self.stage.pool.last as usize;
        let missing = lunches - part.chosen.len();
        for (place, &(share, recipe)) in bounded.shares.iter().enumerate() {
            // All that come later have shares as large.
            let least = i128::from(share) * missing as i128;
            let bound = clamped(least + bounded.paid).max(part.bound);
            if bound > top {
                break;
            }
            if !self.stage.fits(&part.chosen, recipe) {
                continue;
            }
            let mut chosen = part.chosen.clone();
            chosen.push(recipe);
            if chosen.len() == lunches {
                if self.may_be(&mut chosen) {
                    parts.push(Part {
                        bound,
                        chosen,
                        candidates: Vec::new(),
                        ..part.clone()
                    });
                }
                continue;
            }
            let later = bounded.shares[place..].iter().map(|one| one.1);
            let candidates = later.filter(|&other| self.stage.fits(&chosen, other));
            parts.push(Part {
                bound,
                candidates: candidates.collect(),
                chosen,
                ..part.clone()
            });
        }
    }

    /// Whether each set of recipes of a part has so few ways that it is laid out.
    fn laid_out(&self, part: &Part) -> bool {
        let ways = |&at: &u32| {
            let lines = self.recipes[at as usize].lines.iter();
            lines.fold(1, |ways: usize, line| ways.saturating_mul(line.len()))
        };
        let lunches = self.stage.pool.last as usize;
        let most = part.candidates.iter().map(ways).max().unwrap_or(0);
        let more = most.saturating_mul(lunches - part.chosen.len());
        let chosen = part.chosen.iter().map(ways);
        chosen.fold(more, usize::saturating_add) <= FEW_WAYS
    }

    /// Whether all recipes that must come are there. Foods that must are asked about where all is laid out.
    fn keeps_pins(&self, set: &[u32]) -> bool {
        let comes = |recipe: &RecipeId| {
            let mut lunches = set.iter();
            lunches.any(|&at| self.lines[at as usize].recipe == *recipe)
        };
        self.stage.with().all(|pin| match pin {
            Pin::Recipe(recipe, _) => comes(recipe),
            Pin::Food(..) => true,
        })
    }
}

/// Lists sets of recipes, as long as they are few.
struct Few<'f, 's> {
    search: &'f OpenSearch<'s>,
    lunches: usize,
    shares: &'f [(i64, u32)],
    top: i64,
    /// Sets and steps.
    most: (usize, usize),
    found: Vec<(i128, Vec<u32>)>,
    steps: usize,
}

impl Few<'_, '_> {
    /// Adds recipes from a place in the order of shares on, with the sum so far; false if sets are too many.
    fn grow(&mut self, chosen: &mut Vec<u32>, from: usize, sum: i128) -> bool {
        if chosen.len() == self.lunches {
            let mut set = chosen.clone();
            if self.search.may_be(&mut set) {
                self.found.push((sum, set));
            }
            return self.found.len() <= self.most.0;
        }
        for (place, &(share, recipe)) in self.shares.iter().enumerate().skip(from) {
            // All that come later have shares as large.
            let missing = (self.lunches - chosen.len()) as i128;
            if i128::from(share) * missing + sum > self.top.into() {
                break;
            }
            self.steps += 1;
            if self.steps > self.most.1 {
                return false;
            }
            if self.search.stage.fits(chosen, recipe) {
                chosen.push(recipe);
                let few = self.grow(chosen, place, sum + i128::from(share));
                chosen.pop();
                if !few {
                    return false;
                }
            }
        }
        true
    }
}
