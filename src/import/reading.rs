//! A line of ingredients as read, how sure that is, and what is doubtful about it.

use super::amount::{Amount, Number};
use crate::table::Row;

/// How sure a reading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Not to be used without the cook.
    Doubtful,
    /// Read, with something the cook should look at.
    Likely,
    /// Number, measure and food stand there in so many words.
    Sure,
}

/// What is doubtful about a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// Nothing on it, or more than fits.
    Unreadable,
    /// A heading, not an ingredient.
    Heading,
    /// No number stands at its front.
    NoAmount,
    /// Two numbers; the smaller is taken.
    Range,
    /// No row of the table by that name; names of rows that may be meant. Looking them up takes
    /// long, so [`super::recipes`] fills them in, and only so many of a file.
    NoFood(Vec<&'static str>),
    /// Several foods are called so.
    Several(Vec<String>),
    /// A choice of foods (`or`).
    Choice,
    /// Two foods in one line (`and`).
    TwoFoods,
    /// Words left out to find the row.
    Dropped(Vec<String>),
    /// The food stands in a state that no row of it is in (`cooked`, `juiced`).
    Changed(String),
    /// Nothing says what this measure of the food weighs.
    Unweighed(String),
    /// A measure heaped, packed or generous: how much that is nobody says.
    Heaped(String),
    /// A pinch, as a sixteenth of a teaspoon: common practice, no source.
    Pinch,
    /// Cut in a way the table does not weigh by that measure.
    Cut(String),
    /// A tin: its drained mass is the table's, in milligrams, not what the line says.
    Tin(i64),
    /// A mass of one container stands there, which may be more than what is edible.
    Container,
    /// Said to be optional.
    Optional,
    /// Said to be about so much.
    About,
}

impl Doubt {
    /// Returns whether the line cannot be used without the cook.
    pub fn is_grave(&self) -> bool {
        !matches!(
            self,
            Self::Range
                | Self::Dropped(_)
                | Self::Tin(_)
                | Self::Optional
                | Self::About
                | Self::Pinch
                | Self::Cut(_)
        )
    }
}

/// A food or component of the kitchen, by its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnName {
    /// Its name.
    pub name: String,
    /// It is a component.
    pub cooked: bool,
}

/// A line as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The line itself, on one line, without markup.
    pub text: String,
    /// Quantity and measure, as they stand there.
    pub amount: Option<Amount>,
    /// The food in the line's own words, without preparation.
    pub name: String,
    /// The kitchen's own food or component.
    pub own: Option<OwnName>,
    /// The row of the food table.
    pub food: Option<&'static Row>,
    /// The edible quantity in a measure the food can be weighed in: number and measure.
    pub usable: Option<(Number, String)>,
    /// Share of what is bought that is eaten, in thousandths of a percent, where the mass of the
    /// line is taken as that of what is bought.
    pub bought: Option<i64>,
    /// How sure.
    pub confidence: Confidence,
    /// Why not surer.
    pub doubts: Vec<Doubt>,
}

impl Reading {
    /// Returns whether it is an ingredient that the cook still has to write.
    pub fn is_open(&self) -> bool {
        let heading = self.doubts.contains(&Doubt::Heading);
        !heading && (self.confidence == Confidence::Doubtful || self.usable.is_none())
    }
}
