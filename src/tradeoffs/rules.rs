//! The rules in force: how each is told, dropped and loosened by a notch.
//!
//! A notch is one more of what is counted, a tenth of a limit that is measured, 0.1 of a
//! sameness, a day of a keeping or ripening time, the earliest day left out of those for cooking. Keeping times are never dropped: nothing
//! keeps for ever, and what a longer one would save is told for one day only.

use crate::explain::{Clash, When};
use crate::larder::{
    ComponentId, Contents, Credited, Day, Larder, MILLI, NANO, PackId, Pin, Target, limits,
};
use crate::plan::{Lot, Plan};
use std::collections::BTreeSet;

/// A rule in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Rule {
    FormsApart,
    PerForm,
    PerProtein,
    SamenessAdjacent,
    Sameness,
    Repeats,
    /// All days with this limit, 1e-9 minutes.
    Minutes(i64),
    /// All days with this limit on minutes in the kitchen, 1e-9 minutes.
    KitchenMinutes(i64),
    /// The days on which batches may be cooked.
    CookOn,
    /// By position among the nutrition rules.
    Floor(usize),
    Ceiling(usize),
    /// By position among the credit rules.
    CreditFloor(usize),
    CreditCeiling(usize),
    Budget,
    Cap,
    /// All recipes that rest since they were served in the weeks before.
    Rest,
    /// All bans of one name (a word may be a food and an allergen at once), by the position of
    /// the first.
    Without(usize),
    /// By position among the pins.
    With(usize),
    /// How long a batch keeps.
    Keeps(ComponentId),
    /// How long a pack keeps once opened.
    Opened(PackId),
    /// Last day a unit may be opened on.
    ReadyTo(PackId),
    /// First day a unit may be opened on.
    ReadyFrom(PackId),
}

/// The number of a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Scale {
    /// As it stands.
    pub(super) now: i64,
    /// As loose as it gets: above a ceiling, below a floor.
    pub(super) loosest: i64,
    /// The least step that is told: files and screens name no finer one.
    pub(super) grain: i64,
}

/// Highest sameness, thousandths.
const WHOLE: i64 = 1_000;
/// Most minutes of a day, 1e-9.
const MOST_MINUTES: i64 = limits::MINUTES * NANO;
/// Largest nutrient figure, thousandths.
const MOST_NUTRIENT: i64 = limits::NUTRIENT * MILLI;
/// Largest amount of a food group, millionths.
const MOST_CREDIT: i64 = limits::CREDIT * 1_000_000;

fn tenth(limit: i64) -> i64 {
    (limit.abs() + 9) / 10
}

impl Rule {
    /// Takes the rule out of force. Bans and pins are taken out by the caller.
    pub(super) fn drop(self, larder: &mut Contents) {
        let lunches = i64::from(larder.week.lunches);
        let wishes = &mut larder.wishes;
        match self {
            Self::FormsApart => wishes.form_never_adjacent = false,
            Self::PerForm => wishes.per_form = None,
            Self::PerProtein => wishes.per_protein = None,
            Self::SamenessAdjacent => wishes.sameness_adjacent_milli = None,
            Self::Sameness => wishes.sameness_milli = None,
            Self::Repeats => wishes.repeats = lunches,
            Self::Minutes(limit) => free(&mut wishes.minutes_nano, limit),
            Self::KitchenMinutes(limit) => free(&mut wishes.kitchen_minutes_nano, limit),
            Self::CookOn => wishes.cook_on = None,
            Self::Floor(at) => wishes.nutrition[at].at_least_milli = None,
            Self::Ceiling(at) => wishes.nutrition[at].at_most_milli = None,
            Self::CreditFloor(at) => wishes.credits[at].at_least_micro = None,
            Self::CreditCeiling(at) => wishes.credits[at].at_most_micro = None,
            Self::Budget => wishes.budget_minor = None,
            Self::Cap => wishes.cap = None,
            Self::Rest => wishes.without.retain(|target| !target.rests()),
            Self::Without(_)
            | Self::With(_)
            | Self::Keeps(_)
            | Self::Opened(_)
            | Self::ReadyTo(_)
            | Self::ReadyFrom(_) => {}
        }
    }

