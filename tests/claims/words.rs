//! Holds the finished text of `scant week` against the same week's JSON, which `week.rs` holds
//! against the kitchen. A sentence that is not known here is a fault: nobody would hold it
//! against anything.

use std::collections::BTreeSet;

use serde_json::Value;

use scant::larder::{CapBy, Contents, Nutrient};

use super::check::{Check, days, int, list, milli, nano, text, texts};
use super::page::{self, Section, and, count, holes, mass, money, money_nano, short, signed};
use super::run::Week;

const NANO: i64 = 1_000_000_000;

fn named(larder: &Contents, days: &[i32]) -> String {
    let names = days.iter().map(|&day| short(&larder.day_name(day)));
    names.collect::<Vec<_>>().join(" ")
}

fn unknown(c: &mut Check, section: &Section, item: &str) {
    c.yes(
        false,
        format!("not held against anything, in {:?}: {item}", section.title),
    );
}

/// The carry day in a sentence.
fn carried(larder: &Contents) -> String {
    let name = larder.day_name(larder.week.carry_day);
    match name.strip_prefix("next ") {
        Some(day) => format!("the {day} after"),
        None => name,
    }
}

/// The sentence that says what was proved.
pub fn verdict(larder: &Contents, week: &Value) -> String {
    let ordered = !list(&week["aims"]).is_empty();
    match (text(&week["outcome"]), ordered) {
        ("best", true) => "Proved best: no week that keeps the rules does better on the aims in \
                           their order."
            .to_owned(),
        ("best", false) => {
            "Proved best: no week that keeps the rules has a smaller total, wishes priced in."
                .to_owned()
        }
        ("good", true) => {
            "Good, not proved best: the search ended before the aims were all settled.".to_owned()
        }
        ("good", false) => {
            let figure = |value: &Value| money_nano(nano(value), &larder.currency);
            format!(
                "Good, not proved best: the search ended before a proof. No week has a total \
                 below {}; this one has {}, a gap of at most {}.",
                figure(&week["bound"]),
                figure(&week["objective"]["total"]),
                figure(&week["gap"])
            )
        }
        ("impossible", _) => {
            "Impossible, proved: no week of this kitchen keeps all the rules.".to_owned()
        }
        ("out_of_time", _) => "Out of time: the search ended before it found a week. Whether \
                               there is one is not known."
            .to_owned(),
        (other, _) => panic!("an outcome: {other}"),
    }
}

/// Holds the text of a run against its JSON.
pub fn check(c: &mut Check, run: &Week, week: &Value) {
    let larder = &run.larder;
    let sections = page::sections(&run.text);
    let head = sections[0].prose();
    let verdict = verdict(larder, week);
    c.same("heading", head, format!("{} {verdict}", larder.name));
    let has_week = !week["objective"].is_null();
    let mut titles: BTreeSet<&str> = BTreeSet::new();
    for section in &sections[1..] {
        let title = section.title.as_str();
        let fresh = title.is_empty() || titles.insert(title);
        c.yes(fresh, format!("{title} stands there once"));
        if title.starts_with("THE WEEK, PORTIONS A DAY: ") {
            lunches(c, larder, week, section);
        } else if title.starts_with("SHOPPING LIST") {
            shopping(c, larder, week, section);
        } else if title.is_empty() && has_week {
            shopping_foot(c, larder, week, section);
        } else if title.is_empty() {
            no_week(c, larder, week, section);
        } else if title == "STAPLES: CHECK THE CUPBOARD" {
            staples(c, larder, week, section);
        } else if title == "BATCHES TO COOK" {
            batches(c, larder, week, section);
        } else if title == "INTO EACH BOX, A PORTION (AND FOR ALL EATERS)" {
            boxes(c, week, section);
        } else if title == "FINISHED, WITH WHAT IS LEFT" {
            finished(c, larder, week, section);
        } else if title == "LEFTOVERS" {
            leftovers(c, larder, week, section);
        } else if title == "NUTRITION OF A PORTION" {
            nutrition(c, larder, week, section);
        } else if title == "FOOD GROUPS AND ENERGY OF A PORTION" {
            credits(c, week, section);
        } else if title == "ALLERGENS, FROM THE KITCHEN'S OWN DATA" {
            allergens(c, larder, week, section);
        } else if title == "WHAT CHANGED" {
            changes(c, larder, week, section);
        } else if title == "WHY IT IS THE BEST WEEK THERE IS" || title == "HOW SURE" {
            let best = text(&week["outcome"]) == "best";
            c.same("why best", title.starts_with("WHY"), best);
            proof(c, larder, week, section, &verdict);
        } else if title == "CAUTIONS" {
            cautions(c, larder, week, section);
        } else if title == "WHAT A CHANGE WOULD COST" {
            tellings(c, larder, week, section);
        } else {
            unknown(c, section, "the section");
        }
    }
    let changed = titles.iter().any(|title| title.starts_with("WHAT CHANGED"));
    c.same("what changed is told", changed, !week["changes"].is_null());
    c.same(
        "a week is told",
        titles.contains("ALLERGENS, FROM THE KITCHEN'S OWN DATA"),
        has_week,
    );
    let told = titles.contains("WHAT A CHANGE WOULD COST");
    c.same("changes are told", told, text(&week["outcome"]) == "best");
}

fn lunches(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let said = section
        .title
        .trim_start_matches("THE WEEK, PORTIONS A DAY: ");
    let mut eaters = larder.week.eaters_milli.clone();
    eaters.dedup();
    let is = if let [one] = eaters[..] {
        page::thousandths(one)
    } else {
        let each = (1..).zip(&larder.week.eaters_milli).map(|(day, &milli)| {
            format!(
                "{} {}",
                short(&larder.day_name(day)),
                page::thousandths(milli)
            )
        });
        each.collect::<Vec<_>>().join(", ").to_uppercase()
    };
    c.same("portions a day", said, &is);
    let rows = section.table("Day ", 0, "Min: active").expect("a table");
    c.same("lunches told", rows.len(), larder.lunch_count());
    for (row, lunch) in rows.iter().zip(list(&week["lunches"])) {
        let [day, name, form, minutes, cost, kcal, protein] = &row[..] else {
            panic!("seven columns: {row:?}");
        };
        let at = int(&lunch["day"]) as usize - 1;
        let amount = |nutrient: Nutrient| {
            let told = &week["nutrition"][nutrient.key()];
            let more = told["incomplete"][at].as_bool() == Some(true);
            page::amount(milli(&told["lunches"][at])) + if more { "+" } else { "" }
        };
        let mut whole = text(&lunch["recipe"]).to_owned();
        let lines = list(&lunch["lines"]).iter();
        let taking: Vec<String> = lines
            .filter(|line| int(&line["choices"]) > 1)
            .map(|line| {
                let name = line["food"]
                    .as_str()
                    .or(line["component"].as_str())
                    .unwrap();
                match line["instead_of"].as_str() {
                    Some(first) => format!("{name} (not {first})"),
                    None => name.to_owned(),
                }
            })
            .collect();
        if !taking.is_empty() {
            whole = format!("{whole} taking {}", taking.join(", "));
        }
        let is = [
            short(text(&lunch["name"])),
            whole,
            text(&lunch["form"]).to_owned(),
            page::minutes(nano(&lunch["minutes"])),
            money_nano(nano(&lunch["cost_a_portion"]), &larder.currency),
            amount(Nutrient::Energy),
            amount(Nutrient::Protein) + " g",
        ];
        let said = [day, name, form, minutes, cost, kcal, protein].map(String::clone);
        c.same("a lunch", said, is);
    }
}

