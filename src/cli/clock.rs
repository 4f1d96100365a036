//! What a command may use, its time and its threads; with `signals`, the only place that reads
//! the clock.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use chrono::{Days, NaiveDate};

use super::ask_args::AskArgs;
use super::{Exit, console, signals};
use crate::engine::{Effort, Outcome, Solved, solve_given};
use crate::engine::{EngineFault, Given, Limits, Progress};
use crate::explain::{Conflict, Telling};
use crate::larder::{Aim, Larder, NANO};
use crate::program::solve::{Answer, Failure, solve as solve_program};
use crate::survey::{self, Survey};
use crate::tradeoffs::{self, Ask, Section, Tradeoffs};

/// How long a run stays silent.
const PATIENCE: Duration = Duration::from_millis(500);
/// How often the line is renewed.
const RENEW: Duration = Duration::from_millis(200);

/// What a command may use for all that it does: reading, each search, prep, trade-offs.
pub(super) struct Allowance {
    /// When it is to end; `None` for never.
    deadline: Option<Instant>,
    /// Threads to search with; 0 is all.
    threads: usize,
}

impl Allowance {
    /// Begins the time of a command that asks whether to stop, and finds out how many threads
    /// there are for it.
    ///
    /// # Errors
    /// The exit, after it was told that too few threads can be started.
    pub(super) fn begin(ask: &AskArgs) -> Result<Self, Exit> {
        Self::begin_within(ask.limit, ask.threads)
    }

    /// The same for a limit, if there is one, and a number of threads; 0 is all.
    pub(super) fn begin_within(limit: Option<Duration>, threads: usize) -> Result<Self, Exit> {
        signals::heed();
        // What is past all time is never.
        let deadline = limit.and_then(|limit| Instant::now().checked_add(limit));
        if let Some(deadline) = deadline {
            signals::end_after(deadline);
        }
        Ok(Self {
            deadline,
            threads: affordable(threads, start)?,
        })
    }

    /// The same, for no longer than `limit` from now.
    pub(super) fn within(&self, limit: Duration) -> Self {
        let soon = Instant::now().checked_add(limit);
        Self {
            deadline: self.deadline.into_iter().chain(soon).min(),
            ..*self
        }
    }

    /// Whether it is time to stop, with whatever there is.
    pub(super) fn stopped(&self) -> bool {
        signals::interrupted() || self.deadline.is_some_and(|end| Instant::now() >= end)
    }

    fn left(&self) -> Option<Duration> {
        let end = self.deadline?;
        Some(end.saturating_duration_since(Instant::now()))
    }
}

/// The time since a run began.
pub(super) struct Since(Instant);

impl Since {
    pub(super) fn begin() -> Self {
        Self(Instant::now())
    }

    pub(super) fn passed(&self) -> Duration {
        self.0.elapsed()
    }
}

/// Threads that one to search with may need at a time: trade-offs have a desk for each, the
/// frontier another, and every search threads of its own while those of the one before end.
const NEEDED: usize = 4;

/// How many of the `asked` threads (0: all) can be had, of which `start` starts so many as it
/// can; says so if that is fewer.
fn affordable(asked: usize, start: impl FnOnce(usize) -> usize) -> Result<usize, Exit> {
    let all = thread::available_parallelism().map_or(1, usize::from);
    let wanted = if asked == 0 { all } else { asked };
    let started = start(NEEDED * wanted);
    if started == NEEDED * wanted {
        return Ok(asked);
    }
    let fewer = started / NEEDED;
    if fewer == 0 {
        return Err(threadless());
    }
    console::talk(&format!(
        "note: of {wanted} threads {fewer} can be had, and so many are used; what is found is the \
         same. `ulimit -u` says how many this user may start"
    ));
    Ok(fewer)
}

/// Starts threads that do nothing, as many as can be had at a time; returns how many.
fn start(count: usize) -> usize {
    let (hold, held) = mpsc::channel::<()>();
    let held = std::sync::Arc::new(Mutex::new(held));
    let mut started = Vec::new();
    for _ in 0..count {
        let held = std::sync::Arc::clone(&held);
        let wait = move || {
            // Until the other end is dropped.
            let _ = held.lock().map(|held| held.recv());
        };
        match thread::Builder::new().spawn(wait) {
            Ok(thread) => started.push(thread),
            Err(_) => break,
        }
    }
    drop(hold);
    let count = started.len();
    for thread in started {
        let _ = thread.join();
    }
    count
}

/// Tells that too few threads can be had.
pub(super) fn threadless() -> Exit {
    console::talk(
        "fault: too few threads can be started to search with; end other programs, or raise the \
         number this user may start (`ulimit -u`)",
    );
    Exit::Fault
}

