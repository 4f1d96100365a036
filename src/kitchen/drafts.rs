//! Foods, components and recipes as read, not yet a larder.

use super::fault::Priced;
use super::gather::Roll;
use super::jotted::Known;
use super::place::At;
use super::quantity::Measures;
use crate::import::Own;
use crate::larder::{Component, Food, FoodId, Pack, Recipe, WHOLE_YIELD};
use crate::table::Row;
use crate::table::keeping::Place;

/// Where a pack is kept and how long, as written.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Times {
    /// `None`: wherever it keeps longer, freezer apart.
    pub(crate) place: Option<Place>,
    /// Days unopened; `None` where a staple does not say, for what ripens, and to the maker's date.
    pub(crate) sealed: Option<i64>,
    /// Days opened; `None` where it does not say.
    pub(crate) opened: Option<i64>,
    /// First and last day on which something that ripens is ready.
    pub(crate) ready: Option<(i64, i64)>,
}

/// A food as read; its packs are not yet in the larder's one list.
#[derive(Debug)]
pub(crate) struct FoodDraft {
    pub(crate) food: Food,
    pub(crate) family: Option<String>,
    pub(crate) packs: Vec<Pack>,
    /// What each pack costs, and where that stands.
    pub(crate) priced: Vec<Priced>,
    /// How long each pack keeps, as written.
    pub(crate) times: Vec<Times>,
    /// Where each pack and each price stands.
    pub(crate) pack_at: Vec<(At, At)>,
    pub(crate) measures: Measures,
    /// Food groups, and the edible milligrams that count as one unit of each.
    pub(crate) credits: Vec<(String, i64)>,
    pub(crate) at: At,
    /// Its row of the built-in table, if it names one.
    pub(crate) row: Option<&'static Row>,
    /// No fault was found in it. Faults that follow from it are then not told.
    pub(crate) sound: bool,
}

impl FoodDraft {
    /// Returns what a jotted line may call it.
    pub(crate) fn known(&self) -> Known {
        let pack = self.packs.first();
        Known {
            name: self.food.name.clone(),
            cooked: false,
            pack: pack.map(|pack| (pack.label.clone(), pack.units)),
            measures: self.measures.names().map(str::to_owned).collect(),
        }
    }

    /// Returns what an ingredient line may call it, and what it is weighed by.
    pub(crate) fn own(&self) -> Own {
        let pack = self.packs.first();
        Own {
            name: self.food.name.clone(),
            cooked: false,
            row: self.row,
            yield_milli_percent: self.food.yield_milli_percent,
            measures: self.measures.masses(),
            given: self.measures.given(),
            pack: pack.map(|pack| (pack.label.clone(), pack.unit_mg, pack.units)),
        }
    }
}

/// Parts of a minute, or of a minute per milligram, that rates are added up in before the one
/// rounding to 1e-9.
pub(crate) const FINE: i128 = 1_000_000_000;

/// A component as read, not yet resolved.
#[derive(Debug)]
pub(crate) struct ComponentDraft {
    pub(crate) component: Component,
    pub(crate) measures: Measures,
    pub(crate) at: At,
    /// No fault was found in it.
    pub(crate) sound: bool,
    /// Foods written in `from` itself.
    pub(crate) foods: Vec<(FoodId, i64)>,
    /// Components written in `from`, by position.
    pub(crate) inside: Vec<(usize, i64)>,
    /// Active minutes a finished milligram, in 1e-18.
    pub(crate) rate_fine: i128,
}

impl ComponentDraft {
    /// Returns what a jotted line may call it.
    pub(crate) fn known(&self) -> Known {
        Known {
            name: self.component.name.clone(),
            cooked: true,
            ..Known::default()
        }
    }

    /// Returns what an ingredient line may call it, and what it is weighed by.
    pub(crate) fn own(&self) -> Own {
        Own {
            name: self.component.name.clone(),
            cooked: true,
            row: None,
            yield_milli_percent: WHOLE_YIELD,
            measures: self.measures.masses(),
            given: self.measures.given(),
            pack: None,
        }
    }
}

/// Everything a line may name, with what is needed to weigh it.
#[derive(Clone, Copy)]
pub(crate) struct Pantry<'a> {
    pub(crate) food_roll: &'a Roll<'a>,
    pub(crate) foods: &'a [FoodDraft],
    pub(crate) component_roll: &'a Roll<'a>,
    pub(crate) components: &'a [ComponentDraft],
}

/// A recipe as read, its form and protein still names.
#[derive(Debug)]
pub(crate) struct RecipeDraft {
    pub(crate) recipe: Recipe,
    pub(crate) form: String,
    pub(crate) protein: Option<String>,
    pub(crate) at: At,
    /// Where each main line's first alternative has its amount.
    pub(crate) amount_at: Vec<At>,
    /// Lines still to be written: no week has it until there are none.
    pub(crate) unfinished: usize,
}
