//! Small sums that many files need.

/// The smaller of two that may be missing.
pub(in crate::engine) fn least_of(a: Option<i64>, b: Option<i64>) -> Option<i64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// An amount among so many, rounded down if it is not below 0; most are few.
pub(in crate::engine) fn split(amount: i64, heads: i64) -> i64 {
    match heads {
        1 => amount,
        2 => amount / 2,
        3 => amount / 3,
        4 => amount / 4,
        _ => amount / heads,
    }
}
