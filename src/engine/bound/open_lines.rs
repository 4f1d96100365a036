//! What a set of lunches costs at least while lines of it still have several alternatives.
//!
//! Each line takes one of its alternatives, and all lines share what they use: a unit (a food, a
//! batch) costs the floor of its sum over all of them, not a sum of prices.
//!
//! Proof. Let m(u) be what all alternatives left make the lines use of u, so that a week uses
//! m(u) + t(u), where t(u) is the sum of what the alternatives taken use beyond that. Let b(u) be
//! the floor over all sums that can still come, and F(u) and c(u) >= 0 such that no week with t(u) > 0
//! has a floor below b(u) + F(u) + c(u) t(u) ([`Curve`]). Give each line l a part w(l, u) >= 0 of F(u), in
//! all no more than F(u). Then a week costs at least the sum of b(u) and, over lines, of the least
//! alternative's own cost with c(u) times what it uses beyond m(u) and w(l, u) for each unit of which it uses
//! more: the lines that take some of u pay no more than F(u) + c(u) t(u) for it together. An F(u) below 0, and
//! that of a unit of which more than m(u) is used for certain, is paid whatever is taken. The parts are
//! found by dual ascent: turn by turn a line raises its cheapest alternatives to its next dearer one, as
//! long as something of F(u) is left. An alternative whose own cost lies so far above its line's least that
//! the sum would pass the incumbent (or a ceiling) is in no week that matters.
//!
//! This is the dual of placing sites (here: foods to open) and customers (lines) of
//! Erlenkotter, A dual-based procedure for uncapacitated facility location, Operations Research
//! 26 (1978), with packs in steps in place of one fixed price (from memory).

use crate::engine::bound::curve::{Curve, Range, floored};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_set::{OpenRecipe, OpenSet, left_of};
use crate::engine::model::pool::Pool;
use crate::larder::MOST_DAYS;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// What is known of a set with open lines under one gauge.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Bounded {
    pub(in crate::engine) bound: i64,
    /// The cheapest alternative of each line, and how much dearer the next is.
    pub(in crate::engine) picks: Vec<u8>,
    pub(in crate::engine) regret: Vec<i64>,
    /// The unit of which the picks pay least of what opening it costs, what they leave unpaid, and how much
    /// of it is used once it is open.
    pub(in crate::engine) unpaid: Option<(i64, u32, i64)>,
}

/// How often each line is raised at the end.
const PASSES: usize = 60;

/// Turns of sharing out at the first node and at others, and how slowly shares begin to move.
const FIRST_TURNS: usize = 200;
const TURNS: usize = 24;
const PART: f64 = 4.0;

/// Share that every line has to begin with, as a part of all.
const SOME: f64 = 1e-6;

/// Scratch for bounds of sets with open lines.
pub(in crate::engine) struct OpenLines {
    curves: HashMap<(usize, Range), Arc<Curve>>,
    /// By gauge: what the last node ended with.
    before: Vec<Shared>,
    /// By unit: its place among the node's.
    places: Vec<u32>,
    units: Vec<Unit>,
    lines: Vec<LineNow>,
    /// Units that a line may use more of, one line after the other.
    slots: Vec<Slot>,
    /// What alternatives use beyond what must be: slot and amount.
    uses: Vec<(usize, i64)>,
}

/// What a node's prices were.
#[derive(Clone, Debug, Default)]
struct Shared {
    /// By line: units with the part of what opening them costs that the line bears.
    shares: Vec<Vec<(u32, f64)>>,
    /// By unit: how much of it is used about where it is.
    about: HashMap<u32, f64>,
}

/// What lines take by some prices.
#[derive(Debug, Default)]
struct Tally {
    sum: f64,
    prices: Vec<(f64, f64)>,
    /// By unit: lines that take it, and how much.
    takers: Vec<(u32, i64)>,
    /// By slot.
    taken: Vec<bool>,
}

