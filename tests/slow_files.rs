//! Asks whether files that are within the limits and made to be slow are answered like any other:
//! in time that grows with their bytes, in bounded memory, with few messages and a true count. The
//! truth: how many faults each generator plants, the limits of models/kitchen-files.md, and a
//! plain kitchen of as many bytes.
//!
//! Time is the processor's, of the reading thread alone, and is held against that of the plain
//! kitchen on the same machine in the same build, with room for twenty times as much: what these
//! files once took was eighty times and more, and what never ended.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Cursor};
use std::process::Command;
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::Duration;

use cpu_time::ThreadTime;
use peak_alloc::PeakAlloc;
use scant::import::{self, central};
use scant::kitchen::names::Names;
use scant::kitchen::{Fault, Read, Tally, read_former, read_texts, render};
use scant::larder::Larder;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// Bytes of a file here; the largest that are read are eight times larger.
const BYTES: usize = 1 << 20;
/// Most bytes in memory for a file of [`BYTES`].
const MEMORY_OF_ONE: usize = 250 << 20;
/// Most bytes in memory, whatever is read.
const MEMORY_OF_ANY: usize = 500 << 20;
/// Most bytes of a report.
const REPORT: usize = 100_000;

/// One at a time: memory is that of the whole process.
fn alone() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    ONE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Runs something; returns what it gave, the processor time and the most memory it took.
fn measured<T>(work: impl FnOnce() -> T) -> (T, Duration, usize) {
    MEMORY.reset_peak_usage();
    let (before, started) = (MEMORY.current_usage(), ThreadTime::now());
    let done = work();
    let took = started.elapsed();
    (done, took, MEMORY.peak_usage().saturating_sub(before))
}

/// Repeats an entry, with its number, up to so many bytes; returns the text and the entries.
fn filled(
    bytes: usize,
    head: &str,
    tail: &str,
    entry: impl Fn(usize) -> String,
) -> (String, usize) {
    let mut text = head.to_owned();
    let mut count = 0;
    loop {
        let next = entry(count);
        if text.len() + next.len() + tail.len() > bytes {
            text.push_str(tail);
            return (text, count);
        }
        text.push_str(&next);
        count += 1;
    }
}

fn food(name: &str) -> String {
    format!(
        "  - {{food: {name}, nutrients: {{energy: 100}}, source: invented, packs: [{{pack: bag, \
         size: 500 g, price: 1.50, keeps: 9, open_keeps: 2}}]}}\n"
    )
}

/// Recipes of one food, without fault.
fn plain(bytes: usize) -> String {
    let head = format!("currency: USD\nfoods:\n{}recipes:\n", food("rice"));
    let entry = |at| {
        format!(" - {{recipe: bowl {at}, form: bowl, lines: [{{food: rice, amount: 300 g}}]}}\n")
    };
    filled(bytes, &head, "", entry).0
}

fn kitchen(text: &str) -> Read {
    read_texts(vec![("k.yaml".to_owned(), text.as_bytes().to_vec())])
}

/// The processor time that a plain kitchen of [`BYTES`] takes here.
fn usual() -> Duration {
    static USUAL: OnceLock<Duration> = OnceLock::new();
    *USUAL.get_or_init(|| {
        let text = plain(BYTES);
        let (read, took, memory) = measured(|| {
            let read = kitchen(&text);
            render::report(&read);
            read
        });
        assert!(read.larder.is_some());
        assert!(memory < MEMORY_OF_ONE, "{memory}");
        took
    })
}

fn in_time(what: &str, took: Duration, usual: Duration) {
    assert!(took < 20 * usual, "{what}: {took:?}, usually {usual:?}");
}

/// Reads and reports a text, within the bounds on time, memory and words.
fn told(what: &str, text: &str) -> (Read, String) {
    let usual = usual();
    let ((read, report), took, memory) = measured(|| {
        let read = kitchen(text);
        let report = render::report(&read);
        (read, report)
    });
    in_time(what, took, usual);
    assert!(memory < MEMORY_OF_ONE, "{what}: {memory} bytes");
    bounded(what, &read.faults, &read.warnings, read.tally);
    assert!(report.len() < REPORT, "{what}: {} bytes", report.len());
    for line in report.lines() {
        assert!(line.chars().count() <= 80, "{what}: {line}");
    }
    (read, report)
}

