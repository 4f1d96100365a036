//! Warnings: what is allowed but is probably not meant.
//!
//! The bounds here are common practice, no source; they refuse nothing.

use super::drafts::{ComponentDraft, FoodDraft, RecipeDraft};
use super::fault::Sink;
use super::flaws::Places;
use super::keeping;
use super::place::At;
use super::wording::{listed, shown};
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{Alternative, Contents, Ingredient, NANO, NutrientRule, Per, RecipeId, Step};

/// Milligrams of one line for one portion that look too much, and too little for a counted food.
const LINE_MG: (i64, i64) = (100, 1_000_000);
/// Milligrams a portion should weigh.
const PORTION_MG: (i64, i64) = (200_000, 1_000_000);

/// Most foods' contents added up to see whether a recipe can meet the nutrition rules: counted,
/// so that every machine stops at the same recipe.
const CONTENTS: u64 = 10_000_000;

/// Adds all warnings about a sound larder.
pub(crate) fn check(larder: &Contents, places: &Places, sink: &mut Sink) {
    unused(larder, places, sink);
    let needed = larder.components.iter().map(|c| &c.needs);
    let needed = needed.chain(larder.recipes.iter().map(|r| &r.needs));
    let mut needed: Vec<&str> = needed.flatten().map(String::as_str).collect();
    needed.sort_unstable();
    needed.dedup();
    places.tools.unused(&needed, sink);
    minutes(larder, places, sink);
    staples(larder, places.foods, sink);
    masses(places.components, sink);
    portions(larder, places.recipes, sink);
    servable(larder, places.recipes, sink);
    ceilings(larder, places.rules, sink);
    keeping::check(larder, places, sink);
    if larder.wishes.cap == Some(0) && larder.stock.is_empty() {
        sink.warn(
            places.rules,
            "a cap of 0 with nothing in stock leaves only staples to cook with",
            "raise `cap`, or list what is there under `stock:`",
        );
    }
}

/// Tells steps that take longer than what the plan counts for their recipe or component.
fn minutes(larder: &Contents, places: &Places, sink: &mut Sink) {
    let eaters = larder.week.eaters_milli.iter().copied().min().unwrap_or(0);
    let milli = |step: &Step, portions: i64| {
        let each = i128::from(step.per_portion_milli.unwrap_or(0)) * i128::from(portions) / 1000;
        step.active_minutes.unwrap_or(0) * 1000 + each as i64
    };
    let mut tell = |at: At, name: &str, what: &str, has: i64, says: i64| {
        sink.warn(
            at,
            format!(
                "the steps of `{}` have {has} {what} minutes, and the plan counts {says}",
                shown(name)
            ),
            "the prep plan goes by the steps: make the two agree",
        );
    };
    for (recipe, draft) in larder.recipes.iter().zip(places.recipes) {
        // Of alternatives one is taken: the one whose steps are shortest, for the benefit of
        // the doubt.
        let of = |what: Ingredient| -> i64 {
            let own = recipe.steps.iter().filter(|step| step.what == Some(what));
            own.map(|step| milli(step, eaters)).sum()
        };
        let plain = recipe.steps.iter().filter(|step| step.what.is_none());
        let plain: i64 = plain.map(|step| milli(step, eaters)).sum();
        let lines = recipe.lines.iter().map(|line| {
            let all = line.alternatives.iter().map(|a| of(a.what));
            all.min().unwrap_or(0)
        });
        let has = (plain + lines.sum::<i64>() + 999) / 1000;
        let says = (recipe.minutes_nano + NANO - 1) / NANO;
        if has > says {
            tell(draft.at, &recipe.name, "active", has, says);
        }
    }
    for (component, draft) in larder.components.iter().zip(places.components) {
        let fixed = component.steps.iter().map(|step| milli(step, 0));
        let has = (fixed.sum::<i64>() + 999) / 1000;
        let says = (component.batch_minutes_nano + NANO - 1) / NANO;
        if has > says {
            tell(draft.at, &component.name, "active", has, says);
        }
        let passive = component.steps.iter().filter_map(|s| s.passive_minutes);
        let passive: i64 = passive.sum();
        if passive > component.passive_minutes {
            let says = component.passive_minutes;
            tell(draft.at, &component.name, "passive", passive, says);
        }
    }
}

fn written(larder: &Contents) -> impl Iterator<Item = &Alternative> {
    larder.recipes.iter().flat_map(|recipe| {
        let main = recipe.lines.iter().flat_map(|line| &line.alternatives);
        main.chain(
            recipe
                .finishers
                .iter()
                .map(|finisher| &finisher.alternative),
        )
    })
}

