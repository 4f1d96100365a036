//! How many of the lunches still to choose may use each unit at the most, counted for all units at once.
//!
//! Proof. The lunches that use a unit are different recipes (or the same up to `repeats`
//! times) among its users; of each class no more than its room; of each group of recipes too
//! alike for one week no more than one; and no more than there are to choose. Each of these
//! bounds their number by itself. Whole counts; the caller gives candidates in item order, and room that is left beside
//! what is chosen. The plain definition is the least of these numbers, unit by unit (`one_by_one` in the tests); no
//! choice of lunches has more users.
//!
//! What is counted up to a few is kept as sets: the units with at least one, with at least
//! two, and so on, a bit for each unit. Adding a recipe moves its units one set on.

use crate::engine::bound::smallest::{Classes, KINDS, Room};
use crate::engine::model::items::{Pairs, SET, UnitSet};
use crate::engine::model::stamped::Stamped;
use crate::larder::MOST_DAYS;

/// Units with at least so many, by number; those with at least none are all.
type Counts<const N: usize> = [UnitSet; N];

/// Most users of all units.
pub(in crate::engine) struct MostUsers {
    words: usize,
    more: usize,
    /// Units with at least 1, 2, ... users: all words of the first number, then of the next.
    now: Vec<UnitSet>,
    /// Those of the count before, and those of the node.
    before: Vec<UnitSet>,
    node: Vec<UnitSet>,
    /// By class and number, while a word is counted.
    classes: Vec<UnitSet>,
    /// Groups counted.
    groups: Stamped<()>,
}

/// Nothing counted: at least none.
fn empty<const N: usize>() -> Counts<N> {
    let mut counts = [0; N];
    counts[0] = UnitSet::MAX;
    counts
}

/// Adds one to each unit of a set.
fn add<const N: usize>(counts: &mut Counts<N>, units: UnitSet) {
    for number in (1..N).rev() {
        counts[number] |= counts[number - 1] & units;
    }
}

impl MostUsers {
    /// Counts for the items of `pairs`.
    pub(in crate::engine) fn new(pairs: &Pairs) -> Self {
        Self {
            words: pairs.words,
            more: 0,
            now: Vec::new(),
            before: Vec::new(),
            node: Vec::new(),
            classes: Vec::new(),
            groups: Stamped::new(pairs.groups),
        }
    }

    /// Starts a node: up to `more` lunches are to be chosen after the one looked ahead from.
    pub(in crate::engine) fn start(&mut self, more: usize) {
        self.more = more;
        for counts in [&mut self.now, &mut self.before, &mut self.node] {
            counts.clear();
            counts.resize(self.words * more, 0);
        }
    }

    /// Sets the most users of a unit at the node.
    pub(in crate::engine) fn set(&mut self, bit: u32, most_users: usize) {
        for number in 0..most_users.min(self.more) {
            self.node[number * self.words + bit as usize / SET] |= 1 << (bit % SET as u32);
        }
    }

    /// Counts the recipes of `left`, which are in item order.
    pub(in crate::engine) fn count(
        &mut self,
        left: &[u32],
        pairs: &Pairs,
        classes: &Classes,
        room: &Room,
        repeats: i64,
    ) {
        std::mem::swap(&mut self.now, &mut self.before);
        self.groups.forget();
        for word in 0..self.words {
            if word >= pairs.shared_words && repeats == 1 {
                // One recipe each: none of these has more than one user.
                let users = left.iter().map(|&item| pairs.mask(item)[word]);
                self.now[word] = users.fold(0, |units, more| units | more);
                continue;
            }
            self.classes.clear();
            self.classes.resize(classes.count() * self.more, 0);
            let asked = (left, pairs, classes, room, repeats);
            // The usual numbers by themselves: what is counted stays in registers.
            match self.more {
                1 => self.count_word::<2>(word, asked),
                2 => self.count_word::<3>(word, asked),
                3 => self.count_word::<4>(word, asked),
                4 => self.count_word::<5>(word, asked),
                5 => self.count_word::<6>(word, asked),
                6 => self.count_word::<7>(word, asked),
                _ => self.count_word::<{ MOST_DAYS + 1 }>(word, asked),
            }
        }
    }

