//! Question: is the built-in table all of the published one, and is the plain food found first?
//!
//! Truth: the USDA National Nutrient Database for Standard Reference, Release 28 (2015); the
//! FoodKeeper data, version 128 (2018). Sums over whole columns, a dozen rows and counts were taken
//! from those files by another program and typed here. With `SCANT_REFERENCE` set to a folder that
//! holds the published tables as CSV, every figure of every row is held against it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use scant::larder::Nutrient;
use scant::table::keeper::{self, Figure};
use scant::table::keeping::{self, Place, Start};
use scant::table::{self, Row, packs};

/// Rows that carry a number of the source, once each.
fn source_rows() -> BTreeMap<&'static str, &'static Row> {
    table::rows()
        .iter()
        .filter(|row| !row.number.contains('-'))
        .map(|row| (row.number, row))
        .collect()
}

/// Of each nutrient: how many foods have a figure, and the sum of all in thousandths.
const SUMS: [(&str, usize, i64); 19] = [
    ("energy", 2780, 537_965_000),
    ("protein", 2780, 30_697_250),
    ("fat", 2780, 25_506_380),
    ("saturated", 2696, 7_440_192),
    ("carbohydrate", 2780, 49_456_030),
    ("fibre", 2656, 7_371_200),
    ("sugars", 2177, 11_293_650),
    ("calcium", 2779, 245_194_000),
    ("iron", 2780, 6_010_390),
    ("magnesium", 2763, 118_435_000),
    ("potassium", 2777, 902_345_000),
    ("sodium", 2779, 765_034_000),
    ("zinc", 2759, 4_815_910),
    ("vitamin_c", 2718, 25_439_800),
    ("folate", 2651, 124_558_000),
    ("vitamin_b12", 2691, 3_120_430),
    ("vitamin_a", 2648, 342_017_000),
    ("vitamin_e", 2150, 2_570_600),
    ("vitamin_k", 2086, 48_301_800),
];

#[test]
fn the_table_is_whole_and_its_columns_add_up_to_the_published_ones() {
    let rows = source_rows();
    assert_eq!(rows.len(), 2780);
    for (nutrient, (key, count, sum)) in Nutrient::ALL.into_iter().zip(SUMS) {
        assert_eq!(nutrient.key(), key);
        let figures: Vec<i64> = rows
            .values()
            .filter_map(|row| row.nutrients_milli[nutrient.index()])
            .collect();
        assert_eq!((figures.len(), figures.iter().sum()), (count, sum), "{key}");
    }
    let refuse: i64 = table::rows()
        .iter()
        .filter(|row| !row.number.contains('-'))
        .map(|row| 100_000 - row.yield_milli_percent)
        .sum();
    assert_eq!(refuse, 17_305_000);
}

