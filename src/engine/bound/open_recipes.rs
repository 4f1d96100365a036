//! What weeks cost at least of which some lunches are chosen, others are still to be chosen among candidates, and lines
//! of all of them still have several alternatives.
//!
//! Proof. Let F(u) and c(u) be as in [`crate::engine::bound::open_lines`], with nothing that must be used. Give each line l
//! of each recipe, chosen or candidate, a part w(l, u) >= 0 of F(u). A week takes all chosen lunches and so many of the
//! candidates as are missing, none of them more often than it may come. So the lines of it that take some of u
//! pay no more for it than all lines of what is chosen and the largest sums of parts of so many candidates: call what is left
//! of F(u) beside these R(u). Where some of u is used, it costs F(u) + c(u) t(u) at least, which is R(u) and more
//! beyond c(u) t(u) and the parts of the lines that use it; where none is, nothing, and R(u) is counted only where it is below 0.
//! A week then costs at least the floors of what is used in any case, every R(u) below 0 (of a unit that must be used the whole
//! F(u), no part of which is given to lines), and the shares of its lunches: what a recipe costs in any case and, over
//! its lines, the least of what an alternative costs by itself with c(u) times what it uses and w(l, u) of each unit of it. The
//! candidates of any week have shares of no less in all than the smallest of so many.
//!
//! The parts are proposed in fractions: lines have a multiplier each, what they may cost at the most. A unit chooses all that is
//! worth more than its price by weight among the lines of what is chosen and of the candidates that give most, if that is worth more
//! than what it costs once; and the recipes of the smallest sums of multipliers are chosen. Multipliers move by the difference
//! of both, as in [`crate::engine::bound::multipliers`].

use crate::engine::bound::curve::{Curve, PRICE_PARTS, Range, floored};
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::multipliers::{FRESH, LONGER, PATIENCE, SHORTER, STEP};
use crate::engine::bound::open_lines::{LITTLE, Settled, note};
use crate::engine::bound::open_set::OpenRecipe;
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

/// What is known of lunches partly chosen.
#[derive(Clone, Debug)]
pub(in crate::engine) struct PartialBound {
    /// What any week costs beside the candidates' shares.
    pub(in crate::engine) paid: i64,
    /// Candidates left with their shares, the smallest first.
    pub(in crate::engine) shares: Vec<(i64, u32)>,
    pub(in crate::engine) bound: i64,
    /// A unit to split by: how much more it costs in the mean than is paid, and the least sum of the part where more
    /// of it is used.
    pub(in crate::engine) split: Option<(f64, u32, i64)>,
    /// By line of all recipes, one recipe after the other.
    pub(in crate::engine) multipliers: Arc<[f64]>,
}

/// Curves kept at most: memory, not exactness.
const MOST_CURVES: usize = 50_000;

/// Prices by weight tried for a unit at most.
const SLOPES: usize = 5;

/// Scratch for bounds of lunches partly chosen, under one gauge.
pub(in crate::engine) struct OpenRecipes<'r> {
    recipes: &'r [OpenRecipe],
    /// First line of each recipe among all, and the end.
    start: Vec<usize>,
    curves: HashMap<Range, Arc<Curve>>,
    places: Vec<u32>,
    members: Vec<Member>,
    lines: Vec<Line>,
    choices: Vec<Choice>,
    uses: Vec<Use>,
    units: Vec<Unit>,
}

/// A lunch chosen, or a candidate.
struct Member {
    recipe: u32,
    chosen: bool,
    own: i64,
    lines: Span<usize>,
}

struct Line {
    member: usize,
    choices: Span<usize>,
    /// The least of an alternative that uses nothing: a multiplier above it is worth nothing.
    free: f64,
}

struct Choice {
    own: i64,
    uses: Span<usize>,
}

#[derive(Clone, Copy)]
struct Use {
    unit: usize,
    line: usize,
    amount: i64,
}

/// A unit that some alternative left uses.
struct Unit {
    range: Range,
    cap: i64,
    curve: Option<Arc<Curve>>,
    /// Prices by weight that may be asked, and what is paid once then.
    slopes: Vec<(f64, f64)>,
    uses: Vec<usize>,
    /// The price that was best last.
    slope: f64,
    /// In the mean: how much is used, and what that costs.
    mean: (f64, f64),
}

