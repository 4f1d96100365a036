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
use crate::engine::leaf::settling::{Effort, Settling};
use crate::engine::leaf::solver::{FoodHere, Leaf, LeafSolver, least};
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::{BatchDemand, amount_in};
use crate::engine::model::score::Score;
use crate::engine::model::sums::least_of;
use crate::engine::model::times::{DayLimit, Minutes};
use crate::engine::packs::batches::{self, BatchChoice};
use crate::engine::packs::flexible::Drawn;
use crate::engine::packs::flow::{self, Demand};
use crate::engine::packs::way::{Uses, Way};
use crate::larder::Day;
use std::sync::Arc;

/// What rounding a divided lunch to whole milligrams may cost: a thousandth of a minor
/// unit. Weeks closer than that are the same week to the model.
pub(in crate::engine) const ROUNDING: i64 = crate::larder::NANO / 1000;

/// Steps of choosing days and batches for one order of days before the exact program is
/// asked instead.
const MOST_STEPS: u32 = 5_000;
/// Choices of days for which the exact program is asked.
const MOST_PROGRAMS: u32 = 200;
/// Ways of cooking looked at for one order of days that only settle ties.
const MOST_TIES: u32 = 200;
/// The same where spoilage is free.
const MOST_TIES_FREE: u32 = 20_000;

