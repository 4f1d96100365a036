//! Takes the words of an ingredient line apart: what stands in brackets, the name, what is done
//! with it, and a mass that is said beside the quantity.

use super::amount::{self, Number};
use super::classes::{Class, class, words};
use crate::table::units::{Kind, Unit};

/// Words before a number that make it rough.
pub(super) const ROUGH: [&str; 8] = [
    "about",
    "approximately",
    "approx",
    "approx.",
    "around",
    "roughly",
    "circa",
    "ca.",
];

/// Phrases that say nothing about the food.
const PHRASES: [&str; 13] = [
    "to taste",
    "as needed",
    "for serving",
    "to serve",
    "for garnish",
    "to garnish",
    "for sprinkling",
    "for drizzling",
    "plus more",
    "plus extra",
    "if needed",
    "if desired",
    "for frying",
];

/// States that a line may say behind a comma or in brackets.
const SAID_BEHIND: [&str; 19] = [
    "cooked", "boiled", "steamed", "fried", "roasted", "toasted", "baked", "grilled", "canned",
    "dried", "dry", "frozen", "raw", "uncooked", "ground", "smoked", "juiced", "zested",
    "unpeeled",
];

/// A line's words behind its quantity.
#[derive(Clone, Debug, Default)]
pub(super) struct Parts {
    /// The name, as written.
    pub(super) name: String,
    /// What stands behind the name: preparation, brackets.
    pub(super) behind: Vec<String>,
    /// A mass said beside the quantity, of one or of all.
    pub(super) stated: Option<Stated>,
}

/// A mass said beside a quantity.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stated {
    /// How much.
    pub(super) mass: (Number, &'static Unit),
    /// It is that of one.
    pub(super) each: bool,
    /// It is about so much.
    pub(super) rough: bool,
}

/// Takes the words behind a quantity apart.
pub(super) fn parts(rest: &[&str]) -> Parts {
    let mut parts = Parts::default();
    let mut depth = 0_usize;
    let mut groups: Vec<Vec<&str>> = vec![Vec::new()];
    let mut outside: Vec<&str> = Vec::new();
    for &word in rest {
        match word {
            "(" => {
                depth += 1;
                groups.push(Vec::new());
            }
            ")" => depth = depth.saturating_sub(1),
            _ if depth > 0 => groups
                .last_mut()
                .into_iter()
                .for_each(|group| group.push(word)),
            _ => outside.push(word),
        }
    }
    let brackets = groups.split_off(1);
    let mut segments = outside
        .split(|word| matches!(*word, "," | ";"))
        .map(<[&str]>::to_vec);
    let mut name = segments.next().unwrap_or_default();
    let mut behind: Vec<Vec<&str>> = segments.collect();
    // "roasted, unsalted cashews": the name goes on behind the comma.
    while !name.is_empty() && name.iter().all(|word| is_description(word)) && !behind.is_empty() {
        name.extend(behind.remove(0));
    }
    for bracket in &brackets {
        // "(or pecans)" is another line.
        if bracket
            .first()
            .is_some_and(|word| ["or", "see"].contains(&word.to_lowercase().as_str()))
        {
            continue;
        }
        match stated(bracket) {
            Some(found) if parts.stated.is_none() => parts.stated = Some(found),
            _ => parts.behind.push(bracket.join(" ")),
        }
    }
    for segment in &behind {
        let rough = segment.first().is_some_and(|word| is_rough(word));
        match stated(segment) {
            Some(found) if rough && parts.stated.is_none() => parts.stated = Some(found),
            _ => parts.behind.push(segment.join(" ")),
        }
    }
    parts.name = without_phrases(&name.join(" "));
    parts
}

fn is_description(word: &str) -> bool {
    let words = words(word);
    !words.is_empty() && words.iter().all(|word| class(word) != Class::Unknown)
}

pub(super) fn is_rough(word: &str) -> bool {
    ROUGH.contains(&word.to_lowercase().as_str())
}

/// A mass at the front of these words.
fn stated(words: &[&str]) -> Option<Stated> {
    let rough = words.first().is_some_and(|word| is_rough(word));
    let words = &words[usize::from(rough)..];
    let (number, took) = amount::number(words)?;
    let rest = words.get(took..)?;
    let rest = rest.strip_prefix(&["-"]).unwrap_or(rest);
    let unit = amount::unit(rest.first()?).filter(|unit| unit.kind == Kind::Mass)?;
    let each = rest
        .iter()
        .any(|word| ["each", "per", "apiece"].contains(&word.to_lowercase().as_str()));
    Some(Stated {
        mass: (number, unit),
        each,
        rough,
    })
}

fn without_phrases(text: &str) -> String {
    let mut text = text.trim_matches([' ', '.', '-', '*', ':']).to_owned();
    for phrase in PHRASES {
        let lower = text.to_lowercase();
        if let Some(at) = lower.find(phrase)
            && lower.len() == text.len()
            && text.is_char_boundary(at)
        {
            text.truncate(at);
        }
    }
    text.trim().to_owned()
}

/// Returns the states these texts tell of.
pub(super) fn states(behind: &[String]) -> Vec<String> {
    let said = behind.iter().flat_map(|text| words(text));
    said.filter(|word| SAID_BEHIND.contains(&word.as_str()))
        .collect()
}

/// Returns whether these texts have a word.
pub(super) fn says(texts: &[String], wanted: &str) -> bool {
    let mut said = texts.iter().flat_map(|text| words(text));
    said.any(|word| word == wanted)
}
