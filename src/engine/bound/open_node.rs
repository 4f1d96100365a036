//! What is left of a set's lines at a node: what alternatives use of each unit beyond what all of them make their line use,
//! and the curve of what a unit costs the more of it is used. [`crate::engine::bound::open_lines`] bounds it.

use crate::engine::bound::curve::{Curve, PRICE_PARTS, Range};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_set::{Alternative, OpenSet, left_of};
use crate::engine::bound::places::Places;
use crate::engine::bound::settled::Settled;
use crate::engine::model::pool::Pool;
use crate::larder::{MOST_DAYS, MOST_SUM};
use std::collections::HashMap;
use std::ops::Range as Span;
use std::sync::Arc;

/// Lines, alternatives and units of a node, and curves of all nodes.
#[derive(Debug)]
pub(in crate::engine) struct OpenNode {
    curves: HashMap<(usize, Range), Arc<Curve>>,
    /// By unit of the larder: its place among the node's.
    places: Places,
    pub(in crate::engine) units: Vec<Unit>,
    pub(in crate::engine) lines: Vec<Line>,
    /// Units that a line may use more of, one line after the other.
    pub(in crate::engine) slots: Vec<Slot>,
    /// What alternatives use beyond what must be: slot and amount.
    pub(in crate::engine) uses: Vec<(usize, i64)>,
}

/// What is left of a line.
#[derive(Debug)]
pub(in crate::engine) struct Line {
    pub(in crate::engine) alternatives: Vec<AlternativeLeft>,
}

/// An alternative left.
#[derive(Debug)]
pub(in crate::engine) struct AlternativeLeft {
    /// Its place among all of its line.
    pub(in crate::engine) at: usize,
    /// What it costs by itself under the gauge of the bound.
    pub(in crate::engine) own: i64,
    /// Places in `uses`.
    pub(in crate::engine) uses: Span<usize>,
    /// What it costs with what its line pays for units.
    pub(in crate::engine) cost: i64,
}

/// A unit that a line may use more of.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Slot {
    /// The unit's place among the node's.
    pub(in crate::engine) place: usize,
    /// What the line bears of what opening the unit costs, as proposed and as paid.
    pub(in crate::engine) share: f64,
    pub(in crate::engine) paid: i64,
}

/// What a lunch uses of a unit.
#[derive(Clone, Copy, Debug, Default)]
struct OfLunch {
    /// It must use some on its own day.
    must: bool,
    most: i64,
    /// It may use some in a batch.
    batched: bool,
}

/// What a line uses of a unit: at least and at most, and how many of its alternatives use some.
struct OfLine {
    unit: u32,
    least: i64,
    most: i64,
    users: u32,
}

/// What lines use of a unit, and what that costs.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Unit {
    pub(in crate::engine) range: Range,
    lunches: [OfLunch; MOST_DAYS],
    /// How much of it may be used in all as things were settled.
    cap: i64,
    pub(in crate::engine) curve: Option<Arc<Curve>>,
    /// Its price by weight, and what a sum of it costs once whatever is paid.
    pub(in crate::engine) slope: (i64, i64),
    pub(in crate::engine) whole: i128,
    /// What lines pay once for it together, and what is left to pay of that.
    pub(in crate::engine) once: i64,
    pub(in crate::engine) unpaid: i64,
    /// How much of it is used in the mean, and what that costs.
    pub(in crate::engine) mean: (f64, f64),
}

/// Curves kept at most: memory, not exactness.
const MOST_CURVES: usize = 100_000;

impl OpenNode {
    /// Scratch for nodes of a larder with so many units.
    pub(in crate::engine) fn new(units: usize) -> Self {
        Self {
            curves: HashMap::new(),
            places: Places::new(units),
            units: Vec::new(),
            lines: Vec::new(),
            slots: Vec::new(),
            uses: Vec::new(),
        }
    }

    /// Notes what all alternatives left use, and what each uses beyond that. Drops those that use more than was
    /// settled, and says so; none if nothing is left.
    pub(in crate::engine) fn lay(
        &mut self,
        set: &OpenSet,
        settled: &[Settled],
        left: &mut [u32],
    ) -> Option<bool> {
        self.units.clear();
        self.places.forget();
        self.lines.clear();
        self.slots.clear();
        self.uses.clear();
        let mut of_line = Vec::new();
        for (at, (line, &bits)) in set.lines.iter().zip(left.iter()).enumerate() {
            self.lay_line((line, bits), set.lunch_of(at), &mut of_line);
        }
        self.places.settle(settled, &mut self.units, |unit| {
            (&mut unit.range, &mut unit.cap)
        })?;
        let dropped = self.drop_over_caps(left)?;
        for unit in &mut self.units {
            unit.count_lunches();
        }
        Some(dropped)
    }

    /// Whether some alternative left uses a unit of the larder.
    pub(in crate::engine) fn has(&self, unit: u32) -> bool {
        self.places.get(unit).is_some()
    }

