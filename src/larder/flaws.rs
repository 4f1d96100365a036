//! What contents must hold to be a larder: ids and lists that go together, figures within
//! [`limits`], sums that fit (`size.rs`).
//!
//! Kitchen files cannot say most of what is refused here, and what they can say wrong they are
//! told by their own readers, with line and remedy. This holds for every larder, however it came
//! about.

use super::size::{Excess, Figures, Largest, excesses, overvalued, own_price};
use super::wishes::Preferred;
use super::{
    ComponentId, Contents, Currency, Day, FoodId, Household, Ingredient, MILLI, MOST_DAYS, NANO,
    PackId, Pin, RecipeId, ShopId, ShoppingTrip, Step, StockId, Target, limits,
};

/// Something for which contents make no larder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flaw {
    /// Whose it is.
    pub of: Of,
    /// The name of that, if it has one.
    pub name: String,
    /// What it is.
    pub wrong: Wrong,
}

/// What a flaw is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// Days, eaters, trips, or the currency.
    Week,
    /// Prices and weights of the aims; of sums, these with the value of what is on hand.
    Aims,
    /// Rules, bans and pins.
    Rules,
    /// A food.
    Food(FoodId),
    /// A pack option, called by its food's name.
    Pack(PackId),
    /// A unit on hand, called by its label.
    Stock(StockId),
    /// A component.
    Component(ComponentId),
    /// A recipe.
    Recipe(RecipeId),
}

/// What may be wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// Its figures could add up past 64 bits; of a recipe the largest part of it, with the name of that.
    TooLarge(Option<(Largest, String)>),
    /// With the carry credit, buying it to keep it would pay for itself.
    PaysForItself,
    /// This figure of it is below or above what a kitchen may have.
    Beyond(&'static str),
    /// This of it names what is not there, or does not go with the rest.
    Astray(&'static str),
}

/// Returns everything that is wrong with contents. What must be as it is in contents that
/// passed is not looked at again.
pub(super) fn flaws(new: &Contents, passed: Option<&Contents>) -> Vec<Flaw> {
    let mut check = Check {
        new,
        frame: Frame::of(new),
        flaws: Vec::new(),
    };
    let passed = passed.filter(|old| Frame::of(old) == check.frame);
    check.week();
    check.wishes();
    check.stock();
    if passed.is_none_or(|old| !new.foods.is(&old.foods) || !new.packs.is(&old.packs)) {
        check.foods();
        check.packs();
    }
    if passed.is_none_or(|old| !new.components.is(&old.components)) {
        check.components();
    }
    if passed.is_none_or(|old| !new.recipes.is(&old.recipes)) {
        check.recipes();
    }
    // What is astray cannot be added up.
    if check.flaws.is_empty() {
        check.sums(passed);
    }
    check.flaws
}

/// What ids and figures of one list are held against in others.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Frame {
    lunches: usize,
    most_minor: i64,
    foods: usize,
    packs: usize,
    components: usize,
    recipes: usize,
    families: usize,
    forms: usize,
    proteins: usize,
    shops: usize,
}

impl Frame {
    fn of(new: &Contents) -> Self {
        Self {
            lunches: new.lunch_count(),
            most_minor: new.currency.most_minor(),
            foods: new.foods.len(),
            packs: new.packs.len(),
            components: new.components.len(),
            recipes: new.recipes.len(),
            families: new.families.len(),
            forms: new.forms.len(),
            proteins: new.proteins.len(),
            shops: new.shops.len(),
        }
    }

    fn has(&self, what: Ingredient) -> bool {
        match what {
            Ingredient::Food(id) => id.index() < self.foods,
            Ingredient::Component(id) => id.index() < self.components,
        }
    }

    /// Whether it is one of the shops, or none where there are none.
    fn has_shop(&self, shop: Option<ShopId>) -> bool {
        shop.map_or(self.shops == 0, |shop| shop.index() < self.shops)
    }

    fn has_lunch(&self, day: Day) -> bool {
        (1..=self.lunches).contains(&usize::from(day))
    }
}

struct Check<'a> {
    new: &'a Contents,
    frame: Frame,
    flaws: Vec<Flaw>,
}

/// Most minutes of a task, 1e-9.
const MINUTES_NANO: i64 = limits::MINUTES * NANO;
/// Most of a batch, with all that is made in it.
const BATCH_NANO: i64 = 101 * MINUTES_NANO;

