//! Limits on what is read. None is an option: they keep a hostile or mistaken folder from
//! taking the machine's memory, and keep every sum in the engine inside 64 bits.

/// Bytes of one file.
pub(crate) const FILE_BYTES: u64 = 8 << 20;
/// Bytes of all files together.
pub(crate) const FOLDER_BYTES: u64 = 64 << 20;
/// Files in a folder.
pub(crate) const FILES: usize = 1_000;
/// Keys, values, lists and mappings of all files together: some twenty times the bytes they are
/// written with are needed to keep the smallest.
pub(crate) const VALUES: usize = 1_000_000;
/// Bytes that steps may take, and what they need, with steps, tags, equipment and foods where they
/// are copied to what uses them: what stands in a component is part of every component it is in.
pub(crate) const UNFOLDED_BYTES: usize = 128 << 20;
/// Lists and mappings inside each other.
pub(crate) const NESTING: usize = 32;
/// Foods.
pub(crate) const FOODS: usize = 5_000;
/// Pack options of a food.
pub(crate) const PACKS: usize = 20;
/// Components.
pub(crate) const COMPONENTS: usize = 2_000;
/// Recipes.
pub(crate) const RECIPES: usize = 20_000;
/// Units on hand.
pub(crate) const STOCK: usize = 1_000;
/// Lines of a recipe, or entries of a component.
pub(crate) const LINES: usize = 60;
/// Alternatives of a line.
pub(crate) const ALTERNATIVES: usize = 30;
/// Entries of any other list.
pub(crate) const LIST: usize = 1_000;
/// Tags, allergens or equipment of one entry.
pub(crate) const WORDS: usize = 100;
/// Own measures of a food or component.
pub(crate) const MEASURES: usize = 60;
/// Nutrition rules.
pub(crate) const NUTRITION: usize = 100;
/// Characters of a name.
pub(crate) const NAME: usize = 300;
/// Characters of a step or source.
pub(crate) const PROSE: usize = 5_000;
/// A mass in milligrams: 1,000 kg.
pub(crate) const MASS_MG: i64 = 1_000_000_000;
/// A price in whole units of the currency.
pub(crate) const PRICE: i64 = 100_000;
/// Eaters of a day, in thousandths.
pub(crate) const EATERS_MILLI: i64 = 1_000_000;
/// Days of a keeping time.
pub(crate) const DAYS: i64 = 3_650;
/// Minutes of a task: a week of them.
pub(crate) const MINUTES: i64 = 10_080;
/// Units in a pack.
pub(crate) const UNITS: i64 = 10_000;
/// A nutrient figure in its own unit.
pub(crate) const NUTRIENT: i64 = 1_000_000;
