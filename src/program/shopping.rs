//! Rows of shopping: a food is bought with its first pack, a trip is made for its first
//! pack, the cap and the budget hold (section 4, numbers 6 and 10, of the model).
//!
//! The links are tight, pair by pair: whatever takes a food is below `bought`, and
//! `bought` is below its packs. Without them a solver's bound says little.

use std::collections::BTreeMap;

use super::Sense;
use super::columns::{Columns, Drawn};
use super::draft::{Draft, ONE, Terms};
use crate::larder::{CapBy, Day, FoodId, RecipeId};
use crate::plan::Lot;

/// Adds the rows.
pub(super) fn rows(columns: &Columns, draft: &mut Draft) {
    for (&food, &bought) in &columns.bought {
        packs_of_a_food(columns, food, bought, draft);
        uses_of_a_food(columns, food, bought, draft);
    }
    trips(columns, draft);
    cap(columns, draft);
    budget(columns, draft);
}

fn packs_of_a_food(columns: &Columns, food: FoodId, bought: usize, draft: &mut Draft) {
    let name = &columns.names.foods[food.index()];
    let mut sum = vec![(bought, ONE)];
    for drawn in columns.lots_of(food) {
        let Some((packs, most)) = drawn.packs else {
            continue;
        };
        sum.push((packs, -ONE));
        draft.row(
            "food-not-counted",
            format!("counted.{}", drawn.name),
            vec![(packs, ONE), (bought, -ONE * i128::from(most))],
            Sense::AtMost,
            0,
        );
    }
    draft.row(
        "food-not-counted",
        format!("counted.{name}"),
        sum,
        Sense::AtMost,
        0,
    );
}

/// Lines with a food, and the columns that take it.
type Lines = Vec<(usize, Vec<usize>)>;

/// A lunch that takes more of a food than is on hand needs it bought.
fn uses_of_a_food(columns: &Columns, food: FoodId, bought: usize, draft: &mut Draft) {
    let name = &columns.names.foods[food.index()];
    let on_hand: i64 = columns
        .lots_of(food)
        .filter(|drawn| drawn.packs.is_none())
        .map(|drawn| drawn.source.unit_mg)
        .sum();
    // By recipe and day: its lines with the food, and the alternatives that take it.
    let mut lines: BTreeMap<(RecipeId, Day), Lines> = BTreeMap::new();
    for (recipe, day, line, j) in columns.alternatives() {
        let foods = columns.foods_of(recipe, day, line, j);
        let takes_more = foods.iter().any(|&(f, mg)| f == food && mg > on_hand);
        if !takes_more {
            continue;
        }
        let column = columns.takes(recipe, day, line, j);
        let of_lunch = lines.entry((recipe, day)).or_default();
        match of_lunch.last_mut() {
            Some((last, taken)) if *last == line => taken.push(column),
            _ => of_lunch.push((line, vec![column])),
        }
    }
    // One recipe is eaten a day and a line takes one alternative: at most one of these.
    let mut by_day: BTreeMap<(Day, usize), Terms> = BTreeMap::new();
    let mut by_recipe: BTreeMap<(RecipeId, usize), Terms> = BTreeMap::new();
    for (&(recipe, day), of_lunch) in &lines {
        for (place, (_, taken)) in of_lunch.iter().enumerate() {
            let terms = taken.iter().map(|&column| (column, ONE));
            by_day
                .entry((day, place))
                .or_default()
                .extend(terms.clone());
            by_recipe.entry((recipe, place)).or_default().extend(terms);
        }
    }
    let link = |draft: &mut Draft, row: String, mut terms: Terms| {
        terms.push((bought, -ONE));
        draft.row("food-not-bought", row, terms, Sense::AtMost, 0);
    };
    for ((day, place), terms) in by_day {
        link(draft, format!("needs.{name}.d{day}.k{place}"), terms);
    }
    // A recipe that appears once stands on one day at most.
    if columns.larder.wishes.repeats == 1 {
        for ((recipe, place), terms) in by_recipe {
            let recipe = &columns.names.recipes[recipe.index()];
            link(draft, format!("needs.{name}.{recipe}.k{place}"), terms);
        }
    }
}

fn packs_with_price<'a>(
    columns: &'a Columns,
) -> impl Iterator<Item = (&'a Drawn, usize, i64, Option<usize>, i64)> {
    columns.drawn.iter().filter_map(|drawn| {
        let (packs, most) = drawn.packs?;
        let Lot::Bought(pack, trip) = drawn.source.lot else {
            return None;
        };
        let price = columns.larder.packs[pack.index()].price_minor;
        Some((drawn, packs, most, columns.trips[usize::from(trip)], price))
    })
}

fn trips(columns: &Columns, draft: &mut Draft) {
    for (drawn, packs, most, trip, _) in packs_with_price(columns) {
        if let Some(trip) = trip {
            draft.row(
                "trip-not-made",
                format!("made.{}", drawn.name),
                vec![(packs, ONE), (trip, -ONE * i128::from(most))],
                Sense::AtMost,
                0,
            );
        }
    }
}

fn cap(columns: &Columns, draft: &mut Draft) {
    let foods = &columns.larder.foods;
    for (&food, &bought) in &columns.bought {
        if let Some(family) = foods[food.index()].family {
            draft.row(
                "family-not-counted",
                format!("family_of.{}", columns.names.foods[food.index()]),
                vec![(bought, ONE), (columns.families[&family], -ONE)],
                Sense::AtMost,
                0,
            );
        }
    }
    let Some(cap) = columns.larder.wishes.cap else {
        return;
    };
    let counted = columns.bought.iter();
    let terms: Terms = match columns.larder.wishes.cap_by {
        CapBy::Foods => counted.map(|(_, &bought)| (bought, ONE)).collect(),
        CapBy::Families => counted
            .filter(|(food, _)| foods[food.index()].family.is_none())
            .map(|(_, &bought)| bought)
            .chain(columns.families.values().copied())
            .map(|column| (column, ONE))
            .collect(),
    };
    draft.row(
        "over-cap",
        "cap".into(),
        terms,
        Sense::AtMost,
        i128::from(cap) * ONE,
    );
}

fn budget(columns: &Columns, draft: &mut Draft) {
    let Some(budget) = columns.larder.wishes.budget_minor else {
        return;
    };
    let terms = packs_with_price(columns)
        .map(|(_, packs, _, _, price)| (packs, i128::from(price) * ONE))
        .collect();
    draft.row(
        "over-budget",
        "budget".into(),
        terms,
        Sense::AtMost,
        i128::from(budget) * ONE,
    );
}
