//! A screen: lines, and what each is, so that a terminal may set them off. Nothing is told by that
//! alone.

/// Columns of a screen at least, and where nobody says how many there are.
const LEAST: usize = 80;
/// Columns of a screen at most: longer lines are hard to follow.
const MOST: usize = 120;

/// How wide a screen may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    width: usize,
}

impl Look {
    /// A screen of a terminal with so many columns: between 80 and 120.
    pub fn of_columns(columns: usize) -> Self {
        Self {
            width: columns.clamp(LEAST, MOST),
        }
    }

    /// Columns.
    pub(super) fn width(self) -> usize {
        self.width
    }

    /// Whether there is room for more than the least.
    pub(super) fn is_wide(self) -> bool {
        self.width >= 100
    }
}

impl Default for Look {
    fn default() -> Self {
        Self::of_columns(LEAST)
    }
}

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Like the others.
    Plain,
    /// A heading.
    Head,
    /// Good news: what was proved.
    Sure,
    /// Something to mind: thrown out, not proved.
    Mind,
}

/// Lines, each with what it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Screen {
    lines: Vec<(Tone, String)>,
}

impl Screen {
    /// Returns the lines in order.
    pub fn lines(&self) -> &[(Tone, String)] {
        &self.lines
    }

    /// Returns the text without anything set off, ending in a line break unless it is empty.
    pub fn plain(&self) -> String {
        let lines = self.lines.iter();
        lines.flat_map(|(_, line)| [line.as_str(), "\n"]).collect()
    }

    /// Adds every line of a text.
    pub(super) fn add(&mut self, tone: Tone, text: &str) {
        let lines = text.lines();
        self.lines.extend(lines.map(|line| (tone, line.to_owned())));
    }

    /// Adds a text whose first line is a heading.
    pub(super) fn table(&mut self, text: &str) {
        let (head, rows) = text.split_once('\n').unwrap_or((text, ""));
        self.add(Tone::Head, head);
        self.add(Tone::Plain, rows);
    }

    /// Adds an empty line.
    pub(super) fn blank(&mut self) {
        self.lines.push((Tone::Plain, String::new()));
    }

    /// Adds an empty line, unless there is nothing yet.
    pub(super) fn gap(&mut self) {
        if !self.lines.is_empty() {
            self.blank();
        }
    }

    /// Calls the lines something that end so.
    pub(super) fn mark(&mut self, end: &str, tone: Tone) {
        for line in &mut self.lines {
            if line.1.ends_with(end) {
                line.0 = tone;
            }
        }
    }
}
