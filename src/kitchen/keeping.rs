//! Holds the keeping times of a kitchen against the published ones, and warns where they are
//! longer. A kitchen's own times rule its plans: a maker's date or a better refrigerator may allow
//! more, so nothing is refused.

use super::drafts::FoodDraft;
use super::fault::Sink;
use super::flaws::Places;
use super::spelling::fold;
use super::wording::shown;
use crate::larder::{Component, Contents, FoodId};
use crate::table::keeping::Place;
use crate::table::kinds::{Bound, Kind, State, cooked_bound, in_days, kind_of};

/// What a reader is told to do.
const REMEDY: &str = "take the shorter, or say why not: `kept: freezer`, or `dated: true` where `keeps` is \
                      the date on the pack; your local food code comes first";

/// Days for which something cooked is kept where its component does not say: the short end of the
/// 3 to 4 days of University of Illinois Extension, Leftovers (after USDA FSIS).
pub(crate) const COOKED_DEFAULT: i32 = 3;

/// Returns the published time that stands in for one a pack option leaves out: the longest that the
/// strictest source allows, in the place it is kept. `None` where nothing is published, where it
/// is no number of days, and unopened for what is bought unripe.
pub(crate) fn stand_in(
    draft: &FoodDraft,
    label: &str,
    (stage, place): (Option<&str>, Option<Place>),
    state: State,
) -> Option<Bound> {
    let text = described(draft, label);
    let kind = kind_of(&text)?;
    let ripe = stage.is_some_and(|stage| fold(stage) == "ripe");
    if state == State::Sealed && kind.ripens_in().is_some() && !ripe {
        return None;
    }
    kind.bound(state, place.or_else(|| called_frozen(&text)))
}

/// Returns the time that stands in for `keeps:` of something cooked or mixed; `None` for mixtures
/// of dry foods, of which nothing is published.
pub(crate) fn cooked_stand_in(component: &Component, foods: &[FoodDraft]) -> Option<(i32, Bound)> {
    let bound = cooked_bound(&component.name, false, &parts(component, foods))?;
    Some((COOKED_DEFAULT.min(bound.days.into()), bound))
}

/// The name and the table's group of each food in a component.
fn parts<'a>(component: &Component, foods: &'a [FoodDraft]) -> Vec<(&'a str, Option<&'a str>)> {
    let of = |food: FoodId| &foods[food.index()];
    let parts = component.foods.iter().map(|&(food, _)| of(food));
    parts
        .map(|food| (food.food.name.as_str(), food.row.map(|row| row.group)))
        .collect()
}

/// Words of a table's row that say how the food of its figures was cooked, not how it is sold.
const COOKED: [&str; 2] = ["cooked", "boiled"];

/// Ripeness at purchase that needs days to ripen.
const UNRIPE: [&str; 4] = ["hard", "unripe", "green", "firm"];

/// Adds a warning for each keeping time that is longer than the published one.
pub(crate) fn check(larder: &Contents, places: &Places, sink: &mut Sink) {
    for draft in places.foods {
        for index in 0..draft.packs.len() {
            // The same at another shop keeps as long.
            if index == 0 || draft.pack_at[index].0 != draft.pack_at[index - 1].0 {
                pack(draft, index, sink);
            }
        }
    }
    stock(larder, places, sink);
    cooked(larder, places, sink);
}

/// The words that tell a food's kind: its name, its row's, and what stands on the pack.
fn described(draft: &FoodDraft, label: &str) -> String {
    let mut text = format!("{} {label}", draft.food.name);
    let row = draft.row.map_or("", |row| row.name);
    for word in row.split([' ', ',']).filter(|word| !COOKED.contains(word)) {
        text.push(' ');
        text.push_str(word);
    }
    text
}

/// The freezer for what is called frozen.
fn called_frozen(text: &str) -> Option<Place> {
    fold(text).contains("frozen").then_some(Place::Freezer)
}

fn place_of(draft: &FoodDraft, index: usize) -> Option<Place> {
    let said = draft.times[index].place;
    said.or_else(|| called_frozen(&described(draft, &draft.packs[index].label)))
}

