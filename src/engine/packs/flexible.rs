//! The least cost of one food when its batches may be cooked, and divided, at will.
//!
//! Direct use keeps its day; what a component's lunch takes may be used on any of the days
//! its batches may be cooked on, in any division. Every way of cooking on those days gives
//! such a use, so the least cost found here is never above the true one. One thing is let
//! go, which only lowers it: a unit need not be used on the day it is opened, as long as
//! some use is possible on it. The draws that give the least cost are returned, so that a
//! division can be tried that reaches it.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::lots::{FoodModel, LotModel, day_index};
use crate::engine::model::score::{Score, Weights};
use crate::engine::packs::floor::{Chosen, FoodSteps, PackFloor, left_over};
use crate::engine::packs::way::{Uses, Way};
use crate::engine::packs::ways::dominates;
use crate::larder::NANO;
use std::sync::Arc;

/// What must be served: the days it may be used on, milligrams.
pub(in crate::engine) type Demand = (KitchenDays, i64);

/// What a demand draws: its position, the days it may be drawn on, milligrams.
pub(in crate::engine) type Draw = (usize, KitchenDays, i64);
/// The least cost, 1e-9 minor units, and the draws that have it.
pub(in crate::engine) type Drawn = (i64, Arc<Vec<Draw>>);

/// Units opened together, or a whole pool.
#[derive(Clone)]
struct Slot {
    /// Days on which it may be drawn from.
    days: KitchenDays,
    capacity: i64,
    weight: i64,
    /// Value of what is left in it that spoils.
    spoils: i64,
}

/// Where units may be opened: a dated lot on one day, or packs of a pool.
#[derive(Clone, Debug)]
struct Place {
    lot: usize,
    /// None for a pool.
    day: Option<i32>,
    /// Most worth opening (or buying, of a pool).
    most: i64,
    /// What one holds.
    unit: i64,
    /// Days on which it may be drawn from.
    days: KitchenDays,
    /// Of a milligram left in it: weight in the objective, and value that spoils.
    weight: i64,
    spoils: i64,
}

/// Days that some demands must be met on, whatever else is: the units that can be drawn from on
/// one of them must hold those demands.
struct Span {
    days: KitchenDays,
    /// Most that each place and those after it can hold for it.
    to_come: Vec<i64>,
}

struct Search<'a> {
    lots: &'a [LotModel],
    weights: &'a Weights,
    demands: &'a [Demand],
    total: i64,
    floor: PackFloor<'a>,
    places: Vec<Place>,
    filler: Option<usize>,
    /// Units on hand that differ in nothing stand as one lot, so many times.
    alike: Vec<i64>,
    spans: Vec<Span>,
    /// Buying more may earn more than it costs.
    gains: bool,
    slots: Vec<Slot>,
    counts: Vec<i64>,
    opened: Vec<i64>,
    /// Of each span: what its demands need beyond what is chosen.
    lacks: Vec<i64>,
    /// What is on hand.
    stock: Chosen,
    flow: Flow,
    last: i32,
    /// Only less matters.
    best: Option<i64>,
    /// Nothing is less than this.
    enough: Option<i64>,
    draws: Option<Vec<Draw>>,
    /// Every choice that no other beats in all sums, instead of the least.
    front: Option<Vec<Way>>,
    most_steps: u32,
    steps: u32,
}

/// Partial choices looked at before giving up: for the least, and for all that none beats.
const MOST_STEPS: u32 = 100_000;
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

