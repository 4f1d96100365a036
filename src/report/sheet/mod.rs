//! The week as one HTML page for screen, phone and paper: nothing fetched, everything in the file.
//! On paper a front (boxes, shopping list) and a back (prep day, steps, what is left), and apart from
//! them what is looked up rarely; on a phone one column with a bar to jump by.
//!
//! [`view`] puts the page together from its parts, one file and one template each: [`boxes`],
//! [`shop`], [`cook`], [`left`], [`details`], [`wishes`]. They choose words; the templates in
//! `templates/` place and escape them. Bars are boxes with a width, drawn by the style sheet, and hidden
//! from readers that have the text beside them. The script keeps ticks and does nothing else: all is
//! there without it.

mod boxes;
mod cook;
mod details;
mod finished;
mod left;
mod lines;
mod shop;
mod view;
mod wishes;

use askama::Template;

pub(super) use left::leftovers;

use super::names::isolated;
use crate::explain::Explanation;
use crate::tradeoffs::Tradeoffs;
use crate::unicode::{FSI, PDI};

/// Returns the page, with the trade-offs worked out; without a week, an empty text.
pub fn sheet(explanation: &Explanation, wishes: Option<&Tradeoffs>) -> String {
    let explanation = isolated(explanation);
    let Some(week) = &explanation.week else {
        return String::new();
    };
    let wishes = wishes.map(isolated);
    // Rendering texts into memory does not fail.
    let page = view::page(&explanation, week, wishes.as_ref()).render();
    marked(&page.unwrap_or_default())
}

/// Returns what goes into the box of a lunch, by its place in the week, as the page has it: a paragraph
/// of HTML, in the page's own template. Empty where there is no such lunch.
pub fn in_box(explanation: &Explanation, at: usize) -> String {
    let part = boxes::in_box(explanation, at);
    // Rendering texts into memory does not fail.
    part.map_or(String::new(), |part| part.render().unwrap_or_default())
}

/// Turns the isolates in the body of a page into the element that means the same. Names stand
/// between tags there, never inside one; a title holds no elements and keeps the characters.
pub(super) fn marked(page: &str) -> String {
    let (head, body) = page.split_at(page.find("<body>").unwrap_or(page.len()));
    let body = body.replace(FSI, "<bdi>").replace(PDI, "</bdi>");
    head.to_owned() + &body
}
