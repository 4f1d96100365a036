//! Holds what `scant tradeoffs` prints against weeks solved anew: every change that its words
//! tell of is made here, by hand, and the kitchen searched again to the end.

use std::collections::BTreeSet;

use serde_json::Value;

use scant::engine::{Apart, Given, Limits, Outcome, Solved, solve_given};
use scant::larder::allowed::allowed_alternatives;
use scant::larder::{Contents, PackId, Pin, RecipeId, ShopId, Target};
use scant::plan::{Lot, Plan};
use scant::rules::{Tally, judge};
use scant::tradeoffs::Proof;

use super::check::{Check, int, list, nano, text, texts};
use super::page::{self, Section, and, count, holes, money, money_nano, share, short, signed};
use super::rules::{How, apply, in_force};
use super::run::{Told, best, checked, may_be};
use super::support::random::Dice;
use super::week::food_of;
use super::words::{self, leaving, list_or_empty, switched};

const NANO: i64 = 1_000_000_000;

/// Spoiled values this close are the same on the frontier, 1e-9 minor units.
const CLOSE: i64 = NANO / 100;

/// The chosen week and what its trade-offs were told of.
struct Base<'a> {
    larder: &'a Contents,
    solved: &'a Solved,
    told: &'a Value,
}

/// What an answer said: its objective, that there is no week, or nothing.
fn said(c: &mut Check, base: &Base, case: &Value) -> Option<Option<Tallied>> {
    match text(&case["outcome"]) {
        "open" | "not_asked" => None,
        "impossible" => {
            c.yes(
                case["week"].is_null() && case["more"].is_null(),
                format!("no week: {case}"),
            );
            Some(None)
        }
        _ => {
            let sums = &case["week"]["sums"];
            let more = &case["more"];
            let (now, was) = (tallied(sums), tallied(&base.told["week"]["sums"]));
            c.same("how much more", tallied(more), now.less(&was));
            c.same(
                "exact if best",
                nano(&case["at_least"]),
                nano(&more["objective"]),
            );
            switch(c, base, case);
            Some(Some(now))
        }
    }
}

/// The sums of a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Tallied {
    bill: i64,
    foods: i64,
    spoiled: i64,
    minutes: i64,
    objective: i64,
}

impl Tallied {
    fn less(&self, other: &Self) -> Self {
        Self {
            bill: self.bill - other.bill,
            foods: self.foods - other.foods,
            spoiled: self.spoiled - other.spoiled,
            minutes: self.minutes - other.minutes,
            objective: self.objective - other.objective,
        }
    }

    fn of(tally: &Tally) -> Self {
        Self {
            bill: tally.packs_minor,
            foods: tally.foods,
            spoiled: tally.spoiled_nano,
            minutes: tally.minutes_nano,
            objective: tally.objective_nano,
        }
    }
}

fn tallied(sums: &Value) -> Tallied {
    Tallied {
        bill: int(&sums["bill"]),
        foods: int(&sums["foods"]),
        spoiled: nano(&sums["spoiled"]),
        minutes: nano(&sums["minutes"]),
        objective: nano(&sums["objective"]),
    }
}

fn served(week: &Value) -> Vec<String> {
    let lunches = list(&week["lunches"]).iter();
    lunches
        .map(|lunch| text(&lunch["recipe"]).to_owned())
        .collect()
}

fn bought(week: &Value) -> BTreeSet<String> {
    texts(&week["bought"]).into_iter().collect()
}

/// How a week differs from the chosen one: held against both weeks.
fn switch(c: &mut Check, base: &Base, case: &Value) {
    let switch = &case["switch"];
    let (was, now) = (served(&base.told["week"]), served(&case["week"]));
    let names = |key: &str| {
        let all = list(&switch[key]).iter();
        let mut all: Vec<String> = all.map(|one| text(&one[1]).to_owned()).collect();
        all.sort();
        all
    };
    let left = |from: &[String], taken: &[String]| {
        let mut rest = from.to_vec();
        for name in taken {
            if let Some(at) = rest.iter().position(|one| one == name) {
                rest.remove(at);
            }
        }
        rest.sort();
        rest
    };
    c.same("what leaves", names("leave"), left(&was, &now));
    c.same("what comes", names("come"), left(&now, &was));
    for (key, week) in [("leave", &was), ("come", &now)] {
        for one in list(&switch[key]) {
            let day = int(&one[0]) as usize;
            c.same("on that day", text(&one[1]), week[day - 1].as_str());
        }
    }
    let (had, has) = (bought(&base.told["week"]), bought(&case["week"]));
    let dropped: Vec<String> = had.difference(&has).cloned().collect();
    let added: Vec<String> = has.difference(&had).cloned().collect();
    c.same("not bought any more", sorted(&switch["dropped"]), dropped);
    c.same("bought only now", sorted(&switch["added"]), added);
    if was == now {
        c.yes(
            list(&switch["moved"]).is_empty(),
            "the same days, nothing moved",
        );
    }
}

fn sorted(names: &Value) -> Vec<String> {
    let mut all = texts(names);
    all.sort();
    all
}

/// Compares an answer with the larder changed by hand.
fn holds(c: &mut Check, base: &Base, what: &str, case: &Value, larder: &Contents) {
    // There may be no such kitchen: that, and nothing else, is said of it then.
    let asked = text(&case["outcome"]) != "not_asked";
    c.same(&format!("{what} was asked"), asked, may_be(larder));
    if let Some(said) = said(c, base, case).filter(|_| asked) {
        let is = best(larder).map(|week| Tallied::of(&week.tally));
        // Equally good weeks may differ in what is no aim; their objective may not.
        c.same(
            what,
            said.map(|one| one.objective),
            is.map(|one| one.objective),
        );
        if let (Some(said), Some(is)) = (said, is) {
            c.same(
                &format!("{what}, sums"),
                (said.bill, said.foods),
                (is.bill, is.foods),
            );
        }
    }
}

fn given(larder: &Contents, given: &Given) -> Option<Solved> {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match solve_given(&checked(larder), given, &limits)
        .expect("no fault")
        .0
    {
        Outcome::Best(solved) => Some(solved),
        Outcome::Impossible => None,
        other => panic!("not ended: {other:?}"),
    }
}

fn recipes(larder: &Contents, names: &[String]) -> Vec<RecipeId> {
    let id = |name: &String| {
        let at = larder
            .recipes
            .iter()
            .position(|recipe| recipe.name == *name);
        RecipeId::new(at.expect("a recipe"))
    };
    let mut all: Vec<RecipeId> = names.iter().map(id).collect();
    all.sort_unstable();
    all
}

fn section<'s>(sections: &'s [Section], title: &str) -> &'s Section {
    let found = sections.iter().find(|section| section.title == title);
    found.unwrap_or_else(|| panic!("a section {title}"))
}

/// The cells of a case in a table of cases.
fn cells(base: &Base, case: &Value) -> [String; 4] {
    let currency = &base.larder.currency;
    let objective = match text(&case["outcome"]) {
        "impossible" => "no week".to_owned(),
        "best" => signed(nano(&case["at_least"]), currency),
        _ if case["at_least"].is_null() => "not settled".to_owned(),
        _ => format!("at least {}", signed(nano(&case["at_least"]), currency)),
    };
    if text(&case["outcome"]) != "best" {
        return [objective, String::new(), String::new(), String::new()];
    }
    let more = &case["more"];
    let foods = int(&more["foods"]);
    [
        objective,
        signed(int(&more["bill"]) * NANO, currency),
        if foods == 0 {
            "0".to_owned()
        } else {
            format!("{foods:+}")
        },
        signed(nano(&more["spoiled"]), currency),
    ]
}

