//! Lunches whose lines still have several alternatives, and what rules on nutrients leave of these.

use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::matching::Matching;
use crate::engine::model::day_sets::LunchDays;
use crate::engine::model::items::{Lines, Part};
use crate::engine::model::lots::FoodModel;
use crate::engine::model::pool::Pool;
use crate::engine::packs::floor::gcd;
use std::collections::{BTreeMap, BTreeSet};

/// An alternative of a line, as the bound sees it.
#[derive(Debug)]
pub(in crate::engine) struct Alternative {
    /// Units used, rising, each once.
    pub(in crate::engine) units: Box<[(u32, i64)]>,
    /// Those used on the day itself, rising.
    direct: Box<[u32]>,
    /// Days on which it can be had.
    days: LunchDays,
    /// What it costs by itself, by gauge.
    pub(in crate::engine) own: Box<[i64]>,
    /// What it gives to each rule on nutrients and food groups, by [`Needs`].
    gives: Box<[i64]>,
}

impl Alternative {
    /// Whether it uses a unit on the day itself.
    pub(in crate::engine) fn uses_itself(&self, unit: u32) -> bool {
        self.direct.binary_search(&unit).is_ok()
    }

    /// Whether it uses a unit.
    pub(in crate::engine) fn uses(&self, unit: u32) -> bool {
        self.units.iter().any(|one| one.0 == unit)
    }
}

/// A recipe with all of its alternatives open.
#[derive(Debug)]
pub(in crate::engine) struct OpenRecipe {
    pub(in crate::engine) lines: Vec<Vec<Alternative>>,
    /// What it costs whatever is taken, by gauge.
    pub(in crate::engine) own: Box<[i64]>,
    /// Days on which it may be served.
    days: LunchDays,
    /// By gauge: what it costs in whichever way is so many times this, beyond `own` ([`grain`]).
    grain: Box<[i64]>,
}

/// A rule on nutrients or food groups: place among what an alternative gives, its sign and
/// what the signed sum must come to.
#[derive(Clone, Copy, Debug)]
struct Need {
    place: usize,
    sign: i64,
    least: i64,
    /// Of each lunch, not of all of them.
    by_lunch: bool,
}

/// The rules on nutrients and food groups.
#[derive(Debug, Default)]
pub(in crate::engine) struct Needs(Vec<Need>);

impl Needs {
    /// Those of a larder.
    pub(in crate::engine) fn new(pool: &Pool) -> Self {
        let both = |place: usize, by_lunch: bool, least: Option<i64>, most: Option<i64>| {
            let need = move |sign: i64, value: i64| Need {
                place,
                sign,
                least: sign * value,
                by_lunch,
            };
            let floor = least.map(|value| need(1, value));
            floor.into_iter().chain(most.map(|value| need(-1, value)))
        };
        let of_week = pool.week_rules.iter();
        let of_week = of_week.flat_map(|&(place, least, most)| both(place, false, least, most));
        let of_lunch = pool.lunch_rules.iter();
        let of_lunch = of_lunch.flat_map(|&(place, least, most)| both(place, true, least, most));
        Self(of_week.chain(of_lunch).collect())
    }

    /// What ways of taking the alternatives give, by rule and lunch; to rules on all lunches by the first.
    pub(in crate::engine) fn sums(&self, set: &OpenSet, picks: &[u8]) -> Vec<i64> {
        let mut sums = vec![0; self.0.len() * set.lunches()];
        for (line, &pick) in picks.iter().enumerate() {
            let alternative = &set.lines[line][usize::from(pick)];
            self.add(&mut sums, (set, set.lunch_of(line)), alternative, 1);
        }
        sums
    }

    /// Adds what an alternative gives, or takes it off.
    pub(in crate::engine) fn add(
        &self,
        sums: &mut [i64],
        (set, lunch): (&OpenSet, usize),
        alternative: &Alternative,
        sign: i64,
    ) {
        for (at, (need, gives)) in self.0.iter().zip(&alternative.gives).enumerate() {
            let lunch = if need.by_lunch { lunch } else { 0 };
            sums[at * set.lunches() + lunch] += sign * gives;
        }
    }

