//! Asks whether the first screens are screens: how long and how wide they are on the demo, what a
//! terminal gets and what a file, and whether a stranger finds the answers that a cook asks for.
//! That colours are off under `NO_COLOR`: no-color.org.

#![allow(clippy::print_stderr)]

use std::process::Command;

use scant::larder::money::SYMBOLS;

/// Most lines of the week's screen, and columns where nobody says how many there are.
const LINES: usize = 45;
const COLUMNS: usize = 80;

fn scant(args: &[&str]) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_scant"))
        .args(args)
        .output()
        .unwrap();
    assert!(done.status.success(), "{args:?}");
    String::from_utf8(done.stdout).unwrap()
}

/// What a terminal of so many columns shows, both streams.
fn terminal(columns: usize, term: &str, no_color: bool) -> String {
    let program = env!("CARGO_BIN_EXE_scant");
    let command = format!("stty rows 50 cols {columns}; '{program}' week --brief");
    let mut script = Command::new("script");
    script.args(["-qec", &command, "/dev/null"]);
    script.env("TERM", term).env_remove("NO_COLOR");
    if no_color {
        script.env("NO_COLOR", "1");
    }
    let done = script.output().expect("`script` opens a terminal");
    String::from_utf8(done.stdout).unwrap()
}

#[test]
fn a_week_fits_a_screen() {
    let week = scant(&["week"]);
    assert!(week.lines().count() <= LINES, "{week}");
    for line in week.lines() {
        assert!(line.chars().count() <= COLUMNS, "{line}");
    }
    assert!(!week.contains('\u{1b}'), "a file is no terminal");
}

/// What to buy, what is thrown out, what is cooked on Sunday, what the limit of the mornings costs.
#[test]
fn a_stranger_finds_the_answers() {
    let week = scant(&["week"]);
    let line = |begin: &str| {
        let line = week.lines().find(|line| line.starts_with(begin));
        line.unwrap_or_else(|| panic!("{begin} in\n{week}"))
            .to_owned()
    };
    assert!(line("Pay").contains("$28.78 for 10 foods (at most 10)"));
    let prices = week
        .lines()
        .skip_while(|line| !line.starts_with("Buy on Sunday"));
    let prices = prices.skip(1).take_while(|line| !line.starts_with("House"));
    let cents = prices.map(|line| {
        let mut words = line.split_whitespace();
        let price = words.find(|word| {
            let figure = word.strip_prefix('$').unwrap_or_default();
            let (whole, part) = figure.split_once('.').unwrap_or((figure, ""));
            part.len() == 2
                && (whole.to_owned() + part)
                    .bytes()
                    .all(|b| b.is_ascii_digit())
        });
        price
            .unwrap_or_else(|| panic!("a price: {line}"))
            .replace(['.', '$'], "")
            .parse::<i64>()
            .unwrap()
    });
    assert_eq!(cents.sum::<i64>(), 2_878, "the list is the bill");
    assert!(line("Thrown out").contains("red cabbage 40 g"));
    assert!(line("Cook Sun").contains("baked tofu 240 g (Mon)"));
    // What the mornings' limit costs, and where it stands.
    let mornings = line("no 30 min limit");
    assert!(mornings.ends_with("(rules: kitchen_minutes)"), "{mornings}");
    let mango = scant(&["week", "--with", "mango"]);
    let changed = mango.find("WHAT CHANGED").unwrap();
    assert!(changed < mango.find("\nPay").unwrap());
    assert!(mango.contains("Asked: --with mango."), "{mango}");
}

#[test]
fn a_terminal_is_told_by_more_than_colour() {
    let plain = scant(&["week", "--brief"]);
    let set_off = terminal(80, "xterm", false);
    assert!(set_off.contains("\u{1b}[1m"), "{set_off}");
    for (term, no_color) in [("dumb", false), ("xterm", true)] {
        let told = terminal(80, term, no_color);
        let told = told.replace('\r', "");
        // Lines written anew while it is searched are talk.
        let told = &told[told.find("The boatyard kitchen. ").unwrap()..];
        assert_eq!(told, plain, "{term}");
    }
    let mut bare = set_off.replace('\r', "");
    for end in ["1m", "1;32m", "33m", "0m"] {
        bare = bare.replace(&format!("\u{1b}[{end}"), "");
    }
    assert!(bare.ends_with(&plain), "the same words\n{bare}");
}

#[test]
fn a_wide_terminal_gets_wider_tables_up_to_120_columns() {
    let widest = |columns: usize| {
        let told = terminal(columns, "dumb", false).replace('\r', "");
        let told = told[told.find("The boatyard kitchen. ").unwrap()..].to_owned();
        told.lines().map(|line| line.chars().count()).max().unwrap()
    };
    assert!(widest(60) <= 80 && widest(80) <= 80);
    let wide = widest(200);
    assert!(wide > 100 && wide <= 120, "{wide}");
}

