//! The smallest shares that a choice of different recipes must add up, in 1e-9 minor units (or the unit of the sum with a
//! ceiling): how little the lunches still to choose can cost, and how little beside one of them.
//!
//! Plain definition: the least sum of shares over all choices of so many of what was offered, of different recipes, no more
//! of a class than there is room for; and the same beside a recipe that is chosen too. Whole numbers, nothing is rounded.
//!
//! Proof. Choices of different recipes, no more of each class than its room, no more than so many in all, are the independent
//! sets of a matroid: a recipe lies in one class of a kind and all classes in the whole, a laminar family. In a matroid the
//! least sum is kept if what is offered is put in and, where that is one too many, the largest is taken out of those that
//! cannot stand together with it: those of its recipe, else of its full class, else all. A basis less its largest is
//! the least of one fewer; beside a recipe the largest of those that it cannot stand beside makes room for it, and all
//! else stays. Of classes only the first kind is asked: other rules only forbid choices, and the least of more is no larger.
//! With repeats each share counts as often as its recipe may come, whatever else of the recipe counts: that only adds
//! choices, and classes are not asked.
//!
//! The caller offers every share that may matter, each as often as it likes; one no smaller than [`Least::worst`] changes
//! nothing. The room is what is left beside what is chosen.

use crate::engine::model::day_sets::LunchDays;
use crate::larder::MOST_DAYS;

/// Most kinds of classes.
pub(in crate::engine) const KINDS: usize = 3;

/// Classes of recipes of which only so many may be chosen: forms, main proteins, and recipes that
/// can be served on one and the same day alone.
pub(in crate::engine) struct Classes {
    /// Those that limit anything; of the first, [`Least`] asks only that. Classes are numbered through
    /// all kinds, in this order.
    kinds: Vec<Kind>,
}

struct Kind {
    /// Class by recipe id, numbered through all kinds; none if unlimited.
    of: Vec<Option<u32>>,
    /// Most recipes of a class in the week.
    most: u32,
    /// First class of the kind, and how many there are.
    from: usize,
    count: usize,
}

/// How many more recipes of each class there is room for.
#[derive(Clone, Default)]
pub(in crate::engine) struct Room(Vec<u32>);

impl Classes {
    /// Classes of a kitchen's recipes; `days` has the days each may be served on.
    pub(in crate::engine) fn new(larder: &crate::larder::Larder, days: &[LunchDays]) -> Self {
        let (wishes, recipes) = (&larder.wishes, &larder.recipes);
        let forms = wishes.per_form.map(|most| {
            let of = recipes.iter().map(|recipe| Some(recipe.form.index()));
            (most, of.collect())
        });
        let proteins = wishes.per_protein.map(|most| {
            let of = recipes.iter().map(|recipe| Some(recipe.protein?.index()));
            (most, of.collect())
        });
        let only = |days: &LunchDays| Some(usize::from(days.only()?) - 1);
        let by_day: Vec<Option<usize>> = days.iter().map(only).collect();
        let pinned = by_day.iter().flatten().count();
        let mut kinds: Vec<(i64, Vec<Option<usize>>)> =
            [forms, proteins].into_iter().flatten().collect();
        if pinned > 1 {
            // Where most recipes are for one day, that says more than what they look like.
            let place = if 2 * pinned > days.len() {
                0
            } else {
                kinds.len()
            };
            kinds.insert(place, (1, by_day));
        }
        let mut from = 0;
        let kinds = kinds.into_iter().map(|(most, of)| {
            let count = of.iter().flatten().max().map_or(0, |&top| top + 1);
            let kind = Kind {
                of: of
                    .iter()
                    .map(|class| class.map(|class| (class + from) as u32))
                    .collect(),
                most: u32::try_from(most.max(0)).unwrap_or(u32::MAX),
                from,
                count,
            };
            from += count;
            kind
        });
        Self {
            kinds: kinds.collect(),
        }
    }

    /// Kinds of classes.
    pub(in crate::engine) fn kinds(&self) -> usize {
        self.kinds.len()
    }

    /// Classes of all kinds.
    pub(in crate::engine) fn count(&self) -> usize {
        self.kinds.iter().map(|kind| kind.count).sum()
    }

    /// How many more of each class there is room for beside these recipes.
    pub(in crate::engine) fn room(&self, recipes: impl Iterator<Item = u32>) -> Room {
        let mut room = Room(Vec::new());
        for kind in &self.kinds {
            room.0.resize(kind.from + kind.count, kind.most);
        }
        for recipe in recipes {
            self.take(&mut room, recipe);
        }
        room
    }

    /// Takes the room of a recipe.
    pub(in crate::engine) fn take(&self, Room(room): &mut Room, recipe: u32) {
        for kind in &self.kinds {
            if let Some(class) = kind.of[recipe as usize] {
                let left = &mut room[class as usize];
                *left = left.saturating_sub(1);
            }
        }
    }

