//! Refuses kitchens whose figures could add up past 64 bits, and prices that pay for themselves.
//!
//! The engine adds money in 1e-9 minor units. Here every recipe is priced at the dearest it could
//! possibly be, for the most eaters of any day, with every weight at work; the week can cost no
//! more than N such lunches. What passes leaves a factor of four.

use super::{ComponentId, Contents, FoodId, Ingredient, MILLI, NANO, PackId, RecipeId};

/// Largest sum that is let through.
const MOST: i128 = (i64::MAX / 4) as i128;

/// What could add up past 64 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Excess {
    /// Prices and weights of the aims, or what is on hand, by themselves.
    Base,
    /// A batch of this component.
    Component(ComponentId),
    /// A week of this recipe.
    Recipe(RecipeId),
}

/// Returns whatever could add up past 64 bits.
pub(super) fn excesses(larder: &Contents) -> Vec<Excess> {
    let mut out = Vec::new();
    let eaters = i128::from(
        larder
            .week
            .eaters_milli
            .iter()
            .copied()
            .max()
            .unwrap_or(MILLI),
    );
    let days = i128::from(larder.week.lunches);
    let wishes = &larder.wishes;
    let weight = i128::from(MILLI + wishes.spoil_weight_milli + wishes.carry_credit_milli);
    let aside = i128::from(wishes.food_price_minor) * larder.foods.len() as i128
        + i128::from(wishes.trip_price_minor) * larder.week.trips.len() as i128
        + wishes
            .preferences
            .iter()
            .map(|p| i128::from(p.price_minor).abs())
            .sum::<i128>()
            * days;
    let stock: i128 = larder
        .stock
        .iter()
        .map(|unit| i128::from(unit.left_mg) * i128::from(unit.value_micro) / 1_000_000)
        .sum();
    let base = aside + stock * weight / i128::from(MILLI);
    if base * i128::from(NANO) > MOST {
        return vec![Excess::Base];
    }
    let dear: Vec<Dearest> = (0..larder.foods.len())
        .map(|food| Dearest::of(larder, food))
        .collect();
    let batches: Vec<i128> = (0..larder.components.len())
        .map(|index| {
            let component = &larder.components[index];
            let most = batch_nutrients(&component.foods, &dear);
            if most.saturating_mul(days) > MOST {
                out.push(Excess::Component(ComponentId::new(index)));
            }
            most
        })
        .collect();
    for (index, recipe) in larder.recipes.iter().enumerate() {
        let mut money = 0_i128;
        let mut nutrients = 0_i128;
        let mut minutes = i128::from(recipe.minutes_nano);
        for line in &recipe.lines {
            let mut worst = (0_i128, 0_i128, 0_i128);
            for alternative in &line.alternatives {
                let mg = i128::from(alternative.mg);
                let all = mg * eaters / i128::from(MILLI);
                let (m, n, t) = match alternative.what {
                    Ingredient::Food(id) => {
                        let food = &dear[id.index()];
                        (food.price(all), food.nutrient * mg, 0)
                    }
                    Ingredient::Component(id) => {
                        let component = &larder.components[id.index()];
                        let makes = i128::from(component.makes_mg);
                        (
                            batch_price(&component.foods, &dear, all, makes),
                            batches[id.index()].saturating_mul(mg) / makes,
                            i128::from(component.batch_minutes_nano) * 2
                                + i128::from(component.minutes_per_mg_nano) * all,
                        )
                    }
                };
                worst = (worst.0.max(m), worst.1.max(n), worst.2.max(t));
            }
            money += worst.0;
            nutrients += worst.1;
            minutes += worst.2;
        }
        let timed = minutes * i128::from(wishes.minute_price_minor.max(1));
        let priced = money.saturating_mul(weight) / i128::from(MILLI);
        let sum = (priced + base)
            .saturating_mul(i128::from(NANO))
            .saturating_add(timed);
        if sum.saturating_mul(days) > MOST || nutrients.saturating_mul(days) > MOST {
            out.push(Excess::Recipe(RecipeId::new(index)));
        }
    }
    out
}

/// What a food can cost and contain at most.
struct Dearest {
    /// Packs of it: edible milligrams of a unit, and the price of a pack.
    packs: Vec<(i128, i128)>,
    staple_micro: i128,
    /// Its largest nutrient figure or figure of a credit rule, without sign.
    nutrient: i128,
}

impl Dearest {
    fn of(larder: &Contents, index: usize) -> Self {
        let food = &larder.foods[index];
        let range = food.packs.start as usize..food.packs.end as usize;
        let packs = if food.staple {
            &[][..]
        } else {
            &larder.packs[range]
        };
        Self {
            packs: packs
                .iter()
                .map(|p| (i128::from(p.unit_mg), i128::from(p.price_minor)))
                .collect(),
            staple_micro: i128::from(food.staple_value_micro),
            nutrient: largest(larder, index),
        }
    }

    /// Most minor units for `mg`: a pack for every unit's worth, and one more.
    fn price(&self, mg: i128) -> i128 {
        let packs = self
            .packs
            .iter()
            .map(|&(unit, price)| (mg / unit + 2).saturating_mul(price));
        packs
            .max()
            .unwrap_or(0)
            .saturating_add(self.staple_micro.saturating_mul(mg) / 1_000_000 + 1)
    }
}

/// The largest figure that is multiplied by a food's mass, without sign.
fn largest(larder: &Contents, index: usize) -> i128 {
    let nutrients = larder.foods[index].nutrients_milli.iter().flatten();
    let credits = larder.wishes.credits.iter();
    let figures = nutrients.chain(credits.filter_map(|rule| rule.figures_micro.get(index)));
    figures
        .map(|figure| i128::from(*figure).abs())
        .max()
        .unwrap_or(0)
}

/// The largest nutrient sum of one batch.
fn batch_nutrients(foods: &[(FoodId, i64)], dear: &[Dearest]) -> i128 {
    foods
        .iter()
        .map(|&(id, mg)| dear[id.index()].nutrient.saturating_mul(i128::from(mg)))
        .fold(0_i128, i128::saturating_add)
}

/// Most minor units for the foods of `mg` of a component of which a batch makes `makes`.
fn batch_price(foods: &[(FoodId, i64)], dear: &[Dearest], mg: i128, makes: i128) -> i128 {
    foods
        .iter()
        .map(|&(id, per_batch)| dear[id.index()].price(i128::from(per_batch) * mg / makes))
        .fold(0_i128, i128::saturating_add)
}

/// Returns packs whose kept value, by rounding, would be credited above their price: buying more
/// and more of them would pay.
pub(super) fn own_price(larder: &Contents) -> Vec<PackId> {
    let credit = i128::from(larder.wishes.carry_credit_milli);
    if credit == 0 {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (index, pack) in larder.packs.iter().enumerate() {
        if larder.foods[pack.food.index()].staple {
            continue;
        }
        let value = i128::from(pack.value_micro) * i128::from(pack.unit_mg * pack.units);
        let price = i128::from(pack.price_minor) * 1_000_000;
        if credit * value >= price * i128::from(MILLI) {
            out.push(PackId::new(index));
        }
    }
    out
}
