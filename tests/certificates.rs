//! Asks HiGHS about weeks of kitchens that it cannot solve by itself: the demo kitchen, and
//! pools of 30 to 150 recipes.
//!
//! The truth comes from HiGHS (`tests/solvers/certify.py`). Of a whole kitchen it is asked to
//! accept the week, to start from it and to beat it in fifteen seconds. With few recipes left it can
//! finish, so there it must find the same optimum, or none where the search says impossible. The
//! search is told by bans which recipes are left, the solver by columns held at 0.
//!
//! Settings as in `tests/solvers.rs`; `SCANT_SECONDS` is the time for a whole kitchen.
#[path = "solvers/ask.rs"]
#[allow(dead_code, unreachable_pub)]
mod solvers;

#[path = "../benches/support/pool.rs"]
#[allow(dead_code, unreachable_pub, missing_docs, clippy::format_push_string)]
mod pool;

use std::collections::BTreeSet;
use std::path::Path;

use pool::{Family, Pool};
use scant::engine::{Limits, Outcome, Solved, solve};
use scant::larder::{Larder, RecipeId, Target};
use scant::program::{self, Program};
use serde_json::{Value, json};
use solvers::{ask_with, decimal, may_split, write};

/// Seconds for a case that HiGHS must finish; it needs a tenth of that.
const FINISH: &str = "90";

fn demo() -> Larder {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let read = scant::kitchen::read_dir(&folder);
    read.larder.expect("the boatyard kitchen has no faults")
}

fn pool(family: Family, recipes: usize, foods: usize, seed: u64) -> Larder {
    let pool = Pool {
        family,
        recipes,
        foods,
        days: 5,
        seed,
    };
    let texts = pool.texts().into_iter();
    let read = scant::kitchen::read_texts(texts.map(|(n, t)| (n, t.into_bytes())).collect());
    read.larder.expect("the pool is a valid kitchen")
}

fn kitchens() -> Vec<(&'static str, Larder)> {
    vec![
        ("demo", demo()),
        ("plain-150", pool(Family::Plain, 150, 80, 1)),
        ("full-30", pool(Family::Full, 30, 50, 1)),
        ("full-80", pool(Family::Full, 80, 60, 2)),
        ("tight-60", pool(Family::Tight, 60, 60, 1)),
        ("flat-100", pool(Family::Flat, 100, 60, 3)),
    ]
}

/// Returns the best week, or nothing if there is proved to be none.
fn best(larder: &Larder) -> Option<Solved> {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    match solve(larder, &limits).expect("no engine fault").0 {
        Outcome::Best(solved) => Some(solved),
        Outcome::Impossible => None,
        other => panic!("not proved: {other:?}"),
    }
}

fn chosen(solved: &Solved) -> BTreeSet<usize> {
    let lunches = solved.plan.lunches.iter();
    lunches.map(|lunch| lunch.recipe.index()).collect()
}

/// First parts of the columns of every recipe but those of `left`.
fn shut(larder: &Larder, program: &Program, left: &BTreeSet<usize>) -> Vec<String> {
    let mut names: Vec<&str> = Vec::new();
    for column in &program.columns {
        if let Some(rest) = column.name.strip_prefix("lunch.") {
            let name = rest.split('.').next().expect("a recipe");
            if names.last() != Some(&name) {
                names.push(name);
            }
        }
    }
    // Columns stand in the order of recipes; `takes` columns lie between.
    assert_eq!(names.len(), larder.recipes.len());
    let others = names.iter().enumerate().filter(|(i, _)| !left.contains(i));
    others
        .flat_map(|(_, name)| [format!("lunch.{name}."), format!("takes.{name}.")])
        .collect()
}

