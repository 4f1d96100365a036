//! Why no week exists, as data: rules that cannot hold together, and the ways out.
//!
//! They are found by [`crate::tradeoffs`], which solves changed larders.

use super::{Sums, When};
use crate::larder::{CapBy, CreditRule, NutrientRule};

/// Rules that cannot hold together.
#[derive(Clone, Debug)]
pub struct Conflict {
    /// Impossible together, whatever the other rules say; any one of them given up, the rest
    /// of these allow a week. Empty if the recipes, packs and keeping times alone leave none.
    pub rules: Vec<Clash>,
    /// Changes that make a week possible with all other rules in force, each by itself; the
    /// cheapest week first.
    pub ways: Vec<WayOut>,
    /// Whether all ways were settled: false means that there may be others.
    pub ways_settled: bool,
    /// Where there is no such way: two changes that make a week possible together; the
    /// cheapest week first, those whose best week was not settled last.
    pub pairs: Vec<WayOut>,
    /// Whether all pairs were settled: false means that there may be others.
    pub pairs_settled: bool,
    /// Fewer recipes may be served than the lunches need, if that is so.
    pub too_few: Option<TooFew>,
}

/// Fewer recipes than the lunches need, whatever the packs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooFew {
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

/// A change, or two together, that make a week possible.
#[derive(Clone, Debug)]
pub struct WayOut {
    /// What is changed.
    pub how: How,
    /// What is changed too: none for a way by itself.
    pub and: Option<How>,
    /// The rule as it stands, where `how` puts another number in the place of the one it has.
    pub asked: Option<Clash>,
    /// Proved that nothing nearer to the rule as it stands lets a week in; false of two changes,
    /// of which no one is the nearest.
    pub nearest: bool,
    /// The recipe of each lunch of the week it allows.
    pub lunches: Vec<(When, String)>,
    /// The sums of that week.
    pub sums: Sums,
    /// The week is proved the best it allows.
    pub best: bool,
    /// No week it allows has a smaller objective, 1e-9 minor units; none if nothing is proved.
    pub least_nano: Option<i64>,
}

/// A change.
#[derive(Clone, Debug)]
pub enum How {
    /// The rule looser, as it would be.
    Looser(Clash),
    /// The rule given up.
    Without(Clash),
    /// One more shopping trip.
    Trip(When),
}

/// A rule, as it stands.
#[derive(Clone, Debug)]
pub enum Clash {
    /// Most lunches of a form.
    PerForm(i64),
    /// No form on neighbouring days.
    FormsApart,
    /// Most lunches of a main protein.
    PerProtein(i64),
    /// Highest sameness of two recipes, thousandths.
    Sameness(i64),
    /// Highest sameness of neighbours, thousandths.
    SamenessAdjacent(i64),
    /// Most times one recipe may appear.
    Repeats(i64),
    /// Most active minutes on some days, 1e-9.
    Minutes {
        /// The days with this limit.
        days: Vec<When>,
        /// The limit.
        limit_nano: i64,
    },
    /// Most minutes in the kitchen, one thing after another, on some days, 1e-9.
    KitchenMinutes {
        /// The days with this limit.
        days: Vec<When>,
        /// The limit.
        limit_nano: i64,
    },
    /// The days on which batches may be cooked.
    CookOn(Vec<When>),
    /// A floor or ceiling.
    Nutrition(NutrientRule),
    /// A floor or ceiling on a food group, or a share of energy.
    Credit(CreditRule),
    /// Most counted foods or families.
    Cap(i64, CapBy),
    /// Most money, minor units.
    Budget(i64),
    /// Recipes of so many last weeks rest.
    Rest(usize),
    /// A ban, by name.
    Without(String),
    /// A pin: name, and day if one is named.
    With(String, Option<String>),
    /// Days a batch keeps.
    Keeps(String, i32),
    /// Days a pack keeps once opened.
    Opened(String, i32),
    /// Last day after purchase on which a unit may be opened.
    ReadyTo(String, i32),
    /// First day after purchase on which a unit may be opened.
    ReadyFrom(String, i32),
}
