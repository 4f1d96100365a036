//! Lunches partly chosen with all lines open: what alternatives of chosen recipes and of candidates use of each unit, and the
//! curve of what a unit costs the more of it is used. [`crate::engine::bound::open_recipes`] bounds them.

use crate::engine::bound::curve::{Curve, PRICE_PARTS, Range};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_set::{Alternative, OpenRecipe};
use crate::engine::bound::places::Places;
use crate::engine::bound::settled::Settled;
use crate::engine::model::pool::Pool;
use crate::larder::MOST_SUM;
use std::collections::HashMap;
use std::ops::Range as Span;
use std::sync::Arc;

/// Lunches chosen, and recipes among which the missing ones are.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Partial<'p> {
    pub(in crate::engine) chosen: &'p [u32],
    pub(in crate::engine) candidates: &'p [u32],
    pub(in crate::engine) missing: usize,
    /// How often a recipe may be among the missing ones.
    pub(in crate::engine) copies: usize,
}

/// Recipes, lines, alternatives and units left of lunches partly chosen, and curves of all of these.
#[derive(Debug)]
pub(in crate::engine) struct OpenPartial<'r> {
    /// The gauge among those that recipes know what they cost under.
    dimension: usize,
    recipes: &'r [OpenRecipe],
    /// First line of each recipe among all, and the end.
    pub(in crate::engine) start: Vec<usize>,
    curves: HashMap<Range, Arc<Curve>>,
    /// By unit of the larder: its place among those left.
    places: Places,
    pub(in crate::engine) members: Vec<Member>,
    pub(in crate::engine) lines: Vec<Line>,
    pub(in crate::engine) choices: Vec<Choice>,
    pub(in crate::engine) uses: Vec<Use>,
    pub(in crate::engine) units: Vec<Unit>,
}

/// A lunch chosen, or a candidate.
#[derive(Debug)]
pub(in crate::engine) struct Member {
    pub(in crate::engine) recipe: u32,
    pub(in crate::engine) chosen: bool,
    pub(in crate::engine) own: i64,
    pub(in crate::engine) lines: Span<usize>,
}

/// A line of a member.
#[derive(Debug)]
pub(in crate::engine) struct Line {
    pub(in crate::engine) member: usize,
    pub(in crate::engine) choices: Span<usize>,
    /// The least of an alternative that uses nothing: a multiplier above it is worth nothing.
    pub(in crate::engine) free: f64,
}

/// An alternative of a line.
#[derive(Debug)]
pub(in crate::engine) struct Choice {
    pub(in crate::engine) own: i64,
    pub(in crate::engine) uses: Span<usize>,
}

/// What an alternative uses of a unit.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Use {
    pub(in crate::engine) unit: usize,
    pub(in crate::engine) line: usize,
    pub(in crate::engine) amount: i64,
}

/// A unit that some alternative left uses.
#[derive(Debug)]
pub(in crate::engine) struct Unit {
    pub(in crate::engine) range: Range,
    cap: i64,
    pub(in crate::engine) curve: Option<Arc<Curve>>,
    /// Prices by weight that may be asked, and what is paid once then.
    pub(in crate::engine) slopes: Vec<(f64, f64)>,
    pub(in crate::engine) uses: Vec<usize>,
    /// The price that was best last.
    pub(in crate::engine) slope: f64,
    /// In the mean: how much is used, and what that costs.
    pub(in crate::engine) mean: (f64, f64),
}

/// Curves kept at most: memory, not exactness.
const MOST_CURVES: usize = 50_000;

/// Prices by weight tried for a unit at most.
const SLOPES: usize = 5;

/// What all of a unit may cost by weight, or once: sums of all units stay far below what fits.
pub(in crate::engine) const MOST_PRICE: i64 = MOST_SUM / 256;

