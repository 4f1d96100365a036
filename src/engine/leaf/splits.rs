//! Lunches that draw on two batches of one component.
//!
//! With days and trips known, what remains is a small mixed program: shares of each lunch
//! by batch, batches cooked, packs, units opened, draws ([`crate::engine::mip::solver`] solves it). It is
//! asked only where floors leave a gap to the best week known.
//!
//! Shares are laid out in whole milligrams by rounding running sums, so that parts add up;
//! of the roundings that the model allows (each food of a batch its share to a whole
//! milligram, up or down) the cheapest is kept, and the week is then priced like any other. Where
//! a pack is used to its last milligram, which way is up to each food and each lunch.

use crate::engine::mip::solver::{Cover, Problem, Sense, Settled};
use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::lots::{LotModel, day_index};
use crate::engine::model::pool::{BatchDemand, Pool, amount_in};
use crate::engine::model::score::Score;
use crate::engine::model::times::Minutes;
use crate::engine::packs::batches::BatchChoice;
use crate::engine::packs::way::{DAYS, Uses, Way};
use crate::engine::stage::Stage;
use crate::larder::{Day, NANO};
use std::cell::Cell;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// A week whose days and trips are known.
pub(in crate::engine) struct Fixed<'c, 'a> {
    pub(in crate::engine) stage: &'c Stage<'a>,
    /// Lunches and what they ask of components, by component then day.
    pub(in crate::engine) demands: Vec<(Day, &'c BatchDemand)>,
    /// Days on which each may be cooked.
    pub(in crate::engine) windows: Vec<u32>,
    /// The days of all batches are chosen, paid and counted in the minutes.
    pub(in crate::engine) chosen: bool,
    /// Limits on minutes hold; without them what is ruled out is ruled out in any case.
    pub(in crate::engine) timed: bool,
    /// Foods whose draws depend on the division, and their direct use.
    pub(in crate::engine) foods: Vec<(u32, Uses)>,
    /// Foods whose draws do not, and the ways of buying and opening them that may matter;
    /// all others are in `rest`.
    pub(in crate::engine) fronts: Vec<(u32, Arc<Vec<Way>>)>,
    /// Minutes already spent on each day.
    pub(in crate::engine) minutes: Vec<Minutes>,
    /// Minutes of the week apart from batches.
    pub(in crate::engine) week_minutes: Minutes,
    /// Everything not decided here.
    pub(in crate::engine) rest: Score,
    pub(in crate::engine) trips: u16,
    /// How far above its ceiling what spoils may be, 1e-9 minor units: [`ROOM`] where
    /// weeks are to be ruled out, less than nothing where one is looked for.
    pub(in crate::engine) room: i64,
}

/// Prices the parts of all lunches; returns the objective of the best week known.
pub(in crate::engine) type Price<'p> =
    dyn FnMut(&[(Day, &BatchDemand)], &[Vec<Part>]) -> Option<i64> + 'p;

/// A batch day and its part of a lunch, as a fraction.
pub(in crate::engine) type Part = (i32, i128, i128);

/// Parts of a milligram in which shares that come from floating point are counted.
const PARTS: i128 = 1_000;

/// A share in [`PARTS`], on a whole milligram where it is within a hundredth of one: rounded up,
/// what is nothing but for floating point would be another batch.
fn snapped(share: f64) -> i128 {
    let share = share.round() as i128;
    let milligram = (share + PARTS / 2).div_euclid(PARTS) * PARTS;
    if (share - milligram).abs() <= PARTS / 100 {
        milligram
    } else {
        share
    }
}

/// A thousandth of a minor unit of spoiled value.
pub(in crate::engine) const ROOM: i64 = NANO / 1000;

/// Programs of which no solution is better than this, but for the slack. Most orders of days
/// leave the batches of a set with a program that another order has had.
/// None: there is no solution at all.
pub(in crate::engine) type Proved = HashMap<Problem, Option<i128>>;

/// Pivots that a program may take before it is given more rows.
const SOON: u64 = 200;

/// Programs kept at most.
const MOST_PROVED: usize = 10_000;

/// One lunch's share from one batch day.
struct Share {
    demand: usize,
    day: i32,
    column: usize,
}

impl Fixed<'_, '_> {
    /// Searches for weeks below `below` (an objective), or for any. The parts of each lunch in
    /// each one found are handed to `price`, which returns the objective of the best week known. What is done is taken off `work`; what is proved is kept in `proved`,
    /// for one `slack`.
    pub(in crate::engine) fn search(
        &self,
        below: Option<i64>,
        slack: i64,
        (work, proved): (&mut u64, &mut Proved),
        price: &mut Price<'_>,
    ) -> Settled {
        let mut problem = Problem::default();
        let mut constant = i128::from(self.rest.objective);
        let (shares, cooked) = self.share_columns(&mut problem);
        if self.timed {
            self.minute_rows(&mut problem, &shares, &cooked);
        }
        let covers = self.food_rows(&mut problem, &shares, &mut constant);
        let beside = |objective: i64| i128::from(objective) - constant;
        let start = below.map(beside);
        let settles = |proved: &Option<i128>| match (proved, start) {
            (None, _) => true,
            (Some(_), None) => false,
            (&Some(proved), Some(start)) => proved >= start,
        };
        if proved.get(&problem).is_some_and(settles) {
            return Settled::Proved;
        }
        let below = Cell::new(start);
        let mut price = |x: &[f64]| {
            let mut parts: Vec<Vec<Part>> = vec![Vec::new(); self.demands.len()];
            for share in &shares {
                let whole = i128::from(self.demands[share.demand].1.mg) * PARTS;
                let part = snapped(x[share.column] * whole as f64);
                if part > 0 {
                    parts[share.demand].push((share.day, part, whole));
                }
            }
            below.set(price(&self.demands, &parts).map(beside));
            below.get()
        };
        let stop = || self.stage.halted(true);
        // Most programs end soon as they are; of the others the rows beyond fractions are worth
        // their room in the table.
        let first = problem.cells().saturating_mul(SOON).min(*work);
        let mut left = first;
        let mut settled = problem.search(start, i128::from(slack), &stop, &mut left, &mut price);
        *work -= first - left;
        if settled == Settled::Open && left == 0 {
            let mut tight = problem.clone();
            tight.tighten(covers, work);
            settled = tight.search(below.get(), i128::from(slack), &stop, work, &mut price);
        }
        if settled == Settled::Proved && proved.len() < MOST_PROVED {
            proved.insert(problem, below.get());
        }
        settled
    }

