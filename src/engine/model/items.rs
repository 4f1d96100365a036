//! Items: a recipe with one way of taking its alternatives.
//!
//! The search chooses N items. An item carries what every day of the week would make it
//! use at the least (the fewest eaters of any lunch day), so that sums over items bound
//! the week from below; the leaf works with the true eaters of each day.

use crate::engine::model::day_sets::LunchDays;
use crate::engine::model::pool::Pool;
use crate::larder::{FoodId, Ingredient, NUTRIENTS, Pin, RecipeId};
use std::cell::Cell;
use std::collections::BTreeMap;

/// A recipe with its alternatives taken.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Item {
    pub(in crate::engine) recipe: RecipeId,
    /// Alternative taken on each line.
    pub(in crate::engine) taken: Box<[u16]>,
    /// Units used: counted foods in milligrams, then components (F + id) as 1; rising.
    pub(in crate::engine) units: Box<[(u32, i64)]>,
    /// Staples, 1e-9 minor units.
    pub(in crate::engine) staples: i64,
    /// Minutes of the lunch and per-portion minutes of its components, 1e-9.
    pub(in crate::engine) minutes: i64,
    /// Days on which all that it takes can be had: of those of its recipe.
    pub(in crate::engine) days: LunchDays,
    /// Least day preference, minor units.
    pub(in crate::engine) preference: i64,
    /// What it adds to each rule on the week's mean.
    pub(in crate::engine) nutrients: Box<[i64]>,
}

/// A word of a set of units.
pub(in crate::engine) type UnitSet = u128;

/// Units of a word.
pub(in crate::engine) const SET: usize = UnitSet::BITS as usize;

/// The units of all items as numbered pairs of unit and amount: items of one recipe, and
/// recipes of one kitchen, share most of them, so a node works each pair out once.
#[derive(Debug, Default)]
pub(in crate::engine) struct Pairs {
    /// Unit and amount of each pair, rising.
    pub(in crate::engine) list: Vec<(u32, i64)>,
    /// Pairs of all items, one item after the other.
    flat: Vec<u32>,
    start: Vec<u32>,
    /// Recipe of each item.
    pub(in crate::engine) recipe: Vec<u32>,
    /// Group of each unit of each item, beside `flat`: of the recipes that use a unit, no
    /// two of a group may be in one week.
    group: Vec<u32>,
    /// Groups of all units.
    pub(in crate::engine) groups: usize,
    /// First pair of each unit.
    first: Vec<u32>,
    /// Number of each unit among those used, and back.
    pub(in crate::engine) bit: Vec<u32>,
    pub(in crate::engine) unit: Vec<u32>,
    /// Words of a set of units, and those that hold the units of several recipes.
    pub(in crate::engine) words: usize,
    pub(in crate::engine) shared_words: usize,
    /// Units of all items, a bit each.
    masks: Vec<UnitSet>,
    /// By recipe and word: groups of more than one recipe, with their unit.
    shared: Vec<Vec<(UnitSet, u32)>>,
    /// The units of these, by recipe.
    shared_masks: Vec<UnitSet>,
}

/// Recipes up to which those that are too alike are grouped: beyond, it takes too long.
const MOST_GROUPED: usize = 4_096;

impl Pairs {
    /// Numbers the pairs of `items`.
    pub(in crate::engine) fn new(pool: &Pool, items: &[Item]) -> Self {
        let list = listed(items);
        let all = items.iter().map(|item| item.units.len()).sum();
        let mut pairs = Self {
            list,
            flat: Vec::with_capacity(all),
            start: Vec::with_capacity(items.len() + 1),
            recipe: Vec::with_capacity(items.len()),
            group: Vec::with_capacity(all),
            ..Self::default()
        };
        pairs.start.push(0);
        for item in items {
            for unit in &item.units {
                let place = pairs.list.binary_search(unit).expect("listed above");
                pairs.flat.push(place as u32);
            }
            pairs.start.push(pairs.flat.len() as u32);
            pairs.recipe.push(item.recipe.0);
        }
        pairs.set_groups(pool, items);
        pairs.set_masks(items);
        pairs.set_shared(pool.larder.recipes.len());
        pairs
    }

