//! Turns an [`Explanation`](crate::explain::Explanation) into text or JSON. Returns strings, prints nothing
//! and works nothing out: figures are only rounded and placed.

mod foods;
mod grid;
pub mod json;
mod kitchen;
mod sentences;
mod text;
mod trade_sentences;
mod words;

pub use foods::{food, food_list};
pub use json::{json, schema, tradeoffs_json, tradeoffs_schema};
pub use kitchen::kitchen;
pub use text::{text, tradeoffs};
