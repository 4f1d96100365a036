//! Between which prices of a pack the chosen week stays best.
//!
//! Without a budget the objective of a fixed week grows evenly with the price of a pack, so the
//! best objective is concave in it and the week stays best over one interval. An end point is
//! found from outside: a week that beats the chosen one there crosses it at one price; if the
//! chosen week is proved best just inside the crossing, that is the end, else the week found
//! there crosses it nearer. Prices are whole minor units and both sides of an end are solved:
//! inside it the chosen week is best, one minor unit further it is not. (The value of a leftover
//! is rounded to a millionth of a minor unit per milligram, as at loading; between the ends that
//! rounding is all that could put another week ahead.)
//!
//! A budget counts the price as it is changed. So the chosen week may cost more than the budget
//! from some price on, which is then its end; and weeks come within it as the price falls and
//! leave it as it rises, so that being best at two prices proves nothing of those between. What
//! does is this. Let the chosen week be best within the budget at `low`, and best at `high`
//! among all weeks that cost no more there than the budget and N times `high - low`; then it is
//! best at every price between at which it keeps the budget.
//!
//! Proof. Say another week keeps the budget at a price between and is better there. At `low` it
//! keeps the budget too and is no better, so its objective grows more slowly with the price,
//! and at `high` it is still better. A week that grows more slowly buys no more than N of the
//! pack: a pack bought adds its price less at most the credit for what is kept of it, and the
//! chosen week grows by no more than its packs and all that could spoil. So what the other week
//! costs rises by no more than N times the way from the price between to `high`, and it is one
//! of those that were tried there.
//!
//! Where a week that is tried so is better at `high` and was never better within the budget, a
//! shorter way is gone first; a step of one minor unit needs no proof but its own price.

use std::sync::Arc;

use super::base::Base;
use super::change::{Change, changed};
use super::desk::{Answer, Desk, Question};
use super::facts::{Case, Proof, food_name};
use super::rules::Rule;
use crate::engine::{EngineFault, Solved};
use crate::larder::{Larder, MILLI, PackId};
use crate::plan::Plan;
use crate::rules::judge;

/// How many times the price is asked about at most, if the kitchen passes then.
const MOST_TIMES: i64 = 100;

/// Questions that one end may take; what is then not known is not settled.
const MOST_QUESTIONS: usize = 60;

/// The prices of a pack over which the week stays best.
#[derive(Clone, Debug)]
pub struct PriceRange {
    /// The food.
    pub food: String,
    /// The pack's label.
    pub pack: String,
    /// Where it costs that, if the kitchen names shops.
    pub shop: Option<String>,
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
    /// Proved: the week is best at this price and at all between it and the present one.
    pub price_minor: i64,
    /// What is best one minor unit further out: a week, or that there is none. None if
    /// nothing takes over as far as was asked, or if it was not settled.
    pub beyond: Option<Case>,
    /// One minor unit further out the week costs more than the budget.
    pub over_budget: bool,
    /// Whether the end is exact: the week is not best one minor unit further out, or no
    /// price was asked about further out.
    pub settled: bool,
}

/// What a week pays: the other packs, and how many it buys of the one whose price changes.
#[derive(Clone, Copy, Debug)]
struct Bill {
    others_minor: i64,
    packs: i64,
}

impl Bill {
    fn of(larder: &Larder, plan: &Plan, pack: PackId) -> Self {
        let mut bill = Self {
            others_minor: 0,
            packs: 0,
        };
        for bought in &plan.purchases {
            if bought.pack == pack {
                bill.packs += bought.count;
            } else {
                let price = larder.packs[bought.pack.index()].price_minor;
                bill.others_minor += price * bought.count;
            }
        }
        bill
    }

    fn at(self, price: i64) -> i64 {
        self.others_minor
            .saturating_add(self.packs.saturating_mul(price))
    }
}

/// What is asked of a price.
#[derive(Clone, Copy, Debug)]
enum Asked {
    /// Whether the week is best there.
    Price(i64),
    /// Whether it is among all weeks that cost at most so much.
    Within(i64, i64),
}

impl Asked {
    fn question(self, pack: PackId) -> Question {
        match self {
            Self::Price(price) => priced(pack, price),
            Self::Within(price, budget) => {
                Question::all([Change::Price(pack, price), Change::Budget(budget)])
            }
        }
    }
}

