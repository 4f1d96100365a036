//! Turns an [`Explanation`] into text or JSON. Returns strings, prints nothing
//! and works nothing out: figures are only rounded and placed.

mod advice;
mod blocks;
mod calendar;
mod central;
mod csv;
mod foods;
mod grid;
mod imported;
pub mod json;
mod kitchen;
mod linked;
mod measures;
mod names;
mod phrases;
mod pool;
mod prep_words;
mod row_sentences;
mod sentences;
mod sheet;
mod text;
mod trade_sentences;
mod words;

use crate::explain::{Explanation, Row};
use crate::survey::Survey;
use crate::tradeoffs::Tradeoffs;
use names::isolated;

pub use blocks::{
    ComponentSketch, RecipeSketch, component_block, food_block, food_told, recipe_block,
};
pub use calendar::calendar;
pub use central::central;
pub use csv::{leftovers_csv, prices_csv, shopping_csv};
pub use foods::{food, food_list};
pub use imported::imported;
pub use json::{
    check_json, check_schema, json, prep_json, prep_schema, row_json, row_schema, schema,
    tradeoffs_json, tradeoffs_schema,
};
pub use kitchen::{kitchen, prices, put_in};
pub use linked::recipes_json_ld;
pub use sheet::sheet;

// What people read: names written from right to left are isolates in all of it.

/// Returns the whole report, at most 80 characters wide, ending in a line break.
pub fn text(explanation: &Explanation) -> String {
    text::text(&isolated(explanation))
}

/// Returns what stands after the report of a proved week: what changes would cost.
pub fn changes_told(explanation: &Explanation) -> String {
    text::changes_told(&isolated(explanation))
}

/// Returns the shopping list, at most 80 characters wide; the plain report where there is no
/// week.
pub fn list(explanation: &Explanation) -> String {
    text::list(&isolated(explanation))
}

/// Returns the prep plan, at most 80 characters wide; the plain report where there is no week.
pub fn prep(explanation: &Explanation) -> String {
    text::prep(&isolated(explanation))
}

/// Returns the recipes of the week, at most 80 characters wide; the plain report where there
/// is no week.
pub fn recipes(explanation: &Explanation) -> String {
    text::recipes(&isolated(explanation))
}

/// Returns weeks in a row, at most 80 characters wide.
pub fn row(row: &Row) -> String {
    text::row(&isolated(row))
}

/// Returns a pool of recipes, at most 80 characters wide, ending in a line break.
pub fn pool(told: &Survey) -> String {
    pool::pool(told)
}

/// Returns the trade-offs, at most 80 characters wide, ending in a line break.
pub fn tradeoffs(told: &Tradeoffs) -> String {
    text::tradeoffs(&isolated(told))
}
