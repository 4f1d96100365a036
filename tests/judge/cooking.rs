//! Asks whether batches must serve exactly what is eaten, in time and in their ratio.

use super::boatyard::{COOKED_RICE, RICE, SALT, TOFU_BOWL, opened};
use super::{at_the_limit, refusals};
use scant::larder::{ComponentId, Contents, Ingredient};
use scant::plan::{Batch, Plan};

/// Shares Wednesday's 650 g as 200.001 g and 449.999 g. Its 260 g of rice then share out
/// as 80.0004 and 179.9996, its 2.6 g of salt as 0.800004 and 1.799996.
fn uneven(plan: &mut Plan, rice: [i64; 2], salt: [i64; 2]) {
    plan.batches[0].serves[1].1 = 200_001;
    plan.batches[1].serves[0].1 = 449_999;
    // Monday's 450 g come whole from the first batch.
    plan.batches[0].foods = vec![(RICE, 180_000 + rice[0]), (SALT, 1_800 + salt[0])];
    plan.batches[1].foods = vec![(RICE, rice[1]), (SALT, salt[1])];
    plan.openings[opened::RICE].draws = vec![(0, 180_000 + rice[0]), (2, rice[1])];
}

fn on_day(plan: &mut Plan, day: u8) {
    plan.batches[1].day = day;
    plan.openings[opened::RICE].draws[1].0 = day;
}

refusals! {
    a_milligram_of_rice_missing_is_refused is "component-not-met": |_, plan| {
        plan.batches[1].serves[0].1 -= 1;
    };
    a_milligram_of_rice_too_much_is_refused is "cooked-without-use": |_, plan| {
        plan.batches[1].serves[0].1 += 1;
    };
    rice_served_to_a_lunch_without_rice_is_refused is "cooked-without-use": |_, plan| {
        plan.batches[1].serves.push((4, 1));
    };
    rice_eaten_the_day_before_it_is_cooked_is_refused is "eaten-before-cooked": |_, plan| {
        on_day(plan, 4);
    };
    rice_eaten_a_day_past_its_keeping_is_refused is "past-keeping-time": |larder, _| {
        larder.components[0].keeps = 2;
    };
    a_milligram_more_rice_in_the_pot_is_refused is "foods-off-the-ratio": |_, plan| {
        plan.batches[1].foods[0].1 += 1;
        plan.openings[opened::RICE].draws[1].1 += 1;
    };
    rice_moved_from_one_pot_to_the_other_is_refused is "foods-off-the-ratio": |_, plan| {
        plan.batches[0].foods[0].1 -= 1;
        plan.batches[1].foods[0].1 += 1;
        plan.openings[opened::RICE].draws = vec![(0, 259_999), (2, 180_001)];
    };
    a_pot_without_its_salt_is_refused is "foods-off-the-ratio": |_, plan| {
        plan.batches[1].foods.pop();
    };
    both_pots_rounding_up_is_refused is "foods-off-the-ratio": |_, plan| {
        uneven(plan, [80_001, 180_000], [800, 1_800]);
    };
    both_pots_rounding_down_is_refused is "foods-off-the-ratio": |_, plan| {
        uneven(plan, [80_000, 179_999], [800, 1_800]);
    };
}

/// Monday's bowl takes a rice of its own, in all else like the other: 450 g of it, of 180 g.
fn two_kinds(larder: &mut Contents, plan: &mut Plan) {
    let mut sticky = larder.components[COOKED_RICE.index()].clone();
    "sticky rice".clone_into(&mut sticky.name);
    larder.components.push(sticky);
    let sticky = ComponentId(1);
    let bowl = &mut larder.recipes[TOFU_BOWL.index()];
    bowl.lines[0].alternatives[0].what = Ingredient::Component(sticky);
    plan.batches[0].serves.remove(0);
    plan.batches[0].foods = vec![(RICE, 80_000), (SALT, 800)];
    plan.batches.push(Batch {
        component: sticky,
        day: 0,
        serves: vec![(1, 450_000)],
        foods: vec![(RICE, 180_000), (SALT, 1_800)],
    });
}

at_the_limit! {
    // Of Wednesday's 650 g, with 2.6 g of salt, 0.1 g from a pot of Monday's: 0.4 mg of salt, which
    // the other pot may take whole.
    a_share_that_rounds_to_nothing_may_be_left_out_of_the_pot: |_, plan: &mut Plan| {
        plan.batches[0].serves.pop();
        plan.batches[0].foods = vec![(RICE, 180_000), (SALT, 1_800)];
        let mut little = plan.batches[1].clone();
        (little.day, little.serves, little.foods) = (1, vec![(3, 100)], vec![(RICE, 40)]);
        plan.batches[1].serves = vec![(3, 649_900)];
        plan.batches[1].foods = vec![(RICE, 259_960), (SALT, 2_600)];
        plan.batches.insert(1, little);
        plan.openings[opened::RICE].draws = vec![(0, 180_000), (1, 40), (2, 259_960)];
    };
    each_component_has_batches_of_its_own: two_kinds;
    // In the good week Sunday's rice is eaten on Wednesday, its third and last day.
    rice_cooked_on_the_day_it_is_eaten_is_accepted: |_, plan| on_day(plan, 3);
    rice_that_is_eaten_only_fresh_keeps_no_day: |larder: &mut Contents, plan: &mut Plan| {
        larder.components[0].keeps = 0;
        plan.batches[0].day = 1;
        plan.batches[0].serves.pop();
        plan.batches[0].foods = vec![(RICE, 180_000), (SALT, 1_800)];
        plan.batches[1].day = 3;
        plan.batches[1].serves[0].1 = 650_000;
        plan.batches[1].foods = vec![(RICE, 260_000), (SALT, 2_600)];
        plan.openings[opened::RICE].day = 1;
        plan.openings[opened::RICE].draws = vec![(1, 180_000), (3, 260_000)];
    };
    a_shared_lunch_may_round_its_rice_to_the_nearest: |_, plan| {
        uneven(plan, [80_000, 180_000], [800, 1_800]);
    };
    a_shared_lunch_may_round_its_rice_the_other_way: |_, plan| {
        uneven(plan, [80_001, 179_999], [801, 1_799]);
    };
}
