//! The validated kitchen: everything the engine, the judge and the program may know.
//!
//! [`Contents`] are plain data, to be put together and changed by anyone. A [`Larder`] holds
//! contents that were checked: it is read like them, and changed through [`Larder::changed`]
//! alone, which checks anew.
//!
//! All figures are whole numbers. Units are in the field names:
//!
//! | suffix | unit |
//! | --- | --- |
//! | `_mg` | milligrams, edible portion unless the name says `ap` |
//! | `_minor` | minor units of the currency (cents) |
//! | `_nano` | thousand-millionths (1e-9): of a minor unit for money, of a minor unit a
//! | | milligram for what a milligram is worth, of a minute for time |
//! | `_micro` | millionths of the unit of a credit rule |
//! | `_milli` | thousandths (of an eater, of a nutrient's own unit, of a weight) |
//!
//! Plain integers instead of a type per unit: almost every product in the engine mixes
//! two units on purpose (milligrams times minor units a milligram), and the suffix is
//! what a reader can check. Indices do have types, see [`ids`].

pub mod allowed;
pub mod calendar;
mod checked;
mod flaws;
pub mod former;
mod fractions;
pub mod household;
pub mod ids;
pub mod limits;
mod list;
pub mod money;
pub mod nutrient;
mod prose;
pub mod sameness;
mod size;
pub mod steps;
pub mod wishes;

pub use calendar::Calendar;
pub use checked::Larder;
pub use flaws::{Flaw, Of, Wrong};
pub use former::Former;
pub use fractions::{MILLI, NANO};
pub use household::Household;
pub use ids::{
    ComponentId, Day, FamilyId, FoodId, FormId, PackId, ProteinId, RecipeId, ShopId, StockId, Trip,
};
pub use list::List;
pub use nutrient::{NUTRIENTS, Nutrient};
pub use prose::Prose;
pub use size::{Largest, MOST_SUM};
pub use steps::{Equipment, Step};
pub use wishes::{
    Aim, CapBy, CreditRule, Credited, NutrientRule, Per, Pin, Preference, Target, Wishes, weighted,
};

/// Most lunch days a week may have.
pub const MOST_DAYS: usize = 14;

/// What a kitchen has and wants, not yet checked: a [`Larder`] is made of it.
#[derive(Clone, Debug)]
pub struct Contents {
    /// The kitchen's name, for headings.
    pub name: String,
    /// The currency all money is in.
    pub currency: Currency,
    /// Days, eaters and trips.
    pub week: Week,
    /// Foods, sorted by id text so that file order changes nothing.
    pub foods: List<Food>,
    /// Pack options of all foods; those of one food stand together, in written order. What is
    /// sold at several shops is an option at each.
    pub packs: List<Pack>,
    /// Units on hand, sorted by food, then last good day, then amount.
    pub stock: List<Stock>,
    /// Components, sorted by id text.
    pub components: List<Component>,
    /// Recipes, sorted by name.
    pub recipes: List<Recipe>,
    /// Family names, sorted.
    pub families: Vec<String>,
    /// Form names, sorted.
    pub forms: Vec<String>,
    /// Main protein names, sorted.
    pub proteins: Vec<String>,
    /// Shops, the usual one first; none if the kitchen names none.
    pub shops: Vec<String>,
    /// All equipment anything needs or the kitchen counts, by name.
    pub equipment: Vec<Equipment>,
    /// Aims, rules, bans and pins.
    pub wishes: Wishes,
}

/// A currency of ISO 4217.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Currency {
    /// Three-letter code.
    pub code: String,
    /// Decimal digits of the minor unit (2 for most, 0 for JPY, 3 for KWD).
    pub digits: u8,
}

/// Time: the days of the cycle, who eats and when one shops.
#[derive(Clone, Debug)]
pub struct Week {
    /// N, the number of lunch days (1..=[`MOST_DAYS`]).
    pub lunches: u8,
    /// How days are called.
    pub calendar: Calendar,
    /// C: the first day of the next cycle. What is still good on it is kept.
    pub carry_day: i32,
    /// Eaters of each lunch day in thousandths of a portion; index 0 is day 1.
    pub eaters_milli: Vec<i64>,
    /// Shopping trips. The first is always made and free: the usual shop's first day. The others
    /// rise by day, then shop.
    pub trips: Vec<ShoppingTrip>,
}

