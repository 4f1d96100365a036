//! The week's recipes as pages of their own for those who publish them: one file a recipe, whole by itself
//! and printable on one sheet, with its JSON-LD inside, and an index of the week.
//!
//! A batch stands inside the lunch that uses it, scaled to it. Pictures are named in the JSON-LD alone:
//! nothing is fetched.

use std::collections::BTreeSet;

use askama::Template;

use super::linked::lunch_json_ld;
use super::names::isolated;
use super::sheet::marked;
use super::{advice, measures, phrases, sentences, trade_sentences, words};
use crate::explain::{
    Explanation, FinishedLunch, LunchFacts, MeasuredLine, RecipeFacts, Substitute, WeekFacts,
};
use crate::larder::{Currency, Nutrient};
use crate::unicode::bare;

/// A recipe's page.
#[derive(Template)]
#[template(path = "recipe.html", config = "src/report/sheet/askama.toml")]
struct Page {
    name: String,
    json_ld: String,
    author: String,
    description: String,
    story: String,
    facts: String,
    sections: Vec<Section>,
    finish: Vec<String>,
    substitutes: Vec<String>,
    storage: String,
    nutrition: String,
    allergens: String,
    cautions: Vec<String>,
}

/// A batch, or the lunch itself.
struct Section {
    title: String,
    /// Metric, US, name.
    lines: Vec<[String; 3]>,
    steps: Vec<String>,
}

/// The index of the week.
#[derive(Template)]
#[template(path = "recipes.html", config = "src/report/sheet/askama.toml")]
struct Index {
    kitchen: String,
    days: Vec<[String; 3]>,
}

/// Returns the pages of a week with the names of their files, `index.html` first; none without a week.
pub fn recipe_pages(explanation: &Explanation) -> Vec<(String, String)> {
    let Some(plain) = &explanation.week else {
        return Vec::new();
    };
    let told = isolated(explanation);
    let Some(week) = &told.week else {
        return Vec::new();
    };
    let mut taken = BTreeSet::from(["index".to_owned()]);
    let mut days = Vec::new();
    let mut pages = Vec::new();
    let mut known: Vec<(RecipeKey, String)> = Vec::new();
    for (day, (recipe, lunch)) in week.cook.lunches.iter().zip(&week.lunches).enumerate() {
        let key = key(recipe, lunch);
        let file = if let Some((_, file)) = known.iter().find(|(other, _)| *other == key) {
            file.clone()
        } else {
            let file = file_name(&recipe.name, &mut taken);
            let page = page(&told, week, day, lunch_json_ld(plain, day));
            // Rendering texts into memory does not fail.
            pages.push((file.clone(), marked(&page.render().unwrap_or_default())));
            known.push((key, file.clone()));
            file
        };
        days.push([words::short(&recipe.when), recipe.name.clone(), file]);
    }
    let index = Index {
        kitchen: told.kitchen.clone(),
        days,
    };
    let index = marked(&index.render().unwrap_or_default());
    std::iter::once(("index.html".to_owned(), index))
        .chain(pages)
        .collect()
}

/// What makes two lunches one page: recipe, portions, and what its lines take.
type RecipeKey = (String, i64, Vec<String>);

fn key(recipe: &RecipeFacts, lunch: &LunchFacts) -> RecipeKey {
    let taken = recipe.lines.iter().map(|line| line.taken.name().to_owned());
    (recipe.name.clone(), lunch.eaters_milli, taken.collect())
}

/// Letters of a file name.
const LETTERS: usize = 60;

/// A name that every file system takes, and no other page has.
fn file_name(name: &str, taken: &mut BTreeSet<String>) -> String {
    let bare = bare(name).to_lowercase();
    let mut words: Vec<String> = Vec::new();
    for word in bare.split(|c: char| !c.is_ascii_alphanumeric()) {
        if !word.is_empty() {
            words.push(word.to_owned());
        }
    }
    let mut stem: String = words.join("-").chars().take(LETTERS).collect();
    if stem.is_empty() {
        stem.push_str("recipe");
    }
    let mut file = stem.clone();
    let mut again = 1;
    while !taken.insert(file.clone()) {
        again += 1;
        file = format!("{stem}-{again}");
    }
    file + ".html"
}

