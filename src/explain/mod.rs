//! Turns larder, outcome and effort into an [`Explanation`]: the week told as data.
//!
//! Everything a report prints is computed here, from the larder, the plan and the judge's
//! [`Tally`](crate::rules::Tally) alone; nothing is taken from the search. Names are resolved and sums made, so a
//! report only chooses words and columns. Units are in the field names, as in
//! [`crate::larder`].

mod advice;
mod batches;
mod cases;
mod changes;
mod conflict;
mod cook;
mod credits;
mod days;
mod dish;
mod finishers;
mod glance;
mod handed;
mod leftovers;
mod lunches;
mod measured;
mod misses;
mod nutrition;
mod objective;
mod prep;
mod publish;
mod row;
mod shopping;
pub(crate) mod spoken;
mod standing;
mod uses;
mod week;

pub use advice::{AdviceFacts, Advised};
pub use batches::{BatchFacts, DayMinutes, KitchenDay, kitchen_time};
pub use cases::{Asked, Brief, BriefLunch, Case, LineSwitch, Proof, Switch, Telling};
pub use changes::{Changes, Differences, LunchChange, Sums};
pub use conflict::{Clash, Conflict, How, TooFew, WayOut};
pub use cook::{CookFacts, RecipeFacts, ReuseRow};
pub use credits::{CreditFacts, CreditLimit};
pub use days::{TripFacts, When};
pub use dish::{BatchRecipe, Collection, Dish, collection, dishes, of_week};
pub use finishers::{FinishedLunch, FinisherFacts, FinisherLine, OfferFacts};
pub use glance::{FromHouse, Glance, Rest, Thrown};
pub use handed::{HandedOn, kept};
pub use leftovers::{Fate, LeftoverFacts, LeftoverTotals, Origin, is_trifle};
pub use lunches::{LineFacts, LunchFacts};
pub use measured::{Measured, MeasuredLine, Taken};
pub use misses::{BetterYield, Misses, Room, Short};
pub use nutrition::{Amount, NutrientFacts};
pub use objective::{AimFacts, Parts};
pub use prep::{GoesIn, NoteFacts, NoteOf, PrepDay, PrepFacts, StintFacts, TaskFacts, Time, Told};
pub use publish::{FoldedBatch, Substitute};
pub use row::{Row, RowSums, RowWeek};
pub use shopping::{PurchaseFacts, StapleFacts};
pub use standing::{Held, Standing};
pub use week::{Verdict, WeekFacts, week};

use std::collections::BTreeMap;

use crate::engine::{Effort, Outcome, Solved};
use crate::finish::Finished;
use crate::larder::{Currency, FoodId, Larder};
use crate::plan::Plan;

/// Everything a report says.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money here.
    pub currency: Currency,
    /// Lunch days with their eaters in thousandths of a portion.
    pub days: Vec<(When, i64)>,
    /// Shopping trips, in order; the position is the trip.
    pub trips: Vec<TripFacts>,
    /// First day of the next cycle: what is good on it is kept.
    pub carry: When,
    /// What was proved.
    pub verdict: Verdict,
    /// The week, if one was found.
    pub week: Option<WeekFacts>,
    /// Work done.
    pub effort: Effort,
    /// What the options of the run changed, if there are any.
    pub changes: Option<Changes>,
    /// Rules that cannot hold together, if there is no week and they were looked for.
    pub conflict: Option<Conflict>,
    /// What a cook would ask about first, and what comes of it; empty if it was not asked.
    pub telling: Vec<Telling>,
    /// By how little purchases could have been smaller; none if it was not asked.
    pub misses: Option<Misses>,
    /// What finishers the week can have, if they were asked for.
    pub finishers: Option<FinisherFacts>,
    /// What is done when, if it was asked for.
    pub prep: Option<PrepFacts>,
    /// What the week hands to the next, if there is one.
    pub handed: Option<HandedOn>,
}

impl Explanation {
    /// Takes back the claim of a proof: a general solver found this week.
    #[must_use]
    pub fn by_solver(mut self) -> Self {
        self.verdict = Verdict::Judged;
        self
    }
}

/// Explains a run.
pub fn explain(larder: &Larder, outcome: &Outcome, effort: Effort) -> Explanation {
    let (verdict, solved) = match outcome {
        Outcome::Best(solved) => (Verdict::Best, Some(solved)),
        Outcome::Good { solved, bound_nano } => (
            Verdict::Good {
                bound_nano: *bound_nano,
            },
            Some(solved),
        ),
        Outcome::Impossible => (Verdict::Impossible, None),
        Outcome::OutOfTime { bound_nano } => (
            Verdict::OutOfTime {
                bound_nano: *bound_nano,
            },
            None,
        ),
    };
    Explanation {
        kitchen: larder.name.clone(),
        currency: larder.currency.clone(),
        days: (1..)
            .zip(&larder.week.eaters_milli)
            .map(|(day, &eaters)| (When::new(larder, day), eaters))
            .collect(),
        trips: larder
            .week
            .trips
            .iter()
            .map(|trip| TripFacts::of(larder, trip))
            .collect(),
        carry: When::new(larder, larder.week.carry_day),
        verdict,
        week: solved.map(|Solved { plan, tally }| week(larder, plan, tally)),
        effort,
        changes: None,
        conflict: None,
        telling: Vec::new(),
        misses: None,
        finishers: None,
        prep: None,
        handed: solved.map(|solved| handed::handed(larder, &solved.plan)),
    }
}

impl Explanation {
    /// Adds the finishers placed on the week.
    #[must_use]
    pub fn finished_with(mut self, larder: &Larder, finished: &Finished) -> Self {
        self.finishers = Some(finishers::finishers(larder, finished));
        // What finishers take is not handed on.
        let before = self.handed.map(|handed| handed.before);
        self.handed = Some(HandedOn {
            before: before.unwrap_or_default(),
            ..handed::handed(larder, &finished.plan)
        });
        self
    }

    /// Adds the recipes of the weeks before, the latest week first.
    #[must_use]
    pub fn after(mut self, weeks: &[Vec<String>]) -> Self {
        if let Some(handed) = &mut self.handed {
            handed.before = weeks.to_vec();
        }
        self
    }

    /// Adds what is done when.
    #[must_use]
    pub fn prepared_with(mut self, larder: &Larder, plan: &Plan, told: &Told) -> Self {
        self.prep = Some(prep::prep(larder, plan, told));
        self
    }

    /// Adds what changed from `before`, the same kitchen without the options of `asked`, of which
    /// `banned` are the bans.
    #[must_use]
    pub fn compared_with(mut self, asked: Vec<String>, banned: Vec<String>, before: &Self) -> Self {
        self.changes = Some(changes::changes(
            asked,
            banned,
            (before.verdict, before.week.as_ref()),
            (self.verdict, self.week.as_ref()),
        ));
        self
    }
}

/// Returns the milligrams of each food eaten at each lunch by all eaters, components
/// resolved; index 0 is day 1.
pub fn eaten(larder: &Larder, plan: &Plan) -> Vec<BTreeMap<FoodId, i64>> {
    uses::Uses::new(larder, plan).lunches
}

/// Returns what is left of each pack, by food.
pub fn left_of(larder: &Larder, plan: &Plan) -> Vec<LeftoverFacts> {
    leftovers::leftovers(larder, plan).0
}
