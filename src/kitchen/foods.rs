//! Reads `foods:`.

use super::currency::money;
use super::fault::{At, Says, Sink, either, says, shown};
use super::fields::{self, Fields};
use super::gather::{Named, Roll, Shape};
use super::limits;
use super::node::{Node, Value};
use super::number::{Decimal, percent};
use super::quantity::{self, Measures, PACK_WORDS};
use crate::larder::{Currency, Food, FoodId, NUTRIENTS, Nutrient, Pack};
use crate::table;
use crate::table::units::{self, Kind};

/// A whole share, in thousandths of a percent.
const WHOLE: i64 = 100_000;

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
        "packs",
    ],
    most: limits::FOODS,
};

/// A food as read; its packs are not yet in the larder's one list.
#[derive(Debug)]
pub(crate) struct FoodDraft {
    pub(crate) food: Food,
    pub(crate) family: Option<String>,
    pub(crate) packs: Vec<Pack>,
    /// Where each pack and each price stands.
    pub(crate) pack_at: Vec<(At, At)>,
    pub(crate) measures: Measures,
    pub(crate) at: At,
    /// No fault was found in it. Faults that follow from it are then not told.
    pub(crate) sound: bool,
}

/// Reads all foods, in the roll's order.
pub(crate) fn read(roll: &Roll, currency: &Currency, sink: &mut Sink) -> Vec<FoodDraft> {
    roll.entries
        .iter()
        .enumerate()
        .map(|(index, entry)| {
            let before = sink.count();
            let mut draft = one(FoodId::new(index), entry, currency, sink);
            draft.sound = sink.count() == before;
            draft
        })
        .collect()
}

