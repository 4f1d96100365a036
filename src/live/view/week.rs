//! The week: five lunches and what can be said of each.

use askama::Template;

use super::rendered::rendered;
use crate::explain::{LunchFacts, Proof};
use crate::larder::Day;
use crate::live::asking::{Word, day_word};
use crate::live::phrases::difference_told;
use crate::live::session::Session;
use crate::report::{self, words};

#[derive(Template)]
#[template(path = "week.html", config = "src/live/askama.toml")]
struct Week {
    title: &'static str,
    past: bool,
    days: Vec<DayRow>,
    not: Vec<(String, bool)>,
    kept: Vec<(String, bool)>,
    caution: &'static str,
}

struct DayRow {
    day: i32,
    name: String,
    recipe: String,
    facts: String,
    /// What goes into the box, as the sheet has it.
    contents: String,
    allergens: String,
    here: bool,
    any: bool,
    others: Option<OthersRow>,
    elsewhere: Vec<(i32, String)>,
}

struct OthersRow {
    told: String,
    rows: Vec<(String, String)>,
}

/// Returns the week.
pub(super) fn part(session: &Session) -> String {
    rendered(&week(session))
}

fn week(session: &Session) -> Week {
    let plain = session.plain();
    let asking = session.asking();
    let last = session.last();
    let week = last.and_then(|last| last.told.week.as_ref());
    let days = week.map_or_else(Vec::new, |week| {
        let all = week.lunches.iter();
        let told = last.map(|last| &last.told);
        all.enumerate()
            .map(|(at, lunch)| DayRow {
                contents: told.map_or(String::new(), |told| report::in_box(told, at)),
                ..day(session, lunch)
            })
            .collect()
    });
    let frees = session.idle.frees.as_deref().unwrap_or_default();
    let recipes = plain.recipes.iter().map(|recipe| recipe.name.as_str());
    let said = |leave: bool| -> Vec<(String, bool)> {
        let mine = recipes
            .clone()
            .filter(|name| match asking.words.get(*name) {
                Some(Word::Leave) => leave,
                // Those in the week shown stand with their day.
                Some(Word::Have(_)) => !leave && !days.iter().any(|day| day.recipe == *name),
                None => false,
            });
        mine.map(|name| (name.to_owned(), frees.contains(&name.to_owned())))
            .collect()
    };
    let (not, kept) = (said(true), said(false));
    Week {
        title: if session.is_present() {
            "The week"
        } else {
            "The last week that was found"
        },
        past: !session.is_present(),
        days,
        not,
        kept,
        caution: "Allergens are from the kitchen's own data: read the label each time. Keeping times, \
                  local food codes and a dietitian's word come before any week shown here.",
    }
}

fn day(session: &Session, lunch: &LunchFacts) -> DayRow {
    let plain = session.plain();
    let word = session.asking().words.get(&lunch.recipe);
    let mine = day_word(plain, lunch.when.day as Day);
    let when = |word: &Word| matches!(word, Word::Have(Some(day)) if *day == mine);
    let facts = format!(
        "{} · {} min · {}",
        lunch.form,
        words::minutes(lunch.minutes_nano),
        words::cash_nano(lunch.portion_cost_nano, &plain.currency)
    );
    let open = session.idle.others.as_ref();
    let open = open.filter(|others| i32::from(others.day) == lunch.when.day);
    DayRow {
        day: lunch.when.day,
        name: lunch.when.name.clone(),
        recipe: lunch.recipe.clone(),
        facts,
        contents: String::new(),
        allergens: if lunch.allergens.is_empty() {
            "none in the kitchen's data".to_owned()
        } else {
            lunch.allergens.join(", ")
        },
        here: word.is_some_and(when),
        any: matches!(word, Some(Word::Have(None))),
        others: open.map(|others| {
            let mut rows: Vec<(i64, String, String)> = others
                .cases
                .iter()
                .filter(|(_, case)| case.proof != Proof::Impossible)
                .map(|(name, case)| {
                    let rank = case.least_nano.unwrap_or(i64::MAX);
                    (rank, name.clone(), difference_told(case, plain))
                })
                .collect();
            rows.sort();
            let none = others.cases.len() - rows.len();
            let state = if others.done { "" } else { "Looking. " };
            OthersRow {
                told: format!(
                    "{state}{} can stand here; {none} cannot with what is asked.",
                    rows.len()
                ),
                rows: rows
                    .into_iter()
                    .map(|(_, name, told)| (name, told))
                    .collect(),
            }
        }),
        elsewhere: (1..=i32::from(plain.week.lunches))
            .filter(|&day| day != lunch.when.day)
            .map(|day| (day, plain.day_name(day)))
            .collect(),
    }
}