    /// Numbers the units used, those of several recipes first, and keeps those of each item as
    /// bits.
    fn set_masks(&mut self, items: &[Item]) {
        for (at, &(unit, _)) in self.list.iter().enumerate() {
            let unit = unit as usize;
            if self.first.len() <= unit {
                self.unit.push(unit as u32);
                self.first.resize(unit + 1, at as u32);
            }
        }
        self.first.push(self.list.len() as u32);
        let units = self.first.len() - 1;
        let mut user = vec![u32::MAX; units];
        let mut several = vec![false; units];
        for item in items {
            for &(unit, _) in &item.units {
                let user = &mut user[unit as usize];
                several[unit as usize] |= *user != u32::MAX && *user != item.recipe.0;
                *user = item.recipe.0;
            }
        }
        self.unit.sort_by_key(|&unit| !several[unit as usize]);
        self.bit = vec![u32::MAX; units];
        for (bit, &unit) in self.unit.iter().enumerate() {
            self.bit[unit as usize] = bit as u32;
        }
        let shared = several.iter().filter(|&&several| several).count();
        self.shared_words = shared.div_ceil(SET);
        self.words = self.unit.len().div_ceil(SET).max(1);
        self.masks = vec![0; self.words * items.len()];
        for (at, item) in items.iter().enumerate() {
            for &(unit, _) in &item.units {
                let bit = self.bit[unit as usize] as usize;
                self.masks[at * self.words + bit / SET] |= 1 << (bit % SET);
            }
        }
    }

    /// Lists the groups that hold more than one recipe.
    fn set_shared(&mut self, recipes: usize) {
        let mut member = vec![u32::MAX; self.groups];
        let mut several = vec![false; self.groups];
        for (at, &recipe) in self.recipe.iter().enumerate() {
            for &group in self.groups_of(at as u32) {
                let group = group as usize;
                several[group] |= member[group] != u32::MAX && member[group] != recipe;
                member[group] = recipe;
            }
        }
        let mut shared: Vec<Vec<(UnitSet, u32)>> = vec![Vec::new(); recipes * self.words];
        let mut masks: Vec<UnitSet> = vec![0; self.words * recipes];
        for (at, &recipe) in self.recipe.iter().enumerate() {
            let item = at as u32;
            for (&pair, &group) in self.of(item).iter().zip(self.groups_of(item)) {
                let bit = self.bit[self.list[pair as usize].0 as usize] as usize;
                let place = recipe as usize * self.words + bit / SET;
                let unit = 1 << (bit % SET);
                if several[group as usize] && masks[place] & unit == 0 {
                    masks[place] |= unit;
                    shared[place].push((unit, group));
                }
            }
        }
        self.shared = shared;
        self.shared_masks = masks;
    }

    /// Groups of more than one recipe that a recipe is in, each with its unit, and all of
    /// these units, in a word.
    pub(in crate::engine) fn shared_groups(
        &self,
        recipe: u32,
        word: usize,
    ) -> (UnitSet, &[(UnitSet, u32)]) {
        let at = recipe as usize * self.words + word;
        (self.shared_masks[at], &self.shared[at])
    }

    /// Units of an item, a bit each.
    pub(in crate::engine) fn mask(&self, item: u32) -> &[UnitSet] {
        let at = item as usize * self.words;
        &self.masks[at..at + self.words]
    }

    /// Pairs of a unit.
    pub(in crate::engine) fn of_unit(&self, unit: u32) -> std::ops::Range<usize> {
        let at = unit as usize;
        self.first[at] as usize..self.first[at + 1] as usize
    }

    /// Groups the users of each unit: each recipe goes to the first group with all of which
    /// it is too much alike for one week.
    fn set_groups(&mut self, pool: &Pool, items: &[Item]) {
        let mut by_unit: Vec<Vec<(u32, Vec<RecipeId>)>> = Vec::new();
        for item in items {
            for &(unit, _) in &item.units {
                let unit = unit as usize;
                if by_unit.len() <= unit {
                    by_unit.resize_with(unit + 1, Vec::new);
                }
                let theirs = &mut by_unit[unit];
                let own = |recipes: &Vec<RecipeId>| recipes.last() == Some(&item.recipe);
                let old = theirs.iter().position(|(_, recipes)| own(recipes));
                let place = old.unwrap_or_else(|| {
                    let alike = |(_, recipes): &(u32, Vec<RecipeId>)| {
                        pool.larder.recipes.len() <= MOST_GROUPED
                            && recipes.iter().all(|&old| pool.clash(old, item.recipe))
                    };
                    let place = theirs.iter().position(alike).unwrap_or_else(|| {
                        theirs.push((self.groups as u32, Vec::new()));
                        self.groups += 1;
                        theirs.len() - 1
                    });
                    theirs[place].1.push(item.recipe);
                    place
                });
                self.group.push(theirs[place].0);
            }
        }
    }

