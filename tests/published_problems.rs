//! Asks whether the search, its program in process and outside solvers find the published optima of
//! problems that were never about lunches (`fixtures/published`): set covering, sites, lots, diets,
//! knapsacks, bins, packs, timetables.
//!
//! The truth: `fixtures/published/problems.tsv`, source by source; `make.py` beside it works out
//! again what it can, apart from this project. For packs also two theorems, named at their test. What
//! the search cannot prove within so many questions whether to stop must not contradict what is
//! known: neither its week nor its bound. `benches/published.py` times all of them.

// What was left out is the test's report.
#![allow(clippy::print_stderr)]

#[path = "solvers/ask.rs"]
#[allow(dead_code, unreachable_pub)]
mod solvers;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU64, Ordering};

use scant::engine::{Limits, Outcome, solve};
use scant::larder::{Larder, NANO};
use scant::prep;
use scant::program::{self, solve as in_process};
use serde_json::{Value, json};

/// Questions whether to stop after which a search that proves nothing is stopped: up to some seconds.
const ASKED: u64 = 20;

/// What is known of a problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Known {
    /// The objective of the best week, 1e-9 minor units.
    Objective(i64),
    /// The fewest minutes of the prep plan of its only week.
    Prep(i64),
    Impossible,
}

struct Problem {
    name: String,
    known: Known,
    /// The search proves it in a moment.
    proved: bool,
    /// The general solver in process is done in a moment.
    in_process: bool,
    /// So are the outside solvers.
    outside: bool,
    larder: Larder,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published")
}

/// Minor units as written, to 1e-9.
fn nano(written: &str) -> i64 {
    let (whole, part) = written.split_once('.').unwrap_or((written, ""));
    format!("{whole}{part:0<9}").parse().expect("a figure")
}

fn problems() -> Vec<Problem> {
    let table = std::fs::read_to_string(folder().join("problems.tsv")).expect("the table");
    let rows = table.lines().filter(|line| !line.starts_with('#'));
    let problems = rows.map(|line| {
        let cells: Vec<&str> = line.split('\t').collect();
        let [name, measure, known, ask, in_process, outside, ..] = cells[..] else {
            panic!("a short row: {line}");
        };
        let read = scant::kitchen::read_dir(&folder().join(name));
        let faults = read.faults;
        Problem {
            name: name.to_owned(),
            known: match measure {
                "objective" => Known::Objective(nano(known)),
                "prep" => Known::Prep(nano(known) / NANO),
                _ => Known::Impossible,
            },
            proved: ask == "search",
            in_process: in_process == "yes",
            outside: outside == "yes",
            larder: read.larder.unwrap_or_else(|| panic!("{name}: {faults:#?}")),
        }
    });
    problems.collect()
}

/// Searches with one thread, for so many questions whether to stop.
fn searched(larder: &Larder, most_asked: u64) -> Outcome {
    let asked = AtomicU64::new(0);
    let limits = Limits {
        threads: 1,
        stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= most_asked,
        progress: None,
    };
    solve(larder, &limits)
        .expect("the search holds its own promises")
        .0
}

/// The objective of a week, proved best or not, and the bound below which there is none.
fn objective_and_bound(outcome: &Outcome) -> Option<(Option<i64>, i64)> {
    match outcome {
        Outcome::Best(solved) => {
            let objective = solved.tally.objective_nano;
            Some((Some(objective), objective))
        }
        Outcome::Good { solved, bound_nano } => {
            Some((Some(solved.tally.objective_nano), *bound_nano))
        }
        Outcome::OutOfTime { bound_nano } => Some((None, *bound_nano)),
        Outcome::Impossible => None,
    }
}

#[test]
fn the_search_proves_published_optima() {
    for problem in problems().iter().filter(|problem| problem.proved) {
        let outcome = searched(&problem.larder, u64::MAX);
        match problem.known {
            Known::Objective(known) => {
                let Outcome::Best(solved) = &outcome else {
                    panic!("{}: {outcome:?}", problem.name);
                };
                assert_eq!(solved.tally.objective_nano, known, "{}", problem.name);
            }
            Known::Impossible => {
                assert!(matches!(outcome, Outcome::Impossible), "{}", problem.name);
            }
            Known::Prep(known) => {
                let prepared = prepared(problem, &outcome);
                let found = (prepared.length, prepared.bound);
                assert_eq!(found, (known, known), "{}", problem.name);
            }
        }
    }
}