fn unused(larder: &Contents, places: &Places, sink: &mut Sink) {
    let mut foods = vec![false; larder.foods.len()];
    let mut components = vec![false; larder.components.len()];
    for alternative in written(larder) {
        match alternative.what {
            Ingredient::Food(id) => foods[id.index()] = true,
            Ingredient::Component(id) => components[id.index()] = true,
        }
    }
    // What a used component takes is used; so is a component inside one.
    for (index, used) in components.clone().into_iter().enumerate() {
        if used {
            for &(food, _) in &larder.components[index].foods {
                foods[food.index()] = true;
            }
        }
    }
    let inside = super::batches::inside(places.components, &components);
    for (index, draft) in places.components.iter().enumerate() {
        if !components[index] && !inside[index] {
            sink.warn(
                draft.at,
                format!(
                    "no recipe uses the component `{}`",
                    shown(&draft.component.name)
                ),
                "add it to a recipe, or leave it out",
            );
        }
    }
    for (draft, used) in places.foods.iter().zip(foods) {
        if !used {
            sink.warn(
                draft.at,
                format!("no recipe uses the food `{}`", shown(&draft.food.name)),
                "add it to a recipe, or leave it out",
            );
        }
    }
}

fn staples(larder: &Contents, drafts: &[FoodDraft], sink: &mut Sink) {
    for (food, draft) in larder.foods.iter().zip(drafts) {
        let mut packs: Vec<At> = draft.pack_at.iter().map(|at| at.0).collect();
        packs.dedup();
        if food.staple && packs.len() > 1 {
            sink.warn(
                draft.at,
                format!(
                    "the staple `{}` has {} packs, and is priced at the cheapest by weight",
                    shown(&food.name),
                    packs.len()
                ),
                "keep the pack it is usually bought in",
            );
        }
    }
}

/// Tells batches that make far more or less than goes in.
fn masses(drafts: &[ComponentDraft], sink: &mut Sink) {
    for draft in drafts {
        let goes_in: i64 = draft.component.foods.iter().map(|&(_, mg)| mg).sum();
        let makes = draft.component.makes_mg;
        if makes > goes_in.saturating_mul(10) || makes < goes_in / 10 {
            sink.warn(
                draft.at,
                format!(
                    "`{}` makes {} from {}",
                    shown(&draft.component.name),
                    grams(makes),
                    grams(goes_in)
                ),
                "check `makes` and the amounts in `from`: one may be ten times off",
            );
        }
    }
}

/// Returns milligrams as a cook reads them.
fn grams(mg: i64) -> String {
    match mg {
        0..1_000 => format!("{mg} mg"),
        1_000..10_000 => format!("{}.{} g", mg / 1_000, mg % 1_000 / 100),
        10_000..1_000_000 => format!("{} g", mg / 1_000),
        _ => format!("{}.{} kg", mg / 1_000_000, mg % 1_000_000 / 100_000),
    }
}

fn portions(larder: &Contents, drafts: &[RecipeDraft], sink: &mut Sink) {
    for (recipe, draft) in larder.recipes.iter().zip(drafts) {
        let mut portion = 0_i64;
        let mut odd = false;
        for (line, &at) in recipe.lines.iter().zip(&draft.amount_at) {
            let Some(first) = line.alternatives.first() else {
                continue;
            };
            portion += first.mg;
            for (place, alternative) in line.alternatives.iter().enumerate() {
                let counted = match alternative.what {
                    Ingredient::Food(id) => !larder.foods[id.index()].staple,
                    Ingredient::Component(_) => false,
                };
                let (least, most) = LINE_MG;
                if alternative.mg > most || (counted && alternative.mg < least) {
                    odd = true;
                    let which = if place == 0 {
                        ""
                    } else {
                        ", one of its alternatives,"
                    };
                    sink.warn(
                        at,
                        format!(
                            "`{}` in `{}`{which} is {} for one portion",
                            shown(&alternative.written),
                            shown(&recipe.name),
                            grams(alternative.mg)
                        ),
                        "amounts are for one portion: check the number and its measure",
                    );
                }
            }
        }
        if !odd && (portion < PORTION_MG.0 || portion > PORTION_MG.1) {
            sink.warn(
                draft.at,
                format!(
                    "a portion of `{}` weighs {}",
                    shown(&recipe.name),
                    grams(portion)
                ),
                "a packed lunch weighs 200 g to 1 kg (common practice); check the amounts",
            );
        }
    }
}

