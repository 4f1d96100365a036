//! Asks whether every figure of a kitchen file may go to its limit and no further: at the limit no
//! fault, one step beyond a fault on the line where the figure stands.
//!
//! The truth is `models/kitchen-files.md`, its section on limits and what stands beside each key.

use super::read;
use scant::kitchen::read_former;

/// One of everything, a figure a line. Prices invented; nutrients of nobody's food.
const SLIP: &str = "\
kitchen: the slip
currency: EUR
week:
  lunches: 3
  eaters: 2
  trips: [0]
equipment: { stove: 2 }
stock:
  - food: beans
    amount: 100 g
    good_until: 2
    open_keeps: 1
foods:
  - food: salt
    staple: true
    nutrients: { energy: 0 }
    source: invented
    packs: [{ size: 500 g, price: 0.50 }]
  - food: beans
    nutrients: { energy: 120 }
    source: invented
    family: pulses
    measures: { cup: 170 g }
    credits: { pulses: 1 cup }
    yield: 100 %
    packs:
      - pack: tin
        size: 100 g
        price: 0.90
        keeps: 300
        open_keeps: 2
  - food: pears
    nutrients: { energy: 60 }
    source: invented
    packs:
      - pack: one
        size: 150 g
        price: 0.60
        ready: 1..3
        open_keeps: 1
components:
  - component: stew
    makes: 500 g
    from: [{ food: beans, amount: 480 g }, { food: salt, amount: 5 g }]
    keeps: 3
    minutes: 10
    passive_minutes: 20
    portion: 200 g
    minutes_per_portion: 1
    steps:
      - do: stir
        food: beans
        active: 5
        passive: 6
        per_portion: 0.5
recipes:
  - recipe: stew by itself
    form: bowl
    protein: beans
    minutes: 3
    needs: [stove]
    lines:
      - { component: stew, amount: 250 g }
      - food: pears
        amount: 30 g
        optional: true
        appeal: 2
    steps:
      - do: warm
        food: stew
        ahead: 1
  - { recipe: beans and pears, form: salad, lines: [{ food: beans, amount: 120 g }, { food: pears, amount: 75 g }] }
  - { recipe: pears, form: salad, lines: [{ food: pears, amount: 150 g }] }
aims:
  spoil_weight: 1
  carry_credit: 0.1
  food_price: 0.10
  minute_price: 0.05
  trip_price: 1.00
  day_preferences:
    - { form: bowl, days: [1], price: -0.10 }
rules:
  cap: 5
  budget: 30
  minutes: 60
  nutrition:
    - { nutrient: energy, per: week, at_least: 10, at_most: 2000, source: invented }
  credits:
    - { group: pulses, unit: cup, per: week, at_least: 0.1, at_most: 90, source: invented }
  repeats: 2
  per_form: 3
  per_protein: 3
  sameness: 1
";

