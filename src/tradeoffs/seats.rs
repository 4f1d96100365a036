//! Seats for threads: desks side by side together use no more threads than one may.

use std::sync::{Condvar, Mutex, PoisonError};

/// So many seats, one for each thread that searches.
pub(super) struct Seats {
    state: Mutex<State>,
    freed: Condvar,
}

struct State {
    free: usize,
    /// Those waiting who come first.
    first: usize,
}

/// Seats taken; given back when dropped.
pub(super) struct Taken<'s> {
    seats: &'s Seats,
    pub(super) count: usize,
}

impl Seats {
    /// So many seats, one at least.
    pub(super) fn new(count: usize) -> Self {
        Self {
            state: Mutex::new(State {
                free: count.max(1),
                first: 0,
            }),
            freed: Condvar::new(),
        }
    }

    /// Waits for a seat, and takes up to `more` others that are free then. Whoever comes `first`
    /// does not wait for those who do not.
    pub(super) fn take(&self, first: bool, more: usize) -> Taken<'_> {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.first += usize::from(first);
        while state.free == 0 || !first && state.first > 0 {
            let waited = self.freed.wait(state);
            state = waited.unwrap_or_else(PoisonError::into_inner);
        }
        state.first -= usize::from(first);
        let count = state.free.min(more + 1);
        state.free -= count;
        drop(state);
        // Others may have waited for this one to go first.
        self.freed.notify_all();
        Taken { seats: self, count }
    }
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        let state = self.seats.state.lock();
        state.unwrap_or_else(PoisonError::into_inner).free += self.count;
        self.seats.freed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Never more at work than there are seats, and nobody waits for ever.
    #[test]
    fn no_more_sit_than_there_are_seats() {
        for count in 1..4 {
            let seats = Seats::new(count);
            let (sitting, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
            std::thread::scope(|scope| {
                for person in 0..6 {
                    let (seats, sitting, most) = (&seats, &sitting, &most);
                    scope.spawn(move || {
                        for turn in 0..200 {
                            let taken = seats.take(person == 0, (person + turn) % 3);
                            assert!(taken.count >= 1 && taken.count <= 3);
                            let now =
                                taken.count + sitting.fetch_add(taken.count, Ordering::SeqCst);
                            most.fetch_max(now, Ordering::SeqCst);
                            std::thread::yield_now();
                            sitting.fetch_sub(taken.count, Ordering::SeqCst);
                        }
                    });
                }
            });
            assert_eq!(most.into_inner(), count);
        }
    }

    /// With one seat left, whoever comes first is next.
    #[test]
    fn who_comes_first_is_next() {
        let seats = Seats::new(1);
        let order = Mutex::new(Vec::new());
        std::thread::scope(|scope| {
            let held = seats.take(false, 0);
            for first in [false, true] {
                let (seats, order) = (&seats, &order);
                scope.spawn(move || {
                    let _seat = seats.take(first, 0);
                    order.lock().unwrap().push(first);
                });
            }
            // Once the one that comes first waits, the other waits too or is yet to come.
            while seats.state.lock().unwrap().first == 0 {
                std::thread::yield_now();
            }
            drop(held);
        });
        assert_eq!(order.into_inner().unwrap(), [true, false]);
    }
}
