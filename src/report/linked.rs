//! Lunches as schema.org Recipes in JSON-LD, each with its batches folded in or named as its parts.
//!
//! Terms used (schema.org): Recipe, name, author, Person, image, recipeCategory, recipeYield,
//! recipeIngredient, recipeInstructions, HowToSection, itemListElement, HowToStep, text, tool, HowToTool,
//! prepTime, totalTime, nutrition, NutritionInformation, servingSize, calories, proteinContent,
//! fatContent, saturatedFatContent, carbohydrateContent, fiberContent, sugarContent, sodiumContent,
//! description, hasPart. Durations are those of ISO 8601.

use std::fmt::Write as _;

use serde_json::{Map, Value, json};

use super::{Layout, measures, phrases, recipe_words, words};
use crate::explain::{BatchRecipe, Collection, Dish, MeasuredLine, RecipeFacts, Taken};
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

/// Returns one JSON-LD object whose graph holds every recipe; batches by themselves each have an
/// identifier there, by which the lunches that take from them name them as their parts.
pub fn recipes_json_ld(collection: &Collection, layout: Layout) -> String {
    let parts = Parts::of(collection, layout, |at, _| format!("#batch-{}", at + 1));
    let dishes = collection.dishes.iter();
    let mut graph: Vec<Value> = dishes.map(|dish| lunch(dish, layout, &parts)).collect();
    for (batch, (_, id)) in collection.batches.iter().zip(&parts.0) {
        let mut object = Map::new();
        object.insert("@id".to_owned(), id.clone().into());
        object.extend(of_batch(batch, layout));
        graph.push(object.into());
    }
    let whole = json!({ "@context": "https://schema.org", "@graph": graph });
    // A tree of texts is always written; the line break ends the file.
    let text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    for_script(&text) + "\n"
}

/// Batches by themselves and how each is named; none where they are folded.
pub(super) struct Parts(pub(super) Vec<(String, String)>);

impl Parts {
    /// Names each batch, by its place and name.
    pub(super) fn of(
        collection: &Collection,
        layout: Layout,
        mut name: impl FnMut(usize, &str) -> String,
    ) -> Self {
        let all = collection.batches.iter().enumerate();
        let all = all.filter(|_| !layout.folded);
        Self(
            all.map(|(at, batch)| {
                let own = &batch.recipe.name;
                (own.clone(), name(at, own))
            })
            .collect(),
        )
    }

