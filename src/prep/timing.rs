//! Judges a timetable: knows the rules of a bench and nothing of how it was made.

use super::bench::Bench;

/// What is wrong with a timetable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mistiming {
    /// Not every job has one start.
    Miscounted,
    /// A job starts before the stint does.
    TooEarly(usize),
    /// The cook is at two jobs at once.
    CookTwice(usize, usize),
    /// More of an equipment is held than there is: the equipment and the minute.
    OverCapacity(usize, i64),
    /// A job starts before one it waits for has ended.
    OutOfOrder(usize, usize),
    /// A job does not start at the end of the one it must follow at once.
    NotAtOnce(usize, usize),
    /// The length given is not when the cook may leave.
    WrongLength(i64),
}

/// Returns everything wrong with starts and length.
pub fn mistimings(bench: &Bench, starts: &[i64], length: i64) -> Vec<Mistiming> {
    let jobs = &bench.jobs;
    if starts.len() != jobs.len() {
        return vec![Mistiming::Miscounted];
    }
    let mut wrong = Vec::new();
    for (at, job) in jobs.iter().enumerate() {
        if starts[at] < 0 {
            wrong.push(Mistiming::TooEarly(at));
        }
        for &before in &job.after {
            if starts[at] < starts[before] + jobs[before].active + jobs[before].passive {
                wrong.push(Mistiming::OutOfOrder(before, at));
            }
        }
        if let Some(before) = job.at_once
            && starts[at] != starts[before] + jobs[before].active + jobs[before].passive
        {
            wrong.push(Mistiming::NotAtOnce(before, at));
        }
        for other in 0..at {
            let (one, two) = (&jobs[other], job);
            let overlap =
                starts[other] < starts[at] + two.active && starts[at] < starts[other] + one.active;
            if overlap && one.active > 0 && two.active > 0 {
                wrong.push(Mistiming::CookTwice(other, at));
            }
        }
    }
    // What is held only grows where a job starts.
    for (kind, &capacity) in bench.capacity.iter().enumerate() {
        let mut minutes: Vec<i64> = starts.to_vec();
        minutes.sort_unstable();
        minutes.dedup();
        for minute in minutes {
            let held: i64 = jobs
                .iter()
                .zip(starts)
                .filter(|(job, start)| {
                    **start <= minute && minute < **start + job.active + job.passive
                })
                .flat_map(|(job, _)| &job.needs)
                .filter(|need| need.0 == kind)
                .map(|need| need.1)
                .sum();
            if held > capacity {
                wrong.push(Mistiming::OverCapacity(kind, minute));
            }
        }
    }
    let mut leave = 0;
    for (job, &start) in jobs.iter().zip(starts) {
        leave = leave.max(start + job.active);
        if !job.needs.is_empty() {
            leave = leave.max(start + job.active + job.passive);
        }
    }
    if leave != length {
        wrong.push(Mistiming::WrongLength(leave));
    }
    wrong
}
