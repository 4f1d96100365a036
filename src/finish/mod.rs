//! Finishers: optional lines placed on a chosen week, from what its packs leave.
//!
//! The week stands; nothing in it changes. A finisher takes a food from units the week has
//! opened (inside their open life), from units it bought and left sealed (opened on a day on
//! which the finisher is eaten), or from a staple. Foods do not compete with each other, so
//! the most appeal of the week is the sum of the most appeal of each food, found by trying
//! every choice of its finishers. Of equally good choices the one that takes least wins,
//! then the earlier days. The result is judged by [`crate::rules::judge_finished`].

mod supply;

use crate::larder::allowed::foods_banned;
use crate::larder::{Day, FoodId, Ingredient, Larder, PackId, Trip};
use crate::plan::{Plan, Purchase};
use supply::{Need, Supply};

/// A finisher on a lunch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The lunch day.
    pub day: Day,
    /// Which of the recipe's finishers.
    pub finisher: usize,
    /// Its food.
    pub food: FoodId,
    /// Milligrams for all eaters.
    pub mg: i64,
}

impl Placed {
    fn of(need: &Need) -> Self {
        Self {
            day: need.day,
            finisher: need.finisher,
            food: need.food,
            mg: need.mg,
        }
    }
}

/// One more purchase and what it would lift.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// One pack.
    pub purchase: Purchase,
    /// Appeal gained.
    pub gain: i64,
    /// Its price, minor units.
    pub price_minor: i64,
    /// The lunches lifted, by day.
    pub lifts: Vec<Day>,
    /// Which rules have no room for it.
    pub beyond: Beyond,
}

/// The rules in force that have no room for a purchase.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Beyond {
    /// The cap on counted foods or families.
    pub cap: bool,
    /// The budget.
    pub budget: bool,
}

impl Beyond {
    /// Returns whether any rule has no room.
    pub fn any(self) -> bool {
        self.cap || self.budget
    }
}

/// A week with finishers.
#[derive(Clone, Debug)]
pub struct Finished {
    /// The week with what the finishers draw: openings and purchases added, nothing else.
    pub plan: Plan,
    /// By day, then as the recipe lists them.
    pub placed: Vec<Placed>,
    /// Purchases made for finishers.
    pub bought: Vec<Offer>,
    /// Single purchases that would bring more, the most appeal first, then the lowest
    /// price.
    pub offers: Vec<Offer>,
    /// Every choice was looked at; otherwise what is here is good, not proved the most.
    pub complete: bool,
}

impl Finished {
    /// Returns the appeal of all that is placed.
    pub fn appeal(&self, larder: &Larder) -> i64 {
        let of = |placed: &Placed| {
            let lunch = &self.plan.lunches[usize::from(placed.day) - 1];
            larder.recipes[lunch.recipe.index()].finishers[placed.finisher].appeal
        };
        self.placed.iter().map(of).sum()
    }
}

/// Places finishers on a judged week, with up to `purchases` further packs, one a food.
pub fn finish(larder: &Larder, plan: &Plan, purchases: usize) -> Finished {
    let mut finished = Finished {
        plan: plan.clone(),
        placed: Vec::new(),
        bought: Vec::new(),
        offers: Vec::new(),
        complete: true,
    };
    let mut foods: Vec<(FoodId, Vec<Need>)> = Vec::new();
    for need in needs(larder, plan) {
        if larder.foods[need.food.index()].staple {
            // The cupboard has it: nothing is drawn.
            finished.placed.push(Placed::of(&need));
            continue;
        }
        match foods.iter_mut().find(|(food, _)| *food == need.food) {
            Some((_, list)) => list.push(need),
            None => foods.push((need.food, vec![need])),
        }
    }
    foods.sort_by_key(|&(food, _)| food);
    let mut offers = Vec::new();
    for (at, (food, needs)) in foods.iter().enumerate() {
        let free = Supply::of(larder, plan, *food).best(needs);
        finished.complete &= free.complete;
        if let Some((offer, complete)) = offer(larder, plan, *food, needs, &free) {
            finished.complete &= complete;
            offers.push((offer, at));
        }
    }
    offers.sort_by_key(|(offer, _)| (-offer.gain, offer.price_minor, offer.purchase.clone()));
    let mut room = Room::new(larder, plan);
    let mut with: Vec<Option<Purchase>> = vec![None; foods.len()];
    for (mut offer, at) in offers {
        offer.beyond = room.lacks(larder, &offer);
        if finished.bought.len() < purchases && !offer.beyond.any() {
            room.take(larder, &offer);
            with[at] = Some(offer.purchase.clone());
            finished.bought.push(offer);
        } else {
            finished.offers.push(offer);
        }
    }
    for ((food, needs), purchase) in foods.iter().zip(&with) {
        if let Some(purchase) = purchase {
            add_purchase(&mut finished.plan, purchase);
        }
        let best = Supply::of(larder, &finished.plan, *food).best(needs);
        for &chosen in &best.chosen {
            finished.placed.push(Placed::of(&needs[chosen]));
        }
        best.draw(&mut finished.plan);
    }
    finished.placed.sort_by_key(|p| (p.day, p.finisher));
    finished
}