fn bounded(what: &str, faults: &[Fault], warnings: &[Fault], tally: Tally) {
    assert!(faults.len() + warnings.len() <= 100, "{what}");
    for (told, all) in [(faults, tally.faults), (warnings, tally.warnings)] {
        let spoken_for: usize = told.iter().map(|fault| 1 + fault.more.count).sum();
        assert!(spoken_for <= all, "{what}: {spoken_for} of {all}");
        assert_eq!(told.is_empty(), all == 0, "{what}");
        for fault in told {
            let places = fault.more.places.len();
            assert!(places <= 10 && places <= fault.more.count, "{what}");
            assert_eq!(places == 0, fault.more.count == 0, "{what}");
        }
    }
}

/// Reads a text that holds so many faults of one kind; returns the report.
fn planted(what: &str, text: &str, faults: usize) -> String {
    let (read, report) = told(what, text);
    assert_eq!(read.tally.faults, faults, "{what}\n{report}");
    let spoken_for: usize = read.faults.iter().map(|fault| 1 + fault.more.count).sum();
    assert_eq!(spoken_for, faults, "{what}: one kind\n{report}");
    let last = report.lines().last().unwrap_or_default();
    assert!(last.starts_with(&format!("{faults} faults")), "{last}");
    report
}

#[test]
fn unknown_keys_on_lines_of_their_own_and_on_one() {
    let _alone = alone();
    let lines = filled(BYTES, "currency: USD\n", "", |at| format!("k{at}: 1\n"));
    planted("a key a line", &lines.0, lines.1);
    let line = filled(BYTES, "currency: USD\nweek: {", "}\n", |at| {
        format!("k{at}: 1, ")
    });
    let report = planted("all keys on a line", &line.0, line.1);
    // The fifth speaks for the rest: the sixth is at the column it stands on.
    let column = line.0.lines().nth(1).unwrap().find("k5:").unwrap() + 1;
    let more = format!("{} more of this kind, at k.yaml:2:{column}, ", line.1 - 5);
    assert!(report.contains(&more), "{more}\n{report}");
}

#[test]
fn keys_that_stand_again_and_again() {
    let _alone = alone();
    let same = filled(BYTES, "currency: USD\n", "", |_| "kk: 1\n".to_owned());
    let (read, report) = told("one key", &same.0);
    // The first is unknown, the others are doubled.
    assert_eq!(read.tally.faults, same.1, "{report}");
    let none = filled(BYTES, "currency: USD\nweek: {", "}\n", |_| ":,".to_owned());
    told("keys of nothing", &none.0);
    let asked = filled(BYTES, "currency: USD\n", "", |_| "? a\n".to_owned());
    told("keys without values", &asked.0);
}

/// A name of 78 letters, unlike others.
fn long_name(seed: u64) -> String {
    let mut dice = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut letter = || {
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        char::from(b'a' + ((dice >> 20) % 26) as u8)
    };
    (0..78).map(|_| letter()).collect()
}

/// A thousand foods with long names, and recipes that name 1,500 others.
fn long_names() -> String {
    let mut text = "currency: USD\nfoods:\n".to_owned();
    (0..1_000).for_each(|at| text += &food(&long_name(at)));
    text += "recipes:\n";
    for at in 0..1_500 {
        let name = long_name(10_000 + at);
        let _ = writeln!(
            text,
            " - {{recipe: R{:04}, form: bowl, lines: [{{food: {name}, amount: 1 g}}]}}",
            // Read by name, told by place: the other way round.
            9_999 - at
        );
    }
    text
}

#[test]
fn unknown_names_beside_thousands_of_long_ones() {
    let _alone = alone();
    let report = planted("long names", &long_names(), 1_500);
    assert!(report.contains("1495 more of this kind"), "{report}");
}

/// One slip of the finger is still answered, wherever it stands.
#[test]
fn a_slip_beside_thousands_of_long_names() {
    let _alone = alone();
    let text = long_names();
    let known = long_name(500);
    let slip = format!("x{}", &known[1..]);
    let text = text.replace(&long_name(10_000), &slip);
    let (_, report) = told("a slip", &text);
    assert!(
        report.replace("\n        ", " ").contains(&known[..60]),
        "{report}"
    );
}

