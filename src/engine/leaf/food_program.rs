//! One food in the program of divided lunches: packs, openings and draws of a day.

use crate::engine::mip::problem::{Cover, Problem, Sense};
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::lots::{FoodModel, LotModel, day_index};
use crate::engine::model::pool::{BatchDemand, amount_in};
use crate::engine::model::score::Weights;
use crate::engine::packs::way::{DAYS, Uses};
use crate::larder::Day;

/// One lunch's share from one batch day.
pub(in crate::engine) struct Share {
    pub(in crate::engine) demand: usize,
    pub(in crate::engine) day: i32,
    pub(in crate::engine) column: usize,
}

/// Sums over all foods that a ceiling may bind, and what foods add to the program beside rows.
#[derive(Default)]
pub(in crate::engine) struct Sums {
    pub(in crate::engine) foods: Vec<(usize, i128)>,
    pub(in crate::engine) families: Vec<(usize, i128)>,
    pub(in crate::engine) packs: Vec<(usize, i128)>,
    pub(in crate::engine) spoiled: Vec<(usize, i128)>,
    pub(in crate::engine) spoiled_constant: i128,
    /// Objective of what is on hand, if nothing is drawn from it.
    pub(in crate::engine) constant: i128,
    /// Rows that whole packs and units keep beyond fractions.
    pub(in crate::engine) covers: Vec<Cover>,
}

/// A food, and what a week with days and trips known asks of it.
pub(in crate::engine) struct FoodUse<'f> {
    pub(in crate::engine) weights: &'f Weights,
    pub(in crate::engine) model: &'f FoodModel,
    pub(in crate::engine) food: u32,
    pub(in crate::engine) last: i32,
    /// Direct use by day.
    pub(in crate::engine) uses: &'f Uses,
    /// What is asked of batches, and the days on which each may be cooked.
    pub(in crate::engine) demands: &'f [(Day, &'f BatchDemand)],
    pub(in crate::engine) windows: &'f [KitchenDays],
    pub(in crate::engine) shares: &'f [Share],
    /// Trips made.
    pub(in crate::engine) trips: u16,
}

/// A whole column of one food's program: packs of a lot, or units of it opened on a day.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Counted {
    pub(in crate::engine) lot: usize,
    /// None: packs.
    pub(in crate::engine) day: Option<i32>,
    pub(in crate::engine) column: usize,
}

/// Columns and rows of one food.
pub(in crate::engine) struct FoodRows<'f> {
    of: &'f FoodUse<'f>,
    problem: &'f mut Problem,
    sums: &'f mut Sums,
    /// All that is used of it.
    total: i64,
    /// The column that says it is bought.
    bought: usize,
    /// What is drawn on each day, by whatever may be drawn from.
    draws: Vec<Vec<(usize, i128)>>,
    /// Packs, and what is in one.
    held: Vec<(usize, i128)>,
    /// What is on hand.
    stock: i128,
    serving: Vec<Serving>,
    counted: Vec<Counted>,
}

/// What days may be served from: units opened on a day, packs of a pool, or (without a column) a unit
/// on hand.
struct Serving {
    column: Option<usize>,
    from: i32,
    until: i32,
    holds: i128,
}

/// What a milligram left over counts for, as the program's figures.
#[derive(Clone, Copy)]
struct Fate {
    weight: i128,
    spoils: i128,
}

impl FoodUse<'_> {
    /// What a milligram of a lot adds if it is kept, or spoils.
    fn fate(&self, lot: &LotModel, kept: bool) -> Fate {
        let leftover = lot.leftover(kept, self.weights);
        Fate {
            weight: leftover.weight.into(),
            spoils: leftover.spoils.into(),
        }
    }

    fn direct(&self, days: impl Iterator<Item = i32>) -> i64 {
        days.map(|day| self.uses[day_index(day)]).sum()
    }

    /// What divided lunches ask in all, of those whose days `take` says.
    fn divided(&self, take: impl Fn(KitchenDays) -> bool) -> i64 {
        let demands = self.demands.iter().zip(self.windows);
        let taken = demands.filter(|&(_, &window)| take(window));
        taken
            .map(|((_, demand), _)| amount_in(demand, self.food))
            .sum()
    }

    /// The most that days `from..=until` can use: what a unit holds beyond that is no help, and
    /// in fractions would only be a smaller part of a unit.
    fn used_in(&self, from: i32, until: i32) -> i128 {
        let days = from.max(0)..=until.min(self.last);
        let set = KitchenDays::within(from, until, self.last);
        i128::from(self.direct(days) + self.divided(|window| window.meets(set)))
    }

    /// The least that days `from..=until` use: what is asked of them and no others.
    fn asked_of(&self, from: i32, until: i32) -> i128 {
        let set = KitchenDays::span(from, until);
        i128::from(self.direct(from..=until) + self.divided(|window| window.is_within(set)))
    }

    /// Days up to `until` on which some of it may be used.
    fn days(&self, from: i32, until: i32) -> impl Iterator<Item = i32> {
        (from.max(0)..=until.min(self.last)).filter(|&day| self.used_in(day, day) > 0)
    }
}

