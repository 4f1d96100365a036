//! Prints faults and warnings as text: place, marked excerpt, what is wrong, what to write.
//!
//! Plain ASCII without colour at 80 columns, so that it reads the same in a terminal, a log and a
//! screen reader. Names and excerpts keep their own letters.

use super::fault::{Fault, More, PutIn, Source, Tally};
use crate::unicode;
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError,
    MietteSpanContents, Severity, SourceCode, SourceSpan, SpanContents,
};
use std::fmt::{self, Display};

/// Columns of a report.
const WIDTH: usize = 80;
/// Characters of a source line that are shown around the marked place.
const EXCERPT: usize = 60;
/// What stands where the line goes on.
const ON: &str = "...";
/// Characters that are looked at to see whether a line ends in spaces.
const TAIL: usize = 60;

/// Returns the report of one fault.
pub fn fault(fault: &Fault, sources: &[Source]) -> String {
    one(fault, sources, Severity::Error)
}

/// Returns the report of one warning.
pub fn warning(warning: &Fault, sources: &[Source]) -> String {
    one(warning, sources, Severity::Warning)
}

/// Returns the reports of the faults that are told of a reading, and how many are not.
pub fn faults(told: &[Fault], tally: Tally, sources: &[Source]) -> String {
    let reports: String = told.iter().map(|item| fault(item, sources)).collect();
    reports + &untold(told, tally.faults, "faults")
}

/// Returns the reports of the warnings that are told of a reading, and how many are not.
pub fn warnings(told: &[Fault], tally: Tally, sources: &[Source]) -> String {
    let reports: String = told.iter().map(|item| warning(item, sources)).collect();
    reports + &untold(told, tally.warnings, "warnings")
}

/// Says that keeping times are longer than the published ones, where not each is told; nothing if
/// none is.
pub fn times(tally: Tally) -> String {
    let whose = match tally.times {
        0 => return String::new(),
        1 => "1 keeping time here is longer than the published one".to_owned(),
        several => format!("{several} keeping times here are longer than the published ones"),
    };
    format!("{whose}: `scant check` tells which, and the published figure\n")
}

/// Says that keeping times stand in for some that the files leave out, or are marked as assumed;
/// nothing if none does.
pub fn put_in(all: &[PutIn]) -> String {
    let published = all.iter().filter(|put_in| put_in.published.is_some());
    let published = published.count();
    let mut told = Vec::new();
    if published > 0 {
        told.push(format!(
            "keeping times left out of the files, taken from what is published: {published}"
        ));
    }
    if all.len() > published {
        let assumed = all.len() - published;
        told.push(format!("keeping times marked as assumed: {assumed}"));
    }
    if told.is_empty() {
        return String::new();
    }
    format!("{}; `scant check` lists them\n", told.join("; "))
}

/// Says how many are of kinds of which none is told; nothing if there are none.
fn untold(told: &[Fault], all: usize, what: &str) -> String {
    let spoken_for: usize = told.iter().map(|item| 1 + item.more.count).sum();
    match all.saturating_sub(spoken_for) {
        0 => String::new(),
        rest => format!("{rest} more {what} of other kinds are not told here; mend these first\n"),
    }
}

/// Returns the report of the faults, then the warnings, with a line that counts all of them.
pub fn report(read: &super::Read) -> String {
    let mut out = String::new();
    for item in &read.faults {
        out.push_str(&fault(item, &read.sources));
        out.push('\n');
    }
    out.push_str(&untold(&read.faults, read.tally.faults, "faults"));
    for item in &read.warnings {
        out.push_str(&warning(item, &read.sources));
        out.push('\n');
    }
    out.push_str(&untold(&read.warnings, read.tally.warnings, "warnings"));
    for item in &read.times {
        out.push_str(&warning(item, &read.sources));
        out.push('\n');
    }
    out.push_str(&untold(&read.times, read.tally.times, "keeping times"));
    let count = |n: usize, one: &str| match n {
        0 => format!("no {one}s"),
        1 => format!("1 {one}"),
        _ => format!("{n} {one}s"),
    };
    out.push_str(&count(read.tally.faults, "fault"));
    out.push_str(", ");
    out.push_str(&count(read.tally.warnings + read.tally.times, "warning"));
    out.push('\n');
    out
}

