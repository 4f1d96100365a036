//! A small larder made by hand: a boatyard's kitchen packs four lunches.
//!
//! ```text
//! day        0 Sun   1 Mon            2 Tue       3 Wed            4 Thu          7 carry
//! shop       trip 0                   trip 1
//! lunch              tofu rice bowl   tofu wrap   green rice bowl  avocado wrap
//! eaters             3                3           3.25             3
//! cook rice  650 g                    450 g
//! ```
//!
//! Prices are invented. Nutrient figures are from the USDA National Nutrient Database for
//! Standard Reference, Release 26 (2013); the food number stands beside each.

use scant::larder::wishes::Preferred;
use scant::larder::{
    Alternative, Calendar, CapBy, Component, ComponentId, Contents, Currency, Food, FoodId, FormId,
    Household, Ingredient, Larder, Line, List, NANO, NUTRIENTS, Nutrient, Pack, PackId, Preference,
    ProteinId, Recipe, RecipeId, ShoppingTrip, Stock, StockId, Week, Wishes,
};
use scant::plan::{Batch, Lot, Lunch, Opening, Plan, Purchase};

pub const AVOCADO: FoodId = FoodId(0);
pub const RICE: FoodId = FoodId(1);
pub const OIL: FoodId = FoodId(2);
pub const SALT: FoodId = FoodId(3);
pub const SPINACH: FoodId = FoodId(4);
pub const TOFU: FoodId = FoodId(5);
pub const TORTILLA: FoodId = FoodId(6);

/// Every food has one pack option, in food order.
pub const fn pack_of(food: FoodId) -> PackId {
    PackId(food.0)
}

pub const SPINACH_ON_HAND: StockId = StockId(0);
pub const TOFU_ON_HAND: StockId = StockId(1);

pub const COOKED_RICE: ComponentId = ComponentId(0);

pub const AVOCADO_WRAP: RecipeId = RecipeId(0);
pub const GREEN_BOWL: RecipeId = RecipeId(1);
pub const SPINACH_SOUP: RecipeId = RecipeId(2);
pub const TOFU_BOWL: RecipeId = RecipeId(3);
pub const TOFU_WRAP: RecipeId = RecipeId(4);

pub const BOWL: FormId = FormId(0);
pub const SOUP: FormId = FormId(1);
pub const WRAP: FormId = FormId(2);

/// A day without limit or window, for foods that outlast any week.
const LONG: i32 = 180;
const MINUTE: i64 = 1_000_000_000;

pub fn food(name: &str, position: u32, protein_milli: Option<i64>) -> Food {
    let mut nutrients_milli = [None; NUTRIENTS];
    nutrients_milli[Nutrient::Protein.index()] = protein_milli;
    Food {
        name: name.to_owned(),
        staple: false,
        family: None,
        tags: Vec::new(),
        allergens: Vec::new(),
        packs: position..position + 1,
        staple_value_nano: 0,
        nutrients_milli,
        source: "USDA SR26".to_owned(),
        yield_milli_percent: 100_000,
        household: Household::default(),
    }
}

/// A pack of one unit that is all edible, with `value_nano` worked out exactly.
pub fn pack(food: FoodId, label: &str, unit_mg: i64, price_minor: i64) -> Pack {
    Pack {
        food,
        label: label.to_owned(),
        stage: None,
        unit_ap_mg: unit_mg,
        unit_mg,
        units: 1,
        shop: None,
        price_minor,
        loose: false,
        ready_from: 0,
        ready_to: LONG,
        open_life: LONG,
        end: LONG,
        value_nano: price_minor * NANO / unit_mg,
    }
}

pub fn recipe(name: &str, form: FormId, minutes: i64, days: usize, lines: Vec<Line>) -> Recipe {
    Recipe {
        name: name.to_owned(),
        form,
        protein: None,
        tags: Vec::new(),
        needs: Vec::new(),
        days: vec![true; days],
        minutes_nano: minutes * MINUTE,
        lines,
        finishers: Vec::new(),
        steps: Vec::new(),
        prose: scant::larder::Prose::default(),
    }
}

