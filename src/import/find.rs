//! Finds schema.org Recipes in a file: JSON-LD as an object, an array or a graph, or an HTML page
//! that holds any of them in script elements.

use std::collections::BTreeMap;

use html5gum::{DefaultEmitter, Token, Tokenizer};
use serde_json::Value;
use thiserror::Error;

use super::own::Kitchen;
use super::values::{self, Unread};
use super::{
    Doubt, MOST_BYTES, MOST_LINES, MOST_RECIPES, MOST_STEPS, MOST_VALUES, Recipe, instructions,
    read_line_for, text,
};
use crate::table;

/// Deepest nesting followed in search of recipes.
const DEEPEST: usize = 24;
/// Most script elements of a page that are read.
const MOST_SCRIPTS: usize = 200;
/// Longest name, in characters: what a kitchen file may hold.
const LONGEST_NAME: usize = 300;

/// Why a file gives no recipe.
#[derive(Debug, Error)]
pub enum ImportFault {
    /// More bytes than are read.
    #[error(
        "it is larger than {} MiB; save the page of one recipe, or fewer recipes, in a file",
        MOST_BYTES / 1024 / 1024
    )]
    TooLarge,
    /// Not UTF-8.
    #[error("it is not UTF-8 text; open it in an editor and save it as UTF-8")]
    NotText,
    /// More values than are read.
    #[error(
        "it holds more than {MOST_VALUES} values, lists and objects counted; give the page of one \
         recipe, or split the list"
    )]
    TooMany,
    /// Neither JSON nor a page with JSON-LD in it.
    #[error(
        "it is no JSON, and no page with a script of type application/ld+json: {0}; save the page \
         itself, as HTML, or write the recipe by hand"
    )]
    NoJson(String),
    /// JSON without a Recipe.
    #[error(
        "it holds no schema.org Recipe; save the page that the recipe itself is on, or write it by \
         hand"
    )]
    NoRecipe,
}

/// What a file held.
#[derive(Clone, Debug)]
pub struct Found {
    /// Its recipes, in order.
    pub recipes: Vec<Recipe>,
    /// Scripts of a page that are no JSON, with what is wrong.
    pub broken: Vec<String>,
    /// Recipes left out because there were too many.
    pub left_out: usize,
}

/// Reads the recipes of a file with the food table alone.
///
/// # Errors
/// What is wrong with the file as a whole; nothing of it is read then.
pub fn recipes(bytes: &[u8]) -> Result<Found, ImportFault> {
    recipes_for(bytes, &Kitchen::default())
}

/// Reads the recipes of a file with the names of a kitchen first.
///
/// # Errors
/// What is wrong with the file as a whole; nothing of it is read then.
pub fn recipes_for(bytes: &[u8], kitchen: &Kitchen) -> Result<Found, ImportFault> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(ImportFault::TooLarge);
    }
    let whole = std::str::from_utf8(bytes).map_err(|_| ImportFault::NotText)?;
    let whole = whole.trim_start_matches('\u{feff}').trim();
    let (values, broken) = match values::read(&text::paired(whole), &mut 0) {
        Ok(value) => (vec![value], Vec::new()),
        Err(Unread::TooMany) => return Err(ImportFault::TooMany),
        Err(Unread::NoJson(error)) if whole.starts_with(['{', '[']) => {
            return Err(ImportFault::NoJson(error.to_string()));
        }
        Err(Unread::NoJson(_)) => scripts(whole)?,
    };
    let mut objects = Vec::new();
    for value in &values {
        collect(value, 0, &mut objects);
    }
    if objects.is_empty() {
        return Err(ImportFault::NoRecipe);
    }
    let left_out = objects.len().saturating_sub(MOST_RECIPES);
    objects.truncate(MOST_RECIPES);
    let mut recipes: Vec<Recipe> = objects
        .into_iter()
        .map(|object| recipe(object, kitchen))
        .collect();
    suggest(&mut recipes);
    Ok(Found {
        recipes,
        broken,
        left_out,
    })
}

/// Names for which near rows are looked up: each takes a hundredth of a second or two.
const MOST_SUGGESTED: usize = 100;

/// Fills in which rows may be meant where a food was not found.
fn suggest(recipes: &mut [Recipe]) {
    let mut known: BTreeMap<String, Vec<&'static str>> = BTreeMap::new();
    let lines = recipes.iter_mut().flat_map(|recipe| &mut recipe.lines);
    for line in lines {
        for doubt in &mut line.doubts {
            let Doubt::NoFood(near) = doubt else { continue };
            if let Some(found) = known.get(&line.name) {
                near.clone_from(found);
            } else if known.len() < MOST_SUGGESTED {
                *near = table::near(&line.name);
                known.insert(line.name.clone(), near.clone());
            }
        }
    }
}

