//! Asks whether a larder can be anything but sound: every limit at its last figure and one beyond,
//! ids that name nothing, and random changes one after the other.
//!
//! The limits are those that `models/kitchen-files.md` tells the cook, written out here. A change
//! must end as if what comes of it were checked from the beginning, whatever the change left
//! alone; what passes must be of use: a search that works in checked arithmetic, a judge, a
//! program and a report go through it. It does not ask whether files are read rightly.

mod support;

use std::collections::BTreeMap;

use scant::engine::{Effort, EngineFault, Given, Limits, Outcome, solve_given};
use scant::larder::sameness::Sameness;
use scant::larder::wishes::Preferred;
use scant::larder::{
    Aim, ComponentId, Contents, Flaw, FoodId, FormId, Ingredient, Larder, Largest, Pin, Preference,
    ProteinId, RecipeId, ShopId, ShoppingTrip, Target, Wrong,
};
use support::random::{Dice, Size, draw};

/// A kitchen with one of everything. Prices invented; nutrients of nobody's food.
const SLIP: &str = r"
kitchen: the slip
currency: EUR
week: { lunches: 3, carry_day: 6, eaters: 2, trips: [0, 1] }
equipment: { stove: 1 }
stock:
  - { food: beans, amount: 100 g, good_until: 2, opened: true }
  - { food: pears, amount: 150 g, good_until: 3 }
foods:
  - { food: salt, staple: true, nutrients: { energy: 0 }, source: invented, packs: [{ size: 500 g, price: 0.50 }] }
  - food: beans
    nutrients: { energy: 120, protein: 8 }
    source: invented
    family: pulses
    measures: { cup: 170 g }
    credits: { pulses: 1 cup }
    packs:
      - { pack: tin, size: 240 g, price: 0.90, keeps: 300, open_keeps: 2 }
      - { pack: jar, size: 600 g, price: 2.00, keeps: 300, open_keeps: 2 }
  - food: pears
    nutrients: { energy: 60 }
    source: invented
    packs: [{ pack: one, size: 150 g, price: 0.60, stage: hard, ready: 1..3, open_keeps: 1 }]
components:
  - component: stew
    makes: 500 g
    from: [{ food: beans, amount: 480 g }, { food: salt, amount: 5 g }]
    keeps: 3
    minutes: 10
    portion: 200 g
    minutes_per_portion: 1
    steps: [{ do: stir, food: beans, active: 5, passive: 5 }]
recipes:
  - recipe: stew by itself
    form: bowl
    protein: beans
    minutes: 3
    needs: [stove]
    lines: [{ component: stew, amount: 250 g }, { food: pears, amount: 30 g, optional: true, appeal: 2 }]
    steps: [{ do: warm, food: stew, active: 3, needs: [stove], ahead: 0 }]
  - { recipe: beans and pears, form: salad, lines: [{ food: beans, amount: 120 g }, { food: pears, amount: 75 g }] }
  - { recipe: pears, form: salad, lines: [{ food: pears, amount: 150 g }] }
  - { recipe: beans, form: bowl, protein: beans, lines: [{ one_of: [{ food: beans, amount: 200 g }, { component: stew, amount: 220 g }] }] }
aims:
  carry_credit: 0.1
  food_price: 0.10
  minute_price: 0.05
  trip_price: 1.00
  day_preferences: [{ form: bowl, days: [1], price: -0.10 }]
rules:
  cap: 5
  budget: 30
  minutes: 60
  nutrition: [{ nutrient: energy, per: week, at_least: 10, at_most: 2000, source: invented }]
  credits: [{ group: pulses, unit: cup, per: week, at_least: 0.1, at_most: 90, source: invented }]
  repeats: 2
  per_form: 3
  per_protein: 3
  sameness: 1
  with: [pears]
";

fn slip() -> Larder {
    let read = scant::kitchen::read_texts(vec![("slip.yaml".to_owned(), SLIP.into())]);
    let faults = read.faults;
    read.larder.unwrap_or_else(|| panic!("{faults:#?}"))
}

/// A limit: what the flaw says is beyond it, whose it is, and how to go there and one further.
type Edge = (&'static str, &'static str, fn(&mut Contents, i64));

const MINUTE: i64 = 1_000_000_000;

