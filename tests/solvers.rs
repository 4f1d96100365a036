//! Asks whether general-purpose solvers find the same best week as the search.
//!
//! The truth comes from HiGHS, CBC and GLPK (`tests/solvers/judge.py`), run on the program
//! that `scant::program` writes: the kitchens stored in `fixtures/stored`, which exercise
//! every rule between them, and random ones. `tests/run` installs the solvers and makes a
//! missing one a failure; without it the tests pass with a note where none is installed.
//!
//! `SCANT_SOLVERS=highs,cbc,glpk` chooses the solvers, `SCANT_SECONDS` the time each gets,
//! `SCANT_KEEP=FOLDER` keeps the programs, `SCANT_ONLY` picks cases by part of their name,
//! `SCANT_SEEDS=FIRST..END` other random kitchens.
#[path = "solvers/ask.rs"]
#[allow(dead_code, unreachable_pub)]
mod solvers;
mod support;

use std::path::{Path, PathBuf};

use scant::engine::{Limits, Outcome, solve};
use scant::larder::Larder;
use scant::program;
use serde_json::{Value, json};
use solvers::{ask, decimal, may_split, setting, write};
use support::random::{Size, draw};

/// Kitchens of `fixtures/stored`, by name.
fn stored() -> Vec<(String, Larder)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the stored kitchens are there")
        .map(|entry| entry.expect("a folder entry").path())
        .collect();
    names.sort();
    names
        .into_iter()
        .map(|path| {
            let read = scant::kitchen::read_dir(&path);
            let name = path.file_name().expect("a name").to_string_lossy();
            let larder = read.larder;
            let faults = read.faults;
            let larder = larder.unwrap_or_else(|| panic!("{name}: {faults:#?}"));
            (format!("stored-{name}"), larder)
        })
        .collect()
}

/// Random kitchens, by name.
fn random(seeds: std::ops::Range<u64>, size: Size) -> Vec<(String, Larder)> {
    let asked = setting("SCANT_SEEDS", "");
    let asked = asked.split_once("..").map(|(first, end)| {
        let number = |text: &str| text.parse().expect("SCANT_SEEDS is FIRST..END");
        number(first)..number(end)
    });
    asked
        .unwrap_or(seeds)
        .filter_map(|seed| {
            let texts = draw(seed, size).texts();
            let larder = scant::kitchen::read_texts(texts).larder?;
            Some((
                format!("random-{size:?}-{seed}").replace(['(', ')'], "-"),
                larder,
            ))
        })
        .collect()
}

/// Writes every stage of every kitchen with the search's answer into `folder`. The search
/// gets as long as a solver; one that is stopped has no answer to disagree with.
fn write_cases(kitchens: &[(String, Larder)], folder: &Path, seconds: u64) {
    let mut cases = Vec::new();
    for (name, larder) in kitchens {
        let begun = std::time::Instant::now();
        let limits = Limits {
            threads: 1,
            stop: &|| begun.elapsed().as_secs() >= seconds,
            progress: None,
        };
        let (outcome, _) = solve(larder, &limits).expect("the search holds its own promises");
        let (word, solved) = match outcome {
            Outcome::Best(solved) => ("best", Some(solved)),
            Outcome::Impossible => ("impossible", None),
            Outcome::Good { .. } | Outcome::OutOfTime { .. } => ("unknown", None),
        };
        let order = &larder.wishes.order;
        // A kitchen without a week has none at the first stage.
        let stages = if solved.is_some() { order.len() } else { 0 };
        for stage in 0..=stages {
            let settled: Vec<i128> = solved.as_ref().map_or(Vec::new(), |solved| {
                let aims = order[..stage].iter();
                aims.map(|&aim| i128::from(solved.tally.aim_nano(aim)))
                    .collect()
            });
            let case = if stages > 0 {
                format!("{name}-stage{stage}")
            } else {
                name.clone()
            };
            let program = program::build(larder, &settled);
            write(folder, &format!("{case}.mps"), &program::mps(&program));
            let data = program::mathprog_data_of_stage(larder, &settled);
            write(folder, &format!("{case}.dat"), &data);
            let mut entry = json!({
                "name": case,
                "mps": format!("{case}.mps"),
                "data": format!("{case}.dat"),
                "outcome": word,
                "splits": may_split(larder),
            });
            if let Some(solved) = &solved {
                let best = match order.get(stage) {
                    Some(&aim) => i128::from(solved.tally.aim_nano(aim)),
                    None => i128::from(solved.tally.objective_nano),
                };
                let week = program::certificate(larder, &program, &solved.plan);
                write(
                    folder,
                    &format!("{case}.sol"),
                    &program::solution(&program, &week),
                );
                entry["objective"] = json!(decimal(best));
                entry["start"] = json!(format!("{case}.sol"));
            }
            cases.push(entry);
        }
    }
    write(folder, "manifest.json", &Value::Array(cases).to_string());
}

/// Asks the solvers about `kitchens`; panics if one disagrees.
fn compare(label: &str, kitchens: &[(String, Larder)], solvers: &str, seconds: &str) {
    let only = setting("SCANT_ONLY", "");
    let chosen: Vec<(String, Larder)> = kitchens
        .iter()
        .filter(|(name, _)| name.contains(&only))
        .cloned()
        .collect();
    if chosen.is_empty() {
        return;
    }
    ask(label, solvers, seconds, |folder| {
        let limit = setting("SCANT_SECONDS", seconds);
        let limit = limit.parse().expect("SCANT_SECONDS is a number");
        write_cases(&chosen, folder, limit);
    });
}

#[test]
fn solvers_find_no_other_optimum_on_stored_kitchens() {
    compare("stored", &stored(), "highs", "60");
}

#[test]
fn solvers_find_no_other_optimum_on_small_random_kitchens() {
    compare("small", &random(0..320, Size::Small), "highs", "20");
}

#[test]
fn two_further_solvers_find_no_other_optimum_on_small_random_kitchens() {
    compare("further", &random(0..110, Size::Small), "cbc,glpk", "20");
}

#[test]
fn solvers_find_no_other_optimum_on_random_kitchens_that_share_components() {
    compare(
        "shared",
        &random(0..20, Size::Shared),
        "highs,cbc,glpk",
        "20",
    );
}

#[test]
fn solvers_find_no_other_optimum_on_random_weeks_of_few_recipes() {
    compare("long", &random(0..10, Size::Long), "highs", "60");
}

#[test]
fn solvers_find_no_other_optimum_on_random_weeks_of_six_recipes() {
    compare("large", &random(0..6, Size::Large(6)), "highs", "60");
}
