//! A complete set of lunches: days, batches, packs.
//!
//! Days are settled depth first in day order, lunches tried in name order, so that of equal
//! weeks the first found is the one the tie rule wants. A food's floor is replaced by its
//! exact cost as soon as the days of all lunches that use it are known.

use super::batches::{self, BatchChoice};
use super::pool::{BatchDemand, Pool};
use super::score::Score;
use super::search::Stage;
use super::ways::{DAYS, Uses, Way, ways};
use crate::larder::{Day, Pin, RecipeId};
use crate::plan::Batch;
use std::collections::HashMap;
use std::sync::Arc;

/// A complete week as the search found it.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) score: Score,
    /// Recipe of each day.
    pub(super) recipes: Vec<RecipeId>,
    /// Item of each day.
    pub(super) items: Vec<u32>,
    /// Trips allowed.
    pub(super) trips: u16,
    pub(super) batches: Vec<Batch>,
}

/// What an item takes for one number of eaters.
#[derive(Debug)]
pub(super) struct ItemAt {
    pub(super) direct: Vec<(u32, i64)>,
    /// One entry per component.
    pub(super) batches: Vec<BatchDemand>,
    pub(super) staples: i64,
    /// Minutes of the lunch and the per-portion minutes of its components.
    pub(super) minutes: i64,
}

type WayKey = (u32, u16, Uses);

/// Memory of what foods cost, and the leaf's own books.
pub(super) struct LeafSolver<'s, 'a> {
    stage: &'s Stage<'a>,
    items_at: HashMap<(u32, usize), Arc<ItemAt>>,
    known: HashMap<WayKey, Arc<Vec<Way>>, Mixer>,
    ticks: u32,
    /// Least floor of a week whose lunches might have been divided over batches to
    /// advantage, where that was too large a question to settle.
    pub(super) undivided: Option<i64>,
    /// Sum of the idle scores of all foods on hand, and each of them.
    idle: Vec<Option<Score>>,
    idle_sum: Score,
    /// Allowed sets of trips and their price.
    trip_sets: Vec<(u16, i64)>,
    all_trips: u16,
}

/// Foods of a set of lunches.
#[derive(Clone, Debug)]
struct FoodHere {
    food: u32,
    /// Lunches (a bit each) that use it on their own day, and through a batch.
    direct: u32,
    batched: u32,
    /// Its cost does not depend on days.
    settled: bool,
    /// Floor while days are open.
    floor: Score,
}

/// One set of lunches being settled.
struct Leaf {
    /// Item indices, rising.
    items: Vec<u32>,
    /// `at[lunch][class]`.
    at: Vec<Vec<Arc<ItemAt>>>,
    foods: Vec<FoodHere>,
    /// Least day preference of each lunch over its days.
    least_preference: Vec<i64>,
    /// Lunch of each day so far.
    order: Vec<usize>,
}

/// Forget what is remembered beyond this many use vectors: memory, not exactness.
const MOST_KNOWN: usize = 400_000;

impl<'s, 'a> LeafSolver<'s, 'a> {
    pub(super) fn new(stage: &'s Stage<'a>) -> Self {
        let pool = stage.pool;
        let all_trips = ((1u32 << pool.larder.week.trips.len()) - 1) as u16;
        let price = stage.gauges[0].weights.trip;
        let mut trip_sets = Vec::new();
        if price == 0 {
            trip_sets.push((all_trips, 0));
        } else {
            for later in 0..=(all_trips >> 1) {
                trip_sets.push(((later << 1) | 1, price * i64::from(later.count_ones())));
            }
            trip_sets.sort_by_key(|&(set, cost)| (cost, set));
        }
        let mut solver = Self {
            stage,
            items_at: HashMap::new(),
            known: HashMap::with_hasher(Mixer),
            ticks: 0,
            undivided: None,
            idle: vec![None; pool.foods.len()],
            idle_sum: Score::default(),
            trip_sets,
            all_trips,
        };
        for (food, model) in pool.foods.iter().enumerate() {
            if model
                .as_ref()
                .is_some_and(|model| model.lots.iter().any(|lot| lot.stock))
            {
                let way = &solver.ways(food as u32, all_trips, &[0; DAYS])[0];
                solver.idle[food] = Some(way.score);
                solver.idle_sum = solver.idle_sum + way.score;
            }
        }
        solver
    }

