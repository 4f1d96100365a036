//! Reads what a line takes, of a recipe or of what a component is made from, and how much of it.

use super::drafts::Pantry;
use super::fault::Sink;
use super::fields::Fields;
use super::gather::Roll;
use super::gathered::later;
use super::number::Decimal;
use super::place::At;
use super::wording::{either, shown};
use crate::larder::{ComponentId, FoodId, Ingredient};

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

/// For how many portions the lines of a recipe, or for how many batches those of a component are
/// written.
pub(crate) const SERVES: Decimal = Decimal {
    places: 0,
    least: 1,
    most: 1_000,
    what: "a whole number",
    example: "4",
};

/// Returns one of so many shares of an amount.
pub(crate) fn share(mg: i64, of: i64, written: &str, at: At, sink: &mut Sink) -> Option<i64> {
    if mg < of {
        sink.fault(
            at,
            format!("`{}` in {of} is less than a milligram each", shown(written)),
            "check the number and its measure, or leave it out",
        );
        return None;
    }
    Some(mg / of)
}
