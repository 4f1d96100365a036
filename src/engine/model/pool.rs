//! The larder prepared for the search: what bans leave, in flat tables.
//!
//! Everything here is the same for all stages of a run; nothing depends on weights.

use crate::engine::model::ceiling::Ceiling;
use crate::engine::model::day_sets::{KitchenDays, LunchDays};
use crate::engine::model::lots::FoodModel;
use crate::engine::model::times::DayLimit;
use crate::engine::model::times::Minutes;
use crate::larder::allowed::{Allowed, allowed_alternatives};
use crate::larder::sameness::Sameness;
use crate::larder::wishes::Preferred;
use crate::larder::{
    ComponentId, FoodId, Ingredient, Larder, Line, MILLI, NUTRIENTS, Per, Pin, Recipe, RecipeId,
};
use std::sync::OnceLock;

/// What one lunch takes of a component for all eaters of one day.
#[derive(Clone, Debug)]
pub(in crate::engine) struct BatchDemand {
    pub(in crate::engine) component: u32,
    /// Finished milligrams.
    pub(in crate::engine) mg: i64,
    /// Counted foods that go into it, rising by food.
    pub(in crate::engine) foods: Vec<(u32, i64)>,
}

/// What one alternative of a line takes, for one number of eaters.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Taken {
    /// Counted foods used on the day itself.
    pub(in crate::engine) direct: Vec<(u32, i64)>,
    /// Components, at most one per alternative.
    pub(in crate::engine) batches: Vec<BatchDemand>,
    /// Staples, 1e-9 minor units.
    pub(in crate::engine) staples: i64,
    /// Per-portion minutes of its component, 1e-9.
    pub(in crate::engine) minutes: i64,
}

/// A rule on a sum: place among what an alternative gives, floor and ceiling in the same units.
pub(in crate::engine) type SumRule = (usize, Option<i64>, Option<i64>);

/// The larder as the search sees it.
pub(in crate::engine) struct Pool<'a> {
    pub(in crate::engine) larder: &'a Larder,
    /// N.
    pub(in crate::engine) last: i32,
    /// Lots by food; none for staples.
    pub(in crate::engine) foods: Vec<Option<FoodModel>>,
    /// By food: most milligrams a week can use, where no pack can be bought and opened in time.
    supply: Vec<Option<i64>>,
    /// Some food is limited so.
    scarce: bool,
    /// Recipes that bans leave.
    pub(in crate::engine) allowed: Allowed,
    /// Distinct eater counts, rising, and the class of each lunch day (index 0 = day 1).
    pub(in crate::engine) eaters: Vec<i64>,
    pub(in crate::engine) class_of_day: Vec<usize>,
    /// Days a recipe may be served on: those it is for, where its minutes alone keep the day's limit
    /// and no other recipe is pinned, and all of its lines can be had.
    pub(in crate::engine) days: Vec<LunchDays>,
    /// Most milligrams that rounding down at the fewest eaters may hide of a food in a week.
    hidden_by_rounding: i64,
    /// Some recipe may not be served on each day.
    pub(in crate::engine) days_limited: bool,
    /// Price of serving recipe on lunch day, minor units, without nutrition or packs.
    pub(in crate::engine) preference: Vec<Vec<i64>>,
    pub(in crate::engine) sameness: Option<Sameness>,
    /// Which recipes clash with one, a bit each; worked out when first asked for.
    clashes: Vec<OnceLock<Box<[u64]>>>,
    /// The same as lists.
    alike: Vec<OnceLock<Box<[u32]>>>,
    /// Rules on the week's sum: place among what an alternative gives, floor and ceiling in
    /// the same units.
    pub(in crate::engine) week_rules: Vec<SumRule>,
    /// Rules on the sum of each lunch, told in the same way.
    pub(in crate::engine) lunch_rules: Vec<SumRule>,
    /// Limits on minutes of each day 0..=N.
    pub(in crate::engine) limits: Vec<DayLimit>,
    /// Some day has a limit on minutes.
    pub(in crate::engine) timed: bool,
    /// By component: minutes of a batch, whatever its size.
    batches: Vec<Minutes>,
    /// By component: days on which it may be cooked and its batch alone keeps the day's limits.
    cooks: Vec<KitchenDays>,
    /// By food: days on which anything of it may be used.
    had: Vec<KitchenDays>,
}

