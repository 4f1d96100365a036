//! The week as an iCalendar file (RFC 5545) with what needs a reminder: trips, stretches of cooking (the
//! packing of a day's own lunch is none), ripe fruit, and last good days that fall into this week or
//! the next: of the finished week, if there is one, as on the page. Each is an event of a whole day that
//! leaves the day free.
//!
//! Same week and same Monday, same bytes: the stamp of every event is the Monday itself, and
//! its UID is a name-based UUID (RFC 9562, version 5) of kitchen, date, kind and thing, so that
//! a calendar that takes the file again finds its events again.

use std::collections::BTreeMap;

use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use icalendar::{Calendar, Component, Event, EventLike, Property};
use uuid::Uuid;

use super::names::isolated;
use super::sheet::leftovers;
use super::{advice, amounts, phrases, prep_words, words};
use crate::explain::{
    BatchFacts, Explanation, LeftoverFacts, NoteOf, PrepFacts, StintFacts, Time, WeekFacts,
};
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
    match &explanation.prep {
        Some(facts) => all.extend(prep(facts, week)),
        None => all.extend(week.batches.iter().map(|batch| cooked(week, batch))),
    }
    let soon = explanation.carry.day + CYCLE;
    let matters = |left: &&LeftoverFacts| {
        left.left_mg > 0 && !left.is_trifle(&explanation.currency) && left.good_until.day < soon
    };
    let (left, _) = leftovers(explanation, week);
    all.extend(left.iter().filter(matters).map(|row| Entry {
        day: row.good_until.day,
        kind: "last good day",
        thing: format!("{}\n{}", row.food, row.pack),
        summary: format!(
            "Last good day: {}, {} left",
            row.food,
            words::mass(row.left_mg)
        ),
        description: format!("{}\n{}", row.pack, phrases::WHEN_IN_DOUBT),
    }));
    all.sort_by_key(|entry| entry.day);
    all
}

/// Days of the next week: what is good until a later one reminds nobody of anything.
const CYCLE: i32 = 7;

/// A batch, where it is not known what is done when.
fn cooked(week: &WeekFacts, batch: &BatchFacts) -> Entry {
    let foods = batch.foods.iter();
    let foods: Vec<String> = foods
        .map(|(food, mg)| format!("{food} {}", words::mass(*mg)))
        .collect();
    let told = format!("{}\n{}", phrases::batch_head(batch), foods.join("\n"));
    let lines = advice::of_thing(&week.advice, &batch.when, true, &batch.component);
    Entry {
        day: batch.when.day,
        kind: "batch",
        thing: batch.component.clone(),
        summary: format!("Cook {}, {}", words::mass(batch.mg), batch.component),
        description: lines.fold(told, |told, line| told + "\n" + line),
    }
}

/// Whether a stint is more than packing the lunch of its day, which nobody forgets.
fn is_work(stint: &StintFacts) -> bool {
    stint.time == Time::PrepDay
        || stint.tasks.iter().any(|task| {
            task.lunches.is_empty() || task.lunches.iter().any(|day| *day != stint.when)
        })
}

/// Stints with their tasks and what is to be seen to, and fruit that is ripe.
fn prep(facts: &PrepFacts, week: &WeekFacts) -> Vec<Entry> {
    let work = facts.stints.iter().filter(|stint| is_work(stint));
    let mut all: Vec<Entry> = work
        .map(|stint| {
            let tasks = stint.tasks.iter().map(|task| {
                format!(
                    "{} {}: {}",
                    prep_words::span(task),
                    prep_words::whose(task),
                    amounts::told(task)
                )
            });
            let notes = facts.notes.iter().filter(|note| note.when == stint.when);
            let notes = notes.map(|note| phrases::capital(&prep_words::note(note)));
            let advised = advice::of_time(&week.advice, &facts.stints, stint);
            let told: Vec<String> = tasks.chain(notes).chain(advised).collect();
            Entry {
                day: stint.when.day,
                kind: "prep",
                thing: prep_words::stint(stint),
                summary: format!(
                    "{}: {}",
                    prep_words::stint(stint),
                    words::count(stint.length, "minute")
                ),
                description: told.join("\n"),
            }
        })
        .collect();
    all.extend(facts.notes.iter().filter_map(|note| match &note.of {
        NoteOf::Refrigerate { food, pack, .. } => Some(Entry {
            day: note.when.day,
            kind: "fruit",
            thing: format!("{food}\n{pack}"),
            summary: format!("To the refrigerator: {food}"),
            description: prep_words::note(note),
        }),
        _ => None,
    }));
    all
}

fn trips(explanation: &Explanation, week: &WeekFacts) -> Vec<Entry> {
    let trips = explanation.trips.iter().enumerate();
    trips
        .filter_map(|(trip, facts)| {
            let to_finish = explanation.finishers.iter().flat_map(|facts| &facts.bought);
            let to_finish = to_finish.filter(|offer| offer.trip == trip).map(|offer| {
                let lifts = words::days(&offer.lifts);
                format!(
                    "{}: {} x {}, to finish {lifts}",
                    offer.food, offer.count, offer.pack
                )
            });
            let rows = week.purchases.iter().filter(|row| row.trip == trip);
            let bought: Vec<String> = rows
                .map(|row| format!("{}: {}", row.food, phrases::buy(row)))
                .chain(to_finish)
                .collect();
            (!bought.is_empty()).then(|| Entry {
                day: facts.when.day,
                kind: "shopping",
                thing: format!("trip {}", trip + 1),
                summary: match &facts.shop {
                    None => format!("Shop: {}", words::count(bought.len() as i64, "line")),
                    Some(shop) => format!(
                        "Shop at {shop}: {}",
                        words::count(bought.len() as i64, "line")
                    ),
                },
                description: bought.join("\n"),
            })
        })
        .collect()
}
