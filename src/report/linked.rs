//! The week's lunches and batches as schema.org Recipes in JSON-LD.
//!
//! Terms used (schema.org): Recipe, name, recipeCategory, recipeYield, recipeIngredient,
//! recipeInstructions, HowToStep, text, tool, HowToTool, prepTime, totalTime, nutrition,
//! NutritionInformation, servingSize, calories, proteinContent, fatContent,
//! saturatedFatContent, carbohydrateContent, fiberContent, sugarContent, sodiumContent,
//! description. Durations are those of ISO 8601.

use std::fmt::Write as _;

use serde_json::{Map, Value, json};

use super::{measures, phrases, words};
use crate::explain::{Explanation, RecipeFacts, WeekFacts};
use crate::larder::{NANO, Nutrient};
use crate::unicode;

/// Nutrients that NutritionInformation has a term for.
const TERMS: [(&str, Nutrient); 8] = [
    ("calories", Nutrient::Energy),
    ("proteinContent", Nutrient::Protein),
    ("fatContent", Nutrient::Fat),
    ("saturatedFatContent", Nutrient::Saturated),
    ("carbohydrateContent", Nutrient::Carbohydrate),
    ("fiberContent", Nutrient::Fibre),
    ("sugarContent", Nutrient::Sugars),
    ("sodiumContent", Nutrient::Sodium),
];

/// Returns one JSON-LD object whose graph holds every lunch and every batch.
pub fn recipes_json_ld(explanation: &Explanation) -> String {
    let graph = explanation.week.as_ref().map_or(Vec::new(), graph);
    let whole = json!({ "@context": "https://schema.org", "@graph": graph });
    // A tree of texts is always written; the line break ends the file.
    let text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    for_script(&text) + "\n"
}

/// Returns a JSON text that may stand in a script element of a page: what ends one, or begins a
/// comment or an entity, and what ends a line of a script, as escapes. Outside of its texts JSON
/// has none of these characters.
fn for_script(json: &str) -> String {
    let mut out = String::with_capacity(json.len() + json.len() / 16);
    for c in json.chars() {
        match c {
            '<' | '>' | '&' | '\u{7f}'..='\u{9f}' | '\u{2028}' | '\u{2029}' => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}

fn graph(week: &WeekFacts) -> Vec<Value> {
    let mut graph = Vec::new();
    for (day, (recipe, lunch)) in week.cook.lunches.iter().zip(&week.lunches).enumerate() {
        let mut object = common(recipe);
        object.insert("recipeCategory".to_owned(), lunch.form.clone().into());
        object.insert(
            "recipeYield".to_owned(),
            phrases::portions(lunch.eaters_milli).into(),
        );
        object.insert(
            "prepTime".to_owned(),
            duration(lunch.minutes_nano, 0).into(),
        );
        object.insert("nutrition".to_owned(), nutrition(week, day));
        graph.push(object.into());
    }
    for (recipe, batch) in week.cook.batches.iter().zip(&week.batches) {
        let mut object = common(recipe);
        object.insert("recipeCategory".to_owned(), "batch".into());
        object.insert("recipeYield".to_owned(), plain(&words::mass(batch.mg)));
        object.insert(
            "prepTime".to_owned(),
            duration(batch.minutes_nano, 0).into(),
        );
        object.insert(
            "totalTime".to_owned(),
            duration(batch.minutes_nano, batch.passive_minutes).into(),
        );
        graph.push(object.into());
    }
    graph
}

fn plain(text: &str) -> Value {
    text.replace(words::JOINT, " ").into()
}

fn common(recipe: &RecipeFacts) -> Map<String, Value> {
    let ingredients: Vec<Value> = recipe
        .lines
        .iter()
        .map(|line| {
            plain(&format!(
                "{} {}",
                measures::both(&line.amount),
                line.taken.name()
            ))
        })
        .collect();
    let steps: Vec<Value> = recipe
        .steps
        .iter()
        .map(|step| json!({ "@type": "HowToStep", "text": step }))
        .collect();
    let tools: Vec<Value> = recipe
        .needs
        .iter()
        .map(|tool| json!({ "@type": "HowToTool", "name": tool }))
        .collect();
    let mut object = Map::new();
    object.insert("@type".to_owned(), "Recipe".into());
    object.insert("name".to_owned(), recipe.name.clone().into());
    object.insert("recipeIngredient".to_owned(), ingredients.into());
    if !steps.is_empty() {
        object.insert("recipeInstructions".to_owned(), steps.into());
    }
    let taken = recipe.lines.iter().filter_map(|line| {
        let instead = unicode::isolated(line.instead_of.as_ref()?);
        let taken = unicode::isolated(line.taken.name());
        Some(format!("{taken}, not {instead}"))
    });
    let taken = taken.collect::<Vec<_>>().join("; ");
    if !taken.is_empty() {
        object.insert(
            "description".to_owned(),
            plain(&format!("Made with {taken}.")),
        );
    }
    if !tools.is_empty() {
        object.insert("tool".to_owned(), tools.into());
    }
    object
}

/// Whole minutes, rounded up.
fn duration(active_nano: i64, passive: i64) -> String {
    format!("PT{}M", (active_nano + NANO - 1) / NANO + passive)
}

/// An amount some food has no figure for is left out, and said to be.
fn nutrition(week: &WeekFacts, day: usize) -> Value {
    let mut object = Map::new();
    object.insert("@type".to_owned(), "NutritionInformation".into());
    object.insert("servingSize".to_owned(), "1 portion".into());
    let mut unknown = Vec::new();
    for (term, nutrient) in TERMS {
        let facts = week.nutrition.get(nutrient.index());
        let Some(amount) = facts.and_then(|facts| facts.lunches.get(day)) else {
            continue;
        };
        if amount.incomplete {
            unknown.push(nutrient.label());
        } else {
            let text = words::nutrient(amount.milli, nutrient);
            object.insert(term.to_owned(), plain(&text));
        }
    }
    let missing = if unknown.is_empty() {
        String::new()
    } else {
        format!(" Left out for want of figures: {}.", words::and(&unknown))
    };
    let estimate = format!("{}{missing}", phrases::ESTIMATE);
    let note = object.get("description").and_then(Value::as_str);
    let estimate = note.map_or_else(|| estimate.clone(), |note| format!("{note} {estimate}"));
    object.insert("description".to_owned(), estimate.into());
    object.into()
}
