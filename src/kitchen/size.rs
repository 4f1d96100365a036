//! Refuses kitchens whose figures could add up past 64 bits, and prices that pay for themselves.
//!
//! The engine adds money in 1e-9 minor units. Here every recipe is priced at the dearest it could
//! possibly be, for the most eaters of any day, with every weight at work; the week can cost no
//! more than N such lunches. What passes leaves a factor of four.

use super::components;
use super::fault::{At, Sink, shown};
use super::foods::FoodDraft;
use super::recipes;
use crate::larder::{FoodId, Ingredient, Larder, MILLI, NANO};

/// Largest sum that is let through.
const MOST: i128 = (i64::MAX / 4) as i128;

/// What a larder's figures come from, for places.
pub(crate) struct Places<'a> {
    pub(crate) foods: &'a [FoodDraft],
    pub(crate) components: &'a [components::Draft],
    pub(crate) recipes: &'a [recipes::Draft],
    pub(crate) tools: &'a super::steps::Tools,
    pub(crate) aims: At,
    pub(crate) rules: At,
}

/// What could add up past 64 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Excess {
    /// Prices and weights of the aims, or what is on hand, by themselves.
    Base,
    /// A batch of this component.
    Component(usize),
    /// A week of this recipe.
    Recipe(usize),
}

/// Checks the whole larder.
pub(crate) fn check(larder: &Larder, places: &Places, sink: &mut Sink) {
    own_price(larder, places, sink);
    for excess in excesses(larder) {
        match excess {
            Excess::Base => sink.fault(
                places.aims,
                "prices and weights of the aims, or the stock's value, are too large to add up \
                 exactly",
                "lower the prices in `aims`, or check the amounts in `stock`",
            ),
            Excess::Component(at) => {
                too_large(places.components[at].at, &larder.components[at].name, sink);
            }
            Excess::Recipe(at) => {
                too_large(places.recipes[at].at, &larder.recipes[at].name, sink);
            }
        }
    }
}

/// Returns whatever could add up past 64 bits.
pub(crate) fn excesses(larder: &Larder) -> Vec<Excess> {
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
        .map(|unit| i128::from(unit.left_mg) * i128::from(unit.value_nano) / i128::from(NANO))
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
                out.push(Excess::Component(index));
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
            out.push(Excess::Recipe(index));
        }
    }
    out
}

fn too_large(at: At, name: &str, sink: &mut Sink) {
    sink.fault(
        at,
        format!(
            "the figures of `{}` are so large that a week of it could not be added up exactly",
            shown(name)
        ),
        "check its amounts, the prices and pack sizes of its foods, eaters and minutes",
    );
}

/// What a food can cost and contain at most.
struct Dearest {
    /// Packs of it: edible milligrams of a unit, and the price of a pack.
    packs: Vec<(i128, i128)>,
    staple_nano: i128,
    /// Its largest nutrient figure or figure of a credit rule, without sign.
    nutrient: i128,
}

impl Dearest {
    fn of(larder: &Larder, index: usize) -> Self {
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
            staple_nano: i128::from(food.staple_value_nano),
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
            .saturating_add(self.staple_nano.saturating_mul(mg) / i128::from(NANO) + 1)
    }
}

/// The largest figure that is multiplied by a food's mass, without sign.
fn largest(larder: &Larder, index: usize) -> i128 {
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

/// Tells packs whose kept value, by rounding, would be credited above their price: buying more
/// and more of them would pay.
fn own_price(larder: &Larder, places: &Places, sink: &mut Sink) {
    let wishes = &larder.wishes;
    if wishes.carry_credit_milli == 0 {
        return;
    }
    for (food, draft) in larder.foods.iter().zip(places.foods) {
        if food.staple {
            continue;
        }
        for (pack, at) in draft.packs.iter().zip(&draft.pack_at) {
            let credit = i128::from(wishes.keep_credit_nano(pack.value_nano));
            let price = i128::from(pack.price_minor) * i128::from(NANO);
            if credit * i128::from(pack.unit_mg * pack.units) >= price {
                sink.fault(
                    at.1,
                    format!(
                        "with this `carry_credit`, buying `{}` to keep it would pay for itself",
                        shown(&food.name)
                    ),
                    "the price is too low for its size to be valued exactly: lower `carry_credit`, \
                     or correct price or size",
                );
            }
        }
    }
}