    /// Whether the rule can be dropped at all.
    pub(super) fn may_go(self) -> bool {
        !matches!(
            self,
            Self::Keeps(_) | Self::Opened(_) | Self::ReadyTo(_) | Self::ReadyFrom(_)
        )
    }

    /// Whether there is something between the rule and no rule.
    pub(super) fn has_notches(self, larder: &Larder) -> bool {
        match self {
            Self::FormsApart | Self::Without(_) => false,
            Self::Rest => resting_weeks(larder) > 1,
            Self::CookOn => idle_days(larder).count() > 1,
            Self::With(at) => match larder.wishes.with[at] {
                Pin::Recipe(_, day) | Pin::Food(_, day) => day.is_some(),
            },
            // A share of energy is a floor or ceiling of nought: a tenth of that is nothing.
            Self::CreditFloor(at) => larder.wishes.credits[at].at_least_micro != Some(0),
            Self::CreditCeiling(at) => larder.wishes.credits[at].at_most_micro != Some(0),
            _ => true,
        }
    }

    /// The number of the rule, if it has one and it can give way.
    pub(super) fn scale(self, larder: &Contents) -> Option<Scale> {
        let wishes = &larder.wishes;
        let lunches = i64::from(larder.week.lunches);
        let foods = larder.foods.len() as i64;
        let (now, loosest, grain) = match self {
            Self::PerForm => (wishes.per_form?, lunches, 1),
            Self::PerProtein => (wishes.per_protein?, lunches, 1),
            Self::SamenessAdjacent => (wishes.sameness_adjacent_milli?, WHOLE, 1),
            Self::Sameness => (wishes.sameness_milli?, WHOLE, 1),
            Self::Repeats => (wishes.repeats, lunches, 1),
            // Whole minutes.
            Self::Minutes(limit) | Self::KitchenMinutes(limit) => (limit, MOST_MINUTES, NANO),
            Self::Floor(at) => (wishes.nutrition[at].at_least_milli?, 0, 1),
            Self::Ceiling(at) => (wishes.nutrition[at].at_most_milli?, MOST_NUTRIENT, 1),
            // A share of energy is a floor or ceiling of nought, which is no number of the cook's.
            Self::CreditFloor(at) | Self::CreditCeiling(at)
                if matches!(wishes.credits[at].what, Credited::EnergyShare { .. }) =>
            {
                return None;
            }
            Self::CreditFloor(at) => (wishes.credits[at].at_least_micro?, 0, MILLI),
            Self::CreditCeiling(at) => (wishes.credits[at].at_most_micro?, MOST_CREDIT, MILLI),
            Self::Budget => (wishes.budget_minor?, larder.currency.most_minor(), 1),
            Self::Cap => (wishes.cap?, foods, 1),
            Self::Rest => (resting_weeks(larder) as i64, 1, 1),
            // Days are no number: any of those shut out may be the one.
            Self::CookOn
            | Self::FormsApart
            | Self::Without(_)
            | Self::With(_)
            | Self::Keeps(_)
            | Self::Opened(_)
            | Self::ReadyTo(_)
            | Self::ReadyFrom(_) => return None,
        };
        let looser = match self {
            Self::Floor(_) | Self::CreditFloor(_) | Self::Rest => loosest < now,
            _ => loosest > now,
        };
        looser.then_some(Scale {
            now,
            loosest,
            grain,
        })
    }

