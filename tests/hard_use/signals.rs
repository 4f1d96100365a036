//! Signals and limits in every phase of a run, and threads that cannot be had.

use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read};
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::ExitStatusExt;

use super::*;

/// Signals further apart than this are two.
const APART: Duration = Duration::from_millis(250);
/// How soon "at once" is on a machine that has much else to do.
const AT_ONCE: Duration = Duration::from_secs(3);

fn signal(child: &Child, name: &str) {
    assert!(sent(child, name), "it has ended already");
}

/// Sends a signal; whether there was somebody to send it to.
fn sent(child: &Child, name: &str) -> bool {
    let kill = Command::new("kill")
        .args([&format!("-{name}"), &child.id().to_string()])
        .status();
    kill.unwrap().success()
}

/// Signals of a process of which proc(5) shows a mask, bit n - 1 for signal n.
fn signals(process: &str, kind: &str) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix(kind));
    u64::from_str_radix(line?.trim(), 16).ok()
}

/// A second signal: INT, unless it is ignored here and so by all that is started here.
fn second() -> (&'static str, i32) {
    let ignored = signals("self", "SigIgn:").unwrap_or(0);
    if ignored >> 1 & 1 == 0 {
        ("INT", 2)
    } else {
        ("TERM", 15)
    }
}

/// Signals that the program takes, as bits of what proc(5) shows: bit n - 1 is signal n, and HUP is
/// 1, INT 2, TERM 15.
const TAKEN: u64 = 1 | 1 << 1 | 1 << 14;

