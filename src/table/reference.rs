//! Reference intakes to set rules by: label Daily Values and Dietary Reference Intakes.
//!
//! Per day, for healthy adults. They describe groups, not a person: whoever has an illness, is
//! pregnant or feeds children asks a licensed dietitian.

use crate::larder::Nutrient::{
    self, Calcium, Carbohydrate, Energy, Fat, Fibre, Folate, Iron, Magnesium, Potassium, Protein,
    Saturated, Sodium, VitaminA, VitaminB12, VitaminC, VitaminE, VitaminK, Zinc,
};

/// What a reference figure is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Daily Value of the US food label.
    DailyValue,
    /// Recommended Dietary Allowance: covers nearly everyone of the group.
    Recommended,
    /// Adequate Intake: used where no allowance could be set.
    Adequate,
    /// Chronic Disease Risk Reduction intake: lowering intakes above it is expected to help.
    RiskReduction,
    /// Tolerable Upper Intake Level.
    UpperLevel,
}

/// Whose figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// Men.
    Men,
    /// Women, neither pregnant nor nursing.
    Women,
}

/// A reference figure for one day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reference {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// What the figure is.
    pub kind: Kind,
    /// Thousandths of the nutrient's unit per day.
    pub value_milli: i64,
    /// The unit, as the food table has it.
    pub unit: &'static str,
    /// Whether nutrients in ordinary food count towards it. `false` for upper levels set on
    /// supplements or added forms alone.
    pub counts_food: bool,
    /// Where it was published.
    pub source: &'static str,
}

const VITAMIN_MINERAL: &str =
    "21 CFR 101.9(c)(8)(iv), reference daily intakes, adults and children of 4 years and over";
const MACRO: &str = "21 CFR 101.9(c)(9), daily reference values on 2 000 kcal, adults and children of 4 years and over";
const ELEMENTS: &str = "National Academies, Dietary Reference Intakes for Sodium and Potassium (2019), Appendix J, elements";
const VITAMINS: &str = "Food and Nutrition Board, Dietary Reference Intakes: RDA and AI, vitamins";
const MACROS: &str = "Food and Nutrition Board, Dietary Reference Intakes: RDA and AI, total water and macronutrients";
const UPPER_VITAMINS: &str =
    "Food and Nutrition Board, Dietary Reference Intakes: upper levels, vitamins";
const UPPER_ELEMENTS: &str =
    "Food and Nutrition Board, Dietary Reference Intakes: upper levels, elements";
const RISK: &str = "chronic disease risk reduction intake, 2019 (from memory)";
const ENERGY_RANGE: &str =
    "Acceptable Macronutrient Distribution Range, Food and Nutrition Board, 2002/2005";

/// Daily Values. There is none for total sugars.
const DAILY: [(Nutrient, i64, &str); 18] = [
    (Energy, 2_000_000, MACRO),
    (Protein, 50_000, MACRO),
    (Fat, 78_000, MACRO),
    (Saturated, 20_000, MACRO),
    (Carbohydrate, 275_000, MACRO),
    (Fibre, 28_000, MACRO),
    (Sodium, 2_300_000, MACRO),
    (Calcium, 1_300_000, VITAMIN_MINERAL),
    (Iron, 18_000, VITAMIN_MINERAL),
    (Magnesium, 420_000, VITAMIN_MINERAL),
    (Potassium, 4_700_000, VITAMIN_MINERAL),
    (Zinc, 11_000, VITAMIN_MINERAL),
    (VitaminC, 90_000, VITAMIN_MINERAL),
    (Folate, 400_000, VITAMIN_MINERAL),
    (VitaminB12, 2_400, VITAMIN_MINERAL),
    (VitaminA, 900_000, VITAMIN_MINERAL),
    (VitaminE, 15_000, VITAMIN_MINERAL),
    (VitaminK, 120_000, VITAMIN_MINERAL),
];

/// Allowances and adequate intakes, men then women, at 31 to 50 years where the age matters.
const INTAKES: [(Nutrient, Kind, i64, i64, &str); 16] = [
    (Protein, Kind::Recommended, 56_000, 46_000, MACROS),
    (Carbohydrate, Kind::Recommended, 130_000, 130_000, MACROS),
    (Fibre, Kind::Adequate, 38_000, 25_000, MACROS),
    (Calcium, Kind::Recommended, 1_000_000, 1_000_000, ELEMENTS),
    (Iron, Kind::Recommended, 8_000, 18_000, ELEMENTS),
    (Magnesium, Kind::Recommended, 420_000, 320_000, ELEMENTS),
    (Potassium, Kind::Adequate, 3_400_000, 2_600_000, ELEMENTS),
    (Sodium, Kind::Adequate, 1_500_000, 1_500_000, ELEMENTS),
    (Zinc, Kind::Recommended, 11_000, 8_000, ELEMENTS),
    (VitaminA, Kind::Recommended, 900_000, 700_000, VITAMINS),
    (VitaminC, Kind::Recommended, 90_000, 75_000, VITAMINS),
    (VitaminE, Kind::Recommended, 15_000, 15_000, VITAMINS),
    (VitaminK, Kind::Adequate, 120_000, 90_000, VITAMINS),
    (Folate, Kind::Recommended, 400_000, 400_000, VITAMINS),
    (VitaminB12, Kind::Recommended, 2_400, 2_400, VITAMINS),
    (Sodium, Kind::RiskReduction, 2_300_000, 2_300_000, RISK),
];

