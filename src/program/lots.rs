//! Finds the lots a food can be drawn from: units of one pack option bought on one trip, and
//! each unit on hand; when they may be opened, until when they last, what becomes of a
//! remainder.

use super::need::Need;
use crate::larder::{Day, FoodId, Larder, PackId, StockId, Trip};
use crate::plan::Lot;

/// A lot some recipe can draw from.
pub(super) struct Source {
    /// Which one.
    pub(super) lot: Lot,
    /// What it holds.
    pub(super) food: FoodId,
    /// Edible milligrams of one unit.
    pub(super) unit_mg: i64,
    /// Separately openable units of one pack; 1 for a unit on hand.
    pub(super) units: i64,
    /// First and last day on which a unit may be opened.
    first: i32,
    last: i32,
    /// Last day on which anything of it may be eaten.
    end: i32,
    /// Days an opened unit stays good.
    open_life: i32,
    /// Value of what spoils, per milligram.
    pub(super) value_nano: i64,
    /// Opening changes nothing: an open unit lasts through the week and has the same fate
    /// as a sealed one, so that opening days need not be decided. Each unit is then
    /// opened when it is first needed.
    pub(super) free: bool,
}

impl Source {
    /// Lists the lots of all counted foods, food by food: packs only of foods that some
    /// recipe can use, units on hand all, since they may spoil unused.
    pub(super) fn all(larder: &Larder, need: &Need) -> Vec<Self> {
        let mut sources = Vec::new();
        for index in 0..larder.foods.len() {
            let food = FoodId::new(index);
            if larder.foods[index].staple {
                continue;
            }
            for (pack, _) in larder.packs_of(food).filter(|_| need.any(food)) {
                let trips = 0..larder.week.trips.len() as Trip;
                let sold = trips.filter(|&trip| larder.sells(trip, pack));
                sources.extend(sold.map(|trip| Self::bought(larder, pack, trip)));
            }
            for (id, stock) in larder.stock.iter().enumerate() {
                if stock.food == food {
                    sources.push(Self::on_hand(larder, StockId::new(id)));
                }
            }
        }
        sources
    }

    fn bought(larder: &Larder, id: PackId, trip: Trip) -> Self {
        let pack = &larder.packs[id.index()];
        let bought_on = i32::from(larder.trip_day(trip));
        let source = Self {
            lot: Lot::Bought(id, trip),
            food: pack.food,
            unit_mg: pack.unit_mg,
            units: pack.units,
            first: bought_on.saturating_add(pack.ready_from),
            last: bought_on.saturating_add(pack.ready_to),
            end: bought_on.saturating_add(pack.end),
            open_life: pack.open_life,
            value_nano: pack.value_nano,
            free: false,
        };
        source.with_freedom(larder)
    }

    fn on_hand(larder: &Larder, id: StockId) -> Self {
        let stock = &larder.stock[id.index()];
        let source = Self {
            lot: Lot::Stock(id),
            food: stock.food,
            unit_mg: stock.left_mg,
            units: 1,
            first: stock.ready_from,
            last: stock.ready_to,
            end: if stock.opened {
                stock.ready_to
            } else {
                stock.end
            },
            // Once open it is good to its day, whenever it is first drawn from.
            open_life: if stock.opened {
                stock.ready_to.max(0)
            } else {
                stock.open_life
            },
            value_nano: stock.value_nano,
            free: false,
        };
        source.with_freedom(larder)
    }

    fn with_freedom(mut self, larder: &Larder) -> Self {
        let lunches = i32::from(larder.week.lunches);
        let reach = lunches.min(self.last);
        self.free = (self.first.max(0)..=reach).all(|day| {
            self.good_until(day).min(lunches) == reach
                && self.kept_if_opened(larder, day) == self.kept_if_sealed(larder)
        });
        self
    }

    /// Returns the last day on which a unit opened on `day` is good.
    fn good_until(&self, day: i32) -> i32 {
        day.saturating_add(self.open_life).min(self.end)
    }

    /// Returns whether what is left of a unit opened on `day` is kept.
    pub(super) fn kept_if_opened(&self, larder: &Larder, day: i32) -> bool {
        self.good_until(day) >= larder.week.carry_day
    }

    /// Returns whether an unopened unit is kept.
    pub(super) fn kept_if_sealed(&self, larder: &Larder) -> bool {
        self.last >= larder.week.carry_day
    }

    /// Returns the days on which it may be opened and the food can be used.
    pub(super) fn opening_days(&self, larder: &Larder, need: &Need) -> Vec<Day> {
        (0..=larder.week.lunches)
            .filter(|&day| (self.first..=self.last).contains(&i32::from(day)))
            .filter(|&day| need.on(self.food, day) > 0)
            .collect()
    }

    /// Returns the days on which a unit opened on `day` may be drawn from and the food can
    /// be used.
    pub(super) fn drawing_days(&self, larder: &Larder, need: &Need, day: Day) -> Vec<Day> {
        let good = self.good_until(i32::from(day));
        (day..=larder.week.lunches)
            .filter(|&later| i32::from(later) <= good)
            .filter(|&later| need.on(self.food, later) > 0)
            .collect()
    }

    /// Returns how many packs could be of use at most.
    ///
    /// Units opened on one day are drawn from together, so all but as many as the draws
    /// need could stay shut, and a pack of which every unit could stay shut is bought for
    /// nothing: without it the week costs less and spoils no more. Hence the packs are at
    /// most what holds, day by day, the food's own largest need from that day on.
    pub(super) fn most_packs(&self, larder: &Larder, need: &Need) -> i64 {
        let days = self.opening_days(larder, need);
        let (Some(&first), Some(&last)) = (days.first(), days.last()) else {
            return 0;
        };
        let reach = |day| {
            let drawn = self.drawing_days(larder, need, day);
            drawn.last().copied().unwrap_or(day)
        };
        let week = need.between(self.food, first, reach(last));
        let units = if self.free {
            in_units(week, self.unit_mg)
        } else {
            let by_day: i64 = days
                .iter()
                .map(|&day| {
                    let drawn = need.between(self.food, day, reach(day));
                    in_units(drawn, self.unit_mg)
                })
                .sum();
            by_day.min(week / self.unit_mg + days.len() as i64)
        };
        in_units(units, self.units)
    }
}

/// Returns how many units of `size` it takes to hold `amount`.
fn in_units(amount: i64, size: i64) -> i64 {
    (amount + size - 1) / size
}