/// Returns today's date, at Greenwich.
pub(super) fn today() -> NaiveDate {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
    let days = since.map_or(0, |since| since.as_secs() / 86_400);
    NaiveDate::default()
        .checked_add_days(Days::new(days))
        .unwrap_or_default()
}

/// Returns the latest day it can be anywhere now: clocks run up to 14 hours ahead of Greenwich.
pub(super) fn latest_day() -> NaiveDate {
    let today = today();
    today.checked_add_days(Days::new(1)).unwrap_or(today)
}

/// Looks at the recipes of a kitchen.
pub(super) fn survey(larder: &Larder, allowance: &Allowance) -> Result<Survey, EngineFault> {
    let stop = || allowance.stopped();
    let limits = Limits {
        threads: allowance.threads,
        stop: &stop,
        progress: None,
    };
    survey::survey(larder, &limits)
}

/// Searches, for no more than `most_work` if that is said, telling a terminal how far it is.
/// Returns also how long it took.
pub(super) fn search(
    larder: &Larder,
    allowance: &Allowance,
    most_work: Option<u64>,
) -> (Result<(Outcome, Effort), EngineFault>, Duration) {
    let start = Instant::now();
    let stop = || allowance.stopped();
    let told: Mutex<Option<Instant>> = Mutex::new(None);
    let progress = |progress: &Progress| {
        let Ok(mut last) = told.try_lock() else {
            return;
        };
        let now = Instant::now();
        let due = last.map_or(now - start >= PATIENCE, |last| now - last >= RENEW);
        if due {
            *last = Some(now);
            console::line(&progress_line(progress, larder));
        }
    };
    let listener: &(dyn Fn(&Progress) + Sync) = &progress;
    let given = Given {
        most_work,
        ..Given::default()
    };
    let result = solve_given(
        larder,
        &given,
        &Limits {
            threads: allowance.threads,
            stop: &stop,
            progress: console::is_terminal().then_some(listener),
        },
    );
    if told.into_inner().is_ok_and(|last| last.is_some()) {
        console::line("");
    }
    (result, start.elapsed())
}

/// How long rules that clash are looked for if no limit is given.
const LOOKING: Duration = Duration::from_secs(2);

/// Looks for rules that cannot hold together and for ways out, for two seconds if the command
/// has no limit: what was settled by then is told.
pub(super) fn conflict(
    larder: &Larder,
    plain: &Larder,
    allowance: &Allowance,
) -> Result<Option<Conflict>, EngineFault> {
    let start = Instant::now();
    let told = AtomicBool::new(false);
    let allowance = match allowance.deadline {
        Some(_) => allowance,
        None => &allowance.within(LOOKING),
    };
    let stop = || {
        let took = start.elapsed();
        if took >= PATIENCE && console::is_terminal() && !told.swap(true, Ordering::Relaxed) {
            console::line("no week: looking for rules that clash and for ways out (Ctrl-C stops)");
        }
        allowance.stopped()
    };
    let found = tradeoffs::conflict(larder, plain, allowance.threads, &stop);
    if told.into_inner() {
        console::line("");
    }
    found
}

/// Seconds the general solver has for each aim if no limit is given, and the most it is told.
const PROGRAM_SECONDS: f64 = 60.0;
const MOST_SECONDS: f64 = 1e7;
/// How often it is asked whether to stop.
const ASK: Duration = Duration::from_millis(20);

/// Asks the general solver. It cannot be stopped: when time is up it is left alone, and ends
/// with the program. Returns also how long was waited.
///
/// # Errors
/// The exit, after it was told that too few threads can be started.
pub(super) fn by_program(
    larder: &Larder,
    allowance: &Allowance,
) -> Result<(Result<Answer, Failure>, Duration), Exit> {
    let start = Instant::now();
    let seconds = allowance.left().map(|left| left.as_secs_f64());
    let seconds = seconds.unwrap_or(PROGRAM_SECONDS).min(MOST_SECONDS);
    let (answered, answer) = mpsc::channel();
    let larder = larder.clone();
    let solver = thread::Builder::new().spawn(move || {
        // Nobody listens any more where time was up.
        let _ = answered.send(solve_program(&larder, seconds));
    });
    let Ok(solver) = solver else {
        return Err(threadless());
    };
    loop {
        let result = match answer.recv_timeout(ASK) {
            Ok(result) => result,
            Err(RecvTimeoutError::Timeout) if allowance.stopped() => Ok(Answer::OutOfTime),
            Err(RecvTimeoutError::Timeout) => continue,
            Err(RecvTimeoutError::Disconnected) => match solver.join() {
                Err(panic) => std::panic::resume_unwind(panic),
                Ok(()) => Ok(Answer::OutOfTime),
            },
        };
        return Ok((result, start.elapsed()));
    }
}

