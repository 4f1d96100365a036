//! Chooses the stint of each step that may be done in several, so that all stints together
//! keep the cook in the kitchen for as few minutes as there can be.
//!
//! Depth first over units of work, with the stints' exact lengths of what is placed so far as
//! the bound: more work never makes a stint shorter. See `models/prep.md`.

use std::collections::HashMap;
use std::rc::Rc;

use super::bench::{Bench, Job, Timed, schedule_until};
use super::week::{Of, Sitting, Work, day_of, whole, works};
use super::{Part, Prepared, Stint, Task};
use crate::finish::Placed;
use crate::larder::{Day, Ingredient, Larder, MILLI, NANO};
use crate::plan::Plan;

/// Partial timetables looked at for one set of jobs.
const MOST_TIMED: u64 = 20_000;
/// Jobs looked at for all sets together.
const MOST_LOOKED: u64 = 10_000_000;
/// Partial placements looked at, each of two times.
const MOST_PLACED: u64 = 300_000;
/// Passive minutes from which a unit is placed before others.
const LONG: i64 = 10;

/// Places and times everything done in a judged week with these finishers. Soon after `stop`
/// says so it ends with what it has: a whole plan, if a longer one than there may be.
pub fn prepare(
    larder: &Larder,
    plan: &Plan,
    placed: &[Placed],
    stop: &dyn Fn() -> bool,
) -> Prepared {
    let works = works(larder, plan, placed);
    let mut search = Search::new(larder, &works, stop);
    let home = search.home();
    search.better(home);
    let proved_below = search.exhaust();
    search.late();
    let length = search.best.0;
    let chosen = search.best.1.clone();
    let stints = search.stints(&chosen);
    Prepared {
        opened: opened(larder, plan, placed, &works, &search.spread(&chosen)),
        stints,
        length,
        bound: proved_below.min(length),
    }
}

/// What one stint comes to.
#[derive(Clone)]
struct Settled {
    jobs: Vec<Vec<usize>>,
    bench: Bench,
    /// The larder's place of each equipment of the bench.
    kinds: Vec<usize>,
    timed: Timed,
    /// Active time, unrounded.
    active_milli: i64,
}

/// What the steps of one stint take.
#[derive(Clone, Copy, Default)]
struct Figures {
    /// Least length.
    bound: i64,
    /// Active time, thousandths of a minute.
    active_milli: i64,
    /// Length.
    length: i64,
    /// Active time in whole minutes, step by step.
    active: i64,
}

struct Search<'a> {
    larder: &'a Larder,
    works: &'a [Work],
    stop: &'a dyn Fn() -> bool,
    /// Members of each unit.
    units: Vec<Vec<usize>>,
    /// Stints of each unit, the latest first.
    options: Vec<Vec<Sitting>>,
    /// Pairs of units of which the second may not be in an earlier stint than the first, for
    /// each unit in them.
    order: Vec<Vec<(usize, usize)>>,
    /// Least active time each unit adds wherever it is, thousandths.
    least_milli: Vec<i64>,
    /// Units that may be in several stints, in the order in which they are placed.
    movable: Vec<usize>,
    sittings: usize,
    /// Whole minutes a day may take in the kitchen and actively, where work of later days comes
    /// to it; by day.
    limits: Vec<[Option<i64>; 2]>,
    known: HashMap<(Sitting, Vec<usize>), Rc<Settled>>,
    /// The same whatever the stint, by the partial timetables that were allowed.
    timed: HashMap<(Vec<usize>, u64), Rc<Settled>>,
    looked: u64,
    best: (i64, Vec<Sitting>),
    nodes: u64,
    out: bool,
    /// Least bound of a placement that was looked at to the end.
    lowest: i64,
    /// What was reached before: minutes of the stints closed by then.
    seen: HashMap<Vec<usize>, i64>,
}

/// A placement in the making.
struct Partial {
    /// The stint of each unit placed.
    at: Vec<Option<Sitting>>,
    /// The works of each stint.
    spread: Vec<Vec<usize>>,
    /// What each stint takes.
    now: Vec<Figures>,
}

