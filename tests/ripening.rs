//! Asks whether any week of the boatyard kitchen cuts a fruit before a slow one is ripe or after
//! a fast one is gone, or serves cooked food later than leftovers keep.
//!
//! The truth is published ranges, restated below with their sources; the kitchen's own windows
//! are not looked at. The weeks are what the command prints as JSON, for a dozen questions:
//! fruit that ripens pinned to day after day, and lunches of the usual week banned by turns so
//! that other recipes come up.

use std::collections::BTreeMap;
use std::process::Command;

use serde_json::Value;

/// A fruit as bought: the least and the most days after buying on which it may be cut.
struct Window {
    food: &'static str,
    stage: &'static str,
    first: i64,
    last: i64,
}

/// Hard fruit: the slowest is ripe on `first`; the fastest, ripe on the least day of the range,
/// then holds so many days more. Ripe fruit: holds so many days.
///
/// - Avocado, hard, on a shop's shelf: ripe in 3 to 5 days on the counter, then holds 5 days at
///   4 C (avocado growers' handling page): 5 to 3 + 5.
/// - Avocado, ripe: 5 days (the same page).
/// - Mango, after a day of ethylene: ripe in 5 to 9 days, then holds 7 days at 10-13 C (mango
///   ripening leaflet after J. K. Brecht, University of Florida, 2014): 9 to 5 + 7 when hard.
/// - Mango, ripe: 7 days (the same leaflet).
/// - Tomato, firm-ripe: holds 3 to 5 days at 7-10 C (UC Davis Postharvest, Produce Facts:
///   Tomato): 5 at most.
const PUBLISHED: [Window; 5] = [
    Window {
        food: "avocado",
        stage: "hard",
        first: 5,
        last: 8,
    },
    Window {
        food: "avocado",
        stage: "ripe",
        first: 0,
        last: 5,
    },
    Window {
        food: "mango",
        stage: "hard",
        first: 9,
        last: 12,
    },
    Window {
        food: "mango",
        stage: "ripe",
        first: 0,
        last: 7,
    },
    Window {
        food: "tomatoes",
        stage: "ripe",
        first: 0,
        last: 5,
    },
];

/// Leftovers keep 3 to 4 days in the refrigerator: University of Illinois Extension, Leftovers
/// (after USDA FSIS); Cold Food Storage Chart, FoodSafety.gov.
const LEFTOVER_DAYS: i64 = 4;

/// Between a hard and a ripe fruit no source gives days. A fruit on its way is ripe no earlier
/// than at once and gone no later than a hard one.
fn window(food: &str, stage: &str) -> Option<(i64, i64)> {
    let of = |stage: &str| {
        PUBLISHED
            .iter()
            .find(|w| w.food == food && w.stage == stage)
            .map(|w| (w.first, w.last))
    };
    of(stage).or_else(|| of("hard").map(|(_, last)| (0, last)))
}

fn week(options: &[String]) -> Option<Value> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let run = Command::new(env!("CARGO_BIN_EXE_scant"))
        .arg("week")
        .arg(folder)
        .args(["--format", "json", "--limit", "20"])
        .args(options)
        .output()
        .expect("the command runs");
    let week: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    week["lunches"].is_array().then_some(week)
}

fn number(value: &Value) -> i64 {
    value.as_i64().expect("a whole number")
}

/// Questions: fruit on day after day; then without some of the usual lunches.
fn questions() -> Vec<Vec<String>> {
    let mut all = vec![Vec::new()];
    let days = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"];
    let step = [("avocado", 1), ("mango", 2), ("tomatoes", 4)];
    for (food, step) in step {
        for day in days.iter().step_by(step) {
            all.push(vec!["--with".to_owned(), format!("{food}@{day}")]);
        }
    }
    let first = week(&[]).expect("the demo has a week");
    let lunches = first["lunches"].as_array().expect("lunches");
    for (turn, day) in days.iter().enumerate().skip(1).step_by(2) {
        let mut asked = Vec::new();
        for (place, lunch) in lunches.iter().enumerate() {
            if place % 5 <= turn {
                let recipe = lunch["recipe"].as_str().expect("a name");
                asked.extend(["--without".to_owned(), recipe.to_owned()]);
            }
        }
        asked.extend(["--with".to_owned(), format!("avocado@{day}")]);
        asked.extend(["--with".to_owned(), "mango".to_owned()]);
        all.push(asked);
    }
    all
}

#[test]
fn no_week_cuts_a_fruit_outside_its_published_window_or_serves_old_leftovers() {
    let mut cut: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut batches = 0;
    for asked in questions() {
        let Some(week) = week(&asked) else { continue };
        for entry in week["leftovers"].as_array().expect("leftovers") {
            let (Some(food), Some(stage)) = (entry["food"].as_str(), entry["stage"].as_str())
            else {
                continue;
            };
            let (Some(opened), Some(bought)) =
                (entry["opened_on"].as_i64(), entry["bought_on"].as_i64())
            else {
                continue;
            };
            if let Some((first, last)) = window(food, stage) {
                let after = opened - bought;
                assert!(
                    (first..=last).contains(&after),
                    "{asked:?}: {stage} {food} is cut {after} days after buying"
                );
                *cut.entry((food.to_owned(), stage.to_owned())).or_default() += 1;
            }
        }
        for batch in week["batches"].as_array().expect("batches") {
            let needs = batch["needs"].as_array().expect("equipment");
            // What needs heat is cooked; dressings are not.
            if !needs.iter().any(|need| need != "blender") {
                continue;
            }
            for serving in batch["serves"].as_array().expect("servings") {
                let age = number(&serving["day"]) - number(&batch["day"]);
                assert!((0..=LEFTOVER_DAYS).contains(&age), "{asked:?}: {batch}");
                batches += 1;
            }
        }
        // Two hours at room temperature, one above 32 C (90 F): the same extension page; USDA
        // two-hour rule.
        let cautions = week["cautions"].to_string();
        assert!(cautions.contains("two hours out") && cautions.contains("one hour in heat"));
        assert!(cautions.contains("3 to 4 days"));
    }
    let times = |food: &str, stage: &str| {
        let key = (food.to_owned(), stage.to_owned());
        cut.get(&key).copied().unwrap_or(0)
    };
    assert!(
        times("avocado", "hard") > 0 && times("avocado", "ripe") > 0,
        "{cut:?}"
    );
    assert!(times("mango", "ripe") > 0, "{cut:?}");
    assert!(cut.values().sum::<usize>() >= 10, "{cut:?}");
    assert!(batches >= 30);
}