/// When and where one shops.
fn visit(larder: &Contents, trip: usize) -> String {
    let visit = &larder.week.trips[trip];
    let day = larder.day_name(visit.day.into());
    match visit.shop {
        Some(shop) => format!("{day}, {}", larder.shops[shop.index()]),
        None => day,
    }
}

fn shopping(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let trips = &larder.week.trips;
    let trip = if trips.len() == 1 {
        0
    } else {
        let said = holes("SHOPPING LIST, TRIP {}: {}", &section.title).expect("a trip");
        let trip: usize = said[0].parse().expect("its number");
        let day = visit(larder, trip - 1).to_uppercase();
        c.same("trip's day", said[1], day.as_str());
        trip - 1
    };
    let rows = section
        .table(" #", 3, "")
        .or_else(|| section.table("#", 3, ""));
    let rows = rows.expect("a table");
    let all = list(&week["purchases"]).iter();
    let mine: Vec<&Value> = all
        .filter(|row| int(&row["trip"]) as usize == trip)
        .collect();
    c.same("rows of the list", rows.len(), mine.len());
    for (row, said) in mine.iter().zip(&rows) {
        let fed = days(&row["serves"]);
        let feeds = match fed.len() {
            0 => "none".to_owned(),
            n if n == larder.lunch_count() && n > 2 => format!("{n}: every day"),
            n => format!("{n}: {}", named(larder, &fed)),
        };
        c.same("number", &said[0], &int(&row["number"]).to_string());
        c.same("food", said[1].as_str(), text(&row["food"]));
        c.same(
            "price",
            &said[3],
            &money(int(&row["price"]), &larder.currency),
        );
        c.same("feeds", &said[4], &feeds);
        let count = int(&row["count"]);
        let each = int(&row["as_purchased_mg"]) / count;
        let pack = text(&row["pack"]);
        let stage = row["stage"].as_str().filter(|stage| !pack.contains(stage));
        let stage = stage.map_or(String::new(), |stage| format!(", {stage}"));
        let pieces = ["single", "piece", "each", "one"].contains(&pack);
        let buy = if row["loose"].as_bool() == Some(true) && pieces {
            format!("{count}{stage}, {}", mass(int(&row["as_purchased_mg"])))
        } else if row["loose"].as_bool() == Some(true) {
            let all = mass(int(&row["as_purchased_mg"]));
            format!("{all} {pack}{stage} ({count} x {})", mass(each))
        } else {
            format!("{count} x {pack}{stage}")
        };
        c.same("buy", &said[2], &buy);
    }
}

fn shopping_foot(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let currency = &larder.currency;
    let purchases = list(&week["purchases"]);
    let mut fed: Vec<(&str, BTreeSet<i32>)> = Vec::new();
    for row in purchases {
        let food = text(&row["food"]);
        match fed.iter_mut().find(|one| one.0 == food) {
            Some((_, all)) => all.extend(days(&row["serves"])),
            None => fed.push((food, days(&row["serves"]).into_iter().collect())),
        }
    }
    let single = fed.iter().filter(|(_, days)| days.len() < 2);
    let single: Vec<String> = single.map(|(food, _)| (*food).to_owned()).collect();
    let shared = (fed.len() - single.len()) as i64;
    let mut idle = BTreeSet::new();
    let mut reuse = false;
    for item in &section.items {
        if let Some(said) = holes("Total {}. {}.", item) {
            c.same("total", said[0], &money(int(&week["bill"]), currency));
            let foods = count(int(&week["foods"]), "food to buy", "foods to buy");
            let is = match (larder.wishes.cap, larder.wishes.cap_by) {
                (None, _) => format!("{foods}; no cap is set"),
                (Some(cap), CapBy::Foods) => format!("{foods}, of at most {cap}"),
                (Some(cap), CapBy::Families) => {
                    let families = count(int(&week["families"]), "family", "families");
                    format!("{foods} in {families}, of at most {cap}")
                }
            };
            c.same("counted foods", said[1], &is);
        } else if let Some(said) = holes("Trip {}, {}, is not made.", item) {
            let trip: usize = said[0].parse().expect("a trip");
            let day = visit(larder, trip - 1);
            c.same("trip not made", said[1], &day);
            let made = purchases
                .iter()
                .any(|row| int(&row["trip"]) as usize == trip - 1);
            c.yes(!made && idle.insert(trip), item);
        } else if item == "Every food bought feeds two lunches or more." {
            reuse = true;
            c.yes(single.is_empty() && shared > 0, item);
        } else if item == "No food bought feeds more than one lunch." {
            reuse = true;
            c.yes(shared == 0 && !single.is_empty(), item);
        } else if item.contains(" two lunches or more; only ") {
            reuse = true;
            let feeds = if shared == 1 { "feeds" } else { "feed" };
            let feed = if single.len() == 1 { "feeds" } else { "feed" };
            let is = format!(
                "{} {feeds} two lunches or more; only {} {feed} a single one.",
                count(shared, "food", "foods"),
                and(&single)
            );
            c.same("reuse", item, &is);
        } else {
            unknown(c, section, item);
        }
    }
    c.same("reuse is told", reuse, !fed.is_empty());
    let made = |trip: &usize| {
        purchases
            .iter()
            .any(|row| int(&row["trip"]) as usize == trip - 1)
    };
    let is: BTreeSet<usize> = (2..=larder.week.trips.len())
        .filter(|trip| !made(trip))
        .collect();
    c.same("trips not made", idle, is);
}

fn staples(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let rows = section.table("Food ", 1, "").expect("a table");
    let told = list(&week["staples"]);
    c.same("staples told", rows.len(), told.len());
    for (row, said) in told.iter().zip(&rows) {
        c.same("staple", said[0].as_str(), text(&row["food"]));
        c.same("amount", &said[1], &mass(int(&row["mg"])));
        c.same(
            "worth",
            &said[2],
            &money_nano(nano(&row["cost"]), &larder.currency),
        );
    }
    let sum: i64 = told.iter().map(|row| nano(&row["cost"])).sum();
    for item in &section.items {
        match holes("Worth {} in all, pro rata.", item) {
            Some(said) => c.same("worth", said[0], &money_nano(sum, &larder.currency)),
            None => unknown(c, section, item),
        }
    }
}

