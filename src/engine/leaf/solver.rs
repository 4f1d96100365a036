//! A complete set of lunches: days, batches, packs.
//!
//! Days are settled depth first in day order, lunches tried in name order, so that of equal
//! weeks the first found is the one the tie rule wants. A food's floor is replaced by the
//! least that it can cost on its days as soon as the days of all lunches that use it are known.

use crate::engine::leaf::assignment::{ItemDays, Rest};
use crate::engine::leaf::found::Found;
use crate::engine::leaf::one_food::bought;
use crate::engine::leaf::settling::{Extent, Settling};
use crate::engine::leaf::steps::Steps;
use crate::engine::model::hash::Mixer;
use crate::engine::model::lots::LotModel;
use crate::engine::model::pool::{BatchDemand, Pool, amount_in};
use crate::engine::model::score::{Score, Weights};
use crate::engine::model::times::Minutes;
use crate::engine::packs::flexible::Drawn;
use crate::engine::packs::flow::Demand;
use crate::engine::packs::way::{DAYS, Uses, Way};
use crate::engine::stage::Stage;
use crate::larder::{Day, Pin, RecipeId, Trip};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// What an item takes for one number of eaters.
#[derive(Debug)]
pub(in crate::engine) struct ItemAt {
    pub(in crate::engine) direct: Vec<(u32, i64)>,
    /// One entry per component.
    pub(in crate::engine) batches: Vec<BatchDemand>,
    pub(in crate::engine) staples: i64,
    /// Minutes of the lunch and the per-portion minutes of its components.
    pub(in crate::engine) minutes: i64,
}

type WayKey = (u32, u16, Uses);
type FlexKey = (u32, Uses, Vec<Demand>, Steps);
type FrontKey = (u32, Uses, Vec<Demand>);

/// Memory of what foods cost, and the leaf's own books.
pub(in crate::engine) struct LeafSolver<'s, 'a> {
    pub(in crate::engine) stage: &'s Stage<'a>,
    items_at: HashMap<(u32, usize), Arc<ItemAt>>,
    known: HashMap<WayKey, Arc<Vec<Way>>, Mixer>,
    pub(in crate::engine) flexed: HashMap<FlexKey, Option<Drawn>, Mixer>,
    /// Ways of a food whose batches may be divided, whatever the days.
    pub(in crate::engine) fronts: HashMap<FrontKey, Arc<Vec<Way>>, Mixer>,
    /// What items cost by their day.
    pub(in crate::engine) days_known: Vec<Option<Arc<ItemDays>>>,
    ticks: u32,
    /// Sum of the idle scores of all foods on hand, and each of them.
    pub(in crate::engine) idle: Vec<Option<Score>>,
    pub(in crate::engine) idle_sum: Score,
    /// Allowed sets of trips and their price.
    pub(in crate::engine) trip_sets: Vec<(u16, i64)>,
    pub(in crate::engine) all_trips: u16,
}

/// Foods of a set of lunches.
#[derive(Clone, Debug)]
pub(in crate::engine) struct FoodHere {
    pub(in crate::engine) food: u32,
    /// Lunches (a bit each) that use it on their own day, and through a batch.
    direct: u32,
    pub(in crate::engine) batched: u32,
    /// Its cost does not depend on days.
    pub(in crate::engine) settled: bool,
    /// Floor while days are open.
    pub(in crate::engine) floor: Score,
}

impl FoodHere {
    /// Lunches that use it, a bit each.
    pub(in crate::engine) fn lunches(&self) -> u32 {
        self.direct | self.batched
    }
}

/// One set of lunches being settled.
pub(in crate::engine) struct Leaf {
    /// Item indices, rising.
    pub(in crate::engine) items: Vec<u32>,
    /// `at[lunch][class]`.
    pub(in crate::engine) at: Vec<Vec<Arc<ItemAt>>>,
    pub(in crate::engine) foods: Vec<FoodHere>,
    /// Least day preference of each lunch over its days.
    least_preference: Vec<i64>,
    /// What the days of lunches without one add at least, and to what spoils.
    rest: (Rest, Rest),
    /// Lunch of each day so far.
    pub(in crate::engine) order: Vec<usize>,
}

