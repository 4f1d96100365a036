//! Index types: one per kind of thing, so that two of them cannot be swapped.
//!
//! An id is a position in the larder's own list of that kind and is dense from zero.

use serde::Serialize;

macro_rules! index_type {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        pub struct $name(pub u32);
        impl $name {
            /// Returns the id of position `index`.
            pub fn new(index: usize) -> Self {
                Self(u32::try_from(index).expect("counts are limited at loading"))
            }
            /// Returns the position in the larder's list.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

index_type! {
    /// A food, in [`Contents::foods`](super::Contents::foods).
    FoodId,
    /// A pack option of some food, in [`Contents::packs`](super::Contents::packs).
    PackId,
    /// A unit on hand, in [`Contents::stock`](super::Contents::stock).
    StockId,
    /// A component, in [`Contents::components`](super::Contents::components).
    ComponentId,
    /// A recipe, in [`Contents::recipes`](super::Contents::recipes).
    RecipeId,
    /// A food family, in [`Contents::families`](super::Contents::families).
    FamilyId,
    /// A form of lunch, in [`Contents::forms`](super::Contents::forms).
    FormId,
    /// A main protein, in [`Contents::proteins`](super::Contents::proteins).
    ProteinId,
    /// A shop, in [`Contents::shops`](super::Contents::shops).
    ShopId,
}

/// A day of the week planned: 0 is the prep day, lunch days are 1..=N.
pub type Day = u8;
/// A shopping trip: a position in [`Week::trips`](super::Week::trips).
pub type Trip = u8;
