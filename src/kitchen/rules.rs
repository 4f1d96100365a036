//! Reads `rules:`.

use super::credits::{self, Credits};
use super::currency::money;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::gathered::later;
use super::limits;
use super::names::Index;
use super::node::{Node, Value};
use super::number::Decimal;
use super::place::At;
use super::spelling::{Allowance, meant};
use super::standards;
use super::week::Frame;
use super::wording::{either, listed, says, shown};
use crate::larder::{
    CapBy, Contents, Day, Nutrient, NutrientRule, Per, Pin, RecipeId, Target, Wishes,
};
use std::collections::HashMap;

const KEYS: [&str; 18] = [
    "cap",
    "cap_by",
    "budget",
    "minutes",
    "kitchen_minutes",
    "cook_on",
    "nutrition",
    "credits",
    "energy_share",
    "standards",
    "repeats",
    "per_form",
    "form_adjacent",
    "per_protein",
    "sameness",
    "sameness_adjacent",
    "without",
    "with",
];

/// Reads `rules:` into the wishes.
pub(crate) fn read(
    node: &Node,
    larder: &Contents,
    index: &Index,
    credits: &Credits,
    frame: Frame,
    wishes: &mut Wishes,
    sink: &mut Sink,
) {
    let Some(fields) = Fields::open(node, "the rules", &KEYS, sink) else {
        return;
    };
    let count = |least, what, example| Decimal {
        places: 0,
        least,
        most: limits::COUNT,
        what,
        example,
    };
    wishes.cap = fields.number("cap", count(0, "a number of foods", "10"), sink);
    if let Some(text) = fields.text("cap_by", sink) {
        match text {
            "foods" => wishes.cap_by = CapBy::Foods,
            "families" => wishes.cap_by = CapBy::Families,
            _ => sink.fault(
                fields.value_at("cap_by"),
                format!("`{}` is nothing a cap can count", shown(text)),
                "write `cap_by: foods` or `cap_by: families`",
            ),
        }
        if !fields.has("cap") {
            sink.fault(
                fields.key_at("cap_by"),
                "`cap_by` stands without a `cap`",
                "add `cap: 10`, or leave `cap_by` out",
            );
        }
    }
    if let Some(node) = fields.get("budget", sink) {
        wishes.budget_minor = fields::text(node, "budget", limits::NAME, sink)
            .and_then(|text| sink.take(node.at, money(text, &larder.currency, false)));
    }
    if let Some(node) = fields.get("minutes", sink) {
        minutes(node, frame, "minutes", &mut wishes.minutes_nano, sink);
    }
    if let Some(node) = fields.get("kitchen_minutes", sink) {
        let limits = &mut wishes.kitchen_minutes_nano;
        minutes(node, frame, "kitchen_minutes", limits, sink);
    }
    if fields.has("cook_on") {
        wishes.cook_on = Some(cooking_days(&fields, frame, sink));
    }
    for item in fields.list("nutrition", limits::NUTRITION, sink) {
        nutrition(item, &mut wishes.nutrition, sink);
    }
    for item in fields.list("credits", limits::NUTRITION, sink) {
        credits::group(item, credits, &mut wishes.credits, sink);
    }
    for item in fields.list("energy_share", limits::NUTRITION, sink) {
        credits::energy_share(item, larder, &mut wishes.credits, sink);
    }
    for item in fields.list("standards", limits::NUTRITION, sink) {
        standards::read(item, larder, credits, wishes, sink);
    }
    let lunches = |what| count(1, what, "1");
    wishes.repeats = fields
        .number("repeats", lunches("a number of times"), sink)
        .unwrap_or(1);
    wishes.per_form = fields.number("per_form", lunches("a number of lunches"), sink);
    wishes.form_never_adjacent = !fields.flag("form_adjacent", wishes.per_form.is_none(), sink);
    wishes.per_protein = fields.number("per_protein", lunches("a number of lunches"), sink);
    let share = Decimal {
        places: 3,
        least: 0,
        most: 1,
        what: "a sameness from 0 to 1",
        example: "0.8",
    };
    wishes.sameness_milli = fields.number("sameness", share, sink);
    wishes.sameness_adjacent_milli = fields.number("sameness_adjacent", share, sink);
    for item in fields.list("without", limits::LIST, sink) {
        if let Some(name) = fields::text(item, "without", limits::NAME, sink) {
            match index.targets(name) {
                Ok(targets) => wishes.without.extend(targets),
                Err(what) => {
                    let near = |allowance: &mut Allowance| index.near_targets(name, allowance);
                    refuse(item.at, what, near, sink);
                }
            }
        }
    }
    let mut pins = Vec::new();
    for item in fields.list("with", limits::LIST, sink) {
        if let Some(pin) = pin(item, index, frame, sink) {
            pins.push((pin, item.at));
        }
    }
    conflicts(larder, &wishes.without, &pins, frame, sink);
    wishes.with = pins.into_iter().map(|(pin, _)| pin).collect();
}

