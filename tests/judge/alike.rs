//! Asks whether forms, proteins and sameness are counted exactly.
//!
//! Vectors in grams (rice, spinach, tofu, tortilla, avocado), by hand:
//! tofu rice bowl (60, 10, 100, 0, 0), tofu wrap (0, 0, 75, 49, 0), green rice bowl
//! (80, 30, 0, 0, 0), avocado wrap (0, 20, 0, 49, 40). Salt and oil are staples.
//! - bowl and tofu wrap: 7500 / sqrt(13700 x 8026) = 0.71524
//! - the two bowls: 5100 / sqrt(13700 x 7300) = 0.50997
//! - the two wraps: 2401 / sqrt(8026 x 4401) = 0.40399

use super::boatyard::{
    self, AVOCADO_WRAP, BOWL, GREEN_BOWL, RICE, SALT, SPINACH_SOUP, TOFU_BOWL, TOFU_WRAP, bare,
    basket, food, of, opened, pack, recipe,
};
use super::{at_the_limit, refusals};
use scant::larder::sameness::{Sameness, exceeds};
use scant::larder::{FoodId, RecipeId};

refusals! {
    two_bowls_are_refused_when_one_is_allowed is "too-many-of-a-form": |larder, _| {
        larder.recipes[AVOCADO_WRAP.index()].form = boatyard::SOUP;
        larder.wishes.per_form = Some(1);
    };
    a_bowl_between_two_bowls_is_refused is "same-form-side-by-side": |larder, _| {
        larder.recipes[TOFU_WRAP.index()].form = BOWL;
        larder.wishes.form_never_adjacent = true;
    };
    two_lunches_of_tofu_are_refused_when_one_is_allowed is "too-many-of-a-protein":
        |larder, _| larder.wishes.per_protein = Some(1);
    two_lunches_more_alike_than_allowed_are_refused is "too-alike": |larder, _| {
        larder.wishes.sameness_milli = Some(715);
    };
    neighbours_more_alike_than_allowed_are_refused is "too-alike-side-by-side": |larder, _| {
        larder.wishes.sameness_adjacent_milli = Some(715);
    };
}

at_the_limit! {
    two_of_each_form_are_accepted_when_two_are_allowed: |larder, _| {
        larder.wishes.per_form = Some(2);
        larder.wishes.form_never_adjacent = true;
    };
    two_lunches_of_tofu_are_accepted_when_two_are_allowed: |larder, _| {
        larder.wishes.per_protein = Some(2);
    };
    lunches_as_alike_as_allowed_are_accepted: |larder, _| {
        larder.wishes.sameness_milli = Some(716);
    };
    // Thursday eats Wednesday's green bowl again: 600 g of rice, 90 g of spinach more.
    the_same_lunch_two_days_running_is_not_held_against_itself: |larder, plan| {
        plan.lunches[3] = plan.lunches[2].clone();
        plan.batches[1].serves.push((4, 600_000));
        plan.batches[1].foods = vec![(RICE, 420_000), (SALT, 4_200)];
        plan.openings[opened::RICE].draws[1].1 = 420_000;
        plan.openings[opened::SPINACH].draws[1].1 = 90_000;
        plan.openings[opened::TORTILLA_TUESDAY].draws.pop();
        plan.openings.remove(opened::TORTILLA_THURSDAY);
        plan.openings.remove(opened::AVOCADO);
        plan.purchases.remove(basket::AVOCADO);
        larder.wishes.repeats = 2;
        larder.wishes.sameness_adjacent_milli = Some(716);
        larder.wishes.sameness_milli = Some(716);
    };
    // Tuesday's wrap takes no tofu: its neighbours share nothing with it, and the two
    // bowls, 0.50997 alike, have it between them.
    lunches_a_day_apart_are_not_neighbours: |larder, plan| {
        plan.lunches.swap(1, 3);
        larder.packs[0].ready_from = 2;
        plan.openings[0].day = 2;
        plan.openings[0].draws = vec![(2, 120_000)];
        plan.openings[2].day = 2;
        plan.openings[2].draws = vec![(2, 60_000), (3, 97_500)];
        plan.openings[3].draws = vec![(1, 150_000), (4, 225_000)];
        larder.wishes.sameness_adjacent_milli = Some(500);
    };
}

#[test]
fn sameness_agrees_with_the_cosines_worked_by_hand() {
    let table = Sameness::new(&boatyard::larder());
    for (a, b, rounded_up) in [
        (TOFU_BOWL, TOFU_WRAP, 716),
        (TOFU_BOWL, GREEN_BOWL, 510),
        (TOFU_WRAP, AVOCADO_WRAP, 404),
        (TOFU_WRAP, GREEN_BOWL, 0),
        (TOFU_WRAP, SPINACH_SOUP, 0),
        (TOFU_BOWL, TOFU_BOWL, 1_000),
    ] {
        assert_eq!(table.milli(a, b), rounded_up);
        assert_eq!(table.milli(b, a), rounded_up, "sameness has no direction");
    }
}

/// Of the two sharp angles of the 3-4-5 triangle the difference has the cosine 24/25.
#[test]
fn a_sameness_exactly_at_its_limit_is_not_above_it() {
    for scale in [1, 1_000, 1_000_000_000_000] {
        let mut larder = bare(2);
        larder.foods = [food("beans", 0, None), food("corn", 1, None)].into();
        larder.packs = [pack(FoodId(0), "tin", 1, 1), pack(FoodId(1), "tin", 1, 1)].into();
        larder.recipes = [(3, 4), (4, 3)]
            .map(|(beans, corn)| {
                let lines = vec![of(FoodId(0), beans * scale), of(FoodId(1), corn * scale)];
                recipe("chilli", BOWL, 0, 2, lines)
            })
            .into();
        assert!(!exceeds(&larder, RecipeId(0), RecipeId(1), 960));
        assert!(exceeds(&larder, RecipeId(0), RecipeId(1), 959));
    }
}

#[test]
fn a_recipe_of_staples_alone_is_like_no_other() {
    let mut larder = boatyard::contents();
    larder.recipes[SPINACH_SOUP.index()].lines = vec![of(boatyard::SALT, 1_000)];
    let table = Sameness::new(&larder);
    assert_eq!(table.milli(SPINACH_SOUP, GREEN_BOWL), 0);
    assert_eq!(table.milli(SPINACH_SOUP, SPINACH_SOUP), 0);
}
