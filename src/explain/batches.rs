//! Turns a plan's batches into what to cook when, and the minutes of each day.

use super::days::When;
use crate::larder::{Larder, NANO};
use crate::plan::{Batch, Plan};

/// A batch to cook.
#[derive(Clone, Debug)]
pub struct BatchFacts {
    /// What is cooked.
    pub component: String,
    /// When.
    pub when: When,
    /// Finished milligrams.
    pub mg: i64,
    /// Lunch days it serves and finished milligrams eaten on each.
    pub serves: Vec<(When, i64)>,
    /// Last day it may be eaten.
    pub keeps_until: When,
    /// Days from cooking to the last lunch that eats it.
    pub oldest_days: i32,
    /// Active minutes, 1e-9.
    pub minutes_nano: i64,
    /// Passive minutes.
    pub passive_minutes: i64,
    /// Equipment.
    pub needs: Vec<String>,
    /// Foods that go in, edible milligrams.
    pub foods: Vec<(String, i64)>,
}

/// Active minutes of a day.
#[derive(Clone, Debug)]
pub struct DayMinutes {
    /// The day.
    pub when: When,
    /// Assembly of that day's lunch and batches cooked that day, 1e-9.
    pub minutes_nano: i64,
    /// The limit, if there is one.
    pub limit_nano: Option<i64>,
}

/// Time in the kitchen on a day, one thing after another.
#[derive(Clone, Debug)]
pub struct KitchenDay {
    /// The day.
    pub when: When,
    /// Active minutes and those at which the cook stays by what is on, 1e-9.
    pub minutes_nano: i64,
    /// The limit, if there is one.
    pub limit_nano: Option<i64>,
}

fn minutes_of(larder: &Larder, batch: &Batch) -> i64 {
    let component = &larder.components[batch.component.index()];
    let mg: i64 = batch.serves.iter().map(|&(_, mg)| mg).sum();
    component.batch_minutes_nano + mg * component.minutes_per_mg_nano
}

pub(super) fn batches(larder: &Larder, plan: &Plan) -> Vec<BatchFacts> {
    let mut facts: Vec<BatchFacts> = plan
        .batches
        .iter()
        .map(|batch| {
            let component = &larder.components[batch.component.index()];
            let day = i32::from(batch.day);
            BatchFacts {
                component: component.name.clone(),
                when: When::new(larder, day),
                mg: batch.serves.iter().map(|&(_, mg)| mg).sum(),
                serves: batch
                    .serves
                    .iter()
                    .map(|&(served, mg)| (When::new(larder, i32::from(served)), mg))
                    .collect(),
                oldest_days: batch
                    .serves
                    .iter()
                    .map(|&(served, _)| i32::from(served) - day)
                    .max()
                    .unwrap_or(0),
                keeps_until: When::new(larder, day + component.keeps),
                minutes_nano: minutes_of(larder, batch),
                passive_minutes: component.passive_minutes,
                needs: component.needs.clone(),
                foods: batch
                    .foods
                    .iter()
                    .map(|&(food, mg)| (larder.foods[food.index()].name.clone(), mg))
                    .collect(),
            }
        })
        .collect();
    facts.sort_by(|a, b| (a.when.day, &a.component).cmp(&(b.when.day, &b.component)));
    facts
}

pub(super) fn minutes(larder: &Larder, plan: &Plan) -> Vec<DayMinutes> {
    (0..=larder.week.lunches)
        .map(|day| {
            let lunch = day.checked_sub(1).map_or(0, |index| {
                let lunch = &plan.lunches[usize::from(index)];
                larder.recipes[lunch.recipe.index()].minutes_nano
            });
            let cooking: i64 = plan
                .batches
                .iter()
                .filter(|batch| batch.day == day)
                .map(|batch| minutes_of(larder, batch))
                .sum();
            DayMinutes {
                when: When::new(larder, i32::from(day)),
                minutes_nano: lunch + cooking,
                limit_nano: larder
                    .wishes
                    .minutes_nano
                    .get(usize::from(day))
                    .copied()
                    .flatten(),
            }
        })
        .filter(|day| day.minutes_nano > 0 || day.limit_nano.is_some())
        .collect()
}

/// Time in the kitchen, if a wish asks about it: every day that takes some or has a limit.
pub(super) fn kitchen(larder: &Larder, plan: &Plan, active: &[DayMinutes]) -> Vec<KitchenDay> {
    if !larder.wishes.asks_for_kitchen_time() {
        return Vec::new();
    }
    kitchen_days(larder, plan, active)
}

/// Time in the kitchen, asked about or not: every day that takes some or has a limit.
pub fn kitchen_time(larder: &Larder, plan: &Plan) -> Vec<KitchenDay> {
    kitchen_days(larder, plan, &minutes(larder, plan))
}

fn kitchen_days(larder: &Larder, plan: &Plan, active: &[DayMinutes]) -> Vec<KitchenDay> {
    let limits = (0..).zip(&larder.wishes.kitchen_minutes_nano);
    let days = limits.map(|(day, &limit_nano)| {
        let when = When::new(larder, day);
        let worked = active.iter().find(|other| other.when == when);
        let batches = plan
            .batches
            .iter()
            .filter(|batch| i32::from(batch.day) == day);
        let watched =
            batches.map(|batch| larder.components[batch.component.index()].watched_nano());
        KitchenDay {
            minutes_nano: worked.map_or(0, |day| day.minutes_nano) + watched.sum::<i64>(),
            when,
            limit_nano,
        }
    });
    days.filter(|day| day.minutes_nano > 0 || day.limit_nano.is_some())
        .collect()
}

impl DayMinutes {
    /// Returns whole minutes, rounded up: a cook plans with no less.
    pub fn whole(&self) -> i64 {
        (self.minutes_nano + NANO - 1) / NANO
    }
}
