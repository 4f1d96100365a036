//! The shape of the JSON: one object a run. Its schema is made from these types.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use super::case::{SumsShape, TellingShape};
use super::exact::Exact;

/// What a run found. Money is in minor units of the currency, mass in milligrams, time in
/// minutes; days are counted from the prep day, which is 0.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Report {
    /// What was proved.
    pub outcome: OutcomeWord,
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: CurrencyShape,
    /// Days, eaters, trips.
    pub week: Calendar,
    /// The total and its parts, which add up to the total; null without a week.
    pub objective: Option<Objective>,
    /// No week has a smaller total, minor units. With a strict order of aims and an
    /// outcome other than `best`: of the aim being settled when stopped. Null when
    /// impossible, or when a general solver found the week.
    pub bound: Option<Exact>,
    /// Objective less bound; null without a week, or when the bound is of an aim.
    pub gap: Option<Exact>,
    /// The strict order of aims and what each reached; empty without an order.
    pub aims: Vec<AimShape>,
    /// Price of all packs bought.
    pub bill: Option<i64>,
    /// Foods to buy bought.
    pub foods: Option<i64>,
    /// Families of foods to buy bought.
    pub families: Option<i64>,
    /// In day order.
    pub lunches: Vec<LunchShape>,
    /// By trip, then the food that feeds most lunches first.
    pub purchases: Vec<PurchaseShape>,
    /// By name.
    pub staples: Vec<StapleShape>,
    /// By day, then component.
    pub batches: Vec<BatchShape>,
    /// Every day with active minutes or a limit.
    pub minutes: Vec<MinutesShape>,
    /// Where a rule or an aim is about time in the kitchen: every day that takes some or has a
    /// limit; else left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub kitchen_minutes: Vec<KitchenShape>,
    /// Every unit of every pack and of stock, grouped by the day it was opened.
    pub leftovers: Vec<LeftoverShape>,
    /// Their sums; null without a week.
    pub leftover_totals: Option<LeftoverTotalsShape>,
    /// Every unit still good on the carry day, what finishers take left out: what
    /// `--after` starts the next week from. Days are this week's.
    pub kept: Vec<KeptShape>,
    /// Recipes of the weeks before this one in day order, the latest week first: what
    /// `--after` was given. At most 52 weeks.
    pub before: Vec<Vec<String>>,
    /// By nutrient key: a portion of size 1. A food without a figure counts as 0.
    pub nutrition: BTreeMap<&'static str, NutrientShape>,
    /// Food groups and shares of energy that rules ask for: a portion of size 1.
    pub credits: Vec<CreditShape>,
    /// Where the foods' nutrient figures come from.
    pub sources: Vec<String>,
    /// Rules with a figure and how near the week stands to each limit.
    pub rules: Vec<RuleShape>,
    /// What the options of the run changed; null without any.
    pub changes: Option<ChangesShape>,
    /// When impossible: rules that cannot hold together, whatever the others say, in words;
    /// without any one of them the rest of these allow a week. Empty if no rule is to blame. Null if there is a week, or if they were not found in time.
    pub conflict: Option<Vec<String>>,
    /// When impossible: fewer recipes may be served than the lunches need; null where they are
    /// enough, and like `conflict`.
    pub too_few_recipes: Option<TooFewShape>,
    /// Finishers placed on the week; null when none were asked for.
    pub finishers: Option<FinishersShape>,
    /// When impossible: changes that make a week possible, each by itself, the cheapest week
    /// first; where there are none, two changes together. Null like `conflict`.
    pub ways_out: Option<Vec<WayOutShape>>,
    /// The changes a cook would ask about first, and what comes of each; empty if the week is
    /// not proved best, took long to prove, or was asked for alone (`--brief`).
    pub tellings: Vec<TellingShape>,
    /// By how little purchases could have been smaller; null where `tellings` are not asked.
    pub near_misses: Option<NearMissesShape>,
    /// Work done by the search.
    pub effort: EffortShape,
    /// What no figure here can promise.
    pub cautions: Vec<String>,
    /// What protects: each line of advice that this week needs, the gravest first.
    pub advice: Vec<AdviceShape>,
}

