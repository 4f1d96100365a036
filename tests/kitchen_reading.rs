//! Asks whether a kitchen written as the file contract says is read into the right whole numbers.
//! The truth: models/kitchen-files.md and arithmetic by hand; units by NIST Handbook 44,
//! Appendix C.

#[path = "kitchen_reading/edges.rs"]
mod edges;

use scant::kitchen::names::{resolve_pin, resolve_target};
use scant::kitchen::{Read, Rest, read_former, read_texts};
use scant::larder::allowed::allowed_alternatives;
use scant::larder::{
    Aim, CapBy, ComponentId, Contents, Ingredient, Nutrient, Per, Pin, RecipeId, ShopId, Target,
};
use std::fmt::Write as _;

/// The same letters, composed and decomposed: UAX #15, figures 3 and 5 and table 1 (from memory),
/// with the canonical equivalences of the character database.
const ALIKE: [(&str, &str); 6] = [
    ("cr\u{e8}me", "cre\u{300}me"),
    ("\u{212b}ngstr\u{f6}m", "A\u{30a}ngstro\u{308}m"),
    ("\u{1e9b}\u{323}", "\u{17f}\u{323}\u{307}"),
    ("ph\u{1edf}", "pho\u{31b}\u{309}"),
    ("\u{ac01}", "\u{1100}\u{1161}\u{11a8}"),
    (
        "\u{395}\u{39b}\u{399}\u{386}",
        "\u{3b5}\u{3bb}\u{3b9}\u{3b1}\u{301}",
    ),
];

/// A kitchen that calls things one way where they are made and another where they are used.
fn spelt(made: &str, used: &str) -> Read {
    read_texts(vec![(
        "k.yaml".to_owned(),
        format!(
            r#"
kitchen: "{made} house"
currency: USD
week: {{lunches: 1, carry_day: 5}}
equipment: {{"{made} pot": 2}}
foods:
  - food: "{made}"
    nutrients: {{energy: 100}}
    source: invented
    tags: ["{made} tag", "{used} tag"]
    allergens: ["{used} allergen"]
    measures: {{"{made}": 10 g}}
    packs: [{{pack: tub, size: 500 g, price: 1.50, keeps: 9, open_keeps: 9}}]
components:
  - component: "{used} base"
    makes: 100 g
    keeps: 2
    from: [{{food: "{used}", amount: 5 {used}}}]
recipes:
  - recipe: "{made} bowl"
    form: "{made}"
    needs: ["{used} pot"]
    lines: [{{food: "{used}", amount: 300 g}}, {{component: "{made} base", amount: 10 g}}]
  - {{recipe: "bowl", form: "{used}", lines: [{{food: "{made}", amount: 300 g}}]}}
stock: [{{food: "{used}", label: open, amount: 3 g, good_until: 2, opened: true}}]
rules: {{with: ["{used} bowl"]}}
"#
        )
        .into_bytes(),
    )])
}

