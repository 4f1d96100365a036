//! Money: what the week adds up to (section 5 of the model).
//!
//! Every remainder is kept or spoiled, never both: an opened unit is kept when it is still
//! good on the carry day after this opening, an untouched one when its own window reaches
//! the carry day. That holds for units on hand too, also for those no lunch touches. Every
//! sum is checked: a week too large to add up exactly is refused, not rounded.

use std::collections::BTreeMap;
use std::ops::{Add, AddAssign, Mul, Sub};

use super::case::Case;
use super::packs::{Terms, drawn, units_opened};
use super::{Tally, minutes, wishes};
use crate::larder::wishes::Preferred;
use crate::larder::{NANO, StockId};
use crate::plan::Lot;

/// A sum that remembers having grown too large.
#[derive(Clone, Copy)]
struct Exact(Option<i128>);

impl<T: Into<i128>> From<T> for Exact {
    fn from(value: T) -> Self {
        Self(Some(value.into()))
    }
}

impl Exact {
    const ZERO: Self = Self(Some(0));

    fn with(self, other: Self, operation: fn(i128, i128) -> Option<i128>) -> Self {
        Self(self.0.zip(other.0).and_then(|(a, b)| operation(a, b)))
    }

    fn whole(self) -> Option<i64> {
        self.0.and_then(|value| i64::try_from(value).ok())
    }
}

impl Add for Exact {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.with(other, i128::checked_add)
    }
}

impl AddAssign for Exact {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Exact {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.with(other, i128::checked_sub)
    }
}

impl Mul for Exact {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.with(other, i128::checked_mul)
    }
}

/// Returns the sums, or `None` if one is too large to be exact.
pub(super) fn tally(case: &Case) -> Option<Tally> {
    let larder = case.larder;
    let mut packs = Exact::ZERO;
    for purchase in &case.plan.purchases {
        let price = larder.packs[purchase.pack.index()].price_minor;
        packs += Exact::from(price) * purchase.count.into();
    }
    let mut staples = Exact::ZERO;
    for (&(food, _), &mg) in &case.used {
        let food = &larder.foods[food.index()];
        if food.staple {
            staples += Exact::from(mg) * food.staple_value_nano.into();
        }
    }
    let (mut active, mut watched) = (Exact::ZERO, Exact::ZERO);
    for day in 0..=larder.week.lunches {
        active += minutes::of_day(case, day).into();
        if larder.wishes.asks_for_watched() {
            watched += minutes::watched_on(case, day).into();
        }
    }
    let mut preferences = Exact::ZERO;
    for served in case.lunches() {
        for preference in &larder.wishes.preferences {
            let concerns = match preference.whom {
                Preferred::Form(form) => served.recipe.form == form,
                Preferred::Recipe(recipe) => served.lunch.recipe == recipe,
            };
            // A day written twice is one day.
            if concerns && preference.days.contains(&served.day) {
                preferences += preference.price_minor.into();
            }
        }
    }
    let mut trips: Vec<_> = case.plan.purchases.iter().map(|buy| buy.trip).collect();
    trips.sort_unstable();
    trips.dedup();
    // The first is made whatever is bought on it, and costs nothing.
    let later = || trips.iter().filter(|&&trip| trip > 0);
    let later_trips = later().count() as i64;
    let mut going = Exact::ZERO;
    for &trip in later() {
        let own = larder.week.trips[usize::from(trip)].going_minor;
        going += own.unwrap_or(larder.wishes.trip_price_minor).into();
    }
    let foods = wishes::foods_bought(case).len() as i64;
    let [spoiled, kept] = remainders(case);

    let aims = &larder.wishes;
    let nano = Exact::from(NANO);
    let objective = packs * nano
        + staples
        + spoiled.weighted
        + Exact::from(aims.food_price_minor) * foods.into() * nano
        + Exact::from(aims.minute_price_minor) * active
        + Exact::from(aims.watch_price_minor) * watched
        + going * nano
        + preferences * nano
        - kept.weighted;
    Some(Tally {
        packs_minor: packs.whole()?,
        staples_nano: staples.whole()?,
        spoiled_nano: spoiled.value.whole()?,
        kept_nano: kept.value.whole()?,
        spoil_cost_nano: spoiled.weighted.whole()?,
        keep_credit_nano: kept.weighted.whole()?,
        foods,
        families: wishes::families_bought(case) as i64,
        minutes_nano: active.whole()?,
        watched_nano: watched.whole()?,
        later_trips,
        going_minor: going.whole()?,
        preferences_minor: preferences.whole()?,
        objective_nano: objective.whole()?,
    })
}

/// What is left over: its value, and that times its weight in the objective.
#[derive(Clone, Copy)]
struct LeftOver {
    value: Exact,
    weighted: Exact,
}

/// Returns what spoils and what is kept, in 1e-9 minor units.
fn remainders(case: &Case) -> [LeftOver; 2] {
    let wishes = &case.larder.wishes;
    let carry_day = i64::from(case.larder.week.carry_day);
    let nothing = LeftOver {
        value: Exact::ZERO,
        weighted: Exact::ZERO,
    };
    let mut sums = [nothing; 2];
    let mut add = |good: i64, mg: Exact, terms: &Terms| {
        let kept = good >= carry_day;
        let price = if kept {
            wishes.keep_credit_nano(terms.value_nano)
        } else {
            wishes.spoil_price_nano(terms.value_nano)
        };
        let sum = &mut sums[usize::from(kept)];
        sum.value += mg * terms.value_nano.into();
        sum.weighted += mg * price.into();
    };
    for opening in &case.plan.openings {
        let terms = Terms::of(case, opening.lot);
        let left = Exact::from(terms.holds(opening)) - drawn(opening).into();
        add(terms.good(i64::from(opening.day)), left, &terms);
    }
    // Units owned of each lot, less those opened.
    let mut untouched: BTreeMap<Lot, Exact> = BTreeMap::new();
    for purchase in &case.plan.purchases {
        let units = case.larder.packs[purchase.pack.index()].units;
        let lot = Lot::Bought(purchase.pack, purchase.trip);
        untouched.insert(lot, Exact::from(units) * purchase.count.into());
    }
    for index in 0..case.larder.stock.len() {
        untouched.insert(Lot::Stock(StockId::new(index)), 1.into());
    }
    let opened = units_opened(case);
    for (lot, units) in untouched {
        let terms = Terms::of(case, lot);
        let left = units - opened.get(&lot).copied().unwrap_or(0).into();
        add(terms.good_untouched(), left * terms.unit_mg.into(), &terms);
    }
    sums
}
