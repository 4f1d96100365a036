//! What weeks cost at least, 1e-9 minor units (or the unit of a sum with a ceiling), of which some lunches are chosen,
//! others are still to be chosen among candidates, and lines
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
//! A week with a candidate has its share in the place of the dearest of the smallest, and a week with a sum in a piece of
//! the curve costs as much more as that piece lies above F(u) + c(u) t(u), and R(u): what would so pass the top is left out.
//!
//! Rounding as in [`crate::engine::bound::open_lines`]: floors, shares and parts are whole, prices are fractions that F(u)
//! rounds down and lines round down each; a price is never below 0 here. The caller gives each candidate once, and `copies` no less than a
//! recipe may still come. The plain definition: the least of [`crate::engine::bound::open_set::OpenSet::cost`] over all
//! ways of all choices of so many candidates.
//!
//! The parts come from [`crate::engine::bound::open_partial_multipliers`], in fractions; they are paid in whole numbers.

use crate::engine::bound::curve::floored;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_partial::{MOST_PRICE, OpenPartial, Partial, Unit};
use crate::engine::bound::open_partial_multipliers::Proposed;
use crate::engine::bound::open_set::OpenRecipe;
use crate::engine::bound::settled::{LITTLE, Settled, note};
use crate::engine::model::pool::Pool;
use crate::larder::MOST_SUM;
use std::sync::Arc;

/// What is known of lunches partly chosen.
#[derive(Clone, Debug)]
pub(in crate::engine) struct PartialBound {
    /// What any week costs beside the candidates' shares: so wide because it is no bound by itself, and may be as
    /// low as prices go.
    pub(in crate::engine) paid: i128,
    /// Candidates left with their shares, the smallest first.
    pub(in crate::engine) shares: Vec<(i64, u32)>,
    pub(in crate::engine) bound: i64,
    /// A unit to split by: how much more it costs in the mean than is paid, and the least sum of the part where more
    /// of it is used.
    pub(in crate::engine) split: Option<(f64, u32, i64)>,
    /// By line of all recipes, one recipe after the other.
    pub(in crate::engine) multipliers: Arc<[f64]>,
}

/// Scratch for bounds of lunches partly chosen, under one gauge.
pub(in crate::engine) struct OpenRecipes<'r>(OpenPartial<'r>);

/// What is paid for units.
struct Payment {
    /// What any week pays for them beside its lunches' shares.
    paid: i128,
    /// By use: what the alternative pays by it.
    costs: Vec<i128>,
    /// By unit.
    terms: Vec<Term>,
}

/// What a unit costs by weight and once, and how much of the latter no lunches pay.
struct Term {
    slope: (i64, i64),
    once: i128,
    unpaid: i128,
}

impl<'r> OpenRecipes<'r> {
    /// Scratch for recipes of a larder with so many units, under one of their gauges.
    pub(in crate::engine) fn new(
        recipes: &'r [OpenRecipe],
        units: usize,
        dimension: usize,
    ) -> Self {
        Self(OpenPartial::new(recipes, units, dimension))
    }

    /// Bounds lunches partly chosen under that gauge, leaves candidates out with which the bound would pass `top`, and
    /// settles how much of units may be used. None: nothing within `top` is left.
    pub(in crate::engine) fn bound(
        &mut self,
        (gauge, pool): (&Gauge, &Pool),
        partial: &Partial,
        (settled, top): (&mut Vec<Settled>, i64),
        (start, turns): (Option<&[f64]>, usize),
    ) -> Option<PartialBound> {
        let sure = self.lay((gauge, pool), partial, settled)?;
        let turns = (turns, top as f64 - sure as f64);
        let proposed = self.0.propose(partial, start, turns);
        self.pay(partial, (settled, top), sure, &proposed)
    }

