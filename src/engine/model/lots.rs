//! Foods as the engine sees them: lots of units with absolute days.
//!
//! A *lot* is the units of one pack option bought on one trip, or one unit on hand.
//! A lot is a *pool* when it does not matter on which day a unit of it is opened: what it
//! holds may be eaten on days `from..=until` whatever is opened when, and every remainder,
//! opened or not, has the same fate. Everything else is *dated*.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::score::Weights;
use crate::larder::{FoodId, Larder, Trip};
use crate::plan::Lot;

/// Units of one origin, in absolute days.
#[derive(Clone, Debug)]
pub(in crate::engine) struct LotModel {
    pub(in crate::engine) lot: Lot,
    /// Trip it is bought on; stock has none.
    pub(in crate::engine) trip: Option<Trip>,
    /// Edible milligrams of a unit.
    pub(in crate::engine) unit: i64,
    /// Units in a pack (1 for stock).
    pub(in crate::engine) units: i64,
    /// Price of a pack, minor units (0 for stock).
    pub(in crate::engine) price: i64,
    /// Value of a milligram, 1e-9 minor units.
    pub(in crate::engine) value: i64,
    /// First and last day on which a unit may be opened, within 0..=N.
    pub(in crate::engine) open_from: i32,
    pub(in crate::engine) open_to: i32,
    /// Last day of use for a unit opened on day d is `min(d + life, end)`.
    pub(in crate::engine) life: i32,
    pub(in crate::engine) end: i32,
    /// An unopened unit is kept.
    pub(in crate::engine) sealed_kept: bool,
    /// Days on which what it holds may be eaten, if it is a pool.
    pub(in crate::engine) pool: Option<(i32, i32)>,
    /// Some remainder of it can be kept.
    pub(in crate::engine) keepable: bool,
    /// It can be opened on some day.
    pub(in crate::engine) usable: bool,
    /// The carry day: what is good on it is kept.
    pub(in crate::engine) carry: i32,
    /// Last day of the week on which any of it may be eaten.
    pub(in crate::engine) reach: i32,
}

impl LotModel {
    /// Whether it is a unit on hand: exactly one is there, at no price.
    pub(in crate::engine) const fn is_stock(&self) -> bool {
        matches!(self.lot, Lot::Stock(_))
    }

    /// Whether it can be had where these trips are made, a bit each.
    pub(in crate::engine) fn is_on(&self, trips: u16) -> bool {
        self.trip.is_none_or(|trip| trips >> trip & 1 != 0)
    }

    /// What a milligram left over counts for, if it is kept or else spoils.
    ///
    /// Law: what weighs less spoils no more, as what is kept takes off and what spoils adds in
    /// proportion to its value.
    pub(in crate::engine) fn leftover(&self, kept: bool, weights: &Weights) -> Leftover {
        if kept {
            Leftover {
                weight: -weights.kept(self.value),
                spoils: 0,
            }
        } else {
            Leftover {
                weight: weights.spoiled(self.value),
                spoils: self.value,
            }
        }
    }

    /// Last day of use of a unit opened on `day`.
    pub(in crate::engine) fn good(&self, day: i32) -> i32 {
        (day + self.life).min(self.end)
    }

    /// Whether both are units on hand that differ in nothing but the name.
    pub(in crate::engine) fn alike(&self, other: &Self) -> bool {
        let key = |lot: &Self| {
            (
                (lot.unit, lot.value, lot.open_from, lot.open_to),
                (lot.life, lot.end, lot.sealed_kept, lot.carry),
            )
        };
        self.is_stock() && other.is_stock() && key(self) == key(other)
    }
}

/// What a milligram left over counts for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::engine) struct Leftover {
    /// In the objective; less than nothing where it earns credit.
    pub(in crate::engine) weight: i64,
    /// Value that spoils, 1e-9 minor units.
    pub(in crate::engine) spoils: i64,
}

impl Leftover {
    /// Puts the heaviest first, and of equals what spoils most.
    pub(in crate::engine) const fn heaviest_first(&self) -> (i64, i64) {
        (-self.weight, -self.spoils)
    }
}