/// The search for one end.
struct Hunt {
    pack: PackId,
    /// Upwards or downwards.
    up: bool,
    /// Proved best here and at all prices from the present one to here.
    good: i64,
    /// Prices still to be proved, the farthest first.
    goals: Vec<i64>,
    /// Proved best at the nearest goal; what lies between is not.
    reached: bool,
    /// The first price beyond the farthest goal, if the week costs more than the budget there.
    over: Option<i64>,
    settled: bool,
    /// Where the chosen week is beaten, nearest so far.
    beaten: Option<i64>,
    /// Questions left.
    left: usize,
    budget: Option<i64>,
    /// Most packs that a week can buy whose objective grows more slowly: N.
    most_packs: i64,
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
        for up in [false, true] {
            hunts.push(Hunt::new(desk, base, pack, up)?);
        }
    }
    // All ends side by side, step by step.
    loop {
        let asked: Vec<(usize, Asked)> = (0..hunts.len())
            .filter_map(|at| Some((at, hunts[at].asks()?)))
            .collect();
        if asked.is_empty() {
            break;
        }
        let questions: Vec<Question> = asked
            .iter()
            .map(|&(at, asked)| asked.question(hunts[at].pack))
            .collect();
        let answers = desk.ask_all(&questions)?;
        for (&(at, asked), answer) in asked.iter().zip(&answers) {
            hunts[at].step(larder, base, asked, answer);
        }
    }
    let beyond: Vec<Question> = hunts
        .iter()
        .filter_map(|hunt| Some(priced(hunt.pack, hunt.beyond()?)))
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
            shop: larder.shop_of(id).map(str::to_owned),
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

/// The objective of a week by the judge, whatever it costs; none if it breaks another rule.
fn objective(larder: &Larder, plan: &Plan) -> Option<i64> {
    judge(larder, plan).ok().map(|tally| tally.objective_nano)
}

/// Most packs that a week can buy whose objective grows no faster with their price than that of
/// one that buys so many.
fn most_packs(larder: &Larder, pack: PackId, bought: i64) -> i64 {
    let (entry, wishes) = (&larder.packs[pack.index()], &larder.wishes);
    let size = i128::from(entry.unit_mg) * i128::from(entry.units);
    // Stock is worth what the first pack of its food is.
    let first = larder.foods[entry.food.index()].packs.start == pack.0;
    let stock = larder.stock.iter().filter(|unit| unit.food == entry.food);
    let stock: i128 = stock.map(|unit| i128::from(unit.left_mg)).sum();
    let stock = if first { stock / size.max(1) + 1 } else { 0 };
    let (spoil, credit, one) = (
        i128::from(wishes.spoil_weight_milli),
        i128::from(wishes.carry_credit_milli),
        i128::from(MILLI),
    );
    let most = (one + spoil) * i128::from(bought) + (spoil + credit) * stock;
    let most = most / (one - credit).max(1) + 1;
    i64::try_from(most).unwrap_or(i64::MAX)
}

impl Hunt {
    fn new(desk: &mut Desk, base: &Base, pack: PackId, up: bool) -> Result<Self, EngineFault> {
        let larder = desk.larder;
        let price = larder.packs[pack.index()].price_minor;
        let bill = Bill::of(larder, &base.solved.plan, pack);
        let budget = larder.wishes.budget_minor;
        let mut far = if up {
            furthest(larder, pack, price.max(1))
        } else {
            price.min(1)
        };
        let mut over = None;
        if let Some(budget) = budget.filter(|_| up) {
            let last = (budget - bill.others_minor) / bill.packs.max(1);
            if last < far {
                over = Some(last + 1);
                far = last;
            }
        }
        let mut hunt = Self {
            pack,
            up,
            good: price,
            goals: vec![far],
            reached: false,
            over,
            settled: true,
            beaten: None,
            left: MOST_QUESTIONS,
            budget,
            most_packs: most_packs(larder, pack, bill.packs),
        };
        hunt.drop_reached();
        // Upwards the week without the food is a rival that costs one question.
        if up && !hunt.goals.is_empty() {
            let food = larder.packs[pack.index()].food;
            let without = desk.ask(&Question::one(Change::BanFood(food)))?;
            if let Some(rival) = without.best() {
                hunt.meet(larder, base, rival);
            }
        }
        Ok(hunt)
    }

    /// What is to be asked next.
    fn asks(&self) -> Option<Asked> {
        let &goal = self.goals.last()?;
        Some(match self.budget {
            Some(budget) if self.reached => {
                let (low, high) = (goal.min(self.good), goal.max(self.good));
                let more = self.most_packs.saturating_mul(high - low);
                Asked::Within(high, budget.saturating_add(more))
            }
            _ => Asked::Price(goal),
        })
    }

    fn drop_reached(&mut self) {
        while self.goals.last() == Some(&self.good) {
            self.goals.pop();
        }
        self.reached = false;
    }

    fn give_up(&mut self) {
        self.settled = false;
        self.beaten = None;
        self.goals.clear();
    }

    fn step(&mut self, larder: &Larder, base: &Base, asked: Asked, answer: &Answer) {
        let Some(&goal) = self.goals.last() else {
            return;
        };
        let (Some(rival), Some(left)) = (answer.best(), self.left.checked_sub(1)) else {
            self.give_up();
            return;
        };
        self.left = left;
        let price = match asked {
            Asked::Price(price) | Asked::Within(price, _) => price,
        };
        let priced = self.at(larder, price);
        let ours = priced.and_then(|priced| objective(&priced, &base.solved.plan));
        if ours.is_some_and(|ours| ours <= rival.tally.objective_nano) {
            // Without a budget the ends prove what lies between.
            let between = self.budget.is_some() && (goal - self.good).abs() > 1;
            if matches!(asked, Asked::Price(_)) && between {
                self.reached = true;
            } else {
                self.good = goal;
                self.drop_reached();
            }
        } else if !self.meet(larder, base, rival) {
            self.nearer(larder, rival);
        }
    }

