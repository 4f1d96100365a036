//! Where food is kept, what its time is counted from, and how far a figure can be trusted.

/// What a keeping time is counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Start {
    /// The day it was bought.
    Bought,
    /// The day it was opened.
    Opened,
    /// The day it was thawed.
    Thawed,
    /// The source names no start: cooked, ripe or home-made food, for the most part.
    Unsaid,
}

/// Where a food is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// At room temperature, on a shelf.
    Counter,
    /// At 4 C or below.
    Refrigerator,
    /// At -18 C or below.
    Freezer,
    /// A warehouse at the food's best temperature and humidity.
    ColdStore,
}

/// How far a figure can be trusted, the firmest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tier {
    /// A government chart.
    Government,
    /// A university's extension service.
    Extension,
    /// The best a commercial store reaches.
    Optimum,
    /// Growers and packers.
    Trade,
    /// Food press, or a list without a name.
    Press,
    /// Remembered, no source at hand.
    Memory,
}
