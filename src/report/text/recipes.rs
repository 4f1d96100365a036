//! The week's lunches and batches, or all recipes of a kitchen, as recipes for all who eat.

use super::super::grid::{self, Lean};
use super::super::recipe_words;
use super::super::{Layout, Measures, advice, measures, phrases, sentences};
use super::section::section as titled;
use super::{finishers, heading, text};
use crate::explain::{
    BatchRecipe, Collection, Dish, Explanation, FoldedBatch, MeasuredLine, RecipeFacts, WeekFacts,
    dishes,
};
use crate::larder::Currency;
use crate::table::advice::Advice;

/// Returns the recipes of the week, at most 80 characters wide; the plain report where there
/// is no week.
pub(in super::super) fn recipes(explanation: &Explanation, layout: Layout) -> String {
    let Some(week) = &explanation.week else {
        return text(explanation);
    };
    let mut parts = vec![heading(explanation)];
    for dish in dishes(explanation) {
        let title = format!("{}: {}", dish.recipe.when.name, dish.recipe.name);
        // A batch by itself has its advice with it.
        let told = if layout.folded {
            advice_lines(&dish.advice)
        } else {
            advised(week, &dish.recipe, false)
        };
        let body = of_dish(&dish, layout);
        let instead = instead(&dish, layout, &explanation.currency);
        parts.push(titled(&title, &(body + &told + &instead)));
    }
    let batches = week.cook.batches.iter().zip(&week.batches);
    for (recipe, batch) in batches.filter(|_| !layout.folded) {
        let title = format!("Batch, {}: {}", recipe.when.name, recipe.name);
        let head = phrases::batch_head(batch);
        let told = advised(week, recipe, true);
        let body = body(&recipe.lines, &recipe.steps, layout.measures);
        parts.push(titled(&title, &(grid::paragraph(&head) + &body + &told)));
    }
    if let Some(facts) = &explanation.finishers {
        parts.push(finishers::section(facts, &explanation.currency));
    }
    parts.push(grid::list(
        [recipe_words::measures(layout.measures)]
            .into_iter()
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .chain(advice::sources(&week.advice)),
    ));
    parts.join("\n")
}

/// Returns all recipes of a kitchen, at most 80 characters wide.
pub(in super::super) fn collection(collection: &Collection, layout: Layout) -> String {
    let told = recipe_words::collected(collection);
    let mut parts = vec![grid::paragraph(&collection.kitchen) + &grid::paragraph(&told)];
    for dish in &collection.dishes {
        let body = of_dish(dish, layout);
        let cost = recipe_words::cost(dish, &collection.currency);
        let finish = dish.finish.iter();
        let finish = finish.flat_map(|one| recipe_words::finish(one, layout.measures));
        let all = grid::paragraph(&cost)
            + &body
            + &instead(dish, layout, &collection.currency)
            + &labelled("To finish:", finish.collect())
            + &contains(&recipe_words::all_allergens(dish))
            + &grid::paragraph(&format!("A portion: {}", recipe_words::nutrition(dish)))
            + &advice_lines(&dish.advice);
        parts.push(titled(&dish.recipe.name, &all));
    }
    for batch in collection.batches.iter().filter(|_| !layout.folded) {
        parts.push(titled(
            &format!("Batch: {}", batch.recipe.name),
            &of_batch(batch, layout),
        ));
    }
    parts.push(grid::list(
        std::iter::once(recipe_words::measures(layout.measures))
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .chain(recipe_words::sources(collection)),
    ));
    parts.join("\n")
}

fn of_batch(batch: &BatchRecipe, layout: Layout) -> String {
    let recipe = &batch.recipe;
    grid::paragraph(&recipe_words::batch(batch, layout.measures))
        + &body(&recipe.lines, &recipe.steps, layout.measures)
        + &contains(&batch.allergens)
        + &advice_lines(&batch.advice)
}

/// Who it is for, the batches in it, what goes in and what to do.
fn of_dish(dish: &Dish, layout: Layout) -> String {
    let recipe = &dish.recipe;
    let mut told = grid::paragraph(&phrases::lunch_head(&dish.lunch));
    for batch in recipe.batches.iter().filter(|_| layout.folded) {
        told += &folded(batch, layout.measures);
    }
    told + &body(&recipe.lines, &recipe.steps, layout.measures)
}

/// What the kitchen's own alternatives would change.
fn instead(dish: &Dish, layout: Layout, currency: &Currency) -> String {
    let all = dish.recipe.substitutes.iter();
    let all = all.map(|one| recipe_words::substitute(one, currency, layout.measures));
    labelled("Instead:", all.collect())
}

fn folded(batch: &FoldedBatch, which: Measures) -> String {
    let amount = measures::told(&batch.amount, which);
    let head = format!("{}, {amount}:", phrases::capital(&batch.name));
    grid::paragraph(&head) + &body(&batch.lines, &batch.steps, which)
}

fn contains(allergens: &[String]) -> String {
    grid::paragraph(&format!(
        "Contains: {}.",
        recipe_words::allergens(allergens)
    ))
}

fn labelled(label: &str, lines: Vec<String>) -> String {
    if lines.is_empty() {
        return String::new();
    }
    grid::paragraph(label) + &grid::list(lines)
}

fn advice_lines(advice: &[&'static Advice]) -> String {
    grid::list(advice.iter().map(|advice| advice.line.to_owned()))
}

/// The advice that is for a lunch or a batch.
fn advised(week: &WeekFacts, recipe: &RecipeFacts, batch: bool) -> String {
    let lines = advice::of_thing(&week.advice, &recipe.when, batch, &recipe.name);
    grid::list(lines.map(str::to_owned))
}

fn body(lines: &[MeasuredLine], steps: &[String], which: Measures) -> String {
    let headings: &[(&str, Lean)] = match which {
        Measures::Metric => &[("Ingredient", Lean::Left), ("Metric", Lean::Left)],
        Measures::Us => &[("Ingredient", Lean::Left), ("US", Lean::Left)],
        Measures::Both => &[
            ("Ingredient", Lean::Left),
            ("Metric", Lean::Left),
            ("US", Lean::Left),
        ],
    };
    let rows = lines.iter().map(|line| row(line, which)).collect();
    let mut body = grid::table(headings, rows);
    let steps = (1..)
        .zip(steps)
        .map(|(number, step)| vec![format!("{number}."), step.clone()]);
    body += &grid::rows(&[Lean::Right, Lean::Left], steps.collect());
    body
}

fn row(line: &MeasuredLine, which: Measures) -> Vec<String> {
    let mut row = vec![phrases::ingredient(line)];
    if which != Measures::Us {
        row.push(measures::metric(&line.amount));
    }
    if which != Measures::Metric {
        row.push(measures::us(&line.amount));
    }
    row
}
