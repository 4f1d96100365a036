//! Asks whether packs and units on hand are opened and drawn from only as they allow.

use super::boatyard::{AVOCADO, SPINACH, TORTILLA, basket, bought, opened, opening, pack_of};
use super::{accepted, at_the_limit, refusals};
use scant::larder::Contents;
use scant::plan::Plan;

/// The tortillas bought on the second trip, on `day`, and opened on Tuesday as before.
fn tortillas_on_second_trip(larder: &mut Contents, plan: &mut Plan, day: u8) {
    larder.week.trips[1].day = day;
    plan.purchases[basket::TORTILLA].trip = 1;
    plan.openings[opened::TORTILLA_TUESDAY].lot = bought(TORTILLA, 1);
    plan.openings[opened::TORTILLA_THURSDAY].lot = bought(TORTILLA, 1);
}

/// As many avocados as there are milligrams in the lunch, and one milligram from each.
fn avocados(plan: &mut Plan, units: i64) {
    plan.purchases[basket::AVOCADO].count = units;
    plan.openings[opened::AVOCADO].units = units;
}

/// Monday's 30 g from the open spinach on hand, on `day`'s account.
fn spinach_window(larder: &mut Contents, from: i32, to: i32) {
    let spinach = &mut larder.stock[0];
    (spinach.ready_from, spinach.ready_to, spinach.end) = (from, to, to);
}

refusals! {
    tortillas_opened_a_day_before_they_are_bought_are_refused is "opened-before-bought":
        |larder, plan| tortillas_on_second_trip(larder, plan, 3);
    a_hard_avocado_cut_a_day_too_soon_is_refused is "opened-before-ripe": |larder, _| {
        larder.packs[pack_of(AVOCADO).index()].ready_from = 5;
    };
    open_spinach_on_hand_used_too_soon_is_refused is "opened-before-ripe": |larder, _| {
        spinach_window(larder, 2, 3);
    };
    sealed_tofu_on_hand_opened_too_soon_is_refused is "opened-before-ripe": |larder, _| {
        larder.stock[1].ready_from = 2;
    };
    an_avocado_cut_a_day_too_late_is_refused is "opened-too-late": |larder, _| {
        larder.packs[pack_of(AVOCADO).index()].ready_to = 3;
    };
    sealed_tofu_on_hand_opened_past_its_date_is_refused is "opened-too-late": |larder, _| {
        larder.stock[1].ready_to = 0;
    };
    // Its last good day means nothing then: one fault, not two.
    an_avocado_cut_after_its_last_good_day_is_refused_once is "opened-too-late": |larder, _| {
        let avocado = &mut larder.packs[pack_of(AVOCADO).index()];
        (avocado.ready_to, avocado.end) = (3, 3);
    };
    a_bag_opened_on_a_day_without_use_is_refused is "opened-without-use": |_, plan| {
        plan.openings[opened::TORTILLA_THURSDAY].day = 3;
    };
    a_unit_without_its_own_milligram_is_refused is "opened-without-use": |_, plan| {
        avocados(plan, 120_001);
    };
    a_bag_opened_for_nothing_at_all_is_refused is "opened-without-use": |_, plan| {
        plan.openings.insert(opened::TORTILLA_THURSDAY, opening(bought(TORTILLA, 0), 3, &[]));
    };
    a_bag_used_before_it_is_opened_is_refused is "drawn-before-opened": |_, plan| {
        plan.openings[opened::TORTILLA_TUESDAY].draws = vec![(2, 146_000), (4, 50_000)];
        plan.openings[opened::TORTILLA_THURSDAY].draws = vec![(2, 1_000), (4, 97_000)];
    };
    a_bag_used_a_day_after_its_open_life_is_refused is "drawn-after-good-day": |larder, _| {
        larder.packs[pack_of(TORTILLA).index()].open_life = 1;
    };
    a_bag_used_after_its_last_day_is_refused is "drawn-after-good-day": |larder, _| {
        // Bought on day 2, to be opened by day 3 and eaten by day 3.
        let spinach = &mut larder.packs[pack_of(SPINACH).index()];
        (spinach.ready_to, spinach.end) = (1, 1);
    };
    open_spinach_on_hand_used_after_its_last_day_is_refused is "drawn-after-good-day":
        |larder, _| spinach_window(larder, 0, 0);
    sealed_tofu_on_hand_used_after_its_open_life_is_refused is "drawn-after-good-day":
        |larder, plan| tofu_on_hand_to(larder, plan, 4);
    a_milligram_more_than_the_bag_holds_is_refused is "drawn-more-than-it-holds": |_, plan| {
        plan.openings[opened::TORTILLA_TUESDAY].draws[1].1 += 1;
        plan.openings[opened::TORTILLA_THURSDAY].draws[0].1 -= 1;
    };
    a_milligram_more_than_is_left_on_hand_is_refused is "drawn-more-than-it-holds":
        |larder, _| larder.stock[1].left_mg = 149_999;
    a_bag_more_than_was_bought_is_refused is "more-units-than-bought": |_, plan| {
        plan.openings[opened::TORTILLA_TUESDAY].units = 2;
        plan.openings[opened::TORTILLA_THURSDAY].units = 2;
    };
    opening_what_was_never_bought_is_refused is "more-units-than-bought": |_, plan| {
        plan.purchases.remove(basket::TOFU);
    };
    opening_what_only_a_later_trip_buys_is_refused is "more-units-than-bought": |_, plan| {
        plan.purchases[basket::TOFU].trip = 1;
    };
    opening_a_unit_on_hand_twice_is_refused is "more-units-than-on-hand": |_, plan| {
        plan.openings[opened::TOFU_ON_HAND].draws[0].1 = 100_000;
        plan.openings[opened::TOFU].draws = vec![(1, 200_000), (2, 175_000)];
        let again = opening(plan.openings[opened::TOFU_ON_HAND].lot, 2, &[(2, 50_000)]);
        plan.openings.push(again);
    };
    two_of_a_single_unit_on_hand_are_refused is "more-units-than-on-hand": |_, plan| {
        plan.openings[opened::SPINACH_ON_HAND].units = 2;
    };
    a_milligram_of_tofu_from_nowhere_is_refused is "use-not-met": |_, plan| {
        plan.openings[opened::TOFU].draws[1].1 -= 1;
    };
    a_milligram_of_tofu_for_nothing_is_refused is "drawn-without-use": |_, plan| {
        plan.openings[opened::TOFU].draws[1].1 += 1;
    };
}

