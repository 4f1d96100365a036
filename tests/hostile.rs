//! Asks whether a name can do harm on any way out: a terminal, a page, a calendar, a spreadsheet, a
//! script element, a solver. Every name of a list is either refused with a clear fault, or comes
//! through unharmed. The truth: readers that are not ours (the `csv`, `serde_json` and `html5gum`
//! crates), the bidirectional algorithm of the `unicode-bidi` crate (UAX #9), and small readers of
//! RFC 5545, MPS, LP and MathProg data in this file.

mod support;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use scant::kitchen::{Read, read_texts, render};
use serde_json::Value;
use unicode_bidi::{BidiClass, BidiInfo, bidi_class};

/// What no name may hold, each in a place of its own.
const REFUSED: [(&str, &str); 24] = [
    ("an escape sequence", "rice\u{1b}[31mred\u{1b}[0m"),
    ("a clipboard write", "rice\u{1b}]52;c;cm0gLXJm\u{7}"),
    ("an escape sequence of one octet", "rice\u{9b}31mred"),
    ("a carriage return", "rice\rFORGED line"),
    ("a line break", "rice\nFORGED line"),
    ("a next line", "rice\u{85}FORGED line"),
    ("a line separator", "rice\u{2028}FORGED line"),
    ("a paragraph separator", "rice\u{2029}FORGED line"),
    ("a form feed", "rice\u{c}FORGED line"),
    ("a tab", "rice\tbeans"),
    ("a nul", "rice\0beans"),
    ("a backspace", "rice\u{8}\u{8}\u{8}\u{8}meat"),
    ("a delete", "rice\u{7f}beans"),
    ("a right-to-left override", "rice \u{202e}snaeb\u{202c}"),
    ("a left-to-right override", "rice \u{202d}beans\u{202c}"),
    ("an embedding", "rice \u{202b}beans\u{202c}"),
    ("an isolate", "rice \u{2067}beans\u{2069}"),
    ("a lone end of an isolate", "rice\u{2069} beans"),
    ("a right-to-left mark", "rice\u{200f} beans"),
    ("an Arabic letter mark", "rice\u{61c} beans"),
    ("a zero width space", "ri\u{200b}ce"),
    ("a byte order mark", "\u{feff}"),
    ("only combining marks", "\u{301}\u{308}"),
    ("a tag", "rice\u{e0062}\u{e007f}"),
];

/// What stands as it is, everywhere.
const ALLOWED: [&str; 23] = [
    "=cmd|'/c calc'!A0",
    "=1+1;=2+2",
    "+rice",
    "-",
    "@SUM(A1)",
    "'=rice",
    "'n rijst",
    "＝rice",
    "<script>alert(1)</script>",
    "</script><b>&amp;",
    "]]> --> <!--",
    "\"quoted\" 'too' `so`",
    "back\\slash, semi; colon:",
    "ENDATA",
    "subject to",
    "free",
    "objective",
    "{{ kitchen }} %s {0}",
    "חומוס",
    "حمص (400 g)",
    "2 תותים, טריים",
    "👩\u{200d}🍳🥕",
    "e\u{301}clair",
];

/// A kitchen with a text in every place that takes one; `{place}` is a text.
const KITCHEN: &str = r"kitchen: {kitchen}
currency: USD
week: { lunches: 2, carry_day: 8, eaters: 2 }
equipment: { {tool}: 2 }
stock: [{ food: {other}, amount: 50 g, label: {label}, opened: true, good_until: 2 }]
foods:
  - food: {food}
    table: '20036'
    family: {family}
    tags: [{tag}]
    allergens: [{allergen}]
    measures: { {measure}: 90 g }
    credits: { {group}: 50 g }
    packs: [{ pack: {pack}, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]
  - food: {other}
    nutrients: { energy: 100 }
    source: {figures}
    packs: [{ pack: tin, size: 250 g, price: 1.20, keeps: 300, open_keeps: 1 }]
  - food: {dear}
    table: '16359'
    packs: [{ pack: tin, size: 250 g, price: 9.20, keeps: 300, open_keeps: 3 }]
  - food: {fruit}
    table: '09037'
    packs: [{ pack: {net}, size: 200 g, price: 1.19, stage: {stage}, ready: 1..5, open_keeps: 1 }]
  - food: {staple}
    table: '04053'
    staple: true
    packs: [{ size: 500 g, price: 5.00 }]
components:
  - component: {component}
    makes: 500 g
    from: [{ food: {food}, amount: 200 g }]
    keeps: 3
    minutes: 12
    needs: [{tool}]
    tags: [dressing]
    steps:
      - { do: {do}, food: {food}, how: {how}, active: 4, passive: 6, needs: [{tool}] }
recipes:
  - recipe: {recipe}
    form: {form}
    protein: {protein}
    tags: [{kind}]
    needs: [{tool}]
    minutes: 9
    lines:
      - { component: {component}, amount: 120 g }
      - { food: {food}, amount: {amount} }
      - one_of: [{ food: {dear}, amount: 100 g }, { food: {other}, amount: 100 g }]
      - { food: {fruit}, amount: 40 g }
      - { food: {staple}, amount: 5 g }
      - { food: {other}, amount: 10 g, optional: true }
    steps: [{step}, { do: {do}, food: {other}, how: {how} }]
  - recipe: {second}
    form: tray
    minutes: 1
    lines: [{ food: {other}, amount: 300 g }]
rules:
  repeats: 2
  with: [{recipe}]
  nutrition: [{ nutrient: energy, per: week, at_least: 1, source: {source} }]
  credits: [{ group: {group}, unit: {unit}, per: week, at_least: 0.1, source: {source} }]
";

/// The places and what stands there in a boatyard's kitchen.
const PLACES: [(&str, &str); 29] = [
    ("kitchen", "The boatyard"),
    ("tool", "burner"),
    ("label", "open tub"),
    ("food", "brown rice"),
    ("family", "grains"),
    ("tag", "dry"),
    ("allergen", "gluten"),
    ("measure", "scoop"),
    ("group", "grains"),
    ("pack", "bag"),
    ("other", "beans"),
    ("figures", "invented"),
    ("dear", "dear beans"),
    ("fruit", "avocado"),
    ("net", "net"),
    ("stage", "hard"),
    ("staple", "oil"),
    ("component", "cooked rice"),
    ("do", "chop"),
    ("how", "into cubes"),
    ("recipe", "Rice and beans"),
    ("form", "bowl"),
    ("protein", "beans"),
    ("kind", "warm"),
    ("amount", "1 scoop"),
    ("step", "Heat it."),
    ("second", "Beans alone"),
    ("source", "invented for this test"),
    ("unit", "cup"),
];

/// A text in YAML's double quotes, every character but plain ones as an escape.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            ' '..='~' => out.push(c),
            // Not as escapes: a key of YAML has at most 1,024 characters.
            c if c.is_alphanumeric() => out.push(c),
            c => {
                let _ = write!(out, "\\U{:08x}", u32::from(c));
            }
        }
    }
    out + "\""
}