fn batches(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let batches = list(&week["batches"]);
    let mut foods = batches.iter().map(|batch| {
        let foods = list(&batch["foods"]).iter();
        let foods: Vec<String> = foods
            .map(|food| format!("{} {}", text(&food["food"]), mass(int(&food["mg"]))))
            .collect();
        format!(
            "{}, {}: {}. Eat {}.",
            named(larder, &[int(&batch["day"]) as i32]),
            text(&batch["component"]),
            foods.join(", "),
            page::by(larder, int(&batch["keeps_until"]), int(&batch["day"]))
        )
    });
    let mut told = 0;
    for item in &section.items {
        if let Some(said) = item.strip_prefix("Active minutes a day, ") {
            let minutes = list(&week["minutes"]);
            let each: Vec<String> = minutes
                .iter()
                .map(|row| {
                    let limit = if row["limit"].is_null() {
                        String::new()
                    } else {
                        format!(" of {}", page::minutes(nano(&row["limit"])))
                    };
                    let day = named(larder, &[int(&row["day"]) as i32]);
                    format!("{day} {}{limit}", page::minutes(nano(&row["minutes"])))
                })
                .collect();
            let sum: i64 = minutes.iter().map(|row| nano(&row["minutes"])).sum();
            let is = format!(
                "batches and that day's lunch together: {}. In all {}.",
                each.join(", "),
                page::minutes(sum)
            );
            c.same("active minutes", said, &is);
        } else if let Some(said) = item.strip_prefix("Minutes in the kitchen a day, ") {
            let days = list(&week["kitchen_minutes"]).iter().map(|row| {
                let limit = (!row["limit"].is_null())
                    .then(|| format!(" of {}", page::minutes(nano(&row["limit"]))));
                let prep = (!row["prep"].is_null()).then(|| format!(" ({})", int(&row["prep"])));
                let day = named(larder, &[int(&row["day"]) as i32]);
                let used = page::minutes(nano(&row["minutes"]));
                format!(
                    "{day} {used}{}{}",
                    limit.unwrap_or_default(),
                    prep.unwrap_or_default()
                )
            });
            let days: Vec<String> = days.collect();
            let first = &list(&week["kitchen_minutes"])[0];
            let how = if first["prep"].is_null() {
                ""
            } else if first["prep_proved"] == true {
                " In brackets: one thing beside another, proved to be the least in all."
            } else {
                " In brackets: one thing beside another."
            };
            let is = format!(
                "one thing after another, what is on watched: {}.{how}",
                days.join(", ")
            );
            c.same("minutes in the kitchen", said, &is);
        } else if item.starts_with("What is done when, step by step: scant prep") {
        } else {
            told += 1;
            c.same("a batch", Some(item.clone()), foods.next());
        }
    }
    c.same("batches told", told, batches.len());
    let rows = section.table("Cook ", 0, "").unwrap_or_default();
    c.same("batches in the table", rows.len(), batches.len());
    for (row, batch) in rows.iter().zip(batches) {
        let serves = list(&batch["serves"]).iter();
        let serves: Vec<String> = serves
            .map(|one| {
                let day = named(larder, &[int(&one["day"]) as i32]);
                format!("{day} {}", mass(int(&one["mg"])))
            })
            .collect();
        let is = [
            named(larder, &[int(&batch["day"]) as i32]),
            text(&batch["component"]).to_owned(),
            mass(int(&batch["makes_mg"])),
            serves.join(", "),
            page::minutes(nano(&batch["minutes"])),
            int(&batch["passive_minutes"]).to_string(),
            texts(&batch["needs"]).join(", "),
        ];
        c.same("a batch's row", row[..].to_vec(), is.to_vec());
    }
}

fn boxes(c: &mut Check, week: &Value, section: &Section) {
    let mut is = Vec::new();
    for lunch in list(&week["lunches"]) {
        let lines = list(&lunch["lines"]).iter();
        let lines: Vec<String> = lines
            .map(|line| {
                let name = line["food"]
                    .as_str()
                    .or(line["component"].as_str())
                    .unwrap();
                format!(
                    "{name} {} ({})",
                    text(&line["written"]),
                    mass(int(&line["all_mg"]))
                )
            })
            .collect();
        is.push(format!(
            "{} {}",
            short(text(&lunch["name"])),
            lines.join(", ")
        ));
    }
    c.same("boxes", section.prose(), is.join(" "));
}

fn offer(larder: &Contents, told: &Value) -> String {
    let shop = told["shop"].as_str();
    let shop = shop.map_or(String::new(), |shop| format!(", {shop}"));
    format!(
        "{}, {} x {} on {}{shop}, {}, appeal {} more, for {}",
        text(&told["food"]),
        int(&told["count"]),
        text(&told["pack"]),
        short(&larder.day_name(int(&told["day"]) as i32)),
        money(int(&told["price"]), &larder.currency),
        int(&told["gain"]),
        named(larder, &days(&told["lifts"]))
    )
}

fn finished(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let told = &week["finishers"];
    let placed = list(&told["placed"]);
    let lifted: BTreeSet<i64> = placed.iter().map(|one| int(&one["day"])).collect();
    let claim = match told["proved"].as_bool() {
        Some(true) => "no other choice has more",
        _ => "not proved the most",
    };
    let mut is = vec![format!(
        "{} lifted, appeal {} in all; {claim}. Amounts are a portion, in brackets for all eaters; \
         cost and nutrition above are those of the plain lunches.",
        count(lifted.len() as i64, "lunch", "lunches"),
        int(&told["appeal"]),
    )];
    for one in list(&told["bought"]) {
        is.push(format!("Bought for it: {}.", offer(larder, one)));
    }
    for one in list(&told["offers"]) {
        let room = ["beyond_cap", "beyond_budget"].map(|key| one[key].as_bool().unwrap());
        let beyond = match room {
            [false, false] => "",
            [true, false] => "; the cap has no room for it",
            [false, true] => "; the budget has no room for it",
            [true, true] => "; neither the cap nor the budget has room for it",
        };
        is.push(format!(
            "One more purchase: {}{beyond}.",
            offer(larder, one)
        ));
    }
    c.same("finished", section.items.clone(), is);
    let prose = section.prose();
    for one in placed {
        let amount = mass(int(&one["mg"]));
        let line = format!("{} {} ({amount}", text(&one["food"]), text(&one["written"]));
        c.yes(prose.contains(&line), format!("{line} in {prose}"));
    }
}

