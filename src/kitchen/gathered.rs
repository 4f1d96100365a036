//! Gathers faults by kind: the first of each kind are kept in full, then places, then a count.
//!
//! Of one kind are faults whose messages differ only in what they quote, in figures and in places:
//! "there is no food `x`". Memory is a few bytes a fault, whatever it says; what to write instead
//! is worked out only for those that are told, once it is known which these are
//! (`fault::read_through`).

use super::place::At;
use super::spelling::Allowance;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::hash::{DefaultHasher, Hash, Hasher};

/// Most faults of one kind that are told in full.
const EACH: usize = 5;
/// Most places told of further ones.
const PLACES: usize = 10;
/// Most kinds kept apart; there are not so many but where hostile names make them look so. What is
/// beyond is only counted.
const KINDS: usize = 500;

/// What to write instead: at hand, or worked out only for a fault that is told.
pub(crate) enum Help<'a> {
    /// These words.
    Said(String),
    /// The words this returns, which may look for near names.
    Later(Box<dyn FnOnce(&mut Allowance) -> String + 'a>),
}

impl From<String> for Help<'_> {
    fn from(words: String) -> Self {
        Self::Said(words)
    }
}

impl From<&str> for Help<'_> {
    fn from(words: &str) -> Self {
        Self::Said(words.to_owned())
    }
}

/// Returns help that costs time to work out: of thousands of faults only those that are told ask,
/// on a second reading.
pub(crate) fn later<'a>(words: impl FnOnce(&mut Allowance) -> String + 'a) -> Help<'a> {
    Help::Later(Box::new(words))
}

/// Faults, or warnings, of one reading.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    kinds: Vec<Kind>,
    /// Where each kind stands in the list.
    places: HashMap<u64, usize>,
    /// Place and message of each fault, as a number of 64 bits.
    seen: HashSet<u64>,
    noted: usize,
}

#[derive(Debug, Default)]
struct Kind {
    count: usize,
    /// The first in file order, with what to write instead if that is at hand.
    first: BTreeMap<(At, String), Option<String>>,
    /// The first places in file order.
    places: BTreeSet<At>,
}

/// A fault to be told in full.
pub(super) struct Told {
    pub(super) at: At,
    pub(super) what: String,
    /// What to write instead; none: it has to be worked out.
    pub(super) help: Option<String>,
    /// Further ones of the kind, and the first places of them.
    pub(super) more: usize,
    pub(super) places: Vec<At>,
}

/// Keys of this hasher are fixed, so that every run gathers alike.
fn hashed(value: &impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    value.hash(&mut hasher);
    hasher.finish()
}

/// Returns what a fault is told apart by.
pub(super) fn mark(at: At, what: &str) -> u64 {
    hashed(&(at, what))
}

/// The kind of a message: its words outside quotes, less those with figures (numbers and places).
fn kind(what: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    for part in what.split('`').step_by(2) {
        for word in part.split_whitespace() {
            if !word.contains(|c: char| c.is_ascii_digit()) {
                word.hash(&mut hasher);
            }
        }
    }
    hasher.finish()
}

impl Gathered {
    /// Returns a list that holds nothing and goes on counting.
    pub(super) fn onward(&self) -> Self {
        Self {
            noted: self.noted,
            ..Self::default()
        }
    }

    /// Counts a fault that is known.
    pub(super) fn note_known(&mut self) {
        self.noted += 1;
    }

    /// Notes a fault, unless the same stands there already.
    pub(super) fn note(&mut self, at: At, what: String, help: Help) {
        self.noted += 1;
        if !self.seen.insert(mark(at, &what)) {
            return;
        }
        let next = self.kinds.len();
        let index = match self.places.get(&kind(&what)) {
            Some(&index) => index,
            None if next < KINDS => {
                self.places.insert(kind(&what), next);
                self.kinds.push(Kind::default());
                next
            }
            None => return,
        };
        let kind = &mut self.kinds[index];
        kind.count += 1;
        keep_first(&mut kind.places, at, EACH + PLACES);
        let late = kind.first.len() == EACH
            && (kind.first.last_key_value())
                .is_some_and(|(last, _)| (at, &what) > (last.0, &last.1));
        if !late {
            let help = match help {
                Help::Said(words) => Some(words),
                Help::Later(_) => None,
            };
            kind.first.insert((at, what), help);
            if kind.first.len() > EACH {
                kind.first.pop_last();
            }
        }
    }

    /// Returns how often a fault was noted; it only rises.
    pub(super) fn noted(&self) -> usize {
        self.noted
    }

    /// Returns how many there are, none counted twice.
    pub(super) fn count(&self) -> usize {
        self.seen.len()
    }

