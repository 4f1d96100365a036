//! Reads one line of ingredients: quantity, measure, food, and how sure each is.

use super::amount::{self, Amount, Number};
use super::food::{self, Match};
use super::{MOST_CHARACTERS, text, usable};
use crate::table::Row;
use crate::table::units::{self, Unit};

/// How sure a reading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Not to be used without the cook.
    Doubtful,
    /// Read, with something the cook should look at.
    Likely,
    /// Number, measure and food stand there in so many words.
    Sure,
}

/// What is doubtful about a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// Nothing on it, or more than fits.
    Unreadable,
    /// No number stands at its front.
    NoAmount,
    /// Two numbers; the smaller is taken.
    Range,
    /// No row of the table by that name; names of rows that may be meant. Looking them up takes
    /// long, so [`super::recipes`] fills them in, and only so many of a file.
    NoFood(Vec<&'static str>),
    /// A choice of foods (`or`).
    Choice,
    /// Two foods in one line (`and`).
    TwoFoods,
    /// Words left out to find the row.
    Dropped(Vec<String>),
    /// The food stands prepared in a way that changes what it is (`cooked`, `juiced`).
    Changed(String),
    /// Nothing says what this measure of the food weighs.
    Unweighed(String),
    /// A tin: its drained mass is the table's, in milligrams, not what the line says.
    Tin(i64),
    /// A mass of one container stands there, which may be more than what is edible.
    Container,
    /// Said to be optional.
    Optional,
    /// Said to be about so much.
    About,
}

impl Doubt {
    /// Returns whether the line cannot be used without the cook.
    pub fn is_grave(&self) -> bool {
        !matches!(
            self,
            Self::Range | Self::Dropped(_) | Self::Tin(_) | Self::Optional | Self::About
        )
    }
}

/// A line as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The line itself, on one line, without markup.
    pub text: String,
    /// Quantity and measure, as they stand there.
    pub amount: Option<Amount>,
    /// The food in the line's own words, without preparation.
    pub name: String,
    /// The row of the food table.
    pub food: Option<&'static Row>,
    /// The quantity in a measure the row can weigh: number and measure.
    pub usable: Option<(Number, String)>,
    /// How sure.
    pub confidence: Confidence,
    /// Why not surer.
    pub doubts: Vec<Doubt>,
}

/// Words after which a food is another one to the table.
const CHANGING: [&str; 16] = [
    "cooked", "canned", "tinned", "dried", "dry", "frozen", "roasted", "toasted", "boiled",
    "steamed", "baked", "fried", "juiced", "zested", "ground", "unpeeled",
];

/// Words between number and measure, or measure and food, that change neither.
const SIZES: [&str; 12] = [
    "large",
    "medium",
    "small",
    "extra-large",
    "big",
    "heaping",
    "heaped",
    "level",
    "scant",
    "generous",
    "good",
    "ripe",
];

/// Words before a number that make it rough.
const ROUGH: [&str; 6] = [
    "about",
    "approximately",
    "approx",
    "approx.",
    "around",
    "roughly",
];

/// Phrases that say nothing about the food.
const PHRASES: [&str; 11] = [
    "to taste",
    "as needed",
    "for serving",
    "to serve",
    "for garnish",
    "to garnish",
    "for sprinkling",
    "for drizzling",
    "plus more",
    "if needed",
    "if desired",
];

/// Reads a line.
pub fn read_line(line: &str) -> Reading {
    let text = text::plain(line);
    let mut reading = Reading {
        text: text.chars().take(MOST_CHARACTERS).collect(),
        amount: None,
        name: String::new(),
        food: None,
        usable: None,
        confidence: Confidence::Doubtful,
        doubts: Vec::new(),
    };
    if text.is_empty() || text.chars().nth(MOST_CHARACTERS).is_some() {
        reading.doubts.push(Doubt::Unreadable);
        return reading;
    }
    let spaced = text::spaced(&text);
    let mut words: Vec<&str> = spaced.split(' ').collect();
    if words
        .first()
        .is_some_and(|word| ROUGH.contains(&word.to_lowercase().as_str()))
    {
        words.remove(0);
        reading.doubts.push(Doubt::About);
    }
    let mut size = None;
    let used = quantity(&words, &mut reading, &mut size);
    let rest = words.get(used..).unwrap_or_default();
    name(rest, &mut reading);
    usable::settle(&mut reading, size);
    reading.confidence = match reading.doubts.as_slice() {
        [] => Confidence::Sure,
        doubts if doubts.iter().any(Doubt::is_grave) => Confidence::Doubtful,
        _ => Confidence::Likely,
    };
    reading
}