fn leftovers(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let rows = section.table("Pack ", 1, "").expect("a table");
    let told = list(&week["leftovers"]);
    c.same("rows of leftovers", rows.len(), told.len());
    let currency = &larder.currency;
    for (row, is) in rows.iter().zip(told) {
        let [had, used, left] = ["bought_mg", "used_mg", "left_mg"].map(|key| int(&is[key]));
        let gone = |text: String| if left == 0 { String::new() } else { text };
        let opened = is["opened_on"].as_i64();
        let fate = match text(&is["fate"]) {
            "used_up" => "used up",
            "kept" => "kept",
            "spoiled" => "SPOILED",
            other => panic!("a fate: {other}"),
        };
        let cells = [
            page::grams(had),
            page::grams(used),
            if left == 0 {
                "0".to_owned()
            } else {
                page::grams(left)
            },
            gone(page::share(left, had)),
            gone(money_nano(nano(&is["value"]), currency)),
            opened.map_or("no".to_owned(), |day| named(larder, &[day as i32])),
            gone(page::until(larder, int(&is["good_until"]))),
            fate.to_owned(),
        ];
        c.same("what is left", row[1..].to_vec(), cells.to_vec());
        let food = text(&is["food"]);
        c.yes(row[0].starts_with(food), format!("{} is of {food}", row[0]));
    }
    let totals = &week["leftover_totals"];
    let [had, used, kept, spoiled] =
        ["bought_mg", "used_mg", "kept_mg", "spoiled_mg"].map(|key| int(&totals[key]));
    let is = vec![
        format!(
            "Edible in all: had {}, used {}, left {} ({}).",
            mass(had),
            mass(used),
            mass(kept + spoiled),
            page::share(kept + spoiled, had)
        ),
        format!(
            "Kept, still good on {}: {}, worth {}. Spoiled by then: {}, worth {}.",
            carried(larder),
            mass(kept),
            money_nano(nano(&totals["kept_value"]), currency),
            mass(spoiled),
            money_nano(nano(&totals["spoiled_value"]), currency)
        ),
    ];
    c.same("leftovers", section.items.clone(), is);
}

fn nutrition(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let rows = section.table("  ", 1, "").expect("a table");
    for row in &rows {
        let nutrient = Nutrient::ALL
            .into_iter()
            .find(|one| row[0] == format!("{} {}", one.label(), one.unit()));
        let Some(nutrient) = nutrient else {
            c.yes(false, format!("{} is a nutrient", row[0]));
            continue;
        };
        let told = &week["nutrition"][nutrient.key()];
        let lunches = list(&told["lunches"]).iter().zip(list(&told["incomplete"]));
        let mut is: Vec<String> = lunches
            .map(|(figure, more)| {
                let more = if more.as_bool() == Some(true) {
                    "+"
                } else {
                    ""
                };
                page::amount(milli(figure)) + more
            })
            .collect();
        let some = list(&told["incomplete"])
            .iter()
            .any(|more| more.as_bool() == Some(true));
        is.push(page::amount(milli(&told["mean"])) + if some { "+" } else { "" });
        let said = row[1..=is.len()].to_vec();
        c.same(&row[0], said, is);
        let mut limits = Vec::new();
        for (per, form) in [("lunch", "{} each"), ("week", "mean {}")] {
            let mine = list(&told["limits"]).iter();
            let mine: Vec<&Value> = mine.filter(|one| text(&one["per"]) == per).collect();
            let side = |key: &str| {
                mine.iter()
                    .filter(|o| !o[key].is_null())
                    .map(|o| milli(&o[key]))
                    .collect::<Vec<_>>()
            };
            let (least, most) = (side("at_least"), side("at_most"));
            let range = match (least.iter().max(), most.iter().min()) {
                (None, None) => continue,
                (Some(&least), None) => format!("at least {}", page::thousandths(least)),
                (None, Some(&most)) => format!("at most {}", page::thousandths(most)),
                (Some(&least), Some(&most)) => {
                    format!(
                        "{} to {}",
                        page::thousandths(least),
                        page::thousandths(most)
                    )
                }
            };
            limits.push(form.replace("{}", &range));
        }
        c.same("limits", row.last().unwrap(), &limits.join("; "));
    }
    c.yes(rows.len() >= 9, "nine nutrients at least");
    for item in &section.items {
        if let Some(said) = holes(
            "+ {}: no figure for {}, so the true amount may be higher{}.",
            item,
        ) {
            let nutrient = Nutrient::ALL.into_iter().find(|one| one.label() == said[0]);
            let told = &week["nutrition"][nutrient.expect("a nutrient").key()];
            c.same("without a figure", said[1], &and(&texts(&told["missing"])));
            let ceiling = list(&told["limits"])
                .iter()
                .any(|one| !one["at_most"].is_null());
            c.same(
                "a ceiling on it",
                said[2] == "; its ceiling rests on incomplete data",
                ceiling,
            );
            c.yes(ceiling || said[2].is_empty(), item);
        } else if let Some(said) = holes("Limits from: {}.", item) {
            let rules = larder.wishes.nutrition.iter();
            let sources: BTreeSet<&str> = rules.map(|rule| rule.source.as_str()).collect();
            let is: Vec<&str> = sources.into_iter().collect();
            c.same("limits from", said[0], is.join("; ").as_str());
        } else if !item.starts_with("Figures from: ") {
            unknown(c, section, item);
        }
    }
}

fn credits(c: &mut Check, week: &Value, section: &Section) {
    let rows = section.table("  ", 1, "").expect("a table");
    let told = list(&week["credits"]);
    c.same("credits told", rows.len(), told.len());
    for (row, is) in rows.iter().zip(told) {
        let name = if let Some(group) = is["group"].as_str() {
            format!("{group}, {}", text(&is["unit"]))
        } else {
            let nutrient = Nutrient::from_key(text(&is["nutrient"])).expect("a nutrient");
            format!("{}, % of energy", nutrient.label())
        };
        c.same("credited", &row[0], &name);
        let mut figures: Vec<String> = list(&is["lunches"]).iter().map(hundredths).collect();
        figures.push(hundredths(&is["week"]));
        c.same(&name, row[1..=figures.len()].to_vec(), figures);
    }
    for item in &section.items {
        let known =
            item.starts_with("Limits from: ") || item.starts_with("What a food counts for is");
        c.yes(known, format!("not held against anything: {item}"));
    }
}

/// Thousandths to two digits, half away from nought.
fn hundredths(value: &Value) -> String {
    let milli = milli(value);
    page::thousandths((milli + 5 * milli.signum()) / 10 * 10)
}

