//! Near misses: foods of which a little less would save a purchase, and lunches that could take
//! what is thrown out.
//!
//! Both ask for the best way of buying one food anew (`engine::Buying`), on the trips that the
//! week makes, with everything else as it is. Rules on nutrition are not asked again: what is
//! told is how amounts and packs fit, not that a dish is as good with less.

use std::collections::BTreeMap;

use super::base::Base;
use super::facts::food_name;
use crate::engine::{Buying, Solved};
use crate::explain::{BetterYield, Fate, Misses, Room, Short, When, eaten, left_of};
use crate::larder::{Day, FoodId, Larder, PackId, Trip, WHOLE_YIELD, edible_mg, value_nano};
use crate::plan::{Lot, Plan};

use std::sync::Arc;

/// Works out the near misses of a week; what was not settled when `stop` said so is left out.
pub fn misses(larder: &Larder, week: &Solved, stop: &dyn Fn() -> bool) -> Misses {
    let base = Base {
        solved: Arc::new(week.clone()),
    };
    of(larder, &base, false, stop)
}

/// As [`misses`]; with `yields` better yields are looked for as well.
pub(super) fn of(larder: &Larder, base: &Base, yields: bool, stop: &dyn Fn() -> bool) -> Misses {
    let plan = &base.solved.plan;
    let trips = trips(plan);
    let mut bought: BTreeMap<FoodId, Vec<(PackId, i64)>> = BTreeMap::new();
    for purchase in &plan.purchases {
        let food = larder.packs[purchase.pack.index()].food;
        let packs = bought.entry(food).or_default();
        packs.push((purchase.pack, purchase.count));
    }
    let mut found = Misses::default();
    for (food, packs) in bought {
        if stop() {
            break;
        }
        let one = Food {
            larder,
            id: food,
            paid: (packs.iter())
                .map(|&(pack, count)| larder.packs[pack.index()].price_minor * count)
                .sum(),
            packs,
            uses: uses(larder, plan, food),
            buying: Buying::new(larder, food, &trips, stop),
        };
        let short = one.short().map(|short| Short {
            better: yields.then(|| one.better_yield(&trips, stop)).flatten(),
            ..short
        });
        found.short.extend(short);
        found.room.extend(one.room(plan));
    }
    // By the part they give way by, the least first: cross-multiplied.
    found.short.sort_by(|a, b| {
        let part = |one: &Short| (i128::from(one.of - one.kept), i128::from(one.of));
        let ((a_less, a_of), (b_less, b_of)) = (part(a), part(b));
        (a_less * b_of)
            .cmp(&(b_less * a_of))
            .then_with(|| a.food.cmp(&b.food))
    });
    found
}

/// The trips that the week makes: the first always, the others where something is bought.
fn trips(plan: &Plan) -> Vec<Trip> {
    let mut trips: Vec<Trip> = plan.purchases.iter().map(|bought| bought.trip).collect();
    trips.push(0);
    trips.sort_unstable();
    trips.dedup();
    trips
}

/// What the week uses of a food, by day.
fn uses(larder: &Larder, plan: &Plan, food: FoodId) -> Vec<(Day, i64)> {
    let mut uses: BTreeMap<Day, i64> = BTreeMap::new();
    for opening in &plan.openings {
        let of = match opening.lot {
            Lot::Bought(pack, _) => larder.packs[pack.index()].food,
            Lot::Stock(stock) => larder.stock[stock.index()].food,
        };
        for &(day, mg) in opening.draws.iter().filter(|_| of == food) {
            *uses.entry(day).or_default() += mg;
        }
    }
    uses.into_iter().collect()
}

