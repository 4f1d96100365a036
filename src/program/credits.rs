//! Rows of food groups and shares of energy: floors and ceilings per portion of factor 1, of each
//! lunch or of the week's sum (rules after those of nutrition in the model).
//!
//! Rows are in thousandths of the rule's unit, so that every coefficient is a whole billionth.

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use crate::larder::{Alternative, CreditRule, Credited, Ingredient, Larder, MILLI, Per};

/// Milligrams of the 100 g figures are for.
const TABLE_PORTION_MG: i128 = 100_000;

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    for (index, rule) in columns.larder.wishes.credits.iter().enumerate() {
        let limits = [
            (Sense::AtLeast, rule.at_least_micro),
            (Sense::AtMost, rule.at_most_micro),
        ];
        for (sense, limit_micro) in limits {
            let Some(limit_micro) = limit_micro else {
                continue;
            };
            let limit_nano = i128::from(limit_micro) * (ONE / i128::from(MILLI));
            let name = format!("credit{index}_{}", side(sense));
            match rule.per {
                Per::Lunch => each_lunch(columns, rule, sense, limit_nano, &name, draft),
                Per::Week => sum(columns, rule, sense, limit_nano, &name, draft),
            }
        }
    }
}

fn side(sense: Sense) -> &'static str {
    match sense {
        Sense::AtLeast => "floor",
        _ => "ceiling",
    }
}

/// Returns the code of a floor or ceiling.
fn code(rule: &CreditRule, sense: Sense) -> &'static str {
    match (&rule.what, rule.per, sense) {
        (Credited::EnergyShare { .. }, Per::Lunch, _) => "lunch-over-energy-share",
        (Credited::EnergyShare { .. }, Per::Week, _) => "week-over-energy-share",
        (Credited::Group { .. }, Per::Lunch, Sense::AtLeast) => "lunch-lacks-credit",
        (Credited::Group { .. }, Per::Lunch, _) => "lunch-over-credit",
        (Credited::Group { .. }, Per::Week, Sense::AtLeast) => "week-lacks-credit",
        (Credited::Group { .. }, Per::Week, _) => "week-over-credit",
    }
}

/// Each recipe by itself, as with nutrients: half a lunch of one makes up for no half of another.
fn each_lunch(
    columns: &Columns,
    rule: &CreditRule,
    sense: Sense,
    limit_nano: i128,
    name: &str,
    draft: &mut Draft,
) {
    for recipe in columns.recipes() {
        let lines = &columns.larder.recipes[recipe.index()].lines;
        let slug = &columns.names.recipes[recipe.index()];
        for day in columns.lunch_days() {
            let mut terms = vec![(columns.lunch(recipe, day), -limit_nano)];
            for (line, entry) in lines.iter().enumerate() {
                for (j, alternative) in entry.alternatives.iter().enumerate() {
                    let content = content_nano(columns.larder, alternative, rule);
                    terms.push((columns.takes(recipe, day, line, j), content));
                }
            }
            let name = format!("{name}.{slug}.d{day}");
            draft.row(code(rule, sense), name, terms, sense, 0);
        }
    }
}

fn sum(
    columns: &Columns,
    rule: &CreditRule,
    sense: Sense,
    limit_nano: i128,
    name: &str,
    draft: &mut Draft,
) {
    let terms = columns.alternatives().map(|(recipe, day, line, j)| {
        let alternative = &columns.larder.recipes[recipe.index()].lines[line].alternatives[j];
        let content = content_nano(columns.larder, alternative, rule);
        (columns.takes(recipe, day, line, j), content)
    });
    let name = format!("{name}.week");
    draft.row(code(rule, sense), name, terms.collect(), sense, limit_nano);
}

/// Returns what a portion of an alternative gives, in 1e-9 of a thousandth of the unit: whole,
/// since milligrams times millionths per 100 g are 1e-8 of it.
fn content_nano(larder: &Larder, alternative: &Alternative, rule: &CreditRule) -> i128 {
    let foods = match alternative.what {
        Ingredient::Food(food) => vec![(food, alternative.mg)],
        Ingredient::Component(id) => larder.component_foods(id, alternative.mg),
    };
    let sum: i128 = foods
        .into_iter()
        .map(|(food, mg)| i128::from(mg) * i128::from(rule.figures_micro[food.index()]))
        .sum();
    sum * (ONE / (TABLE_PORTION_MG * i128::from(MILLI)))
}
