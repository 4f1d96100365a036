//! How much of units is used for certain, and at the most: what a part of a search says of them, and what its bound finds.

/// How much of a unit is used: at least, and at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) struct Settled {
    pub(in crate::engine) unit: u32,
    pub(in crate::engine) least: i64,
    pub(in crate::engine) most: i64,
}

/// What is too little to split a unit for, as a part of the bound.
pub(in crate::engine) const LITTLE: f64 = 1e-6;

/// Notes what is settled of a unit.
pub(in crate::engine) fn note(settled: &mut Vec<Settled>, unit: u32, (least, most): (i64, i64)) {
    match settled.iter_mut().find(|one| one.unit == unit) {
        Some(one) => {
            one.least = least.max(one.least);
            one.most = most.min(one.most);
        }
        None => settled.push(Settled { unit, least, most }),
    }
}
