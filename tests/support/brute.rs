//! Tries every week of a small kitchen, straight from the model and from nothing else.
//!
//! Every recipe on every day, every alternative, every set of cooking days of every component,
//! every set of trips, and per food every way of buying, opening and drawing
//! ([`super::pantry`]). No bound on the whole, no order of search, nothing learnt on the way:
//! slow and plain on purpose.
//!
//! A lunch may draw on two batches. How it does is left open wherever that is exact: the
//! lunch's need of the food may then be met on any of the batches' days, in any parts. That
//! holds while at most one food of the component cares about the day ([`Kitchen::timeless`])
//! and no minutes limit meets minutes per portion. Otherwise ([`Splits::Grid`]) the shares
//! of a lunch are tried on a grid, see [`shares`].

use std::collections::BTreeMap;

use scant::larder::wishes::Preferred;
use scant::larder::{
    CapBy, Component, ComponentId, FoodId, Ingredient, Larder, NutrientRule, Per, Pin, Recipe,
    RecipeId, Target,
};

use super::pantry::{Deal, Need, Pantry};
use super::sums::{Key, Sums, add};

/// What trying everything came to.
#[derive(Clone, Debug)]
pub struct Answer {
    pub best: Option<Best>,
    /// Orders of recipes over the days, as far as repeats allow.
    pub orders: u64,
    /// Those of them that some choice of the rest makes a week.
    pub possible: u64,
}

/// The best week.
#[derive(Clone, Debug)]
pub struct Best {
    pub sums: Sums,
    pub key: Key,
    pub recipes: Vec<RecipeId>,
    pub choice: Choice,
}

/// Everything chosen but the drawing.
#[derive(Clone, Debug)]
pub struct Choice {
    /// For each lunch, the alternative of each line.
    pub taken: Vec<Vec<u16>>,
    /// Cooking days of each component, as a mask.
    pub batches: BTreeMap<ComponentId, u32>,
    /// Shares fixed on the grid: (component, cooking day, lunch day) to finished milligrams.
    pub shares: Vec<(ComponentId, i32, i32, i64)>,
    /// Needs and deal of each food that is used or on hand.
    pub deals: Vec<(FoodId, Vec<Need>, Deal)>,
}

/// A way of taking a recipe's lines, with what rules look at.
#[derive(Clone, Debug)]
struct Way {
    taken: Vec<u16>,
    /// Nutrient rule by nutrient rule: thousandths of a unit times 100,000, per portion.
    nutrients: Vec<i128>,
    foods: Vec<FoodId>,
}

/// What the lunches of a week ask of one component.
#[derive(Clone, Debug, Default)]
struct Order {
    /// Lunch day, finished milligrams, foods.
    lunches: Vec<(i32, i64, Vec<(FoodId, i64)>)>,
}

/// Steps (weeks priced, and openings tried) after which a kitchen counts as too large.
const MOST_STEPS: u64 = 2_000_000;

/// Answers a kitchen; `None` if that takes too many steps to be tried in a test.
pub fn solve(larder: &Larder) -> Option<Answer> {
    Kitchen::new(larder).solve()
}

/// Why a kitchen is not answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untried {
    /// More weeks and ways of opening than may be tried.
    TooMany,
    /// A lunch cannot be divided between batches in whole milligrams on the grid that is tried.
    OffGrid,
}

/// The same with so many steps at most.
pub fn solve_within(larder: &Larder, steps: u64) -> Result<Answer, Untried> {
    let mut kitchen = Kitchen::new(larder);
    let answer = kitchen.solve_within(steps).ok_or(Untried::TooMany)?;
    if kitchen.off_grid {
        return Err(Untried::OffGrid);
    }
    Ok(answer)
}

pub struct Kitchen<'a> {
    larder: &'a Larder,
    days: usize,
    ways: Vec<Vec<Way>>,
    /// Edible milligrams by counted food, first alternatives: what sameness compares.
    vectors: Vec<BTreeMap<FoodId, i128>>,
    pantry: Pantry<'a>,
    answer: Answer,
    /// A share of a lunch did not come out in whole milligrams of each food.
    off_grid: bool,
    /// Weeks, as sorted recipes, that do not count.
    pub other_than: Vec<Vec<RecipeId>>,
}