fn one(fault: &Fault, sources: &[Source], severity: Severity) -> String {
    // Sources are sorted by name.
    let excerpt = sources
        .binary_search_by(|source| source.name.as_str().cmp(&fault.file))
        .ok()
        .filter(|_| fault.line > 0)
        .map(|index| Excerpt::cut(&sources[index], fault));
    let what = match (&excerpt, fault.file.is_empty()) {
        (Some(_), _) | (None, true) => fault.what.clone(),
        (None, false) => format!("{}: {}", super::wording::shown(&fault.file), fault.what),
    };
    let message = Message {
        what,
        help: fault.help.clone() + &further(&fault.more),
        severity,
        excerpt,
    };
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = GraphicalReportHandler::new_themed(GraphicalTheme::none())
        .with_width(WIDTH)
        .with_context_lines(0)
        .with_links(false)
        .without_syntax_highlighting()
        .render_report(&mut out, &message);
    let mut trimmed = String::with_capacity(out.len());
    let mut open = 0;
    for line in out.lines().map(str::trim_end) {
        // What was wrapped stands behind a frame of its own.
        let inside = line.trim_start_matches([' ', '|']);
        trimmed.push_str(&line[..line.len() - inside.len()]);
        trimmed.push_str(&unicode::closed(inside, &mut open));
        trimmed.push('\n');
    }
    trimmed
}

/// Says how many more there are of a kind and where the first of them are.
fn further(more: &More) -> String {
    if more.count == 0 {
        return String::new();
    }
    let places = more.places.join(", ");
    let (and, rest) = match more.count.saturating_sub(more.places.len()) {
        0 => ("", String::new()),
        rest => (" and", format!(" {rest} further places")),
    };
    format!("\n{} more of this kind, at {places}{and}{rest}", more.count)
}

/// One line of a source, cut to what fits.
#[derive(Debug)]
struct Excerpt {
    name: String,
    text: String,
    mark: SourceSpan,
    line: usize,
    column: usize,
}

impl Excerpt {
    fn cut(source: &Source, fault: &Fault) -> Self {
        let text = &source.text;
        let (offset, len) = fault.span;
        let offset = (0..=offset.min(text.len()))
            .rev()
            .find(|&at| text.is_char_boundary(at))
            .unwrap_or(0);
        // A line may be as long as its file, and hold as many faults: nothing here looks further
        // than a few times what is shown.
        let on_line = |c: &char| *c != '\n';
        let mut before = text[..offset].chars().rev().take_while(on_line);
        let mut near: Vec<char> = before.by_ref().take(2 * EXCERPT).collect();
        near.reverse();
        let marked = text.get(offset..).unwrap_or("");
        let marked = marked
            .char_indices()
            .take_while(|&(at, c)| at < len && on_line(&c));
        let marked = marked.take(EXCERPT).count();
        let ahead = text[offset..].chars().take_while(on_line);
        let ahead: Vec<char> = ahead.take(EXCERPT + TAIL).collect();
        let from = near.len();
        let window = near.into_iter().chain(ahead.iter().copied());
        let window: Vec<char> = window.collect();
        let trimmed = window.iter().rposition(|c| !c.is_whitespace());
        let line = Line {
            chars: &window[..trimmed.map_or(0, |last| last + 1)],
            from,
            to: from + marked.max(1),
            begun_before: before.next().is_some(),
            goes_on: ahead.len() == EXCERPT + TAIL && trimmed == window.len().checked_sub(1),
        };
        let (start, end) = line.part();
        let mut shown: Vec<char> = Vec::new();
        if start > 0 || line.begun_before {
            shown.extend(ON.chars().chain([' ']));
        }
        let skipped = shown.len();
        shown.extend(line.chars[start..end].iter().map(|&c| match c {
            '\t' => ' ',
            c if unicode::hidden(c) => '?',
            c => c,
        }));
        let part_end = shown.len();
        if end < line.chars.len() || line.goes_on {
            shown.extend([' '].into_iter().chain(ON.chars()));
        }
        let from = (from.saturating_sub(start) + skipped).min(part_end);
        let to = (from + marked.max(1)).min(part_end).max(from);
        let bytes = |chars: &[char]| chars.iter().map(|c| c.len_utf8()).sum::<usize>();
        let text: String = shown.iter().collect();
        // Right-to-left letters must not turn the line number and the frame around with them.
        let isolated = unicode::isolated(&text).into_owned();
        let begins = isolated.find(&text).unwrap_or(0);
        Self {
            name: super::wording::shown(&source.name),
            mark: SourceSpan::new(
                (begins + bytes(&shown[..from])).into(),
                bytes(&shown[from..to]),
            ),
            text: isolated,
            line: fault.line - 1,
            column: fault.column.saturating_sub(1),
        }
    }
}

/// A line of a source, as much of it as is looked at.
struct Line<'a> {
    chars: &'a [char],
    /// The marked place.
    from: usize,
    to: usize,
    /// Whether there is more before, and behind.
    begun_before: bool,
    goes_on: bool,
}

