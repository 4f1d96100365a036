//! Reads `components:`, resolves components inside components, and finds cycles.

use super::fault::{At, PutIn, Sink, either, later, shown};
use super::fields::Fields;
use super::foods::{FoodDraft, WHOLE, measures, owned};
use super::gather::{Named, Roll, Shape};
use super::jotted::Known;
use super::keeping::cooked_stand_in;
use super::limits;
use super::names::fold;
use super::node::Node;
use super::number::Decimal;
use super::quantity::Measures;
use super::recipes::{SERVES, share};
use super::steps::{self, Entry, Tools};
use crate::import::Own;
use crate::larder::{Component, ComponentId, FoodId, Ingredient};

pub(crate) const SHAPE: Shape = Shape {
    key: "component",
    what: "a component",
    example: "roasted chickpeas",
    keys: &[
        "component",
        "makes",
        "from",
        "scale",
        "keeps",
        "minutes",
        "portion",
        "minutes_per_portion",
        "passive_minutes",
        "needs",
        "tags",
        "measures",
        "steps",
    ],
    most: limits::COMPONENTS,
};

/// Parts of a minute, or of a minute per milligram, that rates are added up in before the one
/// rounding to 1e-9.
pub(crate) const FINE: i128 = 1_000_000_000;

/// A component as read, not yet resolved.
#[derive(Debug)]
pub(crate) struct Draft {
    pub(crate) component: Component,
    pub(crate) measures: Measures,
    pub(crate) at: At,
    /// No fault was found in it.
    pub(crate) sound: bool,
    /// Foods written in `from` itself.
    pub(crate) foods: Vec<(FoodId, i64)>,
    /// Components written in `from`, by position.
    pub(crate) inside: Vec<(usize, i64)>,
    /// Active minutes a finished milligram, in 1e-18.
    pub(crate) rate_fine: i128,
}

impl Draft {
    /// Returns what a jotted line may call it.
    pub(crate) fn known(&self) -> Known {
        Known {
            name: self.component.name.clone(),
            cooked: true,
            ..Known::default()
        }
    }

    /// Returns what an ingredient line may call it, and what it is weighed by.
    pub(crate) fn own(&self) -> Own {
        Own {
            name: self.component.name.clone(),
            cooked: true,
            row: None,
            yield_milli_percent: WHOLE,
            measures: self.measures.masses(),
            given: self.measures.given(),
            pack: None,
        }
    }
}

/// Everything a line may name, with what is needed to weigh it.
#[derive(Clone, Copy)]
pub(crate) struct Pantry<'a> {
    pub(crate) food_roll: &'a Roll<'a>,
    pub(crate) foods: &'a [FoodDraft],
    pub(crate) component_roll: &'a Roll<'a>,
    pub(crate) components: &'a [Draft],
}

pub(crate) const MINUTES: Decimal = Decimal {
    places: 3,
    least: 0,
    most: limits::MINUTES,
    what: "minutes",
    example: "12.5",
};

/// Reads minutes into 1e-9 minutes.
pub(crate) fn minutes_nano(fields: &Fields, key: &str, sink: &mut Sink) -> Option<i64> {
    fields
        .number(key, MINUTES, sink)
        .map(|milli| milli * 1_000_000)
}

/// Finds what `food:` or `component:` names in a line. `None` after a fault.
pub(crate) fn ingredient(
    fields: &Fields,
    food_roll: &Roll,
    component_roll: &Roll,
    sink: &mut Sink,
) -> Option<Ingredient> {
    let (key, other, here, there) = match (fields.has("food"), fields.has("component")) {
        (true, false) => ("food", "component", food_roll, component_roll),
        (false, true) => ("component", "food", component_roll, food_roll),
        (true, true) => {
            sink.fault(
                fields.key_at("component"),
                "`food` and `component` stand in one entry",
                "make two entries of it, or alternatives under `one_of`",
            );
            return None;
        }
        (false, false) => {
            sink.fault(
                fields.at,
                "nothing is named here",
                "add `food:` or `component:` with a name",
            );
            return None;
        }
    };
    let name = fields.text(key, sink)?;
    if let Some(index) = here.find(name) {
        return Some(if key == "food" {
            Ingredient::Food(FoodId::new(index))
        } else {
            Ingredient::Component(ComponentId::new(index))
        });
    }
    let at = fields.value_at(key);
    if let Some(index) = there.find(name) {
        sink.fault(
            fields.key_at(key),
            format!("`{}` is a {other}, not a {key}", shown(name)),
            format!("write `{other}: {}`", shown(there.entries[index].name)),
        );
        return None;
    }
    if sink.partial {
        return None;
    }
    let help = later(|allowance| {
        let near = here.near(name, allowance);
        if near.is_empty() {
            format!("add it under `{key}s:`, or correct the name")
        } else {
            format!("did you mean {}? or add it under `{key}s:`", either(&near))
        }
    });
    sink.fault(at, format!("there is no {key} `{}`", shown(name)), help);
    None
}

