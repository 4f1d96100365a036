//! Asks what `scant week --after` and `scant weeks` promise the shell: exit codes, streams, every
//! fault of a former plan at once. The truth is README's table of exit codes and, for the kitchen
//! below, sums done by hand; that rows eat nothing after its day is asked in `weeks.rs`.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::{Value, json};

/// Two lunches a week; the next week begins four days on. By hand, weeks after one another:
///
/// 1. Rice and chickpeas twice: a bag (2.00) and a tin (1.20), 3.20; 300 g of rice are kept.
/// 2. The same again from the rice on hand: a tin, 1.20; 100 g of rice are kept.
/// 3. One more with rice and one of chickpeas alone: two tins, 2.40; no rice is left.
/// 4. As week 1.
const TWO: &str = "\
kitchen: two lunches
currency: USD
week: { lunches: 2, carry_day: 5 }
stock: [{ food: rice, label: a sack, amount: 1 g, good_until: 0, opened: true }]
foods:
  - food: rice
    table: \"20036\"
    packs: [{ pack: 500 g bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
  - food: chickpeas
    table: \"16359\"
    packs: [{ pack: 250 g tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }]
  - food: raisins
    table: \"09298\"
    packs: [{ pack: 100 g box, size: 100 g, price: 1.00, keeps: 300, open_keeps: 300 }]
recipes:
  - recipe: rice and chickpeas
    form: bowl
    lines:
      - { food: rice, amount: 100 g }
      - { food: chickpeas, amount: 125 g }
      - { food: raisins, amount: 10 g, optional: true }
  - recipe: chickpeas alone
    form: salad
    lines: [{ food: chickpeas, amount: 375 g }]
rules: { repeats: 2 }
";

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(args)
        .output()
        .unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

/// What was said on standard error, the line breaks of wrapped messages taken out.
fn said(output: &Output) -> String {
    let text = String::from_utf8(output.stderr.clone()).unwrap();
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|&word| word != "|")
        .collect();
    words.join(" ")
}

fn json_of(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", said(output)))
}

/// The kitchen in a folder of its own, and its path.
fn kitchen() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("kitchen");
    fs::create_dir(&place).unwrap();
    fs::write(place.join("kitchen.yaml"), TWO).unwrap();
    let place = place.to_str().unwrap().to_owned();
    (folder, place)
}

