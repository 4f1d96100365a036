//! What the cook asks for: aims, rules, bans, pins.

use super::ids::{ComponentId, FoodId, FormId, PackId, RecipeId, ShopId};
use super::{Day, MILLI, Nutrient};

/// Aims and rules. `None` means the rule is not in force.
#[derive(Clone, Debug)]
pub struct Wishes {
    /// Strict order of aims; empty means the one-currency objective.
    pub order: Vec<Aim>,
    /// Weight of spoiled value, thousandths (1000 = its full value).
    pub spoil_weight_milli: i64,
    /// Price put on each counted food bought.
    pub food_price_minor: i64,
    /// Price put on an active minute.
    pub minute_price_minor: i64,
    /// Price put on a watched minute: [`Component::watched_minutes`](super::Component::watched_minutes).
    pub watch_price_minor: i64,
    /// Price put on each trip made after the first, but those with a price of their own
    /// ([`ShoppingTrip::going_minor`](super::ShoppingTrip::going_minor)).
    pub trip_price_minor: i64,
    /// Weight of kept value, thousandths, below 1000.
    pub carry_credit_milli: i64,
    /// Day preferences: added up over the week.
    pub preferences: Vec<Preference>,

    /// Most counted foods (or families) bought.
    pub cap: Option<i64>,
    /// What the cap counts.
    pub cap_by: CapBy,
    /// Most money for packs.
    pub budget_minor: Option<i64>,
    /// Most active minutes on each day 0..=N (index is the day), if limited.
    pub minutes_nano: Vec<Option<i64>>,
    /// Most minutes of active and watched work, one thing after another, on each day 0..=N, if
    /// limited.
    pub kitchen_minutes_nano: Vec<Option<i64>>,
    /// Days 0..=N on which batches may be cooked, rising; `None` is any.
    pub cook_on: Option<Vec<Day>>,
    /// Floors and ceilings.
    pub nutrition: Vec<NutrientRule>,
    /// Floors and ceilings on food groups and on shares of energy.
    pub credits: Vec<CreditRule>,
    /// Most times one recipe may appear. At least 1.
    pub repeats: i64,
    /// Most lunches of one form.
    pub per_form: Option<i64>,
    /// Two lunches of one form may not stand on neighbouring days.
    pub form_never_adjacent: bool,
    /// Most lunches of one main protein (recipes without one are free).
    pub per_protein: Option<i64>,
    /// Highest sameness of two different recipes of the week, thousandths.
    pub sameness_milli: Option<i64>,
    /// Highest sameness of two different recipes on neighbouring days, thousandths.
    pub sameness_adjacent_milli: Option<i64>,
    /// What may not be used.
    pub without: Vec<Target>,
    /// What must appear.
    pub with: Vec<Pin>,
}

impl Wishes {
    /// Returns whether a batch may be cooked on `day`.
    pub fn may_cook(&self, day: Day) -> bool {
        self.cook_on.as_ref().is_none_or(|days| days.contains(&day))
    }

    /// Returns whether anything is asked about time in the kitchen: where batches are cooked, how
    /// long a day takes, or what a watched minute costs.
    pub fn asks_for_kitchen_time(&self) -> bool {
        self.cook_on.is_some() || self.asks_for_watched()
    }

    /// Returns whether watched minutes are limited or priced.
    pub fn asks_for_watched(&self) -> bool {
        self.watch_price_minor > 0 || self.kitchen_minutes_nano.iter().any(Option::is_some)
    }

    /// Returns what a milligram that spoils adds to the objective, 1e-9 minor units: its value
    /// times the weight, rounded once, so that the objective is linear in what spoils.
    pub fn spoil_price_nano(&self, value_nano: i64) -> i64 {
        weighted(value_nano, self.spoil_weight_milli)
    }

    /// Returns what a milligram that is kept takes off the objective, 1e-9 minor units: rounded
    /// as [`Wishes::spoil_price_nano`].
    pub fn keep_credit_nano(&self, value_nano: i64) -> i64 {
        weighted(value_nano, self.carry_credit_milli)
    }
}

/// Returns a value times thousandths, to the nearest (half a unit up).
pub fn weighted(value_nano: i64, milli: i64) -> i64 {
    let exact = i128::from(value_nano) * i128::from(milli);
    let half = i128::from(MILLI / 2);
    i64::try_from((exact + half).div_euclid(i128::from(MILLI))).unwrap_or(i64::MAX)
}

