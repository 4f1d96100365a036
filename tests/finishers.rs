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
                let trip = i32::from(larder.week.trips[usize::from(trip)].day);
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

/// A lunch of rice on every day, so that nothing is chosen; nuts (and seeds) are what finishers
/// want. What is bought and on hand of them differs from test to test.
fn rice_and(days: u8, week: &str, nuts: &str, stock: &str, finishers: &str) -> Larder {
    let text = format!(
        r#"
kitchen: quay
currency: USD
week: {{ lunches: {days}, eaters: 1{week} }}
foods:
  - food: rice
    table: "16057"
    yield: 100 %
    packs: [{{ pack: bag, size: 5 kg, price: 2.00, keeps: 300, open_keeps: 300 }}]
  - food: nuts
    table: "16057"
    yield: 100 %
    family: dry goods
    packs: [{{ {nuts} }}]
  - food: seeds
    table: "16057"
    yield: 100 %
    family: dry goods
    packs: [{{ pack: bag, size: 100 g, price: 3.00, keeps: 90, open_keeps: 30 }}]
{stock}
recipes:
  - recipe: rice
    form: bowl
    minutes: 5
    lines:
      - {{ food: rice, amount: 100 g }}
{finishers}
rules: {{ repeats: {days} }}
"#
    );
    larder(&text)
}

const BAG: &str = "pack: bag, size: 100 g, price: 3.00, keeps: 90, open_keeps: 30";
const NUTS: &str = "      - { food: nuts, amount: 20 g, optional: true, appeal: 2 }";

/// The days on which something is placed.
fn days(finished: &Finished) -> Vec<u8> {
    finished.placed.iter().map(|placed| placed.day).collect()
}

#[test]
fn an_open_unit_on_hand_feeds_the_days_of_its_window_and_no_more_than_it_holds() {
    for (amount, from, until, fed) in [
        (60, 2, 2, vec![2]),
        (60, 1, 3, vec![1, 2, 3]),
        (59, 1, 3, vec![1, 2]),
        (60, 2, 3, vec![2, 3]),
        (60, 0, 1, vec![1]),
        (19, 1, 3, vec![]),
    ] {
        let stock = format!(
            "stock: [{{ food: nuts, amount: {amount} g, opened: true, ready_from: {from}, good_until: {until} }}]"
        );
        let larder = rice_and(3, "", BAG, &stock, NUTS);
        let plan = week(&larder).unwrap();
        let finished = judged(&larder, &plan, 0);
        assert_eq!(days(&finished), fed, "{stock}");
    }
}

#[test]
fn a_sealed_unit_on_hand_that_no_lunch_opens_stays_as_it_is() {
    let stock = "stock: [{ food: nuts, amount: 60 g, good_until: 9, open_keeps: 5 }]";
    let larder = rice_and(3, "", BAG, stock, NUTS);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 0);
    assert_eq!(days(&finished), [0_u8; 0]);
    // One bag has enough for all three lunches: 60 g.
    assert_eq!(finished.offers[0].gain, 6);
    assert_eq!(finished.offers[0].lifts, [1, 2, 3]);
}

