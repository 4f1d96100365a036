//! Threads to search on.

use crate::engine::answer::{EngineFault, Limits};
use std::thread;
use std::time::Duration;

/// Milliseconds, doubled each time, that are waited for threads before giving up: a second in all.
const PAUSES: [u64; 10] = [1, 2, 4, 8, 16, 32, 64, 128, 256, 512];

/// Starts the threads. Those of searches before may still be ending, and are counted until they
/// have: where so many cannot be had at first, that is waited for.
pub(in crate::engine) fn threads(limits: &Limits) -> Result<rayon::ThreadPool, EngineFault> {
    let build = || {
        rayon::ThreadPoolBuilder::new()
            .num_threads(limits.threads)
            .build()
    };
    for pause in PAUSES {
        if let Ok(threads) = build() {
            return Ok(threads);
        }
        thread::sleep(Duration::from_millis(pause));
    }
    build().map_err(|error| EngineFault::Threads(error.to_string()))
}