fn lunches(base: &Base, case: &Value) -> String {
    if text(&case["outcome"]) == "best" {
        switched(&case["switch"], &leaving(base.larder, &case["switch"]))
    } else {
        String::new()
    }
}

/// Compares the rows of a table of cases: label, four figures, words.
fn table(c: &mut Check, section: &Section, head: &str, is: &[Vec<String>]) {
    let said = section.table(head, 1, "").unwrap_or_default();
    c.same(&section.title, said, is.to_vec());
}

fn row(base: &Base, label: String, case: &Value, words: String) -> Vec<String> {
    let mut row = vec![label];
    row.extend(cells(base, case));
    row.push(words);
    row
}

fn rules(c: &mut Check, base: &Base, sections: &[Section]) {
    let told = list(&base.told["rules"]);
    let mut own = 0;
    let mut rows = Vec::new();
    let mut free = Vec::new();
    for price in told {
        let rule = text(&price["rule"]);
        let mut checked = base.larder.clone();
        if let Some(there) = apply(&mut checked, rule, How::Check) {
            c.yes(there, format!("{rule} is in force"));
        }
        let is_free = price["free"].as_bool() == Some(true);
        let without = &price["without"];
        if !without.is_null() {
            own += 1;
            let mut changed = base.larder.clone();
            if apply(&mut changed, rule, How::Drop) == Some(true) {
                holds(c, base, &format!("without {rule}"), without, &changed);
            }
            let no_better = text(&without["outcome"]) == "best"
                && key(base, &without["week"]["sums"], &changed) >= key_now(base);
            c.same(&format!("{rule} is free"), is_free, no_better);
        }
        if !price["looser"].is_null() {
            let looser = text(&price["looser"]);
            let mut changed = base.larder.clone();
            if apply(&mut changed, looser, How::Set) == Some(true) {
                holds(c, base, looser, &price["with_looser"], &changed);
            }
        }
        if is_free {
            free.push(rule.to_owned());
            continue;
        }
        if !without.is_null() {
            rows.push(row(
                base,
                format!("dropped: {rule}"),
                without,
                lunches(base, without),
            ));
        }
        if !price["looser"].is_null() {
            let case = &price["with_looser"];
            let label = format!("loosened to: {}", text(&price["looser"]));
            rows.push(row(base, label, case, lunches(base, case)));
        }
    }
    c.same("rules told", own, in_force(base.larder));
    let section = section(sections, "WHAT EACH RULE COSTS");
    table(c, section, "Rule ", &rows);
    let said = section.items.iter().find_map(|item| {
        holes(
            "Free, proved; dropped (keeping and ripening times: a day longer) each by itself the \
               week would be no better: {}.",
            item,
        )
    });
    let is = (!free.is_empty()).then(|| free.join("; "));
    c.same("free", said.map(|said| said[0].to_owned()), is);
}

/// What weeks are compared by, of a larder changed by hand: under a strict order of aims the
/// objective alone does not say which is better, and its week is solved again.
fn key(base: &Base, sums: &Value, changed: &Contents) -> Vec<i64> {
    if base.larder.wishes.order.is_empty() {
        return vec![nano(&sums["objective"])];
    }
    best(changed).map_or_else(Vec::new, |week| key_of(base.larder, &week.tally))
}

fn key_of(larder: &Contents, tally: &Tally) -> Vec<i64> {
    let aims = larder.wishes.order.iter().map(|&aim| tally.aim_nano(aim));
    aims.chain([tally.objective_nano]).collect()
}

fn key_now(base: &Base) -> Vec<i64> {
    key_of(base.larder, &base.solved.tally)
}

fn foods(c: &mut Check, base: &Base, sections: &[Section]) {
    let mut rows = Vec::new();
    let mut names = BTreeSet::new();
    for price in list(&base.told["foods"]) {
        let name = text(&price["food"]);
        names.insert(name.to_owned());
        let mut changed = base.larder.clone();
        let food = food_of(base.larder, name);
        changed.wishes.without.push(Target::Food(food));
        let case = &price["without"];
        holds(c, base, &format!("without {name}"), case, &changed);
        let is_bought = bought(&base.told["week"]).contains(name);
        c.same("bought", price["bought"].as_bool(), Some(is_bought));
        let mut words = lunches(base, case);
        if text(&case["outcome"]) == "best" {
            let (added, come) = (
                texts(&case["switch"]["added"]),
                list(&case["switch"]["come"]),
            );
            if !added.is_empty() && !come.is_empty() {
                words = format!("{words} (buying {})", and(&added));
            }
        }
        let hand = if is_bought { "" } else { " (on hand)" };
        rows.push(row(base, format!("{name}{hand}"), case, words));
    }
    let section = section(sections, "WHAT DOING WITHOUT A FOOD COSTS");
    table(c, section, "Without ", &rows);
    let plan = &base.solved.plan;
    let mut used = bought(&base.told["week"]);
    for opening in &plan.openings {
        if let Lot::Stock(id) = opening.lot {
            let food = base.larder.stock[id.index()].food;
            used.insert(base.larder.foods[food.index()].name.clone());
        }
    }
    c.same("foods told", names, used);
}

/// What each shop is worth; nothing is said of it where there are not several.
fn shops(c: &mut Check, base: &Base, sections: &[Section]) {
    let (larder, currency) = (base.larder, &base.larder.currency);
    let told = list(&base.told["shops"]);
    if larder.shops.len() < 2 {
        let said = sections.iter().find(|section| section.title == "SHOPS");
        let is = "The kitchen does not name several shops (`week: shops`).";
        let other = said.is_some_and(|section| section.prose() != is);
        return c.same("no shops", (told.len(), other), (0, false));
    }
    let section = section(sections, "SHOPS");
    let here = |shop: usize| {
        let all = base.solved.plan.purchases.iter();
        all.filter(move |one| {
            let sold = larder.packs[one.pack.index()].shop;
            sold.is_some_and(|id| id.index() == shop)
        })
    };
    let (mut bills, mut rows) = (Vec::new(), Vec::new());
    for (at, name) in larder.shops.iter().enumerate() {
        let price = &told[at];
        c.same("a shop", text(&price["shop"]), name.as_str());
        let days: BTreeSet<u8> = here(at)
            .map(|one| larder.week.trips[usize::from(one.trip)].day)
            .collect();
        let bill = here(at).map(|one| larder.packs[one.pack.index()].price_minor * one.count);
        let bill: i64 = bill.sum();
        c.same("bill there", int(&price["bill"]), bill);
        let named: Vec<String> = days
            .iter()
            .map(|&day| short(&larder.day_name(day.into())))
            .collect();
        let named = if named.is_empty() {
            "not gone to".to_owned()
        } else {
            named.join(" ")
        };
        bills.push(vec![name.clone(), named, money(bill, currency)]);
        let mut changed = larder.clone();
        changed.wishes.without.push(Target::Shop(ShopId::new(at)));
        let case = &price["without"];
        holds(c, base, &format!("without {name}"), case, &changed);
        rows.push(row(base, name.clone(), case, lunches(base, case)));
    }
    c.same("shops", told.len(), larder.shops.len());
    let said = section.table("Shop ", 1, "Total, bill").unwrap_or_default();
    c.same("bills by shop", said, bills);
    let said = section
        .table("Without ", 1, "Packs that")
        .unwrap_or_default();
    c.same("weeks without a shop", said, rows);
    let mut rows = Vec::new();
    for price in list(&base.told["packs_elsewhere"]) {
        let (food, pack) = (text(&price["food"]), text(&price["pack"]));
        let sold = |id: &PackId| {
            let pack = &larder.packs[id.index()];
            larder.shops[pack.shop.expect("a shop").index()].as_str()
        };
        let bought = base.solved.plan.purchases.iter().map(|one| one.pack);
        let mut bought = bought.filter(|id| {
            let one = &larder.packs[id.index()];
            let named = larder.foods[one.food.index()].name == food && one.label == pack;
            named && sold(id) == text(&price["shop"])
        });
        let Some(id) = bought.next() else {
            c.yes(false, format!("{food} is bought there"));
            continue;
        };
        let each = larder.packs[id.index()].price_minor;
        c.same("each", int(&price["each"]), each);
        let mut others = Vec::new();
        for other in list(&price["others"]) {
            let (shop, each) = (text(&other[0]), int(&other[1]));
            let there = larder.packs.iter().any(|one| {
                let named = larder.foods[one.food.index()].name == food && one.label == pack;
                let place = &larder.shops[one.shop.expect("a shop").index()];
                named && place == shop && one.price_minor == each
            });
            c.yes(
                there && shop != text(&price["shop"]),
                format!("{food} at {shop}"),
            );
            others.push(format!("{shop} {}", money(each, currency)));
        }
        let mut changed = larder.clone();
        changed.wishes.without.push(Target::Pack(id));
        let case = &price["without"];
        holds(c, base, &format!("{food} not there"), case, &changed);
        rows.push(vec![
            format!("{food} {pack}"),
            format!("{} {}", text(&price["shop"]), money(each, currency)),
            others.join(", "),
            cells(base, case)[0].clone(),
        ]);
    }
    table(c, section, "Pack ", &rows);
}