/// Waits until a process takes all of its signals itself, or leaves them ignored.
fn listening(process: u32) {
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(60) {
        let of = |kind| signals(&process.to_string(), kind);
        let (Some(caught), Some(ignored)) = (of("SigCgt:"), of("SigIgn:")) else {
            // Without /proc a guess has to do.
            std::thread::sleep(Duration::from_secs(1));
            return;
        };
        // A shell that is about to become the program may ignore, but catches nothing.
        if caught != 0 && (caught | ignored) & TAKEN == TAKEN {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn started(folder: &Path, args: &[&str]) -> Child {
    let child = scant(folder, args)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    listening(child.id());
    child
}

/// A kitchen with far too many steps that may be done on any day: its week is found at once,
/// its prep plan is not.
fn laborious(folder: &Path) {
    let (days, steps) = (7, 14);
    let mut dice = 7_u64;
    let mut roll = |below: u64| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (dice >> 33) % below
    };
    let mut text = format!(
        "currency: USD\nweek: {{ lunches: {days}, carry_day: {} }}\n\
         equipment: {{ burner: 2, oven: 1 }}\nfoods:\n",
        days + 3
    );
    for food in 0..steps {
        let _ = writeln!(
            text,
            "  - {{ food: food {food}, nutrients: {{ energy: 100 }}, source: invented, packs: \
             [{{ pack: bag, size: 3 kg, price: 1.50, keeps: 60, open_keeps: 60 }}] }}"
        );
    }
    text += "recipes:\n";
    for day in 1..=days {
        let lines = (0..steps).map(|food| format!("{{ food: food {food}, amount: 20 g }}"));
        let lines: Vec<String> = lines.collect();
        let _ = writeln!(
            text,
            "  - recipe: lunch {day}\n    form: form {day}\n    days: [{day}]\n    needs: \
             [burner, oven]\n    lines: [{}]\n    steps:",
            lines.join(", ")
        );
        for food in 0..steps {
            let needs = ["", "needs: [burner], ", "needs: [oven], "][roll(3) as usize];
            let _ = writeln!(
                text,
                "      - {{ do: cut {day} {food}, food: food {food}, active: {}, passive: {}, \
                 {needs}ahead: 14 }}",
                1 + roll(9),
                roll(20)
            );
        }
    }
    fs::create_dir(folder.join("laborious")).unwrap();
    fs::write(folder.join("laborious/kitchen.yaml"), text).unwrap();
}

/// A kitchen whose recipes are long to read aloud: more than a pipe holds.
fn wordy(folder: &Path) {
    let step = format!("      - \"{}\"\n", "stir ".repeat(900));
    let steps = format!("    steps:\n{}", step.repeat(60));
    let lines = "amount: 125 g }]\n";
    let text = TWO.replace(lines, &format!("{lines}{steps}"));
    assert!(text.len() > 200_000);
    fs::create_dir(folder.join("wordy")).unwrap();
    fs::write(folder.join("wordy/kitchen.yaml"), text).unwrap();
}

/// A kitchen that takes long to read.
fn large(folder: &Path) {
    let (head, tail) = TWO.split_once("recipes:\n").unwrap();
    let (two, rules) = tail.split_once("rules:").unwrap();
    let mut text = format!("{head}recipes:\n{two}");
    for n in 0..19_000 {
        let _ = writeln!(
            text,
            "  - {{ recipe: rice {n}, form: bowl, lines: [{{ food: rice, amount: 300 g }}] }}"
        );
    }
    let _ = write!(text, "rules:{rules}");
    fs::create_dir(folder.join("large")).unwrap();
    fs::write(folder.join("large/kitchen.yaml"), text).unwrap();
}

/// Reads standard error until a line holds the words.
fn heard(child: &mut Child, words: &str) -> bool {
    let mut lines = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    while lines.read_line(&mut line).unwrap() > 0 {
        if line.contains(words) {
            // The rest goes where nobody waits for it.
            std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
            return true;
        }
        line.clear();
    }
    false
}

/// One signal asks, whichever it is: the best so far is told, and never called best.
#[test]
fn each_of_three_signals_asks_for_the_best_so_far() {
    let folder = place();
    for name in ["INT", "TERM", "HUP"] {
        let child = started(
            folder.path(),
            &["week", "--threads", "1", "--format", "json"],
        );
        std::thread::sleep(Duration::from_millis(400));
        signal(&child, name);
        let output = child.wait_with_output().unwrap();
        let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let word = told["outcome"].as_str().unwrap();
        match code(&output) {
            0 => assert_eq!(word, "best"),
            3 => assert!(["good", "out_of_time"].contains(&word), "{word}"),
            other => panic!("SIG{name}: exit {other}: {}", said(&output)),
        }
    }
}

/// `timeout` sends its signal to the program and to its group: one request, not two.
#[test]
fn two_signals_as_one_are_one_request() {
    let folder = place();
    if !can("a time limit", "timeout", &["5", "true"]) {
        return;
    }
    let asked = ["week", "--threads", "1", "--format", "json"];
    let output = Command::new("timeout")
        .args(["--preserve-status", "0.4", PROGRAM])
        .args(asked)
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!([0, 3].contains(&code(&output)), "{}", said(&output));
    assert!(serde_json::from_slice::<serde_json::Value>(&output.stdout).is_ok());
}

/// The second ends the program by that signal, whatever it is doing.
#[test]
fn a_second_signal_ends_at_once_in_every_phase() {
    let folder = place();
    let path = folder.path();
    laborious(path);
    wordy(path);
    large(path);
    let before = everything(path);
    // What is said when the phase begins, and how long after that is well inside it.
    let phases: [(&str, &[&str], &str, u64); 6] = [
        ("reading", &["week", "large"], "", 300),
        ("search", &["tradeoffs"], "", 700),
        ("general solver", &["week", "--engine", "program"], "", 700),
        ("row", &["weeks", "26", "--plans", "plans"], "", 700),
        ("prep", &["prep", "laborious"], "proved best", 50),
        ("printing", &["recipes", "wordy"], "proved best", 700),
    ];
    for (phase, args, words, after) in phases {
        let mut child = started(path, args);
        if !words.is_empty() {
            assert!(heard(&mut child, words), "{phase}");
        }
        std::thread::sleep(Duration::from_millis(after));
        signal(&child, "TERM");
        std::thread::sleep(APART);
        if let Some(status) = child.try_wait().unwrap() {
            // It was quick to bring what it had: that is what the first signal is for.
            assert!(phase != "printing", "{phase}: {status}");
            continue;
        }
        let (name, number) = second();
        // It may have ended just now.
        sent(&child, name);
        let mut status = ends_within(&mut child, AT_ONCE);
        if status.is_none() {
            // On a machine with much else to do both may be taken up at once, and are one then.
            sent(&child, name);
            status = ends_within(&mut child, AT_ONCE);
        }
        let status = status.unwrap_or_else(|| panic!("{phase}: deaf to a second signal"));
        let quick = status.code().is_some_and(|code| [0, 3].contains(&code));
        assert!(
            status.signal() == Some(number) || quick,
            "{phase}: {status}"
        );
    }
    let _ = fs::remove_dir_all(path.join("plans"));
    assert!(everything(path) == before, "something is left");
}

/// Where a command has nothing so far, a first signal is as good as a second; none of them
/// leaves anything in the making, however slow the disc is.
#[test]
fn an_end_while_writing_leaves_nothing_in_the_making() {
    let folder = place();
    let path = folder.path();
    let slow = ["-f", "-qq", "-o", "/dev/null", "-e", "trace=fsync", "-e"];
    if !can(
        "a slow disc",
        "strace",
        &["-qq", "-e", "trace=none", "true"],
    ) {
        return;
    }
    let before = everything(path);
    for (args, signals, words) in [
        (&["start", "mine"][..], 1, ""),
        (&["import", "page.json", "--out", "new.yaml"], 1, ""),
        (&["shell", "--manuals", "."], 1, ""),
        (
            &["list", "kitchen", "--csv", "a", "--left-csv", "b"],
            2,
            "proved best",
        ),
    ] {
        let mut child = Command::new("strace")
            .args(slow)
            .arg("inject=fsync:delay_enter=1500ms")
            .arg(PROGRAM)
            .args(args)
            .current_dir(path)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        if !words.is_empty() {
            assert!(heard(&mut child, words));
        }
        let start = Instant::now();
        let making = || everything(path).keys().any(|path| in_the_making(path));
        while !making() && start.elapsed() < Duration::from_secs(20) {
            std::thread::sleep(Duration::from_millis(5));
        }
        assert!(making(), "{args:?} makes nothing");
        std::thread::sleep(APART);
        let program = children(child.id());
        for _ in 0..signals {
            let sent = Command::new("kill").args(["-TERM", &program]).status();
            assert!(sent.unwrap().success());
            std::thread::sleep(APART);
        }
        let ended = ends_within(&mut child, AT_ONCE);
        assert!(ended.is_some(), "{args:?}: deaf while writing");
        assert!(everything(path) == before, "{args:?}: something is left");
    }
}

/// The process that strace started.
fn children(parent: u32) -> String {
    let tasks = format!("/proc/{parent}/task/{parent}/children");
    let children = fs::read_to_string(tasks).unwrap();
    children.split_whitespace().next().unwrap().to_owned()
}

/// What does not end by itself, asked by a signal or a limit, is ended: `timeout 60` can end any
/// run. Here nobody takes what it has to say, and it has something to say before it searches.
#[test]
fn what_does_not_answer_is_ended() {
    if !can("a time limit", "timeout", &["5", "true"]) {
        return;
    }
    let end = |limit: &str, ask: bool| {
        let folder = place();
        let before = everything(folder.path());
        let full =
            format!("timeout 2 cat /dev/zero >&2; exec '{PROGRAM}' list --csv a --limit {limit}");
        let mut child = Command::new("sh")
            .args(["-c", &full])
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        listening(child.id());
        let start = Instant::now();
        if ask {
            signal(&child, "TERM");
        }
        let ended = ends_within(&mut child, Duration::from_secs(40));
        let took = start.elapsed().as_secs_f64();
        println!("--limit {limit}: ended after {took:.1} s");
        assert_eq!(ended.and_then(|status| status.code()), Some(3), "{took}");
        assert!(took > 9.0, "it was not given its ten seconds: {took}");
        assert!(everything(folder.path()) == before, "something is left");
    };
    std::thread::scope(|scope| {
        scope.spawn(|| end("1", false));
        scope.spawn(|| end("1e18", true));
    });
}

/// A program started with a signal ignored, as `nohup` does, leaves it ignored.
#[test]
fn an_ignored_signal_stays_ignored() {
    let folder = place();
    let mut child = Command::new("sh")
        .arg("-c")
        .arg(format!("trap '' HUP; exec '{PROGRAM}' tradeoffs"))
        .current_dir(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    listening(child.id());
    let of = |kind| signals(&child.id().to_string(), kind);
    let masks = (of("SigIgn:"), of("SigCgt:"));
    let _ = child.kill();
    let _ = child.wait();
    let (Some(ignored), Some(caught)) = masks else {
        println!("left out, there is no /proc here");
        return;
    };
    assert_eq!(ignored & 1, 1);
    // What is ignored here was ignored before it began, and stays so as well.
    let before = signals("self", "SigIgn:").unwrap_or(0);
    assert_eq!(caught & TAKEN, TAKEN & !1 & !before);
}

/// A limit is for the whole command, whatever it does.
#[test]
fn a_limit_holds_for_the_whole_command() {
    let folder = place();
    laborious(folder.path());
    for (args, limit, exits) in [
        (&["weeks", "26"][..], "2", &[3][..]),
        (&["week", "--without", "oven"], "2", &[0, 3]),
        (&["tradeoffs"], "2", &[3]),
        (&["week", "--engine", "program"], "1", &[3]),
        (&["prep", "laborious"], "0.2", &[0, 3]),
        (
            &["sheet", "--out", "a.html", "--tradeoffs", "600"],
            "2",
            &[0, 3],
        ),
    ] {
        let mut child = started(folder.path(), &[args, &["--limit", limit]].concat());
        let drain = child.stdout.take().unwrap();
        std::thread::spawn(move || std::io::copy(&mut { drain }, &mut std::io::sink()));
        let start = Instant::now();
        let ended = ends_within(&mut child, Duration::from_secs(60));
        let took = start.elapsed().as_secs_f64();
        println!("{args:?} --limit {limit}: {took:.2} s");
        let mut told = String::new();
        child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut told)
            .unwrap();
        let code = ended.and_then(|status| status.code());
        assert!(
            code.is_some_and(|code| exits.contains(&code)),
            "{args:?}: {code:?} {told}"
        );
        assert!(took < 12.0, "{args:?}: {took} s");
        assert!(!told.contains("no answer"), "{args:?}: {told}");
    }
    for limit in ["1e18", "1e300", "100000000"] {
        for engine in ["search", "program"] {
            let args = ["week", "kitchen", "--limit", limit, "--engine", engine];
            let output = run(folder.path(), &args);
            let exit = if engine == "search" { 0 } else { 3 };
            assert_eq!(code(&output), exit, "{}", said(&output));
            assert!(!output.stdout.is_empty(), "{}", said(&output));
        }
    }
}

/// Asked to stop, the prep plan is whole, judged, and said not to be proved.
#[test]
fn a_prep_plan_asked_to_stop_is_whole_and_not_proved() {
    let folder = place();
    laborious(folder.path());
    let args = ["prep", "laborious", "--format", "json"];
    let mut child = started(folder.path(), &args);
    assert!(heard(&mut child, "proved best"));
    std::thread::sleep(Duration::from_millis(100));
    signal(&child, "TERM");
    let start = Instant::now();
    let output = child.wait_with_output().unwrap();
    println!("ended after {:.2} s", start.elapsed().as_secs_f64());
    assert!(start.elapsed() < AT_ONCE, "deaf");
    assert_eq!(code(&output), 0, "the week was proved best");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let steps = told["stints"].as_array().unwrap().iter();
    let steps = steps.map(|stint| stint["tasks"].as_array().unwrap().len());
    assert_eq!(steps.sum::<usize>(), 7 * 14);
    assert!(told["bound"].as_i64() < told["minutes"].as_i64());
}

/// Another user, who may start only so many threads: fewer are used and said, and what is found
/// is the same.
#[test]
fn threads_that_cannot_be_had_are_said_and_done_without() {
    let folder = place();
    let path = folder.path();
    // One who has nothing else to run: threads are counted by user. Processes of this machine
    // have numbers below 2^22 (proc(5)), users seldom any above 2^30.
    let user = format!("--reuid={}", (1_u32 << 30) + std::process::id());
    let user = [user.as_str(), "--regid=65534", "--clear-groups"];
    let tools = [&user[..], &["prlimit", "--nproc=100", "true"]].concat();
    if !can("another user with limits", "setpriv", &tools) {
        return;
    }
    // Where that user may read.
    let program = path.join("scant");
    fs::copy(PROGRAM, &program).unwrap();
    for file in [path, &program] {
        fs::set_permissions(file, fs::Permissions::from_mode(0o755)).unwrap();
    }
    let limited = |count: usize, args: &[&str]| {
        Command::new("setpriv")
            .args(user)
            .args(["prlimit", &format!("--nproc={count}")])
            .arg(&program)
            .args(args)
            .current_dir(path)
            .output()
            .unwrap()
    };
    // Its folder may be one that nobody else may look into.
    if !limited(100, &["--version"]).status.success() {
        println!("left out, another user cannot start the program here");
        return;
    }
    for args in [&["week", "kitchen"][..], &["tradeoffs", "kitchen"]] {
        let args = [args, &["--threads", "4"]].concat();
        let free = run(path, &args);
        let mut fewer = 0;
        for count in 1..20 {
            let output = limited(count, &args);
            let told = said(&output);
            match code(&output) {
                0 => {
                    assert!(output.stdout == free.stdout, "{count}: other bytes");
                    let said = told.contains("of 4 threads");
                    fewer += u32::from(said);
                    // Four for each of the four, the first one and the one that takes signals.
                    assert_eq!(said, count < 18, "{count}: {told}");
                }
                2 => assert!(
                    count < 6 && told.contains("too few threads"),
                    "{count}: {told}"
                ),
                other => panic!("{args:?}, {count} threads: exit {other}: {told}"),
            }
        }
        assert!(fewer > 5, "{args:?}: never fewer");
    }
}
