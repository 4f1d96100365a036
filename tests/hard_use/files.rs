//! Targets of every kind, named in every way; discs that take nothing; standard output that
//! takes nothing.

use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};

use super::*;

fn list<'a>(csv: &'a str, left: Option<&'a str>) -> Vec<&'a str> {
    let mut args = vec!["list", "kitchen", "--csv", csv];
    args.extend(left.into_iter().flat_map(|left| ["--left-csv", left]));
    args
}

/// Says no at once, before any search, and leaves everything as it was.
fn refused(folder: &Path, args: &[&str], words: &str) {
    let before = everything(folder);
    let mut child = scant(folder, args)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let ended = ends_within(&mut child, Duration::from_secs(20));
    let output = child.wait_with_output().unwrap();
    let said = said(&output);
    assert!(ended.is_some(), "{args:?} waits for ever");
    assert_eq!(code(&output), 2, "{args:?}: {said}");
    assert!(said.contains(words), "{args:?}: {said}");
    assert!(
        said.contains("; "),
        "a remedy behind what is wrong, {args:?}: {said}"
    );
    assert!(!said.contains("proved"), "searched first: {said}");
    assert!(everything(folder) == before, "{args:?} changed something");
}

#[test]
fn one_file_named_twice_is_refused_however_it_is_spelled() {
    let folder = place();
    let path = folder.path();
    let name = path.file_name().unwrap().to_str().unwrap();
    fs::write(path.join("there.csv"), "mine").unwrap();
    fs::hard_link(path.join("there.csv"), path.join("hard.csv")).unwrap();
    symlink("there.csv", path.join("soft.csv")).unwrap();
    symlink(".", path.join("here")).unwrap();
    let absolute = path.join("a.csv");
    let up = format!("../{name}/a.csv");
    for (one, two) in [
        ("a.csv", "a.csv"),
        ("a.csv", "./a.csv"),
        ("a.csv", "kitchen/../a.csv"),
        ("a.csv", &up),
        ("a.csv", absolute.to_str().unwrap()),
        ("a.csv", "here/a.csv"),
        ("a.csv", "here/here/.//a.csv"),
        ("there.csv", "soft.csv"),
        ("there.csv", "hard.csv"),
        ("soft.csv", "here/there.csv"),
    ] {
        refused(path, &list(one, Some(two)), "named twice");
    }
    let files = ["--data", "x", "--mps", "y", "--lp", "./x"];
    refused(
        path,
        &[&["program", "kitchen"], &files[..]].concat(),
        "named twice",
    );
    // Names that are not one file are none.
    let output = run(path, &list("a.csv", Some("A.csv")));
    let folds = path.join("A.csv").exists() && !path.join("a.csv").exists();
    assert!(folds || code(&output) == 0, "{}", said(&output));
}

#[test]
fn what_is_no_plain_file_is_refused_at_once() {
    let folder = place();
    let path = folder.path();
    fs::create_dir(path.join("folder")).unwrap();
    symlink("nowhere", path.join("broken")).unwrap();
    symlink("loop", path.join("loop")).unwrap();
    let pipe = path.join("pipe");
    let made = Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    symlink("pipe", path.join("to pipe")).unwrap();
    let _socket = std::os::unix::net::UnixListener::bind(path.join("socket")).unwrap();
    for (target, words) in [
        ("pipe", "no plain file"),
        ("to pipe", "no plain file"),
        ("socket", "no plain file"),
        ("/dev/null", "no plain file"),
        ("/dev/tty", "no plain file"),
        ("folder", "it is a folder"),
        ("folder/", "names no file"),
        ("..", "names no file"),
        ("broken", "a link that leads to no file"),
        ("loop", "a link that leads to no file"),
        ("none/a.csv", "its folder is not there"),
        ("page.json/a.csv", "is no folder"),
    ] {
        refused(path, &list(target, None), words);
    }
    let long = "n".repeat(256);
    refused(path, &list(&long, None), "the name is too long");
    for named in ["pipe", "to pipe", "/dev/zero", "/dev/tty", "socket"] {
        refused(path, &["import", named], "no plain file");
        refused(
            path,
            &["week", "kitchen", "--after", named],
            "no plain file",
        );
    }
    refused(
        path,
        &["week", "kitchen", "--after", "folder"],
        "it is a folder",
    );
    // Among a kitchen's files, and those of a folder of foods.
    fs::rename(&pipe, path.join("kitchen/more.yaml")).unwrap();
    symlink("/dev/zero", path.join("kitchen/zero.yml")).unwrap();
    let output = run(path, &["check", "kitchen"]);
    assert_eq!(code(&output), 2);
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(told.matches("not a regular file").count(), 2, "{told}");
    let made = Command::new("mkfifo")
        .arg(path.join("folder/food.csv"))
        .status();
    assert!(made.unwrap().success());
    refused(
        path,
        &["import", "folder", "--food", "carrots"],
        "no plain file",
    );
}

