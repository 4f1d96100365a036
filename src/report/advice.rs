//! What is said of advice: where there is little room, beside what it is for, and its sources.

use super::phrases::capital;
use super::words::{self, and};
use crate::explain::{AdviceFacts, Advised, StintFacts, When};

/// How many lines of it a week shows; the others stand in the prep plan.
const SHOWN: usize = 2;

/// Returns the gravest advice of a week in few words, and where the rest stands.
pub(super) fn in_short(advice: &[AdviceFacts]) -> Vec<String> {
    let mut lines: Vec<String> = advice
        .iter()
        .take(SHOWN)
        .map(|facts| {
            let mut days: Vec<&When> = facts.of.iter().map(|advised| &advised.when).collect();
            days.dedup();
            let days: Vec<String> = days.into_iter().map(words::short).collect();
            let title = capital(facts.advice.title);
            format!("{title} ({}): {}.", days.join(" "), facts.advice.short)
        })
        .collect();
    let rest = match advice.len().saturating_sub(SHOWN) {
        0 => " Sources: scant prep.".to_owned(),
        more => format!(
            " {} of advice and all sources: scant prep.",
            words::count(more as i64, "more line")
        ),
    };
    if let Some(last) = lines.last_mut() {
        last.push_str(&rest);
    }
    lines
}

/// Returns the lines that are for what is done `at` a time of a day, each with what it is for: in full
/// on the first day it is for, then in few words. A batch is of the last time of its day that works
/// on it, as that is when it cools; all else of the first.
pub(super) fn of_time(advice: &[AdviceFacts], all: &[StintFacts], at: &StintFacts) -> Vec<String> {
    let day = &at.when;
    let here = |advised: &Advised| {
        let mut times = all.iter().filter(|other| other.when == *day);
        let works = |other: &&StintFacts| {
            let mut tasks = other.tasks.iter();
            tasks.any(|task| task.lunches.is_empty() && task.of.contains(&advised.thing))
        };
        let last = times.clone().rfind(works).filter(|_| advised.batch);
        last.or(times.next())
            .is_some_and(|time| time.time == at.time)
    };
    told(advice, day, &here)
}

/// As [`of_time`] of a day on which nothing is done.
pub(super) fn of_day(advice: &[AdviceFacts], day: &When) -> Vec<String> {
    told(advice, day, &|_| true)
}

fn told(advice: &[AdviceFacts], day: &When, here: &dyn Fn(&Advised) -> bool) -> Vec<String> {
    let told = advice.iter().filter_map(|facts| {
        let of = facts
            .of
            .iter()
            .filter(|advised| advised.when == *day && here(advised));
        let mut things: Vec<&str> = of.map(|advised| advised.thing.as_str()).collect();
        things.dedup();
        if things.is_empty() {
            return None;
        }
        let first = facts.of.first().map(|advised| &advised.when);
        Some(if first == Some(day) {
            format!("{}: {}", and(&things), facts.advice.line)
        } else {
            format!("{}: {}.", and(&things), facts.advice.short)
        })
    });
    told.collect()
}

/// Returns the lines that are for a lunch or a batch of a day.
pub(super) fn of_thing<'a>(
    advice: &'a [AdviceFacts],
    day: &'a When,
    batch: bool,
    thing: &'a str,
) -> impl Iterator<Item = &'static str> + use<'a> {
    let told = advice.iter().filter(move |facts| {
        (facts.of.iter()).any(|a| a.when == *day && a.batch == batch && a.thing == thing)
    });
    told.map(|facts| facts.advice.line)
}

/// Returns every line of a week with its days.
pub(super) fn all(advice: &[AdviceFacts]) -> Vec<String> {
    let told = advice.iter().map(|facts| {
        let mut days: Vec<&When> = facts.of.iter().map(|advised| &advised.when).collect();
        days.dedup();
        let days: Vec<String> = days.into_iter().map(words::short).collect();
        let title = capital(facts.advice.title);
        format!("{title} ({}). {}", days.join(" "), facts.advice.line)
    });
    told.collect()
}

/// Returns where all of it was published.
pub(super) fn sources(advice: &[AdviceFacts]) -> Option<String> {
    let told: Vec<String> = advice
        .iter()
        .map(|facts| format!("{}: {}", facts.advice.title, facts.advice.source))
        .collect();
    (!told.is_empty()).then(|| format!("Sources of this advice. {}.", told.join(". ")))
}

/// Returns the lines whose first day it is, in few words, each with what it is for and all its days.
pub(super) fn of_day_in_short(advice: &[AdviceFacts], day: &When) -> Vec<String> {
    let told = advice.iter().filter_map(|facts| {
        (facts.of.first()?.when == *day).then_some(())?;
        let mut days: Vec<&When> = facts.of.iter().map(|advised| &advised.when).collect();
        days.dedup();
        if days.len() > 1 {
            let title = capital(facts.advice.title);
            return Some(format!(
                "{title} ({}): {}.",
                words::days(days),
                facts.advice.short
            ));
        }
        let of = facts.of.iter();
        let mut things: Vec<&str> = of.map(|advised| advised.thing.as_str()).collect();
        things.dedup();
        Some(capital(&format!(
            "{}: {}.",
            and(&things),
            facts.advice.short
        )))
    });
    told.collect()
}