/// A counted food with its lots.
#[derive(Clone, Debug)]
pub(in crate::engine) struct FoodModel {
    pub(in crate::engine) lots: Vec<LotModel>,
    /// The cost of any uses depends on their sum only, whatever the days (trip 0 at hand).
    pub(in crate::engine) timeless: bool,
    /// Edible milligrams on hand that can be used on some day.
    pub(in crate::engine) on_hand: i64,
    /// Trips on which it can be bought, a bit each: what others are made changes nothing for it.
    pub(in crate::engine) trips: u16,
}

impl FoodModel {
    /// The most that a week can use, where no pack can be bought and opened in time: what is on
    /// hand.
    pub(in crate::engine) fn supply(&self) -> Option<i64> {
        let buys = self.lots.iter().any(|lot| !lot.is_stock() && lot.usable);
        (!buys).then_some(self.on_hand)
    }

    /// Days on which anything of it may be used.
    pub(in crate::engine) fn had_on(&self) -> KitchenDays {
        let usable = self.lots.iter().filter(|lot| lot.usable);
        let spans = usable.flat_map(|lot| {
            // Of what others open earlier something may be left.
            let opened = lot.open_from.max(0)..=lot.open_to;
            let dated = opened.map(|day| (day, lot.good(day).min(lot.reach)));
            let pool = lot.pool.into_iter();
            pool.chain(dated.filter(|_| lot.pool.is_none()))
        });
        spans
            .map(|(from, until)| KitchenDays::span(from.max(0), until))
            .sum()
    }

    /// Whether something kept may earn more credit than a fresh pack costs to use instead: then
    /// buying more than is lacking may pay.
    pub(in crate::engine) fn may_gain(&self, weights: &Weights) -> bool {
        let usable = || self.lots.iter().filter(|lot| lot.usable);
        let values = usable().filter(|lot| lot.keepable).map(|lot| lot.value);
        let Some(most) = values.max().filter(|_| weights.keep > 0) else {
            return false;
        };
        let credit = i128::from(weights.kept(most));
        usable().filter(|lot| !lot.is_stock()).any(|lot| {
            let price = i128::from(lot.price) * i128::from(weights.pack);
            price < credit * i128::from(lot.unit) * i128::from(lot.units)
        })
    }

    /// Gathers the lots of `food`.
    pub(in crate::engine) fn new(larder: &Larder, food: FoodId) -> Self {
        let carry = larder.week.carry_day;
        let last = i32::from(larder.week.lunches);
        let mut lots = on_hand(larder, food);
        lots.extend(bought(larder, food));
        let mut lots: Vec<LotModel> = lots
            .into_iter()
            .map(|lot| finish(lot, carry, last))
            .collect();
        drop_later(&mut lots, last, &|trip| larder.trip_price_minor(trip) == 0);
        let timeless = lots
            .iter()
            .all(|lot| lot.trip.unwrap_or(0) == 0 && lot.pool == Some((0, last)));
        let on_hand = lots
            .iter()
            .filter(|lot| lot.is_stock() && lot.usable)
            .map(|lot| lot.unit)
            .sum();
        let trips = lots.iter().filter_map(|lot| lot.trip);
        let trips = trips.fold(0, |trips, trip| trips | 1 << trip);
        Self {
            lots,
            timeless,
            on_hand,
            trips,
        }
    }

    /// Least weight of a milligram of `lot` that is left over (negative: kept with credit).
    pub(in crate::engine) fn left_weight(lot: &LotModel, weights: &Weights) -> i64 {
        lot.leftover(lot.keepable, weights).weight
    }
}

