//! Finding a row by number or by what a cook would type.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::{Row, rows};
use crate::unicode;

/// Returns the words of a name in the form they are compared in: lower case, no accents, no
/// punctuation, plurals cut, so that `Firm tofu`, `tofu, firm` and `carrots` / `carrot` meet.
pub fn words(text: &str) -> Vec<String> {
    let plain: String = unicode::small(text).chars().map(unaccented).collect();
    plain
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | '-' | '(' | ')'))
        .filter(|w| !w.is_empty())
        .map(singular)
        .collect()
}

/// The bare letter of the accented ones that food names have.
fn unaccented(letter: char) -> char {
    match letter {
        'á' | 'à' | 'â' | 'ä' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'î' | 'ï' => 'i',
        'ñ' => 'n',
        'ó' | 'ô' | 'ö' => 'o',
        'ú' | 'û' | 'ü' => 'u',
        'ç' => 'c',
        other => other,
    }
}

fn singular(word: &str) -> String {
    if word == "leaves" {
        return "leaf".to_owned();
    }
    match word {
        w if w.ends_with("ies") && w.len() > 4 => format!("{}y", &w[..w.len() - 3]),
        w if ["oes", "shes", "ches"].iter().any(|end| w.ends_with(end)) => {
            w[..w.len() - 2].to_owned()
        }
        w if w.ends_with("ss") || w.len() < 4 => w.to_owned(),
        w => w.strip_suffix('s').unwrap_or(w).to_owned(),
    }
}

/// The words of a name whatever their order.
fn key(text: &str) -> String {
    let mut words = words(text);
    words.sort_unstable();
    words.join(" ")
}

static BY_NAME: LazyLock<HashMap<String, usize>> = LazyLock::new(|| {
    let mut index = HashMap::new();
    for (at, row) in rows().iter().enumerate() {
        for name in names(row) {
            index.entry(key(name)).or_insert(at);
        }
    }
    index
});

/// A row's words in the form they are compared in.
struct Ready {
    row: &'static Row,
    name: Vec<String>,
    alias: Vec<String>,
    group: Vec<String>,
    /// Name, then aliases, each with its key.
    keys: Vec<(String, &'static str)>,
}

static READY: LazyLock<Vec<Ready>> = LazyLock::new(|| {
    let ready = |row: &'static Row| Ready {
        row,
        name: words(row.name),
        alias: row.aliases.iter().flat_map(|a| words(a)).collect(),
        group: words(row.group),
        keys: names(row).map(|name| (key(name), name)).collect(),
    };
    rows().iter().map(ready).collect()
});

/// Most words that are looked for; no name has so many.
const MOST_WORDS: usize = 50;
/// Most characters of a name that near ones are looked for.
const LONGEST: usize = 120;

fn names(row: &Row) -> impl Iterator<Item = &'static str> + '_ {
    std::iter::once(row.name).chain(row.aliases.iter().copied())
}

/// Returns the row of this number, name or alias. Case, commas, word order and plurals are
/// forgiven; nothing else is.
pub fn find(number_or_name: &str) -> Option<&'static Row> {
    let text = number_or_name.trim();
    rows()
        .iter()
        .find(|r| r.number.eq_ignore_ascii_case(text))
        .or_else(|| rows().get(*BY_NAME.get(&key(text))?))
}

/// Returns the rows in which every word occurs, at the start of a word of the name, an alias or
/// the group (a number finds its row). The plain food comes first: a whole name, a whole alias,
/// then rows named by hand, rows that begin with the words, raw or dry ones; short names before
/// long ones. No words, no rows.
pub fn search(wanted: &str) -> Vec<&'static Row> {
    let wanted_words = words(wanted);
    if wanted_words.is_empty() || wanted_words.len() > MOST_WORDS {
        return Vec::new();
    }
    let whole = key(wanted);
    let mut hits: Vec<(Rank, &'static Row)> = READY
        .iter()
        .filter_map(|ready| Some((rank(ready, &wanted_words, &whole)?, ready.row)))
        .collect();
    hits.sort_by(|a, b| (&a.0, a.1.name).cmp(&(&b.0, b.1.name)));
    hits.into_iter().map(|hit| hit.1).collect()
}

/// Lower is better: how the words were found, how plain the food is, how long its name.
type Rank = (u32, u32, usize, usize);

/// Words that name the food as it is bought, not something made of it.
const AS_BOUGHT: [&str; 4] = ["raw", "dry", "fresh", "plain"];

