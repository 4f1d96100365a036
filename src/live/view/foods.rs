//! The foods: what is said of each, what leaving it out costs. Each food is a part of its own, so that an
//! answer sends the few that differ; their order is another one, and what leaving them out costs a
//! third.

use std::collections::BTreeMap;

use askama::Template;

use super::rendered::{Part, rendered};
use crate::larder::{Food, Larder, Target};
use crate::live::asking::Word;
use crate::live::phrases::difference_told;
use crate::live::session::Session;

#[derive(Template)]
#[template(path = "foods.html", config = "src/live/askama.toml")]
struct Foods<'a> {
    said: &'a str,
    costs: &'a str,
    rows: &'a [String],
}

#[derive(Template)]
#[template(path = "foods_said.html", config = "src/live/askama.toml")]
struct Said<'a> {
    find: &'a str,
    order: String,
    bought: usize,
    shown: usize,
}

#[derive(Template)]
#[template(path = "foods_costs.html", config = "src/live/askama.toml")]
struct Costs {
    notes: String,
}

#[derive(Template)]
#[template(path = "food.html", config = "src/live/askama.toml")]
struct FoodRow {
    id: usize,
    name: String,
    bought: bool,
    note: String,
    word: &'static str,
    fixed: bool,
    frees: bool,
    /// The attribute of a row that was not looked for.
    hidden: &'static str,
}

/// Returns the parts: the foods, their order and what leaving them out costs. What a page that was
/// loaded has of them is put in order by its script.
pub(super) fn parts(session: &Session) -> Vec<Part> {
    let mut rows = rows(session, "");
    let said = said(&rows, "");
    rows.sort_by_key(|row| row.id);
    let each = rows
        .iter()
        .map(|row| Part::listed(format!("food-{}", row.id), rendered(row)));
    let all = each.chain([
        Part::listed("foods-said".to_owned(), said),
        Part::listed("foods-costs".to_owned(), costs(session)),
    ]);
    all.collect()
}

/// Returns the whole list, of which only foods whose name has `find` in it are shown.
pub(super) fn list(session: &Session, find: &str) -> String {
    let notes = notes(session);
    let mut rows = rows(session, find);
    for row in &mut rows {
        if let Some(note) = notes.get(&row.id) {
            row.note.clone_from(note);
        }
    }
    let said = said(&rows, find);
    let rows: Vec<String> = rows.iter().map(rendered).collect();
    let list = Foods {
        said: &said,
        costs: &costs(session),
        rows: &rows,
    };
    list.render().unwrap_or_default()
}

/// All foods in the order in which they are shown.
fn rows(session: &Session, find: &str) -> Vec<FoodRow> {
    let plain = session.plain();
    let week = session.last().and_then(|last| last.told.week.as_ref());
    let bought: Vec<&str> = week.map_or_else(Vec::new, |week| {
        week.purchases.iter().map(|row| row.food.as_str()).collect()
    });
    let asking = session.asking();
    let wanted = find.to_lowercase();
    let frees = session.idle.frees.as_deref().unwrap_or_default();
    let foods = plain.foods.iter().enumerate();
    let mut rows: Vec<FoodRow> = foods
        .map(|(id, food)| {
            let fixed = banned(plain, id, food);
            FoodRow {
                id,
                name: food.name.clone(),
                bought: bought.contains(&food.name.as_str()),
                note: if fixed {
                    "left out by the kitchen's own rules".to_owned()
                } else {
                    String::new()
                },
                word: word(asking.words.get(&food.name)),
                fixed,
                frees: frees.contains(&food.name),
                hidden: if food.name.to_lowercase().contains(&wanted) {
                    ""
                } else {
                    " hidden"
                },
            }
        })
        .collect();
    // What is said stands first, then what is bought; names in order within each.
    rows.sort_by_key(|row| {
        (
            row.word == "free",
            !row.bought,
            plain.foods[row.id].staple,
            row.name.clone(),
        )
    });
    rows
}

fn said(rows: &[FoodRow], find: &str) -> String {
    let order: Vec<String> = rows.iter().map(|row| row.id.to_string()).collect();
    rendered(&Said {
        find,
        order: order.join(" "),
        bought: rows.iter().filter(|row| row.bought).count(),
        shown: rows.iter().filter(|row| row.hidden.is_empty()).count(),
    })
}

/// What leaving a food out costs, by its place, where it is known.
fn notes(session: &Session) -> BTreeMap<usize, String> {
    let plain = session.plain();
    let Some(costs) = &session.idle.costs else {
        return BTreeMap::new();
    };
    let foods = plain.foods.iter().enumerate();
    let known = foods.filter(|&(id, food)| !banned(plain, id, food));
    let note = |(id, food): (usize, &Food)| {
        let case = costs.get(&food.name)?;
        let told = difference_told(case, plain);
        Some((id, format!("leaving it out {told}")))
    };
    known.filter_map(note).collect()
}

fn costs(session: &Session) -> String {
    let notes = serde_json::to_string(&notes(session)).unwrap_or_default();
    Costs { notes }.render().unwrap_or_default()
}

fn word(word: Option<&Word>) -> &'static str {
    match word {
        None => "free",
        Some(Word::Have(_)) => "have",
        Some(Word::Leave) => "leave",
    }
}

/// Whether the kitchen's own rules leave a food out.
fn banned(plain: &Larder, id: usize, food: &Food) -> bool {
    plain.wishes.without.iter().any(|target| match target {
        Target::Food(other) => other.index() == id,
        Target::Family(family) => food.family == Some(*family),
        Target::Tag(tag) => food.tags.contains(tag),
        Target::Allergen(allergen) => food.allergens.contains(allergen),
        _ => false,
    })
}
