//! Reads the number and the measure a line of ingredients starts with.

use crate::table::units::{self, Kind, Unit};

/// An exact number above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number {
    /// Numerator.
    pub num: i64,
    /// Denominator, above zero.
    pub den: i64,
}

/// Largest numerator or denominator kept; what is larger is no kitchen quantity.
const MOST: i64 = 1_000_000_000;

impl Number {
    /// Returns `num / den` in lowest terms; `None` outside 1 to 1e9.
    pub fn new(num: i64, den: i64) -> Option<Self> {
        fn gcd(a: i64, b: i64) -> i64 {
            if b == 0 { a } else { gcd(b, a % b) }
        }
        if num <= 0 || den <= 0 {
            return None;
        }
        let by = gcd(num, den);
        let (num, den) = (num / by, den / by);
        (num <= MOST && den <= MOST).then_some(Self { num, den })
    }

    /// Returns the sum.
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        let num = self.num.checked_mul(other.den)?;
        let num = num.checked_add(other.num.checked_mul(self.den)?)?;
        Self::new(num, self.den.checked_mul(other.den)?)
    }

    /// Returns the product.
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        let num = self.num.checked_mul(other.num)?;
        Self::new(num, self.den.checked_mul(other.den)?)
    }

    /// Returns the quotient.
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        let turned = Self::new(other.den, other.num)?;
        self.times(turned)
    }

    /// Returns it as kitchen files write it: `2`, `1/2`, `1 1/2`.
    pub fn written(self) -> String {
        let (whole, rest) = (self.num / self.den, self.num % self.den);
        match (whole, rest) {
            (whole, 0) => whole.to_string(),
            (0, rest) => format!("{rest}/{}", self.den),
            (whole, rest) => format!("{whole} {rest}/{}", self.den),
        }
    }
}

/// A quantity: a number, or two with anything between allowed, and what is counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Amount {
    /// The number, or the smaller of two.
    pub least: Number,
    /// The larger of two.
    pub most: Option<Number>,
    /// What is counted: a unit's symbol (`tbsp`), a word in the singular (`clove`), or nothing
    /// for pieces.
    pub measure: Option<String>,
    /// Mass of one, where the line says so (`(15 oz) can`): number and unit symbol.
    pub each: Option<(Number, &'static str)>,
}

/// Numbers as words.
const WORDS: [(&str, i64, i64); 16] = [
    ("a", 1, 1),
    ("an", 1, 1),
    ("one", 1, 1),
    ("two", 2, 1),
    ("three", 3, 1),
    ("four", 4, 1),
    ("five", 5, 1),
    ("six", 6, 1),
    ("seven", 7, 1),
    ("eight", 8, 1),
    ("nine", 9, 1),
    ("ten", 10, 1),
    ("twelve", 12, 1),
    ("dozen", 12, 1),
    ("half", 1, 2),
    ("quarter", 1, 4),
];

/// Things counted, in the singular, that are no units of mass or volume.
const COUNTED: [&str; 33] = [
    "clove", "slice", "piece", "can", "tin", "jar", "package", "packet", "pack", "bag", "box",
    "bunch", "head", "stalk", "sprig", "leaf", "ear", "stick", "block", "sheet", "pinch", "dash",
    "handful", "wedge", "rib", "fillet", "loaf", "knob", "bottle", "carton", "tub", "spear",
    "stem",
];

/// What holds something else, so that its mass may stand in brackets.
pub(super) const CONTAINERS: [&str; 14] = [
    "can", "tin", "jar", "package", "packet", "pack", "bag", "box", "block", "bottle", "carton",
    "tub", "loaf", "piece",
];

/// Counted things of which a mass in brackets is that of one.
pub(super) const VESSELS: [&str; 11] = [
    "can", "tin", "jar", "package", "packet", "pack", "bag", "box", "bottle", "carton", "tub",
];

/// Spellings of units beside those of the unit table; capitals matter for `T`.
const ABBREVIATED: [(&str, &str); 9] = [
    ("T", "tbsp"),
    ("Tb", "tbsp"),
    ("Tbl", "tbsp"),
    ("tbs", "tbsp"),
    ("Tbs", "tbsp"),
    ("t", "tsp"),
    ("c", "cup"),
    ("C", "cup"),
    ("L", "l"),
];

/// Returns the unit of mass or volume of this spelling; a full stop after it is forgiven.
pub(super) fn unit(word: &str) -> Option<&'static Unit> {
    let word = word.trim_end_matches('.');
    let listed = ABBREVIATED.iter().find(|(short, _)| *short == word);
    units::find(listed.map_or(word, |(_, symbol)| symbol))
}

