//! Holds the first screen of `scant week` and the screen of `scant tradeoffs` against the JSON of
//! the same run and the kitchen: every figure, day, name and mark.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use scant::larder::{CapBy, Contents};
use scant::tradeoffs::Proof;

use super::check::{Check, days, int, list, nano, text, texts};
use super::page::{self, and, count, mass, money, money_nano, short, signed};
use super::run::{Told, Week};
use super::week::food_of;
use super::words::switched;

const NANO: i64 = 1_000_000_000;

/// A text on one line.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn day(larder: &Contents, day: i64) -> String {
    short(&larder.day_name(day as i32))
}

fn is_trifle(larder: &Contents, mg: i64, nano: i64) -> bool {
    let digits = u32::from(larder.currency.digits.saturating_sub(2));
    mg < 5_000 || nano < 5 * 10_i64.pow(digits) * NANO
}

/// A number as cooks write it: `3 1/2`; thousandths.
fn number(words: &[&str]) -> Option<i64> {
    let mut all = 0;
    for word in words {
        all += match word.split_once('/') {
            Some((over, under)) => over.parse::<i64>().ok()? * 1_000 / under.parse::<i64>().ok()?,
            None => word.parse::<i64>().ok()? * 1_000,
        };
    }
    (!words.is_empty()).then_some(all)
}

/// Whether an amount in a cook's measure is the one left, as near as it says.
fn measured(c: &mut Check, larder: &Contents, row: &Value, said: &str) {
    let left = int(&row["left_mg"]);
    let household = &larder.foods[food_of(larder, text(&row["food"])).index()].household;
    let about = said.starts_with("about ");
    let words: Vec<&str> = said.trim_start_matches("about ").split(' ').collect();
    let (last, before) = words.split_last().expect("a word");
    let one_mg = |word: &str| {
        let counted = household.counted.iter().find(|(name, _)| name == word);
        counted.map(|&(_, mg)| mg)
    };
    let (figure, unit) = match *last {
        "g" | "kg" | "mg" => {
            let figure: f64 = before[0].parse().expect("a weight");
            let unit = [("mg", 1.0), ("g", 1e3), ("kg", 1e6)];
            let unit = unit.iter().find(|(name, _)| name == last).unwrap().1;
            let off = (figure * unit - left as f64).abs();
            return c.yes(
                off <= 500.0 || off * 20.0 <= left as f64,
                format!("{said}: {row}"),
            );
        }
        "pinch" => return c.yes(left < 2_000, format!("{said}: {row}")),
        "tsp" => (number(before), household.cup_mg.map(|mg| mg / 48)),
        "tbsp" => (number(before), household.cup_mg.map(|mg| mg / 16)),
        "cup" | "cups" => (number(before), household.cup_mg),
        "slice" | "slices" => (number(before), one_mg("slice")),
        "clove" | "cloves" => (number(before), one_mg("clove")),
        other if other.starts_with(|letter: char| letter.is_ascii_digit()) => {
            (number(&words), one_mg("piece"))
        }
        other => {
            let pack = text(&row["pack"]);
            c.yes(
                pack.contains(other.trim_end_matches('s')),
                format!("{said}: {row}"),
            );
            let unit = int(&row["bought_mg"]) / int(&row["units"]).max(1);
            (number(before), Some(unit))
        }
    };
    let (Some(figure), Some(unit)) = (figure, unit) else {
        return c.yes(false, format!("{said} is no measure of {row}"));
    };
    let off = (figure * unit / 1_000 - left).abs();
    let most = if about { 16 } else { 6 };
    c.yes(
        off * 100 <= left * most + 20_000,
        format!("{said} is {left} mg: {row}"),
    );
}

/// Looks for a row of a table: whole where it stands on one line, else its words.
fn row(c: &mut Check, screen: &str, cells: &[String]) {
    let whole = flat(&cells.join(" "));
    let found = screen.lines().any(|line| flat(line) == whole);
    let one = flat(screen);
    let words = || whole.split(' ').all(|word| one.contains(word));
    let wide = cells
        .iter()
        .map(|cell| cell.chars().count() + 1)
        .sum::<usize>()
        > 60;
    c.yes(found || wide && words(), format!("{whole} in\n{screen}"));
}

