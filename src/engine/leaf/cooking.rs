//! When to cook: the batches of a week whose days are known, then its trips and packs.
//!
//! A component whose foods cost the same on any day (and whose minutes fit any day) is
//! cooked in the fewest batches. For the others, the days on which each is cooked are
//! chosen first, as sets. With the sets known, every food has a floor that holds however
//! lunches are assigned to batches, or divided over two of them
//! ([`crate::engine::packs::flexible`]); most sets fall there. What is left is settled in this order:
//! whole lunches to batches, until the floor is reached; then lunches divided as the
//! draws behind the floors say; and only if a gap remains, and the search is otherwise done,
//! the exact program ([`crate::engine::leaf::splits`]) is asked.

use crate::engine::leaf::found::Found;
use crate::engine::leaf::settling::{Extent, Settling};
use crate::engine::leaf::solver::{Leaf, LeafSolver};
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::BatchDemand;
use crate::engine::model::score::{ROUNDING, Score};
use crate::engine::model::sums::least_of;
use crate::engine::model::times::Minutes;
use crate::engine::packs::batches::BatchChoice;
use crate::engine::packs::flow::Demand;
use crate::engine::packs::way::{Uses, Way};
use crate::larder::Day;
use std::sync::Arc;

/// Part of the work on one program that is tried on all days at once before any are chosen.
const SOONER: u64 = 8;
/// Choices of days for which the exact program is asked.
const MOST_PROGRAMS: u32 = 200;
/// Ways of cooking looked at for one order of days that only settle ties.
const MOST_TIES: u32 = 200;
/// The same where spoilage is free.
const MOST_TIES_FREE: u32 = 20_000;

/// A component whose days matter.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct ToCook {
    pub(in crate::engine) component: u32,
    /// Its demands: a range of [`Cooking::demands`].
    pub(in crate::engine) from: usize,
    pub(in crate::engine) to: usize,
    /// Days on which any of it can be cooked.
    pub(in crate::engine) all: KitchenDays,
    /// Cooking on one more day costs something, or may not fit.
    pub(in crate::engine) counted: bool,
    /// Fewest batches.
    pub(in crate::engine) fewest: i64,
    /// Takes a food whose cost depends on its days. Those that do not come last.
    pub(in crate::engine) touches: bool,
}

/// A food whose cost depends on when those components are cooked.
pub(in crate::engine) struct Touched {
    pub(in crate::engine) food: u32,
    pub(in crate::engine) direct: Uses,
    /// Demands that take it, with milligrams.
    pub(in crate::engine) demands: Vec<(usize, i64)>,
    /// Floor whatever the days.
    pub(in crate::engine) floor: Score,
}

/// One allowed set of trips with everything that batches do not change.
pub(in crate::engine) struct OnTrips {
    pub(in crate::engine) set: u16,
    pub(in crate::engine) start: Score,
    pub(in crate::engine) fronts: Vec<(u32, Arc<Vec<Way>>)>,
    /// `start` and the least of every front.
    pub(in crate::engine) sum: Score,
}

/// A week whose days are known.
pub(in crate::engine) struct Cooking<'l> {
    pub(in crate::engine) leaf: &'l Leaf,
    pub(in crate::engine) demands: Vec<(Day, &'l BatchDemand)>,
    /// Days on which each demand may be cooked.
    pub(in crate::engine) windows: Vec<KitchenDays>,
    pub(in crate::engine) to_cook: Vec<ToCook>,
    /// Batches of components whose days do not matter.
    pub(in crate::engine) inert: Vec<BatchChoice>,
    pub(in crate::engine) touched: Vec<Touched>,
    pub(in crate::engine) on_trips: Vec<OnTrips>,
    /// Minutes of each day without the batches to be settled, and of the whole week.
    pub(in crate::engine) minutes: Vec<Minutes>,
    pub(in crate::engine) week_minutes: Minutes,
    /// The same with the batches whose days are chosen so far.
    pub(in crate::engine) spent: Vec<Minutes>,
    pub(in crate::engine) week_spent: Minutes,
    /// Ways of cooking that may still be looked at to settle ties.
    pub(in crate::engine) ties_left: u32,
    /// Steps before the exact program is asked for the whole order of days.
    pub(in crate::engine) steps_left: u32,
    /// Programs for chosen days before one is asked for the whole order of days.
    pub(in crate::engine) programs_left: u32,
    /// A limit on minutes shut out some way of cooking.
    pub(in crate::engine) short_of_time: bool,
    /// Least floor of what was neither reached nor ruled out, if anything was not.
    pub(in crate::engine) open: Option<i64>,
}

