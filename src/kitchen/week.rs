//! Reads `week:` and the names of days.

use super::fault::Sink;
use super::fields::{self, Fields};
use super::limits;
use super::node::{Node, Value};
use super::number::{Decimal, decimal};
use super::shops;
use super::wording::{Says, either, says, shown};
pub(crate) use crate::larder::calendar::WEEKDAYS;
use crate::larder::{Calendar, Currency, Day, MILLI, MOST_DAYS, ShoppingTrip, Week, calendar};

/// What is needed to understand a day: the prep day and N.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    prep: usize,
    pub(crate) lunches: u8,
}

impl Frame {
    /// Returns the frame of a week that was read.
    pub(crate) fn of(week: &Week) -> Self {
        Self {
            prep: week.calendar.weekday(),
            lunches: week.lunches,
        }
    }

    /// Reads a day: a weekday's name means the first such day, 0 is the prep day.
    pub(crate) fn day(&self, text: &str) -> Result<i64, Says> {
        let text = text.trim();
        if text.starts_with(|c: char| c.is_ascii_digit() || c == '-') {
            return decimal(
                text,
                Decimal {
                    places: 0,
                    least: 0,
                    most: limits::DAYS,
                    what: "a day",
                    example: "3 (counted from the prep day)",
                },
            );
        }
        if let Some(index) = weekday(text) {
            return Ok(((index + 7 - self.prep) % 7) as i64);
        }
        let lower = text.to_lowercase();
        let meant: Vec<&str> = WEEKDAYS
            .into_iter()
            .filter(|day| lower.len() >= 2 && day.to_lowercase().starts_with(&lower))
            .collect();
        let help = if meant.is_empty() {
            // Seven short words: no allowance is ever spent on them.
            let allowance = &mut super::spelling::Allowance::default();
            super::spelling::meant(WEEKDAYS.into_iter(), text, allowance, || {
                "write a weekday's name, or a number counted from the prep day".to_owned()
            })
        } else {
            format!("write it in full: {}", either(&meant))
        };
        Err(says(format!("`{}` is not a day", shown(text)), help))
    }

    /// Reads a day that must be one of the lunch days 1..=N.
    pub(crate) fn lunch_day(&self, text: &str) -> Result<Day, Says> {
        let day = self.day(text)?;
        if day < 1 || day > i64::from(self.lunches) {
            return Err(says(
                format!("`{}` is not a lunch day of this week", shown(text.trim())),
                format!("the lunch days are {}", self.lunch_days()),
            ));
        }
        Ok(day as Day)
    }

    /// Returns "1 (Monday) to 5 (Friday)".
    fn lunch_days(&self) -> String {
        let name = |day: u8| WEEKDAYS[(self.prep + usize::from(day)) % 7];
        match self.lunches {
            1 => format!("1 ({})", name(1)),
            n => format!("1 ({}) to {n} ({})", name(1), name(n)),
        }
    }

    fn name(&self, day: i32) -> String {
        Calendar::of(self.prep).name(day)
    }
}

fn weekday(text: &str) -> Option<usize> {
    WEEKDAYS.iter().position(|day| {
        // In full, or cut to three letters as reports print it.
        let text = text.trim();
        day.eq_ignore_ascii_case(text) || day[..3].eq_ignore_ascii_case(text)
    })
}

/// What `week:` says.
pub(crate) struct Read {
    pub(crate) week: Week,
    /// Shops, the usual one first; empty if none is named.
    pub(crate) shops: Vec<String>,
    pub(crate) frame: Frame,
}

