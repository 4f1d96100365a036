//! A food as the download has it.

use crate::larder::{NUTRIENTS, Nutrient};

/// A food as the download has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CentralFood {
    /// Its number there.
    pub fdc_id: u64,
    /// Its description, on one line.
    pub description: String,
    /// foundation_food, sr_legacy_food, survey_fndds_food, branded_food...
    pub data_type: String,
    /// As written; may be empty.
    pub published: String,
    /// Thousandths of each nutrient's unit per 100 g, in the order of `Nutrient::ALL`; `None`
    /// where nothing is given or what is given is in doubt.
    pub nutrients_milli: [Option<i64>; NUTRIENTS],
    /// Figures that stand in for another.
    pub stands: Vec<Stand>,
    /// Figures that were not taken.
    pub doubtful: Vec<Doubtful>,
    /// Household measures.
    pub portions: Vec<Portion>,
}

/// A figure that stands in for the usual one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stand {
    /// Of which nutrient.
    pub nutrient: Nutrient,
    /// What it is called in the download.
    pub taken: String,
}

/// A figure that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubtful {
    /// Of which nutrient.
    pub nutrient: Nutrient,
    /// The figure as written, and why it was not taken.
    pub why: String,
}

/// A household measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Portion {
    /// The measure as the download says it: number, unit, words.
    pub written: String,
    /// The name a recipe can use and the milligrams of one, rounded down; or why there is none.
    pub measure: Result<(String, i64), &'static str>,
}
