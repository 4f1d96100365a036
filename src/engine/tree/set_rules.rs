//! What the rules that need no days say of sets of items: part of a week, or a whole one.

use crate::engine::bound::matching::Matching;
use crate::engine::model::day_sets::LunchDays;
use crate::engine::model::items::{Item, takes};
use crate::engine::stage::Stage;
use crate::larder::{Pin, RecipeId};

impl<'a> Stage<'a> {
    pub(in crate::engine) fn item(&self, index: u32) -> &'a Item {
        &self.items[index as usize]
    }

    /// How often a recipe may come.
    pub(in crate::engine) fn repeats(&self) -> i64 {
        self.pool.larder.wishes.repeats
    }

    /// Whether the items chosen leave room for `more` under the rules that count or
    /// exclude recipes, with `missing` lunches to choose including `more`.
    pub(in crate::engine) fn fits(&self, chosen: &[u32], more: u32) -> bool {
        let larder = self.pool.larder;
        let wishes = &larder.wishes;
        let new = self.item(more).recipe;
        let recipe = &larder.recipes[new.index()];
        let (mut same, mut form, mut protein) = (1, 1, 1);
        let days = self.pool.days[new.index()];
        let one_day = days.only().is_some();
        for &index in chosen {
            let other = self.item(index).recipe;
            if other == new {
                same += 1;
            } else if self.pool.clash(other, new) {
                return false;
            }
            if one_day && self.pool.days[other.index()] == days {
                return false;
            }
            let entry = &larder.recipes[other.index()];
            form += i64::from(entry.form == recipe.form);
            protein += i64::from(recipe.protein.is_some() && entry.protein == recipe.protein);
        }
        same <= wishes.repeats
            && self.apart(&chosen.iter().copied().chain([more]))
            && wishes.per_form.is_none_or(|most| form <= most)
            && (recipe.protein.is_none() || wishes.per_protein.is_none_or(|most| protein <= most))
    }

    /// Whether lunches chosen can have a day each, and all days a lunch of those and the candidates,
    /// with each recipe as often as it may come.
    pub(in crate::engine) fn all_days_have_a_lunch(
        &self,
        chosen: &[u32],
        candidates: &[u32],
    ) -> bool {
        let pool = self.pool;
        let mut served = Matching::default();
        if !chosen
            .iter()
            .all(|&item| served.place(self.item(item).days))
        {
            return false;
        }
        // Items of a recipe stand together.
        let recipe = |item: u32| self.item(item).recipe;
        for items in candidates.chunk_by(|&one, &other| recipe(one) == recipe(other)) {
            if served.count() == pool.last as usize {
                return true;
            }
            let come = chosen
                .iter()
                .filter(|&&item| recipe(item) == recipe(items[0]));
            let more = self.repeats() - come.count() as i64;
            let days = items
                .iter()
                .map(|&item| self.item(item).days)
                .sum::<LunchDays>();
            for _ in 0..more.min(pool.last.into()) {
                if !served.place(days) {
                    break;
                }
            }
        }
        served.count() == pool.last as usize
    }

    /// Whether each day can still have a lunch, and the pinned recipes and foods can still come in
    /// with `missing` lunches.
    pub(in crate::engine) fn completable(
        &self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
    ) -> bool {
        if self.pool.days_limited {
            let left = if missing > 0 { candidates } else { &[] };
            if !self.all_days_have_a_lunch(chosen, left) {
                return false;
            }
        }
        let mut owed = 0;
        let mut seen: Vec<RecipeId> = Vec::new();
        for pin in self.with() {
            match pin {
                Pin::Recipe(id, _) => {
                    if seen.contains(id) {
                        continue;
                    }
                    seen.push(*id);
                    if !chosen.iter().any(|&i| self.item(i).recipe == *id) {
                        owed += 1;
                        if !candidates.iter().any(|&i| self.item(i).recipe == *id) {
                            return false;
                        }
                    }
                }
                Pin::Food(food, _) => {
                    let has = |&i: &u32| takes(self.pool, self.item(i), *food);
                    if !chosen.iter().any(has) && (missing == 0 || !candidates.iter().any(has)) {
                        return false;
                    }
                }
            }
        }
        owed <= missing
    }

    /// Whether the rules that need no days allow a complete set of items.
    pub(in crate::engine) fn allows(&self, chosen: &[u32]) -> bool {
        let fits = |at: usize| self.fits(&chosen[..at], chosen[at]);
        (0..chosen.len()).all(fits) && self.week_holds(chosen)
    }

    /// The rules on a complete set of items that need no days: means and pins; and that there is
    /// enough of what no pack supplies.
    pub(in crate::engine) fn week_holds(&self, chosen: &[u32]) -> bool {
        let means = self.means.iter().all(|mean| mean.holds(chosen));
        let used = |at: usize, unit: u32| -> i64 {
            let before = chosen[..at].iter().map(|&index| &self.item(index).units);
            let amounts = before.flat_map(|units| units.iter().filter(|entry| entry.0 == unit));
            amounts.map(|entry| entry.1).sum()
        };
        let supplied = chosen.iter().enumerate().all(|(at, &index)| {
            self.pool
                .supplies(|unit| used(at, unit), &self.item(index).units)
        });
        supplied && means && self.completable(chosen, &[], 0)
    }
}