/// Rows that the release before had not, or had with other figures: energy to vitamin K per 100 g.
const ROWS: [(&str, &str); 12] = [
    (
        "11740", // broccoli, flower clusters, raw
        "28 2.98 0.35 0.054 5.06 2.3 1.48 48 0.88 25 325 27 0.40 93.2 71 0.00 - - -",
    ),
    (
        "16026", // beans, great northern, mature seeds, canned: 370 mg of sodium
        "114 7.37 0.39 0.120 21.02 4.9 1.41 53 1.57 51 351 370 0.65 1.3 81 0.00 0 0.79 3.0",
    ),
    (
        "16162", // tofu, silken, firm
        "62 6.90 2.70 0.406 2.40 0.1 1.27 32 1.03 27 194 36 0.61 0.0 - 0.00 0 - -",
    ),
    (
        "09176", // mangos, raw
        "60 0.82 0.38 0.092 14.98 1.6 13.66 11 0.16 10 168 1 0.09 36.4 43 0.00 54 0.90 4.2",
    ),
    (
        "15085", // fish, salmon, sockeye, raw
        "131 22.25 4.69 0.814 0.00 0.0 0.00 9 0.43 30 367 78 0.46 0.0 6 4.69 49 0.83 0.1",
    ),
    (
        "01009", // cheese, cheddar
        "404 22.87 33.31 18.867 3.09 0.0 0.48 710 0.14 27 76 653 3.64 0.0 27 1.10 330 0.71 2.4",
    ),
    (
        "11916", // peppers, sweet, red, canned, solids and liquids
        "18 0.80 0.30 0.045 3.90 1.2 - 41 0.80 11 146 1369 0.18 46.5 16 0.00 26 - -",
    ),
    (
        "20038", // oats
        "389 16.89 6.90 1.217 66.27 10.6 - 54 4.72 177 429 2 3.97 0.0 56 0.00 0 - -",
    ),
    (
        "12087", // nuts, cashew nuts, raw
        "553 18.22 43.85 7.783 30.19 3.3 5.91 37 6.68 292 660 12 5.78 0.5 25 0.00 0 0.90 34.1",
    ),
    (
        "06971", // sauce, worcestershire
        "78 0.00 0.00 0.000 19.46 0.0 10.03 107 5.30 13 800 980 0.19 13.0 8 0.00 5 0.08 1.0",
    ),
    (
        "09421", // dates, medjool
        "277 1.81 0.15 - 74.97 6.7 66.47 64 0.90 54 696 1 0.44 0.0 15 - 7 - 2.7",
    ),
    (
        "10123", // pork, cured, bacon, unprepared
        "417 12.62 39.69 13.296 1.28 0.0 1.00 5 0.41 12 198 662 1.18 0.0 0 0.50 11 0.43 0.0",
    ),
];

/// Thousandths of a figure as published.
fn milli(text: &str) -> Option<i64> {
    text.parse::<f64>()
        .ok()
        .map(|v| (v * 1000.0).round() as i64)
}

#[test]
fn a_dozen_rows_that_are_new_or_changed_hold_the_published_figures() {
    for (number, typed) in ROWS {
        let row = table::find(number).unwrap_or_else(|| panic!("{number}"));
        let typed: Vec<&str> = typed.split(' ').collect();
        for (at, nutrient) in Nutrient::ALL.into_iter().enumerate() {
            let held = row.nutrients_milli[nutrient.index()];
            assert_eq!(held, milli(typed[at]), "{number} {}", nutrient.key());
        }
    }
}

/// Of each food a cook might type, the number of the row that is meant: as it is bought, plain.
const PLAIN: [(&str, &str); 82] = [
    ("carrot", "11124"),
    ("carrots", "11124"),
    ("onion", "11282"),
    ("potato", "11352"),
    ("potatoes", "11352"),
    ("tomato", "11529"),
    ("cabbage", "11109"),
    ("cauliflower", "11135"),
    ("broccoli", "11090"),
    ("spinach", "11457"),
    ("kale", "11233"),
    ("lettuce", "11253"),
    ("celery", "11143"),
    ("cucumber", "11205"),
    ("courgette", "11477"),
    ("eggplant", "11209"),
    ("garlic", "11215"),
    ("leek", "11246"),
    ("mushroom", "11260"),
    ("asparagus", "11011"),
    ("beetroot", "11080"),
    ("parsnip", "11298"),
    ("turnip", "11564"),
    ("radish", "11429"),
    ("sweet potato", "11507"),
    ("pumpkin", "11422"),
    ("okra", "11278"),
    ("fennel", "11957"),
    ("peas", "11312"),
    ("parsley", "11297"),
    ("mint", "02065"),
    ("apple", "09003"),
    ("pear", "09252"),
    ("peach", "09236"),
    ("plum", "09279"),
    ("banana", "09040"),
    ("orange", "09200"),
    ("lemon", "09150"),
    ("lime", "09159"),
    ("grapefruit", "09111"),
    ("grape", "09132"),
    ("mango", "09176"),
    ("avocado", "09037"),
    ("strawberry", "09316"),
    ("blueberry", "09050"),
    ("raspberry", "09302"),
    ("cherry", "09070"),
    ("pineapple", "09266"),
    ("watermelon", "09326"),
    ("raisin", "09298"),
    ("rice", "20044"),
    ("brown rice", "20036"),
    ("quinoa", "20035"),
    ("bulgur", "20012"),
    ("couscous", "20028"),
    ("barley", "20005"),
    ("millet", "20031"),
    ("oats", "08120"),
    ("pasta", "20120"),
    ("spaghetti", "20120"),
    ("flour", "20581"),
    ("bread", "18069"),
    ("lentil", "16069"),
    ("tofu", "16126"),
    ("tempeh", "16114"),
    ("miso", "16112"),
    ("hummus", "16158"),
    ("almond", "12061-shelled"),
    ("walnut", "12155-shelled"),
    ("peanut", "16390"),
    ("peanut butter", "16398"),
    ("tahini", "12166"),
    ("egg", "01123"),
    ("milk", "01077"),
    ("butter", "01145"),
    ("yogurt", "01116"),
    ("salmon", "15085"),
    ("tuna", "15121"),
    ("chicken", "05062"),
    ("salt", "02047"),
    ("sugar", "19335"),
    ("honey", "19296"),
];

