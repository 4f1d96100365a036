//! The ways of buying and opening one food for known uses on known days.
//!
//! Exact: the least [`Score`] over *all* counts of packs, all days of opening and all
//! draws, as section 4.4 of the model asks. Where several sums matter at once (a budget, a
//! settled aim, a cap that stock could spare), the whole front of ways is returned.

use crate::engine::model::lots::{FoodModel, LotModel, day_index};
use crate::engine::model::score::{Score, Weights};
use crate::engine::packs::floor::{Chosen, FoodSteps, PackFloor, left_over};
use crate::engine::packs::way::{DAYS, LotUse, Opened, Uses, Way};
use crate::plan::Lot;

/// Units opened together (a dated lot on one day), or a whole pool.
#[derive(Clone, Copy, Debug)]
struct Slot {
    lot: usize,
    /// Day of opening; for a pool its first day.
    from: i32,
    until: i32,
    units: i64,
    capacity: i64,
    /// Forced draw on the day of opening (a milligram a unit); 0 for pools.
    forced: i64,
    /// Weight of a leftover milligram in the objective and in spoiled value.
    weight: i64,
    spoils: i64,
}

#[allow(
    clippy::struct_excessive_bools,
    reason = "each is a fact by itself, read in one place"
)]
struct Search<'a> {
    lots: &'a [LotModel],
    weights: &'a Weights,
    uses: &'a Uses,
    last: i32,
    total: i64,
    front: bool,
    detail: bool,
    /// Dated lots on allowed trips (and sealed stock).
    dated: Vec<usize>,
    /// Bought pools whose count is enumerated.
    pools: Vec<usize>,
    /// Bought pool that fills what is missing, if it reaches every day of use.
    filler: Option<usize>,
    /// Buying more may earn more than it costs.
    gains: bool,
    floor: PackFloor<'a>,
    /// What is on hand.
    stock: Chosen,
    // Decisions so far.
    slots: Vec<Slot>,
    counts: Vec<i64>,
    opened: Vec<i64>,
    found: Vec<Way>,
    halted: &'a dyn Fn() -> bool,
    ticks: u32,
    stopped: bool,
}

/// Steps between two questions whether to give up: with many eaters the packs of one food
/// alone can be counted out for hours.
const ASKS: u32 = 4_096;

/// What is asked of [`ways`].
pub(in crate::engine) struct Asked<'a> {
    /// All nondominated ways instead of the least one.
    pub(in crate::engine) front: bool,
    /// What is opened when, too.
    pub(in crate::engine) detail: bool,
    /// What packs cost at least, where that is known already.
    pub(in crate::engine) steps: Option<&'a FoodSteps>,
    /// Asked now and then; true means give up.
    pub(in crate::engine) halted: &'a dyn Fn() -> bool,
}

/// Returns the nondominated ways (`front`), or the least one alone; none if the uses
/// cannot be served, or if `halted` said to give up.
pub(in crate::engine) fn ways(
    food: &FoodModel,
    weights: &Weights,
    trips: u16,
    uses: &Uses,
    last: i32,
    asked: &Asked,
) -> Vec<Way> {
    let total: i64 = uses.iter().sum();
    let own;
    let steps = if let Some(steps) = asked.steps {
        steps
    } else {
        own = FoodSteps::new(food, weights, total);
        &own
    };
    let opens = |day: i32| uses[day_index(day)] > 0;
    let floor = PackFloor::new(food, weights, steps, trips, total, opens);
    let mut stock = Chosen::default();
    let mut dated = Vec::new();
    let mut pools = Vec::new();
    let mut slots = Vec::new();
    for (index, lot) in food.lots.iter().enumerate() {
        if lot.trip.is_some_and(|trip| trips & (1 << trip) == 0) {
            continue;
        }
        if !lot.usable {
            continue;
        }
        if lot.stock {
            stock.add(lot, 0, weights);
        }
        match (lot.pool, lot.stock) {
            (Some((from, until)), true) => {
                let fate = leftover(lot, lot.sealed_kept, 1, weights);
                slots.push(Slot {
                    lot: index,
                    from,
                    until,
                    units: 1,
                    capacity: lot.unit,
                    forced: 0,
                    weight: fate.objective,
                    spoils: fate.spoiled,
                });
            }
            (Some(_), false) => pools.push(index),
            (None, _) => dated.push(index),
        }
    }
    // The filler must reach every day of use; the one with the smallest pack is chosen, as
    // its count is the longest to enumerate.
    let filler = pools
        .iter()
        .copied()
        .filter(|&index| {
            let (from, until) = food.lots[index].pool.expect("a pool");
            (0..=last).all(|d| uses[day_index(d)] == 0 || (from <= d && d <= until))
        })
        .min_by_key(|&index| (food.lots[index].unit * food.lots[index].units, index))
        .filter(|_| !food.may_gain(weights));
    pools.retain(|&index| Some(index) != filler);
    let mut search = Search {
        lots: &food.lots,
        weights,
        uses,
        last,
        total,
        front: asked.front,
        detail: asked.detail,
        dated,
        pools,
        filler,
        gains: food.may_gain(weights),
        floor,
        stock,
        slots,
        counts: vec![0; food.lots.len()],
        opened: vec![0; food.lots.len()],
        found: Vec::new(),
        halted: asked.halted,
        ticks: 0,
        stopped: false,
    };
    if !search.servable() {
        return Vec::new();
    }
    search.choose_pools(0, 0);
    if search.stopped {
        return Vec::new();
    }
    search.found
}

