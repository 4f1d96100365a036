//! Turns rows of text into columns and paragraphs that fit 80 characters, or as many as asked for,
//! without colour.

use comfy_table::{
    CellAlignment, ContentArrangement, ContentLineStyle, LineStyle, Table, TableStyle,
};
use unicode_width::UnicodeWidthChar as _;

use super::words::JOINT;
use crate::unicode::{self, FSI, PDI};

/// Width of everything printed where nothing else is asked for.
const WIDTH: u16 = 80;

/// Stands between the cells of a line until isolates are closed; no text holds it.
const SEAM: char = '\u{1f}';

/// No lines but dashes under the headings.
const PLAIN: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none().junction(SEAM))
    .header_separator(LineStyle::none().fill('-').junction(' '))
    .content_lines(ContentLineStyle::none().junction(SEAM));

/// The same without dashes.
const BARE: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none().junction(SEAM))
    .content_lines(ContentLineStyle::none().junction(SEAM));

/// Which side a column leans on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lean {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// Returns a table with headings; long cells wrap.
pub(super) fn table(columns: &[(&str, Lean)], rows: Vec<Vec<String>>) -> String {
    let mut table = plain(PLAIN, WIDTH);
    table.set_header(columns.iter().map(|(name, _)| *name));
    fill(table, columns.iter().map(|&(_, lean)| lean), rows, 1)
}

/// The same without dashes and with columns closer together, as wide as asked for.
pub(super) fn bare(columns: &[(&str, Lean)], rows: Vec<Vec<String>>, width: usize) -> String {
    let mut table = plain(BARE, wide(width));
    table.set_header(columns.iter().map(|(name, _)| *name));
    fill(table, columns.iter().map(|&(_, lean)| lean), rows, 0)
}

/// Rows without headings, as wide as asked for.
pub(super) fn bare_rows(columns: &[Lean], rows: Vec<Vec<String>>, width: usize) -> String {
    fill(plain(BARE, wide(width)), columns.iter().copied(), rows, 0)
}

fn wide(width: usize) -> u16 {
    u16::try_from(width).unwrap_or(WIDTH)
}

/// Returns rows without headings.
pub(super) fn rows(columns: &[Lean], rows: Vec<Vec<String>>) -> String {
    fill(plain(PLAIN, WIDTH), columns.iter().copied(), rows, 1)
}

/// Returns a paragraph, wrapped.
pub(super) fn paragraph(text: &str) -> String {
    rows(&[Lean::Left], vec![vec![text.to_owned()]])
}

/// Returns sentences as a list, each wrapped beside its dash.
pub(super) fn list(sentences: impl IntoIterator<Item = String>) -> String {
    let lines = sentences
        .into_iter()
        .map(|sentence| vec!["-".to_owned(), sentence])
        .collect();
    rows(&[Lean::Left, Lean::Left], lines)
}

fn plain(style: TableStyle, width: u16) -> Table {
    let mut table = Table::new();
    table
        .load_style(style)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width);
    table
}

fn fill(
    mut table: Table,
    leans: impl Iterator<Item = Lean>,
    rows: Vec<Vec<String>>,
    padding: u16,
) -> String {
    if rows.is_empty() {
        return String::new();
    }
    table.add_rows(rows);
    for (column, lean) in table.column_iter_mut().zip(leans) {
        column.set_padding((0, padding));
        column.set_cell_alignment(match lean {
            Lean::Left => CellAlignment::Left,
            Lean::Right => CellAlignment::Right,
        });
    }
    let mut open = Vec::new();
    let mut text: String = table
        .lines()
        .map(|line| closed(&line, &mut open).trim_end().replace(JOINT, " ") + "\n")
        .collect();
    if text.trim().is_empty() {
        text.clear();
    }
    text
}

/// Closes the isolates of each cell in its line, and opens them again in the next: a cell that
/// was wrapped must not take the cells after it along. `open` counts those of each column that
/// the lines before left open.
fn closed(line: &str, open: &mut Vec<usize>) -> String {
    let mut out = String::with_capacity(line.len());
    for (column, cell) in line.split(SEAM).enumerate() {
        if column > 0 {
            out.push(' ');
        }
        if open.len() <= column {
            open.push(0);
        }
        let inside = cell.trim_matches(' ');
        let (before, after) = cell.split_once(inside).unwrap_or((cell, ""));
        out.push_str(before);
        out.push_str(&unicode::closed(inside, &mut open[column]));
        out.push_str(after);
    }
    out
}

/// Returns a text cut or filled to so many columns, its isolates closed.
pub(super) fn fitted(text: &str, columns: usize) -> String {
    let mut out = String::with_capacity(columns);
    let (mut wide, mut depth) = (0, 0_usize);
    for c in text.chars() {
        let width = c.width().unwrap_or(0);
        if wide + width > columns {
            break;
        }
        match c {
            FSI => depth += 1,
            PDI => depth = depth.saturating_sub(1),
            _ => {}
        }
        wide += width;
        out.push(c);
    }
    out.extend(std::iter::repeat_n(PDI, depth));
    out.extend(std::iter::repeat_n(' ', columns - wide));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn isolates_end_with_their_cell_in_every_line() {
        let name = format!("{FSI}{}{PDI}", "שלום ".repeat(20).trim());
        let text = rows(
            &[Lean::Left, Lean::Left, Lean::Right],
            vec![vec![name.clone(), name, "12.30".to_owned()]],
        );
        assert!(text.lines().count() > 2, "{text}");
        for line in text.lines() {
            let mut depth = 0_i32;
            for c in line.chars() {
                depth += i32::from(c == FSI) - i32::from(c == PDI);
                assert!(depth >= 0, "{line}");
                assert!(depth > 0 || !('א'..='ת').contains(&c), "{line}");
                assert!(depth == 0 || !c.is_ascii_digit(), "{line}");
            }
            assert_eq!(depth, 0, "{line}");
        }
    }

    #[test]
    fn a_label_has_its_width_whatever_it_holds() {
        assert_eq!(fitted("rice", 6), "rice  ");
        assert_eq!(fitted("rice", 3), "ric");
        // Wide letters take two columns.
        assert_eq!(fitted("米飯", 3), "米 ");
        let name = format!("{FSI}שלום{PDI}");
        assert_eq!(fitted(&name, 5), format!("{name} "));
        assert_eq!(fitted(&name, 3), format!("{FSI}שלו{PDI}"));
    }

    #[test]
    fn nothing_printed_is_wider_than_eighty_characters() {
        let long = "a lunch of many words ".repeat(20);
        let text = table(
            &[
                ("Day", Lean::Left),
                ("Lunch", Lean::Left),
                ("Cost", Lean::Right),
            ],
            vec![vec!["Mon".to_owned(), long, "12.30".to_owned()]],
        );
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{text}"
        );
        assert!(text.contains("12.30"));
    }
}