impl<'f> FoodRows<'f> {
    /// Adds a food to a program; returns the column that says it is bought, and those of its packs and openings.
    pub(in crate::engine) fn add(
        of: &'f FoodUse<'f>,
        problem: &'f mut Problem,
        sums: &'f mut Sums,
    ) -> (usize, Vec<Counted>) {
        let bought = problem.column(i128::from(of.weights.food), true, 1);
        let mut rows = Self {
            of,
            problem,
            sums,
            total: of.uses.iter().sum::<i64>() + of.divided(|_| true),
            bought,
            draws: vec![Vec::new(); DAYS],
            held: Vec::new(),
            stock: 0,
            serving: Vec::new(),
            counted: Vec::new(),
        };
        for (index, lot) in of.model.lots.iter().enumerate() {
            rows.lot(index, lot);
        }
        rows.draw_by_day();
        let missing = i128::from(rows.total) - rows.stock;
        if missing > 0 {
            // All of its uses are in the program: what stock does not hold is bought.
            rows.problem.row(vec![(bought, 1)], Sense::AtLeast, 1);
        }
        cover(rows.problem, &rows.held, missing);
        rows.sums.covers.extend(rounded(&rows.held, missing));
        rows.cover_spans();
        (bought, rows.counted)
    }

    /// Packs of a lot, or what is on hand, and what is opened and drawn of it.
    fn lot(&mut self, index: usize, lot: &LotModel) {
        if !lot.is_on(self.of.trips) {
            return;
        }
        let sealed = self.of.fate(lot, lot.sealed_kept);
        let packs = if lot.is_stock() {
            // A unit on hand is left over until something is drawn.
            let unit = i128::from(lot.unit);
            self.sums.constant += sealed.weight * unit;
            self.sums.spoiled_constant += sealed.spoils * unit;
            if !lot.usable {
                return;
            }
            self.stock += unit;
            None
        } else {
            let column = self.packs(lot, sealed);
            self.counted.push(Counted {
                lot: index,
                day: None,
                column,
            });
            Some(column)
        };
        match lot.pool {
            Some(days) => self.draw_from_pool(lot, packs, sealed, days),
            None => self.open((index, lot), packs, sealed),
        }
    }

    /// How many packs are bought.
    fn packs(&mut self, lot: &LotModel, sealed: Fate) -> usize {
        let unit = i128::from(lot.unit);
        let inside = i128::from(lot.units) * unit;
        let most = i128::from(self.total).div_euclid(unit) + 1 + i128::from(self.of.last);
        let price = i128::from(lot.price) * i128::from(self.of.weights.pack);
        let column = self
            .problem
            .column(price + sealed.weight * inside, true, most);
        self.sums.packs.push((column, i128::from(lot.price)));
        if sealed.spoils != 0 {
            self.sums.spoiled.push((column, sealed.spoils * inside));
        }
        self.problem
            .row(vec![(column, 1), (self.bought, -most)], Sense::AtMost, 0);
        self.held.push((column, inside));
        column
    }

    /// A draw of a day from something whose milligrams else have this fate.
    fn draw(&mut self, day: i32, fate: Fate) -> usize {
        let most = self.of.used_in(day, day);
        let draw = self.problem.column(-fate.weight, false, most);
        if fate.spoils != 0 {
            self.sums.spoiled.push((draw, -fate.spoils));
        }
        self.draws[day as usize].push((draw, 1));
        draw
    }

