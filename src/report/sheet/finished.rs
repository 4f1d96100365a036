//! The lunches finished: what goes on top from what is left, and what one more pack would lift.

use super::super::{measures, phrases, sentences, words};
use super::view::{Ingredient, Tick};
use crate::explain::{Explanation, FinishedLunch, LunchFacts, WeekFacts, When};

/// What goes on a lunch.
pub(super) struct Finish {
    pub(super) rows: Vec<Ingredient>,
    pub(super) adds: String,
    pub(super) without: String,
}

/// A lunch finished; none if finishers were not asked for or its recipe has none.
pub(super) fn on<'a>(
    explanation: &'a Explanation,
    lunch: &LunchFacts,
) -> Option<&'a FinishedLunch> {
    let all = explanation.finishers.as_ref()?.lunches.iter();
    all.clone().find(|finished| finished.when == lunch.when)
}

/// The part of a lunch's card.
pub(super) fn card(lunch: &FinishedLunch) -> Finish {
    Finish {
        rows: lunch
            .placed
            .iter()
            .map(|line| Ingredient {
                name: line.food.clone(),
                note: phrases::finisher_note(line),
                metric: measures::metric(&line.amount),
                us: measures::us(&line.amount),
            })
            .collect(),
        adds: lunch.new_allergens.join(", "),
        without: if lunch.left_off.is_empty() {
            String::new()
        } else {
            phrases::without(&lunch.left_off)
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
        return vec![phrases::NO_FINISHERS.to_owned()];
    }
    let offers = facts.offers.iter();
    std::iter::once(phrases::finished(facts))
        .chain(offers.map(|offer| sentences::offered_to_finish(offer, currency)))
        .collect()
}

/// Packs bought for finishers on a trip.
pub(super) fn to_buy<'a>(
    explanation: &'a Explanation,
    trip: &'a When,
) -> impl Iterator<Item = Tick> + 'a {
    let facts = explanation.finishers.iter();
    let all = facts.flat_map(|facts| &facts.bought);
    all.filter(move |offer| offer.when == *trip)
        .map(|offer| Tick {
            name: offer.food.clone(),
            what: format!("{} x {}", offer.count, offer.pack),
            more: format!(
                "{} · to finish {}",
                words::money(offer.price_minor, &explanation.currency),
                words::days(&offer.lifts)
            ),
        })
}

/// What they add to the bill.
pub(super) fn bought(explanation: &Explanation) -> Option<String> {
    let facts = explanation.finishers.as_ref()?;
    (!facts.bought.is_empty()).then(|| phrases::bought(facts, &explanation.currency))
}

/// The bill in minor units and the counted foods bought, finishers and all.
pub(super) fn bill(explanation: &Explanation, week: &WeekFacts) -> (i64, i64) {
    match &explanation.finishers {
        Some(facts) => (facts.packs_minor, facts.foods),
        None => (week.tally.packs_minor, week.tally.foods),
    }
}
