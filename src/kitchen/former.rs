//! Reads what a former week left from its JSON, as `scant week --format json` printed it, or
//! the last of weeks in a row.
//!
//! Only what the next week needs is read: currency, carry day, what is kept, the recipes
//! served. Everything else in the file is passed over, except that it must be JSON without
//! doubled keys. Nothing is guessed: a food this kitchen does not know is a fault, as what is
//! left of it would be lost without a word.

use super::fault::{Fault, Sink, Source, Tally, read_through};
use super::fields::{self, Fields};
use super::gathered::later;
use super::node::{Node, Value};
use super::number::Decimal;
use super::place::At;
use super::spelling::{Allowance, fold, near};
use super::wording::{either, says, shown};
use super::{json, limits};
use crate::larder::calendar;
use crate::larder::former::MOST_FORMER;
use crate::larder::wishes::Preferred;
use crate::larder::{
    Contents, FoodId, Former, Larder, MOST_DAYS, NANO, Preference, RecipeId, Stock, Target,
};
use chrono::NaiveDate;
use std::collections::{BTreeMap, HashMap};

/// Most bytes of a former week's file.
pub const MOST_FORMER_BYTES: u64 = limits::FILE_BYTES;

/// Largest day number.
const MOST_DAY: i64 = limits::STOCK_DAYS;
/// Most that a milligram may be worth, 1e-9 minor units: the dearest pack there can be, of one
/// milligram.
const MOST_UNIT_VALUE: i64 = 1_000_000_000 * NANO;
/// Most that all kept units may be worth, 1e-9 minor units.
const MOST_VALUE: i128 = 1_000_000_000 * NANO as i128;

/// What reading a former week gave.
#[derive(Clone, Debug)]
pub struct ReadFormer {
    /// What it hands on; `None` if there is any fault.
    pub former: Option<Former>,
    /// The faults, in line order: of each kind the first few.
    pub faults: Vec<Fault>,
    /// What is allowed but looks wrong, in line order, as many of it.
    pub warnings: Vec<Fault>,
    /// How many there are.
    pub tally: Tally,
    /// The file, for excerpts.
    pub sources: Vec<Source>,
}

/// Reads a former week of this kitchen from the bytes of a file called `name`; at most
/// [`MOST_FORMER_BYTES`] are read.
pub fn read_former(name: &str, bytes: Vec<u8>, larder: &Larder) -> ReadFormer {
    let mut sink = Sink::new(vec![name.to_owned()]);
    let mut text = String::new();
    let mut root = None;
    if bytes.len() as u64 > MOST_FORMER_BYTES {
        sink.fault(
            At::file(0),
            format!("the file has more than {MOST_FORMER_BYTES} bytes; no plan is so large"),
            "name a file that `scant week --format json` printed",
        );
    } else if let Ok(read) = String::from_utf8(bytes) {
        text = read;
        root = json::parse(&text, 0, &mut sink);
    } else {
        sink.fault(
            At::file(0),
            "the file is not UTF-8 text",
            "name a file that `scant week --format json` printed",
        );
    }
    let (former, findings) = read_through(sink, |sink| {
        let root = root.as_ref()?;
        plan(last_of_row(root), larder, sink)
    });
    ReadFormer {
        former,
        faults: findings.faults,
        warnings: findings.warnings,
        tally: findings.tally,
        sources: vec![Source {
            name: name.to_owned(),
            text,
        }],
    }
}

/// Returns the value of a key, if it stands there and is not null.
fn get<'a>(node: &'a Node, key: &str) -> Option<&'a Node> {
    let Value::Map(entries) = &node.value else {
        return None;
    };
    let (_, value) = entries.iter().find(|(k, _)| k.text == key)?;
    (!value.is_nothing()).then_some(value)
}

/// Of weeks in a row, as `scant weeks` prints them, the last is the one to come after.
fn last_of_row(root: &Node) -> &Node {
    let weeks = get(root, "weeks").map(|weeks| &weeks.value);
    match weeks {
        Some(Value::List(weeks)) => weeks.last().and_then(|week| get(week, "plan")),
        _ => None,
    }
    .unwrap_or(root)
}