impl<'a> Kitchen<'a> {
    pub fn new(larder: &'a Larder) -> Self {
        let ways = larder.recipes.iter().map(|r| ways(larder, r)).collect();
        let vectors = larder.recipes.iter().map(|r| vector(larder, r)).collect();
        Self {
            larder,
            days: larder.lunch_count(),
            ways,
            vectors,
            pantry: Pantry::new(larder),
            answer: Answer {
                best: None,
                orders: 0,
                possible: 0,
            },
            off_grid: false,
            other_than: Vec::new(),
        }
    }

    pub fn solve(mut self) -> Option<Answer> {
        let answer = self.solve_within(MOST_STEPS);
        assert!(!self.off_grid, "grid shares give whole figures");
        answer
    }

    fn solve_within(&mut self, steps: u64) -> Option<Answer> {
        self.pantry.budget = steps;
        self.choose(&mut Vec::new());
        let answer = Answer {
            best: self.answer.best.take(),
            ..self.answer
        };
        (self.pantry.budget > 0).then_some(answer)
    }

    /// Chooses the recipe of the next day and all later ones.
    fn choose(&mut self, chosen: &mut Vec<RecipeId>) {
        if chosen.len() == self.days {
            self.answer.orders += 1;
            let mut sorted = chosen.clone();
            sorted.sort_unstable();
            if self.other_than.contains(&sorted) {
                return;
            }
            if self.pleasing(chosen) && self.take(chosen, &mut Vec::new()) {
                self.answer.possible += 1;
            }
            return;
        }
        for index in 0..self.larder.recipes.len() {
            let id = RecipeId::new(index);
            let times = chosen.iter().filter(|&&r| r == id).count() as i64;
            if times < self.larder.wishes.repeats {
                chosen.push(id);
                self.choose(chosen);
                chosen.pop();
            }
        }
    }

    /// Days, variety, recipe pins and recipe bans.
    fn pleasing(&self, chosen: &[RecipeId]) -> bool {
        let wishes = &self.larder.wishes;
        let recipe = |day: usize| &self.larder.recipes[chosen[day].index()];
        let days = 0..chosen.len();
        let at_most = |limit: Option<i64>, same: &dyn Fn(&Recipe) -> bool| {
            limit
                .is_none_or(|most| days.clone().filter(|&d| same(recipe(d))).count() as i64 <= most)
        };
        for day in days.clone() {
            let here = recipe(day);
            if !here.days[day]
                || self.ways[chosen[day].index()].is_empty()
                || !at_most(wishes.per_form, &|r| r.form == here.form)
                || here.protein.is_some()
                    && !at_most(wishes.per_protein, &|r| r.protein == here.protein)
                || wishes.form_never_adjacent && day > 0 && recipe(day - 1).form == here.form
            {
                return false;
            }
            for earlier in 0..day {
                let (a, b) = (chosen[earlier], chosen[day]);
                let adjacent = day - earlier == 1;
                if a != b
                    && (self.too_alike(a, b, wishes.sameness_milli)
                        || adjacent && self.too_alike(a, b, wishes.sameness_adjacent_milli))
                {
                    return false;
                }
            }
        }
        wishes.with.iter().all(|pin| match pin {
            Pin::Recipe(id, None) => chosen.contains(id),
            Pin::Recipe(id, Some(day)) => chosen[usize::from(*day) - 1] == *id,
            Pin::Food(..) => true,
        })
    }

    /// Cosine above the limit, without roots: dot² > limit² a² b².
    fn too_alike(&self, a: RecipeId, b: RecipeId, limit_milli: Option<i64>) -> bool {
        let Some(limit) = limit_milli else {
            return false;
        };
        let (a, b) = (&self.vectors[a.index()], &self.vectors[b.index()]);
        let dot: i128 = a
            .iter()
            .map(|(f, x)| x * b.get(f).copied().unwrap_or(0))
            .sum();
        let square = |v: &BTreeMap<FoodId, i128>| v.values().map(|x| x * x).sum::<i128>();
        dot * dot * 1_000_000 > i128::from(limit) * i128::from(limit) * square(a) * square(b)
    }

    /// Chooses the way of the next lunch and all later ones; true if any leads to a week.
    fn take(&mut self, chosen: &[RecipeId], taken: &mut Vec<usize>) -> bool {
        let Some(recipe) = chosen.get(taken.len()) else {
            return self.week_is_fed(chosen, taken) && self.cook(chosen, taken);
        };
        let mut any = false;
        for way in 0..self.ways[recipe.index()].len() {
            taken.push(way);
            any |= self.take(chosen, taken);
            taken.pop();
        }
        any
    }

