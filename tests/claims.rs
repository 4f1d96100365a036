//! Asks whether what is printed is so: every figure and every yes and no of the finished text
//! and JSON of `week` and `tradeoffs`, on random kitchens and on the stored ones, with and
//! without each option, with a week, without one, and stopped before anything was proved.
//!
//! The truth is the kitchen. Sums of a week are made again from the lunches and packs it lists
//! (`claims/week.rs`); text is held against JSON sentence by sentence, and a sentence that is
//! not known is a fault (`claims/words.rs`); what a change costs is held against the kitchen
//! with that change made by hand, from the words that tell of it, and searched again
//! (`claims/trade.rs`, `claims/rules.rs`); what is proved, against trying every week
//! (`support/brute.rs`). What it does not ask: whether a caution is wise, papers and pages.
//!
//! `SCANT_SEEDS=FIRST..END` runs other seeds than the usual ones, as many as one likes.

#![allow(
    clippy::assigning_clones,
    clippy::format_push_string,
    clippy::needless_pass_by_value,
    clippy::option_option,
    clippy::semicolon_if_nothing_returned,
    clippy::type_complexity,
    clippy::unnecessary_wraps,
    reason = "a reader of sentences: words are put together piece by piece, and what was said is a value"
)]

#[allow(dead_code, unreachable_pub)]
#[path = "claims/check.rs"]
mod check;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/page.rs"]
mod page;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/rules.rs"]
mod rules;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/run.rs"]
mod run;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/screen.rs"]
mod screen;
mod support;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/trade.rs"]
mod trade;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/week.rs"]
mod week;
#[allow(dead_code, unreachable_pub)]
#[path = "claims/words.rs"]
mod words;

use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;

use serde_json::Value;

use scant::engine::Outcome;
use scant::larder::Contents;
use scant::tradeoffs::{SECTIONS, Section};

use check::Check;
use run::Options;
use support::random::{Dice, Size, Sketch, draw};
use support::{brute, key, read, side_by_side};

/// Seeds apart from those of other tests.
const FIRST: u64 = 400_000;

fn seeds(usual: Range<u64>) -> Range<u64> {
    let Ok(text) = std::env::var("SCANT_SEEDS") else {
        return usual;
    };
    let (from, to) = text.split_once("..").expect("FIRST..END");
    from.parse().expect("a number")..to.parse().expect("a number")
}

struct Drawn {
    sketch: Sketch,
    larder: Contents,
    options: Options,
    dice: Dice,
}

/// The kitchen of a seed, and what is asked of it; some have long weeks, if they may.
fn drawn(seed: u64, long: bool) -> Drawn {
    let long = long && seed % 12 == 7;
    let size = if long { Size::Long } else { Size::Small };
    let mut dice = Dice::new(seed);
    // Most kitchens are to have a week before options are set.
    let tries = if seed.is_multiple_of(4) { 1 } else { 8 };
    let mut drawn = None;
    for at in 0..tries {
        let sketch = draw(FIRST + seed + at * 100_000, size);
        let larder = read(&sketch);
        let plain = run::best(&larder);
        let found = plain.is_some();
        drawn = Some((sketch, larder, plain));
        if found {
            break;
        }
    }
    let (sketch, larder, plain) = drawn.expect("one at least");
    let options = run::draw(&mut dice, &larder, plain.as_ref());
    Drawn {
        sketch,
        larder: Contents::clone(&larder),
        options,
        dice,
    }
}

fn parsed(json: &str) -> Value {
    serde_json::from_str(json).expect("JSON")
}

/// Of which kinds runs were.
#[derive(Debug, Default)]
struct Kinds {
    compared: usize,
    runs: std::collections::BTreeMap<String, usize>,
}

