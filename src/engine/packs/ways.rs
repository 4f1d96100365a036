//! The ways of buying and opening one food for known uses on known days.
//!
//! Exact: the least [`Score`] over *all* counts of packs, all days of opening and all
//! draws, as section 4.4 of the model asks. Where other sums have a ceiling (a budget, a
//! settled aim, a cap that stock could spare), all ways are returned that none dominates.
//!
//! [`Score`]: crate::engine::model::score::Score

use crate::engine::model::lots::{FoodModel, day_index};
use crate::engine::model::score::Weights;
use crate::engine::packs::bill::Bill;
use crate::engine::packs::floor::{Chosen, FoodSteps, PackFloor};
use crate::engine::packs::openings::Openings;
use crate::engine::packs::way::{Limited, Uses, Way};
use std::borrow::Cow;

struct Search<'a> {
    asked: &'a Request<'a>,
    /// Milligrams used in all.
    total: i64,
    /// Bought pools whose count is enumerated.
    pools: Vec<usize>,
    /// Bought pool that fills what is missing, if it reaches every day of use.
    filler: Option<usize>,
    /// Buying more may earn more than it costs.
    gains: bool,
    floor: PackFloor<'a>,
    /// What is on hand.
    on_hand: Chosen,
    /// Decisions so far.
    chosen: Openings<'a>,
    found: Vec<Way>,
    ticks: u64,
    stopped: bool,
}

/// Steps between two questions whether to give up: with many eaters the packs of one food
/// alone can be counted out for hours.
const ASKS: u64 = 4_096;

/// What is asked of [`ways`].
pub(in crate::engine) struct Request<'a> {
    /// All ways that none dominates where these have a ceiling; without any, the least one.
    pub(in crate::engine) limited: Limited,
    /// What packs cost at least, where that is known already.
    pub(in crate::engine) steps: Option<&'a FoodSteps>,
    /// Asked now and then; true means give up.
    pub(in crate::engine) halted: &'a dyn Fn() -> bool,
    /// Steps after which counting is given up.
    pub(in crate::engine) most_steps: Option<u64>,
    /// Ways that are known: of the others only those matter that none of them dominates.
    pub(in crate::engine) known: Vec<Way>,
}

/// Ways that were counted out.
pub(in crate::engine) struct CountedOut {
    pub(in crate::engine) ways: Vec<Way>,
    /// Whether none that may matter is left.
    pub(in crate::engine) all: bool,
}

/// Returns the ways that may matter ([`Request::limited`]); none if the uses
/// cannot be served, or if counting was given up.
pub(in crate::engine) fn ways(
    food: &FoodModel,
    weights: &Weights,
    trips: u16,
    uses: &Uses,
    last: i32,
    asked: &Request,
) -> CountedOut {
    let steps = steps_of(food, weights, uses, asked);
    let mut search = Search::new((food, weights, &steps), trips, (uses, last), asked);
    search.found.extend(asked.known.clone());
    search.sort_lots(trips);
    // Without this, what no way can serve would be tried in every way.
    let left: Vec<i64> = search
        .chosen
        .slots
        .iter()
        .map(|slot| slot.capacity)
        .collect();
    if search.reaches(0, &left, &search.pools) {
        search.choose_pools(0, 0);
    }
    let all = !search.stopped;
    CountedOut {
        ways: if all { search.found } else { Vec::new() },
        all,
    }
}

/// What packs cost at least: as known, or worked out for what is used.
fn steps_of<'a>(
    food: &FoodModel,
    weights: &Weights,
    uses: &Uses,
    asked: &Request<'a>,
) -> Cow<'a, FoodSteps> {
    asked.steps.map_or_else(
        || Cow::Owned(FoodSteps::new(food, weights, uses.iter().sum())),
        Cow::Borrowed,
    )
}

