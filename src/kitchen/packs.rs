//! Reads the pack options of a food: size, price and keeping time.

use super::currency::money;
use super::drafts::{FoodDraft, Times};
use super::fault::{Priced, PutIn, Sink};
use super::fields::{self, Fields};
use super::gather::Named;
use super::keeping::stand_in;
use super::limits;
use super::node::{Node, Value};
use super::number::Decimal;
use super::place::At;
use super::prices::Prices;
use super::quantity;
use super::shops;
use super::wording::{Says, says, shown};
use crate::larder::{Currency, Food, FoodId, Pack, ShopId, WHOLE_YIELD, edible_mg, value_nano};
use crate::table::keeping::Place;
use crate::table::kinds::{Bound, State};
use chrono::NaiveDate;

pub(crate) const PACK_KEYS: [&str; 13] = [
    "pack",
    "size",
    "units",
    "price",
    "stage",
    "keeps",
    "kept",
    "dated",
    "ready",
    "open_keeps",
    "end",
    "loose",
    "assumed",
];

/// Reads `packs:` into the draft.
pub(crate) fn read(id: FoodId, entry: &Named, draft: &mut FoodDraft, till: &Till, sink: &mut Sink) {
    let example = "[{pack: 400 g tin, size: 240 g, price: 0.89, keeps: 365, open_keeps: 3}]";
    if entry.fields.need("packs", example, sink).is_none() {
        return;
    }
    let items = entry.fields.list("packs", limits::PACKS, sink);
    if items.is_empty() {
        sink.fault(
            entry.fields.value_at("packs"),
            "a food needs at least one pack option",
            format!("write one, like `packs: {example}`"),
        );
    }
    for item in items {
        let before = sink.count();
        if let Some((pack, times, offers)) = pack(id, item, draft, till, sink) {
            if let Some(index) = draft
                .packs
                .iter()
                .position(|other| other.label == pack.label)
            {
                let place = sink.place(draft.pack_at[index].0);
                sink.fault(
                    item.at,
                    format!(
                        "the pack `{}` already stands at {place}",
                        shown(&pack.label)
                    ),
                    "give each pack option of a food a label of its own",
                );
            }
            if draft.measures.pack.is_none() && sink.count() == before {
                draft.measures.pack = Some((pack.unit_mg, pack.units));
            }
            for offer in offers {
                let minor = offer.minor.unwrap_or(0);
                draft.packs.push(Pack {
                    shop: offer.shop,
                    price_minor: minor,
                    value_nano: value_nano(minor, pack.unit_mg * pack.units),
                    ..pack.clone()
                });
                draft.times.push(times);
                draft.pack_at.push((item.at, offer.at));
                draft.priced.push(Priced {
                    food: draft.food.name.clone(),
                    pack: pack.label.clone(),
                    shop: offer.shop.map(|shop| till.shops[shop.index()].clone()),
                    staple: draft.food.staple,
                    minor: offer.minor,
                    listed: offer.listed,
                });
            }
        }
    }
    draft.food.staple_value_nano = if draft.food.staple {
        draft
            .packs
            .iter()
            .map(|pack| pack.value_nano)
            .min()
            .unwrap_or(0)
    } else {
        0
    };
}

/// What a pack option costs is read with these.
pub(crate) struct Till<'a> {
    pub(crate) currency: &'a Currency,
    /// What the price lists say.
    pub(crate) listed: &'a Prices,
    /// The kitchen's shops; empty if it names none.
    pub(crate) shops: &'a [String],
}

/// A pack option at one shop.
struct Offer {
    shop: Option<ShopId>,
    minor: Option<i64>,
    /// Where the price stands.
    at: At,
    /// Day and shop of a price that a list has.
    listed: Option<(NaiveDate, String)>,
}

