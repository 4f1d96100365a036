//! What is to be seen to on a day besides cooking: fruit on the counter, packs to open, dressings
//! to carry apart, what to throw out.

use super::week::{food_of, good, morning_only, taken, window};
use crate::finish::Placed;
use crate::larder::{ComponentId, Day, FoodId, Ingredient, Larder, PackId, RecipeId};
use crate::plan::{Lot, Plan};

/// Something to see to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// The day, counted from the prep day; may lie behind the last lunch.
    pub day: i32,
    /// What.
    pub what: What,
}

/// What there is to see to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// Fruit bought unripe: on the counter until it is ripe, by that day at the latest.
    Counter {
        /// The pack.
        pack: PackId,
        /// Units bought.
        units: i64,
        /// First day on which even a slow one is ripe.
        ripe: i32,
    },
    /// Fruit that is ripe now and used later: into the refrigerator.
    Refrigerate {
        /// The pack.
        pack: PackId,
        /// Units not opened today.
        units: i64,
        /// Last day it may be opened.
        until: i32,
    },
    /// A pack to open; loose goods and what is open already are left out.
    Open {
        /// What is opened.
        lot: Lot,
        /// How many units.
        units: i64,
        /// Last day they are good.
        good_until: i32,
    },
    /// A fruit to cut this morning and not before.
    CutToday {
        /// The fruit.
        food: FoodId,
    },
    /// A dressing that is carried in a jar of its own.
    Apart {
        /// The dressing.
        component: ComponentId,
        /// The lunch.
        recipe: RecipeId,
    },
    /// What is left of units whose last good day was yesterday.
    ThrowOut {
        /// What it is of.
        lot: Lot,
        /// Milligrams.
        mg: i64,
    },
}

/// Returns all notes by day; within a day in the order of [`What`]. `opened` is the plan with the
/// prep plan's openings.
pub fn notes(larder: &Larder, opened: &Plan, placed: &[Placed]) -> Vec<Note> {
    let mut all = Vec::new();
    fruit(larder, opened, &mut all);
    packs(larder, opened, &mut all);
    lunches(larder, opened, placed, &mut all);
    all.sort_by_key(|note| (note.day, rank(&note.what)));
    all
}

fn rank(what: &What) -> u8 {
    match what {
        What::ThrowOut { .. } => 0,
        What::Counter { .. } => 1,
        What::Refrigerate { .. } => 2,
        What::Open { .. } => 3,
        What::CutToday { .. } => 4,
        What::Apart { .. } => 5,
    }
}

fn fruit(larder: &Larder, plan: &Plan, all: &mut Vec<Note>) {
    for bought in &plan.purchases {
        let pack = &larder.packs[bought.pack.index()];
        if pack.stage.is_none() {
            continue;
        }
        let on = i32::from(larder.trip_day(bought.trip));
        let ripe = on + pack.ready_from;
        let units = bought.count * pack.units;
        if ripe > on {
            all.push(Note {
                day: on,
                what: What::Counter {
                    pack: bought.pack,
                    units,
                    ripe,
                },
            });
        }
        let lot = Lot::Bought(bought.pack, bought.trip);
        let today = plan
            .openings
            .iter()
            .filter(|o| o.lot == lot && i32::from(o.day) <= ripe);
        let left = units - today.map(|opening| opening.units).sum::<i64>();
        if left > 0 {
            all.push(Note {
                day: ripe,
                what: What::Refrigerate {
                    pack: bought.pack,
                    units: left,
                    until: on + pack.ready_to,
                },
            });
        }
    }
}

fn packs(larder: &Larder, plan: &Plan, all: &mut Vec<Note>) {
    for opening in &plan.openings {
        let silent = match opening.lot {
            Lot::Bought(pack, _) => larder.packs[pack.index()].loose,
            Lot::Stock(stock) => larder.stock[stock.index()].opened,
        };
        let last = good(larder, opening.lot, opening.day);
        if !silent {
            all.push(Note {
                day: i32::from(opening.day),
                what: What::Open {
                    lot: opening.lot,
                    units: opening.units,
                    good_until: last,
                },
            });
        }
        let used: i64 = opening.draws.iter().map(|draw| draw.1).sum();
        let left = opening.units * unit_mg(larder, opening.lot) - used;
        throw_out(larder, opening.lot, left, last, all);
    }
    for bought in &plan.purchases {
        let lot = Lot::Bought(bought.pack, bought.trip);
        let pack = &larder.packs[bought.pack.index()];
        let opened = plan.openings.iter().filter(|opening| opening.lot == lot);
        let sealed = bought.count * pack.units - opened.map(|o| o.units).sum::<i64>();
        let last = window(larder, lot).1;
        throw_out(larder, lot, sealed * pack.unit_mg, last, all);
    }
    for at in 0..larder.stock.len() {
        let lot = Lot::Stock(crate::larder::StockId::new(at));
        if !plan.openings.iter().any(|opening| opening.lot == lot) {
            let stock = &larder.stock[at];
            let last = if stock.opened {
                stock.ready_to.min(stock.end)
            } else {
                stock.ready_to
            };
            throw_out(larder, lot, stock.left_mg, last, all);
        }
    }
}

fn unit_mg(larder: &Larder, lot: Lot) -> i64 {
    match lot {
        Lot::Bought(pack, _) => larder.packs[pack.index()].unit_mg,
        Lot::Stock(stock) => larder.stock[stock.index()].left_mg,
    }
}

/// What spoils before the next cycle is thrown out the day after its last good one.
fn throw_out(larder: &Larder, lot: Lot, mg: i64, last: i32, all: &mut Vec<Note>) {
    if mg > 0 && last < larder.week.carry_day {
        let what = What::ThrowOut { lot, mg };
        all.push(Note {
            day: last + 1,
            what,
        });
    }
}

fn lunches(larder: &Larder, plan: &Plan, placed: &[Placed], all: &mut Vec<Note>) {
    for (day, lunch) in (1..).zip(&plan.lunches) {
        let recipe = &larder.recipes[lunch.recipe.index()];
        let mut there = taken(larder, plan, placed, day);
        there.dedup();
        for what in there {
            let note = match what {
                Ingredient::Food(food)
                    if morning_only(larder, food) && cut(larder, plan, food, day) =>
                {
                    What::CutToday { food }
                }
                Ingredient::Component(component)
                    if larder.components[component.index()].dressing
                        && !recipe.steps.iter().any(|step| step.what == Some(what)) =>
                {
                    What::Apart {
                        component,
                        recipe: lunch.recipe,
                    }
                }
                _ => continue,
            };
            all.push(Note {
                day: i32::from(day),
                what: note,
            });
        }
    }
}

/// Whether something of a food is taken on a day.
fn cut(larder: &Larder, plan: &Plan, food: FoodId, day: Day) -> bool {
    plan.openings.iter().any(|opening| {
        food_of(larder, opening.lot) == food && opening.draws.iter().any(|draw| draw.0 == day)
    })
}