/// What stands in the kitchen, what it may be at the most or least, and what it may not be.
const EDGES: &[[&str; 3]] = &[
    ["lunches: 3", "lunches: 14", "lunches: 15"],
    ["lunches: 3", "lunches: 1", "lunches: 0"],
    ["lunches: 3", "lunches: 3", "lunches: 3.5"],
    [
        "lunches: 3",
        "lunches: 3\n  carry_day: 4",
        "lunches: 3\n  carry_day: 3",
    ],
    [
        "lunches: 3",
        "lunches: 3\n  carry_day: 3650",
        "lunches: 3\n  carry_day: 3651",
    ],
    ["eaters: 2", "eaters: 1000", "eaters: 1000.001"],
    ["eaters: 2", "eaters: 0.001", "eaters: 0"],
    ["eaters: 2", "eaters: 2.001", "eaters: 2.0001"],
    [
        "eaters: 2",
        "eaters: [999.999, 0.001]",
        "eaters: [999.999, 0.002]",
    ],
    ["eaters: 2", "eaters: [1, 0.001]", "eaters: [1, 0]"],
    [
        "eaters: 2",
        "eaters: { each_day: 1, Wednesday: 2 }",
        "eaters: { each_day: 1, Thursday: 2 }",
    ],
    [
        "eaters: 2",
        "eaters: { Monday: 1, Tuesday: 2, Wednesday: 3 }",
        "eaters: { Monday: 1, Wednesday: 3 }",
    ],
    [
        "eaters: 2",
        "eaters: { each_day: 1, Monday: 2, 2: 3 }",
        "eaters: { each_day: 1, Monday: 2, 1: 3 }",
    ],
    ["trips: [0]", "trips: [0, 2]", "trips: [0, 3]"],
    ["cap: 5", "cook_on: [Sunday, 3]", "cook_on: [Sunday, 4]"],
    ["cap: 5", "cook_on: [Monday, 2]", "cook_on: [Monday, 1]"],
    ["cap: 5", "cook_on: []", "cook_on: Sunday"],
    [
        "cap: 5",
        "kitchen_minutes: 10080",
        "kitchen_minutes: 10080.001",
    ],
    [
        "cap: 5",
        "kitchen_minutes: { each_day: 0, Wednesday: 9.999 }",
        "kitchen_minutes: { each_day: 0, Thursday: 9.999 }",
    ],
    [
        "spoil_weight: 1",
        "watch_price: 100000",
        "watch_price: 100000.01",
    ],
    ["trips: [0]", "trips: [0, 1]", "trips: [1, 1]"],
    [
        "trips: [0]",
        "shops: [{ shop: a, days: [0, 2] }]",
        "shops: [{ shop: a, days: [0, 3] }]",
    ],
    [
        "trips: [0]",
        "shops: [{ shop: a, trip_price: 0 }, { shop: b, trip_price: 100000 }]",
        "shops: [{ shop: a, trip_price: 0 }, { shop: b, trip_price: 100000.01 }]",
    ],
    [
        "trips: [0]",
        "shops: [{ shop: a, days: [0, 1, 2] }, { shop: b, days: [0, 1, 2] }, { shop: c, days: [0, \
         1, 2] }, { shop: d, days: [0, 1, 2] }, { shop: e, days: [0, 1] }]",
        "shops: [{ shop: a, days: [0, 1, 2] }, { shop: b, days: [0, 1, 2] }, { shop: c, days: [0, \
         1, 2] }, { shop: d, days: [0, 1, 2] }, { shop: e, days: [0, 1, 2] }]",
    ],
    ["trips: [0]", "shops: [{ shop: a }]", "shops: []"],
    ["trips: [0]", "trips: [2]", "trips: []"],
    ["stove: 2", "stove: 100", "stove: 101"],
    ["stove: 2", "stove: 1", "stove: 0"],
    ["good_until: 2", "good_until: 3650", "good_until: 3651"],
    ["good_until: 2", "good_until: 0", "good_until: -1"],
    [
        "good_until: 2",
        "good_until: 2\n    ready_from: 2",
        "good_until: 2\n    ready_from: 3",
    ],
    [
        "good_until: 2",
        "good_until: 2\n    end: 2",
        "good_until: 2\n    end: 1",
    ],
    [
        "good_until: 2",
        "good_until: 2\n    end: 3650",
        "good_until: 2\n    end: 3651",
    ],
    [
        "open_keeps: 1\nfoods",
        "open_keeps: 3650\nfoods",
        "open_keeps: 3651\nfoods",
    ],
    [
        "open_keeps: 1\nfoods",
        "open_keeps: 0\nfoods",
        "open_keeps: -1\nfoods",
    ],
    [
        "open_keeps: 1\nfoods",
        "opened: true\nfoods",
        "opened: true\n    end: 3\nfoods",
    ],
    ["energy: 120", "energy: 1000", "energy: 1000.001"],
    ["energy: 120", "energy: 0", "energy: -0.001"],
    ["energy: 120", "energy: 0.001", "energy: 0.0001"],
    ["family: pulses", "family: p", "family: \"\""],
    ["family: pulses", "family: \"null\"", "family: null"],
    ["yield: 100 %", "yield: 99.999%", "yield: 100.001%"],
    ["yield: 100 %", "yield: 1.001 %", "yield: 0 %"],
    ["yield: 100 %", "yield: 50.125 %", "yield: 50.1255 %"],
    ["size: 100 g", "size: 1000 kg", "size: 1000.001 kg"],
    [
        "size: 100 g",
        "size: 100 g\n        units: 10000",
        "size: 100 g\n        units: 10001",
    ],
    [
        "size: 100 g",
        "size: 100 g\n        units: 1",
        "size: 100 g\n        units: 0",
    ],
    [
        "size: 100 g",
        "size: 500 kg\n        units: 2",
        "size: 500.001 kg\n        units: 2",
    ],
    ["price: 0.90", "price: 100000", "price: 100000.01"],
    ["price: 0.90", "price: 0.01", "price: 0"],
    ["price: 0.90", "price: 0.91", "price: 0.901"],
    ["keeps: 300", "keeps: 3650", "keeps: 3651"],
    ["keeps: 300", "keeps: 0", "keeps: -1"],
    [
        "keeps: 300",
        "keeps: 300\n        end: 300",
        "keeps: 300\n        end: 299",
    ],
    [
        "keeps: 300",
        "keeps: 300\n        end: 3650",
        "keeps: 300\n        end: 3651",
    ],
    [
        "keeps: 300",
        "keeps: 300\n        dated: true",
        "keeps: 300\n        ready: 1..2",
    ],
    ["open_keeps: 2", "open_keeps: 3650", "open_keeps: 3651"],
    ["open_keeps: 2", "open_keeps: 0", "open_keeps: -1"],
    ["ready: 1..3", "ready: 3..3", "ready: 3..2"],
    ["ready: 1..3", "ready: 0..3650", "ready: 0..3651"],
    ["makes: 500 g", "makes: 1000 kg", "makes: 1000.001 kg"],
    ["keeps: 3\n", "keeps: 3650\n", "keeps: 3651\n"],
    ["keeps: 3\n", "keeps: 0\n", "keeps: -1\n"],
    ["minutes: 10\n", "minutes: 10080\n", "minutes: 10080.001\n"],
    ["minutes: 10\n", "minutes: 0\n", "minutes: -0.001\n"],
    ["minutes: 10\n", "minutes: 0.001\n", "minutes: 0.0001\n"],
    [
        "passive_minutes: 20",
        "passive_minutes: 10080",
        "passive_minutes: 10081",
    ],
    [
        "passive_minutes: 20",
        "passive_minutes: 0",
        "passive_minutes: 0.5",
    ],
    [
        "minutes_per_portion: 1",
        "minutes_per_portion: 0.001",
        "minutes_per_portion: 0.0001",
    ],
    [
        "minutes_per_portion: 1",
        "minutes_per_portion: 10080",
        "minutes_per_portion: 10080.001",
    ],
    [" active: 5", " active: 10080", " active: 10081"],
    [" active: 5", " active: 0", " active: 0.5"],
    [" passive: 6", " passive: 10080", " passive: 10081"],
    [
        "per_portion: 0.5",
        "per_portion: 10080",
        "per_portion: 10080.001",
    ],
    [
        "per_portion: 0.5",
        "per_portion: 0.001",
        "per_portion: 0.0001",
    ],
    ["ahead: 1", "ahead: 14", "ahead: 15"],
    ["ahead: 1", "ahead: 0", "ahead: -1"],
    ["minutes: 3\n", "minutes: 10080\n", "minutes: 10080.001\n"],
    ["minutes: 3\n", "minutes: 0\n", "minutes: -1\n"],
    ["appeal: 2", "appeal: 1000", "appeal: 1001"],
    ["appeal: 2", "appeal: 1", "appeal: 0"],
    [
        "spoil_weight: 1",
        "spoil_weight: 1000",
        "spoil_weight: 1000.001",
    ],
    ["spoil_weight: 1", "spoil_weight: 0", "spoil_weight: -0.001"],
    [
        "spoil_weight: 1",
        "spoil_weight: 0.125",
        "spoil_weight: 0.1255",
    ],
    [
        "carry_credit: 0.1",
        "carry_credit: 0.999",
        "carry_credit: 1",
    ],
    [
        "carry_credit: 0.1",
        "carry_credit: 0",
        "carry_credit: -0.001",
    ],
    [
        "food_price: 0.10",
        "food_price: 100000",
        "food_price: 100000.01",
    ],
    ["food_price: 0.10", "food_price: 0", "food_price: -0.01"],
    [
        "minute_price: 0.05",
        "minute_price: 0",
        "minute_price: -0.01",
    ],
    [
        "trip_price: 1.00",
        "trip_price: 100000",
        "trip_price: 100000.01",
    ],
    ["trip_price: 1.00", "trip_price: 0", "trip_price: -0.01"],
    ["price: -0.10", "price: -100000", "price: -100000.01"],
    ["price: -0.10", "price: 100000", "price: 100000.01"],
    ["days: [1]", "days: [1, 3]", "days: [1, 4]"],
    ["days: [1]", "days: [Monday]", "days: [0]"],
    ["cap: 5", "cap: 100000", "cap: 100001"],
    ["cap: 5", "cap: 0", "cap: -1"],
    ["budget: 30", "budget: 100000", "budget: 100000.01"],
    ["budget: 30", "budget: 0", "budget: -0.01"],
    ["minutes: 60", "minutes: 10080", "minutes: 10080.001"],
    ["minutes: 60", "minutes: 0", "minutes: -1"],
    ["at_most: 2000", "at_most: 1000000", "at_most: 1000000.001"],
    ["at_least: 10", "at_least: 0", "at_least: -0.001"],
    ["at_most: 2000", "at_most: 2000.001", "at_most: 2000.0001"],
    ["at_most: 90", "at_most: 10000", "at_most: 10000.001"],
    ["at_least: 0.1", "at_least: 0.001", "at_least: 0.0001"],
    ["repeats: 2", "repeats: 100000", "repeats: 100001"],
    ["repeats: 2", "repeats: 1", "repeats: 0"],
    ["per_form: 3", "per_form: 100000", "per_form: 100001"],
    [
        "per_protein: 3",
        "per_protein: 100000",
        "per_protein: 100001",
    ],
    ["sameness: 1", "sameness: 0", "sameness: 1.001"],
    ["sameness: 1", "sameness: 0.999", "sameness: 0.9999"],
];