    /// Class of a recipe, if it has one of the kind, and the room for it.
    pub(in crate::engine) fn class_room(
        &self,
        Room(room): &Room,
        kind: usize,
        recipe: u32,
    ) -> Option<(usize, usize)> {
        let class = self.kinds[kind].of[recipe as usize]? as usize;
        Some((class, room[class] as usize))
    }

    /// Classes of a recipe.
    pub(in crate::engine) fn of(&self, recipe: u32) -> impl Iterator<Item = usize> {
        let kinds = self.kinds.iter();
        kinds.filter_map(move |kind| kind.of[recipe as usize].map(|class| class as usize))
    }
}

impl Room {
    /// Room for a class.
    pub(in crate::engine) fn of(&self, class: usize) -> u32 {
        self.0[class]
    }

    /// Becomes a copy.
    pub(in crate::engine) fn copy(&mut self, other: &Self) {
        self.0.clone_from(&other.0);
    }
}

/// The smallest shares of different recipes, rising, no more of a form (of a main protein
/// where forms are not limited) than there is room for.
///
/// A recipe has one form, so that choosing the smallest shares one by one is exact (the
/// sets allowed are a laminar matroid).
///
/// Shares come in any order. A share that may not stand beside the others takes the place
/// of the largest of those it cannot stand beside, if it is smaller: in a matroid that
/// keeps the least sum.
#[derive(Clone)]
pub(in crate::engine) struct Least<'c> {
    classes: Option<&'c Kind>,
    room: &'c [u32],
    count: usize,
    repeats: i64,
    /// Share, recipe and class, rising, and how many there are.
    shares: [(i64, u32, u32); MOST_DAYS + 1],
    len: usize,
    /// Shares at or above this change nothing.
    pub(in crate::engine) worst: i64,
}

/// No class.
const FREE: u32 = u32::MAX;

impl<'c> Least<'c> {
    /// The `count` smallest; `repeats` times each recipe.
    pub(in crate::engine) fn new(
        classes: &'c Classes,
        room: &'c Room,
        count: usize,
        repeats: i64,
    ) -> Self {
        Self {
            classes: classes.kinds.first(),
            room: &room.0,
            count,
            repeats,
            shares: [(0, 0, 0); MOST_DAYS + 1],
            len: 0,
            worst: i64::MAX,
        }
    }

    /// How many shares are added up.
    pub(in crate::engine) fn count(&self) -> usize {
        self.count
    }

    fn class(&self, recipe: u32) -> u32 {
        let class = self.classes.and_then(|kind| kind.of[recipe as usize]);
        class.unwrap_or(FREE)
    }

    fn held(&self) -> &[(i64, u32, u32)] {
        &self.shares[..self.len]
    }

    fn remove(&mut self, at: usize) {
        for later in at + 1..self.len {
            self.shares[later - 1] = self.shares[later];
        }
        self.len -= 1;
    }

    /// Offers a share.
    pub(in crate::engine) fn add(&mut self, share: i64, recipe: u32) {
        let class = self.class(recipe);
        if self.repeats == 1 {
            let (mut same, mut last) = (0, 0);
            let mut own = None;
            for (at, &(_, r, c)) in self.held().iter().enumerate() {
                if r == recipe {
                    own = Some(at);
                }
                if c == class {
                    same += 1;
                    last = at;
                }
            }
            // Its own, or the last of a full class: rising, so that is the largest.
            let full = || class != FREE && same >= self.room[class as usize];
            if let Some(old) = own {
                if share >= self.shares[old].0 {
                    return;
                }
                self.remove(old);
            } else if full() {
                if same == 0 || share >= self.shares[last].0 {
                    return;
                }
                self.remove(last);
            }
        }
        let mut place = self.len;
        while place > 0 && self.shares[place - 1].0 > share {
            self.shares[place] = self.shares[place - 1];
            place -= 1;
        }
        self.shares[place] = (share, recipe, class);
        self.len = (self.len + 1).min(self.count);
        if self.len == self.count {
            self.worst = self.shares[self.count - 1].0;
        }
    }

    /// Their sum, and the least sum of one fewer; none if there are too few.
    pub(in crate::engine) fn sums(&self) -> Option<(i64, i64)> {
        let (mut sum, mut last, mut left) = (0, 0, self.count as i64);
        for &(share, ..) in self.held() {
            let times = left.min(self.repeats);
            if times > 0 {
                sum += share * times;
                last = share;
                left -= times;
            }
        }
        (left == 0).then_some((sum, sum - last))
    }

