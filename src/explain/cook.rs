//! Turns a plan into what stands on the bench: recipes for all eaters with what measures of
//! each thing weigh, batches as recipes, which food goes into which lunch, and how days of
//! the week lie to the calendar.

use super::days::When;
use super::measured::{MeasuredLine, Taken, measured, name_of, plain};
use super::publish::{self, FoldedBatch, Substitute};
use super::spoken;
use super::uses::Uses;
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{ComponentId, Day, FoodId, Ingredient, Larder, Prose, Step};
use crate::plan::{Batch, Lunch, Plan};

/// What a cook needs at the bench.
#[derive(Clone, Debug)]
pub struct CookFacts {
    /// A recipe a lunch, in day order.
    pub lunches: Vec<RecipeFacts>,
    /// A recipe a batch, in the order of the week's batches.
    pub batches: Vec<RecipeFacts>,
    /// Counted foods and what of them goes into each lunch: those of most lunches first.
    pub reuse: Vec<ReuseRow>,
    /// The day number of the first Monday from the prep day on, 0 to 6.
    pub monday: i32,
}

/// A lunch or a batch as a recipe.
#[derive(Clone, Debug)]
pub struct RecipeFacts {
    /// Recipe or component.
    pub name: String,
    /// The day it is packed or cooked.
    pub when: When,
    /// What goes in.
    pub lines: Vec<MeasuredLine>,
    /// What to do, in the kitchen's words.
    pub steps: Vec<String>,
    /// Equipment.
    pub needs: Vec<String>,
    /// Its batches, scaled to what it takes of them; of a lunch only.
    pub batches: Vec<FoldedBatch>,
    /// What its lines may take instead; of a lunch only.
    pub substitutes: Vec<Substitute>,
    /// What the kitchen tells of it.
    pub prose: Prose,
}

/// A counted food across the week.
#[derive(Clone, Debug)]
pub struct ReuseRow {
    /// The food.
    pub food: String,
    /// Milligrams in each lunch for all eaters, in day order; 0 where it is not used.
    pub lunches_mg: Vec<i64>,
}

pub(super) fn cook(larder: &Larder, plan: &Plan, uses: &Uses) -> CookFacts {
    let allowed = allowed_alternatives(larder);
    let mut batches: Vec<&Batch> = plan.batches.iter().collect();
    let name = |batch: &Batch| &larder.components[batch.component.index()].name;
    batches.sort_by(|a, b| (a.day, name(a)).cmp(&(b.day, name(b))));
    CookFacts {
        lunches: (1..)
            .zip(&plan.lunches)
            .map(|(day, lunch)| {
                let allowed = &allowed.of(lunch.recipe).lines;
                lunch_recipe(larder, (day, lunch), allowed, |what| {
                    cooked_on(larder, plan, what, day)
                })
            })
            .collect(),
        batches: batches
            .into_iter()
            .map(|batch| batch_recipe(larder, batch))
            .collect(),
        reuse: reuse(larder, uses),
        monday: larder.week.calendar.first_monday(),
    }
}

/// A recipe by itself, for those who eat on the first day; `allowed`: what bans leave of its lines.
pub(super) fn alone(larder: &Larder, lunch: &Lunch, allowed: &[Vec<u16>]) -> RecipeFacts {
    lunch_recipe(larder, (1, lunch), allowed, |_| Vec::new())
}

fn lunch_recipe(
    larder: &Larder,
    (day, lunch): (Day, &Lunch),
    allowed: &[Vec<u16>],
    cooked_on: impl Fn(Ingredient) -> Vec<When>,
) -> RecipeFacts {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let lines = recipe
        .lines
        .iter()
        .zip(&lunch.taken)
        .map(|(line, &taken)| {
            let alternative = &line.alternatives[usize::from(taken)];
            MeasuredLine {
                taken: Taken::new(larder, alternative.what),
                instead_of: (taken > 0).then(|| {
                    let first = Taken::new(larder, line.alternatives[0].what);
                    first.name().to_owned()
                }),
                cooked_on: cooked_on(alternative.what),
                amount: measured(larder, alternative, larder.for_eaters(alternative.mg, day)),
            }
        })
        .collect();
    RecipeFacts {
        name: recipe.name.clone(),
        when: When::new(larder, i32::from(day)),
        lines,
        steps: recipe
            .steps
            .iter()
            .filter(|step| {
                let taken = recipe.lines.iter().zip(&lunch.taken);
                let mut taken = taken.map(|(line, &at)| line.alternatives[usize::from(at)].what);
                step.what
                    .is_none_or(|what| taken.any(|other| other == what))
            })
            .map(|step| said(larder, lunch, step))
            .collect(),
        needs: recipe.needs.clone(),
        batches: publish::folded(larder, day, lunch),
        substitutes: publish::substitutes(larder, lunch, allowed),
        prose: recipe.prose.clone(),
    }
}

