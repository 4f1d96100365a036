//! Mass and volume units with their exact factors.
//!
//! Source: NIST Handbook 44, Appendix C, General Tables of Units of Measurement: the pound is
//! 453.592 37 g exactly and sixteen ounces, the gallon 231 cubic inches of 2.54 cm each. All other
//! US liquid measures are whole parts of the gallon, so every factor below is a whole number.

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Mass; sizes are in thousand-millionths (1e-9) of a gram.
    Mass,
    /// Volume; sizes are in hundred-thousand-millionths (1e-11) of a millilitre.
    Volume,
}

/// How many size steps of [`Kind::Mass`] make a milligram.
pub const MASS_STEPS_PER_MG: i128 = 1_000_000;

/// A unit of mass or volume.
#[derive(Debug, PartialEq, Eq)]
pub struct Unit {
    /// The way kitchen files write it.
    pub symbol: &'static str,
    /// Other spellings that are read, lower case, plurals with them.
    pub spellings: &'static [&'static str],
    /// Mass or volume.
    pub kind: Kind,
    /// Exact size, in the steps of its kind: 1e-9 g, or 1e-11 ml.
    pub size: i128,
}

/// All units, smallest first within their kind.
pub const UNITS: [Unit; 14] = [
    mass("mg", &["milligram", "milligrams"], 1_000_000),
    mass("g", &["gram", "grams", "gr", "gm"], 1_000_000_000),
    mass("oz", &["ounce", "ounces"], 28_349_523_125),
    mass("lb", &["lbs", "pound", "pounds"], 453_592_370_000),
    mass(
        "kg",
        &["kgs", "kilogram", "kilograms", "kilo", "kilos"],
        1_000_000_000_000,
    ),
    volume(
        "ml",
        &["millilitre", "millilitres", "milliliter", "milliliters"],
        100_000_000_000,
    ),
    volume("tsp", &["tsps", "teaspoon", "teaspoons"], 492_892_159_375),
    volume(
        "tbsp",
        &["tbsps", "tablespoon", "tablespoons"],
        1_478_676_478_125,
    ),
    volume(
        "fl oz",
        &["floz", "fluid ounce", "fluid ounces"],
        2_957_352_956_250,
    ),
    volume("cup", &["cups"], 23_658_823_650_000),
    volume("pt", &["pts", "pint", "pints"], 47_317_647_300_000),
    volume("qt", &["qts", "quart", "quarts"], 94_635_294_600_000),
    volume(
        "l",
        &["litre", "litres", "liter", "liters"],
        100_000_000_000_000,
    ),
    volume("gal", &["gals", "gallon", "gallons"], 378_541_178_400_000),
];

const fn mass(symbol: &'static str, spellings: &'static [&'static str], size: i128) -> Unit {
    Unit {
        symbol,
        spellings,
        kind: Kind::Mass,
        size,
    }
}

const fn volume(symbol: &'static str, spellings: &'static [&'static str], size: i128) -> Unit {
    Unit {
        symbol,
        spellings,
        kind: Kind::Volume,
        size,
    }
}

/// Returns the unit written so, in any case; words parted by single spaces.
pub fn find(text: &str) -> Option<&'static Unit> {
    let folded = text.to_lowercase();
    UNITS
        .iter()
        .find(|unit| unit.symbol == folded || unit.spellings.contains(&folded.as_str()))
}

#[cfg(test)]
mod tests {
    //! Asks whether the factors are those of NIST Handbook 44, Appendix C (General Tables of
    //! Units of Measurement); the figures here are typed from the handbook, not from the code.
    use super::*;

    fn size(symbol: &str) -> i128 {
        find(symbol).expect("a unit").size
    }

    /// Handbook 44: 1 lb = 453.592 37 g (exactly); 1 oz = 28.349 523 125 g (exactly).
    #[test]
    fn masses_are_those_of_handbook_44() {
        let gram = size("g");
        assert_eq!(size("lb") * 100_000, 45_359_237 * gram);
        assert_eq!(size("oz") * 1_000_000_000, 28_349_523_125 * gram);
        assert_eq!(size("lb"), 16 * size("oz"));
        assert_eq!(size("kg"), 1000 * gram);
        assert_eq!(gram, 1000 * size("mg"));
        assert_eq!(size("mg"), MASS_STEPS_PER_MG);
    }

    /// Handbook 44: 1 gal = 231 cubic inches (exactly) = 4 qt = 8 pt = 128 fl oz; 1 cup = 8 fl oz
    /// = 1/2 pt; 1 tbsp = 3 tsp = 1/2 fl oz; the inch is 2.54 cm.
    #[test]
    fn volumes_are_parts_of_a_gallon_of_231_cubic_inches() {
        let gallon = size("gal");
        // 231 in3 * 16.387064 ml, in 1e-11 ml.
        assert_eq!(gallon, 231 * 254 * 254 * 254 * 100_000);
        assert_eq!(gallon, 4 * size("qt"));
        assert_eq!(gallon, 8 * size("pt"));
        assert_eq!(gallon, 128 * size("fl oz"));
        assert_eq!(size("cup"), 8 * size("fl oz"));
        assert_eq!(size("pt"), 2 * size("cup"));
        assert_eq!(size("fl oz"), 2 * size("tbsp"));
        assert_eq!(size("tbsp"), 3 * size("tsp"));
        assert_eq!(size("l"), 1000 * size("ml"));
    }

    /// Handbook 44 prints the cup as 237 ml, the tablespoon as 15 ml and the teaspoon as 5 ml,
    /// rounded.
    #[test]
    fn rounded_household_figures_agree_with_the_printed_table() {
        let rounded = |symbol| (size(symbol) + size("ml") / 2) / size("ml");
        assert_eq!(
            (rounded("cup"), rounded("tbsp"), rounded("tsp")),
            (237, 15, 5)
        );
        assert_eq!(rounded("fl oz"), 30);
    }

    #[test]
    fn units_are_found_by_any_spelling_and_case() {
        assert_eq!(find("Tablespoons").map(|unit| unit.symbol), Some("tbsp"));
        assert_eq!(find("mL").map(|unit| unit.symbol), Some("ml"));
        assert_eq!(find("stone"), None);
    }
}