#[test]
fn names_are_one_however_their_accents_are_put_together() {
    for (one, other) in ALIKE {
        assert_ne!(one, other);
        for (made, used) in [(one, other), (other, one)] {
            let read = spelt(made, used);
            assert!(read.warnings.is_empty(), "{made}: {:?}", read.warnings);
            let larder = read.larder.unwrap_or_else(|| panic!("{:?}", read.faults));
            assert_eq!((larder.foods.len(), larder.components.len()), (1, 1));
            assert_eq!((larder.forms.len(), larder.foods[0].tags.len()), (1, 1));
            assert_eq!(larder.components[0].foods[0].1, 50_000);
            assert_eq!(larder.equipment[0].count, 2);
            // As options name them.
            let ban = |name: String| resolve_target(&larder, &name);
            assert_eq!(ban(made.to_owned()), ban(used.to_owned()));
            assert!(ban(format!("{made} allergen")).is_ok());
            let Pin::Recipe(bowl, None) = larder.wishes.with[0] else {
                panic!("{:?}", larder.wishes.with);
            };
            let pin = resolve_pin(&larder, &format!("{used} bowl@1"));
            assert_eq!(pin, Ok(Pin::Recipe(bowl, Some(1))));
            // As a former week names them: its food is known, its kitchen the same one, and a
            // recipe served then rests now.
            let plan = format!(
                r#"{{"outcome":"best","kitchen":"{used} house","currency":{{"code":"USD",
                "digits":2}},"week":{{"carry_day":5}},"lunches":[{{"recipe":"{used} bowl"}}],
                "kept":[{{"food":"{used}","label":"tub","units":1,"opened":true,"left_mg":5,
                "ready_from":0,"good_until":9,"end":9,"unit_value_nano":1}}]}}"#
            );
            let former = read_former("plan.json", plan.into_bytes(), &larder);
            assert!(former.warnings.is_empty(), "{:?}", former.warnings);
            let former = former
                .former
                .unwrap_or_else(|| panic!("{:?}", former.faults));
            assert_eq!(former.kept[0].food.index(), 0);
            let mut contents = Contents::clone(&larder);
            let rest = Rest {
                refuse: 1,
                price: None,
            };
            assert!(rest.apply(&mut contents, &former.weeks).is_empty());
            assert_eq!(contents.wishes.without.len(), 1);
        }
        // Twice within a kind is a fault that says why.
        let twice = format!(
            "currency: USD\nrecipes:\n - {{recipe: {one}, form: b, lines: []}}\n - {{recipe: \
             {other}, form: b, lines: []}}\n"
        );
        let read = read_texts(vec![("k.yaml".to_owned(), twice.into_bytes())]);
        let why = |what: &str| what.contains("already stands at k.yaml:3");
        let fault = read.faults.iter().find(|fault| why(&fault.what)).unwrap();
        assert!(fault.what.ends_with("difference)"), "{}", fault.what);
    }
    // What only looks like it to a reader of one script is another letter still.
    let (latin, cyrillic) = ("cr\u{e8}me", "\u{441}r\u{e8}me");
    assert!(spelt(latin, cyrillic).larder.is_none());
}

const FOODS: &str = r#"
kitchen: The boatyard kitchen
currency: USD
foods:
  - food: chickpeas, tinned
    nutrients: {energy: 139, protein: 7.05, fibre: 6.4}
    source: invented for this test
    tags: [pulse]
    family: pulses
    measures: {cup: 160 g}
    packs:
      - {pack: 400 g tin, size: 400 g, units: 3, price: 2.40, keeps: 365, open_keeps: 3}
    yield: 60 %
  - food: avocado
    nutrients: {energy: 160, potassium: 485}
    source: invented for this test
    measures: {piece: 150 g}
    yield: 74 %
    packs:
      - {pack: hard one, size: 1 piece, price: 1.10, stage: hard, ready: 3..6, open_keeps: 1}
  - food: onion
    table: "11282"
    family: Onions
    packs:
      - {pack: by weight, size: 10 g, price: 0.02, keeps: 20, loose: true}
  - food: olive oil
    nutrients: {energy: 884, fat: 100}
    source: invented for this test
    staple: true
    measures: {tbsp: 13.5 g}
    packs: [{size: 500 ml, price: 6.00}, {size: 1 kg, price: 9.00}]
"#;

const REST: &str = r#"
components:
  - component: onion base
    makes: 300 g
    from:
      - {food: onion, amount: 400 g}
      - {food: olive oil, amount: 2 tbsp}
    keeps: 3
    minutes: 12.5
    portion: 100 g
    minutes_per_portion: 1.5
    passive_minutes: 20
    needs: [pot]
    tags: [base]
    steps: [chop, {do: fry, active: 5, passive: 20, ahead: true}]
  - component: stew
    makes: 900 g
    from:
      - {component: onion base, amount: 150 g}
      - {food: "chickpeas, tinned", amount: 1 pack}
    keeps: 2
    minutes: 3
recipes:
  - recipe: Stew bowl
    form: bowl
    protein: chickpeas
    days: [Monday, 3]
    minutes: 4
    lines:
      - {component: stew, amount: 300 g}
      - one_of:
          - {food: avocado, amount: 1/2 piece}
          - {food: "Chickpeas, tinned", amount: 1/3 unit}
      - {food: onion, amount: 1 oz, optional: true, appeal: 7}
    steps: [warm it]
  - recipe: Avocado wrap
    form: Wrap
    tags: [quick]
    lines: [{food: avocado, amount: ¾ piece}]
week:
  lunches: 3
  eaters: {each_day: 3, Tuesday: [1, 1.25]}
  trips: [0, 2]
