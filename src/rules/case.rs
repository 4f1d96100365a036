//! The case before the judge: larder and plan, and the uses that follow from them.

use std::collections::BTreeMap;

use crate::larder::{Alternative, ComponentId, Day, FoodId, Ingredient, Larder, Per, Recipe};
use crate::plan::{Lunch, Plan};

/// A lunch with its day and its recipe.
#[derive(Clone, Copy)]
pub(super) struct Served<'a> {
    pub(super) day: Day,
    pub(super) lunch: &'a Lunch,
    pub(super) recipe: &'a Recipe,
}

impl<'a> Served<'a> {
    /// Returns what each main line takes.
    pub(super) fn taken(self) -> impl Iterator<Item = &'a Alternative> {
        self.recipe
            .lines
            .iter()
            .zip(&self.lunch.taken)
            .map(|(line, &position)| &line.alternatives[usize::from(position)])
    }
}

/// A plan of sound shape, and what it uses when.
pub(super) struct Case<'a> {
    pub(super) larder: &'a Larder,
    pub(super) plan: &'a Plan,
    /// Edible milligrams of each food used on each day, by lunches' own lines and by the
    /// batches cooked that day.
    pub(super) used: BTreeMap<(FoodId, Day), i128>,
}

impl<'a> Case<'a> {
    pub(super) fn new(larder: &'a Larder, plan: &'a Plan) -> Self {
        let mut case = Self {
            larder,
            plan,
            used: BTreeMap::new(),
        };
        let mut used = BTreeMap::new();
        for served in case.lunches() {
            for alternative in served.taken() {
                if let Ingredient::Food(food) = alternative.what {
                    let mg = larder.for_eaters(alternative.mg, served.day);
                    *used.entry((food, served.day)).or_default() += i128::from(mg);
                }
            }
        }
        for batch in &plan.batches {
            for &(food, mg) in &batch.foods {
                *used.entry((food, batch.day)).or_default() += i128::from(mg);
            }
        }
        case.used = used;
        case
    }

    /// Returns the lunches in day order.
    pub(super) fn lunches(&self) -> impl Iterator<Item = Served<'a>> + use<'a> {
        let larder = self.larder;
        (1u8..)
            .zip(&self.plan.lunches)
            .map(move |(day, lunch)| Served {
                day,
                lunch,
                recipe: &larder.recipes[lunch.recipe.index()],
            })
    }

    /// Adds up what portions hold, `figure` being what 100 g of a food give (100 000 times as
    /// much stands in the sum): of each lunch, or of all of them under the name of the week.
    pub(super) fn sums(
        &self,
        per: Per,
        week: &str,
        figure: impl Fn(FoodId) -> i64,
    ) -> Vec<(String, i128)> {
        let portion = |served: Served| {
            let mut sum = 0i128;
            for alternative in served.taken() {
                let foods = match alternative.what {
                    Ingredient::Food(food) => vec![(food, alternative.mg)],
                    Ingredient::Component(id) => self.larder.component_foods(id, alternative.mg),
                };
                for (food, mg) in foods {
                    let given = i128::from(mg).saturating_mul(i128::from(figure(food)));
                    sum = sum.saturating_add(given);
                }
            }
            sum
        };
        match per {
            Per::Lunch => self
                .lunches()
                .map(|served| {
                    let whose = format!("{}'s “{}”", self.day(served.day), served.recipe.name);
                    (whose, portion(served))
                })
                .collect(),
            Per::Week => {
                let sums = self.lunches().map(portion);
                vec![(week.to_owned(), sums.fold(0, i128::saturating_add))]
            }
        }
    }

    pub(super) fn day(&self, day: impl TryInto<i32>) -> String {
        self.larder.day_name(day.try_into().unwrap_or(i32::MAX))
    }

    pub(super) fn food(&self, food: FoodId) -> &'a str {
        &self.larder.foods[food.index()].name
    }

    pub(super) fn component(&self, component: ComponentId) -> &'a str {
        &self.larder.components[component.index()].name
    }
}

/// Milligrams in the 100 g that figures are given for.
pub(super) const PER_MG: i128 = 100_000;

/// Returns milligrams as grams, exactly: "113.5 g".
pub(super) fn grams(mg: i128) -> String {
    format!("{} g", thousandths(mg))
}

/// Returns thousandths as a decimal without trailing zeros.
pub(super) fn thousandths(milli: i128) -> String {
    decimal(milli, 3)
}

/// Returns `value / 10^digits` as a decimal without trailing zeros.
pub(super) fn decimal(value: i128, digits: usize) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let padded = format!("{:0>width$}", value.unsigned_abs(), width = digits + 1);
    let (whole, part) = padded.split_at(padded.len() - digits);
    let part = part.trim_end_matches('0');
    if part.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{part}")
    }
}

#[cfg(test)]
mod tests {
    use super::{decimal, grams};

    #[test]
    fn grams_are_printed_exactly_and_without_trailing_zeros() {
        assert_eq!(grams(113_500), "113.5 g");
        assert_eq!(grams(1), "0.001 g");
        assert_eq!(grams(-20_000), "-20 g");
        assert_eq!(decimal(349, 0), "349");
    }
}
