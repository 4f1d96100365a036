//! Reads `recipes:`.

use super::drafts::{Pantry, RecipeDraft};
use super::equipment::Tools;
use super::fault::Sink;
use super::fields::{self, Fields};
use super::foods::owned;
use super::gather::{Named, Roll, Shape};
use super::limits;
use super::lines::{SERVES, amount, ingredient, share};
use super::minutes::minutes_nano;
use super::node::Node;
use super::number::Decimal;
use super::quantity;
use super::steps::{self, Entry};
use super::week::Frame;
use super::wording::shown;
use crate::larder::{Alternative, Finisher, FormId, Line, MOST_DAYS, Prose, Recipe};

pub(crate) const SHAPE: Shape = Shape {
    key: "recipe",
    what: "a recipe",
    example: "Chickpea wrap",
    keys: &[
        "recipe",
        "form",
        "protein",
        "tags",
        "needs",
        "days",
        "minutes",
        "serves",
        "lines",
        "unfinished",
        "steps",
        "author",
        "description",
        "picture",
        "story",
        "servings",
        "storage",
    ],
    most: limits::RECIPES,
};

/// Reads all recipes, in the roll's order.
pub(crate) fn read(
    roll: &Roll,
    frame: Frame,
    pantry: &Pantry,
    tools: &Tools,
    sink: &mut Sink,
) -> Vec<RecipeDraft> {
    roll.entries
        .iter()
        .map(|entry| {
            let before = sink.count();
            let mut draft = one(entry, frame, pantry, sink);
            let recipe = &draft.recipe;
            let lines = recipe.lines.iter().flat_map(|line| &line.alternatives);
            let finishers = recipe.finishers.iter().map(|f| &f.alternative);
            let about = Entry {
                kind: "recipe",
                parts: lines.chain(finishers).map(|a| a.what).collect(),
                whole: sink.count() == before,
                at: entry.at,
                needs: &recipe.needs,
                portioned: true,
            };
            draft.recipe.steps = steps::read(&entry.fields, &about, pantry, tools, sink);
            draft
        })
        .collect()
}

fn one(entry: &Named, frame: Frame, pantry: &Pantry, sink: &mut Sink) -> RecipeDraft {
    let fields = &entry.fields;
    let mut draft = RecipeDraft {
        recipe: Recipe {
            name: entry.name.to_owned(),
            form: FormId(0),
            protein: None,
            tags: owned(fields.words("tags", sink)),
            needs: owned(fields.words("needs", sink)),
            days: days(fields, frame, sink),
            minutes_nano: minutes_nano(fields, "minutes", sink).unwrap_or(0),
            lines: Vec::new(),
            finishers: Vec::new(),
            steps: Vec::new(),
            prose: prose(fields, sink),
        },
        form: fields
            .need_text("form", "grain bowl", sink)
            .unwrap_or_default()
            .to_owned(),
        protein: fields.text("protein", sink).map(str::to_owned),
        at: entry.at,
        amount_at: Vec::new(),
        unfinished: unfinished(entry, sink),
    };
    let example = "[{food: chickpeas, amount: 120 g}]";
    if fields.need("lines", example, sink).is_none() {
        return draft;
    }
    let before = sink.count();
    let items = fields.list("lines", limits::LINES, sink);
    let serves = fields.number("serves", SERVES, sink).unwrap_or(1);
    for item in items {
        line(item, serves, &mut draft, pantry, sink);
    }
    if draft.recipe.finishers.len() == items.len() && sink.count() == before {
        sink.fault(
            fields.value_at("lines"),
            format!("`{}` has no line that is always taken", shown(entry.name)),
            format!("write what goes in, like `lines: {example}`; optional lines come on top"),
        );
    }
    draft
}

/// Reads what is told of a recipe.
fn prose(fields: &Fields, sink: &mut Sink) -> Prose {
    let author = fields.text("author", sink).map(str::to_owned);
    let mut text = |key| {
        let node = fields.get(key, sink)?;
        fields::text(node, key, limits::PROSE, sink).map(str::to_owned)
    };
    Prose {
        author,
        description: text("description"),
        picture: text("picture"),
        story: text("story"),
        servings: text("servings"),
        storage: text("storage"),
    }
}

/// Reads `unfinished:`, the lines of a recipe that nobody has written yet, and how many they are.
fn unfinished(entry: &Named, sink: &mut Sink) -> usize {
    let items = entry.fields.list("unfinished", limits::LINES, sink);
    let texts = items
        .iter()
        .filter_map(|item| fields::text(item, "unfinished", limits::PROSE, sink));
    let texts: Vec<&str> = texts.collect();
    if let Some(first) = texts.first() {
        let many = match texts.len() {
            1 => "a line".to_owned(),
            many => format!("{many} lines"),
        };
        sink.warn(
            entry.fields.key_at("unfinished"),
            format!(
                "`{}` is unfinished and no week has it: {many} to be written, first `{}`",
                shown(entry.name),
                shown(first)
            ),
            "write them under `lines`, or leave them out on purpose, then take `unfinished` away",
        );
    }
    texts.len()
}

