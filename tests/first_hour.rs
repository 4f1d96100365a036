//! Question: does a kitchen of one's own cost an hour or a few minutes? A kitchen is built from
//! nothing by commands alone and ends in a proved week, with all that was typed counted; what `add`
//! writes, `check` passes; price lists are read as RFC 4180 has them.
//!
//! Truth: days typed from the published tables (FoodKeeper data, version 128, 2018; University of
//! Illinois Extension, Leftovers: 3 to 4 days for cooked food); sums done by hand beside each kitchen;
//! RFC 4180 for quotes and line ends.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use scant::kitchen::sketch::{Bought, Sketch};
use scant::kitchen::{Read, read_dir_on, read_texts, render};
use scant::larder::Ingredient;
use scant::{report, table};
use serde_json::Value;

fn scant(folder: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scant"));
    command.args(args).current_dir(folder).output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&[&output.stdout[..], &output.stderr[..]].concat()).into_owned()
}

fn read(text: &str) -> Read {
    read_texts(vec![("kitchen.yaml".to_owned(), text.as_bytes().to_vec())])
}

/// Splits a line as a shell does: words by spaces, quotes around words with spaces.
fn words(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (at, part) in line.split('"').enumerate() {
        if at % 2 == 1 {
            out.push(part.to_owned());
        } else {
            out.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    out
}

/// What the task began with: 38 foods, 14 recipes and 8 components took 383 lines typed, 53 look-ups
/// and 22 faults at the first check. Halved twice, a quarter: 95 lines, 13 look-ups, 5 faults.
#[test]
fn a_kitchen_from_nothing_by_commands_alone_ends_in_a_proved_week() {
    let folder = tempfile::tempdir().unwrap();
    let started = scant(folder.path(), &["start", "kitchen", "--bare"]);
    assert_eq!(code(&started), 0, "{}", said(&started));
    let folder = folder.path().join("kitchen");
    let script = include_str!("first_hour/boatyard.txt");
    let lines = script.lines().filter(|line| !line.starts_with('#'));
    let (mut typed, mut strokes, mut looked_up) = (0, 0, 0);
    for line in lines {
        let words = words(line);
        let args: Vec<&str> = words.iter().map(String::as_str).collect();
        let output = scant(&folder, &args);
        assert_eq!(code(&output), 0, "{line}\n{}", said(&output));
        typed += 1;
        // `scant`, the space and the return behind it.
        strokes += line.chars().count() + 7;
        looked_up += usize::from(line.contains("--table"));
    }
    let check = scant(&folder, &["check", ".", "--format", "json"]);
    assert_eq!(code(&check), 0, "{}", said(&check));
    let told: Value = serde_json::from_slice(&check.stdout).unwrap();
    assert_eq!(told["counts"]["faults"], 0);
    assert_eq!(
        told["counts"]["keeping_times"], 0,
        "{}",
        told["keeping_times"]
    );
    let text = fs::read_to_string(folder.join("kitchen.yaml")).unwrap();
    let count = |key: &str| text.lines().filter(|line| line.starts_with(key)).count();
    let (foods, recipes) = (count("  - food:"), count("  - recipe:"));
    assert_eq!((foods, recipes, count("  - component:")), (36, 14, 4));
    assert!(
        typed <= 95 && looked_up <= 13 && strokes < 6_000,
        "{typed} {looked_up} {strokes}"
    );
    let week = scant(&folder, &["week", ".", "--brief", "--format", "json"]);
    assert_eq!(code(&week), 0, "{}", said(&week));
    let week: Value = serde_json::from_slice(&week.stdout).unwrap();
    assert_eq!(week["outcome"], "best");
}

#[test]
fn the_bare_start_is_short_and_says_what_to_add() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(code(&scant(folder.path(), &["start", "k", "--bare"])), 0);
    let file = folder.path().join("k/kitchen.yaml");
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.lines().count() < 60);
    let check = scant(folder.path(), &["check", "k"]);
    assert_eq!(code(&check), 0);
    assert!(
        said(&check).contains("no faults, no warnings"),
        "{}",
        said(&check)
    );
    let week = scant(folder.path(), &["week", "k", "--brief"]);
    assert_eq!(code(&week), 0, "{}", said(&week));
    // Two recipes, each once, for five lunches: three are lacking.
    fs::write(&file, text.replace("repeats: 3", "repeats: 1")).unwrap();
    let week = scant(folder.path(), &["week", "k"]);
    assert_eq!(code(&week), 1);
    assert!(
        said(&week).contains("Too few recipes: there are 2"),
        "{}",
        said(&week)
    );
}