impl LeafSolver<'_, '_> {
    /// All days are known: batches, trips and packs.
    pub(in crate::engine) fn settle(&mut self, leaf: &Leaf, settling: &mut Settling) {
        let pool = self.pool();
        let weights = self.stage.gauges[0].weights.clone();
        let (mut cooking, mut base) = self.lunches_on_days(leaf, settling);
        self.sort_components(&mut cooking);
        for choice in &cooking.inert {
            base.objective += weights.timed(choice.fixed_minutes);
            cooking.week_minutes += choice.fixed_minutes;
            for (day, &more) in choice.minutes.iter().enumerate() {
                cooking.minutes[day] += more;
            }
        }
        if !cooking.fits(self, &[], Minutes::default()) {
            return;
        }
        let Some(floor) = self.sort_foods(&mut cooking, base, settling.best.as_ref()) else {
            return;
        };
        let mut sum = floor;
        for asked in &cooking.to_cook {
            let price = weights.timed(pool.batch(asked.component));
            sum.objective += asked.fewest * price;
        }
        let mut sets = cooking.windows.clone();
        let mut floors = Vec::with_capacity(cooking.touched.len());
        for touched in &cooking.touched {
            let Some((objective, _)) = self.touched_floor(touched, &sets) else {
                return;
            };
            sum = sum + touched.score(objective);
            floors.push(objective);
        }
        if self.beaten(&sum, leaf, settling.best.as_ref()) || !self.within_ceilings(&cooking) {
            return;
        }
        if cooking.to_cook.is_empty() {
            self.buy(&cooking, &[], settling.best);
            return;
        }
        cooking.spent.clone_from(&cooking.minutes);
        cooking.week_spent = cooking.week_minutes;
        let best = &mut *settling.best;
        if let Some(dividing) = &mut settling.dividing {
            // Whole lunches were looked at before. Mostly one program for all days says that no others are better.
            let most = dividing.most_each / SOONER;
            if self.divide_on_any(&cooking, dividing, most, best) {
                return;
            }
        }
        self.choose_days(&mut cooking, 0, &mut sets, &mut floors, sum, settling);
        if cooking.steps_left == 0 {
            cooking.open = least_of(cooking.open, Some(sum.objective));
        }
        let Some(open) = cooking.open else { return };
        if settling.extent == Extent::FirstBetter
            || !Self::better_by_more(open, settling.best.as_ref())
        {
            return;
        }
        let best = &mut *settling.best;
        let settled = settling.dividing.as_mut().is_some_and(|dividing| {
            let most = dividing.most_each;
            self.divide_on_any(&cooking, dividing, most, best)
        });
        if !settled {
            settling.undivided = least_of(settling.undivided, Some(open));
        }
    }

    /// The lunches on their days, with what they ask of batches; and what they cost beside foods and batches.
    fn lunches_on_days<'l>(&self, leaf: &'l Leaf, settling: &Settling) -> (Cooking<'l>, Score) {
        let pool = self.pool();
        let price = self.stage.gauges[0].weights.preference;
        let mut base = self.idle_sum;
        let mut minutes = vec![Minutes::default(); pool.last as usize + 1];
        let mut week_minutes = Minutes::default();
        let mut demands: Vec<(Day, &BatchDemand)> = Vec::new();
        for (day, &lunch) in leaf.order.iter().enumerate() {
            let at = &leaf.at[lunch][pool.class_of_day[day]];
            let recipe = self.stage.items[leaf.items[lunch] as usize].recipe;
            base = base + self.lunch_score(at);
            base.objective += pool.preference[recipe.index()][day] * price;
            let own = pool.larder.recipes[recipe.index()].minutes_nano;
            minutes[day + 1] += Minutes::active(own);
            week_minutes += Minutes::active(at.minutes);
            demands.extend(at.batches.iter().map(|batch| (day as Day + 1, batch)));
        }
        demands.sort_by_key(|&(day, demand)| (demand.component, day));
        let windows = demands.iter();
        let windows = windows.map(|&(day, demand)| pool.window(demand.component, day.into()));
        let cooking = Cooking {
            leaf,
            windows: windows.collect(),
            demands,
            to_cook: Vec::new(),
            inert: Vec::new(),
            touched: Vec::new(),
            on_trips: Vec::new(),
            minutes,
            week_minutes,
            spent: Vec::new(),
            week_spent: Minutes::default(),
            ties_left: if self.stage.gauges[0].weights.spoil == 0 {
                MOST_TIES_FREE
            } else {
                MOST_TIES
            },
            steps_left: settling.extent.most_steps(),
            programs_left: MOST_PROGRAMS,
            short_of_time: false,
            open: None,
        };
        (cooking, base)
    }

    /// Whether `floor` is below the best week by more than rounding explains.
    pub(in crate::engine) fn better_by_more(floor: i64, best: Option<&Found>) -> bool {
        best.is_none_or(|best| floor + ROUNDING < best.score.objective)
    }
}

impl Cooking<'_> {
    pub(in crate::engine) fn out_of_steps(&mut self) -> bool {
        self.steps_left = self.steps_left.saturating_sub(1);
        self.steps_left == 0
    }

    /// Whether enough ways of cooking that cannot lower the objective have been looked at
    /// for this order of days. They could only differ in what comes next (cost, spoilage),
    /// and hardly ever do unless spoilage is free.
    pub(in crate::engine) fn tied_out(&mut self, sum: &Score, best: Option<&Found>) -> bool {
        if best.is_none_or(|best| sum.objective < best.score.objective) {
            return false;
        }
        if self.ties_left == 0 {
            return true;
        }
        self.ties_left -= 1;
        false
    }

    /// Floors of the foods touched, whatever the days.
    pub(in crate::engine) fn least_touched(&self) -> Score {
        let floors = self.touched.iter().map(|touched| touched.floor);
        floors.fold(Score::default(), |sum, floor| sum + floor)
    }
}

impl Touched {
    /// Its demands on the days on which each is cooked.
    pub(in crate::engine) fn on(&self, days: &[KitchenDays]) -> Vec<Demand> {
        let demands = self.demands.iter();
        demands.map(|&(at, mg)| (days[at], mg)).collect()
    }

    pub(in crate::engine) fn score(&self, objective: i64) -> Score {
        Score {
            objective,
            ..self.floor
        }
    }
}