/// Holds the first screen against the week and its prep plan.
pub fn check(c: &mut Check, run: &Week, week: &Value) {
    for (screen, width) in [(&run.screen, 80), (&run.wide, 120)] {
        for line in screen.lines() {
            c.yes(line.chars().count() <= width, format!("{width}: {line}"));
        }
        c.yes(!screen.contains('\u{1b}'), "no escapes");
    }
    let larder = &run.larder;
    let one = flat(&run.screen);
    let verdict = match (text(&week["outcome"]), list(&week["aims"]).is_empty()) {
        ("best", true) => "Proved best: no week within its rules is better.".to_owned(),
        _ => super::words::verdict(larder, week),
    };
    let point = if week["objective"].is_null() { "" } else { "." };
    let head = format!("{}{point} {}", larder.name, verdict);
    c.yes(one.starts_with(&flat(&head)), format!("{head} opens {one}"));
    // What was asked for comes first.
    let changed = run.screen.find("\nWHAT CHANGED\n");
    c.same(
        "what changed is told",
        changed.is_some(),
        !week["changes"].is_null(),
    );
    if week["objective"].is_null() {
        return;
    }
    let pay = run.screen.find("\nPay").expect("what is paid");
    c.yes(
        changed.is_none_or(|at| at < pay),
        "what changed comes first",
    );
    let wide = flat(&run.wide);
    let mut says = |sentence: String| {
        let sentence = flat(&sentence);
        c.yes(one.contains(&sentence), format!("{sentence} in {one}"));
        c.yes(wide.contains(&sentence), format!("{sentence} in {wide}"));
    };
    for sentence in sums(run, week) {
        says(sentence);
    }
    for sentence in house(larder, week) {
        says(sentence);
    }
    for sentence in cook(larder, week) {
        says(sentence);
    }
    lunches(c, run, week);
    foods(c, run, week);
    rather(c, run, week);
}

fn prep(run: &Week) -> Value {
    let prep = run.prep.as_ref().expect("it is known what is done when");
    serde_json::from_str(prep).expect("JSON")
}

/// Minutes in the kitchen of each day, and those of them in which the cook waits.
fn minutes(prep: &Value) -> BTreeMap<i64, (i64, i64)> {
    let mut by_day: BTreeMap<i64, (i64, i64)> = BTreeMap::new();
    for stint in list(&prep["stints"]) {
        let sums = by_day.entry(int(&stint["day"])).or_default();
        sums.0 += int(&stint["minutes"]);
        let waits = list(&stint["waits"]).iter();
        sums.1 += waits
            .map(|wait| int(&wait["to"]) - int(&wait["from"]))
            .sum::<i64>();
    }
    by_day
}

