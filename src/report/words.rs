//! Units and short phrases: how every figure is written. The sentences are in
//! [`sentences`](super::sentences).
//!
//! Figures are rounded here for reading only; the exact ones are in the JSON.

use std::fmt::Display;

use chrono::{Datelike as _, NaiveDate};

use crate::explain::When;
use crate::larder::calendar::{MONTHS, WEEKDAYS};
use crate::larder::{Currency, NANO, Nutrient};

/// A space at which no line is broken; printed as a plain space.
pub(super) const JOINT: char = '\u{a0}';

/// Returns minor units as a price is written: `$3.49`, `3.49 zł`, `CHF 3.49`.
pub(crate) fn cash(minor: i64, currency: &Currency) -> String {
    currency.cash(minor.into())
}

/// The same of 1e-9 minor units, rounded to the nearest.
pub(crate) fn cash_nano(nano: i64, currency: &Currency) -> String {
    cash(nearest(nano, NANO), currency)
}

/// Returns minor units as the figure alone, for the cells of a file: `3.49`.
pub(super) fn plain_money(minor: i64, currency: &Currency) -> String {
    currency.plain(minor.into())
}

/// The same of 1e-9 minor units, rounded to the nearest.
pub(super) fn plain_money_nano(nano: i64, currency: &Currency) -> String {
    plain_money(nearest(nano, NANO), currency)
}

/// From this day on a day is no weekday any more but a date, or how long until then.
const FAR: i32 = 14;

/// Returns until when something is good, for a column: the weekday; from the second week after
/// on the date, or how long from the prep day.
pub(super) fn until(when: &When) -> String {
    match when.date {
        _ if when.day < FAR => after(when),
        Some(date) => joint(&far(when, date)),
        None => joint(&lasting(when.day)),
    }
}

/// Returns a span of days as a cook says it: whole weeks and months that are over by then.
fn lasting(days: i32) -> String {
    match days {
        ..FAR => count(days.into(), "day"),
        FAR..60 => count((days / 7).into(), "week"),
        _ => count((days / 30).into(), "month"),
    }
}

/// A date without its weekday, with the year where another one may be meant.
fn far(when: &When, date: NaiveDate) -> String {
    /// So near a date is of one year only.
    const ONE_YEAR: i32 = 300;
    let month = month(date);
    if when.day < ONE_YEAR {
        format!("{} {month}", date.day())
    } else {
        format!("{} {month} {}", date.day(), date.year())
    }
}

/// Returns until when something is good in a sentence, seen from a day: `to Friday`,
/// `to the Monday after`, `for 8 weeks`, `to Friday 2 May`.
pub(super) fn good(until: &When, from: &When) -> String {
    end_seen(until).map_or_else(
        || format!("for {}", lasting(until.day - from.day)),
        |last| format!("to {last}"),
    )
}

/// Returns by when something is eaten: `by Friday`, `within 8 weeks`.
pub(super) fn by(until: &When, from: &When) -> String {
    end_seen(until).map_or_else(
        || format!("within {}", lasting(until.day - from.day)),
        |last| format!("by {last}"),
    )
}

/// The last day by name; none where it is too far off for one.
fn end_seen(until: &When) -> Option<String> {
    let named = until.day < FAR || until.date.is_some();
    named.then(|| the(until))
}

/// Returns a day for the columns of a CSV file: its date where it is known, else its name.
pub(super) fn plain_day(when: &When) -> String {
    (when.date).map_or_else(|| when.name.clone(), |date| date.to_string())
}

/// Returns a text that is not broken.
pub(super) fn joint(text: &str) -> String {
    text.replace(' ', &JOINT.to_string())
}

/// Returns a day, that of the week after as `Mon after`.
pub(super) fn after(when: &When) -> String {
    let short = short(when);
    match short.strip_prefix("next ") {
        Some(day) => format!("{day}{JOINT}after"),
        None => short,
    }
}