/// What is published, with where it is meant for and by whom.
fn published(bound: &Bound) -> String {
    format!(
        "published: {} {} ({})",
        bound.in_words(),
        bound.where_kept(),
        bound.source
    )
}

fn pack(draft: &FoodDraft, index: usize, sink: &mut Sink) {
    let pack = &draft.packs[index];
    let Some(kind) = kind_of(&described(draft, &pack.label)) else {
        return;
    };
    let times = draft.times[index];
    let place = place_of(draft, index);
    let mut told = |what: &str, has: i64, bound: &Bound| {
        if has > i64::from(bound.days) {
            sink.longer(
                draft.pack_at[index].0,
                format!(
                    "`{}`, `{}`: {what} {}; {}",
                    shown(&draft.food.name),
                    shown(&pack.label),
                    in_days(has),
                    published(bound)
                ),
                REMEDY,
            );
        }
    };
    if let Some(ready) = times.ready {
        let stage = pack.stage.as_deref().map(fold).unwrap_or_default();
        let hard = UNRIPE.contains(&stage.as_str());
        ripening(kind, ready, hard, &mut told);
    } else if let Some((has, bound)) = times.sealed.zip(kind.bound(State::Sealed, place)) {
        told("unopened it keeps", has, &bound);
    }
    if !pack.loose
        && let Some((has, bound)) = times.opened.zip(kind.bound(State::Opened, place))
    {
        told("opened it keeps", has, &bound);
    }
}

/// Something ripe holds so long, and no longer; something hard is past when the slowest of a lot
/// is.
fn ripening(
    kind: &Kind,
    (from, to): (i64, i64),
    hard: bool,
    told: &mut impl FnMut(&str, i64, &Bound),
) {
    if from == 0 && !hard {
        if let Some(bound) = kind.holds_ripe() {
            told("ripe it is held", to, &bound);
        }
    } else if let Some((_, latest)) = kind.ripens_in() {
        told("unripe it ripens and is held", to, &latest);
    }
}

/// What is on hand: something open is good no longer than something opened today.
fn stock(larder: &Contents, places: &Places, sink: &mut Sink) {
    for (stock, &at) in larder.stock.iter().zip(places.stock) {
        let draft = &places.foods[stock.food.index()];
        let text = described(draft, &stock.label);
        let Some(kind) = kind_of(&text) else { continue };
        let freezer = (0..draft.packs.len()).any(|i| place_of(draft, i) == Some(Place::Freezer));
        let place = called_frozen(&text).or(freezer.then_some(Place::Freezer));
        let mut told = |what: &str, has: i32, state: State| {
            if let Some(bound) = kind.bound(state, place)
                && has > i32::from(bound.days)
            {
                sink.longer(
                    at,
                    format!(
                        "`{}` on hand, `{}`: {what} {}; {}",
                        shown(&draft.food.name),
                        shown(&stock.label),
                        in_days(has.into()),
                        published(&bound)
                    ),
                    REMEDY,
                );
            }
        };
        if stock.opened {
            told("open, it is good for", stock.ready_to, State::Opened);
        } else {
            told("unopened it is good for", stock.ready_to, State::Sealed);
            told("opened it keeps", stock.open_life, State::Opened);
        }
    }
}

/// Words in a component's name or tags that say it waits in the freezer.
const FREEZER: [&str; 2] = ["frozen", "freezer"];

fn cooked(larder: &Contents, places: &Places, sink: &mut Sink) {
    for (component, draft) in larder.components.iter().zip(places.components) {
        let name = fold(&component.name);
        let tagged = |word: &str| component.tags.iter().any(|tag| fold(tag) == word);
        let frozen = FREEZER
            .iter()
            .any(|word| name.contains(word) || tagged(word));
        let foods = parts(component, places.foods);
        let Some(bound) = cooked_bound(&component.name, frozen, &foods) else {
            continue;
        };
        if component.keeps > i32::from(bound.days) {
            sink.longer(
                draft.at,
                format!(
                    "`{}` keeps {} once made; {}",
                    shown(&component.name),
                    in_days(component.keeps.into()),
                    published(&bound)
                ),
                "take the shorter, or tag it `frozen` where it waits in the freezer; your local food \
                 code comes first",
            );
        }
    }
}