    fn pool(&self) -> &Pool<'_> {
        self.stage.pool
    }

    /// Shares of each lunch by batch day, and whether a batch is cooked.
    fn share_columns(&self, problem: &mut Problem) -> (Vec<Share>, BTreeMap<(u32, i32), usize>) {
        let weights = &self.stage.gauges[0].weights;
        let mut shares = Vec::new();
        let mut cooked: BTreeMap<(u32, i32), usize> = BTreeMap::new();
        for (at, (_, demand)) in self.demands.iter().enumerate() {
            let minutes = self.pool().batch(demand.component);
            let mut whole = Vec::new();
            for day in (0..DAYS as i32).filter(|day| self.windows[at] & (1 << day) != 0) {
                let column = problem.column(0, false, 1);
                whole.push((column, 1));
                shares.push(Share {
                    demand: at,
                    day,
                    column,
                });
                if !minutes.is_none() && !self.chosen {
                    let price = i128::from(weights.timed(minutes));
                    let batch = *cooked
                        .entry((demand.component, day))
                        .or_insert_with(|| problem.column(price, true, 1));
                    problem.row(vec![(column, 1), (batch, -1)], Sense::AtMost, 0);
                }
            }
            problem.row(whole, Sense::Equal, 1);
        }
        (shares, cooked)
    }

