//! Asks whether hard use leaves things whole: files written under kills, full discs, planted
//! links and odd targets; signals and limits in every phase; readers that do not read. It does
//! not ask whether weeks are best. The truth is what POSIX says of rename, signals and exit
//! codes, what a run left alone writes, and the promises of README.
#![allow(
    clippy::print_stdout,
    reason = "tells what a machine cannot do, and counts"
)]
#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

#[path = "hard_use/files.rs"]
mod files;
#[path = "hard_use/kills.rs"]
mod kills;
#[path = "hard_use/signals.rs"]
mod signals;

/// Two lunches from two packs; found at once.
const TWO: &str = "\
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

/// A page as `import` reads it.
const PAGE: &str = r#"{"@type": "Recipe", "name": "Slipway lentils", "recipeYield": 4,
"recipeIngredient": ["1 cup red lentils", "1 tbsp olive oil"], "recipeInstructions": "Simmer."}"#;

const PROGRAM: &str = env!("CARGO_BIN_EXE_scant");

fn scant(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(args).current_dir(folder);
    command
}

fn run(folder: &Path, args: &[&str]) -> Output {
    scant(folder, args).output().unwrap()
}

fn code(output: &Output) -> i32 {
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(!said.contains("panicked"), "{said}");
    output.status.code().unwrap_or(-1)
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A folder with the kitchen in `kitchen` and the page in `page.json`.
fn place() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("kitchen")).unwrap();
    fs::write(folder.path().join("kitchen/kitchen.yaml"), TWO).unwrap();
    fs::write(folder.path().join("page.json"), PAGE).unwrap();
    folder
}

/// Everything below a folder: bytes of files, where links lead, `None` for the rest.
fn everything(folder: &Path) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let entry = entry.unwrap();
            let kind = entry.file_type().unwrap();
            let path = entry.path();
            let what = if kind.is_file() {
                Some(fs::read(&path).unwrap())
            } else if kind.is_symlink() {
                let to = fs::read_link(&path).unwrap();
                Some(to.into_os_string().into_encoded_bytes())
            } else {
                if kind.is_dir() {
                    open.push(path.clone());
                }
                None
            };
            found.insert(path.strip_prefix(folder).unwrap().to_owned(), what);
        }
    }
    found
}

/// Whether a path is that of something in the making, or inside it.
fn in_the_making(path: &Path) -> bool {
    path.iter().any(|part| {
        let name = part.to_string_lossy();
        name.starts_with(".scant-") && name.ends_with(".part")
    })
}

/// Waits for the end of a child, at most so long; `None` and an end by force otherwise.
fn ends_within(child: &mut Child, most: Duration) -> Option<std::process::ExitStatus> {
    let start = Instant::now();
    while start.elapsed() < most {
        if let Some(status) = child.try_wait().unwrap() {
            return Some(status);
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    None
}

/// Whether a tool does what is asked of it here; says so where it does not.
fn can(what: &str, program: &str, args: &[&str]) -> bool {
    let ran = Command::new(program)
        .args(args)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    let can = ran.is_ok_and(|status| status.success());
    if !can {
        println!("left out, {program} cannot do it here: {what}");
    }
    can
}
