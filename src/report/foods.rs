//! The food table as text: a list of rows, or one row with all it knows.

use super::grid::{self, Lean};
use super::words;
use crate::larder::Nutrient;
use crate::table::allergens::offered;
use crate::table::keeping::{COOKED_DAYS, REFRIGERATOR_CELSIUS};
use crate::table::kinds::kind_of;
use crate::table::{RELEASE, Row, describe, keeper};

/// Returns the rows found, one a line.
pub fn food_list(rows: &[&Row]) -> String {
    let of = |row: &Row, nutrient: Nutrient| {
        row.nutrients_milli[nutrient.index()].map_or("-".to_owned(), words::amount)
    };
    let lines = rows
        .iter()
        .map(|row| {
            vec![
                row.number.to_owned(),
                row.name.to_owned(),
                row.group.to_owned(),
                of(row, Nutrient::Energy),
                of(row, Nutrient::Protein),
            ]
        })
        .collect();
    let mut text = grid::table(
        &[
            ("Number", Lean::Left),
            ("Name", Lean::Left),
            ("Group", Lean::Left),
            ("kcal", Lean::Right),
            ("Prot g", Lean::Right),
        ],
        lines,
    );
    text += &grid::paragraph(&format!(
        "{}, per 100 g of the edible portion. {RELEASE}. `scant foods NUMBER` shows one \
         with its measures and all its figures.",
        words::count(rows.len() as i64, "food")
    ));
    text
}

/// How many other rows are named beside the one shown.
const OTHERS: usize = 6;

/// Returns all that is known of a row, the line that uses it in a kitchen file, and the first of
/// the other rows that answer to the same words.
pub fn food(row: &Row, others: &[&Row]) -> String {
    let pairs = describe(row)
        .into_iter()
        .map(|(label, value)| vec![label, value])
        .collect();
    let mut text = grid::rows(&[Lean::Left, Lean::Left], pairs);
    text += &grid::paragraph(&format!(
        "In a kitchen file: table: \"{}\" (a dash or a missing figure is unknown, not zero).",
        row.number
    ));
    if offered(row.name).is_some() {
        text += &grid::paragraph(
            "Allergens are offered by the kind of food, of the lists of the European Union and the \
             United States; a kitchen's own `allergens` alone count. What a maker adds, and traces (\"may \
             contain\"), stand on the label: read it.",
        );
    }
    if kind_of(row.name).is_some_and(|kind| !kind.described().is_empty()) {
        text += &grid::paragraph(&format!(
            "Keeping times are for a refrigerator at {REFRIGERATOR_CELSIUS} C or below, the shortest of \
             what is published; cooked food keeps {COOKED_DAYS} days there at most. The date on the pack \
             and your local food code come first. {}.",
            keeper::SOURCE
        ));
    }
    if !others.is_empty() {
        let named: Vec<String> = others
            .iter()
            .take(OTHERS)
            .map(|other| format!("{} ({})", other.name, other.number))
            .collect();
        let more = others.len() - named.len();
        let rest = if more == 0 {
            String::new()
        } else {
            format!("; and {more} more")
        };
        text += &grid::paragraph(&format!(
            "Other rows with these words: {}{rest}.",
            named.join("; ")
        ));
    }
    text
}
