//! Draws the frontier: bill across, spoiled value up, the number of foods beside each point.
//! Readable without colour: the chosen week is a filled diamond, all others open circles.
//!
//! Scaling and finding room for labels is all that is worked out here.

use svg::Document;
use svg::node::element::{Circle, Line, Path, Polyline};

use super::super::words;
use super::pictures::{INK, frame, label};
use crate::larder::{Currency, NANO};

/// A point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) bill_minor: i64,
    pub(super) spoiled_nano: i64,
    pub(super) foods: i64,
    /// The chosen week, on the frontier or not.
    pub(super) chosen: bool,
    /// A point of the frontier.
    pub(super) point: bool,
}

const WIDTH: i64 = 420;
const HEIGHT: i64 = 360;
const LEFT: i64 = 62;
const RIGHT: i64 = 388;
const TOP: i64 = 40;
const BOTTOM: i64 = 300;
const TYPE: i64 = 17;

/// A scale with a line at every round amount.
struct Axis {
    from: i64,
    to: i64,
    step: i64,
}

/// Most lines of an axis.
const MOST: i64 = 5;

impl Axis {
    /// Around all values, minor units: none on an end but 0.
    fn around(low: i64, high: i64) -> Self {
        let span = (high - low).max(1);
        let steps = (0..18).flat_map(|zeros| [1, 2, 5].map(|n| n * 10_i64.pow(zeros)));
        let fits = |step: &i64| span / step < MOST;
        let step = steps.into_iter().find(fits).unwrap_or(span);
        let below = if low == 0 { 0 } else { low - 1 };
        let from = below.div_euclid(step).saturating_mul(step);
        let to = high.div_euclid(step).saturating_add(1).saturating_mul(step);
        Self { from, to, step }
    }

    fn ticks(&self) -> impl Iterator<Item = i64> + '_ {
        (0..=MOST + 1)
            .map(|n| self.from.saturating_add(n.saturating_mul(self.step)))
            .take_while(|&tick| tick <= self.to)
    }

    /// Where an amount lies between two ends of the picture, 1e-9 minor units.
    fn place(&self, nano: i128, from: i64, to: i64) -> i64 {
        let start = i128::from(self.from) * i128::from(NANO);
        let span = i128::from(self.to - self.from).max(1) * i128::from(NANO);
        from + ((nano - start) * i128::from(to - from) / span) as i64
    }
}

/// A corner, a width, a height.
type Area = (i64, i64, i64, i64);

fn meet(a: Area, b: Area) -> bool {
    a.0 < b.0 + b.2 && b.0 < a.0 + a.2 && a.1 < b.1 + b.3 && b.1 < a.1 + a.3
}

/// Where a label may stand, from its point to its middle: the nearest first.
const ROOM: [(i64, i64); 12] = [
    (0, -20),
    (20, 0),
    (0, 20),
    (-20, 0),
    (18, -18),
    (-18, -18),
    (18, 18),
    (-18, 18),
    (0, -38),
    (38, 0),
    (0, 38),
    (-38, 0),
];

