//! Counts what was compared and gathers what is not so.

use std::fmt::Debug;

use serde_json::Value;

/// What was compared of one run.
#[derive(Debug, Default)]
pub struct Check {
    pub compared: usize,
    pub wrong: Vec<String>,
}

impl Check {
    pub fn yes(&mut self, holds: bool, what: impl Into<String>) {
        self.compared += 1;
        if !holds {
            self.wrong.push(what.into());
        }
    }

    pub fn same<T: PartialEq + Debug>(&mut self, what: &str, said: T, is: T) {
        self.compared += 1;
        if said != is {
            self.wrong.push(format!("{what}: said {said:?}, is {is:?}"));
        }
    }
}

/// A whole number of the JSON.
pub fn int(value: &Value) -> i64 {
    value.as_i64().unwrap_or_else(|| panic!("whole: {value}"))
}

/// A decimal number of the JSON in 1e-9. Figures here have no more digits than are exact.
pub fn nano(value: &Value) -> i64 {
    let number = value.as_f64().unwrap_or_else(|| panic!("number: {value}"));
    assert!(
        number.abs() < 4e6,
        "{number} may have more digits than are read"
    );
    (number * 1e9).round() as i64
}

pub fn milli(value: &Value) -> i64 {
    nano(value) / 1_000_000
}

pub fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("text: {value}"))
}

pub fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap_or_else(|| panic!("list: {value}"))
}

pub fn texts(value: &Value) -> Vec<String> {
    list(value).iter().map(|one| text(one).to_owned()).collect()
}

pub fn days(value: &Value) -> Vec<i32> {
    list(value).iter().map(|one| int(one) as i32).collect()
}