/// Foods are salt, then beans, then pears in the order of their names: beans, pears, salt.
const EDGES: &[Edge] = &[
    ("eaters", "", |new, n| {
        new.week.eaters_milli[1] = 1_000_000 + n;
    }),
    ("eaters", "", |new, n| new.week.eaters_milli[2] = 1 - n),
    ("carry day", "", |new, n| {
        new.week.carry_day = 3_650 + n as i32;
    }),
    ("carry day", "", |new, n| new.week.carry_day = 4 - n as i32),
    ("weight of what spoils", "", |new, n| {
        new.wishes.spoil_weight_milli = 1_000_000 + n;
    }),
    ("weight of what spoils", "", |new, n| {
        new.wishes.spoil_weight_milli = -n;
    }),
    ("carry credit", "", |new, n| {
        // With such a credit it takes a price that is exact to the last billionth.
        for pack in &mut new.packs {
            pack.value_nano -= pack.value_nano / 100;
        }
        new.wishes.carry_credit_milli = 999 + n;
    }),
    ("price of a food", "", |new, n| {
        new.wishes.food_price_minor = 10_000_000 + n;
    }),
    ("price of a minute", "", |new, n| {
        new.wishes.minute_price_minor = -n;
    }),
    ("price of a watched minute", "", |new, n| {
        // The stew's minutes pass by themselves: nothing is held.
        new.wishes.watch_price_minor = 10_000_000 + n;
    }),
    ("price of a watched minute", "", |new, n| {
        new.wishes.watch_price_minor = -n;
    }),
    ("minutes in the kitchen", "", |new, n| {
        new.wishes.kitchen_minutes_nano[3] = Some(10_080 * MINUTE + n);
    }),
    ("minutes in the kitchen", "", |new, n| {
        new.wishes.kitchen_minutes_nano[0] = Some(-n);
    }),
    ("price of a trip", "", |new, n| {
        new.wishes.trip_price_minor = 10_000_000 + n;
    }),
    ("price of a day preference", "", |new, n| {
        new.wishes.preferences[0].price_minor = 10_000_000 + n;
    }),
    ("price of a day preference", "", |new, n| {
        new.wishes.preferences[0].price_minor = -10_000_000 - n;
    }),
    ("price of a day preference", "", |new, n| {
        new.wishes.preferences[0].price_minor = if n == 0 { 0 } else { i64::MIN };
    }),
    ("cap", "", |new, n| new.wishes.cap = Some(100_000 + n)),
    ("cap", "", |new, n| new.wishes.cap = Some(-n)),
    ("budget", "", |new, n| {
        new.wishes.budget_minor = Some(10_000_000 + n);
    }),
    ("budget", "", |new, n| new.wishes.budget_minor = Some(-n)),
    ("repeats", "", |new, n| new.wishes.repeats = 1 - n),
    ("repeats", "", |new, n| new.wishes.repeats = 100_000 + n),
    ("lunches of a form", "", |new, n| {
        new.wishes.per_form = Some(100_000 + n);
    }),
    ("lunches of a protein", "", |new, n| {
        new.wishes.per_protein = Some(-n);
    }),
    ("sameness", "", |new, n| {
        new.wishes.sameness_milli = Some(1_000 + n);
    }),
    ("sameness", "", |new, n| {
        new.wishes.sameness_adjacent_milli = Some(-n);
    }),
    ("minutes", "", |new, n| {
        new.wishes.minutes_nano[3] = Some(10_080 * MINUTE + n);
    }),
    ("minutes", "", |new, n| {
        new.wishes.minutes_nano[0] = Some(-n);
    }),
    ("nutrition", "", |new, n| {
        new.wishes.nutrition[0].at_most_milli = Some(1_000_000_000 + n);
    }),
    ("nutrition", "", |new, n| {
        new.wishes.nutrition[0].at_least_milli = Some(-n);
    }),
    ("credits", "", |new, n| {
        new.wishes.credits[0].at_most_micro = Some(10_000_000_000 + n);
    }),
    ("equipment", "", |new, n| new.equipment[0].count = 1 - n),
    ("equipment", "", |new, n| new.equipment[0].count = 100 + n),
    ("amount", "beans", |new, n| {
        new.stock[0].left_mg = 1_000_000_000 + n;
    }),
    ("amount", "beans", |new, n| new.stock[0].left_mg = 1 - n),
    ("value", "beans", |new, n| new.stock[0].value_nano = -n),
    ("days", "beans", |new, n| {
        new.stock[0].ready_from = 2 + n as i32;
    }),
    ("days", "beans", |new, n| {
        new.stock[0].ready_from = -n as i32;
    }),
    ("days", "beans", |new, n| new.stock[0].end = 2 + n as i32),
    ("days", "pears", |new, n| new.stock[1].end = 3 - n as i32),
    ("days", "pears", |new, n| {
        new.stock[1].end = 7_314 + n as i32;
    }),
    ("yield", "beans", |new, n| {
        new.foods[0].yield_milli_percent = 100_000 + n;
    }),
    ("yield", "beans", |new, n| {
        new.foods[0].yield_milli_percent = 1 - n;
    }),
    ("price", "salt", |new, n| {
        new.foods[2].staple_value_nano = -n;
    }),
    ("nutrients", "beans", |new, n| {
        new.foods[0].nutrients_milli[3] = Some(1_000_000_000 + n);
    }),
    ("measures", "beans", |new, n| {
        new.foods[0].household.cup_mg = Some(1 - n);
    }),
    ("price", "beans", |new, n| {
        new.packs[0].price_minor = 10_000_000 + n;
    }),
    ("price", "salt", |new, n| {
        new.packs[3].price_minor = -n;
        new.packs[3].value_nano = 0;
    }),
    ("price", "pears", |new, n| {
        new.packs[2].price_minor = 1 - n;
        new.packs[2].value_nano = 0;
    }),
    ("value", "pears", |new, n| new.packs[2].value_nano = -n),
    // 60 over 150,000 mg is 400,000 billionths: one more is what rounding may add.
    ("value", "pears", |new, n| {
        new.wishes.carry_credit_milli = 0;
        new.packs[2].value_nano = 400_001 + n;
    }),
    ("size", "beans", |new, n| {
        new.packs[1].value_nano = 0;
        new.packs[1].unit_mg = 1_000_000_000 + n;
    }),
    ("size", "beans", |new, n| {
        new.packs[1].value_nano = 0;
        (new.packs[1].unit_mg, new.packs[1].units) = (100_000, 10_000 + n);
    }),
    ("size", "beans", |new, n| new.packs[0].unit_ap_mg = 1 - n),
    ("days", "beans", |new, n| {
        (new.packs[0].ready_to, new.packs[0].end) = (3_650, 3_650 + n as i32);
    }),
    ("days", "beans", |new, n| {
        new.packs[0].open_life = 3_650 + n as i32;
    }),
    ("days", "pears", |new, n| {
        new.packs[2].ready_from = 3 + n as i32;
    }),
    ("days", "pears", |new, n| new.packs[2].end = 3 - n as i32),
    ("days", "stew", |new, n| {
        new.components[0].keeps = 3_650 + n as i32;
    }),
    ("days", "stew", |new, n| new.components[0].keeps = -n as i32),
    ("amounts", "stew", |new, n| {
        new.components[0].makes_mg = 1_000_000_000 + n;
    }),
    ("amounts", "stew", |new, n| {
        new.components[0].foods[1].1 = -n;
    }),
    // What is made inside is added up: a thousand times what can be written.
    ("amounts", "stew", |new, n| {
        for pack in [0, 1] {
            (new.packs[pack].price_minor, new.packs[pack].value_nano) = (1, 0);
        }
        new.components[0].foods[0].1 = 1_000_000_000_000 + n;
    }),
    ("amounts", "stew", |new, n| {
        new.components[0].portion_mg = Some(1 - n);
    }),
    ("minutes", "stew", |new, n| {
        new.components[0].batch_minutes_nano = -n;
    }),
    ("minutes", "stew", |new, n| {
        new.components[0].minutes_per_mg_nano = -n;
    }),
    ("minutes", "stew", |new, n| {
        new.components[0].passive_minutes = -n;
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].active_minutes = Some(10_080 + n);
    }),
    ("minutes", "pears", |new, n| {
        new.recipes[2].minutes_nano = 10_080 * MINUTE + n;
    }),
    ("minutes", "pears", |new, n| {
        new.recipes[2].minutes_nano = -n;
    }),
    ("amounts", "pears", |new, n| {
        new.recipes[2].lines[0].alternatives[0].mg = 1_000_000_000 + n;
    }),
    ("amounts", "beans", |new, n| {
        new.recipes[0].lines[0].alternatives[1].mg = 1 - n;
    }),
    ("amounts", "stew by itself", |new, n| {
        new.recipes[3].finishers[0].alternative.mg = 1 - n;
    }),
    ("appeal", "stew by itself", |new, n| {
        new.recipes[3].finishers[0].appeal = 1_000 + n;
    }),
    ("steps", "stew by itself", |new, n| {
        new.recipes[3].steps[0].ahead_days = 14 + n as i32;
    }),
    ("currency", "", |new, n| new.currency.digits = 12 + n as u8),
    ("lunches", "", |new, n| {
        let lunches = 14 + n as usize;
        new.week.lunches = lunches as u8;
        new.week.carry_day = 20;
        new.week.eaters_milli.resize(lunches, 2_000);
        new.wishes.minutes_nano.resize(lunches + 1, None);
        let limits = &mut new.wishes.kitchen_minutes_nano;
        limits.resize(lunches + 1, None);
        for recipe in &mut new.recipes {
            recipe.days.resize(lunches, true);
        }
    }),
    ("carry credit", "", |new, n| {
        new.wishes.carry_credit_milli = -n;
    }),
    ("price of a food", "", |new, n| {
        new.wishes.food_price_minor = -n;
    }),
    ("price of a minute", "", |new, n| {
        new.wishes.minute_price_minor = 10_000_000 + n;
    }),
    ("price of a trip", "", |new, n| {
        new.wishes.trip_price_minor = -n;
    }),
    ("lunches of a form", "", |new, n| {
        new.wishes.per_form = Some(-n);
    }),
    ("lunches of a protein", "", |new, n| {
        new.wishes.per_protein = Some(100_000 + n);
    }),
    ("sameness", "", |new, n| {
        new.wishes.sameness_milli = Some(-n);
    }),
    ("sameness", "", |new, n| {
        new.wishes.sameness_adjacent_milli = Some(1_000 + n);
    }),
    ("nutrition", "", |new, n| {
        new.wishes.nutrition[0].at_most_milli = Some(-n);
    }),
    ("nutrition", "", |new, n| {
        new.wishes.nutrition[0].at_least_milli = Some(1_000_000_000 + n);
    }),
    ("credits", "", |new, n| {
        new.wishes.credits[0].at_least_micro = Some(-10_000_000_000 - n);
    }),
    ("number of units on hand", "", |new, n| {
        new.stock = vec![new.stock[1].clone(); 1_000 + n as usize].into();
    }),
    ("days", "pears", |new, n| {
        new.stock[1].open_life = 7_314 + n as i32;
    }),
    ("days", "pears", |new, n| {
        new.stock[1].open_life = -n as i32;
    }),
    // A food more brings a pack of its own and a figure in every credit rule.
    ("number of foods", "", |new, n| {
        for _ in 3..5_000 + n as u32 {
            let (mut food, pack) = (new.foods[2].clone(), new.packs.len() as u32);
            food.packs = pack..pack + 1;
            let mut own = new.packs[3].clone();
            own.food = FoodId(new.foods.len() as u32);
            new.packs.push(own);
            new.foods.push(food);
            new.wishes.credits[0].figures_micro.push(0);
        }
    }),
    ("number of components", "", |new, n| {
        new.components = vec![new.components[0].clone(); 2_000 + n as usize].into();
    }),
    ("number of recipes", "", |new, n| {
        let pears = new.recipes[2].clone();
        new.recipes.extend(vec![pears; 19_996 + n as usize]);
    }),
    ("nutrients", "beans", |new, n| {
        new.foods[0].nutrients_milli[3] = Some(-n);
    }),
    ("measures", "beans", |new, n| {
        new.foods[0].household.counted = vec![("ladle".to_owned(), 1 - n)];
    }),
    ("measures", "stew", |new, n| {
        new.components[0].household.cup_mg = Some(1 - n);
    }),
    ("size", "pears", |new, n| {
        new.packs[2].value_nano = 0;
        new.packs[2].unit_mg = 1 - n;
    }),
    ("size", "pears", |new, n| {
        new.packs[2].unit_ap_mg = 1_000_000_000 + n;
    }),
    ("size", "beans", |new, n| new.packs[0].units = 1 - n),
    // Two units of 500 kg: the whole pack counts.
    ("size", "beans", |new, n| {
        new.packs[1].value_nano = 0;
        (new.packs[1].unit_mg, new.packs[1].units) = (500_000_000 + n, 2);
    }),
    ("days", "beans", |new, n| {
        new.packs[0].ready_from = -n as i32;
    }),
    ("days", "beans", |new, n| {
        new.packs[0].open_life = -n as i32;
    }),
    ("amounts", "beans", |new, n| {
        new.recipes[0].lines[0].alternatives[0].mg = 1 - n;
    }),
    ("appeal", "stew by itself", |new, n| {
        new.recipes[3].finishers[0].appeal = 1 - n;
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].active_minutes = Some(-n);
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].passive_minutes = Some(10_080 + n);
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].passive_minutes = Some(-n);
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].per_portion_milli = Some(10_080_000 + n);
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].per_portion_milli = Some(-n);
    }),
    ("steps", "stew by itself", |new, n| {
        new.recipes[3].steps[0].ahead_days = -n as i32;
    }),
];

