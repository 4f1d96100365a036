//! Asks whether finishers take the most appeal that the week's remainders allow. The truth
//! for random kitchens is every subset of finishers, each asked by Hall's condition (P. Hall,
//! "On representatives of subsets", 1935, in the form for amounts): food for some days can be
//! had from units with windows if and only if no group of those days wants more than all units
//! whose windows meet the group still hold. The product draws day by day instead.

use scant::engine::{Limits, Outcome, solve};
use scant::finish::{Finished, finish};
use scant::kitchen::read_texts;
use scant::larder::{Ingredient, Larder};
use scant::plan::{Lot, Plan};
use scant::rules::judge_finished;
use std::fmt::Write as _;

fn larder(text: &str) -> Larder {
    let read = read_texts(vec![("kitchen.yaml".to_owned(), text.as_bytes().to_vec())]);
    assert!(read.faults.is_empty(), "{:?}", read.faults);
    read.larder.unwrap()
}

fn week(larder: &Larder) -> Option<Plan> {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match solve(larder, &limits).unwrap().0 {
        Outcome::Best(solved) => Some(solved.plan),
        _ => None,
    }
}

fn judged(larder: &Larder, plan: &Plan, packs: usize) -> Finished {
    let finished = finish(larder, plan, packs);
    let placed: Vec<_> = finished
        .placed
        .iter()
        .map(|p| (p.day, p.finisher, p.mg))
        .collect();
    judge_finished(larder, plan, &finished.plan, &placed).unwrap();
    assert!(finished.complete);
    finished
}

/// The most appeal by trying every subset of each food's finishers.
fn most(larder: &Larder, plan: &Plan) -> i64 {
    let mut total = 0;
    for food in 0..larder.foods.len() {
        // Day, milligrams, appeal.
        let mut wants: Vec<(i32, i64, i64)> = Vec::new();
        for (day, lunch) in (1..).zip(&plan.lunches) {
            for finisher in &larder.recipes[lunch.recipe.index()].finishers {
                if let Ingredient::Food(id) = finisher.alternative.what
                    && id.index() == food
                {
                    let mg = larder.for_eaters(finisher.alternative.mg, day as u8);
                    wants.push((day, mg, finisher.appeal));
                }
            }
        }
        // First day, last day, what is left.
        let units: Vec<(i32, i32, i64)> = plan
            .openings
            .iter()
            .filter_map(|opening| {
                let Lot::Bought(pack, trip) = opening.lot else {
                    panic!("these kitchens have nothing on hand");
                };
                let pack = &larder.packs[pack.index()];
                assert_eq!(pack.units, 1, "every unit bought is opened");
                let trip = i32::from(larder.week.trips[usize::from(trip)]);
                let first = i32::from(opening.day);
                let last = (first + pack.open_life).min(trip + pack.end);
                let drawn: i64 = opening.draws.iter().map(|draw| draw.1).sum();
                let left = pack.unit_mg * opening.units - drawn;
                (pack.food.index() == food).then_some((first, last, left))
            })
            .collect();
        let mut best = 0;
        for set in 0u32..1 << wants.len() {
            let of: Vec<_> = (0..wants.len())
                .filter(|at| set & (1 << at) != 0)
                .map(|at| wants[at])
                .collect();
            let hall = (0u32..1 << of.len()).all(|group| {
                let days: Vec<_> = (0..of.len())
                    .filter(|at| group & (1 << at) != 0)
                    .map(|at| of[at])
                    .collect();
                let wanted: i64 = days.iter().map(|day| day.1).sum();
                let meets = |unit: &&(i32, i32, i64)| {
                    let within = |day: &(i32, i64, i64)| unit.0 <= day.0 && day.0 <= unit.1;
                    days.iter().any(within)
                };
                wanted <= units.iter().filter(meets).map(|unit| unit.2).sum()
            });
            if hall {
                best = best.max(of.iter().map(|want| want.2).sum());
            }
        }
        total += best;
    }
    total
}

/// A kitchen of a few foods whose packs leave something, each recipe with finishers.
fn random(seed: u64) -> String {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d;
    let mut dice = |low: u64, high: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        low + state % (high - low + 1)
    };
    let mut text =
        "kitchen: quay\ncurrency: USD\nweek: { lunches: 4, eaters: 2 }\nfoods:\n".to_owned();
    for food in 0..4 {
        let _ = writeln!(
            text,
            "  - food: food {food}\n    table: \"16057\"\n    yield: 100 %\n    packs: [{{ pack: bag, size: {} g, price: {}.50, keeps: 9, open_keeps: {} }}]",
            dice(10, 40) * 10,
            dice(1, 4),
            dice(0, 3)
        );
    }
    text += "recipes:\n";
    for recipe in 0..6 {
        let (first, second) = (dice(0, 3), dice(1, 3));
        let _ = writeln!(
            text,
            "  - recipe: recipe {recipe}\n    form: bowl\n    minutes: 5\n    lines:\n      - {{ food: food {first}, amount: {} g }}",
            dice(3, 12) * 10
        );
        for other in [(first + second) % 4, (first + second + 1) % 4] {
            if other != first {
                let _ = writeln!(
                    text,
                    "      - {{ food: food {other}, amount: {} g, optional: true, appeal: {} }}",
                    dice(1, 9) * 10,
                    dice(1, 5)
                );
            }
        }
    }
    text
}

