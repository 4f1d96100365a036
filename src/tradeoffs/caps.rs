//! The week by its cap on foods to buy: what one food more or fewer costs.

use super::base::Base;
use super::change::Change;
use super::desk::{Desk, Question};
use super::facts::Case;
use super::rules::Rule;
use crate::engine::EngineFault;
use crate::larder::{CapBy, Larder};

/// How many foods fewer and more are asked about.
const AROUND: i64 = 2;

/// The week for a cap.
#[derive(Clone, Debug)]
pub struct CapFacts {
    /// Most foods to buy, or families of them.
    pub most: i64,
    /// What is counted.
    pub by: CapBy,
    /// The kitchen's own cap.
    pub own: bool,
    /// The week.
    pub case: Case,
}

/// The caps asked about: around the kitchen's own; where it has none, from what the chosen week buys
/// downwards, as a higher one changes nothing.
fn caps(larder: &Larder, base: &Base) -> Vec<i64> {
    let tally = &base.solved.tally;
    let taken = match larder.wishes.cap_by {
        CapBy::Foods => tally.foods,
        CapBy::Families => tally.families,
    };
    let around = larder.wishes.cap.map(|most| (most - AROUND, most + AROUND));
    let (from, to) = around.unwrap_or((taken - 2 * AROUND, taken));
    (from.max(0)..=to).collect()
}

fn question(larder: &Larder, most: i64) -> Question {
    if larder.wishes.cap == Some(most) {
        Question::default()
    } else {
        Question::one(Change::Limit(Rule::Cap, most))
    }
}

pub(super) fn questions(larder: &Larder, base: &Base) -> Vec<Question> {
    let all = caps(larder, base).into_iter();
    all.map(|most| question(larder, most)).collect()
}

pub(super) fn by_cap(desk: &mut Desk, base: &Base) -> Result<Vec<CapFacts>, EngineFault> {
    let larder = desk.larder;
    let answers = desk.ask_all(&questions(larder, base))?;
    let all = caps(larder, base).into_iter().zip(&answers);
    let facts = all.map(|(most, answer)| CapFacts {
        most,
        by: larder.wishes.cap_by,
        own: larder.wishes.cap == Some(most),
        case: base.case(larder, answer),
    });
    Ok(facts.collect())
}
