//! How much of a food a week can ask for at most, by day: the bounds of the links.
//!
//! A link such as "no pack without its food" needs a factor large enough never to cut off
//! a week and small enough to say something. Each is that food's own largest possible
//! need, found from the recipes: on a lunch day one recipe is eaten, a line takes one
//! alternative, and a component's foods are used on one of its batch days.

use crate::larder::{Day, FoodId, Ingredient, Larder, Line};

/// Largest possible needs of every food.
pub(super) struct Need {
    /// By food and day 0..=N: milligrams used on that day at most.
    on_day: Vec<Vec<i64>>,
    /// By food: milligrams used in the whole week at most.
    in_week: Vec<i64>,
}

impl Need {
    /// Looks at every recipe on every lunch day.
    pub(super) fn new(larder: &Larder) -> Self {
        let days = larder.lunch_count() + 1;
        let mut on_day = vec![vec![0; days]; larder.foods.len()];
        let mut in_week = vec![0; larder.foods.len()];
        for lunch in 1..=larder.week.lunches {
            // Most that a recipe of this lunch takes, on each day and at all.
            let mut most = vec![vec![0; days]; larder.foods.len()];
            let mut most_at_all = vec![0; larder.foods.len()];
            for recipe in &larder.recipes {
                let mut sums: Vec<(FoodId, Vec<i64>, i64)> = Vec::new();
                for line in &recipe.lines {
                    add_line(larder, line, lunch, &mut sums);
                }
                for (food, by_day, at_all) in sums {
                    let food = food.index();
                    for (most, sum) in most[food].iter_mut().zip(by_day) {
                        *most = (*most).max(sum);
                    }
                    most_at_all[food] = most_at_all[food].max(at_all);
                }
            }
            for food in 0..larder.foods.len() {
                for (sum, most) in on_day[food].iter_mut().zip(&most[food]) {
                    *sum += most;
                }
                in_week[food] += most_at_all[food];
            }
        }
        Self { on_day, in_week }
    }

    /// Returns the most milligrams of `food` used on `day`.
    pub(super) fn on(&self, food: FoodId, day: Day) -> i64 {
        self.on_day[food.index()][usize::from(day)]
    }

    /// Returns the most milligrams of `food` used on days `from..=to`.
    pub(super) fn between(&self, food: FoodId, from: Day, to: Day) -> i64 {
        let days = usize::from(from)..=usize::from(to);
        let sum: i64 = self.on_day[food.index()][days].iter().sum();
        sum.min(self.in_week[food.index()])
    }

    /// Returns whether any recipe can use `food`.
    pub(super) fn any(&self, food: FoodId) -> bool {
        self.in_week[food.index()] > 0
    }
}

/// Adds the most that one line takes of each food: the largest over its alternatives.
fn add_line(larder: &Larder, line: &Line, lunch: Day, sums: &mut Vec<(FoodId, Vec<i64>, i64)>) {
    let days = larder.lunch_count() + 1;
    let mut most: Vec<(FoodId, Vec<i64>, i64)> = Vec::new();
    for alternative in &line.alternatives {
        let asked = larder.for_eaters(alternative.mg, lunch);
        let (foods, earliest) = match alternative.what {
            Ingredient::Food(food) => (vec![(food, asked)], lunch),
            Ingredient::Component(id) => (
                larder.component_foods(id, asked),
                first_batch_day(larder.components[id.index()].keeps, lunch),
            ),
        };
        for (food, mg) in foods {
            let entry = entry(&mut most, food, days);
            entry.2 = entry.2.max(mg);
            for day in earliest..=lunch {
                let slot = &mut entry.1[usize::from(day)];
                *slot = (*slot).max(mg);
            }
        }
    }
    for (food, by_day, at_all) in most {
        let entry = entry(sums, food, days);
        entry.2 += at_all;
        for (sum, mg) in entry.1.iter_mut().zip(by_day) {
            *sum += mg;
        }
    }
}

fn entry(
    list: &mut Vec<(FoodId, Vec<i64>, i64)>,
    food: FoodId,
    days: usize,
) -> &mut (FoodId, Vec<i64>, i64) {
    let position = list.iter().position(|known| known.0 == food);
    let position = position.unwrap_or_else(|| {
        list.push((food, vec![0; days], 0));
        list.len() - 1
    });
    &mut list[position]
}

/// Returns the first day a batch for lunch day `lunch` may be cooked on.
pub(super) fn first_batch_day(keeps: i32, lunch: Day) -> Day {
    u8::try_from(i32::from(lunch).saturating_sub(keeps).max(0)).expect("at most the lunch day")
}
