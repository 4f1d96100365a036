//! Lunches divided over two batches: the ways worth trying, and when the exact program is asked.

use crate::engine::leaf::cooking::{Cooking, OnTrips, ROUNDING, Touched};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::settling::{Dividing, Effort, Settling};
use crate::engine::leaf::solver::{LeafSolver, least};
use crate::engine::leaf::splits::{Fixed, Part, Proved, ROOM, ROUNDINGS, lay_out};
use crate::engine::mip::solver::Settled;
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::{BatchDemand, amount_in};
use crate::engine::model::score::Score;
use crate::engine::packs::batches::{self, BatchChoice};
use crate::engine::packs::flow::Draw;
use crate::engine::packs::way::Way;
use crate::larder::Day;
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
}

impl<'s, 'a> LeafSolver<'s, 'a> {
    /// Serves lunches the way the draws behind the floors say, one food leading for each
    /// component. Returns whether the best week found this way has whole lunches.
    pub(in crate::engine) fn follow_draws(
        &mut self,
        cooking: &mut Cooking,
        days: &[KitchenDays],
        best: &mut Option<Found>,
    ) -> bool {
        let mut whole = false;
        let mut leaders: Vec<Vec<usize>> = vec![Vec::new(); cooking.asked.len()];
        for (which, touched) in cooking.touched.iter().enumerate() {
            for (leads, asked) in leaders.iter_mut().zip(&cooking.asked) {
                let takes = |&(at, _): &(usize, i64)| asked.from <= at && at < asked.to;
                if touched.demands.iter().any(takes) {
                    leads.push(which);
                }
            }
        }
        let draws: Vec<Arc<Vec<Draw>>> = cooking
            .touched
            .iter()
            .map(|touched| {
                self.touched_floor(touched, days)
                    .map_or_else(Arc::default, |known| known.1)
            })
            .collect();
        let most = leaders.iter().map(Vec::len).max().unwrap_or(0);
        let mut tried: Vec<Vec<Vec<Part>>> = Vec::new();
        for turn in 0..most {
            for early in [true, false] {
                let mut shares: Vec<Vec<Part>> = vec![Vec::new(); cooking.demands.len()];
                for (leads, asked) in leaders.iter().zip(&cooking.asked) {
                    let leader = leads.get(turn % leads.len().max(1));
                    for d in asked.from..asked.to {
                        if let Some(&leader) = leader {
                            let touched = &cooking.touched[leader];
                            shares[d] = parts(touched, &draws[leader], d, early);
                        }
                        if shares[d].is_empty() {
                            let day = days[d].first();
                            shares[d] = vec![(day.into(), 1, 1)];
                        }
                    }
                }
                let mut demands: Vec<(Day, &BatchDemand)> = Vec::new();
                let mut asked_shares = Vec::new();
                for asked in &cooking.asked {
                    let mine = asked.from..asked.to;
                    demands.extend_from_slice(&cooking.demands[mine.clone()]);
                    asked_shares.extend(shares[mine].iter_mut().map(std::mem::take));
                }
                if tried.contains(&asked_shares) {
                    continue;
                }
                let divided = asked_shares.iter().any(|shares| shares.len() > 1);
                if !divided {
                    let mut at = days.to_vec();
                    let asked = cooking.asked.iter().flat_map(|asked| asked.from..asked.to);
                    for (d, shares) in asked.zip(&asked_shares) {
                        at[d] = KitchenDays::one(shares[0].0);
                    }
                    if !self.worth(cooking, &at, best.as_ref()) {
                        tried.push(asked_shares);
                        continue;
                    }
                }
                let before = best.as_ref().map(|best| best.score);
                let trips = cooking.on_trips.first().map(|on_trips| on_trips.set);
                for picked in self.rounded(cooking, &demands, &asked_shares, trips) {
                    cooking.short_of_time |= !self.buy(cooking, &picked, best);
                }
                if best.as_ref().map(|best| best.score) != before {
                    whole = !divided;
                }
                tried.push(asked_shares);
            }
        }
        whole
    }