/// A visit to one shop on one day: made if something is bought on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShoppingTrip {
    /// The day, below N.
    pub day: Day,
    /// The shop; none in a kitchen that names none.
    pub shop: Option<ShopId>,
    /// Price of going, if it has one of its own; otherwise [`Wishes::trip_price_minor`]. The first
    /// trip costs nothing whatever stands here.
    pub going_minor: Option<i64>,
}

impl ShoppingTrip {
    /// Returns a trip on `day` to the one shop of a kitchen that names none.
    pub fn on(day: Day) -> Self {
        Self {
            day,
            shop: None,
            going_minor: None,
        }
    }
}

/// A food as the kitchen buys and uses it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Food {
    /// The name used in recipes and options.
    pub name: String,
    /// A staple is in the cupboard: priced pro rata, no pack rounding, not counted.
    pub staple: bool,
    /// Heading it is sold under, if any.
    pub family: Option<FamilyId>,
    /// Free words a wish may name.
    pub tags: Vec<String>,
    /// Allergens, from the kitchen's own data.
    pub allergens: Vec<String>,
    /// Its pack options (a range of [`Contents::packs`]).
    pub packs: std::ops::Range<u32>,
    /// Pro-rata price of a staple: the lowest unit value of its packs. 0 for others.
    pub staple_value_nano: i64,
    /// Thousandths of the nutrient's unit per 100 g edible portion; `None` is unknown.
    pub nutrients_milli: [Option<i64>; NUTRIENTS],
    /// Where the nutrient figures come from.
    pub source: String,
    /// Edible share of what is bought, in thousandths of a percent (100 000 = all of it).
    pub yield_milli_percent: i64,
    /// What a cup or a piece of it weighs, for printing.
    pub household: Household,
}

/// One way of buying a food.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pack {
    /// The food it holds.
    pub food: FoodId,
    /// What the shelf says: "400 g tin", "bag of 4".
    pub label: String,
    /// Ripeness at purchase (hard, breaking, ripe), if it ripens.
    pub stage: Option<String>,
    /// As-purchased milligrams of one unit.
    pub unit_ap_mg: i64,
    /// Edible milligrams of one unit: as purchased times yield, rounded down. At least 1.
    pub unit_mg: i64,
    /// m: separately openable units in one pack.
    pub units: i64,
    /// Where it is sold; none in a kitchen that names no shops.
    pub shop: Option<ShopId>,
    /// Price of the whole pack, there.
    pub price_minor: i64,
    /// Sold by weight or by piece: one unit is the weighing step.
    pub loose: bool,
    /// First day after purchase on which a unit may be opened.
    pub ready_from: i32,
    /// Last day after purchase on which a unit may be opened; also how long an unopened
    /// unit stays good.
    pub ready_to: i32,
    /// k: days an opened unit stays good after the day it is opened (0 = that day only).
    pub open_life: i32,
    /// Last day after purchase on which anything of it may be eaten; at least `ready_to`.
    pub end: i32,
    /// Price per edible milligram, rounded once: [`value_nano`] of price and edible mass.
    pub value_nano: i64,
}

/// A unit already owned when the week starts. Price 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// The food.
    pub food: FoodId,
    /// What the cook calls it.
    pub label: String,
    /// Edible milligrams left in it.
    pub left_mg: i64,
    /// Already open: may be drawn from on any day up to `good_until`.
    pub opened: bool,
    /// First day on which it may be opened (or drawn from, if open).
    pub ready_from: i32,
    /// Last day on which it may be opened, if sealed; last day it is good, if open.
    pub ready_to: i32,
    /// k, for a sealed unit.
    pub open_life: i32,
    /// Last day on which anything of it may be eaten; `good(d) = min(d + k, end)`.
    pub end: i32,
    /// What spoils of it counts at this value.
    pub value_nano: i64,
}

