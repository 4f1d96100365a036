//! Question: of ingredient lines in many voices, is none that is called sure read wrong, and are
//! enough of them sure?
//!
//! Truth: `tests/data/import-lines.tsv`, lines made up and read by hand before any program read
//! them: rows of the food table by their published numbers, masses from the table's household
//! measures or the line's own figures, names of the demo kitchen. What an entry weighs is read back
//! out of the kitchen file that is written.

#![allow(clippy::print_stdout, reason = "counts, for who runs it")]

use std::collections::BTreeMap;
use std::path::Path;

use scant::import::{Confidence, Kitchen, recipes_for};
use scant::kitchen::{called, read_texts, texts};
use scant::larder::{Ingredient, Larder};
use scant::report;
use scant::table;

struct Line {
    voice: String,
    with_demo: bool,
    text: String,
    food: String,
    /// Least and most grams; `None` where nothing is said.
    grams: Option<(f64, f64)>,
    basis: String,
}

fn corpus() -> Vec<Line> {
    let lines = include_str!("data/import-lines.tsv").lines();
    let read = |line: &str| {
        let cells: Vec<&str> = line.split('\t').collect();
        let [voice, kitchen, text, food, mass, basis] = cells[..] else {
            panic!("{line}");
        };
        let figure = |text: &str| text.parse::<f64>().expect("a figure");
        let grams = match mass.split_once('-') {
            _ if mass.is_empty() => None,
            Some((least, most)) => Some((figure(least), figure(most))),
            None => Some((figure(mass) * 0.96, figure(mass) * 1.04)),
        };
        Line {
            voice: voice.to_owned(),
            with_demo: kitchen == "demo",
            text: text.to_owned(),
            food: food.to_owned(),
            grams,
            basis: basis.to_owned(),
        }
    };
    lines
        .filter(|line| !line.starts_with('#'))
        .map(read)
        .collect()
}

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard")
}

/// What was read of a line: how sure, what, and edible grams.
struct Got {
    confidence: Confidence,
    food: String,
    grams: Option<f64>,
    why: String,
    /// Edible share of what is bought, as the table or the kitchen has it.
    share: f64,
}

/// Reads all lines, each as a recipe of its own for one, and what was written as a kitchen.
fn read(lines: &[&Line], with_demo: bool) -> Vec<Got> {
    let kitchen = if with_demo {
        called(&demo())
    } else {
        Kitchen::default()
    };
    let all: Vec<serde_json::Value> = lines
        .iter()
        .enumerate()
        .map(|(at, line)| {
            serde_json::json!({
                "@type": "Recipe", "name": format!("line {at}"), "recipeCategory": "bowl",
                "recipeYield": 1, "recipeIngredient": [line.text], "recipeInstructions": ["Stir."],
            })
        })
        .collect();
    let json = serde_json::Value::Array(all).to_string();
    let found = recipes_for(json.as_bytes(), &kitchen).expect("recipes");
    let (written, _) = report::imported(&found);
    let larder = as_kitchen(&written, with_demo);
    let mut masses = BTreeMap::new();
    for recipe in &larder.recipes {
        if let [line] = recipe.lines.as_slice() {
            masses.insert(
                recipe.name.clone(),
                (line.alternatives[0].what, line.alternatives[0].mg),
            );
        }
    }
    found
        .recipes
        .iter()
        .enumerate()
        .map(|(at, recipe)| {
            let reading = &recipe.lines[0];
            let entry = masses.get(&format!("line {at}"));
            let of_kitchen = entry.and_then(|(what, _)| match what {
                Ingredient::Food(id) => Some(&larder.foods[id.index()]),
                Ingredient::Component(_) => None,
            });
            let food = match (&reading.own, reading.food) {
                (Some(own), _) => own.name.clone(),
                (None, Some(row)) => row.number.to_owned(),
                (None, None) => String::new(),
            };
            Got {
                confidence: reading.confidence,
                food,
                grams: entry.map(|(_, mg)| *mg as f64 / 1_000.0),
                why: format!("{:?}", reading.doubts),
                share: of_kitchen.map_or(1.0, |food| food.yield_milli_percent as f64 / 1e5),
            }
        })
        .collect()
}

