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

use crate::engine::leaf::food_program::{FoodRows, FoodUse, Share, Sums};
use crate::engine::mip::problem::{Budget, Cover, Problem, Sense};
use crate::engine::mip::solver::Settled;
use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::{BatchDemand, Pool};
use crate::engine::model::score::Score;
use crate::engine::model::times::Minutes;
use crate::engine::packs::batches::BatchChoice;
use crate::engine::packs::way::{Uses, Way};
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
    pub(in crate::engine) windows: Vec<KitchenDays>,
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
const SOON: u64 = 50;

/// Programs kept at most.
const MOST_PROVED: usize = 10_000;

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
        let (covers, on_hand) = self.food_rows(&mut problem, &shares);
        constant += on_hand;
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
        let mut budget = Budget {
            left: first,
            stop: &stop,
        };
        let mut settled = problem.search(start, i128::from(slack), &mut budget, &mut price);
        *work -= first - budget.left;
        if settled == Settled::Open && budget.left == 0 {
            let mut tight = problem.clone();
            budget.left = *work;
            tight.tighten(covers, &mut budget);
            settled = tight.search(below.get(), i128::from(slack), &mut budget, &mut price);
            *work = budget.left;
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
            for day in self.windows[at].iter().map(i32::from) {
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
    /// packs and units keep beyond that, and the objective of what is on hand.
    fn food_rows(&self, problem: &mut Problem, shares: &[Share]) -> (Vec<Cover>, i128) {
        let mut sums = Sums::default();
        let mut buys: Vec<(u32, usize)> = Vec::new();
        for (food, uses) in &self.foods {
            let model = self.pool().foods[*food as usize].as_ref();
            let of = FoodUse {
                weights: &self.stage.gauges[0].weights,
                model: model.expect("counted"),
                food: *food,
                last: self.pool().last,
                uses,
                demands: &self.demands,
                windows: &self.windows,
                shares,
                trips: self.trips,
            };
            let (bought, _) = FoodRows::add(&of, problem, &mut sums);
            buys.push((*food, bought));
        }
        let covers = std::mem::take(&mut sums.covers);
        let on_hand = sums.constant;
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
        self.family_rows(problem, &buys, &mut sums);
        self.ceiling_rows(problem, sums);
        (covers, on_hand)
    }

    /// What is bought, as foods and as families.
    fn family_rows(&self, problem: &mut Problem, buys: &[(u32, usize)], sums: &mut Sums) {
        let ceilings = self.stage.ceilings;
        let larder = self.pool().larder;
        let mut families: BTreeMap<u32, usize> = BTreeMap::new();
        for &(food, bought) in buys {
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
        sums.families
            .extend(families.values().map(|&column| (column, 1)));
    }

    /// The ceilings over all foods.
    fn ceiling_rows(&self, problem: &mut Problem, mut sums: Sums) {
        let ceilings = self.stage.ceilings;
        for terms in [&mut sums.packs, &mut sums.spoiled] {
            terms.retain(|&(_, sum)| sum != 0);
        }
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
    }
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
