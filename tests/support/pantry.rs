//! Prices one food: every number of units opened, of every lot, on every day.
//!
//! A *need* is an amount that must be drawn on one of certain days: a line needs its food
//! on the lunch's own day, a component on a day on which a batch of it that still keeps is
//! cooked. Given the units opened, drawing is a transport of milligrams from openings to
//! needs. What a milligram drawn saves or costs depends on the opening alone (would its rest
//! have spoiled or been kept, at which value), never on the need, so the amounts that can
//! be drawn from the openings form a polymatroid, and taking as much as possible from the
//! openings in order of gain is exact (Edmonds' greedy rule; Schrijver, Combinatorial
//! Optimization, 2003, chapter 44, from memory). How much can be drawn from a set of
//! openings is the least cut over the sets of needs, of which there are few: all are tried.
//! All data being whole milligrams, so is the best drawing.
//!
//! Why the counts tried suffice:
//! - Packs: never more than the opened units ask for. A pack of which nothing is opened costs
//!   its price and brings at most its value times the carry credit, which is less.
//! - Units: of one opening (lot and day), more than what is drawn from it would fill can help
//!   only where an opened rest is kept and a sealed one is not; and then by less than a pack
//!   (else a pack could be left in the shop).

use std::collections::HashMap;
use std::rc::Rc;

use scant::larder::{FoodId, Larder, PackId, Target};
use scant::plan::Lot;

use super::sums::{Key, Sums, weighted};

/// An amount to be drawn on any of the days in the mask, in any parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Need {
    pub days: u32,
    pub mg: i64,
}

/// Units of one lot opened on one day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Opened {
    pub lot: usize,
    pub day: i32,
    pub units: i64,
}

/// One way of providing for a food that no other way beats in every respect.
#[derive(Clone, Debug)]
pub struct Deal {
    /// Trips bought on, as a mask.
    pub trips: u32,
    pub bought: bool,
    pub price_minor: i64,
    pub sums: Sums,
    pub key: Key,
    pub opened: Vec<Opened>,
}

/// Where a food can come from: packs of an option on a trip, or a unit on hand.
#[derive(Clone, Debug)]
pub struct Source {
    pub lot: Lot,
    trip: Option<usize>,
    pub unit_mg: i64,
    pub units_in_pack: i64,
    price_minor: i64,
    value_nano: i64,
    /// First and last day on which a unit may be opened.
    window: (i32, i32),
    open_life: i32,
    end: i32,
    /// Already open: no opening to decide, drawn from on any day of the window.
    pub open: bool,
    sealed_is_kept: bool,
}

impl Source {
    /// Opening changes nothing: open or not, whenever opened, it is good until the window ends.
    /// Then only the number of units counts, and it is a tap from the start: units are opened
    /// as they are needed, the older ones emptied first.
    pub fn ageless(&self) -> bool {
        !self.open && self.end == self.window.1 && self.window.0.max(0) + self.open_life >= self.end
    }

    /// A tap: no opening days to choose.
    pub fn tap(&self) -> bool {
        self.open || self.ageless()
    }
}

impl Source {
    pub fn good(&self, day: i32) -> i32 {
        if self.open {
            self.window.1
        } else {
            (day + self.open_life).min(self.end)
        }
    }
}

/// Whether nobody may buy it: it, or all of its shop.
fn banned(larder: &Larder, id: PackId) -> bool {
    let shop = larder.packs[id.index()].shop;
    let mut bans = larder.wishes.without.iter();
    bans.any(|ban| match ban {
        Target::Shop(banned) => shop == Some(*banned),
        Target::Pack(banned) => id == *banned,
        _ => false,
    })
}

/// All sources of a food.
pub fn sources(larder: &Larder, food: FoodId) -> Vec<Source> {
    let carry = larder.week.carry_day;
    let mut all = Vec::new();
    for (id, pack) in larder.packs_of(food) {
        for (trip, visit) in larder.week.trips.iter().enumerate() {
            if visit.shop != pack.shop || banned(larder, id) {
                continue;
            }
            let s = i32::from(visit.day);
            all.push(Source {
                lot: Lot::Bought(id, trip as u8),
                trip: Some(trip),
                unit_mg: pack.unit_mg,
                units_in_pack: pack.units,
                price_minor: pack.price_minor,
                value_nano: pack.value_nano,
                window: (s + pack.ready_from, s + pack.ready_to),
                open_life: pack.open_life,
                end: s + pack.end,
                open: false,
                sealed_is_kept: s + pack.ready_to >= carry,
            });
        }
    }
    for (index, unit) in larder.stock.iter().enumerate() {
        if unit.food == food {
            all.push(Source {
                lot: Lot::Stock(scant::larder::StockId::new(index)),
                trip: None,
                unit_mg: unit.left_mg,
                units_in_pack: 1,
                price_minor: 0,
                value_nano: unit.value_nano,
                window: (unit.ready_from, unit.ready_to),
                open_life: unit.open_life,
                end: unit.end,
                open: unit.opened,
                sealed_is_kept: unit.ready_to >= carry,
            });
        }
    }
    all
}