    /// How a batch is named; none where it is folded, or none.
    pub(super) fn id(&self, name: &str) -> Option<&str> {
        let found = self.0.iter().find(|(own, _)| own == name)?;
        Some(&found.1)
    }
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

/// Returns a lunch as an object of its own, for the page that shows it.
pub(super) fn lunch_json_ld(dish: &Dish, layout: Layout, parts: &Parts) -> String {
    own(lunch(dish, layout, parts))
}

/// Returns a batch as an object of its own, for the page that shows it.
pub(super) fn batch_json_ld(batch: &BatchRecipe, layout: Layout) -> String {
    own(of_batch(batch, layout).into())
}

fn own(recipe: Value) -> String {
    let mut whole = Map::new();
    whole.insert("@context".to_owned(), "https://schema.org".into());
    if let Value::Object(recipe) = recipe {
        whole.extend(recipe);
    }
    for_script(&serde_json::to_string(&whole).unwrap_or_default())
}

/// A lunch; its batches folded in, each a section of its instructions, its foods among the
/// ingredients, or named as its parts.
fn lunch(dish: &Dish, layout: Layout, parts: &Parts) -> Value {
    let (recipe, lunch) = (&dish.recipe, &dish.lunch);
    let mut object = common(recipe, layout);
    if let Some(finish) = &dish.finish {
        let more = finish.placed.iter().map(|line| {
            let amount = measures::told(&line.amount, layout.measures);
            plain(&format!("{amount} {}, to finish", line.food))
        });
        if let Some(Value::Array(all)) = object.get_mut("recipeIngredient") {
            all.extend(more);
        }
    }
    object.insert("recipeCategory".to_owned(), lunch.form.clone().into());
    object.insert(
        "recipeYield".to_owned(),
        phrases::portions(lunch.eaters_milli).into(),
    );
    let inside = recipe.batches.iter().filter(|_| layout.folded);
    let ahead: i64 = inside.clone().map(|batch| batch.minutes_nano).sum();
    let passive: i64 = inside.map(|batch| batch.passive_minutes).sum();
    times(
        &mut object,
        lunch.minutes_nano.saturating_add(ahead),
        passive,
    );
    object.insert("nutrition".to_owned(), nutrition(dish));
    let named = recipe.batches.iter().filter_map(|batch| {
        let id = parts.id(&batch.name)?;
        Some(json!({ "@type": "Recipe", "@id": id, "name": batch.name }))
    });
    let named: Vec<Value> = named.collect();
    if !named.is_empty() {
        object.insert("hasPart".to_owned(), named.into());
    }
    object.into()
}

/// A batch by itself: what it makes, no category, as it is no meal.
fn of_batch(batch: &BatchRecipe, layout: Layout) -> Map<String, Value> {
    let mut object = common(&batch.recipe, layout);
    object.insert(
        "recipeYield".to_owned(),
        plain(&words::mass(batch.makes_mg)),
    );
    times(&mut object, batch.minutes_nano, batch.passive_minutes);
    object
}

fn times(object: &mut Map<String, Value>, active_nano: i64, passive: i64) {
    object.insert("prepTime".to_owned(), duration(active_nano, 0).into());
    object.insert(
        "totalTime".to_owned(),
        duration(active_nano, passive).into(),
    );
}

fn plain(text: &str) -> Value {
    text.replace(words::JOINT, " ").into()
}

fn ingredients(lines: &[MeasuredLine], layout: Layout) -> impl Iterator<Item = Value> + '_ {
    lines.iter().map(move |line| {
        let amount = measures::told(&line.amount, layout.measures);
        plain(&format!("{amount} {}", line.taken.name()))
    })
}

fn steps(steps: &[String]) -> Vec<Value> {
    let each = steps.iter();
    each.map(|step| json!({ "@type": "HowToStep", "text": step }))
        .collect()
}

/// Steps, or a section a batch and one for the lunch itself.
fn instructions(recipe: &RecipeFacts, layout: Layout) -> Vec<Value> {
    let section = |name: &str, all: &[String]| {
        (!all.is_empty()).then(
            || json!({ "@type": "HowToSection", "name": name, "itemListElement": steps(all) }),
        )
    };
    let batches = recipe.batches.iter().filter(|_| layout.folded);
    let mut sections: Vec<Value> = batches
        .filter_map(|batch| section(&batch.name, &batch.steps))
        .collect();
    if sections.is_empty() {
        return steps(&recipe.steps);
    }
    sections.extend(section(&recipe.name, &recipe.steps));
    sections
}

fn common(recipe: &RecipeFacts, layout: Layout) -> Map<String, Value> {
    let own = recipe.lines.iter();
    let own: Vec<MeasuredLine> = own
        .filter(|line| !layout.folded || matches!(line.taken, Taken::Food(_)))
        .cloned()
        .collect();
    let folded = recipe.batches.iter().filter(|_| layout.folded);
    let folded = folded.flat_map(|batch| &batch.lines);
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
    let ingredients: Vec<Value> = ingredients(&all, layout).collect();
    object.insert("recipeIngredient".to_owned(), ingredients.into());
    let instructions = instructions(recipe, layout);
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
fn nutrition(dish: &Dish) -> Value {
    let mut object = Map::new();
    object.insert("@type".to_owned(), "NutritionInformation".into());
    let serving = dish.recipe.prose.servings.clone();
    let serving = serving.unwrap_or_else(|| "1 portion".to_owned());
    object.insert("servingSize".to_owned(), serving.into());
    let mut unknown = Vec::new();
    for (term, nutrient) in TERMS {
        let found = dish.nutrition.iter().find(|(other, _)| *other == nutrient);
        let Some((_, amount)) = found else {
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
    let finish = recipe_words::not_counted(dish);
    let estimate = format!("{}{finish}{missing}", phrases::ESTIMATE);
    object.insert("description".to_owned(), estimate.into());
    object.into()
}
