//! Asks whether programs, as this crate holds, writes and solves them, give the optima that
//! others published; and whether the search finds a smallest union of sets.
//!
//! The truth comes from outside the project, named at each case. Where a published figure
//! has few digits, further ones were recomputed from the same data with another solver and
//! are marked so. Every case is solved in process and, where a solver is installed, by HiGHS
//! and CBC from the MPS file.

#![allow(clippy::format_collect)]

#[path = "solvers/ask.rs"]
#[allow(dead_code, unreachable_pub)]
mod solvers;

use std::path::Path;

use scant::engine::{Limits, Outcome};
use scant::larder::Larder;
use scant::program::solve::{Answer, Optimum, optimum};
use scant::program::{self, Column, Kind, Program, Row, Sense};
use serde_json::{Value, json};

/// A program with what is known of it.
struct Case {
    name: String,
    program: Program,
    /// Objective and how far the known figure may be off; none if there is no solution.
    known: Option<(f64, f64)>,
    /// Known values of columns, to five decimals.
    values: Vec<(&'static str, f64)>,
}

fn nano(value: f64) -> i128 {
    (value * 1e9).round() as i128
}

fn column(name: &str, kind: Kind, low: f64, high: Option<f64>, cost: f64) -> Column {
    Column {
        name: name.to_owned(),
        kind,
        low_nano: nano(low),
        high_nano: high.map(nano),
        cost_nano: nano(cost),
    }
}

fn row(name: String, terms: Vec<(usize, f64)>, sense: Sense, rhs: f64) -> Row {
    let terms = terms
        .into_iter()
        .map(|(column, value)| (column, nano(value)));
    Row {
        name,
        code: "published",
        sense,
        rhs_nano: nano(rhs),
        terms: terms.filter(|&(_, nano)| nano != 0).collect(),
        rounding_nano: 0,
    }
}

fn table(name: &str) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    let text = std::fs::read_to_string(path).expect("the data are there");
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split('\t').map(str::to_owned).collect())
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse().expect("a number")
}

/// Dollars (in thousandths of a cent) of each food for the least cost of subsistence; with
/// `most_foods`, of so many foods at most.
fn subsistence(most_foods: Option<usize>) -> Program {
    let needs = [3.0, 70.0, 0.8, 12.0, 5.0, 1.8, 2.7, 18.0, 75.0];
    let foods = table("subsistence-1945.tsv");
    let mut columns: Vec<Column> = (0..foods.len())
        .map(|food| {
            column(
                &format!("spent{food}"),
                Kind::Continuous,
                0.0,
                None,
                100_000.0,
            )
        })
        .collect();
    let mut rows: Vec<Row> = needs
        .into_iter()
        .enumerate()
        .map(|(need, least)| {
            let terms = foods.iter().enumerate();
            let terms = terms.map(|(food, entry)| (food, number(&entry[need + 1])));
            row(
                format!("need{need}"),
                terms.collect(),
                Sense::AtLeast,
                least,
            )
        })
        .collect();
    if let Some(most) = most_foods {
        let first = columns.len();
        for food in 0..foods.len() {
            columns.push(column(
                &format!("bought{food}"),
                Kind::Binary,
                0.0,
                Some(1.0),
                0.0,
            ));
            let link = vec![(food, 1.0), (first + food, -1.0)];
            rows.push(row(format!("link{food}"), link, Sense::AtMost, 0.0));
        }
        let all = (first..columns.len()).map(|bought| (bought, 1.0)).collect();
        rows.push(row("foods".into(), all, Sense::AtMost, most as f64));
    }
    Program {
        title: "the cost of subsistence".into(),
        unit: "thousandths of a cent a day",
        columns,
        rows,
    }
}

