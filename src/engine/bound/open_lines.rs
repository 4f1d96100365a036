//! What a set of lunches costs at least while lines of it still have several alternatives.
//!
//! Each line takes one of its alternatives, and all lines share what they use: a unit (a food, a
//! batch) costs the floor of its sum over all of them, not a sum of prices.
//!
//! Proof. Let m(u) be what all alternatives left make the lines use of u, so that a week uses
//! m(u) + t(u), where t(u) is the sum of what the alternatives taken use beyond that. Let b(u) be
//! the floor over all sums that can still come, c(u) any price by weight, and F(u) such that no week with
//! t(u) > 0 has a floor below b(u) + F(u) + c(u) t(u) ([`Curve::once`]). Give each line l a part w(l, u) >= 0 of
//! F(u), and let R(u) be what is left of F(u) beside all parts. Then a week costs at least the sum of b(u), of
//! R(u) where it is below 0, and, over lines, of the least alternative's own cost with c(u) times what it uses beyond
//! m(u) and w(l, u) for each unit of which it uses more: the lines that take some of u pay F(u) - R(u) + c(u) t(u) for
//! it together at the most, and where none does nothing is paid for u but an R(u) below 0. An F(u) below 0, and that
//! of a unit of which more than m(u) is used for certain, is paid whatever is taken; c(u) may be below 0 for the latter
//! alone. So the bound holds whatever c and w are. They come from [`crate::engine::bound::multipliers`], and dual
//! ascent pays what they leave: turn by turn a line raises its cheapest alternatives to its next dearer one, as long as
//! something of F(u) is left.
//!
//! A week with an alternative costs as much more than the bound as that lies above its line's least, and an R(u) above 0
//! for each unit that it opens, since that is then paid in full. A week with a sum in a piece of the curve costs as much
//! more as that piece lies above F(u) + c(u) t(u), and R(u). What would so pass the incumbent (or a
//! ceiling) is in no week that matters: alternatives are dropped, and sums at both ends settled.
//!
//! This is the dual of placing sites (here: foods to open) and customers (lines) of
//! Erlenkotter, A dual-based procedure for uncapacitated facility location, Operations Research
//! 26 (1978), with packs in steps in place of one fixed price (from memory).

use crate::engine::bound::curve::{Curve, PRICE_PARTS, Range, floored};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::multipliers::{Choice, Cost, Problem, Use};
use crate::engine::bound::open_set::{OpenSet, left_of};
use crate::engine::model::pool::Pool;
use crate::larder::{MOST_DAYS, MOST_SUM};
use std::collections::HashMap;
use std::sync::Arc;

/// How much of a unit is used: at least, and at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) struct Settled {
    pub(in crate::engine) unit: u32,
    pub(in crate::engine) least: i64,
    pub(in crate::engine) most: i64,
}

/// What is known of a set with open lines under one gauge.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Bounded {
    pub(in crate::engine) bound: i64,
    /// The cheapest alternative of each line, and how much dearer the next is.
    pub(in crate::engine) picks: Vec<u8>,
    pub(in crate::engine) regret: Vec<i64>,
    /// A unit to split by, and the least sum of the part where more of it is used.
    pub(in crate::engine) split: Option<(u32, i64)>,
    /// By line.
    pub(in crate::engine) multipliers: Arc<[f64]>,
}

/// How often each line is raised at the end.
const PASSES: usize = 60;

/// Turns of raising multipliers at the first node and at others, and uses of units looked at in all turns of
/// the first: a stop is obeyed between nodes.
const FIRST_TURNS: usize = 300;
const TURNS: usize = 24;
const FIRST_USES: usize = 1_500_000;

/// What is too little to split a unit for, as a part of the bound.
pub(in crate::engine) const LITTLE: f64 = 1e-6;

/// Scratch for bounds of sets with open lines.
pub(in crate::engine) struct OpenLines {
    curves: HashMap<(usize, Range), Arc<Curve>>,
    /// By gauge: the multipliers of the last node, by line.
    before: Vec<Option<Arc<[f64]>>>,
    /// By unit: its place among the node's.
    places: Vec<u32>,
    units: Vec<Unit>,
    lines: Vec<LineNow>,
    /// Units that a line may use more of, one line after the other.
    slots: Vec<Slot>,
    /// What alternatives use beyond what must be: slot and amount.
    uses: Vec<(usize, i64)>,
}

