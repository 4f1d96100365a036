//! Asks whether the list of the weeks near the best one may stand in for a search.
//!
//! The truth is the search without the list, which `oracle.rs` holds against trying
//! everything: whatever shuts weeks out (bans, pins, weeks to stay apart from, a dearest
//! objective, fewer foods) must end with the very same week, however far the list reaches.

mod support;

use std::sync::atomic::{AtomicUsize, Ordering};

use scant::engine::{Apart, Given, Limits, NearWeeks, Outcome, Ready, Solved, solve_given};
use scant::larder::{Contents, FoodId, Larder, Pack, Pin, RecipeId, Target};

use support::random::{Size, Sketch, draw};
use support::{read, side_by_side};

/// Seeds apart from those of the other tests.
const FIRST: u64 = 91_000;

const WORK: u64 = 100_000_000;

fn limits<'a>(threads: usize) -> Limits<'a> {
    Limits {
        threads,
        stop: &|| false,
        progress: None,
    }
}

/// An answer without a proof says nothing.
struct Unproved;

/// The best week, or none.
fn answer(larder: &Larder, given: &Given) -> Result<Option<Solved>, Unproved> {
    match solve_given(larder, given, &limits(1)) {
        Ok((Outcome::Best(solved), _)) => Ok(Some(solved)),
        Ok((Outcome::Impossible, _)) => Ok(None),
        Ok(_) => Err(Unproved),
        Err(fault) => panic!("{fault}"),
    }
}

/// The larder with each wish that shuts weeks out.
fn shut_out(larder: &Larder) -> Vec<(String, Larder)> {
    let mut all = Vec::new();
    let mut with = |what: String, change: &dyn Fn(&mut Contents)| {
        let new = larder.changed(|new| change(new));
        all.push((what, new.expect("a sound larder")));
    };
    for index in 0..larder.recipes.len() {
        let id = RecipeId::new(index);
        let name = &larder.recipes[index].name;
        with(format!("with {name}"), &|new| {
            new.wishes.with.push(Pin::Recipe(id, None));
        });
        with(format!("without {name}"), &|new| {
            new.wishes.without.push(Target::Recipe(id));
        });
    }
    for index in 0..larder.foods.len() {
        let id = FoodId::new(index);
        let name = &larder.foods[index].name;
        with(format!("with {name}"), &|new| {
            new.wishes.with.push(Pin::Food(id, None));
        });
        with(format!("without {name}"), &|new| {
            new.wishes.without.push(Target::Food(id));
        });
    }
    all
}

/// What differs with the list; counts the questions asked and those it answered.
fn check(sketch: &Sketch, asked: &AtomicUsize, listed: &AtomicUsize) -> Option<String> {
    let larder = read(sketch);
    if !larder.wishes.order.is_empty() {
        return None;
    }
    let best = answer(&larder, &Given::default()).ok()??;
    let objective = best.tally.objective_nano;
    // Three lists: the best week alone, some, and most weeks.
    for part in [0, 8, 3] {
        let reach = if part == 0 { 0 } else { objective.abs() / part };
        let below = objective + reach;
        let Ok(Some(near)) = NearWeeks::list(&larder, below, WORK, &limits(1)) else {
            continue;
        };
        let recipes: Vec<RecipeId> = best.plan.lunches.iter().map(|lunch| lunch.recipe).collect();
        let apart = [Apart {
            shared: recipes.len() - 1,
            recipes,
        }];
        let given = |near| Given {
            near,
            ..Given::default()
        };
        let mut questions = vec![
            ("the kitchen".to_owned(), larder.clone(), given(None)),
            (
                "another week".to_owned(),
                larder.clone(),
                Given {
                    apart: &apart,
                    ..given(None)
                },
            ),
            (
                "none so cheap".to_owned(),
                larder.clone(),
                Given {
                    objective_most_nano: Some(objective - 1),
                    ..given(None)
                },
            ),
            (
                "another as cheap as listed".to_owned(),
                larder.clone(),
                Given {
                    apart: &apart,
                    objective_most_nano: Some(below),
                    ..given(None)
                },
            ),
            (
                "fewer foods".to_owned(),
                larder.clone(),
                Given {
                    foods_most: Some(best.tally.foods - 1),
                    ..given(None)
                },
            ),
        ];
        questions.extend(
            shut_out(&larder)
                .into_iter()
                .map(|(what, new)| (what, new, given(None))),
        );
        for (what, larder, given) in questions {
            let (Ok(plain), Ok(quick)) = (
                answer(&larder, &given),
                answer(
                    &larder,
                    &Given {
                        near: Some(&near),
                        ..given
                    },
                ),
            ) else {
                continue;
            };
            asked.fetch_add(1, Ordering::Relaxed);
            let within = |solved: &Solved| solved.tally.objective_nano <= near.below_nano();
            listed.fetch_add(
                usize::from(quick.as_ref().is_some_and(within)),
                Ordering::Relaxed,
            );
            let plan = |solved: &Option<Solved>| solved.as_ref().map(|week| week.plan.clone());
            if plan(&plain) != plan(&quick) {
                return Some(format!(
                    "{what}, list up to {below}: {:?} instead of {:?}",
                    quick.map(|week| week.tally.objective_nano),
                    plain.map(|week| week.tally.objective_nano)
                ));
            }
        }
    }
    None
}

