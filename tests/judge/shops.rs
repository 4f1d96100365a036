//! Asks whether packs are bought where they are sold, and whether each trip costs its own price.
//!
//! The week's second trip, on Tuesday, buys the spinach and counts 50; here it goes to the farm.

use super::boatyard::{SPINACH, TORTILLA, pack_of};
use super::{accepted, at_the_limit, refusals};
use scant::larder::{Contents, ShopId, Target};

const QUAY: ShopId = ShopId(0);
const FARM: ShopId = ShopId(1);

/// Two shops: the farm has the spinach and is gone to on Tuesday, the quay has all else.
fn two_shops(larder: &mut Contents) {
    larder.shops = vec!["quay".to_owned(), "farm".to_owned()];
    for pack in &mut larder.packs {
        pack.shop = Some(QUAY);
    }
    larder.packs[pack_of(SPINACH).index()].shop = Some(FARM);
    larder.week.trips[0].shop = Some(QUAY);
    larder.week.trips[1].shop = Some(FARM);
}

refusals! {
    spinach_bought_where_only_the_quay_sells_it_is_refused is "not-sold-there": |larder, _| {
        two_shops(larder);
        larder.packs[pack_of(SPINACH).index()].shop = Some(QUAY);
    };
    tortillas_bought_at_the_farm_is_refused is "not-sold-there": |larder, _| {
        two_shops(larder);
        larder.packs[pack_of(TORTILLA).index()].shop = Some(FARM);
    };
    a_pack_of_a_banned_shop_is_refused is "banned": |larder, _| {
        two_shops(larder);
        larder.wishes.without.push(Target::Shop(FARM));
    };
    a_banned_pack_is_refused is "banned": |larder, _| {
        two_shops(larder);
        larder.wishes.without.push(Target::Pack(pack_of(SPINACH)));
    };
}

at_the_limit! {
    packs_are_bought_where_they_are_sold: |larder, _| two_shops(larder);
    a_shop_where_nothing_is_bought_may_be_banned: |larder, _| {
        two_shops(larder);
        larder.shops.push("mill".to_owned());
        larder.wishes.without.push(Target::Shop(ShopId(2)));
    };
}

#[test]
fn a_trip_costs_its_own_price_and_the_first_nothing() {
    // Worked by hand: the aims' 50 for the second trip is 50,000,000 of 1,494,994,076 (a
    // thousandth each of 1e-9); the farm's own 120 takes its place, the quay's 900 never counts.
    let tally = accepted(|larder, _| {
        two_shops(larder);
        larder.week.trips[0].going_minor = Some(900);
        larder.week.trips[1].going_minor = Some(120);
    });
    assert_eq!((tally.later_trips, tally.going_minor), (1, 120));
    assert_eq!(
        tally.objective_nano,
        (1_494_994_076 - 50_000_000 + 120_000_000) * 1_000
    );
}

#[test]
fn the_least_value_of_a_food_is_that_of_what_can_be_bought() {
    // Spinach of 200 g: 180 at the quay are 0.9 a gram; the farm has it for half of that.
    let mut larder = super::boatyard::contents();
    two_shops(&mut larder);
    let quay = pack_of(SPINACH);
    larder.packs[quay.index()].shop = Some(QUAY);
    let mut farm = larder.packs[quay.index()].clone();
    farm.shop = Some(FARM);
    farm.value_nano /= 2;
    larder.packs.insert(quay.index() + 1, farm);
    for food in &mut larder.foods {
        let after = |at: u32| at + u32::from(at > quay.0);
        food.packs = after(food.packs.start)..after(food.packs.end);
    }
    assert_eq!(larder.least_value_nano(SPINACH), 450_000);
    larder.wishes.without.push(Target::Shop(FARM));
    assert_eq!(larder.least_value_nano(SPINACH), 900_000);
    // What nobody may buy is worth what it was.
    larder.wishes.without.push(Target::Shop(QUAY));
    assert_eq!(larder.least_value_nano(SPINACH), 450_000);
}
