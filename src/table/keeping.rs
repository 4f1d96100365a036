//! How long foods keep and how long fruit takes to ripen, as published.
//!
//! For checks, docs and suggested figures. A kitchen's own keeping times rule its plans, and local
//! food codes rule both. Where two sources differ the shorter figure stands and the note names the
//! other. `cold store` figures are for a warehouse at the best temperature and humidity: a home
//! refrigerator gives less.

use std::sync::LazyLock;

use super::parse::{self, milli};

pub use super::storage::{Place, Start, Tier};

/// Hours from serving to chilling for any perishable food, up to 32 C. Source: University of
/// Illinois Extension, Leftovers.
pub const COUNTER_HOURS: u8 = 2;
/// The same above 32 C. Source: USDA two-hour rule, as restated.
pub const HOT_COUNTER_HOURS: u8 = 1;
/// Warmest a refrigerator may be, in degrees Celsius (40 F). Source: University of Illinois
/// Extension, Leftovers.
pub const REFRIGERATOR_CELSIUS: u8 = 4;
/// Inner temperature leftovers are reheated to, in degrees Celsius (165 F). Same source.
pub const REHEAT_CELSIUS: u8 = 74;

/// Most days cooked food keeps in a refrigerator, whatever else is listed for it. Source:
/// University of Illinois Extension, Leftovers (after USDA FSIS): 3 to 4 days.
pub const COOKED_DAYS: u16 = 4;

/// Boiled eggs keep in the shell, so that the rule for leftovers is not theirs.
const BOILED_EGGS: &str = "eggs, hard-boiled";

/// How long a food keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keeping {
    /// The food, in our words.
    pub food: &'static str,
    /// `cooked`, `raw`, `whole`, `whole, ripe`, `opened`...
    pub state: &'static str,
    /// Where.
    pub place: Place,
    /// The short end of the published range, if it has two ends.
    pub min_days: Option<u16>,
    /// The long end.
    pub max_days: u16,
    /// How far to trust it.
    pub tier: Tier,
    /// Where it was published.
    pub source: &'static str,
    /// What else to know.
    pub note: Option<&'static str>,
    /// The product of [`super::keeper`] that is nearest, matched by hand.
    pub product: Option<u16>,
}

impl Keeping {
    /// Returns the days that count: where the nearest FoodKeeper product is given a shorter time
    /// at home for the same place, that one; and cooked food in a refrigerator never beyond
    /// [`COOKED_DAYS`], eggs boiled in the shell apart.
    pub fn counted_days(&self) -> u16 {
        let place = match self.place {
            Place::ColdStore => Place::Refrigerator,
            place => place,
        };
        let other = self
            .product
            .and_then(super::keeper::product)
            .and_then(|p| p.days(place, &[Start::Bought, Start::Opened, Start::Unsaid]));
        let days = self.max_days.min(other.unwrap_or(u16::MAX));
        if self.state == "cooked" && place == Place::Refrigerator && self.food != BOILED_EGGS {
            days.min(COOKED_DAYS)
        } else {
            days
        }
    }
}

/// How long a fruit takes to ripen and then holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ripening {
    /// The fruit.
    pub fruit: &'static str,
    /// What it is at the start.
    pub from: &'static str,
    /// Days until ripe at room temperature: least and most. `None` where no source gives them.
    pub days_to_ripe: Option<(u16, u16)>,
    /// Days it then holds in the cold.
    pub hold_days: Option<u16>,
    /// Temperature of that cold in milli-degrees Celsius, least and most.
    pub hold_celsius_milli: Option<(i64, i64)>,
    /// How far to trust it.
    pub tier: Tier,
    /// Where it was published.
    pub source: &'static str,
}

/// Sources by their short name in `keeping.tsv`.
const SOURCES: [(&str, &str); 12] = [
    (
        "illinois",
        "University of Illinois Extension, Leftovers (after USDA FSIS)",
    ),
    (
        "chart",
        "Cold Food Storage Chart, FoodSafety.gov (HHS, USDA, FDA)",
    ),
    (
        "virginia",
        "Virginia Cooperative Extension 348-960, Food Storage Guidelines for Consumers (title from memory)",
    ),
    (
        "new england",
        "New England vegetable management guide, Table 16, after USDA Agriculture Handbook 66",
    ),
    (
        "handbook 66",
        "USDA ARS Agriculture Handbook 66, revised draft 2002, storage-life table",
    ),
    (
        "cold store",
        "storage table for fresh produce in the line of Agriculture Handbook 66, restated",
    ),
    (
        "origin",
        "produce point-of-origin database, Avocado (publisher from memory)",
    ),
    (
        "mango",
        "mango ripening leaflet after J. K. Brecht, University of Florida, 2014",
    ),
    ("tomato", "UC Davis Postharvest, Produce Facts: Tomato"),
    ("food press", "food press"),
    ("list", "unattributed list"),
    ("memory", "from memory"),
];

