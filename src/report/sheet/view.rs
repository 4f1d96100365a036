//! Chooses what stands where on the page, as texts; the template only places and escapes them.

use askama::Template;

use super::super::text::{nutrition, proof};
use super::super::{advice, measures, phrases, sentences, words};
use super::finished::{self, Finish};
use super::pictures::{self, Limits};
use super::wishes::{self, Wishes};
use crate::explain::{
    Explanation, LeftoverFacts, LeftoverTotals, LunchFacts, NutrientFacts, RecipeFacts, WeekFacts,
    When,
};
use crate::larder::{Nutrient, Per};
use crate::tradeoffs::Tradeoffs;

/// The page.
#[derive(Template)]
#[template(path = "sheet.html", config = "src/report/sheet/askama.toml")]
pub(super) struct Page {
    kitchen: String,
    verdict: String,
    figures: Vec<(&'static str, String)>,
    days: Vec<Day>,
    trips: Vec<Trip>,
    shopping_notes: Vec<String>,
    staples: Vec<Tick>,
    prep: Option<super::prep::PrepView>,
    batches: Vec<Card>,
    lunches: Vec<Card>,
    finished: Vec<String>,
    measures_note: &'static str,
    otherwise_note: &'static str,
    legend: Vec<(String, &'static str)>,
    packs: Vec<Bar>,
    /// Whether the bars hold what finishers take.
    finishers: bool,
    reuse_days: Vec<String>,
    reuse: Vec<Reuse>,
    nutrition: Vec<Grid>,
    charts: Vec<Chart>,
    nutrition_notes: Vec<String>,
    wishes: Option<Wishes>,
    no_wishes: &'static str,
    sure_title: &'static str,
    sure: Vec<String>,
    parts: Vec<(&'static str, String)>,
    currency: String,
    cautions: Vec<String>,
    sources: Vec<String>,
}

/// A day of the week's overview.
struct Day {
    id: String,
    name: String,
    lunch: String,
    taking: String,
    finish: String,
    facts: String,
    allergens: String,
    more_allergens: String,
}

/// A trip to the shop.
struct Trip {
    title: String,
    rows: Vec<Tick>,
}

/// Something to tick.
pub(super) struct Tick {
    pub(super) name: String,
    pub(super) what: String,
    pub(super) more: String,
}

/// A recipe on a card.
struct Card {
    id: String,
    title: String,
    day: String,
    head: String,
    rows: Vec<Ingredient>,
    steps: Vec<String>,
    otherwise: bool,
    finish: Option<Finish>,
}

/// A line of a recipe.
pub(super) struct Ingredient {
    pub(super) name: String,
    pub(super) note: String,
    pub(super) metric: String,
    pub(super) us: String,
}

/// A pack and its bar.
struct Bar {
    id: String,
    food: String,
    origin: String,
    picture: String,
    told: String,
}

/// A food across the lunches.
struct Reuse {
    food: String,
    lunches: usize,
    cells: Vec<String>,
}

/// A part of the nutrition table that fits a page.
struct Grid {
    heads: Vec<String>,
    rows: Vec<(String, Vec<String>)>,
    limits: bool,
}

/// A nutrient against the rule of every lunch.
struct Chart {
    id: String,
    title: String,
    picture: String,
    told: String,
}

/// The letters a day is known by: `Mon`.
pub(super) fn letters(when: &When) -> String {
    words::short(when)
}

pub(super) fn page(
    explanation: &Explanation,
    week: &WeekFacts,
    wishes: Option<&Tradeoffs>,
) -> Page {
    let currency = &explanation.currency;
    let mut sure = proof::lines(explanation, week);
    // The verdict stands at the head of the page already.
    sure.retain(|line| *line != sentences::verdict(explanation));
    let shown = shown(week);
    let mut nutrition_notes = nutrition::notes(week, &shown);
    let sources = nutrition_notes
        .iter()
        .filter(|note| is_source(note))
        .cloned()
        .chain(advice::sources(&week.advice))
        .collect();
    nutrition_notes.retain(|note| !is_source(note));
    Page {
        kitchen: explanation.kitchen.clone(),
        verdict: sentences::verdict(explanation),
        figures: figures(explanation, week),
        days: days(explanation, week),
        trips: trips(explanation, week),
        shopping_notes: shopping_notes(explanation, week),
        staples: staples(explanation, week),
        prep: super::prep::view(explanation),
        batches: batches(week),
        lunches: lunches(explanation, week),
        finished: finished::notes(explanation),
        measures_note: phrases::MEASURES,
        otherwise_note: phrases::OTHERWISE,
        legend: pictures::legend(),
        packs: packs(leftovers(explanation, week).0),
        finishers: explanation.finishers.is_some(),
        reuse_days: explanation
            .days
            .iter()
            .map(|(day, _)| letters(day))
            .collect(),
        reuse: reuse(week),
        nutrition: grids(week, &shown),
        charts: charts(&shown),
        nutrition_notes,
        wishes: wishes.map(wishes::wishes),
        no_wishes: phrases::NO_WISHES,
        sure_title: proof::title(explanation),
        sure,
        parts: proof::parts(explanation, week),
        currency: currency.code.clone(),
        cautions: sentences::old_batches(week)
            .into_iter()
            .chain(advice::all(&week.advice))
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .collect(),
        sources,
    }
}

fn is_source(note: &str) -> bool {
    note.starts_with("Limits from: ") || note.starts_with("Figures from: ")
}

fn figures(explanation: &Explanation, week: &WeekFacts) -> Vec<(&'static str, String)> {
    let currency = &explanation.currency;
    let money = |minor: i64| format!("{} {}", currency.code, words::money(minor, currency));
    let (bill, foods) = finished::bill(explanation, week);
    vec![
        ("to pay", money(bill)),
        ("foods to buy", foods.to_string()),
        ("active minutes", words::minutes(week.tally.minutes_nano)),
        (
            "spoils",
            words::mass(leftovers(explanation, week).1.spoiled_mg),
        ),
    ]
}

fn days(explanation: &Explanation, week: &WeekFacts) -> Vec<Day> {
    let one = |at: usize, lunch: &LunchFacts| Day {
        id: format!("lunch-{at}"),
        name: lunch.when.name.clone(),
        lunch: lunch.recipe.clone(),
        taking: lunch
            .lines
            .iter()
            .filter_map(|line| {
                let first = line.instead_of.as_ref()?;
                Some(format!("{}, not {first}", line.taken.name()))
            })
            .collect::<Vec<_>>()
            .join("; "),
        finish: finished::on(explanation, lunch).map_or(String::new(), phrases::finish_with),
        facts: format!(
            "{} · {}\u{a0}min · {}\u{a0}{} · {} · protein\u{a0}{}",
            lunch.form,
            words::minutes(lunch.minutes_nano),
            explanation.currency.code,
            words::money_nano(lunch.portion_cost_nano, &explanation.currency),
            amount(week, Nutrient::Energy, at),
            amount(week, Nutrient::Protein, at),
        ),
        allergens: if lunch.allergens.is_empty() {
            "none in the kitchen's data".to_owned()
        } else {
            lunch.allergens.join(", ")
        },
        more_allergens: finished::on(explanation, lunch)
            .map_or(String::new(), |finished| finished.new_allergens.join(", ")),
    };
    let all = week.lunches.iter().enumerate();
    all.map(|(at, lunch)| one(at, lunch)).collect()
}

fn amount(week: &WeekFacts, nutrient: Nutrient, day: usize) -> String {
    let facts = week.nutrition.get(nutrient.index());
    let amount = facts.and_then(|facts| facts.lunches.get(day));
    amount.map_or(String::new(), |amount| {
        let mark = if amount.incomplete { "+" } else { "" };
        format!("{}{mark}", words::nutrient(amount.milli, nutrient))
    })
}

fn trips(explanation: &Explanation, week: &WeekFacts) -> Vec<Trip> {
    let lunches = explanation.days.len();
    explanation
        .trips
        .iter()
        .enumerate()
        .map(|(trip, when)| Trip {
            title: if explanation.trips.len() == 1 {
                when.name.clone()
            } else {
                format!("Trip {}: {}", trip + 1, when.name)
            },
            rows: week
                .purchases
                .iter()
                .filter(|row| row.trip == trip)
                .map(|row| Tick {
                    name: row.food.clone(),
                    what: phrases::buy(row),
                    more: format!(
                        "{} · feeds {}",
                        words::money(row.price_minor, &explanation.currency),
                        words::feeds(&row.serves, lunches)
                    ),
                })
                .chain(finished::to_buy(explanation, when))
                .collect(),
        })
        .filter(|trip| !trip.rows.is_empty())
        .collect()
}

fn shopping_notes(explanation: &Explanation, week: &WeekFacts) -> Vec<String> {
    let total = format!(
        "Total {} {}. {}",
        explanation.currency.code,
        words::money(week.tally.packs_minor, &explanation.currency),
        sentences::counted(week)
    );
    let mut notes = vec![total];
    notes.extend(finished::bought(explanation));
    notes.extend(sentences::reuse(&week.purchases));
    notes
}

fn staples(explanation: &Explanation, week: &WeekFacts) -> Vec<Tick> {
    week.staples
        .iter()
        .map(|row| Tick {
            name: row.food.clone(),
            what: words::mass(row.mg),
            more: words::feeds(&row.serves, explanation.days.len()),
        })
        .collect()
}

fn card(id: String, head: String, recipe: &RecipeFacts) -> Card {
    Card {
        id,
        title: recipe.name.clone(),
        day: recipe.when.name.clone(),
        head,
        rows: recipe
            .lines
            .iter()
            .map(|line| Ingredient {
                name: line.taken.name().to_owned(),
                note: phrases::ingredient_note(line),
                metric: measures::metric(&line.amount),
                us: measures::us(&line.amount),
            })
            .collect(),
        steps: recipe.steps.clone(),
        otherwise: phrases::otherwise(recipe),
        finish: None,
    }
}

fn lunches(explanation: &Explanation, week: &WeekFacts) -> Vec<Card> {
    let recipes = week.cook.lunches.iter().zip(&week.lunches).enumerate();
    recipes
        .map(|(at, (recipe, lunch))| {
            let plain = card(format!("lunch-{at}"), phrases::lunch_head(lunch), recipe);
            Card {
                finish: finished::on(explanation, lunch).map(finished::card),
                ..plain
            }
        })
        .collect()
}

/// What is left of every pack: of the finished week, if there is one.
fn leftovers<'a>(
    explanation: &'a Explanation,
    week: &'a WeekFacts,
) -> (&'a [LeftoverFacts], &'a LeftoverTotals) {
    match &explanation.finishers {
        Some(facts) => (&facts.leftovers, &facts.leftover_totals),
        None => (&week.leftovers, &week.leftover_totals),
    }
}

fn batches(week: &WeekFacts) -> Vec<Card> {
    let recipes = week.cook.batches.iter().zip(&week.batches).enumerate();
    recipes
        .map(|(at, (recipe, batch))| {
            card(format!("batch-{at}"), phrases::batch_head(batch), recipe)
        })
        .collect()
}

fn packs(leftovers: &[LeftoverFacts]) -> Vec<Bar> {
    let all = leftovers.iter().enumerate();
    all.map(|(at, left)| {
        let id = format!("pack-{at}");
        Bar {
            food: left.food.clone(),
            origin: phrases::origin(left),
            picture: pictures::pack(left, &id),
            told: phrases::pack(left),
            id,
        }
    })
    .collect()
}

fn reuse(week: &WeekFacts) -> Vec<Reuse> {
    week.cook
        .reuse
        .iter()
        .map(|row| Reuse {
            food: row.food.clone(),
            lunches: row.lunches_mg.iter().filter(|&&mg| mg > 0).count(),
            cells: row
                .lunches_mg
                .iter()
                .map(|&mg| {
                    if mg > 0 {
                        words::mass(mg)
                    } else {
                        String::new()
                    }
                })
                .collect(),
        })
        .collect()
}

fn shown(week: &WeekFacts) -> Vec<&NutrientFacts> {
    week.nutrition
        .iter()
        .filter(|facts| nutrition::SHOWN.contains(&facts.nutrient) || !facts.rules.is_empty())
        .collect()
}

/// Lunches that fit beside each other on paper.
const ACROSS: usize = 7;

fn grids(week: &WeekFacts, shown: &[&NutrientFacts]) -> Vec<Grid> {
    let starts = (0..week.lunches.len()).step_by(ACROSS);
    starts
        .map(|start| {
            let end = (start + ACROSS).min(week.lunches.len());
            let last = end == week.lunches.len();
            let days = |lunches: &[LunchFacts]| -> Vec<String> {
                let part = lunches.get(start..end).unwrap_or_default();
                part.iter().map(|lunch| letters(&lunch.when)).collect()
            };
            let mut heads = days(&week.lunches);
            if last {
                heads.extend(["Mean".to_owned(), "Limits".to_owned()]);
            }
            Grid {
                heads,
                rows: shown
                    .iter()
                    .map(|facts| {
                        let label = format!("{} {}", facts.nutrient.label(), facts.nutrient.unit());
                        (label, cells(facts, start..end, last))
                    })
                    .collect(),
                limits: last,
            }
        })
        .collect()
}

fn cells(facts: &NutrientFacts, days: std::ops::Range<usize>, last: bool) -> Vec<String> {
    let amounts = facts.lunches.get(days).unwrap_or_default();
    let mut cells: Vec<String> = amounts
        .iter()
        .map(|amount| {
            let mark = if amount.incomplete { "+" } else { "" };
            format!("{}{mark}", words::amount(amount.milli))
        })
        .collect();
    if last {
        cells.push(nutrition::mean(facts));
        cells.push(nutrition::limits(&facts.rules));
    }
    cells
}

fn charts(shown: &[&NutrientFacts]) -> Vec<Chart> {
    let ruled = shown.iter().filter(|facts| !facts.rules.is_empty());
    ruled
        .map(|facts| {
            let limits = |per: Per| {
                let mine = || facts.rules.iter().filter(|rule| rule.per == per);
                Limits {
                    floor: mine().filter_map(|rule| rule.at_least_milli).max(),
                    ceiling: mine().filter_map(|rule| rule.at_most_milli).min(),
                }
            };
            let id = format!("chart-{}", facts.nutrient.index());
            let picture = pictures::nutrient(
                &facts.lunches,
                limits(Per::Lunch),
                (facts.mean_milli, limits(Per::Week)),
                &id,
            );
            Chart {
                title: capital(facts.nutrient),
                told: phrases::chart(facts, &nutrition::limits(&facts.rules)),
                picture,
                id,
            }
        })
        .collect()
}

fn capital(nutrient: Nutrient) -> String {
    phrases::capital(nutrient.label())
}
