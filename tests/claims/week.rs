//! Holds what `scant week --format json` says against the kitchen: every sum is made again from
//! the lunches, batches and packs it lists, with the kitchen's own figures.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use scant::larder::wishes::Preferred;
use scant::larder::{
    Aim, CapBy, Component, ComponentId, Contents, Credited, Day, FoodId, Ingredient, Nutrient,
    Pack, PackId, Per, Recipe,
};

use super::check::{Check, days, int, list, milli, nano, text, texts};
use super::run::word;

const NANO: i64 = 1_000_000_000;

pub fn recipe_of<'l>(larder: &'l Contents, name: &str) -> &'l Recipe {
    let found = larder.recipes.iter().find(|recipe| recipe.name == name);
    found.unwrap_or_else(|| panic!("a recipe: {name}"))
}

pub fn food_of(larder: &Contents, name: &str) -> FoodId {
    let at = larder.foods.iter().position(|food| food.name == name);
    FoodId::new(at.unwrap_or_else(|| panic!("a food: {name}")))
}

fn component_of(larder: &Contents, name: &str) -> ComponentId {
    let at = larder.components.iter().position(|one| one.name == name);
    ComponentId::new(at.unwrap_or_else(|| panic!("a component: {name}")))
}

/// The pack of a food by label and stage.
fn pack_of<'l>(larder: &'l Contents, row: &Value) -> (PackId, &'l Pack) {
    let food = food_of(larder, text(&row["food"]));
    let at = larder.packs.iter().position(|pack| {
        pack.food == food
            && pack.label == text(&row["pack"])
            && pack.stage.as_deref() == row["stage"].as_str()
            && pack.shop.map(|shop| larder.shops[shop.index()].as_str()) == row["shop"].as_str()
    });
    let at = at.unwrap_or_else(|| panic!("a pack: {row}"));
    (PackId(at as u32), &larder.packs[at])
}

/// What a batch, or a lunch's part of one, takes: each food's share, rounded down.
fn shares(larder: &Contents, id: ComponentId, mg: i64) -> Vec<(FoodId, i64)> {
    let component = &larder.components[id.index()];
    let share = |of: i64| (i128::from(mg) * i128::from(of) / i128::from(component.makes_mg)) as i64;
    let foods = component.foods.iter();
    foods
        .map(|&(food, of)| (food, share(of)))
        .filter(|&(_, share)| share > 0)
        .collect()
}

/// A lunch as the JSON tells it.
pub struct Lunch {
    pub recipe: String,
    /// What lines take, and milligrams for a portion and for all.
    lines: Vec<(Ingredient, i64, i64)>,
    /// Food by food, components resolved: for all eaters, and for a portion.
    pub all: BTreeMap<FoodId, i64>,
    portion: Vec<(FoodId, i64)>,
}

/// The sums of a week, made again.
pub struct Facts {
    pub lunches: Vec<Lunch>,
    pub bill: i64,
    pub foods: BTreeSet<FoodId>,
    pub spoiled_nano: i64,
    pub kept_nano: i64,
    pub staples_nano: i64,
    pub minutes_nano: i64,
    pub watched_nano: i64,
    pub objective_nano: i64,
}

fn lunches(c: &mut Check, larder: &Contents, week: &Value) -> Vec<Lunch> {
    let mut all = Vec::new();
    for (day, told) in (1..).zip(list(&week["lunches"])) {
        let recipe = recipe_of(larder, text(&told["recipe"]));
        c.same("day", int(&told["day"]), i64::from(day));
        c.same("day's name", text(&told["name"]), &larder.day_name(day));
        c.same(
            "form",
            text(&told["form"]),
            &larder.forms[recipe.form.index()],
        );
        let protein = recipe
            .protein
            .map(|id| larder.proteins[id.index()].as_str());
        c.same("protein", told["protein"].as_str(), protein);
        c.same("minutes", nano(&told["minutes"]), recipe.minutes_nano);
        let mut lunch = Lunch {
            recipe: recipe.name.clone(),
            lines: Vec::new(),
            all: BTreeMap::new(),
            portion: Vec::new(),
        };
        let mut allergens: BTreeSet<&String> = BTreeSet::new();
        c.same("lines", list(&told["lines"]).len(), recipe.lines.len());
        for (line, said) in recipe.lines.iter().zip(list(&told["lines"])) {
            let name = |what: Ingredient| match what {
                Ingredient::Food(id) => larder.foods[id.index()].name.as_str(),
                Ingredient::Component(id) => larder.components[id.index()].name.as_str(),
            };
            let kind = if said["food"].is_null() {
                "component"
            } else {
                "food"
            };
            let taken = line.alternatives.iter().position(|one| {
                let food = matches!(one.what, Ingredient::Food(_));
                food == (kind == "food") && name(one.what) == text(&said[kind])
            });
            let Some(taken) = taken else {
                c.yes(false, format!("{said} is no alternative of its line"));
                continue;
            };
            let one = &line.alternatives[taken];
            let eaters = larder.week.eaters_milli[day as usize - 1];
            let mg = one.mg * eaters / 1_000;
            let first = (taken > 0).then(|| name(line.alternatives[0].what));
            c.same("instead of", said["instead_of"].as_str(), first);
            c.same("written", text(&said["written"]), &one.written);
            c.same("a portion", int(&said["portion_mg"]), one.mg);
            c.same("for all", int(&said["all_mg"]), mg);
            c.same(
                "choices",
                int(&said["choices"]),
                line.alternatives.len() as i64,
            );
            lunch.lines.push((one.what, one.mg, mg));
            let foods = |mg: i64| match one.what {
                Ingredient::Food(id) => vec![(id, mg)],
                Ingredient::Component(id) => shares(larder, id, mg),
            };
            for (food, mg) in foods(mg) {
                *lunch.all.entry(food).or_default() += mg;
            }
            lunch.portion.extend(foods(one.mg));
            match one.what {
                Ingredient::Food(id) => allergens.extend(&larder.foods[id.index()].allergens),
                Ingredient::Component(id) => {
                    for (food, _) in &larder.components[id.index()].foods {
                        allergens.extend(&larder.foods[food.index()].allergens);
                    }
                }
            }
        }
        let allergens: Vec<String> = allergens.into_iter().cloned().collect();
        c.same("allergens", texts(&told["allergens"]), allergens);
        all.push(lunch);
    }
    c.same("lunches", all.len(), larder.lunch_count());
    all
}

