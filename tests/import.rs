//! Asks whether ingredient lines are read as a cook would read them, and whether no input breaks
//! the reader. The truth: lines of our own writing with what each says, typed by hand; rows of
//! the food table by their published numbers.

use std::fs;
use std::process::Command;

use scant::import::{Confidence, Doubt, Number, read_line, recipes};
use scant::report;

use Confidence::{Doubtful, Likely, Sure};

/// A line; its number, or two joined by `..`; its measure; the table's food number; how sure.
type Expected = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Confidence,
);

/// `-` stands for nothing read.
const LINES: [Expected; 76] = [
    // Number, unit, food.
    ("1 cup quinoa", "1", "cup", "20035", Sure),
    ("2 cups brown rice, cooked", "2", "cup", "20037", Sure),
    (
        "1 1/2 cups red lentils, rinsed",
        "1 1/2",
        "cup",
        "16144",
        Sure,
    ),
    ("1½ cups red lentils", "1 1/2", "cup", "16144", Sure),
    ("½ cup olive oil", "1/2", "cup", "04053", Sure),
    ("2 tablespoons soy sauce", "2", "tbsp", "16123", Sure),
    ("2 Tbsp. soy sauce", "2", "tbsp", "16123", Sure),
    ("2 T soy sauce", "2", "tbsp", "16123", Sure),
    ("1 t cayenne", "1", "tsp", "02031", Sure),
    ("3 tsp. curry powder", "3", "tsp", "02015", Sure),
    ("1/4 teaspoon garlic powder", "1/4", "tsp", "02020", Sure),
    ("400g firm tofu", "400", "g", "16126", Sure),
    ("400 g tofu, extra firm", "400", "g", "16159", Sure),
    (
        "0.5 kg carrots, peeled and sliced",
        "1/2",
        "kg",
        "11124",
        Sure,
    ),
    ("8 oz tempeh", "8", "oz", "16114", Sure),
    ("8 ounces of tempeh, cubed", "8", "oz", "16114", Sure),
    ("1 lb potatoes", "1", "lb", "11352", Sure),
    (".25 cup water", "1/4", "cup", "14429", Sure),
    ("250 ml water", "250", "ml", "14429", Sure),
    ("1 cup (237 ml) water", "1", "cup", "14429", Sure),
    ("8 fl oz water", "8", "fl oz", "14429", Sure),
    (
        "1 cup plus 2 tablespoons quinoa",
        "18",
        "tbsp",
        "20035",
        Sure,
    ),
    ("2 cups + 1 tbsp water", "33", "tbsp", "14429", Sure),
    ("1 pint water", "1", "pt", "14429", Sure),
    ("two cups quinoa", "2", "cup", "20035", Sure),
    ("a cup of quinoa", "1", "cup", "20035", Sure),
    ("half a cup of quinoa", "1/2", "cup", "20035", Sure),
    ("1 heaping cup quinoa", "1", "cup", "20035", Doubtful),
    ("<b>1 cup</b> quinoa", "1", "cup", "20035", Sure),
    ("1&nbsp;cup&#32;quinoa", "1", "cup", "20035", Sure),
    ("&frac12; cup quinoa", "1/2", "cup", "20035", Sure),
    ("1⁄2 cup quinoa", "1/2", "cup", "20035", Sure),
    ("¼ cup peanut butter", "1/4", "cup", "16398", Sure),
    // Counted.
    ("2 cloves garlic", "2", "clove", "11215", Sure),
    ("3 garlic cloves, minced", "3", "clove", "11215", Sure),
    ("2 to 3 cloves garlic", "2..3", "clove", "11215", Likely),
    (
        "2-3 cloves garlic, minced",
        "2..3",
        "clove",
        "11215",
        Likely,
    ),
    ("2 – 3 cloves garlic", "2..3", "clove", "11215", Likely),
    ("1 or 2 cloves garlic", "1..2", "clove", "11215", Likely),
    ("1/2 ripe avocado", "1/2", "-", "09037", Sure),
    ("½ ripe avocado", "1/2", "-", "09037", Sure),
    ("1 large carrot", "1", "-", "11124", Sure),
    ("2 medium tomatoes, diced", "2", "-", "11529", Sure),
    ("1 lemon", "1", "-", "09150", Sure),
    ("half a lemon", "1/2", "-", "09150", Sure),
    ("4 slices wholemeal bread", "4", "slice", "18075", Sure),
    ("1 spring onion, sliced", "1", "-", "11291", Sure),
    ("1 small onion, chopped", "1", "-", "11282", Sure),
    // Containers.
    (
        "1 (15 oz) can chickpeas, drained",
        "1",
        "can",
        "16358",
        Sure,
    ),
    ("1 15-oz can chickpeas", "1", "can", "16358", Sure),
    (
        "1 can (15 ounces) chickpeas, drained and rinsed",
        "1",
        "can",
        "16359",
        Sure,
    ),
    ("15-ounce can chickpeas", "1", "can", "16358", Sure),
    (
        "2 (15-ounce / 425 g) cans chickpeas",
        "2",
        "can",
        "16358",
        Sure,
    ),
    ("2 tins chickpeas (400 g each)", "2", "tin", "16358", Sure),
    ("1 (8 oz) package tempeh", "1", "package", "16114", Sure),
    (
        "1 (14 oz) block firm tofu, pressed",
        "1",
        "block",
        "16126",
        Sure,
    ),
    // Read, with something to look at.
    ("1 cup chopped carrots", "1", "cup", "11124", Sure),
    ("about 1 cup quinoa", "1", "cup", "20035", Likely),
    ("1 cup quinoa (optional)", "1", "cup", "20035", Likely),
    (
        "2 cups fresh baby spinach",
        "2",
        "cup",
        "11457-washed",
        Sure,
    ),
    (
        "1 tbsp freshly squeezed lemon juice",
        "1",
        "tbsp",
        "09152",
        Sure,
    ),
    // Left to the cook.
    ("salt to taste", "-", "-", "02047", Doubtful),
    ("salt and pepper", "-", "-", "-", Doubtful),
    ("juice of 1 lemon", "1", "-", "09152", Sure),
    ("1 cup vegetable broth or water", "1", "cup", "-", Doubtful),
    ("1 tsp salt and pepper", "1", "tsp", "-", Doubtful),
    ("1 lemon, juiced", "1", "-", "09152", Sure),
    ("1 cup spaghetti", "1", "cup", "20120", Sure),
    ("a handful of spinach", "1", "handful", "11457", Doubtful),
    ("1 bunch kale", "1", "bunch", "11233", Doubtful),
    ("3 cups moon cheese", "3", "cup", "-", Doubtful),
    ("2 cups", "2", "cup", "-", Doubtful),
    ("quinoa", "-", "-", "20035", Doubtful),
    ("1/0 cup quinoa", "-", "-", "-", Doubtful),
    ("0 cups quinoa", "-", "-", "-", Doubtful),
    ("99999999999 cups quinoa", "-", "-", "-", Doubtful),
];

