//! How one food is best bought and opened for known uses: counted out where that ends soon, and as an integer program
//! where it does not.
//!
//! Many units of several lots with different lives can be opened in more ways than can be counted: a canteen's week from
//! one food already. As a program (`food_program.rs`) the same question is a lot-sizing problem of a few hundred columns. Each
//! solution of it is priced as a way is, in whole numbers; what it proves holds but for [`ROUNDING`], as with lunches
//! divided over batches. What it leaves open is counted out after all, with the best way known.

use crate::engine::leaf::food_program::{Counted, FoodRows, FoodUse, Sums};
use crate::engine::mip::problem::{Budget, Problem};
use crate::engine::mip::solver::Settled;
use crate::engine::model::score::ROUNDING;
use crate::engine::packs::picked::way_of;
use crate::engine::packs::way::{Picked, Uses, Way};
use crate::engine::packs::ways::{Request, ways};
use crate::engine::stage::Stage;

/// Steps of counting ways before the program is asked.
const MANY_STEPS: u64 = 100_000;
/// What the program may cost: table cells.
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
    let front = stage.wants_front(food);
    let last = stage.pool.last;
    let mut asked = Request {
        front,
        steps: stage.gauges[0].steps(food),
        halted,
        most_steps: (!front).then_some(MANY_STEPS),
        known: None,
    };
    let counted = ways(model, weights, trips, uses, last, &asked);
    if counted.all || front || halted() {
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
    let (settled, best) = by_program(&of, &asked);
    if settled == Settled::Proved {
        return best.into_iter().collect();
    }
    asked.known = best;
    ways(model, weights, trips, uses, last, &asked).ways
}

/// The least way that the program finds, and whether it proved that none is less.
fn by_program(of: &FoodUse, asked: &Request) -> (Settled, Option<Way>) {
    let mut problem = Problem::default();
    let mut sums = Sums::default();
    let (_, columns) = FoodRows::add(of, &mut problem, &mut sums);
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
        stop: asked.halted,
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

    /// The program of a small food ends with the way that counting all of them ends with.
    #[test]
    fn the_program_finds_what_counting_finds() {
        let mut next = numbers(21);
        let (mut proved, mut without, mut open) = (0, 0, 0);
        for turn in 0..2_000 {
            let (model, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let asked = Request {
                front: false,
                steps: None,
                halted: &|| false,
                most_steps: None,
                known: None,
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
            let (settled, best) = by_program(&of, &asked);
            let told = || format!("{turn}: {counted:?} {best:?} {model:?} {weights:?} {uses:?}");
            let objective = |way: &Way| way.score.objective;
            match (counted.first(), &best) {
                (Some(least), Some(best)) => {
                    assert!(objective(best) >= objective(least), "{}", told());
                    let more = objective(best) - objective(least);
                    assert!(settled == Settled::Open || more <= ROUNDING, "{}", told());
                }
                (Some(_), None) => assert_eq!(settled, Settled::Open, "{}", told()),
                (None, best) => assert!(best.is_none(), "{}", told()),
            }
            if settled == Settled::Open {
                open += 1;
            } else if counted.is_empty() {
                without += 1;
            } else {
                proved += 1;
            }
        }
        assert!(
            proved > 1_000 && without > 100 && open < 200,
            "{proved} {without} {open}"
        );
    }
}
