//! Finds things by the names a cook writes: exactly, in any case, or nearly.

use crate::larder::{ComponentId, Contents, Day, FamilyId, FoodId, Pin, RecipeId, Target};
use std::cell::Cell;
use std::collections::HashMap;

/// Folds a name for comparison: lower case, single spaces.
pub(crate) fn fold(name: &str) -> String {
    let lower = name.to_lowercase();
    if lower.contains("  ") || lower.contains(['\t', '\n', '\r', '\u{a0}']) {
        return lower.split_whitespace().collect::<Vec<_>>().join(" ");
    }
    lower.trim().to_owned()
}

/// Least score of a whole name that is near, thousandths; words of longer names stay below.
const WHOLE: u32 = 600;

/// Returns up to three of `known` that `wanted` may have been meant for, best first.
pub(crate) fn near<'a>(known: impl Iterator<Item = &'a str>, wanted: &str) -> Vec<String> {
    let folded = fold(wanted);
    let length = folded.chars().count();
    if length == 0 || length > 80 {
        return Vec::new();
    }
    let mut scored: Vec<(u32, &str)> = known
        .filter_map(|name| {
            let other = fold(name);
            let longer = other.chars().count();
            let score = if length.min(longer) >= 3
                && (other.contains(&folded) || folded.contains(&other))
            {
                // `tofu` is sooner `firm tofu` than a recipe with tofu in its name.
                0.75 + 0.1 * length.min(longer) as f64 / length.max(longer) as f64
            } else if length.abs_diff(longer) * 2 > length.max(longer) {
                0.0
            } else {
                strsim::normalized_damerau_levenshtein(&folded, &other)
            };
            // `tofuu` is near no whole name, yet near a word of `firm tofu`.
            let score = if score >= 0.6 {
                score
            } else if length >= 4 {
                by_word(&folded, &other)
            } else {
                0.0
            };
            (score > 0.0).then_some(((score * 1000.0) as u32, name))
        })
        .collect();
    scored.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    scored.dedup_by(|a, b| a.1 == b.1);
    // Where a whole name is near, its words elsewhere are noise.
    let whole = |&(score, _): &(u32, &str)| score >= WHOLE;
    if scored.iter().any(whole) {
        scored.retain(whole);
    }
    scored
        .into_iter()
        .take(3)
        .map(|(_, name)| name.to_owned())
        .collect()
}

/// How near a word of a longer name is: below any whole name that is near.
fn by_word(wanted: &str, name: &str) -> f64 {
    let near = |word: &str| {
        let length = word.chars().count();
        length >= 4
            && length.abs_diff(wanted.chars().count()) <= 2
            && strsim::normalized_damerau_levenshtein(wanted, word) >= 0.75
    };
    if !name.split(' ').any(near) {
        return 0.0;
    }
    // A short name is meant sooner than a long one.
    let (short, long) = (wanted.chars().count(), name.chars().count());
    0.1 + 0.1 * (short as f64 / long.max(1) as f64).min(1.0)
}

/// A name nothing answers to.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct Unknown {
    /// What is wrong with it.
    pub what: String,
    /// Names it may have been meant for, best first.
    pub near: Vec<String>,
}

/// Everything a wish may name, ready for look-up.
pub(crate) struct Index<'a> {
    larder: &'a Contents,
    targets: HashMap<String, Vec<Target>>,
    /// Names that may still be compared for "did you mean".
    left: Cell<usize>,
}

impl<'a> Index<'a> {
    pub(crate) fn new(larder: &'a Contents) -> Self {
        let mut index = Self {
            larder,
            targets: HashMap::new(),
            left: Cell::new(1_000_000),
        };
        for (i, recipe) in larder.recipes.iter().enumerate() {
            index.put(&recipe.name, Target::Recipe(RecipeId::new(i)));
        }
        for (i, food) in larder.foods.iter().enumerate() {
            index.put(&food.name, Target::Food(FoodId::new(i)));
        }
        for (i, component) in larder.components.iter().enumerate() {
            index.put(&component.name, Target::Component(ComponentId::new(i)));
        }
        for (i, family) in larder.families.iter().enumerate() {
            index.put(family, Target::Family(FamilyId::new(i)));
        }
        for food in &larder.foods {
            for allergen in &food.allergens {
                index.put(allergen, Target::Allergen(allergen.clone()));
            }
        }
        let tags = larder
            .foods
            .iter()
            .map(|f| &f.tags)
            .chain(larder.components.iter().map(|c| &c.tags))
            .chain(larder.recipes.iter().map(|r| &r.tags));
        for tag in tags.flatten() {
            index.put(tag, Target::Tag(tag.clone()));
        }
        let needs = larder.components.iter().map(|c| &c.needs);
        for need in needs
            .chain(larder.recipes.iter().map(|r| &r.needs))
            .flatten()
        {
            index.put(need, Target::Equipment(need.clone()));
        }
        index
    }

