//! The last lunches of a week: three at once pair by pair, or one with exact floors.

use super::books::{Opened, Worker};
use super::gauge::Gauge;
use super::search::least_of;
use std::sync::atomic::Ordering;

impl Worker<'_, '_> {
    /// Three lunches are missing: looks ahead from each candidate, then pairs up what is
    /// left.
    ///
    /// Proof of the bound on a pair. With the first lunch taken, the floor of a unit rises by
    /// at least what either of the two makes it rise alone: the larger of the two if both
    /// use it.
    pub(super) fn last_three(&mut self, chosen: &[u32], opened: &Opened) {
        let stage = self.stage;
        let pairs = stage.pairs;
        self.prepare_ahead(opened);
        self.rule_out_recipes(chosen, opened, 3);
        for at in 0..opened.order.len() {
            if self.is_hopeless(opened.order[at].1) {
                continue;
            }
            let Some(bound) = self.child_bound(opened, at, 3) else {
                break;
            };
            if self.beaten(bound) {
                break;
            }
            if stage.halted(false) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                return;
            }
            let Some((_, with, left)) = self.ahead(chosen, opened, (at, self.after(at)), 3) else {
                continue;
            };
            self.nodes += 1;
            let index = opened.order[at].1;
            let mut base = opened.base + stage.fixed[0][index as usize];
            base += pairs
                .of(index)
                .iter()
                .map(|&pair| self.pair_more[pair as usize])
                .sum::<i64>();
            // Shares first, then what each would add alone.
            let mut each: Vec<(i64, i64, u32)> = left
                .iter()
                .map(|&other| {
                    let (mut share, mut alone) = (0, 0);
                    for &pair in pairs.of(other) {
                        share += self.pair_ahead[pair as usize];
                        alone += self.pair_alone[pair as usize];
                    }
                    let fixed = stage.fixed[0][other as usize];
                    (fixed + share, fixed + alone, other)
                })
                .collect();
            each.sort_unstable();
            self.pair_off(base, &with, &each);
        }
    }

    /// Tries all pairs of what `each` lists, cheapest shares first: share, what it adds
    /// alone, item.
    ///
    /// What two add together is worked out for all partners of one at once: what each adds
    /// alone, less what they have in common.
    fn pair_off(&mut self, base: i64, with: &[u32], each: &[(i64, i64, u32)]) {
        let stage = self.stage;
        let pairs = stage.pairs;
        let mut top = self.top();
        if each
            .first()
            .is_none_or(|&(share, ..)| base + 2 * share > top)
        {
            return;
        }
        let mut users = std::mem::take(&mut self.last_users);
        for (place, &(.., item)) in (0u32..).zip(each) {
            for &pair in pairs.of(item) {
                let unit = pairs.list[pair as usize].0 as usize;
                users[unit].push((place, self.pair_alone[pair as usize]));
            }
        }
        let mut rest: Vec<i64> = Vec::with_capacity(each.len());
        for (place, &(share, alone, second)) in each.iter().enumerate() {
            if base + 2 * share > top {
                break;
            }
            let from = if self.repeats() > 1 { place } else { place + 1 };
            let until = each.partition_point(|&(other, ..)| base + share + other <= top);
            if until <= from {
                continue;
            }
            rest.clear();
            rest.extend(each[from..until].iter().map(|&(_, alone, _)| alone));
            for &pair in pairs.of(second) {
                let ours = self.pair_alone[pair as usize];
                let users = &users[pairs.list[pair as usize].0 as usize];
                let first = users.partition_point(|&(other, _)| (other as usize) < from);
                for &(other, theirs) in &users[first..] {
                    let Some(rest) = rest.get_mut(other as usize - from) else {
                        break;
                    };
                    *rest -= ours.min(theirs);
                }
            }
            let mut haves: Vec<Vec<u64>> = Vec::new();
            for at in 0..rest.len() {
                if base + alone + rest[at] > top {
                    continue;
                }
                let third = each[from + at].2;
                if haves.len() < stage.covers.len() {
                    haves.extend(stage.covers.iter().map(|cover| {
                        let mut have = cover.of(second).to_vec();
                        for &old in with {
                            cover.add(&mut have, old);
                        }
                        have
                    }));
                }
                let mut covers = stage.covers.iter().zip(&haves);
                if from > place && pairs.recipe[second as usize] == pairs.recipe[third as usize]
                    || !stage.may_stand(second, third)
                    || !covers.all(|(cover, have)| cover.fits(have, third))
                {
                    continue;
                }
                self.week_of(with, second, third);
                top = self.top();
            }
        }
        for &(.., item) in each {
            for &pair in pairs.of(item) {
                users[pairs.list[pair as usize].0 as usize].clear();
            }
        }
        self.last_users = users;
    }

    /// Tries a whole week: floors of the very sums, then the leaf.
    pub(super) fn week_of(&mut self, with: &[u32], second: u32, third: u32) {
        let stage = self.stage;
        let mut week = with.to_vec();
        week.push(second);
        if !self.fits(&week, third) {
            return;
        }
        week.push(third);
        let added = &week[week.len() - 3..];
        for &index in added {
            self.add(index, 1);
        }
        let bounds: Vec<i64> = stage
            .gauges
            .iter()
            .map(|gauge| self.exact_base(gauge, &week))
            .collect();
        for &index in added {
            self.add(index, -1);
        }
        let within = |d: usize| bounds[d] <= stage.limits[d];
        if self.beaten(bounds[0]) || !(1..bounds.len()).all(within) {
            return;
        }
        self.leaf_of(&week);
        if stage.halted(false) {
            self.open_bound = least_of(self.open_bound, Some(bounds[0]));
        }
    }

    /// Settles a set of lunches, or lists it.
    fn leaf_of(&mut self, week: &[u32]) {
        self.leaves += 1;
        if !self.week_holds(week) {
            return;
        }
        if self.stage.listing.is_none() {
            self.leaf.solve(week, &mut self.best);
            return;
        }
        let mut week = week.to_vec();
        week.sort_unstable();
        self.listed.push(week);
        if self.stage.too_many(self.listed.len()) {
            self.stage.stopped.store(true, Ordering::Relaxed);
        }
    }

    /// The last lunch needs no sharing: floors of the very sums, then the leaf.
    pub(super) fn last_lunch(&mut self, chosen: &mut Vec<u32>, candidates: &[u32]) {
        if !self.hopeful(chosen, candidates, 1) {
            return;
        }
        let stage = self.stage;
        let bases: Vec<i64> = stage
            .gauges
            .iter()
            .map(|gauge| self.exact_base(gauge, chosen))
            .collect();
        let pairs = stage.pairs;
        let mut left: Vec<(i64, u32)> = candidates.iter().map(|&index| (0, index)).collect();
        for dimension in (0..stage.gauges.len()).rev() {
            self.now += 1;
            let gauge = &stage.gauges[dimension];
            let fixed = &stage.fixed[dimension];
            left.retain_mut(|(bound, index)| {
                *bound = bases[dimension] + fixed[*index as usize];
                for &pair in pairs.of(*index) {
                    let p = pair as usize;
                    if self.pair_stamp[p] != self.now {
                        self.pair_stamp[p] = self.now;
                        self.pair_share[p] = self.exact_more(gauge, pair);
                    }
                    *bound += self.pair_share[p];
                }
                if dimension == 0 {
                    !self.beaten(*bound)
                } else {
                    *bound <= stage.limits[dimension]
                }
            });
        }
        let mut order = left;
        order.sort_unstable();
        for (bound, index) in order {
            if self.beaten(bound) {
                break;
            }
            chosen.push(index);
            self.leaf_of(chosen);
            chosen.pop();
            if self.stage.halted(false) {
                self.open_bound = least_of(self.open_bound, Some(bound));
                break;
            }
        }
    }

    pub(super) fn exact_base(&self, gauge: &Gauge, chosen: &[u32]) -> i64 {
        let pairs = self.stage.pairs;
        let mut base = gauge.constant;
        for (at, &index) in chosen.iter().enumerate() {
            base += gauge.fixed(self.item(index));
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                if !chosen[..at].iter().any(|&old| pairs.uses(old, unit)) {
                    let used = self.used[unit as usize];
                    base += gauge.floor(unit, used, self.stretch(used));
                }
            }
        }
        for &unit in &gauge.restless {
            if self.used[unit as usize] == 0 {
                base += gauge.floor(unit, 0, 0);
            }
        }
        base
    }

    /// What the last lunch adds to a unit's floor.
    pub(super) fn exact_more(&self, gauge: &Gauge, pair: u32) -> i64 {
        let (unit, amount) = self.stage.pairs.list[pair as usize];
        let used = self.used[unit as usize];
        let with = used + amount;
        let before = if used > 0 || gauge.restless.binary_search(&unit).is_ok() {
            gauge.floor(unit, used, self.stretch(used))
        } else {
            0
        };
        gauge.floor(unit, with, self.stretch(with)) - before
    }

    /// The rules on a complete set of items that need no days: means and pins.
    pub(super) fn week_holds(&self, chosen: &[u32]) -> bool {
        let rules = self.stage.pool.week_rules.iter().enumerate();
        let means = rules.into_iter().all(|(rule, &(_, at_least, at_most))| {
            let sum: i64 = chosen.iter().map(|&i| self.item(i).nutrients[rule]).sum();
            at_least.is_none_or(|v| sum >= v) && at_most.is_none_or(|v| sum <= v)
        });
        means && self.hopeful(chosen, &[], 0)
    }
}
