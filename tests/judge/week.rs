//! Asks whether days, repeats, minutes, cap, budget and pins hold to the very limit.

use super::boatyard::{
    AVOCADO, GREEN_BOWL, RICE, SPINACH_SOUP, TOFU, TOFU_BOWL, TOFU_WRAP, basket, opened, opening,
};
use super::boatyard::{SALT, TORTILLA, bought};
use super::{accepted, at_the_limit, refusals};
use scant::larder::{CapBy, Contents, Pin};
use scant::plan::Plan;

/// Thursday repeats Tuesday's tofu wrap: three more portions of 75 g tofu from a second
/// block, no avocado, no spinach on Thursday.
fn tofu_wrap_twice(_: &mut Contents, plan: &mut Plan) {
    plan.lunches[3] = plan.lunches[1].clone();
    plan.openings[opened::SPINACH].draws.pop();
    plan.purchases[basket::TOFU].count = 2;
    let second = opening(bought(TOFU, 0), 4, &[(4, 225_000)]);
    plan.openings.insert(opened::TOFU + 1, second);
    plan.openings.remove(opened::AVOCADO);
    plan.purchases.remove(basket::AVOCADO);
}

refusals! {
    a_lunch_on_a_day_it_is_not_for_is_refused is "not-served-that-day": |larder, _| {
        larder.recipes[TOFU_BOWL.index()].days = vec![false, true, true, true];
    };
    a_repeat_beyond_the_limit_is_refused is "served-too-often": tofu_wrap_twice;
    a_day_over_its_minutes_is_refused is "over-minutes": |larder, _| {
        larder.wishes.minutes_nano[2] = Some(16_899_999_999);
    };
    a_last_day_over_its_minutes_is_refused is "over-minutes": |larder, _| {
        larder.wishes.minutes_nano[4] = Some(6_999_999_999);
    };
    a_prep_day_over_its_minutes_is_refused is "over-minutes": |larder, _| {
        larder.wishes.minutes_nano[0] = Some(11_299_999_999);
    };
    // Sunday: rice 11.3 active and 35 by the pot. Tuesday: wrap 6, rice 10.9 and 35.
    a_prep_day_over_its_time_in_the_kitchen_is_refused is "over-kitchen-minutes": |larder, _| {
        larder.wishes.kitchen_minutes_nano[0] = Some(46_299_999_999);
    };
    a_morning_over_its_time_in_the_kitchen_is_refused is "over-kitchen-minutes": |larder, _| {
        larder.wishes.kitchen_minutes_nano[2] = Some(51_899_999_999);
    };
    a_batch_on_a_day_without_cooking_is_refused is "not-a-cooking-day": |larder, _| {
        larder.wishes.cook_on = Some(vec![0, 1, 3, 4]);
    };
    five_foods_are_refused_when_the_cap_is_four is "over-cap": |larder, _| {
        larder.wishes.cap = Some(4);
    };
    four_families_are_refused_when_the_cap_is_three is "over-cap": |larder, _| {
        larder.wishes.cap = Some(3);
        larder.wishes.cap_by = CapBy::Families;
    };
    a_cent_over_the_budget_is_refused is "over-budget": |larder, _| {
        larder.wishes.budget_minor = Some(1_070);
    };
    // A second block of tofu: without it the week costs as much.
    two_packs_of_a_kind_count_twice_against_the_budget is "over-budget": |larder, plan| {
        plan.purchases[basket::TOFU].count = 2;
        larder.wishes.budget_minor = Some(1_071);
    };
    a_pinned_recipe_left_out_is_refused is "pin-missing": |larder, _| {
        larder.wishes.with = vec![Pin::Recipe(SPINACH_SOUP, None)];
    };
    a_pinned_recipe_on_another_day_is_refused is "pin-missing": |larder, _| {
        larder.wishes.with = vec![Pin::Recipe(TOFU_WRAP, Some(3))];
    };
    a_pinned_food_on_another_day_is_refused is "pin-missing": |larder, _| {
        larder.wishes.with = vec![Pin::Food(TOFU, Some(3))];
    };
    a_food_pinned_on_its_cooking_day_is_refused is "pin-missing": |larder, _| {
        larder.wishes.with = vec![Pin::Food(RICE, Some(2))];
    };
}