/// What is chosen by some multipliers.
#[derive(Clone, Default)]
struct Chosen {
    sum: f64,
    worth: Vec<f64>,
    taken: Vec<f64>,
    /// By member: how often it is chosen.
    times: Vec<f64>,
    slopes: Vec<f64>,
    used: Vec<(f64, f64)>,
}

const NONE: u32 = u32::MAX;

impl<'r> OpenRecipes<'r> {
    /// Scratch for recipes of a larder with so many units.
    pub(in crate::engine) fn new(recipes: &'r [OpenRecipe], units: usize) -> Self {
        let mut start = vec![0];
        for recipe in recipes {
            start.push(start[start.len() - 1] + recipe.lines.len());
        }
        Self {
            recipes,
            start,
            curves: HashMap::new(),
            places: vec![NONE; units],
            members: Vec::new(),
            lines: Vec::new(),
            choices: Vec::new(),
            uses: Vec::new(),
            units: Vec::new(),
        }
    }

    /// Bounds lunches partly chosen under the first gauge, leaves candidates out with which the bound would pass `top`, and
    /// settles how much of units may be used. None: nothing within `top` is left.
    pub(in crate::engine) fn bound(
        &mut self,
        (gauge, pool): (&Gauge, &Pool),
        partial: &Partial,
        (settled, top): (&mut Vec<Settled>, i64),
        (start, turns): (Option<&[f64]>, usize),
    ) -> Option<PartialBound> {
        self.lay(partial, settled)?;
        let floors = self.draw(gauge, pool);
        let idle = gauge.restless.iter();
        let idle = idle.filter(|&&unit| self.places[unit as usize] == NONE);
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        let sure = gauge.constant + floors + idle.sum::<i64>();
        let (chosen, multipliers) = self.propose(partial, start, (turns, top as f64 - sure as f64));
        self.pay(partial, (settled, top), sure, (&chosen, multipliers))
    }

    /// Uses that were looked at last.
    pub(in crate::engine) fn size(&self) -> usize {
        self.uses.len()
    }

    /// Lists what is left.
    fn lay(&mut self, partial: &Partial, settled: &[Settled]) -> Option<()> {
        for unit in self.units.drain(..) {
            self.places[unit.range.unit as usize] = NONE;
        }
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
            let recipe = &self.recipes[at as usize];
            let fits = |alternative: &crate::engine::bound::open_set::Alternative| {
                let mut units = alternative.units.iter();
                units.all(|(unit, amount)| caps.get(unit).is_none_or(|cap| amount <= cap))
            };
            if !recipe.lines.iter().all(|line| line.iter().any(fits)) {
                if chosen {
                    return None;
                }
                continue;
            }
            let from = self.lines.len();
            let mut most: Vec<(u32, i64)> = Vec::new();
            for line in &recipe.lines {
                let choices = self.choices.len();
                let mut free = f64::INFINITY;
                let before = most.len();
                for alternative in line.iter().filter(|one| fits(one)) {
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
                    let own = alternative.own[0];
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
            let mut sums: HashMap<u32, i64> = HashMap::new();
            for &(unit, amount) in &most {
                *sums.entry(unit).or_default() += amount;
            }
            for &(unit, _) in &most {
                let Some(sum) = sums.remove(&unit) else {
                    continue;
                };
                let place = self.places[unit as usize] as usize;
                if chosen {
                    self.units[place].range.most += sum;
                } else {
                    let known = largest.entry(unit).or_default();
                    *known = sum.max(*known);
                }
            }
            self.members.push(Member {
                recipe: at,
                chosen,
                own: recipe.own[0],
                lines: from..self.lines.len(),
            });
        }
        for unit in &mut self.units {
            let more = largest.get(&unit.range.unit).copied().unwrap_or(0);
            unit.range.most += more * partial.missing as i64;
        }
        for one in settled {
            let place = self.places[one.unit as usize];
            if one.least > one.most || place == NONE && one.least > 0 {
                return None;
            }
            if place != NONE {
                let unit = &mut self.units[place as usize];
                if unit.range.most < one.least {
                    return None;
                }
                unit.range.settled = one.least;
                unit.cap = one.most;
            }
        }
        let left = self.members.iter().filter(|member| !member.chosen).count();
        (left * partial.copies >= partial.missing).then_some(())
    }

    fn place_of(&mut self, unit: u32) -> usize {
        let place = &mut self.places[unit as usize];
        if *place == NONE {
            *place = self.units.len() as u32;
            self.units.push(Unit {
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
            });
        }
        *place as usize
    }

    /// Draws the curves; returns what units cost in any case.
    fn draw(&mut self, gauge: &Gauge, pool: &Pool) -> i64 {
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
            unit.slopes = slopes.map(|slope| (slope, once(slope))).collect();
            unit.curve = Some(Arc::clone(curve));
        }
        floors
    }

