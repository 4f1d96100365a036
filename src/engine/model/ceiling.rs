//! A limit on a sum, or none.

/// The most that a sum may be, if there is a limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Ceiling(Option<i64>);

impl Ceiling {
    /// This much at most.
    pub(in crate::engine) const fn at(most: i64) -> Self {
        Self(Some(most))
    }

    /// A limit that a wish may set.
    pub(in crate::engine) const fn of(most: Option<i64>) -> Self {
        Self(most)
    }

    /// The limit.
    pub(in crate::engine) const fn most(self) -> Option<i64> {
        self.0
    }

    /// Whether there is one.
    pub(in crate::engine) const fn is_set(self) -> bool {
        self.0.is_some()
    }

    /// Whether a sum is above it.
    pub(in crate::engine) fn passed(self, sum: i64) -> bool {
        self.0.is_some_and(|most| sum > most)
    }

    /// Lowers it to `most`, if it is not as low already.
    pub(in crate::engine) fn lower(&mut self, most: i64) {
        self.0 = Some(self.0.map_or(most, |old| old.min(most)));
    }
}