    /// Drops alternatives that these rules shut out whatever else is taken; false if nothing is left.
    pub(in crate::engine) fn narrow(&self, set: &OpenSet, left: &mut [u32]) -> bool {
        self.0.iter().enumerate().all(|(at, need)| {
            let mut lunches = set.start.windows(2).map(|two| two[0]..two[1]);
            if need.by_lunch {
                lunches.all(|lines| keep_need(set, (at, need.least), lines, left))
            } else {
                keep_need(set, (at, need.least), 0..set.lines.len(), left)
            }
        })
    }

    /// How much is lacking to all rules together.
    pub(in crate::engine) fn lacking(&self, set: &OpenSet, sums: &[i64]) -> i128 {
        let rules = self.0.iter().zip(sums.chunks(set.lunches().max(1)));
        let lacks = rules.flat_map(|(need, sums)| {
            let lunches = if need.by_lunch { sums } else { &sums[..1] };
            lunches
                .iter()
                .map(|&sum| i128::from((need.least - sum).max(0)))
        });
        lacks.sum()
    }
}

impl OpenRecipe {
    /// A recipe as the gauges and rules see it.
    pub(in crate::engine) fn new(
        pool: &Pool,
        lines: &Lines,
        gauges: &[&Gauge],
        needs: &Needs,
    ) -> Self {
        let alternative = |part: &Part| {
            let mut units = part.units.clone();
            units.sort_unstable();
            units.dedup_by(|more, sum| {
                let same = more.0 == sum.0;
                if same {
                    sum.1 += more.1;
                }
                same
            });
            let own = gauges.iter().map(|gauge| {
                part.staples * gauge.weights.staple + part.minutes * gauge.weights.minute
            });
            let gives = needs
                .0
                .iter()
                .map(|need| need.sign * part.nutrients[need.place]);
            let mut direct: Vec<u32> = part.units[..part.direct].iter().map(|one| one.0).collect();
            direct.sort_unstable();
            Alternative {
                units: units.into(),
                direct: direct.into(),
                days: part.days,
                own: own.collect(),
                gives: gives.collect(),
            }
        };
        let list = lines.list.iter();
        let own = gauges.iter().map(|gauge| {
            lines.minutes * gauge.weights.minute + lines.preference * gauge.weights.preference
        });
        let lists: Vec<Vec<Alternative>> = list
            .map(|line| line.iter().map(alternative).collect())
            .collect();
        let grains = gauges.iter().enumerate().map(|(at, gauge)| {
            let alternatives = lists.iter().flatten();
            alternatives.fold(0, |known, one| {
                let units = one.units.iter();
                units.fold(gcd(known, one.own[at]), |known, &(unit, _)| {
                    gcd(known, grain(pool, gauge, unit))
                })
            })
        });
        Self {
            grain: grains.collect(),
            lines: lists,
            own: own.collect(),
            days: lines.days,
        }
    }
}

/// What a unit costs is at least so many times this, and no less than its floor.
///
/// Proof. A week pays for a food its packs, each with a price in whole, the price of a food to buy, and what
/// is left over by weight. Where no milligram left over of any lot weighs less than nothing, the first two
/// alone are no more than what the week pays, a whole number of times the greatest common divisor of these prices, and
/// no less than the floor if what is left over weighs nothing at the least. A batch costs its minutes.
fn grain(pool: &Pool, gauge: &Gauge, unit: u32) -> i64 {
    let weights = &gauge.weights;
    let foods = pool.larder.foods.len();
    if unit as usize >= foods {
        return weights.timed(pool.batch(unit - foods as u32));
    }
    let lots = pool.foods[unit as usize].iter().flat_map(|food| &food.lots);
    lots.fold(weights.food, |known, lot| {
        if FoodModel::left_weight(lot, weights) != 0 {
            1
        } else if lot.is_stock() {
            known
        } else {
            gcd(known, lot.price * weights.pack)
        }
    })
}

