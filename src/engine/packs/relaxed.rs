//! A floor under the cost of a food, whatever the days: the bound the search lives on.
//!
//! [`Relaxed::floor`] returns a number that no way of buying and opening a food undercuts
//! if the week uses between `used` and `most` milligrams of it in all.
//!
//! Proof. Take any way, with n packs of each option over all trips. It pays for those n
//! packs, it draws v milligrams in all with `used <= v <= most`, and every milligram of
//! every unit that is not drawn is left over with a weight no smaller than the least
//! weight of its option over all trips and days (kept if *some* day would keep it). Drawing
//! v from the units with the heaviest leftover first gives the least possible sum for
//! those n; the floor is the least over all n that hold at least `used`, and over v. Units
//! that cannot be opened on any day hold nothing. Taking more of the smallest pack than
//! needed only adds a pack's price and a leftover, whose sum is never negative because the
//! credit for what is kept stays below the price.
//!
//! In 1e-9 minor units, or the unit of a sum with a ceiling. Rounding: packs are whole, so as many as hold `used` are rounded up;
//! prices by weight ([`Relaxed::by_weight`]), prices of a unit of a pack ([`Relaxed::floor_over`]) are rounded down. The caller gives
//! `used <= most`, and no more used than the most this floor was prepared for: choices of packs are listed as far as
//! they hold that. The plain definition is the least over every way of buying and opening (`every_way` in the tests).
//!
//! A food that no pack can supply has a floor for what is on hand, however much is used: that
//! there is not enough of it is said by [`crate::engine::model::pool::Pool::supply`], not by a cost.

use crate::engine::model::lots::FoodModel;
use crate::engine::model::score::Weights;
use crate::engine::packs::floor::FoodSteps;
use crate::plan::Lot;

#[derive(Clone, Copy, Debug)]
struct Choice {
    capacity: i64,
    price: i64,
    weight: i64,
}

/// A choice of packs: capacity, price, (capacity, weight) parts.
type PackChoice = (i64, i64, Vec<(i64, i64)>);

/// How the floor of a food is worked out.
#[derive(Clone, Copy, Debug)]
enum Kind {
    /// From one kind of pack, with no stock and no credit.
    OnePack(Choice),
    /// From all choices of packs.
    Listed,
    /// There are too many choices of packs to list: see [`Relaxed::by_weight`].
    ByWeight,
}

/// The relaxed cost of one food in one stage.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Relaxed {
    /// Leftover of stock that can never be used: always paid.
    base: i64,
    /// Usable stock: capacity and leftover weight.
    stock: Vec<(i64, i64)>,
    stock_capacity: i64,
    /// Choices of packs other than the smallest.
    others: Vec<PackChoice>,
    /// The smallest pack.
    filler: Option<Choice>,
    /// Buying more than is lacking may pay: see [`FoodModel::may_gain`].
    gains: bool,
    /// Paid once if anything is bought.
    food_price: i64,
    /// Some leftover has a negative weight.
    earns: bool,
    kind: Kind,
    /// Price of the pack that costs least; 0 where credit may take some of it off.
    least_pack: i64,
    /// Price and capacity of the pack that is cheapest by the milligram.
    cheapest: Option<(i64, i64)>,
    /// Days that one unit can serve at the most, units on hand, units of the smallest pack, and what a unit
    /// bought costs at the least.
    covers: i64,
    stock_units: i64,
    filler_units: i64,
    least_unit: i64,
    steps: FoodSteps,
}

/// Choices of packs listed at most for one food.
const MOST_CHOICES: usize = 1_000;

/// What unusable stock adds in any case, what is on hand (capacity, and weight if left over), and the kinds of
/// packs.
fn sources(food: &FoodModel, weights: &Weights) -> (i64, Vec<(i64, i64)>, Vec<Choice>) {
    let mut base = 0;
    let mut stock = Vec::new();
    let mut options: Vec<(crate::larder::PackId, Choice)> = Vec::new();
    for lot in &food.lots {
        let weight = FoodModel::left_weight(lot, weights);
        match lot.lot {
            Lot::Stock(_) if lot.usable => stock.push((lot.unit, weight)),
            Lot::Stock(_) => base += weight * lot.unit,
            Lot::Bought(pack, _) if lot.usable => {
                let option = Choice {
                    capacity: lot.unit * lot.units,
                    price: lot.price * weights.pack,
                    weight,
                };
                match options.iter_mut().find(|(id, _)| *id == pack) {
                    Some((_, old)) => old.weight = old.weight.min(weight),
                    None => options.push((pack, option)),
                }
            }
            Lot::Bought(..) => {}
        }
    }
    let options = options.into_iter().map(|(_, option)| option);
    (base, stock, options.collect())
}

