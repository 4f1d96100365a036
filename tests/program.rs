//! Asks whether the integer program says what the judge says: a plan the judge lets pass
//! holds every row exactly and has the judge's objective; a plan that breaks one rule
//! breaks rows of that rule and no other.
//!
//! The truth comes from the judge, which knows no rows, and from limits set one notch on
//! either side of what a plan needs. Whether the program's optimum is the search's is asked
//! in `solvers.rs`.

use std::collections::BTreeSet;
use std::path::Path;

use scant::engine::{Limits, Outcome, solve};
use scant::larder::{
    CapBy, Contents, CreditRule, Credited, Larder, NANO, Nutrient, NutrientRule, Pack, Per, Pin,
    RecipeId, Target,
};
use scant::plan::{Lot, Opening, Plan};
use scant::program::{self, Kind, Ratio};
use scant::rules::{Tally, judge};

fn kitchen(name: &str) -> Larder {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    let read = scant::kitchen::read_dir(&folder.join(name));
    let faults = read.faults;
    read.larder.unwrap_or_else(|| panic!("{name}: {faults:#?}"))
}

fn best(larder: &Larder) -> (Plan, Tally) {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match solve(larder, &limits).expect("the search keeps its promises") {
        (Outcome::Best(solved), _) => (solved.plan, solved.tally),
        (other, _) => panic!("no best week: {other:?}"),
    }
}

fn values(larder: &Larder, plan: &Plan, settled: &[i128]) -> (program::Program, Vec<Ratio>) {
    let program = program::build(larder, settled);
    let week = program::certificate(larder, &program, plan);
    let values = week.into_iter().map(|(_, value)| value).collect();
    (program, values)
}

/// Codes of the rows that `plan` breaks.
fn rows_broken(larder: &Larder, plan: &Plan) -> BTreeSet<&'static str> {
    let (program, values) = values(larder, plan, &[]);
    let broken = program::check(&program, &values).into_iter();
    broken.map(|broken| broken.code).collect()
}

/// Codes of what the judge finds.
fn findings(larder: &Larder, plan: &Plan) -> BTreeSet<&'static str> {
    let found = judge(larder, plan).err().unwrap_or_default();
    found.into_iter().map(|finding| finding.code).collect()
}

/// Both agree that `plan` breaks exactly the rule of this code.
fn breaks_exactly(larder: &Larder, plan: &Plan, code: &'static str) {
    assert_eq!(findings(larder, plan), [code].into(), "the judge");
    assert_eq!(rows_broken(larder, plan), [code].into(), "the program");
}

/// Both agree that `plan` breaks nothing.
fn breaks_nothing(larder: &Larder, plan: &Plan) {
    assert_eq!(findings(larder, plan), [].into(), "the judge");
    assert_eq!(rows_broken(larder, plan), [].into(), "the program");
}

fn changed(larder: &Larder, change: impl FnOnce(&mut Contents)) -> Larder {
    larder.changed(change).expect("a sound larder")
}

/// Sets one rule at, and one notch past, what the best week needs.
fn at_the_limit(name: &str, code: &'static str, set: impl Fn(&mut Contents, &Plan, &Tally, i64)) {
    let larder = kitchen(name);
    let (plan, tally) = best(&larder);
    let at = |notch| changed(&larder, |new| set(new, &plan, &tally, notch));
    breaks_nothing(&at(0), &plan);
    breaks_exactly(&at(1), &plan, code);
}

#[test]
fn a_best_week_holds_every_row_and_has_the_judges_objective() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    for entry in std::fs::read_dir(folder).expect("the stored kitchens are there") {
        let name = entry.expect("an entry").file_name();
        let name = name.to_string_lossy();
        if name == "impossible" {
            continue;
        }
        let larder = kitchen(&name);
        let (plan, tally) = best(&larder);
        let mut settled = Vec::new();
        for aim in &larder.wishes.order {
            let (program, values) = values(&larder, &plan, &settled);
            assert_eq!(program::check(&program, &values), [], "{name} {aim:?}");
            settled.push(whole(program::objective(&program, &values)));
        }
        let (program, values) = values(&larder, &plan, &settled);
        assert_eq!(program::check(&program, &values), [], "{name}");
        let objective = whole(program::objective(&program, &values));
        assert_eq!(objective, i128::from(tally.objective_nano), "{name}");
    }
}