#[test]
fn unknown_names_measures_and_rows_by_the_thousand() {
    let _alone = alone();
    let head = format!("currency: USD\nfoods:\n{}recipes: [", food("rice"));
    let names = filled(BYTES, &head, "]\n", |at| {
        format!("{{recipe: R{at}, form: b, lines: [{{food: q{at}xyz, amount: 1 g}}]}},")
    });
    planted("names on one line", &names.0, names.1);
    let head = format!("currency: USD\nfoods:\n{}recipes:\n", food("rice"));
    let measures = filled(BYTES, &head, "", |at| {
        let lines: Vec<String> = (0..60)
            .map(|line| format!("{{food: rice, amount: 1 zz{at}x{line}}}"))
            .collect();
        format!(
            " - {{recipe: R{at}, form: b, lines: [{}]}}\n",
            lines.join(",")
        )
    });
    planted("measures", &measures.0, 60 * measures.1);
    let rows = filled(BYTES, "currency: USD\nfoods:\n", "", |at| {
        let unit = "{pack: bag, size: 1 kg, price: 1, keeps: 9, loose: true}";
        format!(" - {{food: f{at}, table: chick peese {at}, packs: [{unit}]}}\n")
    });
    let rows = (
        rows.0
            .lines()
            .take(5_002)
            .fold(String::new(), |all, line| all + line + "\n"),
        5_000,
    );
    planted("rows", &rows.0, rows.1);
}

#[test]
fn wishes_that_name_nothing() {
    let _alone = alone();
    let mut text = plain(BYTES);
    text += "aims:\n  day_preferences:\n";
    for at in 0..1_000 {
        let _ = writeln!(text, "    - {{recipe: {}, price: 1}}", long_name(at));
    }
    text += "rules:\n  without:\n";
    for at in 0..1_000 {
        let _ = writeln!(text, "    - {}", long_name(5_000 + at));
    }
    let (read, report) = told("wishes", &text);
    assert_eq!(read.tally.faults, 2_000, "{report}");
    assert_eq!(read.faults.len(), 10, "{report}");
}

#[test]
fn warnings_are_counted_like_faults() {
    let _alone = alone();
    let mut text = plain(BYTES);
    let foods: String = (0..4_000).map(|at| food(&format!("unused {at}"))).collect();
    text = text.replace("recipes:\n", &format!("{foods}recipes:\n"));
    let (read, report) = told("unused foods", &text);
    assert!(read.larder.is_some());
    assert_eq!((read.tally.warnings, read.warnings.len()), (4_000, 5));
    assert!(report.contains("no faults, 4000 warnings"), "{report}");
}

#[test]
fn lists_of_next_to_nothing_are_refused_before_they_fill_the_memory() {
    let _alone = alone();
    let cases = [("a,", "a"), ("[],", "[]"), ("{},", "{}"), ("{a: b},", "{}")];
    for (small, end) in cases {
        let list = small.repeat((8 << 20) / small.len() - 20);
        let text = format!("currency: USD\nfoods: [{list}{end}]\n");
        // Seven times the largest file: near the largest folder.
        let files: Vec<_> = (0..7)
            .map(|at| (format!("{at}.yaml"), text.clone().into_bytes()))
            .collect();
        let (read, took, memory) = measured(|| read_texts(files));
        in_time(small, took, 8 * usual());
        assert!(memory < MEMORY_OF_ANY, "{small}: {memory} bytes");
        let report = render::report(&read);
        assert!(read.larder.is_none());
        assert!(report.contains("nothing is read on"), "{small}\n{report}");
        assert!(read.tally.faults < 20, "{report}");
    }
}

