//! What differs between two weeks shown one after the other, as figures and names.

use super::found::Found;
use crate::explain::{WeekFacts, When};

/// What differs; each figure is the later one less the earlier one.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Difference {
    /// Price of all packs, minor units.
    pub bill_minor: i64,
    /// Counted foods.
    pub foods: i64,
    /// Minutes in the kitchen, where both are known.
    pub minutes: Option<i64>,
    /// Milligrams thrown out.
    pub thrown_mg: i64,
    /// Lunches that come, by day.
    pub come: Vec<(When, String)>,
    /// Lunches that go, by day.
    pub go: Vec<(When, String)>,
    /// Recipes that move, and to which day.
    pub moved: Vec<(When, String)>,
    /// Foods not bought any more.
    pub dropped: Vec<String>,
    /// Foods bought only now.
    pub added: Vec<String>,
}

/// Returns minutes in the kitchen.
pub fn minutes(found: &Found) -> Option<i64> {
    found.told.prep.as_ref().map(|prep| prep.length)
}

/// Returns how the later week differs from the earlier; none where one of them is none.
pub fn difference(before: &Found, after: &Found) -> Option<Difference> {
    let (was, is) = (before.told.week.as_ref()?, after.told.week.as_ref()?);
    let mut told = Difference {
        bill_minor: is.tally.packs_minor - was.tally.packs_minor,
        foods: is.tally.foods - was.tally.foods,
        minutes: minutes(after)
            .zip(minutes(before))
            .map(|(is, was)| is - was),
        thrown_mg: is.leftover_totals.spoiled_mg - was.leftover_totals.spoiled_mg,
        ..Difference::default()
    };
    let mut open: Vec<(When, String)> = lunches(was);
    for (when, recipe) in lunches(is) {
        // A recipe that stays on its day is paired with itself first.
        let stays = |one: &(When, String)| one.1 == recipe && one.0.day == when.day;
        let at = open.iter().position(stays);
        let at = at.or_else(|| {
            let elsewhere = |one: &(When, String)| {
                one.1 == recipe
                    && !lunches(is)
                        .iter()
                        .any(|other| other.0.day == one.0.day && other.1 == recipe)
            };
            open.iter().position(elsewhere)
        });
        match at {
            Some(at) => {
                if open.remove(at).0.day != when.day {
                    told.moved.push((when, recipe));
                }
            }
            None => told.come.push((when, recipe)),
        }
    }
    told.go = open;
    let (had, has) = (bought(was), bought(is));
    told.dropped = had
        .iter()
        .filter(|food| !has.contains(food))
        .cloned()
        .collect();
    told.added = has
        .iter()
        .filter(|food| !had.contains(food))
        .cloned()
        .collect();
    Some(told)
}

fn lunches(week: &WeekFacts) -> Vec<(When, String)> {
    let lunches = week.lunches.iter();
    lunches
        .map(|lunch| (lunch.when.clone(), lunch.recipe.clone()))
        .collect()
}

fn bought(week: &WeekFacts) -> Vec<String> {
    let mut all: Vec<String> = week.purchases.iter().map(|row| row.food.clone()).collect();
    all.sort();
    all.dedup();
    all
}
