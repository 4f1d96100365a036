//! Packs and units of one food chosen day by day, and which openings are worth trying.

use crate::engine::model::lots::{FoodModel, Leftover, LotModel, day_index};
use crate::engine::model::score::Weights;
use crate::engine::packs::bill::Bill;
use crate::engine::packs::draws::{Slot, draw_earliest, lightest_left, most_drawn};
use crate::engine::packs::floor::Chosen;
use crate::engine::packs::way::{DAYS, Picked, Uses, Way};
use crate::plan::Lot;

/// What is chosen so far for known uses.
pub(in crate::engine) struct Openings<'a> {
    pub(in crate::engine) lots: &'a [LotModel],
    pub(in crate::engine) weights: &'a Weights,
    pub(in crate::engine) uses: &'a Uses,
    pub(in crate::engine) last: i32,
    /// Dated lots that may be opened, by position.
    pub(in crate::engine) dated: Vec<usize>,
    /// What can be drawn from.
    pub(in crate::engine) slots: Vec<Slot>,
    /// By lot: packs, and units of dated lots that are opened.
    pub(in crate::engine) counts: Vec<i64>,
    pub(in crate::engine) opened: Vec<i64>,
}

impl<'a> Openings<'a> {
    /// Nothing chosen but to draw from what is in pools on hand.
    pub(in crate::engine) fn new(
        (food, weights): (&'a FoodModel, &'a Weights),
        (uses, last): (&'a Uses, i32),
    ) -> Self {
        let mut openings = Self {
            lots: &food.lots,
            weights,
            uses,
            last,
            dated: Vec::new(),
            slots: Vec::new(),
            counts: vec![0; food.lots.len()],
            opened: vec![0; food.lots.len()],
        };
        for (index, lot) in food.lots.iter().enumerate() {
            if lot.usable && lot.is_stock() && lot.pool.is_some() {
                openings.slots.push(openings.pooled(index, 1));
            }
        }
        openings
    }

    /// So many units of a pool.
    fn pooled(&self, index: usize, units: i64) -> Slot {
        let lot = &self.lots[index];
        let leftover = lot.leftover(lot.sealed_kept, self.weights);
        Slot::pooled((index, lot), units, leftover)
    }

    /// Packs of a pool.
    pub(in crate::engine) fn packs_of(&self, index: usize, count: i64) -> Slot {
        self.pooled(index, count * self.lots[index].units)
    }

    /// Buys packs of a pool, or of a dated lot of which no more are opened.
    pub(in crate::engine) fn buy(&mut self, index: usize, count: i64) {
        self.counts[index] = count;
        if self.lots[index].pool.is_some() && count > 0 {
            self.slots.push(self.packs_of(index, count));
        }
    }

    /// Takes back the packs of a pool, bought last.
    pub(in crate::engine) fn give_back(&mut self, index: usize) {
        self.counts[index] = 0;
        self.slots.pop();
    }

    /// Packs and openings, by lot.
    pub(in crate::engine) fn picked(&self) -> Picked {
        let packs = self.counts.iter().copied().enumerate();
        let opened = self.slots.iter().filter(|slot| slot.forced > 0);
        Picked {
            packs: packs.filter(|&(_, count)| count > 0).collect(),
            openings: opened
                .map(|slot| (slot.lot, slot.from, slot.units))
                .collect(),
        }
    }

    /// What all of it comes to, drawn from as is best, where it serves all uses; and what is then drawn from each slot.
    pub(in crate::engine) fn priced(&self, mut bill: Bill) -> (Way, Vec<i64>) {
        let taken = lightest_left(&self.slots, self.uses, self.last);
        for (slot, taken) in self.slots.iter().zip(&taken) {
            bill.leave(slot.leftover, slot.capacity - taken);
        }
        (bill.way(self.weights), taken)
    }

    /// Packs, and what is left sealed in dated lots.
    pub(in crate::engine) fn bill(&self) -> Bill {
        Bill::new(
            (self.lots, self.weights),
            (&self.counts, &self.opened),
            |_| 1,
        )
    }

    /// What days `from..=until` use.
    pub(in crate::engine) fn used(&self, from: i32, until: i32) -> i64 {
        (from..=until.min(self.last))
            .map(|day| self.uses[day_index(day)])
            .sum()
    }

    /// Opens `count` units of a dated lot on `day`.
    pub(in crate::engine) fn open(&mut self, index: usize, day: i32, count: i64) {
        let lot = &self.lots[index];
        let until = lot.good(day);
        self.slots.push(Slot {
            lot: index,
            from: day,
            until,
            units: count,
            capacity: count * lot.unit,
            forced: count,
            leftover: lot.leftover(until >= lot.carry, self.weights),
        });
        self.count(index, count);
    }

    /// Takes back what was opened last.
    pub(in crate::engine) fn take_back(&mut self) {
        if let Some(slot) = self.slots.pop() {
            self.count(slot.lot, -slot.units);
        }
    }

    /// Counts units of a dated lot that are opened, and the packs that they come in.
    fn count(&mut self, index: usize, more: i64) {
        let lot = &self.lots[index];
        self.opened[index] += more;
        if !lot.is_stock() {
            self.counts[index] = (self.opened[index] + lot.units - 1) / lot.units;
        }
    }

    /// What is chosen beside what is on hand, as far as floors ask.
    pub(in crate::engine) fn beside(&self, on_hand: &Chosen) -> Chosen {
        let mut chosen = *on_hand;
        for (lot, &count) in self.lots.iter().zip(&self.counts) {
            if count > 0 {
                chosen.add(lot, count, self.weights);
            }
        }
        chosen.open = self.slots.iter().map(|slot| slot.capacity).sum();
        chosen
    }

    /// Whether the days of use from `first` on can still be served: each by a lot that can be
    /// bought without end (opened from `first` on, or one of `pools`), the others
    /// together by what is `left` in the slots and by what is on hand and still sealed, as far as
    /// those go if every unit could be opened on every day.
    pub(in crate::engine) fn reaches(
        &self,
        first: i32,
        left: &[i64],
        pools: &(impl Iterator<Item = usize> + Clone),
    ) -> bool {
        let need = self.without_end(first, pools);
        if need == [0; DAYS] {
            return true;
        }
        let sealed = self.dated.iter().copied();
        let sealed = sealed.filter(|&lot| self.lots[lot].is_stock() && self.opened[lot] == 0);
        let units = sealed.map(|index| {
            let lot = &self.lots[index];
            Slot {
                lot: index,
                from: lot.open_from.max(first),
                until: lot.good(lot.open_to),
                units: 1,
                capacity: lot.unit,
                forced: 0,
                leftover: Leftover::default(),
            }
        });
        let slots: Vec<Slot> = units.chain(self.slots.iter().copied()).collect();
        let sealed = slots.len() - self.slots.len();
        let mut there: Vec<i64> = slots[..sealed].iter().map(|slot| slot.capacity).collect();
        there.extend(left);
        most_drawn(&slots, there, &need, self.last) == need.iter().sum::<i64>()
    }

    /// What the days of use from `first` on need that no lot serves which can be bought without end.
    fn without_end(&self, first: i32, pools: &(impl Iterator<Item = usize> + Clone)) -> Uses {
        let used = |day: i32| day >= first && self.uses[day_index(day)] > 0;
        let within = |lot: &LotModel, day: i32| match lot.pool {
            Some((from, until)) => from <= day && day <= until,
            None => (lot.open_from.max(0)..=lot.open_to.min(day))
                .any(|opened| used(opened) && lot.good(opened) >= day),
        };
        let mut need = [0; DAYS];
        for day in (first..=self.last).filter(|&day| used(day)) {
            let lots = self.dated.iter().copied().chain(pools.clone());
            let mut bought = lots.map(|lot| &self.lots[lot]);
            if !bought.any(|lot| !lot.is_stock() && within(lot, day)) {
                need[day_index(day)] = self.uses[day_index(day)];
            }
        }
        need
    }

    /// What the uses from `day` on lack at least beyond what is left in each slot: for each day,
    /// those from it on beyond what lasts until it.
    pub(in crate::engine) fn lacks(&self, day: i32, left: &[i64]) -> i64 {
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
    pub(in crate::engine) fn one_too_many(&self, day: i32) -> bool {
        if self.weights.keep > 0 {
            return false;
        }
        let wanted = self.used(day, self.last);
        let opened = || {
            let slots = self.slots.iter();
            slots.filter(|slot| slot.forced > 0 && slot.from == day)
        };
        opened().any(|one| {
            let lot = &self.lots[one.lot];
            let beside = opened().filter(|slot| slot.until >= one.until);
            let held: i64 = beside.map(|slot| slot.capacity).sum();
            !lot.is_stock() && lot.units == 1 && held - lot.unit >= wanted
        })
    }

    /// Most units of the dated lot at `next` worth opening on `day`.
    ///
    /// Proof: what is drawn from units opened on `day` is at most the use W of the days
    /// they last, so `ceil(W / unit)` of them can serve it; one more stays sealed at no
    /// loss, unless opening it keeps what sealed would spoil. Then only units that are
    /// there anyway are worth opening: those of a pack already begun, or stock.
    pub(in crate::engine) fn most_opened(&self, next: usize, day: i32) -> i64 {
        if self.waits(next) || self.fresher(next, day) {
            return 0;
        }
        let index = self.dated[next];
        let lot = &self.lots[index];
        let until = lot.good(day);
        let mut most = (self.used(day, until) + lot.unit - 1) / lot.unit;
        if !lot.sealed_kept && until >= lot.carry {
            most += lot.units - 1;
        }
        if lot.is_stock() {
            most = most.max(1).min(1 - self.opened[index]);
        }
        most
    }

    /// Draws the use of `day` from what is left in each slot: first the forced milligrams, then whatever
    /// ends first. Returns what is lacking, or nothing if more is forced than the day uses.
    pub(in crate::engine) fn draw(&self, day: i32, left: &mut [i64]) -> Option<i64> {
        let mut need = self.uses[day_index(day)];
        for (slot, left) in self.slots.iter().zip(&mut *left) {
            if slot.forced > 0 && slot.from == day {
                need -= slot.forced;
                *left -= slot.forced;
            }
        }
        (need >= 0).then(|| draw_earliest(&self.slots, left, (day, need), |_, _| ()))
    }
}
