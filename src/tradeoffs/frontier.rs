//! Every combination of bill, counted foods and spoiled value that none beats.
//!
//! Within a box (at most so many foods, at most so much spoiled) the least bill, then the
//! least spoiled, then the fewest foods is a point of the frontier: whatever beat it would be
//! in the box. Any other point of the box has fewer foods or less spoiled, so it lies in one
//! of two smaller boxes. When no box is left every point was found, and none twice.
//!
//! Bill and what spoils are one sum for the search: prices are taken so many times over that
//! what spoils is less than one minor unit of them. Where sums would grow too large for that, a
//! tenth, a hundredth or a thousandth of what spoils, whose weights are then rounded. Thousands of ways to cook
//! the same lunches have one bill, and only what spoils tells them apart.
//!
//! Spoiled values closer than a hundredth of a minor unit are the same: lunches divided over
//! batches in whole milligrams would go on for ever otherwise. A point need not be the very
//! best of its box in what spoils; a smaller box finds that, and what it beats is left out at
//! the end.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::base::Base;
use super::change::{Change, Times, changed};
use super::desk::{Answer, Desk, Question};
use super::facts::{Brief, Proof, brief};
use crate::engine::{EngineFault, Solved};
use crate::larder::{Larder, MILLI, NANO};
use crate::rules::judge;

/// The frontier.
#[derive(Clone, Debug)]
pub struct Frontier {
    /// By bill, rising; no two alike, none beaten by another.
    pub points: Vec<FrontierPoint>,
    /// Proved: these are all.
    pub complete: bool,
    /// The chosen week is one of them.
    pub has_chosen: bool,
    /// What one more counted food saves, for each number of foods: complete frontiers only.
    pub knees: Vec<Knee>,
}

/// A combination that none beats.
#[derive(Clone, Debug)]
pub struct FrontierPoint {
    /// Price of all packs.
    pub bill_minor: i64,
    /// Counted foods bought.
    pub foods: i64,
    /// Value of what spoils, 1e-9 minor units.
    pub spoiled_nano: i64,
    /// It is the chosen week itself.
    pub chosen: bool,
    /// No worse than the chosen week in all three figures, and better in one.
    pub beats_chosen: bool,
    /// A week that has them: the chosen one if it does.
    pub week: Brief,
}

impl Frontier {
    /// Returns the points of the least bill, of the fewest foods and of the least thrown out; of several
    /// the one that is better in the other figures, bill first.
    pub fn choices(&self) -> [Option<usize>; 3] {
        let best = |key: fn(&FrontierPoint) -> (i64, i64, i64)| {
            let all = self.points.iter().enumerate();
            all.min_by_key(|(_, point)| key(point)).map(|(at, _)| at)
        };
        [
            best(|point| (point.bill_minor, point.foods, point.spoiled_nano)),
            best(|point| (point.foods, point.bill_minor, point.spoiled_nano)),
            best(|point| (point.spoiled_nano, point.bill_minor, point.foods)),
        ]
    }
}

/// The least bill with a number of foods.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Knee {
    /// Counted foods, at most.
    pub foods: i64,
    /// The least bill with them.
    pub bill_minor: i64,
    /// What the last of them saves; none for the fewest.
    pub saves_minor: Option<i64>,
}

/// Bills of the chosen week that the dearest week of the frontier is taken for at first.
const FIRST_BILLS: i64 = 4;

/// Prices are taken fewer times over than this power of ten: more would overflow.
const MOST_POWER: u32 = 12;

/// Weights of what spoils beside a bill, thousandths: the first that sums have room for.
const SPOILED_MILLI: [i64; 4] = [1_000, 100, 10, 1];

/// Spoiled values this close are the same, 1e-9 minor units.
const CLOSE: i64 = NANO / 100;

/// Most foods and most spoiled; none is no limit.
type Limits = (Option<i64>, Option<i64>);

/// Bill, foods, spoiled.
type Point = (i64, i64, i64);