/// What is paid, how long it takes, what is thrown out, what is kept.
fn sums(run: &Week, week: &Value) -> Vec<String> {
    let larder = &run.larder;
    let currency = &larder.currency;
    let foods = count(int(&week["foods"]), "food", "foods");
    let foods = match (larder.wishes.cap, larder.wishes.cap_by) {
        (None, _) => foods,
        (Some(cap), CapBy::Foods) => format!("{foods} (at most {cap})"),
        (Some(cap), CapBy::Families) => {
            let families = count(int(&week["families"]), "family", "families");
            format!("{foods} of {families} (at most {cap})")
        }
    };
    // The bill is the sum of the list.
    let bill: i64 = list(&week["purchases"])
        .iter()
        .map(|row| int(&row["price"]))
        .sum();
    let staples: i64 = list(&week["staples"])
        .iter()
        .map(|row| nano(&row["cost"]))
        .sum();
    let mut eaters = larder.week.eaters_milli.clone();
    eaters.dedup();
    let portions = if let [one] = eaters[..] {
        let noun = if one == 1_000 { "portion" } else { "portions" };
        format!("{} {noun} a day", page::thousandths(one))
    } else {
        let each = (1..).zip(&larder.week.eaters_milli);
        let each =
            each.map(|(at, &milli)| format!("{} {}", day(larder, at), page::thousandths(milli)));
        format!("portions {}", each.collect::<Vec<_>>().join(", "))
    };
    let trips: BTreeSet<i64> = list(&week["purchases"])
        .iter()
        .map(|row| int(&row["trip"]))
        .filter(|&trip| trip > 0)
        .collect();
    let own = |&trip: &i64| larder.week.trips[trip as usize].going_minor;
    let price = larder.wishes.trip_price_minor;
    let going: i64 = trips.iter().map(|trip| own(trip).unwrap_or(price)).sum();
    let going = if going == 0 {
        String::new()
    } else {
        format!(
            "; {}, counted as {}",
            count(trips.len() as i64, "more trip", "more trips"),
            money(going, currency)
        )
    };
    let mut all = vec![format!(
        "Pay {} for {foods}, {portions}; cupboard {}{going}",
        money(bill, currency),
        money_nano(staples, currency)
    )];
    let by_day = minutes(&prep(run));
    let (length, waiting) = by_day.values().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    let each: Vec<String> = by_day
        .iter()
        .map(|(&at, &(length, waiting))| {
            let waiting = if waiting > 0 {
                format!(" ({waiting})")
            } else {
                String::new()
            };
            format!("{} {length}{waiting}", day(larder, at))
        })
        .collect();
    let waiting = if waiting > 0 {
        format!(", {waiting} of them waiting")
    } else {
        String::new()
    };
    all.push(format!(
        "Kitchen {} in the kitchen{waiting}: {}",
        count(length, "minute", "minutes"),
        each.join(", ")
    ));
    let mut thrown: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    let (mut kept_mg, mut kept, mut stocked) = (0, 0, false);
    for left in list(&week["leftovers"]) {
        let (mg, value) = (int(&left["left_mg"]), nano(&left["value"]));
        match text(&left["fate"]) {
            "spoiled" => {
                let sums = thrown.entry(text(&left["food"])).or_default();
                *sums = (sums.0 + mg, sums.1 + value);
            }
            "kept" => {
                (kept_mg, kept) = (kept_mg + mg, kept + value);
                stocked |= mg > 0 && left["on_hand"].as_bool() == Some(true);
            }
            _ => {}
        }
    }
    let carry = larder.day_name(larder.week.carry_day);
    let carry = carry
        .strip_prefix("next ")
        .map_or(carry.clone(), |day| format!("the {day} after"));
    all.push(if kept_mg == 0 {
        "Kept nothing".to_owned()
    } else {
        format!(
            "Kept {}, {}{}: still good on {carry}",
            mass(kept_mg),
            money_nano(kept, currency),
            if stocked { ", stock included" } else { "" }
        )
    });
    if thrown.is_empty() {
        all.push("Thrown out nothing".to_owned());
        return all;
    }
    let (mg, value) = thrown.values().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    let mut by_value: Vec<(&str, (i64, i64))> = thrown.into_iter().collect();
    by_value.sort_by_key(|&(food, (_, value))| (-value, food));
    let (trifles, told): (Vec<_>, Vec<_>) = by_value
        .into_iter()
        .partition(|&(_, (mg, value))| is_trifle(larder, mg, value));
    let mut parts: Vec<String> = told
        .iter()
        .map(|&(food, (mg, _))| format!("{food} {}", mass(mg)))
        .collect();
    if !trifles.is_empty() {
        let names: Vec<String> = trifles.iter().map(|&(food, _)| food.to_owned()).collect();
        parts.push(format!("a trifle of {}", and(&names)));
    }
    all.push(format!(
        "Thrown out {}, {}: {}",
        mass(mg),
        money_nano(value, currency),
        parts.join(", ")
    ));
    all
}

