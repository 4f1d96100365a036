//! How long the least of one food is looked for before its floor stands for it.

use crate::engine::packs::flexible::MOST_STEPS;

/// How many partial choices of packs are looked at. A part of what is asked: what is known for a few steps is not
/// given to who asks for many, so that no answer depends on what was asked before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(in crate::engine) enum Steps {
    /// While days are chosen: each order asks anew, and most fall by some other food.
    Few,
    /// Once days are known, and for what is worked out once for an item.
    Many,
}

impl Steps {
    /// The most of them.
    pub(in crate::engine) const fn most(self) -> u32 {
        match self {
            Self::Few => 1_000,
            Self::Many => MOST_STEPS,
        }
    }
}
