//! Asks whether near misses are: that as much less of a food makes its bill smaller as is said and
//! a milligram of its largest use more does not, and that a lunch can take what is thrown out.
//!
//! The truth comes from trying every way of buying and opening the food (`support/pantry.rs`).

mod support;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

use scant::engine::{Limits, Outcome, solve};
use scant::explain::{BetterYield, Room, Short};
use scant::larder::{FoodId, Larder};
use scant::plan::{Lot, Plan};
use scant::tradeoffs::{Ask, Section, misses, tradeoffs};

use support::pantry::{Need, Pantry};
use support::random::{Size, Sketch, draw};
use support::{read, side_by_side};

fn food_of(larder: &Larder, lot: Lot) -> FoodId {
    match lot {
        Lot::Bought(pack, _) => larder.packs[pack.index()].food,
        Lot::Stock(stock) => larder.stock[stock.index()].food,
    }
}

/// What is drawn of a food, by day.
fn drawn(larder: &Larder, plan: &Plan, food: FoodId) -> BTreeMap<u8, i64> {
    let mut uses = BTreeMap::new();
    for opening in &plan.openings {
        if food_of(larder, opening.lot) == food {
            for &(day, mg) in &opening.draws {
                *uses.entry(day).or_insert(0) += mg;
            }
        }
    }
    uses
}

/// What is bought of a food, minor units, and the trips made by anything, as a mask.
fn paid(larder: &Larder, plan: &Plan, food: FoodId) -> (i64, u32) {
    let mut trips = 1;
    let mut paid = 0;
    for bought in &plan.purchases {
        let pack = &larder.packs[bought.pack.index()];
        trips |= 1 << bought.trip;
        if pack.food == food {
            paid += pack.price_minor * bought.count;
        }
    }
    (paid, trips)
}

/// Bill and value spoiled of every way worth having.
fn ways(larder: &Larder, food: FoodId, uses: &BTreeMap<u8, i64>, trips: u32) -> Vec<(i64, i64)> {
    let needs: Vec<Need> = (uses.iter().filter(|&(_, &mg)| mg > 0))
        .map(|(&day, &mg)| Need { days: 1 << day, mg })
        .collect();
    let mut pantry = Pantry::new(larder);
    let deals = pantry.deals(food, needs);
    let made = deals.iter().filter(|deal| deal.trips & !trips == 0);
    made.map(|deal| (deal.price_minor, deal.sums.spoiled_nano))
        .collect()
}

fn short(larder: &Larder, plan: &Plan, food: FoodId, told: &Short) -> Result<(), String> {
    let uses = drawn(larder, plan, food);
    let (paid, trips) = paid(larder, plan, food);
    let least = |kept: i64| {
        let part = |mg: i64| (i128::from(mg) * i128::from(kept) / i128::from(told.of)) as i64;
        let less: BTreeMap<u8, i64> = uses.iter().map(|(&day, &mg)| (day, part(mg))).collect();
        let bill = ways(larder, food, &less, trips)
            .iter()
            .map(|way| way.0)
            .min();
        (
            bill,
            uses.values().sum::<i64>() - less.values().sum::<i64>(),
        )
    };
    let (bill, less_mg) = least(told.kept);
    if bill != Some(paid - told.saves_minor) || told.saves_minor <= 0 {
        return Err(format!("{told:?}: then the bill is {bill:?}, now {paid}"));
    }
    if less_mg != told.less_mg || uses.values().sum::<i64>() != told.used_mg {
        return Err(format!("{told:?}: {less_mg} mg less of {uses:?}"));
    }
    if uses.values().max() != Some(&told.of) || least(told.kept + 1).0 != Some(paid) {
        return Err(format!("{told:?}: less is enough"));
    }
    Ok(())
}

/// A yield as good as is said makes the bill as small, and a thousandth of a percent less does not.
fn better(larder: &Larder, plan: &Plan, food: FoodId, told: &BetterYield) -> Result<(), String> {
    let uses = drawn(larder, plan, food);
    let (paid, trips) = paid(larder, plan, food);
    if larder.foods[food.index()].yield_milli_percent != told.now || told.least > 100_000 {
        return Err(format!("{told:?} is no yield"));
    }
    let least = |share: i64| {
        let changed = larder.changed(|new| {
            new.foods[food.index()].yield_milli_percent = share;
            for pack in new.packs.iter_mut().filter(|pack| pack.food == food) {
                pack.unit_mg = pack.unit_ap_mg * share / 100_000;
                pack.value_nano =
                    scant::larder::value_nano(pack.price_minor, pack.unit_mg * pack.units);
            }
        });
        let changed = changed.expect("a sound larder");
        let bills = ways(&changed, food, &uses, trips);
        bills.iter().map(|way| way.0).min()
    };
    let (is, less) = (least(told.least), least(told.least - 1));
    if is != Some(paid - told.saves_minor) || told.saves_minor <= 0 || less != Some(paid) {
        return Err(format!("{told:?}: {is:?} and {less:?}, paid {paid}"));
    }
    Ok(())
}

fn room(larder: &Larder, plan: &Plan, food: FoodId, told: &Room) -> Result<(), String> {
    let mut uses = drawn(larder, plan, food);
    let (paid, trips) = paid(larder, plan, food);
    *uses.entry(told.when.day as u8).or_insert(0) += told.more_mg;
    let whole = ways(larder, food, &uses, trips);
    if whole
        .iter()
        .any(|&(bill, spoiled)| bill <= paid && spoiled == 0)
    {
        Ok(())
    } else {
        Err(format!(
            "{told:?}: something is thrown out, or more is bought"
        ))
    }
}

