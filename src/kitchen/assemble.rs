//! Puts the larder together from what each module read.

use super::aims;
use super::components;
use super::credits::Credits;
use super::currency;
use super::drafts::{ComponentDraft, FoodDraft, Pantry};
use super::equipment::Tools;
use super::fault::{Fault, Priced, PutIn, Sink, Source, Tally, read_through};
use super::fields;
use super::files::File;
use super::flaws::{self, Places};
use super::foods;
use super::gather::{self, Raw};
use super::hints;
use super::jotted::Known;
use super::limits;
use super::names::Index;
use super::node::{self, Node};
use super::packs::Till;
use super::place::At;
use super::prices::{self, Dates, Prices};
use super::recipes;
use super::rules;
use super::spelling::fold;
use super::stock;
use super::week;
use super::wording::Says;
use crate::import::Own;
use crate::larder::{
    Contents, Currency, Equipment, FamilyId, FormId, Larder, List, ProteinId, Step,
};
use std::collections::{BTreeMap, HashMap};

/// What reading a kitchen gave.
#[derive(Clone, Debug)]
pub struct Read {
    /// The kitchen; `None` if there is any fault.
    pub larder: Option<Larder>,
    /// The faults, in file and line order: of each kind the first few, in all at most
    /// [`MOST_TOLD`](super::fault::MOST_TOLD) with the warnings.
    pub faults: Vec<Fault>,
    /// What is allowed but looks wrong, in file and line order, as many of it.
    pub warnings: Vec<Fault>,
    /// Keeping times that are longer than the published ones.
    pub times: Vec<Fault>,
    /// How many there are.
    pub tally: Tally,
    /// Keeping times that the files leave out or mark as assumed, in file and line order.
    pub put_in: Vec<PutIn>,
    /// The price of each pack option, by food; as far as they can be read where there is any fault.
    pub prices: Vec<Priced>,
    /// The currency they are in; `None` where no file names one.
    pub currency: Option<Currency>,
    /// The files, by name, for excerpts.
    pub sources: Vec<Source>,
}

/// Reads all files into a larder.
pub(crate) fn read(mut files: Vec<File>, dates: Dates) -> Read {
    files.sort_by(|a, b| a.name.cmp(&b.name));
    let mut sink = Sink::new(files.iter().map(|file| file.name.clone()).collect());
    let mut sources = Vec::with_capacity(files.len());
    let mut roots: Vec<Node> = Vec::with_capacity(files.len());
    let mut lists = Vec::new();
    for (index, file) in files.into_iter().enumerate() {
        if sink.is_full() {
            break;
        }
        let text = text(file.bytes, index, &mut sink);
        if prices::is_list(&file.name) {
            let text = text.unwrap_or_default();
            lists.push((index, text.clone()));
            sources.push(Source {
                name: file.name,
                text,
            });
            continue;
        }
        let root = text
            .as_ref()
            .and_then(|text| node::parse(text, index, &mut sink));
        sink.partial |= root.is_none();
        roots.extend(root);
        let text = text.unwrap_or_default();
        sources.push(Source {
            name: file.name,
            text,
        });
    }
    let (larder, findings) = read_through(sink, |sink| {
        let raw = gather::raw(&roots, sink);
        larder(&raw, (&lists, dates), sink)
    });
    Read {
        larder,
        faults: findings.faults,
        warnings: findings.warnings,
        times: findings.times,
        tally: findings.tally,
        put_in: findings.put_in,
        prices: findings.priced,
        currency: findings.currency,
        sources,
    }
}

/// Returns the foods and components of these files, as far as they can be read.
pub(crate) fn known(files: Vec<File>) -> Vec<Known> {
    named(files, FoodDraft::known, ComponentDraft::known)
}

/// Returns the same with what each is weighed by, for lines of ingredients.
pub(crate) fn own(files: Vec<File>) -> Vec<Own> {
    named(files, FoodDraft::own, ComponentDraft::own)
}

/// Returns what is wanted of each food and component that has a name.
fn named<T>(
    files: Vec<File>,
    food: impl Fn(&FoodDraft) -> T,
    component: impl Fn(&ComponentDraft) -> T,
) -> Vec<T> {
    let mut sink = Sink::new(files.iter().map(|file| file.name.clone()).collect());
    let mut roots: Vec<Node> = Vec::with_capacity(files.len());
    for (index, file) in files.into_iter().enumerate() {
        if prices::is_list(&file.name) {
            continue;
        }
        let text = text(file.bytes, index, &mut sink);
        roots.extend(text.and_then(|text| node::parse(&text, index, &mut sink)));
    }
    let raw = gather::raw(&roots, &mut sink);
    let currency = currency(&raw, &mut sink);
    let food_roll = gather::roll(&raw.foods, foods::SHAPE, &mut sink);
    let component_roll = gather::roll(&raw.components, components::SHAPE, &mut sink);
    let week = week::read(raw.week, &currency, &mut sink);
    let till = Till {
        currency: &currency,
        listed: &Prices::default(),
        shops: &week.shops,
    };
    let foods = foods::read(&food_roll, &till, &mut sink);
    let tools = Tools::default();
    let components = components::read(&component_roll, &food_roll, &foods, &tools, &mut sink);
    let foods = foods.iter().filter(|draft| !draft.food.name.is_empty());
    let mut all: Vec<T> = foods.map(food).collect();
    let components = components
        .iter()
        .filter(|draft| !draft.component.name.is_empty());
    all.extend(components.map(component));
    all
}