fn insisting(c: &mut Check, base: &Base, sections: &[Section]) {
    let larder = base.larder;
    let id = |name: &str| recipes(larder, &[name.to_owned()])[0];
    let (mut rows, mut never, mut told) = (Vec::new(), Vec::new(), BTreeSet::new());
    for price in list(&base.told["recipes_left_out"]) {
        let name = text(&price["recipe"]);
        let mut changed = larder.clone();
        changed.wishes.with.push(Pin::Recipe(id(name), None));
        holds(c, base, &format!("with {name}"), &price["case"], &changed);
        c.yes(told.insert(name.to_owned()), name);
        if text(&price["case"]["outcome"]) == "impossible" {
            never.push(name);
        } else {
            rows.push(row(
                base,
                name.to_owned(),
                &price["case"],
                lunches(base, &price["case"]),
            ));
        }
    }
    let out = section(sections, "WHAT INSISTING ON A RECIPE COSTS");
    table(c, out, "With ", &rows);
    let is = match &never[..] {
        [] => None,
        [one] => Some((*one).to_owned()),
        [first @ .., last] => Some(format!("{} or {last}", first.join(", "))),
    };
    let said = out
        .items
        .iter()
        .find_map(|item| holes("No week that keeps the rules has {}: proved.", item));
    c.same("never", said.map(|said| said[0].to_owned()), is);
    rows.clear();
    let kept: BTreeSet<String> = served(&base.told["week"]).into_iter().collect();
    let mut said = BTreeSet::new();
    for price in list(&base.told["recipes_kept"]) {
        let name = text(&price["recipe"]);
        let mut changed = larder.clone();
        changed.wishes.without.push(Target::Recipe(id(name)));
        holds(
            c,
            base,
            &format!("without {name}"),
            &price["case"],
            &changed,
        );
        rows.push(row(
            base,
            name.to_owned(),
            &price["case"],
            lunches(base, &price["case"]),
        ));
        said.insert(name.to_owned());
    }
    table(
        c,
        section(sections, "WHAT THE RECIPES OF THE WEEK GAIN"),
        "Without ",
        &rows,
    );
    c.same("recipes kept", said, kept.clone());
    let allowed = allowed_alternatives(larder);
    let servable: BTreeSet<String> = allowed
        .servable()
        .map(|id| &larder.recipes[id.index()])
        .filter(|recipe| recipe.days.contains(&true) && !kept.contains(&recipe.name))
        .map(|recipe| recipe.name.clone())
        .collect();
    c.same("recipes left out", told, servable);
}

fn frontier(c: &mut Check, base: &Base, sections: &[Section]) {
    let (larder, told) = (base.larder, &base.told["frontier"]);
    let currency = &larder.currency;
    let points = list(&told["points"]);
    let complete = told["complete"].as_bool() == Some(true);
    let chosen = tallied(&base.told["week"]["sums"]);
    let figures = |point: &Value| {
        (
            int(&point["bill"]),
            int(&point["foods"]),
            nano(&point["spoiled"]),
        )
    };
    let mine = (chosen.bill, chosen.foods, chosen.spoiled);
    let beats =
        |a: (i64, i64, i64), b: (i64, i64, i64)| a != b && a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2;
    let mut rows = Vec::new();
    for point in points {
        let here = figures(point);
        let sums = tallied(&point["week"]["sums"]);
        c.same(
            "a point's week",
            (sums.bill, sums.foods, sums.spoiled),
            here,
        );
        let beaten = points.iter().any(|other| beats(figures(other), here));
        c.yes(!beaten, format!("{here:?} is not beaten"));
        let is_chosen = point["chosen"].as_bool() == Some(true);
        c.same("the chosen week's figures", is_chosen, here == mine);
        c.same(
            "beats the chosen",
            point["beats_chosen"].as_bool(),
            Some(beats(here, mine)),
        );
        if is_chosen {
            // Day by day, line by line.
            c.same("the chosen week", &point["week"], &base.told["week"]);
        }
        c.same("bought", bought(&point["week"]).len() as i64, here.1);
        let (mut gone, mut new) = (served(&base.told["week"]), Vec::new());
        for name in served(&point["week"]) {
            match gone.iter().position(|one| *one == name) {
                Some(at) => drop(gone.remove(at)),
                None => new.push(name),
            }
        }
        let mark = match (is_chosen, new.is_empty()) {
            (true, _) => "the chosen week".to_owned(),
            (_, true) => "the same lunches".to_owned(),
            _ => format!("{} for {}", and(&new), and(&gone)),
        };
        rows.push(vec![
            money(here.0, currency),
            here.1.to_string(),
            money_nano(here.2, currency),
            mark,
        ]);
        if complete {
            unbeaten(c, larder, here);
        }
    }
    let has = points
        .iter()
        .any(|point| point["chosen"].as_bool() == Some(true));
    c.same(
        "has the chosen week",
        told["has_chosen"].as_bool(),
        Some(has),
    );
    let beaten = points.iter().any(|point| beats(figures(point), mine));
    c.yes(has || beaten, "the chosen week is a point or beaten by one");
    let section = section(sections, "BILL AGAINST FOODS AGAINST SPOILED");
    let said = section.table("", 0, "").or_else(|| {
        let head = section
            .lines
            .iter()
            .find(|line| line.trim_start().starts_with("Bill"));
        section.table(head?, 0, "")
    });
    c.same("points", said.unwrap_or_default(), rows);
    let number = count(points.len() as i64, "combination", "combinations");
    let mut is = vec![if complete {
        format!(
            "{number} of bill, foods to buy and spoiled value that none beats in all three: \
             proved, these are all."
        )
    } else {
        format!(
            "{number} found that none beats in all three; the search ended before it was known \
             whether these are all."
        )
    }];
    if has {
        is.push("The chosen week is one of them.".to_owned());
    } else if beaten {
        is.push(
            "The chosen week is not one of them: weeks are chosen by more than these three \
             figures."
                .to_owned(),
        );
    }
    knees(c, larder, told, &mut is);
    c.same("the frontier", section.items.clone(), is);
}

