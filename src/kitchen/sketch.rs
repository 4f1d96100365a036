//! What is known of a food before its entry in a kitchen file is written: its row, how much is in
//! its pack, what is left once drained, how long it keeps. Nothing here is guessed: what no table
//! tells is common practice, and marked.

use super::number;
use super::quantity::PACK_WORDS;
use super::spelling::fold;
use super::wording::{Says, says, shown};
use crate::larder::MILLI;
use crate::table::allergens;
use crate::table::keeping::Place;
use crate::table::kinds::{Bound, State, kind_of};
use crate::table::packs::packs_of;
use crate::table::{self, Row, practice, units};

/// How a food is bought, as typed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bought<'a> {
    /// What the shelf says.
    pub pack: Option<&'a str>,
    /// How much is in a unit, where the pack does not say.
    pub size: Option<&'a str>,
    /// Price of the whole pack.
    pub price: Option<&'a str>,
    /// Shop that has it at that price, if one is said.
    pub shop: Option<&'a str>,
    /// Sold by weight or piece.
    pub loose: bool,
    /// Assumed in the cupboard.
    pub staple: bool,
}

/// A food, ready to be written.
#[derive(Clone, Debug)]
pub struct Sketch {
    /// What the kitchen calls it.
    pub name: String,
    /// Its row of the table.
    pub row: &'static Row,
    /// Assumed in the cupboard.
    pub staple: bool,
    /// What is left once drained: thousandths of a percent, and whose figure; none of ours that is
    /// not published.
    pub drained: Option<(i64, Option<&'static str>)>,
    /// What the shelf says; none if nothing was typed.
    pub pack: Option<String>,
    /// How much is in a unit.
    pub size: Option<String>,
    /// Units in a pack.
    pub units: Option<i64>,
    /// Price as typed.
    pub price: Option<String>,
    /// The shop, if one is said.
    pub shop: Option<String>,
    /// Sold by weight or piece.
    pub loose: bool,
    /// Days unopened; none of what ripens.
    pub sealed: Option<Time>,
    /// Days opened; none of what is sold loose and of staples.
    pub opened: Option<Time>,
    /// First day on which it is ripe and last on which it is good, each with its source.
    pub ripens: Option<(Bound, Bound)>,
    /// Allergens by its kind, and those it is often made with.
    pub allergens: (Vec<&'static str>, Vec<&'static str>),
}

/// Days for which something keeps.
#[derive(Clone, Debug)]
pub struct Time {
    /// Days.
    pub days: u16,
    /// Where, and whose figure; none: common practice, no source.
    pub published: Option<Bound>,
}

/// Which row a food may be.
#[derive(Clone, Debug)]
pub enum Found {
    /// This one.
    Row(&'static Row),
    /// One of these, or none at all.
    Near(Vec<&'static Row>),
}

/// Most rows that are offered.
const OFFERED: usize = 8;

/// Finds the row of a food called so, in such a pack: by its whole name or another name of the row.
/// A tin holds what comes drained from one, a frozen food is the frozen one; of what is neither, the
/// raw or the dry one, if there is only one of the two.
pub fn row_of(name: &str, pack: Option<&str>) -> Found {
    let words = fold(&format!("{name} {}", pack.unwrap_or_default()));
    let said = |any: &[&str]| words.split(' ').any(|word| any.contains(&word));
    let forms: &[&str] = if said(&["tin", "tins", "can", "cans", "canned", "tinned"]) {
        &["canned, drained", "canned", ""]
    } else if said(&["frozen"]) {
        &["frozen", ""]
    } else {
        &[""]
    };
    let bare = name.replace("tinned", "canned");
    for form in forms {
        let whole = format!("{bare}, {form}");
        if let Some(row) = table::find(whole.trim_end_matches(", ")) {
            return Found::Row(row);
        }
    }
    if forms.len() == 1 {
        let either = ["raw", "dry"].map(|form| table::find(&format!("{bare}, {form}")));
        if let [Some(row), None] | [None, Some(row)] = either {
            return Found::Row(row);
        }
    }
    // What comes in such a pack is offered first.
    let state = forms[0].split(',').next().unwrap_or_default();
    let mut near = table::search(&format!("{name} {state}"));
    for row in table::search(name) {
        if near.iter().all(|known| known.number != row.number) {
            near.push(row);
        }
    }
    if near.is_empty() {
        near = table::near(name)
            .into_iter()
            .filter_map(table::find)
            .collect();
    }
    near.truncate(OFFERED);
    Found::Near(near)
}

/// Share of a tin that is left once drained, where no table tells: common practice, no source.
const DRAINED: i64 = 60 * MILLI;

impl Sketch {
    /// Puts together what is known of a food.
    ///
    /// # Errors
    /// The pack does not say how much is in it; what to write instead.
    pub fn new(name: &str, row: &'static Row, bought: &Bought) -> Result<Self, (String, String)> {
        let read = read_pack(row, bought).map_err(|Says { what, help }| (what, help))?;
        let (size, units) = read;
        let label = bought.pack.unwrap_or_default();
        let words = fold(&format!("{name} {} {label}", row.name));
        let frozen = words.contains("frozen").then_some(Place::Freezer);
        // As kitchen files are read: the row says how the food of its figures was cooked.
        let of_row: Vec<&str> = row
            .name
            .split([' ', ','])
            .filter(|word| !["cooked", "boiled"].contains(word))
            .collect();
        let kind = kind_of(&format!("{name} {label} {}", of_row.join(" ")));
        let ripens = kind.and_then(super::super::table::kinds::Kind::ripens_in);
        let time = |state: State| {
            let published = kind.and_then(|kind| kind.bound(state, frozen));
            Time {
                days: published
                    .as_ref()
                    .map_or_else(|| practice::common(row, &words, state), |bound| bound.days),
                published,
            }
        };
        let sealed = (!bought.staple && ripens.is_none()).then(|| time(State::Sealed));
        let mut opened = (!bought.staple && !bought.loose).then(|| time(State::Opened));
        // Opened it keeps no longer than unopened.
        if let (Some(sealed), Some(opened)) = (&sealed, &mut opened) {
            opened.days = opened.days.min(sealed.days);
        }
        let tinned = label
            .split(' ')
            .any(|word| ["tin", "tins", "can", "cans"].contains(&fold(word).as_str()));
        // Figures of a food with its liquid are for all that is in the tin.
        let liquid = row.name.contains("with liquid");
        let pulse = row.group == "legumes" && !liquid;
        let drained = (tinned && (pulse || row.name.contains("drained"))).then(|| {
            let mut told = packs_of(row.number)
                .filter_map(|pack| Some((pack.drained_milli_percent?, Some(pack.source))));
            told.next().unwrap_or((DRAINED, None))
        });
        let (has, may) = allergens::by_kind(&format!("{name} {}", row.name));
        let words = |list: Vec<allergens::Allergen>| {
            list.into_iter()
                .map(super::super::table::allergens::Allergen::word)
                .collect()
        };
        Ok(Self {
            name: name.to_owned(),
            row,
            staple: bought.staple,
            drained,
            pack: bought.pack.map(|pack| {
                let label = if bought.loose { "loose" } else { pack };
                label.to_owned()
            }),
            size,
            units,
            price: bought.price.map(str::to_owned),
            shop: bought.shop.map(str::to_owned),
            loose: bought.loose,
            sealed,
            opened,
            ripens: ripens.filter(|_| !bought.staple),
            allergens: (words(has), words(may)),
        })
    }
}

/// Returns how much is in a unit of a pack, and how many units.
fn read_pack(row: &Row, bought: &Bought) -> Result<(Option<String>, Option<i64>), Says> {
    let (units, rest) = match bought.pack {
        Some(pack) => several(pack),
        None => (None, ""),
    };
    if let Some(size) = bought.size {
        return Ok((Some(size.trim().to_owned()), units));
    }
    let Some(pack) = bought.pack else {
        return Ok((None, None));
    };
    let words: Vec<&str> = rest.split_whitespace().collect();
    for from in 0..words.len() {
        if let Some(size) = sized(&words[from..], row) {
            return Ok((Some(size), units));
        }
    }
    Err(says(
        format!("`{}` does not say how much is in it", shown(pack)),
        "write a mass or a measure into the pack, like `400 g tin`, `3 x 400 g tins` or `1 piece`, \
         or give it apart with --size",
    ))
}

/// Splits `3 x 400 g tins` into 3 and the rest.
fn several(pack: &str) -> (Option<i64>, &str) {
    let split = pack.split_once(" x ").and_then(|(count, rest)| {
        let count: i64 = count.trim().parse().ok()?;
        (2..=10_000).contains(&count).then_some((Some(count), rest))
    });
    split.unwrap_or((None, pack))
}

/// Reads a quantity from the front of some words: `400 g tin` is 400 g.
fn sized(words: &[&str], row: &Row) -> Option<String> {
    let text = words.join(" ");
    let (_, rest) = number::leading(&text).ok()?;
    let figure = text[..text.len() - rest.len()].trim();
    if figure.is_empty() || figure == "0" {
        return None;
    }
    let rest: Vec<&str> = rest.split_whitespace().collect();
    let of = |count: usize| (count <= rest.len()).then(|| rest[..count].join(" "));
    for measure in [of(2), of(1)].into_iter().flatten() {
        if let Some(unit) = units::find(&measure) {
            return Some(format!("{figure} {}", unit.symbol));
        }
    }
    let word = of(1).filter(|word| !PACK_WORDS.contains(&word.as_str()))?;
    row.measures
        .iter()
        .any(|measure| measure.name == word || format!("{}s", measure.name) == word)
        .then(|| format!("{figure} {word}"))
}