/// The number nearest to `outside` that is enough, where `inside` is and whatever lies beyond one that
/// is; none if that was not settled.
fn halved(mut outside: i64, mut inside: i64, enough: impl Fn(i64) -> Option<bool>) -> Option<i64> {
    while outside.abs_diff(inside) > 1 {
        let middle = i64::midpoint(outside, inside);
        if enough(middle)? {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    Some(inside)
}

struct Food<'a> {
    larder: &'a Larder,
    id: FoodId,
    /// What is bought of it, and what is paid for that.
    packs: Vec<(PackId, i64)>,
    paid: i64,
    uses: Vec<(Day, i64)>,
    buying: Buying<'a>,
}

impl Food<'_> {
    /// All uses times a part, each rounded down to a milligram.
    fn shrunk(&self, kept: i64, of: i64) -> Vec<(Day, i64)> {
        let part = |mg: i64| (i128::from(mg) * i128::from(kept) / i128::from(of)) as i64;
        self.uses.iter().map(|&(day, mg)| (day, part(mg))).collect()
    }

    /// The largest part below 1 at which the bill of the food is smaller, counted in milligrams
    /// of its largest use.
    ///
    /// Proof that halving finds it. As long as something is used on each day, any way of buying
    /// and opening for larger uses does for smaller ones too, so the least bill never rises as
    /// the part falls.
    fn short(&self) -> Option<Short> {
        let amounts = || self.uses.iter().map(|&(_, mg)| mg);
        let (of, least) = (amounts().max()?, amounts().min()?);
        // A week that pays more for a food to throw less out is no near miss of a smaller bill.
        if self.paid == 0 || self.buying.least_minor(&self.uses)? != self.paid {
            return None;
        }
        let bill = |kept: i64| self.buying.least_minor(&self.shrunk(kept, of));
        // At this part the least use is a milligram still.
        let mut inside = (of + least - 1) / least;
        let outside = of;
        if inside >= outside || bill(inside)? >= self.paid {
            return None;
        }
        inside = halved(outside, inside, |kept| Some(bill(kept)? < self.paid))?;
        let used_mg: i64 = amounts().sum();
        let left: i64 = self.shrunk(inside, of).iter().map(|&(_, mg)| mg).sum();
        let saves_minor = self.paid - bill(inside)?;
        let (pack, fewer) = self.pack(saves_minor);
        Some(Short {
            food: food_name(self.larder, self.id),
            pack,
            fewer,
            used_mg,
            less_mg: used_mg - left,
            kept: inside,
            of,
            saves_minor,
            better: None,
        })
    }

    /// The least yield above the food's own at which its bill is smaller, uses as they are.
    ///
    /// Proof that halving finds it: of packs that hold more any way of buying and opening does
    /// still, so the least bill never rises with the yield.
    fn better_yield(&self, trips: &[Trip], stop: &dyn Fn() -> bool) -> Option<BetterYield> {
        let now = self.larder.foods[self.id.index()].yield_milli_percent;
        let bill = |share: i64| {
            let changed = self.larder.changed(|new| {
                for pack in new.packs.iter_mut().filter(|pack| pack.food == self.id) {
                    pack.unit_mg = edible_mg(pack.unit_ap_mg, share);
                    pack.value_nano = value_nano(pack.price_minor, pack.unit_mg * pack.units);
                }
                new.foods[self.id.index()].yield_milli_percent = share;
            });
            Buying::new(&changed.ok()?, self.id, trips, stop).least_minor(&self.uses)
        };
        if now >= WHOLE_YIELD || bill(WHOLE_YIELD)? >= self.paid {
            return None;
        }
        let least = halved(now, WHOLE_YIELD, |share| Some(bill(share)? < self.paid))?;
        Some(BetterYield {
            now,
            least,
            saves_minor: self.paid - bill(least)?,
        })
    }

    /// The pack that is bought if it is the only kind there is, and how many fewer a saving is.
    fn pack(&self, saves_minor: i64) -> (Option<String>, Option<i64>) {
        let kinds: Vec<_> = self.larder.packs_of(self.id).collect();
        let [(id, pack)] = kinds.as_slice() else {
            return (None, None);
        };
        let all = self.packs.iter().all(|(bought, _)| bought == id);
        let whole = all && pack.price_minor > 0 && saves_minor % pack.price_minor == 0;
        if whole {
            (
                Some(pack.label.clone()),
                Some(saves_minor / pack.price_minor),
            )
        } else {
            (None, None)
        }
    }

    /// The lunch that takes most of the food of those that could take all that is thrown out.
    fn room(&self, plan: &Plan) -> Option<Room> {
        let left = left_of(self.larder, plan);
        let name = food_name(self.larder, self.id);
        let out = left
            .iter()
            .filter(|row| row.food == name && row.fate == Fate::Spoiled);
        let (more_mg, saves_nano) = out.fold((0, 0), |(mg, nano), row| {
            (mg + row.left_mg, nano + row.value_nano)
        });
        if more_mg == 0 {
            return None;
        }
        let lunches = eaten(self.larder, plan);
        let takes = |day: Day| {
            let lunch = lunches.get(usize::from(day).checked_sub(1)?)?;
            lunch.get(&self.id).copied()
        };
        // Only what is used on the day itself can be more on that day.
        let mut days: Vec<(i64, Day)> = (self.uses.iter())
            .filter_map(|&(day, used)| Some((takes(day)?.min(used), day)))
            .filter(|&(mg, _)| mg > 0)
            .collect();
        days.sort_by_key(|&(mg, day)| (std::cmp::Reverse(mg), day));
        let day = days.into_iter().map(|(_, day)| day).find(|&day| {
            let mut uses = self.uses.clone();
            uses.push((day, more_mg));
            self.buying.serves_whole(&uses, self.paid)
        })?;
        Some(Room {
            food: name,
            when: When::new(self.larder, day.into()),
            more_mg,
            saves_nano,
        })
    }
}