fn holds(outer: Limits, inner: Limits) -> bool {
    let within = |outer: Option<i64>, inner: Option<i64>| match (outer, inner) {
        (None, _) => true,
        (Some(outer), Some(inner)) => inner <= outer,
        (Some(_), None) => false,
    };
    within(outer.0, inner.0) && within(outer.1, inner.1)
}

fn inside(limits: Limits, point: Point) -> bool {
    limits.0.is_none_or(|most| point.1 <= most) && limits.1.is_none_or(|most| point.2 <= most)
}

pub(super) fn frontier(desk: &mut Desk, base: &Base) -> Result<Frontier, EngineFault> {
    let mut points: BTreeMap<Point, Arc<Solved>> = BTreeMap::new();
    // Boxes answered: the point, or none if no week lies inside.
    let mut answered: Vec<(Limits, Option<Point>)> = Vec::new();
    let mut open: Vec<Limits> = vec![(None, None)];
    let mut complete = true;
    let mut times = times_for(desk.larder, FIRST_BILLS * base.solved.tally.packs_minor);
    while !open.is_empty() {
        open.sort_unstable();
        open.dedup();
        // A box inside another one may be answered by it: later.
        let (now, later): (Vec<Limits>, Vec<Limits>) = open
            .iter()
            .copied()
            .partition(|&one| !open.iter().any(|&other| other != one && holds(other, one)));
        let mut next = later;
        let known = |limits: Limits| {
            answered.iter().find_map(|&(outer, point)| {
                let fits = holds(outer, limits) && point.is_none_or(|p| inside(limits, p));
                fits.then_some(point)
            })
        };
        let fresh: Vec<Limits> = now
            .iter()
            .copied()
            .filter(|&limits| known(limits).is_none())
            .collect();
        let old: Vec<(Limits, Option<Point>)> = now
            .iter()
            .filter_map(|&limits| known(limits).map(|point| (limits, point)))
            .collect();
        let answers = ask(desk, &fresh, &mut times)?;
        let mut found = old;
        for (limits, answer) in fresh.into_iter().zip(answers) {
            match (answer.proof, answer.best()) {
                (_, Some(week)) => {
                    let tally = &week.tally;
                    let bill_minor = tally.packs_minor / times.bill.max(1);
                    let point = (bill_minor, tally.foods, tally.spoiled_nano);
                    points.entry(point).or_insert_with(|| Arc::clone(week));
                    found.push((limits, Some(point)));
                }
                (Proof::Impossible, None) => found.push((limits, None)),
                _ => complete = false,
            }
        }
        for (limits, point) in found {
            answered.push((limits, point));
            let Some((_, foods, spoiled)) = point else {
                continue;
            };
            if foods > 0 {
                next.push((Some(foods - 1), limits.1));
            }
            if spoiled > CLOSE {
                next.push((limits.0, Some(spoiled - CLOSE - 1)));
            }
        }
        open = next;
    }
    // The chosen week is a week like any other: where it is on the frontier, it stands there
    // itself and not another one with its figures.
    points.insert(figures(&base.solved), Arc::clone(&base.solved));
    let all: Vec<Point> = points.keys().copied().collect();
    let beats = |one: &Point, other: &Point| {
        one != other && one.0 <= other.0 && one.1 <= other.1 && one.2 <= other.2
    };
    points.retain(|point, _| !all.iter().any(|other| beats(other, point)));
    Ok(told(desk, base, &points, complete))
}

fn figures(week: &Solved) -> Point {
    let tally = &week.tally;
    (tally.packs_minor, tally.foods, tally.spoiled_nano)
}

/// The most that may spoil in a week of this bill or a smaller one, minor units: at most all that
/// is there. What a milligram is worth is rounded: twice over.
fn most_spoiled(larder: &Larder, bill_minor: i64) -> i128 {
    let stock = larder.stock.iter().map(|stock| {
        let value = i128::from(stock.left_mg) * i128::from(stock.value_nano);
        value / i128::from(NANO)
    });
    2 * (i128::from(bill_minor) + stock.sum::<i128>() + 1)
}

