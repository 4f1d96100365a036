//! The week as an iCalendar file (RFC 5545): trips, the stints of the prep plan and its notes
//! (packs to open, fruit to move, what to throw out), batches, lunches and last good days, each an event of a whole day that leaves the day free.
//!
//! Same week and same Monday, same bytes: the stamp of every event is the Monday itself, and
//! its UID is a name-based UUID (RFC 9562, version 5) of kitchen, date, kind and thing, so that
//! a calendar that takes the file again finds its events again.

use std::collections::BTreeMap;

use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use icalendar::{Calendar, Component, Event, EventLike, Property};
use uuid::Uuid;

use super::names::isolated;
use super::{advice, phrases, prep_words, words};
use crate::explain::{Explanation, NoteOf, PrepFacts, WeekFacts, When};
use crate::unicode::bare;

/// An event before it has a date.
struct Entry {
    day: i32,
    kind: &'static str,
    /// What tells it from others of its kind and day.
    thing: String,
    summary: String,
    description: String,
}

/// Most octets of a line, its end apart (RFC 5545, 3.1).
const LINE: usize = 75;

/// Returns the calendar of a week whose Monday is `monday`; empty of events without a week.
pub fn calendar(explanation: &Explanation, monday: NaiveDate) -> String {
    let explanation = &isolated(explanation);
    let stamp = DateTime::<Utc>::from_naive_utc_and_offset(monday.and_time(NaiveTime::MIN), Utc);
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", "-//scant//week//EN"));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    // A kitchen may write the same thing twice on a day: the second one gets its own UID.
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    let entries = explanation
        .week
        .iter()
        .flat_map(|week| entries(explanation, week));
    let first = explanation.week.as_ref().map_or(1, |week| week.cook.monday);
    for entry in entries {
        let (Some(date), Some(after)) = (
            dated(monday, entry.day - first),
            dated(monday, entry.day - first + 1),
        ) else {
            continue;
        };
        // Names as the kitchen has them: a UID does not hang on how they are printed.
        let name = format!(
            "{}\n{date}\n{}\n{}",
            bare(&explanation.kitchen),
            entry.kind,
            bare(&entry.thing)
        );
        let again = seen.entry(name.clone()).or_insert(0);
        *again += 1;
        let uid = Uuid::new_v5(&Uuid::NAMESPACE_OID, format!("{name}\n{again}").as_bytes());
        let mut event = Event::new();
        event
            .uid(&uid.to_string())
            .timestamp(stamp)
            .summary(&one_line(&entry.summary))
            .description(&lines(&entry.description))
            .categories([entry.kind])
            // The end is the first moment no longer of it (RFC 5545, 3.8.2.2).
            .starts(date)
            .ends(after)
            .add_property("TRANSP", "TRANSPARENT");
        calendar.push(event.done());
    }
    folded(&calendar.done().to_string())
}

/// Folds each line anew, between characters: the crate leaves the last piece of a folded line one
/// octet too long.
fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 32);
    for line in text.replace("\r\n ", "").split_terminator("\r\n") {
        let mut wide = 0;
        for c in line.chars() {
            if wide + c.len_utf8() > LINE {
                out.push_str("\r\n ");
                wide = 1;
            }
            wide += c.len_utf8();
            out.push(c);
        }
        out.push_str("\r\n");
    }
    out
}

/// Returns a text of several lines with nothing in it that RFC 5545 forbids in texts (3.3.11:
/// control characters other than the line end, which is escaped).
fn lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(one_line).collect();
    lines.join("\n")
}

fn dated(monday: NaiveDate, days: i32) -> Option<NaiveDate> {
    let by = Days::new(days.unsigned_abs().into());
    if days < 0 {
        monday.checked_sub_days(by)
    } else {
        monday.checked_add_days(by)
    }
}

