//! What there is to say of a food of the table.

use std::fmt::Write as _;

use super::allergens::offered;
use super::kinds::{Kind, kind_of};
use super::packs::{UsualPack, packs_of};
use super::row::Row;
use super::storage::Tier;
use crate::larder::Nutrient;

/// Prints thousandths without trailing zeros.
fn decimal(milli: i64) -> String {
    let text = format!("{}.{:03}", milli / 1000, milli % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Returns a row's facts as printable pairs of label and value, units included.
pub fn describe(row: &Row) -> Vec<(String, String)> {
    let mut facts = vec![
        ("number".to_owned(), row.number.to_owned()),
        ("name".to_owned(), row.name.to_owned()),
        ("group".to_owned(), row.group.to_owned()),
    ];
    if !row.aliases.is_empty() {
        facts.push(("also".to_owned(), row.aliases.join("; ")));
    }
    facts.push((
        "yield".to_owned(),
        format!("{} %", decimal(row.yield_milli_percent)),
    ));
    for other in &row.other_yields {
        let text = format!("{} % ({})", decimal(other.milli_percent), other.source);
        facts.push((format!("other yield, {}", other.what), text));
    }
    for measure in &row.measures {
        let note = measure.note.map(|n| format!(" ({n})")).unwrap_or_default();
        facts.push((
            measure.name.clone(),
            format!("{} g{note}", decimal(measure.mg)),
        ));
    }
    for pack in packs_of(row.number) {
        facts.push(("usual pack".to_owned(), usual(pack)));
    }
    facts.extend(kind_of(row.name).into_iter().flat_map(Kind::described));
    facts.extend(offered(row.name).map(|text| ("allergens, by its kind".to_owned(), text)));
    for nutrient in Nutrient::ALL {
        let text = row.nutrients_milli[nutrient.index()].map_or_else(
            || "not given".to_owned(),
            |m| format!("{} {}", decimal(m), nutrient.unit()),
        );
        facts.push((format!("{} per 100 g", nutrient.label()), text));
    }
    facts.extend(row.note.map(|n| ("note".to_owned(), n.to_owned())));
    facts.push(("source".to_owned(), row.source.clone()));
    facts
}

/// A usual pack in one line.
fn usual(pack: &UsualPack) -> String {
    let mut text = format!("{}: {} g", pack.pack, pack.grams);
    if pack.drained {
        text += " drained";
    }
    if !pack.drained_grams.is_empty() {
        let _ = write!(text, ", {} g of it drained", pack.drained_grams);
    }
    if let Some(share) = pack.drained_milli_percent {
        let _ = write!(text, " ({} %)", decimal(share));
    }
    if pack.tier == Tier::Memory {
        let _ = write!(text, " ({})", pack.source);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::decimal;

    #[test]
    fn thousandths_are_printed_as_decimals() {
        assert_eq!(decimal(500), "0.5");
        assert_eq!(decimal(100_000), "100");
    }
}