    /// Groups of an item's units, beside [`Self::of`].
    pub(in crate::engine) fn groups_of(&self, item: u32) -> &[u32] {
        let at = item as usize;
        &self.group[self.start[at] as usize..self.start[at + 1] as usize]
    }

    /// Pairs of an item, rising by unit.
    pub(in crate::engine) fn of(&self, item: u32) -> &[u32] {
        let at = item as usize;
        &self.flat[self.start[at] as usize..self.start[at + 1] as usize]
    }

    /// Whether an item uses a unit that some item uses.
    pub(in crate::engine) fn uses(&self, item: u32, unit: u32) -> bool {
        let bit = self.bit[unit as usize] as usize;
        self.masks[item as usize * self.words + bit / SET] >> (bit % SET) & 1 != 0
    }
}

/// The pairs of all items, rising. There are many times more items than pairs.
fn listed(items: &[Item]) -> Vec<(u32, i64)> {
    let mut list: Vec<(u32, i64)> = Vec::new();
    let mut most = FIRST_LISTED;
    let tidy = |list: &mut Vec<(u32, i64)>| {
        list.sort_unstable();
        list.dedup();
    };
    for item in items {
        list.extend_from_slice(&item.units);
        if list.len() >= most {
            tidy(&mut list);
            most = FIRST_LISTED.max(2 * list.len());
        }
    }
    tidy(&mut list);
    list.shrink_to_fit();
    list
}

/// Pairs listed before doubles are taken out.
const FIRST_LISTED: usize = 1 << 16;

/// What was laid out of a larder.
#[derive(Debug, Default)]
pub(in crate::engine) struct Items {
    pub(in crate::engine) list: Vec<Item>,
    /// Some ways of taking alternatives were left out: there are too many of them, or the run
    /// was told to stop. Then no search of the list proves anything.
    pub(in crate::engine) left_out: bool,
    /// Recipes have so many ways that a few are listed for weeks to begin with, and nothing else.
    pub(in crate::engine) by_line: bool,
}

/// Items laid out at most: what a search of them takes stays well below a gigabyte.
const MOST_ITEMS: usize = 100_000;

/// Ways that recipes have on average, beyond which lines are rather taken one by one
/// ([`crate::engine::tree::open_search`]); and items laid out then, for weeks to begin with.
const MANY_WAYS: usize = 1_000;
const FEW_ITEMS: usize = 600;

/// Ways of taking alternatives tried between two questions whether to stop: some milliseconds, so
/// that a kitchen of usual size is laid out whole and its search has a bound to tell.
const ASKS: usize = 8_192;

/// Lists the items of every servable recipe, in recipe order then alternative order,
/// leaving out those that break a rule on a single lunch.
///
/// Where there are more of them than [`MOST_ITEMS`], or recipes have more than [`MANY_WAYS`], no recipe has more
/// than its share: those that differ in the fewest lines from the way of the cheapest alternatives.
pub(in crate::engine) fn all_items(pool: &Pool, stop: &dyn Fn() -> bool) -> Items {
    items_of(pool, MANY_WAYS, stop)
}

/// The same with another number in place of [`MANY_WAYS`].
pub(in crate::engine) fn items_of(pool: &Pool, most_ways: usize, stop: &dyn Fn() -> bool) -> Items {
    let recipes: Vec<Lines> = pool
        .servable_recipes()
        .map(|recipe| Lines::new(pool, recipe))
        .collect();
    let ways = || recipes.iter().map(Lines::ways);
    let all = ways().fold(0, usize::saturating_add);
    let many = all > most_ways.saturating_mul(recipes.len());
    let most = if many { FEW_ITEMS } else { MOST_ITEMS };
    let each = if all <= most {
        usize::MAX
    } else {
        share(ways(), most)
    };
    let mut items = Items {
        by_line: many,
        ..Items::default()
    };
    let asked = Cell::new(0_usize);
    let stops = || {
        asked.set(asked.get() + 1);
        asked.get().is_multiple_of(ASKS) && stop()
    };
    for recipe in &recipes {
        if !recipe.lay(pool, each, &stops, &mut items.list) {
            items.left_out = true;
        }
        if items.left_out && stop() {
            break;
        }
    }
    items.list.shrink_to_fit();
    items
}