/// Forget what is remembered beyond this many use vectors: memory, not exactness.
pub(in crate::engine) const MOST_KNOWN: usize = 400_000;

/// Returns the sets of trips that a week may make, each with its price, cheapest first: those that
/// cost nothing always, of the others any.
fn trip_sets(pool: &Pool, weights: &Weights) -> Vec<(u16, i64)> {
    let lots = || pool.foods.iter().flatten().flat_map(|food| &food.lots);
    let (mut sets, mut free) = (vec![(0_u16, 0_i64)], 0);
    for trip in 0..pool.larder.week.trips.len() as Trip {
        let price = pool.larder.trip_price_minor(trip) * weights.trip;
        if price == 0 {
            free |= 1 << trip;
        } else if lots().any(|lot| lot.usable && lot.trip == Some(trip)) {
            for at in 0..sets.len() {
                let (set, cost) = sets[at];
                sets.push((set | 1 << trip, cost + price));
            }
        }
    }
    for (set, _) in &mut sets {
        *set |= free;
    }
    sets.sort_unstable_by_key(|&(set, cost)| (cost, set));
    sets
}

impl<'s, 'a> LeafSolver<'s, 'a> {
    pub(in crate::engine) fn new(stage: &'s Stage<'a>) -> Self {
        let pool = stage.pool;
        let all_trips = ((1u32 << pool.larder.week.trips.len()) - 1) as u16;
        let trip_sets = trip_sets(pool, &stage.gauges[0].weights);
        let mut solver = Self {
            stage,
            items_at: HashMap::new(),
            known: HashMap::with_hasher(Mixer),
            flexed: HashMap::with_hasher(Mixer),
            fronts: HashMap::with_hasher(Mixer),
            days_known: Vec::new(),
            ticks: 0,
            idle: vec![None; pool.foods.len()],
            idle_sum: Score::default(),
            trip_sets,
            all_trips,
        };
        for (food, model) in pool.foods.iter().enumerate() {
            if model
                .as_ref()
                .is_some_and(|model| model.lots.iter().any(LotModel::is_stock))
            {
                let way = &solver.ways(food as u32, all_trips, &[0; DAYS])[0];
                solver.idle[food] = Some(way.score);
                solver.idle_sum = solver.idle_sum + way.score;
            }
        }
        solver
    }

    /// Whether the run was told to stop; asks now and then.
    pub(in crate::engine) fn halted(&mut self) -> bool {
        self.ticks = self.ticks.wrapping_add(1);
        self.stage.halted(self.ticks.is_multiple_of(64))
    }

    pub(in crate::engine) fn pool(&self) -> &'s Pool<'a> {
        self.stage.pool
    }

    /// Returns what an item takes for the eaters of `class`.
    pub(in crate::engine) fn item_at(&mut self, index: u32, class: usize) -> Arc<ItemAt> {
        let pool = self.pool();
        let item = &self.stage.items[index as usize];
        Arc::clone(self.items_at.entry((index, class)).or_insert_with(|| {
            let mut at = ItemAt {
                direct: Vec::new(),
                batches: Vec::new(),
                staples: 0,
                minutes: pool.larder.recipes[item.recipe.index()].minutes_nano,
            };
            for (line, &position) in item.taken.iter().enumerate() {
                let taken = pool.taken(item.recipe, line, position, class);
                at.direct.extend(taken.direct);
                at.staples += taken.staples;
                at.minutes += taken.minutes;
                for batch in taken.batches {
                    match at
                        .batches
                        .iter_mut()
                        .find(|old| old.component == batch.component)
                    {
                        Some(old) => {
                            old.mg += batch.mg;
                            old.foods.extend(batch.foods);
                        }
                        None => at.batches.push(batch),
                    }
                }
            }
            at.direct = add_up(std::mem::take(&mut at.direct));
            at.batches.sort_by_key(|batch| batch.component);
            for batch in &mut at.batches {
                batch.foods = add_up(std::mem::take(&mut batch.foods));
            }
            Arc::new(at)
        }))
    }

