//! Tells weeks in a row: each by itself, what it was handed and handed on, and their sums.

use super::{Explanation, HandedOn, Verdict};
use crate::larder::{Currency, Larder, Stock};

/// Weeks in a row.
#[derive(Clone, Debug)]
pub struct Row {
    /// The kitchen's name.
    pub kitchen: String,
    /// The currency of all money here.
    pub currency: Currency,
    /// How many weeks were asked for.
    pub asked: usize,
    /// Recipes of so many last weeks were refused.
    pub refused_weeks: usize,
    /// Recipes of so many last weeks had a price a lunch, in minor units.
    pub priced_weeks: Option<(usize, i64)>,
    /// The weeks, up to the first that was not proved best.
    pub weeks: Vec<RowWeek>,
}

/// A week of a row.
#[derive(Clone, Debug)]
pub struct RowWeek {
    /// From 1.
    pub number: usize,
    /// Its prep day, counted from the prep day of the first week.
    pub starts: i32,
    /// All there is to say of it.
    pub told: Explanation,
    /// Its sums, if there is a week.
    pub sums: Option<RowSums>,
}

/// Sums of a week, or of all. Money of values is in 1e-9 minor units. What was on hand and
/// what was bought is what was used, spoiled, lost and kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RowSums {
    /// Price of all packs bought, those for finishers included.
    pub bill_minor: i64,
    /// Of these, packs bought for finishers.
    pub finishers_minor: i64,
    /// Counted foods bought; of all weeks, their sum.
    pub foods: i64,
    /// Staples used, pro rata.
    pub staples_nano: i64,
    /// Active minutes, 1e-9.
    pub minutes_nano: i64,
    /// The objective.
    pub objective_nano: i64,
    /// Value on hand at the beginning.
    pub on_hand_nano: i64,
    /// Value of what spoiled before the carry day.
    pub spoiled_nano: i64,
    /// Value of what was kept by the week before and no longer good when this one began.
    pub lost_nano: i64,
    /// Value kept at the end.
    pub kept_nano: i64,
    /// Edible milligrams on hand at the beginning.
    pub on_hand_mg: i64,
    /// Edible milligrams bought.
    pub bought_mg: i64,
    /// Edible milligrams used.
    pub used_mg: i64,
    /// Edible milligrams spoiled before the carry day.
    pub spoiled_mg: i64,
    /// Edible milligrams kept by the week before and no longer good when this one began.
    pub lost_mg: i64,
    /// Edible milligrams kept at the end.
    pub kept_mg: i64,
}

impl RowWeek {
    /// Tells week `number`, begun with `larder`'s stock, after `lost` had gone off unseen
    /// between the weeks.
    pub fn new(
        number: usize,
        starts: i32,
        told: Explanation,
        larder: &Larder,
        lost: &[Stock],
    ) -> Self {
        let sums = told.week.as_ref().zip(told.handed.as_ref());
        let sums = sums.map(|(week, handed)| {
            let HandedOn { totals, .. } = handed;
            let finishers = told.finishers.iter().flat_map(|facts| &facts.bought);
            let finishers_minor = finishers.map(|offer| offer.price_minor).sum();
            let on_hand_mg = larder.stock.iter().map(|unit| unit.left_mg).sum();
            RowSums {
                bill_minor: week.tally.packs_minor + finishers_minor,
                finishers_minor,
                foods: week.tally.foods,
                staples_nano: week.tally.staples_nano,
                minutes_nano: week.tally.minutes_nano,
                objective_nano: week.tally.objective_nano,
                on_hand_nano: handed.on_hand_nano,
                spoiled_nano: totals.spoiled_nano,
                lost_nano: lost.iter().map(Stock::value_nano).sum(),
                kept_nano: totals.kept_nano,
                on_hand_mg,
                bought_mg: totals.had_mg - on_hand_mg,
                used_mg: totals.used_mg,
                spoiled_mg: totals.spoiled_mg,
                lost_mg: lost.iter().map(|unit| unit.left_mg).sum(),
                kept_mg: totals.kept_mg,
            }
        });
        Self {
            number,
            starts,
            told,
            sums,
        }
    }
}

impl Row {
    /// Returns what the row as far as it got is: best if every week asked for is proved best
    /// given those before it, else what its last week is.
    pub fn verdict(&self) -> Verdict {
        self.weeks
            .last()
            .map_or(Verdict::OutOfTime { bound_nano: 0 }, |week| {
                week.told.verdict
            })
    }

    /// Returns the sums of all weeks: on hand before the first, kept after the last, the rest
    /// added up.
    pub fn totals(&self) -> RowSums {
        let mut all = RowSums::default();
        for (at, sums) in self
            .weeks
            .iter()
            .filter_map(|w| w.sums.as_ref())
            .enumerate()
        {
            if at == 0 {
                all.on_hand_nano = sums.on_hand_nano;
                all.on_hand_mg = sums.on_hand_mg;
            } else {
                all.lost_nano += sums.lost_nano;
                all.lost_mg += sums.lost_mg;
            }
            all.bill_minor += sums.bill_minor;
            all.finishers_minor += sums.finishers_minor;
            all.foods += sums.foods;
            all.staples_nano += sums.staples_nano;
            all.minutes_nano += sums.minutes_nano;
            all.objective_nano += sums.objective_nano;
            all.spoiled_nano += sums.spoiled_nano;
            all.bought_mg += sums.bought_mg;
            all.used_mg += sums.used_mg;
            all.spoiled_mg += sums.spoiled_mg;
            all.kept_nano = sums.kept_nano;
            all.kept_mg = sums.kept_mg;
        }
        all
    }
}
