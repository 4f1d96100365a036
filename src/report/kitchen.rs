//! What a kitchen without faults holds, as text; and what was put in where the files say nothing.

use super::{grid, words};
use crate::kitchen::PutIn;
use crate::larder::Larder;
use crate::table::keeping::REFRIGERATOR_CELSIUS;
use crate::table::kinds::in_days;
use crate::unicode;

/// Returns one line: the kitchen's name and how much of everything it has.
pub fn kitchen(larder: &Larder) -> String {
    let count = |n: usize, noun: &str| words::count(n as i64, noun);
    format!(
        "{}: {}, {}, {}, {}, {} on hand; {} to plan\n",
        unicode::isolated(&larder.name),
        count(larder.foods.len(), "food"),
        count(larder.packs.len(), "pack option"),
        count(larder.components.len(), "component"),
        count(larder.recipes.len(), "recipe"),
        count(larder.stock.len(), "unit"),
        count(larder.lunch_count(), "lunch"),
    )
}

/// Returns the keeping times that stand in for some left out of the files, each with its source,
/// and those marked as assumed; nothing if there are none.
pub fn put_in(all: &[PutIn]) -> String {
    let named = |put_in: &PutIn| {
        let name = unicode::isolated(&put_in.name);
        if put_in.pack.is_empty() {
            return format!("{name}: {} once made", in_days(put_in.days));
        }
        let pack = unicode::isolated(&put_in.pack);
        let state = if put_in.key == "keeps" { "unopened" } else { "opened" };
        format!("{name}, {pack}: {state} {}", in_days(put_in.days))
    };
    let published = all.iter().filter_map(|put_in| {
        let (place, source) = put_in.published.as_ref()?;
        Some(format!("{} {place} ({source})", named(put_in)))
    });
    let published: Vec<String> = published.collect();
    let assumed = all.iter().filter(|put_in| put_in.published.is_none());
    let assumed = assumed.map(|put_in| {
        format!(
            "{} ({}:{}, `{}`)",
            named(put_in),
            unicode::quoted(&put_in.file),
            put_in.line,
            put_in.key
        )
    });
    let assumed: Vec<String> = assumed.collect();
    let mut text = String::new();
    if !published.is_empty() {
        text += "KEEPING TIMES THE FILES LEAVE OUT\n";
        text += &grid::list(published);
        text += &grid::paragraph(&format!(
            "The strictest published time of each place; cooked food gets the short end of 3 to 4 \
             days. They are for a refrigerator at {REFRIGERATOR_CELSIUS} C or below. The date on the \
             pack and your local food code come first; write `keeps` and `open_keeps` where yours are \
             shorter."
        ));
        text.push('\n');
    }
    if !assumed.is_empty() {
        text += "KEEPING TIMES ASSUMED: COMMON PRACTICE, NO SOURCE\n";
        text += &grid::list(assumed);
        text += &grid::paragraph(
            "Hold each against the pack and your local food code; then take `assumed` out of the file.",
        );
        text.push('\n');
    }
    text
}
