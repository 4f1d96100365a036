//! A limit: slider, field, the track on which a week exists, and the nearest value that works.

use askama::Template;

use super::rendered::rendered;
use crate::explain::{self, Verdict};
use crate::larder::NANO;
use crate::live::asking::{Dial, cash, whole_eaters};
use crate::live::session::{Session, State};
use crate::report::words;

#[derive(Template)]
#[template(path = "dial.html", config = "src/live/askama.toml")]
struct DialPart {
    key: &'static str,
    label: &'static str,
    unit: String,
    value: String,
    step: String,
    most: String,
    slid: String,
    slide_most: String,
    slide_step: String,
    slide_least: &'static str,
    kitchen: String,
    asked: bool,
    track: Option<Track>,
    told: String,
    near: Option<(String, String)>,
}

/// The track under a slider, in hundredths of its length.
struct Track {
    from: i64,
    long: i64,
    marks: Vec<i64>,
    here: i64,
}

/// Returns a limit.
pub(super) fn part(session: &Session, dial: Dial) -> String {
    rendered(&dial_part(session, dial))
}

/// A slider's last value and step, in units of the dial.
fn scale(session: &Session, dial: Dial, shown: Option<i64>) -> (i64, i64) {
    let plain = session.plain();
    let step = match dial {
        Dial::Budget => (10_i64.pow(dial.places(plain)) / 2).max(1),
        Dial::Eaters => 1_000,
        _ => 1,
    };
    if dial == Dial::Eaters {
        let asked = shown.map_or(0, |value| (value + step - 1) / step * step);
        return (asked.max(8 * step), step);
    }
    let week = session.last().and_then(|last| last.told.week.as_ref());
    let taken = week.map_or(0, |week| match dial {
        Dial::Foods => week.tally.foods,
        Dial::Budget => week.tally.packs_minor,
        Dial::KitchenMinutes => {
            let days = session.last().and_then(|last| {
                let solved = last.solved.as_ref()?;
                Some(explain::kitchen_time(&last.larder, &solved.plan))
            });
            let days = days.unwrap_or_default();
            let most = days.iter().map(|day| day.minutes_nano / NANO + 1).max();
            most.unwrap_or(0)
        }
        _ => {
            let prep = dial == Dial::PrepMinutes;
            let mine = week
                .minutes
                .iter()
                .filter(|day| (day.when.day == 0) == prep);
            mine.map(|day| day.minutes_nano / NANO + 1)
                .max()
                .unwrap_or(0)
        }
    });
    let edge = session
        .idle
        .edges
        .get(&dial)
        .and_then(|edges| edges.changes.first().copied());
    let largest = [shown, dial.in_larder(plain), Some(taken), edge];
    let largest = largest
        .into_iter()
        .flatten()
        .max()
        .unwrap_or(0)
        .max(4 * step);
    // Half as much again, in steps, so that the scale is still while one moves along it.
    let coarse = step * 10;
    (((largest + largest / 4) / coarse + 1) * coarse, step)
}

fn dial_part(session: &Session, dial: Dial) -> DialPart {
    let plain = session.plain();
    let asked = session.asking().dials.get(&dial).copied();
    let kitchen = dial.in_larder(plain);
    let shown = asked.or(kitchen);
    let (most, step) = scale(session, dial, shown);
    let written = |value: i64| dial.written(value, plain);
    let slid = shown.map_or(most, |value| ((value + step / 2) / step * step).min(most));
    let (track, told, near) = track(session, dial, shown, most);
    let places = dial.places(plain);
    DialPart {
        key: dial.key(),
        label: dial.label(),
        unit: match dial {
            Dial::Budget => plain.currency.sign().to_owned(),
            Dial::Eaters => "portions a day".to_owned(),
            Dial::Foods => "foods".to_owned(),
            Dial::PrepMinutes | Dial::DayMinutes | Dial::KitchenMinutes => "min".to_owned(),
        },
        value: shown.map_or(String::new(), written),
        step: if places == 0 {
            "1".to_owned()
        } else {
            format!("0.{:0>width$}", 1, width = places as usize)
        },
        most: written(dial.most(plain)),
        slid: written(slid),
        slide_most: written(most),
        slide_step: written(step),
        slide_least: if dial == Dial::Eaters { "1" } else { "0" },
        kitchen: kitchen.map_or(dial.unset(plain).to_owned(), written),
        asked: asked.is_some(),
        track,
        told,
        near,
    }
}

/// The track, the sentence that says the same, and the nearest value that works where the one asked
/// does not.
fn track(
    session: &Session,
    dial: Dial,
    shown: Option<i64>,
    most: i64,
) -> (Option<Track>, String, Option<(String, String)>) {
    let plain = session.plain();
    let written = |value: i64| dial.written(value, plain);
    let place = |value: i64| (value.clamp(0, most) * 1_000 / most.max(1)).clamp(0, 1_000);
    let here = place(shown.unwrap_or(most));
    if dial == Dial::Eaters {
        let Some(found) = &session.idle.eaters else {
            return (None, String::new(), None);
        };
        let works: Vec<i64> = found
            .iter()
            .filter(|(_, week)| week.is_some())
            .map(|(n, _)| *n)
            .collect();
        let (Some(first), Some(last)) = (works.first(), works.last()) else {
            return (None, String::new(), None);
        };
        let pairs = found.iter().zip(found.iter().skip(1));
        let marks: Vec<i64> = pairs
            .filter(|(one, other)| other.1.is_some() && one.1 != other.1)
            .map(|(_, other)| other.0)
            .collect();
        let (from, to) = (place(first * 1_000), place(last * 1_000));
        let track = Track {
            from,
            long: to - from,
            marks: marks.iter().map(|&n| place(n * 1_000)).collect(),
            here,
        };
        let of = whole_eaters(shown.unwrap_or(0)).is_some();
        let other = if marks.is_empty() {
            "the lunches are the same throughout".to_owned()
        } else {
            format!(
                "other lunches from {}",
                list(&marks.iter().map(i64::to_string).collect::<Vec<_>>())
            )
        };
        let note = if of { "" } else { ", whole portions asked" };
        return (
            Some(track),
            format!("A week for {first} to {last}{note}; {other}: proved."),
            None,
        );
    }
    let Some(edges) = session.idle.edges.get(&dial) else {
        return (None, String::new(), None);
    };
    if edges.none {
        return (
            None,
            "Whatever this limit, there is no week: proved.".to_owned(),
            None,
        );
    }
    let Some(least) = edges.least else {
        return (
            None,
            "Where a week begins was not settled.".to_owned(),
            None,
        );
    };
    let from = place(least);
    let marks = edges.changes.iter().map(|&value| place(value)).collect();
    let track = Track {
        from,
        long: 1_000 - from,
        marks,
        here,
    };
    let changes: Vec<String> = edges
        .changes
        .iter()
        .rev()
        .map(|&value| written(value))
        .collect();
    let all = if edges.all { "" } else { ", and below that" };
    let told = format!(
        "A week from {} up: proved. It changes at {}{all}.",
        written(least),
        list(&changes)
    );
    let verdict = matches!(
        session.state(),
        State::Answered {
            verdict: Verdict::Impossible,
            ..
        }
    );
    let near = (verdict && shown.is_some_and(|value| value < least)).then(|| {
        let what = match dial {
            Dial::Budget => cash(least, plain),
            _ => written(least),
        };
        (what, written(least))
    });
    (Some(track), told, near)
}

fn list(all: &[String]) -> String {
    words::and(all)
}