/// A component whose days matter.
pub(in crate::engine) struct Asked {
    pub(in crate::engine) component: u32,
    /// Its demands: a range of [`Cooking::demands`].
    pub(in crate::engine) from: usize,
    pub(in crate::engine) to: usize,
    /// Days on which any of it can be cooked.
    all: KitchenDays,
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

/// A search for whole lunches.
struct Assign {
    days: Vec<KitchenDays>,
    /// No week here is below this.
    target: i64,
    /// Only weeks at or below this matter; none is all of them.
    cut: Option<i64>,
}

/// A week whose days are known.
pub(in crate::engine) struct Cooking<'l> {
    pub(in crate::engine) leaf: &'l Leaf,
    pub(in crate::engine) demands: Vec<(Day, &'l BatchDemand)>,
    /// Days on which each demand may be cooked.
    pub(in crate::engine) windows: Vec<KitchenDays>,
    pub(in crate::engine) asked: Vec<Asked>,
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
    ties_left: u32,
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
        let (mut cooking, mut base) = self.lunches_on_days(leaf);
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
        for asked in &cooking.asked {
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
        if cooking.asked.is_empty() {
            self.buy(&cooking, &[], settling.best);
            return;
        }
        cooking.spent.clone_from(&cooking.minutes);
        cooking.week_spent = cooking.week_minutes;
        self.choose_days(&mut cooking, 0, &mut sets, &mut floors, sum, settling);
        if cooking.steps_left == 0 {
            cooking.open = least_of(cooking.open, Some(sum.objective));
        }
        let Some(open) = cooking.open else { return };
        if settling.effort == Effort::FirstBetter
            || !Self::better_by_more(open, settling.best.as_ref())
        {
            return;
        }
        let best = &mut *settling.best;
        let settled = settling
            .dividing
            .as_mut()
            .is_some_and(|dividing| self.divide_on_any(&cooking, dividing, best));
        if !settled {
            settling.undivided = least_of(settling.undivided, Some(open));
        }
    }

    /// The lunches on their days, with what they ask of batches; and what they cost beside foods and batches.
    fn lunches_on_days<'l>(&self, leaf: &'l Leaf) -> (Cooking<'l>, Score) {
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
            asked: Vec::new(),
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
            steps_left: MOST_STEPS,
            programs_left: MOST_PROGRAMS,
            short_of_time: false,
            open: None,
        };
        (cooking, base)
    }

    /// Whether `floor` is below the best week by more than rounding explains.
    fn better_by_more(floor: i64, best: Option<&Found>) -> bool {
        best.is_none_or(|best| floor + ROUNDING < best.score.objective)
    }

    /// Parts components whose days matter from the others.
    fn sort_components(&self, cooking: &mut Cooking) {
        let pool = self.pool();
        let stage = self.stage;
        let demands = &cooking.demands;
        let mut from = 0;
        while from < demands.len() {
            let component = demands[from].1.component;
            let mut to = from;
            while to < demands.len() && demands[to].1.component == component {
                to += 1;
            }
            let batch = pool.batch(component);
            let timeless = demands[from..to].iter().all(|(_, demand)| {
                demand.foods.iter().all(|&(food, _)| {
                    let model = pool.foods[food as usize].as_ref();
                    model.is_some_and(|model| model.timeless)
                })
            });
            let takes_time = !batch.is_none() || pool.component(component).minutes_per_mg_nano > 0;
            let days = batches::fewest(&cooking.windows[from..to]);
            if timeless && !(pool.timed && takes_time) {
                let choice = batches::make(pool, component, &demands[from..to], &days);
                cooking.inert.push(choice);
            } else {
                let limited = pool.timed || stage.ceilings.minutes.is_set();
                let mut distinct = days;
                distinct.dedup();
                cooking.asked.push(Asked {
                    component,
                    from,
                    to,
                    all: cooking.windows[from..to].iter().copied().sum(),
                    counted: stage.gauges[0].weights.timed(batch) > 0
                        || limited && !batch.is_none(),
                    fewest: distinct.len() as i64,
                    touches: false,
                });
            }
            from = to;
        }
    }

    /// Parts foods whose cost depends on batches from the others, and prices the others
    /// for every set of trips. Returns a floor under all but the foods touched; none if
    /// nothing here can matter.
    fn sort_foods(
        &mut self,
        cooking: &mut Cooking,
        base: Score,
        best: Option<&Found>,
    ) -> Option<Score> {
        let pool = self.pool();
        let leaf = cooking.leaf;
        let mut base = base;
        let mut plain: Vec<(u32, Uses)> = Vec::with_capacity(leaf.foods.len());
        for here in &leaf.foods {
            if let Some(idle) = self.idle[here.food as usize] {
                base = base - idle;
            }
            let mut uses = self.plain_uses(cooking, here);
            let mut takes: Vec<(usize, i64)> = Vec::new();
            if here.batched != 0 {
                for asked in &cooking.asked {
                    for at in asked.from..asked.to {
                        let mg = amount_in(cooking.demands[at].1, here.food);
                        if mg > 0 {
                            takes.push((at, mg));
                        }
                    }
                }
            }
            let model = pool.foods[here.food as usize].as_ref()?;
            if takes.is_empty() {
                plain.push((here.food, uses));
            } else if model.timeless {
                uses[pool.last as usize] += takes.iter().map(|take| take.1).sum::<i64>();
                plain.push((here.food, uses));
            } else {
                cooking.touched.push(Touched {
                    food: here.food,
                    direct: uses,
                    demands: takes,
                    floor: here.floor,
                });
            }
        }
        for asked in &mut cooking.asked {
            let takes = |&(at, _): &(usize, i64)| asked.from <= at && at < asked.to;
            let mut touched = cooking.touched.iter();
            asked.touches = touched.any(|touched| touched.demands.iter().any(takes));
        }
        cooking.asked.sort_by_key(|asked| !asked.touches);
        let mut floor: Option<Score> = None;
        for (set, price) in self.trip_sets.clone() {
            let mut start = base;
            start.objective += price;
            let mut sum = start;
            let mut fronts = Vec::with_capacity(plain.len());
            let fits = plain.iter().all(|(food, uses)| {
                let known = self.ways(*food, set, uses);
                let Some(least) = least(&known) else {
                    return false;
                };
                sum = sum + least;
                fronts.push((*food, known));
                true
            });
            if !fits || self.beaten(&(sum + cooking.least_touched()), leaf, best) {
                continue;
            }
            floor = Some(floor.map_or(sum, |old| Score {
                objective: old.objective.min(sum.objective),
                foods: old.foods.min(sum.foods),
                cost: old.cost.min(sum.cost),
                spoiled: old.spoiled.min(sum.spoiled),
            }));
            cooking.on_trips.push(OnTrips {
                set,
                start,
                fronts,
                sum,
            });
        }
        floor
    }

    pub(in crate::engine) fn touched_floor(
        &mut self,
        touched: &Touched,
        days: &[KitchenDays],
    ) -> Option<Drawn> {
        self.flexible(touched.food, &touched.direct, touched.on(days))
    }

    /// Renews the floors of foods that take any demand in `from..to`; none if one has
    /// become impossible.
    fn renew(
        &mut self,
        cooking: &Cooking,
        from: usize,
        to: usize,
        days: &[KitchenDays],
        floors: &mut [i64],
        mut sum: Score,
    ) -> Option<Score> {
        for (touched, floor) in cooking.touched.iter().zip(floors) {
            if touched.demands.iter().any(|&(at, _)| from <= at && at < to) {
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
    fn choose_days(
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
        let Some(asked) = cooking.asked.get(at) else {
            cooking.short_of_time = false;
            self.cook(cooking, days, floors, sum, target, settling);
            return !cooking.short_of_time;
        };
        let pool = self.pool();
        let (component, from, to, all) = (asked.component, asked.from, asked.to, asked.all);
        let (counted, fewest, touches) = (asked.counted, asked.fewest, asked.touches);
        if !counted {
            return self.choose_days(cooking, at + 1, days, floors, sum, settling);
        }
        let minutes = pool.batch(component);
        let price = self.stage.gauges[0].weights.timed(minutes);
        for count in fewest..=i64::from(all.count()) {
            let mut more = sum;
            more.objective += (count - fewest) * price;
            let spent = cooking.week_spent + minutes * count;
            if self.beaten(&more, cooking.leaf, settling.best.as_ref())
                || self.stage.ceilings.minutes.passed(spent.active)
            {
                break;
            }
            for set in all.choices(count as u32) {
                if self.halted() {
                    return true;
                }
                let serves = (from..to).all(|d| cooking.windows[d].meets(set));
                let mut set_days = set.iter().map(usize::from);
                let fits =
                    set_days.all(|day| !pool.limits[day].passed(cooking.spent[day] + minutes));
                if !serves || !fits {
                    continue;
                }
                for (days, window) in days[from..to].iter_mut().zip(&cooking.windows[from..to]) {
                    *days = *window & set;
                }
                let mut here = floors.clone();
                if let Some(next) = self.renew(cooking, from, to, days, &mut here, more) {
                    for day in set.iter() {
                        cooking.spent[usize::from(day)] += minutes;
                    }
                    cooking.week_spent += minutes * count;
                    let settled =
                        self.choose_days(cooking, at + 1, days, &mut here, next, settling);
                    cooking.week_spent -= minutes * count;
                    for day in set.iter() {
                        cooking.spent[usize::from(day)] -= minutes;
                    }
                    if settled && !touches && count == fewest {
                        days[from..to].copy_from_slice(&cooking.windows[from..to]);
                        return true;
                    }
                }
                days[from..to].copy_from_slice(&cooking.windows[from..to]);
            }
        }
        false
    }

    /// Whether minutes leave room for all batches, those of `asked[at..]` on days still open.
    /// What is said to fit may not; what is not does not, for divided lunches either.
    ///
    /// Minutes by portion can be spread over a component's days: a flow. Of a component whose
    /// days are open, lunches that have no day in common have a batch each: its own minutes
    /// come to one of those days on which, by itself, it still fits, and are divided over them
    /// here.
    fn minutes_fit(&self, cooking: &Cooking, at: usize, days: &[KitchenDays]) -> bool {
        let pool = self.pool();
        if !pool.timed {
            return true;
        }
        // By portion, all active; and of batches whose days are open.
        let mut portions: Vec<Demand> = Vec::new();
        let mut batches: Vec<(KitchenDays, Minutes)> = Vec::new();
        for (place, asked) in cooking.asked.iter().enumerate() {
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
                    return false;
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

    /// The days of all batches are chosen and no week on them is below `target`.
    fn cook(
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
        let could_divide = cooking.asked.iter().any(|asked| {
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
        if !self.minutes_fit(cooking, cooking.asked.len(), &to.days) {
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
            let asked = cooking.asked.iter().filter(|a| a.touches == touches);
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
            if let Some(sum) = self.renew(cooking, next, next + 1, &to.days, &mut here, sum) {
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

    /// Direct and inert uses of a food.
    fn plain_uses(&self, cooking: &Cooking, here: &FoodHere) -> Uses {
        let mut uses = self.direct_uses(cooking.leaf, here.food);
        for choice in &cooking.inert {
            choice.add_uses(here.food, &mut uses);
        }
        uses
    }

    /// Batches are known: trips and packs. Returns whether their minutes fit.
    pub(in crate::engine) fn buy(
        &mut self,
        cooking: &Cooking,
        picked: &[BatchChoice],
        best: &mut Option<Found>,
    ) -> bool {
        let leaf = cooking.leaf;
        let weights = self.stage.gauges[0].weights.clone();
        let asked: Minutes = picked.iter().map(|choice| choice.fixed_minutes).sum();
        if !cooking.fits(self, picked, asked) {
            return false;
        }
        let uses: Vec<(u32, Uses)> = cooking
            .touched
            .iter()
            .map(|touched| {
                let mut uses = touched.direct;
                for choice in picked {
                    choice.add_uses(touched.food, &mut uses);
                }
                (touched.food, uses)
            })
            .collect();
        for on_trips in &cooking.on_trips {
            let mut start = on_trips.start;
            start.objective += weights.timed(asked);
            // What is kept may earn: no food is left out of a sum that is held against the best.
            let mut sum = on_trips.sum + cooking.least_touched();
            sum.objective += weights.timed(asked);
            let mut possible = !self.beaten(&sum, leaf, best.as_ref());
            let mut known: Vec<(u32, Arc<Vec<Way>>)> = Vec::with_capacity(uses.len());
            for ((food, uses), touched) in uses.iter().zip(&cooking.touched) {
                if !possible {
                    break;
                }
                let ways = self.ways(*food, on_trips.set, uses);
                match least(&ways) {
                    Some(least) => sum = sum - touched.floor + least,
                    None => possible = false,
                }
                possible &= !self.beaten(&sum, leaf, best.as_ref());
                known.push((*food, ways));
            }
            if !possible {
                continue;
            }
            let mut fronts = on_trips.fronts.clone();
            fronts.extend(known);
            fronts.sort_by_key(|&(food, _)| food);
            let Some((score, _)) =
                crate::engine::leaf::combine::combine(self.stage, start, &fronts)
            else {
                continue;
            };
            let all: Vec<&BatchChoice> = {
                let mut all: Vec<&BatchChoice> = cooking.inert.iter().chain(picked).collect();
                all.sort_by_key(|choice| choice.component);
                all
            };
            let items: Vec<u32> = leaf.order.iter().map(|&l| leaf.items[l]).collect();
            let found = Found {
                score,
                start,
                recipes: items
                    .iter()
                    .map(|&item| self.stage.items[item as usize].recipe)
                    .collect(),
                items,
                trips: on_trips.set,
                batches: batches::plan(&all),
            };
            let better = match best {
                None => true,
                Some(old) if self.stage.settles_ties => found.key() < old.key(),
                Some(old) => found.score.objective < old.score.objective,
            };
            if better {
                *best = Some(found);
            }
        }
        true
    }
}

impl Cooking<'_> {
    fn out_of_steps(&mut self) -> bool {
        self.steps_left = self.steps_left.saturating_sub(1);
        self.steps_left == 0
    }

    /// Whether enough ways of cooking that cannot lower the objective have been looked at
    /// for this order of days. They could only differ in what comes next (cost, spoilage),
    /// and hardly ever do unless spoilage is free.
    fn tied_out(&mut self, sum: &Score, best: Option<&Found>) -> bool {
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
    fn least_touched(&self) -> Score {
        let floors = self.touched.iter().map(|touched| touched.floor);
        floors.fold(Score::default(), |sum, floor| sum + floor)
    }

    /// Batches for demands that all have one day.
    fn whole(&self, solver: &LeafSolver, days: &[KitchenDays]) -> Vec<BatchChoice> {
        self.asked
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

    /// Whether the minutes of `picked` fit every day and the week.
    fn fits(&self, solver: &LeafSolver, picked: &[BatchChoice], asked: Minutes) -> bool {
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

impl Touched {
    /// Its demands on the days on which each is cooked.
    pub(in crate::engine) fn on(&self, days: &[KitchenDays]) -> Vec<Demand> {
        let demands = self.demands.iter();
        demands.map(|&(at, mg)| (days[at], mg)).collect()
    }

    fn score(&self, objective: i64) -> Score {
        Score {
            objective,
            ..self.floor
        }
    }
}