    fn minute_rows(
        &self,
        problem: &mut Problem,
        shares: &[Share],
        cooked: &BTreeMap<(u32, i32), usize>,
    ) {
        let pool = self.pool();
        let kinds: [fn(Minutes) -> i64; 2] = [|minutes| minutes.active, Minutes::in_kitchen];
        let limits = pool.limits.iter().zip(&self.minutes).enumerate();
        let rows = limits.flat_map(|(day, (limit, &spent))| {
            let most = [limit.active, limit.kitchen].into_iter().zip(kinds);
            most.filter_map(move |(most, counted)| {
                Some((day, most.most()? - counted(spent), counted))
            })
        });
        for (day, left, counted) in rows {
            let mut terms = Vec::new();
            for share in shares.iter().filter(|share| share.day == day as i32) {
                let demand = self.demands[share.demand].1;
                let rate = pool.component(demand.component).minutes_per_mg_nano;
                if rate > 0 {
                    terms.push((share.column, i128::from(rate) * i128::from(demand.mg)));
                }
            }
            for (&(component, at), &column) in cooked {
                if at == day as i32 {
                    terms.push((column, i128::from(counted(pool.batch(component)))));
                }
            }
            problem.row(terms, Sense::AtMost, i128::from(left));
        }
        if let Some(most) = self.stage.ceilings.minutes.most()
            && !self.chosen
        {
            let terms = cooked
                .iter()
                .map(|(&(component, _), &column)| {
                    (column, i128::from(pool.batch(component).active))
                })
                .collect();
            let left = most - self.week_minutes.active;
            problem.row(terms, Sense::AtMost, i128::from(left));
        }
    }

    /// Packs, openings and draws of every food, and the ceilings over them; returns rows that whole
    /// packs and units keep beyond that.
    fn food_rows(
        &self,
        problem: &mut Problem,
        shares: &[Share],
        constant: &mut i128,
    ) -> Vec<Cover> {
        let ceilings = self.stage.ceilings;
        let larder = self.pool().larder;
        let mut sums = Sums::default();
        let mut families: BTreeMap<u32, usize> = BTreeMap::new();
        let mut buys: Vec<(u32, usize)> = Vec::new();
        for (food, uses) in &self.foods {
            let bought = self.food(problem, *food, uses, shares, constant, &mut sums);
            buys.push((*food, bought));
        }
        let covers = std::mem::take(&mut sums.covers);
        for (food, ways) in &self.fronts {
            let mut one = Vec::new();
            for way in ways.iter() {
                let column = problem.column(i128::from(way.score.objective), true, 1);
                one.push((column, 1));
                if way.bought {
                    buys.push((*food, column));
                }
                sums.packs.push((column, i128::from(way.packs)));
                sums.spoiled.push((column, i128::from(way.score.spoiled)));
            }
            problem.row(one, Sense::Equal, 1);
        }
        for (food, bought) in buys {
            sums.foods.push((bought, 1));
            if ceilings.families.is_set() {
                match larder.foods[food as usize].family {
                    None => sums.families.push((bought, 1)),
                    Some(family) => {
                        let column = *families
                            .entry(family.0)
                            .or_insert_with(|| problem.column(0, true, 1));
                        problem.row(vec![(bought, 1), (column, -1)], Sense::AtMost, 0);
                    }
                }
            }
        }
        for terms in [&mut sums.packs, &mut sums.spoiled] {
            terms.retain(|&(_, sum)| sum != 0);
        }
        sums.families
            .extend(families.values().map(|&column| (column, 1)));
        let rest = &self.rest;
        let mut top = |terms: Vec<(usize, i128)>, ceiling: Ceiling, spent: i128| {
            if let Some(most) = ceiling.most() {
                problem.row(terms, Sense::AtMost, i128::from(most) - spent);
            }
        };
        top(sums.foods, ceilings.foods, i128::from(rest.foods));
        top(sums.families, ceilings.families, 0);
        top(sums.packs.clone(), ceilings.packs, 0);
        if let Some(most) = ceilings.cost.most() {
            // Packs cost whole minor units.
            let left = (most - rest.cost).div_euclid(NANO);
            top(sums.packs, Ceiling::at(left), 0);
        }
        // Whole milligrams may hold what fractions just do not. Weeks are held to the ceiling
        // itself when they are priced.
        let room = i128::from(self.room);
        top(
            sums.spoiled,
            ceilings.spoiled,
            i128::from(rest.spoiled) + sums.spoiled_constant - room,
        );
        covers
    }

