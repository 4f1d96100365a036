//! Turns each lunch of a plan into what goes in, how long it takes and what it is worth.

use std::collections::BTreeSet;

use super::days::When;
use super::measured::{Measured, Taken, measured};
use super::uses::{Uses, foods_of, taken};
use crate::larder::{Day, Ingredient, Larder, MILLI};
use crate::plan::{Lunch, Plan};

/// One lunch.
#[derive(Clone, Debug)]
pub struct LunchFacts {
    /// When it is eaten.
    pub when: When,
    /// Its recipe.
    pub recipe: String,
    /// Its form.
    pub form: String,
    /// Its main protein.
    pub protein: Option<String>,
    /// Eaters, thousandths of a portion.
    pub eaters_milli: i64,
    /// Active minutes on the day itself (batches are apart), 1e-9.
    pub minutes_nano: i64,
    /// Worth of the food in it for all eaters, 1e-9 minor units: packs pro rata at the
    /// price of what was opened (stock at its value), staples included, leftovers not.
    pub cost_nano: i64,
    /// The same for a portion of factor 1.
    pub portion_cost_nano: i64,
    /// What each line takes.
    pub lines: Vec<LineFacts>,
    /// Allergens of its foods, from the kitchen's own data, sorted.
    pub allergens: Vec<String>,
}

/// What a line takes.
#[derive(Clone, Debug)]
pub struct LineFacts {
    /// Food or component.
    pub taken: Taken,
    /// Quantity a portion, as the cook wrote it.
    pub written: String,
    /// Milligrams for a portion of factor 1.
    pub portion_mg: i64,
    /// The same, and what measures of it weigh.
    pub portion: Measured,
    /// Milligrams for all eaters.
    pub all_mg: i64,
    /// How many alternatives the line had.
    pub choices: usize,
    /// The first alternative's name, if another was taken.
    pub instead_of: Option<String>,
}

pub(super) fn lunches(larder: &Larder, plan: &Plan, uses: &Uses) -> Vec<LunchFacts> {
    (1..)
        .zip(&plan.lunches)
        .map(|(day, lunch)| one(larder, day, lunch, uses))
        .collect()
}

/// A lunch by itself, for those who eat on the first day; what it costs is left at nothing, as
/// nothing is bought.
pub(super) fn by_itself(larder: &Larder, lunch: &Lunch) -> LunchFacts {
    facts(larder, 1, lunch, 0)
}

fn one(larder: &Larder, day: Day, lunch: &Lunch, uses: &Uses) -> LunchFacts {
    let foods = &uses.lunches[usize::from(day) - 1];
    let cost_nano: i64 = foods
        .iter()
        .map(|(&food, &mg)| uses.value_nano(larder, food, mg))
        .sum();
    facts(larder, day, lunch, cost_nano)
}

fn facts(larder: &Larder, day: Day, lunch: &Lunch, cost_nano: i64) -> LunchFacts {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let eaters_milli = larder.week.eaters_milli[usize::from(day) - 1];
    let per_portion = i128::from(cost_nano) * i128::from(MILLI) / i128::from(eaters_milli.max(1));
    let lines = recipe
        .lines
        .iter()
        .zip(&lunch.taken)
        .map(|(line, &taken)| {
            let alternative = &line.alternatives[usize::from(taken)];
            LineFacts {
                taken: Taken::new(larder, alternative.what),
                written: alternative.written.clone(),
                portion_mg: alternative.mg,
                portion: measured(larder, alternative, alternative.mg),
                all_mg: larder.for_eaters(alternative.mg, day),
                choices: line.alternatives.len(),
                instead_of: (taken > 0).then(|| {
                    Taken::new(larder, line.alternatives[0].what)
                        .name()
                        .to_owned()
                }),
            }
        })
        .collect();
    LunchFacts {
        when: When::new(larder, i32::from(day)),
        recipe: recipe.name.clone(),
        form: larder.forms[recipe.form.index()].clone(),
        protein: recipe.protein.map(|id| larder.proteins[id.index()].clone()),
        eaters_milli,
        minutes_nano: recipe.minutes_nano,
        cost_nano,
        portion_cost_nano: per_portion as i64,
        lines,
        allergens: allergens(larder, lunch).into_iter().collect(),
    }
}

/// Allergens of a lunch's foods, through components too.
pub(super) fn allergens(larder: &Larder, lunch: &Lunch) -> BTreeSet<String> {
    taken(larder, lunch)
        .flat_map(|(what, mg)| match what {
            Ingredient::Food(_) => foods_of(larder, what, mg),
            // A share that rounds to nothing still counts as an allergen.
            Ingredient::Component(id) => larder.components[id.index()].foods.clone(),
        })
        .flat_map(|(food, _)| larder.foods[food.index()].allergens.iter().cloned())
        .collect()
}
