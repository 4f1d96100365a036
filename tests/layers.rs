//! Asks whether data flows one way: whether every `crate::` path in `src/` points to the same
//! module or to one that stands before it. The truth is the order written here, which
//! DEVELOPERS.md explains; nothing is compiled or run.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Each module may use only those before it. `table` holds published figures and knows the
/// larder's nutrients; `kitchen` reads files into the larder with the table's help; `explain`
/// tells what the engine found and `tradeoffs` asks it again, never the other way round.
const ORDER: [&str; 17] = [
    "unicode",
    "larder",
    "table",
    "import",
    "kitchen",
    "plan",
    "rules",
    "engine",
    "finish",
    "prep",
    "program",
    "explain",
    "tradeoffs",
    "survey",
    "report",
    "live",
    "cli",
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// The modules named by `crate::name` in code; documentation may point anywhere.
fn used(text: &str) -> impl Iterator<Item = &str> {
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| line.split("crate::").skip(1))
        .map(|rest| {
            let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
            &rest[..end.unwrap_or(rest.len())]
        })
}

fn place(module: &str) -> Option<usize> {
    ORDER.iter().position(|&name| name == module)
}

#[test]
fn every_arrow_points_to_what_stands_before() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    let mut wrong = Vec::new();
    let mut arrows = 0;
    for file in files {
        let inside = file.strip_prefix(&src).unwrap();
        let module = inside.iter().next().unwrap().to_str().unwrap();
        let module = module.strip_suffix(".rs").unwrap_or(module);
        if ["lib", "main"].contains(&module) {
            continue;
        }
        let from = place(module).unwrap_or_else(|| panic!("{module} has no place in the order"));
        let text = fs::read_to_string(&file).unwrap();
        for to in used(&text) {
            arrows += 1;
            if place(to).is_none_or(|to| to > from) {
                wrong.push(format!("{} uses {to}", inside.display()));
            }
        }
    }
    assert!(
        arrows > 20,
        "only {arrows} arrows found: is the reading wrong?"
    );
    assert!(wrong.is_empty(), "backward arrows:\n{}", wrong.join("\n"));
}

/// The rooms of the engine, and its files outside of them; each uses only those before it.
/// `mod` is the front door, `answer` what everybody hands over.
const ROOMS: [&str; 10] = [
    "answer", "threads", "model", "packs", "mip", "bound", "stage", "leaf", "tree", "mod",
];

/// Code without its tests and without comments.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let lines = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    lines.collect::<Vec<_>>().join("\n")
}

/// What stands from a place to the end of a name.
fn name(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_');
    &text[..end.unwrap_or(text.len())]
}

/// No file of the engine stands in a circle of files that use each other, and rooms stand in order.
#[test]
fn the_engine_has_rooms_and_no_circles() {
    let engine = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/engine");
    let mut files = Vec::new();
    sources(&engine, &mut files);
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut wrong = Vec::new();
    for file in &files {
        let inside = file.strip_prefix(&engine).unwrap().with_extension("");
        let parts: Vec<&str> = inside.iter().map(|part| part.to_str().unwrap()).collect();
        if parts.len() > 1 && parts[1] == "mod" || parts.ends_with(&["samples"]) {
            continue;
        }
        let text = code(&fs::read_to_string(file).unwrap());
        if parts[0] != "mod" {
            assert!(
                !text.contains("super::"),
                "{inside:?}: paths are told from the root"
            );
        }
        let place = |room: &str| ROOMS.iter().position(|&name| name == room);
        let from = place(parts[0]).unwrap_or_else(|| panic!("{inside:?} has no place"));
        for rest in text.split("crate::engine::").skip(1) {
            let room = name(rest);
            if place(room).is_none_or(|to| to > from) {
                wrong.push(format!("{} uses {room}", inside.display()));
            }
            let file = rest[room.len()..].strip_prefix("::").map_or("", name);
            let used = if engine.join(room).is_dir() {
                format!("{room}/{file}")
            } else {
                room.to_owned()
            };
            if used != parts.join("/") {
                uses.entry(parts.join("/")).or_default().insert(used);
            }
        }
    }
    assert!(uses.len() > 30, "only {} files use others", uses.len());
    assert!(wrong.is_empty(), "backward arrows:\n{}", wrong.join("\n"));
    // What uses none of those left is taken away, until nothing is left: or a circle is.
    let mut left = uses;
    loop {
        let open: BTreeSet<String> = left.keys().cloned().collect();
        let before = left.len();
        left.retain(|_, used| used.iter().any(|file| open.contains(file)));
        if left.len() == before {
            break;
        }
    }
    assert!(left.is_empty(), "in circles: {left:#?}");
}

/// Whatever reaches a terminal passes the one writer that takes the harm out of it; what a path
/// or an argument holds is quoted there too.
#[test]
fn one_file_of_the_command_line_writes_to_a_terminal() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src.join("cli"), &mut files);
    assert!(files.len() > 10);
    let mut wrong = Vec::new();
    for file in files {
        let inside = file.strip_prefix(&src).unwrap().to_owned();
        if inside.ends_with("console.rs") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let code = text
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"));
        for line in code {
            for word in [
                "print!(",
                "println!(",
                "stdout",
                "stderr",
                ".print()",
                ".display()",
                ".to_string_lossy(",
                "Option<String>",
                "Vec<String>,",
            ] {
                // Options are read as `Typed`, which no message can show raw.
                let option = word.ends_with('>') || word.ends_with(',');
                if line.contains(word) && (!option || line.trim_start().starts_with("pub ")) {
                    wrong.push(format!("{} has {word}: {line}", inside.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_the_command_line_prints_or_reads_the_clock() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    for file in files {
        let inside = file.strip_prefix(&src).unwrap().to_owned();
        if inside.starts_with("cli") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let code = text
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"));
        for line in code {
            for word in [
                "println!",
                "eprintln!",
                "io::stdout",
                "io::stderr",
                "Instant::now",
                "SystemTime",
            ] {
                assert!(!line.contains(word), "{} has {word}", inside.display());
            }
        }
    }
}
