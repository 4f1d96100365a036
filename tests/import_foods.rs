//! Asks whether foods of a FoodData Central folder are read as they stand there, and whether no
//! folder breaks the reader. The truth: the food table (Standard Reference, Release 28), whose
//! figures stand in `tests/data/central` under the download's published column names (from
//! memory), each food under its food number; rows from 900001 on are carrots spoiled in one way
//! each. The ids are ours, not those of the download.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Cursor, Read};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use scant::import::central::{Central, CentralFault, CentralFood, pick};
use scant::larder::Nutrient;
use scant::{report, table};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/central")
}

type Files = BTreeMap<String, Vec<u8>>;

fn files() -> Files {
    fs::read_dir(folder())
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, fs::read(path).unwrap())
        })
        .collect()
}

fn picked(files: &Files, picks: &[&str]) -> Result<Central, Vec<CentralFault>> {
    let open = |name: &str| -> io::Result<Option<Box<dyn Read>>> {
        let bytes = files.get(name).cloned();
        Ok(bytes.map(|bytes| Box::new(Cursor::new(bytes)) as Box<dyn Read>))
    };
    let picks: Vec<String> = picks.iter().map(|&pick| pick.to_owned()).collect();
    pick(&open, &picks)
}

fn one(pick: &str) -> CentralFood {
    let mut found = picked(&files(), &[pick]).unwrap();
    assert_eq!(found.foods.len(), 1);
    found.foods.remove(0)
}

/// The faults, as one text.
fn faults(files: &Files, picks: &[&str]) -> String {
    let faults = picked(files, picks).unwrap_err();
    let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
    said.join("\n")
}

fn change(name: &str, from: &str, to: &str) -> Files {
    let mut files = files();
    let text = String::from_utf8(files[name].clone()).unwrap();
    assert!(text.contains(from), "{name} has no {from}");
    files.insert(name.to_owned(), text.replace(from, to).into_bytes());
    files
}

#[test]
fn figures_and_measures_are_those_of_the_table() {
    for (pick, number) in [
        ("carrots, raw", "11124"),
        ("16359", "16359"),
        ("tahini", "12166"),
        ("raw avocado", "09037"),
        ("quinoa", "20035"),
    ] {
        let (food, row) = (one(pick), table::find(number).unwrap());
        assert_eq!(food.description, row.name);
        assert_eq!(food.nutrients_milli, row.nutrients_milli, "{pick}");
        assert!(food.stands.is_empty() && food.doubtful.is_empty());
        for (name, mg) in food.portions.iter().filter_map(|p| p.measure.as_ref().ok()) {
            // The download's tablespoon is the table's tbsp.
            let name = if name == "tablespoon" { "tbsp" } else { name };
            assert_eq!(row.measure(name).map(|m| m.mg), Some(*mg), "{pick}: {name}");
        }
        assert!(number == "20035" || !food.portions.is_empty());
    }
    // A figure the table does not give is missing, not zero.
    assert_eq!(
        one("quinoa").nutrients_milli[Nutrient::Sugars.index()],
        None
    );
}

#[test]
fn what_stands_in_for_energy_is_marked_and_what_is_in_doubt_left_out() {
    let carrots = table::find("11124").unwrap().nutrients_milli;
    let at = |food: &CentralFood, nutrient: Nutrient| food.nutrients_milli[nutrient.index()];
    let general = one("900001");
    assert_eq!(at(&general, Nutrient::Energy), carrots[0]);
    assert_eq!(general.stands.len(), 1);
    assert!(general.stands[0].taken.contains("General Factors"));
    // 171.544 kJ at 4.184 kJ a kilocalorie are 41 kcal.
    let joules = one("900002");
    assert_eq!(at(&joules, Nutrient::Energy), Some(41_000));
    assert_eq!(joules.stands.len(), 1);
    // Below zero, told twice otherwise: left out. Folate that is no DFE does not count.
    assert_eq!(at(&joules, Nutrient::Carbohydrate), None);
    assert_eq!(at(&joules, Nutrient::Sodium), None);
    assert_eq!(at(&joules, Nutrient::Folate), None);
    let doubtful: Vec<Nutrient> = joules.doubtful.iter().map(|d| d.nutrient).collect();
    assert_eq!(doubtful, [Nutrient::Carbohydrate, Nutrient::Sodium]);
    // More grams than 100 in 100 g; no number at all.
    let branded = one("900003");
    assert_eq!(branded.doubtful.len(), 2);
    let bare = one("carrots without a figure");
    assert!(bare.nutrients_milli.iter().all(Option::is_none));
    // "1 cup, cooked" of the description.
    assert_eq!(
        bare.portions[0].measure,
        Ok(("cup cooked".to_owned(), 146_000))
    );
    let carrots = one("11124");
    let not: Vec<&str> = carrots
        .portions
        .iter()
        .filter_map(|portion| portion.measure.as_ref().err().copied())
        .collect();
    assert_eq!(
        not,
        [
            "no name a recipe could use",
            "its name is taken by the one before"
        ]
    );
}

