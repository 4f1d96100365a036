//! The decisions of a week as typed handles to columns.
//!
//! | letter in `models/week.md` | here | column name |
//! | --- | --- | --- |
//! | x | `lunch` | `lunch.RECIPE.dDAY` |
//! | a | `takes` | `takes.RECIPE.lLINE.aALTERNATIVE.dDAY` |
//! | b | `cooks` | `cooks.COMPONENT.dDAY` |
//! | w | `Ask::shares` | `share.RECIPE.lLINE.aALTERNATIVE.dDAY.fromDAY` |
//! | n | `Drawn::packs` | `packs.PACK.tTRIP` |
//! | o | `Drawn::opens` | `opens.LOT.dDAY` |
//! | q | `Drawn::draws` | `draws.LOT.dDAY.onDAY` |
//! | spoil, keep | `Drawn::{spoils, keeps}` | `spoils.LOT`, `keeps.LOT` |
//! | y | `bought` | `bought.FOOD` |
//! | g | `trips` | `trip.tTRIP` |

use std::collections::BTreeMap;

use super::Kind;
use super::draft::{Draft, ONE};
use super::lots::Source;
use super::names::slugs;
use super::need::{Need, first_batch_day};
use crate::larder::{ComponentId, Day, FamilyId, FoodId, Ingredient, Larder, RecipeId};
use crate::plan::Lot;

/// All handles of one program.
pub(super) struct Columns<'a> {
    /// What the program is about.
    pub(super) larder: &'a Larder,
    /// Largest possible needs.
    pub(super) need: Need,
    /// By recipe and lunch day (index 0 is day 1).
    lunch: Vec<Vec<usize>>,
    /// By recipe, lunch day, line, alternative. A line with one alternative has the column
    /// of its lunch.
    takes: Vec<Vec<Vec<Vec<usize>>>>,
    /// Recipe in the week, where a recipe may appear more than once and pairs are limited.
    pub(super) in_week: Vec<usize>,
    /// By component and day 0..=N.
    pub(super) cooks: BTreeMap<(ComponentId, Day), usize>,
    /// Everything lunches may ask of components.
    pub(super) asks: Vec<Ask>,
    /// Counted foods some recipe can use.
    pub(super) bought: BTreeMap<FoodId, usize>,
    /// Families of those foods.
    pub(super) families: BTreeMap<FamilyId, usize>,
    /// By trip; trip 0 is made anyway and has none.
    pub(super) trips: Vec<Option<usize>>,
    /// Lots of those foods, food by food.
    pub(super) drawn: Vec<Drawn>,
    /// Short names.
    pub(super) names: Names,
}

/// Short names for columns and rows.
pub(super) struct Names {
    pub(super) recipes: Vec<String>,
    pub(super) components: Vec<String>,
    pub(super) foods: Vec<String>,
    pub(super) packs: Vec<String>,
    pub(super) stock: Vec<String>,
    pub(super) families: Vec<String>,
    pub(super) forms: Vec<String>,
    pub(super) proteins: Vec<String>,
}

/// What an alternative of a lunch asks of a component.
pub(super) struct Ask {
    pub(super) component: ComponentId,
    pub(super) recipe: RecipeId,
    pub(super) lunch: Day,
    pub(super) line: usize,
    /// Finished milligrams for all eaters; above 0.
    pub(super) mg: i64,
    /// Milligrams of foods that gives.
    pub(super) foods: Vec<(FoodId, i64)>,
    /// The column that takes it.
    pub(super) taken: usize,
    /// Share of it cooked on each possible day. With one possible day the column is
    /// `taken` itself.
    pub(super) shares: Vec<(Day, usize)>,
}

impl Ask {
    /// Returns whether it may be met by several batches.
    pub(super) fn splits(&self) -> bool {
        self.shares.len() > 1
    }
}

/// A lot with its columns.
pub(super) struct Drawn {
    pub(super) source: Source,
    /// Short name, trip included.
    pub(super) name: String,
    /// Packs bought and their upper bound; none for a unit on hand.
    pub(super) packs: Option<(usize, i64)>,
    /// Units opened, by day; none where opening changes nothing.
    pub(super) opens: Vec<(Day, usize)>,
    /// Grams drawn: day of opening (none where opening changes nothing), day of use.
    pub(super) draws: Vec<(Option<Day>, Day, usize)>,
    pub(super) spoils: usize,
    pub(super) keeps: usize,
}