impl Till<'_> {
    /// Reads `price:`; what a list says of a shop counts before what stands here, which is held to
    /// its form all the same.
    fn offers(
        &self,
        fields: &Fields,
        (food, label): (&Food, Option<&str>),
        sink: &mut Sink,
    ) -> Vec<Offer> {
        let shops: Vec<Option<ShopId>> = if self.shops.is_empty() {
            vec![None]
        } else {
            let ids = (0..self.shops.len()).map(ShopId::new);
            ids.map(Some).collect()
        };
        let listed = |shop| self.listed.of(&food.name, label?, shop);
        let any_listed = shops.iter().any(|&shop| listed(shop).is_some());
        let mut written = self.written(fields, any_listed, sink);
        let mut offers = Vec::new();
        for shop in shops {
            let here = written.iter().position(|(other, ..)| *other == shop);
            let here = here.map(|at| written.swap_remove(at));
            let offer = match (listed(shop), here) {
                (Some(listed), _) => Offer {
                    shop,
                    minor: Some(listed.minor),
                    at: listed.at,
                    listed: Some((listed.date, listed.shop.clone())),
                },
                (None, Some((_, minor, at))) => Offer {
                    shop,
                    minor,
                    at,
                    listed: None,
                },
                (None, None) => continue,
            };
            if offer.minor == Some(0) && !food.staple {
                sink.fault(
                    offer.at,
                    "a pack that is bought has a price above 0",
                    "write its price; what is there already belongs in `stock:`",
                );
            }
            offers.push(offer);
        }
        offers
    }

    /// Returns the prices that stand in the pack option itself, with their places: one, which is
    /// the usual shop's, or several by shop. Never none where no list has one.
    fn written(
        &self,
        fields: &Fields,
        listed: bool,
        sink: &mut Sink,
    ) -> Vec<(Option<ShopId>, Option<i64>, At)> {
        let usual = (!self.shops.is_empty()).then(|| ShopId::new(0));
        let at = fields.value_at("price");
        let node = fields.get("price", sink);
        let Some(Value::Map(entries)) = node.map(|node| &node.value) else {
            let text = if listed {
                fields.text("price", sink)
            } else {
                fields.need_text("price", "0.89", sink)
            };
            let minor = text.and_then(|text| sink.take(at, money(text, self.currency, false)));
            let there = text.is_some() || !listed;
            return there.then_some((usual, minor, at)).into_iter().collect();
        };
        if self.shops.is_empty() {
            sink.fault(
                at,
                "a price by shop, in a kitchen that names no shops",
                "write one price (`price: 0.89`), or name the shops under `week: shops:`",
            );
            return vec![(None, None, at)];
        }
        let mut all: Vec<(Option<ShopId>, Option<i64>, At)> = Vec::new();
        for (key, value) in entries {
            let Some(shop) = shops::find(self.shops, &key.text) else {
                sink.refuse::<()>(key.at, shops::unknown(self.shops, &key.text));
                continue;
            };
            if all.iter().any(|(other, ..)| *other == Some(shop)) {
                sink.fault(key.at, "this shop stands twice", "keep one of the two");
                continue;
            }
            let text = fields::text(value, "price", limits::NAME, sink);
            let minor =
                text.and_then(|text| sink.take(value.at, money(text, self.currency, false)));
            all.push((Some(shop), minor, value.at));
        }
        if all.is_empty() {
            if entries.is_empty() {
                sink.fault(
                    at,
                    "no shop has it at a price",
                    format!("write one, like `price: {{{}: 0.89}}`", self.shops[0]),
                );
            }
            all.push((usual, None, at));
        }
        all
    }
}

/// Reads `kept:`, the place that `keeps` and `open_keeps` are meant for. It changes no plan: the
/// published time of that place is what they are held against.
fn kept(fields: &Fields, sink: &mut Sink) -> Option<Place> {
    let text = fields.text("kept", sink)?;
    match super::spelling::fold(text).as_str() {
        "shelf" => Some(Place::Counter),
        "refrigerator" => Some(Place::Refrigerator),
        "freezer" => Some(Place::Freezer),
        _ => sink.refuse(
            fields.value_at("kept"),
            says(
                format!("nothing is kept at `{}`", shown(text)),
                "write `kept: shelf`, `kept: refrigerator` or `kept: freezer`",
            ),
        ),
    }
}

fn days_form(what: &'static str, example: &'static str) -> Decimal {
    Decimal {
        places: 0,
        least: 0,
        most: limits::DAYS,
        what,
        example,
    }
}

