//! What the options of a run changed.

use super::super::grid::{self, Lean};
use super::super::{sentences, words};
use super::section::section as titled;
use crate::explain::{Differences, Explanation};

pub(super) fn section(explanation: &Explanation) -> Option<String> {
    let changes = explanation.changes.as_ref()?;
    let mut body = grid::paragraph(&sentences::asked(changes));
    body += &grid::list(sentences::changes(changes, &explanation.currency));
    if let Some(differences) = &changes.differences {
        body += &table(differences);
    }
    Some(titled("What changed", &body))
}

fn table(differences: &Differences) -> String {
    let rows = differences.lunches.iter().map(|change| {
        let after = if change.before == change.after {
            let lines: Vec<String> = change
                .lines
                .iter()
                .map(|(was, is)| format!("{is} for {was}"))
                .collect();
            format!("the same, with {}", words::and(&lines))
        } else {
            change.after.clone()
        };
        vec![words::short(&change.when), change.before.clone(), after]
    });
    let mut body = grid::table(
        &[
            ("Day", Lean::Left),
            ("Before", Lean::Left),
            ("Now", Lean::Left),
        ],
        rows.collect(),
    );
    if !differences.dropped.is_empty() {
        body += &grid::list([format!(
            "Not bought any more: {}.",
            words::and(&differences.dropped)
        )]);
    }
    if !differences.added.is_empty() {
        body += &grid::list([format!(
            "Bought instead: {}.",
            words::and(&differences.added)
        )]);
    }
    body
}
