//! Turns an [`Explanation`] into text or JSON. Returns strings, prints nothing
//! and works nothing out: figures are only rounded and placed.

mod advice;
mod amounts;
mod blocks;
mod calendar;
mod central;
mod csv;
mod foods;
mod grid;
mod imported;
pub mod json;
mod kitchen;
mod layout;
mod linked;
mod look;
mod measures;
mod names;
mod phrases;
mod pool;
mod prep_words;
mod recipe_pages;
mod recipe_words;
mod row_sentences;
mod rules;
pub(crate) mod sentences;
mod sheet;
mod text;
pub(crate) mod trade_sentences;
pub(crate) mod words;

use crate::explain::{Collection, Explanation, Row};
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
pub use kitchen::{kitchen, price_changes, prices, put_in};
pub use layout::Layout;
pub use linked::recipes_json_ld;
pub use look::{Look, Screen, Tone};
pub use measures::Measures;
pub use recipe_pages::recipe_pages;
pub use rules::rules;
pub use sheet::{in_box, sheet};
pub use text::Part;

// What people read: names written from right to left are isolates in all of it.

/// Returns the whole report, at most 80 characters wide, ending in a line break.
pub fn text(explanation: &Explanation) -> String {
    text::text(&isolated(explanation))
}

/// Returns what stands after the report of a proved week: what changes would cost.
pub fn changes_told(explanation: &Explanation) -> String {
    text::changes_told(&isolated(explanation))
}

/// Returns what can be said of a run without a week before rules that clash are looked for.
pub fn verdict(explanation: &Explanation) -> Screen {
    text::verdict(&isolated(explanation))
}

/// Returns what stands under it: the rules that clash, and the ways out.
pub fn ways_told(explanation: &Explanation) -> String {
    text::ways_told(&isolated(explanation))
}

/// Returns the first screen of a week down to what is cooked when; where there is no week all
/// there is to say.
pub fn first(explanation: &Explanation, look: Look) -> Screen {
    text::first(&isolated(explanation), look)
}

/// Returns what stands under it: what changes would cost, cautions, and where the rest is.
pub fn first_end(explanation: &Explanation, look: Look) -> Screen {
    text::first_end(&isolated(explanation), look)
}

/// Returns parts of the whole report, in its order, under its heading; what options changed and a
/// run without a week are told whatever the parts.
pub fn parts(explanation: &Explanation, wanted: &[Part]) -> String {
    text::parts(&isolated(explanation), wanted)
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
pub fn recipes(explanation: &Explanation, layout: Layout) -> String {
    text::recipes(&isolated(explanation), layout)
}

/// Returns all recipes of a kitchen, at most 80 characters wide.
pub fn collection(collection: &Collection, layout: Layout) -> String {
    text::collection(&isolated(collection), layout)
}

/// Returns weeks in a row, at most 80 characters wide.
pub fn row(row: &Row) -> String {
    text::row(&isolated(row))
}

/// Returns a pool of recipes, at most 80 characters wide, ending in a line break.
pub fn pool(told: &Survey) -> String {
    pool::pool(told)
}

/// Returns the findings of the trade-offs that matter, on one screen.
pub fn trade_screen(told: &Tradeoffs, look: Look) -> Screen {
    text::trade_screen(&isolated(told), look)
}

/// Returns the trade-offs, at most 80 characters wide, ending in a line break.
pub fn tradeoffs(told: &Tradeoffs) -> String {
    text::tradeoffs(&isolated(told))
}
