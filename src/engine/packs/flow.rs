//! Draws of demands that may each be met on several days: a maximum flow.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::lots::Leftover;

/// What must be served: the days it may be used on, milligrams.
pub(in crate::engine) type Demand = (KitchenDays, i64);

/// What a demand draws: its position, the days it may be drawn on, milligrams.
pub(in crate::engine) type Draw = (usize, KitchenDays, i64);

/// What can be drawn from: units opened together, or a whole pool.
#[derive(Clone)]
pub(in crate::engine) struct Source {
    /// Days on which it may be drawn from.
    pub(in crate::engine) days: KitchenDays,
    /// Edible milligrams.
    pub(in crate::engine) capacity: i64,
    /// What a milligram left in it counts for.
    pub(in crate::engine) leftover: Leftover,
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
    let slots = (0..).zip(left).map(|(day, &capacity)| Source {
        days: KitchenDays::one(day),
        capacity,
        leftover: Leftover::default(),
    });
    let slots: Vec<Source> = slots.collect();
    let mut flow = Flow::default();
    flow.fill_all(&slots, demands);
    flow.want.iter().all(|&want| want == 0)
}

/// Draws of demands from slots: a maximum flow, grown slot by slot.
#[derive(Default)]
pub(in crate::engine) struct Flow {
    /// Days of slots and demands.
    slots: Vec<KitchenDays>,
    demands: Vec<KitchenDays>,
    /// By slot, then demand.
    drawn: Vec<i64>,
    /// What is left of each source, and wanted of each demand.
    pub(in crate::engine) left: Vec<i64>,
    pub(in crate::engine) want: Vec<i64>,
    /// The slot each demand was reached from, the demand each slot was, and slots reached.
    from_slot: Vec<usize>,
    from_demand: Vec<usize>,
    reached: Vec<usize>,
}

/// Not reached.
const NOWHERE: usize = usize::MAX;

impl Flow {
    /// Draws as much as possible from each slot in turn.
    pub(in crate::engine) fn fill_all(&mut self, slots: &[Source], demands: &[Demand]) {
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

    /// What each demand draws.
    pub(in crate::engine) fn draws(&self, demands: &[Demand]) -> Vec<Draw> {
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
    use crate::engine::model::samples::numbers;

    fn of_bits(bits: usize) -> KitchenDays {
        (0..4).filter(|day| bits >> day & 1 != 0).collect()
    }

    /// Whether days hold demands, as the theorem of Hall says for what can be divided: every set
    /// of demands finds as much on its days together as it asks for.
    #[test]
    fn demands_fit_where_every_set_of_them_does() {
        let mut next = numbers(41);
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
}
