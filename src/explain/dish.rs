//! Recipes as those who publish them need them, each whole by itself: the lunches of a week, or
//! every recipe of a kitchen; and the batches in them as the kitchen writes them.

use std::collections::BTreeSet;

use super::Explanation;
use super::advice::{AdviceFacts, advice};
use super::cook::{RecipeFacts, alone, as_written};
use super::days::When;
use super::finishers::{FinishedLunch, all_finishers};
use super::lunches::{LunchFacts, by_itself};
use super::nutrition::{Amount, nutrition};
use super::publish::cost;
use crate::larder::allowed::{AllowedRecipe, allowed_alternatives};
use crate::larder::{ComponentId, Currency, Ingredient, Larder, Nutrient, RecipeId};
use crate::plan::{Batch, Lunch, Plan};
use crate::table::advice::Advice;

/// Recipes to be published.
#[derive(Clone, Debug)]
pub struct Collection {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: Currency,
    /// Whether they are the lunches of one week, not all recipes of the kitchen.
    pub of_week: bool,
    /// In the order of the week, or by name.
    pub dishes: Vec<Dish>,
    /// The components in them, each once, by name.
    pub batches: Vec<BatchRecipe>,
    /// Recipes of the kitchen that its bans leave no way to make.
    pub left_out: Vec<String>,
}

/// A lunch and all there is to say of it by itself.
#[derive(Clone, Debug)]
pub struct Dish {
    /// The day it is packed; none outside of a week.
    pub when: Option<When>,
    /// What goes in and what to do, for all who eat.
    pub recipe: RecipeFacts,
    /// Portions, minutes, allergens, and what a portion costs: in a week at the price of what was
    /// opened, else at the least price of the packs, each pro rata.
    pub lunch: LunchFacts,
    /// Nutrients of a portion of factor 1, in table order.
    pub nutrition: Vec<(Nutrient, Amount)>,
    /// Advice for it and for the batches in it, the gravest first.
    pub advice: Vec<&'static Advice>,
    /// What goes on top, if that was asked for.
    pub finish: Option<FinishedLunch>,
}

/// A batch as the kitchen writes it.
#[derive(Clone, Debug)]
pub struct BatchRecipe {
    /// What goes in and what to do.
    pub recipe: RecipeFacts,
    /// Finished milligrams.
    pub makes_mg: i64,
    /// Days after cooking on which it may still be eaten.
    pub keeps: i32,
    /// Active minutes, 1e-9.
    pub minutes_nano: i64,
    /// Minutes by itself.
    pub passive_minutes: i64,
    /// Allergens of its foods, from the kitchen's own data, sorted.
    pub allergens: Vec<String>,
    /// Advice for it, the gravest first.
    pub advice: Vec<&'static Advice>,
}

/// Returns the lunches of a week in day order; none without a week.
pub fn dishes(told: &Explanation) -> Vec<Dish> {
    let Some(week) = &told.week else {
        return Vec::new();
    };
    let lunches = week.cook.lunches.iter().zip(&week.lunches).enumerate();
    let dish = |(day, (recipe, lunch)): (usize, (&RecipeFacts, &LunchFacts))| Dish {
        when: Some(recipe.when.clone()),
        nutrition: week
            .nutrition
            .iter()
            .filter_map(|facts| Some((facts.nutrient, facts.lunches.get(day)?.clone())))
            .collect(),
        advice: advice_of(&week.advice, recipe),
        finish: told.finishers.as_ref().and_then(|facts| {
            let mut all = facts.lunches.iter();
            all.find(|finished| finished.when == lunch.when).cloned()
        }),
        recipe: recipe.clone(),
        lunch: lunch.clone(),
    };
    lunches.map(dish).collect()
}

/// Returns the advice for a lunch and for the batches it takes from.
fn advice_of(all: &[AdviceFacts], recipe: &RecipeFacts) -> Vec<&'static Advice> {
    let cooked: BTreeSet<(&When, &str)> = recipe
        .lines
        .iter()
        .flat_map(|line| line.cooked_on.iter().map(|when| (when, line.taken.name())))
        .collect();
    let mine = all.iter().filter(|facts| {
        facts.of.iter().any(|of| {
            if of.batch {
                cooked.contains(&(&of.when, of.thing.as_str()))
            } else {
                of.when == recipe.when && of.thing == recipe.name
            }
        })
    });
    mine.map(|facts| facts.advice).collect()
}

/// Returns the recipes of a week.
pub fn of_week(larder: &Larder, told: &Explanation) -> Collection {
    let dishes = dishes(told);
    Collection {
        kitchen: told.kitchen.clone(),
        currency: told.currency.clone(),
        of_week: true,
        batches: batches_of(larder, &dishes),
        dishes,
        left_out: Vec::new(),
    }
}

