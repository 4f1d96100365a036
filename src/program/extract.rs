//! Turns a solver's values into a plan: rounds whole decisions, shares batches out in whole
//! milligrams and makes draws add up.
//!
//! Values come in binary fractions, a little off. Nothing here is trusted: the plan goes to
//! the judge, and where rounding went wrong the judge refuses it.

use std::collections::BTreeMap;

use super::columns::{Columns, Drawn};
use crate::larder::{ComponentId, Day, FoodId, Ingredient, RecipeId};
use crate::plan::{Batch, Lot, Lunch, Opening, Plan, Purchase};

/// Milligrams in a gram.
const GRAM_MG: f64 = 1_000.0;

/// Returns the plan of `values`, one per column; none if a day has no lunch.
pub(super) fn plan(columns: &Columns, values: &[f64]) -> Option<Plan> {
    let lunches: Vec<Lunch> = columns
        .lunch_days()
        .map(|day| lunch(columns, values, day))
        .collect::<Option<_>>()?;
    let batches = batches(columns, values, &lunches);
    let uses = uses(columns, &lunches, &batches);
    Some(Plan {
        batches,
        purchases: purchases(columns, values),
        openings: openings(columns, values, &uses),
        lunches,
    })
}

fn is_one(value: f64) -> bool {
    value > 0.5
}

fn lunch(columns: &Columns, values: &[f64], day: Day) -> Option<Lunch> {
    let recipe = columns
        .recipes()
        .find(|&recipe| is_one(values[columns.lunch(recipe, day)]))?;
    let lines = &columns.larder.recipes[recipe.index()].lines;
    let taken = lines.iter().enumerate().map(|(line, entry)| {
        let mut alternatives = 0..entry.alternatives.len();
        alternatives
            .find(|&j| is_one(values[columns.takes(recipe, day, line, j)]))
            .map(|j| j as u16)
    });
    Some(Lunch {
        recipe,
        taken: taken.collect::<Option<_>>()?,
    })
}

/// Whole milligrams of one lunch's component, by cooking day.
fn batches(columns: &Columns, values: &[f64], lunches: &[Lunch]) -> Vec<Batch> {
    type Demand = (i64, BTreeMap<FoodId, i64>, BTreeMap<Day, f64>);
    let mut demands: BTreeMap<(ComponentId, Day), Demand> = BTreeMap::new();
    for ask in &columns.asks {
        if lunches[usize::from(ask.lunch) - 1].recipe != ask.recipe || !is_one(values[ask.taken]) {
            continue;
        }
        let demand = demands.entry((ask.component, ask.lunch)).or_default();
        demand.0 += ask.mg;
        for &(food, mg) in &ask.foods {
            *demand.1.entry(food).or_default() += mg;
        }
        for &(from, share) in &ask.shares {
            *demand.2.entry(from).or_default() += values[share].clamp(0.0, 1.0) * ask.mg as f64;
        }
    }
    let mut batches: BTreeMap<(ComponentId, Day), Batch> = BTreeMap::new();
    for ((component, lunch), (asked, foods, by_day)) in demands {
        let wishes: Vec<(Day, f64)> = by_day.into_iter().collect();
        let parts = in_whole(asked, wishes.iter().map(|&(_, part)| part));
        let mut served = 0;
        let mut used: BTreeMap<FoodId, i64> = BTreeMap::new();
        for (&(day, _), mg) in wishes.iter().zip(parts) {
            if mg == 0 {
                continue;
            }
            let batch = batches.entry((component, day)).or_insert_with(|| Batch {
                component,
                day,
                serves: Vec::new(),
                foods: Vec::new(),
            });
            batch.serves.push((lunch, mg));
            served += mg;
            for (&food, &all) in &foods {
                // Rounded as running sums, so that the last part makes them whole.
                let so_far = (i128::from(all) * i128::from(served) / i128::from(asked)) as i64;
                let used = used.entry(food).or_default();
                batch.foods.push((food, so_far - *used));
                *used = so_far;
            }
        }
    }
    for batch in batches.values_mut() {
        batch.foods.sort_unstable();
        batch.foods.dedup_by(|later, kept| {
            let same = later.0 == kept.0;
            if same {
                kept.1 += later.1;
            }
            same
        });
        batch.foods.retain(|&(_, mg)| mg > 0);
    }
    batches.into_values().collect()
}

/// Rounds `parts` to whole numbers that add up to `whole`; what is missing or too much goes
/// to the largest.
fn in_whole(whole: i64, parts: impl Iterator<Item = f64>) -> Vec<i64> {
    let mut rounded: Vec<i64> = parts.map(|part| part.round() as i64).collect();
    let missing = whole - rounded.iter().sum::<i64>();
    if let Some(largest) = rounded.iter_mut().max() {
        *largest += missing;
    }
    rounded
}