/// What is left of a line.
#[derive(Debug)]
struct LineNow {
    alternatives: Vec<AlternativeNow>,
}

/// An alternative left.
#[derive(Debug)]
struct AlternativeNow {
    at: usize,
    own: i64,
    /// Places in `uses`.
    uses: Span,
    cost: i64,
}

type Span = std::ops::Range<usize>;

/// A unit that a line may use more of.
#[derive(Clone, Copy, Debug)]
struct Slot {
    place: usize,
    /// What the line bears of what opening the unit costs, as proposed and as paid.
    share: f64,
    paid: i64,
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

/// What lines use of a unit.
#[derive(Clone, Debug)]
struct Unit {
    range: Range,
    lunches: [OfLunch; MOST_DAYS],
    curve: Option<Arc<Curve>>,
    once: i64,
    slope: (i64, i64),
    /// How much of it may be used in all as things were settled, and what a sum of it costs once whatever is paid.
    cap: i64,
    whole: i128,
    /// How much of it is used in the mean, and what that costs.
    mean: (f64, f64),
    /// What is left to pay of `once`.
    unpaid: i64,
}

/// Curves kept at most: memory, not exactness.
const MOST_CURVES: usize = 100_000;

/// Uses of alternatives up to which units are exchanged one for the other: beyond, it takes long.
const MOST_EXCHANGED: usize = 10_000;

/// No place.
const NONE: u32 = u32::MAX;

impl OpenLines {
    /// Scratch for so many gauges of a larder with so many units.
    pub(in crate::engine) fn new(gauges: usize, units: usize) -> Self {
        Self {
            curves: HashMap::new(),
            before: vec![None; gauges],
            places: vec![NONE; units],
            units: Vec::new(),
            lines: Vec::new(),
            slots: Vec::new(),
            uses: Vec::new(),
        }
    }

    /// Bounds a set under a gauge, drops alternatives with which it would pass `top`, and settles how much of units
    /// may be used. None: nothing within `top` is left.
    pub(in crate::engine) fn bound(
        &mut self,
        (gauge, dimension): (&Gauge, usize),
        pool: &Pool,
        (set, settled): (&OpenSet, &mut Vec<Settled>),
        (left, top): (&mut [u32], i64),
        start: Option<&[f64]>,
    ) -> Option<Bounded> {
        while self.lay(set, settled, left)? {}
        let base = self.draw(gauge, dimension, pool);
        let idle = gauge.restless.iter();
        let idle = idle.filter(|&&unit| self.places[unit as usize] == NONE);
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        let sure = set.own[dimension] + gauge.constant + base + idle.sum::<i64>();
        let top = set.lowered((gauge, dimension), pool, top);
        let multipliers = self.propose(set, (dimension, start), top.saturating_sub(sure));
        let mut bounded = self.ascend(left, settled, (sure, top))?;
        bounded.multipliers = multipliers;
        Some(bounded)
    }

