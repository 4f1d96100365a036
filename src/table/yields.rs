//! Published yields besides the one the food table gives: other trims, canned to drained.

use super::{OtherYield, Row, parse};

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
pub(super) fn attach(rows: &mut [Row], text: &'static str) {
    for line in text.lines().filter(|l| !l.starts_with('#')) {
        let mut cells = line.split('\t');
        let (Some(number), Some(percent), Some(letter), Some(what)) =
            (cells.next(), cells.next(), cells.next(), cells.next())
        else {
            continue;
        };
        let row = rows.iter_mut().find(|r| r.number == number);
        let source = SOURCES.iter().find(|s| s.0 == letter);
        if let (Some(row), Some(source), Some(milli_percent)) = (row, source, parse::milli(percent))
        {
            row.other_yields.push(OtherYield {
                what,
                milli_percent,
                source: source.1,
            });
        }
    }
}