    /// Columns and rows of one food; returns the column that says it is bought.
    fn food(
        &self,
        problem: &mut Problem,
        food: u32,
        uses: &Uses,
        shares: &[Share],
        constant: &mut i128,
        sums: &mut Sums,
    ) -> usize {
        let weights = &self.stage.gauges[0].weights;
        let pool = self.pool();
        let last = pool.last;
        let model = pool.foods[food as usize].as_ref().expect("counted");
        let bought = problem.column(i128::from(weights.food), true, 1);
        let flexible: i64 = self
            .demands
            .iter()
            .map(|(_, demand)| amount_in(demand, food))
            .sum();
        let total = uses.iter().sum::<i64>() + flexible;
        // The most that days `from..=until` can use: what a unit holds beyond that is no help, and
        // in fractions would only be a smaller part of a unit.
        let used_in = |from: i32, until: i32| {
            let days = from.max(0)..=until.min(last);
            let direct: i64 = days.clone().map(|day| uses[day_index(day)]).sum();
            let within = |at: usize| days.clone().any(|day| self.windows[at] & (1 << day) != 0);
            let demands = self.demands.iter().enumerate();
            let divided = demands.filter(|&(at, _)| within(at));
            let divided = divided.map(|(_, (_, demand))| amount_in(demand, food));
            i128::from(direct + divided.sum::<i64>())
        };
        // What is drawn on each day, by whatever may be drawn from.
        let mut draws: Vec<Vec<(usize, i128)>> = vec![Vec::new(); DAYS];
        let mut held: Vec<(usize, i128)> = Vec::new();
        let mut stock = 0i128;
        let mut serving: Vec<Serving> = Vec::new();
        for lot in &model.lots {
            if lot.trip.is_some_and(|trip| self.trips & (1 << trip) == 0) {
                continue;
            }
            let unit = i128::from(lot.unit);
            let sealed = Fate::of(lot, lot.sealed_kept, self);
            let mut packs = None;
            if lot.stock {
                // A unit on hand is left over until something is drawn.
                *constant += sealed.weight * unit;
                sums.spoiled_constant += sealed.spoils * unit;
                if !lot.usable {
                    continue;
                }
                stock += unit;
            } else {
                let inside = i128::from(lot.units) * unit;
                let most = i128::from(total).div_euclid(unit) + 1 + i128::from(last);
                let column = problem.column(
                    i128::from(lot.price) * i128::from(weights.pack) + sealed.weight * inside,
                    true,
                    most,
                );
                packs = Some(column);
                sums.packs.push((column, i128::from(lot.price)));
                if sealed.spoils != 0 {
                    sums.spoiled.push((column, sealed.spoils * inside));
                }
                problem.row(vec![(column, 1), (bought, -most)], Sense::AtMost, 0);
                held.push((column, inside));
            }
            if let Some((from, until)) = lot.pool {
                serving.push(Serving {
                    column: packs,
                    from,
                    until,
                    holds: i128::from(lot.units) * unit,
                });
                let mut row = Vec::new();
                for day in (from.max(0)..=until.min(last)).filter(|&at| used_in(at, at) > 0) {
                    let draw = problem.column(-sealed.weight, false, used_in(day, day));
                    if sealed.spoils != 0 {
                        sums.spoiled.push((draw, -sealed.spoils));
                    }
                    draws[day as usize].push((draw, 1));
                    row.push((draw, 1));
                }
                match packs {
                    Some(packs) => {
                        let inside = i128::from(lot.units) * unit;
                        row.push((packs, -inside.min(used_in(from, until))));
                        problem.row(row, Sense::AtMost, 0);
                    }
                    None => problem.row(row, Sense::AtMost, unit),
                }
                continue;
            }
            let mut opened_units = Vec::new();
            for day in lot.open_from.max(0)..=lot.open_to {
                let used = uses.get(day_index(day)).is_some_and(|&mg| mg > 0);
                let may_be = |share: &Share| {
                    share.day == day && amount_in(self.demands[share.demand].1, food) > 0
                };
                if !used && !shares.iter().any(may_be) {
                    continue;
                }
                let until = lot.good(day).min(last);
                let open = Fate::of(lot, lot.good(day) >= lot.carry, self);
                // Opening turns a sealed leftover into an opened one.
                // Enough to serve everything, and a pack's other units, which opening may keep.
                let most = i128::from(total).div_euclid(unit) + 1 + i128::from(lot.units);
                let opened = problem.column((open.weight - sealed.weight) * unit, true, most);
                if open.spoils != sealed.spoils {
                    sums.spoiled
                        .push((opened, (open.spoils - sealed.spoils) * unit));
                }
                opened_units.push((opened, 1));
                serving.push(Serving {
                    column: Some(opened),
                    from: day,
                    until,
                    holds: unit,
                });
                let mut row = vec![(opened, -unit.min(used_in(day, until)))];
                for at in (day..=until).filter(|&at| used_in(at, at) > 0) {
                    let draw = problem.column(-open.weight, false, used_in(at, at));
                    if open.spoils != 0 {
                        sums.spoiled.push((draw, -open.spoils));
                    }
                    draws[at as usize].push((draw, 1));
                    row.push((draw, 1));
                    // A milligram of each unit is used on the day it is opened. Where something is
                    // used in any case that is next to nothing, and not worth a row whose figures
                    // are a million times apart; leaving it out rules nothing out.
                    if at == day && !used {
                        problem.row(vec![(draw, 1), (opened, -1)], Sense::AtLeast, 0);
                    }
                }
                problem.row(row, Sense::AtMost, 0);
            }
            match packs {
                Some(packs) => {
                    opened_units.push((packs, -i128::from(lot.units)));
                    problem.row(opened_units, Sense::AtMost, 0);
                }
                None => problem.row(opened_units, Sense::AtMost, 1),
            }
        }
        for day in 0..=last {
            let mut row = std::mem::take(&mut draws[day as usize]);
            for share in shares.iter().filter(|share| share.day == day) {
                let mg = amount_in(self.demands[share.demand].1, food);
                if mg > 0 {
                    row.push((share.column, -i128::from(mg)));
                }
            }
            if !row.is_empty() || uses[day as usize] > 0 {
                problem.row(row, Sense::Equal, i128::from(uses[day as usize]));
            }
        }
        cover(problem, &held, i128::from(total) - stock);
        sums.covers
            .extend(rounded(&held, i128::from(total) - stock));
        for from in 0..=last {
            for until in from..=last {
                let days = (from..=until).fold(0u32, |days, day| days | 1 << day);
                let direct: i64 = (from..=until).map(|day| uses[day_index(day)]).sum();
                // What is asked of these days and no others.
                let demands = self.demands.iter().zip(&self.windows);
                let inside = demands.filter(|(_, window)| **window & !days == 0);
                let inside = inside.map(|((_, demand), _)| amount_in(demand, food));
                let mut need = i128::from(direct + inside.sum::<i64>());
                let mut terms = Vec::new();
                for one in &serving {
                    let (first, end) = (from.max(one.from), until.min(one.until));
                    if first <= end {
                        let most = one.holds.min(used_in(first, end));
                        match one.column {
                            Some(column) => terms.push((column, most)),
                            None => need -= most,
                        }
                    }
                }
                sums.covers.extend(rounded(&terms, need));
            }
        }
        bought
    }
}

