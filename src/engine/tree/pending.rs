//! Nodes that a search of open lines has still to look at.

use crate::engine::model::sums::least_of;
use std::collections::BTreeMap;

/// What has a bound.
pub(in crate::engine) trait HasBound {
    fn bound(&self) -> i64;
}

/// Nodes to search: the lowest bound first, and from there down to a week, as long as nodes are few; then the
/// newest first.
pub(in crate::engine) struct Pending<N> {
    /// By bound and number.
    lowest: BTreeMap<(i64, u64), N>,
    newest: Vec<N>,
    made: u64,
    /// The child to go down to, and how deep this way is.
    next: Option<N>,
    depth: u32,
}

/// Nodes held at most before the newest go first: memory.
const MOST_PENDING: usize = 8_000;

/// Nodes gone down in a row.
const DEEPEST: u32 = 60;

impl<N> Default for Pending<N> {
    fn default() -> Self {
        Self {
            lowest: BTreeMap::new(),
            newest: Vec::new(),
            made: 0,
            next: None,
            depth: 0,
        }
    }
}

impl<N: HasBound> Pending<N> {
    /// Adds a node; the other child of its parent is the one to go down to.
    pub(in crate::engine) fn push(&mut self, node: N) {
        if self.lowest.len() >= MOST_PENDING {
            self.newest.push(node);
            return;
        }
        self.made += 1;
        // Of equal bounds the newest first.
        self.lowest
            .insert((node.bound(), u64::MAX - self.made), node);
    }

    /// Adds the child to go down to.
    pub(in crate::engine) fn go_down(&mut self, node: N) {
        self.next = Some(node);
    }

    pub(in crate::engine) fn is_empty(&self) -> bool {
        self.next.is_none() && self.newest.is_empty() && self.lowest.is_empty()
    }

    pub(in crate::engine) fn pop(&mut self) -> Option<N> {
        if self.depth < DEEPEST
            && let Some(next) = self.next.take()
        {
            self.depth += 1;
            return Some(next);
        }
        if let Some(next) = self.next.take() {
            self.push(next);
        }
        self.depth = 0;
        let newest = self.newest.pop();
        newest.or_else(|| self.lowest.pop_first().map(|(_, node)| node))
    }

    /// The lowest bound of all.
    pub(in crate::engine) fn least(&self) -> Option<i64> {
        let newest = self.newest.iter().chain(&self.next).map(HasBound::bound);
        let lowest = self.lowest.first_key_value();
        least_of(newest.min(), lowest.map(|(&(bound, _), _)| bound))
    }
}
