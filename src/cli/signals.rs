//! Signals: the first asks for the best so far, a second ends the program at once; and what
//! does not end by itself in good time is ended.
//!
//! Two signals a tenth of a second apart are one: `timeout` sends its own to the program and
//! again to the group that the program is in. A signal that was ignored when the program began
//! (`nohup`) stays ignored.

use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use super::{Exit, console, parts};

/// Signals no further apart are one.
const TOGETHER: Duration = Duration::from_millis(100);
/// How long what was asked to stop may take to bring what it has, in so many pauses: counted,
/// since time also passes while the program is suspended.
const PAUSES: u32 = 100;
const PAUSE: Duration = Duration::from_millis(100);

static INTERRUPTED: AtomicBool = AtomicBool::new(false);
static HEARD: AtomicBool = AtomicBool::new(false);
static PRINTING: AtomicBool = AtomicBool::new(false);

/// Returns whether somebody asked to stop.
pub(super) fn interrupted() -> bool {
    INTERRUPTED.load(Ordering::Relaxed)
}

/// Says that [`interrupted`] is asked from now on, so that a first signal only asks. Until then
/// there is nothing so far, and a first signal is as good as a second.
pub(super) fn heed() {
    HEARD.store(true, Ordering::Relaxed);
}

/// Does `print`; however slow its reader, no limit ends the program meanwhile.
pub(super) fn printing<T>(print: impl FnOnce() -> T) -> T {
    PRINTING.store(true, Ordering::Relaxed);
    let result = print();
    PRINTING.store(false, Ordering::Relaxed);
    result
}

/// Ends the program some time after `deadline` if it is still at work then.
pub(super) fn end_after(deadline: Instant) {
    let wait = move || {
        let left = || deadline.saturating_duration_since(Instant::now());
        while !left().is_zero() {
            thread::sleep(left());
        }
        linger(|| PRINTING.load(Ordering::Relaxed));
        end_unproved("--limit");
    };
    // Without a thread to spare the command is left to end by itself.
    let _ = thread::Builder::new().spawn(wait);
}

/// Waits as long as what was asked to stop may take, and on as long as it must not be ended.
fn linger(must_not: impl Fn() -> bool) {
    for _ in 0..PAUSES {
        thread::sleep(PAUSE);
    }
    while must_not() {
        thread::sleep(PAUSE);
    }
}

fn end_unproved(after: &'static str) {
    // Where standard error takes nothing, that is not waited for.
    let talk = move || {
        console::talk(&format!(
            "ended: no answer {} s after {after}, and what there was so far is lost",
            (PAUSE * PAUSES).as_secs()
        ));
    };
    if thread::Builder::new().spawn(talk).is_ok() {
        thread::sleep(PAUSE);
    }
    parts::clear();
    leave(Exit::Unproved);
}

#[expect(
    clippy::exit,
    reason = "whatever the program is doing, it does not return to `main`"
)]
fn leave(exit: Exit) -> ! {
    std::process::exit(exit.code().into())
}

/// What a signal means.
#[derive(Debug, PartialEq, Eq)]
enum Meaning {
    /// Whoever asks is told to stop.
    Ask,
    /// It is the one before once more.
    Same,
    /// The program ends.
    End,
}

/// What a signal at `now` means, `first` being when the first one came that was heeded.
fn meaning(first: &mut Option<Instant>, heeded: bool, now: Instant) -> Meaning {
    match *first {
        None if heeded => {
            *first = Some(now);
            Meaning::Ask
        }
        Some(first) if now.saturating_duration_since(first) < TOGETHER => Meaning::Same,
        _ => Meaning::End,
    }
}

/// Obeys a signal that came now; `end` ends the program by it.
fn obey(first: &mut Option<Instant>, end: impl Fn()) {
    match meaning(first, HEARD.load(Ordering::Relaxed), Instant::now()) {
        Meaning::Ask => {
            INTERRUPTED.store(true, Ordering::Relaxed);
            let wait = || {
                linger(|| false);
                end_unproved("the signal");
            };
            let _ = thread::Builder::new().spawn(wait);
        }
        Meaning::Same => {}
        Meaning::End => {
            parts::clear();
            end();
        }
    }
}

/// Begins to listen. Where no thread can be had for it, signals do what they do by themselves.
#[cfg(unix)]
pub(super) fn listen() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;
    use std::sync::{Arc, mpsc};

    // A file that grows too large is told by the write that made it so.
    let _ = signal_hook::flag::register(SIGXFSZ, Arc::default());
    let (listening, ready) = mpsc::channel::<()>();
    let listen = move || {
        let ignored = ignored();
        let wanted = [SIGINT, SIGTERM, SIGHUP];
        let wanted = wanted
            .into_iter()
            .filter(|signal| !ignored.contains(signal));
        let Ok(mut signals) = Signals::new(wanted) else {
            return;
        };
        drop(listening);
        let mut first = None;
        for signal in signals.forever() {
            obey(&mut first, || {
                let _ = emulate_default_handler(signal);
            });
        }
    };
    if thread::Builder::new().spawn(listen).is_ok() {
        // An error is the other end dropped: it listens.
        let _ = ready.recv();
    }
}

/// Signals that are ignored, where the system tells.
#[cfg(unix)]
fn ignored() -> Vec<i32> {
    let Ok(status) = std::fs::read_to_string("/proc/self/status") else {
        return Vec::new();
    };
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    (1..=64)
        .filter(|signal| mask.unwrap_or(0) >> (signal - 1) & 1 == 1)
        .collect()
}

/// Begins to listen.
#[cfg(not(unix))]
pub(super) fn listen() {
    let mut first = None;
    // Refused where one listens already.
    let _ = ctrlc::set_handler(move || obey(&mut first, || leave(Exit::Unproved)));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By itself a first signal ends; where it is heeded it asks, one close behind it is the
    /// same, and a later one ends.
    #[test]
    fn a_second_signal_ends_and_an_echo_does_not() {
        let mut first = None;
        let now = Instant::now();
        assert_eq!(meaning(&mut first, false, now), Meaning::End);
        assert_eq!(meaning(&mut first, true, now), Meaning::Ask);
        assert_eq!(meaning(&mut first, true, now + TOGETHER / 2), Meaning::Same);
        assert_eq!(meaning(&mut first, true, now + TOGETHER), Meaning::End);
    }
}