/// What `mg` left in a lot counts for.
fn leftover(lot: &LotModel, kept: bool, mg: i64, weights: &Weights) -> Score {
    let (weight, spoils) = left_over(lot, kept, weights);
    Score {
        objective: weight * mg,
        spoiled: spoils * mg,
        ..Score::default()
    }
}

impl Search<'_> {
    /// Counts a step; true once told to give up.
    fn stops(&mut self) -> bool {
        self.ticks = self.ticks.wrapping_add(1);
        if self.ticks.is_multiple_of(ASKS) && (self.halted)() {
            self.stopped = true;
        }
        self.stopped
    }

    /// Whether every day of use is in reach at the start, of any pool that may be bought too.
    ///
    /// Without this, what no way can serve would be tried in every way.
    fn servable(&self) -> bool {
        let left: Vec<i64> = self.slots.iter().map(|slot| slot.capacity).collect();
        self.reaches(0, &left, &self.pools)
    }

    /// Whether the days of use from `first` on can still be served: each by a lot that can be
    /// bought without end (opened from `first` on, the filler, or one of `pools`), the others
    /// together by what is `left` in the slots and by what is on hand and still sealed, as far as
    /// those go if every unit could be opened on every day.
    fn reaches(&self, first: i32, left: &[i64], pools: &[usize]) -> bool {
        let used = |day: i32| day >= first && self.uses[day_index(day)] > 0;
        let within = |lot: &LotModel, day: i32| match lot.pool {
            Some((from, until)) => from <= day && day <= until,
            None => (lot.open_from.max(0)..=lot.open_to.min(day))
                .any(|opened| used(opened) && lot.good(opened) >= day),
        };
        let lots = || self.dated.iter().chain(pools).chain(&self.filler);
        let bought = || lots().map(|&lot| &self.lots[lot]).filter(|lot| !lot.stock);
        let mut need = [0; DAYS];
        for day in (first..=self.last).filter(|&day| used(day)) {
            if !bought().any(|lot| within(lot, day)) {
                need[day_index(day)] = self.uses[day_index(day)];
            }
        }
        if need == [0; DAYS] {
            return true;
        }
        let sealed = self.dated.iter().copied();
        let sealed = sealed.filter(|&lot| self.lots[lot].stock && self.opened[lot] == 0);
        let units = sealed.map(|index| {
            let lot = &self.lots[index];
            Slot {
                lot: index,
                from: lot.open_from.max(first),
                until: lot.good(lot.open_to),
                units: 1,
                capacity: lot.unit,
                forced: 0,
                weight: 0,
                spoils: 0,
            }
        });
        let begun = self.slots.iter().zip(left).map(|(slot, &left)| Slot {
            capacity: left,
            forced: 0,
            ..*slot
        });
        let slots: Vec<Slot> = units.chain(begun).collect();
        let chosen = vec![true; slots.len()];
        most_given(&slots, &chosen, &need, self.last) == need.iter().sum::<i64>()
    }

    /// Enumerates the packs of each pool but the filler.
    ///
    /// A lot of which a whole pack is left over might as well hold one pack less: its price
    /// is never below the credit for what it holds. So what is bought beyond one pack of
    /// each lot is less than the use.
    fn choose_pools(&mut self, next: usize, beyond: i64) {
        let Some(&index) = self.pools.get(next) else {
            let slots = self.slots.clone();
            let left: Vec<i64> = slots.iter().map(|slot| slot.capacity).collect();
            self.day(0, left, 0);
            return;
        };
        let lot = &self.lots[index];
        let (from, until) = lot.pool.expect("a pool");
        let need: i64 = (from..=until.min(self.last))
            .map(|d| self.uses[day_index(d)])
            .sum();
        let capacity = lot.unit * lot.units;
        let fate = leftover(lot, lot.sealed_kept, 1, self.weights);
        for count in 0..=need.div_euclid(capacity) + i64::from(need % capacity != 0) {
            let beyond = beyond + (count - 1).max(0) * capacity;
            if beyond > 0 && beyond >= self.total || self.stops() {
                break;
            }
            self.counts[index] = count;
            if count > 0 {
                self.slots.push(Slot {
                    lot: index,
                    from,
                    until,
                    units: count * lot.units,
                    capacity: count * capacity,
                    forced: 0,
                    weight: fate.objective,
                    spoils: fate.spoiled,
                });
            }
            let hopeless = self.hopeless(0, 0);
            if !hopeless {
                self.choose_pools(next + 1, beyond);
            }
            if count > 0 {
                self.slots.pop();
            }
            // One more is paid for with no less than it saves elsewhere.
            if hopeless && !self.gains {
                break;
            }
        }
        self.counts[index] = 0;
    }

    /// Decides what is opened on `day`, given what is left in each slot.
    fn day(&mut self, day: i32, left: Vec<i64>, filler_need: i64) {
        if day > self.last {
            self.finish(filler_need);
            return;
        }
        let use_today = self.uses[day_index(day)];
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

    /// What the uses from `day` on lack at least beyond what is left in each slot: for each day,
    /// those from it on beyond what lasts until it.
    fn lacks(&self, day: i32, left: &[i64]) -> i64 {
        let (mut wanted, mut lacks) = (0, 0);
        for from in (day..=self.last).rev() {
            let used = self.uses[day_index(from)];
            if used > 0 {
                wanted += used;
                let held = self.slots.iter().zip(left);
                let held = held.filter(|(slot, _)| slot.until >= from);
                lacks = lacks.max(wanted - held.map(|(_, left)| left).sum::<i64>());
            }
        }
        lacks
    }

    /// Opens units of dated lot `next` and those after it on `day`; true if what is chosen
    /// cannot matter any more.
    fn open(&mut self, day: i32, next: usize, room: i64, left: Vec<i64>, filler_need: i64) -> bool {
        if self.stops() || self.hopeless(filler_need, self.lacks(day, &left)) {
            return true;
        }
        let Some(&index) = self.dated.get(next) else {
            if let Some((left, missing)) = self.draw(day, left) {
                self.day(day + 1, left, filler_need + missing);
            }
            return false;
        };
        let lot = &self.lots[index];
        if day < lot.open_from || day > lot.open_to {
            return self.open(day, next + 1, room, left, filler_need);
        }
        let until = lot.good(day);
        let most = if self.waits(next) || self.fresher(next, day) {
            0
        } else {
            self.most_opened(lot, index, day, until).min(room)
        };
        let kept = until >= lot.carry;
        let fate = leftover(lot, kept, 1, self.weights);
        let (unit, units) = (lot.unit, lot.units);
        let stock = lot.stock;
        for count in 0..=most {
            if self.stopped {
                break;
            }
            if count > 0 {
                self.slots.push(Slot {
                    lot: index,
                    from: day,
                    until,
                    units: count,
                    capacity: count * unit,
                    forced: count,
                    weight: fate.objective,
                    spoils: fate.spoiled,
                });
                if self.one_too_many(day) {
                    self.slots.pop();
                    break;
                }
                self.opened[index] += count;
                if !stock {
                    self.counts[index] = (self.opened[index] + units - 1) / units;
                }
            }
            let mut next_left = left.clone();
            if count > 0 {
                next_left.push(count * unit);
            }
            let hopeless = self.open(day, next + 1, room - count, next_left, filler_need);
            if count > 0 {
                self.slots.pop();
                self.opened[index] -= count;
                if !stock {
                    self.counts[index] = (self.opened[index] + units - 1) / units;
                }
            }
            // One more is paid for with no less than it saves elsewhere.
            if hopeless && !self.gains {
                break;
            }
        }
        false
    }

    /// Whether the unit on hand at `next` waits for the one before it, which is like it and
    /// still sealed.
    ///
    /// Proof: units that differ in nothing may change places in any way of opening them, and
    /// then stand in the order in which they are opened, those never opened last. Without this
    /// a carton of twelve would be tried in every order.
    fn waits(&self, next: usize) -> bool {
        let Some(before) = next.checked_sub(1).map(|before| self.dated[before]) else {
            return false;
        };
        self.opened[before] == 0 && self.lots[self.dated[next]].alike(&self.lots[before])
    }

    /// Whether the same pack bought on a later trip does for the one at `next` on `day`.
    ///
    /// Proof: it costs the same, and opened on the same day it is good for as long or longer,
    /// so it may take the other's place. Packs of several units are left alone: the others of
    /// the pack may be opened on other days.
    fn fresher(&self, next: usize, day: i32) -> bool {
        let lot = &self.lots[self.dated[next]];
        let Lot::Bought(pack, _) = lot.lot else {
            return false;
        };
        lot.units == 1
            && self.dated[next + 1..].iter().any(|&other| {
                let other = &self.lots[other];
                matches!(other.lot, Lot::Bought(same, _) if same == pack)
                    && other.open_from <= day
                    && day <= other.open_to
                    && other.good(day) >= lot.good(day)
            })
    }

    /// Whether one of the packs opened on `day` is not needed.
    ///
    /// Proof: let it be good for no longer than the other units opened on the day that are
    /// counted here, and let those hold all that is used from this day on. Then they can
    /// give what it gives: for each day they lasted until, what must come from them by then
    /// is no more than they hold. A pack of one unit is then not bought at all, which lowers
    /// what is paid and what is left; unless what is left earns credit.
    fn one_too_many(&self, day: i32) -> bool {
        if self.weights.keep > 0 {
            return false;
        }
        let wanted: i64 = (day..=self.last).map(|d| self.uses[day_index(d)]).sum();
        let opened = || {
            let slots = self.slots.iter();
            slots.filter(|slot| slot.forced > 0 && slot.from == day)
        };
        opened().any(|one| {
            let lot = &self.lots[one.lot];
            let beside = opened().filter(|slot| slot.until >= one.until);
            let held: i64 = beside.map(|slot| slot.capacity).sum();
            !lot.stock && lot.units == 1 && held - lot.unit >= wanted
        })
    }

    /// Most units of a lot worth opening on `day`.
    ///
    /// Proof: what is drawn from units opened on `day` is at most the use W of the days
    /// they last, so `ceil(W / unit)` of them can serve it; one more stays sealed at no
    /// loss, unless opening it keeps what sealed would spoil. Then only units that are
    /// there anyway are worth opening: those of a pack already begun, or stock.
    fn most_opened(&self, lot: &LotModel, index: usize, day: i32, until: i32) -> i64 {
        let need: i64 = (day..=until.min(self.last))
            .map(|d| self.uses[day_index(d)])
            .sum();
        let mut most = (need + lot.unit - 1) / lot.unit;
        if !lot.sealed_kept && until >= lot.carry {
            most += lot.units - 1;
        }
        if lot.stock {
            most = most.max(1).min(1 - self.opened[index]);
        }
        most
    }

    /// Draws the use of `day`: first the forced milligrams, then whatever ends first.
    /// Returns what is left in each slot and what the filler must give, or nothing if the
    /// use cannot be met.
    ///
    /// Taking what ends first serves as much as any draws can (the slots are intervals of
    /// days), so this decides feasibility and the least the filler must give.
    fn draw(&self, day: i32, mut left: Vec<i64>) -> Option<(Vec<i64>, i64)> {
        let mut need = self.uses[day_index(day)];
        for (slot, left) in self.slots.iter().zip(&mut left) {
            if slot.forced > 0 && slot.from == day {
                need -= slot.forced;
                *left -= slot.forced;
            }
        }
        if need < 0 {
            return None;
        }
        while need > 0 {
            let best = self
                .slots
                .iter()
                .enumerate()
                .filter(|(i, slot)| slot.from <= day && day <= slot.until && left[*i] > 0)
                .min_by_key(|(i, slot)| (slot.until, *i));
            let Some((index, _)) = best else { break };
            let take = need.min(left[index]);
            left[index] -= take;
            need -= take;
        }
        if need > 0 && self.filler.is_none() {
            return None;
        }
        Some((left, need))
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
        let mut chosen = self.stock;
        for (lot, &count) in self.lots.iter().zip(&self.counts) {
            if count > 0 {
                chosen.add(lot, count, self.weights);
            }
        }
        chosen.open = self.slots.iter().map(|slot| slot.capacity).sum();
        let lacks = (lacks - (chosen.held - chosen.open)).max(0);
        chosen.missing = filler_need + lacks;
        let bound = self.floor.floor(&chosen);
        self.found.iter().any(|way| {
            if self.front {
                dominates(way, &bound)
            } else {
                way.score <= bound.score
            }
        })
    }

    /// Prices a complete choice of packs and openings with its best draws.
    fn finish(&mut self, filler_need: i64) {
        let mut slots = self.slots.clone();
        let mut counts = self.counts.clone();
        if let Some(index) = self.filler
            && filler_need > 0
        {
            let lot = &self.lots[index];
            let capacity = lot.unit * lot.units;
            let count = (filler_need + capacity - 1) / capacity;
            counts[index] = count;
            let (from, until) = lot.pool.expect("a pool");
            let fate = leftover(lot, lot.sealed_kept, 1, self.weights);
            slots.push(Slot {
                lot: index,
                from,
                until,
                units: count * lot.units,
                capacity: count * capacity,
                forced: 0,
                weight: fate.objective,
                spoils: fate.spoiled,
            });
        }
        let mut packs = 0;
        let mut score = Score {
            objective: self.floor.base.0,
            spoiled: self.floor.base.1,
            ..Score::default()
        };
        let mut bought = false;
        for (index, lot) in self.lots.iter().enumerate() {
            let held = if lot.stock && lot.usable && lot.pool.is_none() {
                1
            } else if lot.stock {
                continue;
            } else {
                bought |= counts[index] > 0;
                packs += counts[index] * lot.price;
                if lot.pool.is_some() {
                    continue;
                }
                counts[index] * lot.units
            };
            let sealed = held - self.opened[index];
            if sealed > 0 {
                score = score + leftover(lot, lot.sealed_kept, sealed * lot.unit, self.weights);
            }
        }
        let foods = i64::from(bought);
        score = score
            + Score {
                objective: packs * self.weights.pack + foods * self.weights.food,
                foods,
                cost: packs * crate::larder::NANO,
                spoiled: 0,
            };
        if !self.might_matter(&slots, score, packs, bought) {
            return;
        }
        let taken = best_draws(&slots, self.uses, self.last);
        for (slot, taken) in slots.iter().zip(&taken) {
            let left = slot.capacity - taken;
            score.objective += slot.weight * left;
            score.spoiled += slot.spoils * left;
        }
        let way = Way {
            score,
            packs,
            bought,
            detail: Vec::new(),
        };
        if self.worse(&way) {
            return;
        }
        let detail = if self.detail {
            self.describe(&slots, &counts, &taken)
        } else {
            Vec::new()
        };
        let way = Way { detail, ..way };
        if self.front {
            self.found.retain(|old| !dominates(&way, old));
        } else {
            self.found.clear();
        }
        self.found.push(way);
    }

    /// Whether a way is no better than what was found.
    fn worse(&self, way: &Way) -> bool {
        self.found.iter().any(|old| {
            if self.front {
                dominates(old, way)
            } else {
                old.score <= way.score
            }
        })
    }

    /// Whether a complete choice may matter, whatever is drawn when: `score` is that of all but
    /// what is left in `slots`, and so much is left in all, at best in the lightest.
    fn might_matter(&self, slots: &[Slot], mut score: Score, packs: i64, bought: bool) -> bool {
        if self.found.is_empty() {
            return true;
        }
        let sums = || {
            slots
                .iter()
                .map(|slot| (slot.weight, slot.spoils, slot.capacity))
        };
        let left = sums().map(|(_, _, holds)| holds).sum::<i64>() - self.total;
        let least = |order: &mut Vec<(i64, i64)>| {
            order.sort_unstable();
            let mut left = left;
            let parts = order.iter().map(|&(each, holds)| {
                let here = left.min(holds);
                left -= here;
                each * here
            });
            parts.sum::<i64>()
        };
        score.objective += least(&mut sums().map(|(weight, _, holds)| (weight, holds)).collect());
        score.spoiled += least(&mut sums().map(|(_, spoils, holds)| (spoils, holds)).collect());
        let way = Way {
            score,
            packs,
            bought,
            detail: Vec::new(),
        };
        !self.worse(&way)
    }

    /// Writes out what is bought, opened and drawn.
    fn describe(&self, slots: &[Slot], counts: &[i64], taken: &[i64]) -> Vec<LotUse> {
        let draws = spread(slots, taken, self.uses, self.last);
        let mut uses: Vec<LotUse> = Vec::new();
        for (index, lot) in self.lots.iter().enumerate() {
            let mut openings = Vec::new();
            for (slot, draws) in slots.iter().zip(&draws) {
                if slot.lot != index {
                    continue;
                }
                if slot.forced > 0 {
                    openings.push((slot.from, slot.units, draws.clone()));
                } else {
                    pool_openings(lot, draws, &mut openings);
                }
            }
            let count = if lot.stock { 0 } else { counts[index] };
            if count > 0 || !openings.is_empty() {
                openings.sort_by_key(|opening| opening.0);
                uses.push(LotUse {
                    lot: index,
                    count,
                    openings,
                });
            }
        }
        uses
    }
}