    /// Whether the run was told to stop; asks now and then.
    fn halted(&mut self) -> bool {
        self.ticks = self.ticks.wrapping_add(1);
        self.stage.halted(self.ticks & 0x3f == 0)
    }

    fn pool(&self) -> &'s Pool<'a> {
        self.stage.pool
    }

    /// Returns what an item takes for the eaters of `class`.
    pub(super) fn item_at(&mut self, index: u32, class: usize) -> Arc<ItemAt> {
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

    /// Returns the ways of a food, remembered.
    fn ways(&mut self, food: u32, trips: u16, uses: &Uses) -> Arc<Vec<Way>> {
        let model = self.pool().foods[food as usize]
            .as_ref()
            .expect("counted foods only");
        let mut key = (food, trips, *uses);
        if model.timeless {
            // Only the sum counts: one entry for all spreads of it.
            let total = uses.iter().sum();
            key.2 = [0; DAYS];
            key.2[self.pool().last as usize] = total;
        }
        if let Some(known) = self.known.get(&key) {
            return Arc::clone(known);
        }
        if self.known.len() >= MOST_KNOWN {
            self.known.clear();
        }
        let stage = self.stage;
        let found = Arc::new(ways(
            model,
            &stage.gauges[0].weights,
            trips,
            &key.2,
            stage.pool.last,
            stage.wants_front(food),
            false,
        ));
        self.known.insert(key, Arc::clone(&found));
        found
    }

    /// Settles the best week of `chosen` items and keeps it in `best` if it is better.
    pub(super) fn solve(&mut self, chosen: &[u32], best: &mut Option<Found>) {
        let pool = self.pool();
        let mut items = chosen.to_vec();
        items.sort_unstable();
        let classes = pool.eaters.len();
        let at: Vec<Vec<Arc<ItemAt>>> = items
            .iter()
            .map(|&index| {
                (0..classes)
                    .map(|class| self.item_at(index, class))
                    .collect()
            })
            .collect();
        let mut foods: Vec<FoodHere> = Vec::new();
        for (lunch, at) in at.iter().enumerate() {
            let mut note = |food: u32, direct: bool| {
                let place = match foods.binary_search_by_key(&food, |f| f.food) {
                    Ok(place) => place,
                    Err(place) => {
                        foods.insert(
                            place,
                            FoodHere {
                                food,
                                direct: 0,
                                batched: 0,
                                settled: false,
                                floor: Score::default(),
                            },
                        );
                        place
                    }
                };
                if direct {
                    foods[place].direct |= 1 << lunch;
                } else {
                    foods[place].batched |= 1 << lunch;
                }
            };
            for &(food, _) in &at[classes - 1].direct {
                note(food, true);
            }
            for batch in &at[classes - 1].batches {
                for &(food, _) in &batch.foods {
                    note(food, false);
                }
            }
        }
        let mut start = self.idle_sum;
        let mut floors = Score::default();
        for here in &mut foods {
            let model = pool.foods[here.food as usize].as_ref().expect("counted");
            if let Some(idle) = self.idle[here.food as usize] {
                start = start - idle;
            }
            let mut totals = (0, 0);
            for at in &at {
                totals.0 += total_of(&at[0], here.food);
                totals.1 += total_of(&at[classes - 1], here.food);
            }
            here.settled = model.timeless && classes == 1;
            if here.settled {
                let mut uses = [0; DAYS];
                uses[pool.last as usize] = totals.0;
                let known = self.ways(here.food, self.all_trips, &uses);
                let Some(floor) = least(&known) else { return };
                here.floor = floor;
            } else {
                here.floor = Score {
                    objective: self.stage.gauges[0].floor(here.food, totals.0, totals.1),
                    foods: i64::from(totals.0 > model.on_hand),
                    ..Score::default()
                };
            }
            floors = floors + here.floor;
        }
        // Batches: at least one of each component.
        let weights = &self.stage.gauges[0].weights;
        let mut components: Vec<u32> = at
            .iter()
            .flat_map(|at| at[0].batches.iter().map(|batch| batch.component))
            .collect();
        components.sort_unstable();
        components.dedup();
        let batch_floor: i64 = components
            .iter()
            .map(|&c| pool.component(c).batch_minutes_nano * weights.minute)
            .sum();
        let least_preference: Vec<i64> = items
            .iter()
            .map(|&index| self.stage.items[index as usize].preference * weights.preference)
            .collect();
        let mut lunches = Score {
            objective: batch_floor + least_preference.iter().sum::<i64>(),
            ..Score::default()
        };
        for at in &at {
            // The fewest eaters: what is certain before days are known.
            lunches = lunches + self.lunch_score(&at[0]);
        }
        let mut leaf = Leaf {
            items,
            at,
            foods,
            least_preference,
            order: Vec::new(),
        };
        self.days(&mut leaf, 0, start + floors + lunches, best);
    }

    /// Staples and minutes of a lunch.
    fn lunch_score(&self, at: &ItemAt) -> Score {
        let weights = &self.stage.gauges[0].weights;
        Score {
            objective: at.staples * weights.staple + at.minutes * weights.minute,
            cost: at.staples,
            ..Score::default()
        }
    }

    /// Whether a partial week with this floor can no longer become the best.
    fn beaten(&self, floor: &Score, leaf: &Leaf, best: Option<&Found>) -> bool {
        let Some(best) = best else { return false };
        if !self.stage.last_stage {
            return floor.objective >= best.score.objective;
        }
        if *floor != best.score {
            return *floor > best.score;
        }
        let here = leaf
            .order
            .iter()
            .map(|&l| self.stage.items[leaf.items[l] as usize].recipe);
        here.cmp(best.recipes[..leaf.order.len()].iter().copied()) == std::cmp::Ordering::Greater
    }

    /// Chooses the lunch of the next day.
    fn days(&mut self, leaf: &mut Leaf, taken: u32, floor: Score, best: &mut Option<Found>) {
        if self.beaten(&floor, leaf, best.as_ref()) || self.halted() {
            return;
        }
        let pool = self.pool();
        let day = leaf.order.len();
        if day == leaf.items.len() {
            self.settle(leaf, floor, best);
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
            let recipe = self.stage.items[index as usize].recipe;
            if pool.days[recipe.index()] & (1 << day) == 0 {
                continue;
            }
            if let Some(&before) = leaf.order.last() {
                let other = self.stage.items[leaf.items[before] as usize].recipe;
                if pool.clash_side_by_side(other, recipe) {
                    continue;
                }
            }
            if let Some(limit) = pool.larder.wishes.minutes_nano[day + 1]
                && pool.larder.recipes[recipe.index()].minutes_nano > limit
            {
                continue;
            }
            if !self.food_pins_hold(day as Day + 1, index) {
                continue;
            }
            let now = taken | (1 << lunch);
            let mut next = floor;
            next.objective += pool.preference[recipe.index()][day] * weights.preference
                - leaf.least_preference[lunch];
            if class > 0 {
                next = next + self.lunch_score(&leaf.at[lunch][class])
                    - self.lunch_score(&leaf.at[lunch][0]);
            }
            leaf.order.push(lunch);
            if let Some(next) = self.known_foods(leaf, now, lunch, next) {
                self.days(leaf, now, next, best);
            }
            leaf.order.pop();
        }
    }

    /// Whether a food pinned to `day` is in the item.
    fn food_pins_hold(&self, day: Day, index: u32) -> bool {
        self.pool().larder.wishes.with.iter().all(|pin| match pin {
            Pin::Food(food, Some(pinned)) if *pinned == day => {
                super::items::takes(self.pool(), &self.stage.items[index as usize], *food)
            }
            _ => true,
        })
    }

    /// Replaces the floors of foods whose last lunch has just been given its day.
    fn known_foods(
        &mut self,
        leaf: &Leaf,
        taken: u32,
        lunch: usize,
        mut floor: Score,
    ) -> Option<Score> {
        for at in 0..leaf.foods.len() {
            let here = &leaf.foods[at];
            if here.settled || here.batched != 0 || here.direct & (1 << lunch) == 0 {
                continue;
            }
            if here.direct & !taken != 0 {
                continue;
            }
            let (food, old) = (here.food, here.floor);
            let uses = self.direct_uses(leaf, food);
            let known = self.ways(food, self.all_trips, &uses);
            floor = floor - old + least(&known)?;
        }
        Some(floor)
    }

    /// Milligrams of a food used directly on each day settled so far.
    fn direct_uses(&self, leaf: &Leaf, food: u32) -> Uses {
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

    /// All days are known: batches, trips and packs.
    fn settle(&mut self, leaf: &Leaf, floor: Score, best: &mut Option<Found>) {
        let pool = self.pool();
        let mut demands: Vec<(Day, &BatchDemand)> = Vec::new();
        let mut minutes = vec![0i64; pool.last as usize + 1];
        for (day, &lunch) in leaf.order.iter().enumerate() {
            let at = &leaf.at[lunch][pool.class_of_day[day]];
            let recipe = self.stage.items[leaf.items[lunch] as usize].recipe;
            minutes[day + 1] += pool.larder.recipes[recipe.index()].minutes_nano;
            for batch in &at.batches {
                demands.push((day as Day + 1, batch));
            }
        }
        let choices = batches::choices(pool, &self.stage.gauges[0].weights, &demands);
        // The floor counted one batch of each component; choices count them all.
        let weights = self.stage.gauges[0].weights.clone();
        let mut counted: Vec<u32> = demands.iter().map(|(_, b)| b.component).collect();
        counted.sort_unstable();
        counted.dedup();
        let one_each: i64 = counted
            .iter()
            .map(|&c| pool.component(c).batch_minutes_nano * weights.minute)
            .sum();
        let open = Score {
            objective: floor.objective - one_each,
            ..floor
        };
        let mut picked: Vec<&BatchChoice> = Vec::new();
        self.pick_batches(leaf, &choices, &mut picked, &mut minutes, open, best);
        if choices.iter().any(|options| options.len() > 1) {
            self.divide(leaf, &demands, &choices, &minutes, open, best);
        }
    }

    /// Tries lunches that draw on two batches, where that could be better.
    fn divide(
        &mut self,
        leaf: &Leaf,
        demands: &[(Day, &BatchDemand)],
        choices: &[Vec<BatchChoice>],
        minutes: &[i64],
        open: Score,
        best: &mut Option<Found>,
    ) {
        let pool = self.pool();
        let stage = self.stage;
        let weights = stage.gauges[0].weights.clone();
        // Components whose days matter; the others have one choice.
        let active: Vec<u32> = choices
            .iter()
            .filter(|options| options.len() > 1)
            .map(|options| options[0].component)
            .collect();
        let mut floor = open;
        let mut inert: Vec<&BatchChoice> = Vec::new();
        for options in choices {
            let component = options[0].component;
            if active.contains(&component) {
                let mine: Vec<(Day, &BatchDemand)> = demands
                    .iter()
                    .copied()
                    .filter(|(_, demand)| demand.component == component)
                    .collect();
                let mut days = batches::fewest(pool, component, &mine);
                days.dedup();
                floor.objective += days.len() as i64
                    * pool.component(component).batch_minutes_nano
                    * weights.minute;
            } else {
                inert.push(&options[0]);
                floor.objective += options[0].fixed_minutes * weights.minute;
            }
        }
        // A division is only looked for where it can lower the objective itself.
        if best
            .as_ref()
            .is_some_and(|best| floor.objective >= best.score.objective)
        {
            return;
        }
        let divided: Vec<(Day, &BatchDemand)> = demands
            .iter()
            .copied()
            .filter(|(_, demand)| active.contains(&demand.component))
            .collect();
        let ceilings = &stage.ceilings;
        let most = i64::MAX;
        // Which foods are bought does not depend on batches, unless stock could spare one.
        let all = ceilings.families < most
            || ceilings.packs < most
            || ceilings.cost < most
            || ceilings.spoiled < most;
        let mut rest = self.idle_sum;
        let mut week_minutes = 0;
        for (day, &lunch) in leaf.order.iter().enumerate() {
            let at = Arc::clone(&leaf.at[lunch][pool.class_of_day[day]]);
            let recipe = stage.items[leaf.items[lunch] as usize].recipe;
            rest = rest + self.lunch_score(&at);
            rest.objective += pool.preference[recipe.index()][day] * weights.preference;
            week_minutes += at.minutes;
        }
        for choice in &inert {
            rest.objective += choice.fixed_minutes * weights.minute;
            week_minutes += choice.fixed_minutes;
        }
        let mut foods = Vec::new();
        let mut others = Vec::new();
        for here in &leaf.foods {
            if let Some(idle) = self.idle[here.food as usize] {
                rest = rest - idle;
            }
            let mut uses = self.direct_uses(leaf, here.food);
            for choice in &inert {
                choice.add_uses(here.food, &mut uses);
            }
            let model = pool.foods[here.food as usize].as_ref().expect("counted");
            let touched = here.batched != 0
                && divided
                    .iter()
                    .any(|(_, demand)| demand.foods.iter().any(|&(f, _)| f == here.food));
            if all || stage.wants_front(here.food) || (touched && !model.timeless) {
                foods.push((here.food, uses));
            } else {
                if touched {
                    let flexible: i64 = divided
                        .iter()
                        .flat_map(|(_, demand)| &demand.foods)
                        .filter(|&&(food, _)| food == here.food)
                        .map(|&(_, mg)| mg)
                        .sum();
                    uses[pool.last as usize] += flexible;
                }
                others.push((here.food, uses));
            }
        }
        for (set, price) in self.trip_sets.clone() {
            let mut rest = rest;
            rest.objective += price;
            let mut possible = true;
            for (food, uses) in &others {
                match least(&self.ways(*food, set, uses)) {
                    Some(least) => rest = rest + least,
                    None => possible = false,
                }
            }
            if !possible {
                continue;
            }
            let fixed = super::splits::Fixed {
                stage,
                demands: divided.clone(),
                foods: foods.clone(),
                minutes: minutes.to_vec(),
                week_minutes,
                rest,
                trips: set,
            };
            let below = best
                .as_ref()
                .map_or(super::relaxed::NEVER, |best| best.score.objective);
            let Some(rounded) = fixed.choices(below) else {
                let floor = floor.objective + price;
                self.undivided = Some(self.undivided.map_or(floor, |old| old.min(floor)));
                continue;
            };
            for choices in rounded {
                let mut picked: Vec<&BatchChoice> = choices.iter().chain(inert.clone()).collect();
                picked.sort_by_key(|choice| choice.component);
                let mut spent = minutes.to_vec();
                for choice in &picked {
                    for (day, add) in choice.minutes.iter().enumerate() {
                        spent[day] += add;
                    }
                }
                self.buy(leaf, &picked, &spent, open, best);
            }
        }
    }

    fn pick_batches<'c>(
        &mut self,
        leaf: &Leaf,
        choices: &'c [Vec<BatchChoice>],
        picked: &mut Vec<&'c BatchChoice>,
        minutes: &mut [i64],
        floor: Score,
        best: &mut Option<Found>,
    ) {
        let pool = self.pool();
        if self.beaten(&floor, leaf, best.as_ref()) || self.halted() {
            return;
        }
        let Some(options) = choices.get(picked.len()) else {
            self.buy(leaf, picked, minutes, floor, best);
            return;
        };
        for choice in options {
            let mut fits = true;
            for (day, add) in choice.minutes.iter().enumerate() {
                minutes[day] += add;
                fits &= pool.larder.wishes.minutes_nano[day].is_none_or(|m| minutes[day] <= m);
            }
            if fits {
                let mut next = floor;
                next.objective += choice.fixed_minutes * self.stage.gauges[0].weights.minute;
                picked.push(choice);
                self.pick_batches(leaf, choices, picked, minutes, next, best);
                picked.pop();
            }
            for (day, add) in choice.minutes.iter().enumerate() {
                minutes[day] -= add;
            }
        }
    }

    /// Batches are known: trips and packs. `floor` holds settled foods exactly and the
    /// others as known so far.
    fn buy(
        &mut self,
        leaf: &Leaf,
        picked: &[&BatchChoice],
        minutes: &[i64],
        floor: Score,
        best: &mut Option<Found>,
    ) {
        let pool = self.pool();
        for (day, &spent) in minutes.iter().enumerate() {
            if pool.larder.wishes.minutes_nano[day].is_some_and(|most| spent > most) {
                return;
            }
        }
        let total_minutes: i64 = leaf
            .order
            .iter()
            .enumerate()
            .map(|(day, &l)| leaf.at[l][pool.class_of_day[day]].minutes)
            .sum::<i64>()
            + picked
                .iter()
                .map(|choice| choice.fixed_minutes)
                .sum::<i64>();
        if total_minutes > self.stage.ceilings.minutes {
            return;
        }
        let _ = floor;
        let mut base = self.idle_sum;
        let weights = self.stage.gauges[0].weights.clone();
        for (day, &lunch) in leaf.order.iter().enumerate() {
            let at = &leaf.at[lunch][pool.class_of_day[day]];
            let recipe = self.stage.items[leaf.items[lunch] as usize].recipe;
            base = base + self.lunch_score(at);
            base.objective += pool.preference[recipe.index()][day] * weights.preference;
        }
        for choice in picked {
            base.objective += choice.fixed_minutes * weights.minute;
        }
        let mut uses: Vec<(u32, Uses)> = Vec::with_capacity(leaf.foods.len());
        for here in &leaf.foods {
            let mut sums = self.direct_uses(leaf, here.food);
            if here.batched != 0 {
                for choice in picked {
                    choice.add_uses(here.food, &mut sums);
                }
            }
            if let Some(idle) = self.idle[here.food as usize] {
                base = base - idle;
            }
            uses.push((here.food, sums));
        }
        for (set, price) in self.trip_sets.clone() {
            let mut start = base;
            start.objective += price;
            if self.beaten(&start, leaf, best.as_ref()) {
                continue;
            }
            let mut fronts = Vec::with_capacity(uses.len());
            let mut sum = start;
            let mut possible = true;
            for (food, uses) in &uses {
                let known = self.ways(*food, set, uses);
                let Some(least) = least(&known) else {
                    possible = false;
                    break;
                };
                sum = sum + least;
                if self.beaten(&sum, leaf, best.as_ref()) {
                    possible = false;
                    break;
                }
                fronts.push((*food, known));
            }
            if !possible {
                continue;
            }
            let Some((score, _)) = super::combine::combine(self.stage, start, &fronts) else {
                continue;
            };
            let found = Found {
                score,
                recipes: leaf
                    .order
                    .iter()
                    .map(|&l| self.stage.items[leaf.items[l] as usize].recipe)
                    .collect(),
                items: leaf.order.iter().map(|&l| leaf.items[l]).collect(),
                trips: set,
                batches: batches::plan(picked),
            };
            let better = match best {
                None => true,
                Some(old) if self.stage.last_stage => found.key() < old.key(),
                Some(old) => found.score.objective < old.score.objective,
            };
            if better {
                *best = Some(found);
            }
        }
    }
}

/// Componentwise least of some ways; none if there are none.
fn least(ways: &[Way]) -> Option<Score> {
    let mut ways = ways.iter();
    let first = ways.next()?.score;
    Some(ways.fold(first, |least, way| Score {
        objective: least.objective.min(way.score.objective),
        foods: least.foods.min(way.score.foods),
        cost: least.cost.min(way.score.cost),
        spoiled: least.spoiled.min(way.score.spoiled),
    }))
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

fn total_of(at: &ItemAt, food: u32) -> i64 {
    let pick = |amounts: &[(u32, i64)]| {
        amounts
            .binary_search_by_key(&food, |&(f, _)| f)
            .map_or(0, |place| amounts[place].1)
    };
    pick(&at.direct) + at.batches.iter().map(|b| pick(&b.foods)).sum::<i64>()
}

/// A plain multiplicative hash: keys are short runs of integers we made ourselves.
#[derive(Clone, Copy)]
pub(super) struct Mixer;

/// State of [`Mixer`].
pub(super) struct MixerState(u64);

impl std::hash::BuildHasher for Mixer {
    type Hasher = MixerState;
    fn build_hasher(&self) -> MixerState {
        MixerState(0x9e37_79b9_7f4a_7c15)
    }
}

impl std::hash::Hasher for MixerState {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }
    fn write(&mut self, bytes: &[u8]) {
        let mut chunks = bytes.chunks_exact(8);
        for chunk in &mut chunks {
            self.write_u64(u64::from_le_bytes(chunk.try_into().expect("eight bytes")));
        }
        for &byte in chunks.remainder() {
            self.write_u64(u64::from(byte));
        }
    }
    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(0x517c_c1b7_2722_0a95);
    }
    fn write_u32(&mut self, word: u32) {
        self.write_u64(u64::from(word));
    }
    fn write_u16(&mut self, word: u16) {
        self.write_u64(u64::from(word));
    }
    fn write_i64(&mut self, word: i64) {
        self.write_u64(word as u64);
    }
    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }
}
