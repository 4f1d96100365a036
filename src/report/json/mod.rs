//! The week as one JSON object, and the schema of that object.

mod exact;
mod fill;
mod shape;

pub use exact::Exact;
pub use shape::Report;

use crate::explain::Explanation;

/// Returns the report as indented JSON, ending in a line break.
pub fn json(explanation: &Explanation) -> String {
    pretty(&fill::report(explanation))
}

/// Returns the JSON Schema of what [`json`] returns.
pub fn schema() -> String {
    pretty(&schemars::schema_for!(Report))
}

fn pretty<T: serde::Serialize>(value: &T) -> String {
    let text = serde_json::to_string_pretty(value).expect("keys are text and numbers are finite");
    text + "\n"
}