    fn way_key(&self, food: u32, trips: u16, uses: &Uses) -> WayKey {
        let model = self.pool().foods[food as usize].as_ref();
        let trips = model.map_or(0, |model| model.trips & trips);
        let mut key = (food, trips, *uses);
        if model.is_some_and(|model| model.timeless) {
            // Only the sum counts: one entry for all spreads of it.
            let total = uses.iter().sum();
            key.2 = [0; DAYS];
            key.2[self.pool().last as usize] = total;
        }
        key
    }

    /// Returns the ways of a food, remembered.
    pub(in crate::engine) fn ways(&mut self, food: u32, trips: u16, uses: &Uses) -> Arc<Vec<Way>> {
        let key = self.way_key(food, trips, uses);
        if let Some(known) = self.known.get(&key) {
            return Arc::clone(known);
        }
        if self.known.len() >= MOST_KNOWN {
            self.known.clear();
        }
        let stage = self.stage;
        let halted = || stage.halted(true);
        let found = bought(stage, food, trips, &key.2, &halted);
        let found = Arc::new(found);
        // What was given up half way is no answer to keep.
        if !stage.halted(false) {
            self.known.insert(key, Arc::clone(&found));
        }
        found
    }

    /// Settles the best week of `chosen` items and keeps it in `best` if it is better. Returns the least
    /// floor of a week with lunches divided over batches that might be better still, if there may be one: it is
    /// asked about last ([`Self::divide`]), when most such sets can no longer matter.
    pub(in crate::engine) fn solve(
        &mut self,
        chosen: &[u32],
        extent: Extent,
        best: &mut Option<Found>,
    ) -> Option<i64> {
        let mut settling = Settling::new(best, extent);
        self.settle_set(chosen, &mut settling);
        settling.undivided
    }

    pub(in crate::engine) fn settle_set(&mut self, chosen: &[u32], settling: &mut Settling) {
        if !self.stage.apart(&chosen.iter().copied()) {
            return;
        }
        let mut items = chosen.to_vec();
        items.sort_unstable();
        let classes = self.pool().eaters.len();
        let lunch = |&index: &u32| {
            let at = (0..classes).map(|class| self.item_at(index, class));
            at.collect()
        };
        let at: Vec<Vec<Arc<ItemAt>>> = items.iter().map(lunch).collect();
        let mut foods = foods_of(&at);
        let Some(of_foods) = self.floors_of(&mut foods, &at) else {
            return;
        };
        let price = self.stage.gauges[0].weights.preference;
        let preferences = items.iter();
        let preferences =
            preferences.map(|&index| self.stage.items[index as usize].preference * price);
        let least_preference: Vec<i64> = preferences.collect();
        let mut floor = of_foods + self.batches_and_lunches(&at);
        floor.objective += least_preference.iter().sum::<i64>();
        let rest = self.rest_of(&items, &foods);
        let mut leaf = Leaf {
            items,
            at,
            foods,
            least_preference,
            rest,
            order: Vec::new(),
        };
        self.days(&mut leaf, 0, floor, settling);
    }