    /// Puts a number in the place of the one it has; of a rule without one, nothing.
    pub(super) fn set(self, larder: &mut Contents, value: i64) {
        let wishes = &mut larder.wishes;
        match self {
            Self::PerForm => wishes.per_form = Some(value),
            Self::PerProtein => wishes.per_protein = Some(value),
            Self::SamenessAdjacent => wishes.sameness_adjacent_milli = Some(value),
            Self::Sameness => wishes.sameness_milli = Some(value),
            Self::Repeats => wishes.repeats = value,
            Self::Minutes(limit) => put(&mut wishes.minutes_nano, limit, value),
            Self::KitchenMinutes(limit) => put(&mut wishes.kitchen_minutes_nano, limit, value),
            Self::Floor(at) => wishes.nutrition[at].at_least_milli = Some(value),
            Self::Ceiling(at) => wishes.nutrition[at].at_most_milli = Some(value),
            Self::CreditFloor(at) => wishes.credits[at].at_least_micro = Some(value),
            Self::CreditCeiling(at) => wishes.credits[at].at_most_micro = Some(value),
            Self::Budget => wishes.budget_minor = Some(value),
            Self::Cap => wishes.cap = Some(value),
            Self::Rest => wishes.without.retain(|target| match target {
                Target::Resting { weeks_ago, .. } => *weeks_ago as i64 <= value,
                _ => true,
            }),
            Self::CookOn
            | Self::FormsApart
            | Self::Without(_)
            | Self::With(_)
            | Self::Keeps(_)
            | Self::Opened(_)
            | Self::ReadyTo(_)
            | Self::ReadyFrom(_) => {}
        }
    }

    /// Loosens the rule, no further than a kitchen's rule may go.
    pub(super) fn loosen(self, larder: &mut Contents, notches: i64) {
        let most_minor = larder.currency.most_minor();
        let lunches = i64::from(larder.week.lunches);
        let days = notches as i32;
        let rested = resting_weeks(larder);
        let idle: Vec<Day> = idle_days(larder).collect();
        let wishes = &mut larder.wishes;
        let more = |limit: &mut Option<i64>, step: i64, most: i64| {
            if let Some(limit) = limit {
                *limit = (*limit + notches * step).min(most.max(*limit));
            }
        };
        match self {
            Self::FormsApart | Self::Without(_) => {}
            // One week fewer each time; the last one is given up, not loosened.
            Self::Rest => {
                let weeks = rested.saturating_sub(notches as usize).max(1);
                wishes.without.retain(|target| match target {
                    Target::Resting { weeks_ago, .. } => *weeks_ago <= weeks,
                    _ => true,
                });
            }
            Self::PerForm => more(&mut wishes.per_form, 1, limits::COUNT),
            Self::PerProtein => more(&mut wishes.per_protein, 1, limits::COUNT),
            Self::SamenessAdjacent => more(&mut wishes.sameness_adjacent_milli, 100, WHOLE),
            Self::Sameness => more(&mut wishes.sameness_milli, 100, WHOLE),
            Self::Repeats => wishes.repeats = (wishes.repeats + notches).min(lunches),
            Self::Minutes(limit) | Self::KitchenMinutes(limit) => {
                let limits = match self {
                    Self::Minutes(_) => &mut wishes.minutes_nano,
                    _ => &mut wishes.kitchen_minutes_nano,
                };
                for day in limits.iter_mut().filter(|day| **day == Some(limit)) {
                    more(day, tenth(limit), MOST_MINUTES);
                }
            }
            // The last day left out is given up, not loosened.
            Self::CookOn => {
                let more = idle.len().saturating_sub(1).min(notches as usize);
                if let Some(days) = &mut wishes.cook_on {
                    days.extend(&idle[..more]);
                    days.sort_unstable();
                }
            }
            Self::Floor(at) => {
                if let Some(limit) = &mut wishes.nutrition[at].at_least_milli {
                    *limit = (*limit - notches * tenth(*limit)).max(0);
                }
            }
            Self::Ceiling(at) => {
                let limit = &mut wishes.nutrition[at].at_most_milli;
                more(limit, limit.map_or(0, tenth), MOST_NUTRIENT);
            }
            Self::CreditFloor(at) => {
                if let Some(limit) = &mut wishes.credits[at].at_least_micro {
                    *limit -= notches * tenth(*limit);
                }
            }
            Self::CreditCeiling(at) => {
                let limit = &mut wishes.credits[at].at_most_micro;
                more(limit, limit.map_or(0, tenth), MOST_CREDIT);
            }
            Self::Budget => {
                let step = wishes.budget_minor.map_or(0, tenth);
                more(&mut wishes.budget_minor, step, most_minor);
            }
            Self::Cap => more(&mut wishes.cap, 1, limits::COUNT),
            Self::With(at) => match &mut wishes.with[at] {
                Pin::Recipe(_, day) | Pin::Food(_, day) => *day = None,
            },
            Self::Keeps(id) => larder.components[id.index()].keeps += days,
            Self::Opened(id) => {
                let pack = &mut larder.packs[id.index()];
                // A fruit's last day is that of its window and of a cut half together.
                if pack.end == pack.ready_to + pack.open_life && pack.end > pack.ready_to {
                    pack.end += days;
                }
                pack.open_life += days;
            }
            Self::ReadyTo(id) => {
                let pack = &mut larder.packs[id.index()];
                pack.ready_to += days;
                pack.end += days;
            }
            Self::ReadyFrom(id) => {
                let pack = &mut larder.packs[id.index()];
                pack.ready_from = (pack.ready_from - days).max(0);
            }
        }
    }