/// Tells recipes that no day of this week can take.
fn servable(larder: &Contents, drafts: &[RecipeDraft], sink: &mut Sink) {
    let allowed = allowed_alternatives(larder);
    let mut left = CONTENTS;
    for (index, draft) in drafts.iter().enumerate() {
        let recipe = &larder.recipes[index];
        let open = allowed.of(RecipeId::new(index));
        let why = if !recipe.days.contains(&true) {
            "its `days` hold no lunch day of this week".to_owned()
        } else if open.banned {
            "it is banned under `without`".to_owned()
        } else if let Some(line) = open.lines.iter().position(Vec::is_empty) {
            format!("`without` bans everything its line {} may take", line + 1)
        } else if let Some((rule, (least, most))) = (larder.wishes.nutrition.iter())
            .filter(|rule| rule.per == Per::Lunch)
            .find_map(|rule| Some((rule, misses(larder, index, &open.lines, rule, &mut left)?)))
        {
            let unit = rule.nutrient.unit();
            let has = if least == most {
                least
            } else {
                format!("{least} to {most}")
            };
            let side = |word: &str, milli: Option<i64>| {
                milli.map_or(String::new(), |milli| {
                    format!(" {word} {}", tenths(milli.into()))
                })
            };
            format!(
                "none of its alternatives meets the rule on {}: a portion has {has} {unit}, asked \
                 for{}{}",
                rule.nutrient.label(),
                side("at least", rule.at_least_milli),
                side("at most", rule.at_most_milli)
            )
        } else {
            continue;
        };
        sink.warn(
            draft.at,
            format!("no day can take `{}`: {why}", shown(&recipe.name)),
            "leave it as it is if that is meant; otherwise change the recipe or the rule",
        );
    }
}

/// Returns a nutrient of `mg` of something, in thousandths of its unit times 1e5 milligrams.
fn content(larder: &Contents, alternative: &Alternative, rule: &NutrientRule) -> i128 {
    let of = |food: crate::larder::FoodId, mg: i64| {
        let figure = larder.foods[food.index()].nutrients_milli[rule.nutrient.index()];
        i128::from(figure.unwrap_or(0)) * i128::from(mg)
    };
    match alternative.what {
        Ingredient::Food(id) => of(id, alternative.mg),
        Ingredient::Component(id) => larder
            .component_foods(id, alternative.mg)
            .into_iter()
            .map(|(id, mg)| of(id, mg))
            .sum(),
    }
}

/// Thousandths as a number with a tenth.
fn tenths(milli: i128) -> String {
    let tenths = (milli + 50) / 100;
    match tenths % 10 {
        0 => (tenths / 10).to_string(),
        part => format!("{}.{part}", tenths / 10),
    }
}

/// The least and the most that a portion can have, where no choice of alternatives meets a rule;
/// once too many contents were added up one is taken to.
fn misses(
    larder: &Contents,
    recipe: usize,
    lines: &[Vec<u16>],
    rule: &NutrientRule,
    left: &mut u64,
) -> Option<(String, String)> {
    let mut least = 0;
    let mut most = 0;
    for (line, open) in larder.recipes[recipe].lines.iter().zip(lines) {
        let contents: Vec<i128> = open
            .iter()
            .map(|&j| content(larder, &line.alternatives[usize::from(j)], rule))
            .collect();
        let foods = open
            .iter()
            .map(|&j| match line.alternatives[usize::from(j)].what {
                Ingredient::Food(_) => 1,
                Ingredient::Component(id) => larder.components[id.index()].foods.len() as u64,
            });
        *left = left.saturating_sub(foods.sum());
        if *left == 0 {
            return None;
        }
        least += contents.iter().min().copied().unwrap_or(0);
        most += contents.iter().max().copied().unwrap_or(0);
    }
    let scaled = |milli: i64| i128::from(milli) * 100_000;
    let meets = rule
        .at_least_milli
        .is_none_or(|floor| most >= scaled(floor))
        && rule
            .at_most_milli
            .is_none_or(|ceiling| least <= scaled(ceiling));
    (!meets).then(|| (tenths(least / 100_000), tenths(most / 100_000)))
}

/// Tells ceilings on nutrients that some foods in use have no figure for.
fn ceilings(larder: &Contents, rules: At, sink: &mut Sink) {
    if larder
        .wishes
        .nutrition
        .iter()
        .all(|rule| rule.at_most_milli.is_none())
    {
        return;
    }
    let mut used = vec![false; larder.foods.len()];
    for alternative in written(larder) {
        match alternative.what {
            Ingredient::Food(id) => used[id.index()] = true,
            Ingredient::Component(id) => {
                for &(food, _) in &larder.components[id.index()].foods {
                    used[food.index()] = true;
                }
            }
        }
    }
    let mut told = Vec::new();
    for rule in larder
        .wishes
        .nutrition
        .iter()
        .filter(|rule| rule.at_most_milli.is_some())
    {
        if told.contains(&rule.nutrient) {
            continue;
        }
        told.push(rule.nutrient);
        let missing: Vec<&str> = larder
            .foods
            .iter()
            .zip(&used)
            .filter(|(food, used)| **used && food.nutrients_milli[rule.nutrient.index()].is_none())
            .map(|(food, _)| food.name.as_str())
            .collect();
        if missing.is_empty() {
            continue;
        }
        let more = missing.len().saturating_sub(5);
        let names = listed(
            &missing[..missing.len().min(5)],
            if more > 0 { "," } else { "and" },
        );
        let tail = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        sink.warn(
            rules,
            format!(
                "the ceiling on {} counts these foods as 0, for want of a figure: {names}{tail}",
                rule.nutrient.label()
            ),
            "give the figure under `nutrients:` with its source, or read the total as a least",
        );
    }
}
