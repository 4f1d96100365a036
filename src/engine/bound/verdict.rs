//! Why parts of the tree were closed and where incumbents came from, counted for a whole search.
//! Counts add up when finds are merged, and are the same for any number of threads.

/// Bounds and rules that close a node, a candidate of one, or a whole set of lunches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) enum BoundId {
    /// Days and pins: no completion has all of them.
    Completable,
    /// Floors with the smallest shares, of the objective.
    Floors,
    /// The same under a sum with a ceiling.
    Ceilings,
    /// Rules on the week's mean.
    Means,
    WholeRecipes,
    /// The next candidates by share are too dear: all that come later are.
    NextShares,
    /// One lunch ahead: shares, cap, rules on recipes and means beside it.
    Ahead,
    /// The incumbent has become better than the bound known before.
    Incumbent,
    /// The last two lunches: what each adds alone, and what both share.
    LastPairs,
    /// Floors of the very sums.
    ExactFloors,
    /// Rules on a whole set of lunches.
    Rules,
    /// The least assignment of lunches to days.
    Days,
}

impl BoundId {
    pub(in crate::engine) const ALL: [Self; 12] = [
        Self::Completable,
        Self::Floors,
        Self::Ceilings,
        Self::Means,
        Self::WholeRecipes,
        Self::NextShares,
        Self::Ahead,
        Self::Incumbent,
        Self::LastPairs,
        Self::ExactFloors,
        Self::Rules,
        Self::Days,
    ];
}

/// How a part of the tree came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::engine) enum Closed {
    ByBound(BoundId),
    /// A set of lunches settled by days and packs.
    Settled,
    /// A set of lunches listed.
    Listed,
}

/// Where an incumbent came from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) enum Origin {
    /// The week to begin with.
    Given,
    FirstWeeks,
    Polish,
    #[default]
    Tree,
    /// Dividing lunches over batches.
    Division,
    NearWeeks,
}

impl Origin {
    pub(in crate::engine) const ALL: [Self; 6] = [
        Self::Given,
        Self::FirstWeeks,
        Self::Polish,
        Self::Tree,
        Self::Division,
        Self::NearWeeks,
    ];
}

/// Counts of a search.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::engine) struct Verdicts {
    by_bound: [u64; BoundId::ALL.len()],
    settled: u64,
    listed: u64,
    improved: [u64; Origin::ALL.len()],
}

impl Verdicts {
    #[inline]
    pub(in crate::engine) fn close(&mut self, how: Closed) {
        match how {
            Closed::ByBound(bound) => self.by_bound[bound as usize] += 1,
            Closed::Settled => self.settled += 1,
            Closed::Listed => self.listed += 1,
        }
    }

    /// Counts an incumbent.
    pub(in crate::engine) fn improve(&mut self, origin: Origin) {
        self.improved[origin as usize] += 1;
    }

    pub(in crate::engine) fn add(&mut self, other: &Self) {
        let sum = |one: &mut [u64], other: &[u64]| {
            for (one, other) in one.iter_mut().zip(other) {
                *one += other;
            }
        };
        sum(&mut self.by_bound, &other.by_bound);
        sum(&mut self.improved, &other.improved);
        self.settled += other.settled;
        self.listed += other.listed;
    }
}

#[cfg(test)]
impl Verdicts {
    pub(in crate::engine) fn closed(&self, how: Closed) -> u64 {
        match how {
            Closed::ByBound(bound) => self.by_bound[bound as usize],
            Closed::Settled => self.settled,
            Closed::Listed => self.listed,
        }
    }

    pub(in crate::engine) fn improved(&self, origin: Origin) -> u64 {
        self.improved[origin as usize]
    }

    /// A line for each count.
    pub(in crate::engine) fn table(&self) -> String {
        let closed = BoundId::ALL.map(Closed::ByBound).into_iter();
        let closed = closed.chain([Closed::Settled, Closed::Listed]);
        let closed = closed.map(|how| format!("{how:?} {}\n", self.closed(how)));
        let improved = Origin::ALL.into_iter();
        let improved = improved.map(|from| format!("from {from:?} {}\n", self.improved(from)));
        closed.chain(improved).collect()
    }
}