    /// Notes what all alternatives left use, and what each uses beyond that. Drops those that use more than was
    /// settled, and says so; none if nothing is left.
    fn lay(&mut self, set: &OpenSet, settled: &[Settled], left: &mut [u32]) -> Option<bool> {
        for unit in self.units.drain(..) {
            self.places[unit.range.unit as usize] = NONE;
        }
        self.lines.clear();
        self.slots.clear();
        self.uses.clear();
        let mut of_line: Vec<(u32, i64, i64, u32)> = Vec::new();
        for (at, (line, &bits)) in set.lines.iter().zip(left.iter()).enumerate() {
            let lunch = set.lunch_of(at);
            of_line.clear();
            for at in left_of(bits) {
                for &(unit, amount) in &line[at].units {
                    match of_line.iter_mut().find(|known| known.0 == unit) {
                        Some(known) => {
                            known.1 = known.1.min(amount);
                            known.2 = known.2.max(amount);
                            known.3 += 1;
                        }
                        None => of_line.push((unit, amount, amount, 1)),
                    }
                }
            }
            let slots = self.slots.len();
            for known in &mut of_line {
                if known.3 < bits.count_ones() {
                    known.1 = 0;
                }
                let place = self.place_of(known.0);
                let itself = |at: usize| line[at].uses_itself(known.0);
                let lunch = &mut self.units[place].lunches[lunch];
                lunch.must |= known.1 > 0 && left_of(bits).all(itself);
                lunch.most += known.2;
                lunch.batched |= left_of(bits).any(|at| line[at].uses(known.0) && !itself(at));
                self.units[place].range.made += known.1;
                self.units[place].range.most += known.2;
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
                    let known = of_line.iter().position(|known| known.0 == unit);
                    let known = known.expect("noted above");
                    let beyond = amount - of_line[known].1;
                    if beyond > 0 {
                        let place = self.slots[slots + known].place;
                        let step = &mut self.units[place].range.step;
                        *step = (*step).min(beyond);
                        self.uses.push((slots + known, beyond));
                    }
                }
                alternatives.push(AlternativeNow {
                    at,
                    own: 0,
                    uses: uses..self.uses.len(),
                    cost: 0,
                });
            }
            self.lines.push(LineNow { alternatives });
        }
        for one in settled {
            if one.least > one.most {
                return None;
            }
            let place = self.places[one.unit as usize];
            if place == NONE {
                if one.least > 0 {
                    return None;
                }
                continue;
            }
            let unit = &mut self.units[place as usize];
            if unit.range.most < one.least || unit.range.made > one.most {
                return None;
            }
            unit.range.settled = one.least;
            unit.cap = one.most;
        }
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
        for unit in &mut self.units {
            unit.range.lunches = unit.lunches.iter().filter(|lunch| lunch.must).count() as i64;
            if unit.lunches.iter().all(|lunch| !lunch.batched) {
                let most = unit.lunches.iter().map(|lunch| lunch.most);
                unit.range.a_lunch = most.max().unwrap_or(0);
            }
        }
        Some(dropped)
    }

    fn place_of(&mut self, unit: u32) -> usize {
        let place = &mut self.places[unit as usize];
        if *place == NONE {
            *place = self.units.len() as u32;
            self.units.push(Unit::new(unit));
        }
        *place as usize
    }