/// The most items a recipe may have, so that all together have no more than `most`.
fn share(ways: impl Iterator<Item = usize>, most: usize) -> usize {
    let mut ways: Vec<usize> = ways.collect();
    ways.sort_unstable();
    let (mut left, mut recipes) = (most, ways.len());
    for &ways in &ways {
        if ways > left / recipes {
            return (left / recipes).max(1);
        }
        left -= ways;
        recipes -= 1;
    }
    usize::MAX
}

/// What one alternative of a line adds to a lunch.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Part {
    /// Its place among the line's alternatives.
    pub(in crate::engine) position: u16,
    /// As [`Item::units`]; not sorted.
    pub(in crate::engine) units: Vec<(u32, i64)>,
    /// How many of these, the first, are used on the day itself and not in a batch.
    pub(in crate::engine) direct: usize,
    /// Staples, 1e-9 minor units.
    pub(in crate::engine) staples: i64,
    /// Per-portion minutes of its component, 1e-9.
    pub(in crate::engine) minutes: i64,
    /// Nutrients, then what credit rules count: [`Pool::nutrients`].
    pub(in crate::engine) nutrients: Vec<i64>,
    /// Days on which it can be had.
    pub(in crate::engine) days: LunchDays,
}

/// A recipe line by line, with what each alternative adds.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Lines {
    pub(in crate::engine) recipe: RecipeId,
    /// By line: what bans leave of its alternatives, in their order.
    pub(in crate::engine) list: Vec<Vec<Part>>,
    /// Minutes of the lunch without its components, 1e-9.
    pub(in crate::engine) minutes: i64,
    /// Least day preference, minor units.
    pub(in crate::engine) preference: i64,
    /// Days on which it may be served.
    pub(in crate::engine) days: LunchDays,
}

impl Lines {
    /// The lines of a recipe that can be served.
    pub(in crate::engine) fn new(pool: &Pool, recipe: RecipeId) -> Self {
        let base = pool.larder.foods.len() as u32;
        let part = |line: usize, position: u16| {
            let taken = pool.taken(recipe, line, position, 0);
            let mut units = taken.direct;
            let direct = units.len();
            for batch in taken.batches {
                units.extend(batch.foods);
                units.push((base + batch.component, 1));
            }
            Part {
                position,
                units,
                direct,
                staples: taken.staples,
                minutes: taken.minutes,
                nutrients: pool.nutrients(recipe, line, position),
                days: pool.days_of(recipe, line, position),
            }
        };
        let lines = pool.allowed.of(recipe).lines.iter().enumerate();
        let list = lines.map(|(line, left)| left.iter().map(|&at| part(line, at)).collect());
        let days = pool.days[recipe.index()];
        let preference = days
            .iter()
            .map(|day| pool.preference[recipe.index()][usize::from(day) - 1])
            .min()
            .unwrap_or(0);
        Self {
            recipe,
            list: list.collect(),
            minutes: pool.larder.recipes[recipe.index()].minutes_nano,
            preference,
            days,
        }
    }

    /// The same with those alternatives alone whose bits are set, by line.
    pub(in crate::engine) fn narrowed(&self, left: &[u32]) -> Self {
        let narrow = |(line, bits): (&Vec<Part>, &u32)| {
            let parts = line.iter().enumerate();
            let kept = parts.filter(|(at, _)| bits >> at & 1 != 0);
            kept.map(|(_, part)| part.clone()).collect()
        };
        Self {
            list: self.list.iter().zip(left).map(narrow).collect(),
            ..*self
        }
    }

    /// What a lunch of it may use at the most of each unit, as an item that takes all alternatives of
    /// all lines.
    pub(in crate::engine) fn widest(&self, pool: &Pool) -> Item {
        let base = pool.larder.foods.len() as u32;
        let mut most: BTreeMap<u32, i64> = BTreeMap::new();
        for line in &self.list {
            let units = line.iter().flat_map(|part| merge(part.units.clone(), base));
            let mut of_line: BTreeMap<u32, i64> = BTreeMap::new();
            for (unit, amount) in units {
                let known = of_line.entry(unit).or_default();
                *known = amount.max(*known);
            }
            for (unit, amount) in of_line {
                *most.entry(unit).or_default() += amount;
            }
        }
        Item {
            recipe: self.recipe,
            taken: Box::default(),
            units: most.into_iter().collect(),
            staples: 0,
            minutes: self.minutes,
            days: self.days,
            preference: self.preference,
            nutrients: vec![0; pool.week_rules.len()].into(),
        }
    }

