//! Shape: does the plan say something that can be worked out at all?
//!
//! Asks: one lunch for each lunch day, one alternative for every line; only things that
//! the larder holds and days that the week has; lists in their set order, each entry
//! once, no entry of nothing; no pack of a staple; no figure beyond what adds up exactly.
//!
//! A kitchen wants it because everything else is computed from these lists, and because
//! equal plans must be equal values. It cannot be loosened: a plan that breaks it was
//! damaged after it was made, or is not a plan.

use super::finding::{Findings, RuleDoc};
use crate::larder::{Day, FoodId, Larder, PackId};
use crate::plan::{Lot, Plan};

const PLAIN_SENSE: &str = "it cannot be loosened: without it the plan has no meaning";

pub(super) const LUNCHES_MISCOUNTED: RuleDoc = RuleDoc {
    code: "lunches-miscounted",
    asks: "every lunch day has exactly one lunch",
    loosen: "plan a week with another number of lunches (`week: lunches`)",
};
pub(super) const NOT_IN_THE_LARDER: RuleDoc = RuleDoc {
    code: "not-in-the-larder",
    asks: "every recipe, component, food, pack, unit on hand and trip named is the kitchen's own",
    loosen: PLAIN_SENSE,
};
pub(super) const LINE_NOT_FILLED: RuleDoc = RuleDoc {
    code: "line-not-filled",
    asks: "every line of a lunch takes exactly one of its alternatives",
    loosen: "mark the line optional in the recipe",
};
pub(super) const NO_SUCH_DAY: RuleDoc = RuleDoc {
    code: "no-such-day",
    asks: "food is cooked, opened and used from the prep day to the last lunch day, and eaten on lunch days",
    loosen: "plan a longer week (`week: lunches`)",
};
pub(super) const OUT_OF_ORDER: RuleDoc = RuleDoc {
    code: "out-of-order",
    asks: "the plan's lists are sorted and hold every entry once",
    loosen: PLAIN_SENSE,
};
pub(super) const EMPTY_ENTRY: RuleDoc = RuleDoc {
    code: "empty-entry",
    asks: "no amount and no count in the plan is nothing or less",
    loosen: PLAIN_SENSE,
};
pub(super) const STAPLE_BOUGHT: RuleDoc = RuleDoc {
    code: "staple-bought",
    asks: "a staple is taken from the cupboard, never bought or opened as a pack",
    loosen: "leave `staple` out of the food, so that its packs count",
};
pub(super) const FIGURES_TOO_LARGE: RuleDoc = RuleDoc {
    code: "figures-too-large",
    asks: "the week's sums stay within what can be added up exactly",
    loosen: "look for a misplaced decimal point in prices, quantities and weights",
};

/// No amount or count above this is looked at further: nine thousand tonnes.
const MOST: i64 = 1 << 53;

pub(super) fn check(larder: &Larder, plan: &Plan, findings: &mut Findings) {
    let mut shape = Shape { larder, findings };
    shape.lunches(plan);
    shape.batches(plan);
    shape.purchases(plan);
    shape.openings(plan);
}

struct Shape<'a> {
    larder: &'a Larder,
    findings: &'a mut Findings,
}

