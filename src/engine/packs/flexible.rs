//! The least cost of one food when its batches may be cooked, and divided, at will.
//!
//! Direct use keeps its day; what a component's lunch takes may be used on any of the days
//! its batches may be cooked on, in any division. Every way of cooking on those days gives
//! such a use, so the least cost found here is never above the true one. One thing is let
//! go, which only lowers it: a unit need not be used on the day it is opened, as long as
//! some use is possible on it. The draws that give the least cost are returned, so that a
//! division can be tried that reaches it.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::lots::day_index;
use crate::engine::packs::bill::Bill;
use crate::engine::packs::floor::PackFloor;
use crate::engine::packs::flow::{Demand, Draw, Flow, Source};
use crate::engine::packs::places::{FoodOnTrips, Places, Span};
use crate::engine::packs::way::{Uses, Way, dominates};
use std::sync::Arc;

/// The least cost, 1e-9 minor units, and the draws that have it.
pub(in crate::engine) type Drawn = (i64, Arc<Vec<Draw>>);

struct Search<'a> {
    of: FoodOnTrips<'a>,
    demands: &'a [Demand],
    /// Milligrams of all demands.
    total: i64,
    floor: PackFloor<'a>,
    places: Places,
    spans: Vec<Span>,
    /// Buying more may earn more than it costs.
    gains: bool,
    /// What can be drawn from, by what is chosen so far.
    sources: Vec<Source>,
    /// By lot: packs, and units of dated lots that are opened.
    counts: Vec<i64>,
    opened: Vec<i64>,
    flow: Flow,
    wanted: Wanted,
    most_steps: u32,
    steps: u32,
}

/// What is looked for, and what was found of it.
enum Wanted {
    /// The least objective, of those below what is known; it cannot be below `enough`.
    Least {
        known: Option<i64>,
        enough: i64,
        draws: Option<Vec<Draw>>,
    },
    /// Every choice that no other beats in all sums.
    Front(Vec<Way>),
}

/// Partial choices looked at before giving up: for the least, and for all that none beats.
pub(in crate::engine) const MOST_STEPS: u32 = 100_000;
const MOST_STEPS_ALL: u32 = 4_000;

/// What must be served: `flexible` demands first, then what has its day.
pub(in crate::engine) fn all_demands(direct: &Uses, flexible: &[Demand], last: i32) -> Vec<Demand> {
    let mut demands: Vec<Demand> = flexible.to_vec();
    for day in 0..=last {
        let mg = direct[day_index(day)];
        if mg > 0 {
            demands.push((KitchenDays::one(day), mg));
        }
    }
    demands
}

/// What the least objective of a food is known to be.
pub(in crate::engine) enum Least {
    /// This, by these draws of the flexible demands.
    Drawn(i64, Vec<Draw>),
    /// Nothing below what was known, or nothing at all.
    NoneBelow,
    /// It takes too many steps.
    Unknown,
}

/// Looks for the least objective of the food below `upper`, if that is known; nothing is below
/// `enough`. Gives up after `most_steps` partial choices.
pub(in crate::engine) fn floor(
    of: FoodOnTrips,
    direct: &Uses,
    flexible: &[Demand],
    (upper, enough): (Option<i64>, i64),
    most_steps: u32,
) -> Least {
    let demands = all_demands(direct, flexible, of.last);
    let wanted = Wanted::Least {
        known: upper,
        enough,
        draws: None,
    };
    let mut search = Search::new(of, &demands, wanted, most_steps);
    search.choose(0);
    if search.gave_up() {
        return Least::Unknown;
    }
    match search.wanted {
        Wanted::Least {
            known: Some(least),
            draws: Some(mut draws),
            ..
        } => {
            draws.retain(|draw| draw.0 < flexible.len());
            Least::Drawn(least, draws)
        }
        _ => Least::NoneBelow,
    }
}

/// Every choice of packs that no other beats in objective, foods, cost and spoiled value
/// together, each with its least sums; none if that takes too many steps.
pub(in crate::engine) fn front(of: FoodOnTrips, demands: &[Demand]) -> Option<Vec<Way>> {
    let mut search = Search::new(of, demands, Wanted::Front(Vec::new()), MOST_STEPS_ALL);
    search.choose(0);
    match search.wanted {
        Wanted::Front(front) if search.steps <= search.most_steps => Some(front),
        _ => None,
    }
}