/// Milligrams in the 100 g that nutrient figures stand for.
pub(in crate::engine) const PER: i64 = 100_000;

impl<'a> Pool<'a> {
    /// Prepares `larder`.
    pub(in crate::engine) fn new(larder: &'a Larder) -> Self {
        let count = larder.lunch_count();
        let (eaters, class_of_day) = classes_of_eaters(larder);
        let foods: Vec<Option<FoodModel>> = larder
            .foods
            .iter()
            .enumerate()
            .map(|(index, food)| (!food.staple).then(|| FoodModel::new(larder, FoodId::new(index))))
            .collect();
        let supply: Vec<Option<i64>> = foods
            .iter()
            .map(|food| food.as_ref().and_then(FoodModel::supply))
            .collect();
        let wishes = &larder.wishes;
        let sameness = (wishes.sameness_milli.is_some()
            || wishes.sameness_adjacent_milli.is_some())
        .then(|| Sameness::new(larder));
        let lunches = count as i64;
        let limits = limits_by_day(larder);
        let batches = batch_minutes(larder);
        let all = KitchenDays::span(0, larder.week.lunches.into());
        let of = |food: &Option<FoodModel>| food.as_ref().map_or(all, FoodModel::had_on);
        let had: Vec<KitchenDays> = foods.iter().map(of).collect();
        let mut cooks = cooking_days(larder, &had, all);
        for (days, &batch) in cooks.iter_mut().zip(&batches) {
            *days &= room_for(&limits, batch);
        }
        let mut pool = Self {
            larder,
            last: count as i32,
            foods,
            scarce: supply.iter().any(Option::is_some),
            supply,
            allowed: allowed_alternatives(larder),
            hidden_by_rounding: hidden_by_rounding(larder, &eaters),
            eaters,
            class_of_day,
            days_limited: false,
            days: days_allowed(larder),
            preference: preference_by_day(larder),
            sameness,
            clashes: vec![OnceLock::new(); larder.recipes.len()],
            alike: vec![OnceLock::new(); larder.recipes.len()],
            week_rules: sum_rules(larder, Per::Week, lunches),
            lunch_rules: sum_rules(larder, Per::Lunch, 1),
            timed: limits.iter().any(|limit| limit.is_set()),
            limits,
            batches,
            cooks,
            had,
        };
        pool.days = (0..larder.recipes.len())
            .map(|index| pool.days[index] & pool.days_had(RecipeId::new(index)))
            .collect();
        let all = LunchDays::span(1, pool.last);
        pool.days_limited = pool.days.iter().any(|&days| days != all);
        pool
    }

    /// Whether there is enough of what no pack supplies for `more` units beside those `used`.
    pub(in crate::engine) fn supplies(
        &self,
        used: impl Fn(u32) -> i64,
        more: &[(u32, i64)],
    ) -> bool {
        !self.scarce
            || more.iter().all(|&(unit, amount)| {
                let most = self.supply.get(unit as usize).copied().flatten();
                most.is_none_or(|most| used(unit) + amount <= most)
            })
    }

