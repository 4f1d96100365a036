//! How long foods keep of which no table tells, by the group they are listed in: common practice,
//! no source, and on the short side. To be confirmed by the cook, and marked wherever it stands.

use super::Row;
use super::kinds::State;

/// Days unopened and opened of what spoils within days.
const FRESH: (u16, u16) = (3, 2);
/// Of raw meat and fish, in a refrigerator.
const RAW: (u16, u16) = (1, 1);
/// Of bread.
const BREAD: (u16, u16) = (5, 4);
/// Of what keeps closed and has to be used once open: tins, jars, drinks.
const CLOSED: (u16, u16) = (180, 3);
/// Of sauces in jars.
const JAR: (u16, u16) = (180, 14);
/// Of what keeps dry.
const DRY: (u16, u16) = (180, 90);
/// Of what is bought frozen and stays so.
const FROZEN: (u16, u16) = (90, 60);

/// Groups of the table and what is common for their foods; any other group is fresh.
const GROUPS: [(&str, (u16, u16)); 22] = [
    ("grains", DRY),
    ("flour and baking", DRY),
    ("pasta and noodles", DRY),
    ("bread", BREAD),
    ("nuts and seeds", DRY),
    ("oils and fats", DRY),
    ("sauces and condiments", JAR),
    ("spices", DRY),
    ("sweeteners", DRY),
    ("sweeteners and sweets", DRY),
    ("plant drinks and water", CLOSED),
    ("drinks", CLOSED),
    ("breakfast cereals", DRY),
    ("snacks", DRY),
    ("soups and sauces", FRESH),
    ("fish and poultry", RAW),
    ("fish and seafood", RAW),
    ("beef", RAW),
    ("lamb, veal and game", RAW),
    ("pork", RAW),
    ("poultry", RAW),
    ("legumes", FRESH),
];

/// Returns the days for which a food of this row is commonly kept; `words` are its name, its row's
/// and those on its pack, in small letters.
pub fn common(row: &Row, words: &str, state: State) -> u16 {
    let said = |any: &[&str]| {
        let mut each = words.split(|c: char| !c.is_alphanumeric());
        each.any(|word| any.contains(&word))
    };
    let listed = GROUPS.iter().find(|(group, _)| *group == row.group);
    let (sealed, opened) = if said(&["frozen"]) {
        FROZEN
    } else if said(&["tin", "tins", "can", "cans", "canned", "tinned"]) {
        CLOSED
    } else if said(&["cooked", "boiled"]) {
        FRESH
    } else if row.group == "legumes" && said(&["dry", "dried"]) {
        DRY
    } else {
        listed.map_or(FRESH, |&(_, days)| days)
    };
    match state {
        State::Sealed => sealed,
        State::Opened => opened,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table;

    /// Every group is one of the table, and nothing cooked or fresh is kept longer than cooked food
    /// may be: 4 days (University of Illinois Extension, Leftovers).
    #[test]
    fn groups_are_the_tables_and_what_spoils_keeps_a_few_days() {
        for (group, _) in GROUPS {
            assert!(
                table::rows().iter().any(|row| row.group == group),
                "{group}"
            );
        }
        for row in table::rows() {
            let opened = common(row, "a cooked dish", State::Opened);
            assert!(opened <= 4, "{}", row.name);
            let sealed = common(row, "a cooked dish", State::Sealed);
            assert!(sealed <= 4 && opened <= sealed, "{}", row.name);
            let tin = common(row, "400 g tin", State::Opened);
            assert!(tin <= 4, "{}", row.name);
        }
    }
}