impl<'a> Search<'a> {
    fn new(of: FoodOnTrips<'a>, demands: &'a [Demand], wanted: Wanted, most_steps: u32) -> Self {
        let total = demands.iter().map(|demand| demand.1).sum();
        let opens = |day: i32| demands.iter().any(|demand| demand.0.contains(day));
        let places = Places::new(&of, demands);
        Self {
            demands,
            total,
            floor: PackFloor::new(of.food, of.weights, of.steps, of.trips, total, opens),
            spans: places.spans(demands),
            gains: of.food.may_gain(of.weights),
            sources: places.pools.clone(),
            places,
            counts: vec![0; of.food.lots.len()],
            opened: vec![0; of.food.lots.len()],
            flow: Flow::default(),
            wanted,
            most_steps,
            steps: 0,
            of,
        }
    }

    /// Whether there were more steps than may be.
    fn gave_up(&self) -> bool {
        self.steps > self.most_steps
    }

    /// Tries every number at place `next` and those after it; true if what is chosen costs too
    /// much already.
    fn choose(&mut self, next: usize) -> bool {
        self.steps += 1;
        if self.gave_up() || self.too_dear() {
            return true;
        }
        let Some(place) = self.places.list.get(next) else {
            self.finish();
            return false;
        };
        let index = place.lot;
        let lot = &self.of.food.lots[index];
        let mut most = place.most;
        if lot.is_stock() {
            most = most.min(self.places.alike[index] - self.opened[index]);
        }
        let Some(fewest) = self.fewest(next) else {
            return false;
        };
        for count in fewest..=most {
            let before = self.counts[index];
            self.put(next, count);
            let too_dear = self.choose(next + 1);
            self.take_back(next, count);
            self.counts[index] = before;
            // One more is paid for with no less than it saves elsewhere.
            if too_dear && !self.gains {
                break;
            }
        }
        false
    }

    /// The fewest units at a place: what none after it can hold must be held here. None if it cannot be.
    fn fewest(&self, next: usize) -> Option<i64> {
        let place = &self.places.list[next];
        let mut fewest = 0;
        if self.places.filler.is_none() {
            for span in &self.spans {
                let beyond = span.lacks - span.to_come[next + 1];
                if beyond > 0 && !span.days.meets(place.days) {
                    return None;
                }
                fewest = fewest.max((beyond + place.unit - 1).div_euclid(place.unit));
            }
        }
        Some(fewest)
    }

    /// Opens or buys so many at a place.
    fn put(&mut self, at: usize, count: i64) {
        let place = &self.places.list[at];
        let lot = &self.of.food.lots[place.lot];
        for span in &mut self.spans {
            if span.days.meets(place.days) {
                span.lacks -= count * place.unit;
            }
        }
        if count > 0 {
            self.sources.push(Source {
                days: place.days,
                capacity: count * place.unit,
                leftover: place.leftover,
            });
        }
        let packs = &mut self.counts[place.lot];
        if place.day.is_none() {
            *packs = count;
            return;
        }
        let opened = &mut self.opened[place.lot];
        *opened += count;
        if !lot.is_stock() {
            *packs = (*opened + lot.units - 1) / lot.units;
        }
    }

    /// Takes them back, but for the packs.
    fn take_back(&mut self, at: usize, count: i64) {
        let place = &self.places.list[at];
        for span in &mut self.spans {
            if span.days.meets(place.days) {
                span.lacks += count * place.unit;
            }
        }
        if count > 0 {
            self.sources.pop();
        }
        if place.day.is_some() {
            self.opened[place.lot] -= count;
        }
    }

    /// Whether nothing from here can matter.
    fn too_dear(&self) -> bool {
        match &self.wanted {
            Wanted::Least { known: None, .. } => return false,
            &Wanted::Least {
                known: Some(known),
                enough,
                ..
            } if known <= enough => return true,
            Wanted::Front(front) if front.is_empty() => return false,
            _ => {}
        }
        let mut chosen = self.places.on_hand;
        for (lot, &count) in self.of.food.lots.iter().zip(&self.counts) {
            if count > 0 {
                chosen.add(lot, count, self.of.weights);
            }
        }
        chosen.open = self.sources.iter().map(|source| source.capacity).sum();
        // Units that are there but not opened yet may serve it too.
        let lacks = self.spans.iter().map(|span| span.lacks).max().unwrap_or(0);
        chosen.missing = lacks - (chosen.held - chosen.open);
        let bound = self.floor.floor(&chosen);
        match &self.wanted {
            Wanted::Least { known, .. } => {
                known.is_some_and(|known| bound.score.objective >= known)
            }
            Wanted::Front(front) => front.iter().any(|way| dominates(way, &bound)),
        }
    }

