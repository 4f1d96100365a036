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
    // Sunday: the soup is 3 + 2 + 4 + 30 + 1 + 20 + 2, and the tofu 2 + 20 + 4 + 1 + 1 + 30 + 1. Pressed
    // when the soup simmers, at 9, the tofu would be out at 68: so it is pressed before, and the soup
    // is done 2 later.
    assert_eq!(of(0).length, 62 + 2);
    // Monday: of 8 minutes 6 after grating, which Sunday does; in the evening the tofu pressed on
    // Sunday is cut in 2 and seared in 8 + 3 x 1.
    assert_eq!((of(1).length, of(2).length), (6, 2 + 8 + 3));
    // Tuesday: noodles 1 + 1 + 3, lunch 1 + 1 + 2 + 1 + 2, grating for Thursday 2, mash 1 + 1 + 5, each in
    // the other's waiting.
    assert_eq!(of(3).length, 5 + 7 + 2 + 7);
    // Half an hour before work, a quarter on Friday: so it is by the clock too.
    for (day, most) in [(1, 30), (2, 30), (3, 30), (4, 30), (5, 15)] {
        let stints = done.stints.iter().filter(|stint| stint.day() == day);
        let length: i64 = stints.map(|stint| stint.length).sum();
        assert!((1..=most).contains(&length), "day {day}: {length}");
    }
}

#[test]
fn the_notes_open_carry_and_throw_out_what_the_files_say() {
    let (larder, plan) = demo();
    let done = prepared(&larder, &plan);
    let all = notes(&larder, &done.opened, &[]);
    // A cut cabbage keeps to day 3, tofu opened on Sunday to day 3 too, an avocado cut on Friday a day:
    // each goes the day after.
    let thrown: Vec<i32> = all
        .iter()
        .filter(|note| matches!(note.what, What::ThrowOut { .. }))
        .map(|note| note.day)
        .collect();
    assert_eq!(thrown, [4, 4, 7]);
    // A dressing is carried apart unless a step names it, and both noodle bowls do.
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