/// What days may be served from: units opened on a day, packs of a pool, or (without a column) a unit
/// on hand.
struct Serving {
    column: Option<usize>,
    from: i32,
    until: i32,
    holds: i128,
}

/// Rows of whole numbers that follow from `sum of what each holds >= need`: by each size that is
/// there, all of them rounded up (V. Chvatal, Discrete Mathematics 4 (1973), 305-337, from memory).
fn rounded(terms: &[(usize, i128)], need: i128) -> Vec<Cover> {
    let up = |a: i128, b: i128| (a + b - 1).div_euclid(b);
    let mut sizes: Vec<i128> = terms.iter().map(|&(_, holds)| holds).collect();
    sizes.retain(|&size| size > 0);
    sizes.sort_unstable();
    sizes.dedup();
    if need <= 0 {
        return Vec::new();
    }
    let rows = sizes.into_iter().map(|size| Cover {
        terms: terms
            .iter()
            .map(|&(column, holds)| (column, up(holds, size)))
            .collect(),
        least: up(need, size),
    });
    rows.collect()
}

/// Writes shares (the parts of each demand, of one denominator) as batches in whole
/// milligrams: running sums are rounded down or up, of the component and of its foods
/// (`foods_up`: by position of the demand and food).
pub(in crate::engine) fn lay_out(
    pool: &Pool,
    demands: &[(Day, &BatchDemand)],
    shares: &[Vec<Part>],
    up: bool,
    foods_up: &dyn Fn(usize, u32) -> bool,
) -> Vec<BatchChoice> {
    let mut choices: Vec<BatchChoice> = Vec::new();
    for (at, ((lunch, demand), parts)) in demands.iter().zip(shares).enumerate() {
        let mut known = choices.iter();
        let known = known.position(|choice| choice.component == demand.component);
        let place = known.unwrap_or_else(|| {
            choices.push(BatchChoice::empty(pool, demand.component));
            choices.len() - 1
        });
        let mut running = 0i128;
        let mut given = 0;
        let mut foods_given: Vec<i64> = vec![0; demand.foods.len()];
        for (part, &(day, share, of)) in parts.iter().enumerate() {
            running += share;
            let end = if part + 1 == parts.len() {
                demand.mg
            } else {
                let sum = running * i128::from(demand.mg);
                ((sum / of + i128::from(up && sum % of != 0)) as i64).min(demand.mg)
            };
            let mg = end - given;
            given = end;
            if mg == 0 {
                continue;
            }
            let foods: Vec<(u32, i64)> = demand
                .foods
                .iter()
                .zip(&mut foods_given)
                .map(|(&(food, whole), given)| {
                    let sum = i128::from(whole) * i128::from(end);
                    let by = i128::from(demand.mg);
                    let to = sum / by + i128::from(sum % by != 0 && foods_up(at, food));
                    let share = to as i64 - *given;
                    *given = to as i64;
                    (food, share)
                })
                .filter(|&(_, mg)| mg > 0)
                .collect();
            choices[place].serve(day as Day, *lunch, mg, &foods);
        }
    }
    for choice in &mut choices {
        choice.count_minutes(pool);
    }
    choices.sort_by_key(|choice| choice.component);
    choices
}

