//! The prep plan on the page: a card a stint, its timeline drawn and told, boxes to tick, and
//! the notes of each day. Placed by `templates/prep.html`.

use svg::Document;
use svg::node::element::{Line, Rectangle, Text};

use super::super::{advice, prep_words};
use crate::explain::{AdviceFacts, Explanation, NoteFacts, PrepFacts, StintFacts, TaskFacts, When};

/// The section.
pub(super) struct PrepView {
    pub(super) total: String,
    pub(super) meaning: &'static str,
    pub(super) legend: String,
    pub(super) days: Vec<PrepDay>,
}

/// A day on which there is something to do or to see to.
pub(super) struct PrepDay {
    pub(super) name: String,
    pub(super) cards: Vec<PrepCard>,
    pub(super) notes: Vec<String>,
}

/// A stint.
pub(super) struct PrepCard {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) length: String,
    pub(super) picture: String,
    pub(super) lines: Vec<String>,
    pub(super) tasks: Vec<PrepTask>,
}

/// Something to tick.
pub(super) struct PrepTask {
    pub(super) time: String,
    pub(super) what: String,
    pub(super) beside: String,
}

/// Returns the section, if the week was prepared.
pub(super) fn view(explanation: &Explanation) -> Option<PrepView> {
    let facts = explanation.prep.as_ref()?;
    Some(PrepView {
        total: prep_words::total(facts),
        meaning: prep_words::MEANING,
        legend: legend(),
        days: days(
            facts,
            explanation
                .week
                .as_ref()
                .map_or(&[][..], |week| &week.advice),
        ),
    })
}

fn days(facts: &PrepFacts, advised: &[AdviceFacts]) -> Vec<PrepDay> {
    let stints = facts.stints.iter().map(|stint| &stint.when);
    let noted = facts.notes.iter().map(|note| &note.when);
    let mut all: Vec<&When> = stints.chain(noted).collect();
    all.sort();
    all.dedup();
    all.into_iter()
        .map(|when| PrepDay {
            name: when.name.clone(),
            cards: facts
                .stints
                .iter()
                .enumerate()
                .filter(|(_, stint)| stint.when == *when)
                .map(|(at, stint)| card(at, stint))
                .collect(),
            notes: facts
                .notes
                .iter()
                .filter(|note| note.when == *when)
                .map(|note: &NoteFacts| prep_words::note(&note.of))
                .chain(advice::of_day(advised, when))
                .collect(),
        })
        .collect()
}

fn card(at: usize, stint: &StintFacts) -> PrepCard {
    let id = format!("prep-{at}");
    let rows = lines(stint);
    PrepCard {
        title: prep_words::stint(stint),
        length: prep_words::length(stint),
        picture: timeline(stint, &rows, &format!("{id}-told")),
        lines: rows.into_iter().map(|row| row.0).collect(),
        tasks: stint.tasks.iter().map(task).collect(),
        id,
    }
}

fn task(task: &TaskFacts) -> PrepTask {
    let beside = prep_words::beside(task);
    PrepTask {
        time: prep_words::span(task),
        what: prep_words::task(task),
        beside: if beside.is_empty() {
            beside
        } else {
            format!("Meanwhile by itself: {beside}")
        },
    }
}

/// The tasks of each line of the timeline: one a batch or lunch, in order of first use.
fn lines(stint: &StintFacts) -> Vec<(String, Vec<&TaskFacts>)> {
    let mut rows: Vec<(String, Vec<&TaskFacts>)> = Vec::new();
    for task in &stint.tasks {
        let label = prep_words::whose(task);
        match rows.iter_mut().find(|row| row.0 == label) {
            Some(row) => row.1.push(task),
            None => rows.push((label, vec![task])),
        }
    }
    rows
}

const WIDTH: i64 = 600;
const LEFT: i64 = 40;
const ROW: i64 = 30;
const INK: &str = "#16211c";

/// How a stretch is drawn: the fill and the dashes of its edge.
const ACTIVE: (&str, &str) = (INK, "none");
const WATCHED: (&str, &str) = ("#c9d6ce", "none");
const ALONE: (&str, &str) = ("#fff", "6 4");

fn block((x, y): (i64, i64), width: i64, (fill, dashes): (&str, &str)) -> Rectangle {
    Rectangle::new()
        .set("x", x)
        .set("y", y)
        .set("width", width.max(2))
        .set("height", ROW - 10)
        .set("fill", fill)
        .set("stroke", INK)
        .set("stroke-width", 2)
        .set("stroke-dasharray", dashes)
}

fn words(x: i64, y: i64, text: &str, size: i64) -> Text {
    Text::new(text)
        .set("x", x)
        .set("y", y)
        .set("font-size", size)
        .set("fill", INK)
}

fn legend() -> String {
    let mut picture = Document::new()
        .set("viewBox", (0, 0, WIDTH, 36))
        .set("class", "legend")
        .set("aria-hidden", "true");
    for (x, way, text) in [
        (2, ACTIVE, "the cook is at it"),
        (222, WATCHED, "by itself, watched"),
        (442, ALONE, "by itself"),
    ] {
        picture = picture
            .add(block((x, 8), 40, way))
            .add(words(x + 50, 25, text, 18));
    }
    picture.to_string()
}

/// Minutes between the marks of the scale: no more than a dozen of them.
fn mark(over: i64) -> i64 {
    let wide = [5, 10, 15, 30, 60, 120, 240, 480];
    let fits = wide.into_iter().find(|mark| over / mark <= 12);
    fits.unwrap_or(over / 12 + 1)
}

fn timeline(stint: &StintFacts, rows: &[(String, Vec<&TaskFacts>)], labelled_by: &str) -> String {
    let over = stint.over.max(stint.length).max(1);
    let height = 30 + ROW * rows.len() as i64;
    let inner = WIDTH - LEFT - 20;
    let place = |minute: i64| LEFT + minute * inner / over;
    let mut picture = Document::new()
        .set("viewBox", (0, 0, WIDTH, height))
        .set("role", "img")
        .set("aria-labelledby", labelled_by);
    let mark = mark(over);
    for minute in (0..=over / mark).map(|at| at * mark) {
        let x = place(minute);
        let line = Line::new()
            .set("x1", x)
            .set("x2", x)
            .set("y1", 24)
            .set("y2", height)
            .set("stroke", "#8a968f")
            .set("stroke-width", 1);
        let label = words(x, 18, &prep_words::clock(minute), 15).set("text-anchor", "middle");
        picture = picture.add(line).add(label);
    }
    for (at, (_, tasks)) in (0..).zip(rows) {
        let y = 30 + at * ROW;
        picture = picture.add(words(4, y + 16, &(at + 1).to_string(), 18));
        for task in tasks {
            let (start, done, end) = (place(task.start), place(task.done), place(task.end));
            let way = if task.needs.is_empty() {
                ALONE
            } else {
                WATCHED
            };
            if task.end > task.done {
                picture = picture.add(block((done, y), end - done, way));
            }
            if task.done > task.start {
                picture = picture.add(block((start, y), done - start, ACTIVE));
            }
        }
    }
    picture.to_string()
}
