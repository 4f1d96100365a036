//! Seeded pools of recipes, written as kitchens and timed.
//!
//! ```text
//! cargo bench --bench pools -- time full 150 80 5 1      time a pool: family, recipes, foods, days, seed
//! cargo bench --bench pools -- write full 150 80 5 1 DIR write it as a kitchen that `scant week DIR` runs on
//! cargo bench --bench pools                              time the usual table
//! ```
//!
//! Every timed pool is solved with 1, 2 and 8 threads; the bench fails if the plans differ
//! by a byte. Names, packs, prices and quantities are made up by the generator; nutrients
//! are rows of the food table.
#![allow(clippy::print_stdout, reason = "a bench reports on stdout")]
#![allow(missing_docs, unreachable_pub, reason = "a bench has no public items")]
#![allow(
    clippy::format_push_string,
    reason = "a line of a table is put together piece by piece"
)]

#[path = "support/pool.rs"]
mod pool;

use pool::{Family, Pool};
use scant::engine::{Limits, Outcome, solve};
use std::path::Path;
use std::time::Instant;

fn main() {
    let args: Vec<String> = std::env::args()
        .skip(1)
        .filter(|arg| arg != "--bench")
        .collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args.as_slice() {
        ["write", rest @ .., dir] if rest.len() == 5 => {
            let pool = parse(rest);
            std::fs::create_dir_all(dir).expect("a folder to write to");
            for (name, text) in pool.texts() {
                std::fs::write(Path::new(dir).join(name), text).expect("a file to write");
            }
        }
        ["time", rest @ ..] if rest.len() == 5 => time(&parse(rest)),
        [] => {
            for (family, recipes, foods, days) in [
                (Family::Plain, 50, 80, 5),
                (Family::Plain, 150, 80, 5),
                (Family::Plain, 300, 120, 5),
                (Family::Plain, 1000, 80, 5),
                (Family::Full, 50, 80, 5),
                (Family::Full, 150, 80, 5),
                (Family::Full, 300, 120, 5),
                (Family::Tight, 150, 80, 5),
                (Family::Impossible, 150, 80, 5),
                (Family::Flat, 150, 80, 5),
                (Family::Full, 150, 80, 7),
            ] {
                time(&Pool {
                    family,
                    recipes,
                    foods,
                    days,
                    seed: 1,
                });
            }
        }
        _ => panic!("see the head of benches/pools.rs for the arguments"),
    }
}

fn parse(args: &[&str]) -> Pool {
    let number = |at: usize| args[at].parse().expect("a whole number");
    Pool {
        family: Family::from_name(args[0]).expect("plain, full, tight, impossible or flat"),
        recipes: number(1),
        foods: number(2),
        days: number(3),
        seed: number(4) as u64,
    }
}

fn time(pool: &Pool) {
    let texts: Vec<(String, Vec<u8>)> = pool
        .texts()
        .into_iter()
        .map(|(name, text)| (name, text.into_bytes()))
        .collect();
    let start = Instant::now();
    let read = scant::kitchen::read_texts(texts);
    let loading = start.elapsed();
    let Some(larder) = read.larder else {
        for fault in read.faults.iter().take(5) {
            println!("{fault:?}");
        }
        panic!("the pool is not a valid kitchen");
    };
    let mut seen: Option<String> = None;
    let threads: Vec<usize> = match std::env::var("THREADS") {
        Ok(list) => list
            .split(',')
            .map(|n| n.parse().expect("threads"))
            .collect(),
        Err(_) => vec![2, 1, 8],
    };
    let mut line = format!(
        "{:<10} {:>6} recipes {:>4} foods {:>2} days: read {:>8.3} s",
        pool.family.name(),
        pool.recipes,
        pool.foods,
        pool.days,
        loading.as_secs_f64()
    );
    for threads in threads {
        let start = Instant::now();
        let limits = Limits {
            threads,
            stop: &|| false,
            progress: None,
        };
        let (outcome, effort) = solve(&larder, &limits).expect("no fault of the engine");
        let solving = start.elapsed();
        line += &format!(", {threads} threads {:.4} s", solving.as_secs_f64());
        let text = match &outcome {
            Outcome::Best(solved) => format!("{:?} {:?}", solved.plan, solved.tally),
            Outcome::Impossible => "impossible".to_owned(),
            other => panic!("stopped without being told to: {other:?}"),
        };
        if seen.is_none() {
            let objective = match &outcome {
                Outcome::Best(solved) => solved.tally.objective_nano.to_string(),
                _ => "impossible".to_owned(),
            };
            line += &format!(
                " ({objective}, nodes {}, leaves {})",
                effort.nodes, effort.leaves
            );
        }
        let before = seen.get_or_insert_with(|| text.clone());
        assert_eq!(*before, text, "the plan depends on the number of threads");
    }
    println!("{line}");
}