    /// Lays out what is left; returns what units cost whatever is taken. None: nothing is left.
    fn lay(
        &mut self,
        (gauge, pool): (&Gauge, &Pool),
        partial: &Partial,
        settled: &[Settled],
    ) -> Option<i64> {
        self.0.lay(partial, settled)?;
        let floors = self.0.draw(gauge, pool);
        let idle = gauge.restless.iter();
        let idle = idle.filter(|&&unit| !self.0.has(unit));
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        Some(gauge.constant + floors + idle.sum::<i64>())
    }

    /// Uses that were looked at last.
    pub(in crate::engine) fn size(&self) -> usize {
        self.0.uses.len()
    }

    /// Pays in whole numbers what was proposed.
    fn pay(
        &self,
        partial: &Partial,
        (settled, top): (&mut Vec<Settled>, i64),
        sure: i64,
        proposed: &Proposed,
    ) -> Option<PartialBound> {
        let payment = self.pay_units(partial, &proposed.worth)?;
        let (of_chosen, mut shares) = self.shares(&payment.costs);
        let paid = i128::from(sure) + payment.paid + of_chosen;
        let sums: Vec<(i128, usize)> = shares.iter().map(|one| (one.0.into(), 0)).collect();
        let sum = paid + of_first(&sums, partial);
        let bound = clamped(sum);
        if bound > top {
            return None;
        }
        let room = i128::from(top) - sum;
        if partial.missing > 0 {
            // One more of a recipe takes the place of the dearest of the smallest.
            let dearest = shares[(partial.missing - 1) / partial.copies].0;
            shares.retain(|one| i128::from(one.0) - i128::from(dearest) <= room);
        }
        if top < i64::MAX {
            self.settle(&payment.terms, settled, room);
        }
        Some(PartialBound {
            paid,
            shares,
            bound,
            split: self.split(bound.unsigned_abs() as f64 * LITTLE),
            multipliers: self.by_line(&proposed.lines),
        })
    }

    /// Pays for all units, once by lines and by weight, where alternatives are worth so much by each use.
    fn pay_units(&self, partial: &Partial, worth: &[f64]) -> Option<Payment> {
        let mut payment = Payment {
            paid: 0,
            costs: vec![0; self.0.uses.len()],
            terms: Vec::with_capacity(self.0.units.len()),
        };
        for unit in &self.0.units {
            let (slope, once) = unit.price(unit.curve.as_ref()?);
            for &at in &unit.uses {
                payment.costs[at] = floored(slope, self.0.uses[at].amount);
            }
            let mut unpaid = 0;
            if unit.is_open() || once < 0 {
                payment.paid += once;
            } else {
                let price = (slope, once);
                let left = once - self.pay_once(unit, price, partial, (worth, &mut payment.costs));
                payment.paid += left.min(0);
                unpaid = left.max(0);
            }
            payment.terms.push(Term {
                slope,
                once,
                unpaid,
            });
        }
        Some(payment)
    }

    /// Adds each line's part of what a unit costs once to its alternatives; returns the most that lunches pay of it.
    fn pay_once(
        &self,
        unit: &Unit,
        (slope, once): ((i64, i64), i128),
        partial: &Partial,
        (worth, costs): (&[f64], &mut [i128]),
    ) -> i128 {
        let by_weight = slope.0 as f64 / slope.1 as f64;
        let mut sums: Vec<(i128, usize)> = Vec::new();
        let mut all = 0;
        let uses = &self.0.uses;
        let of_line = |one: &usize, other: &usize| uses[*one].line == uses[*other].line;
        for of_line in unit.uses.chunk_by(of_line) {
            let beyond = of_line
                .iter()
                .map(|&at| worth[at] - by_weight * uses[at].amount as f64);
            let part = beyond.fold(0.0, f64::max).min(MOST_PRICE as f64) as i64;
            let part = i128::from(part).min(once);
            for &at in of_line {
                costs[at] += part;
            }
            let member = self.0.lines[uses[of_line[0]].line].member;
            if self.0.members[member].chosen {
                all += part;
                continue;
            }
            match sums.last_mut() {
                Some(last) if last.1 == member => last.0 += part,
                _ => sums.push((part, member)),
            }
        }
        sums.sort_unstable_by(|one, other| other.cmp(one));
        all + of_first(&sums, partial)
    }