const HEAD: &str = "currency: USD\nweek: {lunches: 1}\n";
const LUNCH: &str = "recipes: [{recipe: Lunch, form: bowl, lines: [{food: a, amount: 300 g}]}]\n";

fn with_pack(table: &str, pack: &str) -> Read {
    read(&format!(
        "{HEAD}{LUNCH}foods: [{{food: a, table: \"{table}\", packs: [{{{pack}, price: 1}}]}}]\n"
    ))
}

/// Row, pack, and the published days unopened and opened.
const PUBLISHED: [(&str, &str, i32, i32); 6] = [
    // FoodKeeper: canned goods, low acid: 2 to 5 years on a shelf, 3 to 4 days opened, refrigerated.
    ("16358", "pack: 400 g tin, size: 400 g", 1_825, 4),
    // FoodKeeper: carrots, 2 to 3 weeks.
    ("11124", "pack: bag, size: 1 kg", 21, 21),
    // FoodKeeper: tofu, a week; opened, food press: 3 to 5 days.
    ("16126", "pack: block, size: 400 g", 7, 5),
    // FoodKeeper: tahini, a year; opened, refrigerated, 3 weeks... as `scant foods 12166` has it.
    ("12166", "pack: jar, size: 300 g", 365, 21),
    // Food press: a ripe avocado 3 days, cut 1 to 2.
    ("09037", "pack: one, size: 200 g, stage: ripe", 3, 2),
    // Virginia Cooperative Extension: brown rice 6 months; opened no longer than unopened.
    ("20036", "pack: bag, size: 1 kg", 180, 180),
];

#[test]
fn keeping_times_left_out_are_the_published_ones_and_told_with_their_source() {
    for (row, pack, sealed, opened) in PUBLISHED {
        let read = with_pack(row, pack);
        let larder = read
            .larder
            .as_ref()
            .unwrap_or_else(|| panic!("{}", render::report(&read)));
        let pack = &larder.packs[0];
        assert_eq!((pack.ready_to, pack.open_life), (sealed, opened), "{row}");
        assert!(read.times.is_empty(), "{row}");
        assert_eq!(read.put_in.len(), 2);
        let told = report::put_in(&read.put_in);
        assert!(
            ["FoodKeeper", "food press", "348-960"]
                .iter()
                .any(|source| told.contains(source)),
            "{told}"
        );
    }
    // A hard avocado is not ripe on the day it is bought, and a maker's date is the maker's.
    for pack in [
        "pack: one, size: 200 g, stage: hard",
        "pack: one, size: 200 g",
        "pack: one, size: 200 g, stage: ripe, dated: true",
    ] {
        let told = with_pack("09037", pack).faults;
        assert!(
            told.iter()
                .any(|fault| fault.what.contains("lacks `keeps`")),
            "{pack}"
        );
    }
    // Of a food nobody published anything of nothing is put in.
    let own = read(&format!(
        "{HEAD}{LUNCH}foods: [{{food: a, nutrients: {{energy: 1}}, source: s, packs: [{{pack: p, size: 1 kg, \
         price: 1}}]}}]\n"
    ));
    assert_eq!(own.tally.faults, 2, "{}", render::report(&own));
}

#[test]
fn cooked_food_that_does_not_say_keeps_three_days() {
    let kitchen = |keeps: &str| {
        read(&format!(
            "{HEAD}recipes: [{{recipe: Lunch, form: bowl, lines: [{{component: c, amount: 300 g}}]}}]\n\
             components: [{{component: c, makes: 1 kg, from: [{{food: a, amount: 400 g}}]{keeps}}}]\n\
             foods: [{{food: a, table: \"20036\", packs: [{{pack: p, size: 1 kg, price: 1}}]}}]\n"
        ))
    };
    let left_out = kitchen("");
    assert_eq!(left_out.larder.as_ref().unwrap().components[0].keeps, 3);
    assert!(left_out.times.is_empty());
    // Thirty days are told: cooked food keeps 3 to 4 (University of Illinois Extension).
    let long = kitchen(", keeps: 30");
    assert_eq!(long.tally.times, 1);
    assert!(
        long.times[0].what.contains("4 days"),
        "{}",
        long.times[0].what
    );
}

