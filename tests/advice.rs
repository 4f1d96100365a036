//! Question: does a week tell the advice it needs, with its source, and no other?
//!
//! Truth: which foods and dishes each published line is for, put down by hand beside each kitchen;
//! the figures of the lines (60 and 74 degrees Celsius are 140 and 165 Fahrenheit) worked out here.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use scant::engine::{Limits, Outcome, solve};
use scant::explain::{self, AdviceFacts};
use scant::kitchen::read_texts;
use scant::report;
use scant::table::advice::{ADVICE, Topic};

const LAYOUT: report::Layout = report::Layout {
    measures: report::Measures::Both,
    folded: false,
};

/// A kitchen of one lunch.
fn advice(
    form: &str,
    foods: &[(&str, &str, &str)],
    component: Option<(&str, &str)>,
) -> Vec<AdviceFacts> {
    told(form, foods, component).0
}

fn told(
    form: &str,
    foods: &[(&str, &str, &str)],
    component: Option<(&str, &str)>,
) -> (Vec<AdviceFacts>, [String; 3]) {
    let mut text =
        String::from("kitchen: The slip\ncurrency: USD\nweek: {lunches: 1, eaters: 1}\nfoods:\n");
    for (name, row, pack) in foods {
        let _ = writeln!(
            text,
            "  - {{food: {name}, table: \"{row}\", packs: [{{pack: {pack}, size: 400 g, price: 1.00, keeps: 3, \
             open_keeps: 2}}]}}"
        );
    }
    let amounts: Vec<String> = foods
        .iter()
        .map(|(name, ..)| format!("{{food: {name}, amount: 100 g}}"))
        .collect();
    let amounts = amounts.join(", ");
    let line = match component {
        Some((name, more)) => {
            let _ = writeln!(
                text,
                "components:\n  - {{component: {name}, makes: 300 g, from: [{amounts}], keeps: 3, minutes: 5{more}}}"
            );
            format!("{{component: {name}, amount: 300 g}}")
        }
        None => amounts,
    };
    let _ = writeln!(
        text,
        "recipes:\n  - {{recipe: Lunch, form: {form}, minutes: 5, lines: [{line}]}}"
    );
    let read = read_texts(vec![("k.yaml".to_owned(), text.into_bytes())]);
    let larder = read.larder.unwrap_or_else(|| panic!("{:#?}", read.faults));
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let (outcome, effort) = solve(&larder, &limits).expect("no engine fault");
    assert!(matches!(outcome, Outcome::Best(_)));
    let explanation = explain::explain(&larder, &outcome, effort);
    let screens = [
        report::text(&explanation),
        report::recipes(&explanation, LAYOUT),
        report::json(&explanation),
    ];
    let week = explanation.week.expect("a week");
    (week.advice, screens)
}

fn topics(advice: &[AdviceFacts]) -> Vec<Topic> {
    advice.iter().map(|facts| facts.advice.topic).collect()
}

const BURNER: &str = ", needs: [burner], passive_minutes: 20";

#[test]
fn each_kitchen_needs_the_advice_that_is_for_it() {
    use Topic::{
        ColdBox, CookedStarch, Cooling, CutFruit, HotFlask, KidneyBeans, OilWithGarlic, Sprouts,
    };
    let carrots = ("carrots", "11124", "bag");
    let beans = ("kidney beans", "16032", "500 g bag");
    let tinned = ("kidney beans", "16032", "400 g tin");
    let rice = ("brown rice", "20036", "bag");
    let oil = ("olive oil", "04053", "bottle");
    let garlic = ("garlic", "11215", "bulb");
    let powder = ("garlic powder", "02020", "jar");
    let avocado = ("avocado", "09037", "single");
    let sprouts = ("mung bean sprouts", "11043", "bag");
    let cabbage = ("Brussels sprouts", "11098", "bag");
    let cases = [
        ("bowl", vec![carrots], None, vec![ColdBox]),
        ("soup in a flask", vec![carrots], None, vec![HotFlask]),
        (
            "hot soup",
            vec![carrots],
            Some(("carrot soup", BURNER)),
            vec![HotFlask, Cooling],
        ),
        (
            "bowl",
            vec![rice],
            Some(("cooked rice", BURNER)),
            vec![CookedStarch, ColdBox],
        ),
        (
            "bowl",
            vec![beans],
            Some(("boiled beans", BURNER)),
            vec![KidneyBeans, CookedStarch, ColdBox],
        ),
        (
            "bowl",
            vec![tinned],
            Some(("spiced beans", BURNER)),
            vec![CookedStarch, ColdBox],
        ),
        (
            "bowl",
            vec![oil, garlic],
            Some(("dressing", "")),
            vec![OilWithGarlic, ColdBox],
        ),
        (
            "bowl",
            vec![oil, powder],
            Some(("dressing", "")),
            vec![ColdBox],
        ),
        (
            "bowl",
            vec![oil, garlic],
            Some(("fried garlic", BURNER)),
            vec![Cooling, ColdBox],
        ),
        (
            "bowl",
            vec![avocado, carrots],
            None,
            vec![CutFruit, ColdBox],
        ),
        ("bowl", vec![sprouts, carrots], None, vec![Sprouts, ColdBox]),
        ("bowl", vec![cabbage, carrots], None, vec![ColdBox]),
    ];
    for (form, foods, component, wanted) in cases {
        let found = advice(form, &foods, component);
        assert_eq!(topics(&found), wanted, "{form} {foods:?} {component:?}");
    }
}

