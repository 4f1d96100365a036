//! Makes in a larder the change that words tell of: the words of a rule are a claim too.

use scant::larder::{CapBy, Contents, Day, Nutrient, NutrientRule, Per, Pin, Target};

use super::page::{holes, short};

/// What is done with the rule of the words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// It is in force as the words say: they must be its own.
    Check,
    /// It is given up.
    Drop,
    /// It is as the words say now; before it was tighter.
    Set,
}

/// Money in minor units.
pub fn minor(text: &str, digits: u8) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    (part.len() == usize::from(digits)).then_some(())?;
    format!("{whole}{part}").parse().ok()
}

/// A decimal number in 1e-`places`.
pub fn scaled(text: &str, places: usize) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    (part.len() <= places).then_some(())?;
    format!("{whole}{part:0<places$}").parse().ok()
}

fn counted(text: &str, one: &str, many: &str) -> Option<i64> {
    let (number, noun) = text.split_once(' ')?;
    let number: i64 = number.parse().ok()?;
    (noun == if number == 1 { one } else { many }).then_some(number)
}

/// One limit, if the words name it.
fn limit(place: &mut Option<i64>, said: i64, how: How) -> bool {
    let there = match *place {
        // What is loosened was tighter, and says its new limit.
        Some(now) => how != How::Check || now == said,
        None => false,
    };
    match how {
        How::Check => {}
        How::Drop => *place = None,
        How::Set => *place = Some(said),
    }
    there
}

fn floor(rule: &mut NutrientRule) -> &mut Option<i64> {
    &mut rule.at_least_milli
}

fn ceiling(rule: &mut NutrientRule) -> &mut Option<i64> {
    &mut rule.at_most_milli
}

fn nutrition(larder: &mut Contents, words: &str, how: How) -> Option<bool> {
    let (words, per) = if let Some(words) = words.strip_suffix(" in every lunch") {
        (words, Per::Lunch)
    } else {
        (words.strip_suffix(" on average")?, Per::Week)
    };
    for nutrient in Nutrient::ALL {
        let sides: [(&str, fn(&mut NutrientRule) -> &mut Option<i64>); 2] =
            [("at least", floor), ("at most", ceiling)];
        for (side, of) in sides {
            let pattern = format!("{} {side} {{}} {}", nutrient.label(), nutrient.unit());
            let Some(said) = holes(&pattern, words).and_then(|said| scaled(said[0], 3)) else {
                continue;
            };
            let rules = larder.wishes.nutrition.iter_mut();
            let mut alike: Vec<&mut NutrientRule> = rules
                .filter(|rule| rule.nutrient == nutrient && rule.per == per)
                .filter_map(|rule| of(rule).is_some().then_some(rule))
                .collect();
            if how != How::Set {
                // Given up or in force is the one with this limit.
                let mut rules = alike.into_iter().map(of);
                let place = rules.find(|place| **place == Some(said));
                return Some(place.is_some_and(|place| limit(place, said, how)));
            }
            // Which of two was loosened the words do not say.
            if alike.len() != 1 {
                return None;
            }
            return Some(limit(of(alike.remove(0)), said, how));
        }
    }
    Some(false)
}

fn time_rule(larder: &mut Contents, words: &str, how: How) -> Option<bool> {
    let days = |text: &str| counted(text, "day", "days").map(|days| days as i32);
    if let Some(said) = holes("{}, opened, keeps {}", words) {
        let (pack, days) = (only_pack(larder, said[0])?, days(said[1])?);
        let pack = &mut larder.packs[pack];
        return Some(match how {
            How::Check => pack.open_life == days,
            How::Drop => false,
            How::Set => {
                if pack.end == pack.ready_to + pack.open_life && pack.end > pack.ready_to {
                    pack.end += 1;
                }
                pack.open_life += 1;
                pack.open_life == days
            }
        });
    }
    if let Some(said) = holes("{} is opened at most {} after it is bought", words) {
        let (pack, days) = (only_pack(larder, said[0])?, days(said[1])?);
        let pack = &mut larder.packs[pack];
        if how == How::Set {
            pack.ready_to += 1;
            pack.end += 1;
        }
        return Some(how != How::Drop && pack.ready_to == days);
    }
    if let Some(said) = holes("{} is opened at least {} after it is bought", words) {
        let (pack, days) = (only_pack(larder, said[0])?, days(said[1])?);
        let pack = &mut larder.packs[pack];
        if how == How::Set {
            pack.ready_from -= 1;
        }
        return Some(how != How::Drop && pack.ready_from == days);
    }
    let said = holes("{} keeps {}", words)?;
    let days = days(said[1])?;
    let mut all = larder.components.iter_mut();
    let component = all.find(|component| component.name == said[0])?;
    if how == How::Set {
        component.keeps += 1;
    }
    Some(how != How::Drop && component.keeps == days)
}

