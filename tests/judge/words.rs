//! Asks whether a finding says what is wrong: what of which lunch, unit or batch, on which day, how
//! much there is and how much is asked. A reader of the sentence alone must find the place.
//!
//! The figures are those of the good week (`tests/judge.rs`) and of the edit beside them, worked
//! by hand; one sentence for every fault, and none beside it.

use super::boatyard::{
    self, AVOCADO, AVOCADO_WRAP, COOKED_RICE, OIL, RICE, SALT, SPINACH_SOUP, TOFU, TOFU_BOWL,
    TOFU_WRAP, TORTILLA, basket, bought, opened, opening, pack_of,
};
use scant::larder::{
    CapBy, ComponentId, Contents, CreditRule, Credited, FamilyId, FoodId, Nutrient, NutrientRule,
    PackId, Per, Pin, RecipeId, StockId, Target,
};
use scant::plan::{Lot, Plan, Purchase};
use scant::rules::judge;

fn says(edit: impl FnOnce(&mut Contents, &mut Plan), sentences: &[&str]) {
    let (mut larder, mut plan) = (boatyard::contents(), boatyard::plan());
    edit(&mut larder, &mut plan);
    let findings = judge(&boatyard::sound(larder), &plan).expect_err("a broken week");
    let said: Vec<&str> = findings.iter().map(|found| found.detail.as_str()).collect();
    assert_eq!(said, sentences);
}

#[test]
fn of_what_the_kitchen_does_not_have() {
    says(
        |_, plan| plan.lunches[0].recipe = RecipeId(5),
        &["Monday serves recipe number 5"],
    );
    says(
        |_, plan| plan.batches[1].component = ComponentId(1),
        &["a batch of component number 1"],
    );
    says(
        |_, plan| plan.batches[0].foods.push((FoodId(7), 1)),
        &["a batch takes food number 7"],
    );
    says(
        |_, plan| plan.purchases[basket::TORTILLA].pack = PackId(7),
        &["pack number 7 is bought"],
    );
    says(
        |_, plan| plan.openings[opened::TORTILLA_THURSDAY].lot = Lot::Bought(PackId(7), 0),
        &["pack number 7 is opened"],
    );
    says(
        |_, plan| plan.purchases[basket::SPINACH].trip = 2,
        &["a pack of shopping trip number 3 is bought"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU_ON_HAND].lot = Lot::Stock(StockId(2)),
        &["unit on hand number 2 is opened"],
    );
}

#[test]
fn of_lunches_and_lines_that_are_missing() {
    says(
        |_, plan| {
            plan.lunches.pop();
        },
        &["the week has 4 lunch days and the plan 3 lunches"],
    );
    says(
        |_, plan| {
            plan.lunches[3].taken.pop();
        },
        &["Thursday's “avocado wrap” has 3 lines, 2 filled"],
    );
    says(
        |_, plan| plan.lunches[3].taken[1] = 2,
        &["Thursday's “avocado wrap”, line 2: it has 2 alternatives and number 3 is taken"],
    );
}

#[test]
fn of_days_that_are_not_in_the_week() {
    says(
        |_, plan| plan.batches[1].day = 5,
        &["a batch is cooked on Friday; Sunday to Thursday are planned"],
    );
    says(
        |_, plan| plan.batches[0].serves[0].0 = 0,
        &["a batch is eaten on Sunday; Monday to Thursday are planned"],
    );
    says(
        |_, plan| plan.batches[1].serves[0].0 = 5,
        &["a batch is eaten on Friday; Monday to Thursday are planned"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU_ON_HAND].day = 5,
        &["a unit is opened on Friday; Sunday to Thursday are planned"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU].draws[1].0 = 5,
        &["an opened unit is drawn from on Friday; Sunday to Thursday are planned"],
    );
}

