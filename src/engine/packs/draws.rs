//! Drawing from what is there: whatever ends first is drawn first.
//!
//! Law. A slot can be drawn from on the days of one span, and a day may draw from any slot of which it is one.
//! Then no draws serve more of some days in a row, up to any of them, than serving each in turn from the slot
//! that ends first. Proof: let some draws serve as much, and on the first day on which they differ take a milligram
//! from a slot that ends later. The one that ends first has it still, or gives it to a later day; that day lies
//! within both slots, as it comes before the end of the earlier, so the two milligrams may change places.

use crate::engine::model::lots::{Leftover, LotModel, day_index};
use crate::engine::packs::way::Uses;

/// Units opened together (a dated lot on one day), or a whole pool.
#[derive(Clone, Copy, Debug)]
pub(in crate::engine) struct Slot {
    /// Position in [`crate::engine::model::lots::FoodModel::lots`].
    pub(in crate::engine) lot: usize,
    /// First and last day on which it may be drawn from; of units that is the day they are opened on.
    pub(in crate::engine) from: i32,
    pub(in crate::engine) until: i32,
    pub(in crate::engine) units: i64,
    /// Edible milligrams in all.
    pub(in crate::engine) capacity: i64,
    /// What must be drawn on the day of opening (a milligram a unit); 0 for pools.
    pub(in crate::engine) forced: i64,
    /// What a milligram left in it counts for.
    pub(in crate::engine) leftover: Leftover,
}

impl Slot {
    /// So many units of a pool.
    pub(in crate::engine) fn pooled(
        (index, lot): (usize, &LotModel),
        units: i64,
        leftover: Leftover,
    ) -> Self {
        let (from, until) = lot.pool.expect("a pool");
        Self {
            lot: index,
            from,
            until,
            units,
            capacity: units * lot.unit,
            forced: 0,
            leftover,
        }
    }

    /// Whether it can be drawn from on a day.
    pub(in crate::engine) const fn serves(&self, day: i32) -> bool {
        self.from <= day && day <= self.until
    }
}

/// Draws `want` milligrams on `day` from what is `left` in each slot, from what ends first (of equals from the
/// first); `note` gets slots and milligrams. Returns what is lacking.
pub(in crate::engine) fn draw_earliest(
    slots: &[Slot],
    left: &mut [i64],
    (day, mut want): (i32, i64),
    mut note: impl FnMut(usize, i64),
) -> i64 {
    while want > 0 {
        let there = slots.iter().zip(&*left).enumerate();
        let there = there.filter(|(_, (slot, left))| slot.serves(day) && **left > 0);
        let Some((at, _)) = there.min_by_key(|(at, (slot, _))| (slot.until, *at)) else {
            break;
        };
        let take = want.min(left[at]);
        left[at] -= take;
        want -= take;
        note(at, take);
    }
    want
}

/// The most of `need` that can be drawn from what is `left` in the slots.
pub(in crate::engine) fn most_drawn(
    slots: &[Slot],
    mut left: Vec<i64>,
    need: &Uses,
    last: i32,
) -> i64 {
    let days = (0..=last).map(|day| {
        let want = need[day_index(day)];
        want - draw_earliest(slots, &mut left, (day, want), |_, _| ())
    });
    days.sum()
}

/// What to draw from each slot so that what is left weighs least, where all uses can be met.
///
/// The totals that can be drawn from sets of slots form a polymatroid (flows from
/// intervals to days), so taking the heaviest leftovers first, each as far as the others
/// allow, is optimal; ties go by spoiled value, then position.
pub(in crate::engine) fn lightest_left(slots: &[Slot], uses: &Uses, last: i32) -> Vec<i64> {
    let mut need = *uses;
    for slot in slots {
        need[day_index(slot.from)] -= slot.forced;
    }
    let mut order: Vec<usize> = (0..slots.len()).collect();
    order.sort_by_key(|&at| (slots[at].leftover.heaviest_first(), at));
    let mut there = vec![0; slots.len()];
    let mut taken = vec![0; slots.len()];
    let mut before = 0;
    for at in order {
        there[at] = slots[at].capacity - slots[at].forced;
        let now = most_drawn(slots, there.clone(), &need, last);
        taken[at] = now - before + slots[at].forced;
        before = now;
    }
    taken
}