    /// Least sum of the others beside a recipe; `all` and `others` are [`Self::sums`].
    pub(in crate::engine) fn beside(&self, recipe: u32, (all, others): (i64, i64)) -> i64 {
        if self.repeats > 1 {
            return others;
        }
        let class = self.class(recipe);
        let (mut same, mut largest) = (0, 0);
        for &(share, r, c) in self.held() {
            if r == recipe {
                return all - share;
            }
            if c == class {
                same += 1;
                largest = share;
            }
        }
        if class != FREE && same >= self.room[class as usize] {
            return all - largest;
        }
        others
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::pool::Pool;
    use crate::engine::model::samples::{kitchen, numbers};
    use itertools::Itertools;

    /// Shares offered in any order against all choices of recipes, one by one.
    #[test]
    fn the_smallest_are_those_of_all_choices() {
        let mut next = numbers(1);
        let (mut found, mut none, mut limited) = (0, 0, 0);
        for name in ["stored/cap-and-forms", "boatyard", "stored/everything"] {
            let larder = kitchen(name);
            let pool = Pool::new(&larder);
            let classes = Classes::new(&larder, &pool.days);
            let all = larder.recipes.len();
            for _ in 0..400 {
                let chosen: Vec<u32> = (0..next(3)).map(|_| next(all) as u32).collect();
                let room = classes.room(chosen.into_iter());
                let count = 1 + next(4);
                let mut least = Least::new(&classes, &room, count, 1);
                let mut shares: Vec<Option<i64>> = vec![None; all];
                for _ in 0..next(14) {
                    let (share, recipe) = (next(30) as i64, next(all));
                    least.add(share, recipe as u32);
                    let known = &mut shares[recipe];
                    *known = Some(known.map_or(share, |known: i64| known.min(share)));
                }
                let class = |recipe: u32| {
                    let kind = classes.kinds.first()?;
                    kind.of[recipe as usize]
                };
                let offered = (0..all as u32).filter(|&at| shares[at as usize].is_some());
                let offered: Vec<u32> = offered.collect();
                let fits = |set: &[u32]| {
                    set.iter().all(|&one| {
                        let Some(class) = class(one) else { return true };
                        let same = set.iter().filter(|&&other| is(&classes, other, class));
                        same.count() <= room.of(class as usize) as usize
                    })
                };
                let sum = |set: &[u32]| {
                    set.iter()
                        .filter_map(|&one| shares[one as usize])
                        .sum::<i64>()
                };
                let sets = || offered.iter().copied().combinations(count);
                let plain = sets().filter(|set| fits(set)).map(|set| sum(&set)).min();
                let sums = least.sums();
                assert_eq!(sums.map(|(all, _)| all), plain, "{name}");
                limited += i32::from(plain != sets().map(|set| sum(&set)).min());
                let Some(sums) = sums else {
                    none += 1;
                    continue;
                };
                found += 1;
                for &recipe in offered.iter().filter(|&&recipe| fits(&[recipe])) {
                    let others = offered.iter().copied().filter(|&other| other != recipe);
                    let beside = others.combinations(count - 1).filter(|set| {
                        let with: Vec<u32> = set.iter().copied().chain([recipe]).collect();
                        fits(&with)
                    });
                    let plain = beside.map(|set| sum(&set)).min();
                    assert_eq!(plain, Some(least.beside(recipe, sums)), "{name}: {recipe}");
                }
            }
        }
        assert!(
            found > 300 && none > 100 && limited > 30,
            "{found} {none} {limited}"
        );
    }

    /// Where recipes may come again, no choice of lunches adds up to less.
    #[test]
    fn no_choice_with_repeats_adds_up_to_less() {
        let mut next = numbers(2);
        let larder = kitchen("stored/cap-and-forms");
        let pool = Pool::new(&larder);
        let classes = Classes::new(&larder, &pool.days);
        let (mut met, mut none) = (0, 0);
        for _ in 0..1_500 {
            let room = classes.room(std::iter::empty());
            let (count, repeats) = (1 + next(4), 2 + next(2));
            let mut least = Least::new(&classes, &room, count, repeats as i64);
            // Recipes with several items each.
            let offered: Vec<(i64, u32)> = (0..next(6))
                .map(|_| (next(30) as i64 - 10, next(3) as u32))
                .collect();
            for &(share, recipe) in &offered {
                least.add(share, recipe);
            }
            let choices = |count| offered.iter().combinations_with_replacement(count);
            let sum = |choice: &[&(i64, u32)]| choice.iter().map(|one| one.0).sum::<i64>();
            let may = |choice: &[&(i64, u32)]| {
                let often = choice.iter().map(|one| one.1).counts();
                often.values().all(|&times| times <= repeats)
            };
            let plain = choices(count)
                .filter(|choice| may(choice))
                .map(|choice| sum(&choice))
                .min();
            let Some(sums) = least.sums() else {
                assert_eq!(plain, None);
                none += 1;
                continue;
            };
            assert!(plain.is_none_or(|plain| sums.0 <= plain), "{offered:?}");
            met += i32::from(plain == Some(sums.0));
            for &one in &offered {
                let beside = choices(count - 1).filter(|others| {
                    let with: Vec<&(i64, u32)> = others.iter().copied().chain([&one]).collect();
                    may(&with)
                });
                let plain = beside.map(|others| sum(&others)).min();
                let said = least.beside(one.1, sums);
                assert!(plain.is_none_or(|plain| said <= plain), "{offered:?}");
            }
        }
        assert!(met > 300 && none > 100, "{met} {none}");
    }

    fn is(classes: &Classes, recipe: u32, class: u32) -> bool {
        let kind = classes.kinds.first();
        kind.is_some_and(|kind| kind.of[recipe as usize] == Some(class))
    }
}
