//! Turns a prep plan into what there is to say about it: names, times, what goes on beside what.

use super::cook::said;
use super::days::When;
use super::measured::{Measured, measured, name_of, plain};
use super::spoken;
use crate::larder::{Ingredient, Larder, StockId};
use crate::plan::{Lot, Plan};
use crate::prep::week::{Of, Sitting, day_of};
use crate::prep::{Note, Part, Prepared, Stint, Task, What};

/// What is done when.
#[derive(Clone, Debug)]
pub struct PrepFacts {
    /// Stints in time order.
    pub stints: Vec<StintFacts>,
    /// Minutes in the kitchen in all.
    pub length: i64,
    /// Minutes of these in which the cook only waits.
    pub waiting: i64,
    /// The same by day, days on which there is nothing to do left out.
    pub days: Vec<PrepDay>,
    /// No prep plan of this week takes fewer.
    pub bound: i64,
    /// What is to be seen to besides, by day.
    pub notes: Vec<NoteFacts>,
}

/// Minutes in the kitchen on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PrepDay {
    /// The day.
    pub when: When,
    /// Minutes in the kitchen.
    pub length: i64,
    /// Minutes of these in which the cook only waits.
    pub waiting: i64,
}

/// When on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Time {
    /// The prep day, at any time.
    PrepDay,
    /// Before the lunch is carried off.
    Morning,
    /// After that.
    Evening,
}

/// A stint.
#[derive(Clone, Debug)]
pub struct StintFacts {
    /// The day.
    pub when: When,
    /// When on it.
    pub time: Time,
    /// Minutes in the kitchen.
    pub length: i64,
    /// No timetable of these tasks is shorter.
    pub bound: i64,
    /// Minutes that need the cook.
    pub active: i64,
    /// When the last thing that goes on by itself is over; may be after the cook has left.
    pub over: i64,
    /// By start.
    pub tasks: Vec<TaskFacts>,
    /// Stretches in which the cook waits: from and to.
    pub waits: Vec<(i64, i64)>,
}

/// Something done once.
#[derive(Clone, Debug)]
pub struct TaskFacts {
    /// What it is part of: recipes and components.
    pub of: Vec<String>,
    /// The lunch days of the recipes among these; none for batches.
    pub lunches: Vec<When>,
    /// The instruction.
    pub text: String,
    /// What is done.
    pub verb: String,
    /// The food or component it is done to, if it names one.
    pub food: Option<String>,
    /// What goes in here and how much, named here first.
    pub amounts: Vec<GoesIn>,
    /// Minutes from the beginning of the stint.
    pub start: i64,
    /// When the cook is done with it.
    pub done: i64,
    /// When it is over.
    pub end: i64,
    /// Equipment, and how many.
    pub needs: Vec<(String, i64)>,
    /// What goes on by itself while the cook does this, and until when.
    pub beside: Vec<(String, i64)>,
    /// May be done in an earlier stint too: the earliest.
    pub as_early_as: Option<(When, Time)>,
    /// Done before its day: that day.
    pub ahead_of: Option<When>,
}

/// An ingredient that a task puts in.
#[derive(Clone, Debug)]
pub struct GoesIn {
    /// Food.
    pub name: String,
    /// How much for all.
    pub amount: Measured,
    /// The instruction speaks of it.
    pub named: bool,
}

/// Something to see to.
#[derive(Clone, Debug)]
pub struct NoteFacts {
    /// The day.
    pub when: When,
    /// What.
    pub of: NoteOf,
}

