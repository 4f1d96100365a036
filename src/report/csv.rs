//! The shopping list and what is left as CSV (RFC 4180): a heading line, one row a line, lines
//! ending in CR LF, text in UTF-8. Figures are exact, with a decimal point and no unit; the
//! unit is in the heading.
//!
//! A spreadsheet runs a cell that begins with `=`, and one that its other separators part from
//! what stands before it: every text stands in quotes, and one that would be run after an
//! apostrophe (OWASP, "CSV Injection", from memory).

use ::csv::{QuoteStyle, Terminator, WriterBuilder};

use super::{phrases, words};
use crate::explain::{Explanation, Fate, Origin};
use crate::kitchen::Priced;
use chrono::NaiveDate;

/// Returns the shopping list: a row a pack option and trip.
pub fn shopping_csv(explanation: &Explanation) -> String {
    let rows = explanation.week.iter().flat_map(|week| &week.purchases);
    let rows = rows.map(|row| {
        let lunches: Vec<String> = row.serves.iter().map(words::plain_day).collect();
        vec![
            figure((row.trip + 1).to_string()),
            text(&words::plain_day(&row.bought_on)),
            text(row.shop.as_deref().unwrap_or_default()),
            text(&row.food),
            text(row.family.as_deref().unwrap_or_default()),
            text(&row.pack),
            text(row.stage.as_deref().unwrap_or_default()),
            figure(row.count.to_string()),
            exact_grams(row.ap_mg),
            exact_grams(row.mg),
            figure(words::plain_money(row.each_minor, &explanation.currency)),
            figure(words::plain_money(row.price_minor, &explanation.currency)),
            text(&explanation.currency.code),
            text(&lunches.join(" ")),
        ]
    });
    written(
        &[
            "trip",
            "day",
            "shop",
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
            text(&row.food),
            text(&row.pack),
            text(row.stage.as_deref().unwrap_or_default()),
            match &row.origin {
                Origin::Bought(trip) => text(&phrases::trip_on(
                    &words::plain_day(&trip.when),
                    trip.shop.as_deref(),
                )),
                Origin::Stock => text("on hand"),
            },
            figure(row.units.to_string()),
            text(
                &row.opened_on
                    .as_ref()
                    .map_or_else(String::new, words::plain_day),
            ),
            exact_grams(row.had_mg),
            exact_grams(row.used_mg),
            exact_grams(row.left_mg),
            figure(words::plain_money_nano(
                row.value_nano,
                &explanation.currency,
            )),
            text(&explanation.currency.code),
            figure(row.good_until.day.to_string()),
            text(&words::plain_day(&row.good_until)),
            text(match row.fate {
                Fate::UsedUp => "used up",
                Fate::Kept => "kept",
                Fate::Spoiled => "spoiled",
            }),
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

/// Returns a price list to fill in: a row a pack, without its price.
pub fn prices_csv(packs: &[&Priced], today: NaiveDate) -> String {
    let rows = packs.iter().map(|priced| {
        let listed = priced.listed.as_ref().map(|(_, shop)| shop);
        let shop = priced.shop.as_ref().or(listed).map_or("", String::as_str);
        vec![
            figure(today.to_string()),
            text(shop),
            text(&priced.food),
            text(&priced.pack),
            figure(String::new()),
        ]
    });
    // Where the price goes nothing stands, no quotes either: it is the last of each row.
    written(&["date", "shop", "food", "pack", "price"], rows).replace(",\"\"\r\n", ",\r\n")
}

/// A cell: nothing becomes one but by [`text`] and [`figure`].
struct Cell(String);

/// A figure of ours: it stands as it is, below zero too.
fn figure(figure: String) -> Cell {
    Cell(figure)
}

fn exact_grams(mg: i64) -> Cell {
    figure(words::thousandths(mg))
}

/// A text, harmless to a spreadsheet. Whoever reads it back takes one apostrophe off what begins
/// with apostrophes and then one of the characters that are run.
fn text(text: &str) -> Cell {
    if text.trim_start_matches('\'').starts_with(RUN) {
        Cell(format!("'{text}"))
    } else {
        Cell(text.to_owned())
    }
}

/// What a spreadsheet takes for the beginning of a formula, or for space before one; the wide
/// forms too, which some read as the narrow ones.
const RUN: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];

fn written(heading: &[&str], rows: impl Iterator<Item = Vec<Cell>>) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .quote_style(QuoteStyle::NonNumeric)
        .from_writer(Vec::new());
    // Writing to memory does not fail, and every row has as many fields as the heading.
    let _ = writer.write_record(heading);
    for row in rows {
        let _ = writer.write_record(row.iter().map(|cell| &cell.0));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}