#[test]
fn every_figure_may_go_to_its_limit_and_no_further() {
    let larder = slip();
    for (at, (what, name, go)) in EDGES.iter().enumerate() {
        let last = larder.changed(|new| go(new, 0));
        assert!(last.is_ok(), "{at}, {what} at its limit: {last:?}");
        let flaws = larder.changed(|new| go(new, 1)).expect_err(what);
        let told: Vec<_> = flaws
            .iter()
            .map(|f| (f.wrong.clone(), f.name.as_str()))
            .collect();
        assert_eq!(told, [(Wrong::Beyond(what), *name)], "{at}");
    }
}

/// The same for what names something: the last there is, and the one after it.
const NAMED: &[Edge] = &[
    ("trips", "", |new, n| {
        new.week.trips = [0, 2 + n as u8].map(ShoppingTrip::on).into();
    }),
    ("trips", "", |new, n| {
        new.week.trips = [0, 1 - n as u8].map(ShoppingTrip::on).into();
    }),
    ("trips", "", |new, n| {
        new.week.trips.truncate(1 - n as usize);
    }),
    ("eaters", "", |new, n| {
        new.week.eaters_milli.truncate(3 - n as usize);
    }),
    ("order", "", |new, n| {
        let second = if n == 0 { Aim::Cost } else { Aim::Foods };
        new.wishes.order = vec![Aim::Foods, second];
    }),
    ("day preferences", "", |new, n| {
        new.wishes.preferences[0].whom = Preferred::Recipe(RecipeId(3 + n as u32));
    }),
    ("day preferences", "", |new, n| {
        new.wishes.preferences[0].whom = Preferred::Form(FormId(1 + n as u32));
    }),
    ("day preferences", "", |new, n| {
        new.wishes.preferences[0].days = vec![1, 3 + n as u8];
    }),
    ("day preferences", "", |new, n| {
        new.wishes.preferences[0].days = vec![1 - n as u8];
    }),
    ("minutes", "", |new, n| {
        new.wishes.minutes_nano.truncate(4 - n as usize);
    }),
    ("minutes in the kitchen", "", |new, n| {
        let limits = &mut new.wishes.kitchen_minutes_nano;
        limits.truncate(4 - n as usize);
    }),
    ("days of cooking", "", |new, n| {
        new.wishes.cook_on = Some(vec![0, 3 + n as u8]);
    }),
    ("days of cooking", "", |new, n| {
        new.wishes.cook_on = Some(vec![1, 2 - n as u8]);
    }),
    ("credits", "", |new, n| {
        new.wishes.credits[0].figures_micro.truncate(3 - n as usize);
    }),
    ("bans", "", |new, n| {
        new.wishes.without.push(Target::Food(FoodId(2 + n as u32)));
    }),
    ("bans", "", |new, n| {
        new.wishes
            .without
            .push(Target::Recipe(RecipeId(3 + n as u32)));
    }),
    ("bans", "", |new, n| {
        new.wishes
            .without
            .push(Target::Component(ComponentId(n as u32)));
    }),
    ("pins", "", |new, n| {
        new.wishes.with.push(Pin::Food(FoodId(2 + n as u32), None));
    }),
    ("pins", "", |new, n| {
        new.wishes
            .with
            .push(Pin::Recipe(RecipeId(3), Some(3 + n as u8)));
    }),
    ("pins", "", |new, n| {
        new.wishes
            .with
            .push(Pin::Recipe(RecipeId(3), Some(1 - n as u8)));
    }),
    ("food", "pears", |new, n| {
        new.stock[1].food = FoodId(1 + n as u32);
    }),
    ("packs", "pears", |new, n| {
        new.foods[1].packs.end -= n as u32;
    }),
    ("packs", "beans", |new, n| {
        new.packs[0].food = FoodId(n as u32);
    }),
    ("shop", "beans", |new, n| {
        new.shops = vec!["quay".to_owned()];
        for pack in &mut new.packs {
            pack.shop = Some(ShopId(0));
        }
        for trip in &mut new.week.trips {
            trip.shop = Some(ShopId(0));
        }
        new.packs[0].shop = Some(ShopId(n as u32));
    }),
    ("family", "beans", |new, n| {
        new.foods[0].family = Some(scant::larder::FamilyId(n as u32));
    }),
    ("foods", "stew", |new, n| {
        new.components[0].foods[1].0 = FoodId(2 + n as u32);
    }),
    ("components", "stew", |new, n| {
        new.components[0].inside = vec![ComponentId(0); n as usize];
        if n == 1 {
            new.components[0].inside.push(ComponentId(0));
        }
    }),
    ("steps", "stew", |new, n| {
        new.components[0].steps[0].what = Some(Ingredient::Food(FoodId(2 + n as u32)));
    }),
    ("form or protein", "beans", |new, n| {
        new.recipes[0].form = FormId(1 + n as u32);
    }),
    ("form or protein", "beans", |new, n| {
        new.recipes[0].protein = Some(ProteinId(n as u32));
    }),
    ("days", "pears", |new, n| {
        new.recipes[2].days.truncate(3 - n as usize);
    }),
    ("lines", "pears", |new, n| {
        new.recipes[2].lines.truncate(1 - n as usize);
    }),
    ("lines", "pears", |new, n| {
        new.recipes[2].lines[0]
            .alternatives
            .truncate(1 - n as usize);
    }),
    ("ingredients", "pears", |new, n| {
        new.recipes[2].lines[0].alternatives[0].what = Ingredient::Food(FoodId(2 + n as u32));
    }),
    ("ingredients", "pears", |new, n| {
        let what = Ingredient::Component(ComponentId(n as u32));
        new.recipes[2].lines[0].alternatives[0].what = what;
    }),
    ("ingredients", "stew by itself", |new, n| {
        new.recipes[3].finishers[0].alternative.what = Ingredient::Food(FoodId(2 + n as u32));
    }),
    // As many packs, alternatives and lines as there may be.
    ("packs", "salt", |new, n| {
        let more = vec![new.packs[3].clone(); 19 + n as usize];
        new.packs.extend(more);
        new.foods[2].packs.end += 19 + n as u32;
    }),
    ("packs", "", |new, n| {
        let more = vec![new.packs[3].clone(); n as usize];
        new.packs.extend(more);
    }),
    ("lines", "pears", |new, n| {
        let pears = new.recipes[2].lines[0].alternatives[0].clone();
        new.recipes[2].lines[0].alternatives = vec![pears; 30 + n as usize];
    }),
    ("lines", "pears", |new, n| {
        let pears = new.recipes[2].lines[0].clone();
        new.recipes[2].lines = vec![pears; 60 + n as usize];
    }),
    ("lines", "stew by itself", |new, n| {
        let pears = new.recipes[3].finishers[0].clone();
        new.recipes[3].finishers = vec![pears; 59 + n as usize];
    }),
    ("bans", "", |new, n| {
        let family = scant::larder::FamilyId(n as u32);
        new.wishes.without.push(Target::Family(family));
    }),
    ("steps", "stew by itself", |new, n| {
        new.recipes[3].steps[0].what = Some(Ingredient::Component(ComponentId(n as u32)));
    }),
];