    /// Returns what alternative `position` of a line takes for eaters of `class`.
    pub(in crate::engine) fn taken(
        &self,
        recipe: RecipeId,
        line: usize,
        position: u16,
        class: usize,
    ) -> Taken {
        let larder = self.larder;
        let alternative =
            &larder.recipes[recipe.index()].lines[line].alternatives[usize::from(position)];
        let mg = alternative.mg * self.eaters[class] / crate::larder::MILLI;
        let mut taken = Taken::default();
        let mut count = |food: FoodId, mg: i64, direct: &mut Vec<(u32, i64)>| {
            let entry = &larder.foods[food.index()];
            if entry.staple {
                taken.staples += mg * entry.staple_value_nano;
            } else if mg > 0 {
                direct.push((food.0, mg));
            }
        };
        match alternative.what {
            Ingredient::Food(food) => {
                let mut direct = Vec::new();
                count(food, mg, &mut direct);
                taken.direct = direct;
            }
            Ingredient::Component(id) => {
                let mut foods = Vec::new();
                for (food, share) in larder.component_foods(id, mg) {
                    count(food, share, &mut foods);
                }
                taken.minutes = mg * larder.components[id.index()].minutes_per_mg_nano;
                if mg > 0 {
                    taken.batches.push(BatchDemand {
                        component: id.0,
                        mg,
                        foods,
                    });
                }
            }
        }
        taken
    }

    /// Returns the nutrients of an alternative for a portion of factor 1, milligrams
    /// times thousandths per 100 g, then what each credit rule counts, milligrams times
    /// millionths per 100 g.
    pub(in crate::engine) fn nutrients(
        &self,
        recipe: RecipeId,
        line: usize,
        position: u16,
    ) -> Vec<i64> {
        let larder = self.larder;
        let alternative =
            &larder.recipes[recipe.index()].lines[line].alternatives[usize::from(position)];
        let credits = &larder.wishes.credits;
        let mut sums = vec![0; NUTRIENTS + credits.len()];
        let mut add = |food: FoodId, mg: i64| {
            for (sum, figure) in sums
                .iter_mut()
                .zip(&larder.foods[food.index()].nutrients_milli)
            {
                *sum += mg * figure.unwrap_or(0);
            }
            for (sum, rule) in sums[NUTRIENTS..].iter_mut().zip(credits) {
                *sum += mg * rule.figures_micro[food.index()];
            }
        };
        match alternative.what {
            Ingredient::Food(food) => add(food, alternative.mg),
            Ingredient::Component(id) => {
                for (food, mg) in larder.component_foods(id, alternative.mg) {
                    add(food, mg);
                }
            }
        }
        sums
    }

    /// Whether a recipe may be served at all.
    pub(in crate::engine) fn servable(&self, recipe: RecipeId) -> bool {
        self.allowed.of(recipe).can_be_served() && !self.days[recipe.index()].is_empty()
    }

    /// Recipes that may be served, rising.
    pub(in crate::engine) fn servable_recipes(&self) -> impl Iterator<Item = RecipeId> {
        let recipes = (0..self.larder.recipes.len()).map(RecipeId::new);
        recipes.filter(|&recipe| self.servable(recipe))
    }

    /// The most of a unit that `amount` at the fewest eaters can really be.
    pub(in crate::engine) fn stretch(&self, amount: i64) -> i64 {
        let eaters = &self.eaters;
        if eaters.len() == 1 {
            amount
        } else {
            let ratio = eaters[eaters.len() - 1] / eaters[0].max(1) + 1;
            (amount * ratio).saturating_add(self.hidden_by_rounding)
        }
    }

    /// Whether two different recipes cannot be in one week.
    pub(in crate::engine) fn clash(&self, a: RecipeId, b: RecipeId) -> bool {
        let (Some(table), Some(limit)) = (&self.sameness, self.larder.wishes.sameness_milli) else {
            return false;
        };
        let row = self.clashes[a.index()].get_or_init(|| {
            let mut row = vec![0u64; self.larder.recipes.len().div_ceil(64)];
            for other in 0..self.larder.recipes.len() {
                if table.exceeds(a, RecipeId::new(other), limit) {
                    row[other / 64] |= 1 << (other % 64);
                }
            }
            row.into()
        });
        row[b.index() / 64] & (1 << (b.index() % 64)) != 0
    }

    /// Other recipes that cannot be in one week with a recipe.
    pub(in crate::engine) fn alike(&self, recipe: u32) -> &[u32] {
        if self.sameness.is_none() || self.larder.wishes.sameness_milli.is_none() {
            return &[];
        }
        self.alike[recipe as usize].get_or_init(|| {
            (0..self.larder.recipes.len() as u32)
                .filter(|&other| other != recipe && self.clash(RecipeId(recipe), RecipeId(other)))
                .collect()
        })
    }

