//! Turns openings and purchases into what is left of every pack and what becomes of it.
//!
//! A lot (packs bought on one trip, or a unit on hand) is told in rows: its units opened
//! on one day together, and its unopened units together. In every row, and so in every
//! pack and in the totals, what was had is what was used plus what is left.

use super::days::{TripFacts, When};
use super::measured::Measured;
use super::uses::lot_value;
use crate::larder::{Currency, Household, Larder, NANO, PackId, StockId, Trip};
use crate::plan::{Lot, Opening, Plan};

/// Units of one lot in one state at the end of the week.
#[derive(Clone, Debug)]
pub struct LeftoverFacts {
    /// The food.
    pub food: String,
    /// The pack's label, or what the cook calls the unit on hand.
    pub pack: String,
    /// Ripeness at purchase.
    pub stage: Option<String>,
    /// Bought this week or on hand before.
    pub origin: Origin,
    /// Sold by weight or piece: the units are weighing steps.
    pub loose: bool,
    /// Units in this row.
    pub units: i64,
    /// Units in a whole pack.
    pub pack_units: i64,
    /// Edible milligrams they held.
    pub had_mg: i64,
    /// Edible milligrams used.
    pub used_mg: i64,
    /// Edible milligrams left.
    pub left_mg: i64,
    /// Value of what is left, 1e-9 minor units.
    pub value_nano: i64,
    /// Value of what they held, 1e-9 minor units.
    pub had_nano: i64,
    /// Edible milligrams used on each day, by day: on a lunch day, or when a batch is cooked.
    pub draws: Vec<(When, i64)>,
    /// The day opened; `None` is unopened, or stock that was open already and is not used.
    pub opened_on: Option<When>,
    /// Last day what is left is good.
    pub good_until: When,
    /// What becomes of what is left.
    pub fate: Fate,
    /// What is left, and what measures of it weigh: what a cook counts, or the vessel.
    pub measured: Measured,
}

impl LeftoverFacts {
    /// Returns whether what is left is under five grams, or worth less than five hundredths.
    pub fn is_trifle(&self, currency: &Currency) -> bool {
        is_trifle(currency, self.left_mg, self.value_nano)
    }
}

/// Where a unit comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Bought on that trip.
    Bought(TripFacts),
    /// On hand when the week starts.
    Stock,
}

/// What becomes of a remainder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// Nothing is left.
    UsedUp,
    /// Still good on the carry day.
    Kept,
    /// Gone before the carry day.
    Spoiled,
}

/// Sums over all rows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftoverTotals {
    /// Milligrams had.
    pub had_mg: i64,
    /// Milligrams used.
    pub used_mg: i64,
    /// Milligrams left and still good on the carry day.
    pub kept_mg: i64,
    /// Milligrams left and spoiled.
    pub spoiled_mg: i64,
    /// Value of what is kept, 1e-9 minor units.
    pub kept_nano: i64,
    /// Value of what is spoiled, 1e-9 minor units, unweighted.
    pub spoiled_nano: i64,
}

/// What a row is made from.
struct Row<'a> {
    lot: Lot,
    label: &'a str,
    stage: Option<&'a String>,
    origin: Origin,
    loose: bool,
    units: i64,
    pack_units: i64,
    had_mg: i64,
    opening: Option<&'a Opening>,
    good_until: i32,
}

/// Milligrams below which what is left is a trifle.
const TRIFLE_MG: i64 = 5_000;

/// Five hundredths, of a currency that has them; 1e-9 minor units.
fn trifle_nano(currency: &Currency) -> i64 {
    5 * 10_i64.pow(u32::from(currency.digits.saturating_sub(2))) * NANO
}

/// Returns whether so much of a food, worth so much, 1e-9 minor units, is not worth a word.
pub fn is_trifle(currency: &Currency, mg: i64, nano: i64) -> bool {
    mg < TRIFLE_MG || nano < trifle_nano(currency)
}

pub(super) fn leftovers(larder: &Larder, plan: &Plan) -> (Vec<LeftoverFacts>, LeftoverTotals) {
    let mut rows = Vec::new();
    for bought in &plan.purchases {
        let pack = &larder.packs[bought.pack.index()];
        push_bought(
            larder,
            plan,
            (bought.pack, bought.trip),
            bought.count * pack.units,
            &mut rows,
        );
    }
    for index in 0..larder.stock.len() {
        push_stock(larder, plan, StockId::new(index), &mut rows);
    }
    // By food, bought before stock; rows of a lot stay in day order, unopened last.
    rows.sort_by_key(|row| (lot_value(larder, row.lot).0, row.lot));
    let facts: Vec<LeftoverFacts> = rows.iter().map(|row| tell(larder, row)).collect();
    let mut totals = LeftoverTotals::default();
    for row in &facts {
        totals.had_mg += row.had_mg;
        totals.used_mg += row.used_mg;
        match row.fate {
            Fate::UsedUp => {}
            Fate::Kept => {
                totals.kept_mg += row.left_mg;
                totals.kept_nano += row.value_nano;
            }
            Fate::Spoiled => {
                totals.spoiled_mg += row.left_mg;
                totals.spoiled_nano += row.value_nano;
            }
        }
    }
    (facts, totals)
}

