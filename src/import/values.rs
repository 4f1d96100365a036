//! Reads JSON, counting its values before any of them is kept.

use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::Value;
use std::fmt;

use super::MOST_VALUES;

/// Why a text gives no value.
#[derive(Debug)]
pub(super) enum Unread {
    /// It is no JSON.
    NoJson(serde_json::Error),
    /// All read so far hold too many values.
    TooMany,
}

/// Reads a text; `count` is how many values were read before, and is raised by those of this one.
pub(super) fn read(text: &str, count: &mut usize) -> Result<Value, Unread> {
    let mut json = serde_json::Deserializer::from_str(text);
    let counted = Count(count).deserialize(&mut json);
    if *count > MOST_VALUES {
        return Err(Unread::TooMany);
    }
    counted.map_err(Unread::NoJson)?;
    serde_json::from_str(text).map_err(Unread::NoJson)
}

/// Counts values, keeping none of them.
struct Count<'a>(&'a mut usize);

impl<'de> DeserializeSeed<'de> for Count<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        *self.0 += 1;
        if *self.0 > MOST_VALUES {
            return Err(D::Error::custom("too many values"));
        }
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Count<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }

    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }

    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }

    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }

    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }

    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        while seq.next_element_seed(Count(self.0))?.is_some() {}
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        while map.next_key::<serde::de::IgnoredAny>()?.is_some() {
            map.next_value_seed(Count(self.0))?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_counted_over_all_texts() {
        let mut count = 0;
        let text = "{\"a\": [1, -2, 2.5, \"x\\n\", null, true], \"b\": {}}";
        assert!(read(text, &mut count).is_ok());
        assert_eq!(count, 9);
        let many = format!("[{}0]", "0,".repeat(MOST_VALUES - 11));
        assert!(read(&many, &mut count).is_ok());
        assert_eq!(count, MOST_VALUES);
        assert!(matches!(read("1", &mut count), Err(Unread::TooMany)));
    }

    #[test]
    fn what_is_no_json_is_told_as_ever() {
        for text in ["", "{", "[1,]", "{\"a\" 1}", "nul", "1 2", "\"\\ud800\""] {
            let truth = serde_json::from_str::<Value>(text).unwrap_err().to_string();
            match read(text, &mut 0) {
                Err(Unread::NoJson(error)) => assert_eq!(error.to_string(), truth, "{text}"),
                other => panic!("{text}: {other:?}"),
            }
        }
    }
}
