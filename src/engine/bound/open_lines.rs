//! What a set of lunches costs at least while lines of it still have several alternatives, 1e-9 minor units (or the unit
//! of a sum with a ceiling).
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
//! Rounding. Floors and what alternatives cost by themselves are whole. c(u) is a fraction of whole numbers, which F(u) and
//! lines round as [`crate::engine::bound::curve`] says; w(l, u) is a whole part of F(u), and what lines pay beyond F(u) is
//! taken off again. Prices are kept so small that what an alternative pays fits; a sum below all that weeks cost is told as the least of these, but what is
//! dropped is held against the sum itself. The caller leaves bits of every line's alternatives, and says of units only
//! what holds for all weeks that are to be found. The plain definition: the least of [`OpenSet::cost`] over all ways left.
//!
//! This is the dual of placing sites (here: foods to open) and customers (lines) of
//! Erlenkotter, A dual-based procedure for uncapacitated facility location, Operations Research
//! 26 (1978), with packs in steps in place of one fixed price (from memory).

use crate::engine::bound::curve::floored;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::multipliers::{Choice, Cost, Problem, Use};
use crate::engine::bound::open_exchange::exchanged;
use crate::engine::bound::open_node::OpenNode;
use crate::engine::bound::open_set::OpenSet;
use crate::engine::bound::settled::{LITTLE, Settled, note};
use crate::engine::model::pool::Pool;
use crate::larder::MOST_SUM;
use std::sync::Arc;

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

/// Scratch for bounds of sets with open lines.
pub(in crate::engine) struct OpenLines {
    node: OpenNode,
    /// By gauge: the multipliers of the last node, by line.
    before: Vec<Option<Arc<[f64]>>>,
}

impl OpenLines {
    /// Scratch for so many gauges of a larder with so many units.
    pub(in crate::engine) fn new(gauges: usize, units: usize) -> Self {
        Self {
            node: OpenNode::new(units),
            before: vec![None; gauges],
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
        let sure = self.lay((gauge, dimension), pool, (set, settled), left)?;
        let top = set.lowered((gauge, dimension), pool, top);
        let multipliers = self.propose(set, (dimension, start), top.saturating_sub(sure));
        let mut bounded = self.pay(left, settled, (sure, top))?;
        bounded.multipliers = multipliers;
        Some(bounded)
    }

    /// Lays out what is left; returns what it costs whatever is taken. None: nothing is left.
    fn lay(
        &mut self,
        (gauge, dimension): (&Gauge, usize),
        pool: &Pool,
        (set, settled): (&OpenSet, &[Settled]),
        left: &mut [u32],
    ) -> Option<i64> {
        // Each turn but the last drops an alternative at least.
        while self.node.lay(set, settled, left)? {}
        let base = self.node.draw(gauge, dimension, pool);
        let idle = gauge.restless.iter();
        let idle = idle.filter(|&&unit| !self.node.has(unit));
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        Some(set.own[dimension] + gauge.constant + base + idle.sum::<i64>())
    }

    /// Alternatives to take if each unit costs something once and by weight, as it was bounded last; none where it
    /// was told to stop.
    pub(in crate::engine) fn opened(&self, halted: &dyn Fn() -> bool) -> Option<Vec<u8>> {
        exchanged(&self.node, halted)
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
            lines: self.node.lines.len(),
            ..Problem::default()
        };
        for (at, line) in self.node.lines.iter_mut().enumerate() {
            for one in &mut line.alternatives {
                one.own = set.lines[at][one.at].own[dimension];
                problem.choices.push(Choice {
                    line: at,
                    own: one.own as f64,
                    uses: one.uses.clone(),
                });
                let uses = self.node.uses[one.uses.clone()].iter();
                problem.uses.extend(uses.map(|&(slot, amount)| Use {
                    unit: self.node.slots[slot].place,
                    amount: amount as f64,
                }));
            }
        }
        let costs = self.node.units.iter().map(|unit| {
            let hull = unit.curve.as_ref().map_or(&[][..], |curve| curve.hull());
            Cost::new(hull, unit.is_open(), unit.low())
        });
        problem.costs = costs.collect();
        let known = start.or(self.before[dimension].as_deref());
        let first = FIRST_TURNS.min(FIRST_USES / self.node.uses.len().max(1));
        let turns = if known.is_none() {
            first.max(TURNS)
        } else {
            TURNS
        };
        let top = top as f64;
        let found = problem.raise(known, turns, top + (1e-9 * top.abs()).max(1e3));
        let means = found.slopes.iter().zip(&found.means);
        for (unit, (&slope, &mean)) in self.node.units.iter_mut().zip(means) {
            unit.offer(slope);
            unit.mean = mean;
        }
        for slot in &mut self.node.slots {
            slot.share = 0.0;
        }
        for (&(slot, amount), worth) in self.node.uses.iter().zip(&found.worth) {
            let slot = &mut self.node.slots[slot];
            let slope = self.node.units[slot.place].slope;
            let by_weight = slope.0 as f64 / slope.1 as f64 * amount as f64;
            slot.share = slot.share.max(worth - by_weight);
        }
        let lines: Arc<[f64]> = found.lines.into();
        self.before[dimension] = Some(Arc::clone(&lines));
        lines
    }

