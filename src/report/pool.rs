//! A pool of recipes as text, before any week exists.

use super::grid::{self, Lean};
use super::words;
use crate::larder::{Credited, Currency};
use crate::survey::{Least, Shut, Survey, Surveyed};
use crate::unicode::isolated;

/// Foods that are named of a recipe.
const NAMED: usize = 8;

pub(super) fn pool(told: &Survey) -> String {
    let currency = &told.currency;
    let mut text = format!("{}\n", isolated(&told.kitchen));
    text += &least(told);
    let (open, shut): (Vec<&Surveyed>, Vec<&Surveyed>) = told
        .recipes
        .iter()
        .partition(|recipe| recipe.shut.is_empty());
    text += "\nRECIPES, A PORTION AS WRITTEN\n";
    text += &table(&open, currency);
    text += &grid::paragraph(&format!(
        "Min: active minutes on the day, batches apart. Cost: the food in it, packs pro rata. \
         Buys: counted foods. +: a food in it has no figure. {} may be served; the week has {}.",
        words::count(open.len() as i64, "recipe"),
        words::count(told.lunches as i64, "lunch"),
    ));
    text += "\nWHICH FOODS THEY SHARE: FOOD, AND HOW MANY OTHER RECIPES MAY USE IT\n";
    text += &grid::list(open.iter().map(|recipe| shares(recipe)));
    if !told.pairs.is_empty() {
        text += "\nMOST FOODS IN COMMON\n";
        text += &grid::list(told.pairs.iter().map(|(shared, one, other)| {
            format!(
                "{} and {}: {}",
                isolated(one),
                isolated(other),
                words::count(*shared as i64, "food")
            )
        }));
    }
    if !told.alone.is_empty() {
        text += "\nFOODS THAT ONE RECIPE ALONE USES\n";
        text += &grid::list(
            told.alone
                .iter()
                .map(|(food, recipe)| format!("{}: {}", isolated(food), isolated(recipe))),
        );
    }
    if !shut.is_empty() {
        text += "\nSHUT OUT\n";
        text += &table(&shut, currency);
        text += &grid::list(shut.iter().map(|recipe| shut_out(recipe, currency)));
    }
    text
}

fn least(told: &Survey) -> String {
    let currency = &told.currency;
    let money = |minor: i64| words::cash(minor, currency);
    let foods = |count: i64| words::count(count, "counted food");
    let mut lines = Vec::new();
    let say = |what: &str, least: Least, show: &dyn Fn(i64) -> String| match least {
        Least::Proved(value) => format!("{what} that any week can have: {}, proved", show(value)),
        Least::Found(value) => {
            format!("{what}: {} in the best week found; not proved", show(value))
        }
        Least::NoWeek => format!("{what}: there is no week, whatever cap and budget"),
        Least::Unknown => format!("{what}: no week was found in time; not settled"),
    };
    let against = |least: Least, most: Option<i64>, show: &dyn Fn(i64) -> String, rule: &str| match (
        least, most,
    ) {
        (Least::Proved(value), Some(most)) if value > most => {
            format!(". The {rule} of {} leaves no week", show(most))
        }
        (_, Some(most)) => format!("; the {rule} is {}", show(most)),
        _ => String::new(),
    };
    let count = |value: i64| value.to_string();
    lines.push(format!(
        "{}{}.",
        say("Fewest foods", told.fewest, &foods),
        against(told.fewest, told.cap, &count, "cap")
    ));
    lines.push(format!(
        "{}{}.",
        say("Least bill", told.bill, &money),
        against(told.bill, told.budget_minor, &money, "budget")
    ));
    let mut text = grid::list(lines);
    if told.fewest == Least::NoWeek {
        text += &grid::paragraph("scant week names the rules that cannot hold together.");
    } else {
        text +=
            &grid::paragraph("Each by itself, under all other rules: one week need not have both.");
    }
    text
}

