//! Patterns of words by which a food is told to be of a kind.

use std::collections::HashMap;

use super::search::words;

/// Words that must stand in a food's name, and words that must not.
#[derive(Clone, Debug)]
struct Pattern {
    /// Of each of these one word must stand there.
    wanted: Vec<Vec<String>>,
    unwanted: Vec<String>,
}

impl Pattern {
    /// Reads words parted by spaces, all of them needed; `/` between words of which one is enough;
    /// `-` before a word that must not stand there.
    fn read(text: &str) -> Option<Self> {
        let one = |word: &str| words(word).pop();
        let (unwanted, wanted): (Vec<&str>, Vec<&str>) =
            text.split(' ').partition(|w| w.starts_with('-'));
        let wanted: Vec<Vec<String>> = wanted
            .iter()
            .map(|choice| choice.split('/').map(one).collect())
            .collect::<Option<_>>()?;
        let unwanted = unwanted.iter().map(|word| one(&word[1..]));
        let unwanted = unwanted.collect::<Option<_>>()?;
        (!wanted.is_empty()).then_some(Self { wanted, unwanted })
    }

    fn fits(&self, said: &[String]) -> bool {
        let stands = |word: &String| said.contains(word);
        self.wanted.iter().all(|choice| choice.iter().any(stands))
            && !self.unwanted.iter().any(stands)
    }
}

/// Things told by patterns, in the order of a file.
#[derive(Debug)]
pub(super) struct Told<T> {
    list: Vec<(Pattern, T)>,
    /// Places in the list of each word that a pattern asks for first.
    first: HashMap<String, Vec<usize>>,
}

impl<T> Told<T> {
    /// Returns nothing if a pattern cannot be read.
    pub(super) fn new(entries: Vec<(&str, T)>) -> Option<Self> {
        let list: Vec<(Pattern, T)> = entries
            .into_iter()
            .map(|(text, thing)| Some((Pattern::read(text)?, thing)))
            .collect::<Option<_>>()?;
        let mut first: HashMap<String, Vec<usize>> = HashMap::new();
        for (at, (pattern, _)) in list.iter().enumerate() {
            for word in &pattern.wanted[0] {
                first.entry(word.clone()).or_default().push(at);
            }
        }
        Some(Self { list, first })
    }

    /// Returns all things whose patterns a text fits, in order.
    pub(super) fn all(&self, text: &str) -> impl Iterator<Item = &T> + use<'_, T> {
        let said = words(text);
        let mut places: Vec<usize> = said
            .iter()
            .filter_map(|word| self.first.get(word))
            .flatten()
            .copied()
            .collect();
        places.sort_unstable();
        places.dedup();
        places.into_iter().filter_map(move |at| {
            let (pattern, thing) = &self.list[at];
            pattern.fits(&said).then_some(thing)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_words_one_of_a_choice_and_none_unwanted() {
        let told = Told::new(vec![
            ("bean black/white -soup", 1),
            ("bean", 2),
            ("soup", 3),
        ]);
        let told = told.expect("patterns");
        let all = |text| told.all(text).copied().collect::<Vec<i32>>();
        assert_eq!(all("Black beans"), [1, 2]);
        assert_eq!(all("beans, green"), [2]);
        assert_eq!(all("white bean soup"), [2, 3]);
        assert_eq!(all(""), [0_i32; 0]);
        assert!(Told::new(vec![("-soup", 1)]).is_none());
        assert!(Told::new(vec![("bean /", 1)]).is_none());
    }
}