/// Reads `days:` of a recipe: a weekday that is not in this week is simply not there.
fn days(fields: &Fields, frame: Frame, sink: &mut Sink) -> Vec<bool> {
    let count = usize::from(frame.lunches);
    if !fields.has("days") {
        return vec![true; count];
    }
    let mut out = vec![false; count];
    for item in fields.list("days", MOST_DAYS, sink) {
        let Some(text) = fields::text(item, "days", limits::NAME, sink) else {
            continue;
        };
        let Some(day) = sink.take(item.at, frame.day(text)) else {
            continue;
        };
        let numbered = text.starts_with(|c: char| c.is_ascii_digit());
        if numbered && !(1..=MOST_DAYS as i64).contains(&day) {
            sink.fault(
                item.at,
                format!("`{}` is never a lunch day", shown(text)),
                format!("lunch days are numbered from 1 to {MOST_DAYS}"),
            );
        } else if day >= 1 && day as usize <= count {
            out[day as usize - 1] = true;
        }
    }
    out
}

fn line(item: &Node, serves: i64, draft: &mut RecipeDraft, pantry: &Pantry, sink: &mut Sink) {
    let keys = [
        "food",
        "component",
        "amount",
        "one_of",
        "optional",
        "appeal",
    ];
    let Some(fields) = Fields::open(item, "a line", &keys, sink) else {
        return;
    };
    let optional = fields.flag("optional", false, sink);
    let form = Decimal {
        places: 0,
        least: 1,
        most: limits::APPEAL,
        what: "an appeal",
        example: "10 (1 to 1000)",
    };
    let appeal = fields.number("appeal", form, sink);
    if fields.has("appeal") && !optional {
        sink.fault(
            fields.key_at("appeal"),
            "`appeal` stands on a line that is not optional",
            "add `optional: true`, or leave `appeal` out",
        );
    }
    let mut alternatives = Vec::new();
    let mut first_at = fields.value_at("amount");
    if fields.has("one_of") {
        for key in ["food", "component", "amount"] {
            if fields.has(key) {
                sink.fault(
                    fields.key_at(key),
                    format!("`{key}` stands beside `one_of`"),
                    "put it into one of the entries of `one_of`",
                );
            }
        }
        if optional {
            sink.fault(
                fields.key_at("one_of"),
                "an optional line has one filling",
                "write an optional line for each, with an appeal of its own",
            );
        }
        let items = fields.list("one_of", limits::ALTERNATIVES, sink);
        if items.len() == 1 {
            sink.fault(
                fields.value_at("one_of"),
                "`one_of` needs two or more entries",
                "add another, or write the entry as a plain line",
            );
        }
        for item in items {
            let keys = ["food", "component", "amount"];
            let Some(entry) = Fields::open(item, "an alternative", &keys, sink) else {
                continue;
            };
            let Some(alternative) = filling(&entry, serves, pantry, sink) else {
                continue;
            };
            if alternatives.is_empty() {
                first_at = entry.value_at("amount");
            }
            if alternatives
                .iter()
                .any(|other: &Alternative| other.what == alternative.what)
            {
                sink.fault(
                    entry.at,
                    "the same thing stands twice among the alternatives",
                    "keep one of the two",
                );
            }
            alternatives.push(alternative);
        }
    } else if let Some(alternative) = filling(&fields, serves, pantry, sink) {
        if optional {
            let appeal = appeal.unwrap_or(1);
            draft.recipe.finishers.push(Finisher {
                alternative,
                appeal,
            });
            return;
        }
        alternatives.push(alternative);
    }
    if !alternatives.is_empty() && !optional {
        draft.recipe.lines.push(Line { alternatives });
        draft.amount_at.push(first_at);
    }
}

/// Reads what fills a line, of which `serves` portions were written.
fn filling(fields: &Fields, serves: i64, pantry: &Pantry, sink: &mut Sink) -> Option<Alternative> {
    let what = ingredient(fields, pantry.food_roll, pantry.component_roll, sink);
    let (mg, written) = amount(fields, what, pantry, sink)?;
    if serves == 1 {
        return Some(Alternative {
            what: what?,
            mg,
            written: written.to_owned(),
        });
    }
    // What was rounded down for all of it is rounded down alike for a part of it.
    let each = share(mg, serves, written, fields.value_at("amount"), sink)?;
    Some(Alternative {
        what: what?,
        mg: each,
        written: quantity::shared(written, serves, each),
    })
}