#[test]
fn a_link_is_written_through_and_said() {
    let folder = place();
    let path = folder.path();
    fs::create_dir(path.join("far")).unwrap();
    fs::write(path.join("far/real.csv"), "old").unwrap();
    symlink("far/real.csv", path.join("one")).unwrap();
    symlink("one", path.join("two")).unwrap();
    let output = run(path, &list("two", None));
    assert_eq!(code(&output), 0);
    let told = said(&output);
    let real = fs::canonicalize(path.join("far/real.csv")).unwrap();
    assert!(
        told.contains(&format!("Wrote two, a link: {}", real.display())),
        "{told}"
    );
    assert!(fs::symlink_metadata(path.join("two")).unwrap().is_symlink());
    assert_ne!(fs::read_to_string(&real).unwrap(), "old");
    assert_eq!(fs::read_dir(path.join("far")).unwrap().count(), 1);
}

#[test]
fn mode_and_owner_stay_and_what_is_read_only_stays_as_it_is() {
    let folder = place();
    let path = folder.path();
    let file = path.join("a.csv");
    let mode = |path: &Path| fs::metadata(path).unwrap().mode() & 0o7777;
    // A new file is what the umask makes of it, as any program's.
    let made = Command::new("sh")
        .arg("-c")
        .arg(format!(
            "umask 027; exec '{PROGRAM}' list kitchen --csv a.csv"
        ))
        .current_dir(path)
        .output()
        .unwrap();
    assert_eq!(code(&made), 0);
    assert_eq!(mode(&file), 0o640);
    for wanted in [0o600, 0o666, 0o755, 0o200] {
        fs::set_permissions(&file, fs::Permissions::from_mode(wanted)).unwrap();
        let owned = std::os::unix::fs::chown(&file, Some(65_534), Some(65_534)).is_ok();
        let before = fs::metadata(&file).unwrap();
        assert_eq!(code(&run(path, &list("a.csv", None))), 0);
        let after = fs::metadata(&file).unwrap();
        assert_eq!(mode(&file), wanted, "{wanted:o}");
        if owned {
            let owners = (before.uid(), before.gid());
            assert_eq!((after.uid(), after.gid()), owners);
        }
    }
    for wanted in [0o444, 0o400, 0o000] {
        fs::set_permissions(&file, fs::Permissions::from_mode(wanted)).unwrap();
        refused_read_only(path);
        assert_eq!(mode(&file), wanted);
    }
    fs::set_permissions(&file, fs::Permissions::from_mode(0o600)).unwrap();
}

fn refused_read_only(path: &Path) {
    // Nobody but root reads a file that permits nothing: what is in it is asked afterwards.
    let output = run(path, &list("a.csv", None));
    let told = said(&output);
    assert_eq!(code(&output), 2, "{told}");
    assert!(told.contains("is read-only"), "{told}");
    assert!(!told.contains("proved"), "{told}");
}

/// A name that was guessed and made a link beforehand: what it leads to stays as it is.
#[test]
fn a_planted_link_is_no_way_to_another_file() {
    let folder = place();
    let path = folder.path();
    fs::write(path.join("victim"), "precious").unwrap();
    // The number a process will have is known to the shell that becomes it.
    let plant = format!(
        "for name in a.csv.part-$$ .a.csv.part-$$ .scant-$$.part .scant-000000000000.part \
         a.csv~ a.csv.tmp; do ln -s victim $name; done; exec '{PROGRAM}' list kitchen --csv a.csv"
    );
    let output = Command::new("sh")
        .args(["-c", &plant])
        .current_dir(path)
        .output()
        .unwrap();
    assert_eq!(code(&output), 0, "{}", said(&output));
    assert_eq!(fs::read_to_string(path.join("victim")).unwrap(), "precious");
    let planted = everything(path);
    let planted = planted.iter().filter(|(path, _)| in_the_making(path));
    assert_eq!(planted.count(), 2, "nothing but what was planted");
}

