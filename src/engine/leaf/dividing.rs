//! Lunches divided over two batches: when the exact program is asked, and what of.

use crate::engine::leaf::cooking::{Cooking, OnTrips, Touched};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::settling::{Dividing, Extent, Settling};
use crate::engine::leaf::solver::{LeafSolver, least};
use crate::engine::leaf::splits::{Fixed, Proved, ROOM};
use crate::engine::mip::solver::Settled;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::score::{ROUNDING, Score};
use crate::engine::packs::batches::{self, BatchChoice};
use crate::engine::packs::way::Way;
use itertools::Itertools;
use std::sync::Arc;

/// Most work on exact programs for one set of lunches, and for one program: table cells.
const MOST_WORK: u64 = 500_000_000;
const MOST_WORK_EACH: u64 = 250_000_000;
/// Ways to cook whole lunches tried to see whether a food minds.
const MOST_SPREADS: u64 = 64;

/// A program of dividing lunches.
struct Program<'p> {
    on_trips: &'p OnTrips,
    /// The days chosen for all batches; none is any of those they may be cooked on.
    chosen: Option<&'p [KitchenDays]>,
    /// Without limits on minutes, what only takes time and foods that do not mind: what that rules
    /// out is ruled out.
    lean: bool,
    /// What it may cost, in table cells.
    most: u64,
}

impl<'s, 'a> LeafSolver<'s, 'a> {
    /// Settles a set of lunches, with the exact program where dividing one over two batches
    /// might pay; `times` as much work is allowed on it as usual. Returns that work, and as [`Self::solve`] does what
    /// was too large a question.
    pub(in crate::engine) fn divide(
        &mut self,
        set: &[u32],
        times: u64,
        best: &mut Option<Found>,
    ) -> (u64, Option<i64>) {
        let mut settling = Settling::new(best, Extent::Whole);
        settling.dividing = Some(Dividing {
            work_left: times * MOST_WORK,
            most_each: times * MOST_WORK_EACH,
            proved: Proved::default(),
        });
        self.settle_set(set, &mut settling);
        let left = settling.dividing.map_or(0, |dividing| dividing.work_left);
        (times * MOST_WORK - left, settling.undivided)
    }

    /// Whether the exact program settles the days chosen for all batches.
    pub(in crate::engine) fn divide_on_chosen(
        &mut self,
        cooking: &mut Cooking,
        days: &[KitchenDays],
        dividing: &mut Dividing,
        best: &mut Option<Found>,
    ) -> bool {
        cooking.programs_left -= 1;
        (0..cooking.on_trips.len()).all(|at| {
            let mut settles = |cooking: &Cooking, lean: bool| {
                let asked = Program {
                    on_trips: &cooking.on_trips[at],
                    chosen: Some(days),
                    lean,
                    most: dividing.most_each,
                };
                self.divide_on(cooking, &asked, dividing, best) == Settled::Proved
            };
            if settles(cooking, true) {
                return true;
            }
            // With other days for what only takes time there may be minutes to divide lunches.
            cooking.short_of_time = true;
            settles(cooking, false)
        })
    }

    /// Whether the exact program settles the order of days, whatever the days of batches, for `most` table cells each
    /// time it is asked.
    pub(in crate::engine) fn divide_on_any(
        &mut self,
        cooking: &Cooking,
        dividing: &mut Dividing,
        most: u64,
        best: &mut Option<Found>,
    ) -> bool {
        cooking.on_trips.iter().all(|on_trips| {
            [true, false].into_iter().any(|lean| {
                let asked = Program {
                    on_trips,
                    chosen: None,
                    most,
                    lean,
                };
                self.divide_on(cooking, &asked, dividing, best) == Settled::Proved
            })
        })
    }

    /// Whether a food costs the same, in all sums, whatever whole lunches are cooked on which
    /// of `days`, and no less if they are divided.
    fn indifferent(&mut self, touched: &Touched, trips: u16, days: &[KitchenDays]) -> bool {
        let demands = touched.on(days);
        let count: u64 = demands
            .iter()
            .map(|demand| u64::from(demand.0.count()))
            .product();
        if count > MOST_SPREADS {
            return false;
        }
        let floor = self.flexible_front(touched.food, &touched.direct, demands.clone());
        let sums = |ways: &[Way]| -> Vec<Score> {
            let mut sums: Vec<Score> = ways.iter().map(|way| way.score).collect();
            sums.sort_unstable();
            sums
        };
        let floor = sums(&self.stage.limited(touched.food).front(&floor));
        let choices = demands
            .iter()
            .map(|&(days, mg)| days.iter().map(move |day| (usize::from(day), mg)));
        choices.multi_cartesian_product().all(|spread| {
            let mut uses = touched.direct;
            for (day, mg) in spread {
                uses[day] += mg;
            }
            sums(&self.ways(touched.food, trips, &uses)) == floor
        })
    }