#[test]
fn whatever_is_named_must_be_there() {
    let larder = slip();
    for (at, (what, name, go)) in NAMED.iter().enumerate() {
        let last = larder.changed(|new| go(new, 0));
        assert!(last.is_ok(), "{at}, {what}, the last there is: {last:?}");
        let flaws = larder.changed(|new| go(new, 1)).expect_err(what);
        let told = |flaw: &Flaw| flaw.wrong == Wrong::Astray(what) && flaw.name == *name;
        assert!(flaws.iter().any(told), "{at}, {what}: {flaws:?}");
    }
}

#[test]
fn what_pays_for_itself_or_cannot_be_added_up_is_told_by_name() {
    let larder = slip();
    let told = |change: fn(&mut Contents)| {
        let flaws = larder.changed(change).expect_err("it is refused");
        let told = flaws.into_iter().map(|flaw| (flaw.wrong, flaw.name));
        told.collect::<Vec<_>>()
    };
    // 1 over 600 kg is 1.67 billionths, and as 2 of them a credit of 0.999 is too much.
    let pays = told(|new| {
        let pears = &mut new.packs[2];
        (pears.price_minor, pears.value_nano) = (1, 2);
        (pears.unit_ap_mg, pears.unit_mg) = (600_000_000, 600_000_000);
        new.wishes.carry_credit_milli = 999;
        for pack in [0, 1] {
            new.packs[pack].value_nano = 0;
        }
    });
    assert_eq!(pays, [(Wrong::PaysForItself, "pears".to_owned())]);
    // A tonne of pears a portion at 100,000 for 150 g is far beyond 64 bits.
    let large = told(|new| {
        new.packs[2].price_minor = 10_000_000;
        new.recipes[2].lines[0].alternatives[0].mg = 1_000_000_000;
        new.week.eaters_milli.fill(1_000_000);
    });
    assert!(
        large.iter().any(|(_, name)| name == "pears")
            && large
                .iter()
                .all(|(wrong, _)| matches!(wrong, Wrong::TooLarge(_))),
        "{large:?}"
    );
}