/// Monday's lunch itself takes 10 g of the nuts on hand, from a unit sealed until then.
#[test]
fn a_unit_on_hand_that_a_lunch_opens_feeds_finishers_as_long_as_it_is_good() {
    for (life, fed) in [
        ("good_until: 9, open_keeps: 0", vec![1]),
        ("good_until: 9, open_keeps: 1", vec![1, 2]),
        ("good_until: 2, end: 2, open_keeps: 9", vec![1, 2]),
        ("good_until: 2, end: 3, open_keeps: 9", vec![1, 2, 3]),
        ("good_until: 3, opened: true", vec![1, 2, 3]),
        ("good_until: 2, opened: true", vec![1, 2]),
    ] {
        let text = format!(
            r#"
kitchen: quay
currency: USD
week: {{ lunches: 3, eaters: 1 }}
foods:
  - food: rice
    table: "16057"
    yield: 100 %
    packs: [{{ pack: bag, size: 5 kg, price: 2.00, keeps: 300, open_keeps: 300 }}]
  - food: nuts
    table: "16057"
    yield: 100 %
    packs: [{{ {BAG} }}]
stock: [{{ food: nuts, amount: 100 g, {life} }}]
recipes:
  - recipe: rice with nuts
    form: bowl
    minutes: 5
    days: [1]
    lines:
      - {{ food: rice, amount: 100 g }}
      - {{ food: nuts, amount: 10 g }}
{NUTS}
  - recipe: rice
    form: bowl
    minutes: 5
    days: [2, 3]
    lines:
      - {{ food: rice, amount: 100 g }}
{NUTS}
rules: {{ repeats: 2 }}
"#
        );
        let larder = larder(&text);
        let plan = week(&larder).unwrap();
        assert_eq!(plan.openings.len(), 2, "rice, and the nuts on hand");
        let finished = judged(&larder, &plan, 0);
        assert_eq!(days(&finished), fed, "{life}");
    }
}

#[test]
fn loose_goods_are_offered_by_as_few_weighing_steps_as_do() {
    let bin = "pack: bin, size: 10 g, price: 0.30, keeps: 90, loose: true";
    for (days, amount, steps) in [(1, 20, 2), (1, 21, 3), (2, 15, 3), (3, 15, 5), (1, 10, 1)] {
        let wanted = format!("      - {{ food: nuts, amount: {amount} g, optional: true }}");
        let larder = rice_and(days, "", bin, "", &wanted);
        let plan = week(&larder).unwrap();
        let finished = judged(&larder, &plan, 1);
        let bought = &finished.bought[0];
        assert_eq!(bought.purchase.count, steps, "{days} times {amount} g");
        assert_eq!(bought.price_minor, 30 * steps);
        assert_eq!(finished.placed.len(), usize::from(days));
    }
}

const BOTH: &str = "      - { food: nuts, amount: 20 g, optional: true, appeal: 2 }
      - { food: seeds, amount: 20 g, optional: true, appeal: 1 }";

#[test]
fn what_is_bought_for_finishers_stays_within_the_budget_to_the_cent() {
    let larder = rice_and(2, "", BAG, "", BOTH);
    let plan = week(&larder).unwrap();
    // The rice is 2.00; nuts and seeds are 3.00 each, and nuts bring more.
    for (budget, bought, beyond) in [
        (800, 2, vec![]),
        (799, 1, vec![true]),
        (500, 1, vec![true]),
        (499, 0, vec![true, true]),
    ] {
        let tight = larder.changed(|new| new.wishes.budget_minor = Some(budget));
        let finished = judged(&tight.unwrap(), &plan, 2);
        assert_eq!(finished.bought.len(), bought, "{budget}");
        let over: Vec<bool> = finished.offers.iter().map(|o| o.beyond.budget).collect();
        assert_eq!(over, beyond, "{budget}");
        assert!(finished.offers.iter().all(|offer| !offer.beyond.cap));
    }
    // As many packs as were asked for, the most appeal first.
    let one = judged(&larder, &plan, 1);
    let gains = |offers: &[scant::finish::Offer]| -> Vec<i64> {
        offers.iter().map(|offer| offer.gain).collect()
    };
    assert_eq!((gains(&one.bought), gains(&one.offers)), (vec![4], vec![2]));
    let none = judged(&larder, &plan, 0);
    assert_eq!(
        (gains(&none.bought), gains(&none.offers)),
        (vec![], vec![4, 2])
    );
}

