//! How recipes are laid out, in text as on pages.

use super::measures::Measures;

/// How recipes are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// The measures of their amounts.
    pub measures: Measures,
    /// Batches inside the lunches that take from them; else by themselves.
    pub folded: bool,
}
