//! Writes the brute force's best week out as a plan, so that the judge can be asked about it.
//!
//! The brute force leaves open which batch a lunch draws on wherever that is free; here the
//! food that minds the day settles it, and everything else of the component follows in
//! proportion.

use std::collections::BTreeMap;

use scant::larder::{ComponentId, Day, FoodId, Ingredient, Larder};
use scant::plan::{Batch, Lot, Lunch, Opening, Plan, Purchase};

use super::brute::{Best, timeless};
use super::pantry::{Deal, Need, Opened, Pantry, span};

/// Milligrams asked of one component by one line of one lunch.
struct Ask {
    component: ComponentId,
    lunch: i32,
    mg: i64,
    foods: Vec<(FoodId, i64)>,
}

/// The plan of a best week.
pub fn plan(larder: &Larder, best: &Best) -> Plan {
    let mut pantry = Pantry::new(larder);
    let mut direct: BTreeMap<(FoodId, u32), i64> = BTreeMap::new();
    let mut asks = Vec::new();
    let mut lunches = Vec::new();
    for (index, (&recipe, taken)) in best.recipes.iter().zip(&best.choice.taken).enumerate() {
        let day = index as i32 + 1;
        lunches.push(Lunch {
            recipe,
            taken: taken.clone(),
        });
        for (line, &pick) in larder.recipes[recipe.index()].lines.iter().zip(taken) {
            let alternative = &line.alternatives[usize::from(pick)];
            let mg = larder.for_eaters(alternative.mg, day as Day);
            match alternative.what {
                Ingredient::Food(food) => *direct.entry((food, 1 << day)).or_default() += mg,
                Ingredient::Component(component) => {
                    let foods = larder.component_foods(component, mg);
                    asks.push(Ask {
                        component,
                        lunch: day,
                        mg,
                        foods,
                    });
                }
            }
        }
    }
    let mut cooked: BTreeMap<(ComponentId, i32), (BTreeMap<i32, i64>, BTreeMap<FoodId, i64>)> =
        BTreeMap::new();
    let splits = splits(larder, best, &pantry, &asks);
    for (ask, parts) in asks.iter().zip(splits) {
        let mut left = ask.mg;
        let mut foods_left: BTreeMap<FoodId, i64> = ask.foods.iter().copied().collect();
        for (at, &(day, mg)) in parts.iter().enumerate() {
            let last = at + 1 == parts.len();
            let batch = cooked.entry((ask.component, day)).or_default();
            let mg = if last { left } else { mg };
            left -= mg;
            *batch.0.entry(ask.lunch).or_default() += mg;
            for &(food, whole) in &ask.foods {
                let rest = foods_left.get_mut(&food).expect("listed above");
                let share = if last { *rest } else { whole * mg / ask.mg };
                *rest -= share;
                *batch.1.entry(food).or_default() += share;
            }
        }
    }
    let mut needs: BTreeMap<(FoodId, u32), i64> = direct;
    let mut batches = Vec::new();
    for ((component, day), (serves, foods)) in cooked {
        for (&food, &mg) in &foods {
            *needs.entry((food, 1 << day)).or_default() += mg;
        }
        batches.push(Batch {
            component,
            day: day as Day,
            serves: serves.into_iter().map(|(d, mg)| (d as Day, mg)).collect(),
            foods: foods.into_iter().filter(|(_, mg)| *mg > 0).collect(),
        });
    }
    let mut purchases = Vec::new();
    let mut openings = Vec::new();
    for (food, _, deal) in &best.choice.deals {
        let wanted = of_food(&needs, *food);
        let deals = pantry.deals(*food, wanted.clone());
        let same = deals
            .iter()
            .find(|d| {
                d.key == deal.key
                    && d.price_minor == deal.price_minor
                    && d.bought == deal.bought
                    && d.trips & !deal.trips == 0
            })
            .unwrap_or_else(|| {
                panic!("fixing the batches of {} must not change its price: {deal:?} {wanted:?} {deals:?}", larder.foods[food.index()].name)
            });
        buy(&pantry, *food, same, &mut purchases);
        let drawn = pantry.drawn(*food, &wanted, &same.opened);
        openings.extend(open(&pantry, *food, &wanted, &drawn));
    }
    purchases.sort_unstable();
    openings.sort_unstable();
    Plan {
        lunches,
        batches,
        purchases,
        openings,
    }
}