/// Batches: what they make is what boxes take. Returns minutes by day.
fn batches(c: &mut Check, larder: &Contents, week: &Value, lunches: &[Lunch]) -> Vec<i64> {
    let mut minutes = vec![0; larder.lunch_count() + 1];
    let mut asked: BTreeMap<(usize, i32), i64> = BTreeMap::new();
    let mut asked_foods: BTreeMap<(usize, FoodId), i64> = BTreeMap::new();
    for (day, lunch) in (1..).zip(lunches) {
        for &(what, _, mg) in &lunch.lines {
            if let Ingredient::Component(id) = what {
                *asked.entry((id.index(), day)).or_default() += mg;
                for (food, mg) in shares(larder, id, mg) {
                    *asked_foods.entry((id.index(), food)).or_default() += mg;
                }
            }
        }
    }
    asked.retain(|_, mg| *mg > 0);
    for batch in list(&week["batches"]) {
        let id = component_of(larder, text(&batch["component"]));
        let component = &larder.components[id.index()];
        let day = int(&batch["day"]) as i32;
        let mut served = 0;
        for serving in list(&batch["serves"]) {
            let (on, mg) = (int(&serving["day"]) as i32, int(&serving["mg"]));
            c.yes(
                (day..=day + component.keeps).contains(&on),
                format!("{batch} is eaten while it keeps"),
            );
            served += mg;
            *asked.entry((id.index(), on)).or_default() -= mg;
        }
        c.same("a batch makes", int(&batch["makes_mg"]), served);
        let until = i64::from(day + component.keeps);
        c.same("keeps until", int(&batch["keeps_until"]), until);
        let took = component.batch_minutes_nano + served * component.minutes_per_mg_nano;
        c.same("a batch's minutes", nano(&batch["minutes"]), took);
        let passive = int(&batch["passive_minutes"]);
        c.same("passive minutes", passive, component.passive_minutes);
        c.same("equipment", texts(&batch["needs"]), component.needs.clone());
        minutes[day as usize] += took;
        for food in list(&batch["foods"]) {
            let key = (id.index(), food_of(larder, text(&food["food"])));
            *asked_foods.entry(key).or_default() -= int(&food["mg"]);
        }
    }
    asked.retain(|_, mg| *mg != 0);
    asked_foods.retain(|_, mg| *mg != 0);
    c.same("boxes and batches differ by", asked, BTreeMap::new());
    c.same("foods of batches differ by", asked_foods, BTreeMap::new());
    minutes
}

/// Active minutes of each day; returns their sum.
fn minutes(c: &mut Check, larder: &Contents, week: &Value, mut days: Vec<i64>) -> i64 {
    for (day, lunch) in (1..).zip(list(&week["lunches"])) {
        days[day] += recipe_of(larder, text(&lunch["recipe"])).minutes_nano;
    }
    let limit = |day: usize| larder.wishes.minutes_nano.get(day).copied().flatten();
    let said: Vec<(usize, i64, Option<i64>)> = list(&week["minutes"])
        .iter()
        .map(|row| {
            let limit = (!row["limit"].is_null()).then(|| nano(&row["limit"]));
            (int(&row["day"]) as usize, nano(&row["minutes"]), limit)
        })
        .collect();
    let is: Vec<(usize, i64, Option<i64>)> = (0..days.len())
        .map(|day| (day, days[day], limit(day)))
        .filter(|&(_, minutes, limit)| minutes > 0 || limit.is_some())
        .collect();
    for &(day, minutes, limit) in &is {
        c.yes(
            limit.is_none_or(|limit| minutes <= limit),
            format!("minutes of day {day} within {limit:?}: {minutes}"),
        );
    }
    c.same("minutes", said, is);
    days.iter().sum()
}

