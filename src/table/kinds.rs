//! Which published keeping times are a food's own, told by its words.
//!
//! For warnings and suggestions: a kitchen's own times rule its plans, and the date on the pack and
//! local food codes rule both. Where several figures are known for one place the shortest counts.

use std::sync::LazyLock;

use super::keeper::{self, product};
use super::keeping::{self, COOKED_DAYS, Place, Ripening, Start};
use super::parse;
use super::search::words;
use super::wording::Told;

/// Whether a pack was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// As it was bought.
    Sealed,
    /// Opened, or cut.
    Opened,
}

/// The longest a published table gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// Days.
    pub days: u16,
    /// Where it keeps so long.
    pub place: Place,
    /// Whose figure.
    pub source: String,
}

impl Bound {
    /// Returns where it keeps so long, in words.
    pub fn where_kept(&self) -> &'static str {
        match self.place {
            Place::Counter => "on a shelf",
            Place::Refrigerator | Place::ColdStore => "in a refrigerator",
            Place::Freezer => "in a freezer",
        }
    }

    /// Returns its days in words: `1 day`.
    pub fn in_words(&self) -> String {
        in_days(self.days.into())
    }
}

/// Returns a count of days in words: `1 day`, `5 days`.
pub fn in_days(count: i64) -> String {
    if count == 1 {
        "1 day".to_owned()
    } else {
        format!("{count} days")
    }
}

/// A kind of food.
#[derive(Clone, Debug)]
pub struct Kind {
    sealed: Vec<u16>,
    opened: Vec<u16>,
    /// Opened it keeps as long as it does sealed.
    same: bool,
    /// Cooked food: as bought it keeps no longer than opened.
    leftover: bool,
    line: &'static str,
    fruit: &'static str,
}

static KINDS: LazyLock<Told<Kind>> = LazyLock::new(|| {
    let read = parse::lines(include_str!("kinds.tsv"), kind);
    let kinds = Told::new(parse::whole("table of kinds", read));
    parse::whole("table of kinds", kinds.ok_or_else(parse::BadLine::nowhere))
});

fn kind(line: &'static str) -> Option<(&'static str, Kind)> {
    let cells: Vec<&'static str> = line.split('\t').collect();
    let &[pattern, sealed, opened, line, fruit] = cells.as_slice() else {
        return None;
    };
    let ids = |text: &str| -> Option<Vec<u16>> {
        if ["none", "=", "leftover"].contains(&text) {
            return Some(Vec::new());
        }
        let ids = text
            .split(' ')
            .map(|id| Some(product(id.parse().ok()?)?.id));
        ids.collect()
    };
    let known = line.is_empty() || keeping::keeping().iter().any(|k| k.food == line);
    let fruits = fruit.is_empty() || keeping::ripening().iter().any(|r| r.fruit == fruit);
    if !known || !fruits {
        return None;
    }
    let kind = Kind {
        sealed: ids(sealed)?,
        opened: ids(opened)?,
        same: opened == "=",
        leftover: sealed == "leftover",
        line,
        fruit,
    };
    Some((pattern, kind))
}

/// Returns the kind of a food called so; the text may hold its name, its row's name and what stands
/// on its pack. The first kind of the table that fits counts.
pub fn kind_of(text: &str) -> Option<&'static Kind> {
    KINDS.all(text).next()
}

impl Kind {
    /// Returns the longest it keeps in a place, or else in a refrigerator or on a shelf, whichever is
    /// longer; `None` where nothing is published, or no number of days (to the date on the pack).
    /// Within a place the shortest figure counts.
    pub fn bound(&self, state: State, kept: Option<Place>) -> Option<Bound> {
        let places = kept.map_or_else(|| vec![Place::Refrigerator, Place::Counter], |p| vec![p]);
        let mut longest: Option<Bound> = None;
        for place in places {
            match self.at(state, place) {
                Some(bound) if longest.as_ref().is_none_or(|l| bound.days > l.days) => {
                    longest = Some(bound);
                }
                None if self.open_ended(state, place) => return None,
                _ => {}
            }
        }
        longest
    }