/// Mask of the days `first..=last`, of days 0..=20.
pub fn span(first: i32, last: i32) -> u32 {
    (first.max(0)..=last.min(20)).fold(0, |mask, day| mask | 1 << day)
}

/// Prices foods and remembers what it found.
pub struct Pantry<'a> {
    larder: &'a Larder,
    sources: Vec<Vec<Source>>,
    known: HashMap<(FoodId, Vec<Need>), Rc<Vec<Deal>>>,
    /// Steps left before the kitchen counts as too large to try.
    pub budget: u64,
}

impl<'a> Pantry<'a> {
    pub fn new(larder: &'a Larder) -> Self {
        let sources = (0..larder.foods.len())
            .map(|f| sources(larder, FoodId::new(f)))
            .collect();
        Self {
            larder,
            sources,
            known: HashMap::new(),
            budget: u64::MAX,
        }
    }

    pub fn sources(&self, food: FoodId) -> &[Source] {
        &self.sources[food.index()]
    }

    /// All ways worth having of providing `needs` (sorted, one per mask).
    pub fn deals(&mut self, food: FoodId, needs: Vec<Need>) -> Rc<Vec<Deal>> {
        if let Some(found) = self.known.get(&(food, needs.clone())) {
            return Rc::clone(found);
        }
        let mut search = Search::new(self.larder, &self.sources[food.index()], &needs);
        search.budget = self.budget;
        search.open(0, &mut Vec::new());
        self.budget = search.budget;
        let found = Rc::new(search.found);
        self.known.insert((food, needs), Rc::clone(&found));
        found
    }

    /// What is drawn from each opening (and each open unit) in the best drawing.
    pub fn drawn(&self, food: FoodId, needs: &[Need], opened: &[Opened]) -> Vec<(Opened, i64)> {
        let search = Search::new(self.larder, &self.sources[food.index()], needs);
        search.weigh(opened).expect("a deal can be drawn").1
    }
}

struct Search<'a> {
    larder: &'a Larder,
    sources: &'a [Source],
    needs: &'a [Need],
    total: i64,
    /// Source, day, most units, and how many of those beyond need.
    places: Vec<(usize, i32, i64, i64)>,
    found: Vec<Deal>,
    /// Places that may still be looked at.
    budget: u64,
}

impl<'a> Search<'a> {
    fn new(larder: &'a Larder, sources: &'a [Source], needs: &'a [Need]) -> Self {
        assert!(
            needs.len() <= 12,
            "too many kinds of need to try all sets of them"
        );
        let carry = larder.week.carry_day;
        let mut places = Vec::new();
        for (index, source) in sources.iter().enumerate().filter(|(_, s)| !s.open) {
            if source.ageless() {
                let day = source.window.0.max(0);
                let reach = within(needs, span(day, source.end));
                let most = (reach + source.unit_mg - 1) / source.unit_mg;
                let most = if source.trip.is_none() {
                    most.min(1)
                } else {
                    most
                };
                places.push((index, day, most, 0));
                continue;
            }
            for day in source.window.0.max(0)..=source.window.1.min(i32::from(larder.week.lunches))
            {
                let on_the_day: i64 = within(needs, 1 << day);
                if on_the_day == 0 {
                    continue;
                }
                let reach = within(needs, span(day, source.good(day)));
                let flips = source.good(day) >= carry && !source.sealed_is_kept;
                let beyond = if flips { source.units_in_pack - 1 } else { 0 };
                let most = (reach + source.unit_mg - 1) / source.unit_mg + beyond;
                let most = if source.trip.is_none() { 1 } else { most };
                places.push((index, day, most.min(on_the_day), beyond));
            }
        }
        let total = needs.iter().map(|n| n.mg).sum();
        Self {
            larder,
            sources,
            needs,
            total,
            places,
            found: Vec::new(),
            budget: u64::MAX,
        }
    }

