//! What bans leave of a recipe's lines, and the foods in it.

use crate::larder::allowed::Allowed;
use crate::larder::{Alternative, Contents, FoodId, Ingredient, RecipeId};

/// The foods in something, with milligrams.
pub(super) fn foods_in(larder: &Contents, alternative: &Alternative) -> Vec<(FoodId, i64)> {
    match alternative.what {
        Ingredient::Food(id) => vec![(id, alternative.mg)],
        Ingredient::Component(id) => larder.component_foods(id, alternative.mg),
    }
}

/// The alternatives of a recipe's lines that bans leave; of a line all of whose are banned, all.
pub(super) fn open<'a>(
    larder: &'a Contents,
    id: RecipeId,
    allowed: &Allowed,
) -> Vec<Vec<&'a Alternative>> {
    let lines = &larder.recipes[id.index()].lines;
    let left = &allowed.of(id).lines;
    lines
        .iter()
        .zip(left)
        .map(|(line, left)| {
            if left.is_empty() {
                return line.alternatives.iter().collect();
            }
            left.iter()
                .map(|&at| &line.alternatives[usize::from(at)])
                .collect()
        })
        .collect()
}

pub(super) type Lines<'a> = [Vec<&'a Alternative>];