/// What the allowance of iron is multiplied by for people who eat no meat, in tenths, and where it
/// was published: iron of plants is taken up less.
const IRON_WITHOUT_MEAT: (i64, &str) = (
    18,
    "Food and Nutrition Board, Dietary Reference Intakes for Vitamin A, Vitamin K, Iron and others \
     (2001): 1.8 times the allowance for those who eat no meat",
);

/// Magnesium at 19 to 30 years, men then women.
const YOUNG_MAGNESIUM: (i64, i64) = (400_000, 310_000);

/// Upper levels, the same for men and women; `false`: food does not count.
const UPPER: [(Nutrient, i64, bool, &str); 8] = [
    (Calcium, 2_500_000, true, UPPER_ELEMENTS),
    (Iron, 45_000, true, UPPER_ELEMENTS),
    (Magnesium, 350_000, false, UPPER_ELEMENTS),
    (Zinc, 40_000, true, UPPER_ELEMENTS),
    (VitaminA, 3_000_000, false, UPPER_VITAMINS),
    (VitaminC, 2_000_000, true, UPPER_VITAMINS),
    (VitaminE, 1_000_000, false, UPPER_VITAMINS),
    (Folate, 1_000_000, false, UPPER_VITAMINS),
];

fn reference(nutrient: Nutrient, kind: Kind, value_milli: i64, source: &'static str) -> Reference {
    Reference {
        nutrient,
        kind,
        value_milli,
        unit: nutrient.unit(),
        counts_food: true,
        source,
    }
}

/// Returns the Daily Value of the US food label.
pub fn daily_value(nutrient: Nutrient) -> Option<Reference> {
    let &(_, value, source) = DAILY.iter().find(|d| d.0 == nutrient)?;
    Some(reference(nutrient, Kind::DailyValue, value, source))
}

/// Returns the allowance, or else the adequate intake, of an adult of 19 to 50 years. `None` for
/// other ages and where no figure is set.
pub fn intake(nutrient: Nutrient, who: Who, age: u8) -> Option<Reference> {
    if !(19..=50).contains(&age) {
        return None;
    }
    let &(_, kind, mut men, mut women, source) = INTAKES.iter().find(|i| i.0 == nutrient)?;
    if nutrient == Magnesium && age <= 30 {
        (men, women) = YOUNG_MAGNESIUM;
    }
    let value = if who == Who::Men { men } else { women };
    Some(reference(nutrient, kind, value, source))
}

/// Returns the allowance of iron of an adult who eats no meat: 1.8 times that of
/// [`intake`]. `None` for other ages.
pub fn iron_without_meat(who: Who, age: u8) -> Option<Reference> {
    let with_meat = intake(Nutrient::Iron, who, age)?;
    let (tenths, source) = IRON_WITHOUT_MEAT;
    Some(Reference {
        value_milli: with_meat.value_milli * tenths / 10,
        source,
        ..with_meat
    })
}

/// Returns the intake above which less is better for adults (sodium alone has one).
pub fn risk_reduction(nutrient: Nutrient) -> Option<Reference> {
    let &(_, kind, value, _, source) = INTAKES
        .iter()
        .find(|i| i.0 == nutrient && i.1 == Kind::RiskReduction)?;
    Some(reference(nutrient, kind, value, source))
}

/// Returns the upper level for adults of 19 to 50 years. Vitamin A counts preformed vitamin only,
/// folate the synthetic form only, vitamin E and magnesium supplements only: see `counts_food`.
pub fn upper_level(nutrient: Nutrient) -> Option<Reference> {
    let &(_, value, counts_food, source) = UPPER.iter().find(|u| u.0 == nutrient)?;
    Some(Reference {
        counts_food,
        ..reference(nutrient, Kind::UpperLevel, value, source)
    })
}

/// Returns the share of energy, least and most in percent, that protein, fat or carbohydrate
/// should give adults, and its source.
pub fn energy_share(nutrient: Nutrient) -> Option<(u8, u8, &'static str)> {
    match nutrient {
        Protein => Some((10, 35, ENERGY_RANGE)),
        Fat => Some((20, 35, ENERGY_RANGE)),
        Carbohydrate => Some((45, 65, ENERGY_RANGE)),
        _ => None,
    }
}
