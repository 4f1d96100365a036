//! Packs: what is bought, what is on hand, when units are opened and what comes out.
//!
//! Asks: a unit is opened inside its ready window and only on a day on which some of it is
//! used (at least a milligram each); what it holds is drawn on its good days, the day of
//! opening to `good(d) = min(d + k, end)`, and no more than it holds; no more units are
//! opened than were bought or are on hand; what is drawn of a food on a day is exactly
//! what that day's lunch and batches use. A unit on hand that is already open has a window
//! but no open life: it may be drawn from on any day of the window.
//!
//! A kitchen wants it because an unripe pear is no lunch and an opened tin does not keep
//! for ever: dates and opened lives are a matter of food safety. The figures are the
//! kitchen's own; follow the date on the pack and the local food code where stricter.
//! To loosen: `open_keeps`, `keeps`, `ready` or `end` of the pack, if it truly keeps;
//! another pack option or a further shopping trip.

use std::collections::BTreeMap;

use super::case::{Case, grams};
use super::finding::{Findings, RuleDoc};
use crate::larder::{Day, FoodId, ShopId};
use crate::plan::{Lot, Opening};

const PLAIN_SENSE: &str = "it cannot be loosened";

pub(super) const OPENED_BEFORE_BOUGHT: RuleDoc = RuleDoc {
    code: "opened-before-bought",
    asks: "a unit is opened on the day of its shopping trip or later",
    loosen: "add an earlier shopping day (`week: trips`)",
};
pub(super) const OPENED_BEFORE_RIPE: RuleDoc = RuleDoc {
    code: "opened-before-ripe",
    asks: "a unit is opened (or, if open already, used) no earlier than its ready window begins",
    loosen: "offer a riper stage as another pack option, or an earlier shopping day",
};
pub(super) const OPENED_TOO_LATE: RuleDoc = RuleDoc {
    code: "opened-too-late",
    asks: "a sealed unit is opened no later than its ready window ends",
    loosen: "raise `keeps` (or the end of `ready`) of the pack, if it truly keeps longer",
};
pub(super) const OPENED_WITHOUT_USE: RuleDoc = RuleDoc {
    code: "opened-without-use",
    asks: "every unit is opened on a day on which at least a milligram of it is used",
    loosen: PLAIN_SENSE,
};
pub(super) const DRAWN_BEFORE_OPENED: RuleDoc = RuleDoc {
    code: "drawn-before-opened",
    asks: "nothing is drawn from a unit before it is opened",
    loosen: PLAIN_SENSE,
};
pub(super) const DRAWN_AFTER_GOOD_DAY: RuleDoc = RuleDoc {
    code: "drawn-after-good-day",
    asks: "nothing is drawn from an opened unit after its last good day",
    loosen: "raise `open_keeps` (or `end`) of the pack, if it truly keeps and the local food code agrees",
};
pub(super) const DRAWN_MORE_THAN_IT_HOLDS: RuleDoc = RuleDoc {
    code: "drawn-more-than-it-holds",
    asks: "no more is drawn from opened units than they hold",
    loosen: PLAIN_SENSE,
};
pub(super) const MORE_UNITS_THAN_BOUGHT: RuleDoc = RuleDoc {
    code: "more-units-than-bought",
    asks: "no more units of a trip's packs are opened than were bought",
    loosen: PLAIN_SENSE,
};
pub(super) const MORE_UNITS_THAN_ON_HAND: RuleDoc = RuleDoc {
    code: "more-units-than-on-hand",
    asks: "a unit on hand is opened once",
    loosen: "list every unit on hand under `stock`",
};
pub(super) const NOT_SOLD_THERE: RuleDoc = RuleDoc {
    code: "not-sold-there",
    asks: "a pack is bought on a trip to a shop that sells it",
    loosen: "give the pack a price at that shop (`price` by shop), or go to the shop that has it \
             on another day (`week: shops`)",
};
pub(super) const USE_NOT_MET: RuleDoc = RuleDoc {
    code: "use-not-met",
    asks: "all a day uses of a counted food is drawn from opened units",
    loosen: PLAIN_SENSE,
};
pub(super) const DRAWN_WITHOUT_USE: RuleDoc = RuleDoc {
    code: "drawn-without-use",
    asks: "nothing is drawn that the day does not use",
    loosen: PLAIN_SENSE,
};