/// Time in the kitchen of each day, where a wish is about it; returns the watched minutes.
fn kitchen_minutes(c: &mut Check, larder: &Contents, week: &Value) -> i64 {
    let wishes = &larder.wishes;
    let limited = wishes.kitchen_minutes_nano.iter().any(Option::is_some);
    let asked = limited || wishes.watch_price_minor > 0 || wishes.cook_on.is_some();
    let mut days: Vec<i64> = vec![0; larder.lunch_count() + 1];
    let mut all = 0;
    for batch in list(&week["batches"]) {
        let component = component_of(larder, text(&batch["component"]));
        let watched = watched_nano(&larder.components[component.index()]);
        days[int(&batch["day"]) as usize] += watched;
        all += watched;
        let day = int(&batch["day"]) as u8;
        let on = wishes.cook_on.as_ref();
        c.yes(
            on.is_none_or(|on| on.contains(&day)),
            format!("cooked on {day}"),
        );
    }
    for row in list(&week["minutes"]) {
        days[int(&row["day"]) as usize] += nano(&row["minutes"]);
    }
    let none = Vec::new();
    let told = week["kitchen_minutes"].as_array().unwrap_or(&none);
    let said: Vec<(usize, i64, Option<i64>)> = told
        .iter()
        .map(|row| {
            let limit = (!row["limit"].is_null()).then(|| nano(&row["limit"]));
            (int(&row["day"]) as usize, nano(&row["minutes"]), limit)
        })
        .collect();
    let limit = |day: usize| wishes.kitchen_minutes_nano[day];
    let is = (0..days.len()).map(|day| (day, days[day], limit(day)));
    let is: Vec<(usize, i64, Option<i64>)> = is
        .filter(|&(_, minutes, limit)| asked && (minutes > 0 || limit.is_some()))
        .collect();
    for &(day, minutes, limit) in &is {
        c.yes(
            limit.is_none_or(|limit| minutes <= limit),
            format!("minutes in the kitchen of day {day} within {limit:?}: {minutes}"),
        );
    }
    c.same("minutes in the kitchen", said, is);
    all
}

/// Passive minutes of a batch, 1e-9, that hold something, step by step.
fn watched_nano(component: &Component) -> i64 {
    let steps = &component.steps;
    if steps.is_empty() {
        return i64::from(!component.needs.is_empty()) * component.passive_minutes * NANO;
    }
    let mut minutes: Vec<i64> = steps
        .iter()
        .map(|s| s.passive_minutes.unwrap_or(0))
        .collect();
    let rest = (component.passive_minutes - minutes.iter().sum::<i64>()).max(0);
    let at = (0..steps.len())
        .rev()
        .find(|&at| steps[at].passive_minutes.is_none());
    minutes[at.unwrap_or(steps.len() - 1)] += rest;
    let held = steps
        .iter()
        .zip(minutes)
        .filter(|(step, _)| !step.needs.is_empty());
    held.map(|(_, minutes)| minutes * NANO).sum()
}

/// What is bought: the list is the bill.
fn purchases(
    c: &mut Check,
    larder: &Contents,
    week: &Value,
    lunches: &[Lunch],
) -> BTreeSet<FoodId> {
    let mut numbers: BTreeMap<FoodId, i64> = BTreeMap::new();
    let mut bill = 0;
    let mut fed: BTreeMap<FoodId, BTreeSet<i32>> = BTreeMap::new();
    for row in list(&week["purchases"]) {
        let (_, pack) = pack_of(larder, row);
        let food = &larder.foods[pack.food.index()];
        let count = int(&row["count"]);
        c.yes(!food.staple && count > 0, format!("{row} is bought"));
        c.same("price of one", int(&row["each"]), pack.price_minor);
        c.same("price", int(&row["price"]), pack.price_minor * count);
        let ap = pack.unit_ap_mg * pack.units * count;
        c.same("as purchased", int(&row["as_purchased_mg"]), ap);
        let edible = pack.unit_mg * pack.units * count;
        c.same("edible", int(&row["edible_mg"]), edible);
        c.same("loose", row["loose"].as_bool(), Some(pack.loose));
        let family = food.family.map(|id| larder.families[id.index()].as_str());
        c.same("family", row["family"].as_str(), family);
        let trip = int(&row["trip"]) as usize;
        let day = i64::from(larder.week.trips[trip].day);
        c.same("bought on", int(&row["bought_on"]), day);
        bill += pack.price_minor * count;
        let next = numbers.len() as i64 + 1;
        let number = *numbers.entry(pack.food).or_insert(next);
        c.same("number", int(&row["number"]), number);
        fed.entry(pack.food)
            .or_default()
            .extend(days(&row["serves"]));
    }
    let eats = |food: FoodId, day: i32| lunches[day as usize - 1].all.get(&food) > Some(&0);
    for (&food, days) in &fed {
        let name = &larder.foods[food.index()].name;
        let all = days.iter().all(|&day| eats(food, day));
        c.yes(all, format!("{name} feeds {days:?}"));
        // Of what is bought alone, every lunch that eats it is fed.
        if !larder.stock.iter().any(|unit| unit.food == food) {
            let is: BTreeSet<i32> = (1..=lunches.len() as i32)
                .filter(|&d| eats(food, d))
                .collect();
            c.same(&format!("lunches that {name} feeds"), days.clone(), is);
        }
    }
    let foods: BTreeSet<FoodId> = numbers.into_keys().collect();
    c.same("bill", int(&week["bill"]), bill);
    c.same("foods", int(&week["foods"]), foods.len() as i64);
    c.same("families", int(&week["families"]), families(larder, &foods));
    foods
}