/// Words still to be read.
struct Cursor<'a, 'b> {
    words: &'b [&'a str],
    at: usize,
}

impl<'a> Cursor<'a, '_> {
    fn peek(&self) -> Option<&'a str> {
        self.words.get(self.at).copied()
    }

    fn rest(&self) -> &[&'a str] {
        self.words.get(self.at..).unwrap_or_default()
    }

    fn number(&mut self) -> Option<Number> {
        let (number, took) = amount::number(self.rest())?;
        self.at += took;
        Some(number)
    }

    /// Takes a unit of one word, or of two (`fl oz`).
    fn unit(&mut self) -> Option<&'static Unit> {
        let first = self.peek()?;
        if let Some(second) = self.words.get(self.at + 1)
            && let Some(unit) = units::find(&format!(
                "{} {}",
                first.trim_end_matches('.'),
                second.trim_end_matches('.')
            ))
        {
            self.at += 2;
            return Some(unit);
        }
        let unit = amount::unit(first)?;
        self.at += 1;
        Some(unit)
    }

    fn take(&mut self, any: &[&str]) -> bool {
        let found = self
            .peek()
            .is_some_and(|word| any.contains(&word.to_lowercase().as_str()));
        self.at += usize::from(found);
        found
    }

    /// Takes brackets that hold a quantity (`( 15 oz )`, `( 400 g each )`), or words of it
    /// before a container (`15 - ounce can`).
    fn bracketed(&mut self) -> Option<(Number, &'static Unit)> {
        let start = self.at;
        let open = self.take(&["("]);
        let found = self.mass();
        if open {
            self.take(&["each", "net", "per"]);
            // Whatever else stands in the brackets (`15 oz / 425 g`) says the same again.
            while found.is_some() && self.peek().is_some_and(|word| word != ")") {
                self.at += 1;
            }
            if found.is_some() && self.take(&[")"]) {
                return found;
            }
        } else if found.is_some() && self.peek().and_then(amount::counted).is_some() {
            return found;
        }
        self.at = start;
        None
    }

    fn mass(&mut self) -> Option<(Number, &'static Unit)> {
        self.take(&["about"]);
        let number = self.number()?;
        self.take(&["-"]);
        let unit = self.unit()?;
        Some((number, unit))
    }
}

/// Reads number and measure; returns how many words they took.
fn quantity(words: &[&str], reading: &mut Reading, size: &mut Option<&'static str>) -> usize {
    let mut cursor = Cursor { words, at: 0 };
    // "15-ounce can chickpeas": one can.
    if let Some(each) = cursor.bracketed() {
        return container(&mut cursor, one(), None, Some(each), reading);
    }
    let Some(least) = cursor.number() else {
        reading.doubts.push(Doubt::NoAmount);
        return 0;
    };
    let mut most = None;
    let before = cursor.at;
    if cursor.take(&["-", "to", "or"]) {
        most = cursor.number().filter(|&most| larger(most, least));
        if most.is_some() {
            reading.doubts.push(Doubt::Range);
        } else {
            cursor.at = before;
        }
    }
    let each = cursor.bracketed();
    if each.is_some() {
        return container(&mut cursor, least, most, each, reading);
    }
    while let Some(word) = cursor.peek().map(str::to_lowercase)
        && let Some(known) = SIZES.into_iter().find(|size| *size == word)
    {
        *size = Some(known);
        cursor.at += 1;
    }
    let after_size = cursor.at;
    cursor.take(&["-"]);
    if let Some(unit) = cursor.unit() {
        return measured(&mut cursor, (least, unit), most, reading);
    }
    cursor.at = after_size;
    if let Some(counted) = cursor.peek().and_then(amount::counted) {
        // "2 cloves" alone is the spice; "2 cloves garlic" counts garlic.
        if cursor.words.len() > cursor.at + 1 {
            return container(&mut cursor, least, most, None, reading);
        }
        let _ = counted;
    }
    reading.amount = Some(Amount {
        least,
        most,
        measure: None,
        each: None,
    });
    cursor.at
}

fn one() -> Number {
    Number { num: 1, den: 1 }
}

fn larger(a: Number, b: Number) -> bool {
    i128::from(a.num) * i128::from(b.den) > i128::from(b.num) * i128::from(a.den)
}

