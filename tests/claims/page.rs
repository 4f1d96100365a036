//! Reads a finished text back: sections, sentences, tables, figures.

use scant::larder::{Contents, Currency};

/// A part of a text, between blank lines.
#[derive(Debug, Default)]
pub struct Section {
    /// In capitals; empty if it has none.
    pub title: String,
    /// All that is neither in a list nor the title, line by line.
    pub lines: Vec<String>,
    /// Items of its lists, each on one line.
    pub items: Vec<String>,
}

impl Section {
    /// The lines as one.
    pub fn prose(&self) -> String {
        let words: Vec<&str> = self
            .lines
            .iter()
            .flat_map(|l| l.split_whitespace())
            .collect();
        words.join(" ")
    }

    /// The rows of the table with this heading, cell by cell; a row begins where the cell
    /// `first` is not empty. Words of a cell that wraps are put together. `end` opens what
    /// follows the table.
    pub fn table(&self, head: &str, first: usize, end: &str) -> Option<Vec<Vec<String>>> {
        let at = self.lines.iter().position(|line| line.starts_with(head))?;
        let rule: Vec<char> = self.lines.get(at + 1)?.chars().collect();
        if !rule.iter().all(|c| *c == '-' || *c == ' ') {
            return None;
        }
        let mut spans: Vec<(usize, usize)> = Vec::new();
        for (place, c) in rule.iter().enumerate() {
            match (c, place.checked_sub(1).map(|before| rule[before])) {
                ('-', None | Some(' ')) => spans.push((place, place + 1)),
                ('-', _) => spans.last_mut()?.1 = place + 1,
                _ => {}
            }
        }
        let mut rows: Vec<Vec<String>> = Vec::new();
        for line in &self.lines[at + 2..] {
            if !end.is_empty() && line.starts_with(end) {
                break;
            }
            let chars: Vec<char> = line.chars().collect();
            let cells: Vec<String> = spans
                .iter()
                .map(|&(from, to)| {
                    let to = to.min(chars.len());
                    let cell: String = chars.get(from.min(to)..to)?.iter().collect();
                    Some(cell.trim().to_owned())
                })
                .map(Option::unwrap_or_default)
                .collect();
            if !cells.get(first)?.is_empty() || rows.is_empty() {
                rows.push(cells);
                continue;
            }
            for (cell, more) in rows.last_mut()?.iter_mut().zip(cells) {
                if !more.is_empty() {
                    *cell = format!("{cell} {more}").trim().to_owned();
                }
            }
        }
        Some(rows)
    }
}

/// Splits a text into its parts.
pub fn sections(text: &str) -> Vec<Section> {
    let mut all = Vec::new();
    for part in text.trim_end().split("\n\n") {
        let mut section = Section::default();
        let mut in_list = false;
        for (at, line) in part.lines().enumerate() {
            let capitals = line.chars().any(char::is_alphabetic) && line == line.to_uppercase();
            if at == 0 && capitals && !line.starts_with("- ") {
                line.clone_into(&mut section.title);
            } else if let Some(item) = line.strip_prefix("-  ") {
                section.items.push(item.to_owned());
                in_list = true;
            } else if in_list && line.starts_with("   ") {
                let last = section.items.last_mut().expect("in a list");
                last.push(' ');
                last.push_str(line.trim());
            } else {
                in_list = false;
                section.lines.push(line.to_owned());
            }
        }
        all.push(section);
    }
    all
}

/// What stands in the holes `{}` of a pattern, if the text has its form.
pub fn holes<'t>(pattern: &str, text: &'t str) -> Option<Vec<&'t str>> {
    let mut parts = pattern.split("{}");
    let mut rest = text.strip_prefix(parts.next()?)?;
    let mut found = Vec::new();
    let mut parts = parts.peekable();
    while let Some(part) = parts.next() {
        let end = if parts.peek().is_none() {
            // The last one reaches to the end.
            rest.strip_suffix(part)?.len()
        } else {
            rest.find(part)?
        };
        found.push(&rest[..end]);
        rest = &rest[end + part.len()..];
    }
    rest.is_empty().then_some(found)
}

/// Rounds half away from zero.
fn nearest(value: i128, unit: i128) -> i128 {
    let away = (2 * value.abs() + unit) / (2 * unit);
    if value < 0 { -away } else { away }
}

/// Minor units as a figure alone.
pub fn plain(minor: i64, currency: &Currency) -> String {
    let digits = usize::from(currency.digits);
    let text = format!("{:0width$}", minor.abs(), width = digits + 1);
    let (whole, part) = text.split_at(text.len() - digits);
    let sign = if minor < 0 { "-" } else { "" };
    let point = if digits > 0 { "." } else { "" };
    format!("{sign}{whole}{point}{part}")
}