/// The kitchen with `text` in a place and the boatyard's own in all others.
fn with(place: &str, text: &str) -> String {
    let mut kitchen = KITCHEN.to_owned();
    for (name, usual) in PLACES {
        let here = match (name == place, name) {
            (true, "amount") => format!("1 {text}"),
            (true, _) => text.to_owned(),
            (false, _) => usual.to_owned(),
        };
        kitchen = kitchen.replace(&format!("{{{name}}}"), &quoted(&here));
    }
    kitchen
}

/// What stands in a place of a kitchen full of one name: the name wherever it can, something
/// behind it where two must differ, before it where a letter must come first.
fn standing(place: &str, name: &str) -> String {
    match place {
        "measure" => format!("m {name}"),
        "amount" => format!("1 m {name}"),
        "other" => format!("{name} o"),
        "dear" => format!("{name} d"),
        "fruit" => format!("{name} f"),
        "staple" => format!("{name} s"),
        "component" => format!("{name} c"),
        "second" => format!("{name} 2"),
        _ => name.to_owned(),
    }
}

fn full_of(name: &str) -> String {
    let mut kitchen = KITCHEN.to_owned();
    for (place, _) in PLACES {
        let here = quoted(&standing(place, name));
        kitchen = kitchen.replace(&format!("{{{place}}}"), &here);
    }
    kitchen
}

fn read(kitchen: &str) -> Read {
    read_texts(vec![(
        "kitchen.yaml".to_owned(),
        kitchen.as_bytes().to_vec(),
    )])
}

/// Holds what goes to a terminal: nothing it would obey, isolates that end where they begin, and
/// every line's own text in the order it was written in (UAX #9: at level 0).
fn harmless(text: &str, whence: &str) {
    for line in text.split('\n') {
        assert!(!line.trim_start().starts_with("FORGED"), "{whence}: {line}");
        let mut depth = 0_i32;
        for c in line.chars() {
            let directs = matches!(
                c,
                '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'
                    ..='\u{202e}' | '\u{2066}' | '\u{2067}'
            );
            let breaks = matches!(c, '\u{2028}' | '\u{2029}');
            assert!(
                !(c.is_control() || directs || breaks),
                "{whence}: {c:?} in {line:?}"
            );
            depth += i32::from(c == '\u{2068}') - i32::from(c == '\u{2069}');
            assert!(depth >= 0, "{whence}: {line:?}");
        }
        assert_eq!(depth, 0, "{whence}: {line:?}");
        straight(line, whence);
    }
}

/// Asks the bidirectional algorithm whether what stands outside of isolates is shown from left to
/// right.
fn straight(line: &str, whence: &str) {
    if line.is_ascii() {
        return;
    }
    let told = BidiInfo::new(line, None);
    assert!(
        told.paragraphs.iter().all(|p| p.level.is_ltr()),
        "{whence}: the line runs from the right: {line}"
    );
    let mut depth = 0;
    for (at, c) in line.char_indices() {
        match c {
            '\u{2068}' => depth += 1,
            '\u{2069}' => depth -= 1,
            _ if depth == 0 => assert!(
                told.levels[at].number() == 0,
                "{whence}: {c:?} is turned around in {line}"
            ),
            _ => {}
        }
    }
}

fn bare(text: &str) -> String {
    text.replace(['\u{2068}', '\u{2069}'], "")
}

/// A refused text is refused where it stands, each time with one fault that says what is wrong.
#[test]
fn what_no_name_may_hold_is_refused_in_every_place_with_one_fault() {
    for (what, text) in REFUSED {
        for (place, _) in PLACES {
            let kitchen = with(place, text);
            let read = read(&kitchen);
            let whence = format!("{what} as {place}");
            assert!(read.larder.is_none(), "{whence} was taken");
            let times = KITCHEN.matches(&format!("{{{place}}}")).count();
            let faults: BTreeSet<(usize, usize)> = read
                .faults
                .iter()
                .map(|fault| (fault.line, fault.column))
                .collect();
            let report = render::report(&read);
            assert_eq!(faults.len(), read.faults.len(), "{whence}:\n{report}");
            // What was refused is not known elsewhere; nothing else is wrong. Faults of one kind may
            // be told as one, with their number.
            assert_eq!(read.tally.faults, times, "{whence}:\n{report}");
            for fault in &read.faults {
                let told = fault.what.contains(" holds ");
                assert!(told && !fault.help.is_empty(), "{whence}: {fault:?}");
                harmless(&fault.what, &whence);
                harmless(&fault.help, &whence);
            }
            harmless(&report, &whence);
        }
    }
}