/// The food that is asked about.
pub(in crate::engine) struct Asked<'a> {
    pub(in crate::engine) food: &'a FoodModel,
    pub(in crate::engine) weights: &'a Weights,
    pub(in crate::engine) steps: &'a FoodSteps,
    pub(in crate::engine) trips: u16,
    pub(in crate::engine) last: i32,
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
/// `enough`.
pub(in crate::engine) fn floor(
    asked: &Asked,
    direct: &Uses,
    flexible: &[Demand],
    upper: Option<i64>,
    enough: i64,
) -> Least {
    let demands = all_demands(direct, flexible, asked.last);
    let mut search = Search::new(asked, &demands);
    search.best = upper;
    search.enough = Some(enough);
    search.choose(0);
    if search.steps > MOST_STEPS {
        return Least::Unknown;
    }
    let of_flexible = |draws: Vec<Draw>| {
        let draws = draws.into_iter();
        draws.filter(|draw| draw.0 < flexible.len()).collect()
    };
    match search.best.zip(search.draws) {
        Some((best, draws)) => Least::Drawn(best, of_flexible(draws)),
        None => Least::NoneBelow,
    }
}

/// Every choice of packs that no other beats in objective, foods, cost and spoiled value
/// together, each with its least sums; none if that takes too many steps.
pub(in crate::engine) fn front(asked: &Asked, demands: &[Demand]) -> Option<Vec<Way>> {
    let mut search = Search::new(asked, demands);
    search.front = Some(Vec::new());
    search.most_steps = MOST_STEPS_ALL;
    search.choose(0);
    search.front.filter(|_| search.steps <= MOST_STEPS_ALL)
}

impl<'a> Search<'a> {
    fn new(asked: &Asked<'a>, demands: &'a [Demand]) -> Self {
        let &Asked {
            food,
            weights,
            steps,
            trips,
            last,
        } = asked;
        let total = demands.iter().map(|d| d.1).sum();
        let opens = |day: i32| demands.iter().any(|d| d.0.contains(day));
        let mut search = Search {
            lots: &food.lots,
            weights,
            demands,
            total,
            floor: PackFloor::new(food, weights, steps, trips, total, opens),
            places: Vec::new(),
            filler: None,
            alike: vec![1; food.lots.len()],
            spans: Vec::new(),
            gains: food.may_gain(weights),
            slots: Vec::new(),
            counts: vec![0; food.lots.len()],
            opened: vec![0; food.lots.len()],
            lacks: Vec::new(),
            stock: Chosen::default(),
            flow: Flow::default(),
            last,
            best: None,
            enough: None,
            draws: None,
            front: None,
            most_steps: MOST_STEPS,
            steps: 0,
        };
        for (index, lot) in food.lots.iter().enumerate() {
            if !lot.usable || lot.trip.is_some_and(|trip| trips & (1 << trip) == 0) {
                continue;
            }
            if lot.stock {
                search.stock.add(lot, 0, weights);
                let before = food.lots[..index].iter();
                if let Some(same) = before.clone().position(|other| other.alike(lot)) {
                    search.alike[same] += 1;
                    search.alike[index] = 0;
                }
            }
        }
        for (index, lot) in food.lots.iter().enumerate() {
            let elsewhere = lot.trip.is_some_and(|trip| trips & (1 << trip) == 0);
            if !lot.usable || elsewhere || search.alike[index] == 0 {
                continue;
            }
            match lot.pool {
                Some((from, until)) if lot.stock => {
                    let (weight, spoils) = left_over(lot, lot.sealed_kept, weights);
                    search.slots.push(Slot {
                        days: KitchenDays::within(from, until, last),
                        capacity: lot.unit * search.alike[index],
                        weight,
                        spoils,
                    });
                }
                Some((from, until)) => {
                    let reach = KitchenDays::within(from, until, last);
                    let reaches = demands.iter().all(|d| d.0.meets(reach));
                    let smaller = search.filler.is_none_or(|old| {
                        lot.unit * lot.units < food.lots[old].unit * food.lots[old].units
                    });
                    if reaches && smaller {
                        search.filler = Some(index);
                    }
                    let place = search.place(index, None);
                    search.places.push(place);
                }
                None => {
                    for day in lot.open_from.max(0)..=lot.open_to {
                        if opens(day) {
                            let place = search.place(index, Some(day));
                            search.places.push(place);
                        }
                    }
                }
            }
        }
        search.filler = search.filler.filter(|_| !search.gains);
        let filler = search.filler;
        search
            .places
            .retain(|place| place.day.is_some() || Some(place.lot) != filler);
        search.drop_worse();
        search.span();
        search
    }

