//! What is asked of the week, beside what the kitchen's files say: limits, and a word on foods and
//! recipes. All of it can be written as a command line.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::kitchen::flaw_told;
use crate::kitchen::names::Names;
use crate::larder::{Contents, Larder, MILLI, NANO, limits};
use crate::report::words;
use crate::tradeoffs::{Limit, set_limit};
use crate::unicode;

/// A number that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dial {
    /// Most counted foods.
    Foods,
    /// Most money, minor units.
    Budget,
    /// Portions each day, thousandths.
    Eaters,
    /// Most active minutes on the prep day.
    PrepMinutes,
    /// Most active minutes on each lunch day.
    DayMinutes,
    /// Most minutes in the kitchen on each day, the prep day among them.
    KitchenMinutes,
}

/// All dials, in the order in which they are shown.
pub const DIALS: [Dial; 6] = [
    Dial::Foods,
    Dial::Budget,
    Dial::Eaters,
    Dial::PrepMinutes,
    Dial::DayMinutes,
    Dial::KitchenMinutes,
];

impl Dial {
    /// Its name in forms and addresses.
    pub fn key(self) -> &'static str {
        match self {
            Self::Foods => "foods",
            Self::Budget => "budget",
            Self::Eaters => "eaters",
            Self::PrepMinutes => "prep",
            Self::DayMinutes => "days",
            Self::KitchenMinutes => "kitchen",
        }
    }

    /// The dial of a name.
    pub fn of(key: &str) -> Option<Self> {
        DIALS.into_iter().find(|dial| dial.key() == key)
    }

    /// What it is called.
    pub fn label(self) -> &'static str {
        match self {
            Self::Foods => "Foods to buy, at most",
            Self::Budget => "Budget",
            Self::Eaters => "Eaters",
            Self::PrepMinutes => "Active minutes on the prep day, at most",
            Self::DayMinutes => "Active minutes on a morning, at most",
            Self::KitchenMinutes => "Minutes in the kitchen on a day, at most",
        }
    }

    /// What it is called in a sentence.
    fn said(self) -> &'static str {
        match self {
            Self::Foods => "foods",
            Self::Budget => "budget",
            Self::Eaters => "eaters",
            Self::PrepMinutes => "prep day minutes",
            Self::DayMinutes => "minutes on a morning",
            Self::KitchenMinutes => "minutes in the kitchen",
        }
    }

    /// The option that sets it.
    fn option(self) -> &'static str {
        match self {
            Self::Foods => "--cap",
            Self::Budget => "--budget",
            Self::Eaters => "--eaters",
            Self::PrepMinutes => "--prep-minutes",
            Self::DayMinutes => "--day-minutes",
            Self::KitchenMinutes => "--kitchen-minutes",
        }
    }

    /// The limit it is; eaters are none.
    pub fn limit(self) -> Option<Limit> {
        match self {
            Self::Foods => Some(Limit::Foods),
            Self::Budget => Some(Limit::Bill),
            Self::PrepMinutes => Some(Limit::PrepMinutes),
            Self::DayMinutes => Some(Limit::DayMinutes),
            Self::KitchenMinutes => Some(Limit::KitchenMinutes),
            Self::Eaters => None,
        }
    }

    /// Digits behind the point.
    pub fn places(self, larder: &Contents) -> u32 {
        match self {
            Self::Budget => u32::from(larder.currency.digits),
            Self::Eaters => 3,
            Self::Foods | Self::PrepMinutes | Self::DayMinutes | Self::KitchenMinutes => 0,
        }
    }

    /// The largest value there may be.
    pub fn most(self, larder: &Contents) -> i64 {
        match self {
            Self::Foods => limits::COUNT,
            Self::Budget => larder.currency.most_minor(),
            Self::Eaters => limits::EATERS_MILLI,
            Self::PrepMinutes | Self::DayMinutes | Self::KitchenMinutes => limits::MINUTES,
        }
    }

    /// What a larder says; none where it limits nothing, or not the same on all days.
    pub fn in_larder(self, larder: &Contents) -> Option<i64> {
        let value = alike(&self.by_day(larder)).flatten()?;
        match self {
            Self::PrepMinutes | Self::DayMinutes | Self::KitchenMinutes => {
                (value % NANO == 0).then_some(value / NANO)
            }
            Self::Foods | Self::Budget | Self::Eaters => Some(value),
        }
    }

    /// What a larder allows at most, on every day the same and in the limit's units; the most there is where it
    /// limits nothing, none where one number does not say it.
    pub(super) fn allowed(self, larder: &Contents) -> Option<i64> {
        match alike(&self.by_day(larder)) {
            Some(None) => Some(i64::MAX),
            _ => self.in_larder(larder),
        }
    }

    /// What is said where `in_larder` has nothing.
    pub(super) fn unset(self, larder: &Contents) -> &'static str {
        match alike(&self.by_day(larder)) {
            Some(None) => "no limit",
            Some(Some(_)) => "not in whole minutes",
            None => "another one each day",
        }
    }

    /// What a larder says of each day it speaks of; minutes in 1e-9.
    pub(super) fn by_day(self, larder: &Contents) -> Vec<Option<i64>> {
        let wishes = &larder.wishes;
        match self {
            Self::Foods => vec![wishes.cap],
            Self::Budget => vec![wishes.budget_minor],
            Self::Eaters => larder.week.eaters_milli.iter().copied().map(Some).collect(),
            Self::PrepMinutes => wishes.minutes_nano[..1].to_vec(),
            Self::DayMinutes => wishes.minutes_nano[1..].to_vec(),
            Self::KitchenMinutes => wishes.kitchen_minutes_nano.clone(),
        }
    }

    /// Writes a value as options and fields have it.
    pub fn written(self, value: i64, larder: &Contents) -> String {
        let places = self.places(larder) as usize;
        if places == 0 {
            return value.to_string();
        }
        let unit = 10_i64.pow(places as u32);
        let text = format!("{}.{:0places$}", value / unit, value % unit);
        match self {
            Self::Eaters => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
            _ => text,
        }
    }

    /// Reads a value.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(self, text: &str, larder: &Contents) -> Result<i64, String> {
        let places = self.places(larder);
        let least = i64::from(self == Self::Eaters);
        let read = decimal(text.trim(), places)
            .filter(|value| (least..=self.most(larder)).contains(value));
        read.ok_or_else(|| {
            let digits = match places {
                0 => "a whole number".to_owned(),
                1 => "a number with at most one digit behind the point".to_owned(),
                more => format!("a number with at most {more} digits behind the point"),
            };
            format!(
                "{}: write {digits}, at most {}",
                self.label(),
                self.written(self.most(larder), larder)
            )
        })
    }
}