/// Every finisher of every lunch that takes a food that is not banned.
fn needs(larder: &Larder, plan: &Plan) -> Vec<Need> {
    let banned = foods_banned(larder);
    let mut needs = Vec::new();
    for (day, lunch) in (1..).zip(&plan.lunches) {
        let recipe = &larder.recipes[lunch.recipe.index()];
        for (finisher, entry) in recipe.finishers.iter().enumerate() {
            // Of a component nothing is left: batches are cooked to measure.
            let Ingredient::Food(food) = entry.alternative.what else {
                continue;
            };
            let mg = larder.for_eaters(entry.alternative.mg, day);
            if mg > 0 && !banned[food.index()] {
                needs.push(Need {
                    day,
                    finisher,
                    food,
                    mg,
                    appeal: entry.appeal,
                });
            }
        }
    }
    needs
}

/// The best single pack of a food, if one gains anything.
fn offer(
    larder: &Larder,
    plan: &Plan,
    food: FoodId,
    needs: &[Need],
    free: &supply::Choice,
) -> Option<(Offer, bool)> {
    let mut best: Option<Offer> = None;
    let mut complete = true;
    let with = |purchase: &Purchase| {
        let mut more = plan.clone();
        add_purchase(&mut more, purchase);
        Supply::of(larder, &more, food).best(needs)
    };
    for (pack, entry) in larder.packs_of(food) {
        for trip in trips(larder, plan).filter(|&trip| larder.sells(trip, pack)) {
            let mut purchase = Purchase {
                pack,
                trip,
                count: most_wanted(entry, needs),
            };
            let mut found = with(&purchase);
            complete &= found.complete;
            // Of loose goods no more steps than bring as much.
            let mut enough = purchase.count;
            let mut short = 0;
            while enough - short > 1 {
                let middle = short + (enough - short) / 2;
                purchase.count = middle;
                let fewer = with(&purchase);
                if fewer.appeal == found.appeal {
                    (enough, found) = (middle, fewer);
                } else {
                    short = middle;
                }
            }
            purchase.count = enough;
            let gain = found.appeal - free.appeal;
            if gain <= 0 {
                continue;
            }
            let lifts = found.chosen.iter().filter(|at| !free.chosen.contains(at));
            let offer = Offer {
                gain,
                price_minor: entry.price_minor * purchase.count,
                lifts: lifts.map(|&at| needs[at].day).collect(),
                purchase,
                beyond: Beyond::default(),
            };
            let key = |offer: &Offer| (-offer.gain, offer.price_minor, offer.purchase.clone());
            if best.as_ref().is_none_or(|old| key(&offer) < key(old)) {
                best = Some(offer);
            }
        }
    }
    best.map(|offer| (offer, complete))
}

/// The trips of the week: the first, and those on which it buys something anyway.
fn trips<'a>(larder: &Larder, plan: &'a Plan) -> impl Iterator<Item = Trip> + use<'a> {
    let made = |trip: &Trip| *trip == 0 || plan.purchases.iter().any(|p| p.trip == *trip);
    (0..larder.week.trips.len() as Trip).filter(made)
}

/// One pack; of loose goods as many weighing steps as all finishers take.
fn most_wanted(pack: &crate::larder::Pack, needs: &[Need]) -> i64 {
    if !pack.loose {
        return 1;
    }
    let all: i64 = needs.iter().map(|need| need.mg).sum();
    let step = (pack.unit_mg * pack.units).max(1);
    all.div_euclid(step) + i64::from(all % step > 0)
}

fn add_purchase(plan: &mut Plan, more: &Purchase) {
    let same = |p: &&mut Purchase| (p.pack, p.trip) == (more.pack, more.trip);
    if let Some(old) = plan.purchases.iter_mut().find(same) {
        old.count += more.count;
    } else {
        plan.purchases.push(more.clone());
        plan.purchases.sort();
    }
}

/// What the cap and the budget leave.
struct Room {
    /// Counted foods (or families) bought.
    bought: Vec<(bool, u32)>,
    cap: Option<usize>,
    by_family: bool,
    /// None without a budget.
    left_minor: Option<i64>,
}

impl Room {
    fn new(larder: &Larder, plan: &Plan) -> Self {
        let wishes = &larder.wishes;
        let spent: i64 = plan
            .purchases
            .iter()
            .map(|p| larder.packs[p.pack.index()].price_minor * p.count)
            .sum();
        let mut room = Self {
            bought: Vec::new(),
            cap: wishes.cap.and_then(|cap| usize::try_from(cap).ok()),
            by_family: wishes.cap_by == crate::larder::CapBy::Families,
            left_minor: wishes.budget_minor.map(|budget| budget - spent),
        };
        for purchase in &plan.purchases {
            room.count(larder, purchase.pack);
        }
        room
    }

    fn key(&self, larder: &Larder, pack: PackId) -> (bool, u32) {
        let food = larder.packs[pack.index()].food;
        match larder.foods[food.index()].family {
            Some(family) if self.by_family => (true, family.0),
            _ => (false, food.0),
        }
    }

    fn count(&mut self, larder: &Larder, pack: PackId) {
        let key = self.key(larder, pack);
        if !self.bought.contains(&key) {
            self.bought.push(key);
        }
    }

    fn lacks(&self, larder: &Larder, offer: &Offer) -> Beyond {
        let new = !self.bought.contains(&self.key(larder, offer.purchase.pack));
        let foods = self.bought.len() + usize::from(new);
        Beyond {
            cap: self.cap.is_some_and(|cap| foods > cap),
            budget: self.left_minor.is_some_and(|left| offer.price_minor > left),
        }
    }

    fn take(&mut self, larder: &Larder, offer: &Offer) {
        self.count(larder, offer.purchase.pack);
        if let Some(left) = &mut self.left_minor {
            *left -= offer.price_minor;
        }
    }
}