/// Runs `work` on every seed and says all that is not so.
fn all(seeds: Range<u64>, work: impl Fn(u64, &mut Check) -> String + Sync) -> Kinds {
    let seeds: Vec<u64> = seeds.collect();
    let kinds = Mutex::new(Kinds::default());
    let wrong = side_by_side(&seeds, |&seed| {
        let mut check = Check::default();
        let done = catch_unwind(AssertUnwindSafe(|| work(seed, &mut check)));
        let mut kinds = kinds.lock().unwrap();
        kinds.compared += check.compared;
        match &done {
            Ok(kind) => *kinds.runs.entry(kind.clone()).or_default() += 1,
            Err(panic) => {
                let text = panic
                    .downcast_ref::<String>()
                    .cloned()
                    .or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
                check.wrong.push(format!("panic: {text:?}"));
            }
        }
        let count = check.wrong.len();
        let first: Vec<String> = check.wrong.into_iter().take(4).collect();
        (count > 0).then(|| format!("seed {seed}, {count} wrong:\n  {}", first.join("\n  ")))
    });
    let shown: Vec<&str> = wrong.iter().take(12).map(String::as_str).collect();
    assert!(
        wrong.is_empty(),
        "{} runs wrong\n{}",
        wrong.len(),
        shown.join("\n")
    );
    kinds.into_inner().unwrap()
}

/// What was proved, against trying every week.
fn proved(c: &mut Check, larder: &Contents, outcome: &Outcome, told: &Value) {
    let larder = &run::checked(larder);
    let Some(answer) = brute::solve(larder) else {
        return;
    };
    let best = answer.best.map(|best| best.key);
    let ordered = !larder.wishes.order.is_empty();
    match outcome {
        Outcome::Best(solved) => {
            c.same("the best week", Some(key(larder, &solved.tally)), best);
        }
        Outcome::Impossible => c.yes(best.is_none(), "there is no week"),
        Outcome::Good { solved, bound_nano } => {
            let best = best.expect("there is a week");
            c.yes(
                key(larder, &solved.tally) >= best,
                "no better than the best",
            );
            if !ordered {
                c.yes(*bound_nano <= best[4], "no week is better than the bound");
            }
        }
        Outcome::OutOfTime { bound_nano } => {
            let above = best.is_none_or(|best| *bound_nano <= best[4]);
            c.yes(ordered || above, "no week is better than the bound");
        }
    }
    let word = match outcome {
        Outcome::Best(_) => "best",
        Outcome::Good { .. } => "good",
        Outcome::Impossible => "impossible",
        Outcome::OutOfTime { .. } => "out_of_time",
    };
    c.same("outcome", check::text(&told["outcome"]), word);
}

/// The bound of the JSON, and how far the week is from it.
fn bound(c: &mut Check, larder: &Contents, outcome: &Outcome, told: &Value) {
    let figure = |key: &str| (!told[key].is_null()).then(|| check::nano(&told[key]));
    let total = told["objective"]["total"]
        .as_f64()
        .map(|_| check::nano(&told["objective"]["total"]));
    let ordered = !larder.wishes.order.is_empty();
    let (bound, gap) = match outcome {
        Outcome::Best(_) => (total, Some(0)),
        Outcome::Good { bound_nano, .. } => {
            let gap = total.map(|total| total - bound_nano).filter(|_| !ordered);
            (Some(*bound_nano), gap)
        }
        Outcome::OutOfTime { bound_nano } => (Some(*bound_nano), None),
        Outcome::Impossible => (None, None),
    };
    c.same("bound", figure("bound"), bound);
    c.same("gap", figure("gap"), gap);
    c.yes(
        gap.is_none_or(|gap| gap >= 0),
        "the bound is no more than the objective",
    );
}

