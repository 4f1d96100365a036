//! Kills at every system call of every way of writing, and what those calls are.

use super::*;

/// Calls by which something may come about in a file system.
const CALLS: &str = "?open,?openat,?mkdir,?mkdirat,?write,?pwrite64,?fsync,?fdatasync,?fchmod,\
                     ?chmod,?fchmodat,?fchown,?rename,?renameat,?renameat2,?link,?linkat,?unlink,\
                     ?unlinkat,?rmdir";

/// A way of writing: the command, and what is there before.
struct Way<'a> {
    name: &'static str,
    args: &'a [&'a str],
    before: &'static [(&'static str, &'static str)],
    folders: &'static [&'static str],
}

const OLD: &str = "what was there before";

const WAYS: [Way<'static>; 9] = [
    Way {
        name: "two new files",
        args: &["list", "kitchen", "--csv", "a", "--left-csv", "b"],
        before: &[],
        folders: &[],
    },
    Way {
        name: "two files replaced",
        args: &["list", "kitchen", "--csv", "a", "--left-csv", "b"],
        before: &[("a", OLD), ("b", OLD)],
        folders: &[],
    },
    Way {
        name: "recipes",
        args: &["recipes", "kitchen", "--json-ld", "a"],
        before: &[("a", OLD)],
        folders: &[],
    },
    Way {
        name: "calendar",
        args: &[
            "calendar",
            "kitchen",
            "--monday",
            "2031-03-03",
            "--out",
            "a",
        ],
        before: &[("a", OLD)],
        folders: &[],
    },
    Way {
        name: "page",
        args: &["sheet", "kitchen", "--out", "a"],
        before: &[("a", OLD)],
        folders: &[],
    },
    Way {
        name: "programs",
        args: &[
            "program",
            "kitchen",
            "--lp",
            "a",
            "--mps",
            "b",
            "--certify",
            "c",
        ],
        before: &[("c", OLD)],
        folders: &[],
    },
    Way {
        name: "a row's plans",
        args: &["weeks", "2", "kitchen", "--plans", "plans"],
        before: &[("plans/week-2.json", OLD)],
        folders: &["plans"],
    },
    Way {
        name: "import",
        args: &["import", "page.json", "--out", "a"],
        before: &[],
        folders: &[],
    },
    Way {
        name: "man pages",
        args: &["shell", "--manuals", "man"],
        before: &[("man/scant.1", OLD)],
        folders: &["man"],
    },
];

fn strace() -> bool {
    can(
        "kills at system calls",
        "strace",
        &["-qq", "-e", "trace=none", "true"],
    )
}

/// Runs under strace with more options; what it noted.
fn traced(path: &Path, options: &[&str], args: &[&str]) -> (Output, String) {
    let log = tempfile::NamedTempFile::new().unwrap();
    let output = Command::new("strace")
        .args(["-f", "-y", "-qq", "-s", "300", "-o"])
        .arg(log.path())
        .args(["-e", &format!("trace={CALLS}")])
        .args(options)
        .arg(PROGRAM)
        .args(args)
        .current_dir(path)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (output, fs::read_to_string(log.path()).unwrap())
}

/// Calls of the first thread on something in the making, and syncs: each with the how many-th of
/// its kind in the run it is.
fn calls(log: &str) -> Vec<(String, usize)> {
    let first = log.split_whitespace().next().unwrap_or_default();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut found = Vec::new();
    for line in log.lines() {
        let Some(rest) = line.strip_prefix(first) else {
            continue;
        };
        let Some((call, _)) = rest.trim_start().split_once('(') else {
            continue;
        };
        let count = counts.entry(call).or_insert(0);
        *count += 1;
        let ours = rest.contains(".scant-") || call == "fsync";
        if ours && call.bytes().all(|b| b.is_ascii_alphanumeric()) {
            found.push((call.to_owned(), *count));
        }
    }
    found
}

fn set_up(way: &Way) -> tempfile::TempDir {
    let folder = place();
    for dir in way.folders {
        fs::create_dir(folder.path().join(dir)).unwrap();
    }
    for (name, text) in way.before {
        fs::write(folder.path().join(name), text).unwrap();
    }
    fs::write(folder.path().join("neighbour"), "mine").unwrap();
    folder
}

type All = BTreeMap<PathBuf, Option<Vec<u8>>>;

/// Every file is as it was before or as a run left alone makes it; nothing else is there but,
/// after a kill that nothing can be done about, what was in the making.
fn whole(what: &str, before: &All, wanted: &All, after: &All, killed: bool) {
    for (path, text) in after {
        if in_the_making(path) {
            assert!(killed, "{what}: {} is left", path.display());
            continue;
        }
        // Asked to end, a search ends with another week: of that nothing is known here.
        let fine = !killed || before.get(path) == Some(text) || wanted.get(path) == Some(text);
        assert!(fine, "{what}: {} is torn", path.display());
    }
    for path in before.keys() {
        assert!(
            after.contains_key(path),
            "{what}: {} is gone",
            path.display()
        );
    }
}