/// A set of lunches with open lines.
pub(in crate::engine) struct OpenSet<'r> {
    /// Lines of all lunches, one lunch after the other.
    pub(in crate::engine) lines: Vec<&'r [Alternative]>,
    /// First line of each lunch, and the end.
    pub(in crate::engine) start: Vec<usize>,
    /// What the lunches cost whatever is taken, by gauge.
    pub(in crate::engine) own: Vec<i64>,
    /// Days on which each lunch may be served.
    days: Vec<LunchDays>,
    /// By gauge: no way costs anything else than what is paid whatever is taken and so many times this, if what it
    /// costs is counted as in [`grain`]. Of a unit with a floor where nothing is used it is 1.
    grain: Vec<i64>,
}

impl<'r> OpenSet<'r> {
    /// The lines of some recipes.
    pub(in crate::engine) fn new(
        recipes: impl Iterator<Item = &'r OpenRecipe>,
        gauges: usize,
    ) -> Self {
        let mut set = Self {
            lines: Vec::new(),
            start: vec![0],
            own: vec![0; gauges],
            days: Vec::new(),
            grain: vec![0; gauges],
        };
        for recipe in recipes {
            set.days.push(recipe.days);
            set.lines.extend(recipe.lines.iter().map(Vec::as_slice));
            set.start.push(set.lines.len());
            for (sum, own) in set.own.iter_mut().zip(&recipe.own) {
                *sum += own;
            }
            for (known, &grain) in set.grain.iter_mut().zip(&recipe.grain) {
                *known = gcd(*known, grain);
            }
        }
        set
    }

    /// What is paid whatever is taken: ways differ from it by whole numbers of the grain.
    fn paid(&self, (gauge, dimension): (&Gauge, usize), pool: &Pool) -> i64 {
        let idle = gauge.restless.iter();
        let idle = idle.map(|&unit| gauge.floor(unit, 0, pool.stretch(0)));
        self.own[dimension] + gauge.constant + idle.sum::<i64>()
    }

    /// A bound that no way undercuts, raised to what a way can cost; `i64::MIN`, nothing known, stays.
    pub(in crate::engine) fn raised(&self, gauge: (&Gauge, usize), pool: &Pool, bound: i64) -> i64 {
        if bound == i64::MIN {
            return bound;
        }
        match self.beyond(gauge, pool, bound) {
            (_, 0) => bound,
            (grain, rest) => bound.saturating_add(grain - rest),
        }
    }

    /// The most that a way costs which costs no more than so much; `i64::MAX`, anything, stays.
    pub(in crate::engine) fn lowered(&self, gauge: (&Gauge, usize), pool: &Pool, top: i64) -> i64 {
        if top == i64::MAX {
            return top;
        }
        top.saturating_sub(self.beyond(gauge, pool, top).1)
    }

    /// The grain of what ways cost, and by how much a sum is beyond the next such cost below it.
    fn beyond(&self, gauge: (&Gauge, usize), pool: &Pool, sum: i64) -> (i64, i64) {
        let grain = self.grain[gauge.1];
        if grain <= 1 {
            return (grain, 0);
        }
        // Sums may be as far from what is paid as numbers go.
        let beyond = i128::from(sum) - i128::from(self.paid(gauge, pool));
        (grain, beyond.rem_euclid(i128::from(grain)) as i64)
    }

    /// Units of some alternatives of it, rising.
    pub(in crate::engine) fn units(&self, left: &[u32]) -> Vec<u32> {
        let lines = self.lines.iter().zip(left);
        let left = lines.flat_map(|(line, &bits)| left_of(bits).map(|at| &line[at]));
        let units = left.flat_map(|one| one.units.iter().map(|&(unit, _)| unit));
        units.collect::<BTreeSet<u32>>().into_iter().collect()
    }

