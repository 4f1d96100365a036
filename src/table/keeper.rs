//! Keeping times of 661 products in a home: the FoodKeeper data.
//!
//! Every figure is carried over from [`SOURCE`]. It assumes a home refrigerator and states no
//! temperature. The rule for leftovers counts before it: see
//! [`COOKED_DAYS`](super::keeping::COOKED_DAYS).

use std::sync::LazyLock;

use super::parse::{self, BadLine};
use super::storage::{Place, Start};

/// Where the figures were published.
pub const SOURCE: &str = "FoodKeeper data, version 128 (2018), USDA Food Safety and Inspection \
                          Service with Cornell University and the Food Marketing Institute";

/// The same where room is short.
pub const SHORT: &str = "FoodKeeper data, 2018";

/// The source's words where something should not be kept in a place.
const NOT_RECOMMENDED: &str = "Not Recommended";

/// A product and how long it keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Product {
    /// Its number in the source.
    pub id: u16,
    /// Its name.
    pub name: &'static str,
    /// Which kind of it; empty where there is one only.
    pub which: &'static str,
    /// The category it is listed in.
    pub category: &'static str,
    /// All that is said of it.
    pub figures: Vec<Figure>,
}

/// One keeping time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figure {
    /// Where it is kept: a shelf, the refrigerator or the freezer.
    pub place: Place,
    /// What it is counted from.
    pub start: Start,
    /// The short end, in days (a month has 30, a year 365).
    pub min_days: Option<u16>,
    /// The long end. `None` where the source's words are no length.
    pub max_days: Option<u16>,
    /// As the source says it.
    pub words: &'static str,
    /// Anything else, in a few words.
    pub tip: &'static str,
    /// Why it is not to be used: the copies of the source differ.
    pub doubt: Option<&'static str>,
}

impl Product {
    /// Returns the shortest of the long ends for a place and any of these starts; figures in doubt
    /// are left out.
    pub fn days(&self, place: Place, starts: &[Start]) -> Option<u16> {
        self.figures
            .iter()
            .filter(|f| f.place == place && starts.contains(&f.start) && f.doubt.is_none())
            .filter_map(|f| f.max_days)
            .min()
    }

    /// Returns whether a number of days is counted from this start anywhere.
    pub fn tells_of(&self, start: Start) -> bool {
        let mut figures = self.figures.iter();
        figures.any(|f| f.start == start && f.max_days.is_some() && f.doubt.is_none())
    }

    /// Returns whether it keeps in a place for a time that is no number of days: until it is ripe,
    /// to the date on the pack, without end.
    pub fn open_ended(&self, place: Place, starts: &[Start]) -> bool {
        self.days(place, starts).is_none()
            && self
                .figures
                .iter()
                .filter(|f| f.place == place && starts.contains(&f.start) && f.doubt.is_none())
                .any(|f| !f.words.is_empty() && f.words != NOT_RECOMMENDED)
    }

    /// Returns its name and which kind of it, without examples.
    pub fn title(&self) -> String {
        match self.which.split(" (").next() {
            Some("") | None => self.name.to_owned(),
            Some(which) => format!("{}, {which}", self.name),
        }
    }
}

static PRODUCTS: LazyLock<Vec<Product>> =
    LazyLock::new(|| parse::whole("table of products", read(include_str!("keeper.tsv"))));

/// Reads the headings of the products, each with its figures below it.
fn read(text: &'static str) -> Result<Vec<Product>, BadLine> {
    let mut products: Vec<Product> = Vec::new();
    parse::lines(text, |line| {
        let cells: Vec<&'static str> = line.split('\t').collect();
        if let &[id, name, which, category] = cells.as_slice() {
            products.push(Product {
                id: id.strip_prefix("= ")?.parse().ok()?,
                name,
                which,
                category,
                figures: Vec::new(),
            });
        } else {
            let cells: [&'static str; 7] = cells.try_into().ok()?;
            products.last_mut()?.figures.push(figure(cells)?);
        }
        Some(())
    })?;
    Ok(products)
}

fn figure(cells: [&'static str; 7]) -> Option<Figure> {
    let [place, start, min, max, words, tip, doubt] = cells;
    Some(Figure {
        place: match place {
            "pantry" => Place::Counter,
            "refrigerator" => Place::Refrigerator,
            "freezer" => Place::Freezer,
            _ => return None,
        },
        start: match start {
            "bought" => Start::Bought,
            "opened" => Start::Opened,
            "thawed" => Start::Thawed,
            "unsaid" => Start::Unsaid,
            _ => return None,
        },
        min_days: days(min).ok()?,
        max_days: days(max).ok()?,
        words,
        tip,
        doubt: (!doubt.is_empty()).then_some(doubt),
    })
}

/// Whole days, if any stand there; parts of a day (two hours are 0.083) are left out.
///
/// # Errors
/// What stands there is no number.
fn days(text: &str) -> Result<Option<u16>, std::num::ParseIntError> {
    match text.split('.').next() {
        None | Some("") => Ok(None),
        Some(whole) => whole.parse().map(Some),
    }
}

/// Returns all products, in the source's order.
pub fn products() -> &'static [Product] {
    &PRODUCTS
}

/// Returns the product of this number.
pub fn product(id: u16) -> Option<&'static Product> {
    PRODUCTS.iter().find(|p| p.id == id)
}