fn of_food(needs: &BTreeMap<(FoodId, u32), i64>, food: FoodId) -> Vec<Need> {
    needs
        .range((food, 0)..=(food, u32::MAX))
        .filter(|(_, mg)| **mg > 0)
        .map(|(&(_, days), &mg)| Need { days, mg })
        .collect()
}

/// For each ask, cooking days and finished milligrams.
fn splits(larder: &Larder, best: &Best, pantry: &Pantry, asks: &[Ask]) -> Vec<Vec<(i32, i64)>> {
    // What is drawn on each day for each kind of need, to be handed out to the asks.
    let mut by_day: BTreeMap<(FoodId, u32), BTreeMap<i32, i64>> = BTreeMap::new();
    for (food, needs, deal) in &best.choice.deals {
        let drawn = pantry.drawn(*food, needs, &deal.opened);
        for (_, need, day, mg) in transport(pantry, *food, needs, &drawn) {
            *by_day
                .entry((*food, needs[need].days))
                .or_default()
                .entry(day)
                .or_default() += mg;
        }
    }
    asks.iter()
        .map(|ask| {
            let keeps = larder.components[ask.component.index()].keeps;
            let window =
                best.choice.batches[&ask.component] & span((ask.lunch - keeps).max(0), ask.lunch);
            let fixed: Vec<_> = best
                .choice
                .shares
                .iter()
                .filter(|s| s.0 == ask.component && s.2 == ask.lunch)
                .collect();
            if !fixed.is_empty() {
                let whole: i64 = fixed.iter().map(|s| s.3).sum();
                return fixed.iter().map(|s| (s.1, ask.mg * s.3 / whole)).collect();
            }
            let first = window.trailing_zeros() as i32;
            let minding = ask
                .foods
                .iter()
                .find(|(food, _)| !larder.foods[food.index()].staple && !timeless(larder, *food));
            let Some(&(food, whole)) = minding else {
                return vec![(first, ask.mg)];
            };
            let drawn = by_day
                .get_mut(&(food, window))
                .expect("its need was priced");
            let mut left = whole;
            let mut parts = Vec::new();
            for (&day, mg) in drawn.iter_mut() {
                let part = left.min(*mg);
                if part > 0 {
                    *mg -= part;
                    left -= part;
                    parts.push((day, part * ask.mg / whole));
                }
            }
            assert_eq!(left, 0, "all of a need is drawn");
            parts
        })
        .collect()
}

fn buy(pantry: &Pantry, food: FoodId, deal: &Deal, purchases: &mut Vec<Purchase>) {
    for (lot, source) in pantry.sources(food).iter().enumerate() {
        let units: i64 = deal
            .opened
            .iter()
            .filter(|o| o.lot == lot)
            .map(|o| o.units)
            .sum();
        if let Lot::Bought(pack, trip) = source.lot
            && units > 0
        {
            let count = (units + source.units_in_pack - 1) / source.units_in_pack;
            purchases.push(Purchase { pack, trip, count });
        }
    }
}