/// Whether so much that spoils weighs less than a minor unit of the bill.
fn outweighs(times: Times, most_spoiled: i128) -> bool {
    i128::from(times.bill) * i128::from(MILLI) > most_spoiled * i128::from(times.spoiled_milli)
}

/// How many times over a bill is taken, so that what spoils in a week of this bill or a smaller
/// one weighs less than a minor unit; the bill alone where prices are too large for that.
fn times_for(larder: &Larder, bill_minor: i64) -> Times {
    let most = most_spoiled(larder, bill_minor);
    let weighed = |spoiled_milli: i64| {
        let powers = (0..MOST_POWER).map(|power| 10_i64.pow(power));
        let mut times = powers.map(|bill| Times {
            bill,
            spoiled_milli,
        });
        let times = times.find(|&times| outweighs(times, most))?;
        changed(larder, &[Change::Bill(times)])
            .is_ok()
            .then_some(times)
    };
    SPOILED_MILLI
        .into_iter()
        .find_map(weighed)
        .unwrap_or_default()
}

/// The least bill in each box. Should one be so large that what spoils might outweigh a minor
/// unit, all are asked again with prices taken more times over.
fn ask(desk: &mut Desk, boxes: &[Limits], times: &mut Times) -> Result<Vec<Answer>, EngineFault> {
    loop {
        let questions: Vec<Question> = boxes
            .iter()
            .map(|&(foods_most, spoiled_most_nano)| Question {
                changes: vec![Change::Bill(*times)],
                foods_most,
                spoiled_most_nano,
                ..Question::default()
            })
            .collect();
        let answers = desk.ask_all(&questions)?;
        let weeks = answers.iter().filter_map(|answer| answer.week.as_ref());
        let bills = weeks.map(|week| week.tally.packs_minor / times.bill.max(1));
        let dearest = bills.max().unwrap_or(0);
        if times.bill == 0 || outweighs(*times, most_spoiled(desk.larder, dearest)) {
            return Ok(answers);
        }
        *times = times_for(desk.larder, dearest);
    }
}

fn told(
    desk: &Desk,
    base: &Base,
    points: &BTreeMap<Point, Arc<Solved>>,
    complete: bool,
) -> Frontier {
    let larder = desk.larder;
    let chosen = figures(&base.solved);
    let points: Vec<FrontierPoint> = points
        .iter()
        .map(|(&point, week)| {
            // Its objective is that of the kitchen's own aims.
            let tally = judge(larder, &week.plan).unwrap_or_else(|_| week.tally.clone());
            FrontierPoint {
                bill_minor: point.0,
                foods: point.1,
                spoiled_nano: point.2,
                chosen: point == chosen,
                beats_chosen: point != chosen
                    && point.0 <= chosen.0
                    && point.1 <= chosen.1
                    && point.2 <= chosen.2,
                week: brief(larder, &week.plan, &tally),
            }
        })
        .collect();
    Frontier {
        has_chosen: points.iter().any(|point| point.chosen),
        knees: if complete { knees(&points) } else { Vec::new() },
        points,
        complete,
    }
}

fn knees(points: &[FrontierPoint]) -> Vec<Knee> {
    let mut counts: Vec<i64> = points.iter().map(|point| point.foods).collect();
    counts.sort_unstable();
    counts.dedup();
    let (Some(&fewest), Some(&most)) = (counts.first(), counts.last()) else {
        return Vec::new();
    };
    let mut before: Option<i64> = None;
    (fewest..=most)
        .filter_map(|foods| {
            let within = points.iter().filter(|point| point.foods <= foods);
            let bill_minor = within.map(|point| point.bill_minor).min()?;
            let saves_minor = before.map(|before| before - bill_minor);
            before = Some(bill_minor);
            Some(Knee {
                foods,
                bill_minor,
                saves_minor,
            })
        })
        .collect()
}
