//! One stint at the bench: one cook, some equipment, jobs in an order; and the exact search
//! for the timetable after which the cook may leave soonest.
//!
//! Nothing here knows of food. `models/prep.md` says the problem in words and symbols and why
//! the search is exact.

use std::cell::Cell;
use std::collections::HashMap;

/// Most jobs of a stint that are searched exactly; more are placed by rule alone.
pub const MOST_JOBS: usize = 120;

/// A job: the cook is busy for `active` minutes from its start, then it goes on by itself for
/// `passive` minutes; equipment is held for both.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    /// Minutes that need the cook.
    pub active: i64,
    /// Minutes by itself.
    pub passive: i64,
    /// Equipment (a position in [`Bench::capacity`]) and how many of it; each once.
    pub needs: Vec<(usize, i64)>,
    /// Jobs that must have ended before it starts.
    pub after: Vec<usize>,
    /// A job at whose end it must start, to the minute. At most one job starts so after another.
    pub at_once: Option<usize>,
}

impl Job {
    /// Minutes from its start to its end.
    pub fn whole(&self) -> i64 {
        self.active + self.passive
    }

    /// Minutes from its start in which the cook cannot leave: what holds equipment is watched.
    pub fn watched(&self) -> i64 {
        if self.needs.is_empty() {
            self.active
        } else {
            self.whole()
        }
    }
}

/// A stint to be timed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bench {
    /// What is to be done.
    pub jobs: Vec<Job>,
    /// How many of each equipment there are.
    pub capacity: Vec<i64>,
}

/// A timetable and what is proved of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timed {
    /// Start of each job, minutes from the beginning.
    pub starts: Vec<i64>,
    /// When the cook may leave.
    pub length: i64,
    /// No timetable is shorter than this; equal to `length` if proved.
    pub bound: i64,
    /// Jobs looked at, one by one, on the way.
    pub looked: u64,
}

/// Finds the shortest timetable, looking at no more than `most_nodes` partial ones. `None` if
/// there is none: a circle in the order, or a need above what there is.
pub fn schedule(bench: &Bench, most_nodes: u64) -> Option<Timed> {
    schedule_until(bench, most_nodes, &|| false)
}

/// The same, ending soon after `stop` says so: with the shortest timetable seen by then.
pub fn schedule_until(bench: &Bench, most_nodes: u64, stop: &dyn Fn() -> bool) -> Option<Timed> {
    let mut search = Search::new(bench, stop)?;
    let bound = search.root_bound();
    let small = bench.jobs.len() <= MOST_JOBS;
    let first = if small {
        search.by_rule()?
    } else {
        search.serial()?
    };
    let length = search.length(&first);
    search.best = (length, first);
    if search.best.0 > bound && small {
        search.most_nodes = most_nodes;
        search.floor = bound;
        // A timetable is at hand: from here on it may end at any time.
        search.ask_at.set(search.looked.get());
        search.go(&mut Vec::new(), 0);
    }
    let done = small && !search.out.get();
    let (length, starts) = search.best;
    Some(Timed {
        bound: if done { length } else { bound },
        starts,
        length,
        looked: search.looked.get(),
    })
}

/// Jobs looked at for a timetable by rule before it is asked whether to stop (some sixty jobs go
/// into one), and between two times.
const UNASKED: u64 = 100_000;
const ASKS: u64 = 2_000;

/// Ways of placing the same jobs that are remembered.
const MOST_KNOWN: usize = 40;

/// What comes of one more job.
enum Appended {
    /// The least starts.
    Starts(Vec<i64>),
    /// There are none.
    None,
    /// It moves others.
    Pushes,
}

struct Search<'a> {
    bench: &'a Bench,
    /// Watched minutes from a job's start to the end of all that must follow it.
    tail: Vec<i64>,
    /// The job that must start at its end, if one must.
    follower: Vec<Option<usize>>,
    order: Vec<usize>,
    best: (i64, Vec<i64>),
    /// Least length there can be.
    floor: i64,
    seen: HashMap<u128, Vec<Vec<i64>>>,
    nodes: u64,
    most_nodes: u64,
    /// Something was left unsettled.
    out: Cell<bool>,
    looked: Cell<u64>,
    stop: &'a dyn Fn() -> bool,
    /// So many jobs looked at, and it is asked whether to stop.
    ask_at: Cell<u64>,
    stopped: Cell<bool>,
}