/// The two weeks that a ban is held against one another.
fn changes(c: &mut Check, plain: &Contents, run: &run::Week, options: &Options, told: &Value) {
    let changes = &told["changes"];
    c.same(
        "what changed",
        changes.is_null(),
        options.asked(plain).is_empty(),
    );
    if changes.is_null() {
        return;
    }
    // The week before, told by itself.
    let (outcome, effort) = run::search(&run.before, options.most_work);
    let before = scant::explain::explain(&run::checked(&run.before), &outcome, effort);
    let before = parsed(&scant::report::json(&before));
    c.same(
        "asked",
        check::texts(&changes["asked"]),
        options.asked(plain),
    );
    c.same(
        "banned",
        check::texts(&changes["banned"]),
        options.without.clone(),
    );
    c.same(
        "proved before",
        &changes["before_outcome"],
        &before["outcome"],
    );
    let sums = |week: &Value| {
        let whole = |key: &str| week[key].as_i64();
        let total = &week["objective"]["total"];
        let minutes = check::list(&week["minutes"]).iter();
        let minutes: i64 = minutes.map(|day| check::nano(&day["minutes"])).sum();
        (!total.is_null()).then(|| (whole("bill"), whole("foods"), check::nano(total), minutes))
    };
    let said = |sums: &Value| {
        (!sums.is_null()).then(|| {
            let figures = ["bill", "foods"].map(|key| sums[key].as_i64());
            let [objective, minutes] = ["objective", "minutes"].map(|key| check::nano(&sums[key]));
            (figures[0], figures[1], objective, minutes)
        })
    };
    c.same("before", said(&changes["before"]), sums(&before));
    c.same("after", said(&changes["after"]), sums(told));
    let both = !before["objective"].is_null() && !told["objective"].is_null();
    c.same("two weeks to compare", !changes["dropped"].is_null(), both);
    if !both {
        return;
    }
    let foods = |week: &Value| {
        let rows = check::list(&week["purchases"]).iter();
        rows.map(|row| check::text(&row["food"]).to_owned())
            .collect::<std::collections::BTreeSet<_>>()
    };
    let (had, has) = (foods(&before), foods(told));
    let less: Vec<String> = had.difference(&has).cloned().collect();
    let more: Vec<String> = has.difference(&had).cloned().collect();
    c.same(
        "not bought any more",
        check::texts(&changes["dropped"]),
        less,
    );
    c.same("bought instead", check::texts(&changes["added"]), more);
    let mut days = Vec::new();
    let weeks = check::list(&before["lunches"])
        .iter()
        .zip(check::list(&told["lunches"]));
    for (was, now) in weeks {
        let taken = |lunch: &Value| -> Vec<String> {
            let lines = check::list(&lunch["lines"]).iter();
            lines
                .map(|line| format!("{}{}", line["food"], line["component"]))
                .collect()
        };
        let lunch = was["recipe"] != now["recipe"];
        if lunch || taken(was) != taken(now) {
            days.push((
                check::int(&was["day"]),
                was["recipe"].clone(),
                now["recipe"].clone(),
            ));
        }
    }
    let told = check::list(&changes["lunches"]).iter();
    let told: Vec<_> = told
        .map(|one| {
            (
                check::int(&one["day"]),
                one["before"].clone(),
                one["after"].clone(),
            )
        })
        .collect();
    c.same("lunches that differ", told, days);
}

/// Holds a run of `scant week` against the kitchen.
fn hold_week(c: &mut Check, plain: &Contents, options: &Options, tried: bool) -> String {
    let run = run::week(plain, options);
    let told = parsed(&run.json);
    if tried {
        proved(c, &run.larder, &run.outcome, &told);
    }
    bound(c, &run.larder, &run.outcome, &told);
    words::check(c, &run, &told);
    changes(c, plain, &run, options, &told);
    screen::check(c, &run, &told);
    if told["objective"].is_null() {
        for key in ["lunches", "purchases", "leftovers", "batches"] {
            c.yes(check::list(&told[key]).is_empty(), format!("no {key}"));
        }
        if !told["conflict"].is_null() && options.most_work.is_none() {
            trade::conflict(c, &run.larder, &told, true);
        }
    } else {
        week::check(c, &run.larder, &told);
    }
    for line in run.text.lines() {
        c.yes(line.chars().count() <= 80, line);
    }
    check::text(&told["outcome"]).to_owned()
}

#[test]
fn every_claim_of_a_week_is_so() {
    let kinds = all(seeds(0..240), |seed, c| {
        let Drawn {
            larder, options, ..
        } = drawn(seed, true);
        // Of three lunches and more trying every week takes long.
        let tried = larder.lunch_count() < 3 || seed % 16 == 0;
        hold_week(c, &larder, &options, tried)
    });
    if std::env::var_os("SCANT_SEEDS").is_none() {
        for kind in ["best", "good", "impossible", "out_of_time"] {
            let runs = kinds.runs.get(kind).copied().unwrap_or(0);
            assert!(runs >= 2, "{kinds:?}");
        }
        assert!(kinds.compared >= 60_000, "{kinds:?}");
    }
}