    /// Tells the rule as it stands in `larder`.
    pub(super) fn told(self, larder: &Contents) -> Clash {
        let wishes = &larder.wishes;
        let or = |limit: Option<i64>| limit.unwrap_or(i64::MAX);
        match self {
            Self::FormsApart => Clash::FormsApart,
            Self::PerForm => Clash::PerForm(or(wishes.per_form)),
            Self::PerProtein => Clash::PerProtein(or(wishes.per_protein)),
            Self::SamenessAdjacent => Clash::SamenessAdjacent(or(wishes.sameness_adjacent_milli)),
            Self::Sameness => Clash::Sameness(or(wishes.sameness_milli)),
            Self::Repeats => Clash::Repeats(wishes.repeats),
            Self::Minutes(limit) => Clash::Minutes {
                days: limited(larder, &wishes.minutes_nano, limit),
                limit_nano: limit,
            },
            Self::KitchenMinutes(limit) => Clash::KitchenMinutes {
                days: limited(larder, &wishes.kitchen_minutes_nano, limit),
                limit_nano: limit,
            },
            Self::CookOn => {
                let days = wishes.cook_on.iter().flatten();
                Clash::CookOn(days.map(|&day| named(larder, day.into())).collect())
            }
            Self::Floor(at) | Self::Ceiling(at) => {
                let mut rule = wishes.nutrition[at].clone();
                if matches!(self, Self::Floor(_)) {
                    rule.at_most_milli = None;
                } else {
                    rule.at_least_milli = None;
                }
                Clash::Nutrition(rule)
            }
            Self::CreditFloor(at) | Self::CreditCeiling(at) => {
                let mut rule = wishes.credits[at].clone();
                if matches!(self, Self::CreditFloor(_)) {
                    rule.at_most_micro = None;
                } else {
                    rule.at_least_micro = None;
                }
                Clash::Credit(rule)
            }
            Self::Budget => Clash::Budget(or(wishes.budget_minor)),
            Self::Cap => Clash::Cap(or(wishes.cap), wishes.cap_by),
            Self::Rest => Clash::Rest(resting_weeks(larder)),
            Self::Without(at) => Clash::Without(target_name(larder, &wishes.without[at])),
            Self::With(at) => pin_clash(larder, &wishes.with[at]),
            Self::Keeps(id) => {
                let component = &larder.components[id.index()];
                Clash::Keeps(component.name.clone(), component.keeps)
            }
            Self::Opened(id) => {
                let pack = &larder.packs[id.index()];
                Clash::Opened(pack_name(larder, id), pack.open_life)
            }
            Self::ReadyTo(id) => {
                let pack = &larder.packs[id.index()];
                Clash::ReadyTo(pack_name(larder, id), pack.ready_to)
            }
            Self::ReadyFrom(id) => {
                let pack = &larder.packs[id.index()];
                Clash::ReadyFrom(pack_name(larder, id), pack.ready_from)
            }
        }
    }

    /// Tells the rule so many notches looser.
    pub(super) fn told_looser(self, larder: &Larder, notches: u8) -> Clash {
        let mut looser = Contents::clone(larder);
        self.loosen(&mut looser, i64::from(notches));
        let wishes = &larder.wishes;
        let raised = |limit: i64| (limit + i64::from(notches) * tenth(limit)).min(MOST_MINUTES);
        match self {
            Self::Minutes(limit) => Clash::Minutes {
                days: limited(larder, &wishes.minutes_nano, limit),
                limit_nano: raised(limit),
            },
            Self::KitchenMinutes(limit) => Clash::KitchenMinutes {
                days: limited(larder, &wishes.kitchen_minutes_nano, limit),
                limit_nano: raised(limit),
            },
            _ => self.told(&looser),
        }
    }
}

