//! Asks whether the judge accepts a week that keeps every rule, adds it up right, and
//! refuses a week that breaks one rule for that rule and no other.
//!
//! The truth comes from a week worked with a pencil (below) and, for each rule, from
//! breaking that week in one place: at the limit it must still be accepted, one step
//! beyond refused. What a finding says is asked in `judge/words.rs`. Facts of the trade are
//! checked in `judge/trade.rs`, wild plans in `judge/garbage.rs`. It does not ask how a plan
//! is found.

#[path = "support/boatyard.rs"]
#[allow(dead_code, unreachable_pub)] // Shared by several test files.
mod boatyard;

#[path = "judge/aims.rs"]
mod aims;
#[path = "judge/alike.rs"]
mod alike;
#[path = "judge/bans.rs"]
mod bans;
#[path = "judge/cooking.rs"]
mod cooking;
#[path = "judge/credits.rs"]
mod credits;
#[path = "judge/finished.rs"]
mod finished;
#[path = "judge/garbage.rs"]
mod garbage;
#[path = "judge/opening.rs"]
mod opening;
#[path = "judge/shape.rs"]
mod shape;
#[path = "judge/shops.rs"]
mod shops;
#[path = "judge/trade.rs"]
mod trade;
#[path = "judge/week.rs"]
mod week;
#[path = "judge/words.rs"]
mod words;

use std::collections::BTreeSet;

use scant::larder::{Aim, Contents};
use scant::plan::Plan;
use scant::rules::{RULES, Tally, judge};

/// Judges the boatyard's week after `edit`.
fn judged(edit: impl FnOnce(&mut Contents, &mut Plan)) -> Result<Tally, BTreeSet<&'static str>> {
    let (mut larder, mut plan) = (boatyard::contents(), boatyard::plan());
    edit(&mut larder, &mut plan);
    judge(&boatyard::sound(larder), &plan)
        .map_err(|findings| findings.into_iter().map(|finding| finding.code).collect())
}

fn refused_for(code: &'static str, edit: impl FnOnce(&mut Contents, &mut Plan)) {
    assert_eq!(judged(edit), Err(BTreeSet::from([code])));
}

fn accepted(edit: impl FnOnce(&mut Contents, &mut Plan)) -> Tally {
    judged(edit).expect("the week keeps every rule")
}

