//! Turns two explained weeks into what changed from the one to the other.

use std::collections::BTreeSet;

use super::days::When;
use super::week::{Verdict, WeekFacts};

/// What the options of a run changed.
#[derive(Clone, Debug)]
pub struct Changes {
    /// The options, as typed.
    pub asked: Vec<String>,
    /// What of it was banned.
    pub banned: Vec<String>,
    /// What was proved of the week without the options.
    pub before_verdict: Verdict,
    /// What was proved of the week with them.
    pub after_verdict: Verdict,
    /// Sums without the options, if there is such a week.
    pub before: Option<Sums>,
    /// Sums with them, if there is such a week.
    pub after: Option<Sums>,
    /// What differs, if there is a week both with and without them.
    pub differences: Option<Differences>,
}

/// What differs between two weeks. There is nothing to say of it where there is only one.
#[derive(Clone, Debug)]
pub struct Differences {
    /// Days whose lunch differs, in day order.
    pub lunches: Vec<LunchChange>,
    /// Foods bought before and not any more, sorted.
    pub dropped: Vec<String>,
    /// Foods bought only now, sorted.
    pub added: Vec<String>,
}

/// The sums people compare.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sums {
    /// Price of all packs.
    pub packs_minor: i64,
    /// Counted foods bought.
    pub foods: i64,
    /// Value of what spoils, 1e-9 minor units.
    pub spoiled_nano: i64,
    /// Active minutes, 1e-9.
    pub minutes_nano: i64,
    /// The objective, 1e-9 minor units.
    pub objective_nano: i64,
}

/// A day whose lunch differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LunchChange {
    /// The day.
    pub when: When,
    /// Recipe without the options.
    pub before: String,
    /// Recipe with them.
    pub after: String,
    /// Lines of the same recipe filled otherwise: before and after, in line order.
    pub lines: Vec<(String, String)>,
}

impl Sums {
    fn new(week: &WeekFacts) -> Self {
        Self {
            packs_minor: week.tally.packs_minor,
            foods: week.tally.foods,
            spoiled_nano: week.tally.spoiled_nano,
            minutes_nano: week.tally.minutes_nano,
            objective_nano: week.tally.objective_nano,
        }
    }
}

/// Tells what differs between two runs: what each proved, and its week if it has one.
pub(super) fn changes(
    asked: Vec<String>,
    banned: Vec<String>,
    (before_verdict, before): (Verdict, Option<&WeekFacts>),
    (after_verdict, after): (Verdict, Option<&WeekFacts>),
) -> Changes {
    Changes {
        asked,
        banned,
        before_verdict,
        after_verdict,
        before: before.map(Sums::new),
        after: after.map(Sums::new),
        differences: before
            .zip(after)
            .map(|(before, after)| differences(before, after)),
    }
}

fn differences(before: &WeekFacts, after: &WeekFacts) -> Differences {
    let bought = |week: &WeekFacts| -> BTreeSet<String> {
        let rows = week.purchases.iter();
        rows.map(|row| row.food.clone()).collect()
    };
    let (had, has) = (bought(before), bought(after));
    Differences {
        lunches: lunch_changes(before, after),
        dropped: had.difference(&has).cloned().collect(),
        added: has.difference(&had).cloned().collect(),
    }
}

fn lunch_changes(before: &WeekFacts, after: &WeekFacts) -> Vec<LunchChange> {
    before
        .lunches
        .iter()
        .zip(&after.lunches)
        .filter_map(|(before, after)| {
            let lines: Vec<(String, String)> = if before.recipe == after.recipe {
                before
                    .lines
                    .iter()
                    .zip(&after.lines)
                    .filter(|(was, is)| was.taken != is.taken)
                    .map(|(was, is)| (was.taken.name().to_owned(), is.taken.name().to_owned()))
                    .collect()
            } else {
                Vec::new()
            };
            (before.recipe != after.recipe || !lines.is_empty()).then(|| LunchChange {
                when: before.when.clone(),
                before: before.recipe.clone(),
                after: after.recipe.clone(),
                lines,
            })
        })
        .collect()
}