stock:
  - {food: avocado, amount: 1 unit, good_until: 2, label: left one}
aims:
  spoil_weight: 1.5
  carry_credit: 0.25
  order: [foods, cost]
  watch_price: 0.02
  food_price: 0.30
  day_preferences: [{form: wrap, days: [Friday, 1], price: -0.50}]
rules:
  cap: 4
  cap_by: families
  budget: 20
  minutes: {each_day: 30, Sunday: 90}
  kitchen_minutes: {Sunday: 120.5}
  cook_on: [Wednesday, 0]
  nutrition: [{nutrient: protein, per: week, at_least: 5, source: invented}]
  repeats: 2
  per_form: 2
  sameness: 0.9
  without: [base]
  with: [avocado wrap, {name: avocado, day: Monday}]
"#;

fn read(texts: &[(&str, &str)]) -> Read {
    read_texts(
        texts
            .iter()
            .map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()))
            .collect(),
    )
}

/// A kitchen of two shops: the first is the usual one.
const SHOPS: &str = r"
currency: EUR
week:
  lunches: 3
  shops:
    - {shop: Quay, days: [1, 2]}
    - {shop: farm gate, days: [Sunday, Monday], trip_price: 0.75}
foods:
  - food: kale
    nutrients: {energy: 1}
    source: invented
    packs:
      - {pack: bunch, size: 200 g, price: {FARM GATE: 1.00, quay: 2.00}, keeps: 3, open_keeps: 1}
      - {pack: bag, size: 100 g, price: 1.50, keeps: 3, open_keeps: 1}
  - food: oil
    nutrients: {energy: 1}
    source: invented
    staple: true
    packs: [{pack: jar, size: 1 kg, price: {farm gate: 8}}]
recipes: [{recipe: r, form: f, lines: [{food: kale, amount: 90 g}]}]
";

/// Pack, shop and price of every option.
fn offers(texts: &[(&str, &str)]) -> Vec<(String, String, i64)> {
    let read = read(texts);
    assert!(read.faults.is_empty(), "{:#?}", read.faults);
    let larder = read.larder.expect("no fault");
    let packs = larder.packs.iter().map(|pack| {
        let shop = &larder.shops[pack.shop.expect("a shop").index()];
        (pack.label.clone(), shop.clone(), pack.price_minor)
    });
    packs.collect()
}

#[test]
fn a_price_by_shop_is_a_pack_at_each_and_one_without_is_the_usual_shops() {
    let read = read(&[("a.yaml", SHOPS)]);
    assert!(read.faults.is_empty(), "{:#?}", read.faults);
    let larder = read.larder.expect("no fault");
    assert_eq!(larder.shops, ["Quay", "farm gate"]);
    // The usual shop's first day, then the others by day and shop.
    let trips = larder.week.trips.iter();
    let trips: Vec<_> = trips
        .map(|trip| (trip.day, trip.shop.map(ShopId::index), trip.going_minor))
        .collect();
    let farm = Some(75);
    assert_eq!(
        trips,
        [
            (1, Some(0), None),
            (0, Some(1), farm),
            (1, Some(1), farm),
            (2, Some(0), None)
        ]
    );
    let told = offers(&[("a.yaml", SHOPS)]);
    let told: Vec<_> = told.iter().map(|(p, s, m)| (&**p, &**s, *m)).collect();
    assert_eq!(
        told,
        [
            ("bunch", "Quay", 200),
            ("bunch", "farm gate", 100),
            ("bag", "Quay", 150),
            ("jar", "farm gate", 800)
        ]
    );
}

#[test]
fn a_price_list_counts_for_its_own_shop_and_without_one_for_the_usual() {
    let list = "date,shop,food,pack,price\n\
        2031-03-01,,kale,bag,1.40\n\
        2031-03-01,farm gate,kale,bag,0.90\n\
        2031-03-02,Farm Gate,kale,bunch,1.10\n\
        2031-03-01,farm gate,kale,bunch,0.50\n";
    let told = offers(&[("a.yaml", SHOPS), ("prices.csv", list)]);
    let told: Vec<_> = told.iter().map(|(p, s, m)| (&**p, &**s, *m)).collect();
    assert_eq!(
        told,
        [
            ("bunch", "Quay", 200),
            ("bunch", "farm gate", 110),
            ("bag", "Quay", 140),
            ("bag", "farm gate", 90),
            ("jar", "farm gate", 800)
        ]
    );
}

