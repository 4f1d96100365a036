//! Finds things by the names a cook writes: exactly, in any case, or nearly.

use super::spelling::{Allowance, Known, fold, near_known};
use super::week::Frame;
use super::wording::shown;
use crate::larder::{
    ComponentId, Contents, Day, FamilyId, FoodId, FormId, Pin, RecipeId, ShopId, Target,
};
use std::collections::HashMap;
use std::collections::hash_map::Entry;

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
    /// Each name that has a meaning, once; those of recipes and foods first.
    names: Vec<Known<'a>>,
    /// How many are those of recipes and foods.
    pins: usize,
    forms: HashMap<String, FormId>,
}

impl<'a> Index<'a> {
    pub(crate) fn new(larder: &'a Contents) -> Self {
        let forms = larder.forms.iter().enumerate().rev();
        let mut index = Self {
            larder,
            targets: HashMap::new(),
            names: Vec::new(),
            pins: 0,
            forms: forms
                .map(|(i, form)| (fold(form), FormId::new(i)))
                .collect(),
        };
        for (i, recipe) in larder.recipes.iter().enumerate() {
            index.put(&recipe.name, Target::Recipe(RecipeId::new(i)));
        }
        for (i, food) in larder.foods.iter().enumerate() {
            index.put(&food.name, Target::Food(FoodId::new(i)));
        }
        index.pins = index.names.len();
        for (i, component) in larder.components.iter().enumerate() {
            index.put(&component.name, Target::Component(ComponentId::new(i)));
        }
        for (i, family) in larder.families.iter().enumerate() {
            index.put(family, Target::Family(FamilyId::new(i)));
        }
        for (i, shop) in larder.shops.iter().enumerate() {
            index.put(shop, Target::Shop(ShopId::new(i)));
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

    fn put(&mut self, name: &'a str, target: Target) {
        let known = Known::new(name);
        match self.targets.entry(known.folded.clone()) {
            // Nearly all names have one meaning: room for no more.
            Entry::Vacant(place) => {
                self.names.push(known);
                place.insert(vec![target]);
            }
            Entry::Occupied(list) if list.get().contains(&target) => {}
            Entry::Occupied(mut list) => list.get_mut().push(target),
        }
    }

    /// Returns the form of this name.
    pub(crate) fn form(&self, name: &str) -> Option<FormId> {
        self.forms.get(&fold(name)).copied()
    }

    /// Returns every meaning of a name, or what is wrong with it.
    pub(crate) fn targets(&self, name: &str) -> Result<Vec<Target>, String> {
        self.targets.get(&fold(name)).cloned().ok_or_else(|| {
            format!(
                "`{}` is no food, family, tag, allergen, equipment, recipe{} component here",
                shown(name),
                if self.larder.shops.is_empty() {
                    " or"
                } else {
                    ", shop or"
                }
            )
        })
    }

    /// Returns the names near one that has no meaning.
    pub(crate) fn near_targets(&self, name: &str, allowance: &mut Allowance) -> Vec<String> {
        near_known(self.names.iter(), name, allowance)
    }

    /// Returns the recipe of this name, else the food, or what is wrong with it.
    pub(crate) fn pin(&self, name: &str, day: Option<Day>) -> Result<Pin, String> {
        let found = self.targets.get(&fold(name)).map_or(&[][..], Vec::as_slice);
        // Recipes were put in first.
        for target in found {
            match target {
                Target::Recipe(id) => return Ok(Pin::Recipe(*id, day)),
                Target::Food(id) => return Ok(Pin::Food(*id, day)),
                _ => {}
            }
        }
        let shown = shown(name);
        Err(if found.is_empty() {
            format!("`{shown}` is no recipe or food here")
        } else {
            format!("`{shown}` is no recipe or food; only those can be asked for")
        })
    }

    /// Returns the names near one that is no recipe or food.
    pub(crate) fn near_pins(&self, name: &str, allowance: &mut Allowance) -> Vec<String> {
        near_known(self.names[..self.pins].iter(), name, allowance)
    }
}

/// Wishes given by name, as options give them, ready for look-up; names in any case.
pub struct Names<'a> {
    index: Index<'a>,
    allowance: Allowance,
}

impl<'a> Names<'a> {
    /// Makes the names of a larder ready, once for all that are looked up.
    pub fn new(larder: &'a Contents) -> Self {
        Self {
            index: Index::new(larder),
            allowance: Allowance::default(),
        }
    }

    /// Returns everything a ban on `name` means. One word may be a food and an allergen and a tag
    /// at once: then all of them are banned, which is the careful reading.
    ///
    /// # Errors
    /// [`Unknown`] if nothing has that name, with near names unless very many were compared.
    pub fn target(&mut self, name: &str) -> Result<Vec<Target>, Unknown> {
        self.index.targets(name).map_err(|what| Unknown {
            what,
            near: self.index.near_targets(name, &mut self.allowance),
        })
    }

    /// Returns what `NAME` or `NAME@DAY` asks for: a recipe of that name, else a food. The day is a
    /// lunch day's name or number.
    ///
    /// # Errors
    /// [`Unknown`] if no recipe or food has that name, or no lunch day is so called, with near
    /// names unless very many were compared.
    pub fn pin(&mut self, text: &str) -> Result<Pin, Unknown> {
        let mut unknown = |name: &str, what| Unknown {
            what,
            near: self.index.near_pins(name, &mut self.allowance),
        };
        let what = match self.index.pin(text, None) {
            Ok(pin) => return Ok(pin),
            Err(what) => what,
        };
        let parted = text.rsplit_once('@').or_else(|| text.rsplit_once(" on "));
        let Some((name, day)) = parted.map(|(name, day)| (name.trim_end(), day)) else {
            return Err(unknown(text, what));
        };
        let frame = Frame::of(&self.index.larder.week);
        let day = frame.lunch_day(day).map_err(|says| Unknown {
            what: format!("{}; {}", says.what, says.help),
            near: Vec::new(),
        })?;
        self.index
            .pin(name, Some(day))
            .map_err(|what| unknown(name, what))
    }
}

/// Returns everything a ban on one name means, as [`Names::target`] does.
///
/// # Errors
/// [`Unknown`] with near matches if nothing has that name.
pub fn resolve_target(larder: &Contents, name: &str) -> Result<Vec<Target>, Unknown> {
    Names::new(larder).target(name)
}

/// Returns what one `NAME`, `NAME@DAY` or `NAME on DAY` asks for, as [`Names::pin`] does.
///
/// # Errors
/// [`Unknown`] with near matches if no recipe or food has that name, or no lunch day is so called.
pub fn resolve_pin(larder: &Contents, text: &str) -> Result<Pin, Unknown> {
    Names::new(larder).pin(text)
}