/// All choices of how many packs of each of these kinds, as few as hold `most`; and whether there are too many
/// to list.
fn choices_of(options: &[Choice], most: i64) -> (Vec<PackChoice>, bool) {
    let mut choices: Vec<PackChoice> = vec![(0, 0, Vec::new())];
    for option in options {
        let mut grown = Vec::new();
        for (capacity, price, parts) in &choices {
            for count in 0.. {
                if grown.len() == MOST_CHOICES {
                    return (choices, true);
                }
                let mut parts: Vec<(i64, i64)> = parts.clone();
                if count > 0 {
                    parts.push((count * option.capacity, option.weight));
                }
                let held = capacity + count * option.capacity;
                grown.push((held, price + count * option.price, parts));
                if held >= most {
                    break;
                }
            }
        }
        choices = grown;
    }
    (choices, false)
}

impl Relaxed {
    /// Prepares the floor of a food of which the week uses at most `most` milligrams.
    pub(in crate::engine) fn new(food: &FoodModel, weights: &Weights, most: i64) -> Self {
        let (base, stock, mut options) = sources(food, weights);
        let bought = food.lots.iter().filter(|lot| lot.usable && !lot.is_stock());
        let unit_prices = bought
            .clone()
            .map(|lot| lot.price * weights.pack / lot.units.max(1));
        let least_unit = unit_prices.min();
        let smallest = bought.min_by_key(|lot| (lot.unit * lot.units, lot.price));
        let filler_units = smallest.map_or(1, |lot| lot.units.max(1));
        options.sort_by_key(|option| (option.capacity, option.price));
        let filler = if options.is_empty() {
            None
        } else {
            Some(options.remove(0))
        };
        let (mut others, coarse) = choices_of(&options, most);
        for (_, _, parts) in &mut others {
            parts.extend(stock.iter().copied());
            // Heaviest last: leftovers are counted from the lightest.
            parts.sort_by_key(|&(_, weight)| weight);
        }
        let all = options.iter().chain(filler.as_ref());
        let earns = all.clone().any(|o| o.weight < 0) || stock.iter().any(|&(_, w)| w < 0);
        let cheapest = all.clone().map(|o| (o.price, o.capacity)).min_by(|a, b| {
            (i128::from(a.0) * i128::from(b.1)).cmp(&(i128::from(b.0) * i128::from(a.1)))
        });
        let stock_capacity = stock.iter().map(|&(capacity, _)| capacity).sum();
        // Cheapest first, so that the first that is too dear ends the search.
        others.sort_by_key(|&(capacity, price, _)| (price, capacity));
        let kind = match filler {
            _ if coarse => Kind::ByWeight,
            Some(filler) if others.len() == 1 && stock.is_empty() && !earns => {
                Kind::OnePack(filler)
            }
            _ => Kind::Listed,
        };
        let least_pack = if earns {
            0
        } else {
            all.map(|o| o.price).min().unwrap_or(0)
        };
        Self {
            base,
            stock,
            stock_capacity,
            others,
            filler,
            gains: food.may_gain(weights),
            food_price: weights.food,
            earns,
            kind,
            least_pack,
            cheapest,
            covers: covers(food),
            stock_units: food.lots.iter().filter(|lot| lot.is_stock()).count() as i64,
            filler_units,
            least_unit: least_unit.unwrap_or(0),
            steps: FoodSteps::new(food, weights, most),
        }
    }