impl Line<'_> {
    /// The part that is shown: all, if it fits; else whole words around the marked place. A word
    /// longer than what fits is cut, between characters.
    fn part(&self) -> (usize, usize) {
        let whole = self.chars.len();
        if !self.begun_before && !self.goes_on && whole <= EXCERPT {
            return (0, whole);
        }
        let room = EXCERPT - 2 * (ON.len() + 1);
        let from = self.from.min(whole);
        let first = from.saturating_sub(EXCERPT / 3);
        let first = if self.goes_on {
            first
        } else {
            first.min(whole.saturating_sub(room))
        };
        let start = if first == 0 && !self.begun_before {
            0
        } else {
            let begins = |&at: &usize| {
                let before = at.checked_sub(1).and_then(|at| self.chars.get(at));
                let here = self.chars.get(at);
                before.is_some_and(|c| c.is_whitespace())
                    && here.is_some_and(|c| !c.is_whitespace())
            };
            let between = (first..=from).find(begins);
            between.unwrap_or_else(|| self.between(first))
        };
        let last = (start + room).min(whole);
        if last == whole {
            return (start, whole);
        }
        let ends =
            |&at: &usize| self.chars[at].is_whitespace() && !self.chars[at - 1].is_whitespace();
        let end = (self.to.max(start + 1)..=last).rev().find(ends);
        (start, end.unwrap_or_else(|| self.between(last)).max(start))
    }

    /// The place at or before `at` where a character begins: a mark belongs to the letter before.
    fn between(&self, at: usize) -> usize {
        let joined = |c: &char| unicode_width::UnicodeWidthChar::width(*c) == Some(0);
        (0..=at)
            .rev()
            .find(|&at| !self.chars.get(at).is_some_and(joined))
            .unwrap_or(0)
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        _span: &SourceSpan,
        _before: usize,
        _after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let whole = SourceSpan::new(0.into(), self.text.len());
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            self.text.as_bytes(),
            whole,
            self.line,
            self.column,
            1,
        )))
    }
}

#[derive(Debug)]
struct Message {
    what: String,
    help: String,
    severity: Severity,
    excerpt: Option<Excerpt>,
}

impl Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.what)
    }
}

impl std::error::Error for Message {}

impl Diagnostic for Message {
    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn Display + 'a>> {
        Some(Box::new(&self.help))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.excerpt
            .as_ref()
            .map(|excerpt| excerpt as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let excerpt = self.excerpt.as_ref()?;
        Some(Box::new(std::iter::once(LabeledSpan::new_with_span(
            Some("here".to_owned()),
            excerpt.mark,
        ))))
    }
}

#[cfg(test)]
mod tests {
    //! Asks which part of a line is shown. The truth: lines cut by hand.
    use super::*;

    fn shown(text: &str, marked: &str) -> (String, String) {
        let offset = text.find(marked).unwrap();
        let source = Source {
            name: "k.yaml".to_owned(),
            text: text.to_owned(),
        };
        let fault = Fault {
            file: "k.yaml".to_owned(),
            line: 1,
            column: 1,
            span: (offset, marked.len()),
            what: "wrong".to_owned(),
            help: "write another".to_owned(),
            more: More::default(),
        };
        let excerpt = Excerpt::cut(&source, &fault);
        let mark = excerpt.mark.offset()..excerpt.mark.offset() + excerpt.mark.len();
        (excerpt.text.clone(), excerpt.text[mark].to_owned())
    }

    #[test]
    fn a_line_that_fits_is_shown_whole() {
        let text = "  - {food: carrots, price: none, packs: [bag], keeps: 12345}\nmore";
        assert_eq!(text.lines().next().unwrap().chars().count(), EXCERPT);
        let line = text.lines().next().unwrap().to_owned();
        assert_eq!(shown(text, "none"), (line, "none".to_owned()));
    }

    #[test]
    fn a_longer_one_is_cut_between_words_and_says_that_it_goes_on() {
        let text = "steps: [Wash the carrots, peel them, grate them coarsely, dress them at once, \
                    chill them well, pack them last of all]";
        let (line, mark) = shown(text, "dress");
        assert_eq!(
            line,
            "... them coarsely, dress them at once, chill them well, ..."
        );
        assert_eq!(mark, "dress");
        let (line, _) = shown(text, "Wash");
        assert_eq!(line, "steps: [Wash the carrots, peel them, grate them ...");
        let (line, mark) = shown(text, "all]");
        assert_eq!(line, "... at once, chill them well, pack them last of all]");
        assert_eq!(mark, "all]");
    }

    #[test]
    fn a_word_longer_than_the_screen_is_cut_between_characters() {
        let text = "e\u{301}".repeat(400);
        let (line, _) = shown(&(text.clone() + "x" + &text), "x");
        let letters = line.trim_start_matches("... ").trim_end_matches(" ...");
        assert!(
            letters.starts_with('e') && line.starts_with("... "),
            "{line}"
        );
        assert!(
            letters.ends_with('\u{301}') && line.ends_with(" ..."),
            "{line}"
        );
        assert!(line.chars().count() <= EXCERPT, "{line}");
    }
}
