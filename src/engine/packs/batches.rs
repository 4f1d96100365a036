//! The batches of one component for lunches whose days are known.

use crate::engine::model::day_sets::KitchenDays;
use crate::engine::model::pool::{BatchDemand, Pool};
use crate::engine::model::times::Minutes;
use crate::engine::packs::way::Uses;
use crate::larder::{ComponentId, Day, FoodId};
use crate::plan::Batch;

/// A batch: day, lunches with milligrams, foods used.
type Cooked = (Day, Vec<(Day, i64)>, Vec<(u32, i64)>);

/// One way of cooking a component for its lunches.
#[derive(Clone, Debug)]
pub(in crate::engine) struct BatchChoice {
    pub(in crate::engine) component: u32,
    /// Batches, rising by day.
    pub(in crate::engine) batches: Vec<Cooked>,
    /// Minutes of the batches themselves.
    pub(in crate::engine) fixed_minutes: Minutes,
    /// Minutes spent on each day: the batches and their per-portion part.
    pub(in crate::engine) minutes: Vec<Minutes>,
}

impl BatchChoice {
    /// No batch yet.
    pub(in crate::engine) fn empty(pool: &Pool, component: u32) -> Self {
        Self {
            component,
            batches: Vec::new(),
            fixed_minutes: Minutes::default(),
            minutes: vec![Minutes::default(); pool.last as usize + 1],
        }
    }

    /// Adds what `lunch` takes from the batch of `day`.
    pub(in crate::engine) fn serve(&mut self, day: Day, lunch: Day, mg: i64, foods: &[(u32, i64)]) {
        let place = match self.batches.binary_search_by_key(&day, |batch| batch.0) {
            Ok(place) => place,
            Err(place) => {
                self.batches.insert(place, (day, Vec::new(), Vec::new()));
                place
            }
        };
        let batch = &mut self.batches[place];
        match batch.1.iter_mut().find(|(d, _)| *d == lunch) {
            Some((_, sum)) => *sum += mg,
            None => batch.1.push((lunch, mg)),
        }
        for &(food, mg) in foods {
            match batch.2.binary_search_by_key(&food, |&(f, _)| f) {
                Ok(at) => batch.2[at].1 += mg,
                Err(at) => batch.2.insert(at, (food, mg)),
            }
        }
    }

    /// Works out the minutes once all lunches are served.
    pub(in crate::engine) fn count_minutes(&mut self, pool: &Pool) {
        let batch = pool.batch(self.component);
        let rate = pool.component(self.component).minutes_per_mg_nano;
        self.fixed_minutes = batch * self.batches.len() as i64;
        for (day, serves, _) in &self.batches {
            let eaten: i64 = serves.iter().map(|(_, mg)| mg).sum();
            self.minutes[usize::from(*day)] += batch + Minutes::active(rate * eaten);
        }
    }

    /// Adds the use of `food` by these batches.
    pub(in crate::engine) fn add_uses(&self, food: u32, uses: &mut Uses) {
        for (day, _, foods) in &self.batches {
            if let Ok(place) = foods.binary_search_by_key(&food, |&(f, _)| f) {
                uses[usize::from(*day)] += foods[place].1;
            }
        }
    }
}

/// Days of the fewest batches: each batch as late as its first lunch allows decides who
/// shares it; it is then cooked as early as its last lunch allows. `windows` are the days on
/// which each demand may be cooked, at least one: in the order of lunches both ends only rise.
pub(in crate::engine) fn fewest(windows: &[KitchenDays]) -> Vec<Day> {
    let mut days = Vec::with_capacity(windows.len());
    let mut at = 0;
    while at < windows.len() {
        let latest = i32::from(windows[at].last());
        let shares = windows[at..]
            .iter()
            .take_while(|days| days.contains(latest));
        let end = at + shares.count();
        let common = windows[at..end]
            .iter()
            .fold(KitchenDays::ANY, |all, &days| all & days);
        days.extend(std::iter::repeat_n(common.first(), end - at));
        at = end;
    }
    days
}

/// Gathers an assignment into batches.
pub(in crate::engine) fn make(
    pool: &Pool,
    component: u32,
    demands: &[(Day, &BatchDemand)],
    days: &[Day],
) -> BatchChoice {
    let mut choice = BatchChoice::empty(pool, component);
    for (&(lunch, demand), &day) in demands.iter().zip(days) {
        choice.serve(day, lunch, demand.mg, &demand.foods);
    }
    choice.count_minutes(pool);
    choice
}

/// Writes the picked choices as plan batches, without staples (those are added when the
/// plan is made).
pub(in crate::engine) fn plan(picked: &[&BatchChoice]) -> Vec<Batch> {
    picked
        .iter()
        .flat_map(|choice| {
            choice.batches.iter().map(|(day, serves, foods)| Batch {
                component: ComponentId(choice.component),
                day: *day,
                serves: serves.clone(),
                foods: foods.iter().map(|&(f, mg)| (FoodId(f), mg)).collect(),
            })
        })
        .collect()
}