    /// Notes a line's alternatives of some bits, and what they use.
    fn lay_line(
        &mut self,
        (line, bits): (&[Alternative], u32),
        lunch: usize,
        of_line: &mut Vec<OfLine>,
    ) {
        note_uses((line, bits), of_line);
        let slots = self.slots.len();
        for known in of_line.iter() {
            let place = self.place_of(known.unit);
            let itself = |at: usize| line[at].uses_itself(known.unit);
            let unit = &mut self.units[place];
            let lunch = &mut unit.lunches[lunch];
            lunch.must |= known.least > 0 && left_of(bits).all(itself);
            lunch.most += known.most;
            lunch.batched |= left_of(bits).any(|at| line[at].uses(known.unit) && !itself(at));
            unit.range.made += known.least;
            unit.range.most += known.most;
            self.slots.push(Slot {
                place,
                share: 0.0,
                paid: 0,
            });
        }
        let mut alternatives = Vec::with_capacity(bits.count_ones() as usize);
        for at in left_of(bits) {
            let uses = self.uses.len();
            for &(unit, amount) in &line[at].units {
                let known = of_line.iter().position(|known| known.unit == unit);
                let known = known.expect("noted above");
                let beyond = amount - of_line[known].least;
                if beyond > 0 {
                    let place = self.slots[slots + known].place;
                    let step = &mut self.units[place].range.step;
                    *step = (*step).min(beyond);
                    self.uses.push((slots + known, beyond));
                }
            }
            alternatives.push(AlternativeLeft {
                at,
                own: 0,
                uses: uses..self.uses.len(),
                cost: 0,
            });
        }
        self.lines.push(Line { alternatives });
    }

    fn place_of(&mut self, unit: u32) -> usize {
        self.places.of(unit, &mut self.units, Unit::new)
    }

    /// Drops alternatives that use more of a unit than may be, and says so; none where a line has no other.
    fn drop_over_caps(&self, left: &mut [u32]) -> Option<bool> {
        let mut dropped = false;
        for (line, bits) in self.lines.iter().zip(left) {
            for one in &line.alternatives {
                let mut uses = self.uses[one.uses.clone()].iter();
                let over = uses.any(|&(slot, amount)| {
                    let unit = &self.units[self.slots[slot].place];
                    unit.range.made + amount > unit.cap
                });
                if over {
                    *bits &= !(1 << one.at);
                    dropped = true;
                }
            }
            if *bits == 0 {
                return None;
            }
        }
        Some(dropped)
    }

    /// Draws the curves of all units; returns what they cost in any case.
    pub(in crate::engine) fn draw(&mut self, gauge: &Gauge, dimension: usize, pool: &Pool) -> i64 {
        if self.curves.len() > MOST_CURVES {
            self.curves.clear();
        }
        let mut base = 0;
        for unit in &mut self.units {
            let range = &mut unit.range;
            range.most = range.most.min(unit.cap);
            range.step = range.step.min(range.most - range.made);
            let curve = self.curves.entry((dimension, *range));
            let curve = curve.or_insert_with(|| Arc::new(Curve::new(gauge, pool, *range)));
            base += curve.base;
            unit.curve = Some(Arc::clone(curve));
        }
        base
    }
}

/// Notes what a line uses of each unit, whichever of its alternatives of some bits is taken.
fn note_uses((line, bits): (&[Alternative], u32), of_line: &mut Vec<OfLine>) {
    of_line.clear();
    for at in left_of(bits) {
        for &(unit, amount) in &line[at].units {
            match of_line.iter_mut().find(|known| known.unit == unit) {
                Some(known) => {
                    known.least = known.least.min(amount);
                    known.most = known.most.max(amount);
                    known.users += 1;
                }
                None => of_line.push(OfLine {
                    unit,
                    least: amount,
                    most: amount,
                    users: 1,
                }),
            }
        }
    }
    for known in of_line {
        if known.users < bits.count_ones() {
            known.least = 0;
        }
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
            lunches: [OfLunch::default(); MOST_DAYS],
            cap: i64::MAX,
            curve: None,
            slope: (0, 1),
            whole: 0,
            once: 0,
            unpaid: 0,
            mean: (0.0, 0.0),
        }
    }

    /// Tells how many lunches use it, each on its day.
    fn count_lunches(&mut self) {
        self.range.lunches = self.lunches.iter().filter(|lunch| lunch.must).count() as i64;
        if self.lunches.iter().all(|lunch| !lunch.batched) {
            let most = self.lunches.iter().map(|lunch| lunch.most);
            self.range.a_lunch = most.max().unwrap_or(0);
        }
    }

    /// Sets the price by weight about as proposed, as far as sums bear it, and what goes with it.
    pub(in crate::engine) fn offer(&mut self, slope: f64) {
        let Some(curve) = &self.curve else { return };
        let most = MOST_SUM as f64 / 256.0 / self.range.most.max(1) as f64;
        let low = if self.is_open() {
            slope.max(-most)
        } else {
            slope.max(0.0)
        };
        // What is beyond all numbers becomes the largest of them, with a sign that can be turned.
        let parts = (low.min(most) * PRICE_PARTS as f64) as i64;
        self.slope = (parts.max(-i64::MAX), PRICE_PARTS);
        self.whole = curve.once(self.slope, self.low());
        if self.whole.abs() > i128::from(MOST_SUM / 256) {
            self.slope = (0, 1);
            self.whole = curve.once(self.slope, self.low());
        }
    }

    /// How much must be used beyond what must be anyway.
    pub(in crate::engine) fn low(&self) -> i64 {
        (self.range.settled - self.range.made).max(0)
    }

    /// Whether more than what must be is used for certain.
    pub(in crate::engine) fn is_open(&self) -> bool {
        self.range.settled > self.range.made
    }
}
