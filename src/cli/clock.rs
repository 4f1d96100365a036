//! Time and interruption: the only place that reads the clock.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use super::console;
use crate::engine::{Effort, Outcome, Solved, solve};
use crate::engine::{EngineFault, Limits, Progress};
use crate::explain::{Conflict, Telling};
use crate::larder::{Aim, Larder, NANO};
use crate::tradeoffs::{self, Ask, Section, Tradeoffs};

/// How long a run stays silent.
const PATIENCE: Duration = Duration::from_millis(500);
/// How often the line is renewed.
const RENEW: Duration = Duration::from_millis(200);

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Lets Ctrl-C (and a polite request to end) stop the search instead of the program.
pub(super) fn watch() {
    // A second handler is refused; the first one sets the same flag.
    let _ = ctrlc::set_handler(|| INTERRUPTED.store(true, Ordering::Relaxed));
}

/// Returns whether somebody asked to stop.
pub(super) fn interrupted() -> bool {
    INTERRUPTED.load(Ordering::Relaxed)
}

/// Searches, for at most `limit`, telling a terminal how far it is. Returns also how long
/// it took.
pub(super) fn search(
    larder: &Larder,
    threads: usize,
    limit: Option<Duration>,
) -> (Result<(Outcome, Effort), EngineFault>, Duration) {
    let start = Instant::now();
    let stop = || interrupted() || limit.is_some_and(|limit| start.elapsed() >= limit);
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
    let result = solve(
        larder,
        &Limits {
            threads,
            stop: &stop,
            progress: console::is_terminal().then_some(listener),
        },
    );
    if told.into_inner().is_ok_and(|last| last.is_some()) {
        console::line("");
    }
    (result, start.elapsed())
}

/// Looks for rules that cannot hold together, for at most `limit`.
pub(super) fn conflict(
    larder: &Larder,
    plain: &Larder,
    threads: usize,
    limit: Option<Duration>,
) -> Result<Option<Conflict>, EngineFault> {
    let start = Instant::now();
    let told = AtomicBool::new(false);
    let stop = || {
        let took = start.elapsed();
        if took >= PATIENCE && console::is_terminal() && !told.swap(true, Ordering::Relaxed) {
            console::line("no week: looking for rules that clash and for ways out (Ctrl-C stops)");
        }
        interrupted() || limit.is_some_and(|limit| took >= limit)
    };
    let found = tradeoffs::conflict(larder, plain, threads, &stop);
    if told.into_inner() {
        console::line("");
    }
    found
}

/// Work that each of the changes told at the end of a week may take, and the most that the
/// week itself may have taken for them to be asked: about a second on a slow machine.
const TELLING_WORK: u64 = 8_000_000;

/// Works out the changes told at the end of a week, until `limit` after the start.
pub(super) fn telling(
    larder: &Larder,
    week: &Solved,
    effort: Effort,
    threads: usize,
    limit: Option<Duration>,
) -> Result<Vec<Telling>, EngineFault> {
    if effort.work > TELLING_WORK {
        return Ok(Vec::new());
    }
    let start = Instant::now();
    let stop = || interrupted() || limit.is_some_and(|limit| start.elapsed() >= limit);
    tradeoffs::telling(larder, week, threads, TELLING_WORK, &stop)
}

/// What is asked of trade-offs.
pub(super) struct Wanted<'a> {
    pub(super) sections: &'a [Section],
    pub(super) others: usize,
    pub(super) margin_minor: Option<i64>,
    pub(super) threads: usize,
    pub(super) limit: Option<Duration>,
}

/// Works out trade-offs, for at most the limit, telling a terminal how far it is.
pub(super) fn tradeoffs(
    larder: &Larder,
    plain: &Larder,
    wanted: &Wanted,
) -> Result<Tradeoffs, EngineFault> {
    let start = Instant::now();
    let late = || wanted.limit.is_some_and(|limit| start.elapsed() >= limit);
    let stop = || interrupted() || late();
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
            threads: wanted.threads,
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
