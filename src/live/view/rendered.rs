//! What is rendered, in the page's own way.

use askama::Template;

use crate::unicode::{FSI, PDI};

/// A part of the screen.
#[derive(Clone, Debug)]
pub struct Part {
    /// The id of its element.
    pub id: String,
    /// Its HTML.
    pub html: String,
    /// What it changes with: itself, or the files that a whole list was read from.
    pub with: With,
}

/// What a part changes with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum With {
    /// Its HTML.
    Itself,
    /// Its HTML, and it stands in a list that is a part too.
    Listed,
    /// The reading of the files; what stands in it has versions of its own.
    Reading(u64),
}

impl Part {
    pub(super) fn new(id: &str, html: String) -> Self {
        Self {
            id: id.to_owned(),
            html,
            with: With::Itself,
        }
    }

    pub(super) fn listed(id: String, html: String) -> Self {
        Self {
            id,
            html,
            with: With::Listed,
        }
    }

    /// Whether a page that has the other needs nothing of this.
    pub fn is_as(&self, other: &Self) -> bool {
        match (self.with, other.with) {
            (With::Reading(mine), With::Reading(its)) => mine == its,
            _ => self.html == other.html,
        }
    }
}

/// Renders into memory, which does not fail; isolates become the element that means the same.
pub(super) fn rendered(part: &impl Template) -> String {
    let text = part.render().unwrap_or_default();
    text.replace(FSI, "<bdi>").replace(PDI, "</bdi>")
}