/// What the larder says of one lot, in days of the week.
pub(super) struct Terms {
    pub(super) food: FoodId,
    name: String,
    /// Day of the shopping trip, for what is bought.
    bought: Option<i64>,
    from: i64,
    to: i64,
    /// k, or `None` for what is already open.
    open_life: Option<i64>,
    end: i64,
    /// Edible milligrams of one unit.
    pub(super) unit_mg: i64,
    pub(super) value_nano: i64,
}

impl Terms {
    pub(super) fn of(case: &Case, lot: Lot) -> Self {
        match lot {
            Lot::Bought(pack, trip) => {
                let pack = &case.larder.packs[pack.index()];
                let day = i64::from(case.larder.trip_day(trip));
                Self {
                    food: pack.food,
                    name: format!("{} ({})", case.food(pack.food), pack.label),
                    bought: Some(day),
                    from: day + i64::from(pack.ready_from),
                    to: day + i64::from(pack.ready_to),
                    open_life: Some(i64::from(pack.open_life)),
                    end: day + i64::from(pack.end),
                    unit_mg: pack.unit_mg,
                    value_nano: pack.value_nano,
                }
            }
            Lot::Stock(id) => {
                let unit = &case.larder.stock[id.index()];
                let (to, end) = (i64::from(unit.ready_to), i64::from(unit.end));
                Self {
                    food: unit.food,
                    name: format!("{} on hand ({})", case.food(unit.food), unit.label),
                    bought: None,
                    from: i64::from(unit.ready_from),
                    to,
                    open_life: (!unit.opened).then(|| i64::from(unit.open_life)),
                    end: if unit.opened { end.min(to) } else { end },
                    unit_mg: unit.left_mg,
                    value_nano: unit.value_nano,
                }
            }
        }
    }

    /// Returns the last good day of units opened on `day`.
    pub(super) fn good(&self, day: i64) -> i64 {
        self.open_life
            .map_or(self.end, |life| self.end.min(day + life))
    }

    /// Returns the last day on which an untouched unit is good.
    pub(super) fn good_untouched(&self) -> i64 {
        if self.open_life.is_none() {
            self.end
        } else {
            self.to
        }
    }

    /// Returns what `opening` holds before anything is drawn.
    pub(super) fn holds(&self, opening: &Opening) -> i128 {
        i128::from(self.unit_mg) * i128::from(opening.units)
    }
}

pub(super) fn drawn(opening: &Opening) -> i128 {
    opening.draws.iter().map(|&(_, mg)| i128::from(mg)).sum()
}

/// Returns how many units of each lot are opened.
pub(super) fn units_opened(case: &Case) -> BTreeMap<Lot, i128> {
    let mut units = BTreeMap::new();
    for opening in &case.plan.openings {
        *units.entry(opening.lot).or_default() += i128::from(opening.units);
    }
    units
}

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for opening in &case.plan.openings {
        let terms = Terms::of(case, opening.lot);
        if in_window(case, &terms, opening, findings) {
            good_days(case, &terms, opening, findings);
        }
        amounts(case, &terms, opening, findings);
    }
    shops(case, findings);
    counts(case, findings);
    uses(case, findings);
}

/// Holds every purchase against the shop that its trip goes to.
fn shops(case: &Case, findings: &mut Findings) {
    let larder = case.larder;
    for purchase in &case.plan.purchases {
        let pack = &larder.packs[purchase.pack.index()];
        let trip = &larder.week.trips[usize::from(purchase.trip)];
        if pack.shop != trip.shop {
            let name = |shop: Option<ShopId>| match shop {
                Some(shop) => larder.shops[shop.index()].as_str(),
                None => "a shop without a name",
            };
            let detail = format!(
                "{} ({}) is sold at {} and bought at {} on {}",
                case.food(pack.food),
                pack.label,
                name(pack.shop),
                name(trip.shop),
                case.day(trip.day)
            );
            findings.add(&NOT_SOLD_THERE, detail);
        }
    }
}