    /// Whether two lunches (perhaps of one recipe) cannot stand side by side.
    pub(in crate::engine) fn clash_side_by_side(&self, a: RecipeId, b: RecipeId) -> bool {
        let wishes = &self.larder.wishes;
        let same_form = self.larder.recipes[a.index()].form == self.larder.recipes[b.index()].form;
        if wishes.form_never_adjacent && same_form {
            return true;
        }
        match (&self.sameness, wishes.sameness_adjacent_milli) {
            (Some(table), Some(limit)) => a != b && table.exceeds(a, b, limit),
            _ => false,
        }
    }

    /// Minutes of a batch, whatever its size.
    pub(in crate::engine) fn batch(&self, component: u32) -> Minutes {
        self.batches[ComponentId(component).index()]
    }

    /// Days on which what a lunch takes of a component may be cooked; none where it cannot
    /// be had on that day.
    pub(in crate::engine) fn window(&self, component: u32, lunch: i32) -> KitchenDays {
        let keeps = self.component(component).keeps;
        KitchenDays::within(lunch - keeps, lunch, self.last) & self.cooks[component as usize]
    }

    /// Days on which a line can be filled with an alternative.
    pub(in crate::engine) fn days_of(
        &self,
        recipe: RecipeId,
        line: usize,
        position: u16,
    ) -> LunchDays {
        let lines = &self.larder.recipes[recipe.index()].lines;
        let alternative = &lines[line].alternatives[usize::from(position)];
        let can = |day: i32| {
            let mg = self.larder.for_eaters(alternative.mg, day as u8);
            mg == 0
                || match alternative.what {
                    Ingredient::Food(food) => self.had[food.index()].contains(day),
                    Ingredient::Component(id) => !self.window(id.0, day).is_empty(),
                }
        };
        (1..=self.last).filter(|&day| can(day)).collect()
    }

    /// Days on which every line of a recipe can be filled by itself.
    fn days_had(&self, recipe: RecipeId) -> LunchDays {
        let lines = self.allowed.of(recipe).lines.iter().enumerate();
        lines.fold(LunchDays::ANY, |days, (line, left)| {
            let had = left.iter().map(|&at| self.days_of(recipe, line, at));
            days & had.sum()
        })
    }

    /// Name order is id order, so ids compare as the tie rule asks.
    pub(in crate::engine) fn component(&self, id: u32) -> &crate::larder::Component {
        &self.larder.components[ComponentId(id).index()]
    }
}

/// Distinct eater counts, rising, and which of them each lunch day has.
fn classes_of_eaters(larder: &Larder) -> (Vec<i64>, Vec<usize>) {
    let by_day = &larder.week.eaters_milli;
    let mut eaters = by_day.clone();
    eaters.sort_unstable();
    eaters.dedup();
    let classes = by_day.iter();
    let classes = classes.map(|count| eaters.binary_search(count).expect("listed"));
    let classes = classes.collect();
    (eaters, classes)
}

/// By component: minutes of a batch, whatever its size.
fn batch_minutes(larder: &Larder) -> Vec<Minutes> {
    let watches = larder.wishes.asks_for_watched();
    let batches = larder.components.iter().map(|component| Minutes {
        active: component.batch_minutes_nano,
        watched: if watches { component.watched_nano() } else { 0 },
    });
    batches.collect()
}