/// What is left alone by a change is not looked at again, unless its sums are made of what the
/// change touches: by way of a component, a price of the aims, or what is on hand.
#[test]
fn what_a_change_reaches_through_other_lists_is_added_up_anew() {
    let start = slip().changed(|new| {
        new.recipes[3].lines[0].alternatives[0].mg = 100_000_000;
        new.packs[0].value_nano = 0;
        new.stock[0].left_mg = 100_000_000;
        new.wishes.carry_credit_milli = 0;
    });
    let start = start.unwrap();
    let reached = |change: fn(&mut Contents)| {
        let flaws = start.changed(change).expect_err("it is refused");
        let told = flaws.into_iter().map(|flaw| (flaw.wrong, flaw.name));
        told.collect::<Vec<_>>()
    };
    let large = |name: &str, largest: Option<(Largest, &str)>| {
        let largest = largest.map(|(figure, of)| (figure, of.to_owned()));
        (Wrong::TooLarge(largest), name.to_owned())
    };
    let minutes = Some((Largest::Minutes, ""));
    let bought = reached(|new| new.packs[0].price_minor = 10_000_000);
    let [(Wrong::TooLarge(Some((Largest::Price(_), of))), name)] = bought.as_slice() else {
        panic!("{bought:?}");
    };
    assert_eq!((of.as_str(), name.as_str()), ("stew", "stew by itself"));
    let food = |new: &mut Contents| new.foods[2].staple_value_nano = 1_000_000_000_000;
    let staple = reached(food);
    assert!(
        matches!(staple.as_slice(), [(Wrong::TooLarge(Some((Largest::Price(_), _))), name)] if name == "stew by itself"),
        "{staple:?}"
    );
    assert_eq!(
        reached(|new| new.wishes.minute_price_minor = 10_000_000),
        [large("stew by itself", minutes)]
    );
    // A week of minutes by a stove, at the highest price there is.
    let watched = |new: &mut Contents| {
        new.wishes.watch_price_minor = 10_000_000;
        new.components[0].passive_minutes = 10_080;
        new.components[0].steps[0].needs = vec!["stove".to_owned()];
    };
    assert_eq!(
        reached(watched),
        [large("beans", minutes), large("stew by itself", minutes)]
    );
    assert_eq!(
        reached(|new| new.stock[0].value_nano = 1_000_000_000_000),
        [large("", None)]
    );
}