    /// Draws the curves of all units; returns what they cost in any case.
    fn draw(&mut self, gauge: &Gauge, dimension: usize, pool: &Pool) -> i64 {
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

    /// Proposes prices by weight, and what lines bear of what opening units costs. Fractions only propose:
    /// [`Self::ascend`] pays in whole numbers.
    fn propose(
        &mut self,
        set: &OpenSet,
        (dimension, start): (usize, Option<&[f64]>),
        top: i64,
    ) -> Arc<[f64]> {
        let mut problem = Problem {
            lines: self.lines.len(),
            ..Problem::default()
        };
        for (at, line) in self.lines.iter_mut().enumerate() {
            for one in &mut line.alternatives {
                one.own = set.lines[at][one.at].own[dimension];
                problem.choices.push(Choice {
                    line: at,
                    own: one.own as f64,
                    uses: one.uses.clone(),
                });
                let uses = self.uses[one.uses.clone()].iter();
                problem.uses.extend(uses.map(|&(slot, amount)| Use {
                    unit: self.slots[slot].place,
                    amount: amount as f64,
                }));
            }
        }
        let costs = self.units.iter().map(|unit| {
            let hull = unit.curve.as_ref().map_or(&[][..], |curve| curve.hull());
            Cost::new(hull, unit.is_open(), unit.low())
        });
        problem.costs = costs.collect();
        let known = start.or(self.before[dimension].as_deref());
        let first = FIRST_TURNS.min(FIRST_USES / self.uses.len().max(1));
        let turns = if known.is_none() {
            first.max(TURNS)
        } else {
            TURNS
        };
        let top = top as f64;
        let found = problem.raise(known, turns, top + (1e-9 * top.abs()).max(1e3));
        let means = found.slopes.iter().zip(&found.means);
        for (unit, (&slope, &mean)) in self.units.iter_mut().zip(means) {
            unit.offer(slope);
            unit.mean = mean;
        }
        for slot in &mut self.slots {
            slot.share = 0.0;
        }
        for (&(slot, amount), worth) in self.uses.iter().zip(&found.worth) {
            let slot = &mut self.slots[slot];
            let slope = self.units[slot.place].slope;
            let by_weight = slope.0 as f64 / slope.1 as f64 * amount as f64;
            slot.share = slot.share.max(worth - by_weight);
        }
        let lines: Arc<[f64]> = found.lines.into();
        self.before[dimension] = Some(Arc::clone(&lines));
        lines
    }

    /// Alternatives to take if each unit costs something once and by weight, as it was bounded last: units are
    /// opened, closed and exchanged as long as that is cheaper.
    pub(in crate::engine) fn opened(&self) -> Option<Vec<u8>> {
        let prices: Vec<(i64, (i64, i64))> = self
            .units
            .iter()
            .map(|unit| (unit.once, unit.slope))
            .collect();
        let costs: Vec<Vec<i64>> = self
            .lines
            .iter()
            .map(|line| {
                let alternatives = line.alternatives.iter();
                alternatives
                    .map(|one| {
                        let uses = self.uses[one.uses.clone()].iter();
                        let parts = uses.map(|&(slot, amount)| {
                            floored(prices[self.slots[slot].place].1, amount) as i64
                        });
                        one.own + parts.sum::<i64>()
                    })
                    .collect()
            })
            .collect();
        let pick = |line: usize, open: &[bool]| {
            let alternatives = self.lines[line].alternatives.iter().enumerate();
            let allowed = alternatives.filter(|(_, one)| {
                let uses = &self.uses[one.uses.clone()];
                uses.iter().all(|&(slot, _)| open[self.slots[slot].place])
            });
            allowed.map(|(at, _)| (costs[line][at], at)).min()
        };
        let cost = |open: &[bool]| {
            let once = prices.iter().zip(open).filter(|(_, open)| **open);
            let once: i64 = once.map(|(price, _)| price.0).sum();
            let lines = (0..self.lines.len()).map(|line| pick(line, open).map(|best| best.0));
            lines.sum::<Option<i64>>().map(|lines| lines + once)
        };
        let mut open = vec![true; self.units.len()];
        let mut best = cost(&open)?;
        let units = || 0..self.units.len();
        loop {
            let tried = |changes: &[usize]| {
                let mut changed = open.clone();
                for &at in changes {
                    changed[at] = !changed[at];
                }
                cost(&changed)
                    .filter(|&found| found < best)
                    .map(|found| (found, changed))
            };
            let mut better = units().filter_map(|at| tried(&[at])).min();
            if better.is_none() && self.uses.len() <= MOST_EXCHANGED {
                let closed = units().filter(|&at| open[at]);
                let pairs = closed.flat_map(|close| {
                    let shut = units().filter(|&at| !open[at]);
                    shut.map(move |add| [close, add])
                });
                better = pairs.filter_map(|pair| tried(&pair)).min();
            }
            let Some((found, changed)) = better else {
                break;
            };
            (best, open) = (found, changed);
        }
        let lines = 0..self.lines.len();
        lines
            .map(|line| pick(line, &open).map(|(_, at)| self.lines[line].alternatives[at].at as u8))
            .collect()
    }

    /// Pays what opening units costs by the shares, and what is left of it turn by turn; drops alternatives that
    /// are too dear.
    fn ascend(
        &mut self,
        left: &mut [u32],
        settled: &mut Vec<Settled>,
        (sure, top): (i64, i64),
    ) -> Option<Bounded> {
        let mut sum = i128::from(sure) + self.set_costs();
        let mut bounded = Bounded::default();
        let mut blocked = vec![false; self.lines.len()];
        for _ in 0..PASSES {
            let mut risen = false;
            for (line, blocked) in blocked.iter_mut().enumerate() {
                if !*blocked {
                    *blocked = !self.raise(line);
                    risen |= !*blocked;
                }
            }
            if !risen {
                break;
            }
        }
        let mut picks: Vec<usize> = Vec::with_capacity(self.lines.len());
        for line in &self.lines {
            let costs = || line.alternatives.iter().map(|one| one.cost).enumerate();
            let (pick, least) = costs().min_by_key(|&(at, cost)| (cost, at))?;
            let next = costs()
                .filter(|&(at, _)| at != pick)
                .map(|(_, cost)| cost)
                .min();
            sum += i128::from(least);
            bounded.picks.push(line.alternatives[pick].at as u8);
            bounded.regret.push(next.map_or(0, |next| next - least));
            picks.push(pick);
        }
        // A bound that no week can have says as much as any above all of them.
        bounded.bound = sum.clamp(-i128::from(MOST_SUM), i128::from(MOST_SUM)) as i64;
        if bounded.bound > top {
            return None;
        }
        let room = top.saturating_sub(bounded.bound);
        for ((line, bits), &pick) in self.lines.iter().zip(left).zip(&picks) {
            let least = line.alternatives[pick].cost;
            for one in &line.alternatives {
                let uses = self.uses[one.uses.clone()].iter();
                // It opens what it uses: that is paid in full.
                let opens = uses.map(|&(slot, _)| self.units[self.slots[slot].place].unpaid);
                let opens = opens.fold(0, i64::saturating_add);
                if opens.saturating_add(one.cost - least) > room {
                    *bits &= !(1 << one.at);
                }
            }
            if *bits == 0 {
                return None;
            }
        }
        if top < i64::MAX {
            self.settle(settled, room);
        }
        let little = sum.unsigned_abs() as f64 * LITTLE;
        bounded.split = self.split(little);
        if bounded.split.is_none() {
            bounded.split = self.split_by_picks(&picks, little);
        }
        Some(bounded)
    }

    /// Leaves out sums of units at both ends with which the bound would rise by more than `room`.
    fn settle(&self, settled: &mut Vec<Settled>, room: i64) {
        for unit in &self.units {
            let Some(curve) = &unit.curve else { continue };
            let rest = i128::from(room) - i128::from(unit.unpaid);
            let (least, most) = curve.within(&unit.range, (unit.whole, unit.slope), rest);
            if most < unit.range.most || least > unit.range.settled {
                note(settled, unit.range.unit, (least, most.min(unit.range.most)));
            }
        }
    }

    /// The unit whose sum in the mean costs most beyond what is paid for it, and where to split it.
    fn split(&self, little: f64) -> Option<(u32, i64)> {
        let mut best: Option<(f64, u32, i64)> = None;
        for unit in &self.units {
            let Some(curve) = &unit.curve else { continue };
            let Some((score, least)) = curve.split(&unit.range, unit.mean) else {
                continue;
            };
            if score > little && best.is_none_or(|best| score > best.0) {
                best = Some((score, unit.range.unit, least));
            }
        }
        best.map(|(_, unit, least)| (unit, least))
    }

    /// The unit of which the cheapest alternatives together cost most beyond what is paid for it, and where to split
    /// it: so many packs at least, or fewer.
    fn split_by_picks(&self, picks: &[usize], little: f64) -> Option<(u32, i64)> {
        let mut used = vec![0; self.units.len()];
        for (line, &pick) in self.lines.iter().zip(picks) {
            for &(slot, amount) in &self.uses[line.alternatives[pick].uses.clone()] {
                used[self.slots[slot].place] += amount;
            }
        }
        let mut best: Option<(f64, u32, i64)> = None;
        for (unit, used) in self.units.iter().zip(used) {
            let Some(curve) = &unit.curve else { continue };
            let piece = curve.pieces.partition_point(|piece| piece.1 < used);
            let (from, _, cost) = curve.pieces[piece.min(curve.pieces.len() - 1)];
            let least = from + unit.range.made;
            if used == 0
                || least <= unit.range.settled.max(unit.range.made)
                || least > unit.range.most
            {
                continue;
            }
            let score = (i128::from(cost) - unit.whole - floored(unit.slope, used)) as f64;
            if score > little && best.is_none_or(|best| score > best.0) {
                best = Some((score, unit.range.unit, least));
            }
        }
        best.map(|(_, unit, least)| (unit, least))
    }

    /// Sets prices in whole numbers, and what each alternative costs by them; returns what is paid in any case.
    fn set_costs(&mut self) -> i128 {
        let mut always = 0;
        for unit in &mut self.units {
            let once = unit.whole;
            if unit.is_open() || once < 0 {
                always += once;
                unit.once = 0;
            } else {
                unit.once = once as i64;
            }
            unit.unpaid = unit.once;
        }
        for slot in &mut self.slots {
            let unit = &mut self.units[slot.place];
            slot.paid = 0;
            if unit.once > 0 {
                slot.paid = (slot.share.max(0.0) as i64).min(unit.once);
                unit.unpaid -= slot.paid;
            }
        }
        for unit in &mut self.units {
            // More than all: the rest is given back whatever is taken.
            always += i128::from(unit.unpaid.min(0));
            unit.unpaid = unit.unpaid.max(0);
        }
        let most = i128::from(MOST_SUM);
        for one in self
            .lines
            .iter_mut()
            .flat_map(|line| &mut line.alternatives)
        {
            let uses = self.uses[one.uses.clone()].iter();
            let parts = uses.map(|&(slot, amount)| {
                let slot = &self.slots[slot];
                i128::from(slot.paid) + floored(self.units[slot.place].slope, amount)
            });
            let cost = i128::from(one.own) + parts.sum::<i128>();
            one.cost = cost.clamp(-most, most) as i64;
        }
        always
    }

    /// Raises the cheapest alternatives of a line to its next dearer one, as far as what they open is
    /// unpaid; false if nothing is.
    fn raise(&mut self, line: usize) -> bool {
        let line = &mut self.lines[line];
        let costs = || line.alternatives.iter().map(|one| one.cost);
        let least = costs().min().unwrap_or(0);
        let next = costs().filter(|&cost| cost > least).min();
        let mut rise = next.map_or(i64::MAX, |next| next - least);
        let mut raised: Vec<usize> = Vec::new();
        for one in line.alternatives.iter().filter(|one| one.cost == least) {
            let uses = self.uses[one.uses.clone()].iter().map(|&(slot, _)| slot);
            if uses.clone().any(|slot| raised.contains(&slot)) {
                continue;
            }
            let unpaid = |slot: &usize| self.units[self.slots[*slot].place].unpaid;
            let Some(slot) = uses.max_by_key(|slot| (unpaid(slot), *slot)) else {
                return false;
            };
            if unpaid(&slot) <= 0 {
                return false;
            }
            rise = rise.min(unpaid(&slot));
            raised.push(slot);
        }
        for &slot in &raised {
            let slot = &mut self.slots[slot];
            slot.paid += rise;
            self.units[slot.place].unpaid -= rise;
        }
        for one in &mut line.alternatives {
            let uses = self.uses[one.uses.clone()].iter();
            let times = uses.filter(|(slot, _)| raised.contains(slot)).count();
            one.cost += rise * times as i64;
        }
        true
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
            curve: None,
            once: 0,
            slope: (0, 1),
            cap: i64::MAX,
            whole: 0,
            mean: (0.0, 0.0),
            unpaid: 0,
        }
    }

