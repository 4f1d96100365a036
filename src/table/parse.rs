//! Reads the embedded tables. Their text is part of the program, so a fault in it is ours: no line
//! is ever left out, and a table with a line that cannot be read is refused whole. The tests of
//! each table read all of it, so that no program with such a line passes them.

use std::fmt::Write as _;

use super::allergens::offered;
use super::keeping::Tier;
use super::kinds::{Kind, kind_of};
use super::packs::{UsualPack, packs_of};
use super::{Measure, RELEASE, Row};
use crate::larder::{NUTRIENTS, Nutrient};

/// Columns of a line: number, name, aliases, yield, the nutrients, measures, note.
const COLUMNS: usize = 4 + NUTRIENTS + 2;

/// A line of an embedded table that cannot be read.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct BadLine {
    /// Its number in the file, from 1.
    number: usize,
    /// The line.
    text: String,
}

impl BadLine {
    /// A fault that is told of no line.
    pub(super) fn nowhere() -> Self {
        Self {
            number: 0,
            text: "what it holds does not go together".to_owned(),
        }
    }
}

/// Reads every line of an embedded table but those that open with `#`; `read` returns none for
/// a line that cannot be read.
///
/// # Errors
/// The first such line.
pub(super) fn lines<T>(
    text: &'static str,
    mut read: impl FnMut(&'static str) -> Option<T>,
) -> Result<Vec<T>, BadLine> {
    let lines = (1..).zip(text.lines());
    lines
        .filter(|(_, line)| !line.starts_with('#'))
        .map(|(number, line)| {
            read(line).ok_or_else(|| BadLine {
                number,
                text: line.to_owned(),
            })
        })
        .collect()
}

/// The whole of an embedded table called `name`.
///
/// # Panics
/// If a line cannot be read: a fault of the program, which a run reports as such.
pub(super) fn whole<T>(name: &str, read: Result<T, BadLine>) -> T {
    read.unwrap_or_else(|BadLine { number, text }| {
        panic!("the built-in {name} cannot be read, line {number}: {text}")
    })
}

/// Returns the rows of the embedded text.
///
/// # Errors
/// The first line that is neither a row nor the heading of a group.
pub(super) fn rows(text: &'static str) -> Result<Vec<Row>, BadLine> {
    let (mut group, mut named) = ("", true);
    let rows = lines(text, |line| {
        if let Some(heading) = line.strip_prefix("= ") {
            (group, named) = (heading, true);
            return Some(None);
        }
        if let Some(heading) = line.strip_prefix("== ") {
            (group, named) = (heading, false);
            return Some(None);
        }
        row(line, group, named).map(Some)
    })?;
    Ok(rows.into_iter().flatten().collect())
}

fn row(line: &'static str, group: &'static str, named: bool) -> Option<Row> {
    let cells: Vec<&'static str> = line.split('\t').collect();
    let cells: &[&'static str; COLUMNS] = cells.as_slice().try_into().ok()?;
    let [number, name, aliases, share, .., measures, note] = *cells;
    let mut nutrients_milli = [None; NUTRIENTS];
    for (slot, cell) in nutrients_milli.iter_mut().zip(&cells[4..]) {
        if !cell.is_empty() {
            *slot = Some(milli(cell)?);
        }
    }
    let base = number.split('-').next().unwrap_or(number);
    Some(Row {
        number,
        name,
        group,
        named,
        aliases: aliases.split(';').filter(|a| !a.is_empty()).collect(),
        nutrients_milli,
        yield_milli_percent: milli(share)?,
        measures: measures
            .split(';')
            .filter(|m| !m.is_empty())
            .map(measure)
            .collect::<Option<_>>()?,
        other_yields: Vec::new(),
        source: format!("{RELEASE}, food {base}"),
        note: (!note.is_empty()).then_some(note),
    })
}

/// Reads `name=grams`, `name=grams/count`, either followed by ` (note)`.
fn measure(text: &'static str) -> Option<Measure> {
    let (name, rest) = text.split_once('=')?;
    let (figure, note) = match rest.split_once(" (") {
        Some((figure, note)) => (figure, Some(note.strip_suffix(')')?)),
        None => (rest, None),
    };
    let (grams, count) = figure.split_once('/').unwrap_or((figure, "1"));
    let mg = milli(grams)? * 1000 / milli(count).filter(|&c| c > 0)?;
    (mg > 0).then(|| Measure {
        name: name.to_owned(),
        mg,
        note,
    })
}

/// Reads a plain decimal of at most three places in thousandths.
pub(super) fn milli(text: &str) -> Option<i64> {
    let (whole, places) = text.split_once('.').unwrap_or((text, ""));
    if places.len() > 3 || !places.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some(whole.parse::<i64>().ok()? * 1000 + format!("{places:0<3}").parse::<i64>().ok()?)
}

/// Prints thousandths without trailing zeros.
fn decimal(milli: i64) -> String {
    let text = format!("{}.{:03}", milli / 1000, milli % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// See [`super::describe`].
pub(super) fn describe(row: &Row) -> Vec<(String, String)> {
    let mut facts = vec![
        ("number".to_owned(), row.number.to_owned()),
        ("name".to_owned(), row.name.to_owned()),
        ("group".to_owned(), row.group.to_owned()),
    ];
    if !row.aliases.is_empty() {
        facts.push(("also".to_owned(), row.aliases.join("; ")));
    }
    facts.push((
        "yield".to_owned(),
        format!("{} %", decimal(row.yield_milli_percent)),
    ));
    for other in &row.other_yields {
        let text = format!("{} % ({})", decimal(other.milli_percent), other.source);
        facts.push((format!("other yield, {}", other.what), text));
    }
    for measure in &row.measures {
        let note = measure.note.map(|n| format!(" ({n})")).unwrap_or_default();
        facts.push((
            measure.name.clone(),
            format!("{} g{note}", decimal(measure.mg)),
        ));
    }
    for pack in packs_of(row.number) {
        facts.push(("usual pack".to_owned(), usual(pack)));
    }
    facts.extend(kind_of(row.name).into_iter().flat_map(Kind::described));
    facts.extend(offered(row.name).map(|text| ("allergens, by its kind".to_owned(), text)));
    for nutrient in Nutrient::ALL {
        let text = row.nutrients_milli[nutrient.index()].map_or_else(
            || "not given".to_owned(),
            |m| format!("{} {}", decimal(m), nutrient.unit()),
        );
        facts.push((format!("{} per 100 g", nutrient.label()), text));
    }
    facts.extend(row.note.map(|n| ("note".to_owned(), n.to_owned())));
    facts.push(("source".to_owned(), row.source.clone()));
    facts
}

/// A usual pack in one line.
fn usual(pack: &UsualPack) -> String {
    let mut text = format!("{}: {} g", pack.pack, pack.grams);
    if pack.drained {
        text += " drained";
    }
    if !pack.drained_grams.is_empty() {
        let _ = write!(text, ", {} g of it drained", pack.drained_grams);
    }
    if let Some(share) = pack.drained_milli_percent {
        let _ = write!(text, " ({} %)", decimal(share));
    }
    if pack.tier == Tier::Memory {
        let _ = write!(text, " ({})", pack.source);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{decimal, measure, milli, rows};

    #[test]
    fn a_count_divides_the_weighed_grams_and_rounds_down() {
        assert_eq!(measure("sprig=20/9").map(|m| m.mg), Some(2_222));
        assert_eq!(measure("cup=52/0.5").map(|m| m.mg), Some(104_000));
        assert_eq!(measure("cup=52/0").map(|m| m.mg), None);
    }

    #[test]
    fn a_line_that_cannot_be_read_is_told_and_never_left_out() {
        let good = include_str!("foods.tsv");
        let read = rows(good).expect("every line is a row");
        let line = good.lines().find(|line| !line.starts_with(['#', '=']));
        let line = line.expect("there are rows");
        let figure = line.split('\t').nth(4).expect("a nutrient");
        let cut = line.rsplit_once('\t').expect("columns").0;
        let wrong = [
            format!("{line}\tone too many"),
            cut.to_owned(),
            line.replacen(&format!("\t{figure}\t"), "\tmuch\t", 1),
            String::new(),
        ];
        for wrong in wrong {
            let text: &'static str = format!("# a note\n= a group\n{line}\n{wrong}\n").leak();
            let bad = rows(text).expect_err("no such row");
            assert_eq!((bad.number, bad.text), (4, wrong));
        }
        assert!(read.len() >= 200);
    }

    #[test]
    fn decimals_are_read_and_printed_in_thousandths() {
        assert_eq!(milli("18.669"), Some(18_669));
        assert_eq!(milli("0.5"), Some(500));
        assert_eq!(milli("1.2345"), None);
        assert_eq!(milli("x"), None);
        assert_eq!(decimal(500), "0.5");
        assert_eq!(decimal(100_000), "100");
    }
}