    /// What may be opened of a lot on a day, or bought of a pool.
    fn place(&self, index: usize, day: Option<i32>) -> Place {
        let lot = &self.lots[index];
        let (from, until, kept, unit) = match day {
            None => {
                let (from, until) = lot.pool.expect("a pool");
                (from, until, lot.sealed_kept, lot.unit * lot.units)
            }
            Some(day) => (day, lot.good(day), lot.good(day) >= lot.carry, lot.unit),
        };
        let days = KitchenDays::within(from, until, self.last);
        let need: i64 = self
            .demands
            .iter()
            .filter(|d| d.0.meets(days))
            .map(|d| d.1)
            .sum();
        let mut most = (need + unit - 1) / unit;
        if day.is_some() && !lot.sealed_kept && kept {
            most += lot.units - 1;
        }
        if lot.stock {
            most = most.max(1).min(self.alike[index]);
        }
        let (weight, spoils) = left_over(lot, kept, self.weights);
        Place {
            lot: index,
            day,
            most,
            unit,
            days,
            weight,
            spoils,
        }
    }

    /// Drops places that another does for.
    ///
    /// Proof: let the other hold as much, be drawn from on the same days at least, and what is
    /// left in it weigh and spoil no more. Units of the same lot may then be opened there
    /// instead; so may packs of a single unit of another lot that costs no more, as nothing of
    /// such a pack stays sealed.
    fn drop_worse(&mut self) {
        let does = |other: &Place, place: &Place| {
            let (a, b) = (&self.lots[other.lot], &self.lots[place.lot]);
            let same = other.lot == place.lot
                || !a.stock && !b.stock && a.units == 1 && b.units == 1 && a.price <= b.price;
            same && other.day.is_some()
                && place.day.is_some()
                && other.unit == place.unit
                && place.days.is_within(other.days)
                && other.weight <= place.weight
                && other.spoils <= place.spoils
        };
        let places = &self.places;
        let keeps = |at: usize| {
            !places.iter().enumerate().any(|(by, other)| {
                let place = &places[at];
                by != at && does(other, place) && (by < at || !does(place, other))
            })
        };
        let kept: Vec<bool> = (0..places.len()).map(keeps).collect();
        let mut kept = kept.into_iter();
        self.places.retain(|_| kept.next().expect("one each"));
    }

    /// Prepares the spans of days: from each first day of a demand to each last one.
    fn span(&mut self) {
        let mut spans: Vec<KitchenDays> = Vec::new();
        for from in self.demands {
            for until in self.demands {
                let (from, until) = (from.0.first(), until.0.last());
                if from <= until {
                    spans.push(KitchenDays::span(from.into(), until.into()));
                }
            }
        }
        spans.sort_unstable();
        spans.dedup();
        for span in spans {
            let inside = self.demands.iter().filter(|d| d.0.is_within(span));
            let wanted: i64 = inside.map(|d| d.1).sum();
            if wanted == 0 {
                continue;
            }
            let held = self.slots.iter().filter(|slot| slot.days.meets(span));
            self.lacks
                .push(wanted - held.map(|slot| slot.capacity).sum::<i64>());
            let mut to_come = vec![0; self.places.len() + 1];
            for (at, place) in self.places.iter().enumerate().rev() {
                let holds = if place.days.meets(span) {
                    place.most * place.unit
                } else {
                    0
                };
                to_come[at] = to_come[at + 1] + holds;
            }
            self.spans.push(Span {
                days: span,
                to_come,
            });
        }
    }