    fn way(&self, chosen: &[RecipeId], taken: &[usize], day: usize) -> &Way {
        &self.ways[chosen[day].index()][taken[day]]
    }

    /// Food pins and the week's nutrition.
    fn week_is_fed(&self, chosen: &[RecipeId], taken: &[usize]) -> bool {
        let wishes = &self.larder.wishes;
        let all = 0..chosen.len();
        let pinned = wishes.with.iter().all(|pin| match pin {
            Pin::Food(food, day) => all.clone().any(|d| {
                day.is_none_or(|day| usize::from(day) == d + 1)
                    && self.way(chosen, taken, d).foods.contains(food)
            }),
            Pin::Recipe(..) => true,
        });
        pinned
            && wishes.nutrition.iter().enumerate().all(|(at, rule)| {
                rule.per != Per::Week
                    || respects(
                        rule,
                        all.clone()
                            .map(|d| self.way(chosen, taken, d).nutrients[at])
                            .sum(),
                        chosen.len(),
                    )
            })
    }

    /// Collects what the lunches ask for and tries all cooking days.
    fn cook(&mut self, chosen: &[RecipeId], taken: &[usize]) -> bool {
        let larder = self.larder;
        let mut week = Draft {
            direct: BTreeMap::new(),
            orders: BTreeMap::new(),
            sums: Sums::default(),
            minutes: vec![0; self.days + 1],
        };
        for (index, id) in chosen.iter().enumerate() {
            let day = index + 1;
            let recipe = &larder.recipes[id.index()];
            week.minutes[day] += recipe.minutes_nano;
            for preference in &larder.wishes.preferences {
                let meant = match preference.whom {
                    Preferred::Form(form) => recipe.form == form,
                    Preferred::Recipe(whom) => whom == *id,
                };
                if meant && preference.days.iter().any(|&d| usize::from(d) == day) {
                    week.sums.preferences_minor += preference.price_minor;
                }
            }
            let picks = self.way(chosen, taken, index).taken.clone();
            for (line, pick) in recipe.lines.iter().zip(picks) {
                let alternative = &line.alternatives[usize::from(pick)];
                let mg = larder.for_eaters(alternative.mg, day as u8);
                match alternative.what {
                    Ingredient::Food(food) => {
                        *week.direct.entry((food, 1 << day)).or_default() += mg;
                    }
                    Ingredient::Component(id) => {
                        let foods = larder.component_foods(id, mg);
                        let order = week.orders.entry(id).or_default();
                        order.lunches.push((day as i32, mg, foods));
                    }
                }
            }
        }
        let taken = (0..chosen.len())
            .map(|d| self.way(chosen, taken, d).taken.clone())
            .collect();
        let mut choice = Choice {
            taken,
            batches: BTreeMap::new(),
            shares: Vec::new(),
            deals: Vec::new(),
        };
        let orders: Vec<ComponentId> = week.orders.keys().copied().collect();
        self.batch(chosen, &week, &orders, &mut choice)
    }

    /// Chooses the cooking days of the next component and all later ones.
    fn batch(
        &mut self,
        chosen: &[RecipeId],
        week: &Draft,
        left: &[ComponentId],
        choice: &mut Choice,
    ) -> bool {
        let Some((&id, rest)) = left.split_first() else {
            return self.shop(chosen, week, choice);
        };
        let order = &week.orders[&id];
        let keeps = self.larder.components[id.index()].keeps;
        let mut any = false;
        for days in 1_u32..1 << (self.days + 1) {
            let feeds = |cook: i32, lunch: i32| cook <= lunch && lunch <= cook + keeps;
            let cooks: Vec<i32> = (0..=self.days as i32)
                .filter(|d| days >> d & 1 == 1)
                .collect();
            let cook_on = &self.larder.wishes.cook_on;
            let idle = |day: i32| {
                cook_on
                    .as_ref()
                    .is_some_and(|on| !on.contains(&(day as u8)))
            };
            if cooks.iter().any(|&day| idle(day)) {
                continue;
            }
            if cooks
                .iter()
                .all(|&c| order.lunches.iter().any(|l| feeds(c, l.0)))
                && order
                    .lunches
                    .iter()
                    .all(|l| cooks.iter().any(|&c| feeds(c, l.0)))
            {
                choice.batches.insert(id, days);
                if self.free_to_split(id) {
                    any |= self.batch(chosen, week, rest, choice);
                } else {
                    any |= self.share(chosen, week, (id, 0), rest, choice);
                }
                choice.batches.remove(&id);
            }
        }
        any
    }

