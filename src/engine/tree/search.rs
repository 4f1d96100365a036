//! Depth-first search over sets of items, the rest of the week bounded from below.
//!
//! ## The bound
//!
//! A node has chosen some items P and must choose m more from its candidates. Let U(u) be
//! what P uses of unit u (food or component), of which k(u) of the m may use more, by number,
//! form, protein and sameness ([`crate::engine::bound::most_users`]). In each dimension (the stage's objective, and
//! every sum with a ceiling) any completion R costs at least
//!
//! `base + sum of the m smallest shares over different recipes`, no more of a form (or of a
//! main protein) among them than the rules leave room for ([`Least`]),
//!
//! where `base` is what P costs in any case plus, over units, the least floor there is with
//! what up to k(u) lunches can add to U(u), and the share of a candidate is what it costs in
//! any case plus its shares of units, as large as every set of lunches bears
//! ([`crate::engine::bound::shares`]). A candidate whose own share with the m-1 smallest of other recipes
//! already exceeds the incumbent (or a ceiling) is dropped from the whole subtree; that lowers
//! k, so shares are worked out again until nothing changes.
//!
//! ## Same plan on any number of threads
//!
//! Work is cut into tasks in a fixed order, the lowest bounds first, and done in rounds. Every
//! task of a round starts from the incumbent of the round's start and sees only its own finds,
//! so what it does depends on nothing else; the finds are merged in a total order after the
//! round.

use crate::engine::bound::verdict::{BoundId, Origin};
use crate::engine::bound::whole_recipes::worth_repeating;
use crate::engine::model::items::keeps;
use crate::engine::model::sums::least_of;
use crate::engine::stage::{MOST_LISTED, Stage, Told};
use crate::engine::tree::searched::{Searched, Task};
use crate::engine::tree::worker::Worker;
use crate::larder::Pin;
use rayon::prelude::*;
use std::collections::HashSet;
use std::sync::atomic::Ordering;

/// First choices split together, and candidates that they may have in all: what is left of
/// them fills memory.
const SPLIT: usize = 16;
const SPLIT_CANDIDATES: usize = 300_000;

/// Tasks of a round. The first rounds are shorter: the weeks that the most hopeful tasks find
/// spare the others work.
const ROUND: usize = 64;

/// Rounds after which lunches are divided where that might pay, before the end.
const LONG: usize = 16;

/// Items from which on the root is looked at in parts, and how many.
const LEAST_PARTED: usize = 2_000;
const PARTS: usize = 8;

/// Items from which on what a worker holds for the root is more than it should keep.
const MANY_ROOTS: usize = 12_000;

/// Sets asked about dividing their lunches: in all at the end, after a round, at a time.
const MOST_DIVIDED: usize = 1_000;
const DIVIDED: usize = 4;
const TOGETHER: usize = 4;
/// Work on dividing lunches in one search, table cells: some ten seconds.
const MOST_DIVIDING: u64 = 5_000_000_000;
/// Times as much work once nothing else is left to search.
const MUCH_LONGER: u64 = 16;
/// Cells that take about as long as looking at one candidate.
const CELLS: u64 = 100;

/// Partial weeks still to search below: first choices to split, and those that were split.
struct Left {
    first: std::vec::IntoIter<Task>,
    second: Vec<Task>,
}

impl Left {
    fn bounds(&self) -> impl Iterator<Item = i64> {
        let all = self.second.iter().chain(self.first.as_slice());
        all.map(|task| task.bound)
    }

    /// The next first choices to split together.
    fn few_first(&mut self) -> Vec<Task> {
        let mut candidates = 0;
        let few = self.first.as_slice().iter().take(SPLIT).take_while(|task| {
            let before = candidates;
            candidates += task.candidates.len();
            before < SPLIT_CANDIDATES
        });
        let few = few.count();
        self.first.by_ref().take(few).collect()
    }

    /// So many of those split, the lowest bounds first.
    fn lowest(&mut self, most: usize) -> Vec<Task> {
        self.second.sort_by_key(|task| task.bound);
        self.second.drain(..self.second.len().min(most)).collect()
    }
}