fn whole(value: Ratio) -> i128 {
    assert!(value.is_whole(), "a sum of whole milligrams is whole");
    value.over
}

#[test]
fn an_aim_settled_lower_than_the_week_reaches_is_a_broken_row() {
    let larder = kitchen("strict-order");
    let (plan, tally) = best(&larder);
    let foods = i128::from(tally.foods * NANO);
    let (program, week) = values(&larder, &plan, &[foods]);
    assert_eq!(program::check(&program, &week), []);
    let (program, week) = values(&larder, &plan, &[foods - 1]);
    let broken = program::check(&program, &week);
    assert_eq!(broken.len(), 1);
    assert_eq!(broken[0].code, "settled-aim");
}

#[test]
fn the_cap_holds_at_the_number_of_foods_and_breaks_below() {
    at_the_limit("plain-packs", "over-cap", |larder, _, tally, notch| {
        larder.wishes.cap = Some(tally.foods - notch);
    });
}

#[test]
fn the_cap_by_families_holds_at_their_number_and_breaks_below() {
    at_the_limit("family-cap", "over-cap", |larder, _, tally, notch| {
        larder.wishes.cap = Some(tally.families - notch);
        larder.wishes.cap_by = CapBy::Families;
    });
}

#[test]
fn the_budget_holds_at_the_price_of_the_packs_and_breaks_below() {
    at_the_limit("plain-packs", "over-budget", |larder, _, tally, notch| {
        larder.wishes.budget_minor = Some(tally.packs_minor - notch);
    });
}

#[test]
fn minutes_hold_to_the_last_billionth() {
    // Only recipes without components: the day's minutes are the recipe's.
    at_the_limit("plain-packs", "over-minutes", |larder, plan, _, notch| {
        let recipe = &larder.recipes[plan.lunches[1].recipe.index()];
        larder.wishes.minutes_nano[2] = Some(recipe.minutes_nano - notch);
    });
}

/// Minutes at which the cook stays, of the batches of the prep day of the kitchen `kitchen-time`:
/// rice holds the burner for all of its 40, tofu the oven for what the press leaves of its 25.
fn watched_on_the_prep_day(larder: &Contents, plan: &Plan) -> i64 {
    let batches = plan.batches.iter().filter(|batch| batch.day == 0);
    let minutes =
        batches.map(
            |batch| match larder.components[batch.component.index()].name.as_str() {
                "cooked rice" => 40,
                "baked tofu" => 15,
                "lentil stew" => 25,
                _ => 0,
            },
        );
    minutes.sum::<i64>() * NANO
}

#[test]
fn minutes_in_the_kitchen_hold_to_the_last_billionth() {
    let code = "over-kitchen-minutes";
    at_the_limit("kitchen-time", code, |larder, plan, _, notch| {
        let active: i64 = plan
            .batches
            .iter()
            .filter(|batch| batch.day == 0)
            .map(|batch| {
                let component = &larder.components[batch.component.index()];
                let served: i64 = batch.serves.iter().map(|&(_, mg)| mg).sum();
                component.batch_minutes_nano + component.minutes_per_mg_nano * served
            })
            .sum();
        let watched = watched_on_the_prep_day(larder, plan);
        assert!(watched > 0, "something is watched on the prep day");
        larder.wishes.minutes_nano.fill(None);
        larder.wishes.kitchen_minutes_nano.fill(None);
        larder.wishes.kitchen_minutes_nano[0] = Some(active + watched - notch);
    });
}

#[test]
fn a_batch_on_a_day_without_cooking_breaks_its_row() {
    at_the_limit(
        "kitchen-time",
        "not-a-cooking-day",
        |larder, plan, _, notch| {
            let cooked = |day: u8| plan.batches.iter().any(|batch| batch.day == day);
            assert!(cooked(0), "something is cooked on the prep day");
            let days =
                (0..=larder.week.lunches).filter(|&day| cooked(day) && i64::from(day) >= notch);
            larder.wishes.cook_on = Some(days.collect());
        },
    );
}