fn allergens(c: &mut Check, _: &Contents, week: &Value, section: &Section) {
    let lunches = list(&week["lunches"]).iter();
    let is: Vec<String> = lunches
        .map(|lunch| {
            let all = texts(&lunch["allergens"]);
            let told = if all.is_empty() {
                "none in the kitchen's data".to_owned()
            } else {
                all.join(", ")
            };
            format!("{} {told}", short(text(&lunch["name"])))
        })
        .collect();
    c.same("allergens", section.prose(), is.join(" "));
}

fn changes(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let told = &week["changes"];
    let currency = &larder.currency;
    let asked = texts(&told["asked"]);
    let these = if asked.len() == 1 { "it" } else { "them" };
    let all = format!("Asked: {}.", and(&asked));
    c.yes(
        section.prose().starts_with(&all),
        format!("{all} opens the section"),
    );
    let (before, after) = (&told["before"], &told["after"]);
    let mut is: Vec<String> = Vec::new();
    if before.is_null() || after.is_null() {
        let best = |key: &str| text(&week[key]);
        let first = text(&told["before_outcome"]);
        is.push(match (before.is_null(), first, best("outcome")) {
            (true, "impossible", _) => {
                format!("Without {these} there is no week either: proved.")
            }
            (true, ..) => format!("Without {these} no week was found to compare with."),
            (_, _, "impossible") => {
                format!("Without {these} there is a week; with {these} there is none: proved.")
            }
            _ => format!("Without {these} there is a week; with {these} none was found."),
        });
        for key in ["lunches", "dropped", "added"] {
            c.yes(
                told[key].is_null(),
                format!("nothing is said of {key}: {told}"),
            );
        }
        c.same("lines", section.prose(), all);
    } else {
        let open = match (text(&told["before_outcome"]), text(&week["outcome"])) {
            ("best", "best") => None,
            ("best", _) => Some(format!("The week with {these} is not")),
            (_, "best") => Some(format!("The week without {these} is not")),
            _ => Some("Neither week is".to_owned()),
        };
        let open = open.map(|w| format!("{w} proved best, so the differences are not final."));
        is.extend(open);
        let change = |name: &str, was: i64, now: i64| {
            let sign = if now < was { "" } else { "+" };
            format!(
                "{name} {} instead of {} ({sign}{})",
                money_nano(now, currency),
                money_nano(was, currency),
                money_nano(now - was, currency)
            )
        };
        let both = |key: &str| (nano(&before[key]), nano(&after[key]));
        let (spoiled, objective) = (both("spoiled"), both("objective"));
        is.push(format!(
            "{}; {}; {}.",
            change(
                "Bill",
                int(&before["bill"]) * NANO,
                int(&after["bill"]) * NANO
            ),
            change("spoiled", spoiled.0, spoiled.1),
            change("total", objective.0, objective.1)
        ));
        is.push(format!(
            "{} instead of {}; {} active minutes instead of {}.",
            count(int(&after["foods"]), "food to buy", "foods to buy"),
            int(&before["foods"]),
            page::minutes(nano(&after["minutes"])),
            page::minutes(nano(&before["minutes"]))
        ));
        let lunches = list(&told["lunches"]);
        if lunches.is_empty() {
            is.push(format!("The lunches are the same with {these}."));
        }
        let mut table = Vec::new();
        for lunch in lunches {
            let (was, now) = (text(&lunch["before"]), text(&lunch["after"]));
            let lines = list(&lunch["lines"]).iter();
            let lines: Vec<String> = lines
                .map(|pair| format!("{} for {}", text(&pair[1]), text(&pair[0])))
                .collect();
            let now = if was == now {
                format!("the same, with {}", and(&lines))
            } else {
                now.to_owned()
            };
            let day = named(larder, &[int(&lunch["day"]) as i32]);
            table.push(vec![day, was.to_owned(), now]);
        }
        let said = section.table("Day ", 0, "").unwrap_or_default();
        c.same("lunches changed", said, table);
        for (key, form) in [
            ("dropped", "Not bought any more: {}."),
            ("added", "Bought instead: {}."),
        ] {
            let foods = texts(&told[key]);
            if !foods.is_empty() {
                is.push(form.replace("{}", &and(&foods)));
            }
        }
    }
    c.same("what changed", section.items.clone(), is);
}

fn proof(c: &mut Check, larder: &Contents, week: &Value, section: &Section, verdict: &str) {
    let currency = &larder.currency;
    let names = [
        ("packs bought", "packs"),
        ("staples used, pro rata", "staples"),
        ("what spoils, weighted", "spoiled"),
        ("price on each food to buy", "foods"),
        ("price on active minutes", "minutes"),
        ("price on watched minutes", "watched"),
        ("price on later trips", "trips"),
        ("prices on dishes and days", "preferences"),
        ("credit for what is kept", "carry"),
        ("total, wishes priced in", "total"),
    ];
    let mut is = Vec::new();
    for (name, key) in names {
        let part = &week["objective"][key];
        let part = if part.is_null() { 0 } else { nano(part) };
        if part != 0 || key == "packs" || key == "total" {
            is.push(vec![name.to_owned(), money_nano(part, currency)]);
        }
    }
    let said = section
        .table("Made of ", 1, "Each figure")
        .expect("a table");
    c.same("made of", said, is);
    let (mut at, mut near) = (Vec::new(), Vec::new());
    for row in list(&week["rules"]) {
        let (reached, limit) = (nano(&row["reached"]), nano(&row["limit"]));
        if reached == limit {
            at.push(standing(larder, row));
        } else if i128::from(limit - reached).abs() * 20 <= i128::from(limit).abs() {
            near.push(standing(larder, row));
        }
    }
    let mut is = vec![verdict.to_owned(), effort(week)];
    is.push(
        "Judged: every rule and every sum was worked out again from the kitchen and the finished \
         week alone, by code that knows nothing of the search."
            .to_owned(),
    );
    let aims: Vec<String> = list(&week["aims"])
        .iter()
        .map(|row| {
            let reached = nano(&row["reached"]);
            match text(&row["aim"]) {
                "foods" => count(reached / NANO, "food", "foods"),
                "cost" => format!("cost {}", money_nano(reached, currency)),
                "spoiled" => format!("spoiled {}", money_nano(reached, currency)),
                "minutes" => format!("{} minutes", page::minutes(reached)),
                other => panic!("an aim: {other}"),
            }
        })
        .collect();
    if !aims.is_empty() {
        let settled = if text(&week["outcome"]) == "best" {
            "Each was settled before the next was looked at; the total settled what was left."
        } else {
            "Not all of them are settled."
        };
        is.push(format!(
            "In strict order: {}. {settled}",
            aims.join(", then ")
        ));
    }
    if !at.is_empty() {
        is.push(format!("At the limit: {}.", at.join("; ")));
    }
    if !near.is_empty() {
        is.push(format!("Within 5 % of the limit: {}.", near.join("; ")));
    }
    if !(at.is_empty() && near.is_empty()) {
        is.push(
            "Loosening one of these may give a better week; but a rule with room to spare can also \
             be what keeps a better week out."
                .to_owned(),
        );
    }
    c.same("how sure", section.items.clone(), is);
}