    /// Pays what opening units costs by the shares, and what is left of it turn by turn; drops alternatives that
    /// are too dear.
    fn pay(
        &mut self,
        left: &mut [u32],
        settled: &mut Vec<Settled>,
        (sure, top): (i64, i64),
    ) -> Option<Bounded> {
        let mut sum = i128::from(sure) + self.set_costs();
        self.ascend();
        let mut bounded = Bounded::default();
        let mut picks: Vec<usize> = Vec::with_capacity(self.node.lines.len());
        for line in &self.node.lines {
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
        // No week costs more or less than this. What is held against alternatives is the sum itself.
        bounded.bound = sum.clamp(-i128::from(MOST_SUM), i128::from(MOST_SUM)) as i64;
        if bounded.bound > top {
            return None;
        }
        if sum < i128::from(bounded.bound) {
            // The next dearer alternatives are dearer than the sum, not than the bound.
            bounded.regret.fill(0);
        }
        let room = (i128::from(top) - sum).min(i128::from(i64::MAX)) as i64;
        self.drop_dear(left, &picks, room)?;
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

    /// Raises lines turn by turn, as long as what opening units costs is not all paid.
    fn ascend(&mut self) {
        let mut blocked = vec![false; self.node.lines.len()];
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
    }

    /// Drops alternatives with which the bound would rise by more than `room`; none where a line has no other.
    fn drop_dear(&self, left: &mut [u32], picks: &[usize], room: i64) -> Option<()> {
        for ((line, bits), &pick) in self.node.lines.iter().zip(left).zip(picks) {
            let least = line.alternatives[pick].cost;
            for one in &line.alternatives {
                let uses = self.node.uses[one.uses.clone()].iter();
                // It opens what it uses: that is paid in full.
                let opens = uses.map(|&(slot, _)| {
                    let slot = &self.node.slots[slot];
                    self.node.units[slot.place].unpaid
                });
                let opens = opens.fold(0, i64::saturating_add);
                if opens.saturating_add(one.cost - least) > room {
                    *bits &= !(1 << one.at);
                }
            }
            if *bits == 0 {
                return None;
            }
        }
        Some(())
    }

    /// Leaves out sums of units at both ends with which the bound would rise by more than `room`.
    fn settle(&self, settled: &mut Vec<Settled>, room: i64) {
        for unit in &self.node.units {
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
        for unit in &self.node.units {
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
        let mut used = vec![0; self.node.units.len()];
        for (line, &pick) in self.node.lines.iter().zip(picks) {
            for &(slot, amount) in &self.node.uses[line.alternatives[pick].uses.clone()] {
                used[self.node.slots[slot].place] += amount;
            }
        }
        let mut best: Option<(f64, u32, i64)> = None;
        for (unit, used) in self.node.units.iter().zip(used) {
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
        for unit in &mut self.node.units {
            let once = unit.whole;
            if unit.is_open() || once < 0 {
                always += once;
                unit.once = 0;
            } else {
                unit.once = once as i64;
            }
            unit.unpaid = unit.once;
        }
        for slot in &mut self.node.slots {
            let unit = &mut self.node.units[slot.place];
            slot.paid = 0;
            if unit.once > 0 {
                slot.paid = (slot.share.max(0.0) as i64).min(unit.once);
                unit.unpaid -= slot.paid;
            }
        }
        for unit in &mut self.node.units {
            // More than all: the rest is given back whatever is taken.
            always += i128::from(unit.unpaid.min(0));
            unit.unpaid = unit.unpaid.max(0);
        }
        let most = i128::from(MOST_SUM);
        let alternatives = self.node.lines.iter_mut();
        for one in alternatives.flat_map(|line| &mut line.alternatives) {
            let uses = self.node.uses[one.uses.clone()].iter();
            let parts = uses.map(|&(slot, amount)| {
                let slot = &self.node.slots[slot];
                i128::from(slot.paid) + floored(self.node.units[slot.place].slope, amount)
            });
            let cost = i128::from(one.own) + parts.sum::<i128>();
            one.cost = cost.clamp(-most, most) as i64;
        }
        always
    }

    /// Raises the cheapest alternatives of a line to its next dearer one, as far as what they open is
    /// unpaid; false if nothing is.
    fn raise(&mut self, line: usize) -> bool {
        let line = &mut self.node.lines[line];
        let costs = || line.alternatives.iter().map(|one| one.cost);
        let least = costs().min().unwrap_or(0);
        let next = costs().filter(|&cost| cost > least).min();
        let mut rise = next.map_or(i64::MAX, |next| next - least);
        let mut raised: Vec<usize> = Vec::new();
        for one in line.alternatives.iter().filter(|one| one.cost == least) {
            let uses = self.node.uses[one.uses.clone()]
                .iter()
                .map(|&(slot, _)| slot);
            if uses.clone().any(|slot| raised.contains(&slot)) {
                continue;
            }
            let unpaid = |slot: &usize| self.node.units[self.node.slots[*slot].place].unpaid;
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
            let slot = &mut self.node.slots[slot];
            slot.paid += rise;
            self.node.units[slot.place].unpaid -= rise;
        }
        for one in &mut line.alternatives {
            let uses = self.node.uses[one.uses.clone()].iter();
            let times = uses.filter(|(slot, _)| raised.contains(slot)).count();
            one.cost += rise * times as i64;
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::open_samples::{
        OpenKitchen, count_ways, on_changed_kitchens, on_tiny_kitchens, one_side, used, ways, wild,
    };
    use crate::engine::model::samples::numbers;

    /// How often a bound was asked for, left nothing, and named a unit to split by.
    #[derive(Default)]
    struct Count {
        asked: u32,
        closed: u32,
        split: u32,
    }

    /// No way of taking the alternatives costs less than the bound, and none within the top is left out, whatever
    /// was settled.
    #[test]
    fn bounds_hold_for_every_way_of_taking_alternatives() {
        let mut count = Count::default();
        on_changed_kitchens(40, &mut numbers(11), |kitchen, next| {
            let some: Vec<usize> = (0..=next(3)).map(|_| next(kitchen.recipes.len())).collect();
            let set = OpenSet::new(some.iter().map(|&at| &kitchen.recipes[at]), 1);
            if (4..=3_000).contains(&count_ways(&set)) {
                split_down(kitchen, &set, next, &mut count);
            }
        });
        let Count {
            asked,
            closed,
            split,
        } = count;
        assert!(
            asked > 300 && closed > 5 && split > 200,
            "{asked} {closed} {split}"
        );
    }

    /// Bounds a set, then parts of it as its bounds say, each held against all ways.
    fn split_down(
        kitchen: &OpenKitchen,
        set: &OpenSet,
        next: &mut impl FnMut(usize) -> usize,
        count: &mut Count,
    ) {
        let label = &kitchen.label;
        let all: Vec<(i64, Vec<u8>)> = ways(set)
            .map(|picks| (kitchen.cost(set, &picks), picks))
            .collect();
        let mut bounding = OpenLines::new(1, kitchen.units);
        let (mut left, mut settled) = (set.all_left(), Vec::new());
        let top = match next(3) {
            0 => i64::MAX,
            _ => all[next(all.len())].0,
        };
        for _ in 0..8 {
            let before: Vec<&(i64, Vec<u8>)> = all
                .iter()
                .filter(|(cost, picks)| *cost <= top && within(set, picks, (&left, &settled)))
                .collect();
            let bounded = bounding.bound(
                (kitchen.gauge, 0),
                kitchen.pool,
                (set, &mut settled),
                (&mut left, top),
                None,
            );
            count.asked += 1;
            let Some(bounded) = bounded else {
                assert!(before.is_empty(), "{label}");
                count.closed += 1;
                break;
            };
            for (cost, picks) in before {
                assert!(bounded.bound <= *cost, "{label}: {picks:?}");
                assert!(within(set, picks, (&left, &settled)), "{label}: {picks:?}");
            }
            let Some((unit, least)) = bounded.split else {
                break;
            };
            count.split += 1;
            note(&mut settled, unit, one_side(least, next));
        }
    }

    /// Whatever prices and shares are proposed, numbers or none, no way costs less than the bound, and none within
    /// the top is left out.
    #[test]
    fn bounds_hold_whatever_is_proposed() {
        let (mut asked, mut dropped, mut open) = (0, 0, 0);
        on_tiny_kitchens(60, &mut numbers(12), |kitchen, next| {
            let some: Vec<usize> = (0..=next(3)).map(|_| next(kitchen.recipes.len())).collect();
            let set = OpenSet::new(some.iter().map(|&at| &kitchen.recipes[at]), 1);
            if !(4..=1_000).contains(&count_ways(&set)) {
                return;
            }
            let label = &kitchen.label;
            let all: Vec<(i64, Vec<u8>)> = ways(&set)
                .map(|picks| (kitchen.cost(&set, &picks), picks))
                .collect();
            let gauge = (kitchen.gauge, 0);
            let mut bounding = OpenLines::new(1, kitchen.units);
            let (mut left, mut settled) = (set.all_left(), Vec::new());
            for _ in 0..6 {
                let top = all[next(all.len())].0 + next(3) as i64;
                let asking = (&set, settled.as_slice());
                let before = left.clone();
                let Some(sure) = bounding.lay(gauge, kitchen.pool, asking, &mut left) else {
                    break;
                };
                bounding.propose(&set, (0, None), top);
                let few = 1 + next(12);
                for unit in &mut bounding.node.units {
                    if next(few) == 0 {
                        unit.offer(wild(next));
                        open += i32::from(unit.slope.0 < 0);
                    }
                }
                for slot in &mut bounding.node.slots {
                    if next(few) == 0 {
                        slot.share = wild(next);
                    }
                }
                let known = settled.clone();
                let lowered = set.lowered(gauge, kitchen.pool, top);
                let bounded = bounding.pay(&mut left, &mut settled, (sure, lowered));
                asked += 1;
                let still = all
                    .iter()
                    .filter(|(cost, picks)| *cost <= top && within(&set, picks, (&before, &known)));
                for (cost, picks) in still {
                    let bounded = bounded.as_ref().expect("a way is left");
                    assert!(bounded.bound <= *cost, "{label}: {picks:?}");
                    assert!(within(&set, picks, (&left, &settled)), "{label}: {picks:?}");
                }
                if bounded.is_none() {
                    break;
                }
                dropped += i32::from(left != before || settled.len() > known.len());
                let unit = &bounding.node.units[next(bounding.node.units.len())].range;
                if unit.most > unit.made {
                    let least = unit.made + 1 + next((unit.most - unit.made) as usize) as i64;
                    note(&mut settled, unit.unit, one_side(least, next));
                }
            }
        });
        assert!(
            asked > 500 && dropped > 100 && open > 50,
            "{asked} {dropped} {open}"
        );
    }

    /// Whether a way takes what is left and uses of units what is settled.
    fn within(set: &OpenSet, picks: &[u8], (left, settled): (&[u32], &[Settled])) -> bool {
        let mut open = picks.iter().zip(left);
        let open = open.all(|(&pick, bits)| bits >> pick & 1 == 1);
        let mut settled = settled.iter();
        open && settled.all(|one| (one.least..=one.most).contains(&used(set, picks, one.unit)))
    }
}
