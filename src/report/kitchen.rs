//! What a kitchen without faults holds, as text; and what was put in where the files say nothing.

use super::grid::{self, Lean};
use super::words;
use crate::kitchen::{Priced, PutIn};
use crate::larder::{Currency, Larder};
use crate::table::keeping::REFRIGERATOR_CELSIUS;
use crate::table::kinds::in_days;
use crate::unicode;
use chrono::NaiveDate;

/// Returns one line: the kitchen's name and how much of everything it has.
pub fn kitchen(larder: &Larder) -> String {
    let count = |n: usize, noun: &str| words::count(n as i64, noun);
    format!(
        "{}: {}, {}, {}, {}, {} on hand; {} to plan\n",
        unicode::isolated(&larder.name),
        count(larder.foods.len(), "food"),
        count(larder.packs.len(), "pack option"),
        count(larder.components.len(), "component"),
        count(larder.recipes.len(), "recipe"),
        count(larder.stock.len(), "unit"),
        count(larder.lunch_count(), "lunch"),
    )
}

/// Returns the keeping times that stand in for some left out of the files, each with its source,
/// and those marked as assumed; nothing if there are none.
pub fn put_in(all: &[PutIn]) -> String {
    let named = |put_in: &PutIn| {
        let name = unicode::isolated(&put_in.name);
        if put_in.pack.is_empty() {
            return format!("{name}: {} once made", in_days(put_in.days));
        }
        let pack = unicode::isolated(&put_in.pack);
        let state = if put_in.key == "keeps" {
            "unopened"
        } else {
            "opened"
        };
        format!("{name}, {pack}: {state} {}", in_days(put_in.days))
    };
    let published = all.iter().filter_map(|put_in| {
        let (place, source) = put_in.published.as_ref()?;
        Some(format!("{} {place} ({source})", named(put_in)))
    });
    let published: Vec<String> = published.collect();
    let assumed = all.iter().filter(|put_in| put_in.published.is_none());
    let assumed = assumed.map(|put_in| {
        format!(
            "{} ({}:{}, `{}`)",
            named(put_in),
            unicode::quoted(&put_in.file),
            put_in.line,
            put_in.key
        )
    });
    let assumed: Vec<String> = assumed.collect();
    let mut text = String::new();
    if !published.is_empty() {
        text += "KEEPING TIMES THE FILES LEAVE OUT\n";
        text += &grid::list(published);
        text += &grid::paragraph(&format!(
            "The strictest published time of each place; cooked food gets the short end of 3 to 4 \
             days. They are for a refrigerator at {REFRIGERATOR_CELSIUS} C or below. The date on the \
             pack and your local food code come first; write `keeps` and `open_keeps` where yours are \
             shorter."
        ));
        text.push('\n');
    }
    if !assumed.is_empty() {
        text += "KEEPING TIMES ASSUMED: COMMON PRACTICE, NO SOURCE\n";
        text += &grid::list(assumed);
        text += &grid::paragraph(
            "Hold each against the pack and your local food code; then take `assumed` out of the file.",
        );
        text.push('\n');
    }
    text
}

/// How a price stands on a day.
fn standing(priced: &Priced, today: NaiveDate, older: i64) -> Option<String> {
    match (&priced.minor, &priced.listed) {
        (None, _) => Some("missing".to_owned()),
        (Some(0), None) if priced.staple => Some("counts nothing".to_owned()),
        (Some(_), None) => Some("no date".to_owned()),
        (Some(_), Some((date, _))) => {
            let age = today.signed_duration_since(*date).num_days();
            (age > older).then(|| format!("{} old", in_days(age)))
        }
    }
}

/// Returns the packs whose price is missing, without a date, or older than so many days; and as text
/// what is to be said of each, and of the others how many there are.
pub fn prices<'a>(
    all: &'a [Priced],
    currency: &Currency,
    today: NaiveDate,
    older: i64,
) -> (Vec<&'a Priced>, String) {
    let due = all
        .iter()
        .filter_map(|priced| Some((priced, standing(priced, today, older)?)));
    let due: Vec<(&Priced, String)> = due.collect();
    let rows = due.iter().map(|(priced, standing)| {
        let (date, shop) = priced.listed.as_ref().map_or_else(
            || ("-".to_owned(), String::new()),
            |(date, shop)| (date.to_string(), unicode::isolated(shop).into_owned()),
        );
        let own = priced
            .shop
            .as_ref()
            .map(|shop| unicode::isolated(shop).into_owned());
        let shop = own.unwrap_or(shop);
        vec![
            unicode::isolated(&priced.food).into_owned(),
            unicode::isolated(&priced.pack).into_owned(),
            priced
                .minor
                .map_or("-".to_owned(), |minor| words::cash(minor, currency)),
            date,
            shop,
            standing.clone(),
        ]
    });
    let mut text = String::new();
    if !due.is_empty() {
        text += &grid::table(
            &[
                ("Food", Lean::Left),
                ("Pack", Lean::Left),
                ("Price", Lean::Right),
                ("Date", Lean::Left),
                ("Shop", Lean::Left),
                ("", Lean::Left),
            ],
            rows.collect(),
        );
    }
    let good = (all.len() - due.len()) as i64;
    text += &grid::paragraph(&format!(
        "{} of {} with a price not older than {}. The newest price of a pack counts, {}; of several on \
         one day the lowest.",
        words::grouped(good),
        words::count(all.len() as i64, "pack"),
        in_days(older),
        if all.iter().any(|priced| priced.shop.is_some()) {
            "at each shop"
        } else {
            "whatever shop"
        }
    ));
    (due.into_iter().map(|(priced, _)| priced).collect(), text)
}

/// Returns whether no price differs, and as text which ones do: those of two readings of the same
/// kitchen, up to `since` and now.
pub fn price_changes(
    was: &[Priced],
    now: &[Priced],
    currency: &Currency,
    since: NaiveDate,
) -> (bool, String) {
    let name = |priced: &Priced| {
        let parts = [Some(&priced.food), Some(&priced.pack), priced.shop.as_ref()];
        parts.map(|part| part.map_or_else(String::new, |text| unicode::isolated(text).into_owned()))
    };
    let figure =
        |minor: Option<i64>| minor.map_or("-".to_owned(), |one| words::cash(one, currency));
    let mut rows = Vec::new();
    for priced in now {
        let before = was.iter().find(|one| {
            (&one.food, &one.pack, &one.shop) == (&priced.food, &priced.pack, &priced.shop)
        });
        let before = before.and_then(|one| one.minor);
        if before != priced.minor {
            let [food, pack, shop] = name(priced);
            let more = before.zip(priced.minor).map(|(was, is)| is - was);
            let sign = |more: i64| if more < 0 { "" } else { "+" };
            let more = more.map(|more| format!("{}{}", sign(more), words::cash(more, currency)));
            let (was, is) = (figure(before), figure(priced.minor));
            rows.push(vec![food, pack, shop, was, is, more.unwrap_or_default()]);
        }
    }
    if rows.is_empty() {
        let none = format!("No price that counts has changed after {since}.");
        return (true, grid::paragraph(&none));
    }
    let heads = [
        ("Food", Lean::Left),
        ("Pack", Lean::Left),
        ("Shop", Lean::Left),
        ("Was", Lean::Right),
        ("Is", Lean::Right),
        ("More", Lean::Right),
    ];
    (false, grid::table(&heads, rows))
}
