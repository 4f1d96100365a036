//! Trade-offs on the page: the frontier as plot and table, and what doing without each food
//! costs. Nothing says more than was proved.

use super::super::{phrases, trade_sentences as say, words};
use super::plot::{self, Spot};
use crate::larder::{Currency, NANO};
use crate::tradeoffs::{Brief, Case, FoodPrice, Frontier, Proof, Tradeoffs};

/// What there is to say.
pub(super) struct Wishes {
    pub(super) opening: String,
    pub(super) frontier: Option<Plot>,
    pub(super) foods: Vec<Without>,
    pub(super) columns: &'static str,
    pub(super) end: String,
}

/// The frontier.
pub(super) struct Plot {
    pub(super) sentences: Vec<String>,
    /// Empty if no point was settled.
    pub(super) picture: String,
    pub(super) told: String,
    pub(super) points: Vec<Row>,
    pub(super) knees: String,
}

/// A point of it.
pub(super) struct Row {
    pub(super) figures: Vec<String>,
    pub(super) chosen: bool,
    pub(super) lunches: String,
}

/// A food and the week without it.
pub(super) struct Without {
    pub(super) food: String,
    /// Objective, bill, foods, spoiled: how much more.
    pub(super) figures: Vec<String>,
    pub(super) instead: String,
}

pub(super) fn wishes(told: &Tradeoffs) -> Wishes {
    let currency = &told.currency;
    let frontier = told.frontier.as_ref();
    let foods = told.foods.iter().flatten();
    Wishes {
        opening: say::opening(told),
        frontier: frontier.map(|frontier| plot(frontier, told.week.as_ref(), currency)),
        foods: foods.map(|price| without(price, currency)).collect(),
        columns: say::COLUMNS,
        end: say::effort(told),
    }
}

fn plot(frontier: &Frontier, week: Option<&Brief>, currency: &Currency) -> Plot {
    let mut spots: Vec<Spot> = frontier
        .points
        .iter()
        .map(|point| Spot {
            bill_minor: point.bill_minor,
            spoiled_nano: point.spoiled_nano,
            foods: point.foods,
            chosen: point.chosen,
            point: true,
        })
        .collect();
    let picture = if spots.is_empty() {
        String::new()
    } else {
        if let Some(week) = week.filter(|_| !frontier.has_chosen) {
            spots.push(Spot {
                bill_minor: week.sums.packs_minor,
                spoiled_nano: week.sums.spoiled_nano,
                foods: week.sums.foods,
                chosen: true,
                point: false,
            });
        }
        plot::frontier(&spots, currency, "frontier-told")
    };
    Plot {
        sentences: say::frontier(frontier),
        picture,
        told: phrases::plot(frontier, currency),
        points: rows(frontier, week, currency),
        knees: say::knees(&frontier.knees, currency).unwrap_or_default(),
    }
}

/// The points by bill, the chosen week among them wherever it stands.
fn rows(frontier: &Frontier, week: Option<&Brief>, currency: &Currency) -> Vec<Row> {
    let row = |(bill, foods, spoiled): (i64, i64, i64), chosen: bool, week: &Brief| Row {
        figures: vec![
            words::money(bill, currency),
            words::grouped(foods),
            words::money_nano(spoiled, currency),
        ],
        chosen,
        lunches: say::lunches(week),
    };
    let mut rows: Vec<(i64, Row)> = frontier
        .points
        .iter()
        .map(|point| {
            let figures = (point.bill_minor, point.foods, point.spoiled_nano);
            (point.bill_minor, row(figures, point.chosen, &point.week))
        })
        .collect();
    if let Some(week) = week.filter(|_| !frontier.has_chosen) {
        let sums = &week.sums;
        let figures = (sums.packs_minor, sums.foods, sums.spoiled_nano);
        rows.push((sums.packs_minor, row(figures, true, week)));
    }
    rows.sort_by_key(|&(bill, _)| bill);
    rows.into_iter().map(|(_, row)| row).collect()
}

fn without(price: &FoodPrice, currency: &Currency) -> Without {
    let case = &price.without;
    Without {
        food: if price.bought {
            price.food.clone()
        } else {
            format!("{} (on hand)", price.food)
        },
        figures: figures(case, currency),
        instead: say::instead(case),
    }
}

fn figures(case: &Case, currency: &Currency) -> Vec<String> {
    let more = case.more.filter(|_| case.proof == Proof::Best);
    let figure = |text: Option<String>| text.unwrap_or_default();
    vec![
        say::difference(case, currency),
        figure(more.map(|more| say::signed(more.packs_minor.saturating_mul(NANO), currency))),
        figure(more.map(|more| say::counted(more.foods))),
        figure(more.map(|more| say::signed(more.spoiled_nano, currency))),
    ]
}