/// Every scalar of every stored kitchen, some of each key: a direction override and an escape
/// sequence put into it are a fault, or stand in no larder.
#[test]
fn no_scalar_of_a_kitchen_file_is_forgotten() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let mut folders: Vec<_> = fs::read_dir(root.join("stored"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    folders.sort();
    // The largest last: most keys were tried by then.
    folders.push(root.join("school-visit"));
    folders.push(root.join("boatyard"));
    let mut tried = std::collections::BTreeMap::<String, usize>::new();
    for folder in folders {
        let mut files: Vec<(String, String)> = fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
            .map(|path| {
                let name = path.file_name().unwrap().to_string_lossy().into_owned();
                (name, fs::read_to_string(path).unwrap())
            })
            .collect();
        files.sort();
        for file in 0..files.len() {
            let text = files[file].1.clone();
            for (key, start, end) in scalars(&text) {
                let tries = tried.entry(key.clone()).or_default();
                if *tries >= 2 {
                    continue;
                }
                *tries += 1;
                for evil in ["\\u202e", "\\e[31m"] {
                    let was = text[start..end].trim_matches(['"', '\'']);
                    let mut changed = files.clone();
                    changed[file].1 = format!("{}\"{was}{evil}x\"{}", &text[..start], &text[end..]);
                    let texts = changed
                        .into_iter()
                        .map(|(name, text)| (name, text.into_bytes()))
                        .collect();
                    let read = read_texts(texts);
                    let whence = format!("{}, {key}: {was}{evil}", folder.display());
                    assert!(read.larder.is_none(), "{whence} was taken");
                    for fault in read.faults.iter().chain(&read.warnings) {
                        harmless(&fault.what, &whence);
                        harmless(&fault.help, &whence);
                    }
                    harmless(&render::report(&read), &whence);
                }
            }
        }
    }
    let keys: BTreeSet<&str> = tried.keys().map(String::as_str).collect();
    for key in [
        "do", "how", "steps", "source", "label", "stage", "amount", "needs", "form",
    ] {
        assert!(keys.contains(key), "no {key} among {keys:?}");
    }
}

/// Scalars of block and flow style, each with the key it stands under: a plain reading of the
/// project's own files, not of YAML.
fn scalars(text: &str) -> Vec<(String, usize, usize)> {
    let mut found = Vec::new();
    let mut begin = 0;
    let mut above = String::new();
    for line in text.split_inclusive('\n') {
        let code = line.find(" #").map_or(line, |at| &line[..at]).trim_end();
        if !code.trim_start().starts_with('#') {
            let (key, value) = keyed(code, begin);
            let key = key.unwrap_or_else(|| above.clone());
            let here = value.start;
            let value = &text[value.start..value.end];
            if value.starts_with(['{', '[']) {
                flow(value, here, &key, &mut found);
            } else if value.is_empty() {
                above.clone_from(&key);
            } else if value != "|" && value != ">" {
                found.push((key, here, here + value.len()));
            }
        }
        begin += line.len();
    }
    found
}

/// The key of an entry, and where its value stands in the whole text.
fn keyed(entry: &str, begin: usize) -> (Option<String>, std::ops::Range<usize>) {
    let inner = entry.trim_start_matches([' ', '-']);
    let indent = entry.len() - inner.len();
    let (key, value) = match (inner.split_once(": "), inner.strip_suffix(':')) {
        (Some((key, value)), _) if !inner.starts_with(['{', '[', '"']) => (Some(key), value),
        (_, Some(key)) => (Some(key), ""),
        _ => (None, inner),
    };
    let value = value.trim();
    let at = if value.is_empty() {
        entry.len()
    } else {
        indent + inner.rfind(value).unwrap()
    };
    let key = key.map(|key| key.trim_matches('"').to_owned());
    (key, begin + at..begin + at + value.len())
}

/// Entries of a list or mapping in brackets on one line.
fn flow(value: &str, begin: usize, above: &str, found: &mut Vec<(String, usize, usize)>) {
    let (mut rest, mut key) = (0, above.to_owned());
    for (at, c) in value.char_indices() {
        let inside = value[rest..at].matches('"').count() % 2 == 1;
        if inside || !matches!(c, '{' | '}' | '[' | ']' | ',') {
            continue;
        }
        let (name, place) = keyed(&value[rest..at], rest);
        if let Some(name) = name {
            key = name;
        }
        if !place.is_empty() {
            found.push((key.clone(), begin + place.start, begin + place.end));
        }
        rest = at + 1;
    }
}

/// Faults that repeat names: unknown ones with what may have been meant, doubled ones, names
/// of keys, quantities, files.
#[test]
fn faults_repeat_names_unharmed() {
    for name in ALLOWED {
        let mut kitchen = full_of(name)
            .replace("rules:", "unheard of: 1\nrules:")
            .replace(
                "    form: tray",
                &format!("    {}: 1\n    form: tray", quoted(name)),
            );
        let food = quoted(name);
        for (key, value) in [
            ("without", format!("[{}]", quoted(&format!("{name} z")))),
            ("cap_by", food.clone()),
            ("budget", food.clone()),
        ] {
            let _ = writeln!(kitchen, "  {key}: {value}");
        }
        let double = format!(
            "foods: [{{ food: {food}, table: {food}, packs: [{{ pack: a, size: {food}, price: {food} \
             }}] }}]\n"
        );
        let read = read_texts(vec![
            ("a.yaml".to_owned(), kitchen.into_bytes()),
            (format!("b {name}.yaml"), double.into_bytes()),
        ]);
        let report = render::report(&read);
        assert!(read.faults.len() >= 6, "{report}");
        for fault in &read.faults {
            harmless(&fault.what, name);
            harmless(&fault.help, name);
        }
        harmless(&report, name);
        assert!(bare(&report).contains(&format!("`{name}`")), "{report}");
    }
}

fn scant(args: &[&str]) -> Output {
    let run = Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(args)
        .output();
    run.unwrap()
}

/// Runs a command that must end with one of these codes; both streams must be harmless.
fn run(args: &[&str], codes: &[i32], whence: &str) -> (String, String) {
    let output = scant(args);
    let out = String::from_utf8(output.stdout).unwrap();
    let err = String::from_utf8(output.stderr).unwrap();
    let code = output.status.code().expect("it ended by itself");
    assert!(
        codes.contains(&code),
        "{whence} {args:?}: {code}\n{out}{err}"
    );
    harmless(&err, &format!("{whence}, standard error of {args:?}"));
    (out, err)
}

struct Bench {
    folder: tempfile::TempDir,
    name: &'static str,
}

impl Bench {
    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }

    /// Runs a command on the kitchen; returns its standard output.
    fn ask(&self, command: &[&str], more: &[&str]) -> String {
        let kitchen = self.path("kitchen");
        let args = [command, &[kitchen.as_str()], more].concat();
        run(&args, &[0], self.name).0
    }

    /// The same for text, in which the name must stand.
    fn text(&self, command: &[&str], more: &[&str]) {
        let text = self.ask(command, more);
        harmless(&text, &format!("{} in {command:?}", self.name));
        // Short enough for one line of any column, but for a word that is cut.
        let (found, name) = (bare(&text).to_lowercase(), self.name.to_lowercase());
        let stands = found.contains(&name) || name.split(' ').all(|word| found.contains(word));
        assert!(stands, "{} is not in {command:?}:\n{text}", self.name);
    }

    /// The same for JSON, in which the name must stand as a text of its own.
    fn json(&self, command: &[&str], more: &[&str]) {
        let text = self.ask(command, &[more, &["--format", "json"]].concat());
        let value: Value = serde_json::from_str(&text).unwrap();
        let mut texts = Vec::new();
        strings(&value, &mut texts);
        assert!(
            texts.iter().any(|text| text == self.name),
            "{} in the JSON of {command:?}",
            self.name
        );
        for text in texts {
            straight_or_name(&text, self.name);
        }
    }

    fn file(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }
}