#[test]
fn output_that_cannot_be_written_is_a_fault_and_its_reason_is_told() {
    let folder = place();
    let path = folder.path();
    for args in [
        &["--help"][..],
        &["--version"],
        &["week", "--help"],
        &["week", "kitchen"],
        &["week", "kitchen", "--format", "json"],
        &["weeks", "2", "kitchen"],
        &["prep", "kitchen"],
        &["list", "kitchen"],
        &["recipes", "kitchen"],
        &["tradeoffs", "kitchen"],
        &["check", "kitchen"],
        &["schema"],
        &["foods", "rice"],
        &["import", "page.json"],
        &["shell", "--completions", "bash"],
        &["program", "kitchen", "--lp", "l"],
    ] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full");
        let output = scant(path, args).stdout(full.unwrap()).output().unwrap();
        let told = said(&output);
        assert_eq!(code(&output), 2, "{args:?}: {told}");
        assert!(told.contains("the disc is full"), "{args:?}: {told}");
        assert_eq!(
            told.matches("standard output").count(),
            1,
            "{args:?}: {told}"
        );
        assert!(!told.contains("our fault"), "{args:?}: {told}");
        // A reader that has gone away is told nothing.
        let mut child = scant(path, args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let told = said(&output);
        assert_eq!(code(&output), 0, "{args:?}: {told}");
        assert!(!told.contains("standard output"), "{args:?}: {told}");
    }
}

/// A shell in a name space of its own, where `disc` is a small disc in memory.
fn in_small_disc(path: &Path, options: &str, script: &str) -> Option<Output> {
    let mount = format!("mount -t tmpfs -o {options} none disc");
    fs::create_dir_all(path.join("disc")).unwrap();
    if !can("a disc of its own", "unshare", &["-m", "true"]) {
        return None;
    }
    let all = format!("{mount} || exit 99; {script}");
    let output = Command::new("unshare")
        .args(["-m", "sh", "-c", &all])
        .current_dir(path)
        .output()
        .unwrap();
    if output.status.code() == Some(99) {
        println!("left out, no disc can be mounted here");
        return None;
    }
    Some(output)
}

#[test]
fn a_full_disc_has_its_own_words_and_nothing_is_left_on_it() {
    let folder = place();
    let path = folder.path();
    // Room for one file of a page and no more: the second of two finds none.
    let fill = "head -c 1000000 /dev/zero >disc/fill 2>/dev/null; truncate -s -4096 disc/fill";
    let script = format!(
        "{fill}; '{PROGRAM}' list kitchen --csv disc/a.csv --left-csv disc/b.csv; echo list $?; \
         '{PROGRAM}' program kitchen --lp disc/l --mps disc/m; echo program $?; \
         '{PROGRAM}' start disc/mine; echo start $?; \
         '{PROGRAM}' start disc/new/deep/mine; echo deep $?; \
         '{PROGRAM}' import page.json --out disc/p.yaml && rm disc/p.yaml; ls -A disc"
    );
    let Some(output) = in_small_disc(path, "size=64k", &script) else {
        return;
    };
    let (out, told) = (
        String::from_utf8_lossy(&output.stdout).into_owned(),
        said(&output),
    );
    for command in ["list 2", "program 2", "start 2", "deep 2"] {
        assert!(out.contains(command), "{command}: {out}{told}");
    }
    assert_eq!(told.matches("the disc is full").count(), 4, "{told}");
    assert!(out.ends_with("fill\n"), "{out}");
    assert!(out.contains("deep 2\nfill\n"), "something is left: {out}");
}