    /// Notes the floor of each food, and adds them up with what foods on hand cost that no lunch takes; none if
    /// one cannot be had.
    fn floors_of(&mut self, foods: &mut [FoodHere], at: &[Vec<Arc<ItemAt>>]) -> Option<Score> {
        let pool = self.pool();
        let classes = pool.eaters.len();
        let mut sum = self.idle_sum;
        for here in foods {
            let model = pool.foods[here.food as usize].as_ref().expect("counted");
            if let Some(idle) = self.idle[here.food as usize] {
                sum = sum - idle;
            }
            let mut totals = (0, 0);
            for at in at {
                totals.0 += total_of(&at[0], here.food);
                totals.1 += total_of(&at[classes - 1], here.food);
            }
            here.settled = model.timeless && classes == 1;
            here.floor = if here.settled {
                let mut uses = [0; DAYS];
                uses[pool.last as usize] = totals.0;
                least(&self.ways(here.food, self.all_trips, &uses))?
            } else {
                let (cost, spoiled) = self.stage.tie_floors(here.food, totals.0, totals.1);
                Score {
                    objective: self.stage.gauges[0].floor(here.food, totals.0, totals.1),
                    foods: i64::from(totals.0 > model.on_hand),
                    cost,
                    spoiled,
                }
            };
            sum = sum + here.floor;
        }
        Some(sum)
    }

    /// What is certain before days are known: at least one batch of each component, and lunches for the fewest
    /// eaters.
    fn batches_and_lunches(&self, at: &[Vec<Arc<ItemAt>>]) -> Score {
        let batches = at.iter().flat_map(|at| &at[0].batches);
        let mut components: Vec<u32> = batches.map(|batch| batch.component).collect();
        components.sort_unstable();
        components.dedup();
        let weights = &self.stage.gauges[0].weights;
        let cooked = components.iter();
        let cooked = cooked.map(|&component| weights.timed(self.pool().batch(component)));
        let mut sum = Score {
            objective: cooked.sum(),
            ..Score::default()
        };
        for at in at {
            sum = sum + self.lunch_score(&at[0]);
        }
        sum
    }

    /// Staples and minutes of a lunch.
    pub(in crate::engine) fn lunch_score(&self, at: &ItemAt) -> Score {
        let weights = &self.stage.gauges[0].weights;
        Score {
            objective: at.staples * weights.staple + at.minutes * weights.minute,
            cost: at.staples,
            ..Score::default()
        }
    }

    /// Whether a partial week with these least sums can no longer become the best, or stay
    /// within the ceilings.
    pub(in crate::engine) fn beaten(
        &self,
        floor: &Score,
        leaf: &Leaf,
        best: Option<&Found>,
    ) -> bool {
        let ceilings = &self.stage.ceilings;
        if ceilings.foods.passed(floor.foods)
            || ceilings.cost.passed(floor.cost)
            || ceilings.spoiled.passed(floor.spoiled)
        {
            return true;
        }
        let Some(best) = best else { return false };
        if !self.stage.settles_ties {
            return floor.objective >= best.score.objective;
        }
        if *floor != best.score {
            return *floor > best.score;
        }
        // Equal sums: names in day order decide, then items; the same week is no better.
        let here = leaf.order.iter().map(|&l| leaf.items[l]);
        let recipe = |item: u32| self.stage.items[item as usize].recipe;
        let known = leaf.order.len();
        let by_name = here
            .clone()
            .map(recipe)
            .cmp(best.recipes[..known].iter().copied());
        by_name.is_gt()
            || by_name.is_eq()
                && known == leaf.items.len()
                && here.cmp(best.items.iter().copied()).is_ge()
    }

