//! One question being searched: what all threads share, and whether to stop.

use crate::engine::answer::Progress;
use crate::engine::bound::forced::Cover;
use crate::engine::bound::gauge::Gauge;
use crate::engine::bound::mean_rules::Mean;
use crate::engine::bound::smallest::Classes;
use crate::engine::model::apart::{Apart, shared};
use crate::engine::model::items::{Item, Pairs};
use crate::engine::model::pool::Pool;
use crate::engine::model::score::{Ceilings, Weights};
use crate::engine::packs::way::Limited;
use crate::larder::{Aim, Pin};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU64, Ordering};

/// Partial weeks between two questions whether to stop.
pub(in crate::engine) const ASKS: u64 = 64;
/// Sets of lunches listed at most.
pub(in crate::engine) const MOST_LISTED: usize = 50_000;

/// Everything a stage's search shares between threads.
pub(in crate::engine) struct Stage<'a> {
    pub(in crate::engine) pool: &'a Pool<'a>,
    pub(in crate::engine) items: &'a [Item],
    pub(in crate::engine) pairs: &'a Pairs,
    /// What each item costs in any case, by gauge.
    pub(in crate::engine) fixed: Vec<Arc<Vec<i64>>>,
    /// The objective first, then every sum with a ceiling.
    pub(in crate::engine) gauges: Vec<Arc<Gauge>>,
    /// Ceiling of each gauge but the first, whose is the incumbent: [`crate::engine::tree::path::Path::cutoff`].
    pub(in crate::engine) limits: Vec<i64>,
    pub(in crate::engine) ceilings: Ceilings,
    pub(in crate::engine) covers: Vec<Cover>,
    /// Rules on the week's mean.
    pub(in crate::engine) means: Vec<Mean>,
    /// Classes of which only so many may be chosen.
    pub(in crate::engine) classes: Classes,
    /// Gauges of cost and of spoiled value, where ties are settled by them.
    pub(in crate::engine) ties: Option<[Arc<Gauge>; 2]>,
    /// Ties are settled too (the last stage); otherwise only a better objective counts.
    pub(in crate::engine) settles_ties: bool,
    /// List every set of lunches with floors up to this objective instead of settling
    /// those that beat the incumbent.
    pub(in crate::engine) listing: Option<i64>,
    /// List the sets too with floors up to so large a part of the incumbent beyond it.
    pub(in crate::engine) beyond_part: Option<i64>,
    /// That list has become too long to be of use.
    pub(in crate::engine) too_long: AtomicBool,
    /// Dearest week asked for.
    pub(in crate::engine) most: i64,
    /// Weeks to stay apart from.
    pub(in crate::engine) apart: &'a [Apart],
    /// What must be in the week beside the wishes.
    pub(in crate::engine) with: &'a [Pin],
    /// Candidates looked at after which a round is the last.
    pub(in crate::engine) most_work: Option<u64>,
    pub(in crate::engine) stop: &'a (dyn Fn() -> bool + Sync),
    pub(in crate::engine) stopped: AtomicBool,
    pub(in crate::engine) told: Told<'a>,
    /// A known best week that no bound may cut.
    #[cfg(test)]
    pub(in crate::engine) witness: Option<crate::engine::bound::witness::Witness>,
}

/// How far a stage is, for whoever listens.
pub(in crate::engine) struct Told<'a> {
    pub(in crate::engine) listener: Option<&'a (dyn Fn(&Progress) + Sync)>,
    /// What is being made small; none for the one-currency objective.
    pub(in crate::engine) aim: Option<Aim>,
    pub(in crate::engine) seen: AtomicU64,
    /// [`i64::MAX`] until a week is found.
    pub(in crate::engine) best: AtomicI64,
    /// [`i64::MIN`] until a bound is known.
    pub(in crate::engine) bound: AtomicI64,
}

impl<'a> Told<'a> {
    pub(in crate::engine) fn new(
        listener: Option<&'a (dyn Fn(&Progress) + Sync)>,
        aim: Option<Aim>,
    ) -> Self {
        Self {
            listener,
            aim,
            seen: AtomicU64::new(0),
            best: AtomicI64::new(i64::MAX),
            bound: AtomicI64::new(i64::MIN),
        }
    }