/// No week that keeps the rules is better in one of the three and no worse in the others.
fn unbeaten(c: &mut Check, larder: &Contents, (bill, foods, spoiled): (i64, i64, i64)) {
    let ask = |bill: i64, foods: i64, spoiled: i64| {
        if bill < 0 || foods < 0 || spoiled < 0 {
            return None;
        }
        let mut within = larder.clone();
        let budget = larder.wishes.budget_minor.unwrap_or(i64::MAX);
        within.wishes.budget_minor = Some(bill.min(budget));
        within.wishes.order.clear();
        let limits = Given {
            foods_most: Some(foods),
            spoiled_most_nano: Some(spoiled),
            ..Given::default()
        };
        given(&within, &limits)
    };
    c.yes(
        ask(bill - 1, foods, spoiled).is_none(),
        format!("bill {bill} is least there"),
    );
    c.yes(
        ask(bill, foods - 1, spoiled).is_none(),
        format!("{foods} foods are fewest there"),
    );
    let less = ask(bill, foods, spoiled - CLOSE - 1);
    c.yes(less.is_none(), format!("spoiled {spoiled} is least there"));
}

/// The least bill with each number of foods.
fn knees(c: &mut Check, larder: &Contents, told: &Value, items: &mut Vec<String>) {
    let points = list(&told["points"]);
    let counts: Vec<i64> = points.iter().map(|point| int(&point["foods"])).collect();
    let mut is = Vec::new();
    if let (Some(&fewest), Some(&most)) = (counts.iter().min(), counts.iter().max())
        && told["complete"].as_bool() == Some(true)
    {
        let mut before: Option<i64> = None;
        for foods in fewest..=most {
            let within = points.iter().filter(|point| int(&point["foods"]) <= foods);
            let bill = within.map(|point| int(&point["bill"])).min().unwrap();
            is.push((foods, bill, before.map(|before| before - bill)));
            before = Some(bill);
        }
    }
    let said: Vec<(i64, i64, Option<i64>)> = list(&told["knees"])
        .iter()
        .map(|knee| {
            (
                int(&knee["foods"]),
                int(&knee["bill"]),
                knee["saves"].as_i64(),
            )
        })
        .collect();
    c.same("knees", said, is.clone());
    let Some(first) = is.first() else { return };
    let mut sentence = format!(
        "With {} the least bill is {}.",
        count(first.0, "food to buy", "foods to buy"),
        money(first.1, &larder.currency)
    );
    let end = |n: i64| match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    let saved: Vec<String> = is
        .iter()
        .filter_map(|&(foods, _, saves)| Some((foods, saves?)))
        .map(|(foods, saves)| {
            let what = match saves {
                0 => "nothing".to_owned(),
                saves => money(saves, &larder.currency),
            };
            format!("the {foods}{} saves {what}", end(foods))
        })
        .collect();
    if !saved.is_empty() {
        sentence += &format!(" Of one more food each time, {}.", and(&saved));
    }
    items.push(sentence);
}

fn caps(c: &mut Check, base: &Base, sections: &[Section]) {
    let larder = base.larder;
    let told = list(&base.told["caps"]);
    let mut rows = Vec::new();
    let sums = &base.told["week"]["sums"];
    for (at, facts) in told.iter().enumerate() {
        let most = int(&facts["most"]);
        let by = int(&told[0]["most"]);
        c.same("the caps rise by one", most, by + at as i64);
        let own = larder.wishes.cap == Some(most);
        c.same("own", facts["own"].as_bool(), Some(own));
        let mut changed = larder.clone();
        changed.wishes.cap = Some(most);
        let case = &facts["case"];
        holds(c, base, &format!("a cap of {most}"), case, &changed);
        let lunches = match text(&case["outcome"]) {
            _ if own => "the chosen week".to_owned(),
            "impossible" => "no week".to_owned(),
            "open" => "not settled".to_owned(),
            _ if list(&case["switch"]["leave"]).is_empty() => "the same recipes".to_owned(),
            _ => lunches(base, case),
        };
        let mut row = vec![most.to_string()];
        row.extend(cells(base, case));
        row.push(lunches);
        rows.push(row);
    }
    // Around the kitchen's own cap; without one, from what the week buys downwards.
    let last = told.last().map(|facts| int(&facts["most"]));
    if let (None, Some(last)) = (larder.wishes.cap, last)
        && larder.wishes.cap_by == scant::larder::CapBy::Foods
    {
        c.same("the highest cap", last, int(&sums["foods"]));
    }
    if let Some(most) = larder.wishes.cap {
        let asked = told.iter().map(|facts| int(&facts["most"]));
        let wanted = (most - 2).max(0)..=most + 2;
        c.same("caps", asked.collect::<Vec<_>>(), wanted.collect());
    }
    if !told.is_empty() {
        let what = match larder.wishes.cap_by {
            scant::larder::CapBy::Foods => "At most",
            scant::larder::CapBy::Families => "Families",
        };
        let section = section(sections, "BY FOODS TO BUY, AT MOST");
        let said = section.table(what, 0, "").expect("a table");
        c.same("by cap", said, rows);
    }
}

fn eaters(c: &mut Check, base: &Base, sections: &[Section]) {
    let larder = base.larder;
    let currency = &larder.currency;
    let mut rows = Vec::new();
    let rounded = |value: i128, over: i128| ((2 * value + over) / (2 * over)) as i64;
    for (eaters, told) in (1..=8).zip(list(&base.told["eaters"])) {
        c.same("eaters", int(&told["eaters"]), eaters);
        let own = larder
            .week
            .eaters_milli
            .iter()
            .all(|&milli| milli == eaters * 1_000);
        c.same("own", told["own"].as_bool(), Some(own));
        let mut changed = larder.clone();
        changed.week.eaters_milli.fill(eaters * 1_000);
        let case = &told["case"];
        holds(c, base, &format!("{eaters} eaters"), case, &changed);
        let best = text(&case["outcome"]) == "best";
        let sums = &case["week"]["sums"];
        let mut cells = vec![eaters.to_string()];
        if best {
            let bill = i128::from(int(&sums["bill"]));
            let portions = i128::from(eaters) * i128::from(larder.week.lunches);
            let portion = rounded(bill * i128::from(NANO), portions);
            c.same("a portion", nano(&told["bill_a_portion"]), portion);
            let spoiled = i128::from(nano(&sums["spoiled"]));
            let part = (bill > 0).then(|| rounded(spoiled * 1_000, bill * i128::from(NANO)));
            let said = (!told["spoiled_share"].is_null()).then(|| nano(&told["spoiled_share"]));
            c.same("spoiled share", said, part.map(|part| part * 1_000_000));
            let percent = |milli: i64| format!("{} %", page::thousandths(milli * 100));
            cells.push(money(bill as i64, currency));
            cells.push(money_nano(portion, currency));
            cells.push(part.map_or_else(String::new, percent));
            cells.push(int(&sums["foods"]).to_string());
        } else {
            c.yes(told["bill_a_portion"].is_null(), "nothing is proved");
            cells.extend(vec![String::new(); 4]);
        }
        cells.push(match (own, text(&case["outcome"])) {
            (true, _) => "the chosen week".to_owned(),
            (_, "impossible") => "no week".to_owned(),
            (_, "open") => "not settled".to_owned(),
            _ if list(&case["switch"]["leave"]).is_empty() => "the same recipes".to_owned(),
            _ => lunches(base, case),
        });
        if own {
            c.same("the kitchen's own", &case["week"], &base.told["week"]);
        }
        rows.push(cells);
    }
    let section = section(sections, "BY EATERS");
    let said = section.table("Eaters", 0, "").expect("a table");
    c.same("by eaters", said, rows);
}

