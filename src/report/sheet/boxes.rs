//! The lunches on the page: a box a day, what goes into it, how long the morning is, allergens.

use askama::Template;

use super::super::{amounts, measures, phrases, words};
use super::finished;
use super::lines::Content;
use crate::explain::{Explanation, LunchFacts, NoteOf, RecipeFacts, WeekFacts};

/// The section.
pub(super) struct Boxes {
    pub(super) days: Vec<Day>,
    /// What a box is, where portions are not all of one size.
    pub(super) note: &'static str,
}

/// A day.
pub(super) struct Day {
    pub(super) id: String,
    pub(super) name: String,
    /// Minutes in the kitchen, and the height of their bar in pixels; none where nothing is known.
    pub(super) minutes: String,
    pub(super) height: i64,
    pub(super) lunch: String,
    pub(super) contents: Vec<Content>,
    /// What goes on top from what is left.
    pub(super) finish: Vec<Content>,
    pub(super) contains: String,
    pub(super) more_allergens: String,
    pub(super) waits: String,
}

/// Pixels of the bar of an hour.
const HOUR: i64 = 30;

pub(super) fn boxes(explanation: &Explanation, week: &WeekFacts) -> Boxes {
    let all = week.lunches.iter().zip(&week.cook.lunches).enumerate();
    Boxes {
        days: all
            .map(|(at, (lunch, recipe))| day(explanation, at, lunch, recipe))
            .collect(),
        note: phrases::A_BOX,
    }
}

fn day(explanation: &Explanation, at: usize, lunch: &LunchFacts, recipe: &RecipeFacts) -> Day {
    let time = explanation.prep.as_ref().map(|prep| {
        let day = prep.days.iter().find(|day| day.when == lunch.when);
        day.map_or((0, 0), |day| (day.length, day.waiting))
    });
    let (minutes, waiting) = time.unwrap_or((0, 0));
    let finish = finished::on(explanation, lunch);
    Day {
        id: format!("lunch-{at}"),
        name: words::short(&lunch.when),
        minutes: time.map_or(String::new(), |(minutes, _)| amounts::hours(minutes)),
        height: (minutes * HOUR / 60).clamp(2, 48),
        lunch: lunch.recipe.clone(),
        contents: contents(explanation, lunch, recipe),
        finish: finish.map_or(Vec::new(), |finish| {
            let lines = finish.placed.iter();
            lines.map(finished::content).collect()
        }),
        contains: lunch.allergens.join(" · "),
        more_allergens: finish.map_or(String::new(), |finish| finish.new_allergens.join(" · ")),
        waits: match waiting {
            0 => String::new(),
            waiting => format!("{} of it waiting", amounts::hours(waiting)),
        },
    }
}

/// What goes into one box, by itself.
#[derive(Template)]
#[template(path = "contents.html", config = "src/report/sheet/askama.toml")]
pub(super) struct InBox {
    contents: Vec<Content>,
}

/// What goes into the box of a lunch; none where there is no such lunch.
pub(super) fn in_box(explanation: &Explanation, at: usize) -> Option<InBox> {
    let week = explanation.week.as_ref()?;
    let (lunch, recipe) = (week.lunches.get(at)?, week.cook.lunches.get(at)?);
    Some(InBox {
        contents: contents(explanation, lunch, recipe),
    })
}

fn contents(explanation: &Explanation, lunch: &LunchFacts, recipe: &RecipeFacts) -> Vec<Content> {
    let apart = |name: &str| {
        let notes = explanation.prep.iter().flat_map(|prep| &prep.notes);
        let mut today = notes.filter(|note| note.when == lunch.when);
        today.any(|note| matches!(&note.of, NoteOf::Apart { dressing, .. } if dressing == name))
    };
    let lines = lunch.lines.iter().zip(&recipe.lines);
    lines
        .map(|(line, measured)| {
            let mut notes = Vec::new();
            if !measured.cooked_on.is_empty() && measured.cooked_on != [lunch.when.clone()] {
                notes.push(format!("of {}", words::days(&measured.cooked_on)));
            }
            if apart(line.taken.name()) {
                notes.push("own jar".to_owned());
            }
            Content {
                name: line.taken.name().to_owned(),
                amount: if line.portion_mg == 0 {
                    measures::metric(&line.portion)
                } else {
                    amounts::boxed(&line.portion)
                },
                note: notes.join(", "),
            }
        })
        .collect()
}
