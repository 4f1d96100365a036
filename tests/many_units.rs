//! Asks whether kitchens of one food in many units are settled: a canteen's bowls, sacks beside goods that are weighed by the
//! gram, a dozen tubs on hand. What units may be opened when cannot be counted out there.
//!
//! The truth: HiGHS 1.16.0 (a general solver, PyPI highspy) on the program that `scant program --mps` writes, asked on
//! 2026-11-30. No reading of a clock: a search that asks too often whether to stop is stopped, and fails.

use std::sync::atomic::{AtomicU64, Ordering};

use scant::engine::{Limits, Outcome, solve};
use scant::larder::NANO;

/// Questions whether to stop.
const ASKED: u64 = 20_000;

/// A kitchen of one recipe of one food, with its row of the food table.
fn kitchen(head: &str, (food, row): (&str, &str), packs: &str, amount: &str) -> String {
    format!(
        "kitchen: The boatyard kitchen\ncurrency: EUR\n{head}\nfoods:\n  - food: {food}\n    table: \"{row}\"\n    yield: 100 %\n    packs:\n{packs}\n\
         recipes:\n  - recipe: bowl\n    form: bowl\n    lines:\n      - {{ food: {food}, amount: {amount} }}\n"
    )
}

/// The best week's objective, minor units.
fn best(text: String) -> f64 {
    let read = scant::kitchen::read_texts(vec![("kitchen.yaml".to_owned(), text.into_bytes())]);
    let larder = read.larder.unwrap_or_else(|| panic!("{:?}", read.faults));
    let asked = AtomicU64::new(0);
    let limits = Limits {
        threads: 1,
        stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= ASKED,
        progress: None,
    };
    let (outcome, _) = solve(&larder, &limits).expect("the search holds its own promises");
    let Outcome::Best(solved) = outcome else {
        panic!("{outcome:?}");
    };
    solved.tally.objective_nano as f64 / NANO as f64
}

fn agrees(text: String, known: f64) {
    let found = best(text);
    assert!((found - known).abs() < 0.002, "{found}, not {known}");
}

#[test]
fn three_hundred_bowls_from_bags_and_buckets() {
    let packs = "      - { pack: bag, size: 180 g, price: 1.67, keeps: 3, open_keeps: 1 }\n\
                 \x20     - { pack: bucket, size: 2.1 kg, price: 9.70, keeps: 2, open_keeps: 1 }";
    let head = "week: { lunches: 3, eaters: 300 }\nrules: { repeats: 3 }";
    agrees(kitchen(head, ("quinoa", "20035"), packs, "137 g"), 76_240.0);
}

#[test]
fn a_sack_beside_what_is_weighed_by_the_gram() {
    let packs = "      - { pack: sack, size: 950 g, price: 11.63, keeps: 6, open_keeps: 3 }\n\
                 \x20     - { pack: weighed, size: 1 g, price: 0.04, keeps: 8, open_keeps: 5, end: 12, loose: true }";
    let head = "week: { lunches: 3, eaters: 20 }\nrules: { repeats: 3 }";
    agrees(kitchen(head, ("rice", "20044"), packs, "120 g"), 9_304.0);
}

#[test]
fn two_trips_and_a_credit_for_what_is_kept() {
    let packs = "      - { pack: pack 0, size: 400 g, price: 4.21, loose: true, keeps: 9 }\n\
                 \x20     - { pack: pack 2, size: 1.2 kg, price: 8.84, keeps: 3, open_keeps: 3 }\n\
                 \x20     - { pack: pack 4, size: 400 g, price: 3.24, keeps: 60, open_keeps: 2 }";
    let head = "week: { lunches: 5, eaters: 6, trips: [0, 4] }\naims: { carry_credit: 0.999 }\nrules: { repeats: 5 }";
    agrees(
        kitchen(head, ("lettuce", "11457"), packs, "475 g"),
        10_635.282_8,
    );
}

#[test]
fn thirteen_tubs_on_hand() {
    let stock = [
        "70 g, good_until: 14, open_keeps: 0",
        "70 g, good_until: 0, opened: true",
        "70 g, good_until: 6, open_keeps: 0",
        "35 g, good_until: 6, opened: true, ready_from: 3",
        "400 g, good_until: 3, opened: true",
        "35 g, good_until: 4, opened: true",
        "35 g, good_until: 3, open_keeps: 6, ready_from: 0",
        "140 g, good_until: 5, open_keeps: 4",
        "35 g, good_until: 10, open_keeps: 5",
        "120 g, good_until: 9, ready_from: 1, end: 10",
        "140 g, good_until: 3, open_keeps: 1",
        "35 g, good_until: 11, opened: true",
        "70 g, good_until: 10, opened: true",
    ];
    let stock = stock.map(|unit| format!("  - {{ food: hummus, amount: {unit} }}\n"));
    let head = format!(
        "week: {{ lunches: 5, eaters: 1 }}\nstock:\n{}rules: {{ repeats: 5 }}",
        stock.concat()
    );
    let packs = "      - { pack: tub, size: 350 g, price: 2.00, keeps: 9, open_keeps: 3 }";
    agrees(
        kitchen(&head, ("hummus", "16057"), packs, "700 g"),
        1_440.000_03,
    );
}
