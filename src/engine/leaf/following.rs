//! Lunches served the way the draws behind the floors say, whole or divided over two batches.

use crate::engine::leaf::cooking::{Cooking, Touched};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::solver::{LeafSolver, least};
use crate::engine::leaf::splits::{Part, ROUNDINGS, lay_out};
use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::{BatchDemand, amount_in};
use crate::engine::model::score::Score;
use crate::engine::packs::batches::BatchChoice;
use crate::engine::packs::flow::Draw;
use crate::larder::Day;
use std::sync::Arc;

/// What foods draw, and which of them may lead: by food touched, and by component.
struct Leads {
    draws: Vec<Arc<Vec<Draw>>>,
    /// Foods touched that its demands take.
    of_component: Vec<Vec<usize>>,
}

/// Lunches of which some are divided.
struct Divided<'d> {
    demands: &'d [(Day, &'d BatchDemand)],
    /// Their parts.
    parts: &'d [Vec<Part>],
    /// Those of several parts, by position.
    several: Vec<usize>,
}

impl LeafSolver<'_, '_> {
    /// Serves lunches the way the draws behind the floors say, one food leading for each
    /// component. Returns whether the best week found this way has whole lunches.
    pub(in crate::engine) fn follow_draws(
        &mut self,
        cooking: &mut Cooking,
        days: &[KitchenDays],
        best: &mut Option<Found>,
    ) -> bool {
        let mut whole = false;
        let leads = self.leads(cooking, days);
        let most = leads.of_component.iter().map(Vec::len).max().unwrap_or(0);
        let mut tried: Vec<Vec<Vec<Part>>> = Vec::new();
        let orders = (0..most).flat_map(|turn| [true, false].map(|early| (turn, early)));
        for (turn, early) in orders {
            // Without a bound of its own: by number of foods and of lunches.
            if self.halted() {
                break;
            }
            let (demands, parts) = leads.parts(cooking, days, (turn, early));
            if tried.contains(&parts) {
                continue;
            }
            let divided = parts.iter().any(|parts| parts.len() > 1);
            if divided || self.whole_worth(cooking, days, &parts, best.as_ref()) {
                let before = best.as_ref().map(|best| best.score);
                let trips = cooking.on_trips.first().map(|on_trips| on_trips.set);
                for picked in self.rounded(cooking, &demands, &parts, trips) {
                    cooking.short_of_time |= !self.buy(cooking, &picked, best);
                }
                if best.as_ref().map(|best| best.score) != before {
                    whole = !divided;
                }
            }
            tried.push(parts);
        }
        whole
    }

    /// The draws behind the floors of foods touched with batches on these days, and which foods may lead.
    fn leads(&mut self, cooking: &Cooking, days: &[KitchenDays]) -> Leads {
        let mut of_component: Vec<Vec<usize>> = vec![Vec::new(); cooking.to_cook.len()];
        for (which, touched) in cooking.touched.iter().enumerate() {
            for (leads, asked) in of_component.iter_mut().zip(&cooking.to_cook) {
                let takes = |&(at, _): &(usize, i64)| asked.from <= at && at < asked.to;
                if touched.demands.iter().any(takes) {
                    leads.push(which);
                }
            }
        }
        let draws = cooking.touched.iter().map(|touched| {
            self.touched_floor(touched, days)
                .map_or_else(Arc::default, |known| known.1)
        });
        Leads {
            draws: draws.collect(),
            of_component,
        }
    }

    /// Whether lunches that have one part each are worth buying for.
    fn whole_worth(
        &mut self,
        cooking: &Cooking,
        days: &[KitchenDays],
        parts: &[Vec<Part>],
        best: Option<&Found>,
    ) -> bool {
        let mut at = days.to_vec();
        let asked = cooking
            .to_cook
            .iter()
            .flat_map(|asked| asked.from..asked.to);
        for (d, parts) in asked.zip(parts) {
            at[d] = KitchenDays::one(parts[0].0);
        }
        self.worth(cooking, &at, best)
    }

