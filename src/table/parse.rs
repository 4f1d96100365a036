//! Reads the embedded table. Its text is part of the program, so a fault in it is ours: a line
//! that cannot be read is left out, and `tests/published.rs` counts the lines against the rows.

use super::keeping::Tier;
use super::packs::{UsualPack, packs_of};
use super::{Measure, RELEASE, Row};
use crate::larder::{NUTRIENTS, Nutrient};

/// Columns of a line: number, name, aliases, yield, the nutrients, measures, note.
const COLUMNS: usize = 4 + NUTRIENTS + 2;

/// Returns the rows of the embedded text.
pub(super) fn rows(text: &'static str) -> Vec<Row> {
    let (mut group, mut named) = ("", true);
    let mut rows = Vec::new();
    for line in text.lines().filter(|l| !l.starts_with('#')) {
        if let Some(heading) = line.strip_prefix("= ") {
            (group, named) = (heading, true);
        } else if let Some(heading) = line.strip_prefix("== ") {
            (group, named) = (heading, false);
        } else if let Some(row) = row(line, group, named) {
            rows.push(row);
        }
    }
    rows
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
        text += &format!(", {} g of it drained", pack.drained_grams);
    }
    if let Some(share) = pack.drained_milli_percent {
        text += &format!(" ({} %)", decimal(share));
    }
    if pack.tier == Tier::Memory {
        text += &format!(" ({})", pack.source);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{decimal, measure, milli};

    #[test]
    fn a_count_divides_the_weighed_grams_and_rounds_down() {
        assert_eq!(measure("sprig=20/9").map(|m| m.mg), Some(2_222));
        assert_eq!(measure("cup=52/0.5").map(|m| m.mg), Some(104_000));
        assert_eq!(measure("cup=52/0").map(|m| m.mg), None);
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