    /// Prices a complete choice.
    fn finish(&mut self) {
        let alike = &self.places.alike;
        let mut bill = Bill::new(
            (&self.of.food.lots, self.of.weights),
            (&self.counts, &self.opened),
            |index| alike[index],
        );
        let mut sources = self.sources.clone();
        let held: i64 = sources.iter().map(|source| source.capacity).sum();
        let lacking = self.total - held;
        if lacking > 0 && self.places.filler.is_none() || !self.might_matter(lacking, bill) {
            return;
        }
        // The heaviest leftovers are drawn first, as far as the others allow. What is kept
        // weighs nothing or less, so this leaves the least to spoil, too.
        let heaviest = |source: &Source| source.leftover.heaviest_first();
        sources.sort_by_key(heaviest);
        let mut flow = std::mem::take(&mut self.flow);
        flow.fill_all(&sources, self.demands);
        let mut missing = flow.want.iter().sum::<i64>();
        if missing > 0
            && let Some(filler) = self.places.filler
        {
            // Drawing from the filler instead of what weighs less is settled by flow too.
            sources.push(self.fill(filler, missing, &mut bill));
            sources.sort_by_key(heaviest);
            flow.fill_all(&sources, self.demands);
            missing = flow.want.iter().sum();
        }
        if missing == 0 {
            for (source, &left) in sources.iter().zip(&flow.left) {
                bill.leave(source.leftover, left);
            }
            self.note(&bill, &flow);
        }
        self.flow = flow;
    }

    /// Whether a complete choice may matter, whatever is drawn when: so much is left over, at
    /// best in the lightest.
    fn might_matter(&self, lacking: i64, mut bill: Bill) -> bool {
        let mut left = -lacking;
        let mut filled = None;
        if lacking > 0
            && let Some(filler) = self.places.filler
        {
            let source = self.fill(filler, lacking, &mut bill);
            left += source.capacity;
            filled = Some(source);
        }
        let sources = self.sources.iter().chain(&filled);
        bill.leave_lightest(
            sources.map(|source| (source.leftover, source.capacity)),
            left,
        );
        self.matters(&bill)
    }

    /// Whether a complete choice with these sums, or sums no lower, matters.
    fn matters(&self, bill: &Bill) -> bool {
        match &self.wanted {
            Wanted::Least { known, .. } => {
                known.is_none_or(|known| bill.objective(self.of.weights) < known)
            }
            Wanted::Front(front) => {
                let way = bill.way(self.of.weights);
                !front.iter().any(|old| dominates(old, &way))
            }
        }
    }

    /// Takes note of a complete choice.
    fn note(&mut self, bill: &Bill, flow: &Flow) {
        if !self.matters(bill) {
            return;
        }
        match &mut self.wanted {
            Wanted::Least { known, draws, .. } => {
                *known = Some(bill.objective(self.of.weights));
                *draws = Some(flow.draws(self.demands));
            }
            Wanted::Front(front) => {
                let way = bill.way(self.of.weights);
                front.retain(|old| !dominates(&way, old));
                front.push(way);
            }
        }
    }