fn effort(week: &Value) -> String {
    let grouped = |n: i64| {
        let digits: Vec<char> = n.to_string().chars().rev().collect();
        let groups: Vec<String> = digits
            .chunks(3)
            .map(|group| group.iter().collect())
            .collect();
        groups.join(" ").chars().rev().collect::<String>()
    };
    let noun = |n: i64, one: &str| {
        let plural = if n == 1 { "" } else { "s" };
        format!("{} {one}{plural}", grouped(n))
    };
    format!(
        "Looked at {} and settled {} to the last pack.",
        noun(int(&week["effort"]["nodes"]), "partial week"),
        noun(int(&week["effort"]["leaves"]), "complete set")
    )
}

fn standing(larder: &Contents, row: &Value) -> String {
    let (reached, limit) = (nano(&row["reached"]), nano(&row["limit"]));
    let whole = |nano: i64| nano / NANO;
    let about = row["about"].as_str().unwrap_or("");
    match text(&row["rule"]) {
        "cap" => format!(
            "{} of {}",
            count(whole(reached), "food", "foods"),
            whole(limit)
        ),
        "cap_families" => {
            format!(
                "{} of {}",
                count(whole(reached), "family", "families"),
                whole(limit)
            )
        }
        "budget" => format!(
            "bill {} of {}",
            money(whole(reached), &larder.currency),
            money(whole(limit), &larder.currency)
        ),
        "minutes" => format!(
            "{} {} of {} minutes",
            larder.day_name(int(&row["day"]) as i32),
            page::minutes(reached),
            page::minutes(limit)
        ),
        "kitchen_minutes" => format!(
            "{} {} of {} minutes in the kitchen",
            larder.day_name(int(&row["day"]) as i32),
            page::minutes(reached),
            page::minutes(limit)
        ),
        "per_form" | "per_protein" => format!("{about} {} of {}", whole(reached), whole(limit)),
        side @ ("floor" | "ceiling") => {
            let nutrient = Nutrient::from_key(about).expect("a nutrient");
            let figure =
                |nano: i64| format!("{} {}", page::amount(nano / 1_000_000), nutrient.unit());
            let on = match row["day"].as_i64() {
                Some(day) => format!("on {}", larder.day_name(day as i32)),
                None => "on average".to_owned(),
            };
            let word = if side == "floor" {
                "at least"
            } else {
                "at most"
            };
            format!(
                "{} {} {on}, {word} {}",
                nutrient.label(),
                figure(reached),
                figure(limit)
            )
        }
        other => panic!("a rule: {other}"),
    }
}

fn cautions(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    // The gravest two lines of advice come first, the last of them saying how many there are.
    let advice = list(&week["advice"]);
    let shown = advice.len().min(2);
    let (first, rest) = section.items.split_at(shown.min(section.items.len()));
    c.same("cautions", rest.to_vec(), texts(&week["cautions"]));
    for (item, line) in first.iter().zip(advice) {
        let mut days: Vec<String> = list(&line["of"])
            .iter()
            .map(|of| short(&larder.day_name(int(&of["day"]) as i32)))
            .collect();
        days.dedup();
        let about = format!("{} ({}): ", text(&line["about"]), days.join(" "));
        let alike = item.to_lowercase().starts_with(&about.to_lowercase());
        c.yes(alike, format!("{item} is about {about}"));
    }
    if let Some(last) = first.last() {
        let end = match advice.len() - shown {
            0 => " Sources: scant prep.".to_owned(),
            1 => " 1 more line of advice and all sources: scant prep.".to_owned(),
            more => format!(" {more} more lines of advice and all sources: scant prep."),
        };
        let alike = last.to_lowercase().ends_with(&end.to_lowercase());
        c.yes(alike, format!("{last} ends with{end}"));
    }
    let mut old: Vec<String> = Vec::new();
    for batch in list(&week["batches"]) {
        let day = int(&batch["day"]);
        let ages = list(&batch["serves"])
            .iter()
            .map(|one| int(&one["day"]) - day);
        let oldest = ages.max().unwrap_or(0);
        if oldest > 4 {
            old.push(format!("{} ({oldest} days)", text(&batch["component"])));
        }
    }
    let said = section
        .items
        .iter()
        .filter(|item| item.starts_with("Eaten here later"));
    let is = format!(
        "Eaten here later than 4 days after making, by the kitchen's own claim: {}.",
        and(&old)
    );
    let is = if old.is_empty() { Vec::new() } else { vec![is] };
    c.same("eaten late", said.cloned().collect::<Vec<_>>(), is);
}

/// How a week differs, in the words of a cook; `leave` names what gives way.
pub fn switched(switch: &Value, leave: &str) -> String {
    let mut parts = Vec::new();
    let come: Vec<&str> = list(&switch["come"])
        .iter()
        .map(|one| text(&one[1]))
        .collect();
    if !come.is_empty() {
        let mut told: Vec<String> = Vec::new();
        for name in &come {
            let times = come.iter().filter(|other| other == &name).count();
            let one = if times == 1 {
                (*name).to_owned()
            } else {
                format!("{times} x {name}")
            };
            if !told.contains(&one) {
                told.push(one);
            }
        }
        parts.push(format!("for {leave}: {}", told.join("; ")));
    }
    for line in list(&switch["lines"]) {
        let [recipe, was, is] = [0, 1, 2].map(|at| text(&line[at]));
        parts.push(format!("in {recipe}: {is} for {was}"));
    }
    if !parts.is_empty() {
        return parts.join("; ");
    }
    let (added, dropped) = (texts(&switch["added"]), texts(&switch["dropped"]));
    let mut told = "the same lunches".to_owned();
    if !added.is_empty() {
        told += &format!(", buying {}", and(&added));
    }
    if !dropped.is_empty() {
        told += &format!(", not buying {}", and(&dropped));
    }
    if told == "the same lunches" && !list(&switch["moved"]).is_empty() {
        told += " on other days";
    }
    told
}

/// The days of the lunches that leave.
pub fn leaving(larder: &Contents, switch: &Value) -> String {
    let leave = list(&switch["leave"]).iter();
    let days: Vec<i32> = leave.map(|one| int(&one[0]) as i32).collect();
    named(larder, &days)
}