/// Reads `amount:` of an ingredient into milligrams, with the words as written. `None` after a
/// fault, here or in the ingredient itself.
pub(crate) fn amount<'a>(
    fields: &Fields<'a>,
    what: Option<Ingredient>,
    pantry: &Pantry,
    sink: &mut Sink,
) -> Option<(i64, &'a str)> {
    let text = fields.need_text("amount", "120 g", sink)?;
    let (measures, name, sound) = match what? {
        Ingredient::Food(id) => {
            let draft = &pantry.foods[id.index()];
            (&draft.measures, &draft.food.name, draft.sound)
        }
        Ingredient::Component(id) => {
            let draft = &pantry.components[id.index()];
            (&draft.measures, &draft.component.name, draft.sound)
        }
    };
    if !sound {
        // What it is may be wrong for its own fault's sake; that one is told already.
        return measures.read(text).ok().map(|mg| (mg, text));
    }
    let mg = measures.take(text, name, fields.value_at("amount"), sink)?;
    Some((mg, text))
}

/// Reads all components, in the roll's order, and resolves them.
pub(crate) fn read(
    roll: &Roll,
    food_roll: &Roll,
    foods: &[FoodDraft],
    tools: &Tools,
    sink: &mut Sink,
) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = roll
        .entries
        .iter()
        .map(|entry| {
            let before = sink.count();
            if let Some(food) = food_roll.find(entry.name) {
                let place = sink.place(food_roll.entries[food].at);
                sink.fault(
                    entry.at,
                    format!("`{}` is already a food at {place}", shown(entry.name)),
                    "give the component a name of its own, such as `cooked ...`",
                );
            }
            let mut draft = head(entry.name, &entry.fields, sink);
            draft.at = entry.at;
            draft.sound = sink.count() == before;
            draft
        })
        .collect();
    for index in 0..drafts.len() {
        let pantry = Pantry {
            food_roll,
            foods,
            component_roll: roll,
            components: &drafts,
        };
        let before = sink.count();
        let fields = &roll.entries[index].fields;
        let (own, inside) = from(fields, &pantry, sink);
        let foods_of = own.iter().map(|&(id, _)| Ingredient::Food(id));
        let parts = inside.iter().map(|&(at, _)| ComponentId::new(at));
        let entry = Entry {
            kind: "component",
            parts: foods_of.chain(parts.map(Ingredient::Component)).collect(),
            whole: sink.count() == before,
            at: drafts[index].at,
            needs: &drafts[index].component.needs,
            portioned: drafts[index].component.portion_mg.is_some(),
        };
        let steps = steps::read(fields, &entry, &pantry, tools, sink);
        let draft = &mut drafts[index];
        draft.sound &= sink.count() == before;
        draft.foods = own;
        draft.inside = inside;
        draft.component.steps = steps;
    }
    super::batches::resolve_all(&mut drafts, sink);
    for (draft, entry) in drafts.iter_mut().zip(&roll.entries) {
        if !entry.fields.has("keeps") {
            keeps_left_out(draft, entry, foods, sink);
        }
    }
    drafts
}