/// Returns a day in a sentence, that of the week after as `the Monday after`.
pub(super) fn the(when: &When) -> String {
    match when.name.strip_prefix("next ") {
        Some(day) => format!("the {day} after"),
        None => when.name.clone(),
    }
}

/// Returns a mass: `40 mg`, `2.5 g`, `250 g`, `1.25 kg`.
pub(crate) fn mass(mg: i64) -> String {
    match mg {
        ..100 => format!("{mg}{JOINT}mg"),
        100..9_950 => format!("{}{JOINT}g", tenths(nearest(mg, 100))),
        9_950..999_500 => format!("{}{JOINT}g", nearest(mg, 1_000)),
        _ => {
            let hundredths = nearest(mg, 10_000);
            let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
            format!(
                "{}{JOINT}kg",
                text.trim_end_matches('0').trim_end_matches('.')
            )
        }
    }
}

/// Returns a mass in grams without the unit: a tenth below 10 g.
pub(super) fn grams(mg: i64) -> String {
    if mg < 9_950 {
        tenths(nearest(mg, 100))
    } else {
        nearest(mg, 1_000).to_string()
    }
}

/// Returns minutes to a tenth: `12`, `7.5`.
pub(crate) fn minutes(nano: i64) -> String {
    tenths(nearest(nano, NANO / 10))
}

/// Returns a nutrient amount without its unit: a tenth below 10, whole from there.
pub(super) fn amount(milli: i64) -> String {
    if milli.abs() < 9_950 {
        tenths(nearest(milli, 100))
    } else {
        nearest(milli, 1_000).to_string()
    }
}

/// Returns a nutrient with its unit: `24 g`.
pub(super) fn nutrient(milli: i64, nutrient: Nutrient) -> String {
    format!("{}{JOINT}{}", amount(milli), nutrient.unit())
}

/// Returns thousandths without needless zeros: `3`, `1.25`.
pub(super) fn thousandths(milli: i64) -> String {
    let sign = if milli < 0 { "-" } else { "" };
    let whole = milli.unsigned_abs();
    let text = format!("{sign}{}.{:03}", whole / 1_000, whole % 1_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Returns thousandths to two digits, without trailing zeros: `1.25`.
pub(super) fn hundredths(milli: i64) -> String {
    thousandths(nearest(milli, 10) * 10)
}

/// Returns part of whole in percent: `12 %`.
pub(super) fn share(part: i64, whole: i64) -> String {
    if whole == 0 {
        return format!("0{JOINT}%");
    }
    let percent = nearest_wide(i128::from(part) * 100, i128::from(whole));
    match percent {
        0 if part > 0 => format!("<1{JOINT}%"),
        _ => format!("{percent}{JOINT}%"),
    }
}

/// Returns a day for a narrow column: weekdays cut to three letters, `next Mon`.
pub(crate) fn short(when: &When) -> String {
    if let Some(date) = when.date {
        let month = match when.day {
            ..7 => String::new(),
            _ => format!(" {}", month(date)),
        };
        return format!("{} {}{month}", weekday(when), date.day());
    }
    let words: Vec<&str> = when
        .name
        .split(' ')
        .map(|word| {
            if WEEKDAYS.contains(&word) {
                &word[..3]
            } else {
                word
            }
        })
        .collect();
    words.join(" ")
}

/// The weekday in three letters.
fn weekday(when: &When) -> &str {
    let named = WEEKDAYS.iter().find(|day| when.name.contains(*day));
    named.map_or("", |day| &day[..3])
}

/// Returns the weekday in one letter, for the head of a column of marks.
pub(super) fn letter(when: &When) -> &str {
    weekday(when).get(..1).unwrap_or_default()
}

/// The month in three letters.
fn month(date: NaiveDate) -> &'static str {
    &MONTHS[date.month0() as usize][..3]
}

/// Returns what is said of a day in a row of days: `Mon 540 g`, `Mon 3: 540 g`.
pub(super) fn of(when: &When, said: impl Display) -> String {
    let colon = if when.date.is_some() { ":" } else { "" };
    format!("{}{colon} {said}", short(when))
}

/// Returns days in a row: `Mon Wed Thu`, `Mon 3, Wed 5, Thu 6`.
pub(super) fn days<'a>(days: impl IntoIterator<Item = &'a When>) -> String {
    let mut dated = false;
    let names = days.into_iter().map(|when| {
        dated |= when.date.is_some();
        short(when)
    });
    let names: Vec<String> = names.collect();
    names.join(if dated { ", " } else { " " })
}

