//! Asks whether data flows one way: whether every `crate::` path in `src/` points to the same
//! module or to one that stands before it, and whether no file stands in a circle of files. The
//! truth is the order written here, which DEVELOPERS.md explains; nothing is compiled or run.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

#[path = "layers/arrows.rs"]
mod arrows;

use arrows::{arrows, circles};

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

/// Rooms of the engine stand in order.
#[test]
fn the_engine_has_rooms_in_order() {
    let engine = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/engine");
    let mut files = Vec::new();
    sources(&engine, &mut files);
    let mut arrows = 0;
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
            arrows += 1;
            let room = name(rest);
            if place(room).is_none_or(|to| to > from) {
                wrong.push(format!("{} uses {room}", inside.display()));
            }
        }
    }
    assert!(arrows > 100, "only {arrows} arrows between rooms");
    assert!(wrong.is_empty(), "backward arrows:\n{}", wrong.join("\n"));
}

/// No file stands in a circle of files that use each other, so that each can be read after those
/// it uses.
#[test]
fn no_file_stands_in_a_circle() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    let texts: BTreeMap<String, String> = files
        .iter()
        .map(|file| {
            let inside = file.strip_prefix(&src).unwrap().iter();
            let inside: Vec<&str> = inside.map(|part| part.to_str().unwrap()).collect();
            (inside.join("/"), fs::read_to_string(file).unwrap())
        })
        .collect();
    let arrows = arrows(&texts);
    let count: usize = arrows.values().map(BTreeSet::len).sum();
    assert!(count > 2_000, "only {count} arrows: is the reading wrong?");
    let left = circles(arrows);
    assert!(left.is_empty(), "in circles: {left:#?}");
}

/// The reading sees circles by every kind of path, and none where there is none.
#[test]
fn a_circle_is_seen_however_it_is_written() {
    let in_circle = |front: &str, one: &str, other: &str| {
        let texts = [
            ("lib.rs", "pub mod room;"),
            ("room/mod.rs", front),
            ("room/one.rs", one),
            ("room/other.rs", other),
        ];
        let texts = texts.map(|(path, text)| (path.to_owned(), text.to_owned()));
        let left = circles(arrows(&BTreeMap::from(texts)));
        left.into_keys().collect::<Vec<_>>()
    };
    let both = ["room/one.rs", "room/other.rs"];
    let plain = "mod one;\nmod other;";
    let handing_on =
        "mod one;\nmod other;\npub use one::{One, done as made};\npub(crate) use other::*;";
    let one = "pub struct One; pub fn done() {} fn f() { super::other::g(\"//\"); }";
    for other in [
        "use crate::room::one::One;\npub fn g() {}",
        "use super::one::{self as first, One};\npub fn g() {}",
        "pub fn g() { let a = '\"'; self::super::one::done() }",
        "use super::one;\npub fn g() { one::done() }",
    ] {
        assert_eq!(in_circle(plain, one, other), both, "{other}");
    }
    for other in [
        "use super::One;\npub fn g() {}",
        "pub fn g<'a>() -> &'a str { crate::room::made(); \"\" }",
    ] {
        assert_eq!(in_circle(handing_on, one, other), both, "{other}");
    }
    let by_all = "pub fn done() {} fn f() { crate::room::g() }";
    assert_eq!(
        in_circle(handing_on, by_all, "use super::made;\npub fn g() {}"),
        both
    );
    // The front uses a file that uses the front.
    let front = "mod one;\nmod other;\nfn f() { one::done() }\nfn h() {}";
    let back = "pub fn done() { super::h() }";
    assert_eq!(in_circle(front, back, ""), ["room/mod.rs", "room/one.rs"]);
    for other in [
        "// super::one::done()\npub fn g() { \"super::one::done()\" }",
        "pub fn g() {}\n#[cfg(test)]\nmod tests {\n    use super::super::one::done;\n}",
        "pub fn g() { r#\"\" crate::room::one\"#; }",
    ] {
        assert!(in_circle(handing_on, one, other).is_empty(), "{other}");
    }
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
