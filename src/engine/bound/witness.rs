//! A known best week, carried along in tests: the first bound, rule or prefilter that would cut it
//! is named, with its node.

use crate::engine::bound::verdict::BoundId;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// The week, and what cut it.
pub(in crate::engine) struct Witness {
    week: Vec<u32>,
    /// What is added to floors of the objective: a wrong bound, planted.
    pub(in crate::engine) planted: i64,
    cut: Mutex<Option<Cut>>,
    reached: AtomicBool,
}

/// Who cut it first, and where.
#[derive(Clone, Debug)]
pub(in crate::engine) struct Cut {
    pub(in crate::engine) by: BoundId,
    pub(in crate::engine) chosen: Vec<u32>,
    pub(in crate::engine) candidates: Vec<u32>,
}

impl Witness {
    pub(in crate::engine) fn new(week: &[u32], planted: i64) -> Self {
        let mut week = week.to_vec();
        week.sort_unstable();
        Self {
            week,
            planted,
            cut: Mutex::new(None),
            reached: AtomicBool::new(false),
        }
    }

    /// Its lunches that are missing at a node, if what is chosen is part of it.
    fn rest(&self, chosen: &[u32]) -> Option<Vec<u32>> {
        let mut rest = self.week.clone();
        for item in chosen {
            let at = rest.iter().position(|other| other == item)?;
            rest.remove(at);
        }
        Some(rest)
    }

    /// Whether it lies below a node.
    pub(in crate::engine) fn below(&self, chosen: &[u32], candidates: &[u32]) -> bool {
        let rest = self.rest(chosen);
        rest.is_some_and(|rest| rest.iter().all(|item| candidates.contains(item)))
    }

    /// A bound leaves `after` of the candidates of a node.
    pub(in crate::engine) fn watch(
        &self,
        by: BoundId,
        chosen: &[u32],
        before: &[u32],
        after: &[u32],
    ) {
        let whole = self.rest(chosen).is_some_and(|rest| rest.is_empty());
        if self.below(chosen, before) && (whole || !self.below(chosen, after)) {
            let mut cut = self.cut.lock().expect("no panic");
            cut.get_or_insert_with(|| Cut {
                by,
                chosen: chosen.to_vec(),
                candidates: before.to_vec(),
            });
        }
    }

    /// A whole set of lunches is looked at.
    pub(in crate::engine) fn reach(&self, week: &[u32]) {
        if self.rest(week).is_some_and(|rest| rest.is_empty()) {
            self.reached.store(true, Ordering::Relaxed);
        }
    }

    /// Whether it was looked at as a whole set.
    pub(in crate::engine) fn reached(&self) -> bool {
        self.reached.load(Ordering::Relaxed)
    }

    /// Who cut it first.
    pub(in crate::engine) fn cut(&self) -> Option<Cut> {
        self.cut.lock().expect("no panic").clone()
    }
}
