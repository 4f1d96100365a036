//! What a re-solved week is, told against the chosen one.

use std::collections::BTreeSet;

pub use crate::explain::{Brief, BriefLunch, Case, LineSwitch, Proof, Switch};
use crate::explain::{Sums, When};
use crate::larder::{FoodId, Ingredient, Larder, RecipeId};
use crate::plan::{Lunch, Plan};
use crate::rules::Tally;

/// Returns the sums people compare.
pub(super) fn sums(tally: &Tally) -> Sums {
    Sums {
        packs_minor: tally.packs_minor,
        foods: tally.foods,
        spoiled_nano: tally.spoiled_nano,
        minutes_nano: tally.minutes_nano,
        objective_nano: tally.objective_nano,
    }
}

/// Returns `a` less `b`.
pub(super) fn less(a: &Sums, b: &Sums) -> Sums {
    Sums {
        packs_minor: a.packs_minor - b.packs_minor,
        foods: a.foods - b.foods,
        spoiled_nano: a.spoiled_nano - b.spoiled_nano,
        minutes_nano: a.minutes_nano - b.minutes_nano,
        objective_nano: a.objective_nano - b.objective_nano,
    }
}

/// Returns a judged week in short.
pub(super) fn brief(larder: &Larder, plan: &Plan, tally: &Tally) -> Brief {
    let lunches = (1..)
        .zip(&plan.lunches)
        .map(|(day, lunch)| BriefLunch {
            when: When::new(larder, day),
            recipe: recipe_name(larder, lunch.recipe),
            taking: taking(larder, lunch),
        })
        .collect();
    let bought = bought(larder, plan);
    Brief {
        sums: sums(tally),
        lunches,
        bought: bought.iter().map(|&food| food_name(larder, food)).collect(),
    }
}

/// Returns the counted foods bought.
pub(super) fn bought(larder: &Larder, plan: &Plan) -> BTreeSet<FoodId> {
    let packs = plan.purchases.iter().map(|bought| bought.pack);
    packs.map(|pack| larder.packs[pack.index()].food).collect()
}

/// Returns the recipes of a week, sorted.
pub(super) fn recipes(plan: &Plan) -> Vec<RecipeId> {
    let mut all: Vec<RecipeId> = plan.lunches.iter().map(|lunch| lunch.recipe).collect();
    all.sort_unstable();
    all
}

pub(super) fn recipe_name(larder: &Larder, id: RecipeId) -> String {
    larder.recipes[id.index()].name.clone()
}

pub(super) fn food_name(larder: &Larder, id: FoodId) -> String {
    larder.foods[id.index()].name.clone()
}

fn name(larder: &Larder, what: Ingredient) -> String {
    match what {
        Ingredient::Food(id) => food_name(larder, id),
        Ingredient::Component(id) => larder.components[id.index()].name.clone(),
    }
}

fn taking(larder: &Larder, lunch: &Lunch) -> Vec<(String, String)> {
    let lines = &larder.recipes[lunch.recipe.index()].lines;
    lines
        .iter()
        .zip(&lunch.taken)
        .filter(|&(_, &taken)| taken > 0)
        .map(|(line, &taken)| {
            let of = |at: usize| name(larder, line.alternatives[at].what);
            (of(usize::from(taken)), of(0))
        })
        .collect()
}

/// A lunch by its place in the week, from 0.
fn named(larder: &Larder, place: usize, lunch: &Lunch) -> (When, String) {
    let day = place as i32 + 1;
    (When::new(larder, day), recipe_name(larder, lunch.recipe))
}

/// Returns how `after` differs from `before`. Lunches of one recipe are paired in day order.
pub(super) fn switch(larder: &Larder, before: &Plan, after: &Plan) -> Switch {
    let mut switch = Switch::default();
    let mut open: Vec<(usize, &Lunch)> = before.lunches.iter().enumerate().collect();
    for (day, lunch) in after.lunches.iter().enumerate() {
        let Some(at) = open.iter().position(|(_, old)| old.recipe == lunch.recipe) else {
            switch.come.push(named(larder, day, lunch));
            continue;
        };
        let (was_on, old) = open.remove(at);
        if was_on != day {
            switch.moved.push(recipe_name(larder, lunch.recipe));
        }
        let lines = &larder.recipes[lunch.recipe.index()].lines;
        let taken = old.taken.iter().zip(&lunch.taken);
        for (line, (&was, &is)) in lines.iter().zip(taken) {
            if was != is {
                let of = |at: u16| name(larder, line.alternatives[usize::from(at)].what);
                switch.lines.push(LineSwitch {
                    recipe: recipe_name(larder, lunch.recipe),
                    was: of(was),
                    is: of(is),
                });
            }
        }
    }
    let left = open.iter();
    switch.leave = left.map(|&(day, old)| named(larder, day, old)).collect();
    let (had, has) = (bought(larder, before), bought(larder, after));
    let names = |foods: Vec<FoodId>| foods.iter().map(|&food| food_name(larder, food)).collect();
    switch.dropped = names(had.difference(&has).copied().collect());
    switch.added = names(has.difference(&had).copied().collect());
    switch
}
