//! Asks for trade-offs, tries every week, and makes the changes that are told by hand.

use scant::explain::Clash;
use scant::larder::{Contents, Larder, Per, Pin, Target};
use scant::tradeoffs::{Ask, Section, Tradeoffs, tradeoffs};

use super::support::brute;

/// Seeds apart from those of other tests.
pub const FIRST: u64 = 70_000;

pub fn ask(larder: &Larder, sections: &[Section], threads: usize) -> Tradeoffs {
    ask_until(larder, sections, threads, &|| false)
}

pub fn ask_until(
    larder: &Larder,
    sections: &[Section],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Tradeoffs {
    let ask = Ask {
        sections,
        others: 3,
        margin_minor: None,
        threads,
        stop,
        progress: None,
    };
    tradeoffs(larder, larder, &ask).expect("no engine fault")
}

/// Best objective by trying everything: `None` too large, `Some(None)` no week.
pub fn tried(larder: &Larder) -> Option<Option<i64>> {
    brute::solve(larder).map(|answer| answer.best.map(|best| best.key[4]))
}

/// Checked contents.
pub fn sound(contents: Contents) -> Larder {
    Larder::checked(contents).expect("a sound larder")
}

/// Sets a rule to what is told, or takes it out of force. `false` if it is none of wishes.
pub fn set(larder: &mut Contents, was: &Clash, now: Option<&Clash>) -> bool {
    let lunches = i64::from(larder.week.lunches);
    let named = |larder: &Contents, target: &Target| match target {
        Target::Food(id) => larder.foods[id.index()].name.clone(),
        Target::Family(id) => larder.families[id.index()].clone(),
        Target::Recipe(id) | Target::Resting { recipe: id, .. } => {
            larder.recipes[id.index()].name.clone()
        }
        Target::Component(id) => larder.components[id.index()].name.clone(),
        Target::Shop(id) => larder.shops[id.index()].clone(),
        Target::Pack(id) => larder.packs[id.index()].label.clone(),
        Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word.clone(),
    };
    let limit = |now: Option<&Clash>| match now {
        Some(
            Clash::PerForm(n)
            | Clash::PerProtein(n)
            | Clash::Sameness(n)
            | Clash::SamenessAdjacent(n)
            | Clash::Repeats(n)
            | Clash::Cap(n, _)
            | Clash::Budget(n),
        ) => Some(*n),
        _ => None,
    };
    match was {
        Clash::PerForm(_) => larder.wishes.per_form = limit(now),
        Clash::PerProtein(_) => larder.wishes.per_protein = limit(now),
        Clash::Sameness(_) => larder.wishes.sameness_milli = limit(now),
        Clash::SamenessAdjacent(_) => larder.wishes.sameness_adjacent_milli = limit(now),
        Clash::Repeats(_) => larder.wishes.repeats = limit(now).unwrap_or(lunches),
        Clash::Cap(..) => larder.wishes.cap = limit(now),
        Clash::Budget(_) => larder.wishes.budget_minor = limit(now),
        Clash::FormsApart => larder.wishes.form_never_adjacent = false,
        Clash::Minutes { days, .. } => {
            let now = match now {
                Some(Clash::Minutes { limit_nano, .. }) => Some(*limit_nano),
                _ => None,
            };
            for when in days {
                larder.wishes.minutes_nano[when.day as usize] = now;
            }
        }
        Clash::KitchenMinutes { days, .. } => {
            let now = match now {
                Some(Clash::KitchenMinutes { limit_nano, .. }) => Some(*limit_nano),
                _ => None,
            };
            for when in days {
                larder.wishes.kitchen_minutes_nano[when.day as usize] = now;
            }
        }
        Clash::CookOn(_) => {
            larder.wishes.cook_on = match now {
                Some(Clash::CookOn(days)) => Some(days.iter().map(|when| when.day as u8).collect()),
                _ => None,
            };
        }
        Clash::Nutrition(rule) => {
            let now = match now {
                Some(Clash::Nutrition(now)) => (now.at_least_milli, now.at_most_milli),
                _ => (None, None),
            };
            let floor = rule.at_least_milli.is_some();
            let of = |per: Per| per == Per::Lunch;
            let rules = larder.wishes.nutrition.iter_mut();
            for entry in rules.filter(|e| e.nutrient == rule.nutrient && of(e.per) == of(rule.per))
            {
                if floor && entry.at_least_milli == rule.at_least_milli {
                    entry.at_least_milli = now.0;
                } else if !floor && entry.at_most_milli == rule.at_most_milli {
                    entry.at_most_milli = now.1;
                }
            }
        }
        Clash::Credit(rule) => {
            let now = match now {
                Some(Clash::Credit(now)) => (now.at_least_micro, now.at_most_micro),
                _ => (None, None),
            };
            let rules = larder.wishes.credits.iter_mut();
            for entry in rules.filter(|e| e.what == rule.what && e.per == rule.per) {
                if rule.at_least_micro.is_some() {
                    entry.at_least_micro = now.0;
                } else {
                    entry.at_most_micro = now.1;
                }
            }
        }
        Clash::Rest(_) => {
            let most = match now {
                Some(Clash::Rest(weeks)) => *weeks,
                _ => 0,
            };
            larder.wishes.without.retain(|target| match target {
                Target::Resting { weeks_ago, .. } => *weeks_ago <= most,
                _ => true,
            });
        }
        Clash::Without(name) => {
            let keep: Vec<bool> = larder
                .wishes
                .without
                .iter()
                .map(|target| named(larder, target) != *name)
                .collect();
            let mut keep = keep.into_iter();
            larder.wishes.without.retain(|_| keep.next().unwrap());
        }
        Clash::With(name, day) => {
            let calendar = larder.week.calendar;
            let of = |pin: &Pin, larder: &Contents| match pin {
                Pin::Recipe(id, day) => (larder.recipes[id.index()].name.clone(), *day),
                Pin::Food(id, day) => (larder.foods[id.index()].name.clone(), *day),
            };
            let mut pins = Vec::new();
            for pin in &larder.wishes.with {
                let (pinned, on) = of(pin, larder);
                let on = on.map(|on| calendar.name(on.into()));
                if pinned != *name || on != *day {
                    pins.push(pin.clone());
                } else if now.is_some() {
                    pins.push(match pin {
                        Pin::Recipe(id, _) => Pin::Recipe(*id, None),
                        Pin::Food(id, _) => Pin::Food(*id, None),
                    });
                }
            }
            larder.wishes.with = pins;
        }
        Clash::Keeps(name, _) => {
            let Some(Clash::Keeps(_, days)) = now else {
                return false;
            };
            let mut all = larder.components.iter_mut();
            all.find(|c| c.name == *name).unwrap().keeps = *days;
        }
        Clash::Opened(..) | Clash::ReadyTo(..) | Clash::ReadyFrom(..) => return false,
    }
    true
}