/// Reads `week:`; `None` gives the defaults.
pub(crate) fn read(node: Option<&Node>, currency: &Currency, sink: &mut Sink) -> Read {
    let keys = [
        "lunches",
        "prep_day",
        "starts",
        "carry_day",
        "eaters",
        "trips",
        "shops",
    ];
    let fields = node.and_then(|node| Fields::open(node, "the week", &keys, sink));
    let mut frame = Frame {
        prep: 0,
        lunches: 5,
    };
    let mut dated = None;
    if let Some(fields) = &fields {
        let count = Decimal {
            places: 0,
            least: 1,
            most: MOST_DAYS as i64,
            what: "a number of lunch days",
            example: "5",
        };
        if let Some(n) = fields.number("lunches", count, sink) {
            frame.lunches = n as u8;
        }
        if let Some(text) = fields.text("prep_day", sink) {
            if let Some(index) = weekday(text) {
                frame.prep = index;
            } else {
                let fault = says(
                    format!("`{}` is not a weekday", shown(text)),
                    "write its name in full, like `prep_day: Sunday`",
                );
                sink.refuse::<()>(fields.value_at("prep_day"), fault);
            }
        }
        dated = starts(fields, &mut frame, sink);
    }
    let n = i32::from(frame.lunches);
    let mut shops = Vec::new();
    let mut week = Week {
        lunches: frame.lunches,
        calendar: dated.unwrap_or(Calendar::of(frame.prep)),
        carry_day: n + 3,
        eaters_milli: vec![MILLI; frame.lunches.into()],
        trips: vec![ShoppingTrip::on(0)],
    };
    if let Some(fields) = &fields {
        let carry = Decimal {
            places: 0,
            least: i64::from(n) + 1,
            most: limits::DAYS,
            what: "the first day of the next cycle",
            example: "8 (a number above the last lunch day)",
        };
        if let Some(day) = fields.number("carry_day", carry, sink) {
            week.carry_day = day as i32;
        }
        if let Some(node) = fields.get("eaters", sink) {
            eaters(node, &frame, &mut week.eaters_milli, sink);
        }
        if let Some(node) = fields.get("trips", sink)
            && let Some(days) = trips(node, &frame, sink)
        {
            week.trips = days.into_iter().map(ShoppingTrip::on).collect();
        }
        if let Some(node) = fields.get("shops", sink) {
            if fields.has("trips") {
                sink.fault(
                    fields.key_at("trips"),
                    "a week has `trips` or `shops`, not both",
                    "write the shopping days at each shop: `days: [0, 3]`",
                );
            }
            let days = |node: &Node, sink: &mut Sink| shopping_days(node, "days", &frame, sink);
            (shops, week.trips) = shops::read(node, &days, currency, sink);
        }
    }
    Read { week, shops, frame }
}

/// Reads the date of the first lunch; the prep day is its eve, by itself or as the file says.
fn starts(fields: &Fields, frame: &mut Frame, sink: &mut Sink) -> Option<Calendar> {
    let text = fields.text("starts", sink)?;
    let at = fields.value_at("starts");
    let eve = calendar::date(text.trim()).and_then(|date| calendar::moved(date, -1));
    let Some(eve) = eve else {
        let what = format!("`{}` is not a date", shown(text));
        return sink.refuse(
            at,
            says(
                what,
                "write the date of the first lunch, like `starts: 2031-03-03`",
            ),
        );
    };
    let dated = Calendar::from(eve);
    if fields.get("prep_day", sink).is_none() {
        frame.prep = dated.weekday();
    } else if frame.prep != dated.weekday() {
        let first = WEEKDAYS[(frame.prep + 1) % WEEKDAYS.len()];
        let what = format!(
            "{} is a {}, and the first lunch is on {first}, after the prep day",
            text.trim(),
            WEEKDAYS[(dated.weekday() + 1) % WEEKDAYS.len()]
        );
        let prep = WEEKDAYS[dated.weekday()];
        return sink.refuse(
            at,
            says(
                what,
                format!("write the date of a {first}, or `prep_day: {prep}`"),
            ),
        );
    }
    Some(dated)
}

const PORTIONS: Decimal = Decimal {
    places: 3,
    least: 0,
    most: limits::EATERS_MILLI / MILLI,
    what: "a number of eaters",
    example: "3, or a list of portion factors such as [1, 1, 1.25]",
};

