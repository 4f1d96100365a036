//! The weekly lunch pattern of US schools for grades 9 to 12, for weeks of five lunches.
//!
//! Figures of 7 CFR 210.10 as amended by the final rule of 25 April 2024. They say what a pattern
//! asks, not whether a lunch may be claimed under the programme: that is for its own rules and
//! officers. Left out, because the food table does not know it: added sugars below 10 % of energy
//! from 1 July 2027. Left out, because it is a share of a sum: that 80 % of the grains are whole
//! grain-rich, and that at most half of the fruit is juice; credit no other food.

use crate::larder::Nutrient;

/// Lunch days the weekly figures are for.
pub const LUNCHES: u8 = 5;

/// What the pattern asks of a food group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroupFigure {
    /// The group, in our words.
    pub group: &'static str,
    /// What it is counted in.
    pub unit: &'static str,
    /// Least each day, thousandths of the unit.
    pub day_least_milli: Option<i64>,
    /// Least a week, thousandths.
    pub week_least_milli: i64,
    /// Most a week, thousandths.
    pub week_most_milli: Option<i64>,
}

/// Where the groups' figures were published.
pub const GROUPS_SOURCE: &str = "7 CFR 210.10(c) Table 1, grades 9 to 12";

const fn group(
    group: &'static str,
    unit: &'static str,
    day: Option<i64>,
    week: i64,
    most: Option<i64>,
) -> GroupFigure {
    GroupFigure {
        group,
        unit,
        day_least_milli: day,
        week_least_milli: week,
        week_most_milli: most,
    }
}

/// The groups. The five kinds of vegetables leave 1.5 cups of the total to any of them.
pub const GROUPS: [GroupFigure; 10] = [
    group("fruit", "cup", Some(1_000), 5_000, None),
    group("vegetables", "cup", Some(1_000), 5_000, None),
    group("dark green vegetables", "cup", None, 500, None),
    group("red and orange vegetables", "cup", None, 1_250, None),
    group("beans, peas and lentils", "cup", None, 500, None),
    group("starchy vegetables", "cup", None, 500, None),
    group("other vegetables", "cup", None, 750, None),
    group("grains", "oz eq", Some(2_000), 10_000, Some(12_000)),
    group(
        "meat alternates",
        "oz eq",
        Some(2_000),
        10_000,
        Some(12_000),
    ),
    group("fluid milk", "cup", Some(1_000), 5_000, None),
];

/// A figure on the week's mean of a nutrient.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeanFigure {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Least, thousandths of its unit.
    pub least_milli: Option<i64>,
    /// Most, thousandths.
    pub most_milli: i64,
    /// Where it was published.
    pub source: &'static str,
}

/// Energy of the week's mean lunch.
pub const ENERGY: MeanFigure = MeanFigure {
    nutrient: Nutrient::Energy,
    least_milli: Some(750_000),
    most_milli: 850_000,
    source: "7 CFR 210.10(f)(1), grades 9 to 12",
};

/// Sodium through 30 June 2027.
pub const SODIUM_TO_JUNE_2027: MeanFigure = MeanFigure {
    nutrient: Nutrient::Sodium,
    least_milli: None,
    most_milli: 1_280_000,
    source: "7 CFR 210.10(f)(4), grades 9 to 12, through 30 June 2027 (USDA FNS page on sodium)",
};

/// Sodium from 1 July 2027.
pub const SODIUM_FROM_JULY_2027: MeanFigure = MeanFigure {
    nutrient: Nutrient::Sodium,
    least_milli: None,
    most_milli: 1_080_000,
    source: "7 CFR 210.10(f)(4), grades 9 to 12, from 1 July 2027 (USDA FNS page on sodium)",
};

/// Figures that a drink standing in for fluid milk is to have in a cup, as far as the food table
/// knows the nutrient, in thousandths of its unit (vitamin A: 500 IU are 150 micrograms of
/// retinol). Vitamin D (100 IU), phosphorus (222 mg) and riboflavin (0.44 mg) are asked too, and
/// cannot be checked.
pub const MILK_SUBSTITUTE: [(Nutrient, i64); 6] = [
    (Nutrient::Calcium, 276_000),
    (Nutrient::Protein, 8_000),
    (Nutrient::VitaminA, 150_000),
    (Nutrient::Magnesium, 24_000),
    (Nutrient::Potassium, 349_000),
    (Nutrient::VitaminB12, 1_100),
];

/// Where those figures were published.
pub const MILK_SOURCE: &str = "7 CFR 210.10(d), fluid milk substitutes (figures from memory)";

/// Percent of the week's energy that saturated fat stays below, and its source.
pub const SATURATED_BELOW: (i64, &str) = (10, "7 CFR 210.10(f)(2), grades 9 to 12");
