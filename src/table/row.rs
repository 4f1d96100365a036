//! A row of the food table, and how it is read.

use super::parse::{BadLine, lines, milli};
use crate::larder::NUTRIENTS;

/// The published table all rows are carried over from.
pub const RELEASE: &str =
    "USDA National Nutrient Database for Standard Reference, Release 28 (2015)";

/// A food of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Five-digit food number of the source. A suffix of ours (`02047-coarse`) marks a second row
    /// with the same nutrient figures bought or measured another way.
    pub number: &'static str,
    /// Our name for it.
    pub name: &'static str,
    /// The group it is listed in.
    pub group: &'static str,
    /// Whether it was named by hand: the plain foods a cook mostly means, found before the others.
    pub named: bool,
    /// Other names a cook might type. No two rows answer to the same name.
    pub aliases: Vec<&'static str>,
    /// Thousandths of each nutrient's unit per 100 g of the edible portion, in the order of
    /// `Nutrient::ALL`; `None` where the source gives no value.
    pub nutrients_milli: [Option<i64>; NUTRIENTS],
    /// Edible share of the food as purchased in thousandths of a percent: 100 less the source's
    /// refuse. 100 000 when all of it is edible.
    pub yield_milli_percent: i64,
    /// Household measures, the volume measures first.
    pub measures: Vec<Measure>,
    /// Other published yields of this food, for information; `yield_milli_percent` is the one used.
    pub other_yields: Vec<OtherYield>,
    /// The published table, its release and the food number.
    pub source: String,
    /// What to know about the row, where its figures are not the plain ones of the source.
    pub note: Option<&'static str>,
}

/// A household measure of a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measure {
    /// The cook's word in the singular: `cup`, `cup chopped`, `piece`, `clove`.
    pub name: String,
    /// Edible milligrams of one, rounded down.
    pub mg: i64,
    /// What it stands for (`as medium`), how large it is, or that no source gives it.
    pub note: Option<&'static str>,
}

/// A published yield that differs from the one the table uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherYield {
    /// From which state to which, and how it was prepared.
    pub what: &'static str,
    /// Thousandths of a percent by weight.
    pub milli_percent: i64,
    /// Where it was published.
    pub source: &'static str,
}

impl Row {
    /// Returns the measure of this name, singular, in lower case.
    pub fn measure(&self, name: &str) -> Option<&Measure> {
        self.measures.iter().find(|m| m.name == name)
    }
}

/// Columns of a line: number, name, aliases, yield, the nutrients, measures, note.
const COLUMNS: usize = 4 + NUTRIENTS + 2;

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

#[cfg(test)]
mod tests {
    use super::{measure, rows};

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
}
