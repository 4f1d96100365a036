//! Faults and warnings of kitchen files as text: where, the line itself, what to write.

use std::fmt::Write as _;

use super::words;
use crate::kitchen::{Fault, Source};
use crate::larder::Larder;

/// Longest excerpt of a line, in characters.
const EXCERPT: usize = 120;

/// Returns one paragraph a fault: `file:line:column`, what is wrong, the line, what to
/// write instead. `kind` is `fault` or `warning`.
pub fn faults(kind: &str, faults: &[Fault], sources: &[Source]) -> String {
    let mut text = String::new();
    let mut lines: Option<(&str, Vec<&str>)> = None;
    for fault in faults {
        let place = match (fault.file.as_str(), fault.line) {
            ("", _) => String::new(),
            (file, 0) => format!("{file}: "),
            (file, line) => format!("{file}:{line}:{}: ", fault.column),
        };
        let _ = writeln!(text, "{kind}: {place}{}", fault.what);
        // Faults come file by file, so each file is cut into lines once.
        if lines.as_ref().is_none_or(|(file, _)| *file != fault.file) {
            let source = sources.iter().find(|source| source.name == fault.file);
            let cut = source.map_or_else(Vec::new, |source| source.text.lines().collect());
            lines = Some((&fault.file, cut));
        }
        if let Some(line) = excerpt(lines.as_ref(), fault.line) {
            let _ = writeln!(text, "  {:>4} | {line}", fault.line);
        }
        if !fault.help.is_empty() {
            let _ = writeln!(text, "  instead: {}", fault.help);
        }
    }
    text
}

fn excerpt(lines: Option<&(&str, Vec<&str>)>, line: usize) -> Option<String> {
    let text = lines?.1.get(line.checked_sub(1)?)?;
    let safe: String = text
        .chars()
        .take(EXCERPT)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    Some(safe.trim_end().to_owned()).filter(|text| !text.is_empty())
}

/// Returns how many there are: `2 faults, 1 warning`.
pub fn fault_count(faults: &[Fault], warnings: &[Fault]) -> String {
    format!(
        "{}, {}\n",
        words::count(faults.len() as i64, "fault"),
        words::count(warnings.len() as i64, "warning")
    )
}

/// Returns what a kitchen without faults holds.
pub fn kitchen(larder: &Larder) -> String {
    let count = |n: usize, noun: &str| words::count(n as i64, noun);
    format!(
        "{}: {}, {}, {}, {}, {} on hand; {} to plan\n",
        larder.name,
        count(larder.foods.len(), "food"),
        count(larder.packs.len(), "pack option"),
        count(larder.components.len(), "component"),
        count(larder.recipes.len(), "recipe"),
        count(larder.stock.len(), "unit"),
        count(larder.lunch_count(), "lunch"),
    )
}
