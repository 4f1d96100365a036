//! Ripening fruit: which stage to buy, when it may be cut, and what a day early or late does.

use super::base::Base;
use super::change::{Change, changed, ripens};
use super::desk::{Answer, Desk, Question};
use super::facts::{Case, food_name};
use crate::engine::{EngineFault, Solved};
use crate::explain::When;
use crate::larder::{FoodId, Ingredient, Larder};
use crate::plan::Lot;
use crate::rules::judge;

/// A fruit that ripens.
#[derive(Clone, Debug)]
pub struct FruitFacts {
    /// The fruit.
    pub food: String,
    /// In the chosen week. If not, all below is of the best week that has it.
    pub in_week: bool,
    /// That week.
    pub case: Case,
    /// What is bought of it, by pack and trip; empty if there is no such week.
    pub bought: Vec<Ripened>,
    /// The best week if it ripens a day early; none if nothing was found to shift.
    pub early: Option<Case>,
    /// What is bought of it then.
    pub bought_early: Vec<Ripened>,
    /// The week as planned would still do if it ripened a day early.
    pub holds_early: bool,
    /// The same a day late.
    pub late: Option<Case>,
    /// What is bought of it then.
    pub bought_late: Vec<Ripened>,
    /// The same a day late.
    pub holds_late: bool,
}

/// Fruit of one stage bought on one trip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ripened {
    /// The pack's label.
    pub pack: String,
    /// Ripeness at purchase, if told.
    pub stage: Option<String>,
    /// Packs.
    pub count: i64,
    /// The trip's day.
    pub bought_on: When,
    /// First day a unit may be cut.
    pub first: When,
    /// Last day a unit may be cut.
    pub last: When,
    /// Days units are cut.
    pub cut: Vec<When>,
    /// Days between the last cut and the last day allowed.
    pub slack_days: i32,
}

/// Fruit that ripens and that some recipe may take.
fn fruit(larder: &Larder) -> Vec<FoodId> {
    let allowed = crate::larder::allowed::allowed_alternatives(larder);
    let taken = |food: FoodId| {
        allowed.servable().any(|id| {
            let lines = larder.recipes[id.index()].lines.iter();
            lines.zip(&allowed.of(id).lines).any(|(line, left)| {
                left.iter()
                    .any(|&at| match line.alternatives[usize::from(at)].what {
                        Ingredient::Food(id) => id == food,
                        Ingredient::Component(id) => {
                            let foods = &larder.components[id.index()].foods;
                            foods.iter().any(|&(id, _)| id == food)
                        }
                    })
            })
        })
    };
    (0..larder.foods.len())
        .map(FoodId::new)
        .filter(|&food| larder.packs_of(food).any(|(_, pack)| ripens(pack)) && taken(food))
        .collect()
}

fn in_week(larder: &Larder, base: &Base, food: FoodId) -> bool {
    super::facts::bought(larder, &base.solved.plan).contains(&food)
}

/// The changes under which the fruit is in the week.
fn having(larder: &Larder, base: &Base, food: FoodId) -> Vec<Change> {
    if in_week(larder, base, food) {
        Vec::new()
    } else {
        vec![Change::PinFood(food)]
    }
}

fn question(larder: &Larder, base: &Base, food: FoodId, days: i32) -> Question {
    let mut changes = having(larder, base, food);
    if days != 0 {
        changes.push(Change::Ripen(food, days));
    }
    Question {
        changes,
        ..Question::default()
    }
}

/// The questions as the fruit is; those of other days begin with the weeks these find.
pub(super) fn questions(larder: &Larder, base: &Base) -> Vec<Question> {
    let all = fruit(larder).into_iter();
    all.map(|food| question(larder, base, food, 0)).collect()
}

pub(super) fn fruits(desk: &mut Desk, base: &Base) -> Result<Vec<FruitFacts>, EngineFault> {
    let larder = desk.larder;
    desk.ask_all(&questions(larder, base))?;
    let shifted = fruit(larder).into_iter();
    let shifted = shifted.flat_map(|food| [-1, 1].map(|days| question(larder, base, food, days)));
    desk.ask_all(&shifted.collect::<Vec<Question>>())?;
    let mut told = Vec::new();
    for food in fruit(larder) {
        let now = desk.ask(&question(larder, base, food, 0))?;
        let early = desk.ask(&question(larder, base, food, -1))?;
        let late = desk.ask(&question(larder, base, food, 1))?;
        told.push(facts(larder, base, food, [&now, &early, &late]));
    }
    told.sort_by(|a, b| (!a.in_week, &a.food).cmp(&(!b.in_week, &b.food)));
    Ok(told)
}

fn facts(larder: &Larder, base: &Base, food: FoodId, answers: [&Answer; 3]) -> FruitFacts {
    let [now, early, late] = answers;
    let week = now.best();
    let shifted = |days: i32| changed(larder, &[Change::Ripen(food, days)]);
    let holds = |days: i32| {
        let larder = shifted(days).ok();
        let both = larder.as_ref().zip(week);
        both.is_some_and(|(larder, week)| judge(larder, &week.plan).is_ok())
    };
    // A shifted week is held against the one that has the fruit.
    let against = |answer: &Answer| {
        week.map(|week| {
            let with = Base {
                solved: std::sync::Arc::clone(week),
            };
            with.case(larder, answer)
        })
    };
    let then = |days: i32, answer: &Answer| {
        let larder = shifted(days).ok();
        let both = larder.as_ref().zip(answer.best());
        both.map_or_else(Vec::new, |(larder, week)| bought(larder, week, food))
    };
    FruitFacts {
        food: food_name(larder, food),
        in_week: in_week(larder, base, food),
        case: base.case(larder, now),
        bought: week.map_or_else(Vec::new, |week| bought(larder, week, food)),
        early: against(early),
        bought_early: then(-1, early),
        holds_early: holds(-1),
        late: against(late),
        bought_late: then(1, late),
        holds_late: holds(1),
    }
}

fn bought(larder: &Larder, week: &Solved, food: FoodId) -> Vec<Ripened> {
    let when = |day: i32| When::new(larder, day);
    let purchases = week.plan.purchases.iter();
    purchases
        .filter(|bought| larder.packs[bought.pack.index()].food == food)
        .map(|bought| {
            let pack = &larder.packs[bought.pack.index()];
            let day = i32::from(larder.trip_day(bought.trip));
            let lot = Lot::Bought(bought.pack, bought.trip);
            let openings = week.plan.openings.iter().filter(|o| o.lot == lot);
            let cut: Vec<i32> = openings.map(|opening| i32::from(opening.day)).collect();
            let last = day + pack.ready_to;
            Ripened {
                pack: pack.label.clone(),
                stage: pack.stage.clone(),
                count: bought.count,
                bought_on: when(day),
                first: when(day + pack.ready_from),
                last: when(last),
                slack_days: last - cut.iter().copied().max().unwrap_or(last),
                cut: cut.into_iter().map(when).collect(),
            }
        })
        .collect()
}
