//! Asks whether the search obeys laws that hold for every kitchen, known answer or not.
//!
//! The truth is in the laws themselves: more to choose from, or a rule less, never makes the
//! best week worse; what changes nothing about the kitchen changes nothing about the week;
//! doubled prices double what is paid. So larger kitchens can be asked than the brute force can
//! answer. What it does not ask: whether a week is the best there is (`oracle.rs`).

mod support;

use std::sync::atomic::{AtomicUsize, Ordering};

use scant::engine::{self, Effort, Limits, Outcome, Solved};
use scant::larder::{Contents, Larder};

use support::random::{Dice, Size, Sketch, draw};
use support::{key, read, side_by_side};

/// What a weighted value may be out by: half of 1e-9 a milligram, each time it is rounded, of less
/// than five kilograms left over.
const ROUNDING: i64 = scant::larder::NANO / 100;

/// Seeds apart from those of the oracle.
const FIRST: u64 = 50_000;

fn kitchens() -> Vec<Sketch> {
    let small = (FIRST..FIRST + 80).map(|seed| draw(seed, Size::Small));
    let large = (FIRST..FIRST + 4)
        .map(|seed| draw(seed, Size::Large(20 + 5 * (seed as i64 - FIRST as i64))));
    small.chain(large).collect()
}

/// The best week or none, both proved. A kitchen that is answered without a proof cannot be
/// asked: none. Faults fail.
fn best(larder: &Larder, threads: usize) -> Option<(Option<Solved>, Effort)> {
    let limits = Limits {
        threads,
        stop: &|| false,
        progress: None,
    };
    match engine::solve(larder, &limits) {
        Ok((Outcome::Best(solved), effort)) => Some((Some(solved), effort)),
        Ok((Outcome::Impossible, effort)) => Some((None, effort)),
        Ok(_) => None,
        Err(fault) => panic!("{fault}"),
    }
}

/// Checks a law on every kitchen; `law` returns what breaks it.
fn holds(law: impl Fn(&Sketch, &Larder, Option<&Solved>) -> Option<String> + Sync) {
    let asked = AtomicUsize::new(0);
    let all = kitchens();
    let broken: Vec<String> = side_by_side(&all, |sketch| {
        let larder = read(sketch);
        let (solved, _) = best(&larder, 1)?;
        asked.fetch_add(1, Ordering::Relaxed);
        law(sketch, &larder, solved.as_ref())
            .map(|what| format!("seed {}: {what}\n{}", sketch.seed, sketch.print()))
    });
    let asked = asked.into_inner();
    assert!(
        asked * 100 >= all.len() * 95,
        "only {asked} of {} kitchens could be asked",
        all.len()
    );
    let count = broken.len();
    assert!(
        broken.is_empty(),
        "{count} kitchens break the law; the first:\n{}",
        broken[0]
    );
}

fn is_worse(larder: &Larder, now: Option<&Solved>, before: Option<&Solved>) -> bool {
    match (now, before) {
        (_, None) => false,
        (None, Some(_)) => true,
        (Some(now), Some(before)) => key(larder, &now.tally) > key(larder, &before.tally),
    }
}

/// The sketch without one recipe that no wish names.
fn without_recipe(sketch: &Sketch, name: &str) -> Option<Sketch> {
    let named = sketch.aims.contains(name) || sketch.rules.values().any(|rule| rule.contains(name));
    // A form or tag that only this recipe bears would be unknown without it.
    let groups = ["form:", "tag", "oven"];
    let by_group = groups.iter().any(|group| {
        sketch.aims.contains(group)
            || sketch
                .rules
                .get("without")
                .is_some_and(|r| r.contains(group))
    });
    if named || by_group || sketch.recipes.len() < 2 {
        return None;
    }
    let mut fewer = sketch.clone();
    fewer.recipes.retain(|(other, _)| other != name);
    Some(fewer)
}

#[test]
fn one_recipe_more_never_makes_the_week_worse() {
    holds(|sketch, larder, solved| {
        let fewer = without_recipe(sketch, &sketch.recipes[0].0)?;
        let (before, _) = best(&read(&fewer), 1)?;
        is_worse(larder, solved, before.as_ref()).then(|| {
            format!(
                "with {}: {solved:?}; without: {before:?}",
                sketch.recipes[0].0
            )
        })
    });
}