/// 2^63 / 4 thousand-millionths are 2,305,843,009 whole minor units. What is on hand may be worth
/// so much, where nothing else has a price; a week of any recipe is then too large beside it.
#[test]
fn what_is_on_hand_may_be_worth_a_quarter_of_64_bits() {
    let larder = slip();
    let refused = |minor: i64| -> Vec<String> {
        let changed = larder.changed(|new| {
            let wishes = &mut new.wishes;
            (wishes.spoil_weight_milli, wishes.carry_credit_milli) = (0, 0);
            (wishes.food_price_minor, wishes.trip_price_minor) = (0, 0);
            wishes.preferences.clear();
            new.stock[1].value_nano = 0;
            (new.stock[0].left_mg, new.stock[0].value_nano) = (1_000_000_000, minor);
        });
        let flaws = changed.expect_err("its weeks are too large");
        flaws.into_iter().map(|flaw| flaw.name).collect()
    };
    let recipes = ["beans", "beans and pears", "pears", "stew by itself"];
    assert_eq!(refused(2_305_843_009), recipes);
    assert_eq!(refused(2_305_843_010), [""]);
}

#[test]
fn a_share_of_a_batch_has_each_food_down_to_the_milligram() {
    let larder = slip();
    let of = |mg| larder.component_foods(ComponentId(0), mg);
    // 480 g of beans and 5 g of salt in 500 g: 96 and 1 in a hundred, 95.04 and 0.99 in 99.
    assert_eq!(of(100), [(FoodId(0), 96), (FoodId(2), 1)]);
    assert_eq!(of(99), [(FoodId(0), 95)]);
}