/// A text of a JSON file is a name as it was written, or a sentence with its names isolated.
fn straight_or_name(text: &str, name: &str) {
    let names = PLACES.map(|(place, _)| standing(place, name));
    let known = names
        .iter()
        .any(|known| known == text || *known == format!("1 {text}"));
    // Steps and measures are put together of names by the kitchen's own grammar.
    let step = text.ends_with(&format!("{name}.")) && text.contains(" the ");
    if !known && !step {
        harmless(text, &format!("{name} in JSON"));
    }
}

fn strings(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::String(text) => found.push(text.clone()),
        Value::Array(all) => all.iter().for_each(|one| strings(one, found)),
        Value::Object(all) => all.values().for_each(|one| strings(one, found)),
        _ => {}
    }
}

fn bench(name: &'static str) -> Bench {
    let folder = tempfile::tempdir().unwrap();
    let kitchen = folder.path().join("kitchen");
    fs::create_dir(&kitchen).unwrap();
    fs::write(kitchen.join("kitchen.yaml"), full_of(name)).unwrap();
    Bench { folder, name }
}

#[test]
fn names_come_through_unharmed_in_text_and_json() {
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        bench.text(&["check"], &[]);
        bench.text(&["week"], &["--finish", "free"]);
        bench.text(&["week"], &["--finish", "free", "--full"]);
        bench.text(&["prep"], &[]);
        bench.text(&["recipes"], &[]);
        bench.text(&["list"], &[]);
        bench.text(&["weeks", "2"], &[]);
        bench.text(&["tradeoffs"], &[]);
        bench.text(&["tradeoffs"], &["--full"]);
        bench.json(&["week"], &["--finish", "free"]);
        bench.json(&["prep"], &[]);
        bench.json(&["weeks", "2"], &[]);
        bench.json(&["tradeoffs"], &[]);
        // A ban told with what it changed, and rules that clash. A name that begins with a dash
        // is an option unless it stands behind an equals sign.
        let ban = format!("--without={name} d");
        bench.text(&["week"], &[ban.as_str()]);
        let clash = bench.path("clash");
        fs::create_dir(&clash).unwrap();
        let rules = full_of(name) + "  minutes: 4\n";
        fs::write(Path::new(&clash).join("kitchen.yaml"), rules).unwrap();
        let (text, _) = run(&["week", &clash], &[1], name);
        harmless(&text, &format!("{name} in a conflict"));
        assert!(
            bare(&text).contains(&format!("{name} at least 0.1")),
            "{text}"
        );
        None::<()>
    });
}

#[test]
fn names_come_through_unharmed_in_a_spreadsheet() {
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        let (list, left) = (bench.path("list.csv"), bench.path("left.csv"));
        bench.ask(&["list"], &["--csv", &list, "--left-csv", &left]);
        for file in ["list.csv", "left.csv"] {
            let text = bench.file(file);
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let heads = reader.headers().unwrap().clone();
            let food = heads.iter().position(|head| head == "food").unwrap();
            let mut names = Vec::new();
            for record in reader.records() {
                let record = record.unwrap();
                for cell in &record {
                    let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '＝']);
                    assert!(
                        !runs || cell.parse::<f64>().is_ok(),
                        "{name}: {cell} is run in {file}"
                    );
                }
                names.push(read_back(&record[food]));
            }
            let wanted = standing("food", name);
            assert!(names.contains(&wanted), "{name} in {file}: {names:?}");
            // Other separators part no cell: what has no quotes is a figure.
            for line in text.lines() {
                let mut inside = false;
                let plain = line.chars().filter(|&c| {
                    inside ^= c == '"';
                    !inside && c != '"'
                });
                let plain: String = plain.collect();
                assert!(
                    plain
                        .chars()
                        .all(|c| c.is_ascii_digit() || ".,-".contains(c)),
                    "{name}: {plain} in {file}"
                );
            }
        }
        None::<()>
    });
}

