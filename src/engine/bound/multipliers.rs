//! What each line may cost at the most, so that lines and units together give a bound as high as can be.
//!
//! Lines have a multiplier each: what taking one of their alternatives is worth. A unit then chooses for itself
//! which alternatives are worth what it costs (a fractional knapsack under its curve), and the bound is the sum
//! of multipliers and of what all units have left. It is raised by the volume algorithm of Barahona and Anbil,
//! The volume algorithm: producing primal solutions with a subgradient method, Mathematical Programming 87
//! (2000), from memory: steps go by a mean of what was chosen, which comes close to a fractional best week.
//!
//! An alternative of several units is worth something to each of them, in all what it is worth to its line;
//! units that take it and units that do not move those parts towards one another.
//!
//! Fractions only propose: [`crate::engine::bound::open_lines`] adds up in whole numbers what they lead to.

use std::ops::Range;

/// An alternative of a line.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Choice {
    pub(in crate::engine) line: usize,
    pub(in crate::engine) own: f64,
    /// Places among all uses.
    pub(in crate::engine) uses: Range<usize>,
}

/// What an alternative uses of a unit.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Use {
    pub(in crate::engine) unit: usize,
    pub(in crate::engine) amount: f64,
}

/// What a unit costs: once, and by weight the more of it is used.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Cost {
    pub(in crate::engine) once: f64,
    /// Where stretches end, and what each milligram costs on them: rising, the last without end. What must be used
    /// costs less than any price.
    pub(in crate::engine) stretches: Vec<(f64, f64)>,
    /// It is paid whatever is taken.
    pub(in crate::engine) open: bool,
}

impl Cost {
    /// By points joined by straight lines: how much is used, what that costs; so much must be.
    pub(in crate::engine) fn new(points: &[(i64, i64)], open: bool, low: i64) -> Self {
        let mut stretches = Vec::with_capacity(points.len() + 2);
        if low > 0 {
            stretches.push((low as f64, f64::NEG_INFINITY));
        }
        let once = points.first().map_or(0, |point| point.1);
        stretches.extend(points.first().map(|point| (point.0 as f64, 0.0)));
        stretches.extend(points.windows(2).map(|two| {
            let ((from, low), (to, high)) = (two[0], two[1]);
            (to as f64, (high - low) as f64 / (to - from) as f64)
        }));
        stretches.push((f64::INFINITY, f64::INFINITY));
        Self {
            once: once as f64,
            stretches,
            open,
        }
    }
}

/// Lines, alternatives and units of a node.
#[derive(Debug, Default)]
pub(in crate::engine) struct Problem {
    pub(in crate::engine) lines: usize,
    pub(in crate::engine) choices: Vec<Choice>,
    /// By choice.
    pub(in crate::engine) uses: Vec<Use>,
    pub(in crate::engine) costs: Vec<Cost>,
}

/// What a search for multipliers ends with.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Multipliers {
    pub(in crate::engine) sum: f64,
    /// By line.
    pub(in crate::engine) lines: Vec<f64>,
    /// By use: what the alternative is worth to the unit beyond an even part.
    pub(in crate::engine) beyond: Vec<f64>,
    /// By use: what the alternative is worth to the unit.
    pub(in crate::engine) worth: Vec<f64>,
    /// By unit: its price by weight.
    pub(in crate::engine) slopes: Vec<f64>,
    /// By unit, in the mean: how much is used, and what that costs.
    pub(in crate::engine) means: Vec<(f64, f64)>,
}

/// What is chosen by some multipliers.
#[derive(Clone, Debug, Default)]
struct Chosen {
    sum: f64,
    worth: Vec<f64>,
    /// By use: the part that the unit takes.
    taken: Vec<f64>,
    /// By choice without units.
    free: Vec<f64>,
    slopes: Vec<f64>,
    used: Vec<(f64, f64)>,
}

/// Part of what was chosen last in the mean of all.
pub(in crate::engine) const FRESH: f64 = 0.12;

/// How far the first step goes, and what becomes of that: no better several times, or better.
const STEP: f64 = 0.8;
const SHORTER: f64 = 0.6;
const LONGER: f64 = 1.15;
const LONGEST: f64 = 2.0;
const PATIENCE: u32 = 5;

/// How far multipliers move in the direction of what the mean lacks.
pub(in crate::engine) struct Steps {
    step: f64,
    stale: u32,
}

impl Steps {
    /// Those of the first turn.
    pub(in crate::engine) fn new() -> Self {
        Self {
            step: STEP,
            stale: 0,
        }
    }