#[test]
fn what_is_bought_for_finishers_counts_to_the_cap_by_food_or_by_family() {
    use scant::larder::CapBy;
    let larder = rice_and(2, "", BAG, "", BOTH);
    let plan = week(&larder).unwrap();
    // Rice is one; nuts and seeds are two foods of one family.
    for (by, cap, bought) in [
        (CapBy::Foods, 3, 2),
        (CapBy::Foods, 2, 1),
        (CapBy::Foods, 1, 0),
        (CapBy::Families, 2, 2),
        (CapBy::Families, 1, 0),
    ] {
        let tight = larder.changed(|new| {
            new.wishes.cap = Some(cap);
            new.wishes.cap_by = by;
        });
        let finished = judged(&tight.unwrap(), &plan, 2);
        assert_eq!(finished.bought.len(), bought, "{by:?} {cap}");
        assert!(finished.offers.iter().all(|offer| offer.beyond.cap));
        assert!(finished.offers.iter().all(|offer| !offer.beyond.budget));
    }
    // Rice has no family, and the family of the others is the second: one is not the other.
    let tight = larder.changed(|new| {
        new.families.push("stores".to_owned());
        for food in [0, 2] {
            new.foods[food].family = Some(scant::larder::FamilyId(1));
        }
        (new.wishes.cap, new.wishes.cap_by) = (Some(1), CapBy::Families);
    });
    let finished = judged(&tight.unwrap(), &plan, 2);
    assert!(finished.bought.is_empty() && finished.offers.iter().all(|o| o.beyond.cap));
}

#[test]
fn of_choices_as_good_the_one_that_takes_least_is_made_then_that_of_the_earlier_days() {
    let open = |amount: i64| {
        format!("stock: [{{ food: nuts, amount: {amount} g, opened: true, good_until: 5 }}]")
    };
    // Food for one of the three days.
    let larder = rice_and(3, "", BAG, &open(25), NUTS);
    let plan = week(&larder).unwrap();
    assert_eq!(days(&judged(&larder, &plan, 0)), [1]);
    // 30 g and 20 g lift as much: the 20 g are taken, though written second.
    let two = "      - { food: nuts, amount: 30 g, optional: true, appeal: 2 }
      - { food: nuts, amount: 20 g, optional: true, appeal: 2 }";
    let larder = rice_and(1, "", BAG, &open(49), two);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 0);
    assert_eq!(finished.placed.len(), 1);
    assert_eq!(
        (finished.placed[0].finisher, finished.placed[0].mg),
        (1, 20_000)
    );
    // A milligram more feeds both, from one unit on one day.
    let larder = rice_and(1, "", BAG, &open(50), two);
    let finished = judged(&larder, &plan, 0);
    assert_eq!(finished.placed.len(), 2);
    let nuts = finished
        .plan
        .openings
        .iter()
        .find(|o| o.lot != bag_of_rice());
    assert_eq!(nuts.unwrap().draws, [(1, 50_000)]);
}

/// Rice is the second food of these kitchens, in the order of names, and its bag the second pack.
fn bag_of_rice() -> Lot {
    Lot::Bought(scant::larder::PackId(1), 0)
}

#[test]
fn a_pack_is_offered_on_the_first_trip_and_on_those_that_are_made_anyway() {
    // Nuts to be opened within a day and eaten within two; Monday's lunch wants none of them.
    let short = "pack: bag, size: 100 g, price: 3.00, keeps: 1, open_keeps: 1, end: 2";
    let larder = rice_and(3, ", trips: [0, 2]", short, "", NUTS);
    let mut plan = week(&larder).unwrap();
    let larder = larder.changed(|new| {
        let mut plain = new.recipes[0].clone();
        plain.name = "rice alone".to_owned();
        plain.finishers.clear();
        new.recipes.push(plain);
    });
    let larder = larder.unwrap();
    plan.lunches[0].recipe = scant::larder::RecipeId(1);
    // Sunday's nuts must be opened by Monday: of no use. On Tuesday nobody shops.
    assert!(judged(&larder, &plan, 1).offers.is_empty());
    // With another bag of rice on Tuesday, somebody does.
    let mut rice = plan.purchases[0].clone();
    rice.trip = 1;
    plan.purchases.push(rice);
    let finished = judged(&larder, &plan, 1);
    assert_eq!(finished.bought[0].purchase.trip, 1);
    assert_eq!(finished.bought[0].lifts, [2, 3]);
    assert_eq!(days(&finished), [2, 3]);
    // Rice bought twice is one food: there is room for a second, and for no second below a cap of 1.
    for (cap, bought) in [(2, 1), (1, 0)] {
        let tight = larder.changed(|new| new.wishes.cap = Some(cap)).unwrap();
        assert_eq!(judged(&tight, &plan, 1).bought.len(), bought, "{cap}");
    }
}

