//! Asks what a reader's browser makes of the page: Chromium at the width of a narrow phone, a
//! phone and a desk, and as A4 and Letter; axe-core on its accessibility (WCAG 2.2 A and AA);
//! html-validate on what stands inside what. The demo, and a kitchen whose names try to break
//! out. The truth is theirs (`browser/look.mjs`); sums in the pictures' words are by hand. Where
//! one of them is missing, a test fails if `SCANT_JUDGES` is `required`, else it is left out
//! with a note. `SCANT_LOOK=FOLDER` keeps what was seen, for people to look at.

// What was left out is the test's report.
#![allow(clippy::print_stderr)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

const MARKUP: &str = r#"</svg></style><script>alert("rice & 'beans'")</script><!--"#;
const HEBREW: &str = "חומוס \"טרי\" (3 x 250 גרם), שקית";
const EMOJI: &str = "🥕🧅👩🏽‍🍳 {{ pot }} \\ 100 %";

/// Three lunches of one recipe with what is left over as a finisher, a batch, a tin on hand, two
/// trips and every rule that has a picture; each name is hostile.
fn hostile() -> tempfile::TempDir {
    let quoted = |text: &str| serde_json::to_string(text).unwrap();
    let text = format!(
        "kitchen: {markup}
currency: USD
week: {{ lunches: 3, carry_day: 6, eaters: 2, trips: [0, 1] }}
stock: [{{ food: {hebrew}, label: {long}, amount: 100 g, good_until: 9 }}]
foods:
  - food: {markup}
    table: \"20036\"
    allergens: [{markup}, {long}]
    packs: [{{ pack: {long}, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }}]
  - food: {hebrew}
    table: \"16359\"
    packs: [{{ pack: {emoji}, size: 250 g, price: 1.20, keeps: 300, open_keeps: 3 }}]
  - food: {long}
    table: \"11124\"
    allergens: [{hebrew}]
    packs: [{{ pack: {hebrew}, size: 250 g, price: 1.70, keeps: 2, open_keeps: 1, stage: {markup} }}]
  - food: {emoji}
    table: \"04053\"
    staple: true
    packs: [{{ size: 500 g, price: 9.00 }}]
components:
  - component: {spaced}
    makes: 200 g
    keeps: 3
    minutes: 4
    needs: [{markup}]
    from: [{{ food: {hebrew}, amount: 150 g }}, {{ food: {emoji}, amount: 50 g }}]
    steps: [{long}, {hebrew}]
recipes:
  - recipe: {long}
    form: {emoji}
    protein: {markup}
    minutes: 5
    lines:
      - {{ food: {markup}, amount: 70 g }}
      - one_of: [{{ food: {long}, amount: 400 g }}, {{ component: {spaced}, amount: 60 g }}]
      - {{ food: {hebrew}, amount: 10 g, optional: true }}
      - {{ food: {long}, amount: 20 g, optional: true }}
      - {{ food: {emoji}, amount: 5 g, optional: true }}
    steps: [{markup}, {hebrew}, {emoji}, {long}]
  - recipe: {hebrew}
    form: {markup}
    lines: [{{ food: {hebrew}, amount: 125 g }}, {{ food: {long}, amount: 60 g }}]
rules:
  repeats: 3
  cap: 5
  nutrition:
    - {{ nutrient: energy, per: lunch, at_least: 20, at_most: 900, source: {markup} }}
    - {{ nutrient: protein, per: week, at_least: 1, source: {long} }}
",
        markup = quoted(MARKUP),
        hebrew = quoted(HEBREW),
        emoji = quoted(EMOJI),
        long = quoted(&"w".repeat(300)),
        spaced = quoted(&"ő̋ ".repeat(75)),
    );
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    folder
}

fn scant(args: &[&str]) -> Output {
    let run = Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(args)
        .output();
    run.unwrap()
}

/// Writes a page as asked and returns where it is.
fn page(folder: &Path, args: &[&str]) -> PathBuf {
    let path = folder.join("page.html");
    let output = scant(&[&["sheet", "--out", path.to_str().unwrap()], args].concat());
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(path.exists(), "{said}");
    path
}

/// What the browser saw; `None` where one of the judges is missing.
fn looked_at(page: &Path, name: &str) -> Option<Value> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let modules = std::env::var("SCANT_NODE").map_or(root.join(".node"), PathBuf::from);
    let chromium = std::env::var("SCANT_CHROMIUM").unwrap_or("/usr/bin/chromium".to_owned());
    let node = Command::new("node").arg("--version").output();
    let there = node.is_ok_and(|run| run.status.success())
        && modules.join("node_modules/playwright-core").exists()
        && Path::new(&chromium).exists();
    if !there {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "no browser or none of its packages is installed");
        eprintln!("no browser installed: {name} not looked at (tests/run installs it)");
        return None;
    }
    let mut look = Command::new("node");
    look.arg(root.join("tests/browser/look.mjs"));
    look.arg(modules).arg(page);
    if let Some(folder) = std::env::var_os("SCANT_LOOK") {
        let folder = Path::new(&folder).join(name);
        fs::create_dir_all(&folder).unwrap();
        fs::copy(page, folder.join("page.html")).unwrap();
        look.arg(folder);
    }
    let run = look.env("SCANT_CHROMIUM", chromium).output().unwrap();
    let fault = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{name}: {fault}");
    Some(serde_json::from_slice(&run.stdout).unwrap())
}

