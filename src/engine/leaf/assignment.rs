//! What the days of a complete set of lunches cost at least, before they are settled one order
//! after the other.
//!
//! Floors take each food's uses on the best of days; but each day has one lunch only. A food
//! that only one lunch of the set uses costs what that lunch's own day makes of it, whatever
//! the other days are. So every order of days costs at least the floors and, for each lunch,
//! what its day adds to those of the foods it alone uses; and no order adds less than the least
//! assignment of lunches to days. The same holds for the lunches still without a day once the
//! first days are settled. Foods that several lunches use keep their floors: what one leaves
//! another may use up.
//!
//! What spoils is bounded the same way where it has a ceiling, but for foods that batches take:
//! these may be divided at will.

use crate::engine::model::sums::least_of;
use crate::engine::packs::way::DAYS;

/// A sum on each day; none where it cannot be then.
pub(in crate::engine) type ByDay = [Option<i64>; DAYS];

/// What an item costs by its day.
#[derive(Debug)]
pub(in crate::engine) struct ItemDays {
    /// Beside foods, beyond what it costs in any case.
    pub(in crate::engine) always: ByDay,
    /// Each of its units, if no other lunch uses it.
    pub(in crate::engine) units: Box<[UnitDays]>,
}

/// What a food costs by the day of the only lunch that uses it.
#[derive(Clone, Debug)]
pub(in crate::engine) struct UnitDays {
    /// In the objective, and what spoils of it (1e-9).
    pub(in crate::engine) cost: ByDay,
    pub(in crate::engine) spoils: ByDay,
    /// Floors whatever the day.
    pub(in crate::engine) floor: i64,
    pub(in crate::engine) spoils_floor: i64,
}

/// What each day adds to the floors, by lunch: in the objective, and to what spoils (1e-9).
#[derive(Debug, Default)]
pub(in crate::engine) struct Adds {
    pub(in crate::engine) objective: Vec<ByDay>,
    pub(in crate::engine) spoiled: Vec<ByDay>,
}

/// By set of lunches that have the first days: the least that those of the others add; none where
/// they cannot all be served on the days that are left, and for sets that cannot have the first
/// days. Empty where nothing is added at all.
///
/// Lunches that add the same beyond their least are told apart no further: a state is how many of
/// each kind have a day. Of fourteen lunches that all differ there are 16,384, of fourteen alike 15;
/// and only states that the first days can lead to are worked out.
#[derive(Debug, Default)]
pub(in crate::engine) struct Rest {
    /// By lunch: the least it adds on any day, and its kind's weight in the number of a state.
    lunches: Vec<(i64, usize)>,
    /// By state.
    least: Vec<Option<i64>>,
}

/// Lunches that add the same beyond their least.
struct Kind {
    beyond: ByDay,
    count: usize,
    /// What one of them is in the number of a state.
    weight: usize,
}

impl Kind {
    /// How many of them a state has.
    fn in_state(&self, state: usize) -> usize {
        state / self.weight % (self.count + 1)
    }
}

/// The sum of two, if both can be.
fn added(one: Option<i64>, other: Option<i64>) -> Option<i64> {
    one.zip(other).map(|(one, other)| one + other)
}

impl ItemDays {
    /// What the item costs on a day if no other lunch uses its foods, beyond what it costs in any
    /// case; none if it may not be served then.
    pub(in crate::engine) fn on(&self, day: usize) -> Option<i64> {
        let foods = self.units.iter().map(|unit| unit.cost[day]);
        foods.fold(self.always[day], added)
    }
}

impl Rest {
    /// Works it out for lunches with what each day adds.
    pub(in crate::engine) fn lay(&mut self, adds: &[ByDay]) {
        let days = adds.len();
        self.lunches.clear();
        self.least.clear();
        if adds
            .iter()
            .all(|adds| adds[1..=days].iter().all(|&add| add == Some(0)))
        {
            return;
        }
        let kinds = self.sort(adds);
        let states = kinds.iter().map(|kind| kind.count + 1).product();
        self.least.resize(states, None);
        let reached = self.reach(&kinds, days);
        let all = states - 1;
        for day in (1..=days).rev() {
            for &state in &reached[day - 1] {
                let mut least = None;
                for kind in &kinds {
                    if kind.in_state(state) < kind.count {
                        let with = state + kind.weight;
                        let rest = if with == all {
                            Some(0)
                        } else {
                            self.least[with]
                        };
                        least = least_of(least, added(kind.beyond[day], rest));
                    }
                }
                self.least[state] = least;
            }
        }
        self.least[all] = Some(0);
    }

