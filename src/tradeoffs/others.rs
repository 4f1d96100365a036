//! The next best weeks, and weeks near the best that are as different as can be.
//!
//! Two weeks count as different when their recipes differ, whatever the days and the
//! alternatives taken.

use super::base::Base;
use super::change::nano;
use super::desk::{Desk, Question};
use super::facts::{Case, Proof, recipes};
use crate::engine::{Apart, EngineFault};
use crate::larder::RecipeId;

/// Other weeks than the chosen one.
#[derive(Clone, Debug)]
pub struct Others {
    /// The next best, in order: each is the best that differs from all before it.
    pub next: Vec<Case>,
    /// How many were asked for.
    pub wanted: usize,
    /// Whether there are no others: proved.
    pub no_more: bool,
    /// How much worse than the best a week of `far` may be, 1e-9 minor units.
    pub margin_nano: i64,
    /// Each shares as few lunches as any within the margin can with the chosen week and
    /// those listed before it.
    pub far: Vec<FarWeek>,
}

/// A week unlike those before it.
#[derive(Clone, Debug)]
pub struct FarWeek {
    /// The best such week.
    pub case: Case,
    /// Most lunches it shares with any one of them. Proved: within the margin none shares
    /// fewer.
    pub shared: usize,
}

pub(super) fn others(
    desk: &mut Desk,
    base: &Base,
    wanted: usize,
    margin_minor: Option<i64>,
) -> Result<Others, EngineFault> {
    let best = base.solved.tally.objective_nano;
    let margin_nano = margin_minor.map_or((best / 10).abs(), nano);
    let mut told = Others {
        next: Vec::new(),
        wanted,
        no_more: false,
        margin_nano,
        far: Vec::new(),
    };
    next(desk, base, &mut told)?;
    if desk.larder.wishes.order.is_empty() {
        far(desk, base, &mut told)?;
    }
    Ok(told)
}

fn apart(weeks: &[Vec<RecipeId>], shared: usize) -> Question {
    Question {
        apart: weeks
            .iter()
            .map(|recipes| Apart {
                recipes: recipes.clone(),
                shared,
            })
            .collect(),
        ..Question::default()
    }
}

fn next(desk: &mut Desk, base: &Base, told: &mut Others) -> Result<(), EngineFault> {
    let larder = desk.larder;
    let but_one = larder.lunch_count() - 1;
    let mut weeks = vec![recipes(&base.solved.plan)];
    while told.next.len() < told.wanted {
        let answer = desk.ask(&apart(&weeks, but_one))?;
        told.no_more = answer.proof == Proof::Impossible;
        let Some(week) = answer.best() else { break };
        weeks.push(recipes(&week.plan));
        told.next.push(base.case(larder, &answer));
    }
    Ok(())
}

fn far(desk: &mut Desk, base: &Base, told: &mut Others) -> Result<(), EngineFault> {
    let larder = desk.larder;
    let most = base.solved.tally.objective_nano + told.margin_nano;
    let mut weeks = vec![recipes(&base.solved.plan)];
    // Fewer shared lunches than the week before would have been possible for it too.
    let mut least = 0;
    while told.far.len() < told.wanted {
        let mut found = None;
        for shared in least..larder.lunch_count() {
            let answer = desk.ask(&Question {
                objective_most_nano: Some(most),
                ..apart(&weeks, shared)
            })?;
            let Some(week) = answer.best() else {
                if answer.proof == Proof::Impossible {
                    continue;
                }
                return Ok(());
            };
            found = Some((shared, recipes(&week.plan), answer));
            break;
        }
        let Some((shared, recipes, answer)) = found else {
            return Ok(());
        };
        least = shared;
        weeks.push(recipes);
        let case = base.case(larder, &answer);
        told.far.push(FarWeek { case, shared });
    }
    Ok(())
}
