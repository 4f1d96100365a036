//! How long the demo week takes: reading the kitchen apart from solving it.
//!
//! Save a baseline first (`cargo bench -- --save-baseline before`), then compare
//! (`cargo bench -- --baseline before`). The answer is checked once, outside the timed loop.

use std::hint::black_box;
use std::path::Path;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use scant::engine::{Limits, Outcome, solve};
use scant::kitchen::read_dir;

fn demo() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/boatyard"))
}

fn read(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("read");
    group.bench_function("boatyard", |bencher| {
        bencher.iter(|| read_dir(black_box(demo())));
    });
    group.finish();
}

fn search(criterion: &mut Criterion) {
    let larder = read_dir(demo())
        .larder
        .expect("the demo kitchen has no fault");
    let limits = Limits {
        threads: 0,
        stop: &|| false,
        progress: None,
    };
    let (outcome, _) = solve(&larder, &limits).expect("no fault of ours");
    assert!(
        matches!(outcome, Outcome::Best(_)),
        "the demo week is proved"
    );
    let mut group = criterion.benchmark_group("solve");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(30));
    group.bench_function("boatyard", |bencher| {
        bencher.iter(|| solve(black_box(&larder), &limits));
    });
    group.finish();
}

criterion_group!(benches, read, search);
criterion_main!(benches);
