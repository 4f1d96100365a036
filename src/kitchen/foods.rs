//! Reads `foods:`.

use super::credits;
use super::drafts::FoodDraft;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::gather::{Named, Roll, Shape};
use super::gathered::later;
use super::limits;
use super::node::Value;
use super::number::{Decimal, percent};
use super::packs::{self, Till};
use super::place::At;
use super::quantity::{self, Measures, PACK_WORDS};
use super::wording::{either, shown};
use crate::larder::{Food, FoodId, Household, NUTRIENTS, Nutrient, WHOLE_YIELD};
use crate::table;
use crate::table::units::{self, Kind};

pub(crate) const SHAPE: Shape = Shape {
    key: "food",
    what: "a food",
    example: "chickpeas",
    keys: &[
        "food",
        "table",
        "nutrients",
        "source",
        "staple",
        "family",
        "tags",
        "allergens",
        "yield",
        "measures",
        "credits",
        "packs",
    ],
    most: limits::FOODS,
};

/// Reads all foods, in the roll's order.
pub(crate) fn read(roll: &Roll, till: &Till, sink: &mut Sink) -> Vec<FoodDraft> {
    roll.entries
        .iter()
        .enumerate()
        .map(|(index, entry)| {
            let before = sink.count();
            let mut draft = one(FoodId::new(index), entry, till, sink);
            draft.sound = sink.count() == before;
            draft
        })
        .collect()
}

fn one(id: FoodId, entry: &Named, till: &Till, sink: &mut Sink) -> FoodDraft {
    let fields = &entry.fields;
    let mut draft = FoodDraft {
        food: Food {
            name: entry.name.to_owned(),
            staple: fields.flag("staple", false, sink),
            family: None,
            tags: owned(fields.words("tags", sink)),
            allergens: owned(fields.words("allergens", sink)),
            packs: 0..0,
            staple_value_nano: 0,
            nutrients_milli: [None; NUTRIENTS],
            source: String::new(),
            yield_milli_percent: WHOLE_YIELD,
            household: Household::default(),
        },
        family: fields.text("family", sink).map(str::to_owned),
        packs: Vec::new(),
        priced: Vec::new(),
        times: Vec::new(),
        pack_at: Vec::new(),
        measures: Measures::default(),
        credits: Vec::new(),
        at: entry.at,
        row: None,
        sound: true,
    };
    nutrients(fields, &mut draft, sink);
    if let Some(node) = fields.get("yield", sink)
        && let Some(text) = fields::text(node, "yield", limits::NAME, sink)
        && let Some(share) = sink.take(node.at, percent(text))
    {
        if share == 0 {
            sink.fault(
                node.at,
                "a yield of 0 % leaves nothing to eat",
                "write the edible share of what is bought, like `61 %`",
            );
        } else {
            draft.food.yield_milli_percent = share;
        }
    }
    measures(fields, &mut draft.measures, true, sink);
    packs::read(id, entry, &mut draft, till, sink);
    credits::of_food(fields, &mut draft, sink);
    draft.food.household = draft.measures.household();
    draft
}

