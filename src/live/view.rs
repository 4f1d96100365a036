//! Turns what was asked and answered into the parts of the screen. Each part is a piece of HTML with
//! one element around it, known by its id, so that any of them can be put in the place of the one
//! before.

use askama::Template;

use super::asking::{DIALS, Dial, Word, cash, day_word, whole_eaters};
use super::difference::{Difference, difference, minutes};
use super::found::Found;
use super::phrases;
use super::session::{Session, State};
use crate::explain::{Case, LunchFacts, Proof, Verdict, When};
use crate::larder::{Contents, Day, Food, Larder, NANO, Target};
use crate::report::{sentences, words};
use crate::unicode::{FSI, PDI};

/// A part: its id and its HTML.
pub type Part = (String, String);

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

#[derive(Template)]
#[template(path = "foods.html", config = "src/live/askama.toml")]
struct Foods {
    find: String,
    rows: Vec<FoodRow>,
    bought: usize,
}

struct FoodRow {
    id: usize,
    name: String,
    bought: bool,
    note: String,
    word: &'static str,
    fixed: bool,
    frees: bool,
}

#[derive(Template)]
#[template(path = "week.html", config = "src/live/askama.toml")]
struct Week {
    title: &'static str,
    past: bool,
    days: Vec<DayRow>,
    not: Vec<(String, bool)>,
    kept: Vec<(String, bool)>,
    caution: &'static str,
}

struct DayRow {
    day: i32,
    name: String,
    recipe: String,
    facts: String,
    allergens: String,
    here: bool,
    any: bool,
    others: Option<OthersRow>,
    elsewhere: Vec<(i32, String)>,
}

struct OthersRow {
    told: String,
    rows: Vec<(String, String)>,
}

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

/// Renders into memory, which does not fail; isolates become the element that means the same.
fn rendered(part: &impl Template) -> String {
    let text = part.render().unwrap_or_default();
    text.replace(FSI, "<bdi>").replace(PDI, "</bdi>")
}

/// Returns all parts of the screen.
pub fn parts(session: &Session, folder: Option<&str>) -> Vec<Part> {
    let mut all = vec![("top".to_owned(), rendered(&top(session)))];
    for dial in DIALS {
        all.push((
            format!("dial-{}", dial.key()),
            rendered(&dial_part(session, dial)),
        ));
    }
    all.push(("foods".to_owned(), rendered(&foods(session, ""))));
    all.push(("week".to_owned(), rendered(&week(session))));
    all.push(("changes".to_owned(), rendered(&changes(session))));
    all.push(("steps".to_owned(), rendered(&steps(session))));
    let command = CommandPart {
        line: session.asking().command(folder, session.plain()),
        sheet: session.last().is_some(),
    };
    all.push(("command".to_owned(), rendered(&command)));
    all
}

