//! Puts an entry into the text of a kitchen file. Everything that stands there stays as it is, to
//! the byte: comments, layout, line ends.

use std::fmt::Write as _;

/// A text with an entry put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inserted {
    /// The new text.
    pub text: String,
    /// Lines of it that are new, from 1: the first and the last.
    pub lines: (usize, usize),
}

/// Why an entry cannot be put into a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPlace {
    /// The file is one mapping in braces.
    Braces,
    /// The list stands in brackets, or is no list.
    Brackets,
}

/// Puts an entry, written without indent, at the end of the list under a top-level key, which is
/// made at the end of the file where it is not there.
///
/// # Errors
/// The list is not written one entry a line.
pub fn insert(text: &str, key: &str, entry: &str) -> Result<Inserted, NoPlace> {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let plain = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    if lines
        .iter()
        .find(|line| plain(line))
        .is_some_and(|line| line.trim_start().starts_with('{'))
    {
        return Err(NoPlace::Braces);
    }
    let Some(head) = lines.iter().position(|line| is_key(line, key)) else {
        let mut new = text.to_owned();
        if !new.is_empty() && !new.ends_with('\n') {
            new += end;
        }
        if !new.is_empty() {
            new += end;
        }
        let first = new.split_inclusive('\n').count() + 1;
        let _ = write!(new, "{key}:{end}");
        new += &indented(entry, 2, end);
        let last = new.split_inclusive('\n').count();
        let lines = (first, last);
        return Ok(Inserted { text: new, lines });
    };
    let value = lines[head].split_once(':').map_or("", |(_, value)| value);
    let value = value.trim_start();
    if !value.is_empty() && !value.starts_with('#') {
        return Err(NoPlace::Brackets);
    }
    // The list ends where something else begins at the margin.
    let margin =
        |line: &&str| line.starts_with(|c: char| !c.is_whitespace() && c != '#' && c != '-');
    let stop = lines[head + 1..].iter().position(margin);
    let stop = stop.map_or(lines.len(), |stop| head + 1 + stop);
    let section = &lines[head + 1..stop];
    let column = |line: &str| line.len() - line.trim_start().len();
    let (indent, mut after) = match section.iter().position(&plain) {
        None => (2, head + 1),
        Some(first) if section[first].trim_start().starts_with('-') => {
            let last = section.iter().rposition(plain).unwrap_or(first);
            (column(section[first]), head + 2 + last)
        }
        Some(_) => return Err(NoPlace::Brackets),
    };
    // A comment further in than the list belongs to the last entry.
    while after < stop
        && lines[after].trim_start().starts_with('#')
        && column(lines[after]) > indent
    {
        after += 1;
    }
    let mut new: String = lines[..after].concat();
    if !new.ends_with('\n') {
        new += end;
    }
    let entry = indented(entry, indent, end);
    new += &entry;
    new += &lines[after..].concat();
    let lines = (after + 1, after + entry.split_inclusive('\n').count());
    Ok(Inserted { text: new, lines })
}

fn is_key(line: &str, key: &str) -> bool {
    let line = line.strip_prefix('\u{feff}').unwrap_or(line);
    line.strip_prefix(key)
        .is_some_and(|rest| rest.trim_start_matches([' ', '\t']).starts_with(':'))
}

fn indented(entry: &str, indent: usize, end: &str) -> String {
    let mut out = String::new();
    for line in entry.lines() {
        if !line.is_empty() {
            let _ = write!(out, "{:indent$}{line}", "");
        }
        out += end;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is left once the new lines are taken out is what was there.
    fn put(text: &str) -> String {
        let new = insert(text, "foods", "- food: rice\n  staple: true\n").expect("a place");
        let (first, last) = new.lines;
        let lines: Vec<&str> = new.text.split_inclusive('\n').collect();
        let kept = [&lines[..first - 1], &lines[last..]].concat().concat();
        assert_eq!(kept.trim_end(), text.trim_end());
        assert!(lines[first - 1..last].concat().contains("- food: rice"));
        new.text
    }

    #[test]
    fn an_entry_comes_last_in_its_list_and_nothing_else_moves() {
        assert_eq!(
            put(
                "foods:   # what we buy\n- food: tofu  # firm\n  # of the mill\n# next\nrecipes: []\n"
            ),
            "foods:   # what we buy\n- food: tofu  # firm\n  # of the mill\n- food: rice\n  staple: \
             true\n# next\nrecipes: []\n"
        );
        assert_eq!(
            put("foods:\r\n    - food: tofu\r\n"),
            "foods:\r\n    - food: tofu\r\n    - food: rice\r\n      staple: true\r\n"
        );
        assert_eq!(
            put("foods:\n  - food: tofu"),
            "foods:\n  - food: tofu\n  - food: rice\n    staple: true\n"
        );
        assert_eq!(
            put("week: {}\n"),
            "week: {}\n\nfoods:\n  - food: rice\n    staple: true\n"
        );
        assert_eq!(put(""), "foods:\n  - food: rice\n    staple: true\n");
        assert_eq!(
            put("foods:\n\nrecipes: []\n").lines().nth(1),
            Some("  - food: rice")
        );
    }

    #[test]
    fn lists_in_brackets_are_left_alone() {
        let at = |text| insert(text, "foods", "- food: rice");
        assert_eq!(at("foods: [{food: tofu}]\n"), Err(NoPlace::Brackets));
        assert_eq!(at("foods:\n  [{food: tofu}]\n"), Err(NoPlace::Brackets));
        assert_eq!(at("# all\n{foods: []}\n"), Err(NoPlace::Braces));
    }
}
