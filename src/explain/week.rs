//! What was proved of a week, and everything told of it.

use super::advice::{self, AdviceFacts};
use super::batches::{self, BatchFacts, DayMinutes, KitchenDay};
use super::cook::{self, CookFacts};
use super::credits::{self, CreditFacts};
use super::glance::{self, Glance};
use super::leftovers::{self, LeftoverFacts, LeftoverTotals};
use super::lunches::{self, LunchFacts};
use super::nutrition::{self, NutrientFacts};
use super::objective::{self, AimFacts, Parts};
use super::shopping::{self, PurchaseFacts, StapleFacts};
use super::standing::{self, Standing};
use super::uses::Uses;
use crate::larder::Larder;
use crate::plan::Plan;
use crate::rules::Tally;

/// What the search proved, without the week itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The best week there is, proved.
    Best,
    /// A week, not proved best; none has a smaller objective than the bound.
    Good {
        /// Lower bound, 1e-9 minor units (or of the aim being settled when stopped).
        bound_nano: i64,
    },
    /// A week by a general solver, which works in binary fractions: judged, not proved.
    Judged,
    /// No week keeps all the rules, proved.
    Impossible,
    /// Stopped before any week was found.
    OutOfTime {
        /// Lower bound, 1e-9 minor units.
        bound_nano: i64,
    },
}

/// The week found.
#[derive(Clone, Debug)]
pub struct WeekFacts {
    /// In day order.
    pub lunches: Vec<LunchFacts>,
    /// By trip; within it the food that feeds most lunches first.
    pub purchases: Vec<PurchaseFacts>,
    /// Staples used, by name.
    pub staples: Vec<StapleFacts>,
    /// By day, then component.
    pub batches: Vec<BatchFacts>,
    /// Active minutes of every day that has any or a limit.
    pub minutes: Vec<DayMinutes>,
    /// Minutes in the kitchen, one thing after another; empty if no wish is about them.
    pub kitchen: Vec<KitchenDay>,
    /// Each unit state of each lot, by food.
    pub leftovers: Vec<LeftoverFacts>,
    /// Their sums.
    pub leftover_totals: LeftoverTotals,
    /// Nutrients of a portion of factor 1, in table order.
    pub nutrition: Vec<NutrientFacts>,
    /// Food groups and shares of energy that rules ask for, in the order of the rules.
    pub credits: Vec<CreditFacts>,
    /// Where the nutrient figures of the foods used come from, each once, sorted.
    pub sources: Vec<String>,
    /// The objective broken into its parts.
    pub parts: Parts,
    /// The strict order of aims and what each reached; empty without one.
    pub aims: Vec<AimFacts>,
    /// Rules in force and how near the week stands to each limit.
    pub standings: Vec<Standing>,
    /// The judge's sums.
    pub tally: Tally,
    /// Recipes, reuse and the calendar, for the bench.
    pub cook: CookFacts,
    /// What advice it needs, the gravest first.
    pub advice: Vec<AdviceFacts>,
    /// Foods at a glance, for the first screen.
    pub glance: Glance,
}

/// Tells the week of a judged plan.
pub fn week(larder: &Larder, plan: &Plan, tally: &Tally) -> WeekFacts {
    let uses = Uses::new(larder, plan);
    let nutrition = nutrition::nutrition(larder, plan);
    let minutes = batches::minutes(larder, plan);
    let kitchen = batches::kitchen(larder, plan, &minutes);
    let (leftovers, leftover_totals) = leftovers::leftovers(larder, plan);
    let purchases = shopping::purchases(larder, plan, &uses);
    WeekFacts {
        lunches: lunches::lunches(larder, plan, &uses),
        glance: glance::glance(&larder.currency, &purchases, &leftovers),
        purchases,
        staples: shopping::staples(larder, &uses),
        batches: batches::batches(larder, plan),
        standings: standing::standings(larder, plan, tally, (&minutes, &kitchen), &nutrition),
        minutes,
        kitchen,
        leftovers,
        leftover_totals,
        sources: nutrition::sources(larder, &uses),
        nutrition,
        credits: credits::credits(larder, plan),
        parts: Parts::new(&larder.wishes, tally),
        aims: objective::aims(&larder.wishes, tally),
        tally: tally.clone(),
        cook: cook::cook(larder, plan, &uses),
        advice: advice::advice(larder, plan),
    }
}