fn open(pantry: &Pantry, food: FoodId, needs: &[Need], drawn: &[(Opened, i64)]) -> Vec<Opening> {
    let mut draws: Vec<BTreeMap<Day, i64>> = vec![BTreeMap::new(); drawn.len()];
    for (tap, _, day, mg) in transport(pantry, food, needs, drawn) {
        *draws[tap].entry(day as Day).or_default() += mg;
    }
    let mut all = Vec::new();
    for ((opened, _), draws) in drawn.iter().zip(draws) {
        let source = &pantry.sources(food)[opened.lot];
        let Some(&first) = draws.keys().next() else {
            continue;
        };
        if source.ageless() {
            all.extend(as_needed(source.lot, source.unit_mg, &draws));
            continue;
        }
        let day = if source.open {
            first
        } else {
            opened.day as Day
        };
        let draws = draws.into_iter().collect();
        all.push(Opening {
            lot: source.lot,
            day,
            units: opened.units,
            draws,
        });
    }
    all
}

/// Opens units as they are needed, the older ones emptied first.
fn as_needed(lot: Lot, unit_mg: i64, draws: &BTreeMap<Day, i64>) -> Vec<Opening> {
    let mut all: Vec<Opening> = Vec::new();
    let mut left = 0;
    for (&day, &mg) in draws {
        let old = left.min(mg);
        if old > 0 {
            all.last_mut()
                .expect("something is left of it")
                .draws
                .push((day, old));
            left -= old;
        }
        let new = mg - old;
        if new > 0 {
            let units = (new + unit_mg - 1) / unit_mg;
            left = units * unit_mg - new;
            all.push(Opening {
                lot,
                day,
                units,
                draws: vec![(day, new)],
            });
        }
    }
    all
}

/// Carries what is drawn to the needs: opening, need, day, milligrams. Augmenting paths, the
/// milligram of each unit on its opening day first.
fn transport(
    pantry: &Pantry,
    food: FoodId,
    needs: &[Need],
    drawn: &[(Opened, i64)],
) -> Vec<(usize, usize, i32, i64)> {
    let mut pipes: Vec<(usize, u32, i64)> = Vec::new();
    for (tap, (opened, mg)) in drawn.iter().enumerate() {
        let source = &pantry.sources(food)[opened.lot];
        let must = if source.tap() { 0 } else { opened.units };
        pipes.push((tap, 1 << opened.day, must));
        pipes.push((tap, span(opened.day, source.good(opened.day)), mg - must));
    }
    let mut flow = vec![vec![0_i64; needs.len()]; pipes.len()];
    for pipe in 0..pipes.len() {
        while flow[pipe].iter().sum::<i64>() < pipes[pipe].2 {
            let want = pipes[pipe].2 - flow[pipe].iter().sum::<i64>();
            let mut seen = vec![false; needs.len()];
            let pushed = push(&pipes, needs, &mut flow, pipe, want, &mut seen);
            assert!(pushed > 0, "what a deal draws can be carried to its needs");
        }
    }
    let mut all = Vec::new();
    for (pipe, row) in flow.iter().enumerate() {
        for (need, &mg) in row.iter().enumerate().filter(|(_, mg)| **mg > 0) {
            let day = (pipes[pipe].1 & needs[need].days).trailing_zeros() as i32;
            all.push((pipes[pipe].0, need, day, mg));
        }
    }
    all
}

/// Pushes up to `want` from a pipe into some need, moving other pipes aside where it must.
fn push(
    pipes: &[(usize, u32, i64)],
    needs: &[Need],
    flow: &mut [Vec<i64>],
    pipe: usize,
    want: i64,
    seen: &mut [bool],
) -> i64 {
    for need in 0..needs.len() {
        if seen[need] || needs[need].days & pipes[pipe].1 == 0 {
            continue;
        }
        seen[need] = true;
        let room = needs[need].mg - flow.iter().map(|row| row[need]).sum::<i64>();
        if room > 0 {
            let now = room.min(want);
            flow[pipe][need] += now;
            return now;
        }
        for other in 0..pipes.len() {
            if other != pipe && flow[other][need] > 0 {
                let most = want.min(flow[other][need]);
                let moved = push(pipes, needs, flow, other, most, seen);
                if moved > 0 {
                    flow[other][need] -= moved;
                    flow[pipe][need] += moved;
                    return moved;
                }
            }
        }
    }
    0
}