    /// The products that tell of a state, and what their times are counted from.
    fn told_by(&self, state: State, place: Place) -> (&[u16], &'static [Start]) {
        let starts: &[Start] = match (state, self.same) {
            (State::Opened, false) if place != Place::Freezer => &[Start::Opened, Start::Unsaid],
            _ => &[Start::Bought, Start::Unsaid],
        };
        let ids = if state == State::Opened && !self.same {
            &self.opened
        } else {
            &self.sealed
        };
        (ids, starts)
    }

    fn open_ended(&self, state: State, place: Place) -> bool {
        let (ids, starts) = self.told_by(state, place);
        let mut products = ids.iter().filter_map(|&id| product(id));
        products.any(|product| product.open_ended(place, starts))
    }

    /// The shortest figure for a place.
    pub fn at(&self, state: State, place: Place) -> Option<Bound> {
        let (ids, starts) = self.told_by(state, place);
        let listed = ids.iter().filter_map(|&id| {
            let product = product(id)?;
            // Where opened ones are told of at all, what names no start is of sealed ones.
            let opened = starts.contains(&Start::Opened) && product.tells_of(Start::Opened);
            let starts = if opened { &[Start::Opened][..] } else { starts };
            Some(Bound {
                days: product.days(place, starts)?,
                place,
                source: format!("{}, {}", product.title(), keeper::SHORT),
            })
        });
        let own = keeping::keeping()
            .iter()
            .filter(|k| k.food == self.line && k.place == place)
            .filter(|k| match k.state {
                "opened" | "cut" => state == State::Opened,
                "whole, unripe" => false,
                "cooked" => {
                    state == State::Opened || (self.leftover && place == Place::Refrigerator)
                }
                _ => state == State::Sealed || self.same,
            })
            .map(|k| Bound {
                days: k.counted_days(),
                place,
                source: format!("{}, {}, {}", k.food, k.state, k.source),
            });
        listed.chain(own).min_by_key(|bound| bound.days)
    }

    /// Returns all that is published of how long it keeps at home, as pairs of what is asked and the
    /// answer with its source.
    pub fn described(&self) -> Vec<(String, String)> {
        let states: &[(State, &str)] = match (self.same, self.leftover) {
            (true, _) => &[(State::Sealed, "keeps")],
            (_, true) => &[(State::Opened, "keeps")],
            _ => &[
                (State::Sealed, "keeps unopened"),
                (State::Opened, "keeps opened"),
            ],
        };
        let mut facts = Vec::new();
        for &(state, label) in states {
            for place in [Place::Counter, Place::Refrigerator, Place::Freezer] {
                if let Some(bound) = self.at(state, place) {
                    facts.push((
                        format!("{label} {}", bound.where_kept()),
                        format!("{} ({})", bound.in_words(), bound.source),
                    ));
                }
            }
        }
        for ripening in self.ripening() {
            let mut told = Vec::new();
            if let Some((least, most)) = ripening.days_to_ripe {
                told.push(format!("{least} to {most} days"));
            }
            if let Some(days) = ripening.hold_days {
                told.push(format!("then held {}", in_days(days.into())));
            }
            if !told.is_empty() {
                facts.push((
                    format!("ripens, {}", ripening.from),
                    format!("{} ({})", told.join(", "), ripening.source),
                ));
            }
        }
        facts
    }

    /// Returns the published figures on how its fruit ripens.
    pub fn ripening(&self) -> impl Iterator<Item = &'static Ripening> + use<> {
        let fruit = self.fruit;
        keeping::ripening()
            .iter()
            .filter(move |r| !fruit.is_empty() && r.fruit == fruit)
    }

    /// Returns how long a ripe one holds at home, at most: the shortest figure.
    pub fn holds_ripe(&self) -> Option<Bound> {
        if self.fruit.is_empty() {
            return None;
        }
        let told = self.ripening().filter_map(|r| {
            Some(Bound {
                days: r.hold_days?,
                place: Place::Refrigerator,
                source: r.source.to_owned(),
            })
        });
        told.chain(self.at(State::Sealed, Place::Refrigerator))
            .min_by_key(|bound| bound.days)
    }

    /// Returns the days after which an unripe one is ripe at the soonest, and those after which
    /// the last of a lot is past: the slowest to ripen, held as long as a ripe one holds. Of
    /// several figures the smallest counts, each with its own source.
    pub fn ripens_in(&self) -> Option<(Bound, Bound)> {
        let holds = self.holds_ripe()?.days;
        let bounds = |slow: bool| {
            let told = self.ripening().filter_map(move |r| {
                let (least, most) = r.days_to_ripe?;
                Some(Bound {
                    days: if slow { most + holds } else { least },
                    place: Place::Counter,
                    source: format!("{}, {}, {}", r.fruit, r.from, r.source),
                })
            });
            told.min_by_key(|bound| bound.days)
        };
        Some((bounds(false)?, bounds(true)?))
    }
}

