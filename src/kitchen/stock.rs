//! Reads `stock:`: units on hand.

use super::drafts::Pantry;
use super::fault::Sink;
use super::fields::Fields;
use super::gathered::later;
use super::limits;
use super::lines::amount;
use super::node::Node;
use super::number::Decimal;
use super::place::At;
use super::wording::{either, shown};
use crate::larder::{FoodId, Ingredient, Stock};

const KEYS: [&str; 8] = [
    "food",
    "amount",
    "label",
    "opened",
    "good_until",
    "open_keeps",
    "ready_from",
    "end",
];

/// Reads all units on hand, sorted by food, last good day and amount, and where each stands.
pub(crate) fn read(nodes: &[&Node], pantry: &Pantry, sink: &mut Sink) -> (Vec<Stock>, Vec<At>) {
    if nodes.len() > limits::STOCK {
        sink.fault(
            nodes[limits::STOCK].at,
            format!(
                "`stock` has {} entries; at most {} are read",
                nodes.len(),
                limits::STOCK
            ),
            "put equal units together, or leave out what this week does not need",
        );
        return (Vec::new(), Vec::new());
    }
    let mut out: Vec<(Stock, At)> = nodes
        .iter()
        .filter_map(|node| Some((one(node, pantry, sink)?, node.at)))
        .collect();
    out.sort_by(|a, b| a.0.order(&b.0));
    out.into_iter().unzip()
}

fn one(node: &Node, pantry: &Pantry, sink: &mut Sink) -> Option<Stock> {
    let fields = Fields::open(node, "a unit on hand", &KEYS, sink)?;
    let before = sink.count();
    let mut food = None;
    if let Some(name) = fields.need_text("food", "chickpeas", sink) {
        food = pantry.food_roll.find(name);
        if food.is_none() && !sink.partial {
            let help = later(|allowance| {
                let near = pantry.food_roll.near(name, allowance);
                match (pantry.component_roll.find(name).is_some(), near.is_empty()) {
                    (true, _) => "it is a component; only foods are kept as stock".to_owned(),
                    (false, true) => "add it under `foods:`, or correct the name".to_owned(),
                    (false, false) => format!("did you mean {}?", either(&near)),
                }
            });
            let at = fields.value_at("food");
            sink.fault(at, format!("there is no food `{}`", shown(name)), help);
        }
    }
    let draft = food.map(|index| &pantry.foods[index]);
    if draft.is_some_and(|draft| draft.food.staple) {
        sink.fault(
            fields.value_at("food"),
            "a staple is always in the cupboard and is not counted as stock",
            "leave the entry out, or take `staple: true` off the food",
        );
    }
    let what = food.map(|index| Ingredient::Food(FoodId::new(index)));
    let left = amount(&fields, what, pantry, sink);
    let opened = fields.flag("opened", false, sink);
    let days = Decimal {
        places: 0,
        least: 0,
        most: limits::DAYS,
        what: "a day number",
        example: "4 (counted from the prep day)",
    };
    let until = if fields.need("good_until", "4", sink).is_some() {
        fields.number("good_until", days, sink).unwrap_or(0)
    } else {
        0
    };
    let from = fields.number("ready_from", days, sink).unwrap_or(0);
    if from > until {
        sink.fault(
            fields.value_at("ready_from"),
            format!("`ready_from: {from}` is after `good_until: {until}`"),
            format!("write a day from 0 to {until}"),
        );
    }
    let end = fields.number("end", days, sink).unwrap_or(until);
    if end < until {
        sink.fault(
            fields.value_at("end"),
            format!("`end: {end}` is before `good_until: {until}`"),
            format!("write {until} or more, or leave `end` out"),
        );
    }
    if opened && end > until {
        sink.fault(
            fields.value_at("end"),
            "an open unit cannot be eaten after `good_until`",
            "leave `end` out",
        );
    }
    if opened && fields.has("open_keeps") {
        sink.fault(
            fields.key_at("open_keeps"),
            "`open_keeps` is for sealed units; this one is open",
            "leave it out: `good_until` says how long it is good",
        );
    }
    let keeps = Decimal {
        what: "a number of days",
        example: "3",
        ..days
    };
    let open_keeps = fields.number("open_keeps", keeps, sink);
    let label = fields.text("label", sink);
    let (left_mg, _) = left?;
    let draft = draft?;
    let first = draft.packs.first();
    if sink.count() > before || first.is_none() {
        return None;
    }
    let open_life = if opened {
        end - from
    } else {
        open_keeps.unwrap_or_else(|| first.map_or(0, |pack| i64::from(pack.open_life)))
    };
    Some(Stock {
        food: FoodId::new(food?),
        label: label.unwrap_or(&draft.food.name).to_owned(),
        left_mg,
        opened,
        ready_from: from as i32,
        ready_to: until as i32,
        open_life: open_life as i32,
        end: end as i32,
        value_nano: first.map_or(0, |pack| pack.value_nano),
    })
}
