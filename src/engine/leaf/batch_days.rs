//! On which days components are cooked: chosen as sets, one component after the other.

use crate::engine::leaf::cooking::{Cooking, ToCook, Touched};
use crate::engine::leaf::settling::Settling;
use crate::engine::leaf::solver::LeafSolver;
use crate::engine::leaf::steps::Steps;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::Pool;
use crate::engine::model::score::Score;
use crate::engine::model::times::Minutes;
use crate::engine::packs::flexible::Drawn;
use std::ops::Range;

impl LeafSolver<'_, '_> {
    /// The least a touched food can cost with batches on these days, and draws that reach it.
    pub(in crate::engine) fn touched_floor(
        &mut self,
        touched: &Touched,
        days: &[KitchenDays],
    ) -> Option<Drawn> {
        self.flexible(touched.food, &touched.direct, touched.on(days), Steps::Many)
    }

    /// Renews the floors of foods that take any of these demands; none if one has
    /// become impossible.
    pub(in crate::engine) fn renew(
        &mut self,
        cooking: &Cooking,
        mine: Range<usize>,
        days: &[KitchenDays],
        floors: &mut [i64],
        mut sum: Score,
    ) -> Option<Score> {
        for (touched, floor) in cooking.touched.iter().zip(floors) {
            if touched.demands.iter().any(|(at, _)| mine.contains(at)) {
                let (objective, _) = self.touched_floor(touched, days)?;
                sum.objective += objective - *floor;
                *floor = objective;
            }
        }
        Some(sum)
    }

    /// Chooses the days on which the next component is cooked. Returns whether other days
    /// for those that touch no food would do no better, as they cost no less and no limit on
    /// minutes shut anything out.
    pub(in crate::engine) fn choose_days(
        &mut self,
        cooking: &mut Cooking,
        at: usize,
        days: &mut Vec<KitchenDays>,
        floors: &mut Vec<i64>,
        sum: Score,
        settling: &mut Settling,
    ) -> bool {
        let best = settling.best.as_ref();
        if self.halted()
            || cooking.out_of_steps()
            || self.beaten(&sum, cooking.leaf, best)
            || cooking.tied_out(&sum, best)
        {
            return true;
        }
        if !self.minutes_fit(cooking, at, days) {
            return false;
        }
        let Some(target) = self.within(cooking, days, &sum, floors, best) else {
            return true;
        };
        let Some(&asked) = cooking.to_cook.get(at) else {
            cooking.short_of_time = false;
            self.cook(cooking, days, floors, sum, target, settling);
            return !cooking.short_of_time;
        };
        if !asked.counted {
            return self.choose_days(cooking, at + 1, days, floors, sum, settling);
        }
        let minutes = self.pool().batch(asked.component);
        let price = self.stage.gauges[0].weights.timed(minutes);
        for count in asked.fewest..=i64::from(asked.all.count()) {
            let mut more = sum;
            more.objective += (count - asked.fewest) * price;
            let spent = cooking.week_spent + minutes * count;
            if self.beaten(&more, cooking.leaf, settling.best.as_ref())
                || self.stage.ceilings.minutes.passed(spent.active)
            {
                break;
            }
            for set in asked.all.choices(count as u32) {
                if self.halted() {
                    return true;
                }
                let settled = cooking.may_be_cooked_on(self.pool(), &asked, set)
                    && self.cook_on(cooking, (at, set), (days, floors), more, settling);
                if settled && !asked.touches && count == asked.fewest {
                    return true;
                }
            }
        }
        false
    }

    /// Cooks a component on these days, and chooses those of the ones after it. Returns what
    /// [`Self::choose_days`] does; false if some food cannot be had then.
    fn cook_on(
        &mut self,
        cooking: &mut Cooking,
        (at, set): (usize, KitchenDays),
        (days, floors): (&mut Vec<KitchenDays>, &[i64]),
        sum: Score,
        settling: &mut Settling,
    ) -> bool {
        let asked = cooking.to_cook[at];
        let mine = asked.from..asked.to;
        let minutes = self.pool().batch(asked.component);
        for (days, window) in days[mine.clone()]
            .iter_mut()
            .zip(&cooking.windows[mine.clone()])
        {
            *days = *window & set;
        }
        let mut here = floors.to_vec();
        let next = self.renew(cooking, mine.clone(), days, &mut here, sum);
        let settled = next.is_some_and(|next| {
            cooking.spend(set, minutes);
            let settled = self.choose_days(cooking, at + 1, days, &mut here, next, settling);
            cooking.spend(set, minutes * -1);
            settled
        });
        days[mine.clone()].copy_from_slice(&cooking.windows[mine]);
        settled
    }
}

impl Cooking<'_> {
    /// Whether a component can be cooked on all of these days and then serves each of its lunches.
    fn may_be_cooked_on(&self, pool: &Pool, asked: &ToCook, set: KitchenDays) -> bool {
        let minutes = pool.batch(asked.component);
        let windows = &self.windows[asked.from..asked.to];
        let mut days = set.iter().map(usize::from);
        windows.iter().all(|window| window.meets(set))
            && days.all(|day| !pool.limits[day].passed(self.spent[day] + minutes))
    }

    /// Counts the minutes of a batch on each of these days.
    fn spend(&mut self, set: KitchenDays, minutes: Minutes) {
        for day in set.iter() {
            self.spent[usize::from(day)] += minutes;
        }
        self.week_spent += minutes * i64::from(set.count());
    }
}
