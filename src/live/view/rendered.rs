//! What is rendered, in the page's own way.

use askama::Template;

use crate::unicode::{FSI, PDI};

/// Renders into memory, which does not fail; isolates become the element that means the same.
pub(super) fn rendered(part: &impl Template) -> String {
    let text = part.render().unwrap_or_default();
    text.replace(FSI, "<bdi>").replace(PDI, "</bdi>")
}
