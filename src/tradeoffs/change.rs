//! What a question changes about the larder.

use super::rules::{Rule, allow};
use crate::larder::{Day, FoodId, Larder, MILLI, NANO, PackId, Pin, RecipeId, Target};

/// One change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Change {
    /// A rule is not in force.
    Drop(Rule),
    /// A rule is so many notches looser.
    Loosen(Rule, u8),
    /// A food may not be used.
    BanFood(FoodId),
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
    /// What is paid for packs counts, so many times over, and a thousandth of what spoils:
    /// where that is less than so many minor units for any week of interest, the least bill
    /// comes first and what spoils next. Times 0: the bill alone, once.
    Bill(i64),
}

/// Returns the larder with all changes made.
pub(super) fn changed(larder: &Larder, changes: &[Change]) -> Larder {
    let mut new = larder.clone();
    let dropped = |rule: Rule| changes.contains(&Change::Drop(rule));
    // First, before others add bans.
    for &change in changes {
        if let Change::Drop(Rule::Without(at)) = change {
            allow(larder, at, &mut new.wishes.without);
        }
    }
    for &change in changes {
        match change {
            Change::Drop(rule) => rule.drop(&mut new),
            Change::Loosen(rule, notches) => rule.loosen(&mut new, i64::from(notches)),
            Change::BanFood(food) => new.wishes.without.push(Target::Food(food)),
            Change::BanRecipe(recipe) => new.wishes.without.push(Target::Recipe(recipe)),
            Change::Pin(recipe) => new.wishes.with.push(Pin::Recipe(recipe, None)),
            Change::PinFood(food) => new.wishes.with.push(Pin::Food(food, None)),
            Change::Eaters(portions) => new.week.eaters_milli.fill(portions * MILLI),
            Change::Price(pack, price) => reprice(&mut new, pack, price),
            Change::Budget(most) => new.wishes.budget_minor = Some(most),
            Change::Ripen(food, days) => ripen(&mut new, food, days),
            Change::RipeLonger => ripe_longer(&mut new),
            Change::TripOn(day) => {
                new.week.trips.push(day);
                new.week.trips.sort_unstable();
                new.week.trips.dedup();
            }
            Change::Bill(times) => bill_only(&mut new, times),
        }
    }
    // Last, so that a pin loosened above is still where it was.
    let mut at = 0;
    new.wishes.with.retain(|_| {
        at += 1;
        !dropped(Rule::With(at - 1))
    });
    new
}

/// Sets the price of a pack as the kitchen files would: the value of what is left over of
/// it follows, and that of stock, which is valued as the food's first pack.
pub(super) fn reprice(larder: &mut Larder, id: PackId, price_minor: i64) {
    let pack = &mut larder.packs[id.index()];
    let size = i128::from(pack.unit_mg) * i128::from(pack.units);
    pack.price_minor = price_minor;
    pack.value_micro = ((i128::from(price_minor) * 2_000_000 + size) / (2 * size)) as i64;
    let (food, value) = (pack.food, pack.value_micro);
    if larder.foods[food.index()].packs.start == id.0 {
        for stock in larder.stock.iter_mut().filter(|stock| stock.food == food) {
            stock.value_micro = value;
        }
    }
}

fn ripen(larder: &mut Larder, food: FoodId, days: i32) {
    for pack in larder.packs.iter_mut().filter(|pack| pack.food == food) {
        // What ripens is told by its stage or by a window that opens after the purchase.
        if super::ripening::ripens(pack) {
            pack.ready_from = (pack.ready_from + days).max(0);
            pack.ready_to = (pack.ready_to + days).max(0);
            pack.end = (pack.end + days).max(0);
        }
    }
}

fn ripe_longer(larder: &mut Larder) {
    for pack in larder
        .packs
        .iter_mut()
        .filter(|pack| super::ripening::ripens(pack))
    {
        pack.ready_from = (pack.ready_from - 1).max(0);
        pack.ready_to += 1;
        pack.end += 1;
    }
}

fn bill_only(larder: &mut Larder, times: i64) {
    let wishes = &mut larder.wishes;
    wishes.order.clear();
    wishes.spoil_weight_milli = 0;
    if times > 0 {
        wishes.spoil_weight_milli = 1;
        wishes.budget_minor = wishes.budget_minor.map(|most| most.saturating_mul(times));
        // What a milligram is worth stays as it is.
        for pack in &mut larder.packs {
            pack.price_minor *= times;
        }
    }
    wishes.food_price_minor = 0;
    wishes.minute_price_minor = 0;
    wishes.trip_price_minor = 0;
    wishes.carry_credit_milli = 0;
    wishes.preferences.clear();
    for food in &mut larder.foods {
        food.staple_value_micro = 0;
    }
}

/// Money of a bill in the unit of objectives.
pub(super) fn nano(minor: i64) -> i64 {
    minor.saturating_mul(NANO)
}