impl<'a> Search<'a> {
    fn new(
        (food, weights, steps): (&'a FoodModel, &'a Weights, &'a FoodSteps),
        trips: u16,
        (uses, last): (&'a Uses, i32),
        asked: &'a Request<'a>,
    ) -> Self {
        let total: i64 = uses.iter().sum();
        let opens = |day: i32| uses[day_index(day)] > 0;
        Self {
            asked,
            total,
            pools: Vec::new(),
            filler: None,
            gains: food.may_gain(weights),
            floor: PackFloor::new(food, weights, steps, trips, total, opens),
            on_hand: Chosen::default(),
            chosen: Openings::new((food, weights), (uses, last)),
            found: Vec::new(),
            ticks: 0,
            stopped: false,
        }
    }

    /// Sorts lots that may be used on these trips into pools on hand, pools to buy and dated ones.
    fn sort_lots(&mut self, trips: u16) {
        let (lots, weights) = (self.chosen.lots, self.chosen.weights);
        for (index, lot) in lots.iter().enumerate() {
            if !lot.usable || !lot.is_on(trips) {
                continue;
            }
            if lot.is_stock() {
                self.on_hand.add(lot, 0, weights);
            }
            match lot.pool {
                Some(_) if lot.is_stock() => {}
                Some(_) => self.pools.push(index),
                None => self.chosen.dated.push(index),
            }
        }
        self.filler = self.filler().filter(|_| !self.gains);
        let filler = self.filler;
        self.pools.retain(|&index| Some(index) != filler);
    }

    /// The pool that can fill what is missing: it must reach every day of use; the one with the smallest pack is
    /// chosen, as its count is the longest to enumerate.
    fn filler(&self) -> Option<usize> {
        let lots = self.chosen.lots;
        let reaching = self.pools.iter().copied().filter(|&index| {
            let (from, until) = lots[index].pool.expect("a pool");
            let mut days = 0..=self.chosen.last;
            days.all(|day| self.chosen.uses[day_index(day)] == 0 || (from <= day && day <= until))
        });
        reaching.min_by_key(|&index| (lots[index].unit * lots[index].units, index))
    }

    /// Counts a step; true once told to give up.
    fn stops(&mut self) -> bool {
        self.ticks = self.ticks.wrapping_add(1);
        self.stopped |= self.asked.most_steps.is_some_and(|most| self.ticks > most)
            || self.ticks.is_multiple_of(ASKS) && (self.asked.halted)();
        self.stopped
    }

    /// Whether the days of use from `first` on can still be served, if these pools may be bought, too.
    fn reaches(&self, first: i32, left: &[i64], pools: &[usize]) -> bool {
        let pools = pools.iter().chain(&self.filler).copied();
        self.chosen.reaches(first, left, &pools)
    }

    /// Enumerates the packs of each pool but the filler.
    ///
    /// A lot of which a whole pack is left over might as well hold one pack less: its price
    /// is never below the credit for what it holds. So what is bought beyond one pack of
    /// each lot is less than the use.
    fn choose_pools(&mut self, next: usize, beyond: i64) {
        let Some(&index) = self.pools.get(next) else {
            let left = self.chosen.slots.iter().map(|slot| slot.capacity);
            self.day(0, left.collect(), 0);
            return;
        };
        let lot = &self.chosen.lots[index];
        let (from, until) = lot.pool.expect("a pool");
        let need = self.chosen.used(from, until);
        let capacity = lot.unit * lot.units;
        for count in 0..=need.div_euclid(capacity) + i64::from(need % capacity != 0) {
            let beyond = beyond + (count - 1).max(0) * capacity;
            if beyond > 0 && beyond >= self.total || self.stops() {
                break;
            }
            self.chosen.buy(index, count);
            let hopeless = self.hopeless(0, 0);
            if !hopeless {
                self.choose_pools(next + 1, beyond);
            }
            if count > 0 {
                self.chosen.give_back(index);
            }
            // One more is paid for with no less than it saves elsewhere.
            if hopeless && !self.gains {
                break;
            }
        }
    }

    /// Decides what is opened on `day`, given what is left in each slot.
    fn day(&mut self, day: i32, left: Vec<i64>, filler_need: i64) {
        if day > self.chosen.last {
            self.finish(filler_need);
            return;
        }
        let use_today = self.chosen.uses[day_index(day)];
        if use_today == 0 {
            self.day(day + 1, left, filler_need);
            return;
        }
        // Until a way is known no floor ends anything: then what leads to none has to.
        if self.found.is_empty() && !self.reaches(day, &left, &[]) {
            return;
        }
        self.open(day, 0, use_today, left, filler_need);
    }

    /// Opens units of dated lot `next` and those after it on `day`; true if what is chosen
    /// cannot matter any more.
    fn open(
        &mut self,
        day: i32,
        next: usize,
        room: i64,
        mut left: Vec<i64>,
        filler_need: i64,
    ) -> bool {
        if self.stops() || self.hopeless(filler_need, self.chosen.lacks(day, &left)) {
            return true;
        }
        let Some(&index) = self.chosen.dated.get(next) else {
            // What ends first serves as much as any draws can: no others would lack less.
            let lacking = self.chosen.draw(day, &mut left);
            if let Some(lacking) = lacking.filter(|&mg| mg == 0 || self.filler.is_some()) {
                self.day(day + 1, left, filler_need + lacking);
            }
            return false;
        };
        let lot = &self.chosen.lots[index];
        if day < lot.open_from || day > lot.open_to {
            return self.open(day, next + 1, room, left, filler_need);
        }
        let most = self.chosen.most_opened(next, day).min(room);
        for count in 0..=most {
            if self.stopped {
                break;
            }
            let mut next_left = left.clone();
            if count > 0 {
                self.chosen.open(index, day, count);
                if self.chosen.one_too_many(day) {
                    self.chosen.take_back();
                    break;
                }
                next_left.push(count * lot.unit);
            }
            let hopeless = self.open(day, next + 1, room - count, next_left, filler_need);
            if count > 0 {
                self.chosen.take_back();
            }
            // One more is paid for with no less than it saves elsewhere.
            if hopeless && !self.gains {
                break;
            }
        }
        false
    }

    /// Whether nothing from here can matter: the floors of [`PackFloor`] against what was found.
    ///
    /// What is wanted from a day on beyond what lasts until then and what is there but not opened
    /// yet is still to be bought: what ends first is drawn first, so no other draws would have
    /// left more. Of equal ways the first is taken, so what can at best be equal does not matter.
    fn hopeless(&self, filler_need: i64, lacks: i64) -> bool {
        if self.found.is_empty() {
            return false;
        }
        let mut chosen = self.chosen.beside(&self.on_hand);
        let lacks = (lacks - (chosen.held - chosen.open)).max(0);
        chosen.missing = filler_need + lacks;
        self.worse(&self.floor.floor(&chosen))
    }

    /// Prices a complete choice of packs and openings, the filler's packs among them.
    fn finish(&mut self, filler_need: i64) {
        let Some(index) = self.filler.filter(|_| filler_need > 0) else {
            self.note();
            return;
        };
        let lot = &self.chosen.lots[index];
        let capacity = lot.unit * lot.units;
        self.chosen
            .buy(index, (filler_need + capacity - 1) / capacity);
        self.note();
        self.chosen.give_back(index);
    }

    /// Notes what is chosen as a way, if it may matter.
    fn note(&mut self) {
        let bill = self.chosen.bill();
        if !self.might_matter(bill) {
            return;
        }
        let (mut way, _) = self.chosen.priced(bill);
        if self.worse(&way) {
            return;
        }
        way.picked = self.chosen.picked();
        let limited = self.asked.limited;
        self.found.retain(|old| !limited.dominates(&way, old));
        self.found.push(way);
    }

    /// Whether a way is no better than what was found.
    fn worse(&self, way: &Way) -> bool {
        let limited = self.asked.limited;
        self.found.iter().any(|old| limited.dominates(old, way))
    }

    /// Whether what is chosen may matter, whatever is drawn when: `bill` is that of all but
    /// what is left in slots.
    fn might_matter(&self, mut bill: Bill) -> bool {
        if self.found.is_empty() {
            return true;
        }
        let parts = || {
            let slots = self.chosen.slots.iter();
            slots.map(|slot| (slot.leftover, slot.capacity))
        };
        let held: i64 = parts().map(|(_, capacity)| capacity).sum();
        bill.leave_lightest(parts(), held - self.total);
        !self.worse(&bill.way(self.chosen.weights))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::lots::{LotModel, drop_later};
    use crate::engine::model::samples::numbers;
    use crate::engine::model::score::Score;
    use crate::engine::packs::samples::{BOTH, LAST, every_way, food, uses, weights, with_lots};

    fn asked(limited: Limited) -> Request<'static> {
        Request {
            limited,
            steps: None,
            halted: &|| false,
            most_steps: None,
            known: Vec::new(),
        }
    }

    /// Whether `a` does wherever `b` does, where these sums have a ceiling, and is no worse.
    fn does_for(limited: Limited, a: &Score, b: &Score) -> bool {
        let sums = |score: &Score| {
            [
                (limited.foods, score.foods),
                (limited.cost, score.cost),
                (limited.spoiled, score.spoiled),
            ]
        };
        let mut both = sums(a).into_iter().zip(sums(b));
        a <= b && both.all(|((limited, a), (_, b))| !limited || a <= b)
    }

    /// The least way, and the ways that none does for under any ceilings, of small foods.
    #[test]
    fn finds_what_trying_every_milligram_finds() {
        let mut next = numbers(11);
        let (mut served, mut unserved, mut several) = (0, 0, [0; 8]);
        for turn in 0..4_000 {
            let (food, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let every = every_way(&food, &weights, &uses);
            let told = || format!("{turn}: {food:?} {weights:?} {uses:?}");
            for (which, several) in several.iter_mut().enumerate() {
                let limited = Limited {
                    foods: which & 1 != 0,
                    cost: which & 2 != 0,
                    spoiled: which & 4 != 0,
                };
                let found = ways(&food, &weights, BOTH, &uses, LAST, &asked(limited)).ways;
                let front: Vec<Score> = found.iter().map(|way| way.score).collect();
                assert_eq!(front.iter().min(), every.first(), "{which} {}", told());
                for way in &every {
                    let mut met = front.iter();
                    assert!(
                        met.any(|one| does_for(limited, one, way)),
                        "{which} {}",
                        told()
                    );
                }
                for (at, one) in front.iter().enumerate() {
                    assert!(every.contains(one), "{which} {}", told());
                    let mut others = front.iter().enumerate();
                    let dominated = |other: &Score| does_for(limited, other, one);
                    let met = others.any(|(of, other)| of != at && dominated(other));
                    assert!(!met, "{which} {}", told());
                }
                *several += i32::from(front.len() > 1);
            }
            *(if every.is_empty() {
                &mut unserved
            } else {
                &mut served
            }) += 1;
        }
        assert!(served > 2_000 && unserved > 300, "{served} {unserved}");
        assert_eq!(several[0], 0);
        assert!(several[1..].iter().all(|&times| times > 20), "{several:?}");
    }

    /// Lots of later trips that are dropped, all trips being free, are of no use to any way.
    #[test]
    fn no_way_needs_a_lot_that_is_dropped() {
        let mut next = numbers(12);
        let (mut dropped, mut kept) = (0, 0);
        for turn in 0..10_000 {
            let (all, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let mut left = all.lots.clone();
            drop_later(&mut left, LAST, &|_| true);
            let usable = |lots: &[LotModel]| {
                let bought = lots.iter().filter(|lot| lot.trip == Some(1) && lot.usable);
                bought.count()
            };
            dropped += usable(&all.lots) - usable(&left);
            kept += usable(&left);
            let left = with_lots(left);
            assert_eq!(
                every_way(&left, &weights, &uses).first(),
                every_way(&all, &weights, &uses).first(),
                "{turn}: {all:?} {weights:?} {uses:?}"
            );
        }
        assert!(dropped > 500 && kept > 500, "{dropped} {kept}");
    }
}
