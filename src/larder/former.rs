//! What a week hands to the next: units that are kept, and the recipes that were served.
//!
//! Days here are those of the former week, counted from its prep day. `models/weeks.md` says
//! how they become days of the next one, and why nothing is then eaten after its day.

use chrono::NaiveDate;

use super::{Calendar, Contents, Stock, calendar};

/// Most weeks whose recipes are remembered.
pub const MOST_FORMER: usize = 52;

/// A former week, with what it knows of those before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Former {
    /// C of the former week: the first lunch day of the next one.
    pub carry_day: i32,
    /// Date of the former prep day, if it is known.
    pub prep: Option<NaiveDate>,
    /// Units still good on the carry day, in the former week's days.
    pub kept: Vec<Stock>,
    /// Names of the recipes served, in day order; the latest week first, at most
    /// [`MOST_FORMER`] weeks.
    pub weeks: Vec<Vec<String>>,
}

impl Former {
    /// Returns how many days after the former prep day the next one is: the carry day is
    /// lunch day 1, so its eve is day 0.
    pub fn days_on(&self) -> i32 {
        self.carry_day - 1
    }
}

impl Stock {
    /// Returns the unit in the days of a week whose prep day is `days` later; `None` if it is
    /// no longer good on any of them.
    pub fn moved(&self, days: i32) -> Option<Self> {
        if self.ready_to < days {
            return None;
        }
        let ready_from = (self.ready_from - days).max(0);
        let end = self.end - days;
        Some(Self {
            ready_from,
            ready_to: self.ready_to - days,
            end,
            // An open unit has no day of opening any more: its life is what is left of it.
            open_life: if self.opened {
                end - ready_from
            } else {
                self.open_life
            },
            ..self.clone()
        })
    }
}

impl Contents {
    /// Puts what a former week kept in the place of the stock, `days` later, and returns what
    /// is no longer good then. The former week's remainders hold those of the stock it began
    /// with, so stock written in the kitchen would be counted twice. Days are told by the former
    /// week's date, if it has one.
    pub fn start_after(&mut self, former: &Former, days: i32) -> Vec<Stock> {
        let mut lost = Vec::new();
        let prep = former.prep.and_then(|prep| calendar::moved(prep, days));
        if let Some(prep) = prep {
            self.week.calendar = Calendar::from(prep);
        }
        self.stock.clear();
        for unit in &former.kept {
            match unit.moved(days) {
                Some(moved) => self.stock.push(moved),
                None => lost.push(unit.clone()),
            }
        }
        self.stock.sort_by(Stock::order);
        lost
    }
}
