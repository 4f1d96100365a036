//! A finished week: what was decided, and nothing computed.
//!
//! The judge ([`crate::rules`]) recomputes everything else from the larder and this.

use crate::larder::{ComponentId, Day, PackId, RecipeId, StockId, Trip};

/// A whole week as decided. Lists are sorted, so equal plans are equal values.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Plan {
    /// One per lunch day, in day order; index 0 is day 1.
    pub lunches: Vec<Lunch>,
    /// Sorted by component, then day.
    pub batches: Vec<Batch>,
    /// Sorted by pack, then trip; counts above zero.
    pub purchases: Vec<Purchase>,
    /// Sorted by lot, then day; units above zero.
    pub openings: Vec<Opening>,
}

/// A lunch: a recipe and what each line takes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lunch {
    /// The recipe.
    pub recipe: RecipeId,
    /// For each main line, the position of the alternative taken.
    pub taken: Vec<u16>,
}

/// A batch of a component.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Batch {
    /// What is cooked.
    pub component: ComponentId,
    /// When.
    pub day: Day,
    /// Finished milligrams eaten on each lunch day, by day; amounts above zero.
    pub serves: Vec<(Day, i64)>,
    /// Milligrams of each food used on `day`, sorted by food; amounts above zero.
    /// For a lunch served by one batch these are [`Larder::component_foods`] of each of
    /// its lines; where a lunch draws on two batches, each food is shared out in
    /// proportion to a whole milligram and the parts add up.
    ///
    /// [`Larder::component_foods`]: crate::larder::Contents::component_foods
    pub foods: Vec<(crate::larder::FoodId, i64)>,
}

/// Packs bought on one trip.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Purchase {
    /// The pack option.
    pub pack: PackId,
    /// The trip.
    pub trip: Trip,
    /// How many packs.
    pub count: i64,
}

/// Where a unit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lot {
    /// Units of packs bought on a trip.
    Bought(PackId, Trip),
    /// A unit on hand.
    Stock(StockId),
}

/// Units of one lot opened on one day, and what is drawn from them together.
///
/// An already open stock unit appears with the day of its first draw.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Opening {
    /// Which units.
    pub lot: Lot,
    /// The day they are opened.
    pub day: Day,
    /// How many.
    pub units: i64,
    /// Milligrams drawn on each day, by day; amounts above zero.
    pub draws: Vec<(Day, i64)>,
}