impl<'a> Search<'a> {
    fn new(bench: &'a Bench, stop: &'a dyn Fn() -> bool) -> Option<Self> {
        let jobs = &bench.jobs;
        let mut follower = vec![None; jobs.len()];
        for (at, job) in jobs.iter().enumerate() {
            if let Some(before) = job.at_once {
                if follower.get(before)?.is_some() {
                    return None;
                }
                follower[before] = Some(at);
            }
            let fits = |&(kind, count): &(usize, i64)| {
                bench.capacity.get(kind).is_some_and(|&all| count <= all)
            };
            if !job.needs.iter().all(fits) {
                return None;
            }
        }
        let order = topological(jobs)?;
        let mut tail: Vec<i64> = jobs.iter().map(Job::watched).collect();
        for &at in order.iter().rev() {
            for before in befores(&jobs[at]) {
                tail[before] = tail[before].max(jobs[before].whole() + tail[at]);
            }
        }
        Some(Self {
            bench,
            tail,
            follower,
            order,
            best: (i64::MAX, Vec::new()),
            floor: 0,
            seen: HashMap::new(),
            nodes: 0,
            most_nodes: 0,
            out: Cell::new(false),
            looked: Cell::new(0),
            stop,
            ask_at: Cell::new(UNASKED),
            stopped: Cell::new(false),
        })
    }

    /// Whether it is time to stop; what was left is unsettled then.
    fn stopped(&self) -> bool {
        if !self.stopped.get() && self.looked.get() >= self.ask_at.get() {
            self.ask_at.set(self.looked.get() + ASKS);
            if (self.stop)() {
                self.stopped.set(true);
                self.out.set(true);
            }
        }
        self.stopped.get()
    }

    fn length(&self, starts: &[i64]) -> i64 {
        let ends = self.bench.jobs.iter().zip(starts);
        ends.map(|(job, start)| start + job.watched())
            .max()
            .unwrap_or(0)
    }

    /// A timetable without search: one chain of at-once jobs after the other, each as early as it
    /// goes behind all before it; of several the shortest.
    fn by_rule(&self) -> Option<Vec<i64>> {
        let greedy = self.dive();
        let serial = self.serial();
        match (greedy, serial) {
            (Some(a), Some(b)) if self.length(&b) < self.length(&a) => Some(b),
            (Some(a), _) => Some(a),
            (None, b) => b,
        }
    }

    /// Nothing beside anything else: always there if anything is.
    fn serial(&self) -> Option<Vec<i64>> {
        let order = groups(&self.bench.jobs, &self.order, &self.follower)?;
        let mut starts = vec![0; order.len()];
        let mut now = 0;
        for at in order {
            starts[at] = now;
            now += self.bench.jobs[at].whole();
        }
        Some(starts)
    }

    /// Appends the job that can start first, of several the one with the longest tail.
    fn dive(&self) -> Option<Vec<i64>> {
        let mut order = Vec::new();
        let mut starts = vec![0; self.bench.jobs.len()];
        // What takes longer than one after the other is of no use.
        let all = self.bench.jobs.iter().map(Job::whole).sum();
        while order.len() < self.bench.jobs.len() {
            let mut found: Option<((i64, i64, usize), Vec<i64>)> = None;
            for job in self.open(&order) {
                if self.stopped() {
                    return None;
                }
                order.push(job);
                if let Some(fixed) = self.fix(&order, &starts, all) {
                    // A pending follower first: nothing may come between it and its time.
                    let due = self.bench.jobs[job].at_once.map_or(0, |_| -1);
                    let key = (fixed[job] + due, -self.tail[job], job);
                    if found.as_ref().is_none_or(|(old, _)| key < *old) {
                        found = Some((key, fixed));
                    }
                }
                order.pop();
            }
            let ((_, _, job), fixed) = found?;
            order.push(job);
            starts = fixed;
        }
        Some(starts)
    }

    /// Jobs not in `order` whose befores all are.
    fn open(&self, order: &[usize]) -> Vec<usize> {
        let mut placed = vec![false; self.bench.jobs.len()];
        for &job in order {
            placed[job] = true;
        }
        (0..placed.len())
            .filter(|&job| !placed[job] && befores(&self.bench.jobs[job]).all(|b| placed[b]))
            .collect()
    }

