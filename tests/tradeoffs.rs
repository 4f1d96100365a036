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

#[path = "tradeoffs/changes.rs"]
#[allow(dead_code, unreachable_pub)]
mod changes;
mod support;

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use scant::engine::{Limits, Outcome};
use scant::explain::{Asked, Clash};
use scant::larder::{
    Aim, CapBy, Contents, FoodId, Larder, Pack, PackId, Pin, RecipeId, ShopId, Target,
};
use scant::tradeoffs::{Ask, Case, Proof, SECTIONS, Section, Tradeoffs, tradeoffs};

use changes::{FIRST, ask, set, sound, tried};
use support::brute::{self, Kitchen};
use support::random::{Size, Sketch, draw};
use support::{read, side_by_side};

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
        Proof::Open | Proof::NotAsked => None,
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
        let larder = read(sketch).changed(|new| new.wishes.order.clear());
        let larder = larder.expect("a sound larder");
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
                let mut changed = Contents::clone(larder);
                if set(&mut changed, &price.rule, rule) {
                    let changed = sound(changed);
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
            let target = Target::Food(food(&price.food));
            let changed = larder.changed(|new| new.wishes.without.push(target));
            let changed = changed.expect("a sound larder");
            count += same(told, &price.without, &price.food, &changed)?;
        }
        let recipes = told.recipes.as_ref().unwrap();
        for (name, case) in &recipes.left_out {
            let pin = Pin::Recipe(recipe(name), None);
            let changed = larder.changed(|new| new.wishes.with.push(pin));
            let changed = changed.expect("a sound larder");
            count += same(told, case, name, &changed)?;
        }
        for (name, case) in &recipes.kept {
            let ban = Target::Recipe(recipe(name));
            let changed = larder.changed(|new| new.wishes.without.push(ban));
            let changed = changed.expect("a sound larder");
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
fn what_a_shop_is_worth_is_what_trying_every_week_says() {
    holds(300..600, &[Section::Shops], 115, |larder, told| {
        let shops = told.shops.as_ref().unwrap();
        if larder.shops.len() < 2 {
            let none = shops.shops.is_empty() && shops.packs.is_empty();
            return if none {
                Ok(0)
            } else {
                Err("no shops".to_owned())
            };
        }
        let mut count = 0;
        let shop = |name: &str| larder.shops.iter().position(|shop| shop == name).unwrap();
        for price in &shops.shops {
            // Not a ban: nothing is sold there any more.
            let gone = shop(&price.shop);
            let changed = larder.changed(|new| {
                let kept = |pack: &Pack| pack.shop != Some(ShopId::new(gone));
                for id in 0..new.packs.len() {
                    if !kept(&new.packs[id]) {
                        new.packs[id].ready_from = 3_000;
                        new.packs[id].ready_to = 3_000;
                        new.packs[id].end = 3_000;
                    }
                }
            });
            let changed = changed.expect("a sound larder");
            count += same(told, &price.without, &price.shop, &changed)?;
        }
        for price in &shops.packs {
            let there = Some(ShopId::new(shop(&price.shop)));
            let at = larder.packs.iter().position(|pack| {
                let food = &larder.foods[pack.food.index()].name;
                (food, &pack.label, pack.shop) == (&price.food, &price.pack, there)
            });
            let target = Target::Pack(PackId::new(at.unwrap()));
            let changed = larder.changed(|new| new.wishes.without.push(target));
            let changed = changed.expect("a sound larder");
            count += same(told, &price.without, &price.food, &changed)?;
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
            let pin = Pin::Recipe(RecipeId::new(at.unwrap()), None);
            let pinned = larder.changed(|new| new.wishes.with.push(pin));
            let again = ask(&pinned.expect("a sound larder"), &[], 1);
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
    let mut plain = Contents::clone(larder);
    plain.wishes.order = vec![Aim::Spoiled, Aim::Cost, Aim::Foods];
    for food in &mut plain.foods {
        food.staple_value_nano = 0;
    }
    let most = larder.foods.len() as i64;
    let mut points = BTreeSet::new();
    for foods in 0..=larder.wishes.cap.unwrap_or(most).min(most) {
        plain.wishes.cap = Some(foods);
        plain.wishes.budget_minor = larder.wishes.budget_minor;
        while let Some(best) = brute::solve(&sound(plain.clone()))?.best {
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
    holds(200..290, &[Section::Frontier], 70, |larder, told| {
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

/// The kitchen that comes with the program has no frontier by hand to stand against; but its
/// own is settled, and the laws of one hold.
#[test]
fn the_frontier_of_the_boatyard_is_settled() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let larder = scant::kitchen::read_dir(&folder).larder.unwrap();
    let ask = Ask {
        sections: &[Section::Frontier],
        others: 0,
        margin_minor: None,
        threads: 2,
        stop: &|| false,
        progress: None,
    };
    let told = tradeoffs(&larder, &larder, &ask).unwrap();
    assert!(told.settled);
    let frontier = told.frontier.unwrap();
    assert!(frontier.complete);
    // The chosen week is among them just where none beats it: weeks are chosen by more.
    let limits = Limits {
        threads: 2,
        stop: &|| false,
        progress: None,
    };
    let Outcome::Best(chosen) = scant::engine::solve(&larder, &limits).unwrap().0 else {
        panic!("the demo has a best week");
    };
    let tally = &chosen.tally;
    let sums = (tally.packs_minor, tally.foods, tally.spoiled_nano);
    let beaten = frontier.points.iter().any(|point| {
        let point = (point.bill_minor, point.foods, point.spoiled_nano);
        point != sums && point.0 <= sums.0 && point.1 <= sums.1 && point.2 <= sums.2
    });
    assert_eq!(frontier.has_chosen, !beaten);
    let all: Vec<_> = frontier.points.iter().collect();
    for (at, one) in all.iter().enumerate() {
        for (other_at, other) in all.iter().enumerate() {
            let no_worse = one.bill_minor <= other.bill_minor
                && one.foods <= other.foods
                && one.spoiled_nano <= other.spoiled_nano;
            assert!(at == other_at || !no_worse, "{one:?} beats {other:?}");
        }
    }
}

#[test]
fn a_cap_costs_what_trying_every_week_says() {
    holds(260..290, &[Section::Cap], 60, |larder, told| {
        let mut count = 0;
        for facts in told.caps.as_ref().unwrap() {
            let capped = larder.changed(|new| new.wishes.cap = Some(facts.most));
            let capped = capped.expect("a sound larder");
            let what = format!("a cap of {}", facts.most);
            count += same(told, &facts.case, &what, &capped)?;
        }
        Ok(count)
    });
}

#[test]
fn eaters_scale_as_if_the_kitchen_had_said_so() {
    holds(300..325, &[Section::Eaters], 100, |larder, told| {
        let mut count = 0;
        for facts in told.eaters.as_ref().unwrap() {
            let scaled = larder.changed(|new| new.week.eaters_milli.fill(facts.eaters * 1_000));
            let scaled = scaled.expect("a sound larder");
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

/// The three changes at the end of a week, each made here by hand.
#[test]
fn what_a_week_ends_with_is_what_trying_every_week_says() {
    let compared: [AtomicUsize; 4] = [const { AtomicUsize::new(0) }; 4];
    holds(900..990, &[Section::Reuse], 0, |larder, told| {
        let week = match solve(larder) {
            Outcome::Best(week) => week,
            other => return Err(format!("{other:?}")),
        };
        let rows = told.reuse.as_ref().unwrap();
        let most = rows.iter().filter(|row| row.bought_mg > 0);
        let most = most.map(|row| row.shares.len()).max();
        for telling in scant::tradeoffs::telling(larder, &week, 1, u64::MAX, &|| false).unwrap() {
            let mut changed = Contents::clone(larder);
            let wishes = &mut changed.wishes;
            let tried = match &telling.what {
                Asked::Looser(rule) => {
                    let limit = match rule {
                        Clash::Cap(..) => &mut wishes.cap,
                        Clash::PerForm(_) => &mut wishes.per_form,
                        Clash::PerProtein(_) => &mut wishes.per_protein,
                        other => return Err(format!("no rule that counts: {other:?}")),
                    };
                    *limit = limit.map(|limit| limit + 1);
                    tried(&sound(changed))
                }
                Asked::Dropped(Clash::KitchenMinutes { days, limit_nano }) => {
                    let all = &wishes.kitchen_minutes_nano;
                    let having =
                        |limit: i64| (0..).zip(all).filter(move |(_, one)| **one == Some(limit));
                    let here: Vec<i32> = having(*limit_nano).map(|(day, _)| day).collect();
                    let told: Vec<i32> = days.iter().map(|when| when.day).collect();
                    let more = all.iter().flatten().any(|&other| {
                        let count = having(other).count();
                        count > here.len() || count == here.len() && other < *limit_nano
                    });
                    if told != here || more {
                        return Err(format!("not the usual limit: {limit_nano}, {days:?}"));
                    }
                    for when in days {
                        wishes.kitchen_minutes_nano[when.day as usize] = None;
                    }
                    tried(&sound(changed))
                }
                Asked::Dropped(other) => return Err(format!("no limit of minutes: {other:?}")),
                Asked::Without { food, lunches } => {
                    if Some(*lunches) != most {
                        return Err(format!("{food} serves {lunches}, another {most:?}"));
                    }
                    let id = larder.foods.iter().position(|f| f.name == *food);
                    wishes.without.push(Target::Food(FoodId::new(id.unwrap())));
                    tried(&sound(changed))
                }
                Asked::Others => {
                    let mut kitchen = Kitchen::new(larder);
                    let mut here: Vec<RecipeId> =
                        week.plan.lunches.iter().map(|lunch| lunch.recipe).collect();
                    here.sort_unstable();
                    kitchen.other_than = vec![here];
                    let answer = kitchen.solve();
                    answer.map(|answer| answer.best.map(|best| best.key[4]))
                }
            };
            let (Some(tried), Some(said)) = (tried, said(told, &telling.case)) else {
                continue;
            };
            if said != tried {
                return Err(format!("{:?}: {said:?}, tried {tried:?}", telling.what));
            }
            let kind = match telling.what {
                Asked::Looser(_) => 0,
                Asked::Without { .. } => 1,
                Asked::Others => 2,
                Asked::Dropped(_) => 3,
            };
            compared[kind].fetch_add(1, Ordering::Relaxed);
        }
        Ok(0)
    });
    let compared = compared.map(AtomicUsize::into_inner);
    assert!(compared.iter().all(|&count| count >= 5), "{compared:?}");
}

/// The best week of a larder.
fn solve(larder: &Larder) -> Outcome {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    scant::engine::solve(larder, &limits).expect("no fault").0
}

#[test]
fn a_week_stays_best_up_to_its_end_points_and_no_further() {
    holds(500..540, &[Section::Prices], 80, |larder, told| {
        let now = told.week.as_ref().unwrap();
        let mut count = 0;
        for range in told.ranges.as_ref().unwrap() {
            let at = larder.packs.iter().position(|pack| {
                let shop = pack.shop.map(|shop| larder.shops[shop.index()].clone());
                let food = &larder.foods[pack.food.index()].name;
                (&pack.label, food, shop) == (&range.pack, &range.food, range.shop.clone())
            });
            // As the kitchen files would set it: value rounded half up, stock at the first pack's.
            let priced = |price: i64| {
                let mut larder = Contents::clone(larder);
                let pack = &mut larder.packs[at.unwrap()];
                let size = pack.unit_mg * pack.units;
                pack.price_minor = price;
                pack.value_nano = (price * 2_000_000_000 + size) / (2 * size);
                let (food, value) = (pack.food, pack.value_nano);
                if larder.foods[food.index()].packs.start as usize == at.unwrap() {
                    let stock = larder.stock.iter_mut().filter(|s| s.food == food);
                    stock.for_each(|stock| stock.value_nano = value);
                }
                sound(larder)
            };
            // The chosen lunches at that price, and the best there is.
            let held = |price: i64| {
                let larder = priced(price);
                let best = tried(&larder)??;
                let mut pinned = Contents::clone(&larder);
                for lunch in &now.lunches {
                    let id = larder.recipes.iter().position(|r| r.name == lunch.recipe);
                    let pin = Pin::Recipe(RecipeId::new(id?), Some(lunch.when.day as u8));
                    pinned.wishes.with.push(pin);
                }
                Some((best, tried(&sound(pinned))??))
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
                let mut larder = Contents::clone(larder);
                if !fruit.in_week {
                    larder.wishes.with.push(Pin::Food(id, None));
                }
                let packs = larder.packs.iter_mut().filter(|pack| pack.food == id);
                for pack in packs.filter(|p| p.stage.is_some() || p.ready_from > 0) {
                    pack.ready_from = (pack.ready_from + days).max(0);
                    pack.ready_to = (pack.ready_to + days).max(0);
                    pack.end = (pack.end + days).max(0);
                }
                sound(larder)
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