/// Moves part of Tuesday's tofu, or of a lunch's on `day`, to the sealed block on hand,
/// opened on Monday with an open life of two days.
fn tofu_on_hand_to(larder: &mut Contents, plan: &mut Plan, day: u8) {
    if day > 2 {
        // The same lunch on Thursday instead of the avocado wrap, Tuesday taking that one.
        plan.lunches.swap(1, 3);
        larder.packs[pack_of(AVOCADO).index()].ready_from = 2;
        plan.openings[opened::AVOCADO].day = 2;
        plan.openings[opened::AVOCADO].draws = vec![(2, 120_000)];
        plan.openings[opened::SPINACH].day = 2;
        plan.openings[opened::SPINACH].draws = vec![(2, 60_000), (3, 97_500)];
    }
    plan.openings[opened::TOFU].draws = vec![(1, 200_000), (day, 175_000)];
    plan.openings[opened::TOFU_ON_HAND].draws = vec![(1, 100_000), (day, 50_000)];
}

at_the_limit! {
    tortillas_opened_on_the_day_they_are_bought_are_accepted:
        |larder, plan| tortillas_on_second_trip(larder, plan, 2);
    an_avocado_cut_on_the_first_and_only_day_it_is_ripe_is_accepted: |larder, _| {
        let avocado = &mut larder.packs[pack_of(AVOCADO).index()];
        (avocado.ready_from, avocado.ready_to) = (4, 4);
    };
    one_milligram_of_every_unit_opened_is_accepted: |_, plan| avocados(plan, 120_000);
    a_bag_used_on_the_last_day_of_its_open_life_is_accepted: |larder, _| {
        larder.packs[pack_of(TORTILLA).index()].open_life = 2;
    };
    spinach_used_on_its_very_last_day_is_accepted: |larder, _| {
        let spinach = &mut larder.packs[pack_of(SPINACH).index()];
        (spinach.ready_to, spinach.end) = (2, 2);
    };
    open_spinach_on_hand_may_wait_for_its_first_day: |larder, _| spinach_window(larder, 1, 1);
    sealed_tofu_on_hand_may_be_used_to_the_end_of_its_open_life: |larder, plan| {
        tofu_on_hand_to(larder, plan, 2);
    };
    all_three_bags_of_the_pack_may_be_opened: |_, plan| {
        plan.openings[opened::TORTILLA_THURSDAY].units = 2;
    };
    a_second_block_may_be_opened_while_the_first_is_open: |_, plan| {
        // Both blocks of tofu give to both days.
        plan.openings[opened::TOFU_ON_HAND].draws = vec![(1, 149_999), (2, 1)];
        plan.openings[opened::TOFU].draws = vec![(1, 150_001), (2, 224_999)];
    };
}

