//! Wishes: bans, pins, the cap and the budget.
//!
//! Asks: nothing that is banned is taken, not even inside a component; every pin appears,
//! on its day if it has one; no more counted foods (or families) are bought than the cap
//! allows; the packs bought cost no more than the budget. Stock does not count to the cap.
//! A kitchen wants it because it feeds people who cannot eat some foods. Allergen data
//! are the kitchen's own and say nothing of traces: read every label.
//! To loosen: take the name out of `without` or `with`; raise `cap` or `budget`.

use std::collections::BTreeSet;

use super::case::{Case, Served};
use super::finding::{Findings, RuleDoc};
use crate::larder::{CapBy, ComponentId, FamilyId, FoodId, Ingredient, Pin, Target};

pub(super) const BANNED: RuleDoc = RuleDoc {
    code: "banned",
    asks: "nothing named in `without` is taken, by a line or inside a component",
    loosen: "take the name out of `rules: without`, if nobody at table depends on it",
};
pub(super) const PIN_MISSING: RuleDoc = RuleDoc {
    code: "pin-missing",
    asks: "everything named in `with` appears, on its day if it has one",
    loosen: "take the name, or its day, out of `rules: with`",
};
pub(super) const OVER_CAP: RuleDoc = RuleDoc {
    code: "over-cap",
    asks: "no more counted foods (or families) are bought than `cap` allows",
    loosen: "raise `rules: cap`, or count families with `cap_by`",
};
pub(super) const OVER_BUDGET: RuleDoc = RuleDoc {
    code: "over-budget",
    asks: "the packs bought cost no more than `budget`",
    loosen: "raise `rules: budget`",
};

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for served in case.lunches() {
        for ban in &case.larder.wishes.without {
            bans(case, served, ban, findings);
        }
    }
    banned_purchases(case, findings);
    for pin in &case.larder.wishes.with {
        pinned(case, pin, findings);
    }
    cap(case, findings);
    budget(case, findings);
}

fn bans(case: &Case, served: Served, ban: &Target, findings: &mut Findings) {
    let lunch = format!("{}'s “{}”", case.day(served.day), served.recipe.name);
    let recipe_is_banned = match ban {
        Target::Recipe(id) | Target::Resting { recipe: id, .. } => served.lunch.recipe == *id,
        Target::Tag(tag) => served.recipe.tags.contains(tag),
        Target::Equipment(tool) => served.recipe.needs.contains(tool),
        _ => false,
    };
    if recipe_is_banned {
        let detail = format!("{lunch} is banned by {}", words(case, ban));
        findings.add(&BANNED, detail);
    }
    for alternative in served.taken() {
        match alternative.what {
            Ingredient::Food(food) if names_food(case, ban, food) => {
                let detail = format!(
                    "{lunch} takes {}, banned by {}",
                    case.food(food),
                    words(case, ban)
                );
                findings.add(&BANNED, detail);
            }
            Ingredient::Component(id) => {
                let component = case.component(id);
                if names_component(case, ban, id) {
                    let detail =
                        format!("{lunch} takes {component}, banned by {}", words(case, ban));
                    findings.add(&BANNED, detail);
                }
                for &(food, _) in &case.larder.components[id.index()].foods {
                    if names_food(case, ban, food) {
                        let detail = format!(
                            "{lunch} takes {component}, which contains {}, banned by {}",
                            case.food(food),
                            words(case, ban)
                        );
                        findings.add(&BANNED, detail);
                    }
                }
            }
            Ingredient::Food(_) => {}
        }
    }
}

/// Bans on a shop, or on a pack option there, are about what is bought, not about lunches.
fn banned_purchases(case: &Case, findings: &mut Findings) {
    for purchase in &case.plan.purchases {
        let pack = &case.larder.packs[purchase.pack.index()];
        for ban in &case.larder.wishes.without {
            let banned = match ban {
                Target::Shop(shop) => pack.shop == Some(*shop),
                Target::Pack(id) => *id == purchase.pack,
                _ => false,
            };
            if banned {
                let (food, ban) = (case.food(pack.food), words(case, ban));
                findings.add(&BANNED, format!("{food} is bought, banned by {ban}"));
            }
        }
    }
}

fn names_food(case: &Case, ban: &Target, id: FoodId) -> bool {
    let food = &case.larder.foods[id.index()];
    match ban {
        Target::Food(named) => *named == id,
        Target::Family(named) => food.family == Some(*named),
        Target::Tag(named) => food.tags.contains(named),
        Target::Allergen(named) => food.allergens.contains(named),
        _ => false,
    }
}