/// A unit of mass or volume was read: adds what comes with `plus`, skips brackets that say
/// the same in other units.
fn measured(
    cursor: &mut Cursor,
    (mut least, mut unit): (Number, &'static Unit),
    most: Option<Number>,
    reading: &mut Reading,
) -> usize {
    let before = cursor.at;
    if most.is_none() && cursor.take(&["plus", "+", "and", "&"]) {
        let more = cursor.number().zip(cursor.unit());
        match more.and_then(|more| amount::sum((least, unit), more)) {
            Some(sum) => (least, unit) = sum,
            None => cursor.at = before,
        }
    }
    let _ = cursor.bracketed();
    cursor.take(&["of"]);
    reading.amount = Some(Amount {
        least,
        most,
        measure: Some(unit.symbol.to_owned()),
        each: None,
    });
    cursor.at
}

/// A counted thing comes next, perhaps with the mass of one before or behind it.
fn container(
    cursor: &mut Cursor,
    least: Number,
    most: Option<Number>,
    each: Option<(Number, &'static Unit)>,
    reading: &mut Reading,
) -> usize {
    while cursor
        .peek()
        .is_some_and(|word| SIZES.contains(&word.to_lowercase().as_str()))
    {
        cursor.at += 1;
    }
    let counted = cursor.peek().and_then(amount::counted);
    if counted.is_some() {
        cursor.at += 1;
    }
    let from = cursor.at;
    let bracket = cursor.bracketed();
    let said_each = cursor.words[from..cursor.at].contains(&"each");
    // "2 tins (400 g)" is 400 g a tin, "3 pieces (300 g)" are 300 g in all.
    let vessel = counted.is_none_or(|counted| amount::VESSELS.contains(&counted));
    let shared = |(mass, unit): (Number, &'static Unit)| Some((mass.over(least)?, unit));
    let each = match (each, bracket) {
        (Some(each), _) => Some(each),
        (None, Some(mass)) if vessel || said_each => Some(mass),
        (None, Some(mass)) if most.is_none() => shared(mass),
        _ => None,
    };
    cursor.take(&["of"]);
    reading.amount = Some(Amount {
        least,
        most,
        measure: counted.map(str::to_owned),
        each: each.map(|(number, unit)| (number, unit.symbol)),
    });
    cursor.at
}

/// Reads the food out of the words left.
fn name(rest: &[&str], reading: &mut Reading) {
    let mut depth = 0_usize;
    let mut kept: Vec<&str> = Vec::new();
    for &word in rest {
        match word {
            "(" => depth += 1,
            ")" => depth = depth.saturating_sub(1),
            _ if depth == 0 => kept.push(word),
            _ => {}
        }
    }
    let whole = kept.join(" ").replace(" ,", ",").replace(" ;", ",");
    let mut whole = whole.trim_matches([',', ' ', '.', '-', '*']).to_owned();
    if reading.text.to_lowercase().contains("optional") {
        reading.doubts.push(Doubt::Optional);
    }
    for phrase in PHRASES {
        if let Some(at) = whole.to_lowercase().find(phrase)
            && whole.is_char_boundary(at)
            && whole.to_lowercase().len() == whole.len()
        {
            whole.truncate(at);
        }
    }
    let whole = whole.trim_matches([',', ' ']).to_owned();
    let (name, preparation) = whole.split_once(',').unwrap_or((&whole, ""));
    name.trim().clone_into(&mut reading.name);
    let lower = format!(" {} ", name.to_lowercase());
    if lower.contains(" or ") || lower.contains(" and/or ") {
        reading.doubts.push(Doubt::Choice);
        return;
    }
    let tin = matches!(
        reading.amount.as_ref().and_then(|a| a.measure.as_deref()),
        Some("can" | "tin")
    );
    // The table's own way of writing: tomatoes, canned, crushed.
    if let Match::Exact(row) = food::find(&whole, false) {
        reading.food = Some(row);
        return;
    }
    let changed = preparation
        .split([' ', ','])
        .map(str::to_lowercase)
        .find(|word| CHANGING.contains(&word.as_str()));
    if let Some(changed) = changed {
        match food::find(&format!("{changed} {name}"), tin) {
            Match::Exact(row) => reading.food = Some(row),
            _ => reading.doubts.push(Doubt::Changed(changed)),
        }
        if reading.food.is_some() {
            return;
        }
    }
    match food::find(name, tin) {
        Match::Exact(row) => reading.food = Some(row),
        Match::Stripped(row, dropped) => {
            reading.food = Some(row);
            reading.doubts.push(Doubt::Dropped(dropped));
        }
        Match::None if lower.contains(" and ") || lower.contains(" & ") => {
            reading.doubts.push(Doubt::TwoFoods);
        }
        Match::None => reading.doubts.push(Doubt::NoFood(Vec::new())),
    }
}