pub fn families(larder: &Contents, foods: &BTreeSet<FoodId>) -> i64 {
    let of = |food: &FoodId| larder.foods[food.index()].family.ok_or(*food);
    foods.iter().map(of).collect::<BTreeSet<_>>().len() as i64
}

/// What is left: had is used and left, food by food used is eaten. Returns spoiled, kept.
fn leftovers(c: &mut Check, larder: &Contents, week: &Value, lunches: &[Lunch]) -> (i64, i64) {
    let mut used: BTreeMap<FoodId, i64> = BTreeMap::new();
    let mut units: BTreeMap<(PackId, i64), i64> = BTreeMap::new();
    let mut stock: Vec<(FoodId, String, i64)> = Vec::new();
    let mut drawn: BTreeMap<FoodId, (i128, i128)> = BTreeMap::new();
    let [
        mut had,
        mut eaten,
        mut kept,
        mut spoiled,
        mut kept_nano,
        mut spoiled_nano,
    ] = [0; 6];
    for row in list(&week["leftovers"]) {
        let food = food_of(larder, text(&row["food"]));
        let [held, took, left] = ["bought_mg", "used_mg", "left_mg"].map(|key| int(&row[key]));
        c.yes(held == took + left && left >= 0, format!("{row} balances"));
        let opened = (!row["opened_on"].is_null()).then(|| int(&row["opened_on"]) as i32);
        let count = int(&row["units"]);
        let (value, until) = if row["on_hand"].as_bool() == Some(true) {
            let label = text(&row["pack"]).to_owned();
            let unit = larder.stock.iter().filter(|unit| unit.food == food);
            let mut alike = unit.filter(|unit| unit.label == label && unit.left_mg == held);
            let until = |unit: &scant::larder::Stock| match opened {
                _ if unit.opened => unit.ready_to.min(unit.end),
                Some(day) => (day + unit.open_life).min(unit.end),
                None => unit.ready_to,
            };
            let said = int(&row["good_until"]) as i32;
            let Some(unit) = alike.find(|unit| until(unit) == said) else {
                c.yes(false, format!("{row} is on hand"));
                continue;
            };
            stock.push((food, label, held));
            (unit.value_nano, said)
        } else {
            let (id, pack) = pack_of(larder, row);
            let day = int(&row["bought_on"]) as i32;
            *units.entry((id, i64::from(day))).or_default() += count;
            c.same("held", held, count * pack.unit_mg);
            let until = match opened {
                Some(on) => (on + pack.open_life).min(day + pack.end),
                None => day + pack.ready_to,
            };
            if let Some(on) = opened {
                let window = day + pack.ready_from..=day + pack.ready_to;
                c.yes(window.contains(&on), format!("{row} is opened when ready"));
            }
            (pack.value_nano, until)
        };
        c.same("good until", int(&row["good_until"]), i64::from(until));
        c.same("value", nano(&row["value"]), left * value);
        let fate = match left {
            0 => "used_up",
            _ if until >= larder.week.carry_day => "kept",
            _ => "spoiled",
        };
        c.same("fate", text(&row["fate"]), fate);
        c.yes(
            took == 0 || opened.is_some(),
            format!("{row} is opened if it is used"),
        );
        *used.entry(food).or_default() += took;
        let sums = drawn.entry(food).or_default();
        sums.0 += i128::from(took) * i128::from(value);
        sums.1 += i128::from(took);
        had += held;
        eaten += took;
        match fate {
            "kept" => (kept, kept_nano) = (kept + left, kept_nano + left * value),
            "spoiled" => {
                (spoiled, spoiled_nano) = (spoiled + left, spoiled_nano + left * value);
            }
            _ => {}
        }
    }
    used.retain(|_, mg| *mg > 0);
    let mut ate: BTreeMap<FoodId, i64> = BTreeMap::new();
    for (food, mg) in lunches.iter().flat_map(|lunch| &lunch.all) {
        if !larder.foods[food.index()].staple && *mg > 0 {
            *ate.entry(*food).or_default() += mg;
        }
    }
    c.same("used and eaten", used, ate);
    let mut bought: BTreeMap<(PackId, i64), i64> = BTreeMap::new();
    for row in list(&week["purchases"]) {
        let (id, pack) = pack_of(larder, row);
        *bought.entry((id, int(&row["bought_on"]))).or_default() += int(&row["count"]) * pack.units;
    }
    c.same("units bought and told", units, bought);
    let mut there: Vec<(FoodId, String, i64)> = larder
        .stock
        .iter()
        .map(|unit| (unit.food, unit.label.clone(), unit.left_mg))
        .collect();
    there.sort();
    stock.sort();
    c.same("stock told", stock, there);
    let totals = &week["leftover_totals"];
    let sums = ["bought_mg", "used_mg", "kept_mg", "spoiled_mg"].map(|key| int(&totals[key]));
    c.same("totals", sums, [had, eaten, kept, spoiled]);
    c.same("kept", nano(&totals["kept_value"]), kept_nano);
    c.same("spoiled", nano(&totals["spoiled_value"]), spoiled_nano);
    if week["finishers"].is_null() {
        let handed = list(&week["kept"]).iter();
        let handed: i64 = handed
            .map(|unit| int(&unit["units"]) * int(&unit["left_mg"]))
            .sum();
        c.same("handed on", handed, kept);
    }
    // What a lunch is worth: staples at their price, the rest at what was drawn.
    for (at, (told, lunch)) in list(&week["lunches"]).iter().zip(lunches).enumerate() {
        let worth = |(food, mg): (&FoodId, &i64)| {
            let entry = &larder.foods[food.index()];
            let nano_value = if entry.staple {
                i128::from(*mg) * i128::from(entry.staple_value_nano)
            } else {
                let (value, drawn) = drawn.get(food).copied().unwrap_or((0, 1));
                i128::from(*mg) * value / drawn.max(1)
            };
            nano_value as i64
        };
        let cost: i64 = lunch.all.iter().map(worth).sum();
        c.same("cost", nano(&told["cost"]), cost);
        let eaters = larder.week.eaters_milli[at];
        let portion = (i128::from(cost) * 1_000 / i128::from(eaters)) as i64;
        c.same("cost a portion", nano(&told["cost_a_portion"]), portion);
    }
    (spoiled_nano, kept_nano)
}