/// Returns whether the units are opened inside their window; their good days mean
/// nothing otherwise.
fn in_window(case: &Case, terms: &Terms, opening: &Opening, findings: &mut Findings) -> bool {
    let (name, on) = (&terms.name, case.day(opening.day));
    let day = i64::from(opening.day);
    if let Some(bought) = terms.bought.filter(|&bought| day < bought) {
        let bought = case.day(bought);
        let detail = format!("{name} bought on {bought} is opened on {on}");
        findings.add(&OPENED_BEFORE_BOUGHT, detail);
    } else if day < terms.from {
        let ready = case.day(terms.from);
        let detail = format!("{name} is ready on {ready} and opened on {on}");
        findings.add(&OPENED_BEFORE_RIPE, detail);
    } else if terms.open_life.is_some() && day > terms.to {
        let detail = format!(
            "{name} may be opened to {} and is opened on {on}",
            case.day(terms.to)
        );
        findings.add(&OPENED_TOO_LATE, detail);
    } else {
        return true;
    }
    false
}

fn good_days(case: &Case, terms: &Terms, opening: &Opening, findings: &mut Findings) {
    let good = terms.good(i64::from(opening.day));
    for &(day, _) in &opening.draws {
        let (name, opened, on) = (&terms.name, case.day(opening.day), case.day(day));
        if day < opening.day {
            let detail = format!("{name} opened on {opened} is used on {on}");
            findings.add(&DRAWN_BEFORE_OPENED, detail);
        } else if i64::from(day) > good {
            let good = case.day(good);
            let detail = format!("{name} opened on {opened} is good to {good} and used on {on}");
            findings.add(&DRAWN_AFTER_GOOD_DAY, detail);
        }
    }
}

fn amounts(case: &Case, terms: &Terms, opening: &Opening, findings: &mut Findings) {
    let (name, on) = (&terms.name, case.day(opening.day));
    let first: i128 = opening
        .draws
        .iter()
        .filter(|&&(day, _)| day == opening.day)
        .map(|&(_, mg)| i128::from(mg))
        .sum();
    if first < i128::from(opening.units) {
        let detail = format!(
            "{name}: {} opened on {on}, {} used that day",
            opening.units,
            grams(first)
        );
        findings.add(&OPENED_WITHOUT_USE, detail);
    }
    let (taken, holds) = (drawn(opening), terms.holds(opening));
    if taken > holds {
        let detail = format!(
            "{name} opened on {on} holds {}, {} drawn",
            grams(holds),
            grams(taken)
        );
        findings.add(&DRAWN_MORE_THAN_IT_HOLDS, detail);
    }
}

fn counts(case: &Case, findings: &mut Findings) {
    let mut bought: BTreeMap<Lot, i128> = BTreeMap::new();
    for purchase in &case.plan.purchases {
        let units = i128::from(case.larder.packs[purchase.pack.index()].units);
        *bought
            .entry(Lot::Bought(purchase.pack, purchase.trip))
            .or_default() += units * i128::from(purchase.count);
    }
    for (lot, opened) in units_opened(case) {
        let (rule, has, how) = match lot {
            Lot::Bought(..) => (
                &MORE_UNITS_THAN_BOUGHT,
                bought.get(&lot).copied().unwrap_or(0),
                "bought",
            ),
            Lot::Stock(_) => (&MORE_UNITS_THAN_ON_HAND, 1, "on hand"),
        };
        if opened > has {
            let name = Terms::of(case, lot).name;
            findings.add(rule, format!("{name}: {has} units {how}, {opened} opened"));
        }
    }
}

fn uses(case: &Case, findings: &mut Findings) {
    // What each day draws beyond its use (below zero: what it lacks).
    let mut excess: BTreeMap<(FoodId, Day), i128> = BTreeMap::new();
    for (&(food, day), &mg) in &case.used {
        if !case.larder.foods[food.index()].staple {
            *excess.entry((food, day)).or_default() -= mg;
        }
    }
    for opening in &case.plan.openings {
        let food = Terms::of(case, opening.lot).food;
        for &(day, mg) in &opening.draws {
            *excess.entry((food, day)).or_default() += i128::from(mg);
        }
    }
    for ((food, day), mg) in excess {
        let (name, on) = (case.food(food), case.day(day));
        if mg < 0 {
            let detail = format!("{} of {name} used on {on} come from nowhere", grams(-mg));
            findings.add(&USE_NOT_MET, detail);
        } else if mg > 0 {
            let detail = format!("{} of {name} drawn on {on} are not used", grams(mg));
            findings.add(&DRAWN_WITHOUT_USE, detail);
        }
    }
}