/// What a portion of a lunch holds of a nutrient, rounded towards the limit.
fn energy_of(larder: &Contents, plan: &Plan, lunch: usize) -> i64 {
    let lunch = &plan.lunches[lunch];
    let lines = &larder.recipes[lunch.recipe.index()].lines;
    let sum: i64 = lines
        .iter()
        .zip(&lunch.taken)
        .map(|(line, &taken)| {
            let alternative = &line.alternatives[usize::from(taken)];
            let foods = match alternative.what {
                scant::larder::Ingredient::Food(food) => vec![(food, alternative.mg)],
                scant::larder::Ingredient::Component(id) => {
                    larder.component_foods(id, alternative.mg)
                }
            };
            foods
                .into_iter()
                .map(|(food, mg)| {
                    let energy = Nutrient::Energy.index();
                    mg * larder.foods[food.index()].nutrients_milli[energy].unwrap_or(0)
                })
                .sum::<i64>()
        })
        .sum();
    sum / 100_000
}

fn energy(per: Per, at_least: Option<i64>, at_most: Option<i64>) -> NutrientRule {
    NutrientRule {
        nutrient: Nutrient::Energy,
        per,
        at_least_milli: at_least,
        at_most_milli: at_most,
        source: "a figure of this test".into(),
    }
}

#[test]
fn a_lunch_holds_a_floor_it_reaches_and_breaks_a_higher_one() {
    at_the_limit(
        "plain-packs",
        "lunch-below-floor",
        |larder, plan, _, notch| {
            let all = (0..plan.lunches.len()).map(|lunch| energy_of(larder, plan, lunch));
            let least = all.min().expect("five lunches");
            larder.wishes.nutrition = vec![energy(Per::Lunch, Some(least + notch), None)];
        },
    );
}

#[test]
fn a_lunch_holds_a_ceiling_above_it_and_breaks_a_lower_one() {
    at_the_limit(
        "minutes-a-day",
        "lunch-above-ceiling",
        |larder, plan, _, notch| {
            let all = (0..plan.lunches.len()).map(|lunch| energy_of(larder, plan, lunch));
            let most = all.max().expect("five lunches");
            larder.wishes.nutrition = vec![energy(Per::Lunch, None, Some(most + 1 - 2 * notch))];
        },
    );
}

#[test]
fn the_week_holds_a_mean_it_reaches_and_breaks_a_higher_one() {
    at_the_limit("nutrition", "week-below-floor", |larder, plan, _, notch| {
        let all = (0..plan.lunches.len()).map(|lunch| energy_of(larder, plan, lunch));
        let mean = all.sum::<i64>() / 5;
        // Each lunch is rounded down by less than one thousandth.
        larder.wishes.nutrition = vec![energy(Per::Week, Some(mean + 2 * notch), None)];
    });
}

#[test]
fn the_week_holds_a_mean_below_a_ceiling_and_breaks_a_lower_one() {
    at_the_limit(
        "nutrition",
        "week-above-ceiling",
        |larder, plan, _, notch| {
            let all = (0..plan.lunches.len()).map(|lunch| energy_of(larder, plan, lunch));
            let mean = all.sum::<i64>() / 5 + 2;
            larder.wishes.nutrition = vec![energy(Per::Week, None, Some(mean - 3 * notch))];
        },
    );
}

/// 100 g of any food count as one: what a portion of each lunch weighs, in millionths of 100 g.
fn weights(larder: &Contents, plan: &Plan) -> Vec<i64> {
    let of = |lunch: &scant::plan::Lunch| -> i64 {
        let lines = &larder.recipes[lunch.recipe.index()].lines;
        let taken = lines.iter().zip(&lunch.taken);
        let masses = taken.map(|(line, &taken)| {
            let alternative = &line.alternatives[usize::from(taken)];
            match alternative.what {
                scant::larder::Ingredient::Food(_) => alternative.mg,
                scant::larder::Ingredient::Component(id) => {
                    let foods = larder.component_foods(id, alternative.mg);
                    foods.into_iter().map(|(_, mg)| mg).sum()
                }
            }
        });
        masses.sum::<i64>() * 10
    };
    plan.lunches.iter().map(of).collect()
}