#[test]
fn of_packs_that_lift_as_much_the_cheapest_is_offered_wherever_it_stands() {
    let sack = "pack: sack, size: 1 kg, price: 9.00, keeps: 90, open_keeps: 30";
    for (one, other) in [(BAG, sack), (sack, BAG)] {
        let both = format!("{one} }}, {{ {other}");
        let larder = rice_and(3, "", &both, "", NUTS);
        let plan = week(&larder).unwrap();
        let finished = judged(&larder, &plan, 0);
        let offer = &finished.offers[0];
        assert_eq!((offer.gain, offer.price_minor), (6, 300));
    }
}

/// Bought on Sunday, ripe on Tuesday or Wednesday, and good for the next day once cut.
#[test]
fn a_pack_that_must_ripen_lifts_no_lunch_before_it_is_ready() {
    let hard = "pack: hard, size: 100 g, price: 3.00, ready: 2..3, open_keeps: 1";
    let larder = rice_and(4, "", hard, "", NUTS);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 1);
    assert_eq!(finished.bought[0].lifts, [2, 3]);
    assert_eq!(days(&finished), [2, 3]);
}

#[test]
fn a_milligram_is_fed_from_what_is_open_and_from_a_pack() {
    let crumb = "      - { food: nuts, amount: 1 mg, optional: true }";
    let open = "stock: [{ food: nuts, amount: 1 mg, opened: true, good_until: 2 }]";
    for (stock, bought) in [(open, 0), ("", 1)] {
        let larder = rice_and(1, "", BAG, stock, crumb);
        let plan = week(&larder).unwrap();
        let finished = judged(&larder, &plan, 1);
        assert_eq!(finished.bought.len(), bought, "{stock}");
        let placed: Vec<_> = finished.placed.iter().map(|p| (p.day, p.mg)).collect();
        assert_eq!(placed, [(1, 1)], "{stock}");
    }
}

/// Both are good until the ninth: the rest of 50 g is eaten up, and the new bag gives 30 g.
#[test]
fn what_is_open_is_eaten_up_before_what_is_opened_for_a_finisher() {
    let bag = "pack: bag, size: 100 g, price: 3.00, keeps: 9, open_keeps: 30";
    let open = "stock: [{ food: nuts, amount: 50 g, opened: true, good_until: 9 }]";
    let wanted = "      - { food: nuts, amount: 80 g, optional: true }";
    let larder = rice_and(1, "", bag, open, wanted);
    let plan = week(&larder).unwrap();
    let finished = judged(&larder, &plan, 1);
    let drawn = |lot: Lot| -> i64 {
        let of = finished.plan.openings.iter().filter(|o| o.lot == lot);
        of.flat_map(|o| &o.draws).map(|&(_, mg)| mg).sum()
    };
    assert_eq!(drawn(Lot::Stock(scant::larder::StockId(0))), 50_000);
    assert_eq!(
        drawn(Lot::Bought(finished.bought[0].purchase.pack, 0)),
        30_000
    );
}

/// With nothing to take from every choice of the two finishers a lunch must be looked at: 2^16 - 1
/// for eight lunches and 2^18 - 1 for nine, of which 200,000 are. The sack feeds them all at once.
#[test]
fn what_was_not_looked_through_is_not_called_complete() {
    let sack = "pack: sack, size: 1 kg, price: 9.00, keeps: 90, open_keeps: 30";
    let two = "      - { food: nuts, amount: 30 g, optional: true }
      - { food: nuts, amount: 20 g, optional: true }";
    for (lunches, complete) in [(8, true), (9, false)] {
        let larder = rice_and(lunches, "", sack, "", two);
        let plan = week(&larder).unwrap();
        let finished = finish(&larder, &plan, 0);
        assert_eq!(finished.complete, complete, "{lunches} lunches");
        assert_eq!(finished.offers[0].gain, 2 * i64::from(lunches));
    }
}