/// Whether `a` is at least as good as `b` in every sum that can matter.
pub(in crate::engine) fn dominates(a: &Way, b: &Way) -> bool {
    a.score.objective <= b.score.objective
        && a.score.foods <= b.score.foods
        && a.score.cost <= b.score.cost
        && a.score.spoiled <= b.score.spoiled
        && a.packs <= b.packs
}

/// Most that the slots in `chosen` can give together, with day demands `need`.
///
/// Slots are intervals of days, so serving each day from what ends first is a maximum flow.
fn most_given(slots: &[Slot], chosen: &[bool], need: &Uses, last: i32) -> i64 {
    let mut left: Vec<i64> = slots.iter().map(|s| s.capacity - s.forced).collect();
    let mut given = 0;
    for day in 0..=last {
        let mut want = need[day_index(day)];
        while want > 0 {
            let best = slots
                .iter()
                .enumerate()
                .filter(|(i, s)| chosen[*i] && s.from <= day && day <= s.until && left[*i] > 0)
                .min_by_key(|(i, s)| (s.until, *i));
            let Some((index, _)) = best else { break };
            let take = want.min(left[index]);
            left[index] -= take;
            want -= take;
            given += take;
        }
    }
    given
}

/// What to draw from each slot so that what is left weighs least.
///
/// The totals that can be drawn from sets of slots form a polymatroid (flows from
/// intervals to days), so taking the heaviest leftovers first, each as far as the others
/// allow, is optimal; ties go by spoiled value, then position.
fn best_draws(slots: &[Slot], uses: &Uses, last: i32) -> Vec<i64> {
    let mut need = *uses;
    for slot in slots {
        need[day_index(slot.from)] -= slot.forced;
    }
    let mut order: Vec<usize> = (0..slots.len()).collect();
    order.sort_by_key(|&i| (-slots[i].weight, -slots[i].spoils, i));
    let mut chosen = vec![false; slots.len()];
    let mut taken = vec![0; slots.len()];
    let mut before = 0;
    for index in order {
        chosen[index] = true;
        let now = most_given(slots, &chosen, &need, last);
        taken[index] = now - before + slots[index].forced;
        before = now;
    }
    taken
}

