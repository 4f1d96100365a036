//! How names are compared: folded to one spelling, or nearly the same.

use super::wording::either;
use crate::unicode;
use std::borrow::Borrow;

/// Folds a name for comparison: small letters, however their accents are put together, single
/// spaces.
pub(crate) fn fold(name: &str) -> String {
    let small = unicode::small(name);
    let wide = |c: char| c != ' ' && c.is_whitespace();
    if small.contains("  ") || small.contains(wide) {
        return small.split_whitespace().collect::<Vec<_>>().join(" ");
    }
    small.trim().to_owned()
}

/// Returns why two names that are written differently are one, for messages.
pub(crate) fn why_one(one: &str, other: &str) -> &'static str {
    let plain = |name: &str| name.to_lowercase().split_whitespace().collect::<String>();
    if one == other {
        ""
    } else if plain(one) == plain(other) {
        " (capitals make no difference)"
    } else {
        " (how accents are put together makes no difference)"
    }
}

/// Least score of a whole name that is near, thousandths; words of longer names stay below.
const WHOLE: u32 = 600;

/// The same as a share.
const NEAR: f64 = 0.6;

/// Least score of a word of a longer name.
const NEAR_WORD: f64 = 0.75;

/// Longest name, in characters, that is looked for; what is longer is no slip of the finger.
const LONGEST: usize = 80;

/// Work that may still be spent on near names, in letters looked at: one takes a nanosecond or
/// two. It is counted and not timed, so that every machine gives up at the same name: past it none
/// are offered. Only for faults that are told are names looked for, so that it is enough for the
/// largest kitchens.
#[derive(Clone, Debug)]
pub(crate) struct Allowance {
    left: u64,
}

impl Default for Allowance {
    fn default() -> Self {
        Self { left: 500_000_000 }
    }
}

impl Allowance {
    /// Spends work; `false` once there is none left.
    fn spend(&mut self, letters: usize) -> bool {
        self.left = self.left.saturating_sub(letters as u64);
        self.left > 0
    }
}

/// How often each letter stands in a word, letters of equal remainder together.
type Letters = [u8; 32];

fn letters(word: &str) -> Letters {
    let mut counts = [0; 32];
    for c in word.chars() {
        let slot: &mut u8 = &mut counts[c as usize % 32];
        *slot = slot.saturating_add(1);
    }
    counts
}

/// Returns how many letters of the one the other lacks, the larger count of the two: no fewer
/// slips lead from one to the other, as each adds, drops or changes one letter or swaps two.
fn lacking(one: &Letters, other: &Letters) -> usize {
    let (mut here, mut there) = (0, 0);
    for (&a, &b) in one.iter().zip(other) {
        here += usize::from(a.saturating_sub(b));
        there += usize::from(b.saturating_sub(a));
    }
    here.max(there)
}

/// Bit `i`: whether the letter stands at place `i` of a word.
type Places = u128;

/// A word that others are compared with, of at most as many letters as [`Places`] has bits.
struct Wanted {
    length: usize,
    letters: Letters,
    /// Where each letter stands, by letter.
    places: Vec<(char, Places)>,
    /// The same for letters of ASCII.
    ascii: Box<[Places; 128]>,
}

const _: () = assert!(LONGEST <= Places::BITS as usize);

impl Wanted {
    /// Makes a word ready; none if it is too long.
    fn new(text: &str) -> Option<Self> {
        let length = text.chars().take(LONGEST + 1).count();
        if length > LONGEST {
            return None;
        }
        let mut ascii = Box::new([0; 128]);
        let mut places: Vec<(char, Places)> = Vec::new();
        for (at, c) in text.chars().enumerate() {
            let bit = 1 << at;
            match ascii.get_mut(c as usize) {
                Some(place) => *place |= bit,
                None => match places.binary_search_by_key(&c, |place| place.0) {
                    Ok(known) => places[known].1 |= bit,
                    Err(new) => places.insert(new, (c, bit)),
                },
            }
        }
        Some(Self {
            length,
            letters: letters(text),
            places,
            ascii,
        })
    }

    /// Where a letter stands in it.
    fn places(&self, c: char) -> Places {
        self.ascii.get(c as usize).copied().unwrap_or_else(|| {
            let known = self.places.binary_search_by_key(&c, |place| place.0);
            known.map_or(0, |at| self.places[at].1)
        })
    }

