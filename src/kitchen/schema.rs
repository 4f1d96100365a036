//! The JSON Schema of a kitchen file, for editors: which keys there are, what they mean and what may
//! stand there. It tells no more than the reader does, which alone decides.

use serde_json::{Map, Value, json};

use super::limits;
use super::week::WEEKDAYS;
use crate::larder::Nutrient;
use crate::table::units::{Kind, UNITS};

/// What may stand behind a key.
#[derive(Clone, Copy)]
enum Says {
    /// A text.
    Text,
    /// A number and a measure.
    Quantity,
    /// Money, in the currency's unit.
    Money,
    /// A number; the least and the most, and whether it is whole.
    Number(i64, i64, bool),
    /// `true` or `false`.
    Flag,
    /// A share in percent.
    Percent,
    /// A weekday, or a number counted from the prep day.
    Day,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list of texts.
    Texts,
    /// A list of days.
    Days,
    /// A mapping of a measure to a mass.
    Measures,
    /// A mapping of free words to quantities or whole numbers.
    Free,
    /// A definition of the schema.
    Is(&'static str),
    /// A list of such.
    List(&'static str),
    /// A list of one of two definitions, or texts.
    ListOrText(&'static str),
    /// A nutrient's key.
    Nutrient,
    /// A number, a list of them, or a mapping of days to either.
    ByDay,
    /// Money, or a mapping of shops to it.
    ByShop,
}

use Says::{
    ByDay, ByShop, Day, Days, Flag, Free, Is, List, ListOrText, Measures, Money, Number, Percent,
    Quantity, Text, Texts, Word,
};

/// A key, what may stand behind it, and what it means.
type Key = (&'static str, Says, &'static str);

const DAYS: Says = Number(0, limits::DAYS, true);
const COUNT: Says = Number(0, limits::COUNT, true);
const FIGURE: Says = Number(0, limits::NUTRIENT, false);

/// A mapping: its name in the schema, its keys, and those that must be there.
type Shape = (&'static str, &'static [Key], &'static [&'static str]);

const FILE: Shape = (
    "a kitchen file",
    &[
        ("kitchen", Text, "The kitchen's name, for headings."),
        (
            "currency",
            Text,
            "Code of ISO 4217, such as USD: all money of the kitchen is in it.",
        ),
        ("week", Is("week"), "Days, eaters and trips."),
        (
            "equipment",
            Free,
            "How many there are of what recipes need; one of what is not named.",
        ),
        ("stock", List("stock"), "What is in the house already."),
        ("aims", Is("aims"), "What counts, in money."),
        ("rules", Is("rules"), "What a week must keep."),
        ("foods", List("food"), "What is bought."),
        (
            "components",
            List("component"),
            "What is cooked in batches.",
        ),
        ("recipes", List("recipe"), "Lunches."),
    ],
    &[],
);

const SHAPES: [Shape; 19] = [
    (
        "week",
        &[
            (
                "lunches",
                Number(1, 14, true),
                "How many lunch days; 5 if left out.",
            ),
            (
                "prep_day",
                Word(&WEEKDAYS),
                "Weekday of day 0; Sunday, or the eve of `starts`, if left out.",
            ),
            (
                "starts",
                Text,
                "Date of the first lunch, such as 2031-03-03: days are then told by date.",
            ),
            (
                "carry_day",
                DAYS,
                "First day of the next cycle; 3 after the last lunch if left out.",
            ),
            (
                "eaters",
                ByDay,
                "Who eats: a number, portion factors, or either by day; 1 if left out.",
            ),
            ("trips", Days, "Shopping days; [0] if left out."),
            (
                "shops",
                List("shop"),
                "Shops and the days on which one may go, instead of `trips`; the usual one first.",
            ),
        ],
        &[],
    ),
    (
        "shop",
        &[
            ("shop", Text, "Its name."),
            ("days", Days, "Shopping days there; [0] if left out."),
            (
                "trip_price",
                Money,
                "Price put on each trip to it; that of the aims if left out.",
            ),
        ],
        &["shop"],
    ),
    (
        "stock",
        &[
            ("food", Text, "A counted food's name."),
            ("amount", Quantity, "Edible quantity left."),
            ("label", Text, "What the cook calls it."),
            ("opened", Flag, "Already open."),
            (
                "good_until",
                DAYS,
                "Last day it may be opened if sealed, it is good if open.",
            ),
            ("open_keeps", DAYS, "Days it is good once opened."),
            ("ready_from", DAYS, "First day it may be used."),
            ("end", DAYS, "Last day anything of it may be eaten."),
        ],
        &["food", "amount", "good_until"],
    ),
    (
        "aims",
        &[
            ("order", ListOrText("aim"), "Strict order of aims."),
            (
                "spoil_weight",
                Number(0, 1000, false),
                "Weight of the value of what spoils; 1 if left out.",
            ),
            (
                "food_price",
                Money,
                "Price put on each counted food bought.",
            ),
            ("minute_price", Money, "Price put on an active minute."),
            (
                "watch_price",
                Money,
                "Price put on a minute by a burner or oven that is on.",
            ),
            (
                "trip_price",
                Money,
                "Price put on each trip after the first.",
            ),
            (
                "carry_credit",
                Number(0, 1, false),
                "Weight of the value kept, below 1.",
            ),
            (
                "day_preferences",
                List("preference"),
                "Prices on forms and recipes by day.",
            ),
        ],
        &[],
    ),
    (
        "preference",
        &[
            ("form", Text, "The form it concerns."),
            ("recipe", Text, "The recipe it concerns."),
            ("days", Days, "Lunch days it is for."),
            (
                "price",
                Money,
                "Added for each such lunch; negative is a bonus.",
            ),
        ],
        &["days", "price"],
    ),
    (
        "rules",
        &[
            ("cap", COUNT, "Most counted foods bought."),
            (
                "cap_by",
                Word(&["foods", "families"]),
                "What the cap counts.",
            ),
            ("budget", Money, "Most money for packs."),
            ("minutes", ByDay, "Most active minutes a day."),
            (
                "kitchen_minutes",
                ByDay,
                "Most minutes in the kitchen a day, one thing after another.",
            ),
            ("cook_on", Days, "Days on which batches may be cooked."),
            (
                "nutrition",
                List("nutrition"),
                "Floors and ceilings on nutrients.",
            ),
            (
                "credits",
                List("credit"),
                "Floors and ceilings on food groups.",
            ),
            (
                "energy_share",
                List("energy_share"),
                "Nutrients that give less than a share of the energy.",
            ),
            (
                "standards",
                ListOrText("standard"),
                "Published figures, by name.",
            ),
            (
                "repeats",
                Number(1, limits::COUNT, true),
                "Most times one recipe may appear; 1 if left out.",
            ),
            ("per_form", COUNT, "Most lunches of a form."),
            (
                "form_adjacent",
                Flag,
                "Lunches of one form may stand side by side.",
            ),
            ("per_protein", COUNT, "Most lunches of a main protein."),
            (
                "sameness",
                Number(0, 1, false),
                "Highest sameness of two recipes of the week.",
            ),
            (
                "sameness_adjacent",
                Number(0, 1, false),
                "The same for neighbouring days.",
            ),
            (
                "without",
                Texts,
                "Foods, families, tags, allergens, equipment, recipes, components to do without.",
            ),
            (
                "with",
                ListOrText("with"),
                "Recipes, else foods, that must be in the week.",
            ),
        ],
        &[],
    ),
    (
        "nutrition",
        &[
            ("nutrient", Says::Nutrient, "The nutrient."),
            (
                "per",
                Word(&["lunch", "week"]),
                "Each lunch, or the mean of the week.",
            ),
            ("at_least", FIGURE, "Floor, in the nutrient's unit."),
            ("at_most", FIGURE, "Ceiling, in the nutrient's unit."),
            ("source", Text, "Where the figure comes from."),
        ],
        &["nutrient", "per", "source"],
    ),
    (
        "credit",
        &[
            (
                "group",
                Text,
                "The food group, as foods name it under `credits`.",
            ),
            ("unit", Text, "What it is counted in."),
            (
                "per",
                Word(&["lunch", "week"]),
                "Each lunch, or the sum of the week.",
            ),
            ("at_least", FIGURE, "Floor, in the group's unit."),
            ("at_most", FIGURE, "Ceiling, in the group's unit."),
            ("source", Text, "Where the figure comes from."),
        ],
        &["group", "unit", "per", "source"],
    ),
    (
        "energy_share",
        &[
            (
                "nutrient",
                Says::Nutrient,
                "protein, carbohydrate, sugars, fat or saturated.",
            ),
            (
                "per",
                Word(&["lunch", "week"]),
                "Each lunch, or all together.",
            ),
            ("below", Percent, "It gives less than this share."),
            ("source", Text, "Where the figure comes from."),
        ],
        &["nutrient", "per", "below", "source"],
    ),
    (
        "standard",
        &[
            ("standard", Text, "Its name."),
            (
                "share",
                Percent,
                "Share of a day's figure; a third if left out.",
            ),
            (
                "per",
                Word(&["lunch", "week"]),
                "Each lunch, or the mean of the week.",
            ),
            ("age", Number(19, 50, true), "Years; 31 if left out."),
            ("except", Texts, "Nutrients to leave out."),
        ],
        &["standard"],
    ),
    (
        "with",
        &[
            ("name", Text, "A recipe, else a food."),
            ("day", Day, "The lunch day."),
        ],
        &["name"],
    ),
    (
        "food",
        &[
            ("food", Text, "Its name."),
            (
                "table",
                Text,
                "Row of the built-in table: scant foods WORDS finds it.",
            ),
            (
                "nutrients",
                Is("nutrients"),
                "Own figures per 100 g edible portion.",
            ),
            ("source", Text, "Where own figures come from."),
            ("staple", Flag, "Assumed in the cupboard."),
            ("family", Text, "Heading it is sold under."),
            ("tags", Texts, "Words a wish may name."),
            ("allergens", Texts, "Allergens, from the label."),
            ("yield", Percent, "Edible share of what is bought."),
            (
                "measures",
                Measures,
                "What a piece or a cup of it weighs, edible.",
            ),
            (
                "credits",
                Free,
                "Edible quantity that counts as one unit of a food group.",
            ),
            ("packs", List("pack"), "How it is bought."),
        ],
        &["food", "packs"],
    ),
    (
        "pack",
        &[
            ("pack", Text, "What the shelf says: 400 g tin."),
            ("size", Quantity, "How much is in one unit, as purchased."),
            (
                "units",
                Number(1, limits::UNITS, true),
                "Openable units in a pack; 1 if left out.",
            ),
            (
                "price",
                ByShop,
                "Price of the whole pack, at the usual shop or by shop.",
            ),
            ("stage", Text, "Ripeness at purchase."),
            (
                "keeps",
                DAYS,
                "Days an unopened unit stays good; the published time if left out.",
            ),
            (
                "kept",
                Word(&["shelf", "refrigerator", "freezer"]),
                "Where it is kept.",
            ),
            ("dated", Flag, "`keeps` is the maker's date."),
            (
                "ready",
                Text,
                "lo..hi, days after purchase on which a ripening fruit may be cut.",
            ),
            (
                "open_keeps",
                DAYS,
                "Days an opened unit stays good; the published time if left out.",
            ),
            ("end", DAYS, "Last day anything of it may be eaten."),
            ("loose", Flag, "Sold by weight or piece."),
            (
                "assumed",
                Texts,
                "`keeps`, `open_keeps`: figures nobody has confirmed yet.",
            ),
        ],
        &["size"],
    ),
    (
        "component",
        &[
            ("component", Text, "Its name."),
            ("makes", Quantity, "Finished mass of one batch."),
            ("from", List("filling"), "What goes in."),
            (
                "scale",
                Number(1, 1_000, true),
                "`from` is for so many batches; 1 if left out.",
            ),
            (
                "keeps",
                DAYS,
                "Days after cooking it may be eaten; 3 if left out. Cooked food: 3 to 4.",
            ),
            (
                "minutes",
                Number(0, limits::MINUTES, false),
                "Active minutes of a batch.",
            ),
            (
                "portion",
                Quantity,
                "Mass that `minutes_per_portion` is for.",
            ),
            (
                "minutes_per_portion",
                Number(0, limits::MINUTES, false),
                "Extra active minutes for each.",
            ),
            (
                "passive_minutes",
                Number(0, limits::MINUTES, true),
                "Minutes it goes on by itself.",
            ),
            ("needs", Texts, "Equipment."),
            ("tags", Texts, "Words a wish may name."),
            ("measures", Measures, "What a cup of it weighs."),
            ("steps", ListOrText("step"), "What is done."),
        ],
        &["component", "makes", "from"],
    ),
    (
        "recipe",
        &[
            ("recipe", Text, "Its name."),
            ("form", Text, "Bowl, wrap, soup..."),
            ("protein", Text, "Main protein."),
            ("tags", Texts, "Words a wish may name."),
            ("needs", Texts, "Equipment."),
            ("days", Days, "Lunch days it may be served on."),
            (
                "minutes",
                Number(0, limits::MINUTES, false),
                "Active minutes on the day.",
            ),
            (
                "serves",
                Number(1, 1_000, true),
                "Its lines are for so many portions; 1 if left out.",
            ),
            ("lines", List("line"), "What goes in."),
            (
                "unfinished",
                Texts,
                "Lines still to be written: no week has the recipe until this is taken away.",
            ),
            ("steps", ListOrText("step"), "What is done."),
            ("author", Text, "Whose recipe it is."),
            ("description", Text, "What it is, in a sentence."),
            ("picture", Text, "Where a picture of it is."),
            ("story", Text, "What else there is to tell."),
            ("servings", Text, "What one serving is."),
            ("storage", Text, "How what is left is kept."),
        ],
        &["recipe", "form", "lines"],
    ),
    (
        "line",
        &[
            ("food", Text, "A food."),
            ("component", Text, "Or a component."),
            (
                "amount",
                Quantity,
                "How much, for the portions the recipe serves.",
            ),
            (
                "one_of",
                List("filling"),
                "Alternatives, of which one is taken.",
            ),
            ("optional", Flag, "On top, if it is left over."),
            (
                "appeal",
                Number(1, limits::APPEAL, true),
                "How much an optional line adds.",
            ),
        ],
        &[],
    ),
    (
        "filling",
        &[
            ("food", Text, "A food."),
            ("component", Text, "Or a component."),
            ("amount", Quantity, "How much."),
        ],
        &["amount"],
    ),
    (
        "step",
        &[
            ("do", Text, "What is done."),
            ("food", Text, "What it is done to."),
            ("how", Text, "What comes behind the food."),
            (
                "active",
                Number(0, limits::MINUTES, true),
                "Minutes that need the cook.",
            ),
            (
                "per_portion",
                Number(0, limits::MINUTES, false),
                "Minutes on top for each portion.",
            ),
            (
                "passive",
                Number(0, limits::MINUTES, true),
                "Minutes it then goes on by itself.",
            ),
            ("needs", Texts, "Equipment held for both."),
            (
                "ahead",
                Is("ahead"),
                "May be done the day before, or so many days before.",
            ),
            ("at_once", Flag, "Begins the minute the step before ends."),
        ],
        &["do"],
    ),
    ("aim", &[], &[]),
];

/// Returns the JSON Schema (draft 2020-12) of a kitchen file, indented, ending in a line break.
pub fn schema() -> String {
    let mut schema = mapping(&FILE);
    let mut definitions = Map::new();
    for shape in SHAPES.iter().filter(|shape| !shape.1.is_empty()) {
        definitions.insert(shape.0.to_owned(), mapping(shape));
    }
    let own: Map<String, Value> = Nutrient::ALL
        .iter()
        .map(|nutrient| {
            let of = format!("{}, {} in 100 g.", nutrient.label(), nutrient.unit());
            let mut figure = value(FIGURE);
            figure["description"] = json!(of);
            (nutrient.key().to_owned(), figure)
        })
        .collect();
    definitions.insert(
        "nutrients".to_owned(),
        json!({"type": "object", "properties": own, "additionalProperties": false}),
    );
    definitions.insert(
        "aim".to_owned(),
        json!({"enum": ["foods", "cost", "spoiled", "minutes"]}),
    );
    definitions.insert(
        "ahead".to_owned(),
        json!({"anyOf": [{"type": "boolean"}, {"type": "integer", "minimum": 0, "maximum": 14}]}),
    );
    let mut whole = Map::new();
    whole.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    whole.insert("title".to_owned(), json!("Kitchen file of scant"));
    if let Value::Object(schema) = &mut schema {
        whole.append(schema);
    }
    whole.insert("$defs".to_owned(), Value::Object(definitions));
    let text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    text + "\n"
}

fn mapping((_, keys, required): &Shape) -> Value {
    let properties: Map<String, Value> = keys
        .iter()
        .map(|&(key, says, about)| {
            let mut one = value(says);
            one["description"] = json!(about);
            (key.to_owned(), one)
        })
        .collect();
    json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn value(says: Says) -> Value {
    let text = || json!({"type": ["string", "number"]});
    let of = |name: &str| json!({"$ref": format!("#/$defs/{name}")});
    let number = || json!({"type": "number", "minimum": 0});
    match says {
        Text => text(),
        Quantity => {
            let units: Vec<&str> = [Kind::Mass, Kind::Volume]
                .into_iter()
                .flat_map(|kind| UNITS.iter().filter(move |unit| unit.kind == kind))
                .map(|unit| unit.symbol)
                .collect();
            json!({
                "type": "string",
                "pattern": "^\\s*[0-9\u{bc}-\u{be}\u{2150}-\u{215e}\u{2189}]",
                "examples": ["120 g", "1 1/2 cup", "1/2 pack", "2 pieces"],
                "$comment": format!("units: {}; else a measure of the food", units.join(" ")),
            })
        }
        Money => json!({"type": ["number", "string"], "examples": ["3.49"]}),
        Number(least, most, whole) => json!({
            "type": if whole { "integer" } else { "number" },
            "minimum": least,
            "maximum": most,
        }),
        Flag => json!({"type": "boolean"}),
        Percent => json!({"type": "string", "pattern": "^[0-9.]+ ?%$", "examples": ["61 %"]}),
        Day => json!({"anyOf": [{"enum": WEEKDAYS}, {"type": "integer", "minimum": 0}]}),
        Word(words) => json!({"enum": words}),
        Texts => json!({"type": "array", "items": text()}),
        Days => json!({"type": "array", "items": value(Day)}),
        Measures => json!({
            "type": "object",
            "additionalProperties": value(Quantity),
            "examples": [{"piece": "150 g"}],
        }),
        Free => json!({
            "type": "object",
            "additionalProperties": {"anyOf": [{"type": "integer"}, value(Quantity)]},
        }),
        Is(name) => of(name),
        List(name) => json!({"type": "array", "items": of(name)}),
        ListOrText(name) => json!({"type": "array", "items": {"anyOf": [of(name), text()]}}),
        Says::Nutrient => {
            let keys: Vec<&str> = Nutrient::ALL
                .iter()
                .map(|nutrient| nutrient.key())
                .collect();
            json!({"enum": keys})
        }
        ByShop => json!({"anyOf": [
            value(Money),
            {"type": "object", "additionalProperties": value(Money)},
        ]}),
        ByDay => {
            let list = json!({"type": "array", "items": number()});
            let either = json!({"anyOf": [number(), list.clone()]});
            json!({"anyOf": [
                number(),
                list,
                {"type": "object", "additionalProperties": either},
            ]})
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kitchen::read_texts;

    /// What the reader says of a mapping with a key it does not know: the keys it does.
    fn keys_told(text: &str) -> Vec<String> {
        let read = read_texts(vec![("k.yaml".to_owned(), text.as_bytes().to_vec())]);
        let told = read.faults.iter().find(|f| f.what.contains("no key `qqq`"));
        let told = told.unwrap_or_else(|| panic!("{text}: {:?}", read.faults));
        let listed = told.help.split_once(" are ").map_or("", |(_, keys)| keys);
        let mut keys: Vec<String> = listed
            .split('`')
            .skip(1)
            .step_by(2)
            .map(str::to_owned)
            .collect();
        keys.sort();
        keys
    }

    /// The reader is asked, by a key it does not know, which it does: the schema has the same, no
    /// more and no fewer, in every mapping there is.
    #[test]
    fn every_key_of_the_reader_is_in_the_schema_and_no_other() {
        let food = "foods: [{food: a, nutrients: {energy: 1}, source: s, packs: [{pack: p, size: 1 g, \
                    price: 1, keeps: 1, open_keeps: 1}]}]\n";
        let recipe = format!("currency: USD\n{food}recipes: ");
        let places: [(&str, String); 19] = [
            ("", "qqq: 1".to_owned()),
            ("week", "week: {qqq: 1}".to_owned()),
            ("shop", "week: {shops: [{qqq: 1}]}".to_owned()),
            ("stock", "stock: [{qqq: 1}]".to_owned()),
            ("aims", "aims: {qqq: 1}".to_owned()),
            (
                "preference",
                "aims: {day_preferences: [{qqq: 1}]}".to_owned(),
            ),
            ("rules", "rules: {qqq: 1}".to_owned()),
            ("nutrition", "rules: {nutrition: [{qqq: 1}]}".to_owned()),
            ("credit", "rules: {credits: [{qqq: 1}]}".to_owned()),
            (
                "energy_share",
                "rules: {energy_share: [{qqq: 1}]}".to_owned(),
            ),
            ("standard", "rules: {standards: [{qqq: 1}]}".to_owned()),
            ("with", "rules: {with: [{qqq: 1}]}".to_owned()),
            ("food", "foods: [{qqq: 1}]".to_owned()),
            ("pack", "foods: [{packs: [{qqq: 1}]}]".to_owned()),
            ("component", "components: [{qqq: 1}]".to_owned()),
            ("recipe", "recipes: [{qqq: 1}]".to_owned()),
            ("line", "recipes: [{lines: [{qqq: 1}]}]".to_owned()),
            ("filling", "components: [{from: [{qqq: 1}]}]".to_owned()),
            (
                "step",
                format!(
                    "{recipe}[{{recipe: r, form: f, lines: [{{food: a, amount: 1 g}}], steps: [{{qqq: 1}}]}}]"
                ),
            ),
        ];
        for (name, text) in places {
            let shape = SHAPES.iter().find(|shape| shape.0 == name).unwrap_or(&FILE);
            let mut keys: Vec<&str> = shape.1.iter().map(|key| key.0).collect();
            keys.sort_unstable();
            assert_eq!(keys_told(&text), keys, "{name}");
        }
    }
}