/// What all of them are, if they are one.
fn alike<T: Copy + PartialEq>(all: &[T]) -> Option<T> {
    let (&first, rest) = all.split_first()?;
    rest.iter().all(|&one| one == first).then_some(first)
}

/// Reads a number with at most so many digits behind the point.
fn decimal(text: &str, places: u32) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let fits = !whole.is_empty() && whole.len() <= 12 && part.len() <= places as usize;
    if !fits || !digits(whole) || !digits(part) || text.ends_with('.') {
        return None;
    }
    let padded = format!("{part:0<width$}", width = places as usize);
    let part = if padded.is_empty() {
        0
    } else {
        padded.parse().ok()?
    };
    whole
        .parse::<i64>()
        .ok()?
        .checked_mul(10_i64.pow(places))?
        .checked_add(part)
}

/// What is said of a food or a recipe.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Word {
    /// It is in the week, on the named day if there is one.
    Have(Option<String>),
    /// It is not.
    Leave,
}

/// Everything asked.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asking {
    /// Numbers, in the dial's units.
    pub dials: BTreeMap<Dial, i64>,
    /// Words on foods and recipes, by name.
    pub words: BTreeMap<String, Word>,
}

/// One change of what is asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// A dial set, or back as the kitchen has it.
    Dial(Dial, Option<i64>),
    /// A word said, or taken back.
    Word(String, Option<Word>),
}

impl Asking {
    /// Returns what is asked with a change made.
    #[must_use]
    pub fn with(&self, change: &Change) -> Self {
        let mut new = self.clone();
        match change {
            Change::Dial(dial, Some(value)) => {
                new.dials.insert(*dial, *value);
            }
            Change::Dial(dial, None) => {
                new.dials.remove(dial);
            }
            Change::Word(name, Some(word)) => {
                // A day has one lunch: what was kept on it gives way.
                if let Word::Have(Some(day)) = word {
                    let same = Word::Have(Some(day.clone()));
                    new.words.retain(|_, other| *other != same);
                }
                new.words.insert(name.clone(), word.clone());
            }
            Change::Word(name, None) => {
                new.words.remove(name);
            }
        }
        new
    }

    /// Returns what is asked without numbers that are the kitchen's own.
    #[must_use]
    pub(super) fn plainly(&self, plain: &Contents) -> Self {
        let mut new = self.clone();
        new.dials
            .retain(|dial, value| dial.in_larder(plain) != Some(*value));
        new
    }