#[test]
fn lines_are_read_as_a_cook_reads_them() {
    let mut wrong = Vec::new();
    for (line, number, measure, food, sure) in LINES {
        let read = read_line(line);
        let amount = read.amount.as_ref();
        let numbers = amount.map_or("-".to_owned(), |amount| match amount.most {
            Some(most) => format!("{}..{}", amount.least.written(), most.written()),
            None => amount.least.written(),
        });
        let read_measure = amount.and_then(|amount| amount.measure.as_deref());
        let row = read.food.map_or("-", |row| row.number);
        let got = (
            numbers.as_str(),
            read_measure.unwrap_or("-"),
            row,
            read.confidence,
        );
        if got != (number, measure, food, sure) {
            wrong.push(format!("{line}: {got:?} {:?}", read.doubts));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_can_be_used_says_how_much_of_what() {
    let usable = |line: &str| {
        let read = read_line(line);
        read.usable
            .map(|(number, measure)| format!("{} {measure}", number.written()))
    };
    for (line, expected) in [
        ("1 (8 oz) package tempeh", Some("8 oz")),
        ("2 (7 oz) blocks firm tofu", Some("14 oz")),
        // In brackets behind things counted stands what they weigh together, as bought: 89 % of carrots
        // is eaten (row 11124).
        ("3 pieces (300 g, 10 1/2 oz) carrots", Some("267 g")),
        ("3 pieces (100 g each) carrots", Some("267 g")),
        ("2 packages (8 oz) tempeh", Some("16 oz")),
        ("2 cans chickpeas", Some("2 can")),
        ("1 large carrot", Some("1 large")),
        ("1/2 ripe avocado", Some("1/2 piece")),
        // Release 28 weighs pasta by the cup of each shape.
        ("1 cup spaghetti", Some("1 cup spaghetti")),
        ("1 bunch kale", None),
        // The table weighs carrots by the cup only chopped, sliced or grated.
        ("1 cup chopped carrots", Some("1 cup chopped")),
        ("2 cups carrots, grated", Some("2 cup grated")),
        ("1 cup carrots", None),
    ] {
        assert_eq!(usable(line).as_deref(), expected, "{line}");
    }
    let can = read_line("1 (15 oz) can chickpeas, drained");
    // Published of row 16358: 253 of 448 g, 56 %, are left when drained.
    assert_eq!(can.doubts, []);
    assert_eq!(can.bought, Some(56_000));
    // The published measure of row 16358: 253 g, drained.
    assert_eq!(read_line("2 cans chickpeas").doubts, [Doubt::Tin(253_000)]);
    let each = can.amount.unwrap().each;
    assert_eq!(each, Some((Number { num: 15, den: 1 }, "oz")));
}

const RECIPE: &str = r#"{"@type": "Recipe", "name": "Harbour lentils", "recipeYield": "4 servings",
 "recipeCategory": "soup", "prepTime": "PT1H5M",
 "recipeIngredient": ["1 cup red lentils", "2 to 3 cloves garlic", "salt to taste"],
 "recipeInstructions": [{"@type": "HowToSection", "name": "Pot", "itemListElement":
   [{"@type": "HowToStep", "text": "Boil &amp; stir."}]}, "Eat: # it's \"hot\""]}"#;

fn one(text: &str) -> scant::import::Recipe {
    let mut found = recipes(text.as_bytes()).unwrap_or_else(|fault| panic!("{text}: {fault}"));
    assert_eq!(found.recipes.len(), 1, "{text}");
    found.recipes.remove(0)
}

#[test]
fn a_yield_that_is_no_number_of_portions_is_left_to_the_cook() {
    for (yields, portions) in [
        ("4 servings", Some(4)),
        ("4", Some(4)),
        ("Serves 6", Some(6)),
        ("12 rolls", Some(12)),
        ("255 g", None),
        ("1.14 kg", None),
        ("2 litres", None),
        ("3 cups", None),
    ] {
        let recipe = one(&RECIPE.replace("4 servings", yields));
        let expected = portions.map(|num| Number { num, den: 1 });
        assert_eq!(recipe.portions, expected, "{yields}");
    }
}

#[test]
fn a_recipe_is_found_wherever_schema_org_may_put_it() {
    let bare = one(RECIPE);
    assert_eq!(bare.name, "Harbour lentils");
    assert_eq!(bare.portions, Some(Number { num: 4, den: 1 }));
    assert_eq!(bare.minutes, Some(65));
    assert_eq!(bare.steps, ["Boil & stir.", "Eat: # it's \"hot\""]);
    let page = |json: &str| {
        format!(
            "<!DOCTYPE html><title>x</title><script>var a = '<p>';</script><script \
             type='text/javascript'>{{\"@type\": \"Recipe\"}}</script><script \
             type=\"application/ld+json\">{json}</script><p>1 cup tea</p>"
        )
    };
    let typed = RECIPE.replace(r#""Recipe""#, r#"["Thing", "https://schema.org/Recipe"]"#);
    for text in [
        format!("[{RECIPE}]"),
        format!(
            r#"{{"@context": "https://schema.org", "@graph": [{{"@type": "WebPage"}}, {RECIPE}]}}"#
        ),
        format!(r#"{{"@type": "WebPage", "mainEntity": {RECIPE}}}"#),
        format!("\u{feff}{RECIPE}"),
        page(RECIPE),
        page(&format!("[[{RECIPE}]]")),
        page(&typed.replace("&amp;", "&")),
    ] {
        assert_eq!(one(&text), bare, "{text}");
    }
}

#[test]
fn a_broken_script_is_told_and_the_others_are_read() {
    let text = format!(
        "<script type=application/ld+json>{{oops</script><script \
         type=application/ld+json>{RECIPE}</script>"
    );
    let found = recipes(text.as_bytes()).unwrap();
    assert_eq!((found.recipes.len(), found.broken.len()), (1, 1));
}

#[test]
fn files_without_a_recipe_are_refused() {
    for text in [
        "",
        "{}",
        "[]",
        "null",
        "hello",
        "<p>1 cup tea</p>",
        "{\"@type\": \"Recipe\"",
        "\u{0}",
    ] {
        assert!(recipes(text.as_bytes()).is_err(), "{text}");
    }
    // Each says what is wrong and what to do about it.
    let large = vec![b' '; 8 * 1024 * 1024 + 1];
    for (bytes, what, remedy) in [
        (&b"\xff\xfe<\0"[..], "not UTF-8", "save it as UTF-8"),
        (b"hello", "no JSON", "save the page itself"),
        (b"{\"@type\": ", "no JSON", "save the page itself"),
        (
            b"{}",
            "no schema.org Recipe",
            "the page that the recipe itself is on",
        ),
        (&large, "larger than 8 MiB", "fewer recipes"),
    ] {
        let told = recipes(bytes).unwrap_err().to_string();
        let (wrong, help) = told.rsplit_once("; ").expect("a remedy");
        assert!(wrong.contains(what) && help.contains(remedy), "{told}");
    }
    assert!(recipes(&[0xff, 0xfe, 0x00]).is_err(), "not UTF-8");
    let large = vec![b' '; 8 * 1024 * 1024 + 1];
    assert!(recipes(&large).is_err(), "too large");
    for depth in [20, 100, 100_000] {
        let deep = "[".repeat(depth) + RECIPE + &"]".repeat(depth);
        // Deep nesting is read or refused, never followed without end.
        let _ = recipes(deep.as_bytes());
        let _ = recipes(format!("{}{}", "<div>".repeat(depth), RECIPE).as_bytes());
    }
}

/// Bytes in an order that looks random and is the same every time.
fn scrambled(seed: u64) -> impl Iterator<Item = u64> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    std::iter::repeat_with(move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    })
}

#[test]
fn no_line_and_no_file_breaks_the_reader() {
    let pieces = [
        "1",
        "1/2",
        "½",
        "1/",
        "/2",
        "(",
        ")",
        "-",
        "–",
        "to",
        "or",
        "cup",
        "cups",
        "oz",
        "can",
        "of",
        ",",
        "chickpeas",
        "salt",
        "\u{202e}",
        "🥕",
        "é",
        "0",
        "9999999",
        "1000000/9999999",
        ".",
        "a",
        "half",
        "plus",
        "&",
        "<b>",
        "&amp;",
        "İ to taste",
        "optional",
        "",
    ];
    for seed in 1..4_000 {
        let mut draw = scrambled(seed);
        let many = draw.next().unwrap() % 9;
        let words: Vec<&str> = (0..many)
            .map(|_| pieces[draw.next().unwrap() as usize % pieces.len()])
            .collect();
        let _ = read_line(&words.join(" "));
        let _ = read_line(&words.concat());
    }
    let page = format!("<html><script type='application/ld+json'>{RECIPE}</script>");
    for text in [RECIPE, &page] {
        for seed in 1..300 {
            let mut draw = scrambled(seed);
            let mut bytes = text.as_bytes().to_vec();
            for _ in 0..=seed % 4 {
                let at = draw.next().unwrap() as usize % bytes.len();
                bytes[at] = draw.next().unwrap() as u8;
            }
            bytes.truncate(bytes.len() - (draw.next().unwrap() as usize % 40));
            if let Ok(found) = recipes(&bytes) {
                let _ = report::imported(&found);
            }
        }
    }
}

/// Takes the marks off the foods and fills in packs, as the comment says.
fn filled_in(text: &str) -> String {
    let packs = "packs: [{ pack: bag, size: 500 g, price: 2.00, keeps: 30, open_keeps: 9 }]";
    let (recipes, foods) = text.split_once("# foods:").unwrap();
    // The cook leaves out what is not read.
    let mut open = false;
    let confirmed = |line: &&str| {
        open = line.starts_with("    unfinished:") || (open && line.starts_with("      - "));
        !open
    };
    let recipes = recipes
        .lines()
        .filter(confirmed)
        .flat_map(|line| [line, "\n"])
        .collect::<String>();
    let foods: Vec<String> = foods
        .lines()
        .skip(1)
        .map(|line| line.trim_start_matches('#').to_owned())
        .map(|line| match line.find("packs: ") {
            Some(at) => format!("{}{packs}", &line[..at]),
            None => line,
        })
        .collect();
    format!("currency: USD\n{recipes}foods:\n{}\n", foods.join("\n"))
}

#[test]
fn what_is_written_is_a_kitchen_file_once_foods_have_packs() {
    let hostile = RECIPE.replace("Harbour lentils", "# \\\"a\\\": \\u2028 {b} 'c' \\n- d");
    let text = format!("[{RECIPE}, {RECIPE}, {hostile}]");
    let found = recipes(text.as_bytes()).unwrap();
    let (text, counts) = report::imported(&found);
    assert_eq!(
        counts,
        [3, 3, 3],
        "a lentil, a garlic and a salt line a recipe"
    );
    let whole = filled_in(&text);
    let read = scant::kitchen::read_texts(vec![("a.yaml".to_owned(), whole.clone().into())]);
    assert!(read.faults.is_empty(), "{:?}\n{whole}", read.faults);
    let larder = read.larder.unwrap();
    assert_eq!(larder.recipes.len(), 3);
    let lentils = larder
        .recipes
        .iter()
        .find(|r| r.name == "Harbour lentils")
        .unwrap();
    assert_eq!(lentils.steps.len(), 2);
    // A cup of row 16144 is 192 g; for one of four that is 48 g.
    assert_eq!(lentils.lines[0].alternatives[0].mg, 48_000);
    // Two cloves of 3 g, the smaller of 2 to 3, for one of four.
    assert_eq!(lentils.lines[1].alternatives[0].mg, 1_500);
    assert!(
        text.contains("# DOUBTFUL (no amount at its front"),
        "{text}"
    );
}

/// Reads what was written of some recipes as a kitchen; its recipes' names.
fn read_back(recipes_json: &serde_json::Value) -> Vec<String> {
    let found = recipes(recipes_json.to_string().as_bytes()).unwrap();
    let (text, _) = report::imported(&found);
    let whole = filled_in(&text);
    let read = scant::kitchen::read_texts(vec![("a.yaml".to_owned(), whole.into())]);
    let faults: Vec<_> = read.faults.iter().map(|f| (&f.what, f.line)).collect();
    assert!(faults.is_empty(), "{faults:?} of {recipes_json:.300}");
    let larder = read.larder.unwrap();
    larder.recipes.iter().map(|r| r.name.clone()).collect()
}

fn named(name: &str) -> serde_json::Value {
    serde_json::json!({
        "@type": "Recipe", "name": name, "recipeCategory": "soup", "recipeYield": 2,
        "recipeIngredient": ["1 cup red lentils"], "recipeInstructions": ["Simmer."],
    })
}

/// Names that are one, too long, or nothing that can be seen.
#[test]
fn what_is_written_of_odd_names_is_read() {
    let long = "n".repeat(300);
    let gap = format!("{} {}", "g".repeat(299), "behind the cut");
    for (names, wanted) in [
        (vec![long.clone(), long.clone(), long.to_uppercase()], 3),
        (vec!["\u{feff}".to_owned(), "\u{feff}".to_owned()], 2),
        (
            vec![
                "\u{200b}\u{202e}\u{ad}".to_owned(),
                " ".to_owned(),
                String::new(),
            ],
            3,
        ),
        (
            vec![
                "x".to_owned(),
                "X".to_owned(),
                "x (2)".to_owned(),
                "x (3)".to_owned(),
            ],
            4,
        ),
        (vec!["x (2)".to_owned(), "x".to_owned(), "x".to_owned()], 3),
        (vec![gap.clone(), "g".repeat(299), gap], 3),
        (
            vec!["a  b".to_owned(), "a\u{a0}b".to_owned(), "A B".to_owned()],
            3,
        ),
        (vec!["a\u{ffff}".to_owned(), "a\u{2028}".to_owned()], 2),
        (
            vec![
                "true".to_owned(),
                "null".to_owned(),
                "~".to_owned(),
                "- 1: {".to_owned(),
            ],
            4,
        ),
        (vec!["same".to_owned(); 40], 40),
    ] {
        let all: Vec<_> = names.iter().map(|name| named(name)).collect();
        let mut read = read_back(&serde_json::Value::Array(all));
        assert!(
            read.iter().all(|name| name.chars().count() <= 300),
            "{names:?}"
        );
        read.dedup();
        assert_eq!(read.len(), wanted, "{names:?}");
    }
    assert_eq!(read_back(&named("\u{feff}")), ["recipe without a name"]);
}

/// Texts of odd characters wherever a recipe has text, many of them: whatever is written is read.
#[test]
fn what_is_written_of_odd_texts_is_read() {
    const SCRAPS: [&str; 22] = [
        "\u{feff}",
        "\u{200b}",
        "\u{202e}",
        "\u{2028}",
        "\u{85}",
        "\u{7f}",
        "\0",
        "\u{1b}[2J",
        "\r",
        "\n",
        "\t",
        "\"",
        "\\",
        "# ",
        ": ",
        "- ",
        "{}",
        "&amp;",
        "<b>",
        "\u{fffe}",
        "\u{e0001}",
        "é",
    ];
    for seed in 0..20 {
        let mut draw = scrambled(seed);
        let mut odd = |text: &str| -> String {
            let mut out = String::new();
            for word in text.split_inclusive(' ') {
                if draw.next().unwrap().is_multiple_of(3) {
                    out.push_str(SCRAPS[draw.next().unwrap() as usize % SCRAPS.len()]);
                }
                out.push_str(word);
            }
            out + SCRAPS[draw.next().unwrap() as usize % SCRAPS.len()]
        };
        let all: Vec<_> = (0..4)
            .map(|_| {
                let mut one = named(&odd(""));
                one["recipeCategory"] = odd("").into();
                one["recipeIngredient"] = serde_json::json!([
                    "1 cup red lentils",
                    odd("1 cup red lentils, rinsed"),
                    odd("2 tbsp olive oil"),
                ]);
                one["recipeInstructions"] = serde_json::json!([odd(""), odd("Stir and simmer.")]);
                one
            })
            .collect();
        assert_eq!(read_back(&serde_json::Value::Array(all)).len(), 4, "{seed}");
    }
}

/// More than a kitchen file may hold is left out and counted.
#[test]
fn what_is_written_is_no_larger_than_what_is_read() {
    let mut found = recipes(named("quotes").to_string().as_bytes()).unwrap();
    // Two bytes each where they are written: 2 MB a recipe.
    found.recipes[0].steps = vec!["\"".repeat(5_000); 200];
    found.recipes = vec![found.recipes.remove(0); 6];
    let (written, counts) = report::imported(&found);
    assert!(written.len() <= 8 << 20, "{}", written.len());
    assert!(written.contains("\n# 2 more recipes were left out: too many."));
    assert_eq!(
        counts[0] + counts[1],
        4,
        "lines of what was left out are counted"
    );
    let whole = filled_in(&written);
    let read = scant::kitchen::read_texts(vec![("a.yaml".to_owned(), whole.into())]);
    assert_eq!(read.larder.map(|larder| larder.recipes.len()), Some(4));
}

/// Half of a surrogate pair is no character (RFC 8259, section 8.2): it costs its own place and
/// nothing else.
#[test]
fn half_a_surrogate_pair_costs_its_text_and_not_the_page() {
    let page = r#"<script type="application/ld+json">[
        {"@type": "Recipe", "name": "Tide \ud83c soup", "recipeYield": 2,
         "recipeIngredient": ["1 cup red lentils", "1 cup \udf4c"],
         "recipeInstructions": ["Simmer \ud83c\udf72.", "\\ud83c"]},
        {"@type": "Recipe", "name": "Other", "recipeIngredient": ["1 cup red lentils"]}]</script>"#;
    for text in [page.to_owned(), page[35..page.len() - 9].to_owned()] {
        let found = recipes(text.as_bytes()).unwrap();
        assert!(found.broken.is_empty());
        let [one, two] = found.recipes.as_slice() else {
            panic!("{found:?}");
        };
        assert_eq!(one.name, "Tide \u{fffd} soup");
        assert_eq!(one.lines[0].confidence, Sure);
        assert_eq!(one.lines[1].confidence, Doubtful);
        assert_eq!(one.steps, ["Simmer \u{1f372}.", "\\ud83c"]);
        assert_eq!(two.name, "Other");
    }
}

#[test]
fn the_command_prints_or_writes_and_never_overwrites() {
    let folder = tempfile::tempdir().unwrap();
    let from = folder.path().join("r.json");
    fs::write(&from, RECIPE).unwrap();
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_scant"));
        command
            .arg("import")
            .arg(&from)
            .args(args)
            .output()
            .unwrap()
    };
    let printed = run(&[]);
    assert_eq!(printed.status.code(), Some(0));
    let to = folder.path().join("r.yaml");
    let name = to.to_str().unwrap();
    assert_eq!(run(&["--out", name]).status.code(), Some(0));
    assert_eq!(fs::read(&to).unwrap(), printed.stdout);
    fs::write(&to, "mine").unwrap();
    assert_eq!(run(&["--out", name]).status.code(), Some(2));
    assert_eq!(fs::read_to_string(&to).unwrap(), "mine");
}