#[test]
fn the_plain_food_is_found_first() {
    let wrong: Vec<String> = PLAIN
        .iter()
        .filter_map(|&(typed, number)| {
            let found = table::search(typed);
            let first = found.first().map_or("nothing", |row| row.number);
            let name = found.first().map_or("", |row| row.name);
            (first != number).then(|| format!("{typed}: {first} {name}, not {number}"))
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Of words that no row is called by itself, the first rows are still foods of that kind, and
/// dishes that merely hold them come after.
#[test]
fn kinds_come_before_dishes_that_hold_them() {
    for (typed, kind) in [
        ("bean", "bean"),
        ("chickpeas", "chickpea"),
        ("pepper red", "pepper"),
        ("squash", "squash"),
        ("cheese", "cheese"),
        ("beef", "beef"),
        ("carrots cooked", "carrots"),
        ("rice cooked", "rice"),
        ("tomatoes canned", "tomato"),
        ("soup", "soup"),
    ] {
        let found = table::search(typed);
        assert!(found.len() >= 3, "{typed}");
        for row in &found[..3] {
            assert!(row.name.contains(kind), "{typed}: {}", row.name);
        }
        for dish in ["soup", "salad", "baby", "babyfood"] {
            let early = found.iter().take(5).any(|row| row.name.starts_with(dish));
            assert!(!early || typed == dish, "{typed}: a {dish} among the first");
        }
    }
}

#[test]
fn a_food_the_release_has_dropped_is_told_with_the_nearest() {
    let gone = table::gone("20107").expect("whole-wheat macaroni was a row of Release 26");
    assert_eq!(gone.nearest, "20124");
    for number in [
        "07079", "09445", "14002", "18035", "20099", "20100", "20107", "20108",
    ] {
        let gone = table::gone(number).unwrap_or_else(|| panic!("{number}"));
        assert!(table::find(number).is_none(), "{number} is no row any more");
        assert!(table::find(gone.nearest).is_some(), "{}", gone.nearest);
    }
    assert_eq!(table::gone("11124"), None);
}

#[test]
fn keeping_times_and_packs_are_whole() {
    let products = keeper::products();
    assert_eq!(products.len(), 661);
    let figures: Vec<&Figure> = products.iter().flat_map(|p| &p.figures).collect();
    assert_eq!(figures.len(), 1422);
    let most: Vec<u32> = figures
        .iter()
        .filter_map(|f| f.max_days.map(u32::from))
        .filter(|&days| days > 0)
        .collect();
    assert_eq!((most.len(), most.iter().sum::<u32>()), (1229, 265_578));
    // Two copies of the source disagree on 21 of them: none is used.
    assert_eq!(figures.iter().filter(|f| f.doubt.is_some()).count(), 21);
    let tofu = keeper::product(168).expect("tofu");
    assert_eq!(tofu.days(Place::Refrigerator, &[Start::Bought]), Some(7));
    assert_eq!(tofu.days(Place::Freezer, &[Start::Bought]), Some(150));
    let hummus = keeper::product(181).expect("hummus, commercial");
    assert_eq!(hummus.days(Place::Refrigerator, &[Start::Opened]), Some(7));
    assert_eq!(packs::packs().len(), 489);
    let shares: Vec<i64> = packs::packs()
        .iter()
        .filter_map(|p| p.drained_milli_percent)
        .collect();
    assert_eq!((shares.len(), shares.iter().sum()), (42, 2_846_000));
    // Kidney beans, red: 266 of 436 g; chickpeas: 253 of 448 g.
    let drained = |number| {
        let pack = packs::packs_of(number).find(|p| !p.drained_grams.is_empty());
        pack.map(|p| (p.grams, p.drained_grams))
    };
    assert_eq!(drained("16145"), Some(("436", "266")));
    assert_eq!(drained("16358"), Some(("448", "253")));
}

/// The leftover rule wins over longer figures for cooked rice (4 to 6 days) and pasta (3 to 5);
/// frozen leftovers keep one to two months in one chart and three to four in the other; ham in
/// slices 3 to 4 days and 3 to 5; fatty fish 1 to 2 and 1 to 3.
#[test]
fn where_two_sources_differ_the_shorter_counts() {
    for (food, state, place, days) in [
        ("rice", "cooked", Place::Refrigerator, 4),
        ("pasta", "cooked", Place::Refrigerator, 4),
        ("cooked dish, any", "cooked", Place::Freezer, 60),
        ("fatty fish", "raw", Place::Refrigerator, 2),
        ("ham, cooked, sliced", "opened", Place::Refrigerator, 4),
        ("tofu", "opened", Place::Refrigerator, 5),
        ("okra", "whole", Place::ColdStore, 3),
        ("eggs, hard-boiled", "cooked", Place::Refrigerator, 7),
        ("basil", "whole", Place::ColdStore, 7),
        ("rice, brown or wild", "dry", Place::Counter, 180),
    ] {
        let held = keeping::keeping()
            .iter()
            .find(|k| k.food == food && k.state == state && k.place == place)
            .unwrap_or_else(|| panic!("{food}"));
        assert_eq!(held.counted_days(), days, "{food}, {state}");
    }
}

/// The published tables as CSV, where the environment names their folder.
fn reference(file: &str) -> Option<Vec<BTreeMap<String, String>>> {
    let folder = PathBuf::from(std::env::var_os("SCANT_REFERENCE")?);
    let mut reader = csv::Reader::from_path(folder.join(file)).expect("the file");
    Some(
        reader
            .deserialize()
            .map(|row| row.expect("a row"))
            .collect(),
    )
}

/// The columns of the published file, in the order of `Nutrient::ALL`.
const COLUMNS: [&str; 19] = [
    "energy_kcal",
    "protein_g",
    "fat_g",
    "saturated_g",
    "carbohydrate_g",
    "fibre_g",
    "sugars_g",
    "calcium_mg",
    "iron_mg",
    "magnesium_mg",
    "potassium_mg",
    "sodium_mg",
    "zinc_mg",
    "vitamin_c_mg",
    "folate_dfe_ug",
    "vitamin_b12_ug",
    "vitamin_a_rae_ug",
    "vitamin_e_mg",
    "vitamin_k_ug",
];

#[test]
fn every_food_and_measure_agrees_with_the_published_files() {
    let Some(foods) = reference("sr28-foods.csv") else {
        return;
    };
    let rows = source_rows();
    let mut wrong = Vec::new();
    for food in &foods {
        let number = food["ndb_no"].as_str();
        let Some(row) = rows.get(number) else {
            wrong.push(format!("{number} is missing"));
            continue;
        };
        for (nutrient, column) in Nutrient::ALL.into_iter().zip(COLUMNS) {
            if row.nutrients_milli[nutrient.index()] != milli(&food[column]) {
                wrong.push(format!("{number} {column}"));
            }
        }
        let refuse = milli(&food["refuse_pct"]).unwrap_or(0);
        if row.yield_milli_percent != 100_000 - refuse {
            wrong.push(format!("{number} refuse"));
        }
    }
    assert_eq!(foods.len(), rows.len());
    let mut left_out = BTreeSet::new();
    for measure in reference("sr28-measures.csv").expect("the measures") {
        let number = measure["ndb_no"].as_str();
        let grams: f64 = measure["grams"].parse().expect("grams");
        let amount: f64 = measure["amount"].parse().expect("an amount");
        let mg = (grams * 1000.0 / amount + 1e-6).floor() as i64;
        // The measure is there under some name; an ounce needs none.
        if !rows[number].measures.iter().any(|m| m.mg == mg) {
            let name = measure["measure"].to_lowercase();
            if name.starts_with("oz") || name.starts_with("lb") {
                left_out.insert(name);
            } else {
                wrong.push(format!("{number} {} of {grams} g", measure["measure"]));
            }
        }
    }
    assert!(!left_out.is_empty());
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_keeping_time_and_pack_agrees_with_the_published_files() {
    let Some(rows) = reference("keeping.csv") else {
        return;
    };
    let mut at: BTreeMap<u16, usize> = BTreeMap::new();
    for row in &rows {
        let id: u16 = row["product_id"].parse().expect("an id");
        let product = keeper::product(id).unwrap_or_else(|| panic!("{id}"));
        assert_eq!(product.name, row["product"].to_lowercase());
        let next = at.entry(id).or_default();
        let figure = &product.figures[*next];
        *next += 1;
        let place = match row["place"].as_str() {
            "pantry" => Place::Counter,
            "refrigerator" => Place::Refrigerator,
            _ => Place::Freezer,
        };
        let start = match row["state"].as_str() {
            "from purchase" => Start::Bought,
            "after opening" => Start::Opened,
            "after thawing" => Start::Thawed,
            _ => Start::Unsaid,
        };
        let days = |text: &str| text.parse::<f64>().ok().map(|d| d.floor() as u16);
        assert_eq!((figure.place, figure.start), (place, start), "{id}");
        assert_eq!(figure.min_days, days(&row["min_days"]), "{id}");
        assert_eq!(figure.max_days, days(&row["max_days"]), "{id}");
        assert_eq!(figure.words, row["words"], "{id}");
        let agreed = ["two copies agree", "tip only"].contains(&row["check"].as_str());
        assert_eq!(figure.doubt.is_none(), agreed, "{id}");
    }
    assert_eq!(rows.len(), at.values().sum::<usize>());
    let given = reference("packs.csv").expect("the packs");
    for (held, row) in packs::packs().iter().zip(&given) {
        assert_eq!(held.numbers.join(" "), row["ndb_no"]);
        assert_eq!(held.grams, row["grams"]);
        assert_eq!(held.drained_grams, row["drained_g"]);
        assert_eq!(held.drained_milli_percent, milli(&row["drained_share_pct"]));
    }
    // Where two sources differ: the shorter of each line, leftovers never beyond four days.
    for row in reference("storage-check.csv").expect("the comparison") {
        let days = |key: &str| row[key].parse::<f64>().ok().map(|d| d as u16);
        let (Some(ours), Some(theirs)) = (days("max_days"), days("fk_max_days")) else {
            continue;
        };
        let place = match row["place"].as_str() {
            "refrigerator" => Place::Refrigerator,
            "freezer" => Place::Freezer,
            "counter" => Place::Counter,
            _ => Place::ColdStore,
        };
        let most = ours.min(theirs);
        // Our names differ; some line of that place must count no more than this.
        assert!(
            keeping::keeping()
                .iter()
                .any(|k| k.place == place && k.product.is_some() && k.counted_days() <= most),
            "{row:?}"
        );
    }
}