/// A line of advice.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AdviceShape {
    /// What it is about.
    pub about: &'static str,
    /// What to do, and why.
    pub line: &'static str,
    /// Where it was published.
    pub source: &'static str,
    /// What it is for.
    pub of: Vec<AdvisedShape>,
}

/// A lunch or a batch that advice is for.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AdvisedShape {
    /// The day it is eaten or cooked.
    pub day: i32,
    /// Whether it is a batch, not a lunch.
    pub batch: bool,
    /// Recipe or component.
    pub name: String,
    /// The foods that call for it; none where the whole does.
    pub foods: Vec<String>,
}

/// Four different words.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OutcomeWord {
    /// Proved: there is no better week.
    Best,
    /// A week, not proved best.
    Good,
    /// Proved: there is no week.
    Impossible,
    /// Stopped before any week was found.
    OutOfTime,
}

/// An ISO 4217 currency.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CurrencyShape {
    /// Three letters.
    pub code: String,
    /// Decimal digits of the minor unit.
    pub digits: u8,
}

/// The calendar of the week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Calendar {
    /// Lunch days.
    pub days: Vec<DayShape>,
    /// Shopping days; the position is the trip.
    pub trips: Vec<i32>,
    /// The shop of each trip, if the kitchen names shops.
    pub shops: Option<Vec<String>>,
    /// First day of the next cycle: what is still good on it is kept.
    pub carry_day: i32,
    /// Date of the first lunch, ISO 8601; null where it is not known.
    pub starts: Option<String>,
}

/// A lunch day.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DayShape {
    /// Its number.
    pub day: i32,
    /// Its name.
    pub name: String,
    /// Portions eaten.
    pub eaters: Exact,
}

/// The total in minor units.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Objective {
    /// What was made small.
    pub total: Exact,
    /// Price of the packs bought.
    pub packs: Exact,
    /// Staples used, pro rata.
    pub staples: Exact,
    /// Value of what spoils, times its weight.
    pub spoiled: Exact,
    /// Foods to buy bought, at the price put on each.
    pub foods: Exact,
    /// Active minutes, at the price put on each.
    pub minutes: Exact,
    /// Watched minutes, at the price put on each; left out without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub watched: Option<Exact>,
    /// Trips after the first, at the price put on each.
    pub trips: Exact,
    /// Day preferences, and the price on recipes served again (`--again`).
    pub preferences: Exact,
    /// Credit for what is kept: zero or below.
    pub carry: Exact,
}

/// An aim and what it reached.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AimShape {
    /// foods, cost, spoiled or minutes.
    pub aim: &'static str,
    /// Foods, minor units or minutes.
    pub reached: Exact,
}

/// A lunch.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LunchShape {
    /// Its day.
    pub day: i32,
    /// The day's name.
    pub name: String,
    /// The recipe.
    pub recipe: String,
    /// Its form.
    pub form: String,
    /// Its main protein.
    pub protein: Option<String>,
    /// Active minutes on the day, batches apart.
    pub minutes: Exact,
    /// Worth of the food in it for all eaters, packs pro rata, minor units.
    pub cost: Exact,
    /// The same for a portion of size 1.
    pub cost_a_portion: Exact,
    /// What each line takes.
    pub lines: Vec<LineShape>,
    /// From the kitchen's own data.
    pub allergens: Vec<String>,
}

/// A line of a lunch.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LineShape {
    /// The food taken, or null.
    pub food: Option<String>,
    /// The component taken, or null.
    pub component: Option<String>,
    /// Quantity a portion, as the cook wrote it.
    pub written: String,
    /// For a portion of size 1: edible, or finished for a component.
    pub portion_mg: i64,
    /// For all eaters.
    pub all_mg: i64,
    /// How many alternatives the line had.
    pub choices: usize,
    /// The first alternative, if another was taken.
    pub instead_of: Option<String>,
}

/// Packs of one kind bought on one trip.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PurchaseShape {
    /// Foods to buy from 1; rows of one food share the number.
    pub number: usize,
    /// The food.
    pub food: String,
    /// Its family.
    pub family: Option<String>,
    /// The pack's label.
    pub pack: String,
    /// Ripeness at purchase.
    pub stage: Option<String>,
    /// Sold by weight or piece.
    pub loose: bool,
    /// Packs.
    pub count: i64,
    /// Price of one.
    pub each: i64,
    /// Price of all.
    pub price: i64,
    /// As purchased, in all.
    pub as_purchased_mg: i64,
    /// Edible, in all.
    pub edible_mg: i64,
    /// Position of the trip.
    pub trip: usize,
    /// Day of the trip.
    pub bought_on: i32,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
    /// Counts against the cap: staples are never bought.
    pub counted: bool,
    /// Lunch days it feeds.
    pub serves: Vec<i32>,
}

