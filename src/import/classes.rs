//! What words of an ingredient line say beside the food's name: how it is cut, what it went
//! through, what makes no difference.

use crate::table::{Row, name_words};

/// What a word beside the name of a food says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    /// How it is cut: a mass is of what is cut already, a cup of another weight.
    Cut,
    /// Nothing that changes what is weighed.
    Plain,
    /// A kind of it that weighs and feeds about the same: said to the cook.
    Kind,
    /// What it went through: the row must say so too.
    State,
    /// A word nothing is known of.
    Unknown,
}

/// Words of cutting, in the singular, lower case.
const CUT: [&str; 22] = [
    "chopped",
    "diced",
    "minced",
    "sliced",
    "shredded",
    "grated",
    "crushed",
    "cubed",
    "cube",
    "halved",
    "quartered",
    "torn",
    "floret",
    "strip",
    "peeled",
    "cored",
    "mashed",
    "crumbled",
    "flaked",
    "slivered",
    "stripped",
    "packed",
];

/// Words that change nothing of what is weighed.
const PLAIN: [&str; 46] = [
    "ripe",
    "freshly",
    "trimmed",
    "rinsed",
    "drained",
    "washed",
    "finely",
    "fine",
    "coarsely",
    "roughly",
    "thinly",
    "thickly",
    "lightly",
    "level",
    "good",
    "quality",
    "best",
    "organic",
    "natural",
    "firmly",
    "loosely",
    "cold",
    "warm",
    "pitted",
    "stoned",
    "seeded",
    "deseeded",
    "seedless",
    "stemmed",
    "squeezed",
    "softened",
    "melted",
    "beaten",
    "thawed",
    "your",
    "favourite",
    "favorite",
    "very",
    "of",
    "the",
    "plain",
    "mature",
    "floury",
    "waxy",
    "shelled",
    "and",
];

/// Kinds of a food.
const KIND: [&str; 6] = ["baby", "young", "mini", "runny", "new", "thick"];

/// What a food may have gone through.
const STATE: [&str; 24] = [
    "cooked", "boiled", "steamed", "fried", "roasted", "toasted", "baked", "grilled", "canned",
    "dried", "dry", "frozen", "raw", "uncooked", "fresh", "ground", "smoked", "pickled", "salted",
    "unsalted", "juiced", "zested", "unpeeled", "powdered",
];

/// Cuts that weigh the same by the cup, under the word the table has.
const ALIKE: [(&str, &str); 8] = [
    ("diced", "chopped"),
    ("cubed", "cubes"),
    ("cube", "cubes"),
    ("minced", "chopped"),
    ("shredded", "grated"),
    ("grated", "shredded"),
    ("floret", "chopped"),
    ("crumbled", "crumbled"),
];

/// Returns what a word in the form of [`name_words`] says.
pub(super) fn class(word: &str) -> Class {
    if CUT.contains(&word) {
        Class::Cut
    } else if PLAIN.contains(&word) {
        Class::Plain
    } else if KIND.contains(&word) {
        Class::Kind
    } else if STATE.contains(&word) {
        Class::State
    } else {
        Class::Unknown
    }
}

/// Returns the words a line is compared by: as the table compares names, `tinned` as `canned`.
pub(super) fn words(text: &str) -> Vec<String> {
    let mut words = name_words(text);
    for word in &mut words {
        if word == "tinned" {
            "canned".clone_into(word);
        }
    }
    words
}

/// Returns the words of the table for this cut, the word itself first.
pub(super) fn cuts(word: &str) -> impl Iterator<Item = &str> {
    let alike = ALIKE.iter().filter(move |pair| pair.0 == word);
    std::iter::once(word).chain(alike.map(|pair| pair.1))
}

/// Returns whether a food told by these texts (its name, its row's, its pack's) is in the state
/// a line says.
pub(super) fn is_in(state: &str, texts: &[&str]) -> bool {
    let said: Vec<String> = texts.iter().flat_map(|text| words(text)).collect();
    let has = |any: &[&str]| any.iter().any(|word| said.iter().any(|w| w == word));
    match state {
        "raw" | "uncooked" => {
            has(&["raw", "dry", "uncooked"]) || !has(&["cooked", "canned", "roasted", "toasted"])
        }
        "fresh" => !has(&[
            "dried", "dry", "canned", "frozen", "ground", "powder", "can", "tin",
        ]),
        "dry" | "dried" => has(&["dry", "dried"]),
        "cooked" | "boiled" | "steamed" => has(&[state, "cooked"]),
        "canned" => has(&["canned", "can", "tin", "jar"]),
        "ground" | "powdered" => has(&["ground", "powder"]),
        "unsalted" => !has(&["salted"]),
        other => has(&[other]),
    }
}

/// Returns whether a row is of leaves, so that `leaves` beside its name says nothing.
pub(super) fn is_leafy(row: &Row) -> bool {
    ["herbs", "leafy greens"].contains(&row.group)
}
