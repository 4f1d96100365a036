//! Reads what a line says of how much: number, measure, size, and the mass of one.

use super::amount::{self, Amount, Number};
use super::reading::Doubt;
use crate::table::units::{self, Unit};

/// A quantity as the line has it.
#[derive(Clone, Debug)]
pub(super) struct How {
    /// Number and measure.
    pub(super) amount: Amount,
    /// The size said (`small`).
    pub(super) size: Option<&'static str>,
    /// Mass or volume of one.
    pub(super) each: Option<(Number, &'static Unit)>,
    /// The fruit whose juice is meant (`lemon`).
    pub(super) juice: Option<&'static str>,
}

/// What stands at the front of a line, and the words behind it.
pub(super) struct Quantity<'a> {
    /// The quantity, if one is there.
    pub(super) how: Option<How>,
    /// What is left.
    pub(super) rest: &'a [&'a str],
}

/// Sizes, as they are written and as the table says them; the table has none for those without.
const SIZES: [(&str, Option<&str>); 17] = [
    ("large", Some("large")),
    ("lg", Some("large")),
    ("lge", Some("large")),
    ("medium", Some("medium")),
    ("med", Some("medium")),
    ("medium-sized", Some("medium")),
    ("small", Some("small")),
    ("sm", Some("small")),
    ("extra-large", Some("extra large")),
    ("extra-small", Some("extra small")),
    ("tiny", Some("tiny")),
    ("huge", Some("huge")),
    ("big", Some("big")),
    ("fat", Some("fat")),
    ("ripe", None),
    ("good", None),
    ("level", None),
];

/// Words by which a measure holds more than it does level.
const HEAPED: [&str; 7] = [
    "heaping",
    "heaped",
    "generous",
    "rounded",
    "overflowing",
    "packed",
    "scant",
];

/// Fruit that is pressed.
const PRESSED: [(&str, &str); 7] = [
    ("lemon", "lemon"),
    ("lemons", "lemon"),
    ("lime", "lime"),
    ("limes", "lime"),
    ("orange", "orange"),
    ("oranges", "orange"),
    ("grapefruit", "grapefruit"),
];

/// Words still to be read.
struct Cursor<'a> {
    words: &'a [&'a str],
    at: usize,
}

impl<'a> Cursor<'a> {
    fn peek(&self) -> Option<&'a str> {
        self.words.get(self.at).copied()
    }

    fn rest(&self) -> &'a [&'a str] {
        self.words.get(self.at..).unwrap_or_default()
    }

    fn number(&mut self) -> Option<Number> {
        let (number, took) = amount::number(self.rest())?;
        self.at += took;
        Some(number)
    }

    /// Takes a unit of one word, or of two (`fl oz`).
    fn unit(&mut self) -> Option<(i64, &'static Unit)> {
        let first = self.peek()?;
        if let Some(second) = self.words.get(self.at + 1)
            && let Some(unit) = units::find(&format!(
                "{} {}",
                first.trim_end_matches('.'),
                second.trim_end_matches('.')
            ))
        {
            self.at += 2;
            return Some((1, unit));
        }
        let found = amount::times_unit(first)?;
        self.at += 1;
        Some(found)
    }

    fn take(&mut self, any: &[&str]) -> bool {
        let found = self
            .peek()
            .is_some_and(|word| any.contains(&word.to_lowercase().as_str()));
        self.at += usize::from(found);
        found
    }

    fn size(&mut self, size: &mut Option<&'static str>) -> bool {
        let Some(word) = self.peek() else {
            return false;
        };
        let word = word.trim_end_matches('.').to_lowercase();
        let Some((_, said)) = SIZES.iter().find(|(known, _)| *known == word) else {
            return false;
        };
        self.at += 1;
        *size = said.or(*size);
        true
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
        self.take(&super::parts::ROUGH);
        let number = self.number()?;
        self.take(&["-"]);
        let (times, unit) = self.unit()?;
        Some((number.times(Number::new(times, 1)?)?, unit))
    }
}

