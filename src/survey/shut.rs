//! Which rule shuts a recipe out of every week, with its figure; and the one swap that would let it
//! in. Only what a lunch has to keep by itself is looked at: a recipe that is not shut out here may
//! still find no week to stand in.

use std::collections::{BTreeMap, BTreeSet};

use super::lines::{Lines, foods_in};
use crate::larder::allowed::Allowed;
use crate::larder::{
    Alternative, CapBy, ComponentId, Contents, CreditRule, Credited, Day, FoodId, Ingredient,
    Nutrient, NutrientRule, Per, RecipeId,
};
use crate::table::row_of;

/// Why a recipe can stand in no week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shut {
    /// `without` bans it by name, tag or equipment.
    Banned,
    /// `without` bans all that a line may take; the line, from 1.
    Line(usize),
    /// It may be served on no lunch day of this week.
    NoDay,
    /// A rule on a nutrient of a lunch: the nearest that its alternatives come to, the floor or the
    /// ceiling (thousandths), and the source.
    Nutrient {
        /// The nutrient.
        nutrient: Nutrient,
        /// The nearest it comes.
        has_milli: i64,
        /// The limit.
        limit_milli: i64,
        /// It is a floor.
        floor: bool,
        /// Where the limit comes from.
        source: String,
    },
    /// A rule on what a lunch gives of a food group, or on a share of its energy (millionths).
    Credit {
        /// What is counted.
        what: Credited,
        /// The nearest it comes.
        has_micro: i64,
        /// The limit.
        limit_micro: i64,
        /// It is a floor.
        floor: bool,
        /// Where the limit comes from.
        source: String,
    },
    /// Each rule on a lunch is kept by some choice of alternatives, all of them by none.
    Together,
    /// It takes more minutes than any of its days has (1e-9 minutes).
    Minutes {
        /// Its own.
        has_nano: i64,
        /// The most of any of its days.
        most_nano: i64,
    },
    /// It takes a component that cannot be cooked in time for any of its days; its name.
    Uncooked(String),
    /// It needs more counted foods than the cap lets in.
    Cap {
        /// Foods it cannot do without, none of them on hand.
        has: i64,
        /// The cap.
        most: i64,
    },
    /// The cheapest packs of the foods it cannot do without cost more than the budget.
    Budget {
        /// They cost, minor units.
        has_minor: i64,
        /// The budget.
        most_minor: i64,
    },
}

/// One thing in the place of another, in the same amount.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Swap {
    /// What is taken out.
    pub out: String,
    /// What takes its place.
    pub with: String,
    /// How much, milligrams a portion.
    pub mg: i64,
    /// How many other recipes may use a food of it: at the least of its counted foods.
    pub others: usize,
}

/// Choices of alternatives that are tried together; of a recipe with more nothing is said of rules
/// that only clash with each other.
const CHOICES: usize = 4_096;

