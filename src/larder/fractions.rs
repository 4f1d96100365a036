//! Fractions of a unit that figures are counted in.

/// Thousand-millionths in one whole (minor unit, minute).
pub const NANO: i64 = 1_000_000_000;

/// Thousandths in one whole.
pub const MILLI: i64 = 1_000;