    /// Tries every number at place `next` and those after it; true if what is chosen costs too
    /// much already.
    fn choose(&mut self, next: usize) -> bool {
        self.steps += 1;
        if self.steps > self.most_steps || self.too_dear() {
            return true;
        }
        let Some(place) = self.places.get(next) else {
            self.finish();
            return false;
        };
        let (index, dated, unit, days) = (place.lot, place.day.is_some(), place.unit, place.days);
        let (weight, spoils) = (place.weight, place.spoils);
        let lot = &self.lots[index];
        let mut most = place.most;
        if lot.stock {
            most = most.min(self.alike[index] - self.opened[index]);
        }
        // What no place after this one can hold must be held here.
        let mut fewest = 0;
        if self.filler.is_none() {
            for (span, &lacks) in self.spans.iter().zip(&self.lacks) {
                let beyond = lacks - span.to_come[next + 1];
                if beyond > 0 && !span.days.meets(days) {
                    return false;
                }
                fewest = fewest.max((beyond + unit - 1).div_euclid(unit));
            }
        }
        let (units, stock) = (lot.units, lot.stock);
        for count in fewest.max(0)..=most {
            let before = self.counts[index];
            self.put(days, count * unit);
            if count > 0 {
                self.slots.push(Slot {
                    days,
                    capacity: count * unit,
                    weight,
                    spoils,
                });
            }
            if dated {
                self.opened[index] += count;
                if !stock {
                    self.counts[index] = (self.opened[index] + units - 1) / units;
                }
            } else {
                self.counts[index] = count;
            }
            let too_dear = self.choose(next + 1);
            if dated {
                self.opened[index] -= count;
            }
            self.counts[index] = before;
            if count > 0 {
                self.slots.pop();
            }
            self.put(days, -count * unit);
            // One more is paid for with no less than it saves elsewhere.
            if too_dear && !self.gains {
                break;
            }
        }
        false
    }

    /// Counts `mg` more that may be drawn on some of `days`.
    fn put(&mut self, days: KitchenDays, mg: i64) {
        for (span, lacks) in self.spans.iter().zip(&mut self.lacks) {
            if span.days.meets(days) {
                *lacks -= mg;
            }
        }
    }

    /// Whether nothing from here can matter.
    fn too_dear(&self) -> bool {
        if self.front.as_ref().is_some_and(Vec::is_empty)
            || self.front.is_none() && self.best.is_none()
        {
            return false;
        }
        if self.best.is_some() && self.best <= self.enough {
            return true;
        }
        let mut chosen = self.stock;
        for (lot, &count) in self.lots.iter().zip(&self.counts) {
            if count > 0 {
                chosen.add(lot, count, self.weights);
            }
        }
        chosen.open = self.slots.iter().map(|slot| slot.capacity).sum();
        // Units that are there but not opened yet may serve it too.
        let lacks = self.lacks.iter().copied().max().unwrap_or(0);
        chosen.missing = lacks - (chosen.held - chosen.open);
        let bound = self.floor.floor(&chosen);
        match &self.front {
            None => self.best.is_some_and(|best| bound.score.objective >= best),
            Some(front) => front.iter().any(|way| dominates(way, &bound)),
        }
    }

    /// Prices a complete choice.
    fn finish(&mut self) {
        let (mut packs, mut bought) = (0, false);
        let (mut cost, mut spoiled) = self.floor.base;
        for (index, lot) in self.lots.iter().enumerate() {
            if !lot.usable {
                continue;
            }
            let held = if lot.stock && lot.pool.is_none() {
                self.alike[index]
            } else if lot.stock {
                continue;
            } else {
                bought |= self.counts[index] > 0;
                packs += self.counts[index] * lot.price;
                if lot.pool.is_some() {
                    continue;
                }
                self.counts[index] * lot.units
            };
            let sealed = held - self.opened[index];
            if sealed > 0 {
                let (weight, spoils) = left_over(lot, lot.sealed_kept, self.weights);
                cost += weight * sealed * lot.unit;
                spoiled += spoils * sealed * lot.unit;
            }
        }
        let mut slots = self.slots.clone();
        let lacking = self.total - slots.iter().map(|slot| slot.capacity).sum::<i64>();
        if lacking > 0 && self.filler.is_none()
            || !self.might_matter(lacking, cost, packs, bought, spoiled)
        {
            return;
        }
        // The heaviest leftovers are drawn first, as far as the others allow. What is kept
        // weighs nothing or less, so this leaves the least to spoil, too.
        let heaviest = |slot: &Slot| (-slot.weight, -slot.spoils);
        slots.sort_by_key(heaviest);
        let mut flow = std::mem::take(&mut self.flow);
        flow.fill_all(&slots, self.demands);
        let mut missing = flow.want.iter().sum::<i64>();
        if missing > 0 && self.filler.is_some() {
            // Drawing from the filler instead of what weighs less is settled by flow too.
            let (price, slot) = self.filling(missing);
            packs += price;
            bought = true;
            slots.push(slot);
            slots.sort_by_key(heaviest);
            flow.fill_all(&slots, self.demands);
            missing = flow.want.iter().sum();
        }
        if missing == 0 {
            cost += packs * self.weights.pack + i64::from(bought) * self.weights.food;
            for (slot, left) in slots.iter().zip(&flow.left) {
                cost += slot.weight * left;
                spoiled += slot.spoils * left;
            }
            self.note(cost, packs, bought, spoiled, &flow);
        }
        self.flow = flow;
    }