    /// The shares of all that is chosen together, and those of candidates, the smallest first.
    fn shares(&self, costs: &[i128]) -> (i128, Vec<(i64, u32)>) {
        let mut of_chosen = 0;
        let mut shares: Vec<(i64, u32)> = Vec::new();
        for member in &self.0.members {
            let mut share = i128::from(member.own);
            for line in &self.0.lines[member.lines.clone()] {
                let choices = self.0.choices[line.choices.clone()].iter();
                let least = choices.map(|choice| {
                    i128::from(choice.own) + costs[choice.uses.clone()].iter().sum::<i128>()
                });
                share += least.min().unwrap_or(0);
            }
            if member.chosen {
                of_chosen += share;
            } else {
                shares.push((clamped(share), member.recipe));
            }
        }
        shares.sort_unstable();
        (of_chosen, shares)
    }

    /// Leaves out sums of units at both ends with which the bound would rise by more than `room`.
    fn settle(&self, terms: &[Term], settled: &mut Vec<Settled>, room: i128) {
        for (unit, term) in self.0.units.iter().zip(terms) {
            let Some(curve) = &unit.curve else { continue };
            let price = (term.once, term.slope);
            let (least, most) = curve.within(&unit.range, price, room - term.unpaid);
            if least > unit.range.settled || most < unit.range.most {
                note(settled, unit.range.unit, (least, most.min(unit.range.most)));
            }
        }
    }

    /// The unit whose sum in the mean costs most beyond what is paid for it, by how much, and where to split it.
    fn split(&self, little: f64) -> Option<(f64, u32, i64)> {
        let mut best: Option<(f64, u32, i64)> = None;
        for unit in &self.0.units {
            let Some(curve) = &unit.curve else { continue };
            let Some((score, least)) = curve.split(&unit.range, unit.mean) else {
                continue;
            };
            if score > little && best.is_none_or(|best| score > best.0) {
                best = Some((score, unit.range.unit, least));
            }
        }
        best
    }

    /// Multipliers by line of all recipes, of those by line of what is left.
    fn by_line(&self, multipliers: &[f64]) -> Arc<[f64]> {
        let start = &self.0.start;
        let mut all = vec![0.0; start[start.len() - 1]];
        for member in &self.0.members {
            let first = start[member.recipe as usize];
            let lines = multipliers[member.lines.clone()].iter();
            for (known, &line) in all[first..].iter_mut().zip(lines) {
                *known = line;
            }
        }
        all.into()
    }
}

