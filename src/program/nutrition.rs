//! Rows of nutrition: floors and ceilings per portion of factor 1, of each lunch or of the
//! week's mean (section 4, number 7, of the model).
//!
//! An unknown figure counts as nothing, on both sides.

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use crate::larder::{Alternative, Ingredient, Larder, MILLI, Nutrient, NutrientRule, Per};

/// Milligrams of the 100 g a table's figures are for.
const TABLE_PORTION_MG: i128 = 100_000;

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    for (index, rule) in columns.larder.wishes.nutrition.iter().enumerate() {
        let limits = [
            (Sense::AtLeast, rule.at_least_milli),
            (Sense::AtMost, rule.at_most_milli),
        ];
        for (sense, limit_milli) in limits {
            let Some(limit_milli) = limit_milli else {
                continue;
            };
            let limit_nano = i128::from(limit_milli) * (ONE / i128::from(MILLI));
            match rule.per {
                Per::Lunch => each_lunch(columns, index, rule, sense, limit_nano, draft),
                Per::Week => mean(columns, index, rule, sense, limit_nano, draft),
            }
        }
    }
}

/// Returns the code of a floor or ceiling.
fn code(per: Per, sense: Sense) -> &'static str {
    match (per, sense) {
        (Per::Lunch, Sense::AtLeast) => "lunch-below-floor",
        (Per::Lunch, _) => "lunch-above-ceiling",
        (Per::Week, Sense::AtLeast) => "week-below-floor",
        (Per::Week, _) => "week-above-ceiling",
    }
}

fn side(sense: Sense) -> &'static str {
    match sense {
        Sense::AtLeast => "floor",
        _ => "ceiling",
    }
}

/// Each recipe by itself: what its lines take, less the limit, if it stands on that day.
/// Said recipe by recipe, half a lunch of one cannot make up for half of another. Recipes
/// that hold the limit whatever they take need no row.
fn each_lunch(
    columns: &Columns,
    index: usize,
    rule: &NutrientRule,
    sense: Sense,
    limit_nano: i128,
    draft: &mut Draft,
) {
    let larder = columns.larder;
    for recipe in columns.recipes() {
        let lines = &larder.recipes[recipe.index()].lines;
        let worst: i128 = lines
            .iter()
            .map(|line| {
                let contents = line
                    .alternatives
                    .iter()
                    .map(|alternative| content_nano(larder, alternative, rule.nutrient));
                match sense {
                    Sense::AtLeast => contents.min(),
                    _ => contents.max(),
                }
                .unwrap_or(0)
            })
            .sum();
        let holds = match sense {
            Sense::AtLeast => worst >= limit_nano,
            _ => worst <= limit_nano,
        };
        if holds {
            continue;
        }
        let name = &columns.names.recipes[recipe.index()];
        for day in columns.lunch_days() {
            let mut terms = vec![(columns.lunch(recipe, day), -limit_nano)];
            for (line, entry) in lines.iter().enumerate() {
                for (j, alternative) in entry.alternatives.iter().enumerate() {
                    terms.push((
                        columns.takes(recipe, day, line, j),
                        content_nano(larder, alternative, rule.nutrient),
                    ));
                }
            }
            draft.row(
                code(rule.per, sense),
                format!(
                    "{}_{}.n{index}.{name}.d{day}",
                    rule.nutrient.key(),
                    side(sense)
                ),
                terms,
                sense,
                0,
            );
        }
    }
}

/// The mean times the number of lunches, so that nothing is divided.
fn mean(
    columns: &Columns,
    index: usize,
    rule: &NutrientRule,
    sense: Sense,
    limit_nano: i128,
    draft: &mut Draft,
) {
    let larder = columns.larder;
    let terms = columns.alternatives().map(|(recipe, day, line, j)| {
        let alternative = &larder.recipes[recipe.index()].lines[line].alternatives[j];
        (
            columns.takes(recipe, day, line, j),
            content_nano(larder, alternative, rule.nutrient),
        )
    });
    draft.row(
        code(rule.per, sense),
        format!("{}_{}.n{index}.week", rule.nutrient.key(), side(sense)),
        terms.collect(),
        sense,
        limit_nano * i128::from(larder.week.lunches),
    );
}

/// Returns what a portion of an alternative holds, in 1e-9 of the nutrient's unit: whole,
/// since milligrams times thousandths per 100 g are 1e-8 of the unit.
fn content_nano(larder: &Larder, alternative: &Alternative, nutrient: Nutrient) -> i128 {
    let foods = match alternative.what {
        Ingredient::Food(food) => vec![(food, alternative.mg)],
        Ingredient::Component(id) => larder.component_foods(id, alternative.mg),
    };
    let sum: i128 = foods
        .into_iter()
        .map(|(food, mg)| {
            let figure = larder.foods[food.index()].nutrients_milli[nutrient.index()];
            i128::from(mg) * i128::from(figure.unwrap_or(0))
        })
        .sum();
    sum * (ONE / (TABLE_PORTION_MG * i128::from(MILLI)))
}