impl Worker<'_, '_> {
    /// Whether an incumbent closes a task; counts it.
    fn closed(&mut self, task: &Task) -> bool {
        let beaten = self.path.beaten(task.bound);
        if beaten {
            let node = || (task.chosen.clone(), task.candidates.list());
            self.path.close_at(BoundId::Incumbent, node);
        }
        beaten
    }
}

impl Told<'_> {
    /// Notes where a round leaves the search, and tells the listener.
    fn round(&self, total: &Searched, open: impl Iterator<Item = i64>) {
        if self.listener.is_none() {
            return;
        }
        self.seen.store(total.nodes, Ordering::Relaxed);
        let best = total.best.as_ref().map(|best| best.score.objective);
        if let Some(best) = best {
            self.best.fetch_min(best, Ordering::Relaxed);
        }
        if let Some(bound) = open.chain(total.open_bound).chain(best).min() {
            self.bound.fetch_max(bound, Ordering::Relaxed);
        }
        self.tell();
    }
}

impl<'a> Stage<'a> {
    /// Searches all weeks; `seed` holds a set of lunches to begin with, if the rules allow it.
    pub(in crate::engine) fn run(&self, seed: Option<&[u32]>) -> Searched {
        let mut worker = Worker::new(self);
        if let Some(items) = seed
            && self.allows(items)
        {
            worker.path.settle_from(Origin::Given, items);
        }
        let roots = self.roots();
        let mut total = worker.path.take();
        let mut spare = vec![worker];
        if self.listing.is_none() {
            self.first_weeks(&roots, &mut total, &mut spare);
            self.polish(seed, &roots, &mut total, &mut spare);
            // They prove nothing: what they left out when stopped, the search below leaves too.
            total.open_bound = None;
        }
        self.told.round(&total, std::iter::once(i64::MIN));
        // The first choices, then the second ones, as tasks in a fixed order.
        let first = self.first_choices(&roots, &mut total, &mut spare);
        if roots.len() > MANY_ROOTS {
            // Its scratch holds more than is needed further down.
            spare.clear();
        }
        let mut left = Left {
            first: first.into_iter(),
            second: Vec::new(),
        };
        let mut undivided = Vec::new();
        let (mut rounds, mut together) = (0_usize, 1);
        loop {
            self.split_first(&mut left, &mut total, &mut spare);
            if total.listed.len() >= MOST_LISTED {
                self.too_long.store(true, Ordering::Relaxed);
            }
            if left.bounds().next().is_none() {
                break;
            }
            if self.most_work.is_some_and(|most| total.work >= most)
                || self.too_many(total.listed.len())
            {
                self.stopped.store(true, Ordering::Relaxed);
            }
            if self.stopped.load(Ordering::Relaxed) {
                total.open_bound = least_of(total.open_bound, left.bounds().min());
                break;
            }
            let round = left.lowest(together);
            together = (2 * together).min(ROUND);
            self.search_below(&round, &mut total, &mut spare);
            rounds += 1;
            if rounds.is_multiple_of(LONG) {
                // A better week found now spares others.
                self.divide(&mut total, &mut spare, (DIVIDED, 1), &mut undivided);
            }
            self.told.round(&total, left.bounds());
        }
        self.divide_all(&mut total, &mut spare, undivided);
        self.asked_for(&mut total);
        total
    }