    /// Sorts lunches into kinds.
    fn sort(&mut self, adds: &[ByDay]) -> Vec<Kind> {
        let mut kinds: Vec<Kind> = Vec::new();
        let mut of = Vec::with_capacity(adds.len());
        for adds in adds {
            let least = adds.iter().skip(1).flatten().min().copied().unwrap_or(0);
            let mut beyond: ByDay = [None; DAYS];
            for (beyond, add) in beyond.iter_mut().zip(adds).skip(1) {
                *beyond = add.map(|add| add - least);
            }
            let kind = kinds.iter().position(|kind| kind.beyond == beyond);
            let kind = kind.unwrap_or_else(|| {
                kinds.push(Kind {
                    beyond,
                    count: 0,
                    weight: 1,
                });
                kinds.len() - 1
            });
            kinds[kind].count += 1;
            of.push((least, kind));
        }
        let mut weight = 1;
        for kind in &mut kinds {
            kind.weight = weight;
            weight *= kind.count + 1;
        }
        self.lunches = of
            .iter()
            .map(|&(least, kind)| (least, kinds[kind].weight))
            .collect();
        kinds
    }

    /// By number of days: states that so many first days can lead to, but the one that has all lunches.
    fn reach(&mut self, kinds: &[Kind], days: usize) -> Vec<Vec<usize>> {
        let mut reached = vec![vec![0]];
        for day in 1..days {
            let mut next = Vec::new();
            for &state in &reached[day - 1] {
                for kind in kinds {
                    let with = state + kind.weight;
                    // Any figure marks it as listed, until its own is known.
                    if kind.in_state(state) < kind.count
                        && kind.beyond[day].is_some()
                        && self.least[with].is_none()
                    {
                        self.least[with] = Some(0);
                        next.push(with);
                    }
                }
            }
            reached.push(next);
        }
        reached
    }

    /// The least that lunches not in the set add on later days; none if they cannot all be served
    /// on these.
    pub(in crate::engine) fn of(&self, set: u32) -> Option<i64> {
        if self.least.is_empty() {
            return Some(0);
        }
        let (mut state, mut sum) = (0, 0);
        for (at, &(least, weight)) in self.lunches.iter().enumerate() {
            if set >> at & 1 == 0 {
                sum += least;
            } else {
                state += weight;
            }
        }
        self.least[state].map(|rest| sum + rest)
    }
}

impl Adds {
    pub(in crate::engine) fn start(&mut self, lunches: usize) {
        for sums in [&mut self.objective, &mut self.spoiled] {
            sums.clear();
            sums.resize(lunches, [Some(0); DAYS]);
        }
    }

    /// Adds what a food costs beyond its floors, on each of so many days.
    pub(in crate::engine) fn add(
        &mut self,
        lunch: usize,
        one: &UnitDays,
        (floor, spoils_floor): (i64, i64),
    ) {
        for day in 1..=self.objective.len() {
            let beyond = |cost: Option<i64>, floor: i64| cost.map(|cost| (cost - floor).max(0));
            let sum = &mut self.objective[lunch][day];
            *sum = added(*sum, beyond(one.cost[day], floor));
            let sum = &mut self.spoiled[lunch][day];
            *sum = added(*sum, beyond(one.spoils[day], spoils_floor));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use itertools::Itertools;

    /// The least over all orders of the lunches that are left, one by one, of sets that can have the
    /// first days.
    #[test]
    fn the_rest_is_the_least_over_all_orders() {
        let mut seed = 7_u64;
        let mut next = move |below: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as i64 % below
        };
        let mut rest = Rest::default();
        for round in 0..200 {
            let lunches = 1 + round % 6;
            let mut adds = vec![[Some(0); DAYS]; lunches];
            for add in adds.iter_mut().flat_map(|adds| &mut adds[1..=lunches]) {
                *add = (next(5) != 0).then(|| next(50));
            }
            // Some that differ by the same on all days.
            for _ in 0..next(3) {
                let (from, more) = (next(lunches as i64) as usize, next(9));
                let alike = adds[from].map(|add| add.map(|add| add + more));
                adds[next(lunches as i64) as usize] = alike;
            }
            rest.lay(&adds);
            for set in 0_u32..1 << lunches {
                let left: Vec<usize> = (0..lunches).filter(|&at| set >> at & 1 == 0).collect();
                let first = set.count_ones() as usize + 1;
                let have: Vec<usize> = (0..lunches).filter(|&at| set >> at & 1 != 0).collect();
                let mut orders = have.iter().permutations(have.len());
                let can =
                    |order: Vec<&usize>| (1..).zip(order).all(|(day, &at)| adds[at][day].is_some());
                if left.is_empty() {
                    assert_eq!(rest.of(set), Some(0));
                    continue;
                }
                if !orders.any(can) {
                    assert_eq!(rest.of(set), None, "{adds:?} {set:b}");
                    continue;
                }
                let orders = left.iter().permutations(left.len());
                let sums = orders.filter_map(|order| -> Option<i64> {
                    let days = (first..).zip(order);
                    days.map(|(day, &lunch)| adds[lunch][day]).sum()
                });
                assert_eq!(rest.of(set), sums.min(), "{adds:?} {set:b}");
            }
        }
    }

    #[test]
    fn nothing_to_add_needs_no_table() {
        let mut rest = Rest::default();
        rest.lay(&[[Some(0); DAYS]; 14]);
        assert!(rest.least.is_empty());
        assert_eq!(rest.of(0b101), Some(0));
    }
}
