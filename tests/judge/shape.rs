//! Asks whether a plan whose lists make no sense is refused for that alone.

use super::boatyard::{OIL, SALT, basket, opened, pack_of};
use super::{judged, refusals};
use scant::larder::{FoodId, PackId, RecipeId, StockId};
use scant::plan::{Lot, Purchase};
use std::collections::BTreeSet;

refusals! {
    a_lunch_short_is_refused is "lunches-miscounted": |_, plan| { plan.lunches.pop(); };
    a_lunch_too_many_is_refused is "lunches-miscounted": |_, plan| {
        plan.lunches.push(plan.lunches[0].clone());
    };
    a_recipe_nobody_wrote_is_refused is "not-in-the-larder": |_, plan| {
        plan.lunches[0].recipe = RecipeId(5);
    };
    a_food_nobody_listed_is_refused is "not-in-the-larder": |_, plan| {
        plan.batches[0].foods.push((FoodId(7), 1));
    };
    a_pack_nobody_sells_is_refused is "not-in-the-larder": |_, plan| {
        plan.purchases[basket::TORTILLA].pack = PackId(7);
    };
    a_trip_nobody_makes_is_refused is "not-in-the-larder": |_, plan| {
        plan.purchases[basket::SPINACH].trip = 2;
    };
    a_unit_nobody_owns_is_refused is "not-in-the-larder": |_, plan| {
        plan.openings[opened::TOFU_ON_HAND].lot = Lot::Stock(StockId(2));
    };
    a_line_left_open_is_refused is "line-not-filled": |_, plan| {
        plan.lunches[3].taken.pop();
    };
    a_line_too_many_is_refused is "line-not-filled": |_, plan| {
        plan.lunches[3].taken.push(0);
    };
    an_alternative_nobody_offers_is_refused is "line-not-filled": |_, plan| {
        plan.lunches[3].taken[1] = 2;
    };
    cooking_after_the_last_lunch_is_refused is "no-such-day": |_, plan| {
        plan.batches[1].day = 5;
    };
    eating_a_batch_on_the_prep_day_is_refused is "no-such-day": |_, plan| {
        plan.batches[0].serves[0].0 = 0;
    };
    drawing_after_the_last_lunch_is_refused is "no-such-day": |_, plan| {
        plan.openings[opened::TOFU].draws[1].0 = 5;
    };
    purchases_out_of_order_are_refused is "out-of-order": |_, plan| plan.purchases.swap(0, 1);
    a_purchase_listed_twice_is_refused is "out-of-order": |_, plan| {
        plan.purchases.insert(1, plan.purchases[0].clone());
    };
    batches_out_of_order_are_refused is "out-of-order": |_, plan| plan.batches.swap(0, 1);
    openings_out_of_order_are_refused is "out-of-order": |_, plan| plan.openings.swap(0, 1);
    draws_out_of_order_are_refused is "out-of-order": |_, plan| {
        plan.openings[opened::TOFU].draws.swap(0, 1);
    };
    a_purchase_of_no_pack_is_refused is "empty-entry": |_, plan| {
        plan.purchases[basket::TOFU].count = 0;
    };
    a_negative_draw_is_refused is "empty-entry": |_, plan| {
        plan.openings[opened::TOFU].draws[1].1 = -225_000;
    };
    a_batch_for_nobody_is_refused is "empty-entry": |_, plan| plan.batches[1].serves.clear();
    buying_oil_that_is_a_staple_is_refused is "staple-bought": |_, plan| {
        let oil = Purchase { pack: pack_of(OIL), trip: 0, count: 1 };
        plan.purchases.insert(2, oil);
    };
    opening_salt_that_is_a_staple_is_refused is "staple-bought": |_, plan| {
        plan.openings[opened::RICE].lot = Lot::Bought(pack_of(SALT), 0);
    };
    more_packs_than_can_be_added_up_are_refused is "figures-too-large": |_, plan| {
        plan.purchases[basket::TOFU].count = i64::MAX;
    };
    prices_that_cannot_be_added_up_are_refused is "figures-too-large": |larder, plan| {
        larder.packs[0].price_minor = larder.currency.most_minor();
        plan.purchases[basket::AVOCADO].count = i64::MAX / larder.packs[0].price_minor;
    };
}

#[test]
fn all_faults_of_shape_are_reported_at_once() {
    let codes = judged(|_, plan| {
        plan.purchases.swap(0, 1);
        plan.lunches[0].recipe = RecipeId(9);
        plan.openings[0].units = 0;
    });
    let expected = ["not-in-the-larder", "out-of-order", "empty-entry"];
    assert_eq!(codes, Err(BTreeSet::from(expected)));
}