impl<'a> Search<'a> {
    fn new(larder: &'a Larder, works: &'a [Work], stop: &'a dyn Fn() -> bool) -> Self {
        let count = works.iter().map(|work| work.unit + 1).max().unwrap_or(0);
        let mut units = vec![Vec::new(); count];
        for (at, work) in works.iter().enumerate() {
            units[work.unit].push(at);
        }
        let options: Vec<Vec<Sitting>> = units
            .iter()
            .map(|members: &Vec<usize>| {
                let all = &works[members[0]].sittings;
                all.iter().rev().copied().collect()
            })
            .collect();
        let mut order: Vec<Vec<(usize, usize)>> = vec![Vec::new(); count];
        for work in works {
            for before in work.after.iter().map(|&at| works[at].unit) {
                if before != work.unit {
                    order[work.unit].push((before, work.unit));
                    order[before].push((before, work.unit));
                }
            }
        }
        for pairs in &mut order {
            pairs.sort_unstable();
            pairs.dedup();
        }
        let least_milli = units.iter().map(|members| {
            let of = |&at: &usize| {
                let shared = works[at].shared.is_some();
                let fixed = if shared { 0 } else { works[at].fixed_milli };
                fixed + works[at].growing_milli
            };
            members.iter().map(of).sum()
        });
        let mut movable: Vec<usize> = (0..count).filter(|&u| options[u].len() > 1).collect();
        // What goes on long by itself decides most, and is settled first.
        let long = |unit: usize| {
            let alone = units[unit].iter().map(|&at| works[at].passive);
            alone.sum::<i64>() >= LONG
        };
        movable.sort_by_key(|&unit| (!long(unit), options[unit][0], unit));
        Self {
            larder,
            works,
            stop,
            least_milli: least_milli.collect(),
            units,
            options,
            order,
            movable,
            sittings: usize::from(larder.week.lunches) * 2 + 1,
            limits: limits(larder),
            known: HashMap::new(),
            timed: HashMap::new(),
            looked: 0,
            best: (i64::MAX, Vec::new()),
            nodes: 0,
            out: false,
            lowest: i64::MAX,
            seen: HashMap::new(),
        }
    }

    /// Every unit as late as may be.
    fn home(&self) -> Vec<Sitting> {
        self.options.iter().map(|options| options[0]).collect()
    }

    /// The works of each stint.
    fn spread(&self, chosen: &[Sitting]) -> Vec<Vec<usize>> {
        let mut all = vec![Vec::new(); self.sittings];
        for (unit, &sitting) in chosen.iter().enumerate() {
            all[sitting].extend(&self.units[unit]);
        }
        for list in &mut all {
            list.sort_unstable();
        }
        all
    }

    fn settle(&mut self, sitting: Sitting, list: &[usize]) -> Rc<Settled> {
        let key = (sitting, list.to_vec());
        if let Some(known) = self.known.get(&key) {
            return Rc::clone(known);
        }
        self.looked += list.len() as u64;
        let most = if self.looked < MOST_LOOKED {
            MOST_TIMED
        } else {
            0
        };
        // The same steps take the same in any stint. Counted as if timed anew: what is counted decides
        // where the search ends, and that is to be where it always was.
        let alike = (key.1.clone(), most);
        let settled = match self.timed.get(&alike) {
            Some(timed) => Rc::clone(timed),
            None => Rc::new(self.work_out(list, most)),
        };
        self.looked += settled.timed.looked;
        self.timed.insert(alike, Rc::clone(&settled));
        self.known.insert(key, Rc::clone(&settled));
        settled
    }

    fn work_out(&self, list: &[usize], most: u64) -> Settled {
        let (jobs, bench, kinds, active_milli) = bench_of(self.larder, self.works, list);
        // Needs fit by the kitchen's own check, and steps go in no circle.
        let timed = schedule_until(&bench, most, self.stop).unwrap_or_else(|| Timed {
            starts: vec![0; bench.jobs.len()],
            length: 0,
            bound: 0,
            looked: 0,
        });
        Settled {
            jobs,
            bench,
            kinds,
            timed,
            active_milli,
        }
    }