static KEEPING: LazyLock<Vec<Keeping>> = LazyLock::new(|| {
    let read = parse::lines(include_str!("keeping.tsv"), line);
    parse::whole("table of keeping times", read)
});

fn line(text: &'static str) -> Option<Keeping> {
    let cells: Vec<&'static str> = text.split('\t').collect();
    let &[food, state, place, min, max, tier, source, note, product] = cells.as_slice() else {
        return None;
    };
    Some(Keeping {
        food,
        state,
        place: match place {
            "counter" => Place::Counter,
            "refrigerator" => Place::Refrigerator,
            "freezer" => Place::Freezer,
            "cold store" => Place::ColdStore,
            _ => return None,
        },
        min_days: if min.is_empty() {
            None
        } else {
            Some(min.parse().ok()?)
        },
        max_days: max.parse().ok()?,
        tier: match tier {
            "government" => Tier::Government,
            "extension" => Tier::Extension,
            "optimum" => Tier::Optimum,
            "trade" => Tier::Trade,
            "press" => Tier::Press,
            "memory" => Tier::Memory,
            _ => return None,
        },
        source: SOURCES.iter().find(|s| s.0 == source)?.1,
        note: (!note.is_empty()).then_some(note),
        product: if product.is_empty() {
            None
        } else {
            Some(product.parse().ok()?)
        },
    })
}

/// Returns every keeping figure.
pub fn keeping() -> &'static [Keeping] {
    &KEEPING
}

/// Returns the keeping figures of foods whose name holds this word (case does not matter).
pub fn keeping_of(food: &str) -> Vec<&'static Keeping> {
    let food = food.trim().to_lowercase();
    KEEPING
        .iter()
        .filter(|k| !food.is_empty() && k.food.contains(&food))
        .collect()
}

static RIPENING: LazyLock<Vec<Ripening>> = LazyLock::new(|| {
    let cold = |least: &str, most: &str| milli(least).zip(milli(most));
    let davis = "UC Davis Postharvest, Produce Facts";
    vec![
        Ripening {
            fruit: "avocado",
            from: "hard, treated with ethylene",
            days_to_ripe: Some((3, 6)),
            hold_days: None,
            hold_celsius_milli: cold("2", "4"),
            tier: Tier::Extension,
            source: davis,
        },
        Ripening {
            fruit: "avocado",
            from: "hard, untreated, from picking",
            days_to_ripe: Some((7, 14)),
            hold_days: Some(7),
            hold_celsius_milli: cold("4", "7"),
            tier: Tier::Extension,
            source: "produce point-of-origin database, Avocado (publisher from memory)",
        },
        Ripening {
            fruit: "avocado",
            from: "hard, from a shop",
            days_to_ripe: Some((3, 5)),
            hold_days: Some(5),
            hold_celsius_milli: cold("4", "4"),
            tier: Tier::Trade,
            source: "avocado growers' handling page",
        },
        Ripening {
            fruit: "mango",
            from: "after a day of ethylene",
            days_to_ripe: Some((5, 9)),
            hold_days: Some(7),
            hold_celsius_milli: cold("10", "13"),
            tier: Tier::Extension,
            source: "mango ripening leaflet after J. K. Brecht, University of Florida, 2014",
        },
        Ripening {
            fruit: "tomato",
            from: "mature green",
            days_to_ripe: None,
            hold_days: Some(3),
            hold_celsius_milli: cold("7", "10"),
            tier: Tier::Extension,
            source: davis,
        },
        Ripening {
            fruit: "banana",
            from: "green",
            days_to_ripe: None,
            hold_days: None,
            hold_celsius_milli: cold("13", "14"),
            tier: Tier::Extension,
            source: davis,
        },
    ]
});

/// Returns every ripening figure that names days or a holding temperature.
pub fn ripening() -> &'static [Ripening] {
    &RIPENING
}