fn staples(c: &mut Check, larder: &Contents, week: &Value, lunches: &[Lunch]) -> i64 {
    let mut is: BTreeMap<String, (i64, i64, Vec<i32>)> = BTreeMap::new();
    for (day, lunch) in (1..).zip(lunches) {
        for (food, &mg) in &lunch.all {
            let food = &larder.foods[food.index()];
            if food.staple && mg > 0 {
                let row = is.entry(food.name.clone()).or_default();
                row.0 += mg;
                row.1 = row.0 * food.staple_value_nano;
                row.2.push(day);
            }
        }
    }
    let said: BTreeMap<String, (i64, i64, Vec<i32>)> = list(&week["staples"])
        .iter()
        .map(|row| {
            let figures = (int(&row["mg"]), nano(&row["cost"]), days(&row["serves"]));
            (text(&row["food"]).to_owned(), figures)
        })
        .collect();
    let sum = is.values().map(|row| row.1).sum();
    c.same("staples", said, is);
    sum
}

/// Nutrition of a portion of size 1, lunch by lunch, and the rules on it.
fn nutrition(c: &mut Check, larder: &Contents, week: &Value, lunches: &[Lunch]) {
    const PER: i128 = 100_000;
    for nutrient in Nutrient::ALL {
        let told = &week["nutrition"][nutrient.key()];
        let mut missing: BTreeSet<&String> = BTreeSet::new();
        let (mut each, mut unknown, mut sum) = (Vec::new(), Vec::new(), 0);
        for lunch in lunches {
            let (mut milli, mut some) = (0, false);
            for (food, mg) in &lunch.portion {
                let food = &larder.foods[food.index()];
                if let Some(figure) = food.nutrients_milli[nutrient.index()] {
                    milli += i128::from(*mg) * i128::from(figure)
                } else {
                    some = true;
                    missing.insert(&food.name);
                }
            }
            sum += milli;
            each.push((milli / PER) as i64);
            unknown.push(some);
        }
        let said: Vec<i64> = list(&told["lunches"]).iter().map(milli).collect();
        let what = format!("{} of the lunches", nutrient.label());
        c.same(&what, said, each.clone());
        let flags: Vec<bool> = list(&told["incomplete"])
            .iter()
            .map(|flag| flag.as_bool().unwrap())
            .collect();
        c.same("incomplete", flags, unknown);
        let names: Vec<String> = missing.into_iter().cloned().collect();
        c.same("without a figure", texts(&told["missing"]), names);
        let mean = (sum / PER / lunches.len() as i128) as i64;
        c.same("mean", milli(&told["mean"]), mean);
        let rules = larder.wishes.nutrition.iter();
        let rules: Vec<_> = rules.filter(|rule| rule.nutrient == nutrient).collect();
        c.same("limits", list(&told["limits"]).len(), rules.len());
        for (rule, said) in rules.into_iter().zip(list(&told["limits"])) {
            let limit = |key: &str| (!said[key].is_null()).then(|| milli(&said[key]));
            c.same("at least", limit("at_least"), rule.at_least_milli);
            c.same("at most", limit("at_most"), rule.at_most_milli);
            let (per, low, high) = match rule.per {
                Per::Lunch => ("lunch", each.iter().min(), each.iter().max()),
                Per::Week => ("week", Some(&mean), Some(&mean)),
            };
            c.same("per", text(&said["per"]), per);
            c.yes(
                rule.at_least_milli.is_none_or(|least| low >= Some(&least)),
                format!("{what}: at least {:?}", rule.at_least_milli),
            );
            c.yes(
                rule.at_most_milli.is_none_or(|most| high <= Some(&most)),
                format!("{what}: at most {:?}", rule.at_most_milli),
            );
        }
    }
}