    /// Sets the price by weight about as proposed, as far as sums bear it, and what goes with it.
    fn offer(&mut self, slope: f64) {
        let Some(curve) = &self.curve else { return };
        let most = MOST_SUM as f64 / 256.0 / self.range.most.max(1) as f64;
        let low = if self.is_open() {
            slope.max(-most)
        } else {
            slope.max(0.0)
        };
        self.slope = ((low.min(most) * PRICE_PARTS as f64) as i64, PRICE_PARTS);
        self.whole = curve.once(self.slope, self.low());
        if self.whole.abs() > i128::from(MOST_SUM / 256) {
            self.slope = (0, 1);
            self.whole = curve.once(self.slope, self.low());
        }
    }

    /// How much must be used beyond what must be anyway.
    fn low(&self) -> i64 {
        (self.range.settled - self.range.made).max(0)
    }

    /// Whether more than what must be is used for certain.
    fn is_open(&self) -> bool {
        self.range.settled > self.range.made
    }
}

/// Notes what is settled of a unit.
pub(in crate::engine) fn note(settled: &mut Vec<Settled>, unit: u32, (least, most): (i64, i64)) {
    match settled.iter_mut().find(|one| one.unit == unit) {
        Some(one) => {
            one.least = least.max(one.least);
            one.most = most.min(one.most);
        }
        None => settled.push(Settled { unit, least, most }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::amounts::Amounts;
    use crate::engine::bound::open_samples::changed;
    use crate::engine::bound::open_set::{Needs, OpenRecipe};
    use crate::engine::model::items::{Item, Lines};
    use crate::engine::model::samples::{kitchen, numbers};
    use crate::engine::model::score::Weights;
    use crate::larder::Aim;

    /// No way of taking the alternatives costs less than the bound, and none within the top is left out, whatever
    /// was settled.
    #[test]
    fn bounds_hold_for_every_way_of_taking_alternatives() {
        let mut next = numbers(11);
        let (mut asked, mut closed, mut split) = (0, 0, 0);
        for name in [
            "stored/everything",
            "stored/stock-on-hand",
            "stored/two-trips",
            "stored/ripening-fruit",
            "stored/plain-packs",
        ] {
            let sound = kitchen(name);
            for turn in 0..40 {
                let larder = changed(&sound, &mut next);
                let pool = Pool::new(&larder);
                let lines = pool.servable_recipes();
                let lines: Vec<Lines> = lines.map(|recipe| Lines::new(&pool, recipe)).collect();
                let widest: Vec<Item> = lines.iter().map(|lines| lines.widest(&pool)).collect();
                let weights = match turn % 4 {
                    0 => Weights::aim(Aim::Foods),
                    1 => Weights::aim(Aim::Spoiled),
                    _ => Weights::money(&larder),
                };
                let gauge = Gauge::new(&pool, &weights, Arc::new(Amounts::all(&pool, &widest)));
                let needs = Needs::default();
                let recipes = lines.iter();
                let recipes: Vec<OpenRecipe> = recipes
                    .map(|lines| OpenRecipe::new(&pool, lines, &[&gauge], &needs))
                    .collect();
                let some: Vec<usize> = (0..=next(3)).map(|_| next(recipes.len())).collect();
                let set = OpenSet::new(some.iter().map(|&at| &recipes[at]), 1);
                let ways = set.lines.iter().map(|line| line.len());
                let ways = ways.fold(1_usize, usize::saturating_mul);
                if !(4..=3_000).contains(&ways) {
                    continue;
                }
                let way = |mut at: usize| -> Vec<u8> {
                    let lines = set.lines.iter();
                    let picks = lines.map(|line| {
                        let pick = at % line.len();
                        at /= line.len();
                        pick as u8
                    });
                    picks.collect()
                };
                let all: Vec<(i64, Vec<u8>)> = (0..ways)
                    .map(|at| (set.cost((&gauge, 0), &pool, &way(at)), way(at)))
                    .collect();
                let used = |picks: &[u8], unit: u32| -> i64 {
                    let lines = set.lines.iter().zip(picks);
                    let units = lines.flat_map(|(line, &pick)| &line[usize::from(pick)].units);
                    units.filter(|one| one.0 == unit).map(|one| one.1).sum()
                };
                let within = |picks: &[u8], left: &[u32], settled: &[Settled]| {
                    let open = picks
                        .iter()
                        .zip(left)
                        .all(|(&pick, bits)| bits >> pick & 1 == 1);
                    open && settled
                        .iter()
                        .all(|one| (one.least..=one.most).contains(&used(picks, one.unit)))
                };
                let mut bounding = OpenLines::new(1, larder.foods.len() + larder.components.len());
                let (mut left, mut settled) = (set.all_left(), Vec::new());
                let top = match next(3) {
                    0 => i64::MAX,
                    _ => all[next(all.len())].0,
                };
                for _ in 0..8 {
                    let before: Vec<&(i64, Vec<u8>)> = all
                        .iter()
                        .filter(|(cost, picks)| *cost <= top && within(picks, &left, &settled))
                        .collect();
                    let bounded = bounding.bound(
                        (&gauge, 0),
                        &pool,
                        (&set, &mut settled),
                        (&mut left, top),
                        None,
                    );
                    asked += 1;
                    let Some(bounded) = bounded else {
                        assert!(before.is_empty(), "{name} {turn}");
                        closed += 1;
                        break;
                    };
                    for (cost, picks) in before {
                        assert!(bounded.bound <= *cost, "{name} {turn}: {picks:?}");
                        assert!(within(picks, &left, &settled), "{name} {turn}: {picks:?}");
                    }
                    let Some((unit, least)) = bounded.split else {
                        break;
                    };
                    split += 1;
                    let range = if next(2) == 0 {
                        (0, least - 1)
                    } else {
                        (least, i64::MAX)
                    };
                    note(&mut settled, unit, range);
                }
            }
        }
        assert!(
            asked > 300 && closed > 5 && split > 200,
            "{asked} {closed} {split}"
        );
    }
}