    /// Tells the listener.
    pub(in crate::engine) fn tell(&self) {
        let Some(listener) = self.listener else {
            return;
        };
        let known = |value: i64, none: i64| (value != none).then_some(value);
        listener(&Progress {
            aim: self.aim,
            best_nano: known(self.best.load(Ordering::Relaxed), i64::MAX),
            bound_nano: known(self.bound.load(Ordering::Relaxed), i64::MIN),
            nodes: self.seen.load(Ordering::Relaxed),
        });
    }
}

impl Stage<'_> {
    /// Foods and components.
    pub(in crate::engine) fn units(&self) -> usize {
        self.pool.larder.foods.len() + self.pool.larder.components.len()
    }

    /// What must be in the week.
    pub(in crate::engine) fn with(&self) -> impl Iterator<Item = &Pin> {
        self.pool.larder.wishes.with.iter().chain(self.with)
    }

    /// Whether these lunches leave the week apart from those it must not be like.
    pub(in crate::engine) fn apart(&self, chosen: &(impl Iterator<Item = u32> + Clone)) -> bool {
        self.apart.iter().all(|other| {
            let recipes = chosen.clone().map(|i| self.items[i as usize].recipe);
            shared(&other.recipes, recipes) <= other.shared
        })
    }

    /// Whether the run was told to stop; `ask` asks again.
    pub(in crate::engine) fn halted(&self, ask: bool) -> bool {
        if ask {
            if (self.stop)() {
                self.stopped.store(true, Ordering::Relaxed);
            }
            self.told.tell();
        }
        self.stopped.load(Ordering::Relaxed)
    }

    /// Floors of a food under the sums that settle ties: cost and spoiled value.
    pub(in crate::engine) fn tie_floors(&self, food: u32, used: i64, most: i64) -> (i64, i64) {
        let Some([cost, spoiled]) = &self.ties else {
            return (0, 0);
        };
        (
            cost.floor(food, used, most),
            spoiled.floor(food, used, most),
        )
    }

    /// The gauge of what spoils, where that has a ceiling.
    pub(in crate::engine) fn spoiled_gauge(&self) -> Option<usize> {
        if !self.ceilings.spoiled.is_set() {
            return None;
        }
        let spoiled = Weights::aim(Aim::Spoiled);
        (1..self.gauges.len()).find(|&at| self.gauges[at].weights == spoiled)
    }

    /// Sums of a food's ways that a ceiling asks about.
    pub(in crate::engine) fn limited(&self, food: u32) -> Limited {
        let ceilings = &self.ceilings;
        let model = self.pool.foods[food as usize].as_ref();
        Limited {
            // What nothing is on hand of is bought in every way.
            foods: ceilings.on_foods() && model.is_some_and(|model| model.on_hand > 0),
            cost: ceilings.packs.is_set() || ceilings.cost.is_set(),
            spoiled: ceilings.spoiled.is_set(),
        }
    }

    /// Whether more ways of a food may matter than the least.
    pub(in crate::engine) fn wants_front(&self, food: u32) -> bool {
        self.limited(food) != Limited::NONE
    }

    /// How far sets are listed beyond a best week with this objective, where they are.
    pub(in crate::engine) fn beyond(&self, best: i64) -> i64 {
        let part = self.beyond_part.map_or(0, |part| (best / part).abs());
        best.saturating_add(part)
    }

    /// Whether all sets up to so far beyond the best week are listed.
    pub(in crate::engine) fn lists_beyond(&self) -> bool {
        self.beyond_part.is_some() && !self.too_long.load(Ordering::Relaxed)
    }

    /// Whether so many sets are too many to list.
    pub(in crate::engine) fn too_many(&self, listed: usize) -> bool {
        self.listing.is_some() && listed >= MOST_LISTED
    }

    /// The floors of a whole set of lunches, of which all units use so much: no week of these lunches comes to less under the
    /// gauge. Plain definition: what the items cost in any case, and of every unit the floor of what is used, whether that is
    /// something or nothing.
    ///
    /// Proof: that of [`Gauge`]. A unit is counted where the first item that uses it stands; one that none uses costs nothing,
    /// but for stock that may be left over. Whole numbers, nothing is rounded here.
    ///
    /// Of a part of a week these are not a bound: one lunch more may use up what is left over. It is what
    /// [`Stage::exact_more`] is added to, until the set is whole.
    pub(in crate::engine) fn exact_base(&self, gauge: usize, used: &[i64], chosen: &[u32]) -> i64 {
        let pairs = self.pairs;
        let fixed = &self.fixed[gauge];
        let gauge = &self.gauges[gauge];
        let mut base = gauge.constant;
        for (at, &index) in chosen.iter().enumerate() {
            base += fixed[index as usize];
            for &pair in pairs.of(index) {
                let unit = pairs.list[pair as usize].0;
                if !chosen[..at].iter().any(|&old| pairs.uses(old, unit)) {
                    let used = used[unit as usize];
                    base += gauge.floor(unit, used, self.pool.stretch(used));
                }
            }
        }
        for &unit in gauge.restless.iter() {
            if used[unit as usize] == 0 {
                base += gauge.floor(unit, 0, self.pool.stretch(0));
            }
        }
        base
    }

    /// What so much more of a unit adds to its floor, which may be less than nothing. Added to [`Stage::exact_base`] for each
    /// unit of a lunch it makes the floors of the set with that lunch, since units of other lunches stay as they are.
    pub(in crate::engine) fn exact_more(
        &self,
        gauge: usize,
        used: &[i64],
        (unit, more): (u32, i64),
    ) -> i64 {
        let gauge = &self.gauges[gauge];
        let used = used[unit as usize];
        let with = used + more;
        let before = if used > 0 || gauge.restless.binary_search(&unit).is_ok() {
            gauge.floor(unit, used, self.pool.stretch(used))
        } else {
            0
        };
        gauge.floor(unit, with, self.pool.stretch(with)) - before
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::model::samples::{alone, kitchen, numbers, varied_by_turn};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::staging::{first_ceilings, make_stage};
    use crate::engine::tree::worker::Worker;

    /// The floors of a set of lunches are those of all units, one by one; and no week of these lunches costs less.
    #[test]
    fn no_week_of_a_set_costs_less_than_its_floors() {
        let mut next = numbers(3);
        let (mut compared, mut settled, mut met) = (0, 0, 0);
        for name in [
            "stored/everything",
            "stored/stock-on-hand",
            "stored/repeats",
            "stored/two-trips",
            "stored/ripening-fruit",
            "stored/plain-packs",
            "stored/sameness",
        ] {
            let sound = kitchen(name);
            for turn in 0..4 {
                let larder = varied_by_turn(&sound, turn, &mut next);
                let limits = alone();
                let ready = Ready::new(&larder, &|| false);
                let (given, ceilings) = (Given::default(), first_ceilings(&larder));
                let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
                for _ in 0..60 {
                    let mut week: Vec<u32> = Vec::new();
                    for _ in 0..20 * stage.pool.last {
                        let item = next(stage.items.len()) as u32;
                        if week.len() < stage.pool.last as usize && stage.fits(&week, item) {
                            week.push(item);
                        }
                    }
                    let mut worker = Worker::new(&stage);
                    worker.path.set_used(&week);
                    let used = worker.path.used().to_vec();
                    let floors = stage.gauges.iter().enumerate().map(|(at, gauge)| {
                        let items = week.iter().map(|&item| gauge.fixed(stage.item(item)));
                        let units = (0..).zip(&used);
                        let units = units
                            .map(|(unit, &used)| gauge.floor(unit, used, stage.pool.stretch(used)));
                        let plain = gauge.constant + items.sum::<i64>() + units.sum::<i64>();
                        compared += 1;
                        assert_eq!(
                            stage.exact_base(at, &used, &week),
                            plain,
                            "{name}: {week:?}"
                        );
                        plain
                    });
                    let floors: Vec<i64> = floors.collect();
                    if week.len() < stage.pool.last as usize || !stage.allows(&week) {
                        continue;
                    }
                    worker.path.settle(&week);
                    if let Some(found) = worker.path.take().best {
                        let objective = found.score.objective;
                        assert!(floors[0] <= objective, "{name}: {week:?}");
                        settled += 1;
                        met += i32::from(floors[0] == objective);
                    }
                }
            }
        }
        assert!(
            compared > 2_000 && settled > 300 && met > 30,
            "{compared} {settled} {met}"
        );
    }
}
