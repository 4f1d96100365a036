//! Another week held against the chosen one, as data.
//!
//! They are found by [`crate::tradeoffs`], which solves changed larders.

use super::{Clash, Sums, When};

/// What was proved of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The week is the best there is.
    Best,
    /// No week exists.
    Impossible,
    /// Stopped before it was settled.
    Open,
    /// Not asked: with the change, figures are beyond what a kitchen may have.
    NotAsked,
}

impl Proof {
    /// Returns whether the question has its answer: a week that is the best, or that there is
    /// none.
    pub fn is_settled(self) -> bool {
        matches!(self, Self::Best | Self::Impossible)
    }
}

/// A week in short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brief {
    /// Its sums.
    pub sums: Sums,
    /// Its lunches, in day order.
    pub lunches: Vec<BriefLunch>,
    /// Counted foods bought, by name.
    pub bought: Vec<String>,
}

/// A lunch in short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BriefLunch {
    /// Its day.
    pub when: When,
    /// Its recipe.
    pub recipe: String,
    /// What lines take that is not their first alternative: taken, and instead of what.
    pub taking: Vec<(String, String)>,
}

/// What a week has that the chosen one has not, whatever the days.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Switch {
    /// Lunches that leave, by day.
    pub leave: Vec<(When, String)>,
    /// Lunches that come, by day.
    pub come: Vec<(When, String)>,
    /// Lines of a recipe that stays and are filled otherwise.
    pub lines: Vec<LineSwitch>,
    /// Recipes that stay and move to another day.
    pub moved: Vec<String>,
    /// Foods not bought any more, by name.
    pub dropped: Vec<String>,
    /// Foods bought only now, by name.
    pub added: Vec<String>,
}

/// A line filled otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineSwitch {
    /// The recipe that stays.
    pub recipe: String,
    /// What the line took.
    pub was: String,
    /// What it takes now.
    pub is: String,
}

/// The answer to one question, held against the chosen week.
#[derive(Clone, Debug)]
pub struct Case {
    /// What was proved.
    pub proof: Proof,
    /// The best week, or the best one found before the end.
    pub week: Option<Brief>,
    /// Its sums less those of the chosen week.
    pub more: Option<Sums>,
    /// The least the objective can differ from that of the chosen week, 1e-9 minor units:
    /// exact if the week is the best; none if there is no week or nothing is proved.
    pub least_nano: Option<i64>,
    /// How it differs from the chosen week.
    pub switch: Option<Switch>,
}

impl Case {
    /// Returns whether the lunches are those of the chosen week, lines and days apart.
    pub fn same_lunches(&self) -> bool {
        self.switch
            .as_ref()
            .is_some_and(|switch| switch.leave.is_empty())
    }
}

/// A change of the kitchen that a cook would ask about first, and what comes of it.
#[derive(Clone, Debug)]
pub struct Telling {
    /// The change.
    pub what: Asked,
    /// The best week with it.
    pub case: Case,
    /// A recipe of that week that the chosen one has not: insisted on, it brings that week or one
    /// as good. Of [`Asked::Others`] only.
    pub insist: Option<String>,
}

/// What is changed.
#[derive(Clone, Debug)]
pub enum Asked {
    /// A rule that the week runs into, as it would be one notch looser.
    Looser(Clash),
    /// A rule that shapes the week, out of force.
    Dropped(Clash),
    /// A food given up, by name.
    Without {
        /// The food.
        food: String,
        /// Lunches it serves.
        lunches: usize,
    },
    /// At least one other recipe.
    Others,
}