fn one_line(text: &str) -> String {
    let plain = text.replace(words::JOINT, " ");
    let plain = plain.replace(char::is_control, " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn entries(explanation: &Explanation, week: &WeekFacts) -> Vec<Entry> {
    let mut all = trips(explanation, week);
    all.extend(week.batches.iter().map(|batch| {
        let foods: Vec<String> = batch
            .foods
            .iter()
            .map(|(food, mg)| format!("{food} {}", words::mass(*mg)))
            .collect();
        Entry {
            day: batch.when.day,
            kind: "batch",
            thing: batch.component.clone(),
            summary: format!("Cook {}, {}", words::mass(batch.mg), batch.component),
            description: advised(
                week,
                &batch.when,
                true,
                &batch.component,
                format!("{}\n{}", phrases::batch_head(batch), foods.join("\n")),
            ),
        }
    }));
    all.extend(week.lunches.iter().map(|lunch| Entry {
        day: lunch.when.day,
        kind: "lunch",
        thing: lunch.recipe.clone(),
        summary: format!("Lunch: {}", lunch.recipe),
        description: advised(
            week,
            &lunch.when,
            false,
            &lunch.recipe,
            phrases::lunch_head(lunch),
        ),
    }));
    all.extend(explanation.prep.iter().flat_map(prep));
    for row in &week.leftovers {
        let thing = format!("{}\n{}", row.food, row.pack);
        let until = |when: &When| format!("Good to {}.", when.name);
        // The prep plan may open a pack earlier, and has it then.
        if let Some(opened) = row
            .opened_on
            .as_ref()
            .filter(|_| explanation.prep.is_none())
        {
            all.push(Entry {
                day: opened.day,
                kind: "open",
                thing: thing.clone(),
                summary: format!("Open {} ({})", row.food, row.pack),
                description: until(&row.good_until),
            });
        }
        if row.left_mg > 0 {
            all.push(Entry {
                day: row.good_until.day,
                kind: "last good day",
                thing,
                summary: format!(
                    "Last good day: {}, {} left",
                    row.food,
                    words::mass(row.left_mg)
                ),
                description: format!("{}\n{}", row.pack, phrases::WHEN_IN_DOUBT),
            });
        }
    }
    all.sort_by_key(|entry| entry.day);
    all
}

/// A description with the advice that is for a lunch or a batch.
fn advised(week: &WeekFacts, when: &When, batch: bool, thing: &str, told: String) -> String {
    let lines = advice::of_thing(&week.advice, when, batch, thing);
    lines.fold(told, |told, line| told + "\n" + line)
}

/// Stints, packs to open, fruit to move, what to carry apart and to throw out.
fn prep(facts: &PrepFacts) -> Vec<Entry> {
    let mut all: Vec<Entry> = facts
        .stints
        .iter()
        .map(|stint| {
            let tasks = stint
                .tasks
                .iter()
                .map(|task| format!("{} {}", prep_words::span(task), prep_words::task(task)));
            Entry {
                day: stint.when.day,
                kind: "prep",
                thing: prep_words::stint(stint),
                summary: format!(
                    "{}: {}",
                    prep_words::stint(stint),
                    words::count(stint.length, "minute")
                ),
                description: tasks.collect::<Vec<_>>().join("\n"),
            }
        })
        .collect();
    all.extend(facts.notes.iter().map(|note| {
        let (kind, thing, summary) = match &note.of {
            NoteOf::Open { food, pack, .. } => {
                ("open", vec![food, pack], format!("Open {food} ({pack})"))
            }
            NoteOf::Counter { food, pack, .. } => {
                ("fruit", vec![food, pack], format!("To the counter: {food}"))
            }
            NoteOf::Refrigerate { food, pack, .. } => {
                let summary = format!("To the refrigerator: {food}");
                ("fruit", vec![food, pack], summary)
            }
            NoteOf::CutToday { food } => ("cut", vec![food], format!("Cut today: {food}")),
            NoteOf::Apart { dressing, .. } => {
                ("apart", vec![dressing], format!("Carry apart: {dressing}"))
            }
            NoteOf::ThrowOut { food, pack, .. } => {
                ("throw out", vec![food, pack], format!("Throw out: {food}"))
            }
        };
        let thing: Vec<&str> = thing.into_iter().map(String::as_str).collect();
        Entry {
            day: note.when.day,
            kind,
            thing: thing.join("\n"),
            summary,
            description: prep_words::note(&note.of),
        }
    }));
    all
}

fn trips(explanation: &Explanation, week: &WeekFacts) -> Vec<Entry> {
    let trips = explanation.trips.iter().enumerate();
    trips
        .filter_map(|(trip, when)| {
            let bought: Vec<String> = week
                .purchases
                .iter()
                .filter(|row| row.trip == trip)
                .map(|row| format!("{}: {}", row.food, phrases::buy(row)))
                .collect();
            (!bought.is_empty()).then(|| Entry {
                day: when.day,
                kind: "shopping",
                thing: format!("trip {}", trip + 1),
                summary: format!("Shop: {}", words::count(bought.len() as i64, "line")),
                description: bought.join("\n"),
            })
        })
        .collect()
}
