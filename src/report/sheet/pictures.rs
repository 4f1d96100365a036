//! Draws pack bars and nutrient bars as SVG, readable without colour: days are told apart by
//! letters and edges, what is kept by dots, what spoils by stripes.
//!
//! Scaling to the width of a picture is all that is worked out here.

use svg::Document;
use svg::node::element::{Circle, Definitions, Line, Path, Pattern, Rectangle, Text};

use crate::explain::{Amount, Fate, LeftoverFacts};

const WIDTH: i64 = 420;
const BAR: i64 = 44;
pub(super) const INK: &str = "#16211c";

/// Least width of a segment that gets its day's letters.
const LETTERS: i64 = 44;

/// The patterns every bar uses, and what they mean: a picture and words each. `id`s hold for
/// the whole page.
pub(super) fn legend() -> Vec<(String, &'static str)> {
    let dots = pattern("kept").add(
        Circle::new()
            .set("cx", 5)
            .set("cy", 5)
            .set("r", 1.8)
            .set("fill", INK),
    );
    let stripes = pattern("spoiled").add(
        Path::new()
            .set("d", "M-2 2 L2 -2 M0 10 L10 0 M8 12 L12 8")
            .set("stroke", INK)
            .set("stroke-width", 3),
    );
    let piece = |definitions: Definitions, fill: &str| {
        Document::new()
            .set("viewBox", (0, 0, 48, 32))
            .set("aria-hidden", "true")
            .add(definitions)
            .add(block(2, 2, 44, 28, fill))
            .to_string()
    };
    vec![
        (piece(Definitions::new(), "#dfe9e2"), "used, by day"),
        (
            piece(Definitions::new().add(dots), "url(#kept)"),
            "left, kept",
        ),
        (
            piece(Definitions::new().add(stripes), "url(#spoiled)"),
            "left, spoiled",
        ),
    ]
}

fn pattern(id: &str) -> Pattern {
    Pattern::new()
        .set("id", id)
        .set("width", 10)
        .set("height", 10)
        .set("patternUnits", "userSpaceOnUse")
        .add(
            Rectangle::new()
                .set("width", 10)
                .set("height", 10)
                .set("fill", "#fff"),
        )
}

fn block(x: i64, y: i64, width: i64, height: i64, fill: &str) -> Rectangle {
    Rectangle::new()
        .set("x", x)
        .set("y", y)
        .set("width", width)
        .set("height", height)
        .set("fill", fill)
        .set("stroke", INK)
        .set("stroke-width", 2)
}

/// Words at a place.
pub(super) fn label(x: i64, y: i64, words: &str) -> Text {
    Text::new(words)
        .set("x", x)
        .set("y", y)
        .set("font-size", 20)
        .set("fill", INK)
}

/// Where `part` of `whole` ends on a line of `width`.
fn place(part: i64, whole: i64, width: i64) -> i64 {
    (i128::from(part) * i128::from(width) / i128::from(whole.max(1))) as i64
}

/// One pack: what is used on each day from the left, then what is left of it.
pub(super) fn pack(left: &LeftoverFacts, labelled_by: &str) -> String {
    let inner = WIDTH - 4;
    let mut picture = frame(WIDTH, BAR + 4, labelled_by);
    let mut done = 0;
    for (at, (when, mg)) in left.draws.iter().enumerate() {
        let from = place(done, left.had_mg, inner);
        done += mg;
        let width = place(done, left.had_mg, inner) - from;
        let fill = if at % 2 == 0 { "#dfe9e2" } else { "#fff" };
        picture = picture.add(block(2 + from, 2, width, BAR, fill));
        if width >= LETTERS {
            let letters = super::view::letters(when);
            let middle = label(2 + from + width / 2, 30, &letters).set("text-anchor", "middle");
            picture = picture.add(middle);
        }
    }
    let from = place(done, left.had_mg, inner);
    if left.left_mg > 0 {
        let fill = match left.fate {
            Fate::Spoiled => "url(#spoiled)",
            Fate::Kept | Fate::UsedUp => "url(#kept)",
        };
        picture = picture.add(block(2 + from, 2, (inner - from).max(3), BAR, fill));
    }
    picture.to_string()
}

/// An empty picture that a text of the page describes.
pub(super) fn frame(width: i64, height: i64, labelled_by: &str) -> Document {
    Document::new()
        .set("viewBox", (0, 0, width, height))
        .set("role", "img")
        .set("aria-labelledby", labelled_by)
}

/// What a nutrient is held against, in thousandths of its unit.
#[derive(Clone, Copy, Default)]
pub(super) struct Limits {
    /// The least.
    pub(super) floor: Option<i64>,
    /// The most.
    pub(super) ceiling: Option<i64>,
}

impl Limits {
    fn any(self) -> Option<i64> {
        self.floor.max(self.ceiling)
    }
}

const ROW: i64 = 30;
const LEFT: i64 = 70;

/// One nutrient: a bar a lunch, with the floor and the ceiling of every lunch as lines; below
/// them, if there is a rule on it, the bar of the mean with its own lines. All in thousandths
/// of the nutrient's unit.
pub(super) fn nutrient(
    lunches: &[Amount],
    each: Limits,
    (mean_milli, mean): (i64, Limits),
    labelled_by: &str,
) -> String {
    let inner = WIDTH - LEFT - 6;
    let most = lunches.iter().map(|amount| amount.milli);
    let most = most.chain(each.any()).chain(mean.any()).max();
    let most = most.unwrap_or(1).max(1);
    // A little room on the right, so that a ceiling does not fall on the edge.
    let most = most.saturating_add(most / 12);
    let with_mean = mean.any().is_some();
    let end = 4 + ROW * lunches.len() as i64;
    let height = end + 4 + if with_mean { ROW + 6 } else { 0 };
    let mut picture = frame(WIDTH, height, labelled_by);
    let bar = |picture: Document, y: i64, name: &str, milli: i64| {
        let width = place(milli, most, inner).max(1);
        picture
            .add(label(0, y + 21, name))
            .add(block(LEFT, y + 3, width, ROW - 8, "#dfe9e2"))
    };
    for (at, amount) in (0..).zip(lunches) {
        let name = super::view::letters(&amount.when);
        picture = bar(picture, 4 + at * ROW, &name, amount.milli);
    }
    if with_mean {
        picture = bar(picture, end + 6, "Mean", mean_milli);
    }
    for (limits, from, to) in [(each, 0, end), (mean, end + 4, height)] {
        for (limit, dashes) in [(limits.floor, "none"), (limits.ceiling, "8 5")] {
            let Some(limit) = limit else { continue };
            let x = LEFT + place(limit, most, inner);
            picture = picture.add(
                Line::new()
                    .set("x1", x)
                    .set("x2", x)
                    .set("y1", from)
                    .set("y2", to)
                    .set("stroke", INK)
                    .set("stroke-width", 4)
                    .set("stroke-dasharray", dashes),
            );
        }
    }
    picture.to_string()
}