    /// Whether a complete choice may matter, whatever is drawn when: so much is left over, at
    /// best in the lightest.
    fn might_matter(
        &self,
        lacking: i64,
        mut cost: i64,
        mut packs: i64,
        mut bought: bool,
        mut spoiled: i64,
    ) -> bool {
        let mut slots: Vec<(i64, i64, i64)> = Vec::with_capacity(self.slots.len() + 1);
        slots.extend(self.slots.iter().map(|s| (s.weight, s.spoils, s.capacity)));
        let mut left = -lacking;
        if lacking > 0 {
            let (price, slot) = self.filling(lacking);
            packs += price;
            bought = true;
            left += slot.capacity;
            slots.push((slot.weight, slot.spoils, slot.capacity));
        }
        slots.sort_unstable();
        cost += packs * self.weights.pack + i64::from(bought) * self.weights.food;
        for (weight, spoils, capacity) in slots {
            let here = left.min(capacity);
            cost += here * weight;
            spoiled += here * spoils;
            left -= here;
        }
        self.matters(cost, packs, bought, spoiled)
    }

    /// Whether a complete choice with these sums, or sums no lower, matters.
    fn matters(&self, cost: i64, packs: i64, bought: bool, spoiled: i64) -> bool {
        match &self.front {
            None => self.best.is_none_or(|best| cost < best),
            Some(front) => {
                let way = way(cost, packs, bought, spoiled);
                !front.iter().any(|old| dominates(old, &way))
            }
        }
    }

    /// Takes note of a complete choice.
    fn note(&mut self, cost: i64, packs: i64, bought: bool, spoiled: i64, flow: &Flow) {
        if !self.matters(cost, packs, bought, spoiled) {
            return;
        }
        if let Some(front) = &mut self.front {
            let way = way(cost, packs, bought, spoiled);
            front.retain(|old| !dominates(&way, old));
            front.push(way);
        } else {
            self.best = Some(cost);
            self.draws = Some(flow.draws(self.demands));
        }
    }

    /// Packs of the filler for `missing` milligrams: their price, and what they hold.
    fn filling(&self, missing: i64) -> (i64, Slot) {
        let lot = &self.lots[self.filler.expect("there is a filler")];
        let inside = lot.unit * lot.units;
        let count = (missing + inside - 1) / inside;
        let (from, until) = lot.pool.expect("a pool");
        let (weight, spoils) = left_over(lot, lot.sealed_kept, self.weights);
        let slot = Slot {
            days: KitchenDays::within(from, until, self.last),
            capacity: count * inside,
            weight,
            spoils,
        };
        (count * lot.price, slot)
    }
}

fn way(objective: i64, packs: i64, bought: bool, spoiled: i64) -> Way {
    Way {
        score: Score {
            objective,
            foods: i64::from(bought),
            cost: packs * NANO,
            spoiled,
        },
        packs,
        bought,
        detail: Vec::new(),
    }
}

