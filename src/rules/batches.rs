//! Batches: what is cooked, when, from what, and which lunches it feeds.
//!
//! Asks: what the batches of a component serve to a lunch is exactly what that lunch asks
//! for; a batch feeds lunches from the day it is cooked to the last day of its keeping
//! time; it takes its foods in the component's own ratio. Where a lunch draws on two
//! batches, each takes its share of every food to a whole milligram, up or down, and all
//! batches of the component together take exactly what the lunches' lines come to.
//!
//! A kitchen wants it because cooked grain and beans do not keep all week: keeping times
//! are a matter of food safety. The figures are the kitchen's own; follow the local food
//! code where it is stricter.
//! To loosen: `keeps` of the component, if it truly keeps longer.
//!
//! Asks besides that nothing is cooked on a day on which the kitchen does not cook.
//! To loosen: `rules: cook_on`.

use std::collections::{BTreeMap, BTreeSet};

use super::case::{Case, grams};
use super::finding::{Findings, RuleDoc};
use crate::larder::{ComponentId, Day, FoodId, Ingredient};
use crate::plan::Batch;

pub(super) const COMPONENT_NOT_MET: RuleDoc = RuleDoc {
    code: "component-not-met",
    asks: "the batches serve each lunch all of a component that its lines ask for",
    loosen: "it cannot be loosened: change the recipe's amount instead",
};
pub(super) const COOKED_WITHOUT_USE: RuleDoc = RuleDoc {
    code: "cooked-without-use",
    asks: "exactly what is eaten is cooked",
    loosen: "it cannot be loosened: change the recipe's amount instead",
};
pub(super) const EATEN_BEFORE_COOKED: RuleDoc = RuleDoc {
    code: "eaten-before-cooked",
    asks: "a batch is eaten on the day it is cooked or later",
    loosen: "it cannot be loosened",
};
pub(super) const PAST_KEEPING_TIME: RuleDoc = RuleDoc {
    code: "past-keeping-time",
    asks: "a batch is eaten within its keeping time",
    loosen: "raise `keeps` of the component, if it truly keeps longer and the local food code agrees",
};
pub(super) const FOODS_OFF_THE_RATIO: RuleDoc = RuleDoc {
    code: "foods-off-the-ratio",
    asks: "a batch takes its foods in the component's ratio, to a whole milligram",
    loosen: "it cannot be loosened: change the component's `from` instead",
};

pub(super) const NOT_A_COOKING_DAY: RuleDoc = RuleDoc {
    code: "not-a-cooking-day",
    asks: "batches are cooked on the days named for it",
    loosen: "add the day to `rules: cook_on`",
};

/// What one lunch asks of one component: finished milligrams, and the foods in them.
#[derive(Default)]
struct Demand {
    mg: i128,
    foods: BTreeMap<FoodId, i128>,
}

pub(super) fn check(case: &Case, findings: &mut Findings) {
    let demands = demands(case);
    let components: BTreeSet<ComponentId> = demands
        .keys()
        .map(|&(component, _)| component)
        .chain(case.plan.batches.iter().map(|batch| batch.component))
        .collect();
    for component in components {
        let batches: Vec<&Batch> = case
            .plan
            .batches
            .iter()
            .filter(|batch| batch.component == component)
            .collect();
        let demands: BTreeMap<Day, &Demand> = demands
            .range((component, Day::MIN)..=(component, Day::MAX))
            .map(|(&(_, day), demand)| (day, demand))
            .collect();
        keeping(case, &batches, findings);
        if served_exactly(case, component, &demands, &batches, findings) {
            ratio(case, component, &demands, &batches, findings);
        }
    }
}

fn demands(case: &Case) -> BTreeMap<(ComponentId, Day), Demand> {
    let mut demands: BTreeMap<(ComponentId, Day), Demand> = BTreeMap::new();
    for served in case.lunches() {
        for alternative in served.taken() {
            let Ingredient::Component(id) = alternative.what else {
                continue;
            };
            let mg = case.larder.for_eaters(alternative.mg, served.day);
            let demand = demands.entry((id, served.day)).or_default();
            demand.mg += i128::from(mg);
            for (food, share) in case.larder.component_foods(id, mg) {
                *demand.foods.entry(food).or_default() += i128::from(share);
            }
        }
    }
    demands
}