    /// May the lunches' needs be left open between the batches of this component?
    fn free_to_split(&self, id: ComponentId) -> bool {
        let component = &self.larder.components[id.index()];
        let wishes = &self.larder.wishes;
        let limits = wishes
            .minutes_nano
            .iter()
            .chain(&wishes.kitchen_minutes_nano);
        let limited = limits.clone().any(Option::is_some);
        let minding = component
            .foods
            .iter()
            .filter(|(food, _)| {
                !self.larder.foods[food.index()].staple && !timeless(self.larder, *food)
            })
            .count();
        component.keeps == 0 || minding <= 1 && (component.minutes_per_mg_nano == 0 || !limited)
    }

    /// Fixes the shares of one lunch after the other on the grid.
    fn share(
        &mut self,
        chosen: &[RecipeId],
        week: &Draft,
        (id, lunch): (ComponentId, usize),
        rest: &[ComponentId],
        choice: &mut Choice,
    ) -> bool {
        let lunches = merged(&week.orders[&id]);
        let Some(&(day, mg)) = lunches.get(lunch) else {
            return self.batch(chosen, week, rest, choice);
        };
        let keeps = self.larder.components[id.index()].keeps;
        let cooks: Vec<i32> = (0..=day)
            .filter(|d| choice.batches[&id] >> d & 1 == 1 && day <= d + keeps)
            .collect();
        let mut any = false;
        if self.pantry.budget == 0 {
            return false;
        }
        for parts in shares(mg, cooks.len()) {
            let before = choice.shares.len();
            for (&cook, &part) in cooks.iter().zip(&parts) {
                if part > 0 {
                    choice.shares.push((id, cook, day, part));
                }
            }
            any |= self.share(chosen, week, (id, lunch + 1), rest, choice);
            choice.shares.truncate(before);
        }
        any
    }