fn plan(root: &Node, larder: &Larder, sink: &mut Sink) -> Option<Former> {
    let print_it = "print it with `scant week --format json`, or name a file it printed";
    let lacking: Vec<&str> = ["outcome", "currency", "week", "lunches"]
        .into_iter()
        .filter(|key| get(root, key).is_none())
        .collect();
    if !lacking.is_empty() {
        return sink.refuse(
            root.at,
            says(
                format!("this is no plan of a week: it lacks {}", either(&lacking)),
                print_it,
            ),
        );
    }
    let outcome = get(root, "outcome")?;
    let word = fields::text(outcome, "outcome", limits::NAME, sink)?;
    if !matches!(word, "best" | "good") {
        return sink.refuse(
            outcome.at,
            says(
                format!("the plan holds no week: its outcome is `{}`", shown(word)),
                "name the file of a run that found one",
            ),
        );
    }
    let Some(kept) = get(root, "kept") else {
        return sink.refuse(
            root.at,
            says(
                "the plan does not say what is kept: it lacks `kept`",
                print_it,
            ),
        );
    };
    if let Some(name) = get(root, "kitchen")
        && let Value::Text { text, .. } = &name.value
        && fold(text) != fold(&larder.name)
    {
        let what = format!(
            "the plan is of `{}`, and this kitchen is `{}`",
            shown(text),
            shown(&larder.name)
        );
        sink.warn(name.at, what, "nothing, if it only got a new name");
    }
    currency(get(root, "currency")?, larder, sink);
    let carry = get(root, "week").and_then(|week| get(week, "carry_day"));
    let carry_day = carry.and_then(|node| day(node, "carry_day", 2, sink));
    if carry.is_none() {
        sink.fault(root.at, "the plan lacks `carry_day` in `week`", print_it);
    }
    let kept = units(kept, larder, i64::from(carry_day.unwrap_or(0)), sink);
    let lunches = get(root, "lunches")?;
    let mut weeks = vec![served(lunches, sink)];
    let last = weeks[0].len() as i64;
    if let (Some(node), Some(day)) = (carry, carry_day)
        && i64::from(day) <= last
    {
        let what = format!("`carry_day` is {day}, and the plan has {last} lunches");
        sink.fault(
            node.at,
            what,
            "no day is planned twice: name a plan as it was printed",
        );
    }
    if let Some(before) = get(root, "before") {
        for week in fields::list(before, "before", MOST_FORMER, sink).unwrap_or(&[]) {
            let names = fields::list(week, "before", MOST_DAYS, sink).unwrap_or(&[]);
            let names = names
                .iter()
                .filter_map(|name| fields::text(name, "before", limits::NAME, sink));
            weeks.push(names.map(str::to_owned).collect());
        }
    }
    weeks.truncate(MOST_FORMER);
    let starts = get(root, "week").and_then(|week| get(week, "starts"));
    Some(Former {
        carry_day: carry_day?,
        prep: starts.and_then(|node| prep(node, sink)),
        kept,
        weeks,
    })
}

/// Reads the date of the first lunch, which may be null; the prep day is its eve.
fn prep(node: &Node, sink: &mut Sink) -> Option<NaiveDate> {
    if matches!(&node.value, Value::Text { text, plain: true } if text == "null") {
        return None;
    }
    let text = fields::text(node, "starts", limits::NAME, sink)?;
    let eve = calendar::date(text).and_then(|date| calendar::moved(date, -1));
    if eve.is_none() {
        let what = format!("`{}` is not a date", shown(text));
        sink.fault(
            node.at,
            what,
            "give the date as it was printed, like `2031-03-03`",
        );
    }
    eve
}

fn currency(node: &Node, larder: &Larder, sink: &mut Sink) {
    let here = &larder.currency;
    let code = get(node, "code").and_then(|code| fields::text(code, "code", 3, sink));
    let digits = get(node, "digits").and_then(|digits| {
        let form = Decimal {
            places: 0,
            least: 0,
            most: 9,
            what: "a number of digits",
            example: "2",
        };
        fields::number(digits, "digits", form, sink)
    });
    if code != Some(here.code.as_str()) || digits != Some(i64::from(here.digits)) {
        sink.fault(
            node.at,
            format!(
                "the plan's money is {} with {} digits, and this kitchen's is {} with {} digits",
                shown(code.unwrap_or("of no known currency")),
                digits.map_or_else(|| "no known".to_owned(), |digits| digits.to_string()),
                here.code,
                here.digits
            ),
            "name a plan in the kitchen's own currency: what is kept is valued in it",
        );
    }
}