fn table(recipes: &[&Surveyed], currency: &Currency) -> String {
    let figure = |(milli, missing): (i64, bool)| {
        format!("{}{}", words::amount(milli), if missing { "+" } else { "" })
    };
    let rows = recipes.iter().map(|recipe| {
        vec![
            isolated(&recipe.name).into_owned(),
            isolated(&recipe.form).into_owned(),
            words::minutes(recipe.minutes_nano),
            words::cash_nano(recipe.cost_nano, currency),
            figure(recipe.energy),
            figure(recipe.protein),
            recipe.foods.len().to_string(),
        ]
    });
    grid::table(
        &[
            ("Recipe", Lean::Left),
            ("Form", Lean::Left),
            ("Min", Lean::Right),
            ("Cost", Lean::Right),
            ("kcal", Lean::Right),
            ("Prot g", Lean::Right),
            ("Buys", Lean::Right),
        ],
        rows.collect(),
    )
}

fn shares(recipe: &Surveyed) -> String {
    let mut foods: Vec<&(String, usize)> = recipe.foods.iter().collect();
    foods.sort_by_key(|(_, others)| std::cmp::Reverse(*others));
    let named = foods.iter().take(NAMED);
    let named: Vec<String> = named
        .map(|(food, others)| format!("{} {others}", isolated(food)))
        .collect();
    let rest = match foods.len().saturating_sub(NAMED) {
        0 => String::new(),
        rest => format!(" and {rest} more"),
    };
    let foods = if named.is_empty() {
        "nothing to buy".to_owned()
    } else {
        named.join(", ")
    };
    format!("{}: {foods}{rest}", isolated(&recipe.name))
}

fn shut_out(recipe: &Surveyed, currency: &Currency) -> String {
    let why: Vec<String> = recipe.shut.iter().map(|shut| why(shut, currency)).collect();
    let swap = recipe.swap.as_ref().map_or_else(String::new, |swap| {
        let others = match swap.others {
            0 => "no other recipe uses it".to_owned(),
            n => format!("{} may use it", words::count(n as i64, "other recipe")),
        };
        format!(
            ". One swap lets it in: {} in the place of {}, {} ({others})",
            isolated(&swap.with),
            isolated(&swap.out),
            words::mass(swap.mg).replace(words::JOINT, " ")
        )
    });
    format!("{}: {}{swap}.", isolated(&recipe.name), why.join("; "))
}

fn why(shut: &Shut, currency: &Currency) -> String {
    let micro = |value: i64| words::thousandths(value / 1_000);
    match shut {
        Shut::Banned => "banned by `without`".to_owned(),
        Shut::Line(line) => format!("`without` bans all that its line {line} may take"),
        Shut::NoDay => "its `days` hold no lunch day of this week".to_owned(),
        Shut::Nutrient {
            nutrient,
            has_milli,
            limit_milli,
            floor,
            source,
        } => {
            let (reach, limit) = if *floor {
                ("at most", "least")
            } else {
                ("at least", "most")
            };
            format!(
                "{} {reach} {} {}, and a lunch has at {limit} {} ({})",
                nutrient.label(),
                words::thousandths(*has_milli),
                nutrient.unit(),
                words::thousandths(*limit_milli),
                isolated(source)
            )
        }
        Shut::Credit {
            what,
            has_micro,
            limit_micro,
            floor,
            source,
        } => match what {
            Credited::Group { name, unit } => {
                let (reach, limit) = if *floor {
                    ("at most", "least")
                } else {
                    ("at least", "most")
                };
                format!(
                    "{} {reach} {} {}, and a lunch has at {limit} {} ({})",
                    isolated(name),
                    micro(*has_micro),
                    isolated(unit),
                    micro(*limit_micro),
                    isolated(source)
                )
            }
            Credited::EnergyShare {
                nutrient,
                below_percent,
            } => format!(
                "{} gives {below_percent} % of the energy or more ({})",
                nutrient.label(),
                isolated(source)
            ),
        },
        Shut::Together => "no choice of its alternatives keeps all rules on a lunch".to_owned(),
        Shut::Minutes {
            has_nano,
            most_nano,
        } => format!(
            "it takes {} active minutes, and its days have at most {}",
            words::minutes(*has_nano),
            words::minutes(*most_nano)
        ),
        Shut::Uncooked(component) => {
            format!("{component} cannot be cooked in time for any of its days")
        }
        Shut::Cap { has, most } => {
            format!(
                "it needs {}, and the cap is {most}",
                words::count(*has, "counted food")
            )
        }
        Shut::Budget {
            has_minor,
            most_minor,
        } => format!(
            "its packs cost at least {}, and the budget is {}",
            words::cash(*has_minor, currency),
            words::cash(*most_minor, currency)
        ),
    }
}