/// The rules on nutrients, so many times over, and on food groups, per week or per lunch.
fn sum_rules(larder: &Larder, per: Per, times: i64) -> Vec<SumRule> {
    let wishes = &larder.wishes;
    let nutrition = wishes.nutrition.iter().filter(|rule| rule.per == per);
    let means = nutrition.map(|rule| {
        let sum = |value: i64| value * times * PER;
        let place = rule.nutrient.index();
        (
            place,
            rule.at_least_milli.map(sum),
            rule.at_most_milli.map(sum),
        )
    });
    // What credit rules count stands behind the nutrients.
    let credits = (NUTRIENTS..).zip(&wishes.credits);
    let sums = credits
        .filter(|(_, rule)| rule.per == per)
        .map(|(place, rule)| {
            let sum = |value: i64| value * PER;
            (
                place,
                rule.at_least_micro.map(sum),
                rule.at_most_micro.map(sum),
            )
        });
    means.chain(sums).collect()
}

/// By component: days on which a batch may be cooked, as all that goes into the smallest that any
/// lunch asks for can be had then.
fn cooking_days(larder: &Larder, had: &[KitchenDays], all: KitchenDays) -> Vec<KitchenDays> {
    let wishes = &larder.wishes;
    let days = 0..=larder.week.lunches;
    let allowed = days.filter(|&day| wishes.may_cook(day));
    let allowed = allowed.map(i32::from).collect::<KitchenDays>() & all;
    let eaters = larder.week.eaters_milli.iter().min().copied();
    let mut least: Vec<Option<i64>> = vec![None; larder.components.len()];
    let lines = larder.recipes.iter().flat_map(|recipe| &recipe.lines);
    for alternative in lines.flat_map(|line| &line.alternatives) {
        if let Ingredient::Component(id) = alternative.what {
            let mg = alternative.mg * eaters.unwrap_or(0) / MILLI;
            let known = &mut least[id.index()];
            *known = Some(known.map_or(mg, |known| known.min(mg)));
        }
    }
    let asked = least.into_iter().enumerate();
    asked
        .map(|(index, mg)| {
            let foods = larder.component_foods(ComponentId::new(index), mg.unwrap_or(0));
            let needs = foods.iter().map(|&(food, _)| had[food.index()]);
            needs.fold(allowed, |days, had| days & had)
        })
        .collect()
}

/// By recipe and day: what serving it then adds, minor units.
fn preference_by_day(larder: &Larder) -> Vec<Vec<i64>> {
    let mut preference = vec![vec![0; larder.lunch_count()]; larder.recipes.len()];
    for wish in &larder.wishes.preferences {
        for (index, recipe) in larder.recipes.iter().enumerate() {
            let concerned = match wish.whom {
                Preferred::Form(form) => recipe.form == form,
                Preferred::Recipe(id) => id.index() == index,
            };
            if concerned {
                for &day in &wish.days {
                    preference[index][usize::from(day) - 1] += wish.price_minor;
                }
            }
        }
    }
    preference
}

/// By recipe: days on which it may be served by what it and the wishes say.
fn days_allowed(larder: &Larder) -> Vec<LunchDays> {
    let allowed = |(index, recipe): (usize, &Recipe)| {
        let may = |&(day, &ok): &(usize, &bool)| {
            let pinned_away = larder.wishes.with.iter().any(|pin| match pin {
                Pin::Recipe(id, Some(pinned)) => {
                    usize::from(*pinned) == day + 1 && id.index() != index
                }
                _ => false,
            });
            let most = larder.wishes.minutes_nano[day + 1];
            let in_time = most.is_none_or(|most| recipe.minutes_nano <= most);
            ok && in_time && !pinned_away
        };
        let days = recipe.days.iter().enumerate().filter(may);
        days.map(|(day, _)| day as i32 + 1).collect()
    };
    larder.recipes.iter().enumerate().map(allowed).collect()
}

/// Most minutes of each day, from the prep day on.
fn limits_by_day(larder: &Larder) -> Vec<DayLimit> {
    let wishes = &larder.wishes;
    let minutes = wishes.minutes_nano.iter().zip(&wishes.kitchen_minutes_nano);
    minutes
        .map(|(&active, &kitchen)| DayLimit {
            active: Ceiling::of(active),
            kitchen: Ceiling::of(kitchen),
        })
        .collect()
}

