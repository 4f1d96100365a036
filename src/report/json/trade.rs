//! The shape of the JSON of trade-offs. Its schema is made from these types.

use schemars::JsonSchema;
use serde::Serialize;

use super::case::{BriefShape, CaseShape, ProofWord};
use super::exact::Exact;
use super::shape::{CurrencyShape, NearMissesShape, TooFewShape, WayOutShape};

/// What each wish costs. Money is in minor units of the currency, mass in milligrams, time in
/// minutes; days are counted from the prep day, which is 0. A section that was not asked for
/// is null.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TradeoffsReport {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: CurrencyShape,
    /// What was proved of the chosen week.
    pub outcome: ProofWord,
    /// The chosen week.
    pub week: Option<BriefShape>,
    /// When impossible: rules that cannot hold together, none to spare, in words.
    pub conflict: Option<Vec<String>>,
    /// When impossible: fewer recipes may be served than the lunches need; null if they are
    /// enough.
    pub too_few_recipes: Option<TooFewShape>,
    /// When impossible: ways out, each by itself, the cheapest week first; where there are none,
    /// those of two changes together.
    pub ways_out: Option<Vec<WayOutShape>>,
    /// The rule that costs most first.
    pub rules: Option<Vec<RulePriceShape>>,
    /// The food that is cheapest to give up first.
    pub foods: Option<Vec<FoodPriceShape>>,
    /// Recipes left out, the cheapest to insist on first; then those no week can have.
    pub recipes_left_out: Option<Vec<RecipePriceShape>>,
    /// Recipes of the week, the one that gains most first: the best week without it.
    pub recipes_kept: Option<Vec<RecipePriceShape>>,
    /// Bill, foods to buy and spoiled value.
    pub frontier: Option<FrontierShape>,
    /// By caps on foods to buy: around the kitchen's own, or below what the chosen week buys.
    pub caps: Option<Vec<CapShape>>,
    /// For 1 to 8 eaters.
    pub eaters: Option<Vec<EatersShape>>,
    /// Other weeks.
    pub others: Option<OthersShape>,
    /// Between which prices of a pack the week stays best; empty under a strict order of aims.
    pub prices: Option<Vec<PriceShape>>,
    /// Which food serves which lunch.
    pub reuse: Option<Vec<ReuseShape>>,
    /// Shops, if the kitchen names several.
    pub shops: Option<Vec<ShopPriceShape>>,
    /// Packs bought that another shop sells too.
    pub packs_elsewhere: Option<Vec<ElsewhereShape>>,
    /// Amounts and packs that nearly fit.
    pub near_misses: Option<NearMissesShape>,
    /// Ripening fruit.
    pub ripening: Option<Vec<FruitShape>>,
    /// Questions settled by a week solved anew and judged.
    pub solved: usize,
    /// Questions settled by the proof that there is no week.
    pub none: usize,
    /// Every question was settled.
    pub settled: bool,
}

/// What a rule costs.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RulePriceShape {
    /// The rule, in words.
    pub rule: String,
    /// Proved: without it the week would be no better.
    pub free: bool,
    /// The week without it; null for keeping and ripening times.
    pub without: Option<CaseShape>,
    /// The rule a step looser, in words; null where it was not asked.
    pub looser: Option<String>,
    /// The week then.
    pub with_looser: Option<CaseShape>,
}

/// What doing without a food costs.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FoodPriceShape {
    /// The food.
    pub food: String,
    /// Bought, or on hand only.
    pub bought: bool,
    /// The week without it.
    pub without: CaseShape,
}

/// What a shop is worth.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ShopPriceShape {
    /// The shop.
    pub shop: String,
    /// Days on which the chosen week buys there.
    pub days: Vec<i32>,
    /// What it buys there costs so much.
    pub bill: i64,
    /// The week without it.
    pub without: CaseShape,
}

/// A pack bought that another shop sells too.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ElsewhereShape {
    /// The food.
    pub food: String,
    /// The pack.
    pub pack: String,
    /// Where it is bought.
    pub shop: String,
    /// Price of one there.
    pub each: i64,
    /// Other shops that have it, and its price there.
    pub others: Vec<(String, i64)>,
    /// The best week that does not buy it there.
    pub without: CaseShape,
}

/// What a recipe costs or gains.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RecipePriceShape {
    /// The recipe.
    pub recipe: String,
    /// The best week with it (left out) or without it (kept).
    pub case: CaseShape,
}

/// The frontier.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FrontierShape {
    /// By bill, rising.
    pub points: Vec<PointShape>,
    /// Proved: these are all.
    pub complete: bool,
    /// The chosen week is one of them.
    pub has_chosen: bool,
    /// What one more food saves; empty unless complete.
    pub knees: Vec<KneeShape>,
}

