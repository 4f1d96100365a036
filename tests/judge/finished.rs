//! Asks whether finishers are let pass only if they are their lunch's own, once, of a food that
//! nobody bans, and drawn from what the good week leaves; and whether the week stays as it is.
//!
//! By hand: on Monday 30 g of the open spinach on hand are left, enough for 10 g for each of the
//! three eaters; salt is in the cupboard.

use super::boatyard::{self, COOKED_RICE, SALT, SPINACH, TOFU, TOFU_BOWL, opened, sound};
use scant::larder::{Alternative, Contents, Finisher, FoodId, Ingredient, Target};
use scant::plan::Plan;
use scant::rules::judge_finished;

fn finisher(what: Ingredient, mg: i64) -> Finisher {
    Finisher {
        alternative: Alternative {
            what,
            mg,
            written: format!("{mg} mg"),
        },
        appeal: 1,
    }
}

fn spinach(mg: i64) -> Finisher {
    finisher(Ingredient::Food(SPINACH), mg)
}

/// Judges the good week with finishers on Monday's bowl; so many milligrams more are drawn from
/// the spinach on hand. Findings as code and words.
fn judged(
    finishers: Vec<Finisher>,
    drawn: i64,
    placed: &[(u8, usize, i64)],
    edit: impl FnOnce(&mut Contents, &mut Plan),
) -> Vec<(&'static str, String)> {
    let (mut larder, plain) = (boatyard::contents(), boatyard::plan());
    larder.recipes[TOFU_BOWL.index()].finishers = finishers;
    let mut finished = plain.clone();
    finished.openings[opened::SPINACH_ON_HAND].draws[0].1 += drawn;
    edit(&mut larder, &mut finished);
    let findings = judge_finished(&sound(larder), &plain, &finished, placed);
    let findings = findings.err().unwrap_or_default();
    let told = findings.into_iter().map(|found| (found.code, found.detail));
    told.collect()
}

fn accepted(finishers: Vec<Finisher>, drawn: i64, placed: &[(u8, usize, i64)]) {
    assert_eq!(judged(finishers, drawn, placed, |_, _| {}), []);
}

/// Refused as no finisher of its lunch, in these words and for nothing else.
fn not_its_own(
    finishers: Vec<Finisher>,
    drawn: i64,
    placed: &[(u8, usize, i64)],
    words: &str,
    edit: impl FnOnce(&mut Contents, &mut Plan),
) {
    let found = judged(finishers, drawn, placed, edit);
    assert_eq!(found, [("not-its-finisher", words.to_owned())]);
}

#[test]
fn what_is_left_of_the_spinach_may_finish_mondays_bowl_to_the_milligram() {
    accepted(vec![spinach(10_000)], 30_000, &[(1, 0, 30_000)]);
    let found = judged(vec![spinach(10_001)], 30_003, &[(1, 0, 30_003)], |_, _| {});
    let words = "spinach on hand (rest of a bag) opened on Monday holds 60 g, 60.003 g drawn";
    assert_eq!(found, [("drawn-more-than-it-holds", words.to_owned())]);
}

#[test]
fn two_finishers_of_one_food_are_drawn_together() {
    let two = || vec![spinach(4_000), spinach(6_000)];
    accepted(two(), 30_000, &[(1, 0, 12_000), (1, 1, 18_000)]);
    accepted(two(), 18_000, &[(1, 1, 18_000)]);
    let found = judged(two(), 18_000, &[(1, 0, 12_000), (1, 1, 18_000)], |_, _| {});
    let words = "12 g of spinach used on Monday come from nowhere";
    assert_eq!(found, [("use-not-met", words.to_owned())]);
}

#[test]
fn a_staple_finishes_a_lunch_and_nothing_is_drawn_for_it() {
    let salt = finisher(Ingredient::Food(SALT), 1_000);
    accepted(vec![salt], 0, &[(1, 0, 3_000)]);
}

#[test]
fn what_no_lunch_offers_is_no_finisher_of_it() {
    let one = || vec![spinach(10_000)];
    // The bowl has one; Tuesday's wrap none; the week has no day 0 and no day 5.
    for (day, number, name) in [
        (1, 1, "Monday"),
        (2, 0, "Tuesday"),
        (0, 0, "Sunday"),
        (5, 0, "Friday"),
        (255, 0, "Wednesday in 36 weeks"),
    ] {
        let words = format!("{name}, number {number}");
        not_its_own(one(), 0, &[(day, number, 30_000)], &words, |_, _| {});
    }
    let rice = finisher(Ingredient::Component(COOKED_RICE), 10_000);
    let words = "Monday, number 0";
    not_its_own(vec![rice], 0, &[(1, 0, 30_000)], words, |_, _| {});
}

#[test]
fn a_finisher_is_for_all_eaters_whole_and_once() {
    let words = "Monday, number 0";
    for mg in [29_999, 20_000] {
        not_its_own(vec![spinach(10_000)], mg, &[(1, 0, mg)], words, |_, _| {});
    }
    let twice = [(1, 0, 15_000), (1, 0, 15_000)];
    not_its_own(vec![spinach(5_000)], 30_000, &twice, words, |_, _| {});
}

#[test]
fn a_banned_food_finishes_no_lunch_and_another_ban_does_not_matter() {
    let place = [(1, 0, 30_000)];
    let ban = |food: FoodId| {
        move |larder: &mut Contents, _: &mut Plan| larder.wishes.without.push(Target::Food(food))
    };
    let words = "Monday, number 0";
    not_its_own(vec![spinach(10_000)], 0, &place, words, ban(SPINACH));
    let found = judged(vec![spinach(10_000)], 30_000, &place, ban(TOFU));
    assert_eq!(found, []);
}

#[test]
fn lunches_batches_and_the_order_of_lists_stay_as_they_are() {
    let changed = |edit: fn(&mut Plan)| {
        let found = judged(
            vec![spinach(10_000)],
            30_000,
            &[(1, 0, 30_000)],
            |_, plan| {
                edit(plan);
            },
        );
        found.into_iter().map(|(code, _)| code).collect::<Vec<_>>()
    };
    assert_eq!(changed(|_| {}), [""; 0]);
    let code = ["week-changed"];
    assert_eq!(changed(|plan| plan.lunches.swap(0, 1)), code);
    assert_eq!(changed(|plan| plan.batches[0].day = 1), code);
    assert_eq!(changed(|plan| plan.openings.swap(0, 1)), ["out-of-order"]);
}
