//! Asks whether a ban reaches whatever it names, through components too, and whether the
//! alternatives left over by [`allowed_alternatives`] are the ones the judge lets pass.

use super::boatyard::{
    self, AVOCADO, AVOCADO_WRAP, COOKED_RICE, OIL, RICE, SALT, SPINACH_SOUP, TOFU, TOFU_WRAP,
    basket, opened,
};
use super::{at_the_limit, refusals};
use scant::larder::allowed::allowed_alternatives;
use scant::larder::{ComponentId, Contents, FamilyId, FoodId, Larder, RecipeId, Target};
use scant::plan::{Lunch, Plan};
use scant::rules::judge;

fn without(larder: &mut Contents, ban: Target) {
    larder.wishes.without.push(ban);
}

/// The avocado wrap with spinach in place of avocado: 30 g x 3 more of it on Thursday.
fn spinach_instead(plan: &mut Plan) {
    plan.lunches[3].taken[1] = 1;
    plan.purchases[basket::SPINACH].count = 2;
    plan.openings[opened::SPINACH].units = 2;
    plan.openings[opened::SPINACH].draws[1].1 += 90_000;
    plan.purchases.remove(basket::AVOCADO);
    plan.openings.remove(opened::AVOCADO);
}

refusals! {
    a_banned_food_is_refused is "banned": |larder, _| without(larder, Target::Food(TOFU));
    a_banned_staple_is_refused is "banned": |larder, _| without(larder, Target::Food(OIL));
    a_banned_food_inside_a_component_is_refused is "banned": |larder, _| {
        without(larder, Target::Food(RICE));
    };
    a_banned_family_is_refused is "banned": |larder, _| {
        without(larder, Target::Family(FamilyId(2)));
    };
    a_food_with_a_banned_tag_is_refused is "banned": |larder, _| {
        without(larder, Target::Tag("fruit".to_owned()));
    };
    a_component_with_a_banned_tag_is_refused is "banned": |larder, _| {
        without(larder, Target::Tag("cooked grain".to_owned()));
    };
    a_recipe_with_a_banned_tag_is_refused is "banned": |larder, _| {
        without(larder, Target::Tag("cold".to_owned()));
    };
    a_food_with_a_banned_allergen_is_refused is "banned": |larder, _| {
        without(larder, Target::Allergen("soy".to_owned()));
    };
    an_allergen_inside_a_component_is_refused is "banned": |larder, _| {
        larder.foods[SALT.index()].allergens = vec!["celery".to_owned()];
        without(larder, Target::Allergen("celery".to_owned()));
    };
    equipment_of_a_component_is_refused is "banned": |larder, _| {
        without(larder, Target::Equipment("rice pot".to_owned()));
    };
    equipment_of_a_recipe_is_refused is "banned": |larder, _| {
        without(larder, Target::Equipment("bowl with lid".to_owned()));
    };
    a_banned_recipe_is_refused is "banned": |larder, _| {
        without(larder, Target::Recipe(TOFU_WRAP));
    };
    a_banned_component_is_refused is "banned": |larder, _| {
        without(larder, Target::Component(COOKED_RICE));
    };
    a_component_made_from_a_banned_one_is_refused is "banned": |larder, _| {
        let mut base = larder.components[COOKED_RICE.index()].clone();
        base.name = "steamed rice".to_owned();
        larder.components.push(base);
        let base = ComponentId::new(larder.components.len() - 1);
        larder.components[COOKED_RICE.index()].inside.push(base);
        without(larder, Target::Component(base));
    };
}

at_the_limit! {
    a_banned_alternative_left_aside_is_accepted: |larder, plan| {
        spinach_instead(plan);
        without(larder, Target::Food(AVOCADO));
        without(larder, Target::Tag("fruit".to_owned()));
    };
    bans_on_what_the_week_leaves_out_are_accepted: |larder, _| {
        without(larder, Target::Recipe(SPINACH_SOUP));
        without(larder, Target::Equipment("stove".to_owned()));
        without(larder, Target::Allergen("peanut".to_owned()));
    };
    a_word_bans_only_its_own_kind: |larder, _| {
        without(larder, Target::Allergen("fruit".to_owned()));
        without(larder, Target::Tag("soy".to_owned()));
        without(larder, Target::Equipment("cold".to_owned()));
    };
}

