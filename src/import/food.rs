//! Finds the row of the food table a line speaks of.

use crate::table::{self, Row};

/// Words that say how a food is cut, chosen or served, not which food it is. They are left out
/// only where the whole name finds no row.
const DESCRIPTIONS: [&str; 52] = [
    "ripe",
    "fresh",
    "freshly",
    "chopped",
    "diced",
    "minced",
    "sliced",
    "shredded",
    "grated",
    "crushed",
    "peeled",
    "cubed",
    "halved",
    "quartered",
    "torn",
    "trimmed",
    "rinsed",
    "drained",
    "washed",
    "finely",
    "coarsely",
    "roughly",
    "thinly",
    "thickly",
    "lightly",
    "packed",
    "heaping",
    "level",
    "large",
    "small",
    "medium",
    "big",
    "good",
    "quality",
    "organic",
    "firmly",
    "loosely",
    "cold",
    "warm",
    "pitted",
    "seeded",
    "seedless",
    "stemmed",
    "cored",
    "baby",
    "squeezed",
    "softened",
    "your",
    "favourite",
    "favorite",
    "very",
    "of",
];

/// How a row was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Match {
    /// Its name or an alias, as written.
    Exact(&'static Row),
    /// The only row left once words of cutting and choosing are taken away.
    Stripped(&'static Row, Vec<String>),
    /// None.
    None,
}

/// Finds the row of a food; `canned` puts rows of tins first.
pub(super) fn find(name: &str, canned: bool) -> Match {
    let name = name.trim();
    if name.is_empty() {
        return Match::None;
    }
    if let Some(row) = whole(name, canned) {
        return Match::Exact(row);
    }
    let (kept, dropped): (Vec<&str>, Vec<&str>) = name
        .split_whitespace()
        .partition(|word| !DESCRIPTIONS.contains(&word.to_lowercase().as_str()));
    let stripped = kept.join(" ");
    if !dropped.is_empty()
        && let Some(row) = whole(&stripped, canned)
    {
        let dropped = dropped.into_iter().map(str::to_owned).collect();
        return Match::Stripped(row, dropped);
    }
    Match::None
}

fn whole(name: &str, canned: bool) -> Option<&'static Row> {
    if !canned {
        return table::find(name);
    }
    // What comes out of a tin, drained first: that is what is eaten.
    [
        format!("{name}, canned, drained"),
        format!("{name}, canned"),
        format!("canned {name}"),
    ]
    .iter()
    .find_map(|name| table::find(name))
}
