//! Reads minutes.

use super::fault::Sink;
use super::fields::Fields;
use super::limits;
use super::number::Decimal;

pub(crate) const MINUTES: Decimal = Decimal {
    places: 3,
    least: 0,
    most: limits::MINUTES,
    what: "minutes",
    example: "12.5",
};

/// Reads minutes into 1e-9 minutes.
pub(crate) fn minutes_nano(fields: &Fields, key: &str, sink: &mut Sink) -> Option<i64> {
    fields
        .number(key, MINUTES, sink)
        .map(|milli| milli * 1_000_000)
}

/// Reads whole minutes.
pub(crate) fn whole_minutes(fields: &Fields, key: &str, sink: &mut Sink) -> Option<i64> {
    let form = Decimal {
        places: 0,
        example: "12",
        ..MINUTES
    };
    fields.number(key, form, sink)
}