/// Returns owned words, sorted, none twice.
pub(crate) fn owned(words: Vec<&str>) -> Vec<String> {
    let mut list: Vec<String> = words.into_iter().map(str::to_owned).collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// Fills nutrients, measures and yield from the table, then the kitchen's own figures.
fn nutrients(fields: &Fields, draft: &mut FoodDraft, sink: &mut Sink) {
    let mut sources = Vec::new();
    if !fields.has("table") && !fields.has("nutrients") {
        sink.fault(
            fields.at,
            "a food needs `table` or `nutrients`",
            "name a row of the built-in table (`table: \"16057\"`), or give `nutrients:` per 100 g \
             with their `source:`",
        );
    }
    if let Some(text) = fields.text("table", sink) {
        if let Some(row) = table::find(text) {
            draft.row = Some(row);
            draft.food.nutrients_milli = row.nutrients_milli;
            draft.food.yield_milli_percent = row.yield_milli_percent;
            for measure in &row.measures {
                draft.measures.add(&measure.name, measure.mg, false);
            }
            sources.push(row.source.clone());
        } else {
            unknown_row(text, fields.value_at("table"), sink);
        }
    }
    if let Some(node) = fields.get("nutrients", sink) {
        let keys: Vec<&str> = Nutrient::ALL.iter().map(|n| n.key()).collect();
        if let Some(own) = Fields::open(node, "the nutrients of a food", &keys, sink) {
            for nutrient in Nutrient::ALL {
                let figure = own.number(nutrient.key(), figure_form(nutrient), sink);
                if figure.is_some() {
                    draft.food.nutrients_milli[nutrient.index()] = figure;
                }
            }
        }
        if let Some(source) = fields.need_text("source", "where the figures come from", sink) {
            sources.push(source.to_owned());
        }
    } else if let Some(source) = fields.text("source", sink) {
        sources.push(source.to_owned());
    }
    draft.food.source = sources.join("; ");
}

/// Returns the limits of a figure per 100 g: no more grams than there are.
fn figure_form(nutrient: Nutrient) -> Decimal {
    let (most, what) = match nutrient.unit() {
        "g" => (100, "grams in 100 g"),
        "kcal" => (1_000, "kilocalories in 100 g"),
        "mg" => (100_000, "milligrams in 100 g"),
        _ => (limits::NUTRIENT, "micrograms in 100 g"),
    };
    Decimal {
        places: 3,
        least: 0,
        most,
        what,
        example: "7.6",
    }
}

fn unknown_row(text: &str, at: At, sink: &mut Sink) {
    if let Some(gone) = table::gone(text) {
        sink.fault(
            at,
            format!(
                "the built-in table no longer has row `{}` ({}): its release has dropped it",
                gone.number, gone.name
            ),
            format!(
                "write \"{}\", the nearest row ({})",
                gone.nearest, gone.note
            ),
        );
        return;
    }
    if text.bytes().all(|b| b.is_ascii_digit()) {
        sink.fault(
            at,
            format!("the built-in table has no row number `{}`", shown(text)),
            if text.len() < 5 {
                format!("row numbers have five digits: did you mean \"{text:0>5}\"?")
            } else {
                "check the number, or give the row's name".to_owned()
            },
        );
        return;
    }
    let help = later(|_| match table::near(text).as_slice() {
        [] => "give a row's name or five-digit number, or own `nutrients:` with their `source:`"
            .to_owned(),
        near => format!("did you mean {}?", either(near)),
    });
    let what = format!("the built-in table has no row `{}`", shown(text));
    sink.fault(at, what, help);
}

/// Reads `measures:`, a mapping of measure to mass; `bought` things know packs and units.
pub(crate) fn measures(fields: &Fields, out: &mut Measures, bought: bool, sink: &mut Sink) {
    let Some(node) = fields.get("measures", sink) else {
        return;
    };
    let Value::Map(entries) = &node.value else {
        sink.fault(
            node.at,
            format!(
                "`measures` must be a mapping, and here stands {}",
                node.kind()
            ),
            "write `measures: {piece: 150 g, cup: 30 g}`",
        );
        return;
    };
    if entries.len() > limits::MEASURES {
        sink.fault(
            node.at,
            format!(
                "`measures` has {} entries; at most {} are read",
                entries.len(),
                limits::MEASURES
            ),
            "keep those that recipes use",
        );
    }
    for (key, value) in entries.iter().take(limits::MEASURES) {
        let Some(name) = fields::named(key, "a measure", sink) else {
            continue;
        };
        if units::find(name).is_some_and(|unit| unit.kind == Kind::Mass) {
            sink.fault(
                key.at,
                format!("`{}` is a unit of mass already", shown(name)),
                "give household measures here, like `piece: 150 g`",
            );
            continue;
        }
        if bought
            && PACK_WORDS
                .iter()
                .any(|word| super::spelling::fold(name) == *word)
        {
            sink.fault(
                key.at,
                format!(
                    "`{}` already means the food's first pack option",
                    shown(name)
                ),
                "choose another word for this measure",
            );
            continue;
        }
        if name.starts_with(|c: char| !c.is_alphabetic()) {
            sink.fault(
                key.at,
                format!("the measure `{}` does not begin with a letter", shown(name)),
                "write a word, like `piece: 150 g`",
            );
            continue;
        }
        if out.has_own(name) {
            sink.fault(
                key.at,
                format!("the measure `{}` stands twice", shown(name)),
                "keep one of the two; singular and plural are the same measure",
            );
            continue;
        }
        if let Some(text) = fields::text(value, name, limits::NAME, sink)
            && let Some(mg) = sink.take(value.at, quantity::mass(text))
        {
            out.add(name, mg, true);
        }
    }
}