fn weight(larder: &mut Contents, per: Per, at_least: Option<i64>, at_most: Option<i64>) {
    larder.wishes.credits = vec![CreditRule {
        what: Credited::Group {
            name: "anything".into(),
            unit: "100 g".into(),
        },
        per,
        at_least_micro: at_least,
        at_most_micro: at_most,
        source: "a figure of this test".into(),
        figures_micro: vec![1_000_000; larder.foods.len()],
    }];
}

#[test]
fn food_groups_hold_at_what_a_lunch_gives_and_break_a_millionth_past_it() {
    let name = "minutes-a-day";
    at_the_limit(name, "lunch-lacks-credit", |larder, plan, _, notch| {
        let least = weights(larder, plan).into_iter().min().expect("lunches");
        weight(larder, Per::Lunch, Some(least + notch), None);
    });
    at_the_limit(name, "lunch-over-credit", |larder, plan, _, notch| {
        let most = weights(larder, plan).into_iter().max().expect("lunches");
        weight(larder, Per::Lunch, None, Some(most - notch));
    });
}

#[test]
fn food_groups_hold_at_what_a_week_gives_and_break_a_millionth_past_it() {
    at_the_limit(
        "nutrition",
        "week-lacks-credit",
        |larder, plan, _, notch| {
            let sum = weights(larder, plan).into_iter().sum::<i64>();
            weight(larder, Per::Week, Some(sum + notch), None);
        },
    );
    at_the_limit("nutrition", "week-over-credit", |larder, plan, _, notch| {
        let sum = weights(larder, plan).into_iter().sum::<i64>();
        weight(larder, Per::Week, None, Some(sum - notch));
    });
}

#[test]
fn a_share_of_energy_holds_while_any_is_left_and_breaks_at_nothing() {
    for (per, code) in [
        (Per::Lunch, "lunch-over-energy-share"),
        (Per::Week, "week-over-energy-share"),
    ] {
        at_the_limit("plain-packs", code, |larder, _, _, notch| {
            weight(larder, per, Some(1), None);
            let rule = &mut larder.wishes.credits[0];
            rule.what = Credited::EnergyShare {
                nutrient: Nutrient::Fat,
                below_percent: 30,
            };
            rule.figures_micro.fill(1 - notch);
        });
    }
}

/// Most lunches that share what `of` says.
fn most_alike<T: PartialEq>(plan: &Plan, of: impl Fn(RecipeId) -> T) -> i64 {
    let all: Vec<T> = plan.lunches.iter().map(|lunch| of(lunch.recipe)).collect();
    let counts = all
        .iter()
        .map(|one| all.iter().filter(|x| *x == one).count());
    counts.max().expect("five lunches") as i64
}

#[test]
fn forms_hold_at_their_number_and_break_below() {
    at_the_limit(
        "plain-packs",
        "too-many-of-a-form",
        |larder, plan, _, notch| {
            let most = most_alike(plan, |recipe| larder.recipes[recipe.index()].form);
            larder.wishes.per_form = Some(most - notch);
        },
    );
}

#[test]
fn proteins_hold_at_their_number_and_break_below() {
    at_the_limit(
        "plain-packs",
        "too-many-of-a-protein",
        |larder, plan, _, notch| {
            let most = most_alike(plan, |recipe| larder.recipes[recipe.index()].protein);
            larder.wishes.per_protein = Some(most - notch);
        },
    );
}

