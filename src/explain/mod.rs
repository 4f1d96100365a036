//! Turns larder, outcome and effort into an [`Explanation`]: the week told as data.
//!
//! Everything a report prints is computed here, from the larder, the plan and the judge's
//! [`Tally`] alone; nothing is taken from the search. Names are resolved and sums made, so a
//! report only chooses words and columns. Units are in the field names, as in
//! [`crate::larder`].

mod advice;
mod batches;
mod cases;
mod changes;
mod conflict;
mod cook;
mod credits;
mod dish;
mod finishers;
mod glance;
mod handed;
mod leftovers;
mod lunches;
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

pub use advice::{AdviceFacts, Advised};
pub use batches::{BatchFacts, DayMinutes, KitchenDay, kitchen_time};
pub use cases::{Asked, Brief, BriefLunch, Case, LineSwitch, Proof, Switch, Telling};
pub use changes::{Changes, Differences, LunchChange, Sums};
pub use conflict::{Clash, Conflict, How, TooFew, WayOut};
pub use cook::{CookFacts, Measured, MeasuredLine, RecipeFacts, ReuseRow};
pub use credits::{CreditFacts, CreditLimit};
pub use dish::{BatchRecipe, Collection, Dish, collection, dishes, of_week};
pub use finishers::{FinishedLunch, FinisherFacts, FinisherLine, OfferFacts};
pub use glance::{FromHouse, Glance, Rest, Thrown, is_trifle};
pub use handed::{HandedOn, kept};
pub use leftovers::{Fate, LeftoverFacts, LeftoverTotals, Origin};
pub use lunches::{LineFacts, LunchFacts, Taken};
pub use misses::{BetterYield, Misses, Room, Short};
pub use nutrition::{Amount, NutrientFacts};
pub use objective::{AimFacts, Parts};
pub use prep::{GoesIn, NoteFacts, NoteOf, PrepDay, PrepFacts, StintFacts, TaskFacts, Time};
pub use publish::{FoldedBatch, Substitute};
pub use row::{Row, RowSums, RowWeek};
pub use shopping::{PurchaseFacts, StapleFacts};
pub use standing::{Held, Standing};

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::engine::{Effort, Outcome, Solved};
use crate::finish::Finished;
use crate::larder::{Contents, Currency, FoodId, Larder, ShoppingTrip, Trip};
use crate::plan::Plan;
use crate::prep::{Note, Prepared};
use crate::rules::Tally;

/// A day and its name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct When {
    /// Counted from the prep day, which is 0.
    pub day: i32,
    /// What it is called, see [`Calendar::name`](crate::larder::Calendar::name).
    pub name: String,
    /// Its date, where the week has one.
    pub date: Option<NaiveDate>,
}

impl When {
    /// Tells a day of a kitchen's week; the only way one is made.
    pub fn new(larder: &Contents, day: i32) -> Self {
        let calendar = larder.week.calendar;
        Self {
            day,
            name: calendar.name(day),
            date: calendar.date(day),
        }
    }
}

/// A shopping trip, made or not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TripFacts {
    /// Its day.
    pub when: When,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
}

impl TripFacts {
    fn of(larder: &Larder, trip: &ShoppingTrip) -> Self {
        Self {
            when: When::new(larder, i32::from(trip.day)),
            shop: trip.shop.map(|shop| larder.shops[shop.index()].clone()),
        }
    }

    fn new(larder: &Larder, trip: Trip) -> Self {
        Self::of(larder, &larder.week.trips[usize::from(trip)])
    }
}

/// A judged prep plan and what goes with it.
#[derive(Clone, Debug)]
pub struct Told {
    /// The prep plan.
    pub prepared: Prepared,
    /// What is to be seen to besides.
    pub notes: Vec<Note>,
}

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
        self.changes = Some(changes::changes(asked, banned, before, &self));
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

/// Tells the week of a judged plan.
pub fn week(larder: &Larder, plan: &Plan, tally: &Tally) -> WeekFacts {
    let uses = uses::Uses::new(larder, plan);
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