/// An aim of a strict order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Aim {
    /// Counted foods bought.
    Foods,
    /// Packs bought and staples used.
    Cost,
    /// Value of what spoils.
    Spoiled,
    /// Active minutes.
    Minutes,
}

/// What the cap counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CapBy {
    /// Counted foods bought.
    Foods,
    /// Families of counted foods bought; a food without family is one of its own.
    Families,
}

/// A price on recipe or form by weekday; negative is a bonus.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preference {
    /// Whom it concerns.
    pub whom: Preferred,
    /// Lunch days it applies to.
    pub days: Vec<Day>,
    /// Added to the objective for each such lunch.
    pub price_minor: i64,
}

/// Subject of a day preference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Preferred {
    /// Every recipe of the form.
    Form(FormId),
    /// One recipe.
    Recipe(RecipeId),
}

/// A floor or ceiling on a nutrient, for a portion of factor 1.
#[derive(Clone, Debug)]
pub struct NutrientRule {
    /// The nutrient.
    pub nutrient: Nutrient,
    /// Each lunch, or the mean of the week's lunches.
    pub per: Per,
    /// Floor, thousandths of the nutrient's unit.
    pub at_least_milli: Option<i64>,
    /// Ceiling, thousandths of the nutrient's unit.
    pub at_most_milli: Option<i64>,
    /// Where the figure comes from.
    pub source: String,
}

/// A floor or ceiling on what foods give by their mass beside nutrients, for a portion of
/// factor 1: credit towards a food group, or energy that a nutrient leaves for others.
///
/// All figures are millionths of the unit. Of a week it is the lunches' sum that counts.
#[derive(Clone, Debug)]
pub struct CreditRule {
    /// What is counted.
    pub what: Credited,
    /// Each lunch, or the sum of the week's lunches.
    pub per: Per,
    /// Floor.
    pub at_least_micro: Option<i64>,
    /// Ceiling.
    pub at_most_micro: Option<i64>,
    /// Where the figure comes from.
    pub source: String,
    /// What 100 g of each food give, edible, by food.
    pub figures_micro: Vec<i64>,
}

/// What a credit rule counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Credited {
    /// Credit towards a food group.
    Group {
        /// The group, as foods name it.
        name: String,
        /// What credit is counted in: cup, oz eq.
        unit: String,
    },
    /// Energy, in kcal, by which a nutrient stays below its share: that share of the energy less
    /// what the nutrient gives. The floor is the least there is, so that it stays below.
    EnergyShare {
        /// The nutrient.
        nutrient: Nutrient,
        /// Its share of the energy, percent.
        below_percent: i64,
    },
}

impl Credited {
    /// Returns the unit of the figures.
    pub fn unit(&self) -> &str {
        match self {
            Self::Group { unit, .. } => unit,
            Self::EnergyShare { .. } => "kcal",
        }
    }
}

/// What a nutrient rule or a credit rule looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// Every lunch by itself.
    Lunch,
    /// The mean of all lunches; of a credit rule, their sum.
    Week,
}

/// Something a ban may name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Target {
    /// A food.
    Food(FoodId),
    /// All foods of a family.
    Family(super::FamilyId),
    /// All foods, components and recipes with the tag.
    Tag(String),
    /// All foods with the allergen.
    Allergen(String),
    /// All components and recipes that need it.
    Equipment(String),
    /// A recipe.
    Recipe(RecipeId),
    /// A component.
    Component(ComponentId),
    /// All that a shop sells.
    Shop(ShopId),
    /// A pack option, at its shop.
    Pack(PackId),
    /// A recipe that was served in a week before this one and rests: no wish of the kitchen, but
    /// a rule that a run may set and loosen as one.
    Resting {
        /// The recipe.
        recipe: RecipeId,
        /// How many weeks ago it was last served; 1 is the week before.
        weeks_ago: usize,
    },
}

impl Target {
    /// Returns whether it is a recipe that rests.
    pub fn rests(&self) -> bool {
        matches!(self, Self::Resting { .. })
    }
}

/// Something that must appear.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pin {
    /// The recipe is in the week, on that day if one is named.
    Recipe(RecipeId, Option<Day>),
    /// Some lunch takes the food (itself or through a component), on that day if named.
    Food(FoodId, Option<Day>),
}