/// Returns the unit of this spelling and how many of it: a decilitre is a hundred millilitres.
pub(super) fn times_unit(word: &str) -> Option<(i64, &'static Unit)> {
    match word.trim_end_matches('.').to_lowercase().as_str() {
        "dl" | "decilitre" | "decilitres" => Some((100, units::find("ml")?)),
        "cl" | "centilitre" | "centilitres" => Some((10, units::find("ml")?)),
        _ => Some((1, unit(word)?)),
    }
}

/// Returns the counted thing of this word, singular or plural.
pub(super) fn counted(word: &str) -> Option<&'static str> {
    let word = word.trim_end_matches('.').to_lowercase();
    let word = match word.as_str() {
        "leaves" => "leaf",
        "loaves" => "loaf",
        "pkg" | "pkgs" => "package",
        "tins" => "tin",
        other => other,
    };
    COUNTED.into_iter().find(|known| {
        word == *known
            || word.strip_suffix('s') == Some(known)
            || word.strip_suffix("es") == Some(known)
    })
}

/// Reads one number from the front of the words: `2`, `1.5`, `1/2`, `1 1/2`, `two`, `half a`.
/// Returns it and how many words it took.
pub(super) fn number(words: &[&str]) -> Option<(Number, usize)> {
    let first = words.first()?;
    if let Some(value) = figure(first) {
        // A mixed number.
        if !first.contains(['/', '.'])
            && let Some(part) = words.get(1).filter(|word| word.contains('/'))
            && let Some(part) = figure(part).filter(|part| part.num < part.den)
        {
            return Some((value.plus(part)?, 2));
        }
        return Some((value, 1));
    }
    let named = |word: &str| {
        let word = word.to_lowercase();
        let found = WORDS.iter().find(|(name, _, _)| *name == word);
        found.and_then(|&(_, num, den)| Number::new(num, den))
    };
    let value = named(first)?;
    let lower: Vec<String> = words
        .iter()
        .take(5)
        .map(|word| word.to_lowercase())
        .collect();
    let lower: Vec<&str> = lower.iter().map(String::as_str).collect();
    match lower.as_slice() {
        ["three", "quarters", "of", "a" | "an", ..] => Some((Number::new(3, 4)?, 4)),
        ["three", "quarters", "of", ..] => Some((Number::new(3, 4)?, 3)),
        ["three", "quarters", ..] => Some((Number::new(3, 4)?, 2)),
        ["half" | "quarter", "a" | "an", "dozen", ..] => {
            Some((value.times(Number::new(12, 1)?)?, 3))
        }
        [_, "and", "a", part @ ("half" | "quarter"), ..] => Some((value.plus(named(part)?)?, 4)),
        ["half" | "quarter", "of", "a" | "an", ..] => Some((value, 3)),
        ["half" | "quarter", "a" | "an" | "of", ..] => Some((value, 2)),
        [
            "a" | "an" | "one",
            part @ ("half" | "quarter" | "dozen"),
            ..,
        ] => Some((named(part)?, 2)),
        _ => Some((value, 1)),
    }
}

/// A number in figures: `2`, `0.5`, `.5`, `3/4`.
fn figure(word: &str) -> Option<Number> {
    let digits = |text: &str| -> Option<i64> {
        let fits = (1..=7).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        fits.then(|| text.parse().ok()).flatten()
    };
    if let Some((top, bottom)) = word.split_once('/') {
        return Number::new(digits(top)?, digits(bottom)?);
    }
    if let Some((whole, part)) = word.split_once('.') {
        let part = digits(part)
            .filter(|_| part.len() <= 3)
            .map(|value| (value, part.len()))?;
        let den = 10_i64.pow(part.1 as u32);
        let whole = if whole.is_empty() { 0 } else { digits(whole)? };
        return Number::new(whole.checked_mul(den)?.checked_add(part.0)?, den);
    }
    Number::new(digits(word)?, 1)
}

/// Adds two amounts in units of the same kind, in the smaller of the units: `1 cup plus 2
/// tablespoons` is 18 tbsp.
pub(super) fn sum(
    a: (Number, &'static Unit),
    b: (Number, &'static Unit),
) -> Option<(Number, &'static Unit)> {
    if a.1.kind != b.1.kind || !matches!(a.1.kind, Kind::Mass | Kind::Volume) {
        return None;
    }
    let (large, small) = if a.1.size >= b.1.size { (a, b) } else { (b, a) };
    if large.1.size % small.1.size != 0 {
        return None;
    }
    let ratio = i64::try_from(large.1.size / small.1.size).ok()?;
    let all = large.0.times(Number::new(ratio, 1)?)?.plus(small.0)?;
    Some((all, small.1))
}
