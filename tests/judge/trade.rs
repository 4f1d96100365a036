//! Asks whether the judge knows what every cook knows.
//!
//! The truth is common practice, and one published figure, named beside its test.

use super::boatyard::{BOWL, bare, bought, food, of, opening, pack, recipe, sound};
use scant::larder::{
    Component, ComponentId, Contents, FoodId, Household, Ingredient, Pack, RecipeId, Stock, StockId,
};
use scant::plan::{Batch, Lot, Lunch, Plan, Purchase};
use scant::rules::{Tally, judge};

const BLOCK: FoodId = FoodId(0);
const OATS: FoodId = FoodId(1);

fn codes(larder: &Contents, plan: &Plan) -> Result<Tally, Vec<&'static str>> {
    judge(&sound(larder.clone()), plan)
        .map_err(|findings| findings.iter().map(|finding| finding.code).collect())
}

/// One food in one pack, and recipes of it: `amounts[i]` on day i + 1, oats (a staple)
/// where the amount is nothing.
fn week_of(pack: Pack, amounts: &[i64]) -> (Contents, Plan) {
    let days = amounts.len();
    let mut larder = bare(days as u8);
    larder.foods = [food("block", 0, None), food("oats", 1, None)].into();
    larder.foods[1].staple = true;
    larder.packs = [pack, super::boatyard::pack(OATS, "bag", 1_000_000, 100)].into();
    larder.recipes = amounts
        .iter()
        .map(|&mg| {
            let line = if mg > 0 {
                of(BLOCK, mg)
            } else {
                of(OATS, 50_000)
            };
            recipe("lunch", BOWL, 0, days, vec![line])
        })
        .collect();
    let draws: Vec<(u8, i64)> = (1..)
        .zip(amounts.iter().copied())
        .filter(|&(_, mg)| mg > 0)
        .collect();
    let plan = Plan {
        lunches: (0..days as u32)
            .map(|index| Lunch {
                recipe: RecipeId(index),
                taken: vec![0],
            })
            .collect(),
        batches: Vec::new(),
        purchases: vec![Purchase {
            pack: super::boatyard::pack_of(BLOCK),
            trip: 0,
            count: 1,
        }],
        openings: vec![opening(bought(BLOCK, 0), draws[0].0, &draws)],
    };
    (larder, plan)
}

fn tofu_block() -> Pack {
    let mut block = pack(BLOCK, "454 g block", 454_000, 227);
    (block.open_life, block.ready_to, block.end) = (4, 30, 30);
    block
}

/// Common practice, no source: a 16 oz (454 g) block is cut into quarters of 113.5 g.
#[test]
fn a_block_in_quarters_three_early_and_one_on_friday_leaves_nothing() {
    let quarter = 454_000 / 4;
    let (larder, plan) = week_of(tofu_block(), &[quarter, quarter, quarter, 0, quarter]);
    let tally = codes(&larder, &plan).expect("exactly one block");
    assert_eq!((tally.packs_minor, tally.foods), (227, 1));
    assert_eq!((tally.spoiled_nano, tally.kept_nano), (0, 0));
}

#[test]
fn a_fifth_quarter_is_not_in_the_block() {
    let quarter = 454_000 / 4;
    let (larder, plan) = week_of(tofu_block(), &[quarter; 5]);
    assert_eq!(codes(&larder, &plan), Err(vec!["drawn-more-than-it-holds"]));
}

#[test]
fn a_block_opened_on_monday_with_three_days_of_open_life_is_no_lunch_on_friday() {
    let quarter = 454_000 / 4;
    let mut block = tofu_block();
    block.open_life = 3;
    let (larder, plan) = week_of(block, &[quarter, quarter, quarter, 0, quarter]);
    assert_eq!(codes(&larder, &plan), Err(vec!["drawn-after-good-day"]));
}

/// A ripe avocado, its cut half good to the next day.
fn ripe_avocado() -> Pack {
    let mut avocado = pack(BLOCK, "one, ripe", 148_000, 120);
    (avocado.open_life, avocado.ready_to, avocado.end) = (1, 2, 3);
    avocado
}

/// Common practice, no source: a cut avocado half keeps to the next day, wrapped and cold.
#[test]
fn a_cut_avocado_half_keeps_to_the_next_day() {
    let (larder, plan) = week_of(ripe_avocado(), &[74_000, 74_000, 0]);
    let tally = codes(&larder, &plan).expect("halves on two days running");
    assert_eq!(tally.spoiled_nano, 0);
}

#[test]
fn a_cut_avocado_half_does_not_keep_longer() {
    let (larder, plan) = week_of(ripe_avocado(), &[74_000, 0, 74_000]);
    assert_eq!(codes(&larder, &plan), Err(vec!["drawn-after-good-day"]));
}

