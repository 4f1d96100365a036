//! Recipes as pages of their own for those who publish them: one file a recipe, whole by itself and
//! printable on one sheet, with its JSON-LD inside, and an index.
//!
//! A batch stands inside the lunch that uses it, scaled to it, or on a page of its own to which the lunch
//! leads. Pictures are named in the JSON-LD alone: nothing is fetched.

use std::collections::BTreeSet;

use askama::Template;

use super::linked::{Parts, batch_json_ld, lunch_json_ld};
use super::names::isolated;
use super::sheet::marked;
use super::{Layout, Measures, measures, phrases, recipe_words, sentences, words};
use crate::explain::{BatchRecipe, Collection, Dish, LunchFacts, MeasuredLine, RecipeFacts, Taken};
use crate::table::advice::Advice;
use crate::unicode::bare;

/// A recipe's page.
#[derive(Template, Default)]
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
    index: &'static str,
}

/// A batch, or the lunch itself.
struct Section {
    title: String,
    lines: Vec<Line>,
    steps: Vec<String>,
}

/// What goes in.
struct Line {
    amount: String,
    /// The US measure, beside a metric one.
    us: String,
    name: String,
    /// The page of the batch it is; empty for a food.
    page: String,
}

/// The index.
#[derive(Template)]
#[template(path = "recipes.html", config = "src/report/sheet/askama.toml")]
struct Index {
    kitchen: String,
    title: &'static str,
    told: String,
    /// Day (empty outside of a week), name, file.
    dishes: Vec<[String; 3]>,
    /// Name, file.
    batches: Vec<[String; 2]>,
}

/// Returns the pages of recipes with the names of their files, `index.html` first; none where there are
/// no recipes.
pub fn recipe_pages(collection: &Collection, layout: Layout) -> Vec<(String, String)> {
    let told = isolated(collection);
    if told.dishes.is_empty() {
        return Vec::new();
    }
    let mut taken = BTreeSet::from(["index".to_owned()]);
    let parts = Parts::of(collection, layout, |_, name| file_name(name, &mut taken));
    let (mut dishes, mut pages) = (Vec::new(), Vec::new());
    let mut known: Vec<(RecipeKey, String)> = Vec::new();
    // What is read has its names isolated, what programs read has not.
    for (dish, plain) in told.dishes.iter().zip(&collection.dishes) {
        let key = key(&dish.recipe, &dish.lunch);
        let file = if let Some((_, file)) = known.iter().find(|(other, _)| *other == key) {
            file.clone()
        } else {
            let file = file_name(&dish.recipe.name, &mut taken);
            let json_ld = lunch_json_ld(plain, layout, &parts);
            pages.push((
                file.clone(),
                dish_page(&told, (dish, plain), layout, &parts, json_ld),
            ));
            known.push((key, file.clone()));
            file
        };
        let day = dish.when.as_ref().map_or(String::new(), words::short);
        dishes.push([day, dish.recipe.name.clone(), file]);
    }
    let linked = told.batches.iter().zip(&collection.batches).zip(&parts.0);
    let batches = linked.map(|((batch, plain), (_, file))| {
        let page = batch_page(batch, layout, batch_json_ld(plain, layout));
        pages.push((file.clone(), rendered(&page)));
        [batch.recipe.name.clone(), file.clone()]
    });
    let batches = batches.collect();
    let index = Index {
        kitchen: told.kitchen.clone(),
        title: if told.of_week {
            "recipes of the week"
        } else {
            "all recipes"
        },
        told: if told.of_week {
            String::new()
        } else {
            recipe_words::collected(&told)
        },
        dishes,
        batches,
    };
    std::iter::once(("index.html".to_owned(), rendered(&index)))
        .chain(pages)
        .collect()
}