/// `None` when a word is missing.
fn rank(ready: &Ready, wanted: &[String], whole: &str) -> Option<Rank> {
    let Ready {
        row,
        name,
        alias,
        group,
        keys,
    } = ready;
    let length = (name.len(), row.name.len());
    match keys.iter().position(|(key, _)| key == whole) {
        Some(0) => return Some((0, 0, length.0, length.1)),
        Some(_) => return Some((1, 0, length.0, length.1)),
        None => {}
    }
    let begins = |list: &[String], word: &str| list.iter().any(|w| w.starts_with(word));
    let mut found = 2;
    for word in wanted {
        let word = word.as_str();
        found += if name.first().is_some_and(|w| w == word) {
            0
        } else if name.iter().any(|w| w == word) {
            3
        } else if alias.iter().any(|w| w == word) {
            4
        } else if name.first().is_some_and(|w| w.starts_with(word)) {
            6
        } else if begins(name, word) {
            8
        } else if begins(alias, word) || row.number.starts_with(word) {
            10
        } else if begins(group, word) {
            100
        } else {
            return None;
        };
    }
    let plain = u32::from(!name.iter().any(|w| AS_BOUGHT.contains(&w.as_str())));
    let other = if row.named { 0 } else { 2 };
    Some((found + other, plain, length.0, length.1))
}

/// Returns up to five names that may have been meant, one a row, likeliest first: rows that hold
/// every word typed, names and aliases close in spelling, then rows that hold all words but one.
pub fn near(typed: &str) -> Vec<&'static str> {
    const MOST: usize = 5;
    let whole = key(typed);
    if whole.is_empty() || whole.chars().nth(LONGEST).is_some() {
        return Vec::new();
    }
    let named = |row: &'static Row| (row.number, row.name);
    let candidates = search(typed)
        .into_iter()
        .map(named)
        .chain(alike(&whole))
        .chain(all_but_one(typed).into_iter().map(named));
    let mut found: Vec<(&'static str, &'static str)> = Vec::new();
    for hit in candidates {
        if found.len() < MOST && found.iter().all(|f| f.0 != hit.0) {
            found.push(hit);
        }
    }
    found.into_iter().map(|hit| hit.1).collect()
}

/// The number and best name of each row close in spelling, closest first.
fn alike(whole: &str) -> Vec<(&'static str, &'static str)> {
    const CLOSE: f64 = 0.85;
    let mut scored: Vec<(f64, &'static str, &'static str)> = READY
        .iter()
        .filter_map(|ready| {
            (ready.keys.iter())
                .map(|(key, name)| (strsim::jaro_winkler(key, whole), *name, ready.row.number))
                .filter(|hit| hit.0 >= CLOSE)
                .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
        })
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    scored.into_iter().map(|hit| (hit.2, hit.1)).collect()
}

/// The rows that hold all words but one (a brand, a size, `organic`). The first word is given up
/// first: the food itself is mostly named last.
fn all_but_one(typed: &str) -> Vec<&'static Row> {
    const WORDS: usize = 6;
    let words = words(typed);
    if words.len() > WORDS {
        return Vec::new();
    }
    let without = |left_out: usize| {
        let kept = words.iter().enumerate().filter(|w| w.0 != left_out);
        kept.map(|w| w.1.as_str()).collect::<Vec<_>>().join(" ")
    };
    (0..words.len())
        .flat_map(|at| search(&without(at)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{find, near, search};

    #[test]
    fn case_commas_order_and_plurals_are_forgiven() {
        let tofu = find("16126").map(|r| r.name);
        assert_eq!(tofu, Some("tofu, firm"));
        for typed in ["Tofu, firm", "firm tofu", " TOFU  firm "] {
            assert_eq!(find(typed).map(|r| r.name), tofu, "{typed}");
        }
        assert_eq!(
            find("carrot").map(|r| r.number),
            find("carrots").map(|r| r.number)
        );
        assert_eq!(
            find("frisee").map(|r| r.number),
            find("Frisée").map(|r| r.number)
        );
        assert!(find("firm").is_none());
        assert!(find("").is_none());
    }

    #[test]
    fn a_kind_that_could_be_dry_or_canned_names_no_row() {
        assert!(find("chickpeas").is_none());
        assert!(find("black beans").is_none());
    }

    #[test]
    fn every_word_must_match_and_the_whole_name_comes_first() {
        let names = |typed: &str| -> Vec<&str> { search(typed).iter().map(|r| r.name).collect() };
        assert_eq!(names("soy sauce")[0], "soy sauce");
        assert!(
            names("chickpeas canned")
                .iter()
                .all(|n| n.starts_with("chickpeas"))
        );
        assert_eq!(names("chickpeas canned")[0], "chickpeas, canned, drained");
        assert_eq!(names("courgette")[0], "zucchini, raw");
        assert!(names("tofu carrots").is_empty());
        assert!(names("  ,").is_empty());
        assert!(names("herbs").len() >= 8);
    }

    #[test]
    fn a_slip_of_the_pen_is_answered_with_what_was_meant() {
        assert_eq!(near("tofu firn")[0], "tofu, firm");
        assert!(near("chickpeas").contains(&"chickpeas, canned, drained"));
        assert!(near("brocoli").iter().any(|n| n.starts_with("broccoli")));
        assert!(near("organic carrots").contains(&"carrots, raw"));
        assert!(
            near("tomato puree").len() >= 2,
            "paste and passata are both called so"
        );
        assert!(near("").is_empty());
        assert!(near("xqzw").is_empty());
    }
}
