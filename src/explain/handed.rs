//! Tells what a week hands to the next: every unit still good on the carry day, after
//! finishers, in this week's days.

use super::days::When;
use super::leftovers::{self, LeftoverTotals};
use crate::larder::{Larder, Stock, StockId};
use crate::plan::{Lot, Plan};

/// What a week hands to the next.
#[derive(Clone, Debug)]
pub struct HandedOn {
    /// Units kept, in the order of stock, with the names of their foods and their
    /// last day.
    pub kept: Vec<(String, Stock, When)>,
    /// Their value, 1e-9 minor units.
    pub kept_nano: i64,
    /// Value of what was on hand when the week began, 1e-9 minor units.
    pub on_hand_nano: i64,
    /// How many units were on hand then.
    pub on_hand_units: usize,
    /// Sums over every pack, what finishers draw included.
    pub totals: LeftoverTotals,
    /// Recipes of the weeks before this one, the latest week first.
    pub before: Vec<Vec<String>>,
}

/// Tells what `plan` hands on; the weeks before are not known here.
pub(super) fn handed(larder: &Larder, plan: &Plan) -> HandedOn {
    let (_, totals) = leftovers::leftovers(larder, plan);
    let kept = kept(larder, plan);
    HandedOn {
        kept_nano: kept.iter().map(Stock::value_nano).sum(),
        kept: kept
            .into_iter()
            .map(|unit| {
                let food = larder.foods[unit.food.index()].name.clone();
                let until = When::new(larder, unit.ready_to);
                (food, unit, until)
            })
            .collect(),
        on_hand_nano: larder.stock.iter().map(Stock::value_nano).sum(),
        on_hand_units: larder.stock.len(),
        totals,
        before: Vec::new(),
    }
}

/// Returns the units that a week keeps: what is left of opened ones, as open; sealed ones one
/// by one. Opened remainders that differ in nothing are put together.
pub fn kept(larder: &Larder, plan: &Plan) -> Vec<Stock> {
    let carry = larder.week.carry_day;
    let mut open: Vec<Stock> = Vec::new();
    let mut sealed: Vec<Stock> = Vec::new();
    for bought in &plan.purchases {
        let pack = &larder.packs[bought.pack.index()];
        let lot = Lot::Bought(bought.pack, bought.trip);
        let day = i32::from(larder.trip_day(bought.trip));
        let unit = Stock {
            food: pack.food,
            label: match &pack.stage {
                Some(stage) => format!("{}, bought {stage}", pack.label),
                None => pack.label.clone(),
            },
            left_mg: pack.unit_mg,
            opened: false,
            ready_from: day + pack.ready_from,
            ready_to: day + pack.ready_to,
            open_life: pack.open_life,
            end: day + pack.end,
            value_nano: pack.value_nano,
        };
        let opened = open_of(plan, lot, &unit, &mut open);
        let left = bought.count * pack.units - opened;
        sealed.extend((0..left).map(|_| unit.clone()));
    }
    for (at, unit) in larder.stock.iter().enumerate() {
        let lot = Lot::Stock(StockId::new(at));
        let opened = open_of(plan, lot, unit, &mut open);
        if opened == 0 && unit.opened {
            let until = unit.ready_to.min(unit.end);
            open.push(begun(unit, unit.left_mg, unit.ready_from, until));
        } else if opened == 0 {
            sealed.push(unit.clone());
        }
    }
    let mut all = sealed;
    all.extend(together(open));
    all.retain(|unit| unit.ready_to >= carry && unit.left_mg > 0);
    all.sort_by(Stock::order);
    all
}

/// Adds what is left of the opened units of a lot and returns how many they are.
fn open_of(plan: &Plan, lot: Lot, unit: &Stock, open: &mut Vec<Stock>) -> i64 {
    let mut count = 0;
    for opening in plan.openings.iter().filter(|opening| opening.lot == lot) {
        count += opening.units;
        let drawn: i64 = opening.draws.iter().map(|&(_, mg)| mg).sum();
        let left = opening.units * unit.left_mg - drawn;
        let day = i32::from(opening.day);
        let (from, until) = if unit.opened {
            (unit.ready_from, unit.ready_to.min(unit.end))
        } else {
            (day, unit.end.min(day + unit.open_life))
        };
        open.push(begun(unit, left, from, until));
    }
    count
}

/// What is left of a unit once it is open.
fn begun(unit: &Stock, left_mg: i64, ready_from: i32, until: i32) -> Stock {
    Stock {
        left_mg,
        opened: true,
        ready_from,
        ready_to: until,
        open_life: until - ready_from,
        end: until,
        ..unit.clone()
    }
}

/// Puts open remainders together that differ in their day of opening only: it no longer
/// matters once a unit is open.
fn together(open: Vec<Stock>) -> Vec<Stock> {
    let mut out: Vec<Stock> = Vec::new();
    for unit in open {
        let same = |other: &&mut Stock| {
            (other.food, &other.label, other.ready_to, other.value_nano)
                == (unit.food, &unit.label, unit.ready_to, unit.value_nano)
        };
        match out.iter_mut().find(same) {
            Some(other) => {
                other.left_mg += unit.left_mg;
                other.ready_from = other.ready_from.max(unit.ready_from);
                other.open_life = other.ready_to - other.ready_from;
            }
            None => out.push(unit),
        }
    }
    out
}
