//! Turns kitchen names into names of columns and rows that every text format can hold.
//!
//! A name becomes lower-case letters, digits and underscores, at most 40 of them, and
//! keeps its place in the list where that is needed to tell it from another.

use std::collections::{BTreeMap, BTreeSet};

/// Longest slug; with days and prefixes a name stays far below the 255 characters that
/// the narrowest format allows.
const LONGEST: usize = 40;

/// Returns one slug per name, all different.
pub(super) fn slugs<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let plain: Vec<String> = names.map(slug).collect();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for name in &plain {
        *seen.entry(name).or_default() += 1;
    }
    let short: Vec<String> = plain
        .iter()
        .enumerate()
        .map(|(index, name)| {
            if name.is_empty() {
                format!("n{index}")
            } else if seen[name.as_str()] > 1 {
                format!("{name}_n{index}")
            } else {
                name.clone()
            }
        })
        .collect();
    if short.iter().collect::<BTreeSet<_>>().len() == short.len() {
        return short;
    }
    // A kitchen that names a food `peas n0`: number them all.
    let numbered = plain.iter().enumerate();
    numbered.map(|(i, name)| format!("{name}_n{i}")).collect()
}

fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars() {
        if letter.is_ascii_alphanumeric() {
            slug.push(letter.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('_') {
            slug.push('_');
        }
        if slug.len() == LONGEST {
            break;
        }
    }
    slug.trim_end_matches('_').to_owned()
}

#[cfg(test)]
mod tests {
    use super::slugs;

    #[test]
    fn names_that_would_look_alike_are_told_apart() {
        let names = ["Miso soup", "miso  soup!", "Lentils", "¡!"];
        assert_eq!(
            slugs(names.into_iter()),
            ["miso_soup_n0", "miso_soup_n1", "lentils", "n3"]
        );
    }
}