#[test]
fn a_half_that_nobody_eats_is_spoiled_at_half_the_price() {
    let mut avocado = ripe_avocado();
    avocado.value_nano = 810_811; // 120 / 148,000 mg = 0.000810810811, to 1e-9
    let (larder, plan) = week_of(avocado, &[74_000, 0, 0]);
    let tally = codes(&larder, &plan).expect("half an avocado");
    // 74 g at 0.810811 a gram is 60.000014: half of 120, to the rounding of the value.
    assert_eq!(tally.spoiled_nano, 60_000_014_000);
}

/// A block cooked as it is.
fn pot(keeps: i32) -> Component {
    Component {
        name: "pot".to_owned(),
        foods: vec![(BLOCK, 454_000)],
        inside: Vec::new(),
        makes_mg: 454_000,
        keeps,
        batch_minutes_nano: 0,
        minutes_per_mg_nano: 0,
        passive_minutes: 0,
        portion_mg: None,
        needs: Vec::new(),
        tags: Vec::new(),
        dressing: false,
        steps: Vec::new(),
        household: Household::default(),
    }
}

/// Cooked leftovers keep 3 to 4 days in the refrigerator (University of Illinois Extension,
/// "Leftovers", pointing to USDA FSIS). With the four days: Sunday's pot is still Thursday's
/// lunch and no longer Friday's. Follow the local food code where it is stricter.
#[test]
fn a_sunday_pot_of_beans_feeds_thursday_and_not_friday() {
    let eaten_on = |eaten: u8| {
        let mut amounts = [0; 5];
        amounts[usize::from(eaten) - 1] = 454_000;
        let (mut larder, mut plan) = week_of(tofu_block(), &amounts);
        larder.components = [pot(4)].into();
        larder.recipes[usize::from(eaten) - 1].lines[0].alternatives[0].what =
            Ingredient::Component(ComponentId(0));
        plan.batches = vec![Batch {
            component: ComponentId(0),
            day: 0,
            serves: vec![(eaten, 454_000)],
            foods: vec![(BLOCK, 454_000)],
        }];
        plan.openings = vec![opening(bought(BLOCK, 0), 0, &[(0, 454_000)])];
        codes(&larder, &plan)
    };
    assert!(eaten_on(4).is_ok());
    assert_eq!(eaten_on(5), Err(vec!["past-keeping-time"]));
}

/// What is on hand in two halves, one good on Sunday only and one to be opened on Tuesday:
/// two pots between them feed Tuesday without a purchase, one pot cannot.
#[test]
fn two_pots_for_one_lunch_use_up_what_a_single_pot_could_not() {
    let (larder, plan) = two_pots();
    let tally = codes(&larder, &plan).expect("a lunch may draw on two batches");
    assert_eq!((tally.packs_minor, tally.spoiled_nano), (0, 0));
    assert_eq!(tally.objective_nano, 0);
}

fn two_pots() -> (Contents, Plan) {
    let half = 227_000;
    let (mut larder, mut plan) = week_of(tofu_block(), &[0, 2 * half]);
    larder.components = [pot(4)].into();
    larder.recipes[1].lines[0].alternatives[0].what = Ingredient::Component(ComponentId(0));
    larder.foods[OATS.index()].staple_value_nano = 0;
    for (id, recipe) in larder.recipes.iter_mut().enumerate() {
        recipe.days = vec![id == 0, id == 1];
    }
    larder.stock = [(true, 0, 0), (false, 2, 2)]
        .map(|(opened, ready_from, ready_to)| Stock {
            food: BLOCK,
            label: "half a block".to_owned(),
            left_mg: half,
            opened,
            ready_from,
            ready_to,
            open_life: 0,
            end: ready_to,
            value_nano: 500_000,
        })
        .into();
    plan.purchases.clear();
    plan.batches = [0, 2]
        .map(|day| Batch {
            component: ComponentId(0),
            day,
            serves: vec![(2, half)],
            foods: vec![(BLOCK, half)],
        })
        .into();
    plan.openings = [(0, 0), (1, 2)]
        .map(|(id, day)| opening(Lot::Stock(StockId(id)), day, &[(day, half)]))
        .into();
    (larder, plan)
}

/// Common practice, no source: a week's shopping list names whole packs, so the boatyard's
/// lunches are paid for by the pack whatever is left in it.
#[test]
fn a_spoonful_from_a_pack_costs_the_whole_pack() {
    let (larder, plan) = week_of(tofu_block(), &[1, 0, 0, 0, 0]);
    let tally = codes(&larder, &plan).expect("a milligram is a use");
    assert_eq!(tally.packs_minor, 227);
    // 453.999 g at 0.5, opened on Monday, good to Friday, carried to day 8: spoiled.
    assert_eq!(tally.spoiled_nano, 226_999_500_000);
}