fn tellings(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let told = list(&week["tellings"]);
    if told.is_empty() {
        let is = "Not asked here, because each such question is a long search: `scant tradeoffs` \
                  works it out, with the same folder and options.";
        c.same("not asked", section.items.clone(), vec![is.to_owned()]);
        return;
    }
    let said: Vec<String> = told
        .iter()
        .map(|one| text(&one["sentence"]).to_owned())
        .collect();
    c.same("tellings", section.items.clone(), said.clone());
    for (sentence, one) in said.iter().zip(told) {
        let case = &one["case"];
        let currency = &larder.currency;
        let end = match text(&case["outcome"]) {
            "impossible" => " there is no week, proved.".to_owned(),
            "best" => {
                let (more, switch) = (&case["more"], &case["switch"]);
                let nothing = ["leave", "come", "lines", "moved", "dropped", "added"];
                let alike = nothing.iter().all(|key| list(&switch[*key]).is_empty());
                let bill = int(&more["bill"]);
                let (spoiled, objective) = (nano(&more["spoiled"]), nano(&more["objective"]));
                if alike && bill == 0 && objective == 0 && spoiled == 0 {
                    " nothing is gained: the week stays as it is, proved.".to_owned()
                } else {
                    let by = match objective {
                        0 => "just as low".to_owned(),
                        ..0 => format!("{} lower", money_nano(-objective, currency)),
                        _ => format!("{} higher", money_nano(objective, currency)),
                    };
                    format!(
                        " the total would be {by} (bill {}, spoiled {}): {}.",
                        signed(bill * NANO, currency),
                        signed(spoiled, currency),
                        switched(switch, &leaving(larder, switch))
                    )
                }
            }
            _ => match case["at_least"].as_f64() {
                Some(least) if least > 0.0 => format!(
                    " the total would be at least {} higher; by how much was not settled.",
                    money_nano(nano(&case["at_least"]), currency)
                ),
                _ => ": not settled within this run.".to_owned(),
            },
        };
        c.yes(
            sentence.ends_with(&end),
            format!("{sentence} ends with {end}"),
        );
    }
}

/// What is said where there is no week: why, what would help, and how much was looked at.
fn no_week(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let prose = section.prose();
    if prose == effort(week) {
        return c.yes(section.items.is_empty(), &prose);
    }
    if text(&week["outcome"]) == "out_of_time" {
        let is = "Give it more time (a larger --limit, or none) or a simpler question: fewer rules, or \
             fewer alternatives in a line.";
        return c.same("advice", prose.as_str(), is);
    }
    let nothing = list_or_empty(&week["ways_out"]).is_empty();
    let advice = match (&week["conflict"], nothing) {
        (Value::Null, _) | (_, false) => None,
        (rules, _) if list(rules).is_empty() => {
            Some("Add recipes, other packs or shopping trips, and try again.")
        }
        _ => Some("Loosen three rules or more at once or add recipes, and try again."),
    };
    if prose.ends_with("looks to the end.") {
        let is = if week["conflict"].is_null() {
            "Which rules clash was not settled in this time: --limit gives more, and scant \
             tradeoffs looks to the end."
        } else {
            "More may be settled in more time: --limit gives it, and scant tradeoffs looks to the \
             end."
        };
        return c.same("more time", prose.as_str(), is);
    }
    if section.items.is_empty() && prose.ends_with("and try again.") {
        return c.same("advice", Some(prose.as_str()), advice);
    }
    conflict(c, larder, week, section);
}

pub fn list_or_empty(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// The rules that clash and the ways out, in words: they are those of the JSON.
pub fn conflict(c: &mut Check, larder: &Contents, week: &Value, section: &Section) {
    let rules = texts(&week["conflict"]);
    let ways = list(&week["ways_out"]);
    let (single, pairs): (Vec<&Value>, Vec<&Value>) =
        ways.iter().partition(|way| way["and"].is_null());
    let prose = section.prose();
    let mut is: Vec<String> = rules
        .iter()
        .map(|rule| format!("{rule} ({})", written(rule)))
        .collect();
    is.extend(single.iter().map(|way| way_out(larder, way)));
    is.extend(pairs.iter().take(10).map(|way| way_out(larder, way)));
    let bare = |item: &String| {
        item.split(" Not settled whether")
            .next()
            .unwrap_or(item)
            .to_owned()
    };
    let said: Vec<String> = section.items.iter().map(bare).collect();
    c.same("rules and ways", said, is);
    for (item, way) in section.items[rules.len()..]
        .iter()
        .zip(single.iter().chain(&pairs))
    {
        let best = way["best"].as_bool() == Some(true);
        c.same("settled", !item.contains("Not settled whether"), best);
    }
    let few = &week["too_few_recipes"];
    c.same(
        "too few",
        prose.starts_with("Too few recipes: "),
        !few.is_null(),
    );
    if !few.is_null() {
        let [of, left, repeats, lunches, needed] =
            ["recipes", "left", "repeats", "lunches", "needed"].map(|key| int(&few[key]));
        let gone: Vec<String> = [
            ("banned", "ruled out by bans"),
            ("resting", "resting"),
            ("without_day", "without a day"),
        ]
        .into_iter()
        .filter(|(key, _)| int(&few[*key]) > 0)
        .map(|(key, why)| format!("{} {why}", int(&few[key])))
        .collect();
        let there = match (gone.is_empty(), left) {
            (true, 1) => "there is 1".to_owned(),
            (true, _) => format!("there are {left}"),
            _ => format!("{left} of {of} left ({})", gone.join(", ")),
        };
        let times = match repeats {
            1 => "each served once at most".to_owned(),
            n => format!("each served {n} times at most"),
        };
        let lunches = count(lunches, "lunch", "lunches");
        let is = format!("Too few recipes: {there}, {times}; {lunches} need {needed} or more.");
        c.yes(prose.starts_with(&is), format!("{is} opens {prose}"));
    }
    let heading = match rules.len() {
        0 => "No rule is to blame: ",
        1 => {
            "This rule leaves no week, even with all others given up; given up as well, there is \
              one:"
        }
        _ => {
            "These rules cannot hold together, even with all others given up; with any one of \
              them given up as well there is a week:"
        }
    };
    c.yes(prose.contains(heading), format!("{heading} in {prose}"));
    let unban =
        |way: &Value| text(&way["how"]) == "without" && text(&way["rule"]).starts_with("without ");
    let unbans = ways
        .iter()
        .any(|way| unban(way) || !way["and"].is_null() && unban(&way["and"]));
    let ban = "A ban that is there for somebody's allergy is no rule to give up.";
    c.same("a ban is given up", prose.contains(ban), unbans);
    c.same(
        "pairs are told",
        prose.contains("Ways out of two changes together, the cheapest week first"),
        !pairs.is_empty(),
    );
    c.same(
        "ways are told",
        prose.contains("Ways out, each by itself, the cheapest week first"),
        !single.is_empty(),
    );
    let more = pairs.len().saturating_sub(10);
    c.same(
        "more pairs",
        prose.contains("more, dearer: see --format json."),
        more > 0,
    );
}

/// Where a rule is written, by its words.
fn written(rule: &str) -> &'static str {
    let has = |word: &str| rule.contains(word);
    let nutrient = Nutrient::ALL
        .iter()
        .any(|one| rule.starts_with(&format!("{} at ", one.label())));
    match rule {
        _ if rule.starts_with("without ") => "rules: without, or --without",
        _ if rule.starts_with("with ") => "rules: with, or --with",
        _ if rule.starts_with("packs for at most ") => "rules: budget, or --budget",
        _ if rule.starts_with("a recipe at most ") => "rules: repeats",
        _ if rule.starts_with("overlap of any ") => "rules: sameness",
        _ if rule.starts_with("overlap of neighbours ") => "rules: sameness_adjacent",
        "no form on neighbouring days" => "rules: form_adjacent",
        _ if rule.starts_with("no recipe of ") => "--rest",
        _ if rule.starts_with("foods to buy of ") => "rules: cap, or --cap",
        _ if has(" % of the energy ") => "rules: energy_share, standards",
        _ if nutrient => "rules: nutrition, standards",
        _ if rule.ends_with(" in every lunch") || rule.ends_with(" in the week") => {
            "rules: credits, standards"
        }
        _ if has(" active minutes on ") => "rules: minutes",
        _ if has(" minutes in the kitchen on ") => "rules: kitchen_minutes",
        _ if rule.starts_with("batches cooked on ") || rule == "nothing cooked ahead" => {
            "rules: cook_on"
        }
        _ if rule.ends_with(" of a form") => "rules: per_form",
        _ if rule.ends_with(" of a main protein") => "rules: per_protein",
        _ => "rules: cap, or --cap",
    }
}