    /// What keeps alike whether opened or not is drawn on any of its days.
    fn draw_from_pool(
        &mut self,
        lot: &LotModel,
        packs: Option<usize>,
        sealed: Fate,
        (from, until): (i32, i32),
    ) {
        let inside = i128::from(lot.units) * i128::from(lot.unit);
        self.serving.push(Serving {
            column: packs,
            from,
            until,
            holds: inside,
        });
        let mut row = Vec::new();
        for day in self.of.days(from, until) {
            row.push((self.draw(day, sealed), 1));
        }
        let most = match packs {
            Some(packs) => {
                row.push((packs, -inside.min(self.of.used_in(from, until))));
                0
            }
            None => i128::from(lot.unit),
        };
        self.problem.row(row, Sense::AtMost, most);
    }

    /// Units opened on each day, and no more than there are.
    fn open(&mut self, (index, lot): (usize, &LotModel), packs: Option<usize>, sealed: Fate) {
        let mut opened = Vec::new();
        for day in lot.open_from.max(0)..=lot.open_to {
            let used = self.of.uses.get(day_index(day)).is_some_and(|&mg| mg > 0);
            let may_be = |share: &Share| {
                let demand = self.of.demands[share.demand].1;
                share.day == day && amount_in(demand, self.of.food) > 0
            };
            if used || self.of.shares.iter().any(may_be) {
                let column = self.open_on(lot, day, sealed, used);
                self.counted.push(Counted {
                    lot: index,
                    day: Some(day),
                    column,
                });
                opened.push((column, 1));
            }
        }
        let most = match packs {
            Some(packs) => {
                opened.push((packs, -i128::from(lot.units)));
                0
            }
            None => 1,
        };
        self.problem.row(opened, Sense::AtMost, most);
    }

    /// Units opened on a day, and what is drawn from them while they are good.
    fn open_on(&mut self, lot: &LotModel, day: i32, sealed: Fate, used: bool) -> usize {
        let unit = i128::from(lot.unit);
        let until = lot.good(day).min(self.of.last);
        let open = self.of.fate(lot, lot.good(day) >= lot.carry);
        // Enough to serve everything, and a pack's other units, which opening may keep.
        let most = i128::from(self.total).div_euclid(unit) + 1 + i128::from(lot.units);
        // Opening turns a sealed leftover into an opened one.
        let price = (open.weight - sealed.weight) * unit;
        let opened = self.problem.column(price, true, most);
        if open.spoils != sealed.spoils {
            let more = (open.spoils - sealed.spoils) * unit;
            self.sums.spoiled.push((opened, more));
        }
        self.serving.push(Serving {
            column: Some(opened),
            from: day,
            until,
            holds: unit,
        });
        // A milligram of each unit is used on the day it is opened. Only where opening is worth something by
        // itself, or comes too late on the days after, does that say more than the rest: else what is opened
        // before it is used may as well be opened then. Where something is used in any case it is next to
        // nothing. Its figures are a million times apart, and leaving it out rules nothing out.
        let gains = open.weight < sealed.weight || open.spoils < sealed.spoils;
        let first_use = !used && (gains || until > lot.open_to);
        let mut row = vec![(opened, -unit.min(self.of.used_in(day, until)))];
        for at in self.of.days(day, until) {
            let draw = self.draw(at, open);
            row.push((draw, 1));
            if at == day && first_use {
                self.problem
                    .row(vec![(draw, 1), (opened, -1)], Sense::AtLeast, 0);
            }
        }
        self.problem.row(row, Sense::AtMost, 0);
        opened
    }

    /// What is drawn on a day is what it uses.
    fn draw_by_day(&mut self) {
        for day in 0..=self.of.last {
            let mut row = std::mem::take(&mut self.draws[day as usize]);
            for share in self.of.shares.iter().filter(|share| share.day == day) {
                let mg = amount_in(self.of.demands[share.demand].1, self.of.food);
                if mg > 0 {
                    row.push((share.column, -i128::from(mg)));
                }
            }
            let used = self.of.uses[day as usize];
            if !row.is_empty() || used > 0 {
                self.problem.row(row, Sense::Equal, i128::from(used));
            }
        }
    }

    /// Rows, for each span of days, of whole units that hold what it uses.
    fn cover_spans(&mut self) {
        for from in 0..=self.of.last {
            for until in from..=self.of.last {
                let mut need = self.of.asked_of(from, until);
                let mut terms = Vec::new();
                for one in &self.serving {
                    let (first, end) = (from.max(one.from), until.min(one.until));
                    if first <= end {
                        let most = one.holds.min(self.of.used_in(first, end));
                        match one.column {
                            Some(column) => terms.push((column, most)),
                            None => need -= most,
                        }
                    }
                }
                self.sums.covers.extend(rounded(&terms, need));
            }
        }
    }
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