/// Drops lots of later trips that can never help, and bought lots that cannot be opened.
///
/// Proof, for the same pack bought on an earlier trip. Let the earlier lot be a pool whose days
/// contain every day on which the later lot may be eaten; or let it be possible to open a unit of
/// it on every day on which one of the later lot may be opened, and be good for no less of the
/// week. And let what is left of the earlier lot be kept, or of the later one never: sealed, and
/// opened on each of those days. Any week that buys the later lot may buy the earlier one
/// instead, at the same price, with the same openings and draws; its remainder is no smaller in
/// value and its fate no worse, and units of both fit in no more packs together. The later trip
/// can only become unnecessary, and the earlier one costs nothing more: it is the first, which is
/// always made, or a trip that is `free`.
pub(in crate::engine) fn drop_later(
    lots: &mut Vec<LotModel>,
    last: i32,
    free: &dyn Fn(Trip) -> bool,
) {
    let all = lots.clone();
    let does = |early: &LotModel, late: &LotModel| {
        let pooled = early
            .pool
            .is_some_and(|(from, until)| from <= late.open_from && until >= late.reach)
            && (early.sealed_kept || !late.keepable);
        let dated = || {
            (early.sealed_kept || !late.sealed_kept)
                && (late.open_from..=late.open_to).all(|day| {
                    early.open_from <= day
                        && day <= early.open_to
                        && early.good(day).min(last) >= late.good(day).min(last)
                        && (early.good(day) >= early.carry || late.good(day) < late.carry)
                })
        };
        pooled || early.pool.is_none() && late.pool.is_none() && dated()
    };
    lots.retain(|lot| {
        let (Lot::Bought(pack, _), Some(trip)) = (lot.lot, lot.trip) else {
            return true;
        };
        lot.usable
            && !all.iter().any(|early| {
                let Lot::Bought(same, _) = early.lot else {
                    return false;
                };
                same == pack
                    && early.trip.is_some_and(|early| early < trip && free(early))
                    && early.usable
                    && does(early, lot)
            })
    });
}

/// The lots of a food on hand, as stored; [`finish`] says what they are good for.
fn on_hand(larder: &Larder, food: FoodId) -> Vec<LotModel> {
    let carry = larder.week.carry_day;
    let mine = (larder.stock.iter().enumerate()).filter(|(_, stock)| stock.food == food);
    let lots = mine.map(|(id, stock)| {
        // Once open it is good to its day, whenever it is first drawn from.
        let (life, open_to) = if stock.opened {
            (stock.end.max(0), stock.end)
        } else {
            (stock.open_life, stock.ready_to)
        };
        LotModel {
            lot: Lot::Stock(crate::larder::StockId::new(id)),
            trip: None,
            unit: stock.left_mg,
            units: 1,
            price: 0,
            value: stock.value_nano,
            open_from: stock.ready_from.max(0),
            open_to,
            life,
            end: stock.end,
            sealed_kept: stock.ready_to.max(if stock.opened { stock.end } else { 0 }) >= carry,
            pool: None,
            keepable: false,
            usable: false,
            reach: 0,
            carry,
        }
    });
    lots.collect()
}

/// The lots of a food that trips can buy.
fn bought(larder: &Larder, food: FoodId) -> Vec<LotModel> {
    let carry = larder.week.carry_day;
    let mut lots = Vec::new();
    for (id, pack) in larder.packs_of(food) {
        let trips = 0..larder.week.trips.len() as Trip;
        lots.extend(trips.filter(|&trip| larder.sells(trip, id)).map(|trip| {
            let day = i32::from(larder.trip_day(trip));
            LotModel {
                lot: Lot::Bought(id, trip),
                trip: Some(trip),
                unit: pack.unit_mg,
                units: pack.units,
                price: pack.price_minor,
                value: pack.value_nano,
                open_from: day + pack.ready_from.max(0),
                open_to: day + pack.ready_to,
                life: pack.open_life,
                end: day + pack.end,
                sealed_kept: day + pack.ready_to >= carry,
                pool: None,
                keepable: false,
                usable: false,
                reach: 0,
                carry,
            }
        }));
    }
    lots
}