    /// Returns at most `most` to be told, in file order. Of every kind the first comes before the
    /// second of any; the last told of a kind speaks for the rest of it.
    pub(super) fn told(self, most: usize) -> Vec<Told> {
        let mut chosen: Vec<(usize, At, String, usize, Option<String>)> = Vec::new();
        let mut kinds = Vec::with_capacity(self.kinds.len());
        for (index, kind) in self.kinds.into_iter().enumerate() {
            for (rank, ((at, what), help)) in kind.first.into_iter().enumerate() {
                chosen.push((rank, at, what, index, help));
            }
            kinds.push((kind.count, kind.places));
        }
        chosen.sort_unstable();
        chosen.truncate(most);
        chosen.sort_unstable_by(|a, b| (a.1, &a.2).cmp(&(b.1, &b.2)));
        let mut told: Vec<Told> = Vec::with_capacity(chosen.len());
        let mut last: HashMap<usize, usize> = HashMap::new();
        for (_, at, what, index, help) in chosen {
            kinds[index].0 -= 1;
            kinds[index].1.remove(&at);
            last.insert(index, told.len());
            told.push(Told {
                at,
                what,
                help,
                more: 0,
                places: Vec::new(),
            });
        }
        for (index, (count, places)) in kinds.into_iter().enumerate() {
            if let Some(&last) = last.get(&index)
                && count > 0
            {
                told[last].more = count;
                told[last].places = places.into_iter().take(PLACES).collect();
            }
        }
        told
    }
}

fn keep_first<T: Ord>(set: &mut BTreeSet<T>, value: T, most: usize) {
    if set.len() < most || set.last().is_some_and(|last| value < *last) {
        set.insert(value);
        if set.len() > most {
            set.pop_last();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(line: u32) -> At {
        At {
            line,
            start: line * 10,
            ..At::default()
        }
    }

    fn note(gathered: &mut Gathered, line: u32, what: &str) {
        let what = what.to_owned();
        gathered.note(at(line), what, "mend it".into());
    }

    #[test]
    fn a_few_of_a_kind_are_all_told() {
        let mut gathered = Gathered::default();
        for line in [4, 2, 5, 1, 3] {
            note(&mut gathered, line, &format!("there is no food `f{line}`"));
        }
        let told = gathered.told(100);
        let lines: Vec<u32> = told.iter().map(|told| told.at.line).collect();
        assert_eq!(lines, [1, 2, 3, 4, 5]);
        assert!(told.iter().all(|told| told.more == 0));
    }

    #[test]
    fn of_many_of_a_kind_the_first_are_told_and_the_rest_counted() {
        let mut gathered = Gathered::default();
        // In any order, some twice: 1000 different ones.
        for line in (1..=1000).rev().chain(400..500) {
            note(&mut gathered, line, &format!("there is no food `{line}`"));
        }
        note(&mut gathered, 7, "`price` is empty");
        assert_eq!((gathered.noted(), gathered.count()), (1101, 1001));
        let told = gathered.told(100);
        let lines: Vec<u32> = told.iter().map(|told| told.at.line).collect();
        assert_eq!(lines, [1, 2, 3, 4, 5, 7]);
        assert_eq!(told[4].more, 995);
        let places: Vec<u32> = told[4].places.iter().map(|at| at.line).collect();
        assert_eq!(places, [6, 7, 8, 9, 10, 11, 12, 13, 14, 15]);
        assert_eq!((told[5].more, told[3].more), (0, 0));
    }

    #[test]
    fn where_not_all_kinds_find_room_each_is_told_once_before_any_twice() {
        let mut gathered = Gathered::default();
        for line in 0..40 {
            let word = char::from(b'a' + (line % 8) as u8);
            note(&mut gathered, line, &format!("wrong in the way of {word}"));
        }
        let told = gathered.told(10);
        assert_eq!(told.len(), 10);
        let lines: Vec<u32> = told.iter().map(|told| told.at.line).collect();
        assert_eq!(lines, [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
        let all: usize = told.iter().map(|told| 1 + told.more).sum();
        assert_eq!(all, 40);
        // The second one told of a kind speaks for the other three, the only one for four.
        assert_eq!((told[8].more, told[0].more, told[2].more), (3, 0, 4));
    }

    #[test]
    fn kinds_without_end_are_counted() {
        let mut gathered = Gathered::default();
        for line in 0..10_000 {
            let word: String = (0..5)
                .map(|at| char::from(b'a' + ((line >> (3 * at)) & 7) as u8))
                .collect();
            note(&mut gathered, line, &format!("odd `quotes` {word}"));
        }
        assert_eq!(gathered.count(), 10_000);
        assert_eq!(gathered.told(100).len(), 100);
    }
}
