//! Finds every text in what a report is made of, so that none is printed without being told from
//! the text around it.
//!
//! Each type is taken apart field by field, without `..`: a field that is added does not compile
//! until it stands here too.

use chrono::NaiveDate;

use crate::engine::Effort;
use crate::explain::{
    AdviceFacts, Advised, AimFacts, Amount, Asked, BatchFacts, BatchRecipe, BetterYield, Brief,
    BriefLunch, Case, Changes, Clash, Collection, Conflict, CookFacts, CreditFacts, CreditLimit,
    DayMinutes, Differences, Dish, Explanation, Fate, FinishedLunch, FinisherFacts, FinisherLine,
    FoldedBatch, FromHouse, Glance, GoesIn, HandedOn, Held, How, KitchenDay, LeftoverFacts,
    LeftoverTotals, LineFacts, LineSwitch, LunchChange, LunchFacts, Measured, MeasuredLine, Misses,
    NoteFacts, NoteOf, NutrientFacts, OfferFacts, Origin, Parts, PrepDay, PrepFacts, Proof,
    PurchaseFacts, RecipeFacts, Rest, ReuseRow, Room, Row, RowSums, RowWeek, Short, Standing,
    StapleFacts, StintFacts, Substitute, Sums, Switch, Taken, TaskFacts, Telling, Thrown, Time,
    TooFew, TripFacts, Verdict, WayOut, WeekFacts, When,
};
use crate::finish::Beyond;
use crate::larder::{
    Aim, CapBy, CreditRule, Credited, Currency, FoodId, Nutrient, NutrientRule, Per, Prose, Stock,
};
use crate::rules::Tally;
use crate::table::advice::Advice;
use crate::tradeoffs::{
    self, CapFacts, EatersFacts, ElsewherePrice, End, FarWeek, FoodPrice, Frontier, FrontierPoint,
    FruitFacts, Knee, Others, PriceRange, RecipePrices, Ripened, RulePrice, Share, ShopPrice,
    Shops, Tradeoffs,
};
use crate::unicode;

/// Returns the facts with every name that is written from right to left set as an isolate
/// (UAX #9, 2.4): in whatever sentence it stands, what stands beside it stays where it is.
pub(super) fn isolated<T: Names + Clone>(facts: &T) -> T {
    let mut facts = facts.clone();
    facts.each(&mut |name: &mut String| {
        if let std::borrow::Cow::Owned(isolate) = unicode::isolated(name) {
            *name = isolate;
        }
    });
    facts
}

/// What to do with each text.
pub(super) type Do<'a> = dyn FnMut(&mut String) + 'a;

/// Something that holds texts.
pub(super) trait Names {
    /// Does it to every text.
    fn each(&mut self, then: &mut Do);
}

impl Names for String {
    fn each(&mut self, then: &mut Do) {
        then(self);
    }
}

impl<T: Names> Names for Option<T> {
    fn each(&mut self, then: &mut Do) {
        for one in self.iter_mut() {
            one.each(then);
        }
    }
}

impl<T: Names> Names for Vec<T> {
    fn each(&mut self, then: &mut Do) {
        for one in self.iter_mut() {
            one.each(then);
        }
    }
}

impl<A: Names, B: Names> Names for (A, B) {
    fn each(&mut self, then: &mut Do) {
        self.0.each(then);
        self.1.each(then);
    }
}

impl<A: Names, B: Names, C: Names> Names for (A, B, C) {
    fn each(&mut self, then: &mut Do) {
        self.0.each(then);
        self.1.each(then);
        self.2.each(then);
    }
}

/// What cannot hold a text.
macro_rules! without_names {
    ($($type:ty),* $(,)?) => {$(
        impl Names for $type {
            fn each(&mut self, _: &mut Do) {}
        }
    )*};
}

without_names!(
    NaiveDate,
    i64,
    i32,
    u64,
    u8,
    usize,
    bool,
    Aim,
    CapBy,
    Fate,
    FoodId,
    Nutrient,
    Per,
    Proof,
    Time,
    Verdict,
    &'static Advice
);

/// Structures: every field by name.
macro_rules! structures {
    ($($type:ty { $($field:ident),* $(,)? })*) => {$(
        impl Names for $type {
            fn each(&mut self, then: &mut Do) {
                let Self { $($field),* } = self;
                $($field.each(then);)*
            }
        }
    )*};
}

