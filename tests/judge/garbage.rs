//! Asks whether the judge stays calm whatever it is handed: no plan makes it panic, and no
//! single change to the good week's amounts passes unnoticed.

use super::boatyard;
use scant::larder::{ComponentId, FoodId, Larder, PackId, RecipeId, StockId};
use scant::plan::{Batch, Lot, Lunch, Opening, Plan, Purchase};
use scant::rules::judge;

/// A fixed sequence (splitmix64, S. Vigna, public domain; from memory), so that a failure
/// comes back.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, limit: u64) -> u64 {
        self.roll() % limit
    }

    /// Mostly small, now and then the ends of the type.
    fn amount(&mut self) -> i64 {
        match self.below(12) {
            0 => 0,
            1 => -1,
            2 => i64::MAX,
            3 => i64::MIN,
            4 => 1 << 53,
            _ => self.below(700_000) as i64,
        }
    }

    fn day(&mut self) -> u8 {
        if self.below(20) == 0 {
            255
        } else {
            self.below(6) as u8
        }
    }

    fn id(&mut self, count: usize) -> u32 {
        if self.below(40) == 0 {
            u32::MAX
        } else {
            self.below(count as u64 + 1) as u32
        }
    }

    fn several<T>(&mut self, most: u64, mut one: impl FnMut(&mut Self) -> T) -> Vec<T> {
        (0..self.below(most + 1)).map(|_| one(self)).collect()
    }

    fn amounts(&mut self) -> Vec<(u8, i64)> {
        self.several(3, |dice| (dice.day(), dice.amount()))
    }
}

fn wild(dice: &mut Dice, larder: &Larder) -> Plan {
    let lot = |dice: &mut Dice| {
        if dice.below(3) == 0 {
            Lot::Stock(StockId(dice.id(larder.stock.len())))
        } else {
            Lot::Bought(PackId(dice.id(larder.packs.len())), dice.below(3) as u8)
        }
    };
    let lunches = if dice.below(4) == 0 {
        1 + dice.below(20)
    } else {
        4
    };
    let mut plan = Plan {
        lunches: (0..lunches)
            .map(|_| Lunch {
                recipe: RecipeId(dice.id(larder.recipes.len())),
                taken: vec![dice.below(2) as u16; 3],
            })
            .collect(),
        batches: dice.several(3, |dice| Batch {
            component: ComponentId(dice.id(0)),
            day: dice.day(),
            serves: dice.amounts(),
            foods: dice.several(3, |dice| {
                (FoodId(dice.id(larder.foods.len())), dice.amount())
            }),
        }),
        purchases: dice.several(5, |dice| Purchase {
            pack: PackId(dice.id(larder.packs.len())),
            trip: dice.below(3) as u8,
            count: dice.amount(),
        }),
        openings: dice.several(6, |dice| Opening {
            lot: lot(dice),
            day: dice.day(),
            units: dice.amount(),
            draws: dice.amounts(),
        }),
    };
    if dice.below(2) == 0 {
        tidy(&mut plan, larder);
    }
    plan
}