#[test]
fn parts_are_those_of_the_whole() {
    let whole = scant(&["week", "--full"]);
    for (part, title) in [
        ("boxes", "INTO EACH BOX"),
        ("batches", "BATCHES TO COOK"),
        ("leftovers", "LEFTOVERS"),
        ("nutrition", "NUTRITION OF A PORTION"),
        ("proof", "WHY IT IS THE BEST WEEK THERE IS"),
        ("cautions", "CAUTIONS"),
        ("changes", "WHAT A CHANGE WOULD COST"),
    ] {
        let told = scant(&["week", "--show", part]);
        let at = told
            .find(title)
            .unwrap_or_else(|| panic!("{title} in {told}"));
        assert!(whole.contains(&told[at..]), "{part}");
    }
    assert_eq!(scant(&["week", "--show", "all"]), whole);
    let both = scant(&["week", "--show", "boxes,cautions"]);
    assert!(
        both.contains("INTO EACH BOX")
            && both.contains("CAUTIONS")
            && !both.contains("NUTRITION OF")
    );
}

/// The demo's folder, its first file changed; each pair is what stands there and what is put there.
fn changed(pairs: &[(&str, &str)]) -> tempfile::TempDir {
    let from = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let folder = tempfile::tempdir().unwrap();
    for file in std::fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        let mut text = std::fs::read_to_string(file.path()).unwrap();
        if file.file_name() == "kitchen.yaml" {
            for (old, new) in pairs {
                assert!(text.contains(old), "{old}");
                text = text.replace(old, new);
            }
        }
        std::fs::write(folder.path().join(file.file_name()), text).unwrap();
    }
    folder
}