    /// What the direction, of this square length, is taken times, from the best sum so far; none where the
    /// mean lacks nothing, or a sum above `top` is reached.
    pub(in crate::engine) fn length(
        &self,
        best: f64,
        top: f64,
        direction: impl Iterator<Item = f64>,
    ) -> Option<f64> {
        if best > top {
            return None;
        }
        let square: f64 = direction.map(|part| part * part).sum();
        if square < 1e-12 {
            return None;
        }
        // A little above what is reached, and no more than would do.
        let target = best + (0.05 * best.abs()).min((top - best) * 1.1).max(1.0);
        Some(self.step * (target - best) / square)
    }

    /// Goes further after a better sum, and less far after several that were not.
    pub(in crate::engine) fn note(&mut self, better: bool) {
        self.stale += 1;
        if better {
            (self.step, self.stale) = ((self.step * LONGER).min(LONGEST), 0);
        } else if self.stale == PATIENCE {
            (self.step, self.stale) = (self.step * SHORTER, 0);
        }
    }
}

impl Problem {
    /// Multipliers after so many turns, from those of a node before or none. Ends as soon as the sum is above
    /// `top`.
    pub(in crate::engine) fn raise(
        &self,
        start: Option<&[f64]>,
        turns: usize,
        top: f64,
    ) -> Multipliers {
        let by_unit = self.by_unit();
        let mut best = Multipliers {
            lines: start.map_or_else(|| self.first(), <[f64]>::to_vec),
            beyond: vec![0.0; self.uses.len()],
            ..Multipliers::default()
        };
        let mut chosen = Chosen::default();
        let mut scratch = Vec::new();
        self.choose(
            (&best.lines, &best.beyond),
            &by_unit,
            &mut scratch,
            &mut chosen,
        );
        let keep = |best: &mut Multipliers, chosen: &Chosen| {
            best.sum = chosen.sum;
            best.worth.clone_from(&chosen.worth);
            best.slopes.clone_from(&chosen.slopes);
        };
        keep(&mut best, &chosen);
        let mut mean = chosen.clone();
        let mut steps = Steps::new();
        let mut lines = best.lines.clone();
        let mut beyond = best.beyond.clone();
        for _ in 0..turns {
            let (over, apart) = self.slack(&mean);
            let direction = over.iter().chain(&apart).copied();
            let Some(length) = steps.length(best.sum, top, direction) else {
                break;
            };
            for (line, (&from, over)) in lines.iter_mut().zip(best.lines.iter().zip(&over)) {
                *line = from + length * over;
            }
            for (part, (&from, apart)) in beyond.iter_mut().zip(best.beyond.iter().zip(&apart)) {
                *part = from + length * apart;
            }
            self.choose((&lines, &beyond), &by_unit, &mut scratch, &mut chosen);
            mix(&mut mean, &chosen);
            let better = chosen.sum > best.sum;
            if better {
                best.lines.clone_from(&lines);
                best.beyond.clone_from(&beyond);
                keep(&mut best, &chosen);
            }
            steps.note(better);
        }
        best.means = mean.used;
        best
    }

    /// Uses of each unit.
    fn by_unit(&self) -> Vec<Vec<usize>> {
        let mut by_unit = vec![Vec::new(); self.costs.len()];
        for (at, one) in self.uses.iter().enumerate() {
            by_unit[one.unit].push(at);
        }
        by_unit
    }

    /// What the cheapest alternative of each line costs by weight.
    fn first(&self) -> Vec<f64> {
        let prices: Vec<f64> = self
            .costs
            .iter()
            .map(|cost| {
                let mut sum = (0.0, cost.once);
                for &(end, rise) in cost.stretches.iter().filter(|one| one.1.is_finite()) {
                    sum = (end, sum.1 + rise * (end - sum.0));
                }
                sum.1 / sum.0.max(1.0)
            })
            .collect();
        let mut least = vec![f64::INFINITY; self.lines];
        for choice in &self.choices {
            let uses = self.uses[choice.uses.clone()].iter();
            let cost = choice.own + uses.map(|one| prices[one.unit] * one.amount).sum::<f64>();
            least[choice.line] = least[choice.line].min(cost);
        }
        least
            .iter()
            .map(|&cost| if cost.is_finite() { cost } else { 0.0 })
            .collect()
    }

