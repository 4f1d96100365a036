//! The built-in food table: plain foods, their nutrients, household measures and yields.
//!
//! Every figure is carried over from the national nutrient database named in [`RELEASE`]; each row
//! keeps that database's food number as its source. Names, aliases and groups are our own. A value
//! the source does not give is absent, never zero.

mod parse;
mod search;
mod wording;
mod yields;

pub mod advice;
pub mod allergens;
pub mod keeper;
pub mod keeping;
pub mod kinds;
pub mod packs;
pub mod pattern;
pub mod practice;
pub mod reference;
pub mod units;

use std::collections::HashMap;
use std::sync::LazyLock;

use crate::larder::NUTRIENTS;

pub use search::{find, near, search, words as name_words};

/// The published table all rows are carried over from.
pub const RELEASE: &str =
    "USDA National Nutrient Database for Standard Reference, Release 28 (2015)";

/// A food of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Five-digit food number of the source. A suffix of ours (`02047-coarse`) marks a second row
    /// with the same nutrient figures bought or measured another way.
    pub number: &'static str,
    /// Our name for it.
    pub name: &'static str,
    /// The group it is listed in.
    pub group: &'static str,
    /// Whether it was named by hand: the plain foods a cook mostly means, found before the others.
    pub named: bool,
    /// Other names a cook might type. No two rows answer to the same name.
    pub aliases: Vec<&'static str>,
    /// Thousandths of each nutrient's unit per 100 g of the edible portion, in the order of
    /// `Nutrient::ALL`; `None` where the source gives no value.
    pub nutrients_milli: [Option<i64>; NUTRIENTS],
    /// Edible share of the food as purchased in thousandths of a percent: 100 less the source's
    /// refuse. 100 000 when all of it is edible.
    pub yield_milli_percent: i64,
    /// Household measures, the volume measures first.
    pub measures: Vec<Measure>,
    /// Other published yields of this food, for information; `yield_milli_percent` is the one used.
    pub other_yields: Vec<OtherYield>,
    /// The published table, its release and the food number.
    pub source: String,
    /// What to know about the row, where its figures are not the plain ones of the source.
    pub note: Option<&'static str>,
}

/// A household measure of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measure {
    /// The cook's word in the singular: `cup`, `cup chopped`, `piece`, `clove`.
    pub name: String,
    /// Edible milligrams of one, rounded down.
    pub mg: i64,
    /// What it stands for (`as medium`), how large it is, or that no source gives it.
    pub note: Option<&'static str>,
}

/// A published yield that differs from the one the table uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherYield {
    /// From which state to which, and how it was prepared.
    pub what: &'static str,
    /// Thousandths of a percent by weight.
    pub milli_percent: i64,
    /// Where it was published.
    pub source: &'static str,
}

impl Row {
    /// Returns the measure of this name, singular, in lower case.
    pub fn measure(&self, name: &str) -> Option<&Measure> {
        self.measures.iter().find(|m| m.name == name)
    }
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let mut rows = parse::whole("food table", parse::rows(include_str!("foods.tsv")));
    let yields = yields::attach(&mut rows, include_str!("yields.tsv"));
    parse::whole("table of yields", yields);
    rows
});

/// Returns all rows, group by group.
pub fn rows() -> &'static [Row] {
    &ROWS
}

static BY_NUMBER: LazyLock<HashMap<&'static str, usize>> = LazyLock::new(|| {
    let mut places = HashMap::new();
    for (at, row) in rows().iter().enumerate() {
        places
            .entry(&row.number[..row.number.len().min(5)])
            .or_insert(at);
    }
    places
});

/// Returns the row that a food's figures come from, told by the source a kitchen's food carries.
pub fn row_of(source: &str) -> Option<&'static Row> {
    let rest = source.strip_prefix(RELEASE)?.strip_prefix(", food ")?;
    rows().get(*BY_NUMBER.get(rest.get(..5)?)?)
}

/// A food that the release before had and this one has not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gone {
    /// Its number there.
    pub number: &'static str,
    /// Its name there.
    pub name: &'static str,
    /// The row nearest to it.
    pub nearest: &'static str,
    /// How near.
    pub note: &'static str,
}

static GONE: LazyLock<Vec<Gone>> = LazyLock::new(|| {
    let read = parse::lines(include_str!("gone.tsv"), |line| {
        let cells: Vec<&'static str> = line.split('\t').collect();
        let &[number, name, nearest, note] = cells.as_slice() else {
            return None;
        };
        Some(Gone {
            number,
            name,
            nearest,
            note,
        })
    });
    parse::whole("table of dropped foods", read)
});

/// Returns the food of this number, if Release 26 had it and Release 28 has not.
pub fn gone(number: &str) -> Option<Gone> {
    GONE.iter().find(|gone| gone.number == number).copied()
}

/// Returns a row's facts as printable pairs of label and value, units included.
pub fn describe(row: &Row) -> Vec<(String, String)> {
    parse::describe(row)
}
