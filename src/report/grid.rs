//! Turns rows of text into columns and paragraphs that fit 80 characters, without colour.

use comfy_table::{CellAlignment, ContentArrangement, LineStyle, Table, TableStyle};

use super::words::JOINT;

/// Width of everything printed.
const WIDTH: u16 = 80;

/// No lines but dashes under the headings.
const PLAIN: TableStyle =
    TableStyle::new().header_separator(LineStyle::none().fill('-').junction(' '));

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
    let mut table = plain();
    table.set_header(columns.iter().map(|(name, _)| *name));
    fill(table, columns.iter().map(|&(_, lean)| lean), rows)
}

/// Returns rows without headings.
pub(super) fn rows(columns: &[Lean], rows: Vec<Vec<String>>) -> String {
    fill(plain(), columns.iter().copied(), rows)
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

fn plain() -> Table {
    let mut table = Table::new();
    table
        .load_style(PLAIN)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(WIDTH);
    table
}

fn fill(mut table: Table, leans: impl Iterator<Item = Lean>, rows: Vec<Vec<String>>) -> String {
    if rows.is_empty() {
        return String::new();
    }
    table.add_rows(rows);
    for (column, lean) in table.column_iter_mut().zip(leans) {
        column.set_padding((0, 1));
        column.set_cell_alignment(match lean {
            Lean::Left => CellAlignment::Left,
            Lean::Right => CellAlignment::Right,
        });
    }
    let mut text: String = table
        .lines()
        .map(|line| line.trim_end().replace(JOINT, " ") + "\n")
        .collect();
    if text.trim().is_empty() {
        text.clear();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

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