    /// The least starts of jobs that start in this order; `from` are starts known not to be too
    /// late. `None` if there are none that end by `most`.
    fn fix(&self, order: &[usize], from: &[i64], most: i64) -> Option<Vec<i64>> {
        if self.crowded(order) {
            return None;
        }
        match self.append(order, from, most) {
            Appended::Starts(starts) => Some(starts),
            Appended::None => None,
            Appended::Pushes => self.fix_all(order, from, most),
        }
    }

    /// The same where `from` is what [`Self::fix`] made of all but the last job: these stay where they
    /// are, unless the last one pushes the job that it must follow at once.
    fn append(&self, order: &[usize], from: &[i64], most: i64) -> Appended {
        let jobs = &self.bench.jobs;
        let Some((&at, before)) = order.split_last() else {
            return Appended::Starts(from.to_vec());
        };
        let (mut last, mut free) = (0, 0);
        let mut late = false;
        for &other in before {
            let (job, start) = (&jobs[other], from[other]);
            late |= start + job.watched() > most;
            last = start;
            if job.active > 0 {
                free = start + job.active;
            }
        }
        let job = &jobs[at];
        let start = self.earliest(job, from[at], (last, free), (before, from));
        if let Some(first) = job.at_once
            && from[first] < start - jobs[first].whole()
        {
            return Appended::Pushes;
        }
        self.count(order);
        if late || start + job.watched() > most {
            return Appended::None;
        }
        let mut starts = from.to_vec();
        if start != starts[at] {
            starts[at] = start;
            // A second look finds nothing to change.
            self.count(order);
        }
        Appended::Starts(starts)
    }

    fn count(&self, order: &[usize]) {
        self.looked.set(self.looked.get() + order.len() as u64);
    }

    /// The least start of a job behind those `before` it, of which the last one starts and the cook is
    /// free as told.
    fn earliest(
        &self,
        job: &Job,
        from: i64,
        (last, free): (i64, i64),
        (before, starts): (&[usize], &[i64]),
    ) -> i64 {
        let mut start = from.max(last);
        if job.active > 0 {
            start = start.max(free);
        }
        for at in befores(job) {
            start = start.max(starts[at] + self.bench.jobs[at].whole());
        }
        if job.whole() > 0 {
            for &(kind, count) in &job.needs {
                start = start.max(self.room(kind, count, before, starts));
            }
        }
        start
    }

    /// The same from any starts that are not too late.
    fn fix_all(&self, order: &[usize], from: &[i64], most: i64) -> Option<Vec<i64>> {
        let jobs = &self.bench.jobs;
        let mut starts = from.to_vec();
        // Starts that chase each other run into `most`; far ends are not waited for.
        let passes = 10 * order.len() + 100;
        for _ in 0..passes {
            self.count(order);
            let mut changed = false;
            let mut last = 0;
            let mut free = 0;
            for (place, &at) in order.iter().enumerate() {
                let job = &jobs[at];
                let before = (&order[..place], &starts[..]);
                let start = self.earliest(job, starts[at], (last, free), before);
                if start + job.watched() > most {
                    return None;
                }
                if start != starts[at] {
                    starts[at] = start;
                    changed = true;
                }
                if let Some(before) = job.at_once {
                    let wanted = start - jobs[before].whole();
                    if starts[before] < wanted {
                        starts[before] = wanted;
                        changed = true;
                    }
                }
                last = start;
                if job.active > 0 {
                    free = start + job.active;
                }
            }
            if !changed {
                return Some(starts);
            }
        }
        self.out.set(true);
        None
    }

    /// Whether the cook has more to do between the last job and the one it must follow at once than
    /// that one lasts; those before it were asked about when they were placed.
    fn crowded(&self, order: &[usize]) -> bool {
        let jobs = &self.bench.jobs;
        let Some((&at, placed)) = order.split_last() else {
            return false;
        };
        let Some(before) = jobs[at].at_once else {
            return false;
        };
        let from = placed.iter().rposition(|&other| other == before);
        let busy = &placed[from.unwrap_or(placed.len())..];
        let work: i64 = busy.iter().map(|&other| jobs[other].active).sum();
        jobs[at].active > 0 && work > jobs[before].whole()
    }

    /// The first moment from which `count` of `kind` are free of the jobs `before`.
    fn room(&self, kind: usize, count: i64, before: &[usize], starts: &[i64]) -> i64 {
        let mut held: Vec<(i64, i64)> = before
            .iter()
            .filter_map(|&at| {
                let job = &self.bench.jobs[at];
                let used = job.needs.iter().find(|need| need.0 == kind)?.1;
                (job.whole() > 0).then(|| (starts[at] + job.whole(), used))
            })
            .collect();
        held.sort_unstable();
        let mut left = self.bench.capacity[kind] - held.iter().map(|h| h.1).sum::<i64>();
        for (end, used) in held {
            if left >= count {
                break;
            }
            left += used;
            if left >= count {
                return end;
            }
        }
        0
    }

