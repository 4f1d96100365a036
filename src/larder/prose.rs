//! What is told of a recipe to those who read it; nothing is planned with it.

/// What a kitchen tells of a recipe; each part as it was written, if it was.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Prose {
    /// Whose recipe it is.
    pub author: Option<String>,
    /// What it is, in a sentence.
    pub description: Option<String>,
    /// Where a picture of it is: an address or a file.
    pub picture: Option<String>,
    /// Where it comes from, and what else there is to tell.
    pub story: Option<String>,
    /// What one serving is: `1 jar of 500 ml`.
    pub servings: Option<String>,
    /// How what is left of it is kept.
    pub storage: Option<String>,
}