#[test]
fn figures_marked_as_assumed_are_listed_until_the_mark_is_gone() {
    let pack = "pack: p, size: 1 kg, keeps: 5, open_keeps: 2";
    assert!(with_pack("16126", pack).put_in.is_empty());
    let read = with_pack("16126", &format!("{pack}, assumed: [keeps]"));
    assert_eq!((read.put_in.len(), read.put_in[0].days), (1, 5));
    assert!(report::put_in(&read.put_in).contains("NO SOURCE"));
    for wrong in ["[price]", "[keeps, ends]", "keeps"] {
        let read = with_pack("16126", &format!("{pack}, assumed: {wrong}"));
        assert!(!read.faults.is_empty(), "{wrong}");
    }
    let read = with_pack(
        "16126",
        "pack: p, size: 1 kg, keeps: 5, assumed: [open_keeps]",
    );
    assert!(!read.faults.is_empty());
}

/// By hand: 400 g for four are 100 g each, 2 cups of carrots for four half a cup; of 900 g of rice
/// for three batches 300 g go into one.
#[test]
fn amounts_for_the_pot_are_shared_out() {
    let read = read(
        "currency: USD\nweek: {lunches: 1}\n\
         foods:\n\
         - {food: rice, table: \"20036\", packs: [{pack: p, size: 1 kg, price: 1}]}\n\
         - {food: carrots, table: \"11124\", packs: [{pack: p, size: 1 kg, price: 1}]}\n\
         components:\n\
         - {component: cooked rice, makes: 1 kg, scale: 3, from: [{food: rice, amount: 900 g}]}\n\
         recipes:\n\
         - recipe: Lunch\n  form: bowl\n  serves: 4\n  lines:\n\
         \x20 - {food: rice, amount: 400 g}\n\
         \x20 - one_of: [{food: carrots, amount: 2 cup chopped}, {component: cooked rice, amount: 1 kg}]\n",
    );
    let larder = read
        .larder
        .as_ref()
        .unwrap_or_else(|| panic!("{}", render::report(&read)));
    let lines = &larder.recipes[0].lines;
    assert_eq!(lines[0].alternatives[0].mg, 100_000);
    // A cup of chopped carrots is 128 g in the table.
    assert_eq!(lines[1].alternatives[0].mg, 64_000);
    assert_eq!(lines[1].alternatives[0].written, "1/2 cup chopped");
    assert_eq!(lines[1].alternatives[1].mg, 250_000);
    assert!(matches!(
        lines[1].alternatives[1].what,
        Ingredient::Component(_)
    ));
    assert_eq!(larder.components[0].foods[0].1, 300_000);
    for wrong in ["0", "-1", "1.5", "many", "1001"] {
        let text = format!(
            "{HEAD}foods: []\nrecipes: [{{recipe: r, form: f, serves: {wrong}, lines: []}}]\n"
        );
        let told = self::read(&text).faults;
        assert!(
            told.iter().any(|fault| fault.what.contains("serves")),
            "{wrong}"
        );
    }
}

/// Every row that was named by hand, in packs of several kinds, as `add` writes it: `check` has no
/// fault to find, and no time is longer than the published one.
#[test]
fn what_add_writes_check_passes_for_every_food() {
    let rows: Vec<_> = table::rows().iter().filter(|row| row.named).collect();
    assert!(rows.len() > 400);
    for (pack, loose, staple) in [
        ("400 g tin", false, false),
        ("500 g frozen bag", false, false),
        ("3 x 200 g jars", false, false),
        ("100 g", true, false),
        ("250 g", false, true),
    ] {
        let mut text = "currency: USD\nfoods:\n".to_owned();
        for row in &rows {
            let bought = Bought {
                pack: Some(pack),
                price: Some("1.19"),
                loose,
                staple,
                ..Bought::default()
            };
            let sketch = Sketch::new(row.name, row, &bought).unwrap();
            for line in report::food_block(&sketch, false).lines() {
                let _ = writeln!(text, "  {line}");
            }
        }
        let _ = writeln!(
            text,
            "recipes: [{{recipe: r, form: f, lines: [{{food: \"{}\", amount: 300 g}}]}}]",
            rows[0].name
        );
        let read = read(&text);
        assert!(
            read.faults.is_empty(),
            "{pack}: {}",
            render::faults(&read.faults, read.tally, &read.sources)
        );
        assert!(read.times.is_empty(), "{pack}: {:?}", read.times);
        // All that is not published stands marked.
        assert!(
            read.put_in.iter().all(|put_in| put_in.published.is_none()),
            "{pack}"
        );
    }
}