/// The pack of a food, or of a food and a stage; none where the words may mean several.
fn only_pack(larder: &Contents, name: &str) -> Option<usize> {
    let called = |at: &usize| {
        let pack = &larder.packs[*at];
        let food = &larder.foods[pack.food.index()].name;
        match &pack.stage {
            Some(stage) => format!("{food} ({stage})") == name,
            None => food == name,
        }
    };
    let mut all = (0..larder.packs.len()).filter(called);
    let first = all.next()?;
    all.next().is_none().then_some(first)
}

fn pin(larder: &mut Contents, words: &str, how: How) -> Option<bool> {
    let named = |larder: &Contents, pin: &Pin| match pin {
        Pin::Recipe(id, day) => (larder.recipes[id.index()].name.clone(), *day),
        Pin::Food(id, day) => (larder.foods[id.index()].name.clone(), *day),
    };
    let day_of = |day: Day| larder.day_name(day.into());
    let told = |pin: &Pin| match named(larder, pin) {
        (name, Some(day)) => format!("{name} on {}", day_of(day)),
        (name, None) => name,
    };
    let pins = &larder.wishes.with;
    let at = match how {
        // The day is what was loosened.
        How::Set => pins.iter().position(|pin| {
            let (name, day) = named(larder, pin);
            name == words && day.is_some()
        }),
        _ => pins.iter().position(|pin| told(pin) == words),
    };
    let Some(at) = at else { return Some(false) };
    match how {
        How::Check => {}
        How::Drop => drop(larder.wishes.with.remove(at)),
        How::Set => match &mut larder.wishes.with[at] {
            Pin::Recipe(_, day) | Pin::Food(_, day) => *day = None,
        },
    }
    Some(true)
}

fn ban(larder: &mut Contents, name: &str, how: How) -> bool {
    let called = |target: &Target| match target {
        Target::Food(id) => larder.foods[id.index()].name == name,
        Target::Family(id) => larder.families[id.index()] == name,
        Target::Recipe(id) => larder.recipes[id.index()].name == name,
        Target::Component(id) => larder.components[id.index()].name == name,
        Target::Shop(id) => larder.shops[id.index()] == name,
        Target::Pack(id) => larder.packs[id.index()].label == name,
        Target::Tag(word) | Target::Allergen(word) | Target::Equipment(word) => word == name,
        Target::Resting { .. } => false,
    };
    let meant: Vec<bool> = larder.wishes.without.iter().map(called).collect();
    if how == How::Drop {
        let mut meant = meant.iter();
        larder
            .wishes
            .without
            .retain(|_| meant.next() != Some(&true));
    }
    how != How::Set && meant.contains(&true)
}

/// Does what `how` says with the rule of the words. `Some(false)`: there is no such rule, or
/// it cannot be changed so. `None`: the words do not say which of several rules they mean.
pub fn apply(larder: &mut Contents, words: &str, how: How) -> Option<bool> {
    let lunches = i64::from(larder.week.lunches);
    let digits = larder.currency.digits;
    let wishes = &mut larder.wishes;
    if words == "no form on neighbouring days" {
        let there = wishes.form_never_adjacent;
        if how == How::Drop {
            wishes.form_never_adjacent = false;
        }
        return Some(there && how != How::Set);
    }
    if let Some(said) = holes("overlap of any two lunches at most {}", words) {
        return Some(limit(&mut wishes.sameness_milli, scaled(said[0], 3)?, how));
    }
    if let Some(said) = holes("overlap of neighbours at most {}", words) {
        let place = &mut wishes.sameness_adjacent_milli;
        return Some(limit(place, scaled(said[0], 3)?, how));
    }
    if let Some(said) = holes("a recipe at most {}", words) {
        let said = counted(said[0], "time", "times")?;
        let there = how != How::Check || wishes.repeats == said;
        match how {
            How::Check => {}
            How::Drop => wishes.repeats = lunches,
            How::Set => wishes.repeats = said,
        }
        return Some(there);
    }
    if let Some(said) = holes("foods to buy of at most {}", words) {
        let families = wishes.cap_by == CapBy::Families;
        let said = counted(said[0], "family", "families")?;
        return Some(families && limit(&mut wishes.cap, said, how));
    }
    if let Some(said) = holes("packs for at most {}", words) {
        let figure = said[0].trim_start_matches(|c: char| !c.is_ascii_digit());
        return Some(limit(&mut wishes.budget_minor, minor(figure, digits)?, how));
    }
    if words == "nothing cooked ahead" {
        return Some(cook_on(larder, "", how));
    }
    if let Some(said) = holes("batches cooked on {} only", words) {
        return Some(cook_on(larder, said[0], how));
    }
    if let Some(name) = words.strip_prefix("without ") {
        return Some(ban(larder, name, how));
    }
    if let Some(name) = words.strip_prefix("with ") {
        return pin(larder, name, how);
    }
    if let Some(rest) = words.strip_prefix("at most ") {
        if let Some(said) = holes("{} of a form", rest) {
            let said = counted(said[0], "lunch", "lunches")?;
            return Some(limit(&mut wishes.per_form, said, how));
        }
        if let Some(said) = holes("{} of a main protein", rest) {
            let said = counted(said[0], "lunch", "lunches")?;
            return Some(limit(&mut wishes.per_protein, said, how));
        }
        if let Some(said) = holes("{} active minutes on {}", rest) {
            return minutes(larder, active, said[0], said[1], how);
        }
        if let Some(said) = holes("{} minutes in the kitchen on {}", rest) {
            return minutes(larder, in_kitchen, said[0], said[1], how);
        }
        let said = counted(rest, "food to buy", "foods to buy")?;
        let foods = wishes.cap_by == CapBy::Foods;
        return Some(foods && limit(&mut wishes.cap, said, how));
    }
    if !larder.wishes.credits.is_empty()
        && [" in every lunch", " in the week"]
            .iter()
            .any(|end| words.ends_with(end))
        && !Nutrient::ALL
            .iter()
            .any(|one| words.starts_with(&format!("{} at ", one.label())))
    {
        // A food group, or a share of energy: `tests/tradeoffs.rs` makes those changes.
        return None;
    }
    if words.ends_with(" in every lunch") || words.ends_with(" on average") {
        return nutrition(larder, words, how);
    }
    time_rule(larder, words, how)
}