    /// How many lunches it has.
    pub(in crate::engine) fn lunches(&self) -> usize {
        self.start.len() - 1
    }

    /// The lunch of a line.
    pub(in crate::engine) fn lunch_of(&self, line: usize) -> usize {
        self.start.partition_point(|&start| start <= line) - 1
    }

    /// Days on which each lunch can be had with what is left.
    fn days(&self, left: &[u32]) -> Vec<LunchDays> {
        let lunches = self.start.windows(2).zip(&self.days);
        let days = lunches.map(|(lines, &days)| {
            (lines[0]..lines[1]).fold(days, |days, line| {
                let any = left_of(left[line]).map(|at| self.lines[line][at].days);
                days & any.sum()
            })
        });
        days.collect()
    }

    /// Drops alternatives that cannot be had on any day on which the rest of their lunch can; false if the lunches
    /// cannot have a day each.
    pub(in crate::engine) fn narrow_by_days(&self, left: &mut [u32]) -> bool {
        let days = self.days(left);
        let mut served = Matching::default();
        if !days.iter().all(|&days| served.place(days)) {
            return false;
        }
        self.keep_days(left, &days);
        true
    }

    /// What is left of it on one day for each lunch, if there is a day for each.
    pub(in crate::engine) fn on_days(&self, left: &[u32]) -> Option<Vec<u32>> {
        let days = self.days(left);
        let mut served = Matching::default();
        if !days.iter().all(|&days| served.place(days)) {
            return None;
        }
        let of_lunch = days
            .iter()
            .map(|&days| Some(LunchDays::one(served.take(days)?.into())));
        let of_lunch: Vec<LunchDays> = of_lunch.collect::<Option<_>>()?;
        let mut left = left.to_vec();
        self.keep_days(&mut left, &of_lunch);
        Some(left)
    }

    fn keep_days(&self, left: &mut [u32], days: &[LunchDays]) {
        for (line, bits) in left.iter_mut().enumerate() {
            let days = days[self.lunch_of(line)];
            for at in left_of(*bits) {
                if !self.lines[line][at].days.meets(days) {
                    *bits &= !(1 << at);
                }
            }
        }
    }

    /// Every alternative left.
    pub(in crate::engine) fn all_left(&self) -> Vec<u32> {
        let lines = self.lines.iter();
        lines
            .map(|line| u32::MAX >> (32 - line.len() as u32))
            .collect()
    }

    /// What ways of taking the alternatives cost at the least, by floors of all units.
    pub(in crate::engine) fn cost(&self, gauge: (&Gauge, usize), pool: &Pool, picks: &[u8]) -> i64 {
        // Amounts, and lunches with a bit each.
        let mut used: BTreeMap<u32, (i64, u32)> = BTreeMap::new();
        let mut sum = self.own[gauge.1] + gauge.0.constant;
        for (at, (line, &pick)) in self.lines.iter().zip(picks).enumerate() {
            let taken = &line[usize::from(pick)];
            sum += taken.own[gauge.1];
            for &(unit, amount) in &taken.units {
                let used = used.entry(unit).or_default();
                used.0 += amount;
                if taken.uses_itself(unit) {
                    used.1 |= 1 << self.lunch_of(at);
                }
            }
        }
        for (&unit, &(amount, lunches)) in &used {
            let most = pool.stretch(amount);
            sum += gauge
                .0
                .floor_over(unit, (amount, most), lunches.count_ones().into());
        }
        let idle = gauge.0.restless.iter();
        let idle = idle.filter(|unit| !used.contains_key(unit));
        sum + idle
            .map(|&unit| gauge.0.floor(unit, 0, pool.stretch(0)))
            .sum::<i64>()
    }
}