/// A stew boiled down from a thousand tonnes of beans of which nothing is known: 5 * 10^18 mg of
/// them in a portion, whose square times a million has no room in 128 bits.
#[test]
fn recipes_of_any_mass_are_compared() {
    let heavy = slip().changed(|new| {
        new.foods[0].nutrients_milli.fill(None);
        new.wishes.nutrition.clear();
        new.wishes.credits.clear();
        new.week.eaters_milli.fill(10);
        for pack in &mut new.packs[..2] {
            (pack.unit_mg, pack.unit_ap_mg) = (1_000_000_000, 1_000_000_000);
            (pack.price_minor, pack.value_nano) = (1, 0);
        }
        new.components[0].makes_mg = 200;
        new.components[0].foods[0].1 = 1_000_000_000_000;
        new.recipes[3].lines[0].alternatives[0].mg = 1_000_000_000;
    });
    let sameness = Sameness::new(&heavy.unwrap());
    let stew = |other| sameness.milli(RecipeId(3), RecipeId(other));
    // Beans, and 120 g of them beside 75 g of pears: 120 / sqrt(120^2 + 75^2) = 0.84799...
    assert_eq!([stew(0), stew(1), stew(2)], [1_000, 848, 0]);
    assert!(sameness.exceeds(RecipeId(3), RecipeId(0), 999));
    assert!(!sameness.exceeds(RecipeId(3), RecipeId(0), 1_000));
}

/// A number from 0 to beyond `most`, small ones as likely as large ones.
fn size(dice: &mut Dice, most: i64) -> i64 {
    let digits = dice.roll(0, i64::from(most.max(1).ilog10()) + 1);
    dice.roll(0, 9) * 10_i64.pow(digits as u32) / 4 + dice.roll(0, 2)
}

/// Some place in a list, seldom the one behind it.
fn place(dice: &mut Dice, len: usize) -> u32 {
    let beyond = i64::from(dice.chance(4));
    dice.roll(0, (len as i64 - 1 + beyond).max(0)) as u32
}

fn at<'a, T>(dice: &mut Dice, list: &'a mut [T]) -> Option<&'a mut T> {
    let last = list.len() as i64 - 1;
    (last >= 0).then(|| &mut list[dice.roll(0, last) as usize])
}

/// Whether a kind of change is one of how much is eaten or bought at once. A thousand units
/// opened on one day are a search of their own.
fn of_mass(kind: i64) -> bool {
    [0, 1, 17, 18, 19, 22, 24, 26, 27].contains(&kind)
}

/// Makes some change, sensible or not; `None` where there is nothing to change.
fn edit(new: &mut Contents, kind: i64, dice: &mut Dice) -> Option<()> {
    let most = 10_000_000;
    let beyond = i64::from(dice.chance(5));
    let day = dice.roll(0, i64::from(new.week.lunches) + beyond);
    match kind {
        0 => new.week.eaters_milli.fill(size(dice, 1_000_000)),
        1 => *at(dice, &mut new.week.eaters_milli)? = size(dice, 1_000_000),
        2 => new.wishes.cap = Some(size(dice, 100)),
        3 => new.wishes.budget_minor = Some(size(dice, most)),
        4 => new.wishes.food_price_minor = size(dice, most),
        5 => new.wishes.minute_price_minor = size(dice, most),
        6 => new.wishes.trip_price_minor = size(dice, most),
        7 => new.wishes.spoil_weight_milli = size(dice, 1_000_000),
        8 => new.wishes.carry_credit_milli = dice.roll(0, 1_001),
        9 => new.wishes.repeats = dice.roll(0, 4),
        10 => {
            let whom = Preferred::Recipe(RecipeId(place(dice, new.recipes.len())));
            let price_minor = size(dice, most) - size(dice, most);
            let days = vec![day.max(1) as u8];
            new.wishes.preferences.push(Preference {
                whom,
                days,
                price_minor,
            });
        }
        11 | 12 => {
            let pack = at(dice, &mut new.packs)?;
            let size_mg = i128::from(pack.unit_mg * pack.units);
            pack.price_minor = size(dice, most);
            let value = (i128::from(pack.price_minor) * 2_000_000_000 + size_mg) / (2 * size_mg);
            pack.value_nano = value as i64;
        }
        13 => at(dice, &mut new.packs)?.price_minor = size(dice, most),
        14 => at(dice, &mut new.packs)?.ready_from = dice.roll(-1, 5) as i32,
        15 => {
            let pack = at(dice, &mut new.packs)?;
            pack.end = pack.ready_to + dice.roll(-1, 3) as i32;
        }
        16 => at(dice, &mut new.packs)?.open_life = size(dice, 3_650) as i32,
        17 => at(dice, &mut new.packs)?.unit_mg = size(dice, 1_000_000_000),
        18 => at(dice, &mut new.packs)?.units = size(dice, 100),
        19 => at(dice, &mut new.stock)?.left_mg = size(dice, 1_000_000_000),
        20 => at(dice, &mut new.stock)?.value_nano = size(dice, most),
        21 => at(dice, &mut new.components)?.keeps = dice.roll(-1, 9) as i32,
        22 => at(dice, &mut new.components)?.makes_mg = size(dice, 1_000_000_000),
        23 => at(dice, &mut new.components)?.batch_minutes_nano = size(dice, 10_080 * MINUTE),
        24 => at(dice, &mut new.components)?.foods.first_mut()?.1 = size(dice, 1_000_000_000),
        25 => at(dice, &mut new.recipes)?.minutes_nano = size(dice, 10_080 * MINUTE),
        26 | 27 => {
            let lines = &mut at(dice, &mut new.recipes)?.lines;
            let ways = &mut at(dice, lines)?.alternatives;
            at(dice, ways)?.mg = size(dice, 1_000_000_000);
        }
        28 => {
            let food = FoodId(place(dice, new.foods.len()));
            new.wishes.without.push(Target::Food(food));
        }
        29 => {
            let recipe = RecipeId(place(dice, new.recipes.len()));
            let on = dice.chance(50).then_some(day as u8);
            new.wishes.with.push(Pin::Recipe(recipe, on));
        }
        30 => {
            new.week.trips.push(ShoppingTrip::on(day as u8));
            new.week.trips.sort_unstable_by_key(|trip| trip.day);
            if dice.chance(80) {
                new.week.trips.dedup();
            }
        }
        31 => {
            let food = at(dice, &mut new.foods)?;
            *at(dice, &mut food.nutrients_milli)? = Some(size(dice, 1_000_000_000));
        }
        32 => {
            if dice.chance(50) {
                new.recipes.pop()?;
            } else {
                new.foods.pop()?;
            }
        }
        _ => {
            let food = at(dice, &mut new.foods)?;
            food.staple_value_nano = size(dice, most);
        }
    }
    Some(())
}