fn lunches(c: &mut Check, run: &Week, week: &Value) {
    let by_day = minutes(&prep(run));
    let mut contain = Vec::new();
    for lunch in list(&week["lunches"]) {
        let at = int(&lunch["day"]);
        let mut ahead: Vec<i64> = list(&week["batches"])
            .iter()
            .filter(|batch| {
                list(&batch["serves"])
                    .iter()
                    .any(|one| int(&one["day"]) == at)
            })
            .map(|batch| int(&batch["day"]))
            .collect();
        ahead.dedup();
        let ahead: Vec<String> = ahead.into_iter().map(|at| day(&run.larder, at)).collect();
        let allergens = texts(&lunch["allergens"]);
        let cells = [
            day(&run.larder, at),
            text(&lunch["recipe"]).to_owned(),
            ahead.join(" "),
            by_day.get(&at).map_or(0, |sums| sums.0).to_string(),
            money_nano(nano(&lunch["cost_a_portion"]), &run.larder.currency),
        ];
        row(c, &run.screen, &cells);
        let told = if allergens.is_empty() {
            "none known".to_owned()
        } else {
            allergens.join(", ")
        };
        contain.push(format!("{} {told}", day(&run.larder, at)));
    }
    let line = format!("Allergens {} ", contain.join("; "));
    c.yes(flat(&run.screen).contains(&line), &line);
}

/// The one table of list, reuse and leftovers.
fn foods(c: &mut Check, run: &Week, week: &Value) {
    let larder = &run.larder;
    for bought in list(&week["purchases"]) {
        let (food, pack) = (text(&bought["food"]), text(&bought["pack"]));
        let stage = bought["stage"].as_str();
        let stage_told = stage.filter(|stage| !pack.contains(stage));
        let stage_told = stage_told.map_or(String::new(), |stage| format!(", {stage}"));
        let n = int(&bought["count"]);
        let pieces = ["single", "piece", "each", "one"].contains(&pack);
        let buy = match (bought["loose"].as_bool() == Some(true), n) {
            (true, _) if pieces => format!("{n}{stage_told}"),
            (true, _) => format!(
                "{} {pack}{stage_told}",
                mass(int(&bought["as_purchased_mg"]))
            ),
            (false, 1) => format!("{pack}{stage_told}"),
            (false, _) => format!("{n} x {pack}{stage_told}"),
        };
        let fed = days(&bought["serves"]);
        let marks: String = if larder.lunch_count() > 10 {
            fed.iter()
                .map(|&at| day(larder, at.into()))
                .collect::<Vec<_>>()
                .join(" ")
        } else {
            let all = 1..=larder.lunch_count() as i32;
            all.map(|at| if fed.contains(&at) { 'x' } else { '.' })
                .collect()
        };
        let mine: Vec<&Value> = list(&week["leftovers"])
            .iter()
            .filter(|left| {
                left["on_hand"].as_bool() != Some(true)
                    && text(&left["food"]) == food
                    && text(&left["pack"]) == pack
                    && left["stage"].as_str() == stage
                    && left["bought_on"] == bought["bought_on"]
                    && int(&left["left_mg"]) > 0
            })
            .collect();
        let told: Vec<&&Value> = mine
            .iter()
            .filter(|left| !is_trifle(larder, int(&left["left_mg"]), nano(&left["value"])))
            .collect();
        let price = money(int(&bought["price"]), &larder.currency);
        let begin = flat(&format!("{food} {buy} {price} {marks}"));
        let line = run
            .screen
            .lines()
            .map(flat)
            .find(|line| line.starts_with(&begin));
        let Some(line) = line else {
            row(c, &run.screen, &[food.to_owned(), buy, price, marks]);
            continue;
        };
        let rest = line[begin.len()..].trim();
        if told.is_empty() {
            let is = if mine.is_empty() { "-" } else { "a trifle" };
            c.same("left", rest, is);
            continue;
        }
        let end: Vec<String> = told
            .iter()
            .map(|left| {
                let until = page::until(larder, int(&left["good_until"]));
                let out = text(&left["fate"]) == "spoiled";
                if out { format!("{until}, out") } else { until }
            })
            .collect();
        let Some(left) = rest.strip_suffix(&end.join("; ")) else {
            // A cell that wraps; seldom.
            c.yes(
                rest.contains(';') || line.len() > 60,
                format!("{line} ends with {end:?}"),
            );
            continue;
        };
        let said: Vec<&str> = left.trim().split("; ").collect();
        c.same("amounts left", said.len(), told.len());
        for (said, left) in said.iter().zip(told) {
            measured(c, larder, left, said);
        }
    }
}

