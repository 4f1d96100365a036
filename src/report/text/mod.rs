//! The week as a cook reads it, top to bottom: eat, buy, cook, keep, trust.

mod changes;
mod cooking;
pub(super) mod credits;
mod finishers;
mod first;
mod leftovers;
mod list;
mod lunches;
pub(super) mod nutrition;
mod prep;
pub(super) mod proof;
mod recipes;
mod row;
mod section;
mod shopping;
mod trade_screen;
mod tradeoffs;

pub(super) use first::{first, first_end};
pub(super) use list::list;
pub(super) use prep::prep;
pub(super) use recipes::{collection, recipes};
pub(super) use row::row;
pub(super) use trade_screen::trade_screen;
pub(super) use tradeoffs::tradeoffs;

use section::section;

use super::grid;
use super::look::{Screen, Tone};
use super::{advice, sentences, trade_sentences};
use crate::explain::Explanation;

/// A part of the whole report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// What is eaten when.
    Lunches,
    /// What is bought, and staples.
    List,
    /// What is cooked ahead, and minutes.
    Batches,
    /// What goes into each box.
    Boxes,
    /// What the packs leave.
    Leftovers,
    /// Nutrition, food groups and allergens.
    Nutrition,
    /// What was proved, and what the total is made of.
    Proof,
    /// Cautions in full.
    Cautions,
}

/// All parts, in their order.
pub(super) const PARTS: [Part; 8] = [
    Part::Lunches,
    Part::List,
    Part::Batches,
    Part::Boxes,
    Part::Leftovers,
    Part::Nutrition,
    Part::Proof,
    Part::Cautions,
];

/// Returns the whole report, at most 80 characters wide, ending in a line break.
pub(super) fn text(explanation: &Explanation) -> String {
    parts(explanation, &PARTS)
}

/// Returns parts of it, in its order.
pub(super) fn parts(explanation: &Explanation, wanted: &[Part]) -> String {
    let mut parts = vec![heading(explanation)];
    parts.extend(changes::section(explanation));
    let Some(week) = &explanation.week else {
        parts.extend(none(explanation));
        return parts.join("\n");
    };
    for part in PARTS.iter().filter(|part| wanted.contains(part)) {
        match part {
            Part::Lunches => parts.push(lunches::section(explanation, week)),
            Part::List => parts.extend(shopping::sections(explanation, week)),
            Part::Batches => parts.extend(cooking::section(week, explanation.prep.as_ref())),
            Part::Boxes => {
                parts.push(lunches::boxes(week));
                if let Some(facts) = &explanation.finishers {
                    parts.push(finishers::section(facts, &explanation.currency));
                }
            }
            Part::Leftovers => parts.extend(leftovers::section(explanation, week)),
            Part::Nutrition => {
                parts.push(nutrition::section(week));
                parts.extend(credits::section(week));
                parts.push(nutrition::allergens(week));
            }
            Part::Proof => parts.push(proof::section(explanation, week)),
            Part::Cautions => parts.push(section(
                "Cautions",
                &grid::list(
                    sentences::old_batches(week)
                        .into_iter()
                        .chain(advice::in_short(&week.advice))
                        .chain(sentences::CAUTIONS.map(str::to_owned)),
                ),
            )),
        }
    }
    parts.join("\n")
}

/// What there is to say where there is no week: what was looked at, and what to do about it.
fn none(explanation: &Explanation) -> Vec<String> {
    let mut parts = vec![grid::paragraph(&sentences::effort(explanation))];
    parts.extend(instead(explanation));
    parts
}

/// What there is to say of rules that clash and of ways out, and what is left to the cook.
fn instead(explanation: &Explanation) -> Vec<String> {
    let conflict = explanation.conflict.iter();
    let conflict = conflict.map(|one| tradeoffs::conflict_body(one, &explanation.currency));
    let advice = sentences::advice(explanation).map(grid::paragraph);
    conflict.chain(advice).collect()
}

/// Returns what can be said of a run without a week before rules that clash are looked for.
pub(super) fn verdict(explanation: &Explanation) -> Screen {
    let mut screen = Screen::default();
    screen.add(Tone::Mind, &heading(explanation));
    if let Some(section) = changes::section(explanation) {
        screen.gap();
        screen.table(&section);
    }
    screen.gap();
    screen.add(
        Tone::Plain,
        &grid::paragraph(&sentences::effort(explanation)),
    );
    screen
}

/// Returns what stands under it: the rules that clash, and the ways out.
pub(super) fn ways_told(explanation: &Explanation) -> String {
    let told = instead(explanation);
    told.iter().flat_map(|part| ["\n", part]).collect()
}

/// Returns what stands after the report of a proved week: what changes would cost.
pub(super) fn changes_told(explanation: &Explanation) -> String {
    let told = explanation.telling.iter();
    let told = told.map(|told| trade_sentences::telling(told, &explanation.currency));
    let none = explanation.telling.is_empty();
    let told = told.chain(none.then(|| trade_sentences::NOT_TOLD.to_owned()));
    format!(
        "\n{}",
        section("What a change would cost", &grid::list(told))
    )
}

fn heading(explanation: &Explanation) -> String {
    let mut text = grid::paragraph(&explanation.kitchen);
    text += &grid::paragraph(&sentences::verdict(explanation));
    text
}
