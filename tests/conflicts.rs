//! Asks whether kitchens without a week are told truly: the rules that cannot hold together, the
//! ways out of one change and, where there are none, of two.
//!
//! The truth comes from trying every week of small random kitchens (`support/brute.rs`) with
//! rules dropped and loosened here, by hand: every rule spared in turn, every pair of rules. What
//! it does not ask: larger kitchens.

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

use scant::explain::{Clash, How, When};
use scant::larder::{Contents, Larder, Nutrient, NutrientRule, Per, Pin, RecipeId};

use changes::{FIRST, ask, ask_until, set, sound, tried};
use support::random::{Size, Sketch, draw};
use support::{read, side_by_side};

/// The larder with no rule in force but these.
fn only(larder: &Larder, all: &[Clash], kept: &[&Clash]) -> Larder {
    let mut bare = Contents::clone(larder);
    let told: Vec<String> = kept.iter().map(|clash| format!("{clash:?}")).collect();
    for clash in all {
        if !told.contains(&format!("{clash:?}")) {
            set(&mut bare, clash, None);
        }
    }
    sound(bare)
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
    let days = i32::from(larder.week.lunches);
    let when = |day: i32| When::new(larder, day);
    if let Some(on) = w.cook_on.as_ref().filter(|on| on.len() as i32 <= days) {
        all.push(Clash::CookOn(
            on.iter().map(|&day| when(day.into())).collect(),
        ));
    }
    all
}

