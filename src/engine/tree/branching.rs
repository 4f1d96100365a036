//! Branching: the lunches that may be chosen next at a node, each with what looking ahead leaves.

use crate::engine::bound::verdict::BoundId;
use crate::engine::stage::ASKS;
use crate::engine::tree::node::Opened;
use crate::engine::tree::searched::{Candidates, Task};
use crate::engine::tree::worker::Worker;

/// Looks ahead between two questions whether to stop.
const ASKED: usize = 32;

/// A lunch that may be chosen next.
struct Branch<T> {
    bound: i64,
    /// Place among the node's candidates.
    place: usize,
    item: u32,
    /// What looking ahead leaves after it.
    left: T,
}

impl Branch<Candidates> {
    /// As a task, after what is chosen.
    fn task(self, chosen: &[u32]) -> Task {
        let mut with = chosen.to_vec();
        with.push(self.item);
        Task {
            chosen: with,
            candidates: self.left,
            bound: self.bound,
        }
    }
}

impl Worker<'_, '_> {
    /// Lists the children of a node as tasks, or searches it at once if it is the last
    /// choice.
    pub(in crate::engine) fn children(
        &mut self,
        chosen: &[u32],
        candidates: &[u32],
        missing: usize,
        tasks: &mut Vec<Task>,
    ) {
        self.path.found.nodes += 1;
        self.path.set_used(chosen);
        if missing == 1 {
            self.last_lunch(&mut chosen.to_vec(), candidates);
            return;
        }
        let Some(opened) = self.open_by_recipe(chosen, candidates, missing) else {
            return;
        };
        let branches = self.branches(chosen, &opened, missing, (0, 1), Candidates::new);
        tasks.extend(branches.into_iter().map(|branch| branch.task(chosen)));
    }

    /// Children of the root as tasks, of one in so many places, with their places.
    pub(in crate::engine) fn root_children(
        &mut self,
        roots: &[u32],
        part: (usize, usize),
    ) -> Vec<(usize, Task)> {
        let missing = self.path.stage.pool.last as usize;
        self.path.set_used(&[]);
        let Some(opened) = self.open(&[], roots, missing) else {
            return Vec::new();
        };
        let branches = self.branches(&[], &opened, missing, part, Candidates::new);
        let tasks = branches.into_iter();
        tasks
            .map(|branch| (branch.place, branch.task(&[])))
            .collect()
    }

    /// What may be chosen next at a node, of one in so many places; `keep` holds what looking
    /// ahead leaves.
    ///
    /// All of it at once: what is looked ahead from is overwritten further down.
    fn branches<T>(
        &mut self,
        chosen: &[u32],
        opened: &Opened,
        missing: usize,
        (part, parts): (usize, usize),
        keep: impl Fn(&[u32]) -> T,
    ) -> Vec<Branch<T>> {
        let mut branches = Vec::new();
        let Self {
            path, node, probe, ..
        } = self;
        let mut ahead = probe.prepare_ahead(path, node, (chosen, missing), opened);
        for (done, at) in (part..opened.order.len()).step_by(parts).enumerate() {
            let Some(bound) = ahead.child_bound(at) else {
                break;
            };
            if path.beaten(bound) {
                let later = opened.order[at..].iter().map(|&(_, item)| item);
                path.close(BoundId::NextShares, chosen, later);
                break;
            }
            if path.stage.halted(done % ASKED == ASKED - 1) {
                path.leave_open(bound);
                break;
            }
            if let Some(after) = ahead.look(path, at) {
                branches.push(Branch {
                    bound: bound.max(after),
                    place: at,
                    item: opened.order[at].1,
                    left: keep(ahead.left()),
                });
            }
        }
        branches
    }

    /// Lists the children of the root for weeks with one of the items to `keep`, each with
    /// those not taken yet and all that are not of these: the order in which lunches are
    /// chosen is free.
    pub(in crate::engine) fn children_with(
        &mut self,
        keep: &[bool],
        roots: &[u32],
        missing: usize,
        tasks: &mut Vec<Task>,
    ) {
        let stage = self.path.stage;
        self.path.found.nodes += 1;
        self.path.set_used(&[]);
        let Some(opened) = self.open(&[], roots, missing) else {
            return;
        };
        // A recipe that may come again may have the smallest share each time.
        let least = opened.order.first().map_or(0, |&(share, _)| share);
        let shares = opened.order.iter().map(|&(share, _)| share);
        let others: i64 = if stage.repeats() > 1 {
            least * (missing as i64 - 1)
        } else {
            shares.take(missing - 1).sum()
        };
        let rest = opened.base + others;
        let mut left: Vec<u32> = opened.order.iter().map(|&(_, item)| item).collect();
        left.sort_unstable();
        for &(share, item) in &opened.order {
            if !keep[item as usize] {
                continue;
            }
            let beside = left.iter().copied();
            tasks.push(Task {
                chosen: vec![item],
                candidates: Candidates::new(
                    &beside
                        .filter(|&other| stage.fits(&[item], other))
                        .collect::<Vec<u32>>(),
                ),
                bound: rest + share,
            });
            left.retain(|&other| other != item);
        }
    }

    /// Searches below a node. The path has what is `chosen` as used.
    pub(in crate::engine) fn node(
        &mut self,
        chosen: &mut Vec<u32>,
        candidates: &[u32],
        missing: usize,
        bound: i64,
    ) {
        self.path.found.nodes += 1;
        let asks = missing > 1 || self.path.found.nodes.is_multiple_of(ASKS);
        if self.path.stage.halted(asks) {
            self.path.leave_open(bound);
            return;
        }
        if missing == 1 {
            self.last_lunch(chosen, candidates);
            return;
        }
        let Some(opened) = self.open_by_recipe(chosen, candidates, missing) else {
            return;
        };
        if missing == 3 {
            self.last_three(chosen, &opened);
            return;
        }
        for branch in self.branches(chosen, &opened, missing, (0, 1), <[u32]>::to_vec) {
            chosen.push(branch.item);
            if self.path.beaten(branch.bound) {
                let left = branch.left.iter().copied();
                self.path.close(BoundId::Incumbent, chosen, left);
                chosen.pop();
                continue;
            }
            self.path.add(branch.item, 1);
            self.node(chosen, &branch.left, missing - 1, branch.bound);
            self.path.add(branch.item, -1);
            chosen.pop();
        }
    }
}