#[test]
fn every_key_arrives_as_the_contract_says() {
    let rest = REST.replace("Friday, 1", "Tuesday, 1");
    let read = read(&[("b.yaml", FOODS), ("a.yaml", &rest)]);
    assert!(read.faults.is_empty(), "{:#?}", read.faults);
    let larder = read.larder.expect("no fault");
    let names: Vec<&str> = larder.foods.iter().map(|food| food.name.as_str()).collect();
    assert_eq!(
        names,
        ["avocado", "chickpeas, tinned", "olive oil", "onion"]
    );
    assert_eq!(larder.name, "The boatyard kitchen");
    assert_eq!(
        (larder.currency.code.as_str(), larder.currency.digits),
        ("USD", 2)
    );
    assert_eq!(larder.families, ["Onions", "pulses"]);
    assert_eq!(larder.forms, ["bowl", "Wrap"]);
    assert_eq!(larder.week.eaters_milli, [3000, 2250, 3000]);
    let trips = [0, 2].map(scant::larder::ShoppingTrip::on);
    assert_eq!(larder.week.trips, trips);
    assert_eq!(larder.week.carry_day, 6);
    assert_eq!(larder.day_name(1), "Monday");

    // 400 g at 60 % are 240 g edible; 2.40 for three of them: 240e9 / 720000 = 333333.3 -> 333333.
    let tin = &larder.packs[larder.foods[1].packs.start as usize];
    assert_eq!(
        (tin.unit_ap_mg, tin.unit_mg, tin.units, tin.price_minor),
        (400_000, 240_000, 3, 240)
    );
    assert_eq!(tin.value_nano, 333_333);
    assert_eq!(
        (tin.ready_from, tin.ready_to, tin.open_life, tin.end),
        (0, 365, 3, 365)
    );
    // A piece is 150 g edible: 150 / 0.74 = 202.702703 g as purchased, rounded up to the mg.
    let fruit = &larder.packs[larder.foods[0].packs.start as usize];
    assert_eq!((fruit.unit_ap_mg, fruit.unit_mg), (202_703, 150_000));
    assert_eq!(
        (fruit.ready_from, fruit.ready_to, fruit.open_life, fruit.end),
        (3, 6, 1, 7)
    );
    assert_eq!(fruit.stage.as_deref(), Some("hard"));
    let loose = &larder.packs[larder.foods[3].packs.start as usize];
    assert!(loose.loose);
    assert_eq!((loose.ready_to, loose.open_life, loose.end), (20, 20, 20));
    // Oil: a tablespoon is 14.78676478125 ml (Handbook 44) and 13.5 g here, so 500 ml are
    // 456.489...g; 600e9/456489 = 1314380 and 900e9/1e6 = 900000: the lower counts.
    assert_eq!(larder.foods[2].staple_value_nano, 900_000);
    let bottle = &larder.packs[larder.foods[2].packs.start as usize];
    assert_eq!((bottle.unit_mg, bottle.value_nano), (456_489, 1_314_380));
    assert_eq!(
        larder.foods[1].nutrients_milli[Nutrient::Protein.index()],
        Some(7_050)
    );
    assert_eq!(
        larder.foods[1].nutrients_milli[Nutrient::Iron.index()],
        None
    );

    // What a piece weighs is told, and a cup of what has one: 14.78... ml are 13.5 g, 16 of them
    // a cup.
    let household = |food: usize| larder.foods[food].household.clone();
    assert_eq!(household(0).counted, [("piece".to_owned(), 150_000)]);
    assert_eq!(household(0).cup_mg, None);
    assert_eq!(household(2).cup_mg, Some(16 * 13_500));
    assert!(household(2).counted.is_empty());

    // Components: 150 of 300 g onion base takes 200 g onion and 13.5 g oil.
    assert_eq!(larder.components[1].inside, [ComponentId::new(0)]);
    let mut without = Contents::clone(&larder);
    without.wishes.without = vec![Target::Component(ComponentId::new(0))];
    let allowed = allowed_alternatives(&without);
    let mut names = larder.recipes.iter().map(|recipe| recipe.name.as_str());
    let bowl = RecipeId::new(names.position(|name| name == "Stew bowl").unwrap());
    // Its first line is the stew, made from the onion base.
    assert!(allowed.of(bowl).lines[0].is_empty());
    let stew = &larder.components[1];
    let foods: Vec<(u32, i64)> = stew.foods.iter().map(|(id, mg)| (id.0, *mg)).collect();
    assert_eq!(foods, [(1, 720_000), (2, 13_500), (3, 200_000)]);
    assert_eq!(stew.batch_minutes_nano, 15_500_000_000);
    // 1.5 min a 100 g is 15000e-9 a milligram; 150/900 of it is 2500.
    assert_eq!(larder.components[0].minutes_per_mg_nano, 15_000);
    assert_eq!(stew.minutes_per_mg_nano, 2_500);
    assert_eq!(
        (stew.needs.as_slice(), stew.passive_minutes),
        (&["pot".to_owned()][..], 20)
    );
    assert_eq!(stew.steps.len(), 2);

    let bowl = larder
        .recipes
        .iter()
        .find(|recipe| recipe.name == "Stew bowl")
        .unwrap();
    // Fried for 20 minutes in the pot.
    let watched = [&larder.components[0], stew].map(scant::larder::Component::watched_minutes);
    assert_eq!(watched, [20, 20]);
    assert_eq!(bowl.days, [true, false, true]);
    assert_eq!(bowl.minutes_nano, 4_000_000_000);
    assert_eq!(bowl.lines.len(), 2);
    assert_eq!(bowl.lines[1].alternatives[0].mg, 75_000);
    assert_eq!(bowl.lines[1].alternatives[1].mg, 80_000);
    assert_eq!(bowl.lines[1].alternatives[1].written, "1/3 unit");
    // An ounce is 28.349523125 g (Handbook 44), rounded down.
    assert_eq!(
        (bowl.finishers[0].alternative.mg, bowl.finishers[0].appeal),
        (28_349, 7)
    );
    assert!(matches!(
        bowl.lines[0].alternatives[0].what,
        Ingredient::Component(_)
    ));

    let stock = &larder.stock[0];
    assert_eq!(
        (stock.left_mg, stock.ready_to, stock.open_life, stock.end),
        (150_000, 2, 1, 2)
    );
    assert_eq!(stock.value_nano, fruit.value_nano);

    let wishes = &larder.wishes;
    assert_eq!(wishes.order, [Aim::Foods, Aim::Cost]);
    assert_eq!(
        (wishes.spoil_weight_milli, wishes.carry_credit_milli),
        (1_500, 250)
    );
    assert_eq!(
        (wishes.food_price_minor, wishes.cap, wishes.cap_by),
        (30, Some(4), CapBy::Families)
    );
    assert_eq!(wishes.budget_minor, Some(2_000));
    let day = Some(30_000_000_000);
    assert_eq!(wishes.minutes_nano, [Some(90_000_000_000), day, day, day]);
    assert_eq!(wishes.watch_price_minor, 2);
    let prep = Some(120_500_000_000);
    assert_eq!(wishes.kitchen_minutes_nano, [prep, None, None, None]);
    assert_eq!(wishes.cook_on, Some(vec![0, 3]));
    assert_eq!(
        (wishes.nutrition[0].per, wishes.nutrition[0].at_least_milli),
        (Per::Week, Some(5_000))
    );
    assert_eq!(
        (wishes.repeats, wishes.per_form, wishes.form_never_adjacent),
        (2, Some(2), true)
    );
    assert_eq!(wishes.sameness_milli, Some(900));
    assert_eq!(wishes.without, [Target::Tag("base".to_owned())]);
    assert!(matches!(wishes.with[0], Pin::Recipe(_, None)));
    assert!(matches!(wishes.with[1], Pin::Food(_, Some(1))));
    assert_eq!(wishes.preferences[0].days, [1, 2]);
    assert_eq!(wishes.preferences[0].price_minor, -50);
}