#[test]
fn what_only_shuts_weeks_out_ends_with_the_same_week() {
    let kitchens: Vec<Sketch> = (FIRST..FIRST + 60)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let (asked, listed) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let wrong = side_by_side(&kitchens, |sketch| {
        check(sketch, &asked, &listed)
            .map(|what| format!("seed {}: {what}\n{}", sketch.seed, sketch.print()))
    });
    let (asked, listed) = (asked.into_inner(), listed.into_inner());
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    assert!(
        asked > 1_000 && 3 * listed > asked,
        "{listed} of {asked} questions answered from a list"
    );
}

/// What differs with a list of the weeks within ceilings, below lower ones.
fn check_ceilings(sketch: &Sketch, listed: &AtomicUsize) -> Option<String> {
    let larder = read(sketch);
    let best = answer(&larder, &Given::default()).ok()??;
    let (foods, spoiled) = (best.tally.foods, best.tally.spoiled_nano);
    // All weeks of no more foods than the best one has; of those the ones that spoil less.
    // The list is made on the way to that one: it must be found all the same.
    let given = Given {
        foods_most: Some(foods),
        beyond_part: Some(2),
        ..Given::default()
    };
    let (outcome, _, near) = Ready::new(&larder, &|| false)
        .solve_beyond(&given, &limits(1))
        .ok()?;
    let Outcome::Best(first) = outcome else {
        return Some("no week is the best".to_owned());
    };
    if first.plan != best.plan {
        return Some("another week is the best where others are listed too".to_owned());
    }
    let near = near?;
    let below = near.below_nano();
    let lower = [
        (foods, spoiled - 1),
        (foods, spoiled / 2),
        (foods - 1, spoiled),
    ];
    for (foods, spoiled) in lower {
        let given = Given {
            foods_most: Some(foods),
            spoiled_most_nano: Some(spoiled),
            ..Given::default()
        };
        let quick = Given {
            near: Some(&near),
            ..given
        };
        let (Ok(plain), Ok(quick)) = (answer(&larder, &given), answer(&larder, &quick)) else {
            continue;
        };
        let within = |solved: &Solved| solved.tally.objective_nano <= near.below_nano();
        listed.fetch_add(
            usize::from(quick.as_ref().is_some_and(within)),
            Ordering::Relaxed,
        );
        let plan = |solved: Option<Solved>| solved.map(|week| week.plan);
        if plan(plain) != plan(quick) {
            return Some(format!(
                "{foods} foods, {spoiled} spoiled, list up to {below}"
            ));
        }
    }
    None
}

#[test]
fn a_list_within_ceilings_answers_lower_ones_with_the_same_week() {
    let kitchens: Vec<Sketch> = (FIRST + 200..FIRST + 320)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let listed = AtomicUsize::new(0);
    let wrong = side_by_side(&kitchens, |sketch| {
        check_ceilings(sketch, &listed)
            .map(|what| format!("seed {}: {what}\n{}", sketch.seed, sketch.print()))
    });
    let listed = listed.into_inner();
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    assert!(listed > 15, "{listed} questions answered from a list");
}

