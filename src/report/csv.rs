//! The shopping list and what is left as CSV (RFC 4180): a heading line, one row a line, lines
//! ending in CR LF, text in UTF-8. Figures are exact, with a decimal point and no unit; the
//! unit is in the heading.

use ::csv::{Terminator, WriterBuilder};

use super::words;
use crate::explain::{Explanation, Fate, Origin};

/// Returns the shopping list: a row a pack option and trip.
pub fn shopping_csv(explanation: &Explanation) -> String {
    let rows = explanation.week.iter().flat_map(|week| &week.purchases);
    let rows = rows.map(|row| {
        let lunches: Vec<&str> = row.serves.iter().map(|day| day.name.as_str()).collect();
        vec![
            (row.trip + 1).to_string(),
            row.bought_on.name.clone(),
            row.food.clone(),
            row.family.clone().unwrap_or_default(),
            row.pack.clone(),
            row.stage.clone().unwrap_or_default(),
            row.count.to_string(),
            exact_grams(row.ap_mg),
            exact_grams(row.mg),
            words::money(row.each_minor, &explanation.currency),
            words::money(row.price_minor, &explanation.currency),
            explanation.currency.code.clone(),
            lunches.join(" "),
        ]
    });
    written(
        &[
            "trip",
            "day",
            "food",
            "family",
            "pack",
            "ripeness",
            "packs",
            "as_purchased_g",
            "edible_g",
            "price_each",
            "price",
            "currency",
            "lunches",
        ],
        rows,
    )
}

/// Returns what is left: a row a state of a pack.
pub fn leftovers_csv(explanation: &Explanation) -> String {
    let rows = explanation.week.iter().flat_map(|week| &week.leftovers);
    let rows = rows.map(|row| {
        vec![
            row.food.clone(),
            row.pack.clone(),
            row.stage.clone().unwrap_or_default(),
            match &row.origin {
                Origin::Bought(when) => when.name.clone(),
                Origin::Stock => "on hand".to_owned(),
            },
            row.units.to_string(),
            row.opened_on
                .as_ref()
                .map_or(String::new(), |when| when.name.clone()),
            exact_grams(row.had_mg),
            exact_grams(row.used_mg),
            exact_grams(row.left_mg),
            words::money_nano(row.value_nano, &explanation.currency),
            explanation.currency.code.clone(),
            row.good_until.day.to_string(),
            row.good_until.name.clone(),
            match row.fate {
                Fate::UsedUp => "used up",
                Fate::Kept => "kept",
                Fate::Spoiled => "spoiled",
            }
            .to_owned(),
        ]
    });
    written(
        &[
            "food",
            "pack",
            "ripeness",
            "bought",
            "units",
            "opened",
            "had_g",
            "used_g",
            "left_g",
            "worth_left",
            "currency",
            "good_to_day",
            "good_to",
            "fate",
        ],
        rows,
    )
}

fn exact_grams(mg: i64) -> String {
    words::thousandths(mg)
}

fn written(heading: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    // Writing to memory does not fail, and every row has as many fields as the heading.
    let _ = writer.write_record(heading);
    for row in rows {
        let _ = writer.write_record(&row);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}