#[test]
fn of_lists_out_of_order() {
    let said = |list: &str| format!("the {list} are not in order, or one stands twice");
    let of = |list: &str, edit: fn(&mut Plan)| says(|_, plan| edit(plan), &[&said(list)]);
    of("purchases", |plan| plan.purchases.swap(0, 1));
    of("batches", |plan| plan.batches.swap(0, 1));
    of("openings", |plan| plan.openings.swap(0, 1));
    of("draws of an opening", |plan| {
        plan.openings[opened::TOFU].draws.swap(0, 1);
    });
    of("lunches of a batch", |plan| {
        plan.batches[0].serves.swap(0, 1);
    });
    of("foods of a batch", |plan| plan.batches[0].foods.swap(0, 1));
    // A list that holds an entry twice is in order to the eye.
    of("lunches of a batch", |plan| {
        plan.batches[0].serves = vec![(1, 450_000), (3, 100_000), (3, 100_000)];
    });
    of("foods of a batch", |plan| {
        plan.batches[0].foods = vec![(RICE, 260_000), (SALT, 1_300), (SALT, 1_300)];
    });
}

#[test]
fn of_entries_of_nothing() {
    says(
        |_, plan| plan.purchases[basket::TOFU].count = 0,
        &["packs bought: 0"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU].draws[1].1 = -225_000,
        &["what is drawn: -225000"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU].units = 0,
        &["units opened: 0"],
    );
    says(
        |_, plan| plan.batches[1].serves.clear(),
        &["a batch serves no lunch"],
    );
    says(
        |_, plan| plan.batches[0].serves[1].1 = 0,
        &["what a batch serves: 0"],
    );
    says(
        |_, plan| plan.batches[1].foods[1].1 = 0,
        &["what a batch takes: 0"],
    );
}

#[test]
fn of_staples_and_of_figures_too_large() {
    says(
        |_, plan| {
            let oil = Purchase {
                pack: pack_of(OIL),
                trip: 0,
                count: 1,
            };
            plan.purchases.insert(2, oil);
        },
        &["olive oil is a staple, and a pack of it is bought"],
    );
    says(
        |_, plan| plan.openings[opened::RICE].lot = Lot::Bought(pack_of(SALT), 0),
        &["salt is a staple, and a pack of it is opened"],
    );
    // 2^53 is the last count that is looked at; so many packs add up to more than 64 bits hold.
    says(
        |_, plan| plan.purchases[basket::TOFU].count = (1 << 53) + 1,
        &["packs bought: 9007199254740993"],
    );
    says(
        |_, plan| plan.purchases[basket::TOFU].count = 1 << 53,
        &["the week's sums are too large to add up exactly"],
    );
}

#[test]
fn of_lunches_on_the_wrong_day_or_too_often() {
    says(
        |larder, _| larder.recipes[TOFU_BOWL.index()].days[0] = false,
        &["“tofu rice bowl” is not for Monday"],
    );
    says(
        |_, plan| {
            // Thursday eats Tuesday's wrap once more, from a second block.
            plan.lunches[3] = plan.lunches[1].clone();
            plan.openings[opened::SPINACH].draws.pop();
            plan.purchases[basket::TOFU].count = 2;
            let second = opening(bought(TOFU, 0), 4, &[(4, 225_000)]);
            plan.openings.insert(opened::TOFU + 1, second);
            plan.openings.remove(opened::AVOCADO);
            plan.purchases.remove(basket::AVOCADO);
        },
        &["“tofu wrap” appears 2 times; at most 1 allowed"],
    );
}

