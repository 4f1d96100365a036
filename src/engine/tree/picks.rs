//! Better ways of taking alternatives, one line at a time: for weeks to start from.

use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_set::{Needs, OpenSet, left_of};
use crate::engine::model::pool::Pool;

/// What ways of taking the alternatives of a set are held against.
pub(in crate::engine) struct Taking<'t> {
    pub(in crate::engine) set: &'t OpenSet<'t>,
    /// The objective first, then the sums with limits.
    pub(in crate::engine) gauges: &'t [&'t Gauge],
    pub(in crate::engine) limits: &'t [i64],
    pub(in crate::engine) pool: &'t Pool<'t>,
    pub(in crate::engine) needs: &'t Needs,
}

/// Changes one line at a time, then foods: all lines that can take one do, or none does; as long as that makes
/// the week cheaper by its floors, or breaks less. At most so many changes of a line are tried.
pub(in crate::engine) fn improved(
    asked: &Taking,
    picks: &[u8],
    left: &[u32],
    most_changes: usize,
) -> Vec<u8> {
    let mut state = State::new(asked, picks);
    let mut changes = most_changes;
    state.descend(asked, left, &mut changes);
    let units = asked.set.units(left);
    let mut since = 0;
    for turn in 0.. {
        if changes == 0 || since == 2 * units.len() {
            break;
        }
        since += 1;
        let unit = units[turn / 2 % units.len()];
        let mut other = state.clone();
        if turn % 2 == 0 {
            other.take_all(asked, left, unit);
        } else {
            other.take_none(asked, left, unit, &mut changes);
        }
        if other.picks == state.picks {
            continue;
        }
        other.descend(asked, left, &mut changes);
        if other.score(asked) < state.score(asked) {
            state = other;
            since = 0;
        }
    }
    state.picks
}

/// Sums of one way of taking all alternatives.
#[derive(Clone)]
struct State {
    picks: Vec<u8>,
    used: Vec<i64>,
    /// By unit and lunch: lines that use it on the day itself.
    users: Vec<u8>,
    costs: Vec<i64>,
    /// By rule of the needs: sums of each lunch, or of all.
    sums: Vec<i64>,
}

impl State {
    fn new(asked: &Taking, picks: &[u8]) -> Self {
        let set = asked.set;
        let larder = asked.pool.larder;
        let mut used = vec![0; larder.foods.len() + larder.components.len()];
        let mut users = vec![0; used.len() * set.lunches()];
        for (at, (line, &pick)) in set.lines.iter().zip(picks).enumerate() {
            let taken = &line[usize::from(pick)];
            for &(unit, amount) in &taken.units {
                used[unit as usize] += amount;
                let user = unit as usize * set.lunches() + set.lunch_of(at);
                users[user] += u8::from(taken.uses_itself(unit));
            }
        }
        let gauges = asked.gauges.iter().enumerate();
        let costs = gauges.map(|(at, gauge)| set.cost((gauge, at), asked.pool, picks));
        Self {
            picks: picks.to_vec(),
            used,
            users,
            costs: costs.collect(),
            sums: asked.needs.sums(set, picks),
        }
    }

    /// What is broken, and what it costs.
    fn score(&self, asked: &Taking) -> (i128, i64) {
        let over = self.costs[1..].iter().zip(asked.limits);
        let over = over.map(|(&cost, &limit)| i128::from((cost - limit).max(0)));
        let broken = over.sum::<i128>() + asked.needs.lacking(asked.set, &self.sums);
        (broken, self.costs[0])
    }

    /// Takes another alternative on a line.
    fn change(&mut self, asked: &Taking, line: usize, new: usize) {
        let old = usize::from(self.picks[line]);
        self.picks[line] = new as u8;
        let (lunch, alternatives) = (asked.set.lunch_of(line), asked.set.lines[line]);
        let lunches = asked.set.lunches();
        for (sign, at) in [(-1, old), (1, new)] {
            let alternative = &alternatives[at];
            for (cost, own) in self.costs.iter_mut().zip(&alternative.own) {
                *cost += sign * own;
            }
            let sums = &mut self.sums;
            asked.needs.add(sums, (asked.set, lunch), alternative, sign);
            for &(unit, amount) in &alternative.units {
                let users = &mut self.users[unit as usize * lunches..][..lunches];
                let days = |users: &[u8]| users.iter().filter(|&&users| users > 0).count() as i64;
                let used = &mut self.used[unit as usize];
                let before = (*used, days(users));
                *used += sign * amount;
                if alternative.uses_itself(unit) {
                    users[lunch] = users[lunch].wrapping_add_signed(sign as i8);
                }
                let after = (*used, days(users));
                for (cost, gauge) in self.costs.iter_mut().zip(asked.gauges) {
                    let floor = |(used, days): (i64, i64)| {
                        let idle = used == 0 && gauge.restless.binary_search(&unit).is_err();
                        if idle {
                            0
                        } else {
                            gauge.floor_over(unit, (used, asked.pool.stretch(used)), days)
                        }
                    };
                    *cost += floor(after) - floor(before);
                }
            }
        }
    }

    /// Takes the best of some alternatives of a line; false if none is better than what is taken.
    fn take_best(
        &mut self,
        asked: &Taking,
        line: usize,
        alternatives: impl Iterator<Item = usize>,
        (than, changes): (Option<(i128, i64)>, &mut usize),
    ) -> bool {
        let old = usize::from(self.picks[line]);
        let mut best = (than, old);
        for at in alternatives.filter(|&at| at != old) {
            if *changes == 0 {
                break;
            }
            *changes -= 1;
            self.change(asked, line, at);
            let score = Some(self.score(asked));
            if best.0.is_none() || score < best.0 {
                best = (score, at);
            }
        }
        if usize::from(self.picks[line]) != best.1 {
            self.change(asked, line, best.1);
        }
        best.1 != old
    }

    /// Takes the best alternative of each line in turn until none is better.
    fn descend(&mut self, asked: &Taking, left: &[u32], changes: &mut usize) {
        let mut still = 0;
        for line in (0..left.len()).cycle() {
            if still == left.len() || *changes == 0 {
                break;
            }
            let score = Some(self.score(asked));
            let better = self.take_best(asked, line, left_of(left[line]), (score, changes));
            still = if better { 1 } else { still + 1 };
        }
    }

    /// Takes a unit on all lines that can.
    fn take_all(&mut self, asked: &Taking, left: &[u32], unit: u32) {
        for (line, &bits) in left.iter().enumerate() {
            let uses = |at: &usize| asked.set.lines[line][*at].uses(unit);
            if let Some(at) = left_of(bits).find(uses)
                && !uses(&usize::from(self.picks[line]))
            {
                self.change(asked, line, at);
            }
        }
    }

    /// Takes a unit on no line that can do without.
    fn take_none(&mut self, asked: &Taking, left: &[u32], unit: u32, changes: &mut usize) {
        for (line, &bits) in left.iter().enumerate() {
            let uses = |at: usize| asked.set.lines[line][at].uses(unit);
            if uses(usize::from(self.picks[line])) {
                let others = left_of(bits).filter(|&at| !uses(at));
                self.take_best(asked, line, others, (None, changes));
            }
        }
    }
}