/// Sorts, drops doubles and empty entries, so that more than the shape is judged.
fn tidy(plan: &mut Plan, larder: &Larder) {
    const MOST: i64 = 1 << 53;
    let recipes = larder.recipes.len() as u32;
    plan.lunches.resize(4, plan.lunches[0].clone());
    for lunch in &mut plan.lunches {
        lunch.recipe.0 %= recipes;
        let lines = larder.recipes[lunch.recipe.index()].lines.len();
        lunch.taken = vec![0; lines];
    }
    let sound = |mg: &i64| (1..=MOST).contains(mg);
    for batch in &mut plan.batches {
        batch
            .serves
            .retain(|(day, mg)| (1..=4).contains(day) && sound(mg));
        batch.serves.sort_unstable();
        batch.serves.dedup_by_key(|(day, _)| *day);
        batch.foods.retain(|(_, mg)| sound(mg));
        batch.foods.sort_unstable();
        batch.foods.dedup_by_key(|(food, _)| *food);
    }
    plan.batches
        .retain(|batch| !batch.serves.is_empty() && batch.day <= 4);
    plan.batches.sort();
    plan.batches
        .dedup_by_key(|batch| (batch.component, batch.day));
    // The staples' packs are 2 and 3.
    let counted = |pack: PackId| pack.0 != 2 && pack.0 != 3;
    plan.purchases
        .retain(|buy| sound(&buy.count) && counted(buy.pack));
    plan.purchases.sort();
    plan.purchases.dedup_by_key(|buy| (buy.pack, buy.trip));
    for opening in &mut plan.openings {
        opening.draws.retain(|(day, mg)| *day <= 4 && sound(mg));
        opening.draws.sort_unstable();
        opening.draws.dedup_by_key(|(day, _)| *day);
    }
    plan.openings.retain(|opening| {
        opening.day <= 4
            && sound(&opening.units)
            && !matches!(opening.lot, Lot::Bought(pack, _) if !counted(pack))
    });
    plan.openings.sort();
    plan.openings
        .dedup_by_key(|opening| (opening.lot, opening.day));
}

#[test]
fn no_wild_plan_makes_the_judge_panic_and_none_is_a_week() {
    let larder = boatyard::larder();
    let mut dice = Dice(1);
    let shape = [
        "lunches-miscounted",
        "not-in-the-larder",
        "line-not-filled",
        "no-such-day",
    ];
    let mut beyond_shape = 0;
    for _ in 0..20_000 {
        let plan = wild(&mut dice, &larder);
        let findings = judge(&larder, &plan).expect_err("chance cooks no lunch");
        assert!(!findings.is_empty());
        if findings.iter().any(|finding| finding.code == "use-not-met") {
            beyond_shape += 1;
            assert!(
                findings
                    .iter()
                    .all(|finding| !shape.contains(&finding.code))
            );
        }
    }
    assert!(
        beyond_shape > 200,
        "only {beyond_shape} plans of sound shape"
    );
}

#[test]
fn no_single_change_of_an_amount_passes_unnoticed() {
    let (larder, good) = (boatyard::larder(), boatyard::plan());
    for step in [-1_i64, 1] {
        for batch in 0..good.batches.len() {
            for position in 0..2 {
                let mut plan = good.clone();
                plan.batches[batch].foods[position].1 += step;
                assert!(judge(&larder, &plan).is_err());
            }
            let mut plan = good.clone();
            plan.batches[batch].serves[0].1 += step;
            assert!(judge(&larder, &plan).is_err());
        }
        for index in 0..good.openings.len() {
            for position in 0..good.openings[index].draws.len() {
                let mut plan = good.clone();
                plan.openings[index].draws[position].1 += step;
                assert!(judge(&larder, &plan).is_err(), "opening {index}");
            }
        }
    }
}

#[test]
fn a_plan_moved_from_day_to_day_is_judged_without_panic() {
    let larder = boatyard::larder();
    let mut dice = Dice(2);
    let mut accepted = 0;
    for _ in 0..20_000 {
        let mut plan = boatyard::plan();
        for _ in 0..=dice.below(3) {
            match dice.below(6) {
                0 => {
                    let (a, b) = (dice.below(4) as usize, dice.below(4) as usize);
                    plan.lunches.swap(a, b);
                }
                1 => plan.batches[dice.below(2) as usize].day = dice.below(5) as u8,
                2 => plan.purchases[dice.below(5) as usize].count = dice.below(4) as i64,
                3 => plan.openings[dice.below(8) as usize].day = dice.below(5) as u8,
                4 => plan.openings[dice.below(8) as usize].units = dice.below(4) as i64,
                _ => plan.lunches[3].taken[1] = dice.below(2) as u16,
            }
        }
        accepted += i32::from(judge(&larder, &plan).is_ok());
    }
    // Some changes are none, or harmless: one pack more than needed, say.
    assert!((100..15_000).contains(&accepted), "{accepted} accepted");
    assert!(judge(&larder, &boatyard::plan()).is_ok());
}