    /// Minutes, needs by food, and the best way of providing them.
    fn shop(&mut self, chosen: &[RecipeId], week: &Draft, choice: &mut Choice) -> bool {
        if self.pantry.budget == 0 {
            return false;
        }
        self.pantry.budget -= 1;
        let larder = self.larder;
        let mut sums = week.sums;
        let mut minutes = week.minutes.clone();
        let mut watched = vec![0; minutes.len()];
        let mut needs = week.direct.clone();
        for (id, order) in &week.orders {
            let component = &larder.components[id.index()];
            let days = choice.batches[id];
            for (day, spent) in minutes.iter_mut().enumerate() {
                *spent += i64::from(days >> day & 1) * component.batch_minutes_nano;
                watched[day] += i64::from(days >> day & 1) * by_what_is_on(component);
            }
            let shares: Vec<_> = choice
                .shares
                .iter()
                .filter(|share| share.0 == *id)
                .collect();
            for (lunch, mg, foods) in &order.lunches {
                // Which batch does not matter unless shares are fixed, see `free_to_split`.
                let first = (lunch - component.keeps).max(0);
                let window = days & super::pantry::span(first, *lunch);
                if shares.is_empty() {
                    let day = window.trailing_zeros() as usize;
                    minutes[day] += component.minutes_per_mg_nano * mg;
                    for &(food, mg) in foods {
                        *needs.entry((food, window)).or_default() += mg;
                    }
                }
            }
            for &&(_, cook, lunch, part) in &shares {
                minutes[cook as usize] += component.minutes_per_mg_nano * part;
                let lines = || order.lunches.iter().filter(|line| line.0 == lunch);
                let whole: i64 = lines().map(|line| line.1).sum();
                for &(food, _) in &component.foods {
                    let all = lines()
                        .flat_map(|line| &line.2)
                        .filter(|share| share.0 == food);
                    let mg: i64 = all.map(|share| share.1).sum();
                    self.off_grid |= mg * part % whole != 0;
                    *needs.entry((food, 1 << cook)).or_default() += mg * part / whole;
                }
            }
        }
        let limits = &larder.wishes.minutes_nano;
        if minutes
            .iter()
            .zip(limits)
            .any(|(&spent, limit)| limit.is_some_and(|most| spent > most))
        {
            return false;
        }
        let limits = larder.wishes.kitchen_minutes_nano.iter();
        let days = minutes.iter().zip(&watched).zip(limits);
        let one_after_another = |&(&active, &watched): &(&i64, &i64)| active + watched;
        if days
            .map(|(day, limit)| (one_after_another(&day), limit))
            .any(|(spent, limit)| limit.is_some_and(|most| spent > most))
        {
            return false;
        }
        sums.minutes_nano = minutes.iter().sum();
        sums.watched_nano = watched.iter().sum();
        let mut lists = Vec::new();
        let mut cap_groups = Vec::new();
        for (index, food) in larder.foods.iter().enumerate() {
            let id = FoodId::new(index);
            let wanted: Vec<Need> = needs
                .range((id, 0)..=(id, u32::MAX))
                .filter(|(_, mg)| **mg > 0)
                .map(|(&(_, days), &mg)| Need { days, mg })
                .collect();
            if food.staple {
                let mg: i64 = wanted.iter().map(|n| n.mg).sum();
                sums.staples_nano += mg * food.staple_value_nano;
            } else if !wanted.is_empty() || larder.stock.iter().any(|s| s.food == id) {
                let deals = self.pantry.deals(id, wanted.clone());
                if deals.is_empty() {
                    return false;
                }
                lists.push((id, wanted, deals));
                cap_groups.push(match (larder.wishes.cap_by, food.family) {
                    (CapBy::Families, Some(family)) => family.index(),
                    _ => 1000 + index,
                });
            }
        }
        let mut any = false;
        for trips in (0..1_u32 << larder.week.trips.len()).filter(|t| t & 1 == 1) {
            let mut sums = sums;
            // The first costs nothing; each other its own price, or that of the aims.
            sums.going_minor = (1..larder.week.trips.len())
                .filter(|trip| trips & 1 << trip != 0)
                .map(|trip| larder.week.trips[trip].going_minor)
                .map(|own| own.unwrap_or(larder.wishes.trip_price_minor))
                .sum();
            let offers: Vec<Vec<&Deal>> = lists
                .iter()
                .map(|(_, _, deals)| deals.iter().filter(|d| d.trips & !trips == 0).collect())
                .collect();
            let mut basket = Basket {
                larder,
                offers: &offers,
                groups: &cap_groups,
                best: None,
            };
            basket.fill(&mut Vec::new());
            let Some((_, picks)) = basket.best else {
                continue;
            };
            any = true;
            for (at, &pick) in picks.iter().enumerate() {
                sums = sums.plus(&offers[at][pick].sums);
            }
            let key = sums.key(larder);
            // Orders of recipes come in name order, so of equals the first stays.
            if self.answer.best.as_ref().is_none_or(|best| key < best.key) {
                choice.deals = lists
                    .iter()
                    .zip(&picks)
                    .enumerate()
                    .map(|(at, ((id, wanted, _), &pick))| {
                        (*id, wanted.clone(), offers[at][pick].clone())
                    })
                    .collect();
                let choice = choice.clone();
                self.answer.best = Some(Best {
                    sums,
                    key,
                    recipes: chosen.to_vec(),
                    choice,
                });
            }
        }
        any
    }
}

/// Passive minutes of a batch at which the cook stays, 1e-9: as `models/prep.md` shares them out,
/// those of steps that hold something.
fn by_what_is_on(component: &Component) -> i64 {
    let mut passive: Vec<(i64, bool)> = Vec::new();
    let mut rest = component.passive_minutes;
    let mut open = component.steps.len().saturating_sub(1);
    for step in &component.steps {
        let said = step.passive_minutes;
        passive.push((said.unwrap_or(0), !step.needs.is_empty()));
        rest -= said.unwrap_or(0);
    }
    for (at, step) in component.steps.iter().enumerate() {
        if step.passive_minutes.is_none() {
            open = at;
        }
    }
    if passive.is_empty() {
        passive.push((0, !component.needs.is_empty()));
    }
    passive[open].0 += rest.max(0);
    let held = passive.iter().filter(|(_, held)| *held);
    held.map(|(minutes, _)| minutes * 1_000_000_000).sum()
}