/// What foods count for in groups, and shares of energy: of a portion, and of the week.
fn credits(c: &mut Check, larder: &Contents, week: &Value, lunches: &[Lunch]) {
    const PER: i128 = 100_000;
    let mut told = list(&week["credits"]).iter();
    let mut seen: Vec<&Credited> = Vec::new();
    for rule in &larder.wishes.credits {
        if seen.contains(&&rule.what) {
            continue;
        }
        seen.push(&rule.what);
        let row = told.next().expect("a row of credits");
        let sum = |lunch: &Lunch, figure: &dyn Fn(usize) -> i64| -> i128 {
            let each = lunch.portion.iter();
            each.map(|(food, mg)| i128::from(*mg) * i128::from(figure(food.index())))
                .sum()
        };
        let (each, all, name): (Vec<i64>, i64, &str) = match &rule.what {
            Credited::Group { name, .. } => {
                let of = |lunch: &Lunch| sum(lunch, &|food| rule.figures_micro[food]);
                let sums: Vec<i128> = lunches.iter().map(of).collect();
                let milli = |sum: i128| (sum / PER / 1_000) as i64;
                let all = milli(sums.iter().sum());
                (sums.into_iter().map(milli).collect(), all, name)
            }
            Credited::EnergyShare { nutrient, .. } => {
                let kcal = i128::from(nutrient.kcal_per_gram().unwrap_or(0));
                let figure = |nutrient: Nutrient| {
                    move |food: usize| {
                        larder.foods[food].nutrients_milli[nutrient.index()].unwrap_or(0)
                    }
                };
                let of = |lunch: &Lunch| {
                    let part = sum(lunch, &figure(*nutrient)) * kcal;
                    (part, sum(lunch, &figure(Nutrient::Energy)))
                };
                let parts: Vec<(i128, i128)> = lunches.iter().map(of).collect();
                let share = |(part, whole): (i128, i128)| (part * 100_000 / whole.max(1)) as i64;
                let whole = parts.iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
                (
                    parts.into_iter().map(share).collect(),
                    share(whole),
                    nutrient.key(),
                )
            }
        };
        let said: Vec<i64> = list(&row["lunches"]).iter().map(milli).collect();
        c.same(&format!("{name} of the lunches"), said, each);
        c.same(&format!("{name} of the week"), milli(&row["week"]), all);
        let called = row["group"].as_str().or(row["nutrient"].as_str());
        c.same("credited", called, Some(name));
    }
    c.yes(told.next().is_none(), "no more credits");
}

fn objective(c: &mut Check, larder: &Contents, week: &Value, facts: &mut Facts) {
    let wishes = &larder.wishes;
    let told = |key: &str| nano(&week["objective"][key]);
    // Each milligram's price is rounded once: what is left over is less than a tonne.
    let weighted = |key: &str, value: i64, milli: i64| {
        let is = (i128::from(value) * i128::from(milli) / 1_000) as i64;
        let off = (told(key).abs() - is).abs();
        if off <= NANO / 1_000 {
            told(key).abs()
        } else {
            is
        }
    };
    let trips: BTreeSet<i64> = list(&week["purchases"])
        .iter()
        .map(|row| int(&row["trip"]))
        .filter(|&trip| trip > 0)
        .collect();
    let going = |&trip: &i64| larder.week.trips[trip as usize].going_minor;
    let going = trips.iter().map(going);
    let going: i64 = going
        .map(|own| own.unwrap_or(wishes.trip_price_minor))
        .sum();
    let mut preferences = 0;
    for (day, lunch) in (1..).zip(&facts.lunches) {
        let served = recipe_of(larder, &lunch.recipe);
        for preference in &wishes.preferences {
            let hit = match preference.whom {
                Preferred::Form(form) => served.form == form,
                Preferred::Recipe(id) => larder.recipes[id.index()].name == served.name,
            };
            if hit && preference.days.contains(&(day as Day)) {
                preferences += preference.price_minor;
            }
        }
    }
    let parts = [
        ("packs", facts.bill * NANO),
        ("staples", facts.staples_nano),
        (
            "spoiled",
            weighted("spoiled", facts.spoiled_nano, wishes.spoil_weight_milli),
        ),
        (
            "foods",
            facts.foods.len() as i64 * wishes.food_price_minor * NANO,
        ),
        ("minutes", facts.minutes_nano * wishes.minute_price_minor),
        ("watched", facts.watched_nano * wishes.watch_price_minor),
        ("trips", going * NANO),
        ("preferences", preferences * NANO),
        (
            "carry",
            -weighted("carry", facts.kept_nano, wishes.carry_credit_milli),
        ),
    ];
    for (key, is) in parts {
        if key == "watched" && wishes.watch_price_minor == 0 {
            let left_out = week["objective"].get(key).is_none();
            c.yes(left_out, "no price on watched minutes");
            continue;
        }
        c.same(
            &format!("objective, {key}"),
            nano(&week["objective"][key]),
            is,
        );
    }
    facts.objective_nano = parts.iter().map(|part| part.1).sum();
    c.same(
        "objective",
        nano(&week["objective"]["total"]),
        facts.objective_nano,
    );
    let aims: Vec<(String, i64)> = list(&week["aims"])
        .iter()
        .map(|row| (text(&row["aim"]).to_owned(), nano(&row["reached"])))
        .collect();
    let is: Vec<(String, i64)> = wishes
        .order
        .iter()
        .map(|&aim| (word(aim).to_owned(), reached(facts, aim)))
        .collect();
    c.same("aims", aims, is);
}

