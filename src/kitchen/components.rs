//! Reads `components:`, resolves components inside components, and finds cycles.

use super::drafts::{ComponentDraft, FINE, FoodDraft, Pantry};
use super::equipment::Tools;
use super::fault::{PutIn, Sink};
use super::fields::Fields;
use super::foods::{measures, owned};
use super::gather::{Named, Roll, Shape};
use super::keeping::cooked_stand_in;
use super::limits;
use super::lines::{SERVES, amount, ingredient, share};
use super::minutes::{minutes_nano, whole_minutes};
use super::node::Node;
use super::number::Decimal;
use super::place::At;
use super::quantity::Measures;
use super::spelling::fold;
use super::steps::{self, Entry};
use super::wording::shown;
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

/// Reads all components, in the roll's order, and resolves them.
pub(crate) fn read(
    roll: &Roll,
    food_roll: &Roll,
    foods: &[FoodDraft],
    tools: &Tools,
    sink: &mut Sink,
) -> Vec<ComponentDraft> {
    let mut drafts: Vec<ComponentDraft> = roll
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
fn keeps_left_out(draft: &mut ComponentDraft, entry: &Named, foods: &[FoodDraft], sink: &mut Sink) {
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
fn head(name: &str, fields: &Fields, sink: &mut Sink) -> ComponentDraft {
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
    ComponentDraft {
        component: Component {
            name: name.to_owned(),
            foods: Vec::new(),
            inside: Vec::new(),
            makes_mg,
            keeps: keeps as i32,
            batch_minutes_nano: minutes_nano(fields, "minutes", sink).unwrap_or(0),
            minutes_per_mg_nano: 0,
            passive_minutes: whole_minutes(fields, "passive_minutes", sink).unwrap_or(0),
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
