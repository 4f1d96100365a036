//! Asks whether README and models/commands.md tell the truth: every command of their `console`
//! blocks is run and must print what stands there; the YAML must be a kitchen without fault. The truth is what the
//! program prints.
//!
//! In a block, `$ ` opens a command and a comment may follow after two spaces and `#`. The
//! lines below are its standard output; a line `...` stands for any lines, `? 2` for output
//! on standard error only and that exit code. Every line is compared, how much the search looked
//! at too: it is the same on every machine, and who reads README compares it. The commands of a
//! block run one after the other in the same empty folder. SCANT_ACCEPT=1 writes what is printed
//! into README instead (where no `...` stands); counts of weeks in its sentences are compared and
//! never written.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a user reads first, and what it had no room for.
const PAGES: [&str; 2] = ["README.md", "models/commands.md"];

fn page(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Both pages.
fn pages() -> String {
    let read = PAGES.map(|name| fs::read_to_string(page(name)).unwrap());
    read.concat()
}

#[test]
fn the_readme_is_short() {
    let text = fs::read_to_string(page("README.md")).unwrap();
    let lines = text.lines().count();
    assert!(lines <= 250, "{lines} lines");
}

/// Output and exit code of a README command.
fn run(command: &str, folder: &Path) -> (String, i32) {
    let command = command.split("  #").next().unwrap().trim();
    let mut words = command.split_whitespace();
    assert_eq!(words.next(), Some("scant"), "only scant is run: {command}");
    let done = Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(words)
        .current_dir(folder)
        .output()
        .unwrap();
    (
        String::from_utf8(done.stdout).unwrap(),
        done.status.code().unwrap(),
    )
}

/// The commands of a block and what is said to follow each.
fn commands(block: &str) -> Vec<(&str, String)> {
    let mut all: Vec<(&str, String)> = Vec::new();
    for line in block.lines() {
        if let Some(command) = line.strip_prefix("$ ") {
            all.push((command, String::new()));
        } else {
            let said = &mut all.last_mut().expect("a block opens with a command").1;
            said.push_str(line);
            said.push('\n');
        }
    }
    all
}

/// Whether the parts between the `...` lines stand in the text in that order.
fn follows(text: &str, said: &str) -> bool {
    let mut rest = text;
    for part in said.split("...\n").filter(|part| !part.is_empty()) {
        let Some(at) = rest.find(part) else {
            return false;
        };
        rest = &rest[at + part.len()..];
    }
    true
}

#[test]
fn every_command_prints_what_readme_says() {
    let ran: usize = PAGES.iter().map(|name| held(name)).sum();
    assert!(ran >= 16, "only {ran} commands found");
}

/// Runs the commands of a page; returns how many there are.
fn held(name: &str) -> usize {
    let accept = std::env::var_os("SCANT_ACCEPT").is_some();
    let text = fs::read_to_string(page(name)).unwrap();
    let mut parts: Vec<String> = Vec::new();
    let mut ran = 0;
    for (i, part) in text.split("```").enumerate() {
        let block = part.strip_prefix("console\n").filter(|_| i % 2 == 1);
        let Some(block) = block else {
            parts.push(part.to_owned());
            continue;
        };
        let folder = tempfile::tempdir().unwrap();
        let mut now = "console\n".to_owned();
        for (command, said) in commands(block) {
            let (printed, code) = run(command, folder.path());
            ran += 1;
            now.extend(["$ ", command, "\n"]);
            if let Some(expected) = said.strip_prefix("? ") {
                assert_eq!(code.to_string(), expected.trim(), "{command}");
                assert_eq!(printed, "", "{command}");
                now.push_str(&said);
                continue;
            }
            assert_eq!(code, 0, "{command}");
            let whole = !said.lines().any(|line| line == "...");
            if accept && whole {
                now.push_str(&printed);
                continue;
            }
            now.push_str(&said);
            if whole {
                assert_eq!(printed, said, "{command}");
            } else {
                // What is left out is somebody's choice: these are changed by hand, and held
                // once the rest was accepted.
                let follows = follows(&printed, &said);
                assert!(accept || follows, "{command} printed\n{printed}");
            }
        }
        parts.push(now);
    }
    if accept {
        fs::write(page(name), parts.join("```")).unwrap();
    }
    ran
}

/// The first number of a text.
fn number(text: &str) -> Option<usize> {
    let digits = text.split(|c: char| !c.is_ascii_digit());
    digits.into_iter().find(|run| !run.is_empty())?.parse().ok()
}

/// How many weeks the trade-offs of the demo solve, as they end with.
fn solved(options: &str, folder: &Path) -> usize {
    let (printed, code) = run(&format!("scant tradeoffs {options}"), folder);
    assert_eq!(code, 0, "{options}");
    if options.is_empty() {
        let lines = printed.lines().count();
        assert!(lines <= 80, "{lines} lines\n{printed}");
        let wide = printed.lines().find(|line| line.chars().count() > 80);
        assert_eq!(wide, None);
    }
    let end = printed.trim_end().rsplit("\n\n").next().unwrap();
    let end = &end.split_whitespace().collect::<Vec<_>>().join(" ");
    let settled = end.contains("question above is settled") && !end.contains("Not every");
    assert!(settled && end.contains(" solved and judged"), "{end}");
    number(end).unwrap()
}

#[test]
fn sentences_tell_as_many_weeks_as_are_solved() {
    let text = pages();
    let folder = tempfile::tempdir().unwrap();
    let mut told = 0;
    for part in text.split("`--only ").skip(1) {
        let (section, rest) = part.split_once('`').unwrap();
        // Where a number follows at once it is that of the weeks.
        let rest = rest.strip_prefix(" solves").unwrap_or(rest).trim_start();
        if !rest.starts_with(|c: char| c.is_ascii_digit()) {
            continue;
        }
        told += 1;
        let is = solved(&format!("--only {section}"), folder.path());
        assert_eq!(number(rest), Some(is), "--only {section}");
    }
    let all = text.split("all twelve sections solve ").nth(1).unwrap();
    assert_eq!(number(all), Some(solved("", folder.path())), "all sections");
    assert!(told >= 4, "only {told} sections are told of");
}

#[test]
fn the_kitchen_in_readme_has_no_fault() {
    let text = pages();
    let yaml = text.split("```yaml\n").nth(1).unwrap();
    let yaml = yaml.split("```").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kitchen.yaml"), yaml).unwrap();
    let (printed, code) = run("scant check .", folder.path());
    assert_eq!(code, 0, "{printed}");
}

#[test]
fn the_commands_at_the_top_are_the_ones_the_checks_run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let checks = fs::read_to_string(root.join(".ci/run")).unwrap();
    let text = fs::read_to_string(page("README.md")).unwrap();
    for (said, run) in [
        (
            "cargo run --release -- week",
            "cargo run --release --locked -- week",
        ),
        ("bash tests/run", "bash tests/run"),
    ] {
        assert!(text.contains(said) && checks.contains(run), "{said}");
    }
}
