//! The week as one HTML page for screen, phone and paper: no script, no network, everything in
//! the file. Thought for a cook at a counter with wet hands: large type, ticks that a
//! knuckle can hit, each lunch and batch on a card that is not torn by a page break.
//!
//! [`view`] chooses the words, [`pictures`] draws, the template in `templates/sheet.html`
//! places both and escapes every text. Pictures hold no text of the kitchen, so what is
//! inserted unescaped is ours alone. A picture is labelled by the sentence under it.
//!
//! [`finished`] tells of finishers and [`wishes`] of trade-offs, whose plot is in [`plot`].
//!
//! A new part (a timeline) is a field of the view, a `<section>` in the template where
//! the place is marked, and an entry in the contents there.

mod finished;
mod pictures;
mod plot;
mod prep;
mod view;
mod wishes;

use askama::Template;

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

/// Turns the isolates in the body of a page into the element that means the same. Names stand
/// between tags there, never inside one; a title holds no elements and keeps the characters.
fn marked(page: &str) -> String {
    let (head, body) = page.split_at(page.find("<body>").unwrap_or(page.len()));
    let body = body.replace(FSI, "<bdi>").replace(PDI, "</bdi>");
    head.to_owned() + &body
}
