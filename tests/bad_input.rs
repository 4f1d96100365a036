//! Asks whether bad kitchen files get one clear message for each fault, all at once, and whether
//! any bytes at all can make the reader panic. The truth: reports in `fixtures/broken/*/expected.txt`,
//! read through by eye (each must name file and line, say what is wrong and what to write
//! instead), and the contract in models/kitchen-files.md.
//!
//! To write the reports anew after a change of wording, set `REWRITE_EXPECTED=1`, and read them.

use scant::kitchen::{Read, read_dir, read_texts, render};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn broken() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/broken")
}

fn text(name: &str, text: &str) -> Vec<(String, Vec<u8>)> {
    vec![(name.to_owned(), text.as_bytes().to_vec())]
}

fn sound() -> String {
    let mut out = String::from("currency: USD\nfoods:\n");
    for food in ["beans", "rice", "kale"] {
        let _ = write!(
            out,
            "  - food: {food}\n    nutrients: {{energy: 100}}\n    source: invented\n    \
             measures: {{cup: 150 g}}\n    packs:\n      - {{pack: bag, size: 500 g, price: 1.50, \
             keeps: 9, open_keeps: 2}}\n"
        );
    }
    out.push_str(
        "components:\n  - component: cooked rice\n    makes: 1 kg\n    keeps: 2\n    from:\n      \
         - {food: rice, amount: 400 g}\nrecipes:\n  - recipe: Bowl\n    form: bowl\n    lines:\n      \
         - {component: cooked rice, amount: 200 g}\n      - one_of: [{food: beans, amount: 1 cup}, \
         {food: kale, amount: ½ cup}]\nweek: {lunches: 1, eaters: [1, 1.25]}\nrules:\n  cap: 4\n  \
         without: [kale]\nstock:\n  - {food: beans, amount: 1/2 pack, good_until: 2}\n",
    );
    out
}

/// Each fault has a place unless it concerns the whole kitchen, and says both things.
fn complete(read: &Read) {
    assert_eq!(read.larder.is_some(), read.faults.is_empty());
    for fault in read.faults.iter().chain(&read.warnings) {
        assert!(
            !fault.what.is_empty() && !fault.help.is_empty(),
            "{fault:?}"
        );
    }
    let report = render::report(read);
    assert!(!report.contains('\u{1b}'), "colour in {report}");
}