    /// How much of each line nobody takes, and for each use how much more other units take of its alternative.
    fn slack(&self, mean: &Chosen) -> (Vec<f64>, Vec<f64>) {
        let mut over = vec![1.0; self.lines];
        let mut apart = vec![0.0; self.uses.len()];
        for (choice, &free) in self.choices.iter().zip(&mean.free) {
            let taken = &mean.taken[choice.uses.clone()];
            let part = match taken.len() {
                0 => free,
                1 => taken[0],
                units => {
                    let part = taken.iter().sum::<f64>() / units as f64;
                    for (apart, &taken) in apart[choice.uses.clone()].iter_mut().zip(taken) {
                        *apart = part - taken;
                    }
                    part
                }
            };
            over[choice.line] -= part;
        }
        (over, apart)
    }

    /// What each unit chooses, and the bound.
    fn choose(
        &self,
        (lines, beyond): (&[f64], &[f64]),
        by_unit: &[Vec<usize>],
        sorted: &mut Vec<(f64, usize)>,
        chosen: &mut Chosen,
    ) {
        chosen.sum = lines.iter().sum();
        chosen.worth.clear();
        chosen.worth.resize(self.uses.len(), 0.0);
        chosen.taken.clear();
        chosen.taken.resize(self.uses.len(), 0.0);
        chosen.free.clear();
        for choice in &self.choices {
            let worth = lines[choice.line] - choice.own;
            let units = choice.uses.len() as f64;
            for at in choice.uses.clone() {
                chosen.worth[at] = worth / units + beyond[at];
            }
            let free = choice.uses.is_empty() && worth > 0.0;
            chosen.free.push(if free { 1.0 } else { 0.0 });
            if free {
                chosen.sum -= worth;
            }
        }
        chosen.slopes.clear();
        chosen.used.clear();
        for (cost, uses) in self.costs.iter().zip(by_unit) {
            sorted.clear();
            let worth = uses
                .iter()
                .map(|&at| (chosen.worth[at] / self.uses[at].amount, at));
            sorted.extend(worth.filter(|&(ratio, _)| ratio > 0.0 || cost.open));
            sorted
                .sort_unstable_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
            let filled = self.fill(cost, sorted, chosen);
            chosen.sum += filled.value;
            chosen.slopes.push(filled.slope);
            chosen.used.push((filled.used, filled.cost));
        }
    }

    /// Takes what is worth most by weight as long as the curve rises by less.
    fn fill(&self, cost: &Cost, sorted: &[(f64, usize)], chosen: &mut Chosen) -> Filled {
        let (mut used, mut paid, mut value) = (0.0, cost.once, cost.once);
        let mut place = 0;
        let mut count = 0;
        let mut next = f64::NEG_INFINITY;
        'all: for &(ratio, at) in sorted {
            let amount = self.uses[at].amount;
            let mut lacks = amount;
            count += 1;
            while lacks > 0.0 {
                let (end, rise) = cost.stretches[place];
                if used >= end {
                    place += 1;
                    continue;
                }
                if ratio <= rise {
                    chosen.taken[at] = 1.0 - lacks / amount;
                    next = ratio;
                    break 'all;
                }
                let part = lacks.min(end - used);
                used = if lacks < end - used { used + part } else { end };
                lacks -= part;
                let rise = rise.max(0.0);
                paid += rise * part;
                value += (rise - ratio) * part;
            }
            chosen.taken[at] = 1.0;
        }
        let start = place.checked_sub(1).map_or(0.0, |at| cost.stretches[at].0);
        let slope = if used > start {
            cost.stretches[place].1
        } else {
            let before = place.checked_sub(1).map_or(0.0, |at| cost.stretches[at].1);
            next.max(before)
        };
        let slope = if slope.is_finite() { slope } else { 0.0 };
        if !cost.open && value >= 0.0 {
            for &(_, at) in &sorted[..count] {
                chosen.taken[at] = 0.0;
            }
            return Filled {
                slope,
                ..Filled::default()
            };
        }
        Filled {
            value,
            slope,
            used,
            cost: paid,
        }
    }
}

/// What a unit chose.
#[derive(Clone, Copy, Debug, Default)]
struct Filled {
    value: f64,
    slope: f64,
    used: f64,
    cost: f64,
}

fn mix(mean: &mut Chosen, chosen: &Chosen) {
    let blend = |mean: &mut f64, new: f64| *mean += FRESH * (new - *mean);
    for (mean, &new) in mean.taken.iter_mut().zip(&chosen.taken) {
        blend(mean, new);
    }
    for (mean, &new) in mean.free.iter_mut().zip(&chosen.free) {
        blend(mean, new);
    }
    for (mean, &new) in mean.used.iter_mut().zip(&chosen.used) {
        blend(&mut mean.0, new.0);
        blend(&mut mean.1, new.1);
    }
}