impl Rule {
    /// Tells the rule with a number in the place of the one it has.
    pub(super) fn told_at(self, larder: &Larder, value: i64) -> Clash {
        let wishes = &larder.wishes;
        match self {
            Self::Minutes(limit) => {
                return Clash::Minutes {
                    days: limited(larder, &wishes.minutes_nano, limit),
                    limit_nano: value,
                };
            }
            Self::KitchenMinutes(limit) => {
                return Clash::KitchenMinutes {
                    days: limited(larder, &wishes.kitchen_minutes_nano, limit),
                    limit_nano: value,
                };
            }
            _ => {}
        }
        let mut looser = Contents::clone(larder);
        self.set(&mut looser, value);
        self.told(&looser)
    }
}

/// The last weeks whose recipes rest.
fn resting_weeks(larder: &Contents) -> usize {
    let weeks = larder.wishes.without.iter().map(|target| match target {
        Target::Resting { weeks_ago, .. } => *weeks_ago,
        _ => 0,
    });
    weeks.max().unwrap_or(0)
}

/// The days on which no batch may be cooked.
fn idle_days(larder: &Contents) -> impl Iterator<Item = Day> {
    (0..=larder.week.lunches).filter(|&day| !larder.wishes.may_cook(day))
}

fn named(larder: &Contents, day: i32) -> When {
    When::new(larder, day)
}

/// Takes this limit off all days that have it.
fn free(limits: &mut [Option<i64>], limit: i64) {
    for day in limits.iter_mut().filter(|day| **day == Some(limit)) {
        *day = None;
    }
}

/// Puts another limit on all days that have this one.
fn put(limits: &mut [Option<i64>], limit: i64, value: i64) {
    for day in limits.iter_mut().filter(|day| **day == Some(limit)) {
        *day = Some(value);
    }
}

fn limited(larder: &Contents, limits: &[Option<i64>], limit: i64) -> Vec<When> {
    let days = (0..).zip(limits);
    days.filter(|&(_, day)| *day == Some(limit))
        .map(|(day, _)| named(larder, day))
        .collect()
}

fn pack_name(larder: &Contents, id: PackId) -> String {
    let pack = &larder.packs[id.index()];
    let food = &larder.foods[pack.food.index()].name;
    match &pack.stage {
        Some(stage) => format!("{food} ({stage})"),
        None => food.clone(),
    }
}

/// Whether a ban is one of the kitchen or the run and none of that name stands before it.
fn first_of_its_name(larder: &Contents, at: usize) -> bool {
    let bans = &larder.wishes.without;
    let before = bans[..at].iter().filter(|ban| !ban.rests());
    let name = target_name(larder, &bans[at]);
    !bans[at].rests()
        && before
            .map(|ban| target_name(larder, ban))
            .all(|ban| ban != name)
}

/// Takes out all bans that have the name of the one at a position.
pub(super) fn allow(larder: &Contents, at: usize, bans: &mut Vec<Target>) {
    let name = target_name(larder, &larder.wishes.without[at]);
    bans.retain(|ban| ban.rests() || target_name(larder, ban) != name);
}

fn target_name(larder: &Contents, target: &Target) -> String {
    match target {
        Target::Food(id) => larder.foods[id.index()].name.clone(),
        Target::Family(id) => larder.families[id.index()].clone(),
        Target::Recipe(id) | Target::Resting { recipe: id, .. } => {
            larder.recipes[id.index()].name.clone()
        }
        Target::Component(id) => larder.components[id.index()].name.clone(),
        Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word.clone(),
        Target::Shop(id) => larder.shops[id.index()].clone(),
        Target::Pack(id) => {
            let pack = &larder.packs[id.index()];
            let food = &larder.foods[pack.food.index()].name;
            format!("{food} ({})", pack.label)
        }
    }
}

