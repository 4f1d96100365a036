//! The week's lunches as schema.org Recipes in JSON-LD, each with its batches folded in.
//!
//! Terms used (schema.org): Recipe, name, author, Person, image, recipeCategory, recipeYield,
//! recipeIngredient, recipeInstructions, HowToSection, itemListElement, HowToStep, text, tool, HowToTool,
//! prepTime, totalTime, nutrition, NutritionInformation, servingSize, calories, proteinContent,
//! fatContent, saturatedFatContent, carbohydrateContent, fiberContent, sugarContent, sodiumContent,
//! description. Durations are those of ISO 8601.

use std::fmt::Write as _;

use serde_json::{Map, Value, json};

use super::{measures, phrases, words};
use crate::explain::{Explanation, MeasuredLine, RecipeFacts, Taken, WeekFacts};
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

/// Returns one JSON-LD object whose graph holds every lunch.
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
    (0..week.cook.lunches.len())
        .filter_map(|day| lunch(week, day))
        .collect()
}

/// Returns one lunch of a week as an object of its own, for the page that shows it.
pub(super) fn lunch_json_ld(week: &WeekFacts, day: usize) -> String {
    let mut whole = Map::new();
    whole.insert("@context".to_owned(), "https://schema.org".into());
    if let Some(Value::Object(recipe)) = lunch(week, day) {
        whole.extend(recipe);
    }
    for_script(&serde_json::to_string(&whole).unwrap_or_default())
}

/// A lunch with its batches folded in: each a section of its instructions, its foods among the
/// ingredients.
fn lunch(week: &WeekFacts, day: usize) -> Option<Value> {
    let (recipe, lunch) = (week.cook.lunches.get(day)?, week.lunches.get(day)?);
    let mut object = common(recipe);
    object.insert("recipeCategory".to_owned(), lunch.form.clone().into());
    object.insert(
        "recipeYield".to_owned(),
        phrases::portions(lunch.eaters_milli).into(),
    );
    let ahead: i64 = recipe.batches.iter().map(|batch| batch.minutes_nano).sum();
    let passive = recipe.batches.iter().map(|batch| batch.passive_minutes);
    let active = lunch.minutes_nano.saturating_add(ahead);
    object.insert("prepTime".to_owned(), duration(active, 0).into());
    object.insert(
        "totalTime".to_owned(),
        duration(active, passive.sum()).into(),
    );
    object.insert("nutrition".to_owned(), nutrition(week, day));
    Some(object.into())
}

fn plain(text: &str) -> Value {
    text.replace(words::JOINT, " ").into()
}

fn ingredients(lines: &[MeasuredLine]) -> impl Iterator<Item = Value> + '_ {
    lines.iter().map(|line| {
        let amount = measures::both(&line.amount);
        plain(&format!("{amount} {}", line.taken.name()))
    })
}

fn steps(steps: &[String]) -> Vec<Value> {
    let each = steps.iter();
    each.map(|step| json!({ "@type": "HowToStep", "text": step }))
        .collect()
}

/// Steps, or a section a batch and one for the lunch itself.
fn instructions(recipe: &RecipeFacts) -> Vec<Value> {
    let section = |name: &str, all: &[String]| {
        (!all.is_empty()).then(
            || json!({ "@type": "HowToSection", "name": name, "itemListElement": steps(all) }),
        )
    };
    let batches = recipe.batches.iter();
    let mut sections: Vec<Value> = batches
        .filter_map(|batch| section(&batch.name, &batch.steps))
        .collect();
    if sections.is_empty() {
        return steps(&recipe.steps);
    }
    sections.extend(section(&recipe.name, &recipe.steps));
    sections
}

fn common(recipe: &RecipeFacts) -> Map<String, Value> {
    let own = recipe.lines.iter();
    let own: Vec<MeasuredLine> = own
        .filter(|line| matches!(line.taken, Taken::Food(_)))
        .cloned()
        .collect();
    let folded = recipe.batches.iter().flat_map(|batch| &batch.lines);
    let all: Vec<MeasuredLine> = own.into_iter().chain(folded.cloned()).collect();
    let tools: Vec<Value> = recipe
        .needs
        .iter()
        .map(|tool| json!({ "@type": "HowToTool", "name": tool }))
        .collect();
    let mut object = Map::new();
    object.insert("@type".to_owned(), "Recipe".into());
    object.insert("name".to_owned(), recipe.name.clone().into());
    if let Some(author) = &recipe.prose.author {
        let author = json!({ "@type": "Person", "name": author });
        object.insert("author".to_owned(), author);
    }
    if let Some(picture) = &recipe.prose.picture {
        object.insert("image".to_owned(), picture.clone().into());
    }
    let ingredients: Vec<Value> = ingredients(&all).collect();
    object.insert("recipeIngredient".to_owned(), ingredients.into());
    let instructions = instructions(recipe);
    if !instructions.is_empty() {
        object.insert("recipeInstructions".to_owned(), instructions.into());
    }
    let taken = recipe.lines.iter().filter_map(|line| {
        let instead = unicode::isolated(line.instead_of.as_ref()?);
        let taken = unicode::isolated(line.taken.name());
        Some(format!("{taken}, not {instead}"))
    });
    let taken = taken.collect::<Vec<_>>().join("; ");
    let made = (!taken.is_empty()).then(|| format!("Made with {taken}."));
    let told = recipe.prose.description.iter().cloned().chain(made);
    let told = told.collect::<Vec<_>>().join(" ");
    if !told.is_empty() {
        object.insert("description".to_owned(), plain(&told));
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
    let serving = week
        .cook
        .lunches
        .get(day)
        .and_then(|recipe| recipe.prose.servings.clone());
    let serving = serving.unwrap_or_else(|| "1 portion".to_owned());
    object.insert("servingSize".to_owned(), serving.into());
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
