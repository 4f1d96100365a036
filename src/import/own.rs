//! What a kitchen calls its foods and components, so that a line is read with its names first.

use std::collections::HashMap;

use super::classes::words;
use crate::table::Row;

/// A food or component of the kitchen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Own {
    /// Its name.
    pub name: String,
    /// It is a component, not a food.
    pub cooked: bool,
    /// Its row of the food table, if it names one.
    pub row: Option<&'static Row>,
    /// Edible share of what is bought, in thousandths of a percent.
    pub yield_milli_percent: i64,
    /// Its measures with those of its row: name, and edible milligrams of one.
    pub measures: Vec<(String, i64)>,
    /// Names of the measures that are the kitchen's alone.
    pub given: Vec<String>,
    /// What its first pack is called, edible milligrams of a unit, and units in it.
    pub pack: Option<(String, i64, i64)>,
}

/// The foods and components of a kitchen.
#[derive(Clone, Debug, Default)]
pub struct Kitchen {
    all: Vec<Own>,
    /// Words of each name.
    words: Vec<Vec<String>>,
    by_word: HashMap<String, Vec<usize>>,
    by_row: HashMap<&'static str, Vec<usize>>,
}

impl Kitchen {
    /// Makes them ready to be looked up.
    pub fn new(all: Vec<Own>) -> Self {
        let mut kitchen = Self::default();
        for (at, own) in all.iter().enumerate() {
            let mut words = words(&own.name);
            words.sort_unstable();
            words.dedup();
            for word in &words {
                kitchen.by_word.entry(word.clone()).or_default().push(at);
            }
            kitchen.words.push(words);
            if let Some(row) = own.row {
                kitchen.by_row.entry(row.number).or_default().push(at);
            }
        }
        kitchen.all = all;
        kitchen
    }

    /// Returns one of them.
    pub(super) fn get(&self, at: usize) -> &Own {
        &self.all[at]
    }

    /// Returns those whose names stand among these words, with how many words they have; the
    /// longest alone.
    pub(super) fn covered(&self, said: &[String]) -> Vec<usize> {
        let mut hits: Vec<usize> = said
            .iter()
            .filter_map(|word| self.by_word.get(word))
            .flatten()
            .copied()
            .collect();
        hits.sort_unstable();
        hits.dedup();
        hits.retain(|&at| self.words[at].iter().all(|word| said.contains(word)));
        hits
    }

    /// Returns the words of a name.
    pub(super) fn words_of(&self, at: usize) -> &[String] {
        &self.words[at]
    }

    /// Returns the foods that name this row; else, if there is but one, the one that names a row
    /// of the same figures.
    pub(super) fn of_row(&self, row: &Row) -> Vec<usize> {
        if let Some(found) = self.by_row.get(row.number) {
            return found.clone();
        }
        let figures = |number: &str| number.get(..5).unwrap_or("").to_owned();
        let wanted = figures(row.number);
        let alike = self
            .by_row
            .iter()
            .filter(|(number, _)| figures(number) == wanted);
        let mut alike: Vec<usize> = alike.flat_map(|(_, found)| found).copied().collect();
        alike.sort_unstable();
        match alike.as_slice() {
            [_] => alike,
            _ => Vec::new(),
        }
    }

    /// Returns the component called as this food is, cooked.
    pub(super) fn cooked(&self, food: usize, how: &str) -> Option<usize> {
        let mut wanted = self.words[food].clone();
        wanted.push(how.to_owned());
        wanted.sort_unstable();
        let mut places = 0..self.all.len();
        places.find(|&at| self.all[at].cooked && self.words[at] == wanted)
    }
}