/// Milligrams of each counted food used on each day.
fn uses(columns: &Columns, lunches: &[Lunch], batches: &[Batch]) -> BTreeMap<(FoodId, Day), i64> {
    let larder = columns.larder;
    let mut uses = BTreeMap::new();
    for (day, lunch) in columns.lunch_days().zip(lunches) {
        for (line, &taken) in lunch.taken.iter().enumerate() {
            let recipe: RecipeId = lunch.recipe;
            let alternatives = &larder.recipes[recipe.index()].lines[line].alternatives;
            if let Ingredient::Food(food) = alternatives[usize::from(taken)].what {
                let mg = larder.for_eaters(alternatives[usize::from(taken)].mg, day);
                *uses.entry((food, day)).or_default() += mg;
            }
        }
    }
    for batch in batches {
        for &(food, mg) in &batch.foods {
            *uses.entry((food, batch.day)).or_default() += mg;
        }
    }
    uses.retain(|&(food, _), mg| *mg > 0 && !larder.foods[food.index()].staple);
    uses
}

fn purchases(columns: &Columns, values: &[f64]) -> Vec<Purchase> {
    let bought = columns.drawn.iter().filter_map(|drawn| {
        let Lot::Bought(pack, trip) = drawn.source.lot else {
            return None;
        };
        let count = values[drawn.packs?.0].round() as i64;
        (count > 0).then_some(Purchase { pack, trip, count })
    });
    let mut purchases: Vec<Purchase> = bought.collect();
    purchases.sort_unstable();
    purchases
}

/// A draw: which lot of `Columns::drawn`, opened when, how much.
type Draw = (usize, Option<Day>, i64);

fn openings(
    columns: &Columns,
    values: &[f64],
    uses: &BTreeMap<(FoodId, Day), i64>,
) -> Vec<Opening> {
    let mut by_day: BTreeMap<(FoodId, Day), Vec<Draw>> = BTreeMap::new();
    for (index, drawn) in columns.drawn.iter().enumerate() {
        for &(opened, day, column) in &drawn.draws {
            let mg = (values[column] * GRAM_MG).round() as i64;
            if mg > 0 {
                let draws = by_day.entry((drawn.source.food, day)).or_default();
                draws.push((index, opened, mg));
            }
        }
    }
    let mut of_lot: BTreeMap<usize, Vec<(Option<Day>, Day, i64)>> = BTreeMap::new();
    for ((food, day), mut draws) in by_day {
        let used = uses.get(&(food, day)).copied().unwrap_or(0);
        let missing = used - draws.iter().map(|&(_, _, mg)| mg).sum::<i64>();
        if let Some(largest) = draws.iter_mut().max_by_key(|draw| draw.2) {
            largest.2 += missing;
        }
        for (index, opened, mg) in draws {
            if mg > 0 {
                of_lot.entry(index).or_default().push((opened, day, mg));
            }
        }
    }
    let mut openings: Vec<Opening> = of_lot
        .into_iter()
        .flat_map(|(index, draws)| of_one_lot(&columns.drawn[index], values, &draws))
        .collect();
    openings.sort_unstable();
    openings
}

fn of_one_lot(drawn: &Drawn, values: &[f64], draws: &[(Option<Day>, Day, i64)]) -> Vec<Opening> {
    if drawn.source.free {
        return opened_when_needed(drawn, draws);
    }
    let lot = drawn.source.lot;
    let openings = drawn.opens.iter().filter_map(|&(day, column)| {
        let units = values[column].round() as i64;
        let of_day = draws.iter().filter(|draw| draw.0 == Some(day));
        (units > 0).then(|| Opening {
            lot,
            day,
            units,
            draws: of_day.map(|&(_, on, mg)| (on, mg)).collect(),
        })
    });
    openings.collect()
}

/// Where opening changes nothing, a unit is opened on the day on which those open do not
/// suffice.
fn opened_when_needed(drawn: &Drawn, draws: &[(Option<Day>, Day, i64)]) -> Vec<Opening> {
    let mut openings: Vec<Opening> = Vec::new();
    for &(_, day, mut mg) in draws {
        let left_in = |opening: &Opening| {
            let taken: i64 = opening.draws.iter().map(|&(_, mg)| mg).sum();
            opening.units * drawn.source.unit_mg - taken
        };
        if let Some(last) = openings.last_mut() {
            let drawn_from_it = mg.min(left_in(last));
            if drawn_from_it > 0 {
                last.draws.push((day, drawn_from_it));
                mg -= drawn_from_it;
            }
        }
        if mg > 0 {
            openings.push(Opening {
                lot: drawn.source.lot,
                day,
                units: (mg + drawn.source.unit_mg - 1) / drawn.source.unit_mg,
                draws: vec![(day, mg)],
            });
        }
    }
    openings
}