    /// Returns the fewest slips that lead to a word: letters added, dropped or changed, or
    /// neighbours swapped, none touched twice. (Optimal string alignment, a column of the table
    /// of distances at once, as differences of neighbours in bits: H. Hyyro, A bit-vector
    /// algorithm for computing Levenshtein and Damerau edit distances, Nordic Journal of
    /// Computing 10, 2003; from memory.)
    fn slips(&self, word: &str) -> usize {
        let Some(top) = self.length.checked_sub(1) else {
            return word.chars().count();
        };
        let last: Places = 1 << top;
        let mut slips = self.length;
        // Where the distance rises by one downwards, falls, and where it is that of the place
        // before in both words.
        let (mut rises, mut falls, mut same): (Places, Places, Places) = (!0, 0, 0);
        let mut before: Places = 0;
        for c in word.chars() {
            let here = self.places(c);
            let swapped = ((!same & here) << 1) & before;
            same = ((here & rises).wrapping_add(rises) ^ rises) | here | falls | swapped;
            let across_rises = falls | !(same | rises);
            let across_falls = same & rises;
            slips += usize::from(across_rises & last != 0);
            slips -= usize::from(across_falls & last != 0);
            let (across_rises, across_falls) = (across_rises << 1 | 1, across_falls << 1);
            rises = across_falls | !(same | across_rises);
            falls = across_rises & same;
            before = here;
        }
        slips
    }

    /// Returns how near a word of `length` letters is, from 0 to 1, if it is at least `least`;
    /// `None` also once the allowance is spent.
    fn score(
        &self,
        word: &str,
        length: usize,
        least: f64,
        allowance: &mut Allowance,
    ) -> Option<f64> {
        let longer = self.length.max(length).max(1);
        let share = |slips: usize| 1.0 - slips as f64 / longer as f64;
        if share(self.length.abs_diff(length)) < least {
            return None;
        }
        if !allowance.spend(length) || share(lacking(&self.letters, &letters(word))) < least {
            return None;
        }
        if !allowance.spend(4 * length) {
            return None;
        }
        Some(share(self.slips(word))).filter(|&score| score >= least)
    }
}

/// A name that others may have been meant for, folded once for all of them.
pub(super) struct Known<'a> {
    name: &'a str,
    pub(super) folded: String,
    /// Characters of the folded name.
    length: usize,
}

impl<'a> Known<'a> {
    pub(super) fn new(name: &'a str) -> Self {
        let folded = fold(name);
        let length = folded.chars().count();
        Self {
            name,
            folded,
            length,
        }
    }
}

/// Returns up to three of `known` that `wanted` may have been meant for, best first; none once the
/// allowance is spent.
pub(crate) fn near<'a>(
    known: impl Iterator<Item = &'a str>,
    wanted: &str,
    allowance: &mut Allowance,
) -> Vec<String> {
    near_known(known.map(Known::new), wanted, allowance)
}

/// The same of names that are folded already.
pub(super) fn near_known<'a>(
    known: impl Iterator<Item = impl Borrow<Known<'a>>>,
    wanted: &str,
    allowance: &mut Allowance,
) -> Vec<String> {
    // Folding may shorten, but not by much: what is far too long is not even folded.
    if wanted.len() > 16 * LONGEST || allowance.left == 0 {
        return Vec::new();
    }
    let folded = fold(wanted);
    let Some(wanted) = Wanted::new(&folded).filter(|wanted| wanted.length > 0) else {
        return Vec::new();
    };
    let mut scored: Vec<(u32, &str)> = Vec::new();
    for known in known {
        let Known {
            name,
            folded: other,
            length,
        } = known.borrow();
        let (name, length) = (*name, *length);
        if !allowance.spend(20 + name.len()) {
            return Vec::new();
        }
        let shorter = wanted.length.min(length);
        let score = if shorter >= 3 && (other.contains(&folded) || folded.contains(other)) {
            // `tofu` is sooner `firm tofu` than a recipe with tofu in its name.
            Some(0.75 + 0.1 * shorter as f64 / wanted.length.max(length) as f64)
        } else {
            wanted.score(other, length, NEAR, allowance)
        };
        // `tofuu` is near no whole name, yet near a word of `firm tofu`.
        let score = match score {
            None if wanted.length >= 4 => by_word(&wanted, other, length, allowance),
            score => score,
        };
        scored.extend(score.map(|score| ((score * 1000.0) as u32, name)));
    }
    if allowance.left == 0 {
        // Some may not have been compared.
        return Vec::new();
    }
    scored.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    scored.dedup_by(|a, b| a.1 == b.1);
    // Where a whole name is near, its words elsewhere are noise.
    let whole = |&(score, _): &(u32, &str)| score >= WHOLE;
    if scored.iter().any(whole) {
        scored.retain(whole);
    }
    scored
        .into_iter()
        .take(3)
        .map(|(_, name)| name.to_owned())
        .collect()
}

/// How near a word of a longer name is: below any whole name that is near.
fn by_word(wanted: &Wanted, name: &str, length: usize, allowance: &mut Allowance) -> Option<f64> {
    let mut near = |word: &str| {
        // Bytes are at least characters.
        if word.len() < 4 || !allowance.spend(word.len()) {
            return false;
        }
        let length = word.chars().count();
        length >= 4
            && length.abs_diff(wanted.length) <= 2
            && wanted.score(word, length, NEAR_WORD, allowance).is_some()
    };
    // A short name is meant sooner than a long one.
    let share = wanted.length as f64 / length.max(1) as f64;
    name.split(' ')
        .any(&mut near)
        .then(|| 0.1 + 0.1 * share.min(1.0))
}

