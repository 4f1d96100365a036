//! Finds the food a line speaks of: the kitchen's own first, then the row of the food table whose
//! name, or another name of it, stands whole in the line. What is left over must be known to
//! change nothing.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::classes::{self, Class, class, words};
use super::own::Kitchen;
use crate::table::{self, Row};

/// Most words of a line that are compared.
const MOST_WORDS: usize = 24;

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Match {
    /// The row.
    pub(super) row: Option<&'static Row>,
    /// The kitchen's own food or component.
    pub(super) own: Option<usize>,
    /// Words of the line that are the food's name.
    pub(super) named: Vec<String>,
    /// Words of kinds left out.
    pub(super) dropped: Vec<String>,
}

/// Why no food was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unfound {
    /// None is called so.
    None,
    /// Several are.
    Several(Vec<String>),
    /// One is, but not in this state.
    Changed(String),
}

/// What a line says of its food.
#[derive(Clone, Debug, Default)]
pub(super) struct Said {
    /// Words of the name.
    pub(super) name: Vec<String>,
    /// States that stand behind a comma or in brackets.
    pub(super) states: Vec<String>,
    /// It comes in a tin.
    pub(super) tin: bool,
    /// What is drained away is said to be.
    pub(super) drained: bool,
    /// What is left is said to be rinsed.
    pub(super) rinsed: bool,
}

/// A name of a row.
struct Name {
    row: &'static Row,
    words: Vec<String>,
}

struct Names {
    all: Vec<Name>,
    by_word: HashMap<String, Vec<usize>>,
}

static NAMES: LazyLock<Names> = LazyLock::new(|| {
    let mut names = Names {
        all: Vec::new(),
        by_word: HashMap::new(),
    };
    for row in table::rows() {
        for name in std::iter::once(row.name).chain(row.aliases.iter().copied()) {
            let mut words = words(name);
            words.sort_unstable();
            words.dedup();
            for word in &words {
                let places = names.by_word.entry(word.clone()).or_default();
                places.push(names.all.len());
            }
            names.all.push(Name { row, words });
        }
    }
    names
});

/// The row whose name of most words stands among these, and that name's words; of two the first
/// of the table, which has the plain foods first.
fn covered(
    said: &[String],
    fits: impl Fn(&Row, &[String]) -> bool,
) -> Option<(&'static Row, &'static [String])> {
    let mut counts: HashMap<usize, usize> = HashMap::new();
    for word in said {
        for &at in NAMES.by_word.get(word).into_iter().flatten() {
            *counts.entry(at).or_default() += 1;
        }
    }
    let mut whole: Vec<usize> = counts
        .into_iter()
        .filter(|&(at, count)| NAMES.all[at].words.len() == count)
        .map(|(at, _)| at)
        .collect();
    whole.sort_unstable_by_key(|&at| (std::cmp::Reverse(NAMES.all[at].words.len()), at));
    whole
        .into_iter()
        .map(|at| &NAMES.all[at])
        .find(|name| fits(name.row, &name.words))
        .map(|name| (name.row, name.words.as_slice()))
}

/// What is left of a line's words once a name is taken away.
struct Left {
    unknown: bool,
    states: Vec<String>,
    kinds: Vec<String>,
}

fn left(said: &[String], name: &[String], row: Option<&Row>) -> Left {
    let mut left = Left {
        unknown: false,
        states: Vec::new(),
        kinds: Vec::new(),
    };
    for word in said.iter().filter(|word| !name.contains(word)) {
        match class(word) {
            Class::Cut | Class::Plain => {}
            Class::Kind => left.kinds.push(word.clone()),
            Class::State => left.states.push(word.clone()),
            Class::Unknown if word == "leaf" && row.is_some_and(classes::is_leafy) => {}
            Class::Unknown => left.unknown = true,
        }
    }
    left
}

/// Finds the food.
pub(super) fn find(said: &Said, kitchen: &Kitchen) -> Result<Match, Unfound> {
    let mut name = said.name.clone();
    name.dedup();
    if name.is_empty() || name.len() > MOST_WORDS {
        return Err(Unfound::None);
    }
    let mut pool = name.clone();
    pool.extend(said.states.iter().cloned());
    if said.tin {
        pool.push("canned".to_owned());
    }
    if said.drained || said.rinsed {
        pool.push("drained".to_owned());
    }
    if said.rinsed {
        pool.extend(["rinsed".to_owned(), "and".to_owned()]);
    }
    pool.sort_unstable();
    pool.dedup();
    let own = in_kitchen(&pool, said, kitchen);
    let table = in_table(&pool, said);
    let table = table.and_then(|row| of_row(row, said, kitchen));
    match (own, table) {
        // The longer name is meant, where the kitchen has that food too.
        (Some(own), Ok(row)) if row.own.is_none() || !longer(&row, &own) => own,
        (Some(own), Err(_)) => own,
        (_, table) => table,
    }
}

/// Whether a row's name is longer than what the kitchen's own one has of the line.
fn longer(row: &Match, own: &Result<Match, Unfound>) -> bool {
    own.as_ref()
        .is_ok_and(|own| row.named.len() > own.named.len())
}