    /// Searches one program, for weeks below the best one.
    fn divide_on(
        &mut self,
        cooking: &Cooking,
        asked: &Program,
        dividing: &mut Dividing,
        best: &mut Option<Found>,
    ) -> Settled {
        let (mut fixed, beside) = self.program(cooking, asked);
        let trips = Some(asked.on_trips.set);
        let below = |best: &Option<Found>| best.as_ref().map(|best| best.score.objective);
        let mut search = |fixed: &Fixed, best: &mut Option<Found>| {
            let mut work = dividing.work_left.min(asked.most);
            let left = dividing.work_left - work;
            let done = (&mut work, &mut dividing.proved);
            let settled = fixed.search(below(best), ROUNDING, done, &mut |demands, parts| {
                for mut picked in self.rounded(cooking, demands, parts, trips) {
                    picked.extend(beside.iter().cloned());
                    self.buy(cooking, &picked, best);
                }
                below(best)
            });
            dividing.work_left = left + work;
            settled
        };
        let settled = search(&fixed, best);
        if settled == Settled::Proved || !fixed.stage.ceilings.spoiled.is_set() {
            return settled;
        }
        // Fractions reach just above the ceiling where whole milligrams do not: look for a
        // week a little below it, and hold the fractions against that.
        let before = below(best);
        fixed.room = -2 * ROOM;
        search(&fixed, best);
        if below(best) == before {
            return Settled::Open;
        }
        fixed.room = ROOM;
        search(&fixed, best)
    }

    /// What [`Self::divide_on`] asks, and the batches of what is left out of it.
    fn program<'c>(
        &mut self,
        cooking: &Cooking<'c>,
        asked: &Program,
    ) -> (Fixed<'c, 'a>, Vec<BatchChoice>)
    where
        's: 'c,
    {
        let &Program {
            on_trips,
            chosen,
            lean,
            most: _,
        } = asked;
        let stage = self.stage;
        let mut fixed = Fixed {
            stage,
            demands: Vec::new(),
            windows: Vec::new(),
            chosen: chosen.is_some(),
            timed: !lean,
            foods: Vec::new(),
            fronts: Vec::new(),
            minutes: match chosen {
                Some(_) => cooking.spent.clone(),
                None => cooking.minutes.clone(),
            },
            week_minutes: cooking.week_minutes,
            rest: on_trips.start,
            trips: on_trips.set,
            room: ROOM,
        };
        let days = chosen.unwrap_or(&cooking.windows);
        let beside = self.add_demands(&mut fixed, cooking, days, lean);
        for (food, ways) in &on_trips.fronts {
            self.add_front(&mut fixed, *food, Arc::clone(ways));
        }
        for touched in &cooking.touched {
            if lean && self.indifferent(touched, on_trips.set, days) {
                let ways = self.flexible_front(touched.food, &touched.direct, touched.on(days));
                self.add_front(&mut fixed, touched.food, ways);
            } else {
                fixed.foods.push((touched.food, touched.direct));
            }
        }
        (fixed, beside)
    }

    /// Adds what lunches ask of batches on these days. What is left out is cooked on the first of its days, or
    /// in the fewest batches, which are returned.
    fn add_demands<'c>(
        &self,
        fixed: &mut Fixed<'c, 'a>,
        cooking: &Cooking<'c>,
        days: &[KitchenDays],
        lean: bool,
    ) -> Vec<BatchChoice> {
        let pool = self.pool();
        let weights = &self.stage.gauges[0].weights;
        let mut beside: Vec<BatchChoice> = Vec::new();
        for asked in &cooking.to_cook {
            let of = &cooking.demands[asked.from..asked.to];
            let here = &days[asked.from..asked.to];
            if lean && !asked.touches {
                let at = if fixed.chosen {
                    let first = here.iter().map(|days| days.first());
                    first.collect()
                } else {
                    let minutes = pool.batch(asked.component) * asked.fewest;
                    fixed.rest.objective += weights.timed(minutes);
                    fixed.week_minutes += minutes;
                    batches::fewest(here)
                };
                beside.push(batches::make(pool, asked.component, of, &at));
            } else {
                fixed.demands.extend_from_slice(of);
                fixed.windows.extend_from_slice(here);
            }
            if fixed.chosen && asked.counted {
                let batches = here.iter().copied().sum::<KitchenDays>().count();
                let minutes = pool.batch(asked.component) * i64::from(batches);
                fixed.rest.objective += weights.timed(minutes);
            }
        }
        beside
    }

    /// Adds a food that does not mind how lunches are divided: its ways where more than the least of them may
    /// matter. Which foods are bought does not depend on batches, unless stock could spare one.
    fn add_front(&self, fixed: &mut Fixed, food: u32, ways: Arc<Vec<Way>>) {
        let ceilings = &self.stage.ceilings;
        let all = ceilings.families.is_set() || ceilings.on_money();
        if all || self.stage.wants_front(food) {
            fixed.fronts.push((food, ways));
        } else if let Some(least) = least(&ways) {
            fixed.rest = fixed.rest + least;
        }
    }
}