pub fn line(alternatives: &[(Ingredient, i64)]) -> Line {
    Line {
        alternatives: alternatives
            .iter()
            .map(|&(what, mg)| Alternative {
                what,
                mg,
                written: format!("{mg} mg"),
            })
            .collect(),
    }
}

/// A line that is one food.
pub fn of(food: FoodId, mg: i64) -> Line {
    line(&[(Ingredient::Food(food), mg)])
}

/// No rule in force but one serving of each recipe; nothing but money counts.
pub fn no_wishes(lunches: usize) -> Wishes {
    Wishes {
        order: Vec::new(),
        spoil_weight_milli: 1_000,
        food_price_minor: 0,
        minute_price_minor: 0,
        watch_price_minor: 0,
        trip_price_minor: 0,
        carry_credit_milli: 0,
        preferences: Vec::new(),
        cap: None,
        cap_by: CapBy::Foods,
        budget_minor: None,
        minutes_nano: vec![None; lunches + 1],
        kitchen_minutes_nano: vec![None; lunches + 1],
        cook_on: None,
        nutrition: Vec::new(),
        credits: Vec::new(),
        repeats: 1,
        per_form: None,
        form_never_adjacent: false,
        per_protein: None,
        sameness_milli: None,
        sameness_adjacent_milli: None,
        without: Vec::new(),
        with: Vec::new(),
    }
}

/// An empty kitchen for a week of `lunches` days with one eater and one trip.
pub fn bare(lunches: u8) -> Contents {
    let days = usize::from(lunches);
    Contents {
        name: "boatyard kitchen".to_owned(),
        currency: Currency {
            code: "EUR".to_owned(),
            digits: 2,
        },
        week: Week {
            lunches,
            calendar: Calendar::default(),
            carry_day: i32::from(lunches) + 3,
            eaters_milli: vec![1_000; days],
            trips: vec![ShoppingTrip::on(0)],
        },
        foods: List::default(),
        packs: List::default(),
        stock: List::default(),
        components: List::default(),
        recipes: List::default(),
        families: Vec::new(),
        forms: vec!["bowl".to_owned(), "soup".to_owned(), "wrap".to_owned()],
        proteins: vec!["tofu".to_owned()],
        shops: Vec::new(),
        equipment: Vec::new(),
        wishes: no_wishes(days),
    }
}

/// The boatyard's larder, to be changed and checked. Every breaking test starts from this and
/// [`plan`].
pub fn contents() -> Contents {
    let mut larder = bare(4);
    larder.week.eaters_milli = vec![3_000, 3_000, 3_250, 3_000];
    larder.week.trips = [0, 2].map(ShoppingTrip::on).into();
    larder.families = ["beans", "grains", "leafy greens"]
        .map(str::to_owned)
        .into();
    foods(&mut larder);
    stock(&mut larder);
    larder.components = [Component {
        name: "cooked rice".to_owned(),
        foods: vec![(RICE, 400_000), (SALT, 4_000)],
        inside: Vec::new(),
        makes_mg: 1_000_000,
        keeps: 3,
        batch_minutes_nano: 10 * MINUTE,
        // Two minutes a kilogram.
        minutes_per_mg_nano: 2_000,
        passive_minutes: 35,
        portion_mg: None,
        needs: vec!["rice pot".to_owned()],
        tags: vec!["cooked grain".to_owned()],
        dressing: false,
        steps: Vec::new(),
        household: Household::default(),
    }]
    .into();
    recipes(&mut larder);
    let wishes = &mut larder.wishes;
    wishes.spoil_weight_milli = 1_500;
    wishes.food_price_minor = 20;
    wishes.minute_price_minor = 2;
    wishes.trip_price_minor = 50;
    wishes.carry_credit_milli = 100;
    wishes.preferences = vec![
        Preference {
            whom: Preferred::Form(WRAP),
            days: vec![4],
            price_minor: -5,
        },
        Preference {
            whom: Preferred::Recipe(TOFU_WRAP),
            days: vec![1, 2],
            price_minor: 3,
        },
        Preference {
            whom: Preferred::Form(SOUP),
            days: vec![1, 2, 3, 4],
            price_minor: 100,
        },
    ];
    larder
}