/// Returns how many lunches something feeds and which: `3: Mon Wed Thu`.
pub(super) fn feeds(days_fed: &[When], of: usize) -> String {
    match days_fed.len() {
        0 => "none".to_owned(),
        n if n == of && n > 2 => format!("{n}: every day"),
        n => format!("{n}: {}", days(days_fed)),
    }
}

/// Returns names as a sentence lists them: `kale, rice and tofu`.
pub(crate) fn and<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", first.join(", "), last.as_ref())
        }
    }
}

/// Returns a count with its noun, plural by `s`: `1 food`, `3 foods`.
pub(crate) fn count(n: i64, noun: &str) -> String {
    if let Some(noun) = noun.strip_suffix(" to buy") {
        return count(n, noun) + " to buy";
    }
    let plural = match noun.strip_suffix('y') {
        _ if n == 1 => noun.to_owned(),
        Some(stem) if !noun.ends_with("ay") => format!("{stem}ies"),
        _ if noun.ends_with("ch") => format!("{noun}es"),
        _ => format!("{noun}s"),
    };
    format!("{} {plural}", grouped(n))
}

/// Returns a large count with spaces between thousands: `12 345`.
pub(super) fn grouped(n: i64) -> String {
    let digits = n.unsigned_abs().to_string();
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    if n < 0 { format!("-{out}") } else { out }
}

fn nearest(value: i64, unit: i64) -> i64 {
    nearest_wide(i128::from(value), i128::from(unit)) as i64
}

/// Rounds half away from zero.
fn nearest_wide(value: i128, unit: i128) -> i128 {
    let half = unit / 2;
    if value < 0 {
        -((-value + half) / unit)
    } else {
        (value + half) / unit
    }
}

fn tenths(n: i64) -> String {
    let sign = if n < 0 { "-" } else { "" };
    let n = n.unsigned_abs();
    if n.is_multiple_of(10) {
        format!("{sign}{}", n / 10)
    } else {
        format!("{sign}{}.{}", n / 10, n % 10)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn currency(digits: u8) -> Currency {
        Currency {
            code: "XTS".to_owned(),
            digits,
        }
    }

    #[test]
    fn money_is_rounded_to_the_nearest_minor_unit() {
        assert_eq!(plain_money_nano(1_499_999_999, &currency(2)), "0.01");
        assert_eq!(plain_money_nano(1_500_000_000, &currency(2)), "0.02");
    }

    #[test]
    fn a_mass_is_written_in_the_unit_a_cook_would_weigh() {
        let written = [
            40, 2_500, 9_999, 250_000, 999_499, 999_500, 1_250_000, 2_000_000,
        ];
        let read = [
            "40 mg", "2.5 g", "10 g", "250 g", "999 g", "1 kg", "1.25 kg", "2 kg",
        ];
        assert_eq!(written.map(|mg| mass(mg).replace(JOINT, " ")), read);
    }

    #[test]
    fn counts_agree_with_their_nouns() {
        assert_eq!(count(1, "lunch"), "1 lunch");
        assert_eq!(count(2, "lunch"), "2 lunches");
        assert_eq!(count(2, "family"), "2 families");
        assert_eq!(count(2, "day"), "2 days");
        assert_eq!(count(12_345, "food"), "12 345 foods");
    }
}
