//! Is the boatyard kitchen a real puzzle, and does the exact search see through it?
//!
//! Truth: five facts a cook would expect of such a kitchen, each asked of proved weeks. The
//! search proves them; the judge, which knows nothing of the search, adds them up. No figure of
//! a plan is written down here: prices may be changed, the facts must stay.

use std::path::Path;
use std::sync::LazyLock;

use scant::engine::{Limits, Outcome, Solved, solve};
use scant::larder::{Aim, FoodId, Ingredient, Larder, Pin, Target};
use scant::plan::Lot;

static LARDER: LazyLock<Larder> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let read = scant::kitchen::read_dir(&folder);
    read.larder.expect("the boatyard kitchen has no faults")
});

static AS_WRITTEN: LazyLock<Solved> = LazyLock::new(|| best(&LARDER));

static CHEAPEST: LazyLock<Solved> = LazyLock::new(|| best(&cheapest()));

fn cheapest() -> Larder {
    let cheapest = LARDER.changed(|new| {
        new.wishes.cap = None;
        new.wishes.order = vec![Aim::Cost];
    });
    cheapest.expect("a sound larder")
}

fn best(larder: &Larder) -> Solved {
    let limits = Limits {
        threads: 0,
        stop: &|| false,
        progress: None,
    };
    match solve(larder, &limits).expect("no engine fault") {
        (Outcome::Best(solved), _) => solved,
        (other, _) => panic!("not proved: {other:?}"),
    }
}

fn food(name: &str) -> FoodId {
    let at = LARDER.foods.iter().position(|f| f.name == name);
    FoodId::new(at.unwrap_or_else(|| panic!("no food {name}")))
}

/// Days of the lunches that take `food`, itself or through a component.
fn days_with(solved: &Solved, food: FoodId) -> Vec<usize> {
    let takes = |what: &Ingredient| match what {
        Ingredient::Food(id) => *id == food,
        Ingredient::Component(id) => LARDER.components[id.index()]
            .foods
            .iter()
            .any(|(f, _)| *f == food),
    };
    (1..)
        .zip(&solved.plan.lunches)
        .filter(|(_, lunch)| {
            let lines = &LARDER.recipes[lunch.recipe.index()].lines;
            lines
                .iter()
                .zip(&lunch.taken)
                .any(|(line, &taken)| takes(&line.alternatives[usize::from(taken)].what))
        })
        .map(|(day, _)| day)
        .collect()
}

#[test]
fn a_cap_of_ten_foods_is_possible_and_costs_something() {
    let with_cap = |cap| {
        let capped = LARDER.changed(|new| new.wishes.cap = cap);
        best(&capped.expect("a sound larder")).tally
    };
    let (free, capped) = (with_cap(None), with_cap(Some(10)));
    assert!(capped.foods <= 10);
    assert!(free.foods > 10, "without a cap the week takes more foods");
    assert!(capped.objective_nano > free.objective_nano);
}

#[test]
fn the_cheapest_week_is_not_the_week_of_fewest_foods() {
    let fewest = LARDER.changed(|new| {
        new.wishes.cap = None;
        new.wishes.order = vec![Aim::Foods, Aim::Cost];
    });
    let fewest = best(&fewest.expect("a sound larder"));
    assert!(fewest.tally.foods < CHEAPEST.tally.foods);
    assert!(fewest.tally.cost_nano() > CHEAPEST.tally.cost_nano());
    assert_ne!(fewest.plan.lunches, CHEAPEST.plan.lunches);
}

#[test]
fn a_ban_on_the_most_used_food_changes_lunches_and_costs_something() {
    let counted = (0..LARDER.foods.len())
        .map(FoodId::new)
        .filter(|f| !LARDER.foods[f.index()].staple);
    let most_used = counted
        .max_by_key(|&f| days_with(&AS_WRITTEN, f).len())
        .expect("foods");
    assert!(days_with(&AS_WRITTEN, most_used).len() >= 2);
    let without = LARDER.changed(|new| new.wishes.without.push(Target::Food(most_used)));
    let without = best(&without.expect("a sound larder"));
    assert!(days_with(&without, most_used).is_empty());
    let recipes = |solved: &Solved| {
        let mut all: Vec<_> = solved.plan.lunches.iter().map(|l| l.recipe).collect();
        all.sort();
        all
    };
    assert_ne!(recipes(&without), recipes(&AS_WRITTEN));
    assert!(without.tally.objective_nano > AS_WRITTEN.tally.objective_nano);
}

