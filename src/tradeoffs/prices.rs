//! What each rule, food and recipe costs.

use super::base::{Base, key};
use super::change::Change;
use super::desk::{Answer, Desk, Question};
use super::facts;
use super::facts::{Case, food_name, recipe_name};
use super::rules::{Rule, in_force, times_met};
use crate::engine::EngineFault;
use crate::explain::Clash;
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{FoodId, Larder, RecipeId};
use crate::plan::Lot;

/// What a rule costs.
#[derive(Clone, Debug)]
pub struct RulePrice {
    /// The rule.
    pub rule: Clash,
    /// The week without it; none for keeping and ripening times.
    pub without: Option<Case>,
    /// The rule a notch looser and the week then; none where there is no notch, or where the
    /// rule costs nothing anyway.
    pub looser: Option<(Clash, Case)>,
    /// Proved: without the rule (a day longer, for keeping and ripening times) the week is no
    /// better.
    pub free: bool,
}

/// What doing without a food costs.
#[derive(Clone, Debug)]
pub struct FoodPrice {
    /// The food.
    pub food: String,
    /// Bought, or on hand only.
    pub bought: bool,
    /// The week without it.
    pub without: Case,
}

/// What recipes cost.
#[derive(Clone, Debug)]
pub struct RecipePrices {
    /// The recipes left out, each with the best week that has it: the cheapest first, those
    /// that no week can have last.
    pub left_out: Vec<(String, Case)>,
    /// The recipes of the week, each with the best week without it: the one that gains most
    /// first.
    pub kept: Vec<(String, Case)>,
}

fn all_rules(larder: &Larder, base: &Base) -> Vec<Rule> {
    let mut rules = in_force(larder);
    rules.extend(times_met(larder, &base.solved.plan));
    rules
}

/// Dropped if it may be; a notch looser if not.
fn loosest(rule: Rule) -> Question {
    Question::one(if rule.may_go() {
        Change::Drop(rule)
    } else {
        Change::Loosen(rule, 1)
    })
}

pub(super) fn rule_questions(larder: &Larder, base: &Base) -> Vec<Question> {
    all_rules(larder, base).into_iter().map(loosest).collect()
}

/// What sorts cases: figures of the best week less those of the chosen one; what is not
/// settled, then what is impossible, last.
fn rank(desk: &Desk, base: &Base, answer: &Answer) -> (u8, Vec<i64>) {
    match answer.best() {
        Some(week) => (0, key(&desk.larder.wishes.order, week)),
        None if !answer.proof.is_settled() => (1, key(&desk.larder.wishes.order, &base.solved)),
        None => (2, Vec::new()),
    }
}

pub(super) fn rules(desk: &mut Desk, base: &Base) -> Result<Vec<RulePrice>, EngineFault> {
    let larder = desk.larder;
    let all = all_rules(larder, base);
    let firsts: Vec<Question> = all.iter().copied().map(loosest).collect();
    let firsts = desk.ask_all(&firsts)?;
    let order = &larder.wishes.order;
    let now = key(order, &base.solved);
    let free: Vec<bool> = firsts
        .iter()
        .map(|answer| answer.best().is_some_and(|week| key(order, week) >= now))
        .collect();
    // What costs nothing dropped costs nothing loosened.
    let notch = |at: usize| all[at].may_go() && all[at].has_notches(larder) && !free[at];
    let asked: Vec<usize> = (0..all.len()).filter(|&at| notch(at)).collect();
    let seconds: Vec<Question> = asked
        .iter()
        .map(|&at| Question::one(Change::Loosen(all[at], 1)))
        .collect();
    let seconds = desk.ask_all(&seconds)?;
    let mut told = Vec::new();
    for (at, &rule) in all.iter().enumerate() {
        let first = base.case(larder, &firsts[at]);
        let second = asked.iter().position(|&other| other == at);
        let looser = match second {
            Some(second) => Some(base.case(larder, &seconds[second])),
            None if rule.may_go() => None,
            None => Some(first.clone()),
        };
        told.push((
            rank(desk, base, &firsts[at]),
            RulePrice {
                rule: rule.told(larder),
                without: rule.may_go().then_some(first),
                looser: looser.map(|case| (rule.told_looser(larder, 1), case)),
                free: free[at],
            },
        ));
    }
    // The cheapest week without it first: the rule that costs most.
    told.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(told.into_iter().map(|(_, price)| price).collect())
}