    fn root_bound(&self) -> i64 {
        let starts = vec![0; self.bench.jobs.len()];
        self.bound(&[], &starts)
    }

    /// No timetable that begins with `order` is shorter: what the cook still has to do, and what
    /// each equipment still has to hold, with heads and tails; see `models/prep.md`.
    fn bound(&self, order: &[usize], starts: &[i64]) -> i64 {
        let jobs = &self.bench.jobs;
        let mut placed = vec![false; jobs.len()];
        let (mut last, mut free, mut most) = (0, 0, 0);
        for &at in order {
            placed[at] = true;
            last = last.max(starts[at]);
            free = free.max(starts[at] + jobs[at].active);
            most = most.max(starts[at] + jobs[at].watched());
        }
        let mut heads = starts.to_vec();
        for &at in &self.order {
            if placed[at] {
                continue;
            }
            let mut head = if jobs[at].active > 0 {
                free.max(last)
            } else {
                last
            };
            for before in befores(&jobs[at]) {
                head = head.max(heads[before] + jobs[before].whole());
            }
            heads[at] = head;
            most = most.max(head + self.tail[at]);
        }
        // What is too long already is not looked at further: how much so matters to nobody.
        if most >= self.best.0 {
            return most;
        }
        let rest: Vec<usize> = (0..jobs.len()).filter(|&at| !placed[at]).collect();
        let cook: Vec<(i64, i64, i64)> = rest
            .iter()
            .filter(|&&at| jobs[at].active > 0)
            .map(|&at| (heads[at], jobs[at].active, self.tail[at] - jobs[at].active))
            .collect();
        most = most.max(one_machine(cook));
        if most >= self.best.0 {
            return most;
        }
        for (kind, &capacity) in self.bench.capacity.iter().enumerate() {
            let count = |at: usize| {
                let need = jobs[at].needs.iter().find(|need| need.0 == kind);
                need.map_or(0, |need| need.1)
            };
            let using: Vec<usize> = rest.iter().copied().filter(|&at| count(at) > 0).collect();
            if using.is_empty() {
                continue;
            }
            let running = order.iter().map(|&at| {
                let left = (starts[at] + jobs[at].whole() - last).max(0);
                left * count(at)
            });
            let to_come = using.iter().map(|&at| jobs[at].whole() * count(at));
            let work: i64 = running.sum::<i64>() + to_come.sum::<i64>();
            most = most.max(last + (work + capacity - 1) / capacity);
            // Jobs that cannot share it with each other queue for it.
            let queue: Vec<(i64, i64, i64)> = using
                .iter()
                .filter(|&&at| count(at) * 2 > capacity && jobs[at].whole() > 0)
                .map(|&at| {
                    let whole = jobs[at].whole();
                    let busy = order.iter().filter(|&&o| count(o) + count(at) > capacity);
                    let free = busy.map(|&o| starts[o] + jobs[o].whole()).max();
                    let head = heads[at].max(free.unwrap_or(0));
                    (head, whole, (self.tail[at] - whole).max(0))
                })
                .collect();
            most = most.max(one_machine(queue));
        }
        most
    }

    fn go(&mut self, order: &mut Vec<usize>, mask: u128) {
        let jobs = &self.bench.jobs;
        let zero = vec![0; jobs.len()];
        self.descend(order, mask, &zero);
    }

    fn descend(&mut self, order: &mut Vec<usize>, mask: u128, starts: &[i64]) {
        if order.len() == self.bench.jobs.len() {
            let length = self.length(starts);
            if length < self.best.0 {
                self.best = (length, starts.to_vec());
            }
            return;
        }
        let mut children: Vec<(i64, i64, i64, usize, Vec<i64>)> = Vec::new();
        for job in self.open(order) {
            if self.stopped() {
                return;
            }
            order.push(job);
            if let Some(fixed) = self.fix(order, starts, self.best.0 - 1) {
                let bound = self.bound(order, &fixed);
                if bound < self.best.0 {
                    children.push((bound, fixed[job], -self.tail[job], job, fixed));
                }
            }
            order.pop();
        }
        children.sort();
        for (bound, _, _, job, fixed) in children {
            if bound >= self.best.0 || self.best.0 <= self.floor {
                return;
            }
            self.nodes += 1;
            if self.nodes > self.most_nodes {
                self.out.set(true);
                return;
            }
            order.push(job);
            let now = mask | 1 << job;
            if !self.known_better(order, now, &fixed) {
                self.descend(order, now, &fixed);
            }
            order.pop();
            if self.out.get() {
                return;
            }
        }
    }

