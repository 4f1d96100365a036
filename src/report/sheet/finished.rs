//! The lunches finished: what goes on top from what is left, and what one more pack would lift.

use super::super::{amounts, phrases, sentences, words};
use super::lines::{Content, Tick};
use crate::explain::{Explanation, FinishedLunch, FinisherLine, LunchFacts, Measured, WeekFacts};

/// A lunch finished; none if finishers were not asked for or its recipe has none.
pub(super) fn on<'a>(
    explanation: &'a Explanation,
    lunch: &LunchFacts,
) -> Option<&'a FinishedLunch> {
    let all = explanation.finishers.as_ref()?.lunches.iter();
    all.clone().find(|finished| finished.when == lunch.when)
}

/// What goes on top, as the cook wrote it for a portion.
pub(super) fn content(line: &FinisherLine) -> Content {
    Content {
        name: line.food.clone(),
        amount: amounts::compact(&words::joint(&line.written)),
        note: if line.staple {
            "from the cupboard".to_owned()
        } else {
            String::new()
        },
    }
}

/// What all of it comes to, and what one more pack would bring.
pub(super) fn notes(explanation: &Explanation) -> Vec<String> {
    let currency = &explanation.currency;
    let Some(facts) = &explanation.finishers else {
        return Vec::new();
    };
    if facts.lunches.is_empty() {
        return Vec::new();
    }
    let offers = facts.offers.iter();
    let lacking = facts
        .lunches
        .iter()
        .filter(|lunch| !lunch.left_off.is_empty());
    let lacking = lacking.map(|lunch| {
        let plain = if lunch.placed.is_empty() {
            "goes out plain. "
        } else {
            ""
        };
        let without = phrases::without(&lunch.left_off);
        format!("{}: {plain}{without}", words::short(&lunch.when))
    });
    std::iter::once(phrases::finished(facts))
        .chain(lacking)
        .chain(offers.map(|offer| sentences::offered_to_finish(offer, currency)))
        .collect()
}

/// Packs bought for finishers on a trip.
pub(super) fn to_buy(explanation: &Explanation, trip: usize) -> impl Iterator<Item = Tick> + '_ {
    let facts = explanation.finishers.iter();
    let all = facts.flat_map(|facts| &facts.bought);
    all.filter(move |offer| offer.trip == trip)
        .map(|offer| Tick {
            name: offer.food.clone(),
            what: match offer.count {
                1 => offer.pack.clone(),
                count => format!("{count} x {}", offer.pack),
            },
            price: words::cash(offer.price_minor, &explanation.currency),
            days: format!("to finish {}", words::days(&offer.lifts)),
        })
}

/// What they add to the bill.
pub(super) fn bought(explanation: &Explanation) -> Option<String> {
    let facts = explanation.finishers.as_ref()?;
    (!facts.bought.is_empty()).then(|| phrases::bought(facts, &explanation.currency))
}

/// What they take from the cupboard, for all.
pub(super) fn from_cupboard(explanation: &Explanation) -> Vec<(&str, &Measured)> {
    let lunches = (explanation.finishers.iter()).flat_map(|facts| &facts.lunches);
    let lines = lunches.flat_map(|lunch| &lunch.placed);
    lines
        .filter(|line| line.staple)
        .map(|line| (line.food.as_str(), &line.amount))
        .collect()
}

/// The bill in minor units and the counted foods bought, finishers and all.
pub(super) fn bill(explanation: &Explanation, week: &WeekFacts) -> (i64, i64) {
    match &explanation.finishers {
        Some(facts) => (facts.packs_minor, facts.foods),
        None => (week.tally.packs_minor, week.tally.foods),
    }
}