/// Reads the kitchen with `from` made `to`: the lines of all faults, and the lines that `to` takes.
fn with(from: &str, to: &str) -> (Vec<usize>, std::ops::RangeInclusive<usize>) {
    assert_eq!(SLIP.matches(from).count(), 1, "{from} stands once");
    let line = |text: &str| text.matches('\n').count();
    let first = 1 + line(SLIP.split(from).next().unwrap_or_default());
    let read = read(&[("slip.yaml", &SLIP.replace(from, to))]);
    let lines = read.faults.iter().map(|fault| fault.line).collect();
    (lines, first..=first + line(to.trim_end()))
}

#[test]
fn every_figure_of_a_file_may_go_to_its_limit_and_no_further() {
    for [from, last, beyond] in EDGES {
        let (faults, _) = with(from, last);
        assert!(faults.is_empty(), "{last}: faults in lines {faults:?}");
        let (faults, lines) = with(from, beyond);
        assert!(
            faults.first().is_some_and(|first| lines.contains(first)),
            "{beyond} in {lines:?}: faults in lines {faults:?}"
        );
    }
}

/// So many of them, and one more.
#[test]
fn every_list_and_text_may_be_as_long_as_it_may_and_no_longer() {
    let list = |n: usize, of: fn(usize) -> String| (0..n).map(of).collect::<Vec<_>>().join(", ");
    let name = |n: usize| format!("    family: {}", "f".repeat(n));
    let tags = |n: usize| format!("    tags: [{}]", list(n, |at| format!("t{at}")));
    let allergens = |n: usize| format!("    allergens: [{}]", list(n, |at| format!("a{at}")));
    let measures = |n: usize| {
        // The cup is one of them.
        let others = list(n - 1, |at| format!("ladle{at}: {} g", at + 1));
        format!("    measures: {{ cup: 170 g, {others} }}")
    };
    let credits = |n: usize| {
        // The pulses are one of them.
        let others = list(n - 1, |at| format!("group{at}: {} g", at + 1));
        format!("    credits: {{ pulses: 1 cup, {others} }}")
    };
    let source = |n: usize| format!("    source: {}", "s".repeat(n));
    for (line, most, made) in [
        ("    family: pulses", 300, &name as &dyn Fn(usize) -> String),
        ("    family: pulses", 100, &tags),
        ("    family: pulses", 100, &allergens),
        ("    measures: { cup: 170 g }", 60, &measures),
    ] {
        let (faults, _) = with(line, &made(most));
        assert!(faults.is_empty(), "{most} of {line}: {faults:?}");
        let (faults, lines) = with(line, &made(most + 1));
        assert!(
            faults.len() == 1 && lines.contains(&faults[0]),
            "one more of {line}: {faults:?}"
        );
    }
    // Where they are refused, the rule on pulses has nothing to count either.
    let line = "    credits: { pulses: 1 cup }";
    assert!(with(line, &credits(60)).0.is_empty());
    let (faults, lines) = with(line, &credits(61));
    assert!(
        faults.len() == 2 && lines.contains(&faults[0]),
        "{faults:?}"
    );
    let energy = "    nutrients: { energy: 120 }\n    source: invented";
    let sourced = |n| format!("    nutrients: {{ energy: 120 }}\n{}", source(n));
    assert!(with(energy, &sourced(300)).0.is_empty());
    assert_eq!(with(energy, &sourced(301)).0.len(), 1);
    // Of so many standards none is looked at.
    let standards = |n: usize| {
        let many = list(n, |_| "no standard".to_owned());
        let text = format!("  repeats: 2\n  standards: [{many}]");
        let read = read(&[("slip.yaml", &SLIP.replace("  repeats: 2", &text))]);
        read.faults[0].what.clone()
    };
    assert!(standards(100).contains("no standard"), "{}", standards(100));
    assert!(
        standards(101).contains("has 101 entries"),
        "{}",
        standards(101)
    );
    // Names of recipes served in the week before.
    let larder = read(&[("slip.yaml", SLIP)]).larder.expect("no fault");
    let served = |n: usize| {
        let name = "r".repeat(n);
        let plan = format!(
            r#"{{"outcome":"best","kitchen":"the slip","currency":{{"code":"EUR","digits":2}},
            "week":{{"carry_day":5}},"lunches":[{{"recipe":"{name}"}}],"kept":[]}}"#
        );
        let former = read_former("plan.json", plan.into_bytes(), &larder);
        former.faults.len()
    };
    assert_eq!((served(300), served(301)), (0, 1));
}