structures! {
    When { day, name, date }
    Currency { code, digits }
    Effort { nodes, work, leaves }
    Tally {
        packs_minor, staples_nano, spoiled_nano, kept_nano, foods, families, minutes_nano,
        watched_nano,
        later_trips, going_minor, preferences_minor, objective_nano, spoil_cost_nano, keep_credit_nano,
    }
    Stock {
        food, label, left_mg, opened, ready_from, ready_to, open_life, end, value_nano,
    }
    NutrientRule { nutrient, per, at_least_milli, at_most_milli, source }
    CreditRule { what, per, at_least_micro, at_most_micro, source, figures_micro }
    Explanation {
        kitchen, currency, days, trips, carry, verdict, week, effort, changes, conflict, telling, misses,
        finishers, prep, handed,
    }
    WeekFacts {
        lunches, purchases, staples, batches, minutes, kitchen, leftovers, leftover_totals, nutrition,
        credits, sources, parts, aims, standings, tally, cook, advice, glance,
    }
    Glance { bought, house, thrown }
    Rest { measured, good_until, spoils, trifle }
    FromHouse { food, used_mg, rest }
    Thrown { food, mg, value_nano, trifle }
    AdviceFacts { advice, of }
    Advised { when, batch, thing, foods }
    BatchFacts {
        component, when, mg, serves, keeps_until, oldest_days, minutes_nano, passive_minutes,
        needs, foods,
    }
    DayMinutes { when, minutes_nano, limit_nano }
    KitchenDay { when, minutes_nano, limit_nano }
    Brief { sums, lunches, bought }
    BriefLunch { when, recipe, taking }
    Switch { leave, come, lines, moved, dropped, added }
    LineSwitch { recipe, was, is }
    Case { proof, week, more, least_nano, switch }
    Telling { what, case, insist }
    Changes { asked, banned, before_verdict, after_verdict, before, after, differences }
    Differences { lunches, dropped, added }
    Beyond { cap, budget }
    Sums { packs_minor, foods, spoiled_nano, minutes_nano, objective_nano }
    LunchChange { when, before, after, lines }
    Conflict { rules, ways, ways_settled, pairs, pairs_settled, too_few }
    TooFew { recipes, banned, resting, without_day, left, repeats, lunches, needed }
    WayOut { how, and, asked, nearest, lunches, sums, best, least_nano }
    CookFacts { lunches, batches, reuse, monday }
    Collection { kitchen, currency, of_week, dishes, batches, left_out }
    Dish { when, recipe, lunch, nutrition, advice, finish }
    BatchRecipe { recipe, makes_mg, keeps, minutes_nano, passive_minutes, allergens, advice }
    RecipeFacts { name, when, lines, steps, needs, batches, substitutes, prose }
    FoldedBatch { name, amount, lines, steps, passive_minutes, minutes_nano }
    Substitute { taken, other, written, portion, more_nano, more_milli }
    Prose { author, description, picture, story, servings, storage }
    MeasuredLine { taken, instead_of, cooked_on, amount }
    Measured { mg, cup_mg, counted }
    ReuseRow { food, lunches_mg }
    CreditFacts { what, lunches, week_milli, limits }
    CreditLimit { per, at_least_milli, at_most_milli, source }
    FinisherFacts {
        lunches, appeal, bought, offers, proved, packs_minor, bought_minor, foods, leftovers,
        leftover_totals,
    }
    FinishedLunch { when, recipe, placed, left_off, new_allergens }
    FinisherLine { food, written, all_mg, amount, appeal, staple }
    OfferFacts { food, pack, count, trip, when, shop, price_minor, gain, lifts, beyond }
    HandedOn { kept, kept_nano, on_hand_nano, on_hand_units, totals, before }
    LeftoverFacts {
        food, pack, stage, origin, loose, units, pack_units, had_mg, used_mg, left_mg, value_nano,
        had_nano, draws, opened_on, good_until, fate, measured,
    }
    LeftoverTotals { had_mg, used_mg, kept_mg, spoiled_mg, kept_nano, spoiled_nano }
    LunchFacts {
        when, recipe, form, protein, eaters_milli, minutes_nano, cost_nano, portion_cost_nano,
        lines, allergens,
    }
    LineFacts { taken, written, portion_mg, portion, all_mg, choices, instead_of }
    NutrientFacts { nutrient, lunches, mean_milli, missing, rules }
    Amount { when, milli, incomplete }
    Parts {
        packs_nano, staples_nano, spoiled_nano, foods_nano, minutes_nano, watched_nano,
        trips_nano,
        preferences_nano, carry_nano, total_nano,
    }
    AimFacts { aim, reached }
    PrepFacts { stints, length, waiting, days, bound, notes }
    PrepDay { when, length, waiting }
    StintFacts { when, time, length, bound, active, over, tasks, waits }
    TaskFacts {
        of, lunches, text, verb, food, amounts, start, done, end, needs, beside, as_early_as, ahead_of,
    }
    GoesIn { name, amount, named }
    NoteFacts { when, of }
    Row { kitchen, currency, asked, refused_weeks, priced_weeks, weeks }
    RowWeek { number, starts, told, sums }
    RowSums {
        bill_minor, finishers_minor, foods, staples_nano, minutes_nano, objective_nano,
        on_hand_nano, spoiled_nano, lost_nano, kept_nano, on_hand_mg, bought_mg, used_mg,
        spoiled_mg, lost_mg, kept_mg,
    }
    PurchaseFacts {
        number, food, family, pack, stage, loose, count, ap_mg, mg, each_minor, price_minor, trip,
        bought_on, shop, serves,
    }
    TripFacts { when, shop }
    StapleFacts { food, mg, measured, tap, cost_nano, serves }
    Standing { held, reached, limit }
    Tradeoffs {
        kitchen, currency, days, proof, order, week, conflict, rules, foods, recipes, frontier,
        caps, eaters, others, ranges, reuse, misses, ripening, shops, solved, none, settled,
    }
    CapFacts { most, by, own, case }
    EatersFacts { eaters, own, case, bill_per_portion_nano, spoiled_share_milli }
    Frontier { points, complete, has_chosen, knees }
    FrontierPoint { bill_minor, foods, spoiled_nano, chosen, beats_chosen, week }
    Knee { foods, bill_minor, saves_minor }
    Others { next, wanted, no_more, margin_nano, far }
    FarWeek { case, shared }
    RulePrice { rule, without, looser, free }
    FoodPrice { food, bought, without }
    RecipePrices { left_out, kept }
    PriceRange { food, pack, shop, price_minor, low, high }
    End { price_minor, beyond, over_budget, settled }
    tradeoffs::ReuseRow {
        food, packs, price_minor, bought_mg, on_hand_mg, shares, over_mg, lunches_per_pack_milli,
        price_per_lunch_nano,
    }
    Misses { short, room }
    BetterYield { now, least, saves_minor }
    Short { food, pack, fewer, used_mg, less_mg, kept, of, saves_minor, better }
    Room { food, when, more_mg, saves_nano }
    Share { when, mg, share_milli }
    FruitFacts {
        food, in_week, case, bought, early, bought_early, holds_early, late, bought_late,
        holds_late,
    }
    Shops { shops, packs }
    ShopPrice { shop, days, bill_minor, without }
    ElsewherePrice { food, pack, shop, each_minor, others, without }
    Ripened { pack, stage, count, bought_on, first, last, cut, slack_days }
}