impl<'r> OpenPartial<'r> {
    /// Scratch for recipes of a larder with so many units, under one of their gauges.
    pub(in crate::engine) fn new(
        recipes: &'r [OpenRecipe],
        units: usize,
        dimension: usize,
    ) -> Self {
        let mut start = vec![0];
        for recipe in recipes {
            start.push(start[start.len() - 1] + recipe.lines.len());
        }
        Self {
            dimension,
            recipes,
            start,
            curves: HashMap::new(),
            places: Places::new(units),
            members: Vec::new(),
            lines: Vec::new(),
            choices: Vec::new(),
            uses: Vec::new(),
            units: Vec::new(),
        }
    }

    /// Lists what is left; none where no week is.
    pub(in crate::engine) fn lay(&mut self, partial: &Partial, settled: &[Settled]) -> Option<()> {
        self.units.clear();
        self.places.forget();
        self.members.clear();
        self.lines.clear();
        self.choices.clear();
        self.uses.clear();
        let caps: HashMap<u32, i64> = settled.iter().map(|one| (one.unit, one.most)).collect();
        let chosen = partial.chosen.iter().map(|&at| (at, true));
        let candidates = partial.candidates.iter().map(|&at| (at, false));
        let candidates = candidates.filter(|_| partial.missing > 0);
        let mut largest: HashMap<u32, i64> = HashMap::new();
        for (at, chosen) in chosen.chain(candidates) {
            let fits = |alternative: &Alternative| {
                let mut units = alternative.units.iter();
                units.all(|(unit, amount)| caps.get(unit).is_none_or(|cap| amount <= cap))
            };
            let mut lines = self.recipes[at as usize].lines.iter();
            if lines.all(|line| line.iter().any(fits)) {
                self.lay_member((at, chosen), fits, &mut largest);
            } else if chosen {
                return None;
            }
        }
        for unit in &mut self.units {
            let more = largest.get(&unit.range.unit).copied().unwrap_or(0);
            unit.range.most += more * partial.missing as i64;
        }
        self.places.settle(settled, &mut self.units, |unit| {
            (&mut unit.range, &mut unit.cap)
        })?;
        let left = self.members.iter().filter(|member| !member.chosen).count();
        (left * partial.copies >= partial.missing).then_some(())
    }

    /// Whether some alternative left uses a unit of the larder.
    pub(in crate::engine) fn has(&self, unit: u32) -> bool {
        self.places.get(unit).is_some()
    }

    /// Lists a recipe with the alternatives that fit; keeps the most that a candidate uses of a unit.
    fn lay_member(
        &mut self,
        (at, chosen): (u32, bool),
        fits: impl Fn(&Alternative) -> bool,
        largest: &mut HashMap<u32, i64>,
    ) {
        let recipe = &self.recipes[at as usize];
        let from = self.lines.len();
        let mut most: Vec<(u32, i64)> = Vec::new();
        for line in &recipe.lines {
            self.lay_line(line.iter().filter(|one| fits(one)), &mut most);
        }
        let mut sums: HashMap<u32, i64> = HashMap::new();
        for &(unit, amount) in &most {
            *sums.entry(unit).or_default() += amount;
        }
        for &(unit, _) in &most {
            let Some(sum) = sums.remove(&unit) else {
                continue;
            };
            if chosen {
                let place = self.place_of(unit);
                self.units[place].range.most += sum;
            } else {
                let known = largest.entry(unit).or_default();
                *known = sum.max(*known);
            }
        }
        self.members.push(Member {
            recipe: at,
            chosen,
            own: recipe.own[self.dimension],
            lines: from..self.lines.len(),
        });
    }