    /// Buys packs of the filler for `missing` milligrams; returns what they hold.
    fn fill(&self, filler: usize, missing: i64, bill: &mut Bill) -> Source {
        let lot = &self.of.food.lots[filler];
        let inside = lot.unit * lot.units;
        let count = (missing + inside - 1) / inside;
        bill.buy(lot, count);
        let (from, until) = lot.pool.expect("a pool");
        Source {
            days: KitchenDays::within(from, until, self.of.last),
            capacity: count * inside,
            leftover: lot.leftover(lot.sealed_kept, self.of.weights),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::lots::FoodModel;
    use crate::engine::model::pool::Pool;
    use crate::engine::model::score::Weights;
    use crate::engine::packs::floor::FoodSteps;
    use crate::engine::packs::way::DAYS;
    use crate::engine::packs::way::Limited;
    use crate::engine::packs::ways::{Request, ways};
    use std::path::Path;

    fn of_bits(bits: usize) -> KitchenDays {
        (0..4).filter(|day| bits >> day & 1 != 0).collect()
    }

    /// Whatever whole lunches are cooked when, what a food then costs is no better than one of
    /// the ways to divide them at will: in objective, foods, cost and what spoils together.
    #[test]
    fn whole_lunches_never_beat_lunches_divided_at_will() {
        let mut seed = 3u64;
        let mut next = move |below: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) as i64 % below
        };
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatyard");
        let larder = crate::kitchen::read_dir(&folder).larder;
        let larder = larder.expect("the demo kitchen has no fault");
        let pool = Pool::new(&larder);
        let weights = Weights::money(&larder);
        let trips = ((1u32 << larder.week.trips.len()) - 1) as u16;
        let foods: Vec<&FoodModel> = pool
            .foods
            .iter()
            .flatten()
            .filter(|f| !f.timeless)
            .collect();
        let (mut compared, mut several) = (0, 0);
        for _ in 0..600 {
            let food = foods[next(foods.len() as i64) as usize];
            let mut direct = [0; DAYS];
            if next(2) == 0 {
                direct[1 + next(5) as usize] = 1 + next(300_000);
            }
            let demands: Vec<Demand> = (0..=next(2))
                .map(|_| {
                    let to = 1 + next(5) as i32;
                    let from = to - next(4) as i32;
                    let days = KitchenDays::within(from, to, pool.last);
                    (days, 1 + next(400_000))
                })
                .collect();
            let all = all_demands(&direct, &demands, pool.last);
            let total = all.iter().map(|d| d.1).sum();
            let steps = FoodSteps::new(food, &weights, total);
            let about = FoodOnTrips {
                food,
                weights: &weights,
                steps: &steps,
                trips,
                last: pool.last,
            };
            let Some(front) = front(about, &all) else {
                continue;
            };
            several += i32::from(front.len() > 1);
            for early in 0..1 << demands.len() {
                let mut uses = direct;
                for (at, &(days, mg)) in demands.iter().enumerate() {
                    let first = early >> at & 1 == 0;
                    let day = if first { days.first() } else { days.last() };
                    uses[usize::from(day)] += mg;
                }
                let asked = Request {
                    limited: Limited::ALL,
                    steps: None,
                    halted: &|| false,
                    most_steps: None,
                    known: Vec::new(),
                };
                for way in ways(food, &weights, trips, &uses, pool.last, &asked).ways {
                    let met = front.iter().any(|divided| dominates(divided, &way));
                    assert!(met, "{way:?} of {uses:?} beats all of {front:?}");
                    compared += 1;
                }
            }
        }
        assert!(compared > 800 && several > 20, "{compared} {several}");
    }

    /// However the demands of small foods are divided, a milligram at a time, no way undercuts the
    /// least; and mostly some way reaches it.
    #[test]
    fn no_division_undercuts_the_least() {
        use crate::engine::packs::samples::{BOTH, LAST, every_way, food, uses, weights};
        let mut next = crate::engine::model::samples::numbers(42);
        let (mut reached, mut compared, mut given_up) = (0, 0, 0);
        for turn in 0..2_000 {
            let (food, weights, mut direct) =
                (food(&mut next), weights(&mut next), uses(&mut next));
            if next(2) == 0 {
                direct = [0; DAYS];
            }
            let demands: Vec<Demand> = (0..next(3))
                .map(|_| (of_bits(1 + next(15)), 1 + next(2) as i64))
                .collect();
            let mut divided = vec![direct];
            for &(days, mg) in &demands {
                for _ in 0..mg {
                    let before = std::mem::take(&mut divided);
                    for day in days.iter() {
                        divided.extend(before.iter().map(|uses| {
                            let mut uses = *uses;
                            uses[usize::from(day)] += 1;
                            uses
                        }));
                    }
                    divided.sort_unstable();
                    divided.dedup();
                }
            }
            let all = divided
                .iter()
                .flat_map(|uses| every_way(&food, &weights, uses));
            let Some(least) = all.map(|way| way.objective).min() else {
                continue;
            };
            let total = all_demands(&direct, &demands, LAST)
                .iter()
                .map(|d| d.1)
                .sum();
            let asked = FoodOnTrips {
                food: &food,
                weights: &weights,
                steps: &FoodSteps::new(&food, &weights, total),
                trips: BOTH,
                last: LAST,
            };
            let told = || format!("{turn}: {food:?} {weights:?} {direct:?} {demands:?}");
            let Least::Drawn(found, _) =
                floor(asked, &direct, &demands, (None, i64::MIN), MOST_STEPS)
            else {
                panic!("{}", told());
            };
            assert!(found <= least, "{found} {least} {}", told());
            // With fewer steps the same is found, or nothing is said.
            match floor(asked, &direct, &demands, (None, i64::MIN), turn % 40) {
                Least::Drawn(few, _) => assert_eq!(few, found, "{}", told()),
                Least::NoneBelow => panic!("{}", told()),
                Least::Unknown => given_up += 1,
            }
            compared += 1;
            reached += i32::from(found == least);
        }
        assert!(
            compared > 1_000 && reached * 20 > compared * 19 && given_up > 100,
            "{reached} of {compared}, {given_up}"
        );
    }
}