fn pin_clash(larder: &Contents, pin: &Pin) -> Clash {
    let (name, day) = match pin {
        Pin::Recipe(id, day) => (&larder.recipes[id.index()].name, day),
        Pin::Food(id, day) => (&larder.foods[id.index()].name, day),
    };
    Clash::With(name.clone(), day.map(|day| larder.day_name(i32::from(day))))
}

/// Returns the rules in force, bans and pins first.
pub(super) fn in_force(larder: &Larder) -> Vec<Rule> {
    let wishes = &larder.wishes;
    let mut rules: Vec<Rule> = Vec::new();
    let bans = (0..wishes.without.len()).filter(|&at| first_of_its_name(larder, at));
    rules.extend(bans.map(Rule::Without));
    rules.extend((0..wishes.with.len()).map(Rule::With));
    let mut add = |there: bool, rule: Rule| {
        if there {
            rules.push(rule);
        }
    };
    add(wishes.without.iter().any(Target::rests), Rule::Rest);
    add(wishes.budget_minor.is_some(), Rule::Budget);
    add(wishes.cap.is_some(), Rule::Cap);
    for (at, rule) in wishes.nutrition.iter().enumerate() {
        add(rule.at_least_milli.is_some(), Rule::Floor(at));
        add(rule.at_most_milli.is_some(), Rule::Ceiling(at));
    }
    for (at, rule) in wishes.credits.iter().enumerate() {
        add(rule.at_least_micro.is_some(), Rule::CreditFloor(at));
        add(rule.at_most_micro.is_some(), Rule::CreditCeiling(at));
    }
    let distinct =
        |limits: &[Option<i64>]| -> BTreeSet<i64> { limits.iter().copied().flatten().collect() };
    for limit in distinct(&wishes.minutes_nano) {
        add(true, Rule::Minutes(limit));
    }
    for limit in distinct(&wishes.kitchen_minutes_nano) {
        add(true, Rule::KitchenMinutes(limit));
    }
    add(idle_days(larder).next().is_some(), Rule::CookOn);
    let repeatable = wishes.repeats < i64::from(larder.week.lunches);
    add(wishes.form_never_adjacent, Rule::FormsApart);
    add(wishes.per_form.is_some(), Rule::PerForm);
    add(wishes.per_protein.is_some(), Rule::PerProtein);
    let adjacent = wishes.sameness_adjacent_milli.is_some();
    add(adjacent, Rule::SamenessAdjacent);
    add(wishes.sameness_milli.is_some(), Rule::Sameness);
    add(repeatable, Rule::Repeats);
    rules
}

/// Returns the keeping and ripening times that the week runs into: something is eaten or
/// opened on the last (or first) day allowed, or made or opened on two days.
pub(super) fn times_met(larder: &Larder, plan: &Plan) -> Vec<Rule> {
    let mut rules = Vec::new();
    for batch in &plan.batches {
        let keeps = larder.components[batch.component.index()].keeps;
        let last = i32::from(batch.day) + keeps;
        let to_the_end = batch.serves.iter().any(|&(day, _)| i32::from(day) == last);
        let others = plan.batches.iter();
        let twice = others.filter(|b| b.component == batch.component).count() > 1;
        if to_the_end || twice {
            rules.push(Rule::Keeps(batch.component));
        }
    }
    for opening in &plan.openings {
        let Lot::Bought(id, trip) = opening.lot else {
            continue;
        };
        let pack = &larder.packs[id.index()];
        if pack.loose {
            continue;
        }
        let bought = i32::from(larder.trip_day(trip));
        let day = i32::from(opening.day);
        let good = (day + pack.open_life).min(bought + pack.end);
        let to_the_end = opening.draws.iter().any(|&(day, _)| i32::from(day) == good);
        let twice = plan
            .openings
            .iter()
            .filter(|o| o.lot == opening.lot)
            .count()
            > 1;
        if to_the_end && pack.end > 0 || twice {
            rules.push(Rule::Opened(id));
        }
        if day == bought + pack.ready_to {
            rules.push(Rule::ReadyTo(id));
        }
        if pack.ready_from > 0 && day == bought + pack.ready_from {
            rules.push(Rule::ReadyFrom(id));
        }
    }
    rules.sort_unstable();
    rules.dedup();
    rules
}