/// The boatyard's larder.
pub fn larder() -> Larder {
    sound(contents())
}

/// Checked contents.
pub fn sound(contents: Contents) -> Larder {
    Larder::checked(contents).expect("a sound larder")
}

fn foods(larder: &mut Contents) {
    use scant::larder::FamilyId;
    let mut foods = vec![
        food("avocado", 0, Some(2_000)),        // 09037
        food("brown rice", 1, Some(7_940)),     // 20036
        food("olive oil", 2, Some(0)),          // 04053
        food("salt", 3, Some(0)),               // 02047
        food("spinach", 4, Some(2_860)),        // 11457
        food("tofu", 5, Some(8_190)),           // 16126
        food("wheat tortilla", 6, Some(8_000)), // 18364
    ];
    foods[0].tags = vec!["fruit".to_owned()];
    // 26 % refuse (09037).
    foods[0].yield_milli_percent = 74_000;
    foods[1].family = Some(FamilyId(1));
    foods[2].staple = true;
    foods[2].staple_value_nano = 1_500_000;
    foods[3].staple = true;
    foods[3].staple_value_nano = 100_000;
    foods[4].family = Some(FamilyId(2));
    foods[5].family = Some(FamilyId(0));
    foods[5].allergens = vec!["soy".to_owned()];
    foods[6].family = Some(FamilyId(1));
    foods[6].allergens = vec!["wheat".to_owned()];
    larder.foods = foods.into();

    let mut packs = vec![
        pack(AVOCADO, "one, hard", 148_000, 120),
        pack(RICE, "1 kg bag", 1_000_000, 250),
        pack(OIL, "half-litre bottle", 460_000, 690),
        pack(SALT, "500 g box", 500_000, 50),
        pack(SPINACH, "200 g bag", 200_000, 180),
        pack(TOFU, "454 g block", 454_000, 227),
        pack(TORTILLA, "3 bags of 4", 196_000, 294),
    ];
    let windows = [
        // ready from, ready to, open life, end
        (AVOCADO, 3, 5, 1, 6),
        (SPINACH, 0, 3, 2, 3),
        (TOFU, 0, 30, 4, 30),
        (TORTILLA, 0, 10, 3, 10),
    ];
    for (food, from, to, life, end) in windows {
        let pack = &mut packs[pack_of(food).index()];
        (pack.ready_from, pack.ready_to, pack.open_life, pack.end) = (from, to, life, end);
    }
    packs[0].stage = Some("hard".to_owned());
    packs[0].unit_ap_mg = 200_000;
    packs[0].value_nano = 810_811; // 120 / 0.148 = 810.810811
    packs[6].units = 3;
    packs[6].value_nano = 500_000; // 294 / (3 * 0.196)
    larder.packs = packs.into();
}

fn stock(larder: &mut Contents) {
    larder.stock = [
        Stock {
            food: SPINACH,
            label: "rest of a bag".to_owned(),
            left_mg: 60_000,
            opened: true,
            ready_from: 0,
            ready_to: 1,
            open_life: 0,
            end: 1,
            value_nano: 900_000,
        },
        Stock {
            food: TOFU,
            label: "small block".to_owned(),
            left_mg: 150_000,
            opened: false,
            ready_from: 0,
            ready_to: 20,
            open_life: 2,
            end: 20,
            value_nano: 500_000,
        },
    ]
    .into();
}

