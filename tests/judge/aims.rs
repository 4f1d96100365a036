//! Asks whether floors and ceilings hold exactly, without rounding.
//!
//! Protein per portion, worked by hand from the table's grams per 100 g:
//! - tofu rice bowl: 150 g cooked rice = 60 g rice x 7.94 % = 4.764; 100 g tofu 8.19; 10 g
//!   spinach 0.286: 13.240
//! - tofu wrap: 49 g tortilla 3.92; 75 g tofu 6.1425: 10.0625
//! - green rice bowl: 80 g rice 6.352; 30 g spinach 0.858: 7.210
//! - avocado wrap: 3.92; 40 g avocado 0.8; 20 g spinach 0.572: 5.292
//!
//! Together 35.8045, a mean of 8.951125 g.

use super::boatyard::{TOFU, TOFU_BOWL, opened};
use super::{at_the_limit, refusals};
use scant::larder::{Contents, Nutrient, NutrientRule, Per};
use scant::plan::Plan;

fn protein(larder: &mut Contents, per: Per, floor: Option<i64>, ceiling: Option<i64>) {
    larder.wishes.nutrition.push(NutrientRule {
        nutrient: Nutrient::Protein,
        per,
        at_least_milli: floor,
        at_most_milli: ceiling,
        source: "the limits of the good week".to_owned(),
    });
}

/// Tofu alone has the nutrient, a gram in 100 g, and Monday's bowl takes so many milligrams more
/// than its 100 g, for each of three eaters.
fn more_tofu(larder: &mut Contents, plan: &mut Plan, mg: i64) {
    for food in &mut larder.foods {
        food.nutrients_milli[Nutrient::Protein.index()] = Some(0);
    }
    larder.foods[TOFU.index()].nutrients_milli[Nutrient::Protein.index()] = Some(1_000);
    larder.recipes[TOFU_BOWL.index()].lines[1].alternatives[0].mg += mg;
    plan.openings[opened::TOFU].draws[0].1 += 3 * mg;
}

refusals! {
    a_lunch_a_thousandth_below_its_floor_is_refused is "lunch-below-floor": |larder, _| {
        protein(larder, Per::Lunch, Some(5_293), None);
    };
    a_lunch_a_thousandth_above_its_ceiling_is_refused is "lunch-above-ceiling": |larder, _| {
        protein(larder, Per::Lunch, None, Some(13_239));
    };
    // 1.00001 g where 1 g is allowed.
    a_milligram_of_food_above_a_ceiling_is_refused is "lunch-above-ceiling": |larder, plan| {
        more_tofu(larder, plan, 1);
        protein(larder, Per::Lunch, None, Some(1_000));
    };
    // At 4 g in 100 g, 100 g and 75 g have 7 g: a mean of 1.75 g, and a milligram less is below.
    a_milligram_of_food_below_a_floor_is_refused is "week-below-floor": |larder, plan| {
        more_tofu(larder, plan, -1);
        larder.foods[TOFU.index()].nutrients_milli[Nutrient::Protein.index()] = Some(4_000);
        protein(larder, Per::Week, Some(1_750), None);
    };
    a_mean_a_thousandth_below_its_floor_is_refused is "week-below-floor": |larder, _| {
        protein(larder, Per::Week, Some(8_952), None);
    };
    a_mean_an_eighth_of_a_thousandth_above_its_ceiling_is_refused is "week-above-ceiling":
        |larder, _| protein(larder, Per::Week, None, Some(8_951));
    an_unknown_figure_counts_as_nothing_towards_a_floor is "lunch-below-floor": |larder, _| {
        larder.foods[TOFU.index()].nutrients_milli[Nutrient::Protein.index()] = None;
        protein(larder, Per::Lunch, Some(5_000), None);
    };
}

at_the_limit! {
    lunches_exactly_at_floor_and_ceiling_are_accepted: |larder, _| {
        protein(larder, Per::Lunch, Some(5_292), Some(13_240));
    };
    exactly_the_food_that_a_ceiling_allows_is_accepted: |larder, plan| {
        more_tofu(larder, plan, 0);
        protein(larder, Per::Lunch, None, Some(1_000));
    };
    a_mean_between_two_neighbouring_thousandths_is_accepted: |larder, _| {
        protein(larder, Per::Week, Some(8_951), Some(8_952));
    };
    an_unknown_figure_counts_as_nothing_towards_a_ceiling: |larder, _| {
        larder.foods[TOFU.index()].nutrients_milli[Nutrient::Protein.index()] = None;
        protein(larder, Per::Lunch, None, Some(7_210));
    };
    // Without the tofu's 8.19 and 6.1425 g: 21.472 g together, a mean of 5.368 g.
    an_unknown_figure_counts_as_exactly_nothing: |larder, _| {
        larder.foods[TOFU.index()].nutrients_milli[Nutrient::Protein.index()] = None;
        protein(larder, Per::Week, Some(5_368), Some(5_368));
    };
    a_hungrier_table_does_not_change_what_a_portion_holds: |larder, _| {
        // Wednesday feeds 3.25 portions; its bowl still has 7.21 g.
        protein(larder, Per::Lunch, None, Some(13_240));
        protein(larder, Per::Lunch, Some(5_292), None);
    };
}