/// Alternatives left of a line, by bit.
pub(in crate::engine) fn left_of(bits: u32) -> impl Iterator<Item = usize> {
    std::iter::successors(Some(bits), |bits| Some(bits & bits.wrapping_sub(1)))
        .take_while(|&bits| bits != 0)
        .map(|bits| bits.trailing_zeros() as usize)
}

/// Drops alternatives of some lines with which a signed sum cannot come to what it must; false if it cannot at all.
///
/// Proof. Each line takes one of its alternatives, which gives no more than the most that one left of it does; so the sum is no
/// larger than all of these together, and with one alternative than that with it in the place of its line's most. Both are
/// whole numbers, those of the judge: nothing is rounded. What is dropped from one line was no line's most unless its
/// sum was too small, so the sums of the others stay what they were. A line that has nothing left counts for nothing:
/// below it there is no week. The plain definition: no way of taking what is left with that alternative comes to it.
fn keep_need(
    set: &OpenSet,
    (need, least): (usize, i64),
    lines: std::ops::Range<usize>,
    left: &mut [u32],
) -> bool {
    let most = |line: usize, bits: u32| {
        let gives = left_of(bits).map(|at| set.lines[line][at].gives[need]);
        gives.max().unwrap_or(0)
    };
    let all: i64 = lines.clone().map(|line| most(line, left[line])).sum();
    if all < least {
        return false;
    }
    for line in lines {
        let own = most(line, left[line]);
        for at in left_of(left[line]) {
            if all - own + set.lines[line][at].gives[need] < least {
                left[line] &= !(1 << at);
            }
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::bound::open_samples::{count_ways, on_changed_kitchens, ways};
    use crate::engine::model::pool::SumRule;
    use crate::engine::model::samples::{kitchen, numbers};
    use crate::larder::NUTRIENTS;

    /// Whether lunches can have a day each, tried one after the other.
    fn served(days: &[LunchDays], taken: LunchDays) -> bool {
        let Some((first, rest)) = days.split_first() else {
            return true;
        };
        let mut free = first.iter().filter(|&day| !taken.contains(day.into()));
        free.any(|day| served(rest, taken | LunchDays::one(day.into())))
    }

    /// Rules on nutrients and food groups, and days, drop no alternative of a way that keeps them, way by way.
    #[test]
    fn rules_and_days_drop_nothing_that_some_way_keeps() {
        let mut next = numbers(8);
        let (mut kept, mut dropped, mut closed) = (0, 0, 0);
        for turn in 0..900 {
            let name = [
                "stored/nutrition",
                "stored/food-groups",
                "stored/everything",
            ][turn % 3];
            let sound = kitchen(name);
            let larder = sound.changed(|new| {
                for rule in &mut new.wishes.nutrition {
                    let least = &mut rule.at_least_milli;
                    *least = least.map(|value| value * (2 + next(9) as i64) / 10);
                    let most = &mut rule.at_most_milli;
                    *most = most.map(|value| value * (9 + next(9) as i64) / 10);
                }
            });
            let Ok(larder) = larder else { continue };
            let pool = Pool::new(&larder);
            let recipes = pool.servable_recipes();
            let lines: Vec<Lines> = recipes.map(|recipe| Lines::new(&pool, recipe)).collect();
            let needs = Needs::new(&pool);
            let some: Vec<&Lines> = (0..pool.last).map(|_| &lines[next(lines.len())]).collect();
            let recipes = some.iter().map(|lines| {
                let mut open = OpenRecipe::new(&pool, lines, &[], &needs);
                let mut some = || {
                    let picked = next(1 << pool.last);
                    let days = (1..=pool.last).filter(|day| picked >> (day - 1) & 1 != 0);
                    days.fold(LunchDays::NONE, |all, day| all | LunchDays::one(day))
                };
                let mut days = || some() | some() | some();
                open.days &= days();
                for one in open.lines.iter_mut().flatten() {
                    one.days &= days();
                }
                open
            });
            let recipes: Vec<OpenRecipe> = recipes.collect();
            let set = OpenSet::new(recipes.iter(), 0);
            if count_ways(&set) > 2_000 {
                continue;
            }
            let keeps = |picks: &Vec<u8>| {
                let mut sums = vec![vec![0; NUTRIENTS + larder.wishes.credits.len()]; some.len()];
                let mut days = set.days.clone();
                for (at, &pick) in picks.iter().enumerate() {
                    let lunch = set.lunch_of(at);
                    let part = &some[lunch].list[at - set.start[lunch]][usize::from(pick)];
                    for (sum, more) in sums[lunch].iter_mut().zip(&part.nutrients) {
                        *sum += more;
                    }
                    days[lunch] &= set.lines[at][usize::from(pick)].days;
                }
                let holds = |sum: i64, &(_, least, most): &SumRule| {
                    least.is_none_or(|least| sum >= least) && most.is_none_or(|most| sum <= most)
                };
                let of_week = pool.week_rules.iter();
                let mut of_week =
                    of_week.map(|rule| (sums.iter().map(|lunch| lunch[rule.0]).sum::<i64>(), rule));
                let mut of_lunch = pool.lunch_rules.iter();
                of_week.all(|(sum, rule)| holds(sum, rule))
                    && of_lunch.all(|rule| sums.iter().all(|lunch| holds(lunch[rule.0], rule)))
                    && served(&days, LunchDays::NONE)
            };
            let mut left = set.all_left();
            let some = needs.narrow(&set, &mut left) && set.narrow_by_days(&mut left);
            if some {
                let each = left.iter().zip(set.all_left());
                dropped += each
                    .map(|(left, all)| (all & !left).count_ones())
                    .sum::<u32>();
            }
            closed += u32::from(!some);
            for picks in ways(&set).filter(keeps) {
                kept += 1;
                let mut open = picks.iter().zip(&left);
                let within = open.all(|(&pick, bits)| bits >> pick & 1 == 1);
                assert!(some && within, "{name}: {picks:?}");
            }
        }
        assert!(
            kept > 1_000 && dropped > 20 && closed > 50,
            "{kept} {dropped} {closed}"
        );
    }

    /// Bounds are raised to no more than the next way costs, tops lowered to no less than the last one within them
    /// does, and both say nothing where nothing is known.
    #[test]
    fn bounds_and_tops_move_to_what_ways_can_cost() {
        let mut moved = 0;
        on_changed_kitchens(20, &mut numbers(7), |kitchen, next| {
            let some: Vec<usize> = (0..=next(2)).map(|_| next(kitchen.recipes.len())).collect();
            let set = OpenSet::new(some.iter().map(|&at| &kitchen.recipes[at]), 1);
            if count_ways(&set) > 1_000 {
                return;
            }
            let raised = |bound: i64| set.raised((kitchen.gauge, 0), kitchen.pool, bound);
            let lowered = |top: i64| set.lowered((kitchen.gauge, 0), kitchen.pool, top);
            let label = &kitchen.label;
            for cost in ways(&set).map(|picks| kitchen.cost(&set, &picks)) {
                for apart in [0, 1, 1 + next(1 << 20) as i64, 1 << 40] {
                    let (bound, top) = (cost - apart, cost + apart);
                    assert!((bound..=cost).contains(&raised(bound)), "{label}: {bound}");
                    assert!((cost..=top).contains(&lowered(top)), "{label}: {top}");
                    moved += i32::from(raised(bound) > bound) + i32::from(lowered(top) < top);
                }
            }
            assert_eq!(raised(i64::MIN), i64::MIN, "{label}");
            assert_eq!(lowered(i64::MAX), i64::MAX, "{label}");
            for far in [i64::MIN + 1, i64::MAX] {
                assert!(raised(far) >= far, "{label}");
            }
            for far in [i64::MIN, i64::MAX - 1] {
                assert!(lowered(far) <= far, "{label}");
            }
        });
        assert!(moved > 100, "{moved}");
    }
}