/// What comes from the house: names and amounts used; what of it is left is said as in the table.
fn house(larder: &Contents, week: &Value) -> Vec<String> {
    let used = list(&week["leftovers"])
        .iter()
        .filter(|left| left["on_hand"].as_bool() == Some(true) && int(&left["used_mg"]) > 0);
    let mut all: Vec<String> = used
        .map(|left| {
            let food = text(&left["food"]);
            format!("{food} {} (", mass(int(&left["used_mg"])))
        })
        .collect();
    let staples: Vec<&str> = list(&week["staples"])
        .iter()
        .filter(|row| nano(&row["cost"]) >= NANO / 2)
        .map(|row| text(&row["food"]))
        .collect();
    if !staples.is_empty() {
        all.push(format!("Cupboard {}", staples.join(", ")));
    }
    let _ = larder;
    all
}

/// Batches by day.
fn cook(larder: &Contents, week: &Value) -> Vec<String> {
    let mut by_day: BTreeMap<i64, Vec<String>> = BTreeMap::new();
    for batch in list(&week["batches"]) {
        let serves: Vec<String> = list(&batch["serves"])
            .iter()
            .map(|one| day(larder, int(&one["day"])))
            .collect();
        by_day.entry(int(&batch["day"])).or_default().push(format!(
            "{} {} ({})",
            text(&batch["component"]),
            mass(int(&batch["makes_mg"])),
            serves.join(" ")
        ));
    }
    by_day
        .into_iter()
        .map(|(at, told)| format!("Cook {} {}", day(larder, at), told.join("; ")))
        .collect()
}

/// What changes would cost, and the option that brings each.
fn rather(c: &mut Check, run: &Week, week: &Value) {
    let currency = &run.larder.currency;
    // At most three rows; a limit that costs nothing has none.
    let idle = |more: &Value| {
        ["bill", "foods"].iter().all(|key| int(&more[*key]) == 0)
            && ["spoiled", "objective"]
                .iter()
                .all(|key| nano(&more[*key]) == 0)
    };
    let rows = list(&week["tellings"]).iter().filter(|told| {
        let rule = text(&told["sentence"]).starts_with("Without the rule");
        text(&told["case"]["outcome"]) == "best" && !(rule && idle(&told["case"]["more"]))
    });
    for told in rows.take(3) {
        let case = &told["case"];
        let more = &case["more"];
        let figures = [
            signed(int(&more["bill"]) * NANO, currency),
            signed(nano(&more["spoiled"]), currency),
            signed(nano(&more["objective"]), currency),
        ];
        let figures = figures.join(" ");
        let sentence = text(&told["sentence"]);
        // The option asks for what the sentence tells of; two changes may bring the same week.
        let asks = |line: &String| {
            let option = line.split(&figures).nth(1).unwrap_or_default().trim();
            if let Some(cap) = option.strip_prefix("--cap ") {
                let of = sentence.starts_with(&format!("With at most {cap} food"));
                of || sentence.starts_with("With foods to buy of at most")
            } else if let Some(name) = option.strip_prefix("--without ") {
                sentence.starts_with(&format!("Without {} (", name.trim_matches('"')))
            } else if let Some(name) = option.strip_prefix("--with ") {
                let come = list(&case["switch"]["come"]).iter();
                let name = name.trim_matches('"');
                let served = list(&week["lunches"]).iter();
                come.map(|one| text(&one[1])).any(|one| one == name)
                    && served
                        .map(|one| text(&one["recipe"]))
                        .all(|one| one != name)
            } else {
                (option == "(rules: kitchen_minutes)" && sentence.starts_with("Without the rule"))
                    || option.starts_with("(rules: per_")
                    || option.starts_with("(scant tradeoffs --only ")
            }
        };
        let lines = run.screen.lines().map(flat);
        let lines: Vec<String> = lines.filter(|line| line.contains(&figures)).collect();
        let known = lines.iter().any(asks);
        c.yes(known, format!("{lines:?} for {sentence}"));
    }
}

