//! The foods: what is said of each, what leaving it out costs.

use askama::Template;

use super::rendered::rendered;
use crate::larder::{Food, Larder, Target};
use crate::live::asking::Word;
use crate::live::phrases::difference_told;
use crate::live::session::Session;

#[derive(Template)]
#[template(path = "foods.html", config = "src/live/askama.toml")]
struct Foods {
    find: String,
    rows: Vec<FoodRow>,
    bought: usize,
}

struct FoodRow {
    id: usize,
    name: String,
    bought: bool,
    note: String,
    word: &'static str,
    fixed: bool,
    frees: bool,
}

/// Returns the foods whose name has `find` in it.
pub(super) fn part(session: &Session, find: &str) -> String {
    rendered(&foods(session, find))
}

fn foods(session: &Session, find: &str) -> Foods {
    let plain = session.plain();
    let week = session.last().and_then(|last| last.told.week.as_ref());
    let bought: Vec<&str> = week.map_or_else(Vec::new, |week| {
        week.purchases.iter().map(|row| row.food.as_str()).collect()
    });
    let asking = session.asking();
    let wanted = find.to_lowercase();
    let frees = session.idle.frees.as_deref().unwrap_or_default();
    let mut rows: Vec<FoodRow> = plain
        .foods
        .iter()
        .enumerate()
        .filter(|(_, food)| food.name.to_lowercase().contains(&wanted))
        .map(|(id, food)| {
            let fixed = banned(plain, id, food);
            FoodRow {
                id,
                name: food.name.clone(),
                bought: bought.contains(&food.name.as_str()),
                note: food_note(session, food, fixed),
                word: word(asking.words.get(&food.name)),
                fixed,
                frees: frees.contains(&food.name),
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
    Foods {
        find: find.to_owned(),
        bought: rows.iter().filter(|row| row.bought).count(),
        rows,
    }
}

fn word(word: Option<&Word>) -> &'static str {
    match word {
        None => "free",
        Some(Word::Have(_)) => "have",
        Some(Word::Leave) => "leave",
    }
}

fn food_note(session: &Session, food: &Food, fixed: bool) -> String {
    if fixed {
        return "left out by the kitchen's own rules".to_owned();
    }
    let costs = session.idle.costs.as_ref();
    let cost = costs.and_then(|costs| costs.get(&food.name));
    cost.map_or(String::new(), |case| {
        format!("leaving it out {}", difference_told(case, session.plain()))
    })
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