/// Spreads the total drawn from each slot over the days: by slot, milligrams of days, rising.
pub(in crate::engine) fn spread(
    slots: &[Slot],
    taken: &[i64],
    uses: &Uses,
    last: i32,
) -> Vec<Vec<(i32, i64)>> {
    let mut left: Vec<i64> = taken.to_vec();
    let mut draws: Vec<Vec<(i32, i64)>> = vec![Vec::new(); slots.len()];
    let mut need = *uses;
    for (at, slot) in slots.iter().enumerate() {
        if slot.forced > 0 {
            left[at] -= slot.forced;
            need[day_index(slot.from)] -= slot.forced;
            draws[at].push((slot.from, slot.forced));
        }
    }
    for day in 0..=last {
        let want = need[day_index(day)];
        draw_earliest(slots, &mut left, (day, want), |at, take| {
            match draws[at].last_mut() {
                Some((known, mg)) if *known == day => *mg += take,
                _ => draws[at].push((day, take)),
            }
        });
    }
    draws
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::way::DAYS;

    const LAST: i32 = 3;

    fn slot(next: &mut impl FnMut(usize) -> usize) -> Slot {
        let from = next(4) as i32;
        Slot {
            lot: 0,
            from,
            until: from + next(4) as i32,
            units: 1,
            capacity: next(4) as i64,
            forced: 0,
            leftover: Leftover {
                weight: next(4) as i64 - 1,
                spoils: next(3) as i64,
            },
        }
    }

    /// What is left in each slot after every way of serving all of `uses`, a milligram at a time.
    fn every_end(slots: &[Slot], uses: &Uses) -> Vec<Vec<i64>> {
        let mut ends = vec![slots.iter().map(|slot| slot.capacity).collect::<Vec<i64>>()];
        for day in 0..=LAST {
            for _ in 0..uses[day_index(day)] {
                let mut more = Vec::new();
                for left in &ends {
                    for (at, slot) in slots.iter().enumerate() {
                        if slot.serves(day) && left[at] > 0 {
                            let mut drawn = left.clone();
                            drawn[at] -= 1;
                            more.push(drawn);
                        }
                    }
                }
                more.sort_unstable();
                more.dedup();
                ends = more;
            }
        }
        ends
    }

    /// All uses are met just where some draws meet them, and what is then left weighs as little as
    /// after any.
    #[test]
    fn what_ends_first_serves_as_much_as_any_draws_and_leaves_the_lightest() {
        let mut next = numbers(61);
        let (mut met, mut not) = (0, 0);
        for _ in 0..3_000 {
            let slots: Vec<Slot> = (0..=next(4)).map(|_| slot(&mut next)).collect();
            let mut uses = [0; DAYS];
            for _ in 0..next(6) {
                uses[next(LAST as usize + 1)] += 1;
            }
            let ends = every_end(&slots, &uses);
            let there = slots.iter().map(|slot| slot.capacity).collect();
            let wanted: i64 = uses.iter().sum();
            let all = most_drawn(&slots, there, &uses, LAST) == wanted;
            assert_eq!(all, !ends.is_empty(), "{slots:?} {uses:?}");
            if !all {
                not += 1;
                continue;
            }
            met += 1;
            let weight = |left: &[i64]| {
                let each = slots.iter().zip(left);
                each.map(|(slot, left)| slot.leftover.weight * left)
                    .sum::<i64>()
            };
            let taken = lightest_left(&slots, &uses, LAST);
            let left = slots.iter().zip(&taken);
            let left: Vec<i64> = left.map(|(slot, taken)| slot.capacity - taken).collect();
            let least = ends.iter().map(|left| weight(left)).min();
            assert_eq!(Some(weight(&left)), least, "{slots:?} {uses:?}");
            let drawn = spread(&slots, &taken, &uses, LAST);
            for day in 0..=LAST {
                let days = slots.iter().zip(&drawn).flat_map(|(slot, drawn)| {
                    assert!(drawn.iter().all(|&(day, _)| slot.serves(day)));
                    drawn.iter().filter(|&&(on, _)| on == day)
                });
                let sum: i64 = days.map(|&(_, mg)| mg).sum();
                assert_eq!(sum, uses[day_index(day)], "{slots:?} {uses:?}");
            }
        }
        assert!(met > 500 && not > 500, "{met} {not}");
    }
}