fn page(explanation: &Explanation, week: &WeekFacts, day: usize, json_ld: String) -> Page {
    let (recipe, lunch) = (&week.cook.lunches[day], &week.lunches[day]);
    let prose = &recipe.prose;
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let finish = super::sheet::finished_on(explanation, lunch);
    Page {
        name: recipe.name.clone(),
        json_ld,
        author: text(&prose.author),
        description: text(&prose.description),
        story: text(&prose.story),
        facts: facts(explanation, recipe, lunch),
        sections: sections(recipe),
        finish: finish.map_or(Vec::new(), to_finish),
        substitutes: recipe
            .substitutes
            .iter()
            .map(|one| substitute(one, &explanation.currency))
            .collect(),
        storage: text(&prose.storage),
        nutrition: nutrition(week, day),
        allergens: if lunch.allergens.is_empty() {
            "none in the kitchen's data".to_owned()
        } else {
            lunch.allergens.join(", ")
        },
        cautions: advice::of_thing(&week.advice, &recipe.when, false, &recipe.name)
            .map(str::to_owned)
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .collect(),
    }
}

fn facts(explanation: &Explanation, recipe: &RecipeFacts, lunch: &LunchFacts) -> String {
    let serving = recipe.prose.servings.as_ref();
    let serving = serving.map_or(String::new(), |one| format!(", each {one}"));
    format!(
        "{}; {}{serving}; {} a portion.",
        phrases::capital(&lunch.form),
        phrases::portions(lunch.eaters_milli),
        words::cash_nano(lunch.portion_cost_nano, &explanation.currency)
    )
}

fn lines<'a>(lines: impl Iterator<Item = &'a MeasuredLine>) -> Vec<[String; 3]> {
    lines
        .map(|line| {
            let (metric, us) = (measures::metric(&line.amount), measures::us(&line.amount));
            let us = if us == metric { String::new() } else { us };
            [metric, us, line.taken.name().to_owned()]
        })
        .collect()
}

/// The batches, then the lunch; a batch is an ingredient of it.
fn sections(recipe: &RecipeFacts) -> Vec<Section> {
    let batches = recipe.batches.iter().map(|batch| Section {
        title: format!(
            "{}, {}",
            phrases::capital(&batch.name),
            measures::metric(&batch.amount)
        ),
        lines: lines(batch.lines.iter()),
        steps: batch.steps.clone(),
    });
    let batches: Vec<Section> = batches.collect();
    let title = if batches.is_empty() {
        "Ingredients".to_owned()
    } else {
        "The lunch".to_owned()
    };
    let lunch = Section {
        title,
        lines: lines(recipe.lines.iter()),
        steps: recipe.steps.clone(),
    };
    batches.into_iter().chain([lunch]).collect()
}

fn to_finish(finish: &FinishedLunch) -> Vec<String> {
    let placed = finish.placed.iter();
    placed
        .map(|line| format!("{}, {}", line.food, phrases::finisher_note(line)))
        .collect()
}

/// What a line may take instead, and what that changes of a portion.
fn substitute(one: &Substitute, currency: &Currency) -> String {
    let more = one.more_milli.iter().map(|&(nutrient, more)| match more {
        Some(milli) => format!(
            "{} {}{}",
            nutrient.label(),
            if milli > 0 { "+" } else { "" },
            words::nutrient(milli, nutrient)
        ),
        None => format!("{} not known", nutrient.label()),
    });
    format!(
        "{} ({}) for {}: {} a portion; {}",
        one.other,
        one.written,
        one.taken,
        trade_sentences::signed(one.more_nano, currency),
        more.collect::<Vec<_>>().join(", ")
    )
}

fn nutrition(week: &WeekFacts, day: usize) -> String {
    let shown = [
        Nutrient::Energy,
        Nutrient::Protein,
        Nutrient::Fat,
        Nutrient::Carbohydrate,
        Nutrient::Fibre,
        Nutrient::Sodium,
    ];
    let each = shown.into_iter().filter_map(|nutrient| {
        let amount = week.nutrition.get(nutrient.index())?.lunches.get(day)?;
        let mark = if amount.incomplete { " or more" } else { "" };
        let figure = words::nutrient(amount.milli, nutrient);
        Some(format!("{} {figure}{mark}", nutrient.label()))
    });
    let each: Vec<String> = each.collect();
    format!(
        "{}. {}",
        phrases::capital(&each.join(", ")),
        phrases::ESTIMATE
    )
}
