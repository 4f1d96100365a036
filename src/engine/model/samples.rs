//! What the engine's own tests begin with.

use crate::engine::answer::Limits;
use crate::larder::Larder;
use std::path::Path;

/// A plain sequence of numbers, different for each seed.
pub(in crate::engine) fn numbers(mut seed: u64) -> impl FnMut(usize) -> usize {
    move |below| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (seed >> 33) as usize % below
    }
}

/// A kitchen of `fixtures`.
pub(in crate::engine) fn kitchen(name: &str) -> Larder {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let read = crate::kitchen::read_dir(&fixtures.join(name));
    read.larder.expect("a stored kitchen has no fault")
}

/// One thread, to the end.
pub(in crate::engine) fn alone() -> Limits<'static> {
    Limits {
        threads: 1,
        stop: &|| false,
        progress: None,
    }
}
