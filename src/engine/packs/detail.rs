//! What is opened and drawn when, of a way that is priced already.

use crate::engine::model::lots::LotModel;
use crate::engine::packs::draws::{Slot, spread};
use crate::engine::packs::way::{LotUse, Opened, Uses};

/// Writes out packs by lot, and what is opened of them and drawn from each slot.
pub(in crate::engine) fn written_out(
    (lots, counts): (&[LotModel], &[i64]),
    (slots, taken): (&[Slot], &[i64]),
    uses: &Uses,
    last: i32,
) -> Vec<LotUse> {
    let draws = spread(slots, taken, uses, last);
    let mut used: Vec<LotUse> = Vec::new();
    for (index, lot) in lots.iter().enumerate() {
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
        let count = if lot.is_stock() { 0 } else { counts[index] };
        if count > 0 || !openings.is_empty() {
            openings.sort_by_key(|opening| opening.0);
            used.push(LotUse {
                lot: index,
                count,
                openings,
            });
        }
    }
    used
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
