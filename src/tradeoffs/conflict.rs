//! Turns an impossible kitchen into rules that cannot hold together, none to spare, and into
//! the ways out: of every rule with a number the nearest value that works (`nearest.rs`).
//!
//! Rules are dropped one by one: if the rest is still impossible the rule stays dropped,
//! else it is part of the conflict. What remains is impossible together, and dropping any
//! one of them makes the rest possible. What is tried first is kept only if nothing else can
//! be blamed, so the options of this run come first, then bans and pins: they are blamed last
//! among equals.

use super::change::{Change, changed};
use super::desk::{Desk, Question};
use super::nearest::{Any, Gives, Nearest, Seeker, any, possible};
use super::pairs::{self, Pairs};
use super::rules::{Rule, in_force};
use super::way_out::{Lever, Way, middle, way_out};
use crate::engine::{EngineFault, Solved};
use crate::explain::{Conflict, TooFew, WayOut};
use crate::larder::allowed::allowed_alternatives;
use crate::larder::{Larder, RecipeId};
use crate::plan::Plan;
use crate::rules::judge;

/// Whether a rule was set for this run and is not the kitchen's own.
fn own(rule: Rule, larder: &Larder, plain: &Larder) -> bool {
    let (now, kitchen) = (&larder.wishes, &plain.wishes);
    match rule {
        // What rests stands behind the bans of the kitchen and of this run, in both.
        Rule::Without(at) => {
            let bans = kitchen.without.iter().filter(|target| !target.rests());
            at >= bans.count()
        }
        Rule::Rest => true,
        Rule::With(at) => at >= kitchen.with.len(),
        Rule::Cap => (now.cap, now.cap_by) != (kitchen.cap, kitchen.cap_by),
        Rule::Budget => now.budget_minor != kitchen.budget_minor,
        _ => false,
    }
}

/// Finds a conflict in a kitchen that was proved impossible, and ways out; `None` if stopped
/// before the conflict was found. `plain` is the kitchen without the options of this run.
///
/// # Errors
/// Those of the engine.
pub fn conflict(
    larder: &Larder,
    plain: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Conflict>, EngineFault> {
    let mut rules = in_force(larder);
    rules.sort_by_key(|&rule| !own(rule, larder, plain));
    let mut dropped: Vec<Change> = Vec::new();
    let mut kept = Vec::new();
    for rule in rules {
        dropped.push(Change::Drop(rule));
        match possible(larder, &dropped, threads, stop)? {
            Some(true) => {
                dropped.pop();
                kept.push(rule);
            }
            Some(false) => {}
            None => return Ok(None),
        }
    }
    let (ways, open) = ways_out(larder, &kept, threads, stop)?;
    let pairs = if ways.is_empty() {
        pairs::pairs(larder, &kept, &open, threads, stop)?
    } else {
        Pairs::default()
    };
    Ok(Some(Conflict {
        rules: kept.iter().map(|rule| rule.told(larder)).collect(),
        ways,
        ways_settled: open.is_empty(),
        pairs: pairs.ways,
        pairs_settled: pairs.settled,
        too_few: too_few(larder),
    }))
}

/// Counts the recipes that bans, rest and days leave; none if they are enough for the lunches.
fn too_few(larder: &Larder) -> Option<TooFew> {
    // A rule less never makes figures larger.
    let bans_alone = changed(larder, &[Change::Drop(Rule::Rest)]).ok()?;
    let (by_bans, left) = (
        allowed_alternatives(&bans_alone),
        allowed_alternatives(larder),
    );
    let mut told = TooFew {
        recipes: larder.recipes.len(),
        banned: 0,
        resting: 0,
        without_day: 0,
        left: 0,
        repeats: larder.wishes.repeats,
        lunches: larder.lunch_count(),
        needed: 0,
    };
    for (at, recipe) in larder.recipes.iter().enumerate() {
        let id = RecipeId::new(at);
        let count = if !by_bans.of(id).can_be_served() {
            &mut told.banned
        } else if !left.of(id).can_be_served() {
            &mut told.resting
        } else if !recipe.days.contains(&true) {
            &mut told.without_day
        } else {
            &mut told.left
        };
        *count += 1;
    }
    let repeats = usize::try_from(told.repeats).unwrap_or(1).max(1);
    told.needed = told.lunches.div_ceil(repeats);
    (told.left < told.needed).then_some(told)
}

/// How each rule of a conflict, and the trips, must give way for a week to exist while all other
/// rules stay; and the levers of which it was not settled whether and how little they do.
///
/// All nearest values first, then the best week of each: stopped in between, the values stand.
fn ways_out(
    larder: &Larder,
    rules: &[Rule],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<(Vec<WayOut>, Vec<Lever>), EngineFault> {
    let seeker = Seeker {
        larder,
        threads,
        stop,
    };
    let levers = rules.iter().copied().map(Lever::Rule);
    let mut open = Vec::new();
    let mut found: Vec<(Lever, Nearest)> = Vec::new();
    for lever in levers.chain(middle(larder).map(Lever::Trip)) {
        let gives = match lever {
            Lever::Rule(rule) => seeker.nearest(rule, lever.notches(larder))?,
            Lever::Trip(_) => match any(larder, &[lever.loosest()], threads, stop)? {
                Any::Week(plan) => Gives::Way(Nearest {
                    change: lever.loosest(),
                    plan,
                    proved: true,
                }),
                Any::None => Gives::Never,
                Any::Open => Gives::Open,
            },
        };
        match gives {
            Gives::Never => {}
            Gives::Open => open.push(lever),
            Gives::Way(nearest) => found.push((lever, nearest)),
        }
    }
    let mut desk = Desk::new(larder, threads, stop, None);
    let asked: Vec<Question> = found
        .iter()
        .map(|(_, nearest)| Question::one(nearest.change))
        .collect();
    let answers = desk.ask_all(&asked)?;
    let mut ways: Vec<(Vec<i64>, WayOut)> = Vec::new();
    for ((lever, nearest), answer) in found.iter().zip(&answers) {
        if !(nearest.proved && answer.proof.is_settled()) {
            open.push(*lever);
        }
        let by = [(*lever, nearest.change)];
        let way = Way {
            by: &by,
            nearest: Some(nearest),
        };
        // Stopped before its best week was found, the one that was met on the way is told.
        let met = nearest.plan.as_ref();
        let met = met.and_then(|plan| week(larder, nearest.change, plan));
        let week = answer.week.as_deref().or(met.as_ref());
        ways.extend(way_out(larder, &way, week, answer));
    }
    ways.sort_by(|a, b| a.0.cmp(&b.0));
    open.dedup();
    Ok((ways.into_iter().map(|(_, way)| way).collect(), open))
}

/// A week as the judge sees it with a change.
fn week(larder: &Larder, change: Change, plan: &Plan) -> Option<Solved> {
    let larder = changed(larder, &[change]).ok()?;
    let tally = judge(&larder, plan).ok()?;
    let plan = plan.clone();
    Some(Solved { plan, tally })
}