fn refuse(at: At, what: String, near: impl FnOnce(&mut Allowance) -> Vec<String>, sink: &mut Sink) {
    if sink.partial {
        return;
    }
    let help = later(|allowance| match near(allowance).as_slice() {
        [] => "correct the name, or leave the entry out".to_owned(),
        near => format!("did you mean {}?", either(near)),
    });
    sink.fault(at, what, help);
}

const MINUTES: Decimal = Decimal {
    places: 3,
    least: 0,
    most: limits::MINUTES,
    what: "minutes",
    example: "45",
};

fn minutes(node: &Node, frame: Frame, key: &str, out: &mut [Option<i64>], sink: &mut Sink) {
    let read = |node: &Node, sink: &mut Sink| {
        fields::number(node, key, MINUTES, sink).map(|milli| milli * 1_000_000)
    };
    let Value::Map(entries) = &node.value else {
        let limit = read(node, sink);
        out.fill(limit);
        return;
    };
    if let Some((_, each)) = entries.iter().find(|(key, _)| key.text == "each_day") {
        let limit = read(each, sink);
        out.fill(limit);
    }
    let mut named = vec![false; out.len()];
    for (key, value) in entries.iter().filter(|(key, _)| key.text != "each_day") {
        let Some(day) = sink.take(key.at, frame.day(&key.text)) else {
            continue;
        };
        let Some(slot) = usize::try_from(day).ok().filter(|&day| day < out.len()) else {
            sink.fault(
                key.at,
                format!("`{}` is not a day of this week", shown(&key.text)),
                format!(
                    "write `each_day`, a weekday, or a number from 0 to {}",
                    frame.lunches
                ),
            );
            continue;
        };
        if named[slot] {
            sink.fault(key.at, "this day stands twice", "keep one of the two");
        }
        named[slot] = true;
        out[slot] = read(value, sink);
    }
}

/// Reads `cook_on:`, a list of days of the week; rising, none twice.
fn cooking_days(fields: &Fields, frame: Frame, sink: &mut Sink) -> Vec<Day> {
    let mut out: Vec<Day> = Vec::new();
    for item in fields.list("cook_on", limits::LIST, sink) {
        let Some(day) = fields::text(item, "cook_on", limits::NAME, sink)
            .and_then(|text| Some((text, sink.take(item.at, frame.day(text))?)))
        else {
            continue;
        };
        let (text, day) = day;
        match Day::try_from(day).ok().filter(|&day| day <= frame.lunches) {
            None => sink.fault(
                item.at,
                format!("`{}` is not a day of this week", shown(text)),
                format!("write a weekday, or a number from 0 to {}", frame.lunches),
            ),
            Some(day) if out.contains(&day) => {
                sink.fault(item.at, "this day stands twice", "keep one of the two");
            }
            Some(day) => out.push(day),
        }
    }
    out.sort_unstable();
    out
}

