//! The changes a cook would ask about first, for the end of a week.

use std::cmp::Reverse;
use std::sync::Arc;

use super::base::Base;
use super::change::Change;
use super::desk::{Desk, Question};
use super::prices::without;
use super::rules::Rule;
use crate::engine::{Apart, EngineFault, Solved};
use crate::explain::{Asked, Case, Proof, Telling};
use crate::larder::{CapBy, Larder};

use super::facts;
use super::reuse;

/// Works out what comes of loosening a rule that counts and that the week runs into, of dropping
/// the limit of minutes in the kitchen that most days have, of giving up the food that serves most lunches, and of at least one other recipe. Each
/// search ends after `most_work`, so that a week is never long in telling;
/// what is then not settled says so.
///
/// # Errors
/// Those of the engine.
pub fn telling(
    larder: &Larder,
    week: &Solved,
    threads: usize,
    most_work: u64,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Vec<Telling>, EngineFault> {
    let mut desk = Desk::new(larder, threads, stop, None);
    desk.most_work = Some(most_work);
    let week = Arc::new(week.clone());
    desk.start_from(Arc::clone(&week));
    let base = Base { solved: week };
    let mut asked = Vec::new();
    if let Some(rule) = met(larder, &base) {
        let told = Asked::Looser(rule.told_looser(larder, 1));
        asked.push((told, Question::one(Change::Loosen(rule, 1))));
    }
    if let Some(rule) = mornings(larder) {
        let told = Asked::Dropped(rule.told(larder));
        asked.push((told, Question::one(Change::Drop(rule))));
    }
    if let Some((told, question)) = most_used(larder, &base) {
        asked.push((told, question));
    }
    let recipes = facts::recipes(&base.solved.plan);
    let others = Question {
        apart: vec![Apart {
            shared: recipes.len() - 1,
            recipes,
        }],
        ..Question::default()
    };
    asked.push((Asked::Others, others));
    let questions: Vec<Question> = asked.iter().map(|(_, question)| question.clone()).collect();
    let answers = desk.ask_all(&questions)?;
    Ok(asked
        .into_iter()
        .zip(&answers)
        .map(|((what, _), answer)| {
            let case = base.case(larder, answer);
            let insist = matches!(what, Asked::Others)
                .then(|| insist(larder, &base, &case))
                .flatten();
            Telling { what, case, insist }
        })
        .collect())
}

/// A recipe of another week that the chosen one does not serve at all.
fn insist(larder: &Larder, base: &Base, case: &Case) -> Option<String> {
    let served: Vec<&str> = facts::recipes(&base.solved.plan)
        .iter()
        .map(|recipe| larder.recipes[recipe.index()].name.as_str())
        .collect();
    let switch = case.switch.as_ref().filter(|_| case.proof == Proof::Best)?;
    let mut come = switch.come.iter();
    come.find(|(_, name)| !served.contains(&name.as_str()))
        .map(|(_, name)| name.clone())
}

/// The first rule that counts and that the week has used up: foods, then forms, then
/// proteins.
fn met(larder: &Larder, base: &Base) -> Option<Rule> {
    let wishes = &larder.wishes;
    let tally = &base.solved.tally;
    let counted = match wishes.cap_by {
        CapBy::Foods => tally.foods,
        CapBy::Families => tally.families,
    };
    if wishes.cap.is_some_and(|cap| counted >= cap) {
        return Some(Rule::Cap);
    }
    let recipes = facts::recipes(&base.solved.plan);
    let recipe = |id: &crate::larder::RecipeId| &larder.recipes[id.index()];
    let most = |same: &dyn Fn(usize, usize) -> bool| {
        let counts = (0..recipes.len()).map(|a| (0..recipes.len()).filter(|&b| same(a, b)).count());
        counts.max().unwrap_or(0) as i64
    };
    let forms = most(&|a, b| recipe(&recipes[a]).form == recipe(&recipes[b]).form);
    if wishes.per_form.is_some_and(|limit| forms >= limit) {
        return Some(Rule::PerForm);
    }
    let proteins = most(&|a, b| {
        let protein = recipe(&recipes[a]).protein;
        protein.is_some() && protein == recipe(&recipes[b]).protein
    });
    let met = wishes.per_protein.is_some_and(|limit| proteins >= limit);
    met.then_some(Rule::PerProtein)
}

/// The limit of minutes in the kitchen that most days have, the shortest of several: what sends
/// work to other days.
fn mornings(larder: &Larder) -> Option<Rule> {
    let limits = || larder.wishes.kitchen_minutes_nano.iter().flatten();
    let days = |limit: i64| limits().filter(|&&other| other == limit).count();
    let most = limits().max_by_key(|&&limit| (days(limit), Reverse(limit)));
    most.map(|&limit| Rule::KitchenMinutes(limit))
}

/// The counted food bought that serves most lunches, the dearest among equals.
fn most_used(larder: &Larder, base: &Base) -> Option<(Asked, Question)> {
    let rows = reuse::reuse(larder, base).into_iter();
    let row = rows
        .filter(|row| row.bought_mg > 0)
        .max_by_key(|row| (row.shares.len(), row.price_minor, Reverse(row.food.clone())))?;
    let bought = facts::bought(larder, &base.solved.plan);
    let food = bought
        .into_iter()
        .find(|&food| facts::food_name(larder, food) == row.food)?;
    let told = Asked::Without {
        lunches: row.shares.len(),
        food: row.food,
    };
    Some((told, without(food)))
}