fn others(c: &mut Check, base: &Base, sections: &[Section]) {
    let (larder, told) = (base.larder, &base.told["others"]);
    let section = section(sections, "OTHER WEEKS");
    let prose = section.prose();
    let but_one = larder.lunch_count() - 1;
    let mut apart = vec![Apart {
        recipes: recipes(larder, &served(&base.told["week"])),
        shared: but_one,
    }];
    let ask = |apart: &[Apart], most: Option<i64>| {
        let limits = Given {
            apart,
            objective_most_nano: most,
            ..Given::default()
        };
        given(larder, &limits)
    };
    let next = list(&told["next"]);
    for case in next {
        let said = said(c, base, case).flatten().map(|one| one.objective);
        let is = ask(&apart, None).map(|week| week.tally.objective_nano);
        c.same("the next week", said, is);
        apart.push(Apart {
            recipes: recipes(larder, &served(&case["week"])),
            shared: but_one,
        });
    }
    let no_more = told["no_more"].as_bool() == Some(true);
    if no_more {
        c.yes(ask(&apart, None).is_none(), "there are no other weeks");
    }
    let what = "A week is another one if its recipes differ, whatever the days";
    let ends = if next.len() >= 2 {
        "In order, proved: no other week lies between."
    } else if no_more {
        "There are no others: proved."
    } else {
        "Not settled: the search ended before the next one was proved."
    };
    c.yes(
        prose.contains(&format!("{what}. {ends}")),
        format!("{ends} in {prose}"),
    );
    let now = nano(&base.told["week"]["sums"]["objective"]);
    c.same("margin", nano(&told["margin"]), (now / 10).abs());
    let mut rows = Vec::new();
    for (place, case) in (2..).zip(next) {
        rows.push(row(base, place.to_string(), case, lunches(base, case)));
    }
    let ends = ["No week was found", "Unlike the chosen week"];
    let end = ends
        .into_iter()
        .find(|end| section.lines.iter().any(|line| line.starts_with(end)));
    let table = section
        .table("Place ", 0, end.unwrap_or(""))
        .unwrap_or_default();
    c.same("other weeks", table, rows);
    let mut before = vec![recipes(larder, &served(&base.told["week"]))];
    for far in list(&told["far"]) {
        let shares = int(&far["shares"]) as usize;
        let week = said(c, base, &far["case"]).flatten().expect("a week");
        c.yes(
            week.objective <= now + (now / 10).abs(),
            "within the margin",
        );
        let apart = |shared: usize| {
            let each = before.iter().map(|recipes| Apart {
                recipes: recipes.clone(),
                shared,
            });
            each.collect::<Vec<_>>()
        };
        let most = Some(now + (now / 10).abs());
        let is = ask(&apart(shares), most).map(|week| week.tally.objective_nano);
        c.same("the best so unlike", Some(week.objective), is);
        if shares > 0 {
            c.yes(ask(&apart(shares - 1), most).is_none(), "none shares fewer");
        }
        before.push(recipes(larder, &served(&far["case"]["week"])));
    }
}

/// The larder with a pack at a price, as kitchen files would set it.
fn priced(larder: &Contents, at: usize, price: i64) -> Contents {
    let mut larder = larder.clone();
    let pack = &mut larder.packs[at];
    let size = i128::from(pack.unit_mg * pack.units);
    pack.price_minor = price;
    pack.value_nano = ((i128::from(price) * 2_000_000_000 + size) / (2 * size)) as i64;
    let (food, value) = (pack.food, pack.value_nano);
    if larder.foods[food.index()].packs.start as usize == at {
        let stock = larder.stock.iter_mut().filter(|unit| unit.food == food);
        stock.for_each(|unit| unit.value_nano = value);
    }
    larder
}

/// Whether the week keeps the rules at a price, and none is better.
fn stays_best(larder: &Contents, plan: &Plan, at: usize, price: i64) -> bool {
    let larder = priced(larder, at, price);
    let ours = judge(&checked(&larder), plan).map(|tally| tally.objective_nano);
    ours.is_ok_and(|ours| best(&larder).is_some_and(|week| week.tally.objective_nano >= ours))
}

fn prices(c: &mut Check, base: &Base, sections: &[Section], dice: &mut Dice) {
    let (larder, plan) = (base.larder, &base.solved.plan);
    let currency = &larder.currency;
    let section = section(sections, "FROM WHICH PRICE TO WHICH");
    let told = list(&base.told["prices"]);
    if !larder.wishes.order.is_empty() {
        let is = "Not worked out under a strict order of aims, where the best week may come and go \
                  as a price rises.";
        return c.same("prices", (section.prose().as_str(), told.len()), (is, 0));
    }
    let (mut rows, mut items) = (Vec::new(), Vec::new());
    let mut packs = BTreeSet::new();
    for range in told {
        let food = food_of(larder, text(&range["food"]));
        let at = larder.packs.iter().position(|pack| {
            let shop = pack.shop.map(|shop| larder.shops[shop.index()].as_str());
            let same = pack.food == food && pack.label == text(&range["pack"]);
            same && shop == range["shop"].as_str()
        });
        let at = at.expect("a pack");
        packs.insert(at);
        let now = larder.packs[at].price_minor;
        c.same("its price", int(&range["price"]), now);
        let mut ends = Vec::new();
        for (key, step) in [("low", -1), ("high", 1)] {
            let end = &range[key];
            let price = int(&end["price"]);
            let settled = end["settled"].as_bool() == Some(true);
            let over = end["over_budget"].as_bool() == Some(true);
            let name = format!("{} ({})", text(&range["food"]), text(&range["pack"]));
            c.yes(
                stays_best(larder, plan, at, price),
                format!("{name} best at {price}"),
            );
            for _ in 0..2 {
                let between = dice.roll(price.min(now), price.max(now));
                let holds = stays_best(larder, plan, at, between);
                c.yes(
                    holds,
                    format!("{name} best at {between}, between {now} and {price}"),
                );
            }
            let beyond = &end["beyond"];
            let outside = priced(larder, at, price + step);
            // Further out there may be no such kitchen: then nothing was asked there.
            let outside = may_be(&outside).then_some(outside);
            let broken =
                (outside.as_ref()).is_some_and(|outside| judge(&checked(outside), plan).is_err());
            if settled && !beyond.is_null() {
                if let Some(outside) = &outside {
                    let what = format!("{name} at {}", price + step);
                    holds(c, base, &what, beyond, outside);
                    let still = stays_best(larder, plan, at, price + step);
                    c.yes(!still, format!("{name} not best at {}", price + step));
                } else {
                    c.yes(
                        false,
                        format!("{name} at {}: no such kitchen", price + step),
                    );
                }
                c.same("over the budget", over, broken);
                let turn = match text(&beyond["outcome"]) {
                    "impossible" => "no week".to_owned(),
                    _ => lunches(base, beyond),
                };
                let word = if step < 0 { "below" } else { "above" };
                let why = if over { "over the budget; " } else { "" };
                items.push(format!(
                    "{name} {word} {}, at {}: {why}{turn}.",
                    money(price, currency),
                    money(price + step, currency)
                ));
            } else {
                c.yes(!over, format!("{name}: nothing is said beyond"));
            }
            if settled && beyond.is_null() {
                // As far as was asked: a hundred times the price, or one minor unit; less far
                // only where one further there is no such kitchen.
                let far = if step < 0 {
                    now.min(1)
                } else {
                    now.max(1) * 100
                };
                let shut = outside.is_none() && (price - now).abs() < (far - now).abs();
                c.same("asked as far as", price, if shut { price } else { far });
            }
            ends.push(match (settled, beyond.is_null()) {
                (true, false) => money(price, currency),
                (true, true) => format!("{} or beyond", money(price, currency)),
                _ => format!("{}, not settled further", money(price, currency)),
            });
        }
        rows.push(vec![
            text(&range["food"]).to_owned(),
            match range["shop"].as_str() {
                Some(shop) => format!("{}, {shop}", text(&range["pack"])),
                None => text(&range["pack"]).to_owned(),
            },
            money(now, currency),
            ends[0].clone(),
            ends[1].clone(),
        ]);
    }
    let is: BTreeSet<usize> = plan.purchases.iter().map(|one| one.pack.index()).collect();
    c.same("packs told", packs, is);
    if rows.is_empty() {
        return;
    }
    let said = section.table("Food ", 2, "").expect("a table");
    c.same("ranges", said, rows);
    c.same("beyond the ends", section.items.clone(), items);
}