/// Holds the screen of trade-offs against their JSON: rows, and the week of every letter.
pub fn trade(c: &mut Check, run: &Told, told: &Value) {
    for line in run.screen.lines() {
        c.yes(line.chars().count() <= 80, line);
    }
    if run.proof != Proof::Best {
        c.same("no week", flat(&run.screen), flat(&run.text));
        return;
    }
    let currency = &run.larder.currency;
    let one = flat(&run.screen);
    let sums = &told["week"]["sums"];
    let head = format!(
        "{}. Proved best: pay {}, {}, thrown out {}, total {}.",
        run.larder.name,
        money(int(&sums["bill"]), currency),
        count(int(&sums["foods"]), "food", "foods"),
        money_nano(nano(&sums["spoiled"]), currency),
        money_nano(nano(&sums["objective"]), currency)
    );
    c.yes(one.starts_with(&flat(&head)), format!("{head} opens {one}"));
    // What every letter stands for, on one line.
    let legend = run.screen.split("\nWeek Out").nth(1);
    let mut letters: BTreeMap<String, String> = BTreeMap::new();
    let mut last = String::new();
    for line in legend
        .unwrap_or_default()
        .split("\n\n")
        .next()
        .unwrap()
        .lines()
        .skip(1)
    {
        let letter = line.split(' ').next().unwrap_or_default();
        if letter.is_empty() {
            letters.get_mut(&last).expect("a row").push(' ');
            letters.get_mut(&last).unwrap().push_str(line.trim());
        } else {
            let fresh = letters.insert(letter.to_owned(), flat(line)).is_none();
            c.yes(fresh, format!("{letter} stands there once"));
            letter.clone_into(&mut last);
        }
    }
    let table = run.screen.split("\nWeek Out").next().unwrap();
    for letter in letters.keys() {
        let used = table
            .lines()
            .any(|line| line.split(' ').any(|word| word == letter));
        c.yes(used, format!("{letter} is spoken of in\n{table}"));
    }
    let mut answer = |name: &str, case: &Value| {
        if text(&case["outcome"]) != "best" {
            return;
        }
        let more = &case["more"];
        let foods = int(&more["foods"]);
        let figures = format!(
            "{} {} {} {}",
            signed(nano(&case["at_least"]), currency),
            signed(int(&more["bill"]) * NANO, currency),
            if foods == 0 {
                "0".to_owned()
            } else {
                format!("{foods:+}")
            },
            signed(nano(&more["spoiled"]), currency)
        );
        let mut rows = table
            .lines()
            .map(flat)
            .filter(|line| line.contains(&figures));
        let mut named = rows.clone().filter(|line| line.contains(name));
        let Some(line) = named.next().or_else(|| rows.next()) else {
            return;
        };
        let week = line.split(&figures).nth(1).unwrap_or_default().trim();
        let come = switched(&case["switch"], "");
        let come = flat(come.trim_start_matches("for : "));
        if let Some(is) = letters.get(week) {
            // Equal figures may be another row's.
            let alike = table
                .lines()
                .filter(|line| flat(line).contains(&figures))
                .count()
                > 1;
            c.yes(
                alike || is.ends_with(&come),
                format!("{is} ends with {come}"),
            );
        } else if week == "same" {
            c.yes(
                alike_lunches(&case["switch"]),
                format!("{line} has the same lunches"),
            );
        }
    };
    if !told["foods"].is_null() {
        for price in list(&told["foods"]) {
            answer(text(&price["food"]), &price["without"]);
        }
    }
    if !told["others"].is_null() {
        for case in list(&told["others"]["next"]) {
            answer("next", case);
        }
    }
}

fn alike_lunches(switch: &Value) -> bool {
    list(&switch["leave"]).is_empty() && list(&switch["lines"]).is_empty()
}