/// How `models/papers.md` says cells are read back.
fn read_back(cell: &str) -> String {
    let rest = cell.trim_start_matches('\'');
    let marked =
        cell.starts_with('\'') && rest.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    cell[usize::from(marked)..].to_owned()
}

#[test]
fn names_come_through_unharmed_in_a_calendar() {
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        let out = bench.path("week.ics");
        bench.ask(&["calendar"], &["--monday", "2031-03-03", "--out", &out]);
        let text = bench.file("week.ics");
        // RFC 5545, 3.1: lines end in CR LF and have at most 75 octets.
        assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
        for line in text.split("\r\n") {
            assert!(line.len() <= 75, "{name}: {} octets: {line}", line.len());
            // 3.1: no control characters (the tab aside).
            assert!(!line.chars().any(char::is_control), "{name}: {line:?}");
        }
        let unfolded = text.replace("\r\n ", "").replace("\r\n\t", "");
        let mut told = Vec::new();
        for line in unfolded.split("\r\n").filter(|line| !line.is_empty()) {
            let (property, value) = line.split_once(':').unwrap();
            assert!(
                property
                    .bytes()
                    .all(|b| b.is_ascii_uppercase() || b"-;=".contains(&b)),
                "{name}: {property}"
            );
            if ["SUMMARY", "DESCRIPTION"].contains(&property) {
                let value = unescaped(value);
                harmless(&value, &format!("{name} in the calendar"));
                told.push(bare(&value));
            }
        }
        assert!(
            told.iter().any(|line| line.contains(name)),
            "{name}: {told:#?}"
        );
        None::<()>
    });
}

/// RFC 5545, 3.3.11.
fn unescaped(value: &str) -> String {
    let mut out = String::new();
    let mut letters = value.chars();
    while let Some(c) = letters.next() {
        match c {
            '\\' => match letters.next() {
                Some('n' | 'N') => out.push('\n'),
                Some(c @ ('\\' | ',' | ';')) => out.push(c),
                other => panic!("{other:?} is escaped in {value}"),
            },
            ',' | ';' => panic!("{c} is not escaped in {value}"),
            c => out.push(c),
        }
    }
    out
}

#[test]
fn names_come_through_unharmed_on_a_page() {
    use html5gum::{Token, Tokenizer};
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        let out = bench.path("week.html");
        bench.ask(&["sheet"], &["--out", &out, "--tradeoffs", "60"]);
        let page = bench.file("week.html");
        let ours: BTreeSet<&str> = [
            "a",
            "article",
            "b",
            "bdi",
            "body",
            "circle",
            "dd",
            "defs",
            "div",
            "dl",
            "dt",
            "figcaption",
            "figure",
            "g",
            "h1",
            "h2",
            "h3",
            "h4",
            "head",
            "header",
            "html",
            "i",
            "input",
            "label",
            "li",
            "line",
            "main",
            "meta",
            "nav",
            "ol",
            "p",
            "path",
            "pattern",
            "polygon",
            "polyline",
            "rect",
            "script",
            "section",
            "small",
            "span",
            "strong",
            "style",
            "svg",
            "table",
            "tbody",
            "td",
            "text",
            "th",
            "thead",
            "title",
            "tr",
            "ul",
        ]
        .into();
        let (mut deep, mut body) = (0_i32, false);
        let (mut words, mut isolated) = (String::new(), Vec::<String>::new());
        for Ok(token) in Tokenizer::new(page.as_str()) {
            match token {
                Token::StartTag(tag) => {
                    let kind = String::from_utf8_lossy(&tag.name).into_owned();
                    assert!(ours.contains(kind.as_str()), "{name}: <{kind}> on the page");
                    for (key, value) in &tag.attributes {
                        let value = String::from_utf8_lossy(value);
                        assert!(
                            value.is_ascii() && !value.contains(['\u{2068}', '<']),
                            "{name}: an attribute {key:?} says {value}"
                        );
                    }
                    body |= kind == "body";
                    if kind == "bdi" {
                        deep += 1;
                        isolated.push(String::new());
                    }
                }
                Token::EndTag(tag) => {
                    deep -= i32::from(&**tag.name == b"bdi");
                }
                Token::String(run) => {
                    let run = String::from_utf8(run.to_vec()).unwrap();
                    if body {
                        harmless_page(&run, deep > 0, name);
                        if deep > 0 {
                            isolated
                                .iter_mut()
                                .rev()
                                .take(1)
                                .for_each(|text| text.push_str(&run));
                        }
                        words += &run;
                    }
                }
                Token::Error(error) => panic!("{name}: {error:?}"),
                Token::Comment(comment) => panic!("{name}: a comment {comment:?}"),
                Token::Doctype(_) => {}
            }
        }
        assert_eq!(deep, 0, "{name}");
        assert!(words.contains(name), "{name} is not on the page");
        assert!(
            isolated.iter().any(|text| text == name),
            "{name} has no element of its own"
        );
        None::<()>
    });
}

