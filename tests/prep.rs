//! Asks whether the prep plan is what it says it is.
//!
//! The truth: for one stint, every vector of starts tried minute by minute, every order of jobs
//! each started as early as it goes, and a general solver (HiGHS); for a week, every way of placing its steps, timed by
//! those; for the rules, a judge that is shown one thing broken at a time; for the demo, the
//! kitchen's files read by eye.

use scant::prep::bench::{Bench, Job, schedule, schedule_until};
use scant::prep::{Mistiming, mistimings};

#[path = "prep/demo.rs"]
mod demo;
#[path = "prep/judged.rs"]
mod judged;
#[path = "prep/kitchens.rs"]
mod kitchens;
#[path = "prep/outside.rs"]
mod outside;

/// Enough for any of these.
const NODES: u64 = 1_000_000;

/// A small generator of our own: the same numbers everywhere (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// A number from 0 to `below` - 1.
    fn roll(&mut self, below: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % below
    }
}

/// A random stint: chains of jobs, some equipment, some jobs bound to the end of another.
fn random(dice: &mut Dice, jobs: usize, longest: u64, bound: bool) -> Bench {
    let capacity: Vec<i64> = (0..2).map(|_| 1 + dice.roll(2) as i64).collect();
    let mut all: Vec<Job> = Vec::new();
    for at in 0..jobs {
        let mut needs: Vec<(usize, i64)> = Vec::new();
        for (kind, &there) in capacity.iter().enumerate() {
            if dice.roll(3) == 0 {
                needs.push((kind, 1 + dice.roll(there as u64) as i64));
            }
        }
        let after: Vec<usize> = (0..at).filter(|_| dice.roll(4) == 0).collect();
        let free = |other: &usize| !all.iter().any(|job: &Job| job.at_once == Some(*other));
        let at_once = (at > 0 && bound && dice.roll(3) == 0)
            .then(|| dice.roll(at as u64) as usize)
            .filter(free);
        all.push(Job {
            active: dice.roll(longest) as i64,
            passive: if dice.roll(2) == 0 {
                0
            } else {
                dice.roll(longest) as i64
            },
            needs,
            after: after.into_iter().filter(|b| Some(*b) != at_once).collect(),
            at_once,
        });
    }
    Bench {
        jobs: all,
        capacity,
    }
}

/// The least length over all starts from 0 to what one after the other would take.
fn every_start(bench: &Bench) -> Option<i64> {
    fn go(bench: &Bench, starts: &mut Vec<i64>, most: i64, best: &mut Option<i64>) {
        if starts.len() == bench.jobs.len() {
            // The judge's own length: whatever else is wrong forbids these starts.
            match mistimings(bench, starts, -1)[..] {
                [Mistiming::WrongLength(length)] if best.is_none_or(|best| length < best) => {
                    *best = Some(length);
                }
                _ => {}
            }
            return;
        }
        for start in 0..=most {
            starts.push(start);
            go(bench, starts, most, best);
            starts.pop();
        }
    }
    let most: i64 = bench.jobs.iter().map(|job| job.active + job.passive).sum();
    let mut best = None;
    go(bench, &mut Vec::new(), most, &mut best);
    best
}

/// The least length over all orders, each job as early as it goes behind those before it in the
/// order, gaps filled. Only without jobs that start at once after another.
fn every_order(bench: &Bench) -> i64 {
    fn whole(job: &Job) -> i64 {
        job.active + job.passive
    }
    fn fits(bench: &Bench, starts: &[Option<i64>], at: usize, start: i64) -> bool {
        let job = &bench.jobs[at];
        let placed = || {
            let all = bench.jobs.iter().zip(starts);
            all.filter_map(|(job, start)| start.map(|start| (job, start)))
        };
        let cook = placed().all(|(other, from)| {
            start >= from + other.active
                || start + job.active <= from
                || other.active == 0
                || job.active == 0
        });
        let minutes = start..start + whole(job);
        let room = minutes.into_iter().all(|minute| {
            job.needs.iter().all(|&(kind, count)| {
                let held: i64 = placed()
                    .filter(|(other, from)| *from <= minute && minute < from + whole(other))
                    .flat_map(|(other, _)| &other.needs)
                    .filter(|need| need.0 == kind)
                    .map(|need| need.1)
                    .sum();
                held + count <= bench.capacity[kind]
            })
        });
        cook && room
    }
    fn go(bench: &Bench, starts: &mut Vec<Option<i64>>, best: &mut i64) {
        if starts.iter().all(Option::is_some) {
            let ends = bench.jobs.iter().zip(starts.iter()).map(|(job, start)| {
                let watched = if job.needs.is_empty() {
                    job.active
                } else {
                    whole(job)
                };
                start.unwrap() + watched
            });
            *best = (*best).min(ends.max().unwrap_or(0));
            return;
        }
        for at in 0..bench.jobs.len() {
            let job = &bench.jobs[at];
            if starts[at].is_some() || job.after.iter().any(|&b| starts[b].is_none()) {
                continue;
            }
            let ready = job
                .after
                .iter()
                .map(|&b| starts[b].unwrap() + whole(&bench.jobs[b]));
            let mut start = ready.max().unwrap_or(0);
            while !fits(bench, starts, at, start) {
                start += 1;
            }
            starts[at] = Some(start);
            go(bench, starts, best);
            starts[at] = None;
        }
    }
    let mut best = i64::MAX;
    go(bench, &mut vec![None; bench.jobs.len()], &mut best);
    best
}

