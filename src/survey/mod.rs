//! Looks at a pool of recipes before any week exists: what each costs and gives, which foods it
//! shares with how many others, which rule shuts it out, which swap would let it in; and the fewest
//! foods and the least bill that any week can have, each from a week solved to the end and judged.

mod lines;
mod shut;

use std::collections::{BTreeMap, BTreeSet};

use crate::engine::{EngineFault, Limits, Outcome, solve};
use crate::larder::allowed::{Allowed, allowed_alternatives};
use crate::larder::{Aim, CapBy, Contents, Currency, FoodId, Larder, Nutrient, RecipeId};

use lines::{foods_in, open};

pub use shut::{Shut, Swap};

/// All there is to say of a pool.
#[derive(Clone, Debug)]
pub struct Survey {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: Currency,
    /// Lunch days.
    pub lunches: usize,
    /// Its recipes, those that may be served first, then by name.
    pub recipes: Vec<Surveyed>,
    /// Counted foods that one recipe alone may use, each with that recipe.
    pub alone: Vec<(String, String)>,
    /// Pairs of recipes that share most counted foods: how many, and which two.
    pub pairs: Vec<(usize, String, String)>,
    /// Fewest counted foods bought.
    pub fewest: Least,
    /// Least price of all packs bought, minor units.
    pub bill: Least,
    /// The cap, if it counts foods.
    pub cap: Option<i64>,
    /// The budget.
    pub budget_minor: Option<i64>,
}

/// The least that any week can have under all rules but cap and budget.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Least {
    /// So much, proved.
    Proved(i64),
    /// A week of so much was found before the search was stopped; a better one may exist.
    Found(i64),
    /// There is no week, whatever cap and budget.
    NoWeek,
    /// Stopped before a week was found.
    Unknown,
}

/// A recipe of the pool, as written: each line with its first alternative that is not banned.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// Its name.
    pub name: String,
    /// Bowl, wrap, soup...
    pub form: String,
    /// Price of a portion, packs pro rata, 1e-9 minor units.
    pub cost_nano: i64,
    /// Energy of a portion, thousandths of a kcal, and whether a food in it has no figure.
    pub energy: (i64, bool),
    /// Protein of a portion, thousandths of a gram, and whether a food in it has no figure.
    pub protein: (i64, bool),
    /// Active minutes on the day, 1e-9 minutes; batches apart.
    pub minutes_nano: i64,
    /// Its counted foods, each with how many other recipes may use it.
    pub foods: Vec<(String, usize)>,
    /// What shuts it out of every week.
    pub shut: Vec<Shut>,
    /// One swap that would let it in, where rules on a lunch shut it out.
    pub swap: Option<Swap>,
}

/// Pairs of recipes that are told.
const PAIRS: usize = 5;

/// Looks at a pool.
///
/// # Errors
/// Those of [`solve`].
pub fn survey(larder: &Larder, limits: &Limits) -> Result<Survey, EngineFault> {
    let allowed = allowed_alternatives(larder);
    let users = users(larder, &allowed);
    let mut recipes: Vec<Surveyed> = (0..larder.recipes.len())
        .map(|index| one(larder, RecipeId::new(index), &allowed, &users))
        .collect();
    recipes.sort_by_key(|recipe| !recipe.shut.is_empty());
    let free = larder.changed(|free| {
        free.wishes.cap = None;
        free.wishes.budget_minor = None;
    });
    let free = free.map_err(EngineFault::Unfit)?;
    Ok(Survey {
        kitchen: larder.name.clone(),
        currency: larder.currency.clone(),
        lunches: larder.lunch_count(),
        recipes,
        alone: alone(larder, &users),
        pairs: pairs(larder, &allowed),
        fewest: least(&free, Aim::Foods, limits)?,
        bill: least(&free, Aim::Cost, limits)?,
        cap: larder
            .wishes
            .cap
            .filter(|_| larder.wishes.cap_by == CapBy::Foods),
        budget_minor: larder.wishes.budget_minor,
    })
}

/// The least of an aim: counted foods, or the price of packs, staples counting nothing.
fn least(larder: &Larder, aim: Aim, limits: &Limits) -> Result<Least, EngineFault> {
    let asked = larder.changed(|asked| {
        asked.wishes.order = vec![aim];
        for at in 0..asked.foods.len() {
            if asked.foods[at].staple {
                asked.foods[at].staple_value_nano = 0;
            }
        }
    });
    let asked = asked.map_err(EngineFault::Unfit)?;
    let (outcome, _) = solve(&asked, limits)?;
    let of = |tally: &crate::rules::Tally| match aim {
        Aim::Foods => tally.foods,
        _ => tally.packs_minor,
    };
    Ok(match outcome {
        Outcome::Best(solved) => Least::Proved(of(&solved.tally)),
        Outcome::Good { solved, .. } => Least::Found(of(&solved.tally)),
        Outcome::Impossible => Least::NoWeek,
        Outcome::OutOfTime { .. } => Least::Unknown,
    })
}

