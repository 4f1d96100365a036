//! What each line of lunches partly chosen may cost at the most, so that lines and units together give a bound as high as
//! can be. Fractions only propose: [`crate::engine::bound::open_recipes`] pays in whole numbers what they lead to.
//!
//! Lines have a multiplier each. A unit chooses all that is worth more than its price by weight among the lines of what
//! is chosen and of the candidates that give most, if that is worth more than what it costs once; and the recipes of
//! the smallest sums of multipliers are chosen. Multipliers move by the difference of both, as in
//! [`crate::engine::bound::multipliers`].

use crate::engine::bound::multipliers::{FRESH, Steps};
use crate::engine::bound::open_partial::{OpenPartial, Partial, Unit};

/// What is proposed for lunches partly chosen.
pub(in crate::engine) struct Proposed {
    /// Multipliers by line.
    pub(in crate::engine) lines: Vec<f64>,
    /// By use: what the alternative is worth to the unit.
    pub(in crate::engine) worth: Vec<f64>,
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

impl OpenPartial<'_> {
    /// Multipliers after so many turns, from those of another bound by line of all recipes or none; sets units' prices
    /// by weight and what is used of them in the mean. Ends as soon as the sum is above `top`.
    pub(in crate::engine) fn propose(
        &mut self,
        partial: &Partial,
        start: Option<&[f64]>,
        (turns, top): (usize, f64),
    ) -> Proposed {
        let mut best_lines = match start {
            Some(known) => self.known(known),
            None => self.first(partial),
        };
        let mut best_beyond = vec![0.0; self.uses.len()];
        let mut best = Chosen::default();
        let mut sums: Vec<(f64, usize)> = Vec::new();
        self.choose(partial, (&best_lines, &best_beyond), &mut sums, &mut best);
        let (mut mean, mut chosen) = (best.clone(), best.clone());
        let mut steps = Steps::new();
        let (mut lines, mut beyond) = (best_lines.clone(), best_beyond.clone());
        for _ in 0..turns {
            let (over, apart) = self.slack(&mean);
            let direction = over.iter().chain(&apart).copied();
            let Some(length) = steps.length(best.sum, top, direction) else {
                break;
            };
            for (at, line) in lines.iter_mut().enumerate() {
                *line = (best_lines[at] + length * over[at]).min(self.lines[at].free);
            }
            for (at, part) in beyond.iter_mut().enumerate() {
                *part = best_beyond[at] + length * apart[at];
            }
            self.choose(partial, (&lines, &beyond), &mut sums, &mut chosen);
            mix(&mut mean, &chosen);
            let better = chosen.sum > best.sum;
            if better {
                best_lines.clone_from(&lines);
                best_beyond.clone_from(&beyond);
                best.clone_from(&chosen);
            }
            steps.note(better);
        }
        let means = mean.used.iter().zip(&best.slopes);
        for (unit, (&mean, &slope)) in self.units.iter_mut().zip(means) {
            unit.mean = mean;
            unit.slope = slope;
        }
        Proposed {
            lines: best_lines,
            worth: best.worth,
        }
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

    /// What recipes and units choose by some multipliers, and the bound.
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
            self.choose_unit(unit, partial, sums, chosen);
        }
    }

    /// What a unit chooses, and what it adds to the bound.
    fn choose_unit(
        &self,
        unit: &Unit,
        partial: &Partial,
        sums: &mut Vec<(f64, usize)>,
        chosen: &mut Chosen,
    ) {
        let mut best = (f64::NEG_INFINITY, 0.0, 0.0);
        for &(slope, once) in &unit.slopes {
            let value = once - self.gives(unit, slope, partial, (&chosen.worth, sums));
            if value > best.0 {
                best = (value, slope, once);
            }
        }
        let (value, slope, once) = best;
        chosen.slopes.push(slope);
        if value >= 0.0 && !unit.is_open() {
            chosen.used.push((0.0, 0.0));
            return;
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
