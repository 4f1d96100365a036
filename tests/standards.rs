//! Asks whether published standards become the rules they stand for, and whether the week chosen
//! for a school visit satisfies the weekly pattern.
//!
//! The truth: 21 CFR 101.9(c)(8)(iv) and (c)(9) for Daily Values; Dietary Reference Intakes of the
//! Food and Nutrition Board (elements: 2019, Appendix J); 7 CFR 210.10 as amended by the final rule
//! of 25 April 2024 for the pattern. Figures are restated here and added up by this file's own
//! arithmetic, from the JSON of the command alone.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use scant::larder::{Larder, Nutrient, Per};
use serde_json::Value;

/// A kitchen of one food and recipe with these `standards`, or its faults.
fn kitchen(standards: &str) -> Result<Larder, Vec<String>> {
    let text = format!(
        "kitchen: k\ncurrency: USD\nrules: {{ standards: [ {standards} ] }}\nfoods:\n  \
         - {{ food: tofu, table: \"16126\", packs: [ {{ pack: block, size: 400 g, price: 2, keeps: 9, \
         open_keeps: 3 }} ] }}\nrecipes:\n  - {{ recipe: r, form: bowl, lines: [ {{ food: tofu, \
         amount: 250 g }} ] }}\n"
    );
    let read = scant::kitchen::read_texts(vec![("k.yaml".to_owned(), text.into_bytes())]);
    let faults = read.faults.iter().map(|fault| format!("{fault:?}"));
    read.larder.ok_or_else(|| faults.collect())
}

/// Floor and ceiling of a nutrient, thousandths of its unit.
fn limits(larder: &Larder, nutrient: Nutrient) -> (Option<i64>, Option<i64>) {
    let mut rules = larder.wishes.nutrition.iter();
    let rule = rules.find(|rule| rule.nutrient == nutrient);
    rule.map_or((None, None), |rule| {
        (rule.at_least_milli, rule.at_most_milli)
    })
}

#[test]
fn a_third_of_the_daily_values_is_asked_of_the_weeks_mean() {
    let larder = kitchen("daily values").expect("a kitchen");
    // 18 mg iron, 1300 mg calcium, 28 g fibre, 2.4 ug vitamin B12; floors rounded up.
    assert_eq!(limits(&larder, Nutrient::Iron), (Some(6_000), None));
    assert_eq!(limits(&larder, Nutrient::Calcium), (Some(433_334), None));
    assert_eq!(limits(&larder, Nutrient::Fibre), (Some(9_334), None));
    assert_eq!(limits(&larder, Nutrient::VitaminB12), (Some(800), None));
    // 20 g saturated fat, 2300 mg sodium; ceilings rounded down.
    assert_eq!(limits(&larder, Nutrient::Saturated), (None, Some(6_666)));
    assert_eq!(limits(&larder, Nutrient::Sodium), (None, Some(766_666)));
    assert_eq!(limits(&larder, Nutrient::Energy), (None, None));
    for rule in &larder.wishes.nutrition {
        assert_eq!(rule.per, Per::Week);
        assert!(
            rule.source
                .starts_with("a third of a day's: 21 CFR 101.9(c)(")
        );
    }
}

#[test]
fn the_cook_states_share_age_and_what_to_leave_out() {
    let larder = kitchen(
        "{ standard: adult women, share: 40 %, per: lunch, age: 25, except: [ vitamin_b12 ] }",
    )
    .expect("a kitchen");
    // RDA of women of 19 to 50: iron 18 mg; magnesium 310 mg at 19 to 30; AI of fibre 25 g.
    assert_eq!(limits(&larder, Nutrient::Iron), (Some(7_200), None));
    assert_eq!(limits(&larder, Nutrient::Magnesium), (Some(124_000), None));
    assert_eq!(limits(&larder, Nutrient::Fibre), (Some(10_000), None));
    assert_eq!(limits(&larder, Nutrient::VitaminB12), (None, None));
    assert!(
        larder
            .wishes
            .nutrition
            .iter()
            .all(|rule| rule.per == Per::Lunch)
    );
    assert!(
        larder
            .wishes
            .nutrition
            .iter()
            .all(|rule| rule.source.starts_with("40 % of a day's: "))
    );
    let men = kitchen("adult men").expect("a kitchen");
    // Men: iron 8 mg, fibre 38 g, magnesium 420 mg at 31 to 50.
    assert_eq!(limits(&men, Nutrient::Iron), (Some(2_667), None));
    assert_eq!(limits(&men, Nutrient::Fibre), (Some(12_667), None));
    assert_eq!(limits(&men, Nutrient::Magnesium), (Some(140_000), None));
}