fn names_component(case: &Case, ban: &Target, id: ComponentId) -> bool {
    let component = &case.larder.components[id.index()];
    match ban {
        Target::Component(named) => *named == id || component.inside.contains(named),
        Target::Tag(named) => component.tags.contains(named),
        Target::Equipment(named) => component.needs.contains(named),
        _ => false,
    }
}

fn words(case: &Case, ban: &Target) -> String {
    let larder = case.larder;
    match ban {
        Target::Food(id) => format!("the food “{}”", larder.foods[id.index()].name),
        Target::Family(id) => format!("the family “{}”", larder.families[id.index()]),
        Target::Tag(tag) => format!("the tag “{tag}”"),
        Target::Allergen(name) => format!("the allergen “{name}”"),
        Target::Equipment(name) => format!("the equipment “{name}”"),
        Target::Recipe(id) => format!("the recipe “{}”", larder.recipes[id.index()].name),
        Target::Resting { recipe, weeks_ago } => format!(
            "the rest of “{}”, last served {weeks_ago} weeks ago",
            larder.recipes[recipe.index()].name
        ),
        Target::Component(id) => {
            format!("the component “{}”", larder.components[id.index()].name)
        }
        Target::Shop(id) => format!("the shop “{}”", larder.shops[id.index()]),
        Target::Pack(id) => format!("“{}” there", larder.packs[id.index()].label),
    }
}

fn pinned(case: &Case, pin: &Pin, findings: &mut Findings) {
    let (appears, name, day) = match *pin {
        Pin::Recipe(id, day) => (
            on(case, day).any(|served| served.lunch.recipe == id),
            &case.larder.recipes[id.index()].name,
            day,
        ),
        Pin::Food(id, day) => (
            on(case, day).any(|served| takes(case, served, id)),
            &case.larder.foods[id.index()].name,
            day,
        ),
    };
    if !appears {
        let when = day.map_or_else(
            || "in the week".to_owned(),
            |day| format!("on {}", case.day(day)),
        );
        findings.add(&PIN_MISSING, format!("“{name}” does not appear {when}"));
    }
}

/// Returns the lunches of `day`, or of the whole week.
fn on<'a>(case: &Case<'a>, day: Option<u8>) -> impl Iterator<Item = Served<'a>> + use<'a> {
    case.lunches()
        .filter(move |served| day.is_none_or(|day| served.day == day))
}

fn takes(case: &Case, served: Served, food: FoodId) -> bool {
    served.taken().any(|alternative| match alternative.what {
        Ingredient::Food(taken) => taken == food,
        Ingredient::Component(id) => case.larder.components[id.index()]
            .foods
            .iter()
            .any(|&(inside, _)| inside == food),
    })
}

/// Returns the counted foods bought.
pub(super) fn foods_bought(case: &Case) -> BTreeSet<FoodId> {
    case.plan
        .purchases
        .iter()
        .map(|purchase| case.larder.packs[purchase.pack.index()].food)
        .collect()
}

/// Returns how many families they are of; a food without family is one of its own.
pub(super) fn families_bought(case: &Case) -> usize {
    let families: BTreeSet<Result<FamilyId, FoodId>> = foods_bought(case)
        .into_iter()
        .map(|food| case.larder.foods[food.index()].family.ok_or(food))
        .collect();
    families.len()
}

fn cap(case: &Case, findings: &mut Findings) {
    let Some(cap) = case.larder.wishes.cap else {
        return;
    };
    let (count, what) = match case.larder.wishes.cap_by {
        CapBy::Foods => (foods_bought(case).len(), "foods"),
        CapBy::Families => (families_bought(case), "families"),
    };
    if count as i64 > cap {
        let detail = format!("{count} {what} are bought; at most {cap} allowed");
        findings.add(&OVER_CAP, detail);
    }
}

fn budget(case: &Case, findings: &mut Findings) {
    let Some(budget) = case.larder.wishes.budget_minor else {
        return;
    };
    let cost = case.plan.purchases.iter().fold(0i128, |sum, purchase| {
        let price = i128::from(case.larder.packs[purchase.pack.index()].price_minor);
        sum.saturating_add(price * i128::from(purchase.count))
    });
    if cost > i128::from(budget) {
        let currency = &case.larder.currency;
        let detail = format!(
            "the packs cost {}; at most {} allowed",
            currency.cash(cost),
            currency.cash(budget.into())
        );
        findings.add(&OVER_BUDGET, detail);
    }
}
