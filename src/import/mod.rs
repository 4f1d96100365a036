//! Turns schema.org Recipes (JSON-LD, bare or in an HTML page) into readings: every ingredient
//! line as quantity, measure and food, with how sure that is and every doubt by name. A kitchen's
//! own foods and components ([`Kitchen`]) come before the rows of the table.
//!
//! Nothing is guessed: what can be read in two ways, or weighed in none, is a doubt for the
//! cook. [`central`] turns the FoodData Central CSV download into foods. Figures are exact
//! fractions. No input makes it panic; what is too large or too deep is refused or left out and
//! counted. Half of a surrogate pair in JSON costs its character, not the page.

mod amount;
pub mod central;
mod classes;
mod find;
mod food;
mod instructions;
mod line;
mod own;
mod parts;
mod quantity;
mod reading;
mod text;
mod usable;
mod values;

pub use amount::{Amount, Number};
pub use find::{Found, ImportFault, recipes, recipes_for};
pub use line::{read_line, read_line_for};
pub use own::{Kitchen, Own};
pub use reading::{Confidence, Doubt, OwnName, Reading};

/// Largest file read, in bytes.
pub const MOST_BYTES: u64 = 8 * 1024 * 1024;
/// Most values of JSON, lists and objects counted, read from one file: each takes up to thirty
/// times the bytes it is written with.
pub const MOST_VALUES: usize = 1_000_000;
/// Most recipes read from one file.
pub const MOST_RECIPES: usize = 1_000;
/// Most ingredient lines of a recipe: what a kitchen recipe may hold.
pub const MOST_LINES: usize = 60;
/// Most steps of a recipe.
pub const MOST_STEPS: usize = 200;
/// Longest ingredient line read, in characters; a longer one is a doubt.
pub const MOST_CHARACTERS: usize = 500;

/// A recipe as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recipe {
    /// Its name, on one line, at most 300 characters.
    pub name: String,
    /// What it is called the kind of, if it says.
    pub category: Option<String>,
    /// Portions it makes; `None` if it does not say a number.
    pub portions: Option<Number>,
    /// Minutes of work, if it says; else minutes of all of it, waiting with them.
    pub minutes: Option<i64>,
    /// Whether the minutes are of all of it.
    pub minutes_of_all: bool,
    /// Its ingredient lines.
    pub lines: Vec<Reading>,
    /// What to do.
    pub steps: Vec<String>,
    /// Lines and steps left out because there were too many.
    pub left_out: usize,
}
