//! Turns an impossible kitchen into rules that cannot hold together, none to spare.
//!
//! Rules are dropped one by one: if the rest is still impossible the rule stays dropped,
//! else it is part of the conflict. What remains is impossible together, and dropping any
//! one of them makes a week possible. Bans and pins are tried last, so what was asked for
//! this time outlasts what the kitchen always asks.

use std::sync::atomic::{AtomicBool, Ordering};

use crate::engine::{EngineFault, Limits, Outcome, Progress, solve};
use crate::larder::{CapBy, CreditRule, Larder, NutrientRule, Pin, Target, Wishes};

/// Rules that cannot hold together.
#[derive(Clone, Debug)]
pub struct Conflict {
    /// Each is needed; empty if the recipes, packs and keeping times alone leave no week.
    pub rules: Vec<Clash>,
}

/// A rule of a conflict.
#[derive(Clone, Debug)]
pub enum Clash {
    /// Most lunches of a form.
    PerForm(i64),
    /// No form on neighbouring days.
    FormsApart,
    /// Most lunches of a main protein.
    PerProtein(i64),
    /// Highest sameness of two recipes, thousandths.
    Sameness(i64),
    /// Highest sameness of neighbours, thousandths.
    SamenessAdjacent(i64),
    /// Most times one recipe may appear.
    Repeats(i64),
    /// Limits on active minutes.
    Minutes,
    /// A floor or ceiling.
    Nutrition(NutrientRule),
    /// A floor or ceiling on a food group, or a share of energy.
    Credit(CreditRule),
    /// Most counted foods or families.
    Cap(i64, CapBy),
    /// Most money, minor units.
    Budget(i64),
    /// A ban, by name.
    Without(String),
    /// A pin: name, and day if one is named.
    With(String, Option<String>),
}

/// A rule that can be dropped: how it is told, and how to drop it.
type Rule = (Clash, Box<dyn Fn(&mut Wishes)>);

fn rules(larder: &Larder) -> Vec<Rule> {
    let wishes = &larder.wishes;
    let lunches = i64::from(larder.week.lunches);
    let mut rules: Vec<Rule> = Vec::new();
    let mut add = |clash: Clash, drop: Box<dyn Fn(&mut Wishes)>| rules.push((clash, drop));
    if wishes.form_never_adjacent {
        add(
            Clash::FormsApart,
            Box::new(|w| w.form_never_adjacent = false),
        );
    }
    if let Some(most) = wishes.per_form {
        add(Clash::PerForm(most), Box::new(|w| w.per_form = None));
    }
    if let Some(most) = wishes.per_protein {
        add(Clash::PerProtein(most), Box::new(|w| w.per_protein = None));
    }
    if let Some(most) = wishes.sameness_adjacent_milli {
        let clash = Clash::SamenessAdjacent(most);
        add(clash, Box::new(|w| w.sameness_adjacent_milli = None));
    }
    if let Some(most) = wishes.sameness_milli {
        add(Clash::Sameness(most), Box::new(|w| w.sameness_milli = None));
    }
    if wishes.repeats < lunches {
        let clash = Clash::Repeats(wishes.repeats);
        add(clash, Box::new(move |w| w.repeats = lunches));
    }
    if wishes.minutes_nano.iter().any(Option::is_some) {
        add(Clash::Minutes, Box::new(|w| w.minutes_nano.fill(None)));
    }
    for (i, rule) in wishes.nutrition.iter().enumerate() {
        // Emptied rather than removed, so that positions stay.
        let drop = move |w: &mut Wishes| {
            w.nutrition[i].at_least_milli = None;
            w.nutrition[i].at_most_milli = None;
        };
        add(Clash::Nutrition(rule.clone()), Box::new(drop));
    }
    for (i, rule) in wishes.credits.iter().enumerate() {
        let drop = move |w: &mut Wishes| {
            w.credits[i].at_least_micro = None;
            w.credits[i].at_most_micro = None;
        };
        add(Clash::Credit(rule.clone()), Box::new(drop));
    }
    if let Some(most) = wishes.budget_minor {
        add(Clash::Budget(most), Box::new(|w| w.budget_minor = None));
    }
    if let Some(most) = wishes.cap {
        add(Clash::Cap(most, wishes.cap_by), Box::new(|w| w.cap = None));
    }
    for target in &wishes.without {
        let gone = target.clone();
        let clash = Clash::Without(target_name(larder, target));
        add(clash, Box::new(move |w| w.without.retain(|t| *t != gone)));
    }
    for pin in &wishes.with {
        let gone = pin.clone();
        let clash = pin_clash(larder, pin);
        add(clash, Box::new(move |w| w.with.retain(|p| *p != gone)));
    }
    rules
}

fn target_name(larder: &Larder, target: &Target) -> String {
    match target {
        Target::Food(id) => larder.foods[id.index()].name.clone(),
        Target::Family(id) => larder.families[id.index()].clone(),
        Target::Recipe(id) => larder.recipes[id.index()].name.clone(),
        Target::Component(id) => larder.components[id.index()].name.clone(),
        Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word.clone(),
    }
}

fn pin_clash(larder: &Larder, pin: &Pin) -> Clash {
    let (name, day) = match pin {
        Pin::Recipe(id, day) => (&larder.recipes[id.index()].name, day),
        Pin::Food(id, day) => (&larder.foods[id.index()].name, day),
    };
    Clash::With(name.clone(), day.map(|day| larder.day_name(i32::from(day))))
}

/// Finds a conflict in a kitchen that was proved impossible; `None` if stopped first.
///
/// # Errors
/// Those of the engine.
pub fn conflict(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Conflict>, EngineFault> {
    let mut smaller = larder.clone();
    smaller.wishes.order.clear();
    let mut kept = Vec::new();
    for (clash, drop) in rules(larder) {
        let mut without = smaller.clone();
        drop(&mut without.wishes);
        match possible(&without, threads, stop)? {
            Some(true) => kept.push(clash),
            Some(false) => smaller = without,
            None => return Ok(None),
        }
    }
    Ok(Some(Conflict { rules: kept }))
}

/// Whether there is any week; `None` if stopped before that was known.
fn possible(
    larder: &Larder,
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<bool>, EngineFault> {
    // Any week will do: the first one told of ends the search.
    let found = AtomicBool::new(false);
    let progress = |progress: &Progress| {
        if progress.best_nano.is_some() {
            found.store(true, Ordering::Relaxed);
        }
    };
    let limits = Limits {
        threads,
        stop: &|| found.load(Ordering::Relaxed) || stop(),
        progress: Some(&progress),
    };
    Ok(match solve(larder, &limits)?.0 {
        Outcome::Best(_) | Outcome::Good { .. } => Some(true),
        Outcome::Impossible => Some(false),
        Outcome::OutOfTime { .. } => found.load(Ordering::Relaxed).then_some(true),
    })
}