#[test]
fn every_broken_kitchen_gets_its_report() {
    let mut cases: Vec<PathBuf> = fs::read_dir(broken())
        .expect("fixtures")
        .map(|entry| entry.unwrap().path())
        .collect();
    cases.sort();
    assert!(cases.len() >= 15);
    let mut wrong = Vec::new();
    for case in cases {
        let read = read_dir(&case);
        complete(&read);
        let report = render::report(&read);
        for line in report.lines() {
            assert!(
                line.chars().count() <= 80,
                "over 80 columns in {}: {line}",
                case.display()
            );
        }
        let file = case.join("expected.txt");
        if std::env::var_os("REWRITE_EXPECTED").is_some() {
            fs::write(&file, &report).unwrap();
        }
        if fs::read_to_string(&file).unwrap_or_default() != report {
            wrong.push(format!("{}\n{report}", case.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_sound_kitchen_of_these_tests_has_no_fault() {
    let read = read_texts(text("k.yaml", &sound()));
    assert!(read.faults.is_empty(), "{}", render::report(&read));
}

#[test]
fn file_order_and_entry_order_change_nothing() {
    let whole = sound();
    let cut = whole.find("components:").unwrap();
    let one = read_texts(text("k.yaml", &whole)).larder.unwrap();
    let two = read_texts(vec![
        ("b.yaml".to_owned(), whole.as_bytes()[..cut].to_vec()),
        ("a.yaml".to_owned(), whole.as_bytes()[cut..].to_vec()),
    ]);
    assert_eq!(format!("{one:?}"), format!("{:?}", two.larder.unwrap()));
}

#[test]
fn a_file_cut_off_anywhere_is_told_or_read() {
    let whole = sound();
    for end in 0..whole.len() {
        complete(&read_texts(vec![(
            "k.yaml".to_owned(),
            whole.as_bytes()[..end].to_vec(),
        )]));
    }
}

#[test]
fn a_file_that_cannot_be_read_makes_no_names_unknown() {
    let whole = sound();
    let cut = whole.find("components:").unwrap();
    let read = read_texts(vec![
        ("a.yaml".to_owned(), b"foods: [\n".to_vec()),
        ("b.yaml".to_owned(), whole.as_bytes()[cut..].to_vec()),
    ]);
    assert_eq!(read.faults.len(), 1, "{}", render::report(&read));
}

/// A small generator, so that the run is the same everywhere.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % below as u64) as usize
    }
}

#[test]
fn mutated_bytes_never_panic() {
    let whole = sound().into_bytes();
    let scraps: [&[u8]; 16] = [
        b"\n",
        b"  ",
        b"- ",
        b": ",
        b"{",
        b"}",
        b"[",
        b"]",
        b"\"",
        b"-1",
        b"0",
        b"1/0",
        b"%",
        b"\xff",
        b"99999999999999999999",
        b"&a *a",
    ];
    let mut dice = Dice(0x5ca1_ab1e);
    for _ in 0..4_000 {
        let mut bytes = whole.clone();
        for _ in 0..=dice.roll(6) {
            let at = dice.roll(bytes.len());
            match dice.roll(4) {
                0 => bytes[at] = dice.roll(256) as u8,
                1 => {
                    bytes.remove(at);
                }
                2 => {
                    let scrap = scraps[dice.roll(scraps.len())];
                    bytes.splice(at..at, scrap.iter().copied());
                }
                _ => {
                    let end = (at + dice.roll(40)).min(bytes.len());
                    let piece = bytes[at..end].to_vec();
                    let to = dice.roll(bytes.len());
                    bytes.splice(to..to, piece);
                }
            }
        }
        complete(&read_texts(vec![("k.yaml".to_owned(), bytes)]));
    }
}

#[test]
fn noise_and_wrong_encodings_are_one_fault_of_their_file() {
    let mut dice = Dice(7);
    let noise: Vec<u8> = (0..10_000).map(|_| dice.roll(256) as u8).collect();
    let read = read_texts(vec![
        ("good.yaml".to_owned(), sound().into_bytes()),
        ("noise.yaml".to_owned(), noise),
        ("old.yaml".to_owned(), b"kitchen: caf\xe9\n".to_vec()),
        ("wide.yaml".to_owned(), b"\xff\xfek\0i\0t\0".to_vec()),
    ]);
    complete(&read);
    for name in ["noise.yaml", "old.yaml", "wide.yaml"] {
        let count = read
            .faults
            .iter()
            .filter(|fault| fault.file == name)
            .count();
        assert_eq!(count, 1, "{name}: {}", render::report(&read));
    }
    assert!(read.faults.iter().all(|fault| fault.file != "good.yaml"));
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_do_no_harm() {
    let bytes = format!("\u{feff}{}", sound().replace('\n', "\r\n"));
    let read = read_texts(text("k.yaml", &bytes));
    assert!(read.faults.is_empty(), "{}", render::report(&read));
}

#[test]
fn missing_empty_and_oversized_folders_are_told() {
    let dir = tempfile::tempdir().unwrap();
    let empty = read_dir(dir.path());
    assert!(empty.faults[0].what.contains("no kitchen files"));
    let missing = read_dir(&dir.path().join("nowhere"));
    assert!(missing.faults[0].what.contains("cannot be read"));
    let big = fs::File::create(dir.path().join("big.yaml")).unwrap();
    // A sparse file: its size is known without its bytes being read.
    big.set_len(100 << 20).unwrap();
    fs::write(dir.path().join("k.yaml"), sound()).unwrap();
    let read = read_dir(dir.path());
    assert_eq!(read.faults.len(), 1, "{}", render::report(&read));
    assert!(read.faults[0].what.contains("104857600 bytes"));
    assert_eq!(read.faults[0].file, "big.yaml");
    complete(&read);
}

#[test]
fn deep_nesting_and_long_runs_are_refused_quietly() {
    for open in ["[", "{a: ", "- ", "? "] {
        for depth in [30, 33, 300, 100_000] {
            complete(&read_texts(text(
                "k.yaml",
                &format!("rules: \n  {}", open.repeat(depth)),
            )));
        }
    }
    let long = format!("kitchen: {}\n", "x".repeat(1 << 20));
    complete(&read_texts(text("k.yaml", &long)));
    complete(&read_texts(text("k.yaml", &"kitchen: a\n".repeat(10_000))));
}

#[test]
fn ten_thousand_unknown_names_are_told_without_endless_comparing() {
    let mut kitchen = sound();
    let cut = kitchen.find("week:").unwrap();
    let rest = kitchen.split_off(cut);
    for index in 0..10_000 {
        let _ = writeln!(
            kitchen,
            "  - {{recipe: R{index}, form: bowl, lines: [{{food: bean{index}, amount: 100 g}}]}}"
        );
    }
    kitchen.push_str(&rest);
    let started = std::time::Instant::now();
    let read = read_texts(text("k.yaml", &kitchen));
    assert_eq!(read.tally.faults, 10_000);
    render::report(&read);
    assert!(started.elapsed().as_secs() < 20);
}