/// Days whose limits leave room for the minutes of a batch, whatever its size, if nothing else is done then.
fn room_for(limits: &[DayLimit], batch: Minutes) -> KitchenDays {
    let open = limits
        .iter()
        .zip(0..)
        .filter(|(limit, _)| !limit.passed(batch));
    open.map(|(_, day)| day).collect()
}

/// Most milligrams that rounding down at the fewest eaters may hide of a food in a week.
///
/// Proof. A line that takes q of a food at e eaters, rounded down, takes less than q + 1, and
/// through a component of which a milligram takes p less than q + 1 + p, as it is rounded twice.
/// At f eaters it takes no more than f / e times that. A lunch takes a food by each of its lines
/// once at most.
fn hidden_by_rounding(larder: &Larder, eaters: &[i64]) -> i64 {
    let (fewest, most) = (eaters[0].max(1), eaters[eaters.len() - 1]);
    let of_component = |id: ComponentId| {
        let component = &larder.components[id.index()];
        let makes = component.makes_mg.max(1);
        let shares = component.foods.iter().map(|&(_, mg)| mg / makes + 1);
        1 + shares.max().unwrap_or(0)
    };
    let of_line = |line: &Line| {
        let hidden = line.alternatives.iter().map(|one| match one.what {
            Ingredient::Food(_) => 1,
            Ingredient::Component(id) => of_component(id),
        });
        hidden.max().unwrap_or(0)
    };
    let lunches = larder.recipes.iter();
    let lunch = lunches.map(|recipe| recipe.lines.iter().map(of_line).sum::<i64>());
    let week = lunch.max().unwrap_or(0) * i64::from(larder.week.lunches);
    week.saturating_mul(most / fewest + 1)
}

