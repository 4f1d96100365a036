//! What the engine's own tests begin with.

use crate::engine::answer::Limits;
use crate::larder::{Larder, value_nano};
use std::path::Path;

/// A plain sequence of numbers, different for each seed.
pub(in crate::engine) fn numbers(mut seed: u64) -> impl FnMut(usize) -> usize {
    move |below| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (seed >> 33) as usize % below
    }
}

/// A kitchen of `fixtures`.
pub(in crate::engine) fn kitchen(name: &str) -> Larder {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let read = crate::kitchen::read_dir(&fixtures.join(name));
    read.larder.expect("a stored kitchen has no fault")
}

/// The kitchen with other prices and amounts; at every other turn nothing left over counts, so that packs alone decide and
/// floors are often met.
pub(in crate::engine) fn varied_by_turn(
    sound: &Larder,
    turn: usize,
    next: &mut impl FnMut(usize) -> usize,
) -> Larder {
    let larder = varied(sound, next).changed(|new| {
        if turn.is_multiple_of(2) {
            new.wishes.spoil_weight_milli = 0;
            new.wishes.carry_credit_milli = 0;
        }
    });
    larder.expect("a sound larder")
}

/// The kitchen with other prices and amounts.
pub(in crate::engine) fn varied(sound: &Larder, next: &mut impl FnMut(usize) -> usize) -> Larder {
    let larder = sound.changed(|new| {
        for pack in &mut new.packs {
            pack.price_minor = 1 + next(900) as i64;
            pack.value_nano = value_nano(pack.price_minor, pack.unit_mg * pack.units);
        }
        for stock in &mut new.stock {
            let first = new.foods[stock.food.index()].packs.start as usize;
            stock.value_nano = new.packs[first].value_nano;
        }
        for line in new.recipes.iter_mut().flat_map(|recipe| &mut recipe.lines) {
            for one in &mut line.alternatives {
                one.mg += next(4) as i64 * one.mg / 4;
            }
        }
    });
    larder.expect("a sound larder")
}

/// One thread, to the end.
pub(in crate::engine) fn alone() -> Limits<'static> {
    Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    }
}
