//! Reads `standards:`: published intakes and a meal pattern, each expanded into the rules it
//! stands for. Every rule carries the source of its figure and the share taken of it.

use super::credits::{Credits, GroupRule, per, share_rule};
use super::fault::Sink;
use super::fields::{self, Fields};
use super::limits;
use super::node::{Node, Value};
use super::number::{Decimal, percent};
use super::place::At;
use super::spelling::{Allowance, meant};
use super::wording::{listed, says, shown};
use crate::larder::{Contents, Nutrient, NutrientRule, Per, Wishes};
use crate::table::pattern;
use crate::table::reference::{self, Reference, Who};

/// Names of standards.
const NAMES: [&str; 7] = [
    "daily values",
    "adult men",
    "adult women",
    "iron without meat, adult men",
    "iron without meat, adult women",
    "school lunch 9-12 until June 2027",
    "school lunch 9-12 from July 2027",
];

/// The age intakes are for, if none is said: where they differ, the higher figures.
const AGE: i64 = 31;

/// Nutrients of which there is to be enough. Not energy, fat and carbohydrate: their daily values
/// are what labels reckon with, no floors.
const ENOUGH: [Nutrient; 13] = [
    Nutrient::Protein,
    Nutrient::Fibre,
    Nutrient::Calcium,
    Nutrient::Iron,
    Nutrient::Magnesium,
    Nutrient::Potassium,
    Nutrient::Zinc,
    Nutrient::VitaminC,
    Nutrient::Folate,
    Nutrient::VitaminB12,
    Nutrient::VitaminA,
    Nutrient::VitaminE,
    Nutrient::VitaminK,
];

/// Part of a day's figure, as a fraction.
#[derive(Clone, Copy)]
struct Share(i64, i64);

const THIRD: Share = Share(1, 3);

impl Share {
    fn words(self) -> String {
        match self {
            Self(1, 3) => "a third".to_owned(),
            Self(milli, _) => {
                let (whole, rest) = (milli / 1_000, milli % 1_000);
                let text = format!("{whole}.{rest:03}");
                format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
            }
        }
    }
}

/// What an entry asks for.
struct Asked<'a> {
    name: &'a str,
    share: Share,
    per: Per,
    age: u8,
    except: Vec<Nutrient>,
}

/// Reads an entry of `standards:` and adds its rules.
pub(crate) fn read(
    item: &Node,
    larder: &Contents,
    credits: &Credits,
    wishes: &mut Wishes,
    sink: &mut Sink,
) {
    let Some((asked, at)) = asked(item, sink) else {
        return;
    };
    match asked.name {
        "daily values" => daily(&asked, wishes),
        "adult men" => intakes(&asked, Who::Men, wishes),
        "adult women" => intakes(&asked, Who::Women, wishes),
        "iron without meat, adult men" => iron(&asked, Who::Men, wishes),
        "iron without meat, adult women" => iron(&asked, Who::Women, wishes),
        name => {
            let sodium = if name.contains("until") {
                pattern::SODIUM_TO_JUNE_2027
            } else {
                pattern::SODIUM_FROM_JULY_2027
            };
            school(at, sodium, larder, credits, wishes, sink);
        }
    }
}

fn asked<'a>(item: &'a Node, sink: &mut Sink) -> Option<(Asked<'a>, At)> {
    let keys = ["standard", "share", "per", "age", "except"];
    let plain = !matches!(item.value, Value::Map(_));
    let (text, at) = if plain {
        let text = fields::text(item, "standards", limits::NAME, sink)?;
        (text, item.at)
    } else {
        let fields = Fields::open(item, "a standard", &keys, sink)?;
        let text = fields.need_text("standard", NAMES[0], sink)?;
        (text, fields.value_at("standard"))
    };
    let Some(name) = NAMES.into_iter().find(|name| *name == text) else {
        let help = meant(NAMES.into_iter(), text, &mut Allowance::default(), || {
            format!("the standards are {}", listed(&NAMES, "and"))
        });
        return sink.refuse(
            at,
            says(format!("there is no standard `{}`", shown(text)), help),
        );
    };
    let mut asked = Asked {
        name,
        share: THIRD,
        per: Per::Week,
        age: AGE as u8,
        except: Vec::new(),
    };
    if plain {
        return Some((asked, at));
    }
    let fields = Fields::open(item, "a standard", &keys, &mut Sink::new(Vec::new()))?;
    if name.starts_with("school") {
        for key in ["share", "per", "age", "except"] {
            if fields.has(key) {
                sink.fault(
                    fields.key_at(key),
                    format!("`{key}` changes nothing in a pattern of whole lunches"),
                    "leave it out",
                );
            }
        }
        return Some((asked, at));
    }
    if let Some(text) = fields.text("share", sink) {
        let milli = sink.take(fields.value_at("share"), percent(text))?;
        asked.share = Share(milli, 100_000);
    }
    if fields.has("per") {
        asked.per = per(&fields, sink)?;
    }
    let age = Decimal {
        places: 0,
        least: 19,
        most: 50,
        what: "an age from 19 to 50",
        example: "35",
    };
    if fields.has("age") && name == NAMES[0] {
        sink.fault(
            fields.key_at("age"),
            "daily values are the same for all ages from 4 years",
            "leave it out",
        );
    }
    asked.age = fields.number("age", age, sink).unwrap_or(AGE) as u8;
    for word in fields.words("except", sink) {
        match Nutrient::from_key(word) {
            Some(nutrient) => asked.except.push(nutrient),
            None => sink.fault(
                fields.value_at("except"),
                format!("there is no nutrient `{}`", shown(word)),
                "write nutrient keys, like `except: [vitamin_b12]`",
            ),
        }
    }
    Some((asked, at))
}

