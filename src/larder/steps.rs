//! What is done, step by step, and what it is done with.

use super::{Component, Ingredient, NANO};

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

impl Component {
    /// Returns the watched minutes of a batch: passive ones of steps that hold equipment, a lit
    /// burner or a hot oven, at which the cook stays. What no step says goes behind the last that
    /// says nothing, else behind the last, as in the prep plan; without steps it is all of a
    /// component that needs equipment.
    pub fn watched_minutes(&self) -> i64 {
        let Some(last) = self.steps.len().checked_sub(1) else {
            return if self.needs.is_empty() {
                0
            } else {
                self.passive_minutes
            };
        };
        let said = |step: &Step| step.passive_minutes.unwrap_or(0);
        let silent = self
            .steps
            .iter()
            .rposition(|step| step.passive_minutes.is_none());
        let rest = self.passive_minutes - self.steps.iter().map(said).sum::<i64>();
        let behind = &self.steps[silent.unwrap_or(last)];
        let held = self.steps.iter().filter(|step| !step.needs.is_empty());
        let rest = if behind.needs.is_empty() {
            0
        } else {
            rest.max(0)
        };
        held.map(said).sum::<i64>() + rest
    }

    /// Returns [`Component::watched_minutes`] in 1e-9 minutes. A larder that passed has no more
    /// of them in use than a week's sum can hold.
    pub fn watched_nano(&self) -> i64 {
        self.watched_minutes().saturating_mul(NANO)
    }
}