fn reuse(c: &mut Check, base: &Base, sections: &[Section]) {
    let (larder, plan) = (base.larder, &base.solved.plan);
    let eaten = scant::explain::eaten(&checked(larder), plan);
    let mut rows = Vec::new();
    for row in list(&base.told["reuse"]) {
        let name = text(&row["food"]);
        let food = food_of(larder, name);
        let mine = plan.purchases.iter();
        let mine: Vec<_> = mine
            .filter(|p| larder.packs[p.pack.index()].food == food)
            .collect();
        let sum = |of: &dyn Fn(&scant::larder::Pack) -> i64| -> i64 {
            mine.iter()
                .map(|p| of(&larder.packs[p.pack.index()]) * p.count)
                .sum()
        };
        let (price, held) = (
            sum(&|pack| pack.price_minor),
            sum(&|pack| pack.unit_mg * pack.units),
        );
        c.same("price", int(&row["price"]), price);
        c.same("bought", int(&row["bought_mg"]), held);
        let drawn: i64 = plan
            .openings
            .iter()
            .filter(|one| match one.lot {
                Lot::Stock(id) => larder.stock[id.index()].food == food,
                Lot::Bought(..) => false,
            })
            .flat_map(|one| one.draws.iter().map(|draw| draw.1))
            .sum();
        c.same("on hand", int(&row["on_hand_mg"]), drawn);
        let all = held + drawn;
        let (mut used, mut cells) = (0, vec![name.to_owned()]);
        let mut is = Vec::new();
        for (day, foods) in (1..).zip(&eaten) {
            let mg = foods.get(&food).copied().unwrap_or(0);
            used += mg;
            if mg > 0 {
                is.push((day, mg, mg * 1_000 / all.max(1)));
            }
            let part = mg * 1_000 / all.max(1);
            cells.push(if mg > 0 {
                share(part, 1_000)
            } else {
                String::new()
            });
        }
        let said: Vec<(i64, i64, i64)> = list(&row["lunches"])
            .iter()
            .map(|one| {
                (
                    int(&one["day"]),
                    int(&one["mg"]),
                    nano(&one["share"]) / 1_000_000,
                )
            })
            .collect();
        let served = is.len() as i64;
        c.same("lunches that take it", said, is);
        c.same("left", int(&row["left_mg"]), all - used);
        let each = price * NANO / served.max(1);
        c.same("price a lunch", nano(&row["price_a_lunch"]), each);
        cells.push(share(all - used, all));
        cells.push(served.to_string());
        cells.push(money_nano(each, &larder.currency));
        rows.push(cells);
    }
    let section = section(sections, "WHAT SERVES WHAT");
    let said = section
        .table("Food ", larder.lunch_count() + 2, "")
        .unwrap_or_default();
    c.same("what serves what", said, rows);
}

fn ripening(c: &mut Check, base: &Base, sections: &[Section]) {
    let larder = base.larder;
    let mut is = Vec::new();
    for fruit in list(&base.told["ripening"]) {
        let name = text(&fruit["food"]);
        let food = food_of(larder, name);
        let in_week = bought(&base.told["week"]).contains(name);
        c.same("in the week", fruit["in_week"].as_bool(), Some(in_week));
        let shifted = |days: i32| {
            let mut larder = larder.clone();
            if !in_week {
                larder.wishes.with.push(Pin::Food(food, None));
            }
            let packs = larder.packs.iter_mut().filter(|pack| pack.food == food);
            for pack in packs.filter(|pack| pack.stage.is_some() || pack.ready_from > 0) {
                pack.ready_from = (pack.ready_from + days).max(0);
                pack.ready_to = (pack.ready_to + days).max(0);
                pack.end = (pack.end + days).max(0);
            }
            larder
        };
        holds(
            c,
            base,
            &format!("having {name}"),
            &fruit["case"],
            &shifted(0),
        );
        let case = &fruit["case"];
        if !in_week {
            is.push(match text(&case["outcome"]) {
                "best" => format!(
                    "{name}: not in the chosen week. Having it: total {}.",
                    signed(nano(&case["at_least"]), &larder.currency)
                ),
                "impossible" => format!(
                    "{name}: not in the chosen week, and no week that keeps the rules has it: \
                     proved."
                ),
                _ => format!("{name}: not in the chosen week; not settled."),
            });
        }
        let bought_now = list(&fruit["bought"]);
        for one in bought_now {
            let [on, first, last, slack] =
                ["bought_on", "first", "last", "slack_days"].map(|key| int(&one[key]));
            let pack = larder.packs_of(food).find(|(_, pack)| {
                pack.label == text(&one["pack"]) && pack.stage.as_deref() == one["stage"].as_str()
            });
            let pack = pack.expect("a pack").1;
            c.same("first day", first, on + i64::from(pack.ready_from));
            c.same("last day", last, on + i64::from(pack.ready_to));
            let cut: Vec<i64> = list(&one["cut"]).iter().map(int).collect();
            let end = cut.iter().copied().max().unwrap_or(last);
            c.same("to spare", slack, last - end);
            let names: Vec<String> = cut.iter().map(|&day| larder.day_name(day as i32)).collect();
            is.push(format!(
                "{name}: buy {} on {}; may be cut from {} to {}, is cut on {}: {} to spare.",
                packs(one),
                larder.day_name(on as i32),
                larder.day_name(first as i32),
                larder.day_name(last as i32),
                and(&names),
                count(slack, "day", "days")
            ));
        }
        if bought_now.is_empty() {
            continue;
        }
        let Some(now) = best(&shifted(0)) else {
            continue;
        };
        for (when, days) in [("early", -1), ("late", 1)] {
            let case = &fruit[when];
            if case.is_null() {
                continue;
            }
            let then = best(&shifted(days)).map(|week| week.tally.objective_nano);
            let said = match text(&case["outcome"]) {
                "open" => None,
                "impossible" => Some(None),
                _ => Some(Some(nano(&case["week"]["sums"]["objective"]))),
            };
            if let Some(said) = said {
                c.same(&format!("{name} {when}"), said, then);
            }
            let mut free = shifted(days);
            free.wishes.with.clone_from(&larder.wishes.with);
            let does = judge(&checked(&free), &now.plan).is_ok();
            c.same(
                "the plan still does",
                fruit[&format!("holds_{when}")].as_bool(),
                Some(does),
            );
            let what = format!("{name}, if ripe a day {when}");
            is.push(match (does, text(&case["outcome"])) {
                (true, _) => format!("{what}: the plan still does."),
                (_, "impossible") => {
                    format!("{what}: the plan fails, and no week with it keeps the rules: proved.")
                }
                (_, "open") => {
                    format!("{what}: the plan fails; what is best then is not settled.")
                }
                _ => {
                    let buy = list(&fruit[&format!("bought_{when}")]);
                    let buy: Vec<String> = buy.iter().map(packs).collect();
                    let leave = list(&case["switch"]["leave"]).iter();
                    let leave: Vec<&str> = leave.map(|one| text(&one[1])).collect();
                    format!(
                        "{what}: the plan fails; then buy {} (total {}) and eat {}.",
                        and(&buy),
                        signed(nano(&case["at_least"]), &larder.currency),
                        switched(&case["switch"], &leave.join("; "))
                    )
                }
            });
        }
    }
    let section = section(sections, "RIPENING");
    c.same("ripening", section.items.clone(), is);
}

