//! Stints too large to try everything, against a general solver (HiGHS, through its Python
//! package): one binary a job and start. It must find a timetable as long as the search's and none a
//! minute shorter.

// What was not compared is the test's report.
#![allow(clippy::print_stderr)]

use std::path::{Path, PathBuf};
use std::process::Command;

use scant::prep::bench::{Bench, schedule};
use serde_json::{Value, json};

use super::{Dice, NODES, random};

fn written(bench: &Bench, less: i64) -> Value {
    let jobs: Vec<Value> = bench
        .jobs
        .iter()
        .map(|job| {
            json!({
                "active": job.active, "passive": job.passive, "needs": job.needs,
                "after": job.after, "at_once": job.at_once,
            })
        })
        .collect();
    json!({ "jobs": jobs, "capacity": bench.capacity, "less": less })
}

#[test]
fn a_general_solver_finds_no_shorter_stint() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let local = root.join(".venv/bin/python");
    let python = std::env::var("SCANT_PYTHON").map_or(local, PathBuf::from);
    let there = Command::new(&python)
        .args(["-c", "import highspy"])
        .output();
    if !there.is_ok_and(|run| run.status.success()) {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "HiGHS is not installed");
        eprintln!("no solver installed: stints not compared (tests/run installs it)");
        return;
    }
    let mut asked = Vec::new();
    let mut lengths = Vec::new();
    for seed in 5_000..5_060 {
        let mut dice = Dice::new(seed);
        let jobs = 8 + dice.roll(5) as usize;
        let bound = dice.roll(2) == 0;
        let bench = random(&mut dice, jobs, 8, bound);
        let Some(timed) = schedule(&bench, NODES) else {
            continue;
        };
        assert_eq!(timed.bound, timed.length, "seed {seed}: not proved");
        asked.push(written(&bench, timed.length));
        asked.push(written(&bench, timed.length - 1));
        lengths.push((seed, timed.length));
    }
    assert!(lengths.len() > 40, "only {} stints", lengths.len());
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("stints.json");
    std::fs::write(&path, Value::from(asked).to_string()).unwrap();
    let run = Command::new(python)
        .arg(root.join("tests/prep/shorter.py"))
        .arg(&path)
        .output()
        .unwrap();
    let fault = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{fault}");
    // The solver greets first.
    let told = String::from_utf8_lossy(&run.stdout);
    let said: Vec<bool> = serde_json::from_str(told.lines().last().unwrap_or("")).unwrap();
    for (pair, (seed, length)) in said.chunks(2).zip(&lengths) {
        assert_eq!(pair, [true, false], "seed {seed}, length {length}");
    }
}