#[test]
fn a_read_only_disc_or_folder_has_its_own_words() {
    let folder = place();
    let path = folder.path();
    let script = format!(
        "mount -o remount,ro none disc; '{PROGRAM}' list kitchen --csv disc/a.csv; echo $?; \
         '{PROGRAM}' start disc/mine; echo $?; '{PROGRAM}' weeks 2 kitchen --plans disc/w; echo $?"
    );
    if let Some(output) = in_small_disc(path, "size=64k", &script) {
        let told = said(&output);
        assert_eq!(output.stdout, b"2\n2\n2\n", "{told}");
        assert_eq!(told.matches("the disc is read-only").count(), 3, "{told}");
        assert!(!told.contains("proved"), "{told}");
    }
    // Nothing may come into a folder that is immutable, whoever asks.
    let shut = path.join("shut");
    fs::create_dir(&shut).unwrap();
    fs::write(shut.join("a.csv"), "mine").unwrap();
    let shut = shut.to_str().unwrap();
    if can("a folder that nobody may write to", "chattr", &["+i", shut]) {
        for args in [
            &["list", "kitchen", "--csv", "shut/a.csv"][..],
            &["list", "kitchen", "--csv", "shut/b.csv"],
            &["start", "shut/mine"],
        ] {
            let output = run(path, args);
            let told = said(&output);
            assert_eq!(code(&output), 2, "{told}");
            assert!(told.contains("may not be written to"), "{told}");
            assert!(!told.contains("proved"), "{told}");
        }
        assert!(can("", "chattr", &["-i", shut]));
    }
}

/// Files larger than this user may write: no end by a signal, but a fault, and nothing is left.
#[test]
fn a_file_that_would_be_too_large_is_told() {
    let folder = place();
    let path = folder.path();
    if !can("limits on files", "prlimit", &["--fsize=100", "true"]) {
        return;
    }
    let before = everything(path);
    for args in [&list("a.csv", None)[..], &["start", "mine"]] {
        let output = Command::new("prlimit")
            .args(["--fsize=100", PROGRAM])
            .args(args)
            .current_dir(path)
            .output()
            .unwrap();
        let told = said(&output);
        assert_eq!(code(&output), 2, "{told}");
        assert!(told.contains("larger than files may be"), "{told}");
        assert!(everything(path) == before, "something is left");
    }
}

#[test]
fn start_keeps_the_folder_it_fills_and_refuses_what_is_none() {
    let folder = place();
    let path = folder.path();
    let mine = path.join("mine");
    fs::create_dir(&mine).unwrap();
    for mode in [0o700, 0o2775] {
        fs::set_permissions(&mine, fs::Permissions::from_mode(mode)).unwrap();
        assert_eq!(code(&run(path, &["start", "mine"])), 0);
        assert_eq!(fs::metadata(&mine).unwrap().mode() & 0o7777, mode);
        fs::remove_dir_all(&mine).unwrap();
        fs::create_dir(&mine).unwrap();
    }
    // Folders on the way are made with it; each file is what the umask says.
    let output = Command::new("sh")
        .arg("-c")
        .arg(format!("umask 027; exec '{PROGRAM}' start new/deep/mine/"))
        .current_dir(path)
        .output()
        .unwrap();
    assert_eq!(code(&output), 0, "{}", said(&output));
    let mode = |name: &str| fs::metadata(path.join(name)).unwrap().mode() & 0o777;
    let modes = [
        "new",
        "new/deep",
        "new/deep/mine",
        "new/deep/mine/kitchen.yaml",
    ]
    .map(mode);
    assert_eq!(modes, [0o750, 0o750, 0o750, 0o640]);
    assert_eq!(code(&run(path, &["check", "new/deep/mine"])), 0);
    symlink("mine", path.join("link")).unwrap();
    symlink("nowhere", path.join("broken")).unwrap();
    for (dir, words) in [
        ("link", "it is a link"),
        ("broken", "it is a link"),
        ("page.json", "is no folder"),
        ("page.json/mine", "is no folder"),
        ("kitchen", "something in it"),
        (".", "something in it"),
        ("none/..", "no name of a new folder"),
        ("none/../mine", "no name of a new folder"),
    ] {
        refused(path, &["start", dir], words);
    }
    refused(&mine, &["start", "."], "no name of a new folder");
}
