//! The first screen of a week: what a cook asks first, in the order asked, on one page.

use super::super::grid::{self, Lean};
use super::super::look::{Look, Screen, Tone};
use super::super::words::{self, and, cash, cash_nano, count, mass};
use super::super::{measures, phrases, sentences, trade_sentences};
use super::{changes, finishers, heading, none};
use crate::explain::{
    Asked, BatchFacts, Clash, Explanation, Fate, LeftoverFacts, LunchFacts, Origin, PurchaseFacts,
    Rest, Sums, Telling, Verdict, WeekFacts, When,
};
use crate::larder::{CapBy, Currency, NANO};
use crate::tradeoffs::Proof;

/// Days that fit as single letters.
const MOST_DAYS: usize = 10;
/// What follows the last good day of what is not good any more on the first day after the week.
const OUT: &str = "out";

/// Returns the screen down to what is cooked when; without a week all there is to say.
pub(in super::super) fn first(explanation: &Explanation, look: Look) -> Screen {
    let mut screen = Screen::default();
    let tone = match explanation.verdict {
        Verdict::Best => Tone::Sure,
        _ => Tone::Mind,
    };
    let Some(week) = &explanation.week else {
        screen.add(tone, &heading(explanation));
        changed(&mut screen, explanation);
        for part in none(explanation) {
            screen.gap();
            screen.add(Tone::Plain, &part);
        }
        return screen;
    };
    let head = format!("{}. {}", explanation.kitchen, verdict(explanation));
    screen.add(
        tone,
        &grid::bare_rows(&[Lean::Left], vec![vec![head]], look.width()),
    );
    changed(&mut screen, explanation);
    if explanation.changes.is_some() {
        screen.gap();
    }
    sums(&mut screen, explanation, week, look);
    screen.gap();
    screen.table(&lunches(explanation, week, look));
    if !look.is_wide() {
        screen.add(Tone::Plain, &by_day(week, look));
    }
    foods(&mut screen, explanation, week, look);
    screen.add(Tone::Plain, &house(week, look));
    if !week.batches.is_empty() {
        screen.gap();
        screen.add(Tone::Plain, &batches(week, look));
    }
    if let Some(facts) = &explanation.finishers {
        screen.gap();
        screen.table(&finishers::section(facts, &explanation.currency));
    }
    screen
}

/// Returns what stands under it.
pub(in super::super) fn first_end(explanation: &Explanation, look: Look) -> Screen {
    let mut screen = Screen::default();
    let Some(week) = &explanation.week else {
        return screen;
    };
    let wide = |sentences: Vec<String>| {
        let rows = sentences.into_iter().map(|one| vec![one]).collect();
        grid::bare_rows(&[Lean::Left], rows, look.width())
    };
    if !explanation.telling.is_empty() {
        screen.blank();
        screen.table(&rather(explanation, look));
        // What has no row is told where there is room for it; all of it is in the whole report.
        let rows = explanation
            .telling
            .iter()
            .filter(|told| is_row(told))
            .count();
        let told = explanation
            .telling
            .iter()
            .filter(|told| !is_row(told) && !costs_nothing(told));
        let told = told.map(|told| trade_sentences::telling(told, &explanation.currency));
        let told = told.take(MOST_CHANGES.saturating_sub(rows));
        screen.add(Tone::Plain, &wide(told.collect()));
    }
    if explanation.telling.is_empty() {
        screen.blank();
    }
    let misses = explanation.misses.iter();
    let nearly = misses.flat_map(|all| trade_sentences::nearly(all, &explanation.currency));
    screen.add(Tone::Plain, &wide(nearly.collect()));
    screen.add(
        Tone::Plain,
        &wide(sentences::old_batches(week).into_iter().collect()),
    );
    screen.add(
        Tone::Plain,
        &wide(sentences::SHORT_CAUTIONS.map(str::to_owned).to_vec()),
    );
    screen.add(
        Tone::Plain,
        &wide(vec![sentences::WHERE_THE_REST_IS.to_owned()]),
    );
    screen
}

/// What options changed: first, since it was asked for.
fn changed(screen: &mut Screen, explanation: &Explanation) {
    if let Some(section) = changes::section(explanation) {
        screen.gap();
        screen.table(&section);
    }
}