#[test]
fn the_file_written_is_a_kitchen_file_once_packs_stand_in_it() {
    let picks = [
        "11124", "16359", "12166", "9037", "20035", "900001", "900002", "900003", "900004",
    ];
    let (text, [check, doubtful]) = report::central(&picked(&files(), &picks).unwrap());
    assert_eq!(text.matches("# CHECK").count(), check);
    assert_eq!(text.matches("# DOUBTFUL").count(), doubtful);
    assert_eq!(doubtful, 6);
    assert!(text.contains("for 100 g or for 100 ml"));
    let kitchen = |foods: &str| {
        let rest = "kitchen: k\ncurrency: USD\nrecipes:\n  - recipe: r\n    form: f\n    lines:\n      \
                    - { food: \"carrots, raw\", amount: 1 cup chopped }\n";
        scant::kitchen::read_texts(vec![
            ("foods.yaml".to_owned(), foods.as_bytes().to_vec()),
            ("rest.yaml".to_owned(), rest.as_bytes().to_vec()),
        ])
    };
    // As written, each food is named for its packs, and for nothing else.
    let read = kitchen(&text);
    let faults = read.faults;
    assert_eq!(read.tally.faults, picks.len(), "{faults:?}");
    assert!(
        faults
            .iter()
            .all(|fault| fault.what.contains("pack option")),
        "{faults:?}"
    );
    let packs = "packs: [{ pack: bag, size: 500 g, price: 1.00, keeps: 9, open_keeps: 3 }]";
    let read = kitchen(&text.replace("packs: []", packs));
    let larder = read
        .larder
        .unwrap_or_else(|| panic!("{:?}\n{text}", read.faults));
    let carrots = larder
        .foods
        .iter()
        .find(|food| food.name == "carrots, raw")
        .unwrap();
    assert_eq!(
        carrots.nutrients_milli,
        table::find("11124").unwrap().nutrients_milli
    );
    assert!(
        carrots
            .source
            .contains("FDC id 11124 (sr_legacy_food, published 2019-04-01)")
    );
    let amount = larder.recipes[0].lines[0].alternatives[0].mg;
    assert_eq!(amount, 128_000);
}

#[test]
fn picks_that_are_unclear_are_told_all_at_once() {
    let said = faults(&files(), &["carrots", "beetroot", "7", "chickpeas", ""]);
    for words in [
        "several foods answer to `carrots`",
        "11124 carrots, raw (sr_legacy_food)",
        "no food of this folder answers to `beetroot`",
        "no food of this folder answers to `7`",
        "no food of this folder answers to ``",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("`chickpeas`"));
    // A description that is the words and nothing else is meant before longer ones.
    assert_eq!(one("Carrots RAW").fdc_id, 11_124);
    let twice = picked(&files(), &["11124", "carrots, raw"]).unwrap();
    assert_eq!(twice.foods.len(), 1);
    let many: Vec<String> = (0..101).map(|n| n.to_string()).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    assert!(faults(&files(), &many).contains("at most 100"));
}

#[test]
fn what_is_no_download_is_refused_with_file_and_line() {
    for name in ["food.csv", "nutrient.csv", "food_nutrient.csv"] {
        let mut less = files();
        less.remove(name);
        let said = faults(&less, &["11124"]);
        assert!(
            said.contains(&format!("{name}: the file is not in this folder")),
            "{said}"
        );
    }
    let none = faults(&Files::new(), &["11124"]);
    assert_eq!(none.lines().count(), 2, "{none}");
    for (name, from, to, hint) in [
        (
            "food.csv",
            "\"fdc_id\"",
            "\"id\"",
            "food.csv:1: its first row lacks the column fdc_id",
        ),
        (
            "food.csv",
            "\"16359\",",
            "",
            "food.csv:3: a row has 4 columns",
        ),
        (
            "food.csv",
            "\"16359\"",
            "\"x\"",
            "food.csv:3: `x` is no whole number",
        ),
        (
            "food_nutrient.csv",
            "\"11124\",\"1003\"",
            "\"11124\",\"P\"",
            "food_nutrient.csv:4: `P`",
        ),
        (
            "food_portion.csv",
            "gram_weight",
            "grams",
            "lacks the column gram_weight",
        ),
        (
            "measure_unit.csv",
            "\"1000\"",
            "\"1e3\"",
            "measure_unit.csv:2: `1e3`",
        ),
        (
            "nutrient.csv",
            "\"Calcium, Ca\",\"MG\"",
            "\"Calcium, Ca\",\"G\"",
            "is `Calcium, Ca` in G",
        ),
        (
            "nutrient.csv",
            "Protein",
            "Proline",
            "is `Proline` in G, where protein in G",
        ),
        (
            "nutrient.csv",
            "nutrient_nbr",
            "number",
            "lacks the column nutrient_nbr",
        ),
    ] {
        let said = faults(&change(name, from, to), &["11124"]);
        assert!(said.contains(hint), "{hint}: {said}");
    }
    // Only a heading: nothing known.
    let mut bare = files();
    bare.insert(
        "nutrient.csv".to_owned(),
        b"id,name,unit_name,nutrient_nbr\n".to_vec(),
    );
    assert!(faults(&bare, &["11124"]).contains("none of the nutrients"));
    // A folder without portions has foods without measures.
    let mut less = files();
    less.remove("food_portion.csv");
    let found = picked(&less, &["11124"]).unwrap();
    assert!(found.no_portions && found.foods[0].portions.is_empty());
}