/// The 1945 diet. Published: 0.10866227820675685 dollars a day (a stored table of solver
/// results; 39.69 dollars a year in J. Laderman's hand computation of 1947). With few foods:
/// recomputed from the same data, one and two foods also by trying all.
fn subsistence_cases() -> Vec<Case> {
    let few = [
        (1, 50_724.637_68),
        (2, 13_763.417_65),
        (3, 11_972.073_32),
        (4, 10_973.128_24),
        (5, 10_866.227_82),
    ];
    let with_few = few.into_iter().map(|(most, known)| Case {
        name: format!("subsistence-{most}-foods"),
        program: subsistence(Some(most)),
        known: Some((known, 1e-4)),
        values: Vec::new(),
    });
    let any = Case {
        name: "subsistence".into(),
        program: subsistence(None),
        known: Some((10_866.227_820_675_685, 1e-6)),
        values: Vec::new(),
    };
    std::iter::once(any).chain(with_few).collect()
}

/// Eight packaged dinners: price in cents, % of vitamins A, C, B1, B2, mg sodium, kcal.
/// R. Fourer, D. M. Gay, B. W. Kernighan, AMPL, 2nd ed. (2002), chapter 2.
const DINNERS: [(&str, f64, [f64; 6]); 8] = [
    ("beef", 319.0, [60.0, 20.0, 10.0, 15.0, 938.0, 295.0]),
    ("chicken", 259.0, [8.0, 0.0, 20.0, 20.0, 2180.0, 770.0]),
    ("fish", 229.0, [8.0, 10.0, 15.0, 10.0, 945.0, 440.0]),
    ("ham", 289.0, [40.0, 40.0, 35.0, 10.0, 278.0, 430.0]),
    ("macaroni", 189.0, [15.0, 35.0, 15.0, 15.0, 1182.0, 315.0]),
    ("meat_loaf", 199.0, [70.0, 30.0, 15.0, 15.0, 896.0, 400.0]),
    ("spaghetti", 199.0, [25.0, 50.0, 25.0, 15.0, 1329.0, 370.0]),
    ("turkey", 249.0, [60.0, 20.0, 15.0, 10.0, 1397.0, 450.0]),
];

/// Rows: which figure, which side, what limit.
fn dinners(kind: Kind, low: f64, high: Option<f64>, limits: &[(usize, Sense, f64)]) -> Program {
    let columns = DINNERS
        .iter()
        .map(|(name, price, _)| column(name, kind, low, high, *price));
    let rows = limits
        .iter()
        .enumerate()
        .map(|(index, &(figure, sense, limit))| {
            let terms = DINNERS.iter().enumerate();
            let terms = terms.map(|(dinner, entry)| (dinner, entry.2[figure]));
            row(format!("limit{index}"), terms.collect(), sense, limit)
        });
    Program {
        title: "packaged dinners".into(),
        unit: "cents",
        columns: columns.collect(),
        rows: rows.collect(),
    }
}