/// Returns the text of a file that is UTF-8.
fn text(bytes: Result<Vec<u8>, Says>, file: usize, sink: &mut Sink) -> Option<String> {
    let bytes = sink.take(At::file(file), bytes)?;
    match String::from_utf8(bytes) {
        Ok(text) => Some(text),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&error.as_bytes()[..good]).into_owned();
            let line = before.matches('\n').count() as u32 + 1;
            let column = before.rsplit('\n').next().unwrap_or("").chars().count() as u32 + 1;
            let at = At {
                line,
                column,
                start: good as u32,
                ..At::file(file)
            };
            sink.fault(
                at,
                "the file is not UTF-8 text from here on",
                "save it as plain text in UTF-8",
            );
            None
        }
    }
}

/// Price lists, each with its position among the sources, and which days' prices count.
type Lists<'a> = (&'a [(usize, String)], Dates);

/// Returns the larder; `None` if there is any fault.
fn larder(raw: &Raw, (lists, dates): Lists, sink: &mut Sink) -> Option<Larder> {
    let currency = currency(raw, sink);
    let name = raw
        .kitchen
        .and_then(|node| fields::text(node, "kitchen", limits::NAME, sink))
        .unwrap_or("Kitchen");
    let week::Read { week, shops, frame } = week::read(raw.week, &currency, sink);
    let tools = Tools::read(raw.equipment, sink);

    let food_roll = gather::roll(&raw.foods, foods::SHAPE, sink);
    let component_roll = gather::roll(&raw.components, components::SHAPE, sink);
    let recipe_roll = gather::roll(&raw.recipes, recipes::SHAPE, sink);
    let listed = prices::read(lists, &currency, &shops, dates, sink);
    let till = Till {
        currency: &currency,
        listed: &listed,
        shops: &shops,
    };
    let food_drafts = foods::read(&food_roll, &till, sink);
    listed.unused(&food_drafts, sink);
    let priced = food_drafts.iter().flat_map(|draft| &draft.priced);
    sink.priced = priced.cloned().collect();
    sink.currency = raw.currency.map(|_| currency.clone());
    let component_drafts =
        components::read(&component_roll, &food_roll, &food_drafts, &tools, sink);
    let pantry = Pantry {
        food_roll: &food_roll,
        foods: &food_drafts,
        component_roll: &component_roll,
        components: &component_drafts,
    };
    let mut recipe_drafts = recipes::read(&recipe_roll, frame, &pantry, &tools, sink);
    recipe_drafts.retain(|draft| draft.unfinished == 0);
    let (stock, stock_at) = stock::read(&raw.stock, &pantry, sink);
    if raw.recipes.is_empty() && sink.count() == 0 {
        sink.fault(
            At::nowhere(),
            "the kitchen has no recipes",
            "add `recipes:` with a list of recipes to one of its files",
        );
    }

    let families = spellings(
        food_drafts
            .iter()
            .filter_map(|draft| draft.family.as_deref()),
    );
    let forms = spellings(recipe_drafts.iter().map(|draft| draft.form.as_str()));
    let proteins = spellings(
        recipe_drafts
            .iter()
            .filter_map(|draft| draft.protein.as_deref()),
    );
    let mut larder = Contents {
        name: name.to_owned(),
        currency,
        wishes: aims::none(week.lunches),
        week,
        foods: Vec::with_capacity(food_drafts.len()).into(),
        packs: List::default(),
        stock: stock.into(),
        components: component_drafts
            .iter()
            .map(|draft| draft.component.clone())
            .collect(),
        recipes: Vec::with_capacity(recipe_drafts.len()).into(),
        families: families.names(),
        forms: forms.names(),
        proteins: proteins.names(),
        shops,
        equipment: Vec::new(),
    };
    for draft in &food_drafts {
        let mut food = draft.food.clone();
        let first = larder.packs.len() as u32;
        larder.packs.extend(draft.packs.iter().cloned());
        food.packs = first..larder.packs.len() as u32;
        food.family = draft
            .family
            .as_deref()
            .map(|name| FamilyId::new(families.find(name)));
        larder.foods.push(food);
    }
    for draft in &mut recipe_drafts {
        // Nothing asks the draft for them again, and they may be large.
        let steps = std::mem::take(&mut draft.recipe.steps);
        let mut recipe = draft.recipe.clone();
        recipe.steps = steps;
        recipe.form = FormId::new(forms.find(&draft.form));
        recipe.protein = draft
            .protein
            .as_deref()
            .map(|name| ProteinId::new(proteins.find(name)));
        larder.recipes.push(recipe);
    }
    unify(&mut larder, &tools);

    let mut wishes = aims::none(larder.week.lunches);
    let index = Index::new(&larder);
    if let Some(node) = raw.aims {
        aims::read(node, &larder, &index, frame, &mut wishes, sink);
    }
    if let Some(node) = raw.rules {
        let credits = Credits::of(&food_drafts);
        rules::read(node, &larder, &index, &credits, frame, &mut wishes, sink);
    }
    larder.wishes = wishes;
    if sink.count() > 0 {
        return None;
    }
    let nowhere = At::nowhere();
    let places = Places {
        foods: &food_drafts,
        components: &component_drafts,
        recipes: &recipe_drafts,
        tools: &tools,
        stock: &stock_at,
        aims: raw.aims.map_or(nowhere, |node| node.at),
        rules: raw.rules.map_or(nowhere, |node| node.at),
    };
    match Larder::checked(larder) {
        Ok(larder) => {
            hints::check(&larder, &places, sink);
            Some(larder)
        }
        Err(flaws) => {
            flaws::tell(&flaws, &places, sink);
            None
        }
    }
}