/// The case of a kitchen with few recipes left, and whether it has a week.
fn few(name: &str, larder: &Larder, program: &Program, left: &BTreeSet<usize>) -> (Value, bool) {
    let others = (0..larder.recipes.len()).filter(|index| !left.contains(index));
    let bans = others.map(|index| Target::Recipe(RecipeId::new(index)));
    let banned = larder.changed(|new| new.wishes.without.extend(bans));
    let banned = banned.expect("a sound larder");
    let solved = best(&banned);
    let mut case = json!({
        "name": format!("{name}-{}", left.iter().map(usize::to_string).collect::<Vec<_>>().join(".")),
        "mps": format!("{name}.mps"),
        "outcome": if solved.is_some() { "best" } else { "impossible" },
        "shut": shut(larder, program, left),
        "splits": may_split(larder),
    });
    if let Some(solved) = &solved {
        case["objective"] = json!(decimal(i128::from(solved.tally.objective_nano)));
    }
    (case, solved.is_some())
}

fn manifest(folder: &Path, cases: Vec<Value>) {
    write(folder, "manifest.json", &Value::Array(cases).to_string());
}

#[test]
fn a_solver_accepts_the_week_starts_from_it_and_finds_nothing_better() {
    ask_with("certify.py", "certificates", "highs", "15", |folder| {
        let cases = kitchens().into_iter().map(|(name, larder)| {
            let solved = best(&larder).expect("these kitchens have weeks");
            let program = program::build(&larder, &[]);
            let values = program::certificate(&larder, &program, &solved.plan);
            write(folder, &format!("{name}.mps"), &program::mps(&program));
            let start = program::solution(&program, &values);
            write(folder, &format!("{name}.sol"), &start);
            json!({
                "name": name,
                "mps": format!("{name}.mps"),
                "start": format!("{name}.sol"),
                "outcome": "best",
                "objective": decimal(i128::from(solved.tally.objective_nano)),
                "splits": may_split(&larder),
            })
        });
        let cases = cases.collect();
        manifest(folder, cases);
    });
}

#[test]
fn with_the_recipes_of_the_week_alone_a_solver_proves_the_week() {
    ask_with("certify.py", "same-recipes", "highs", FINISH, |folder| {
        let cases = kitchens().into_iter().map(|(name, larder)| {
            let program = program::build(&larder, &[]);
            write(folder, &format!("{name}.mps"), &program::mps(&program));
            let solved = best(&larder).expect("these kitchens have weeks");
            let (case, _) = few(name, &larder, &program, &chosen(&solved));
            let objective = decimal(i128::from(solved.tally.objective_nano));
            assert_eq!(case["objective"], json!(objective), "{name}");
            case
        });
        let cases = cases.collect();
        manifest(folder, cases);
    });
}

/// Sets of recipes: those of the best week with one or two changed for others, by a counter
/// with steps that share no factor with the number of recipes.
fn neighbours(week: &BTreeSet<usize>, recipes: usize, at: usize) -> BTreeSet<usize> {
    let mut set: Vec<usize> = week.iter().copied().collect();
    for change in 0..=at % 2 {
        let place = (at + 2 * change) % set.len();
        let mut other = (at * 7 + change * 13 + 3) % recipes;
        while set.contains(&other) {
            other = (other + 1) % recipes;
        }
        set[place] = other;
    }
    set.into_iter().collect()
}

#[test]
fn with_any_few_recipes_a_solver_finds_the_optimum_of_the_search() {
    ask_with("certify.py", "few-recipes", "highs", FINISH, |folder| {
        let mut cases = Vec::new();
        for (name, larder) in kitchens() {
            let program = program::build(&larder, &[]);
            write(folder, &format!("{name}.mps"), &program::mps(&program));
            let week = chosen(&best(&larder).expect("these kitchens have weeks"));
            // Twelve sets with a week, three without, as far as 120 sets hold them; fewer where
            // each takes the solver ten seconds.
            let most = if name == "full-30" { 5 } else { 12 };
            let (mut with, mut without) = (0, 0);
            for at in 0..120 {
                let left = neighbours(&week, larder.recipes.len(), at);
                let (case, possible) = few(name, &larder, &program, &left);
                let count = if possible { &mut with } else { &mut without };
                if *count < if possible { most } else { 3 } {
                    *count += 1;
                    cases.push(case);
                }
            }
        }
        let possible = cases
            .iter()
            .filter(|case| case["outcome"] == "best")
            .count();
        assert!(
            possible >= 40 && cases.len() >= 55,
            "{possible} of {}",
            cases.len()
        );
        manifest(folder, cases);
    });
}