/// Dietary Reference Intakes for Vitamin A, Iron and others (2001): people who eat no meat need 1.8
/// times as much iron. Of 8 mg 14.4, of 18 mg 32.4; a third 4.8 and 10.8.
#[test]
fn iron_without_meat_is_a_standard_of_its_own() {
    for (who, third) in [("men", 4_800), ("women", 10_800)] {
        let larder = kitchen(&format!("\"iron without meat, adult {who}\"")).expect("a kitchen");
        assert_eq!(larder.wishes.nutrition.len(), 1);
        assert_eq!(limits(&larder, Nutrient::Iron), (Some(third), None));
        assert!(larder.wishes.nutrition[0].source.contains("1.8 times"));
    }
    // The plain allowance stays what it is.
    let women = kitchen("adult women").expect("a kitchen");
    assert_eq!(limits(&women, Nutrient::Iron), (Some(6_000), None));
}

/// The rule on drinks in place of milk asks 8 g of protein and 349 mg of potassium in a cup (7 CFR
/// 210.10(d), from memory); 243 g of row 16139 have 2.60 x 2.43 = 6.3 g and 122 x 2.43 = 296 mg,
/// and enough calcium, magnesium and vitamin B12: 299 mg, 36 mg, 2.1 ug; vitamin A 133 of 150 ug.
#[test]
fn a_drink_in_place_of_milk_is_told_for_what_it_lacks() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/school-visit");
    let read = scant::kitchen::read_dir(&folder);
    let warnings: Vec<String> = read.warnings.iter().map(|w| format!("{w:?}")).collect();
    let milk: Vec<&String> = warnings
        .iter()
        .filter(|w| w.contains("counts as fluid milk"))
        .collect();
    assert_eq!(milk.len(), 1, "{warnings:#?}");
    for words in [
        "`soy milk`",
        "protein 6.3 g of 8.0 g",
        "potassium 296.4 mg of 349.0 mg",
        "vitamin D, phosphorus and riboflavin",
    ] {
        assert!(milk[0].contains(words), "{words}: {}", milk[0]);
    }
    for enough in ["calcium", "magnesium", "B12"] {
        assert!(!milk[0].contains(enough), "{}", milk[0]);
    }
}

#[test]
fn a_standard_that_cannot_be_meant_is_a_fault() {
    for (text, says) in [
        ("daily value", "did you mean"),
        (
            "school lunch 9-12 until June 2027",
            "no food counts towards",
        ),
        ("{ standard: adult men, age: 12 }", "age"),
        ("{ standard: daily values, age: 30 }", "same for all ages"),
        ("{ standard: adult men, except: [ gold ] }", "no nutrient"),
    ] {
        let faults = kitchen(text).expect_err(text).join("\n");
        assert!(faults.contains(says), "{text}: {faults}");
    }
}