/// Something cooked in batches: a grain, roasted beans, a dressing.
#[derive(Clone, Debug)]
pub struct Component {
    /// The name used in recipes.
    pub name: String,
    /// Foods of one batch of `makes_mg`, components inside it already resolved, sorted by
    /// food, each food once; with no milligram where its share of a component inside is less
    /// than one, as whoever may not eat it asks whether it is in there.
    pub foods: Vec<(FoodId, i64)>,
    /// Components inside it at any depth, rising: a ban on one reaches this one too.
    pub inside: Vec<ComponentId>,
    /// Finished milligrams that `foods` give.
    pub makes_mg: i64,
    /// kappa: a batch of day d serves lunches d..=d+keeps.
    pub keeps: i32,
    /// Active time of a batch, whatever its size.
    pub batch_minutes_nano: i64,
    /// Active time per finished milligram (the per-portion minutes, rounded once).
    pub minutes_per_mg_nano: i64,
    /// Passive time of a batch (oven, pot): the prep plan's, not the week's.
    pub passive_minutes: i64,
    /// Finished milligrams of a portion, if the kitchen says: what a step's minutes a portion
    /// are counted by.
    pub portion_mg: Option<i64>,
    /// Equipment it needs.
    pub needs: Vec<String>,
    /// Free words a wish may name.
    pub tags: Vec<String>,
    /// Its own tags call it a dressing: it is carried apart.
    pub dressing: bool,
    /// What to do, in the kitchen's words.
    pub steps: Vec<Step>,
    /// What a cup of it weighs, for printing.
    pub household: Household,
}

/// A packed lunch.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Its name; names are unique.
    pub name: String,
    /// Grain bowl, wrap, soup...
    pub form: FormId,
    /// Main protein, if it has one.
    pub protein: Option<ProteinId>,
    /// Free words a wish may name.
    pub tags: Vec<String>,
    /// Equipment it needs.
    pub needs: Vec<String>,
    /// Allowed lunch days: index 0 is day 1; as long as the week.
    pub days: Vec<bool>,
    /// Active time on the day (for the whole lunch, all eaters).
    pub minutes_nano: i64,
    /// What goes in, optional lines left out.
    pub lines: Vec<Line>,
    /// Finishers: outside the main program (section 6 of the model).
    pub finishers: Vec<Finisher>,
    /// What to do, in the kitchen's words.
    pub steps: Vec<Step>,
    /// What is told of it.
    pub prose: Prose,
}

/// A line of a recipe: exactly one of its alternatives is taken.
#[derive(Clone, Debug)]
pub struct Line {
    /// At least one; the first is the one the recipe is written with.
    pub alternatives: Vec<Alternative>,
}

/// One way to fill a line.
#[derive(Clone, Debug)]
pub struct Alternative {
    /// What is taken.
    pub what: Ingredient,
    /// Edible (or finished) milligrams per portion of factor 1, rounded down once.
    pub mg: i64,
    /// The quantity as the cook wrote it.
    pub written: String,
}

/// A food itself, or a component made from foods.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ingredient {
    /// A food, used on the lunch's own day.
    Food(FoodId),
    /// A component, whose foods are used on the day its batch is cooked.
    Component(ComponentId),
}

/// An optional line.
#[derive(Clone, Debug)]
pub struct Finisher {
    /// What it adds.
    pub alternative: Alternative,
    /// How much it lifts the lunch; more is better.
    pub appeal: i64,
}

/// A yield of all that is bought, thousandths of a percent.
pub const WHOLE_YIELD: i64 = 100_000;

/// Returns the edible milligrams of so many as purchased at a yield in thousandths of a percent,
/// rounded down.
pub fn edible_mg(ap_mg: i64, yield_milli_percent: i64) -> i64 {
    (i128::from(ap_mg) * i128::from(yield_milli_percent) / i128::from(WHOLE_YIELD)) as i64
}

/// Returns what a milligram of `edible_mg` bought for `price_minor` is worth, 1e-9 minor units,
/// to the nearest (half a unit up). A tonne is then out by at most half a minor unit.
pub fn value_nano(price_minor: i64, edible_mg: i64) -> i64 {
    let (price, mass) = (i128::from(price_minor), i128::from(edible_mg.max(1)));
    let value = (price * 2 * i128::from(NANO) + mass) / (2 * mass);
    // At most 1e9 minor units (100,000 of a currency with four digits) for one milligram.
    i64::try_from(value).unwrap_or(i64::MAX)
}