impl Shape<'_> {
    fn lunches(&mut self, plan: &Plan) {
        let (has, wants) = (plan.lunches.len(), self.larder.lunch_count());
        if has != wants {
            let detail = format!("the week has {wants} lunch days and the plan {has} lunches");
            self.findings.add(&LUNCHES_MISCOUNTED, detail);
        }
        for (index, lunch) in plan.lunches.iter().enumerate() {
            let day = self.larder.day_name(index as i32 + 1);
            let Some(recipe) = self.larder.recipes.get(lunch.recipe.index()) else {
                let detail = format!("{day} serves recipe number {}", lunch.recipe.0);
                self.findings.add(&NOT_IN_THE_LARDER, detail);
                continue;
            };
            if lunch.taken.len() != recipe.lines.len() {
                let (has, wants) = (lunch.taken.len(), recipe.lines.len());
                let detail = format!("{day}'s “{}” has {wants} lines, {has} filled", recipe.name);
                self.findings.add(&LINE_NOT_FILLED, detail);
            }
            for (number, (line, &taken)) in recipe.lines.iter().zip(&lunch.taken).enumerate() {
                if usize::from(taken) >= line.alternatives.len() {
                    let detail = format!(
                        "{day}'s “{}”, line {}: it has {} alternatives and number {} is taken",
                        recipe.name,
                        number + 1,
                        line.alternatives.len(),
                        u32::from(taken) + 1
                    );
                    self.findings.add(&LINE_NOT_FILLED, detail);
                }
            }
        }
    }

    fn batches(&mut self, plan: &Plan) {
        self.rising(
            &plan.batches,
            |batch| (batch.component, batch.day),
            "batches",
        );
        for batch in &plan.batches {
            if batch.component.index() >= self.larder.components.len() {
                let detail = format!("a batch of component number {}", batch.component.0);
                self.findings.add(&NOT_IN_THE_LARDER, detail);
            }
            self.day(batch.day, 0, "a batch is cooked");
            self.rising(&batch.serves, |&(day, _)| day, "lunches of a batch");
            if batch.serves.is_empty() {
                self.findings
                    .add(&EMPTY_ENTRY, "a batch serves no lunch".to_owned());
            }
            for &(day, mg) in &batch.serves {
                self.day(day, 1, "a batch is eaten");
                self.amount(mg, "what a batch serves");
            }
            self.rising(&batch.foods, |&(food, _)| food, "foods of a batch");
            for &(food, mg) in &batch.foods {
                self.known_food(food, "a batch takes");
                self.amount(mg, "what a batch takes");
            }
        }
    }

    fn purchases(&mut self, plan: &Plan) {
        self.rising(&plan.purchases, |buy| (buy.pack, buy.trip), "purchases");
        for purchase in &plan.purchases {
            self.bought(purchase.pack, purchase.trip, "is bought");
            self.amount(purchase.count, "packs bought");
        }
    }

    fn openings(&mut self, plan: &Plan) {
        self.rising(
            &plan.openings,
            |opening| (opening.lot, opening.day),
            "openings",
        );
        for opening in &plan.openings {
            match opening.lot {
                Lot::Bought(pack, trip) => self.bought(pack, trip, "is opened"),
                Lot::Stock(id) => {
                    if let Some(unit) = self.larder.stock.get(id.index()) {
                        self.not_staple(unit.food, "is opened");
                    } else {
                        let detail = format!("unit on hand number {} is opened", id.0);
                        self.findings.add(&NOT_IN_THE_LARDER, detail);
                    }
                }
            }
            self.day(opening.day, 0, "a unit is opened");
            self.amount(opening.units, "units opened");
            self.rising(&opening.draws, |&(day, _)| day, "draws of an opening");
            for &(day, mg) in &opening.draws {
                self.day(day, 0, "an opened unit is drawn from");
                self.amount(mg, "what is drawn");
            }
        }
    }

    fn bought(&mut self, pack: PackId, trip: u8, what: &str) {
        if usize::from(trip) >= self.larder.week.trips.len() {
            let detail = format!(
                "a pack of shopping trip number {} {what}",
                u32::from(trip) + 1
            );
            self.findings.add(&NOT_IN_THE_LARDER, detail);
        }
        if let Some(known) = self.larder.packs.get(pack.index()) {
            self.not_staple(known.food, what);
        } else {
            let detail = format!("pack number {} {what}", pack.0);
            self.findings.add(&NOT_IN_THE_LARDER, detail);
        }
    }

    fn known_food(&mut self, food: FoodId, what: &str) {
        if food.index() >= self.larder.foods.len() {
            let detail = format!("{what} food number {}", food.0);
            self.findings.add(&NOT_IN_THE_LARDER, detail);
        }
    }

    fn not_staple(&mut self, food: FoodId, what: &str) {
        let food = &self.larder.foods[food.index()];
        if food.staple {
            let detail = format!("{} is a staple, and a pack of it {what}", food.name);
            self.findings.add(&STAPLE_BOUGHT, detail);
        }
    }

    fn day(&mut self, day: Day, first: Day, what: &str) {
        let last = self.larder.week.lunches;
        if day < first || day > last {
            let name = |day: Day| self.larder.day_name(day.into());
            let (day, first, last) = (name(day), name(first), name(last));
            let detail = format!("{what} on {day}; {first} to {last} are planned");
            self.findings.add(&NO_SUCH_DAY, detail);
        }
    }

    fn amount(&mut self, amount: i64, what: &str) {
        if amount <= 0 {
            let detail = format!("{what}: {amount}");
            self.findings.add(&EMPTY_ENTRY, detail);
        } else if amount > MOST {
            let detail = format!("{what}: {amount}");
            self.findings.add(&FIGURES_TOO_LARGE, detail);
        }
    }

    fn rising<T, K: Ord>(&mut self, list: &[T], key: impl Fn(&T) -> K, what: &str) {
        if !list.iter().is_sorted_by(|a, b| key(a) < key(b)) {
            let detail = format!("the {what} are not in order, or one stands twice");
            self.findings.add(&OUT_OF_ORDER, detail);
        }
    }
}
