//! Asks whether the first screens are screens: how long and how wide they are on the demo, what a
//! terminal gets and what a file, and whether a stranger finds the answers that a cook asks for.
//! That colours are off under `NO_COLOR`: no-color.org.

use std::process::Command;

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

/// What to buy, what is thrown out, what is cooked on Sunday, what one food more saves.
#[test]
fn a_stranger_finds_the_answers() {
    let week = scant(&["week"]);
    let line = |begin: &str| {
        let line = week.lines().find(|line| line.starts_with(begin));
        line.unwrap_or_else(|| panic!("{begin} in\n{week}"))
            .to_owned()
    };
    assert!(line("Pay").contains("$28.28 for 10 foods (at most 10)"));
    let prices = week
        .lines()
        .skip_while(|line| !line.starts_with("Buy on Sunday"));
    let prices = prices.skip(1).take_while(|line| !line.starts_with("House"));
    let cents = prices.map(|line| {
        let mut words = line.split_whitespace();
        let price = words.find(|word| {
            let (whole, part) = word.split_once('.').unwrap_or((word, ""));
            part.len() == 2
                && (whole.to_owned() + part)
                    .bytes()
                    .all(|b| b.is_ascii_digit())
        });
        price
            .unwrap_or_else(|| panic!("a price: {line}"))
            .replace('.', "")
            .parse::<i64>()
            .unwrap()
    });
    assert_eq!(cents.sum::<i64>(), 2_828, "the list is the bill");
    assert!(line("Thrown out").contains("red cabbage 40 g"));
    assert!(line("Cook Sun").contains("edamame mash 300 g (Wed)"));
    let eleven = line("11 foods");
    assert!(
        eleven.contains("-2.89") && eleven.ends_with("--cap 11"),
        "{eleven}"
    );
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
