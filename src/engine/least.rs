//! The smallest shares that a choice of different recipes must add up.

/// Classes of recipes of which only so many may be chosen: forms, or main proteins where
/// forms are not limited. A recipe has one class, so that choosing the smallest shares
/// one by one is exact (the sets allowed are a laminar matroid).
pub(super) struct Classes {
    /// Class by recipe id; none if unlimited.
    of: Vec<Option<u32>>,
    /// Most recipes of a class in the week.
    pub(super) most: usize,
    count: usize,
}

impl Classes {
    /// Classes of a kitchen's recipes.
    pub(super) fn new(larder: &crate::larder::Larder) -> Self {
        let wishes = &larder.wishes;
        let by_form = wishes.per_form.is_some();
        let most = wishes.per_form.or(wishes.per_protein);
        let of: Vec<Option<u32>> = larder
            .recipes
            .iter()
            .map(|recipe| match most {
                None => None,
                Some(_) if by_form => Some(recipe.form.index() as u32),
                Some(_) => recipe.protein.map(|protein| protein.index() as u32),
            })
            .collect();
        let count = of.iter().flatten().max().map_or(0, |&top| top as usize + 1);
        let most = most.map_or(usize::MAX, |most| usize::try_from(most).unwrap_or(0));
        Self { of, most, count }
    }

    /// How many more of each class there is room for beside these recipes.
    pub(super) fn room(&self, recipes: impl Iterator<Item = u32>) -> Vec<usize> {
        let mut room = vec![self.most; self.count];
        for recipe in recipes {
            if let Some(class) = self.of[recipe as usize] {
                let left = &mut room[class as usize];
                *left = left.saturating_sub(1);
            }
        }
        room
    }
}

/// The smallest shares of different recipes, rising, no more of a class than there is
/// room for.
///
/// Shares come in any order. A share that may not stand beside the others takes the place
/// of the largest of those it cannot stand beside, if it is smaller: in a matroid that
/// keeps the least sum.
pub(super) struct Least<'c> {
    classes: &'c Classes,
    room: &'c [usize],
    count: usize,
    repeats: i64,
    /// Share and recipe, rising.
    shares: Vec<(i64, u32)>,
    /// Shares at or above this change nothing.
    pub(super) worst: i64,
}

impl<'c> Least<'c> {
    /// The `count` smallest; `repeats` times each recipe.
    pub(super) fn new(classes: &'c Classes, room: &'c [usize], count: usize, repeats: i64) -> Self {
        Self {
            classes,
            room,
            count,
            repeats,
            shares: Vec::with_capacity(count + 1),
            worst: i64::MAX,
        }
    }

    /// Offers a share.
    pub(super) fn add(&mut self, share: i64, recipe: u32) {
        if self.repeats == 1 {
            if let Some(old) = self.shares.iter().position(|&(_, r)| r == recipe) {
                if share >= self.shares[old].0 {
                    return;
                }
                self.shares.remove(old);
            } else if let Some(class) = self.classes.of[recipe as usize] {
                let same = |&(_, r): &(i64, u32)| self.classes.of[r as usize] == Some(class);
                let room = self.room[class as usize];
                if self.shares.iter().filter(|entry| same(entry)).count() >= room {
                    // Rising, so the last one is the largest.
                    match self.shares.iter().rposition(same) {
                        Some(old) if share < self.shares[old].0 => self.shares.remove(old),
                        _ => return,
                    };
                }
            }
        }
        let place = self.shares.partition_point(|&(s, _)| s <= share);
        self.shares.insert(place, (share, recipe));
        self.shares.truncate(self.count);
        if self.shares.len() == self.count {
            self.worst = self.shares[self.count - 1].0;
        }
    }

    /// Their sum, and the least sum of one fewer; none if there are too few.
    pub(super) fn sums(&self) -> Option<(i64, i64)> {
        let (mut sum, mut last, mut left) = (0, 0, self.count as i64);
        for &(share, _) in &self.shares {
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
    pub(super) fn beside(&self, recipe: u32, (all, others): (i64, i64)) -> i64 {
        if self.repeats > 1 {
            return others;
        }
        if let Some(&(share, _)) = self.shares.iter().find(|&&(_, r)| r == recipe) {
            return all - share;
        }
        if let Some(class) = self.classes.of[recipe as usize] {
            let same = |&&(_, r): &&(i64, u32)| self.classes.of[r as usize] == Some(class);
            if self.shares.iter().filter(same).count() >= self.room[class as usize] {
                let largest = self.shares.iter().rfind(same);
                return all - largest.map_or(0, |&(share, _)| share);
            }
        }
        others
    }
}
