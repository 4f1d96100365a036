//! Asks whether the exact search finds the best week, or rightly says that there is none.
//!
//! The truth comes from trying every week of thousands of small random kitchens, by code
//! written from the model alone (`support/brute.rs`): same outcome, same figures in the order
//! in which weeks are compared, same recipes on the same days. Both weeks must pass the judge,
//! and the judge's sums must be those of the brute force. What it does not ask: larger kitchens
//! (`laws.rs`), and how fast the search is.
//!
//! `SCANT_SEEDS=from..to` runs other seeds than the usual ones.

mod support;

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;

use scant::engine::{self, Limits, Outcome};
use scant::larder::Larder;
use scant::plan::Plan;
use scant::rules;

use support::brute::{self, Answer};
use support::random::{Size, Sketch, draw};
use support::write_out;
use support::{key, read, side_by_side};

fn names(larder: &Larder, plan: &Plan) -> Vec<String> {
    plan.lunches
        .iter()
        .map(|l| larder.recipes[l.recipe.index()].name.clone())
        .collect()
}

/// What the judge has against the brute force's own week.
fn judged_brute(larder: &Larder, answer: &Answer) -> Result<(), String> {
    let Some(best) = &answer.best else {
        return Ok(());
    };
    let plan = write_out::plan(larder, best);
    match rules::judge(larder, &plan) {
        Err(findings) => Err(format!(
            "the judge refuses the brute force's week: {findings:?}\n{plan:?}"
        )),
        Ok(tally) if key(larder, &tally) != best.key => Err(format!(
            "the judge sums the brute force's week otherwise: {tally:?}, not {:?}\n{plan:?}",
            best.sums
        )),
        Ok(_) => Ok(()),
    }
}

/// Whether a bound is not above the best week's objective. With a strict order it is a bound
/// of the aim being settled when the run ended, which is not told: not asked here.
fn bound_fits(larder: &Larder, bound_nano: i64, best: &[i64; 8]) -> bool {
    !larder.wishes.order.is_empty() || bound_nano <= best[4]
}

/// What the engine and the brute force disagree about.
fn compared(larder: &Larder, answer: &Answer, unproved: &AtomicU64) -> Result<(), String> {
    let limits = Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    };
    let brute = answer.best.as_ref().map(|b| (b.key, b.recipes.clone()));
    match (engine::solve(larder, &limits), brute) {
        (Ok((Outcome::Impossible, _)), None) => Ok(()),
        (Ok((Outcome::Best(solved), _)), Some((best, recipes))) => {
            let judged = rules::judge(larder, &solved.plan);
            if judged.as_ref() != Ok(&solved.tally) {
                return Err(format!("the judge says {judged:?} of {solved:?}"));
            }
            let found = key(larder, &solved.tally);
            let same: Vec<_> = solved.plan.lunches.iter().map(|l| l.recipe).collect();
            if found == best && same == recipes {
                return Ok(());
            }
            let better = match found.cmp(&best) {
                std::cmp::Ordering::Less => "engine better",
                std::cmp::Ordering::Greater => "engine worse",
                std::cmp::Ordering::Equal => "another tie",
            };
            Err(format!(
                "{better}\nengine {found:?} {:?}\nbrute  {best:?} {recipes:?}\nengine: {:#?}\nbrute: {:#?}",
                names(larder, &solved.plan),
                solved,
                answer.best,
            ))
        }
        // Not proved: then the bound must be right, and the week no better than the best.
        (Ok((Outcome::Good { solved, bound_nano }, _)), Some((best, _)))
            if bound_fits(larder, bound_nano, &best) && key(larder, &solved.tally) >= best =>
        {
            unproved.fetch_add(1, Ordering::Relaxed);
            Ok(())
        }
        (Ok((Outcome::OutOfTime { bound_nano }, _)), best)
            if best
                .as_ref()
                .is_none_or(|(best, _)| bound_fits(larder, bound_nano, best)) =>
        {
            unproved.fetch_add(1, Ordering::Relaxed);
            Ok(())
        }
        (Ok((outcome, _)), _) => Err(format!("engine: {outcome:#?}\nbrute: {:#?}", answer.best)),
        (Err(fault), _) => Err(format!("engine fault: {fault}\nbrute: {:#?}", answer.best)),
    }
}

fn seeds(usual: std::ops::Range<u64>) -> std::ops::Range<u64> {
    let Ok(text) = std::env::var("SCANT_SEEDS") else {
        return usual;
    };
    let (from, to) = text.split_once("..").expect("from..to");
    from.parse().expect("a number")..to.parse().expect("a number")
}

