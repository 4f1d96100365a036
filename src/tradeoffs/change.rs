//! What a question changes about the larder.

use super::rules::{Rule, allow};
use crate::larder::{
    Contents, Day, Flaw, FoodId, Larder, MILLI, NANO, Pack, PackId, Pin, RecipeId, ShopId,
    ShoppingTrip, Target, value_nano,
};

/// How often a bill counts, and how much what spoils.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Times {
    /// The bill, so many times over; 0: it alone, once.
    pub(super) bill: i64,
    /// Weight of what spoils, thousandths.
    pub(super) spoiled_milli: i64,
}

/// One change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Change {
    /// A rule is not in force.
    Drop(Rule),
    /// A rule is so many notches looser.
    Loosen(Rule, u8),
    /// A rule has this number, in the unit of its limit.
    Limit(Rule, i64),
    /// A food may not be used.
    BanFood(FoodId),
    /// Nothing may be bought at a shop.
    BanShop(ShopId),
    /// A pack option may not be bought, at its shop.
    BanPack(PackId),
    /// A recipe may not be served.
    BanRecipe(RecipeId),
    /// A recipe must be served.
    Pin(RecipeId),
    /// A food must be used.
    PinFood(FoodId),
    /// So many portions every day.
    Eaters(i64),
    /// A pack costs so much, minor units.
    Price(PackId, i64),
    /// The packs may cost so much, minor units.
    Budget(i64),
    /// A fruit ripens so many days later (or earlier, below 0), whatever its stage.
    Ripen(FoodId, i32),
    /// Every fruit that ripens may be cut from a day earlier to a day later.
    RipeLonger,
    /// One more shopping trip.
    TripOn(Day),
    /// What is paid for packs counts, so many times over, and what spoils at a weight in
    /// thousandths: where that is less than so many minor units for any week of interest, the
    /// least bill comes first and what spoils next. Times are a power of
    /// ten; 0: the bill alone, once.
    Bill(Times),
}

/// Returns the larder with all changes made.
///
/// # Errors
/// What is then wrong with it: nothing is asked of such a kitchen.
pub(super) fn changed(larder: &Larder, changes: &[Change]) -> Result<Larder, Vec<Flaw>> {
    larder.changed(|contents| make(contents, changes))
}

/// Makes all changes.
pub(super) fn make(new: &mut Contents, changes: &[Change]) {
    let dropped = |rule: Rule| changes.contains(&Change::Drop(rule));
    // First, before others add bans, and from where they stand in the larder as it is.
    let before = new.clone();
    for &change in changes {
        if let Change::Drop(Rule::Without(at)) = change {
            allow(&before, at, &mut new.wishes.without);
        }
    }
    for &change in changes {
        match change {
            Change::Drop(rule) => rule.drop(new),
            Change::Loosen(rule, notches) => rule.loosen(new, i64::from(notches)),
            Change::Limit(rule, value) => rule.set(new, value),
            Change::BanFood(food) => new.wishes.without.push(Target::Food(food)),
            Change::BanShop(shop) => new.wishes.without.push(Target::Shop(shop)),
            Change::BanPack(pack) => new.wishes.without.push(Target::Pack(pack)),
            Change::BanRecipe(recipe) => new.wishes.without.push(Target::Recipe(recipe)),
            Change::Pin(recipe) => new.wishes.with.push(Pin::Recipe(recipe, None)),
            Change::PinFood(food) => new.wishes.with.push(Pin::Food(food, None)),
            Change::Eaters(portions) => new.week.eaters_milli.fill(portions * MILLI),
            Change::Price(pack, price) => reprice(new, pack, price),
            Change::Budget(most) => new.wishes.budget_minor = Some(most),
            Change::Ripen(food, days) => ripen(new, food, days),
            Change::RipeLonger => ripe_longer(new),
            Change::TripOn(day) => {
                add_trip(new, day);
            }
            Change::Bill(times) => bill_only(new, times),
        }
    }
    // Last, so that a pin loosened above is still where it was.
    let mut at = 0;
    new.wishes.with.retain(|_| {
        at += 1;
        !dropped(Rule::With(at - 1))
    });
}

/// Adds a trip to the usual shop on a day after its first.
fn add_trip(larder: &mut Contents, day: Day) {
    let trips = &mut larder.week.trips;
    let new = ShoppingTrip {
        shop: trips[0].shop,
        ..ShoppingTrip::on(day)
    };
    let known = |trip: &ShoppingTrip| (trip.day, trip.shop) == (new.day, new.shop);
    if !trips.iter().any(known) {
        trips.push(new);
        trips[1..].sort_unstable_by_key(|trip| (trip.day, trip.shop));
    }
}

/// Sets the price of a pack as the kitchen files would: the value of what is left over of
/// it follows, and that of stock, which is valued as the food's first pack.
fn reprice(larder: &mut Contents, id: PackId, price_minor: i64) {
    let pack = &mut larder.packs[id.index()];
    pack.price_minor = price_minor;
    pack.value_nano = value_nano(price_minor, pack.unit_mg * pack.units);
    let (food, value) = (pack.food, pack.value_nano);
    if larder.foods[food.index()].packs.start == id.0 {
        for stock in larder.stock.iter_mut().filter(|stock| stock.food == food) {
            stock.value_nano = value;
        }
    }
}

/// Whether a pack is of something that ripens after the purchase.
pub(super) fn ripens(pack: &Pack) -> bool {
    pack.stage.is_some() || pack.ready_from > 0
}

fn ripen(larder: &mut Contents, food: FoodId, days: i32) {
    for pack in larder.packs.iter_mut().filter(|pack| pack.food == food) {
        // What ripens is told by its stage or by a window that opens after the purchase.
        if ripens(pack) {
            pack.ready_from = (pack.ready_from + days).max(0);
            pack.ready_to = (pack.ready_to + days).max(0);
            pack.end = (pack.end + days).max(0);
        }
    }
}

fn ripe_longer(larder: &mut Contents) {
    for pack in larder.packs.iter_mut().filter(|pack| ripens(pack)) {
        pack.ready_from = (pack.ready_from - 1).max(0);
        pack.ready_to += 1;
        pack.end += 1;
    }
}

fn bill_only(larder: &mut Contents, times: Times) {
    let wishes = &mut larder.wishes;
    wishes.order.clear();
    wishes.spoil_weight_milli = 0;
    if times.bill > 0 {
        wishes.spoil_weight_milli = times.spoiled_milli;
        wishes.budget_minor = wishes
            .budget_minor
            .map(|most| most.saturating_mul(times.bill));
        // What a milligram is worth stays as it is.
        for pack in &mut larder.packs {
            pack.price_minor *= times.bill;
        }
        // It is the same money in a smaller minor unit, and may be as much as any.
        larder.currency.digits += times.bill.ilog10() as u8;
    }
    wishes.food_price_minor = 0;
    wishes.minute_price_minor = 0;
    wishes.watch_price_minor = 0;
    wishes.trip_price_minor = 0;
    for trip in &mut larder.week.trips {
        trip.going_minor = None;
    }
    wishes.carry_credit_milli = 0;
    wishes.preferences.clear();
    for food in &mut larder.foods {
        food.staple_value_nano = 0;
    }
}

/// Money of a bill in the unit of objectives.
pub(super) fn nano(minor: i64) -> i64 {
    minor.saturating_mul(NANO)
}
