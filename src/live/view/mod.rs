//! Turns what was asked and answered into the parts of the screen. Each part is a piece of HTML with
//! one element around it, known by its id, so that any of them can be put in the place of the one
//! before. The page and its top stand here, each other part in a file of its own.

mod changes;
mod dial;
mod foods;
mod rendered;
mod week;

use askama::Template;

pub use rendered::{Part, With};

use super::asking::DIALS;
use super::difference::difference;
use super::phrases;
use super::session::{Session, State};
use crate::explain::Verdict;
use crate::report::words;
use rendered::rendered;

#[derive(Template)]
#[template(path = "page.html", config = "src/live/askama.toml")]
struct Page {
    kitchen: String,
    version: u64,
    proving: bool,
    top: String,
    dials: Vec<(&'static str, &'static str, String)>,
    foods: String,
    week: String,
    changes: String,
    steps: String,
    command: String,
}

#[derive(Template)]
#[template(path = "top.html", config = "src/live/askama.toml")]
struct Top {
    class: &'static str,
    shape: &'static str,
    word: &'static str,
    detail: String,
    figures: Vec<(&'static str, String)>,
    of_last: bool,
    can_stop: bool,
    stale: bool,
    notice: Vec<String>,
    number: u64,
    said: String,
}

#[derive(Template)]
#[template(path = "steps.html", config = "src/live/askama.toml")]
struct Steps {
    rows: Vec<(usize, String, bool)>,
    undo: bool,
    redo: bool,
}

#[derive(Template)]
#[template(path = "command.html", config = "src/live/askama.toml")]
struct CommandPart {
    line: String,
    sheet: bool,
}

/// Returns all parts of the screen.
pub fn parts(session: &Session, folder: Option<&str>) -> Vec<Part> {
    let mut all = vec![Part::new("top", rendered(&top(session)))];
    for dial in DIALS {
        let id = format!("dial-{}", dial.key());
        all.push(Part::new(&id, dial::part(session, dial)));
    }
    all.push(Part {
        with: With::Reading(session.readings()),
        ..Part::new("foods", foods::list(session, ""))
    });
    all.extend(foods::parts(session));
    all.push(Part::new("week", week::part(session)));
    all.push(Part::new("changes", changes::part(session)));
    all.push(Part::new("steps", rendered(&steps(session))));
    let command = CommandPart {
        line: session.asking().command(folder, session.plain()),
        sheet: session.last().is_some(),
    };
    all.push(Part::new("command", rendered(&command)));
    all
}

/// Returns the whole page; only foods whose name has `find` in it are shown.
pub fn page(session: &Session, parts: &[&Part], version: u64, find: &str) -> String {
    let of = |id: &str| {
        let found = parts.iter().find(|part| part.id == id);
        found.map_or(String::new(), |part| part.html.clone())
    };
    let page = Page {
        kitchen: session.plain().name.clone(),
        version,
        proving: !session.answered(),
        top: of("top"),
        dials: DIALS
            .map(|dial| {
                (
                    dial.key(),
                    dial.label(),
                    of(&format!("dial-{}", dial.key())),
                )
            })
            .into(),
        foods: if find.is_empty() {
            of("foods")
        } else {
            foods::list(session, find)
        },
        week: of("week"),
        changes: of("changes"),
        steps: of("steps"),
        command: of("command"),
    };
    page.render().unwrap_or_default()
}

fn top(session: &Session) -> Top {
    let currency = &session.plain().currency;
    let last = session.last();
    let (class, shape, word, detail) = state(session);
    let figures = last.map_or_else(Vec::new, phrases::figures);
    let difference = last
        .zip(session.before())
        .and_then(|(is, was)| difference(was, is));
    let mut said = format!("{word}.");
    let week = last.and_then(|last| last.told.week.as_ref());
    if session.is_present()
        && let Some(week) = week
    {
        let bill = words::cash(week.tally.packs_minor, currency);
        let by = difference.as_ref().map_or(0, |told| told.bill_minor);
        let moved = phrases::moved(by, |by| words::cash(by, currency));
        let lunches = difference.as_ref().map_or(String::new(), phrases::lunches);
        said = format!("{word}. {bill}{moved}. {lunches}");
    } else if session.answered() {
        said = format!("{word}. {detail}.");
    }
    Top {
        class,
        shape,
        word,
        detail,
        figures,
        of_last: last.is_some() && !session.is_present(),
        can_stop: matches!(
            session.state(),
            State::Proving {
                stopping: false,
                ..
            }
        ),
        stale: session.stale.is_some(),
        notice: session.notice.clone(),
        number: session.number(),
        said,
    }
}

/// Class, shape, word and what there is to say.
fn state(session: &Session) -> (&'static str, &'static str, &'static str, String) {
    let currency = &session.plain().currency;
    if let Some(why) = &session.stale {
        return ("stale", "▲", "Stale", why.clone());
    }
    let ordered = !session.larder().wishes.order.is_empty();
    match session.state() {
        State::Proving {
            best_nano,
            bound_nano,
            stopping,
        } => {
            let mut told = match (best_nano, bound_nano) {
                _ if ordered => "searching".to_owned(),
                (Some(best), Some(bound)) => {
                    let total = words::cash_nano(*best, currency);
                    format!(
                        "best total so far {total}, {}",
                        phrases::better(best - bound, currency)
                    )
                }
                (Some(best), None) => {
                    format!("best total so far {}", words::cash_nano(*best, currency))
                }
                _ => "no week found yet".to_owned(),
            };
            if *stopping {
                told.push_str("; stopping");
            }
            ("proving", "◐", "Proving", told)
        }
        State::Answered { verdict, stopped } => {
            let by = if *stopped {
                "stopped"
            } else {
                "the time was up"
            };
            match *verdict {
                Verdict::Best => {
                    let told = if ordered {
                        "no week within these rules does better on the aims in their order"
                    } else {
                        "no week within these rules has a smaller total, wishes priced in"
                    };
                    ("proved", "●", "Proved", told.to_owned())
                }
                Verdict::Good { bound_nano } => {
                    let week = session.last().and_then(|last| last.told.week.as_ref());
                    let gap = week.map_or(0, |week| week.tally.objective_nano - bound_nano);
                    let gap = if ordered {
                        String::new()
                    } else {
                        format!("; {}", phrases::better(gap, currency))
                    };
                    (
                        "open",
                        "◑",
                        "Not proved",
                        format!("{by} before the proof{gap}"),
                    )
                }
                Verdict::Judged => ("open", "◑", "Not proved", "judged only".to_owned()),
                Verdict::Impossible => (
                    "impossible",
                    "✕",
                    "Impossible",
                    "proved: no week keeps all of this".to_owned(),
                ),
                Verdict::OutOfTime { .. } => (
                    "open",
                    "◌",
                    "No answer",
                    format!("{by} before a week was found; whether there is one is not known"),
                ),
            }
        }
        State::Failed(fault) => (
            "impossible",
            "!",
            "Our fault",
            format!("not the kitchen's: {fault}"),
        ),
    }
}

fn steps(session: &Session) -> Steps {
    let (steps, at) = session.steps();
    let rows = steps.iter().enumerate();
    Steps {
        rows: rows
            .map(|(n, step)| (n, step.said.clone(), n == at))
            .collect(),
        undo: at > 0,
        redo: at + 1 < steps.len(),
    }
}
