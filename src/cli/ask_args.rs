//! What may be typed of the week that is asked for, and how it is told.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::console::Typed;
use crate::larder::former::MOST_FORMER;
use crate::larder::{Aim, calendar, limits};

/// What may be asked of a week. Options override the kitchen's own rules for this run.
#[derive(Args, Debug)]
pub struct AskArgs {
    /// The kitchen's folder; the built-in demo kitchen if left out
    pub dir: Option<PathBuf>,
    /// Most foods to buy
    #[arg(long, value_name = "N", value_parser = foods)]
    pub cap: Option<i64>,
    /// Let the cap count families of foods
    #[arg(long)]
    pub cap_families: bool,
    /// Do without a food, family, tag, allergen, equipment, recipe, component or shop; the report
    /// says what that changed (repeatable)
    #[arg(long, value_name = "NAME")]
    pub without: Vec<Typed>,
    /// Have a recipe or a food in the week, on a day if one is named (repeatable)
    #[arg(long, value_name = "NAME[ on DAY]")]
    pub with: Vec<Typed>,
    /// Most money for the packs bought, in the kitchen's currency
    #[arg(long, value_name = "MONEY")]
    pub budget: Option<Typed>,
    /// Most active minutes on the prep day
    #[arg(long, value_name = "N", value_parser = minutes)]
    pub prep_minutes: Option<i64>,
    /// Most active minutes on each lunch day
    #[arg(long, value_name = "N", value_parser = minutes)]
    pub day_minutes: Option<i64>,
    /// Most minutes in the kitchen on any day, the prep day too: active and watched ones
    #[arg(long, value_name = "N", value_parser = minutes)]
    pub kitchen_minutes: Option<i64>,
    /// Portions each day, up to three decimals
    #[arg(long, value_name = "N")]
    pub eaters: Option<Typed>,
    /// Strict order of aims, each settled before the next
    #[arg(long, value_name = "AIMS", value_delimiter = ',')]
    pub order: Vec<AimWord>,
    /// Tell days by date: the date of the first Monday from the prep day on; as `starts` of the
    /// kitchen's `week`
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = monday)]
    pub monday: Option<chrono::NaiveDate>,
    /// What the week comes after.
    #[command(flatten)]
    pub after: AfterArgs,
    /// Stop after so many seconds in all, with the best so far
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub limit: Option<std::time::Duration>,
    /// Threads to search with; 0 is all. The answer is the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = threads)]
    pub threads: usize,
}

/// What the week comes after.
#[derive(Args, Debug)]
pub struct AfterArgs {
    /// Start from what a former week left, as `scant week --format json` printed it; it stands
    /// in the place of the kitchen's own stock
    #[arg(long, value_name = "PLAN.json")]
    pub after: Option<PathBuf>,
    /// Days from the former prep day to this one; the former carry day less one if left out
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(i32).range(1..=limits::DAYS))]
    pub days_on: Option<i32>,
    /// Refuse recipes served in the last K weeks
    #[arg(long, value_name = "K", value_parser = weeks)]
    pub rest: Option<usize>,
    /// Put a price on each lunch whose recipe was served in the last K weeks (1 if left out)
    #[arg(long, value_name = "MONEY[@K]")]
    pub again: Option<Typed>,
}

/// How a week, its prep plan or weeks in a row are finished and printed.
#[derive(Args, Debug)]
pub struct ToldArgs {
    /// How to print it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Place optional lines on each week: none, free (from what is left, nothing more bought),
    /// or with up to N further packs
    #[arg(long, value_name = "none|free|N", default_value = "none", value_parser = finishing)]
    pub finish: Finishing,
}

/// Whether optional lines are placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finishing {
    /// Not at all.
    None,
    /// With up to so many further packs.
    With(usize),
}

pub(super) fn finishing(typed: &str) -> Result<Finishing, String> {
    match typed {
        "none" => Ok(Finishing::None),
        "free" => Ok(Finishing::With(0)),
        _ => match typed.parse() {
            Ok(packs) if packs <= 100 => Ok(Finishing::With(packs)),
            _ => Err("write `none`, `free`, or how many packs may be bought, 0 to 100".to_owned()),
        },
    }
}

/// An aim as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum AimWord {
    /// Foods to buy
    Foods,
    /// Packs bought and staples used
    Cost,
    /// Value of what spoils
    Spoiled,
    /// Active minutes
    Minutes,
}

impl From<AimWord> for Aim {
    fn from(word: AimWord) -> Self {
        match word {
            AimWord::Foods => Self::Foods,
            AimWord::Cost => Self::Cost,
            AimWord::Spoiled => Self::Spoiled,
            AimWord::Minutes => Self::Minutes,
        }
    }
}

/// How the week is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people, 80 columns wide, up to 120 on a terminal that has them
    Text,
    /// For programs; `scant schema` describes it
    Json,
}

/// Reads the date of a Monday.
pub(super) fn date(text: &str) -> Result<chrono::NaiveDate, String> {
    calendar::date(text).ok_or_else(|| "write a date such as 2031-03-03".to_owned())
}

fn monday(text: &str) -> Result<chrono::NaiveDate, String> {
    use chrono::Datelike as _;
    let date = date(text)?;
    let before = date.weekday().num_days_from_monday() as i32;
    match calendar::moved(date, -before) {
        Some(monday) if before > 0 => Err(format!(
            "it is no Monday; the Monday of that week is {monday}"
        )),
        _ => Ok(date),
    }
}

pub(super) fn seconds(text: &str) -> Result<std::time::Duration, String> {
    use std::time::Duration;
    match text.parse::<f64>() {
        // Longer than a clock can count is as long as it takes.
        Ok(seconds) if seconds >= 0.0 && seconds.is_finite() => {
            Ok(Duration::try_from_secs_f64(seconds).unwrap_or(Duration::MAX))
        }
        _ => Err(
            "write seconds as a number of at least 0, such as 30 or 0.5; for as long as it \
                  takes leave it out"
                .to_owned(),
        ),
    }
}

fn foods(text: &str) -> Result<i64, String> {
    match text.parse::<i64>() {
        Ok(foods) if (0..=limits::COUNT).contains(&foods) => Ok(foods),
        _ => Err(format!(
            "write how many foods may be bought, a whole number from 0 to {}",
            limits::COUNT
        )),
    }
}

fn minutes(text: &str) -> Result<i64, String> {
    match text.parse::<i64>() {
        Ok(minutes) if (0..=limits::MINUTES).contains(&minutes) => Ok(minutes),
        _ => Err(format!(
            "write minutes, a whole number from 0 to {}",
            limits::MINUTES
        )),
    }
}

pub(super) fn threads(text: &str) -> Result<usize, String> {
    const MOST: usize = 1_024;
    match text.parse::<usize>() {
        Ok(threads) if threads <= MOST => Ok(threads),
        _ => Err(format!("write a whole number from 0 to {MOST}")),
    }
}

/// Reads a number of former weeks.
pub(super) fn weeks(text: &str) -> Result<usize, String> {
    match text.parse::<usize>() {
        Ok(weeks) if (1..=MOST_FORMER).contains(&weeks) => Ok(weeks),
        _ => Err(format!("write a number of weeks from 1 to {MOST_FORMER}")),
    }
}