#[test]
fn nothing_is_guessed_nothing_half_written_and_what_stands_is_not_touched() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(code(&scant(folder.path(), &["start", "k", "--bare"])), 0);
    let folder = folder.path().join("k");
    let file = folder.join("kitchen.yaml");
    let before = fs::read_to_string(&file).unwrap();
    let tin = ["--pack", "400 g tin", "--price", "0.95"];
    for (args, why) in [
        (&["add", "food", "black beans"][..], "for you to say"),
        (&["add", "food", "xqzw"], "no row"),
        (&["add", "food", "carrots"], "already stands"),
        (&["add", "food", "tofu", "--table", "99999"], "no row"),
    ] {
        let output = scant(&folder, &[args, &tin].concat());
        assert_eq!(code(&output), 2, "{args:?}");
        assert!(said(&output).contains(why), "{args:?}: {}", said(&output));
    }
    for (args, why) in [
        (&["add", "food", "tofu"][..], "--pack"),
        (
            &["add", "food", "tofu", "--pack", "block", "--price", "1"],
            "how much is in it",
        ),
        (
            &["add", "food", "tofu", "--pack", "400 g", "--price", "1,19"],
            "1,19",
        ),
        (&["add", "food", "tofu", "--pack", "400 g"], "lacks `price`"),
        (
            &[
                "add", "recipe", "R", "--form", "bowl", "3 g unob", "1 grape",
            ],
            "add it first",
        ),
        (
            &["add", "recipe", "R", "--form", "bowl", "3 furlongs carrots"],
            "not a measure",
        ),
        (
            &[
                "add",
                "food",
                "tofu",
                "--pack",
                "400 g",
                "--price",
                "1",
                "--into",
                "notes.txt",
            ],
            ".yaml",
        ),
    ] {
        let output = scant(&folder, args);
        assert_eq!(code(&output), 2, "{args:?}: {}", said(&output));
        assert!(said(&output).contains(why), "{args:?}: {}", said(&output));
        assert_eq!(fs::read_to_string(&file).unwrap(), before, "{args:?}");
    }
    assert_eq!(
        code(&scant(
            &folder,
            &[
                "add",
                "food",
                "tofu",
                "--pack",
                "400 g block",
                "--price",
                "2"
            ]
        )),
        0
    );
    assert_eq!(
        code(&scant(
            &folder,
            &[
                "add",
                "recipe",
                "R",
                "--form",
                "bowl",
                "120 g tofu",
                "1 carrot"
            ]
        )),
        0
    );
    let after = fs::read_to_string(&file).unwrap();
    let mut rest = after.lines();
    for line in before.lines() {
        assert!(rest.any(|new| new == line), "gone or moved: {line}");
    }
    // A file of its own, made for it.
    let own = [
        "add",
        "food",
        "tempeh",
        "--pack",
        "200 g",
        "--price",
        "2",
        "--into",
        "more.yaml",
    ];
    assert_eq!(code(&scant(&folder, &own)), 0);
    assert!(
        fs::read_to_string(folder.join("more.yaml"))
            .unwrap()
            .starts_with("foods:\n")
    );
    assert_eq!(code(&scant(&folder, &["check", "."])), 0);
}