fn active(contents: &mut Contents) -> &mut Vec<Option<i64>> {
    &mut contents.wishes.minutes_nano
}

fn in_kitchen(contents: &mut Contents) -> &mut Vec<Option<i64>> {
    &mut contents.wishes.kitchen_minutes_nano
}

/// The days for cooking, by their short names.
fn cook_on(larder: &mut Contents, names: &str, how: How) -> bool {
    let all: Vec<u8> = (0..=larder.week.lunches).collect();
    let there = larder.wishes.cook_on.clone();
    let named = |day: &u8| short(&larder.day_name(i32::from(*day)));
    let told = |days: &[u8]| days.iter().map(named).collect::<Vec<_>>().join(" ");
    let Some(was) = there else { return false };
    match how {
        How::Check => told(&was) == names,
        How::Drop => {
            let same = told(&was) == names;
            larder.wishes.cook_on = None;
            same
        }
        How::Set => {
            // More days, the earliest of those left out first.
            let mut days = was.clone();
            let left = all.into_iter().filter(|day| !was.contains(day));
            for day in left {
                days.push(day);
                days.sort_unstable();
                if told(&days) == names {
                    larder.wishes.cook_on = Some(days);
                    return true;
                }
            }
            false
        }
    }
}

/// A limit on the minutes of some days: all days with one limit, by their short names.
fn minutes(
    larder: &mut Contents,
    limits: fn(&mut Contents) -> &mut Vec<Option<i64>>,
    said: &str,
    names: &str,
    how: How,
) -> Option<bool> {
    let said = scaled(said, 9)?;
    let all = limits(larder).clone();
    let days: Vec<usize> = (0..all.len()).collect();
    let told = |days: &[usize]| {
        let names = days.iter().map(|&day| short(&larder.day_name(day as i32)));
        names.collect::<Vec<_>>().join(" ")
    };
    let mut distinct: Vec<i64> = all.iter().copied().flatten().collect();
    distinct.sort_unstable();
    distinct.dedup();
    let group = distinct.into_iter().find_map(|limit| {
        let mine = |day: &usize| all[*day] == Some(limit);
        let mine: Vec<usize> = days.iter().copied().filter(mine).collect();
        (told(&mine) == names).then_some((limit, mine))
    });
    let Some((limit, mine)) = group else {
        return Some(false);
    };
    for day in mine {
        match how {
            How::Check => {}
            How::Drop => limits(larder)[day] = None,
            How::Set => limits(larder)[day] = Some(said),
        }
    }
    // Limits are printed to a tenth.
    let near = (limit - said).abs() <= 50_000_000;
    Some(match how {
        How::Set => said > limit,
        _ => near,
    })
}

/// The words of all rules in force that have a name on the command line or in the files, for a
/// list that must name them all.
pub fn in_force(larder: &Contents) -> usize {
    let w = &larder.wishes;
    let sides = |rule: &NutrientRule| {
        usize::from(rule.at_least_milli.is_some()) + usize::from(rule.at_most_milli.is_some())
    };
    let distinct = |limits: &[Option<i64>]| {
        let limits = limits.iter().copied().flatten();
        limits.collect::<std::collections::BTreeSet<i64>>().len()
    };
    let limits = distinct(&w.minutes_nano) + distinct(&w.kitchen_minutes_nano);
    let days = usize::from(larder.week.lunches) + 1;
    let idle = w.cook_on.as_ref().is_some_and(|on| on.len() < days);
    let mut bans: Vec<String> = Vec::new();
    for ban in &w.without {
        let name = match ban {
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
        if !bans.contains(&name) {
            bans.push(name);
        }
    }
    let options = [
        w.cap,
        w.budget_minor,
        w.per_form,
        w.per_protein,
        w.sameness_milli,
        w.sameness_adjacent_milli,
    ];
    options.iter().flatten().count()
        + w.nutrition.iter().map(sides).sum::<usize>()
        + limits
        + usize::from(idle)
        + bans.len()
        + w.with.len()
        + usize::from(w.form_never_adjacent)
        + usize::from(w.repeats < i64::from(larder.week.lunches))
}
