//! Runs `judge.py` or `certify.py` with the solvers that are installed.

// What the solvers said is the test's report.
#![allow(clippy::print_stderr)]

use std::path::{Path, PathBuf};
use std::process::Command;

use scant::larder::{Ingredient, Larder};

/// Returns an environment variable, or what stands for it.
pub fn setting(name: &str, default: &str) -> String {
    std::env::var(name).unwrap_or_else(|_| default.to_owned())
}

/// Returns the Python that has HiGHS, if it is installed.
pub fn python() -> Option<PathBuf> {
    let local = Path::new(env!("CARGO_MANIFEST_DIR")).join(".venv/bin/python");
    let python = PathBuf::from(setting("SCANT_PYTHON", &local.to_string_lossy()));
    let has_solver = Command::new(&python)
        .args(["-c", "import highspy"])
        .output()
        .is_ok_and(|run| run.status.success());
    has_solver.then_some(python)
}

/// Writes cases with `write` and asks the solvers about them; panics if one disagrees.
/// Passes with a note where no solver is installed, unless `SCANT_JUDGES` is `required`.
pub fn ask(label: &str, solvers: &str, seconds: &str, write: impl FnOnce(&Path)) {
    ask_with("judge.py", label, solvers, seconds, write);
}

/// The same with another script than `judge.py`.
pub fn ask_with(
    script: &str,
    label: &str,
    solvers: &str,
    seconds: &str,
    write: impl FnOnce(&Path),
) {
    let Some(python) = python() else {
        assert!(
            setting("SCANT_JUDGES", "") != "required",
            "HiGHS is not installed: {label} not compared"
        );
        eprintln!("no solver installed: {label} not compared (tests/run installs them)");
        return;
    };
    let kept = std::env::var("SCANT_KEEP").ok().map(PathBuf::from);
    let dropped = tempfile::tempdir().expect("a temporary folder");
    let folder = kept.map_or(dropped.path().to_owned(), |kept| kept.join(label));
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    write(&folder);
    let run = Command::new(python)
        .arg(
            Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("tests/solvers")
                .join(script),
        )
        .arg(&folder)
        .args(["--seconds", &setting("SCANT_SECONDS", seconds)])
        .args(["--with", &setting("SCANT_SOLVERS", solvers)])
        .args(["--only", &setting("SCANT_ONLY", "")])
        .output()
        .expect("the judge runs");
    let said = String::from_utf8_lossy(&run.stdout);
    let fault = String::from_utf8_lossy(&run.stderr);
    eprintln!("{said}{fault}");
    assert!(
        run.status.success(),
        "{label}: a solver disagrees\n{said}{fault}"
    );
}

/// Whether a lunch may draw on two batches of a component.
pub fn may_split(larder: &Larder) -> bool {
    let lines = larder.recipes.iter().flat_map(|recipe| &recipe.lines);
    lines.flat_map(|line| &line.alternatives).any(|taken| {
        matches!(taken.what, Ingredient::Component(id) if larder.components[id.index()].keeps > 0)
    })
}

/// Returns 1e-9 as exact decimal text.
pub fn decimal(nano: i128) -> String {
    let sign = if nano < 0 { "-" } else { "" };
    let size = nano.unsigned_abs();
    format!("{sign}{}.{:09}", size / 1_000_000_000, size % 1_000_000_000)
}

/// Writes a file of a case.
pub fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).expect("the folder can be written to");
}
