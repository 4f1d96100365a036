//! Turns a plan's purchases into a shopping list that shows what each food is bought for.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use super::days::When;
use super::measured::{Measured, plain};
use super::uses::Uses;
use crate::larder::{Day, Food, FoodId, Larder};
use crate::plan::{Lot, Plan};
use crate::table::row_of;

/// Packs of one kind bought on one trip.
#[derive(Clone, Debug)]
pub struct PurchaseFacts {
    /// Position among the counted foods, from 1; rows of one food share it.
    pub number: usize,
    /// The food.
    pub food: String,
    /// Its family, if any.
    pub family: Option<String>,
    /// The pack's label.
    pub pack: String,
    /// Ripeness at purchase.
    pub stage: Option<String>,
    /// Sold by weight or piece.
    pub loose: bool,
    /// Packs.
    pub count: i64,
    /// As-purchased milligrams in all.
    pub ap_mg: i64,
    /// Edible milligrams in all.
    pub mg: i64,
    /// Price of one pack.
    pub each_minor: i64,
    /// Price of all.
    pub price_minor: i64,
    /// Position of the trip.
    pub trip: usize,
    /// Day of the trip.
    pub bought_on: When,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
    /// Lunch days it feeds.
    pub serves: Vec<When>,
}

/// A staple used.
#[derive(Clone, Debug)]
pub struct StapleFacts {
    /// The food.
    pub food: String,
    /// Milligrams used in the week.
    pub mg: i64,
    /// The same, and what measures of it weigh.
    pub measured: Measured,
    /// It comes out of the tap: nobody has to look whether it is there.
    pub tap: bool,
    /// Pro-rata price, 1e-9 minor units.
    pub cost_nano: i64,
    /// Lunch days it goes into.
    pub serves: Vec<When>,
}

pub(super) fn purchases(larder: &Larder, plan: &Plan, uses: &Uses) -> Vec<PurchaseFacts> {
    let fed: Vec<BTreeSet<Day>> = plan
        .purchases
        .iter()
        .map(|bought| uses.fed_by(larder, plan, Lot::Bought(bought.pack, bought.trip)))
        .collect();
    let food_of = |i: usize| larder.packs[plan.purchases[i].pack.index()].food;
    // Rows of one food stand together within a trip: order by what the food feeds.
    let reach = |i: usize| {
        let trip = plan.purchases[i].trip;
        (0..plan.purchases.len())
            .filter(|&j| plan.purchases[j].trip == trip && food_of(j) == food_of(i))
            .flat_map(|j| &fed[j])
            .collect::<BTreeSet<_>>()
            .len()
    };
    let mut rows: Vec<usize> = (0..plan.purchases.len()).collect();
    rows.sort_by_key(|&i| {
        let bought = &plan.purchases[i];
        (bought.trip, Reverse(reach(i)), food_of(i), bought.pack)
    });
    let mut numbers: BTreeMap<FoodId, usize> = BTreeMap::new();
    rows.into_iter()
        .map(|i| {
            let bought = &plan.purchases[i];
            let pack = &larder.packs[bought.pack.index()];
            let food = &larder.foods[pack.food.index()];
            let next = numbers.len() + 1;
            let trip = usize::from(bought.trip);
            PurchaseFacts {
                number: *numbers.entry(pack.food).or_insert(next),
                food: food.name.clone(),
                family: food.family.map(|id| larder.families[id.index()].clone()),
                pack: pack.label.clone(),
                stage: pack.stage.clone(),
                loose: pack.loose,
                count: bought.count,
                ap_mg: pack.unit_ap_mg * pack.units * bought.count,
                mg: pack.unit_mg * pack.units * bought.count,
                each_minor: pack.price_minor,
                price_minor: pack.price_minor * bought.count,
                trip,
                shop: larder.shop_of(bought.pack).map(str::to_owned),
                bought_on: When::new(larder, i32::from(larder.trip_day(bought.trip))),
                serves: fed[i]
                    .iter()
                    .map(|&day| When::new(larder, i32::from(day)))
                    .collect(),
            }
        })
        .collect()
}

pub(super) fn staples(larder: &Larder, uses: &Uses) -> Vec<StapleFacts> {
    let mut used: BTreeMap<FoodId, i64> = BTreeMap::new();
    for (&food, &mg) in uses.lunches.iter().flatten() {
        if larder.foods[food.index()].staple && mg > 0 {
            *used.entry(food).or_default() += mg;
        }
    }
    used.into_iter()
        .map(|(food, mg)| StapleFacts {
            food: larder.foods[food.index()].name.clone(),
            mg,
            measured: plain(&larder.foods[food.index()].household, mg),
            tap: is_tap(&larder.foods[food.index()]),
            cost_nano: uses.value_nano(larder, food, mg),
            serves: uses
                .fed(food)
                .into_iter()
                .map(|day| When::new(larder, i32::from(day)))
                .collect(),
        })
        .collect()
}

/// Water from the tap, by the row of the table its figures come from.
fn is_tap(food: &Food) -> bool {
    let row = row_of(&food.source).map(|row| row.name.to_lowercase());
    row.is_some_and(|name| name.starts_with("water, tap"))
}
