//! What requests and the search share, and how a request waits.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::Notify;

use crate::larder::Larder;
use crate::live::guard::Guard;
use crate::live::session::{Command, Session};
use crate::live::view::Part;
use crate::live::{Host, view};

/// How often the kitchen's files are looked at, at most.
const LOOK: Duration = Duration::from_secs(1);

/// What is worked out ahead takes all of the machine. For so long after an answer it is the browser's, to
/// show it.
const REST: Duration = Duration::from_millis(60);

/// The parts of the screen as they were given out last.
#[derive(Default)]
pub(super) struct Screen {
    pub(super) version: u64,
    /// Each part and the version it changed at.
    pub(super) parts: Vec<(Part, u64)>,
}

/// The same, in each hand.
pub(super) type Shares = Arc<Shared>;

/// What requests and the search share.
pub(super) struct Shared {
    pub(super) host: Box<dyn Host>,
    pub(super) guard: Mutex<Guard>,
    pub(super) session: Mutex<Session>,
    pub(super) screen: Mutex<Screen>,
    /// Something is to be searched.
    pub(super) wake: Condvar,
    /// Something was found.
    pub(super) bell: Notify,
    /// The present question, and the one that is to be stopped.
    pub(super) newest: AtomicU64,
    pub(super) stop: AtomicU64,
    /// What is worked out beside gives way to what was asked for.
    pub(super) give_way: AtomicBool,
    /// When an answer was given last.
    pub(super) answer: Mutex<Duration>,
    /// What the files were when they were read, and when they were looked at.
    pub(super) stamp: Mutex<(u64, Duration)>,
}

pub(super) fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Shared {
    /// Begins with question 1, nothing answered.
    pub(super) fn new(host: Box<dyn Host>, (plain, stamp): (Larder, u64), guard: Guard) -> Self {
        Self {
            guard: Mutex::new(guard),
            session: Mutex::new(Session::new(plain)),
            screen: Mutex::default(),
            wake: Condvar::new(),
            bell: Notify::new(),
            newest: AtomicU64::new(1),
            stop: AtomicU64::new(0),
            give_way: AtomicBool::new(false),
            answer: Mutex::new(host.now()),
            stamp: Mutex::new((stamp, host.now())),
            host,
        }
    }

    /// Renders what there is, and notes what differs from what was given out before.
    pub(super) fn look(&self) -> MutexGuard<'_, Screen> {
        self.look_at_files();
        let parts = view::parts(&locked(&self.session), self.host.folder().as_deref());
        let mut screen = locked(&self.screen);
        let next = screen.version + 1;
        let mut changed = screen.parts.is_empty();
        let known = std::mem::take(&mut screen.parts).into_iter();
        let known: HashMap<String, (Part, u64)> =
            known.map(|old| (old.0.id.clone(), old)).collect();
        for part in parts {
            let old = known.get(&part.id).filter(|old| part.is_as(&old.0));
            let since = old.map_or(next, |old| old.1);
            changed |= since == next;
            screen.parts.push((part, since));
        }
        if changed {
            screen.version = next;
        }
        screen
    }

    /// Notes that an answer is given now.
    pub(super) fn told(&self) {
        *locked(&self.answer) = self.host.now();
    }

    /// How long it still is until something may be worked out ahead.
    pub(super) fn rest(&self) -> Duration {
        let since = self.host.now().saturating_sub(*locked(&self.answer));
        REST.saturating_sub(since)
    }

    /// Says so where the kitchen's files are not what they were.
    fn look_at_files(&self) {
        let now = self.host.now();
        let mut stamp = locked(&self.stamp);
        if now.saturating_sub(stamp.1) < LOOK {
            return;
        }
        stamp.1 = now;
        if self.host.stamp() != stamp.0 {
            let why = "the kitchen's files changed: what is shown is of the files before";
            locked(&self.session).stale = Some(why.to_owned());
        }
    }

    /// Obeys a command and sees to it that it is searched.
    pub(super) fn obey(&self, command: Command) -> u64 {
        let stop = matches!(command, Command::Stop);
        let others = matches!(command, Command::Others(_));
        let mut session = locked(&self.session);
        session.obey(command);
        let number = session.number();
        if session.answered() {
            self.told();
        }
        self.newest.store(number, Ordering::Release);
        if stop {
            self.stop.store(number, Ordering::Release);
        }
        if others {
            self.give_way.store(true, Ordering::Release);
        }
        drop(session);
        self.wake.notify_all();
        number
    }

    /// Waits until a question is answered or old, but no longer than that.
    pub(super) async fn answered(&self, number: u64, patience: Duration) {
        self.until(patience, || {
            let session = locked(&self.session);
            session.number() != number || session.answered()
        })
        .await;
    }

    pub(super) async fn until(&self, patience: Duration, done: impl Fn() -> bool) {
        let wait = async {
            loop {
                let mut rung = std::pin::pin!(self.bell.notified());
                // What rings from here on is heard, whenever it is waited for.
                rung.as_mut().enable();
                if done() {
                    return;
                }
                rung.await;
            }
        };
        // Time being up is no fault.
        let _ = tokio::time::timeout(patience, wait).await;
    }
}