    /// In how many ways the lines can be taken.
    pub(in crate::engine) fn ways(&self) -> usize {
        let lines = self.list.iter();
        lines.fold(1, |ways: usize, line| ways.saturating_mul(line.len()))
    }

    /// Adds the items of the recipe, at most so many ways of taking its alternatives; false if some
    /// were left out. `stop` is asked at every way.
    pub(in crate::engine) fn lay(
        &self,
        pool: &Pool,
        most: usize,
        stop: &dyn Fn() -> bool,
        items: &mut Vec<Item>,
    ) -> bool {
        let before = items.len();
        let mut note = |choice: &[usize]| items.extend(self.item(pool, choice));
        let sizes: Vec<usize> = self.list.iter().map(Vec::len).collect();
        let whole = if self.ways() <= most {
            every_choice(&sizes, stop, &mut note)
        } else {
            let cheapest: Vec<usize> = self.list.iter().map(|line| cheapest(pool, line)).collect();
            few_changes(&cheapest, &sizes, most, stop, &mut note);
            false
        };
        // In the order of the alternatives, whatever they were tried in.
        items[before..].sort_by(|a, b| a.taken.cmp(&b.taken));
        whole
    }

    /// The item of one way of taking the alternatives; none where it breaks a rule by itself.
    fn item(&self, pool: &Pool, choice: &[usize]) -> Option<Item> {
        let base = pool.larder.foods.len() as u32;
        let mut units: Vec<(u32, i64)> = Vec::new();
        let mut nutrients = vec![0i64; NUTRIENTS + pool.larder.wishes.credits.len()];
        let (mut staples, mut minutes, mut days) = (0, self.minutes, self.days);
        for (line, &chosen) in self.list.iter().zip(choice) {
            let part = &line[chosen];
            units.extend(&part.units);
            staples += part.staples;
            minutes += part.minutes;
            days &= part.days;
            for (sum, more) in nutrients.iter_mut().zip(&part.nutrients) {
                *sum += more;
            }
        }
        let units = merge(units, base);
        if days.is_empty() || !fits_lunch_rules(pool, &nutrients) || !pool.supplies(|_| 0, &units) {
            return None;
        }
        let taken = self.list.iter().zip(choice);
        let rules = pool.week_rules.iter();
        Some(Item {
            recipe: self.recipe,
            taken: taken.map(|(line, &chosen)| line[chosen].position).collect(),
            units,
            staples,
            minutes,
            days,
            preference: self.preference,
            nutrients: rules.map(|&(nutrient, _, _)| nutrients[nutrient]).collect(),
        })
    }
}

/// Position of the part that costs least by the milligram's value.
fn cheapest(pool: &Pool, line: &[Part]) -> usize {
    let value = |&(unit, mg): &(u32, i64)| {
        let model = pool.foods.get(unit as usize).and_then(Option::as_ref);
        let lots = model.iter().flat_map(|model| &model.lots);
        let value = lots.map(|lot| lot.value).min().unwrap_or(0);
        i128::from(value) * i128::from(mg)
    };
    let cost = |part: &Part| {
        part.units.iter().map(value).sum::<i128>() + i128::from(part.staples + part.minutes)
    };
    (0..line.len())
        .min_by_key(|&at| (cost(&line[at]), at))
        .unwrap_or(0)
}

/// Tries every choice, the last line turning fastest; false if it was told to stop.
fn every_choice(sizes: &[usize], stop: &dyn Fn() -> bool, note: &mut dyn FnMut(&[usize])) -> bool {
    let mut choice = vec![0; sizes.len()];
    loop {
        if stop() {
            return false;
        }
        note(&choice);
        let Some(line) = (0..sizes.len()).rfind(|&line| choice[line] + 1 < sizes[line]) else {
            return true;
        };
        choice[line] += 1;
        choice[line + 1..].fill(0);
    }
}