/// Returns all that shuts a recipe out.
pub(super) fn why(larder: &Contents, id: RecipeId, allowed: &Allowed, lines: &Lines) -> Vec<Shut> {
    let recipe = &larder.recipes[id.index()];
    let left = allowed.of(id);
    let mut shut = Vec::new();
    if left.banned {
        shut.push(Shut::Banned);
    }
    let empty = left
        .lines
        .iter()
        .enumerate()
        .filter(|(_, left)| left.is_empty());
    shut.extend(empty.map(|(at, _)| Shut::Line(at + 1)));
    let days: Vec<usize> = (0..recipe.days.len())
        .filter(|&day| recipe.days[day])
        .collect();
    if days.is_empty() {
        shut.push(Shut::NoDay);
    }
    let most = days.iter().map(|&day| most_minutes(larder, day + 1));
    let most: Option<Vec<i64>> = most.collect();
    if let Some(most_nano) = most.and_then(|most| most.into_iter().max())
        && recipe.minutes_nano > most_nano
    {
        let has_nano = recipe.minutes_nano;
        shut.push(Shut::Minutes {
            has_nano,
            most_nano,
        });
    }
    shut.extend(uncooked(larder, lines, &days).map(Shut::Uncooked));
    let before = shut.len();
    for rule in larder
        .wishes
        .nutrition
        .iter()
        .filter(|rule| rule.per == Per::Lunch)
    {
        shut.extend(nutrient(larder, rule, lines));
    }
    for rule in larder
        .wishes
        .credits
        .iter()
        .filter(|rule| rule.per == Per::Lunch)
    {
        shut.extend(credit(rule, larder, lines));
    }
    if shut.len() == before && keeps(larder, lines) == Some(false) {
        shut.push(Shut::Together);
    }
    let needed = needed(larder, lines);
    let wishes = &larder.wishes;
    let has = needed.len() as i64;
    if let Some(most) = wishes
        .cap
        .filter(|&cap| wishes.cap_by == CapBy::Foods && has > cap)
    {
        shut.push(Shut::Cap { has, most });
    }
    let cheapest = |&food: &FoodId| {
        let packs = larder.packs_of(food).filter(|&(id, _)| larder.is_sold(id));
        let packs = packs.map(|(_, pack)| pack.price_minor);
        packs.min().unwrap_or(0)
    };
    let has_minor = needed.iter().map(cheapest).sum();
    if let Some(most_minor) = wishes.budget_minor.filter(|&most| has_minor > most) {
        shut.push(Shut::Budget {
            has_minor,
            most_minor,
        });
    }
    shut
}

/// The most active minutes a day may have, by either limit.
fn most_minutes(larder: &Contents, day: usize) -> Option<i64> {
    let wishes = &larder.wishes;
    let limits = [&wishes.minutes_nano, &wishes.kitchen_minutes_nano];
    let limits = limits.into_iter().filter_map(|limits| *limits.get(day)?);
    limits.min()
}

/// A component that a line cannot do without and that keeps from no day of cooking until any of
/// these lunch days (0 is the first).
fn uncooked(larder: &Contents, lines: &Lines, days: &[usize]) -> Option<String> {
    let keeps = |id: ComponentId, day: usize| {
        let first = (day as i32 + 1 - larder.components[id.index()].keeps).max(0);
        (first..=day as i32 + 1).any(|cooked| larder.wishes.may_cook(cooked as Day))
    };
    let late = |alternative: &&Alternative| match alternative.what {
        Ingredient::Component(id) => !days.iter().any(|&day| keeps(id, day)),
        Ingredient::Food(_) => false,
    };
    let mut lines = lines
        .iter()
        .filter(|line| !days.is_empty() && !line.is_empty());
    let line = lines.find(|line| line.iter().all(&late))?;
    match line[0].what {
        Ingredient::Component(id) => Some(larder.components[id.index()].name.clone()),
        Ingredient::Food(_) => None,
    }
}

/// Counted foods without which the recipe cannot be made, and of which nothing is on hand.
fn needed(larder: &Contents, lines: &Lines) -> BTreeSet<FoodId> {
    let mut needed = BTreeSet::new();
    for line in lines {
        let mut each = line.iter().map(|alternative| -> BTreeSet<FoodId> {
            let foods = foods_in(larder, alternative).into_iter();
            foods.map(|(food, _)| food).collect()
        });
        let first = each.next().unwrap_or_default();
        let always = each.fold(first, |a, b| a.intersection(&b).copied().collect());
        needed.extend(always);
    }
    needed.retain(|food| {
        !larder.foods[food.index()].staple && larder.stock.iter().all(|unit| unit.food != *food)
    });
    needed
}

/// What `mg` of foods give, times 100,000 milligrams.
fn given(foods: &[(FoodId, i64)], figure: impl Fn(FoodId) -> i64) -> i128 {
    let each = foods
        .iter()
        .map(|&(food, mg)| i128::from(figure(food)) * i128::from(mg));
    each.sum()
}

