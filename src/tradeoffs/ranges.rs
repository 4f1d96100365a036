//! Between which prices of a pack the chosen week stays best.
//!
//! The objective of a fixed week grows evenly with the price of a pack, so the best objective
//! is concave in it and the week stays best over one interval. An end point is found from
//! outside: a week that beats the chosen one there crosses it at one price; if the chosen week
//! is proved best just inside the crossing, that is the end, else the week found there crosses
//! it nearer. Prices are whole minor units and both sides of an end are solved: inside it the
//! chosen week is best, one minor unit further it is not. (The value of a leftover is rounded
//! to a millionth of a minor unit per milligram, as at loading; between the ends that rounding
//! is all that could put another week ahead.)

use std::sync::Arc;

use super::Base;
use super::change::{Change, changed};
use super::desk::{Answer, Desk, Question};
use super::facts::{Case, Proof, food_name};
use crate::engine::{EngineFault, Solved};
use crate::larder::{Larder, PackId};
use crate::plan::Plan;
use crate::rules::judge;

/// How many times the price is asked about at most, if the kitchen passes then.
const MOST_TIMES: i64 = 100;

/// The prices of a pack over which the week stays best.
#[derive(Clone, Debug)]
pub struct PriceRange {
    /// The food.
    pub food: String,
    /// The pack's label.
    pub pack: String,
    /// Its price.
    pub price_minor: i64,
    /// The lower end.
    pub low: End,
    /// The upper end.
    pub high: End,
}

/// An end of a range.
#[derive(Clone, Debug)]
pub struct End {
    /// Proved: the week is best at this price.
    pub price_minor: i64,
    /// The week that is best one minor unit further out; none if nothing takes over as far
    /// as was asked, or if it was not settled.
    pub beyond: Option<Case>,
    /// Whether the end is exact: the week is not best one minor unit further out, or no
    /// price was asked about further out.
    pub settled: bool,
}

/// The search for one end.
struct Hunt {
    pack: PackId,
    /// Proved best here.
    good: i64,
    /// To be asked next.
    ask: Option<i64>,
    settled: bool,
    /// Where the chosen week is beaten, nearest so far.
    beaten: Option<i64>,
}

pub(super) fn ranges(desk: &mut Desk, base: &Base) -> Result<Vec<PriceRange>, EngineFault> {
    let larder = desk.larder;
    if !larder.wishes.order.is_empty() {
        // Under a strict order the best week is not concave in a price.
        return Ok(Vec::new());
    }
    let mut packs: Vec<PackId> = base
        .solved
        .plan
        .purchases
        .iter()
        .map(|bought| bought.pack)
        .collect();
    packs.dedup();
    let mut hunts = Vec::new();
    for &pack in &packs {
        let price = larder.packs[pack.index()].price_minor;
        for far in [1, furthest(larder, pack, price)] {
            hunts.push(Hunt::new(desk, base, pack, price, far)?);
        }
    }
    // All ends side by side, step by step.
    loop {
        let asked: Vec<usize> = (0..hunts.len())
            .filter(|&at| hunts[at].ask.is_some())
            .collect();
        if asked.is_empty() {
            break;
        }
        let questions: Vec<Question> = asked
            .iter()
            .filter_map(|&at| hunts[at].ask.map(|price| priced(hunts[at].pack, price)))
            .collect();
        let answers = desk.ask_all(&questions)?;
        for (&at, answer) in asked.iter().zip(&answers) {
            hunts[at].step(larder, base, answer);
        }
    }
    let beyond: Vec<Question> = hunts
        .iter()
        .filter_map(|hunt| hunt.beaten.map(|price| priced(hunt.pack, price)))
        .collect();
    desk.ask_all(&beyond)?;
    let mut ends = Vec::new();
    for hunt in &hunts {
        ends.push(hunt.end(desk, base)?);
    }
    let mut ends = ends.into_iter();
    let mut told = Vec::new();
    for &id in &packs {
        let (Some(low), Some(high)) = (ends.next(), ends.next()) else {
            break;
        };
        let pack = &larder.packs[id.index()];
        told.push(PriceRange {
            food: food_name(larder, pack.food),
            pack: pack.label.clone(),
            price_minor: pack.price_minor,
            low,
            high,
        });
    }
    Ok(told)
}