    /// Whether the same jobs were already placed in a way from which all that can follow starts
    /// no later; notes this way otherwise. Not asked while a job waits for its follower, which
    /// may still move it.
    fn known_better(&mut self, order: &[usize], mask: u128, starts: &[i64]) -> bool {
        let jobs = &self.bench.jobs;
        let placed = |at: usize| mask >> at & 1 == 1;
        let pending = order
            .iter()
            .any(|&at| self.follower[at].is_some_and(|next| !placed(next)));
        if pending {
            return false;
        }
        let last = order.iter().map(|&at| starts[at]).max().unwrap_or(0);
        let free = order.iter().map(|&at| starts[at] + jobs[at].active).max();
        let mut state = vec![
            last,
            free.unwrap_or(0).max(last),
            self.watched_to(order, starts),
        ];
        for (at, job) in jobs.iter().enumerate() {
            if !placed(at) {
                let befores = befores(job).filter(|&b| placed(b));
                let ready = befores.map(|b| starts[b] + jobs[b].whole()).max();
                state.push(ready.unwrap_or(0).max(last));
            }
        }
        for (kind, &capacity) in self.bench.capacity.iter().enumerate() {
            let mut slots: Vec<i64> = Vec::new();
            for &at in order {
                for need in jobs[at].needs.iter().filter(|need| need.0 == kind) {
                    let end = starts[at] + jobs[at].whole();
                    if end > last {
                        slots.extend(std::iter::repeat_n(end, need.1 as usize));
                    }
                }
            }
            slots.resize(capacity as usize, last);
            slots.sort_unstable();
            state.extend(slots);
        }
        let known = self.seen.entry(mask).or_default();
        let no_later = |old: &Vec<i64>| old.iter().zip(&state).all(|(old, new)| old <= new);
        if known.iter().any(no_later) {
            return true;
        }
        known.retain(|old| !state.iter().zip(old).all(|(new, old)| new <= old));
        if known.len() < MOST_KNOWN {
            known.push(state);
        }
        false
    }

    fn watched_to(&self, order: &[usize], starts: &[i64]) -> i64 {
        let ends = order
            .iter()
            .map(|&at| starts[at] + self.bench.jobs[at].watched());
        ends.max().unwrap_or(0)
    }
}

/// Every job that must have ended before this one starts.
fn befores(job: &Job) -> impl Iterator<Item = usize> + '_ {
    job.after.iter().copied().chain(job.at_once)
}

/// Positions so that each job stands behind all it waits for; `None` if they go in a circle.
fn topological(jobs: &[Job]) -> Option<Vec<usize>> {
    let mut waits: Vec<usize> = jobs.iter().map(|job| befores(job).count()).collect();
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); jobs.len()];
    for (at, job) in jobs.iter().enumerate() {
        for before in befores(job) {
            next.get_mut(before)?.push(at);
        }
    }
    let mut order: Vec<usize> = (0..jobs.len()).filter(|&at| waits[at] == 0).collect();
    let mut done = 0;
    while let Some(&at) = order.get(done) {
        done += 1;
        for &after in &next[at] {
            waits[after] -= 1;
            if waits[after] == 0 {
                order.push(after);
            }
        }
    }
    (order.len() == jobs.len()).then_some(order)
}

/// Jobs so that those bound at once stand directly behind each other; `None` if the order of
/// such chains goes in a circle.
fn groups(jobs: &[Job], order: &[usize], follower: &[Option<usize>]) -> Option<Vec<usize>> {
    let mut chain_of = vec![0; jobs.len()];
    let mut chains: Vec<Vec<usize>> = Vec::new();
    for &at in order {
        if jobs[at].at_once.is_none() {
            let mut chain = vec![at];
            let mut now = at;
            while let Some(next) = follower[now] {
                chain.push(next);
                now = next;
            }
            for &member in &chain {
                chain_of[member] = chains.len();
            }
            chains.push(chain);
        }
    }
    let whole: Vec<Job> = chains
        .iter()
        .enumerate()
        .map(|(own, chain)| {
            let mut after: Vec<usize> = chain
                .iter()
                .flat_map(|&at| &jobs[at].after)
                .map(|&before| chain_of[before])
                .filter(|&other| other != own)
                .collect();
            after.sort_unstable();
            after.dedup();
            Job {
                after,
                ..Job::default()
            }
        })
        .collect();
    let sorted = topological(&whole)?;
    Some(
        sorted
            .into_iter()
            .flat_map(|at| chains[at].clone())
            .collect(),
    )
}