/// Each line is a test: the claim, the one code the judge must name, and the edit that
/// breaks the good week. The codes are kept for the completeness test.
macro_rules! refusals {
    ($($claim:ident is $code:literal: $edit:expr;)*) => {
        $(#[test] fn $claim() { crate::refused_for($code, $edit); })*
        pub(crate) const CODES: &[&str] = &[$($code),*];
    };
}

/// Each line is a test: an edit that goes to the limit of a rule, and is accepted.
macro_rules! at_the_limit {
    ($($claim:ident: $edit:expr;)*) => {
        $(#[test] fn $claim() { crate::accepted($edit); })*
    };
}

pub(crate) use {at_the_limit, refusals};

#[test]
fn every_rule_has_a_test_that_breaks_it() {
    let broken: BTreeSet<&str> = [
        aims::CODES,
        alike::CODES,
        bans::CODES,
        cooking::CODES,
        credits::CODES,
        opening::CODES,
        shape::CODES,
        shops::CODES,
        week::CODES,
        // Broken in tests/finishers.rs.
        &["not-its-finisher", "week-changed"],
    ]
    .concat()
    .into_iter()
    .collect();
    let known: BTreeSet<&str> = RULES.iter().map(|rule| rule.code).collect();
    assert_eq!(broken, known);
    assert_eq!(known.len(), RULES.len(), "a code stands twice");
}

#[test]
fn every_code_is_plain_words_with_hyphens_and_every_rule_says_how_to_loosen_it() {
    for rule in RULES {
        assert!(
            rule.code
                .split('-')
                .all(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase())),
            "{}",
            rule.code
        );
        assert!(!rule.asks.is_empty() && !rule.loosen.is_empty());
    }
}

/// Worked by hand, in minor units; g are edible.
///
/// Packs: avocado 120, rice 250, spinach 180, tofu 227, tortillas 294: 1071.
///
/// Staples: oil 5 g x 3.25 = 16.25 g at 1.5 a gram = 24.375; salt in rice (450 + 650 g
/// cooked, 4 g a kilogram) 4.4 g and 1 g x 3 in the wraps: 7.4 g at 0.1 = 0.74. Together
/// 25.115.
///
/// Left over, and its last good day (the carry day is 7):
/// - avocado 148 - 120 = 28 g at 0.810811 = 22.702708; cut Thursday, good to day 5: spoiled
/// - rice 1000 - 260 - 180 = 560 g at 0.25 = 140; kept
/// - spinach 200 - 97.5 - 60 = 42.5 g at 0.9 = 38.25; good to min(3+2, 2+3): spoiled
/// - spinach on hand 60 - 30 = 30 g at 0.9 = 27; good to day 1: spoiled
/// - tofu 454 - 150 - 225 = 79 g at 0.5 = 39.5; opened Monday, good to day 5: spoiled
/// - tofu on hand 150 - 150: nothing
/// - tortillas, first bag 196 - 147 - 49: nothing; second 196 - 98 = 98 g at 0.5 = 49,
///   opened Thursday, good to day 7: kept; third, untouched, 196 g = 98, good to day 10:
///   kept
///
/// Spoiled 127.452708, kept 287. Foods 5; families: avocado by itself, grains (rice and
/// tortillas), leafy greens, beans: 4.
///
/// Minutes: lunches 5 + 6 + 4 + 7 = 22; rice 10 + 0.65 kg x 2 = 11.3 and 10 + 0.9 = 10.9:
/// 44.2. One trip after the first. Preferences: wrap on Thursday -5, tofu wrap on Tuesday
/// +3: -2.
///
/// Half as much again: of the avocado 1.2162165 a gram, to 1e-9 a milligram 1.216217, so
/// 34.054076; of the rest 157.125.
///
/// Objective: 1071 + 25.115 + 191.179076 + 20 x 5 + 2 x 44.2 + 50 - 2 - 0.1 x 287
/// = 1071 + 25.115 + 191.179076 + 100 + 88.4 + 50 - 2 - 28.7 = 1494.994076.
#[test]
fn the_good_week_is_accepted_and_adds_up_as_worked_by_hand() {
    let tally = accepted(|_, _| {});
    let by_hand = Tally {
        packs_minor: 1_071,
        staples_nano: 25_115_000_000,
        spoiled_nano: 127_452_708_000,
        kept_nano: 287_000_000_000,
        spoil_cost_nano: 191_179_076_000,
        keep_credit_nano: 28_700_000_000,
        foods: 5,
        families: 4,
        minutes_nano: 44_200_000_000,
        watched_nano: 0,
        later_trips: 1,
        going_minor: 50,
        preferences_minor: -2,
        objective_nano: 1_494_994_076_000,
    };
    assert_eq!(tally, by_hand);
    assert_eq!(tally.cost_nano(), 1_096_115_000_000);
    for (aim, reached) in [
        (Aim::Foods, 5_000_000_000),
        (Aim::Cost, 1_096_115_000_000),
        (Aim::Spoiled, 127_452_708_000),
        (Aim::Minutes, 44_200_000_000),
    ] {
        assert_eq!(tally.aim_nano(aim), reached, "{aim:?}");
    }
}

#[test]
fn a_week_broken_twice_is_refused_for_both_in_rule_order() {
    let (mut larder, mut plan) = (boatyard::contents(), boatyard::plan());
    larder.wishes.budget_minor = Some(1_070);
    larder.wishes.cap = Some(4);
    larder.recipes[boatyard::TOFU_BOWL.index()].days[0] = false;
    plan.openings[boatyard::opened::TOFU].draws[1].1 -= 1;
    let findings = judge(&boatyard::sound(larder), &plan).unwrap_err();
    let codes: Vec<&str> = findings.iter().map(|finding| finding.code).collect();
    assert_eq!(
        codes,
        [
            "not-served-that-day",
            "use-not-met",
            "over-cap",
            "over-budget"
        ]
    );
    assert_eq!(
        findings[1].detail,
        "0.001 g of tofu used on Tuesday come from nowhere"
    );
}
