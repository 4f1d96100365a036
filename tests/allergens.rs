//! Question: are the allergens of both laws offered by the kind of food, and never assumed?
//!
//! Truth: the fourteen of Regulation (EU) No 1169/2011, Annex II, and the nine of the Food Allergen
//! Labeling and Consumer Protection Act (2004) with the FASTER Act (2021), typed from memory; the
//! groups of the published food table, where every soy food has soy and every fish fish.

use std::collections::BTreeSet;

use scant::engine::{Limits, Outcome, solve};
use scant::explain;
use scant::kitchen::read_texts;
use scant::larder::Larder;
use scant::table::allergens::{Allergen, by_kind, offered};
use scant::table::{self, Row};

#[test]
fn fourteen_of_the_european_union_and_nine_of_the_united_states() {
    let words = |of: fn(Allergen) -> bool| -> BTreeSet<&str> {
        let all = Allergen::ALL.into_iter().filter(|&a| of(a));
        all.map(Allergen::word).collect()
    };
    let eu = [
        "gluten",
        "crustaceans",
        "eggs",
        "fish",
        "peanuts",
        "soy",
        "milk",
        "tree nuts",
        "celery",
        "mustard",
        "sesame",
        "sulphites",
        "lupin",
        "molluscs",
    ];
    let us = [
        "milk",
        "eggs",
        "fish",
        "crustaceans",
        "tree nuts",
        "peanuts",
        "wheat",
        "soy",
        "sesame",
    ];
    assert_eq!(words(Allergen::in_eu), eu.into());
    assert_eq!(words(Allergen::in_us), us.into());
    // Each is offered of some food.
    for allergen in Allergen::ALL {
        let of_some = table::rows().iter().any(|row| {
            let (has, may) = by_kind(row.name);
            has.contains(&allergen) || may.contains(&allergen)
        });
        assert!(of_some, "{}", allergen.word());
    }
}

fn has(row: &Row, allergen: Allergen) -> bool {
    by_kind(row.name).0.contains(&allergen)
}

/// Rows of a group that have none of these, but for those named.
fn without(group: &str, any: &[Allergen], apart: &[&str]) -> Vec<&'static str> {
    table::rows()
        .iter()
        .filter(|row| row.group == group && !any.iter().any(|&a| has(row, a)))
        .filter(|row| !apart.iter().any(|word| row.name.contains(word)))
        .map(|row| row.name)
        .collect()
}

#[test]
fn whole_groups_of_the_table_have_theirs() {
    use Allergen::{Crustaceans, Eggs, Fish, Milk, Molluscs, Soy};
    let seafood = [Fish, Crustaceans, Molluscs];
    let left = [
        without("soy foods", &[Soy], &["vegetable burgers"]),
        without("eggs and dairy", &[Eggs, Milk], &["substitute", "topping"]),
        without(
            "fish and seafood",
            &seafood,
            &["frog", "turtle", "jellyfish"],
        ),
    ];
    assert_eq!(left.concat(), [""; 0]);
}

#[test]
fn foods_have_what_their_kind_has() {
    for (name, sure, may) in [
        ("firm tofu", "soy", ""),
        ("miso", "soy", "gluten"),
        ("soy sauce", "gluten wheat soy", ""),
        ("wholemeal bread", "gluten wheat", ""),
        ("bulgur, dry", "gluten wheat", ""),
        ("buckwheat, dry", "", ""),
        ("rice noodles, dry", "", ""),
        ("pearl barley", "gluten", ""),
        ("oats, rolled", "gluten", ""),
        ("tahini", "sesame", ""),
        ("peanut butter", "peanuts", ""),
        ("almond butter", "tree nuts", ""),
        ("butter, salted", "milk", ""),
        ("butter beans", "", ""),
        ("coconut milk", "", ""),
        ("soy milk", "soy", ""),
        ("celery, raw", "celery", ""),
        ("mustard, prepared", "mustard", ""),
        ("apricots, dried", "", "sulphites"),
        ("eggplant, raw", "", ""),
        ("oyster mushrooms", "", ""),
        ("lupins, dry", "lupin", ""),
        ("carrots, raw", "", ""),
    ] {
        let (has, can) = by_kind(name);
        let words = |list: &[Allergen]| {
            let words: Vec<&str> = list.iter().map(|a| a.word()).collect();
            words.join(" ")
        };
        assert_eq!(
            (words(&has), words(&can)),
            (sure.to_owned(), may.to_owned()),
            "{name}"
        );
    }
    assert_eq!(
        offered("miso").as_deref(),
        Some("soy (EU, US); often made with gluten (EU)")
    );
    assert_eq!(offered("carrots"), None);
}

