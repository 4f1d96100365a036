//! Turns what a step says into what is done this week: where it names what a line was first written
//! with and another was taken, it names that; and which step each ingredient goes into, so that
//! amounts can stand where they are needed.
//!
//! Words are compared without their plural ending. A word alone means an ingredient only where it is
//! in no other name of the recipe: what is not certain stays as the kitchen wrote it.

use std::ops::Range;

/// Fewest letters of a word that may mean a thing by itself.
const LETTERS: usize = 3;

/// A word without case and plural.
fn stem(word: &str) -> String {
    let word = word.to_lowercase();
    let stem = match word.strip_suffix("es") {
        Some(stem)
            if ["ch", "sh", "x", "o", "s"]
                .iter()
                .any(|end| stem.ends_with(end)) =>
        {
            stem
        }
        _ => match word.strip_suffix('s') {
            Some(stem) if !stem.ends_with('s') => stem,
            _ => word.as_str(),
        },
    };
    stem.to_owned()
}

/// Where the words of a text stand, and their stems.
fn words(text: &str) -> Vec<(Range<usize>, String)> {
    let mut all = Vec::new();
    let mut begun = None;
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        match (c.is_alphanumeric() || c == '\'' || c == '-', begun) {
            (true, None) => begun = Some(at),
            (false, Some(start)) => {
                all.push((start..at, stem(&text[start..at])));
                begun = None;
            }
            _ => {}
        }
    }
    all
}

fn stems(name: &str) -> Vec<String> {
    words(name).into_iter().map(|word| word.1).collect()
}

/// Returns where a text speaks of `name`: by all of it, else by one of its words that none of `others`
/// has, the last ones first.
pub(crate) fn mention(text: &str, name: &str, others: &[&str]) -> Option<Range<usize>> {
    let said = words(text);
    let wanted = stems(name);
    if wanted.is_empty() {
        return None;
    }
    let whole = said.windows(wanted.len()).find(|part| {
        let part = part.iter().map(|word| &word.1);
        part.eq(wanted.iter())
    });
    if let Some(part) = whole {
        return Some(part.first()?.0.start..part.last()?.0.end);
    }
    let taken: Vec<String> = others.iter().flat_map(|other| stems(other)).collect();
    let own = wanted
        .iter()
        .rev()
        .filter(|word| word.chars().count() >= LETTERS && !taken.contains(word));
    let mut found = own.filter_map(|word| said.iter().find(|one| one.1 == *word));
    found.next().map(|word| word.0.clone())
}

/// Returns the text with what was taken in the place of what a line was first written with; `pairs`
/// are first and taken, `all` every name that is taken.
pub(super) fn chosen(text: &str, pairs: &[(&str, &str)], all: &[&str]) -> String {
    let mut text = text.to_owned();
    for (first, taken) in pairs {
        // The last word of a name says what it is; those before it only of which kind.
        let whole = mention(&text, first, &[first]);
        let head = stems(first).pop();
        let alone = || {
            let head = head.filter(|word| word.chars().count() >= LETTERS)?;
            if all.iter().any(|name| stems(name).contains(&head)) {
                return None;
            }
            let mut said = words(&text).into_iter();
            said.find(|word| word.1 == head).map(|word| word.0)
        };
        let Some(place) = whole.or_else(alone) else {
            continue;
        };
        if let Some((cut, rest)) = either(&text, &place, taken) {
            text.replace_range(cut, &rest);
        } else {
            text.replace_range(place, taken);
        }
    }
    text
}

/// Where a text leaves the choice ("the apple or carrot"): the whole of it, and the part that was taken.
fn either(text: &str, place: &Range<usize>, taken: &str) -> Option<(Range<usize>, String)> {
    const OR: &str = " or ";
    let after = &text[place.end..];
    if let Some(rest) = after.strip_prefix(OR) {
        let there = mention(rest, taken, &[])?;
        let start = place.end + OR.len();
        return (there.start == 0)
            .then(|| (place.start..start + there.end, rest[there].to_owned()));
    }
    let before = text[..place.start].strip_suffix(OR)?;
    let there = mention(before, taken, &[])?;
    (there.end == before.len()).then(|| (there.start..place.end, before[there].to_owned()))
}

