//! How sure the answer is and what it is made of.

use super::super::grid::{self, Lean};
use super::super::{sentences, words};
use super::section as titled;
use crate::explain::{Explanation, Verdict, WeekFacts};

pub(super) fn section(explanation: &Explanation, week: &WeekFacts) -> String {
    let currency = &explanation.currency;
    let names = [
        "packs bought",
        "staples used, pro rata",
        "what spoils, weighted",
        "price on each counted food",
        "price on active minutes",
        "price on later trips",
        "day preferences",
        "credit for what is kept",
    ];
    let mut rows: Vec<Vec<String>> = names
        .into_iter()
        .zip(week.parts.each())
        .filter(|&(name, nano)| nano != 0 || name == "packs bought")
        .map(|(name, nano)| vec![name.to_owned(), words::money_nano(nano, currency)])
        .collect();
    rows.push(vec![
        "objective".to_owned(),
        words::money_nano(week.parts.total_nano, currency),
    ]);
    let mut body = grid::table(
        &[("Made of", Lean::Left), (&currency.code, Lean::Right)],
        rows,
    );
    body += &grid::paragraph(sentences::ROUNDED);
    let mut lines = vec![sentences::verdict(explanation)];
    if explanation.verdict != Verdict::Judged {
        lines.push(sentences::effort(explanation));
    }
    lines.push(sentences::JUDGED.to_owned());
    lines.extend(sentences::aims(week, currency));
    lines.extend(sentences::binding(week, currency));
    body += &grid::list(lines);
    let title = match explanation.verdict {
        Verdict::Best => "Why it is the best week there is",
        _ => "How sure",
    };
    titled(title, &body)
}
