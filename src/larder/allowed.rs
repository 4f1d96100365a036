//! Turns bans into what is left to choose from.
//!
//! A ban on a food removes every alternative that contains it, through components too; a
//! ban on a recipe's name, tag or equipment removes the recipe; a line left with no
//! alternative removes its recipe as well (section 2 of the model). The judge does not
//! use this: it tests what a finished week takes against the bans themselves.

use super::{Component, ComponentId, Contents, Food, FoodId, Ingredient, RecipeId, Target};

/// What the bans leave of every recipe, by [`RecipeId`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allowed {
    /// One entry per recipe of the larder, in its order.
    pub recipes: Vec<AllowedRecipe>,
}

/// What the bans leave of one recipe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AllowedRecipe {
    /// Banned as a whole: by name, tag or equipment.
    pub banned: bool,
    /// For each main line, the positions of the alternatives still allowed, rising. Filled
    /// in for banned recipes too.
    pub lines: Vec<Vec<u16>>,
}

impl AllowedRecipe {
    /// Returns whether the recipe can be served at all: not banned, and something is left
    /// for every line.
    pub fn can_be_served(&self) -> bool {
        !self.banned && self.lines.iter().all(|left| !left.is_empty())
    }
}

impl Allowed {
    /// Returns the entry of `recipe`.
    pub fn of(&self, recipe: RecipeId) -> &AllowedRecipe {
        &self.recipes[recipe.index()]
    }

    /// Returns the recipes that can be served, rising.
    pub fn servable(&self) -> impl Iterator<Item = RecipeId> {
        self.recipes
            .iter()
            .enumerate()
            .filter(|(_, recipe)| recipe.can_be_served())
            .map(|(index, _)| RecipeId::new(index))
    }
}

/// Returns which foods the larder's bans name, by food.
pub fn foods_banned(larder: &Contents) -> Vec<bool> {
    let bans = &larder.wishes.without;
    (0..larder.foods.len())
        .map(|index| bans_food(bans, FoodId::new(index), &larder.foods[index]))
        .collect()
}

/// Returns what the larder's bans leave of every recipe.
pub fn allowed_alternatives(larder: &Contents) -> Allowed {
    let bans = &larder.wishes.without;
    let food_is_banned = foods_banned(larder);
    let component_is_banned: Vec<bool> = (0..larder.components.len())
        .map(|index| {
            let component = &larder.components[index];
            bans_component(bans, ComponentId::new(index), component)
                || component
                    .foods
                    .iter()
                    .any(|&(food, _)| food_is_banned[food.index()])
        })
        .collect();
    let recipes = larder
        .recipes
        .iter()
        .enumerate()
        .map(|(index, recipe)| AllowedRecipe {
            banned: bans.iter().any(|ban| match ban {
                Target::Recipe(banned) | Target::Resting { recipe: banned, .. } => {
                    *banned == RecipeId::new(index)
                }
                Target::Tag(tag) => recipe.tags.contains(tag),
                Target::Equipment(tool) => recipe.needs.contains(tool),
                Target::Food(_)
                | Target::Family(_)
                | Target::Allergen(_)
                | Target::Component(_)
                | Target::Shop(_)
                | Target::Pack(_) => false,
            }),
            lines: recipe
                .lines
                .iter()
                .map(|line| {
                    (0u16..)
                        .zip(&line.alternatives)
                        .filter(|(_, alternative)| match alternative.what {
                            Ingredient::Food(food) => !food_is_banned[food.index()],
                            Ingredient::Component(id) => !component_is_banned[id.index()],
                        })
                        .map(|(position, _)| position)
                        .collect()
                })
                .collect(),
        })
        .collect();
    Allowed { recipes }
}

fn bans_food(bans: &[Target], id: FoodId, food: &Food) -> bool {
    bans.iter().any(|ban| match ban {
        Target::Food(banned) => *banned == id,
        Target::Family(family) => food.family == Some(*family),
        Target::Tag(tag) => food.tags.contains(tag),
        Target::Allergen(allergen) => food.allergens.contains(allergen),
        Target::Equipment(_)
        | Target::Recipe(_)
        | Target::Component(_)
        | Target::Shop(_)
        | Target::Pack(_)
        | Target::Resting { .. } => false,
    })
}

fn bans_component(bans: &[Target], id: ComponentId, component: &Component) -> bool {
    bans.iter().any(|ban| match ban {
        Target::Component(banned) => *banned == id || component.inside.contains(banned),
        Target::Tag(tag) => component.tags.contains(tag),
        Target::Equipment(tool) => component.needs.contains(tool),
        Target::Food(_)
        | Target::Family(_)
        | Target::Allergen(_)
        | Target::Recipe(_)
        | Target::Shop(_)
        | Target::Pack(_)
        | Target::Resting { .. } => false,
    })
}