type Scripts = (Vec<Value>, Vec<String>);

/// The JSON of every script of type application/ld+json.
fn scripts(page: &str) -> Result<Scripts, ImportFault> {
    let mut emitter = DefaultEmitter::default();
    emitter.naively_switch_states(true);
    let (mut values, mut broken) = (Vec::new(), Vec::new());
    let mut inside: Option<String> = None;
    let mut count = 0;
    for Ok(token) in Tokenizer::new_with_emitter(page, emitter) {
        match token {
            Token::StartTag(tag) if &**tag.name == b"script" => {
                let kind = tag.attributes.iter().find(|(name, _)| &***name == b"type");
                let kind = kind.map(|(_, value)| String::from_utf8_lossy(value).to_lowercase());
                let wanted = kind.is_some_and(|kind| {
                    kind.split(';').next().map(str::trim) == Some("application/ld+json")
                });
                inside = wanted.then(String::new);
            }
            Token::String(run) => {
                if let Some(json) = &mut inside {
                    json.push_str(&String::from_utf8_lossy(&run));
                }
            }
            Token::EndTag(tag) if &**tag.name == b"script" => {
                let Some(json) = inside.take() else { continue };
                if values.len() + broken.len() >= MOST_SCRIPTS {
                    break;
                }
                match values::read(&text::paired(json.trim()), &mut count) {
                    Ok(value) => values.push(value),
                    Err(Unread::TooMany) => return Err(ImportFault::TooMany),
                    Err(Unread::NoJson(error)) => broken.push(error.to_string()),
                }
            }
            _ => {}
        }
    }
    if values.is_empty() {
        let why = broken.first().cloned();
        return Err(ImportFault::NoJson(
            why.unwrap_or_else(|| "there is no such script".to_owned()),
        ));
    }
    Ok((values, broken))
}

/// Collects Recipe objects wherever they stand: graph, list, main entity.
fn collect<'a>(value: &'a Value, depth: usize, out: &mut Vec<&'a Value>) {
    if depth > DEEPEST {
        return;
    }
    match value {
        Value::Array(all) => all.iter().for_each(|one| collect(one, depth + 1, out)),
        Value::Object(object) => {
            if is_recipe(value) {
                out.push(value);
                return;
            }
            object
                .values()
                .filter(|inner| inner.is_array() || inner.is_object())
                .for_each(|inner| collect(inner, depth + 1, out));
        }
        _ => {}
    }
}

fn is_recipe(value: &Value) -> bool {
    let named = |kind: &Value| {
        let kind = kind.as_str().unwrap_or_default();
        let term = kind.rsplit(['/', ':', '#']).next().unwrap_or_default();
        term == "Recipe"
    };
    match value.get("@type") {
        Some(Value::Array(kinds)) => kinds.iter().any(named),
        Some(kind) => named(kind),
        None => false,
    }
}

fn recipe(value: &Value, kitchen: &Kitchen) -> Recipe {
    let one_text = |key: &str| -> Option<String> {
        let found = match value.get(key)? {
            Value::Array(all) => all.first()?.as_str()?,
            other => other.as_str()?,
        };
        let plain = text::plain(found);
        let cut: String = plain.chars().take(LONGEST_NAME).collect();
        let cut = cut.trim_end().to_owned();
        (!cut.is_empty()).then_some(cut)
    };
    let written: Vec<&str> = ["recipeIngredient", "ingredients"]
        .iter()
        .find_map(|key| value.get(*key))
        .map_or(Vec::new(), |lines| match lines {
            Value::Array(all) => all.iter().filter_map(Value::as_str).collect(),
            Value::String(all) => all.lines().collect(),
            _ => Vec::new(),
        });
    let written: Vec<&str> = written
        .into_iter()
        .filter(|line| !line.trim().is_empty())
        .collect();
    let mut steps = Vec::new();
    if let Some(all) = value.get("recipeInstructions") {
        instructions::steps(all, 0, &mut steps);
    }
    let minutes = |key: &str| value.get(key).and_then(instructions::minutes);
    let work = minutes("prepTime");
    let left_out =
        written.len().saturating_sub(MOST_LINES) + steps.len().saturating_sub(MOST_STEPS);
    steps.truncate(MOST_STEPS);
    Recipe {
        name: one_text("name").unwrap_or_else(|| "recipe without a name".to_owned()),
        category: one_text("recipeCategory"),
        portions: ["recipeYield", "yield"]
            .iter()
            .find_map(|key| value.get(*key))
            .and_then(instructions::portions),
        minutes: work.or_else(|| minutes("totalTime")),
        minutes_of_all: work.is_none(),
        lines: written
            .into_iter()
            .take(MOST_LINES)
            .map(|line| read_line_for(line, kitchen))
            .collect(),
        steps,
        left_out,
    }
}