/// Whether what is `left` on each day can hold all demands, each divided over its days.
pub(in crate::engine) fn fits(left: &[i64], demands: &[Demand]) -> bool {
    // Mostly each day could hold all that may come to it.
    let ample = (0..).zip(left).all(|(day, &left)| {
        let may = demands.iter().filter(|demand| demand.0.contains(day));
        may.map(|demand| demand.1).sum::<i64>() <= left
    });
    if ample && demands.iter().all(|demand| !demand.0.is_empty()) {
        return true;
    }
    let slots = (0..).zip(left).map(|(day, &capacity)| Slot {
        days: KitchenDays::one(day),
        capacity,
        weight: 0,
        spoils: 0,
    });
    let slots: Vec<Slot> = slots.collect();
    let mut flow = Flow::default();
    flow.fill_all(&slots, demands);
    flow.want.iter().all(|&want| want == 0)
}

/// Draws of demands from slots: a maximum flow, grown slot by slot.
#[derive(Default)]
struct Flow {
    /// Days of slots and demands.
    slots: Vec<KitchenDays>,
    demands: Vec<KitchenDays>,
    /// By slot, then demand.
    drawn: Vec<i64>,
    left: Vec<i64>,
    want: Vec<i64>,
    /// The slot each demand was reached from, the demand each slot was, and slots reached.
    from_slot: Vec<usize>,
    from_demand: Vec<usize>,
    reached: Vec<usize>,
}

/// Not reached.
const NOWHERE: usize = usize::MAX;

impl Flow {
    /// Draws as much as possible from each slot in turn.
    fn fill_all(&mut self, slots: &[Slot], demands: &[Demand]) {
        self.slots.clear();
        self.slots.extend(slots.iter().map(|slot| slot.days));
        self.demands.clear();
        self.demands.extend(demands.iter().map(|d| d.0));
        self.drawn.clear();
        self.drawn.resize(demands.len() * slots.len(), 0);
        self.left.clear();
        self.left.extend(slots.iter().map(|slot| slot.capacity));
        self.want.clear();
        self.want.extend(demands.iter().map(|d| d.1));
        self.from_slot.resize(demands.len(), NOWHERE);
        self.from_demand.resize(slots.len(), NOWHERE);
        for slot in 0..slots.len() {
            self.fill(slot);
        }
    }

