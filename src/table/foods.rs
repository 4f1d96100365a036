//! All foods of the table, and those of the release before that it has no more.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::row::{self, RELEASE, Row};
use super::{parse, yields};

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let mut rows = parse::whole("food table", row::rows(include_str!("foods.tsv")));
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
