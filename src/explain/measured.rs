//! What is taken, and how much of it, with what measures of that thing weigh.

use super::days::When;
use crate::kitchen::amount_parts;
use crate::larder::{Alternative, Household, Ingredient, Larder};
use crate::table::units::{self, Kind};

/// The name of what a line takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taken {
    /// A food itself.
    Food(String),
    /// A component from a batch.
    Component(String),
}

impl Taken {
    pub(super) fn new(larder: &Larder, what: Ingredient) -> Self {
        match what {
            Ingredient::Food(id) => Self::Food(larder.foods[id.index()].name.clone()),
            Ingredient::Component(id) => {
                Self::Component(larder.components[id.index()].name.clone())
            }
        }
    }

    /// Returns the name, whatever it is of.
    pub fn name(&self) -> &str {
        match self {
            Self::Food(name) | Self::Component(name) => name,
        }
    }
}

/// The name of a food or component.
pub(super) fn name_of(larder: &Larder, what: Ingredient) -> String {
    Taken::new(larder, what).name().to_owned()
}

/// A line of such a recipe.
#[derive(Clone, Debug)]
pub struct MeasuredLine {
    /// Food or component.
    pub taken: Taken,
    /// The first alternative's name, if another was taken.
    pub instead_of: Option<String>,
    /// Days on which the batches it comes from are cooked; none for a food itself.
    pub cooked_on: Vec<When>,
    /// How much.
    pub amount: Measured,
}

/// An amount, and what measures of that thing weigh.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// Milligrams for all.
    pub mg: i64,
    /// Milligrams of one US cup of it, if known.
    pub cup_mg: Option<i64>,
    /// What is counted: the word in the singular, and milligrams of one.
    pub counted: Option<(String, i64)>,
}

/// `mg` for all of an entry, in the measure it was written in.
pub(super) fn measured(larder: &Larder, entry: &Alternative, mg: i64) -> Measured {
    let household = household(larder, entry.what);
    in_measure(household, &entry.written, entry.mg, mg)
}

pub(super) fn household(larder: &Larder, what: Ingredient) -> &Household {
    match what {
        Ingredient::Food(id) => &larder.foods[id.index()].household,
        Ingredient::Component(id) => &larder.components[id.index()].household,
    }
}

/// Words under which single pieces are counted where the cook wrote no measure.
const PIECES: [&str; 2] = ["clove", "piece"];

/// An amount nobody wrote down: whatever measures the thing has.
pub(super) fn plain(household: &Household, mg: i64) -> Measured {
    let counted = PIECES.iter().find_map(|&word| {
        let mut known = household.counted.iter();
        known.find(|(name, _)| name == word).cloned()
    });
    Measured {
        mg,
        cup_mg: household.cup_mg,
        counted,
    }
}

/// An amount in the measure the cook wrote: what one of it weighs follows from the line
/// itself, so that scaling never changes the measure.
fn in_measure(household: &Household, written: &str, portion_mg: i64, mg: i64) -> Measured {
    let mass = Measured {
        mg,
        cup_mg: household.cup_mg,
        counted: None,
    };
    let Some((num, den, measure)) = amount_parts(written) else {
        return mass;
    };
    let one = |size: i128| -> Option<i64> {
        let top = i128::from(portion_mg).checked_mul(den)?.checked_mul(size)?;
        i64::try_from(top / num).ok().filter(|&mg| mg > 0)
    };
    let word = measure.split_whitespace().collect::<Vec<_>>().join(" ");
    match units::find(&word) {
        Some(unit) if unit.kind == Kind::Mass => mass,
        Some(unit) => {
            let cup = units::find("cup").map_or(unit.size, |cup| cup.size);
            let cup_mg = one(cup).map(|mg| i128::from(mg) / unit.size.max(1));
            Measured {
                mg,
                cup_mg: cup_mg
                    .and_then(|mg| i64::try_from(mg).ok())
                    .filter(|&mg| mg > 0)
                    .or(household.cup_mg),
                counted: None,
            }
        }
        None => Measured {
            mg,
            cup_mg: household.cup_mg,
            counted: one(1).map(|mg| (singular(household, &word), mg)),
        },
    }
}

/// The measure as the larder calls it, if it knows the word or its plain plural.
fn singular(household: &Household, word: &str) -> String {
    let same = |name: &str| {
        name.eq_ignore_ascii_case(word)
            || word
                .strip_suffix('s')
                .is_some_and(|stem| name.eq_ignore_ascii_case(stem))
    };
    let mut names = household.counted.iter().map(|(name, _)| name.as_str());
    let packs = ["pack", "unit"];
    names
        .find(|name| same(name))
        .or_else(|| packs.into_iter().find(|name| same(name)))
        .unwrap_or(word)
        .to_owned()
}