    fn put(&mut self, name: &str, target: Target) {
        let list = self.targets.entry(fold(name)).or_default();
        if !list.contains(&target) {
            list.push(target);
        }
    }

    /// Returns near names, none once very many were compared.
    fn near<'b>(&self, known: impl ExactSizeIterator<Item = &'b str>, wanted: &str) -> Vec<String> {
        let left = self.left.get().saturating_sub(known.len());
        self.left.set(left);
        if left == 0 {
            Vec::new()
        } else {
            near(known, wanted)
        }
    }

    fn name<'b>(&'b self, target: &'b Target) -> &'b str {
        match target {
            Target::Food(id) => &self.larder.foods[id.index()].name,
            Target::Family(id) => &self.larder.families[id.index()],
            Target::Recipe(id) | Target::Resting { recipe: id, .. } => {
                &self.larder.recipes[id.index()].name
            }
            Target::Component(id) => &self.larder.components[id.index()].name,
            Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word,
        }
    }

    /// Returns every meaning of a name.
    pub(crate) fn targets(&self, name: &str) -> Result<Vec<Target>, Unknown> {
        if let Some(found) = self.targets.get(&fold(name)) {
            return Ok(found.clone());
        }
        let mut known: Vec<&str> = self
            .targets
            .values()
            .flatten()
            .map(|target| self.name(target))
            .collect();
        known.sort_unstable();
        known.dedup();
        Err(Unknown {
            what: format!(
                "`{}` is no food, family, tag, allergen, equipment, recipe or component here",
                super::fault::shown(name)
            ),
            near: self.near(known.into_iter(), name),
        })
    }

    /// Returns the recipe of this name, else the food.
    pub(crate) fn pin(&self, name: &str, day: Option<Day>) -> Result<Pin, Unknown> {
        let found = self.targets.get(&fold(name)).map_or(&[][..], Vec::as_slice);
        // Recipes were put in first.
        for target in found {
            match target {
                Target::Recipe(id) => return Ok(Pin::Recipe(*id, day)),
                Target::Food(id) => return Ok(Pin::Food(*id, day)),
                _ => {}
            }
        }
        let recipes = self
            .larder
            .recipes
            .iter()
            .map(|recipe| recipe.name.as_str());
        let foods = self.larder.foods.iter().map(|food| food.name.as_str());
        let known: Vec<&str> = recipes.chain(foods).collect();
        let shown = super::fault::shown(name);
        let what = if found.is_empty() {
            format!("`{shown}` is no recipe or food here")
        } else {
            format!("`{shown}` is no recipe or food; only those can be asked for")
        };
        Err(Unknown {
            what,
            near: self.near(known.into_iter(), name),
        })
    }
}

/// Returns everything a ban on `name` means, names in any case. One word may be a food and an
/// allergen and a tag at once: then all of them are banned, which is the careful reading.
///
/// # Errors
/// [`Unknown`] with near matches if nothing has that name.
pub fn resolve_target(larder: &Contents, name: &str) -> Result<Vec<Target>, Unknown> {
    Index::new(larder).targets(name)
}

/// Returns what `NAME` or `NAME@DAY` asks for: a recipe of that name, else a food. The day is a
/// lunch day's name or number.
///
/// # Errors
/// [`Unknown`] with near matches if no recipe or food has that name, or no lunch day is so called.
pub fn resolve_pin(larder: &Contents, text: &str) -> Result<Pin, Unknown> {
    let index = Index::new(larder);
    let whole = index.pin(text, None);
    if whole.is_ok() {
        return whole;
    }
    let Some((name, day)) = text.rsplit_once('@') else {
        return whole;
    };
    let frame = super::week::Frame::of(&larder.week);
    let day = frame.lunch_day(day).map_err(|says| Unknown {
        what: format!("{}; {}", says.what, says.help),
        near: Vec::new(),
    })?;
    index.pin(name, Some(day))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_finger_finds_the_word_meant() {
        let known = ["chickpeas", "brown rice", "red onion", "onion powder"];
        assert_eq!(near(known.into_iter(), "chikpeas"), ["chickpeas"]);
        assert_eq!(near(known.into_iter(), "Brown  Rice"), ["brown rice"]);
        assert_eq!(
            near(known.into_iter(), "onion"),
            ["red onion", "onion powder"]
        );
        assert!(near(known.into_iter(), "xylophone").is_empty());
    }

    #[test]
    fn a_word_of_a_longer_name_is_near_if_no_whole_name_is() {
        let known = ["firm tofu", "silken tofu", "tofus", "kale", "tomatoes"];
        assert_eq!(near(known.into_iter(), "tofuu"), ["tofus"]);
        let longer = near(known.into_iter().filter(|name| *name != "tofus"), "tofuu");
        assert_eq!(longer, ["firm tofu", "silken tofu"]);
    }
}