#[test]
fn what_is_given_beside_the_wishes_ends_with_the_same_week() {
    let kitchens: Vec<Sketch> = (FIRST + 400..FIRST + 430)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let wrong = side_by_side(&kitchens, |sketch| {
        let larder = read(sketch);
        let ready = Ready::new(&larder, &|| false);
        let recipes = (0..larder.recipes.len()).map(|at| Pin::Recipe(RecipeId::new(at), None));
        let foods = (0..larder.foods.len()).map(|at| Pin::Food(FoodId::new(at), None));
        recipes.chain(foods).find_map(|pin| {
            let wished = larder.changed(|new| new.wishes.with.push(pin.clone()));
            let wished = wished.expect("a sound larder");
            let wished = answer(&wished, &Given::default()).ok()?;
            let given = Given {
                with: std::slice::from_ref(&pin),
                ..Given::default()
            };
            let given = match ready.solve(&given, &limits(1)).expect("no fault").0 {
                Outcome::Best(solved) => Some(solved.plan),
                Outcome::Impossible => None,
                _ => return None,
            };
            let differ = wished.map(|week| week.plan) != given;
            differ.then(|| format!("seed {}: {pin:?}\n{}", sketch.seed, sketch.print()))
        })
    });
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
}

/// The larder with each rule on days, times and nutrition given up or a day looser, and one
/// with all of that.
fn let_in(larder: &Larder) -> (Vec<(String, Larder)>, Larder) {
    let mut all = Vec::new();
    let mut loosest = Contents::clone(larder);
    let mut with = |what: String, change: &dyn Fn(&mut Contents)| {
        let new = larder.changed(|new| change(new));
        change(&mut loosest);
        all.push((what, new.expect("a sound larder")));
    };
    with("forms side by side".to_owned(), &|new| {
        new.wishes.form_never_adjacent = false;
    });
    with("neighbours as alike as they are".to_owned(), &|new| {
        new.wishes.sameness_adjacent_milli = None;
    });
    with("no limit on minutes".to_owned(), &|new| {
        new.wishes.minutes_nano.fill(None);
    });
    with("no limit on minutes in the kitchen".to_owned(), &|new| {
        new.wishes.kitchen_minutes_nano.fill(None);
    });
    with("batches cooked on any day".to_owned(), &|new| {
        new.wishes.cook_on = None;
    });
    for at in 0..larder.wishes.nutrition.len() {
        with(format!("without floor {at}"), &|new| {
            new.wishes.nutrition[at].at_least_milli = None;
        });
        with(format!("without ceiling {at}"), &|new| {
            new.wishes.nutrition[at].at_most_milli = None;
        });
    }
    for at in 0..larder.components.len() {
        with(format!("component {at} keeps a day longer"), &|new| {
            new.components[at].keeps += 1;
        });
    }
    // A staple's keeping times are not used, and as long as may be.
    let keeps = |at: &usize| {
        let pack = &larder.packs[*at];
        !pack.loose && !larder.foods[pack.food.index()].staple
    };
    for at in (0..larder.packs.len()).filter(keeps) {
        with(
            format!("pack {at} keeps a day longer once opened"),
            &|new| {
                let pack = &mut new.packs[at];
                if pack.end == pack.ready_to + pack.open_life && pack.end > pack.ready_to {
                    pack.end += 1;
                }
                pack.open_life += 1;
            },
        );
        with(format!("pack {at} may be opened a day later"), &|new| {
            new.packs[at].ready_to += 1;
            new.packs[at].end += 1;
        });
    }
    (all, Larder::checked(loosest).expect("a sound larder"))
}

/// Objectives of the best weeks of changed kitchens, or the first of which the week with what is
/// given differs from the one without.
fn with_and_without(
    sketch: &Sketch,
    questions: Vec<(String, Larder)>,
    given: &Given,
) -> Result<Vec<i64>, String> {
    let mut found = Vec::new();
    for (what, larder) in questions {
        let plain = answer(&larder, &Given::default());
        let (Ok(Some(plain)), Ok(quick)) = (plain, answer(&larder, given)) else {
            continue;
        };
        let objective = plain.tally.objective_nano;
        if quick.as_ref().is_none_or(|quick| plain.plan != quick.plan) {
            return Err(format!(
                "seed {}: {what}: {:?} instead of {objective}\n{}",
                sketch.seed,
                quick.map(|quick| quick.tally.objective_nano),
                sketch.print()
            ));
        }
        found.push(objective);
    }
    Ok(found)
}

