//! Refuses kitchens whose figures could add up past 64 bits, and prices that pay for themselves.
//!
//! The engine adds money in 1e-9 minor units. Here every recipe is priced at the dearest it could
//! possibly be, for the most eaters of any day, with every weight at work; the week can cost no
//! more than N such lunches. What passes leaves a factor of four
//! ([`MOST_SUM`]); what a sum beyond that would do is not left to chance: release builds check every
//! addition.

use super::{
    Component, ComponentId, Contents, Day, Food, FoodId, Ingredient, List, MILLI, NANO, Pack,
    PackId, Preference, Recipe, RecipeId, Stock, weighted,
};

/// Largest sum of a week that is let through: money in 1e-9 minor units, nutrients in the
/// thousandths of their units that a milligram holds.
pub const MOST_SUM: i64 = i64::MAX / 4;
const MOST: i128 = MOST_SUM as i128;

// A floor is held against the dearest week asked for, with what days, divided lunches and the
// like add; no sum holds more than three weeks.
const _: () = assert!(MOST_SUM.checked_mul(3).is_some());

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

/// All that sums are made of. What is not here cannot make them larger: nothing below sees it.
pub(super) struct Figures<'a> {
    week: Span<'a>,
    wishes: Prices<'a>,
    foods: &'a List<Food>,
    packs: &'a List<Pack>,
    stock: &'a List<Stock>,
    components: &'a List<Component>,
    recipes: &'a List<Recipe>,
}

#[derive(PartialEq, Eq)]
struct Span<'a> {
    lunches: u8,
    eaters_milli: &'a [i64],
    trips: &'a [Day],
}

#[derive(PartialEq, Eq)]
struct Prices<'a> {
    spoil_weight_milli: i64,
    food_price_minor: i64,
    minute_price_minor: i64,
    trip_price_minor: i64,
    carry_credit_milli: i64,
    preferences: &'a [Preference],
    credits: Vec<Counted<'a>>,
}

#[derive(PartialEq, Eq)]
struct Counted<'a> {
    figures_micro: &'a [i64],
}

impl<'a> Figures<'a> {
    pub(super) fn of(larder: &'a Contents) -> Self {
        let wishes = &larder.wishes;
        let credits = wishes.credits.iter().map(|rule| Counted {
            figures_micro: &rule.figures_micro,
        });
        Self {
            week: Span {
                lunches: larder.week.lunches,
                eaters_milli: &larder.week.eaters_milli,
                trips: &larder.week.trips,
            },
            wishes: Prices {
                spoil_weight_milli: wishes.spoil_weight_milli,
                food_price_minor: wishes.food_price_minor,
                minute_price_minor: wishes.minute_price_minor,
                trip_price_minor: wishes.trip_price_minor,
                carry_credit_milli: wishes.carry_credit_milli,
                preferences: &wishes.preferences,
                credits: credits.collect(),
            },
            foods: &larder.foods,
            packs: &larder.packs,
            stock: &larder.stock,
            components: &larder.components,
            recipes: &larder.recipes,
        }
    }

    /// Whether both differ in foods and packs at most.
    fn alike_but_for_foods(&self, other: &Self) -> bool {
        self.week == other.week
            && self.wishes == other.wishes
            && self.foods.len() == other.foods.len()
            && (self.stock.is(other.stock) || **self.stock == **other.stock)
            && self.components.is(other.components)
            && self.recipes.is(other.recipes)
    }

    /// Returns of which foods the figures, or those of its packs, differ.
    fn other_foods(&self, other: &Self) -> Vec<bool> {
        let packs = |all: &'a List<Pack>, food: &Food| {
            all.get(food.packs.start as usize..food.packs.end as usize)
        };
        let both = self.foods.iter().zip(other.foods);
        both.map(|(food, was)| food != was || packs(self.packs, food) != packs(other.packs, was))
            .collect()
    }
}

/// Recipes whose sums are those of a larder that passed.
struct Known {
    /// By food and by component: whether a figure differs. None: nothing is known.
    other: Option<(Vec<bool>, Vec<bool>)>,
}

impl Known {
    fn of(larder: &Figures, passed: Option<&Figures>) -> Self {
        let other = passed.filter(|passed| larder.alike_but_for_foods(passed));
        let other = other.map(|passed| {
            let foods = larder.other_foods(passed);
            let of =
                |component: &Component| component.foods.iter().any(|(id, _)| foods[id.index()]);
            let components = larder.components.iter().map(of).collect();
            (foods, components)
        });
        Self { other }
    }

    fn recipe(&self, recipe: &Recipe) -> bool {
        self.other.as_ref().is_some_and(|(foods, components)| {
            let mut all = recipe.lines.iter().flat_map(|line| &line.alternatives);
            all.all(|alternative| match alternative.what {
                Ingredient::Food(id) => !foods[id.index()],
                Ingredient::Component(id) => !components[id.index()],
            })
        })
    }
}

/// Returns whatever could add up past 64 bits. What must be the same as in a larder that passed
/// is not added up again.
pub(super) fn excesses(larder: &Figures, passed: Option<&Figures>) -> Vec<Excess> {
    let mut out = Vec::new();
    if passed.is_some_and(|passed| {
        larder.alike_but_for_foods(passed)
            && larder.foods.is(passed.foods)
            && larder.packs.is(passed.packs)
    }) {
        return out;
    }
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
                out.push(Excess::Component(ComponentId::new(index)));
            }
            most
        })
        .collect();
    let known = Known::of(larder, passed);
    for (index, recipe) in larder.recipes.iter().enumerate() {
        if known.recipe(recipe) {
            continue;
        }
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
    staple_nano: i128,
    /// Its largest nutrient figure or figure of a credit rule, without sign.
    nutrient: i128,
}

impl Dearest {
    fn of(larder: &Figures, index: usize) -> Self {
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
fn largest(larder: &Figures, index: usize) -> i128 {
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
pub(super) fn own_price(larder: &Figures) -> Vec<PackId> {
    let wishes = &larder.wishes;
    if wishes.carry_credit_milli == 0 {
        return Vec::new();
    }
    let mut out = Vec::new();
    for (index, pack) in larder.packs.iter().enumerate() {
        if larder.foods[pack.food.index()].staple {
            continue;
        }
        let credit = i128::from(weighted(pack.value_nano, wishes.carry_credit_milli));
        let price = i128::from(pack.price_minor) * i128::from(NANO);
        if credit * i128::from(pack.unit_mg * pack.units) >= price {
            out.push(PackId::new(index));
        }
    }
    out
}

/// Returns packs whose content is valued above their price, by more than rounding can.
pub(super) fn overvalued(larder: &Figures) -> Vec<PackId> {
    let mut out = Vec::new();
    for (index, pack) in larder.packs.iter().enumerate() {
        let size = i128::from(pack.unit_mg) * i128::from(pack.units);
        let value = i128::from(pack.value_nano) * size;
        let price = i128::from(pack.price_minor) * i128::from(NANO);
        if value > price + size {
            out.push(PackId::new(index));
        }
    }
    out
}
