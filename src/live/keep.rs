//! What is asked, as lines of a kitchen file: only lines that change are touched, and the file with
//! them must read as exactly the kitchen that is asked for.

use super::asking::{Asking, Dial, Word};
use crate::larder::{Larder, NANO};

/// A file with lines changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The file's name.
    pub file: String,
    /// Its new text.
    pub text: String,
    /// Line, what stands there now (empty for a new line) and what will.
    pub lines: Vec<(usize, String, String)>,
}

/// Works out the lines.
///
/// # Errors
/// Why they cannot be written, and what to write by hand.
pub fn lines(
    texts: &[(String, String)],
    asking: &Asking,
    plain: &Larder,
    larder: &Larder,
) -> Result<Kept, String> {
    if *asking == Asking::default() {
        return Err("Nothing was asked that the kitchen's files do not say already.".to_owned());
    }
    let has = |text: &str| text.lines().any(|line| head(line, "rules"));
    let mut all = texts.iter().filter(|(_, text)| has(text));
    let (Some((file, text)), None) = (all.next(), all.next()) else {
        return Err(
            "No file of this kitchen has `rules:` on a line of its own; write that line first."
                .to_owned(),
        );
    };
    let mut page = Page {
        end: if text.contains("\r\n") { "\r\n" } else { "\n" },
        lines: text.lines().map(|line| (line.to_owned(), None)).collect(),
    };
    for (key, value) in wanted(asking, plain, larder) {
        let block = if key == "eaters" { "week" } else { "rules" };
        let list = matches!(key, "with" | "without");
        page.set(block, key, &value, list).map_err(|why| {
            format!("{file}: {why} Write `{key}: {value}` under `{block}:` by hand.")
        })?;
    }
    Ok(page.kept(file))
}

/// Keys and values.
fn wanted(asking: &Asking, plain: &Larder, larder: &Larder) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    let dial = |dial: Dial| {
        asking
            .dials
            .get(&dial)
            .map(|&value| dial.written(value, plain))
    };
    for (of, key) in [
        (Dial::Foods, "cap"),
        (Dial::Budget, "budget"),
        (Dial::Eaters, "eaters"),
    ] {
        all.extend(dial(of).map(|value| (key, value)));
    }
    let wishes = &larder.wishes;
    let minutes = dial(Dial::PrepMinutes).or(dial(Dial::DayMinutes));
    all.extend(minutes.map(|_| ("minutes", by_day(larder, &wishes.minutes_nano))));
    let kitchen = dial(Dial::KitchenMinutes);
    all.extend(kitchen.map(|_| {
        let days = by_day(larder, &wishes.kitchen_minutes_nano);
        ("kitchen_minutes", days)
    }));
    let quoted = |text: &str| serde_json::to_string(text).unwrap_or_default();
    let names = |keep: bool| -> Vec<String> {
        let words = asking.words.iter();
        let mine = words.filter_map(|(name, word)| match word {
            Word::Leave if !keep => Some(quoted(name)),
            Word::Have(None) if keep => Some(quoted(name)),
            Word::Have(Some(day)) if keep => Some(format!(
                "{{ name: {}, day: {} }}",
                quoted(name),
                quoted(day)
            )),
            _ => None,
        });
        mine.collect()
    };
    for (key, names) in [("without", names(false)), ("with", names(true))] {
        if !names.is_empty() {
            all.push((key, names.join(", ")));
        }
    }
    all
}

/// Minutes by the name of their day, as `rules` has them.
fn by_day(larder: &Larder, limits_nano: &[Option<i64>]) -> String {
    let days = (0_i32..).zip(limits_nano);
    let days: Vec<String> = days
        .filter_map(|(day, limit)| {
            let milli = (*limit)? / (NANO / 1_000);
            let text = format!("{}.{:03}", milli / 1_000, milli % 1_000);
            let text = text.trim_end_matches('0').trim_end_matches('.');
            Some(format!("{}: {text}", larder.week.calendar.key(day)))
        })
        .collect();
    format!("{{ {} }}", days.join(", "))
}

/// Whether a line begins a block of the file.
fn head(line: &str, key: &str) -> bool {
    line.strip_prefix(key)
        .and_then(|rest| rest.strip_prefix(':'))
        .is_some_and(|rest| {
            let rest = rest.trim();
            rest.is_empty() || rest.starts_with('#')
        })
}

fn indent(line: &str) -> usize {
    line.len() - line.trim_start_matches(' ').len()
}

fn blank(line: &str) -> bool {
    let text = line.trim();
    text.is_empty() || text.starts_with('#')
}

/// A text by lines; of each that is changed, what stood there (empty where it is new).
struct Page {
    end: &'static str,
    lines: Vec<(String, Option<String>)>,
}