/// Kills with a signal at each call in turn, `steps` apart.
fn killed_everywhere(way: &Way, signal: &str, steps: usize) -> usize {
    let folder = set_up(way);
    let before = everything(folder.path());
    let (output, log) = traced(folder.path(), &[], way.args);
    assert_eq!(code(&output), 0, "{}: {}", way.name, said(&output));
    let wanted = everything(folder.path());
    assert!(wanted != before, "{} writes nothing", way.name);
    let calls = calls(&log);
    assert!(calls.len() > 4, "{}: only {} calls", way.name, calls.len());
    let mut kills = 0;
    for (call, count) in calls.iter().step_by(steps) {
        let folder = set_up(way);
        let inject = format!("inject={call}:signal={signal}:when={count}");
        let (_, _) = traced(folder.path(), &["-e", &inject], way.args);
        let after = everything(folder.path());
        let what = format!("{}, {signal} at {call} {count}", way.name);
        whole(&what, &before, &wanted, &after, signal == "KILL");
        kills += 1;
    }
    kills
}

#[test]
fn a_kill_at_any_call_leaves_old_or_new_files() {
    if !strace() {
        return;
    }
    let steps = |way: &Way| if way.name == "man pages" { 5 } else { 1 };
    let kills = WAYS
        .iter()
        .map(|way| killed_everywhere(way, "KILL", steps(way)));
    let kills: usize = kills.sum();
    println!("{kills} kills");
    assert!(kills > 100, "only {kills}");
}

#[test]
fn a_request_to_end_at_any_call_leaves_nothing_in_the_making() {
    if !strace() {
        return;
    }
    for (way, signal) in WAYS.iter().zip(["TERM", "INT", "HUP"].iter().cycle()) {
        killed_everywhere(way, signal, 4);
    }
}

/// `start` makes a whole kitchen or none, and asked to end leaves nothing.
#[test]
fn start_is_whole_or_not_there_wherever_it_is_killed() {
    if !strace() {
        return;
    }
    for dir in ["mine", "new/deep/mine"] {
        let args = ["start", dir];
        let way = Way {
            name: "start",
            args: &args,
            before: &[],
            folders: &[],
        };
        let folder = set_up(&way);
        let before = everything(folder.path());
        let (output, log) = traced(folder.path(), &[], way.args);
        assert_eq!(code(&output), 0, "{}", said(&output));
        let wanted = everything(folder.path());
        for (signal, steps) in [("KILL", 2), ("TERM", 5)] {
            for (call, count) in calls(&log).iter().step_by(steps) {
                let folder = set_up(&way);
                let inject = format!("inject={call}:signal={signal}:when={count}");
                traced(folder.path(), &["-e", &inject], way.args);
                let mut after = everything(folder.path());
                if signal == "KILL" {
                    after.retain(|path, _| !in_the_making(path));
                }
                let fine = after == before || after == wanted;
                assert!(fine, "{signal} at {call} {count}: {:?}", after.keys());
            }
        }
    }
}

/// What is opened to be written is new; it is synced before it is renamed, and its folder after.
#[test]
fn what_is_written_is_new_then_synced_then_renamed_then_its_folder_is_synced() {
    if !strace() {
        return;
    }
    let start = Way {
        name: "start",
        args: &["start", "mine"],
        before: &[],
        folders: &[],
    };
    for way in WAYS.iter().chain([&start]) {
        let folder = set_up(way);
        let (_, log) = traced(folder.path(), &[], way.args);
        let mut synced: Vec<&str> = Vec::new();
        let mut renamed: Vec<&str> = Vec::new();
        let (mut names, mut after) = (0, 0);
        for line in log.lines() {
            if line.contains("open") && line.contains("O_WRONLY") || line.contains("O_RDWR") {
                let new = line.contains("O_CREAT|O_EXCL");
                // A file that is there is opened only to ask whether it may be written to.
                let asked = !line.contains("O_CREAT") && line.contains("O_NONBLOCK");
                assert!(new || asked, "{}: {line}", way.name);
                assert!(!line.contains("O_TRUNC"), "{}: {line}", way.name);
            }
            let told = |call: &str| line.contains(call) && line.contains(" = 0");
            if told("fsync(") {
                let path = line.split(['<', '>']).nth(1).unwrap();
                if in_the_making(Path::new(path)) {
                    synced.push(path);
                } else if !renamed.is_empty() {
                    after += 1;
                }
            }
            if told("rename") || told("link(") && !told("unlink(") {
                let from = line.split('"').nth(1).unwrap().rsplit('/').next().unwrap();
                assert!(in_the_making(Path::new(from)), "{}: {line}", way.name);
                assert!(
                    synced.iter().any(|path| path.ends_with(from)),
                    "{}: not synced before {line}",
                    way.name
                );
                renamed.push(from);
                names += 1;
            }
        }
        assert!(
            names > 0 && after > 0,
            "{}: {names} named, {after} folders",
            way.name
        );
    }
}
