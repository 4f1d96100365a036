//! Refuses kitchens whose figures could add up past 64 bits, and prices that pay for themselves.
//!
//! The engine adds money in 1e-9 minor units. Here every recipe is priced at the dearest it could
//! possibly be, for the most eaters of any day, with every weight at work; the week can cost no
//! more than N such lunches. What passes leaves a factor of four
//! ([`MOST_SUM`]); what a sum beyond that would do is not left to chance: release builds check every
//! addition.

use super::{
    Component, ComponentId, Contents, Food, Ingredient, List, MILLI, NANO, Pack, PackId,
    Preference, Recipe, RecipeId, ShoppingTrip, Stock, weighted,
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
    /// A week of this recipe, and the largest part of its sum; none if that is in every recipe.
    Recipe(RecipeId, Option<Largest>),
}

/// What makes a sum as large as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Largest {
    /// What packs, or the staple, of this ingredient cost for the most eaters.
    Price(Ingredient),
    /// A figure of this ingredient's nutrients, or one that a rule counts.
    Nutrient(Ingredient),
    /// Minutes.
    Minutes,
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
    trips: &'a [ShoppingTrip],
}

#[derive(PartialEq, Eq)]
struct Prices<'a> {
    spoil_weight_milli: i64,
    food_price_minor: i64,
    minute_price_minor: i64,
    watch_price_minor: i64,
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
                watch_price_minor: wishes.watch_price_minor,
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
        + larder
            .week
            .trips
            .iter()
            .map(|trip| i128::from(trip.going_minor.unwrap_or(wishes.trip_price_minor)))
            .sum::<i128>()
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
    // Once a component, however often it is used.
    let batches: Vec<Batch> = larder
        .components
        .iter()
        .map(|component| Batch::of(component, &dear))
        .collect();
    let over = |batch: &Batch| batch.nutrient.saturating_mul(days) > MOST;
    let over = (0..batches.len()).filter(|&index| over(&batches[index]));
    out.extend(over.map(|index| Excess::Component(ComponentId::new(index))));
    let known = Known::of(larder, passed);
    let dearest = DearestLunch {
        larder,
        dear: &dear,
        batches: &batches,
        eaters,
    };
    for (index, recipe) in larder.recipes.iter().enumerate() {
        if known.recipe(recipe) {
            continue;
        }
        let sums = dearest.sums(recipe);
        let timed = sums.minutes * i128::from(wishes.minute_price_minor.max(1))
            + sums.watched * i128::from(wishes.watch_price_minor.max(1));
        let priced = sums.money.saturating_mul(weight) / i128::from(MILLI);
        let sum = (priced + base)
            .saturating_mul(i128::from(NANO))
            .saturating_add(timed);
        let largest = if sums.nutrients.saturating_mul(days) > MOST {
            sums.nutritious.map(Largest::Nutrient)
        } else if sum.saturating_mul(days) > MOST {
            let money = priced.saturating_mul(i128::from(NANO));
            match money.max(timed).max(base * i128::from(NANO)) {
                most if most == money => sums.dear.map(Largest::Price),
                most if most == timed => Some(Largest::Minutes),
                _ => None,
            }
        } else {
            continue;
        };
        out.push(Excess::Recipe(RecipeId::new(index), largest));
    }
    out
}

/// Lunches priced at the dearest they could be.
struct DearestLunch<'f> {
    larder: &'f Figures<'f>,
    dear: &'f [Dearest],
    batches: &'f [Batch],
    /// Most eaters of a day, thousandths.
    eaters: i128,
}

/// What a lunch can come to at most: minor units, nutrients, minutes (1e-9).
struct LunchSums {
    money: i128,
    nutrients: i128,
    minutes: i128,
    watched: i128,
    /// What costs most of it, and what has most nutrients.
    dear: Option<Ingredient>,
    nutritious: Option<Ingredient>,
}

