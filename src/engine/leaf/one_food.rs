//! How one food is best bought and opened for known uses: counted out where that ends soon, and as an integer program
//! where it does not.
//!
//! Many units of several lots with different lives can be opened in more ways than can be counted: a canteen's week from
//! one food already. As a program (`food_program.rs`) the same question is a lot-sizing problem of a few hundred columns. Each
//! solution of it is priced as a way is, in whole numbers; what it proves holds but for [`ROUNDING`], as with lunches
//! divided over batches. What it leaves open is counted out after all, with the best way known.

use crate::engine::leaf::food_program::{Counted, FoodRows, FoodUse, Sums};
use crate::engine::mip::problem::{Budget, Problem, Sense};
use crate::engine::mip::solver::Settled;
use crate::engine::model::score::ROUNDING;
use crate::engine::packs::picked::way_of;
use crate::engine::packs::way::{Picked, Uses, Way};
use crate::engine::packs::ways::{Request, ways};
use crate::engine::stage::Stage;

/// Steps of counting ways before the program is asked.
const MANY_STEPS: u64 = 100_000;
/// Ways found one after the other before counting goes on with those.
const MOST_POINTS: usize = 40;
/// What a program may cost: table cells.
const MOST_WORK: u64 = 2_000_000_000;

/// The ways of a food that may matter; none if there are none, or if told to give up.
pub(in crate::engine) fn bought(
    stage: &Stage,
    food: u32,
    trips: u16,
    uses: &Uses,
    halted: &dyn Fn() -> bool,
) -> Vec<Way> {
    let model = stage.pool.foods[food as usize]
        .as_ref()
        .expect("counted foods only");
    let weights = &stage.gauges[0].weights;
    let last = stage.pool.last;
    let mut asked = Request {
        limited: stage.limited(food),
        steps: stage.gauges[0].steps(food),
        halted,
        most_steps: Some(MANY_STEPS),
        known: Vec::new(),
    };
    let counted = ways(model, weights, trips, uses, last, &asked);
    if counted.all || halted() {
        return counted.ways;
    }
    asked.most_steps = None;
    let of = FoodUse {
        weights,
        model,
        food,
        last,
        uses,
        demands: &[],
        windows: &[],
        shares: &[],
        trips,
    };
    let (settled, best) = by_programs(&of, &asked);
    if settled == Settled::Proved {
        return best;
    }
    asked.known = best;
    ways(model, weights, trips, uses, last, &asked).ways
}

/// A sum with a ceiling of which programs find all ways that matter, each with less of it than the one before.
/// What spoils is none: two ways may differ by less of it than fractions tell apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Axis {
    Foods,
    Packs,
}

impl Axis {
    fn of(self, way: &Way) -> i64 {
        match self {
            Self::Foods => way.score.foods,
            Self::Packs => way.packs,
        }
    }
}

/// The ways that programs find, and whether they proved that no other matters.
fn by_programs(of: &FoodUse, asked: &Request) -> (Settled, Vec<Way>) {
    let limited = asked.limited;
    let axis = match (limited.foods, limited.cost, limited.spoiled) {
        (false, false, false) => None,
        (true, false, false) => Some(Axis::Foods),
        (false, true, false) => Some(Axis::Packs),
        _ => return (Settled::Open, Vec::new()),
    };
    let mut found: Vec<Way> = Vec::new();
    let mut most: Option<(Axis, i64)> = None;
    while found.len() < MOST_POINTS && !(asked.halted)() {
        let (settled, best) = by_program(of, most, asked.halted);
        let Some(way) = best else {
            return (settled, found);
        };
        let less = most.is_none_or(|(axis, most)| axis.of(&way) <= most);
        if settled == Settled::Open || !less {
            found.push(way);
            break;
        }
        most = axis.map(|axis| (axis, axis.of(&way) - 1));
        found.retain(|old| !limited.dominates(&way, old));
        found.push(way);
        if most.is_none_or(|(_, most)| most < 0) {
            return (Settled::Proved, found);
        }
    }
    (Settled::Open, found)
}