#[test]
fn what_calls_for_it_is_named_and_every_line_has_its_source() {
    let found = advice(
        "bowl",
        &[("kidney beans", "16032", "bag")],
        Some(("boiled beans", BURNER)),
    );
    let first = &found[0].of[0];
    assert!(first.batch);
    assert_eq!((first.thing.as_str(), first.when.day), ("boiled beans", 0));
    assert_eq!(first.foods, ["kidney beans"]);
    for advice in &ADVICE {
        let known = [
            "Illinois",
            "Drug Administration",
            "FDA",
            "Centers for Disease",
            "USDA",
        ];
        assert!(
            known.iter().any(|who| advice.source.contains(who)),
            "{advice:?}"
        );
        // A short line is a line or two of a screen.
        assert!(
            advice.short.chars().count() + advice.title.len() < 140,
            "{advice:?}"
        );
        // Degrees agree: (C x 9 / 5) + 32, to a degree.
        for part in advice.line.split(" °C (").skip(1) {
            let fahrenheit = part.split(" °F").next().unwrap_or("");
            let before = &advice.line[..advice.line.find(part).expect("it is there")];
            let celsius = before
                .trim_end_matches(" °C (")
                .rsplit(' ')
                .next()
                .unwrap_or("");
            let (c, f) = (celsius.parse::<f64>(), fahrenheit.parse::<f64>());
            if let (Ok(c), Ok(f)) = (c, f) {
                assert!((c * 9.0 / 5.0 + 32.0 - f).abs() <= 1.0, "{c} and {f}");
            }
        }
    }
}

#[test]
fn the_screens_say_it_where_it_belongs_and_the_week_in_two_lines() {
    let beans = [("kidney beans", "16032", "bag")];
    let (found, [week, recipes, json]) =
        told("soup in a flask", &beans, Some(("boiled beans", BURNER)));
    assert_eq!(found.len(), 3);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let (week, recipes) = (flat(&week), flat(&recipes));
    let shown = found
        .iter()
        .filter(|f| week.contains(f.advice.short))
        .count();
    assert_eq!(shown, 2, "{week}");
    assert!(
        week.contains("1 more line of advice and all sources: scant prep."),
        "{week}"
    );
    for facts in &found {
        assert!(recipes.contains(facts.advice.line), "{recipes}");
        assert!(recipes.contains(facts.advice.source), "{recipes}");
        assert!(json.contains(facts.advice.source), "{json}");
    }
}

/// Runs the program on the demo and returns what it prints.
fn printed(arguments: &[&str]) -> String {
    let out = std::process::Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(arguments)
        .output()
        .expect("runs");
    assert_eq!(out.status.code(), Some(0), "{arguments:?}");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The demo's week has soup in a flask and cooked rice; its prep plan tells each line in full once,
/// on the first day it is for, and where it was published.
#[test]
fn the_prep_plan_tells_each_line_once_in_full() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/boatyard");
    let week: serde_json::Value = {
        let json = printed(&["week", demo, "--format", "json", "--brief"]);
        serde_json::from_str(&json).expect("JSON")
    };
    let needed = week["advice"].as_array().expect("a list");
    assert!(needed.len() >= 3);
    let prep = printed(&["prep", demo]);
    for advice in needed {
        let text = |key: &str| advice[key].as_str().expect("a text").to_owned();
        assert_eq!(prep.matches(&text("line")).count(), 1, "{}", text("line"));
        assert!(prep.contains(&text("source")), "{}", text("source"));
    }
}

/// What is said of the cooling of a batch stands at the time of day at which the batch is cooked, not
/// at another of the same day.
#[test]
fn cooling_is_told_where_the_batch_is_cooked() {
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_scant"))
        .arg("prep")
        .output()
        .unwrap();
    let text = String::from_utf8(run.stdout).unwrap();
    let title = |line: &&str| {
        line.ends_with(" MORNING") || line.contains("PREP DAY") || line.ends_with(" EVENING")
    };
    let mut of: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in text.lines() {
        if title(&line) {
            of.push((line, Vec::new()));
        } else if let Some((_, lines)) = of.last_mut() {
            lines.push(line.trim_start());
        }
    }
    let bar = |line: &str| {
        Some(
            line.split_once("  |")
                .or(line.split_once(" |"))?
                .0
                .trim()
                .to_owned(),
        )
    };
    let bars: BTreeSet<String> = text.lines().filter_map(bar).collect();
    let bar = |line: &&str| bar(line);
    let mut told = 0;
    for (title, lines) in &of {
        for line in lines {
            let note = line
                .strip_prefix("-  ")
                .and_then(|note| note.split_once(": "));
            let Some((batches, _)) =
                note.filter(|(_, told)| told.to_lowercase().starts_with("cool"))
            else {
                continue;
            };
            for batch in bars.iter().filter(|bar| batches.contains(*bar)) {
                told += 1;
                let here = lines.iter().any(|line| bar(line).as_ref() == Some(batch));
                assert!(here, "{title}: {batch} is not cooked there");
            }
        }
    }
    assert!(told >= 3, "{text}");
}
