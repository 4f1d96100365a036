//! The week, weeks in a row, and the trade-offs, as one JSON object each, and the schemas of these objects.

mod case;
mod check;
mod exact;
mod fill;
mod prep;
mod row;
mod shape;
mod trade;
mod trade_fill;

pub use check::CheckReport;
pub use exact::Exact;
pub use prep::PrepReport;
pub use row::RowReport;
pub use shape::Report;
pub use trade::TradeoffsReport;

use crate::explain::{Explanation, Row};
use crate::kitchen::Read;
use crate::tradeoffs::Tradeoffs;

/// Returns the report as indented JSON, ending in a line break.
pub fn json(explanation: &Explanation) -> String {
    pretty(&fill::report(explanation))
}

/// Returns the JSON Schema of what [`json`] returns.
pub fn schema() -> String {
    pretty(&schemars::schema_for!(Report))
}

/// Returns the prep plan as indented JSON, ending in a line break.
pub fn prep_json(explanation: &Explanation) -> String {
    pretty(&prep::report(explanation))
}

/// Returns the JSON Schema of what [`prep_json`] returns.
pub fn prep_schema() -> String {
    pretty(&schemars::schema_for!(PrepReport))
}

/// Returns weeks in a row as indented JSON, ending in a line break.
pub fn row_json(row: &Row) -> String {
    pretty(&row::report(row))
}

/// Returns the JSON Schema of what [`row_json`] returns.
pub fn row_schema() -> String {
    pretty(&schemars::schema_for!(RowReport))
}

/// Returns what reading a kitchen gave as indented JSON, ending in a line break.
pub fn check_json(read: &Read) -> String {
    pretty(&check::report(read))
}

/// Returns the JSON Schema of what [`check_json`] returns.
pub fn check_schema() -> String {
    pretty(&schemars::schema_for!(CheckReport))
}

/// Returns the trade-offs as indented JSON, ending in a line break.
pub fn tradeoffs_json(told: &Tradeoffs) -> String {
    pretty(&trade_fill::tradeoffs(told))
}

/// Returns the JSON Schema of what [`tradeoffs_json`] returns.
pub fn tradeoffs_schema() -> String {
    pretty(&schemars::schema_for!(TradeoffsReport))
}

fn pretty<T: serde::Serialize>(value: &T) -> String {
    let text = serde_json::to_string_pretty(value).expect("keys are text and numbers are finite");
    text + "\n"
}
