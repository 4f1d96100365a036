//! Turns an [`Explanation`](crate::explain::Explanation) into text or JSON. Returns strings, prints nothing
//! and works nothing out: figures are only rounded and placed.

mod faults;
mod foods;
mod grid;
pub mod json;
mod sentences;
mod text;
mod words;

pub use faults::{fault_count, faults, kitchen};
pub use foods::{food, food_list};
pub use json::{json, schema};
pub use text::text;