#[test]
fn no_vector_of_starts_is_shorter() {
    let mut possible = 0;
    for seed in 0..600 {
        let mut dice = Dice::new(seed);
        let jobs = 2 + dice.roll(3) as usize;
        let bench = random(&mut dice, jobs, 5, true);
        let timed = schedule(&bench, NODES);
        let truth = every_start(&bench);
        let found = timed.as_ref().map(|timed| timed.length);
        assert_eq!(found, truth, "seed {seed}: {bench:?}");
        if let Some(timed) = timed {
            possible += 1;
            assert_eq!(timed.bound, timed.length, "seed {seed}: not proved");
            let wrong = mistimings(&bench, &timed.starts, timed.length);
            assert!(wrong.is_empty(), "seed {seed}: {wrong:?}");
        }
    }
    assert!(possible > 400, "only {possible} can be done at all");
}

#[test]
fn no_order_of_jobs_is_shorter() {
    for seed in 1_000..1_600 {
        let mut dice = Dice::new(seed);
        let jobs = 4 + dice.roll(4) as usize;
        let bench = random(&mut dice, jobs, 9, false);
        let timed = schedule(&bench, NODES).expect("no circle, no need above what there is");
        assert_eq!(timed.length, every_order(&bench), "seed {seed}: {bench:?}");
        assert_eq!(timed.bound, timed.length, "seed {seed}: not proved");
        let wrong = mistimings(&bench, &timed.starts, timed.length);
        assert!(wrong.is_empty(), "seed {seed}: {wrong:?}");
    }
}

#[test]
fn a_search_that_is_cut_short_says_so_and_never_claims_too_much() {
    let mut unproved = 0;
    for seed in 2_000..2_200 {
        let mut dice = Dice::new(seed);
        let bench = random(&mut dice, 7, 9, false);
        let truth = schedule(&bench, NODES).unwrap().length;
        let timed = schedule(&bench, 3).unwrap();
        assert!(timed.bound <= truth && truth <= timed.length, "seed {seed}");
        assert!(mistimings(&bench, &timed.starts, timed.length).is_empty());
        unproved += i32::from(timed.bound < timed.length);
    }
    assert!(
        unproved > 5,
        "only {unproved} were cut short: the test asks nothing"
    );
}

/// Asked to stop, it ends with a timetable that holds and claims nothing; nor is it asked only
/// once in a long while.
#[test]
fn a_search_asked_to_stop_ends_with_a_timetable() {
    for (jobs, seed) in [(7, 1), (40, 2), (120, 3), (121, 4)] {
        let bench = random(&mut Dice::new(seed), jobs, 9, false);
        let asks = std::cell::Cell::new(0_u64);
        let timed = schedule_until(&bench, u64::MAX, &|| {
            asks.set(asks.get() + 1);
            asks.get() > 3
        });
        let timed = timed.unwrap();
        assert!(
            asks.get() <= 4,
            "{jobs}: asked on after it was told to stop"
        );
        assert!(mistimings(&bench, &timed.starts, timed.length).is_empty());
        assert!(timed.bound <= timed.length);
        // What lies between two askings, and a timetable by rule before the first.
        assert!(
            timed.looked < 150_000,
            "{jobs}: {} jobs looked at",
            timed.looked
        );
    }
}

fn job(active: i64, passive: i64) -> Job {
    Job {
        active,
        passive,
        ..Job::default()
    }
}

/// Worked by hand: two trays of 5 + 30 minutes, and 10 minutes of chopping. With one oven
/// 5 + 30 + 5 + 30 = 70; with two, the second goes in at 5 and is out at 40.
#[test]
fn two_trays_and_one_or_two_ovens() {
    let tray = Job {
        needs: vec![(0, 1)],
        ..job(5, 30)
    };
    let mut bench = Bench {
        jobs: vec![tray.clone(), tray, job(10, 0)],
        capacity: vec![1],
    };
    assert_eq!(schedule(&bench, NODES).unwrap().length, 70);
    bench.capacity = vec![2];
    assert_eq!(schedule(&bench, NODES).unwrap().length, 40);
}

