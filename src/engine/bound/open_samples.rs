//! Kitchens that bounds of open lines are held against.

use crate::larder::{Ingredient, Larder, value_nano};

/// A kitchen with other prices, amounts and alternatives.
pub(in crate::engine) fn changed(sound: &Larder, next: &mut impl FnMut(usize) -> usize) -> Larder {
    let larder = sound.changed(|new| {
        let tight = next(3);
        for pack in &mut new.packs {
            pack.price_minor = match tight {
                0 => 1 + next(900) as i64,
                1 => 100,
                _ => 1 << next(12),
            };
            pack.value_nano = value_nano(pack.price_minor, pack.unit_mg * pack.units);
        }
        for stock in &mut new.stock {
            let first = new.foods[stock.food.index()].packs.start as usize;
            stock.value_nano = new.packs[first].value_nano;
        }
        let lines = new.recipes.iter().flat_map(|recipe| &recipe.lines);
        let all = lines.flat_map(|line| &line.alternatives).cloned();
        let all: Vec<_> = all.collect();
        for line in new.recipes.iter_mut().flat_map(|recipe| &mut recipe.lines) {
            for _ in 0..next(3) {
                let other = &all[next(all.len())];
                let taken = |what: Ingredient| line.alternatives.iter().any(|one| one.what == what);
                if !taken(other.what) {
                    line.alternatives.push(other.clone());
                }
            }
            for one in &mut line.alternatives {
                one.mg += next(4) as i64 * one.mg / 3 + next(2) as i64;
            }
        }
    });
    larder.expect("a sound larder")
}