    /// The larder with the pack at a price, and no budget; as far as was asked every price passes.
    fn at(&self, larder: &Larder, price: i64) -> Option<Larder> {
        let changes = [Change::Price(self.pack, price), Change::Drop(Rule::Budget)];
        changed(larder, &changes).ok()
    }

    /// Notes a rival that beats the chosen week within the budget somewhere on the way to the
    /// nearest goal, if it does: asks next at the last price towards it at which it does not.
    fn meet(&mut self, larder: &Larder, base: &Base, rival: &Arc<Solved>) -> bool {
        let Some(nearest) = self.nearest(larder, base, rival) else {
            return false;
        };
        self.beaten = Some(nearest);
        let inside = if self.up { nearest - 1 } else { nearest + 1 };
        let near = |goal: &i64| (goal - self.good).abs() < (inside - self.good).abs();
        let mut goals = vec![inside];
        goals.extend(self.goals.iter().copied().filter(near));
        self.goals = goals;
        self.drop_reached();
        true
    }

    /// The price on the way to the nearest goal at which the rival first beats the chosen week
    /// within the budget. It does at prices that stand together: the budget is kept up to one
    /// price, and one of two weeks is ahead up to one or from one on.
    fn nearest(&self, larder: &Larder, base: &Base, rival: &Arc<Solved>) -> Option<i64> {
        let &goal = self.goals.last()?;
        let bill = Bill::of(larder, &rival.plan, self.pack);
        let affordable = |price: i64| self.budget.is_none_or(|most| bill.at(price) <= most);
        let beats = |price: i64| {
            let Some(priced) = self.at(larder, price) else {
                return false;
            };
            let ours = objective(&priced, &base.solved.plan);
            let theirs = objective(&priced, &rival.plan);
            let ahead = matches!((ours, theirs), (Some(ours), Some(theirs)) if theirs < ours);
            ahead && affordable(price)
        };
        // The way within the budget: from `start`, at which the chosen week is not beaten, to
        // `end`.
        let (start, end) = match (affordable(self.good), affordable(goal)) {
            (true, true) => (self.good, goal),
            // Upwards.
            (true, false) => (
                self.good,
                turn(self.good, goal, |price| !affordable(price)).0,
            ),
            // Downwards.
            (false, true) => {
                let first = turn(self.good, goal, affordable).1;
                if beats(first) {
                    return Some(first);
                }
                (first, goal)
            }
            (false, false) => return None,
        };
        (end != start && beats(end)).then(|| turn(start, end, beats).1)
    }

    /// Goes a shorter way first, on which the rival is out of the way: it beats the chosen
    /// week nowhere on it, and stands in the way of the proof.
    fn nearer(&mut self, larder: &Larder, rival: &Arc<Solved>) {
        let (Some(&goal), Some(budget)) = (self.goals.last(), self.budget) else {
            self.give_up();
            return;
        };
        let whole = (goal - self.good).abs();
        let bill = Bill::of(larder, &rival.plan, self.pack);
        let beyond = bill.at(self.good) - budget;
        let steps = if beyond <= 0 {
            // Upwards only: behind as long as it keeps the budget.
            (budget - bill.others_minor) / bill.packs.max(1) - self.good
        } else {
            // So few that it costs more than what is let in.
            let grows = if self.up { bill.packs } else { 0 };
            match self.most_packs - grows {
                ..=0 => whole,
                closes => (beyond - 1) / closes,
            }
        };
        let steps = steps.clamp(1, (whole - 1).max(1));
        self.goals.push(if self.up {
            self.good + steps
        } else {
            self.good - steps
        });
        self.reached = false;
    }

    /// The first price beyond the end, if it is known that the week is not best there.
    fn beyond(&self) -> Option<i64> {
        self.beaten.or(self.over.filter(|_| self.settled))
    }

    fn end(&self, desk: &mut Desk, base: &Base) -> Result<End, EngineFault> {
        let mut end = End {
            price_minor: self.good,
            beyond: None,
            over_budget: self.beaten.is_none() && self.over.is_some() && self.settled,
            settled: self.settled,
        };
        if let Some(price) = self.beyond() {
            let answer = desk.ask(&priced(self.pack, price))?;
            let larder = changed(desk.larder, &[Change::Price(self.pack, price)]);
            match (answer.proof, larder) {
                (Proof::Open | Proof::NotAsked, _) | (_, Err(_)) => end.settled = false,
                (_, Ok(larder)) => end.beyond = Some(base.case(&larder, &answer)),
            }
        }
        Ok(end)
    }
}

/// The last price at which something does not hold and the first at which it does, from `not`
/// towards `holds`, at whose ends it is known not to and to hold.
fn turn(not: i64, holds: i64, mut held: impl FnMut(i64) -> bool) -> (i64, i64) {
    let (mut inside, mut outside) = (not, holds);
    while (outside - inside).abs() > 1 {
        let middle = inside + (outside - inside) / 2;
        if held(middle) {
            outside = middle;
        } else {
            inside = middle;
        }
    }
    (inside, outside)
}
