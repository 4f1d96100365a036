//! What the demo kitchen's prep plan says, worked out by eye from its files.

use std::process::Command;

use scant::prep::{What, notes};

use super::kitchens::prepared;

fn demo() -> (scant::larder::Larder, scant::plan::Plan) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let larder = scant::kitchen::read_dir(&folder).larder.unwrap();
    let limits = scant::engine::Limits {
        threads: 0,
        stop: &|| false,
        progress: None,
    };
    match scant::engine::solve(&larder, &limits).unwrap().0 {
        scant::engine::Outcome::Best(solved) => (larder, solved.plan),
        other => panic!("{other:?}"),
    }
}

/// Where all steps of a component say how long they take, they take what the plan counts.
#[test]
fn the_minutes_of_steps_add_up_to_the_minutes_the_plan_counts() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let read = scant::kitchen::read_dir(&folder);
    assert!(read.warnings.is_empty(), "{:?}", read.warnings);
    let larder = read.larder.unwrap();
    let mut asked = 0;
    for component in &larder.components {
        let active: Option<i64> = component.steps.iter().map(|step| step.active_minutes).sum();
        let passive: i64 = component
            .steps
            .iter()
            .filter_map(|step| step.passive_minutes)
            .sum();
        if let Some(active) = active.filter(|_| !component.steps.is_empty()) {
            assert_eq!(
                active * 1_000_000_000,
                component.batch_minutes_nano,
                "{}",
                component.name
            );
            assert_eq!(passive, component.passive_minutes, "{}", component.name);
            asked += 1;
        }
    }
    assert!(asked > 25, "{asked}");
}

#[test]
fn the_days_are_as_long_as_a_pencil_makes_them() {
    let (larder, plan) = demo();
    let done = prepared(&larder, &plan);
    assert_eq!(done.bound, done.length, "proved");
    let of = |sitting: usize| done.stints.iter().find(|s| s.sitting == sitting).unwrap();
    // Sunday cannot be shorter than the soup: dice 3, chop 2, soften 4, simmer 30, potatoes 1 and
    // 20 more, finish 2; everything else fits beside it.
    assert_eq!(of(0).length, 3 + 2 + 4 + 30 + 1 + 20 + 2);
    // Tuesday, for Thursday: press 2 + 20, cut 3 + 2.5 x 0.5 = 4.25, up to 5, turn 1, bake 1 + 30,
    // out 1; the flask is filled meanwhile, and what cools waits for no lid that day.
    assert_eq!(of(3).length, 2 + 20 + 5 + 1 + 1 + 30 + 1);
    // Friday: the same with 2 portions, cut 4; 20 to cool before it is packed; of 8 minutes 6 after
    // grating.
    assert_eq!(of(9).length, 2 + 20 + 4 + 1 + 1 + 30 + 1 + 20 + 6);
    // Nothing of an evening: what may be done ahead fits into mornings and Sunday.
    assert!(
        done.stints
            .iter()
            .all(|s| s.sitting == 0 || s.sitting % 2 == 1)
    );
}

#[test]
fn the_notes_open_carry_and_throw_out_what_the_files_say() {
    let (larder, plan) = demo();
    let done = prepared(&larder, &plan);
    let all = notes(&larder, &done.opened, &[]);
    // A cut cabbage keeps to day 3, an avocado cut on Wednesday a day, a bag of spinach opened on
    // Thursday to Friday: each goes the day after.
    let thrown: Vec<i32> = all
        .iter()
        .filter(|note| matches!(note.what, What::ThrowOut { .. }))
        .map(|note| note.day)
        .collect();
    assert_eq!(thrown, [4, 5, 6]);
    // Bowls carry their dressing apart; jars have it at the bottom, and there is no bowl this week.
    let apart: Vec<i32> = all
        .iter()
        .filter(|note| matches!(note.what, What::Apart { .. }))
        .map(|note| note.day)
        .collect();
    assert!(apart.is_empty(), "{apart:?}");
}

#[test]
fn the_command_prints_eighty_columns_and_json_of_its_schema() {
    let run = |args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_scant"))
            .args(args)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{args:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let text = run(&["prep"]);
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    assert!(
        !text.contains('\u{1b}') && text.contains("MONDAY MORNING"),
        "{text}"
    );
    let json: serde_json::Value =
        serde_json::from_str(&run(&["prep", "--format", "json"])).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&run(&["schema", "prep"])).unwrap();
    let known = schema["properties"].as_object().unwrap();
    for key in json.as_object().unwrap().keys() {
        assert!(known.contains_key(key), "{key}");
    }
    assert_eq!(json["minutes"], json["bound"]);
    let tasks = json["stints"][0]["tasks"].as_array().unwrap();
    assert!(
        tasks
            .iter()
            .any(|task| task["verb"] == "chop" && task["food"] == "yellow onions")
    );
    // With finishers placed it is another list of things to do, judged as well.
    run(&["prep", "--finish", "free"]);
}
