//! Rows of bans and pins (section 4, number 10, of the model).

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{Day, FoodId, Ingredient, Pin};

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    bans(columns, draft);
    let larder = columns.larder;
    for (index, pin) in larder.wishes.with.iter().enumerate() {
        let (name, terms) = match *pin {
            Pin::Recipe(recipe, day) => (
                &columns.names.recipes[recipe.index()],
                asked_days(columns, day)
                    .map(|day| (columns.lunch(recipe, day), ONE))
                    .collect(),
            ),
            Pin::Food(food, day) => (
                &columns.names.foods[food.index()],
                columns
                    .alternatives()
                    .filter(|&(_, on, _, _)| day.is_none_or(|day| day == on))
                    .filter(|&(r, _, l, j)| {
                        contains(
                            columns,
                            larder.recipes[r.index()].lines[l].alternatives[j].what,
                            food,
                        )
                    })
                    .map(|(r, on, l, j)| (columns.takes(r, on, l, j), ONE))
                    .collect(),
            ),
        };
        draft.row(
            "pin-missing",
            format!("pin.n{index}.{name}"),
            terms,
            Sense::AtLeast,
            ONE,
        );
    }
}

fn asked_days(columns: &Columns, day: Option<Day>) -> impl Iterator<Item = Day> {
    columns
        .lunch_days()
        .filter(move |&on| day.is_none_or(|day| day == on))
}

fn contains(columns: &Columns, what: Ingredient, food: FoodId) -> bool {
    match what {
        Ingredient::Food(taken) => taken == food,
        Ingredient::Component(id) => columns.larder.components[id.index()]
            .foods
            .iter()
            .any(|&(inside, _)| inside == food),
    }
}

/// A banned recipe stands on no day; a banned alternative is taken on none.
fn bans(columns: &Columns, draft: &mut Draft) {
    let allowed = allowed_alternatives(columns.larder);
    for recipe in columns.recipes() {
        let left = allowed.of(recipe);
        let name = &columns.names.recipes[recipe.index()];
        if !left.can_be_served() {
            let days = columns.lunch_days();
            draft.row(
                "banned",
                format!("banned.{name}"),
                days.map(|day| (columns.lunch(recipe, day), ONE)).collect(),
                Sense::AtMost,
                0,
            );
        }
        let lines = &columns.larder.recipes[recipe.index()].lines;
        for (line, entry) in lines.iter().enumerate() {
            for j in 0..entry.alternatives.len() {
                if left.lines[line].contains(&(j as u16)) || entry.alternatives.len() == 1 {
                    continue;
                }
                let days = columns.lunch_days();
                draft.row(
                    "banned",
                    format!("banned.{name}.l{line}.a{j}"),
                    days.map(|day| (columns.takes(recipe, day, line, j), ONE))
                        .collect(),
                    Sense::AtMost,
                    0,
                );
            }
        }
    }
}