/// A food of the school visit: kcal, saturated fat g and sodium mg in 100 g (USDA National Nutrient
/// Database for Standard Reference, Release 28, by the number named), the group and the grams that
/// count as one unit, and the kind of vegetable.
struct Entry(&'static str, f64, f64, f64, &'static str, f64, &'static str);

/// Cups weigh what the same release gives as household measures. A quarter cup of cooked beans,
/// 2 tbsp of nut butter, 1 oz of tempeh: 1 oz eq of meat alternate (Connecticut State Department of
/// Education, 2024 rule edition); 2.2 oz of tofu (USDA FNS memo SP 16-2012). Raw leafy greens count
/// half their volume: 7 CFR 210.10(c)(2)(ii). Bread and dry pasta, 28 g, cooked rice half a cup: 1 oz
/// eq (USDA grain tables, from memory); 101 g of cooked rice come of 34 g dry.
const FOODS: [Entry; 23] = [
    Entry("soy milk", 43.0, 0.205, 47.0, "milk", 243.0, ""), // 16139
    Entry("apples", 57.0, 0.0, 1.0, "fruit", 109.0, ""),     // 09503, no figure for saturated
    Entry("oranges", 47.0, 0.015, 0.0, "fruit", 180.0, ""),  // 09200
    Entry("bananas", 89.0, 0.112, 1.0, "fruit", 150.0, ""),  // 09040
    Entry("brown rice", 367.0, 0.591, 5.0, "grains", 34.0, ""), // 20036, by the cooked cup
    Entry(
        "whole-wheat macaroni",
        352.0,
        0.428,
        6.0,
        "grains",
        28.0,
        "",
    ), // 20124
    Entry("wholemeal bread", 252.0, 0.722, 455.0, "grains", 28.0, ""), // 18075
    Entry("firm tofu", 78.0, 0.793, 12.0, "meat", 62.368, ""), // 16126
    Entry("tempeh", 192.0, 2.539, 9.0, "meat", 28.349, ""),  // 16114
    Entry("chickpeas", 138.0, 0.259, 212.0, "meat", 38.0, ""), // 16359, 152 g a cup
    Entry("cooked lentils", 116.0, 0.053, 2.0, "meat", 49.5, ""), // 16070, 198 g a cup
    Entry("peanut butter", 598.0, 10.325, 426.0, "meat", 32.0, ""), // 16098
    Entry(
        "black beans",
        132.0,
        0.139,
        1.0,
        "vegetables",
        172.0,
        "beans",
    ), // 16015
    Entry(
        "broccoli",
        34.0,
        0.039,
        33.0,
        "vegetables",
        91.0,
        "dark green",
    ), // 11090
    Entry(
        "spinach",
        23.0,
        0.063,
        79.0,
        "vegetables",
        60.0,
        "dark green",
    ), // 11457, 30 g a cup
    Entry("carrots", 41.0, 0.037, 69.0, "vegetables", 122.0, "red"), // 11124
    Entry("tomatoes", 18.0, 0.028, 5.0, "vegetables", 180.0, "red"), // 11529
    Entry(
        "sweet potatoes",
        86.0,
        0.018,
        55.0,
        "vegetables",
        133.0,
        "red",
    ), // 11507
    Entry("potatoes", 77.0, 0.025, 6.0, "vegetables", 150.0, "starchy"), // 11352
    Entry("cabbage", 25.0, 0.034, 18.0, "vegetables", 89.0, "other"), // 11109
    Entry("cucumbers", 15.0, 0.037, 2.0, "vegetables", 104.0, "other"), // 11205
    Entry("olive oil", 884.0, 13.808, 2.0, "", 1.0, ""),     // 04053
    Entry("fine salt", 0.0, 0.0, 38_758.0, "", 1.0, ""),     // 02047
];

/// Grams of foods in a line of the JSON; components by the kitchen's own recipes for them.
fn foods(line: &Value) -> Vec<(String, f64)> {
    let grams = line["portion_mg"].as_f64().expect("milligrams") / 1_000.0;
    let part = |food: &str, of: f64| (food.to_owned(), grams * of);
    match line["component"].as_str() {
        Some("cooked brown rice") => vec![part("brown rice", 0.337), part("fine salt", 0.002)],
        Some("baked tofu") => vec![
            part("firm tofu", 1.25),
            part("olive oil", 0.06),
            part("fine salt", 0.006),
        ],
        Some(other) => panic!("a component this test does not know: {other}"),
        None => vec![part(line["food"].as_str().expect("a food"), 1.0)],
    }
}

/// What a week of the school visit gives, by group and kind, each day; and the week's nutrients.
fn tally(options: &[&str]) -> (Vec<BTreeMap<String, f64>>, [f64; 3]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/school-visit");
    let run = Command::new(env!("CARGO_BIN_EXE_scant"))
        .arg("week")
        .arg(folder)
        .args(["--format", "json"])
        .args(options)
        .output()
        .expect("the command runs");
    assert!(run.status.success(), "{run:?}");
    let week: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    assert_eq!(week["outcome"], "best");
    let mut days = Vec::new();
    let mut nutrients = [0.0; 3];
    for lunch in week["lunches"].as_array().expect("lunches") {
        let mut groups: BTreeMap<String, f64> = BTreeMap::new();
        for (food, grams) in lunch["lines"]
            .as_array()
            .expect("lines")
            .iter()
            .flat_map(foods)
        {
            let known = FOODS.iter().find(|entry| entry.0 == food);
            let &Entry(_, kcal, saturated, sodium, group, unit, kind) =
                known.unwrap_or_else(|| panic!("{food} is not in this test"));
            for (sum, figure) in nutrients.iter_mut().zip([kcal, saturated, sodium]) {
                *sum += grams * figure / 100.0;
            }
            let amount = grams / unit;
            // The smallest amounts that credit: footnotes 2, 5 and 6 of Table 1.
            let least = if ["grains", "meat"].contains(&group) {
                0.25
            } else {
                0.125
            };
            if group.is_empty() || amount < least {
                continue;
            }
            *groups.entry(group.to_owned()).or_default() += amount;
            if !kind.is_empty() {
                *groups.entry(kind.to_owned()).or_default() += amount;
            }
        }
        days.push(groups);
    }
    (days, nutrients)
}

/// The pattern for grades 9 to 12: group, least a day, least and most a week. 7 CFR 210.10(c)
/// Table 1.
const PATTERN: [(&str, f64, f64, f64); 10] = [
    ("fruit", 1.0, 5.0, 99.0),
    ("vegetables", 1.0, 5.0, 99.0),
    ("dark green", 0.0, 0.5, 99.0),
    ("red", 0.0, 1.25, 99.0),
    ("beans", 0.0, 0.5, 99.0),
    ("starchy", 0.0, 0.5, 99.0),
    ("other", 0.0, 0.75, 99.0),
    ("grains", 2.0, 10.0, 12.0),
    ("meat", 2.0, 10.0, 12.0),
    ("milk", 1.0, 5.0, 99.0),
];

#[test]
fn the_week_of_the_school_visit_satisfies_the_pattern_of_grades_9_to_12() {
    let (days, [kcal, saturated, sodium]) = tally(&[]);
    assert_eq!(days.len(), 5);
    // Milligrams of ounces and of shares are rounded down, here and there differently.
    let near = 2e-5;
    for (group, day, least, most) in PATTERN {
        let of = |groups: &BTreeMap<String, f64>| groups.get(group).copied().unwrap_or(0.0);
        for groups in &days {
            assert!(of(groups) >= day - near, "{group}: {days:?}");
        }
        let week: f64 = days.iter().map(of).sum();
        assert!(
            (least - near..=most + near).contains(&week),
            "{group}: {week}"
        );
    }
    // 7 CFR 210.10(f)(1), (2) and (4): means of 750 to 850 kcal, below 10 % of energy from saturated
    // fat (9 kcal a gram), at most 1280 mg sodium through 30 June 2027.
    let mean = kcal / 5.0;
    assert!((750.0..=850.0).contains(&mean), "{mean} kcal");
    assert!(
        9.0 * saturated < 0.10 * kcal,
        "{saturated} g in {kcal} kcal"
    );
    assert!(sodium / 5.0 <= 1_280.0, "{sodium} mg");
}

#[test]
fn without_the_standard_the_cheapest_week_breaks_the_pattern() {
    // So the rules above did something. The same kitchen, its standard taken out.
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/school-visit");
    let larder = scant::kitchen::read_dir(&folder).larder.expect("a kitchen");
    let (nutrition, credits) = (larder.wishes.nutrition.len(), larder.wishes.credits.len());
    assert_eq!((nutrition, credits), (2, 1 + 5 + 10));
    let bare = larder.changed(|new| new.wishes.credits.clear());
    let bare = bare.expect("a sound larder");
    let limits = scant::engine::Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let outcome = scant::engine::solve(&bare, &limits)
        .expect("no fault of the engine")
        .0;
    let scant::engine::Outcome::Best(solved) = outcome else {
        panic!("a week is possible");
    };
    let findings = scant::rules::judge(&larder, &solved.plan).expect_err("it breaks the pattern");
    assert!(
        findings
            .iter()
            .all(|finding| finding.code.contains("credit"))
    );
}