/// A staple used.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct StapleShape {
    /// The food.
    pub food: String,
    /// Used in the week.
    pub mg: i64,
    /// Pro-rata price.
    pub cost: Exact,
    /// Lunch days it goes into.
    pub serves: Vec<i32>,
}

/// A batch to cook.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BatchShape {
    /// What is cooked.
    pub component: String,
    /// Its day.
    pub day: i32,
    /// Finished.
    pub makes_mg: i64,
    /// Lunches it serves.
    pub serves: Vec<ServingShape>,
    /// Last day it may be eaten, by the kitchen's own data.
    pub keeps_until: i32,
    /// Active minutes.
    pub minutes: Exact,
    /// Passive minutes.
    pub passive_minutes: i64,
    /// Equipment.
    pub needs: Vec<String>,
    /// Foods that go in, edible.
    pub foods: Vec<FoodMass>,
}

/// What a lunch day takes of a batch.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ServingShape {
    /// The lunch day.
    pub day: i32,
    /// Finished.
    pub mg: i64,
}

/// A food and how much of it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FoodMass {
    /// The food.
    pub food: String,
    /// Edible.
    pub mg: i64,
}

/// Active minutes of a day.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MinutesShape {
    /// The day.
    pub day: i32,
    /// Batches and that day's lunch.
    pub minutes: Exact,
    /// The limit.
    pub limit: Option<Exact>,
}

/// Time in the kitchen on a day.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct KitchenShape {
    /// The day.
    pub day: i32,
    /// Active minutes of that day's lunch and batches, and the passive ones of batches that hold
    /// equipment, one thing after another.
    pub minutes: Exact,
    /// The limit.
    pub limit: Option<Exact>,
    /// Minutes of that day's stints in the prep plan, which does one thing beside another; null if
    /// it was not asked for.
    pub prep: Option<i64>,
    /// Whether no prep plan of this week takes fewer minutes in all; null likewise.
    pub prep_proved: Option<bool>,
}

/// Units of a pack, or a unit on hand, and what is left of them. `bought_mg` is
/// `used_mg` plus `left_mg`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LeftoverShape {
    /// The food.
    pub food: String,
    /// The pack's label, or what the cook calls the unit on hand.
    pub pack: String,
    /// Ripeness at purchase.
    pub stage: Option<String>,
    /// On hand before the week, price 0.
    pub on_hand: bool,
    /// Day bought; null if on hand.
    pub bought_on: Option<i32>,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
    /// Units in this row.
    pub units: i64,
    /// Edible, bought or on hand.
    pub bought_mg: i64,
    /// Edible.
    pub used_mg: i64,
    /// Edible.
    pub left_mg: i64,
    /// Value of what is left, minor units.
    pub value: Exact,
    /// Null: not opened this week.
    pub opened_on: Option<i32>,
    /// Last day what is left is good.
    pub good_until: i32,
    /// What becomes of it.
    pub fate: FateWord,
}

/// Like units that are kept. Their value is `units` times `left_mg` times `unit_value_nano`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct KeptShape {
    /// The food.
    pub food: String,
    /// The pack's label, or what the cook calls the unit.
    pub label: String,
    /// How many of them.
    pub units: i64,
    /// Open already.
    pub opened: bool,
    /// Edible, in each.
    pub left_mg: i64,
    /// First day it may be opened, or used if open.
    pub ready_from: i32,
    /// Last day it may be opened; last day it is good if open.
    pub good_until: i32,
    /// Days it stays good after the day it is opened; null if open.
    pub open_keeps: Option<i32>,
    /// Last day anything of it may be eaten.
    pub end: i32,
    /// What it was bought at, 1e-9 minor units for an edible milligram.
    pub unit_value_nano: i64,
}

/// What becomes of a remainder.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FateWord {
    /// Nothing is left.
    UsedUp,
    /// Still good on the carry day.
    Kept,
    /// Gone before it.
    Spoiled,
}

