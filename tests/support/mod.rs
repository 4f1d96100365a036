//! What several test files share: random kitchens and the brute force that answers them.
#![allow(dead_code, unreachable_pub, missing_docs)]
#![allow(
    clippy::type_complexity,
    clippy::struct_excessive_bools,
    clippy::needless_pass_by_value,
    reason = "a plain oracle, written to be read"
)]

pub mod brute;
pub mod pantry;
pub mod random;
pub mod sums;
pub mod write_out;

use scant::larder::{Aim, Larder};
use scant::rules::Tally;

/// Reads a random kitchen the way any kitchen is read.
pub fn read(sketch: &random::Sketch) -> Larder {
    let read = scant::kitchen::read_texts(sketch.texts());
    read.larder.unwrap_or_else(|| {
        panic!(
            "seed {} does not read: {:?}\n{}",
            sketch.seed,
            read.faults,
            sketch.print()
        )
    })
}

/// The judge's sums in the order in which weeks are compared (section 5 of the model).
pub fn key(larder: &Larder, tally: &Tally) -> sums::Key {
    let mut key = [0; 8];
    for (place, aim) in larder.wishes.order.iter().enumerate() {
        key[place] = match aim {
            Aim::Foods => tally.foods,
            Aim::Cost => tally.cost_nano(),
            Aim::Spoiled => tally.spoiled_nano,
            Aim::Minutes => tally.minutes_nano,
        };
    }
    key[4] = tally.objective_nano;
    key[5] = tally.foods;
    key[6] = tally.cost_nano();
    key[7] = tally.spoiled_nano;
    key
}

/// Does `work` on every item with plain threads and gathers what it returns. (Threads of a
/// pool that wait for a search would take up further items meanwhile, stack upon stack.)
pub fn side_by_side<I: Sync, T: Send>(
    items: &[I],
    work: impl Fn(&I) -> Option<T> + Sync,
) -> Vec<T> {
    let next = std::sync::atomic::AtomicUsize::new(0);
    let found = std::sync::Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                    let Some(item) = items.get(at) else { break };
                    if let Some(made) = work(item) {
                        found.lock().expect("no panic inside").push(made);
                    }
                }
            });
        }
    });
    found.into_inner().expect("no panic inside")
}