fn keeping(case: &Case, batches: &[&Batch], findings: &mut Findings) {
    for batch in batches {
        let component = &case.larder.components[batch.component.index()];
        let cooked = i64::from(batch.day);
        if !case.larder.wishes.may_cook(batch.day) {
            let detail = format!(
                "{} is cooked on {}, and `cook_on` leaves that day out",
                component.name,
                case.day(batch.day)
            );
            findings.add(&NOT_A_COOKING_DAY, detail);
        }
        let last = cooked + i64::from(component.keeps);
        for &(day, _) in &batch.serves {
            let (name, cooked_on, eaten_on) = (&component.name, case.day(batch.day), case.day(day));
            if i64::from(day) < cooked {
                let detail = format!("{name} cooked on {cooked_on} is eaten on {eaten_on}");
                findings.add(&EATEN_BEFORE_COOKED, detail);
            } else if i64::from(day) > last {
                let detail = format!(
                    "{name} cooked on {cooked_on} keeps {} days and is eaten on {eaten_on}",
                    component.keeps
                );
                findings.add(&PAST_KEEPING_TIME, detail);
            }
        }
    }
}

/// Returns whether every lunch gets exactly what it asks for.
fn served_exactly(
    case: &Case,
    component: ComponentId,
    demands: &BTreeMap<Day, &Demand>,
    batches: &[&Batch],
    findings: &mut Findings,
) -> bool {
    let mut exact = true;
    for day in 1..=case.larder.week.lunches {
        let wants = demands.get(&day).map_or(0, |demand| demand.mg);
        let gets: i128 = batches.iter().map(|batch| share_of(batch, day)).sum();
        if gets == wants {
            continue;
        }
        exact = false;
        let rule = if gets < wants {
            &COMPONENT_NOT_MET
        } else {
            &COOKED_WITHOUT_USE
        };
        let detail = format!(
            "{} for {}: {} asked for, {} cooked",
            case.component(component),
            case.day(day),
            grams(wants),
            grams(gets)
        );
        findings.add(rule, detail);
    }
    exact
}

fn share_of(batch: &Batch, lunch: Day) -> i128 {
    batch
        .serves
        .iter()
        .find(|&&(day, _)| day == lunch)
        .map_or(0, |&(_, mg)| i128::from(mg))
}

fn ratio(
    case: &Case,
    component: ComponentId,
    demands: &BTreeMap<Day, &Demand>,
    batches: &[&Batch],
    findings: &mut Findings,
) {
    // What all batches together have too much (or, below zero, too little) of each food.
    let mut excess: BTreeMap<FoodId, i128> = BTreeMap::new();
    for demand in demands.values() {
        for (&food, &mg) in &demand.foods {
            *excess.entry(food).or_default() -= mg;
        }
    }
    let mut within = true;
    for batch in batches {
        // Least and most of each food: equal where every lunch is served whole.
        let mut bounds: BTreeMap<FoodId, (i128, i128)> = BTreeMap::new();
        for &(day, share) in &batch.serves {
            let demand = demands[&day];
            for (&food, &mg) in &demand.foods {
                let exact = mg.saturating_mul(i128::from(share));
                let floor = exact / demand.mg;
                let bound = bounds.entry(food).or_default();
                bound.0 += floor;
                bound.1 += floor + i128::from(exact % demand.mg != 0);
            }
        }
        let foods: BTreeMap<FoodId, i128> = batch
            .foods
            .iter()
            .map(|&(food, mg)| (food, i128::from(mg)))
            .collect();
        let named: BTreeSet<FoodId> = foods.keys().chain(bounds.keys()).copied().collect();
        for food in named {
            let takes = foods.get(&food).copied().unwrap_or(0);
            let (least, most) = bounds.get(&food).copied().unwrap_or((0, 0));
            *excess.entry(food).or_default() += takes;
            if takes < least || takes > most {
                within = false;
                let detail = format!(
                    "{} cooked on {}: {} of {} taken, {} would be its share",
                    case.component(component),
                    case.day(batch.day),
                    grams(takes),
                    case.food(food),
                    grams(least)
                );
                findings.add(&FOODS_OFF_THE_RATIO, detail);
            }
        }
    }
    if !within {
        return;
    }
    for (food, mg) in excess {
        if mg != 0 {
            let detail = format!(
                "all batches of {} together take {} of {} {} than its lunches come to",
                case.component(component),
                grams(mg.abs()),
                case.food(food),
                if mg > 0 { "more" } else { "less" }
            );
            findings.add(&FOODS_OFF_THE_RATIO, detail);
        }
    }
}