#[test]
fn one_form_on_neighbouring_days_breaks_the_rule_on_neighbours() {
    let larder = kitchen("plain-packs");
    let (mut plan, _) = best(&larder);
    let mut larder = Contents::clone(&larder);
    larder.wishes.form_never_adjacent = true;
    // Make the first two lunches one form, and no other two neighbours.
    for (day, lunch) in plan.lunches.iter_mut().enumerate() {
        let form = scant::larder::FormId::new(day.saturating_sub(1) % 2);
        larder.recipes[lunch.recipe.index()].form = form;
    }
    let larder = Larder::checked(larder).expect("a sound larder");
    breaks_exactly(&larder, &plan, "same-form-side-by-side");
}

#[test]
fn two_recipes_alike_break_the_week_and_neighbours_the_day() {
    let sameness = |larder: &Contents, a: RecipeId, b: RecipeId| {
        scant::larder::sameness::Sameness::new(larder).milli(a, b)
    };
    at_the_limit("sameness", "too-alike", |larder, plan, _, notch| {
        let lunches = &plan.lunches;
        let pairs = (0..5).flat_map(|a| (0..a).map(move |b| (a, b)));
        let most = pairs.map(|(a, b)| sameness(larder, lunches[a].recipe, lunches[b].recipe));
        let most = most.max().expect("ten pairs");
        larder.wishes.sameness_milli = Some(most - notch);
        larder.wishes.sameness_adjacent_milli = None;
    });
    at_the_limit(
        "sameness",
        "too-alike-side-by-side",
        |larder, plan, _, notch| {
            let lunches = &plan.lunches;
            let most = (1..5).map(|b| sameness(larder, lunches[b - 1].recipe, lunches[b].recipe));
            let most = most.max().expect("four pairs");
            larder.wishes.sameness_milli = None;
            larder.wishes.sameness_adjacent_milli = Some(most - notch);
        },
    );
}

#[test]
fn a_ban_breaks_a_week_that_uses_what_it_names() {
    let larder = kitchen("plain-packs");
    let (plan, _) = best(&larder);
    let without = |ban| changed(&larder, |new| new.wishes.without = vec![ban]);
    let recipe = plan.lunches[2].recipe;
    breaks_exactly(&without(Target::Recipe(recipe)), &plan, "banned");
    let scant::plan::Lot::Bought(pack, _) = plan.openings[0].lot else {
        panic!("this kitchen has nothing on hand");
    };
    let food = larder.packs[pack.index()].food;
    breaks_exactly(&without(Target::Food(food)), &plan, "banned");
}

#[test]
fn a_pin_breaks_a_week_without_what_it_names() {
    let larder = kitchen("plain-packs");
    let (plan, _) = best(&larder);
    let with = |pin| changed(&larder, |new| new.wishes.with = vec![pin]);
    let first = plan.lunches[0].recipe;
    breaks_nothing(&with(Pin::Recipe(first, Some(1))), &plan);
    breaks_exactly(&with(Pin::Recipe(first, Some(2))), &plan, "pin-missing");
    let used: BTreeSet<_> = plan
        .purchases
        .iter()
        .map(|bought| larder.packs[bought.pack.index()].food)
        .collect();
    let foods = (0..larder.foods.len()).map(scant::larder::FoodId::new);
    let unused = foods
        .filter(|food| !larder.foods[food.index()].staple)
        .find(|food| !used.contains(food))
        .expect("a food this week does without");
    breaks_exactly(&with(Pin::Food(unused, None)), &plan, "pin-missing");
}

#[test]
fn a_recipe_on_a_shut_day_or_too_often_breaks_its_rule() {
    let larder = kitchen("plain-packs");
    let (plan, _) = best(&larder);
    let shut = plan.lunches[3].recipe.index();
    let larder = changed(&larder, |new| new.recipes[shut].days[3] = false);
    breaks_exactly(&larder, &plan, "not-served-that-day");
    let larder = changed(&kitchen("repeats"), |new| new.wishes.sameness_milli = None);
    let (plan, _) = best(&larder);
    let times = most_alike(&plan, |recipe| recipe);
    let repeating = |times| changed(&larder, |new| new.wishes.repeats = times);
    breaks_nothing(&repeating(times), &plan);
    assert!(times > 1, "the best week repeats a recipe");
    let larder = repeating(times - 1);
    let code = "served-too-often";
    assert!(findings(&larder, &plan).contains(code));
    // With no repeats the program also ties each recipe to its foods, which holds here.
    assert!(rows_broken(&larder, &plan).contains(code));
}