/// The first number of a text, thousandths.
fn number(text: &str) -> i64 {
    let word = text.split([' ', '\u{a0}']).next().expect("a word");
    let (whole, part) = word.split_once('.').unwrap_or((word, ""));
    whole.parse::<i64>().expect("a number") * 1_000 + format!("{part:0<3}").parse::<i64>().unwrap()
}

/// The sentence on a food, held against the figures: never less than is needed.
fn said(text: &str, told: &Short) -> Result<(), String> {
    let flat: Vec<&str> = text.split_whitespace().collect();
    let flat = flat.join(" ");
    let middle = format!(" less {} in all (", told.food);
    let (before, after) = flat
        .split_once(&middle)
        .ok_or_else(|| format!("{told:?} is not told"))?;
    let words: Vec<&str> = before.rsplit(' ').take(2).collect();
    let mg = match words[0] {
        "mg" => number(words[1]) / 1_000,
        "g" => number(words[1]),
        "kg" => number(words[1]) * 1_000,
        other => return Err(format!("{other} is no mass")),
    };
    let room = if mg < 100 { 1 } else { 10_000 };
    if mg < told.less_mg || mg >= told.less_mg + room {
        return Err(format!("{told:?}: said {mg} mg"));
    }
    let part = i128::from(number(after)) * i128::from(told.of);
    let whole = i128::from(told.of - told.kept) * 100_000;
    if part < whole || part >= whole + 100 * i128::from(told.of) {
        return Err(format!("{told:?}: said {} thousandths", number(after)));
    }
    let pack = match (&told.pack, told.fewer) {
        (Some(pack), Some(fewer)) => format!("saves {fewer} x {pack}, "),
        _ => "saves ".to_owned(),
    };
    if after.contains(&pack) {
        Ok(())
    } else {
        Err(format!("{pack} in {after}"))
    }
}

/// The sentence on a lunch that takes what is thrown out, to the digits that are told.
fn said_room(text: &str, told: &Room) -> Result<(), String> {
    let flat: Vec<&str> = text.split_whitespace().collect();
    let flat = flat.join(" ");
    let middle = format!(
        " more {} on {} and none is thrown out, worth ",
        told.food, told.when.name
    );
    let (before, after) = flat
        .split_once(&middle)
        .ok_or_else(|| format!("{told:?} is not told"))?;
    let words: Vec<&str> = before.rsplit(' ').take(2).collect();
    let (mg, digit) = match words[0] {
        "mg" => (number(words[1]) / 1_000, 1),
        "g" => (
            number(words[1]),
            if told.more_mg < 9_950 { 100 } else { 1_000 },
        ),
        "kg" => (number(words[1]) * 1_000, 10_000),
        other => return Err(format!("{other} is no mass")),
    };
    let money = after.split(['.', ' ']).next().unwrap_or_default();
    if (mg - told.more_mg).abs() * 2 <= digit && money.chars().any(|c| c.is_ascii_digit()) {
        Ok(())
    } else {
        Err(format!("{told:?}: said {mg} mg, {after:.20}"))
    }
}

#[test]
fn near_misses_are_as_near_as_they_say() {
    let (shorts, rooms) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let yields = AtomicUsize::new(0);
    let sketches: Vec<Sketch> = (81_000..81_240)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let larder = read(sketch);
        let limits = Limits {
            threads: 1,
            stop: &|| false,
            progress: None,
        };
        let Ok((Outcome::Best(week), _)) = solve(&larder, &limits) else {
            return None;
        };
        let told = misses(&larder, &week, &|| false);
        let id = |name: &str| {
            let at = larder.foods.iter().position(|food| food.name == name);
            FoodId::new(at.expect("a food of the kitchen"))
        };
        let mut results = Vec::new();
        let ask = Ask {
            sections: &[Section::Amounts],
            others: 0,
            margin_minor: None,
            threads: 1,
            stop: &|| false,
            progress: None,
        };
        let all = tradeoffs(&larder, &larder, &ask).expect("no fault");
        let text = scant::report::tradeoffs(&all);
        for one in &all.misses.expect("the section").short {
            if let Some(told) = &one.better {
                yields.fetch_add(1, Ordering::Relaxed);
                results.push(better(&larder, &week.plan, id(&one.food), told));
                let tenths = (told.least + 99) / 100;
                let said = format!("A yield of {}.{} %", tenths / 10, tenths % 10);
                let flat: Vec<&str> = text.split_whitespace().collect();
                if !flat.join(" ").contains(&said) {
                    results.push(Err(format!("{said} is not told")));
                }
            }
        }
        for one in &told.short {
            shorts.fetch_add(1, Ordering::Relaxed);
            results.push(short(&larder, &week.plan, id(&one.food), one));
            results.push(said(&text, one));
        }
        for one in &told.room {
            rooms.fetch_add(1, Ordering::Relaxed);
            results.push(room(&larder, &week.plan, id(&one.food), one));
            results.push(said_room(&text, one));
        }
        let wrong = results.into_iter().find_map(Result::err);
        wrong.map(|wrong| format!("seed {}: {wrong}", sketch.seed))
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    let counts = [shorts.into_inner(), rooms.into_inner(), yields.into_inner()];
    assert!(
        counts[0] >= 60 && counts[1] >= 5 && counts[2] >= 5,
        "{counts:?}"
    );
}
