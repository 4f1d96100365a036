//! Household measures: what one of a measure weighs, under a name a recipe can use.

use std::collections::BTreeMap;

use super::food::{CentralFood, Portion};
use super::rows::{CentralFault, LONGEST_NAME, Opener, Row, Rows};
use crate::table::units::{self, Kind};
use crate::unicode;

/// Most measures of a food: what the kitchen files take.
const MOST: usize = 60;

/// Fills in the measures; false if the folder has none.
pub(super) fn fill(
    open: &Opener,
    places: &BTreeMap<u64, usize>,
    foods: &mut [CentralFood],
) -> Result<bool, CentralFault> {
    let names = [
        "fdc_id",
        "gram_weight",
        "amount",
        "measure_unit_id",
        "portion_description",
        "modifier",
    ];
    let Some(mut rows) = Rows::if_there(open, "food_portion.csv", &names, 2)? else {
        return Ok(false);
    };
    let units = unit_names(open)?;
    while let Some(row) = rows.next()? {
        let Some(&food) = places.get(&row.whole(0)?) else {
            continue;
        };
        let portions = &mut foods[food].portions;
        if portions.len() < MOST {
            let mut portion = portion(&row, &units);
            let taken = |name: &str| {
                let mut others = portions.iter().filter_map(|p| p.measure.as_ref().ok());
                others.any(|(other, _)| folded(other) == folded(name))
            };
            if portion.measure.as_ref().is_ok_and(|(name, _)| taken(name)) {
                portion.measure = Err("its name is taken by the one before");
            }
            portions.push(portion);
        }
    }
    Ok(true)
}

fn unit_names(open: &Opener) -> Result<BTreeMap<u64, String>, CentralFault> {
    let mut units = BTreeMap::new();
    let Some(mut rows) = Rows::if_there(open, "measure_unit.csv", &["id", "name"], 2)? else {
        return Ok(units);
    };
    while let Some(row) = rows.next()? {
        let name = row.text(1);
        // The download's word for a portion whose measure stands in the other columns.
        if name != "undetermined" && units.len() < 10_000 {
            units.insert(row.whole(0)?, name);
        }
    }
    Ok(units)
}

fn portion(row: &Row, units: &BTreeMap<u64, String>) -> Portion {
    let (amount, description, modifier) = (row.text(2), row.text(4), row.text(5));
    let unit = row.whole(3).ok().and_then(|id| units.get(&id));
    // The unit and how it was filled; else the modifier says both; else the description does,
    // with its own number in front.
    let said = match (unit, modifier.is_empty()) {
        (Some(unit), true) => unit.clone(),
        (Some(unit), false) => format!("{unit}, {modifier}"),
        (None, false) => modifier,
        (None, true) => String::new(),
    };
    let (count, said) = if said.is_empty() {
        match description.split_once(' ') {
            Some((number, rest)) if nano(number).is_some() => (number.to_owned(), rest.to_owned()),
            _ => ("1".to_owned(), description),
        }
    } else if amount.is_empty() {
        ("1".to_owned(), said)
    } else {
        (amount, said)
    };
    let grams = row.text(1);
    let mass = nano(&grams).zip(nano(&count)).filter(|&(_, n)| n > 0);
    // Milligrams of one, rounded down.
    let mg = mass.map(|(grams, count)| grams * 1_000 / count);
    let measure = match (name(&said), mg) {
        (None, _) => Err("no name a recipe could use"),
        (_, None | Some(..=0)) => Err("no weight"),
        (_, Some(1_000_000_001..)) => Err("more than a tonne"),
        (Some(name), Some(mg)) => Ok((name, mg as i64)),
    };
    Portion {
        written: format!("{count} {said} = {grams} g"),
        measure,
    }
}

/// Singular and plural are one measure to a kitchen file.
fn folded(name: &str) -> String {
    let words = name.split(' ').map(|word| match word.len() {
        0..4 => word,
        _ => word.strip_suffix('s').unwrap_or(word),
    });
    words.collect::<Vec<_>>().join(" ")
}

/// A plain decimal in 1e-9.
fn nano(text: &str) -> Option<i128> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if (whole.is_empty() && part.is_empty()) || !digits(whole) || !digits(part) || whole.len() > 9 {
        return None;
    }
    let part: String = part.chars().chain("000000000".chars()).take(9).collect();
    let whole = whole.parse::<i128>().unwrap_or(0);
    Some(whole * 1_000_000_000 + part.parse::<i128>().unwrap_or(0))
}

/// A measure's name: what stands in brackets left out, lower case, single spaces. None for a
/// unit of mass, for `pack` and `unit`, which mean the kitchen's own packs, and for what does
/// not begin with a letter.
fn name(said: &str) -> Option<String> {
    let mut out = String::new();
    let mut depth = 0_usize;
    for c in said.to_lowercase().chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => out.push(' '),
            c if depth == 0 => out.push(c),
            _ => {}
        }
    }
    let name = out.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain = name.starts_with(char::is_alphabetic)
        && name
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '\'' | '/'));
    let mass = units::find(&name).is_some_and(|unit| unit.kind == Kind::Mass);
    let packs = matches!(name.as_str(), "pack" | "packs" | "unit" | "units");
    // Lower case may be longer than what it was made from.
    let short = name.chars().count() <= LONGEST_NAME && unicode::flaw(&name).is_none();
    (plain && short && !mass && !packs).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::name;

    #[test]
    fn names_are_what_a_recipe_can_use() {
        assert_eq!(name("cup, chopped").as_deref(), Some("cup chopped"));
        assert_eq!(
            name("large (7-1/4\" to 8-1/2\" long)").as_deref(),
            Some("large")
        );
        for no in ["oz", "pack", "", "1 slice", "fruit: whole", "(all)"] {
            assert_eq!(name(no), None, "{no}");
        }
    }
}