/// What is left of a line.
#[derive(Debug)]
struct LineNow {
    alternatives: Vec<AlternativeNow>,
    slots: Span,
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
    /// What is taken of it about, where it is.
    about: f64,
    once: i64,
    slope: (i64, i64),
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
            before: vec![Shared::default(); gauges],
            places: vec![NONE; units],
            units: Vec::new(),
            lines: Vec::new(),
            slots: Vec::new(),
            uses: Vec::new(),
        }
    }

    /// Bounds a set under a gauge, and drops alternatives with which it would pass `top`. `settled` has
    /// units of which so much at least is used. None: nothing within `top` is left.
    pub(in crate::engine) fn bound(
        &mut self,
        (gauge, dimension): (&Gauge, usize),
        pool: &Pool,
        (set, settled): (&OpenSet, &[(u32, i64)]),
        (left, top): (&mut [u32], i64),
    ) -> Option<Bounded> {
        self.lay(set, settled, left);
        let base = self.draw(gauge, dimension, pool);
        let idle = gauge.restless.iter();
        let idle = idle.filter(|&&unit| self.places[unit as usize] == NONE);
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        let start = set.own[dimension] + gauge.constant + base + idle.sum::<i64>();
        self.share_out(set, dimension);
        self.ascend(left, (start, top))
    }

    /// The least that a week of any so many lunches has in any case, and a share of each recipe: no set of
    /// lunches costs less than that and its shares together.
    ///
    /// Proof. As above, with the same part of F(u) for each lunch, which its lines that may use the unit divide
    /// among them.
    pub(in crate::engine) fn shares(
        (gauge, dimension): (&Gauge, usize),
        pool: &Pool,
        recipes: &[&OpenRecipe],
        lunches: usize,
    ) -> (i64, Vec<i64>) {
        let mut ranges: BTreeMap<u32, Range> = BTreeMap::new();
        let mut users: Vec<BTreeMap<u32, i64>> = Vec::new();
        for recipe in recipes {
            let mut most: BTreeMap<u32, (i64, i64)> = BTreeMap::new();
            for line in &recipe.lines {
                let mut of_line: BTreeMap<u32, i64> = BTreeMap::new();
                for &(unit, amount) in line.iter().flat_map(|one| &one.units) {
                    let known = of_line.entry(unit).or_default();
                    *known = amount.max(*known);
                    let range = ranges.entry(unit).or_insert(Unit::new(unit).range);
                    range.step = range.step.min(amount);
                }
                for (unit, amount) in of_line {
                    let known = most.entry(unit).or_default();
                    *known = (known.0 + amount, known.1 + 1);
                }
            }
            for (unit, (sum, _)) in &most {
                let range = ranges.get_mut(unit).expect("noted above");
                range.most = range.most.max(sum * lunches as i64);
            }
            users.push(
                most.into_iter()
                    .map(|(unit, (_, lines))| (unit, lines))
                    .collect(),
            );
        }
        let mut base = gauge.constant;
        let mut prices: BTreeMap<u32, (i64, (i64, i64))> = BTreeMap::new();
        for (&unit, &range) in &ranges {
            let curve = Curve::new(gauge, pool, range);
            let (once, slope) = curve.at(range.most / 2);
            base += curve.base + once.min(0);
            prices.insert(unit, (once.max(0), slope));
        }
        let idle = gauge
            .restless
            .iter()
            .filter(|unit| !ranges.contains_key(unit));
        base += idle
            .map(|&unit| gauge.floor(unit, 0, pool.stretch(0)))
            .sum::<i64>();
        let share = |(recipe, users): (&&OpenRecipe, BTreeMap<u32, i64>)| {
            let lines = recipe.lines.iter().map(|line| {
                let costs = line.iter().map(|one| {
                    let units = one.units.iter().map(|&(unit, amount)| {
                        let (once, slope) = prices[&unit];
                        once / lunches as i64 / users[&unit] + floored(slope, amount)
                    });
                    one.own[dimension] + units.sum::<i64>()
                });
                costs.min().unwrap_or(0)
            });
            recipe.own[dimension] + lines.sum::<i64>()
        };
        let shares = recipes.iter().zip(users).map(share).collect();
        (base, shares)
    }

    /// Notes what all alternatives left use, and what each uses beyond that.
    fn lay(&mut self, set: &OpenSet, settled: &[(u32, i64)], left: &[u32]) {
        for unit in self.units.drain(..) {
            self.places[unit.range.unit as usize] = NONE;
        }
        self.lines.clear();
        self.slots.clear();
        self.uses.clear();
        let mut of_line: Vec<(u32, i64, i64, u32)> = Vec::new();
        for (at, (line, &bits)) in set.lines.iter().zip(left).enumerate() {
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
            self.lines.push(LineNow {
                alternatives,
                slots: slots..self.slots.len(),
            });
        }
        for &(unit, least) in settled {
            let place = self.places[unit as usize];
            if place != NONE {
                let settled = &mut self.units[place as usize].range.settled;
                *settled = least.max(*settled);
            }
        }
        for unit in &mut self.units {
            unit.range.lunches = unit.lunches.iter().filter(|lunch| lunch.must).count() as i64;
            if unit.lunches.iter().all(|lunch| !lunch.batched) {
                let most = unit.lunches.iter().map(|lunch| lunch.most);
                unit.range.a_lunch = most.max().unwrap_or(0);
            }
        }
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
            range.step = range.step.min(range.most - range.made);
            let curve = self.curves.entry((dimension, *range));
            let curve = curve.or_insert_with(|| Arc::new(Curve::new(gauge, pool, *range)));
            base += curve.base;
            unit.curve = Some(Arc::clone(curve));
        }
        base
    }

    /// Shares out what opening units costs among lines, and sets prices by weight: turn by turn more is borne
    /// by the lines whose cheapest alternative uses a unit, and the price goes by what those use of it.
    ///
    /// Shares and amounts move by a smaller part each turn, so that the sum of all lines' least costs
    /// rises in the long run (two players in turn: Robinson, An iterative method of solving a game, Annals of
    /// Mathematics 54 (1951), from memory). Fractions only propose: [`Self::ascend`] pays in whole numbers.
    fn share_out(&mut self, set: &OpenSet, dimension: usize) {
        let turns = if self.before[dimension].shares.is_empty() {
            FIRST_TURNS
        } else {
            TURNS
        };
        self.take_up(set, dimension);
        let mut tally = Tally::default();
        self.tally(&mut tally);
        let known: Vec<f64> = self.units.iter().map(|unit| unit.about).collect();
        self.forget_amounts();
        let sum = tally.sum;
        self.tally(&mut tally);
        if tally.sum < sum {
            for (unit, about) in self.units.iter_mut().zip(known) {
                unit.about = about;
            }
        }
        let mut best = (f64::NEG_INFINITY, Vec::new(), Vec::new());
        for turn in 0..=turns {
            // Shares first: both at once run away from one another.
            let fitting = 3 * turn > 2 * turns;
            self.tally(&mut tally);
            if tally.sum > best.0 {
                let shares = self.slots.iter().map(|slot| slot.share);
                let about = self.units.iter().map(|unit| unit.about);
                best = (tally.sum, shares.collect(), about.collect());
            }
            let part = 1.0 / (turn as f64 + PART);
            for (slot, &taken) in self.slots.iter_mut().zip(&tally.taken) {
                let (heads, _) = tally.takers[slot.place];
                if heads > 0 {
                    let given = if taken { 1.0 / f64::from(heads) } else { 0.0 };
                    slot.share += part * (given - slot.share);
                }
            }
            for (unit, &(heads, amount)) in self.units.iter_mut().zip(&tally.takers) {
                if fitting && heads > 0 {
                    unit.about += part * (amount as f64 - unit.about);
                }
            }
        }
        for (slot, share) in self.slots.iter_mut().zip(best.1) {
            slot.share = share;
        }
        for (unit, about) in self.units.iter_mut().zip(best.2) {
            unit.about = about;
        }
        self.hand_on(dimension);
    }

    /// What all lines take by the shares and prices at hand, and what they cost.
    fn tally(&self, tally: &mut Tally) {
        tally.prices.clear();
        tally.sum = 0.0;
        for unit in &self.units {
            let (once, slope) = unit.price();
            let always = if unit.is_open() { once } else { once.min(0) };
            tally.sum += always as f64;
            let slope = slope.0 as f64 / slope.1 as f64;
            tally.prices.push(((once - always) as f64, slope));
        }
        tally.takers.clear();
        tally.takers.resize(self.units.len(), (0, 0));
        tally.taken.clear();
        tally.taken.resize(self.slots.len(), false);
        for line in &self.lines {
            let mut least = (f64::INFINITY, 0..0);
            for one in &line.alternatives {
                let uses = self.uses[one.uses.clone()].iter();
                let parts = uses.map(|&(slot, amount)| {
                    let slot = &self.slots[slot];
                    let (once, slope) = tally.prices[slot.place];
                    once * slot.share + slope * amount as f64
                });
                let cost = one.own as f64 + parts.sum::<f64>();
                if cost < least.0 {
                    least = (cost, one.uses.clone());
                }
            }
            tally.sum += least.0;
            for &(slot, amount) in &self.uses[least.1] {
                let takers = &mut tally.takers[self.slots[slot].place];
                *takers = (takers.0 + 1, takers.1 + amount);
                tally.taken[slot] = true;
            }
        }
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
                            floored(prices[self.slots[slot].place].1, amount)
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

    /// Begins with the shares and amounts of the last node.
    fn take_up(&mut self, set: &OpenSet, dimension: usize) {
        let before = &self.before[dimension];
        let mut sums = vec![0.0; self.units.len()];
        for (at, line) in self.lines.iter_mut().enumerate() {
            let known = before.shares.get(at).map_or(&[][..], Vec::as_slice);
            for slot in &mut self.slots[line.slots.clone()] {
                let unit = self.units[slot.place].range.unit;
                let share = known.iter().find(|one| one.0 == unit);
                // Something for all, so that it can grow.
                slot.share = SOME + share.map_or(0.0, |one| one.1);
                sums[slot.place] += slot.share;
            }
            for one in &mut line.alternatives {
                one.own = set.lines[at][one.at].own[dimension];
            }
        }
        for slot in &mut self.slots {
            slot.share /= sums[slot.place];
        }
        for unit in &mut self.units {
            let known = before.about.get(&unit.range.unit);
            unit.about = known.copied().unwrap_or(unit.range.most as f64 / 2.0);
        }
    }

    /// Amounts as if every line that may use a unit did so, half of the time.
    fn forget_amounts(&mut self) {
        for unit in &mut self.units {
            unit.about = unit.range.most as f64 / 2.0;
        }
    }

    fn hand_on(&mut self, dimension: usize) {
        let before = &mut self.before[dimension];
        before.shares.resize(self.lines.len(), Vec::new());
        for (line, shares) in self.lines.iter().zip(&mut before.shares) {
            shares.clear();
            let slots = &self.slots[line.slots.clone()];
            shares.extend(
                slots
                    .iter()
                    .map(|slot| (self.units[slot.place].range.unit, slot.share)),
            );
        }
        for unit in &self.units {
            before.about.insert(unit.range.unit, unit.about);
        }
    }

    /// Pays what opening units costs by the shares, and what is left of it turn by turn; drops alternatives that
    /// are too dear.
    fn ascend(&mut self, left: &mut [u32], (start, top): (i64, i64)) -> Option<Bounded> {
        let mut bounded = Bounded {
            bound: start + self.set_costs(),
            ..Bounded::default()
        };
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
            bounded.bound += least;
            bounded.picks.push(line.alternatives[pick].at as u8);
            bounded.regret.push(next.map_or(0, |next| next - least));
            picks.push(pick);
        }
        if bounded.bound > top {
            return None;
        }
        let room = top.saturating_sub(bounded.bound);
        for ((line, bits), &pick) in self.lines.iter().zip(left).zip(&picks) {
            let least = line.alternatives[pick].cost;
            for one in &line.alternatives {
                if one.cost - least > room {
                    *bits &= !(1 << one.at);
                }
            }
        }
        bounded.unpaid = self.unpaid(&picks);
        Some(bounded)
    }

    /// Sets prices in whole numbers, and what each alternative costs by them; returns what is paid in any case.
    fn set_costs(&mut self) -> i64 {
        let mut always = 0;
        for unit in &mut self.units {
            (unit.once, unit.slope) = unit.price();
            if unit.is_open() || unit.once < 0 {
                always += unit.once;
                unit.once = 0;
            }
            unit.unpaid = unit.once;
        }
        for slot in &mut self.slots {
            let unit = &mut self.units[slot.place];
            slot.paid = ((unit.once as f64 * slot.share) as i64).clamp(0, unit.unpaid);
            unit.unpaid -= slot.paid;
        }
        for one in self
            .lines
            .iter_mut()
            .flat_map(|line| &mut line.alternatives)
        {
            let uses = self.uses[one.uses.clone()].iter();
            let parts = uses.map(|&(slot, amount)| {
                let slot = &self.slots[slot];
                slot.paid + floored(self.units[slot.place].slope, amount)
            });
            one.cost = one.own + parts.sum::<i64>();
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

    /// The unit of which the picks leave most unpaid, if any.
    fn unpaid(&self, picks: &[usize]) -> Option<(i64, u32, i64)> {
        let mut lacks: Vec<Option<i64>> = vec![None; self.units.len()];
        for (line, &pick) in self.lines.iter().zip(picks) {
            for &(slot, _) in &self.uses[line.alternatives[pick].uses.clone()] {
                let slot = &self.slots[slot];
                let lack = lacks[slot.place].get_or_insert(self.units[slot.place].once);
                *lack -= slot.paid;
            }
        }
        let lacks = lacks.iter().zip(&self.units);
        let lacks = lacks.filter_map(|(lack, unit)| {
            let lack = lack.filter(|&lack| lack > 0)?;
            let range = unit.range;
            let opened = range.made + range.step;
            (range.settled < opened).then_some((lack, range.unit, opened))
        });
        lacks.max_by_key(|&(lack, unit, _)| (lack, std::cmp::Reverse(unit)))
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
            about: 0.0,
            once: 0,
            slope: (0, 1),
            unpaid: 0,
        }
    }

    /// What is paid once, and by weight, for about what is used.
    fn price(&self) -> (i64, (i64, i64)) {
        let curve = self.curve.as_ref();
        curve.map_or((0, (0, 1)), |curve| curve.at(self.about as i64))
    }

    /// Whether more than what must be is used for certain.
    fn is_open(&self) -> bool {
        self.range.settled > self.range.made
    }
}
