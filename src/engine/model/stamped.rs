//! Values by place that are all forgotten at once.

/// A value for some places; the others have none.
#[derive(Clone, Debug, Default)]
pub(in crate::engine) struct Stamped<T> {
    now: u32,
    /// The value, and when it was set: valid if that is now.
    cells: Vec<(u32, T)>,
}

impl<T: Copy + Default> Stamped<T> {
    /// So many places without a value.
    pub(in crate::engine) fn new(places: usize) -> Self {
        let mut new = Self::default();
        new.clear(places);
        new
    }

    /// Forgets all values, of so many places from now on.
    pub(in crate::engine) fn clear(&mut self, places: usize) {
        self.cells.resize(places, (0, T::default()));
        // A long search comes round: what was set then must not count again.
        self.now = self.now.checked_add(1).unwrap_or_else(|| {
            self.cells.fill((0, T::default()));
            1
        });
    }

    /// Forgets all values.
    pub(in crate::engine) fn forget(&mut self) {
        self.clear(self.cells.len());
    }

    /// The value of a place, if it has one.
    #[inline]
    pub(in crate::engine) fn get(&self, place: usize) -> Option<T> {
        let (set, value) = self.cells[place];
        (set == self.now).then_some(value)
    }

    /// Gives a place a value.
    #[inline]
    pub(in crate::engine) fn set(&mut self, place: usize, value: T) {
        self.cells[place] = (self.now, value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_comes_back_when_stamps_come_round() {
        let mut known: Stamped<u8> = Stamped::new(2);
        assert_eq!(known.get(0), None);
        known.set(0, 7);
        assert_eq!((known.get(0), known.get(1)), (Some(7), None));
        // As often as it takes for the stamp of place 0 to be the next one.
        known.now = u32::MAX;
        known.set(1, 8);
        known.forget();
        assert_eq!((known.get(0), known.get(1)), (None, None));
        assert_eq!(known.now, 1);
        known.clear(3);
        assert_eq!(known.get(2), None);
    }
}
