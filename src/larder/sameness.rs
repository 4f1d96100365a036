//! Turns two recipes into how alike they are: the cosine of what goes into them.
//!
//! Each recipe is a vector of edible milligrams by food for a portion of factor 1: every
//! line at its first alternative, components resolved into foods, staples left out. The
//! cosine of two such vectors lies between 0 (no food in common) and 1 (the same foods in
//! the same proportions); a recipe without counted foods is like no other. It is a fixed
//! table, whatever alternatives a week takes, so that the rule stays linear (section 4,
//! number 9, of the model). Nothing is rounded: roots and divisions are cleared first.

use super::{Contents, FoodId, Ingredient, MILLI, RecipeId};

/// Entries are halved together until they are below this, so that the products fit. It
/// is 70 tonnes a portion: no kitchen's figures are touched.
const MOST_ENTRY: i128 = 1 << 46;

/// The vectors of all recipes of a larder.
#[derive(Clone, Debug)]
pub struct Sameness {
    vectors: Vec<Vector>,
}

/// Milligrams by food, rising by food, and the sum of their squares.
#[derive(Clone, Debug)]
struct Vector {
    entries: Vec<(FoodId, i128)>,
    square: u128,
}

impl Sameness {
    /// Works out the vectors of all recipes of `larder`.
    pub fn new(larder: &Contents) -> Self {
        let vectors = (0..larder.recipes.len())
            .map(|index| Vector::of(larder, RecipeId::new(index)))
            .collect();
        Self { vectors }
    }

    /// Returns whether the sameness of `a` and `b` is above `limit_milli` thousandths.
    pub fn exceeds(&self, a: RecipeId, b: RecipeId, limit_milli: i64) -> bool {
        self.vectors[a.index()].exceeds(&self.vectors[b.index()], limit_milli)
    }

    /// Returns the sameness of `a` and `b` in thousandths, rounded up: the least limit
    /// that lets both into one week. For printing.
    pub fn milli(&self, a: RecipeId, b: RecipeId) -> i64 {
        let (mut low, mut high) = (0, MILLI);
        while low < high {
            let middle = i64::midpoint(low, high);
            if self.exceeds(a, b, middle) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        low
    }
}

/// Returns whether the sameness of two recipes is above `limit_milli` thousandths.
///
/// For many pairs build a [`Sameness`] once.
pub fn exceeds(larder: &Contents, a: RecipeId, b: RecipeId, limit_milli: i64) -> bool {
    Vector::of(larder, a).exceeds(&Vector::of(larder, b), limit_milli)
}

impl Vector {
    fn of(larder: &Contents, recipe: RecipeId) -> Self {
        let mut raw: Vec<(FoodId, i128)> = Vec::new();
        for line in &larder.recipes[recipe.index()].lines {
            let Some(first) = line.alternatives.first() else {
                continue;
            };
            match first.what {
                Ingredient::Food(food) => raw.push((food, i128::from(first.mg))),
                Ingredient::Component(id) => raw.extend(
                    larder
                        .component_foods(id, first.mg)
                        .into_iter()
                        .map(|(food, mg)| (food, i128::from(mg))),
                ),
            }
        }
        raw.retain(|&(food, mg)| mg > 0 && !larder.foods[food.index()].staple);
        raw.sort_unstable_by_key(|&(food, _)| food);
        let mut entries: Vec<(FoodId, i128)> = Vec::new();
        for (food, mg) in raw {
            match entries.last_mut() {
                Some((last, sum)) if *last == food => *sum += mg,
                _ => entries.push((food, mg)),
            }
        }
        while entries.iter().any(|&(_, mg)| mg >= MOST_ENTRY) {
            for (_, mg) in &mut entries {
                *mg /= 2;
            }
        }
        let square = entries.iter().map(|(_, mg)| (mg * mg) as u128).sum();
        Self { entries, square }
    }

    /// cos > limit, with cos = dot / (|a| |b|): both sides squared and multiplied out.
    fn exceeds(&self, other: &Self, limit_milli: i64) -> bool {
        let dot = self.dot(other);
        let Ok(limit) = u128::try_from(limit_milli) else {
            return true;
        };
        if limit_milli >= MILLI || dot == 0 {
            return false;
        }
        let thousandfold = dot * MILLI as u128;
        product(thousandfold, thousandfold) > product(limit * limit * self.square, other.square)
    }

    fn dot(&self, other: &Self) -> u128 {
        let mut dot = 0;
        let mut rest = other.entries.iter().peekable();
        for &(food, mg) in &self.entries {
            while rest.next_if(|(theirs, _)| *theirs < food).is_some() {}
            if let Some((_, theirs)) = rest.next_if(|(theirs, _)| *theirs == food) {
                dot += (mg * theirs) as u128;
            }
        }
        dot
    }
}

/// Returns the whole 256 bits of `a * b`, high half first.
fn product(a: u128, b: u128) -> (u128, u128) {
    const HALF: u32 = 64;
    const LOW: u128 = (1 << HALF) - 1;
    let (a_high, a_low, b_high, b_low) = (a >> HALF, a & LOW, b >> HALF, b & LOW);
    let low = a_low * b_low;
    let cross = a_high * b_low + (low >> HALF);
    let middle = a_low * b_high + (cross & LOW);
    let high = a_high * b_high + (cross >> HALF) + (middle >> HALF);
    (high, (middle << HALF) | (low & LOW))
}

#[cfg(test)]
mod tests {
    use super::product;

    #[test]
    fn a_product_beyond_128_bits_keeps_all_its_bits() {
        assert_eq!(product(7, 6), (0, 42));
        assert_eq!(product(1 << 100, 1 << 100), (1 << 72, 0));
        // (2^128 - 1)^2 = 2^256 - 2^129 + 1
        assert_eq!(product(u128::MAX, u128::MAX), (u128::MAX - 1, 1));
    }
}