/// What a week's lunches come to before cooking days and shopping.
struct Draft {
    direct: BTreeMap<(FoodId, u32), i64>,
    orders: BTreeMap<ComponentId, Order>,
    sums: Sums,
    /// By day, the prep day included.
    minutes: Vec<i64>,
}

/// Chooses one offer per food under cap and budget.
struct Basket<'a> {
    larder: &'a Larder,
    offers: &'a [Vec<&'a Deal>],
    groups: &'a [usize],
    best: Option<(Key, Vec<usize>)>,
}

impl Basket<'_> {
    fn fill(&mut self, picks: &mut Vec<usize>) {
        let wishes = &self.larder.wishes;
        let chosen = || {
            picks
                .iter()
                .enumerate()
                .map(|(at, &pick)| (at, self.offers[at][pick]))
        };
        let price: i64 = chosen().map(|(_, d)| d.price_minor).sum();
        let mut bought: Vec<usize> = chosen()
            .filter(|(_, d)| d.bought)
            .map(|(at, _)| self.groups[at])
            .collect();
        bought.sort_unstable();
        bought.dedup();
        if wishes.budget_minor.is_some_and(|most| price > most)
            || wishes.cap.is_some_and(|most| bought.len() as i64 > most)
        {
            return;
        }
        if picks.len() == self.offers.len() {
            let key = chosen().fold(Key::default(), |key, (_, deal)| add(&key, &deal.key));
            if self.best.as_ref().is_none_or(|best| key < best.0) {
                self.best = Some((key, picks.clone()));
            }
            return;
        }
        // Neither cap nor budget: each food by itself.
        let offers = &self.offers[picks.len()];
        let free = wishes.budget_minor.is_none() && wishes.cap.is_none();
        let only = (0..offers.len()).min_by_key(|&pick| offers[pick].key);
        for pick in 0..offers.len() {
            if !free || Some(pick) == only {
                picks.push(pick);
                self.fill(picks);
                picks.pop();
            }
        }
    }
}

/// Lunch days and finished milligrams, lines of one lunch together.
fn merged(order: &Order) -> Vec<(i32, i64)> {
    let mut days = BTreeMap::new();
    for (day, mg, _) in &order.lunches {
        *days.entry(*day).or_insert(0) += mg;
    }
    days.into_iter().collect()
}

/// All ways of sharing `mg` among `batches` on a grid of 20 g, and a hair to either side.
///
/// The grid suffices where every food of the component stands in a ratio of 1/2 to it, every
/// quantity of the kitchen is a multiple of 10 g and units too. Then, units opened being given,
/// the best share lies where a unit is just emptied or a lunch just served: at sums of such
/// multiples, or a milligram per unit opened beside them, where a unit must find a use on its
/// day.
pub fn shares(mg: i64, batches: usize) -> Vec<Vec<i64>> {
    const GRID: i64 = 20_000;
    const HAIR: i64 = 2;
    if batches == 1 {
        return vec![vec![mg]];
    }
    let mut firsts: Vec<i64> = (0..=mg / GRID)
        .flat_map(|step| (-2..=2).map(move |hairs| step * GRID + hairs * HAIR))
        .chain([mg - 2 * HAIR, mg - HAIR, mg])
        .filter(|&part| (0..=mg).contains(&part))
        .collect();
    firsts.sort_unstable();
    firsts.dedup();
    firsts
        .into_iter()
        .flat_map(|first| {
            shares(mg - first, batches - 1)
                .into_iter()
                .map(move |mut rest| {
                    rest.insert(0, first);
                    rest
                })
        })
        .collect()
}

/// True if it never matters on which day the food is used: whatever is bought on the first
/// trip is ready at once, good on the carry day, open or sealed, and there is none on hand.
pub fn timeless(larder: &Larder, food: FoodId) -> bool {
    let carry = larder.week.carry_day;
    larder.stock.iter().all(|s| s.food != food)
        && larder.week.trips[0].day == 0
        && larder.packs_of(food).all(|(_, pack)| {
            pack.ready_from == 0
                && pack.ready_to >= carry
                && pack.end >= carry
                && pack.open_life >= carry
        })
}