    /// Multipliers by line, and what is chosen by the best.
    fn propose(
        &mut self,
        partial: &Partial,
        start: Option<&[f64]>,
        (turns, top): (usize, f64),
    ) -> (Chosen, Vec<f64>) {
        let mut best_lines = match start {
            Some(known) => self.known(known),
            None => self.first(partial),
        };
        let mut best_beyond = vec![0.0; self.uses.len()];
        let mut best = Chosen::default();
        let mut sums: Vec<(f64, usize)> = Vec::new();
        self.choose(partial, (&best_lines, &best_beyond), &mut sums, &mut best);
        let (mut mean, mut chosen) = (best.clone(), best.clone());
        let (mut step, mut stale) = (STEP, 0);
        let (mut lines, mut beyond) = (best_lines.clone(), best_beyond.clone());
        for _ in 0..turns {
            if best.sum > top {
                break;
            }
            let (over, apart) = self.slack(&mean);
            let square: f64 = over.iter().chain(&apart).map(|part| part * part).sum();
            if square < 1e-12 {
                break;
            }
            let target = best.sum + (0.05 * best.sum.abs()).min((top - best.sum) * 1.1).max(1.0);
            let length = step * (target - best.sum) / square;
            for (at, line) in lines.iter_mut().enumerate() {
                *line = (best_lines[at] + length * over[at]).min(self.lines[at].free);
            }
            for (at, part) in beyond.iter_mut().enumerate() {
                *part = best_beyond[at] + length * apart[at];
            }
            self.choose(partial, (&lines, &beyond), &mut sums, &mut chosen);
            mix(&mut mean, &chosen);
            if chosen.sum > best.sum {
                best_lines.clone_from(&lines);
                best_beyond.clone_from(&beyond);
                best.clone_from(&chosen);
                (step, stale) = ((step * LONGER).min(2.0), 0);
            } else {
                stale += 1;
                if stale == PATIENCE {
                    (step, stale) = (step * SHORTER, 0);
                }
            }
        }
        for (unit, (&mean, &slope)) in self
            .units
            .iter_mut()
            .zip(mean.used.iter().zip(&best.slopes))
        {
            unit.mean = mean;
            unit.slope = slope;
        }
        (best, best_lines)
    }

    /// Multipliers known by line of all recipes.
    fn known(&self, known: &[f64]) -> Vec<f64> {
        let members = self.members.iter();
        let lines = members.flat_map(|member| {
            let first = self.start[member.recipe as usize];
            known[first..first + member.lines.len()].iter()
        });
        let lines = lines.zip(&self.lines);
        lines.map(|(&known, line)| known.min(line.free)).collect()
    }

    /// What the cheapest alternative of each line costs, with an even part of what opening costs.
    fn first(&self, partial: &Partial) -> Vec<f64> {
        let lunches = (partial.chosen.len() + partial.missing).max(1) as f64;
        let lines = self.lines.iter().map(|line| {
            let choices = self.choices[line.choices.clone()].iter().map(|choice| {
                let uses = self.uses[choice.uses.clone()].iter().map(|one| {
                    let unit = &self.units[one.unit];
                    let (slope, once) = unit.slopes[unit.slopes.len() - 1];
                    let users = self.members[line.member].lines.len() as f64;
                    slope * one.amount as f64 + once.max(0.0) / lunches / users
                });
                choice.own as f64 + uses.sum::<f64>()
            });
            choices.fold(f64::INFINITY, f64::min)
        });
        lines.collect()
    }

    /// By line how much of it is asked for and not taken, and by use how much more other units take of its alternative.
    fn slack(&self, mean: &Chosen) -> (Vec<f64>, Vec<f64>) {
        let mut apart = vec![0.0; self.uses.len()];
        let over = self.lines.iter().map(|line| {
            let mut over = mean.times[line.member];
            for choice in &self.choices[line.choices.clone()] {
                let taken = &mean.taken[choice.uses.clone()];
                let part = taken.iter().sum::<f64>() / taken.len().max(1) as f64;
                if taken.len() > 1 {
                    for (apart, &taken) in apart[choice.uses.clone()].iter_mut().zip(taken) {
                        *apart = part - taken;
                    }
                }
                over -= part;
            }
            over
        });
        let over = over.collect();
        (over, apart)
    }