/// Work that each of the changes told at the end of a week may take, and the most that the
/// week itself may have taken for them to be asked: about a second on a slow machine.
pub(super) const TELLING_WORK: u64 = 8_000_000;

/// Works out the changes told at the end of a week.
pub(super) fn telling(
    larder: &Larder,
    week: &Solved,
    effort: Effort,
    allowance: &Allowance,
) -> Result<Vec<Telling>, EngineFault> {
    if effort.work > TELLING_WORK {
        return Ok(Vec::new());
    }
    let stop = || allowance.stopped();
    tradeoffs::telling(larder, week, allowance.threads, TELLING_WORK, &stop)
}

/// What is asked of trade-offs.
pub(super) struct Wanted<'a> {
    pub(super) sections: &'a [Section],
    pub(super) others: usize,
    pub(super) margin_minor: Option<i64>,
}

/// Works out trade-offs, telling a terminal how far it is.
pub(super) fn tradeoffs(
    larder: &Larder,
    plain: &Larder,
    wanted: &Wanted,
    allowance: &Allowance,
) -> Result<Tradeoffs, EngineFault> {
    let start = Instant::now();
    let stop = || allowance.stopped();
    let told = AtomicBool::new(false);
    let progress = |done: usize, of: usize| {
        told.store(true, Ordering::Relaxed);
        console::line(&bar(done, of));
    };
    let listener: &(dyn Fn(usize, usize) + Sync) = &progress;
    let result = tradeoffs::tradeoffs(
        larder,
        plain,
        &Ask {
            sections: wanted.sections,
            others: wanted.others,
            margin_minor: wanted.margin_minor,
            threads: allowance.threads,
            stop: &stop,
            progress: console::is_terminal().then_some(listener),
        },
    );
    if told.into_inner() {
        console::line("");
    }
    if let Ok(told) = &result {
        console::talk(&format!(
            "{} week{} solved in {:.2} s",
            told.solved,
            if told.solved == 1 { "" } else { "s" },
            start.elapsed().as_secs_f64()
        ));
    }
    result
}

/// Width of a progress bar.
const BAR: usize = 30;

/// How many of the questions known of are settled; later ones may turn up.
fn bar(done: usize, of: usize) -> String {
    let full = BAR * done / of.max(1);
    format!(
        "[{}{}] {done} of {of} weeks solved (Ctrl-C stops)",
        "=".repeat(full),
        " ".repeat(BAR - full.min(BAR))
    )
}

fn progress_line(progress: &Progress, larder: &Larder) -> String {
    let figure = |nano: i64| figure(progress.aim, nano, larder);
    let (best, bound) = (progress.best_nano, progress.bound_nano);
    let so_far = best.map_or("no week yet".to_owned(), |best| {
        format!("best so far {}", figure(best))
    });
    let below = bound.map_or(String::new(), |bound| {
        format!(", none below {}", figure(bound))
    });
    let gap = match (best, bound) {
        (Some(best), Some(bound)) => format!(", gap {}", figure(best - bound)),
        _ => String::new(),
    };
    format!(
        "searching{}: {so_far}{below}{gap}, {} partial weeks (Ctrl-C stops)",
        progress.aim.map_or("", aim_words),
        progress.nodes
    )
}

fn aim_words(aim: Aim) -> &'static str {
    match aim {
        Aim::Foods => " for the fewest foods",
        Aim::Cost => " for the lowest cost",
        Aim::Spoiled => " for the least spoiled",
        Aim::Minutes => " for the fewest minutes",
    }
}

/// A sum of the search in its own unit: foods and minutes are counted, the rest is money.
fn figure(aim: Option<Aim>, nano: i64, larder: &Larder) -> String {
    if let Some(Aim::Foods | Aim::Minutes) = aim {
        return format!("{:.0}", nano as f64 / NANO as f64);
    }
    let scale = 10_f64.powi(i32::from(larder.currency.digits)) * NANO as f64;
    format!("{:.2}", nano as f64 / scale)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fewer threads than asked for are used; where there is not one, that is refused. Each
    /// needs four places.
    #[test]
    fn threads_that_cannot_be_had_are_not_used() {
        let had = |asked, places: usize| affordable(asked, |count| count.min(places));
        assert_eq!(had(4, 100), Ok(4));
        assert_eq!(had(4, 16), Ok(4));
        assert_eq!(had(4, 15), Ok(3));
        assert_eq!(had(4, 7), Ok(1));
        assert_eq!(had(1, 4), Ok(1));
        assert_eq!(had(1, 3), Err(Exit::Fault));
        assert_eq!(had(0, usize::MAX), Ok(0));
        assert_eq!(start(3), 3);
    }
}