    fn total(&mut self, chosen: &[Sitting]) -> i64 {
        self.looked += self.works.len() as u64;
        let spread = self.spread(chosen);
        (0..self.sittings)
            .map(|sitting| self.settle(sitting, &spread[sitting]).timed.length)
            .sum()
    }

    /// Whether a unit is in order with all others.
    fn in_order(&self, chosen: &[Sitting], unit: usize) -> bool {
        let pairs = self.order[unit].iter();
        pairs.into_iter().all(|&(a, b)| chosen[a] <= chosen[b])
    }

    /// Whether enough was looked at, or it is time to stop.
    fn enough(&self) -> bool {
        self.looked >= MOST_LOOKED || (self.stop)()
    }

    /// Moves single units while that gains.
    fn better(&mut self, from: Vec<Sitting>) {
        let mut best = (self.total(&from), from);
        loop {
            let mut found: Option<(i64, Vec<Sitting>)> = None;
            for unit in 0..self.units.len() {
                for at in 0..self.options[unit].len() {
                    let sitting = self.options[unit][at];
                    if sitting == best.1[unit] || self.enough() {
                        continue;
                    }
                    let mut moved = best.1.clone();
                    moved[unit] = sitting;
                    if !self.in_order(&moved, unit) {
                        continue;
                    }
                    let total = self.total(&moved);
                    if total < found.as_ref().map_or(best.0, |found| found.0)
                        && self.allowed(&moved)
                    {
                        found = Some((total, moved));
                    }
                }
            }
            match found {
                Some(better) => best = better,
                None => break,
            }
        }
        self.best = best;
    }

    /// Looks at every placement that may be shorter than the best so far; returns what none is
    /// below.
    fn exhaust(&mut self) -> i64 {
        let mut partial = self.fixed();
        let root = self.least_of(&partial, 0);
        self.descend(&mut partial, 0, false);
        if self.out {
            return root.min(self.best.0);
        }
        self.lowest.min(self.best.0)
    }

    /// Of the placements as short as the best, takes the one that does everything latest, in the
    /// order in which units are placed.
    fn late(&mut self) {
        self.nodes = 0;
        self.out = false;
        self.seen.clear();
        let mut partial = self.fixed();
        self.descend(&mut partial, 0, true);
    }

    /// What can be in one stint only is there.
    fn fixed(&mut self) -> Partial {
        let mut partial = Partial {
            at: vec![None; self.units.len()],
            spread: vec![Vec::new(); self.sittings],
            now: vec![Figures::default(); self.sittings],
        };
        for unit in 0..self.units.len() {
            if let [only] = self.options[unit][..] {
                partial.at[unit] = Some(only);
                partial.spread[only].extend(&self.units[unit]);
            }
        }
        for sitting in 0..self.sittings {
            partial.spread[sitting].sort_unstable();
            partial.now[sitting] = self.figures(sitting, &partial.spread[sitting]);
        }
        partial
    }

    fn figures(&mut self, sitting: Sitting, list: &[usize]) -> Figures {
        let settled = self.settle(sitting, list);
        Figures {
            bound: settled.timed.bound,
            active_milli: settled.active_milli,
            length: settled.timed.length,
            active: settled.bench.jobs.iter().map(|job| job.active).sum(),
        }
    }

    /// Whether work of a later day is among what is placed on a day.
    fn brought(&self, at: impl Fn(usize) -> Option<Sitting>, day: Day) -> bool {
        (0..self.units.len()).any(|unit| {
            let home = day_of(self.options[unit][0]);
            home > day && at(unit).is_some_and(|sitting| day_of(sitting) == day)
        })
    }