    /// What units and recipes choose by some multipliers, and the bound.
    fn choose(
        &self,
        partial: &Partial,
        (lines, beyond): (&[f64], &[f64]),
        sums: &mut Vec<(f64, usize)>,
        chosen: &mut Chosen,
    ) {
        chosen.worth.clear();
        for (line, &worth) in self.lines.iter().zip(lines) {
            for choice in &self.choices[line.choices.clone()] {
                let part = (worth - choice.own as f64) / choice.uses.len().max(1) as f64;
                let worth = choice.uses.clone().map(|at| part + beyond[at]);
                chosen.worth.extend(worth);
            }
        }
        chosen.sum = 0.0;
        chosen.times.clear();
        sums.clear();
        for (at, member) in self.members.iter().enumerate() {
            let sum = member.own as f64 + lines[member.lines.clone()].iter().sum::<f64>();
            chosen.times.push(f64::from(u8::from(member.chosen)));
            if member.chosen {
                chosen.sum += sum;
            } else {
                sums.push((-sum, at));
            }
        }
        chosen.sum -= most_of(sums, partial, |at, times| chosen.times[at] = times as f64);
        chosen.taken.clear();
        chosen.taken.resize(self.uses.len(), 0.0);
        chosen.slopes.clear();
        chosen.used.clear();
        for unit in &self.units {
            let mut best = (f64::NEG_INFINITY, 0.0, 0.0);
            for &(slope, once) in &unit.slopes {
                let value = once - self.gives(unit, slope, partial, (&chosen.worth, sums));
                if value > best.0 {
                    best = (value, slope, once);
                }
            }
            let (value, slope, once) = best;
            let open = unit.range.settled > 0;
            chosen.slopes.push(slope);
            if value >= 0.0 && !open {
                chosen.used.push((0.0, 0.0));
                continue;
            }
            chosen.sum += value;
            self.gives(unit, slope, partial, (&chosen.worth, sums));
            let mut times = vec![0.0; self.members.len()];
            for (times, member) in times.iter_mut().zip(&self.members) {
                *times = f64::from(u8::from(member.chosen));
            }
            most_of(sums, partial, |at, taken| times[at] = taken as f64);
            let mut used = 0.0;
            for (place, _) in self.best_uses(unit, slope, &chosen.worth) {
                let times = times[self.lines[self.uses[place].line].member];
                chosen.taken[place] = times;
                used += times * self.uses[place].amount as f64;
            }
            chosen.used.push((used, once + slope * used));
        }
    }

