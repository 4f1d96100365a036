//! Decimal numbers printed exactly: no binary fraction stands between the sums and the file.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use serde_json::value::RawValue;

/// A whole number of units of ten to the power of minus `places`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exact {
    value: i64,
    places: u8,
}

impl Exact {
    /// Returns thousand-millionths as a decimal number.
    pub fn nano(value: i64) -> Self {
        Self { value, places: 9 }
    }

    /// Returns a whole number.
    pub fn whole(value: i64) -> Self {
        Self { value, places: 0 }
    }

    /// Returns thousandths as a decimal number.
    pub fn milli(value: i64) -> Self {
        Self { value, places: 3 }
    }

    fn text(self) -> String {
        let places = usize::from(self.places);
        let unit = 10_u64.pow(u32::from(self.places));
        if self.places == 0 {
            return self.value.to_string();
        }
        let sign = if self.value < 0 { "-" } else { "" };
        let whole = self.value.unsigned_abs();
        let text = format!("{sign}{}.{:0places$}", whole / unit, whole % unit);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

impl Serialize for Exact {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        RawValue::from_string(self.text())
            .map_err(serde::ser::Error::custom)?
            .serialize(serializer)
    }
}

impl JsonSchema for Exact {
    fn schema_name() -> Cow<'static, str> {
        "Exact".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "number",
            "description": "An exact decimal number; read it as a decimal to keep every digit."
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_digit_is_printed_and_no_other() {
        let print = |exact: Exact| serde_json::to_string(&exact).unwrap();
        assert_eq!(
            print(Exact::nano(9_007_199_254_740_993)),
            "9007199.254740993"
        );
        assert_eq!(print(Exact::nano(-1)), "-0.000000001");
        assert_eq!(print(Exact::nano(0)), "0");
        assert_eq!(print(Exact::nano(i64::MIN)), "-9223372036.854775808");
        assert_eq!(print(Exact::milli(1_250)), "1.25");
        assert_eq!(print(Exact::whole(100)), "100");
    }
}
