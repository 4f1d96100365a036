//! Reads one line of ingredients: quantity, measure, food, and how sure each is.

use super::classes::words;
use super::food::{self, Said, Unfound};
use super::own::Kitchen;
use super::parts::{self, Parts};
use super::quantity::{self, Quantity};
use super::reading::{Confidence, Doubt, OwnName, Reading};
use super::{MOST_CHARACTERS, amount, text, usable};
use crate::table;

/// Reads a line with the food table alone.
pub fn read_line(line: &str) -> Reading {
    read_line_for(line, &Kitchen::default())
}

/// Reads a line with the names of a kitchen first.
pub fn read_line_for(line: &str, kitchen: &Kitchen) -> Reading {
    let text = text::plain(line);
    let mut reading = Reading {
        text: text.chars().take(MOST_CHARACTERS).collect(),
        amount: None,
        name: String::new(),
        own: None,
        food: None,
        usable: None,
        bought: None,
        confidence: Confidence::Doubtful,
        doubts: Vec::new(),
    };
    if text.is_empty() || text.chars().nth(MOST_CHARACTERS).is_some() {
        reading.doubts.push(Doubt::Unreadable);
        return reading;
    }
    let spaced = text::spaced(&text);
    let words: Vec<&str> = spaced.split(' ').collect();
    read_words(&words, kitchen, &mut reading);
    reading.confidence = match reading.doubts.as_slice() {
        [] => Confidence::Sure,
        doubts if doubts.iter().any(Doubt::is_grave) => Confidence::Doubtful,
        _ => Confidence::Likely,
    };
    reading
}

fn read_words(words: &[&str], kitchen: &Kitchen, reading: &mut Reading) {
    let words = begun(words, reading);
    if words.last().is_some_and(|word| word.ends_with(':')) {
        reading.doubts.push(Doubt::Heading);
        return;
    }
    let Quantity { mut how, rest } = quantity::read(words, &mut reading.doubts);
    let mut parts = parts::parts(rest);
    if let Some(how) = &mut how
        && how.amount.measure.is_none()
        && how.each.is_none()
    {
        counted_behind(how, &mut parts, kitchen);
    }
    if reading.text.to_lowercase().contains("optional")
        && !reading.doubts.contains(&Doubt::Optional)
    {
        reading.doubts.push(Doubt::Optional);
    }
    reading.amount = how.as_ref().map(|how| how.amount.clone());
    if how.is_none() {
        reading.doubts.push(Doubt::NoAmount);
    }
    parts.name.clone_into(&mut reading.name);
    let lower = format!(" {} ", parts.name.to_lowercase());
    if lower.contains(" or ") || lower.contains(" and/or ") || lower.contains(" / ") {
        reading.doubts.push(Doubt::Choice);
        return;
    }
    let said = said(&parts, how.as_ref());
    let found = match food::find(&said, kitchen) {
        Ok(found) => found,
        Err(why) => {
            reading.doubts.push(match why {
                Unfound::Several(names) => Doubt::Several(names),
                Unfound::Changed(state) => Doubt::Changed(state),
                Unfound::None if lower.contains(" and ") || lower.contains(" & ") => {
                    Doubt::TwoFoods
                }
                Unfound::None => Doubt::NoFood(Vec::new()),
            });
            return;
        }
    };
    reading.food = found.row;
    let own = found.own.map(|at| kitchen.get(at));
    reading.own = own.map(|own| OwnName {
        name: own.name.clone(),
        cooked: own.cooked,
    });
    let named = |word: &&str| words_of(word).iter().any(|word| found.named.contains(word));
    let kept: Vec<&str> = parts.name.split(' ').filter(named).collect();
    if !kept.is_empty() {
        reading.name = kept.join(" ");
    }
    if !found.dropped.is_empty() {
        reading.doubts.push(Doubt::Dropped(found.dropped));
    }
    if let Some(how) = how {
        usable::settle(reading, &how, &parts, own);
    }
}

fn words_of(text: &str) -> Vec<String> {
    words(text)
}

/// Takes away what may stand before a quantity: marks of a list, `optional:`, `about`.
fn begun<'a, 'b>(mut words: &'b [&'a str], reading: &mut Reading) -> &'b [&'a str] {
    while let Some(first) = words.first() {
        let lower = first.to_lowercase();
        if words.len() > 1 && !first.chars().any(char::is_alphanumeric) && *first != "(" {
            words = &words[1..];
        } else if ["optional:", "optional"].contains(&lower.as_str()) && words.len() > 1 {
            reading.doubts.push(Doubt::Optional);
            words = &words[1..];
        } else if parts::is_rough(first) && words.len() > 1 {
            reading.doubts.push(Doubt::About);
            words = &words[1..];
        } else {
            break;
        }
    }
    words
}

/// "3 garlic cloves": what is counted stands behind the name. A name that needs the word keeps it.
fn counted_behind(how: &mut quantity::How, parts: &mut Parts, kitchen: &Kitchen) {
    let Some((name, last)) = parts.name.rsplit_once(' ') else {
        return;
    };
    let Some(counted) = amount::counted(last) else {
        return;
    };
    let shorter = Parts {
        name: name.to_owned(),
        ..parts.clone()
    };
    if food::find(&said(&shorter, Some(how)), kitchen).is_ok() {
        how.amount.measure = Some(counted.to_owned());
        *parts = shorter;
    }
}

/// What the line says of its food.
fn said(parts: &Parts, how: Option<&quantity::How>) -> Said {
    let measure = how.and_then(|how| how.amount.measure.as_deref());
    let juice = how.and_then(|how| how.juice);
    // The table's own way of writing: tomatoes, canned, crushed.
    let whole = format!("{}, {}", parts.name, parts.behind.join(", "));
    let as_table = !parts.behind.is_empty() && table::find(&whole).is_some();
    let mut name = words(if as_table { &whole } else { &parts.name });
    let mut states = parts::states(&parts.behind);
    if juice.is_some() {
        states.retain(|state| state != "juiced");
    }
    name.retain(|word| !["a", "an"].contains(&word.as_str()));
    let own_name = std::slice::from_ref(&parts.name);
    let says = |word: &str| parts::says(&parts.behind, word) || parts::says(own_name, word);
    Said {
        tin: matches!(measure, Some("can" | "tin")),
        drained: says("drained"),
        rinsed: says("rinsed"),
        name,
        states,
    }
}