    /// Returns the floor for a total use between `used` and `most`, or of what is there if no
    /// pack can be bought.
    pub(in crate::engine) fn floor(&self, used: i64, most: i64) -> i64 {
        debug_assert!(used <= most);
        let used = match self.filler {
            Some(_) => used,
            None => used.min(self.stock_capacity),
        };
        match self.kind {
            Kind::OnePack(_) if used == 0 => return self.base,
            Kind::OnePack(pack) => {
                let packs = (used + pack.capacity - 1) / pack.capacity;
                return self.floor_of_packs(pack, packs, most);
            }
            Kind::ByWeight => return self.by_weight(used),
            Kind::Listed => {}
        }
        if most == 0 {
            return self.base + self.stock.iter().map(|&(c, w)| c * w).sum::<i64>();
        }
        let mut least: Option<i64> = None;
        for (capacity, price, parts) in &self.others {
            let held = capacity + self.stock_capacity;
            // All but the first, which buys no pack, are bought.
            let food_price = if *capacity > 0 { self.food_price } else { 0 };
            if !self.earns && least.is_some_and(|least| price + food_price >= least) {
                break;
            }
            let mut price = *price;
            let mut bought = *capacity > 0;
            let (mut total, mut extra) = (held, None);
            if held < used {
                let Some(filler) = self.filler else { continue };
                let count = (used - held + filler.capacity - 1) / filler.capacity;
                price += count * filler.price;
                bought = true;
                total += count * filler.capacity;
                extra = Some((count * filler.capacity, filler.weight));
            }
            if !self.earns && least.is_some_and(|least| price >= least) {
                continue;
            }
            let mut cost = price;
            if bought {
                cost += self.food_price;
            }
            if self.gains {
                // Whatever more is bought costs at least the credit on it; at most everything
                // else that earns is kept whole.
                let all = parts.iter().copied().chain(extra);
                cost += all
                    .map(|(capacity, weight)| capacity * weight.min(0))
                    .sum::<i64>();
            // Where nothing left over earns credit, as little as can be is left.
            } else if self.earns || total > most && least.is_none_or(|least| cost < least) {
                cost += least_left(parts, extra, (total - most).max(0), total - used);
            }
            least = Some(least.map_or(cost, |least| least.min(cost)));
        }
        // The first choice holds what is used, with what fills it up or without.
        self.base + least.unwrap_or(0)
    }
}

/// Days, one after the other, that a unit can serve at the most.
fn covers(food: &FoodModel) -> i64 {
    let lots = food.lots.iter().filter(|lot| lot.usable);
    let days = lots.map(|lot| {
        let opened = (lot.open_from..=lot.open_to).map(|day| lot.good(day) - day + 1);
        let pooled = lot.pool.map_or(0, |(from, to)| to - from + 1);
        opened.max().unwrap_or(1).max(pooled)
    });
    i64::from(days.max().unwrap_or(1).max(1))
}

impl Relaxed {
    /// The same where so many lunches, each on a day of its own, use some of it.
    ///
    /// Proof. A unit serves days that follow one another, no more of them than it stays good for once it
    /// is opened; so many units at least are opened, and what is not on hand is bought. Of one kind of
    /// pack alone the whole floor counts so many packs; else they cost at least the cheapest unit each.
    pub(in crate::engine) fn floor_over(&self, used: i64, most: i64, lunches: i64) -> i64 {
        let floor = self.floor(used, most);
        let units = (lunches + self.covers - 1) / self.covers;
        let bought = units - self.stock_units;
        if bought <= 0 || self.earns || self.filler.is_none() {
            return floor;
        }
        if let Kind::OnePack(pack) = self.kind {
            let packs = (bought + self.filler_units - 1) / self.filler_units;
            return floor.max(self.floor_of_packs(pack, packs, most));
        }
        floor.max(self.base + self.food_price + bought * self.least_unit)
    }

    /// What so many packs of the only kind cost, with what they leave.
    fn floor_of_packs(&self, pack: Choice, packs: i64, most: i64) -> i64 {
        let left = (packs * pack.capacity - most).max(0);
        self.base + packs * pack.price + self.food_price + left * pack.weight
    }

    /// A lower floor, for many eaters and several packs.
    ///
    /// Proof. What stock leaves earns at most its credit on all it holds. Beyond the stock,
    /// each milligram drawn from a pack costs at least the pack's price a milligram, and so
    /// does each one left over, whose credit stays below that price; and if anything is
    /// bought where nothing earns, it is at least one pack. Rising in `used`.
    fn by_weight(&self, used: i64) -> i64 {
        let credit: i64 = self.stock.iter().map(|&(c, w)| c * w.min(0)).sum();
        let bought = used - self.stock_capacity;
        let cost = match self.cheapest {
            _ if bought <= 0 => 0,
            None => 0,
            Some((price, capacity)) => {
                let by_weight = i128::from(bought) * i128::from(price) / i128::from(capacity);
                self.food_price + self.least_pack.max(by_weight as i64)
            }
        };
        self.base + credit + cost
    }

    /// What packs cost at least.
    pub(in crate::engine) fn steps(&self) -> &FoodSteps {
        &self.steps
    }

