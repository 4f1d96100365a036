//! Writes a kitchen as data of the model `models/week.mod`, in GNU MathProg.
//!
//! The model is a second telling of the mathematics, in a language of its own; this file
//! only hands it the larder's figures. Nothing is worked out here except what names are:
//! bans on families, tags, allergens and equipment become the foods, components and
//! recipes they mean, and day preferences are added up.

use std::fmt::{Display, Write};

use super::names::slugs;
use super::ratio::decimal;
use crate::larder::wishes::Preferred;
use crate::larder::{
    Aim, CapBy, Component, ComponentId, FoodId, Ingredient, Larder, NUTRIENTS, Nutrient, Pack,
    PackId, Per, Pin, RecipeId, Stock, Target, Trip,
};

/// Returns `larder` as the data section for the first stage of its aims.
pub fn mathprog_data(larder: &Larder) -> String {
    mathprog_data_of_stage(larder, &[])
}

/// Returns `larder` as the data section of a stage, see [`build`](super::build).
///
/// # Panics
/// If `settled_nano` has more values than there are aims.
pub fn mathprog_data_of_stage(larder: &Larder, settled_nano: &[i128]) -> String {
    let mut data = Data {
        larder,
        text: String::from("data;\n"),
        foods: slugs(larder.foods.iter().map(|f| f.name.as_str())),
        components: slugs(larder.components.iter().map(|c| c.name.as_str())),
        recipes: slugs(larder.recipes.iter().map(|r| r.name.as_str())),
    };
    data.time();
    data.foods();
    data.packs();
    data.stock();
    data.components();
    data.recipes();
    data.aims(settled_nano);
    data.rules();
    data.bans_and_pins();
    data.text.push_str("end;\n");
    data.text
}

struct Data<'a> {
    larder: &'a Larder,
    text: String,
    foods: Vec<String>,
    components: Vec<String>,
    recipes: Vec<String>,
}