    /// By line that something is worth more in than the price by weight: the use, and by how much.
    fn best_uses<'s>(
        &'s self,
        unit: &'s Unit,
        slope: f64,
        worth: &'s [f64],
    ) -> impl Iterator<Item = (usize, f64)> + 's {
        let beyond = move |at: usize| worth[at] - slope * self.uses[at].amount as f64;
        let of_line = |one: &usize, other: &usize| self.uses[*one].line == self.uses[*other].line;
        let lines = unit.uses.chunk_by(of_line);
        lines.filter_map(move |uses| {
            let best = uses.iter().map(|&at| (at, beyond(at)));
            let best = best.max_by(|one, other| one.1.total_cmp(&other.1));
            best.filter(|best| best.1 > 0.0)
        })
    }

    /// What a unit is worth to all lines beyond its price by weight; leaves the sums of candidates, in no order.
    fn gives(
        &self,
        unit: &Unit,
        slope: f64,
        partial: &Partial,
        (worth, sums): (&[f64], &mut Vec<(f64, usize)>),
    ) -> f64 {
        sums.clear();
        let mut chosen = 0.0;
        for (place, beyond) in self.best_uses(unit, slope, worth) {
            let member = self.lines[self.uses[place].line].member;
            if self.members[member].chosen {
                chosen += beyond;
                continue;
            }
            match sums.last_mut() {
                Some(last) if last.1 == member => last.0 += beyond,
                _ => sums.push((beyond, member)),
            }
        }
        chosen + most_of(sums, partial, |_, _| ())
    }

    /// Pays in whole numbers what was proposed.
    fn pay(
        &self,
        partial: &Partial,
        (settled, top): (&mut Vec<Settled>, i64),
        sure: i64,
        (chosen, multipliers): (&Chosen, Vec<f64>),
    ) -> Option<PartialBound> {
        let limit = MOST_SUM / 256;
        let mut paid = i128::from(sure);
        // By use, what the alternative costs by it.
        let mut costs = vec![0_i128; self.uses.len()];
        let mut terms: Vec<((i64, i64), i128, i128)> = Vec::with_capacity(self.units.len());
        for unit in &self.units {
            let curve = unit.curve.as_ref()?;
            let open = unit.range.settled > 0;
            let most = limit as f64 / unit.range.most.max(1) as f64;
            let mut slope = (
                (unit.slope.clamp(0.0, most) * PRICE_PARTS as f64) as i64,
                PRICE_PARTS,
            );
            let mut once = curve.once(slope, unit.range.settled);
            if once.abs() > i128::from(limit) {
                slope = (0, 1);
                once = curve.once(slope, unit.range.settled);
            }
            for &at in &unit.uses {
                costs[at] = floored(slope, self.uses[at].amount);
            }
            if open || once < 0 {
                paid += once;
                terms.push((slope, once, 0));
                continue;
            }
            let by_weight = slope.0 as f64 / slope.1 as f64;
            let mut sums: Vec<(i128, usize)> = Vec::new();
            let mut all = 0_i128;
            let of_line =
                |one: &usize, other: &usize| self.uses[*one].line == self.uses[*other].line;
            for uses in unit.uses.chunk_by(of_line) {
                let beyond = uses
                    .iter()
                    .map(|&at| chosen.worth[at] - by_weight * self.uses[at].amount as f64);
                let part = beyond.fold(0.0, f64::max).min(limit as f64) as i64;
                let part = i128::from(part).min(once);
                for &at in uses {
                    costs[at] += part;
                }
                let member = self.lines[self.uses[uses[0]].line].member;
                if self.members[member].chosen {
                    all += part;
                } else {
                    match sums.last_mut() {
                        Some(last) if last.1 == member => last.0 += part,
                        _ => sums.push((part, member)),
                    }
                }
            }
            sums.sort_unstable_by(|one, other| other.cmp(one));
            all += of_first(&sums, partial);
            paid += (once - all).min(0);
            terms.push((slope, once, (once - all).max(0)));
        }
        let mut shares: Vec<(i64, u32)> = Vec::new();
        for member in &self.members {
            let mut share = i128::from(member.own);
            for line in &self.lines[member.lines.clone()] {
                let choices = self.choices[line.choices.clone()].iter();
                let least = choices.map(|choice| {
                    i128::from(choice.own) + costs[choice.uses.clone()].iter().sum::<i128>()
                });
                share += least.min().unwrap_or(0);
            }
            if member.chosen {
                paid += share;
            } else {
                shares.push((clamped(share), member.recipe));
            }
        }
        shares.sort_unstable();
        let paid = clamped(paid);
        let wide: Vec<(i128, usize)> = shares.iter().map(|one| (one.0.into(), 0)).collect();
        let bound = clamped(i128::from(paid) + of_first(&wide, partial));
        if bound > top {
            return None;
        }
        let room = i128::from(top) - i128::from(bound);
        if partial.missing > 0 {
            // One more of a recipe takes the place of the dearest of the smallest.
            let dearest = shares[(partial.missing - 1) / partial.copies].0;
            shares.retain(|one| i128::from(one.0) - i128::from(dearest) <= room);
        }
        let mut split: Option<(f64, u32, i64)> = None;
        let little = bound.unsigned_abs() as f64 * LITTLE;
        for (unit, &(slope, once, unpaid)) in self.units.iter().zip(&terms) {
            let Some(curve) = &unit.curve else { continue };
            if top < i64::MAX {
                let rest = room - unpaid;
                let (least, most) = curve.within(&unit.range, (once, slope), rest);
                if least > unit.range.settled || most < unit.range.most {
                    note(settled, unit.range.unit, (least, most.min(unit.range.most)));
                }
            }
            let found = curve.split(&unit.range, unit.mean);
            if let Some((score, least)) = found
                && score > little
                && split.is_none_or(|best| score > best.0)
            {
                split = Some((score, unit.range.unit, least));
            }
        }
        let mut all = vec![0.0; self.start[self.start.len() - 1]];
        for member in &self.members {
            let first = self.start[member.recipe as usize];
            let lines = multipliers[member.lines.clone()].iter();
            for (known, &line) in all[first..].iter_mut().zip(lines) {
                *known = line;
            }
        }
        Some(PartialBound {
            paid,
            shares,
            bound,
            split,
            multipliers: all.into(),
        })
    }
}