#[test]
fn of_batches() {
    says(
        |_, plan| plan.batches[1].serves[0].1 -= 1,
        &["cooked rice for Wednesday: 650 g asked for, 649.999 g cooked"],
    );
    says(
        |_, plan| plan.batches[1].serves.push((4, 1)),
        &["cooked rice for Thursday: 0 g asked for, 0.001 g cooked"],
    );
    says(
        |_, plan| {
            plan.batches[1].day = 4;
            plan.openings[opened::RICE].draws[1].0 = 4;
        },
        &["cooked rice cooked on Thursday is eaten on Wednesday"],
    );
    says(
        |larder, _| larder.components[0].keeps = 2,
        &["cooked rice cooked on Sunday keeps 2 days and is eaten on Wednesday"],
    );
    says(
        |_, plan| {
            plan.batches[1].foods[0].1 += 1;
            plan.openings[opened::RICE].draws[1].1 += 1;
        },
        &["cooked rice cooked on Tuesday: 180.001 g of brown rice taken, 180 g would be its share"],
    );
    says(
        |_, plan| {
            // A milligram of tortilla in the pot, drawn and all.
            plan.batches[1].foods.push((TORTILLA, 1));
            plan.openings[opened::TORTILLA_TUESDAY].draws = vec![(2, 147_001), (4, 48_999)];
            plan.openings[opened::TORTILLA_THURSDAY].draws = vec![(4, 98_001)];
        },
        &["cooked rice cooked on Tuesday: 0.001 g of wheat tortilla taken, 0 g would be its share"],
    );
    // Shares of 200.001 g and 449.999 g: 80.0004 g and 179.9996 g of rice, 0.800004 g and
    // 1.799996 g of salt.
    let uneven = |plan: &mut Plan, rice: [i64; 2]| {
        plan.batches[0].serves[1].1 = 200_001;
        plan.batches[1].serves[0].1 = 449_999;
        plan.batches[0].foods = vec![(RICE, 180_000 + rice[0]), (SALT, 2_600)];
        plan.batches[1].foods = vec![(RICE, rice[1]), (SALT, 1_800)];
        plan.openings[opened::RICE].draws = vec![(0, 180_000 + rice[0]), (2, rice[1])];
    };
    says(
        |_, plan| uneven(plan, [80_001, 180_000]),
        &[
            "all batches of cooked rice together take 0.001 g of brown rice more than its lunches come to",
        ],
    );
    says(
        |_, plan| uneven(plan, [80_000, 179_999]),
        &[
            "all batches of cooked rice together take 0.001 g of brown rice less than its lunches come to",
        ],
    );
}

#[test]
fn of_units_and_their_days() {
    says(
        |larder, plan| {
            larder.week.trips[1].day = 3;
            plan.purchases[basket::TORTILLA].trip = 1;
            plan.openings[opened::TORTILLA_TUESDAY].lot = bought(TORTILLA, 1);
            plan.openings[opened::TORTILLA_THURSDAY].lot = bought(TORTILLA, 1);
        },
        &["wheat tortilla (3 bags of 4) bought on Wednesday is opened on Tuesday"],
    );
    says(
        |larder, _| larder.packs[pack_of(AVOCADO).index()].ready_from = 5,
        &["avocado (one, hard) is ready on Friday and opened on Thursday"],
    );
    says(
        |larder, _| larder.packs[pack_of(AVOCADO).index()].ready_to = 3,
        &["avocado (one, hard) may be opened to Wednesday and is opened on Thursday"],
    );
    says(
        |_, plan| {
            plan.openings[opened::TORTILLA_TUESDAY].draws = vec![(2, 146_000), (4, 50_000)];
            plan.openings[opened::TORTILLA_THURSDAY].draws = vec![(2, 1_000), (4, 97_000)];
        },
        &["wheat tortilla (3 bags of 4) opened on Thursday is used on Tuesday"],
    );
    says(
        |larder, _| larder.packs[pack_of(TORTILLA).index()].open_life = 1,
        &[
            "wheat tortilla (3 bags of 4) opened on Tuesday is good to Wednesday and used on Thursday",
        ],
    );
}

#[test]
fn of_units_and_what_they_hold() {
    says(
        |_, plan| plan.openings[opened::TORTILLA_THURSDAY].day = 3,
        &["wheat tortilla (3 bags of 4): 1 opened on Wednesday, 0 g used that day"],
    );
    says(
        |_, plan| {
            plan.openings[opened::TORTILLA_TUESDAY].draws[1].1 += 1;
            plan.openings[opened::TORTILLA_THURSDAY].draws[0].1 -= 1;
        },
        &["wheat tortilla (3 bags of 4) opened on Tuesday holds 196 g, 196.001 g drawn"],
    );
    says(
        |_, plan| {
            plan.openings[opened::TORTILLA_TUESDAY].units = 2;
            plan.openings[opened::TORTILLA_THURSDAY].units = 2;
        },
        &["wheat tortilla (3 bags of 4): 3 units bought, 4 opened"],
    );
    says(
        |_, plan| {
            plan.purchases.remove(basket::TOFU);
        },
        &["tofu (454 g block): 0 units bought, 1 opened"],
    );
    says(
        |_, plan| plan.openings[opened::TOFU].draws[1].1 += 1,
        &["0.001 g of tofu drawn on Tuesday are not used"],
    );
}

