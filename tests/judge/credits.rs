//! Asks whether food groups and shares of energy hold exactly.
//!
//! A portion of each lunch, by hand: the tofu bowl has 60 g of rice (150 g cooked) and 100 g of
//! tofu, the tofu wrap 49 g of tortilla and 75 g of tofu, the green bowl 80 g of rice, the avocado
//! wrap 49 g of tortilla. Where 20 g of rice or 50 g of tortilla count as one of grain, that is
//! 3, 0.98, 4 and 0.98: 8.96 in the week.

use super::boatyard::{RICE, TOFU, TORTILLA};
use super::{at_the_limit, refusals};
use scant::larder::{Contents, CreditRule, Credited, Nutrient, Per};

fn grain(larder: &mut Contents, per: Per, floor: Option<i64>, ceiling: Option<i64>) {
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
        source: "the limits of the good week".to_owned(),
        figures_micro,
    });
}

/// Protein of tofu against energy of rice: 100 g of rice leave so many millionths of a kcal, 100 g
/// of tofu take one. Over the week 140 g of rice stand against 175 g of tofu.
fn share(larder: &mut Contents, per: Per, rice: i64) {
    let mut figures_micro = vec![0; larder.foods.len()];
    figures_micro[RICE.index()] = rice;
    figures_micro[TOFU.index()] = -1;
    larder.wishes.credits.push(CreditRule {
        what: Credited::EnergyShare {
            nutrient: Nutrient::Protein,
            below_percent: 20,
        },
        per,
        at_least_micro: Some(1),
        at_most_micro: None,
        source: "made up for this test".to_owned(),
        figures_micro,
    });
}

refusals! {
    a_lunch_a_millionth_short_of_a_group_is_refused is "lunch-lacks-credit": |larder, _| {
        grain(larder, Per::Lunch, Some(980_001), None);
    };
    a_lunch_a_millionth_over_a_group_is_refused is "lunch-over-credit": |larder, _| {
        grain(larder, Per::Lunch, None, Some(3_999_999));
    };
    a_week_a_millionth_short_of_a_group_is_refused is "week-lacks-credit": |larder, _| {
        grain(larder, Per::Week, Some(8_960_001), None);
    };
    a_week_a_millionth_over_a_group_is_refused is "week-over-credit": |larder, _| {
        grain(larder, Per::Week, None, Some(8_959_999));
    };
    a_lunch_at_its_share_of_energy_is_refused is "lunch-over-energy-share": |larder, _| {
        // Lunches without either have nothing left: below is not at.
        share(larder, Per::Lunch, 5);
    };
    a_week_over_its_share_of_energy_is_refused is "week-over-energy-share": |larder, _| {
        share(larder, Per::Week, 1);
    };
}

at_the_limit! {
    lunches_exactly_at_what_a_group_asks_are_accepted: |larder, _| {
        grain(larder, Per::Lunch, Some(980_000), Some(4_000_000));
    };
    a_week_exactly_at_what_a_group_asks_is_accepted: |larder, _| {
        grain(larder, Per::Week, Some(8_960_000), Some(8_960_000));
    };
    a_week_below_its_share_of_energy_is_accepted: |larder, _| share(larder, Per::Week, 2);
}