fn pack(
    id: FoodId,
    item: &Node,
    draft: &FoodDraft,
    till: &Till,
    sink: &mut Sink,
) -> Option<(Pack, Times, Vec<Offer>)> {
    let fields = Fields::open(item, "a pack option", &PACK_KEYS, sink)?;
    let staple = draft.food.staple;
    let size = fields.need_text("size", "400 g", sink);
    let label = if staple {
        fields.text("pack", sink).or(size)
    } else {
        fields.need_text("pack", "400 g tin", sink)
    };
    let (unit_ap_mg, unit_mg) = size
        .and_then(|text| edible(text, draft, fields.value_at("size"), sink))
        .unwrap_or((1, 1));
    let count = Decimal {
        places: 0,
        least: 1,
        most: limits::UNITS,
        what: "a number of units in the pack",
        example: "4",
    };
    let units = fields.number("units", count, sink).unwrap_or(1);
    let offers = till.offers(&fields, (&draft.food, label), sink);
    let label = label.unwrap_or_default();
    let stage = fields.text("stage", sink);
    let place = kept(&fields, sink);
    // What the maker dates is not held against what is published of its kind.
    let dated = fields.flag("dated", false, sink);
    let keeping = if staple {
        keeping_of_staple(&fields, sink)
    } else {
        let asked = (stage, place);
        let published = |state| stand_in(draft, label, asked, state);
        let named = (draft.food.name.as_str(), label);
        keeping(&fields, dated, named, &published, sink)
    };
    assumed(&fields, (&draft.food.name, label), &keeping, sink);
    let edible_mg = i128::from(unit_mg) * i128::from(units);
    if edible_mg > i128::from(limits::MASS_MG) {
        sink.fault(
            fields.value_at("units"),
            "the whole pack is more than 1000 kg",
            "check `size` (of one unit) and `units` (how many in the pack)",
        );
    }
    let pack = Pack {
        food: id,
        label: label.to_owned(),
        stage: stage.map(str::to_owned),
        unit_ap_mg,
        unit_mg,
        units,
        shop: None,
        price_minor: 0,
        loose: keeping.loose,
        ready_from: keeping.ready_from,
        ready_to: keeping.ready_to,
        open_life: keeping.open_life,
        end: keeping.end,
        value_nano: 0,
    };
    let times = Times {
        place,
        sealed: keeping.times.sealed.filter(|_| !dated),
        ..keeping.times
    };
    Some((pack, times, offers))
}

/// Returns as-purchased and edible milligrams of a pack's size. A mass is as purchased; a measure
/// of the food is edible portion, as measures are.
fn edible(text: &str, draft: &FoodDraft, at: At, sink: &mut Sink) -> Option<(i64, i64)> {
    let share = i128::from(draft.food.yield_milli_percent);
    let name = &draft.food.name;
    let mg = draft.measures.take_size(text, name, at, sink)?;
    if quantity::is_mass(text) {
        let ep = edible_mg(mg, draft.food.yield_milli_percent);
        if ep == 0 {
            sink.fault(
                at,
                format!("nothing of `{}` is left after trimming", shown(text)),
                "check `size` and `yield`",
            );
            return None;
        }
        return Some((mg, ep));
    }
    let ap = (i128::from(mg) * i128::from(WHOLE_YIELD) + share - 1) / share;
    if ap > i128::from(limits::MASS_MG) {
        sink.fault(
            at,
            format!("`{}` is more than 1000 kg as purchased", shown(text)),
            "check `size` and `yield`",
        );
        return None;
    }
    Some((ap as i64, mg))
}

struct Keeping {
    loose: bool,
    ready_from: i32,
    ready_to: i32,
    open_life: i32,
    end: i32,
    times: Times,
}

/// A staple is always there; what is written about its keeping is read and not used.
fn keeping_of_staple(fields: &Fields, sink: &mut Sink) -> Keeping {
    let mut days = |key: &str| fields.number(key, days_form("days", "365"), sink);
    let times = Times {
        sealed: days("keeps"),
        opened: days("open_keeps"),
        ..Times::default()
    };
    days("end");
    fields.text("ready", sink);
    let far = limits::DAYS as i32;
    Keeping {
        loose: fields.flag("loose", false, sink),
        ready_from: 0,
        ready_to: far,
        open_life: far,
        end: far,
        times,
    }
}

/// Reads `assumed:`, the keys whose figures nobody has confirmed yet: they are told by `check`.
fn assumed(fields: &Fields, (name, pack): (&str, &str), keeping: &Keeping, sink: &mut Sink) {
    for item in fields.list("assumed", 2, sink) {
        let Some(word) = fields::text(item, "assumed", limits::NAME, sink) else {
            continue;
        };
        let known = [
            ("keeps", keeping.times.sealed),
            ("open_keeps", keeping.times.opened),
        ];
        let Some(&(key, days)) = known.iter().find(|(key, _)| *key == word) else {
            sink.fault(
                item.at,
                format!("`{}` is no figure that may be assumed", shown(word)),
                "write `keeps`, `open_keeps` or both",
            );
            continue;
        };
        match days.filter(|_| fields.has(key)) {
            Some(days) => sink.put_in(
                item.at,
                PutIn {
                    name: name.to_owned(),
                    pack: pack.to_owned(),
                    key,
                    days,
                    ..PutIn::default()
                },
            ),
            None => sink.fault(
                item.at,
                format!("`{key}` is said to be assumed, and does not stand here"),
                format!("write `{key}:`, or take it out of `assumed`"),
            ),
        }
    }
}

