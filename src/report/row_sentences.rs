//! What is said of weeks in a row. Figures come from the explanation; nothing is worked out.

use super::phrases;
use super::words::{self, cash, cash_nano, count, mass};
use crate::explain::{Row, RowSums, RowWeek, Verdict, WeekFacts, When};
use crate::larder::{Currency, Stock};

/// What is claimed of a row, and what is not.
pub(super) fn claim(row: &Row) -> String {
    let told = row.weeks.len();
    let best = row.weeks.iter().all(|w| w.told.verdict == Verdict::Best);
    let first = match row.verdict() {
        Verdict::Best if told < row.asked => format!(
            "{} of {} weeks, each proved best given what the weeks before it left; then it was \
             stopped.",
            told, row.asked
        ),
        Verdict::Best => format!(
            "{}, each proved best given what the weeks before it left.",
            count(told as i64, "week")
        ),
        Verdict::Impossible if told == 1 => {
            "There is no row: no week keeps all the rules, proved.".to_owned()
        }
        Verdict::Impossible => format!(
            "The row ends before week {told} of {}: no week keeps all the rules after those \
             before it, proved.",
            row.asked
        ),
        Verdict::OutOfTime { .. } => format!(
            "The row ends before week {told} of {}: the search ended before it found one; whether \
             there is one is not known.",
            row.asked
        ),
        Verdict::Good { .. } | Verdict::Judged => format!(
            "The row ends with week {told} of {}: that week is not proved best, so none is built \
             on it.",
            row.asked
        ),
    };
    let before = if best || told < 2 {
        ""
    } else {
        " The weeks before it are each proved best given what the weeks before them left."
    };
    format!(
        "{first}{before} The row as a whole is not claimed to be the best of all rows: a week does \
         not look ahead to those that follow."
    )
}

/// What a week is handed, buys, and hands on.
pub(super) fn of_week(row: &Row, week: &RowWeek) -> Vec<String> {
    let currency = &row.currency;
    let (Some(facts), Some(handed), Some(sums)) = (&week.told.week, &week.told.handed, &week.sums)
    else {
        return Vec::new();
    };
    let mut said = Vec::new();
    said.push(format!(
        "On hand: {}, {}, worth {}.",
        count(handed.on_hand_units as i64, "unit"),
        mass(sums.on_hand_mg),
        cash_nano(sums.on_hand_nano, currency)
    ));
    if sums.lost_mg > 0 {
        said.push(format!(
            "Gone off since the week before: {}, worth {}.",
            mass(sums.lost_mg),
            cash_nano(sums.lost_nano, currency)
        ));
    }
    said.push(bought(facts, sums, currency));
    if let Some(finishers) = &week.told.finishers {
        said.push(super::sentences::appeal(finishers));
        let bought = finishers.bought.iter();
        said.extend(bought.map(|offer| super::sentences::bought_to_finish(offer, currency)));
    }
    said.push(if handed.kept.is_empty() {
        "Nothing is kept for the next week.".to_owned()
    } else {
        let kept: Vec<String> = handed
            .kept
            .chunk_by(|a, b| a == b)
            .map(|alike| kept(&alike[0], alike.len()))
            .collect();
        format!(
            "Kept for the next week, worth {}: {}.",
            cash_nano(sums.kept_nano, currency),
            kept.join("; ")
        )
    });
    said.push(format!(
        "Spoiled: {}, worth {}.",
        mass(sums.spoiled_mg),
        cash_nano(sums.spoiled_nano, currency)
    ));
    said
}

fn bought(facts: &WeekFacts, sums: &RowSums, currency: &Currency) -> String {
    if facts.purchases.is_empty() {
        return "Buy nothing.".to_owned();
    }
    let trips = facts.purchases.chunk_by(|a, b| a.trip == b.trip);
    let trips: Vec<(String, String)> = trips
        .map(|trip| {
            let rows = trip.iter();
            let rows = rows.map(|row| format!("{} {}", row.food, phrases::buy(row)));
            (
                phrases::trip_to(&trip[0].bought_on, trip[0].shop.as_deref()),
                rows.collect::<Vec<_>>().join("; "),
            )
        })
        .collect();
    let rows = if let [(_, rows)] = trips.as_slice() {
        rows.clone()
    } else {
        let told = trips.iter().map(|(day, rows)| format!("on {day} {rows}"));
        told.collect::<Vec<_>>().join("; ")
    };
    format!(
        "Buy {} for {}: {rows}.",
        count(sums.foods, "food to buy"),
        cash(facts.tally.packs_minor, currency),
    )
}

/// A kept unit: "tahini 94 g (open jar, open, to Friday)".
fn kept((food, unit, until): &(String, Stock, When), count: usize) -> String {
    let times = if count > 1 {
        format!("{count} times ")
    } else {
        String::new()
    };
    let state = if unit.opened { "open" } else { "sealed" };
    format!(
        "{food} {times}{} ({}, {state}: {})",
        mass(unit.left_mg),
        unit.label,
        words::until(until)
    )
}

/// The whole row in a few sentences.
pub(super) fn in_all(row: &Row) -> Vec<String> {
    let (sums, currency) = (row.totals(), &row.currency);
    let mut said = vec![
        "Spoiled, on hand and kept are worth at the price paid. On hand in all is what the first week \
         began with, kept what the last one leaves."
            .to_owned(),
        format!(
            "Edible in all: on hand {}, bought {}; used {}, spoiled {}{}, kept {}.",
            mass(sums.on_hand_mg),
            mass(sums.bought_mg),
            mass(sums.used_mg),
            mass(sums.spoiled_mg),
            if sums.lost_mg > 0 {
                format!(", gone off between weeks {}", mass(sums.lost_mg))
            } else {
                String::new()
            },
            mass(sums.kept_mg)
        ),
    ];
    if sums.finishers_minor > 0 {
        said.push(format!(
            "In the bill, packs for finishers: {}.",
            cash(sums.finishers_minor, currency)
        ));
    }
    if row.refused_weeks > 0 {
        said.push(match row.refused_weeks {
            1 => "No recipe of the week before is served again.".to_owned(),
            weeks => format!(
                "No recipe of the last {} is served again.",
                count(weeks as i64, "week")
            ),
        });
    }
    if let Some((weeks, price)) = row.priced_weeks {
        said.push(format!(
            "A lunch whose recipe was served in the {} costs {} more in the total.",
            match weeks {
                1 => "week before".to_owned(),
                weeks => format!("last {}", count(weeks as i64, "week")),
            },
            cash(price, currency)
        ));
    }
    said
}
