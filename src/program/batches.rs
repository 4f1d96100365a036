//! Rows of components: what lunches ask for is cooked, in batches that keep until then
//! (section 4, number 3, of the model).
//!
//! A batch too early or too late has no column, so that keeping time needs no row.

use std::collections::BTreeMap;

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE, Terms};
use crate::larder::{ComponentId, Day, RecipeId};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    for (index, ask) in columns.asks.iter().enumerate() {
        if !ask.splits() {
            continue;
        }
        let name = &columns.names.recipes[ask.recipe.index()];
        let shares = ask.shares.iter().map(|&(_, column)| (column, ONE));
        draft.row(
            "component-not-met",
            format!("shared.n{index}.{name}.l{}.d{}", ask.line, ask.lunch),
            shares.chain([(ask.taken, -ONE)]).collect(),
            Sense::Equal,
            0,
        );
    }
    batch_links(columns, draft);
}

/// Shares of a lunch come from a batch that is cooked. One recipe is eaten a day and a line
/// takes one alternative, so the shares of all recipes' first lines with the component add
/// up to at most one; likewise of their second lines.
fn batch_links(columns: &Columns, draft: &mut Draft) {
    let mut rows: BTreeMap<(ComponentId, Day, Day, usize), Terms> = BTreeMap::new();
    let mut lines: BTreeMap<(ComponentId, RecipeId, Day), Vec<usize>> = BTreeMap::new();
    for ask in &columns.asks {
        let seen = lines
            .entry((ask.component, ask.recipe, ask.lunch))
            .or_default();
        if !seen.contains(&ask.line) {
            seen.push(ask.line);
        }
        let place = seen.iter().position(|&line| line == ask.line);
        let place = place.expect("pushed above");
        for &(from, share) in &ask.shares {
            rows.entry((ask.component, from, ask.lunch, place))
                .or_default()
                .push((share, ONE));
        }
    }
    for ((component, from, lunch, place), mut terms) in rows {
        let name = &columns.names.components[component.index()];
        terms.push((columns.cooks[&(component, from)], -ONE));
        draft.row(
            "component-not-met",
            format!("cooked.{name}.d{from}.for{lunch}.k{place}"),
            terms,
            Sense::AtMost,
            0,
        );
    }
}