#[test]
fn every_claim_of_trade_offs_is_so() {
    let kinds = all(seeds(1_000..1_200), |seed, c| {
        let drawn = drawn(seed, false);
        let (larder, options, mut dice) = (drawn.larder, drawn.options, drawn.dice);
        let mut sections: Vec<Section> = SECTIONS.to_vec();
        dice.shuffle(&mut sections);
        // Prices under a budget are asked for more often than the rest.
        sections.truncate(3);
        if options.budget_minor.is_some() && !sections.contains(&Section::Prices) {
            sections.push(Section::Prices);
        }
        let run = run::tradeoffs(&larder, &options, &sections);
        let told = parsed(&run.json);
        trade::check(c, &run, &told, &mut dice);
        screen::trade(c, &run, &told);
        let settled = if told["settled"] == true {
            ""
        } else {
            ", not settled"
        };
        format!("{}{settled}", check::text(&told["outcome"]))
    });
    if std::env::var_os("SCANT_SEEDS").is_none() {
        for kind in [
            "best",
            "best, not settled",
            "impossible",
            "open, not settled",
        ] {
            let runs = kinds.runs.get(kind).copied().unwrap_or(0);
            assert!(runs >= 1, "{kinds:?}");
        }
        assert!(kinds.compared >= 4_000, "{kinds:?}");
    }
}

fn stored() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stored");
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    all.sort();
    all
}

#[test]
fn every_claim_of_the_stored_kitchens_is_so() {
    let folders = stored();
    assert!(folders.len() >= 15);
    let kinds = all(0..folders.len() as u64 * 3, |at, c| {
        let read = scant::kitchen::read_dir(&folders[at as usize / 3]);
        let larder = read.larder.expect("no fault");
        let mut dice = Dice::new(at);
        let options = if at % 3 == 0 {
            Options::default()
        } else {
            let plain = run::best(&larder);
            run::draw(&mut dice, &larder, plain.as_ref())
        };
        hold_week(c, &larder, &options, false)
    });
    assert!(kinds.compared >= 5_000, "{kinds:?}");
}

/// What the tests above hold is what the program prints.
#[test]
fn the_program_prints_what_is_held_here() {
    let mut asked = 0;
    for seed in 0..60 {
        let drawn = drawn(seed, false);
        let (larder, mut options) = (drawn.larder, drawn.options);
        if options.most_work.take().is_some() || options.finish.is_some() {
            continue;
        }
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in drawn.sketch.texts() {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        let said = |command: &str, more: &[&str]| {
            let done = Command::new(env!("CARGO_BIN_EXE_scant"))
                .arg(command)
                .arg(folder.path())
                .args(options.words(&larder))
                .args(more)
                .output()
                .unwrap();
            String::from_utf8(done.stdout).unwrap()
        };
        let week = run::week(&larder, &options);
        assert_eq!(said("week", &["--full"]), week.text, "seed {seed}");
        assert_eq!(said("week", &[]), week.screen, "seed {seed}");
        assert_eq!(
            said("week", &["--format", "json"]),
            week.json,
            "seed {seed}"
        );
        let told = run::tradeoffs(&larder, &options, &[Section::Prices]);
        let more = ["--only", "prices", "--others", "2"];
        assert_eq!(said("tradeoffs", &more), told.text, "seed {seed}");
        asked += 1;
        if asked == 12 {
            break;
        }
    }
    assert_eq!(asked, 12);
}

/// A kitchen of a landing stage: rice alone, with chickpeas, with oats.
const STAGE: &str = r#"
kitchen: Stage
currency: USD
week: { lunches: 2, carry_day: 8 }
foods:
  - { food: rice, table: "20036", packs: [{ pack: bag, size: 500 g, price: 1.00, keeps: 9, open_keeps: 9 }] }
  - { food: oats, table: "20036", packs: [{ pack: sack, size: 500 g, price: 1.50, keeps: 9, open_keeps: 9 }] }
  - { food: chickpeas, table: "16359", packs: [{ pack: tin, size: 400 g, price: 1.79, keeps: 99, open_keeps: 3 }] }
recipes:
  - { recipe: Plain rice, form: bowl, lines: [{ food: rice, amount: 250 g }] }
  - { recipe: Chickpea rice, form: bowl, lines: [{ food: rice, amount: 250 g }, { food: chickpeas, amount: 100 g }] }
  - { recipe: Oat rice, form: bowl, lines: [{ food: rice, amount: 250 g }, { food: oats, amount: 100 g }] }
"#;

fn kitchen(text: &str) -> (tempfile::TempDir, Contents) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    let read = scant::kitchen::read_dir(folder.path());
    let larder = read.larder.unwrap_or_else(|| panic!("{:?}", read.faults));
    (folder, Contents::clone(&larder))
}

