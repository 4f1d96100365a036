//! Keeping times of 661 products in a home: the FoodKeeper data.
//!
//! Every figure is carried over from [`SOURCE`]. It assumes a home refrigerator and states no
//! temperature. The rule for leftovers counts before it: see
//! [`COOKED_DAYS`](super::keeping::COOKED_DAYS).

use std::sync::LazyLock;

use super::keeping::{Place, Start};

/// Where the figures were published.
pub const SOURCE: &str = "FoodKeeper data, version 128 (2018), USDA Food Safety and Inspection \
                          Service with Cornell University and the Food Marketing Institute";

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

    /// Returns its name and which kind of it.
    pub fn title(&self) -> String {
        if self.which.is_empty() {
            self.name.to_owned()
        } else {
            format!("{} ({})", self.name, self.which)
        }
    }
}

static PRODUCTS: LazyLock<Vec<Product>> = LazyLock::new(|| {
    let mut products: Vec<Product> = Vec::new();
    for line in include_str!("keeper.tsv").lines() {
        if line.starts_with('#') {
            continue;
        }
        let cells: Vec<&'static str> = line.split('\t').collect();
        if let &[id, name, which, category] = cells.as_slice() {
            if let Some(id) = id.strip_prefix("= ").and_then(|id| id.parse().ok()) {
                products.push(Product {
                    id,
                    name,
                    which,
                    category,
                    figures: Vec::new(),
                });
            }
        } else if let (Some(product), Ok(cells)) =
            (products.last_mut(), <[&'static str; 7]>::try_from(cells))
        {
            product.figures.extend(figure(cells));
        }
    }
    products
});

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
        min_days: days(min),
        max_days: days(max),
        words,
        tip,
        doubt: (!doubt.is_empty()).then_some(doubt),
    })
}

/// Whole days; parts of a day (two hours are 0.083) are none.
fn days(text: &str) -> Option<u16> {
    text.split('.').next()?.parse().ok()
}

/// Returns all products, in the source's order.
pub fn products() -> &'static [Product] {
    &PRODUCTS
}

/// Returns the product of this number.
pub fn product(id: u16) -> Option<&'static Product> {
    let at = PRODUCTS.binary_search_by_key(&id, |p| p.id).ok();
    at.map_or_else(
        || PRODUCTS.iter().find(|p| p.id == id),
        |at| PRODUCTS.get(at),
    )
}