/// Returns "did you mean ...?" of the near ones of `known`, else `otherwise`.
pub(crate) fn meant<'a>(
    known: impl Iterator<Item = &'a str>,
    wanted: &str,
    allowance: &mut Allowance,
    otherwise: impl FnOnce() -> String,
) -> String {
    let near = near(known, wanted, allowance);
    if near.is_empty() {
        otherwise()
    } else {
        format!("did you mean {}?", either(&near))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near_of(known: &[&str], wanted: &str) -> Vec<String> {
        near(known.iter().copied(), wanted, &mut Allowance::default())
    }

    #[test]
    fn a_slip_of_the_finger_finds_the_word_meant() {
        let known = ["chickpeas", "brown rice", "red onion", "onion powder"];
        assert_eq!(near_of(&known, "chikpeas"), ["chickpeas"]);
        assert_eq!(near_of(&known, "Brown  Rice"), ["brown rice"]);
        assert_eq!(near_of(&known, "onion"), ["red onion", "onion powder"]);
        assert!(near_of(&known, "xylophone").is_empty());
    }

    #[test]
    fn a_word_of_a_longer_name_is_near_if_no_whole_name_is() {
        let known = ["firm tofu", "silken tofu", "tofus", "kale", "tomatoes"];
        assert_eq!(near_of(&known, "tofuu"), ["tofus"]);
        let known = ["firm tofu", "silken tofu", "kale", "tomatoes"];
        assert_eq!(near_of(&known, "tofuu"), ["firm tofu", "silken tofu"]);
    }

    /// What is sifted out unmeasured would not have been near: held against the measure itself on
    /// words one to four slips apart, of few letters and of many.
    #[test]
    fn sifting_drops_nothing_that_is_near() {
        let mut dice = 88_172_645_463_325_252_u64;
        let mut roll = |below: u64| {
            dice ^= dice << 13;
            dice ^= dice >> 7;
            dice ^= dice << 17;
            dice % below
        };
        let (mut near, mut far) = (0, 0);
        for round in 0..4_000 {
            let alphabet: Vec<char> = if round % 2 == 0 {
                "abc".chars().collect()
            } else {
                "abcdefghijklmnopqrstuvwxyz äöéпр豆".chars().collect()
            };
            let pick =
                |roll: &mut dyn FnMut(u64) -> u64| alphabet[roll(alphabet.len() as u64) as usize];
            let word: Vec<char> = (0..=roll(14)).map(|_| pick(&mut roll)).collect();
            let mut other = word.clone();
            for _ in 0..=roll(4) {
                let at = roll(other.len() as u64) as usize;
                match roll(4) {
                    0 => other[at] = pick(&mut roll),
                    1 => other.insert(at, pick(&mut roll)),
                    2 if at > 0 => other.swap(at, at - 1),
                    _ if other.len() > 1 => {
                        other.remove(at);
                    }
                    _ => {}
                }
            }
            // Some are longer than a machine word has bits.
            let more = if round % 3 == 0 { 5 } else { 0 };
            let (front, back) = (round % 5 * more, round % 7 * more);
            let long = |word: Vec<char>| {
                let front = alphabet.iter().cycle().take(front as usize);
                let back = alphabet.iter().cycle().take(back as usize);
                front.chain(&word).chain(back).collect::<String>()
            };
            let (word, other) = (long(word), long(other));
            let length = other.chars().count();
            let longer = word.chars().count().max(length);
            let slips = strsim::osa_distance(&word, &other);
            let truth = 1.0 - slips as f64 / longer as f64;
            let wanted = Wanted::new(&word).unwrap();
            assert_eq!(wanted.slips(&other), slips, "{word} {other}");
            let found = wanted.score(&other, length, NEAR, &mut Allowance::default());
            assert_eq!(found, (truth >= NEAR).then_some(truth), "{word} {other}");
            near += usize::from(truth >= NEAR);
            far += usize::from(truth < NEAR);
        }
        assert!(near > 500 && far > 500, "{near} near, {far} far");
    }

    #[test]
    fn looking_for_near_names_ends_after_so_many_letters() {
        let known: Vec<String> = (0..2_000)
            .map(|at| format!("{at:078}").replace('0', "o"))
            .collect();
        let mut allowance = Allowance { left: 50_000_000 };
        let mut looked = 0;
        while allowance.left > 0 {
            let wanted = format!("{looked:078}").replace('0', "x");
            near(known.iter().map(String::as_str), &wanted, &mut allowance);
            looked += 1;
            assert!(looked < 10_000);
        }
        // Spent, it offers nothing, not even what is plain to see.
        assert!(near(["kale"].into_iter(), "kalf", &mut allowance).is_empty());
        assert_eq!(near_of(&["kale"], "kalf"), ["kale"]);
    }
}
