//! Contents that were checked, and the only way to change them.

use super::size::{Excess, excesses, own_price};
use super::{ComponentId, Contents, PackId, RecipeId};
use std::ops::Deref;

/// A kitchen that was checked: every id in it is dense and valid, and every week of it can be added
/// up exactly. Its fields are those of [`Contents`], to be read only.
///
/// ```compile_fail
/// # fn change(larder: &mut scant::larder::Larder) {
/// larder.week.lunches = 3;
/// # }
/// ```
#[derive(Clone, Debug)]
pub struct Larder(Contents);

/// Something for which contents make no larder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flaw {
    /// Whose it is.
    pub of: Of,
    /// The name of that, if it has one.
    pub name: String,
    /// What it is.
    pub wrong: Wrong,
}

/// What a flaw is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// Prices and weights of the aims, or the value of what is on hand.
    Base,
    /// A pack option, called by its food's name.
    Pack(PackId),
    /// A component.
    Component(ComponentId),
    /// A recipe.
    Recipe(RecipeId),
}

/// What may be wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// Its figures could add up past 64 bits.
    TooLarge,
    /// With the carry credit, buying it to keep it would pay for itself.
    PaysForItself,
}

impl Larder {
    /// Checks contents.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn checked(contents: Contents) -> Result<Self, Vec<Flaw>> {
        let flaws = flaws(&contents);
        if flaws.is_empty() {
            Ok(Self(contents))
        } else {
            Err(flaws)
        }
    }

    /// Returns the larder with a change made.
    ///
    /// # Errors
    /// Everything that would then be wrong with it.
    pub fn changed(&self, change: impl FnOnce(&mut Contents)) -> Result<Self, Vec<Flaw>> {
        let mut contents = self.0.clone();
        change(&mut contents);
        Self::checked(contents)
    }
}

fn flaws(contents: &Contents) -> Vec<Flaw> {
    let pays = own_price(contents).into_iter().map(|id| {
        let food = contents.packs[id.index()].food;
        Flaw {
            of: Of::Pack(id),
            name: contents.foods[food.index()].name.clone(),
            wrong: Wrong::PaysForItself,
        }
    });
    let large = excesses(contents).into_iter().map(|excess| {
        let (of, name) = match excess {
            Excess::Base => (Of::Base, ""),
            Excess::Component(id) => (
                Of::Component(id),
                contents.components[id.index()].name.as_str(),
            ),
            Excess::Recipe(id) => (Of::Recipe(id), contents.recipes[id.index()].name.as_str()),
        };
        Flaw {
            of,
            name: name.to_owned(),
            wrong: Wrong::TooLarge,
        }
    });
    pays.chain(large).collect()
}

impl Deref for Larder {
    type Target = Contents;

    fn deref(&self) -> &Contents {
        &self.0
    }
}
