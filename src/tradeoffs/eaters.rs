//! The week for 1 to 8 eaters.

use super::base::Base;
use super::change::Change;
use super::desk::{Answer, Desk, Question};
use super::facts::{Case, Proof};
use crate::engine::EngineFault;
use crate::larder::{Larder, MILLI, NANO};

/// Most eaters asked about.
const MOST: i64 = 8;

/// The week for a number of eaters.
#[derive(Clone, Debug)]
pub struct EatersFacts {
    /// Portions every day.
    pub eaters: i64,
    /// The kitchen's own number, on every day.
    pub own: bool,
    /// The week.
    pub case: Case,
    /// Bill over portions of the week, 1e-9 minor units; rounded half up.
    pub bill_per_portion_nano: Option<i64>,
    /// Value spoiled over bill, thousandths; rounded half up. None without a bill.
    pub spoiled_share_milli: Option<i64>,
}

fn own(larder: &Larder, eaters: i64) -> bool {
    let days = &larder.week.eaters_milli;
    days.iter().all(|&milli| milli == eaters * MILLI)
}

fn question(larder: &Larder, eaters: i64) -> Question {
    if own(larder, eaters) {
        Question::default()
    } else {
        Question::one(Change::Eaters(eaters))
    }
}

pub(super) fn questions(larder: &Larder) -> Vec<Question> {
    (1..=MOST).map(|n| question(larder, n)).collect()
}

pub(super) fn eaters(desk: &mut Desk, base: &Base) -> Result<Vec<EatersFacts>, EngineFault> {
    let larder = desk.larder;
    let answers = desk.ask_all(&questions(larder))?;
    Ok((1..=MOST)
        .zip(&answers)
        .map(|(eaters, answer)| one(larder, base, eaters, answer))
        .collect())
}

fn rounded(value: i128, over: i128) -> i64 {
    ((2 * value + over) / (2 * over)) as i64
}

fn one(larder: &Larder, base: &Base, eaters: i64, answer: &Answer) -> EatersFacts {
    let tally = answer.week.as_ref().map(|week| &week.tally);
    let portions = i128::from(eaters) * i128::from(larder.week.lunches);
    let nano = i128::from(NANO);
    EatersFacts {
        eaters,
        own: own(larder, eaters),
        case: base.case(larder, answer),
        bill_per_portion_nano: tally
            .filter(|_| answer.proof == Proof::Best)
            .map(|tally| rounded(i128::from(tally.packs_minor) * nano, portions)),
        spoiled_share_milli: tally.filter(|tally| tally.packs_minor > 0).map(|tally| {
            let spoiled = i128::from(tally.spoiled_nano) * i128::from(MILLI);
            rounded(spoiled, i128::from(tally.packs_minor) * nano)
        }),
    }
}
