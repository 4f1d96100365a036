//! Writes what the search found as a plan: the same choices, with purchases, openings and
//! draws spelt out.

use crate::engine::leaf::found::Found;
use crate::engine::packs::picked::written_out;
use crate::engine::packs::way::{DAYS, LotUse, Uses};
use crate::engine::stage::Stage;
use crate::larder::{FoodId, Ingredient, Larder};
use crate::plan::{Batch, Lot, Lunch, Opening, Plan, Purchase};
use std::collections::BTreeMap;

/// Spells out `found`. None only if the search's own sums disagree, which the caller
/// reports as our fault.
pub(in crate::engine) fn write(stage: &Stage, found: &Found) -> Option<Plan> {
    let (lunches, batches) = cooked(stage, found);
    let uses = uses_by_food(stage.pool.larder, &lunches, &batches);
    let (mut purchases, mut openings) = (Vec::new(), Vec::new());
    for (food, picked) in &found.picked {
        let model = stage.pool.foods[*food as usize].as_ref()?;
        let of = (model, &stage.gauges[0].weights);
        let uses = (uses.get(food).unwrap_or(&[0; DAYS]), stage.pool.last);
        for used in written_out(of, uses, picked)? {
            let lot = model.lots[used.lot].lot;
            if let Lot::Bought(pack, trip) = lot
                && used.count > 0
            {
                purchases.push(Purchase {
                    pack,
                    trip,
                    count: used.count,
                });
            }
            openings.extend(opened(lot, &used));
        }
    }
    purchases.sort();
    openings.sort();
    Some(Plan {
        lunches,
        batches,
        purchases,
        openings,
    })
}

/// The lunches, and the batches with the staples of what they serve.
fn cooked(stage: &Stage, found: &Found) -> (Vec<Lunch>, Vec<Batch>) {
    let larder = stage.pool.larder;
    let mut batches: Vec<Batch> = found.batches.clone();
    for batch in &mut batches {
        batch
            .foods
            .retain(|(food, _)| !larder.foods[food.index()].staple);
    }
    let mut lunches = Vec::new();
    for (day, &index) in (1..).zip(&found.items) {
        let item = &stage.items[index as usize];
        let lunch = Lunch {
            recipe: item.recipe,
            taken: item.taken.to_vec(),
        };
        let mut staples: BTreeMap<(u32, FoodId), i64> = BTreeMap::new();
        for (what, mg) in taken(larder, &lunch, day) {
            let Ingredient::Component(id) = what else {
                continue;
            };
            for (food, share) in larder.component_foods(id, mg) {
                if larder.foods[food.index()].staple {
                    *staples.entry((id.0, food)).or_default() += share;
                }
            }
        }
        for ((component, food), mg) in staples {
            share_out(&mut batches, component, day, food, mg);
        }
        lunches.push(lunch);
    }
    batches.sort();
    (lunches, batches)
}

/// What a lunch takes on its day, in milligrams.
fn taken(larder: &Larder, lunch: &Lunch, day: u8) -> impl Iterator<Item = (Ingredient, i64)> {
    let lines = &larder.recipes[lunch.recipe.index()].lines;
    lines.iter().zip(&lunch.taken).map(move |(line, &taken)| {
        let alternative = &line.alternatives[usize::from(taken)];
        (alternative.what, larder.for_eaters(alternative.mg, day))
    })
}

/// What lunches and batches take of each food that is bought, by day.
fn uses_by_food(larder: &Larder, lunches: &[Lunch], batches: &[Batch]) -> BTreeMap<u32, Uses> {
    let mut uses: BTreeMap<u32, Uses> = BTreeMap::new();
    let mut note = |food: FoodId, day: u8, mg: i64| {
        if !larder.foods[food.index()].staple && mg > 0 {
            uses.entry(food.0).or_insert([0; DAYS])[usize::from(day)] += mg;
        }
    };
    for (day, lunch) in (1..).zip(lunches) {
        for (what, mg) in taken(larder, lunch, day) {
            if let Ingredient::Food(food) = what {
                note(food, day, mg);
            }
        }
    }
    for batch in batches {
        for &(food, mg) in &batch.foods {
            note(food, batch.day, mg);
        }
    }
    uses
}

/// What is opened of a lot, one entry a day.
fn opened(lot: Lot, used: &LotUse) -> impl Iterator<Item = Opening> {
    let mut by_day: BTreeMap<i32, Opening> = BTreeMap::new();
    for (day, units, draws) in &used.openings {
        let entry = by_day.entry(*day).or_insert_with(|| Opening {
            lot,
            day: *day as u8,
            units: 0,
            draws: Vec::new(),
        });
        entry.units += units;
        let drawn = draws.iter().filter(|&&(_, mg)| mg > 0);
        entry.draws.extend(drawn.map(|&(day, mg)| (day as u8, mg)));
    }
    by_day.into_values()
}

/// Gives a lunch's share of a staple to the batches that serve it, in proportion.
fn share_out(batches: &mut [Batch], component: u32, day: u8, food: FoodId, mg: i64) {
    let serving: Vec<(usize, i64)> = batches
        .iter()
        .enumerate()
        .filter(|(_, batch)| batch.component.0 == component)
        .filter_map(|(at, batch)| {
            let served = batch.serves.iter().find(|(d, _)| *d == day)?;
            Some((at, served.1))
        })
        .collect();
    let total: i64 = serving.iter().map(|(_, served)| served).sum();
    let (mut running, mut given) = (0, 0);
    for (at, served) in serving {
        // Running sums are rounded, so that parts add up and none is off by more than one.
        running += served;
        let to = (i128::from(mg) * i128::from(running) / i128::from(total)) as i64;
        let share = to - given;
        given = to;
        if share > 0 {
            let foods = &mut batches[at].foods;
            match foods.binary_search_by_key(&food, |&(f, _)| f) {
                Ok(place) => foods[place].1 += share,
                Err(place) => foods.insert(place, (food, share)),
            }
        }
    }
}