/// Returns for each ingredient the step it goes into: `about` is what each step is done to. What no
/// step names goes into the first that speaks of everything, else into the first that is not about a
/// single thing, else into the first; whether the step names it stands beside.
pub(super) fn places(steps: &[(&str, Option<&str>)], names: &[&str]) -> Vec<(usize, bool)> {
    let all = steps.iter().position(|(text, _)| {
        words(text)
            .iter()
            .any(|word| ["all", "everything"].contains(&word.1.as_str()))
    });
    let rest = all
        .or_else(|| steps.iter().position(|step| step.1.is_none()))
        .unwrap_or(0);
    names
        .iter()
        .enumerate()
        .map(|(at, name)| {
            let others: Vec<&str> = (names.iter().enumerate())
                .filter(|(other, _)| *other != at)
                .map(|(_, other)| *other)
                .collect();
            let about = steps.iter().position(|step| step.1 == Some(name));
            about
                .or_else(|| {
                    let said = |step: &(&str, Option<&str>)| mention(step.0, name, &others);
                    steps.iter().position(|step| said(step).is_some())
                })
                .map_or((rest, false), |at| (at, true))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    //! The truth: sentences written by hand.
    use super::*;

    #[test]
    fn a_step_names_what_was_taken() {
        let said = |text: &str, first: &str, taken: &str, all: &[&str]| {
            chosen(text, &[(first, taken)], all)
        };
        assert_eq!(
            said("Grate the cucumbers.", "cucumber", "carrots", &["carrots"]),
            "Grate the carrots."
        );
        assert_eq!(
            said(
                "Thin tofu and the apple or carrot between.",
                "apples",
                "carrots",
                &["carrots"]
            ),
            "Thin tofu and the carrot between."
        );
        assert_eq!(
            said(
                "Carrot or apple between.",
                "apples",
                "carrots",
                &["carrots"]
            ),
            "Carrot between."
        );
        // Beans may be the white ones.
        assert_eq!(
            said(
                "Beans below.",
                "green beans",
                "carrots",
                &["carrots", "white beans"]
            ),
            "Beans below."
        );
        // Both are rice.
        assert_eq!(
            said("Rice below.", "white rice", "brown rice", &["brown rice"]),
            "Rice below."
        );
        assert_eq!(
            said(
                "Shred the Chinese cabbage.",
                "Chinese cabbage",
                "red cabbage",
                &["red cabbage"]
            ),
            "Shred the red cabbage."
        );
        assert_eq!(said("Stir pears.", "pear", "fig", &["fig"]), "Stir fig.");
    }

    #[test]
    fn each_ingredient_goes_where_it_is_named() {
        let steps = [
            ("Chop the yellow onions.", Some("yellow onions")),
            (
                "Soften the onion in the oil, add peas, thyme and water.",
                None,
            ),
            ("Add potatoes and salt.", None),
            ("Finish with the vinegar.", None),
        ];
        let names = [
            "yellow onions",
            "canola oil",
            "split peas",
            "dried thyme",
            "tap water",
            "potatoes",
            "coarse salt",
            "cider vinegar",
            "bay",
        ];
        let at: Vec<usize> = places(&steps, &names).iter().map(|place| place.0).collect();
        assert_eq!(at, [0, 1, 1, 1, 1, 2, 2, 3, 1]);
        let whisk = [
            ("Grate garlic.", Some("garlic")),
            ("Whisk everything.", None),
        ];
        assert_eq!(places(&whisk, &["oil"]), [(1, false)]);
        // Two oils: the word alone says nothing.
        assert_eq!(mention("In the oil.", "olive oil", &["canola oil"]), None);
    }
}