/// Two weeks of lunches from two dishes: more days than have a weekday of their own.
fn fortnight() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let text = "kitchen: slipway
currency: EUR
week: {lunches: 14, eaters: 2}
rules: {repeats: 14}
foods:
  - {food: rice, table: \"20036\", packs: [{pack: 1 kg bag, size: 1 kg, price: 2.50, keeps: 300, open_keeps: 200}]}
  - {food: lentils, table: \"16069\", packs: [{pack: 500 g bag, size: 500 g, price: 1.75, keeps: 300, open_keeps: 90}]}
  - {food: carrots, table: \"11124\", packs: [{pack: 2 kg sack, size: 2 kg, price: 2.20, keeps: 28, open_keeps: 21}]}
components:
  - {component: cooked rice, makes: 1000 g, keeps: 3, minutes: 4, passive_minutes: 25, needs: [burner], from: [{food: rice, amount: 400 g}]}
recipes:
  - {recipe: rice and lentils, form: bowl, minutes: 9, lines: [{component: cooked rice, amount: 200 g}, {food: lentils, amount: 60 g}]}
  - {recipe: carrot and lentil salad, form: salad, minutes: 7, lines: [{food: carrots, amount: 150 g}, {food: lentils, amount: 50 g}]}
";
    std::fs::write(folder.path().join("kitchen.yaml"), text).unwrap();
    folder
}

/// Everything a cook reads of a kitchen, by the command that prints it. No folder: the demo.
fn all_screens(folder: Option<&std::path::Path>) -> Vec<(String, String)> {
    let papers = tempfile::tempdir().unwrap();
    let path = |name: &str| papers.path().join(name).to_str().unwrap().to_owned();
    let (page, recipes) = (path("page.html"), path("recipes"));
    let commands: [&[&str]; 8] = [
        &["week", "--limit", "20"],
        &["week", "--full", "--finish", "free", "--limit", "20"],
        &["prep"],
        &["weeks", "2"],
        &["list"],
        &["recipes", "--pages", &recipes],
        &["sheet", "--out", &page],
        &["tradeoffs", "--limit", "8"],
    ];
    let mut all = Vec::new();
    for command in commands {
        let mut args = vec![command[0]];
        // `weeks` has its number before the folder.
        let rest = &command[1..];
        let number = usize::from(command[0] == "weeks");
        args.extend(&rest[..number]);
        args.extend(folder.and_then(|folder| folder.to_str()));
        args.extend(&rest[number..]);
        let done = Command::new(env!("CARGO_BIN_EXE_scant"))
            .args(&args)
            .output()
            .unwrap();
        let code = done.status.code().unwrap();
        // Trade-offs that are not all settled in time exit with 3.
        assert!(matches!(code, 0 | 3), "{args:?} {code}");
        all.push((command.join(" "), String::from_utf8(done.stdout).unwrap()));
    }
    let mut pages: Vec<_> = std::fs::read_dir(&recipes).unwrap().collect();
    pages.sort_by_key(|page| page.as_ref().unwrap().path());
    let pages = pages.into_iter().map(|page| page.unwrap().path());
    for page in pages.chain([page.into()]) {
        all.push((page.display().to_string(), shown(&page)));
    }
    all
}

/// What a page shows: its text without marks and styles.
fn shown(page: &std::path::Path) -> String {
    let text = std::fs::read_to_string(page).unwrap();
    let mut out = String::new();
    let mut rest = text.as_str();
    while let Some(at) = rest.find('<') {
        out += &rest[..at];
        let tag = &rest[at..];
        let end = if tag.starts_with("<style") {
            tag.find("</style>").unwrap()
        } else if tag.starts_with("<script") {
            tag.find("</script>").unwrap()
        } else {
            tag.find('>').unwrap()
        };
        out.push('\n');
        rest = &tag[end + 1..];
    }
    out + rest
}

/// The words of a text, each with the one after it; spaces that do not break are spaces.
fn pairs(text: &str) -> Vec<(String, String)> {
    let text = text.replace('\u{a0}', " ");
    let words: Vec<&str> = text.split_whitespace().collect();
    let next = |at: usize| (*words.get(at + 1).unwrap_or(&"")).to_owned();
    (0..words.len())
        .map(|at| (words[at].to_owned(), next(at)))
        .collect()
}

fn bare(word: &str) -> &str {
    word.trim_matches(|c: char| !c.is_alphanumeric())
}

/// A day is said by its weekday or date, never by its number, wherever the week begins and however
/// long it is.
#[test]
fn no_screen_says_a_day_by_its_number() {
    let another = changed(&[("prep_day: Sunday ", "prep_day: Wednesday ")]);
    let dated = changed(&[(
        "  prep_day: Sunday ",
        "  starts: 2031-03-03\n  prep_day: Sunday ",
    )]);
    let fortnight = fortnight();
    let kitchens = [
        ("demo", None),
        ("another day", Some(another.path())),
        ("dated", Some(dated.path())),
        ("fortnight", Some(fortnight.path())),
    ];
    for (kitchen, folder) in kitchens {
        for (what, text) in all_screens(folder) {
            let words = pairs(&text);
            for (at, (word, next)) in words.iter().enumerate() {
                // The minutes of the prep day stand after its name, and after "every day" the next row.
                let before = at
                    .checked_sub(1)
                    .map(|at| bare(&words[at].0).to_lowercase());
                if before.is_some_and(|word| ["prep", "every"].contains(&word.as_str())) {
                    continue;
                }
                let day = ["day", "days"].contains(&bare(word).to_lowercase().as_str());
                let numbered = next.starts_with(|c: char| c.is_ascii_digit());
                let ended = word.ends_with(['.', ',', ';', ':', ')']);
                assert!(
                    !(day && numbered) || ended,
                    "{kitchen}, {what}: {word} {next}"
                );
            }
        }
    }
}

/// Once the first lunch has a date, no weekday is said without one.
#[test]
fn a_dated_week_is_told_by_date() {
    const WEEKDAYS: [&str; 7] = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
    let dated = changed(&[(
        "  prep_day: Sunday ",
        "  starts: 2031-03-03\n  prep_day: Sunday ",
    )]);
    for (what, text) in all_screens(Some(dated.path())) {
        let mut seen = 0;
        let words = pairs(&text);
        for (at, (word, next)) in words.iter().enumerate() {
            let name = bare(word);
            let long = name
                .strip_suffix("day")
                .is_some_and(|_| WEEKDAYS.iter().any(|day| name.starts_with(day)));
            let upper = WEEKDAYS
                .iter()
                .any(|day| name.ends_with("DAY") && name.starts_with(&day.to_uppercase()));
            if long || upper || WEEKDAYS.contains(&name) {
                seen += 1;
                let number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
                // In the prep plan's table a date may go on in the next line of its column.
                let wrapped = what == "prep"
                    && words[at..]
                        .iter()
                        .take(10)
                        .any(|(word, next)| number(word) && next.starts_with("March"));
                assert!(number(next) || wrapped, "{what}: {word} {next}");
            }
        }
        // What is written into a file says nothing here; its pages are read on their own.
        let told = !["week", "prep", "list"].contains(&what.as_str());
        assert!(seen > 0 || told, "{what} names days");
    }
    let week = scant(&["week", dated.path().to_str().unwrap()]);
    assert!(week.contains("Buy on Sun 2"), "{week}");
    assert!(week.contains("still good on Monday 10 March"), "{week}");
    for line in week.lines() {
        assert!(line.chars().count() <= COLUMNS, "{line}");
    }
    // The same by the option, and by what a former week says.
    let by_option = scant(&["week", "--monday", "2031-03-03"]);
    assert_eq!(by_option, week);
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("plan.json");
    let json = scant(&["week", "--monday", "2031-03-03", "--format", "json"]);
    std::fs::write(&plan, json).unwrap();
    let next = scant(&["week", "--brief", "--after", plan.to_str().unwrap()]);
    assert!(next.contains("Buy on Sun 9"), "{next}");
}

/// Figures of money in a text that are not written by the symbol: those with the currency's two
/// digits, but masses, minutes and shares.
fn bare_money(text: &str, written: impl Fn(&str, &str) -> bool) -> Vec<String> {
    let mut found = Vec::new();
    for (word, next) in pairs(text) {
        let figure = word.trim_matches(|c: char| !c.is_ascii_digit());
        let money = figure.split_once('.').is_some_and(|(whole, part)| {
            let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
            part.len() == 2 && digits(whole) && digits(part)
        });
        // The demo's least of fibre, a paragraph of a food code, an overlap.
        let other = figure == "9.34"
            || figure.starts_with("3-501")
            || figure.starts_with("0.")
                && text.starts_with("The boatyard kitchen. Proved best: pay");
        if money && !other && bare(&next) != "kg" && !written(&word, &next) {
            found.push(format!("{word} {next}"));
        }
    }
    found
}

/// By symbol and place, everywhere; the demo in a currency that is written before and one behind.
#[test]
fn every_price_has_its_symbol() {
    for (code, symbol) in [("GBP", "£"), ("PLN", "zł"), ("CHF", "CHF")] {
        let folder = changed(&[("currency: USD", &format!("currency: {code}"))]);
        for (what, text) in all_screens(Some(folder.path())) {
            let found = match code {
                "GBP" => bare_money(&text, |word, _| word.contains("£")),
                "PLN" => bare_money(&text, |_, next| bare(next) == "zł"),
                _ => {
                    let text = text.replace('\u{a0}', " ").replace("CHF ", "CHF");
                    bare_money(&text, |word, _| word.contains("CHF"))
                }
            };
            assert!(found.is_empty(), "{code}, {what}: {found:?}");
        }
        let told = scant(&["week", folder.path().to_str().unwrap()]);
        assert!(told.contains(symbol), "{told}");
        let csv = folder.path().join("list.csv");
        let (folder, csv) = (folder.path().to_str().unwrap(), csv.to_str().unwrap());
        scant(&["list", folder, "--csv", csv]);
        let list = std::fs::read_to_string(csv).unwrap();
        let rows = list.lines().skip(1);
        assert!(rows.clone().count() > 5, "{list}");
        for row in rows {
            assert!(row.contains(&format!("\"{code}\"")), "{row}");
        }
        assert!(symbol == code || !list.contains(symbol), "{list}");
    }
}

/// The truth: the Unicode CLDR, as Node's `Intl` has it.
#[test]
fn symbols_of_currencies_are_those_of_the_cldr() {
    const SCRIPT: &str = "
        const told = (code, language) => {
            const form = {style: 'currency', currency: code, numberingSystem: 'latn'};
            const parts = new Intl.NumberFormat(language, form).formatToParts(3.5);
            const at = parts.findIndex((part) => part.type === 'currency');
            const gap = parts[at === 0 ? 1 : at - 1];
            const apart = gap.type === 'literal' && /\\s/.test(gap.value);
            const place = (at === 0 ? 'Before' : 'After') + (apart ? 'Apart' : '');
            return [parts[at].value.replaceAll('\\u00a0', ' '), place];
        };
        for (const word of process.argv.slice(1)) {
            const [code, language] = word.split(':');
            const [symbol, place] = told(code, language);
            const english = told(code, 'en')[0] !== code;
            console.log([code, symbol, place, english].join('\\t'));
        }";
    let node = Command::new("node").arg("--version").output();
    if !node.is_ok_and(|run| run.status.success()) {
        let required = std::env::var("SCANT_JUDGES").is_ok_and(|word| word == "required");
        assert!(!required, "no node is installed");
        eprintln!("no node installed: symbols of currencies not looked at");
        return;
    }
    // Another release of the data may have other symbols.
    let release = Command::new("node")
        .args(["-p", "process.versions.cldr"])
        .output()
        .unwrap();
    if !release.stdout.starts_with(b"48") {
        eprintln!("node has another release of CLDR: symbols of currencies not looked at");
        return;
    }
    let words = SYMBOLS
        .iter()
        .map(|(code, _, _, language)| format!("{code}:{language}"));
    let run = Command::new("node")
        .arg("-e")
        .arg(SCRIPT)
        .args(words)
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&run.stdout);
    assert_eq!(told.lines().count(), SYMBOLS.len(), "{run:?}");
    for (line, (code, symbol, place, language)) in told.lines().zip(SYMBOLS) {
        // Another language is asked only where English has the code alone.
        let english = language == "en";
        assert_eq!(line, format!("{code}\t{symbol}\t{place:?}\t{english}"));
    }
}
