//! `scant foods`: a look into the built-in food table.

use super::add;
use super::add_args::BoughtArgs;
use super::console::{self, Typed};
use super::{Exit, printing};
use crate::report;
use crate::table;
use crate::unicode;

pub(super) fn run(words: &[Typed], as_block: bool, bought: &BoughtArgs) -> Exit {
    let words: Vec<&str> = words.iter().map(Typed::raw).collect();
    let wanted = words.join(" ");
    if as_block {
        return match block(&wanted, bought) {
            Ok(text) => printing::print(&text, Exit::Best),
            Err(exit) => exit,
        };
    }
    let BoughtArgs {
        pack,
        size,
        price,
        shop,
        loose,
        staple,
    } = bought;
    if [pack, size, price, shop].into_iter().any(Option::is_some) || *loose || *staple {
        console::talk(
            "fault: --pack, --size, --price, --shop, --loose and --staple go into an entry; add --block",
        );
        return Exit::Fault;
    }
    if let Some(row) = table::find(&wanted) {
        let others: Vec<_> = table::search(&wanted)
            .into_iter()
            .filter(|other| other.number != row.number)
            .collect();
        return printing::print(&report::food(row, &others), Exit::Best);
    }
    match table::search(&wanted)[..] {
        [] => {
            let near: Vec<String> = table::near(&wanted)
                .into_iter()
                .map(|name| format!("`{name}`"))
                .collect();
            let hint = if near.is_empty() {
                String::new()
            } else {
                format!("; did you mean {}?", near.join(" or "))
            };
            let wanted = unicode::quoted(&wanted);
            console::talk(&format!("no food of the table answers to `{wanted}`{hint}"));
            Exit::Fault
        }
        [row] => printing::print(&report::food(row, &[]), Exit::Best),
        ref rows => printing::print(&report::food_list(rows), Exit::Best),
    }
}

/// Returns a food's entry as `scant add food` writes it, to paste under `foods:`.
fn block(wanted: &str, bought: &BoughtArgs) -> Result<String, Exit> {
    let bought = add::bought(bought)?;
    // A number finds its row, whose name is then the food's.
    let by_number = table::find(wanted).filter(|row| row.number == wanted.trim());
    let name = by_number.map_or(wanted, |row| row.name);
    let sketch = add::sketch(name, None, &bought)?;
    let entry = report::food_block(&sketch, true);
    let lines = entry.lines().flat_map(|line| ["  ", line, "\n"]);
    Ok(lines.collect())
}
