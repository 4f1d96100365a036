//! Turns an [`Explanation`](crate::explain::Explanation) into text or JSON. Returns strings, prints nothing
//! and works nothing out: figures are only rounded and placed.

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
mod phrases;
mod prep_words;
mod row_sentences;
mod sentences;
mod sheet;
mod text;
mod trade_sentences;
mod words;

pub use calendar::calendar;
pub use central::central;
pub use csv::{leftovers_csv, shopping_csv};
pub use foods::{food, food_list};
pub use imported::imported;
pub use json::{
    json, prep_json, prep_schema, row_json, row_schema, schema, tradeoffs_json, tradeoffs_schema,
};
pub use kitchen::kitchen;
pub use linked::recipes_json_ld;
pub use sheet::sheet;
pub use text::{changes_told, list, prep, recipes, row, text, tradeoffs};