/// Tries at most `most` choices, those first that differ from `from` in the fewest lines.
fn few_changes(
    from: &[usize],
    sizes: &[usize],
    most: usize,
    stop: &dyn Fn() -> bool,
    note: &mut dyn FnMut(&[usize]),
) {
    let mut left = most;
    for changes in 0..=sizes.len() {
        let mut choice = from.to_vec();
        if !changed(&mut choice, sizes, 0, changes, &mut left, stop, note) {
            return;
        }
    }
}

/// Changes just `changes` of the lines from `line` on; false once there are enough.
fn changed(
    choice: &mut [usize],
    sizes: &[usize],
    line: usize,
    changes: usize,
    left: &mut usize,
    stop: &dyn Fn() -> bool,
    note: &mut dyn FnMut(&[usize]),
) -> bool {
    if changes == 0 {
        if *left == 0 || stop() {
            return false;
        }
        *left -= 1;
        note(choice);
        return true;
    }
    let own = choice.to_vec();
    for at in line..sizes.len().saturating_sub(changes - 1) {
        for other in (0..sizes[at]).filter(|&other| other != own[at]) {
            choice[at] = other;
            if !changed(choice, sizes, at + 1, changes - 1, left, stop, note) {
                return false;
            }
        }
        choice[at] = own[at];
    }
    true
}

/// Sorts by unit and adds up; a component counts once however often it is asked for.
fn merge(mut units: Vec<(u32, i64)>, base: u32) -> Box<[(u32, i64)]> {
    units.sort_unstable();
    let mut merged: Vec<(u32, i64)> = Vec::with_capacity(units.len());
    for (unit, amount) in units {
        match merged.last_mut() {
            Some((last, sum)) if *last == unit => {
                if unit < base {
                    *sum += amount;
                }
            }
            _ => merged.push((unit, amount)),
        }
    }
    merged.into()
}

fn fits_lunch_rules(pool: &Pool, nutrients: &[i64]) -> bool {
    pool.lunch_rules.iter().all(|&(place, least, most)| {
        let sum = nutrients[place];
        least.is_none_or(|least| sum >= least) && most.is_none_or(|most| sum <= most)
    })
}

/// Whether an item is what a pin asks for, whatever the day.
pub(in crate::engine) fn keeps(pool: &Pool, pin: &Pin, item: &Item) -> bool {
    match pin {
        Pin::Recipe(recipe, _) => item.recipe == *recipe,
        Pin::Food(food, _) => takes(pool, item, *food),
    }
}

/// Whether an item takes a food, staple or not, itself or through a component.
pub(in crate::engine) fn takes(pool: &Pool, item: &Item, food: FoodId) -> bool {
    let larder = pool.larder;
    let recipe = &larder.recipes[item.recipe.index()];
    recipe.lines.iter().zip(&item.taken).any(|(line, &taken)| {
        match line.alternatives[usize::from(taken)].what {
            Ingredient::Food(id) => id == food,
            Ingredient::Component(id) => larder.components[id.index()]
                .foods
                .iter()
                .any(|&(id, _)| id == food),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_recipe_has_its_share_of_the_items() {
        assert_eq!(share([3, 4, 5].into_iter(), 12), usize::MAX);
        let most = share([10, usize::MAX, usize::MAX].into_iter(), 100);
        assert_eq!(most, (100 - 10) / 2);
        assert_eq!(share(std::iter::repeat_n(2, 200), 100), 1);
    }

    #[test]
    fn few_changes_come_first_and_none_twice() {
        let (from, sizes) = ([1, 0, 2], [2, 3, 4]);
        let mut all: Vec<Vec<usize>> = Vec::new();
        few_changes(&from, &sizes, 100, &|| false, &mut |choice| {
            all.push(choice.to_vec());
        });
        let changes: Vec<usize> = all
            .iter()
            .map(|choice| choice.iter().zip(&from).filter(|(a, b)| a != b).count())
            .collect();
        assert!(changes.is_sorted(), "{changes:?}");
        let mut every: Vec<Vec<usize>> = Vec::new();
        assert!(every_choice(&sizes, &|| false, &mut |choice| every.push(choice.to_vec())));
        assert_eq!(every.len(), 24);
        assert!(every.is_sorted());
        all.sort();
        assert_eq!(all, every);
        let mut some = 0;
        few_changes(&from, &sizes, 7, &|| false, &mut |_| some += 1);
        assert_eq!(some, 7);
    }
}