#[test]
fn of_nutrients_and_food_groups() {
    let protein = |larder: &mut Contents, per, floor, ceiling| {
        larder.wishes.nutrition.push(NutrientRule {
            nutrient: Nutrient::Protein,
            per,
            at_least_milli: floor,
            at_most_milli: ceiling,
            source: String::new(),
        });
    };
    says(
        |larder, _| protein(larder, Per::Lunch, Some(5_293), Some(13_239)),
        // Floors before ceilings: the order of the rules.
        &[
            "Thursday's “avocado wrap” has 5.292 g protein; at least 5.293 g asked",
            "Monday's “tofu rice bowl” has 13.24 g protein; at most 13.239 g asked",
        ],
    );
    says(
        |larder, _| protein(larder, Per::Week, Some(8_952), None),
        &["the week's mean has 8.951125 g protein; at least 8.952 g asked"],
    );
    says(
        |larder, _| protein(larder, Per::Week, None, Some(8_951)),
        &["the week's mean has 8.951125 g protein; at most 8.951 g asked"],
    );
    // 20 g of rice or 50 g of tortilla are one piece.
    let grain = |larder: &mut Contents, per, floor, ceiling| {
        let mut figures_micro = vec![0; larder.foods.len()];
        figures_micro[RICE.index()] = 5_000_000;
        figures_micro[TORTILLA.index()] = 2_000_000;
        larder.wishes.credits.push(CreditRule {
            what: Credited::Group {
                name: "grain".to_owned(),
                unit: "piece".to_owned(),
            },
            per,
            at_least_micro: floor,
            at_most_micro: ceiling,
            source: String::new(),
            figures_micro,
        });
    };
    says(
        |larder, _| grain(larder, Per::Lunch, Some(980_001), Some(3_500_000)),
        &[
            "Tuesday's “tofu wrap” gives 0.98 piece of grain; at least 0.980001 piece asked",
            "Thursday's “avocado wrap” gives 0.98 piece of grain; at least 0.980001 piece asked",
            "Wednesday's “green rice bowl” gives 4 piece of grain; at most 3.5 piece asked",
        ],
    );
    says(
        |larder, _| grain(larder, Per::Week, Some(9_000_000), None),
        &["the week gives 8.96 piece of grain; at least 9 piece asked"],
    );
    says(
        |larder, _| {
            grain(larder, Per::Lunch, Some(2_000_000), None);
            larder.wishes.credits[0].what = Credited::EnergyShare {
                nutrient: Nutrient::Protein,
                below_percent: 20,
            };
        },
        &[
            "Tuesday's “tofu wrap” has protein for 20 % of its energy or more",
            "Thursday's “avocado wrap” has protein for 20 % of its energy or more",
        ],
    );
}

#[test]
fn of_minutes_forms_proteins_and_likeness() {
    says(
        |larder, _| larder.wishes.minutes_nano[2] = Some(16_899_999_999),
        &["Tuesday takes 16.9 active minutes; at most 16.899999999 allowed"],
    );
    says(
        |larder, _| larder.wishes.kitchen_minutes_nano[2] = Some(51_899_999_999),
        &[
            "Tuesday takes 51.9 minutes in the kitchen, one thing after another; \
           at most 51.899999999 allowed",
        ],
    );
    says(
        |larder, _| larder.wishes.cook_on = Some(vec![0]),
        &["cooked rice is cooked on Tuesday, and `cook_on` leaves that day out"],
    );
    says(
        |larder, _| {
            larder.recipes[AVOCADO_WRAP.index()].form = boatyard::SOUP;
            larder.wishes.per_form = Some(1);
        },
        &["2 lunches are bowl; at most 1 allowed"],
    );
    says(
        |larder, _| {
            larder.recipes[TOFU_WRAP.index()].form = boatyard::BOWL;
            larder.wishes.form_never_adjacent = true;
        },
        &[
            "Monday and Tuesday are both bowl",
            "Tuesday and Wednesday are both bowl",
        ],
    );
    says(
        |larder, _| larder.wishes.per_protein = Some(1),
        &["2 lunches are built on tofu; at most 1 allowed"],
    );
    // 0.71524 for these two, 0.50997 for the two bowls.
    says(
        |larder, _| larder.wishes.sameness_milli = Some(500),
        &[
            "“green rice bowl” and “tofu rice bowl” are more than 0.5 alike",
            "“tofu rice bowl” and “tofu wrap” are more than 0.5 alike",
        ],
    );
    says(
        |larder, _| larder.wishes.sameness_adjacent_milli = Some(715),
        &["“tofu rice bowl” on Monday and “tofu wrap” on Tuesday are more than 0.715 alike"],
    );
}