#[test]
fn a_question_about_what_is_not_there_is_an_error() {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let ask = |pin: Pin| {
        let given = Given {
            with: &[pin],
            ..Given::default()
        };
        solve_given(&slip(), &given, &limits)
    };
    for pin in [Pin::Recipe(RecipeId(4), None), Pin::Food(FoodId(3), None)] {
        let told = ask(pin);
        assert!(matches!(told, Err(EngineFault::Unfit(_))), "{told:?}");
    }
    assert!(ask(Pin::Recipe(RecipeId(3), None)).is_ok());
}

/// Puts a larder to use; what overflows or points nowhere panics on the way.
fn used(larder: &Larder) {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let given = Given {
        most_work: Some(2_000),
        ..Given::default()
    };
    let (outcome, _) = solve_given(larder, &given, &limits).expect("no fault of the engine");
    let told = scant::explain::explain(larder, &outcome, Effort::default());
    assert!(scant::report::text(&told).ends_with('\n'));
    assert!(scant::report::json(&told).contains("outcome"));
    let program = scant::program::build(larder, &[]);
    if let Outcome::Best(solved) | Outcome::Good { solved, .. } = &outcome {
        let values = scant::program::certificate(larder, &program, &solved.plan);
        assert!(!values.is_empty());
    }
}

#[test]
fn random_changes_end_in_a_sound_larder_or_an_error() {
    let mut passed = 0;
    let mut refused: BTreeMap<String, usize> = BTreeMap::new();
    for seed in 0..250 {
        let mut larder = support::read(&draw(120_000 + seed, Size::Small));
        let mut dice = Dice::new(seed);
        let to_be_used = seed % 2 == 0;
        for step in 0..16 {
            let kind = dice.roll(0, 33);
            let own = dice.roll(0, i64::MAX - 1) as u64;
            let mut bare = Contents::clone(&larder);
            if to_be_used && of_mass(kind) || edit(&mut bare, kind, &mut Dice::new(own)).is_none() {
                continue;
            }
            let afresh = Larder::checked(bare);
            let changed = larder.changed(|new| {
                edit(new, kind, &mut Dice::new(own));
            });
            match (changed, afresh) {
                (Ok(changed), Ok(_)) => {
                    passed += 1;
                    larder = changed;
                }
                (Err(flaws), Err(all)) => {
                    assert_eq!(flaws, all, "seed {seed}, step {step}");
                    for flaw in flaws {
                        let kind = match flaw.wrong {
                            Wrong::TooLarge(_) => "TooLarge".to_owned(),
                            other => format!("{other:?}"),
                        };
                        *refused.entry(kind).or_default() += 1;
                    }
                }
                (changed, afresh) => {
                    panic!("seed {seed}, step {step}: {changed:?}, from the beginning {afresh:?}")
                }
            }
        }
        if to_be_used {
            used(&larder);
        }
    }
    assert!(passed > 1_500, "{passed} changes passed");
    for wrong in ["TooLarge", "PaysForItself"] {
        assert!(refused.get(wrong).is_some_and(|&n| n > 10), "{refused:?}");
    }
    assert!(refused.len() > 15, "{refused:?}");
}