#[test]
fn something_spoils_even_in_the_cheapest_week() {
    assert!(CHEAPEST.tally.spoiled_nano > 0);
}

#[test]
fn ripeness_decides_the_day_of_an_avocado_lunch() {
    let avocado = food("avocado");
    let pinned = |larder: &Larder, day| {
        let pinned = larder.changed(|new| new.wishes.with.push(Pin::Food(avocado, day)));
        best(&pinned.expect("a sound larder"))
    };
    // Whichever is bought is opened while it is ripe.
    let free = pinned(&LARDER, None);
    assert!(!days_with(&free, avocado).is_empty());
    for opening in &free.plan.openings {
        if let Lot::Bought(pack, trip) = opening.lot {
            let pack = &LARDER.packs[pack.index()];
            let after =
                i32::from(opening.day) - i32::from(LARDER.week.trips[usize::from(trip)].day);
            assert!(
                (pack.ready_from..=pack.ready_to).contains(&after),
                "{}",
                pack.label
            );
        }
    }
    // A Sunday's hard avocado is ripe on Friday: with no others to be had it is Friday's alone.
    let hard = LARDER.changed(|new| {
        for pack in new.packs.iter_mut().filter(|p| p.food == avocado) {
            (pack.ready_from, pack.ready_to, pack.end) = (5, 6, 7);
        }
    });
    let hard = pinned(&hard.expect("a sound larder"), None);
    assert_eq!(days_with(&hard, avocado), [LARDER.lunch_count()]);
    assert!(hard.tally.objective_nano >= free.tally.objective_nano);
    // On Monday only the dear ripe ones will do ...
    let monday = pinned(&LARDER, Some(1));
    assert!(monday.tally.objective_nano > free.tally.objective_nano);
    // ... and it is ripeness alone that costs: were hard ones ready at once, Monday would be cheaper.
    let ready = LARDER.changed(|new| {
        for pack in new.packs.iter_mut().filter(|p| p.food == avocado) {
            pack.ready_from = 0;
        }
    });
    let at_once = pinned(&ready.expect("a sound larder"), Some(1));
    assert!(at_once.tally.objective_nano < monday.tally.objective_nano);
}

#[test]
fn the_best_week_has_a_fruit_bought_unripe() {
    let unripe = |lot: Lot| match lot {
        Lot::Bought(pack, _) => LARDER.packs[pack.index()].ready_from > 0,
        Lot::Stock(_) => false,
    };
    assert!(AS_WRITTEN.plan.openings.iter().any(|one| unripe(one.lot)));
    assert_eq!(LARDER.wishes.cap, Some(10), "and at most ten foods to find");
}

/// Prices are above nothing, so no week costs less: a bound below is none.
#[test]
fn wherever_a_run_is_stopped_its_bound_says_something() {
    use std::sync::atomic::{AtomicU32, Ordering};
    let best = AS_WRITTEN.tally.objective_nano;
    let mut stopped = 0;
    for most in (0..12).map(|power| (1 << power) - 1) {
        let asked = AtomicU32::new(0);
        let limits = Limits {
            threads: 1,
            stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= most,
            progress: None,
        };
        match solve(&LARDER, &limits).expect("no engine fault").0 {
            Outcome::Good { bound_nano, .. } | Outcome::OutOfTime { bound_nano } => {
                stopped += 1;
                assert!((1..=best).contains(&bound_nano), "{most}: {bound_nano}");
            }
            Outcome::Best(solved) => assert_eq!(solved.tally.objective_nano, best),
            Outcome::Impossible => panic!("{most}: a week was known"),
        }
    }
    assert!(stopped > 3, "{stopped} runs stopped");
}