    /// Counts the units of a word up to N - 1, which is no fewer than are to be chosen.
    fn count_word<const N: usize>(
        &mut self,
        word: usize,
        (left, pairs, classes, room, repeats): (&[u32], &Pairs, &Classes, &Room, i64),
    ) {
        let more = self.more.min(N - 1);
        let limited = classes.kinds();
        let mut groups = empty::<N>();
        let mut kinds = [empty::<N>(); KINDS];
        for counts in &mut kinds[limited..] {
            *counts = [UnitSet::MAX; N];
        }
        let mut at = 0;
        while let Some(&first) = left.get(at) {
            let recipe = pairs.recipe[first as usize];
            let mut units = 0;
            while let Some(&item) = left.get(at)
                && pairs.recipe[item as usize] == recipe
            {
                units |= pairs.mask(item)[word];
                at += 1;
            }
            units &= !kinds
                .iter()
                .fold(groups[more], |all, counts| all & counts[more]);
            if units == 0 {
                continue;
            }
            let mut fresh = units;
            let (shared, alike) = pairs.shared_groups(recipe, word);
            if units & shared != 0 {
                for &(unit, group) in alike {
                    if units & unit != 0 {
                        if self.groups.get(group as usize).is_some() {
                            fresh &= !unit;
                        }
                        self.groups.set(group as usize, ());
                    }
                }
            }
            for _ in 0..repeats.min(more as i64) {
                add(&mut groups, fresh);
                for (k, counts) in kinds[..limited].iter_mut().enumerate() {
                    let mut free = units;
                    if let Some((class, room)) = classes.class_room(room, k, recipe)
                        && room < more
                    {
                        // At least 1, 2, ... of the class; none may be added to `room`.
                        let taken = &mut self.classes[class * more..][..room];
                        free &= !taken.last().copied().unwrap_or(UnitSet::MAX);
                        let mut rising = free;
                        for number in taken {
                            let was = *number;
                            *number |= rising;
                            rising &= was;
                        }
                    }
                    add(counts, free);
                }
            }
        }
        for number in 0..more {
            let n = number + 1;
            self.now[number * self.words + word] =
                kinds.iter().fold(groups[n], |all, counts| all & counts[n]);
        }
    }

    /// Units whose most users are not what they were at the count before or, at the `first` count
    /// after a lunch, at the node; by word.
    pub(in crate::engine) fn changed(&self, word: usize, first: bool) -> UnitSet {
        let before = if first { &self.node } else { &self.before };
        let numbers = (1..self.more).map(|number| number * self.words + word);
        numbers.fold(0, |bits, at| bits | (before[at] ^ self.now[at]))
    }

    /// Units used at all.
    pub(in crate::engine) fn used(&self, word: usize) -> UnitSet {
        self.now[word]
    }