/// The least and the most that choices of alternatives give, times 100,000.
fn range(larder: &Contents, lines: &Lines, figure: &dyn Fn(FoodId) -> i64) -> (i128, i128) {
    let (mut least, mut most) = (0, 0);
    for line in lines {
        let each = line.iter().map(|one| given(&foods_in(larder, one), figure));
        let each: Vec<i128> = each.collect();
        least += each.iter().min().copied().unwrap_or(0);
        most += each.iter().max().copied().unwrap_or(0);
    }
    (least, most)
}

const PER_MG: i128 = 100_000;

/// What is short of a floor is shown rounded down, what is beyond a ceiling rounded up.
fn floor_of(value: i128) -> i64 {
    value.div_euclid(PER_MG) as i64
}

fn ceiling_of(value: i128) -> i64 {
    -((-value).div_euclid(PER_MG)) as i64
}

fn figure_of(larder: &Contents, nutrient: Nutrient) -> impl Fn(FoodId) -> i64 {
    move |food| larder.foods[food.index()].nutrients_milli[nutrient.index()].unwrap_or(0)
}

fn nutrient(larder: &Contents, rule: &NutrientRule, lines: &Lines) -> Vec<Shut> {
    let (least, most) = range(larder, lines, &figure_of(larder, rule.nutrient));
    let told = |has_milli, limit_milli, floor| Shut::Nutrient {
        nutrient: rule.nutrient,
        has_milli,
        limit_milli,
        floor,
        source: rule.source.clone(),
    };
    let mut shut = Vec::new();
    if let Some(floor) = rule
        .at_least_milli
        .filter(|&f| most < i128::from(f) * PER_MG)
    {
        shut.push(told(floor_of(most), floor, true));
    }
    if let Some(ceiling) = rule
        .at_most_milli
        .filter(|&c| least > i128::from(c) * PER_MG)
    {
        shut.push(told(ceiling_of(least), ceiling, false));
    }
    shut
}

fn credit(rule: &CreditRule, larder: &Contents, lines: &Lines) -> Vec<Shut> {
    let figure = |food: FoodId| rule.figures_micro[food.index()];
    let (least, most) = range(larder, lines, &figure);
    let told = |has_micro, limit_micro, floor| Shut::Credit {
        what: rule.what.clone(),
        has_micro,
        limit_micro,
        floor,
        source: rule.source.clone(),
    };
    let mut shut = Vec::new();
    if let Some(floor) = rule
        .at_least_micro
        .filter(|&f| most < i128::from(f) * PER_MG)
    {
        shut.push(told(floor_of(most), floor, true));
    }
    if let Some(ceiling) = rule
        .at_most_micro
        .filter(|&c| least > i128::from(c) * PER_MG)
    {
        shut.push(told(ceiling_of(least), ceiling, false));
    }
    shut
}

/// Whether some choice of alternatives keeps all rules on a lunch; `None` where there are too many
/// choices to try.
fn keeps(larder: &Contents, lines: &Lines) -> Option<bool> {
    let choices = lines.iter().try_fold(1_usize, |all, line| {
        all.checked_mul(line.len()).filter(|&all| all <= CHOICES)
    })?;
    let wishes = &larder.wishes;
    let nutrition: Vec<&NutrientRule> = wishes
        .nutrition
        .iter()
        .filter(|r| r.per == Per::Lunch)
        .collect();
    let credits: Vec<&CreditRule> = wishes
        .credits
        .iter()
        .filter(|r| r.per == Per::Lunch)
        .collect();
    if nutrition.is_empty() && credits.is_empty() {
        return Some(true);
    }
    let within = |value: i128, floor: Option<i64>, ceiling: Option<i64>| {
        floor.is_none_or(|floor| value >= i128::from(floor) * PER_MG)
            && ceiling.is_none_or(|ceiling| value <= i128::from(ceiling) * PER_MG)
    };
    // What each alternative gives under each rule.
    let table: Vec<Vec<Vec<i128>>> = lines
        .iter()
        .map(|line| {
            let each = line.iter().map(|one| {
                let foods = foods_in(larder, one);
                let nutrients = nutrition
                    .iter()
                    .map(|rule| given(&foods, figure_of(larder, rule.nutrient)));
                let groups = credits
                    .iter()
                    .map(|rule| given(&foods, |food| rule.figures_micro[food.index()]));
                nutrients.chain(groups).collect()
            });
            each.collect()
        })
        .collect();
    let limits: Vec<(Option<i64>, Option<i64>)> = nutrition
        .iter()
        .map(|rule| (rule.at_least_milli, rule.at_most_milli))
        .chain(
            credits
                .iter()
                .map(|rule| (rule.at_least_micro, rule.at_most_micro)),
        )
        .collect();
    Some((0..choices).any(|choice| {
        let mut rest = choice;
        let mut sums = vec![0_i128; limits.len()];
        for line in &table {
            let taken = &line[rest % line.len()];
            rest /= line.len();
            for (sum, value) in sums.iter_mut().zip(taken) {
                *sum += value;
            }
        }
        let mut all = sums.iter().zip(&limits);
        all.all(|(&sum, &(floor, ceiling))| within(sum, floor, ceiling))
    }))
}