    /// The ways worth pricing of writing parts of lunches in whole milligrams: all foods rounded
    /// alike, and each food so that its packs cost least by themselves on these trips.
    fn rounded(
        &mut self,
        cooking: &Cooking,
        demands: &[(Day, &BatchDemand)],
        parts: &[Vec<Part>],
        trips: Option<u16>,
    ) -> Vec<Vec<BatchChoice>> {
        let pool = self.pool();
        let divided: Vec<usize> = (0..parts.len()).filter(|&at| parts[at].len() > 1).collect();
        if divided.is_empty() {
            return vec![lay_out(pool, demands, parts, false, &|_, _| false)];
        }
        let alike = ROUNDINGS.into_iter();
        let mut rounded: Vec<Vec<BatchChoice>> = alike
            .map(|(up, foods_up)| lay_out(pool, demands, parts, up, &|_, _| foods_up))
            .collect();
        let Some(trips) = trips else { return rounded };
        for up in [false, true] {
            let mut upward: Vec<(usize, u32)> = Vec::new();
            for touched in &cooking.touched {
                let food = touched.food;
                let takes = |&at: &usize| amount_in(demands[at].1, food) > 0;
                let asked: Vec<usize> = divided.iter().copied().filter(takes).collect();
                let cost = |solver: &mut Self, up_in: &[usize]| {
                    let here = |at: usize, _: u32| up_in.contains(&at);
                    let mut uses = touched.direct;
                    for choice in lay_out(solver.pool(), demands, parts, up, &here) {
                        choice.add_uses(food, &mut uses);
                    }
                    // What cannot be served comes last.
                    let least = least(&solver.ways(food, trips, &uses));
                    (least.is_none(), least)
                };
                let mut best: Vec<usize> = Vec::new();
                let mut lowest = cost(self, &best);
                if !asked.is_empty() {
                    let all = cost(self, &asked);
                    if all < lowest {
                        (best, lowest) = (asked.clone(), all);
                    }
                }
                if asked.len() > 1 {
                    for &at in &asked {
                        let mut other = best.clone();
                        match other.iter().position(|&known| known == at) {
                            Some(place) => drop(other.remove(place)),
                            None => other.push(at),
                        }
                        let turned = cost(self, &other);
                        if turned < lowest {
                            (best, lowest) = (other, turned);
                        }
                    }
                }
                upward.extend(best.into_iter().map(|at| (at, food)));
            }
            let own = |at: usize, food: u32| upward.contains(&(at, food));
            rounded.push(lay_out(pool, demands, parts, up, &own));
        }
        rounded
    }

    /// Settles a set of lunches, with the exact program where dividing one over two batches
    /// might pay; `times` as much work is allowed on it as usual. Returns that work, and as [`Self::solve`] does what
    /// was too large a question.
    pub(in crate::engine) fn divide(
        &mut self,
        set: &[u32],
        times: u64,
        best: &mut Option<Found>,
    ) -> (u64, Option<i64>) {
        let mut settling = Settling::new(best, Effort::Whole);
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

    /// Whether the exact program settles the order of days, whatever the days of batches.
    pub(in crate::engine) fn divide_on_any(
        &mut self,
        cooking: &Cooking,
        dividing: &mut Dividing,
        best: &mut Option<Found>,
    ) -> bool {
        cooking.on_trips.iter().all(|on_trips| {
            [true, false].into_iter().any(|lean| {
                let asked = Program {
                    on_trips,
                    chosen: None,
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
        let floor = if self.stage.wants_front(touched.food) {
            sums(&floor)
        } else {
            floor
                .iter()
                .map(|way| way.score)
                .min()
                .into_iter()
                .collect()
        };
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
            let mut work = dividing.work_left.min(dividing.most_each);
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
        for asked in &cooking.asked {
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

/// Days of demand `d` with its parts, as the draws of one of its foods have it.
fn parts(touched: &Touched, draws: &[Draw], d: usize, early: bool) -> Vec<Part> {
    let Some(place) = touched.demands.iter().position(|&(at, _)| at == d) else {
        return Vec::new();
    };
    let whole = touched.demands[place].1;
    let mut parts: Vec<(i32, i64)> = Vec::new();
    for &(at, days, mg) in draws {
        if at != place {
            continue;
        }
        let day = i32::from(if early { days.first() } else { days.last() });
        match parts.iter_mut().find(|(old, _)| *old == day) {
            Some((_, sum)) => *sum += mg,
            None => parts.push((day, mg)),
        }
    }
    parts.sort_unstable();
    let parts = parts.into_iter();
    parts
        .map(|(day, mg)| (day, i128::from(mg), i128::from(whole)))
        .collect()
}
