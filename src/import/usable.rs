//! Turns a quantity as read into one that the table's row can weigh.

use super::amount::CONTAINERS;
use super::line::{Doubt, Reading};
use crate::table::Row;
use crate::table::units::{self, Kind};

/// Turns the quantity into one the row can weigh, or notes why not.
pub(super) fn settle(reading: &mut Reading, size: Option<&'static str>) {
    let (Some(amount), Some(row)) = (&reading.amount, reading.food) else {
        return;
    };
    let found = match amount.measure.as_deref() {
        Some(measure) if units::find(measure).is_some() => {
            if weighs(row, measure) {
                Ok((amount.least, measure.to_owned()))
            } else {
                cut(row, measure, &reading.text)
                    .map(|cut| (amount.least, cut))
                    .ok_or_else(|| Doubt::Unweighed(measure.to_owned()))
            }
        }
        Some("can" | "tin") => match row.measure("can") {
            Some(can) => {
                reading.doubts.push(Doubt::Tin(can.mg));
                Ok((amount.least, "can".to_owned()))
            }
            None => Err(Doubt::Container),
        },
        Some(word) => match (row.measure(word), &amount.each) {
            (_, Some((each, unit))) if CONTAINERS.contains(&word) => amount
                .least
                .times(*each)
                .filter(|_| weighs(row, unit))
                .map(|all| (all, (*unit).to_owned()))
                .ok_or(Doubt::Container),
            (Some(_), _) => Ok((amount.least, word.to_owned())),
            _ => Err(Doubt::Unweighed(word.to_owned())),
        },
        None => {
            let sized = size.filter(|size| row.measure(size).is_some());
            match (sized, row.measure("piece")) {
                (Some(size), _) => Ok((amount.least, size.to_owned())),
                (None, Some(_)) => Ok((amount.least, "piece".to_owned())),
                (None, None) => Err(Doubt::Unweighed("piece".to_owned())),
            }
        }
    };
    match found {
        Ok(usable) => reading.usable = Some(usable),
        Err(doubt) => reading.doubts.push(doubt),
    }
}

/// A measure of the row that says how the food is cut (`cup chopped`), where the line says so
/// too.
fn cut(row: &Row, unit: &str, text: &str) -> Option<String> {
    let text = text.to_lowercase();
    let said = |word: &str| text.split(|c: char| !c.is_alphabetic()).any(|w| w == word);
    row.measures
        .iter()
        .find(|measure| {
            let cut = measure
                .name
                .strip_prefix(unit)
                .and_then(|rest| rest.strip_prefix(' '));
            cut.is_some_and(|cut| cut.split(' ').all(said))
        })
        .map(|measure| measure.name.clone())
}

/// Whether the row says what a unit of it weighs.
fn weighs(row: &Row, symbol: &str) -> bool {
    match units::find(symbol).map(|unit| unit.kind) {
        Some(Kind::Mass) => true,
        Some(Kind::Volume) => row.measures.iter().any(|measure| {
            units::find(&measure.name).is_some_and(|unit| unit.kind == Kind::Volume)
        }),
        None => false,
    }
}