/// A sum as any bound above all that a week can have.
fn clamped(sum: i128) -> i64 {
    sum.clamp(-i128::from(MOST_SUM), i128::from(MOST_SUM)) as i64
}

/// The largest sum of as many candidates as are missing; tells which these are.
fn most_of(
    sums: &mut [(f64, usize)],
    partial: &Partial,
    mut tell: impl FnMut(usize, usize),
) -> f64 {
    let mut missing = partial.missing;
    let whole = missing.div_ceil(partial.copies.max(1));
    let before = |one: &(f64, usize), other: &(f64, usize)| {
        other.0.total_cmp(&one.0).then(one.1.cmp(&other.1))
    };
    if whole > 0 && whole < sums.len() {
        sums.select_nth_unstable_by(whole - 1, before);
    }
    let first = whole.min(sums.len());
    sums[..first].sort_unstable_by(before);
    let mut sum = 0.0;
    for &(more, at) in &sums[..first] {
        let times = partial.copies.min(missing);
        missing -= times;
        sum += more * times as f64;
        tell(at, times);
    }
    sum
}

/// The sum of the first so many as are missing, each as often as it may come.
fn of_first(sums: &[(i128, usize)], partial: &Partial) -> i128 {
    let mut missing = partial.missing;
    let mut all = 0;
    for &(sum, _) in sums {
        let times = partial.copies.min(missing);
        missing -= times;
        all += sum * times as i128;
    }
    all
}

