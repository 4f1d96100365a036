//! The days of all batches are chosen: whole lunches to batches, each to one.

use crate::engine::leaf::cooking::Cooking;
use crate::engine::leaf::found::Found;
use crate::engine::leaf::settling::Settling;
use crate::engine::leaf::solver::{LeafSolver, least};
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::score::Score;
use crate::engine::model::sums::least_of;
use crate::engine::packs::batches::{self, BatchChoice};
use crate::larder::Day;

/// A search for whole lunches.
struct Assign {
    days: Vec<KitchenDays>,
    /// No week here is below this.
    target: i64,
    /// Only weeks at or below this matter; none is all of them.
    cut: Option<i64>,
}

impl LeafSolver<'_, '_> {
    /// The days of all batches are chosen and no week on them is below `target`.
    pub(in crate::engine) fn cook(
        &mut self,
        cooking: &mut Cooking,
        days: &[KitchenDays],
        floors: &[i64],
        sum: Score,
        target: i64,
        settling: &mut Settling,
    ) {
        let best = &mut *settling.best;
        // What the draws say is often whole lunches, and then the best there is.
        let mut drawn = best.clone();
        let whole = self.follow_draws(cooking, days, &mut drawn);
        let better = drawn
            .as_ref()
            .filter(|drawn| best.as_ref().is_none_or(|best| drawn.key() < best.key()));
        let cut = better.map(|drawn| drawn.score.objective);
        let ties = self.stage.settles_ties && self.stage.gauges[0].weights.spoil == 0;
        if whole && !ties && Self::reached(cooking, target, drawn.as_ref()) {
            *best = drawn;
            return;
        }
        let mut assign = Assign {
            days: days.to_vec(),
            target: if ties { i64::MIN } else { target },
            cut,
        };
        self.assign(cooking, 0, &mut assign, &mut floors.to_vec(), sum, best);
        // Of two equal weeks the one with whole lunches is the simpler.
        let beats = |cut: i64| best.as_ref().is_none_or(|best| cut < best.score.objective);
        if cut.is_some_and(beats) {
            *best = drawn;
        }
        // Dividing lunches that touch no food helps only where time is short.
        let short = cooking.short_of_time;
        let could_divide = cooking.to_cook.iter().any(|asked| {
            let mut days = days[asked.from..asked.to].iter();
            (asked.touches || short) && days.any(|days| days.count() > 1)
        });
        if could_divide && Self::better_by_more(target, best.as_ref()) {
            let settled = settling.dividing.as_mut().is_some_and(|dividing| {
                cooking.programs_left > 0 && self.divide_on_chosen(cooking, days, dividing, best)
            });
            if !settled {
                cooking.open = least_of(cooking.open, Some(target));
            }
        }
    }

    /// Gives each demand one day; stops once a week reaches `target`. Returns whether other
    /// days for lunches that touch no food would do no better.
    fn assign(
        &mut self,
        cooking: &mut Cooking,
        at: usize,
        to: &mut Assign,
        floors: &mut [i64],
        sum: Score,
        best: &mut Option<Found>,
    ) -> bool {
        if !self.minutes_fit(cooking, cooking.to_cook.len(), &to.days) {
            cooking.short_of_time = true;
            return false;
        }
        if self.halted()
            || to.cut.is_some_and(|cut| sum.objective > cut)
            || cooking.out_of_steps()
            || cooking.tied_out(&sum, best.as_ref())
            || self.beaten(&sum, cooking.leaf, best.as_ref())
            || self
                .within(cooking, &to.days, &sum, floors, best.as_ref())
                .is_none()
            || (at > 0 && Self::reached(cooking, to.target, best.as_ref()))
        {
            return true;
        }
        // The next demand that still has a choice, of a component whose days matter.
        let next = |touches: bool| {
            let asked = cooking.to_cook.iter().filter(|a| a.touches == touches);
            let mut demands = asked.flat_map(|a| a.from..a.to);
            demands.find(|&d| to.days[d].count() > 1)
        };
        let touching = next(true);
        let Some(next) = touching.or_else(|| next(false)) else {
            if !self.worth(cooking, &to.days, best.as_ref()) {
                return true;
            }
            let picked = cooking.whole(self, &to.days);
            let fits = self.buy(cooking, &picked, best);
            cooking.short_of_time |= !fits;
            return fits;
        };
        let open = to.days[next];
        for day in open.iter() {
            to.days[next] = KitchenDays::one(day.into());
            let mut here = floors.to_vec();
            if let Some(sum) = self.renew(cooking, next..next + 1, &to.days, &mut here, sum) {
                let settled = self.assign(cooking, at + 1, to, &mut here, sum, best);
                if settled && touching.is_none() {
                    to.days[next] = open;
                    return true;
                }
            }
        }
        to.days[next] = open;
        false
    }

    /// Whether whole lunches from batches on these days, one day a lunch, are not beaten by what
    /// their foods cost.
    pub(in crate::engine) fn worth(
        &mut self,
        cooking: &Cooking,
        days: &[KitchenDays],
        best: Option<&Found>,
    ) -> bool {
        let least_touched = cooking.least_touched();
        cooking.on_trips.iter().any(|on_trips| {
            let mut sum = on_trips.sum + least_touched;
            cooking.touched.iter().all(|touched| {
                let mut uses = touched.direct;
                for &(at, mg) in &touched.demands {
                    uses[usize::from(days[at].first())] += mg;
                }
                let ways = self.ways(touched.food, on_trips.set, &uses);
                let Some(least) = least(&ways) else {
                    return false;
                };
                sum = sum - touched.floor + least;
                !self.beaten(&sum, cooking.leaf, best)
            })
        })
    }

    /// Whether the best week so far has these very lunches on these days and an objective
    /// that cannot be improved on.
    fn reached(cooking: &Cooking, target: i64, best: Option<&Found>) -> bool {
        best.is_some_and(|best| {
            best.score.objective <= target
                && best.items.len() == cooking.leaf.order.len()
                && best
                    .items
                    .iter()
                    .zip(&cooking.leaf.order)
                    .all(|(&item, &lunch)| item == cooking.leaf.items[lunch])
        })
    }
}

impl Cooking<'_> {
    /// Batches for demands that all have one day.
    fn whole(&self, solver: &LeafSolver, days: &[KitchenDays]) -> Vec<BatchChoice> {
        self.to_cook
            .iter()
            .map(|asked| {
                let days: Vec<Day> = days[asked.from..asked.to]
                    .iter()
                    .map(|days| days.first())
                    .collect();
                let demands = &self.demands[asked.from..asked.to];
                batches::make(solver.pool(), asked.component, demands, &days)
            })
            .collect()
    }
}
