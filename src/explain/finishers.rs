//! Tells what finishers a week can have.

use std::collections::BTreeSet;

use super::days::When;
use super::leftovers::{LeftoverFacts, LeftoverTotals, leftovers};
use super::lunches::allergens;
use super::measured::{Measured, measured, name_of};
use crate::finish::{Beyond, Finished, Offer};
use crate::larder::allowed::foods_banned;
use crate::larder::{Day, FoodId, Ingredient, Larder};
use crate::plan::{Lunch, Purchase};

/// The finishers of a week.
#[derive(Clone, Debug)]
pub struct FinisherFacts {
    /// Every lunch that has any, in day order.
    pub lunches: Vec<FinishedLunch>,
    /// Appeal of all that is placed.
    pub appeal: i64,
    /// Packs bought for them.
    pub bought: Vec<OfferFacts>,
    /// Single packs that would bring more, the most appeal first.
    pub offers: Vec<OfferFacts>,
    /// No choice of finishers has more appeal, proved.
    pub proved: bool,
    /// Price of all packs of the finished week, minor units.
    pub packs_minor: i64,
    /// Of it, price of the packs bought for finishers, minor units.
    pub bought_minor: i64,
    /// Counted foods bought for the finished week.
    pub foods: i64,
    /// What is left of every pack of the finished week.
    pub leftovers: Vec<LeftoverFacts>,
    /// Their sums.
    pub leftover_totals: LeftoverTotals,
}

/// A lunch and its finishers.
#[derive(Clone, Debug)]
pub struct FinishedLunch {
    /// When it is eaten.
    pub when: When,
    /// Its recipe.
    pub recipe: String,
    /// What is placed on it.
    pub placed: Vec<FinisherLine>,
    /// Names of the finishers it goes without.
    pub left_off: Vec<String>,
    /// Allergens that the finishers add to the lunch, sorted.
    pub new_allergens: Vec<String>,
}

/// A finisher on a lunch.
#[derive(Clone, Debug)]
pub struct FinisherLine {
    /// Its food.
    pub food: String,
    /// Quantity a portion, as the cook wrote it.
    pub written: String,
    /// Milligrams for all eaters.
    pub all_mg: i64,
    /// The same in a cook's measures.
    pub amount: Measured,
    /// How much it lifts the lunch.
    pub appeal: i64,
    /// From the cupboard: a staple.
    pub staple: bool,
}

/// A pack and what it would lift.
#[derive(Clone, Debug)]
pub struct OfferFacts {
    /// The food.
    pub food: String,
    /// The pack.
    pub pack: String,
    /// How many.
    pub count: i64,
    /// Position of the trip it would be bought on.
    pub trip: usize,
    /// Day of the trip.
    pub when: When,
    /// The shop, if the kitchen names shops.
    pub shop: Option<String>,
    /// Price of all, minor units.
    pub price_minor: i64,
    /// Appeal gained.
    pub gain: i64,
    /// The lunches lifted.
    pub lifts: Vec<When>,
    /// Which rules have no room for it.
    pub beyond: Beyond,
}

/// Tells a week's finishers.
pub(super) fn finishers(larder: &Larder, finished: &Finished) -> FinisherFacts {
    let lunches = (1..)
        .zip(&finished.plan.lunches)
        .filter_map(|(day, lunch)| {
            let recipe = &larder.recipes[lunch.recipe.index()];
            if recipe.finishers.is_empty() {
                return None;
            }
            let here = finished.placed.iter().filter(|placed| placed.day == day);
            let here: Vec<_> = here
                .map(|placed| (placed.finisher, placed.food, placed.mg))
                .collect();
            Some(finished_lunch(larder, (day, lunch), &here))
        })
        .collect();
    let offers = |offers: &[Offer]| offers.iter().map(|offer| tell(larder, offer)).collect();
    let price = |bought: &Purchase| larder.packs[bought.pack.index()].price_minor * bought.count;
    let bought = finished.plan.purchases.iter();
    let foods: BTreeSet<FoodId> = bought
        .map(|bought| larder.packs[bought.pack.index()].food)
        .collect();
    let (leftovers, leftover_totals) = leftovers(larder, &finished.plan);
    FinisherFacts {
        lunches,
        appeal: finished.appeal(larder),
        bought: offers(&finished.bought),
        offers: offers(&finished.offers),
        proved: finished.complete,
        packs_minor: finished.plan.purchases.iter().map(price).sum(),
        bought_minor: finished.bought.iter().map(|offer| offer.price_minor).sum(),
        foods: foods.len() as i64,
        leftovers,
        leftover_totals,
    }
}

/// A lunch with these finishers: which of its recipe's, the food, milligrams for all eaters.
fn finished_lunch(
    larder: &Larder,
    (day, lunch): (Day, &Lunch),
    here: &[(usize, FoodId, i64)],
) -> FinishedLunch {
    let recipe = &larder.recipes[lunch.recipe.index()];
    let line = |&(at, food, mg): &(usize, FoodId, i64)| {
        let entry = &recipe.finishers[at];
        let food = &larder.foods[food.index()];
        FinisherLine {
            food: food.name.clone(),
            written: entry.alternative.written.clone(),
            all_mg: mg,
            amount: measured(larder, &entry.alternative, mg),
            appeal: entry.appeal,
            staple: food.staple,
        }
    };
    let without = (0..recipe.finishers.len()).filter(|at| here.iter().all(|one| one.0 != *at));
    let name = |at: usize| name_of(larder, recipe.finishers[at].alternative.what);
    let main = allergens(larder, lunch);
    let added: BTreeSet<String> = here
        .iter()
        .flat_map(|(_, food, _)| larder.foods[food.index()].allergens.iter().cloned())
        .filter(|allergen| !main.contains(allergen))
        .collect();
    FinishedLunch {
        when: When::new(larder, i32::from(day)),
        recipe: recipe.name.clone(),
        placed: here.iter().map(line).collect(),
        left_off: without.map(name).collect(),
        new_allergens: added.into_iter().collect(),
    }
}

/// A lunch with all its finishers that bans leave, for those who eat on the first day; none if its
/// recipe has none.
pub(super) fn all_finishers(larder: &Larder, lunch: &Lunch) -> Option<FinishedLunch> {
    let finishers = &larder.recipes[lunch.recipe.index()].finishers;
    if finishers.is_empty() {
        return None;
    }
    let banned = foods_banned(larder);
    let each = finishers.iter().enumerate();
    let left: Vec<_> = each
        .filter_map(|(at, one)| match one.alternative.what {
            Ingredient::Food(food) if !banned[food.index()] => {
                Some((at, food, larder.for_eaters(one.alternative.mg, 1)))
            }
            _ => None,
        })
        .collect();
    Some(finished_lunch(larder, (1, lunch), &left))
}

fn tell(larder: &Larder, offer: &Offer) -> OfferFacts {
    let pack = &larder.packs[offer.purchase.pack.index()];
    let food: FoodId = pack.food;
    let day = larder.trip_day(offer.purchase.trip);
    OfferFacts {
        food: larder.foods[food.index()].name.clone(),
        pack: pack.label.clone(),
        count: offer.purchase.count,
        trip: usize::from(offer.purchase.trip),
        when: When::new(larder, i32::from(day)),
        shop: larder.shop_of(offer.purchase.pack).map(str::to_owned),
        price_minor: offer.price_minor,
        gain: offer.gain,
        lifts: offer
            .lifts
            .iter()
            .map(|&day| When::new(larder, i32::from(day)))
            .collect(),
        beyond: offer.beyond,
    }
}
