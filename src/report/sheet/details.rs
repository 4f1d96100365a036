//! What is looked up rarely: nutrition and food groups, what is taken from the packs when, how sure the
//! week is, cautions in full, sources.

use super::super::text::{credits, nutrition, proof};
use super::super::{advice, phrases, sentences, words};
use super::{finished, left};
use crate::explain::{Explanation, LeftoverFacts, LunchFacts, NutrientFacts, WeekFacts, When};

/// The part.
pub(super) struct Details {
    pub(super) nutrition: Vec<Grid>,
    pub(super) nutrition_notes: Vec<String>,
    pub(super) groups: Vec<Grid>,
    pub(super) group_notes: Vec<String>,
    pub(super) taken_days: Vec<String>,
    pub(super) taken: Vec<(String, Vec<String>)>,
    pub(super) finished: Vec<String>,
    pub(super) instead: Vec<String>,
    pub(super) sure_title: &'static str,
    pub(super) sure: Vec<String>,
    pub(super) parts: Vec<(&'static str, String)>,
    pub(super) cautions: Vec<String>,
    pub(super) sources: Vec<String>,
}

/// A part of a table by lunch day that fits a page.
pub(super) struct Grid {
    pub(super) heads: Vec<String>,
    pub(super) rows: Vec<(String, Vec<String>)>,
    pub(super) limits: bool,
}

pub(super) fn details(explanation: &Explanation, week: &WeekFacts) -> Details {
    let shown: Vec<&NutrientFacts> = week
        .nutrition
        .iter()
        .filter(|facts| nutrition::SHOWN.contains(&facts.nutrient) || !facts.rules.is_empty())
        .collect();
    let all = nutrition::notes(week, &shown);
    let (sources, nutrition_notes): (Vec<String>, Vec<String>) =
        all.into_iter().partition(|note| is_source(note));
    let mut sure = proof::lines(explanation, week);
    sure.push(sentences::ROUNDED.to_owned());
    let (taken_days, taken) = taken(left::leftovers(explanation, week).0);
    Details {
        nutrition: nutrition(explanation, week, &shown),
        nutrition_notes,
        groups: groups(week),
        group_notes: credits::notes(week),
        taken_days,
        taken,
        finished: finished::notes(explanation),
        instead: instead(week),
        sure_title: proof::title(explanation),
        sure,
        parts: proof::parts(explanation, week),
        cautions: sentences::old_batches(week)
            .into_iter()
            .chain(advice::all(&week.advice))
            .chain(sentences::CAUTIONS.map(str::to_owned))
            .collect(),
        sources: sources
            .into_iter()
            .chain(advice::sources(&week.advice))
            .collect(),
    }
}

fn is_source(note: &str) -> bool {
    note.starts_with("Limits from: ") || note.starts_with("Figures from: ")
}

/// Lunches that fit beside each other on paper.
const ACROSS: usize = 7;

/// A row: its label, a cell a lunch, and cells of the week.
type Row = (String, Vec<String>, [String; 2]);

/// A table by lunch day, what is said of the week behind the last day.
fn grids(lunches: &[LunchFacts], of_week: [&str; 2], rows: &[Row]) -> Vec<Grid> {
    let starts = (0..lunches.len()).step_by(ACROSS);
    starts
        .map(|start| {
            let end = (start + ACROSS).min(lunches.len());
            let last = end == lunches.len();
            let part = lunches.get(start..end).unwrap_or_default();
            let mut heads: Vec<String> = part.iter().map(|one| words::short(&one.when)).collect();
            if last {
                heads.extend(of_week.map(str::to_owned));
            }
            Grid {
                heads,
                rows: rows
                    .iter()
                    .map(|(label, cells, week)| {
                        let mut cells = cells.get(start..end).unwrap_or_default().to_vec();
                        if last {
                            cells.extend(week.clone());
                        }
                        (label.clone(), cells)
                    })
                    .collect(),
                limits: last,
            }
        })
        .collect()
}

/// What a portion costs and gives.
fn nutrition(explanation: &Explanation, week: &WeekFacts, shown: &[&NutrientFacts]) -> Vec<Grid> {
    let currency = &explanation.currency;
    let costs = week.lunches.iter();
    let costs: Vec<String> = costs
        .map(|lunch| words::cash_nano(lunch.portion_cost_nano, currency))
        .collect();
    let mut rows = vec![("cost".to_owned(), costs, [String::new(), String::new()])];
    rows.extend(shown.iter().map(|facts| {
        let cells = facts.lunches.iter().map(|amount| {
            let mark = if amount.incomplete { "+" } else { "" };
            format!("{}{mark}", words::amount(amount.milli))
        });
        (
            format!("{} {}", facts.nutrient.label(), facts.nutrient.unit()),
            cells.collect(),
            [nutrition::mean(facts), nutrition::limits(&facts.rules)],
        )
    }));
    grids(&week.lunches, ["Mean", "Limits"], &rows)
}

/// Food groups and shares of energy that rules ask for.
fn groups(week: &WeekFacts) -> Vec<Grid> {
    if week.credits.is_empty() {
        return Vec::new();
    }
    let rows = week.credits.iter().map(|facts| {
        let cells = facts.lunches.iter();
        (
            credits::label(facts),
            cells.map(|&milli| words::hundredths(milli)).collect(),
            [words::hundredths(facts.week_milli), credits::limits(facts)],
        )
    });
    grids(&week.lunches, ["Week", "Limits"], &rows.collect::<Vec<_>>())
}

/// What is taken from the packs of each food on which day: the bars of the packs as figures.
fn taken(packs: &[LeftoverFacts]) -> (Vec<String>, Vec<(String, Vec<String>)>) {
    let draws = packs.iter().flat_map(|left| &left.draws);
    let mut days: Vec<&When> = draws
        .filter(|draw| draw.1 > 0)
        .map(|draw| &draw.0)
        .collect();
    days.sort();
    days.dedup();
    let mut foods: Vec<(&str, Vec<i64>)> = Vec::new();
    for left in packs {
        let at = if let Some(at) = foods.iter().position(|food| food.0 == left.food) {
            at
        } else {
            foods.push((&left.food, vec![0; days.len()]));
            foods.len() - 1
        };
        for (when, mg) in &left.draws {
            if let Some(day) = days.iter().position(|day| *day == when) {
                foods[at].1[day] += mg;
            }
        }
    }
    foods.retain(|food| food.1.iter().any(|&mg| mg > 0));
    let cell = |&mg: &i64| match mg {
        0 => String::new(),
        mg => words::mass(mg),
    };
    let rows = foods.into_iter();
    (
        days.into_iter().map(words::short).collect(),
        rows.map(|(food, cells)| (food.to_owned(), cells.iter().map(cell).collect()))
            .collect(),
    )
}

/// Lines that are filled otherwise than first written.
fn instead(week: &WeekFacts) -> Vec<String> {
    let lunches = week.lunches.iter();
    lunches
        .filter_map(|lunch| {
            let taken = phrases::instead(lunch)?;
            Some(format!("{}: {taken}.", words::short(&lunch.when)))
        })
        .collect()
}