fn nutrition(item: &Node, out: &mut Vec<NutrientRule>, sink: &mut Sink) {
    let keys = ["nutrient", "per", "at_least", "at_most", "source"];
    let Some(fields) = Fields::open(item, "a nutrition rule", &keys, sink) else {
        return;
    };
    let nutrient = fields
        .need_text("nutrient", "protein", sink)
        .and_then(|text| {
            let known = Nutrient::from_key(text);
            if known.is_none() {
                let help = later(|allowance| {
                    let words: Vec<&str> = Nutrient::ALL.iter().map(|n| n.key()).collect();
                    meant(words.iter().copied(), text, allowance, || {
                        format!("the nutrients are {}", listed(&words, "and"))
                    })
                });
                let what = format!("there is no nutrient `{}`", shown(text));
                sink.fault(fields.value_at("nutrient"), what, help);
            }
            known
        });
    let per = fields
        .need_text("per", "lunch", sink)
        .and_then(|text| match text {
            "lunch" => Some(Per::Lunch),
            "week" => Some(Per::Week),
            _ => sink.refuse(
                fields.value_at("per"),
                says(
                    format!("`{}` is neither `lunch` nor `week`", shown(text)),
                    "write `per: lunch` for every lunch by itself, `per: week` for their mean",
                ),
            ),
        });
    let figure = Decimal {
        places: 3,
        least: 0,
        most: limits::NUTRIENT,
        what: "a nutrient figure",
        example: "20",
    };
    let whose = ("nutrition", "nutrient", "lunch");
    let (at_least, at_most) = fields::floor_and_ceiling(&fields, figure, whose, sink);
    let source = fields.need_text("source", "where the figure comes from", sink);
    if let (Some(nutrient), Some(per), Some(source)) = (nutrient, per, source) {
        out.push(NutrientRule {
            nutrient,
            per,
            at_least_milli: at_least,
            at_most_milli: at_most,
            source: source.to_owned(),
        });
    }
}

fn pin(item: &Node, index: &Index, frame: Frame, sink: &mut Sink) -> Option<Pin> {
    let (name, name_at, day) = if let Value::Map(_) = item.value {
        let fields = Fields::open(item, "an entry of `with`", &["name", "day"], sink)?;
        let name = fields.need_text("name", "a recipe or food", sink)?;
        let day = match fields.text("day", sink) {
            Some(text) => Some(sink.take(fields.value_at("day"), frame.lunch_day(text))?),
            None => None,
        };
        (name, fields.value_at("name"), day)
    } else {
        (
            fields::text(item, "with", limits::NAME, sink)?,
            item.at,
            None,
        )
    };
    match index.pin(name, day) {
        Ok(pin) => Some(pin),
        Err(what) => {
            let near = |allowance: &mut Allowance| index.near_pins(name, allowance);
            refuse(name_at, what, near, sink);
            None
        }
    }
}

/// Tells pins that contradict bans or each other.
fn conflicts(
    larder: &Contents,
    without: &[Target],
    pins: &[(Pin, At)],
    frame: Frame,
    sink: &mut Sink,
) {
    let mut days: HashMap<u8, RecipeId> = HashMap::new();
    let mut recipes: Vec<RecipeId> = Vec::new();
    for (pin, at) in pins {
        let (name, banned) = match pin {
            Pin::Recipe(id, day) => {
                let recipe = &larder.recipes[id.index()];
                if let Some(day) = day {
                    if *days.entry(*day).or_insert(*id) != *id {
                        sink.fault(
                            *at,
                            format!(
                                "two recipes are asked for on {}",
                                larder.day_name((*day).into())
                            ),
                            "a day has one lunch: move or drop one of the two",
                        );
                    }
                    if !recipe.days[usize::from(*day) - 1] {
                        sink.fault(
                            *at,
                            format!(
                                "`{}` may not be served on {}: its `days` leave that day out",
                                shown(&recipe.name),
                                larder.day_name((*day).into())
                            ),
                            "ask for another day, or add the day to the recipe",
                        );
                    }
                }
                if !recipes.contains(id) {
                    recipes.push(*id);
                }
                let hit = without.iter().any(|target| match target {
                    Target::Recipe(other) => other == id,
                    Target::Tag(word) => recipe.tags.contains(word),
                    Target::Equipment(word) => recipe.needs.contains(word),
                    _ => false,
                });
                (&recipe.name, hit)
            }
            Pin::Food(id, _) => {
                let food = &larder.foods[id.index()];
                let hit = without.iter().any(|target| match target {
                    Target::Food(other) => other == id,
                    Target::Family(family) => food.family == Some(*family),
                    Target::Tag(word) => food.tags.contains(word),
                    Target::Allergen(word) => food.allergens.contains(word),
                    _ => false,
                });
                (&food.name, hit)
            }
        };
        if banned {
            sink.fault(
                *at,
                format!(
                    "`{}` is asked for here and banned under `without`",
                    shown(name)
                ),
                "take it out of one of the two lists",
            );
        }
    }
    if recipes.len() > usize::from(frame.lunches)
        && let Some((_, at)) = pins.last()
    {
        sink.fault(
            *at,
            format!(
                "{} recipes are asked for, and the week has {} lunches",
                recipes.len(),
                frame.lunches
            ),
            "ask for fewer, or raise `lunches`",
        );
    }
}