    /// Draws as much as possible from `slot` without taking anything back from those
    /// filled before (they may serve other demands instead).
    fn fill(&mut self, slot: usize) {
        let demands = self.demands.len();
        // Mostly a demand can be met from it as it is.
        for d in 0..demands {
            if self.slots[slot].meets(self.demands[d]) && self.want[d] > 0 {
                let push = self.want[d].min(self.left[slot]);
                self.want[d] -= push;
                self.left[slot] -= push;
                self.drawn[slot * demands + d] += push;
            }
        }
        while self.left[slot] > 0 && self.want.iter().any(|&want| want > 0) {
            self.from_slot.fill(NOWHERE);
            self.from_demand.fill(NOWHERE);
            self.reached.clear();
            self.reached.push(slot);
            let mut at = 0;
            let mut end = None;
            'search: while let Some(&s) = self.reached.get(at) {
                at += 1;
                for d in 0..demands {
                    if self.from_slot[d] != NOWHERE || !self.slots[s].meets(self.demands[d]) {
                        continue;
                    }
                    self.from_slot[d] = s;
                    if self.want[d] > 0 {
                        end = Some(d);
                        break 'search;
                    }
                    for other in 0..self.slots.len() {
                        if other != slot
                            && self.from_demand[other] == NOWHERE
                            && self.drawn[other * demands + d] > 0
                        {
                            self.from_demand[other] = d;
                            self.reached.push(other);
                        }
                    }
                }
            }
            let Some(end) = end else { return };
            let mut push = self.want[end].min(self.left[slot]);
            let mut d = end;
            loop {
                let s = self.from_slot[d];
                let before = self.from_demand[s];
                if before == NOWHERE {
                    break;
                }
                push = push.min(self.drawn[s * demands + before]);
                d = before;
            }
            self.want[end] -= push;
            self.left[slot] -= push;
            let mut d = end;
            loop {
                let s = self.from_slot[d];
                self.drawn[s * demands + d] += push;
                let before = self.from_demand[s];
                if before == NOWHERE {
                    break;
                }
                self.drawn[s * demands + before] -= push;
                d = before;
            }
        }
    }

    fn draws(&self, demands: &[Demand]) -> Vec<Draw> {
        let mut draws = Vec::new();
        for (which, days) in self.slots.iter().enumerate() {
            let flow = &self.drawn[which * self.demands.len()..];
            for (at, &mg) in flow.iter().take(self.demands.len()).enumerate() {
                if mg > 0 {
                    draws.push((at, *days & demands[at].0, mg));
                }
            }
        }
        draws
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::pool::Pool;
    use crate::engine::packs::way::DAYS;
    use crate::engine::packs::ways::{self};
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
            let about = super::Asked {
                food,
                weights: &weights,
                steps: &steps,
                trips,
                last: pool.last,
            };
            let Some(front) = front(&about, &all) else {
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
                let asked = ways::Asked {
                    front: true,
                    detail: false,
                    steps: None,
                    halted: &|| false,
                };
                for way in ways::ways(food, &weights, trips, &uses, pool.last, &asked) {
                    let met = front.iter().any(|divided| dominates(divided, &way));
                    assert!(met, "{way:?} of {uses:?} beats all of {front:?}");
                    compared += 1;
                }
            }
        }
        assert!(compared > 800 && several > 20, "{compared} {several}");
    }

    /// Whether days hold demands, as the theorem of Hall says for what can be divided: every set
    /// of demands finds as much on its days together as it asks for.
    #[test]
    fn demands_fit_where_every_set_of_them_does() {
        let mut next = crate::engine::model::samples::numbers(41);
        let (mut fitting, mut not) = (0, 0);
        for _ in 0..5_000 {
            let left: Vec<i64> = (0..4).map(|_| next(6) as i64).collect();
            let demands: Vec<Demand> = (0..next(5))
                .map(|_| (of_bits(next(16)), 1 + next(5) as i64))
                .collect();
            let holds = (0..1u32 << demands.len()).all(|set| {
                let chosen = (0..demands.len()).filter(|&at| set >> at & 1 != 0);
                let (days, wanted) = chosen.fold((KitchenDays::NONE, 0), |(days, wanted), at| {
                    (days | demands[at].0, wanted + demands[at].1)
                });
                wanted <= days.iter().map(|day| left[usize::from(day)]).sum()
            });
            assert_eq!(fits(&left, &demands), holds, "{left:?} {demands:?}");
            *(if holds { &mut fitting } else { &mut not }) += 1;
        }
        assert!(fitting > 1_000 && not > 1_000, "{fitting} {not}");
    }

    /// However the demands of small foods are divided, a milligram at a time, no way undercuts the
    /// least; and mostly some way reaches it.
    #[test]
    fn no_division_undercuts_the_least() {
        use crate::engine::packs::samples::{BOTH, LAST, every_way, food, uses, weights};
        let mut next = crate::engine::model::samples::numbers(42);
        let (mut reached, mut compared) = (0, 0);
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
            let asked = Asked {
                food: &food,
                weights: &weights,
                steps: &FoodSteps::new(&food, &weights, total),
                trips: BOTH,
                last: LAST,
            };
            let told = || format!("{turn}: {food:?} {weights:?} {direct:?} {demands:?}");
            let Least::Drawn(found, _) = floor(&asked, &direct, &demands, None, i64::MIN) else {
                panic!("{}", told());
            };
            assert!(found <= least, "{found} {least} {}", told());
            compared += 1;
            reached += i32::from(found == least);
        }
        assert!(
            compared > 1_000 && reached * 20 > compared * 19,
            "{reached} of {compared}"
        );
    }
}
