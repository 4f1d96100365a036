//! Turns the rules in force into how near the week stands to each limit.
//!
//! Only rules with a figure are told; of a rule that speaks of every day or every lunch,
//! the one nearest its limit.

use super::batches::{DayMinutes, KitchenDay};
use super::days::When;
use super::nutrition::NutrientFacts;
use crate::larder::{CapBy, Larder, Nutrient, Per};
use crate::plan::Plan;
use crate::rules::Tally;

/// A rule, its limit and what the week reaches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The rule.
    pub held: Held,
    /// What the week reaches, in the rule's unit.
    pub reached: i64,
    /// The limit, in the rule's unit.
    pub limit: i64,
}

/// Rules with a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// Most counted foods or families.
    Cap(CapBy),
    /// Most money for packs, minor units.
    Budget,
    /// Most active minutes on a day, 1e-9.
    Minutes(When),
    /// Most minutes in the kitchen on a day, 1e-9.
    KitchenMinutes(When),
    /// A floor, thousandths of the unit; the lunch nearest to it, or the mean.
    Floor(Nutrient, Option<When>),
    /// A ceiling, thousandths of the unit; the lunch nearest to it, or the mean.
    Ceiling(Nutrient, Option<When>),
    /// Most lunches of a form: the most frequent.
    PerForm(String),
    /// Most lunches of a main protein: the most frequent.
    PerProtein(String),
}

impl Standing {
    /// Returns whether the week stands exactly at the limit.
    pub fn at_limit(&self) -> bool {
        self.reached == self.limit
    }

    /// Returns whether the week stands at the limit or within a twentieth of it.
    pub fn close(&self) -> bool {
        (self.limit - self.reached).abs() <= self.limit.abs() / 20
    }
}

pub(super) fn standings(
    larder: &Larder,
    plan: &Plan,
    tally: &Tally,
    (minutes, kitchen): (&[DayMinutes], &[KitchenDay]),
    nutrition: &[NutrientFacts],
) -> Vec<Standing> {
    let wishes = &larder.wishes;
    let mut all = Vec::new();
    if let Some(limit) = wishes.cap {
        let reached = match wishes.cap_by {
            CapBy::Foods => tally.foods,
            CapBy::Families => tally.families,
        };
        all.push(Standing {
            held: Held::Cap(wishes.cap_by),
            reached,
            limit,
        });
    }
    if let Some(limit) = wishes.budget_minor {
        all.push(Standing {
            held: Held::Budget,
            reached: tally.packs_minor,
            limit,
        });
    }
    all.extend(
        minutes
            .iter()
            .filter_map(|day| {
                day.limit_nano.map(|limit| Standing {
                    held: Held::Minutes(day.when.clone()),
                    reached: day.minutes_nano,
                    limit,
                })
            })
            .min_by_key(|standing| standing.limit - standing.reached),
    );
    let kitchen = kitchen.iter().filter_map(|day| {
        Some(Standing {
            held: Held::KitchenMinutes(day.when.clone()),
            reached: day.minutes_nano,
            limit: day.limit_nano?,
        })
    });
    all.extend(kitchen.min_by_key(|standing| standing.limit - standing.reached));
    for facts in nutrition {
        for rule in &facts.rules {
            let (least, most) = match rule.per {
                Per::Week => ((None, facts.mean_milli), (None, facts.mean_milli)),
                Per::Lunch => {
                    let at = |amount: &super::Amount| (Some(amount.when.clone()), amount.milli);
                    let least = facts.lunches.iter().min_by_key(|amount| amount.milli);
                    let most = facts.lunches.iter().max_by_key(|amount| amount.milli);
                    let (Some(least), Some(most)) = (least, most) else {
                        continue;
                    };
                    (at(least), at(most))
                }
            };
            if let Some(limit) = rule.at_least_milli {
                all.push(Standing {
                    held: Held::Floor(facts.nutrient, least.0),
                    reached: least.1,
                    limit,
                });
            }
            if let Some(limit) = rule.at_most_milli {
                all.push(Standing {
                    held: Held::Ceiling(facts.nutrient, most.0),
                    reached: most.1,
                    limit,
                });
            }
        }
    }
    let recipes = || {
        plan.lunches
            .iter()
            .map(|l| &larder.recipes[l.recipe.index()])
    };
    if let Some(limit) = wishes.per_form
        && let Some((form, reached)) = most_frequent(recipes().map(|r| r.form))
    {
        all.push(Standing {
            held: Held::PerForm(larder.forms[form.index()].clone()),
            reached,
            limit,
        });
    }
    if let Some(limit) = wishes.per_protein
        && let Some((protein, reached)) = most_frequent(recipes().filter_map(|r| r.protein))
    {
        all.push(Standing {
            held: Held::PerProtein(larder.proteins[protein.index()].clone()),
            reached,
            limit,
        });
    }
    all
}

/// The most frequent thing (the first of equals) and how often it stands there.
fn most_frequent<T: Ord + Copy>(things: impl Iterator<Item = T>) -> Option<(T, i64)> {
    let mut counts = std::collections::BTreeMap::new();
    for thing in things {
        *counts.entry(thing).or_insert(0) += 1;
    }
    counts
        .into_iter()
        .max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0)))
}
