//! How sure the answer is and what it is made of.

use super::super::grid::{self, Lean};
use super::super::{sentences, words};
use super::section::section as titled;
use crate::explain::{Explanation, Verdict, WeekFacts};

pub(super) fn section(explanation: &Explanation, week: &WeekFacts) -> String {
    let rows = parts(explanation, week)
        .into_iter()
        .map(|(name, money)| vec![name.to_owned(), money])
        .collect();
    let mut body = grid::table(&[("Made of", Lean::Left), ("Money", Lean::Right)], rows);
    body += &grid::paragraph(sentences::ROUNDED);
    body += &grid::list(lines(explanation, week));
    titled(title(explanation), &body)
}

/// What the part on the proof is called.
pub(in crate::report) fn title(explanation: &Explanation) -> &'static str {
    match explanation.verdict {
        Verdict::Best => "Why it is the best week there is",
        _ => "How sure",
    }
}

/// The parts of the total and their sum.
pub(in crate::report) fn parts(
    explanation: &Explanation,
    week: &WeekFacts,
) -> Vec<(&'static str, String)> {
    let currency = &explanation.currency;
    let names = [
        "packs bought",
        "staples used, pro rata",
        "what spoils, weighted",
        "price on each food to buy",
        "price on active minutes",
        "price on watched minutes",
        "price on later trips",
        "prices on dishes and days",
        "credit for what is kept",
    ];
    let mut rows: Vec<(&str, String)> = names
        .into_iter()
        .zip(week.parts.each())
        .filter(|&(name, nano)| nano != 0 || name == "packs bought")
        .map(|(name, nano)| (name, words::cash_nano(nano, currency)))
        .collect();
    rows.push((
        "total, wishes priced in",
        words::cash_nano(week.parts.total_nano, currency),
    ));
    rows
}

/// What was proved, how, and what binds.
pub(in crate::report) fn lines(explanation: &Explanation, week: &WeekFacts) -> Vec<String> {
    let mut lines = vec![sentences::verdict(explanation)];
    if explanation.verdict != Verdict::Judged {
        lines.push(sentences::effort(explanation));
    }
    lines.push(sentences::JUDGED.to_owned());
    lines.extend(sentences::aims(
        week,
        explanation.verdict,
        &explanation.currency,
    ));
    lines.extend(sentences::binding(week, &explanation.currency));
    lines
}