/// In a terminal (`script` of util-linux makes one) a name that several rows answer to is asked about;
/// elsewhere it is refused with the rows.
#[test]
fn in_a_terminal_it_asks_which_row_is_meant() {
    let known = Command::new("script").arg("--version").output();
    let known = known.is_ok_and(|run| String::from_utf8_lossy(&run.stdout).contains("util-linux"));
    if !known {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "no script of util-linux is installed");
        return;
    }
    let started = |answer: &str| {
        let folder = tempfile::tempdir().unwrap();
        let kitchen = folder.path().join("kitchen.yaml");
        let bare = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/bare/kitchen.yaml");
        fs::copy(bare, &kitchen).unwrap();
        let line = format!(
            "{} add food 'cream of the quay' --pack '200 g tub' --price 1.10 --into {}",
            env!("CARGO_BIN_EXE_scant"),
            kitchen.display()
        );
        let mut child = Command::new("script")
            .args(["-qec", &line, "/dev/null"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("script of util-linux");
        child
            .stdin
            .take()
            .unwrap()
            .write_all(answer.as_bytes())
            .unwrap();
        let out = child.wait_with_output().unwrap();
        let told = String::from_utf8_lossy(&out.stdout).into_owned();
        (
            out.status.success(),
            told,
            fs::read_to_string(&kitchen).unwrap(),
        )
    };
    let (done, told, kitchen) = started("2\n");
    assert!(done && told.contains("Which?"), "{told}");
    // The second row of the list it showed is the one that was written.
    let second = told
        .lines()
        .find(|line| line.trim_start().starts_with("2 "));
    let number = second
        .and_then(|line| line.split_whitespace().nth(1))
        .unwrap();
    assert!(
        kitchen.contains(&format!("\"{number}\"")),
        "{told}\n{kitchen}"
    );
    for answer in ["\n", "99\n", "two\n"] {
        let (done, told, kitchen) = started(answer);
        assert!(!done && told.contains("no row was chosen"), "{told}");
        assert!(!kitchen.contains("cream"), "{kitchen}");
    }
}

const PRICED: &str = "currency: USD\nweek: {lunches: 1}\n\
    foods:\n\
    - {food: a, nutrients: {energy: 1}, source: s, packs: [{pack: \"tin, \\\"large\\\"\", size: 1 kg, keeps: 9, open_keeps: 9}]}\n\
    - {food: b, nutrients: {energy: 1}, source: s, packs: [{pack: bag, size: 1 kg, price: 5, keeps: 9, open_keeps: 9}]}\n\
    recipes: [{recipe: r, form: f, lines: [{food: a, amount: 300 g}, {food: b, amount: 100 g}]}]\n";

fn priced(list: &str) -> Read {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), PRICED).unwrap();
    fs::write(folder.path().join("prices-spring.csv"), list).unwrap();
    read_dir_on(folder.path(), chrono::NaiveDate::from_ymd_opt(2031, 3, 3))
}

#[test]
fn the_newest_price_counts_and_lists_are_read_as_rfc_4180_has_them() {
    // A byte order mark, CR LF, a comma and quotes inside a text, an empty price, columns in any
    // order: the newest price of `a` is 1.19, whatever the shop, of two of that day the lower.
    let read = priced(
        "\u{feff}shop,date,food,pack,price\r\n\
         Quay,2031-03-01,a,\"tin, \"\"large\"\"\",1.25\r\n\
         Pier,2031-03-01,A,\"tin, \"\"large\"\"\",1.19\r\n\
         Quay,2030-12-01,a,\"tin, \"\"large\"\"\",0.99\r\n\
         \r\n\
         Quay,2031-03-02,a,\"tin, \"\"large\"\"\",\r\n\
         Quay,2031-03-02,b,bag,4.50\r\n",
    );
    let larder = read
        .larder
        .as_ref()
        .unwrap_or_else(|| panic!("{}", render::report(&read)));
    let prices: Vec<i64> = larder.packs.iter().map(|pack| pack.price_minor).collect();
    assert_eq!(prices, [119, 450]);
    let listed = read.prices[0].listed.as_ref().unwrap();
    assert_eq!(
        (listed.0.to_string().as_str(), listed.1.as_str()),
        ("2031-03-01", "Pier")
    );
    assert_eq!(read.tally.warnings, 0, "{}", render::report(&read));
}