/// A bound as one that says no less: no week costs more or less than this.
pub(in crate::engine) fn clamped(sum: i128) -> i64 {
    sum.clamp(-i128::from(MOST_SUM), i128::from(MOST_SUM)) as i64
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::open_samples::{
        OpenKitchen, count_ways, on_changed_kitchens, on_tiny_kitchens, one_side, used, ways, wild,
    };
    use crate::engine::bound::open_set::OpenSet;
    use crate::engine::model::samples::numbers;
    use std::collections::HashMap;

    /// Lunches of a week beside those chosen, what it uses of each unit, and what it costs by its floors.
    struct Week {
        more: Vec<u32>,
        used: HashMap<u32, i64>,
        cost: i64,
    }

    impl Week {
        /// Whether it is among what is left.
        fn within(&self, settled: &[Settled], candidates: &[u32]) -> bool {
            let used = |unit: u32| self.used.get(&unit).copied().unwrap_or(0);
            let mut settled = settled.iter();
            settled.all(|one| (one.least..=one.most).contains(&used(one.unit)))
                && self.more.iter().all(|at| candidates.contains(at))
        }
    }

    /// All weeks of lunches partly chosen, unless a set of recipes can be taken in too many ways.
    fn weeks(kitchen: &OpenKitchen, partial: &Partial) -> Option<Vec<Week>> {
        let mut sets: Vec<Vec<u32>> = vec![Vec::new()];
        for _ in 0..partial.missing {
            let grown = sets.iter().flat_map(|set| {
                let more = partial.candidates.iter().filter(move |&&at| {
                    let times = set.iter().filter(|&&one| one == at);
                    set.last().is_none_or(|&last| at >= last) && times.count() < partial.copies
                });
                more.map(move |&at| [&set[..], &[at]].concat())
            });
            sets = grown.collect();
        }
        let mut all = Vec::new();
        for more in sets {
            let lunches = partial.chosen.iter().chain(&more);
            let set = OpenSet::new(lunches.map(|&at| &kitchen.recipes[at as usize]), 1);
            if count_ways(&set) > 500 {
                return None;
            }
            for picks in ways(&set) {
                let alternatives = set.lines.iter().zip(&picks);
                let units = alternatives.flat_map(|(line, &pick)| &line[usize::from(pick)].units);
                all.push(Week {
                    more: more.clone(),
                    used: units
                        .map(|&(unit, _)| (unit, used(&set, &picks, unit)))
                        .collect(),
                    cost: kitchen.cost(&set, &picks),
                });
            }
        }
        Some(all)
    }

    /// How often a bound was asked for, left nothing, named a unit to split by, and was what the best week costs.
    #[derive(Default)]
    struct Count {
        asked: u32,
        closed: u32,
        split: u32,
        met: u32,
    }

    /// Up to `most` of the first `count` numbers, rising.
    fn some_of(count: usize, most: usize, next: &mut impl FnMut(usize) -> usize) -> Vec<u32> {
        let some = (0..most).map(|_| next(count) as u32);
        let mut some: Vec<u32> = some.collect();
        some.sort_unstable();
        some.dedup();
        some
    }

    /// No week of what is chosen and of candidates costs less than the bound or than its lunches' shares, and none
    /// within the top is left out, whatever was settled.
    #[test]
    fn bounds_hold_for_every_week_of_lunches_partly_chosen() {
        let mut count = Count::default();
        on_changed_kitchens(60, &mut numbers(19), |kitchen, next| {
            let mut some = |most: usize| some_of(kitchen.recipes.len(), most, next);
            let (one, few) = (some(1), some(4));
            let chosen = &one[..next(2)];
            let partial = Partial {
                chosen,
                candidates: &few[..=next(few.len())],
                missing: 1 + next(2),
                copies: 1 + next(2),
            };
            if let Some(all) = weeks(kitchen, &partial)
                && !all.is_empty()
            {
                split_down(kitchen, &partial, (&all, next), &mut count);
            }
        });
        let Count {
            asked,
            closed,
            split,
            met,
        } = count;
        assert!(
            asked > 200 && closed > 5 && split > 100 && met > 5,
            "{asked} {closed} {split} {met}"
        );
    }

    /// Bounds lunches partly chosen, then parts of them as their bounds say, each held against all weeks.
    fn split_down(
        kitchen: &OpenKitchen,
        partial: &Partial,
        (all, next): (&[Week], &mut impl FnMut(usize) -> usize),
        count: &mut Count,
    ) {
        let label = &kitchen.label;
        let mut bounding = OpenRecipes::new(kitchen.recipes, kitchen.units, 0);
        let mut candidates = partial.candidates.to_vec();
        let mut settled = Vec::new();
        let mut multipliers: Option<Arc<[f64]>> = None;
        let top = match next(3) {
            0 => i64::MAX,
            _ => all[next(all.len())].cost,
        };
        for _ in 0..6 {
            let before: Vec<&Week> = all
                .iter()
                .filter(|week| week.cost <= top && week.within(&settled, &candidates))
                .collect();
            let partial = Partial {
                candidates: &candidates,
                ..partial.clone()
            };
            let found = bounding.bound(
                (kitchen.gauge, kitchen.pool),
                &partial,
                (&mut settled, top),
                (multipliers.as_deref(), 1 + next(60)),
            );
            count.asked += 1;
            let Some(found) = found else {
                assert!(before.is_empty(), "{label}");
                count.closed += 1;
                break;
            };
            let least = before.iter().map(|week| week.cost).min();
            count.met += u32::from(least == Some(found.bound));
            holds(&found, &before, &settled, label);
            candidates = found.shares.iter().map(|one| one.1).collect();
            multipliers = Some(found.multipliers);
            let Some((_, unit, least)) = found.split else {
                break;
            };
            count.split += 1;
            note(&mut settled, unit, one_side(least, next));
        }
    }

    /// Whatever prices and parts are proposed, numbers or none, the same is true.
    #[test]
    fn bounds_hold_whatever_is_proposed() {
        let (mut asked, mut dropped) = (0, 0);
        on_tiny_kitchens(80, &mut numbers(20), |kitchen, next| {
            let mut some = |most: usize| some_of(kitchen.recipes.len(), most, next);
            let (one, mut candidates) = (some(1), some(4));
            let (missing, copies) = (1 + next(2), 1 + next(2));
            let partial = Partial {
                chosen: &one[..next(2)],
                candidates: &candidates.clone(),
                missing,
                copies,
            };
            let Some(all) = weeks(kitchen, &partial).filter(|all| !all.is_empty()) else {
                return;
            };
            let mut bounding = OpenRecipes::new(kitchen.recipes, kitchen.units, 0);
            let mut settled = Vec::new();
            for _ in 0..5 {
                let top = all[next(all.len())].cost + next(3) as i64;
                let partial = Partial {
                    candidates: &candidates,
                    ..partial.clone()
                };
                let before: Vec<&Week> = all
                    .iter()
                    .filter(|week| week.cost <= top && week.within(&settled, &candidates))
                    .collect();
                let gauge = (kitchen.gauge, kitchen.pool);
                let Some(sure) = bounding.lay(gauge, &partial, &settled) else {
                    assert!(before.is_empty(), "{}", kitchen.label);
                    break;
                };
                let mut proposed = bounding.0.propose(&partial, None, (20, top as f64));
                // One in so many; none is left as it was, or all are that are not drawn.
                let few = 1 + next(12);
                for unit in &mut bounding.0.units {
                    if next(few) == 0 {
                        unit.slope = wild(next);
                    }
                }
                for worth in &mut proposed.worth {
                    if next(few) == 0 {
                        *worth = wild(next);
                    }
                }
                asked += 1;
                let found = bounding.pay(&partial, (&mut settled, top), sure, &proposed);
                let Some(found) = found else {
                    assert!(before.is_empty(), "{}", kitchen.label);
                    break;
                };
                holds(&found, &before, &settled, &kitchen.label);
                dropped += i32::from(found.shares.len() < candidates.len());
                candidates = found.shares.iter().map(|one| one.1).collect();
                let unit = &bounding.0.units[next(bounding.0.units.len())].range;
                if unit.most > 0 {
                    let least = 1 + next(unit.most as usize) as i64;
                    note(&mut settled, unit.unit, one_side(least, next));
                }
            }
        });
        assert!(asked > 500 && dropped > 50, "{asked} {dropped}");
    }

    /// What is found is true of all weeks that were left.
    fn holds(found: &PartialBound, before: &[&Week], settled: &[Settled], label: &str) {
        let kept: Vec<u32> = found.shares.iter().map(|one| one.1).collect();
        for week in before {
            assert!(week.within(settled, &kept), "{label}");
            assert!(found.bound <= week.cost, "{label}");
            let share = |at: &u32| found.shares.iter().find(|one| one.1 == *at);
            let shares = week
                .more
                .iter()
                .map(|at| i128::from(share(at).expect("left").0));
            assert!(
                found.paid + shares.sum::<i128>() <= week.cost.into(),
                "{label}"
            );
        }
    }
}
