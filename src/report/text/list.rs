//! The shopping list by itself.

use super::{heading, shopping, text};
use crate::explain::Explanation;

/// Returns the shopping list and the staples to check; the plain report where there is no week.
pub(in super::super) fn list(explanation: &Explanation) -> String {
    let Some(week) = &explanation.week else {
        return text(explanation);
    };
    let mut parts = vec![heading(explanation)];
    parts.extend(shopping::sections(explanation, week));
    parts.join("\n")
}
