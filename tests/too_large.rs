//! Asks what becomes of options and questions whose figures are larger than a kitchen may have:
//! a fault that names the option and ends with 2, or a question that is not asked. Never "no
//! week", never our own fault (4).
//!
//! The truth is the kitchen file: what it may not say, no option may. How many eaters a kitchen
//! bears is not known here but taken from the remedy, and held against the file on both sides.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use scant::larder::Larder;
use serde_json::{Value, json};

/// One lunch, spice by the jar; prices invented, and no pound of it was ever so dear.
const DEAR: &str = "\
kitchen: dear
currency: CLF
week: { lunches: 1, eaters: 1 }
foods:
  - food: saffron
    nutrients: { energy: 310 }
    source: invented
    packs: [{ pack: jar, size: 100 g, price: 10000, keeps: 300, open_keeps: 300 }]
  - food: rice
    nutrients: { energy: 360 }
    source: invented
    packs: [{ pack: bag, size: 500 g, price: 1, keeps: 300, open_keeps: 300 }]
recipes:
  - { recipe: saffron rice, form: bowl, lines: [{ food: saffron, amount: 100 g }] }
  - { recipe: plain rice, form: bowl, lines: [{ food: rice, amount: 100 g }] }
";

/// An everyday kitchen: two lunches, two packs.
const PLAIN: &str = "\
kitchen: two lunches
currency: USD
week: { lunches: 2, carry_day: 5 }
foods:
  - food: rice
    table: \"20036\"
    packs: [{ pack: 500 g bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
  - food: chickpeas
    table: \"16359\"
    packs: [{ pack: 250 g tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }]
recipes:
  - recipe: rice and chickpeas
    form: bowl
    lines: [{ food: rice, amount: 100 g }, { food: chickpeas, amount: 125 g }]
  - recipe: chickpeas alone
    form: salad
    lines: [{ food: chickpeas, amount: 375 g }]
rules: { repeats: 2 }
";

fn run(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scant"));
    command.args(args).output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Words without the breaks and bars that a fault of a file is set with.
fn words(text: &str) -> String {
    let words = text
        .split_whitespace()
        .filter(|&word| !["|", "│"].contains(&word));
    words.collect::<Vec<_>>().join(" ")
}

fn kitchen(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    folder
}

fn path(folder: &Path) -> &str {
    folder.to_str().unwrap()
}

fn eaters(n: i64) -> Output {
    let folder = kitchen(DEAR);
    run(&[
        "week",
        path(folder.path()),
        "--brief",
        "--eaters",
        &n.to_string(),
    ])
}

fn eaters_in_the_file(n: i64) -> Output {
    let folder = kitchen(&DEAR.replace("eaters: 1", &format!("eaters: {n}")));
    run(&["week", path(folder.path()), "--brief"])
}

#[test]
fn eaters_beyond_what_adds_up_are_a_fault_as_in_the_file() {
    let sentence = "the figures of `saffron rice` are so large that a week of it could not be \
                    added up exactly";
    let (option, file) = (eaters(100), eaters_in_the_file(100));
    for output in [&option, &file] {
        assert_eq!(code(output), 2, "{}", said(output));
        assert!(words(&said(output)).contains(sentence), "{}", said(output));
        let largest = "exactly: the largest part is what `saffron` can cost";
        assert!(words(&said(output)).contains(largest), "{}", said(output));
        assert!(output.stdout.is_empty());
    }
    let said = said(&option);
    assert!(said.contains("fault: --eaters 100: the figures"), "{said}");
    // The remedy is one: so many pass, one more does not, here and in the file.
    let most = said
        .split("write ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next());
    let most: i64 = most
        .and_then(|n| n.parse().ok())
        .unwrap_or_else(|| panic!("{said}"));
    assert!((1..100).contains(&most), "{said}");
    for (n, expected) in [(most, 0), (most + 1, 2)] {
        assert_eq!(code(&eaters(n)), expected, "--eaters {n}");
        assert_eq!(code(&eaters_in_the_file(n)), expected, "eaters: {n}");
    }
}

#[test]
fn no_command_takes_what_does_not_add_up_and_none_leaves_a_file() {
    let folder = kitchen(DEAR);
    let place = path(folder.path());
    let out = folder.path().join("out");
    let file = path(&out);
    for command in [
        vec!["week", place],
        vec!["weeks", "2", place],
        vec!["tradeoffs", place],
        vec!["prep", place],
        vec!["recipes", place],
        vec!["list", place, "--csv", file],
        vec!["program", place, "--lp", file],
    ] {
        let output = run(&[&command[..], &["--eaters", "100", "--cap", "7"]].concat());
        assert_eq!(code(&output), 2, "{command:?}: {}", said(&output));
        assert!(said(&output).contains("--eaters 100"), "{}", said(&output));
        assert!(!said(&output).contains("--cap"), "{}", said(&output));
        assert!(output.stdout.is_empty() && !out.exists(), "{command:?}");
    }
}

#[test]
fn every_option_may_go_to_its_limit_and_no_further() {
    let folder = kitchen(PLAIN);
    let place = path(folder.path());
    let plan = run(&["week", place, "--format", "json", "--brief"]);
    let former = folder.path().join("former.json");
    fs::write(&former, &plan.stdout).unwrap();
    let former = path(&former);
    let after = &["--after", former][..];
    let none = &[][..];
    for (beside, option, last, beyond) in [
        (none, "--cap", "100000", "100001"),
        (none, "--cap", "0", "-1"),
        (none, "--budget", "100000", "100000.01"),
        (none, "--budget", "0", "0.001"),
        (none, "--eaters", "1000", "1000.001"),
        (none, "--eaters", "0.001", "0"),
        (after, "--days-on", "3650", "3651"),
        (after, "--days-on", "2", "1"),
        (after, "--rest", "52", "53"),
        (after, "--rest", "1", "0"),
        (after, "--again", "100000@52", "100000.01@52"),
        (after, "--again", "0@1", "0@53"),
    ] {
        let with = |value: &str| {
            let typed = format!("{option}={value}");
            run(&[&["week", place, "--brief", &typed], beside].concat())
        };
        let passed = with(last);
        assert!(code(&passed) < 2, "{option} {last}: {}", said(&passed));
        let refused = with(beyond);
        assert_eq!(code(&refused), 2, "{option} {beyond}: {}", said(&refused));
        assert!(said(&refused).contains(option), "{}", said(&refused));
    }
    let within = |money: &str| run(&["tradeoffs", place, "--only", "reuse", "--within", money]);
    assert_eq!(code(&within("100000")), 0);
    assert_eq!(code(&within("100000.01")), 2);
    assert!(said(&within("100000.01")).contains("--within"));
}

/// What a former week left is worth so much that, a thousand times over, it does not add up.
#[test]
fn what_was_kept_or_rests_beyond_what_adds_up_is_a_fault() {
    let heavy = DEAR.replace("recipes:", "aims: { spoil_weight: 1000 }\nrecipes:");
    let heavy = heavy.replace("price: 10000,", "price: 1,");
    let folder = kitchen(&heavy);
    let place = path(folder.path());
    let plan = run(&["week", place, "--format", "json", "--brief"]);
    assert_eq!(code(&plan), 0, "{}", said(&plan));
    let mut plan: Value = serde_json::from_slice(&plan.stdout).unwrap();
    let mut kept = plan["kept"][0].clone();
    kept["left_mg"] = json!(1_000_000);
    kept["unit_value_nano"] = json!(900_000_000_000_i64);
    plan["kept"] = json!([kept]);
    let former = folder.path().join("former.json");
    fs::write(&former, plan.to_string()).unwrap();
    let output = run(&["week", place, "--brief", "--after", path(&former)]);
    assert_eq!(code(&output), 2, "{}", said(&output));
    let told = words(&said(&output));
    assert!(
        told.contains("--after") && told.contains("the week before left"),
        "{told}"
    );
    assert!(told.contains("too large to add up exactly"), "{told}");

    // Forty recipes served before, at the highest price each.
    let recipe = |n| {
        format!("  - {{ recipe: r{n}, form: bowl, lines: [{{ food: rice, amount: 50 g }}] }}\n")
    };
    let many = (0..40).map(recipe).collect::<Vec<_>>().concat();
    let folder = kitchen(&(DEAR.replace("price: 10000,", "price: 1,") + &many));
    let place = path(folder.path());
    let names: Vec<String> = (0..40).map(|n| format!("r{n}")).collect();
    plan["kept"] = json!([]);
    plan["before"] = json!(names.chunks(10).collect::<Vec<_>>());
    let former = folder.path().join("former.json");
    fs::write(&former, plan.to_string()).unwrap();
    let again = |price: &str| {
        let after = path(&former);
        run(&["week", place, "--brief", "--after", after, "--again", price])
    };
    let output = again("100000@5");
    assert_eq!(code(&output), 2, "{}", said(&output));
    let told = words(&said(&output));
    assert!(
        told.contains("--again 100000@5: ") && told.contains("lower it"),
        "{told}"
    );
    assert_eq!(code(&again("0.5@5")), 0);
}

/// The kitchen at the highest price of a jar that four eaters bear.
fn for_four() -> String {
    let text = |price: i64| {
        let money = format!("price: {}.{:04},", price / 10_000, price % 10_000);
        DEAR.replace("price: 10000,", &money).replace(
            "amount: 100 g }] }\n  - { recipe: plain",
            "amount: 1 kg }] }\n  - { recipe: plain",
        )
    };
    let read = |text: String| {
        let read = scant::kitchen::read_texts(vec![("dear.yaml".to_owned(), text.into_bytes())]);
        read.larder
    };
    let bears = |price: i64| {
        let larder = read(text(price));
        larder.is_some_and(|larder: Larder| {
            larder
                .changed(|new| new.week.eaters_milli.fill(4_000))
                .is_ok()
        })
    };
    let (mut low, mut high) = (10_000, 1_000_000_000);
    assert!(bears(low) && !bears(high));
    while high - low > 1 {
        let middle = i64::midpoint(low, high);
        if bears(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    text(low)
}

#[test]
fn questions_beyond_what_adds_up_are_not_asked_and_said_so() {
    let folder = kitchen(&for_four());
    let place = path(folder.path());
    let ask = |more: &[&str]| run(&[&["tradeoffs", place], more].concat());
    let output = ask(&["--only", "eaters", "--format", "json"]);
    assert_eq!(code(&output), 3, "{}", said(&output));
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&told["outcome"], &told["settled"]),
        (&json!("best"), &json!(false))
    );
    for (n, row) in (1..).zip(told["eaters"].as_array().unwrap()) {
        let case = &row["case"];
        if n <= 4 {
            assert_eq!(case["outcome"], "best", "{n} eaters");
        } else {
            assert_eq!(case["outcome"], "not_asked", "{n} eaters");
            for empty in ["week", "more", "at_least", "switch"] {
                assert_eq!(case[empty], Value::Null, "{n} eaters, {empty}");
            }
            assert_eq!(row["bill_a_portion"], Value::Null);
        }
    }
    // The four that were answered, one of them the kitchen's own.
    assert_eq!(told["solved"], 4);

    let output = ask(&["--only", "eaters"]);
    assert_eq!(code(&output), 3);
    let text = words(&String::from_utf8(output.stdout).unwrap());
    assert_eq!(
        text.matches("not asked (figures too large)").count(),
        4,
        "{text}"
    );
    assert!(
        text.contains("not every question above is settled"),
        "{text}"
    );
    assert!(!text.contains("no week"), "{text}");
}

#[test]
fn all_sections_of_the_dearest_kitchens_end_without_a_fault_of_ours() {
    // The kitchen's own figures at the edge: prices a hundred times over and bills in smaller
    // units are out of the question, and everything else is answered.
    let edge = for_four().replace("eaters: 1", "eaters: 4") + "rules: { with: [saffron rice] }\n";
    let dearest = DEAR.replace("price: 1,", "price: 100,");
    for text in [edge, dearest, DEAR.to_owned()] {
        let folder = kitchen(&text);
        let output = run(&["tradeoffs", path(folder.path()), "--format", "json"]);
        assert!([0, 3].contains(&code(&output)), "{}", said(&output));
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(told["outcome"], "best");
        // A price range ends where it is best, at a price a kitchen may have.
        let ranges = told["prices"].as_array().unwrap();
        assert!(!ranges.is_empty());
        for range in ranges {
            assert_eq!(range["high"]["settled"], true, "{range}");
            let (price, high) = (&range["price"], &range["high"]["price"]);
            let (price, high) = (price.as_i64().unwrap(), high.as_i64().unwrap());
            assert!((price..=1_000_000_000).contains(&high), "{range}");
        }
    }
}
