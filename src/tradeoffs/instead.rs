//! What else a day could have: the best week with each other recipe on it, held against the chosen
//! week. Insisting on a recipe only shuts weeks out, so one list of the weeks near the best one
//! answers most of these (`engine/near.rs`).

use std::sync::Arc;

use super::base::Base;
use super::desk::Answer;
use super::facts::Case;
use crate::engine::{EngineFault, Given, Limits, NearWeeks, Solved, solve_given};
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{Day, Larder, Pin, RecipeId};

/// How far the list reaches beyond the best objective, and the work it may take.
const NEAR_PART: i64 = 6;
const MOST_NEAR_WORK: u64 = 40_000_000;

/// Tells of each recipe that may be served on a day and is not, by name, as soon as it is settled or
/// took `most_work`; ends when `stop` says so.
///
/// # Errors
/// Those of the engine.
pub fn instead(
    larder: &Larder,
    week: &Solved,
    day: Day,
    (threads, most_work): (usize, u64),
    stop: &(dyn Fn() -> bool + Sync),
    tell: &mut dyn FnMut(String, Case),
) -> Result<(), EngineFault> {
    let at = usize::from(day).saturating_sub(1);
    let Some(now) = week.plan.lunches.get(at).map(|lunch| lunch.recipe) else {
        return Ok(());
    };
    let limits = Limits {
        threads,
        stop,
        progress: None,
    };
    let best = week.tally.objective_nano;
    let below = best.saturating_add((best / NEAR_PART).abs());
    let near = NearWeeks::list(larder, below, MOST_NEAR_WORK, &limits)?;
    let allowed = allowed_alternatives(larder);
    let base = Base {
        solved: Arc::new(week.clone()),
    };
    let ordered = !larder.wishes.order.is_empty();
    for (place, recipe) in larder.recipes.iter().enumerate() {
        let id = RecipeId::new(place);
        let may = recipe.days.get(at).copied().unwrap_or(false);
        if id == now || !may || !allowed.of(id).can_be_served() {
            continue;
        }
        if stop() {
            break;
        }
        // What is given beside a larder names no day, so the larder itself wishes for it.
        let insisted = larder.changed(|new| new.wishes.with.push(Pin::Recipe(id, Some(day))));
        let Ok(insisted) = insisted else {
            continue;
        };
        let given = Given {
            near: near.as_ref(),
            start: Some(&week.plan),
            most_work: Some(most_work),
            ..Given::default()
        };
        let (outcome, _) = solve_given(&insisted, &given, &limits)?;
        let answer = Answer::new(outcome, ordered);
        tell(recipe.name.clone(), base.case(larder, &answer));
    }
    Ok(())
}