    /// Chooses the units of place `at` and all later ones.
    fn open(&mut self, at: usize, opened: &mut Vec<Opened>) {
        if self.budget == 0 {
            return;
        }
        self.budget -= 1;
        if self.short(at, opened) || self.hopeless(opened) {
            return;
        }
        if at == self.places.len() {
            self.settle(opened);
            return;
        }
        let (lot, day, most, _) = self.places[at];
        for units in 0..=most {
            if units > 0 {
                let taken = self.sources[lot].trip.is_none() && opened.iter().any(|o| o.lot == lot);
                if taken {
                    break;
                }
                opened.push(Opened { lot, day, units });
            }
            self.open(at + 1, opened);
            if units > 0 {
                opened.pop();
            }
        }
    }

    /// True if some need stays unmet even if all later places open all they may.
    fn short(&self, at: usize, opened: &[Opened]) -> bool {
        self.needs.iter().any(|need| {
            let reaches = |lot: usize, day: i32| {
                let source = &self.sources[lot];
                span(day, source.good(day)) & need.days != 0
            };
            let now = opened
                .iter()
                .filter(|o| reaches(o.lot, o.day))
                .map(|o| (o.lot, o.units));
            let later = self.places[at..]
                .iter()
                .filter(|p| reaches(p.0, p.1))
                .map(|p| (p.0, p.2));
            let taps = (0..self.sources.len())
                .filter(|&lot| self.sources[lot].open && reaches(lot, self.sources[lot].window.0))
                .map(|lot| (lot, 1));
            let all = now.chain(later).chain(taps);
            all.map(|(lot, units)| units * self.sources[lot].unit_mg)
                .sum::<i64>()
                < need.mg
        })
    }

    /// True if nothing that adds to these openings is worth looking at.
    fn hopeless(&self, opened: &[Opened]) -> bool {
        // All but the last unit of each opening must be full (save those beyond need).
        let mut least = 0;
        for o in opened {
            let beyond = self
                .places
                .iter()
                .find(|p| p.0 == o.lot && p.1 == o.day)
                .map_or(0, |p| p.3);
            least += (o.units - beyond - 1).max(0) * self.sources[o.lot].unit_mg + 1;
        }
        if least > self.total {
            return true;
        }
        // Prices only grow, spoilage is never negative, and what later packs bring back as
        // kept is less than they cost.
        let (trips, price) = self.bill(opened);
        let wishes = &self.larder.wishes;
        let bought = price.is_some();
        let mut sums = Sums {
            foods: i64::from(bought),
            packs_minor: price.unwrap_or(0),
            ..Sums::default()
        };
        if wishes.carry_credit_milli > 0 {
            let credit = (0..self.sources.len())
                .map(|lot| {
                    let source = &self.sources[lot];
                    let units = match source.trip {
                        Some(_) => self.packs(opened, lot) * source.units_in_pack,
                        None => 1,
                    };
                    let price = weighted(source.value_nano, wishes.carry_credit_milli);
                    units * source.unit_mg * price
                })
                .sum();
            sums.keep_credit_nano = credit;
        }
        let key = sums.key(self.larder);
        self.found.iter().any(|deal| {
            deal.trips & !trips == 0
                && deal.bought <= bought
                && deal.price_minor <= sums.packs_minor
                && deal.key <= key
        })
    }

    fn packs(&self, opened: &[Opened], lot: usize) -> i64 {
        let units: i64 = opened
            .iter()
            .filter(|o| o.lot == lot)
            .map(|o| o.units)
            .sum();
        let m = self.sources[lot].units_in_pack;
        (units + m - 1) / m
    }

    /// Trips bought on and the price of the packs, if any.
    fn bill(&self, opened: &[Opened]) -> (u32, Option<i64>) {
        let mut trips = 0;
        let mut price = None;
        for (lot, source) in self.sources.iter().enumerate() {
            if let Some(trip) = source.trip {
                let packs = self.packs(opened, lot);
                if packs > 0 {
                    trips |= 1 << trip;
                    price = Some(price.unwrap_or(0) + packs * source.price_minor);
                }
            }
        }
        (trips, price)
    }

    fn settle(&mut self, opened: &[Opened]) {
        let Some((sums, _)) = self.weigh(opened) else {
            return;
        };
        let (trips, price) = self.bill(opened);
        let deal = Deal {
            trips,
            bought: price.is_some(),
            price_minor: price.unwrap_or(0),
            key: sums.key(self.larder),
            sums,
            opened: opened.to_vec(),
        };
        let beats = |a: &Deal, b: &Deal| {
            a.trips & !b.trips == 0
                && a.bought <= b.bought
                && a.price_minor <= b.price_minor
                && a.key <= b.key
        };
        if self.found.iter().any(|known| beats(known, &deal)) {
            return;
        }
        self.found.retain(|known| !beats(&deal, known));
        self.found.push(deal);
    }