    /// Lunches that may use a unit; one at least.
    pub(in crate::engine) fn of(&self, bit: u32) -> i64 {
        let numbers = (1..self.more).map(|number| number * self.words + bit as usize / SET);
        1 + numbers
            .map(|at| (self.now[at] >> (bit % SET as u32) & 1) as i64)
            .sum::<i64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::items::all_items;
    use crate::engine::model::pool::Pool;
    use crate::engine::model::samples::{kitchen, numbers};
    use crate::larder::RecipeId;
    use std::collections::{BTreeMap, BTreeSet};

    /// The most users of a unit, from its users and their groups.
    fn one_by_one(
        users: &[(u32, u32)],
        (classes, room): (&Classes, &Room),
        (more, repeats): (usize, usize),
    ) -> usize {
        let groups: BTreeSet<u32> = users.iter().map(|&(_, group)| group).collect();
        let mut most_users = more.min(groups.len() * repeats);
        for kind in 0..classes.kinds() {
            let mut free = 0;
            let mut limited: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
            for &(recipe, _) in users {
                match classes.class_room(room, kind, recipe) {
                    Some((class, room)) => limited.entry(class).or_insert((room, 0)).1 += repeats,
                    None => free += repeats,
                }
            }
            let within = limited.values().map(|&(room, users)| room.min(users));
            most_users = most_users.min(free + within.sum::<usize>());
        }
        most_users
    }

    /// The most lunches of these recipes that any choice has which the rules on recipes allow.
    fn largest(
        pool: &Pool,
        recipes: &[u32],
        (classes, room): (&Classes, &Room),
        (more, repeats): (usize, usize),
    ) -> usize {
        let Some((&recipe, rest)) = recipes.split_first() else {
            return 0;
        };
        let without = largest(pool, rest, (classes, room), (more, repeats));
        let mut left = room.clone();
        let mut times = 0;
        while times < repeats.min(more) && classes.of(recipe).all(|class| left.of(class) > 0) {
            classes.take(&mut left, recipe);
            times += 1;
        }
        if times == 0 {
            return without;
        }
        let beside: Vec<u32> = rest
            .iter()
            .copied()
            .filter(|&other| !pool.clash(RecipeId(recipe), RecipeId(other)))
            .collect();
        let with = (1..=times).map(|times| {
            let mut left = room.clone();
            (0..times).for_each(|_| classes.take(&mut left, recipe));
            times + largest(pool, &beside, (classes, &left), (more - times, repeats))
        });
        with.max().unwrap_or(0).max(without)
    }

    /// All sets at once against the count one unit at a time, and against all choices of recipes.
    #[test]
    fn counts_what_is_counted_one_by_one() {
        let mut next = numbers(1);
        let (mut compared, mut chosen_from, mut met) = (0, 0, 0);
        for name in [
            "boatyard",
            "stored/sameness",
            "stored/repeats",
            "stored/everything",
        ] {
            let larder = kitchen(name);
            let pool = Pool::new(&larder);
            let items = all_items(&pool, &|| false).list;
            let pairs = Pairs::new(&pool, &items);
            let classes = Classes::new(&larder, &pool.days);
            let units = larder.foods.len() + larder.components.len();
            let mut most_users = MostUsers::new(&pairs);
            for _ in 0..200 {
                let (more, repeats) = (1 + next(8), 1 + next(2) as i64);
                let chosen = (0..next(3)).map(|_| pairs.recipe[next(items.len())]);
                let room = classes.room(chosen.collect::<Vec<_>>().into_iter());
                let share = 1 + next(12);
                let free = |recipe| classes.of(recipe).all(|class| room.of(class) > 0);
                let left: Vec<u32> = (0..items.len() as u32)
                    .filter(|&item| next(12) < share && free(pairs.recipe[item as usize]))
                    .collect();
                most_users.start(more);
                most_users.count(&left, &pairs, &classes, &room, repeats);
                let mut users: Vec<Vec<(u32, u32)>> = vec![Vec::new(); units];
                for &item in &left {
                    let recipe = pairs.recipe[item as usize];
                    for (&pair, &group) in pairs.of(item).iter().zip(pairs.groups_of(item)) {
                        let users = &mut users[pairs.list[pair as usize].0 as usize];
                        if users.last().is_none_or(|&(last, _)| last != recipe) {
                            users.push((recipe, group));
                        }
                    }
                }
                for (unit, users) in users.iter().enumerate() {
                    let bit = pairs.bit.get(unit).copied().filter(|&bit| bit != u32::MAX);
                    let used = bit.is_some_and(|bit| {
                        most_users.used(bit as usize / SET) >> (bit as usize % SET) & 1 != 0
                    });
                    assert_eq!(used, !users.is_empty(), "{name}: unit {unit}");
                    if let Some(bit) = bit.filter(|_| used) {
                        let alone = one_by_one(users, (&classes, &room), (more, repeats as usize));
                        assert_eq!(most_users.of(bit), alone as i64, "{name}: unit {unit}");
                        compared += 1;
                        if users.len() <= 8 {
                            let users: Vec<u32> = users.iter().map(|user| user.0).collect();
                            let limits = (more, repeats as usize);
                            let choice = largest(&pool, &users, (&classes, &room), limits);
                            assert!(choice <= alone, "{name}: unit {unit}");
                            chosen_from += 1;
                            met += i32::from(choice == alone);
                        }
                    }
                }
            }
        }
        assert!(compared > 10_000, "{compared}");
        assert!(
            met * 2 > chosen_from && chosen_from > 10_000,
            "{met} of {chosen_from}"
        );
    }
}
