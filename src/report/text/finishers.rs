//! The week finished with what is left: what goes on top, and what one more pack would bring.

use super::section::section as titled;
use crate::explain::{FinishedLunch, FinisherFacts};
use crate::larder::Currency;
use crate::report::grid::{self, Lean};
use crate::report::{sentences, words};

/// Returns the section.
pub(super) fn section(facts: &FinisherFacts, currency: &Currency) -> String {
    let rows: Vec<Vec<String>> = facts
        .lunches
        .iter()
        .map(|lunch| vec![words::short(&lunch.when), told(lunch)])
        .collect();
    let mut body = if rows.is_empty() {
        String::new()
    } else {
        grid::rows(&[Lean::Left, Lean::Left], rows)
    };
    let bought = facts.bought.iter();
    let offered = facts.offers.iter();
    body += &grid::list(
        std::iter::once(sentences::appeal(facts))
            .chain(bought.map(|offer| sentences::bought_to_finish(offer, currency)))
            .chain(offered.map(|offer| sentences::offered_to_finish(offer, currency))),
    );
    titled("Finished, with what is left", &body)
}

fn told(lunch: &FinishedLunch) -> String {
    let placed: Vec<String> = lunch
        .placed
        .iter()
        .map(|line| {
            format!(
                "{} {} ({}{})",
                line.food,
                line.written.replace(' ', &words::JOINT.to_string()),
                words::mass(line.all_mg),
                if line.staple { ", cupboard" } else { "" }
            )
        })
        .collect();
    let mut text = if placed.is_empty() {
        format!("{}: plain", lunch.recipe)
    } else {
        format!("{}: with {}", lunch.recipe, placed.join(", "))
    };
    if !lunch.left_off.is_empty() {
        text += "; without ";
        text += &words::and(&lunch.left_off);
    }
    if !lunch.new_allergens.is_empty() {
        text += ". ADDS ALLERGENS: ";
        text += &lunch.new_allergens.join(", ");
    }
    text
}