fn rising<T: PartialOrd>(list: impl Iterator<Item = T> + Clone) -> bool {
    list.clone().zip(list.skip(1)).all(|(one, next)| one < next)
}

fn days(range: std::ops::RangeInclusive<i32>, most: i64) -> bool {
    *range.start() >= 0 && range.start() <= range.end() && i64::from(*range.end()) <= most
}

fn measured(household: &Household) -> bool {
    let counted = household.counted.iter().map(|&(_, mg)| mg);
    counted.chain(household.cup_mg).all(|mg| mg >= 1)
}

impl Check<'_> {
    fn note(&mut self, of: Of, wrong: Wrong) {
        let new = self.new;
        let food = |id: FoodId| new.foods.get(id.index()).map(|food| &food.name);
        let name = match of {
            Of::Week | Of::Aims | Of::Rules => None,
            Of::Food(id) => food(id),
            Of::Pack(id) => food(new.packs[id.index()].food),
            Of::Stock(id) => Some(&new.stock[id.index()].label),
            Of::Component(id) => Some(&new.components[id.index()].name),
            Of::Recipe(id) => Some(&new.recipes[id.index()].name),
        };
        let name = name.cloned().unwrap_or_default();
        self.flaws.push(Flaw { of, name, wrong });
    }

    /// The name of the ingredient that makes a sum so large, if it is one.
    fn name_in(&self, largest: Largest) -> String {
        match largest {
            Largest::Price(what) | Largest::Nutrient(what) => match what {
                Ingredient::Food(id) => self.new.foods[id.index()].name.clone(),
                Ingredient::Component(id) => self.new.components[id.index()].name.clone(),
            },
            Largest::Minutes => String::new(),
        }
    }

    fn within(&mut self, of: Of, what: &'static str, holds: bool) {
        if !holds {
            self.note(of, Wrong::Beyond(what));
        }
    }

    fn fits(&mut self, of: Of, what: &'static str, holds: bool) {
        if !holds {
            self.note(of, Wrong::Astray(what));
        }
    }

    fn week(&mut self) {
        let week = &self.new.week;
        let lunches = self.frame.lunches;
        let of = Of::Week;
        let Currency { digits, .. } = self.new.currency;
        self.within(of, "currency", digits <= limits::DIGITS);
        self.within(of, "lunches", (1..=MOST_DAYS).contains(&lunches));
        let carry = i64::from(week.carry_day);
        let after = lunches as i64 + 1;
        self.within(of, "carry day", (after..=limits::DAYS).contains(&carry));
        self.fits(of, "eaters", week.eaters_milli.len() == lunches);
        let mut eaters = week.eaters_milli.iter();
        let eaters = eaters.all(|eaters| (1..=limits::EATERS_MILLI).contains(eaters));
        self.within(of, "eaters", eaters);
        self.fits(of, "trips", self.trips_are_in_order());
        let most = self.frame.most_minor;
        let mut going = week.trips.iter().filter_map(|trip| trip.going_minor);
        let going = going.all(|minor| (0..=most).contains(&minor));
        self.within(of, "price of going to a shop", going);
    }

    /// Whether the first trip is the usual shop's first and the others rise by day, then shop.
    fn trips_are_in_order(&self) -> bool {
        let Some((first, later)) = self.new.week.trips.split_first() else {
            return false;
        };
        let known = self.new.week.trips.iter().all(|trip| {
            usize::from(trip.day) < self.frame.lunches && self.frame.has_shop(trip.shop)
        });
        let key = |trip: &ShoppingTrip| (trip.day, trip.shop);
        known
            && later.len() < limits::TRIPS
            && first.shop.is_none_or(|shop| shop.index() == 0)
            && rising(later.iter().map(key))
            && later
                .iter()
                .all(|trip| trip.shop != first.shop || trip.day > first.day)
    }

    fn wishes(&mut self) {
        let wishes = &self.new.wishes;
        let frame = self.frame.clone();
        let of = Of::Aims;
        let mut order = (1..).zip(&wishes.order);
        let twice = order.any(|(next, aim)| wishes.order[next..].contains(aim));
        self.fits(of, "order", !twice);
        let weight = 0..=limits::WEIGHT * MILLI;
        let weight = weight.contains(&wishes.spoil_weight_milli);
        self.within(of, "weight of what spoils", weight);
        let credit = (0..MILLI).contains(&wishes.carry_credit_milli);
        self.within(of, "carry credit", credit);
        let money = |minor: i64| (0..=frame.most_minor).contains(&minor);
        self.within(of, "price of a food", money(wishes.food_price_minor));
        self.within(of, "price of a minute", money(wishes.minute_price_minor));
        self.within(
            of,
            "price of a watched minute",
            money(wishes.watch_price_minor),
        );
        self.within(of, "price of a trip", money(wishes.trip_price_minor));
        let mut preferences = wishes.preferences.iter();
        let known = preferences.all(|preference| {
            let known = match preference.whom {
                Preferred::Form(id) => id.index() < frame.forms,
                Preferred::Recipe(id) => id.index() < frame.recipes,
            };
            known && preference.days.iter().all(|&day| frame.has_lunch(day))
        });
        self.fits(of, "day preferences", known);
        let mut prices = wishes.preferences.iter().map(|one| one.price_minor);
        let prices = prices.all(|price| price > i64::MIN && money(price.abs()));
        self.within(of, "price of a day preference", prices);

        let of = Of::Rules;
        let count = |limit: Option<i64>, least: i64| {
            limit.is_none_or(|limit| (least..=limits::COUNT).contains(&limit))
        };
        self.within(of, "cap", count(wishes.cap, 0));
        self.within(of, "budget", wishes.budget_minor.is_none_or(money));
        self.within(of, "repeats", count(Some(wishes.repeats), 1));
        self.within(of, "lunches of a form", count(wishes.per_form, 0));
        self.within(of, "lunches of a protein", count(wishes.per_protein, 0));
        let sameness = [wishes.sameness_milli, wishes.sameness_adjacent_milli];
        let sameness = sameness.iter().flatten().all(|s| (0..=MILLI).contains(s));
        self.within(of, "sameness", sameness);
        let minutes = &wishes.minutes_nano;
        self.fits(of, "minutes", minutes.len() == frame.lunches + 1);
        let mut minutes = minutes.iter().flatten();
        let minutes = minutes.all(|limit| (0..=MINUTES_NANO).contains(limit));
        self.within(of, "minutes", minutes);
        let minutes = &wishes.kitchen_minutes_nano;
        self.fits(
            of,
            "minutes in the kitchen",
            minutes.len() == frame.lunches + 1,
        );
        let mut minutes = minutes.iter().flatten();
        let minutes = minutes.all(|limit| (0..=MINUTES_NANO).contains(limit));
        self.within(of, "minutes in the kitchen", minutes);
        let cooking = wishes.cook_on.iter().flatten();
        let week = cooking
            .clone()
            .all(|&day| usize::from(day) <= frame.lunches);
        self.fits(of, "days of cooking", week && rising(cooking));
        let nutrition = wishes.nutrition.iter();
        let mut figures = nutrition.flat_map(|rule| [rule.at_least_milli, rule.at_most_milli]);
        let figure = 0..=limits::NUTRIENT * MILLI;
        let figures = figures.all(|limit| limit.is_none_or(|limit| figure.contains(&limit)));
        self.within(of, "nutrition", figures);
        let mut credits = wishes.credits.iter();
        let known = credits.all(|rule| rule.figures_micro.len() == frame.foods);
        self.fits(of, "credits", known);
        let credits = wishes.credits.iter();
        let mut figures = credits.flat_map(|rule| [rule.at_least_micro, rule.at_most_micro]);
        let most = limits::CREDIT * 1_000_000;
        let figures = figures.all(|limit| limit.is_none_or(|l| (-most..=most).contains(&l)));
        self.within(of, "credits", figures);
        let known = wishes.without.iter().all(|ban| match ban {
            Target::Food(id) => id.index() < frame.foods,
            Target::Family(id) => id.index() < frame.families,
            Target::Recipe(id) | Target::Resting { recipe: id, .. } => id.index() < frame.recipes,
            Target::Component(id) => id.index() < frame.components,
            Target::Shop(id) => id.index() < frame.shops,
            Target::Pack(id) => id.index() < frame.packs,
            Target::Tag(_) | Target::Allergen(_) | Target::Equipment(_) => true,
        });
        self.fits(of, "bans", known);
        let known = wishes.with.iter().all(|pin| {
            let (known, day) = match pin {
                Pin::Recipe(id, day) => (id.index() < frame.recipes, day),
                Pin::Food(id, day) => (id.index() < frame.foods, day),
            };
            known && day.is_none_or(|day| frame.has_lunch(day))
        });
        self.fits(of, "pins", known);
        let counts = |count: i64| (1..=limits::TOOLS).contains(&count);
        let equipment = self.new.equipment.iter().all(|tool| counts(tool.count));
        self.within(of, "equipment", equipment);
    }

    fn stock(&mut self) {
        let new = self.new;
        let many = new.stock.len() <= limits::STOCK;
        self.within(Of::Aims, "number of units on hand", many);
        for (index, unit) in new.stock.iter().enumerate() {
            let of = Of::Stock(StockId::new(index));
            let food = new.foods.get(unit.food.index());
            self.fits(of, "food", food.is_some_and(|food| !food.staple));
            let left = (1..=limits::MASS_MG).contains(&unit.left_mg);
            self.within(of, "amount", left);
            self.within(of, "value", unit.value_nano >= 0);
            let window = days(unit.ready_from..=unit.ready_to, limits::STOCK_DAYS);
            let end = days(unit.ready_to..=unit.end, limits::STOCK_DAYS);
            let opened = !unit.opened || unit.end == unit.ready_to;
            let life = days(0..=unit.open_life, limits::STOCK_DAYS);
            self.within(of, "days", window && end && opened && life);
        }
    }

    fn foods(&mut self) {
        let new = self.new;
        let many = new.foods.len() <= limits::FOODS;
        self.within(Of::Week, "number of foods", many);
        let mut next = 0;
        for (index, food) in new.foods.iter().enumerate() {
            let of = Of::Food(FoodId::new(index));
            // Packs stand together, in the order of their foods, none left over.
            let range = food.packs.start as usize..food.packs.end as usize;
            let packs = new.packs.get(range.clone());
            let own = packs.is_some_and(|packs| {
                let own = packs.iter().all(|pack| pack.food.index() == index);
                own && (1..=limits::PACKS * self.frame.shops.max(1)).contains(&packs.len())
            });
            self.fits(of, "packs", own && range.start == next);
            next = range.end;
            let family = food
                .family
                .is_none_or(|id| id.index() < self.frame.families);
            self.fits(of, "family", family);
            self.within(of, "price", food.staple_value_nano >= 0);
            let share = (1..=100_000).contains(&food.yield_milli_percent);
            self.within(of, "yield", share);
            let figure = 0..=limits::NUTRIENT * MILLI;
            let mut figures = food.nutrients_milli.iter().flatten();
            let figures = figures.all(|milli| figure.contains(milli));
            self.within(of, "nutrients", figures);
            self.within(of, "measures", measured(&food.household));
        }
        self.fits(Of::Week, "packs", next == new.packs.len());
    }

    fn packs(&mut self) {
        let new = self.new;
        for (index, pack) in new.packs.iter().enumerate() {
            let of = Of::Pack(PackId::new(index));
            let mass = 1..=limits::MASS_MG;
            let units = (1..=limits::UNITS).contains(&pack.units);
            let whole = i128::from(pack.unit_mg) * i128::from(pack.units);
            let size = mass.contains(&pack.unit_mg) && mass.contains(&pack.unit_ap_mg);
            let size = size && whole <= i128::from(limits::MASS_MG);
            self.within(of, "size", size && units);
            let staple = new
                .foods
                .get(pack.food.index())
                .is_some_and(|food| food.staple);
            let least = i64::from(!staple);
            let price = (least..=self.frame.most_minor).contains(&pack.price_minor);
            self.within(of, "price", price);
            self.fits(of, "shop", self.frame.has_shop(pack.shop));
            self.within(of, "value", pack.value_nano >= 0);
            let window = days(pack.ready_from..=pack.ready_to, limits::DAYS);
            let end = days(pack.ready_to..=pack.end, limits::DAYS);
            let life = days(0..=pack.open_life, limits::DAYS);
            self.within(of, "days", window && end && life);
        }
    }

    fn components(&mut self) {
        let new = self.new;
        let many = new.components.len() <= limits::COMPONENTS;
        self.within(Of::Week, "number of components", many);
        for (index, component) in new.components.iter().enumerate() {
            let of = Of::Component(ComponentId::new(index));
            let ids = component.foods.iter().map(|(id, _)| id);
            let foods = ids.clone().all(|id| id.index() < self.frame.foods);
            self.fits(of, "foods", foods && rising(ids));
            let mut inside = component.inside.iter();
            let known = inside.all(|id| id.index() < self.frame.components);
            self.fits(of, "components", known && rising(component.inside.iter()));
            // What is made inside is added up: a thousand times what can be written.
            let mass = 0..=1_000 * limits::MASS_MG;
            let makes = (1..=limits::MASS_MG).contains(&component.makes_mg);
            let foods = component.foods.iter().all(|(_, mg)| mass.contains(mg));
            let portion = component.portion_mg.is_none_or(|mg| mg >= 1);
            self.within(of, "amounts", makes && foods && portion);
            self.within(of, "days", days(0..=component.keeps, limits::DAYS));
            let batch = (0..=BATCH_NANO).contains(&component.batch_minutes_nano);
            let each = (0..=MINUTES_NANO).contains(&component.minutes_per_mg_nano);
            let passive = component.passive_minutes >= 0;
            self.within(of, "minutes", batch && each && passive);
            self.steps(of, &component.steps);
            self.within(of, "measures", measured(&component.household));
        }
    }

    fn recipes(&mut self) {
        let new = self.new;
        let many = new.recipes.len() <= limits::RECIPES;
        self.within(Of::Week, "number of recipes", many);
        for (index, recipe) in new.recipes.iter().enumerate() {
            let of = Of::Recipe(RecipeId::new(index));
            let form = recipe.form.index() < self.frame.forms;
            let protein = recipe
                .protein
                .is_none_or(|id| id.index() < self.frame.proteins);
            self.fits(of, "form or protein", form && protein);
            self.fits(of, "days", recipe.days.len() == self.frame.lunches);
            let minutes = (0..=MINUTES_NANO).contains(&recipe.minutes_nano);
            self.within(of, "minutes", minutes);
            let filled = recipe.lines.iter().all(|line| {
                let ways = line.alternatives.len();
                (1..=limits::ALTERNATIVES).contains(&ways)
            });
            let all = recipe.lines.len() + recipe.finishers.len();
            let some = !recipe.lines.is_empty() && all <= limits::LINES;
            self.fits(of, "lines", filled && some);
            let lines = recipe.lines.iter().flat_map(|line| &line.alternatives);
            let finishers = recipe.finishers.iter().map(|one| &one.alternative);
            let mut all = lines.chain(finishers);
            let known = all.clone().all(|taken| self.frame.has(taken.what));
            self.fits(of, "ingredients", known);
            let mass = 1..=limits::MASS_MG;
            self.within(of, "amounts", all.all(|taken| mass.contains(&taken.mg)));
            let appeal = 1..=limits::APPEAL;
            let mut finishers = recipe.finishers.iter();
            let appeal = finishers.all(|one| appeal.contains(&one.appeal));
            self.within(of, "appeal", appeal);
            self.steps(of, &recipe.steps);
        }
    }

    fn steps(&mut self, of: Of, steps: &[Step]) {
        let known = steps
            .iter()
            .all(|step| step.what.is_none_or(|what| self.frame.has(what)));
        self.fits(of, "steps", known);
        let within = steps.iter().all(|step| {
            let minutes = |minutes: Option<i64>, unit: i64| {
                minutes.is_none_or(|minutes| (0..=limits::MINUTES * unit).contains(&minutes))
            };
            minutes(step.active_minutes, 1)
                && minutes(step.passive_minutes, 1)
                && minutes(step.per_portion_milli, MILLI)
                && days(0..=step.ahead_days, limits::AHEAD_DAYS)
        });
        self.within(of, "steps", within);
    }

    fn sums(&mut self, passed: Option<&Contents>) {
        let figures = Figures::of(self.new);
        let passed = passed.map(Figures::of);
        for id in overvalued(&figures) {
            self.note(Of::Pack(id), Wrong::Beyond("value"));
        }
        for id in own_price(&figures) {
            self.note(Of::Pack(id), Wrong::PaysForItself);
        }
        for excess in excesses(&figures, passed.as_ref()) {
            let (of, largest) = match excess {
                Excess::Base => (Of::Aims, None),
                Excess::Component(id) => (Of::Component(id), None),
                Excess::Recipe(id, largest) => (Of::Recipe(id), largest),
            };
            let named = largest.map(|largest| (largest, self.name_in(largest)));
            self.note(of, Wrong::TooLarge(named));
        }
    }
}