/// For every ban the larder can word, every recipe and every way of filling its lines: the
/// judge names `banned` exactly when the fixed table leaves that way out.
#[test]
fn the_judge_lets_pass_exactly_the_alternatives_that_bans_leave() {
    let bans = every_ban(&boatyard::larder());
    let (mut passed, mut refused) = (0, 0);
    for ban in bans {
        let mut larder = boatyard::contents();
        larder.wishes.without = vec![ban];
        let larder = boatyard::sound(larder);
        let allowed = allowed_alternatives(&larder);
        // The other lunches may be banned as well: one lunch is looked at alone.
        let alone = larder.changed(|new| {
            new.week.lunches = 1;
            new.week.eaters_milli.truncate(1);
            new.week.trips.truncate(1);
            new.wishes.minutes_nano.truncate(2);
            new.wishes.kitchen_minutes_nano.truncate(2);
            new.wishes.preferences.clear();
            for recipe in &mut new.recipes {
                recipe.days.truncate(1);
            }
        });
        let alone = alone.unwrap();
        for (index, recipe) in larder.recipes.iter().enumerate() {
            let id = RecipeId(index as u32);
            let ways = recipe.lines.iter().map(|line| line.alternatives.len());
            for way in 0..ways.clone().max().unwrap_or(0) as u16 {
                let taken: Vec<u16> = ways
                    .clone()
                    .map(|count| way.min(count as u16 - 1))
                    .collect();
                let left = allowed.of(id);
                let free = !left.banned
                    && taken
                        .iter()
                        .zip(&left.lines)
                        .all(|(way, line)| line.contains(way));
                let mut plan = boatyard::plan();
                plan.lunches = vec![Lunch { recipe: id, taken }];
                plan.batches.clear();
                plan.purchases.clear();
                plan.openings.clear();
                let named = judge(&alone, &plan)
                    .is_err_and(|findings| findings.iter().any(|finding| finding.code == "banned"));
                assert_eq!(
                    named, !free,
                    "{} under {:?}",
                    recipe.name, larder.wishes.without
                );
                if free { passed += 1 } else { refused += 1 }
            }
        }
    }
    assert!(
        passed > 20 && refused > 20,
        "{passed} passed, {refused} refused"
    );
}

fn every_ban(larder: &Larder) -> Vec<Target> {
    let mut bans = Vec::new();
    let words = [
        "fruit",
        "cooked grain",
        "cold",
        "soy",
        "wheat",
        "rice pot",
        "stove",
        "bowl with lid",
    ];
    for word in words.map(str::to_owned) {
        bans.push(Target::Tag(word.clone()));
        bans.push(Target::Allergen(word.clone()));
        bans.push(Target::Equipment(word));
    }
    bans.extend((0..larder.foods.len()).map(|index| Target::Food(FoodId(index as u32))));
    bans.extend((0..larder.families.len()).map(|index| Target::Family(FamilyId(index as u32))));
    bans.extend((0..larder.recipes.len()).map(|index| Target::Recipe(RecipeId(index as u32))));
    bans.push(Target::Component(COOKED_RICE));
    bans
}

#[test]
fn a_line_left_with_nothing_removes_its_recipe() {
    let mut larder = boatyard::contents();
    without(&mut larder, Target::Food(AVOCADO));
    let allowed = allowed_alternatives(&larder);
    let wrap = allowed.of(AVOCADO_WRAP);
    assert_eq!(wrap.lines, [vec![0], vec![1], vec![0]]);
    assert!(wrap.can_be_served());
    without(&mut larder, Target::Family(FamilyId(2)));
    let allowed = allowed_alternatives(&larder);
    let wrap = allowed.of(AVOCADO_WRAP);
    assert!(!wrap.banned && !wrap.can_be_served());
    assert_eq!(allowed.servable().collect::<Vec<_>>(), [TOFU_WRAP]);
}
