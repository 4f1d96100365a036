//! Which food serves which lunch, and what a purchase of it earns.

use std::collections::BTreeMap;

use super::base::Base;
use super::facts::food_name;
use crate::explain::{When, eaten};
use crate::larder::{FoodId, Larder};
use crate::plan::Lot;

/// A counted food of the week.
#[derive(Clone, Debug)]
pub struct ReuseRow {
    /// The food.
    pub food: String,
    /// Packs bought, by label and count; empty if all of it is on hand.
    pub packs: Vec<(String, i64)>,
    /// Price of them.
    pub price_minor: i64,
    /// Edible milligrams bought.
    pub bought_mg: i64,
    /// Milligrams drawn from what is on hand.
    pub on_hand_mg: i64,
    /// What each lunch takes, by day; lunches that take none are left out.
    pub shares: Vec<Share>,
    /// Milligrams of what is bought that no lunch takes.
    pub over_mg: i64,
    /// Lunches served for each pack bought, thousandths, rounded down; none if none is.
    pub lunches_per_pack_milli: Option<i64>,
    /// Price over lunches served, 1e-9 minor units, rounded down.
    pub price_per_lunch_nano: i64,
}

/// What a lunch takes of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Share {
    /// The lunch.
    pub when: When,
    /// Milligrams for all eaters.
    pub mg: i64,
    /// Of all the week uses and leaves of what is bought, and draws on hand: thousandths,
    /// rounded down.
    pub share_milli: i64,
}

#[derive(Default)]
struct Sums {
    packs: BTreeMap<String, i64>,
    price: i64,
    bought: i64,
    on_hand: i64,
    purchases: i64,
}

pub(super) fn reuse(larder: &Larder, base: &Base) -> Vec<ReuseRow> {
    let plan = &base.solved.plan;
    let mut foods: BTreeMap<FoodId, Sums> = BTreeMap::new();
    for bought in &plan.purchases {
        let pack = &larder.packs[bought.pack.index()];
        let sums = foods.entry(pack.food).or_default();
        *sums.packs.entry(pack.label.clone()).or_default() += bought.count;
        sums.price += pack.price_minor * bought.count;
        sums.bought += pack.unit_mg * pack.units * bought.count;
        sums.purchases += bought.count;
    }
    for opening in &plan.openings {
        if let Lot::Stock(id) = opening.lot {
            let drawn: i64 = opening.draws.iter().map(|&(_, mg)| mg).sum();
            foods
                .entry(larder.stock[id.index()].food)
                .or_default()
                .on_hand += drawn;
        }
    }
    let lunches = eaten(larder, plan);
    let mut rows: Vec<ReuseRow> = foods
        .into_iter()
        .map(|(food, sums)| row(larder, &lunches, food, sums))
        .collect();
    rows.sort_by_key(|row| (std::cmp::Reverse(row.shares.len()), row.food.clone()));
    rows
}

fn row(larder: &Larder, lunches: &[BTreeMap<FoodId, i64>], food: FoodId, sums: Sums) -> ReuseRow {
    let all = (sums.bought + sums.on_hand).max(1);
    let mut used = 0;
    let mut shares = Vec::new();
    for (day, foods) in (1..).zip(lunches) {
        let mg = foods.get(&food).copied().unwrap_or(0);
        if mg > 0 {
            used += mg;
            shares.push(Share {
                when: When::new(larder, day),
                mg,
                share_milli: (i128::from(mg) * 1_000 / i128::from(all)) as i64,
            });
        }
    }
    let served = shares.len() as i64;
    ReuseRow {
        food: food_name(larder, food),
        packs: sums.packs.into_iter().collect(),
        price_minor: sums.price,
        bought_mg: sums.bought,
        on_hand_mg: sums.on_hand,
        over_mg: sums.bought + sums.on_hand - used,
        shares,
        lunches_per_pack_milli: (sums.purchases > 0).then(|| served * 1_000 / sums.purchases),
        price_per_lunch_nano: super::change::nano(sums.price) / served.max(1),
    }
}