/// Reads a number of eaters or a list of portion factors, in thousandths.
fn portions(node: &Node, sink: &mut Sink) -> Option<i64> {
    let sum = match &node.value {
        Value::List(_) => {
            let items = fields::list(node, "eaters", limits::LIST, sink)?;
            let mut sum = 0;
            for item in items {
                let one = fields::number(item, "eaters", PORTIONS, sink)?;
                if one == 0 {
                    sink.fault(
                        item.at,
                        "a portion factor of 0 feeds nobody",
                        "write a factor above 0, such as 0.75, or leave the eater out",
                    );
                    return None;
                }
                sum += one;
            }
            sum
        }
        _ => fields::number(node, "eaters", PORTIONS, sink)?,
    };
    if sum == 0 {
        sink.fault(
            node.at,
            "nobody eats on this day",
            "a lunch day feeds someone; for fewer lunches lower `lunches`",
        );
        return None;
    }
    if sum > limits::EATERS_MILLI {
        sink.fault(
            node.at,
            "more than 1000 portions a day",
            "check the factors; the limit is 1000",
        );
        return None;
    }
    Some(sum)
}

fn eaters(node: &Node, frame: &Frame, out: &mut [i64], sink: &mut Sink) {
    let Value::Map(entries) = &node.value else {
        if let Some(sum) = portions(node, sink) {
            out.fill(sum);
        }
        return;
    };
    let mut set = vec![false; out.len()];
    if let Some((_, each)) = entries.iter().find(|(key, _)| key.text == "each_day") {
        if let Some(sum) = portions(each, sink) {
            out.fill(sum);
        }
        set.fill(true);
    }
    let mut named = vec![false; out.len()];
    for (key, value) in entries.iter().filter(|(key, _)| key.text != "each_day") {
        let Some(day) = sink.take(key.at, frame.lunch_day(&key.text)) else {
            continue;
        };
        let index = usize::from(day) - 1;
        if named[index] {
            sink.fault(key.at, "this day stands twice", "keep one of the two");
        }
        named[index] = true;
        set[index] = true;
        if let Some(sum) = portions(value, sink) {
            out[index] = sum;
        }
    }
    if let Some(index) = set.iter().position(|&there| !there) {
        sink.fault(
            node.at,
            format!("nothing says who eats on {}", frame.name(index as i32 + 1)),
            "add `each_day:` with the usual number, or name every lunch day",
        );
    }
}

fn trips(node: &Node, frame: &Frame, sink: &mut Sink) -> Option<Vec<Day>> {
    shopping_days(node, "trips", frame, sink)
}

/// Reads the days on which one shops, under whatever key.
fn shopping_days(node: &Node, key: &str, frame: &Frame, sink: &mut Sink) -> Option<Vec<Day>> {
    let items = fields::list(node, key, MOST_DAYS, sink)?;
    let mut days: Vec<Day> = Vec::new();
    for item in items {
        let text = fields::text(item, key, limits::NAME, sink)?;
        let day = sink.take(item.at, frame.day(text))?;
        if day >= i64::from(frame.lunches) {
            sink.fault(
                item.at,
                format!(
                    "the shopping day `{}` is not before the last lunch day",
                    shown(text)
                ),
                format!("write days from 0 to {}", frame.lunches - 1),
            );
            return None;
        }
        if days.last().is_some_and(|&last| i64::from(last) >= day) {
            sink.fault(
                item.at,
                "shopping days must rise",
                format!("write them in order, each once, like `{key}: [0, 3]`"),
            );
            return None;
        }
        days.push(day as Day);
    }
    if days.is_empty() {
        sink.fault(
            node.at,
            "no shopping day is given",
            format!("write at least one, like `{key}: [0]`"),
        );
        return None;
    }
    Some(days)
}
