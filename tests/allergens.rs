//! Question: are the allergens of both laws offered by the kind of food, and never assumed?
//!
//! Truth: the fourteen of Regulation (EU) No 1169/2011, Annex II, and the nine of the Food Allergen
//! Labeling and Consumer Protection Act (2004) with the FASTER Act (2021), typed from memory; the
//! groups of the published food table, where every soy food has soy and every fish fish.

use std::collections::BTreeSet;

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