/// Reads a day number of at least `least`.
fn day(node: &Node, key: &str, least: i64, sink: &mut Sink) -> Option<i32> {
    let form = Decimal {
        places: 0,
        least,
        most: MOST_DAY,
        what: "a day number",
        example: "8 (counted from the plan's prep day)",
    };
    fields::number(node, key, form, sink).map(|day| day as i32)
}

/// The recipes of the plan's own lunches.
fn served(node: &Node, sink: &mut Sink) -> Vec<String> {
    let lunches = fields::list(node, "lunches", MOST_DAYS, sink).unwrap_or(&[]);
    let mut names = Vec::new();
    for lunch in lunches {
        if let Some(recipe) = get(lunch, "recipe") {
            let name = fields::text(recipe, "recipe", limits::NAME, sink);
            names.extend(name.map(str::to_owned));
        } else {
            sink.fault(lunch.at, "a lunch lacks `recipe`", "name what was served");
        }
    }
    if lunches.is_empty() && sink.count() == 0 {
        sink.fault(
            node.at,
            "the plan has no lunches",
            "name the file of a run that found a week",
        );
    }
    names
}

const KEYS: [&str; 10] = [
    "food",
    "label",
    "units",
    "opened",
    "left_mg",
    "ready_from",
    "good_until",
    "open_keeps",
    "end",
    "unit_value_nano",
];

fn units(node: &Node, larder: &Larder, carry: i64, sink: &mut Sink) -> Vec<Stock> {
    let foods: HashMap<String, FoodId> = (larder.foods.iter().enumerate())
        .map(|(at, food)| (fold(&food.name), FoodId::new(at)))
        .collect();
    let mut out: Vec<Stock> = Vec::new();
    let mut worth = 0_i128;
    for entry in fields::list(node, "kept", limits::STOCK, sink).unwrap_or(&[]) {
        let Some((count, unit)) = unit(entry, larder, &foods, carry, sink) else {
            continue;
        };
        worth += i128::from(count) * i128::from(unit.left_mg) * i128::from(unit.value_nano);
        if out.len() + count as usize > limits::STOCK {
            sink.fault(
                node.at,
                format!("more than {} units are kept", limits::STOCK),
                "leave out what the next week does not need",
            );
            return Vec::new();
        }
        out.extend((0..count).map(|_| unit.clone()));
    }
    if worth > MOST_VALUE {
        sink.fault(
            node.at,
            "what is kept is worth more than can be added up exactly",
            "check `left_mg` and `unit_value_nano`",
        );
    }
    out
}

fn unit(
    entry: &Node,
    larder: &Larder,
    foods: &HashMap<String, FoodId>,
    carry: i64,
    sink: &mut Sink,
) -> Option<(i64, Stock)> {
    let fields = Fields::open(entry, "a kept unit", &KEYS, sink)?;
    let before = sink.count();
    let food = fields
        .need_text("food", "chickpeas", sink)
        .and_then(|name| {
            let found = foods.get(&fold(name)).copied();
            if found.is_none() {
                let help = later(|allowance| {
                    let names = larder.foods.iter().map(|food| food.name.as_str());
                    let near = near(names, name, allowance);
                    if near.is_empty() {
                        "add it under `foods:`, or take the entry out if nothing is left of it"
                            .to_owned()
                    } else {
                        format!("did you mean {}? Else add it under `foods:`", either(&near))
                    }
                });
                let what = format!("there is no food `{}` in this kitchen", shown(name));
                sink.fault(fields.value_at("food"), what, help);
            } else if found.is_some_and(|id| larder.foods[id.index()].staple) {
                sink.fault(
                    fields.value_at("food"),
                    format!("`{}` is a staple here, and no staple is stock", shown(name)),
                    "take the entry out, or take `staple: true` off the food",
                );
            }
            found
        });
    let whole = |key: &str, least: i64, most: i64, sink: &mut Sink| {
        fields.need(key, "1", sink)?;
        let form = Decimal {
            places: 0,
            least,
            most,
            what: "a whole number",
            example: "1",
        };
        fields.number(key, form, sink)
    };
    let count = whole("units", 1, limits::UNITS, sink);
    let left = whole("left_mg", 1, limits::MASS_MG, sink);
    let from = whole("ready_from", 0, MOST_DAY, sink);
    let until = whole("good_until", 0, MOST_DAY, sink);
    let end = whole("end", 0, MOST_DAY, sink);
    let value = whole("unit_value_nano", 0, MOST_UNIT_VALUE, sink);
    fields.need("opened", "true", sink);
    let opened = fields.flag("opened", false, sink);
    let keeps = match (get(entry, "open_keeps"), opened) {
        (Some(_), true) => {
            sink.fault(
                fields.key_at("open_keeps"),
                "`open_keeps` is for sealed units; this one is open",
                "write null: `good_until` says how long it is good",
            );
            None
        }
        (None, true) => Some(0),
        (_, false) => whole("open_keeps", 0, limits::DAYS, sink),
    };
    let label = fields.need_text("label", "open jar", sink);
    let (from, until, end) = (from?, until?, end?);
    if until < carry {
        sink.fault(
            fields.value_at("good_until"),
            format!(
                "it is good until {until} only, and kept is what is good on `carry_day: {carry}`"
            ),
            "take the entry out: it is spoiled",
        );
    }
    if from > until || end < until || opened && end != until {
        sink.fault(
            fields.value_at("good_until"),
            format!("ready from {from}, good until {until} and at an end on {end} cannot be"),
            "give the days as they were printed: they rise, and of an open unit the last two are one",
        );
    }
    if sink.count() > before {
        return None;
    }
    let unit = Stock {
        food: food?,
        label: label?.to_owned(),
        left_mg: left?,
        opened,
        ready_from: from as i32,
        ready_to: until as i32,
        open_life: if opened {
            (end - from) as i32
        } else {
            keeps? as i32
        },
        end: end as i32,
        value_nano: value?,
    };
    Some((count?, unit))
}

