//! `scant foods`: a look into the built-in food table.

use super::Exit;
use super::console::{self, Typed};
use crate::report;
use crate::table;
use crate::unicode;

pub(super) fn run(words: &[Typed]) -> Exit {
    let words: Vec<&str> = words.iter().map(Typed::raw).collect();
    let wanted = words.join(" ");
    if let Some(row) = table::find(&wanted) {
        let others: Vec<_> = table::search(&wanted)
            .into_iter()
            .filter(|other| other.number != row.number)
            .collect();
        return super::print(&report::food(row, &others), Exit::Best);
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
        [row] => super::print(&report::food(row, &[]), Exit::Best),
        ref rows => super::print(&report::food_list(rows), Exit::Best),
    }
}