/// The kitchen file with its foods filled in, beside the demo's where its names were used.
fn as_kitchen(written: &str, with_demo: bool) -> Larder {
    let packs = "packs: [{ pack: bag, size: 500 g, price: 2.00, keeps: 1, open_keeps: 1 }]";
    let (recipes, foods) = written.split_once("# foods:").unwrap_or((written, ""));
    let foods: Vec<String> = foods
        .lines()
        .skip(1)
        .map(|line| line.trim_start_matches('#').to_owned())
        .map(|line| match line.find("packs: ") {
            Some(at) => format!("{}{packs}", &line[..at]),
            None => line,
        })
        .collect();
    let foods = if foods.is_empty() {
        String::new()
    } else {
        format!("foods:\n{}\n", foods.join("\n"))
    };
    let head = if with_demo { "" } else { "currency: USD\n" };
    let mut all = vec![(
        "z.yaml".to_owned(),
        format!("{head}{recipes}{foods}").into_bytes(),
    )];
    if with_demo {
        all.extend(
            texts(&demo())
                .into_iter()
                .map(|(name, text)| (name, text.into_bytes())),
        );
    }
    let read = read_texts(all);
    let faults: Vec<_> = read.faults.iter().map(|f| (&f.what, f.line)).collect();
    assert!(faults.is_empty(), "{faults:?}\n{written}");
    read.larder.expect("a kitchen")
}

/// What is wrong with a reading that is not doubtful.
fn wrong(line: &Line, got: &Got) -> Option<String> {
    if line.food == "doubtful" || line.food == "heading" {
        return Some("it cannot be known".to_owned());
    }
    let wanted = line.food.trim_start_matches("doubtful-or ");
    if !wanted.split('/').any(|food| food == got.food) {
        return Some(format!("read as {}", got.food));
    }
    let (least, most) = line.grams?;
    let Some(grams) = got.grams else {
        return Some("no entry was written".to_owned());
    };
    let fits = |share: f64| (least * share - 0.01..=most * share + 0.01).contains(&grams);
    let right = match line.basis.as_str() {
        "ap" => fits(got.share),
        "e" => fits(1.0),
        _ => fits(1.0) || fits(got.share),
    };
    (!right).then(|| format!("{grams} g (edible share {})", got.share))
}

#[test]
fn no_line_called_sure_is_read_wrong_and_three_in_four_are_sure() {
    let corpus = corpus();
    assert!(corpus.len() >= 300, "{}", corpus.len());
    let (mut sure, mut likely, mut faults, mut unsure) = (0, 0, Vec::new(), Vec::new());
    for with_demo in [false, true] {
        let lines: Vec<&Line> = corpus
            .iter()
            .filter(|line| line.with_demo == with_demo)
            .collect();
        for (line, got) in lines.iter().zip(read(&lines, with_demo)) {
            let told =
                |what: &str| format!("{} | {} | {what} | {}", line.voice, line.text, got.why);
            match got.confidence {
                Confidence::Doubtful => {}
                _ => faults.extend(wrong(line, &got).map(|what| told(&what))),
            }
            sure += usize::from(got.confidence == Confidence::Sure);
            likely += usize::from(got.confidence == Confidence::Likely);
            if got.confidence == Confidence::Doubtful
                && !line.food.starts_with("doubtful")
                && line.food != "heading"
            {
                unsure.push(told(&got.food));
            }
        }
    }
    println!("{} lines, {sure} sure, {likely} to check", corpus.len());
    for line in &unsure {
        println!("left to the cook: {line}");
    }
    assert!(faults.is_empty(), "{}\n{}", faults.len(), faults.join("\n"));
    assert!(
        sure * 100 >= corpus.len() * 75,
        "{sure} of {} are sure",
        corpus.len()
    );
}

/// The corpus names rows that there are.
#[test]
fn every_row_of_the_corpus_is_of_the_table() {
    for line in corpus()
        .iter()
        .filter(|line| !line.with_demo && line.grams.is_some())
    {
        for number in line.food.split('/') {
            assert!(
                table::find(number).is_some_and(|row| row.number == number),
                "{number}"
            );
        }
    }
}