#[test]
fn finishers_take_the_most_appeal_that_remainders_allow() {
    let (mut weeks, mut some, mut not_all) = (0, 0, 0);
    for seed in 1..=600 {
        let larder = larder(&random(seed));
        let Some(plan) = week(&larder) else { continue };
        weeks += 1;
        let finished = judged(&larder, &plan, 0);
        let truth = most(&larder, &plan);
        assert_eq!(finished.appeal(&larder), truth, "seed {seed}");
        let all: i64 = plan
            .lunches
            .iter()
            .flat_map(|lunch| &larder.recipes[lunch.recipe.index()].finishers)
            .map(|finisher| finisher.appeal)
            .sum();
        some += i32::from(truth > 0);
        not_all += i32::from(truth > 0 && truth < all);
        // A pack that is bought brings just what was offered for it.
        if let Some(offer) = finished.offers.first() {
            let more = judged(&larder, &plan, 1);
            assert_eq!(more.appeal(&larder), truth + offer.gain, "seed {seed}");
        }
    }
    let counts = (weeks, some, not_all);
    assert!(weeks > 500 && some > 100 && not_all > 100, "{counts:?}");
}

/// Two lunches eat half a pear each from a bag of two; the second pear is whole. By hand: the
/// first pear, cut on Monday for 100 g of its 200 g, is good on Monday alone, so Tuesday cuts
/// the second; what is left of each feeds a finisher of its own day.
const PEARS: &str = r#"
kitchen: quay
currency: USD
week: { lunches: 2, eaters: 1 }
foods:
  - food: pear
    table: "16057"
    yield: 100 %
    packs: [{ pack: bag of two, size: 200 g, units: 2, price: 2.00, keeps: 9, open_keeps: 0 }]
  - food: nuts
    table: "16057"
    yield: 100 %
    packs: [{ pack: bag, size: 100 g, price: 3.00, keeps: 90, open_keeps: 30 }]
recipes:
  - recipe: A
    form: bowl
    minutes: 5
    lines:
      - { food: pear, amount: 100 g }
      - { food: pear, amount: 90 g, optional: true, appeal: 2 }
      - { food: nuts, amount: 20 g, optional: true, appeal: 3 }
  - recipe: B
    form: bowl
    minutes: 5
    lines:
      - { food: pear, amount: 100 g }
      - { food: pear, amount: 110 g, optional: true, appeal: 4 }
      - { food: nuts, amount: 20 g, optional: true, appeal: 3 }
"#;

#[test]
fn by_hand_a_cut_pear_feeds_its_own_day_and_nuts_are_offered() {
    let larder = larder(PEARS);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 0);
    // 90 g of the 100 g left fits; 110 g does not, and no third pear is there.
    assert_eq!(finished.appeal(&larder), 2);
    let nuts = &finished.offers[0];
    assert_eq!(
        (nuts.gain, nuts.price_minor, nuts.lifts.as_slice()),
        (6, 300, &[1, 2][..])
    );
    let bought = judged(&larder, &plan, 1);
    assert_eq!(bought.appeal(&larder), 8);
    // With the cap full the nuts are only told of; a second bag of pears is no new food, and
    // its first pear has the 110 g.
    let full = larder.changed(|new| new.wishes.cap = Some(1));
    let full = judged(&full.unwrap(), &plan, 1);
    assert_eq!(
        full.bought
            .iter()
            .map(|offer| offer.gain)
            .collect::<Vec<_>>(),
        [4]
    );
    let beyond = full.offers[0].beyond;
    assert!(beyond.cap && !beyond.budget, "no budget is set");
}

#[test]
fn the_judge_refuses_finishers_that_are_not_the_lunchs_own_or_come_from_nowhere() {
    let larder = larder(PEARS);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 1);
    let placed: Vec<_> = finished
        .placed
        .iter()
        .map(|p| (p.day, p.finisher, p.mg))
        .collect();
    let codes = |plain: &Plan, plan: &Plan, placed: &[(u8, usize, i64)]| -> Vec<&str> {
        let findings = judge_finished(&larder, plain, plan, placed).unwrap_err();
        findings.iter().map(|finding| finding.code).collect()
    };
    let mut other = placed.clone();
    other[0].1 = 7;
    assert!(codes(&plan, &finished.plan, &other).contains(&"not-its-finisher"));
    // Placed, but nothing drawn for it.
    assert_eq!(codes(&plan, &plan, &placed[..1]), ["use-not-met"]);
    let mut changed = finished.plan.clone();
    changed.lunches.swap(0, 1);
    assert_eq!(codes(&plan, &changed, &placed), ["week-changed"]);
}