#[test]
fn what_unfolds_is_bounded_before_it_is_built() {
    let _alone = alone();
    let words: Vec<String> = (0..100).map(|at| format!("n{at}")).collect();
    let head = format!("currency: USD\nfoods:\n{}recipes:\n", food("rice"));
    // Each of a thousand steps of each recipe would need a hundred things.
    let steps = filled(BYTES, &head, "", |at| {
        format!(
            " - {{recipe: R{at}, form: b, needs: [{}], lines: [{{food: rice, amount: 300 g}}], \
             steps: [{}]}}\n",
            words.join(","),
            ["a"; 1_000].join(",")
        )
    });
    // Each component would hold what all before it hold.
    let mut chain = format!("currency: USD\nfoods:\n{}components:\n", food("rice"));
    for at in 0..2_000 {
        let words: Vec<String> = (0..60).map(|word| format!("n{at}x{word}")).collect();
        let inside = if at == 0 {
            String::new()
        } else {
            format!(", {{component: c{}, amount: 1 g}}", at - 1)
        };
        let _ = writeln!(
            chain,
            " - {{component: c{at}, makes: 1 kg, keeps: 2, needs: [{}], from: [{{food: rice, \
             amount: 1 kg}}{inside}]}}",
            words.join(",")
        );
    }
    chain += "recipes: [{recipe: R, form: b, lines: [{component: c1999, amount: 300 g}]}]\n";
    for (what, text) in [("steps", steps.0), ("components", chain)] {
        let (read, took, memory) = measured(|| kitchen(&text));
        in_time(what, took, usual());
        assert!(memory < MEMORY_OF_ANY, "{what}: {memory} bytes");
        let report = render::report(&read);
        assert_eq!(read.tally.faults, 1, "{what}\n{report}");
        assert!(report.contains("128 MiB"), "{what}\n{report}");
    }
    // Twenty steps a recipe that say what they need: much to look up, nothing to refuse.
    let said = format!("{{do: a, needs: [{}]}}", words.join(","));
    let (text, _) = filled(BYTES, &head, "", |at| {
        format!(
            " - {{recipe: R{at}, form: b, needs: [{}], lines: [{{food: rice, amount: 300 g}}], \
             steps: [{}]}}\n",
            words.join(","),
            vec![said.as_str(); 20].join(",")
        )
    });
    let equipment: Vec<String> = (0..1_000).map(|at| format!("t{at}: 2")).collect();
    let text = format!("equipment: {{{}}}\n{text}", equipment.join(", "));
    let (read, _) = told("needs", &text);
    assert!(read.larder.is_some());
}

/// A component that holds all foods, each of many packs, wherever a line can name it.
#[test]
fn a_wide_component_in_every_line() {
    let _alone = alone();
    let mut head = "currency: USD\nfoods:\n".to_owned();
    for at in 0..480 {
        let pack = |at| {
            let size = 100 + at;
            format!("{{pack: p{at}, size: {size} g, price: 1, keeps: 9, open_keeps: 2}}")
        };
        let packs: Vec<String> = (0..20).map(pack).collect();
        let _ = writeln!(
            head,
            " - {{food: f{at}, nutrients: {{energy: 1}}, source: invented, packs: [{}]}}",
            packs.join(",")
        );
    }
    head += "components:\n";
    let component = |name: &str, from: Vec<String>| {
        let from = from.join(",");
        format!(" - {{component: {name}, makes: 1 kg, keeps: 2, from: [{from}]}}\n")
    };
    for at in 0..8 {
        let foods = (at * 60..at * 60 + 60).map(|food| format!("{{food: f{food}, amount: 1 g}}"));
        head += &component(&format!("c{at}"), foods.collect());
    }
    let all = (0..8).map(|at| format!("{{component: c{at}, amount: 1 g}}"));
    head += &component("w", all.collect());
    head += "recipes:\n";
    let (text, recipes) = filled(BYTES, &head, "", |at| {
        // Each amount another one: nothing worked out for one does for the next.
        let lines = (1..=60).map(|line| format!("{{component: w, amount: {}.{line} g}}", at + 1));
        let lines: Vec<String> = lines.collect();
        format!(
            " - {{recipe: r{at}, form: b, lines: [{}]}}\n",
            lines.join(",")
        )
    });
    assert!(recipes > 150, "{recipes}");
    let (read, report) = told("a wide component", &text);
    assert!(read.larder.is_some(), "{report}");
}

/// A small kitchen for former weeks.
fn small() -> Larder {
    kitchen(&plain(2_000)).larder.unwrap()
}

/// A plan of `small`, on one line, with this among what is kept and this beside it.
fn plan(kept: &str, beside: &str) -> String {
    format!(
        "{{\"outcome\":\"best\",\"kitchen\":\"Kitchen\",\"currency\":{{\"code\":\"USD\",\
         \"digits\":2}},\"week\":{{\"carry_day\":8}},\"lunches\":[{{\"recipe\":\"bowl 1\"}}],\
         \"kept\":[{kept}],\"before\":[]{beside}}}"
    )
}