    /// What a milligram of `source` left over counts as, if opened on `day` or not at all.
    fn rest(&self, source: &Source, day: Option<i32>, mg: i64) -> Sums {
        let kept = match day {
            Some(day) => source.good(day) >= self.larder.week.carry_day,
            None => source.sealed_is_kept,
        };
        let value = source.value_nano;
        let wishes = &self.larder.wishes;
        let mut sums = Sums::default();
        if kept {
            sums.kept_nano = mg * value;
            sums.keep_credit_nano = mg * weighted(value, wishes.carry_credit_milli);
        } else {
            sums.spoiled_nano = mg * value;
            sums.spoil_cost_nano = mg * weighted(value, wishes.spoil_weight_milli);
        }
        sums
    }

    /// The least sums over all ways of drawing, and what is drawn from each opening; `None`
    /// if the needs cannot be met or an opening finds no use on its day.
    fn weigh(&self, opened: &[Opened]) -> Option<(Sums, Vec<(Opened, i64)>)> {
        let mut sums = Sums::default();
        let mut taps: Vec<Opened> = opened.to_vec();
        for (lot, source) in self.sources.iter().enumerate() {
            if source.open {
                taps.push(Opened {
                    lot,
                    day: source.window.0.max(0),
                    units: 1,
                });
                continue;
            }
            let out: i64 = opened
                .iter()
                .filter(|o| o.lot == lot)
                .map(|o| o.units)
                .sum();
            let packs = self.packs(opened, lot);
            let units = if source.trip.is_some() {
                packs * source.units_in_pack
            } else {
                1
            };
            sums.packs_minor += packs * source.price_minor;
            if source.trip.is_some() && packs > 0 {
                sums.foods = 1;
            }
            sums = sums.plus(&self.rest(source, None, (units - out) * source.unit_mg));
        }
        let mut flow = Flow::new(self.needs);
        let mut drawn = vec![0; taps.len()];
        // A milligram of each unit on the day it is opened comes first: it is a must.
        for (tap, o) in taps.iter().enumerate() {
            if !self.sources[o.lot].tap() {
                let got = flow.draw(1 << o.day, o.units);
                if got < o.units {
                    return None;
                }
                drawn[tap] += got;
            }
        }
        let gain = |o: &Opened| {
            self.rest(&self.sources[o.lot], Some(o.day), -1)
                .key(self.larder)
        };
        let mut order: Vec<usize> = (0..taps.len()).collect();
        order.sort_by_key(|&tap| gain(&taps[tap]));
        for &tap in &order {
            let o = &taps[tap];
            let source = &self.sources[o.lot];
            let most = o.units * source.unit_mg - drawn[tap];
            drawn[tap] += flow.draw(span(o.day, source.good(o.day)), most);
        }
        if drawn.iter().sum::<i64>() < self.total {
            return None;
        }
        for (tap, o) in taps.iter().enumerate() {
            let source = &self.sources[o.lot];
            let left = o.units * source.unit_mg - drawn[tap];
            sums = sums.plus(&self.rest(source, Some(o.day), left));
        }
        Some((sums, taps.into_iter().zip(drawn).collect()))
    }
}

fn within(needs: &[Need], days: u32) -> i64 {
    needs
        .iter()
        .filter(|n| n.days & days != 0)
        .map(|n| n.mg)
        .sum()
}

/// How much can be drawn so far: the least cut, over all sets of needs.
struct Flow<'a> {
    needs: &'a [Need],
    /// For each set of needs: what it asks for, plus all that can reach needs outside it.
    cuts: Vec<i64>,
    drawn: i64,
}

impl<'a> Flow<'a> {
    fn new(needs: &'a [Need]) -> Self {
        let cuts = (0..1_usize << needs.len())
            .map(|set| {
                needs
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| set >> i & 1 == 1)
                    .map(|(_, n)| n.mg)
                    .sum()
            })
            .collect();
        Self {
            needs,
            cuts,
            drawn: 0,
        }
    }

    /// Adds an opening that can serve needs on `days`, and returns how much more is drawn.
    fn draw(&mut self, days: u32, most: i64) -> i64 {
        let serves = self
            .needs
            .iter()
            .enumerate()
            .filter(|(_, n)| n.days & days != 0)
            .fold(0_usize, |set, (i, _)| set | 1 << i);
        for (set, cut) in self.cuts.iter_mut().enumerate() {
            if serves & !set != 0 {
                *cut += most;
            }
        }
        let now = *self
            .cuts
            .iter()
            .min()
            .expect("the empty set is one of them");
        let more = now - self.drawn;
        self.drawn = now;
        more
    }
}
