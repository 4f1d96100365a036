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
        (None, false) => format!("{}: {}", super::fault::shown(&fault.file), fault.what),
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
        let near: Vec<char> = before.by_ref().take(EXCERPT / 3).collect();
        let far: Vec<char> = before.take(EXCERPT).collect();
        let marked = text.get(offset..).unwrap_or("");
        let marked = marked
            .char_indices()
            .take_while(|&(at, c)| at < len && on_line(&c));
        let marked = marked.take(EXCERPT).count();
        let ahead = text[offset..].chars().take_while(on_line);
        let line = far.iter().rev().chain(near.iter().rev()).copied();
        let line: Vec<char> = line.chain(ahead.take(EXCERPT + TAIL)).collect();
        let trimmed = line.iter().rposition(|c| !c.is_whitespace());
        let line = &line[..trimmed.map_or(0, |last| last + 1)];
        let skip = if line.len() > EXCERPT { far.len() } else { 0 };
        let before = far.len() + near.len();
        let shown: Vec<char> = line
            .iter()
            .skip(skip)
            .take(EXCERPT)
            .map(|&c| match c {
                '\t' => ' ',
                c if unicode::hidden(c) => '?',
                c => c,
            })
            .collect();
        let from = (before - skip).min(shown.len());
        let to = (from + marked.max(1)).min(shown.len()).max(from);
        let bytes = |chars: &[char]| chars.iter().map(|c| c.len_utf8()).sum::<usize>();
        let text: String = shown.iter().collect();
        // Right-to-left letters must not turn the line number and the frame around with them.
        let isolated = unicode::isolated(&text).into_owned();
        let begins = isolated.find(&text).unwrap_or(0);
        Self {
            name: super::fault::shown(&source.name),
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