fn none(view: &Value, what: &str) {
    let found = view[what].as_array().unwrap();
    assert!(found.is_empty(), "{}: {what}: {found:#?}", view["name"]);
}

/// Asks everything of a page.
fn is_sound(page: &Path, name: &str, title: &str) {
    assert!(fs::metadata(page).unwrap().len() < 500_000);
    let Some(found) = looked_at(page, name) else {
        return;
    };
    let views = found["views"].as_array().unwrap();
    assert_eq!(views.len(), 4);
    for view in views {
        none(view, "console");
        none(view, "requests");
        none(view, "violations");
        assert_eq!(view["title"], title, "the kitchen's name as written");
        assert!(view["passes"].as_u64().unwrap() > 30, "axe-core looked");
        for text in ["sticking", "spaced"] {
            assert_eq!(view[text]["by"], 0, "{text} {view:#}");
            assert!(view[text]["out"].as_array().unwrap().is_empty(), "{view:#}");
        }
        assert_eq!(view["small"], 0, "too small for a finger");
        assert!(view["smallest"].as_f64().unwrap() >= 12.0, "{view:#}");
        assert_ne!(view["kept"], false, "ticks outlive a reload");
        let dark = view["paper"] != "rgb(255, 255, 255)";
        assert_eq!(dark, view["name"] == "dark", "{view:#}");
    }
    let papers = found["papers"].as_array().unwrap();
    assert_eq!(papers.len(), 2);
    for paper in papers {
        none(paper, "console");
        none(paper, "requests");
        none(paper, "cut");
        assert_eq!(paper["sticking"]["by"], 0, "{paper:#}");
        assert!(paper["sticking"]["out"].as_array().unwrap().is_empty());
        let pages = paper["pages"].as_u64().unwrap();
        assert!((1..=40).contains(&pages), "{pages} pages");
    }
    none(&found, "invalid");
}

/// A front, a back and what is apart, and no word of them is broken on a phone. The school visit is a
/// kitchen of 14 foods and eight boxes a day, with its food groups apart.
fn has_pages(page: &Path, name: &str, most: u64) {
    let Some(found) = looked_at(page, &format!("{name}-pages")) else {
        return;
    };
    for paper in found["papers"].as_array().unwrap() {
        let pages = paper["pages"].as_u64().unwrap();
        assert!(
            (3..=most).contains(&pages),
            "{name}: {pages} pages {paper:#}"
        );
    }
    for view in found["views"].as_array().unwrap() {
        none(view, "broken");
    }
}

#[test]
fn the_page_of_the_demo_is_sound() {
    let folder = tempfile::tempdir().unwrap();
    let page = page(folder.path(), &[]);
    is_sound(&page, "demo", "The boatyard kitchen: the week's lunches");
    has_pages(&page, "demo", 3);
    let folder = tempfile::tempdir().unwrap();
    let kitchen = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/school-visit");
    let page = self::page(folder.path(), &[kitchen.to_str().unwrap()]);
    has_pages(&page, "school-visit", 4);
}

#[test]
fn the_page_of_a_hostile_kitchen_is_sound() {
    let folder = hostile();
    let kitchen = folder.path().to_str().unwrap();
    let plain = page(folder.path(), &[kitchen, "--finish", "none"]);
    let title = format!("{MARKUP}: the week's lunches");
    is_sound(&plain, "hostile-plain", &title);
    let more = ["--finish", "3", "--tradeoffs", "60"];
    let whole = page(folder.path(), &[&[kitchen], &more[..]].concat());
    is_sound(&whole, "hostile", &title);
}

/// Pages of recipes, folded and linked, of the demo and of hostile names: readable on a phone, sound for
/// those who listen, each on one sheet of A4.
#[test]
fn pages_of_recipes_are_sound_and_fit_a_sheet() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let hostile = hostile();
    for (kitchen, batches, name) in [
        (demo.as_path(), "folded", "recipes-demo"),
        (hostile.path(), "linked", "recipes-hostile"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let pages = folder.path().join("pages");
        let output = scant(&[
            "recipes",
            kitchen.to_str().unwrap(),
            "--all",
            "--finish",
            "free",
            "--batches",
            batches,
            "--pages",
            pages.to_str().unwrap(),
        ]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{said}");
        let mut files: Vec<PathBuf> = fs::read_dir(&pages)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        files.sort();
        // The index, the longest page of all, and every eleventh: pages differ by what is in them.
        let longest = files
            .iter()
            .max_by_key(|path| fs::metadata(path).unwrap().len())
            .unwrap()
            .clone();
        let some = files.iter().step_by(11).cloned();
        let looked: std::collections::BTreeSet<PathBuf> =
            some.chain([longest, pages.join("index.html")]).collect();
        for path in looked {
            let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let Some(found) = looked_at(&path, &format!("{name}-{stem}")) else {
                return;
            };
            for view in found["views"].as_array().unwrap() {
                none(view, "console");
                none(view, "requests");
                none(view, "violations");
                let sticking = &view["sticking"];
                assert_eq!(sticking["by"], 0, "{stem}: {view:#}");
            }
            let invalid = found["invalid"].as_array().unwrap();
            assert!(invalid.is_empty(), "{stem}: {invalid:#?}");
            // An index may be longer, and names of 300 letters.
            let short = stem != "index" && name == "recipes-demo";
            for paper in found["papers"].as_array().unwrap() {
                assert!(!short || paper["pages"] == 1, "{stem}: {paper:#}");
            }
        }
    }
}