#[test]
fn ten_thousand_recipes_are_read_within_a_second_or_so() {
    let mut text = FOODS.to_owned();
    text.push_str("recipes:\n");
    for index in 0..10_000 {
        let _ = write!(
            text,
            "  - recipe: Lunch {index}\n    form: form {}\n    lines:\n      - {{food: onion, \
             amount: 50 g}}\n      - {{food: avocado, amount: 1/2 piece}}\n      - one_of: [{{food: \
             olive oil, amount: 1 tbsp}}, {{food: onion, amount: 1 oz}}]\n      - {{food: \
             \"chickpeas, tinned\", amount: 1 cup}}\n",
            index % 5_000
        );
    }
    let bytes = text.len();
    let started = std::time::Instant::now();
    let read = read(&[("k.yaml", &text)]);
    let took = started.elapsed();
    assert_eq!(read.larder.expect("no fault").recipes.len(), 10_000);
    assert!(took.as_secs() < 5, "{bytes} bytes in {took:?}");
}

#[test]
fn a_word_that_is_food_and_allergen_bans_both() {
    let text = format!("{FOODS}{REST}")
        .replace("tags: [pulse]", "allergens: [avocado]")
        .replace("Friday, 1", "Tuesday, 1");
    let larder = read(&[("k.yaml", &text)]).larder.expect("no fault");
    let found = resolve_target(&larder, "AVOCADO").expect("known");
    assert!(found.contains(&Target::Allergen("avocado".to_owned())));
    assert!(found.iter().any(|target| matches!(target, Target::Food(_))));
    assert_eq!(
        resolve_target(&larder, "avocato").unwrap_err().near,
        ["avocado"]
    );
}