#[test]
fn plans_on_one_line() {
    let _alone = alone();
    let (larder, usual) = (small(), usual());
    let read = |what: &str, text: &str| {
        let ((read, report), took, memory) = measured(|| {
            let read = read_former("plan.json", text.as_bytes().to_vec(), &larder);
            let report = render::faults(&read.faults, read.tally, &read.sources);
            (read, report)
        });
        in_time(what, took, usual);
        assert!(memory < MEMORY_OF_ANY, "{what}: {memory} bytes");
        bounded(what, &read.faults, &read.warnings, read.tally);
        assert!(report.len() < REPORT, "{what}: {} bytes", report.len());
        (read, report)
    };
    // A row of 26 weeks, the last without fault.
    let days = filled(BYTES / 26, "", "0", |at| format!("{{\"n\":{at}}},")).0;
    let weeks: Vec<String> = (0..26)
        .map(|_| format!("{{\"plan\":{}}}", plan("", &format!(",\"prep\":[{days}]"))))
        .collect();
    let (row, report) = read("a row", &format!("{{\"weeks\":[{}]}}", weeks.join(",")));
    assert!(row.former.is_some(), "{report}");
    // A thousand units, each with many keys of no meaning.
    let keys = (0..80).map(|at| format!(",\"odd key {at}\":1"));
    let keys = keys.collect::<Vec<_>>().concat();
    let unit = format!(
        "{{\"food\":\"rice\",\"label\":\"a bag\",\"units\":1,\"opened\":false,\"left_mg\":1,\
         \"ready_from\":0,\"good_until\":9,\"open_keeps\":2,\"end\":9,\"unit_value_nano\":0{keys}}}"
    );
    let (odd, report) = read("odd keys", &plan(&vec![unit; 1_000].join(","), ""));
    assert_eq!(odd.tally.faults, 80_000, "{report}");
    let unknown: Vec<String> = (0..1_000)
        .map(|at| format!("{{\"food\":\"{}\"}}", long_name(at)))
        .collect();
    let (names, report) = read("unknown foods", &plan(&unknown.join(","), ""));
    assert!(names.tally.faults >= 1_000, "{report}");
    let doubled = ",\"k\":1".repeat(BYTES / 6);
    let (keys, report) = read("doubled keys", &plan("", &doubled));
    assert_eq!(keys.tally.faults, BYTES / 6 - 1, "{report}");
    let (_, report) = read(
        "small values",
        &plan("", &format!(",\"x\":[{}0]", "0,".repeat(4 << 20 >> 1))),
    );
    assert!(report.contains("nothing is read on"), "{report}");
}

#[test]
fn names_given_by_options() {
    let _alone = alone();
    let mut text = plain(BYTES);
    text.truncate(text.rfind(" - {").unwrap());
    let (read, usual, _) = measured(|| kitchen(&text));
    let larder = read.larder.unwrap();
    let (unknown, took, _) = measured(|| {
        let mut names = Names::new(&larder);
        let unknown = (0..5_000).filter(|&at| names.target(&long_name(at)).is_err());
        let unknown = unknown.count();
        let pins = (0..5_000).filter(|&at| names.pin(&format!("{}@9", long_name(at))).is_err());
        unknown + pins.count()
    });
    assert_eq!(unknown, 10_000);
    in_time("options", took, usual);
    // And as a user meets them: a hundred told, the rest counted.
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("k.yaml"), plain(100_000)).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_scant"));
    command.arg("week").arg(folder.path());
    for at in 0..1_500 {
        command.args(["--without", &long_name(at)]);
    }
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    let told = said
        .lines()
        .filter(|line| line.starts_with("fault: --without"));
    assert_eq!(told.count(), 100, "{said}");
    // A thousand unknown names and one option too often, less a hundred.
    assert!(
        said.contains("it stands 1500 times; at most 1000"),
        "{said}"
    );
    assert!(said.contains("fault: 901 more are not told here"), "{said}");
}