/// Published for the fractions and the impossible case; whole packages recomputed.
fn dinner_cases() -> Vec<Case> {
    let vitamins = |sense, limit| (0..4).map(move |figure| (figure, sense, limit));
    let least: Vec<_> = vitamins(Sense::AtLeast, 700.0).collect();
    let exact: Vec<_> = vitamins(Sense::Equal, 700.0).collect();
    let bounded = |sodium: f64| -> Vec<(usize, Sense, f64)> {
        vitamins(Sense::AtLeast, 700.0)
            .chain(vitamins(Sense::AtMost, 20_000.0))
            .chain([
                (4, Sense::AtMost, sodium),
                (5, Sense::AtLeast, 16_000.0),
                (5, Sense::AtMost, 24_000.0),
            ])
            .collect()
    };
    let case = |name: &str, program, known, values: &[(&'static str, f64)]| Case {
        name: format!("dinners-{name}"),
        program,
        known,
        values: values.to_vec(),
    };
    let (parts, whole) = (Kind::Continuous, Kind::Integer);
    let two_to_ten = |kind, sodium| dinners(kind, 2.0, Some(10.0), &bounded(sodium));
    vec![
        case(
            "fractions",
            dinners(parts, 0.0, None, &least),
            Some((8_820.0, 1e-6)),
            &[("macaroni", 46.666_67)],
        ),
        case(
            "whole",
            dinners(whole, 0.0, Some(1_000.0), &least),
            Some((8_844.0, 1e-6)),
            &[],
        ),
        case(
            "exactly-700",
            dinners(parts, 0.0, None, &exact),
            Some((8_999.44, 5e-3)),
            &[],
        ),
        case("too-little-salt", two_to_ten(parts, 40_000.0), None, &[]),
        case(
            "two-to-ten",
            two_to_ten(parts, 50_000.0),
            Some((11_805.94, 5e-3)),
            &[("beef", 5.360_61), ("spaghetti", 9.306_05)],
        ),
        // The only best one: every whole plan of this price was listed.
        case(
            "two-to-ten-whole",
            two_to_ten(whole, 50_000.0),
            Some((11_930.0, 1e-6)),
            &[
                ("beef", 9.0),
                ("ham", 8.0),
                ("spaghetti", 7.0),
                ("turkey", 2.0),
            ],
        ),
    ]
}

/// Which of sixteen sites to open. OR-Library, cap71 without capacities: 932615.750. With a
/// link for each site and customer the relaxation is whole, which is why this project's
/// links are pair by pair.
fn sites() -> Case {
    let sites = table("sites-71.tsv");
    let customers = sites[0].len() - 1;
    let mut columns: Vec<Column> = (0..sites.len())
        .map(|site| {
            let cost = number(&sites[site][0]);
            column(&format!("open{site}"), Kind::Binary, 0.0, Some(1.0), cost)
        })
        .collect();
    let mut rows = Vec::new();
    for customer in 0..customers {
        let mut served = Vec::new();
        for (site, entry) in sites.iter().enumerate() {
            let cost = number(&entry[customer + 1]);
            let name = format!("serve{site}_{customer}");
            columns.push(column(&name, Kind::Continuous, 0.0, Some(1.0), cost));
            let share = columns.len() - 1;
            served.push((share, 1.0));
            let link = vec![(site, -1.0), (share, 1.0)];
            rows.push(row(
                format!("link{site}_{customer}"),
                link,
                Sense::AtMost,
                0.0,
            ));
        }
        rows.push(row(format!("served{customer}"), served, Sense::Equal, 1.0));
    }
    Case {
        name: "sites-71".into(),
        program: Program {
            title: "sites".into(),
            unit: "money",
            columns,
            rows,
        },
        known: Some((932_615.75, 1e-4)),
        values: Vec::new(),
    }
}

fn cases() -> Vec<Case> {
    let mut cases = subsistence_cases();
    cases.extend(dinner_cases());
    cases.push(sites());
    cases
}

#[test]
fn the_solver_in_process_finds_published_optima() {
    for case in cases() {
        let answer = optimum(&case.program, 120.0);
        match (answer.expect(&case.name), case.known) {
            (Optimum::Values(values), Some((known, digits))) => {
                let columns = case.program.columns.iter().zip(&values);
                let objective: f64 = columns
                    .clone()
                    .map(|(column, value)| column.cost_nano as f64 / 1e9 * value)
                    .sum();
                assert!(
                    (objective - known).abs() <= digits,
                    "{}: {objective}",
                    case.name
                );
                for (name, known) in case.values {
                    let (_, value) = columns
                        .clone()
                        .find(|(column, _)| column.name == name)
                        .expect("a column");
                    assert!(
                        (value - known).abs() < 6e-6,
                        "{}: {name} {value}",
                        case.name
                    );
                }
            }
            (Optimum::Impossible, None) => {}
            (other, known) => panic!("{}: {other:?}, known {known:?}", case.name),
        }
    }
}

#[test]
fn outside_solvers_read_our_files_and_find_published_optima() {
    solvers::ask("optima", "highs,cbc", "60", |folder| {
        let mut entries = Vec::new();
        for case in cases() {
            let file = format!("{}.mps", case.name);
            solvers::write(folder, &file, &program::mps(&case.program));
            let mut entry = json!({ "name": case.name, "mps": file, "outcome": "impossible" });
            if let Some((known, digits)) = case.known {
                entry["outcome"] = json!("best");
                entry["objective"] = json!(known.to_string());
                entry["off"] = json!(digits);
            }
            entries.push(entry);
        }
        let manifest = Value::Array(entries).to_string();
        solvers::write(folder, "manifest.json", &manifest);
    });
}

/// Twelve sets, made up for this test; five of them with the smallest union are wanted.
/// All 792 choices were tried: 9 foods, by C, D, H, I, J only;
/// picking the next set that adds fewest foods ends at 10.
const SETS: [(&str, &str); 12] = [
    ("A", "rice beans onion tomato lime"),
    ("B", "rice beans corn lime"),
    ("C", "pasta tomato onion garlic"),
    ("D", "pasta tomato spinach garlic"),
    ("E", "tofu rice spinach soy"),
    ("F", "tofu rice carrot soy"),
    ("G", "bread hummus carrot cucumber"),
    ("H", "bread hummus spinach tomato"),
    ("I", "lentils onion carrot tomato"),
    ("J", "lentils onion spinach garlic"),
    ("K", "quinoa beans corn avocado lime"),
    ("L", "quinoa chickpeas cucumber tomato"),
];

/// The sets as a kitchen; `aims` is a line of its own or nothing.
fn sets_text(aims: &str) -> String {
    let mut words: Vec<&str> = SETS.iter().flat_map(|(_, set)| set.split(' ')).collect();
    words.sort_unstable();
    words.dedup();
    let foods: String = words
        .iter()
        .map(|word| {
            format!(
                "  - {{ food: {word}, nutrients: {{ energy: 0 }}, source: not looked at here, \
                 packs: [ {{ pack: bag, size: 1 kg, price: 1, keeps: 9, open_keeps: 9 }} ] }}\n"
            )
        })
        .collect();
    let recipes: String = SETS
        .iter()
        .map(|(name, set)| {
            let lines: Vec<String> = set
                .split(' ')
                .map(|word| format!("{{ food: {word}, amount: 10 g }}"))
                .collect();
            let lines = lines.join(", ");
            format!("  - {{ recipe: {name}, form: bowl, lines: [ {lines} ] }}\n")
        })
        .collect();
    format!("kitchen: sets\ncurrency: EUR\n{aims}foods:\n{foods}recipes:\n{recipes}")
}

fn sets() -> Larder {
    let text = sets_text("aims: { order: [ foods ] }\n");
    let read = scant::kitchen::read_texts(vec![("sets.yaml".into(), text.into_bytes())]);
    let faults = read.faults;
    read.larder.unwrap_or_else(|| panic!("{faults:#?}"))
}

/// The command itself, from a folder: proved best, 9 foods, and no other five sets.
#[test]
fn the_command_finds_the_smallest_union_of_five_sets() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(folder.path().join("sets.yaml"), sets_text("")).expect("a file");
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_scant"))
        .arg("week")
        .arg(folder.path())
        .args(["--order", "foods", "--format", "json"])
        .output()
        .expect("the command runs");
    assert!(run.status.success(), "{run:?}");
    let week: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    assert_eq!(
        (&week["outcome"], &week["foods"]),
        (&json!("best"), &json!(9))
    );
    let lunches = week["lunches"].as_array().expect("lunches");
    let mut chosen: Vec<&str> = lunches
        .iter()
        .filter_map(|l| l["recipe"].as_str())
        .collect();
    chosen.sort_unstable();
    assert_eq!(chosen, ["C", "D", "H", "I", "J"]);
}

#[test]
fn the_search_finds_the_smallest_union_of_five_sets() {
    let larder = sets();
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let (outcome, _) = scant::engine::solve(&larder, &limits).expect("a week");
    let Outcome::Best(solved) = outcome else {
        panic!("five sets can always be chosen");
    };
    assert_eq!(solved.tally.foods, 9);
    let mut chosen: Vec<&str> = solved
        .plan
        .lunches
        .iter()
        .map(|lunch| larder.recipes[lunch.recipe.index()].name.as_str())
        .collect();
    chosen.sort_unstable();
    assert_eq!(chosen, ["C", "D", "H", "I", "J"]);
}

#[test]
fn the_program_finds_the_smallest_union_of_five_sets() {
    let answer = scant::program::solve::solve(&sets(), 120.0);
    let Answer::Best(_, tally) = answer.expect("the solver copes") else {
        panic!("five sets can always be chosen");
    };
    assert_eq!(tally.foods, 9);
}
