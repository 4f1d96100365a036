//! Contents that were checked, and the only way to change them.

use super::Contents;
use super::flaws::{Flaw, flaws};
use std::ops::Deref;

/// A kitchen that was checked: every id in it is dense and valid, every figure is one that a
/// kitchen may have, and every week of it can be added up exactly. Its fields are those of
/// [`Contents`], to be read:
///
/// ```
/// # fn days(larder: &scant::larder::Larder) -> u8 {
/// larder.week.lunches
/// # }
/// ```
///
/// They cannot be set, whatever they are reached through:
///
/// ```compile_fail,E0594
/// # fn change(larder: &mut scant::larder::Larder) {
/// larder.week.lunches = 3;
/// # }
/// ```
///
/// ```compile_fail,E0596
/// # fn change(larder: &mut scant::larder::Larder) {
/// larder.foods[0].tags.clear();
/// # }
/// ```
///
/// Nor can contents be called a larder unchecked:
///
/// ```compile_fail,E0423
/// # fn make(contents: scant::larder::Contents) -> scant::larder::Larder {
/// scant::larder::Larder(contents)
/// # }
/// ```
#[derive(Clone, Debug)]
pub struct Larder(Contents);

impl Larder {
    /// Checks contents.
    ///
    /// # Errors
    /// Everything that is wrong with them.
    pub fn checked(contents: Contents) -> Result<Self, Vec<Flaw>> {
        Self::unless(flaws(&contents, None), contents)
    }

    fn unless(flaws: Vec<Flaw>, contents: Contents) -> Result<Self, Vec<Flaw>> {
        if flaws.is_empty() {
            Ok(Self(contents))
        } else {
            Err(flaws)
        }
    }

    /// Returns the larder with a change made. Lists that the change does not touch are shared
    /// with this one and not looked at again.
    ///
    /// # Errors
    /// Everything that would then be wrong with it.
    pub fn changed(&self, change: impl FnOnce(&mut Contents)) -> Result<Self, Vec<Flaw>> {
        let mut contents = self.0.clone();
        change(&mut contents);
        Self::unless(flaws(&contents, Some(&self.0)), contents)
    }
}

impl Deref for Larder {
    type Target = Contents;

    fn deref(&self) -> &Contents {
        &self.0
    }
}