fn currency(raw: &Raw, sink: &mut Sink) -> Currency {
    let fallback = Currency {
        code: "USD".to_owned(),
        digits: 2,
    };
    let Some(node) = raw.currency else {
        if sink.count() == 0 {
            sink.fault(
                At::nowhere(),
                "no file names the `currency`",
                "add a line such as `currency: USD` (a code of ISO 4217) to one of the files",
            );
        }
        return fallback;
    };
    fields::text(node, "currency", limits::NAME, sink)
        .and_then(|code| sink.take(node.at, currency::find(code)))
        .unwrap_or(fallback)
}

/// Words that differ by capitals, spaces or how accents are put together only, each with the
/// spelling that is kept.
struct Spellings(BTreeMap<String, String>, HashMap<String, usize>);

/// Collects words; of several spellings the first in byte order is kept, so that file order
/// changes nothing.
fn spellings<'a>(words: impl Iterator<Item = &'a str>) -> Spellings {
    let mut map: BTreeMap<String, String> = BTreeMap::new();
    for word in words {
        let kept = map.entry(fold(word)).or_insert_with(|| word.to_owned());
        if word < kept.as_str() {
            word.clone_into(kept);
        }
    }
    let places = map.keys().cloned().zip(0..).collect();
    Spellings(map, places)
}

impl Spellings {
    fn names(&self) -> Vec<String> {
        self.0.values().cloned().collect()
    }

    fn find(&self, word: &str) -> usize {
        self.1.get(&fold(word)).copied().unwrap_or(0)
    }

    fn keep(&self, word: &mut String) {
        if let Some(kept) = self.0.get(&fold(word))
            && kept != word
        {
            kept.clone_into(word);
        }
    }
}

/// Gives each tag, allergen and piece of equipment one spelling throughout.
fn unify(larder: &mut Contents, tools: &Tools) {
    fn settle(list: &mut Vec<String>, spellings: &Spellings) {
        for word in list.iter_mut() {
            spellings.keep(word);
        }
        list.sort_unstable();
        list.dedup();
    }
    fn respell(steps: &mut [Step], spellings: &Spellings) {
        for step in steps {
            for word in &mut step.needs {
                spellings.keep(word);
            }
            step.needs.sort_unstable();
        }
    }
    let tags = larder.foods.iter().map(|food| &food.tags);
    let tags = tags.chain(larder.components.iter().map(|component| &component.tags));
    let tags = tags.chain(larder.recipes.iter().map(|recipe| &recipe.tags));
    let tags = spellings(tags.flatten().map(String::as_str));
    let allergens = larder.foods.iter().flat_map(|food| &food.allergens);
    let allergens = spellings(allergens.map(String::as_str));
    let needs = larder.components.iter().map(|component| &component.needs);
    let needs = needs.chain(larder.recipes.iter().map(|recipe| &recipe.needs));
    let counted = tools.names();
    let needs = spellings(needs.flatten().map(String::as_str).chain(counted));
    larder.equipment = needs
        .names()
        .into_iter()
        .map(|name| Equipment {
            count: tools.count(&name),
            name,
        })
        .collect();
    for food in &mut larder.foods {
        settle(&mut food.tags, &tags);
        settle(&mut food.allergens, &allergens);
    }
    for component in &mut larder.components {
        settle(&mut component.tags, &tags);
        settle(&mut component.needs, &needs);
        respell(&mut component.steps, &needs);
    }
    for recipe in &mut larder.recipes {
        settle(&mut recipe.tags, &tags);
        settle(&mut recipe.needs, &needs);
        respell(&mut recipe.steps, &needs);
    }
}
