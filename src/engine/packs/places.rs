//! Where units of one food may be opened, and how many are worth trying, whatever demands draw from them.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::lots::{FoodModel, Leftover, LotModel};
use crate::engine::model::score::Weights;
use crate::engine::packs::floor::{Chosen, FoodSteps};
use crate::engine::packs::flow::{Demand, Source};

/// A food, bought on some trips, in one stage.
#[derive(Clone, Copy)]
pub(in crate::engine) struct FoodOnTrips<'a> {
    pub(in crate::engine) food: &'a FoodModel,
    pub(in crate::engine) weights: &'a Weights,
    pub(in crate::engine) steps: &'a FoodSteps,
    pub(in crate::engine) trips: u16,
    /// N.
    pub(in crate::engine) last: i32,
}

/// Where units may be opened: a dated lot on one day, or packs of a pool.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Place {
    pub(in crate::engine) lot: usize,
    /// None for a pool.
    pub(in crate::engine) day: Option<i32>,
    /// Most worth opening (or buying, of a pool).
    pub(in crate::engine) most: i64,
    /// What one holds.
    pub(in crate::engine) unit: i64,
    /// Days on which it may be drawn from.
    pub(in crate::engine) days: KitchenDays,
    /// What a milligram left in it counts for.
    pub(in crate::engine) leftover: Leftover,
}

/// Days that some demands must be met on, whatever else is: the units that can be drawn from on
/// one of them must hold those demands.
pub(in crate::engine) struct Span {
    pub(in crate::engine) days: KitchenDays,
    /// What those demands need beyond what is chosen.
    pub(in crate::engine) lacks: i64,
    /// Most that each place and those after it can hold for it.
    pub(in crate::engine) to_come: Vec<i64>,
}

/// What can be opened and bought of a food for some demands.
pub(in crate::engine) struct Places {
    /// Units on hand that differ in nothing stand as one lot, so many times.
    pub(in crate::engine) alike: Vec<i64>,
    /// What is on hand, and pools among it.
    pub(in crate::engine) on_hand: Chosen,
    pub(in crate::engine) pools: Vec<Source>,
    pub(in crate::engine) list: Vec<Place>,
    /// Bought pool that fills what is missing, if one serves every demand.
    pub(in crate::engine) filler: Option<usize>,
}

impl Places {
    pub(in crate::engine) fn new(of: &FoodOnTrips, demands: &[Demand]) -> Self {
        let lots = &of.food.lots;
        let there = |lot: &LotModel| lot.usable && lot.is_on(of.trips);
        let mut places = Self {
            alike: vec![1; lots.len()],
            on_hand: Chosen::default(),
            pools: Vec::new(),
            list: Vec::new(),
            filler: None,
        };
        for (index, lot) in lots.iter().enumerate() {
            if there(lot) && lot.is_stock() {
                places.on_hand.add(lot, 0, of.weights);
                if let Some(same) = lots[..index].iter().position(|other| other.alike(lot)) {
                    places.alike[same] += 1;
                    places.alike[index] = 0;
                }
            }
        }
        for (index, lot) in lots.iter().enumerate() {
            if there(lot) && places.alike[index] > 0 {
                places.add(of, (index, lot), demands);
            }
        }
        if of.food.may_gain(of.weights) {
            places.filler = None;
        }
        let filler = places.filler;
        let kept = |place: &Place| place.day.is_some() || Some(place.lot) != filler;
        places.list.retain(kept);
        drop_worse(&mut places.list, lots);
        places
    }

    /// Adds where a lot may be opened, or bought.
    fn add(&mut self, of: &FoodOnTrips, (index, lot): (usize, &LotModel), demands: &[Demand]) {
        let Some((from, until)) = lot.pool else {
            for day in lot.open_from.max(0)..=lot.open_to {
                if demands.iter().any(|demand| demand.0.contains(day)) {
                    let place = self.place(of, index, Some(day), demands);
                    self.list.push(place);
                }
            }
            return;
        };
        let days = KitchenDays::within(from, until, of.last);
        if lot.is_stock() {
            self.pools.push(Source {
                days,
                capacity: lot.unit * self.alike[index],
                leftover: lot.leftover(lot.sealed_kept, of.weights),
            });
            return;
        }
        let smaller = |old: usize| {
            let old = &of.food.lots[old];
            lot.unit * lot.units < old.unit * old.units
        };
        let reaches = demands.iter().all(|demand| demand.0.meets(days));
        if reaches && self.filler.is_none_or(smaller) {
            self.filler = Some(index);
        }
        let place = self.place(of, index, None, demands);
        self.list.push(place);
    }