    /// The ways worth pricing of writing parts of lunches in whole milligrams: all foods rounded
    /// alike, and each food so that its packs cost least by themselves on these trips.
    pub(in crate::engine) fn rounded(
        &mut self,
        cooking: &Cooking,
        demands: &[(Day, &BatchDemand)],
        parts: &[Vec<Part>],
        trips: Option<u16>,
    ) -> Vec<Vec<BatchChoice>> {
        let pool = self.pool();
        let several: Vec<usize> = (0..parts.len()).filter(|&at| parts[at].len() > 1).collect();
        if several.is_empty() {
            return vec![lay_out(pool, demands, parts, false, &|_, _| false)];
        }
        let alike = ROUNDINGS.into_iter();
        let mut rounded: Vec<Vec<BatchChoice>> = alike
            .map(|(up, foods_up)| lay_out(pool, demands, parts, up, &|_, _| foods_up))
            .collect();
        let Some(trips) = trips else { return rounded };
        let divided = Divided {
            demands,
            parts,
            several,
        };
        for up in [false, true] {
            let mut upward: Vec<(usize, u32)> = Vec::new();
            for touched in &cooking.touched {
                if self.halted() {
                    return rounded;
                }
                let best = self.rounded_up(touched, &divided, up, trips);
                upward.extend(best.into_iter().map(|at| (at, touched.food)));
            }
            let own = |at: usize, food: u32| upward.contains(&(at, food));
            rounded.push(lay_out(pool, demands, parts, up, &own));
        }
        rounded
    }

    /// The divided lunches whose parts of a food are best rounded up, for its packs to cost least by themselves:
    /// none or all of them, changed one by one.
    fn rounded_up(
        &mut self,
        touched: &Touched,
        divided: &Divided,
        up: bool,
        trips: u16,
    ) -> Vec<usize> {
        let food = touched.food;
        let (demands, parts) = (divided.demands, divided.parts);
        let takes = |&at: &usize| amount_in(demands[at].1, food) > 0;
        let asked: Vec<usize> = divided.several.iter().copied().filter(takes).collect();
        let mut cost = |up_in: &[usize]| -> (bool, Option<Score>) {
            let here = |at: usize, _: u32| up_in.contains(&at);
            let mut uses = touched.direct;
            for choice in lay_out(self.pool(), demands, parts, up, &here) {
                choice.add_uses(food, &mut uses);
            }
            // What cannot be served comes last.
            let least = least(&self.ways(food, trips, &uses));
            (least.is_none(), least)
        };
        let mut best: Vec<usize> = Vec::new();
        let mut lowest = cost(&best);
        if !asked.is_empty() {
            let all = cost(&asked);
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
                let turned = cost(&other);
                if turned < lowest {
                    (best, lowest) = (other, turned);
                }
            }
        }
        best
    }
}

impl Leads {
    /// The demands in the order of components, and their parts: one food leads for each component, by `turn`, and
    /// draws as `early` as may be, or as late.
    fn parts<'c>(
        &self,
        cooking: &Cooking<'c>,
        days: &[KitchenDays],
        (turn, early): (usize, bool),
    ) -> (Vec<(Day, &'c BatchDemand)>, Vec<Vec<Part>>) {
        let (mut demands, mut all) = (Vec::new(), Vec::new());
        for (leads, asked) in self.of_component.iter().zip(&cooking.to_cook) {
            let leader = leads.get(turn % leads.len().max(1));
            for (d, day) in (asked.from..).zip(&days[asked.from..asked.to]) {
                let mut here = leader.map_or_else(Vec::new, |&leader| {
                    parts(&cooking.touched[leader], &self.draws[leader], d, early)
                });
                if here.is_empty() {
                    here.push((day.first().into(), 1, 1));
                }
                demands.push(cooking.demands[d]);
                all.push(here);
            }
        }
        (demands, all)
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
