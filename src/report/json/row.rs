//! The shape of weeks in a row as JSON, and its filling.

use schemars::JsonSchema;
use serde::Serialize;

use super::exact::Exact;
use super::fill;
use super::shape::{CurrencyShape, OutcomeWord, Report};
use crate::explain::{Row, RowSums, RowWeek};
use crate::report::row_sentences;

/// Weeks in a row. Money is in minor units of the currency, mass in milligrams.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RowReport {
    /// `best`: every week asked for is proved best given what the weeks before it left. Else
    /// what was proved of the last week told here, with which the row ends.
    pub outcome: OutcomeWord,
    /// What is claimed of the row, and what is not.
    pub claim: String,
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money.
    pub currency: CurrencyShape,
    /// Weeks asked for.
    pub asked: usize,
    /// Recipes of so many last weeks were refused; 0 if none were.
    pub refused_weeks: usize,
    /// Lunches of recipes of so many last weeks had a price; 0 if none had.
    pub priced_weeks: usize,
    /// That price.
    pub again_price: Option<i64>,
    /// The weeks, in order.
    pub weeks: Vec<RowWeekShape>,
    /// Sums of all weeks told.
    pub totals: RowSumsShape,
}

/// A week of the row.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RowWeekShape {
    /// From 1.
    pub number: usize,
    /// Its prep day, counted from the first week's.
    pub starts: i32,
    /// Its sums; null without a week.
    pub sums: Option<RowSumsShape>,
    /// The week as `scant week` tells it.
    pub plan: Report,
}

/// Sums of a week, or of all weeks. In mass and in value, what was on hand and what was
/// bought is what was used, spoiled, lost and kept.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RowSumsShape {
    /// Price of all packs bought, those for finishers included.
    pub bill: i64,
    /// Of these, packs bought for finishers.
    pub bill_finishers: i64,
    /// Foods to buy bought; of all weeks, the sum of the weeks.
    pub foods: i64,
    /// Staples used, pro rata.
    pub staples: Exact,
    /// Active minutes.
    pub minutes: Exact,
    /// The total; of all weeks, the sum of the weeks.
    pub objective: Exact,
    /// Value on hand when the week, or the row, began.
    pub on_hand_value: Exact,
    /// Value spoiled, unweighted.
    pub spoiled_value: Exact,
    /// Value that the week before kept and that was no longer good when this one began.
    pub lost_value: Exact,
    /// Value kept at the end.
    pub kept_value: Exact,
    /// Edible, on hand when the week, or the row, began.
    pub on_hand_mg: i64,
    /// Edible, bought.
    pub bought_mg: i64,
    /// Edible, used.
    pub used_mg: i64,
    /// Edible, spoiled.
    pub spoiled_mg: i64,
    /// Edible, lost between weeks.
    pub lost_mg: i64,
    /// Edible, kept at the end.
    pub kept_mg: i64,
}

pub(super) fn report(row: &Row) -> RowReport {
    RowReport {
        outcome: fill::outcome(row.verdict()),
        claim: row_sentences::claim(row),
        kitchen: row.kitchen.clone(),
        currency: CurrencyShape {
            code: row.currency.code.clone(),
            digits: row.currency.digits,
        },
        asked: row.asked,
        refused_weeks: row.refused_weeks,
        priced_weeks: row.priced_weeks.map_or(0, |(weeks, _)| weeks),
        again_price: row.priced_weeks.map(|(_, price)| price),
        weeks: row.weeks.iter().map(week).collect(),
        totals: sums(&row.totals()),
    }
}

fn week(week: &RowWeek) -> RowWeekShape {
    RowWeekShape {
        number: week.number,
        starts: week.starts,
        sums: week.sums.as_ref().map(sums),
        plan: fill::report(&week.told),
    }
}

fn sums(sums: &RowSums) -> RowSumsShape {
    RowSumsShape {
        bill: sums.bill_minor,
        bill_finishers: sums.finishers_minor,
        foods: sums.foods,
        staples: Exact::nano(sums.staples_nano),
        minutes: Exact::nano(sums.minutes_nano),
        objective: Exact::nano(sums.objective_nano),
        on_hand_value: Exact::nano(sums.on_hand_nano),
        spoiled_value: Exact::nano(sums.spoiled_nano),
        lost_value: Exact::nano(sums.lost_nano),
        kept_value: Exact::nano(sums.kept_nano),
        on_hand_mg: sums.on_hand_mg,
        bought_mg: sums.bought_mg,
        used_mg: sums.used_mg,
        spoiled_mg: sums.spoiled_mg,
        lost_mg: sums.lost_mg,
        kept_mg: sums.kept_mg,
    }
}