impl Page {
    fn set(&mut self, block: &str, key: &str, value: &str, list: bool) -> Result<(), String> {
        let none = || format!("there is no `{block}:` on a line of its own.");
        let begin = self
            .lines
            .iter()
            .position(|(line, _)| head(line, block))
            .ok_or_else(none)?;
        let inside = self.lines.iter().skip(begin + 1);
        let long = inside
            .take_while(|(line, _)| blank(line) || line.starts_with(' '))
            .count();
        let rows = begin + 1..begin + 1 + long;
        let filled: Vec<usize> = rows.filter(|&at| !blank(&self.lines[at].0)).collect();
        let deep = filled.first().map_or(2, |&at| indent(&self.lines[at].0));
        let start = format!("{}{key}:", " ".repeat(deep));
        let found = filled
            .iter()
            .position(|&at| self.lines[at].0.starts_with(&start));
        let Some(found) = found else {
            let at = filled.last().map_or(begin, |&at| at) + 1;
            let line = if list {
                format!("{start} [{value}]")
            } else {
                format!("{start} {value}")
            };
            self.lines.insert(at, (line, Some(String::new())));
            return Ok(());
        };
        let at = filled[found];
        if filled
            .get(found + 1)
            .is_some_and(|&next| indent(&self.lines[next].0) > deep)
        {
            return Err(format!("`{key}` is written over several lines."));
        }
        let old = self.lines[at].0.clone();
        let rest = &old[start.len()..];
        let (said, comment) = match rest.find(" #") {
            // With the blanks that stand before it: comments stay in their column.
            Some(cut) if !rest[..cut].contains(['"', '\'']) => {
                rest.split_at(rest[..cut].trim_end().len())
            }
            _ => (rest, ""),
        };
        let new = if list {
            let more = said
                .trim()
                .strip_prefix('[')
                .and_then(|text| text.strip_suffix(']'));
            let more = more
                .ok_or_else(|| format!("`{key}` is no list in brackets."))?
                .trim();
            let comma = if more.is_empty() { "" } else { ", " };
            format!("{start} [{more}{comma}{value}]{comment}")
        } else {
            format!("{start} {value}{comment}")
        };
        self.lines[at] = (new, Some(old));
        Ok(())
    }

    fn kept(self, file: &str) -> Kept {
        let numbered = (1..).zip(&self.lines);
        let lines = numbered
            .filter_map(|(at, (new, old))| Some((at, old.clone()?, new.clone())))
            .collect();
        let mut text = String::new();
        for (line, _) in &self.lines {
            text.push_str(line);
            text.push_str(self.end);
        }
        Kept {
            file: file.to_owned(),
            text,
            lines,
        }
    }
}

/// Whether a kitchen read from the new files asks what was asked.
pub fn same(read: &Larder, wanted: &Larder) -> bool {
    let (one, other) = (&read.wishes, &wanted.wishes);
    let all = |some: &[crate::larder::Target], of: &[crate::larder::Target]| {
        some.iter().all(|target| of.contains(target))
    };
    let pins = |some: &[crate::larder::Pin], of: &[crate::larder::Pin]| {
        some.iter().all(|pin| of.contains(pin))
    };
    one.cap == other.cap
        && one.budget_minor == other.budget_minor
        && one.minutes_nano == other.minutes_nano
        && one.kitchen_minutes_nano == other.kitchen_minutes_nano
        && read.week.eaters_milli == wanted.week.eaters_milli
        && all(&one.without, &other.without)
        && all(&other.without, &one.without)
        && pins(&one.with, &other.with)
        && pins(&other.with, &one.with)
        && read.foods.len() == wanted.foods.len()
        && read.recipes.len() == wanted.recipes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(text: &str) -> Page {
        Page {
            end: "\n",
            lines: text.lines().map(|line| (line.to_owned(), None)).collect(),
        }
    }

    const TEXT: &str = "week:\n  eaters: 3   # three\nrules:\n  cap: 11  # most\n\n  # note\n  with: [\"a\"]\n  nutrition:\n    - { x: 1 }\nfoods:\n  - food: rice\n";

    #[test]
    fn only_the_lines_asked_for_change() {
        let mut page = page(TEXT);
        page.set("rules", "cap", "9", false).unwrap();
        page.set("rules", "with", "\"b\"", true).unwrap();
        page.set("rules", "without", "\"c\"", true).unwrap();
        page.set("week", "eaters", "2.5", false).unwrap();
        let kept = page.kept("kitchen.yaml");
        assert_eq!(
            kept.text,
            "week:\n  eaters: 2.5   # three\nrules:\n  cap: 9  # most\n\n  # note\n  with: [\"a\", \"b\"]\n  nutrition:\n    - { x: 1 }\n  without: [\"c\"]\nfoods:\n  - food: rice\n"
        );
        let changed: Vec<usize> = kept.lines.iter().map(|line| line.0).collect();
        assert_eq!(changed, [2, 4, 7, 10]);
    }

    #[test]
    fn what_is_written_otherwise_is_left_to_the_cook() {
        let mut long = page("rules:\n  with:\n    - a\n");
        assert!(long.set("rules", "with", "\"b\"", true).is_err());
        let mut braces = page("rules: { cap: 3 }\n");
        assert!(braces.set("rules", "cap", "4", false).is_err());
    }
}