/// What becomes of recipes that were served in the weeks before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rest {
    /// Those of so many last weeks are refused.
    pub refuse: usize,
    /// Each lunch of those of so many last weeks costs so much, minor units.
    pub price: Option<(usize, i64)>,
}

impl Rest {
    /// Sets the bans and prices in the larder, for weeks that come the latest first. Returns a
    /// note for every recipe meant that is none here.
    pub fn apply(self, larder: &mut Contents, weeks: &[Vec<String>]) -> Vec<String> {
        let known: HashMap<String, RecipeId> = (larder.recipes.iter().enumerate())
            .map(|(at, recipe)| (fold(&recipe.name), RecipeId::new(at)))
            .collect();
        let meant = |last: usize| {
            let names: BTreeMap<String, &String> = (weeks.iter().take(last).flatten())
                .map(|name| (fold(name), name))
                .collect();
            names.into_values().collect::<Vec<_>>()
        };
        let found = |last: usize| {
            let names = meant(last).into_iter();
            let mut ids: Vec<RecipeId> = names
                .filter_map(|name| known.get(&fold(name)).copied())
                .collect();
            ids.sort_unstable();
            ids.dedup();
            ids
        };
        let mut refused: BTreeMap<RecipeId, usize> = BTreeMap::new();
        for (ago, week) in (1..).zip(weeks.iter().take(self.refuse)) {
            for id in week.iter().filter_map(|name| known.get(&fold(name))) {
                refused.entry(*id).or_insert(ago);
            }
        }
        let priced = self.price.map(|(last, price)| (found(last), price));
        let mut allowance = Allowance::default();
        let furthest = self.refuse.max(self.price.map_or(0, |(last, _)| last));
        let notes = meant(furthest)
            .into_iter()
            .filter(|name| !known.contains_key(&fold(name)))
            .map(|name| {
                let names = larder.recipes.iter().map(|recipe| recipe.name.as_str());
                let near = near(names, name, &mut allowance);
                let hint = if near.is_empty() {
                    String::new()
                } else {
                    format!(
                        "; if it is now called {}, that one does not rest",
                        either(&near)
                    )
                };
                format!(
                    "`{}` was served and is no recipe here any more{hint}",
                    shown(name)
                )
            })
            .collect();
        let bans = refused
            .into_iter()
            .map(|(recipe, weeks_ago)| Target::Resting { recipe, weeks_ago });
        larder.wishes.without.extend(bans);
        if let Some((ids, price_minor)) = priced {
            let days: Vec<_> = (1..=larder.week.lunches).collect();
            larder
                .wishes
                .preferences
                .extend(ids.into_iter().map(|id| Preference {
                    whom: Preferred::Recipe(id),
                    days: days.clone(),
                    price_minor,
                }));
        }
        notes
    }
}
