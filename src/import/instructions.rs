//! Reads what a recipe says to do, how long it takes and how many it feeds.

use serde_json::Value;

use super::amount::{self, Number};
use super::text;
use crate::unicode;

/// Deepest nesting of sections and lists that is followed.
const DEEPEST: usize = 16;
/// Longest step, in characters: what a kitchen file may hold.
const LONGEST: usize = 5_000;

/// Collects the steps in order: texts, HowToStep, HowToSection, lists of them.
pub(super) fn steps(value: &Value, depth: usize, out: &mut Vec<String>) {
    if depth > DEEPEST {
        return;
    }
    match value {
        Value::String(words) => {
            let step = unicode::cut(&text::plain(words), LONGEST);
            if !step.is_empty() {
                out.push(step);
            }
        }
        Value::Array(all) => all.iter().for_each(|one| steps(one, depth + 1, out)),
        Value::Object(object) => {
            let keys = ["itemListElement", "text", "name"];
            if let Some(inner) = keys.iter().find_map(|key| object.get(*key)) {
                steps(inner, depth + 1, out);
            }
        }
        _ => {}
    }
}

/// Reads a duration of ISO 8601 in whole minutes: `PT1H30M`; days count, months do not.
pub(super) fn minutes(value: &Value) -> Option<i64> {
    let text = value.as_str()?.trim().to_uppercase();
    let mut rest = text.strip_prefix('P')?;
    let (mut seconds, mut in_time) = (0_i64, false);
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix('T') {
            (rest, in_time) = (after, true);
            continue;
        }
        let end = rest.find(|c: char| !c.is_ascii_digit())?;
        let number: i64 = rest.get(..end)?.parse().ok().filter(|&n| n < 1_000_000)?;
        let unit = rest.get(end..)?.chars().next()?;
        let size = match (unit, in_time) {
            ('D', false) => 86_400,
            ('H', true) => 3_600,
            ('M', true) => 60,
            ('S', true) => 1,
            _ => return None,
        };
        seconds += number * size;
        rest = rest.get(end + unit.len_utf8()..)?;
    }
    // A kitchen's minutes end at a week; nothing is not a time.
    let minutes = (seconds + 59) / 60;
    (1..=10_080).contains(&minutes).then_some(minutes)
}

/// Reads how many portions: the first number of `4`, `"4 servings"`, `["4", "4 servings"]`.
pub(super) fn portions(value: &Value) -> Option<Number> {
    match value {
        Value::Number(number) => Number::new(number.as_i64()?, 1),
        Value::String(words) => {
            let plain = text::spaced(&text::plain(words));
            let words: Vec<&str> = plain.split(' ').collect();
            // "Serves 4", "4 servings"; "4 to 6" is not a number.
            let range = plain.contains(" - ") || words.contains(&"to") || words.contains(&"or");
            let first = words.iter().take(6).position(|word| figure(word));
            let rest = words.get(first?..).unwrap_or_default();
            // "500 g" says how much it makes, not for how many.
            amount::number(rest)
                .filter(|&(_, took)| {
                    let word = rest.get(took);
                    !range && word.is_none_or(|word| amount::unit(word).is_none())
                })
                .map(|(number, _)| number)
        }
        Value::Array(all) => all.iter().take(8).find_map(portions),
        _ => None,
    }
    .filter(|number| number.num / number.den < 1_000)
}

fn figure(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}