/// What the program says to options, on one line.
fn said(folder: &tempfile::TempDir, command: &[&str], options: &[&str]) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(command)
        .arg(folder.path())
        .args(options)
        .output()
        .unwrap();
    let text = String::from_utf8(done.stdout).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The ends of the range of a pack, and whether the upper one is the budget's.
fn range(larder: &Contents, budget_minor: Option<i64>, food: &str) -> (i64, i64, bool) {
    let options = Options {
        budget_minor,
        ..Options::default()
    };
    let told = parsed(&run::tradeoffs(larder, &options, &[Section::Prices]).json);
    assert_eq!(told["settled"], true);
    let all = check::list(&told["prices"]).iter();
    let range = all
        .into_iter()
        .find(|range| range["food"] == food)
        .expect("it is bought");
    let over = range["high"]["over_budget"].as_bool().unwrap();
    (
        check::int(&range["low"]["price"]),
        check::int(&range["high"]["price"]),
        over,
    )
}

/// By hand: the week is a bag of rice and a sack of oats, 2.50, with 400 g of oats kept; with a
/// tin instead it is 2.79, and 300 g of chickpeas spoil, 1.34: as dear at 4.13 for both, when the
/// sack costs 3.13.
#[test]
fn a_slack_budget_changes_no_range_and_a_tight_one_ends_it() {
    let (_, larder) = kitchen(STAGE);
    let free = range(&larder, None, "oats");
    assert_eq!(free, (1, 313, false));
    assert_eq!(range(&larder, Some(5_000), "oats"), free);
    // 2.60 is a sack of 1.60 beside the rice.
    assert_eq!(range(&larder, Some(260), "oats"), (1, 160, true));
    assert_eq!(range(&larder, Some(250), "rice"), (1, 100, true));
}

#[test]
fn a_ban_that_leaves_no_week_says_nothing_of_what_is_bought() {
    let (folder, _) = kitchen(STAGE);
    let told = said(&folder, &["week"], &["--without", "rice"]);
    assert!(told.contains("Impossible, proved"), "{told}");
    let none = "Without it there is a week; with it there is none: proved.";
    assert!(told.contains(none), "{told}");
    for word in ["Not bought any more", "Bought instead", "Day Before Now"] {
        assert!(!told.contains(word), "{word}: {told}");
    }
}

#[test]
fn one_recipe_and_five_lunches_are_too_few_recipes() {
    let text = STAGE
        .replace("lunches: 2", "lunches: 5")
        .replace("carry_day: 8", "carry_day: 8, trips: [0]");
    let text = text.split("  - { recipe: Chickpea rice").next().unwrap();
    // Whatever repeats may be, two lunches of a form are not enough either.
    let (folder, _) = kitchen(&format!("{text}rules: {{ per_form: 2 }}\n"));
    for command in ["week", "tradeoffs"] {
        let told = said(&folder, &[command], &[]);
        let few =
            "Too few recipes: there is 1, each served once at most; 5 lunches need 5 or more.";
        assert!(told.contains(few), "{told}");
        assert!(!told.contains("without it there is one"), "{told}");
    }
    let (folder, _) = kitchen(&format!("{text}rules: {{ repeats: 2 }}\n"));
    let told = said(&folder, &["week"], &[]);
    let few = "Too few recipes: there is 1, each served 2 times at most; 5 lunches need 3 or more.";
    assert!(told.contains(few), "{told}");
}