/// Minor units as a price is written, of the currencies that kitchens here have.
pub fn money(minor: i64, currency: &Currency) -> String {
    let sign = if minor < 0 { "-" } else { "" };
    let figure = plain(minor.abs(), currency);
    match currency.code.as_str() {
        "USD" => format!("{sign}${figure}"),
        "EUR" => format!("{sign}€{figure}"),
        "GBP" => format!("{sign}£{figure}"),
        "JPY" => format!("{sign}¥{figure}"),
        code => format!("{sign}{code} {figure}"),
    }
}

/// The same of 1e-9 minor units.
pub fn money_nano(nano: i64, currency: &Currency) -> String {
    money(nearest(nano.into(), 1_000_000_000) as i64, currency)
}

/// With a plus where it is more than nothing, as printed.
pub fn signed(nano: i64, currency: &Currency) -> String {
    let text = money_nano(nano, currency);
    let more = nearest(nano.into(), 1_000_000_000) > 0;
    if more { format!("+{text}") } else { text }
}

fn decimal(value: i128, places: usize) -> String {
    let unit = 10_i128.pow(places as u32);
    let sign = if value < 0 { "-" } else { "" };
    let (whole, part) = (value.abs() / unit, value.abs() % unit);
    let text = format!("{sign}{whole}.{part:0places$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Thousandths, without needless zeros.
pub fn thousandths(milli: i64) -> String {
    decimal(milli.into(), 3)
}

/// Minutes to a tenth.
pub fn minutes(nano: i64) -> String {
    decimal(nearest(nano.into(), 100_000_000), 1)
}

/// A mass in the unit a cook would weigh.
pub fn mass(mg: i64) -> String {
    let mg = i128::from(mg);
    if mg < 100 {
        format!("{mg} mg")
    } else if mg < 9_950 {
        format!("{} g", decimal(nearest(mg, 100), 1))
    } else if mg < 999_500 {
        format!("{} g", nearest(mg, 1_000))
    } else {
        format!("{} kg", decimal(nearest(mg, 10_000), 2))
    }
}

/// Grams without the unit.
pub fn grams(mg: i64) -> String {
    let mg = i128::from(mg);
    if mg < 9_950 {
        decimal(nearest(mg, 100), 1)
    } else {
        nearest(mg, 1_000).to_string()
    }
}

/// A nutrient's amount, thousandths.
pub fn amount(milli: i64) -> String {
    let milli = i128::from(milli);
    if milli.abs() < 9_950 {
        decimal(nearest(milli, 100), 1)
    } else {
        nearest(milli, 1_000).to_string()
    }
}

/// Part of whole, percent.
pub fn share(part: i64, whole: i64) -> String {
    let percent = if whole == 0 {
        0
    } else {
        nearest(i128::from(part) * 100, whole.into())
    };
    if percent == 0 && part > 0 && whole > 0 {
        "<1 %".to_owned()
    } else {
        format!("{percent} %")
    }
}

/// Until when something is good, of kitchens without dates: a weekday, or whole weeks and months
/// that are over by then.
pub fn until(larder: &Contents, at: i64) -> String {
    if at < 14 {
        let short = short(&larder.day_name(at as i32));
        return short
            .strip_prefix("next ")
            .map_or(short.clone(), |day| format!("{day} after"));
    }
    lasting(at)
}

/// Days as whole weeks or months.
fn lasting(days: i64) -> String {
    let (n, word) = match days {
        ..14 => (days, "day"),
        14..60 => (days / 7, "week"),
        _ => (days / 30, "month"),
    };
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

/// By when a batch is eaten, seen from the day it is cooked on.
pub fn by(larder: &Contents, at: i64, from: i64) -> String {
    if at >= 14 {
        return format!("within {}", lasting(at - from));
    }
    let name = larder.day_name(at as i32);
    match name.strip_prefix("next ") {
        Some(day) => format!("by the {day} after"),
        None => format!("by {name}"),
    }
}

/// A count with its noun.
pub fn count(n: i64, one: &str, many: &str) -> String {
    assert!(n < 1_000, "no count here is so large");
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Names as a sentence lists them.
pub fn and(names: &[String]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A day's name as it stands in narrow columns.
pub fn short(name: &str) -> String {
    let words = name.split(' ').map(|word| {
        let weekday = word.ends_with("day") && word.starts_with(char::is_uppercase);
        if weekday { &word[..3] } else { word }
    });
    words.collect::<Vec<_>>().join(" ")
}