/// A text of the page: what runs from the right stands in an element of its own.
fn harmless_page(text: &str, isolated: bool, name: &str) {
    for c in text.chars() {
        let turns = matches!(bidi_class(c), BidiClass::R | BidiClass::AL);
        assert!(isolated || !turns, "{name}: {text} is not isolated");
        assert!(!c.is_control() || c == '\n', "{name}: {c:?} in {text:?}");
        assert!(!matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'));
    }
}

#[test]
fn names_come_through_unharmed_in_a_script_element() {
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        let out = bench.path("week.jsonld");
        bench.ask(&["recipes"], &["--json-ld", &out]);
        let text = bench.file("week.jsonld");
        assert!(
            !text.contains(['<', '>', '&', '\u{2028}', '\u{2029}']),
            "{name}: {text}"
        );
        let value: Value = serde_json::from_str(&text).unwrap();
        let recipes = value["@graph"].as_array().unwrap();
        assert!(recipes.iter().any(|recipe| recipe["name"] == name));
        let lines = recipes
            .iter()
            .flat_map(|r| r["recipeIngredient"].as_array().unwrap());
        let wanted = format!(" {}", standing("other", name));
        assert!(
            lines
                .clone()
                .any(|line| line.as_str().unwrap().ends_with(&wanted))
        );
        // A page with the file inside is read back by the page's own rules.
        let page = format!("<script type=\"application/ld+json\">{text}</script>");
        let back = scant::import::recipes(page.as_bytes()).unwrap();
        assert_eq!(back.recipes.len(), recipes.len(), "{name}");
        for recipe in recipes {
            if let Some(note) = recipe["description"].as_str() {
                harmless(note, &format!("{name} in JSON-LD"));
            }
        }
        None::<()>
    });
}

#[test]
fn names_come_through_unharmed_in_files_for_solvers() {
    support::side_by_side(&ALLOWED, |&name| {
        let bench = bench(name);
        let files = ["week.mps", "week.lp", "week.dat", "week.sol"].map(|name| bench.path(name));
        let [mps, lp, data, sol] = &files;
        let more = ["--mps", mps, "--lp", lp, "--data", data, "--certify", sol];
        let told = bench.ask(&["program"], &more);
        let count = |word: &str| -> usize {
            let at = told.find(word).unwrap();
            told[..at]
                .split_whitespace()
                .last()
                .unwrap()
                .parse()
                .unwrap()
        };
        let (columns, rows) = read_mps(&bench.file("week.mps"), name);
        assert_eq!(columns.len(), count(" columns"), "{name}");
        assert_eq!(
            rows.len(),
            count(" rows") + 1,
            "{name}: the objective is one more"
        );
        let used = read_lp(&bench.file("week.lp"), name);
        let stray: Vec<_> = used.difference(&columns).collect();
        assert!(stray.is_empty(), "{name}: {stray:?} in the LP file only");
        read_data(&bench.file("week.dat"), name);
        let sol = bench.file("week.sol");
        let listed = sol
            .lines()
            .skip_while(|line| !line.starts_with("# Columns"))
            .skip(1);
        let values: BTreeSet<String> = listed
            .take_while(|line| !line.starts_with('#'))
            .map(|line| line.split(' ').next().unwrap().to_owned())
            .collect();
        assert_eq!(values, columns, "{name}");
        None::<()>
    });
}

/// A name that every reader of the formats takes: no longer than 255, letters and figures.
fn plain(word: &str, name: &str) -> String {
    let fine = word.bytes().all(|b| b.is_ascii_alphanumeric() || b"_.".contains(&b))
        && word.starts_with(|c: char| c.is_ascii_lowercase())
        // `e` and a figure would be read as a power of ten.
        && !(word.starts_with('e') && word[1..].starts_with(|c: char| c.is_ascii_digit()))
        && word.len() <= 255;
    assert!(fine, "{name}: `{word}` in a program");
    word.to_owned()
}

/// Comments are short and plain enough for readers that take lines of fixed length.
fn comment(line: &str, name: &str) {
    assert!(
        line.len() <= 255,
        "{name}: a comment of {} octets",
        line.len()
    );
    harmless(line, &format!("{name} in a comment"));
}

/// Reads free MPS: names of columns, names of rows.
fn read_mps(text: &str, name: &str) -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut rows, mut columns) = (BTreeSet::new(), BTreeSet::new());
    let mut section = "";
    let mut ended = false;
    for line in text.lines() {
        assert!(!ended, "{name}: {line} after the end");
        if line.starts_with('*') {
            comment(line, name);
            continue;
        }
        let words: Vec<&str> = line.split_whitespace().collect();
        if !line.starts_with(' ') {
            section = words[0];
            ended = section == "ENDATA";
            continue;
        }
        match (section, &words[..]) {
            ("ROWS", ["N" | "L" | "G" | "E", row]) => {
                assert!(rows.insert(plain(row, name)), "{name}: {row} twice");
            }
            ("COLUMNS", [_, "'MARKER'", "'INTORG'" | "'INTEND'"]) => {}
            ("COLUMNS", [column, row, figure]) => {
                assert!(rows.contains(*row), "{name}: {row}");
                assert!(figure.parse::<f64>().is_ok(), "{name}: {figure}");
                columns.insert(plain(column, name));
            }
            ("RHS", ["rhs", row, figure]) => {
                assert!(
                    rows.contains(*row) && figure.parse::<f64>().is_ok(),
                    "{name}: {row}"
                );
            }
            ("BOUNDS", ["LO" | "UP", "bounds", column, figure]) => {
                assert!(columns.contains(*column) && figure.parse::<f64>().is_ok());
            }
            ("BOUNDS", ["PL", "bounds", column]) => assert!(columns.contains(*column)),
            other => panic!("{name}: {other:?}"),
        }
    }
    assert!(ended, "{name}");
    (columns, rows)
}