/// What was proved, on one line where it is the usual.
fn verdict(explanation: &Explanation) -> String {
    let ordered = explanation
        .week
        .as_ref()
        .is_some_and(|week| !week.aims.is_empty());
    match explanation.verdict {
        Verdict::Best if !ordered => sentences::BEST.to_owned(),
        _ => sentences::verdict(explanation),
    }
}

/// What is paid, how long it takes, what is thrown out, what is kept.
fn sums(screen: &mut Screen, explanation: &Explanation, week: &WeekFacts, look: Look) {
    let rows = vec![
        vec!["Pay".to_owned(), pay(explanation, week)],
        vec!["Kitchen".to_owned(), kitchen(explanation, week)],
        vec!["Thrown out".to_owned(), thrown(explanation, week)],
        vec!["Kept".to_owned(), kept(explanation, week)],
    ];
    for row in rows {
        let mind = row[0] == "Thrown out" && !week.glance.thrown.is_empty();
        let tone = if mind { Tone::Mind } else { Tone::Plain };
        let label = format!("{:<10}", row[0]).replace(' ', &words::JOINT.to_string());
        let cells = vec![vec![label, row[1].clone()]];
        screen.add(
            tone,
            &grid::bare_rows(&[Lean::Left, Lean::Left], cells, look.width()),
        );
    }
}

fn pay(explanation: &Explanation, week: &WeekFacts) -> String {
    let currency = &explanation.currency;
    let going = match week.tally.going_minor {
        0 => String::new(),
        going => format!(
            "; {}, counted as {}",
            words::count(week.tally.later_trips, "more trip"),
            cash(going, currency)
        ),
    };
    format!(
        "{} for {}, {}; cupboard {}{going}",
        cash(week.tally.packs_minor, currency),
        sentences::to_buy(week),
        phrases::portions_a_day(&explanation.days),
        cash_nano(week.tally.staples_nano, currency)
    )
}

/// Minutes in the kitchen by day where it is known what is done when, else active ones.
fn kitchen(explanation: &Explanation, week: &WeekFacts) -> String {
    if let Some(prep) = &explanation.prep {
        let days: Vec<String> = prep
            .days
            .iter()
            .map(|day| {
                let waiting = match day.waiting {
                    0 => String::new(),
                    waiting => format!(" ({waiting})"),
                };
                words::joint(&words::of(&day.when, format!("{}{waiting}", day.length)))
            })
            .collect();
        let waiting = match prep.waiting {
            0 => String::new(),
            waiting => format!(", {waiting} of them waiting"),
        };
        return format!(
            "{} in the kitchen{waiting}: {}",
            count(prep.length, "minute"),
            days.join(", ")
        );
    }
    let days: Vec<String> = week
        .minutes
        .iter()
        .map(|day| words::of(&day.when, words::minutes(day.minutes_nano)))
        .collect();
    format!(
        "{} minutes of work: {}",
        words::minutes(week.tally.minutes_nano),
        days.join(", ")
    )
}

fn thrown(explanation: &Explanation, week: &WeekFacts) -> String {
    let all = &week.glance.thrown;
    if all.is_empty() {
        return "nothing".to_owned();
    }
    let told: Vec<String> = all
        .iter()
        .filter(|one| !one.trifle)
        .map(|one| format!("{} {}", one.food, mass(one.mg)))
        .collect();
    let trifles = all.iter().filter(|one| one.trifle);
    let trifles: Vec<&str> = trifles.map(|one| one.food.as_str()).collect();
    let mut parts = Vec::new();
    if !told.is_empty() {
        parts.push(told.join(", "));
    }
    if !trifles.is_empty() {
        parts.push(format!("a trifle of {}", and(&trifles)));
    }
    format!(
        "{}, {}: {}",
        mass(week.leftover_totals.spoiled_mg),
        cash_nano(week.leftover_totals.spoiled_nano, &explanation.currency),
        parts.join(", ")
    )
}