/// The highest price that is asked about: at it, and at all below, the kitchen still passes.
fn furthest(larder: &Larder, pack: PackId, price: i64) -> i64 {
    let passes = |price| changed(larder, &[Change::Price(pack, price)]).is_ok();
    let most = price.saturating_mul(MOST_TIMES);
    if passes(most) {
        return most;
    }
    let (mut inside, mut outside) = (price, most);
    while outside - inside > 1 {
        let middle = i64::midpoint(inside, outside);
        if passes(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

fn priced(pack: PackId, price_minor: i64) -> Question {
    Question::one(Change::Price(pack, price_minor))
}

/// The objective of a week by the judge; none if it breaks a rule.
fn objective(larder: &Larder, plan: &Plan) -> Option<i64> {
    judge(larder, plan).ok().map(|tally| tally.objective_nano)
}

impl Hunt {
    fn new(
        desk: &mut Desk,
        base: &Base,
        pack: PackId,
        price: i64,
        far: i64,
    ) -> Result<Self, EngineFault> {
        let mut hunt = Self {
            pack,
            good: price,
            ask: Some(far).filter(|&far| far != price),
            settled: true,
            beaten: None,
        };
        // Upwards the week without the food is a rival that costs one question.
        if far > price {
            let food = desk.larder.packs[pack.index()].food;
            let without = desk.ask(&Question::one(Change::BanFood(food)))?;
            if let Some(rival) = without.best() {
                let larder = desk.larder;
                hunt.meet(larder, base, rival, far);
            }
        }
        Ok(hunt)
    }

    /// Notes a rival that is cheaper at `far`, if it is: asks next at the last price towards
    /// it at which it is not.
    fn meet(&mut self, larder: &Larder, base: &Base, rival: &Arc<Solved>, far: i64) {
        let ahead = |price: i64| {
            // As far as was asked every price passes, and so does each before it.
            let Ok(priced) = changed(larder, &[Change::Price(self.pack, price)]) else {
                return false;
            };
            let ours = objective(&priced, &base.solved.plan);
            let theirs = objective(&priced, &rival.plan);
            matches!((ours, theirs), (Some(ours), Some(theirs)) if theirs < ours)
        };
        if !ahead(far) {
            return;
        }
        let (mut inside, mut outside) = (self.good, far);
        while (outside - inside).abs() > 1 {
            let middle = inside + (outside - inside) / 2;
            if ahead(middle) {
                outside = middle;
            } else {
                inside = middle;
            }
        }
        self.beaten = Some(outside);
        self.ask = Some(inside).filter(|&inside| inside != self.good);
    }

    fn step(&mut self, larder: &Larder, base: &Base, answer: &Answer) {
        let Some(price) = self.ask.take() else { return };
        let Some(rival) = answer.best() else {
            self.settled = false;
            self.beaten = None;
            return;
        };
        let priced = changed(larder, &[Change::Price(self.pack, price)]).ok();
        let ours = priced.and_then(|priced| objective(&priced, &base.solved.plan));
        if ours.is_some_and(|ours| ours <= rival.tally.objective_nano) {
            self.good = price;
        } else {
            self.meet(larder, base, rival, price);
        }
    }

    fn end(&self, desk: &mut Desk, base: &Base) -> Result<End, EngineFault> {
        let mut end = End {
            price_minor: self.good,
            beyond: None,
            settled: self.settled,
        };
        if let Some(price) = self.beaten {
            let answer = desk.ask(&priced(self.pack, price))?;
            if answer.proof == Proof::Best {
                end.beyond = Some(base.case(desk.larder, &answer));
            } else {
                end.settled = false;
            }
        }
        Ok(end)
    }
}
