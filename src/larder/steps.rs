//! What is done, step by step, and what it is done with.

use super::Ingredient;

/// How many there are of something that is held while it is used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Equipment {
    /// The word `needs` uses.
    pub name: String,
    /// At least 1.
    pub count: i64,
}

/// One step of a recipe or component, for the prep plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    /// The instruction, as a sentence.
    pub text: String,
    /// What is done: the first word or words, or the whole instruction of a plain step.
    pub verb: String,
    /// The food or component it is done to. A recipe's step is left out where this is not taken.
    pub what: Option<Ingredient>,
    /// Active minutes however much there is, if the kitchen says.
    pub active_minutes: Option<i64>,
    /// Active minutes for each portion on top, thousandths, if the kitchen says.
    pub per_portion_milli: Option<i64>,
    /// Passive minutes behind them, if the kitchen says.
    pub passive_minutes: Option<i64>,
    /// Equipment held for both, sorted; a name that stands twice means two.
    pub needs: Vec<String>,
    /// Days ahead it may be done; 0 is on the day only.
    pub ahead_days: i32,
    /// Begins the minute the step before ends.
    pub at_once: bool,
    /// Waits for every step before it, whatever it is about.
    pub after_all: bool,
}