fn packs(bought: &Value) -> String {
    let pack = text(&bought["pack"]);
    let stage = bought["stage"]
        .as_str()
        .filter(|stage| !pack.contains(stage));
    let stage = stage.map_or(String::new(), |stage| format!(" ({stage})"));
    format!("{} x {pack}{stage}", int(&bought["count"]))
}

/// Whether anything in the JSON was left open.
fn open(value: &Value) -> bool {
    match value {
        Value::Object(all) => all.iter().any(|(key, value)| {
            key == "outcome" && value == "open"
                || key == "settled" && value == false
                || key == "complete" && value == false
                || open(value)
        }),
        Value::Array(all) => all.iter().any(open),
        _ => false,
    }
}

/// Holds trade-offs against weeks solved anew.
pub fn check(c: &mut Check, run: &Told, told: &Value, dice: &mut Dice) {
    let larder = &run.larder;
    let sections = page::sections(&run.text);
    let head = sections[0].prose();
    let mut parts = told.clone();
    let settled = parts["settled"].take().as_bool() == Some(true);
    if settled {
        c.yes(!open(&parts), format!("every question is settled: {told}"));
    }
    let [solved, none] = ["solved", "none"].map(|key| int(&told[key]) as usize);
    c.yes(
        solved + none <= run.questions,
        "no more is settled than was asked",
    );
    if settled && run.proof == Proof::Best {
        c.same("questions settled", solved + none, run.questions);
    }
    let end = sections.last().unwrap().prose();
    let mut is = Vec::new();
    if solved > 0 {
        is.push(format!(
            "{} solved and judged",
            count(solved as i64, "week", "weeks")
        ));
    }
    if none > 0 {
        let questions = count(none as i64, "question", "questions");
        is.push(format!("{questions} proved to have none"));
    }
    let every = if settled { "every" } else { "not every" };
    is.push(format!("{every} question above is settled."));
    c.same("the end", end.to_lowercase(), is.join("; "));
    match run.proof {
        Proof::NotAsked => unreachable!("the kitchen itself is within the limits"),
        Proof::Impossible => {
            c.yes(best(larder).is_none(), "there is no week");
            c.same("outcome", text(&told["outcome"]), "impossible");
            let is = "Impossible, proved: no week of this kitchen keeps all the rules.";
            c.same("heading", head, format!("{} {is}", larder.name));
            if !told["conflict"].is_null() {
                words::conflict(c, larder, told, &sections[1]);
                conflict(c, larder, told, settled);
            }
            return;
        }
        Proof::Open => {
            c.same("outcome", text(&told["outcome"]), "open");
            let is = "Not settled: the search ended before the best week was proved, so there is \
                      nothing to hold other weeks against. Give it more time.";
            c.same("heading", head, format!("{} {is}", larder.name));
            c.yes(!settled, "nothing is settled");
            return;
        }
        Proof::Best => {}
    }
    let solved = best(larder).expect("proved to be there");
    let sums = Tallied::of(&solved.tally);
    c.same("outcome", text(&told["outcome"]), "best");
    c.same("the chosen week", tallied(&told["week"]["sums"]), sums);
    let is = format!(
        "{} The chosen week is proved best: {}. All figures below are against it; each \
         comes from a week that was solved anew and judged.",
        larder.name,
        words::sums(larder, &told["week"]["sums"])
    );
    c.same("heading", head, is);
    let days = (1..).zip(served(&told["week"]));
    let days = days.map(|(day, name)| format!("{} {name}", short(&larder.day_name(day))));
    let days = days.collect::<Vec<_>>().join(" ");
    c.same("its lunches", sections[1].prose(), days);
    let base = Base {
        larder,
        solved: &solved,
        told,
    };
    if !told["rules"].is_null() {
        rules(c, &base, &sections);
    }
    if !told["foods"].is_null() {
        foods(c, &base, &sections);
    }
    if !told["recipes_kept"].is_null() {
        insisting(c, &base, &sections);
    }
    if !told["shops"].is_null() {
        shops(c, &base, &sections);
    }
    if !told["frontier"].is_null() {
        frontier(c, &base, &sections);
    }
    if !told["caps"].is_null() {
        caps(c, &base, &sections);
    }
    if !told["eaters"].is_null() {
        eaters(c, &base, &sections);
    }
    if !told["others"].is_null() {
        others(c, &base, &sections);
    }
    if !told["prices"].is_null() {
        prices(c, &base, &sections, dice);
    }
    if !told["reuse"].is_null() {
        reuse(c, &base, &sections);
    }
    if !told["ripening"].is_null() {
        ripening(c, &base, &sections);
    }
}

/// Makes the change of a way out; false if its words do not say which rule they mean.
fn make(c: &mut Check, larder: &mut Contents, change: &Value) -> bool {
    let (how, rule) = match (text(&change["how"]), change["rule"].as_str()) {
        ("trip", _) => {
            let usual = larder.week.trips[0].shop;
            larder.week.trips.push(scant::larder::ShoppingTrip {
                shop: usual,
                ..scant::larder::ShoppingTrip::on(int(&change["trip"]) as u8)
            });
            larder.week.trips[1..].sort_unstable_by_key(|trip| (trip.day, trip.shop));
            return true;
        }
        ("looser", Some(rule)) => (How::Set, rule),
        ("without", Some(rule)) => (How::Drop, rule),
        other => panic!("a change: {other:?}"),
    };
    match apply(larder, rule, how) {
        Some(done) => {
            c.yes(done, format!("{how:?} {rule}"));
            done
        }
        None => false,
    }
}