/// Worked by hand: pressing (2 + 20) before cutting (3): 25, and 15 minutes of other work fit
/// between; soaking that nobody waits for keeps nobody in the kitchen.
#[test]
fn work_fits_into_waiting_and_soaking_holds_nobody() {
    let mut cut = job(3, 0);
    cut.after = vec![0];
    let mut bench = Bench {
        jobs: vec![job(2, 20), cut, job(15, 0), job(1, 600)],
        capacity: vec![],
    };
    assert_eq!(schedule(&bench, NODES).unwrap().length, 25);
    bench.jobs.pop();
    bench.jobs.push(job(6, 0));
    // 2 + 15 + 6 = 23 is over before pressing ends at 22: cutting comes at 23.
    assert_eq!(schedule(&bench, NODES).unwrap().length, 26);
}

#[test]
fn what_must_follow_at_once_does() {
    // Pasta: 2 minutes, boils 10, drained at once (1). Chopping takes 12: it would end at 14, two
    // minutes late, so it goes before or after: 25, not 15.
    let mut drain = job(1, 0);
    drain.at_once = Some(0);
    let bench = Bench {
        jobs: vec![job(2, 10), drain, job(12, 0)],
        capacity: vec![],
    };
    let timed = schedule(&bench, NODES).unwrap();
    assert_eq!(timed.length, 25);
    assert!(mistimings(&bench, &timed.starts, 25).is_empty());
}

#[test]
fn a_circle_and_a_need_above_what_there_is_have_no_timetable() {
    let (mut one, mut two) = (job(1, 0), job(1, 0));
    one.after = vec![1];
    two.after = vec![0];
    let circle = Bench {
        jobs: vec![one, two],
        capacity: vec![],
    };
    assert_eq!(schedule(&circle, NODES), None);
    let needy = Bench {
        jobs: vec![Job {
            needs: vec![(0, 2)],
            ..job(1, 1)
        }],
        capacity: vec![1],
    };
    assert_eq!(schedule(&needy, NODES), None);
}

#[test]
fn nothing_to_do_and_nothing_that_takes_time_take_no_time() {
    let empty = schedule(&Bench::default(), NODES).unwrap();
    assert_eq!((empty.length, empty.bound), (0, 0));
    let still = Bench {
        jobs: vec![job(0, 0), job(0, 0)],
        capacity: vec![1],
    };
    assert_eq!(schedule(&still, NODES).unwrap().length, 0);
}

/// A timetable with each thing wrong in turn: exactly that is found.
#[test]
fn each_fault_of_a_timetable_is_found_by_itself() {
    let mut second = job(3, 0);
    second.after = vec![0];
    let mut third = job(2, 0);
    third.at_once = Some(3);
    let baked = Job {
        needs: vec![(0, 1)],
        ..job(1, 6)
    };
    let bench = Bench {
        jobs: vec![job(2, 1), second, baked.clone(), job(1, 4), third, baked],
        capacity: vec![1],
    };
    // 0: 0-2 (3); 1: 3-6; 2: 6-7 (13); 3: 7-8 (12); 4: 12-14; 5: 14-15 (21).
    let good = [0, 3, 6, 7, 12, 14];
    assert_eq!(mistimings(&bench, &good, 21), []);
    let broken = |at: usize, start: i64, length: i64| {
        let mut starts = good;
        starts[at] = start;
        mistimings(&bench, &starts, length)
    };
    assert_eq!(mistimings(&bench, &good[1..], 21), [Mistiming::Miscounted]);
    assert_eq!(broken(0, -1, 21), [Mistiming::TooEarly(0)]);
    assert_eq!(broken(0, 1, 21), [Mistiming::OutOfOrder(0, 1)]);
    assert_eq!(
        broken(5, 11, 18),
        [
            Mistiming::OverCapacity(0, 11),
            Mistiming::OverCapacity(0, 12)
        ]
    );
    assert_eq!(
        broken(1, 5, 21),
        [Mistiming::CookTwice(1, 2), Mistiming::CookTwice(1, 3)]
    );
    assert_eq!(broken(5, 13, 20), [Mistiming::CookTwice(4, 5)]);
    assert_eq!(broken(4, 11, 21), [Mistiming::NotAtOnce(3, 4)]);
    assert_eq!(mistimings(&bench, &good, 20), [Mistiming::WrongLength(21)]);
}