impl DearestLunch<'_> {
    /// Adds up what is largest in each line.
    fn sums(&self, recipe: &Recipe) -> LunchSums {
        let mut sums = LunchSums {
            money: 0,
            nutrients: 0,
            minutes: i128::from(recipe.minutes_nano),
            watched: 0,
            dear: None,
            nutritious: None,
        };
        let (mut dearest, mut richest) = (0, 0);
        for line in &recipe.lines {
            let (mut money, mut nutrients, mut minutes, mut watched) = (0, 0, 0, 0);
            for alternative in &line.alternatives {
                let of = self.alternative(alternative.what, i128::from(alternative.mg));
                if of[0] > dearest {
                    (dearest, sums.dear) = (of[0], Some(alternative.what));
                }
                if of[1] > richest {
                    (richest, sums.nutritious) = (of[1], Some(alternative.what));
                }
                money = of[0].max(money);
                nutrients = of[1].max(nutrients);
                minutes = of[2].max(minutes);
                watched = of[3].max(watched);
            }
            sums.money += money;
            sums.nutrients += nutrients;
            sums.minutes += minutes;
            sums.watched += watched;
        }
        sums
    }

    /// Most money, nutrients, minutes and watched minutes of so much of an ingredient.
    fn alternative(&self, what: Ingredient, mg: i128) -> [i128; 4] {
        let all = mg * self.eaters / i128::from(MILLI);
        match what {
            Ingredient::Food(id) => {
                let food = &self.dear[id.index()];
                [food.price(all), food.nutrient * mg, 0, 0]
            }
            Ingredient::Component(id) => {
                let component = &self.larder.components[id.index()];
                let batch = &self.batches[id.index()];
                [
                    batch.price(all),
                    batch.nutrient.saturating_mul(mg) / batch.makes,
                    i128::from(component.batch_minutes_nano) * 2
                        + i128::from(component.minutes_per_mg_nano) * all,
                    batch.watched * 2,
                ]
            }
        }
    }
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

    /// A line that [`Self::price`] is never above: most minor units for `mg`, and most that come
    /// to them, whatever the share of `mg` that is taken.
    fn line(&self, mg: i128) -> (i128, i128) {
        let packs = self.packs.iter();
        let whole = packs.map(|&(unit, price)| (mg.saturating_mul(price) - 1) / unit + 1);
        let dearest = self.packs.iter().map(|&(_, price)| price).max();
        let staple = (self.staple_nano.saturating_mul(mg) - 1) / i128::from(NANO) + 1;
        (
            whole.max().unwrap_or(0).saturating_add(staple),
            dearest.unwrap_or(0).saturating_mul(2).saturating_add(1),
        )
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

/// What the foods of a batch can cost and contain at most.
struct Batch {
    makes: i128,
    /// The largest nutrient sum of one batch.
    nutrient: i128,
    /// Most minor units for what a batch takes, packs and staples by the milligram.
    price: i128,
    /// Most minor units beside that, however little is taken: packs that are begun.
    begun: i128,
    /// Watched minutes, 1e-9.
    watched: i128,
}

impl Batch {
    fn of(component: &Component, dear: &[Dearest]) -> Self {
        let mut batch = Self {
            makes: i128::from(component.makes_mg),
            nutrient: 0,
            price: 0,
            begun: 0,
            watched: i128::from(component.watched_minutes()) * i128::from(NANO),
        };
        for &(id, mg) in &component.foods {
            let (food, mg) = (&dear[id.index()], i128::from(mg));
            batch.nutrient = (batch.nutrient).saturating_add(food.nutrient.saturating_mul(mg));
            let (whole, begun) = food.line(mg);
            batch.price = batch.price.saturating_add(whole);
            batch.begun = batch.begun.saturating_add(begun);
        }
        batch
    }

    /// Most minor units for the foods of `mg` of it: no less than [`Dearest::price`] of each comes
    /// to, and as long to work out whatever the component holds.
    fn price(&self, mg: i128) -> i128 {
        (self.price.saturating_mul(mg) / self.makes)
            .saturating_add(self.begun)
            .saturating_add(1)
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// 101 mg at 1 for 100 mg come to 1.01, so to two, and one for what rounds up of a staple; two
    /// kilograms of a staple at 1 a milligram come to two million.
    #[test]
    fn a_food_is_never_priced_below_what_it_costs() {
        let dear = |packs: &[(i128, i128)], staple_nano: i128| Dearest {
            packs: packs.to_vec(),
            staple_nano,
            nutrient: 0,
        };
        assert_eq!(dear(&[(100, 1)], 0).line(101), (2 + 1, 2 + 1));
        assert!(dear(&[(100, 1)], 0).price(101) >= 2);
        let staple = dear(&[], 1_000_000_000).price(2_000_000_000);
        assert!(
            (2_000_000_000..=2_000_000_001).contains(&staple),
            "{staple}"
        );
    }

    /// What a batch comes to at most is never below what its foods come to one by one.
    #[test]
    fn the_bound_of_a_batch_is_never_below_its_foods() {
        let mut dice = 88_172_645_463_325_252_u64;
        // Below a power of two that is drawn too: all sizes come up alike often.
        let mut roll = |bits: u64| {
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            i128::from((dice >> 8) & ((1 << ((dice & 255) % bits)) - 1))
        };
        let mut close = 0;
        for _ in 0..20_000 {
            let foods = 1 + roll(3) as usize;
            let dear: Vec<Dearest> = (0..foods)
                .map(|_| Dearest {
                    packs: (0..roll(3)).map(|_| (1 + roll(30), roll(24))).collect(),
                    staple_nano: roll(34),
                    nutrient: 0,
                })
                .collect();
            let mgs: Vec<i128> = (0..foods).map(|_| 1 + roll(30)).collect();
            let (makes, mg) = (1 + roll(30), 1 + roll(40));
            let mut batch = Batch {
                makes,
                nutrient: 0,
                price: 0,
                begun: 0,
                watched: 0,
            };
            let mut truth = 0;
            for (food, per_batch) in dear.iter().zip(&mgs) {
                let (whole, begun) = food.line(*per_batch);
                batch.price += whole;
                batch.begun += begun;
                truth += food.price(per_batch * mg / makes);
            }
            let bound = batch.price(mg);
            assert!(bound >= truth, "{bound} {truth}");
            close += u32::from(bound < 3 * truth + 10);
        }
        assert!(close > 8_000, "{close}");
    }
}