impl Stock {
    /// Compares by food, last good day and amount, then by all else: the order of
    /// [`Contents::stock`].
    pub fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |unit: &Self| {
            (
                unit.food,
                unit.ready_to,
                unit.left_mg,
                unit.label.clone(),
                unit.opened,
                unit.ready_from,
                unit.end,
                unit.open_life,
                unit.value_nano,
            )
        };
        key(self).cmp(&key(other))
    }

    /// Returns the value of what is left, 1e-9 minor units.
    pub fn value_nano(&self) -> i64 {
        self.left_mg * self.value_nano
    }
}

impl Contents {
    /// Returns N as a count.
    pub fn lunch_count(&self) -> usize {
        usize::from(self.week.lunches)
    }

    /// Returns what `day` is called, see [`Calendar::name`].
    pub fn day_name(&self, day: i32) -> String {
        self.week.calendar.name(day)
    }

    /// Returns milligrams for all eaters of lunch day `day` of something taken at
    /// `mg` a portion: `mg * eaters`, thousandths rounded down.
    pub fn for_eaters(&self, mg: i64, day: Day) -> i64 {
        mg * self.week.eaters_milli[usize::from(day) - 1] / MILLI
    }

    /// Returns the milligrams of each food that `mg` of a component takes: the batch's
    /// share of each food, rounded down once. Sorted by food; foods that round to
    /// nothing are left out.
    ///
    /// Called with what one line of one lunch asks for (all eaters), so that the foods
    /// of a lunch are whole milligrams however its batches are split.
    pub fn component_foods(&self, id: ComponentId, mg: i64) -> Vec<(FoodId, i64)> {
        let component = &self.components[id.index()];
        component
            .foods
            .iter()
            .map(|&(food, per_batch)| {
                let share = i128::from(mg) * i128::from(per_batch) / i128::from(component.makes_mg);
                (food, share as i64)
            })
            .filter(|&(_, share)| share > 0)
            .collect()
    }

    /// Returns the day of a trip.
    pub fn trip_day(&self, trip: Trip) -> Day {
        self.week.trips[usize::from(trip)].day
    }

    /// Returns what making a trip adds to the objective, minor units: nothing for the first.
    pub fn trip_price_minor(&self, trip: Trip) -> i64 {
        let going = self.week.trips[usize::from(trip)].going_minor;
        if trip == 0 {
            0
        } else {
            going.unwrap_or(self.wishes.trip_price_minor)
        }
    }

    /// Returns whether a pack option can be bought on a trip: the trip's shop sells it, and
    /// neither the shop nor the option there is banned.
    pub fn sells(&self, trip: Trip, pack: PackId) -> bool {
        let shop = self.week.trips[usize::from(trip)].shop;
        let banned = |ban: &Target| match ban {
            Target::Shop(banned) => shop == Some(*banned),
            Target::Pack(banned) => *banned == pack,
            _ => false,
        };
        self.packs[pack.index()].shop == shop && !self.wishes.without.iter().any(banned)
    }

    /// Returns whether a pack option can be bought on some trip.
    pub fn is_sold(&self, pack: PackId) -> bool {
        (0..self.week.trips.len() as Trip).any(|trip| self.sells(trip, pack))
    }

    /// Returns what a milligram of a food costs at the least: a staple's value, else that of the packs
    /// that can be bought; where none can, of those there are.
    pub fn least_value_nano(&self, food: FoodId) -> i64 {
        let entry = &self.foods[food.index()];
        if entry.staple {
            return entry.staple_value_nano;
        }
        let least = |sold: bool| {
            let packs = self.packs_of(food);
            let packs = packs.filter(|&(id, _)| !sold || self.is_sold(id));
            packs.map(|(_, pack)| pack.value_nano).min()
        };
        least(true).or_else(|| least(false)).unwrap_or(0)
    }

    /// Returns the name of a pack option's shop, if the kitchen names shops.
    pub fn shop_of(&self, pack: PackId) -> Option<&str> {
        let shop = self.packs[pack.index()].shop?;
        Some(&self.shops[shop.index()])
    }

    /// Returns the pack options of `food`.
    pub fn packs_of(&self, food: FoodId) -> impl Iterator<Item = (PackId, &Pack)> {
        self.foods[food.index()].packs.clone().map(|i| {
            let id = PackId(i);
            (id, &self.packs[id.index()])
        })
    }
}
