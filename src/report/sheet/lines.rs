//! Lines of the page: what is in a box, what is to be ticked.

/// Something in a box.
pub(super) struct Content {
    pub(super) name: String,
    pub(super) amount: String,
    pub(super) note: String,
}

/// Something to tick.
pub(super) struct Tick {
    pub(super) name: String,
    pub(super) what: String,
    pub(super) price: String,
    pub(super) days: String,
}