/// What a component is called that is sour: vinegar or lemon keeps what leftovers do not.
/// FoodKeeper products 671 and 633.
const SOUR: [(&str, u16); 4] = [
    ("dressing", 671),
    ("vinaigrette", 671),
    ("pickled", 633),
    ("pickle", 633),
];

/// Groups of the table whose foods make a dressing that keeps: no fresh garlic and herbs, which in
/// oil let botulism grow, no beans, soy food, eggs or dairy.
const KEEPING: [&str; 8] = [
    "oils and fats",
    "sauces and condiments",
    "spices",
    "sweeteners",
    "sweeteners and sweets",
    "nuts and seeds",
    "plant drinks and water",
    "drinks",
];

/// Words of foods of those groups that keep no longer than leftovers.
const NOT_KEEPING: [&str; 8] = [
    "milk",
    "hummus",
    "salsa",
    "pesto",
    "guacamole",
    "mayonnaise",
    "stock",
    "broth",
];

/// Words of other foods that may be in a dressing or a pickle all the same.
const SOUR_JUICE: [&str; 5] = ["juice", "vinegar", "miso", "mustard", "water"];

/// Groups of the table whose foods keep dry.
const DRY: [&str; 5] = [
    "spices",
    "nuts and seeds",
    "sweeteners",
    "sweeteners and sweets",
    "breakfast cereals",
];