/// The first number in a text, thousandths; nought where there is none.
fn number(text: &str) -> i64 {
    let figure = |c: char| c.is_ascii_digit() || c == '.' || c == '-';
    let is = |word: &&str| word.chars().all(figure) && word.contains(|c: char| c.is_ascii_digit());
    let Some(word) = text.split_whitespace().find(is) else {
        return 0;
    };
    let (whole, part) = word.split_once('.').unwrap_or((word, ""));
    let sign = if word.starts_with('-') { -1 } else { 1 };
    let part: i64 = format!("{part:0<3}").parse().unwrap();
    whole.parse::<i64>().unwrap() * 1_000 + sign * part
}

/// A rule with the nearest number that works, told by what it takes.
fn nearest(larder: &Contents, asked: &str, rule: &str) -> String {
    let currency = &larder.currency;
    let by = number(asked).abs_diff(number(rule));
    let decimal = |milli: u64| {
        let text = format!("{}.{:03}", milli / 1_000, milli % 1_000);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    if let Some(most) = rule.strip_prefix("packs for at most ") {
        // Minor units: all its digits.
        let minor = |text: &str| {
            let money = text.rsplit(' ').next().unwrap_or(text);
            let digits: String = money.chars().filter(char::is_ascii_digit).collect();
            digits.parse::<i64>().unwrap()
        };
        let (least, was) = (minor(most), minor(asked));
        return format!(
            "least budget {}, {} more",
            money(least, currency),
            money(least - was, currency)
        );
    }
    let count = number(rule) / 1_000;
    match written(rule) {
        "rules: cap, or --cap" if rule.starts_with("foods to buy of ") => {
            format!("fewest families of foods to buy {count}")
        }
        "rules: cap, or --cap" => format!("fewest foods to buy {count}"),
        "rules: kitchen_minutes" => {
            let days = rule.split(" minutes in the kitchen on ").nth(1).unwrap();
            format!(
                "{} more minutes in the kitchen on {days}, at most {count}",
                decimal(by)
            )
        }
        "rules: minutes" => {
            let days = rule.split(" active minutes on ").nth(1).unwrap();
            format!(
                "{} more active minutes on {days}, at most {count}",
                decimal(by)
            )
        }
        "rules: nutrition, standards" | "rules: credits, standards" => {
            let (side, word) = if rule.contains(" at least ") {
                (" at least ", "less")
            } else {
                (" at most ", "more")
            };
            let rest = rule.split(side).nth(1).unwrap();
            let unit = rest.split_once(' ').unwrap().1;
            let ends = [" in every lunch", " on average", " in the week"];
            let unit = ends.iter().find_map(|end| unit.strip_suffix(end)).unwrap();
            format!("{} {unit} {word}: {rule}", decimal(by))
        }
        _ => rule.to_owned(),
    }
}

fn change(larder: &Contents, way: &Value) -> String {
    if let (Some(asked), Some(rule)) = (way["asked"].as_str(), way["rule"].as_str()) {
        let open = if way["nearest"] == true {
            ""
        } else {
            ", or nearer: not settled"
        };
        return format!("{}{open}", nearest(larder, asked, rule));
    }
    match (text(&way["how"]), way["rule"].as_str()) {
        ("trip", None) => format!("shop on {} too", larder.day_name(int(&way["trip"]) as i32)),
        ("looser", Some(rule)) => format!("ask for {rule} instead"),
        ("without", Some(rule)) => {
            if let Some(name) = rule.strip_prefix("without ") {
                format!("allow {name}")
            } else if let Some(name) = rule.strip_prefix("with ") {
                // The day is no part of it.
                let name = (1..=i32::from(larder.week.lunches))
                    .find_map(|day| name.strip_suffix(&format!(" on {}", larder.day_name(day))))
                    .unwrap_or(name);
                format!("do not insist on {name}")
            } else {
                format!("drop the rule \"{rule}\"")
            }
        }
        other => panic!("a change: {other:?}"),
    }
}

fn way_out(larder: &Contents, way: &Value) -> String {
    let mut how = change(larder, way);
    if !way["and"].is_null() {
        how = format!("{how}, and {}", change(larder, &way["and"]));
    }
    let lunches = list(&way["lunches"]).iter();
    let lunches: Vec<String> = lunches
        .map(|one| {
            format!(
                "{} {}",
                named(larder, &[int(&one[0]) as i32]),
                text(&one[1])
            )
        })
        .collect();
    format!(
        "{how}: {}. {}.",
        sums(larder, &way["sums"]),
        lunches.join(", ")
    )
}

/// The sums of a week in words.
pub fn sums(larder: &Contents, sums: &Value) -> String {
    let currency = &larder.currency;
    format!(
        "bill {}, {}, spoiled {}, total {}",
        money(int(&sums["bill"]), currency),
        count(int(&sums["foods"]), "food to buy", "foods to buy"),
        money_nano(nano(&sums["spoiled"]), currency),
        money_nano(nano(&sums["objective"]), currency)
    )
}
