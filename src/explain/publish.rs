//! Turns a lunch into what those who publish it need: its batches scaled to what it takes of them, and
//! what the kitchen's own alternatives would change in price and nutrition.

use super::measured::{Measured, MeasuredLine, Taken, household, measured, name_of, plain};
use super::uses::foods_of;
use crate::larder::{Alternative, Day, FoodId, Ingredient, Larder, Nutrient};
use crate::plan::Lunch;

/// A batch as a part of one lunch.
#[derive(Clone, Debug)]
pub struct FoldedBatch {
    /// The component.
    pub name: String,
    /// How much of it the lunch takes.
    pub amount: Measured,
    /// What goes into that much.
    pub lines: Vec<MeasuredLine>,
    /// What to do, in the kitchen's words.
    pub steps: Vec<String>,
    /// Minutes by itself of a batch.
    pub passive_minutes: i64,
    /// Active minutes of so much, 1e-9.
    pub minutes_nano: i64,
}

/// Another way to fill a line.
#[derive(Clone, Debug)]
pub struct Substitute {
    /// What the line takes.
    pub taken: String,
    /// What it may take instead.
    pub other: String,
    /// As the cook wrote it, for a portion.
    pub written: String,
    /// The same, and what measures of it weigh.
    pub portion: Measured,
    /// How much dearer a portion is, both at the least price of their packs; 1e-9 minor units.
    pub more_nano: i64,
    /// How much more of these a portion has, thousandths of their units; none where a figure is missing.
    pub more_milli: Vec<(Nutrient, Option<i64>)>,
}

/// Nutrients a substitution is told by.
const TOLD: [Nutrient; 3] = [Nutrient::Energy, Nutrient::Protein, Nutrient::Sodium];

/// The batches of a lunch, scaled to it.
pub(super) fn folded(larder: &Larder, day: Day, lunch: &Lunch) -> Vec<FoldedBatch> {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let taken = recipe.lines.iter().zip(&lunch.taken);
    taken
        .filter_map(|(line, &at)| {
            let entry = &line.alternatives[usize::from(at)];
            let Ingredient::Component(id) = entry.what else {
                return None;
            };
            let mg = larder.for_eaters(entry.mg, day);
            let component = &larder.components[id.index()];
            let food = |(food, mg): (FoodId, i64)| MeasuredLine {
                taken: Taken::new(larder, Ingredient::Food(food)),
                instead_of: None,
                cooked_on: Vec::new(),
                amount: plain(household(larder, Ingredient::Food(food)), mg),
            };
            let grows = i128::from(component.minutes_per_mg_nano) * i128::from(mg);
            Some(FoldedBatch {
                name: component.name.clone(),
                amount: plain(&component.household, mg),
                lines: (larder.component_foods(id, mg).into_iter())
                    .map(food)
                    .collect(),
                steps: component
                    .steps
                    .iter()
                    .map(|step| step.text.clone())
                    .collect(),
                passive_minutes: component.passive_minutes,
                minutes_nano: component.batch_minutes_nano.saturating_add(grows as i64),
            })
        })
        .collect()
}

/// What its lines may take instead, of what bans leave: a food that somebody may not eat is offered
/// to nobody.
pub(super) fn substitutes(larder: &Larder, lunch: &Lunch, allowed: &[Vec<u16>]) -> Vec<Substitute> {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let lines = recipe.lines.iter().zip(&lunch.taken).zip(allowed);
    lines
        .flat_map(|((line, &at), left)| {
            let taken = &line.alternatives[usize::from(at)];
            let others = left
                .iter()
                .map(|&at| &line.alternatives[usize::from(at)])
                .filter(|other| other.what != taken.what);
            others.map(move |other| Substitute {
                taken: name_of(larder, taken.what),
                other: name_of(larder, other.what),
                written: other.written.clone(),
                portion: measured(larder, other, other.mg),
                more_nano: cost(larder, other) - cost(larder, taken),
                more_milli: TOLD
                    .map(|nutrient| {
                        let one = |entry| gives(larder, entry, nutrient);
                        let more = one(other).zip(one(taken));
                        (nutrient, more.map(|(other, taken)| other - taken))
                    })
                    .into(),
            })
        })
        .collect()
}

/// A portion's worth at the least price a milligram of its food is sold for.
pub(super) fn cost(larder: &Larder, entry: &Alternative) -> i64 {
    let of = |(id, mg): (FoodId, i64)| mg.saturating_mul(larder.least_value_nano(id));
    foods_of(larder, entry.what, entry.mg)
        .into_iter()
        .map(of)
        .sum()
}

/// What a portion gives of a nutrient; none where a food has no figure.
fn gives(larder: &Larder, entry: &Alternative, nutrient: Nutrient) -> Option<i64> {
    let foods = foods_of(larder, entry.what, entry.mg);
    let each = foods.into_iter().map(|(id, mg)| {
        let figure = larder.foods[id.index()].nutrients_milli[nutrient.index()]?;
        Some(i128::from(mg) * i128::from(figure))
    });
    // Figures are per 100 g.
    let sum: Option<i128> = each.sum();
    sum.map(|sum| (sum / 100_000) as i64)
}