#[test]
fn stock_that_no_lunch_touches_still_spoils_or_is_kept() {
    let before = accepted(|_, _| {});
    let after = accepted(|larder, _| {
        let mut rest = larder.stock[0].clone();
        rest.left_mg = 10_000;
        larder.stock.push(rest.clone());
        // Open, good to the carry day itself.
        (rest.ready_to, rest.end) = (7, 7);
        larder.stock.push(rest.clone());
        // Sealed, to be opened by day 6: spoiled, though once opened it would last.
        (rest.opened, rest.ready_to, rest.open_life, rest.end) = (false, 6, 5, 11);
        larder.stock.push(rest);
    });
    // 10 g at 0.9.
    assert_eq!(after.spoiled_nano - before.spoiled_nano, 2 * 9_000_000_000);
    assert_eq!(after.kept_nano - before.kept_nano, 9_000_000_000);
}

#[test]
fn the_first_unit_on_hand_is_counted_too_when_no_lunch_touches_it() {
    // Monday's 30 g of spinach from a bag of Sunday's; the 60 g on hand, at 0.9, stay closed.
    let tally = accepted(|larder, plan| {
        let spinach = larder.packs[pack_of(SPINACH).index()].clone();
        let bag = bought(SPINACH, 0);
        let one = scant::plan::Purchase {
            pack: pack_of(spinach.food),
            trip: 0,
            count: 1,
        };
        plan.purchases.insert(basket::SPINACH, one);
        plan.openings[opened::SPINACH_ON_HAND] = opening(bag, 1, &[(1, 30_000)]);
        plan.openings.sort();
        larder.week.carry_day = 5;
    });
    let before = accepted(|larder, _| larder.week.carry_day = 5);
    // Of the bag 170 g spoil as well; 30 g of what is on hand spoiled before.
    let spoiled = tally.spoiled_nano - before.spoiled_nano;
    assert_eq!(spoiled, (170_000 + 60_000 - 30_000) * 900_000);
}

#[test]
fn a_remainder_good_on_the_carry_day_is_kept_and_one_day_less_is_spoiled() {
    // The second bag of tortillas is opened on Thursday, day 4, and lasts three days.
    let kept_from = |carry_day| accepted(|larder, _| larder.week.carry_day = carry_day).kept_nano;
    assert_eq!(kept_from(7), 287_000_000_000);
    assert_eq!(kept_from(8), (287 - 49) * 1_000_000_000);
    // The third, untouched, lasts to day 10.
    assert_eq!(kept_from(10), (287 - 49) * 1_000_000_000);
    assert_eq!(kept_from(11), 140_000_000_000);
}

#[test]
fn every_lot_says_its_own_name_in_the_finding() {
    let (larder, mut plan) = (super::boatyard::larder(), super::boatyard::plan());
    plan.openings[opened::TOFU_ON_HAND].units = 2;
    let findings = scant::rules::judge(&larder, &plan).unwrap_err();
    assert_eq!(
        findings[0].detail,
        "tofu on hand (small block): 1 units on hand, 2 opened"
    );
}