/// A lot with what follows from its days.
pub(in crate::engine) fn finish(mut lot: LotModel, carry: i32, last: i32) -> LotModel {
    let open_to = lot.open_to.min(last);
    lot.usable = lot.open_from <= open_to;
    if !lot.usable {
        lot.keepable = lot.sealed_kept;
        // Never opened, so its fate is that of a sealed unit: a pool with no days.
        lot.open_to = open_to;
        lot.pool = Some((lot.open_from, lot.open_from - 1));
        return lot;
    }
    let same_fate = (lot.open_from..=open_to).all(|d| (lot.good(d) >= carry) == lot.sealed_kept);
    let until = lot.good(open_to).min(last);
    lot.reach = until;
    // Opened on any day it reaches the same last day within the week, and it can be opened
    // on every day up to that last day: the day of opening does not matter.
    let same_reach =
        (lot.open_from..=open_to).all(|d| lot.good(d).min(last) == until) && open_to >= until;
    // A unit on hand that is already open has no opening day at all: its life is its end.
    lot.keepable = lot.sealed_kept || (lot.open_from..=open_to).any(|d| lot.good(d) >= carry);
    lot.open_to = open_to;
    if same_fate && same_reach {
        lot.pool = Some((lot.open_from, until));
    }
    lot
}

/// A day as an index into a use vector.
pub(in crate::engine) fn day_index(day: i32) -> usize {
    debug_assert!(day >= 0);
    day as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{LAST, food, with_lots};
    use crate::larder::{Aim, NANO};

    /// Day by day: some unit may be opened by then and is still good, however long it keeps.
    #[test]
    fn a_food_is_had_on_the_days_some_unit_is_good() {
        let mut next = numbers(5);
        let (mut had, mut not) = (0, 0);
        for _ in 0..3_000 {
            let mut drawn = food(&mut next).lots;
            for lot in &mut drawn {
                if next(4) == 0 {
                    lot.pool = None;
                    lot.life += next(80) as i32;
                    lot.end += next(80) as i32;
                    *lot = finish(lot.clone(), lot.carry, LAST);
                }
            }
            let model = with_lots(drawn);
            let days = model.had_on();
            assert!(days.is_within(KitchenDays::span(0, LAST)), "{model:?}");
            for day in 0..=LAST {
                let open = |lot: &LotModel| {
                    (0..=day).any(|opened| {
                        let may = lot.open_from <= opened && opened <= lot.open_to;
                        may && day <= lot.good(opened)
                    })
                };
                let good = model.lots.iter().any(open);
                assert_eq!(days.contains(day), good, "day {day} of {model:?}");
                *(if good { &mut had } else { &mut not }) += 1;
            }
        }
        assert!(had > 1_000 && not > 1_000, "{had} {not}");
    }

    /// What is on hand is worth 0.01 a milligram. Kept at nine tenths, as much as a pack of four
    /// fifties holds earns 1.80: more than the pack costs at 1.75, and less than at 1.85.
    #[test]
    fn buying_gains_where_what_is_kept_earns_more_than_a_pack_costs() {
        let lot = |lot: Lot, units: i64, price: i64, value: i64| {
            let stock = matches!(lot, Lot::Stock(_));
            let drawn = LotModel {
                lot,
                trip: (!stock).then_some(0),
                unit: 50,
                units,
                price,
                value,
                open_from: 0,
                open_to: 9,
                life: 9,
                end: 9,
                sealed_kept: true,
                pool: None,
                keepable: false,
                usable: false,
                carry: LAST + 1,
                reach: 0,
            };
            finish(drawn, LAST + 1, LAST)
        };
        for (keep, price, gains) in [(900, 175, true), (900, 185, false), (0, 175, false)] {
            let weights = Weights {
                keep,
                ..Weights::aim(Aim::Cost)
            };
            let stock = lot(Lot::Stock(crate::larder::StockId(0)), 1, 0, NANO);
            let pack = lot(Lot::Bought(crate::larder::PackId(0), 0), 4, price, 0);
            let model = with_lots(vec![stock, pack]);
            assert_eq!(model.may_gain(&weights), gains, "{keep} {price}");
        }
    }
}