#[test]
fn recipes_that_rest_are_no_ban_for_an_allergy() {
    let (folder, _) = kitchen(STAGE);
    let told = said(&folder, &["weeks", "3"], &["--rest", "1"]);
    assert!(told.contains("The row ends before week 2 of 3"), "{told}");
    let few = "Too few recipes: 1 of 3 left (2 resting), each served once at most";
    assert!(told.contains(few), "{told}");
    assert!(told.contains("no recipe of the week before"), "{told}");
    let way = "let no recipe rest (no --rest; --again puts a price on serving it again): bill";
    assert!(told.contains(way), "{told}");
    for word in ["allergy", "allow Oat rice", "allow Plain rice"] {
        assert!(!told.contains(word), "{word}: {told}");
    }
    // Four recipes are enough for two weeks, and with a week less to rest for the third.
    let more = "  - { recipe: Barley rice, form: bowl, lines: [{ food: rice, amount: 300 g }] }\n";
    let (folder, _) = kitchen(&format!("{STAGE}{more}"));
    let told = said(&folder, &["weeks", "3"], &["--rest", "2"]);
    assert!(told.contains("The row ends before week 3 of 3"), "{told}");
    assert!(
        told.contains("let recipes rest for 1 week only: bill"),
        "{told}"
    );
    // What was asked for in this run and bans a recipe is a ban still.
    let told = said(
        &folder,
        &["weeks", "2"],
        &["--rest", "1", "--without", "Barley rice"],
    );
    assert!(
        told.contains("1 of 4 left (1 ruled out by bans, 2 resting)"),
        "{told}"
    );
}

#[test]
fn only_a_rule_in_force_has_no_room_for_a_finisher() {
    let text = STAGE.replace(
        "lines: [{ food: rice, amount: 250 g }] }",
        "lines: [{ food: rice, amount: 250 g }, \
         { food: chickpeas, amount: 50 g, optional: true, appeal: 5 }] }",
    );
    let (folder, _) = kitchen(&text);
    for (option, value, is) in [
        ("--cap", "2", "; the cap has no room for it."),
        ("--budget", "2.60", "; the budget has no room for it."),
        ("--limit", "60", "appeal 5 more, for Tue."),
    ] {
        let told = said(
            &folder,
            &["week"],
            &["--finish", "1", "--full", option, value],
        );
        let offered = told.contains("One more purchase: chickpeas");
        assert!(
            told.contains(is) && offered != (option == "--limit"),
            "{told}"
        );
        assert!(!told.contains("the cap or the budget"), "{told}");
    }
}

/// Both orders of the two lunches have the same bill, foods and spoiled value, and a price on
/// one day decides which is chosen.
#[test]
fn the_chosen_week_of_the_frontier_is_the_one_above_it() {
    for day in [1, 2] {
        let text = format!(
            "{STAGE}aims: {{ day_preferences: [{{ recipe: Plain rice, days: [{day}], price: -0.40 }}] }}\n"
        );
        let (folder, larder) = kitchen(&text);
        let told = run::tradeoffs(&larder, &Options::default(), &[Section::Frontier]);
        let told = parsed(&told.json);
        let points = check::list(&told["frontier"]["points"]).iter();
        let chosen: Vec<&Value> = points.filter(|point| point["chosen"] == true).collect();
        assert_eq!(chosen.len(), 1);
        assert_eq!(chosen[0]["week"], told["week"]);
        let page = folder.path().join("page.html");
        let options = ["--tradeoffs", "60", "--out", page.to_str().unwrap()];
        said(&folder, &["sheet"], &options);
        let page = std::fs::read_to_string(&page).unwrap();
        let row = page.split("class=\"in\"").nth(1).unwrap();
        let row = row.split("</bdi>").next().unwrap();
        let days = [
            "Mon Plain rice, Tue Oat rice",
            "Mon Oat rice, Tue Plain rice",
        ];
        assert!(row.ends_with(days[day - 1]), "{row}");
    }
}