/// Draws points of which at least one is there.
pub(super) fn frontier(spots: &[Spot], currency: &Currency, labelled_by: &str) -> String {
    let bills = spots.iter().map(|spot| spot.bill_minor);
    let spoiled = spots.iter().map(|spot| spot.spoiled_nano / NANO);
    let across = Axis::around(bills.clone().min().unwrap_or(0), bills.max().unwrap_or(0));
    let up = Axis::around(0, spoiled.max().unwrap_or(0));
    let mut picture = axes(&across, &up, currency, labelled_by);
    let at = |spot: &Spot| {
        let bill = i128::from(spot.bill_minor) * i128::from(NANO);
        (
            across.place(bill, LEFT, RIGHT),
            up.place(i128::from(spot.spoiled_nano), BOTTOM, TOP),
        )
    };
    let mut sorted: Vec<&Spot> = spots.iter().collect();
    sorted.sort_by_key(|spot| (spot.foods, spot.bill_minor));
    for group in sorted.chunk_by(|a, b| a.foods == b.foods) {
        let points: Vec<String> = group
            .iter()
            .filter(|spot| spot.point)
            .map(|spot| at(spot))
            .map(|(x, y)| format!("{x},{y}"))
            .collect();
        if points.len() > 1 {
            picture = picture.add(
                Polyline::new()
                    .set("points", points.join(" "))
                    .set("fill", "none")
                    .set("stroke", INK)
                    .set("stroke-width", 1.5),
            );
        }
    }
    let marks = sorted.iter().map(|spot| at(spot));
    let mut taken: Vec<Area> = marks.map(|(x, y)| (x - 8, y - 8, 16, 16)).collect();
    // The chosen week's label comes first, its mark last, on top.
    sorted.sort_by_key(|spot| !spot.chosen);
    for spot in &sorted {
        let text = spot.foods.to_string();
        let width = 11 * text.chars().count() as i64;
        let (x, y) = at(spot);
        let room = ROOM.iter().find_map(|&(right, down)| {
            let sideways = right.signum() * width / 2;
            let (x, y) = (x + right + sideways, y + down);
            let area = (x - width / 2, y - 9, width, 18);
            let inside = area.0 > LEFT && area.0 + width < WIDTH && area.1 > 22 && y + 9 < BOTTOM;
            let free = inside && !taken.iter().any(|&other| meet(area, other));
            free.then_some((x, y, area))
        });
        // Where there is no room the table has to do.
        if let Some((to_x, to_y, area)) = room {
            taken.push(area);
            picture = picture.add(
                label(to_x, to_y + 6, &text)
                    .set("font-size", TYPE)
                    .set("text-anchor", "middle"),
            );
        }
    }
    for spot in sorted.iter().rev() {
        let (x, y) = at(spot);
        picture = if spot.chosen {
            picture.add(diamond(x, y))
        } else {
            picture.add(
                Circle::new()
                    .set("cx", x)
                    .set("cy", y)
                    .set("r", 6)
                    .set("fill", "#fff")
                    .set("stroke", INK)
                    .set("stroke-width", 2.5),
            )
        };
    }
    picture.to_string()
}

fn diamond(x: i64, y: i64) -> Path {
    let r = 10;
    let way = format!(
        "M{} {y} L{x} {} L{} {y} L{x} {} Z",
        x - r,
        y - r,
        x + r,
        y + r
    );
    Path::new().set("d", way).set("fill", INK)
}

fn axes(across: &Axis, up: &Axis, currency: &Currency, labelled_by: &str) -> Document {
    let mut picture = frame(WIDTH, HEIGHT, labelled_by);
    let rule = |x: (i64, i64), y: (i64, i64), strong: bool| {
        Line::new()
            .set("x1", x.0)
            .set("x2", x.1)
            .set("y1", y.0)
            .set("y2", y.1)
            .set("stroke", if strong { INK } else { "#8a968f" })
            .set("stroke-width", if strong { 2 } else { 1 })
    };
    let small = |x: i64, y: i64, words: &str| label(x, y, words).set("font-size", TYPE);
    for tick in across.ticks() {
        let nano = i128::from(tick) * i128::from(NANO);
        let x = across.place(nano, LEFT, RIGHT);
        picture = picture.add(rule((x, x), (TOP, BOTTOM), false));
        let text = words::money(tick, currency);
        let text = small(x, BOTTOM + 22, &text).set("text-anchor", "middle");
        picture = picture.add(text);
    }
    for tick in up.ticks() {
        let nano = i128::from(tick) * i128::from(NANO);
        let y = up.place(nano, BOTTOM, TOP);
        picture = picture.add(rule((LEFT, RIGHT), (y, y), false));
        let text = words::money(tick, currency);
        picture = picture.add(small(LEFT - 8, y + 6, &text).set("text-anchor", "end"));
    }
    let code = &currency.code;
    picture
        .add(rule((LEFT, RIGHT), (BOTTOM, BOTTOM), true))
        .add(rule((LEFT, LEFT), (TOP, BOTTOM), true))
        .add(small(2, 18, &format!("spoiled, {code}")))
        .add(small(RIGHT, BOTTOM + 48, &format!("bill, {code}")).set("text-anchor", "end"))
}