/// Milligrams of a food in a demand.
pub(in crate::engine) fn amount_in(demand: &BatchDemand, food: u32) -> i64 {
    demand
        .foods
        .binary_search_by_key(&food, |&(f, _)| f)
        .map_or(0, |place| demand.foods[place].1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::model::samples::{kitchen, numbers};
    use crate::larder::Stock;

    /// The demo where packs of the food of one line are ready too late and one unit is on hand,
    /// good for the first lunch; the line asks for so much, each day for half an eater.
    fn scarce(mg: i64) -> (Larder, FoodId, RecipeId, usize) {
        let larder = kitchen("boatyard");
        let mut found = None;
        for (index, recipe) in larder.recipes.iter().enumerate() {
            for (line, entry) in recipe.lines.iter().enumerate() {
                if let Ingredient::Food(food) = entry.alternatives[0].what
                    && !larder.foods[food.index()].staple
                {
                    found = found.or(Some((food, RecipeId::new(index), line)));
                }
            }
        }
        let (food, recipe, line) = found.expect("a line of a counted food");
        let changed = larder.changed(|new| {
            for pack in new.packs.iter_mut().filter(|pack| pack.food == food) {
                (pack.ready_from, pack.ready_to, pack.end) = (20, 20, 20);
            }
            *new.stock = vec![Stock {
                food,
                label: "tin".into(),
                left_mg: 300_000,
                opened: false,
                ready_from: 0,
                ready_to: 1,
                open_life: 0,
                end: 1,
                value_nano: 1,
            }];
            new.recipes[recipe.index()].lines[line].alternatives[0].mg = mg;
            new.week.eaters_milli.fill(500);
        });
        (changed.expect("a sound larder"), food, recipe, line)
    }

    /// What is on hand may be used up, and no more.
    #[test]
    fn all_that_is_on_hand_may_be_used() {
        let (larder, food, ..) = scarce(1_000);
        let pool = Pool::new(&larder);
        for (used, more, enough) in [
            (0, 300_000, true),
            (0, 300_001, false),
            (299_999, 1, true),
            (300_000, 1, false),
            (300_000, 0, true),
        ] {
            assert_eq!(pool.supplies(|_| used, &[(food.0, more)]), enough);
        }
    }

    /// Half an eater's milligram is none: its food need not be had.
    #[test]
    fn a_line_of_nothing_can_be_filled_on_any_day() {
        for (mg, any) in [(1, true), (2, false), (1_000, false)] {
            let (larder, _, recipe, line) = scarce(mg);
            let pool = Pool::new(&larder);
            let last = if any { pool.last } else { 1 };
            let days = pool.days_of(recipe, line, 0);
            assert_eq!(days, LunchDays::span(1, last), "{mg} mg");
        }
    }

    /// A batch of fifty minutes is cooked on Sunday alone where mornings have thirty: what keeps for
    /// three days cannot be had on Thursday.
    #[test]
    fn a_batch_longer_than_a_morning_is_cooked_on_the_prep_day() {
        let name = |larder: &Larder, of: &str| {
            let mut recipes = larder.recipes.iter();
            let at = recipes.position(|recipe| recipe.name == of);
            RecipeId::new(at.expect("a recipe of the demo"))
        };
        let larder = kitchen("boatyard");
        let wrap = name(&larder, "Roasted cauliflower and chickpea wrap");
        assert_eq!(Pool::new(&larder).days[wrap.index()], LunchDays::span(1, 3));
        let free = larder.changed(|new| new.wishes.kitchen_minutes_nano.fill(None));
        let free = free.expect("a sound larder");
        assert_eq!(Pool::new(&free).days[wrap.index()], LunchDays::span(1, 5));
    }

    /// However many more eat on some day: what lunches take at the fewest, stretched, is no less
    /// than what they take at the most.
    #[test]
    fn lunches_take_no_more_than_is_stretched() {
        let mut next = numbers(51);
        for _ in 0..200 {
            let top = [2_000, 20_000, 300_000][next(3)];
            let larder = kitchen("boatyard").changed(|new| {
                for eaters in &mut new.week.eaters_milli {
                    *eaters = 300 + next(top) as i64;
                }
            });
            let larder = larder.expect("a sound larder");
            let pool = Pool::new(&larder);
            let (fewest, most) = (pool.eaters[0], pool.eaters[pool.eaters.len() - 1]);
            for _ in 0..50 {
                let size = [3, 700, 100_000][next(3)];
                let lunches: Vec<i64> = (0..=next(5)).map(|_| next(size) as i64).collect();
                let sum = |eaters: i64| lunches.iter().map(|mg| mg * eaters / MILLI).sum();
                let (least, largest): (i64, i64) = (sum(fewest), sum(most));
                assert!(
                    pool.stretch(least) >= largest,
                    "{lunches:?} {:?}",
                    pool.eaters
                );
            }
        }
    }

    /// What goes into a batch need not be had where the smallest lunch takes less than a milligram
    /// of it.
    #[test]
    fn a_batch_waits_for_what_its_smallest_lunch_takes() {
        let larder = kitchen("boatyard");
        let lines = larder.recipes.iter().flat_map(|recipe| &recipe.lines);
        let all = lines.flat_map(|line| &line.alternatives);
        let asked = all.filter_map(|alternative| match alternative.what {
            Ingredient::Component(id) => Some((id, alternative.mg)),
            Ingredient::Food(_) => None,
        });
        let (id, mg) = asked.min().expect("a component in use");
        let component = id.index();
        let food = larder.components[component].foods[0].0;
        for (fewest, needed) in [(500, false), (4_000, true)] {
            let larder = larder.changed(|new| {
                new.week.eaters_milli.fill(4_000);
                new.week.eaters_milli[0] = fewest;
                let makes = new.components[component].makes_mg;
                // A milligram of the food or a little more, at four eaters.
                new.components[component].foods[0].1 = makes / (4 * mg) + 1;
            });
            let larder = larder.expect("a sound larder");
            let all = KitchenDays::span(0, larder.week.lunches.into());
            let mut had = vec![all; larder.foods.len()];
            let before = cooking_days(&larder, &had, all)[component];
            had[food.index()] = KitchenDays::NONE;
            let without = cooking_days(&larder, &had, all)[component];
            assert!(!before.is_empty());
            assert_eq!(without, if needed { KitchenDays::NONE } else { before });
        }
    }
}
