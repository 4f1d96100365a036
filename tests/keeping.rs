//! Question: is a kitchen told by name where it keeps food longer than is published?
//!
//! Truth: days typed from the published tables: FoodKeeper data, version 128 (2018); University of
//! Illinois Extension, Leftovers (3 to 4 days for cooked food); food press for opened tofu (3 to 5
//! days); Virginia Cooperative Extension 348-960 for brown rice (180 days, where FoodKeeper has 365).

use std::process::Command;

use scant::kitchen::{Read, read_dir, read_texts, render};

const BASE: &str = "
kitchen: The slip
currency: USD
week: {lunches: 1, eaters: 1}
recipes:
  - recipe: Lunch
    form: bowl
    minutes: 5
    lines:
      - {food: soap wort, amount: 300 g}
";

const OWN: &str = "
  - food: soap wort
    nutrients: {energy: 1}
    source: invented
    packs: [{pack: bag, size: 1 kg, price: 1.00, keeps: 900, open_keeps: 900}]
";

fn kitchen(foods: &str, rest: &str) -> Read {
    let text = format!("{BASE}foods:{OWN}{foods}\n{rest}");
    read_texts(vec![("kitchen.yaml".to_owned(), text.into_bytes())])
}

/// Returns what is said of keeping times.
fn told(foods: &str, rest: &str) -> Vec<String> {
    let read = kitchen(foods, rest);
    assert!(read.faults.is_empty(), "{}", render::report(&read));
    assert_eq!(read.tally.times, read.times.len());
    read.times.iter().map(|time| time.what.clone()).collect()
}

fn food(name: &str, row: &str, pack: &str) -> String {
    format!(
        "  - food: {name}\n    table: \"{row}\"\n    packs: [{{{pack}, size: 400 g, price: 1.00}}]\n"
    )
}

/// Food, row, pack, the state's key, and the most days that are published for it.
const BOUNDS: [(&str, &str, &str, &str, i64); 17] = [
    ("tofu", "16126", "16 oz block", "open_keeps", 5),
    ("tofu", "16126", "16 oz block", "keeps", 7),
    ("chickpeas", "16359", "tin", "open_keeps", 4),
    ("black beans", "16015", "400 g tin", "open_keeps", 4),
    ("chopped tomatoes", "11533", "tin", "open_keeps", 7),
    ("carrots", "11124", "bag", "keeps", 21),
    ("broccoli", "11090", "head", "keeps", 5),
    ("spinach", "11457", "bag", "open_keeps", 2),
    ("tahini", "12166", "jar", "open_keeps", 21),
    ("brown rice", "20036", "bag", "keeps", 180),
    ("cooked rice", "20045", "deli tub", "keeps", 4),
    ("hummus", "16158", "tub", "open_keeps", 7),
    ("avocado", "09037", "half", "open_keeps", 2),
    ("wholemeal bread", "18075", "loaf", "open_keeps", 21),
    ("bread", "18075", "loaf, kept: freezer", "keeps", 90),
    ("edamame", "11211", "frozen bag", "keeps", 540),
    ("eggs", "01123", "box of 6", "keeps", 35),
];

#[test]
fn a_day_more_than_is_published_is_told_and_the_published_time_is_not() {
    for (name, row, pack, key, most) in BOUNDS {
        let of = |days: i64| {
            let other = if key == "keeps" {
                "open_keeps: 0"
            } else {
                "keeps: 1"
            };
            let times = format!("pack: {pack}, {key}: {days}, {other}");
            told(&food(name, row, &times), "")
        };
        assert_eq!(of(most), [""; 0], "{name}, {pack}");
        let said = of(most + 1);
        assert_eq!(said.len(), 1, "{name}, {pack}: {said:?}");
        for words in [format!("`{name}`"), format!("keeps {} days", most + 1)] {
            assert!(said[0].contains(&words), "{}", said[0]);
        }
        let published = said[0].split("published: ").nth(1).unwrap_or("");
        assert!(
            published.starts_with(&format!("{most} days")),
            "{published}"
        );
        assert!(published.contains('('), "its source: {published}");
    }
}

#[test]
fn nothing_is_said_where_nothing_is_published_or_the_pack_says_it() {
    // Bananas stand on a shelf until they are ripe; a tin of oil is no tin of fish.
    for (name, row, pack) in [
        ("bananas", "09040", "bunch"),
        ("olive oil", "04053", "1 l tin"),
        ("cooked rice", "20045", "sealed pouch"),
        ("capers", "02054", "jar"),
    ] {
        let times = format!("pack: {pack}, keeps: 300, open_keeps: 1");
        assert_eq!(told(&food(name, row, &times), ""), [""; 0], "{name}");
    }
}