/// The steps of the stew by itself: three minutes are what the plan counts.
#[test]
fn steps_longer_than_what_the_plan_counts_are_told() {
    for (active, told) in [(3, 0), (4, 1)] {
        let text = SLIP.replace("ahead: 1", &format!("ahead: 1\n        active: {active}"));
        let read = read(&[("slip.yaml", &text)]);
        let says = format!("have {active} active minutes, and the plan counts 3");
        let found = read.warnings.iter().filter(|w| w.what.contains(&says));
        assert_eq!(found.count(), told, "{:?}", read.warnings);
    }
}

/// Minutes a milligram add up from what is inside: a milligram of it in a gram, at 0.001 minutes,
/// is a millionth of a minute too much.
#[test]
fn minutes_of_what_is_inside_are_added_to_the_limit_and_no_further() {
    let more = |inside: &str| {
        let text = format!(
            "components:
  - component: stock
    makes: 1 g
    keeps: 3
    portion: 1 mg
    minutes_per_portion: {inside}
    from: [{{ food: beans, amount: 1 g }}]
  - component: glaze
    makes: 1 g
    keeps: 3
    portion: 1 mg
    minutes_per_portion: 10080
    from: [{{ component: stock, amount: 1 mg }}]
"
        );
        let read = read(&[("slip.yaml", &SLIP.replace("components:\n", &text))]);
        let told = read.faults.into_iter().map(|fault| fault.what);
        told.collect::<Vec<_>>()
    };
    assert_eq!(more("0"), [""; 0]);
    let said = more("0.001");
    assert!(
        said.len() == 1 && said[0].contains("more than can be reckoned with"),
        "{said:?}"
    );
}
