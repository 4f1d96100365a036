//! Foods drawn at random, and every way of buying and opening one, tried a milligram at a time:
//! what the rest of this room is held against.

use crate::engine::model::lots::{FoodModel, LotModel, finish};
use crate::engine::model::score::{Score, Weights};
use crate::engine::packs::way::{DAYS, Uses};
use crate::larder::{Aim, NANO, PackId, StockId, Trip, value_nano};
use crate::plan::Lot;
use std::collections::BTreeSet;

/// Days 0..=LAST of the weeks drawn.
pub(in crate::engine) const LAST: i32 = 3;

/// Days of the trips drawn.
const TRIPS: [i32; 2] = [0, 2];

/// Both trips.
pub(in crate::engine) const BOTH: u16 = 3;

/// A food of a few milligrams a unit: up to two packs, each on one trip or both, and up to three
/// units on hand, some of them alike.
pub(in crate::engine) fn food(next: &mut impl FnMut(usize) -> usize) -> FoodModel {
    let mut below = |most: i64| next(most as usize) as i64;
    let carry = LAST + 1 + below(2) as i32;
    let blank = LotModel {
        lot: Lot::Stock(StockId(0)),
        trip: None,
        unit: 1,
        units: 1,
        price: 0,
        value: 0,
        open_from: 0,
        open_to: 0,
        life: 0,
        end: 0,
        sealed_kept: false,
        pool: None,
        keepable: false,
        usable: false,
        carry,
        reach: 0,
    };
    let mut lots: Vec<LotModel> = Vec::new();
    for id in 0..below(4) {
        let last = lots.last().filter(|_| below(2) == 0).cloned();
        let mut lot = last.unwrap_or_else(|| {
            let open_to = below(5) as i32;
            let end = open_to + below(3) as i32;
            let drawn = LotModel {
                unit: 1 + below(4),
                value: below(4) * NANO,
                open_from: below(2) as i32,
                open_to,
                life: below(3) as i32,
                end,
                sealed_kept: open_to >= carry,
                ..blank.clone()
            };
            finish(drawn, carry, LAST)
        });
        lot.lot = Lot::Stock(StockId(id as u32));
        lots.push(lot);
    }
    for pack in 0..=below(2) {
        let (unit, units, price) = (1 + below(4), [1, 1, 2, 3][below(4) as usize], 1 + below(9));
        let from = below(2) as i32;
        let to = from + below(6) as i32;
        let (life, end) = (below(4) as i32, to + below(3) as i32);
        let trips = 1 + below(3);
        for (trip, day) in TRIPS.into_iter().enumerate() {
            if trips >> trip & 1 == 0 {
                continue;
            }
            let drawn = LotModel {
                lot: Lot::Bought(PackId(pack as u32), trip as Trip),
                trip: Some(trip as Trip),
                unit,
                units,
                price,
                value: value_nano(price, unit * units),
                open_from: day + from,
                open_to: day + to,
                life,
                end: day + end,
                sealed_kept: day + to >= carry,
                ..blank.clone()
            };
            lots.push(finish(drawn, carry, LAST));
        }
    }
    with_lots(lots)
}

/// A food of these lots.
pub(in crate::engine) fn with_lots(lots: Vec<LotModel>) -> FoodModel {
    let on_hand = lots.iter().filter(|lot| lot.is_stock() && lot.usable);
    FoodModel {
        on_hand: on_hand.map(|lot| lot.unit).sum(),
        lots,
        timeless: false,
        trips: BOTH,
    }
}

/// What may be minimised.
pub(in crate::engine) fn weights(next: &mut impl FnMut(usize) -> usize) -> Weights {
    let aims = [Aim::Foods, Aim::Cost, Aim::Spoiled];
    match aims.get(next(8)) {
        Some(&aim) => Weights::aim(aim),
        None => Weights {
            food: next(4) as i64 * NANO,
            pack: NANO,
            spoil: [0, 500, 1_000, 3_000][next(4)],
            keep: [0, 0, 1, 500, 999][next(5)],
            ..Weights::aim(Aim::Cost)
        },
    }
}

/// Up to four milligrams, on some days.
pub(in crate::engine) fn uses(next: &mut impl FnMut(usize) -> usize) -> Uses {
    let mut uses = [0; DAYS];
    for _ in 0..next(5) {
        uses[next(LAST as usize + 1)] += 1;
    }
    uses
}

/// A unit that is open: its lot, since when, what is left.
type Open = (usize, i32, i64);

/// What all ways of serving `uses` come to. A unit is drawn from on the day it is opened, and then
/// while it is good; no pack is bought of which nothing is opened, as that costs more than it
/// earns.
pub(in crate::engine) fn every_way(
    food: &FoodModel,
    weights: &Weights,
    uses: &Uses,
) -> BTreeSet<Score> {
    let days = (0..=LAST).flat_map(|day| (0..uses[day as usize]).map(move |_| day));
    let days: Vec<i32> = days.collect();
    let mut ends: BTreeSet<Vec<Open>> = BTreeSet::from([Vec::new()]);
    for day in days {
        let mut more = BTreeSet::new();
        for open in &ends {
            for at in 0..open.len() {
                let (lot, since, left) = open[at];
                if left > 0 && day <= food.lots[lot].good(since) {
                    let mut drawn = open.clone();
                    drawn[at].2 -= 1;
                    drawn.sort_unstable();
                    more.insert(drawn);
                }
            }
            for (index, lot) in food.lots.iter().enumerate() {
                let there = !lot.is_stock() || open.iter().all(|unit| unit.0 != index);
                if there && lot.open_from <= day && day <= lot.open_to {
                    let mut opened = open.clone();
                    opened.push((index, day, lot.unit - 1));
                    opened.sort_unstable();
                    more.insert(opened);
                }
            }
        }
        ends = more;
    }
    ends.iter().map(|open| sums(food, weights, open)).collect()
}

/// What a way comes to.
fn sums(food: &FoodModel, weights: &Weights, open: &[Open]) -> Score {
    let mut score = Score::default();
    let mut packs = 0;
    let mut leave = |lot: &LotModel, mg: i64, kept: bool| {
        if kept {
            score.objective -= mg * weights.kept(lot.value);
        } else {
            score.objective += mg * weights.spoiled(lot.value);
            score.spoiled += mg * lot.value;
        }
    };
    for (index, lot) in food.lots.iter().enumerate() {
        let opened = open.iter().filter(|unit| unit.0 == index);
        let units = opened.clone().count() as i64;
        for &(_, since, left) in opened {
            leave(lot, left, lot.good(since) >= lot.carry);
        }
        let (bought, there) = if lot.is_stock() {
            (0, 1)
        } else {
            let bought = (units + lot.units - 1) / lot.units;
            (bought, bought * lot.units)
        };
        packs += bought * lot.price;
        leave(lot, (there - units) * lot.unit, lot.sealed_kept);
        score.foods = score.foods.max(bought.min(1));
    }
    score.objective += packs * weights.pack + score.foods * weights.food;
    score.cost = packs * NANO;
    score
}