impl<'a> Columns<'a> {
    /// Makes the columns of `larder`'s program.
    pub(super) fn new(larder: &'a Larder, draft: &mut Draft) -> Self {
        let mut columns = Self {
            larder,
            need: Need::new(larder),
            lunch: Vec::new(),
            takes: Vec::new(),
            in_week: Vec::new(),
            cooks: BTreeMap::new(),
            asks: Vec::new(),
            bought: BTreeMap::new(),
            families: BTreeMap::new(),
            trips: Vec::new(),
            drawn: Vec::new(),
            names: Names::new(larder),
        };
        columns.add_lunches(draft);
        columns.add_asks(draft);
        columns.add_shopping(draft);
        columns.add_lots(draft);
        columns
    }

    /// Returns the column of `recipe` on lunch day `day`.
    pub(super) fn lunch(&self, recipe: RecipeId, day: Day) -> usize {
        self.lunch[recipe.index()][usize::from(day) - 1]
    }

    /// Returns the column of an alternative.
    pub(super) fn takes(
        &self,
        recipe: RecipeId,
        day: Day,
        line: usize,
        alternative: usize,
    ) -> usize {
        self.takes[recipe.index()][usize::from(day) - 1][line][alternative]
    }

    /// Returns all recipes.
    pub(super) fn recipes(&self) -> impl Iterator<Item = RecipeId> + use<> {
        (0..self.larder.recipes.len()).map(RecipeId::new)
    }

    /// Returns the lunch days 1..=N.
    pub(super) fn lunch_days(&self) -> impl Iterator<Item = Day> + use<> {
        1..=self.larder.week.lunches
    }

    /// Returns all days 0..=N.
    pub(super) fn days(&self) -> impl Iterator<Item = Day> + use<> {
        0..=self.larder.week.lunches
    }

    /// Returns the lots of `food`.
    pub(super) fn lots_of(&self, food: FoodId) -> impl Iterator<Item = &Drawn> {
        let lots = self.drawn.iter();
        lots.filter(move |drawn| drawn.source.food == food)
    }