/// The same list up to a day and whole; which week is best changes with it.
#[test]
fn prices_that_changed_show_what_they_changed() {
    let folder = tempfile::tempdir().unwrap();
    let kitchen = "currency: USD\nweek: {lunches: 1}\nfoods:\n\
        - {food: a, nutrients: {energy: 1}, source: s, packs: [{pack: bag, size: 1 kg, price: 2, keeps: 9, open_keeps: 9}]}\n\
        - {food: b, nutrients: {energy: 1}, source: s, packs: [{pack: bag, size: 1 kg, keeps: 9, open_keeps: 9}]}\n\
        recipes:\n\
        - {recipe: of a, form: f, lines: [{food: a, amount: 300 g}]}\n\
        - {recipe: of b, form: f, lines: [{food: b, amount: 300 g}]}\n";
    fs::write(folder.path().join("kitchen.yaml"), kitchen).unwrap();
    let list = "date,shop,food,pack,price\n2020-01-01,,b,bag,3\n2020-02-01,,b,bag,1.50\n";
    fs::write(folder.path().join("prices.csv"), list).unwrap();
    let told = |since: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_scant"))
            .args(["prices", folder.path().to_str().unwrap(), "--since", since])
            .output()
            .unwrap();
        assert!(out.status.success(), "{out:?}");
        String::from_utf8(out.stdout).unwrap()
    };
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let then = words(&told("2020-01-15"));
    for said in [
        "b bag $3.00 $1.50 -$1.50",
        "Bill $1.50 instead of $2.00 (-$0.50)",
        "Mon of a of b",
    ] {
        assert!(then.contains(said), "{said}: {then}");
    }
    // Nothing is priced before the first day: what counts until then is the first price there is.
    assert!(
        words(&told("2019-01-01")).contains("b bag $3.00 $1.50"),
        "{}",
        told("2019-01-01")
    );
    let none = "No price that counts has changed after 2020-02-01.";
    assert_eq!(told("2020-02-01").trim(), none);
}

#[test]
fn what_is_wrong_in_a_price_list_is_told_with_its_line_and_what_to_write() {
    let head = "date,shop,food,pack,price\n";
    let first = "2031-03-01,Quay,a,\"tin, \"\"large\"\"\",1.19\n";
    for (row, what, help) in [
        // A comma as decimal, in quotes and without.
        ("2031-03-01,Quay,b,bag,\"1,19\"\n", "1,19", "point"),
        ("2031-03-01,Quay,b,bag,1,19\n", "6 fields", "point"),
        (
            "2031-03-05,Quay,b,bag,1.19\n",
            "still to come",
            "2031-03-03",
        ),
        ("3.3.2031,Quay,b,bag,1.19\n", "no date", "2031-03-03"),
        ("2031-02-30,Quay,b,bag,1.19\n", "no date", "2031-03-03"),
        (
            "2031-03-01,quay,A,\"tin, \"\"large\"\"\",1.20\n",
            "another price",
            "paid",
        ),
        ("2031-03-01,Quay,,bag,1.19\n", "`food` is empty", "name"),
        ("2031-03-01,Quay,b,bag,0\n", "above 0", "price"),
        ("2031-03-01,Quay,b,bag,$1\n", "$1", "number"),
        (
            "2031-03-01,Qu\u{202e}ay,b,bag,1\n",
            "`shop`",
            "take the character out",
        ),
    ] {
        // A byte order mark and other line ends move no place: the row's own bytes are to blame.
        let list = format!("\u{feff}{head}{first}{row}").replace('\n', "\r\n");
        let marked = priced(&list);
        let (start, len) = marked.faults[0].span;
        assert_eq!(&list[start..start + len], row.trim_end());
        assert_eq!(marked.faults[0].line, 3, "{row}");
        let read = priced(&format!("{head}{first}{row}"));
        let fault = read.faults.first().unwrap_or_else(|| panic!("{row}"));
        assert_eq!(
            (fault.file.as_str(), fault.line),
            ("prices-spring.csv", 3),
            "{row}"
        );
        assert!(fault.what.contains(what), "{row}: {}", fault.what);
        assert!(fault.help.contains(help), "{row}: {}", fault.help);
    }
    for (list, what) in [
        ("", "no heading"),
        ("date;shop;food;pack;price\n", "semicolons"),
        ("date,shop,food,price\n", "lacks the column `pack`"),
        ("date,shop,food,pack,price,note\n", "no column `note`"),
        ("date,date,food,pack,price\n", "twice"),
    ] {
        let read = priced(list);
        assert!(
            read.faults.iter().any(|fault| fault.what.contains(what)),
            "{list}"
        );
    }
    // The same row twice, and prices of what is not bought: told, and no fault.
    let read = priced(&format!(
        "{head}{first}{first}2031-03-01,,c,bag,1\n2031-03-01,,b,sack,1\n"
    ));
    assert!(read.faults.is_empty(), "{}", render::report(&read));
    assert_eq!(read.tally.warnings, 3, "{}", render::report(&read));
    // Without a price anywhere the pack is told.
    assert!(
        priced(head)
            .faults
            .iter()
            .any(|fault| fault.what.contains("lacks `price`"))
    );
}