/// Answers all seeds and gathers every disagreement.
fn agree(size: Size, usual: std::ops::Range<u64>) {
    let all = seeds(usual);
    let tried = AtomicU64::new(0);
    let unproved = AtomicU64::new(0);
    let seeds: Vec<u64> = all.clone().collect();
    let mut wrong: Vec<(u64, String)> = side_by_side(&seeds, |&seed| {
        let sketch = draw(seed, size);
        let larder = read(&sketch);
        let answer = brute::solve(&larder)?;
        tried.fetch_add(1, Ordering::Relaxed);
        let agreed =
            judged_brute(&larder, &answer).and_then(|()| compared(&larder, &answer, &unproved));
        let what = agreed.err()?;
        let text = format!("{size:?} seed {seed}\n{}\n{what}", sketch.print());
        Some((seed, text))
    });
    let (tried, total) = (tried.into_inner(), all.end - all.start);
    assert!(
        tried * 100 >= total * 90,
        "only {tried} of {total} kitchens are small enough to try"
    );
    let unproved = unproved.into_inner();
    assert!(
        unproved * 50 <= tried,
        "{unproved} of {tried} kitchens are answered without a proof"
    );
    wrong.sort_by_key(|(seed, text)| (text.len(), *seed));
    let count = wrong.len();
    let shortest = wrong
        .first()
        .map(|(_, text)| text.clone())
        .unwrap_or_default();
    let mut which: Vec<u64> = wrong.iter().map(|(seed, _)| *seed).collect();
    which.sort_unstable();
    assert!(
        count == 0,
        "{count} kitchens disagree: {which:?}; the shortest:\n{shortest}"
    );
}

#[test]
fn on_small_random_kitchens_the_search_finds_what_trying_everything_finds() {
    agree(Size::Small, 0..2000);
}

/// Seed 2025: an open tin on hand that earns credit for what is kept. The search weighed a week
/// against the best one before it had counted that food, so the better week was passed over.
#[test]
fn what_is_kept_is_counted_before_a_week_is_weighed() {
    agree(Size::Small, 2025..2026);
}

/// Seed 2450: a recipe that must be in the week, and another served twice beside it. The bound
/// took the cheapest other recipe only once, so the week with it twice was passed over.
#[test]
fn a_recipe_may_come_again_beside_one_that_must_come() {
    agree(Size::Small, 2450..2451);
}

/// Seed 7332: what is on hand earns more credit kept than a fresh pack costs. No more was bought
/// than was lacking, so the week that keeps it was passed over.
#[test]
fn what_is_on_hand_is_kept_where_that_earns_more() {
    agree(Size::Small, 7332..7333);
}

#[test]
fn on_long_weeks_of_few_recipes_the_search_finds_what_trying_everything_finds() {
    agree(Size::Long, 0..150);
}

#[test]
fn where_batches_share_out_several_foods_the_search_finds_what_trying_everything_finds() {
    agree(Size::Shared, 0..200);
}

/// Of 200 kitchens, a class or feature that stands for less than this share is as good as absent.
#[test]
fn the_generator_draws_every_class_and_every_feature_often_enough() {
    let drawn: Vec<(Sketch, Answer)> = (0..200_u64)
        .into_par_iter()
        .filter_map(|seed| {
            let sketch = draw(seed, Size::Small);
            let answer = brute::solve(&read(&sketch))?;
            Some((sketch, answer))
        })
        .collect();
    let share = |class: &dyn Fn(&Answer) -> bool| {
        drawn.iter().filter(|(_, answer)| class(answer)).count() * 100 / drawn.len()
    };
    // Tight: at most one order of recipes in four makes a week. Slack: two in three do.
    let classes = [
        ("impossible", share(&|a| a.best.is_none())),
        ("possible", share(&|a| a.best.is_some())),
        (
            "tight",
            share(&|a| a.possible > 0 && a.possible * 4 <= a.orders),
        ),
        ("slack", share(&|a| a.possible * 3 >= a.orders * 2)),
    ];
    let mut features: std::collections::BTreeMap<&str, usize> = support::random::FEATURES
        .iter()
        .map(|&feature| (feature, 0))
        .collect();
    for feature in drawn.iter().flat_map(|(sketch, _)| &sketch.features) {
        *features.entry(feature).or_default() += 1;
    }
    let rare_classes: Vec<_> = classes
        .iter()
        .filter(|(_, percent)| *percent < 10)
        .collect();
    let rare: Vec<_> = features
        .iter()
        .filter(|(_, count)| **count * 20 < drawn.len())
        .collect();
    assert!(
        rare_classes.is_empty() && rare.is_empty(),
        "{classes:?}\nrare: {rare:?}\nall: {features:?}"
    );
}