#[test]
fn a_gram_less_drawn_leaves_a_use_unmet() {
    let larder = kitchen("plain-packs");
    let (mut plan, _) = best(&larder);
    plan.openings[0].draws[0].1 -= 1_000;
    breaks_exactly(&larder, &plan, "use-not-met");
}

#[test]
fn a_batch_left_out_leaves_a_component_unmet() {
    let larder = kitchen("minutes-a-day");
    let (mut plan, _) = best(&larder);
    plan.batches.remove(0);
    let code = "component-not-met";
    assert!(findings(&larder, &plan).contains(code), "the judge");
    assert!(rows_broken(&larder, &plan).contains(code), "the program");
}

#[test]
fn a_unit_more_than_was_bought_breaks_the_shelf() {
    let larder = kitchen("plain-packs");
    let (mut plan, _) = best(&larder);
    // A unit that opening makes shorter-lived: otherwise no opening is decided.
    let short_lived = |lot: &scant::plan::Lot| match lot {
        scant::plan::Lot::Bought(pack, _) => larder.packs[pack.index()].open_life < 4,
        scant::plan::Lot::Stock(_) => false,
    };
    let mut openings = plan.openings.iter_mut();
    let opening = openings.find(|opening| short_lived(&opening.lot));
    let opening = opening.expect("tubs and tins are opened");
    // As many more as were bought, each drawn from by what the first are drawn from.
    opening.units *= 2;
    breaks_exactly_or_with_its_remainder(&larder, &plan, "more-units-than-bought");
}

/// As `breaks_exactly`; what is left of units that were never bought is less than nothing,
/// which the program says as well.
fn breaks_exactly_or_with_its_remainder(larder: &Larder, plan: &Plan, code: &'static str) {
    assert_eq!(findings(larder, plan), [code].into(), "the judge");
    let mut broken = rows_broken(larder, plan);
    broken.remove("bounds");
    assert_eq!(broken, [code].into(), "the program");
}

/// The best weeks of the stored kitchens.
fn weeks() -> Vec<(Larder, Plan)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    let entries = std::fs::read_dir(folder).expect("the stored kitchens are there");
    let names = entries.map(|entry| entry.expect("an entry").file_name());
    let names = names.filter(|name| name != "impossible");
    names
        .map(|name| {
            let larder = kitchen(&name.to_string_lossy());
            let (plan, _) = best(&larder);
            (larder, plan)
        })
        .collect()
}

/// A number of days that the week needs and no more breaks nothing, one beside it a rule. A day on
/// which nothing may be taken has no column, so the row that is broken is that of the use.
fn days_hold(
    larder: &Larder,
    plan: &Plan,
    code: &'static str,
    (need, beside): (i32, i32),
    set: impl Fn(&mut Contents, i32),
) -> usize {
    let with = |days| larder.changed(|new| set(new, days));
    let (Ok(enough), Ok(past)) = (with(need), with(beside)) else {
        return 0;
    };
    breaks_nothing(&enough, plan);
    assert_eq!(findings(&past, plan), [code].into(), "the judge");
    let broken = rows_broken(&past, plan);
    assert!(!broken.is_empty(), "the program lets {code} pass");
    1
}

#[test]
fn a_batch_eaten_a_day_past_its_keeping_time_breaks_a_row() {
    let mut asked = 0;
    for (larder, plan) in weeks() {
        for component in plan.batches.iter().map(|batch| batch.component) {
            let batches = plan.batches.iter().filter(|b| b.component == component);
            let eaten = batches
                .flat_map(|batch| batch.serves.iter().map(|&(day, _)| day - batch.day))
                .max();
            let keeps = i32::from(eaten.expect("a batch serves a lunch"));
            let code = "past-keeping-time";
            asked += days_hold(&larder, &plan, code, (keeps, keeps - 1), |new, days| {
                new.components[component.index()].keeps = days;
            });
        }
    }
    assert!(asked >= 5, "{asked} batches");
}