/// The least way that the program finds, of those with so much of a sum at most, and whether it proved that none is less.
fn by_program(
    of: &FoodUse,
    most: Option<(Axis, i64)>,
    halted: &dyn Fn() -> bool,
) -> (Settled, Option<Way>) {
    let mut problem = Problem::default();
    let mut sums = Sums::default();
    let (buys, columns) = FoodRows::add(of, &mut problem, &mut sums);
    if let Some((axis, most)) = most {
        let terms = match axis {
            Axis::Foods => vec![(buys, 1)],
            Axis::Packs => std::mem::take(&mut sums.packs),
        };
        problem.row(terms, Sense::AtMost, most.into());
    }
    let constant = sums.constant;
    let mut best: Option<Way> = None;
    let mut price = |x: &[f64]| {
        let way = rounded(of, &columns, x);
        if let Some(way) = way
            && best.as_ref().is_none_or(|best| way.score < best.score)
        {
            best = Some(way);
        }
        let best = best.as_ref();
        best.map(|best| i128::from(best.score.objective) - constant)
    };
    let mut budget = Budget {
        left: MOST_WORK,
        stop: halted,
    };
    problem.tighten(std::mem::take(&mut sums.covers), &mut budget);
    let settled = problem.search(None, i128::from(ROUNDING), &mut budget, &mut price);
    (settled, best)
}

/// The way that a solution of the program means.
fn rounded(of: &FoodUse, columns: &[Counted], x: &[f64]) -> Option<Way> {
    let whole = |counted: &Counted| x[counted.column].round() as i64;
    let some = || columns.iter().filter(|counted| whole(counted) > 0);
    let packs = some().filter(|counted| counted.day.is_none());
    let openings = some().filter_map(|counted| Some((counted.lot, counted.day?, whole(counted))));
    let picked = Picked {
        packs: packs.map(|counted| (counted.lot, whole(counted))).collect(),
        openings: openings.collect(),
    };
    way_of((of.model, of.weights), (of.uses, of.last), &picked)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{BOTH, LAST, food, uses, weights};
    use crate::engine::packs::way::Limited;

    /// The programs of a small food end with the ways that counting all of them ends with.
    #[test]
    fn the_programs_find_what_counting_finds() {
        let mut next = numbers(21);
        let (mut proved, mut without, mut open, mut several) = (0, 0, 0, 0);
        for turn in 0..4_000 {
            let (model, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let limited = Limited {
                foods: turn % 3 == 1,
                cost: turn % 3 == 2,
                spoiled: false,
            };
            let asked = Request {
                limited,
                steps: None,
                halted: &|| false,
                most_steps: None,
                known: Vec::new(),
            };
            let counted = ways(&model, &weights, BOTH, &uses, LAST, &asked).ways;
            let of = FoodUse {
                weights: &weights,
                model: &model,
                food: 0,
                last: LAST,
                uses: &uses,
                demands: &[],
                windows: &[],
                shares: &[],
                trips: BOTH,
            };
            let (settled, found) = by_programs(&of, &asked);
            let told = || format!("{turn}: {counted:?} {found:?} {model:?} {weights:?} {uses:?}");
            // Of ways that come to the same a program finds any, and its bound holds but for rounding.
            let does_for = |a: &Way, b: &Way| {
                a.score.objective <= b.score.objective + ROUNDING
                    && (!limited.foods || a.score.foods <= b.score.foods)
                    && (!limited.cost || a.packs <= b.packs)
            };
            for way in &found {
                assert!(counted.iter().any(|one| does_for(one, way)), "{}", told());
            }
            if settled == Settled::Open {
                open += 1;
                continue;
            }
            for way in &counted {
                assert!(found.iter().any(|one| does_for(one, way)), "{}", told());
            }
            without += i32::from(counted.is_empty());
            proved += 1;
            several += i32::from(found.len() > 1);
        }
        assert!(
            proved > 3_000 && without > 200 && open < 400 && several > 10,
            "{proved} {without} {open} {several}"
        );
    }
}