/// Reads LP text: names of columns used.
fn read_lp(text: &str, name: &str) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    let mut sections = Vec::new();
    for line in text.lines() {
        if line.starts_with('\\') {
            comment(line, name);
            continue;
        }
        if !line.starts_with(' ') && !line.is_empty() {
            sections.push(line.to_owned());
            continue;
        }
        for word in line.split_whitespace() {
            if let Some(row) = word.strip_suffix(':') {
                plain(row, name);
            } else if !["+", "-", "<=", ">=", "="].contains(&word) && word.parse::<f64>().is_err() {
                used.insert(plain(word, name));
            }
        }
    }
    let known = [
        "Minimize",
        "Subject To",
        "Bounds",
        "General",
        "Binary",
        "End",
    ];
    assert!(
        sections
            .iter()
            .all(|section| known.contains(&section.as_str())),
        "{name}: {sections:?}"
    );
    assert_eq!(sections.last().map(String::as_str), Some("End"), "{name}");
    used
}

/// Reads MathProg data: the foods and recipes must be as many as the kitchen has.
fn read_data(text: &str, name: &str) {
    assert!(
        text.starts_with("data;\n") && text.ends_with("end;\n"),
        "{name}"
    );
    assert!(text.is_ascii() && !text.contains('"'), "{name}");
    let members = |set: &str| {
        let from = text.find(&format!("set {set} :=")).unwrap();
        let part = &text[from..from + text[from..].find(';').unwrap()];
        part.lines()
            .skip(1)
            .map(str::trim)
            .map(str::to_owned)
            .collect::<BTreeSet<_>>()
    };
    for (set, count) in [("FOOD", 5), ("RECIPE", 2), ("COMPONENT", 1)] {
        let members = members(set);
        assert_eq!(members.len(), count, "{name}: {members:?}");
        for member in members {
            let inside = member
                .strip_prefix('\'')
                .and_then(|m| m.strip_suffix('\''))
                .unwrap();
            assert!(
                inside
                    .bytes()
                    .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'),
                "{name}: {member}"
            );
        }
    }
}

/// A name as long as a name may be, of letters of four octets, in every place and on every way out
/// that cuts or folds.
#[test]
fn a_very_long_name_breaks_no_line_and_no_character() {
    let long: &'static str = "𐤀".repeat(300).leak();
    let bench = bench_of(long, &long.chars().take(290).collect::<String>());
    for command in ["check", "week", "prep", "recipes", "list"] {
        let text = bench.ask(&[command], &[]);
        harmless(&text, command);
        assert!(bare(&text).matches('𐤀').count() >= 290, "{command}");
    }
    let out = bench.path("week.ics");
    bench.ask(&["calendar"], &["--monday", "2031-03-03", "--out", &out]);
    let text = bench.file("week.ics");
    assert!(text.split("\r\n").all(|line| line.len() <= 75));
    let mps = bench.path("week.mps");
    let lp = bench.path("week.lp");
    bench.ask(&["program"], &["--mps", &mps, "--lp", &lp]);
    read_mps(&bench.file("week.mps"), "a long name");
    read_lp(&bench.file("week.lp"), "a long name");
    // One more is refused.
    let read = read(&with("recipe", &"w".repeat(301)));
    assert!(
        read.faults.iter().all(|fault| fault.what.contains("300")),
        "{:?}",
        read.faults
    );
}

fn bench_of(name: &'static str, short: &str) -> Bench {
    let bench = bench(name);
    let path = Path::new(&bench.path("kitchen")).join("kitchen.yaml");
    let text = full_of(short).replace(&quoted(&standing("recipe", short)), &quoted(name));
    fs::write(path, text).unwrap();
    bench
}

/// Arguments that a terminal would obey are told escaped, whatever is done with them.
#[test]
fn arguments_are_shown_escaped() {
    let bench = bench("rice");
    let kitchen = bench.path("kitchen");
    let kitchen = kitchen.as_str();
    // No argument can hold a nul; the others of the list are of the same kinds.
    for (what, evil) in [REFUSED[1], REFUSED[2], REFUSED[4], REFUSED[6], REFUSED[13]] {
        let missing = bench.path(&format!("missing {evil}"));
        let out = format!("{missing}/week.ics");
        let missing = missing.as_str();
        let commands: [&[&str]; 19] = [
            &["week", kitchen, "--without", evil],
            &["week", kitchen, "--with", evil],
            &["week", kitchen, "--budget", evil],
            &["week", kitchen, "--eaters", evil],
            &["week", kitchen, "--again", evil],
            &["week", kitchen, "--format", evil],
            &["week", kitchen, "--limit", evil],
            &["week", kitchen, "--order", evil],
            &["week", kitchen, "--after", missing],
            &["week", missing],
            &["check", missing],
            &["tradeoffs", kitchen, "--within", evil],
            &["calendar", kitchen, "--monday", evil, "--out", "x.ics"],
            &["calendar", kitchen, "--monday", "2031-03-03", "--out", &out],
            &["foods", evil, "xqzw"],
            &["import", missing],
            &["import", kitchen, "--food", evil],
            &[evil],
            &["week", &["--", evil].concat()],
        ];
        for command in commands {
            let (out, err) = run(command, &[2], what);
            harmless(&out, what);
            let told = out.len() + err.len() > 0;
            assert!(told, "{what}: {command:?} is refused without a word");
        }
    }
    // The folder's own name, in what is told of success.
    let path = bench.path("yard\u{1b}[31m\u{202e}");
    let (out, _) = run(&["start", &path], &[0], "start");
    harmless(&out, "start");
    assert!(out.contains("yard\\u{1b}[31m\\u{202e}"), "{out}");
}

