//! Reads `steps:` of recipes and components.

use super::drafts::Pantry;
use super::equipment::Tools;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::gathered::later;
use super::limits;
use super::minutes::{MINUTES, whole_minutes};
use super::node::{Node, Value};
use super::number::Decimal;
use super::place::At;
use super::spelling::{fold, meant};
use super::wording::{either, shown};
use crate::larder::{ComponentId, FoodId, Ingredient, Step};
use std::collections::HashSet;

/// What steps may speak of.
pub(crate) struct Entry<'a> {
    /// "recipe" or "component".
    pub(crate) kind: &'static str,
    /// Foods and components in it.
    pub(crate) parts: Vec<Ingredient>,
    /// All of them were read.
    pub(crate) whole: bool,
    /// Where it stands.
    pub(crate) at: At,
    /// Its equipment.
    pub(crate) needs: &'a [String],
    /// It is known what a portion is.
    pub(crate) portioned: bool,
}

/// Reads `steps:`.
pub(crate) fn read(
    fields: &Fields,
    entry: &Entry,
    pantry: &Pantry,
    tools: &Tools,
    sink: &mut Sink,
) -> Vec<Step> {
    let mut out: Vec<Step> = Vec::new();
    let mut said = false;
    let known: HashSet<String> = entry.needs.iter().map(|name| fold(name)).collect();
    for item in fields.list("steps", limits::LIST, sink) {
        if !sink.may_unfold(entry.at, size_of::<Step>() + 64) {
            break;
        }
        if let Value::Map(_) = item.value {
            if let Some((step, needs)) = one(item, out.len(), (entry, &known), pantry, tools, sink)
            {
                said |= needs;
                out.push(step);
            }
        } else if let Some(text) = fields::text(item, "steps", limits::PROSE, sink) {
            out.push(Step {
                text: text.to_owned(),
                verb: text.to_owned(),
                after_all: true,
                ..Step::default()
            });
        }
    }
    if !said {
        // Nothing says which step needs what: then each needs all of it.
        let mut needs = entry.needs.to_vec();
        needs.sort_by_cached_key(|name| fold(name));
        needs.dedup_by_key(|name| fold(name));
        if sink.may_unfold(entry.at, bytes(&needs).saturating_mul(out.len())) {
            for step in &mut out {
                step.needs.clone_from(&needs);
            }
        }
    }
    out
}

/// Bytes that a copy of these words takes, about.
pub(crate) fn bytes(words: &[String]) -> usize {
    words.iter().map(|word| 48 + word.len()).sum()
}

const KEYS: [&str; 9] = [
    "do",
    "food",
    "how",
    "active",
    "per_portion",
    "passive",
    "needs",
    "ahead",
    "at_once",
];