fn banned(ban: Target, sentences: &[&str]) {
    says(|larder, _| larder.wishes.without.push(ban), sentences);
}

#[test]
fn of_bans_on_foods() {
    banned(
        Target::Food(TOFU),
        &[
            "Monday's “tofu rice bowl” takes tofu, banned by the food “tofu”",
            "Tuesday's “tofu wrap” takes tofu, banned by the food “tofu”",
        ],
    );
    banned(
        Target::Food(RICE),
        &[
            "Monday's “tofu rice bowl” takes cooked rice, which contains brown rice, banned by the food “brown rice”",
            "Wednesday's “green rice bowl” takes cooked rice, which contains brown rice, banned by the food “brown rice”",
        ],
    );
    banned(
        Target::Family(FamilyId(0)),
        &[
            "Monday's “tofu rice bowl” takes tofu, banned by the family “beans”",
            "Tuesday's “tofu wrap” takes tofu, banned by the family “beans”",
        ],
    );
    banned(
        Target::Tag("fruit".to_owned()),
        &["Thursday's “avocado wrap” takes avocado, banned by the tag “fruit”"],
    );
    banned(
        Target::Allergen("wheat".to_owned()),
        &[
            "Tuesday's “tofu wrap” takes wheat tortilla, banned by the allergen “wheat”",
            "Thursday's “avocado wrap” takes wheat tortilla, banned by the allergen “wheat”",
        ],
    );
}

#[test]
fn of_bans_on_recipes_and_components() {
    banned(
        Target::Recipe(TOFU_WRAP),
        &["Tuesday's “tofu wrap” is banned by the recipe “tofu wrap”"],
    );
    banned(
        Target::Resting {
            recipe: TOFU_WRAP,
            weeks_ago: 2,
        },
        &["Tuesday's “tofu wrap” is banned by the rest of “tofu wrap”, last served 2 weeks ago"],
    );
    banned(
        Target::Equipment("bowl with lid".to_owned()),
        &["Monday's “tofu rice bowl” is banned by the equipment “bowl with lid”"],
    );
    banned(
        Target::Component(COOKED_RICE),
        &[
            "Monday's “tofu rice bowl” takes cooked rice, banned by the component “cooked rice”",
            "Wednesday's “green rice bowl” takes cooked rice, banned by the component “cooked rice”",
        ],
    );
}

#[test]
fn of_pins_cap_and_budget() {
    says(
        |larder, _| {
            larder.wishes.with = vec![
                Pin::Recipe(SPINACH_SOUP, None),
                Pin::Recipe(TOFU_WRAP, Some(3)),
                Pin::Food(TOFU, Some(3)),
            ];
        },
        &[
            "“spinach soup” does not appear in the week",
            "“tofu wrap” does not appear on Wednesday",
            "“tofu” does not appear on Wednesday",
        ],
    );
    says(
        |larder, _| larder.wishes.cap = Some(4),
        &["5 foods are bought; at most 4 allowed"],
    );
    says(
        |larder, _| {
            larder.wishes.cap = Some(3);
            larder.wishes.cap_by = CapBy::Families;
        },
        &["4 families are bought; at most 3 allowed"],
    );
    says(
        |larder, _| larder.wishes.budget_minor = Some(1_070),
        &["the packs cost €10.71; at most €10.70 allowed"],
    );
}
