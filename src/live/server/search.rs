//! The one thread that searches: the week first, then what is worked out beside it.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::PoisonError;
use std::sync::atomic::Ordering;

use super::shared::{Shared, locked};
use crate::engine::{EngineFault, Limits, NearWeeks, Progress};
use crate::larder::{Contents, MILLI};
use crate::live::found::{self, Lunches};
use crate::live::session::{Idle, MOST_EATERS, Task, What};
use crate::tradeoffs::{self, Ask, Section};

/// Work that one of the other recipes of a day may take.
const OTHER_WORK: u64 = 8_000_000;
/// Work that listing the weeks near the best one may take.
const LIST_WORK: u64 = 100_000_000;
/// Searches whatever is to be searched, for ever.
pub(super) fn work(shared: &Shared) {
    loop {
        let task = {
            let mut session = locked(&shared.session);
            loop {
                let Some(task) = session.task() else {
                    session = shared
                        .wake
                        .wait(session)
                        .unwrap_or_else(PoisonError::into_inner);
                    continue;
                };
                let rest = shared.rest();
                if task.what.was_asked() || rest.is_zero() {
                    break task;
                }
                session = shared
                    .wake
                    .wait_timeout(session, rest)
                    .unwrap_or_else(PoisonError::into_inner)
                    .0;
            }
        };
        let number = task.number;
        let done = catch_unwind(AssertUnwindSafe(|| run(shared, &task)));
        let fault = match done {
            Ok(Ok(())) => None,
            Ok(Err(fault)) => Some(fault.to_string()),
            Err(_) => Some("the search ended at once; see the terminal".to_owned()),
        };
        if let Some(fault) = fault {
            let mut session = locked(&shared.session);
            session.fail(number, fault);
        }
        if task.what.was_asked() {
            shared.told();
        }
        shared.bell.notify_waiters();
    }
}

fn run(shared: &Shared, task: &Task) -> Result<(), EngineFault> {
    let Task {
        number,
        readings,
        what,
        larder,
    } = task;
    let number = *number;
    let threads = shared.host.threads();
    let end = shared.host.now().saturating_add(shared.host.limit());
    let old = || shared.newest.load(Ordering::Acquire) != number || shared.host.now() >= end;
    let put = |put: &mut dyn FnMut(&mut Idle)| {
        locked(&shared.session).beside(number, |idle| put(idle));
    };
    if !matches!(what, What::Week(_) | What::Others(..)) {
        shared.give_way.store(false, Ordering::Release);
        // It may have been asked for in between.
        let asked = locked(&shared.session).task();
        if matches!(
            asked,
            Some(Task {
                what: What::Others(..),
                ..
            })
        ) {
            return Ok(());
        }
    }
    let beside = || old() || shared.give_way.load(Ordering::Acquire);
    match what {
        What::Week(near) => {
            let stop = || old() || shared.stop.load(Ordering::Acquire) == number;
            let progress = |progress: &Progress| {
                let mut session = locked(&shared.session);
                session.progress(number, progress.best_nano, progress.bound_nano);
            };
            let found = found::find(larder, near.as_deref(), threads, &stop, &progress)?;
            locked(&shared.session).settle(number, Ok(found));
        }
        What::List(below) => {
            let limits = Limits {
                threads,
                stop: &beside,
                progress: None,
            };
            let near = NearWeeks::list(larder, *below, LIST_WORK, &limits)?;
            if !shared.give_way.load(Ordering::Acquire) {
                locked(&shared.session).listed(number, near);
            }
        }
        What::Ahead(portions, changed) => {
            let found = found::find(changed, None, threads, &beside, &|_| {})?;
            if !shared.give_way.load(Ordering::Acquire) {
                locked(&shared.session).ahead(number, *portions, &found);
            }
        }
        What::Others(day, last) => {
            let still = || {
                let session = locked(&shared.session);
                session
                    .idle
                    .others
                    .as_ref()
                    .is_some_and(|others| others.day == *day)
            };
            if let Some(week) = &last.solved {
                let mut tell = |name: String, case: tradeoffs::Case| {
                    put(&mut |idle| {
                        if let Some(others) =
                            idle.others.as_mut().filter(|others| others.day == *day)
                        {
                            others.cases.push((name.clone(), case.clone()));
                        }
                    });
                };
                let stop = || old() || !still();
                let most = (threads, OTHER_WORK);
                tradeoffs::instead(&last.larder, week, *day, most, &stop, &mut tell)?;
            }
            put(&mut |idle| {
                if let Some(others) = idle.others.as_mut().filter(|others| others.day == *day) {
                    others.done = true;
                }
            });
        }
        What::Edges(dial, begun, asked) => {
            let Some(limit) = dial.limit() else {
                return Ok(());
            };
            let walk = tradeoffs::walk(larder, limit, threads, begun.clone(), &beside)?;
            let mut session = locked(&shared.session);
            session.walked(*readings, (*dial, asked), walk.clone());
            if walk.done || !shared.give_way.load(Ordering::Acquire) {
                session.beside(number, |idle| {
                    idle.edges.insert(*dial, walk.edges);
                });
            }
        }
        What::Eaters(known) => {
            let mut all = Vec::new();
            for portions in 1..=MOST_EATERS {
                if let Some(found) = known.get(&portions) {
                    all.push((portions, found::names(found)));
                    continue;
                }
                let fill = |new: &mut Contents| {
                    new.week.eaters_milli.fill(portions * MILLI);
                };
                let Ok(changed) = larder.changed(fill) else {
                    break;
                };
                match found::lunches(&changed, threads, &beside)? {
                    Lunches::Best(lunches) => all.push((portions, Some(lunches))),
                    Lunches::None => all.push((portions, None)),
                    Lunches::Open => break,
                }
            }
            if !shared.give_way.load(Ordering::Acquire) {
                put(&mut |idle| idle.eaters = Some(all.clone()));
            }
        }
        What::Costs => {
            let plain = locked(&shared.session).plain().clone();
            let ask = Ask {
                sections: &[Section::Foods],
                others: 0,
                margin_minor: None,
                threads,
                stop: &beside,
                progress: None,
            };
            let told = tradeoffs::tradeoffs(larder, &plain, &ask)?;
            if !shared.give_way.load(Ordering::Acquire) {
                let rows = told.foods.unwrap_or_default().into_iter();
                let costs: BTreeMap<String, tradeoffs::Case> =
                    rows.map(|row| (row.food, row.without)).collect();
                put(&mut |idle| idle.costs = Some(costs.clone()));
            }
        }
        What::Frees(all) => {
            let mut free = Vec::new();
            for (name, changed) in all {
                if let Lunches::Best(_) = found::lunches(changed, threads, &old)? {
                    free.push(name.clone());
                }
            }
            put(&mut |idle| idle.frees = Some(free.clone()));
        }
        What::Clash => {
            let plain = locked(&shared.session).plain().clone();
            let clash = tradeoffs::conflict(larder, &plain, threads, &old)?;
            put(&mut |idle| {
                idle.clash.clone_from(&clash);
                idle.clash_sought = true;
            });
        }
    }
    Ok(())
}