    /// Whether a day takes what its limits allow, each stint as long as `length` says.
    fn within(&self, now: &[Figures], day: Day, length: impl Fn(&Figures) -> i64) -> bool {
        let stints = || (0..self.sittings).filter(|&sitting| day_of(sitting) == day);
        let [kitchen, active] = self.limits[usize::from(day)];
        kitchen.is_none_or(|most| stints().map(|at| length(&now[at])).sum::<i64>() <= most)
            && active.is_none_or(|most| stints().map(|at| now[at].active).sum::<i64>() <= most)
    }

    /// Whether a day is limited at all.
    fn limited(&self, day: Day) -> bool {
        self.limits[usize::from(day)].iter().any(Option::is_some)
    }

    /// Whether every day to which work of later ones is brought keeps its limits.
    fn allowed(&mut self, chosen: &[Sitting]) -> bool {
        let days = 0..=self.larder.week.lunches;
        let brought =
            |&day: &Day| self.limited(day) && self.brought(|unit| Some(chosen[unit]), day);
        let days: Vec<Day> = days.filter(brought).collect();
        if days.is_empty() {
            return true;
        }
        let spread = self.spread(chosen);
        let now: Vec<Figures> = (0..self.sittings)
            .map(|sitting| self.figures(sitting, &spread[sitting]))
            .collect();
        days.into_iter()
            .all(|day| self.within(&now, day, |stint| stint.length))
    }

    /// Whether a day to which work of later ones is brought may keep its limits yet: more work
    /// never makes it shorter.
    fn may_keep(&self, partial: &Partial, day: Day) -> bool {
        !self.limited(day)
            || self.within(&partial.now, day, |stint| stint.bound)
            || !self.brought(|unit| partial.at[unit], day)
    }

    /// Least length of all stints once the movable units from `depth` on are placed: at best
    /// their active time fits into waiting time of stints they may be in. How much of it can is
    /// found by filling stints in time order, what must be done first first.
    fn least_of(&self, partial: &Partial, depth: usize) -> i64 {
        let sure: i64 = partial.now.iter().map(|now| now.bound).sum();
        // First and last stint, and thousandths of minutes; by last stint already.
        let mut to_come: Vec<(Sitting, Sitting, i64)> = self.movable[depth..]
            .iter()
            .map(|&unit| {
                let options = &self.options[unit];
                let first = options.last().copied().unwrap_or(0);
                (first, options[0], self.least_milli[unit])
            })
            .collect();
        for (sitting, now) in partial.now.iter().enumerate() {
            let mut idle = (now.bound * MILLI - now.active_milli).max(0);
            for (first, last, left) in &mut to_come {
                if *first <= sitting && sitting <= *last {
                    let fits = idle.min(*left);
                    *left -= fits;
                    idle -= fits;
                }
            }
        }
        let over: i64 = to_come.iter().map(|unit| unit.2).sum();
        sure + whole(over)
    }

    /// Whether what can follow was reached before with no more minutes in the stints that
    /// nothing more can come into. Notes it otherwise.
    fn reached(&mut self, partial: &Partial, depth: usize) -> bool {
        let rest = &self.movable[depth..];
        let first = rest.iter().filter_map(|&unit| self.options[unit].last());
        let open = first.copied().min().unwrap_or(self.sittings);
        let closed: i64 = partial.now[..open].iter().map(|now| now.bound).sum();
        let mut key = vec![depth];
        // A morning counts for what may still come into its evening.
        if open > 0 && open < self.sittings && self.limited(day_of(open)) {
            let day = day_of(open);
            for sitting in (0..open).filter(|&sitting| day_of(sitting) == day) {
                key.extend(&partial.spread[sitting]);
                key.push(usize::MAX);
            }
        }
        for list in &partial.spread[open..] {
            key.extend(list);
            key.push(usize::MAX);
        }
        // Where those are that something to come is in order with.
        for &unit in rest {
            for &(a, b) in &self.order[unit] {
                let other = if a == unit { b } else { a };
                key.push(partial.at[other].unwrap_or(usize::MAX));
            }
        }
        match self.seen.get_mut(&key) {
            Some(old) if *old <= closed => true,
            Some(old) => {
                *old = closed;
                false
            }
            None => {
                self.seen.insert(key, closed);
                false
            }
        }
    }

