//! The week's lunches and batches as recipes, for all who eat.

use super::super::grid::{self, Lean};
use super::super::{advice, measures, phrases, sentences};
use super::{finishers, heading, section as titled, text};
use crate::explain::{Explanation, MeasuredLine, RecipeFacts, WeekFacts};

/// Returns the recipes of the week, at most 80 characters wide; the plain report where there
/// is no week.
pub(in super::super) fn recipes(explanation: &Explanation) -> String {
    let Some(week) = &explanation.week else {
        return text(explanation);
    };
    let mut parts = vec![heading(explanation)];
    for (i, recipe) in week.cook.lunches.iter().enumerate() {
        let title = format!("{}: {}", recipe.when.name, recipe.name);
        let told = advised(week, recipe, false);
        parts.push(titled(
            &title,
            &(lunch_head(week, i) + &body(recipe) + &told),
        ));
    }
    for (recipe, batch) in week.cook.batches.iter().zip(&week.batches) {
        let title = format!("Batch, {}: {}", recipe.when.name, recipe.name);
        let head = phrases::batch_head(batch);
        let told = advised(week, recipe, true);
        parts.push(titled(
            &title,
            &(grid::paragraph(&head) + &body(recipe) + &told),
        ));
    }
    if let Some(facts) = &explanation.finishers {
        parts.push(finishers::section(facts, &explanation.currency));
    }
    parts.push(grid::list(
        [phrases::MEASURES.to_owned()]
            .into_iter()
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .chain(advice::sources(&week.advice)),
    ));
    parts.join("\n")
}

/// The advice that is for a lunch or a batch.
fn advised(week: &WeekFacts, recipe: &RecipeFacts, batch: bool) -> String {
    let lines = advice::of_thing(&week.advice, &recipe.when, batch, &recipe.name);
    grid::list(lines.map(str::to_owned))
}

fn lunch_head(week: &WeekFacts, day: usize) -> String {
    week.lunches.get(day).map_or(String::new(), |lunch| {
        grid::paragraph(&phrases::lunch_head(lunch))
    })
}

fn body(recipe: &RecipeFacts) -> String {
    let rows = recipe.lines.iter().map(row).collect();
    let mut body = grid::table(
        &[
            ("Ingredient", Lean::Left),
            ("Metric", Lean::Left),
            ("US", Lean::Left),
        ],
        rows,
    );
    let steps = (1..)
        .zip(&recipe.steps)
        .map(|(number, step)| vec![format!("{number}."), step.clone()]);
    body += &grid::rows(&[Lean::Right, Lean::Left], steps.collect());
    body
}

fn row(line: &MeasuredLine) -> Vec<String> {
    vec![
        phrases::ingredient(line),
        measures::metric(&line.amount),
        measures::us(&line.amount),
    ]
}
