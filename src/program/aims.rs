//! The objective of a stage, and one row for each aim already settled (section 5 of the
//! model).

use super::Sense;
use super::columns::Columns;
use super::draft::{Draft, ONE};
use super::minutes;
use crate::larder::wishes::Preferred;
use crate::larder::{Aim, RecipeId};
use crate::plan::Lot;
use crate::unicode;

/// Milligrams in the gram that amounts are counted in.
const GRAM_MG: i128 = 1_000;

/// A sum over columns, in 1e-9 of its unit.
type Sum = Vec<(usize, i128)>;

/// Puts the stage's objective on the columns and adds the rows of settled aims. Returns
/// the program's title and the objective's unit.
pub(super) fn rows(
    columns: &Columns,
    draft: &mut Draft,
    settled_nano: &[i128],
) -> (String, &'static str) {
    let wishes = &columns.larder.wishes;
    for (index, (&aim, &best)) in wishes.order.iter().zip(settled_nano).enumerate() {
        draft.row(
            "settled-aim",
            format!("settled.n{index}.{}", word(aim)),
            sum_of(columns, aim),
            Sense::AtMost,
            best,
        );
    }
    let (sum, word, unit) = match wishes.order.get(settled_nano.len()) {
        Some(&aim) => (sum_of(columns, aim), word(aim), unit(aim)),
        None => (one_currency(columns), "one currency", "minor units"),
    };
    for (column, nano) in sum {
        draft.cost(column, nano);
    }
    // Some readers take comments of at most 255 octets.
    let kitchen = unicode::cut(&columns.larder.name, 50);
    let kitchen = unicode::isolated(&kitchen);
    (format!("{kitchen}: {word}"), unit)
}

fn word(aim: Aim) -> &'static str {
    match aim {
        Aim::Foods => "foods",
        Aim::Cost => "cost",
        Aim::Spoiled => "spoiled",
        Aim::Minutes => "minutes",
    }
}

fn unit(aim: Aim) -> &'static str {
    match aim {
        Aim::Foods => "foods",
        Aim::Cost | Aim::Spoiled => "minor units",
        Aim::Minutes => "minutes",
    }
}

fn sum_of(columns: &Columns, aim: Aim) -> Sum {
    match aim {
        Aim::Foods => foods(columns, ONE),
        Aim::Cost => cost(columns),
        Aim::Spoiled => columns
            .drawn
            .iter()
            .map(|drawn| (drawn.spoils, value_of_a_gram(drawn.source.value_nano)))
            .collect(),
        Aim::Minutes => all_minutes(columns, 1),
    }
}

fn value_of_a_gram(value_nano: i64) -> i128 {
    i128::from(value_nano) * GRAM_MG
}

fn foods(columns: &Columns, price_nano: i128) -> Sum {
    let bought = columns.bought.values();
    bought.map(|&column| (column, price_nano)).collect()
}

/// Packs bought and staples used. A staple inside a component is used whichever batch it
/// goes into, so it is priced on the alternative.
fn cost(columns: &Columns) -> Sum {
    let larder = columns.larder;
    let packs = columns.drawn.iter().filter_map(|drawn| {
        let Lot::Bought(pack, _) = drawn.source.lot else {
            return None;
        };
        let price = larder.packs[pack.index()].price_minor;
        drawn
            .packs
            .map(|(column, _)| (column, i128::from(price) * ONE))
    });
    let mut sum: Sum = packs.collect();
    for (recipe, day, line, j) in columns.alternatives() {
        let staples: i128 = columns
            .foods_of(recipe, day, line, j)
            .into_iter()
            .filter(|(food, _)| larder.foods[food.index()].staple)
            .map(|(food, mg)| {
                let value = larder.foods[food.index()].staple_value_nano;
                i128::from(mg) * i128::from(value)
            })
            .sum();
        sum.push((columns.takes(recipe, day, line, j), staples));
    }
    sum
}

fn all_minutes(columns: &Columns, price: i128) -> Sum {
    columns
        .days()
        .flat_map(|day| minutes::of_day(columns, day))
        .map(|(column, nano)| (column, nano * price))
        .collect()
}

fn one_currency(columns: &Columns) -> Sum {
    let larder = columns.larder;
    let wishes = &larder.wishes;
    let mut sum = cost(columns);
    for drawn in &columns.drawn {
        let value = drawn.source.value_nano;
        let (spoiled, kept) = (
            wishes.spoil_price_nano(value),
            wishes.keep_credit_nano(value),
        );
        sum.push((drawn.spoils, value_of_a_gram(spoiled)));
        sum.push((drawn.keeps, -value_of_a_gram(kept)));
    }
    sum.extend(foods(columns, i128::from(wishes.food_price_minor) * ONE));
    sum.extend(all_minutes(columns, i128::from(wishes.minute_price_minor)));
    let price = i128::from(wishes.watch_price_minor);
    let watched = columns
        .days()
        .flat_map(|day| minutes::watched_on(columns, day));
    sum.extend(watched.map(|(column, nano)| (column, nano * price)));
    for (trip, column) in (0..).zip(&columns.trips) {
        let price = i128::from(larder.trip_price_minor(trip));
        sum.extend(column.map(|column| (column, price * ONE)));
    }
    for preference in &wishes.preferences {
        let concerned = |recipe: &RecipeId| match preference.whom {
            Preferred::Recipe(named) => named == *recipe,
            Preferred::Form(form) => larder.recipes[recipe.index()].form == form,
        };
        for recipe in columns.recipes().filter(concerned) {
            for &day in &preference.days {
                let price = i128::from(preference.price_minor) * ONE;
                sum.push((columns.lunch(recipe, day), price));
            }
        }
    }
    sum
}