    /// Lists a line of the next member, and notes the most that it uses of each unit.
    fn lay_line<'l>(
        &mut self,
        alternatives: impl Iterator<Item = &'l Alternative>,
        most: &mut Vec<(u32, i64)>,
    ) {
        let choices = self.choices.len();
        let mut free = f64::INFINITY;
        let before = most.len();
        for alternative in alternatives {
            let uses = self.uses.len();
            for &(unit, amount) in &alternative.units {
                let place = self.place_of(unit);
                let step = &mut self.units[place].range.step;
                *step = (*step).min(amount);
                self.units[place].uses.push(self.uses.len());
                self.uses.push(Use {
                    unit: place,
                    line: self.lines.len(),
                    amount,
                });
                match most[before..].iter_mut().find(|one| one.0 == unit) {
                    Some(known) => known.1 = known.1.max(amount),
                    None => most.push((unit, amount)),
                }
            }
            let own = alternative.own[self.dimension];
            if alternative.units.is_empty() {
                free = free.min(own as f64);
            }
            self.choices.push(Choice {
                own,
                uses: uses..self.uses.len(),
            });
        }
        self.lines.push(Line {
            member: self.members.len(),
            choices: choices..self.choices.len(),
            free,
        });
    }

    fn place_of(&mut self, unit: u32) -> usize {
        self.places.of(unit, &mut self.units, Unit::new)
    }

    /// Draws the curves; returns what units cost in any case.
    pub(in crate::engine) fn draw(&mut self, gauge: &Gauge, pool: &Pool) -> i64 {
        if self.curves.len() > MOST_CURVES {
            self.curves.clear();
        }
        let mut floors = 0;
        for unit in &mut self.units {
            let range = &mut unit.range;
            range.most = range.most.min(unit.cap);
            range.step = range.step.min(range.most);
            let curve = self.curves.entry(*range);
            let curve = curve.or_insert_with(|| Arc::new(Curve::new(gauge, pool, *range)));
            floors += curve.base;
            unit.slopes = slopes(curve);
            unit.curve = Some(Arc::clone(curve));
        }
        floors
    }
}

impl Unit {
    fn new(unit: u32) -> Self {
        Self {
            range: Range {
                unit,
                made: 0,
                settled: 0,
                most: 0,
                step: i64::MAX,
                lunches: 0,
                a_lunch: 0,
            },
            cap: i64::MAX,
            curve: None,
            slopes: Vec::new(),
            uses: Vec::new(),
            slope: 0.0,
            mean: (0.0, 0.0),
        }
    }

    /// Whether some of it is used for certain.
    pub(in crate::engine) fn is_open(&self) -> bool {
        self.range.settled > 0
    }

    /// The price by weight that was best last, as far as sums bear it, and what is paid once by it.
    pub(in crate::engine) fn price(&self, curve: &Curve) -> ((i64, i64), i128) {
        let most = MOST_PRICE as f64 / self.range.most.max(1) as f64;
        let parts = self.slope.clamp(0.0, most) * PRICE_PARTS as f64;
        let slope = (parts as i64, PRICE_PARTS);
        let once = curve.once(slope, self.range.settled);
        if once.abs() > i128::from(MOST_PRICE) {
            let slope = (0, 1);
            return (slope, curve.once(slope, self.range.settled));
        }
        (slope, once)
    }
}

/// Prices by weight at which a curve turns, a few at most, and what is paid once by each.
fn slopes(curve: &Curve) -> Vec<(f64, f64)> {
    let hull = curve.hull().windows(2);
    let mut slopes: Vec<f64> = hull
        .map(|two| (two[1].1 - two[0].1) as f64 / (two[1].0 - two[0].0) as f64)
        .collect();
    slopes.dedup_by(|next, known| (*next - *known).abs() <= 1e-9 * known.abs());
    let apart = slopes.len() / SLOPES + 1;
    let slopes = [0.0].into_iter().chain(slopes.into_iter().step_by(apart));
    let once = |slope: f64| {
        let points = curve.hull().iter();
        let once = points.map(|&(more, cost)| cost as f64 - slope * more as f64);
        once.fold(f64::INFINITY, f64::min)
    };
    slopes.map(|slope| (slope, once(slope))).collect()
}