/// Sums over all leftovers.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LeftoverTotalsShape {
    /// Edible, bought or on hand.
    pub bought_mg: i64,
    /// Edible.
    pub used_mg: i64,
    /// Edible.
    pub kept_mg: i64,
    /// Edible.
    pub spoiled_mg: i64,
    /// Minor units.
    pub kept_value: Exact,
    /// Minor units, unweighted.
    pub spoiled_value: Exact,
}

/// A nutrient over the week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct NutrientShape {
    /// kcal, g, mg or ug.
    pub unit: &'static str,
    /// By lunch, in day order.
    pub lunches: Vec<Exact>,
    /// Whether some food of that lunch has no figure; in day order.
    pub incomplete: Vec<bool>,
    /// Mean of the lunches.
    pub mean: Exact,
    /// Foods without a figure.
    pub missing: Vec<String>,
    /// Floors and ceilings on it.
    pub limits: Vec<LimitShape>,
}

/// A food group, or a nutrient's share of the energy, over the week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CreditShape {
    /// The group; null for a share of energy.
    pub group: Option<String>,
    /// The nutrient's key; null for a group.
    pub nutrient: Option<&'static str>,
    /// The group's unit, or `% of energy`.
    pub unit: String,
    /// By lunch, in day order.
    pub lunches: Vec<Exact>,
    /// The sum of the lunches; of a share, that of the week.
    pub week: Exact,
    /// Floors and ceilings on it; a share stays below its ceiling.
    pub limits: Vec<LimitShape>,
}

/// A floor or ceiling.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LimitShape {
    /// lunch or week.
    pub per: &'static str,
    /// Floor.
    pub at_least: Option<Exact>,
    /// Ceiling.
    pub at_most: Option<Exact>,
    /// Where the figure comes from.
    pub source: String,
}

/// A rule and how near the week stands to it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RuleShape {
    /// cap, `cap_families`, budget, minutes, `kitchen_minutes`, floor, ceiling, `per_form` or `per_protein`.
    pub rule: &'static str,
    /// The nutrient, form or protein.
    pub about: Option<String>,
    /// The day nearest the limit; null when it is about the week.
    pub day: Option<i32>,
    /// What the week reaches.
    pub reached: Exact,
    /// The limit.
    pub limit: Exact,
    /// Exactly at the limit.
    pub at_limit: bool,
}

/// What the options of the run changed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ChangesShape {
    /// The options, as typed; the week before is that of the same kitchen without them.
    pub asked: Vec<String>,
    /// What of it was banned.
    pub banned: Vec<String>,
    /// What was proved without the options.
    pub before_outcome: OutcomeWord,
    /// Sums without the options.
    pub before: Option<SumsShape>,
    /// Sums with them.
    pub after: Option<SumsShape>,
    /// Days whose lunch differs; null, as are the two below, unless there is a week both with
    /// and without the options.
    pub lunches: Option<Vec<LunchChangeShape>>,
    /// Foods not bought any more.
    pub dropped: Option<Vec<String>>,
    /// Foods bought only now.
    pub added: Option<Vec<String>>,
}

/// A day whose lunch differs.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LunchChangeShape {
    /// The day.
    pub day: i32,
    /// Recipe without the options.
    pub before: String,
    /// Recipe with it.
    pub after: String,
    /// In a recipe that stayed: what lines took before and take now.
    pub lines: Vec<(String, String)>,
}

/// A change, or two together, that make a week possible.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WayOutShape {
    /// looser, without or trip.
    pub how: &'static str,
    /// The rule as it would be, or the one given up, in words; null for a trip.
    pub rule: Option<String>,
    /// The day of one more trip.
    pub trip: Option<i32>,
    /// What is changed too; null for a way by itself.
    pub and: Option<WayChangeShape>,
    /// The rule as it stands, where `rule` has another number in the place of its own; else null.
    pub asked: Option<String>,
    /// Proved that nothing nearer to the rule as it stands lets a week in; false of two changes.
    pub nearest: bool,
    /// The recipe of each lunch of the week it allows, by day.
    pub lunches: Vec<(i32, String)>,
    /// The sums of that week.
    pub sums: SumsShape,
    /// The week is proved the best it allows.
    pub best: bool,
}

