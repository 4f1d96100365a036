//! Whether batches fit into the minutes of a week whose days are known.

use crate::engine::leaf::cooking::Cooking;
use crate::engine::leaf::solver::LeafSolver;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::times::{DayLimit, Minutes};
use crate::engine::packs::batches::BatchChoice;
use crate::engine::packs::flow::{self, Demand};

/// Minutes asked of days.
struct MinutesAsked {
    /// By portion, all active.
    portions: Vec<Demand>,
    /// Of batches whose days are open.
    batches: Vec<(KitchenDays, Minutes)>,
}

impl LeafSolver<'_, '_> {
    /// Whether minutes leave room for all batches, those of `to_cook[at..]` on days still open.
    /// What is said to fit may not; what is not does not, for divided lunches either.
    ///
    /// Minutes by portion can be spread over a component's days: a flow. Of a component whose
    /// days are open, lunches that have no day in common have a batch each: its own minutes
    /// come to one of those days on which, by itself, it still fits, and are divided over them
    /// here.
    pub(in crate::engine) fn minutes_fit(
        &self,
        cooking: &Cooking,
        at: usize,
        days: &[KitchenDays],
    ) -> bool {
        let pool = self.pool();
        if !pool.timed {
            return true;
        }
        let Some(MinutesAsked { portions, batches }) = self.minutes_asked(cooking, at, days) else {
            return false;
        };
        let limits = || pool.limits.iter().zip(&cooking.spent);
        // A day without a limit has room for all of them.
        let fits = |left: &dyn Fn((&DayLimit, &Minutes), i64) -> i64, demands: &[Demand]| {
            let all = demands.iter().map(|demand| demand.1).sum::<i64>();
            let left: Vec<i64> = limits().map(|day| left(day, all)).collect();
            left.iter().all(|&left| left >= 0) && flow::fits(&left, demands)
        };
        if batches.is_empty() {
            return fits(&|(limit, &spent), all| limit.left(spent, all), &portions);
        }
        let with = |counted: fn(Minutes) -> i64| -> Vec<Demand> {
            let batches = batches.iter().map(|&(days, batch)| (days, counted(batch)));
            portions.iter().copied().chain(batches).collect()
        };
        let active = |(limit, spent): (&DayLimit, &Minutes), all| {
            limit.active.most().map_or(all, |most| most - spent.active)
        };
        let kitchen = |(limit, spent): (&DayLimit, &Minutes), all| {
            limit
                .kitchen
                .most()
                .map_or(all, |most| most - spent.in_kitchen())
        };
        fits(&active, &with(|minutes| minutes.active)) && fits(&kitchen, &with(Minutes::in_kitchen))
    }

    /// Minutes asked of days; none if a lunch has no day left for its batch.
    fn minutes_asked(
        &self,
        cooking: &Cooking,
        at: usize,
        days: &[KitchenDays],
    ) -> Option<MinutesAsked> {
        let pool = self.pool();
        let mut portions: Vec<Demand> = Vec::new();
        let mut batches: Vec<(KitchenDays, Minutes)> = Vec::new();
        for (place, asked) in cooking.to_cook.iter().enumerate() {
            let rate = pool.component(asked.component).minutes_per_mg_nano;
            let batch = pool.batch(asked.component);
            let open = place >= at && asked.counted;
            let room = if open {
                let fits = |day: &usize| !pool.limits[*day].passed(cooking.spent[*day] + batch);
                (0..cooking.spent.len())
                    .filter(fits)
                    .map(|day| day as i32)
                    .collect()
            } else {
                KitchenDays::ANY
            };
            let mut met = KitchenDays::NONE;
            let mine = asked.from..asked.to;
            for (&days, (_, demand)) in days[mine.clone()].iter().zip(&cooking.demands[mine]) {
                let here = days & room;
                if here.is_empty() {
                    return None;
                }
                if rate > 0 {
                    portions.push((here, rate * demand.mg));
                }
                if open && !met.meets(days) {
                    met |= days;
                    batches.push((here, batch));
                }
            }
        }
        Some(MinutesAsked { portions, batches })
    }
}

impl Cooking<'_> {
    /// Whether the minutes of `picked` fit every day and the week.
    pub(in crate::engine) fn fits(
        &self,
        solver: &LeafSolver,
        picked: &[BatchChoice],
        asked: Minutes,
    ) -> bool {
        let pool = solver.pool();
        let stage = solver.stage;
        let week = self.week_minutes + asked;
        if stage.ceilings.minutes.passed(week.active) {
            return false;
        }
        self.minutes.iter().enumerate().all(|(day, &spent)| {
            let more: Minutes = picked.iter().map(|choice| choice.minutes[day]).sum();
            !pool.limits[day].passed(spent + more)
        })
    }
}