/// Returns every recipe that bans leave a way to make, each line with the first alternative they
/// leave, for those who eat on the first day; `finished`: with all its finishers.
pub fn collection(larder: &Larder, finished: bool) -> Collection {
    let allowed = allowed_alternatives(larder);
    let (mut dishes, mut left_out) = (Vec::new(), Vec::new());
    for index in 0..larder.recipes.len() {
        let id = RecipeId::new(index);
        match first_way(allowed.of(id)) {
            Some(taken) => {
                let lunch = Lunch { recipe: id, taken };
                dishes.push(dish(larder, lunch, &allowed.of(id).lines, finished));
            }
            None => left_out.push(larder.recipes[index].name.clone()),
        }
    }
    Collection {
        kitchen: larder.name.clone(),
        currency: larder.currency.clone(),
        of_week: false,
        batches: batches_of(larder, &dishes),
        dishes,
        left_out,
    }
}

/// The first alternative of each line that bans leave.
fn first_way(allowed: &AllowedRecipe) -> Option<Vec<u16>> {
    let lines = allowed.lines.iter();
    lines
        .map(|left| left.first().copied().filter(|_| !allowed.banned))
        .collect()
}

fn dish(larder: &Larder, lunch: Lunch, allowed: &[Vec<u16>], finished: bool) -> Dish {
    let recipe = alone(larder, &lunch, allowed);
    let mut facts = by_itself(larder, &lunch);
    let finish = finished.then(|| all_finishers(larder, &lunch)).flatten();
    let entries = larder.recipes[lunch.recipe.index()]
        .lines
        .iter()
        .zip(&lunch.taken)
        .map(|(line, &at)| &line.alternatives[usize::from(at)]);
    facts.portion_cost_nano = entries
        .clone()
        .map(|entry| cost(larder, entry))
        .fold(0, i64::saturating_add);
    let batches = entries.filter_map(|entry| match entry.what {
        Ingredient::Component(id) => Some(batch(larder, id, larder.for_eaters(entry.mg, 1))),
        Ingredient::Food(_) => None,
    });
    let plan = Plan {
        batches: batches.collect(),
        lunches: vec![lunch],
        purchases: Vec::new(),
        openings: Vec::new(),
    };
    Dish {
        when: None,
        nutrition: nutrition(larder, &plan)
            .into_iter()
            .filter_map(|facts| Some((facts.nutrient, facts.lunches.into_iter().next()?)))
            .collect(),
        advice: advice(larder, &plan)
            .iter()
            .map(|facts| facts.advice)
            .collect(),
        recipe,
        lunch: facts,
        finish,
    }
}

fn batch(larder: &Larder, component: ComponentId, mg: i64) -> Batch {
    Batch {
        component,
        day: 0,
        serves: vec![(1, mg)],
        foods: larder.component_foods(component, mg),
    }
}

fn batches_of(larder: &Larder, dishes: &[Dish]) -> Vec<BatchRecipe> {
    let names: BTreeSet<&str> = dishes
        .iter()
        .flat_map(|dish| &dish.recipe.batches)
        .map(|batch| batch.name.as_str())
        .collect();
    let at = |name: &str| {
        let mut all = larder.components.iter();
        all.position(|component| component.name == name)
    };
    names
        .into_iter()
        .filter_map(|name| Some(batch_recipe(larder, at(name)?)))
        .collect()
}

fn batch_recipe(larder: &Larder, at: usize) -> BatchRecipe {
    let (id, component) = (ComponentId::new(at), &larder.components[at]);
    let makes = component.makes_mg;
    let grows = component.minutes_per_mg_nano.saturating_mul(makes);
    let plan = Plan {
        lunches: Vec::new(),
        batches: vec![batch(larder, id, makes)],
        purchases: Vec::new(),
        openings: Vec::new(),
    };
    // A share that rounds to nothing still counts as an allergen.
    let foods = component.foods.iter();
    let allergens: BTreeSet<&String> = foods
        .flat_map(|(food, _)| &larder.foods[food.index()].allergens)
        .collect();
    BatchRecipe {
        allergens: allergens.into_iter().cloned().collect(),
        recipe: as_written(larder, id),
        makes_mg: makes,
        keeps: component.keeps,
        minutes_nano: component.batch_minutes_nano.saturating_add(grows),
        passive_minutes: component.passive_minutes,
        advice: advice(larder, &plan)
            .iter()
            .map(|facts| facts.advice)
            .collect(),
    }
}