/// Names copied from a report come with the isolate they were printed in.
#[test]
fn a_name_copied_from_a_report_is_known() {
    let bench = bench("חומוס");
    let (out, _) = run(
        &[
            "week",
            &bench.path("kitchen"),
            "--without",
            "\u{2068}חומוס d\u{2069}",
        ],
        &[0],
        "a copied name",
    );
    assert!(out.contains("חומוס"));
}

/// A former plan is a file from elsewhere too.
#[test]
fn texts_of_a_former_plan_are_refused_or_harmless() {
    let bench = bench("rice");
    let plan: Value = serde_json::from_str(&bench.ask(&["week"], &["--format", "json"])).unwrap();
    let after = bench.path("plan.json");
    let mut paths = Vec::new();
    texts(&plan, &mut Vec::new(), &mut paths);
    assert!(paths.len() > 50);
    // Every text that is read, and some that are passed over.
    let read = [
        "label", "food", "recipe", "kitchen", "code", "outcome", "before",
    ];
    let mut seen = std::collections::BTreeMap::<String, usize>::new();
    for path in paths {
        let key = path
            .rsplit('/')
            .find(|part| part.parse::<usize>().is_err())
            .unwrap();
        let tries = seen.entry(key.to_owned()).or_default();
        *tries += 1;
        if *tries > if read.contains(&key) { 4 } else { 1 } {
            continue;
        }
        for evil in [
            "rice\u{1b}]52;c;x\u{7}",
            "rice\nFORGED line",
            "rice\u{202e}",
        ] {
            let mut changed = plan.clone();
            *changed.pointer_mut(&path).unwrap() = evil.into();
            fs::write(&after, changed.to_string()).unwrap();
            let whence = format!("{path} of a former plan");
            let args = ["week", &bench.path("kitchen"), "--brief", "--after", &after];
            let (out, _) = run(&args, &[0, 2], &whence);
            harmless(&out, &whence);
        }
    }
}

fn texts(value: &Value, at: &mut Vec<String>, found: &mut Vec<String>) {
    let inside: Vec<(String, &Value)> = match value {
        Value::String(_) => {
            found.push(format!("/{}", at.join("/")));
            return;
        }
        Value::Array(all) => (0..).map(|n: usize| n.to_string()).zip(all).collect(),
        Value::Object(all) => all.iter().map(|(key, one)| (key.clone(), one)).collect(),
        _ => return,
    };
    for (key, one) in inside {
        at.push(key);
        texts(one, at, found);
        at.pop();
    }
}

/// What `import` writes, `check` reads: recipes of a page whose every text is hostile.
#[test]
fn imported_recipes_are_read_whatever_their_texts_hold() {
    let base = "currency: USD\nfoods:\n  - food: brown rice\n    table: '20036'\n    packs: [{ pack: \
                bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }]\n  - food: quinoa\n    \
                table: '20035'\n    packs: [{ pack: bag, size: 500 g, price: 2.00, keeps: 300, \
                open_keeps: 300 }]\n";
    let mut evils: Vec<String> = REFUSED.iter().map(|(_, text)| (*text).to_owned()).collect();
    evils.extend(ALLOWED.iter().map(|text| (*text).to_owned()));
    evils.extend([
        "w".repeat(300),
        "w".repeat(301),
        format!("{}\u{200d}🍳", "w".repeat(299)),
        format!("{}👩\u{200d}🍳", "w".repeat(298)),
        "İ".repeat(300),
        " ".to_owned(),
        String::new(),
        "true".to_owned(),
        "null".to_owned(),
        "~".to_owned(),
        "\u{200d}".to_owned(),
        format!("e{}", "\u{301}".repeat(400)),
    ]);
    for (place, evil) in evils.iter().enumerate() {
        let next = &evils[(place + 1) % evils.len()];
        let recipe = |name: &str| {
            serde_json::json!({
                "@type": "Recipe", "name": name, "recipeCategory": evil, "recipeYield": next,
                "prepTime": next,
                "recipeIngredient": ["100 g brown rice", format!("1 cup quinoa, {evil}"), evil],
                "recipeInstructions": [evil, {"@type": "HowToStep", "text": next}],
            })
        };
        let again = [
            evil,
            evil,
            &format!("{evil} (2)"),
            &evil.to_uppercase(),
            next,
        ];
        let all: Vec<Value> = again.iter().map(|name| recipe(name)).collect();
        let json = serde_json::to_string(&all).unwrap();
        let page = format!(
            "<title>x</title><script type='application/ld+json'>{}</script>",
            json.replace('<', "\\u003c")
        );
        for file in [json, page] {
            let found = scant::import::recipes(file.as_bytes()).unwrap();
            let (text, _) = scant::report::imported(&found);
            harmless(&bare_comments(&text), &format!("import of {evil:?}"));
            let read = read_texts(vec![
                ("base.yaml".to_owned(), base.as_bytes().to_vec()),
                ("import.yaml".to_owned(), confirmed(&text).into_bytes()),
            ]);
            assert!(
                read.larder.is_some(),
                "{evil:?}:\n{}\n{text}",
                render::report(&read)
            );
            assert_eq!(read.larder.unwrap().recipes.len(), again.len());
        }
    }
}

/// The file once the cook has left out what was not read.
fn confirmed(text: &str) -> String {
    let mut open = false;
    let keep = |line: &&str| {
        open = line.starts_with("    unfinished:") || (open && line.starts_with("      - "));
        !open
    };
    text.lines().filter(keep).collect::<Vec<_>>().join("\n")
}

/// A kitchen file holds names as they are; only what a terminal would obey is looked for.
fn bare_comments(text: &str) -> String {
    let keep = |c: &char| !matches!(bidi_class(*c), BidiClass::R | BidiClass::AL);
    text.chars().filter(keep).collect()
}
