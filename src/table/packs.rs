//! Usual packs, and what is left of a tin once it is drained.

use std::sync::LazyLock;

use super::parse::{self, milli};
use super::storage::Tier;

/// Sources of `packs.tsv`, by their letter there.
const SOURCES: [(&str, &str, Tier); 5] = [
    (
        "R",
        "USDA National Nutrient Database for Standard Reference, Release 28 (2015), household measures",
        Tier::Government,
    ),
    (
        "F",
        "USDA Food Buying Guide for Child Nutrition Programs, Section 1",
        Tier::Government,
    ),
    (
        "M",
        "Maine Administrative Code 01-001 ch. 336, least drained weight",
        Tier::Government,
    ),
    (
        "E",
        "Can sizes call for translation, column of K-State Research and Extension, 2009",
        Tier::Extension,
    ),
    ("C", "common practice, no source", Tier::Memory),
];

/// A usual pack of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsualPack {
    /// The food, in our words.
    pub food: &'static str,
    /// Rows of the food table it is told of; none where the source gives none.
    pub numbers: Vec<&'static str>,
    /// `tinned`, `frozen`, `dry`...
    pub kind: &'static str,
    /// The pack.
    pub pack: &'static str,
    /// Its size in US units, as told or worked out.
    pub us_size: &'static str,
    /// Grams, as told: a figure, a range or a list.
    pub grams: &'static str,
    /// Whether the grams are what is left when drained, not what the pack holds.
    pub drained: bool,
    /// Grams left when drained, as told.
    pub drained_grams: &'static str,
    /// Their share in thousandths of a percent, rounded in the source to a whole percent.
    pub drained_milli_percent: Option<i64>,
    /// How far to trust it.
    pub tier: Tier,
    /// Where it was published.
    pub source: &'static str,
    /// What else to know.
    pub note: &'static str,
}

static PACKS: LazyLock<Vec<UsualPack>> = LazyLock::new(|| {
    let read = parse::lines(include_str!("packs.tsv"), pack);
    parse::whole("table of usual packs", read)
});

fn pack(line: &'static str) -> Option<UsualPack> {
    let cells: Vec<&'static str> = line.split('\t').collect();
    let &[
        food,
        numbers,
        kind,
        pack,
        us_size,
        grams,
        basis,
        drained_grams,
        share,
        source,
        note,
    ] = cells.as_slice()
    else {
        return None;
    };
    let &(_, source, tier) = SOURCES.iter().find(|s| s.0 == source)?;
    Some(UsualPack {
        food,
        numbers: numbers.split_whitespace().collect(),
        kind,
        pack,
        us_size,
        grams,
        drained: basis == "drained",
        drained_grams,
        drained_milli_percent: if share.is_empty() {
            None
        } else {
            Some(milli(share)?)
        },
        tier,
        source,
        note,
    })
}

/// Returns all usual packs.
pub fn packs() -> &'static [UsualPack] {
    &PACKS
}

/// Returns the packs told of a row of the food table.
pub fn packs_of(number: &str) -> impl Iterator<Item = &'static UsualPack> + use<'_> {
    PACKS.iter().filter(move |p| p.numbers.contains(&number))
}