    /// Chooses the lunch of the next day.
    fn days(&mut self, leaf: &mut Leaf, taken: u32, floor: Score, settling: &mut Settling) {
        let mut with_rest = floor;
        let Some((objective, spoiled)) = leaf.rest.0.of(taken).zip(leaf.rest.1.of(taken)) else {
            return;
        };
        with_rest.objective += objective;
        with_rest.spoiled += spoiled;
        if self.beaten(&with_rest, leaf, settling.best.as_ref()) || self.halted() {
            return;
        }
        if !settling.may_look_at_order() {
            return;
        }
        let pool = self.pool();
        let day = leaf.order.len();
        if day == leaf.items.len() {
            self.settle(leaf, settling);
            return;
        }
        let class = pool.class_of_day[day];
        let weights = self.stage.gauges[0].weights.clone();
        let mut tried: Option<u32> = None;
        for lunch in 0..leaf.items.len() {
            let index = leaf.items[lunch];
            if taken & (1 << lunch) != 0 || tried == Some(index) {
                continue;
            }
            tried = Some(index);
            if !self.may_come_next(leaf, lunch) {
                continue;
            }
            let recipe = self.stage.items[index as usize].recipe;
            let now = taken | (1 << lunch);
            let mut next = floor;
            next.objective += pool.preference[recipe.index()][day] * weights.preference
                - leaf.least_preference[lunch];
            if class > 0 {
                next = next + self.lunch_score(&leaf.at[lunch][class])
                    - self.lunch_score(&leaf.at[lunch][0]);
            }
            leaf.order.push(lunch);
            if let Some(next) = self.known_foods(leaf, now, lunch, next, settling.best.as_ref()) {
                self.days(leaf, now, next, settling);
            }
            leaf.order.pop();
            if settling.extent == Extent::FirstBetter
                && let Some(best) = settling.best.as_ref()
                && best.items.len() == leaf.items.len()
                && best.items.iter().all(|item| leaf.items.contains(item))
            {
                return;
            }
        }
    }

    /// Whether the next day may have a lunch, after the one before it.
    fn may_come_next(&self, leaf: &Leaf, lunch: usize) -> bool {
        let pool = self.pool();
        let class = pool.class_of_day[leaf.order.len()];
        let day = leaf.order.len() as Day + 1;
        let index = leaf.items[lunch];
        let item = &self.stage.items[index as usize];
        let clashes = |&before: &usize| {
            let other = self.stage.items[leaf.items[before] as usize].recipe;
            pool.clash_side_by_side(other, item.recipe)
        };
        item.days.contains(day.into())
            && !leaf.order.last().is_some_and(clashes)
            && self.time_allows(day, item.recipe, &leaf.at[lunch][class])
            && self.food_pins_hold(day, index)
    }

    /// Whether a lunch's own minutes fit `day`, and all that it takes of components can be cooked
    /// in time for it.
    pub(in crate::engine) fn time_allows(&self, day: Day, recipe: RecipeId, at: &ItemAt) -> bool {
        let pool = self.pool();
        let own = Minutes::active(pool.larder.recipes[recipe.index()].minutes_nano);
        let mut batches = at.batches.iter();
        !pool.limits[usize::from(day)].passed(own)
            && batches.all(|batch| !pool.window(batch.component, day.into()).is_empty())
    }

    /// Whether a food pinned to `day` is in the item.
    pub(in crate::engine) fn food_pins_hold(&self, day: Day, index: u32) -> bool {
        self.pool().larder.wishes.with.iter().all(|pin| match pin {
            Pin::Food(food, Some(pinned)) if *pinned == day => crate::engine::model::items::takes(
                self.pool(),
                &self.stage.items[index as usize],
                *food,
            ),
            _ => true,
        })
    }

    /// Replaces the floors of foods whose last lunch has just been given its day: by what
    /// they cost, or, where a batch may be cooked on several days, by the least over them. None if the week
    /// is beaten, which is asked before the first food and after each: each sum is a floor by itself, of some foods
    /// what they cost and of the others what they cost at least, and it rises from one to the next.
    fn known_foods(
        &mut self,
        leaf: &Leaf,
        taken: u32,
        lunch: usize,
        mut floor: Score,
        best: Option<&Found>,
    ) -> Option<Score> {
        let (objective, spoiled) = leaf.rest.0.of(taken).zip(leaf.rest.1.of(taken))?;
        let rest = Score {
            objective,
            spoiled,
            ..Score::default()
        };
        for here in &leaf.foods {
            let lunches = here.lunches();
            if here.settled || lunches & (1 << lunch) == 0 || lunches & !taken != 0 {
                continue;
            }
            if self.beaten(&(floor + rest), leaf, best) {
                return None;
            }
            let known = self.food_floor(leaf, here)?;
            floor = floor - here.floor + known;
        }
        Some(floor)
    }