#[test]
fn the_list_to_fill_in_is_read_back_once_it_is_filled_in() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), PRICED).unwrap();
    let told = scant(folder.path(), &["prices", "."]);
    assert_eq!(code(&told), 0, "{}", said(&told));
    assert!(
        said(&told).contains("missing") && said(&told).contains("no date"),
        "{}",
        said(&told)
    );
    let list = scant(folder.path(), &["prices", ".", "--template"]);
    let list = String::from_utf8(list.stdout).unwrap();
    assert_eq!(list.lines().count(), 3, "{list}");
    let filled: String = list
        .split_inclusive('\n')
        .enumerate()
        .map(|(at, row)| {
            if at == 0 {
                row.to_owned()
            } else {
                row.replace(",\n", ",2.50\n")
            }
        })
        .collect();
    fs::write(folder.path().join("prices.csv"), filled).unwrap();
    let check = scant(folder.path(), &["check", "."]);
    assert_eq!(code(&check), 0, "{}", said(&check));
    let told = said(&scant(folder.path(), &["prices", "."]));
    assert!(told.contains("2 of 2 packs"), "{told}");
}

/// By hand. Rice 1 kg at 2.00, beans 500 g at 1.00, nuts 100 g at 3.00. `plain` (rice 100 g, 2 g of
/// protein) is shut out by a floor of 10 g of protein a lunch; beans in its place give 20 g. The one
/// lunch of `rich` needs beans alone: one food, one bag, 1.00.
#[test]
fn a_pool_tells_shares_floors_what_is_shut_out_and_the_swap() {
    let folder = tempfile::tempdir().unwrap();
    let text = "kitchen: Pool\ncurrency: USD\nweek: {lunches: 1}\n\
        rules: {cap: 1, budget: 0.50, nutrition: [{nutrient: protein, per: lunch, at_least: 10, source: by hand}]}\n\
        foods:\n\
        - {food: barley, nutrients: {energy: 100, protein: 1}, source: s, packs: [{pack: p, size: 1 kg, price: 2, keeps: 99, open_keeps: 99}]}\n\
        - {food: rice, nutrients: {energy: 100, protein: 2}, source: s, packs: [{pack: p, size: 1 kg, price: 2, keeps: 99, open_keeps: 99}]}\n\
        - {food: beans, nutrients: {energy: 100, protein: 20}, source: s, packs: [{pack: p, size: 500 g, price: 1, keeps: 99, open_keeps: 99}]}\n\
        - {food: nuts, nutrients: {energy: 100, protein: 20}, source: s, packs: [{pack: p, size: 100 g, price: 3, keeps: 99, open_keeps: 99}]}\n\
        recipes:\n\
        - {recipe: plain, form: bowl, lines: [{food: rice, amount: 100 g}]}\n\
        - {recipe: thin, form: soup, lines: [{food: barley, amount: 300 g}]}\n\
        - {recipe: thinner, form: soup, lines: [{food: barley, amount: 200 g}]}\n\
        - {recipe: rich, form: bowl, lines: [{food: beans, amount: 250 g}]}\n\
        - {recipe: nutty, form: bowl, lines: [{food: beans, amount: 100 g}, {food: nuts, amount: 100 g}]}\n";
    fs::write(folder.path().join("k.yaml"), text).unwrap();
    let output = scant(folder.path(), &["pool", ".", "--budget", "5"]);
    assert_eq!(code(&output), 0, "{}", said(&output));
    let text = String::from_utf8(output.stdout).unwrap();
    let told = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "Fewest foods that any week can have: 1 counted food, proved; the cap is 1.",
        "Least bill that any week can have: $1.00, proved; the budget is $5.00.",
        "rich: beans 1",
        "nuts: nutty",
        "plain: protein at most 2 g, and a lunch has at least 10 (by hand). One swap lets it in: beans in \
         the place of rice, 100 g (2 other recipes may use it)",
        "nutty: it needs 2 counted foods, and the cap is 1",
    ] {
        assert!(told.contains(wanted), "{wanted}\n{text}");
    }
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    // The least is told whatever the cap; barley, which two recipes use too, has too little.
    let told = said(&scant(folder.path(), &["pool", ".", "--cap", "0"]));
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("1 counted food, proved. The cap of 0 leaves no week"),
        "{told}"
    );
    // At 0.50 nothing can be bought: the least bill says so.
    let told = said(&scant(folder.path(), &["pool", "."]));
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("The budget of $0.50 leaves no week"),
        "{told}"
    );
}