/// What an aim reached, 1e-9 of its unit.
pub fn reached(facts: &Facts, aim: Aim) -> i64 {
    match aim {
        Aim::Foods => facts.foods.len() as i64 * NANO,
        Aim::Cost => facts.bill * NANO + facts.staples_nano,
        Aim::Spoiled => facts.spoiled_nano,
        Aim::Minutes => facts.minutes_nano,
    }
}

/// How near the week stands to each rule with a figure.
fn standings(c: &mut Check, larder: &Contents, week: &Value, facts: &Facts) {
    let wishes = &larder.wishes;
    let most = |of: &dyn Fn(&Recipe) -> Option<String>| {
        let mut counts: BTreeMap<String, i64> = BTreeMap::new();
        for lunch in &facts.lunches {
            if let Some(name) = of(recipe_of(larder, &lunch.recipe)) {
                *counts.entry(name).or_default() += 1;
            }
        }
        counts
    };
    let forms = most(&|recipe| Some(larder.forms[recipe.form.index()].clone()));
    let proteins = most(&|recipe| Some(larder.proteins[recipe.protein?.index()].clone()));
    let mut rules: BTreeMap<&str, usize> = BTreeMap::new();
    for row in list(&week["rules"]) {
        let rule = text(&row["rule"]);
        *rules.entry(rule).or_default() += 1;
        let (reached, limit) = (nano(&row["reached"]), nano(&row["limit"]));
        c.same(
            "at limit",
            row["at_limit"].as_bool(),
            Some(reached == limit),
        );
        let day = row["day"].as_i64();
        let about = row["about"].as_str().unwrap_or("");
        let counted = |counts: &BTreeMap<String, i64>| {
            let said = counts.get(about).copied().unwrap_or(0);
            (said == counts.values().copied().max().unwrap_or(0)).then_some(said * NANO)
        };
        let (is, of) = match rule {
            "cap" => (
                facts.foods.len() as i64 * NANO,
                wishes.cap.map(|n| n * NANO),
            ),
            "cap_families" => (
                families(larder, &facts.foods) * NANO,
                wishes.cap.map(|n| n * NANO),
            ),
            "budget" => (facts.bill * NANO, wishes.budget_minor.map(|n| n * NANO)),
            "per_form" => (
                counted(&forms).unwrap_or(-1),
                wishes.per_form.map(|n| n * NANO),
            ),
            "per_protein" => (
                counted(&proteins).unwrap_or(-1),
                wishes.per_protein.map(|n| n * NANO),
            ),
            "minutes" | "kitchen_minutes" => {
                let on = list(&week[rule]).iter();
                let on: Vec<(i64, i64)> = on
                    .filter(|row| !row["limit"].is_null())
                    .map(|row| {
                        (
                            nano(&row["limit"]) - nano(&row["minutes"]),
                            int(&row["day"]),
                        )
                    })
                    .collect();
                let nearest = on.iter().map(|one| one.0).min();
                c.same("nearest to its limit", Some(limit - reached), nearest);
                let here = on
                    .iter()
                    .any(|&(room, at)| Some(at) == day && Some(room) == nearest);
                c.yes(here, format!("{row} is of that day"));
                continue;
            }
            "floor" | "ceiling" => {
                let nutrient = &week["nutrition"][about];
                let each = list(&nutrient["lunches"]).iter().map(nano);
                let is = match (day, rule) {
                    (None, _) => nano(&nutrient["mean"]),
                    (Some(_), "floor") => each.min().unwrap(),
                    _ => each.max().unwrap(),
                };
                if let Some(day) = day {
                    let there = nano(&nutrient["lunches"][day as usize - 1]);
                    c.same("on that day", there, is);
                }
                let key = if rule == "floor" {
                    "at_least"
                } else {
                    "at_most"
                };
                let per = if day.is_some() { "lunch" } else { "week" };
                let has = list(&nutrient["limits"]).iter().any(|one| {
                    text(&one["per"]) == per && !one[key].is_null() && nano(&one[key]) == limit
                });
                c.yes(has, format!("{row} is a rule"));
                (is, Some(limit))
            }
            other => panic!("a rule nobody holds against the kitchen: {other}"),
        };
        c.same(&format!("{rule} reached"), reached, is);
        c.same(&format!("{rule} limit"), Some(limit), of);
    }
    let cap = wishes.cap.map(|_| match wishes.cap_by {
        CapBy::Foods => "cap",
        CapBy::Families => "cap_families",
    });
    let any_minutes = wishes.minutes_nano.iter().any(Option::is_some);
    let any_kitchen = wishes.kitchen_minutes_nano.iter().any(Option::is_some);
    let sides = |at_least: bool| {
        let rules = wishes.nutrition.iter();
        let side = rules.map(|rule| {
            if at_least {
                rule.at_least_milli
            } else {
                rule.at_most_milli
            }
        });
        side.flatten().count()
    };
    let mut is: BTreeMap<&str, usize> = BTreeMap::new();
    for (rule, there) in [
        (cap.unwrap_or("cap"), usize::from(cap.is_some())),
        ("budget", usize::from(wishes.budget_minor.is_some())),
        ("minutes", usize::from(any_minutes)),
        ("kitchen_minutes", usize::from(any_kitchen)),
        ("per_form", usize::from(wishes.per_form.is_some())),
        (
            "per_protein",
            usize::from(wishes.per_protein.is_some() && !proteins.is_empty()),
        ),
        ("floor", sides(true)),
        ("ceiling", sides(false)),
    ] {
        if there > 0 {
            is.insert(rule, there);
        }
    }
    c.same("rules told", rules, is);
}