/// Counted foods the week uses, and whether any of each is bought.
fn used(larder: &Larder, base: &Base) -> Vec<(FoodId, bool)> {
    let bought = facts::bought(larder, &base.solved.plan);
    let mut foods: Vec<FoodId> = bought.iter().copied().collect();
    for opening in &base.solved.plan.openings {
        if let Lot::Stock(id) = opening.lot {
            foods.push(larder.stock[id.index()].food);
        }
    }
    foods.sort_unstable();
    foods.dedup();
    foods
        .into_iter()
        .map(|food| (food, bought.contains(&food)))
        .collect()
}

pub(super) fn without(food: FoodId) -> Question {
    Question::one(Change::BanFood(food))
}

pub(super) fn food_questions(larder: &Larder, base: &Base) -> Vec<Question> {
    let foods = used(larder, base).into_iter();
    foods.map(|(food, _)| without(food)).collect()
}

pub(super) fn foods(desk: &mut Desk, base: &Base) -> Result<Vec<FoodPrice>, EngineFault> {
    let larder = desk.larder;
    let mut told = Vec::new();
    for (food, bought) in used(larder, base) {
        let answer = desk.ask(&without(food))?;
        told.push((
            rank(desk, base, &answer),
            FoodPrice {
                food: food_name(larder, food),
                bought,
                without: base.case(larder, &answer),
            },
        ));
    }
    told.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(told.into_iter().map(|(_, price)| price).collect())
}

/// Recipes left out that bans and days allow, and recipes of the week.
fn split(larder: &Larder, base: &Base) -> (Vec<RecipeId>, Vec<RecipeId>) {
    let mut kept = facts::recipes(&base.solved.plan);
    kept.dedup();
    let allowed = allowed_alternatives(larder);
    let left_out = allowed
        .servable()
        .filter(|id| larder.recipes[id.index()].days.contains(&true) && !kept.contains(id));
    (left_out.collect(), kept)
}

pub(super) fn recipe_questions(larder: &Larder, base: &Base) -> Vec<Question> {
    let (left_out, kept) = split(larder, base);
    let pins = left_out.into_iter().map(Change::Pin);
    let bans = kept.into_iter().map(Change::BanRecipe);
    pins.chain(bans).map(Question::one).collect()
}

pub(super) fn recipes(desk: &mut Desk, base: &Base) -> Result<RecipePrices, EngineFault> {
    let larder = desk.larder;
    let (left_out, kept) = split(larder, base);
    let mut sorted = |list: Vec<RecipeId>, change: fn(RecipeId) -> Change, dearest: bool| {
        let mut told = Vec::new();
        for recipe in list {
            let answer = desk.ask(&Question::one(change(recipe)))?;
            let case = base.case(larder, &answer);
            told.push((rank(desk, base, &answer), recipe_name(larder, recipe), case));
        }
        told.sort_by(|a, b| {
            let by_rank = a.0.cmp(&b.0);
            let by_rank = if dearest { by_rank.reverse() } else { by_rank };
            by_rank.then_with(|| a.1.cmp(&b.1))
        });
        let told = told.into_iter().map(|(_, name, case)| (name, case));
        Ok::<Vec<(String, Case)>, EngineFault>(told.collect())
    };
    Ok(RecipePrices {
        left_out: sorted(left_out, Change::Pin, false)?,
        kept: sorted(kept, Change::BanRecipe, true)?,
    })
}