/// Near misses: how amounts and packs fit, with all else as it is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct NearMissesShape {
    /// Foods of which a little less would make the bill smaller, the least part first.
    pub short: Vec<ShortShape>,
    /// Lunches that could take all that is thrown out of a food, with no purchase more.
    pub room: Vec<RoomShape>,
}

/// A food of which the week uses a little too much for a smaller purchase.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ShortShape {
    /// The food.
    pub food: String,
    /// The pack, if it is the only kind there is of the food.
    pub pack: Option<String>,
    /// How many of it fewer; null like `pack`.
    pub fewer: Option<i64>,
    /// All the week uses, milligrams.
    pub used_mg: i64,
    /// The least that has to be left out, milligrams.
    pub less_mg: i64,
    /// Each use of a day times `kept` over `of`, rounded down to a milligram, is that much less.
    pub kept: i64,
    /// See `kept`: the largest use of a day, milligrams.
    pub of: i64,
    /// What the bill is smaller by then.
    pub saves: i64,
    /// The least yield of the food that would do as much with the amounts as they are; null if none
    /// does, or if it was not asked (`week` does not).
    pub better_yield: Option<BetterYieldShape>,
}

/// A yield at which a purchase would be smaller, percent.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BetterYieldShape {
    /// As it is.
    pub now: Exact,
    /// The least that is enough.
    pub least: Exact,
    /// What the bill is smaller by then.
    pub saves: i64,
}

/// A lunch that could take what is thrown out of a food.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RoomShape {
    /// The food.
    pub food: String,
    /// The lunch, by day.
    pub day: i32,
    /// So much more of it there, all portions together, milligrams.
    pub more_mg: i64,
    /// Value of what is thrown out as it is.
    pub saves: Exact,
}

/// Fewer recipes than the lunches need.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct TooFewShape {
    /// Recipes of the kitchen.
    pub recipes: usize,
    /// Of them, ruled out by bans.
    pub banned: usize,
    /// Of the others, resting.
    pub resting: usize,
    /// Of the others, without a day on which they may be served.
    pub without_day: usize,
    /// What is left.
    pub left: usize,
    /// Most times one recipe may be served.
    pub repeats: i64,
    /// Lunches of the week.
    pub lunches: usize,
    /// Recipes needed for them.
    pub needed: usize,
}

/// A change of a way out.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct WayChangeShape {
    /// looser, without or trip.
    pub how: &'static str,
    /// The rule as it would be, or the one given up, in words; null for a trip.
    pub rule: Option<String>,
    /// The day of one more trip.
    pub trip: Option<i32>,
}

/// Work done; the same for any number of threads.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct EffortShape {
    /// Partial weeks looked at.
    pub nodes: u64,
    /// Complete sets of lunches settled to the last pack.
    pub leaves: u64,
}

/// Finishers of a week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FinishersShape {
    /// Appeal of all that is placed.
    pub appeal: i64,
    /// No other choice has more appeal, proved.
    pub proved: bool,
    /// What is placed, by day.
    pub placed: Vec<FinisherShape>,
    /// Packs bought for them.
    pub bought: Vec<OfferShape>,
    /// Single packs that would bring more, the most appeal first.
    pub offers: Vec<OfferShape>,
}

/// A finisher on a lunch.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FinisherShape {
    /// Lunch day.
    pub day: i32,
    /// The recipe.
    pub recipe: String,
    /// The food.
    pub food: String,
    /// A portion, as the kitchen writes it.
    pub written: String,
    /// Milligrams for all eaters.
    pub mg: i64,
    /// How much it lifts the lunch.
    pub appeal: i64,
    /// Taken from the cupboard.
    pub staple: bool,
}

/// A pack and what it would lift.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OfferShape {
    /// The food.
    pub food: String,
    /// The pack.
    pub pack: String,
    /// How many.
    pub count: i64,
    /// Shopping day.
    pub day: i32,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
    /// Price of all, minor units.
    pub price: i64,
    /// Appeal gained.
    pub gain: i64,
    /// Lunch days lifted.
    pub lifts: Vec<i32>,
    /// A rule has no room for it.
    pub beyond: bool,
    /// The cap has none.
    pub beyond_cap: bool,
    /// The budget has none.
    pub beyond_budget: bool,
}