/// Reads how long a pack keeps; `published` gives the time that stands in for one left out.
fn keeping(
    fields: &Fields,
    dated: bool,
    (name, label): (&str, &str),
    published: &dyn Fn(State) -> Option<Bound>,
    sink: &mut Sink,
) -> Keeping {
    let put_in = |key: &'static str, days: i64, bound: Bound| PutIn {
        name: name.to_owned(),
        pack: label.to_owned(),
        key,
        days,
        published: Some((bound.where_kept(), bound.source)),
        ..PutIn::default()
    };
    let loose = fields.flag("loose", false, sink);
    let mut ready_from = 0;
    let mut ready_to = 0;
    match (fields.has("keeps"), fields.has("ready")) {
        (true, false) => {
            let form = days_form("a number of days", "7");
            ready_to = fields.number("keeps", form, sink).unwrap_or(0);
        }
        (false, true) => {
            if let Some(text) = fields.text("ready", sink)
                && let Some((lo, hi)) = sink.take(fields.value_at("ready"), window(text))
            {
                (ready_from, ready_to) = (lo, hi);
            }
        }
        (true, true) => sink.fault(
            fields.key_at("ready"),
            "a pack has `keeps` or `ready`, not both",
            "write `ready: 2..5` for a ripening fruit, `keeps: 7` for everything else",
        ),
        (false, false) => match published(State::Sealed).filter(|_| !dated) {
            Some(bound) => {
                ready_to = bound.days.into();
                sink.put_in(fields.at, put_in("keeps", ready_to, bound));
            }
            None => sink.fault(
                fields.at,
                "a pack option lacks `keeps`",
                "write the days an unopened unit stays good (`keeps: 7`), or `ready: 2..5` for a \
                 ripening fruit",
            ),
        },
    }
    let mut open = fields.number("open_keeps", days_form("a number of days", "3"), sink);
    if !loose
        && !fields.has("open_keeps")
        && let Some(bound) = published(State::Opened)
    {
        // Opened it keeps no longer than it would have unopened.
        let days = i64::from(bound.days);
        let days = if fields.has("ready") {
            days
        } else {
            days.min(ready_to)
        };
        open = Some(days);
        sink.put_in(fields.at, put_in("open_keeps", days, bound));
    }
    if open.is_none() && !loose && !fields.has("open_keeps") {
        sink.fault(
            fields.at,
            "a pack option lacks `open_keeps`",
            "write the days an opened unit stays good after the day of opening (`open_keeps: 3`), \
             or `loose: true` for goods sold by weight or piece",
        );
    }
    let default_end = if fields.has("ready") {
        ready_to + open.unwrap_or(0)
    } else {
        ready_to
    };
    let end_form = days_form("a number of days", "7");
    let mut end = fields.number("end", end_form, sink).unwrap_or(default_end);
    if end < ready_to {
        sink.fault(
            fields.value_at("end"),
            format!("`end: {end}` is before the last day it may be opened ({ready_to})"),
            format!("write {ready_to} or more, or leave `end` out"),
        );
        end = ready_to;
    }
    if end > limits::DAYS {
        end = limits::DAYS;
    }
    // Loose goods: k reaches from the first day of use to the end.
    let open_life = open.unwrap_or(if loose { end - ready_from } else { 0 });
    Keeping {
        loose,
        ready_from: ready_from as i32,
        ready_to: ready_to as i32,
        open_life: open_life as i32,
        end: end as i32,
        times: Times {
            place: None,
            sealed: fields.has("keeps").then_some(ready_to),
            opened: open,
            ready: fields.has("ready").then_some((ready_from, ready_to)),
        },
    }
}

/// Reads `lo..hi`.
fn window(text: &str) -> Result<(i64, i64), Says> {
    let form = days_form("a day", "2");
    let refused = || {
        says(
            format!("`{}` is not a ready window", shown(text)),
            "write first and last day after purchase with two points between, like `ready: 2..5`",
        )
    };
    let (lo, hi) = text.split_once("..").ok_or_else(refused)?;
    let lo = super::number::decimal(lo, form).map_err(|_| refused())?;
    let hi = super::number::decimal(hi, form).map_err(|_| refused())?;
    if lo > hi {
        return Err(says(
            format!("the ready window `{}` ends before it begins", shown(text)),
            format!("write the earlier day first: `ready: {hi}..{lo}`"),
        ));
    }
    Ok((lo, hi))
}
