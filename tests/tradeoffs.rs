//! Asks whether every figure of the trade-offs is true.
//!
//! The truth comes from trying every week of small random kitchens (`support/brute.rs`) with
//! the change made here, by hand: a rule dropped or loosened, a food banned, a recipe pinned or
//! banned, eaters set, weeks struck out, prices set just inside and just outside an end point.
//! The frontier is enumerated along the other side: ceilings on bill and foods instead of
//! foods and spoiled value. What it does not ask: larger kitchens, and how they are told.

#![allow(
    clippy::option_option,
    reason = "not known, known that there is no week, the week's objective"
)]

mod support;

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use scant::explain::{Clash, How, When};
use scant::larder::{Aim, CapBy, Larder, Per, Pin, RecipeId, Target};
use scant::tradeoffs::{Ask, Case, Proof, SECTIONS, Section, Tradeoffs, tradeoffs};

use support::brute::{self, Kitchen};
use support::random::{Size, Sketch, draw};
use support::{read, side_by_side};

/// Seeds apart from those of other tests.
const FIRST: u64 = 70_000;

fn ask(larder: &Larder, sections: &[Section], threads: usize) -> Tradeoffs {
    ask_until(larder, sections, threads, &|| false)
}

fn ask_until(
    larder: &Larder,
    sections: &[Section],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Tradeoffs {
    let ask = Ask {
        sections,
        others: 3,
        margin_minor: None,
        threads,
        stop,
        progress: None,
    };
    tradeoffs(larder, larder, &ask).expect("no engine fault")
}

/// Best objective by trying everything: `None` too large, `Some(None)` no week.
fn tried(larder: &Larder) -> Option<Option<i64>> {
    brute::solve(larder).map(|answer| answer.best.map(|best| best.key[4]))
}

/// What a case says, in the same form; `None` if it was not settled.
fn said(told: &Tradeoffs, case: &Case) -> Option<Option<i64>> {
    let base = told
        .week
        .as_ref()
        .expect("a case has a week to stand against");
    match case.proof {
        Proof::Best => {
            let week = case.week.as_ref().expect("best is a week");
            let more = case.more.as_ref().expect("best has sums");
            assert_eq!(case.least_nano, Some(more.objective_nano), "exact if best");
            assert_eq!(
                week.sums.objective_nano,
                base.sums.objective_nano + more.objective_nano
            );
            Some(Some(week.sums.objective_nano))
        }
        Proof::Impossible => Some(None),
        Proof::Open => None,
    }
}

/// Asks a section of many kitchens without a strict order of aims and checks what is told.
/// `check` returns how many figures it compared, or what is wrong.
fn holds(
    seeds: std::ops::Range<u64>,
    sections: &[Section],
    least: usize,
    check: impl Fn(&Larder, &Tradeoffs) -> Result<usize, String> + Sync,
) {
    let compared = AtomicUsize::new(0);
    let sketches: Vec<Sketch> = seeds.map(|seed| draw(FIRST + seed, Size::Small)).collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = read(sketch);
        larder.wishes.order.clear();
        let told = ask(&larder, sections, 1);
        if told.proof != Proof::Best {
            return None;
        }
        match check(&larder, &told) {
            Ok(count) => {
                compared.fetch_add(count, Ordering::Relaxed);
                None
            }
            Err(what) => Some(format!("seed {}: {what}\n{}", sketch.seed, sketch.print())),
        }
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    let compared = compared.into_inner();
    assert!(compared >= least, "only {compared} figures were compared");
}

/// Compares a case with the larder changed by hand.
fn same(told: &Tradeoffs, case: &Case, what: &str, larder: &Larder) -> Result<usize, String> {
    match (said(told, case), tried(larder)) {
        (Some(said), Some(tried)) if said != tried => {
            Err(format!("{what}: said {said:?}, tried {tried:?}"))
        }
        (Some(_), Some(_)) => Ok(1),
        _ => Ok(0),
    }
}

/// Sets a rule to what is told, or takes it out of force. `false` if it is none of wishes.
fn set(larder: &mut Larder, was: &Clash, now: Option<&Clash>) -> bool {
    let lunches = i64::from(larder.week.lunches);
    let named = |larder: &Larder, target: &Target| match target {
        Target::Food(id) => larder.foods[id.index()].name.clone(),
        Target::Family(id) => larder.families[id.index()].clone(),
        Target::Recipe(id) => larder.recipes[id.index()].name.clone(),
        Target::Component(id) => larder.components[id.index()].name.clone(),
        Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word.clone(),
    };
    let limit = |now: Option<&Clash>| match now {
        Some(
            Clash::PerForm(n)
            | Clash::PerProtein(n)
            | Clash::Sameness(n)
            | Clash::SamenessAdjacent(n)
            | Clash::Repeats(n)
            | Clash::Cap(n, _)
            | Clash::Budget(n),
        ) => Some(*n),
        _ => None,
    };
    match was {
        Clash::PerForm(_) => larder.wishes.per_form = limit(now),
        Clash::PerProtein(_) => larder.wishes.per_protein = limit(now),
        Clash::Sameness(_) => larder.wishes.sameness_milli = limit(now),
        Clash::SamenessAdjacent(_) => larder.wishes.sameness_adjacent_milli = limit(now),
        Clash::Repeats(_) => larder.wishes.repeats = limit(now).unwrap_or(lunches),
        Clash::Cap(..) => larder.wishes.cap = limit(now),
        Clash::Budget(_) => larder.wishes.budget_minor = limit(now),
        Clash::FormsApart => larder.wishes.form_never_adjacent = false,
        Clash::Minutes { days, .. } => {
            let now = match now {
                Some(Clash::Minutes { limit_nano, .. }) => Some(*limit_nano),
                _ => None,
            };
            for when in days {
                larder.wishes.minutes_nano[when.day as usize] = now;
            }
        }
        Clash::Nutrition(rule) => {
            let now = match now {
                Some(Clash::Nutrition(now)) => (now.at_least_milli, now.at_most_milli),
                _ => (None, None),
            };
            let floor = rule.at_least_milli.is_some();
            let of = |per: Per| per == Per::Lunch;
            let rules = larder.wishes.nutrition.iter_mut();
            for entry in rules.filter(|e| e.nutrient == rule.nutrient && of(e.per) == of(rule.per))
            {
                if floor && entry.at_least_milli == rule.at_least_milli {
                    entry.at_least_milli = now.0;
                } else if !floor && entry.at_most_milli == rule.at_most_milli {
                    entry.at_most_milli = now.1;
                }
            }
        }
        Clash::Credit(rule) => {
            let now = match now {
                Some(Clash::Credit(now)) => (now.at_least_micro, now.at_most_micro),
                _ => (None, None),
            };
            let rules = larder.wishes.credits.iter_mut();
            for entry in rules.filter(|e| e.what == rule.what && e.per == rule.per) {
                if rule.at_least_micro.is_some() {
                    entry.at_least_micro = now.0;
                } else {
                    entry.at_most_micro = now.1;
                }
            }
        }
        Clash::Without(name) => {
            let keep: Vec<bool> = larder
                .wishes
                .without
                .iter()
                .map(|target| named(larder, target) != *name)
                .collect();
            let mut keep = keep.into_iter();
            larder.wishes.without.retain(|_| keep.next().unwrap());
        }
        Clash::With(name, day) => {
            let days = larder.week.day_names.clone();
            let of = |pin: &Pin, larder: &Larder| match pin {
                Pin::Recipe(id, day) => (larder.recipes[id.index()].name.clone(), *day),
                Pin::Food(id, day) => (larder.foods[id.index()].name.clone(), *day),
            };
            let mut pins = Vec::new();
            for pin in &larder.wishes.with {
                let (pinned, on) = of(pin, larder);
                let on = on.map(|on| days[usize::from(on)].clone());
                if pinned != *name || on != *day {
                    pins.push(pin.clone());
                } else if now.is_some() {
                    pins.push(match pin {
                        Pin::Recipe(id, _) => Pin::Recipe(*id, None),
                        Pin::Food(id, _) => Pin::Food(*id, None),
                    });
                }
            }
            larder.wishes.with = pins;
        }
        Clash::Keeps(name, _) => {
            let Some(Clash::Keeps(_, days)) = now else {
                return false;
            };
            let mut all = larder.components.iter_mut();
            all.find(|c| c.name == *name).unwrap().keeps = *days;
        }
        Clash::Opened(..) | Clash::ReadyTo(..) | Clash::ReadyFrom(..) => return false,
    }
    true
}

#[test]
fn the_price_of_each_rule_is_what_trying_every_week_says() {
    holds(0..90, &[Section::Rules], 200, |larder, told| {
        let mut count = 0;
        let now = told.week.as_ref().unwrap().sums.objective_nano;
        for price in told.rules.as_ref().unwrap() {
            let cases = [
                (price.without.as_ref(), None),
                (
                    price.looser.as_ref().map(|looser| &looser.1),
                    price.looser.as_ref().map(|looser| &looser.0),
                ),
            ];
            for (case, rule) in cases {
                let Some(case) = case else { continue };
                // The law: a looser rule never costs more.
                if said(told, case).is_some_and(|said| said.is_none_or(|said| said > now)) {
                    return Err(format!("looser costs more: {:?}", price.rule));
                }
                let mut changed = larder.clone();
                if set(&mut changed, &price.rule, rule) {
                    count += same(told, case, &format!("{:?}", price.rule), &changed)?;
                }
            }
            let free = price
                .without
                .as_ref()
                .or(price.looser.as_ref().map(|l| &l.1));
            let same = free.and_then(|case| said(told, case)) == Some(Some(now));
            if price.free != same {
                return Err(format!("free or not: {price:?}"));
            }
        }
        Ok(count)
    });
}

#[test]
fn the_price_of_each_food_and_recipe_is_what_trying_every_week_says() {
    let sections = [Section::Foods, Section::Recipes];
    holds(100..170, &sections, 250, |larder, told| {
        let mut count = 0;
        let food = |name: &str| {
            let at = larder.foods.iter().position(|food| food.name == name);
            scant::larder::FoodId::new(at.unwrap())
        };
        let recipe = |name: &str| {
            let at = larder.recipes.iter().position(|recipe| recipe.name == name);
            RecipeId::new(at.unwrap())
        };
        for price in told.foods.as_ref().unwrap() {
            let mut changed = larder.clone();
            let target = Target::Food(food(&price.food));
            changed.wishes.without.push(target);
            count += same(told, &price.without, &price.food, &changed)?;
        }
        let recipes = told.recipes.as_ref().unwrap();
        for (name, case) in &recipes.left_out {
            let mut changed = larder.clone();
            changed.wishes.with.push(Pin::Recipe(recipe(name), None));
            count += same(told, case, name, &changed)?;
        }
        for (name, case) in &recipes.kept {
            let mut changed = larder.clone();
            changed.wishes.without.push(Target::Recipe(recipe(name)));
            count += same(told, case, name, &changed)?;
        }
        // The cheapest first, and no recipe both left out and kept.
        let costs: Vec<i64> = recipes
            .left_out
            .iter()
            .filter_map(|(_, case)| said(told, case).flatten())
            .collect();
        if !costs.is_sorted() {
            return Err(format!("out of order: {costs:?}"));
        }
        let kept: BTreeSet<&String> = recipes.kept.iter().map(|(name, _)| name).collect();
        if recipes.left_out.iter().any(|(name, _)| kept.contains(name)) {
            return Err("both left out and kept".to_owned());
        }
        Ok(count)
    });
}

#[test]
fn insisting_on_a_chosen_recipe_costs_nothing() {
    holds(100..130, &[Section::Reuse], 30, |larder, told| {
        let week = told.week.as_ref().unwrap();
        let mut count = 0;
        for lunch in &week.lunches {
            let at = larder.recipes.iter().position(|r| r.name == lunch.recipe);
            let mut pinned = larder.clone();
            let pin = Pin::Recipe(RecipeId::new(at.unwrap()), None);
            pinned.wishes.with.push(pin);
            let again = ask(&pinned, &[], 1);
            if again.proof == Proof::Best && again.week.as_ref() != Some(week) {
                return Err(format!("{} changes the week", lunch.recipe));
            }
            count += 1;
        }
        Ok(count)
    });
}

/// Every combination of bill, foods and spoiled value that none beats: for each number of
/// foods, ever smaller bills, and the least spoiled within each.
fn enumerated(larder: &Larder) -> Option<BTreeSet<(i64, i64, i64)>> {
    let mut plain = larder.clone();
    plain.wishes.order = vec![Aim::Spoiled, Aim::Cost, Aim::Foods];
    for food in &mut plain.foods {
        food.staple_value_micro = 0;
    }
    let most = larder.foods.len() as i64;
    let mut points = BTreeSet::new();
    for foods in 0..=larder.wishes.cap.unwrap_or(most).min(most) {
        plain.wishes.cap = Some(foods);
        plain.wishes.budget_minor = larder.wishes.budget_minor;
        while let Some(best) = brute::solve(&plain)?.best {
            let [spoiled, cost, foods, ..] = best.key;
            let bill = cost / scant::larder::NANO;
            points.insert((bill, foods, spoiled));
            if bill == 0 {
                break;
            }
            plain.wishes.budget_minor = Some(bill - 1);
        }
    }
    let all: Vec<_> = points.iter().copied().collect();
    points.retain(|a| {
        !all.iter()
            .any(|b| b != a && b.0 <= a.0 && b.1 <= a.1 && b.2 <= a.2)
    });
    Some(points)
}

#[test]
fn the_frontier_is_complete_and_none_of_it_is_beaten() {
    holds(200..219, &[Section::Frontier], 12, |larder, told| {
        let frontier = told.frontier.as_ref().unwrap();
        if !frontier.complete || larder.wishes.cap_by == CapBy::Families {
            return Ok(0);
        }
        let Some(expected) = enumerated(larder) else {
            return Ok(0);
        };
        let points = frontier.points.iter();
        let found: Vec<_> = points
            .map(|point| (point.bill_minor, point.foods, point.spoiled_nano))
            .collect();
        // A list, so that a point told twice is seen.
        if found != expected.iter().copied().collect::<Vec<_>>() {
            return Err(format!("found {found:?}, tried {expected:?}"));
        }
        // The law: the chosen week is on it, or something on it is no worse in all three.
        let week = &told.week.as_ref().unwrap().sums;
        let fits = frontier.points.iter().any(|p| {
            p.bill_minor <= week.packs_minor
                && p.foods <= week.foods
                && p.spoiled_nano <= week.spoiled_nano
        });
        if !fits || frontier.has_chosen == frontier.points.iter().any(|p| p.beats_chosen) {
            return Err("the chosen week stands outside".to_owned());
        }
        Ok(found.len())
    });
}

#[test]
fn eaters_scale_as_if_the_kitchen_had_said_so() {
    holds(300..325, &[Section::Eaters], 100, |larder, told| {
        let mut count = 0;
        for facts in told.eaters.as_ref().unwrap() {
            let mut scaled = larder.clone();
            scaled.week.eaters_milli.fill(facts.eaters * 1_000);
            let what = format!("{} eaters", facts.eaters);
            count += same(told, &facts.case, &what, &scaled)?;
        }
        Ok(count)
    });
}

#[test]
fn other_weeks_come_in_order_and_none_is_passed_over() {
    holds(400..450, &[Section::Others], 45, |larder, told| {
        let id = |name: &String| {
            let at = larder.recipes.iter().position(|r| r.name == *name);
            RecipeId::new(at.unwrap())
        };
        let recipes = |lunches: &[scant::tradeoffs::BriefLunch]| {
            let mut all: Vec<RecipeId> = lunches.iter().map(|lunch| id(&lunch.recipe)).collect();
            all.sort_unstable();
            all
        };
        let others = told.others.as_ref().unwrap();
        let mut struck = vec![recipes(&told.week.as_ref().unwrap().lunches)];
        let mut count = 0;
        for case in &others.next {
            let mut kitchen = Kitchen::new(larder);
            kitchen.other_than.clone_from(&struck);
            let Some(answer) = kitchen.solve() else {
                return Ok(count);
            };
            let best = answer.best.map(|best| best.key[4]);
            if said(told, case) != Some(best) {
                return Err(format!("said {:?}, tried {best:?}", said(told, case)));
            }
            let week = case.week.as_ref().unwrap();
            struck.push(recipes(&week.lunches));
            count += 1;
        }
        // Weeks unlike the best: within the margin, and as unlike as is told.
        let shared = |a: &[RecipeId], b: &[RecipeId]| {
            let mut left = b.to_vec();
            let mut both = a.to_vec();
            both.retain(|id| {
                let at = left.iter().position(|other| other == id);
                at.map(|at| left.remove(at)).is_some()
            });
            both.len()
        };
        let now = told.week.as_ref().unwrap();
        let mut before = vec![recipes(&now.lunches)];
        for far in &others.far {
            let week = far.case.week.as_ref().unwrap();
            let here = recipes(&week.lunches);
            let over = week.sums.objective_nano - now.sums.objective_nano;
            if over > others.margin_nano
                || before.iter().any(|week| shared(&here, week) > far.shared)
            {
                return Err(format!("too dear or too alike: {far:?}"));
            }
            before.push(here);
            count += 1;
        }
        if others.no_more {
            let mut kitchen = Kitchen::new(larder);
            kitchen.other_than = struck;
            let left = kitchen.solve().and_then(|answer| answer.best);
            if left.is_some() {
                return Err("there are more".to_owned());
            }
        }
        Ok(count)
    });
}

#[test]
fn a_week_stays_best_up_to_its_end_points_and_no_further() {
    holds(500..540, &[Section::Prices], 80, |larder, told| {
        let now = told.week.as_ref().unwrap();
        let mut count = 0;
        for range in told.ranges.as_ref().unwrap() {
            let at = larder.packs.iter().position(|pack| {
                pack.label == range.pack && larder.foods[pack.food.index()].name == range.food
            });
            // As the kitchen files would set it: value rounded half up, stock at the first pack's.
            let priced = |price: i64| {
                let mut larder = larder.clone();
                let pack = &mut larder.packs[at.unwrap()];
                let size = pack.unit_mg * pack.units;
                pack.price_minor = price;
                pack.value_micro = (price * 2_000_000 + size) / (2 * size);
                let (food, value) = (pack.food, pack.value_micro);
                if larder.foods[food.index()].packs.start as usize == at.unwrap() {
                    let stock = larder.stock.iter_mut().filter(|s| s.food == food);
                    stock.for_each(|stock| stock.value_micro = value);
                }
                larder
            };
            // The chosen lunches at that price, and the best there is.
            let held = |price: i64| {
                let larder = priced(price);
                let best = tried(&larder)??;
                let mut pinned = larder.clone();
                for lunch in &now.lunches {
                    let id = larder.recipes.iter().position(|r| r.name == lunch.recipe);
                    let pin = Pin::Recipe(RecipeId::new(id?), Some(lunch.when.day as u8));
                    pinned.wishes.with.push(pin);
                }
                Some((best, tried(&pinned)??))
            };
            for (end, step) in [(&range.low, -1), (&range.high, 1)] {
                if !end.settled {
                    continue;
                }
                if let Some((best, ours)) = held(end.price_minor)
                    && best != ours
                {
                    return Err(format!("{}: beaten inside {end:?}", range.food));
                }
                count += 1;
                let Some(beyond) = &end.beyond else { continue };
                let outside = end.price_minor + step;
                count += same(told, beyond, &range.food, &priced(outside))?;
                // Another week is better there; it may differ in packs alone.
                if beyond.week.as_ref().map(|week| &week.lunches) == Some(&now.lunches) {
                    continue;
                }
                if let Some((best, ours)) = held(outside)
                    && best > ours
                {
                    return Err(format!("{}: not beaten outside {end:?}", range.food));
                }
            }
        }
        Ok(count)
    });
}

#[test]
fn fruit_that_ripens_early_or_late_is_what_trying_every_week_says() {
    holds(900..1_000, &[Section::Ripening], 30, |larder, told| {
        let mut count = 0;
        for fruit in told.ripening.as_ref().unwrap() {
            let at = larder.foods.iter().position(|f| f.name == fruit.food);
            let id = scant::larder::FoodId::new(at.unwrap());
            let shifted = |days: i32| {
                let mut larder = larder.clone();
                if !fruit.in_week {
                    larder.wishes.with.push(Pin::Food(id, None));
                }
                let packs = larder.packs.iter_mut().filter(|pack| pack.food == id);
                for pack in packs.filter(|p| p.stage.is_some() || p.ready_from > 0) {
                    pack.ready_from = (pack.ready_from + days).max(0);
                    pack.ready_to = (pack.ready_to + days).max(0);
                    pack.end = (pack.end + days).max(0);
                }
                larder
            };
            let cases = [
                (Some(&fruit.case), 0),
                (fruit.early.as_ref(), -1),
                (fruit.late.as_ref(), 1),
            ];
            for (case, days) in cases {
                let Some(case) = case else { continue };
                let said = match (case.proof, &case.week) {
                    (Proof::Best, Some(week)) => Some(week.sums.objective_nano),
                    (Proof::Impossible, _) => None,
                    _ => continue,
                };
                let Some(tried) = tried(&shifted(days)) else {
                    continue;
                };
                if said != tried {
                    return Err(format!("{} by {days}: {said:?}, {tried:?}", fruit.food));
                }
                count += 1;
            }
        }
        Ok(count)
    });
}

/// The larder with no rule in force but these.
fn only(larder: &Larder, all: &[Clash], kept: &[&Clash]) -> Larder {
    let mut bare = larder.clone();
    let told: Vec<String> = kept.iter().map(|clash| format!("{clash:?}")).collect();
    for clash in all {
        if !told.contains(&format!("{clash:?}")) {
            set(&mut bare, clash, None);
        }
    }
    bare
}

/// All rules in force that options and files can set, told.
fn every(larder: &Larder) -> Vec<Clash> {
    let w = &larder.wishes;
    let mut all = vec![Clash::FormsApart, Clash::Repeats(w.repeats)];
    all.extend(w.per_form.map(Clash::PerForm));
    all.extend(w.per_protein.map(Clash::PerProtein));
    all.extend(w.sameness_milli.map(Clash::Sameness));
    all.extend(w.sameness_adjacent_milli.map(Clash::SamenessAdjacent));
    all.extend(w.cap.map(|n| Clash::Cap(n, w.cap_by)));
    all.extend(w.budget_minor.map(Clash::Budget));
    all
}

#[test]
fn a_conflict_is_impossible_and_none_of_it_can_be_spared() {
    let compared = AtomicUsize::new(0);
    let sketches: Vec<Sketch> = (600..720)
        .map(|seed| draw(FIRST + seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = read(sketch);
        larder.wishes.order.clear();
        larder.wishes.without.clear();
        larder.wishes.with.clear();
        larder.wishes.nutrition.clear();
        larder.wishes.minutes_nano.fill(None);
        // Tight, so that many kitchens have no week.
        larder.wishes.cap = Some(1);
        larder.wishes.budget_minor = Some(larder.packs.iter().map(|p| p.price_minor).max()? / 2);
        // Its pairs are none of this test's business, and some take minutes.
        let begun = std::time::Instant::now();
        let told = ask_until(&larder, &[], 1, &|| begun.elapsed().as_secs() >= 3);
        let conflict = told.conflict.as_ref()?;
        let all = every(&larder);
        let kept: Vec<&Clash> = conflict.rules.iter().collect();
        if tried(&only(&larder, &all, &kept))?.is_some() {
            return Some(format!("seed {}: {kept:?} hold together", sketch.seed));
        }
        for at in 0..kept.len() {
            let mut fewer = kept.clone();
            let spared = fewer.remove(at);
            if tried(&only(&larder, &all, &fewer))?.is_none() {
                return Some(format!("seed {}: {spared:?} can be spared", sketch.seed));
            }
        }
        for way in conflict.ways.iter().filter(|way| way.best) {
            let mut changed = larder.clone();
            let done = match &way.how {
                How::Looser(now) => set(&mut changed, now, Some(now)),
                How::Without(was) => set(&mut changed, was, None),
                How::Trip(_) => false,
            };
            if done && tried(&changed)? != Some(way.sums.objective_nano) {
                return Some(format!("seed {}: {way:?} is no way out", sketch.seed));
            }
        }
        compared.fetch_add(kept.len() + conflict.ways.len(), Ordering::Relaxed);
        None
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    let compared = compared.into_inner();
    assert!(
        compared >= 60,
        "only {compared} rules and ways were compared"
    );
}

/// What is loosened: the kind of rule, or the trip. Each kind stands once in these kitchens.
fn lever(how: &How) -> String {
    let kind = |clash: &Clash| {
        format!("{clash:?}")
            .split(['(', ' '])
            .next()
            .unwrap()
            .to_owned()
    };
    match how {
        How::Looser(clash) | How::Without(clash) => kind(clash),
        How::Trip(_) => "Trip".to_owned(),
    }
}

/// Makes the change of a way out.
fn make(larder: &mut Larder, how: &How) {
    match how {
        How::Looser(now) => assert!(set(larder, now, Some(now))),
        How::Without(was) => assert!(set(larder, was, None)),
        How::Trip(when) => larder.week.trips.push(when.day as u8),
    }
}

/// A change a notch smaller; none if there is none, or if it is none of what is counted.
fn smaller(larder: &Larder, how: &How) -> Option<How> {
    let wishes = &larder.wishes;
    let less = |now: i64, was: Option<i64>, clash: fn(i64) -> Clash| {
        (now > was?).then(|| How::Looser(clash(now - 1)))
    };
    match how {
        How::Looser(Clash::Cap(n, by)) => {
            (*n > wishes.cap?).then(|| How::Looser(Clash::Cap(n - 1, *by)))
        }
        How::Looser(Clash::PerForm(n)) => less(*n, wishes.per_form, Clash::PerForm),
        How::Looser(Clash::PerProtein(n)) => less(*n, wishes.per_protein, Clash::PerProtein),
        How::Looser(Clash::Repeats(n)) => less(*n, Some(wishes.repeats), Clash::Repeats),
        How::Without(Clash::PerForm(n)) => Some(How::Looser(Clash::PerForm(n + 3))),
        How::Without(Clash::Cap(n, by)) => Some(How::Looser(Clash::Cap(n + 3, *by))),
        _ => None,
    }
}

#[test]
fn pairs_of_changes_are_all_those_after_which_a_week_exists() {
    let (kitchens, found, none) = (
        AtomicUsize::new(0),
        AtomicUsize::new(0),
        AtomicUsize::new(0),
    );
    let sketches: Vec<Sketch> = (900..1_200)
        .map(|seed| draw(FIRST + seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = read(sketch);
        let seed = sketch.seed;
        // With several trips trying every pair takes minutes a kitchen.
        if larder.week.trips.len() > 1 {
            return None;
        }
        larder.wishes.order.clear();
        larder.wishes.without.clear();
        larder.wishes.with.clear();
        larder.wishes.nutrition.clear();
        larder.wishes.credits.clear();
        // So tight that one change is seldom enough.
        larder.wishes.cap = Some(1);
        larder.wishes.repeats = 1;
        let dearest = larder.packs.iter().map(|pack| pack.price_minor).max()?;
        larder.wishes.budget_minor = (seed % 2 == 0).then_some(dearest / 2);
        // Whole minutes a batch only: shares of a lunch are tried on a grid otherwise.
        let whole = larder.components.iter().all(|c| c.minutes_per_mg_nano == 0);
        let limit = (seed % 3 == 0 && whole).then_some(1_000_000_000);
        larder.wishes.minutes_nano.fill(limit);
        let told = ask(&larder, &[], 1);
        let conflict = told.conflict.as_ref()?;
        if !conflict.ways.is_empty() {
            return conflict
                .pairs
                .first()
                .map(|_| format!("seed {seed}: pairs to spare"));
        }
        if !(conflict.ways_settled && conflict.pairs_settled) {
            return Some(format!("seed {seed}: not settled"));
        }
        let days = larder.week.lunches;
        let mut all: Vec<How> = every(&larder).into_iter().map(How::Without).collect();
        if let Some(limit_nano) = limit {
            let days = (0..=i32::from(days)).map(|day| When {
                day,
                name: larder.day_name(day),
            });
            let days = days.collect();
            all.push(How::Without(Clash::Minutes { days, limit_nano }));
        }
        let middle = days.div_ceil(2);
        if middle < days && !larder.week.trips.contains(&middle) {
            let day = i32::from(middle);
            let name = larder.day_name(day);
            all.push(How::Trip(When { day, name }));
        }
        let mut exist = BTreeSet::new();
        for (at, one) in all.iter().enumerate() {
            for two in &all[at + 1..] {
                let mut changed = larder.clone();
                make(&mut changed, one);
                make(&mut changed, two);
                if tried(&changed)?.is_some() {
                    exist.insert(BTreeSet::from([lever(one), lever(two)]));
                }
            }
        }
        let mut said = BTreeSet::new();
        let mut before = i64::MIN;
        for way in &conflict.pairs {
            let and = way.and.as_ref().expect("a pair has two");
            said.insert(BTreeSet::from([lever(&way.how), lever(and)]));
            let mut changed = larder.clone();
            make(&mut changed, &way.how);
            make(&mut changed, and);
            let objective = way.sums.objective_nano;
            if !way.best || tried(&changed)? != Some(objective) {
                return Some(format!("seed {seed}: {way:?} is not the best way then"));
            }
            if objective < before {
                return Some(format!("seed {seed}: not the cheapest first"));
            }
            before = objective;
            for (less, other) in [(&way.how, and), (and, &way.how)] {
                let Some(less) = smaller(&larder, less) else {
                    continue;
                };
                let mut changed = larder.clone();
                make(&mut changed, &less);
                make(&mut changed, other);
                if tried(&changed)?.is_some() {
                    return Some(format!("seed {seed}: {less:?} and {other:?} is enough"));
                }
            }
        }
        if said != exist || said.len() != conflict.pairs.len() {
            return Some(format!("seed {seed}: said {said:?}, tried {exist:?}"));
        }
        kitchens.fetch_add(1, Ordering::Relaxed);
        found.fetch_add(said.len(), Ordering::Relaxed);
        none.fetch_add(usize::from(said.is_empty()), Ordering::Relaxed);
        None
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    let counts = [kitchens, found, none].map(AtomicUsize::into_inner);
    assert!(
        counts[0] >= 60 && counts[1] >= 70 && counts[2] >= 15,
        "{counts:?}"
    );
}

/// Three lunches, three recipes, each of them pinned to Monday.
fn pinned_to_one_day() -> Larder {
    let recipe = |name: &str| {
        format!(
            "  - {{ recipe: {name}, form: {name}, lines: [{{ food: rice, amount: 100 g }}] }}\n"
        )
    };
    let text = format!(
        "currency: USD
week: {{ lunches: 3 }}
foods:
  - {{ food: rice, table: \"20036\", packs: [{{ pack: bag, size: 500 g, price: 1.00, keeps: 9, open_keeps: 9 }}] }}
recipes:
{}{}{}",
        recipe("a"),
        recipe("b"),
        recipe("c")
    );
    let texts = vec![("kitchen.yaml".to_owned(), text.into_bytes())];
    let mut larder = scant::kitchen::read_texts(texts).larder.unwrap();
    // In files they would be refused at once.
    let pins = (0..3).map(|at| Pin::Recipe(RecipeId::new(at), Some(1)));
    larder.wishes.with = pins.collect();
    larder
}

#[test]
fn of_three_pins_on_one_day_any_two_give_way() {
    let told = ask(&pinned_to_one_day(), &[], 1);
    let text = scant::report::tradeoffs(&told);
    assert!(text.contains("Ways out of two changes together"), "{text}");
    let conflict = told.conflict.unwrap();
    assert!(conflict.ways.is_empty() && told.settled);
    let loosened = |how: &How| match how {
        How::Looser(Clash::With(name, None)) => name.clone(),
        other => panic!("{other:?}"),
    };
    let pairs: BTreeSet<BTreeSet<String>> = conflict
        .pairs
        .iter()
        .map(|way| BTreeSet::from([loosened(&way.how), loosened(way.and.as_ref().unwrap())]))
        .collect();
    let pair = |a: &str, b: &str| BTreeSet::from([a.to_owned(), b.to_owned()]);
    let all = [pair("a", "b"), pair("a", "c"), pair("b", "c")];
    assert_eq!(pairs, BTreeSet::from(all));
    for way in &conflict.pairs {
        let loose = [&way.how, way.and.as_ref().unwrap()].map(loosened);
        assert!(
            !loose.contains(&way.lunches[0].1),
            "the third stays on Monday"
        );
    }
}

#[test]
fn a_search_for_pairs_that_was_stopped_says_so() {
    let larder = pinned_to_one_day();
    let mut seen = BTreeSet::new();
    for most in 0..400 {
        let asked = AtomicUsize::new(0);
        let stop = || asked.fetch_add(1, Ordering::Relaxed) >= most;
        let told = ask_until(&larder, &[], 1, &stop);
        let Some(conflict) = &told.conflict else {
            continue;
        };
        let found = conflict.pairs.len();
        seen.insert(found);
        assert!(conflict.ways.is_empty(), "no single change is one");
        let settled = conflict.ways_settled && conflict.pairs_settled;
        assert_eq!(told.settled, settled);
        assert!(!settled || found == 3, "{found} of 3, said to be all");
        let text = scant::report::tradeoffs(&told);
        assert_eq!(
            text.contains("not settled") || text.contains("Not settled"),
            !settled
        );
    }
    assert_eq!(seen, BTreeSet::from([0, 1, 2, 3]));
}

#[test]
fn the_same_is_told_with_any_number_of_threads() {
    for seed in 0..6 {
        let larder = read(&draw(FIRST + 800 + seed, Size::Small));
        let told = |threads| scant::report::tradeoffs_json(&ask(&larder, &SECTIONS, threads));
        assert_eq!(told(1), told(3), "seed {seed}");
    }
}

#[test]
fn what_was_stopped_claims_nothing() {
    let larder = read(&draw(FIRST + 1, Size::Small));
    let first = AtomicUsize::new(0);
    // Lets the first week through, then stops.
    let ask = Ask {
        sections: &SECTIONS,
        others: 3,
        margin_minor: None,
        threads: 1,
        stop: &|| first.load(Ordering::Relaxed) > 0,
        progress: Some(&|_, _| {
            first.fetch_add(1, Ordering::Relaxed);
        }),
    };
    let told = tradeoffs(&larder, &larder, &ask).unwrap();
    assert!(!told.settled);
    let rules = told.rules.unwrap();
    assert!(rules.iter().all(|price| !price.free));
    assert!(!told.frontier.unwrap().complete);
    assert!(told.others.unwrap().next.is_empty());
}
