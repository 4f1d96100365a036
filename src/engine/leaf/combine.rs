//! One way per food, under the sums that have a ceiling.

use crate::engine::model::score::{Ceilings, Score};
use crate::engine::packs::way::Way;
use crate::engine::stage::Stage;
use std::sync::Arc;

/// Choices looked at between two questions whether to give up: under several ceilings they are as many as
/// foods have ways, multiplied.
const ASKS: u32 = 4_096;

/// Returns the least score of one way per food within all ceilings, and the position of
/// each food's way; none if nothing fits, or if `halted` said to give up.
pub(in crate::engine) fn combine(
    stage: &Stage,
    start: Score,
    fronts: &[(u32, Arc<Vec<Way>>)],
    halted: &dyn Fn() -> bool,
) -> Option<(Score, Vec<usize>)> {
    let mut rest = vec![(Score::default(), 0); fronts.len() + 1];
    for at in (0..fronts.len()).rev() {
        let ways = &fronts[at].1;
        let first = ways.first()?;
        let least = ways.iter().fold((first.score, first.packs), |(s, p), way| {
            (s.least(way.score), p.min(way.packs))
        });
        rest[at] = (rest[at + 1].0 + least.0, rest[at + 1].1 + least.1);
    }
    let mut search = Combine {
        stage,
        fronts,
        rest,
        ceilings: stage.ceilings,
        picked: Vec::new(),
        best: None,
        halted,
        ticks: 0,
        stopped: false,
    };
    search.pick(start, 0);
    search.best.filter(|_| !search.stopped)
}

struct Combine<'c, 'a> {
    stage: &'c Stage<'a>,
    fronts: &'c [(u32, Arc<Vec<Way>>)],
    /// Least sums of the foods still to pick.
    rest: Vec<(Score, i64)>,
    ceilings: Ceilings,
    picked: Vec<usize>,
    best: Option<(Score, Vec<usize>)>,
    halted: &'c dyn Fn() -> bool,
    ticks: u32,
    stopped: bool,
}

impl Combine<'_, '_> {
    fn pick(&mut self, sum: Score, packs: i64) {
        self.ticks = self.ticks.wrapping_add(1);
        self.stopped |= self.ticks.is_multiple_of(ASKS) && (self.halted)();
        if self.stopped {
            return;
        }
        let at = self.picked.len();
        let (rest, rest_packs) = self.rest[at];
        let floor = sum + rest;
        if self.ceilings.foods.passed(floor.foods)
            || self.ceilings.cost.passed(floor.cost)
            || self.ceilings.spoiled.passed(floor.spoiled)
            || self.ceilings.packs.passed(packs + rest_packs)
            || self.best.as_ref().is_some_and(|(best, _)| floor >= *best)
            || !self.families_fit()
        {
            return;
        }
        if at == self.fronts.len() {
            self.best = Some((sum, self.picked.clone()));
            return;
        }
        let ways = Arc::clone(&self.fronts[at].1);
        for (position, way) in ways.iter().enumerate() {
            self.picked.push(position);
            self.pick(sum + way.score, packs + way.packs);
            self.picked.pop();
        }
    }

    /// Whether what is bought so far, which only grows, leaves the cap room by families.
    fn families_fit(&self) -> bool {
        if !self.ceilings.families.is_set() {
            return true;
        }
        let larder = self.stage.pool.larder;
        let mut families = Vec::new();
        let mut alone = 0;
        for ((food, ways), &position) in self.fronts.iter().zip(&self.picked) {
            if ways[position].bought {
                match larder.foods[*food as usize].family {
                    Some(family) if families.contains(&family) => {}
                    Some(family) => families.push(family),
                    None => alone += 1,
                }
            }
        }
        !self.ceilings.families.passed(families.len() as i64 + alone)
    }
}
