//! Packs and openings of one food that are picked already: what they come to, and what is opened and drawn when.

use crate::engine::model::lots::{FoodModel, LotModel};
use crate::engine::model::score::Weights;
use crate::engine::packs::draws::spread;
use crate::engine::packs::openings::Openings;
use crate::engine::packs::way::{LotUse, Opened, Picked, Uses, Way};

/// Returns the way with these packs and openings, drawn from as is best; none if that does not serve the uses.
pub(in crate::engine) fn way_of(
    of: (&FoodModel, &Weights),
    uses: (&Uses, i32),
    picked: &Picked,
) -> Option<Way> {
    let openings = serving(of, uses, picked)?;
    let (mut way, _) = openings.priced(openings.bill());
    way.picked = openings.picked();
    Some(way)
}

/// Writes out packs by lot, and what is opened of them and drawn by day; none if that does not serve the uses.
pub(in crate::engine) fn written_out(
    of: (&FoodModel, &Weights),
    (uses, last): (&Uses, i32),
    picked: &Picked,
) -> Option<Vec<LotUse>> {
    let openings = serving(of, (uses, last), picked)?;
    let (_, taken) = openings.priced(openings.bill());
    let draws = spread(&openings.slots, &taken, uses, last);
    let mut used: Vec<LotUse> = Vec::new();
    for (index, lot) in openings.lots.iter().enumerate() {
        let mut opened = Vec::new();
        for (slot, draws) in openings.slots.iter().zip(&draws) {
            if slot.lot != index {
                continue;
            }
            if slot.forced > 0 {
                opened.push((slot.from, slot.units, draws.clone()));
            } else {
                pool_openings(lot, draws, &mut opened);
            }
        }
        let count = openings.counts[index];
        if count > 0 || !opened.is_empty() {
            opened.sort_by_key(|opening| opening.0);
            used.push(LotUse {
                lot: index,
                count,
                openings: opened,
            });
        }
    }
    Some(used)
}

/// What is picked, as it can be drawn from: of what ends on one day first what is on hand, then what is open, then
/// packs of pools. None if it does not serve the uses.
fn serving<'a>(
    of: (&'a FoodModel, &'a Weights),
    (uses, last): (&'a Uses, i32),
    picked: &Picked,
) -> Option<Openings<'a>> {
    let mut openings = Openings::new(of, (uses, last));
    for &(index, day, units) in &picked.openings {
        openings.open(index, day, units);
    }
    for &(index, count) in &picked.packs {
        if count > openings.counts[index] {
            openings.buy(index, count);
        }
    }
    let mut left: Vec<i64> = openings.slots.iter().map(|slot| slot.capacity).collect();
    let mut days = 0..=last;
    days.all(|day| openings.draw(day, &mut left) == Some(0))
        .then_some(openings)
}

/// Opens units of a pool one after another as they are needed.
///
/// Each is opened on the day of its first draw, so the milligram rule holds.
fn pool_openings(lot: &LotModel, draws: &[(i32, i64)], openings: &mut Vec<Opened>) {
    if lot.is_stock() {
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
    use crate::engine::model::lots::day_index;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{BOTH, LAST, food, uses, weights};
    use crate::engine::packs::way::{DAYS, Limited};
    use crate::engine::packs::ways::{Request, ways};

    /// What every way that was found picks comes to what it says, and written out it serves the uses from packs
    /// that are bought and units that are there.
    #[test]
    fn what_is_picked_is_the_way() {
        let mut next = numbers(17);
        let (mut looked, mut opened) = (0, 0);
        for turn in 0..4_000 {
            let (food, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let asked = Request {
                limited: [Limited::NONE, Limited::ALL][turn % 2],
                steps: None,
                halted: &|| false,
                most_steps: None,
                known: Vec::new(),
            };
            let of = (&food, &weights);
            for way in ways(&food, &weights, BOTH, &uses, LAST, &asked).ways {
                let told = || format!("{turn}: {way:?} {food:?} {weights:?} {uses:?}");
                let again = way_of(of, (&uses, LAST), &way.picked);
                assert_eq!(
                    again.map(|again| again.score),
                    Some(way.score),
                    "{}",
                    told()
                );
                let used = written_out(of, (&uses, LAST), &way.picked).expect("it serves");
                let (mut drawn, mut paid) = ([0; DAYS], 0);
                for one in &used {
                    let lot = &food.lots[one.lot];
                    paid += one.count * lot.price;
                    let units: i64 = one.openings.iter().map(|opening| opening.1).sum();
                    let there = if lot.is_stock() {
                        1
                    } else {
                        one.count * lot.units
                    };
                    assert!(units <= there, "{}", told());
                    for (day, units, draws) in &one.openings {
                        let taken: i64 = draws.iter().map(|draw| draw.1).sum();
                        assert!(taken <= units * lot.unit, "{}", told());
                        assert!(draws.iter().all(|&(on, _)| on >= *day), "{}", told());
                        for &(on, mg) in draws {
                            drawn[day_index(on)] += mg;
                        }
                        opened += 1;
                    }
                }
                assert_eq!((drawn, paid), (uses, way.packs), "{}", told());
                looked += 1;
            }
        }
        assert!(looked > 3_000 && opened > 4_000, "{looked} {opened}");
    }
}
