//! What the first screen of a week shows of foods: what each purchase leaves, what comes from the
//! house, what is thrown out, which trifles are not worth a word.

use super::days::When;
use super::leftovers::{Fate, LeftoverFacts, Origin, is_trifle};
use super::measured::Measured;
use super::shopping::PurchaseFacts;
use crate::larder::Currency;

/// Foods at a glance.
#[derive(Clone, Debug, Default)]
pub struct Glance {
    /// What each purchase leaves, in the order of the week's purchases.
    pub bought: Vec<Vec<Rest>>,
    /// What was on hand and is used, in the order of the leftovers.
    pub house: Vec<FromHouse>,
    /// What is thrown out, the dearest first, each food once.
    pub thrown: Vec<Thrown>,
}

/// What is left of units in one state.
#[derive(Clone, Debug)]
pub struct Rest {
    /// How much, and what measures of it weigh.
    pub measured: Measured,
    /// Last day it is good.
    pub good_until: When,
    /// Gone before the first day of the next cycle.
    pub spoils: bool,
    /// Under five grams, or worth less than five hundredths.
    pub trifle: bool,
}

/// Something on hand that the week uses.
#[derive(Clone, Debug)]
pub struct FromHouse {
    /// The food.
    pub food: String,
    /// Milligrams used.
    pub used_mg: i64,
    /// What is left, if anything is.
    pub rest: Option<Rest>,
}

/// A food thrown out.
#[derive(Clone, Debug)]
pub struct Thrown {
    /// The food.
    pub food: String,
    /// Milligrams.
    pub mg: i64,
    /// Value, 1e-9 minor units.
    pub value_nano: i64,
    /// As of [`Rest`].
    pub trifle: bool,
}

pub(super) fn glance(
    currency: &Currency,
    purchases: &[PurchaseFacts],
    leftovers: &[LeftoverFacts],
) -> Glance {
    let trifle = |mg: i64, nano: i64| is_trifle(currency, mg, nano);
    let rest = |left: &LeftoverFacts| Rest {
        measured: left.measured.clone(),
        good_until: left.good_until.clone(),
        spoils: left.fate == Fate::Spoiled,
        trifle: trifle(left.left_mg, left.value_nano),
    };
    let of = |row: &PurchaseFacts| {
        let mine = leftovers.iter().filter(|left| {
            left.food == row.food
                && left.pack == row.pack
                && left.stage == row.stage
                && matches!(&left.origin, Origin::Bought(trip)
                    if (&trip.when, &trip.shop) == (&row.bought_on, &row.shop))
        });
        let left = mine.filter(|left| left.left_mg > 0);
        left.map(rest).collect()
    };
    let house = leftovers
        .iter()
        .filter(|left| left.origin == Origin::Stock && left.used_mg > 0);
    let mut thrown: Vec<Thrown> = Vec::new();
    for left in leftovers.iter().filter(|left| left.fate == Fate::Spoiled) {
        match thrown.iter_mut().find(|one| one.food == left.food) {
            Some(one) => {
                one.mg += left.left_mg;
                one.value_nano += left.value_nano;
            }
            None => thrown.push(Thrown {
                food: left.food.clone(),
                mg: left.left_mg,
                value_nano: left.value_nano,
                trifle: false,
            }),
        }
    }
    for one in &mut thrown {
        one.trifle = trifle(one.mg, one.value_nano);
    }
    thrown.sort_by_key(|one| (std::cmp::Reverse(one.value_nano), one.food.clone()));
    Glance {
        bought: purchases.iter().map(of).collect(),
        house: house
            .map(|left| FromHouse {
                food: left.food.clone(),
                used_mg: left.used_mg,
                rest: (left.left_mg > 0).then(|| rest(left)),
            })
            .collect(),
        thrown,
    }
}