/// What there is to see to; as [`What`], with names.
#[derive(Clone, Debug)]
pub enum NoteOf {
    /// Unripe fruit to the counter.
    Counter {
        /// The fruit.
        food: String,
        /// Pack.
        pack: String,
        /// Ripeness at purchase.
        stage: String,
        /// Units.
        units: i64,
        /// Units in a whole pack.
        pack_units: i64,
        /// Even a slow one is ripe then.
        ripe: When,
    },
    /// Ripe fruit to the refrigerator.
    Refrigerate {
        /// The fruit.
        food: String,
        /// Pack.
        pack: String,
        /// Units.
        units: i64,
        /// Units in a whole pack.
        pack_units: i64,
        /// Last day it may be opened.
        until: When,
    },
    /// A pack to open.
    Open {
        /// The food.
        food: String,
        /// Pack or what the cook calls it.
        pack: String,
        /// Units.
        units: i64,
        /// Units in a whole pack.
        pack_units: i64,
        /// Last good day.
        good_until: When,
    },
    /// Fruit to cut this morning.
    CutToday {
        /// The fruit.
        food: String,
    },
    /// A dressing to carry apart.
    Apart {
        /// The dressing.
        dressing: String,
        /// The lunch.
        lunch: String,
    },
    /// What to throw out.
    ThrowOut {
        /// The food.
        food: String,
        /// Pack or what the cook calls it.
        pack: String,
        /// Milligrams.
        mg: i64,
    },
}

/// A judged prep plan and what goes with it.
#[derive(Clone, Debug)]
pub struct Told {
    /// The prep plan.
    pub prepared: Prepared,
    /// What is to be seen to besides.
    pub notes: Vec<Note>,
}

pub(super) fn prep(larder: &Larder, plan: &Plan, told: &Told) -> PrepFacts {
    let stints: Vec<StintFacts> = told
        .prepared
        .stints
        .iter()
        .map(|one| stint(larder, plan, one))
        .collect();
    let mut days: Vec<PrepDay> = Vec::new();
    for one in &stints {
        let waiting = one.length - one.active;
        match days.iter_mut().find(|day| day.when == one.when) {
            Some(day) => {
                day.length += one.length;
                day.waiting += waiting;
            }
            None => days.push(PrepDay {
                when: one.when.clone(),
                length: one.length,
                waiting,
            }),
        }
    }
    PrepFacts {
        waiting: days.iter().map(|day| day.waiting).sum(),
        days,
        stints,
        length: told.prepared.length,
        bound: told.prepared.bound,
        notes: told
            .notes
            .iter()
            .map(|note| NoteFacts {
                when: When::new(larder, note.day),
                of: named(larder, &note.what),
            })
            .collect(),
    }
}

fn stint(larder: &Larder, plan: &Plan, stint: &Stint) -> StintFacts {
    let tasks: Vec<TaskFacts> = stint
        .tasks
        .iter()
        .map(|one| task(larder, plan, stint, one))
        .collect();
    let mut waits = Vec::new();
    let mut now = 0;
    for task in &tasks {
        if task.done == task.start {
            continue;
        }
        if task.start > now {
            waits.push((now, task.start));
        }
        now = task.done;
    }
    if stint.length > now {
        waits.push((now, stint.length));
    }
    StintFacts {
        when: When::new(larder, i32::from(stint.day())),
        time: time(stint.sitting),
        length: stint.length,
        bound: stint.bound,
        active: tasks.iter().map(|task| task.done - task.start).sum(),
        over: tasks.iter().map(|task| task.end).max().unwrap_or(0),
        tasks,
        waits,
    }
}

fn time(sitting: Sitting) -> Time {
    match sitting {
        0 => Time::PrepDay,
        _ if sitting % 2 == 1 => Time::Morning,
        _ => Time::Evening,
    }
}

fn name(larder: &Larder, plan: &Plan, of: Of) -> String {
    match of {
        Of::Lunch(day) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            larder.recipes[lunch.recipe.index()].name.clone()
        }
        Of::Batch(at) => {
            let component = plan.batches[at].component;
            larder.components[component.index()].name.clone()
        }
    }
}