    /// Places the movable units from `depth` on; returns whether to stop.
    fn descend(&mut self, partial: &mut Partial, depth: usize, ties: bool) -> bool {
        let least = self.least_of(partial, depth);
        let most = if ties { self.best.0 + 1 } else { self.best.0 };
        if least >= most {
            return false;
        }
        let Some(&unit) = self.movable.get(depth) else {
            let length: i64 = partial.now.iter().map(|now| now.length).sum();
            if !ties {
                self.lowest = self.lowest.min(least);
            }
            let chosen: Vec<Sitting> = partial.at.iter().map(|at| at.unwrap_or(0)).collect();
            if length < most && self.allowed(&chosen) {
                self.best = (length, chosen);
                return ties;
            }
            return false;
        };
        if self.reached(partial, depth) {
            return false;
        }
        for option in 0..self.options[unit].len() {
            let sitting = self.options[unit][option];
            partial.at[unit] = Some(sitting);
            if self.fits(partial, unit) {
                self.nodes += 1;
                if self.nodes > MOST_PLACED || self.enough() {
                    self.out = true;
                    return true;
                }
                let (spread, now) = (partial.spread[sitting].clone(), partial.now[sitting]);
                partial.spread[sitting].extend(&self.units[unit]);
                partial.spread[sitting].sort_unstable();
                partial.now[sitting] = self.figures(sitting, &partial.spread[sitting]);
                let stop = self.may_keep(partial, day_of(sitting))
                    && self.descend(partial, depth + 1, ties);
                partial.spread[sitting] = spread;
                partial.now[sitting] = now;
                if stop {
                    return true;
                }
            }
        }
        partial.at[unit] = None;
        false
    }

    /// Whether a unit is in order with all that are placed.
    fn fits(&self, partial: &Partial, unit: usize) -> bool {
        let placed = |unit: usize| partial.at[unit];
        self.order[unit]
            .iter()
            .all(|&(a, b)| match (placed(a), placed(b)) {
                (Some(a), Some(b)) => a <= b,
                _ => true,
            })
    }

    fn stints(&mut self, chosen: &[Sitting]) -> Vec<Stint> {
        let spread = self.spread(chosen);
        let works = self.works;
        let mut all = Vec::new();
        for (sitting, list) in spread.iter().enumerate() {
            if list.is_empty() {
                continue;
            }
            let settled = self.settle(sitting, list);
            let mut tasks: Vec<Task> = settled
                .jobs
                .iter()
                .zip(&settled.bench.jobs)
                .zip(&settled.timed.starts)
                .map(|((members, job), &start)| Task {
                    parts: members
                        .iter()
                        .map(|&at| Part {
                            of: works[at].of,
                            step: works[at].step,
                        })
                        .collect(),
                    start,
                    active: job.active,
                    passive: job.passive,
                    needs: job
                        .needs
                        .iter()
                        .map(|&(kind, count)| (settled.kinds[kind], count))
                        .collect(),
                    as_early_as: members
                        .iter()
                        .map(|&at| works[at].sittings[0])
                        .max()
                        .filter(|&first| first < sitting && ahead_of_day(&works[members[0]])),
                })
                .collect();
            tasks.sort_by(|a, b| {
                (a.start, a.active > 0, &a.parts).cmp(&(b.start, b.active > 0, &b.parts))
            });
            all.push(Stint {
                sitting,
                tasks,
                length: settled.timed.length,
                bound: settled.timed.bound,
            });
        }
        all
    }
}

/// The limits of each day in whole minutes: those in the kitchen, active ones.
fn limits(larder: &Larder) -> Vec<[Option<i64>; 2]> {
    let wishes = &larder.wishes;
    let whole = |limit: Option<&Option<i64>>| limit.copied().flatten().map(|nano| nano / NANO);
    (0..=usize::from(larder.week.lunches))
        .map(|day| {
            let kitchen = whole(wishes.kitchen_minutes_nano.get(day));
            [kitchen, whole(wishes.minutes_nano.get(day))]
        })
        .collect()
}