#[test]
fn pages_of_next_to_nothing() {
    let _alone = alone();
    let usual = usual();
    for small in ["{\"a\":1},", "1,", "{},", "\"a\","] {
        let page = format!("[{}1]", small.repeat((8 << 20) / small.len() - 10));
        let (found, took, memory) = measured(|| import::recipes(page.as_bytes()));
        in_time(small, took, 8 * usual);
        assert!(memory < MEMORY_OF_ANY, "{small}: {memory} bytes");
        let fault = found.unwrap_err().to_string();
        assert!(
            fault.contains("more than 1000000 values"),
            "{small}: {fault}"
        );
    }
    let script = format!(
        "<script type=\"application/ld+json\">[{}1]</script>",
        "{\"a\":1},".repeat(5_000)
    );
    let (found, took, memory) = measured(|| import::recipes(script.repeat(200).as_bytes()));
    in_time("scripts", took, 8 * usual);
    assert!(memory < MEMORY_OF_ANY, "{memory} bytes");
    assert!(found.is_err());
    // As many lines as are read, each of a food the table does not know.
    let lines: Vec<String> = (0..60)
        .map(|at| format!("\"{at} cups finely chopped and grated sort of odd thing, washed\""))
        .collect();
    let recipe = format!(
        "{{\"@type\":\"Recipe\",\"recipeIngredient\":[{}]}}",
        lines.join(",").replace("odd thing", &long_name(3))
    );
    let page = format!("[{}]", vec![recipe; 200].join(","));
    let (found, took, memory) = measured(|| import::recipes(page.as_bytes()));
    in_time("lines", took, 2 * usual);
    assert!(memory < MEMORY_OF_ANY, "{memory} bytes");
    assert_eq!(found.unwrap().recipes.len(), 200);
}

#[test]
fn folders_that_say_the_same_in_every_row() {
    let _alone = alone();
    let wrong = (0..100_000).map(|at| format!("{at},Protein,MG,203\n"));
    let many = (0..20_000).map(|at| format!("{at},Protein,G,203\n"));
    let rows: [(String, &str); 2] = [
        (wrong.collect(), "is `Protein` in MG"),
        (many.collect(), "more than 10000 ids"),
    ];
    for (rows, words) in rows {
        let head = "id,name,unit_name,nutrient_nbr\n";
        let food = "fdc_id,data_type,description\n1,foundation_food,rice\n";
        let files = BTreeMap::from([
            ("nutrient.csv", format!("{head}{rows}")),
            ("food.csv", food.to_owned()),
        ]);
        let open = |name: &str| -> io::Result<Option<Box<dyn io::Read>>> {
            let text = files.get(name).cloned();
            Ok(text.map(|text| Box::new(Cursor::new(text)) as Box<dyn io::Read>))
        };
        let faults = central::pick(&open, &["rice".to_owned()]).unwrap_err();
        assert_eq!(faults.len(), 1, "{words}");
        assert!(faults[0].to_string().contains(words), "{}", faults[0]);
    }
}

/// Shapes that hold no fault, or one, and once cost the reader its time elsewhere.
#[test]
fn long_lines_long_texts_and_many_lines() {
    let _alone = alone();
    let head = "currency: USD\n";
    for (what, text) in [
        (
            "one long text",
            format!("{head}kitchen: {}\n", "x ".repeat(BYTES / 2)),
        ),
        (
            "a text of lines",
            format!("{head}kitchen:\n{}", " x\n".repeat(BYTES / 3)),
        ),
        (
            "escapes",
            format!("{head}kitchen: \"{}\"\n", "\\x41".repeat(BYTES / 4)),
        ),
        (
            "a block",
            format!("{head}kitchen: |\n{}", "  x\n".repeat(BYTES / 4)),
        ),
        ("comments", format!("{head}{}", "# x\n".repeat(BYTES / 4))),
        ("blank lines", format!("{head}{}", "\n".repeat(BYTES))),
        ("a long key", format!("{head}{}: 1\n", "k".repeat(BYTES))),
        (
            "empty entries",
            format!("{head}foods:\n{}", "- \n".repeat(BYTES / 3)),
        ),
        ("deep lists", {
            let deep = "[".repeat(25) + &"]".repeat(25) + ",";
            format!("{head}foods: [{}]\n", deep.repeat(BYTES / deep.len()))
        }),
    ] {
        told(what, &text);
    }
}