/// Rendering texts into memory does not fail.
fn rendered(page: &impl Template) -> String {
    marked(&page.render().unwrap_or_default())
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

fn dish_page(
    told: &Collection,
    (dish, plain): (&Dish, &Dish),
    layout: Layout,
    parts: &Parts,
    json_ld: String,
) -> String {
    let recipe = &dish.recipe;
    let prose = &recipe.prose;
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let finish = dish.finish.as_ref();
    let instead = recipe.substitutes.iter();
    rendered(&Page {
        name: recipe.name.clone(),
        json_ld,
        author: text(&prose.author),
        description: text(&prose.description),
        story: text(&prose.story),
        facts: facts(told, dish),
        sections: sections(recipe, &plain.recipe, layout, parts),
        finish: finish.map_or(Vec::new(), |finish| {
            recipe_words::finish(finish, layout.measures)
        }),
        substitutes: instead
            .map(|one| recipe_words::substitute(one, &told.currency, layout.measures))
            .collect(),
        storage: text(&prose.storage),
        nutrition: recipe_words::nutrition(dish),
        allergens: recipe_words::allergens(&recipe_words::all_allergens(dish)),
        cautions: cautions(&dish.advice),
        index: if told.of_week {
            "The week"
        } else {
            "All recipes"
        },
    })
}

fn batch_page(batch: &BatchRecipe, layout: Layout, json_ld: String) -> Page {
    Page {
        name: batch.recipe.name.clone(),
        json_ld,
        facts: recipe_words::batch(batch, layout.measures),
        sections: vec![Section {
            title: "Ingredients".to_owned(),
            lines: lines(&batch.recipe.lines, layout.measures),
            steps: batch.recipe.steps.clone(),
        }],
        allergens: recipe_words::allergens(&batch.allergens),
        cautions: cautions(&batch.advice),
        index: "All recipes",
        ..Page::default()
    }
}

fn cautions(advice: &[&'static Advice]) -> Vec<String> {
    advice
        .iter()
        .map(|advice| advice.line.to_owned())
        .chain(sentences::CAUTIONS.map(str::to_owned))
        .collect()
}

fn facts(told: &Collection, dish: &Dish) -> String {
    let serving = dish.recipe.prose.servings.as_ref();
    let serving = serving.map_or(String::new(), |one| format!(", each {one}"));
    let head = format!(
        "{}; {}{serving}; ",
        phrases::capital(&dish.lunch.form),
        phrases::portions(dish.lunch.eaters_milli),
    );
    head + &cost(dish, told)
}

fn cost(dish: &Dish, told: &Collection) -> String {
    if told.of_week {
        let cost = words::cash_nano(dish.lunch.portion_cost_nano, &told.currency);
        return format!("{cost} a portion.");
    }
    recipe_words::cost(dish, &told.currency)
}

fn lines(lines: &[MeasuredLine], which: Measures) -> Vec<Line> {
    let each = lines.iter().map(|line| {
        let (metric, us) = (measures::metric(&line.amount), measures::us(&line.amount));
        let (amount, us) = match which {
            Measures::Us => (us, String::new()),
            Measures::Both if us != metric => (metric, us),
            Measures::Metric | Measures::Both => (metric, String::new()),
        };
        Line {
            amount,
            us,
            name: line.taken.name().to_owned(),
            page: String::new(),
        }
    });
    each.collect()
}

/// The batches, then the lunch; a batch is an ingredient of it. `plain` has the names by which pages
/// of batches are known.
fn sections(
    recipe: &RecipeFacts,
    plain: &RecipeFacts,
    layout: Layout,
    parts: &Parts,
) -> Vec<Section> {
    let batches = recipe.batches.iter().filter(|_| layout.folded);
    let batches = batches.map(|batch| Section {
        title: format!(
            "{}, {}",
            phrases::capital(&batch.name),
            measures::told(&batch.amount, layout.measures)
        ),
        lines: lines(&batch.lines, layout.measures),
        steps: batch.steps.clone(),
    });
    let batches: Vec<Section> = batches.collect();
    let title = if batches.is_empty() {
        "Ingredients".to_owned()
    } else {
        "The lunch".to_owned()
    };
    let mut own = lines(&recipe.lines, layout.measures);
    for (line, of) in own.iter_mut().zip(&plain.lines) {
        if let Taken::Component(name) = &of.taken
            && let Some(page) = parts.id(name)
        {
            page.clone_into(&mut line.page);
        }
    }
    let lunch = Section {
        title,
        lines: own,
        steps: recipe.steps.clone(),
    };
    batches.into_iter().chain([lunch]).collect()
}