/// A combination that none beats.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PointShape {
    /// Price of all packs.
    pub bill: i64,
    /// Foods to buy bought.
    pub foods: i64,
    /// Value of what spoils.
    pub spoiled: Exact,
    /// It is the chosen week itself.
    pub chosen: bool,
    /// Beats the chosen week in these three figures.
    pub beats_chosen: bool,
    /// A week that has them: the chosen one if it does.
    pub week: BriefShape,
}

/// The least bill with a number of foods.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct KneeShape {
    /// Foods to buy, at most.
    pub foods: i64,
    /// The least bill.
    pub bill: i64,
    /// What the last of them saves; null for the fewest.
    pub saves: Option<i64>,
}

/// The week for a cap on foods to buy.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CapShape {
    /// Most foods to buy (or families of them, as the kitchen counts).
    pub most: i64,
    /// The kitchen's own cap.
    pub own: bool,
    /// The week.
    pub case: CaseShape,
}

/// The week for a number of eaters.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct EatersShape {
    /// Portions every day.
    pub eaters: i64,
    /// The kitchen's own number.
    pub own: bool,
    /// Bill over portions.
    pub bill_a_portion: Option<Exact>,
    /// Value spoiled over bill.
    pub spoiled_share: Option<Exact>,
    /// The week.
    pub case: CaseShape,
}

/// Other weeks.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OthersShape {
    /// The next best, in order.
    pub next: Vec<CaseShape>,
    /// Proved: there are no others.
    pub no_more: bool,
    /// How much worse than the best a week of `far` may be.
    pub margin: Exact,
    /// As unlike the chosen week and one another as can be.
    pub far: Vec<FarShape>,
}

/// A week unlike those before it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FarShape {
    /// Most lunches it shares with any one before it; none within the margin shares fewer.
    pub shares: usize,
    /// The week.
    pub case: CaseShape,
}

/// Between which prices of a pack the week stays best.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PriceShape {
    /// The food.
    pub food: String,
    /// The pack's label.
    pub pack: String,
    /// Where it costs that, if the kitchen names shops.
    pub shop: Option<String>,
    /// Its price.
    pub price: i64,
    /// The lower end.
    pub low: EndShape,
    /// The upper end.
    pub high: EndShape,
}

/// An end of a range.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct EndShape {
    /// Proved: the week is best at this price and all between it and the present one.
    pub price: i64,
    /// The end is exact, or nothing takes over as far as was asked.
    pub settled: bool,
    /// One minor unit further out the week costs more than the budget.
    pub over_budget: bool,
    /// What is best one minor unit further out; null if nothing takes over.
    pub beyond: Option<CaseShape>,
}

/// A food to buy of the week.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ReuseShape {
    /// The food.
    pub food: String,
    /// Label and count of the packs bought.
    pub packs: Vec<(String, i64)>,
    /// Price of them.
    pub price: i64,
    /// Milligrams bought.
    pub bought_mg: i64,
    /// Milligrams taken from what is on hand.
    pub on_hand_mg: i64,
    /// What no lunch takes.
    pub left_mg: i64,
    /// What each lunch takes.
    pub lunches: Vec<ShareShape>,
    /// Lunches served for each pack bought; null if none is.
    pub lunches_a_pack: Option<Exact>,
    /// Price over lunches served.
    pub price_a_lunch: Exact,
}

/// What a lunch takes of a food.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ShareShape {
    /// The lunch.
    pub day: i32,
    /// Milligrams.
    pub mg: i64,
    /// Of all there is, rounded down.
    pub share: Exact,
}

/// A ripening fruit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FruitShape {
    /// The fruit.
    pub food: String,
    /// In the chosen week; if not, all below is of the best week that has it.
    pub in_week: bool,
    /// That week, against the chosen one.
    pub case: CaseShape,
    /// What is bought of it.
    pub bought: Vec<RipenedShape>,
    /// The plan would still do if it ripened a day early.
    pub holds_early: bool,
    /// The best week if it ripens a day early, against the one that has it.
    pub early: Option<CaseShape>,
    /// What is bought of it in that week.
    pub bought_early: Vec<RipenedShape>,
    /// The plan would still do if it ripened a day late.
    pub holds_late: bool,
    /// The best week if it ripens a day late, against the one that has it.
    pub late: Option<CaseShape>,
    /// What is bought of it in that week.
    pub bought_late: Vec<RipenedShape>,
}

/// Fruit of one stage bought on one trip.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RipenedShape {
    /// The pack's label.
    pub pack: String,
    /// Ripeness at purchase.
    pub stage: Option<String>,
    /// Packs.
    pub count: i64,
    /// The trip's day.
    pub bought_on: i32,
    /// First day a unit may be cut.
    pub first: i32,
    /// Last day a unit may be cut.
    pub last: i32,
    /// Days units are cut.
    pub cut: Vec<i32>,
    /// Days from the last cut to the last day allowed.
    pub slack_days: i32,
}