/// Holds a conflict against the kitchen: none of its rules is to spare, and every way out is one.
pub fn conflict(c: &mut Check, larder: &Contents, told: &Value, settled: bool) {
    let rules = texts(&told["conflict"]);
    // All others given up: what is left of the larder when every rule but these is dropped.
    let bare = |kept: &[&String]| {
        let mut bare = larder.clone();
        let wishes = &mut bare.wishes;
        wishes.with.clear();
        wishes.without.clear();
        wishes.order.clear();
        wishes.cap = None;
        wishes.budget_minor = None;
        wishes.minutes_nano.fill(None);
        wishes.kitchen_minutes_nano.fill(None);
        wishes.cook_on = None;
        wishes.nutrition.clear();
        wishes.credits.clear();
        wishes.repeats = larder.week.lunches.into();
        wishes.per_form = None;
        wishes.form_never_adjacent = false;
        wishes.per_protein = None;
        wishes.sameness_milli = None;
        wishes.sameness_adjacent_milli = None;
        // A rule is put back by taking it out of the whole: what differs is the rule.
        for rule in kept {
            let mut without = larder.clone();
            if apply(&mut without, rule, How::Drop) != Some(true) {
                return None;
            }
            put_back(&mut bare, larder, &without);
        }
        Some(bare)
    };
    let all: Vec<&String> = rules.iter().collect();
    if let Some(bare) = bare(&all) {
        c.yes(
            best(&bare).is_none(),
            format!("{rules:?} cannot hold together"),
        );
    }
    for at in 0..rules.len() {
        let mut fewer = all.clone();
        let spared = fewer.remove(at);
        if let Some(bare) = bare(&fewer) {
            c.yes(
                best(&bare).is_some(),
                format!("{spared} given up too, there is a week"),
            );
        }
    }
    let mut dearest = i64::MIN;
    for way in list(&told["ways_out"]) {
        let mut changed = larder.clone();
        let done = make(c, &mut changed, way)
            && (way["and"].is_null() || make(c, &mut changed, &way["and"]));
        if !done {
            continue;
        }
        let is = best(&changed);
        let sums = tallied(&way["sums"]);
        let proved = way["best"].as_bool() == Some(true);
        let objective = is.as_ref().map(|week| week.tally.objective_nano);
        if larder.wishes.order.is_empty() && proved {
            c.same("a way out", Some(sums.objective), objective);
            if way["and"].is_null() {
                c.yes(sums.objective >= dearest, "the cheapest first");
                dearest = sums.objective;
            }
        } else {
            c.yes(objective.is_some(), format!("{way} is a way out"));
        }
        if let (Some(week), true) = (&is, proved) {
            c.same(
                "its sums",
                (sums.bill, sums.foods),
                (week.tally.packs_minor, week.tally.foods),
            );
        }
        // The week it lists: these lunches on these days.
        let lunches = list(&way["lunches"]);
        let mut pinned = changed.clone();
        for (day, lunch) in (1..).zip(lunches) {
            c.same("day by day", int(&lunch[0]), day);
            let recipe = recipes(larder, &[text(&lunch[1]).to_owned()])[0];
            pinned
                .wishes
                .with
                .push(Pin::Recipe(recipe, Some(day as u8)));
        }
        let listed = best(&pinned).map(|week| week.tally.objective_nano);
        if larder.wishes.order.is_empty() {
            c.yes(
                listed.is_some_and(|least| least <= sums.objective),
                format!("{way}: its lunches are a week"),
            );
        }
    }
    // Where it is said that there are no ways, there are none among the rules that clash.
    let ways = list_or_empty(&told["ways_out"]);
    if settled && ways.is_empty() {
        for rule in &rules {
            let mut changed = larder.clone();
            if apply(&mut changed, rule, How::Drop) == Some(true) {
                c.yes(
                    best(&changed).is_none(),
                    format!("{rule} given up is no way out"),
                );
            }
        }
    }
    few(c, larder, &told["too_few_recipes"]);
}

/// Puts into `bare` whatever differs between a whole larder and the one without a rule.
fn put_back(bare: &mut Contents, whole: &Contents, without: &Contents) {
    let (all, less, out) = (&whole.wishes, &without.wishes, &mut bare.wishes);
    if all.cap != less.cap {
        out.cap = all.cap;
    }
    if all.budget_minor != less.budget_minor {
        out.budget_minor = all.budget_minor;
    }
    for (at, minutes) in all.minutes_nano.iter().enumerate() {
        if *minutes != less.minutes_nano[at] {
            out.minutes_nano[at] = *minutes;
        }
    }
    for (at, minutes) in all.kitchen_minutes_nano.iter().enumerate() {
        if *minutes != less.kitchen_minutes_nano[at] {
            out.kitchen_minutes_nano[at] = *minutes;
        }
    }
    if all.cook_on != less.cook_on {
        out.cook_on.clone_from(&all.cook_on);
    }
    for (rule, left) in all.nutrition.iter().zip(&less.nutrition) {
        let mut only = rule.clone();
        if left.at_least_milli.is_some() {
            only.at_least_milli = None;
        }
        if left.at_most_milli.is_some() {
            only.at_most_milli = None;
        }
        if only.at_least_milli.is_some() || only.at_most_milli.is_some() {
            out.nutrition.push(only);
        }
    }
    if all.repeats != less.repeats {
        out.repeats = all.repeats;
    }
    if all.per_form != less.per_form {
        out.per_form = all.per_form;
    }
    if all.form_never_adjacent != less.form_never_adjacent {
        out.form_never_adjacent = all.form_never_adjacent;
    }
    if all.per_protein != less.per_protein {
        out.per_protein = all.per_protein;
    }
    if all.sameness_milli != less.sameness_milli {
        out.sameness_milli = all.sameness_milli;
    }
    if all.sameness_adjacent_milli != less.sameness_adjacent_milli {
        out.sameness_adjacent_milli = all.sameness_adjacent_milli;
    }
    let bans = all.without.iter().filter(|ban| !less.without.contains(ban));
    out.without.extend(bans.cloned());
    let pins = all.with.iter().filter(|pin| !less.with.contains(pin));
    out.with.extend(pins.cloned());
}

/// Counts the recipes again.
fn few(c: &mut Check, larder: &Contents, told: &Value) {
    let allowed = allowed_alternatives(larder);
    let left = allowed
        .servable()
        .filter(|id| larder.recipes[id.index()].days.contains(&true))
        .count() as i64;
    let lunches = i64::from(larder.week.lunches);
    let too_few = left * larder.wishes.repeats < lunches;
    c.same("too few recipes", !told.is_null(), too_few);
    if told.is_null() {
        return;
    }
    c.same("recipes left", int(&told["left"]), left);
    c.same(
        "recipes",
        int(&told["recipes"]),
        larder.recipes.len() as i64,
    );
    let gone = ["banned", "resting", "without_day"].map(|key| int(&told[key]));
    let sum = left + gone.iter().sum::<i64>();
    c.same("recipes told", sum, larder.recipes.len() as i64);
    c.same("repeats", int(&told["repeats"]), larder.wishes.repeats);
    c.same("lunches", int(&told["lunches"]), lunches);
    let needed = int(&told["needed"]);
    let repeats = larder.wishes.repeats;
    let enough = needed * repeats >= lunches && (needed - 1) * repeats < lunches;
    c.yes(enough, format!("{needed} recipes are needed"));
}