/// Adds a floor of the share, rounded up, or a ceiling, rounded down.
fn add(asked: &Asked, figure: Reference, floor: bool, wishes: &mut Wishes) {
    if asked.except.contains(&figure.nutrient) {
        return;
    }
    let Share(part, whole) = asked.share;
    let all = figure.value_milli * part;
    wishes.nutrition.push(NutrientRule {
        nutrient: figure.nutrient,
        per: asked.per,
        at_least_milli: floor.then_some((all + whole - 1) / whole),
        at_most_milli: (!floor).then_some(all / whole),
        source: format!("{} of a day's: {}", asked.share.words(), figure.source),
    });
}

fn daily(asked: &Asked, wishes: &mut Wishes) {
    for figure in ENOUGH.into_iter().filter_map(reference::daily_value) {
        add(asked, figure, true, wishes);
    }
    // The label rule's upper guides.
    for nutrient in [Nutrient::Saturated, Nutrient::Sodium] {
        if let Some(figure) = reference::daily_value(nutrient) {
            add(asked, figure, false, wishes);
        }
    }
}

fn intakes(asked: &Asked, who: Who, wishes: &mut Wishes) {
    for nutrient in ENOUGH.into_iter().chain([Nutrient::Carbohydrate]) {
        if let Some(figure) = reference::intake(nutrient, who, asked.age) {
            add(asked, figure, true, wishes);
        }
    }
    // Sodium has an adequate intake too; no lunch lacks it, so the upper guide alone is asked.
    if let Some(figure) = reference::risk_reduction(Nutrient::Sodium) {
        add(asked, figure, false, wishes);
    }
}

/// The allowance of iron for people who eat no meat, and nothing else.
fn iron(asked: &Asked, who: Who, wishes: &mut Wishes) {
    if let Some(figure) = reference::iron_without_meat(who, asked.age) {
        add(asked, figure, true, wishes);
    }
}

/// Tells what a drink that stands in for milk lacks, and what of it cannot be checked.
fn milk(at: At, larder: &Contents, credits: &Credits, sink: &mut Sink) {
    for (food, mg) in credits.instead_of_milk() {
        let food = &larder.foods[food];
        let lacks: Vec<String> = pattern::MILK_SUBSTITUTE
            .iter()
            .filter_map(|&(nutrient, asked)| {
                let (label, unit) = (nutrient.label(), nutrient.unit());
                let Some(figure) = food.nutrients_milli[nutrient.index()] else {
                    return Some(format!("no figure for {label}"));
                };
                // Figures are for 100 g.
                let has = figure * mg / 100_000;
                let told = |milli: i64| format!("{}.{}", milli / 1_000, milli % 1_000 / 100);
                (has < asked)
                    .then(|| format!("{label} {} {unit} of {} {unit}", told(has), told(asked)))
            })
            .collect();
        if !lacks.is_empty() {
            sink.warn(
                at,
                format!(
                    "`{}` counts as fluid milk, and one cup of it misses figures asked of a drink \
                     in place of milk: {}. Source: {}",
                    shown(&food.name),
                    lacks.join(", "),
                    pattern::MILK_SOURCE
                ),
                "go by the label of the one you buy; vitamin D, phosphorus and riboflavin are asked \
                 too, and are not checked: the food table does not know them",
            );
        }
    }
}

fn school(
    at: At,
    sodium: pattern::MeanFigure,
    larder: &Contents,
    credits: &Credits,
    wishes: &mut Wishes,
    sink: &mut Sink,
) {
    if larder.week.lunches != pattern::LUNCHES {
        sink.fault(
            at,
            format!(
                "the pattern's weekly figures are for {} lunches, and this week has {}",
                pattern::LUNCHES,
                larder.week.lunches
            ),
            "set `lunches: 5`, or write the rules yourself",
        );
    }
    for figure in [pattern::ENERGY, sodium] {
        wishes.nutrition.push(NutrientRule {
            nutrient: figure.nutrient,
            per: Per::Week,
            at_least_milli: figure.least_milli,
            at_most_milli: Some(figure.most_milli),
            source: figure.source.to_owned(),
        });
    }
    milk(at, larder, credits, sink);
    let (below, source) = pattern::SATURATED_BELOW;
    let saturated = share_rule(larder, Nutrient::Saturated, Per::Week, below, source);
    wishes.credits.push(saturated);
    for figure in pattern::GROUPS {
        let rule = |per, at_least_milli, at_most_milli| GroupRule {
            group: figure.group,
            unit: figure.unit,
            per,
            at_least_milli,
            at_most_milli,
            source: pattern::GROUPS_SOURCE,
        };
        // A group no food counts for is told once.
        let before = sink.count();
        if figure.day_least_milli.is_some() {
            let day = rule(Per::Lunch, figure.day_least_milli, None);
            credits.rule(at, &day, &mut wishes.credits, sink);
        }
        if sink.count() == before {
            let least = Some(figure.week_least_milli);
            let week = rule(Per::Week, least, figure.week_most_milli);
            credits.rule(at, &week, &mut wishes.credits, sink);
        }
    }
}