    /// Returns the kitchen with everything asked.
    ///
    /// # Errors
    /// One message for each thing that cannot be asked.
    pub fn larder(&self, plain: &Larder) -> Result<Larder, Vec<String>> {
        let mut larder = plain.clone();
        let mut faults = Vec::new();
        let mut set = |what: &str, change: &dyn Fn(&mut Contents)| match larder.changed(change) {
            Ok(changed) => larder = changed,
            Err(flaws) => {
                let told = flaws.first().map(flaw_told);
                let told = told.map_or(String::new(), |told| {
                    format!("{}; {}", told.what, told.help)
                });
                faults.push(format!("{what}: {told}"));
            }
        };
        for (&dial, &value) in &self.dials {
            set(dial.label(), &|new| match dial.limit() {
                Some(limit) => set_limit(new, limit, Some(value)),
                None => new.week.eaters_milli.fill(value),
            });
        }
        let mut known = Names::new(plain);
        let mut unknown = Vec::new();
        for (name, word) in &self.words {
            match word {
                Word::Leave => match known.target(name) {
                    Ok(targets) => set(name, &|new| new.wishes.without.extend(targets.clone())),
                    Err(error) => unknown.push(error.what),
                },
                Word::Have(day) => match known.pin(&pinned(name, day.as_deref())) {
                    Ok(pin) => set(name, &|new| new.wishes.with.push(pin.clone())),
                    Err(error) => unknown.push(error.what),
                },
            }
        }
        faults.extend(unknown);
        if faults.is_empty() {
            Ok(larder)
        } else {
            Err(faults)
        }
    }

    /// Returns the command line that asks the same, for a POSIX shell.
    pub fn command(&self, folder: Option<&str>, plain: &Contents) -> String {
        let mut line = "scant week".to_owned();
        if let Some(folder) = folder {
            let _ = write!(line, " {}", quoted(folder));
        }
        for (option, value) in self.options(plain) {
            let _ = write!(line, " {option} {}", quoted(&value));
        }
        line
    }

    /// Returns the options and their values.
    pub fn options(&self, plain: &Contents) -> Vec<(&'static str, String)> {
        let dials = self.dials.iter();
        let mut all: Vec<(&'static str, String)> = dials
            .map(|(dial, &value)| (dial.option(), dial.written(value, plain)))
            .collect();
        for (name, word) in &self.words {
            all.push(match word {
                Word::Leave => ("--without", name.clone()),
                Word::Have(day) => ("--with", pinned(name, day.as_deref())),
            });
        }
        all
    }
}

impl Change {
    /// Says a change of what was asked, as `budget 24.00 to 22.00`.
    pub fn sentence(&self, before: &Asking, plain: &Contents) -> String {
        match self {
            Self::Dial(dial, value) => {
                let was = before
                    .dials
                    .get(dial)
                    .copied()
                    .or_else(|| dial.in_larder(plain));
                let is = value.or_else(|| dial.in_larder(plain));
                let told = |value: Option<i64>| {
                    value.map_or(dial.unset(plain).to_owned(), |value| {
                        dial.written(value, plain)
                    })
                };
                format!("{} {} to {}", dial.said(), told(was), told(is))
            }
            Self::Word(name, word) => {
                let name = unicode::isolated(name);
                match word {
                    None => format!("{name} free"),
                    Some(Word::Leave) => format!("{name} left out"),
                    Some(Word::Have(None)) => format!("must have {name}"),
                    Some(Word::Have(Some(day))) => format!("{name} kept on {day}"),
                }
            }
        }
    }
}

/// A name and its day as `--with` reads them.
fn pinned(name: &str, day: Option<&str>) -> String {
    day.map_or(name.to_owned(), |day| format!("{name} on {day}"))
}

/// A word of a command line.
fn quoted(word: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"_-./,:+=@%".contains(&byte);
    if !word.is_empty() && !word.starts_with('-') && word.bytes().all(plain) {
        return word.to_owned();
    }
    // A value that begins with a dash would be read as an option; folders may be `-x` too.
    format!("'{}'", word.replace('\'', "'\\''"))
}

/// Money in a sentence.
pub(super) fn cash(minor: i64, larder: &Contents) -> String {
    words::cash(minor, &larder.currency)
}

/// Portions in thousandths as a whole number where they are one.
pub(super) fn whole_eaters(milli: i64) -> Option<i64> {
    (milli % MILLI == 0).then_some(milli / MILLI)
}

/// Returns a lunch day as `--with NAME on DAY` reads it: by name, by number where the name is one of
/// another week.
pub fn day_word(larder: &Contents, day: crate::larder::Day) -> String {
    larder.week.calendar.key(day.into())
}
