//! Alternatives of a node's lines to take, by units opened, closed and exchanged as long as that is cheaper: the local search
//! for placing sites. It proposes weeks and bounds nothing.

use crate::engine::bound::curve::floored;
use crate::engine::bound::open_node::OpenNode;

/// Uses of alternatives up to which units are exchanged one for the other: beyond, it takes long.
const MOST_EXCHANGED: usize = 10_000;

/// Alternatives to take if each unit costs something once and by weight, as the node was bounded last; none where a
/// line has none, or where it was told to stop: how many changes are made depends on the kitchen.
pub(in crate::engine) fn exchanged(node: &OpenNode, halted: &dyn Fn() -> bool) -> Option<Vec<u8>> {
    let sites = Sites::new(node);
    let mut open = vec![true; node.units.len()];
    let mut best = sites.cost(&open)?;
    while let Some((found, changed)) = sites.change(&open, best, halted) {
        if halted() {
            return None;
        }
        (best, open) = (found, changed);
    }
    let lines = node.lines.iter().enumerate();
    lines
        .map(|(at, line)| {
            let pick = sites.pick(at, &open)?.1;
            Some(line.alternatives[pick].at as u8)
        })
        .collect()
}

/// What a node's units and alternatives cost where opening is paid by nobody.
struct Sites<'n> {
    node: &'n OpenNode,
    /// By line and alternative: what it costs by itself and by weight.
    costs: Vec<Vec<i64>>,
}

impl<'n> Sites<'n> {
    fn new(node: &'n OpenNode) -> Self {
        let lines = node.lines.iter().map(|line| {
            let costs = line.alternatives.iter().map(|one| {
                let uses = node.uses[one.uses.clone()].iter();
                let parts = uses.map(|&(slot, amount)| {
                    floored(node.units[node.slots[slot].place].slope, amount) as i64
                });
                one.own + parts.sum::<i64>()
            });
            costs.collect()
        });
        Self {
            node,
            costs: lines.collect(),
        }
    }

    /// The cheapest alternative of a line that uses open units alone: what it costs, and its place.
    fn pick(&self, line: usize, open: &[bool]) -> Option<(i64, usize)> {
        let alternatives = self.node.lines[line].alternatives.iter().enumerate();
        let allowed = alternatives.filter(|(_, one)| {
            let uses = &self.node.uses[one.uses.clone()];
            uses.iter()
                .all(|&(slot, _)| open[self.node.slots[slot].place])
        });
        allowed.map(|(at, _)| (self.costs[line][at], at)).min()
    }

    /// What all lines cost together, with what is open.
    fn cost(&self, open: &[bool]) -> Option<i64> {
        let once = self.node.units.iter().zip(open);
        let once = once.filter(|(_, open)| **open);
        let once: i64 = once.map(|(unit, _)| unit.once).sum();
        let lines = (0..self.costs.len()).map(|line| self.pick(line, open).map(|best| best.0));
        lines.sum::<Option<i64>>().map(|lines| lines + once)
    }

    /// The cheapest change of what is open that costs less than the best: of one unit, or else of one for another.
    fn change(
        &self,
        open: &[bool],
        best: i64,
        halted: &dyn Fn() -> bool,
    ) -> Option<(i64, Vec<bool>)> {
        let tried = |changes: &[usize]| {
            let mut changed = open.to_vec();
            for &at in changes {
                changed[at] = !changed[at];
            }
            let found = self.cost(&changed).filter(|&found| found < best);
            found.map(|found| (found, changed))
        };
        let units = || 0..open.len();
        let better = units().filter_map(|at| tried(&[at])).min();
        if better.is_some() || self.node.uses.len() > MOST_EXCHANGED {
            return better;
        }
        let closed = units().filter(|&at| open[at]).take_while(|_| !halted());
        let pairs = closed.flat_map(|close| {
            let shut = units().filter(|&at| !open[at]);
            shut.map(move |add| [close, add])
        });
        pairs.filter_map(|pair| tried(&pair)).min()
    }
}