    /// Splits the next few first choices, side by side, where too few tasks are left for a round.
    fn split_first<'s>(
        &'s self,
        left: &mut Left,
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) {
        let lunches = self.pool.last as usize;
        while left.second.len() < ROUND && !self.stopped.load(Ordering::Relaxed) {
            let few = left.few_first();
            if few.is_empty() {
                break;
            }
            let done = self.in_parallel(&few, total, spare, |worker, task| {
                if worker.closed(task) {
                    return Vec::new();
                }
                let candidates = task.candidates.list();
                if lunches <= 2 || candidates.len() < 2 {
                    return vec![task.clone()];
                }
                let mut second = Vec::new();
                worker.children(&task.chosen, &candidates, lunches - 1, &mut second);
                second
            });
            left.second.extend(done.into_iter().flatten());
        }
    }

    /// Searches all weeks below some partial ones.
    fn search_below<'s>(
        &'s self,
        round: &[Task],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) {
        let lunches = self.pool.last as usize;
        self.in_parallel(round, total, spare, |worker, task| {
            if !worker.closed(task) {
                let missing = lunches - task.chosen.len();
                let mut chosen = task.chosen.clone();
                worker.path.set_used(&chosen);
                let candidates = task.candidates.list();
                worker.node(&mut chosen, &candidates, missing, task.bound);
            }
        });
    }

    /// Settles sets whose lunches might be divided to advantage, the lowest floors first, and at
    /// most so many of them. What is left of those is added to `open`.
    fn divide<'s>(
        &'s self,
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
        (most, times): (usize, u64),
        open: &mut Vec<(i64, Vec<u32>)>,
    ) {
        let mut sets = std::mem::take(&mut total.undivided);
        sets.sort_unstable();
        let asked: HashSet<&Vec<u32>> = open.iter().map(|(_, set)| set).collect();
        sets.retain(|(_, set)| !asked.contains(set) && !total.divided.contains(set));
        let mut seen = HashSet::new();
        sets.retain(|(_, set)| seen.insert(set.clone()));
        let later = sets.split_off(sets.len().min(most));
        for together in sets.chunks(TOGETHER) {
            let best = total.best.as_ref();
            let best = best.map_or(i64::MAX, |best| best.score.objective);
            let matter = together.iter().filter(|&&(floor, _)| floor < best);
            let enough = total.dividing > times * MOST_DIVIDING
                || self.most_work.is_some_and(|most| total.work >= most);
            if enough || self.stopped.load(Ordering::Relaxed) {
                open.extend(matter.cloned());
                continue;
            }
            let asked: Vec<_> = matter.collect();
            let done = self.in_parallel(&asked, total, spare, |worker, (_, set)| {
                worker.path.divide(set, times)
            });
            for ((work, floor), (_, set)) in done.into_iter().zip(&asked) {
                total.dividing += work;
                total.work += work / CELLS;
                open.extend(floor.map(|floor| (floor, set.clone())));
            }
            if self.stopped.load(Ordering::Relaxed) {
                // Told to stop among them: their floors hold whatever was looked at.
                open.extend(asked.into_iter().cloned());
                continue;
            }
            let settled = asked.into_iter().map(|(_, set)| set.clone());
            total.divided.extend(settled);
        }
        total.undivided = later;
    }

    /// Settles what was left undivided; what cannot be settled counts as not searched.
    pub(in crate::engine) fn divide_all<'s>(
        &'s self,
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
        mut open: Vec<(i64, Vec<u32>)>,
    ) {
        for times in [1, MUCH_LONGER] {
            self.divide(total, spare, (MOST_DIVIDED, times), &mut open);
            total.undivided.append(&mut open);
            let best = total.best.as_ref();
            let best = best.map_or(i64::MAX, |best| best.score.objective);
            total.undivided.retain(|&(floor, _)| floor < best);
            if total.undivided.is_empty() {
                break;
            }
            // Nothing else is left to do: all of them again, with more work each.
            total.divided.clear();
            total.dividing = 0;
        }
        let floors = total.undivided.drain(..).map(|(floor, _)| floor);
        let least = floors.min();
        total.open_bound = least_of(total.open_bound, least);
    }

    /// Forgets a week that is dearer than was asked for.
    pub(in crate::engine) fn asked_for(&self, total: &mut Searched) {
        let best = total.best.as_ref();
        if best.is_some_and(|best| best.score.objective > self.most) {
            total.best = None;
        }
        if total.open_bound.is_some_and(|bound| bound > self.most) {
            total.open_bound = None;
        }
    }

    /// The first choices as tasks, in a fixed order.
    fn first_choices<'s>(
        &'s self,
        roots: &[u32],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) -> Vec<Task> {
        let lunches = self.pool.last as usize;
        let keep = self.first_pin().filter(|_| lunches > 2);
        if keep.is_none() && lunches > 2 && roots.len() >= LEAST_PARTED {
            return self.first_choices_in_parts(roots, total, spare);
        }
        let mut first = Vec::new();
        let worker = &mut spare[0];
        worker.path.found.best.clone_from(&total.best);
        match keep {
            Some(keep) => worker.children_with(&keep, roots, lunches, &mut first),
            None => worker.children(&[], roots, lunches, &mut first),
        }
        total.merge(worker.path.take());
        first
    }

    /// The same, with the root's candidates looked at in parts, side by side.
    fn first_choices_in_parts<'s>(
        &'s self,
        roots: &[u32],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
    ) -> Vec<Task> {
        let parts: Vec<usize> = (0..PARTS).collect();
        let mut roots = roots.to_vec();
        total.nodes += 1;
        while total.best.is_some() || self.listing.is_some() {
            let done = self.in_parallel(&parts, total, spare, |worker, &part| {
                worker.root_within_recipes(&roots, (part, PARTS))
            });
            let mut kept = done.concat();
            kept.sort_unstable();
            let enough = !worth_repeating(roots.len(), kept.len());
            roots = kept;
            if enough {
                break;
            }
        }
        let done = self.in_parallel(&parts, total, spare, |worker, &part| {
            worker.root_children(&roots, (part, PARTS))
        });
        let mut first: Vec<(usize, Task)> = done.into_iter().flatten().collect();
        first.sort_by_key(|&(place, _)| place);
        first.into_iter().map(|(_, task)| task).collect()
    }

    /// Whether each item keeps the pin that the fewest keep, if few enough do.
    fn first_pin(&self) -> Option<Vec<bool>> {
        let pins = self.with();
        let keep = |pin: &Pin| -> Vec<bool> {
            self.items
                .iter()
                .map(|item| keeps(self.pool, pin, item))
                .collect()
        };
        let count = |keep: &Vec<bool>| keep.iter().filter(|&&keeps| keeps).count();
        let fewest = pins.map(keep).min_by_key(count)?;
        (2 * count(&fewest) < self.items.len()).then_some(fewest)
    }

    /// Does every task from the same incumbent, each on a worker of its own, merges what they
    /// found in the order of the tasks, and returns what they made, in that order too.
    pub(in crate::engine) fn in_parallel<'s, K: Sync, T: Send>(
        &'s self,
        tasks: &[K],
        total: &mut Searched,
        spare: &mut Vec<Worker<'s, 'a>>,
        work: impl Fn(&mut Worker<'s, 'a>, &K) -> T + Sync,
    ) -> Vec<T> {
        let start = total.best.as_ref();
        let workers = std::sync::Mutex::new(std::mem::take(spare));
        let done: Vec<(T, Searched)> = tasks
            .par_iter()
            .map(|task| {
                let mut worker = workers
                    .lock()
                    .expect("no panic in a task")
                    .pop()
                    .unwrap_or_else(|| Worker::new(self));
                worker.path.found.best = start.cloned();
                let made = work(&mut worker, task);
                let result = worker.path.take();
                workers.lock().expect("no panic in a task").push(worker);
                (made, result)
            })
            .collect();
        *spare = workers.into_inner().expect("no panic in a task");
        let (made, found): (Vec<T>, Vec<Searched>) = done.into_iter().unzip();
        for found in found {
            total.merge(found);
        }
        made
    }

    /// All items; pinned recipes are forced by [`Stage::completable`].
    fn roots(&self) -> Vec<u32> {
        (0..self.items.len() as u32).collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::model::samples::{alone, kitchen, numbers, varied};
    use crate::engine::tree::given::Given;
    use crate::engine::tree::searched::Searched;
    use crate::engine::tree::staging::{first_ceilings, make_stage};
    use crate::engine::{Limits, Outcome, Ready, solve};
    use crate::larder::Larder;
    use std::sync::atomic::{AtomicU64, Ordering};

    /// Asked to stop at that question, or at none; what comes of it, and how many were asked.
    fn stopped_at(larder: &Larder, question: u64) -> (Outcome, u64) {
        let asked = AtomicU64::new(0);
        let stop = || asked.fetch_add(1, Ordering::Relaxed) >= question;
        let limits = Limits {
            stop: &stop,
            ..alone()
        };
        let (outcome, _) = solve(larder, &limits).expect("an answer");
        (outcome, asked.load(Ordering::Relaxed))
    }

    /// Wherever a search is stopped, best is said of the best week alone, and no bound is above it.
    #[test]
    fn a_search_stopped_anywhere_says_no_more_than_it_knows() {
        let mut next = numbers(31);
        let (mut asked, mut stopped) = (0, 0);
        for name in KITCHENS {
            let sound = kitchen(name);
            for turn in 0..TURNS {
                let larder = match turn {
                    0 => sound.clone(),
                    _ => varied(&sound, &mut next),
                };
                if !larder.wishes.order.is_empty() {
                    continue;
                }
                let (whole, all) = stopped_at(&larder, u64::MAX);
                let best = match &whole {
                    Outcome::Best(solved) => Some(solved.tally.objective_nano),
                    Outcome::Impossible => None,
                    other => panic!("{name} {turn}: {other:?}"),
                };
                // The last questions one by one: there lunches are divided.
                let spread = (0..PLACES).map(|at| all * at / PLACES);
                let last = all.saturating_sub(PLACES)..all;
                for question in spread.chain(last) {
                    asked += 1;
                    let told = match stopped_at(&larder, question).0 {
                        Outcome::Best(solved) => (Some(solved.tally.objective_nano), None),
                        Outcome::Impossible => (None, None),
                        Outcome::Good { solved, bound_nano } => {
                            stopped += 1;
                            assert!(best <= Some(solved.tally.objective_nano));
                            (best, Some(bound_nano))
                        }
                        Outcome::OutOfTime { bound_nano } => {
                            stopped += 1;
                            (best, Some(bound_nano))
                        }
                    };
                    assert_eq!(
                        told.0, best,
                        "{name} {turn}: stopped at {question} of {all}"
                    );
                    if let (Some(bound), Some(best)) = (told.1, best) {
                        assert!(
                            bound <= best,
                            "{name} {turn}: {question} of {all}: {bound} > {best}"
                        );
                    }
                }
            }
        }
        assert!(stopped > asked / 4, "{stopped} of {asked}");
    }

    /// Lunches that were to be divided when the search was told to stop may still make a better week.
    #[test]
    fn sets_that_were_being_divided_when_told_to_stop_stay_open() {
        let larder = kitchen("stored/everything");
        let ready = Ready::new(&larder, &|| false);
        let given = Given::default();
        let ceilings = first_ceilings(ready.laid().pool.larder);
        let best = {
            let limits = alone();
            let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            stage.run(None).best.expect("a week")
        };
        for stop in [false, true] {
            let asked = || stop;
            let limits = Limits {
                stop: &asked,
                ..alone()
            };
            let stage = make_stage(ready.laid(), None, ceilings, &given, &limits);
            let mut total = Searched::default();
            total.undivided.push((7, best.items.clone()));
            stage.divide_all(&mut total, &mut Vec::new(), Vec::new());
            // The week at hand may have been found before anyone asked; others were not looked for.
            assert_eq!(total.open_bound, stop.then_some(7));
            let found = total.best.map(|week| week.score);
            assert!(stop || found == Some(best.score));
        }
    }

    const KITCHENS: [&str; 8] = [
        "stored/everything",
        "stored/nutrition",
        "stored/ripening-fruit",
        "stored/stock-on-hand",
        "stored/two-trips",
        "stored/cap-and-forms",
        "stored/minutes-a-day",
        "stored/budget-and-preferences",
    ];
    const TURNS: usize = 3;
    const PLACES: u64 = 12;
}