/// Returns the whole page; only foods whose name has `find` in it.
pub fn page(session: &Session, parts: &[Part], version: u64, find: &str) -> String {
    let of = |id: &str| {
        let found = parts.iter().find(|(name, _)| name == id);
        found.map_or(String::new(), |(_, html)| html.clone())
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
            rendered(&foods(session, find))
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
    let figures = last.map_or_else(Vec::new, figures);
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

fn figures(last: &Found) -> Vec<(&'static str, String)> {
    let Some(week) = &last.told.week else {
        return Vec::new();
    };
    vec![
        (
            "bill",
            words::cash(week.tally.packs_minor, &last.told.currency),
        ),
        ("foods to buy", week.tally.foods.to_string()),
        (
            "in the kitchen",
            minutes(last).map_or("not timed".to_owned(), phrases::time),
        ),
        ("thrown out", words::mass(week.leftover_totals.spoiled_mg)),
    ]
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
            Dial::Budget => plain.currency.code.clone(),
            Dial::Eaters => "portions a day".to_owned(),
            Dial::Foods => "foods".to_owned(),
            Dial::PrepMinutes | Dial::DayMinutes => "min".to_owned(),
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
        kitchen: kitchen.map_or("no limit".to_owned(), written),
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

fn foods(session: &Session, find: &str) -> Foods {
    let plain = session.plain();
    let week = session.last().and_then(|last| last.told.week.as_ref());
    let bought: Vec<&str> = week.map_or_else(Vec::new, |week| {
        week.purchases.iter().map(|row| row.food.as_str()).collect()
    });
    let asking = session.asking();
    let wanted = find.to_lowercase();
    let frees = session.idle.frees.as_deref().unwrap_or_default();
    let mut rows: Vec<FoodRow> = plain
        .foods
        .iter()
        .enumerate()
        .filter(|(_, food)| food.name.to_lowercase().contains(&wanted))
        .map(|(id, food)| {
            let fixed = banned(plain, id, food);
            FoodRow {
                id,
                name: food.name.clone(),
                bought: bought.contains(&food.name.as_str()),
                note: food_note(session, food, fixed),
                word: word(asking.words.get(&food.name)),
                fixed,
                frees: frees.contains(&food.name),
            }
        })
        .collect();
    // What is said stands first, then what is bought; names in order within each.
    rows.sort_by_key(|row| {
        (
            row.word == "free",
            !row.bought,
            plain.foods[row.id].staple,
            row.name.clone(),
        )
    });
    Foods {
        find: find.to_owned(),
        bought: rows.iter().filter(|row| row.bought).count(),
        rows,
    }
}

fn word(word: Option<&Word>) -> &'static str {
    match word {
        None => "free",
        Some(Word::Have(_)) => "have",
        Some(Word::Leave) => "leave",
    }
}

fn food_note(session: &Session, food: &Food, fixed: bool) -> String {
    if fixed {
        return "left out by the kitchen's own rules".to_owned();
    }
    let costs = session.idle.costs.as_ref();
    let cost = costs.and_then(|costs| costs.get(&food.name));
    cost.map_or(String::new(), |case| {
        format!("leaving it out {}", difference_told(case, session.plain()))
    })
}

fn difference_told(case: &Case, larder: &Contents) -> String {
    let currency = &larder.currency;
    match (case.proof, case.least_nano) {
        (Proof::Best, Some(nano)) => phrases::more(nano, currency),
        (Proof::Impossible, _) => "leaves no week".to_owned(),
        (_, Some(nano)) => format!("{}, at least", phrases::more(nano, currency)),
        _ => "was not settled".to_owned(),
    }
}

/// Whether the kitchen's own rules leave a food out.
fn banned(plain: &Larder, id: usize, food: &Food) -> bool {
    plain.wishes.without.iter().any(|target| match target {
        Target::Food(other) => other.index() == id,
        Target::Family(family) => food.family == Some(*family),
        Target::Tag(tag) => food.tags.contains(tag),
        Target::Allergen(allergen) => food.allergens.contains(allergen),
        _ => false,
    })
}

fn week(session: &Session) -> Week {
    let plain = session.plain();
    let asking = session.asking();
    let last = session.last();
    let week = last.and_then(|last| last.told.week.as_ref());
    let days = week.map_or_else(Vec::new, |week| {
        let all = week.lunches.iter();
        all.map(|lunch| day(session, lunch)).collect()
    });
    let frees = session.idle.frees.as_deref().unwrap_or_default();
    let recipes = plain.recipes.iter().map(|recipe| recipe.name.as_str());
    let said = |leave: bool| -> Vec<(String, bool)> {
        let mine = recipes
            .clone()
            .filter(|name| match asking.words.get(*name) {
                Some(Word::Leave) => leave,
                // Those in the week shown stand with their day.
                Some(Word::Have(_)) => !leave && !days.iter().any(|day| day.recipe == *name),
                None => false,
            });
        mine.map(|name| (name.to_owned(), frees.contains(&name.to_owned())))
            .collect()
    };
    let (not, kept) = (said(true), said(false));
    Week {
        title: if session.is_present() {
            "The week"
        } else {
            "The last week that was found"
        },
        past: !session.is_present(),
        days,
        not,
        kept,
        caution: "Allergens are from the kitchen's own data: read the label each time. Keeping times, \
                  local food codes and a dietitian's word come before any week shown here.",
    }
}

fn day(session: &Session, lunch: &LunchFacts) -> DayRow {
    let plain = session.plain();
    let word = session.asking().words.get(&lunch.recipe);
    let mine = day_word(plain, lunch.when.day as Day);
    let when = |word: &Word| matches!(word, Word::Have(Some(day)) if *day == mine);
    let mut facts = lunch.form.clone();
    facts.push_str(&format!(
        " · {} min · {}",
        words::minutes(lunch.minutes_nano),
        words::cash_nano(lunch.portion_cost_nano, &plain.currency)
    ));
    let open = session.idle.others.as_ref();
    let open = open.filter(|others| i32::from(others.day) == lunch.when.day);
    DayRow {
        day: lunch.when.day,
        name: lunch.when.name.clone(),
        recipe: lunch.recipe.clone(),
        facts,
        allergens: if lunch.allergens.is_empty() {
            "none in the kitchen's data".to_owned()
        } else {
            lunch.allergens.join(", ")
        },
        here: word.is_some_and(when),
        any: matches!(word, Some(Word::Have(None))),
        others: open.map(|others| {
            let mut rows: Vec<(i64, String, String)> = others
                .cases
                .iter()
                .filter(|(_, case)| case.proof != Proof::Impossible)
                .map(|(name, case)| {
                    let rank = case.least_nano.unwrap_or(i64::MAX);
                    (rank, name.clone(), difference_told(case, plain))
                })
                .collect();
            rows.sort();
            let none = others.cases.len() - rows.len();
            let state = if others.done { "" } else { "Looking. " };
            OthersRow {
                told: format!(
                    "{state}{} can stand here; {none} cannot with what is asked.",
                    rows.len()
                ),
                rows: rows
                    .into_iter()
                    .map(|(_, name, told)| (name, told))
                    .collect(),
            }
        }),
        elsewhere: (1..=i32::from(plain.week.lunches))
            .filter(|&day| day != lunch.when.day)
            .map(|day| (day, plain.day_name(day)))
            .collect(),
    }
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
    let clash = session.idle.clash.as_ref().and_then(Option::as_ref);
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
    let figures = figures(last).into_iter().zip(by);
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
