//! Published yields besides the one the food table gives: other trims, canned to drained.

use super::parse::{self, BadLine};
use super::row::{OtherYield, Row};

/// Sources of `yields.tsv`, by their letter there.
const SOURCES: [(&str, &str); 3] = [
    (
        "F",
        "USDA Food Buying Guide for Child Nutrition Programs, Section 1",
    ),
    (
        "M",
        "US Armed Forces Recipe Service, edible to as-purchased conversion (title from memory)",
    ),
    ("T", "open textbook chart of commercial kitchen trim"),
];

/// Adds the lines of the embedded text to their rows.
///
/// # Errors
/// The first line that cannot be read, or whose row is not there.
pub(super) fn attach(rows: &mut [Row], text: &'static str) -> Result<(), BadLine> {
    parse::lines(text, |line| {
        let cells: Vec<&'static str> = line.split('\t').collect();
        let &[number, percent, letter, what] = cells.as_slice() else {
            return None;
        };
        let row = rows.iter_mut().find(|r| r.number == number)?;
        let source = SOURCES.iter().find(|s| s.0 == letter)?;
        row.other_yields.push(OtherYield {
            what,
            milli_percent: parse::milli(percent)?,
            source: source.1,
        });
        Some(())
    })?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_yield_that_cannot_be_read_is_told_and_never_left_out() {
        let mut rows = crate::table::row::rows(include_str!("foods.tsv")).expect("rows");
        assert_eq!(attach(&mut rows, include_str!("yields.tsv")), Ok(()));
        let good = "09037\t70\tF\ttrimmed";
        assert_eq!(attach(&mut rows, good), Ok(()));
        for wrong in [
            "09037\t70\tF",
            "09037\t70\tF\ttrimmed\tmore",
            "00000\t70\tF\ttrimmed",
            "09037\tmuch\tF\ttrimmed",
            "09037\t70\tZ\ttrimmed",
        ] {
            assert!(attach(&mut rows, wrong).is_err(), "{wrong}");
        }
    }
}