#[test]
fn a_rule_less_never_makes_the_week_worse() {
    holds(|sketch, larder, solved| {
        sketch.rules.iter().find_map(|(rule, value)| {
            // Left out, these two ask for more, not less; and `cap_by` alone asks nothing.
            if matches!(*rule, "repeats" | "cap_by")
                || (*rule == "form_adjacent" && value == "true")
            {
                return None;
            }
            let mut freer = sketch.clone();
            freer.rules.remove(rule);
            if *rule == "cap" {
                freer.rules.remove("cap_by");
            }
            let (free, _) = best(&read(&freer), 1)?;
            is_worse(larder, free.as_ref(), solved)
                .then(|| format!("with {rule}: {solved:?}; without: {free:?}"))
        })
    });
}

#[test]
fn the_order_of_entries_and_files_changes_nothing() {
    holds(|sketch, _, solved| {
        let mut other = sketch.clone();
        let mut dice = Dice::new(sketch.seed);
        dice.shuffle(&mut other.foods);
        dice.shuffle(&mut other.components);
        dice.shuffle(&mut other.recipes);
        dice.shuffle(&mut other.stock);
        let mut texts = other.texts();
        texts.reverse();
        for (place, (name, _)) in texts.iter_mut().enumerate() {
            *name = format!("{place}.yaml");
        }
        let larder = scant::kitchen::read_texts(texts)
            .larder
            .expect("only the order is new");
        let (again, _) = best(&larder, 1)?;
        let (a, b) = (solved.map(|s| &s.plan), again.as_ref().map(|s| &s.plan));
        (a != b).then(|| format!("{a:?} became {b:?}"))
    });
}

#[test]
fn the_number_of_threads_changes_neither_week_nor_effort() {
    for sketch in kitchens() {
        let larder = read(&sketch);
        let Some((one, effort)) = best(&larder, 1) else {
            continue;
        };
        for threads in [2, 8] {
            let (many, work) = best(&larder, threads).expect("proved with one thread");
            let plans = (
                one.as_ref().map(|s| &s.plan),
                many.as_ref().map(|s| &s.plan),
            );
            assert!(
                plans.0 == plans.1 && effort == work,
                "seed {} with {threads} threads: {plans:?}, {effort:?} and {work:?}\n{}",
                sketch.seed,
                sketch.print()
            );
        }
    }
}

#[test]
fn a_recipe_that_was_not_chosen_can_go() {
    holds(|sketch, larder, solved| {
        let solved = solved?;
        let names = |larder: &Larder, solved: &Solved| -> Vec<String> {
            let lunches = solved.plan.lunches.iter();
            lunches
                .map(|l| larder.recipes[l.recipe.index()].name.clone())
                .collect()
        };
        let chosen = names(larder, solved);
        let (unchosen, _) = sketch
            .recipes
            .iter()
            .find(|(name, _)| !chosen.contains(name))?;
        let fewer = read(&without_recipe(sketch, unchosen)?);
        let Some(again) = best(&fewer, 1)?.0 else {
            return Some(format!("no week without {unchosen}"));
        };
        let same = names(&fewer, &again) == chosen && again.tally == solved.tally;
        (!same).then(|| format!("without {unchosen}: {solved:?} became {again:?}"))
    });
}

/// Everything with a price in it, twice. The values per milligram are doubled, not worked out
/// again from doubled prices, which could round otherwise.
fn twice_as_dear(larder: &Larder) -> Larder {
    let mut dear = Contents::clone(larder);
    for pack in &mut dear.packs {
        pack.price_minor *= 2;
        pack.value_nano *= 2;
    }
    for food in &mut dear.foods {
        food.staple_value_nano *= 2;
    }
    for unit in &mut dear.stock {
        unit.value_nano *= 2;
    }
    for trip in &mut dear.week.trips {
        trip.going_minor = trip.going_minor.map(|price| 2 * price);
    }
    let wishes = &mut dear.wishes;
    wishes.food_price_minor *= 2;
    wishes.minute_price_minor *= 2;
    wishes.watch_price_minor *= 2;
    wishes.trip_price_minor *= 2;
    wishes.budget_minor = wishes.budget_minor.map(|most| 2 * most);
    for preference in &mut wishes.preferences {
        preference.price_minor *= 2;
    }
    Larder::checked(dear).expect("a sound larder")
}

#[test]
fn doubled_prices_double_the_objective_and_leave_the_week() {
    holds(|_, larder, solved| {
        let (dear, _) = best(&twice_as_dear(larder), 1)?;
        let (a, b) = match (solved, dear.as_ref()) {
            (None, None) => return None,
            (Some(a), Some(b)) => (a, b),
            other => return Some(format!("{other:?}")),
        };
        let more = b.tally.objective_nano - 2 * a.tally.objective_nano;
        let same = a.plan == b.plan && more.abs() <= ROUNDING;
        (!same).then(|| format!("{a:?} became {b:?}"))
    });
}