fn in_kitchen(pool: &[String], said: &Said, kitchen: &Kitchen) -> Option<Result<Match, Unfound>> {
    let mut best: Vec<Match> = Vec::new();
    for at in kitchen.covered(pool) {
        let (own, words) = (kitchen.get(at), kitchen.words_of(at));
        let left = left(pool, words, own.row);
        let pack = own.pack.as_ref().map_or("", |pack| pack.0.as_str());
        let row = own.row.map_or("", |row| row.name);
        let texts = [own.name.as_str(), row, pack];
        // What stands there in so many words is cooked; nothing else of the kitchen is.
        let fits = left
            .states
            .iter()
            .all(|state| classes::is_in(state, &texts));
        if left.unknown || !fits {
            continue;
        }
        best.push(Match {
            row: own.row,
            own: Some(at),
            named: words.to_vec(),
            dropped: left.kinds,
        });
    }
    let most = best.iter().map(|found| found.named.len()).max()?;
    let cut = |found: &Match| found.named.iter().any(|word| class(word) == Class::Cut);
    // `chopped tomatoes` without a tin may be fresh ones.
    let either = !said.tin && best.iter().any(cut) && best.iter().any(|found| !cut(found));
    if !either {
        best.retain(|found| found.named.len() == most);
    }
    if best.len() == 1 {
        return Some(Ok(best.remove(0)));
    }
    let names = best.iter().filter_map(|found| found.own);
    let names = names.map(|at| kitchen.get(at).name.clone()).collect();
    Some(Err(Unfound::Several(names)))
}

fn in_table(pool: &[String], said: &Said) -> Result<Match, Unfound> {
    let fits = |row: &Row, name: &[String]| {
        let left = left(pool, name, Some(row));
        let texts = [row.name];
        let canned = said.tin && !classes::is_in("canned", &[row.name]);
        let other = ["raw", "dry", "dried", "frozen", "fresh", "cooked"];
        let is_other = words(row.name)
            .iter()
            .any(|word| other.contains(&word.as_str()));
        !(left.unknown || canned && is_other)
            && (left.states.iter())
                .filter(|state| !(canned && *state == "canned"))
                .all(|state| classes::is_in(state, &texts))
    };
    // What comes out of a tin, drained first: that is what is eaten.
    let mut found = None;
    if said.tin && !said.drained && !said.rinsed {
        let mut drained = pool.to_vec();
        drained.push("drained".to_owned());
        found =
            covered(&drained, fits).filter(|(_, name)| name.iter().any(|word| word == "drained"));
    }
    let Some((row, name)) = found.or_else(|| covered(pool, fits)) else {
        return Err(why_not(pool, said));
    };
    let cut = |words: &[String]| words.iter().any(|word| class(word) == Class::Cut);
    if !said.tin && cut(name) {
        let without = covered(pool, |row, name| fits(row, name) && !cut(name));
        if let Some((other, _)) = without.filter(|(other, _)| other.number != row.number) {
            return Err(Unfound::Several(vec![
                row.name.to_owned(),
                other.name.to_owned(),
            ]));
        }
    }
    Ok(Match {
        row: Some(row),
        own: None,
        named: name.to_vec(),
        dropped: left(pool, name, Some(row)).kinds,
    })
}

/// Whether a row would be found but for the state the line says.
fn why_not(pool: &[String], said: &Said) -> Unfound {
    let fits = |row: &Row, name: &[String]| !left(pool, name, Some(row)).unknown;
    let Some((row, name)) = covered(pool, fits) else {
        return Unfound::None;
    };
    let states = left(pool, name, Some(row)).states;
    let wrong = states
        .into_iter()
        .find(|state| !classes::is_in(state, &[row.name]));
    match wrong {
        Some(state) => Unfound::Changed(state),
        None if said.tin => Unfound::Changed("canned".to_owned()),
        None => Unfound::None,
    }
}

/// The kitchen's own food of a row, or the row.
fn of_row(found: Match, said: &Said, kitchen: &Kitchen) -> Result<Match, Unfound> {
    let Some(row) = found.row else {
        return Ok(found);
    };
    let mut own = kitchen.of_row(row);
    let how = (said.name.iter().chain(&said.states)).find(|word| *word == "cooked");
    if own.is_empty()
        && let Some(how) = how
    {
        // "cooked soba noodles": the component of the food they are before.
        let mut before = said.clone();
        before.name.retain(|word| word != how);
        before.states.retain(|word| word != how);
        if let Ok(base) = find(&before, kitchen)
            && let Some(at) = base.own.and_then(|food| kitchen.cooked(food, how))
        {
            own = vec![at];
        }
    }
    match own.as_slice() {
        [] => Ok(found),
        [at] => Ok(Match {
            own: Some(*at),
            row: kitchen.get(*at).row,
            ..found
        }),
        several => {
            let names = several.iter().map(|&at| kitchen.get(at).name.clone());
            Err(Unfound::Several(names.collect()))
        }
    }
}
