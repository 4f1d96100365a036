//! Which advice a week needs, and for which lunches and batches.

use std::collections::{BTreeMap, BTreeSet};

use super::days::When;
use super::uses::taken;
use crate::larder::{Component, Food, FoodId, Ingredient, Larder, Recipe};
use crate::plan::{Lot, Plan};
use crate::table::advice::{Advice, Sort, Topic, is_of};
use crate::table::row_of;

/// A line of advice and what it is for.
#[derive(Clone, Debug)]
pub struct AdviceFacts {
    /// The line.
    pub advice: &'static Advice,
    /// By day, lunches before batches.
    pub of: Vec<Advised>,
}

/// A lunch or a batch that advice is for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Advised {
    /// The day it is eaten or cooked.
    pub when: When,
    /// Whether it is a batch, not a lunch.
    pub batch: bool,
    /// Recipe or component.
    pub thing: String,
    /// The foods that call for it; none where the whole does.
    pub foods: Vec<String>,
}

/// Words of a row that say how the food of its figures was cooked, not how it is sold.
const COOKED: [&str; 2] = ["cooked", "boiled"];

/// What each food of a week is called, with what stands on its packs.
struct Called<'a> {
    larder: &'a Larder,
    labels: BTreeMap<FoodId, BTreeSet<&'a str>>,
}

impl<'a> Called<'a> {
    fn new(larder: &'a Larder, plan: &Plan) -> Self {
        let mut labels: BTreeMap<FoodId, BTreeSet<&str>> = BTreeMap::new();
        for opening in &plan.openings {
            let (food, label) = match opening.lot {
                Lot::Bought(pack, _) => {
                    let pack = &larder.packs[pack.index()];
                    (pack.food, pack.label.as_str())
                }
                Lot::Stock(id) => {
                    let unit = &larder.stock[id.index()];
                    (unit.food, unit.label.as_str())
                }
            };
            labels.entry(food).or_default().insert(label);
        }
        Self { larder, labels }
    }

    fn is(&self, id: FoodId, sort: Sort) -> bool {
        let food = &self.larder.foods[id.index()];
        let row = row_words(food);
        let fits = |label: &str| is_of(&format!("{} {label} {row}", food.name), sort);
        match self.labels.get(&id) {
            Some(labels) => labels.iter().any(|label| fits(label)),
            None => fits(""),
        }
    }

    fn named(&self, foods: &[FoodId], sort: Sort) -> Vec<String> {
        let foods = foods.iter().filter(|id| self.is(**id, sort));
        foods
            .map(|id| self.larder.foods[id.index()].name.clone())
            .collect()
    }
}

fn row_words(food: &Food) -> String {
    let name = row_of(&food.source).map_or("", |row| row.name);
    let words = name
        .split([' ', ','])
        .filter(|w| !COOKED.contains(w) && !w.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// Whether heat or time goes into it.
fn is_cooked(component: &Component) -> bool {
    !component.needs.is_empty() || component.passive_minutes > 0
}

fn is_hot(larder: &Larder, recipe: &Recipe) -> bool {
    let form = &larder.forms[recipe.form.index()];
    let mut said = std::iter::once(form).chain(&recipe.tags);
    said.any(|text| is_of(text, Sort::Hot)) || recipe.name.to_lowercase().contains("flask")
}

pub(super) fn advice(larder: &Larder, plan: &Plan) -> Vec<AdviceFacts> {
    let called = Called::new(larder, plan);
    let mut all: BTreeMap<Topic, Vec<Advised>> = BTreeMap::new();
    let mut add = |topic: Topic, advised: Advised| all.entry(topic).or_default().push(advised);
    for (day, lunch) in (1..).zip(&plan.lunches) {
        let recipe = &larder.recipes[lunch.recipe.index()];
        let foods: Vec<FoodId> = taken(larder, lunch)
            .filter_map(|(what, _)| match what {
                Ingredient::Food(id) => Some(id),
                Ingredient::Component(_) => None,
            })
            .collect();
        let advised = |foods: Vec<String>| Advised {
            when: When::new(larder, day),
            batch: false,
            thing: recipe.name.clone(),
            foods,
        };
        let carried = if is_hot(larder, recipe) {
            Topic::HotFlask
        } else {
            Topic::ColdBox
        };
        add(carried, advised(Vec::new()));
        for (topic, sort) in BY_FOOD {
            let named = called.named(&foods, sort);
            if !named.is_empty() {
                add(topic, advised(named));
            }
        }
    }
    for batch in &plan.batches {
        let component = &larder.components[batch.component.index()];
        let foods: Vec<FoodId> = batch.foods.iter().map(|&(food, _)| food).collect();
        let advised = |foods: Vec<String>| Advised {
            when: When::new(larder, i32::from(batch.day)),
            batch: true,
            thing: component.name.clone(),
            foods,
        };
        for (topic, sort) in BY_FOOD {
            let named = called.named(&foods, sort);
            if !named.is_empty() {
                add(topic, advised(named));
            }
        }
        if is_cooked(component) {
            let starch = called.named(&foods, Sort::Starch);
            if starch.is_empty() {
                add(Topic::Cooling, advised(Vec::new()));
            } else {
                add(Topic::CookedStarch, advised(starch));
            }
        } else {
            let fresh = called.named(&foods, Sort::GarlicOrHerb);
            let oil = foods.iter().any(|&food| called.is(food, Sort::Oil));
            if oil && !fresh.is_empty() {
                add(Topic::OilWithGarlic, advised(fresh));
            }
        }
    }
    all.into_iter()
        .map(|(topic, mut of)| {
            of.sort();
            AdviceFacts {
                advice: topic.advice(),
                of,
            }
        })
        .collect()
}

/// Advice that hangs on a food alone.
const BY_FOOD: [(Topic, Sort); 3] = [
    (Topic::KidneyBeans, Sort::DryKidneyBeans),
    (Topic::Sprouts, Sort::Sprouts),
    (Topic::CutFruit, Sort::Fruit),
];