/// Whether a rule on the lunch alone is what shuts out.
fn by_lunch(shut: &Shut) -> bool {
    matches!(
        shut,
        Shut::Nutrient { .. } | Shut::Credit { .. } | Shut::Together
    )
}

/// Returns the swap of one line that keeps all rules on a lunch: of a food of the same group of the
/// table first, then one that most other recipes may use.
pub(super) fn swap(
    larder: &Contents,
    id: RecipeId,
    lines: &Lines,
    shut: &[Shut],
    users: &BTreeMap<FoodId, BTreeSet<RecipeId>>,
) -> Option<Swap> {
    if shut.is_empty() || !shut.iter().all(by_lunch) {
        return None;
    }
    let own: BTreeSet<Ingredient> = lines.iter().flatten().map(|one| one.what).collect();
    let elsewhere: BTreeSet<Ingredient> = larder
        .recipes
        .iter()
        .flat_map(|recipe| &recipe.lines)
        .flat_map(|line| &line.alternatives)
        .map(|alternative| alternative.what)
        .filter(|what| !own.contains(what))
        .collect();
    let banned = crate::larder::allowed::foods_banned(larder);
    let group = |what: Ingredient| match what {
        Ingredient::Food(food) => row_of(&larder.foods[food.index()].source).map(|row| row.group),
        Ingredient::Component(_) => Some("cooked"),
    };
    let name = |what: Ingredient| match what {
        Ingredient::Food(food) => larder.foods[food.index()].name.clone(),
        Ingredient::Component(id) => larder.components[id.index()].name.clone(),
    };
    let mut best: Option<((bool, usize, usize, Ingredient), Swap)> = None;
    for (at, line) in lines.iter().enumerate() {
        let Some(first) = line.first() else { continue };
        for &what in &elsewhere {
            let new = Alternative {
                what,
                mg: first.mg,
                written: String::new(),
            };
            let foods = foods_in(larder, &new);
            if foods.iter().any(|(food, _)| banned[food.index()]) {
                continue;
            }
            let mut changed: Vec<Vec<&Alternative>> = lines.to_vec();
            changed[at] = vec![&new];
            if keeps(larder, &changed) != Some(true) {
                continue;
            }
            let others = foods
                .iter()
                .filter_map(|(food, _)| users.get(food))
                .map(|users| users.iter().filter(|&&user| user != id).count());
            let others = others.min().unwrap_or(0);
            let other_kind = group(what) != group(first.what);
            let rank = (other_kind, usize::MAX - others, at, what);
            if best.as_ref().is_none_or(|(known, _)| rank < *known) {
                let swap = Swap {
                    out: name(first.what),
                    with: name(what),
                    mg: first.mg,
                    others,
                };
                best = Some((rank, swap));
            }
        }
    }
    best.map(|(_, swap)| swap)
}