/// The names of a task, each once.
fn names(larder: &Larder, plan: &Plan, parts: &[Part]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for part in parts {
        let name = name(larder, plan, part.of);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

fn task(larder: &Larder, plan: &Plan, stint: &Stint, task: &Task) -> TaskFacts {
    let first = task.parts[0];
    let steps = match first.of {
        Of::Lunch(day) => {
            let lunch = &plan.lunches[usize::from(day) - 1];
            &larder.recipes[lunch.recipe.index()].steps
        }
        Of::Batch(at) => &larder.components[plan.batches[at].component.index()].steps,
    };
    let step = first.step.and_then(|at| steps.get(at));
    let text = step.map(|step| match first.of {
        Of::Lunch(day) => said(larder, &plan.lunches[usize::from(day) - 1], step),
        Of::Batch(_) => step.text.clone(),
    });
    let unwritten = match first.of {
        Of::Lunch(_) => "Pack it.",
        Of::Batch(_) => "Make it.",
    };
    let day = |part: &Part| match part.of {
        Of::Lunch(day) => day,
        Of::Batch(at) => plan.batches[at].day,
    };
    let mut lunches: Vec<When> = Vec::new();
    for part in &task.parts {
        if let Of::Lunch(day) = part.of {
            let when = When::new(larder, i32::from(day));
            if !lunches.contains(&when) {
                lunches.push(when);
            }
        }
    }
    let latest = task.parts.iter().map(day).max().unwrap_or(0);
    let needs = task.needs.iter();
    TaskFacts {
        of: names(larder, plan, &task.parts),
        lunches,
        text: text.unwrap_or_else(|| unwritten.to_owned()),
        verb: step.map_or(unwritten.to_owned(), |step| step.verb.clone()),
        food: step.and_then(|step| step.what).map(|what| match what {
            Ingredient::Food(id) => larder.foods[id.index()].name.clone(),
            Ingredient::Component(id) => larder.components[id.index()].name.clone(),
        }),
        amounts: amounts(larder, plan, task),
        start: task.start,
        done: task.done(),
        end: task.end(),
        needs: needs
            .map(|&(kind, count)| (larder.equipment[kind].name.clone(), count))
            .collect(),
        beside: beside(larder, plan, stint, task),
        as_early_as: task.as_early_as.map(|sitting| {
            let day = i32::from(day_of(sitting));
            (When::new(larder, day), time(sitting))
        }),
        ahead_of: (latest > day_of(stint.sitting)).then(|| When::new(larder, i32::from(latest))),
    }
}

/// What goes into the steps of a task, added up over those done at once.
fn amounts(larder: &Larder, plan: &Plan, task: &Task) -> Vec<GoesIn> {
    let mut all: Vec<GoesIn> = Vec::new();
    for part in &task.parts {
        let goes_in = match part.of {
            Of::Batch(at) => in_batch(larder, plan, at, part.step.unwrap_or(0)),
            Of::Lunch(day) => in_lunch(larder, plan, day, part.step),
        };
        for one in goes_in {
            match all.iter_mut().find(|known| known.name == one.name) {
                Some(known) => known.amount.mg += one.amount.mg,
                None => all.push(one),
            }
        }
    }
    all
}

fn in_batch(larder: &Larder, plan: &Plan, at: usize, step: usize) -> Vec<GoesIn> {
    let batch = &plan.batches[at];
    let foods = &batch.foods;
    let name = |what| name_of(larder, what);
    let names: Vec<String> =
        (foods.iter().map(|&(food, _)| name(Ingredient::Food(food)))).collect();
    let steps = &larder.components[batch.component.index()].steps;
    let about: Vec<Option<String>> = steps.iter().map(|step| step.what.map(name)).collect();
    let steps: Vec<(&str, Option<&str>)> = steps
        .iter()
        .zip(&about)
        .map(|(step, about)| (step.text.as_str(), about.as_deref()))
        .collect();
    let others: Vec<&str> = names.iter().map(String::as_str).collect();
    let places = spoken::places(&steps, &others);
    let here = foods.iter().zip(names).zip(places);
    here.filter(|((food, _), place)| place.0 == step && food.1 > 0)
        .map(|((&(food, mg), name), (_, named))| GoesIn {
            name,
            amount: plain(&larder.foods[food.index()].household, mg),
            named,
        })
        .collect()
}

/// Of a lunch only what a step is done to: how much goes into each box stands on the box.
fn in_lunch(
    larder: &Larder,
    plan: &Plan,
    day: crate::larder::Day,
    step: Option<usize>,
) -> Vec<GoesIn> {
    let lunch = &plan.lunches[usize::from(day) - 1];
    let recipe = &larder.recipes[lunch.recipe.index()];
    let Some((at, step)) = step.and_then(|at| Some((at, recipe.steps.get(at)?))) else {
        return Vec::new();
    };
    let first = (recipe.steps.iter()).position(|other| other.what == step.what) == Some(at);
    let taken = recipe.lines.iter().zip(&lunch.taken);
    let taken = taken.map(|(line, &at)| &line.alternatives[usize::from(at)]);
    taken
        .filter(|entry| first && Some(entry.what) == step.what)
        .filter(|entry| matches!(entry.what, Ingredient::Food(_)))
        .map(|entry| {
            let name = name_of(larder, entry.what);
            let amount = measured(larder, entry, larder.for_eaters(entry.mg, day));
            GoesIn {
                name,
                amount,
                named: true,
            }
        })
        .collect()
}

/// What goes on by itself in some minute of a task.
fn beside(larder: &Larder, plan: &Plan, stint: &Stint, task: &Task) -> Vec<(String, i64)> {
    let others = stint.tasks.iter().filter(|other| {
        other.passive > 0
            && other.parts != task.parts
            && other.done() < task.done()
            && task.start < other.end()
    });
    others
        .map(|other| (names(larder, plan, &other.parts).join(", "), other.end()))
        .collect()
}

fn named(larder: &Larder, what: &What) -> NoteOf {
    let food = |id: crate::larder::FoodId| larder.foods[id.index()].name.clone();
    let lot = |lot: Lot| match lot {
        Lot::Bought(id, _) => {
            let pack = &larder.packs[id.index()];
            (food(pack.food), pack.label.clone())
        }
        Lot::Stock(id) => {
            let stock = &larder.stock[StockId::index(id)];
            (food(stock.food), stock.label.clone())
        }
    };
    match *what {
        What::Counter { pack, units, ripe } => {
            let pack = &larder.packs[pack.index()];
            NoteOf::Counter {
                food: food(pack.food),
                pack: pack.label.clone(),
                stage: pack.stage.clone().unwrap_or_default(),
                units,
                pack_units: pack.units,
                ripe: When::new(larder, ripe),
            }
        }
        What::Refrigerate { pack, units, until } => {
            let pack = &larder.packs[pack.index()];
            NoteOf::Refrigerate {
                food: food(pack.food),
                pack: pack.label.clone(),
                units,
                pack_units: pack.units,
                until: When::new(larder, until),
            }
        }
        What::Open {
            lot: of,
            units,
            good_until,
        } => {
            let (food, pack) = lot(of);
            let pack_units = match of {
                Lot::Bought(id, _) => larder.packs[id.index()].units,
                Lot::Stock(_) => 1,
            };
            NoteOf::Open {
                food,
                pack,
                units,
                pack_units,
                good_until: When::new(larder, good_until),
            }
        }
        What::CutToday { food: id } => NoteOf::CutToday { food: food(id) },
        What::Apart { component, recipe } => NoteOf::Apart {
            dressing: larder.components[component.index()].name.clone(),
            lunch: larder.recipes[recipe.index()].name.clone(),
        },
        What::ThrowOut { lot: of, mg } => {
            let (food, pack) = lot(of);
            NoteOf::ThrowOut { food, pack, mg }
        }
    }
}