/// Spreads the total drawn from each slot over the days.
fn spread(slots: &[Slot], taken: &[i64], uses: &Uses, last: i32) -> Vec<Vec<(i32, i64)>> {
    let mut left: Vec<i64> = taken.to_vec();
    let mut draws: Vec<Vec<(i32, i64)>> = vec![Vec::new(); slots.len()];
    let mut need = *uses;
    for (index, slot) in slots.iter().enumerate() {
        if slot.forced > 0 {
            left[index] -= slot.forced;
            need[day_index(slot.from)] -= slot.forced;
            draws[index].push((slot.from, slot.forced));
        }
    }
    for day in 0..=last {
        let mut want = need[day_index(day)];
        while want > 0 {
            let best = slots
                .iter()
                .enumerate()
                .filter(|(i, s)| s.from <= day && day <= s.until && left[*i] > 0)
                .min_by_key(|(i, s)| (s.until, *i));
            let Some((index, _)) = best else { break };
            let take = want.min(left[index]);
            left[index] -= take;
            want -= take;
            match draws[index].last_mut() {
                Some((d, mg)) if *d == day => *mg += take,
                _ => draws[index].push((day, take)),
            }
        }
    }
    draws
}

/// Opens units of a pool one after another as they are needed.
///
/// Each is opened on the day of its first draw, so the milligram rule holds.
fn pool_openings(lot: &LotModel, draws: &[(i32, i64)], openings: &mut Vec<Opened>) {
    if lot.stock {
        if let Some(&(day, _)) = draws.first() {
            openings.push((day, 1, draws.to_vec()));
        }
        return;
    }
    // What is left in the unit opened last, and where it stands.
    let mut left = 0;
    for &(day, mut mg) in draws {
        if left > 0 && mg > 0 {
            let take = mg.min(left);
            let last = openings.last_mut().expect("a unit is open");
            last.2.push((day, take));
            left -= take;
            mg -= take;
        }
        if mg > 0 {
            let units = (mg + lot.unit - 1) / lot.unit;
            openings.push((day, units, vec![(day, mg)]));
            left = units * lot.unit - mg;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::lots::drop_later;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{BOTH, LAST, every_way, food, uses, weights, with_lots};

    fn asked(front: bool) -> Asked<'static> {
        Asked {
            front,
            detail: false,
            steps: None,
            halted: &|| false,
        }
    }

    /// Whether `a` is no more than `b` in any sum.
    fn no_more(a: &Score, b: &Score) -> bool {
        a.objective <= b.objective
            && a.foods <= b.foods
            && a.cost <= b.cost
            && a.spoiled <= b.spoiled
    }

    /// The least way, and the ways that none beats, of small foods.
    #[test]
    fn finds_what_trying_every_milligram_finds() {
        let mut next = numbers(11);
        let (mut served, mut unserved, mut several) = (0, 0, 0);
        for turn in 0..4_000 {
            let (food, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let every = every_way(&food, &weights, &uses);
            let found = |front: bool| ways(&food, &weights, BOTH, &uses, LAST, &asked(front));
            let least: Vec<Score> = found(false).iter().map(|way| way.score).collect();
            let told = || format!("{turn}: {food:?} {weights:?} {uses:?}");
            assert_eq!(least.first(), every.first(), "{}", told());
            let front: Vec<Score> = found(true).iter().map(|way| way.score).collect();
            for way in &every {
                assert!(front.iter().any(|one| no_more(one, way)), "{}", told());
            }
            for one in &front {
                assert!(every.iter().any(|way| no_more(way, one)), "{}", told());
            }
            several += i32::from(front.len() > 1);
            *(if every.is_empty() {
                &mut unserved
            } else {
                &mut served
            }) += 1;
        }
        assert!(
            served > 2_000 && unserved > 300 && several > 100,
            "{served} {unserved} {several}"
        );
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