/// So many bytes of a file that never were in memory.
struct Endless {
    head: Cursor<Vec<u8>>,
    row: &'static [u8],
    at: usize,
    left: u64,
}

impl Read for Endless {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let head = self.head.read(into)?;
        if head > 0 {
            return Ok(head);
        }
        let mut n = 0;
        while n < into.len() && self.left > 0 {
            into[n] = self.row[self.at];
            self.at = (self.at + 1) % self.row.len();
            self.left -= 1;
            n += 1;
        }
        Ok(n)
    }
}

fn endless(
    name: &'static str,
    first: &'static [u8],
    row: &'static [u8],
    left: u64,
) -> Result<Central, Vec<CentralFault>> {
    let files = files();
    let open = |asked: &str| -> io::Result<Option<Box<dyn Read>>> {
        let mut head = files.get(asked).cloned().unwrap_or_default();
        if asked == name {
            head.extend_from_slice(first);
        }
        let left = if asked == name { left } else { 0 };
        let head = Cursor::new(head);
        Ok(Some(Box::new(Endless {
            head,
            row,
            at: 0,
            left,
        })))
    };
    pick(&open, &["11124".to_owned()])
}

#[test]
fn long_files_are_read_and_long_rows_refused() {
    // Three million rows of other foods behind ours.
    let row = b"\"1\",\"5\",\"1003\",\"1\",\"\",\"\",\"\",\"\",\"\",\"\",\"\"\n";
    let found = endless("food_nutrient.csv", b"", row, 3_000_000 * row.len() as u64).unwrap();
    assert_eq!(
        found.foods[0].nutrients_milli,
        table::find("11124").unwrap().nutrients_milli
    );
    // A row that never ends: without a break, and in a quoted field with breaks.
    for (first, row) in [(&b""[..], &b"x"[..]), (b"\"", b"x\n")] {
        let faults = endless("food_nutrient.csv", first, row, 1 << 40).unwrap_err();
        assert!(
            faults[0].to_string().contains("longer than 1048576 bytes"),
            "{faults:?}"
        );
    }
    let mut binary = files();
    binary.insert("food.csv".to_owned(), vec![0xff, 0, b'"', b'\n', 0x80]);
    assert!(picked(&binary, &["11124"]).is_err());
}

fn scant(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(args)
        .output()
        .unwrap()
}

#[test]
fn the_command_writes_a_file_or_says_what_is_wrong() {
    let folder = folder();
    let folder = folder.to_str().unwrap();
    let place = tempfile::tempdir().unwrap();
    let out = place.path().join("foods.yaml");
    let out = out.to_str().unwrap();
    let done = scant(&[
        "import", folder, "--food", "11124", "--food", "tahini", "--out", out,
    ]);
    assert_eq!(done.status.code(), Some(0));
    assert!(done.stdout.is_empty());
    let written = fs::read_to_string(out).unwrap();
    let printed = scant(&["import", folder, "--food", "11124", "--food", "tahini"]);
    assert_eq!(String::from_utf8(printed.stdout).unwrap(), written);
    // What is there is not overwritten.
    let again = scant(&["import", folder, "--food", "tahini", "--out", out]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(fs::read_to_string(out).unwrap(), written);
    for (args, hint) in [
        (vec!["import", folder], "by --food ID"),
        (vec!["import", folder, "--food", "carrots"], "several foods"),
        (vec!["import", out, "--food", "carrots"], "is no folder"),
        (
            vec!["import", place.path().to_str().unwrap(), "--food", "1"],
            "not in this folder",
        ),
    ] {
        let done = scant(&args);
        assert_eq!(done.status.code(), Some(2), "{args:?}");
        let said = String::from_utf8(done.stderr).unwrap();
        assert!(said.contains(hint), "{hint}: {said}");
    }
}