    /// What may be opened of a lot on a day, or bought of a pool.
    fn place(&self, of: &FoodOnTrips, index: usize, day: Option<i32>, demands: &[Demand]) -> Place {
        let lot = &of.food.lots[index];
        let (from, until, kept, unit) = match day {
            None => {
                let (from, until) = lot.pool.expect("a pool");
                (from, until, lot.sealed_kept, lot.unit * lot.units)
            }
            Some(day) => (day, lot.good(day), lot.good(day) >= lot.carry, lot.unit),
        };
        let days = KitchenDays::within(from, until, of.last);
        let served = demands.iter().filter(|demand| demand.0.meets(days));
        let need: i64 = served.map(|demand| demand.1).sum();
        let mut most = (need + unit - 1) / unit;
        if day.is_some() && !lot.sealed_kept && kept {
            most += lot.units - 1;
        }
        if lot.is_stock() {
            most = most.max(1).min(self.alike[index]);
        }
        Place {
            lot: index,
            day,
            most,
            unit,
            days,
            leftover: lot.leftover(kept, of.weights),
        }
    }

    /// The spans of days from each first day of a demand to each last one.
    pub(in crate::engine) fn spans(&self, demands: &[Demand]) -> Vec<Span> {
        let mut spans: Vec<KitchenDays> = Vec::new();
        for from in demands {
            for until in demands {
                let (from, until) = (from.0.first(), until.0.last());
                if from <= until {
                    spans.push(KitchenDays::span(from.into(), until.into()));
                }
            }
        }
        spans.sort_unstable();
        spans.dedup();
        let spans = spans.into_iter().filter_map(|days| {
            let inside = demands.iter().filter(|demand| demand.0.is_within(days));
            let wanted: i64 = inside.map(|demand| demand.1).sum();
            if wanted == 0 {
                return None;
            }
            let held = self.pools.iter().filter(|pool| pool.days.meets(days));
            let mut to_come = vec![0; self.list.len() + 1];
            for (at, place) in self.list.iter().enumerate().rev() {
                let holds = i64::from(place.days.meets(days)) * place.most * place.unit;
                to_come[at] = to_come[at + 1] + holds;
            }
            Some(Span {
                days,
                lacks: wanted - held.map(|pool| pool.capacity).sum::<i64>(),
                to_come,
            })
        });
        spans.collect()
    }
}

/// Drops places that another does for.
///
/// Proof: let the other hold as much, be drawn from on the same days at least, and what is
/// left in it weigh and spoil no more. Units of the same lot may then be opened there
/// instead; so may packs of a single unit of another lot that costs no more, as nothing of
/// such a pack stays sealed.
fn drop_worse(places: &mut Vec<Place>, lots: &[LotModel]) {
    let does = |other: &Place, place: &Place| {
        let (a, b) = (&lots[other.lot], &lots[place.lot]);
        let single = |lot: &LotModel| !lot.is_stock() && lot.units == 1;
        let same = other.lot == place.lot || single(a) && single(b) && a.price <= b.price;
        same && other.day.is_some()
            && place.day.is_some()
            && other.unit == place.unit
            && place.days.is_within(other.days)
            && other.leftover.weight <= place.leftover.weight
            && other.leftover.spoils <= place.leftover.spoils
    };
    let keeps = |at: usize| {
        !places.iter().enumerate().any(|(by, other)| {
            let place = &places[at];
            by != at && does(other, place) && (by < at || !does(place, other))
        })
    };
    let kept: Vec<bool> = (0..places.len()).map(keeps).collect();
    let mut kept = kept.into_iter();
    places.retain(|_| kept.next().expect("one each"));
}