impl Names for Asked {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Looser(rule) | Self::Dropped(rule) => rule.each(then),
            Self::Without { food, lunches: _ } => then(food),
            Self::Others => {}
        }
    }
}

impl Names for Clash {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::FormsApart
            | Self::PerForm(_)
            | Self::PerProtein(_)
            | Self::Sameness(_)
            | Self::SamenessAdjacent(_)
            | Self::Repeats(_)
            | Self::Cap(_, _)
            | Self::Budget(_)
            | Self::Rest(_) => {}
            Self::Minutes {
                days,
                limit_nano: _,
            }
            | Self::KitchenMinutes {
                days,
                limit_nano: _,
            }
            | Self::CookOn(days) => days.each(then),
            Self::Nutrition(rule) => rule.each(then),
            Self::Credit(rule) => rule.each(then),
            Self::With(name, day) => {
                then(name);
                day.each(then);
            }
            Self::Without(name)
            | Self::Keeps(name, _)
            | Self::Opened(name, _)
            | Self::ReadyTo(name, _)
            | Self::ReadyFrom(name, _) => then(name),
        }
    }
}

impl Names for Credited {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Group { name, unit } => {
                then(name);
                then(unit);
            }
            Self::EnergyShare {
                nutrient: _,
                below_percent: _,
            } => {}
        }
    }
}

impl Names for Held {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Cap(_) | Self::Budget => {}
            Self::Minutes(when) | Self::KitchenMinutes(when) => when.each(then),
            Self::Floor(_, when) | Self::Ceiling(_, when) => when.each(then),
            Self::PerForm(name) | Self::PerProtein(name) => then(name),
        }
    }
}

impl Names for How {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Looser(rule) | Self::Without(rule) => rule.each(then),
            Self::Trip(when) => when.each(then),
        }
    }
}

impl Names for Origin {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Bought(trip) => trip.each(then),
            Self::Stock => {}
        }
    }
}

impl Names for Taken {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Food(name) | Self::Component(name) => then(name),
        }
    }
}

impl Names for NoteOf {
    fn each(&mut self, then: &mut Do) {
        match self {
            Self::Counter {
                food,
                pack,
                stage,
                units: _,
                pack_units: _,
                ripe,
            } => {
                for name in [food, pack, stage] {
                    then(name);
                }
                ripe.each(then);
            }
            Self::Refrigerate {
                food,
                pack,
                units: _,
                pack_units: _,
                until,
            } => {
                for name in [food, pack] {
                    then(name);
                }
                until.each(then);
            }
            Self::Open {
                food,
                pack,
                units: _,
                pack_units: _,
                good_until,
            } => {
                for name in [food, pack] {
                    then(name);
                }
                good_until.each(then);
            }
            Self::CutToday { food } => then(food),
            Self::Apart { dressing, lunch } => {
                for name in [dressing, lunch] {
                    then(name);
                }
            }
            Self::ThrowOut { food, pack, mg: _ } => {
                for name in [food, pack] {
                    then(name);
                }
            }
        }
    }
}