/// Puts in how long a component keeps that does not say.
fn keeps_left_out(draft: &mut Draft, entry: &Named, foods: &[FoodDraft], sink: &mut Sink) {
    if let Some((days, bound)) =
        cooked_stand_in(&draft.component, foods).filter(|_| !draft.component.foods.is_empty())
    {
        draft.component.keeps = days;
        sink.put_in(
            entry.at,
            PutIn {
                name: entry.name.to_owned(),
                key: "keeps",
                days: days.into(),
                published: Some((bound.where_kept(), bound.source)),
                ..PutIn::default()
            },
        );
    } else if draft.sound || !entry.fields.has("from") {
        // Says that it is lacking. What goes into an unsound one is not known.
        entry.fields.need("keeps", "3", sink);
    }
}

/// Reads everything but `from`.
fn head(name: &str, fields: &Fields, sink: &mut Sink) -> Draft {
    let mut own = Measures::default();
    measures(fields, &mut own, false, sink);
    let makes_mg = fields
        .need_text("makes", "1.2 kg", sink)
        .and_then(|text| own.take(text, name, fields.value_at("makes"), sink))
        .unwrap_or(1);
    let keeps = Decimal {
        places: 0,
        least: 0,
        most: limits::DAYS,
        what: "a number of days",
        example: "3",
    };
    let keeps = fields.number("keeps", keeps, sink).unwrap_or(0);
    let portion = fields
        .text("portion", sink)
        .and_then(|text| own.take(text, name, fields.value_at("portion"), sink));
    let per_portion = minutes_nano(fields, "minutes_per_portion", sink);
    if fields.has("portion") != fields.has("minutes_per_portion") {
        let (there, lacks, example) = if fields.has("portion") {
            ("portion", "minutes_per_portion", "0.5")
        } else {
            ("minutes_per_portion", "portion", "150 g")
        };
        sink.fault(
            fields.key_at(there),
            format!("`{there}` stands without `{lacks}`"),
            format!("add `{lacks}: {example}`, or leave `{there}` out"),
        );
    }
    let tags = owned(fields.words("tags", sink));
    let rate_fine = match (portion, per_portion) {
        (Some(mg), Some(nano)) => i128::from(nano) * FINE / i128::from(mg),
        _ => 0,
    };
    Draft {
        component: Component {
            name: name.to_owned(),
            foods: Vec::new(),
            inside: Vec::new(),
            makes_mg,
            keeps: keeps as i32,
            batch_minutes_nano: minutes_nano(fields, "minutes", sink).unwrap_or(0),
            minutes_per_mg_nano: 0,
            passive_minutes: steps::whole_minutes(fields, "passive_minutes", sink).unwrap_or(0),
            portion_mg: portion.filter(|_| per_portion.is_some()),
            needs: owned(fields.words("needs", sink)),
            dressing: tags.iter().any(|tag| fold(tag) == "dressing"),
            tags,
            steps: Vec::new(),
            household: own.household(),
        },
        measures: own,
        at: At::nowhere(),
        sound: true,
        foods: Vec::new(),
        inside: Vec::new(),
        rate_fine,
    }
}

type Parts = (Vec<(FoodId, i64)>, Vec<(usize, i64)>);

fn from(fields: &Fields, pantry: &Pantry, sink: &mut Sink) -> Parts {
    let mut foods = Vec::new();
    let mut inside = Vec::new();
    let example = "[{food: brown rice, amount: 400 g}]";
    if fields.need("from", example, sink).is_none() {
        return (foods, inside);
    }
    let items: &[Node] = fields.list("from", limits::LINES, sink);
    let scale = fields.number("scale", SERVES, sink).unwrap_or(1);
    for item in items {
        let keys = ["food", "component", "amount"];
        let Some(entry) = Fields::open(item, "an entry of `from`", &keys, sink) else {
            continue;
        };
        let what = ingredient(&entry, pantry.food_roll, pantry.component_roll, sink);
        if let Some((mg, written)) = amount(&entry, what, pantry, sink)
            && let Some(mg) = share(mg, scale, written, entry.value_at("amount"), sink)
        {
            match what {
                Some(Ingredient::Food(id)) => foods.push((id, mg)),
                Some(Ingredient::Component(id)) => inside.push((id.index(), mg)),
                None => {}
            }
        }
    }
    if items.is_empty() {
        sink.fault(
            fields.value_at("from"),
            "a component is made from something",
            format!("list what goes in, like `from: {example}`"),
        );
    }
    (foods, inside)
}
