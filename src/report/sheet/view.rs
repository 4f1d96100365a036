//! Puts the page together, as texts; the templates only place and escape them.

use askama::Template;
use uuid::Uuid;

use super::super::{amounts, phrases, sentences, words};
use super::boxes::{self, Boxes};
use super::cook::{self, Cook};
use super::details::{self, Details};
use super::finished;
use super::left::{self, Left};
use super::shop::{self, Shop};
use super::wishes::{self, Wishes};
use crate::explain::{Explanation, Verdict, WeekFacts};
use crate::tradeoffs::Tradeoffs;
use crate::unicode::bare;

/// The page.
#[derive(Template)]
#[template(path = "sheet.html", config = "src/report/sheet/askama.toml")]
pub(super) struct Page {
    kitchen: String,
    portions: String,
    verdict: String,
    figures: Vec<(String, String)>,
    boxes: Boxes,
    shop: Shop,
    cook: Cook,
    left: Left,
    details: Details,
    wishes: Option<Wishes>,
    no_wishes: &'static str,
    short_cautions: Vec<String>,
    /// Under which ticks are kept: the kitchen, and this week of it.
    keeper: String,
    keeps: String,
}

pub(super) fn page(
    explanation: &Explanation,
    week: &WeekFacts,
    wishes: Option<&Tradeoffs>,
) -> Page {
    let shop = shop::shop(explanation, week);
    let cook = cook::cook(explanation, week);
    let ticked = format!("{}\n{}", shop.ticked(), cook.ticked());
    let kitchen = bare(&explanation.kitchen).into_owned();
    let keeps = format!("{kitchen}\n{ticked}");
    Page {
        kitchen: explanation.kitchen.clone(),
        portions: phrases::portions_a_day(&explanation.days),
        verdict: verdict(explanation),
        figures: figures(explanation, week),
        boxes: boxes::boxes(explanation, week),
        left: left::left(explanation, week),
        details: details::details(explanation, week),
        wishes: wishes.map(|told| wishes::wishes(told, week)),
        no_wishes: phrases::NO_WISHES,
        short_cautions: sentences::old_batches(week)
            .into_iter()
            .chain(phrases::PAGE_CAUTIONS.map(str::to_owned))
            .collect(),
        keeper: Uuid::new_v5(&Uuid::NAMESPACE_OID, kitchen.as_bytes()).to_string(),
        keeps: Uuid::new_v5(&Uuid::NAMESPACE_OID, keeps.as_bytes()).to_string(),
        shop,
        cook,
    }
}

/// What was proved, in few words where it is the usual.
fn verdict(explanation: &Explanation) -> String {
    let ordered = (explanation.week.as_ref()).is_some_and(|week| !week.aims.is_empty());
    match explanation.verdict {
        Verdict::Best if !ordered => sentences::BEST.to_owned(),
        _ => sentences::verdict(explanation),
    }
}

/// What is paid, how many foods, how long it takes, what is thrown out.
fn figures(explanation: &Explanation, week: &WeekFacts) -> Vec<(String, String)> {
    let (bill, foods) = finished::bill(explanation, week);
    let time = match &explanation.prep {
        Some(prep) => (amounts::hours(prep.length), "in the kitchen"),
        None => (
            format!("{} min", words::minutes(week.tally.minutes_nano)),
            "of work",
        ),
    };
    let thrown = left::leftovers(explanation, week).1.spoiled_mg;
    let thrown = match thrown {
        0 => "nothing".to_owned(),
        mg => words::mass(mg),
    };
    [
        (words::cash(bill, &explanation.currency), "to pay"),
        (
            foods.to_string(),
            if foods == 1 {
                "food to buy"
            } else {
                "foods to buy"
            },
        ),
        time,
        (thrown, "thrown out"),
    ]
    .map(|(figure, what)| (figure, what.to_owned()))
    .into()
}