fn kept(explanation: &Explanation, week: &WeekFacts) -> String {
    let totals = &week.leftover_totals;
    if totals.kept_mg == 0 {
        return "nothing".to_owned();
    }
    let from_stock = |left: &&LeftoverFacts| {
        left.origin == Origin::Stock && left.fate == Fate::Kept && left.left_mg > 0
    };
    let stock = week.leftovers.iter().find(from_stock);
    format!(
        "{}, {}{}: still good on {}",
        mass(totals.kept_mg),
        cash_nano(totals.kept_nano, &explanation.currency),
        stock.map_or("", |_| ", stock included"),
        words::the(&explanation.carry)
    )
}

/// The lunches, by day.
fn lunches(explanation: &Explanation, week: &WeekFacts, look: Look) -> String {
    let currency = &explanation.currency;
    let rows = week.lunches.iter().map(|lunch| {
        let (minutes, _) = minutes(explanation, lunch);
        let ahead = ahead(week, lunch, look);
        let mut row = vec![
            words::short(&lunch.when),
            lunch.recipe.clone(),
            ahead,
            minutes,
            words::cash_nano(lunch.portion_cost_nano, currency),
        ];
        if look.is_wide() {
            row.push(allergens(lunch));
        }
        row
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let mut heads = vec![
        ("Day", Lean::Left),
        ("Lunch", Lean::Left),
        ("Ahead", Lean::Left),
        ("Min", Lean::Right),
        ("Each", Lean::Right),
    ];
    if look.is_wide() {
        heads.push(("Allergens", Lean::Left));
    }
    grid::bare(&heads, rows, look.width())
}

fn allergens(lunch: &LunchFacts) -> String {
    if lunch.allergens.is_empty() {
        "none known".to_owned()
    } else {
        lunch.allergens.join(", ")
    }
}

/// The allergens of each lunch, where there is no room for a column of them.
fn by_day(week: &WeekFacts, look: Look) -> String {
    let days = week.lunches.iter();
    let days: Vec<String> = days
        .map(|lunch| words::of(&lunch.when, allergens(lunch)))
        .collect();
    let label = format!("Allergens{}", words::JOINT);
    let rows = vec![vec![label, days.join("; ")]];
    grid::bare_rows(&[Lean::Left, Lean::Left], rows, look.width())
}

/// Minutes in the kitchen on the day of a lunch, or the lunch's active ones.
fn minutes(explanation: &Explanation, lunch: &LunchFacts) -> (String, bool) {
    match &explanation.prep {
        Some(prep) => {
            let day = prep.days.iter().find(|day| day.when == lunch.when);
            (day.map_or(0, |day| day.length).to_string(), true)
        }
        None => (words::minutes(lunch.minutes_nano), false),
    }
}

/// What is cooked ahead for a lunch: the days, and the batches where there is room.
fn ahead(week: &WeekFacts, lunch: &LunchFacts, look: Look) -> String {
    let serves = |batch: &&BatchFacts| batch.serves.iter().any(|(when, _)| *when == lunch.when);
    let mine: Vec<&BatchFacts> = week.batches.iter().filter(serves).collect();
    let mut days: Vec<&When> = mine.iter().map(|batch| &batch.when).collect();
    days.dedup();
    if !look.is_wide() {
        return words::days(days);
    }
    let told = days.iter().map(|day| {
        let batches = mine.iter().filter(|batch| batch.when == **day);
        let names: Vec<&str> = batches.map(|batch| batch.component.as_str()).collect();
        format!("{}: {}", words::short(day), names.join(", "))
    });
    told.collect::<Vec<_>>().join("; ")
}

/// The shopping list, which day takes what, and what is left: a table a trip.
fn foods(screen: &mut Screen, explanation: &Explanation, week: &WeekFacts, look: Look) {
    let currency = &explanation.currency;
    let days = &explanation.days;
    for (trip, facts) in explanation.trips.iter().enumerate() {
        let all = week.purchases.iter().zip(&week.glance.bought);
        let rows: Vec<Vec<String>> = all
            .filter(|(row, _)| row.trip == trip)
            .map(|(row, left)| {
                vec![
                    row.food.clone(),
                    phrases::buy_short(row),
                    words::cash(row.price_minor, currency),
                    marks(row, days),
                    rest_told(left, look),
                    until_told(left),
                ]
            })
            .collect();
        if rows.is_empty() {
            continue;
        }
        screen.gap();
        // A date in full would make the column wider than the foods in it.
        let day = match facts.when.date {
            Some(_) => words::short(&facts.when),
            None => facts.when.name.clone(),
        };
        let head = format!("Buy on {}", phrases::trip_on(&day, facts.shop.as_deref()));
        let marks = letters(days);
        let table = grid::bare(
            &[
                (&head, Lean::Left),
                ("Pack", Lean::Left),
                ("Price", Lean::Right),
                (&marks, Lean::Left),
                ("Left", Lean::Left),
                ("Good until", Lean::Left),
            ],
            rows,
            look.width(),
        );
        screen.table(&table);
        screen.mark(&format!(", {OUT}"), Tone::Mind);
    }
}

/// The days as single letters, or what the column is where there are too many.
fn letters(days: &[(When, i64)]) -> String {
    if days.len() > MOST_DAYS {
        return "For".to_owned();
    }
    let letters: Vec<&str> = days.iter().map(|(when, _)| words::letter(when)).collect();
    letters.concat()
}

/// An `x` under every day that takes a purchase.
fn marks(row: &PurchaseFacts, days: &[(When, i64)]) -> String {
    if days.len() > MOST_DAYS {
        return words::days(&row.serves);
    }
    let marks: Vec<&str> = days
        .iter()
        .map(|(when, _)| if row.serves.contains(when) { "x" } else { "." })
        .collect();
    marks.concat()
}

fn rest_told(left: &[Rest], look: Look) -> String {
    let told: Vec<String> = left
        .iter()
        .filter(|rest| !rest.trifle)
        .map(|rest| {
            let left = measures::left(&rest.measured);
            let weighed = mass(rest.measured.mg);
            if look.is_wide() && left != weighed {
                format!("{left} ({weighed})")
            } else {
                left
            }
        })
        .collect();
    match (told.is_empty(), left.is_empty()) {
        (false, _) => told.join("; "),
        (true, false) => "a trifle".to_owned(),
        (true, true) => "-".to_owned(),
    }
}

fn until_told(left: &[Rest]) -> String {
    let told: Vec<String> = left
        .iter()
        .filter(|rest| !rest.trifle)
        .map(|rest| {
            let until = words::until(&rest.good_until);
            if rest.spoils {
                format!("{until},{}{OUT}", words::JOINT)
            } else {
                until
            }
        })
        .collect();
    told.join("; ")
}

/// What comes from the house.
fn house(week: &WeekFacts, look: Look) -> String {
    let mut rows = Vec::new();
    let house: Vec<String> = week
        .glance
        .house
        .iter()
        .map(|one| {
            let left = match &one.rest {
                None => "all".to_owned(),
                Some(rest) if rest.trifle => "a trifle left".to_owned(),
                Some(rest) => {
                    let until = words::until(&rest.good_until);
                    let left = measures::left(&rest.measured);
                    if rest.spoils {
                        format!("{left} left: {until}, {OUT}")
                    } else {
                        format!("{left} left: {until}")
                    }
                }
            };
            format!("{} {} ({left})", one.food, mass(one.used_mg))
        })
        .collect();
    if !house.is_empty() {
        rows.push(vec!["House".to_owned(), house.join(", ")]);
    }
    let staples = week.staples.iter().filter(|row| row.cost_nano >= NANO / 2);
    let staples: Vec<&str> = staples.map(|row| row.food.as_str()).collect();
    if !staples.is_empty() {
        rows.push(vec!["Cupboard".to_owned(), staples.join(", ")]);
    }
    grid::bare_rows(&[Lean::Left, Lean::Left], rows, look.width())
}

/// What is cooked on which day.
fn batches(week: &WeekFacts, look: Look) -> String {
    let mut days: Vec<&When> = week.batches.iter().map(|batch| &batch.when).collect();
    days.dedup();
    let rows = days.into_iter().map(|day| {
        let mine = week.batches.iter().filter(|batch| batch.when == *day);
        let told: Vec<String> = mine.map(batch).collect();
        vec![
            format!("Cook{}{}", words::JOINT, words::short(day)),
            told.join("; "),
        ]
    });
    grid::bare_rows(&[Lean::Left, Lean::Left], rows.collect(), look.width())
}

fn batch(batch: &BatchFacts) -> String {
    let days: Vec<&When> = batch.serves.iter().map(|(when, _)| when).collect();
    format!(
        "{} {} ({})",
        batch.component,
        mass(batch.mg),
        words::days(days)
    )
}

/// Whether what a change brings fits a row.
fn is_row(told: &Telling) -> bool {
    told.case.proof == Proof::Best
        && told.case.more.is_some()
        && told.case.switch.is_some()
        && !costs_nothing(told)
}

/// Whether it is a rule that costs nothing, which nobody asks about first.
fn costs_nothing(told: &Telling) -> bool {
    let nothing = |more: Sums| {
        let money = [more.objective_nano, more.spoiled_nano];
        let counts = [more.packs_minor, more.foods];
        money.iter().chain(&counts).all(|&by| by == 0)
    };
    matches!(told.what, Asked::Dropped(_)) && told.case.more.is_some_and(nothing)
}

/// Most changes on the first screen: those that come first are asked about first.
const MOST_CHANGES: usize = 3;

/// The changes a cook asks about first, and the option that brings each.
fn rather(explanation: &Explanation, look: Look) -> String {
    let currency = &explanation.currency;
    let rows = explanation
        .telling
        .iter()
        .filter(|told| is_row(told))
        .take(MOST_CHANGES)
        .filter_map(|told| {
            let more = told.case.more?;
            Some(vec![
                change(told),
                trade_sentences::signed(more.packs_minor * NANO, currency),
                trade_sentences::signed(more.spoiled_nano, currency),
                trade_sentences::signed(more.objective_nano, currency),
                option(told, currency),
            ])
        })
        .collect::<Vec<_>>();
    grid::bare(
        &[
            ("Or rather", Lean::Left),
            ("Pay", Lean::Right),
            ("Out", Lean::Right),
            ("Total", Lean::Right),
            ("Add to the command", Lean::Left),
        ],
        rows,
        look.width(),
    )
}

fn change(told: &Telling) -> String {
    match &told.what {
        Asked::Looser(Clash::Cap(most, CapBy::Foods)) => count(*most, "food"),
        Asked::Looser(Clash::Cap(most, CapBy::Families)) => {
            format!("foods of {}", count(*most, "family"))
        }
        Asked::Looser(Clash::PerForm(most)) => format!("{} of a form", count(*most, "lunch")),
        Asked::Looser(Clash::PerProtein(most)) => {
            format!("{} of a protein", count(*most, "lunch"))
        }
        Asked::Looser(_) => "a rule one step looser".to_owned(),
        Asked::Dropped(Clash::KitchenMinutes { limit_nano, .. }) => {
            format!("no {} min limit", words::minutes(*limit_nano))
        }
        Asked::Dropped(_) => "a rule less".to_owned(),
        Asked::Without { food, .. } => format!("without {food}"),
        Asked::Others => "another lunch".to_owned(),
    }
}

/// What to type, or to write where no option does it.
fn option(told: &Telling, _: &Currency) -> String {
    let quoted = |option: &str, name: &str| format!("{option} \"{name}\"");
    match &told.what {
        Asked::Looser(Clash::Cap(most, _)) => format!("--cap {most}"),
        Asked::Looser(Clash::PerForm(most)) => format!("(rules: per_form: {most})"),
        Asked::Looser(Clash::PerProtein(most)) => format!("(rules: per_protein: {most})"),
        Asked::Dropped(Clash::KitchenMinutes { .. }) => "(rules: kitchen_minutes)".to_owned(),
        Asked::Looser(_) | Asked::Dropped(_) => "(scant tradeoffs --only rules)".to_owned(),
        Asked::Without { food, .. } => quoted("--without", food),
        Asked::Others => told.insist.as_ref().map_or_else(
            || "(scant tradeoffs --only others)".to_owned(),
            |name| quoted("--with", name),
        ),
    }
}