    /// Returns every alternative of every lunch: recipe, day, line, alternative.
    pub(super) fn alternatives(&self) -> impl Iterator<Item = (RecipeId, Day, usize, usize)> + '_ {
        self.recipes().flat_map(move |recipe| {
            let lines = &self.larder.recipes[recipe.index()].lines;
            self.lunch_days().flat_map(move |day| {
                lines.iter().enumerate().flat_map(move |(line, entry)| {
                    (0..entry.alternatives.len()).map(move |chosen| (recipe, day, line, chosen))
                })
            })
        })
    }

    /// Returns what milligrams of each food an alternative takes for all eaters of a lunch.
    pub(super) fn foods_of(
        &self,
        recipe: RecipeId,
        day: Day,
        line: usize,
        alternative: usize,
    ) -> Vec<(FoodId, i64)> {
        let alternative =
            &self.larder.recipes[recipe.index()].lines[line].alternatives[alternative];
        let asked = self.larder.for_eaters(alternative.mg, day);
        match alternative.what {
            Ingredient::Food(food) if asked > 0 => vec![(food, asked)],
            Ingredient::Food(_) => Vec::new(),
            Ingredient::Component(id) => self.larder.component_foods(id, asked),
        }
    }

    fn add_lunches(&mut self, draft: &mut Draft) {
        for recipe in self.recipes() {
            let name = &self.names.recipes[recipe.index()];
            let days = self.lunch_days();
            let lunch: Vec<usize> = days
                .map(|day| draft.binary(format!("lunch.{name}.d{day}")))
                .collect();
            let lines = &self.larder.recipes[recipe.index()].lines;
            let takes = self.lunch_days().zip(&lunch).map(|(day, &whole)| {
                let entries = lines.iter().enumerate();
                entries
                    .map(|(line, entry)| match entry.alternatives.len() {
                        1 => vec![whole],
                        count => (0..count)
                            .map(|j| draft.binary(format!("takes.{name}.l{line}.a{j}.d{day}")))
                            .collect(),
                    })
                    .collect()
            });
            let takes = takes.collect();
            self.takes.push(takes);
            self.lunch.push(lunch);
        }
        if self.larder.wishes.repeats > 1 && self.larder.wishes.sameness_milli.is_some() {
            let names = self.names.recipes.iter();
            self.in_week = names
                .map(|name| draft.binary(format!("week.{name}")))
                .collect();
        }
    }

    fn add_asks(&mut self, draft: &mut Draft) {
        let mut asks = Vec::new();
        for (recipe, lunch, line, j) in self.alternatives() {
            let alternative = &self.larder.recipes[recipe.index()].lines[line].alternatives[j];
            let Ingredient::Component(component) = alternative.what else {
                continue;
            };
            let mg = self.larder.for_eaters(alternative.mg, lunch);
            if mg == 0 {
                continue;
            }
            let name = &self.names.recipes[recipe.index()];
            let taken = self.takes(recipe, lunch, line, j);
            let keeps = self.larder.components[component.index()].keeps;
            let first = first_batch_day(keeps, lunch);
            let shares = if first == lunch {
                vec![(lunch, taken)]
            } else {
                let days = first..=lunch;
                days.map(|from| {
                    let name = format!("share.{name}.l{line}.a{j}.d{lunch}.from{from}");
                    (from, draft.column(name, Kind::Continuous, Some(ONE)))
                })
                .collect()
            };
            asks.push(Ask {
                component,
                recipe,
                lunch,
                line,
                mg,
                foods: self.larder.component_foods(component, mg),
                taken,
                shares,
            });
        }
        let cooked: std::collections::BTreeSet<(ComponentId, Day)> = asks
            .iter()
            .flat_map(|ask| ask.shares.iter().map(|&(day, _)| (ask.component, day)))
            .collect();
        for (component, day) in cooked {
            let name = &self.names.components[component.index()];
            let column = draft.binary(format!("cooks.{name}.d{day}"));
            self.cooks.insert((component, day), column);
        }
        self.asks = asks;
    }

    fn add_shopping(&mut self, draft: &mut Draft) {
        for (index, entry) in self.larder.foods.iter().enumerate() {
            let food = FoodId::new(index);
            if entry.staple || !self.need.any(food) {
                continue;
            }
            let column = draft.binary(format!("bought.{}", self.names.foods[index]));
            self.bought.insert(food, column);
            if let Some(family) = entry.family {
                let name = &self.names.families[family.index()];
                let families = &mut self.families;
                families
                    .entry(family)
                    .or_insert_with(|| draft.binary(format!("family.{name}")));
            }
        }
        self.trips = (0..self.larder.week.trips.len())
            .map(|trip| (trip > 0).then(|| draft.binary(format!("trip.t{trip}"))))
            .collect();
    }

    fn add_lots(&mut self, draft: &mut Draft) {
        for source in Source::all(self.larder, &self.need) {
            let (name, packs) = match source.lot {
                Lot::Bought(pack, trip) => {
                    let name = format!("{}.t{trip}", self.names.packs[pack.index()]);
                    let most = source.most_packs(self.larder, &self.need);
                    if most == 0 {
                        continue;
                    }
                    let high = i128::from(most) * ONE;
                    let column = draft.column(format!("packs.{name}"), Kind::Integer, Some(high));
                    (name, Some((column, most)))
                }
                Lot::Stock(id) => (format!("stock_{}", self.names.stock[id.index()]), None),
            };
            let most_units = packs.map_or(1, |(_, most)| most * source.units);
            let days = source.opening_days(self.larder, &self.need);
            let mut opens = Vec::new();
            let mut draws = Vec::new();
            if source.free {
                for day in days {
                    let column =
                        draft.column(format!("draws.{name}.on{day}"), Kind::Continuous, None);
                    draws.push((None, day, column));
                }
            } else {
                for day in days {
                    let high = Some(i128::from(most_units) * ONE);
                    let open = draft.column(format!("opens.{name}.d{day}"), Kind::Integer, high);
                    opens.push((day, open));
                    for later in source.drawing_days(self.larder, &self.need, day) {
                        let name = format!("draws.{name}.d{day}.on{later}");
                        let column = draft.column(name, Kind::Continuous, None);
                        draws.push((Some(day), later, column));
                    }
                }
            }
            let spoils = draft.column(format!("spoils.{name}"), Kind::Continuous, None);
            let keeps = draft.column(format!("keeps.{name}"), Kind::Continuous, None);
            self.drawn.push(Drawn {
                source,
                name,
                packs,
                opens,
                draws,
                spoils,
                keeps,
            });
        }
    }
}

impl Names {
    fn new(larder: &Larder) -> Self {
        let pack_names: Vec<String> = larder
            .packs
            .iter()
            .map(|pack| {
                let food = &larder.foods[pack.food.index()].name;
                let shop = pack.shop.map(|shop| larder.shops[shop.index()].as_str());
                format!(
                    "{food} {} {} {}",
                    pack.label,
                    pack.stage.as_deref().unwrap_or(""),
                    shop.unwrap_or("")
                )
            })
            .collect();
        Self {
            recipes: slugs(larder.recipes.iter().map(|r| r.name.as_str())),
            components: slugs(larder.components.iter().map(|c| c.name.as_str())),
            foods: slugs(larder.foods.iter().map(|f| f.name.as_str())),
            packs: slugs(pack_names.iter().map(String::as_str)),
            stock: slugs(larder.stock.iter().map(|s| s.label.as_str())),
            families: slugs(larder.families.iter().map(String::as_str)),
            forms: slugs(larder.forms.iter().map(String::as_str)),
            proteins: slugs(larder.proteins.iter().map(String::as_str)),
        }
    }
}
