//! Kitchens that bounds of open lines are held against.

use crate::engine::bound::amounts::Amounts;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::open_set::{Needs, OpenRecipe, OpenSet};
use crate::engine::model::items::{Item, Lines};
use crate::engine::model::pool::Pool;
use crate::engine::model::samples::kitchen;
use crate::engine::model::score::Weights;
use crate::larder::{Aim, Ingredient, Larder, value_nano};
use std::sync::Arc;

/// A kitchen with other prices, amounts and alternatives.
fn changed(sound: &Larder, next: &mut impl FnMut(usize) -> usize) -> Larder {
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

/// A kitchen's recipes with all lines open, under one gauge.
pub(in crate::engine) struct OpenKitchen<'k> {
    /// Where it comes from, for messages.
    pub(in crate::engine) label: String,
    pub(in crate::engine) pool: &'k Pool<'k>,
    pub(in crate::engine) gauge: &'k Gauge,
    pub(in crate::engine) recipes: &'k [OpenRecipe],
    /// Foods and components together.
    pub(in crate::engine) units: usize,
}

impl OpenKitchen<'_> {
    /// What a way of taking alternatives costs by its floors.
    pub(in crate::engine) fn cost(&self, set: &OpenSet, picks: &[u8]) -> i64 {
        set.cost((self.gauge, 0), self.pool, picks)
    }
}

/// Asks about several kitchens, so many times each with other prices and amounts, by money and by other aims.
pub(in crate::engine) fn on_changed_kitchens<N: FnMut(usize) -> usize>(
    turns: usize,
    next: &mut N,
    ask: impl FnMut(&OpenKitchen, &mut N),
) {
    on_kitchens(turns, next, changed, ask);
}

/// The same of kitchens whose packs hold a few milligrams, of which a lunch takes a few: all sums can be tried.
pub(in crate::engine) fn on_tiny_kitchens<N: FnMut(usize) -> usize>(
    turns: usize,
    next: &mut N,
    ask: impl FnMut(&OpenKitchen, &mut N),
) {
    on_kitchens(
        turns,
        next,
        |sound, next| tiny(&changed(sound, next), next),
        ask,
    );
}

/// A kitchen with small packs and amounts.
fn tiny(sound: &Larder, next: &mut impl FnMut(usize) -> usize) -> Larder {
    let larder = sound.changed(|new| {
        for pack in &mut new.packs {
            (pack.unit_mg, pack.units) = (2 + next(12) as i64, 1 + next(3) as i64);
            pack.value_nano = value_nano(pack.price_minor, pack.unit_mg * pack.units);
        }
        for stock in &mut new.stock {
            let first = new.foods[stock.food.index()].packs.start as usize;
            stock.left_mg = 1 + next(9) as i64;
            stock.value_nano = new.packs[first].value_nano;
        }
        for line in new.recipes.iter_mut().flat_map(|recipe| &mut recipe.lines) {
            for one in &mut line.alternatives {
                one.mg = 1 + next(9) as i64;
            }
        }
    });
    larder.expect("a sound larder")
}

fn on_kitchens<N: FnMut(usize) -> usize>(
    turns: usize,
    next: &mut N,
    changed: impl Fn(&Larder, &mut N) -> Larder,
    mut ask: impl FnMut(&OpenKitchen, &mut N),
) {
    for name in [
        "stored/everything",
        "stored/stock-on-hand",
        "stored/two-trips",
        "stored/ripening-fruit",
        "stored/plain-packs",
    ] {
        let sound = kitchen(name);
        for turn in 0..turns {
            let larder = changed(&sound, next);
            let pool = Pool::new(&larder);
            let lines = pool.servable_recipes();
            let lines: Vec<Lines> = lines.map(|recipe| Lines::new(&pool, recipe)).collect();
            let widest: Vec<Item> = lines.iter().map(|lines| lines.widest(&pool)).collect();
            let weights = match turn % 4 {
                0 => Weights::aim(Aim::Foods),
                1 => Weights::aim(Aim::Spoiled),
                _ => Weights::money(&larder),
            };
            let gauge = Gauge::new(&pool, &weights, Arc::new(Amounts::all(&pool, &widest)));
            let needs = Needs::default();
            let recipes = lines.iter();
            let recipes: Vec<OpenRecipe> = recipes
                .map(|lines| OpenRecipe::new(&pool, lines, &[&gauge], &needs))
                .collect();
            let open = OpenKitchen {
                label: format!("{name} {turn}"),
                pool: &pool,
                gauge: &gauge,
                recipes: &recipes,
                units: larder.foods.len() + larder.components.len(),
            };
            ask(&open, next);
        }
    }
}

/// What proposals may be at the worst: of any size and sign, or no number at all.
pub(in crate::engine) fn wild(next: &mut impl FnMut(usize) -> usize) -> f64 {
    match next(12) {
        0 => 0.0,
        1 => 1e300,
        2 => -1e300,
        3 => f64::NAN,
        4 => f64::INFINITY,
        5 => f64::NEG_INFINITY,
        at => {
            let size = next(1 << 16) as f64 * 10_f64.powi(next(16) as i32 - 5);
            if at % 2 == 0 { size } else { -size }
        }
    }
}

/// In how many ways alternatives of a set can be taken.
pub(in crate::engine) fn count_ways(set: &OpenSet) -> usize {
    let ways = set.lines.iter().map(|line| line.len());
    ways.fold(1, usize::saturating_mul)
}

/// All ways of taking alternatives of a set.
pub(in crate::engine) fn ways(set: &OpenSet) -> impl Iterator<Item = Vec<u8>> {
    (0..count_ways(set)).map(|mut at| {
        let lines = set.lines.iter();
        let picks = lines.map(|line| {
            let pick = at % line.len();
            at /= line.len();
            pick as u8
        });
        picks.collect()
    })
}

/// How much of a unit a way of taking alternatives uses.
pub(in crate::engine) fn used(set: &OpenSet, picks: &[u8], unit: u32) -> i64 {
    let lines = set.lines.iter().zip(picks);
    let units = lines.flat_map(|(line, &pick)| &line[usize::from(pick)].units);
    units.filter(|one| one.0 == unit).map(|one| one.1).sum()
}

/// One of the two parts that a unit is split into at a sum.
pub(in crate::engine) fn one_side(least: i64, next: &mut impl FnMut(usize) -> usize) -> (i64, i64) {
    match next(2) {
        0 => (0, least - 1),
        _ => (least, i64::MAX),
    }
}
