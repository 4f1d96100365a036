//! Other weeks on the page: the cheapest, the one of fewest foods and the one that throws out least
//! beside the chosen one, and what doing without each food costs. Nothing says more than was proved.

use super::super::{phrases, trade_sentences as say, words};
use crate::explain::WeekFacts;
use crate::larder::{Currency, NANO};
use crate::tradeoffs::{Case, FoodPrice, Frontier, Proof, Tradeoffs};

/// What there is to say.
pub(super) struct Wishes {
    pub(super) opening: String,
    pub(super) frontier: Option<Choices>,
    pub(super) foods: Vec<Without>,
    pub(super) columns: &'static str,
    pub(super) end: String,
}

/// The choices of the frontier.
pub(super) struct Choices {
    pub(super) sentences: Vec<String>,
    /// The chosen week and what else may be chosen.
    pub(super) rows: Vec<Choice>,
    pub(super) knees: String,
}

/// A week to choose.
pub(super) struct Choice {
    pub(super) name: String,
    pub(super) chosen: bool,
    /// Bill, foods, thrown out.
    pub(super) figures: [String; 3],
    pub(super) lunches: String,
}

/// A food and the week without it.
pub(super) struct Without {
    pub(super) food: String,
    /// Objective, bill, foods, spoiled: how much more.
    pub(super) figures: Vec<String>,
    pub(super) instead: String,
}

pub(super) fn wishes(told: &Tradeoffs, week: &WeekFacts) -> Wishes {
    let currency = &told.currency;
    let frontier = told.frontier.as_ref();
    let foods = told.foods.iter().flatten();
    Wishes {
        opening: say::opening(told),
        frontier: frontier.map(|frontier| choices(frontier, week, currency)),
        foods: foods.map(|price| without(price, currency)).collect(),
        columns: say::COLUMNS,
        end: say::effort(told),
    }
}

fn choices(frontier: &Frontier, week: &WeekFacts, currency: &Currency) -> Choices {
    let figures = |(bill, foods, spoiled): (i64, i64, i64)| {
        [
            words::cash(bill, currency),
            words::grouped(foods),
            words::cash_nano(spoiled, currency),
        ]
    };
    let sums = &week.tally;
    let mut rows = vec![Choice {
        name: phrases::CHOSEN.to_owned(),
        chosen: true,
        figures: figures((
            sums.packs_minor,
            sums.foods,
            week.leftover_totals.spoiled_nano,
        )),
        // The week of this page, day by day: another with these figures may have other days.
        lunches: say::by_day(week.lunches.iter().map(|one| (&one.when, &one.recipe))),
    }];
    let mut named: Vec<(usize, Vec<&str>)> = Vec::new();
    for (at, name) in frontier.choices().into_iter().zip(phrases::CHOICES) {
        match named.iter_mut().find(|(known, _)| Some(*known) == at) {
            Some((_, names)) => names.push(name),
            None => named.extend(at.map(|at| (at, vec![name]))),
        }
    }
    for (at, names) in named {
        let point = &frontier.points[at];
        let name = phrases::capital(&words::and(&names));
        if point.chosen {
            rows[0].name = format!("{} ({})", phrases::CHOSEN, words::and(&names));
            continue;
        }
        rows.push(Choice {
            name,
            chosen: false,
            figures: figures((point.bill_minor, point.foods, point.spoiled_nano)),
            lunches: say::lunches(&point.week),
        });
    }
    if frontier.points.is_empty() {
        rows.clear();
    }
    Choices {
        sentences: say::frontier(frontier),
        rows,
        knees: say::knees(&frontier.knees, currency).unwrap_or_default(),
    }
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