fn mix(mean: &mut Chosen, chosen: &Chosen) {
    let blend = |mean: &mut f64, new: f64| *mean += FRESH * (new - *mean);
    for (mean, &new) in mean.taken.iter_mut().zip(&chosen.taken) {
        blend(mean, new);
    }
    for (mean, &new) in mean.times.iter_mut().zip(&chosen.times) {
        blend(mean, new);
    }
    for (mean, &new) in mean.used.iter_mut().zip(&chosen.used) {
        blend(&mut mean.0, new.0);
        blend(&mut mean.1, new.1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::amounts::Amounts;
    use crate::engine::bound::open_samples::changed;
    use crate::engine::bound::open_set::{Needs, OpenSet};
    use crate::engine::model::items::{Item, Lines};
    use crate::engine::model::samples::{kitchen, numbers};
    use crate::engine::model::score::Weights;
    use crate::larder::Aim;

    /// Lunches of a week, what it uses of each unit, and what it costs by its floors.
    struct Week {
        recipes: Vec<u32>,
        used: HashMap<u32, i64>,
        cost: i64,
    }

    /// All weeks of some lunches and of so many more, at most so many ways of each.
    fn weeks(
        recipes: &[OpenRecipe],
        partial: &Partial,
        cost: impl Fn(&OpenSet, &[u8]) -> i64,
    ) -> Option<Vec<Week>> {
        let mut sets: Vec<Vec<u32>> = vec![partial.chosen.to_vec()];
        for turn in 0..partial.missing {
            let grown = sets.iter().flat_map(|set| {
                let last = (turn > 0).then(|| set[set.len() - 1]);
                let more = partial.candidates.iter().filter(move |&&at| {
                    let times = set[partial.chosen.len()..].iter().filter(|&&one| one == at);
                    last.is_none_or(|last| at >= last) && times.count() < partial.copies
                });
                more.map(move |&at| [&set[..], &[at]].concat())
            });
            sets = grown.collect();
        }
        let mut all = Vec::new();
        for recipes_of in sets {
            let set = OpenSet::new(recipes_of.iter().map(|&at| &recipes[at as usize]), 1);
            let ways = set.lines.iter().map(|line| line.len());
            let ways = ways.fold(1_usize, usize::saturating_mul);
            if ways > 500 {
                return None;
            }
            for mut at in 0..ways {
                let lines = set.lines.iter();
                let picks: Vec<u8> = lines
                    .map(|line| {
                        let pick = at % line.len();
                        at /= line.len();
                        pick as u8
                    })
                    .collect();
                let mut used: HashMap<u32, i64> = HashMap::new();
                for (line, &pick) in set.lines.iter().zip(&picks) {
                    for &(unit, amount) in &line[usize::from(pick)].units {
                        *used.entry(unit).or_default() += amount;
                    }
                }
                all.push(Week {
                    recipes: recipes_of.clone(),
                    used,
                    cost: cost(&set, &picks),
                });
            }
        }
        Some(all)
    }

    /// No week of what is chosen and of candidates costs less than the bound or than its lunches' shares, and none
    /// within the top is left out, whatever was settled.
    #[test]
    fn bounds_hold_for_every_week_of_lunches_partly_chosen() {
        let mut next = numbers(19);
        let (mut asked, mut closed, mut split, mut met) = (0, 0, 0, 0);
        for name in [
            "stored/everything",
            "stored/stock-on-hand",
            "stored/two-trips",
            "stored/ripening-fruit",
            "stored/plain-packs",
        ] {
            let sound = kitchen(name);
            for turn in 0..60 {
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
                let recipes: Vec<OpenRecipe> = lines
                    .iter()
                    .map(|lines| OpenRecipe::new(&pool, lines, &[&gauge], &Needs::default()))
                    .collect();
                let some = |count: usize, next: &mut dyn FnMut(usize) -> usize| -> Vec<u32> {
                    let mut some: Vec<u32> =
                        (0..count).map(|_| next(recipes.len()) as u32).collect();
                    some.sort_unstable();
                    some.dedup();
                    some
                };
                let chosen = some(next(2), &mut next);
                let mut candidates = some(1 + next(4), &mut next);
                let partial = Partial {
                    chosen: &chosen,
                    candidates: &candidates.clone(),
                    missing: 1 + next(2),
                    copies: 1 + next(2),
                };
                let cost = |set: &OpenSet, picks: &[u8]| set.cost((&gauge, 0), &pool, picks);
                let Some(all) = weeks(&recipes, &partial, cost) else {
                    continue;
                };
                if all.is_empty() {
                    continue;
                }
                let mut bounding =
                    OpenRecipes::new(&recipes, larder.foods.len() + larder.components.len());
                let mut settled = Vec::new();
                let mut multipliers: Option<Arc<[f64]>> = None;
                let top = match next(3) {
                    0 => i64::MAX,
                    _ => all[next(all.len())].cost,
                };
                for _ in 0..6 {
                    let within = |week: &Week, settled: &[Settled], candidates: &[u32]| {
                        let used = |unit: u32| week.used.get(&unit).copied().unwrap_or(0);
                        let more = &week.recipes[chosen.len()..];
                        settled
                            .iter()
                            .all(|one| (one.least..=one.most).contains(&used(one.unit)))
                            && more.iter().all(|at| candidates.contains(at))
                    };
                    let before: Vec<&Week> = all
                        .iter()
                        .filter(|week| week.cost <= top && within(week, &settled, &candidates))
                        .collect();
                    let partial = Partial {
                        candidates: &candidates,
                        ..partial.clone()
                    };
                    let found = bounding.bound(
                        (&gauge, &pool),
                        &partial,
                        (&mut settled, top),
                        (multipliers.as_deref(), 1 + next(60)),
                    );
                    asked += 1;
                    let Some(found) = found else {
                        assert!(before.is_empty(), "{name} {turn}");
                        closed += 1;
                        break;
                    };
                    let kept: Vec<u32> = found.shares.iter().map(|one| one.1).collect();
                    let least = before.iter().map(|week| week.cost).min();
                    met += i32::from(least == Some(found.bound));
                    for week in before {
                        let more = &week.recipes[chosen.len()..];
                        let share = |at: &u32| found.shares.iter().find(|one| one.1 == *at);
                        let shares = more.iter().map(|at| share(at).expect("left").0);
                        assert!(found.bound <= week.cost, "{name} {turn}");
                        assert!(
                            found.paid + shares.sum::<i64>() <= week.cost,
                            "{name} {turn}"
                        );
                        assert!(within(week, &settled, &kept), "{name} {turn}");
                    }
                    candidates = kept;
                    multipliers = Some(found.multipliers);
                    let Some((_, unit, least)) = found.split else {
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
            asked > 200 && closed > 5 && split > 100 && met > 5,
            "{asked} {closed} {split} {met}"
        );
    }
}
