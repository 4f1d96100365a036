//! What each rule asks and how it is loosened, as text.

use super::grid;
use crate::rules::{RULES, RuleDoc};

/// Returns what the rule of a code asks and how to loosen it, or that of all rules in the order in
/// which a week is judged; no such code, no text.
pub fn rules(code: Option<&str>) -> String {
    let told = RULES
        .iter()
        .filter(|rule| code.is_none_or(|code| rule.code == code));
    told.map(one).collect::<Vec<_>>().join("\n")
}

fn one(rule: &RuleDoc) -> String {
    let said = format!("Asks: {}. To loosen it: {}.", rule.asks, rule.loosen);
    format!("{}\n{}", rule.code, grid::paragraph(&said))
}