#[test]
fn a_conflict_is_impossible_and_none_of_it_can_be_spared() {
    let compared = AtomicUsize::new(0);
    let sketches: Vec<Sketch> = (600..720)
        .map(|seed| draw(FIRST + seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = Contents::clone(&read(sketch));
        larder.wishes.order.clear();
        larder.wishes.without.clear();
        larder.wishes.with.clear();
        larder.wishes.nutrition.clear();
        larder.wishes.minutes_nano.fill(None);
        larder.wishes.kitchen_minutes_nano.fill(None);
        // Tight, so that many kitchens have no week.
        larder.wishes.cap = Some(1);
        larder.wishes.budget_minor = Some(larder.packs.iter().map(|p| p.price_minor).max()? / 2);
        let larder = sound(larder);
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
            let mut changed = Contents::clone(&larder);
            let done = match &way.how {
                How::Looser(now) => set(&mut changed, now, Some(now)),
                How::Without(was) => set(&mut changed, was, None),
                How::Trip(_) => false,
            };
            if done && tried(&sound(changed))? != Some(way.sums.objective_nano) {
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

/// The number a step nearer to the rule as it stands; none of a rule that is none of these.
fn nearer(asked: &Clash, works: &Clash) -> Option<Clash> {
    Some(match works {
        Clash::Budget(n) => Clash::Budget(n - 1),
        Clash::Cap(n, by) => Clash::Cap(n - 1, *by),
        Clash::PerForm(n) => Clash::PerForm(n - 1),
        Clash::PerProtein(n) => Clash::PerProtein(n - 1),
        Clash::Repeats(n) => Clash::Repeats(n - 1),
        Clash::Sameness(n) => Clash::Sameness(n - 1),
        Clash::SamenessAdjacent(n) => Clash::SamenessAdjacent(n - 1),
        Clash::Minutes { days, limit_nano } => {
            let Clash::Minutes {
                limit_nano: was, ..
            } = asked
            else {
                return None;
            };
            Clash::Minutes {
                days: days.clone(),
                // Told in whole minutes.
                limit_nano: (limit_nano - 1_000_000_000).max(*was),
            }
        }
        Clash::Nutrition(rule) => {
            let mut rule = rule.clone();
            rule.at_least_milli = rule.at_least_milli.map(|floor| floor + 1);
            rule.at_most_milli = rule.at_most_milli.map(|ceiling| ceiling - 1);
            Clash::Nutrition(rule)
        }
        _ => return None,
    })
}

/// Of a rule with a number the value told lets a week in, and one step nearer there is none:
/// every week is tried for both.
#[test]
fn the_nearest_value_is_the_least_that_works() {
    let kinds: [AtomicUsize; 6] = Default::default();
    let sketches: Vec<Sketch> = (1_300..1_480)
        .map(|seed| draw(FIRST + seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = Contents::clone(&read(sketch));
        let kind = (sketch.seed % 6) as usize;
        if larder.week.trips.len() > 1 {
            return None;
        }
        let wishes = &mut larder.wishes;
        wishes.order.clear();
        wishes.without.clear();
        wishes.with.clear();
        wishes.nutrition.clear();
        wishes.credits.clear();
        let rule = |per, at_least_milli, at_most_milli| NutrientRule {
            nutrient: Nutrient::Protein,
            per,
            at_least_milli,
            at_most_milli,
            source: "common practice, no source".to_owned(),
        };
        match kind {
            0 => wishes.cap = Some(0),
            1 => wishes.budget_minor = Some(1),
            2 => wishes.nutrition = vec![rule(Per::Lunch, None, Some(1))],
            3 => wishes.nutrition = vec![rule(Per::Week, Some(1_000_000), None)],
            // Shares of a lunch are tried on a grid: whole minutes a batch only.
            4 if larder.components.iter().any(|c| c.minutes_per_mg_nano > 0) => return None,
            4 => wishes.minutes_nano.fill(Some(500_000_000)),
            _ => wishes.repeats = 1,
        }
        if kind == 5 {
            wishes.sameness_milli = Some(0);
        }
        let larder = sound(larder);
        let begun = std::time::Instant::now();
        let told = ask_until(&larder, &[], 1, &|| begun.elapsed().as_secs() >= 10);
        for way in &told.conflict.as_ref()?.ways {
            let (How::Looser(works), Some(asked), true) = (&way.how, &way.asked, way.nearest)
            else {
                continue;
            };
            let mut changed = Contents::clone(&larder);
            assert!(set(&mut changed, asked, Some(works)));
            if tried(&sound(changed))?.is_none() {
                return Some(format!("seed {}: no week with {works:?}", sketch.seed));
            }
            let Some(nearer) = nearer(asked, works) else {
                continue;
            };
            let mut changed = Contents::clone(&larder);
            assert!(set(&mut changed, asked, Some(&nearer)));
            if tried(&sound(changed))?.is_some() {
                return Some(format!("seed {}: {nearer:?} is enough", sketch.seed));
            }
            kinds[kind].fetch_add(1, Ordering::Relaxed);
        }
        None
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    let counts = kinds.map(AtomicUsize::into_inner);
    assert!(counts.iter().all(|&count| count >= 3), "{counts:?}");
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
fn make(larder: &mut Contents, how: &How) {
    match how {
        How::Looser(now) => assert!(set(larder, now, Some(now))),
        How::Without(was) => assert!(set(larder, was, None)),
        How::Trip(when) => larder
            .week
            .trips
            .push(scant::larder::ShoppingTrip::on(when.day as u8)),
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
    let sketches: Vec<Sketch> = (900..1_300)
        .map(|seed| draw(FIRST + seed, Size::Small))
        .collect();
    let wrong: Vec<String> = side_by_side(&sketches, |sketch| {
        let mut larder = Contents::clone(&read(sketch));
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
        larder.wishes.kitchen_minutes_nano.fill(None);
        larder.wishes.cook_on = None;
        let larder = sound(larder);
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
            let days = (0..=i32::from(days)).map(|day| When::new(&larder, day));
            let days = days.collect();
            all.push(How::Without(Clash::Minutes { days, limit_nano }));
        }
        let middle = days.div_ceil(2);
        if middle < days && larder.week.trips.iter().all(|trip| trip.day != middle) {
            all.push(How::Trip(When::new(&larder, middle.into())));
        }
        let mut exist = BTreeSet::new();
        for (at, one) in all.iter().enumerate() {
            for two in &all[at + 1..] {
                let mut changed = Contents::clone(&larder);
                make(&mut changed, one);
                make(&mut changed, two);
                if tried(&sound(changed))?.is_some() {
                    exist.insert(BTreeSet::from([lever(one), lever(two)]));
                }
            }
        }
        let mut said = BTreeSet::new();
        let mut before = i64::MIN;
        for way in &conflict.pairs {
            let and = way.and.as_ref().expect("a pair has two");
            said.insert(BTreeSet::from([lever(&way.how), lever(and)]));
            let mut changed = Contents::clone(&larder);
            make(&mut changed, &way.how);
            make(&mut changed, and);
            let objective = way.sums.objective_nano;
            if !way.best || tried(&sound(changed))? != Some(objective) {
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
                let mut changed = Contents::clone(&larder);
                make(&mut changed, &less);
                make(&mut changed, other);
                if tried(&sound(changed))?.is_some() {
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
    let larder = scant::kitchen::read_texts(texts).larder.unwrap();
    // In files they would be refused at once.
    let pins = (0..3).map(|at| Pin::Recipe(RecipeId::new(at), Some(1)));
    let pinned = larder.changed(|new| new.wishes.with.extend(pins));
    pinned.unwrap()
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