fn file(folder: &Path, name: &str, text: impl AsRef<[u8]>) -> String {
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// The first week of the kitchen, as its JSON and as a file.
fn first(folder: &Path, place: &str, options: &[&str]) -> (Value, String) {
    let all = [&["week", place, "--format", "json"], options].concat();
    let output = run(&all);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let told = json_of(&output);
    let path = file(folder, "week-1.json", &output.stdout);
    (told, path)
}

#[test]
fn a_row_done_by_hand() {
    let (_folder, place) = kitchen();
    let output = run(&["weeks", "4", &place, "--format", "json"]);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let row = json_of(&output);
    let bills: Vec<i64> = (row["weeks"].as_array().unwrap().iter())
        .map(|week| week["sums"]["bill"].as_i64().unwrap())
        .collect();
    assert_eq!(bills, [320, 120, 240, 320]);
    let starts: Vec<i64> = (row["weeks"].as_array().unwrap().iter())
        .map(|week| week["starts"].as_i64().unwrap())
        .collect();
    assert_eq!(starts, [0, 4, 8, 12]);
    let all = &row["totals"];
    assert_eq!((&all["bill"], &all["foods"]), (&json!(1000), &json!(6)));
    // A gram of old rice is on hand at first, worth 0.4 minor units, and spoils.
    assert_eq!(all["on_hand_mg"], 1_000);
    assert_eq!(all["spoiled_mg"], 1_000);
    assert_eq!(all["spoiled_value"], json!(0.4));
    // Two bags and five tins; 7 lunches with rice (100 g and 125 g), one of chickpeas alone.
    assert_eq!(all["bought_mg"], 2 * 500_000 + 5 * 250_000);
    assert_eq!(all["used_mg"], 7 * 225_000 + 375_000);
    assert_eq!(all["kept_mg"], 300_000);
    assert_eq!(all["kept_value"], 120);
    assert_eq!(row["outcome"], "best");
    assert!(row["claim"].as_str().unwrap().contains("not claimed"));
}

#[test]
fn a_row_is_its_weeks_one_after_the_other() {
    let (folder, place) = kitchen();
    let plans = folder.path().join("plans");
    let plans = plans.to_str().unwrap();
    let options = ["--rest", "1", "--finish", "1", "--format", "json"];
    let output = run(&[&["weeks", "2", &place, "--plans", plans][..], &options].concat());
    assert_eq!(code(&output), 0, "{}", said(&output));
    let (_, one) = first(folder.path(), &place, &["--finish", "1"]);
    let written = |n: usize| fs::read_to_string(format!("{plans}/week-{n}.json")).unwrap();
    // A week by itself also says what changes would cost.
    let alone = |text: &str| {
        let mut week: Value = serde_json::from_str(text).unwrap();
        assert!(!week["tellings"].as_array().unwrap().is_empty());
        week["tellings"] = json!([]);
        assert!(week["near_misses"].is_object());
        week["near_misses"] = json!(null);
        serde_json::to_string_pretty(&week).unwrap() + "\n"
    };
    assert_eq!(alone(&fs::read_to_string(&one).unwrap()), written(1));
    let two = run(&[&["week", &place, "--after", &one][..], &options].concat());
    assert_eq!(alone(&String::from_utf8(two.stdout).unwrap()), written(2));
    let row = json_of(&output);
    assert_eq!(
        row["weeks"][1]["plan"],
        serde_json::from_str::<Value>(&written(2)).unwrap()
    );
    assert_eq!(
        row["weeks"][1]["plan"]["before"],
        json!([["rice and chickpeas", "rice and chickpeas"]])
    );
    // What was served once rests: chickpeas alone, twice, from three tins.
    assert_eq!(row["weeks"][1]["sums"]["bill"], 360);
}

#[test]
fn no_day_is_planned_twice() {
    let (folder, place) = kitchen();
    let (mut told, _) = first(folder.path(), &place, &[]);
    told["week"]["carry_day"] = json!(2);
    let bad = file(folder.path(), "bad.json", told.to_string());
    let output = run(&["week", &place, "--after", &bad]);
    assert_eq!(code(&output), 2);
    let said = said(&output);
    assert!(
        said.contains("`carry_day` is 2, and the plan has 2 lunches"),
        "{said}"
    );
}

#[test]
fn what_cannot_be_written_is_found_out_before_the_search() {
    let (folder, place) = kitchen();
    let taken = file(folder.path(), "taken", "");
    let output = run(&["weeks", "2", &place, "--plans", &taken]);
    assert_eq!(code(&output), 2);
    let said = said(&output);
    assert!(
        said.contains("cannot make the folder") && !said.contains("week 1:"),
        "{said}"
    );
}

#[test]
fn the_former_week_stands_in_the_place_of_the_stock() {
    let (folder, place) = kitchen();
    let (told, one) = first(folder.path(), &place, &[]);
    assert_eq!(
        told["kept"],
        json!([{"food": "rice", "label": "500 g bag", "units": 1, "opened": true,
            "left_mg": 300_000, "ready_from": 1, "good_until": 300, "open_keeps": null,
            "end": 300, "unit_value_nano": 400_000}])
    );
    let output = run(&["week", &place, "--after", &one, "--format", "json"]);
    assert_eq!(code(&output), 0);
    let week = json_of(&output);
    let rice = (week["leftovers"].as_array().unwrap().iter())
        .filter(|row| row["on_hand"] == true)
        .collect::<Vec<_>>();
    // Not the gram of the kitchen's own stock; and good to day 300 - 4.
    assert_eq!(rice.len(), 1);
    assert_eq!(
        (&rice[0]["bought_mg"], &rice[0]["good_until"]),
        (&json!(300_000), &json!(296))
    );
    assert!(
        said(&output).contains("in the place of the kitchen's own stock"),
        "{}",
        said(&output)
    );
    // A row is come after by its last week.
    let row = run(&["weeks", "1", &place, "--format", "json"]);
    let row = file(folder.path(), "row.json", row.stdout);
    let after_row = run(&["week", &place, "--after", &row, "--format", "json"]);
    assert_eq!(after_row.stdout, output.stdout);
    // Every command that finds a week can come after one.
    let list = run(&["list", &place, "--after", &one]);
    assert!(
        String::from_utf8(list.stdout)
            .unwrap()
            .contains("Total $1.20")
    );
}

#[test]
fn what_finishers_take_is_not_handed_on() {
    let (folder, place) = kitchen();
    let (told, one) = first(folder.path(), &place, &["--finish", "1"]);
    // A box of raisins, 10 g on each of two lunches.
    assert_eq!(told["finishers"]["bought"][0]["food"], "raisins");
    let left = |kept: &Value| {
        let mut raisins = kept.as_array().unwrap().iter();
        let raisins = raisins.find(|unit| unit["food"] == "raisins");
        raisins.map(|unit| unit["left_mg"].clone())
    };
    assert_eq!(left(&told["kept"]), Some(json!(80_000)));
    let options = ["--finish", "free", "--format", "json"];
    let two = run(&[&["week", &place, "--after", &one][..], &options].concat());
    assert_eq!(left(&json_of(&two)["kept"]), Some(json!(60_000)));
}

#[test]
fn a_row_stops_where_a_week_is_impossible_or_not_proved() {
    let (_folder, place) = kitchen();
    let output = run(&["weeks", "5", &place, "--rest", "2", "--format", "json"]);
    assert_eq!(code(&output), 1);
    let row = json_of(&output);
    assert_eq!(row["outcome"], "impossible");
    assert_eq!(row["weeks"].as_array().unwrap().len(), 3);
    assert!(row["weeks"][2]["sums"].is_null());
    assert_eq!(row["totals"]["bill"], 320 + 360);
    let text = run(&["weeks", "5", &place, "--rest", "2"]);
    let text = String::from_utf8(text.stdout).unwrap();
    for words in [
        "before week 3 of 5",
        "no week keeps all the rules",
        "THE WEEKS TOGETHER",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let output = run(&["weeks", "3", "--limit", "0", "--format", "json"]);
    assert_eq!(code(&output), 3);
    let row = json_of(&output);
    assert_ne!(row["outcome"], "best");
    assert_eq!(row["weeks"].as_array().unwrap().len(), 1);
}

#[test]
fn a_price_on_recipes_served_before_is_paid_or_avoided() {
    let (folder, place) = kitchen();
    let (_, one) = first(folder.path(), &place, &[]);
    let ask = |again: &str| {
        let output = run(&[
            "week", &place, "--after", &one, "--again", again, "--format", "json",
        ]);
        assert_eq!(code(&output), 0, "{}", said(&output));
        json_of(&output)
    };
    // Served again the week costs 1.20 and two prices. One of each takes two tins, 2.40, and
    // one price: dearer by 1.20 less a price. Both alone: three tins, 3.60.
    let cheap = ask("1.19");
    assert_eq!(
        (&cheap["bill"], &cheap["objective"]["preferences"]),
        (&json!(120), &json!(238))
    );
    let dear = ask("1.21@4");
    assert_eq!(
        (&dear["bill"], &dear["objective"]["preferences"]),
        (&json!(360), &json!(0))
    );
}

#[test]
fn options_that_need_a_former_week_say_so() {
    let (folder, place) = kitchen();
    let (_, one) = first(folder.path(), &place, &[]);
    for (options, hint) in [
        (
            &["--rest", "1"][..],
            "--rest: there is no week before this one",
        ),
        (&["--again", "1"], "--again: there is no week"),
        (&["--days-on", "7"], "--days-on: there is no week"),
        (&["--rest", "0"], "from 1 to 52"),
        (&["--after", &one, "--again", "x@1"], "--again x@1"),
        (&["--after", &one, "--again", "1.234"], "--again 1.234"),
        (&["--after", &one, "--again", "1@0"], "--again 1@0"),
        (
            &["--after", &one, "--days-on", "1"],
            "--days-on 1: the week before has lunches on 2 days",
        ),
        (&["--after", "/nowhere/at/all.json"], "/nowhere/at/all.json"),
        (&["--after", &place], "--after"),
    ] {
        let output = run(&[&["week", &place], options].concat());
        assert_eq!(code(&output), 2, "{options:?}");
        assert!(output.stdout.is_empty());
        assert!(
            said(&output).contains(hint),
            "{options:?}: {}",
            said(&output)
        );
    }
    assert_eq!(code(&run(&["weeks", "0", &place])), 2);
    assert_eq!(code(&run(&["weeks", "27", &place])), 2);
}

#[test]
fn more_days_on_may_lose_what_was_kept() {
    let (folder, place) = kitchen();
    let (_, one) = first(folder.path(), &place, &[]);
    // The rice is good to day 300: on day 300 the prep day alone, from day 301 on not at all.
    for (days, units, lost) in [("300", 1, false), ("301", 0, true)] {
        let output = run(&["week", &place, "--after", &one, "--days-on", days]);
        assert_eq!(code(&output), 0);
        let said = said(&output);
        assert!(said.contains(&format!("{units} unit")), "{said}");
        assert_eq!(
            said.contains("no longer good now: rice (500 g bag)"),
            lost,
            "{said}"
        );
    }
}

#[test]
fn every_fault_of_a_former_plan_is_told_at_once_with_its_line() {
    let (folder, place) = kitchen();
    let (told, _) = first(folder.path(), &place, &[]);
    let mut bad = told.clone();
    bad["currency"] = json!({"code": "EUR", "digits": 2});
    let unit = told["kept"][0].clone();
    let with = |key: &str, value: Value| {
        let mut unit = unit.clone();
        unit[key] = value;
        unit
    };
    bad["kept"] = json!([
        with("food", json!("rise")),
        with("left_mg", json!(-5)),
        with("left_mg", json!(1.5)),
        with("good_until", json!(4)),
        with("opened", json!("yes")),
        with("open_keeps", json!(3)),
        with("sugar", json!(1)),
        with("units", json!(0)),
        "rice",
    ]);
    let text = serde_json::to_string_pretty(&bad).unwrap();
    let path = file(folder.path(), "bad.json", &text);
    let output = run(&["week", &place, "--after", &path, "--cap-families"]);
    assert_eq!(code(&output), 2);
    let said = said(&output);
    for words in [
        "the plan's money is EUR with 2 digits, and this kitchen's is USD",
        "there is no food `rise` in this kitchen",
        "did you mean `rice`?",
        "`-5` is below zero",
        "`1.5` has too many digits",
        "it is good until 4 only, and kept is what is good on `carry_day: 5`",
        "`opened` must be true or false",
        "`open_keeps` is for sealed units",
        "a kept unit has no key `sugar`",
        "`0` is outside the limits",
        "a kept unit must be a mapping",
        // And the faults of other options beside them.
        "--cap-families",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let line = 1 + text.lines().position(|line| line.contains("rise")).unwrap();
    assert!(
        said.contains(&format!("bad.json:{line}:")),
        "line {line}: {said}"
    );
}

#[test]
fn what_is_no_plan_is_refused() {
    let (folder, place) = kitchen();
    let (told, _) = first(folder.path(), &place, &[]);
    let plain = serde_json::to_string(&told).unwrap();
    let change = |key: &str, value: Value| {
        let mut told = told.clone();
        told[key] = value;
        told.to_string()
    };
    let mut old = told.clone();
    old.as_object_mut().unwrap().remove("kept");
    let deep = format!("{{\"a\": {}{}}}", "[".repeat(90), "]".repeat(90));
    let big = format!("{}{}", plain, " ".repeat(9 << 20));
    for (text, hint) in [
        (String::new(), "this is not JSON"),
        ("kitchen: two lunches".to_owned(), "this is not JSON"),
        ("[]".to_owned(), "this is no plan of a week"),
        (
            "{}".to_owned(),
            "it lacks `outcome`, `currency`, `week` or `lunches`",
        ),
        (plain[..plain.len() / 2].to_owned(), "this is not JSON"),
        (old.to_string(), "it lacks `kept`"),
        (
            change("outcome", json!("impossible")),
            "the plan holds no week",
        ),
        (change("lunches", json!([])), "the plan has no lunches"),
        (change("lunches", json!([{}])), "a lunch lacks `recipe`"),
        (change("week", json!({})), "lacks `carry_day`"),
        (
            change("week", json!({"carry_day": -1})),
            "`-1` is below zero",
        ),
        (change("before", json!({})), "`before` must be a list"),
        (
            plain.replacen('{', "{\"kept\": [], ", 1),
            "the key `kept` stands twice",
        ),
        (deep, "deep inside each other"),
        (big, "more than 8388608 bytes"),
        (
            plain
                .replace("\"left_mg\":300000", "\"left_mg\":1000000000")
                .replace(
                    "\"unit_value_nano\":400000",
                    "\"unit_value_nano\":999999999999999",
                ),
            "added up exactly",
        ),
    ] {
        let path = file(folder.path(), "no.json", &text);
        let output = run(&["week", &place, "--after", &path]);
        assert_eq!(code(&output), 2, "{hint}: {}", said(&output));
        assert!(said(&output).contains(hint), "{hint}: {}", said(&output));
    }
    let path = file(folder.path(), "no.json", [0xff, 0xfe, b'{']);
    assert_eq!(code(&run(&["week", &place, "--after", &path])), 2);
    // Other names only make one look twice.
    let path = file(
        folder.path(),
        "renamed.json",
        change("kitchen", json!("another")),
    );
    let output = run(&["week", &place, "--after", &path, "--rest", "3"]);
    assert!(
        said(&output).contains("the plan is of `another`"),
        "{}",
        said(&output)
    );
    assert!(
        said(&output).contains("tells of 1 week only"),
        "{}",
        said(&output)
    );
    let gone = plain.replace("rice and chickpeas", "rice with chickpeas");
    let path = file(folder.path(), "gone.json", gone);
    let output = run(&["week", &place, "--after", &path, "--rest", "1"]);
    assert_eq!(code(&output), 0);
    assert!(
        said(&output).contains("no recipe here any more; if it is now called `rice and chickpeas`"),
        "{}",
        said(&output)
    );
}

#[test]
fn no_bytes_make_the_reader_panic() {
    let (folder, place) = kitchen();
    let (_, one) = first(folder.path(), &place, &[]);
    let larder = scant::kitchen::read_dir(Path::new(&place)).larder.unwrap();
    let bytes = fs::read(one).unwrap();
    let read = |bytes: Vec<u8>| scant::kitchen::read_former("p.json", bytes, &larder);
    assert!(read(bytes.clone()).former.is_some());
    // The last byte is the line break.
    for at in (0..bytes.len() - 1).step_by(7) {
        let cut = read(bytes[..at].to_vec());
        assert!(
            cut.former.is_none() && !cut.faults.is_empty(),
            "cut at {at}"
        );
        for byte in [b'0', b'-', b'"', b'{', b']', 0, 0xc3] {
            let mut other = bytes.clone();
            other[at] = byte;
            let read = read(other);
            assert_eq!(read.former.is_none(), !read.faults.is_empty(), "at {at}");
        }
    }
}

#[test]
fn the_schema_describes_what_is_printed() {
    let schema = json_of(&run(&["schema", "weeks"]));
    let keys = |value: &Value| -> Vec<String> {
        let mut keys: Vec<String> = value.as_object().unwrap().keys().cloned().collect();
        keys.sort();
        keys
    };
    let (_folder, place) = kitchen();
    let row = json_of(&run(&["weeks", "1", &place, "--format", "json"]));
    assert_eq!(keys(&row), keys(&schema["properties"]));
    let defs = &schema["$defs"];
    assert_eq!(
        keys(&row["totals"]),
        keys(&defs["RowSumsShape"]["properties"])
    );
    assert_eq!(
        keys(&row["weeks"][0]),
        keys(&defs["RowWeekShape"]["properties"])
    );
    let kept = &row["weeks"][0]["plan"]["kept"][0];
    assert_eq!(keys(kept), keys(&defs["KeptShape"]["properties"]));
}

#[test]
fn the_demo_hands_on_week_by_week() {
    // Without bread each week is proved in a moment; of ten foods there is no fourth one.
    let output = run(&[
        "weeks",
        "4",
        "--without",
        "bread",
        "--cap",
        "11",
        "--format",
        "json",
    ]);
    let row = json_of(&output);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let weeks = row["weeks"].as_array().unwrap();
    assert_eq!(weeks.len(), 4);
    let mut handed = weeks[0]["sums"]["on_hand_mg"].as_i64().unwrap();
    for week in weeks {
        let sum = |key: &str| week["sums"][key].as_i64().unwrap();
        assert_eq!(sum("on_hand_mg"), handed);
        assert_eq!(
            sum("on_hand_mg") + sum("bought_mg"),
            sum("used_mg") + sum("spoiled_mg") + sum("kept_mg")
        );
        handed = sum("kept_mg");
        let units = week["plan"]["kept"].as_array().unwrap().iter();
        let kept = units.map(|u| u["units"].as_i64().unwrap() * u["left_mg"].as_i64().unwrap());
        assert_eq!(kept.sum::<i64>(), handed);
    }
}
