//! Which candidates of a node the rules on recipes let stand beside a lunch, a bit each.

use super::items::Pairs;
use super::least::{Classes, Room};
use super::pool::Pool;
use super::sieve::BLOCK;

/// A node's candidates by place (cheapest first) and by rank (in item order).
#[derive(Default)]
pub(super) struct Beside {
    /// Rank by item, place and item by rank.
    rank: Vec<u32>,
    place: Vec<u32>,
    items: Vec<u32>,
    /// First rank and the one after the last by recipe; empty for those without candidates.
    ranks: Vec<(u32, u32)>,
    recipes: Vec<u32>,
    /// Words of a set of places, and by class the places of its recipes.
    words: usize,
    classes: Vec<u64>,
    /// Places that may stand beside the lunch looked ahead from.
    allowed: Vec<u64>,
    /// Ranks left.
    left: Vec<u64>,
}

impl Beside {
    /// Books for so many items and recipes.
    pub(super) fn new(items: usize, recipes: usize) -> Self {
        Self {
            rank: vec![0; items],
            ranks: vec![(0, 0); recipes],
            ..Self::default()
        }
    }

    /// Starts a node with its candidates in item order and in order of share.
    pub(super) fn start(
        &mut self,
        items: &[u32],
        order: &[(i64, u32)],
        pairs: &Pairs,
        classes: &Classes,
    ) {
        self.items.clear();
        self.items.extend_from_slice(items);
        for &recipe in &self.recipes {
            self.ranks[recipe as usize] = (0, 0);
        }
        self.recipes.clear();
        for (rank, &item) in (0u32..).zip(items) {
            self.rank[item as usize] = rank;
            let recipe = pairs.recipe[item as usize];
            let ranks = &mut self.ranks[recipe as usize];
            if ranks.1 == 0 {
                *ranks = (rank, rank);
                self.recipes.push(recipe);
            }
            ranks.1 = rank + 1;
        }
        self.place.resize(items.len(), 0);
        for (place, &(_, item)) in (0u32..).zip(order) {
            self.place[self.rank[item as usize] as usize] = place;
        }
        self.words = items.len().div_ceil(BLOCK);
        self.left.clear();
        self.left.resize(self.words, 0);
        self.classes.clear();
        self.classes.resize(self.words * classes.count(), 0);
        for &recipe in &self.recipes {
            let (from, to) = self.ranks[recipe as usize];
            for class in classes.of(recipe) {
                let places = &mut self.classes[class * self.words..(class + 1) * self.words];
                for &place in &self.place[from as usize..to as usize] {
                    places[place as usize / BLOCK] |= 1 << (place as usize % BLOCK);
                }
            }
        }
    }

    /// Allows the places from `from` on that may stand beside `recipe`: itself if it may
    /// come `again`, none too much like it, and of its classes as `room` is left after it.
    pub(super) fn allow(
        &mut self,
        recipe: u32,
        from: usize,
        again: bool,
        pool: &Pool,
        classes: &Classes,
        room: &Room,
    ) {
        self.allowed.clear();
        self.allowed.resize(from / BLOCK, 0);
        self.allowed.resize(self.words, u64::MAX);
        let none: [u32; 0] = [];
        if let Some(first) = self.allowed.get_mut(from / BLOCK) {
            *first <<= from % BLOCK;
        }
        let last = self.items.len() % BLOCK;
        if last > 0
            && let Some(end) = self.allowed.last_mut()
        {
            *end &= u64::MAX >> (BLOCK - last);
        }
        for class in classes.of(recipe) {
            if room.of(class) == 0 {
                let places = &self.classes[class * self.words..(class + 1) * self.words];
                for (allowed, places) in self.allowed.iter_mut().zip(places) {
                    *allowed &= !places;
                }
            }
        }
        let own = if again { &none[..] } else { &[recipe][..] };
        for &other in pool.alike(recipe).iter().chain(own) {
            let (from, to) = self.ranks[other as usize];
            for &place in &self.place[from as usize..to as usize] {
                self.allowed[place as usize / BLOCK] &= !(1 << (place as usize % BLOCK));
            }
        }
    }

    /// Recipes that have candidates.
    pub(super) fn recipes(&self) -> usize {
        self.recipes.len()
    }

    /// Place of a rank.
    pub(super) fn place(&self, rank: usize) -> usize {
        self.place[rank] as usize
    }

    /// Places of a block that are allowed.
    pub(super) fn allowed(&self, block: usize) -> u64 {
        self.allowed[block]
    }

    /// Notes that an item is left.
    pub(super) fn leave(&mut self, item: u32) {
        let rank = self.rank[item as usize] as usize;
        self.left[rank / BLOCK] |= 1 << (rank % BLOCK);
    }

    /// Moves what is left to `left`, in item order.
    pub(super) fn list(&mut self, left: &mut Vec<u32>) {
        for (word, bits) in self.left.iter_mut().enumerate() {
            while *bits != 0 {
                let rank = word * BLOCK + bits.trailing_zeros() as usize;
                left.push(self.items[rank]);
                *bits &= *bits - 1;
            }
        }
    }
}