#[test]
fn what_was_cooked_keeps_as_leftovers_do_and_a_sour_dressing_longer() {
    let foods = [
        food("tofu", "16126", "pack: block, keeps: 5, open_keeps: 3"),
        food(
            "olive oil",
            "04053",
            "pack: bottle, keeps: 300, open_keeps: 60",
        ),
        food(
            "cider vinegar",
            "02048",
            "pack: bottle, keeps: 300, open_keeps: 300",
        ),
        food("garlic", "11215", "pack: bulb, keeps: 30, open_keeps: 10"),
    ]
    .concat();
    let of = |name: &str, from: &str, keeps: i64, more: &str| {
        let from: Vec<String> = from
            .split(" and ")
            .map(|food| format!("{{food: {food}, amount: 100 g}}"))
            .collect();
        let rest = format!(
            "components:\n  - {{component: {name}, makes: 200 g, from: [{}], keeps: {keeps}, \
             minutes: 1{more}}}\n",
            from.join(", ")
        );
        told(&foods, &rest)
    };
    for (name, from, most, more) in [
        ("baked tofu", "tofu", 4, ""),
        ("garlic dressing", "olive oil and garlic", 4, ""),
        ("vinaigrette", "olive oil and cider vinegar", 14, ""),
        ("baked tofu", "tofu", 60, ", tags: [frozen]"),
        ("frozen tofu crumble", "tofu", 60, ""),
    ] {
        assert_eq!(of(name, from, most, more), [""; 0], "{name}");
        let said = of(name, from, most + 1, more);
        assert_eq!(said.len(), 1, "{name}: {said:?}");
        assert!(
            said[0].contains(&format!("published: {most} days")),
            "{}",
            said[0]
        );
    }
    // 30 days of cooked food went by in silence once.
    assert_eq!(of("baked tofu", "tofu", 30, "").len(), 1);
}

#[test]
fn what_is_on_hand_and_staples_are_held_too() {
    let tofu = food("tofu", "16126", "pack: block, keeps: 5, open_keeps: 3");
    for (stock, many) in [
        ("opened: true, good_until: 5", 0),
        ("opened: true, good_until: 6", 1),
        ("good_until: 7, open_keeps: 5", 0),
        ("good_until: 8, open_keeps: 5", 1),
        ("good_until: 8, open_keeps: 6", 2),
    ] {
        let rest =
            format!("stock: [{{food: tofu, amount: 100 g, label: rest of a block, {stock}}}]");
        let said = told(&tofu, &rest);
        assert_eq!(said.len(), many, "{stock}: {said:?}");
        assert!(
            said.iter().all(|s| s.contains("rest of a block")),
            "{said:?}"
        );
    }
    let staple = tofu.replace("    table", "    staple: true\n    table");
    assert_eq!(told(&staple, ""), [""; 0]);
    let staple = staple.replace("open_keeps: 3", "open_keeps: 60");
    assert_eq!(told(&staple, "").len(), 1);
}

/// Hard ones of a shop take 3 to 5 days (growers), and a ripe one holds 3 (food press).
#[test]
fn fruit_that_ripens_is_held_against_how_it_ripens() {
    for (window, many) in [
        ("stage: hard, ready: 5..8", 0),
        ("stage: hard, ready: 5..9", 1),
        // Hard ones of which some may be ripe, and such as nobody calls hard.
        ("stage: hard, ready: 0..8", 0),
        ("stage: hard, ready: 0..9", 1),
        ("ready: 5..8", 0),
        ("ready: 5..9", 1),
        ("stage: ripe, ready: 0..3", 0),
        ("stage: ripe, ready: 0..4", 1),
    ] {
        let pack = format!("pack: single, {window}, open_keeps: 1");
        let said = told(&food("avocado", "09037", &pack), "");
        assert_eq!(said.len(), many, "{window}: {said:?}");
    }
}

/// The maker's date says how long a sealed pack keeps, and nothing of an opened one.
#[test]
fn a_date_on_the_pack_counts_for_the_sealed_one_alone() {
    let pack = |more: &str| format!("pack: block, keeps: 30, open_keeps: 60{more}");
    assert_eq!(told(&food("tofu", "16126", &pack("")), "").len(), 2);
    let dated = told(&food("tofu", "16126", &pack(", dated: true")), "");
    assert_eq!(dated.len(), 1, "{dated:?}");
    assert!(dated[0].contains("opened it keeps 60 days"), "{dated:?}");
}

#[test]
fn a_place_that_is_none_is_a_fault() {
    let pack = "pack: loaf, keeps: 5, open_keeps: 5, kept: cellar";
    let read = kitchen(&food("bread", "18075", pack), "");
    assert_eq!(read.faults.len(), 1);
    assert!(read.faults[0].what.contains("cellar"));
}

#[test]
fn the_demo_and_the_school_visit_keep_nothing_longer() {
    for name in ["boatyard", "school-visit"] {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
        let read = read_dir(&folder.join(name));
        assert_eq!(read.tally.times, 0, "{}", render::report(&read));
    }
}

/// A warning is no fault: `check` ends well, and `week` counts them in one line.
#[test]
fn check_tells_each_and_week_says_how_many() {
    let folder = tempfile::tempdir().expect("a folder");
    let foods = food("tofu", "16126", "pack: block, keeps: 30, open_keeps: 60");
    let text = format!("{BASE}foods:{OWN}{foods}");
    std::fs::write(folder.path().join("kitchen.yaml"), text).expect("written");
    let run = |command: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_scant"))
            .arg(command)
            .arg(folder.path())
            .output()
            .expect("runs");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (out.status.code(), text(&out.stdout), text(&out.stderr))
    };
    let (code, out, _) = run("check");
    assert_eq!(code, Some(0));
    assert_eq!(out.matches("published: ").count(), 2, "{out}");
    assert!(
        out.contains("no faults, 3 warnings"),
        "two, and tofu is not used: {out}"
    );
    let (code, _, err) = run("week");
    assert_eq!(code, Some(0));
    assert!(err.contains("2 keeping times here are longer"), "{err}");
    assert!(!err.contains("published: "), "{err}");
}