fn batch_recipe(larder: &Larder, batch: &Batch) -> RecipeFacts {
    let when = When::new(larder, i32::from(batch.day));
    batch_of(larder, batch.component, when, &batch.foods)
}

/// A component as the kitchen writes it.
pub(super) fn as_written(larder: &Larder, id: ComponentId) -> RecipeFacts {
    let foods = larder.component_foods(id, larder.components[id.index()].makes_mg);
    batch_of(larder, id, When::new(larder, 0), &foods)
}

fn batch_of(larder: &Larder, id: ComponentId, when: When, foods: &[(FoodId, i64)]) -> RecipeFacts {
    let component = &larder.components[id.index()];
    let lines = foods
        .iter()
        .map(|&(food, mg)| MeasuredLine {
            taken: Taken::new(larder, Ingredient::Food(food)),
            instead_of: None,
            cooked_on: Vec::new(),
            amount: plain(&larder.foods[food.index()].household, mg),
        })
        .collect();
    RecipeFacts {
        name: component.name.clone(),
        when,
        lines,
        steps: texts(&component.steps),
        needs: component.needs.clone(),
        batches: Vec::new(),
        substitutes: Vec::new(),
        prose: Prose::default(),
    }
}

/// What a lunch's step says, with what was taken in the place of what was first written.
pub(super) fn said(larder: &Larder, lunch: &Lunch, step: &Step) -> String {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let name = |what| name_of(larder, what);
    let lines = recipe.lines.iter().zip(&lunch.taken);
    let names: Vec<(String, String)> = lines
        .map(|(line, &at)| {
            let taken = &line.alternatives[usize::from(at)];
            (name(line.alternatives[0].what), name(taken.what))
        })
        .collect();
    let all: Vec<&str> = names.iter().map(|(_, taken)| taken.as_str()).collect();
    let other = names.iter().filter(|(first, taken)| first != taken);
    let pairs: Vec<(&str, &str)> = other
        .map(|(first, taken)| (first.as_str(), taken.as_str()))
        .collect();
    spoken::chosen(&step.text, &pairs, &all)
}

fn texts<'a>(steps: impl IntoIterator<Item = &'a Step>) -> Vec<String> {
    steps.into_iter().map(|step| step.text.clone()).collect()
}

fn cooked_on(larder: &Larder, plan: &Plan, what: Ingredient, day: Day) -> Vec<When> {
    let Ingredient::Component(component) = what else {
        return Vec::new();
    };
    plan.batches
        .iter()
        .filter(|batch| batch.component == component)
        .filter(|batch| batch.serves.iter().any(|&(served, _)| served == day))
        .map(|batch| When::new(larder, i32::from(batch.day)))
        .collect()
}

fn reuse(larder: &Larder, uses: &Uses) -> Vec<ReuseRow> {
    let mut rows: Vec<ReuseRow> = uses
        .lunches
        .iter()
        .flat_map(|foods| foods.keys())
        .filter(|food| !larder.foods[food.index()].staple)
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .map(|food| ReuseRow {
            food: larder.foods[food.index()].name.clone(),
            lunches_mg: uses
                .lunches
                .iter()
                .map(|foods| foods.get(food).copied().unwrap_or(0))
                .collect(),
        })
        .collect();
    let lunches = |row: &ReuseRow| row.lunches_mg.iter().filter(|&&mg| mg > 0).count();
    rows.sort_by_key(|row| std::cmp::Reverse(lunches(row)));
    rows
}