/// The prep plan of the only week there is, judged.
fn prepared(problem: &Problem, outcome: &Outcome) -> prep::Prepared {
    let Outcome::Best(solved) = outcome else {
        panic!("{}: {outcome:?}", problem.name);
    };
    let (larder, plan) = (&problem.larder, &solved.plan);
    let prepared = prep::prepare(larder, plan, &[], &|| false);
    let judged = prep::judge(larder, plan, &[], &prepared);
    assert_eq!(judged, Ok(()), "{}", problem.name);
    prepared
}

#[test]
fn the_search_contradicts_no_published_optimum() {
    for problem in problems().iter().filter(|problem| !problem.proved) {
        let name = &problem.name;
        let outcome = searched(&problem.larder, ASKED);
        match problem.known {
            Known::Objective(known) => {
                let (objective, bound) = objective_and_bound(&outcome)
                    .unwrap_or_else(|| panic!("{name}: there is a week of {known}"));
                let proved = matches!(outcome, Outcome::Best(_));
                if let Some(objective) = objective {
                    assert!(objective >= known, "{name}: {objective} is below {known}");
                    assert!(!proved || objective == known, "{name}: {objective}");
                }
                assert!(bound <= known, "{name}: no week below {bound}?");
            }
            Known::Impossible => {
                let found = objective_and_bound(&outcome).and_then(|(objective, _)| objective);
                assert_eq!(found, None, "{name}");
            }
            Known::Prep(known) => {
                let prepared = prepared(problem, &outcome);
                assert!(prepared.length >= known, "{name}: {}", prepared.length);
                assert!(prepared.bound <= known, "{name}: {}", prepared.bound);
            }
        }
    }
}

#[test]
fn the_program_in_process_finds_published_optima() {
    let mut asked = 0;
    for problem in problems().iter().filter(|problem| problem.in_process) {
        let answer = in_process::solve(&problem.larder, 120.0).expect("the solver copes");
        match (&answer, problem.known) {
            (in_process::Answer::Best(_, tally), Known::Objective(known)) => {
                assert_eq!(tally.objective_nano, known, "{}", problem.name);
            }
            (in_process::Answer::Impossible, Known::Impossible) => {}
            (other, known) => panic!("{}: {other:?}, known {known:?}", problem.name),
        }
        asked += 1;
    }
    assert!(asked >= 30, "only {asked} problems");
}

/// What is known of the first aim, where there is a strict order, is what the last one starts from:
/// the fewest foods, of 1.00 each, are the objective in hundreds.
#[test]
fn outside_solvers_find_published_optima() {
    solvers::ask("published", "highs,cbc", "10", |folder| {
        let mut cases = Vec::new();
        for problem in problems().iter().filter(|problem| problem.outside) {
            let Problem { name, larder, .. } = problem;
            let mut case = json!({ "name": name, "mps": format!("{name}.mps") });
            let settled: Vec<i128> = match problem.known {
                Known::Prep(_) => continue,
                Known::Impossible => {
                    case["outcome"] = json!("impossible");
                    Vec::new()
                }
                Known::Objective(known) => {
                    case["outcome"] = json!("best");
                    case["objective"] = json!(solvers::decimal(known.into()));
                    let foods = i128::from(known) / 100;
                    larder.wishes.order.iter().map(|_| foods).collect()
                }
            };
            let program = program::build(larder, &settled);
            solvers::write(folder, &format!("{name}.mps"), &program::mps(&program));
            cases.push(case);
        }
        let manifest = Value::Array(cases).to_string();
        solvers::write(folder, "manifest.json", &manifest);
    });
}

