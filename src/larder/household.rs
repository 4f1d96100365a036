//! What household measures of a food or component weigh, so that reports can speak a cook's
//! language. Nothing is planned with them: plans are in milligrams.

/// Household measures of one food or component.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Household {
    /// Milligrams of one US cup; `None` if nothing says what a volume of it weighs.
    pub cup_mg: Option<i64>,
    /// Counted things: the word in the singular (`slice`), and milligrams of one.
    pub counted: Vec<(String, i64)>,
}