/// Holds a week's JSON against the kitchen.
pub fn check(c: &mut Check, larder: &Contents, week: &Value) -> Facts {
    let lunches = lunches(c, larder, week);
    let by_day = batches(c, larder, week, &lunches);
    let minutes_nano = minutes(c, larder, week, by_day);
    let watched_nano = kitchen_minutes(c, larder, week);
    let foods = purchases(c, larder, week, &lunches);
    let (spoiled_nano, kept_nano) = leftovers(c, larder, week, &lunches);
    let staples_nano = staples(c, larder, week, &lunches);
    nutrition(c, larder, week, &lunches);
    credits(c, larder, week, &lunches);
    let mut facts = Facts {
        lunches,
        bill: int(&week["bill"]),
        foods,
        spoiled_nano,
        kept_nano,
        staples_nano,
        minutes_nano,
        watched_nano,
        objective_nano: 0,
    };
    objective(c, larder, week, &mut facts);
    standings(c, larder, week, &facts);
    finishers(c, larder, week, &facts);
    let eaters: Vec<i64> = list(&week["week"]["days"])
        .iter()
        .map(|day| milli(&day["eaters"]))
        .collect();
    c.same("eaters", eaters, larder.week.eaters_milli.clone());
    let carry = int(&week["week"]["carry_day"]);
    c.same("carry day", carry, larder.week.carry_day.into());
    facts
}

/// What goes on top of the lunches.
fn finishers(c: &mut Check, larder: &Contents, week: &Value, facts: &Facts) {
    let told = &week["finishers"];
    if told.is_null() {
        return;
    }
    let mut appeal = 0;
    for placed in list(&told["placed"]) {
        let recipe = recipe_of(larder, text(&placed["recipe"]));
        let day = int(&placed["day"]) as usize;
        c.same(
            "finished lunch",
            &recipe.name,
            &facts.lunches[day - 1].recipe,
        );
        let food = food_of(larder, text(&placed["food"]));
        let eaters = larder.week.eaters_milli[day - 1];
        let entry = recipe.finishers.iter().find(|entry| {
            let written = entry.alternative.written == text(&placed["written"]);
            entry.alternative.what == Ingredient::Food(food) && written
        });
        let Some(entry) = entry else {
            c.yes(false, format!("{placed} is a finisher of its lunch"));
            continue;
        };
        c.same(
            "finisher",
            int(&placed["mg"]),
            entry.alternative.mg * eaters / 1_000,
        );
        c.same("appeal", int(&placed["appeal"]), entry.appeal);
        let staple = larder.foods[food.index()].staple;
        c.same("cupboard", placed["staple"].as_bool(), Some(staple));
        appeal += entry.appeal;
    }
    c.same("appeal in all", int(&told["appeal"]), appeal);
    let mut foods = facts.foods.clone();
    let mut spent = facts.bill;
    for bought in list(&told["bought"]) {
        foods.insert(food_of(larder, text(&bought["food"])));
        spent += int(&bought["price"]);
    }
    let wishes = &larder.wishes;
    let counted = |foods: &BTreeSet<FoodId>| match wishes.cap_by {
        CapBy::Foods => foods.len() as i64,
        CapBy::Families => families(larder, foods),
    };
    c.yes(
        wishes.cap.is_none_or(|cap| counted(&foods) <= cap),
        "packs for finishers keep the cap",
    );
    c.yes(
        wishes.budget_minor.is_none_or(|most| spent <= most),
        "packs for finishers keep the budget",
    );
    let offers = list(&told["bought"]).iter().chain(list(&told["offers"]));
    for (at, offer) in offers.enumerate() {
        let food = food_of(larder, text(&offer["food"]));
        let prices: Vec<i64> = larder
            .packs_of(food)
            .filter(|(_, pack)| pack.label == text(&offer["pack"]))
            .map(|(_, pack)| pack.price_minor * int(&offer["count"]))
            .collect();
        let price = int(&offer["price"]);
        c.yes(prices.contains(&price), format!("{offer} at its price"));
        let [any, cap, budget] =
            ["beyond", "beyond_cap", "beyond_budget"].map(|key| offer[key].as_bool().unwrap());
        c.same("no room", any, cap || budget);
        if at < list(&told["bought"]).len() {
            c.yes(!any, format!("{offer} is bought, and there is room"));
            continue;
        }
        // A rule is named only if it is in force, and then it is what has no room: for what was
        // bought when the offer was looked at, which is no more than all that is.
        let mut with = foods.clone();
        with.insert(food);
        c.yes(
            !cap || wishes.cap.is_some_and(|most| counted(&with) > most),
            format!("{offer}: the cap has no room"),
        );
        c.yes(
            !budget || wishes.budget_minor.is_some_and(|most| spent + price > most),
            format!("{offer}: the budget has no room"),
        );
        if list(&told["bought"]).is_empty() {
            let full = wishes.cap.is_some_and(|most| counted(&with) > most);
            c.same("the cap has no room", cap, full);
            let dear = wishes.budget_minor.is_some_and(|most| spent + price > most);
            c.same("the budget has no room", budget, dear);
        }
    }
}
