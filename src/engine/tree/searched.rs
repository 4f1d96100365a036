//! What a search, or a task of it, is given and ends with.

use crate::engine::bound::verdict::{Origin, Verdicts};
use crate::engine::leaf::found::Found;
use crate::engine::model::sums::least_of;
use crate::engine::stage::MOST_LISTED;
use std::collections::HashSet;

/// What a search ends with.
#[derive(Default)]
pub(in crate::engine) struct Searched {
    pub(in crate::engine) best: Option<Found>,
    /// Least bound of what was not searched, if it was stopped.
    pub(in crate::engine) open_bound: Option<i64>,
    pub(in crate::engine) nodes: u64,
    /// Why parts were closed, and where incumbents came from; that of the best one.
    pub(in crate::engine) verdicts: Verdicts,
    pub(in crate::engine) origin: Option<Origin>,
    /// Candidates looked at.
    pub(in crate::engine) work: u64,
    pub(in crate::engine) leaves: u64,
    /// Floors and sets of lunches, where they are listed.
    pub(in crate::engine) listed: Vec<(i64, Vec<u32>)>,
    /// Sets whose lunches might be divided to advantage, and the least floor of such a week.
    pub(in crate::engine) undivided: Vec<(i64, Vec<u32>)>,
    /// Those asked about already: no better week is left in them, or they are open.
    pub(in crate::engine) divided: HashSet<Vec<u32>>,
    /// Work on programs for dividing them.
    pub(in crate::engine) dividing: u64,
}

impl Searched {
    /// Adds what a task found; of two weeks the one that comes first in the total order.
    pub(in crate::engine) fn merge(&mut self, mut other: Self) {
        if self.listed.len() < MOST_LISTED {
            self.listed.append(&mut other.listed);
        }
        self.verdicts.add(&other.verdicts);
        self.nodes += other.nodes;
        self.work += other.work;
        self.leaves += other.leaves;
        self.open_bound = least_of(self.open_bound, other.open_bound);
        if let Some(found) = other.best
            && self
                .best
                .as_ref()
                .is_none_or(|best| found.key() < best.key())
        {
            self.best = Some(found);
            self.origin = other.origin;
        }
        self.undivided.append(&mut other.undivided);
        if let Some(best) = &self.best {
            let below = best.score.objective;
            self.undivided.retain(|&(floor, _)| floor < below);
        }
    }
}

/// A partial week to search below.
#[derive(Clone)]
pub(in crate::engine) struct Task {
    pub(in crate::engine) chosen: Vec<u32>,
    /// In item order.
    pub(in crate::engine) candidates: Candidates,
    pub(in crate::engine) bound: i64,
}

/// Items in rising order: a list, or where that takes more room a bit each. The first
/// choices of ten thousand recipes would fill memory otherwise.
#[derive(Clone)]
pub(in crate::engine) enum Candidates {
    List(Vec<u32>),
    Bits(Vec<u64>),
}

impl Candidates {
    pub(in crate::engine) fn new(list: &[u32]) -> Self {
        let top = list.last().map_or(0, |&item| item as usize);
        if list.len() * 32 <= top {
            return Self::List(list.to_vec());
        }
        let mut bits = vec![0; top / 64 + 1];
        for &item in list {
            bits[item as usize / 64] |= 1 << (item % 64);
        }
        Self::Bits(bits)
    }

    pub(in crate::engine) fn len(&self) -> usize {
        match self {
            Self::List(list) => list.len(),
            Self::Bits(bits) => bits.iter().map(|word| word.count_ones() as usize).sum(),
        }
    }

    pub(in crate::engine) fn list(&self) -> Vec<u32> {
        match self {
            Self::List(list) => list.clone(),
            Self::Bits(bits) => {
                let mut list = Vec::new();
                for (&word, from) in bits.iter().zip((0u32..).step_by(64)) {
                    let mut word = word;
                    while word != 0 {
                        list.push(from + word.trailing_zeros());
                        word &= word - 1;
                    }
                }
                list
            }
        }
    }
}