/// The recipes that may use each counted food.
fn users(larder: &Contents, allowed: &Allowed) -> BTreeMap<FoodId, BTreeSet<RecipeId>> {
    let mut users: BTreeMap<FoodId, BTreeSet<RecipeId>> = BTreeMap::new();
    for index in 0..larder.recipes.len() {
        let id = RecipeId::new(index);
        for alternative in open(larder, id, allowed).into_iter().flatten() {
            for (food, _) in foods_in(larder, alternative) {
                if !larder.foods[food.index()].staple {
                    users.entry(food).or_default().insert(id);
                }
            }
        }
    }
    users
}

fn alone(larder: &Contents, users: &BTreeMap<FoodId, BTreeSet<RecipeId>>) -> Vec<(String, String)> {
    let alone = users.iter().filter(|(_, users)| users.len() == 1);
    alone
        .filter_map(|(food, users)| {
            let recipe = users.first()?;
            let food = larder.foods[food.index()].name.clone();
            Some((food, larder.recipes[recipe.index()].name.clone()))
        })
        .collect()
}

/// The counted foods of a recipe as written.
fn counted(larder: &Contents, id: RecipeId, allowed: &Allowed) -> BTreeSet<FoodId> {
    let first = open(larder, id, allowed)
        .into_iter()
        .filter_map(|line| line.into_iter().next());
    let foods = first.flat_map(|alternative| foods_in(larder, alternative));
    let foods = foods.map(|(food, _)| food);
    foods
        .filter(|food| !larder.foods[food.index()].staple)
        .collect()
}

/// Most recipes of which all pairs are looked at: counted, so that every machine stops alike.
const PAIRED: usize = 2_000;

fn pairs(larder: &Contents, allowed: &Allowed) -> Vec<(usize, String, String)> {
    let of: Vec<BTreeSet<FoodId>> = (0..larder.recipes.len().min(PAIRED))
        .map(|index| counted(larder, RecipeId::new(index), allowed))
        .collect();
    let mut best: Vec<(usize, usize, usize)> = Vec::new();
    for (a, foods) in of.iter().enumerate() {
        for (b, others) in of.iter().enumerate().skip(a + 1) {
            let shared = foods.intersection(others).count();
            if shared > 1 {
                best.push((shared, a, b));
            }
        }
        best.sort_unstable_by_key(|&(shared, a, b)| (std::cmp::Reverse(shared), a, b));
        best.truncate(PAIRS);
    }
    let name = |at: usize| larder.recipes[at].name.clone();
    let named = best
        .into_iter()
        .map(|(shared, a, b)| (shared, name(a), name(b)));
    named.collect()
}

fn one(
    larder: &Contents,
    id: RecipeId,
    allowed: &Allowed,
    users: &BTreeMap<FoodId, BTreeSet<RecipeId>>,
) -> Surveyed {
    let recipe = &larder.recipes[id.index()];
    let lines = open(larder, id, allowed);
    let written: Vec<(FoodId, i64)> = lines
        .iter()
        .filter_map(|line| line.first())
        .flat_map(|alternative| foods_in(larder, alternative))
        .collect();
    let cost = written
        .iter()
        .map(|&(food, mg)| i128::from(larder.least_value_nano(food)) * i128::from(mg));
    let gives = |nutrient: Nutrient| {
        let mut missing = false;
        let mut sum = 0_i128;
        for &(food, mg) in &written {
            match larder.foods[food.index()].nutrients_milli[nutrient.index()] {
                Some(figure) => sum += i128::from(figure) * i128::from(mg),
                None => missing = true,
            }
        }
        ((sum / 100_000) as i64, missing)
    };
    let foods = counted(larder, id, allowed);
    let foods = foods.into_iter().map(|food| {
        let others = users
            .get(&food)
            .map_or(0, |users| users.len().saturating_sub(1));
        (larder.foods[food.index()].name.clone(), others)
    });
    let shut = shut::why(larder, id, allowed, &lines);
    let swap = shut::swap(larder, id, &lines, &shut, users);
    Surveyed {
        name: recipe.name.clone(),
        form: larder.forms[recipe.form.index()].clone(),
        cost_nano: i64::try_from(cost.sum::<i128>()).unwrap_or(i64::MAX),
        energy: gives(Nutrient::Energy),
        protein: gives(Nutrient::Protein),
        minutes_nano: recipe.minutes_nano,
        foods: foods.collect(),
        shut,
        swap,
    }
}
