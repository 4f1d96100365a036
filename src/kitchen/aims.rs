//! Reads `aims:`.

use super::currency::money;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::gathered::later;
use super::limits;
use super::names::Index;
use super::node::Node;
use super::number::Decimal;
use super::spelling::meant;
use super::week::Frame;
use super::wording::{either, shown};
use crate::larder::wishes::Preferred;
use crate::larder::{Aim, CapBy, Contents, Day, MILLI, Pin, Preference, Wishes};

/// Returns the wishes of a kitchen that asks for nothing.
pub(crate) fn none(lunches: u8) -> Wishes {
    Wishes {
        order: Vec::new(),
        spoil_weight_milli: MILLI,
        food_price_minor: 0,
        minute_price_minor: 0,
        watch_price_minor: 0,
        trip_price_minor: 0,
        carry_credit_milli: 0,
        preferences: Vec::new(),
        cap: None,
        cap_by: CapBy::Foods,
        budget_minor: None,
        minutes_nano: vec![None; usize::from(lunches) + 1],
        kitchen_minutes_nano: vec![None; usize::from(lunches) + 1],
        cook_on: None,
        nutrition: Vec::new(),
        credits: Vec::new(),
        repeats: 1,
        per_form: None,
        form_never_adjacent: false,
        per_protein: None,
        sameness_milli: None,
        sameness_adjacent_milli: None,
        without: Vec::new(),
        with: Vec::new(),
    }
}

const KEYS: [&str; 8] = [
    "order",
    "spoil_weight",
    "food_price",
    "minute_price",
    "watch_price",
    "trip_price",
    "carry_credit",
    "day_preferences",
];

const AIMS: [(&str, Aim); 4] = [
    ("foods", Aim::Foods),
    ("cost", Aim::Cost),
    ("spoiled", Aim::Spoiled),
    ("minutes", Aim::Minutes),
];

/// Reads `aims:` into the wishes.
pub(crate) fn read(
    node: &Node,
    larder: &Contents,
    index: &Index,
    frame: Frame,
    wishes: &mut Wishes,
    sink: &mut Sink,
) {
    let Some(fields) = Fields::open(node, "the aims", &KEYS, sink) else {
        return;
    };
    for item in fields.list("order", AIMS.len(), sink) {
        let Some(text) = fields::text(item, "order", limits::NAME, sink) else {
            continue;
        };
        match AIMS.iter().find(|(word, _)| *word == text) {
            Some(&(_, aim)) if wishes.order.contains(&aim) => sink.fault(
                item.at,
                format!("the aim `{text}` stands twice"),
                "each aim stands once in the order",
            ),
            Some(&(_, aim)) => wishes.order.push(aim),
            None => sink.fault(
                item.at,
                format!("`{}` is not an aim", shown(text)),
                format!("the aims are {}", either(&AIMS.map(|(word, _)| word))),
            ),
        }
    }
    let weight = |most, what, example| Decimal {
        places: 3,
        least: 0,
        most,
        what,
        example,
    };
    if let Some(w) = fields.number(
        "spoil_weight",
        weight(limits::WEIGHT, "a weight", "1.5"),
        sink,
    ) {
        wishes.spoil_weight_milli = w;
    }
    if let Some(w) = fields.number("carry_credit", weight(1, "a weight below 1", "0.5"), sink) {
        if w >= MILLI {
            sink.fault(
                fields.value_at("carry_credit"),
                "a carry credit of 1 makes everything kept free of charge",
                "write a weight from 0 to 0.999",
            );
        } else {
            wishes.carry_credit_milli = w;
        }
    }
    let mut price = |key: &str| {
        let text = fields.text(key, sink)?;
        sink.take(fields.value_at(key), money(text, &larder.currency, false))
    };
    wishes.food_price_minor = price("food_price").unwrap_or(0);
    wishes.minute_price_minor = price("minute_price").unwrap_or(0);
    wishes.watch_price_minor = price("watch_price").unwrap_or(0);
    wishes.trip_price_minor = price("trip_price").unwrap_or(0);
    for item in fields.list("day_preferences", limits::LIST, sink) {
        if let Some(preference) = preference(item, larder, index, frame, sink) {
            wishes.preferences.push(preference);
        }
    }
}

fn preference(
    item: &Node,
    larder: &Contents,
    index: &Index,
    frame: Frame,
    sink: &mut Sink,
) -> Option<Preference> {
    let keys = ["form", "recipe", "days", "price"];
    let fields = Fields::open(item, "a day preference", &keys, sink)?;
    let whom = match (fields.text("form", sink), fields.text("recipe", sink)) {
        (Some(form), None) => {
            let found = index.form(form);
            if found.is_none() && !sink.partial {
                let help = later(|allowance| {
                    let forms = larder.forms.iter().map(String::as_str);
                    meant(forms, form, allowance, || {
                        "name a form that some recipe has".to_owned()
                    })
                });
                let what = format!("no recipe has the form `{}`", shown(form));
                sink.fault(fields.value_at("form"), what, help);
            }
            found.map(Preferred::Form)
        }
        (None, Some(recipe)) => match index.pin(recipe, None) {
            Ok(Pin::Recipe(id, _)) => Some(Preferred::Recipe(id)),
            _ if sink.partial => None,
            _ => {
                let help = later(|allowance| {
                    let names = larder.recipes.iter().map(|r| r.name.as_str());
                    meant(names, recipe, allowance, || {
                        "name a recipe of this kitchen".to_owned()
                    })
                });
                let what = format!("there is no recipe `{}`", shown(recipe));
                sink.fault(fields.value_at("recipe"), what, help);
                None
            }
        },
        _ => {
            sink.fault(
                item.at,
                "a day preference names a form or a recipe",
                "write one of the two: `{form: soup, days: [Monday], price: -0.50}`",
            );
            None
        }
    };
    let days = if fields.has("days") {
        lunch_days(&fields, frame, sink)
    } else {
        (1..=frame.lunches).collect()
    };
    let text = fields.need_text("price", "-0.50", sink)?;
    let price_minor = sink.take(
        fields.value_at("price"),
        money(text, &larder.currency, true),
    )?;
    Some(Preference {
        whom: whom?,
        days,
        price_minor,
    })
}

/// Reads `days:`, a list of lunch days; sorted, none twice.
fn lunch_days(fields: &Fields, frame: Frame, sink: &mut Sink) -> Vec<Day> {
    let mut out = Vec::new();
    for item in fields.list("days", limits::LIST, sink) {
        if let Some(text) = fields::text(item, "days", limits::NAME, sink)
            && let Some(day) = sink.take(item.at, frame.lunch_day(text))
        {
            out.push(day);
        }
    }
    out.sort_unstable();
    out.dedup();
    out
}