/// One list of what all looser rules let in answers what any one of them does.
#[test]
fn what_lets_weeks_in_ends_with_the_same_week() {
    let kitchens: Vec<Sketch> = (FIRST + 1_000..FIRST + 1_060)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let (asked, better) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let wrong = side_by_side(&kitchens, |sketch| {
        let larder = read(sketch);
        if !larder.wishes.order.is_empty() {
            return None;
        }
        let best = answer(&larder, &Given::default()).ok()??;
        let (questions, loosest) = let_in(&larder);
        let below = best.tally.objective_nano;
        let near = NearWeeks::list(&loosest, below, WORK, &limits(1)).ok()??;
        let given = Given {
            near: Some(&near),
            start: Some(&best.plan),
            ..Given::default()
        };
        let found = match with_and_without(sketch, questions, &given) {
            Ok(found) => found,
            Err(wrong) => return Some(wrong),
        };
        asked.fetch_add(found.len(), Ordering::Relaxed);
        let saves = found.iter().filter(|&&sum| sum < below).count();
        better.fetch_add(saves, Ordering::Relaxed);
        None
    });
    let (asked, better) = (asked.into_inner(), better.into_inner());
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    assert!(asked > 300 && better > 20, "{better} of {asked} save");
}

/// The larder with each fruit ripening a day early or late, and one with every ripe window a day
/// longer at both ends.
fn shifted(larder: &Larder) -> (Vec<(String, Larder)>, Larder) {
    let ripens = |pack: &Pack| pack.stage.is_some() || pack.ready_from > 0;
    let mut all = Vec::new();
    for index in 0..larder.foods.len() {
        let food = FoodId::new(index);
        if !larder.packs_of(food).any(|(_, pack)| ripens(pack)) {
            continue;
        }
        for days in [-1, 1] {
            let mut new = Contents::clone(larder);
            let packs = new.packs.iter_mut();
            for pack in packs.filter(|pack| pack.food == food && ripens(pack)) {
                for day in [&mut pack.ready_from, &mut pack.ready_to, &mut pack.end] {
                    *day = (*day + days).max(0);
                }
            }
            let new = Larder::checked(new).expect("a sound larder");
            all.push((format!("{} {days} days", larder.foods[index].name), new));
        }
    }
    let mut longer = Contents::clone(larder);
    for pack in longer.packs.iter_mut().filter(|pack| ripens(pack)) {
        pack.ready_from = (pack.ready_from - 1).max(0);
        pack.ready_to += 1;
        pack.end += 1;
    }
    (all, Larder::checked(longer).expect("a sound larder"))
}

/// One list with ripe windows a day longer at both ends answers what fruit does that ripens a
/// day early or late.
#[test]
fn what_ripens_early_or_late_ends_with_the_same_week() {
    let kitchens: Vec<Sketch> = (FIRST + 1_200..FIRST + 1_500)
        .map(|seed| draw(seed, Size::Small))
        .collect();
    let (asked, other) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let wrong = side_by_side(&kitchens, |sketch| {
        let larder = read(sketch);
        if !larder.wishes.order.is_empty() {
            return None;
        }
        let best = answer(&larder, &Given::default()).ok()??;
        let (questions, longer) = shifted(&larder);
        let best = best.tally.objective_nano;
        let below = best + best.abs() / 3;
        let near = NearWeeks::list(&longer, below, WORK, &limits(1)).ok()??;
        let given = Given {
            near: Some(&near),
            ..Given::default()
        };
        let mut found = match with_and_without(sketch, questions, &given) {
            Ok(found) => found,
            Err(wrong) => return Some(wrong),
        };
        found.retain(|&sum| sum <= below);
        asked.fetch_add(found.len(), Ordering::Relaxed);
        let differ = found.iter().filter(|&&sum| sum != best).count();
        other.fetch_add(differ, Ordering::Relaxed);
        None
    });
    let (asked, other) = (asked.into_inner(), other.into_inner());
    assert!(wrong.is_empty(), "{} wrong; {}", wrong.len(), wrong[0]);
    assert!(asked > 100 && other > 20, "{other} of {asked} differ");
}

/// A week dearer than was asked for is none, proved; one as dear is the best.
#[test]
fn a_dearest_objective_is_kept_to_the_last_digit() {
    let mut asked = 0;
    for seed in FIRST + 500..FIRST + 560 {
        let larder = read(&draw(seed, Size::Small));
        if !larder.wishes.order.is_empty() {
            continue;
        }
        let Ok(Some(best)) = answer(&larder, &Given::default()) else {
            continue;
        };
        let objective = best.tally.objective_nano;
        let most = |most: i64| Given {
            objective_most_nano: Some(most),
            ..Given::default()
        };
        if let Ok(none) = answer(&larder, &most(objective - 1)) {
            assert!(none.is_none(), "seed {seed}");
        }
        if let Ok(same) = answer(&larder, &most(objective)) {
            let same = same.expect("the best week is no dearer than itself");
            assert_eq!(same.plan, best.plan, "seed {seed}");
            asked += 1;
        }
    }
    assert!(asked > 20, "{asked} asked");
}