fn one(id: FoodId, entry: &Named, currency: &Currency, sink: &mut Sink) -> FoodDraft {
    let fields = &entry.fields;
    let mut draft = FoodDraft {
        food: Food {
            name: entry.name.to_owned(),
            staple: fields.flag("staple", false, sink),
            family: None,
            tags: owned(fields.words("tags", sink)),
            allergens: owned(fields.words("allergens", sink)),
            packs: 0..0,
            staple_value_micro: 0,
            nutrients_milli: [None; NUTRIENTS],
            source: String::new(),
            yield_milli_percent: WHOLE,
        },
        family: fields.text("family", sink).map(str::to_owned),
        packs: Vec::new(),
        pack_at: Vec::new(),
        measures: Measures::default(),
        at: entry.at,
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
    packs(id, entry, &mut draft, currency, sink);
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
            draft.food.nutrients_milli = row.nutrients_milli;
            draft.food.yield_milli_percent = row.yield_milli_percent;
            for measure in &row.measures {
                draft.measures.add(&measure.name, measure.mg, false);
            }
            sources.push(row.source.clone());
        } else {
            let fault = unknown_row(text, sink);
            sink.refuse::<()>(fields.value_at("table"), fault);
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

fn unknown_row(text: &str, sink: &mut Sink) -> Says {
    if text.bytes().all(|b| b.is_ascii_digit()) {
        return says(
            format!("the built-in table has no row number `{}`", shown(text)),
            if text.len() < 5 {
                format!("row numbers have five digits: did you mean \"{text:0>5}\"?")
            } else {
                "check the number, or give the row's name".to_owned()
            },
        );
    }
    let near = if sink.may_compare(table::rows().len()) {
        table::near(text)
    } else {
        Vec::new()
    };
    says(
        format!("the built-in table has no row `{}`", shown(text)),
        if near.is_empty() {
            "give a row's name or five-digit number, or own `nutrients:` with their `source:`"
                .to_owned()
        } else {
            format!("did you mean {}?", either(&near))
        },
    )
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
        return;
    }
    for (key, value) in entries {
        let name = key.text.trim();
        if name.is_empty()
            || name.chars().count() > limits::NAME
            || name.chars().any(char::is_control)
        {
            sink.fault(
                key.at,
                "a measure needs a short name",
                "write a word, like `piece: 150 g`",
            );
            continue;
        }
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
                .any(|word| super::names::fold(name) == *word)
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

const PACK_KEYS: [&str; 10] = [
    "pack",
    "size",
    "units",
    "price",
    "stage",
    "keeps",
    "ready",
    "open_keeps",
    "end",
    "loose",
];

fn packs(id: FoodId, entry: &Named, draft: &mut FoodDraft, currency: &Currency, sink: &mut Sink) {
    let example = "[{pack: 400 g tin, size: 240 g, price: 0.89, keeps: 365, open_keeps: 3}]";
    if entry.fields.need("packs", example, sink).is_none() {
        return;
    }
    let items = entry.fields.list("packs", limits::PACKS, sink);
    if items.is_empty() {
        sink.fault(
            entry.fields.value_at("packs"),
            "a food needs at least one pack option",
            format!("write one, like `packs: {example}`"),
        );
    }
    for item in items {
        let before = sink.count();
        if let Some((pack, price_at)) = pack(id, item, draft, currency, sink) {
            if let Some(index) = draft
                .packs
                .iter()
                .position(|other| other.label == pack.label)
            {
                let place = sink.place(draft.pack_at[index].0);
                sink.fault(
                    item.at,
                    format!(
                        "the pack `{}` already stands at {place}",
                        shown(&pack.label)
                    ),
                    "give each pack option of a food a label of its own",
                );
            }
            if draft.measures.pack.is_none() && sink.count() == before {
                draft.measures.pack = Some((pack.unit_mg, pack.units));
            }
            draft.packs.push(pack);
            draft.pack_at.push((item.at, price_at));
        }
    }
    draft.food.staple_value_micro = if draft.food.staple {
        draft
            .packs
            .iter()
            .map(|pack| pack.value_micro)
            .min()
            .unwrap_or(0)
    } else {
        0
    };
}

fn days_form(what: &'static str, example: &'static str) -> Decimal {
    Decimal {
        places: 0,
        least: 0,
        most: limits::DAYS,
        what,
        example,
    }
}

fn pack(
    id: FoodId,
    item: &Node,
    draft: &FoodDraft,
    currency: &Currency,
    sink: &mut Sink,
) -> Option<(Pack, At)> {
    let fields = Fields::open(item, "a pack option", &PACK_KEYS, sink)?;
    let staple = draft.food.staple;
    let size = fields.need_text("size", "400 g", sink);
    let label = if staple {
        fields.text("pack", sink).or(size)
    } else {
        fields.need_text("pack", "400 g tin", sink)
    };
    let (unit_ap_mg, unit_mg) = size
        .and_then(|text| edible(text, draft, fields.value_at("size"), sink))
        .unwrap_or((1, 1));
    let count = Decimal {
        places: 0,
        least: 1,
        most: limits::UNITS,
        what: "a number of units in the pack",
        example: "4",
    };
    let units = fields.number("units", count, sink).unwrap_or(1);
    let price_at = fields.value_at("price");
    let price = fields
        .need_text("price", "0.89", sink)
        .and_then(|text| sink.take(price_at, money(text, currency, false)));
    if price == Some(0) && !staple {
        sink.fault(
            price_at,
            "a pack that is bought has a price above 0",
            "write its price; what is there already belongs in `stock:`",
        );
    }
    let price_minor = price.unwrap_or(0);
    let keeping = if staple {
        keeping_of_staple(&fields, sink)
    } else {
        keeping(&fields, sink)
    };
    let edible_mg = i128::from(unit_mg) * i128::from(units);
    if edible_mg > i128::from(limits::MASS_MG) {
        sink.fault(
            fields.value_at("units"),
            "the whole pack is more than 1000 kg",
            "check `size` (of one unit) and `units` (how many in the pack)",
        );
    }
    let value = (i128::from(price_minor) * 2_000_000 + edible_mg) / (2 * edible_mg);
    let pack = Pack {
        food: id,
        label: label.unwrap_or_default().to_owned(),
        stage: fields.text("stage", sink).map(str::to_owned),
        unit_ap_mg,
        unit_mg,
        units,
        price_minor,
        loose: keeping.loose,
        ready_from: keeping.ready_from,
        ready_to: keeping.ready_to,
        open_life: keeping.open_life,
        end: keeping.end,
        // At most 1e7 minor units (1e9 with four digits) times 1e6, over one milligram.
        value_micro: value as i64,
    };
    Some((pack, price_at))
}

/// Returns as-purchased and edible milligrams of a pack's size. A mass is as purchased; a measure
/// of the food is edible portion, as measures are.
fn edible(text: &str, draft: &FoodDraft, at: At, sink: &mut Sink) -> Option<(i64, i64)> {
    let share = i128::from(draft.food.yield_milli_percent);
    let name = &draft.food.name;
    let mut measures = draft.measures.clone();
    measures.pack = None;
    let mg = sink.take(at, measures.read(text, name))?;
    if quantity::is_mass(text) {
        let ep = i128::from(mg) * share / i128::from(WHOLE);
        if ep == 0 {
            sink.fault(
                at,
                format!("nothing of `{}` is left after trimming", shown(text)),
                "check `size` and `yield`",
            );
            return None;
        }
        return Some((mg, ep as i64));
    }
    let ap = (i128::from(mg) * i128::from(WHOLE) + share - 1) / share;
    if ap > i128::from(limits::MASS_MG) {
        sink.fault(
            at,
            format!("`{}` is more than 1000 kg as purchased", shown(text)),
            "check `size` and `yield`",
        );
        return None;
    }
    Some((ap as i64, mg))
}

struct Keeping {
    loose: bool,
    ready_from: i32,
    ready_to: i32,
    open_life: i32,
    end: i32,
}

/// A staple is always there; what is written about its keeping is read and not used.
fn keeping_of_staple(fields: &Fields, sink: &mut Sink) -> Keeping {
    for key in ["keeps", "open_keeps", "end"] {
        fields.number(key, days_form("days", "365"), sink);
    }
    fields.text("ready", sink);
    let far = limits::DAYS as i32;
    Keeping {
        loose: fields.flag("loose", false, sink),
        ready_from: 0,
        ready_to: far,
        open_life: far,
        end: far,
    }
}

fn keeping(fields: &Fields, sink: &mut Sink) -> Keeping {
    let loose = fields.flag("loose", false, sink);
    let mut ready_from = 0;
    let mut ready_to = 0;
    match (fields.has("keeps"), fields.has("ready")) {
        (true, false) => {
            let form = days_form("a number of days", "7");
            ready_to = fields.number("keeps", form, sink).unwrap_or(0);
        }
        (false, true) => {
            if let Some(text) = fields.text("ready", sink)
                && let Some((lo, hi)) = sink.take(fields.value_at("ready"), window(text))
            {
                (ready_from, ready_to) = (lo, hi);
            }
        }
        (true, true) => sink.fault(
            fields.key_at("ready"),
            "a pack has `keeps` or `ready`, not both",
            "write `ready: 2..5` for a ripening fruit, `keeps: 7` for everything else",
        ),
        (false, false) => sink.fault(
            fields.at,
            "a pack option lacks `keeps`",
            "write the days an unopened unit stays good (`keeps: 7`), or `ready: 2..5` for a \
             ripening fruit",
        ),
    }
    let open = fields.number("open_keeps", days_form("a number of days", "3"), sink);
    if open.is_none() && !loose && !fields.has("open_keeps") {
        sink.fault(
            fields.at,
            "a pack option lacks `open_keeps`",
            "write the days an opened unit stays good after the day of opening (`open_keeps: 3`), \
             or `loose: true` for goods sold by weight or piece",
        );
    }
    let default_end = if fields.has("ready") {
        ready_to + open.unwrap_or(0)
    } else {
        ready_to
    };
    let end_form = days_form("a number of days", "7");
    let mut end = fields.number("end", end_form, sink).unwrap_or(default_end);
    if end < ready_to {
        sink.fault(
            fields.value_at("end"),
            format!("`end: {end}` is before the last day it may be opened ({ready_to})"),
            format!("write {ready_to} or more, or leave `end` out"),
        );
        end = ready_to;
    }
    if end > limits::DAYS {
        end = limits::DAYS;
    }
    // Loose goods: k reaches from the first day of use to the end.
    let open_life = open.unwrap_or(if loose { end - ready_from } else { 0 });
    Keeping {
        loose,
        ready_from: ready_from as i32,
        ready_to: ready_to as i32,
        open_life: open_life as i32,
        end: end as i32,
    }
}

/// Reads `lo..hi`.
fn window(text: &str) -> Result<(i64, i64), Says> {
    let form = days_form("a day", "2");
    let refused = || {
        says(
            format!("`{}` is not a ready window", shown(text)),
            "write first and last day after purchase with two points between, like `ready: 2..5`",
        )
    };
    let (lo, hi) = text.split_once("..").ok_or_else(refused)?;
    let lo = super::number::decimal(lo, form).map_err(|_| refused())?;
    let hi = super::number::decimal(hi, form).map_err(|_| refused())?;
    if lo > hi {
        return Err(says(
            format!("the ready window `{}` ends before it begins", shown(text)),
            format!("write the earlier day first: `ready: {hi}..{lo}`"),
        ));
    }
    Ok((lo, hi))
}