#[test]
fn pins_name_a_recipe_or_food_and_a_lunch_day() {
    let text = format!("{FOODS}{REST}").replace("Friday, 1", "Tuesday, 1");
    let larder = read(&[("k.yaml", &text)]).larder.expect("no fault");
    assert!(matches!(
        resolve_pin(&larder, "stew BOWL@wednesday"),
        Ok(Pin::Recipe(_, Some(3)))
    ));
    assert!(matches!(
        resolve_pin(&larder, "onion"),
        Ok(Pin::Food(_, None))
    ));
    assert!(
        resolve_pin(&larder, "onion@Sunday")
            .unwrap_err()
            .what
            .contains("lunch day")
    );
    assert_eq!(
        resolve_pin(&larder, "onions@2").unwrap_err().near,
        ["onion"]
    );
}

/// Soup of mash and peas, mash of rice: whatever is inside counts once, in whatever order the
/// components are come by.
#[test]
fn components_inside_components_are_added_up_once() {
    let text = "
currency: USD
week: { lunches: 1 }
foods:
  - food: peas
    nutrients: { energy: 1 }
    source: invented
    credits: { greens: 170 g }
    packs: [{ pack: bag, size: 1 kg, price: 1.00, keeps: 9, open_keeps: 9 }]
  - food: rice
    nutrients: { energy: 1 }
    source: invented
    packs: [{ pack: bag, size: 1 kg, price: 1.00, keeps: 9, open_keeps: 9 }]
components:
  - component: a soup
    makes: 100 g
    keeps: 2
    minutes: 1
    from: [{ component: mash, amount: 50 g }, { component: puree, amount: 50 g }]
  - { component: mash, makes: 100 g, keeps: 2, minutes: 2, from: [{ component: rice pot, amount: 100 g }] }
  - { component: puree, makes: 100 g, keeps: 2, minutes: 4, from: [{ food: peas, amount: 100 g }] }
  - { component: rice pot, makes: 100 g, keeps: 2, minutes: 8, from: [{ food: rice, amount: 40 g }] }
recipes: [{ recipe: soup, form: bowl, lines: [{ component: a soup, amount: 300 g }] }]
rules: { credits: [{ group: greens, unit: cup, per: week, at_most: 90, source: invented }] }
";
    let read = read(&[("k.yaml", text)]);
    let larder = read.larder.unwrap_or_else(|| panic!("{:?}", read.faults));
    let components = larder.components.iter();
    let minutes = components.map(|c| c.batch_minutes_nano / 1_000_000_000);
    assert_eq!(minutes.collect::<Vec<_>>(), [15, 10, 4, 8]);
    let soup = larder.components[0].foods.iter();
    let soup: Vec<(u32, i64)> = soup.map(|(id, mg)| (id.0, *mg)).collect();
    assert_eq!(soup, [(0, 50_000), (1, 20_000)]);
    // A unit in 170 g is 0.588235... in 100 g, rounded up to the millionth.
    assert_eq!(larder.wishes.credits[0].figures_micro, [588_236, 0]);
}