/// What the demo's cooks wrote is what is offered of the foods they wrote it of; what is offered
/// beyond that they may have read from a label.
#[test]
fn the_demo_names_what_its_foods_are_and_nothing_is_put_in() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
    let larder: Larder = scant::kitchen::read_dir(&folder).larder.expect("no fault");
    let mut forgotten = Vec::new();
    for food in &larder.foods {
        let row = table::row_of(&food.source).map_or("", |row| row.name);
        let (has, _) = by_kind(&format!("{} {row}", food.name));
        for allergen in has.into_iter().filter(|a| *a != Allergen::Wheat) {
            if !food.allergens.iter().any(|word| word == allergen.word()) {
                forgotten.push(format!("{}: {}", food.name, allergen.word()));
            }
        }
    }
    assert!(forgotten.is_empty(), "{forgotten:#?}");
    // Never assumed: a kitchen that writes none has none.
    let text = "
kitchen: K
currency: USD
week: {lunches: 1, eaters: 1}
foods:
  - {food: tofu, table: \"16126\", packs: [{pack: block, size: 400 g, price: 1.00, keeps: 5, open_keeps: 3}]}
recipes:
  - {recipe: Lunch, form: bowl, minutes: 5, lines: [{food: tofu, amount: 300 g}]}
";
    let read = scant::kitchen::read_texts(vec![("k.yaml".to_owned(), text.into())]);
    let larder = read.larder.expect("no fault");
    assert!(larder.foods.iter().all(|food| food.allergens.is_empty()));
}

/// Less than a milligram of soy comes with the spice paste, and a milligram of the stew is eaten:
/// amounts round to nothing, an allergen does not (Regulation (EU) No 1169/2011, article 21: what is
/// in there is named, however little).
#[test]
fn a_share_that_rounds_to_nothing_is_named_and_banned() {
    let kitchen = |more: &str| {
        format!(
            "currency: EUR\nweek: {{lunches: 2}}\nrules: {{repeats: 2{more}}}\nfoods:\n\
             - {{food: rice, nutrients: {{energy: 1}}, source: invented, packs: [{{pack: bag, size: 1 kg, price: 2, keeps: 9, open_keeps: 9}}]}}\n\
             - {{food: soy sauce, staple: true, allergens: [soy], nutrients: {{energy: 1}}, source: invented, packs: [{{size: 1 kg, price: 2}}]}}\n\
             components:\n\
             - {{component: paste, makes: 1 kg, from: [{{food: rice, amount: 1 kg}}, {{food: soy sauce, amount: 1 mg}}], keeps: 3}}\n\
             - {{component: stew, makes: 1 kg, from: [{{food: rice, amount: 1 kg}}, {{component: paste, amount: 1 g}}], keeps: 3}}\n\
             recipes:\n\
             - {{recipe: bowl, form: bowl, lines: [{{food: rice, amount: 300 g}}, {{component: stew, amount: 10 g}}]}}\n"
        )
    };
    let read = |more: &str| {
        let texts = vec![("k.yaml".to_owned(), kitchen(more).into_bytes())];
        let read = read_texts(texts);
        read.larder.unwrap_or_else(|| panic!("{:?}", read.faults))
    };
    let larder = read("");
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let (outcome, effort) = solve(&larder, &limits).expect("no engine fault");
    let told = explain::explain(&larder, &outcome, effort);
    let week = told.week.expect("a week");
    assert_eq!(week.lunches.len(), 2);
    for lunch in &week.lunches {
        assert_eq!(lunch.allergens, ["soy"]);
    }
    let banned = read(", without: [soy]");
    let (outcome, _) = solve(&banned, &limits).expect("no engine fault");
    assert!(matches!(outcome, Outcome::Impossible), "{outcome:?}");
}