    /// Floor of a food all of whose lunches have their days.
    pub(in crate::engine) fn food_floor(&mut self, leaf: &Leaf, here: &FoodHere) -> Option<Score> {
        let pool = self.pool();
        let mut uses = self.direct_uses(leaf, here.food);
        if here.batched == 0 {
            return self.least_cost(here.food, &uses, Steps::Few);
        }
        let mut demands: Vec<Demand> = Vec::new();
        for (day, &lunch) in leaf.order.iter().enumerate() {
            if here.batched & (1 << lunch) == 0 {
                continue;
            }
            for batch in &leaf.at[lunch][pool.class_of_day[day]].batches {
                let mg = amount_in(batch, here.food);
                if mg > 0 {
                    demands.push((pool.window(batch.component, day as i32 + 1), mg));
                }
            }
        }
        if pool.foods[here.food as usize].as_ref()?.timeless {
            uses[pool.last as usize] += demands.iter().map(|d| d.1).sum::<i64>();
            return least(&self.ways(here.food, self.all_trips, &uses));
        }
        let (objective, _) = self.flexible(here.food, &uses, demands, Steps::Few)?;
        Some(Score {
            objective,
            ..here.floor
        })
    }

    /// Milligrams of a food used directly on each day settled so far.
    pub(in crate::engine) fn direct_uses(&self, leaf: &Leaf, food: u32) -> Uses {
        let mut uses = [0; DAYS];
        for (day, &lunch) in leaf.order.iter().enumerate() {
            let class = self.pool().class_of_day[day];
            let at = &leaf.at[lunch][class];
            if let Ok(place) = at.direct.binary_search_by_key(&food, |&(f, _)| f) {
                uses[day + 1] = at.direct[place].1;
            }
        }
        uses
    }
}

/// Componentwise least of some ways; none if there are none.
pub(in crate::engine) fn least(ways: &[Way]) -> Option<Score> {
    let mut ways = ways.iter();
    let first = ways.next()?.score;
    Some(ways.fold(first, |least, way| least.least(way.score)))
}

/// Sorts by food and adds up.
fn add_up(mut amounts: Vec<(u32, i64)>) -> Vec<(u32, i64)> {
    amounts.sort_unstable();
    let mut sums: Vec<(u32, i64)> = Vec::with_capacity(amounts.len());
    for (food, mg) in amounts {
        match sums.last_mut() {
            Some((last, sum)) if *last == food => *sum += mg,
            _ => sums.push((food, mg)),
        }
    }
    sums
}

/// The foods that lunches take for the most eaters, and which lunches those are.
fn foods_of(at: &[Vec<Arc<ItemAt>>]) -> Vec<FoodHere> {
    let mut foods: BTreeMap<u32, (u32, u32)> = BTreeMap::new();
    for (lunch, at) in at.iter().enumerate() {
        let Some(most) = at.last() else { continue };
        for &(food, _) in &most.direct {
            foods.entry(food).or_default().0 |= 1 << lunch;
        }
        for &(food, _) in most.batches.iter().flat_map(|batch| &batch.foods) {
            foods.entry(food).or_default().1 |= 1 << lunch;
        }
    }
    let foods = foods.into_iter();
    foods
        .map(|(food, (direct, batched))| FoodHere {
            food,
            direct,
            batched,
            settled: false,
            floor: Score::default(),
        })
        .collect()
}

fn total_of(at: &ItemAt, food: u32) -> i64 {
    let pick = |amounts: &[(u32, i64)]| {
        amounts
            .binary_search_by_key(&food, |&(f, _)| f)
            .map_or(0, |place| amounts[place].1)
    };
    pick(&at.direct) + at.batches.iter().map(|b| pick(&b.foods)).sum::<i64>()
}
