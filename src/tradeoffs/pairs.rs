//! Ways out of two changes together, where none by itself is one.
//!
//! One of the two is a rule of the conflict (or the trip, which lets more weeks in): with all of
//! them in force there is none. The other may be any rule, as what is left may clash again.
//! Whether a pair is a way out at all is asked with both given up; only then how little is
//! enough.

use super::change::Change;
use super::desk::{Answer, Desk, Question};
use super::facts::Proof;
use super::nearest::possible;
use super::rules::{Rule, in_force};
use super::way_out::{Lever, Way, middle, way_out};
use crate::engine::EngineFault;
use crate::explain::WayOut;
use crate::larder::Larder;

/// What was found.
pub(super) struct Pairs {
    pub(super) ways: Vec<WayOut>,
    pub(super) settled: bool,
}

impl Default for Pairs {
    fn default() -> Self {
        Self {
            ways: Vec::new(),
            settled: true,
        }
    }
}

/// Looks at every pair. `open` are levers that may be ways out by themselves: no pair with one
/// of them is told.
pub(super) fn pairs(
    larder: &Larder,
    conflict: &[Rule],
    open: &[Lever],
    threads: usize,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Pairs, EngineFault> {
    let trip = middle(larder).map(Lever::Trip);
    let first: Vec<Lever> = conflict
        .iter()
        .copied()
        .map(Lever::Rule)
        .chain(trip)
        .collect();
    let all = in_force(larder).into_iter().map(Lever::Rule).chain(trip);
    let mut found = Pairs {
        ways: Vec::new(),
        settled: open.is_empty(),
    };
    let mut both: Vec<[Lever; 2]> = Vec::new();
    for second in all.filter(|lever| !open.contains(lever)) {
        for &first in first.iter().filter(|lever| !open.contains(lever)) {
            // Of two limits on minutes the larger is loosened first: the other may become it.
            let pair = [first.max(second), first.min(second)];
            if first != second && !both.contains(&pair) {
                both.push(pair);
            }
        }
    }
    let mut search = Search {
        larder,
        threads,
        stop,
        desk: Desk::new(larder, threads, stop, None),
    };
    let mut ways = Vec::new();
    for pair in both {
        match search.allowed(&pair.map(Lever::loosest))? {
            Some(true) => {
                let (way, settled) = search.least(pair)?;
                found.settled &= settled;
                ways.extend(way);
            }
            Some(false) => {}
            None => found.settled = false,
        }
    }
    ways.sort_by(|a, b| a.0.cmp(&b.0));
    found.ways = ways.into_iter().map(|(_, way)| way).collect();
    Ok(found)
}

struct Search<'a> {
    larder: &'a Larder,
    threads: usize,
    stop: &'a (dyn Fn() -> bool + Sync),
    desk: Desk<'a>,
}

type Ranked = (Vec<i64>, WayOut);

impl Search<'_> {
    /// Whether there is any week with both changes.
    fn allowed(&self, changes: &[Change]) -> Result<Option<bool>, EngineFault> {
        if (self.stop)() {
            return Ok(None);
        }
        possible(self.larder, changes, self.threads, self.stop)
    }

    /// The least step of a lever with which the other, as loose as it gets, lets a week in.
    fn least_of(&self, steps: &[(u8, Change)], other: Change) -> Result<u8, EngineFault> {
        for &(count, change) in steps {
            // What was not settled may be one.
            if self.allowed(&[change, other])? != Some(false) {
                return Ok(count);
            }
        }
        Ok(0)
    }

    /// The least of two levers that makes a week possible, fewest notches together first, then
    /// the cheapest week; and whether all of that was settled.
    fn least(&mut self, pair: [Lever; 2]) -> Result<(Option<Ranked>, bool), EngineFault> {
        let [mut first, mut second] = pair.map(|lever| lever.steps(self.larder));
        // Loosening never shuts a week out: with less than these there is none.
        let from = self.least_of(&first, pair[1].loosest())?;
        first.retain(|&(count, _)| count >= from);
        let from = self.least_of(&second, pair[0].loosest())?;
        second.retain(|&(count, _)| count >= from);
        let mut steps: Vec<(u8, [Change; 2])> = first
            .iter()
            .flat_map(|one| second.iter().map(|two| (one.0 + two.0, [one.1, two.1])))
            .collect();
        steps.sort_by_key(|&(count, _)| count);
        let mut settled = true;
        for group in steps.chunk_by(|a, b| a.0 == b.0) {
            let mut here: Vec<[Change; 2]> = Vec::new();
            for &(_, changes) in group {
                match self.allowed(&changes)? {
                    Some(true) => here.push(changes),
                    Some(false) => {}
                    None => settled = false,
                }
            }
            if here.is_empty() {
                continue;
            }
            let questions: Vec<Question> =
                here.iter().map(|&changes| Question::all(changes)).collect();
            let answers = self.desk.ask_all(&questions)?;
            settled &= answers.iter().all(|answer| answer.proof == Proof::Best);
            let mut told: Vec<Ranked> = here
                .iter()
                .zip(&answers)
                .filter_map(|(&changes, answer)| self.told(pair, changes, answer))
                .collect();
            told.sort_by(|a, b| a.0.cmp(&b.0));
            return Ok((told.into_iter().next(), settled));
        }
        Ok((None, settled))
    }

    fn told(&self, pair: [Lever; 2], changes: [Change; 2], answer: &Answer) -> Option<Ranked> {
        let by: Vec<(Lever, Change)> = pair.into_iter().zip(changes).collect();
        let way = Way {
            by: &by,
            nearest: None,
        };
        way_out(self.larder, &way, answer.week.as_deref(), answer)
    }
}