/// Whether a work may be done before its own day.
fn ahead_of_day(work: &Work) -> bool {
    let last = work.sittings.last().map_or(0, |&last| day_of(last));
    work.sittings
        .first()
        .is_some_and(|&first| day_of(first) < last)
}

/// The bench of one stint: what is done once for several stands together. With the members of
/// each job, the larder's place of each equipment, and the active time unrounded.
pub(super) fn bench_of(
    larder: &Larder,
    works: &[Work],
    list: &[usize],
) -> (Vec<Vec<usize>>, Bench, Vec<usize>, i64) {
    let needs = list.iter().flat_map(|&at| &works[at].needs);
    let mut kinds: Vec<usize> = needs.map(|need| need.0).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut jobs: Vec<Vec<usize>> = Vec::new();
    let mut first: HashMap<&(String, Ingredient), usize> = HashMap::new();
    let mut job_of: HashMap<usize, usize> = HashMap::new();
    for &at in list {
        let place = match &works[at].shared {
            Some(key) => *first.entry(key).or_insert(jobs.len()),
            None => jobs.len(),
        };
        if place == jobs.len() {
            jobs.push(Vec::new());
        }
        jobs[place].push(at);
        job_of.insert(at, place);
    }
    let mut active_milli = 0;
    let benched = jobs
        .iter()
        .map(|members| {
            let fixed = members.iter().map(|&at| works[at].fixed_milli).max();
            let growing: i64 = members.iter().map(|&at| works[at].growing_milli).sum();
            let milli = fixed.unwrap_or(0) + growing;
            active_milli += milli;
            let mut after: Vec<usize> = members
                .iter()
                .flat_map(|&at| &works[at].after)
                .filter_map(|before| job_of.get(before).copied())
                .collect();
            after.sort_unstable();
            after.dedup();
            let mut needs: Vec<(usize, i64)> = Vec::new();
            for &(kind, count) in members.iter().flat_map(|&at| &works[at].needs) {
                let kind = kinds.binary_search(&kind).unwrap_or(0);
                match needs.iter_mut().find(|need| need.0 == kind) {
                    Some(need) => need.1 = need.1.max(count),
                    None => needs.push((kind, count)),
                }
            }
            needs.sort_unstable();
            Job {
                active: whole(milli),
                passive: members
                    .iter()
                    .map(|&at| works[at].passive)
                    .max()
                    .unwrap_or(0),
                needs,
                after,
                at_once: members
                    .iter()
                    .find_map(|&at| works[at].at_once)
                    .and_then(|before| job_of.get(&before).copied()),
            }
        })
        .collect();
    let bench = Bench {
        jobs: benched,
        capacity: kinds
            .iter()
            .map(|&kind| larder.equipment[kind].count)
            .collect(),
    };
    (jobs, bench, kinds, active_milli)
}

/// The plan with each unit opened on the first day on which something is done with it.
fn opened(
    larder: &Larder,
    plan: &Plan,
    placed: &[Placed],
    works: &[Work],
    spread: &[Vec<usize>],
) -> Plan {
    let mut out = plan.clone();
    for (sitting, list) in spread.iter().enumerate() {
        for &at in list {
            let day = match works[at].of {
                Of::Lunch(day) => day,
                Of::Batch(batch) => plan.batches[batch].day,
            };
            let early = day_of(sitting);
            if early >= day {
                continue;
            }
            let foods = super::week::touched(larder, plan, placed, &works[at]);
            for opening in &mut out.openings {
                let draws = opening.draws.iter().any(|draw| draw.0 == day);
                if draws && foods.contains(&super::week::food_of(larder, opening.lot)) {
                    opening.day = opening.day.min(early);
                }
            }
        }
    }
    out
}