#[test]
fn a_unit_opened_or_eaten_a_day_beside_its_days_breaks_a_row() {
    let mut asked = [0; 3];
    for (larder, plan) in weeks() {
        let bought = |opening: &Opening| match opening.lot {
            Lot::Bought(pack, trip) => Some((pack, larder.week.trips[usize::from(trip)].day)),
            Lot::Stock(_) => None,
        };
        for pack in plan.openings.iter().filter_map(bought).map(|lot| lot.0) {
            let of_pack = || {
                plan.openings
                    .iter()
                    .filter(|o| bought(o).is_some_and(|lot| lot.0 == pack))
            };
            let opened = || of_pack().map(|o| i32::from(o.day - bought(o).expect("a pack").1));
            let (first, last) = (opened().min().expect("one"), opened().max().expect("one"));
            let open = of_pack().flat_map(|o| o.draws.iter().map(|&(day, _)| day - o.day));
            let open = i32::from(open.max().expect("drawn from"));
            let hold = |code, need, set: fn(&mut Pack, i32)| {
                let place = pack.index();
                days_hold(&larder, &plan, code, need, |new, days| {
                    set(&mut new.packs[place], days);
                })
            };
            asked[0] += hold("drawn-after-good-day", (open, open - 1), |pack, days| {
                pack.open_life = days;
            });
            asked[1] += hold("opened-too-late", (last, last - 1), |pack, days| {
                pack.ready_to = days;
            });
            asked[2] += hold("opened-before-ripe", (first, first + 1), |pack, days| {
                pack.ready_from = days;
            });
        }
    }
    assert!(asked.iter().all(|&asked| asked >= 5), "{asked:?} packs");
}

#[test]
fn numbers_of_a_row_stay_within_six_orders_of_magnitude() {
    for name in ["everything", "minutes-a-day", "nutrition", "ripening-fruit"] {
        let program = program::build(&kitchen(name), &[]);
        for row in &program.rows {
            let sizes = row.terms.iter().map(|&(_, nano)| nano.unsigned_abs());
            let (least, most) = (sizes.clone().min(), sizes.max());
            if let (Some(least), Some(most)) = (least, most) {
                assert!(
                    most / least <= 1_000_000,
                    "{name}: {} {least} {most}",
                    row.name
                );
            }
        }
    }
}

#[test]
fn names_are_unique_and_plain() {
    let program = program::build(&kitchen("everything"), &[]);
    let names = || {
        let columns = program.columns.iter().map(|column| &column.name);
        columns.chain(program.rows.iter().map(|row| &row.name))
    };
    assert_eq!(names().collect::<BTreeSet<_>>().len(), names().count());
    for name in names() {
        let plain = |letter: char| letter.is_ascii_alphanumeric() || "._".contains(letter);
        assert!(name.chars().all(plain), "{name}");
        assert!(
            name.starts_with(|letter: char| letter.is_ascii_lowercase()),
            "{name}"
        );
    }
}

#[test]
fn the_same_kitchen_gives_the_same_text() {
    let texts = || {
        let program = program::build(&kitchen("everything"), &[]);
        (program::mps(&program), program::lp(&program))
    };
    assert_eq!(texts(), texts());
}

#[test]
fn every_use_of_a_food_is_below_buying_it() {
    // The tight links: no row puts a large constant beside a food that is taken.
    let program = program::build(&kitchen("plain-packs"), &[]);
    let links: Vec<_> = program
        .rows
        .iter()
        .filter(|row| row.code == "food-not-bought")
        .collect();
    assert!(!links.is_empty());
    for row in links {
        let one = i128::from(NANO);
        assert!(
            row.terms
                .iter()
                .all(|&(_, nano)| nano == one || nano == -one)
        );
        let whole = |column: usize| program.columns[column].kind == Kind::Binary;
        assert!(row.terms.iter().all(|&(column, _)| whole(column)));
    }
}