    /// Returns price and capacity of the pack that is cheapest by the milligram, if there
    /// is no stock and nothing kept earns credit: then `used` costs at least in proportion.
    pub(in crate::engine) fn per_milligram(&self) -> Option<(i64, i64)> {
        if self.earns || !self.stock.is_empty() {
            return None;
        }
        self.cheapest
    }
}

/// Least weight of between `least` and `most` milligrams left over: the lightest first,
/// and beyond `least` only what earns credit.
fn least_left(parts: &[(i64, i64)], mut extra: Option<(i64, i64)>, least: i64, most: i64) -> i64 {
    let mut sum = 0;
    let mut taken = 0;
    let mut take = |capacity: i64, weight: i64| {
        let room = if weight < 0 { most } else { least } - taken;
        let mg = room.clamp(0, capacity);
        sum += mg * weight;
        taken += mg;
    };
    for &(capacity, weight) in parts {
        if let Some((more, light)) = extra
            && light <= weight
        {
            take(more, light);
            extra = None;
        }
        take(capacity, weight);
    }
    if let Some((more, light)) = extra {
        take(more, light);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::lots::{LotModel, finish};
    use crate::engine::model::samples::numbers;
    use crate::engine::packs::samples::{LAST, every_way, food, uses, weights, with_lots};
    use crate::larder::{PackId, value_nano};

    /// No way of serving any uses undercuts the floor, and mostly the floor is reached.
    #[test]
    fn no_way_undercuts_the_floor() {
        let mut next = numbers(21);
        let (mut reached, mut compared, mut raised) = (0, 0, 0);
        for turn in 0..8_000 {
            let (food, weights, uses) = (food(&mut next), weights(&mut next), uses(&mut next));
            let total: i64 = uses.iter().sum();
            let relaxed = Relaxed::new(&food, &weights, 7);
            let (less, more) = (next(4) as i64, next(4) as i64);
            let floor = relaxed.floor((total - less).max(0), total + more);
            let Some(least) = every_way(&food, &weights, &uses).first().copied() else {
                continue;
            };
            assert!(
                floor <= least.objective,
                "{turn}: {floor} {least:?} {food:?} {weights:?} {uses:?}"
            );
            let days = uses.iter().filter(|&&used| used > 0).count() as i64;
            let over = relaxed.floor_over((total - less).max(0), total + more, days);
            assert!(
                floor <= over && over <= least.objective,
                "{turn}: {over} on {days} days {least:?} {food:?} {weights:?} {uses:?}"
            );
            raised += i32::from(floor < over);
            compared += 1;
            reached += i32::from(floor == least.objective);
        }
        assert!(
            compared > 2_000 && reached * 4 > compared,
            "{reached} of {compared}"
        );
        assert!(raised > 50, "{raised} of {compared}");
    }

    /// With too many choices of packs to list, packs of one kind alone do not undercut it either.
    #[test]
    fn packs_of_one_kind_do_not_undercut_the_floor_where_choices_are_too_many() {
        let mut next = numbers(22);
        let mut coarse = 0;
        for _ in 0..60 {
            let lots = (0..6).map(|id| {
                let (unit, price) = (5 + id + next(9) as i64, 1 + next(30) as i64);
                let drawn = LotModel {
                    lot: Lot::Bought(PackId(id as u32), 0),
                    trip: Some(0),
                    unit,
                    units: 1,
                    price,
                    value: value_nano(price, unit),
                    open_from: 0,
                    open_to: LAST,
                    life: LAST,
                    end: LAST,
                    sealed_kept: false,
                    pool: None,
                    keepable: false,
                    usable: false,
                    carry: LAST + 1,
                    reach: 0,
                };
                finish(drawn, LAST + 1, LAST)
            });
            let food = with_lots(lots.collect());
            let weights = Weights {
                keep: 0,
                ..weights(&mut next)
            };
            let relaxed = Relaxed::new(&food, &weights, 300);
            coarse += i32::from(matches!(relaxed.kind, Kind::ByWeight));
            for used in 1..=300 {
                let floor = relaxed.floor(used, used);
                for lot in &food.lots {
                    let count = (used + lot.unit - 1) / lot.unit;
                    let left = count * lot.unit - used;
                    let bought = weights.food + count * lot.price * weights.pack;
                    let cost = bought + left * weights.spoiled(lot.value);
                    assert!(floor <= cost, "{used} of {lot:?} {weights:?}");
                }
            }
        }
        assert!(coarse > 50, "{coarse}");
    }
}