/// The roundings of [`lay_out`] that are the same for all foods.
pub(in crate::engine) const ROUNDINGS: [(bool, bool); 4] =
    [(false, false), (false, true), (true, false), (true, true)];

/// Whole packs that hold what stock does not: if all packs are of one size, their number
/// is known from below. A row that only helps the fractions along.
fn cover(problem: &mut Problem, held: &[(usize, i128)], missing: i128) {
    if missing <= 0 || held.is_empty() {
        return;
    }
    let size = held[0].1;
    if held.iter().all(|&(_, inside)| inside == size) {
        let terms = held.iter().map(|&(column, _)| (column, 1)).collect();
        problem.row(terms, Sense::AtLeast, (missing + size - 1) / size);
    }
}

/// Sums over all foods that a ceiling may bind.
#[derive(Default)]
struct Sums {
    foods: Vec<(usize, i128)>,
    families: Vec<(usize, i128)>,
    packs: Vec<(usize, i128)>,
    spoiled: Vec<(usize, i128)>,
    spoiled_constant: i128,
    covers: Vec<Cover>,
}

/// Weight of a milligram left over in the objective, and in spoiled value.
struct Fate {
    weight: i128,
    spoils: i128,
}

impl Fate {
    fn of(lot: &LotModel, kept: bool, fixed: &Fixed<'_, '_>) -> Self {
        let weights = &fixed.stage.gauges[0].weights;
        if kept {
            Self {
                weight: -i128::from(weights.kept(lot.value)),
                spoils: 0,
            }
        } else {
            Self {
                weight: i128::from(weights.spoiled(lot.value)),
                spoils: i128::from(lot.value),
            }
        }
    }
}
