//! What changed since the week before, and which rules clash where there is none.

use askama::Template;

use super::rendered::rendered;
use crate::explain::When;
use crate::live::difference::{Difference, difference};
use crate::live::phrases;
use crate::live::session::Session;
use crate::report::{sentences, words};

#[derive(Template)]
#[template(path = "changes.html", config = "src/live/askama.toml")]
struct Changes {
    lines: Vec<String>,
    come: Vec<(String, String)>,
    go: Vec<(String, String)>,
    moved: Vec<(String, String)>,
    dropped: Vec<String>,
    added: Vec<String>,
    clash_title: &'static str,
    clash: Vec<String>,
    first: bool,
}

/// Returns what changed.
pub(super) fn part(session: &Session) -> String {
    rendered(&changes(session))
}

fn named(all: &[(When, String)]) -> Vec<(String, String)> {
    all.iter()
        .map(|(when, name)| (when.name.clone(), name.clone()))
        .collect()
}

fn changes(session: &Session) -> Changes {
    let plain = session.plain();
    let pair = session.last().zip(session.before());
    let told = pair.and_then(|(is, was)| difference(was, is));
    let lines = told
        .as_ref()
        .map_or_else(Vec::new, |told| change_lines(session, told));
    let clash = session.idle.clash.as_ref();
    let told_or = told.clone().unwrap_or_default();
    Changes {
        first: told.is_none(),
        lines,
        come: named(&told_or.come),
        go: named(&told_or.go),
        moved: named(&told_or.moved),
        dropped: told_or.dropped,
        added: told_or.added,
        clash_title: clash.map_or("", |clash| sentences::conflict(clash.rules.len())),
        clash: clash.map_or_else(Vec::new, |clash| {
            let rules = clash.rules.iter();
            rules
                .map(|rule| sentences::clash(rule, &plain.currency))
                .collect()
        }),
    }
}

fn change_lines(session: &Session, told: &Difference) -> Vec<String> {
    let currency = &session.plain().currency;
    let Some(last) = session.last() else {
        return Vec::new();
    };
    let by = [
        phrases::moved(told.bill_minor, |by| words::cash(by, currency)),
        phrases::moved(told.foods, |by| by.to_string()),
        told.minutes
            .map_or(String::new(), |by| phrases::moved(by, phrases::time)),
        phrases::moved(told.thrown_mg, words::mass),
    ];
    let figures = phrases::figures(last).into_iter().zip(by);
    let mut lines: Vec<String> = figures
        .map(|((name, value), by)| {
            let by = if by.is_empty() {
                ", as before".to_owned()
            } else {
                by
            };
            format!("{name}: {value}{by}")
        })
        .collect();
    lines.push(phrases::lunches(told));
    lines
}