fn recipes(larder: &mut Contents) {
    let rice = |mg| line(&[(Ingredient::Component(COOKED_RICE), mg)]);
    let either = line(&[
        (Ingredient::Food(AVOCADO), 40_000),
        (Ingredient::Food(SPINACH), 30_000),
    ]);
    let mut recipes = vec![
        recipe(
            "avocado wrap",
            WRAP,
            7,
            4,
            vec![of(TORTILLA, 49_000), either, of(SPINACH, 20_000)],
        ),
        recipe(
            "green rice bowl",
            BOWL,
            4,
            4,
            vec![rice(200_000), of(SPINACH, 30_000), of(OIL, 5_000)],
        ),
        recipe("spinach soup", SOUP, 15, 4, vec![of(SPINACH, 100_000)]),
        recipe(
            "tofu rice bowl",
            BOWL,
            5,
            4,
            vec![rice(150_000), of(TOFU, 100_000), of(SPINACH, 10_000)],
        ),
        recipe(
            "tofu wrap",
            WRAP,
            6,
            4,
            vec![of(TORTILLA, 49_000), of(TOFU, 75_000), of(SALT, 1_000)],
        ),
    ];
    recipes[0].tags = vec!["cold".to_owned()];
    recipes[2].needs = vec!["stove".to_owned()];
    recipes[3].protein = Some(ProteinId(0));
    recipes[3].needs = vec!["bowl with lid".to_owned()];
    recipes[4].protein = Some(ProteinId(0));
    larder.recipes = recipes.into();
}

/// A week that keeps every rule; worked by hand in `tests/judge.rs`.
pub fn plan() -> Plan {
    let lunch = |recipe| Lunch {
        recipe,
        taken: vec![0; 3],
    };
    Plan {
        lunches: [TOFU_BOWL, TOFU_WRAP, GREEN_BOWL, AVOCADO_WRAP]
            .map(lunch)
            .into(),
        batches: vec![
            Batch {
                component: COOKED_RICE,
                day: 0,
                serves: vec![(1, 450_000), (3, 200_000)],
                foods: vec![(RICE, 260_000), (SALT, 2_600)],
            },
            Batch {
                component: COOKED_RICE,
                day: 2,
                serves: vec![(3, 450_000)],
                foods: vec![(RICE, 180_000), (SALT, 1_800)],
            },
        ],
        purchases: [
            (AVOCADO, 0),
            (RICE, 0),
            (SPINACH, 1),
            (TOFU, 0),
            (TORTILLA, 0),
        ]
        .map(|(food, trip)| Purchase {
            pack: pack_of(food),
            trip,
            count: 1,
        })
        .into(),
        openings: vec![
            opening(bought(AVOCADO, 0), 4, &[(4, 120_000)]),
            opening(bought(RICE, 0), 0, &[(0, 260_000), (2, 180_000)]),
            opening(bought(SPINACH, 1), 3, &[(3, 97_500), (4, 60_000)]),
            opening(bought(TOFU, 0), 1, &[(1, 150_000), (2, 225_000)]),
            opening(bought(TORTILLA, 0), 2, &[(2, 147_000), (4, 49_000)]),
            opening(bought(TORTILLA, 0), 4, &[(4, 98_000)]),
            opening(Lot::Stock(SPINACH_ON_HAND), 1, &[(1, 30_000)]),
            opening(Lot::Stock(TOFU_ON_HAND), 1, &[(1, 150_000)]),
        ],
    }
}

/// Positions in [`plan`]'s openings.
pub mod opened {
    pub const AVOCADO: usize = 0;
    pub const RICE: usize = 1;
    pub const SPINACH: usize = 2;
    pub const TOFU: usize = 3;
    pub const TORTILLA_TUESDAY: usize = 4;
    pub const TORTILLA_THURSDAY: usize = 5;
    pub const SPINACH_ON_HAND: usize = 6;
    pub const TOFU_ON_HAND: usize = 7;
}

/// Positions in [`plan`]'s purchases.
pub mod basket {
    pub const AVOCADO: usize = 0;
    pub const SPINACH: usize = 2;
    pub const TOFU: usize = 3;
    pub const TORTILLA: usize = 4;
}

pub fn bought(food: FoodId, trip: u8) -> Lot {
    Lot::Bought(pack_of(food), trip)
}

/// One unit opened on `day`.
pub fn opening(lot: Lot, day: u8, draws: &[(u8, i64)]) -> Opening {
    Opening {
        lot,
        day,
        units: 1,
        draws: draws.to_vec(),
    }
}