/// Returns how long something cooked or mixed keeps: cooked food as any leftovers, dressings and
/// pickles without fresh garlic or beans longer. `None` for mixtures of dry foods. `foods`: the
/// name and the table's group of each food in it, if it has a row.
pub fn cooked_bound(name: &str, frozen: bool, foods: &[(&str, Option<&str>)]) -> Option<Bound> {
    if foods
        .iter()
        .all(|(_, group)| group.is_some_and(|g| DRY.contains(&g)))
    {
        return None;
    }
    let leftovers = |days, place| Bound {
        days,
        place,
        source: "University of Illinois Extension, Leftovers (after USDA FSIS)".to_owned(),
    };
    if frozen {
        // Months for quality: the shorter of two charts.
        let line = keeping::keeping()
            .iter()
            .find(|k| k.food == "cooked dish, any" && k.place == Place::Freezer);
        return Some(leftovers(
            line.map_or(60, keeping::Keeping::counted_days),
            Place::Freezer,
        ));
    }
    let said = words(name);
    let sour = SOUR.iter().find(|(word, _)| said.iter().any(|w| w == word));
    let pickled = said.iter().any(|w| w.starts_with("pickle"));
    let keeps = |food: &str, group: Option<&str>| {
        let food = words(food);
        let any = |list: &[&str]| list.iter().any(|word| food.iter().any(|w| w == word));
        if any(&NOT_KEEPING) {
            return false;
        }
        let raw = ["vegetables", "leafy greens", "fruit"];
        group.is_some_and(|g| KEEPING.contains(&g) || (pickled && raw.contains(&g)))
            || any(&SOUR_JUICE)
            || (any(&["peanut"]) && any(&["butter"]))
    };
    match sour {
        Some(&(_, id)) if foods.iter().all(|&(food, group)| keeps(food, group)) => {
            let product = product(id)?;
            let days = product.days(Place::Refrigerator, &[Start::Opened, Start::Unsaid])?;
            Some(Bound {
                days,
                place: Place::Refrigerator,
                source: format!("{}, {}", product.title(), keeper::SHORT),
            })
        }
        _ => Some(leftovers(COOKED_DAYS, Place::Refrigerator)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_is_no_kind_is_refused() {
        assert!(kind("tofu\t168\t168\ttofu\t").is_some());
        for wrong in [
            "tofu\t168\t168\ttofu",
            "tofu\t9999\t168\ttofu\t",
            "tofu\tmany\t168\ttofu\t",
            "tofu\t168\t168\tno such line\t",
            "tofu\t168\t168\ttofu\tno such fruit",
        ] {
            assert!(kind(wrong).is_none(), "{wrong}");
        }
        assert!(kind_of("tofu").is_some());
    }

    /// Days from FoodKeeper (version 128) and the charts named in `keeping.tsv`, typed from them.
    #[test]
    fn foods_are_of_the_kind_they_are_called() {
        let days = |text: &str, state| {
            let kind = kind_of(text).unwrap_or_else(|| panic!("{text}"));
            let kept = text.contains("frozen").then_some(Place::Freezer);
            kind.bound(state, kept).map(|b| b.days)
        };
        let sealed = |text| days(text, State::Sealed);
        let opened = |text| days(text, State::Opened);
        assert_eq!(opened("firm tofu 16 oz block"), Some(5));
        assert_eq!(sealed("firm tofu 16 oz block"), Some(7));
        assert_eq!(opened("chickpeas, canned, drained 400 g tin"), Some(4));
        assert_eq!(opened("hummus, bought"), Some(7));
        assert_eq!(sealed("carrots, raw"), Some(21));
        assert_eq!(sealed("broccoli, raw head"), Some(5));
        assert_eq!(opened("spinach, raw 5 oz bag"), Some(2));
        assert_eq!(sealed("parsley, fresh bunch"), Some(3));
        assert_eq!(opened("tahini 10 oz jar"), Some(21));
        assert_eq!(sealed("rice, brown, long-grain, dry"), Some(180));
        assert_eq!(sealed("edamame, frozen 12 oz bag"), Some(540));
        assert_eq!(opened("chopped tomatoes, canned tin"), Some(7));
        assert_eq!(opened("cooked rice, pouch"), Some(4));
        assert_eq!(opened("cooked rice deli tub"), Some(4));
        assert_eq!(sealed("cooked rice deli tub"), Some(4));
        assert_eq!(sealed("cooked rice, pouch"), None);
        assert_eq!(sealed("leftover soup"), Some(4));
        assert_eq!(opened("olive oil 1 l tin"), None);
        assert_eq!(opened("tuna in oil, tin"), Some(2));
        // Hard ones from a shop take 3 to 5 days, and a ripe one is held 3 in a refrigerator.
        let avocado = kind_of("avocado").and_then(Kind::ripens_in);
        assert_eq!(avocado.map(|(s, l)| (s.days, l.days)), Some((3, 8)));
        let holds = kind_of("avocado").and_then(Kind::holds_ripe);
        assert_eq!(holds.map(|b| b.days), Some(3));
    }

    #[test]
    fn cooked_food_is_a_leftover_and_sour_dressings_are_not() {
        let tofu = [("firm tofu", Some("soy foods"))];
        let days = |name, frozen, foods: &[(&str, Option<&str>)]| {
            cooked_bound(name, frozen, foods).map(|b| b.days)
        };
        assert_eq!(days("baked tofu", false, &tofu), Some(4));
        assert_eq!(days("baked tofu", true, &tofu), Some(60));
        let oil = ("olive oil", Some("oils and fats"));
        let vinegar = ("red wine vinegar", Some("sauces and condiments"));
        assert_eq!(
            days("mustard vinaigrette", false, &[oil, vinegar]),
            Some(14)
        );
        let garlic = ("garlic", Some("vegetables"));
        assert_eq!(days("garlic dressing", false, &[oil, garlic]), Some(4));
        assert_eq!(days("soup", false, &[("water", None)]), Some(4));
        assert_eq!(days("spice mix", false, &[("cumin", Some("spices"))]), None);
    }
}