fn push_bought<'a>(
    larder: &'a Larder,
    plan: &'a Plan,
    (id, trip): (PackId, Trip),
    units: i64,
    rows: &mut Vec<Row<'a>>,
) {
    let pack = &larder.packs[id.index()];
    let bought_on = i32::from(larder.trip_day(trip));
    let lot = Lot::Bought(id, trip);
    let row = |units: i64, opening: Option<&'a Opening>, good_until: i32| Row {
        lot,
        label: &pack.label,
        stage: pack.stage.as_ref(),
        origin: Origin::Bought(TripFacts::new(larder, trip)),
        loose: pack.loose,
        pack_units: pack.units,
        units,
        had_mg: units * pack.unit_mg,
        opening,
        good_until,
    };
    let mut unopened = units;
    for opening in plan.openings.iter().filter(|opening| opening.lot == lot) {
        unopened -= opening.units;
        let good = (i32::from(opening.day) + pack.open_life).min(bought_on + pack.end);
        rows.push(row(opening.units, Some(opening), good));
    }
    if unopened > 0 {
        rows.push(row(unopened, None, bought_on + pack.ready_to));
    }
}

fn push_stock<'a>(larder: &'a Larder, plan: &'a Plan, id: StockId, rows: &mut Vec<Row<'a>>) {
    let stock = &larder.stock[id.index()];
    let lot = Lot::Stock(id);
    let opening = plan.openings.iter().find(|opening| opening.lot == lot);
    let good_until = match opening {
        Some(opening) if !stock.opened => (i32::from(opening.day) + stock.open_life).min(stock.end),
        _ if stock.opened => stock.ready_to.min(stock.end),
        _ => stock.ready_to,
    };
    rows.push(Row {
        lot,
        label: &stock.label,
        stage: None,
        origin: Origin::Stock,
        loose: false,
        units: 1,
        pack_units: 1,
        had_mg: stock.left_mg,
        opening,
        good_until,
    });
}

fn tell(larder: &Larder, row: &Row) -> LeftoverFacts {
    let (food, value_nano) = lot_value(larder, row.lot);
    let used_mg = row
        .opening
        .map_or(0, |opening| opening.draws.iter().map(|&(_, mg)| mg).sum());
    let left_mg = row.had_mg - used_mg;
    LeftoverFacts {
        measured: measured(&larder.foods[food.index()].household, row, left_mg),
        food: larder.foods[food.index()].name.clone(),
        pack: row.label.to_owned(),
        stage: row.stage.cloned(),
        origin: row.origin.clone(),
        loose: row.loose,
        units: row.units,
        pack_units: row.pack_units,
        had_mg: row.had_mg,
        used_mg,
        left_mg,
        value_nano: left_mg * value_nano,
        had_nano: row.had_mg.saturating_mul(value_nano),
        draws: row.opening.map_or(Vec::new(), |opening| {
            let draws = opening.draws.iter();
            draws
                .map(|&(day, mg)| (When::new(larder, i32::from(day)), mg))
                .collect()
        }),
        opened_on: row
            .opening
            .map(|opening| When::new(larder, i32::from(opening.day))),
        good_until: When::new(larder, row.good_until),
        fate: if left_mg == 0 {
            Fate::UsedUp
        } else if row.good_until >= larder.week.carry_day {
            Fate::Kept
        } else {
            Fate::Spoiled
        },
    }
}

/// What a pack's unit may be called, so that half of one says something.
const VESSELS: [&str; 22] = [
    "bag", "ball", "block", "bottle", "box", "bulb", "bunch", "can", "carton", "head", "heart",
    "jar", "loaf", "pack", "packet", "punnet", "pot", "sack", "slab", "tin", "tray", "tub",
];

/// Words under which whole things are counted, whatever the pack; slices of what is sold so.
const PIECES: [&str; 3] = ["piece", "slice", "clove"];

/// What is left, in pieces where the food is counted, or in units of its pack.
fn measured(household: &Household, row: &Row, mg: i64) -> Measured {
    let unit_mg = row.had_mg / row.units.max(1);
    let unit = vessel(row)
        .filter(|_| unit_mg > 0)
        .map(|word| (word.to_owned(), unit_mg));
    let counted = PIECES
        .into_iter()
        .filter(|&word| word != "slice" || row.label.contains("slice"))
        .find_map(|word| household.counted.iter().find(|(name, _)| name == word));
    Measured {
        mg,
        cup_mg: household.cup_mg,
        counted: counted.cloned().or(unit),
    }
}

/// What a unit of a pack is called, as its label has it: the jar of a `12 oz jar`, the block of a
/// `twin pack of 16 oz blocks`. None where the label does not say, or speaks of a part.
fn vessel(row: &Row) -> Option<&'static str> {
    let parts = ["half", "third", "quarter"];
    if row.loose || row.origin == Origin::Stock || parts.iter().any(|part| row.label.contains(part))
    {
        return None;
    }
    let (head, content) = row.label.split_once(" of ").unwrap_or((row.label, ""));
    let words = if row.pack_units > 1 { content } else { head };
    let last = words.split_whitespace().next_back()?;
    let name = if row.pack_units > 1 {
        last.strip_suffix('s')?
    } else {
        last
    };
    VESSELS.into_iter().find(|&word| word == name)
}