/// Reads one step, and whether it says what it needs.
fn one(
    item: &Node,
    place: usize,
    (entry, known): (&Entry, &HashSet<String>),
    pantry: &Pantry,
    tools: &Tools,
    sink: &mut Sink,
) -> Option<(Step, bool)> {
    let fields = Fields::open(item, "a step", &KEYS, sink)?;
    let verb = fields
        .need("do", "rinse the rice", sink)
        .and_then(|node| fields::text(node, "do", limits::PROSE, sink))
        .unwrap_or_default();
    let named = fields.text("food", sink);
    let what = named.and_then(|name| part(name, fields.value_at("food"), entry, pantry, sink));
    let how = fields.text("how", sink);
    if how.is_some() && !fields.has("food") {
        sink.fault(
            fields.key_at("how"),
            "`how` stands without `food`",
            "add `food: NAME`, or write it all in `do`",
        );
    }
    let at_once = fields.flag("at_once", false, sink);
    if at_once && place == 0 {
        sink.fault(
            fields.key_at("at_once"),
            "`at_once` stands on the first step",
            "it begins when the step before ends: leave it out here",
        );
    }
    let form = Decimal {
        places: 3,
        example: "1.5",
        ..MINUTES
    };
    let per_portion_milli = fields.number("per_portion", form, sink);
    if per_portion_milli.is_some() && !entry.portioned {
        sink.fault(
            fields.key_at("per_portion"),
            "`per_portion` stands in a component without `portion`",
            "add `portion: 150 g` and `minutes_per_portion: 1.5` to the component",
        );
    }
    let says_needs = fields.has("needs");
    let needs = needs(&fields, entry, known, tools, sink);
    let name = named.unwrap_or_default();
    let text = match (name, how) {
        ("", _) => verb.to_owned(),
        (name, None) => format!("{} the {name}.", capital(verb)),
        (name, Some(how)) => format!("{} the {name} {how}.", capital(verb)),
    };
    let step = Step {
        text,
        verb: verb.to_owned(),
        what,
        active_minutes: whole_minutes(&fields, "active", sink),
        per_portion_milli,
        passive_minutes: whole_minutes(&fields, "passive", sink),
        needs,
        ahead_days: ahead(&fields, sink),
        at_once,
        after_all: named.is_none(),
    };
    Some((step, says_needs))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Finds what a step is about among what is in its recipe or component.
fn part(name: &str, at: At, entry: &Entry, pantry: &Pantry, sink: &mut Sink) -> Option<Ingredient> {
    let food = pantry.food_roll.find(name).map(FoodId::new);
    let component = pantry.component_roll.find(name).map(ComponentId::new);
    let found = food
        .map(Ingredient::Food)
        .into_iter()
        .chain(component.map(Ingredient::Component))
        .find(|what| entry.parts.contains(what));
    if found.is_some() || !entry.whole || sink.partial {
        return found;
    }
    let help = later(|allowance| {
        let names = entry.parts.iter().map(|what| match what {
            Ingredient::Food(id) => pantry.food_roll.entries[id.index()].name,
            Ingredient::Component(id) => pantry.component_roll.entries[id.index()].name,
        });
        meant(names.clone(), name, allowance, || {
            let some: Vec<&str> = names.take(6).collect();
            format!("write one of what is in it, such as {}", either(&some))
        })
    });
    sink.fault(
        at,
        format!("`{}` is not in this {}", shown(name), entry.kind),
        help,
    );
    None
}

fn needs(
    fields: &Fields,
    entry: &Entry,
    known: &HashSet<String>,
    tools: &Tools,
    sink: &mut Sink,
) -> Vec<String> {
    let at = fields.value_at("needs");
    let mut needs: Vec<String> = Vec::new();
    for name in fields.words("needs", sink) {
        if known.contains(&fold(name)) {
            needs.push(name.to_owned());
            continue;
        }
        let help = later(|allowance| {
            let names = entry.needs.iter().map(String::as_str);
            meant(names, name, allowance, || {
                format!(
                    "add it to `needs` of the {}, so that doing without it is heeded",
                    entry.kind
                )
            })
        });
        sink.fault(
            at,
            format!(
                "`{}` is not among the `needs` of this {}",
                shown(name),
                entry.kind
            ),
            help,
        );
    }
    needs.sort_by_cached_key(|name| fold(name));
    for group in needs.chunk_by(|a, b| fold(a) == fold(b)) {
        let (wanted, there) = (group.len() as i64, tools.count(&group[0]));
        if wanted > there {
            let name = shown(&group[0]);
            sink.fault(
                at,
                format!("this step needs {wanted} of `{name}`, and the kitchen has {there}"),
                format!("write it less often, or `equipment: {{{name}: {wanted}}}`"),
            );
        }
    }
    needs
}

/// Reads `ahead:`: `true` is the day before, a number is so many days.
fn ahead(fields: &Fields, sink: &mut Sink) -> i32 {
    let Some(node) = fields.get("ahead", sink) else {
        return 0;
    };
    match &node.value {
        Value::Text { text, plain: true } if text == "true" => 1,
        Value::Text { text, plain: true } if text == "false" => 0,
        _ => {
            let form = Decimal {
                places: 0,
                least: 0,
                most: limits::AHEAD_DAYS,
                what: "a number of days",
                example: "2; true for the day before",
            };
            fields::number(node, "ahead", form, sink).unwrap_or(0) as i32
        }
    }
}