/// The least time by which jobs of one machine, each (head, time, tail), can all be through if
/// they may be interrupted: always the one with the longest tail first (Jackson's rule).
fn one_machine(mut jobs: Vec<(i64, i64, i64)>) -> i64 {
    jobs.sort_unstable();
    let mut waiting: std::collections::BinaryHeap<(i64, i64)> = std::collections::BinaryHeap::new();
    let mut most = 0;
    let mut now = 0;
    let mut next = jobs.into_iter().peekable();
    loop {
        while let Some((_, time, tail)) = next.next_if(|job| job.0 <= now) {
            waiting.push((tail, time));
        }
        let Some((tail, time)) = waiting.pop() else {
            match next.peek() {
                Some(job) => now = job.0,
                None => return most,
            }
            continue;
        };
        let until = next.peek().map_or(i64::MAX, |job| job.0);
        let work = time.min(until - now);
        now += work;
        if work == time {
            most = most.max(now + tail);
        } else {
            waiting.push((tail, time - work));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers that look drawn (xorshift; G. Marsaglia, Xorshift RNGs, 2003).
    struct Dice(u64);

    impl Dice {
        fn roll(&mut self, below: u64) -> u64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            (self.0 >> 11) % below
        }

        fn bench(&mut self) -> Bench {
            let mut jobs: Vec<Job> = Vec::new();
            for at in 0..3 + self.roll(6) as usize {
                let after = (0..at).filter(|_| self.roll(4) == 0).collect();
                let first = (at > 0 && self.roll(3) == 0).then(|| self.roll(at as u64) as usize);
                let taken = |other: &usize| jobs.iter().any(|job| job.at_once == Some(*other));
                let at_once = first.filter(|other| !taken(other));
                jobs.push(Job {
                    active: self.roll(6) as i64,
                    passive: self.roll(3) as i64 * self.roll(6) as i64,
                    needs: (0..2)
                        .filter(|_| self.roll(3) == 0)
                        .map(|kind| (kind, 1 + kind as i64))
                        .collect(),
                    after,
                    at_once,
                });
            }
            Bench {
                jobs,
                capacity: vec![1, 2 + self.roll(2) as i64],
            }
        }
    }

    /// One job more against all of them placed anew: the same starts, and as much work counted.
    #[test]
    fn appending_a_job_is_placing_all() {
        let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
        let (mut some, mut none, mut pushed) = (0, 0, 0);
        for _ in 0..3_000 {
            let bench = dice.bench();
            let search = Search::new(&bench, &|| false).expect("needs fit, and no circle");
            let all: i64 = bench.jobs.iter().map(Job::whole).sum();
            let (mut order, mut starts) = (Vec::new(), vec![0; bench.jobs.len()]);
            for _ in 0..2 * bench.jobs.len() {
                let open = search.open(&order);
                if open.is_empty() {
                    break;
                }
                order.push(open[dice.roll(open.len() as u64) as usize]);
                let most = if dice.roll(4) == 0 {
                    dice.roll(1 + all as u64) as i64
                } else {
                    all
                };
                let from = search.looked.get();
                let quick = search.fix(&order, &starts, most);
                let (quick_work, from) = (search.looked.get() - from, search.looked.get());
                let slow = if search.crowded(&order) {
                    None
                } else {
                    search.fix_all(&order, &starts, most)
                };
                assert_eq!(quick, slow, "{bench:?} {order:?}");
                assert_eq!(
                    quick_work,
                    search.looked.get() - from,
                    "{bench:?} {order:?}"
                );
                pushed += u64::from(matches!(
                    search.append(&order, &starts, most),
                    Appended::Pushes
                ));
                if let Some(fixed) = quick {
                    some += 1;
                    starts = fixed;
                } else {
                    none += 1;
                    order.pop();
                }
            }
        }
        assert!(
            some > 5_000 && none > 500 && pushed > 200,
            "{some} {none} {pushed}"
        );
    }
}