/// Reads the quantity of a line, at its front or, if the line is a name and a quantity, behind.
pub(super) fn read<'a>(words: &'a [&'a str], doubts: &mut Vec<Doubt>) -> Quantity<'a> {
    if let Some(juice) = juice(words) {
        return juice;
    }
    let (how, used) = front(words, doubts);
    if how.is_some() {
        return Quantity {
            how,
            rest: words.get(used..).unwrap_or_default(),
        };
    }
    behind(words).unwrap_or(Quantity { how, rest: words })
}

/// "juice of 2 lemons", "1 lemon, juiced".
fn juice<'a>(words: &'a [&'a str]) -> Option<Quantity<'a>> {
    let mut cursor = Cursor { words, at: 0 };
    let lower = |word: &&str| word.to_lowercase();
    if words
        .iter()
        .any(|word| ["zest", "zested", "rind", "peel"].contains(&lower(word).as_str()))
    {
        return None;
    }
    cursor.take(&["the"]);
    cursor.take(&["freshly"]);
    cursor.take(&["squeezed"]);
    let of = cursor.take(&["juice"]) && cursor.take(&["of", "from"]);
    if !of {
        cursor.at = 0;
    }
    let least = cursor.number()?;
    let mut size = None;
    while cursor.size(&mut size) {}
    let word = cursor.peek()?.to_lowercase();
    let (_, fruit) = *PRESSED.iter().find(|(known, _)| *known == word)?;
    let at = cursor.at;
    cursor.at += 1;
    let ends = cursor
        .peek()
        .is_none_or(|word| [",", "(", ";"].contains(&word));
    let juiced = cursor
        .rest()
        .iter()
        .any(|word| ["juiced", "squeezed"].contains(&lower(word).as_str()));
    // A large lemon has more than the table's: nobody says how much.
    if !ends || size.is_some() || !(of || (juiced && cursor.peek() == Some(","))) {
        return None;
    }
    Some(Quantity {
        how: Some(How {
            amount: Amount {
                least,
                most: None,
                measure: None,
                each: None,
            },
            size: None,
            each: None,
            juice: Some(fruit),
        }),
        rest: &words[at..],
    })
}

/// "olive oil 2 tbsp": nothing stands behind the quantity.
fn behind<'a>(words: &'a [&'a str]) -> Option<Quantity<'a>> {
    let figure = |word: &&str| word.starts_with(|c: char| c.is_ascii_digit());
    let at = words.iter().position(figure).filter(|&at| at > 0)?;
    let mut doubts = Vec::new();
    let (how, used) = front(&words[at..], &mut doubts);
    let how = how.filter(|_| doubts.is_empty())?;
    (used == words.len() - at).then(|| Quantity {
        how: Some(how),
        rest: &words[..at],
    })
}

fn one() -> Number {
    Number { num: 1, den: 1 }
}

/// Reads number and measure at the front; how many words they took.
fn front(words: &[&str], doubts: &mut Vec<Doubt>) -> (Option<How>, usize) {
    let mut cursor = Cursor { words, at: 0 };
    let mut size = None;
    // "15-ounce can chickpeas": one can; "pinch of salt": one pinch.
    if let Some(each) = cursor.bracketed() {
        return container(&mut cursor, (one(), None), Some(each), size);
    }
    let lone = ["pinch", "dash", "handful", "bunch", "drizzle", "splash"];
    if words.len() > 1
        && cursor
            .peek()
            .is_some_and(|word| lone.contains(&word.to_lowercase().as_str()))
    {
        return container(&mut cursor, (one(), None), None, size);
    }
    let Some(least) = cursor.number() else {
        return (None, 0);
    };
    let mut most = None;
    let before = cursor.at;
    if cursor.take(&["-", "to", "or"]) {
        most = cursor.number().filter(|&most| larger(most, least));
        if most.is_some() {
            doubts.push(Doubt::Range);
        } else {
            cursor.at = before;
        }
    }
    // "1 x 400 g tin".
    cursor.take(&["x", "×"]);
    if let Some(each) = cursor.bracketed() {
        return container(&mut cursor, (least, most), Some(each), size);
    }
    loop {
        if cursor
            .peek()
            .is_some_and(|word| HEAPED.contains(&word.to_lowercase().as_str()))
        {
            doubts.push(Doubt::Heaped(
                cursor.peek().unwrap_or_default().to_lowercase(),
            ));
            cursor.at += 1;
        } else if !cursor.size(&mut size) {
            break;
        }
    }
    let after_size = cursor.at;
    cursor.take(&["-"]);
    if let Some((times, unit)) = cursor.unit() {
        let Some(least) = Number::new(times, 1).and_then(|times| least.times(times)) else {
            return (None, 0);
        };
        return measured(&mut cursor, (least, unit), most);
    }
    cursor.at = after_size;
    // "2 cloves" alone is the spice; "2 cloves garlic" counts garlic.
    let counted = cursor.peek().and_then(amount::counted);
    if counted.is_some() && cursor.words.len() > cursor.at + 1 {
        return container(&mut cursor, (least, most), None, size);
    }
    let how = How {
        amount: Amount {
            least,
            most,
            measure: None,
            each: None,
        },
        size,
        each: None,
        juice: None,
    };
    (Some(how), cursor.at)
}

fn larger(a: Number, b: Number) -> bool {
    i128::from(a.num) * i128::from(b.den) > i128::from(b.num) * i128::from(a.den)
}

/// A unit of mass or volume was read: adds what comes with `plus`, skips what says the same in other
/// units.
fn measured(
    cursor: &mut Cursor,
    (mut least, mut unit): (Number, &'static Unit),
    most: Option<Number>,
) -> (Option<How>, usize) {
    let before = cursor.at;
    if most.is_none() && cursor.take(&["plus", "+", "and", "&"]) {
        let more = cursor.number().zip(cursor.unit());
        let more = more.map(|(number, (times, unit))| (number, times, unit));
        match more.and_then(|(number, times, more)| {
            amount::sum((least, unit), (number.times(Number::new(times, 1)?)?, more))
        }) {
            Some(sum) => (least, unit) = sum,
            None => cursor.at = before,
        }
    }
    // "200 g / 7 oz": the first is taken.
    let before = cursor.at;
    if !(cursor.take(&["/"]) && cursor.mass().is_some()) {
        cursor.at = before;
    }
    let bracket = cursor.bracketed();
    // "1 cup (185 g)": what was weighed counts.
    if let Some((mass, other)) = bracket
        && other.kind == units::Kind::Mass
        && unit.kind == units::Kind::Volume
        && most.is_none()
    {
        cursor.take(&["of"]);
        let how = How {
            amount: Amount {
                least,
                most,
                measure: Some(unit.symbol.to_owned()),
                each: Some((mass, other.symbol)),
            },
            size: None,
            each: Some((mass, other)),
            juice: None,
        };
        return (Some(how), cursor.at);
    }
    cursor.take(&["of"]);
    let how = How {
        amount: Amount {
            least,
            most,
            measure: Some(unit.symbol.to_owned()),
            each: None,
        },
        size: None,
        each: None,
        juice: None,
    };
    (Some(how), cursor.at)
}

/// A counted thing comes next, perhaps with the mass of one before or behind it.
fn container(
    cursor: &mut Cursor,
    (least, most): (Number, Option<Number>),
    each: Option<(Number, &'static Unit)>,
    mut size: Option<&'static str>,
) -> (Option<How>, usize) {
    while cursor.size(&mut size) {}
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
    let how = How {
        amount: Amount {
            least,
            most,
            measure: counted.map(str::to_owned),
            each: each.map(|(number, unit)| (number, unit.symbol)),
        },
        size,
        each,
        juice: None,
    };
    (Some(how), cursor.at)
}