#[test]
fn the_kitchens_stored_are_what_the_script_writes() {
    let python = Command::new("python3")
        .args(["-c", "import sys; sys.exit(sys.version_info < (3, 9))"])
        .output();
    if !python.is_ok_and(|run| run.status.success()) {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "Python 3.9 or later is not installed");
        eprintln!("no Python 3.9: the published problems are not written again");
        return;
    }
    let again = tempfile::tempdir().expect("a temporary folder");
    let script = folder().join("make.py");
    let run = Command::new("python3")
        .arg("-B")
        .args([&script, again.path()])
        .output()
        .expect("the script runs");
    assert!(run.status.success(), "{run:?}");
    let read = |path: PathBuf| std::fs::read_to_string(&path).expect("a file that was written");
    let table = "problems.tsv";
    assert!(read(again.path().join(table)) == read(folder().join(table)));
    let names: BTreeSet<String> = problems().into_iter().map(|problem| problem.name).collect();
    for name in &names {
        let file = Path::new(name).join("kitchen.yaml");
        let same = read(again.path().join(&file)) == read(folder().join(&file));
        assert!(same, "{name}");
    }
    let stored: BTreeSet<String> = std::fs::read_dir(folder())
        .expect("the folder")
        .map(|entry| entry.expect("an entry"))
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(stored, names);
}

/// A lunch of so many pieces from packs of these sizes, each piece at the same price: the bill is
/// the pieces bought.
fn bought(packs: &[u64], pieces: u64) -> i64 {
    let mut text =
        "currency: EUR\nweek: { lunches: 1 }\naims: { spoil_weight: 0 }\nfoods:\n".to_owned();
    text += "  - { food: pieces, nutrients: { energy: 0 }, source: no food, packs: [ ";
    for size in packs {
        let _ = write!(
            text,
            "{{ pack: bag of {size}, size: {size} kg, price: {size}, keeps: 9, open_keeps: 9 }}, "
        );
    }
    let _ = writeln!(
        text,
        "] }}\nrecipes:\n  - {{ recipe: all, form: lunch, lines: [ {{ food: pieces, amount: {pieces} kg }} ] }}"
    );
    let read = scant::kitchen::read_texts(vec![("packs.yaml".into(), text.clone().into_bytes())]);
    let faults = read.faults;
    let larder = read.larder.unwrap_or_else(|| panic!("{faults:#?}\n{text}"));
    match searched(&larder, u64::MAX) {
        Outcome::Best(solved) => solved.tally.packs_minor / 100,
        other => panic!("{other:?}"),
    }
}

/// `largest` cannot be bought exactly; as many numbers behind it as the smallest pack holds can, and
/// with these all.
fn largest_that_cannot_be_bought(packs: &[u64], largest: u64) {
    assert!(bought(packs, largest) > largest as i64, "{packs:?}");
    for pieces in largest + 1..=largest + packs[0] {
        assert_eq!(bought(packs, pieces), pieces as i64, "{packs:?}");
    }
}

/// Packs of 6, 9 and 20: 43, as in the puzzle of the 1980s. Two sizes a, b without a common
/// factor: ab - a - b (J. J. Sylvester, Educational Times 41 (1884) 21). Sizes a, a + d, ...,
/// a + kd: a floor((a - 2) / k) + a + (d - 1)(a - 1) - 1 (J. B. Roberts, Proceedings of the
/// American Mathematical Society 7 (1956) 465-469; from memory, the formula holds for all numbers
/// asked here, tried one by one).
#[test]
fn the_largest_number_that_cannot_be_bought_is_the_published_one() {
    largest_that_cannot_be_bought(&[6, 9, 20], 43);
    for (a, b) in [(2, 3), (3, 5), (4, 9), (5, 8), (7, 12), (11, 13)] {
        largest_that_cannot_be_bought(&[a, b], a * b - a - b);
    }
    for (a, d, k) in [(5, 1, 2), (7, 2, 3), (8, 3, 2), (9, 4, 4), (10, 3, 5)] {
        let sizes: Vec<u64> = (0..=k).map(|i| a + i * d).collect();
        let largest = (a - 2) / k * a + a + (d - 1) * (a - 1) - 1;
        largest_that_cannot_be_bought(&sizes, largest);
    }
}