/// A parameter and where its figure stands.
type Figure<T, V> = (&'static str, fn(&T) -> V);

/// Number and nutrient of a rule, what it looks at, floor and ceiling.
type Limits = (String, Per, [Option<i64>; 2]);

/// Returns the name of what a credit rule counts, as a nutrient.
fn credit(index: usize) -> String {
    quoted(&format!("credit{index}"))
}

/// Anything that can stand in data: names in quotes, numbers without.
fn quoted(name: &str) -> String {
    format!("'{name}'")
}

fn nano(value: i64) -> String {
    decimal(i128::from(value))
}

impl Data<'_> {
    fn write(&mut self, text: impl Display) {
        writeln!(self.text, "{text}").expect("writing to a string does not fail");
    }

    /// Writes `set NAME := ...;`, one member a line.
    fn set(&mut self, name: &str, members: impl IntoIterator<Item = String>) {
        self.write(format_args!("set {name} :="));
        for member in members {
            self.write(format_args!("  {member}"));
        }
        self.write(";");
    }

    /// Writes `param NAME := key value ...;`, one entry a line; nothing without entries.
    fn table(&mut self, name: &str, entries: impl IntoIterator<Item = (String, String)>) {
        let mut entries = entries.into_iter().peekable();
        if entries.peek().is_none() {
            return;
        }
        self.write(format_args!("param {name} :="));
        for (key, value) in entries {
            self.write(format_args!("  {key} {value}"));
        }
        self.write(";");
    }

    fn scalar(&mut self, name: &str, value: impl Display) {
        self.write(format_args!("param {name} := {value};"));
    }

    fn food(&self, id: FoodId) -> String {
        quoted(&self.foods[id.index()])
    }

    fn component(&self, id: ComponentId) -> String {
        quoted(&self.components[id.index()])
    }

    fn recipe(&self, id: RecipeId) -> String {
        quoted(&self.recipes[id.index()])
    }

    fn time(&mut self) {
        let week = &self.larder.week;
        self.scalar("N", week.lunches);
        self.scalar("C", week.carry_day);
        let eaters = week.eaters_milli.iter().enumerate();
        self.table(
            "eaters",
            eaters.map(|(i, e)| ((i + 1).to_string(), e.to_string())),
        );
        self.set("TRIP", (0..week.trips.len()).map(|t| t.to_string()));
        let trips = week.trips.iter().enumerate();
        self.table(
            "shop",
            trips.map(|(t, trip)| (t.to_string(), trip.day.to_string())),
        );
    }

    fn foods(&mut self) {
        let larder = self.larder;
        let names: Vec<String> = self.foods.iter().map(|name| quoted(name)).collect();
        let foods = || names.iter().zip(&larder.foods);
        self.set("FOOD", names.iter().cloned());
        self.set(
            "STAPLE",
            foods().filter(|(_, f)| f.staple).map(|(n, _)| n.clone()),
        );
        self.set("FAMILY", (0..larder.families.len()).map(|k| k.to_string()));
        self.set(
            "IN_FAMILY",
            foods()
                .filter(|(_, food)| !food.staple)
                .filter_map(|(name, food)| Some(format!("({name},{})", food.family?.index()))),
        );
        self.table(
            "staple_value",
            foods()
                .filter(|(_, food)| food.staple)
                .map(|(name, food)| (name.clone(), food.staple_value_nano.to_string())),
        );
        // What credit rules count is told as further nutrients, in thousandths of its unit.
        let credits = &larder.wishes.credits;
        let nutrients = Nutrient::ALL.iter().map(|k| quoted(k.key()));
        self.set("NUTRIENT", nutrients.chain((0..credits.len()).map(credit)));
        let figures = foods().flat_map(|(name, food)| {
            (0..NUTRIENTS).filter_map(move |index| {
                let figure = food.nutrients_milli[index].filter(|&figure| figure != 0)?;
                let key = quoted(Nutrient::ALL[index].key());
                Some((format!("{name} {key}"), figure.to_string()))
            })
        });
        let credited = foods().enumerate().flat_map(|(place, (name, _))| {
            credits.iter().enumerate().filter_map(move |(i, rule)| {
                let figure = rule.figures_micro[place];
                (figure != 0).then(|| (format!("{name} {}", credit(i)), figure.to_string()))
            })
        });
        self.table("holds", figures.chain(credited));
    }

    fn packs(&mut self) {
        let larder = self.larder;
        let packs = || {
            let entries = larder.packs.iter().enumerate();
            entries.filter(|(_, pack)| !larder.foods[pack.food.index()].staple)
        };
        self.set("PACK", packs().map(|(p, _)| p.to_string()));
        let sells: Vec<_> = packs()
            .map(|(p, pack)| (p.to_string(), self.food(pack.food)))
            .collect();
        self.table("sells", sells);
        let figures: [Figure<Pack, i64>; 8] = [
            ("unit", |p| p.unit_mg),
            ("units", |p| p.units),
            ("price", |p| p.price_minor),
            ("lo", |p| i64::from(p.ready_from)),
            ("hi", |p| i64::from(p.ready_to)),
            ("life", |p| i64::from(p.open_life)),
            ("last", |p| i64::from(p.end)),
            ("value", |p| p.value_nano),
        ];
        for (name, figure) in figures {
            let entries = packs().map(|(p, pack)| (p.to_string(), figure(pack).to_string()));
            self.table(name, entries);
        }
        let away = packs().flat_map(|(p, _)| {
            let trips = 0..larder.week.trips.len() as Trip;
            let away = trips.filter(move |&t| !larder.sells(t, PackId::new(p)));
            away.map(move |t| format!("({p},{t})"))
        });
        let away: Vec<String> = away.collect();
        if !away.is_empty() {
            self.set("AWAY", away);
        }
    }

    fn stock(&mut self) {
        let larder = self.larder;
        let stock = || larder.stock.iter().enumerate();
        self.set("STOCK", stock().map(|(s, _)| s.to_string()));
        let foods: Vec<_> = stock()
            .map(|(s, unit)| (s.to_string(), self.food(unit.food)))
            .collect();
        self.table("stock_of", foods);
        let figures: [Figure<Stock, i64>; 7] = [
            ("left", |s| s.left_mg),
            ("is_open", |s| i64::from(s.opened)),
            ("stock_lo", |s| i64::from(s.ready_from)),
            ("stock_hi", |s| i64::from(s.ready_to)),
            ("stock_life", |s| i64::from(s.open_life)),
            ("stock_last", |s| i64::from(s.end)),
            ("stock_value", |s| s.value_nano),
        ];
        for (name, figure) in figures {
            let entries = stock().map(|(s, unit)| (s.to_string(), figure(unit).to_string()));
            self.table(name, entries);
        }
    }

    fn components(&mut self) {
        let larder = self.larder;
        let names: Vec<String> = self.components.iter().map(|name| quoted(name)).collect();
        let components = || names.iter().zip(&larder.components);
        self.set("COMPONENT", names.iter().cloned());
        let parts: Vec<(String, String, i64)> = components()
            .flat_map(|(name, component)| {
                let foods = component.foods.iter();
                foods.map(|&(food, mg)| (name.clone(), self.food(food), mg))
            })
            .collect();
        self.set("MIX", parts.iter().map(|(c, f, _)| format!("({c},{f})")));
        self.table(
            "part",
            parts
                .iter()
                .map(|(c, f, mg)| (format!("{c} {f}"), mg.to_string())),
        );
        let figures: [Figure<Component, String>; 5] = [
            ("makes", |c| c.makes_mg.to_string()),
            ("keeps", |c| c.keeps.to_string()),
            ("batch_minutes", |c| nano(c.batch_minutes_nano)),
            ("rate", |c| nano(c.minutes_per_mg_nano)),
            ("watched", |c| c.watched_minutes().to_string()),
        ];
        for (name, figure) in figures {
            let entries = components().map(|(key, component)| (key.clone(), figure(component)));
            self.table(name, entries);
        }
    }

    fn recipes(&mut self) {
        let larder = self.larder;
        let names: Vec<String> = self.recipes.iter().map(|name| quoted(name)).collect();
        let recipes = || names.iter().zip(&larder.recipes);
        self.set("RECIPE", names.iter().cloned());
        self.set("FORM", (0..larder.forms.len()).map(|k| k.to_string()));
        self.table(
            "form",
            recipes().map(|(name, recipe)| (name.clone(), recipe.form.index().to_string())),
        );
        self.set("PROTEIN", (0..larder.proteins.len()).map(|k| k.to_string()));
        self.set(
            "OF_PROTEIN",
            recipes().filter_map(|(name, r)| Some(format!("({name},{})", r.protein?.index()))),
        );
        self.table(
            "minutes",
            recipes().map(|(name, recipe)| (name.clone(), nano(recipe.minutes_nano))),
        );
        self.set(
            "SHUT",
            recipes().flat_map(|(name, recipe)| {
                let days = recipe.days.iter().enumerate();
                days.filter(|(_, served)| !**served)
                    .map(move |(i, _)| format!("({name},{})", i + 1))
            }),
        );
        self.takes();
    }

    /// Alternatives: recipe, line and alternative are counted from 1.
    fn takes(&mut self) {
        let mut keys = Vec::new();
        let mut amounts = Vec::new();
        let mut of_food = Vec::new();
        let mut of_component = Vec::new();
        for (name, recipe) in self.recipes.iter().zip(&self.larder.recipes) {
            for (line, entry) in (1..).zip(&recipe.lines) {
                for (j, alternative) in (1..).zip(&entry.alternatives) {
                    let name = quoted(name);
                    keys.push(format!("({name},{line},{j})"));
                    amounts.push((format!("{name} {line} {j}"), alternative.mg.to_string()));
                    match alternative.what {
                        Ingredient::Food(food) => {
                            of_food.push(format!("({name},{line},{j},{})", self.food(food)));
                        }
                        Ingredient::Component(id) => {
                            let component = self.component(id);
                            of_component.push(format!("({name},{line},{j},{component})"));
                        }
                    }
                }
            }
        }
        self.set("TAKE", keys);
        self.table("mg", amounts);
        self.set("FOOD_TAKE", of_food);
        self.set("MIX_TAKE", of_component);
    }

    fn aims(&mut self, settled_nano: &[i128]) {
        let wishes = &self.larder.wishes;
        let word = |aim: &Aim| match aim {
            Aim::Foods => "foods",
            Aim::Cost => "cost",
            Aim::Spoiled => "spoiled",
            Aim::Minutes => "minutes",
        };
        let aim = wishes.order.get(settled_nano.len()).map_or("one", word);
        self.scalar("aim", quoted(aim));
        let settled = || wishes.order.iter().zip(settled_nano);
        self.set("SETTLED", settled().map(|(aim, _)| quoted(word(aim))));
        self.table(
            "best",
            settled().map(|(aim, &best)| (quoted(word(aim)), decimal(best))),
        );
        let milli = |value: i64| decimal(i128::from(value) * 1_000_000);
        self.scalar("spoil_weight", milli(wishes.spoil_weight_milli));
        self.scalar("carry_credit", milli(wishes.carry_credit_milli));
        self.scalar("food_price", wishes.food_price_minor);
        self.scalar("minute_price", wishes.minute_price_minor);
        self.scalar("watch_price", wishes.watch_price_minor);
        let trips = 0..self.larder.week.trips.len() as Trip;
        let prices = trips.map(|t| (t.to_string(), self.larder.trip_price_minor(t).to_string()));
        self.table("trip_price", prices);
        let mut liking = Vec::new();
        for (index, recipe) in self.larder.recipes.iter().enumerate() {
            for day in 1..=self.larder.week.lunches {
                let concerned = wishes.preferences.iter().filter(|preference| {
                    let whom = match preference.whom {
                        Preferred::Form(form) => form == recipe.form,
                        Preferred::Recipe(id) => id.index() == index,
                    };
                    whom && preference.days.contains(&day)
                });
                let sum: i64 = concerned.map(|preference| preference.price_minor).sum();
                if sum != 0 {
                    let name = self.recipe(RecipeId::new(index));
                    liking.push((format!("{name} {day}"), sum.to_string()));
                }
            }
        }
        self.table("liking", liking);
    }

    fn rules(&mut self) {
        let wishes = &self.larder.wishes;
        let limits = [
            ("cap", wishes.cap),
            ("budget", wishes.budget_minor),
            ("per_form", wishes.per_form),
            ("per_protein", wishes.per_protein),
            ("sameness", wishes.sameness_milli),
            ("sameness_adjacent", wishes.sameness_adjacent_milli),
        ];
        for (name, limit) in limits {
            if let Some(limit) = limit {
                self.scalar(name, limit);
            }
        }
        self.scalar("repeats", wishes.repeats);
        let by_families = i64::from(wishes.cap_by == CapBy::Families);
        self.scalar("cap_by_families", by_families);
        let never_adjacent = i64::from(wishes.form_never_adjacent);
        self.scalar("never_adjacent", never_adjacent);
        for (name, limits) in [
            ("most_minutes", &wishes.minutes_nano),
            ("most_kitchen", &wishes.kitchen_minutes_nano),
        ] {
            let limits = limits.iter().enumerate();
            let set = limits.filter_map(|(day, most)| Some((day.to_string(), nano((*most)?))));
            self.table(name, set);
        }
        let idle = (0..=self.larder.week.lunches).filter(|&day| !wishes.may_cook(day));
        self.set("IDLE", idle.map(|day| day.to_string()));
        self.floors_and_ceilings();
    }

    /// Rules of nutrition by their number; rules of credit are numbered on behind them.
    fn floors_and_ceilings(&mut self) {
        let wishes = &self.larder.wishes;
        let mut rules: Vec<Limits> = Vec::new();
        for (i, rule) in wishes.nutrition.iter().enumerate() {
            let key = format!("{i} {}", quoted(rule.nutrient.key()));
            rules.push((key, rule.per, [rule.at_least_milli, rule.at_most_milli]));
        }
        let first = wishes.nutrition.len();
        for (i, rule) in wishes.credits.iter().enumerate() {
            let key = format!("{} {}", first + i, credit(i));
            rules.push((key, rule.per, [rule.at_least_micro, rule.at_most_micro]));
        }
        for (side, set, param) in [(0, "FLOOR", "floor_of"), (1, "CEILING", "ceiling_of")] {
            let of_side = || {
                rules
                    .iter()
                    .filter_map(move |(key, _, limits)| Some((key, limits[side]?)))
            };
            self.set(
                set,
                of_side().map(|(key, _)| format!("({})", key.replacen(' ', ",", 1))),
            );
            self.table(
                param,
                of_side().map(|(key, limit)| (key.clone(), limit.to_string())),
            );
        }
        let weekly = rules
            .iter()
            .enumerate()
            .filter(|(_, rule)| rule.1 == Per::Week);
        self.table("weekly", weekly.map(|(i, _)| (i.to_string(), "1".into())));
        let summed = (first..rules.len()).map(|i| (i.to_string(), "1".into()));
        self.table("summed", summed);
    }

    fn bans_and_pins(&mut self) {
        let larder = self.larder;
        let bans = &larder.wishes.without;
        let names = |names: &[String], hit: &dyn Fn(usize, &Target) -> bool| -> Vec<String> {
            let all = names.iter().enumerate();
            all.filter(|&(index, _)| bans.iter().any(|ban| hit(index, ban)))
                .map(|(_, name)| quoted(name))
                .collect()
        };
        let foods = names(&self.foods, &|index, ban| {
            let food = &larder.foods[index];
            match ban {
                Target::Food(id) => id.index() == index,
                Target::Family(family) => food.family == Some(*family),
                Target::Tag(tag) => food.tags.contains(tag),
                Target::Allergen(allergen) => food.allergens.contains(allergen),
                _ => false,
            }
        });
        let components = names(&self.components, &|index, ban| {
            let component = &larder.components[index];
            match ban {
                Target::Component(id) => id.index() == index,
                Target::Tag(tag) => component.tags.contains(tag),
                Target::Equipment(tool) => component.needs.contains(tool),
                _ => false,
            }
        });
        let recipes = names(&self.recipes, &|index, ban| {
            let recipe = &larder.recipes[index];
            match ban {
                Target::Recipe(id) | Target::Resting { recipe: id, .. } => id.index() == index,
                Target::Tag(tag) => recipe.tags.contains(tag),
                Target::Equipment(tool) => recipe.needs.contains(tool),
                _ => false,
            }
        });
        // A component made of a banned food is banned by the model, which knows its foods.
        self.set("BAN_FOOD", foods);
        self.set("BAN_COMPONENT", components);
        self.set("BAN_RECIPE", recipes);
        let pins = || larder.wishes.with.iter();
        let recipes: Vec<String> = pins()
            .filter_map(|pin| match *pin {
                Pin::Recipe(id, day) => Some(format!("({},{})", self.recipe(id), day.unwrap_or(0))),
                Pin::Food(..) => None,
            })
            .collect();
        self.set("PIN_RECIPE", recipes);
        let foods: Vec<String> = pins()
            .filter_map(|pin| match *pin {
                Pin::Food(id, day) => Some(format!("({},{})", self.food(id), day.unwrap_or(0))),
                Pin::Recipe(..) => None,
            })
            .collect();
        self.set("PIN_FOOD", foods);
    }
}