/// Checks a value against the parts of JSON Schema that the schema of kitchen files uses.
fn fits(value: &Value, schema: &Value, root: &Value, path: &str) -> Result<(), String> {
    if let Some(name) = schema["$ref"].as_str() {
        let name = name.strip_prefix("#/$defs/").expect("a definition");
        let definition = &root["$defs"][name];
        assert!(definition.is_object(), "{name} is not defined");
        return fits(value, definition, root, path);
    }
    if let Some(any) = schema["anyOf"].as_array() {
        let all: Vec<_> = any.iter().map(|one| fits(value, one, root, path)).collect();
        return all
            .iter()
            .find(|one| one.is_ok())
            .unwrap_or(&all[0])
            .clone();
    }
    if let Some(words) = schema["enum"].as_array() {
        return words
            .contains(value)
            .then_some(())
            .ok_or(format!("{path}: {value}"));
    }
    let is = |name: &str| match name {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        other => panic!("{other}"),
    };
    let kinds = match &schema["type"] {
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
        kind => vec![kind.as_str().unwrap_or_else(|| panic!("{schema}"))],
    };
    if !kinds.into_iter().any(is) {
        return Err(format!("{path}: {value} is no {}", schema["type"]));
    }
    for (at, item) in value.as_array().into_iter().flatten().enumerate() {
        fits(item, &schema["items"], root, &format!("{path}[{at}]"))?;
    }
    for key in schema["required"].as_array().into_iter().flatten() {
        if value.get(key.as_str().unwrap()).is_none() {
            return Err(format!("{path} lacks {key}"));
        }
    }
    for (key, item) in value.as_object().into_iter().flatten() {
        let at = format!("{path}.{key}");
        match schema["properties"].get(key) {
            Some(one) => fits(item, one, root, &at)?,
            None if schema["additionalProperties"].is_object() => {
                fits(item, &schema["additionalProperties"], root, &at)?;
            }
            None => return Err(format!("{at} is unknown")),
        }
    }
    Ok(())
}

#[test]
fn the_schema_of_kitchen_files_fits_the_kitchens_there_are() {
    let output = scant(Path::new("."), &["schema", "kitchen"]);
    let schema: Value = serde_json::from_slice(&output.stdout).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let mut files = 0;
    let mut folders = vec![
        root.join("boatyard"),
        root.join("bare"),
        root.join("school-visit"),
    ];
    for stored in fs::read_dir(root.join("stored")).unwrap() {
        folders.push(stored.unwrap().path());
    }
    for folder in folders {
        for file in fs::read_dir(folder).unwrap() {
            let file = file.unwrap().path();
            if file.extension().is_none_or(|end| end != "yaml") {
                continue;
            }
            let text = fs::read_to_string(&file).unwrap();
            let value: Value = serde_saphyr::from_str(&text).unwrap();
            let fits = fits(&value, &schema, &schema, "");
            assert_eq!(fits, Ok(()), "{}", file.display());
            files += 1;
        }
    }
    assert!(files > 30, "{files}");
    let wrong = serde_json::json!({"foods": [{"food": "a", "pack": []}]});
    assert!(fits(&wrong, &schema, &schema, "").is_err());
}

#[test]
fn what_check_finds_is_told_as_data_too() {
    let folder = tempfile::tempdir().unwrap();
    let text = PRICED.replace(
        "keeps: 9, open_keeps: 9}]}\n    recipes",
        "keeps: 9}]}\n    recipes",
    );
    fs::write(folder.path().join("kitchen.yaml"), &text).unwrap();
    let output = scant(folder.path(), &["check", ".", "--format", "json"]);
    assert_eq!(code(&output), 2);
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told["sound"], false);
    let faults = told["faults"].as_array().unwrap();
    assert_eq!(told["counts"]["faults"], faults.len());
    for fault in faults {
        assert_eq!(fault["file"], "kitchen.yaml");
        assert!(
            fault["line"].as_u64().unwrap() > 0 && !fault["remedy"].as_str().unwrap().is_empty()
        );
        // The bytes said to be to blame stand on that line.
        let offset = fault["offset"].as_u64().unwrap() as usize;
        let line = text[..offset].matches('\n').count() as u64 + 1;
        assert_eq!(fault["line"], line);
    }
}