at_the_limit! {
    as_many_repeats_as_allowed_are_accepted: |larder, plan| {
        tofu_wrap_twice(larder, plan);
        larder.wishes.repeats = 2;
    };
    // Tuesday: wrap 6, rice 10 + 0.45 kg x 2 = 10.9. Sunday: 10 + 0.65 x 2 = 11.3.
    exactly_the_minutes_of_each_day_are_accepted: |larder, _| {
        larder.wishes.minutes_nano = [11_300, 5_000, 16_900, 4_000, 7_000]
            .map(|milli: i64| Some(milli * 1_000_000))
            .into();
    };
    exactly_the_time_in_the_kitchen_of_each_day_is_accepted: |larder, _| {
        larder.wishes.kitchen_minutes_nano = [46_300, 5_000, 51_900, 4_000, 7_000]
            .map(|milli: i64| Some(milli * 1_000_000))
            .into();
    };
    // Nothing is held while it goes on: the cook need not stay.
    what_holds_nothing_is_not_watched: |larder, _| {
        larder.components[0].needs.clear();
        larder.wishes.kitchen_minutes_nano[0] = Some(11_300_000_000);
    };
    batches_on_the_days_for_cooking_are_accepted: |larder, _| {
        larder.wishes.cook_on = Some(vec![0, 2]);
    };
    five_foods_are_accepted_when_the_cap_is_five: |larder, _| larder.wishes.cap = Some(5);
    four_families_are_accepted_when_the_cap_is_four: |larder, _| {
        larder.wishes.cap = Some(4);
        larder.wishes.cap_by = CapBy::Families;
    };
    exactly_the_budget_is_accepted: |larder, _| larder.wishes.budget_minor = Some(1_071);
    two_packs_of_a_kind_cost_no_more_than_twice_the_price: |larder, plan| {
        plan.purchases[basket::TOFU].count = 2;
        larder.wishes.budget_minor = Some(1_071 + 227);
    };
    pins_that_appear_on_their_days_are_accepted: |larder, _| {
        larder.wishes.with = vec![
            Pin::Recipe(GREEN_BOWL, None),
            Pin::Recipe(TOFU_WRAP, Some(2)),
            Pin::Food(AVOCADO, Some(4)),
            Pin::Food(TORTILLA, None),
            // Through the cooked rice, on the day it is eaten.
            Pin::Food(RICE, Some(3)),
            Pin::Food(SALT, Some(1)),
        ];
    };
}

#[test]
fn a_watched_minute_costs_what_is_asked_for_it() {
    let plain = accepted(|_, _| {});
    let priced = accepted(|larder, _| larder.wishes.watch_price_minor = 3);
    // Two batches of rice, 35 minutes by the pot each.
    assert_eq!(
        (plain.watched_nano, priced.watched_nano),
        (0, 70_000_000_000)
    );
    assert_eq!(
        priced.objective_nano,
        plain.objective_nano + 210_000_000_000
    );
    assert_eq!(priced.minutes_nano, plain.minutes_nano);
}

#[test]
fn a_recipes_price_is_paid_on_its_days_and_for_no_other_recipe() {
    // The tofu wrap is served on Tuesday; without a price for it the week has -5 for its forms.
    for (days, paid) in [
        (vec![2], 3),
        (vec![2, 3], 3),
        (vec![1, 2, 3, 4], 3),
        (vec![1], 0),
        (vec![1, 3, 4], 0),
    ] {
        let tally = accepted(|larder, _| larder.wishes.preferences[1].days = days.clone());
        assert_eq!(tally.preferences_minor, paid - 5, "{days:?}");
    }
}

#[test]
fn a_second_block_is_one_food_and_two_prices() {
    let tally = accepted(|larder, plan| {
        tofu_wrap_twice(larder, plan);
        larder.wishes.repeats = 2;
    });
    assert_eq!((tally.foods, tally.families), (4, 3));
    // Without the avocado's 120, with a second block's 227.
    assert_eq!(tally.packs_minor, 1_071 - 120 + 227);
}

#[test]
fn a_week_without_its_second_trip_pays_for_no_later_trip() {
    // Spinach for Wednesday and Thursday bought on Sunday, were it good so long.
    let tally = accepted(|larder, plan| {
        let spinach = &mut larder.packs[4];
        (spinach.ready_to, spinach.end) = (5, 5);
        plan.purchases[basket::SPINACH].trip = 0;
        plan.openings[opened::SPINACH].lot = bought(super::boatyard::SPINACH, 0);
    });
    assert_eq!(tally.later_trips, 0);
    assert_eq!(tally.objective_nano, (1_494_994_076 - 50_000_000) * 1_000);
}

#[test]
fn a_second_trip_is_one_trip_however_much_it_buys() {
    // Spinach and tortillas on Tuesday; between them in the list stands tofu of Sunday.
    let tally = accepted(|_, plan| {
        plan.purchases[basket::TORTILLA].trip = 1;
        plan.openings[opened::TORTILLA_TUESDAY].lot = bought(TORTILLA, 1);
        plan.openings[opened::TORTILLA_THURSDAY].lot = bought(TORTILLA, 1);
    });
    assert_eq!(tally.later_trips, 1);
}
