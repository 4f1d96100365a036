//! The nineteen nutrients of the food table: names, units, order.

use serde::Serialize;

/// How many nutrients a food carries.
pub const NUTRIENTS: usize = 19;

macro_rules! nutrients {
    ($($variant:ident, $key:literal, $label:literal, $unit:literal;)*) => {
        /// A nutrient of the food table. The discriminant is its position in a food's row.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Nutrient { $(#[doc = concat!($label, ", in ", $unit)] $variant),* }
        impl Nutrient {
            /// All of them, in table order.
            pub const ALL: [Self; NUTRIENTS] = [$(Self::$variant),*];
            /// Returns the key used in kitchen files and JSON.
            pub fn key(self) -> &'static str { match self { $(Self::$variant => $key),* } }
            /// Returns the name to print.
            pub fn label(self) -> &'static str { match self { $(Self::$variant => $label),* } }
            /// Returns the unit its figures are in.
            pub fn unit(self) -> &'static str { match self { $(Self::$variant => $unit),* } }
        }
    };
}

nutrients! {
    Energy, "energy", "energy", "kcal";
    Protein, "protein", "protein", "g";
    Fat, "fat", "fat", "g";
    Saturated, "saturated", "saturated fat", "g";
    Carbohydrate, "carbohydrate", "carbohydrate", "g";
    Fibre, "fibre", "fibre", "g";
    Sugars, "sugars", "sugars", "g";
    Calcium, "calcium", "calcium", "mg";
    Iron, "iron", "iron", "mg";
    Magnesium, "magnesium", "magnesium", "mg";
    Potassium, "potassium", "potassium", "mg";
    Sodium, "sodium", "sodium", "mg";
    Zinc, "zinc", "zinc", "mg";
    VitaminC, "vitamin_c", "vitamin C", "mg";
    Folate, "folate", "folate (DFE)", "ug";
    VitaminB12, "vitamin_b12", "vitamin B12", "ug";
    VitaminA, "vitamin_a", "vitamin A (RAE)", "ug";
    VitaminE, "vitamin_e", "vitamin E", "mg";
    VitaminK, "vitamin_k", "vitamin K", "ug";
}

impl Nutrient {
    /// Returns the nutrient of this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|n| n.key() == key)
    }

    /// Returns the energy of a gram by the general factors, 21 CFR 101.9(c)(1)(i)(B): 4, 4 and 9
    /// kcal for protein, carbohydrate and fat. `None` for what gives none or is not in grams.
    pub fn kcal_per_gram(self) -> Option<i64> {
        match self {
            Self::Protein | Self::Carbohydrate | Self::Sugars => Some(4),
            Self::Fat | Self::Saturated => Some(9),
            _ => None,
        }
    }

    /// Returns the position in a food's row.
    pub fn index(self) -> usize {
        self as usize
    }
}