/// Edible milligrams of counted foods at first alternatives.
fn vector(larder: &Larder, recipe: &Recipe) -> BTreeMap<FoodId, i128> {
    let mut all = BTreeMap::new();
    for line in &recipe.lines {
        let first = &line.alternatives[0];
        let foods = match first.what {
            Ingredient::Food(food) => vec![(food, first.mg)],
            Ingredient::Component(id) => larder.component_foods(id, first.mg),
        };
        for (food, mg) in foods {
            if !larder.foods[food.index()].staple {
                *all.entry(food).or_insert(0) += i128::from(mg);
            }
        }
    }
    all
}

/// Ways of taking the recipe that bans and the nutrition of a lunch allow.
fn ways(larder: &Larder, recipe: &Recipe) -> Vec<Way> {
    let id = larder
        .recipes
        .iter()
        .position(|r| std::ptr::eq(r, recipe))
        .expect("one of them");
    let banned = larder.wishes.without.iter().any(|target| match target {
        Target::Recipe(whom) | Target::Resting { recipe: whom, .. } => whom.index() == id,
        Target::Tag(tag) => recipe.tags.contains(tag),
        Target::Equipment(need) => recipe.needs.contains(need),
        _ => false,
    });
    if banned {
        return Vec::new();
    }
    let mut all = vec![Vec::new()];
    for line in &recipe.lines {
        all = all
            .into_iter()
            .flat_map(|taken: Vec<u16>| {
                line.alternatives
                    .iter()
                    .enumerate()
                    .filter(|(_, a)| !is_banned(larder, a.what))
                    .map(move |(pick, _)| {
                        let mut taken = taken.clone();
                        taken.push(pick as u16);
                        taken
                    })
            })
            .collect();
    }
    all.into_iter()
        .map(|taken| {
            let mut foods: BTreeMap<FoodId, i64> = BTreeMap::new();
            for (line, &pick) in recipe.lines.iter().zip(&taken) {
                let alternative = &line.alternatives[usize::from(pick)];
                match alternative.what {
                    Ingredient::Food(food) => *foods.entry(food).or_default() += alternative.mg,
                    Ingredient::Component(id) => {
                        for (food, mg) in larder.component_foods(id, alternative.mg) {
                            *foods.entry(food).or_default() += mg;
                        }
                    }
                }
            }
            let nutrients = larder
                .wishes
                .nutrition
                .iter()
                .map(|rule| {
                    foods
                        .iter()
                        .map(|(food, &mg)| {
                            let row = &larder.foods[food.index()].nutrients_milli;
                            // An unknown value counts as 0 for floor and ceiling alike.
                            let per_100_g = row[rule.nutrient.index()].unwrap_or(0);
                            i128::from(mg) * i128::from(per_100_g)
                        })
                        .sum()
                })
                .collect();
            Way {
                taken,
                nutrients,
                foods: foods.into_keys().collect(),
            }
        })
        .filter(|way| {
            larder
                .wishes
                .nutrition
                .iter()
                .zip(&way.nutrients)
                .all(|(rule, &amount)| rule.per != Per::Lunch || respects(rule, amount, 1))
        })
        .collect()
}

/// Is the mean of `lunches` lunches, whose sum is `amount` (times 100,000), within the rule?
fn respects(rule: &NutrientRule, amount: i128, lunches: usize) -> bool {
    let whole = 100_000 * lunches as i128;
    rule.at_least_milli
        .is_none_or(|least| amount >= i128::from(least) * whole)
        && rule
            .at_most_milli
            .is_none_or(|most| amount <= i128::from(most) * whole)
}

fn is_banned(larder: &Larder, what: Ingredient) -> bool {
    match what {
        Ingredient::Food(id) => {
            let food = &larder.foods[id.index()];
            larder.wishes.without.iter().any(|target| match target {
                Target::Food(whom) => *whom == id,
                Target::Family(family) => food.family == Some(*family),
                Target::Tag(tag) => food.tags.contains(tag),
                Target::Allergen(allergen) => food.allergens.contains(allergen),
                _ => false,
            })
        }
        Ingredient::Component(id) => {
            let component = &larder.components[id.index()];
            let itself = larder.wishes.without.iter().any(|target| match target {
                Target::Component(whom) => *whom == id,
                Target::Tag(tag) => component.tags.contains(tag),
                Target::Equipment(need) => component.needs.contains(need),
                _ => false,
            });
            itself
                || component
                    .foods
                    .iter()
                    .any(|&(f, _)| is_banned(larder, Ingredient::Food(f)))
        }
    }
}
